//! The pin search against trying everything, with the rules of the trade written out once more, plainly.
//!
//! The rules here read only the public facts: no bit sets, no matching, no shared helper, except the electrical formula
//! (Millman's theorem), which has its own tests.

use std::collections::BTreeMap;

use models::pins::board::{Board, BootState, Pin, PwmRoute, PwmUnit, Taken};
use models::pins::camera::CameraSignal;
use models::pins::demand::{AnalogueUse, Demand, QuietAtBoot, Rate};
use models::pins::level::{Drive, Level, Pull, node_v};
use models::pins::sleep::{WakeKind, WakeOn};
use models::pins::{Case, Fact, Need, Solved, sample};
use proptest::prelude::*;

/// Which facts hold.
type Holds<'a> = &'a dyn Fn(Fact) -> bool;

fn every_fact(_: Fact) -> bool {
    true
}

/// Lowest and highest voltage of the pin, dry and wet: `[low dry, high dry, low wet, high wet]`.
fn voltages(board: &Board, demand: &Demand, pin: &Pin, internal: Option<(f64, Level)>) -> [Option<f64>; 4] {
    let vdd = board.chip.vdd_v;
    [(Level::Low, false), (Level::High, false), (Level::Low, true), (Level::High, true)].map(|(side, wet)| {
        let mut pulls = Vec::new();
        let wired = board.wired.iter().filter(|w| w.pin == pin.number).map(|w| &w.load);
        for load in wired.chain([&demand.load]) {
            pulls.extend(load.pulls.iter().copied());
            if wet {
                pulls.extend(load.wet_leak_ohm.map(|ohm| Pull { ohm, to_v: 0.0 }));
            }
            match load.drive {
                Drive::Nothing => {}
                Drive::Low { ohm } => pulls.push(Pull { ohm, to_v: 0.0 }),
                Drive::High { ohm } => pulls.push(Pull { ohm, to_v: vdd }),
                Drive::Either { ohm } => {
                    pulls.push(Pull { ohm, to_v: if side == Level::High { vdd } else { 0.0 } });
                }
            }
        }
        pulls.extend(internal.map(|(ohm, to)| Pull { ohm, to_v: if to == Level::High { vdd } else { 0.0 } }));
        node_v(pulls)
    })
}

fn all_read(volts: &[Option<f64>], level: Level, vdd: f64) -> bool {
    volts.iter().all(|v| v.is_some_and(|v| if level == Level::Low { v < 0.25 * vdd } else { v > 0.75 * vdd }))
}

fn opposite(level: Level) -> Level {
    if level == Level::Low { Level::High } else { Level::Low }
}

fn strap_starts(board: &Board, demand: &Demand, pin: &Pin, internal_ohm: f64) -> bool {
    let strap = pin.strap.as_ref().unwrap();
    let volts = voltages(board, demand, pin, strap.pull.map(|to| (internal_ohm, to)));
    strap.needs.is_none_or(|level| all_read(&volts, level, board.chip.vdd_v))
}

fn quiet(board: &Board, demand: &Demand, pin: &Pin) -> bool {
    let internal = match pin.boot {
        BootState::ConsoleText => return false,
        BootState::Floats => None,
        BootState::PulledUp => Some((45e3, Level::High)),
        BootState::PulledDown => Some((45e3, Level::Low)),
    };
    all_read(&voltages(board, demand, pin, internal), opposite(demand.active), board.chip.vdd_v)
}

fn wake_kinds(demand: &Demand, pin: &Pin) -> Vec<WakeKind> {
    let seen: &[WakeKind] = match demand.needs.wake {
        None => &[],
        Some(WakeOn::Touch) => &[WakeKind::Touch],
        Some(WakeOn::High) => &[WakeKind::OneLevel, WakeKind::AnyHigh],
        Some(WakeOn::Low) => &[WakeKind::OneLevel, WakeKind::AnyLow, WakeKind::AllLow],
    };
    seen.iter().copied().filter(|kind| pin.wakes.has(*kind)).collect()
}

fn pair_allowed(board: &Board, d: usize, demand: &Demand, pin: &Pin, holds: Holds<'_>) -> bool {
    let n = &demand.needs;
    let lacks = |need, lacking: bool| lacking && holds(Fact::Need(d, need));
    let reachable = board.pads.contains(&pin.number) || board.brought_out.iter().any(|o| o.pin == pin.number);
    let mut holders: Vec<Taken> =
        board.wired.iter().filter(|w| w.pin == pin.number && !w.shares).map(|w| w.part).collect();
    holders.extend(pin.taken.filter(|by| *by != Taken::Console));
    let kept_from = holders.iter().any(|by| match by {
        Taken::Camera(_) => holds(Fact::CameraBus),
        other => holds(Fact::Taken(*other)),
    });
    let blocked = pin.analogue.is_some_and(|a| board.chip.radio_blocks.contains(&a.unit));
    let rests = |level| {
        (pin.holds_in_sleep && pin.output)
            || all_read(&voltages(board, demand, pin, None), level, board.chip.vdd_v)
    };
    let pulls = |level| if level == Level::High { pin.pull_up } else { pin.pull_down };
    let off_the_fixed = demand.fixed.is_some_and(|fixed| fixed != pin.number);
    let loaded = board
        .wired
        .iter()
        .any(|w| w.pin == pin.number && !(w.load.pulls.is_empty() && w.load.drive == Drive::Nothing));
    let bad_strap = pin.strap.is_some() && !strap_starts(board, demand, pin, 45e3);
    !(lacks(Need::Input, n.input && !pin.input)
        || lacks(Need::Output, n.output && !pin.output)
        || lacks(Need::Analogue, n.analogue.is_some() && pin.analogue.is_none())
        || lacks(Need::AnalogueWithRadio, n.analogue == Some(AnalogueUse::RadioOn) && blocked)
        || lacks(Need::Touch, n.touch && (pin.touch.is_none() || loaded))
        || lacks(Need::Pwm, n.pwm.is_some() && pin.pwm.is_none())
        || lacks(Need::Wake, n.wake.is_some() && wake_kinds(demand, pin).is_empty())
        || lacks(Need::Hold, n.hold.is_some_and(|level| !rests(level)))
        || lacks(Need::QuietAtBoot, n.quiet_at_boot == QuietAtBoot::Must && !quiet(board, demand, pin))
        || lacks(Need::Pull, n.pull.is_some_and(|level| !pulls(level)))
        || (off_the_fixed && holds(Fact::Fixed(d)))
        || (bad_strap && holds(Fact::Strap { demand: d, pin: pin.number }))
        || kept_from
        || (!reachable && holds(Fact::Buried)))
}

fn beside(board: &Board, a: &Pin, b: &Pin) -> bool {
    let in_package = a.package_position.zip(b.package_position).is_some_and(|(x, y)| x.abs_diff(y) == 1);
    in_package
        || board.brought_out.iter().any(|x| {
            board.brought_out.iter().any(|y| {
                (x.pin, y.pin) == (a.number, b.number)
                    && x.connector == y.connector
                    && x.position.abs_diff(y.position) == 1
            })
        })
}

fn pair_cost(board: &Board, demand: &Demand, pin: &Pin) -> u32 {
    let mut cost = 0;
    if pin.strap.is_some() {
        cost += 40;
        let starts = |ohm| strap_starts(board, demand, pin, ohm);
        if starts(45e3) && !(starts(30e3) && starts(80e3)) {
            cost += 20;
        }
    }
    if demand.needs.quiet_at_boot == QuietAtBoot::Prefers && !quiet(board, demand, pin) {
        cost += 15;
    }
    if pin.taken == Some(Taken::Console) || pin.boot == BootState::ConsoleText {
        cost += 30;
    }
    let tracks = board.brought_out.iter().filter(|o| o.pin == pin.number).map(|o| o.track_m);
    let track_m = tracks.fold(f64::INFINITY, f64::min);
    if track_m.is_infinite() {
        cost += 25;
    }
    if board.wired.iter().any(|w| w.pin == pin.number && w.shares) {
        cost += 15;
    }
    if demand.needs.touch {
        if track_m.is_finite() {
            cost += 2 * (track_m * 100.0).ceil() as u32;
        }
        let fast = |part| {
            matches!(part, Taken::Camera(CameraSignal::Data(_) | CameraSignal::Pclk | CameraSignal::Xclk))
        };
        let noisy =
            board.wired.iter().filter(|w| fast(w.part)).any(|w| {
                board.chip.pins.iter().any(|other| other.number == w.pin && beside(board, pin, other))
            });
        cost += if noisy { 20 } else { 0 };
    }
    cost
}

/// Every way to give each waking demand a source, tried.
fn wakes_together(board: &Board, options: &[Vec<WakeKind>], chosen: &mut Vec<WakeKind>) -> bool {
    let table = &board.chip.wake;
    if chosen.len() == options.len() {
        let excluded = |a, b| table.excludes.iter().any(|&(x, y)| (x, y) == (a, b) || (y, x) == (a, b));
        return chosen.iter().all(|&a| {
            let room = table.sources.iter().find(|s| s.0 == a).map_or(0, |s| usize::from(s.1));
            chosen.iter().filter(|b| **b == a).count() <= room && !chosen.iter().any(|&b| excluded(a, b))
        });
    }
    options[chosen.len()].iter().any(|&kind| {
        chosen.push(kind);
        let together = wakes_together(board, options, chosen);
        chosen.pop();
        together
    })
}

/// Every way to give each PWM signal a timer, tried.
fn timers_serve(signals: &[(Rate, PwmRoute)], on: &mut [Option<Rate>]) -> bool {
    let Some((&(rate, route), rest)) = signals.split_first() else { return true };
    (0..on.len()).any(|t| {
        if route != PwmRoute::Any && route != PwmRoute::Timer(t as u8) {
            return false;
        }
        let before = on[t];
        if before.is_some_and(|there| there != rate || rate == Rate::Moving) {
            return false;
        }
        on[t] = Some(rate);
        let served = timers_serve(rest, on);
        on[t] = before;
        served
    })
}

fn whole_allowed(board: &Board, chosen: &[(usize, &Demand, &Pin)], holds: Holds<'_>) -> bool {
    let touched: Vec<u8> = chosen
        .iter()
        .filter(|(d, demand, _)| demand.needs.touch && holds(Fact::Need(*d, Need::Touch)))
        .filter_map(|(_, _, pin)| pin.touch)
        .collect();
    let twice = touched.iter().enumerate().any(|(i, channel)| touched[..i].contains(channel));
    if twice && holds(Fact::TouchChannels) {
        return false;
    }
    let dimmed =
        chosen.iter().filter(|(d, demand, _)| demand.needs.pwm.is_some() && holds(Fact::Need(*d, Need::Pwm)));
    let signals: Vec<(Rate, PwmRoute)> =
        dimmed.clone().filter_map(|(_, demand, pin)| Some((demand.needs.pwm?, pin.pwm?))).collect();
    let channels = usize::from(board.chip.pwm.channels) - usize::from(board.camera_clock.is_some());
    if dimmed.count() > channels && holds(Fact::PwmChannels) {
        return false;
    }
    let mut timers = vec![None; usize::from(board.chip.pwm.timers)];
    if let Some(clock) = board.camera_clock {
        timers[usize::from(clock.timer)] = Some(Rate::Fixed(clock.hz));
    }
    if holds(Fact::PwmTimers) && !timers_serve(&signals, &mut timers) {
        return false;
    }
    let options: Vec<Vec<WakeKind>> = chosen
        .iter()
        .filter(|(d, demand, _)| demand.needs.wake.is_some() && holds(Fact::Need(*d, Need::Wake)))
        .map(|(_, demand, pin)| wake_kinds(demand, pin))
        .collect();
    !holds(Fact::WakeTable) || wakes_together(board, &options, &mut Vec::new())
}

fn noise_cost(board: &Board, chosen: &[(usize, &Demand, &Pin)]) -> u32 {
    let mut cost = 0;
    for (_, _, at) in chosen.iter().filter(|c| c.1.needs.touch) {
        for (_, _, lamp_at) in chosen.iter().filter(|c| c.1.needs.pwm.is_some()) {
            cost += if at != lamp_at && beside(board, at, lamp_at) { 10 } else { 0 };
        }
    }
    cost
}

/// The least cost over every choice of pins.
fn least_cost(board: &Board, demands: &[Demand], holds: Holds<'_>) -> Option<u32> {
    fn go<'a>(
        board: &'a Board,
        left: &[(usize, &'a Demand)],
        chosen: &mut Vec<(usize, &'a Demand, &'a Pin)>,
        holds: Holds<'_>,
    ) -> Option<u32> {
        let Some((&(d, demand), rest)) = left.split_first() else {
            return whole_allowed(board, chosen, holds).then(|| noise_cost(board, chosen));
        };
        let mut best: Option<u32> = None;
        for pin in &board.chip.pins {
            let used = chosen.iter().any(|(_, _, other)| other.number == pin.number);
            if used || !pair_allowed(board, d, demand, pin, holds) {
                continue;
            }
            chosen.push((d, demand, pin));
            let cost = go(board, rest, chosen, holds).map(|cost| cost + pair_cost(board, demand, pin));
            chosen.pop();
            best = best.into_iter().chain(cost).min();
        }
        best
    }
    let left: Vec<_> = demands.iter().enumerate().filter(|(d, _)| holds(Fact::Demand(*d))).collect();
    go(board, &left, &mut Vec::new(), holds)
}

const NEEDS: [Need; 10] = [
    Need::Input,
    Need::Output,
    Need::Analogue,
    Need::AnalogueWithRadio,
    Need::Touch,
    Need::Pwm,
    Need::Wake,
    Need::Hold,
    Need::QuietAtBoot,
    Need::Pull,
];

/// Every fact that could be given up.
fn changeable(board: &Board, demands: usize) -> Vec<Fact> {
    let mut facts = vec![Fact::Taken(Taken::Usb), Fact::Taken(Taken::ExtraMemory)];
    for d in 0..demands {
        facts.extend([Fact::Demand(d), Fact::Fixed(d)]);
        facts.extend(NEEDS.map(|need| Fact::Need(d, need)));
        facts.extend(board.chip.pins.iter().map(|pin| Fact::Strap { demand: d, pin: pin.number }));
    }
    facts
}

#[test]
fn the_optimum_is_that_of_trying_everything_on_300_small_boards() {
    let (mut impossible, mut beside_pins) = (0, 0);
    for seed in 0..300 {
        let (mut board, demands) = sample::board(seed, 6 + (seed % 4) as u8, 3 + (seed % 3) as usize);
        if seed % 2 == 0 {
            // Scarce, so that the constraints beside the pins decide.
            board.chip.pwm = PwmUnit { timers: 2, channels: 3 };
            board.chip.wake.excludes.push((WakeKind::Touch, WakeKind::AnyHigh));
        }
        let plain = least_cost(&board, &demands, &every_fact);
        let case = Case::new(&board, &demands).unwrap();
        match case.solve() {
            Solved::Wired(wiring) => {
                assert!(wiring.proven, "seed {seed}");
                assert_eq!(Some(wiring.cost), plain, "seed {seed}");
                let told: u32 = wiring.lines.iter().flat_map(|l| &l.troubles).map(|t| t.cost()).sum();
                assert_eq!(told, wiring.cost, "seed {seed}: the troubles told are the cost");
                for (d, others) in case.alternatives(&wiring).iter().enumerate() {
                    let mut plainly = BTreeMap::new();
                    for pin in board.chip.pins.iter().filter(|pin| pin.number != wiring.lines[d].pin) {
                        let mut fixed = demands.clone();
                        if demands[d].fixed.is_none() {
                            fixed[d].fixed = Some(pin.number);
                            plainly.extend(
                                least_cost(&board, &fixed, &every_fact)
                                    .map(|cost| (pin.number, cost - wiring.cost)),
                            );
                        }
                    }
                    assert!(others.iter().all(|a| a.exact), "seed {seed}");
                    let ours: BTreeMap<u8, u32> = others.iter().map(|a| (a.pin, a.extra_cost)).collect();
                    assert_eq!(ours, plainly, "seed {seed}, demand {d}: the other pins");
                }
            }
            Solved::Impossible => {
                impossible += 1;
                assert_eq!(plain, None, "seed {seed}");
                let conflict = case.conflict().expect("an impossible case has a conflict");
                assert!(conflict.minimal);
                let beside = [Fact::PwmTimers, Fact::PwmChannels, Fact::WakeTable, Fact::TouchChannels];
                beside_pins += usize::from(conflict.facts.iter().any(|f| beside.contains(f)));
                let within = |without: Option<Fact>| {
                    least_cost(&board, &demands, &|f| Some(f) != without && conflict.facts.contains(&f))
                };
                assert_eq!(within(None), None, "seed {seed}: {conflict:?} can stand together");
                for &fact in &conflict.facts {
                    assert!(within(Some(fact)).is_some(), "seed {seed}: {fact:?} is idle in {conflict:?}");
                }
            }
            Solved::GaveUp => panic!("seed {seed}"),
        }
    }
    assert!((60..240).contains(&impossible), "{impossible} of 300: the samples test both answers");
    assert!(beside_pins > 10, "{beside_pins} conflicts beside the pins");
}

#[test]
fn relaxations_are_all_the_smallest_changes_that_help() {
    let mut sizes = [0; 4];
    for seed in 0..150 {
        let (board, demands) = sample::board(seed, 7, 3);
        let case = Case::new(&board, &demands).unwrap();
        if case.solve() != Solved::Impossible {
            assert!(case.relaxations().is_empty());
            continue;
        }
        let ours = case.relaxations();
        let singles: Vec<Fact> = changeable(&board, demands.len())
            .into_iter()
            .filter(|fact| least_cost(&board, &demands, &|f| f != *fact).is_some())
            .collect();
        if singles.is_empty() {
            assert!(ours.iter().all(|r| r.facts.len() > 1), "seed {seed}");
        } else {
            let mut named: Vec<Fact> = ours.iter().flat_map(|r| r.facts.clone()).collect();
            named.sort();
            let mut singles = singles;
            singles.sort();
            assert_eq!(named, singles, "seed {seed}");
        }
        for relaxation in &ours {
            sizes[relaxation.facts.len()] += 1;
            let cost = least_cost(&board, &demands, &|f| !relaxation.facts.contains(&f));
            assert_eq!(Some(relaxation.cost), cost, "seed {seed}: {relaxation:?}");
        }
    }
    assert!(sizes[1] > 0 && sizes[2] > 0, "{sizes:?}: both one change and two are tested");
}

/// Every set of demands to leave out is tried: the fewest, of these the later ones, of these the cheapest.
#[test]
fn the_fewest_demands_are_left_out_of_every_set_that_could_be() {
    let mut left_out = [0; 8];
    for seed in 0..300 {
        let (mut board, demands) = sample::board(seed, 3 + (seed % 5) as u8, 5);
        if seed % 2 == 0 {
            board.chip.pwm = PwmUnit { timers: 1, channels: 2 };
            board.chip.wake.excludes.push((WakeKind::Touch, WakeKind::AnyHigh));
        }
        let Ok(case) = Case::new(&board, &demands) else { continue };
        let plainly = (0..1_u32 << demands.len())
            .filter_map(|out| {
                let gone = |d: usize| out >> d & 1 == 1;
                let cost = least_cost(&board, &demands, &|fact| !matches!(fact, Fact::Demand(d) if gone(d)))?;
                let early: usize = (0..demands.len()).filter(|&d| gone(d)).map(|d| demands.len() - d).sum();
                Some((out.count_ones() as usize, early, cost))
            })
            .min()
            .expect("no demand at all is no trouble");
        let most = case.most().expect("small searches end");
        let out: Vec<usize> = (0..demands.len()).filter(|&d| most.lines[d].is_none()).collect();
        let early = out.iter().map(|d| demands.len() - d).sum();
        assert_eq!((out.len(), early, most.cost), plainly, "seed {seed}");
        assert_eq!(most.left_out_at_least, out.len(), "seed {seed}: proven");
        let told: u32 = most.lines.iter().flatten().flat_map(|l| &l.troubles).map(|t| t.cost()).sum();
        assert_eq!(told, most.cost, "seed {seed}: the troubles told are the cost");
        left_out[out.len()] += 1;
    }
    assert!(left_out[..5].iter().all(|boards| *boards > 2), "{left_out:?}: none to four are tested");
}

/// More demands than there are columns beside the pins: those that no pin is left for need none.
#[test]
fn more_demands_than_columns_are_left_out_too() {
    let board = sample::small_board();
    let plate = Demand::new(
        models::pins::demand::DemandKind::Plate,
        models::pins::demand::Needs { touch: true, ..Default::default() },
    );
    let demands = vec![plate; 64];
    let case = Case::new(&board, &demands).unwrap();
    let most = case.most().unwrap();
    let placed = most.lines.iter().flatten().count();
    let channels = case.prices()[0].iter().flatten().count();
    assert!(placed > 0 && placed <= channels, "{placed} of {channels}");
    assert_eq!(most.left_out_at_least, 64 - placed);
    assert!(most.lines[..placed].iter().all(Option::is_some), "the last of the plan give way");
}

proptest! {

    #[test]
    fn dropping_a_demand_never_costs_and_never_makes_it_impossible(seed in 0u64..1_000_000, gone in 0usize..8) {
        let (board, mut demands) = sample::board(seed, 24, 8);
        let all = Case::new(&board, &demands).unwrap().solve();
        demands.remove(gone);
        let fewer = Case::new(&board, &demands).unwrap().solve();
        if let Solved::Wired(all) = all {
            let Solved::Wired(fewer) = fewer else { return Err(TestCaseError::fail("fewer is impossible")) };
            prop_assert!(fewer.cost <= all.cost);
        }
    }

    #[test]
    fn the_order_of_pins_changes_neither_cost_nor_choice(seed in 0u64..1_000_000) {
        let (board, demands) = sample::board(seed, 24, 8);
        let mut turned = board.clone();
        turned.chip.pins.reverse();
        let ours = |board: &Board| match Case::new(board, &demands).unwrap().solve() {
            Solved::Wired(wiring) => Some((wiring.cost, pin_weight(&wiring.pins()))),
            _ => None,
        };
        prop_assert_eq!(ours(&board), ours(&turned));
    }
}

/// What breaks ties: lower numbers first, those of earlier demands more.
fn pin_weight(pins: &[u8]) -> usize {
    pins.iter().enumerate().map(|(d, &pin)| usize::from(pin) * (pins.len() - d)).sum()
}
