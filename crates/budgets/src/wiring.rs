//! The wiring list: what hangs on which pin, where that pin comes out, and what else would have served.
//!
//! A projection for faces, and the JSON contract of `doorwright pins --json`, which only grows. It is nominal: pins are
//! discrete and the same for every draw. Faces print it and compute none of it.

use crate::assessment::{Finding, of_study};
use crate::circuit::Circuits;
use crate::physics::{Engine, Wiring, full_v};
use crate::rule::Budget;
use crate::rules::{own_regulator, pin_words as words};
use crate::study::Study;
use models::luck::Luck;
use models::pins::board::Taken;
use serde::Serialize;
use station::choices::SupplyKind;
use station::parts::{BoardParts, Other as OtherWireTo, PlaceIs, line_name};
use station::plan::Plan;

/// Everything about the wiring of one plan.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WiringList {
    /// Name of the plan.
    pub plan: String,
    /// Its revision, where given.
    pub revision: String,
    /// File of the plan.
    pub file: String,
    /// Verdict of the pins budget, without draws.
    pub verdict: &'static str,
    /// The board, where the plan names one.
    pub board: Option<BoardName>,
    /// One entry a demand, in the order of the plan.
    pub wires: Vec<Wire>,
    /// Trouble points of the whole wiring; null where not every demand has a pin.
    pub cost: Option<u32>,
    /// No wiring costs less than this; equal to `cost` when it is proven to be the best.
    pub at_least: Option<u32>,
    /// Lines of the camera bus as the board's sheet has them, in the order of the bus.
    pub camera_bus: Vec<Line>,
    /// Other parts that the board has on pins.
    pub on_board: Vec<Line>,
    /// Where the feed goes in, sentences; empty where the plan does not tell what feeds it.
    pub feed: Vec<String>,
    /// Places of the connectors that are no pin, by what is printed there.
    pub prints: Vec<Print>,
    /// How feed, parts and lock are joined, and what of it the plan does not tell.
    pub circuits: Circuits,
    /// What does not fit, is tight or not known.
    pub findings: Vec<Finding>,
}

/// A board, by name and in words.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BoardName {
    /// Name of its sheet.
    pub name: String,
    /// What it is.
    pub title: String,
    /// What its chip is.
    pub chip: String,
}

/// One wire: from a demand to a pin.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Wire {
    /// Number on drawing and list, from 1.
    pub number: usize,
    /// Name of the demand in the plan.
    pub name: String,
    /// The demand as sentences call it, without "the".
    pub called: String,
    /// What it is, in words.
    pub title: String,
    /// Its pin; null where it found none.
    pub pin: Option<u8>,
    /// The pin that the plan fixes it to, if it does.
    pub fixed: Option<u8>,
    /// Where the pin comes out; empty for one without.
    pub places: Vec<Place>,
    /// Its other wires: `ground`, `rail`, `feed`, each with the places that serve.
    pub other_wires: Vec<OtherWire>,
    /// What is not good about the pin, and what to mind.
    pub notes: Vec<String>,
    /// Other pins that would have served, the cheapest first.
    pub others: Vec<Other>,
}

/// A place of a connector, or a pad.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Place {
    /// Name of the connector; `pad` for a pad.
    pub connector: String,
    /// Place on it, from 1; 0 for a pad.
    pub place: usize,
}

/// A print of the connectors, `GND` or `5V`, and the places that have it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Print {
    /// As the board's sheet has it.
    pub print: String,
    /// Where.
    pub places: Vec<Place>,
}

/// A wire that goes to no pin.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct OtherWire {
    /// `ground`, `rail` (what feeds the chip) or `feed` (what feeds the board).
    pub to: &'static str,
    /// Any one of these serves; empty where the board brings none out.
    pub places: Vec<Place>,
}

/// Another pin for a demand.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Other {
    /// The pin.
    pub pin: u8,
    /// Trouble points more than the wiring listed.
    pub extra_cost: u32,
    /// Demands that have to move then, each with its new pin.
    pub moves: Vec<Line>,
}

/// A name and its pin.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Line {
    /// As on the drawing: `D0`, `VSYNC`, `lamp`.
    pub name: String,
    /// Its pin.
    pub pin: u8,
}

impl WiringList {
    /// The wiring list of a plan.
    pub fn of(plan: &Plan) -> Self {
        let study = Study::nominal_of(plan, Budget::Pins);
        let assessment = of_study(&study);
        let pins = assessment.budgets.into_iter().find(|budget| budget.name == Budget::Pins.name());
        let engine = Engine::new(&plan.station, &plan.parts, &study.hoisted, Luck::Mean);
        let mut list = Self {
            plan: assessment.plan,
            revision: assessment.revision,
            file: assessment.file,
            verdict: pins.as_ref().map_or("unknown", |pins| pins.verdict),
            board: None,
            wires: Vec::new(),
            cost: None,
            at_least: None,
            camera_bus: Vec::new(),
            on_board: Vec::new(),
            feed: Vec::new(),
            prints: Vec::new(),
            circuits: Circuits::default(),
            findings: pins.map(|pins| pins.findings).unwrap_or_default(),
        };
        if let Some((board, wiring)) = plan.parts.board.as_ref().zip(engine.wiring()) {
            list.fill(plan, board, wiring);
        } else {
            list.wires = (0..plan.parts.demands.len()).map(|demand| unwired(plan, demand)).collect();
        }
        list.circuits = Circuits::of(plan, &list);
        list
    }

    fn fill(&mut self, plan: &Plan, board: &BoardParts, wiring: &Wiring) {
        self.board = Some(BoardName {
            name: board.name.clone(),
            title: board.title.clone(),
            chip: board.chip_title.clone(),
        });
        if wiring.stop.is_none() {
            (self.cost, self.at_least) = (Some(wiring.cost), Some(wiring.at_least));
        }
        self.wires = (0..wiring.wanted.len()).map(|demand| wire(plan, board, wiring, demand)).collect();
        self.feed = feed(plan, board);
        self.prints = prints(board);
        let mut bus = board.camera_bus.clone();
        bus.sort_by_key(|(signal, _)| *signal);
        self.camera_bus =
            bus.into_iter().map(|(signal, pin)| Line { name: line_name(signal), pin }).collect();
        self.on_board = board
            .board
            .wired
            .iter()
            .zip(&board.wired_names)
            .filter(|(part, _)| !matches!(part.part, Taken::Camera(_)))
            .map(|(part, name)| Line { name: name.replace('_', " "), pin: part.pin })
            .collect();
    }

    /// Names and pins as a maker's own text is held against them: the camera bus, then what the plan wired.
    pub fn signals(&self) -> Vec<(String, Option<u8>)> {
        let bus = self.camera_bus.iter().map(|line| (line.name.clone(), Some(line.pin)));
        let wires =
            self.wires.iter().filter(|wire| wire.pin.is_some()).map(|wire| (wire.name.clone(), wire.pin));
        bus.chain(wires).collect()
    }
}

fn unwired(plan: &Plan, demand: usize) -> Wire {
    let joined = &plan.parts.demands[demand];
    let called = words::the(joined);
    Wire {
        number: demand + 1,
        name: joined.name.clone(),
        called: called.strip_prefix("the ").unwrap_or(&called).to_string(),
        title: joined.title.clone(),
        pin: None,
        fixed: joined.demand.fixed,
        places: Vec::new(),
        other_wires: Vec::new(),
        notes: Vec::new(),
        others: Vec::new(),
    }
}

fn wire(plan: &Plan, board: &BoardParts, wiring: &Wiring, demand: usize) -> Wire {
    let demands = &plan.parts.demands;
    let mut wire = unwired(plan, demand);
    let Some(line) = &wiring.lines[demand] else { return wire };
    wire.pin = Some(line.pin);
    wire.places = places(board, line.pin);
    let to = |other: &OtherWireTo| OtherWire {
        to: other.word(),
        places: places_of(board, |place| matches!(place, PlaceIs::Label(print) if other.is_print(print))),
    };
    wire.other_wires = demands[demand].others.iter().map(to).collect();
    wire.notes =
        line.troubles.iter().map(|trouble| words::trouble(*trouble, line.pin, demands, board)).collect();
    if let (Some(pwm), Some(clock)) = (wiring.wanted[demand].needs.pwm, board.board.camera_clock) {
        let note =
            format!("PWM, {}: any timer but {}, which makes the camera clock", words::rate(pwm), clock.timer);
        wire.notes.push(note);
    }
    wire.others = wiring.others(&board.board)[demand]
        .iter()
        .map(|other| Other {
            pin: other.pin,
            extra_cost: other.extra_cost,
            moves: other
                .moves
                .iter()
                .map(|&(moved, pin)| Line { name: demands[moved].name.clone(), pin })
                .collect(),
        })
        .collect();
    wire
}

/// Where a pin can be reached.
fn places(board: &BoardParts, pin: u8) -> Vec<Place> {
    let mut found = places_of(board, |place| *place == PlaceIs::Pin(pin));
    if found.is_empty() && board.board.pads.contains(&pin) {
        found.push(Place { connector: "pad".into(), place: 0 });
    }
    found
}

/// The places of the connectors that are so.
fn places_of(board: &BoardParts, is: impl Fn(&PlaceIs) -> bool) -> Vec<Place> {
    let mut found = Vec::new();
    for connector in &board.connectors {
        let at = (1..).zip(&connector.places).filter(|(_, place)| is(&place.is));
        found.extend(at.map(|(place, _)| Place { connector: connector.name.clone(), place }));
    }
    found
}

/// Where the feed goes in: to the board, or to the regulator that the plan puts before it, whose output is the rail.
fn feed(plan: &Plan, board: &BoardParts) -> Vec<String> {
    let s = &plan.station;
    let source = match s.supply.kind {
        SupplyKind::Open => return Vec::new(),
        SupplyKind::Usb => "the USB lead",
        SupplyKind::Adapter => "the adapter",
        SupplyKind::Bell => "the bell transformer, rectified",
        SupplyKind::Bank => "the power bank",
        SupplyKind::Cells => "the cells",
    };
    let volts = if s.supply.kind == SupplyKind::Cells { full_v(s) } else { s.supply.volt_v };
    let volts = quantity::show(volts, "V");
    let place = |to: OtherWireTo| {
        let places = places_of(board, |place| matches!(place, PlaceIs::Label(print) if to.is_print(print)));
        match places.first() {
            Some(_) => {
                format!("the {} ({})", to.word(), any_of(&places))
            }
            None => format!("the {}, which no connector has", to.word()),
        }
    };
    let ground = place(OtherWireTo::Ground);
    if own_regulator(plan) {
        let into = place(OtherWireTo::Feed);
        return vec![format!("{source}, {volts}: + to {into}, - to {ground}.")];
    }
    let regulator = plan.sheet("regulator").map_or_else(String::new, |sheet| format!(" ({})", sheet.name));
    vec![
        format!("{source}, {volts}: + and - to the regulator{regulator}, never to the board."),
        format!(
            "the regulator, {}: + to {}, - to {ground}.",
            quantity::show(s.chip.rail_v, "V"),
            place(OtherWireTo::Rail)
        ),
    ]
}

/// Places of which any one serves: `left 2, right 2 or bottom 1`.
pub fn any_of(places: &[Place]) -> String {
    let mut each: Vec<String> = places.iter().map(|at| format!("{} {}", at.connector, at.place)).collect();
    match each.pop() {
        Some(last) if !each.is_empty() => format!("{} or {last}", each.join(", ")),
        last => last.unwrap_or_default(),
    }
}

/// What is printed at places that are no pin, each print once.
fn prints(board: &BoardParts) -> Vec<Print> {
    let mut found: Vec<Print> = Vec::new();
    for place in board.connectors.iter().flat_map(|connector| &connector.places) {
        let PlaceIs::Label(print) = &place.is else { continue };
        if found.iter().all(|known| known.print != *print) {
            let places = places_of(board, |other| other == &place.is);
            found.push(Print { print: print.clone(), places });
        }
    }
    found
}
