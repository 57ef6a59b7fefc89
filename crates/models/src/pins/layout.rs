//! A board as bit sets over its pins, so that a need is one `and`.
//!
//! Pins are counted from 0 in the chip's order here; numbers are for the reader.

use super::PINS_MAX;
use super::board::{Board, BootState, PwmRoute, Taken};
use super::demand::{AnalogueUse, Needs};
use super::level::{Drive, Level, Load};
use super::sleep::WakeSet;
use super::unusable::{Unusable, WantedBy};

pub(super) struct Layout<'a> {
    pub(super) numbers: Vec<u8>,
    pub(super) all: u64,
    pub(super) input: u64,
    pub(super) output: u64,
    pub(super) pull_up: u64,
    pub(super) pull_down: u64,
    pub(super) analogue: u64,
    /// Analogue, and not blocked by the radio.
    pub(super) analogue_with_radio: u64,
    pub(super) touch: u64,
    pub(super) pwm: u64,
    /// Prints at boot, or is the console.
    pub(super) console: u64,
    /// On a connector.
    pub(super) connector: u64,
    /// On a connector or a pad.
    pub(super) reach: u64,
    /// Beside a part of the board that leaves room for another.
    pub(super) shared: u64,
    /// Next to a fast line of the camera bus.
    pub(super) beside_camera: u64,
    /// Held so that nothing else may use them, by holder; the camera bus once.
    pub(super) held: Vec<(Taken, u64)>,
    /// By pin: pins next to it.
    pub(super) beside: Vec<u64>,
    /// By pin: pins that PWM reaches the same way.
    pub(super) same_route: Vec<u64>,
    /// By pin: pins on the same touch channel, itself included.
    pub(super) same_channel: Vec<u64>,
    pub(super) wakes: Vec<WakeSet>,
    /// By pin: loads wired on the board.
    pub(super) loads: Vec<Vec<&'a Load>>,
    /// By pin: the shortest track to a connector in metres.
    pub(super) track_m: Vec<f64>,
}

impl<'a> Layout<'a> {
    pub(super) fn new(board: &'a Board) -> Result<Self, Unusable> {
        let pins = &board.chip.pins;
        let count = pins.len();
        if count > PINS_MAX {
            return Err(Unusable::TooManyPins { count });
        }
        let numbers: Vec<u8> = pins.iter().map(|p| p.number).collect();
        for (i, &number) in numbers.iter().enumerate() {
            if numbers[..i].contains(&number) {
                return Err(Unusable::SamePinTwice { number });
            }
        }
        let index = |number: u8, by: WantedBy| {
            numbers.iter().position(|&n| n == number).ok_or(Unusable::NoSuchPin { number, by })
        };
        let mask = |f: &dyn Fn(usize) -> bool| (0..count).filter(|&i| f(i)).fold(0u64, |set, i| set | 1 << i);
        let unblocked = |unit: u8| !board.chip.radio_blocks.contains(&unit);

        let mut held: Vec<(Taken, u64)> = Vec::new();
        let mut hold = |by: Taken, pin: usize| {
            let same =
                |other: Taken| other == by || matches!((other, by), (Taken::Camera(_), Taken::Camera(_)));
            match held.iter_mut().find(|(other, _)| same(*other)) {
                Some((_, set)) => *set |= 1 << pin,
                None => held.push((by, 1 << pin)),
            }
        };
        for (i, pin) in pins.iter().enumerate() {
            if let Some(by) = pin.taken.filter(|by| *by != Taken::Console) {
                hold(by, i);
            }
        }
        let mut loads = vec![Vec::new(); count];
        let (mut shared, mut fast) = (0u64, 0u64);
        for (w, wired) in board.wired.iter().enumerate() {
            let i = index(wired.pin, WantedBy::Wired(w))?;
            loads[i].push(&wired.load);
            if matches!(wired.part, Taken::Camera(signal) if signal.is_fast()) {
                fast |= 1 << i;
            }
            if wired.shares {
                shared |= 1 << i;
            } else {
                hold(wired.part, i);
            }
        }
        let mut track_m = vec![f64::INFINITY; count];
        let mut places = Vec::with_capacity(board.brought_out.len());
        let mut connector = 0u64;
        for (o, out) in board.brought_out.iter().enumerate() {
            let i = index(out.pin, WantedBy::BroughtOut(o))?;
            connector |= 1 << i;
            track_m[i] = track_m[i].min(out.track_m);
            places.push((out.connector, out.position, i));
        }
        let mut reach = connector;
        for (p, &pad) in board.pads.iter().enumerate() {
            reach |= 1 << index(pad, WantedBy::Pad(p))?;
        }

        let mut beside = vec![0u64; count];
        places.sort_unstable();
        for (k, a) in places.iter().enumerate() {
            // Sorted: what follows is on this connector at this place or the next, or is no neighbour.
            for b in places[k + 1..].iter().take_while(|b| b.0 == a.0 && b.1 - a.1 <= 1) {
                if b.1 != a.1 {
                    beside[a.2] |= 1 << b.2;
                    beside[b.2] |= 1 << a.2;
                }
            }
        }
        let mut around: Vec<(u8, usize)> =
            pins.iter().enumerate().filter_map(|(i, p)| Some((p.package_position?, i))).collect();
        around.sort_unstable();
        for (k, a) in around.iter().enumerate() {
            for b in around[k + 1..].iter().take_while(|b| b.0 - a.0 <= 1) {
                if b.0 != a.0 {
                    beside[a.1] |= 1 << b.1;
                    beside[b.1] |= 1 << a.1;
                }
            }
        }
        let beside_camera = mask(&|i| beside[i] & fast != 0);
        let route = |i: usize| -> Option<PwmRoute> { pins[i].pwm };
        Ok(Self {
            all: mask(&|_| true),
            input: mask(&|i| pins[i].input),
            output: mask(&|i| pins[i].output),
            pull_up: mask(&|i| pins[i].pull_up),
            pull_down: mask(&|i| pins[i].pull_down),
            analogue: mask(&|i| pins[i].analogue.is_some()),
            analogue_with_radio: mask(&|i| pins[i].analogue.is_some_and(|a| unblocked(a.unit))),
            // A resistor or an output on the pin drowns the few picofarads that a finger adds.
            touch: mask(&|i| {
                let free = |load: &&Load| load.pulls.is_empty() && load.drive == Drive::Nothing;
                pins[i].touch.is_some() && loads[i].iter().all(free)
            }),
            pwm: mask(&|i| pins[i].pwm.is_some()),
            console: mask(&|i| {
                pins[i].taken == Some(Taken::Console) || pins[i].boot == BootState::ConsoleText
            }),
            connector,
            reach,
            shared,
            beside_camera,
            held,
            beside,
            same_route: (0..count).map(|i| route(i).map_or(0, |r| mask(&|j| route(j) == Some(r)))).collect(),
            same_channel: (0..count)
                .map(|i| pins[i].touch.map_or(0, |channel| mask(&|j| pins[j].touch == Some(channel))))
                .collect(),
            wakes: pins.iter().map(|p| p.wakes).collect(),
            loads,
            track_m,
            numbers,
        })
    }

    /// The index of a pin number.
    pub(super) fn index(&self, number: u8) -> Option<usize> {
        self.numbers.iter().position(|&n| n == number)
    }

    /// The pins that can be measured at the wanted time.
    pub(super) fn measured(&self, when: AnalogueUse) -> u64 {
        match when {
            AnalogueUse::RadioOff => self.analogue,
            AnalogueUse::RadioOn => self.analogue_with_radio,
        }
    }

    /// The pins with an internal pull towards `level`.
    pub(super) fn pulled(&self, level: Level) -> u64 {
        match level {
            Level::High => self.pull_up,
            Level::Low => self.pull_down,
        }
    }

    /// The pins at which some source can see what `needs` wakes with.
    pub(super) fn waking(&self, needs: &Needs) -> u64 {
        let Some(wake) = needs.wake else { return self.all };
        let sources = wake.sources();
        (0..self.numbers.len())
            .filter(|&i| !self.wakes[i].and(sources).is_empty())
            .fold(0, |set, i| set | 1 << i)
    }
}
