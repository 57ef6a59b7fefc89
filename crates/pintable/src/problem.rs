//! What a reading found wrong or doubtful, each with its line and one sentence.

use std::fmt;

use crate::pin::PinNumber;
use crate::signal::Signal;

/// What gave a stray number away.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Sign {
    /// It also serves this signal.
    Serves(Signal),
    /// It stands twice among the data lines.
    Repeated,
    /// Nothing: it is only the last.
    Last,
}

/// One thing to look at; [`Problem::line`] says where, `Display` says what in a sentence.
#[derive(Clone, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "the fields are the facts of the sentence above them")]
pub enum Problem {
    /// More numbers than the bus has data lines.
    TooManyData { count: usize, stray: Option<PinNumber>, sign: Sign, line: usize },
    /// One signal with two different pins; the first-named was taken.
    SignalTwice {
        signal: Signal,
        taken: Option<PinNumber>,
        taken_line: usize,
        left: Option<PinNumber>,
        line: usize,
    },
    /// One pin for two signals.
    PinTwice { pin: PinNumber, first: Signal, first_line: usize, second: Signal, line: usize },
    /// Lines of the camera bus that nobody named.
    Missing { signals: Vec<Signal>, line: usize },
    /// A line that a picture needs, given as not connected.
    NotConnected { signal: Signal, line: usize },
    /// Data lines counted in an unusual way: `name` was read as D0.
    Counting { name: String, line: usize },
    /// Ten lines, of which the upper eight were taken.
    UpperEight { name: String, line: usize },
    /// Both D and Y names: the two counts differ by two.
    TwoCountings { line: usize },
    /// Several boards in one text: one must be chosen by name.
    SeveralBoards { names: Vec<String>, line: usize },
    /// Several columns of numbers and nothing that tells them apart; this one was taken, counted from 1.
    ColumnGuessed { column: usize, line: usize },
    /// Not JSON after all; read as loose text instead.
    NotJson { says: String, line: usize },
    /// Nested too deeply to be a pin table; refused.
    TooDeep { line: usize },
    /// Too long to be a pin table; what follows was not read.
    TooMuch { line: usize },
    /// Larger than [`crate::TEXT_BYTES_MAX`]; refused.
    TooLarge { bytes: usize },
    /// No camera line found at all.
    Nothing,
}

impl Problem {
    /// The line to look at, from 1.
    pub fn line(&self) -> usize {
        match self {
            Problem::TooManyData { line, .. }
            | Problem::SignalTwice { line, .. }
            | Problem::PinTwice { line, .. }
            | Problem::Missing { line, .. }
            | Problem::NotConnected { line, .. }
            | Problem::Counting { line, .. }
            | Problem::UpperEight { line, .. }
            | Problem::TwoCountings { line }
            | Problem::SeveralBoards { line, .. }
            | Problem::ColumnGuessed { line, .. }
            | Problem::NotJson { line, .. }
            | Problem::TooDeep { line }
            | Problem::TooMuch { line } => *line,
            Problem::TooLarge { .. } | Problem::Nothing => 1,
        }
    }

    /// True where the sheet cannot be right as it stands; false where a choice was made that one should know of.
    pub fn is_wrong(&self) -> bool {
        !matches!(
            self,
            Problem::TooManyData { sign: Sign::Serves(_) | Sign::Repeated, .. }
                | Problem::Counting { .. }
                | Problem::UpperEight { .. }
                | Problem::TwoCountings { .. }
                | Problem::ColumnGuessed { .. }
                | Problem::NotJson { .. }
        )
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        use crate::gather::shown;
        match self {
            Problem::TooManyData { count, stray, sign, .. } => {
                write!(f, "{} numbers for eight data lines; ", counted(*count))?;
                match sign {
                    Sign::Serves(signal) => {
                        write!(f, "{} also serves {signal}, so it is the likely stray", shown(*stray))?;
                    }
                    Sign::Repeated => write!(f, "{} stands twice, so it is the likely stray", shown(*stray))?,
                    Sign::Last => write!(f, "none stands out as the stray, {} is the last", shown(*stray))?,
                }
                f.write_str(". Eight taken.")
            }
            Problem::SignalTwice { signal, taken, taken_line, left, line } => write!(
                f,
                "{signal} has two pins: {} in line {taken_line} and {} in line {line}. {} taken.",
                shown(*taken),
                shown(*left),
                shown(*taken)
            ),
            Problem::PinTwice { pin, first, first_line, second, line } => {
                write!(f, "Pin {pin} serves both {first} (line {first_line}) and {second} (line {line}).")
            }
            Problem::Missing { signals, .. } => {
                let names: Vec<_> = signals.iter().map(ToString::to_string).collect();
                write!(f, "Not found: {}.", names.join(", "))
            }
            Problem::NotConnected { signal, .. } => {
                write!(f, "{signal} is given as not connected; without it there is no picture.")
            }
            Problem::Counting { name, .. } => {
                write!(f, "The data lines are counted from {name}; {name} read as D0.")
            }
            Problem::UpperEight { name, .. } => {
                write!(f, "Ten data lines; the upper eight taken, {name} read as D0.")
            }
            Problem::TwoCountings { .. } => f.write_str(
                "Data lines are named both as D and as Y, which count differently; Y2 read as D0.",
            ),
            Problem::SeveralBoards { names, .. } => {
                write!(f, "{} boards in one text; choose one: {}.", counted(names.len()), names.join("; "))
            }
            Problem::ColumnGuessed { column, .. } => {
                write!(
                    f,
                    "Several columns hold numbers and no heading tells which are pins; column {column} taken."
                )
            }
            Problem::NotJson { says, .. } => write!(f, "Not JSON: {says}. Read line by line instead."),
            Problem::TooDeep { .. } => f.write_str("Nested too deeply to be a pin table; not read."),
            Problem::TooMuch { line } => {
                write!(f, "Too long to be a pin table; nothing read after line {line}.")
            }
            Problem::TooLarge { bytes } => {
                write!(
                    f,
                    "{bytes} bytes, more than {}; not read. Paste only the pin table.",
                    crate::TEXT_BYTES_MAX
                )
            }
            Problem::Nothing => f.write_str("No camera line found."),
        }
    }
}

fn counted(n: usize) -> String {
    const WORDS: [&str; 13] = [
        "No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten", "Eleven",
        "Twelve",
    ];
    WORDS.get(n).map_or_else(|| n.to_string(), ToString::to_string)
}
