//! How many presses a threshold misses, told from a handful of recorded ones.
//!
//! What decides is how deep each press stays for as long as the debounce asks: its **sustained** depth. Over people and
//! presses the logarithms of such depths are taken as normal; with few presses neither their mean nor their spread is known,
//! and both are weighed (Student's law of the next press: Gelman et al., *Bayesian Data Analysis*, 3rd ed., 3.2, from
//! memory). An interval of a share that was never seen comes from there, and does not say "none".

use crate::tail::{Interval, interval};
use quantity::normal::{cdf, quantile};

/// Quantiles that stand for the spread, and for the mean.
const STEPS: usize = 24;
/// Least spread of the logarithms: ten presses of one careful finger are not the street's. Ours.
const SPREAD_LEAST: f64 = 0.06;

/// Presses, by their sustained depths.
#[derive(Clone, Debug, PartialEq)]
pub struct Presses {
    count: f64,
    mean: f64,
    spread: f64,
}

impl Presses {
    /// From sustained depths in counts; `None` for fewer than three above 0.
    pub fn of(depths: &[f64]) -> Option<Self> {
        let logs: Vec<f64> = depths.iter().filter(|depth| **depth > 0.0).map(|depth| depth.ln()).collect();
        if logs.len() < 3 {
            return None;
        }
        let count = logs.len() as f64;
        let mean = logs.iter().sum::<f64>() / count;
        let spread = (logs.iter().map(|log| (log - mean).powi(2)).sum::<f64>() / (count - 1.0)).sqrt();
        Some(Self { count, mean, spread: spread.max(SPREAD_LEAST) })
    }

    /// Share of presses that stay shallower than `threshold`.
    pub fn missed(&self, threshold: f64) -> Interval {
        let mut shares = Vec::with_capacity(STEPS * STEPS);
        let middle = |i: usize| (i as f64 + 0.5) / STEPS as f64;
        for i in 0..STEPS {
            let spread = self.spread * ((self.count - 1.0) / chi_squared(self.count - 1.0, middle(i))).sqrt();
            for j in 0..STEPS {
                let mean = self.mean + quantile(middle(j)) * spread / self.count.sqrt();
                shares.push((cdf((threshold.ln() - mean) / spread), 1.0 / (STEPS * STEPS) as f64));
            }
        }
        interval(shares)
    }
}

/// Quantile of chi-squared by Wilson and Hilferty (as in [`crate::tail`]), kept above 0 where few degrees would make it
/// negative.
fn chi_squared(degrees: f64, p: f64) -> f64 {
    let share = 2.0 / (9.0 * degrees);
    let root = 1.0 - share + quantile(p) * share.sqrt();
    degrees * root.max(0.1).powi(3)
}
