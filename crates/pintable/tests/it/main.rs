//! pintable from outside: tables as people publish them, as data.

mod against;
mod formats;
mod hostile;
mod meaning;
mod sheets;

use pintable::{Format, Reading, Signal, read};

/// The pins of an invented board that every format's example describes, in sheet order.
pub(crate) const GATE: &str = "d0=4 d1=16 d2=17 d3=18 d4=19 d5=21 d6=22 d7=5 vsync=25 href=23 pclk=26 xclk=0 sccb_clock=27 sccb_data=14";

/// `key=pin` for every entry, bus lines in sheet order, then the rest in the order of the text.
pub(crate) fn pins(reading: &Reading) -> String {
    let mut entries: Vec<_> = reading.entries.iter().collect();
    entries.sort_by_key(|e| if e.signal.is_bus() { (0, Some(e.signal.clone())) } else { (1, None) });
    let shown = |p: Option<pintable::PinNumber>| p.map_or("nc".to_string(), |p| p.to_string());
    entries.iter().map(|e| format!("{}={}", e.signal.key(), shown(e.pin))).collect::<Vec<_>>().join(" ")
}

pub(crate) fn problems(reading: &Reading) -> Vec<String> {
    reading.problems.iter().map(|p| format!("{}: {p}", p.line())).collect()
}

/// Reads with the format found by itself and expects exactly these pins and no problem.
pub(crate) fn check(text: &str, format: Format, expected: &str) -> Reading {
    let reading = read(text, Format::Auto);
    assert_eq!(reading.format, format, "{text}");
    assert_eq!(pins(&reading), expected, "{text}\n{:?}\n{:?}", problems(&reading), reading.not_understood);
    assert_eq!(problems(&reading), Vec::<String>::new(), "{text}");
    for entry in &reading.entries {
        let written = &text[entry.span.clone()];
        let line = text.lines().nth(entry.line - 1).unwrap();
        let at_column: String = line.chars().skip(entry.column - 1).collect();
        assert!(
            at_column.starts_with(written.lines().next().unwrap()),
            "{entry:?}: {written:?} at {at_column:?}"
        );
    }
    reading
}

pub(crate) fn pin(reading: &Reading, signal: &Signal) -> Option<u8> {
    reading.pin(signal).map(pintable::PinNumber::get)
}
