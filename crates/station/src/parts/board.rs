//! `[camera_bus]`, `[wired]`, `[connectors]`, `[control_bus]`, `pads` and `camera_clock` of a board sheet.
//!
//! A line of the bus or a wired part is a pin number, or an inline table with `pin` and what hangs there. Places
//! are kept, so that what a chip speaks against can be shown where it was written.

use super::load::{HungLoad, OUTPUT_OHM};
use super::read::{list, pin, pin_of, pin_of_text, take_count, take_quantity, take_truth, take_word};
use crate::text::Problems;
use crate::tree::{Node, Table};
use models::pins::board::Taken;
use models::pins::camera::CameraSignal;
use models::pins::control_bus::BusPull;
use models::pins::level::Drive;
use std::ops::Range;

/// The tables of a board sheet.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BoardTables {
    /// Lines of the camera bus, as written: lines may be missing, doubled or too many.
    pub camera_bus: Vec<BusLine>,
    /// The PWM timer that makes the camera clock, where one does.
    pub camera_timer: Option<u8>,
    /// Parts on pins.
    pub wired: Vec<WiredPart>,
    /// Connectors, in the order of the text.
    pub connectors: Vec<Connector>,
    /// Pins that can be soldered to.
    pub pads: Vec<(u8, Range<usize>)>,
    /// The camera's control bus.
    pub control_bus: ControlBusTable,
    /// Whether the camera ribbon lies across the antenna's end.
    pub ribbon_across_antenna: bool,
}

/// A line of the camera bus.
#[derive(Clone, Debug, PartialEq)]
pub struct BusLine {
    /// Which.
    pub signal: CameraSignal,
    /// Its pin.
    pub pin: u8,
    /// What hangs on it at reset.
    pub load: HungLoad,
    /// Where it is written.
    pub at: Range<usize>,
}

/// A part that the board has on a pin.
#[derive(Clone, Debug, PartialEq)]
pub struct WiredPart {
    /// Its name in the sheet.
    pub name: String,
    /// Pin number.
    pub pin: u8,
    /// What it is.
    pub part: Taken,
    /// Whether something else may use the pin beside it.
    pub shares: bool,
    /// What it hangs there.
    pub load: HungLoad,
    /// Where it is written.
    pub at: Range<usize>,
}

/// A row of places to plug or solder to.
#[derive(Clone, Debug, PartialEq)]
pub struct Connector {
    /// Its name: `left`, `right`, `top`, `bottom` are drawn there, others below.
    pub name: String,
    /// Its places, in order.
    pub places: Vec<ConnectorPlace>,
    /// Track from chip to connector, in metres.
    pub track_m: f64,
}

/// A place of a connector.
#[derive(Clone, Debug, PartialEq)]
pub struct ConnectorPlace {
    /// What is there.
    pub is: PlaceIs,
    /// Where it is written.
    pub at: Range<usize>,
}

/// What a place of a connector carries.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PlaceIs {
    /// A pin of the chip.
    Pin(u8),
    /// Anything else, by its print: `5V`, `GND`, `EN`.
    Label(String),
}

/// The two-wire bus of a board: what pulls it, and what its tracks add.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ControlBusTable {
    /// Pull-up on the board.
    pub pull: Option<BusPull>,
    /// Capacitance of its tracks and lead a line, in farads, where known.
    pub lead_f: Option<f64>,
}

/// Track from chip to connector where the sheet does not say. Typical, from memory.
pub(super) const TRACK_M: f64 = 0.02;

const PARTS: [(&str, Taken); 8] = [
    ("lamp", Taken::Lamp),
    ("button", Taken::Button),
    ("card", Taken::Card),
    ("sensor", Taken::Sensor),
    ("extra-memory", Taken::ExtraMemory),
    ("flash", Taken::Flash),
    ("usb", Taken::Usb),
    ("console", Taken::Console),
];

pub(super) fn read(table: &mut Table<'_>, problems: &mut Problems) -> BoardTables {
    let mut board = BoardTables::default();
    if let Some(bus) = table.take_table("camera_bus", problems) {
        board.camera_bus = read_bus(bus, problems);
    }
    if let Some(mut clock) = table.take_table("camera_clock", problems) {
        board.camera_timer = take_count(&mut clock, ("camera_clock", "timer"), 15, problems);
        clock.finish("`camera_clock`", problems);
    }
    if let Some(mut wired) = table.take_table("wired", problems) {
        for (other, (name, _, node)) in (0u8..).zip(wired.take_rest()) {
            board.wired.extend(read_wired(name, other, node, problems));
        }
    }
    if let Some(mut connectors) = table.take_table("connectors", problems) {
        for (name, _, node) in connectors.take_rest() {
            board.connectors.extend(read_connector(name, node, problems));
        }
    }
    if let Some(node) = table.take("pads") {
        for item in list(node, "pads", problems) {
            board.pads.extend(pin(item, "pads", problems).map(|pin| (pin, item.span())));
        }
    }
    if let Some(bus) = table.take_table("control_bus", problems) {
        board.control_bus = read_control_bus(bus, problems);
    }
    board.ribbon_across_antenna =
        take_truth(table, ("", "ribbon_across_antenna"), problems).unwrap_or_default();
    board
}

/// Keys of `[camera_bus]` beside `d0` to `d15`.
const SIGNALS: [(&str, CameraSignal); 8] = [
    ("vsync", CameraSignal::Vsync),
    ("href", CameraSignal::Href),
    ("pclk", CameraSignal::Pclk),
    ("xclk", CameraSignal::Xclk),
    ("sccb_clock", CameraSignal::SccbClock),
    ("sccb_data", CameraSignal::SccbData),
    ("reset", CameraSignal::Reset),
    ("power_down", CameraSignal::PowerDown),
];
/// More than eight are a fault, but one that is better named than unknown.
const DATA: [&str; 16] =
    ["d0", "d1", "d2", "d3", "d4", "d5", "d6", "d7", "d8", "d9", "d10", "d11", "d12", "d13", "d14", "d15"];

/// The key of `[camera_bus]` for a line: `d3`, `vsync`.
pub fn bus_key(signal: CameraSignal) -> String {
    match SIGNALS.iter().find(|(_, known)| *known == signal) {
        Some((key, _)) => (*key).to_string(),
        None => super::bus::line_name(signal).to_lowercase(),
    }
}

fn read_bus(mut table: Table<'_>, problems: &mut Problems) -> Vec<BusLine> {
    let mut lines = Vec::new();
    let data = (0u8..).zip(DATA).map(|(line, key)| (key, CameraSignal::Data(line)));
    let given: Vec<_> =
        data.chain(SIGNALS).filter_map(|(key, signal)| Some((key, signal, table.take(key)?))).collect();
    if let Some(node) = table.take("data") {
        for (line, item) in (0u8..).zip(list(node, "camera_bus.data", problems)) {
            lines.extend(read_line("data", CameraSignal::Data(line), item, problems));
        }
    }
    for (key, signal, node) in given {
        lines.extend(read_line(key, signal, node, problems));
    }
    table.finish("[camera_bus]", problems);
    lines
}

fn read_line(key: &str, signal: CameraSignal, node: Node<'_>, problems: &mut Problems) -> Option<BusLine> {
    // A sensor without its clock may hold its outputs either way.
    let is_output = signal.is_read() && !signal.is_driven();
    let usual = if is_output { Drive::Either { ohm: OUTPUT_OHM } } else { Drive::Nothing };
    let what = format!("camera_bus.{key}");
    let (pin, load) = if node.is_table() {
        let mut table = node.table(problems)?;
        let pin = take_pin(&mut table, node, &what, problems);
        let load = HungLoad::take(&mut table, &what, usual, problems);
        table.finish(&format!("`{what}`"), problems);
        (pin?, load)
    } else {
        (pin(node, &what, problems)?, HungLoad { drive: usual, ..HungLoad::default() })
    };
    Some(BusLine { signal, pin, load, at: node.span() })
}

fn take_pin(table: &mut Table<'_>, node: Node<'_>, what: &str, problems: &mut Problems) -> Option<u8> {
    if let Some(node) = table.take("pin") {
        return pin(node, &format!("{what}.pin"), problems);
    }
    node.problem(problems, format!("`{what}` says no pin"), Some("write { pin = 4, … }".into()));
    None
}

fn read_wired(name: &str, other: u8, node: Node<'_>, problems: &mut Problems) -> Option<WiredPart> {
    let what = format!("wired.{name}");
    let by_name = PARTS.iter().find(|(word, _)| name.replace('_', "-").starts_with(word));
    let mut part = by_name.map_or(Taken::Other(other), |(_, part)| *part);
    if !node.is_table() {
        let pin = pin(node, &what, problems)?;
        return Some(WiredPart {
            name: name.into(),
            pin,
            part,
            shares: false,
            load: HungLoad::default(),
            at: node.span(),
        });
    }
    let mut table = node.table(problems)?;
    let pin = take_pin(&mut table, node, &what, problems);
    part = take_word(&mut table, (&what, "part"), &PARTS, problems).unwrap_or(part);
    let shares = take_truth(&mut table, (&what, "shares"), problems).unwrap_or_default();
    let load = HungLoad::take(&mut table, &what, Drive::Nothing, problems);
    table.finish(&format!("`{what}`"), problems);
    Some(WiredPart { name: name.into(), pin: pin?, part, shares, load, at: node.span() })
}

fn read_connector(name: &str, node: Node<'_>, problems: &mut Problems) -> Option<Connector> {
    let what = format!("connectors.{name}");
    let (places, track_m) = if node.is_table() {
        let mut table = node.table(problems)?;
        let places = table.take("places").map(|node| list(node, &format!("{what}.places"), problems));
        let track_m = take_quantity(&mut table, (&what, "track"), "m", (0.0, 1.0), problems);
        table.finish(&format!("`{what}`"), problems);
        (places.unwrap_or_default(), track_m)
    } else {
        (list(node, &what, problems), None)
    };
    let mut connector =
        Connector { name: name.into(), places: Vec::new(), track_m: track_m.unwrap_or(TRACK_M) };
    for item in places {
        // "5V" is a print, 5 and "IO5" are pins.
        let is = match item.text() {
            Some(text) if pin_of_text(text).is_none() => Some(PlaceIs::Label(text.to_string())),
            _ => pin_of(item).map(PlaceIs::Pin),
        };
        match is {
            Some(is) => connector.places.push(ConnectorPlace { is, at: item.span() }),
            None => item.problem(
                problems,
                format!("`{what}` has a place that is no pin: {}", item.written()),
                Some("write a pin number, or what is printed there in quotes: \"GND\"".into()),
            ),
        }
    }
    if connector.places.len() > usize::from(u8::MAX) {
        node.problem(problems, format!("`{what}` has more than {} places", u8::MAX), None);
        return None;
    }
    Some(connector)
}

fn read_control_bus(mut table: Table<'_>, problems: &mut Problems) -> ControlBusTable {
    let ohm = take_quantity(&mut table, ("control_bus", "pull_up"), "ohm", (1.0, 1e6), problems);
    let rail_v = take_quantity(&mut table, ("control_bus", "rail"), "V", (1.0, 6.0), problems);
    let lead_f = take_quantity(&mut table, ("control_bus", "lead"), "F", (0.0, 1e-8), problems);
    let pull = match (ohm, rail_v) {
        (Some(ohm), Some(rail_v)) => Some(BusPull { ohm, rail_v }),
        (None, None) => None,
        _ => {
            let hint =
                Some("the rail decides where it pulls to: pull_up = \"4.7 kohm\", rail = \"2.8 V\"".into());
            problems.add(
                table.source(),
                table.span(),
                "[control_bus] needs `pull_up` and `rail` together",
                hint,
            );
            None
        }
    };
    table.finish("[control_bus]", problems);
    ControlBusTable { pull, lead_f }
}
