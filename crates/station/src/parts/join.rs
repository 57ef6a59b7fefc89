//! The plan's board with its chip, and its demands with their sheets, in the types of `models::pins`.

use super::board::{BoardTables, Connector, PlaceIs};
use super::bus::line_name;
use super::demand::{Driver, Other};
use super::ground::Polygon;
use super::{Request, Structure};
use crate::choices::Rest;
use crate::fields::Station;
use crate::plan::find;
use crate::sheets::{Library, Sheet};
use crate::text::{Problems, Source};
use models::pins::board::{Board, BroughtOut, CameraClock, Chip, Taken, Wired};
use models::pins::camera::CameraSignal;
use models::pins::control_bus::{BusPull, Member};
use models::pins::demand::DemandKind;
use models::pins::level::{Load, Pull};
use models::pins::{board, demand};
use std::ops::Range;

/// Everything of a plan that is no scalar. Discrete: the same for every draw.
#[derive(Clone, Debug, Default)]
pub struct Parts {
    /// The board with its chip, where the plan names one whose pins are known.
    pub board: Option<BoardParts>,
    /// What wants a pin, in the order of the plan.
    pub demands: Vec<Demand>,
    /// Polygons of own ground; empty where the plan gives no boundary.
    pub boundary: Vec<Polygon>,
}

/// A board and what is known of it beside the scalars.
#[derive(Clone, Debug)]
pub struct BoardParts {
    /// Name of the board's sheet.
    pub name: String,
    /// What the board is, in words.
    pub title: String,
    /// What its chip is, in words.
    pub chip_title: String,
    /// Pins, wired parts (the camera bus first), places to solder; rail and camera clock of the nominal station.
    pub board: Board,
    /// Name in the sheet of each of `board.wired`, in the same order.
    pub wired_names: Vec<String>,
    /// The camera bus as written, faults included.
    pub camera_bus: Vec<(CameraSignal, u8)>,
    /// Connectors with everything printed on them; `board.brought_out` counts them in this order.
    pub connectors: Vec<Connector>,
    /// The camera's control bus.
    pub control_bus: ControlBus,
    /// Whether the camera ribbon lies across the antenna's end.
    pub ribbon_across_antenna: bool,
}

/// The two-wire bus of the camera: what `models::pins::control_bus::bus_faults` asks.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ControlBus {
    /// Who is on it, where the sheets say: the sensor.
    pub members: Vec<Member>,
    /// Pulls of the board.
    pub board_pulls: Vec<BusPull>,
    /// Capacitance of tracks and lead a line, in farads.
    pub lead_f: f64,
}

/// Something in the plan that wants a pin, joined with its sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Demand {
    /// Its name in the plan.
    pub name: String,
    /// What it is, in words.
    pub title: String,
    /// Name of its sheet.
    pub sheet: String,
    /// Where the sheet's facts come from.
    pub source: String,
    /// Where it stands in the plan.
    pub span: Range<usize>,
    /// What it wants of a pin in a station that sleeps; [`Parts::wanted`] for one that does not.
    pub demand: demand::Demand,
    /// Current it draws while on, in amperes; 0 where the sheet says none.
    pub current_a: f64,
    /// How long of a call it is on, in seconds; infinite: for all of it.
    pub call_s: f64,
    /// Resistor in the line to it, in ohms, where the sheet tells one.
    pub series_ohm: Option<f64>,
    /// What switches its current.
    pub driver: Driver,
    /// Whether it has no supply while the station sleeps.
    pub unpowered_in_sleep: bool,
    /// Where its other wires go.
    pub others: Vec<Other>,
}

/// Resistance in a line where the sheet tells no resistor: the output's own. Typical, from memory.
const LINE_OHM: f64 = 50.0;

impl Demand {
    /// Resistance in the line to it, in ohms.
    pub fn line_ohm(&self) -> f64 {
        self.series_ohm.unwrap_or(LINE_OHM)
    }
}

impl Parts {
    /// The demands in the order of the plan; only a station that sleeps needs pins that wake it or hold a level.
    pub fn wanted(&self, rest: Rest) -> Vec<demand::Demand> {
        let awake = rest != Rest::Sleep;
        self.demands
            .iter()
            .map(|joined| {
                let mut demand = joined.demand.clone();
                if awake {
                    demand.needs.wake = None;
                    demand.needs.hold = None;
                }
                demand
            })
            .collect()
    }
}

/// Capacitance of the camera's control lines where the sheet does not say. Typical, from memory.
const LEAD_F: f64 = 20e-12;

/// The plan's own facts of its plate, which its sheet cannot know.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Plate {
    /// Leak to ground when wet, in ohms, at its low end: 95 of 100 plates leak less.
    pub wet_ohm: f64,
    /// Whether the plan states that leak, so that it wins over what the demand's sheet says.
    pub wet_given: bool,
    /// Wire from the plate to the board, in metres.
    pub lead_m: f64,
}

impl Plate {
    /// Puts them on a demand, if that is a plate.
    fn put_on(self, demand: &mut demand::Demand) {
        if demand.kind != DemandKind::Plate {
            return;
        }
        demand.lead_m = self.lead_m;
        if self.wet_given || demand.load.wet_leak_ohm.is_none() {
            demand.load.wet_leak_ohm = Some(self.wet_ohm);
        }
    }
}

/// Joins the plan's requests with their sheets, and its board with its chip.
pub(crate) fn join(
    source: &Source,
    sheets: &[Sheet],
    (station, plate): (&Station, Plate),
    requests: Vec<Request>,
    library: &Library,
    problems: &mut Problems,
) -> Parts {
    let of_kind = |kind: &str| sheets.iter().find(|sheet| sheet.kind.name == kind);
    let mut parts = Parts::default();
    if let (Some(sheet), Some(chip_sheet)) = (of_kind("board"), of_kind("chip"))
        && let Structure::Board(tables) = &sheet.structure
        && let Structure::Chip(chip) = &chip_sheet.structure
    {
        let (board, wired_names) = board_of(tables, chip, station.chip.rail_v, station.camera.clock_hz);
        pins_on_chip(tables, chip, &chip_sheet.name, &sheet.text, problems);
        let members = of_kind("sensor").and_then(|sheet| match &sheet.structure {
            Structure::Sensor(member) => Some(*member),
            _ => None,
        });
        parts.board = Some(BoardParts {
            name: sheet.name.clone(),
            title: sheet.title.clone(),
            chip_title: chip_sheet.title.clone(),
            board,
            wired_names,
            camera_bus: tables.camera_bus.iter().map(|line| (line.signal, line.pin)).collect(),
            connectors: tables.connectors.clone(),
            control_bus: ControlBus {
                members: members.into_iter().collect(),
                board_pulls: tables.control_bus.pull.into_iter().collect(),
                lead_f: tables.control_bus.lead_f.unwrap_or(LEAD_F),
            },
            ribbon_across_antenna: tables.ribbon_across_antenna,
        });
    }
    for request in requests {
        if let (Some(fixed), Some(board)) = (request.fixed, &parts.board)
            && board.board.chip.pins.iter().all(|pin| pin.number != fixed)
        {
            let says = format!("`pins.{}` is fixed to IO{fixed}, which the chip does not have", request.name);
            problems.add(
                source,
                request.span.clone(),
                says,
                Some(format!("it has {}", runs(&board.board.chip))),
            );
        }
        let Some(sheet) = find("demand", &request.sheet, library, source, request.sheet_at.clone(), problems)
        else {
            continue;
        };
        if let Structure::Demand(tables) = &sheet.structure {
            let mut demand = tables.demand(&request.name, station.chip.rail_v, request.fixed);
            plate.put_on(&mut demand);
            parts.demands.push(Demand {
                demand,
                current_a: tables.current_a,
                call_s: tables.call_s,
                series_ohm: tables.series_ohm,
                driver: tables.driver,
                unpowered_in_sleep: tables.unpowered_in_sleep,
                others: tables.others.clone(),
                name: request.name,
                title: sheet.title,
                sheet: sheet.name,
                source: sheet.source,
                span: request.span,
            });
        }
    }
    parts
}

/// The board on a chip fed with `rail_v` volts, its camera clocked at `clock_hz`; and the names of its wired parts.
pub(crate) fn board_of(
    tables: &BoardTables,
    chip: &Chip,
    rail_v: f64,
    clock_hz: f64,
) -> (Board, Vec<String>) {
    let mut wired = Vec::new();
    let mut names = Vec::new();
    for line in &tables.camera_bus {
        let mut load: Load = line.load.at_rail(rail_v);
        let is_control = matches!(line.signal, CameraSignal::SccbClock | CameraSignal::SccbData);
        if let Some(pull) = tables.control_bus.pull.filter(|_| is_control) {
            load.pulls.push(Pull { ohm: pull.ohm, to_v: pull.rail_v });
        }
        wired.push(Wired { pin: line.pin, part: Taken::Camera(line.signal), shares: false, load });
        names.push(line_name(line.signal));
    }
    for part in &tables.wired {
        wired.push(Wired {
            pin: part.pin,
            part: part.part,
            shares: part.shares,
            load: part.load.at_rail(rail_v),
        });
        names.push(part.name.clone());
    }
    let mut brought_out = Vec::new();
    for (number, connector) in (0u8..).zip(&tables.connectors) {
        for (position, place) in (0u8..).zip(&connector.places) {
            if let PlaceIs::Pin(pin) = place.is {
                brought_out.push(BroughtOut { pin, connector: number, position, track_m: connector.track_m });
            }
        }
    }
    let board = Board {
        chip: board::Chip { vdd_v: rail_v, ..chip.clone() },
        wired,
        brought_out,
        pads: tables.pads.iter().map(|(pin, _)| *pin).collect(),
        camera_clock: tables.camera_timer.map(|timer| CameraClock { timer, hz: clock_hz.round() as u32 }),
    };
    (board, names)
}

/// Every pin that the board names must be on its chip.
fn pins_on_chip(tables: &BoardTables, chip: &Chip, chip_name: &str, text: &Source, problems: &mut Problems) {
    let bus = tables.camera_bus.iter().map(|line| (line.pin, &line.at));
    let wired = tables.wired.iter().map(|part| (part.pin, &part.at));
    let places = tables.connectors.iter().flat_map(|connector| &connector.places);
    let places = places.filter_map(|place| match place.is {
        PlaceIs::Pin(pin) => Some((pin, &place.at)),
        PlaceIs::Label(_) => None,
    });
    let pads = tables.pads.iter().map(|(pin, at)| (*pin, at));
    for (pin, at) in bus.chain(wired).chain(places).chain(pads) {
        if chip.pins.iter().all(|known| known.number != pin) {
            let says = format!("IO{pin} is no pin of chip \"{chip_name}\"");
            problems.add(text, at.clone(), says, Some(format!("it has {}", runs(chip))));
        }
    }
}

/// The chip's pin numbers, runs drawn together: `IO0 .. IO5, IO12`.
fn runs(chip: &Chip) -> String {
    let mut numbers: Vec<u8> = chip.pins.iter().map(|pin| pin.number).collect();
    numbers.sort_unstable();
    let runs = numbers.chunk_by(|a, b| b - a == 1).map(|run| match run {
        [one] => format!("IO{one}"),
        [first, .., last] => format!("IO{first} .. IO{last}"),
        [] => String::new(),
    });
    runs.collect::<Vec<_>>().join(", ")
}
