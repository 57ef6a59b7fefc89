//! Presses that nobody made: rain, spiders, cleaning, sleeves, surges. A dry recording does not hold them, so their rate is
//! known beforehand and corrected by what the recording had.

use models::energy::YEAR_S;
use quantity::normal::{Z90, quantile};

/// Such presses a year at a threshold of half a touch: median, 5 and 95 %; covered, then bare (trade.md `plate.events`, from
/// memory).
const YEAR: [[f64; 3]; 2] = [[2.0, 0.3, 15.0], [6.0, 1.0, 40.0]];
/// By which power they grow as the threshold lies nearer to idle: shallow touches of sleeves, drops and legs are many. Ours.
const NEARER: f64 = 4.0;
/// Equally likely rates that stand for their law.
const NODES: usize = 64;

/// Their rates, weighed.
#[derive(Clone, Debug, PartialEq)]
pub struct Events {
    /// Rate a year at half a touch, and its weight; weights sum to 1.
    rates: Vec<(f64, f64)>,
}

impl Events {
    /// With `seen` films in `span_s` of recording (a Poisson law's likelihood).
    pub fn of(bare: bool, seen: usize, span_s: f64) -> Self {
        let [median, low, high] = YEAR[usize::from(bare)];
        let mut rates: Vec<(f64, f64)> = (0..NODES)
            .map(|node| {
                let z = quantile((node as f64 + 0.5) / NODES as f64);
                // Each side a lognormal law of its own.
                let side = if z < 0.0 { median / low } else { high / median };
                let rate = median * (side.ln() / Z90 * z).exp();
                let expected = rate * span_s / YEAR_S;
                (rate, seen as f64 * expected.ln() - expected)
            })
            .collect();
        let best = rates.iter().map(|rate| rate.1).fold(f64::NEG_INFINITY, f64::max);
        let sum: f64 = rates.iter().map(|rate| (rate.1 - best).exp()).sum();
        for rate in &mut rates {
            rate.1 = (rate.1 - best).exp() / sum;
        }
        Self { rates }
    }

    /// Rates a year at a threshold of `share` of a touch, with their weights.
    pub fn a_year(&self, share: f64) -> Vec<(f64, f64)> {
        let nearer = (0.5 / share).powf(NEARER);
        self.rates.iter().map(|(rate, weight)| (rate * nearer, *weight)).collect()
    }

    /// Their mean.
    pub fn mean_a_year(&self, share: f64) -> f64 {
        self.a_year(share).iter().map(|(rate, weight)| rate * weight).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_short_recording_changes_nothing_and_a_film_in_a_day_does() {
        let median = |events: &Events| {
            let mut sum = 0.0;
            let found = events.a_year(0.5).into_iter().find(|(_, weight)| {
                sum += weight;
                sum > 0.5
            });
            found.unwrap().0
        };
        assert!((median(&Events::of(false, 0, 300.0)) / 2.0 - 1.0).abs() < 0.1);
        assert!(median(&Events::of(false, 1, 86_400.0)) > 5.0);
        assert!(
            Events::of(false, 0, 300.0).mean_a_year(0.25)
                > 15.0 * Events::of(false, 0, 300.0).mean_a_year(0.5)
        );
    }
}
