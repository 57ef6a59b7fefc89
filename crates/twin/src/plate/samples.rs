//! From what happens to counts, one reading at a time.

use super::effects::Settings;
use super::script::script;
use super::{Event, Kind, Readings, Sample};
use crate::chance::{Chance, Wander};
use models::energy::DAY_S;
use models::out_of_range::OutOfRange;
use models::touch::count::Law;
use std::f64::consts::TAU;

// Streams go on from those of the script.
const NOISE: u64 = 11;
const TAILS: u64 = 12;
const PHASE: u64 = 13;
const GRID: u64 = 14;
const CLOUDS: u64 = 15;
const DROPS: u64 = 16;
const BURST: u64 = 17;
const WOBBLE: u64 = 18;
const JITTER: u64 = 19;
const LOST: u64 = 20;

/// A coming hand is felt e-fold in so many seconds. Ours.
const HOVER_S: f64 = 0.1;
/// Nothing is felt of it beyond.
const LEAD_S: f64 = 0.5;
/// Time in which clouds, drops, grid and a resting finger forget themselves, s. Ours.
const CLOUDS_S: f64 = 900.0;
const DROPS_S: f64 = 2.0;
const GRID_S: f64 = 60.0;
const WOBBLE_S: f64 = 0.15;
/// A film and a door come and go within, s. Ours.
const EDGE_S: f64 = 1.0;

/// Readings of a plate: an iterator, so that a log need not fit into memory.
#[derive(Clone, Debug)]
pub struct Samples {
    settings: Settings,
    events: Vec<Event>,
    /// The first event that has not begun.
    next: usize,
    active: Vec<Event>,
    slot: u64,
    slots: u64,
    last_s: f64,
    phase: f64,
    first_k: f64,
    noise: Wander,
    grid: Wander,
    clouds: Wander,
    drops: Wander,
    wobble: Wander,
    tails: Chance,
    burst: Chance,
    jitter: Chance,
    lost: Chance,
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

    /// The same with a list of what happens: rates and the number of presses in the settings then count for nothing.
    ///
    /// # Errors
    /// A setting or an event out of range.
    pub fn with(settings: &Settings, mut events: Vec<Event>, seed: u64) -> Result<Self, OutOfRange> {
        settings.check()?;
        events.iter().try_for_each(|event| event.check(settings.facts.law))?;
        events.sort_by(|a, b| a.start_s.total_cmp(&b.start_s));
        let (stream, period_s) = (|effect| Chance::new(seed, effect), settings.period_s);
        let mut phase = stream(PHASE);
        let mut samples = Self {
            settings: *settings,
            events,
            next: 0,
            active: Vec::new(),
            slot: 0,
            slots: (settings.for_s / period_s).ceil() as u64,
            last_s: 0.0,
            phase: phase.between(0.0, TAU),
            first_k: 0.0,
            noise: Wander::new(stream(NOISE), settings.noise.lag_1),
            grid: Wander::slow(stream(GRID), period_s, GRID_S),
            clouds: Wander::slow(stream(CLOUDS), period_s, CLOUDS_S),
            drops: Wander::slow(stream(DROPS), period_s, DROPS_S),
            wobble: Wander::slow(stream(WOBBLE), period_s, WOBBLE_S),
            tails: stream(TAILS),
            burst: stream(BURST),
            jitter: stream(JITTER),
            lost: stream(LOST),
        };
        samples.first_k = samples.warmth_k(0.0);
        Ok(samples)
    }

    /// The settings.
    pub const fn settings(&self) -> &Settings {
        &self.settings
    }

    fn warmth_k(&self, at_s: f64) -> f64 {
        let warmth = &self.settings.warmth;
        let wave = ((at_s + warmth.start_s) * TAU / DAY_S).cos();
        warmth.day_k / 2.0 * wave + warmth.clouds_k * self.clouds.at() - self.first_k
    }

    /// Moves what goes on to this moment.
    fn turn_to(&mut self, at_s: f64) {
        while let Some(event) = self.events.get(self.next).filter(|event| event.start_s <= at_s + LEAD_S) {
            self.active.push(*event);
            self.next += 1;
        }
        let dries_s = self.settings.rain.dries_s;
        self.active.retain(|event| {
            let tail_s = match event.kind {
                // By then a thousandth is left.
                Kind::Rain => 7.0 * dries_s,
                _ => LEAD_S.max(EDGE_S),
            };
            at_s <= event.end_s + tail_s
        });
    }

    /// Of a press, how much of its capacitance is there.
    fn pressed(&self, event: &Event, at_s: f64) -> f64 {
        let p = &self.settings.presses;
        let ramp_s = p.ramp_s.min(event.length_s()).max(1e-6);
        let outside_s = (event.start_s - at_s).max(at_s - event.end_s);
        let contact = smooth(0.5 - outside_s / ramp_s);
        let near = p.hover * (-(outside_s - ramp_s / 2.0).max(0.0) / HOVER_S).exp();
        near + (1.0 - near) * contact * (1.0 + (p.wobble * self.wobble.at()).clamp(-0.4, 0.4))
    }

    /// The reading of one slot; none where it is lost.
    fn read(&mut self) -> Option<Sample> {
        let settings = self.settings;
        let (facts, period_s, idle) = (&settings.facts, settings.period_s, settings.idle_count);
        let jitter = (settings.clock.jitter * self.jitter.normal()).clamp(-0.45, 0.45);
        let at_s = ((self.slot as f64 + jitter) * period_s).max(0.0);
        self.slot += 1;
        self.turn_to(at_s);

        let (mut wet, mut wetting, mut added, mut finger, mut burst, mut gone) =
            (0.0_f64, 0.0_f64, 0.0, 0.0, 0.0_f64, false);
        for event in &self.active {
            let full = event.added(facts.law);
            let within = (event.start_s..event.end_s).contains(&at_s);
            match event.kind {
                Kind::Press(_) => {
                    let here = full * self.pressed(event, at_s);
                    added += here;
                    finger += here;
                }
                Kind::Rain => {
                    let rained_s = (at_s.min(event.end_s) - event.start_s).max(0.0);
                    let share = 1.0 - (-rained_s / settings.rain.wets_s).exp();
                    let dry = (-(at_s - event.end_s).max(0.0) / settings.rain.dries_s).exp();
                    // A wet plate does not get wetter by a second shower.
                    wet = wet.max(full * share * dry);
                    wetting = if within { wetting.max(full) } else { wetting };
                }
                Kind::Film | Kind::Door | Kind::Warm => added += full * trapezoid(event, at_s, EDGE_S),
                Kind::Brush | Kind::Insect | Kind::Wipe => {
                    added += full * hump(event, at_s);
                }
                Kind::Burst => burst = if within { burst.max(event.depth) } else { burst },
                Kind::Gap => gone |= within,
            }
        }

        // Every stream moves at every slot, so that no effect shifts another.
        let (noise, outlier, wild) = (self.noise.at(), self.tails.unit(), self.tails.normal());
        let (crackle, lost) = (self.burst.normal(), self.lost.happens(settings.lost.share));
        let drop = self.drops.at() * settings.rain.drops * wetting;
        let warm = settings.warmth.drift_1_k * self.warmth_k(at_s);
        let hum = self.hum(at_s, finger);
        self.noise.step();
        self.drops.step();
        self.clouds.step();
        self.wobble.step();
        self.phase = (self.phase + TAU * settings.hum.wander_hz * self.grid.step() * period_s) % TAU;

        let level = |added: f64| {
            let dry = (idle * (1.0 + warm)).max(0.0);
            match facts.law {
                Law::Falls => dry / (1.0 + added.max(-0.9)),
                Law::Rises => dry * (1.0 + added.max(-0.9)),
            }
        };
        let wild = if outlier < settings.tails.share { settings.tails.scale * wild } else { 0.0 };
        let shaken = settings.noise.share * (noise + wild) + burst * crackle + hum;
        let count = settings.counter.count(level(wet + drop + added) + idle * shaken);
        if gone || lost {
            return None;
        }
        Some(Sample { time_s: self.stamp(at_s), count, idle: level(wet) })
    }

    /// Share of the count by which the mains moves a reading.
    fn hum(&self, at_s: f64, finger: f64) -> f64 {
        let (hum, facts) = (&self.settings.hum, &self.settings.facts);
        // A small finger couples less of it; more than two of them nobody lays on.
        let held = if facts.touch > 0.0 { (finger / facts.touch).clamp(0.0, 2.0) } else { 0.0 };
        let amplitude = hum.idle + (hum.touched - hum.idle) * held;
        if amplitude == 0.0 {
            return 0.0;
        }
        // A chip whose clock runs fast reads sooner than it stamps.
        let turns = (hum.hz * at_s / (1.0 + self.settings.clock.fast)).fract();
        let angle = turns * TAU + self.phase;
        amplitude * (angle.sin() + hum.double * (2.0 * angle).sin())
    }

    fn stamp(&mut self, at_s: f64) -> f64 {
        let step_s = self.settings.clock.stamp_s;
        // A step too small to count in is none.
        let steps = (at_s / step_s).round();
        let stamp_s = if step_s > 0.0 && steps.is_finite() { steps * step_s } else { at_s };
        self.last_s = self.last_s.max(stamp_s);
        self.last_s
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

/// From 0 at 0 to 1 at 1 without corners; half at a half.
fn smooth(x: f64) -> f64 {
    let x = x.clamp(0.0, 1.0);
    x * x * (3.0 - 2.0 * x)
}

/// 1 within, half at both ends, edges of `edge_s`.
fn trapezoid(event: &Event, at_s: f64, edge_s: f64) -> f64 {
    let edge_s = edge_s.min(event.length_s()).max(1e-6);
    (0.5 + (at_s - event.start_s).min(event.end_s - at_s) / edge_s).clamp(0.0, 1.0)
}

/// Rises and falls once from start to end.
fn hump(event: &Event, at_s: f64) -> f64 {
    let along = (at_s - event.start_s) / event.length_s().max(1e-9);
    if (0.0..=1.0).contains(&along) { (along * std::f64::consts::PI).sin().powi(2) } else { 0.0 }
}
