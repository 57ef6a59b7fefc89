//! Test data: boards and demands that are invented, for tests and benchmarks. Nothing here describes a real part.

use super::board::{
    AnalogueInput, Board, BootState, BroughtOut, CameraClock, Chip, Pin, PwmRoute, PwmUnit, Strap, Taken,
    Wired,
};
use super::camera::CameraSignal;
use super::demand::{AnalogueUse, Demand, DemandKind, Needs, QuietAtBoot, Rate};
use super::level::{Drive, Level, Load, Pull};
use super::neighbour::are_beside;
use super::sleep::{WakeKind, WakeOn, WakeSet, WakeTable};
use super::timers::channels_free;
use super::{Case, Trouble};

/// A small generator of random numbers with a seed (splitmix64: Steele, Lea, Flood, OOPSLA 2014).
#[derive(Clone, Debug)]
pub struct Dice(u64);

impl Dice {
    /// Equal seeds roll equally.
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// A whole number below `end` (at least 1).
    pub fn below(&mut self, end: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (z ^ (z >> 31)) % end.max(1)
    }

    /// True in so many of a hundred rolls.
    pub fn percent(&mut self, share: u64) -> bool {
        self.below(100) < share
    }

    fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[self.below(from.len() as u64) as usize]
    }
}

/// A wake table as some chips have it: one level and touch exclude each other, so do any-high and all-low.
fn wake_table() -> WakeTable {
    WakeTable {
        sources: vec![
            (WakeKind::Touch, 10),
            (WakeKind::OneLevel, 1),
            (WakeKind::AnyHigh, 18),
            (WakeKind::AllLow, 1),
        ],
        excludes: vec![(WakeKind::Touch, WakeKind::OneLevel), (WakeKind::AnyHigh, WakeKind::AllLow)],
    }
}

/// Ten pins, four of them touch, camera clock of 20 MHz on timer 0 of two.
pub fn small_board() -> Board {
    let pin = |number: u8| Pin {
        touch: (number < 4).then_some(number),
        analogue: Some(AnalogueInput { unit: 1 + number / 5, channel: number % 5 }),
        wakes: WakeSet::of(&[WakeKind::OneLevel, WakeKind::AnyHigh, WakeKind::AllLow]),
        ..Pin::plain(number)
    };
    let chip = Chip {
        pins: (0..10).map(pin).collect(),
        vdd_v: 3.3,
        pwm: PwmUnit { timers: 2, channels: 4 },
        control_bus_ports: 1,
        serial_ports: 2,
        camera_units: 1,
        radio_blocks: vec![2],
        wake: wake_table(),
    };
    let brought_out =
        (0..10).map(|pin| BroughtOut { pin, connector: 0, position: pin, track_m: 0.01 }).collect();
    let camera_clock = Some(CameraClock { timer: 0, hz: 20_000_000 });
    Board { chip, wired: Vec::new(), brought_out, pads: Vec::new(), camera_clock }
}

/// A random board with `pins` pins and `demands` demands. Equal seeds give equal boards.
///
/// At 40 pins and 20 demands about half of the boards can be wired.
pub fn board(seed: u64, pins: u8, demands: usize) -> (Board, Vec<Demand>) {
    let dice = &mut Dice::new(seed);
    let fixed_routes = dice.percent(30);
    let chip = Chip {
        pins: (0..pins).map(|number| random_pin(dice, number, fixed_routes)).collect(),
        vdd_v: 3.3,
        pwm: PwmUnit { timers: 3 + dice.below(4) as u8, channels: 6 + dice.below(5) as u8 },
        control_bus_ports: 2,
        serial_ports: 3,
        camera_units: 1,
        radio_blocks: vec![2],
        wake: wake_table(),
    };
    let mut board = Board {
        chip,
        wired: Vec::new(),
        brought_out: Vec::new(),
        pads: Vec::new(),
        camera_clock: dice.percent(80).then_some(CameraClock { timer: 0, hz: 20_000_000 }),
    };
    let mut order: Vec<u8> = (0..pins).collect();
    for i in (1..order.len()).rev() {
        order.swap(i, dice.below(i as u64 + 1) as usize);
    }
    // Some of a camera bus, so that its fast lines lie beside other pins.
    for (line, &pin) in order.iter().take(usize::from(pins) / 8).enumerate() {
        let part = Taken::Camera(CameraSignal::REQUIRED[line % CameraSignal::REQUIRED.len()]);
        board.wired.push(Wired { pin, part, shares: false, load: Load::default() });
    }
    for &pin in order.iter().rev().take(usize::from(pins) / 10) {
        let (part, shares, ohm, to_v) = dice.pick(&[
            (Taken::Lamp, true, 10e3, 0.0),
            (Taken::Button, true, 10e3, 3.3),
            (Taken::ExtraMemory, false, 10e3, 3.3),
        ]);
        let load = Load { pulls: vec![Pull { ohm, to_v }], ..Load::default() };
        board.wired.push(Wired { pin, part, shares, load });
    }
    for i in (1..order.len()).rev() {
        order.swap(i, dice.below(i as u64 + 1) as usize);
    }
    for (place, &pin) in order.iter().enumerate() {
        if dice.percent(88) {
            let (connector, position) = (place as u8 % 2, place as u8 / 2);
            let track_m = 0.001 * dice.below(60) as f64;
            board.brought_out.push(BroughtOut { pin, connector, position, track_m });
        } else if dice.percent(60) {
            board.pads.push(pin);
        }
    }
    let demands = (0..demands).map(|_| random_demand(dice, pins)).collect();
    (board, demands)
}

fn random_pin(dice: &mut Dice, number: u8, fixed_routes: bool) -> Pin {
    let input_only = dice.percent(8);
    let always_on = dice.percent(50);
    let levels = [WakeKind::OneLevel, WakeKind::AnyHigh, WakeKind::AllLow];
    let touch = dice.percent(30).then(|| if dice.percent(85) { number } else { number / 2 });
    let wakes: Vec<WakeKind> = levels
        .into_iter()
        .filter(|_| always_on && dice.percent(80))
        .chain(touch.map(|_| WakeKind::Touch))
        .collect();
    let route =
        if fixed_routes && dice.percent(60) { PwmRoute::Timer(dice.below(3) as u8) } else { PwmRoute::Any };
    let level = |dice: &mut Dice| dice.pick(&[Level::Low, Level::High]);
    Pin {
        output: !input_only,
        pull_up: !input_only,
        pull_down: !input_only && dice.percent(90),
        analogue: dice
            .percent(50)
            .then(|| AnalogueInput { unit: 1 + dice.below(2) as u8, channel: number % 10 }),
        touch,
        pwm: (!input_only).then_some(route),
        wakes: WakeSet::of(&wakes),
        holds_in_sleep: always_on,
        boot: dice.pick(&[
            BootState::Floats,
            BootState::Floats,
            BootState::Floats,
            BootState::PulledUp,
            BootState::PulledDown,
        ]),
        strap: dice.percent(12).then(|| Strap {
            needs: dice.percent(80).then(|| level(dice)),
            pull: dice.percent(80).then(|| level(dice)),
            otherwise: "sample".into(),
        }),
        taken: dice
            .percent(8)
            .then(|| dice.pick(&[Taken::Flash, Taken::Console, Taken::Usb, Taken::ExtraMemory])),
        package_position: dice.percent(20).then_some(number),
        ..Pin::plain(number)
    }
}

fn random_demand(dice: &mut Dice, pins: u8) -> Demand {
    let off_pull = |ohm: f64| Load { pulls: vec![Pull { ohm, to_v: 0.0 }], ..Load::default() };
    let rate = dice.pick(&[Rate::Fixed(5_000), Rate::Fixed(5_000), Rate::Fixed(1_000), Rate::Moving]);
    let output = Needs { output: true, ..Needs::default() };
    let input = Needs { input: true, ..Needs::default() };
    let mut demand = match dice.below(9) {
        0 => Demand {
            load: Load { wet_leak_ohm: Some(20e3 * (1 + dice.below(50)) as f64), ..Load::default() },
            ..Demand::new(
                DemandKind::Plate,
                Needs { touch: true, wake: dice.percent(40).then_some(WakeOn::Touch), ..Needs::default() },
            )
        },
        1 => Demand::new(
            DemandKind::StatusLamp,
            Needs { pwm: dice.percent(40).then_some(rate), quiet_at_boot: QuietAtBoot::Prefers, ..output },
        ),
        2 => Demand {
            load: off_pull(10e3),
            ..Demand::new(
                DemandKind::InfraredLamp,
                Needs { pwm: dice.percent(30).then_some(rate), quiet_at_boot: QuietAtBoot::Must, ..output },
            )
        },
        3 => Demand {
            load: Load { drive: Drive::Either { ohm: 100.0 }, ..Load::default() },
            ..Demand::new(
                DemandKind::PresenceSensor,
                Needs { wake: dice.percent(40).then_some(WakeOn::High), ..input },
            )
        },
        4 => Demand {
            load: Load { drive: Drive::Either { ohm: 100e3 }, ..Load::default() },
            ..Demand::new(
                DemandKind::CellSense,
                Needs {
                    analogue: Some(dice.pick(&[AnalogueUse::RadioOn, AnalogueUse::RadioOff])),
                    ..Needs::default()
                },
            )
        },
        5 => Demand::new(
            DemandKind::Sounder,
            Needs {
                pwm: dice.percent(50).then_some(Rate::Moving),
                quiet_at_boot: QuietAtBoot::Prefers,
                ..output
            },
        ),
        6 => Demand::new(
            DemandKind::Tamper,
            Needs { pull: Some(Level::High), wake: dice.percent(15).then_some(WakeOn::Low), ..input },
        ),
        7 => Demand {
            load: off_pull(4.7e3),
            ..Demand::new(DemandKind::ChimeRelay, Needs { quiet_at_boot: QuietAtBoot::Must, ..output })
        },
        _ => Demand {
            load: if dice.percent(30) { off_pull(10e3) } else { Load::default() },
            ..Demand::new(DemandKind::PowerDown, Needs { hold: Some(Level::Low), ..output })
        },
    };
    if dice.percent(4) {
        demand.fixed = Some(dice.below(u64::from(pins)) as u8);
    }
    demand
}

/// A case as JSON, for a solver in another language: the price of each demand on each pin (-1: not allowed), and the
/// facts of everything beyond single pins. -1 stands for "none" throughout; a rate of 0 changes while it runs; a
/// route of -2 is any timer.
pub fn instance_json(case: &Case<'_>) -> String {
    let (board, demands) = (case.board, case.demands);
    let pins = &board.chip.pins;
    let kinds = |set: WakeSet| -> Vec<usize> {
        (0..WakeKind::ALL.len()).filter(|&k| set.has(WakeKind::ALL[k])).collect()
    };
    let prices: Vec<Vec<i64>> =
        case.prices().iter().map(|row| row.iter().map(|p| p.map_or(-1, i64::from)).collect()).collect();
    let channel: Vec<i16> = pins.iter().map(|p| p.touch.map_or(-1, i16::from)).collect();
    let route: Vec<i16> = pins
        .iter()
        .map(|p| match p.pwm {
            None => -1,
            Some(PwmRoute::Any) => -2,
            Some(PwmRoute::Timer(timer)) => i16::from(timer),
        })
        .collect();
    let pin_wakes: Vec<Vec<usize>> = pins.iter().map(|p| kinds(p.wakes)).collect();
    let beside: Vec<Vec<usize>> = pins
        .iter()
        .map(|a| (0..pins.len()).filter(|&b| are_beside(board, a.number, pins[b].number)).collect())
        .collect();
    let touch: Vec<u8> = demands.iter().map(|d| u8::from(d.needs.touch)).collect();
    let rate: Vec<i64> = demands
        .iter()
        .map(|d| match d.needs.pwm {
            None => -1,
            Some(Rate::Moving) => 0,
            Some(Rate::Fixed(hz)) => i64::from(hz),
        })
        .collect();
    let wake: Vec<Vec<usize>> =
        demands.iter().map(|d| d.needs.wake.map_or(Vec::new(), |wake| kinds(wake.sources()))).collect();
    let room: Vec<u32> = WakeKind::ALL
        .iter()
        .map(|kind| board.chip.wake.sources.iter().filter(|s| s.0 == *kind).map(|s| u32::from(s.1)).sum())
        .collect();
    let excludes: Vec<[u8; 2]> = board.chip.wake.excludes.iter().map(|&(a, b)| [a as u8, b as u8]).collect();
    let camera = board.camera_clock.map_or([-1, -1], |c| [i64::from(c.timer), i64::from(c.hz)]);
    let (timers, channels) = (board.chip.pwm.timers, channels_free(board));
    let noise = Trouble::BesidePwm { demand: 0 }.cost();
    format!(
        "{{\"prices\": {prices:?}, \"channel\": {channel:?}, \"route\": {route:?}, \"pin_wakes\": {pin_wakes:?}, \
         \"beside\": {beside:?}, \"touch\": {touch:?}, \"rate\": {rate:?}, \"wake\": {wake:?}, \"room\": {room:?}, \
         \"excludes\": {excludes:?}, \"camera\": {camera:?}, \"timers\": {timers}, \"channels\": {channels}, \
         \"noise\": {noise}}}"
    )
}
