//! A plan's pins against whatever text the maker keeps.
//!
//! Marked lines win; everything else is found by [`crate::read`]'s readers. Where the text holds several boards, the
//! one that agrees with most of the plan is meant.

use crate::marks::{MarkError, marks};
use crate::pin::PinNumber;
use crate::reading::{Entry, Format, Reading, read_with};
use crate::signal::{self, Signal};

/// A signal with the same pin in plan and text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Agreed {
    /// The plan's name.
    pub signal: String,
    /// The pin; `None` where both say "not connected".
    pub pin: Option<u8>,
    /// Where the text says so, from 1.
    pub line: usize,
}

/// A signal with different pins.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Differ {
    /// The plan's name.
    pub signal: String,
    /// The plan's pin.
    pub here: Option<u8>,
    /// The text's pin; `None` where it says "not connected".
    pub there: Option<u8>,
    /// The text's line, from 1.
    pub line: usize,
    /// That line, trimmed and cut to 100 characters.
    pub line_text: String,
}

/// A marked line whose number cannot be told or is no pin.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refused {
    /// The plan's name that the mark's key means.
    pub signal: String,
    /// From 1.
    pub line: usize,
    /// That line, trimmed and cut to 100 characters.
    pub line_text: String,
    /// The reason; `None` where the number is outside 0 to 127.
    pub why: Option<MarkError>,
}

/// What a plan and a text say of the same signals.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Comparison {
    /// The layout that the text was read as.
    pub format: Format,
    /// The board compared with, where the text holds several.
    pub group: Option<String>,
    /// Same pin.
    pub agree: Vec<Agreed>,
    /// Different pins; a text that names a signal twice may stand here and under `agree`.
    pub differ: Vec<Differ>,
    /// Connected in the plan, not found in the text.
    pub missing: Vec<String>,
    /// In the text with a pin, not in the plan.
    pub extra: Vec<Entry>,
    /// Marked lines that do not tell their pin.
    pub refused: Vec<Refused>,
}

/// Compares a plan's pins (`wanted`: name and pin, `None` for not connected) with any text.
///
/// Names are matched as signals where the trade knows them (`D0`, `camera_bus.sccb_data`), else by their own words
/// with "pin" left out (`plate` is found as `PLATE_PIN` and in `dw: plate.pin`).
///
/// ```
/// let text = "#define VSYNC_PIN 25\n#define PLATE_PIN 33";
/// let result = pintable::compare(text, &[("VSYNC", Some(25)), ("plate", Some(27))]);
/// assert_eq!(result.agree[0].signal, "VSYNC");
/// assert_eq!((result.differ[0].here, result.differ[0].there, result.differ[0].line), (Some(27), Some(33), 2));
/// ```
pub fn compare<N: AsRef<str>>(text: &str, wanted: &[(N, Option<u8>)]) -> Comparison {
    let wanted: Vec<Wanted<'_>> = wanted.iter().map(|(name, pin)| Wanted::new(name.as_ref(), *pin)).collect();
    let extra: Vec<String> = wanted.iter().map(|w| w.core.clone()).filter(|c| !c.is_empty()).collect();
    let reading = read_with(text, Format::Auto, &extra);
    let agreeing = |r: &Reading| {
        wanted
            .iter()
            .filter(|w| w.pin.is_some() && w.found(r).any(|e| e.pin.map(PinNumber::get) == w.pin))
            .count()
    };
    // `max_by_key` takes the last of equals; the first board of a file is the likelier one.
    let group = reading.groups.iter().rev().max_by_key(|g| agreeing(&g.reading));
    let board = group.map_or(&reading, |g| &g.reading);
    let mut result = Comparison {
        format: reading.format,
        group: group.map(|g| g.name.clone()),
        agree: Vec::new(),
        differ: Vec::new(),
        missing: Vec::new(),
        extra: Vec::new(),
        refused: Vec::new(),
    };
    let marks = if text.len() > crate::TEXT_BYTES_MAX { Vec::new() } else { marks(text) };
    // A mark says whose number stands on its line: nobody else's.
    let marked_lines: Vec<usize> = marks.iter().map(|m| m.line).collect();
    for want in &wanted {
        let mut marked = marks.iter().filter(|m| want.is_meant_by(&m.key)).peekable();
        let by_mark = marked.peek().is_some();
        for mark in marked {
            let why = match mark.number.as_ref().map(|n| marked_pin(n.integer())) {
                Ok(MarkedPin::Pin(there)) => {
                    result.judge(want, there, mark.line, &mark.line_text);
                    continue;
                }
                Ok(MarkedPin::OutOfRange) => None,
                Err(why) => Some(why.clone()),
            };
            let (signal, line_text) = (want.name.into(), mark.line_text.clone());
            result.refused.push(Refused { signal, line: mark.line, line_text, why });
        }
        if by_mark {
            continue;
        }
        let mut found = want.found(board).filter(|e| !marked_lines.contains(&e.line)).peekable();
        if found.peek().is_none() && want.pin.is_some() {
            result.missing.push(want.name.into());
        }
        for entry in found {
            result.judge(want, entry.pin.map(PinNumber::get), entry.line, &entry.line_text);
        }
    }
    let is_extra =
        |e: &&Entry| e.pin.is_some() && !marked_lines.contains(&e.line) && !wanted.iter().any(|w| w.is(e));
    result.extra = board.entries.iter().filter(is_extra).cloned().collect();
    result
}

/// Whether a mark's key (`plate.pin`, `camera_bus.d0`, `VSYNC`) means the signal that a plan calls `name`.
///
/// ```
/// assert!(pintable::means("camera_bus.sccb_data", "SCCB data") && pintable::means("plate.pin", "plate"));
/// assert!(!pintable::means("board.power_down", "PWDN"), "that is a yes or no of the board");
/// ```
pub fn means(key: &str, name: &str) -> bool {
    Wanted::new(name, None).is_meant_by(key)
}

impl Comparison {
    fn judge(&mut self, want: &Wanted<'_>, there: Option<u8>, line: usize, line_text: &str) {
        let signal = want.name.to_string();
        if want.pin == there {
            self.agree.push(Agreed { signal, pin: there, line });
        } else {
            self.differ.push(Differ { signal, here: want.pin, there, line, line_text: line_text.into() });
        }
    }
}

/// A marked number as a pin: -1 is "not connected", 0 to 127 a pin, anything else refused.
enum MarkedPin {
    Pin(Option<u8>),
    OutOfRange,
}

fn marked_pin(number: Option<i64>) -> MarkedPin {
    match number {
        Some(-1) => MarkedPin::Pin(None),
        _ => number
            .and_then(|n| u8::try_from(n).ok())
            .and_then(PinNumber::new)
            .map_or(MarkedPin::OutOfRange, |p| MarkedPin::Pin(Some(p.get()))),
    }
}

struct Wanted<'n> {
    name: &'n str,
    signal: Option<Signal>,
    core: String,
    pin: Option<u8>,
}

impl<'n> Wanted<'n> {
    fn new(name: &'n str, pin: Option<u8>) -> Self {
        Wanted { name, signal: Signal::recognise(name), core: signal::core(name), pin }
    }

    fn is(&self, entry: &Entry) -> bool {
        match &self.signal {
            Some(signal) => entry.signal == *signal,
            None => signal::core(&entry.name_as_written) == self.core,
        }
    }

    /// All that the text says of it: doubles and strays stay visible.
    fn found<'r>(&self, reading: &'r Reading) -> impl Iterator<Item = &'r Entry> {
        reading.entries.iter().chain(&reading.set_aside).filter(|e| self.is(e))
    }

    fn is_meant_by(&self, key: &str) -> bool {
        match &self.signal {
            Some(signal) => Signal::recognise(key).as_ref() == Some(signal),
            None => signal::core(key) == self.core,
        }
    }
}
