//! What a sheet says that is no scalar: pins of chips and boards, curves of cells, needs of demands.

use crate::sheets::{Library, Sheet};
use crate::text::{Problems, Source};
use crate::tree::Table;
use std::ops::Range;

/// The tables of a sheet.
#[derive(Clone, Debug, PartialEq, Default)]
pub enum Structure {
    /// The kind has none.
    #[default]
    None,
}

/// Something in the plan that wants a pin.
#[derive(Clone, Debug, PartialEq)]
pub struct Demand {
    /// Its name in the plan.
    pub name: String,
    /// The demand sheet it is of.
    pub sheet: String,
    /// Pin the plan fixes it to.
    pub fixed: Option<u8>,
    /// Where it stands in the plan.
    pub span: Range<usize>,
}

/// Everything of a plan that is no scalar.
#[derive(Clone, Debug, Default)]
pub struct Parts {
    /// What wants a pin.
    pub demands: Vec<Demand>,
}

/// Reads the tables that a kind of sheet has beside its scalars.
pub(crate) fn read_structure(_kind: &str, _table: &mut Table<'_>, _from: &str, _problems: &mut Problems) -> Structure {
    Structure::None
}

/// Reads `[pins]`: each key a demand, each value `"any"`, a pin, or `{ is = "lamp", pin = 4 }`.
pub(crate) fn read_demands(mut table: Table<'_>, problems: &mut Problems) -> Vec<Demand> {
    let mut demands = Vec::new();
    for (name, _, node) in table.take_rest() {
        let mut demand = Demand { name: name.into(), sheet: name.replace('_', "-"), fixed: None, span: node.span() };
        let pin = if node.is_table() {
            let Some(mut inner) = node.table(problems) else { continue };
            if let Some((is, _)) = inner.take_text("is", problems) {
                demand.sheet = is.into();
            }
            let pin = inner.take("pin");
            inner.finish("a demand for a pin", problems);
            pin
        } else {
            Some(node)
        };
        if let Some(pin) = pin {
            let written = pin.text().map_or_else(|| pin.integer().map(|n| n.to_string()), |text| Some(text.to_string()));
            let digits = written.as_deref().map(|text| text.trim().trim_start_matches("IO").trim_start_matches("io"));
            match digits {
                Some("any") => {}
                Some(digits) if digits.parse::<u8>().is_ok_and(|pin| pin < 64) => demand.fixed = digits.parse().ok(),
                _ => {
                    pin.problem(problems, format!("`pins.{name}` is no pin: {}", pin.written()), Some("write \"any\", 4 or \"IO4\"".into()));
                    continue;
                }
            }
        }
        demands.push(demand);
    }
    demands
}

/// Joins the plan's demands with the sheets' tables.
pub(crate) fn join(_source: &Source, _sheets: &[Sheet], demands: Vec<Demand>, _library: &Library, _problems: &mut Problems) -> Parts {
    Parts { demands }
}
