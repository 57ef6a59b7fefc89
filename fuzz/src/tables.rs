//! Target that reads a pin table, in the layout that the text seems to have and in every other.

use crate::Outcome;
use pintable::{Format, Reading, decode, read};

const FORMATS: &[Format] = &[
    Format::Auto,
    Format::CHeader,
    Format::Csv,
    Format::Tsv,
    Format::Markdown,
    Format::Json,
    Format::Html,
    Format::Loose,
];

/// Most groups inside groups that a reading may have; there is no board within a board.
const DEPTH_MAX: usize = 2;

/// A text is refused with its place, or read in every layout with each entry and problem at a place inside it.
///
/// The first byte chooses the layout, the rest is the file.
pub fn pintable(bytes: &[u8]) -> Outcome {
    let Some((&choice, rest)) = bytes.split_first() else { return "nothing".into() };
    let format = FORMATS[usize::from(choice.wrapping_sub(b'a')) % FORMATS.len()];
    let text = match decode(rest) {
        Ok(text) => text,
        Err(error) => return error.to_string().split(' ').take(2).collect(),
    };
    assert!(
        !text.contains('\r') && !text.starts_with('\u{feff}')
            || rest.starts_with(b"\xef\xbb\xbf\xef\xbb\xbf")
    );
    let reading = read(&text, format);
    assert_ne!(reading.format, Format::Auto);
    judge(&text, &reading, 0);
    let mut problems: Vec<_> =
        reading.problems.iter().map(|problem| variant(&format!("{problem:?}"))).collect();
    problems.sort();
    problems.dedup();
    format!("{} {} {problems:?}", reading.format, reading.groups.len().min(2))
}

fn judge(text: &str, reading: &Reading, depth: usize) {
    assert!(depth < DEPTH_MAX, "groups within groups");
    let lines = text.lines().count().max(1) + 1;
    for entry in reading.entries.iter().chain(&reading.set_aside) {
        assert!(text.get(entry.span.clone()).is_some(), "{entry:?} is not in the text");
        assert!((1..=lines).contains(&entry.line) && entry.column >= 1, "{entry:?} is at no line");
    }
    for (index, entry) in reading.entries.iter().enumerate() {
        let doubled =
            entry.signal.is_bus() && reading.entries[..index].iter().any(|e| e.signal == entry.signal);
        assert!(!doubled, "{} is taken twice", entry.signal);
    }
    for problem in &reading.problems {
        assert!((1..=lines).contains(&problem.line()), "{problem} is at line {} of {lines}", problem.line());
    }
    assert!(reading.not_understood.len() <= 1000);
    for group in &reading.groups {
        judge(text, &group.reading, depth + 1);
    }
}

fn variant(debug: &str) -> String {
    debug.split(|letter: char| !letter.is_alphanumeric()).next().unwrap_or_default().to_owned()
}
