//! The station's end of the link as C for the board: presses with numbers, settings without flashing, signs.
//!
//! Four of the five files are the same for every plan; only `dw_station_config.h` is made here: the station's name, the
//! digest of what is burned, and a table of all that is turned, each with its key, what it starts with and its range.

use crate::handover::{Handover, Is, Value};
use crate::header::{burned_once, plain};
use crate::{Part, plate};
use link::Station;
use quantity::convert;
use station::fields::{FIELDS, Field, Kind, index_of};
use station::plan::Plan;
use station::reach::Reach;
use std::fmt::Write as _;

/// What `dw_station.h` calls a setting that nobody has told.
const UNTOLD: &str = "DW_UNTOLD";

/// All files of the station's end, the detector's among them.
pub fn station_end(plan: &Plan, name: &Station) -> [Part; 5] {
    [
        Part { name: "dw_plate.h", text: detector::C_HEADER.into() },
        Part { name: "dw_plate.c", text: detector::C_SOURCE.into() },
        Part { name: "dw_station.h", text: link::C_HEADER.into() },
        Part { name: "dw_station.c", text: link::C_SOURCE.into() },
        Part { name: "dw_station_config.h", text: config_text(plan, name) },
    ]
}

/// The name that the plan suggests: its own, else its file's, else `station`.
pub fn suggested_name(plan: &Plan) -> Station {
    let file = plan.source.name.rsplit(['/', '\\']).next().unwrap_or_default();
    let stem = file.rsplit_once('.').map_or(file, |(stem, _)| stem);
    [plan.name.as_str(), stem, "station"].into_iter().find_map(Station::suggested).expect("the last is one")
}

/// A row of the table.
struct Row {
    name: String,
    key: String,
    /// Words parted by a space; empty for a number.
    words: String,
    start: String,
    low: f64,
    high: f64,
    /// How many of what is stored are one.
    scale: f64,
}

impl Row {
    fn of(value: &Value) -> Self {
        let key = value.flat_key();
        // A rate counts thousandths: it is seldom whole, and the board has whole numbers alone.
        let scale = if key.ends_with("_per_s") { 1000.0 } else { 1.0 };
        let (words, low, high, start) = match value.is {
            Is::Word { names, index } => (names.join(" "), 0.0, names.len() as f64 - 1.0, index as f64),
            Is::Number { value: number, unit } => {
                let (low, high) = range(field_of(&value.key), unit);
                (String::new(), low, high, number)
            }
        };
        // The board's clock counts milliseconds: a plate is not read more often.
        let low = if key == "plate.period_us" { 1000.0 } else { low };
        let start =
            if start.is_nan() { UNTOLD.into() } else { format!("{}", (start.max(low) * scale).round()) };
        let name = key.to_uppercase().replace(['.', '-'], "_");
        Self { name, key, words, start, low: (low * scale).round(), high: (high * scale).round(), scale }
    }

    fn line(&self) -> String {
        let Self { name, key, start, low, high, scale, .. } = self;
        let words = if self.words.is_empty() { "0".to_string() } else { format!("\"{}\"", self.words) };
        format!("    X({name}, \"{key}\", {words}, {start}, {low}, {high}, {scale})")
    }
}

/// The field of a key; that of one side of a size is the size.
fn field_of(key: &str) -> &'static Field {
    let index = index_of(key).or_else(|| index_of(key.rsplit_once('.')?.0));
    &FIELDS[index.expect("a handover holds fields alone")]
}

/// The range of a number in the unit in which programs count it.
fn range(field: &Field, counted: &str) -> (f64, f64) {
    match field.kind {
        Kind::Number { unit, low, high, .. } => {
            let side = |value| convert(value, unit, counted).unwrap_or(value);
            (side(low), side(high))
        }
        Kind::Count { low, high } => (f64::from(low), f64::from(high)),
        Kind::YesNo => (0.0, 1.0),
        // Sizes are burned, and words have their own.
        Kind::Size | Kind::Choice { .. } => (0.0, 65_535.0),
    }
}

fn config_text(plan: &Plan, name: &Station) -> String {
    let handover = Handover::of(plan);
    let detector = plate::config(plan);
    let titled = match (handover.plan.as_str(), handover.revision.as_str()) {
        ("", _) => plain(&handover.file),
        (title, "") => plain(title),
        (title, revision) => format!("{}, revision {}", plain(title), plain(revision)),
    };
    let rows: Vec<String> = handover
        .values
        .iter()
        .filter(|value| value.reach == Reach::Turned)
        .map(|value| Row::of(value).line())
        .collect();
    let mut out = format!(
        "/* dw_station_config.h: {titled}.\n   Written by doorwright export station from {}. Change the plan, not this file. \
         */\n#ifndef DW_STATION_CONFIG_H\n#define DW_STATION_CONFIG_H\n\n#define DW_STATION_CONFIG_VERSION 1\n\n\
         /* Its name in topics. Two stations of one plan need two: define it before, or export with --name. */\n\
         #ifndef DW_STATION_NAME\n#define DW_STATION_NAME \"{name}\"\n#endif\n\n\
         /* Digest of the burned part, as in station_plan.h. */\n{}\n\
         /* A touch makes the count rise (1) or fall (0); the threshold where none is told. */\n\
         #define DW_TOUCH_RISES {}\n#define DW_PLATE_THRESHOLD_USUAL {}\n\n\
         /* What is turned: name, key, words, start, least, most, how many are one. */\n#define DW_SETTINGS(X) \\\n",
        plain(&handover.file),
        burned_once(&handover.burned()),
        u8::from(detector.rises),
        plate::usual_threshold(plan),
    );
    let _ = write!(out, "{}\n\n#endif\n", rows.join(" \\\n"));
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::handover::tests::{read, shipped};

    #[test]
    fn a_table_has_every_turned_value_in_the_boards_own_count() {
        let text = config_text(&shipped("kiln-yard-gate"), &Station::new("gate").expect("a name"));
        for line in [
            "    X(CAMERA_QUALITY, \"camera.quality\", 0, 14, 4, 63, 1) \\",
            "    X(CAMERA_METERING, \"camera.metering\", \"whole centre\", 1, 0, 1, 1) \\",
            "    X(PLATE_PERIOD_US, \"plate.period_us\", 0, 30000, 1000, 2000000, 1) \\",
            "    X(PLATE_THRESHOLD, \"plate.threshold\", 0, DW_UNTOLD, 1, 65535, 1) \\",
            "    X(REST_CALL_RATE_PER_S, \"rest.call_rate_per_s\", 0, 3000, 100, 60000, 1000) \\",
        ] {
            assert!(text.contains(line), "{line}\n{text}");
        }
        let turned = station::reach::reaching().filter(|(_, reach)| *reach == Reach::Turned).count();
        assert_eq!(text.matches("    X(").count(), turned);
    }

    /// A word of the table ends at a space, and a reason or a key may stand in a JSON text as it is.
    #[test]
    fn words_and_keys_are_plain() {
        for (index, _) in station::reach::reaching() {
            if let Kind::Choice { names } = FIELDS[index].kind {
                assert!(names.iter().all(|name| name.bytes().all(|b| b.is_ascii_lowercase() || b == b'-')));
            }
        }
        let plan = read("");
        for value in Handover::of(&plan).values {
            let key = value.flat_key();
            assert!(
                key.len() <= 40 && key.bytes().all(|b| b.is_ascii_lowercase() || b"._".contains(&b)),
                "{key}"
            );
        }
    }

    #[test]
    fn a_plan_without_a_name_has_that_of_its_file() {
        assert_eq!(
            suggested_name(&read("name = \"Kiln Yard, courtyard gate\"")).as_str(),
            "kiln-yard-courtyard-gate"
        );
        assert_eq!(suggested_name(&read("")).as_str(), "gate");
    }
}
