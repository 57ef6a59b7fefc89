//! A reading as a board sheet.
//!
//! Writes text only; what a sheet may hold beyond this, and whether the chip has such pins, the sheet reader knows.

use std::collections::HashSet;
use std::fmt::Write as _;

use crate::reading::{Entry, Reading};
use crate::signal::Signal;

/// The board sheet of a reading, as TOML: each pin with the line it was read from, each problem as a comment on top.
///
/// Lines that are absent or not connected are left out, with a comment that says which of the two. Of several boards
/// in one text give the chosen [`crate::Group::reading`].
///
/// ```
/// use pintable::{Format, read, to_sheet};
/// let sheet = to_sheet(&read("VSYNC 25\nPLATE_PIN 27", Format::Loose), "gate", "pins.txt");
/// assert!(sheet.contains("vsync = 25"));
/// assert!(sheet.contains("[wired]\nplate_pin = 27"));
/// ```
pub fn to_sheet(reading: &Reading, name: &str, source: &str) -> String {
    let mut sheet = String::new();
    for problem in &reading.problems {
        comment(&mut sheet, &format!("line {}: {problem}", problem.line()));
    }
    let from = format!("imported from {source}");
    for (key, value) in [("kind", "board"), ("name", name), ("title", name), ("source", &from)] {
        let _ = writeln!(sheet, "{key} = {}", quoted(value));
    }
    sheet.push_str("chip = \"\"            # name the chip sheet: doorwright sheets list\n\n[camera_bus]\n");
    for signal in Signal::bus_needed().chain([Signal::Reset, Signal::PowerDown]) {
        match reading.entries.iter().find(|e| e.signal == signal) {
            Some(entry) => pin_line(&mut sheet, &signal.key(), entry),
            None if Signal::bus_needed().any(|s| s == signal) => {
                comment(&mut sheet, &format!("{}: not found", signal.key()));
            }
            None => {}
        }
    }
    sheet.push_str("\n[wired]\n");
    let mut keys = HashSet::new();
    for entry in reading.entries.iter().filter(|e| !e.signal.is_bus()) {
        let key = entry.signal.key();
        let numbered = (2..).map(|n| format!("{key}_{n}"));
        let free = std::iter::once(key.clone()).chain(numbered).find(|k| !keys.contains(k)).unwrap_or(key);
        pin_line(&mut sheet, &free, entry);
        keys.insert(free);
    }
    sheet
}

fn pin_line(sheet: &mut String, key: &str, entry: &Entry) {
    match entry.pin {
        Some(pin) => {
            let _ = write!(sheet, "{:<16} ", format!("{key} = {pin}"));
            comment(sheet, &format!("line {}: {}", entry.line, entry.line_text));
        }
        None => comment(sheet, &format!("{key}: not connected, line {}: {}", entry.line, entry.line_text)),
    }
}

/// TOML 1.0 forbids control characters in comments; a break would end one.
fn comment(sheet: &mut String, text: &str) {
    let clean: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let _ = writeln!(sheet, "# {clean}");
}

/// A TOML 1.0 basic string.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => out.extend(['\\', c]),
            c if c.is_control() => {
                let _ = write!(out, "\\u{:04X}", c as u32);
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}
