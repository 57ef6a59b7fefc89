//! Random numbers of the shapes that readings are made of, each a function of a seed.

use models::luck::{Stream, mix};
use quantity::normal::quantile;

/// A stream of one effect: another effect switched off moves nothing in it.
#[derive(Clone, Debug)]
pub(crate) struct Chance(Stream);

impl Chance {
    /// The stream of effect number `effect` under `seed`.
    pub(crate) const fn new(seed: u64, effect: u64) -> Self {
        Self(Stream::new(mix(seed, effect)))
    }

    /// Uniform between 0 and 1, neither of them reached.
    pub(crate) fn unit(&mut self) -> f64 {
        ((self.0.bits() >> 11) as f64 + 0.5) * (1.0 / (1_u64 << 53) as f64)
    }

    /// Uniform between two numbers.
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Normal, mean 0, standard deviation 1, tails and all.
    pub(crate) fn normal(&mut self) -> f64 {
        quantile(self.unit())
    }

    /// Waiting time of a mean.
    pub(crate) fn wait(&mut self, mean: f64) -> f64 {
        -mean * self.unit().ln()
    }

    /// Log-normal: two in three lie between the median over and times `factor`; never beyond four such steps.
    pub(crate) fn about(&mut self, median: f64, factor: f64) -> f64 {
        median * factor.powf(self.normal().clamp(-4.0, 4.0))
    }

    /// True once in 1/`share`.
    pub(crate) fn happens(&mut self, share: f64) -> bool {
        self.unit() < share
    }

    /// Moments of a Poisson process in `0..for_s`, ascending.
    pub(crate) fn moments(&mut self, rate_1_s: f64, for_s: f64) -> Vec<f64> {
        let mut moments = Vec::new();
        if rate_1_s > 0.0 {
            let mut at_s = self.wait(1.0 / rate_1_s);
            while at_s < for_s {
                moments.push(at_s);
                at_s += self.wait(1.0 / rate_1_s);
            }
        }
        moments
    }
}

/// A value that wanders about 0 and forgets itself: mean 0, standard deviation 1.
#[derive(Clone, Debug)]
pub(crate) struct Wander {
    chance: Chance,
    at: f64,
    keep: f64,
    add: f64,
}

impl Wander {
    /// `keep`: correlation of one step with the next, 0 to 1.
    pub(crate) fn new(mut chance: Chance, keep: f64) -> Self {
        let at = chance.normal();
        Self { chance, at, keep, add: (1.0 - keep * keep).max(0.0).sqrt() }
    }

    /// Forgets over `memory_s`, stepped every `period_s`.
    pub(crate) fn slow(chance: Chance, period_s: f64, memory_s: f64) -> Self {
        Self::new(chance, (-period_s / memory_s).exp())
    }

    /// Where it is.
    pub(crate) const fn at(&self) -> f64 {
        self.at
    }

    /// One step on.
    pub(crate) fn step(&mut self) -> f64 {
        self.at = self.keep * self.at + self.add * self.chance.normal();
        self.at
    }
}
