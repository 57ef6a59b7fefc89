//! The log of a plate, as any program printed it, to readings.
//!
//! Columns between commas, semicolons, tabs or blanks, with or without a header; a number a line; lines of a serial monitor
//! with a number somewhere; one JSON object a line; or whatever a [`Pattern`] describes. [`Reader`] is fed bytes, decides
//! from the first 64 kB or 2,000 lines what is the reading and what the time, says so and why ([`Log::fields`]), and then
//! streams: 2 B a sample, nothing allocated for a line. Where two fields are as likely, it refuses and says between which.
//!
//! What it does **not** know: what a press is, what a good reading is, where the bytes come from.
//!
//! ```
//! use tune::lines::{Wish, read};
//! let log = read(b"[12:00:01.050] touch: 951\n[12:00:01.100] touch: 950\n", Wish::default()).unwrap();
//! let plate = &log.streams[0];
//! assert_eq!(plate.counts().iter().collect::<Vec<_>>(), [951, 950]);
//! assert_eq!(plate.time_s(1), Some(0.05));
//! assert_eq!(log.began_s, Some(43201.05));
//! ```

mod choose;
mod column;
mod layout;
mod pattern;
mod reader;
mod shape;
mod stream;
mod token;

pub use pattern::{PATTERN_MAX, Pattern, PatternError};
pub use reader::Reader;
pub use stream::{Clock, Counts, Gap, Hint, Rate, Stream};

/// Bytes that decide the layout.
pub const HEAD_BYTES: usize = 64 << 10;
/// Lines that decide the layout.
pub const HEAD_LINES: usize = 2000;
/// Bytes of a line; a longer one is not read.
pub const LINE_MAX: usize = 64 << 10;
/// Samples that are kept, 160 MB: at twenty a second 46 days. What follows is left out, and [`Log::full`] says so.
pub const SAMPLES_MAX: u64 = 80_000_000;
/// Times that are kept as written, 12 MB; a log with more has no clock, and its later times are predicted
/// ([`Clock::predicted_from`]).
pub const ANCHORS_MAX: usize = 1_000_000;
/// Places where a clock began anew that are kept, for each plate.
const BREAKS_MAX: usize = 10_000;

/// What the user knows better than the lines tell; all of it can be left open.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wish {
    /// How a line is written.
    pub pattern: Option<Pattern>,
    /// Names of the fields with readings, a plate each; `column 2` or `number 2` for one without a name.
    pub counts: Vec<String>,
    /// The field with the time.
    pub time: Option<TimeWish>,
    /// The unit of a time that is a plain number.
    pub unit: Option<Unit>,
    /// The field that tells which plate a line is about.
    pub plate: Option<String>,
}

/// Where the time is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TimeWish {
    /// In the field of this name.
    Field(String),
    /// Nowhere: what looks like one is none.
    None,
}

/// What a time is written in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// No time: at best a number a sample.
    Samples,
    /// Seconds since anything.
    Seconds,
    /// Milliseconds since anything; begins anew at 2³² as up-times do.
    Milliseconds,
    /// Microseconds since anything; begins anew at 2³² as up-times do.
    Microseconds,
    /// Nanoseconds since anything.
    Nanoseconds,
    /// Time of day, or time since a start; goes on over midnight.
    Clock,
    /// Date with time; UTC where no zone is written.
    Date,
}

impl Unit {
    /// Its name before people.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Samples => "samples",
            Self::Seconds => "seconds",
            Self::Milliseconds => "milliseconds",
            Self::Microseconds => "microseconds",
            Self::Nanoseconds => "nanoseconds",
            Self::Clock => "time of day",
            Self::Date => "date with time",
        }
    }

    /// Ten to this makes microseconds of it; sample numbers stay numbers.
    const fn power(self) -> Option<i32> {
        match self {
            Self::Samples => Some(0),
            Self::Seconds => Some(6),
            Self::Milliseconds => Some(3),
            Self::Microseconds => Some(0),
            Self::Nanoseconds => Some(-3),
            Self::Clock | Self::Date => None,
        }
    }

    /// Microseconds after which a counter of 32 bits begins anew; seconds are taken as divided milliseconds.
    const fn wraps_after(self) -> Option<i64> {
        match self {
            Self::Seconds | Self::Milliseconds => Some(1000 << 32),
            Self::Microseconds => Some(1 << 32),
            _ => None,
        }
    }
}

/// A field that was taken, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Field {
    /// Its name in the log, `column 2` (of a table without header) or `number 2` (among words).
    pub name: String,
    /// What for: `count`, `time` or `plate`.
    pub serves: &'static str,
    /// Why, in a clause.
    pub why: String,
}

/// Why a line, or one reading of it, was not read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// It has no reading: another message, or an empty field.
    NoReading,
    /// No number stands where the reading should.
    NotANumber,
    /// Negative, or above 65,535.
    OutOfRange,
    /// Not a whole number, in a log of whole ones.
    Fraction,
    /// Longer than [`LINE_MAX`].
    TooLong,
    /// Of one plate more than 64.
    TooManyPlates,
}

const WHYS: [Why; 6] =
    [Why::NoReading, Why::NotANumber, Why::OutOfRange, Why::Fraction, Why::TooLong, Why::TooManyPlates];

impl Why {
    /// What it means, in a clause.
    pub const fn words(self) -> &'static str {
        match self {
            Self::NoReading => "no reading in it",
            Self::NotANumber => "no number where the reading should be",
            Self::OutOfRange => "below 0 or above 65535",
            Self::Fraction => "not a whole number",
            Self::TooLong => "longer than 64 kB",
            Self::TooManyPlates => "of a 65th plate",
        }
    }
}

/// A line that was not read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnreadLine {
    /// Its number, from 1.
    pub line: u64,
    /// Its first 80 bytes; what is not UTF-8 is replaced.
    pub text: String,
    /// Why.
    pub why: Why,
}

/// Lines that were not read.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Unread {
    /// The first five.
    pub first: Vec<UnreadLine>,
    counts: [u64; WHYS.len()],
}

impl Unread {
    /// How many, of all kinds.
    pub fn lines(&self) -> u64 {
        self.counts.iter().sum()
    }

    /// How many for each reason that occurred.
    pub fn by_why(&self) -> impl Iterator<Item = (Why, u64)> + '_ {
        WHYS.into_iter().zip(self.counts).filter(|(_, count)| *count > 0)
    }

    fn count(&mut self, why: Why) {
        self.counts[why as usize] += 1;
    }
}

/// Everything that was read, and what was made of it.
#[derive(Clone, Debug)]
pub struct Log {
    /// A stream a plate, in the order of their first readings.
    pub streams: Vec<Stream>,
    /// How the lines are written, such as `columns between commas`.
    pub layout: &'static str,
    /// Which fields were taken: readings, then time, then plate.
    pub fields: Vec<Field>,
    /// What the time is written in.
    pub unit: Unit,
    /// Lines in all, blank ones among them.
    pub lines: u64,
    /// Lines for people: a header, `# …` and `// …`.
    pub remarks: u64,
    /// Lines that were not read.
    pub unread: Unread,
    /// Lines that are not UTF-8; they are read where their reading can be.
    pub not_utf8: u64,
    /// Readings with a fraction that were rounded to a count.
    pub rounded: u64,
    /// Lines whose time could not be read, in a log with times.
    pub timeless: u64,
    /// The first time as written, in seconds since midnight, 1970 or a start; none without times.
    pub began_s: Option<f64>,
    /// How often a 32-bit up-time began anew at its end; times go on over it.
    pub wraps: u64,
    /// How often a time of day passed midnight.
    pub midnights: u64,
    /// How often the clock went back otherwise: the board began anew, or its clock was set. Times go on from there as if the
    /// next sample were on time.
    pub restarts: u64,
    /// Whether samples beyond [`SAMPLES_MAX`] were left out.
    pub full: bool,
}

impl Log {
    /// What was taken and what is odd, a sentence a line, for every face.
    pub fn said(&self) -> Vec<String> {
        let mut said = vec![format!("Read {} lines: {}.", self.lines, self.layout)];
        for field in &self.fields {
            said.push(format!("`{}` is the {}: {}.", field.name, field.serves, field.why));
        }
        let unread: Vec<String> =
            self.unread.by_why().map(|(why, count)| format!("{count} {}", why.words())).collect();
        let counted = [
            (self.unread.lines(), format!("lines not read: {}", unread.join(", "))),
            (self.not_utf8, "lines are not UTF-8".into()),
            (self.rounded, "readings had a fraction and were rounded".into()),
            (self.timeless, "readings had no readable time".into()),
            (self.wraps, "times the up-time began anew at 32 bits; time goes on".into()),
            (self.restarts, "times the clock began anew; how long that took nobody can tell".into()),
            (u64::from(self.full) * SAMPLES_MAX, "samples were kept, what follows was left out".into()),
        ];
        said.extend(
            counted
                .into_iter()
                .filter(|(count, _)| *count > 0)
                .map(|(count, what)| format!("{count} {what}.")),
        );
        said
    }
}

/// Why a log was not read. Each says the fact, then the next step.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Refused {
    /// Nothing in it.
    #[error("the log has no lines; give one with a reading a line")]
    Empty,
    /// Bytes that no text has.
    #[error(
        "the log is not text in UTF-8: too many of its bytes are control characters; save it as plain text"
    )]
    NotText,
    /// Words only.
    #[error("none of the first {lines} lines has a number; print the raw count of the plate, one a line")]
    NoNumbers {
        /// Lines that were looked at.
        lines: usize,
    },
    /// The pattern is right but describes other lines.
    #[error(
        "the pattern fits none of the first {lines} lines, such as `{first}`; describe only what stands around the reading"
    )]
    PatternFitsNothing {
        /// Lines that were looked at.
        lines: usize,
        /// The first of them.
        first: String,
    },
    /// Numbers, but none is likely.
    #[error("no number looks like a plate's reading ({}); name the field, or describe a line with a pattern", listed(.fields))]
    NoReading {
        /// What was seen.
        fields: Vec<String>,
    },
    /// A tie.
    #[error("{} could each be the plate's reading; name the one that is, or describe a line with a pattern", listed(.fields))]
    SeveralReadings {
        /// Between which.
        fields: Vec<String>,
    },
    /// A tie.
    #[error("{} could each be the time; name the one that is", listed(.fields))]
    SeveralTimes {
        /// Between which.
        fields: Vec<String>,
    },
    /// A wish for something that is not there.
    #[error("no field is called `{wished}`; there are {}", listed(.fields))]
    NoSuchField {
        /// The name wished for.
        wished: String,
        /// All names.
        fields: Vec<String>,
    },
    /// Numbers that only rise.
    #[error(
        "`{field}` only rises: it numbers the lines or counts something else; print the raw count of the plate too"
    )]
    OnlyCounter {
        /// The field.
        field: String,
    },
    /// Numbers out of range.
    #[error(
        "`{field}` goes from {least} to {most}, and a count lies between 0 and 65535; print the raw count, divided if need be"
    )]
    NoCounts {
        /// The field.
        field: String,
        /// Least value.
        least: f64,
        /// Greatest value.
        most: f64,
    },
    /// Fractions that rounding would spoil.
    #[error(
        "`{field}` has fractions and goes only from {least} to {most}; print the raw count, before it is scaled or averaged"
    )]
    Fractions {
        /// The field.
        field: String,
        /// Least value.
        least: f64,
        /// Greatest value.
        most: f64,
    },
    /// A time that jumps about.
    #[error("the time `{field}` goes back again and again; sort the log, or say that it has no time")]
    TimeGoesBack {
        /// The field.
        field: String,
    },
    /// Seconds or milliseconds.
    #[error(
        "the time `{field}` steps by about {step}, which may be seconds, milliseconds or microseconds; say which"
    )]
    UnitUnclear {
        /// The field.
        field: String,
        /// Its middle step.
        step: f64,
    },
}

/// Names as one writes them in a sentence.
fn listed(names: &[String]) -> String {
    let quoted: Vec<String> = names.iter().take(8).map(|name| format!("`{name}`")).collect();
    match quoted.split_last() {
        None => "nothing".into(),
        Some((only, [])) => only.clone(),
        Some(_) if names.len() > 8 => format!("{} and {} more", quoted.join(", "), names.len() - 8),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
    }
}

/// Reads a log that is all there.
///
/// # Errors
///
/// When the lines do not tell what the reading is.
pub fn read(bytes: &[u8], wish: Wish) -> Result<Log, Refused> {
    let mut reader = Reader::new(wish);
    reader.feed(bytes)?;
    reader.finish()
}
