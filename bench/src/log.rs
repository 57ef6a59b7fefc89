//! A day of readings, twenty a second, from text to counts and times: the table beside pandas' parser, which is told the
//! types that ours finds out; lines that pandas has no reader for, in yards. One thread, text in memory on both sides.

use anyhow::{Result, ensure};
use bench::{PAIRS_MIN, Row, paired, peer, seconds, timed, yard_s};
use serde_json::json;
use std::fmt::Write as _;
use tune::lines::{Wish, read};

/// Readings of a day.
const LINES: u32 = 20 * 86_400;
/// Bytes a second that are wanted of every spelling.
const WANTED_B_S: f64 = 150e6;
/// A yard on the machine for which that was said, s.
const YARD_S: f64 = 0.056;

/// The table, then lines of the probe and of a serial monitor.
pub(crate) fn rows() -> Result<Vec<Row>> {
    let question = json!({ "lines": LINES });
    let table = spelled(Some("time_s,count"), |out, at, count| {
        writeln!(out, "{}.{:03},{count}", at / 20, at % 20 * 50)
    });
    let theirs = peer("log_pandas.py", &[], &question)?["sum"].as_u64();
    ensure!(theirs == Some(sum(&table)?), "the two read other counts");
    let times = paired(
        PAIRS_MIN,
        || Ok(timed(|| sum(&table)).1),
        || seconds(&peer("log_pandas.py", &[], &question)?, "seconds"),
    )?;
    let note = |text: &str, ours_s: f64| format!("one thread; {:.0} MB/s", text.len() as f64 / ours_s / 1e6);
    let note_of_table = note(&table, times.ours_s);
    let mut rows = vec![Row::new(
        "a day of a plate's log, two columns",
        "pandas.read_csv, C parser, types told",
        times,
        // As fast as a parser that is told the types, give or take the machine's mood.
        0.75,
        &note_of_table,
    )];
    let probe = spelled(None, |out, at, count| writeln!(out, "dw ms={} plate={count}", at * 50));
    let monitor = spelled(None, |out, at, count| {
        let (second, ms) = (at / 20, at % 20 * 50);
        let (hour, minute) = (second / 3600, second / 60 % 60);
        writeln!(out, "[{hour:02}:{minute:02}:{:02}.{ms:03}] touch: {count}", second % 60)
    });
    for (name, text) in [("lines of the probe", &probe), ("lines of a serial monitor", &monitor)] {
        ensure!(Some(sum(text)?) == theirs, "{name}: other counts");
        let yards = text.len() as f64 / WANTED_B_S / YARD_S;
        let times = paired(PAIRS_MIN, || Ok(timed(|| sum(text)).1), || Ok(yards * yard_s()))?;
        let note = note(text, times.ours_s);
        rows.push(Row::new(
            &format!("a day of a plate's log, {name}"),
            &format!("{yards:.1} yards"),
            times,
            1.0,
            &note,
        ));
    }
    Ok(rows)
}

/// A log of [`LINES`] invented readings about 950; the peer makes the same.
fn spelled(header: Option<&str>, line: impl Fn(&mut String, u32, u32) -> std::fmt::Result) -> String {
    let mut text = header.map(|header| format!("{header}\n")).unwrap_or_default();
    let mut state = 12_345_u32;
    for at in 0..LINES {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        line(&mut text, at, 940 + (state >> 24) % 20).expect("a text takes everything");
    }
    text
}

/// Reads the log; the sum of its counts.
fn sum(text: &str) -> Result<u64> {
    let log = read(text.as_bytes(), Wish::default()).map_err(|refused| anyhow::anyhow!("{refused:?}"))?;
    ensure!(log.streams.len() == 1 && log.streams[0].clock().is_some(), "one plate with times");
    Ok(log.streams[0].counts().iter().map(u64::from).sum())
}
