//! From what happens to counts, in the strange way.

use super::{Settings, script};
use crate::chance::{Chance, Wander};
use crate::plate::{Event, Kind, Readings, Sample};
use models::out_of_range::OutOfRange;
use models::touch::count::Law;
use std::f64::consts::TAU;

/// Wanderers of the 1/f noise.
const OCTAVES: u32 = 8;

/// Strange readings, one at a time.
#[derive(Clone, Debug)]
pub struct Samples {
    settings: Settings,
    events: Vec<Event>,
    next: usize,
    active: Vec<Event>,
    slot: u64,
    slots: u64,
    /// The last uniform numbers, oldest first.
    last: Vec<f64>,
    flicker: Vec<Wander>,
    away: bool,
    turns: f64,
    heat: f64,
    before: Option<u16>,
    losing: bool,
    noise: Chance,
    telegraph: Chance,
    faults: Chance,
    slips: u64,
}

impl Samples {
    /// What these settings and this seed give.
    ///
    /// # Errors
    /// As [`script`].
    pub fn new(settings: &Settings, seed: u64) -> Result<Self, OutOfRange> {
        let events = script(settings, seed)?;
        Self::with(settings, events, seed)
    }

    /// The same with a list of what happens.
    ///
    /// # Errors
    /// A setting or an event out of range.
    pub fn with(settings: &Settings, mut events: Vec<Event>, seed: u64) -> Result<Self, OutOfRange> {
        settings.check()?;
        events.iter().try_for_each(|event| event.check(settings.facts.law))?;
        events.sort_by(|a, b| a.start_s.total_cmp(&b.start_s));
        let mut noise = Chance::new(seed, 111);
        let last = (0..settings.noise.memory).map(|_| noise.between(-1.0, 1.0)).collect();
        let flicker = &settings.flicker;
        let wanderer = |octave: u32| {
            let ratio = flicker.slowest_s / flicker.fastest_s;
            let memory_s = flicker.fastest_s * ratio.powf(f64::from(octave) / f64::from(OCTAVES - 1));
            Wander::slow(Chance::new(seed, 120 + u64::from(octave)), settings.period_s, memory_s)
        };
        Ok(Self {
            settings: *settings,
            events,
            next: 0,
            active: Vec::new(),
            slot: 0,
            slots: (settings.for_s / settings.period_s).ceil() as u64,
            last,
            flicker: (0..OCTAVES).map(wanderer).collect(),
            away: false,
            turns: 0.0,
            heat: 0.0,
            before: None,
            losing: false,
            noise,
            telegraph: Chance::new(seed, 112),
            faults: Chance::new(seed, 113),
            slips: seed,
        })
    }

    /// The settings.
    pub const fn settings(&self) -> &Settings {
        &self.settings
    }

    /// Bounded, of standard deviation 1 over a breath.
    fn noise(&mut self, at_s: f64) -> f64 {
        let noise = &self.settings.noise;
        let count = f64::from(noise.memory);
        self.last.rotate_left(1);
        if let Some(newest) = self.last.last_mut() {
            *newest = self.noise.between(-1.0, 1.0);
        }
        // A uniform number in -1..1 has variance 1/3; the mean of squares of 1 + b·sin is 1 + b²/2.
        let even = self.last.iter().sum::<f64>() / count * (3.0 * count).sqrt();
        let breath = 1.0 + noise.breath * (TAU * at_s / noise.breath_s).sin();
        even * breath / (1.0 + noise.breath * noise.breath / 2.0).sqrt()
    }

    /// Whether the level is away; dwelling times are exponential.
    fn away(&mut self) -> bool {
        let t = &self.settings.telegraph;
        let mean_s = if self.away { t.away_s } else { t.rest_s };
        self.away ^= self.telegraph.happens(-(-self.settings.period_s / mean_s).exp_m1());
        self.away
    }

    /// Half of peak to peak is 1; slides up and down between the two frequencies.
    fn beat(&mut self, at_s: f64) -> f64 {
        let beat = &self.settings.beat;
        let along = (at_s / beat.slide_s).rem_euclid(2.0);
        let up = if along < 1.0 { along } else { 2.0 - along };
        let hz = beat.hz[0] + (beat.hz[1] - beat.hz[0]) * up;
        self.turns = (self.turns + hz * self.settings.period_s).fract();
        4.0 * (self.turns - 0.5).abs() - 1.0
    }

    /// Of a press, how much of its capacitance is there, and how much of it is contact.
    fn pressed(&self, event: &Event, at_s: f64) -> (f64, f64) {
        let p = &self.settings.presses;
        let length_s = event.length_s().max(1e-9);
        let ramp_s = p.ramp_s.min(length_s).max(1e-6);
        // Straight up about the start and straight down about the end, so that half is there at both.
        let line = |from_s: f64| (0.5 + from_s / ramp_s).clamp(0.0, 1.0);
        let contact = line(at_s - event.start_s).min(line(event.end_s - at_s));
        let crept = 1.0 + p.creep * (at_s - event.start_s).clamp(0.0, 1.0).sqrt();
        // Whether a press slips hangs on its own start, so that the list of events may be changed.
        let slips = Chance::new(self.slips, event.start_s.to_bits()).happens(p.slips);
        let middle = ((at_s - event.start_s) / length_s - 0.5).abs() < 0.05;
        let held = if slips && middle { 0.2 } else { 1.0 };
        let after_s = at_s - event.end_s - ramp_s / 2.0;
        let swing = if after_s > 0.0 { -p.overshoot * (-after_s / p.recovers_s).exp() } else { 0.0 };
        (contact * crept * held + swing, contact * held)
    }

    fn turn_to(&mut self, at_s: f64) {
        let p = &self.settings.presses;
        let (lead_s, tail_s) = (p.ramp_s, p.ramp_s + 7.0 * p.recovers_s);
        while let Some(event) = self.events.get(self.next).filter(|event| event.start_s <= at_s + lead_s) {
            self.active.push(*event);
            self.next += 1;
        }
        self.active.retain(|event| at_s <= event.end_s + tail_s);
    }

    fn read(&mut self) -> Option<Sample> {
        let settings = self.settings;
        let (facts, period_s, idle) = (&settings.facts, settings.period_s, settings.idle_count);
        let late = if self.slot % 2 == 1 { settings.clock.pairs } else { 0.0 };
        let at_s = (self.slot as f64 + late) * period_s;
        self.turn_to(at_s);

        let (mut added, mut contact, mut heats, mut gone, mut crackle) =
            (0.0, 0.0_f64, 0.0_f64, false, 0.0_f64);
        for event in &self.active {
            let full = event.added(facts.law);
            let along = ((at_s - event.start_s) / event.length_s().max(1e-9)).clamp(0.0, 1.0);
            let within = (event.start_s..event.end_s).contains(&at_s);
            match event.kind {
                Kind::Press(_) => {
                    let (share, touch) = self.pressed(event, at_s);
                    added += full * share;
                    contact = contact.max(touch);
                }
                // Creeps up and is gone at once.
                Kind::Film | Kind::Rain => added += if within { full * along } else { 0.0 },
                // To and fro across the plate.
                Kind::Wipe => added += if within { full * (along * 9.0 * TAU).sin().abs() } else { 0.0 },
                Kind::Insect | Kind::Brush | Kind::Door => added += if within { full } else { 0.0 },
                Kind::Warm => heats = if within { heats.min(event.depth) } else { heats },
                Kind::Gap => gone |= within,
                Kind::Burst => crackle = if within { crackle.max(event.depth) } else { crackle },
            }
        }

        let (noise, beat, away) = (self.noise(at_s), self.beat(at_s), self.away());
        let wandered: f64 = self.flicker.iter_mut().map(Wander::step).sum();
        self.heat += (heats - self.heat) * -(-period_s / settings.warm.slow_s).exp_m1();
        let (spike, end, stale, lose, flip) = (
            self.faults.happens(settings.faults.spikes),
            self.faults.happens(0.5),
            self.faults.happens(settings.faults.stale),
            self.faults.unit(),
            self.faults.between(-1.0, 1.0),
        );
        self.losing = if self.losing { lose >= settings.faults.find } else { lose < settings.faults.lose };

        let moved = settings.flicker.share * wandered / f64::from(OCTAVES).sqrt()
            + if away { settings.telegraph.step } else { 0.0 }
            + self.heat;
        let rest = match facts.law {
            Law::Falls => idle * (1.0 - moved).max(0.0),
            Law::Rises => idle * (1.0 + moved).max(0.0),
        };
        let level = match facts.law {
            Law::Falls => rest / (1.0 + added.max(-0.9)),
            Law::Rises => rest * (1.0 + added.max(-0.9)),
        };
        let strength = settings.beat.idle + (settings.beat.touched - settings.beat.idle) * contact;
        let shaken = settings.noise.share * noise + strength * beat + crackle * flip;
        let whole = self.whole(level + idle * shaken);
        let count = match (spike, end, self.before) {
            (true, true, _) => settings.top,
            (true, false, _) => 0,
            (_, _, Some(before)) if stale => before,
            _ => whole,
        };
        self.before = Some(count);
        self.slot += 1;
        if gone || self.losing {
            return None;
        }
        Some(Sample { time_s: self.stamp(at_s), count, idle: rest })
    }

    fn whole(&self, level: f64) -> u16 {
        let quantum = f64::from(self.settings.quantum.max(1));
        ((level / quantum).round() * quantum).clamp(0.0, f64::from(self.settings.top)) as u16
    }

    /// The stamp of the reading just made: that of the last one of its batch.
    fn stamp(&self, at_s: f64) -> f64 {
        match u64::from(self.settings.clock.batch.max(1)) {
            1 => at_s,
            batch => (self.slot.div_ceil(batch) * batch - 1) as f64 * self.settings.period_s,
        }
    }
}

impl Iterator for Samples {
    type Item = Sample;

    fn next(&mut self) -> Option<Sample> {
        while self.slot < self.slots {
            if let Some(sample) = self.read() {
                return Some(sample);
            }
        }
        None
    }

    fn size_hint(&self) -> (usize, Option<usize>) {
        (0, usize::try_from(self.slots - self.slot).ok())
    }
}

impl Readings for Samples {
    fn events(&self) -> &[Event] {
        &self.events
    }
}
