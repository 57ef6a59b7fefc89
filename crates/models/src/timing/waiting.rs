//! How long a visitor waits, and the share of calls known before that.

use super::dist::Dist;
use super::grid::Times;

/// Kinds of visitors with their shares; each waits for a time of its own.
#[derive(Debug, Clone, PartialEq)]
pub struct Waiting {
    /// Share of calls and how long such a visitor waits; shares sum to 1.
    pub kinds: Vec<(f64, Dist)>,
}

impl Waiting {
    /// Couriers, 60 %: 12 s (5..35); guests, 40 %: 30 s (12..80) (typical, from memory).
    pub fn usual() -> Self {
        Self {
            kinds: vec![
                (0.6, Dist::TwoPiece { p5: 5.0, p50: 12.0, p95: 35.0 }),
                (0.4, Dist::TwoPiece { p5: 12.0, p50: 30.0, p95: 80.0 }),
            ],
        }
    }

    /// Share of visitors who are still there.
    ///
    /// By hand: after 12 s half of the couriers and 95 % of the guests: 0.6·0.5 + 0.4·0.95 = 0.68.
    ///
    /// ```
    /// let waiting = models::timing::waiting::Waiting::usual();
    /// assert!((waiting.still_there(12.0) - 0.68).abs() < 1e-9);
    /// ```
    pub fn still_there(&self, time_s: f64) -> f64 {
        self.kinds.iter().map(|(share, waits)| share * (1.0 - waits.cdf(time_s))).sum()
    }

    /// Share of calls in which something happens before the visitor leaves; waiting and chain are independent.
    pub fn share_before(&self, times: &Times) -> f64 {
        times.expect(|time_s| self.still_there(time_s)).clamp(0.0, 1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::timing::grid::Grid;
    use quantity::normal;

    /// Two lognormals without a join at the median have a closed form: P(T < W) = Φ(ln(w/t)/√(σt² + σw²)).
    #[test]
    fn share_of_two_lognormals_is_the_closed_form() {
        let (time_s, wait_s, factor95) = (9.0, 14.0, 2.5f64);
        let waiting = Waiting { kinds: vec![(1.0, Dist::LogNormal { median: wait_s, factor95 })] };
        let sigma = factor95.ln() / normal::Z95;
        let exact = normal::cdf((wait_s / time_s).ln() / (2f64.sqrt() * sigma));
        for (grid, off) in [(Grid::coarse(), 1e-3), (Grid::fine(), 1e-4)] {
            let times = Times::of(grid, &Dist::LogNormal { median: time_s, factor95 });
            let share = waiting.share_before(&times);
            assert!((share - exact).abs() < off, "{share} {exact}");
        }
    }

    #[test]
    fn at_once_is_always_in_time_and_never_is_not() {
        let waiting = Waiting::usual();
        let grid = Grid::coarse();
        assert!((waiting.share_before(&Times::none(grid)) - 1.0).abs() < 1e-12);
        assert_eq!(waiting.share_before(&Times::never(grid)), 0.0);
    }
}
