//! Lines that belong together: the camera bus, its control bus and ribbon, PWM timers, and noisy neighbours.

use super::super::found;
use super::words::{and, capital, count, path, rate, the};
use crate::physics::Engine;
use crate::rule::{Found, Verdict};
use models::pins::board::PwmRoute;
use models::pins::camera::{BusProblem, CameraSignal, StrayBecause, check_camera_bus};
use models::pins::control_bus::{BusFault, bus_faults};
use models::pins::demand::Demand;
use models::pins::neighbour::{Noisy, noisy_neighbours};
use models::pins::timers::{CountedUnit, PwmUse, TimerClash, shortfalls, timer_clash};
use quantity::show;
use station::parts::{bus_says, holder, line_name};
use station::plan::Plan;

/// Clock of the camera's control bus, in hertz. Typical, from memory.
const CONTROL_HZ: f64 = 100e3;

/// `pins.camera-bus`: lines missing, doubled, too many, on pins that cannot be.
pub(super) fn camera(plan: &Plan, _: &mut Engine<'_>) -> Vec<Found> {
    let Some(board) = &plan.parts.board else { return Vec::new() };
    if board.camera_bus.is_empty() {
        return found(
            Verdict::Over,
            "board.sheet",
            format!("board \"{}\" has no camera bus in its sheet", board.name),
            "add [camera_bus] from its pin table: doorwright sheets import FILE",
        );
    }
    let problems = check_camera_bus(&board.camera_bus, Some(&board.board.chip));
    let stray = problems.iter().find_map(|problem| match problem {
        BusProblem::TooManyData { pin, .. } => Some(*pin),
        _ => None,
    });
    // One number too many is one finding, not also a pin given twice.
    let told =
        |problem: &&BusProblem| !matches!(problem, BusProblem::SamePin { pin, .. } if Some(*pin) == stray);
    problems
        .iter()
        .filter(told)
        .map(|problem| {
            let (says, to_do) = match problem {
                BusProblem::TooManyData { found, pin, because, stray } => (
                    stray_says(*found, *stray, *pin, *because),
                    format!("take {} out and count again, D0 first", line_name(*stray)),
                ),
                other => {
                    let (says, to_do) = bus_says(other);
                    (says, to_do.to_string())
                }
            };
            Found { verdict: Verdict::Over, says, about: "board.sheet".into(), to_do }
        })
        .collect()
}

fn stray_says(numbers: usize, stray: CameraSignal, pin: u8, because: StrayBecause) -> String {
    let (head, line) = (capital(&count(numbers)), line_name(stray));
    let why = match because {
        StrayBecause::NotOnChip => format!("the chip has no IO{pin}"),
        StrayBecause::CannotBeRead => format!("IO{pin} cannot be read"),
        StrayBecause::TakenBy(by) => format!("{} uses IO{pin}", holder(by)),
        StrayBecause::AlsoServes(other) => format!("IO{pin} also serves {}", line_name(other)),
        StrayBecause::Repeats(first) => format!("IO{pin} is D{first} already"),
        StrayBecause::BeyondTheEighth => {
            return format!(
                "{head} numbers for eight data lines; the last, {line} on IO{pin}, is the likely stray"
            );
        }
    };
    format!("{head} numbers for eight data lines; {why}, so {line} is the likely stray")
}

/// `pins.control-bus`: addresses, pulls and edges of the two-wire bus to the sensor.
pub(super) fn control(plan: &Plan, _: &mut Engine<'_>) -> Vec<Found> {
    let Some(board) = plan.parts.board.as_ref().filter(|board| !board.camera_bus.is_empty()) else {
        return Vec::new();
    };
    let bus = &board.control_bus;
    bus_faults(&bus.members, &bus.board_pulls, bus.lead_f, CONTROL_HZ).iter().map(control_says).collect()
}

fn control_says(fault: &BusFault) -> Found {
    let (verdict, says, to_do) = match fault {
        BusFault::SameAddress { address, members } => (
            Verdict::Over,
            format!("{} parts on the camera's control bus answer to address {address:#04x}", count(members.len())),
            "give one of them a bus of its own".into(),
        ),
        BusFault::ReservedAddress { address, .. } => (
            Verdict::Tight,
            format!("address {address:#04x} on the camera's control bus is reserved; parts have 0x08 to 0x77"),
            "compare with the part's data sheet: the seven-bit address is meant".into(),
        ),
        BusFault::NoPull => (
            Verdict::Tight,
            "no pull-up is known on the camera's control bus: without one the sensor is found only sometimes".into(),
            "look for two resistors of 2.2 to 10 kΩ on SCCB clock and data, and write them under [control_bus]".into(),
        ),
        BusFault::MixedRails { low_v, high_v } => (
            Verdict::Tight,
            format!(
                "the camera's control bus is pulled to {} and to {}: the higher rail feeds the lower",
                show(*low_v, "V"),
                show(*high_v, "V")
            ),
            "keep the pull-ups of one rail only".into(),
        ),
        BusFault::SlowRise { ohm, ohm_max, rise_s, rise_s_max } => (
            Verdict::Over,
            format!(
                "edges on the camera's control bus take {}, at {} {} are the most: the sensor is found only sometimes",
                show(*rise_s, "s"),
                show(CONTROL_HZ, "Hz"),
                show(*rise_s_max, "s")
            ),
            format!("pull-ups of at most {} instead of {}, or a shorter lead", show(*ohm_max, "ohm"), show(*ohm, "ohm")),
        ),
        BusFault::StrongPull { ohm, ohm_min } => (
            Verdict::Tight,
            format!(
                "pull-ups of {} on the camera's control bus are too strong for its outputs; {} are the least",
                show(*ohm, "ohm"),
                show(*ohm_min, "ohm")
            ),
            "take away one pair of pull-ups".into(),
        ),
    };
    Found { verdict, says, about: "board.sheet".into(), to_do }
}

/// `pins.ribbon`: a ribbon across the antenna; its length is a figure.
pub(super) fn across_antenna(plan: &Plan, _: &mut Engine<'_>) -> Vec<Found> {
    match &plan.parts.board {
        Some(board) if board.ribbon_across_antenna => found(
            Verdict::Over,
            "board.sheet",
            "the camera ribbon lies across the antenna's end: the radio hears the pixel clock, and the picture the radio",
            "lay the ribbon the other way, or choose a board whose antenna is at the free end",
        ),
        _ => Vec::new(),
    }
}

/// `pins.shared-timer`: what the chip has beside pins.
pub(super) fn timers(plan: &Plan, engine: &mut Engine<'_>) -> Vec<Found> {
    let Some((wiring, board)) = engine.wiring().zip(plan.parts.board.as_ref()) else { return Vec::new() };
    let (chip, demands) = (&board.board.chip, &plan.parts.demands);
    let mut said: Vec<Found> = shortfalls(chip, &[(CountedUnit::Camera, 1), (CountedUnit::ControlBus, 1)])
        .iter()
        .map(|short| {
            let unit = match short.unit {
                CountedUnit::Camera => "camera unit",
                CountedUnit::ControlBus => "control-bus port",
                CountedUnit::Serial => "serial port",
            };
            let says =
                format!("the camera needs a {unit}, and the chip has {}", count(usize::from(short.have)));
            Found { verdict: Verdict::Over, says, about: "board.sheet".into(), to_do: String::new() }
        })
        .collect();
    let (mut who, mut uses) = (Vec::new(), Vec::new());
    for (demand, wanted) in wiring.wanted.iter().enumerate() {
        let Some(pwm) = wanted.needs.pwm else { continue };
        let number = wiring.pin(demand);
        let pin = chip.pins.iter().find(|pin| Some(pin.number) == number);
        who.push((demand, pwm));
        uses.push(PwmUse { rate: pwm, route: pin.and_then(|pin| pin.pwm).unwrap_or(PwmRoute::Any) });
    }
    let name = |user: &usize| {
        let (demand, pwm) = who[*user];
        format!("{} ({})", the(&demands[demand]), rate(pwm))
    };
    let names = |uses: &[usize]| and(&uses.iter().map(name).collect::<Vec<_>>());
    let Some(clash) = timer_clash(&board.board, &uses) else { return said };
    let (says, last, to_do) = match &clash {
        TimerClash::OneTimer { timer, uses, camera_hz: Some(hz) } => (
            format!(
                "timer {timer} makes the camera clock of {}; {} on it would change that clock and freeze the picture",
                show(f64::from(*hz), "Hz"),
                names(uses)
            ),
            uses.last(),
            "use a pin that another timer reaches",
        ),
        TimerClash::OneTimer { timer, uses, camera_hz: None } => (
            format!("timer {timer} runs at one rate, but {} share it", names(uses)),
            uses.last(),
            "give them one rate, or pins that different timers reach",
        ),
        TimerClash::NoSuchTimer { timer, user } => (
            format!("{} wants timer {timer}, which the chip does not have", name(user)),
            Some(user),
            "use another pin",
        ),
        TimerClash::TooFewTimers { timers, uses, camera_hz } => (
            format!(
                "the chip has {} PWM timers{}, too few for {}",
                count(usize::from(*timers)),
                if camera_hz.is_some() { ", one of them makes the camera clock" } else { "" },
                names(uses)
            ),
            uses.last(),
            "give two of them one rate, or switch one without PWM",
        ),
        TimerClash::TooFewChannels { free, wanted } => (
            format!(
                "{} signals want PWM, and the chip has {} channels left beside the camera clock",
                count(*wanted),
                count(usize::from(*free))
            ),
            None,
            "switch some of them without PWM",
        ),
    };
    let about = last.map_or_else(|| "pins".into(), |user| path(&demands[who[*user].0]));
    said.push(Found { verdict: Verdict::Over, says, about, to_do: to_do.into() });
    said
}

/// `pins.touch-neighbour`: a plate beside lines that toggle.
pub(super) fn neighbours(plan: &Plan, engine: &mut Engine<'_>) -> Vec<Found> {
    let Some((wiring, board)) = engine.wiring().zip(plan.parts.board.as_ref()) else { return Vec::new() };
    let demands = &plan.parts.demands;
    let (who, at): (Vec<usize>, Vec<u8>) = wiring.pins().unzip();
    let placed: Vec<Demand> = who.iter().map(|demand| wiring.wanted[*demand].clone()).collect();
    noisy_neighbours(&board.board, &placed, &at)
        .into_iter()
        .map(|noisy| {
            let plate = who[noisy.demand];
            let (beside, when) = match noisy.noisy {
                Noisy::Camera(signal) => {
                    (holder(models::pins::board::Taken::Camera(signal)), "while the camera streams")
                }
                Noisy::Pwm(other) => (the(&demands[who[other]]), "while that is dimmed or sounds"),
            };
            let says = format!(
                "{} on IO{} lies beside {beside} on IO{}: its readings are noisy {when}",
                the(&demands[plate]),
                noisy.pin,
                noisy.beside
            );
            let to_do = format!(
                "{}lead it away at once, with a ground track between",
                other_pins(&wiring.others(&board.board)[plate])
            );
            Found { verdict: Verdict::Tight, says, about: path(&demands[plate]), to_do }
        })
        .collect()
}

/// `use IO33, or `: the cheapest other pin, where there is one that moves nothing else.
fn other_pins(others: &[models::pins::Alternative]) -> String {
    let free = others.iter().find(|other| other.moves.is_empty());
    free.map_or_else(String::new, |other| format!("use IO{}, or ", other.pin))
}
