//! From sun on a panel to charge in a cell, and how dull days cluster.

use crate::luck::Stream;

/// Share of the panel's output that reaches the cell with a linear charger: 0.5 (0.35..0.65), typical, from
/// memory. It passes the panel's current on at the cell's voltage, 0.65 (0.5..0.8) of the power, and loses the
/// rest in temperature, wiring and the hours below its starting current of 5 to 10 mA.
pub const CHAIN: f64 = 0.5;

/// Share that dirt leaves: 0.93 (0.8..0.98), typical, from memory.
pub const DIRT: f64 = 0.93;

/// Real over printed peak power of a small panel: 0.85 (0.6..1.0), typical, from memory.
pub const REAL_PEAK: f64 = 0.85;

/// Correlation of a day's sky with the day before: 0.35, typical, from memory.
pub const SKY_LAG: f64 = 0.35;

/// Standard deviation of a day's sun over its mean: 0.5, typical, from memory.
pub const SKY_SD: f64 = 0.5;

/// Least and greatest sun of a day over its mean. Symmetrical about 1, so that clamping keeps the mean exact.
pub const SKY_RANGE: (f64, f64) = (0.1, 1.9);

/// Charge into a pack for sun on the panel's plane, in C per J/m².
///
/// - `peak_w`: printed power at 1,000 W/m²; `shares`: product of [`CHAIN`], [`DIRT`], [`REAL_PEAK`] and shade
///   (one shaded cell halves a panel); `pack_v`: mean voltage of the pack under charge.
///
/// # Examples
///
/// 2 W and half of it into 3.7 V: a day of 1 kWh/m² (3.6e6 J/m²) gives 2 W × 1 h × 0.5 = 1 Wh, 0.27 Ah:
///
/// ```
/// let per_sun = models::energy::solar::charge_per_sun(2.0, 0.5, 3.7);
/// assert!((per_sun * 3.6e6 / 3600.0 - 1.0 / 3.7).abs() < 1e-12);
/// ```
pub fn charge_per_sun(peak_w: f64, shares: f64, pack_v: f64) -> f64 {
    peak_w / 1000.0 * shares / pack_v
}

/// The skies of one life: an autoregressive process of order one, day after day.
///
/// x' = 0.35·x + sqrt(1 - 0.35²)·z with z of variance 1, the day's sun 1 + 0.5·x within [`SKY_RANGE`]. Its mean
/// is 1 by symmetry. The same clustering all year; a real winter's is stronger (left out).
#[derive(Clone, Debug)]
pub struct Sky {
    stream: Stream,
    state: f64,
}

impl Sky {
    /// The skies of this seed, starting in the long-run distribution.
    pub fn new(seed: u64) -> Self {
        let mut stream = Stream::new(seed);
        let state = stream.bell();
        Self { stream, state }
    }

    /// The next day's sun over its mean.
    #[inline]
    pub fn day(&mut self) -> f64 {
        const FRESH: f64 = 0.936_749_699_759_759_7; // sqrt(1 - 0.35²)
        let today = 1.0 + SKY_SD * self.state;
        self.state = SKY_LAG * self.state + FRESH * self.stream.bell();
        today.clamp(SKY_RANGE.0, SKY_RANGE.1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::luck::mix;

    #[test]
    fn mean_is_one_and_neighbours_correlate() {
        let mut sky = Sky::new(1);
        let days: Vec<f64> = (0..100_000).map(|_| sky.day()).collect();
        let n = days.len() as f64;
        let mean = days.iter().sum::<f64>() / n;
        let variance = days.iter().map(|d| (d - mean).powi(2)).sum::<f64>() / n;
        let lag = days.windows(2).map(|d| (d[0] - mean) * (d[1] - mean)).sum::<f64>() / n / variance;
        // Standard error of the mean 0.5·sqrt((1+ρ)/(1-ρ)/n) = 0.0023; clamping costs a little correlation.
        assert!((mean - 1.0).abs() < 0.01);
        assert!((lag - SKY_LAG).abs() < 0.02, "{lag}");
    }

    #[test]
    fn longest_dull_spell_of_a_year_is_about_a_week() {
        // trade.md, power.sun-chain: longest run 7 d (4..12), typical, from memory; dull taken as under 0.8 of the mean.
        let mut longest: Vec<usize> = (0..200)
            .map(|year| {
                let mut sky = Sky::new(mix(3, year));
                let (mut best, mut spell) = (0, 0);
                for _ in 0..365 {
                    spell = if sky.day() < 0.8 { spell + 1 } else { 0 };
                    best = best.max(spell);
                }
                best
            })
            .collect();
        longest.sort_unstable();
        assert!((4..=12).contains(&longest[100]), "median {}", longest[100]);
    }
}
