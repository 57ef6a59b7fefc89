//! How often noise alone goes as deep as a threshold, far beyond what a recording has shown.
//!
//! Peaks over a threshold: what exceeds a high level, one peak a cluster, follows a generalised Pareto law (Pickands, *Ann.
//! Statist.* 3 (1975) 119; Davison and Smith, *J. R. Statist. Soc. B* 52 (1990) 393; from memory). Its two numbers are not
//! estimated but weighed: every pair on a grid by its likelihood, the shape beforehand by a normal law about 0 (electrical noise
//! is a sum of many parts) from -0.5 to 0.5, the scale alike in its logarithm, the rate of clusters by its gamma law. So a tail that seems to end short of the threshold (a negative shape)
//! still has an upper bound, and the interval is never empty.

use crate::pareto::{beyond, log_likelihood};
use statrs::distribution::{ContinuousCDF, Gamma};

/// Shapes that are weighed: lighter tails end abruptly, heavier ones have no variance. Ours.
const SHAPES: (f64, f64) = (-0.5, 0.5);
/// Standard deviation of shapes before a recording is seen. Ours; hydrologists weigh theirs by 0.12 (Martins and Stedinger,
/// *Water Resour. Res.* 36 (2000) 737, from memory).
const SHAPES_APART: f64 = 0.15;
const SHAPE_STEPS: usize = 41;
const SCALE_STEPS: usize = 61;
/// Peaks that a shape is told from, at least. Ours.
pub const FEWEST: usize = 10;
/// Quantiles of the rate of clusters that stand for its law.
const RATE_STEPS: usize = 15;

/// Peaks of clusters beyond a level.
#[derive(Clone, Debug, PartialEq)]
pub struct Peaks {
    /// The level, counts.
    pub level: f64,
    /// How far each peak lies beyond it, counts, above 0.
    pub beyond: Vec<f64>,
    /// Time that was recorded, s.
    pub span_s: f64,
}

/// A value with the interval that holds it in 90 of 100 cases.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// Mean over what is weighed: what a sum of costs wants.
    pub value: f64,
    /// 5 %.
    pub low: f64,
    /// 95 %.
    pub high: f64,
}

/// A tail: pairs of scale and shape with their weights, and the rate of clusters.
#[derive(Clone, Debug, PartialEq)]
pub struct Tail {
    level: f64,
    /// Scale in counts, shape, weight; weights sum to 1.
    pairs: Vec<(f64, f64, f64)>,
    rates_1_s: Vec<f64>,
}

impl Peaks {
    /// The peaks of clusters of `depths` beyond `level`; a cluster ends after `apart` samples below it.
    pub fn of(depths: impl Iterator<Item = f32>, level: f64, apart: usize, period_s: f64) -> Self {
        let mut clusters = Clusters::new(level, apart);
        depths.for_each(|depth| clusters.push(depth));
        clusters.done(period_s)
    }
}

/// Finds the peaks of clusters, depth by depth.
#[derive(Clone, Debug)]
pub struct Clusters {
    level: f64,
    apart: usize,
    beyond: Vec<f64>,
    samples: usize,
    peak: f64,
    below: usize,
}

impl Clusters {
    /// Beyond `level`; a cluster ends after `apart` samples below it.
    pub fn new(level: f64, apart: usize) -> Self {
        Self { level, apart: apart.max(1), beyond: Vec::new(), samples: 0, peak: 0.0, below: 0 }
    }

    /// Takes the next depth.
    pub fn push(&mut self, depth: f32) {
        self.samples += 1;
        let over = f64::from(depth) - self.level;
        if over > 0.0 {
            self.peak = self.peak.max(over);
            self.below = 0;
        } else if self.peak > 0.0 {
            self.below += 1;
            if self.below >= self.apart {
                self.rest();
            }
        }
    }

    /// Tells that what comes is not in a row with what was.
    pub fn rest(&mut self) {
        if self.peak > 0.0 {
            self.beyond.push(self.peak);
        }
        self.peak = 0.0;
    }

    /// The peaks.
    pub fn done(mut self, period_s: f64) -> Peaks {
        self.rest();
        Peaks { level: self.level, beyond: self.beyond, span_s: self.samples as f64 * period_s }
    }
}

impl Tail {
    /// Weighs the tail that the peaks tell; `None` for no time.
    ///
    /// Where there are fewer than [`FEWEST`] peaks, those that lack are taken from an exponential law with the scale of the
    /// noise, `noise` (counts, above 0): the shape of the tail is then what was weighed beforehand, the rate stays as seen.
    pub fn of(peaks: &Peaks, noise: f64) -> Option<Self> {
        let seen = peaks.beyond.len();
        if peaks.span_s.is_nan() || peaks.span_s <= 0.0 {
            return None;
        }
        let lack = FEWEST.saturating_sub(seen);
        let taken = (0..lack).map(|i| -noise * (1.0 - (i as f64 + 0.5) / lack as f64).ln());
        let all: Vec<f64> = peaks.beyond.iter().copied().chain(taken).collect();
        let count = all.len();
        let mean = all.iter().sum::<f64>() / count as f64;
        let deepest = all.iter().copied().fold(0.0, f64::max);
        // Six standard errors of the scale of an exponential law to either side, and no less than a factor of two.
        let reach = (6.0 / (count as f64).sqrt()).max(2.0_f64.ln()) + 0.5;
        let mut pairs = Vec::with_capacity(SHAPE_STEPS * SCALE_STEPS);
        for i in 0..SHAPE_STEPS {
            let shape = SHAPES.0 + (SHAPES.1 - SHAPES.0) * i as f64 / (SHAPE_STEPS - 1) as f64;
            for j in 0..SCALE_STEPS {
                let scale = mean * (reach * (2.0 * j as f64 / (SCALE_STEPS - 1) as f64 - 1.0)).exp();
                if 1.0 + shape * deepest / scale > 0.0 {
                    let beforehand = -0.5 * (shape / SHAPES_APART).powi(2);
                    pairs.push((scale, shape, beforehand + log_likelihood(&all, scale, shape)));
                }
            }
        }
        let best = pairs.iter().map(|pair| pair.2).fold(f64::NEG_INFINITY, f64::max);
        let sum: f64 = pairs.iter().map(|pair| (pair.2 - best).exp()).sum();
        for pair in &mut pairs {
            pair.2 = (pair.2 - best).exp() / sum;
        }
        pairs.retain(|pair| pair.2 > 1e-9);
        let rates_1_s = (0..RATE_STEPS)
            .map(|i| gamma_quantile(seen as f64 + 0.5, (i as f64 + 0.5) / RATE_STEPS as f64) / peaks.span_s)
            .collect();
        Some(Self { level: peaks.level, pairs, rates_1_s })
    }

    /// How often a cluster goes deeper than `depth`, 1/s: all rates that are weighed, with their weights; `depth` at least the
    /// level.
    pub fn rates(&self, depth: f64) -> Vec<(f64, f64)> {
        let mut rates: Vec<(f64, f64)> = Vec::with_capacity(self.pairs.len() * RATE_STEPS);
        for &(scale, shape, weight) in &self.pairs {
            let share = beyond(depth - self.level, scale, shape);
            for rate in &self.rates_1_s {
                rates.push((rate * share, weight / RATE_STEPS as f64));
            }
        }
        rates
    }

    /// Its mean alone, per second.
    pub fn mean_1_s(&self, depth: f64) -> f64 {
        let share: f64 = self
            .pairs
            .iter()
            .map(|&(scale, shape, weight)| weight * beyond(depth - self.level, scale, shape))
            .sum();
        share * self.rates_1_s.iter().sum::<f64>() / self.rates_1_s.len() as f64
    }

    /// The most likely scale in counts, and shape.
    pub fn likeliest(&self) -> (f64, f64) {
        let best = self.pairs.iter().max_by(|a, b| a.2.total_cmp(&b.2));
        best.map_or((f64::NAN, f64::NAN), |best| (best.0, best.1))
    }
}

/// Mean and 5 and 95 % of weighted values; weights sum to 1.
pub fn interval(mut values: Vec<(f64, f64)>) -> Interval {
    values.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
    let value = values.iter().map(|(value, weight)| value * weight).sum();
    let at = |share: f64| {
        let mut sum = 0.0;
        let found = values.iter().find(|(_, weight)| {
            sum += weight;
            sum >= share
        });
        found.or(values.last()).map_or(f64::NAN, |(value, _)| *value)
    };
    Interval { value, low: at(0.05), high: at(0.95) }
}

/// The rate behind `count` events in `span_s`, 1/s: gamma's law with half an event beforehand (Jeffreys; textbook).
pub fn counted_rate(count: usize, span_s: f64) -> Interval {
    let shape = count as f64 + 0.5;
    let [low, high] = [0.05, 0.95].map(|share| gamma_quantile(shape, share) / span_s);
    Interval { value: shape / span_s, low, high }
}

/// Quantile of a gamma law of shape `a` and scale 1.
pub(crate) fn gamma_quantile(a: f64, p: f64) -> f64 {
    Gamma::new(a, 1.0).map_or(f64::NAN, |law| law.inverse_cdf(p))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Chi-squared tables: a quarter of the 0.95 quantile of 20 degrees of freedom is half of 31.410 (published tables).
    #[test]
    fn gamma_quantiles_are_those_of_chi_squared() {
        assert!((gamma_quantile(10.0, 0.95) - 31.410 / 2.0).abs() < 0.02);
        assert!((gamma_quantile(10.0, 0.05) - 10.851 / 2.0).abs() < 0.02);
    }

    #[test]
    fn peaks_are_one_a_cluster() {
        let depths = [0.0, 3.0, 5.0, 0.0, 4.0, 0.0, 0.0, 0.0, 2.0, 9.0].map(|d: f32| d);
        let peaks = Peaks::of(depths.into_iter(), 1.0, 2, 0.5);
        assert_eq!(peaks, Peaks { level: 1.0, beyond: vec![4.0, 8.0], span_s: 5.0 });
    }

    #[test]
    fn few_peaks_leave_the_shape_open_and_the_rate_as_seen() {
        let none = Tail::of(&Peaks { level: 1.0, beyond: Vec::new(), span_s: 1000.0 }, 2.0).unwrap();
        // No cluster in 1,000 s: the mean of a gamma law of shape a half.
        assert!((none.mean_1_s(1.0) * 1000.0 - 0.5).abs() < 0.03, "{}", none.mean_1_s(1.0));
        assert!(none.mean_1_s(5.0) < 0.5 * none.mean_1_s(1.0));
        assert_eq!(Tail::of(&Peaks { level: 1.0, beyond: vec![1.0; 9], span_s: 0.0 }, 2.0), None);
    }
}
