//! Why a demand found no pin, in words, and what would let it have one.

use super::super::{found, nothing};
use super::hanging::{may_pull, opposite, pin_of};
use super::words::{and, count, path, pins, some, the};
use crate::physics::{Engine, Stop, Wiring};
use crate::rule::{Found, Shown, Verdict};
use models::pins::board::{BootState, Taken};
use models::pins::demand::Rate;
use models::pins::level::Drive;
use models::pins::{Conflict, Fact, Need, Relaxation};
use station::parts::{BoardParts, Demand, holder};
use station::plan::Plan;

/// Relaxations that are told.
const TOLD: usize = 3;

/// The sentence of `pins.no-place`.
pub(super) fn says(shown: &mut Shown<'_, '_>) -> String {
    let demands = &shown.plan.parts.demands;
    let Some((wiring, board)) = shown.engine.wiring().zip(shown.plan.parts.board.as_ref()) else {
        return nothing(shown);
    };
    let Some(Stop::Impossible { conflict, left_out_at_least, .. }) = &wiring.stop else {
        return nothing(shown);
    };
    let clash = clash(conflict, wiring, board, demands);
    let unplaced = shown.value as usize;
    if unplaced <= 1 && conflict.pins.len() <= 1 {
        return clash;
    }
    let finds = if unplaced == 1 { "finds" } else { "find" };
    let perhaps = if *left_out_at_least < unplaced {
        format!(" (the search ended early: perhaps only {} must go without)", count(*left_out_at_least))
    } else {
        String::new()
    };
    format!("{} of {} demands {finds} no pin{perhaps}: {clash}", count(unplaced), count(demands.len()))
}

/// What would let every demand have a pin.
pub(super) fn to_do(shown: &mut Shown<'_, '_>) -> String {
    let demands = &shown.plan.parts.demands;
    let Some((wiring, board)) = shown.engine.wiring().zip(shown.plan.parts.board.as_ref()) else {
        return nothing(shown);
    };
    let Some(Stop::Impossible { relaxations, .. }) = &wiring.stop else { return nothing(shown) };
    let mut ways: Vec<&Relaxation> =
        relaxations.iter().filter(|way| way.facts.iter().all(|f| sensible(*f, way, wiring, board))).collect();
    // Freeing a pin costs nothing, doing without something most; what the plan names last gives way first.
    let last = |way: &Relaxation| way.facts.iter().filter_map(|fact| fact.demand()).collect::<Vec<_>>();
    ways.sort_by_key(|way| {
        let effort = way.facts.iter().map(|fact| effort(*fact)).max();
        (effort, std::cmp::Reverse(last(way).into_iter().min()), std::cmp::Reverse(last(way)))
    });
    let ways: Vec<String> = ways
        .into_iter()
        .take(TOLD)
        .map(|way| and(&way.facts.iter().map(|fact| give_up(*fact, way, demands)).collect::<Vec<_>>()))
        .collect();
    match ways.len() {
        0 => "leave out as many demands as find no pin, or take a board with more pins".into(),
        1 => ways.concat(),
        _ => ways.join("; or "),
    }
}

/// `pins.not-judged`: a search that gave up, or facts that contradict each other.
pub(super) fn not_judged(_: &Plan, engine: &mut Engine<'_>) -> Vec<Found> {
    match engine.wiring().and_then(|wiring| wiring.stop.as_ref()) {
        Some(Stop::GaveUp) => found(
            Verdict::Unknown,
            "pins",
            "whether this can be wired was neither shown nor refuted within the search's limit",
            "fix some demands to pins of your choice",
        ),
        Some(Stop::Unusable(unusable)) => {
            found(Verdict::Unknown, "pins", format!("the wiring cannot be worked out: {unusable}"), "")
        }
        _ => Vec::new(),
    }
}

/// The facts that cannot stand together.
fn clash(conflict: &Conflict, wiring: &Wiring, board: &BoardParts, demands: &[Demand]) -> String {
    let who: Vec<String> = conflict.pins.iter().map(|(demand, _)| the(&demands[*demand])).collect();
    let mut serve: Vec<u8> = conflict.pins.iter().flat_map(|(_, pins)| pins).copied().collect();
    serve.sort_unstable();
    serve.dedup();
    let reasons = reasons(conflict, wiring, board, demands);
    let (subject, all) = (some(&who), if who.len() == 2 { "both" } else { "all" });
    let head = match (who.len(), serve.len()) {
        (1, _) => format!("{subject} finds no pin"),
        (wanted, 0) => format!("{subject} want {} pins and none would serve", count(wanted)),
        (wanted, left) if left < wanted => {
            format!("{subject} want {} pins and only {} would serve", count(wanted), pins(&serve))
        }
        _ => format!("{subject} cannot {all} be served"),
    };
    if reasons.is_empty() { head } else { format!("{head}: {}", reasons.join("; ")) }
}

fn reasons(conflict: &Conflict, wiring: &Wiring, board: &BoardParts, demands: &[Demand]) -> Vec<String> {
    let alone = conflict.pins.len() == 1;
    let name = |demand: usize| if alone { "it".to_string() } else { the(&demands[demand]) };
    let mut needs: Vec<(Need, Vec<String>)> = Vec::new();
    let mut straps: Vec<(u8, Vec<String>)> = Vec::new();
    let mut said = Vec::new();
    for fact in &conflict.facts {
        match *fact {
            Fact::Demand(_) => {}
            Fact::Fixed(demand) => {
                let pin = wiring.wanted[demand].fixed.map_or_else(String::new, |pin| format!("IO{pin}"));
                said.push(format!("{} is fixed to {pin}", name(demand)));
            }
            Fact::Need(demand, need) => match needs.iter_mut().find(|(known, _)| *known == need) {
                Some((_, who)) => who.push(name(demand)),
                None => needs.push((need, vec![name(demand)])),
            },
            Fact::Strap { demand, pin } => match straps.iter_mut().find(|(known, _)| *known == pin) {
                Some((_, who)) => who.push(name(demand)),
                None => straps.push((pin, vec![name(demand)])),
            },
            _ => {}
        }
    }
    // A plate may be kept from a touch pin by what the board hangs there: then that is the reason.
    if let Some((demand, pin)) = loaded(conflict, wiring, board) {
        needs.retain(|(need, _)| *need != Need::Touch);
        said.push(format!("what the board has on IO{pin} drowns a touch of {}", name(demand)));
    }
    // Who is meant was said a line before, where it is everybody.
    let people =
        |who: &[String]| if !alone && who.len() == conflict.pins.len() { "they".into() } else { and(who) };
    said.extend(needs.iter().map(|(need, who)| format!("{} {}", people(who), must(*need, who.len() > 1))));
    for (pin, who) in straps {
        said.push(format!("on IO{pin} {} would spoil the level that the board starts with", people(&who)));
    }
    said.extend(conflict.facts.iter().filter_map(|fact| held(*fact, wiring, board, conflict)));
    said
}

/// The one demand of a conflict that is fixed to a touch pin and still may not be touched there.
fn loaded(conflict: &Conflict, wiring: &Wiring, board: &BoardParts) -> Option<(usize, u8)> {
    let [(demand, _)] = conflict.pins[..] else { return None };
    let fixed = wiring.wanted[demand].fixed?;
    let pin = board.board.chip.pins.iter().find(|pin| pin.number == fixed)?;
    let asks = conflict.facts.contains(&Fact::Need(demand, Need::Touch))
        && conflict.facts.contains(&Fact::Fixed(demand));
    (asks && pin.touch.is_some()).then_some((demand, fixed))
}

/// A fact of chip or board, in words.
fn held(fact: Fact, wiring: &Wiring, board: &BoardParts, conflict: &Conflict) -> Option<String> {
    let fixed: Vec<u8> =
        conflict.pins.iter().filter_map(|(demand, _)| wiring.wanted[*demand].fixed).collect();
    // Of a part's pins, those that the plan asks for tell more than all of them.
    let having = |who: &str, mut numbers: Vec<u8>| {
        numbers.sort_unstable();
        numbers.dedup();
        if numbers.iter().any(|pin| fixed.contains(pin)) {
            numbers.retain(|pin| fixed.contains(pin));
        }
        format!("{who} has {}", pins(&numbers))
    };
    let of_part = |is: &dyn Fn(Taken) -> bool| -> Vec<u8> {
        let chip = board.board.chip.pins.iter().filter(|pin| pin.taken.is_some_and(is)).map(|pin| pin.number);
        chip.chain(board.board.wired.iter().filter(|part| is(part.part)).map(|part| part.pin)).collect()
    };
    Some(match fact {
        Fact::Taken(by) => {
            let index = board.board.wired.iter().position(|part| part.part == by);
            let who = index.map_or_else(|| holder(by), |index| super::words::wired(board, index));
            having(&who, of_part(&|part| part == by))
        }
        Fact::CameraBus => having("the camera bus", of_part(&|part| matches!(part, Taken::Camera(_)))),
        Fact::Buried if fixed.len() == 1 && !is_reached(board, fixed[0]) => {
            format!("{} comes out on no connector and no pad", pins(&fixed))
        }
        Fact::Buried => "the chip's other pins come out on no connector and no pad".into(),
        Fact::PwmTimers => format!(
            "the chip has {} PWM timers, each for one rate, and the camera clock needs its own",
            count(usize::from(board.board.chip.pwm.timers))
        ),
        Fact::PwmChannels => {
            format!("the chip has {} PWM channels", count(usize::from(board.board.chip.pwm.channels)))
        }
        Fact::WakeTable => "the chip cannot watch for all of these at once in deep sleep".into(),
        Fact::TouchChannels => "a touch channel serves one pin at a time".into(),
        Fact::Demand(_) | Fact::Fixed(_) | Fact::Need(..) | Fact::Strap { .. } => return None,
    })
}

/// Whether a pin comes out anywhere.
fn is_reached(board: &BoardParts, pin: u8) -> bool {
    board.board.brought_out.iter().any(|out| out.pin == pin) || board.board.pads.contains(&pin)
}

fn must(need: Need, plural: bool) -> &'static str {
    match (need, plural) {
        (Need::Input, _) => "must be read",
        (Need::Output, _) => "must be driven",
        (Need::Analogue, _) => "must be measured",
        (Need::AnalogueWithRadio, _) => "must be measured while the radio is on",
        (Need::Touch, false) => "needs a touch channel",
        (Need::Touch, true) => "need a touch channel",
        (Need::Pwm, false) => "needs PWM",
        (Need::Pwm, true) => "need PWM",
        (Need::Wake, _) => "must end deep sleep",
        (Need::Hold, _) => "must keep its level in deep sleep",
        (Need::QuietAtBoot, _) => "must stay off until the program runs",
        (Need::Pull, false) => "needs the pin's own pull",
        (Need::Pull, true) => "need the pin's own pull",
    }
}

/// Whether somebody with a soldering iron can do it. What makes a demand what it is cannot be given up, and a
/// resistor must not spoil a strap, fight what drives the pin, or be thought to silence the start text.
fn sensible(fact: Fact, way: &Relaxation, wiring: &Wiring, board: &BoardParts) -> bool {
    let pin = |demand: usize| way.pins[demand].and_then(|number| pin_of(board, number));
    match fact {
        Fact::Need(_, Need::Input | Need::Output | Need::Touch | Need::Analogue) => false,
        // A lamp can be switched instead of dimmed; tones are made of PWM.
        Fact::Need(demand, Need::Pwm) => wiring.wanted[demand].needs.pwm != Some(Rate::Moving),
        Fact::Need(demand, Need::QuietAtBoot) => pin(demand).is_some_and(|pin| {
            pin.boot != BootState::ConsoleText && may_pull(pin, opposite(wiring.wanted[demand].active))
        }),
        Fact::Need(demand, Need::Hold) => {
            let hold = wiring.wanted[demand].needs.hold;
            pin(demand).zip(hold).is_some_and(|(pin, hold)| may_pull(pin, hold))
        }
        Fact::Strap { demand, .. } => {
            let load = &wiring.wanted[demand].load;
            load.drive == Drive::Nothing && load.pulls.is_empty()
        }
        _ => true,
    }
}

fn effort(fact: Fact) -> u8 {
    match fact {
        Fact::Fixed(_) => 0,
        Fact::Need(..) | Fact::Strap { .. } => 1,
        Fact::Demand(_) => 3,
        _ => 2,
    }
}

fn give_up(fact: Fact, way: &Relaxation, demands: &[Demand]) -> String {
    let on = |demand: usize| way.pins[demand].map_or_else(String::new, |pin| format!("IO{pin}"));
    match fact {
        Fact::Demand(demand) => format!("do without {}", the(&demands[demand])),
        Fact::Fixed(demand) => {
            format!("write {} = \"any\" (it then has {})", path(&demands[demand]), on(demand))
        }
        Fact::Strap { demand, pin } => {
            format!("give IO{pin} a pull that {} cannot overcome at reset", the(&demands[demand]))
        }
        Fact::Need(demand, need) => {
            let who = the(&demands[demand]);
            match need {
                Need::Wake => format!("let {who} not wake the station ({})", on(demand)),
                Need::Hold => format!("hold the level of {who} with a resistor on {}", on(demand)),
                Need::QuietAtBoot => format!("pull {who} to off with 4.7 kΩ on {}", on(demand)),
                Need::Pull => format!("give {who} a 10 kΩ pull of its own on {}", on(demand)),
                Need::Pwm => format!("switch {who} without PWM, on {}", on(demand)),
                Need::AnalogueWithRadio => format!("measure {who} while the radio is off, on {}", on(demand)),
                Need::Input | Need::Output | Need::Touch | Need::Analogue => format!("do without {who}"),
            }
        }
        Fact::Taken(by) => format!("free the pins of {}", holder(by)),
        Fact::CameraBus
        | Fact::Buried
        | Fact::PwmTimers
        | Fact::PwmChannels
        | Fact::WakeTable
        | Fact::TouchChannels => "take another board".into(),
    }
}
