//! Targets that read one value: a quantity, a picture size.

use crate::Outcome;
use quantity::{ErrorKind, ParseError, Size, parse, write};

/// Units that fields want, one of each shape; the first byte of an input chooses, `a` the first.
const WANTED: &[&str] = &["V", "A", "m", "m2", "1/s", "K/W", "degC", "rad", "C", "s", "1", "dBm"];

/// A quantity is read or refused with a place inside the text; what is read is finite and comes back bit by bit from
/// being written.
pub fn quantity(bytes: &[u8]) -> Outcome {
    let Some((&choice, rest)) = bytes.split_first() else { return "nothing".into() };
    let want = WANTED[usize::from(choice.wrapping_sub(b'a')) % WANTED.len()];
    let text = String::from_utf8_lossy(rest);
    match parse(&text, want) {
        Ok(read) => {
            assert!(read.value.is_finite(), "{text:?} read as {}", read.value);
            let written = write(&read, want);
            let again = parse(&written, want)
                .unwrap_or_else(|error| panic!("{text:?} written as {written:?}: {error}"));
            assert_eq!(again, read, "{text:?} written as {written:?} is another quantity");
            format!("{want} {}", shape(&format!("{:?}", read.spread)))
        }
        Err(error) => refused(&text, &error),
    }
}

/// A size is read or refused; what is read survives being shown.
pub fn size(bytes: &[u8]) -> Outcome {
    let text = String::from_utf8_lossy(bytes);
    match text.parse::<Size>() {
        Ok(read) => {
            assert_eq!(read.to_string().parse::<Size>().as_ref(), Ok(&read), "{text:?} shown as {read}");
            "size".into()
        }
        Err(error) => refused(&text, &error),
    }
}

/// An error must be printable and point into the text.
fn refused(text: &str, error: &ParseError) -> Outcome {
    assert!(error.at.start <= error.at.end && error.at.end <= text.len(), "{text:?}: {:?}", error.at);
    assert!(
        text.is_char_boundary(error.at.start) && text.is_char_boundary(error.at.end),
        "{text:?}: {:?}",
        error.at
    );
    assert!(!error.to_string().is_empty() && error.column(text) >= 1);
    assert!(!matches!(error.kind, ErrorKind::WantedUnit { .. }), "a field's unit is not known: {error}");
    let _ = error.hint();
    shape(&format!("{:?}", error.kind))
}

/// The first word of a `Debug` text: the variant without its fields.
fn shape(debug: &str) -> String {
    debug.split(|letter: char| !letter.is_alphanumeric()).next().unwrap_or_default().to_owned()
}
