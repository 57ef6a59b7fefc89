//! Counts of other shapes altogether, for proving an estimator on logs that its author has not seen.
//!
//! Nothing here has the distribution that [`super::samples`] gives the same thing. Noise is bounded, remembers by a
//! moving average and breathes; the level jumps between two values and wanders as 1/f; the beat of the mains is a triangle
//! that slides in frequency; presses come in clusters, creep, slip and overshoot on release; readings are repeated,
//! spike to an end of the counter or fail in runs. Only the chip's law, [`Event`] and [`Truth`](super::Truth) are shared.
//! All numbers are ours: chosen to be different, not to be usual.

mod samples;

pub use samples::Samples;

use super::effects::{LONGEST_S, MOST_EVENTS};
use super::facts::Facts;
use super::script::apart;
use super::{Event, Kind, Who};
use crate::chance::Chance;
use models::out_of_range::OutOfRange;

/// Everything that a strange log is made from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// The plate; of its noises and steps the scale is taken, not the shape.
    pub facts: Facts,
    /// Length of the log, s.
    pub for_s: f64,
    /// Mean time between readings, s.
    pub period_s: f64,
    /// Count of the untouched plate at the start.
    pub idle_count: f64,
    /// Callers.
    pub presses: Presses,
    /// Bounded noise.
    pub noise: Noise,
    /// Two levels.
    pub telegraph: Telegraph,
    /// 1/f.
    pub flicker: Flicker,
    /// The mains.
    pub beat: Beat,
    /// Hard work warms the plate.
    pub warm: Warm,
    /// Insects.
    pub insects: Insects,
    /// Cleaning, and films that creep up.
    pub wet: Wet,
    /// Readings that are wrong altogether.
    pub faults: Faults,
    /// Stamps.
    pub clock: Clock,
    /// Counts are whole multiples of this; 1 and above.
    pub quantum: u16,
    /// Highest count.
    pub top: u16,
}

/// Presses in clusters: an impatient caller presses again.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Presses {
    /// How many.
    pub count: u32,
    /// Most presses of one caller; 1 and above, each number as likely.
    pub together: u32,
    /// Pause between the presses of one caller, s: exactly this.
    pub pause_s: f64,
    /// Lengths, s: any between is as likely.
    pub length_s: [f64; 2],
    /// Added capacitance over what the facts say of the caller: any between is as likely.
    pub depth: [f64; 2],
    /// From nothing to all, s, in a straight line; at most a press's length.
    pub ramp_s: f64,
    /// How much more a press adds after its first second, over what it adds at first; grows with the square root of time.
    pub creep: f64,
    /// On release the level swings to the other side by this share of the press.
    pub overshoot: f64,
    /// And comes back within, s.
    pub recovers_s: f64,
    /// Share of presses that slip once, half-way, for a tenth of their length: the finger nearly lifts.
    pub slips: f64,
    /// Least distance from one caller to the next, s; nobody earlier than this either.
    pub apart_s: f64,
}

/// Noise without tails: the mean of the last few uniform numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Noise {
    /// Standard deviation as a share of the idle count, over a whole breath.
    pub share: f64,
    /// How many numbers are averaged, 1 to 16; 1 is flat, 2 a triangle. Readings farther apart know nothing of each other.
    pub memory: u32,
    /// How far its width breathes, 0 to 0.9.
    pub breath: f64,
    /// Within how long, s.
    pub breath_s: f64,
}

/// The level jumps between two values: a bad joint, a bit of dirt.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Telegraph {
    /// Height of the step towards touch, as a share of the idle count.
    pub step: f64,
    /// Mean time at rest, s.
    pub rest_s: f64,
    /// Mean time away, s.
    pub away_s: f64,
}

/// A sum of eight wanderers, equally strong, whose memories stand in equal ratios: a spectrum near 1/f.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flicker {
    /// Standard deviation of the sum, as a share of the idle count.
    pub share: f64,
    /// Memory of the fastest, s.
    pub fastest_s: f64,
    /// Memory of the slowest, s.
    pub slowest_s: f64,
}

/// The mains as a triangle wave, already folded by the sampling; it slides to and fro in frequency.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beat {
    /// Half of peak to peak while idle, as a share of the idle count.
    pub idle: f64,
    /// The same while touched, whoever touches.
    pub touched: f64,
    /// Lowest and highest frequency, Hz.
    pub hz: [f64; 2],
    /// From one to the other within, s.
    pub slide_s: f64,
}

/// The station works now and then, and the plate follows its heat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Warm {
    /// How often, 1/s.
    pub rate_1_s: f64,
    /// For how long, s: any up to twice this.
    pub for_s: f64,
    /// How far the count would move in the end, away from touch, as a share of it.
    pub share: f64,
    /// Within how long, s.
    pub slow_s: f64,
}

/// Visits of something small: a dozen short touches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Insects {
    /// Visits, 1/s.
    pub rate_1_s: f64,
    /// Most touches of a visit; up to 100.
    pub touches: u32,
    /// Deepest touch over an adult's.
    pub depth: f64,
}

/// Somebody wipes the plate, or a film creeps over it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wet {
    /// Wipes, 1/s.
    pub wipes_1_s: f64,
    /// Longest wipe, s.
    pub wipe_s: f64,
    /// Films, 1/s.
    pub films_1_s: f64,
    /// Longest film, s.
    pub film_s: f64,
    /// Deepest of either over an adult's touch.
    pub depth: f64,
}

/// Readings that are wrong altogether.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Faults {
    /// Share of readings at one end of the counter.
    pub spikes: f64,
    /// Share of readings that repeat the one before.
    pub stale: f64,
    /// Chance that a run of lost readings begins at one.
    pub lose: f64,
    /// Chance that the run ends at one.
    pub find: f64,
}

/// Stamps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clock {
    /// Readings come in pairs: every second is late by this share of the period, 0 to 0.9.
    pub pairs: f64,
    /// So many readings in a row bear the stamp of the last of them, as from a buffer; 1 and above.
    pub batch: u32,
}

impl Settings {
    /// Strange in everything at once.
    pub fn of(facts: Facts, for_s: f64, presses: u32) -> Self {
        Self {
            facts,
            for_s,
            period_s: facts.period_s,
            idle_count: 950.0,
            presses: Presses { count: presses, ..Presses::USUAL },
            noise: Noise { share: facts.noise, memory: 3, breath: 0.5, breath_s: 97.0 },
            telegraph: Telegraph { step: 2.0 * facts.noise, rest_s: 40.0, away_s: 7.0 },
            flicker: Flicker { share: 1.5 * facts.noise, fastest_s: 2.0, slowest_s: 8192.0 },
            beat: Beat {
                idle: 0.5 * facts.noise,
                touched: facts.noise * facts.touched_noise * 1.5,
                hz: [0.3, 4.0],
                slide_s: 31.0,
            },
            warm: Warm { rate_1_s: 1.0 / 900.0, for_s: 60.0, share: 8.0 * facts.drift_1_k, slow_s: 90.0 },
            insects: Insects { rate_1_s: 1.0 / 7200.0, touches: 12, depth: 0.2 },
            wet: Wet {
                wipes_1_s: if facts.rain_step > 0.0 { 0.2 / 86_400.0 } else { 0.1 / 86_400.0 },
                wipe_s: 15.0,
                films_1_s: if facts.rain_step > 0.0 { 0.3 / 86_400.0 } else { 0.0 },
                film_s: 600.0,
                depth: 1.2,
            },
            faults: Faults { spikes: 1e-4, stale: 0.01, lose: 2e-4, find: 0.1 },
            clock: Clock { pairs: 0.15, batch: 1 },
            quantum: 1,
            top: u16::MAX,
        }
    }

    /// The same plate and presses with everything else off, and presses without slip, creep and overshoot.
    #[must_use]
    pub fn bare(self) -> Self {
        Self {
            presses: Presses { creep: 0.0, overshoot: 0.0, slips: 0.0, ..self.presses },
            noise: Noise { share: 0.0, ..self.noise },
            telegraph: Telegraph { step: 0.0, ..self.telegraph },
            flicker: Flicker { share: 0.0, ..self.flicker },
            beat: Beat { idle: 0.0, touched: 0.0, ..self.beat },
            warm: Warm { rate_1_s: 0.0, ..self.warm },
            insects: Insects { rate_1_s: 0.0, ..self.insects },
            wet: Wet { wipes_1_s: 0.0, films_1_s: 0.0, ..self.wet },
            faults: Faults { spikes: 0.0, stale: 0.0, lose: 0.0, find: 1.0 },
            clock: Clock { pairs: 0.0, batch: 1 },
            ..self
        }
    }

    /// # Errors
    /// The first number that is out of its range, or `events` where so many would happen.
    pub fn check(&self) -> Result<(), OutOfRange> {
        let (f, p) = (&self.facts, &self.presses);
        for (what, value, low, high) in [
            ("for_s", self.for_s, 0.0, LONGEST_S),
            ("period_s", self.period_s, 1e-4, 3600.0),
            ("idle_count", self.idle_count, 1.0, 1e6),
            ("facts.touch", f.touch, 0.0, 20.0),
            ("facts.child", f.child, 0.0, 20.0),
            ("facts.glove", f.glove, 0.0, 20.0),
            ("presses.together", f64::from(p.together), 1.0, 100.0),
            ("presses.pause_s", p.pause_s, 0.0, 1e4),
            ("presses.length_s[0]", p.length_s[0], 1e-3, 1e4),
            ("presses.length_s[1]", p.length_s[1], p.length_s[0], 1e4),
            ("presses.depth[0]", p.depth[0], 0.0, 2.0),
            ("presses.depth[1]", p.depth[1], p.depth[0], 2.0),
            ("presses.ramp_s", p.ramp_s, 0.0, 1e4),
            ("presses.creep", p.creep, 0.0, 10.0),
            ("presses.overshoot", p.overshoot, 0.0, 1.0),
            ("presses.recovers_s", p.recovers_s, 1e-3, 1e4),
            ("presses.slips", p.slips, 0.0, 1.0),
            ("presses.apart_s", p.apart_s, 0.0, LONGEST_S),
            ("noise.share", self.noise.share, 0.0, 1.0),
            ("noise.memory", f64::from(self.noise.memory), 1.0, 16.0),
            ("noise.breath", self.noise.breath, 0.0, 0.9),
            ("noise.breath_s", self.noise.breath_s, 1e-3, LONGEST_S),
            ("telegraph.step", self.telegraph.step, 0.0, 0.9),
            ("telegraph.rest_s", self.telegraph.rest_s, 1e-3, LONGEST_S),
            ("telegraph.away_s", self.telegraph.away_s, 1e-3, LONGEST_S),
            ("flicker.share", self.flicker.share, 0.0, 0.2),
            ("flicker.fastest_s", self.flicker.fastest_s, 1e-3, LONGEST_S),
            ("flicker.slowest_s", self.flicker.slowest_s, self.flicker.fastest_s, LONGEST_S),
            ("beat.idle", self.beat.idle, 0.0, 10.0),
            ("beat.touched", self.beat.touched, 0.0, 10.0),
            ("beat.hz[0]", self.beat.hz[0], 0.0, 1e6),
            ("beat.hz[1]", self.beat.hz[1], self.beat.hz[0], 1e6),
            ("beat.slide_s", self.beat.slide_s, 1e-3, LONGEST_S),
            ("warm.rate_1_s", self.warm.rate_1_s, 0.0, 10.0),
            ("warm.for_s", self.warm.for_s, 1e-3, LONGEST_S),
            ("warm.share", self.warm.share, 0.0, 0.45),
            ("warm.slow_s", self.warm.slow_s, 1e-3, LONGEST_S),
            ("insects.rate_1_s", self.insects.rate_1_s, 0.0, 10.0),
            ("insects.touches", f64::from(self.insects.touches), 1.0, 100.0),
            ("insects.depth", self.insects.depth, 0.0, 1.0),
            ("wet.wipes_1_s", self.wet.wipes_1_s, 0.0, 10.0),
            ("wet.wipe_s", self.wet.wipe_s, 0.1, LONGEST_S),
            ("wet.films_1_s", self.wet.films_1_s, 0.0, 10.0),
            ("wet.film_s", self.wet.film_s, 0.1, LONGEST_S),
            ("wet.depth", self.wet.depth, 0.0, 2.0),
            ("faults.spikes", self.faults.spikes, 0.0, 1.0),
            ("faults.stale", self.faults.stale, 0.0, 1.0),
            ("faults.lose", self.faults.lose, 0.0, 1.0),
            ("faults.find", self.faults.find, 0.0, 1.0),
            ("clock.pairs", self.clock.pairs, 0.0, 0.9),
            ("clock.batch", f64::from(self.clock.batch), 1.0, 1000.0),
            ("quantum", f64::from(self.quantum), 1.0, 65_535.0),
        ] {
            OutOfRange::check(what, value, low, high)?;
        }
        let rates = self.warm.rate_1_s
            + self.insects.rate_1_s * f64::from(self.insects.touches)
            + self.wet.wipes_1_s
            + self.wet.films_1_s;
        OutOfRange::check("events", rates * self.for_s + f64::from(p.count), 0.0, MOST_EVENTS)?;
        Ok(())
    }
}

impl Presses {
    /// Clusters of up to three.
    pub const USUAL: Self = Self {
        count: 10,
        together: 3,
        pause_s: 0.45,
        length_s: [0.12, 2.0],
        depth: [0.7, 1.3],
        ramp_s: 0.15,
        creep: 0.15,
        overshoot: 0.08,
        recovers_s: 0.4,
        slips: 0.1,
        apart_s: 4.0,
    };
}

/// Everything that happens, by start.
///
/// # Errors
/// A setting out of range, or `presses.count` where so many do not fit into the log.
pub fn script(settings: &Settings, seed: u64) -> Result<Vec<Event>, OutOfRange> {
    settings.check()?;
    let mut events = presses(settings, &mut Chance::new(seed, 101))?;
    insects(settings, &mut Chance::new(seed, 102), &mut events);
    let (law, touch, wet, warm) = (settings.facts.law, settings.facts.touch, &settings.wet, &settings.warm);
    for (effect, rate_1_s, kind, longest_s) in [
        (103, wet.wipes_1_s, Kind::Wipe, wet.wipe_s),
        (104, wet.films_1_s, Kind::Film, wet.film_s),
        (105, warm.rate_1_s, Kind::Warm, 2.0 * warm.for_s),
    ] {
        let mut chance = Chance::new(seed, effect);
        for start_s in chance.moments(rate_1_s, settings.for_s) {
            let (length_s, deep) = (longest_s * chance.between(0.05, 1.0), chance.between(0.2, 1.0));
            let depth = match kind {
                Kind::Warm => -warm.share,
                _ => Event::depth_of(law, touch * wet.depth * deep),
            };
            events.push(Event { kind, start_s, end_s: start_s + length_s, depth });
        }
    }
    events.sort_by(|a, b| a.start_s.total_cmp(&b.start_s));
    Ok(events)
}

fn presses(settings: &Settings, chance: &mut Chance) -> Result<Vec<Event>, OutOfRange> {
    let (p, f) = (&settings.presses, &settings.facts);
    // One caller after the other: how long each of his presses is, and how deep.
    let mut callers: Vec<Vec<(Kind, f64, f64)>> = Vec::new();
    let mut left = p.count;
    while left > 0 {
        let count = (1 + (chance.unit() * f64::from(p.together)) as u32).min(left);
        left -= count;
        let who = [Who::Adult, Who::Child, Who::Glove][(chance.unit() * 3.0) as usize % 3];
        let added = match who {
            Who::Adult => f.touch,
            Who::Child => f.child,
            Who::Glove => f.glove,
        };
        let press = |_| {
            let length_s = chance.between(p.length_s[0], p.length_s[1]);
            (Kind::Press(who), length_s, added * chance.between(p.depth[0], p.depth[1]))
        };
        callers.push((0..count).map(press).collect());
    }
    let lengths_s: Vec<f64> = callers
        .iter()
        .map(|caller| {
            caller.iter().map(|press| press.1).sum::<f64>() + p.pause_s * (caller.len() as f64 - 1.0)
        })
        .collect();
    let fits = apart(chance, &lengths_s, 0.0, settings.for_s, p.apart_s);
    let starts_s = fits.map_err(|error| OutOfRange {
        value: f64::from(p.count),
        high: (f64::from(p.count) * error.high / error.value).floor(),
        ..error
    })?;
    let mut events = Vec::new();
    for (mut at_s, caller) in starts_s.into_iter().zip(callers) {
        for (kind, length_s, added) in caller {
            let depth = Event::depth_of(f.law, added);
            events.push(Event { kind, start_s: at_s, end_s: at_s + length_s, depth });
            at_s += length_s + p.pause_s;
        }
    }
    Ok(events)
}

fn insects(settings: &Settings, chance: &mut Chance, events: &mut Vec<Event>) {
    let (insects, f) = (&settings.insects, &settings.facts);
    for mut at_s in chance.moments(insects.rate_1_s, settings.for_s) {
        for _ in 0..=(chance.unit() * f64::from(insects.touches)) as u32 {
            let length_s = chance.between(0.02, 0.3);
            let depth = Event::depth_of(f.law, f.touch * insects.depth * chance.unit());
            events.push(Event { kind: Kind::Insect, start_s: at_s, end_s: at_s + length_s, depth });
            at_s += length_s + chance.between(0.1, 2.0);
        }
    }
}
