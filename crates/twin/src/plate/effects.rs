//! What a wall adds to a plate: each effect a plain struct of numbers, with its usual values and with `OFF`.
//!
//! Usual values are typical, from memory, where trade.md §3 or its plate rows have them, and ours where it is said. No
//! two plates agree; whoever tests an estimator varies them.

use super::facts::Facts;
use models::energy::DAY_S;
use models::out_of_range::OutOfRange;
use models::touch::count::Law;
use models::touch::timing::PRESS_S;

/// Events that one log may hold: more would not fit into memory beside everything else.
pub const MOST_EVENTS: f64 = 1e6;
/// Longest log, s: a year and a day.
pub const LONGEST_S: f64 = 366.0 * DAY_S;

/// Everything that a log is made from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// The plate.
    pub facts: Facts,
    /// Length of the log, s; up to [`LONGEST_S`].
    pub for_s: f64,
    /// Time between readings, s; 0.1 ms to 1 h.
    pub period_s: f64,
    /// Count of the dry, untouched plate at the start: 950 (high 900s where a touch falls to 300 to 400: budgets.md, trade
    /// fact); some chips count to tens of thousands.
    pub idle_count: f64,
    /// Callers.
    pub presses: Presses,
    /// Reading to reading.
    pub noise: Noise,
    /// The odd wild reading.
    pub tails: Tails,
    /// The mains.
    pub hum: Hum,
    /// Day and night.
    pub warmth: Warmth,
    /// Rain and films.
    pub rain: Rain,
    /// Sleeves and bags.
    pub brushes: Brushes,
    /// Locks, lamps and motors.
    pub bursts: Bursts,
    /// Metal that moves.
    pub door: Door,
    /// The program's clock.
    pub clock: Clock,
    /// Readings that never come.
    pub lost: Lost,
    /// The chip's counter.
    pub counter: Counter,
}

impl Settings {
    /// What is usual for a plate: a log of `for_s` with `presses` presses.
    pub fn of(facts: Facts, for_s: f64, presses: u32) -> Self {
        Self {
            facts,
            for_s,
            period_s: facts.period_s,
            idle_count: 950.0,
            presses: Presses { count: presses, ..Presses::USUAL },
            noise: Noise { share: facts.noise, lag_1: 0.3 },
            tails: Tails::USUAL,
            hum: Hum::of(&facts),
            warmth: Warmth::of(&facts),
            rain: Rain { step: facts.rain_step, ..Rain::USUAL },
            brushes: Brushes::USUAL,
            bursts: Bursts::USUAL,
            door: if facts.metal > 0.0 { Door::USUAL } else { Door::OFF },
            clock: Clock::USUAL,
            lost: Lost::USUAL,
            counter: Counter::USUAL,
        }
    }

    /// The same plate and presses with every other effect off: what remains is the law, rounded to counts.
    #[must_use]
    pub fn bare(self) -> Self {
        Self {
            noise: Noise::OFF,
            tails: Tails::OFF,
            hum: Hum::OFF,
            warmth: Warmth::OFF,
            rain: Rain::OFF,
            brushes: Brushes::OFF,
            bursts: Bursts::OFF,
            door: Door::OFF,
            clock: Clock::OFF,
            lost: Lost::OFF,
            ..self
        }
    }

    /// Every number by its name, with its value and the ends of its range; the presses' count is bounded by `events`.
    pub fn numbers(&self) -> impl Iterator<Item = (&'static str, f64, [f64; 2])> {
        let f = &self.facts;
        let numbers = [
            ("for_s", self.for_s, 0.0, LONGEST_S),
            ("period_s", self.period_s, 1e-4, 3600.0),
            ("idle_count", self.idle_count, 1.0, 1e6),
            ("facts.touch", f.touch, 0.0, 40.0),
            ("facts.child", f.child, 0.0, 40.0),
            ("facts.glove", f.glove, 0.0, 40.0),
            ("facts.metal", f.metal, 0.0, 0.9),
            ("presses.factor", self.presses.factor, 1.0, 10.0),
            ("presses.median_s", self.presses.median_s, 1e-3, 600.0),
            ("presses.child", self.presses.child, 0.0, 1.0),
            ("presses.glove", self.presses.glove, 0.0, 1.0),
            ("presses.depth_factor", self.presses.depth_factor, 1.0, 3.0),
            ("presses.ramp_s", self.presses.ramp_s, 0.0, 10.0),
            ("presses.hover", self.presses.hover, 0.0, 0.4),
            ("presses.wobble", self.presses.wobble, 0.0, 1.0),
            ("presses.quiet_s", self.presses.quiet_s, 0.0, LONGEST_S),
            ("presses.apart_s", self.presses.apart_s, 0.0, LONGEST_S),
            ("noise.share", self.noise.share, 0.0, 1.0),
            ("noise.lag_1", self.noise.lag_1, -0.999, 0.999),
            ("tails.share", self.tails.share, 0.0, 1.0),
            ("tails.scale", self.tails.scale, 0.0, 1e3),
            ("hum.hz", self.hum.hz, 0.0, 1e6),
            ("hum.idle", self.hum.idle, 0.0, 10.0),
            ("hum.touched", self.hum.touched, 0.0, 10.0),
            ("hum.double", self.hum.double, 0.0, 10.0),
            ("hum.wander_hz", self.hum.wander_hz, 0.0, 10.0),
            ("warmth.drift_1_k", self.warmth.drift_1_k, -0.1, 0.1),
            ("warmth.day_k", self.warmth.day_k, 0.0, 100.0),
            ("warmth.clouds_k", self.warmth.clouds_k, 0.0, 50.0),
            ("warmth.start_s", self.warmth.start_s, 0.0, DAY_S),
            ("rain.showers_1_s", self.rain.showers_1_s, 0.0, 10.0),
            ("rain.step", self.rain.step, 0.0, 0.9),
            ("rain.factor", self.rain.factor, 1.0, 10.0),
            ("rain.length_s", self.rain.length_s, 1.0, LONGEST_S),
            ("rain.wets_s", self.rain.wets_s, 0.01, 1e6),
            ("rain.dries_s", self.rain.dries_s, 0.01, 1e6),
            ("rain.drops", self.rain.drops, 0.0, 10.0),
            ("rain.film", self.rain.film, 0.0, 1.0),
            ("rain.film_s", self.rain.film_s, 0.1, LONGEST_S),
            ("brushes.rate_1_s", self.brushes.rate_1_s, 0.0, 10.0),
            ("brushes.depth", self.brushes.depth, 0.0, 1.0),
            ("brushes.longest_s", self.brushes.longest_s, 0.05, 60.0),
            ("bursts.rate_1_s", self.bursts.rate_1_s, 0.0, 10.0),
            ("bursts.length_s", self.bursts.length_s, 1e-3, 600.0),
            ("bursts.share", self.bursts.share, 0.0, 0.9),
            ("door.rate_1_s", self.door.rate_1_s, 0.0, 10.0),
            ("door.open_s", self.door.open_s, 0.1, LONGEST_S),
            ("clock.jitter", self.clock.jitter, 0.0, 10.0),
            ("clock.fast", self.clock.fast, -0.5, 0.5),
            ("clock.stamp_s", self.clock.stamp_s, 0.0, 3600.0),
            ("lost.share", self.lost.share, 0.0, 1.0),
            ("lost.stalls_1_s", self.lost.stalls_1_s, 0.0, 10.0),
            ("lost.stall_s", self.lost.stall_s, 1e-3, LONGEST_S),
            ("counter.bits", f64::from(self.counter.bits), 1.0, 16.0),
        ];
        numbers.into_iter().map(|(what, value, low, high)| (what, value, [low, high]))
    }

    /// # Errors
    /// The first number that is out of its range, or `events` where so many would happen.
    pub fn check(&self) -> Result<(), OutOfRange> {
        for (what, value, [low, high]) in self.numbers() {
            OutOfRange::check(what, value, low, high)?;
        }
        let rates = self.rain.showers_1_s * 2.0
            + self.brushes.rate_1_s
            + self.bursts.rate_1_s
            + self.door.rate_1_s
            + self.lost.stalls_1_s;
        let events = rates * self.for_s + f64::from(self.presses.count);
        OutOfRange::check("events", events, 0.0, MOST_EVENTS).map(drop)
    }
}

/// Callers' presses: evenly likely at any moment of the log, never two at once.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Presses {
    /// How many.
    pub count: u32,
    /// Median length, s: 0.35 (trade.md `plate.press-length`).
    pub median_s: f64,
    /// Two in three within the median over and times this: from 0.12 and 1.2 s as 5 and 95 in 100, 2.0 (computed).
    pub factor: f64,
    /// Share of children: 0.15. Ours.
    pub child: f64,
    /// Share of gloves: 0.1; ours, a year's mean.
    pub glove: f64,
    /// Two in three within the added capacitance over and times this: 1.25. Ours; tips of 8 to 16 mm (trade.md §3) ask for
    /// more under a cover, and for less on a bare plate.
    pub depth_factor: f64,
    /// From hardly touched to all of it, s: 0.04. Ours. Of a short press, at most its length.
    pub ramp_s: f64,
    /// What the hand adds as it comes, over what the press adds; it is felt for a tenth of a second: 0.04. Ours.
    pub hover: f64,
    /// Standard deviation of the added capacitance while the finger rests, as a share of it: 0.05. Ours; cut at 0.4.
    pub wobble: f64,
    /// Hands off for so long at the start, s: 5. Ours.
    pub quiet_s: f64,
    /// Least pause between two, s: 0.5. Ours.
    pub apart_s: f64,
}

impl Presses {
    /// As people press.
    pub const USUAL: Self = Self {
        count: 10,
        median_s: PRESS_S[1],
        factor: 2.0,
        child: 0.15,
        glove: 0.1,
        depth_factor: 1.25,
        ramp_s: 0.04,
        hover: 0.04,
        wobble: 0.05,
        quiet_s: 5.0,
        apart_s: 0.5,
    };
    /// Nobody.
    pub const OFF: Self = Self { count: 0, ..Self::USUAL };
}

/// Noise of each reading: a first-order autoregression, normal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Noise {
    /// Standard deviation, as a share of the idle count: 0.15 % (0.05..0.6), radio on x1.5 (trade.md §3).
    pub share: f64,
    /// Correlation of a reading with the next: 0.3. Ours.
    pub lag_1: f64,
}

impl Noise {
    /// None.
    pub const OFF: Self = Self { share: 0.0, lag_1: 0.0 };
}

/// Wild readings: one in `1/share` is off by a normal number `scale` times as wide as the noise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tails {
    /// How many: 1 in 500. Ours.
    pub share: f64,
    /// How wild: 6. Ours.
    pub scale: f64,
}

impl Tails {
    /// A few.
    pub const USUAL: Self = Self { share: 0.002, scale: 6.0 };
    /// None.
    pub const OFF: Self = Self { share: 0.0, scale: 0.0 };
}

/// The mains: weak while the plate is idle, strong through a finger (common mode; trade.md `plate.touched-noise`). The
/// sampling folds it down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hum {
    /// Frequency, Hz.
    pub hz: f64,
    /// Amplitude while idle, as a share of the idle count: 0.3 of the noise. Ours.
    pub idle: f64,
    /// Amplitude under an adult's finger: so that touched readings are 5 (2..20) times as noisy (trade.md §3; computed).
    pub touched: f64,
    /// Amplitude at twice the frequency over that at once: 0.3, from rectifiers. Ours.
    pub double: f64,
    /// Standard deviation of the frequency itself, Hz, over minutes: 0.02, a large grid; typical, from memory.
    pub wander_hz: f64,
}

impl Hum {
    /// None.
    pub const OFF: Self = Self { hz: 50.0, idle: 0.0, touched: 0.0, double: 0.0, wander_hz: 0.0 };

    /// What is usual for a plate; none on cells.
    pub fn of(facts: &Facts) -> Self {
        if facts.mains_hz <= 0.0 {
            return Self::OFF;
        }
        let double: f64 = 0.3;
        // The touched variance is that of the noise and of two sines: A²(1 + double²)/2.
        let more = (facts.touched_noise * facts.touched_noise - 1.0).max(0.0);
        let touched = facts.noise * (2.0 * more / (1.0 + double * double)).sqrt();
        Self { hz: facts.mains_hz, idle: 0.3 * facts.noise, touched, double, wander_hz: 0.02 }
    }
}

/// The count follows the temperature: a day's wave, and clouds that forget themselves in a quarter of an hour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Warmth {
    /// How far the count moves, as a share of it, 1/K: 0.05 % (0.02..0.2) (trade.md §3). Below 0 it falls when it warms.
    pub drift_1_k: f64,
    /// Warmest less coldest of a day, K: 20 on a wall in the sun (trade.md `plate.sleep-threshold`).
    pub day_k: f64,
    /// Standard deviation of clouds, K: 1. Ours.
    pub clouds_k: f64,
    /// Time of day at which the log starts, s after the warmest moment; 0 to 86,400.
    pub start_s: f64,
}

impl Warmth {
    /// None.
    pub const OFF: Self = Self { drift_1_k: 0.0, day_k: 0.0, clouds_k: 0.0, start_s: 0.0 };

    /// What is usual for a plate: warmth adds capacitance, so that the count goes where a touch would move it. Starts in the
    /// morning, 18 hours after the warmest moment: the steepest place of the wave.
    pub fn of(facts: &Facts) -> Self {
        let sign = match facts.law {
            Law::Falls => -1.0,
            Law::Rises => 1.0,
        };
        Self { drift_1_k: sign * facts.drift_1_k, day_k: 20.0, clouds_k: 1.0, start_s: 18.0 * 3600.0 }
    }
}

/// Showers wet the plate, drops run down it, now and then a film bridges it to its frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rain {
    /// Showers, 1/s: one in two days. Typical, from memory.
    pub showers_1_s: f64,
    /// How far the median shower moves the count, as a share of it: 2 % (0.5..15) (trade.md §3).
    pub step: f64,
    /// Two in three within the step over and times this: from 0.5 and 15 % as 5 and 95 in 100, 2.8 (computed).
    pub factor: f64,
    /// Median length of a shower, s: 20 min; typical, from memory.
    pub length_s: f64,
    /// Wets within, s: 30. Ours.
    pub wets_s: f64,
    /// Dries within, s: 20 min. Ours.
    pub dries_s: f64,
    /// Standard deviation of running drops over the step: 0.15. Ours; each is felt for two seconds.
    pub drops: f64,
    /// Showers that leave a film: 0.1. Ours.
    pub film: f64,
    /// Median length of a film, s: 60 (trade.md `plate.wet`: beyond 10 to 30 s). Ours.
    pub film_s: f64,
}

impl Rain {
    /// A temperate place.
    pub const USUAL: Self = Self {
        showers_1_s: 0.5 / DAY_S,
        step: 0.02,
        factor: 2.8,
        length_s: 1200.0,
        wets_s: 30.0,
        dries_s: 1200.0,
        drops: 0.15,
        film: 0.1,
        film_s: 60.0,
    };
    /// Dry.
    pub const OFF: Self = Self { showers_1_s: 0.0, step: 0.0, drops: 0.0, film: 0.0, ..Self::USUAL };
}

/// Sleeves, bags and cats in passing: dips too short and shallow for a press.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Brushes {
    /// How many, 1/s: two an hour. Ours.
    pub rate_1_s: f64,
    /// The deepest, over what an adult's finger adds; any depth down to a tenth of it is as likely: 0.3. Ours.
    pub depth: f64,
    /// The longest, s; any length down to 0.05 s is as likely: 0.25. Ours.
    pub longest_s: f64,
}

impl Brushes {
    /// A door that people pass.
    pub const USUAL: Self = Self { rate_1_s: 2.0 / 3600.0, depth: 0.3, longest_s: 0.25 };
    /// None.
    pub const OFF: Self = Self { rate_1_s: 0.0, ..Self::USUAL };
}

/// Electrical noise in bursts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bursts {
    /// How many, 1/s: one an hour. Ours.
    pub rate_1_s: f64,
    /// Median length, s: 0.3. Ours.
    pub length_s: f64,
    /// Standard deviation of what one adds, as a share of the idle count: 3 %. Ours.
    pub share: f64,
}

impl Bursts {
    /// A lock or a lamp near by.
    pub const USUAL: Self = Self { rate_1_s: 1.0 / 3600.0, length_s: 0.3, share: 0.03 };
    /// None.
    pub const OFF: Self = Self { rate_1_s: 0.0, ..Self::USUAL };
}

/// The metal behind the plate ([`Facts::metal`]) swings away and comes back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Door {
    /// How often, 1/s: twenty a day. Ours.
    pub rate_1_s: f64,
    /// Median time open, s: 6. Ours.
    pub open_s: f64,
}

impl Door {
    /// A door in use.
    pub const USUAL: Self = Self { rate_1_s: 20.0 / DAY_S, open_s: 6.0 };
    /// Shut.
    pub const OFF: Self = Self { rate_1_s: 0.0, ..Self::USUAL };
}

/// The program that reads: neither evenly nor finely timed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clock {
    /// Standard deviation of a reading's moment over the period: 0.02; cut at 0.45. Ours.
    pub jitter: f64,
    /// How much too fast the chip's clock runs: 0; 0.05 is an oscillator without a crystal. Moves the folded hum.
    pub fast: f64,
    /// Stamps are whole steps of this, s: 1 ms, as programs print them.
    pub stamp_s: f64,
}

impl Clock {
    /// A crystal, and a program with other work.
    pub const USUAL: Self = Self { jitter: 0.02, fast: 0.0, stamp_s: 0.001 };
    /// Perfect.
    pub const OFF: Self = Self { jitter: 0.0, fast: 0.0, stamp_s: 0.0 };
}

/// Readings that never come: single ones, and stalls while the program sends a picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lost {
    /// Share of single readings: 1 in 1,000. Ours. They are no events: stamps tell them.
    pub share: f64,
    /// Stalls, 1/s: four an hour. Ours.
    pub stalls_1_s: f64,
    /// Median length of a stall, s: 0.5. Ours.
    pub stall_s: f64,
}

impl Lost {
    /// A station with a camera.
    pub const USUAL: Self = Self { share: 0.001, stalls_1_s: 4.0 / 3600.0, stall_s: 0.5 };
    /// None.
    pub const OFF: Self = Self { share: 0.0, stalls_1_s: 0.0, ..Self::USUAL };
}

/// What happens where the count does not fit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Over {
    /// It stays at the end.
    Stops,
    /// It goes on from the other end.
    Wraps,
}

/// The chip's counter.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Counter {
    /// Its width, 1 to 16.
    pub bits: u32,
    /// Beyond it.
    pub over: Over,
}

impl Counter {
    /// As wide as a reading.
    pub const USUAL: Self = Self { bits: 16, over: Over::Stops };

    /// The count nearest to a level; 0 for NaN.
    ///
    /// ```
    /// use twin::plate::effects::{Counter, Over};
    /// let [stops, wraps] = [Over::Stops, Over::Wraps].map(|over| Counter { bits: 10, over });
    /// assert_eq!((stops.count(1030.4), wraps.count(1030.4)), (1023, 6));
    /// assert_eq!((stops.count(-3.0), wraps.count(-3.0)), (0, 1021));
    /// ```
    pub fn count(self, level: f64) -> u16 {
        let size = f64::from(1_u32 << self.bits.clamp(1, 16));
        match self.over {
            Over::Stops => level.round().clamp(0.0, size - 1.0) as u16,
            Over::Wraps => level.round().rem_euclid(size) as u16,
        }
    }
}
