//! What can be wrong with a text, where, and what would be right.
//!
//! Facts in fields; [`Display`](std::fmt::Display) phrases them in one line without a full stop. The place is inside
//! the text; the file and line belong to whoever read the file.

use std::fmt;
use std::ops::Range;

use crate::{dimension, unit};

/// A text that is no quantity of the wanted kind.
#[derive(Clone, PartialEq, Debug)]
pub struct ParseError {
    /// Byte offsets into the text, on character boundaries; empty at the end where something is missing.
    pub at: Range<usize>,
    /// What is wrong.
    pub kind: ErrorKind,
}

/// What is wrong with a text.
#[derive(Clone, PartialEq, Debug)]
#[non_exhaustive]
pub enum ErrorKind {
    /// Nothing but spaces.
    Empty {
        /// The wanted unit.
        want: String,
    },
    /// Longer than any sensible quantity.
    TooLong {
        /// Longest text that is read, bytes.
        max: usize,
    },
    /// A number should stand here.
    NumberExpected {
        /// What stands here instead; empty at the end of the text.
        found: String,
    },
    /// `3,2`: a decimal comma, or digits grouped by commas.
    Comma {
        /// The number with a point.
        right: String,
    },
    /// Too large or too small for an `f64`.
    OutOfNumbers {
        /// The number as written.
        found: String,
    },
    /// A bare number where a unit is needed.
    MissingUnit {
        /// The number.
        found: String,
        /// The wanted unit.
        want: String,
    },
    /// No unit of this name.
    UnknownUnit {
        /// The symbol as written.
        unit: String,
        /// The wanted unit.
        want: String,
        /// A known symbol that is spelled alike.
        nearest: Option<String>,
    },
    /// A unit of another kind.
    WrongDimension {
        /// The value as written.
        found: String,
        /// What that is, with article, when it has a name.
        is: Option<&'static str>,
        /// The number alone.
        number: String,
        /// The wanted unit.
        want: String,
    },
    /// `0.5 ± 6 % mm2`.
    UnitAfterPercent {
        /// The right form.
        right: String,
    },
    /// A percentage, a factor, quantiles or typ/max on a scale without ratios.
    NoRatio {
        /// What was written: "a percentage", "a factor", …
        form: &'static str,
        /// The unit as wanted.
        want: String,
    },
    /// A negative width after ±.
    NegativeWidth,
    /// A range that runs backwards.
    Reversed {
        /// The right form.
        right: String,
    },
    /// Values that must be above zero for this form.
    NotPositive {
        /// What was written: "a factor", "typ and max", …
        form: &'static str,
    },
    /// A factor below 1 after `x/`.
    SmallFactor,
    /// `5 | 50 | 95 %` values, or typ and max, that do not rise.
    NotRising {
        /// What should rise.
        form: &'static str,
    },
    /// A wire gauge that is no whole number from 0 to 40.
    Gauge,
    /// Something after the end of a quantity, or a sign that belongs to no form.
    Unexpected {
        /// What stands there.
        found: String,
    },
    /// A form that stops in the middle.
    Missing {
        /// What should follow.
        what: &'static str,
    },
    /// The caller wants something that is no unit: a mistake in a table, not in the text.
    WantedUnit {
        /// What was wanted.
        want: String,
    },
    /// A picture size that is not like `800x600`.
    SizeForm {
        /// As written.
        found: String,
    },
    /// A picture size beyond 1 to 65535 pixels.
    SizeRange {
        /// The number as written.
        found: String,
    },
}

impl ParseError {
    pub(crate) fn new(at: Range<usize>, kind: ErrorKind) -> Self {
        Self { at, kind }
    }

    /// The column in `text` where the error starts: characters, counted from 1.
    ///
    /// # Examples
    ///
    /// ```
    /// let text = "5 µA ± x";
    /// assert_eq!(quantity::parse(text, "A").unwrap_err().column(text), 8);
    /// ```
    pub fn column(&self, text: &str) -> usize {
        text.char_indices().take_while(|(at, _)| *at < self.at.start).count() + 1
    }

    /// What would be right, where the message does not say it already.
    pub fn hint(&self) -> Option<String> {
        let hint = match &self.kind {
            ErrorKind::UnknownUnit { nearest: Some(nearest), .. } => format!("did you mean `{nearest}`?"),
            ErrorKind::Unexpected { found }
                if found.len() == 3 && found.bytes().all(|b| b.is_ascii_digit()) =>
            {
                "digits are not grouped: `1000 V`, not `1 000 V`".to_owned()
            }
            ErrorKind::NoRatio { form: "a percentage", want } => {
                let step = difference(want);
                format!("give the width in {step}, such as `± 2 {step}`")
            }
            ErrorKind::NoRatio { want, .. } => format!("give a range, such as `a .. b {want}`"),
            ErrorKind::SmallFactor => "`2 s x/ 1.8`: 95 % lie between 2 s / 1.8 and 2 s × 1.8".to_owned(),
            ErrorKind::NotRising { form: "typ and max" } => "`typ 60 uA max 180 uA`".to_owned(),
            ErrorKind::NotRising { .. } => "`0.8 | 2 | 9 s`: 5 %, half and 95 % lie below these".to_owned(),
            ErrorKind::NegativeWidth => "`12 ± 0.5 V`: 95 % lie within 0.5 V either side".to_owned(),
            ErrorKind::NumberExpected { .. }
            | ErrorKind::Missing { .. }
            | ErrorKind::Unexpected { .. }
            | ErrorKind::TooLong { .. } => FORMS.to_owned(),
            _ => return None,
        };
        Some(hint)
    }
}

const FORMS: &str =
    "forms: `165 mA`, `3.2 Ah ± 5 %`, `4 .. 6 K/W`, `typ 60 uA max 180 uA`, `2 s x/ 1.8`, `0.8 | 2 | 9 s`";

/// The unit of a difference on an interval or logarithmic scale.
fn difference(want: &str) -> &'static str {
    match unit::wanted(want).map(|unit| unit.dimension) {
        Some(dimension::KELVIN) => "K",
        _ => "dB",
    }
}

/// "a voltage is wanted".
fn wanted(want: &str) -> String {
    match words(want) {
        Some(words) => format!("{} is wanted", words.name),
        None => format!("a value in {want} is wanted"),
    }
}

fn words(want: &str) -> Option<&'static dimension::Words> {
    unit::wanted(want).and_then(|unit| dimension::words(unit.dimension, unit.scale))
}

/// `12 V`: the writer's own number in the likeliest unit.
fn example(number: &str, want: &str) -> String {
    match words(want).map(|words| words.usual) {
        Some([]) => number.to_owned(),
        Some([first, ..]) => format!("{number} {first}"),
        None => format!("{number} {want}"),
    }
}

/// "deg or rad", "s, min or h".
fn listed(units: &[&str]) -> String {
    match units {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [most @ .., last] => format!("{} or {last}", most.join(", ")),
    }
}

impl fmt::Display for ParseError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        use ErrorKind as E;
        match &self.kind {
            E::Empty { want } => {
                write!(f, "nothing is written; {}, such as `{}`", wanted(want), example("12", want))
            }
            E::TooLong { max } => write!(f, "this is longer than {max} bytes and no quantity"),
            E::NumberExpected { found } if found.is_empty() => write!(f, "a number is missing at the end"),
            E::NumberExpected { found } => write!(f, "a number should stand here, not `{found}`"),
            E::Comma { right } => write!(f, "a number is written with a point: `{right}`"),
            E::OutOfNumbers { found } => write!(f, "the number `{found}` is too large or too small"),
            E::MissingUnit { found, want } => {
                write!(f, "`{found}` has no unit; {}, such as `{}`", wanted(want), example(found, want))
            }
            E::UnknownUnit { unit, want, .. } => {
                write!(f, "unknown unit `{unit}`; {}", wanted(want))?;
                match words(want).map(|words| words.usual) {
                    Some([]) => write!(f, ", without a unit or in %"),
                    Some(usual) => write!(f, ": {}", listed(usual)),
                    None => Ok(()),
                }
            }
            E::WrongDimension { found, is, number, want } => {
                write!(f, "`{found}` is {}; ", is.unwrap_or("of another kind"))?;
                write!(f, "{}, such as `{}`", wanted(want), example(number, want))
            }
            E::UnitAfterPercent { right } => write!(f, "the unit stands before the ±: `{right}`"),
            E::NoRatio { form, want } => {
                let name = words(want).map_or("this", |words| words.name);
                write!(f, "{form} has no meaning for {name}, whose zero does not mean none")
            }
            E::NegativeWidth => write!(f, "the width after ± is negative"),
            E::Reversed { right } => write!(f, "the range runs backwards; `{right}` is meant"),
            E::NotPositive { form } => write!(f, "values above zero are needed for {form}"),
            E::SmallFactor => write!(f, "the factor after `x/` is below 1"),
            E::NotRising { form } => write!(f, "{form} must rise"),
            E::Gauge => write!(f, "a wire gauge is a whole number from 0 to 40, such as `20 AWG`"),
            E::Unexpected { found } => write!(f, "`{found}` does not belong here"),
            E::Missing { what } => write!(f, "{what} is missing"),
            E::WantedUnit { want } => write!(f, "`{want}` is wanted, which is no unit"),
            E::SizeForm { found } => write!(f, "`{found}` is no picture size, such as `800x600`"),
            E::SizeRange { found } => write!(f, "a picture side of `{found}` pixels is outside 1 to 65535"),
        }
    }
}

impl std::error::Error for ParseError {}
