//! What a sheet says that is no scalar (pins of chips and boards, needs of demands), a plan's `[pins]`,
//! and its boundary on the ground.
//!
//! Reading is `read_structure`, one file a kind of sheet; joining is `join`: the board with its chip, and the
//! demands with their sheets, as `models::pins` wants them. A cell has no tables: its chemistry chooses the curves.
//! Nothing here solves or judges wiring.

mod board;
mod bus;
mod chip;
mod demand;
mod ground;
mod join;
mod load;
mod read;
mod sensor;

pub use board::{
    BoardTables, BusLine, Connector, ConnectorPlace, ControlBusTable, PlaceIs, WiredPart, bus_key,
};
pub use bus::{holder, line_name, says as bus_says};
pub use demand::{DemandTables, Driver, Other};
pub use ground::Polygon;
pub(crate) use ground::read_boundary;
pub use join::{BoardParts, ControlBus, Demand, Parts};
pub(crate) use join::{Plate, board_of, join};
pub use load::HungLoad;

use crate::text::Problems;
use crate::tree::Table;
use models::pins::board::Chip;
use models::pins::control_bus::Member;
use std::ops::Range;

/// The tables of a sheet.
#[derive(Clone, Debug, PartialEq, Default)]
pub enum Structure {
    /// The kind, or this sheet, has none.
    #[default]
    None,
    /// Pins and peripherals; the rail is 3.3 V until a plan is joined.
    Chip(Chip),
    /// Bus, wired parts and connectors.
    Board(BoardTables),
    /// A sensor's place on the control bus.
    Sensor(Member),
    /// Needs and load.
    Demand(DemandTables),
}

/// Something in the plan that wants a pin.
#[derive(Clone, Debug, PartialEq)]
pub struct Request {
    /// Its name in the plan.
    pub name: String,
    /// The demand sheet it is of.
    pub sheet: String,
    /// Where the plan says which sheet: the key itself, or what `is` says.
    pub sheet_at: Range<usize>,
    /// Pin the plan fixes it to.
    pub fixed: Option<u8>,
    /// Where its value stands in the plan.
    pub span: Range<usize>,
}

/// Reads the tables that a kind of sheet has beside its scalars.
pub(crate) fn read_structure(
    kind: &str,
    table: &mut Table<'_>,
    _from: &str,
    problems: &mut Problems,
) -> Structure {
    match kind {
        "chip" => chip::read(table, problems).map_or(Structure::None, Structure::Chip),
        "board" => Structure::Board(board::read(table, problems)),
        "sensor" => sensor::read(table, problems).map_or(Structure::None, Structure::Sensor),
        "demand" => Structure::Demand(demand::read(table, problems)),
        _ => Structure::None,
    }
}

/// Demands of one plan: more than any chip has pins, and a bound for what a hostile plan may ask to be solved.
pub const MOST_DEMANDS: usize = 64;

/// Reads `[pins]`: each key a demand, each value `"any"`, a pin, or `{ is = "lamp", pin = 4 }`.
pub(crate) fn read_demands(mut table: Table<'_>, problems: &mut Problems) -> Vec<Request> {
    let mut requests = Vec::new();
    let rest = table.take_rest();
    if let Some((_, key_at, _)) = rest.get(MOST_DEMANDS) {
        let says = format!("[pins] names {} things that want a pin; no chip has that many pins", rest.len());
        problems.add(table.source(), key_at.clone(), says, Some(format!("at most {MOST_DEMANDS}")));
    }
    for (name, key_at, node) in rest.into_iter().take(MOST_DEMANDS) {
        let mut request = Request {
            name: name.into(),
            sheet: name.replace('_', "-"),
            sheet_at: key_at,
            fixed: None,
            span: node.span(),
        };
        let pin = if node.is_table() {
            let Some(mut inner) = node.table(problems) else { continue };
            if let Some((is, at)) = inner.take_text("is", problems) {
                (request.sheet, request.sheet_at) = (is.into(), at);
            }
            let pin = inner.take("pin");
            inner.finish("a demand for a pin", problems);
            pin
        } else {
            Some(node)
        };
        if let Some(pin) = pin
            && pin.text() != Some("any")
        {
            request.fixed = read::pin_of(pin);
            if request.fixed.is_none() {
                let says = format!("`pins.{name}` is no pin: {}", pin.written());
                pin.problem(problems, says, Some("write \"any\", 4 or \"IO4\"".into()));
                continue;
            }
        }
        requests.push(request);
    }
    requests
}
