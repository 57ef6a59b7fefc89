//! Each pin with everything that hangs on it: at reset, until the program runs, and asleep.

use super::words::{Hanging, and, hanging, level, path, the};
use crate::physics::{Engine, Wiring};
use crate::rule::{Found, Verdict};
use models::pins::back_feed::{OffLine, Resting, back_feeds};
use models::pins::board::{BootState, Pin, Strap, Taken};
use models::pins::boot::{BootVerdict, judge_boot};
use models::pins::camera::CameraSignal;
use models::pins::demand::QuietAtBoot;
use models::pins::level::{Drive, INTERNAL_PULL_OHM, Level, Reading};
use models::pins::sleep::{HoldVerdict, WakeSet, sleep_hold};
use models::pins::strap::{Starts, StrapVerdict, judge_strap, pull_up_ohm_max};
use quantity::show;
use station::choices::Rest;
use station::parts::{BoardParts, Demand};
use station::plan::Plan;

/// Plan, wiring and board together; most checks have nothing to say without all three.
fn wired<'a>(plan: &'a Plan, engine: &Engine<'a>) -> Option<(&'a Wiring, &'a BoardParts, &'a [Demand])> {
    Some((engine.wiring()?, plan.parts.board.as_ref()?, &plan.parts.demands))
}

pub(super) fn pin_of(board: &BoardParts, number: u8) -> Option<&Pin> {
    board.board.chip.pins.iter().find(|pin| pin.number == number)
}

/// The first demand that hangs there is what the finding is about; without one it is the board.
fn about(on: &Hanging<'_>, demands: &[Demand]) -> String {
    on.demands.first().map_or_else(|| "board.sheet".into(), |demand| path(&demands[*demand]))
}

/// `pins.strap-level`: every strap, dry and wet.
pub(super) fn straps(plan: &Plan, engine: &mut Engine<'_>) -> Vec<Found> {
    let Some((wiring, board, demands)) = wired(plan, engine) else { return Vec::new() };
    let mut said = Vec::new();
    for pin in &board.board.chip.pins {
        let Some(strap) = &pin.strap else { continue };
        let on = hanging(board, demands, wiring, pin.number);
        if on.loads.is_empty() {
            continue;
        }
        let verdict = judge_strap(strap, &on.loads, board.board.chip.vdd_v);
        let Some(needs) = verdict.needs else { continue };
        let about = about(&on, demands);
        if verdict.starts != Starts::Always {
            let to_do = strap_to_do(pin.number, needs, &on, board.board.chip.vdd_v);
            said.push(Found {
                verdict: Verdict::Over,
                says: strap_says(pin.number, strap, needs, &verdict, &on),
                about,
                to_do,
            });
        } else if verdict.thin {
            let says = format!(
                "IO{} must be {} at reset; with {} it is, but not with every internal pull from 30 to 80 kΩ: some boards will not start",
                pin.number,
                level(needs),
                and(&on.names)
            );
            said.push(Found { verdict: Verdict::Tight, says, about, to_do: strap_pull(pin.number, needs) });
        }
    }
    said
}

fn strap_says(pin: u8, strap: &Strap, needs: Level, verdict: &StrapVerdict, on: &Hanging<'_>) -> String {
    let (who, many) = (and(&on.names), on.names.len() > 1);
    let holds = match (on.loads.iter().any(|load| matches!(load.drive, Drive::Either { .. })), many) {
        (true, _) => "can hold",
        (false, true) => "hold",
        (false, false) => "holds",
    };
    let volts = |v: Option<f64>| v.map_or_else(|| "no certain level".into(), |v| format!("{v:.2} V"));
    let at = |v: Option<f64>, reading: Reading| match reading {
        Reading::Floating => "nothing holds it".to_string(),
        Reading::Between => format!("{who} {holds} it at {}, neither low nor high", volts(v)),
        Reading::Low | Reading::High => format!("{who} {holds} it at {}", volts(v)),
    };
    let head = format!("IO{pin} must be {} at reset", level(needs));
    match verdict.starts {
        Starts::DryOnly => format!(
            "{head}; dry it rests at {}, wet {who} {} it to {}: started wet, {}",
            volts(verdict.dry_v),
            if many { "bring" } else { "brings" },
            volts(verdict.wet_v),
            strap.otherwise
        ),
        Starts::WetOnly => {
            format!("{head}; dry {}: started dry, {}", at(verdict.dry_v, verdict.dry), strap.otherwise)
        }
        Starts::Never | Starts::Always => {
            format!("{head}; {}: {}", at(verdict.dry_v, verdict.dry), strap.otherwise)
        }
    }
}

fn strap_pull(pin: u8, needs: Level) -> String {
    let to = if needs == Level::High { "the chip's rail" } else { "ground" };
    format!("pull IO{pin} to {to} with 4.7 to 10 kΩ, or use another pin")
}

/// A pull helps against leakage; against a part that drives, only another pin does.
fn strap_to_do(pin: u8, needs: Level, on: &Hanging<'_>, vdd_v: f64) -> String {
    let driven = on.loads.iter().any(|load| load.drive != Drive::Nothing)
        || on
            .loads
            .iter()
            .flat_map(|load| &load.pulls)
            .any(|pull| (pull.to_v > 0.5 * vdd_v) != (needs == Level::High));
    let leak = on.loads.iter().filter_map(|load| load.wet_leak_ohm).fold(f64::INFINITY, f64::min);
    if driven {
        "use another pin: this strap would have to be stronger than what hangs on it".into()
    } else if needs == Level::High && leak.is_finite() {
        format!("use another pin, or pull IO{pin} up with at most {}", show(pull_up_ohm_max(leak), "ohm"))
    } else {
        strap_pull(pin, needs)
    }
}

/// `pins.boot-state`: what moves, rings or heats must be off until the program runs; a lamp should be.
pub(super) fn boot(plan: &Plan, engine: &mut Engine<'_>) -> Vec<Found> {
    let Some((wiring, board, demands)) = wired(plan, engine) else { return Vec::new() };
    let mut said = Vec::new();
    for (demand, number) in wiring.pins() {
        let wanted = &wiring.wanted[demand];
        let Some(pin) = pin_of(board, number).filter(|pin| pin.output) else { continue };
        let on = hanging(board, demands, wiring, number);
        let boot = judge_boot(pin, &on.loads, wanted.active, board.board.chip.vdd_v);
        let verdict = match (wanted.needs.quiet_at_boot, boot) {
            (QuietAtBoot::Any, _) | (_, BootVerdict::Quiet) => continue,
            (QuietAtBoot::Must, _) => Verdict::Over,
            // A floating pin hardly lights a lamp: that is a note of the wiring, no finding.
            (QuietAtBoot::Prefers, BootVerdict::Undefined) => continue,
            (QuietAtBoot::Prefers, _) => Verdict::Tight,
        };
        let who = the(&demands[demand]);
        let rests = match pin.boot {
            BootState::PulledUp => "is pulled up then",
            BootState::PulledDown => "is pulled down then",
            BootState::Floats | BootState::ConsoleText => "floats then",
        };
        let says = match boot {
            BootVerdict::ConsoleText => {
                format!("{who} chatters at every start: IO{number} prints start text before the program runs")
            }
            BootVerdict::Active => format!(
                "{who} is on at every start, for the 0.2 to 1 s until the program runs: {}",
                if on.loads.iter().all(|load| load.pulls.is_empty()) {
                    format!("IO{number} {rests}")
                } else {
                    format!("its pull holds IO{number} {}", level(wanted.active))
                }
            ),
            BootVerdict::Undefined | BootVerdict::Quiet => format!(
                "nothing keeps {who} off for the 0.2 to 1 s from a start until the program runs: IO{number} {rests}"
            ),
        };
        let off = if wanted.active == Level::High { "ground" } else { "the chip's rail" };
        let to_do = match boot {
            BootVerdict::ConsoleText => "use another pin: no resistor silences the start text".into(),
            BootVerdict::Active if on.loads.iter().any(|load| !load.pulls.is_empty()) => {
                format!("turn that pull round, so that IO{number} rests {}", level(opposite(wanted.active)))
            }
            _ if !may_pull(pin, opposite(wanted.active)) => {
                format!(
                    "use a pin that rests {}: as a strap IO{number} must not",
                    level(opposite(wanted.active))
                )
            }
            _ => format!(
                "pull IO{number} to {off} with 4.7 kΩ, or use a pin that rests {}",
                level(opposite(wanted.active))
            ),
        };
        said.push(Found { verdict, says, about: path(&demands[demand]), to_do });
    }
    said
}

/// Whether a resistor to this level leaves the strap of the pin, if it is one, as the start needs it.
pub(super) fn may_pull(pin: &Pin, to: Level) -> bool {
    pin.strap.as_ref().and_then(|strap| strap.needs).is_none_or(|needs| needs == to)
}

pub(super) fn opposite(level: Level) -> Level {
    if level == Level::High { Level::Low } else { Level::High }
}

/// `pins.sleep-hold`: lines that must keep their level in deep sleep, and sources that wake it together.
pub(super) fn sleep(plan: &Plan, engine: &mut Engine<'_>) -> Vec<Found> {
    let Some((wiring, board, demands)) = wired_asleep(plan, engine) else { return Vec::new() };
    let vdd_v = board.board.chip.vdd_v;
    let mut said = Vec::new();
    for (demand, number) in wiring.pins() {
        let Some(hold) = wiring.wanted[demand].needs.hold else { continue };
        let Some(pin) = pin_of(board, number) else { continue };
        let on = hanging(board, demands, wiring, number);
        if let HoldVerdict::NotHeld(reading) = sleep_hold(pin, &on.loads, hold, vdd_v) {
            let says = format!(
                "{} must rest {} in deep sleep, but IO{number} lets go of its level then and {}",
                the(&demands[demand]),
                level(hold),
                resting(reading)
            );
            said.push(Found {
                verdict: Verdict::Over,
                says,
                about: path(&demands[demand]),
                to_do: hold_to_do(pin, hold),
            });
        }
    }
    for (index, part) in board.board.wired.iter().enumerate() {
        if part.part != Taken::Camera(CameraSignal::PowerDown) {
            continue;
        }
        let Some(pin) = pin_of(board, part.pin) else { continue };
        let on = hanging(board, demands, wiring, part.pin);
        if let HoldVerdict::NotHeld(reading) = sleep_hold(pin, &on.loads, Level::High, vdd_v) {
            let says = format!(
                "{} on IO{} must rest high in deep sleep, but the pin lets go of its level then and {}: the sensor stays on, at about 20 mA",
                super::words::wired(board, index),
                part.pin,
                resting(reading)
            );
            let to_do = hold_to_do(pin, Level::High);
            said.push(Found { verdict: Verdict::Tight, says, about: "board.sheet".into(), to_do });
        }
    }
    said.extend(wakes(wiring, board, demands));
    said
}

fn wired_asleep<'a>(
    plan: &'a Plan,
    engine: &Engine<'a>,
) -> Option<(&'a Wiring, &'a BoardParts, &'a [Demand])> {
    wired(plan, engine).filter(|_| plan.station.rest.mode == Rest::Sleep)
}

fn resting(reading: Reading) -> &'static str {
    match reading {
        Reading::Floating => "floats",
        Reading::Between => "rests between low and high",
        Reading::Low => "rests low",
        Reading::High => "rests high",
    }
}

fn hold_to_do(pin: &Pin, hold: Level) -> String {
    if !may_pull(pin, hold) {
        return "use a pin that holds its level in deep sleep: a pull here would spoil the strap".into();
    }
    let to = if hold == Level::High { "the chip's rail" } else { "ground" };
    format!("pull IO{} to {to} with 10 kΩ, or use a pin that holds its level in deep sleep", pin.number)
}

/// Demands that the chip cannot watch at once.
fn wakes(wiring: &Wiring, board: &BoardParts, demands: &[Demand]) -> Option<Found> {
    let chip = &board.board.chip;
    let every =
        chip.wake.sources.iter().fold(WakeSet::default(), |set, (kind, _)| set.or(WakeSet::of(&[*kind])));
    let mut wakers = Vec::new();
    for (demand, wanted) in wiring.wanted.iter().enumerate() {
        let Some(wake) = wanted.needs.wake else { continue };
        // A demand without a pin may still have any: what the chip offers at best.
        let pin = wiring.pin(demand).and_then(|number| pin_of(board, number));
        wakers.push((demand, pin.map_or(every, |pin| pin.wakes).and(wake.sources())));
    }
    // A pin that wakes by nothing is a demand without a place, told as such.
    wakers.retain(|(_, offers)| !offers.is_empty());
    let offers: Vec<WakeSet> = wakers.iter().map(|(_, offers)| *offers).collect();
    let clash = chip.wake.clash(&offers)?;
    let of = |index: &usize| &demands[wakers[*index].0];
    let names: Vec<String> = clash
        .iter()
        .map(|index| match wiring.pin(wakers[*index].0) {
            Some(pin) => format!("{} on IO{pin}", the(of(index))),
            None => the(of(index)),
        })
        .collect();
    let last = clash.last()?;
    Some(Found {
        verdict: Verdict::Over,
        says: format!(
            "{} cannot {} wake this chip from deep sleep: its sources exclude each other or serve fewer pins",
            and(&names),
            if names.len() == 2 { "both" } else { "all" }
        ),
        about: path(of(last)),
        to_do: format!("let {} not wake the station, or turn its level round", the(of(last))),
    })
}

/// From here on a part that is off is fed enough to stay half alive: the trade's 1 to 10 mA, from memory.
const FEED_A: f64 = 1e-3;

/// `pins.back-feed`: high lines into parts that have no supply in deep sleep.
pub(super) fn back_feed(plan: &Plan, engine: &mut Engine<'_>) -> Vec<Found> {
    let Some((wiring, board, demands)) = wired_asleep(plan, engine) else { return Vec::new() };
    let vdd_v = board.board.chip.vdd_v;
    let mut said = Vec::new();
    for (demand, pin) in wiring.pins().filter(|(demand, _)| demands[*demand].unpowered_in_sleep) {
        let Some(facts) = pin_of(board, pin) else { continue };
        let needs = &wiring.wanted[demand].needs;
        let on = hanging(board, demands, wiring, pin);
        let by_pin = facts.holds_in_sleep && facts.output;
        let pull_ohm = on
            .loads
            .iter()
            .flat_map(|load| &load.pulls)
            .filter(|pull| pull.to_v > 0.5 * vdd_v)
            .map(|pull| pull.ohm)
            // A pull-up of the pin stays on where it serves a level that wakes.
            .chain((needs.pull == Some(Level::High) && needs.wake.is_some()).then_some(INTERNAL_PULL_OHM[1]))
            .reduce(|a, b| 1.0 / (1.0 / a + 1.0 / b));
        let series_ohm = demands[demand].line_ohm();
        let (resting, ohm, why) = match (needs.hold, pull_ohm) {
            (Some(Level::High), _) if by_pin => (Resting::At { high_v: vdd_v }, series_ohm, "held high"),
            (Some(Level::Low), _) if by_pin => (Resting::Low, series_ohm, ""),
            (_, Some(ohm)) => (Resting::At { high_v: vdd_v }, series_ohm + ohm, "pulled up"),
            _ => (Resting::HighImpedance, series_ohm, ""),
        };
        for feed in back_feeds(&[OffLine { pin, resting, ohm }], 0.0) {
            let who = the(&demands[demand]);
            let says = format!(
                "{who} has no supply in deep sleep, but IO{pin} is {why} and feeds it {} through its input: it never resets, and the cells are drained",
                show(feed.feed_a, "A")
            );
            let verdict = if feed.feed_a >= FEED_A { Verdict::Over } else { Verdict::Tight };
            let to_do = format!("let IO{pin} rest low or open in deep sleep, or keep {who} fed");
            said.push(Found { verdict, says, about: path(&demands[demand]), to_do });
        }
    }
    said
}
