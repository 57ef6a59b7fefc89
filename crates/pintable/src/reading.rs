//! The result of reading a pin table, and the one function that makes it.

use std::fmt;
use std::ops::Range;

use crate::gather::Gathered;
use crate::pin::{NotAPin, PinNumber};
use crate::place::Places;
use crate::problem::Problem;
use crate::signal::Signal;
use crate::{TEXT_BYTES_MAX, check, detect, header, html, json, loose, rows};

/// How a text is laid out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// Find out by looking.
    Auto,
    /// C: `#define`s with comments and conditions, and assignments between them.
    CHeader,
    /// Cells parted by commas or semicolons.
    Csv,
    /// Cells parted by tabs, as a table copied from a web page has.
    Tsv,
    /// Tables with `|`.
    Markdown,
    /// An object of names and numbers, or an array of objects.
    Json,
    /// `<table>` from a page's source.
    Html,
    /// Typed by hand, or any other text.
    Loose,
}

impl fmt::Display for Format {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Format::Auto => "any format",
            Format::CHeader => "C header",
            Format::Csv => "CSV",
            Format::Tsv => "table with tabs",
            Format::Markdown => "Markdown table",
            Format::Json => "JSON",
            Format::Html => "HTML table",
            Format::Loose => "loose text",
        })
    }
}

/// One signal and its pin.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// What the pin is for.
    pub signal: Signal,
    /// The name in the text.
    pub name_as_written: String,
    /// Its pin; `None` where the text says "not connected".
    pub pin: Option<PinNumber>,
    /// Line of the value, from 1.
    pub line: usize,
    /// Column of the value in characters, from 1.
    pub column: usize,
    /// Bytes of the value in the text.
    pub span: Range<usize>,
    /// The line itself, trimmed and cut to 100 characters.
    pub line_text: String,
}

/// A line that gave nothing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Skipped {
    /// From 1.
    pub line: usize,
    /// The line, trimmed and cut to 100 characters.
    pub text: String,
    /// The reason.
    pub why: Why,
}

/// Why a line gave nothing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Why {
    /// The name is known, the value is no pin.
    Value(NotAPin),
    /// The value is a pin, the name is not one of the trade's.
    UnknownName(String),
    /// Several names before one number, or unequal counts.
    NamesAndNumbersDiffer,
    /// A name for all data lines with a single number.
    ListOfOne,
    /// A name whose value is a macro that takes arguments or cannot be resolved.
    NotResolved(String),
    /// Neither name nor number.
    NoPair,
}

impl fmt::Display for Why {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Why::Value(why) => why.fmt(f),
            Why::UnknownName(name) => write!(f, "no signal goes by the name '{name}'"),
            Why::NamesAndNumbersDiffer => f.write_str("as many numbers as names are needed"),
            Why::ListOfOne => f.write_str("a name for all data lines needs a list of numbers"),
            Why::NotResolved(text) => write!(f, "'{text}' is defined nowhere before"),
            Why::NoPair => f.write_str("no signal with a number"),
        }
    }
}

/// One of several boards in a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Group {
    /// Its condition, heading or key.
    pub name: String,
    /// Where it begins, from 1.
    pub line: usize,
    /// Its own reading, checked by itself.
    pub reading: Reading,
}

/// What a text says of pins.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reading {
    /// The layout read; never [`Format::Auto`].
    pub format: Format,
    /// What was taken, in the order of the text; each bus signal at most once. Empty where there are [`groups`](Self::groups).
    pub entries: Vec<Entry>,
    /// What was read and not taken: strays and doubles, each named in `problems`.
    pub set_aside: Vec<Entry>,
    /// Lines that gave nothing; at most 1,000 are kept.
    pub not_understood: Vec<Skipped>,
    /// How many more there were.
    pub not_understood_more: usize,
    /// What to look at.
    pub problems: Vec<Problem>,
    /// Several boards in one text; empty where there is only one.
    pub groups: Vec<Group>,
}

impl Reading {
    /// The names of the boards in the text, to choose from; empty where there is only one.
    pub fn group_names(&self) -> Vec<&str> {
        self.groups.iter().map(|g| g.name.as_str()).collect()
    }

    /// The reading of one of several boards.
    pub fn group(&self, name: &str) -> Option<&Reading> {
        self.groups.iter().find(|g| g.name == name).map(|g| &g.reading)
    }

    /// The pin of a signal; `None` where it is absent or not connected.
    pub fn pin(&self, signal: &Signal) -> Option<PinNumber> {
        self.entries.iter().find(|e| e.signal == *signal).and_then(|e| e.pin)
    }
}

/// Reads a pin table. Never fails: what could not be read is in the result, with line and reason.
///
/// ```
/// use pintable::{Format, Signal, read};
/// let reading = read("data: [4, 16, 17, 18, 19, 23, 21, 5, 22]\nVSYNC=23; HREF: 25", Format::Auto);
/// assert_eq!(reading.problems[0].to_string(),
///     "Nine numbers for eight data lines; 23 also serves VSYNC, so it is the likely stray. Eight taken.");
/// assert_eq!(reading.pin(&Signal::Data(5)).unwrap().get(), 21);
/// ```
pub fn read(text: &str, format: Format) -> Reading {
    read_with(text, format, &[])
}

/// [`read`], also taking the caller's own names (their cores) for signals.
pub(crate) fn read_with(text: &str, format: Format, extra: &[String]) -> Reading {
    let mut found = Gathered::new(extra);
    if text.len() > TEXT_BYTES_MAX {
        found.problems.push(Problem::TooLarge { bytes: text.len() });
        return check::settle(found, Format::Loose, &Places::new(""));
    }
    let places = Places::new(text);
    let mut format = if format == Format::Auto { detect::format_of(text) } else { format };
    match format {
        Format::CHeader => header::gather(text, &mut found),
        Format::Csv => rows::separated(text, &mut found, &places, rows::delimiter(text)),
        Format::Tsv => rows::separated(text, &mut found, &places, '\t'),
        Format::Markdown => rows::markdown(text, &mut found, &places),
        Format::Html => html::gather(text, &mut found, &places),
        Format::Json => {
            if !json::gather(text, &mut found) {
                format = Format::Loose;
                loose::gather(text, &mut found);
            }
        }
        Format::Loose | Format::Auto => loose::gather(text, &mut found),
    }
    if found.is_full() {
        let last = found.pairs.last().map_or(0, |p| p.at.start);
        found.problems.push(Problem::TooMuch { line: places.line(last) });
    }
    check::settle(found, format, &places)
}
