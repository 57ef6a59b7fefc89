//! Reads pin tables as people publish them, and compares signals with any text a maker keeps.
//!
//! Text goes in, data comes out: [`read`] takes a C header, CSV, TSV, Markdown, JSON, a table copied from a web
//! page or lines typed by hand, and returns a [`Reading`] whose every pin knows where it was written.
//! [`to_sheet`] writes a reading as a board sheet, [`compare`] holds a plan's pins against a text, [`marks`]
//! finds the lines that end in `dw: KEY`.
//!
//! The path is one line: [`decode`] → a reader for the format gathers name–number pairs → `settle` decides what
//! the names mean side by side (numbering, doubles, strays, gaps) → [`Reading`].
//!
//! What this crate does **not** know: stations, plans, sheets of chips, files, the command line. It reads the
//! vocabulary of the trade (D0..D7, VSYNC, SCCB …), no program's configuration format.

mod check;
mod comments;

mod compare;
mod decode;
mod detect;
mod gather;
mod header;
mod html;
mod json;
mod loose;
mod marks;
mod pin;
mod place;
mod problem;
mod reading;
mod rows;
mod sheet;
mod signal;
mod table;
mod tokens;

pub use compare::{Agreed, Comparison, Differ, Refused, compare, means};
pub use decode::{DecodeError, TEXT_BYTES_MAX, decode};
pub use marks::{MARKS_MAX, Mark, MarkError, Marked, marks, replaced};
pub use pin::{NotAPin, PINS_MAX, PinNumber};
pub use problem::{Problem, Sign};
pub use reading::{Entry, Format, Group, Reading, Skipped, Why, read};
pub use sheet::to_sheet;
pub use signal::Signal;
