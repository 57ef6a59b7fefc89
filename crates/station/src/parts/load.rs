//! What a part hangs on a pin, as a sheet says it: `pull_up`, `pull_down`, `drive`, `wet_leak`.
//!
//! The rail is not known while a sheet is read; [`HungLoad::at_rail`] turns it into the models' load.

use super::read::{take_quantity, word};
use crate::text::Problems;
use crate::tree::{Node, Table};
use models::pins::level::{Drive, Load, Pull};

/// A load without its rail.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct HungLoad {
    /// Resistor to the chip's rail, in ohms.
    pub up_ohm: Option<f64>,
    /// Resistor to ground, in ohms.
    pub down_ohm: Option<f64>,
    /// Lowest leakage to ground to expect when wet, in ohms.
    pub wet_leak_ohm: Option<f64>,
    /// What it drives by itself.
    pub drive: Drive,
}

impl HungLoad {
    /// The load on a chip fed with `rail_v` volts.
    pub fn at_rail(&self, rail_v: f64) -> Load {
        let up = self.up_ohm.map(|ohm| Pull { ohm, to_v: rail_v });
        let down = self.down_ohm.map(|ohm| Pull { ohm, to_v: 0.0 });
        Load {
            pulls: up.into_iter().chain(down).collect(),
            wet_leak_ohm: self.wet_leak_ohm,
            drive: self.drive,
        }
    }

    /// Takes the load's keys out of a table; `usual` is what it drives when the table does not say.
    pub(super) fn take(table: &mut Table<'_>, part: &str, usual: Drive, problems: &mut Problems) -> Self {
        const OHM: (f64, f64) = (1.0, 100e6);
        let up_ohm = take_quantity(table, (part, "pull_up"), "ohm", OHM, problems);
        let down_ohm = take_quantity(table, (part, "pull_down"), "ohm", OHM, problems);
        let wet_leak_ohm = take_quantity(table, (part, "wet_leak"), "ohm", OHM, problems);
        let drive = table.take("drive").and_then(|node| drive(node, part, problems)).unwrap_or(usual);
        Self { up_ohm, down_ohm, wet_leak_ohm, drive }
    }
}

/// Output resistance of a part that drives a line, where its sheet says no other. Typical, from memory.
pub(super) const OUTPUT_OHM: f64 = 100.0;

/// `"none"`, `"low"`, `"high"`, `"either"`; or `{ either = "1 kohm" }` with its output resistance.
fn drive(node: Node<'_>, part: &str, problems: &mut Problems) -> Option<Drive> {
    let what = format!("{part}.drive");
    if !node.is_table() {
        let ohm = OUTPUT_OHM;
        let words = [
            ("none", Drive::Nothing),
            ("low", Drive::Low { ohm }),
            ("high", Drive::High { ohm }),
            ("either", Drive::Either { ohm }),
        ];
        return word(node, &what, &words, problems);
    }
    let mut table = node.table(problems)?;
    let before = problems.list.len();
    let mut ohm = |key| take_quantity(&mut table, (&what, key), "ohm", (0.1, 10e6), problems);
    let (low, high, either) = (ohm("low"), ohm("high"), ohm("either"));
    table.finish("a drive", problems);
    match (low, high, either) {
        (Some(ohm), None, None) => Some(Drive::Low { ohm }),
        (None, Some(ohm), None) => Some(Drive::High { ohm }),
        (None, None, Some(ohm)) => Some(Drive::Either { ohm }),
        _ => {
            if problems.list.len() == before {
                let hint = "write { either = \"1 kohm\" }, { low = … } or { high = … }".into();
                node.problem(problems, format!("`{what}` says not one way to drive"), Some(hint));
            }
            None
        }
    }
}
