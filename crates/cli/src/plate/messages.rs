//! Readings as a station tells them (docs/station-link.md): twenty in a message, one message a line, as columns that the log
//! reader takes.
//!
//! A message that came twice is taken once; what is missing stays missing. Anything that is no such log passes as it is.

use std::collections::HashMap;
use std::fmt::Write as _;

/// What every such message has.
const MARK: &[u8] = b"\"counts\":[";
/// A line longer than any message with its topic passes as it is.
const LINE_MAX: usize = 8192;

/// Turns messages into columns, piece by piece.
#[derive(Default)]
pub(super) struct Messages {
    kind: Kind,
    line: Vec<u8>,
    /// The number that comes next, by start and id.
    next: HashMap<(u32, String), u32>,
}

#[derive(Default, PartialEq)]
enum Kind {
    /// No line has been whole yet.
    #[default]
    Unknown,
    /// A log of another kind.
    Plain,
    /// Messages of a station.
    Station,
}

impl Messages {
    /// What the log reader is to be fed for these bytes.
    pub(super) fn feed<'a>(&mut self, bytes: &'a [u8], made: &'a mut Vec<u8>) -> &'a [u8] {
        if self.kind == Kind::Plain {
            return bytes;
        }
        made.clear();
        for (at, &byte) in bytes.iter().enumerate() {
            self.line.push(byte);
            if byte == b'\n' {
                self.take(made);
            } else if self.line.len() > LINE_MAX && self.kind == Kind::Unknown {
                self.kind = Kind::Plain;
                made.append(&mut self.line);
            }
            if self.kind == Kind::Plain {
                made.extend_from_slice(&bytes[at + 1..]);
                break;
            }
        }
        made
    }

    /// What is left at the end.
    pub(super) fn finish(&mut self) -> Vec<u8> {
        let mut made = Vec::new();
        if !self.line.is_empty() {
            self.take(&mut made);
        }
        made
    }

    /// A whole line. The first that is a message decides; what comes before it are greetings and health.
    fn take(&mut self, made: &mut Vec<u8>) {
        let line = std::mem::take(&mut self.line);
        let is_message = line.windows(MARK.len()).any(|window| window == MARK);
        if self.kind == Kind::Unknown {
            // Other messages of a station may come first; any other line says that this is none.
            let may_be = is_message || line.windows(8).any(|window| window == b"\"up_ms\":");
            self.kind = if is_message { Kind::Station } else { Kind::Unknown };
            if !may_be {
                self.kind = Kind::Plain;
                made.extend_from_slice(&line);
                return;
            }
            if is_message {
                made.extend_from_slice(b"time_us,plate\n");
            }
        }
        if is_message {
            match line.iter().position(|byte| *byte == b'{').map(|at| serde_json::from_slice(&line[at..])) {
                Some(Ok(readings)) => self.columns(&readings, made),
                // It is counted as a line that could not be read.
                _ => made.extend_from_slice(&line),
            }
        }
    }

    fn columns(&mut self, readings: &link::Readings, made: &mut Vec<u8>) {
        let next = self.next.entry((readings.boot, readings.id.to_string())).or_default();
        if readings.first < *next {
            return;
        }
        *next = readings.first.saturating_add(readings.counts.len() as u32);
        let mut text = String::new();
        for (at, count) in readings.counts.iter().enumerate() {
            let time_us = (u64::from(readings.first) + at as u64) * u64::from(readings.period_us);
            let _ = writeln!(text, "{time_us},{count}");
        }
        made.extend_from_slice(text.as_bytes());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(log: &str, piece: usize) -> String {
        let (mut messages, mut made, mut out) = (Messages::default(), Vec::new(), Vec::new());
        for bytes in log.as_bytes().chunks(piece) {
            out.extend_from_slice(messages.feed(bytes, &mut made));
        }
        out.extend(messages.finish());
        String::from_utf8(out).expect("text")
    }

    #[test]
    fn messages_become_columns_and_a_doubled_one_is_taken_once() {
        let message = |first: u32, counts: &str| {
            format!(
                "from/gate/readings {{\"boot\":1,\"up_ms\":9,\"id\":\"t\",\"first\":{first},\"period_us\":30000,\"counts\":[{counts}]}}\n"
            )
        };
        let health = "from/gate/health {\"boot\":1,\"up_ms\":9,\"why\":\"due\"}\n";
        let log =
            [health, &message(0, "950,951"), &message(0, "950,951"), health, &message(4, "949")].concat();
        for piece in [1, 7, 4096] {
            assert_eq!(all(&log, piece), "time_us,plate\n0,950\n30000,951\n120000,949\n");
            assert_eq!(all(log.trim_end(), piece), "time_us,plate\n0,950\n30000,951\n120000,949\n");
        }
    }

    #[test]
    fn any_other_log_passes_as_it_is() {
        for log in ["a,b\n1,2\n", "", "950\n951", "{\"plate\":950}\n{\"plate\":951}\n", &"9".repeat(20_000)] {
            for piece in [1, 4096] {
                assert_eq!(all(log, piece), *log);
            }
        }
    }
}
