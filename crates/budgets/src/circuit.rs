//! How the parts of a plan are joined: the feed from source to rail, what lies between each pin and its part, the lock.
//!
//! A projection for faces. It holds what plan and sheets tell and no more; what a builder needs and they do not tell is
//! listed as such. Nominal, and computed by nobody: every value is one of the field table or of a demand's sheet.

use crate::physics::full_v;
use crate::rules::own_regulator;
use crate::wiring::{Wire, WiringList};
use models::pins::demand::DemandKind;
use models::pins::level::{Drive, Level};
use serde::Serialize;
use station::choices::{
    FailMode, LockKind, Polarity, ReleasePlace, Route, Sounder, SupplyKind, Suppressor, Surge, Told,
};
use station::fields::field;
use station::parts::{Demand, Driver};
use station::plan::{Origin, Plan};
use station::relevance::has_lock;

/// One thing on the way of a current.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Step {
    /// What it is: `source`, `fuse`, `run`, `guard`, `capacitor`, `regulator`, `resistor`, `part`, `transistor`,
    /// `switch`, `contact`, `end`.
    pub is: &'static str,
    /// Its name for people.
    pub name: String,
    /// Value, place or kind; empty where nothing is told.
    pub says: String,
}

fn step(is: &'static str, name: impl Into<String>, says: impl Into<String>) -> Step {
    Step { is, name: name.into(), says: says.into() }
}

/// How one demand hangs on its pin.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Circuit {
    /// Number of its wire.
    pub number: usize,
    /// The demand as sentences call it, without "the".
    pub called: String,
    /// From the pin on, one after the other.
    pub line: Vec<Step>,
    /// What the pin switches or reads, from what feeds it to ground; empty where the pin carries the current itself.
    pub switched: Vec<Step>,
    /// Resistors beside the line, and the level at which it is on, in words.
    pub beside: String,
}

/// All circuits of a plan.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Circuits {
    /// From the source to the rail; empty where the plan does not tell what feeds the station.
    pub feed: Vec<Step>,
    /// One entry a demand, in the order of the plan.
    pub parts: Vec<Circuit>,
    /// From what feeds the lock over the release unit's contact and the lock back to it; empty where a call opens none.
    pub lock: Vec<Step>,
    /// What else is to be known, sentences.
    pub says: Vec<String>,
    /// What a builder needs and the plan does not tell.
    pub not_told: Vec<String>,
}

impl Circuits {
    /// The circuits of a plan whose wiring list is known.
    pub fn of(plan: &Plan, list: &WiringList) -> Self {
        let mut circuits = Self::default();
        circuits.feed(plan, list);
        for (wire, demand) in list.wires.iter().zip(&plan.parts.demands) {
            circuits.part(plan, list, wire, demand);
        }
        circuits.lock(plan);
        circuits.heard(plan);
        circuits
    }

    fn missing(&mut self, what: impl Into<String>) {
        self.not_told.push(what.into());
    }

    fn feed(&mut self, plan: &Plan, list: &WiringList) {
        let s = &plan.station;
        let source = match s.supply.kind {
            SupplyKind::Open => return self.missing("what feeds the station ([supply] kind)"),
            SupplyKind::Usb => "USB source",
            SupplyKind::Adapter => "adapter",
            SupplyKind::Bell => "bell transformer",
            SupplyKind::Bank => "power bank",
            SupplyKind::Cells => "cells",
        };
        let cells = s.supply.kind == SupplyKind::Cells;
        if cells && s.solar.peak_w > 0.0 {
            let panel =
                format!("{}, over its {} charger", shown(plan, "solar.peak"), shown(plan, "solar.charger"));
            self.feed.push(step("source", "panel", panel));
            self.missing("the charger between panel and cells, beyond its kind");
        }
        self.feed.push(step("source", source, if cells { pack(plan) } else { source_says(plan) }));
        self.fuse(plan, cells);
        // Where the volts along the feed have it, and its sheet.
        match s.supply.polarity {
            Polarity::None => {}
            Polarity::Diode => self.feed.push(step("guard", "guard", "diode in series")),
            Polarity::Bridge => self.feed.push(step("guard", "guard", "bridge of four diodes")),
            Polarity::Transistor => self.feed.push(step("guard", "guard", "transistor in series")),
        }
        self.feed.push(step("run", "cable", run_says(plan)));
        self.surge(plan);
        if s.supply.polarity != Polarity::None {
            self.says.push(
                "The guard may sit at either end of the run: the volts behind both are the same.".into(),
            );
        } else if s.supply.kind == SupplyKind::Bell {
            self.missing("the rectifier's place and type");
        }
        if s.supply.capacitor_f > 0.0 {
            let kind = shown(plan, "supply.capacitor_kind");
            self.feed.push(step(
                "capacitor",
                "capacitor",
                format!("{} {kind}, + to 0 V", shown(plan, "supply.capacitor")),
            ));
        }
        self.regulator(plan, list);
    }

    fn fuse(&mut self, plan: &Plan, cells: bool) {
        let s = &plan.station;
        let (fuse_a, fused) = (s.wiring.fuse_a, s.cell.fused);
        if cells {
            match fused {
                Told::Yes => self.feed.push(step("fuse", "fuse", "within 100 mm of each cell")),
                Told::No => self.says.push("No fuse at the cells, as the plan says.".into()),
                Told::NotSaid => self.missing("whether a fuse sits at the cells ([cell] fused)"),
            }
            if fuse_a.is_nan() && fused != Told::No {
                self.missing("the rating of that fuse ([wiring] fuse)");
            }
        }
        match fuse_a {
            fuse_a if fuse_a > 0.0 && !cells => {
                self.feed.push(step(
                    "fuse",
                    "fuse",
                    format!("{}, at the source", shown(plan, "wiring.fuse")),
                ));
            }
            fuse_a if fuse_a > 0.0 => {
                if let Some(fuse) = self.feed.iter_mut().find(|step| step.is == "fuse") {
                    fuse.says = format!("{}, {}", shown(plan, "wiring.fuse"), fuse.says);
                }
            }
            0.0 => self.says.push("No fuse in the feed, as the plan says.".into()),
            _ if !cells => self.missing("the fuse at the source ([wiring] fuse)"),
            _ => {}
        }
    }

    fn surge(&mut self, plan: &Plan) {
        let s = &plan.station;
        match s.wiring.surge {
            Surge::BothEnds | Surge::OneEnd => {
                let ends = if s.wiring.surge == Surge::BothEnds { "both ends" } else { "one end" };
                self.says.push(format!("Surge protection sits at {ends} of the run, from + to 0 V."));
                self.missing("the type of the surge protection");
            }
            Surge::None => {}
            Surge::NotSaid if s.wiring.route == Route::Outdoors => {
                self.missing("surge protection of the outdoor run ([wiring] surge)");
            }
            Surge::NotSaid => {}
        }
    }

    fn regulator(&mut self, plan: &Plan, list: &WiringList) {
        let s = &plan.station;
        let place = |to: &str| {
            let prints = list.prints.iter().filter(|print| matches_end(to, &print.print));
            prints.flat_map(|print| &print.places).map(|at| format!("{} {}", at.connector, at.place)).next()
        };
        if own_regulator(plan) {
            let at = place("feed").unwrap_or_else(|| "its feed input".into());
            let zero = place("ground").unwrap_or_else(|| "its 0 V".into());
            self.feed.push(step("end", "board", format!("+ to {at}, 0 V to {zero}; own regulator")));
            return;
        }
        let name = plan.sheet("regulator").map_or("regulator", |sheet| sheet.name.as_str());
        let volts = quantity::show(s.chip.rail_v, "V");
        self.feed.push(step("regulator", "regulator", format!("{name}, {volts} out, in the case")));
        let at = place("rail").unwrap_or_else(|| "the rail, which no connector has".into());
        let zero = place("ground").unwrap_or_else(|| "its 0 V".into());
        self.feed.push(step("end", "board", format!("+ to {at}, 0 V to {zero}")));
        self.says.push(
            "The regulator sits in the case, behind the run and every fuse of it: power and heat are reckoned so.".into(),
        );
    }

    fn part(&mut self, plan: &Plan, list: &WiringList, wire: &Wire, demand: &Demand) {
        let s = &plan.station;
        let current =
            if demand.current_a > 0.0 { quantity::show(demand.current_a, "A") } else { String::new() };
        let kind = &demand.demand.kind;
        let ends: Vec<Step> =
            wire.other_wires.iter().map(|end| step("end", end.to, first(&end.places))).collect();
        let end = |to: &str| ends.iter().find(|end| end.name == to).cloned();
        let mut line = Vec::new();
        let mut switched = Vec::new();
        if *kind == DemandKind::Plate {
            let from = if told(plan, "plate.resistor") { "" } else { ", assumed" };
            if s.plate.resistor_ohm > 0.0 {
                line.push(step("resistor", "resistor", format!("{}{from}", shown(plan, "plate.resistor"))));
            }
            line.push(step(
                "part",
                wire.called.clone(),
                format!("lead {}, from the board", quantity::show(s.plate.lead_m, "m")),
            ));
        } else if demand.driver == Driver::Transistor {
            line.push(step("transistor", "transistor", ""));
            switched.extend(end("feed"));
            switched.push(step("part", wire.called.clone(), current));
            switched.push(step("transistor", "transistor", ""));
            switched.extend(end("ground"));
            let lamp = matches!(kind, DemandKind::InfraredLamp) || demand.sheet.contains("lamp");
            self.missing(format!(
                "which transistor switches the {}, and the resistor before it",
                wire.called
            ));
            if lamp {
                self.missing(format!("what limits the current of the {}", wire.called));
            }
            if *kind == DemandKind::ChimeRelay {
                self.missing("the diode across the relay's coil");
            }
        } else if demand.demand.needs.output {
            match demand.series_ohm {
                Some(ohm) => line.push(step("resistor", "resistor", quantity::show(ohm, "ohm"))),
                None if demand.current_a > 0.0 => {
                    self.missing(format!("the resistor before the {}", wire.called));
                }
                None => {}
            }
            line.push(step("part", wire.called.clone(), current));
            line.extend(end("ground"));
        } else if let (DemandKind::CellSense, Some(high)) = (kind, over(demand)) {
            switched.push(step("end", "cells +", ""));
            switched.push(step("resistor", "resistor", quantity::show(high, "ohm")));
            switched.push(step("part", wire.called.clone(), ""));
            let low = demand.demand.load.pulls.iter().find(|pull| pull.to_v == 0.0);
            switched.extend(low.map(|pull| step("resistor", "resistor", quantity::show(pull.ohm, "ohm"))));
            switched.extend(end("ground"));
        } else if let Some(feed) = ends.iter().find(|end| end.name != "ground") {
            switched.push(feed.clone());
            switched.push(step("part", wire.called.clone(), current));
            switched.extend(end("ground"));
        } else {
            let is = if ends.is_empty() { "part" } else { "switch" };
            line.push(step(is, wire.called.clone(), demand.title.clone()));
            line.extend(end("ground"));
        }
        let beside = beside(demand, &mut self.not_told, &wire.called);
        if wire.pin.is_none() && list.board.is_some() {
            self.missing(format!("a pin for the {}", wire.called));
        }
        self.parts.push(Circuit { number: wire.number, called: wire.called.clone(), line, switched, beside });
    }

    fn lock(&mut self, plan: &Plan) {
        let s = &plan.station;
        if !has_lock(s) {
            return;
        }
        let place = match s.release.place {
            ReleasePlace::Indoors => "indoors",
            ReleasePlace::Outdoors => "outdoors",
            ReleasePlace::NotSaid => "at a place not told",
        };
        let alternating = s.lock.kind == LockKind::StrikeAc;
        let plus = if alternating { "" } else { ", its +" };
        let own = if s.release.through == Told::No { "not the station's" } else { "whose is not told" };
        let supply = format!("{}{plus}; {own}", shown(plan, "lock.volt"));
        self.lock.push(step("source", "lock's supply", supply));
        let rating = [("release.contact_inductive", " into a coil"), ("release.contact", "")]
            .into_iter()
            .find(|(path, _)| told(plan, path));
        let rating = rating.map_or("what it may switch is not told".into(), |(path, load)| {
            format!("may switch {}{load}", shown(plan, path))
        });
        let moves = match (s.lock.kind, s.lock.fail) {
            (LockKind::Magnet, _) | (_, FailMode::Safe) => "opens",
            (_, FailMode::Secure) => "closes",
            (_, FailMode::NotSaid) => "works",
        };
        let contact = format!("unit {place}; {rating}; {moves} for {} to release", seconds(plan));
        self.lock.push(step("contact", "release contact", contact));
        let across = match s.release.suppressor {
            Suppressor::NotSaid => {
                self.missing("what takes up the energy of the lock's coil ([release] suppressor)");
                String::new()
            }
            Suppressor::None => ", nothing across its coil".into(),
            Suppressor::Diode | Suppressor::Clamp if !alternating => {
                format!(", {} across its coil, the diode's band to +", suppressor(plan))
            }
            _ => format!(", {} across its coil", suppressor(plan)),
        };
        let kind = match s.lock.kind {
            LockKind::None => "lock, kind not told".into(),
            _ => shown(plan, "lock.kind").replace('-', " "),
        };
        let says = format!("{kind}, {}{across}", shown(plan, "lock.current"));
        self.lock.push(step("part", "lock", says));
        let back = if alternating { "the supply's other wire" } else { "0 V of its supply" };
        self.lock.push(step("end", "return", back));
        match s.release.through {
            Told::No => self.says.push("The lock and its unit are not joined to the station by any wire: the unit has its own supply and is told over the network.".into()),
            Told::Yes => {
                self.says.push("The lock or its unit is wired through the station, as the plan says.".into());
            }
            Told::NotSaid => {
                self.missing("whether the lock is wired through the station ([release] through_station)");
            }
        }
        self.missing("terminals and supply of the release unit");
    }

    /// What sounds in the house, and what listens at the door.
    fn heard(&mut self, plan: &Plan) {
        let wired = plan
            .parts
            .demands
            .iter()
            .any(|demand| matches!(demand.demand.kind, DemandKind::ChimeRelay | DemandKind::Sounder));
        match plan.station.notice.sounder {
            Sounder::Page => self.says.push("The bell is a page of the service: no wire.".into()),
            Sounder::Device => {
                self.says.push("The bell is a device that is told over the network: no wire.".into());
            }
            Sounder::Chime if wired => {
                self.says.push("The bell is the chime that the chime relay or sounder above works.".into());
                self.missing("the wires from the relay's contact to the chime");
            }
            Sounder::Chime => self.missing("how the chime is wired: [pins] has no chime_relay"),
            Sounder::None => {}
            Sounder::Open => self.missing("the bell ([notice] sounder)"),
        }
        self.missing("microphone and loudspeaker: no key of a plan tells of any, so none is wired");
    }
}

/// Resistors beside a line and the level at which it is on, in words; what they leave open goes to `not_told`.
fn beside(demand: &Demand, not_told: &mut Vec<String>, called: &str) -> String {
    let mut parts = Vec::new();
    if demand.demand.kind != DemandKind::CellSense {
        for pull in &demand.demand.load.pulls {
            let to = if pull.to_v > 0.0 { "rail" } else { "ground" };
            parts.push(format!("{} from the line to {to}", quantity::show(pull.ohm, "ohm")));
        }
    }
    match demand.demand.needs.pull {
        Some(Level::High) => parts.push("pulled up inside the chip".into()),
        Some(Level::Low) => parts.push("pulled down inside the chip".into()),
        None => {}
    }
    if demand.driver == Driver::Transistor && demand.demand.load.pulls.is_empty() {
        not_told.push(format!("what holds the line of the {called} at rest"));
    }
    if demand.demand.needs.output {
        parts.push(format!("on at {}", if demand.demand.active == Level::High { "high" } else { "low" }));
    }
    parts.join("; ")
}

/// The upper resistor of a divider, in ohms.
fn over(demand: &Demand) -> Option<f64> {
    match demand.demand.load.drive {
        Drive::High { ohm } => Some(ohm),
        _ => None,
    }
}

fn matches_end(to: &str, print: &str) -> bool {
    use station::parts::Other;
    [Other::Ground, Other::Rail, Other::Feed]
        .into_iter()
        .any(|other| other.word() == to && other.is_print(print))
}

/// `left 2`; empty where no connector has it.
fn first(places: &[crate::wiring::Place]) -> String {
    places.first().map_or_else(|| "on no connector".into(), |at| format!("{} {}", at.connector, at.place))
}

fn pack(plan: &Plan) -> String {
    let s = &plan.station;
    let name = plan.sheet("cell").map_or_else(|| shown(plan, "cell.chemistry"), |sheet| sheet.name.clone());
    let count =
        |series: u32, word: &str| if series > 1 { format!(", {series} {word}") } else { String::new() };
    let protected = if s.cell.protection == Told::Yes { ", each protected" } else { "" };
    format!(
        "{name}{}{}, {} full{protected}",
        count(s.cell.series, "in series"),
        count(s.cell.parallel, "side by side"),
        quantity::show(full_v(s), "V")
    )
}

fn source_says(plan: &Plan) -> String {
    let paths = ["supply.volt", "supply.limit"].into_iter().filter(|path| told(plan, path));
    let says: Vec<String> = paths.map(|path| shown(plan, path)).collect();
    if says.is_empty() { format!("{}, assumed", shown(plan, "supply.volt")) } else { says.join(", at most ") }
}

fn run_says(plan: &Plan) -> String {
    let section = plan
        .sheet("conductor")
        .map_or_else(|| quantity::show(plan.station.cable.section_m2, "m2"), |sheet| sheet.name.clone());
    let route = match plan.station.wiring.route {
        Route::Outdoors => ", outdoors",
        _ => "",
    };
    format!("{} of two wires, {section}{route}", shown(plan, "cable.run"))
}

fn suppressor(plan: &Plan) -> String {
    shown(plan, "release.suppressor").replace('-', " ")
}

fn seconds(plan: &Plan) -> String {
    if told(plan, "release.seconds") { shown(plan, "release.seconds") } else { "a time not told".into() }
}

fn told(plan: &Plan, path: &str) -> bool {
    station::fields::index_of(path).is_some_and(|index| plan.origins[index] != Origin::Assumed)
}

fn shown(plan: &Plan, path: &str) -> String {
    let field = field(path);
    field.show((field.get)(&plan.station))
}

#[cfg(test)]
mod tests {
    use super::*;
    use station::sheets::Library;
    use station::text::Source;

    fn circuits(text: &str) -> Circuits {
        let plan = Plan::read(Source::new("gate.toml", text), &Library::shipped()).expect("the test's plan");
        WiringList::of(&plan).circuits
    }

    fn of(steps: &[Step]) -> Vec<&str> {
        steps.iter().map(|step| step.is).collect()
    }

    const GATE: &str = include_str!("../../../plans/kiln-yard-gate.toml");

    /// What a line of the plan tells is drawn; without the line it is listed as not told, and never both.
    #[test]
    fn each_part_is_either_drawn_or_listed_as_not_told() {
        let whole = circuits(GATE);
        assert_eq!(of(&whole.feed), ["source", "fuse", "guard", "run", "regulator", "end"]);
        assert_eq!(of(&whole.lock), ["source", "contact", "part", "end"]);
        assert!(whole.feed[1].says.starts_with("1 A"));
        for (line, word) in [
            ("fuse = \"1 A\"", "the fuse at the source"),
            ("surge = \"both-ends\"", "surge protection of the outdoor run"),
            ("suppressor = \"diode-and-clamp\"", "the lock's coil"),
            ("through_station = \"no\"", "wired through the station"),
            ("kind = \"adapter\"", "what feeds the station"),
            ("sounder = \"page\"", "the bell"),
        ] {
            let fewer: String =
                GATE.lines().filter(|given| !given.starts_with(line)).map(|l| format!("{l}\n")).collect();
            assert_ne!(fewer.len(), GATE.len(), "{line}");
            let missing = |told: &Circuits| told.not_told.iter().any(|says| says.contains(word));
            assert!(missing(&circuits(&fewer)) && !missing(&whole), "{line}");
        }
        assert_eq!(
            circuits(&GATE.replace("fuse = \"1 A\"", "fuse = \"0 A\"")).feed.len(),
            whole.feed.len() - 1
        );
    }

    /// What a pin cannot carry is switched; what reads has its own feed; a switch closes to ground.
    #[test]
    fn the_way_from_a_pin_is_that_of_its_sheet() {
        let told = circuits(
            "[board]\nsheet = \"wren\"\n[plate]\nresistor = \"2.2 kohm\"\n[pins]\nplate = \"any\"\nstatus_lamp = \"any\"\n\
             infrared_lamp = \"any\"\npresence_sensor = \"any\"\ncell_sense = \"any\"\ntamper = \"any\"\n",
        );
        let [plate, lamp, infrared, sensor, divider, tamper] = told.parts.as_slice() else {
            panic!("{told:?}")
        };
        assert_eq!((of(&plate.line), plate.line[0].says.as_str()), (vec!["resistor", "part"], "2.2 kΩ"));
        // By hand: 3.3 V less 2 V over 270 ohm is 4.8 mA.
        assert_eq!((of(&lamp.line), lamp.line[0].says.as_str()), (vec!["resistor", "part", "end"], "270 Ω"));
        assert_eq!(of(&infrared.switched), ["end", "part", "transistor", "end"]);
        assert!(infrared.beside.contains("10 kΩ from the line to ground"));
        assert_eq!(of(&sensor.switched), ["end", "part", "end"]);
        assert_eq!(of(&divider.switched), ["end", "resistor", "part", "resistor", "end"]);
        assert_eq!(
            (of(&tamper.line), tamper.beside.as_str()),
            (vec!["switch", "end"], "pulled up inside the chip")
        );
    }
}
