//! How many presses a detector misses, told from a handful of recorded ones.
//!
//! Two things decide: how deep a press stays for as long as the debounce asks, its **sustained** depth, and whether it
//! lasts so long at all. Over people and presses the logarithms of both are taken as normal.
//!
//! Of few presses neither mean nor spread of the depths is known, and both are weighed (Student's law of the next press:
//! Gelman et al., *Bayesian Data Analysis*, 3rd ed., 3.2, from memory). One careful finger is not the street: the spread
//! between people stands beside the recorded one with the worth of `STREET` presses. And whether the odd shallow press (a
//! glove) is one of a kind or the end of one law, and whether there is anything beyond the shallowest, cannot be told: a third
//! of the weight lies on a law through all presses, a third on one through their middle (median, and median distance from
//! it), a third on the recorded presses as they are.
//!
//! How long callers press, a recording on request does not tell: beside the lengths that it has stand those that callers are
//! known for (trade.md `plate.press-length`).

use models::touch::timing::PRESS_S;
use quantity::normal::{Z90, cdf, quantile};
use statrs::distribution::{ChiSquared, ContinuousCDF, StudentsT};

/// Quantiles that stand for the spread, and for the mean.
const STEPS: usize = 16;
/// Spread of the logarithms of depths between people: two in three within a factor of 1.43, tips of 8 to 16 mm. Ours.
const PEOPLE: f64 = 0.36;
/// So many presses is that worth. Ours.
const STREET: f64 = 5.0;
/// A finger comes to all of its depth, and goes, within so long, s. Ours.
const RAMP_S: f64 = 0.04;
/// How far each recorded length is spread, in logarithms, for one alone. Ours.
const LENGTHS_REACH: f64 = 0.2;

/// Presses, by their sustained depths.
#[derive(Clone, Debug, PartialEq)]
pub struct Presses {
    count: f64,
    degrees: f64,
    /// Mean and spread of the logarithms: through all, and through their middle.
    laws: [(f64, f64); 2],
    /// Logarithms, least first.
    logs: Vec<f64>,
}

impl Presses {
    /// From sustained depths in counts; `None` for fewer than three above 0.
    pub fn of(depths: &[f64]) -> Option<Self> {
        let (count, mean, square) = logarithms(depths);
        if count < 3.0 {
            return None;
        }
        let logs = || depths.iter().filter(|depth| **depth > 0.0).map(|depth| depth.ln());
        let middle = median(logs());
        // A normal law's deviation is 1.4826 of its median distance.
        let near = 1.4826 * median(logs().map(|log| (log - middle).abs()));
        let degrees = STREET + count - 1.0;
        let mut sorted: Vec<f64> = logs().collect();
        sorted.sort_unstable_by(f64::total_cmp);
        let spread = |square: f64| ((STREET * PEOPLE * PEOPLE + square) / degrees).sqrt();
        Some(Self {
            count,
            degrees,
            laws: [(mean, spread(square)), (middle, spread((count - 1.0) * near * near))],
            logs: sorted,
        })
    }

    /// Share of presses that stay shallower than `threshold` counts, over all that is weighed.
    pub fn shallower(&self, threshold: f64) -> f64 {
        let share = |(mean, spread): (f64, f64)| {
            let scale = spread * (1.0 + 1.0 / self.count).sqrt();
            StudentsT::new(mean, scale, self.degrees).map_or(f64::NAN, |law| law.cdf(threshold.ln()))
        };
        (self.laws.map(share).iter().sum::<f64>() + self.recorded(threshold)) / 3.0
    }

    /// Share of the recorded presses that are shallower.
    fn recorded(&self, threshold: f64) -> f64 {
        self.logs.partition_point(|log| *log < threshold.ln()) as f64 / self.count
    }

    /// The same for each law, spread and mean that is weighed; all alike likely.
    pub fn shares(&self, threshold: f64) -> Vec<f64> {
        let Ok(law) = ChiSquared::new(self.degrees) else { return vec![f64::NAN] };
        let at = |i: usize| (i as f64 + 0.5) / STEPS as f64;
        let wider: Vec<f64> = (0..STEPS).map(|i| (self.degrees / law.inverse_cdf(at(i))).sqrt()).collect();
        let each = |(mean, spread): (f64, f64)| {
            let spreads = wider.iter().map(move |wider| spread * wider);
            spreads.flat_map(move |spread| {
                (0..STEPS).map(move |j| {
                    let mean = mean + quantile(at(j)) * spread / self.count.sqrt();
                    cdf((threshold.ln() - mean) / spread)
                })
            })
        };
        let recorded = std::iter::repeat_n(self.recorded(threshold), STEPS * STEPS);
        self.laws.into_iter().flat_map(each).chain(recorded).collect()
    }
}

/// How long presses are: the logarithms of recorded lengths, s, each spread a little, and of callers.
#[derive(Clone, Debug, PartialEq)]
pub struct Lengths {
    recorded: Vec<f64>,
    reach: f64,
}

impl Lengths {
    /// From recorded lengths, s.
    pub fn of(lengths_s: &[f64]) -> Self {
        let recorded: Vec<f64> =
            lengths_s.iter().filter(|length_s| **length_s > 0.0).map(|length_s| length_s.ln()).collect();
        // The usual fifth root of their number, as in `levels`.
        let reach = LENGTHS_REACH * (recorded.len().max(1) as f64).powf(-0.2);
        Self { recorded, reach }
    }

    /// Shares of presses too short for `debounce` readings, `period_s` apart, to fall into them: as recorded, and of callers.
    /// The threshold lies at this share of the depth of a press, whose length is taken at half of it.
    ///
    /// A press of length `l` holds `l/period` readings, rounded down or up as chance has it.
    pub fn too_short(&self, debounce: usize, period_s: f64, share: f64) -> [f64; 2] {
        let longer_s = (1.0 - 2.0 * share.clamp(0.0, 1.0)) * RAMP_S;
        let [low, middle, high] = PRESS_S;
        let spread = (high / low).ln() / (2.0 * Z90);
        let callers = |log: f64| cdf((log - middle.ln()) / spread);
        let recorded = |log: f64| {
            let shares = self.recorded.iter().map(|one| cdf((log - one) / self.reach));
            shares.sum::<f64>() / self.recorded.len().max(1) as f64
        };
        // The integral of the law of lengths from debounce-1 to debounce periods, by parts: Simpson's rule over 16 strips.
        let laws: [&dyn Fn(f64) -> f64; 2] = [&recorded, &callers];
        laws.map(|law| {
            let shorter = |length_s: f64| if length_s > 0.0 { law(length_s.ln()) } else { 0.0 };
            let (strips, from) = (16, debounce as f64 - 1.0);
            let sum: f64 = (0..=strips)
                .map(|i| {
                    let weight = if i == 0 || i == strips { 1.0 } else { f64::from(2 + 2 * (i % 2)) };
                    weight * shorter((from + f64::from(i) / f64::from(strips)) * period_s - longer_s)
                })
                .sum();
            sum / f64::from(3 * strips)
        })
    }
}

/// The middle value; NaN of none.
fn median(values: impl Iterator<Item = f64>) -> f64 {
    let mut values: Vec<f64> = values.collect();
    values.sort_unstable_by(f64::total_cmp);
    match values.len() {
        0 => f64::NAN,
        len => f64::midpoint(values[(len - 1) / 2], values[len / 2]),
    }
}

/// How many lie above 0, the mean of their logarithms, and the sum of squares about it.
fn logarithms(values: &[f64]) -> (f64, f64, f64) {
    let logs: Vec<f64> = values.iter().filter(|value| **value > 0.0).map(|value| value.ln()).collect();
    let mean = logs.iter().sum::<f64>() / (logs.len() as f64).max(1.0);
    (logs.len() as f64, mean, logs.iter().map(|log| (log - mean).powi(2)).sum())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The mean of the weighed shares is Student's.
    #[test]
    fn the_weighed_shares_mean_students_law() {
        let presses = Presses::of(&[100.0, 120.0, 90.0, 110.0, 105.0, 80.0, 130.0]).unwrap();
        for threshold in [60.0, 80.0, 100.0] {
            let shares = presses.shares(threshold);
            let mean = shares.iter().sum::<f64>() / shares.len() as f64;
            let told = presses.shallower(threshold);
            assert!((mean - told).abs() < 0.03 * told + 2e-3, "{threshold}: {mean} and {told}");
        }
    }

    /// By hand: presses of 0.1 s for certain, read every 0.08 s, hold two readings one time in four.
    #[test]
    fn lengths_are_counted_in_readings() {
        let exact = Lengths { recorded: vec![0.1_f64.ln()], reach: 1e-6 };
        assert_eq!(exact.too_short(1, 0.08, 0.5)[0], 0.0);
        assert!((exact.too_short(2, 0.08, 0.5)[0] - 0.75).abs() < 0.04);
        assert_eq!(exact.too_short(3, 0.08, 0.5)[0], 1.0);
        // Callers at 20 readings a second: one in 30 presses holds fewer than two, when none may be cut (trade.md).
        let callers = Lengths::of(&[]).too_short(2, 0.05, 0.5)[1];
        assert!(callers > 0.005 && callers < 0.035, "{callers}");
    }

    #[test]
    fn too_few_presses_tell_nothing() {
        assert_eq!(Presses::of(&[5.0, 0.0, 4.0]), None);
    }
}
