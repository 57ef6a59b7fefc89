//! What a sheet that reads may still have wrong: values at odds, a camera bus that cannot work, straps.
//!
//! Each finding is a warning, not an error: a sheet made from somebody's pin table is of use before it is whole.
//! Judgements that need a plan (what hangs on the pins, which picture is wanted) belong to the budgets.

mod board;
mod chip;
mod lens;

use super::{FindError, Library, Sheet};
use crate::choices::Chemistry;
use crate::fields::{Value, index_of};
use crate::parts::{DemandTables, Structure};
use crate::text::{Problem, Problems, Source};
use models::pins::demand::{DemandKind, Needs};
use std::ops::Range;

/// Reads a sheet and looks for what a reader cannot see; the library holds the sheets that it stands on.
///
/// # Errors
/// What makes the sheet unreadable.
pub fn check(source: &Source, library: &Library) -> Result<Vec<Problem>, Problems> {
    let sheet = super::read(source)?;
    let mut found = Found { sheet: &sheet, problems: Problems::default() };
    sources(&mut found);
    match &sheet.structure {
        Structure::Chip(pins) => chip::pins(&mut found, pins),
        Structure::Board(tables) => board::check(&mut found, tables, library),
        Structure::Demand(tables) => demand(&mut found, tables),
        Structure::Sensor(_) | Structure::None => {}
    }
    match sheet.kind.name {
        "chip" => chip::values(&mut found),
        "lens" => lens::check(&mut found, library),
        "sensor" => {
            found.rising(&["sensor.held", "sensor.standby", "sensor.on"]);
            found.rising(&["sensor.full_rate", "sensor.half_rate"]);
            found.wanted(&["sensor.columns", "sensor.rows", "sensor.pitch", "sensor.jpeg"]);
        }
        "cell" => cell(&mut found),
        "regulator" => {
            found.rising(&["regulator.lowest_in", "regulator.least_rail"]);
            found.rising(&["regulator.efficiency_low", "regulator.efficiency"]);
            found.wanted(&["regulator.kind", "regulator.quiescent"]);
        }
        "conductor" => found.wanted(&["cable.section"]),
        "wall" => found.wanted(&["wall.permittivity", "wall.conductivity"]),
        "cover" => found.wanted(&["cover.permittivity"]),
        "case" => found.wanted(&["case.conductivity", "case.softens"]),
        _ => {}
    }
    Ok(found.problems.sorted().list)
}

fn sources(found: &mut Found<'_>) {
    let sheet = found.sheet;
    if sheet.source.trim().is_empty() {
        let hint = "name the data sheet or page, or write \"typical, from memory\"";
        found.add(0..0, "the sheet's source is empty", hint);
    }
    for value in &sheet.values {
        if value.source.trim().is_empty() && !sheet.source.trim().is_empty() {
            found.add(
                value.span.clone(),
                "the value's source is empty",
                "name it, or leave `source` out to use the sheet's",
            );
        }
    }
    if sheet.title.trim().is_empty() {
        found.add(0..0, "the title is empty", "say in a few words what it is");
    }
}

fn demand(found: &mut Found<'_>, tables: &DemandTables) {
    if tables.needs == Needs::default() {
        let hint = "say what it must do: input, output, touch, analogue, pwm";
        found.add(0..0, "[needs] wants nothing of a pin", hint);
    }
    if tables.purpose == Some(DemandKind::Plate) && !tables.needs.touch {
        found.add(0..0, "a plate without `touch = true` feels nobody", "add touch = true to [needs]");
    }
}

fn cell(found: &mut Found<'_>) {
    found.wanted(&["cell.chemistry", "cell.capacity"]);
    let (Some(chemistry), Some(cutoff_v)) = (found.value("cell.chemistry"), found.value("cell.cutoff"))
    else {
        return;
    };
    let ocv = models::cells::chemistry::Chemistry::from(Chemistry::from_number(chemistry)).data().ocv;
    let (Some(empty), Some(full)) = (ocv.first(), ocv.last()) else { return };
    if !(empty.volt_v..full.volt_v).contains(&cutoff_v) {
        let says = format!(
            "`cutoff` is {}, but a cell of this chemistry rests between {} empty and {} full",
            quantity::show(cutoff_v, "V"),
            quantity::show(empty.volt_v, "V"),
            quantity::show(full.volt_v, "V")
        );
        found.add(found.place("cell.cutoff"), &says, "give the voltage of one cell, not of the pack");
    }
}

/// A sheet under examination, and what was found.
struct Found<'s> {
    sheet: &'s Sheet,
    problems: Problems,
}

impl Found<'_> {
    fn add(&mut self, at: Range<usize>, says: &str, hint: &str) {
        self.problems.add(&self.sheet.text, at, says, Some(hint.to_string()));
    }

    /// The sheet's own value of a field, if it says one.
    fn value(&self, path: &str) -> Option<f64> {
        let index = index_of(path)?;
        self.sheet.values.iter().find(|value| value.field == index).map(|value| value.reading.number)
    }

    /// Where the sheet says it.
    fn place(&self, path: &str) -> Range<usize> {
        let index = index_of(path);
        let value = self.sheet.values.iter().find(|value| Some(value.field) == index);
        value.map_or(0..0, |value| value.span.clone())
    }

    /// Values that a sheet of this kind is there for.
    fn wanted(&mut self, paths: &[&str]) {
        for path in paths.iter().filter(|path| self.value(path).is_none()).collect::<Vec<_>>() {
            let key = path.split_once('.').map_or(*path, |(_, key)| key);
            self.add(
                0..0,
                &format!("[values] does not say `{key}`"),
                "without it the program's assumption stands",
            );
        }
    }

    /// Values that grow from one to the next, as far as the sheet says them.
    fn rising(&mut self, paths: &[&'static str]) {
        let given: Vec<_> = paths.iter().filter_map(|path| Some((*path, self.value(path)?))).collect();
        for pair in given.windows(2) {
            if let [(low, low_value), (high, high_value)] = *pair
                && low_value > high_value
            {
                let show = |path: &str, value| crate::fields::field(path).show(value);
                let key = |path: &'static str| path.split_once('.').map_or(path, |(_, key)| key);
                let says = format!(
                    "`{}` is {}, more than `{}` with {}",
                    key(low),
                    show(low, low_value),
                    key(high),
                    show(high, high_value)
                );
                self.add(self.place(low), &says, "one of the two is wrong");
            }
        }
    }

    /// A sheet that this one names; where it cannot be had, that is said.
    fn named(&mut self, kind: &'static str, library: &Library) -> Option<Sheet> {
        let (_, name, at) = self.sheet.refs.iter().find(|(of, _, _)| *of == kind)?.clone();
        match library.find(kind, &name) {
            Ok(sheet) => Some(sheet),
            Err(FindError::NotFound { nearest, known }) => {
                let near = nearest.map_or(String::new(), |near| format!("did you mean \"{near}\"? "));
                let hint = format!("{near}known: {}", known.join(", "));
                self.add(at, &format!("there is no {kind} sheet \"{name}\""), &hint);
                None
            }
            Err(FindError::Wrong(_)) => {
                self.add(
                    at,
                    &format!("{kind} sheet \"{name}\" cannot be read"),
                    "doorwright sheets check shows why",
                );
                None
            }
        }
    }
}
