//! A sheet as rows for a reader: key, value with its spread, source.

use super::Sheet;
use crate::fields::{FIELDS, Kind};
use crate::parts::{HungLoad, PlaceIs, Structure, bus_key, holder};
use models::pins::board::{BootState, Pin, PwmRoute, Taken};
use models::pins::demand::{AnalogueUse, QuietAtBoot, Rate};
use models::pins::level::{Drive, Level};
use models::pins::sleep::WakeOn;
use quantity::Quantity;

/// One row of a sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shown {
    /// Key as in the sheet: `free`, `camera_bus.d0`, `pins.4`.
    pub key: String,
    /// Its value, spread included.
    pub value: String,
    /// Where it comes from.
    pub source: String,
}

/// All that a sheet says, scalars first, in the order of the field table; then its tables.
pub fn show(sheet: &Sheet) -> Vec<Shown> {
    let named = sheet.refs.iter().map(|(kind, name, _)| ((*kind).to_string(), name.clone(), &sheet.source));
    let values = sheet.values.iter().map(|value| {
        let field = &FIELDS[value.field];
        let text = match field.kind {
            Kind::Number { unit, .. } => {
                let quantity = Quantity { value: value.reading.number, spread: value.reading.spread };
                quantity::show_quantity(&quantity, unit)
            }
            _ => field.show(value.reading.number),
        };
        (field.key().to_string(), text, &value.source)
    });
    let tables = structure(&sheet.structure).into_iter().map(|(key, value)| (key, value, &sheet.source));
    let rows = named.chain(values).chain(tables);
    rows.map(|(key, value, source)| Shown { key, value, source: source.clone() }).collect()
}

fn structure(structure: &Structure) -> Vec<(String, String)> {
    let mut rows = Vec::new();
    let mut row = |key: &str, value: String| {
        if !value.is_empty() {
            rows.push((key.to_string(), value));
        }
    };
    match structure {
        Structure::None => {}
        Structure::Chip(chip) => {
            row("pwm", format!("{} timers, {} channels", chip.pwm.timers, chip.pwm.channels));
            row("control_bus_ports", chip.control_bus_ports.to_string());
            row("serial_ports", chip.serial_ports.to_string());
            row("camera_units", chip.camera_units.to_string());
            row("radio_blocks", joined(&chip.radio_blocks, |unit| format!("converter {unit}")));
            for pin in &chip.pins {
                row(&format!("pins.{}", pin.number), pin_text(pin));
            }
        }
        Structure::Board(board) => {
            for line in &board.camera_bus {
                row(
                    &format!("camera_bus.{}", bus_key(line.signal)),
                    format!("IO{}{}", line.pin, load_text(&line.load)),
                );
            }
            row("camera_clock", board.camera_timer.map_or(String::new(), |timer| format!("timer {timer}")));
            for part in &board.wired {
                let shares = if part.shares { ", leaves room for another" } else { "" };
                row(
                    &format!("wired.{}", part.name),
                    format!("IO{}{}{shares}", part.pin, load_text(&part.load)),
                );
            }
            for connector in &board.connectors {
                let places = joined(&connector.places, |place| match &place.is {
                    PlaceIs::Pin(pin) => format!("IO{pin}"),
                    PlaceIs::Label(label) => label.clone(),
                });
                row(&format!("connectors.{}", connector.name), places);
            }
            row("pads", joined(&board.pads, |(pin, _)| format!("IO{pin}")));
            if let Some(pull) = board.control_bus.pull {
                let text =
                    format!("{} to {}", quantity::show(pull.ohm, "ohm"), quantity::show(pull.rail_v, "V"));
                row("control_bus.pull_up", text);
            }
        }
        Structure::Sensor(member) => row("control_bus.address", format!("0x{:02x}", member.address)),
        Structure::Demand(demand) => {
            row("needs", needs_text(&demand.needs));
            row("load", load_text(&demand.load).trim_start_matches(", ").to_string());
            row("active", level(demand.active).into());
            if demand.current_a > 0.0 {
                row("current", quantity::show(demand.current_a, "A"));
            }
            if !demand.others.is_empty() {
                row("other_wires", joined(&demand.others, |other| other.word().to_string()));
            }
        }
    }
    rows
}

fn joined<T>(items: &[T], show: impl FnMut(&T) -> String) -> String {
    items.iter().map(show).collect::<Vec<_>>().join(", ")
}

fn level(level: Level) -> &'static str {
    match level {
        Level::Low => "low",
        Level::High => "high",
    }
}

fn pin_text(pin: &Pin) -> String {
    let mut text: Vec<String> = Vec::new();
    if let Some(taken) = pin.taken {
        text.push(match taken {
            Taken::Console => "console".into(),
            other => format!("taken by {}", holder(other)),
        });
    }
    if !pin.output {
        text.push("read only".into());
    }
    text.extend(pin.touch.map(|channel| format!("touch {channel}")));
    text.extend(pin.analogue.map(|input| format!("analogue {}.{}", input.unit, input.channel)));
    if let Some(PwmRoute::Timer(timer)) = pin.pwm {
        text.push(format!("PWM from timer {timer} only"));
    }
    if pin.holds_in_sleep {
        text.push("always on".into());
    }
    match pin.boot {
        BootState::Floats => {}
        BootState::PulledUp => text.push("pulled up at boot".into()),
        BootState::PulledDown => text.push("pulled down at boot".into()),
        BootState::ConsoleText => text.push("prints text at boot".into()),
    }
    if let Some(strap) = &pin.strap {
        let needs = strap
            .needs
            .map_or("either level starts".into(), |needs| format!("must be {} at reset", level(needs)));
        text.push(format!("strap, {needs}; otherwise {}", strap.otherwise));
    }
    if text.is_empty() { "in and out".into() } else { text.join(", ") }
}

/// What hangs on a pin, with a comma before it; empty when nothing does.
fn load_text(load: &HungLoad) -> String {
    let ohm = |ohm| quantity::show(ohm, "ohm");
    let mut text: Vec<String> = Vec::new();
    text.extend(load.up_ohm.map(|r| format!("{} up", ohm(r))));
    text.extend(load.down_ohm.map(|r| format!("{} down", ohm(r))));
    text.extend(load.wet_leak_ohm.map(|r| format!("leaks {} when wet", ohm(r))));
    match load.drive {
        Drive::Nothing => {}
        Drive::Low { ohm: r } => text.push(format!("drives low through {}", ohm(r))),
        Drive::High { ohm: r } => text.push(format!("drives high through {}", ohm(r))),
        Drive::Either { ohm: r } => text.push(format!("drives either way through {}", ohm(r))),
    }
    if text.is_empty() { String::new() } else { format!(", {}", text.join(", ")) }
}

fn needs_text(needs: &models::pins::demand::Needs) -> String {
    let mut text: Vec<String> = Vec::new();
    let flags = [(needs.input, "input"), (needs.output, "output"), (needs.touch, "touch")];
    text.extend(flags.into_iter().filter(|(is, _)| *is).map(|(_, word)| word.to_string()));
    text.extend(needs.analogue.map(|when| match when {
        AnalogueUse::RadioOff => "analogue, radio off".to_string(),
        AnalogueUse::RadioOn => "analogue, radio on too".to_string(),
    }));
    text.extend(needs.pwm.map(|rate| match rate {
        Rate::Fixed(hz) => format!("PWM at {}", quantity::show(f64::from(hz), "Hz")),
        Rate::Moving => "PWM for tones".to_string(),
    }));
    text.extend(needs.wake.map(|wake| match wake {
        WakeOn::Touch => "wakes by touch".to_string(),
        WakeOn::High => "wakes when high".to_string(),
        WakeOn::Low => "wakes when low".to_string(),
    }));
    text.extend(needs.hold.map(|hold| format!("rests {} in sleep", level(hold))));
    text.extend(needs.pull.map(|pull| format!("internal pull to {}", level(pull))));
    match needs.quiet_at_boot {
        QuietAtBoot::Any => {}
        QuietAtBoot::Prefers => text.push("better off until the program runs".into()),
        QuietAtBoot::Must => text.push("must be off until the program runs".into()),
    }
    text.join(", ")
}
