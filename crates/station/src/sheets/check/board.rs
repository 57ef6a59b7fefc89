//! A board on its chip: camera bus, straps, pins used twice, tables and values at odds.

use super::Found;
use crate::parts::{BoardTables, PlaceIs, Structure, board_of, bus_says};
use crate::sheets::Library;
use models::pins::board::{Board, Chip, Strap, Taken};
use models::pins::camera::{BusProblem, CameraSignal, check_camera_bus};
use models::pins::level::{Level, Load};
use models::pins::sleep::{HoldVerdict, sleep_hold};
use models::pins::strap::{Starts, StrapVerdict, judge_strap};
use std::ops::Range;

/// Camera clock at which a board is looked at: only its timer matters here.
const CLOCK_HZ: f64 = 20e6;

pub(super) fn check(found: &mut Found<'_>, tables: &BoardTables, library: &Library) {
    for kind in ["sensor", "lens", "regulator"] {
        found.named(kind, library);
    }
    let is_named = found.sheet.refs.iter().any(|(kind, _, _)| *kind == "chip");
    if !is_named {
        found.add(
            0..0,
            "the board names no chip",
            "add chip = \"…\": without it nothing can be said of its pins",
        );
    }
    let chip_sheet = found.named("chip", library);
    let chip = chip_sheet.as_ref().and_then(|sheet| match &sheet.structure {
        Structure::Chip(chip) => Some(chip),
        _ => None,
    });
    camera_bus(found, tables, chip);
    used_twice(found, tables);
    values(found, tables);
    if let Some(chip) = chip {
        let (board, _) = board_of(tables, chip, chip.vdd_v, CLOCK_HZ);
        on_chip(found, tables, &board);
        straps(found, tables, &board);
        held(found, tables, &board);
    }
}

fn camera_bus(found: &mut Found<'_>, tables: &BoardTables, chip: Option<&Chip>) {
    let lines: Vec<_> = tables.camera_bus.iter().map(|line| (line.signal, line.pin)).collect();
    if lines.is_empty() {
        found.add(
            0..0,
            "the board has no [camera_bus]",
            "add it: d0 to d7, vsync, href, pclk, xclk, sccb_clock, sccb_data",
        );
        return;
    }
    for problem in check_camera_bus(&lines, chip) {
        let (says, hint) = bus_says(&problem);
        let about = |signal: CameraSignal, pin: Option<u8>| {
            let mut lines = tables.camera_bus.iter().rev();
            let line = lines.find(|line| line.signal == signal && pin.is_none_or(|pin| line.pin == pin));
            line.map_or(0..0, |line| line.at.clone())
        };
        let at = match &problem {
            BusProblem::Missing(_) => tables.camera_bus[0].at.clone(),
            BusProblem::TooManyData { stray, pin, .. } => about(*stray, Some(*pin)),
            BusProblem::TwoPins { signal, .. } => about(*signal, None),
            BusProblem::SamePin { pin, signals } => {
                signals.last().map_or(0..0, |signal| about(*signal, Some(*pin)))
            }
            BusProblem::NotOnChip { signal, pin }
            | BusProblem::CannotBeRead { signal, pin }
            | BusProblem::CannotBeDriven { signal, pin }
            | BusProblem::Held { signal, pin, .. } => about(*signal, Some(*pin)),
        };
        found.add(at, &says, hint);
    }
}

/// A pin with two parts, of which one at least does not share; lines of one bus are the bus's own matter.
fn used_twice(found: &mut Found<'_>, tables: &BoardTables) {
    let bus = tables.camera_bus.iter().map(|line| (line.pin, "the camera bus", false, &line.at));
    let wired = tables.wired.iter().map(|part| (part.pin, part.name.as_str(), part.shares, &part.at));
    let all: Vec<_> = bus.chain(wired).collect();
    for (index, (pin, name, shares, at)) in all.iter().enumerate().skip(tables.camera_bus.len()) {
        let other = all[..index].iter().find(|other| other.0 == *pin && !(other.2 && *shares));
        if let Some((_, other, _, _)) = other {
            let says = format!("IO{pin} is wired to `{name}` and to {other}");
            found.add((*at).clone(), &says, "if both can hang there at once, write shares = true at each");
        }
    }
}

fn values(found: &mut Found<'_>, tables: &BoardTables) {
    let has_line = tables.camera_bus.iter().any(|line| line.signal == CameraSignal::PowerDown);
    if found.value("board.power_down").is_some_and(|says| (says != 0.0) != has_line) {
        let says = if has_line {
            "is false, but the camera bus has the line"
        } else {
            "is true, but the camera bus has no such line"
        };
        let at = found.place("board.power_down");
        found.add(at, &format!("`power_down` {says}"), "one of the two is wrong");
    }
    let is_wired = tables.wired.iter().any(|part| part.part == Taken::ExtraMemory);
    if is_wired && found.value("board.extra_memory") == Some(0.0) {
        let at = found.place("board.extra_memory");
        found.add(
            at,
            "`extra_memory` is 0 B, but pins are wired to it",
            "take its pins out of [wired] or say its size",
        );
    }
    found.wanted(&["board.sleep_extras"]);
}

/// Connectors, pads and timer against the chip; the bus is judged elsewhere.
fn on_chip(found: &mut Found<'_>, tables: &BoardTables, board: &Board) {
    let places = tables.connectors.iter().flat_map(|connector| &connector.places);
    let places = places.filter_map(|place| match place.is {
        PlaceIs::Pin(pin) => Some((pin, &place.at)),
        PlaceIs::Label(_) => None,
    });
    let wired = tables.wired.iter().map(|part| (part.pin, &part.at));
    let pads = tables.pads.iter().map(|(pin, at)| (*pin, at));
    for (pin, at) in places.chain(wired).chain(pads) {
        if board.chip.pins.iter().all(|known| known.number != pin) {
            found.add(
                at.clone(),
                &format!("IO{pin} is no pin of the board's chip"),
                "compare with the board's drawing",
            );
        }
    }
    if let Some(clock) = board.camera_clock.filter(|clock| clock.timer >= board.chip.pwm.timers) {
        let says =
            format!("the camera clock is on timer {}, the chip has {}", clock.timer, board.chip.pwm.timers);
        found.add(0..0, &says, "timers are counted from 0");
    }
}

/// Does the board start as it is sold, with nothing of the maker's on it?
fn straps(found: &mut Found<'_>, tables: &BoardTables, board: &Board) {
    for pin in &board.chip.pins {
        let Some(strap) = &pin.strap else { continue };
        let loads: Vec<&Load> =
            board.wired.iter().filter(|wired| wired.pin == pin.number).map(|wired| &wired.load).collect();
        let verdict = judge_strap(strap, &loads, board.chip.vdd_v);
        if !loads.is_empty() && verdict.starts != Starts::Always {
            found.add(
                place_of(tables, pin.number),
                &strap_says(pin.number, strap, &verdict),
                "compare pulls and drivers with the board's drawing",
            );
        }
    }
}

fn strap_says(pin: u8, strap: &Strap, verdict: &StrapVerdict) -> String {
    let level = if strap.needs == Some(Level::High) { "high" } else { "low" };
    let rests = verdict.dry_v.map_or("nothing decides its level".into(), |v| {
        format!("what the board hangs there brings it to {}", quantity::show(v, "V"))
    });
    format!("strap IO{pin} must be {level} at reset, {rests}: {}", strap.otherwise)
}

/// `power_down_held = true` needs a pin or a resistor that does it.
fn held(found: &mut Found<'_>, tables: &BoardTables, board: &Board) {
    if found.value("board.power_down_held") != Some(1.0) {
        return;
    }
    let at = found.place("board.power_down_held");
    let Some(line) = tables.camera_bus.iter().find(|line| line.signal == CameraSignal::PowerDown) else {
        found.add(
            at,
            "`power_down_held` is true, but the camera bus has no power_down line",
            "one of the two is wrong",
        );
        return;
    };
    let Some(pin) = board.chip.pins.iter().find(|pin| pin.number == line.pin) else { return };
    let load = line.load.at_rail(board.chip.vdd_v);
    if let HoldVerdict::NotHeld(_) = sleep_hold(pin, &[&load], Level::High, board.chip.vdd_v) {
        let says = format!(
            "`power_down_held` is true, but IO{} does not hold in deep sleep and no resistor does",
            line.pin
        );
        found.add(at, &says, "say false, or give the line its pull_up");
    }
}

fn place_of(tables: &BoardTables, pin: u8) -> Range<usize> {
    let wired = tables.wired.iter().map(|part| (part.pin, &part.at));
    let bus = tables.camera_bus.iter().map(|line| (line.pin, &line.at));
    wired.chain(bus).find(|(other, _)| *other == pin).map_or(0..0, |(_, at)| at.clone())
}
