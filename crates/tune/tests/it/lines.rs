//! `tune::lines` from outside.

mod clocks;
mod hostile;
mod refused;
mod round_trip;
mod samples;

use std::fmt::Write;
use tune::lines::{Log, Refused, Wish, read};

/// `NAME: counts @ times in seconds` for every plate, a line each; without times nothing behind the counts.
pub(crate) fn shown(log: &Log) -> String {
    let mut out = String::new();
    for stream in &log.streams {
        let counts: Vec<String> = stream.counts().iter().map(|count| count.to_string()).collect();
        let times: Vec<String> = (0..stream.counts().len())
            .filter_map(|sample| stream.time_s(sample))
            .map(|time| ((time * 1e6).round() / 1e6).to_string())
            .collect();
        let _ =
            write!(out, "{}{}: {}", if out.is_empty() { "" } else { "\n" }, stream.name(), counts.join(" "));
        if !times.is_empty() {
            let _ = write!(out, " @ {}", times.join(" "));
        }
    }
    out
}

#[track_caller]
pub(crate) fn check(text: &str, expected: &str) -> Log {
    check_wish(text, Wish::default(), expected)
}

#[track_caller]
pub(crate) fn check_wish(text: &str, wish: Wish, expected: &str) -> Log {
    match read(text.as_bytes(), wish) {
        Ok(log) => {
            assert_eq!(shown(&log), expected, "{text}\n{:#?}", log.said());
            log
        }
        Err(error) => panic!("{text}\n{error}"),
    }
}

#[track_caller]
pub(crate) fn check_refused(text: &str, wish: Wish, expected: &str) -> Refused {
    match read(text.as_bytes(), wish) {
        Ok(log) => panic!("{text}\nread as {}\n{:#?}", shown(&log), log.said()),
        Err(error) => {
            assert_eq!(error.to_string(), expected, "{text}");
            error
        }
    }
}
