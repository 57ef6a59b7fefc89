//! A distribution onto the grid: what mass each node gets.
//!
//! A continuous step enters by the differences of its distribution function at the cells' edges, less the h²/12 of
//! variance that lumping a cell at its node adds. A step narrower than a cell or so enters by its own first two moments,
//! on three nodes.

use super::{Grid, LOWEST_S};
use crate::timing::dist::{Dist, Halves};
use quantity::normal;

/// Masses on three nodes with sum 1 and these first and second moments.
pub(super) fn three_point([a, b, c]: [f64; 3], mean: f64, square: f64) -> [f64; 3] {
    let weight = |x: f64, y: f64, z: f64| (square - (y + z) * mean + y * z) / ((x - y) * (x - z));
    [weight(a, b, c), weight(b, a, c), weight(c, a, b)]
}

/// Takes away the variance that lumping a cell at its node has added (a box has h²/12).
pub(super) fn sharpen(mass: &mut [f64]) {
    let mut before = 0.0;
    for k in 0..mass.len() {
        let here = mass[k];
        let after = mass.get(k + 1).copied().unwrap_or(0.0);
        // At the ends of the grid nothing may fall off.
        let (low, high) =
            (if k == 0 { here } else { before }, if k + 1 == mass.len() { here } else { after });
        mass[k] = here - (low - 2.0 * here + high) / 24.0;
        before = here;
    }
}

/// A distribution on its way onto the grid.
pub(super) struct Laid {
    grid: &'static Grid,
    pub(super) mass: Vec<f64>,
    /// Probability of less than a millisecond.
    pub(super) zero: f64,
    /// What has not been laid: never, when all is done.
    pub(super) never: f64,
}

impl Laid {
    pub(super) fn new(grid: &'static Grid, dist: &Dist) -> Self {
        let mut laid = Self { grid, mass: vec![0.0; grid.node_s.len()], zero: 0.0, never: 1.0 };
        laid.lay(dist, 1.0);
        laid
    }

    fn lay(&mut self, dist: &Dist, share: f64) {
        match dist {
            Dist::Point(at_s) => self.narrow(share, *at_s, at_s * at_s),
            Dist::Uniform { low, high } => {
                let mean = low.midpoint(*high);
                let square = mean * mean + (high - low).powi(2) / 12.0;
                if mean <= LOWEST_S || ((high - low) / mean) < 3.0 * self.grid.cell() {
                    self.narrow(share, mean, square);
                } else {
                    let (low, width) = (*low, high - low);
                    self.wide(share, low.max(LOWEST_S), low + width, |time_s| (time_s - low) / width);
                }
            }
            Dist::LogNormal { .. } | Dist::TwoPiece { .. } => {
                let halves = dist.halves();
                self.half(share, halves, false);
                self.half(share, halves, true);
            }
            Dist::Mixture(parts) => {
                for (part_share, part) in parts {
                    self.lay(part, share * part_share);
                }
            }
        }
    }

    /// One half of a lognormal.
    fn half(&mut self, share: f64, halves: Halves, upper: bool) {
        let sigma = if upper { halves.above } else { halves.below };
        if sigma < 1.5 * self.grid.cell() {
            self.narrow(share / 2.0, 2.0 * halves.part(1.0, upper), 2.0 * halves.part(2.0, upper));
            return;
        }
        let reach =
            halves.median * (if upper { self.grid.cut * sigma } else { -self.grid.cut * sigma }).exp();
        let (low, high) = if upper { (halves.median, reach) } else { (reach, halves.median) };
        let start = if upper { 0.5 } else { 0.0 };
        let ln_median = halves.median.ln();
        self.wide(share / 2.0, low, high, |time_s| {
            2.0 * (normal::cdf((time_s.ln() - ln_median) / sigma) - start)
        });
    }

    /// All of `share` at three nodes, by mean and mean square.
    fn narrow(&mut self, share: f64, mean: f64, square: f64) {
        self.never -= share;
        let place = self.grid.place(mean).round();
        if place.is_nan() || place < 1.0 {
            // Under a millisecond and a bit: none, or the first node.
            if mean < 0.5 * LOWEST_S {
                self.zero += share;
            } else {
                self.mass[0] += share;
            }
            return;
        }
        let k = place as usize;
        if k + 1 >= self.mass.len() {
            self.never += share;
            return;
        }
        let nodes = [self.grid.node_s[k - 1], self.grid.node_s[k], self.grid.node_s[k + 1]];
        for (slot, weight) in self.mass[k - 1..=k + 1].iter_mut().zip(three_point(nodes, mean, square)) {
            *slot += share * weight;
        }
    }

    /// `share` by the differences of its distribution function `done`, which reaches 0 and 1 about `low` and `high`.
    fn wide(&mut self, share: f64, low_s: f64, high_s: f64, done: impl Fn(f64) -> f64) {
        let last = self.mass.len() - 2;
        // One cell of room on either side for `sharpen`.
        let start = (self.grid.place(low_s).round() - 1.0).max(0.0) as usize;
        let end = (self.grid.place(high_s).round() + 1.0).max(0.0) as usize;
        if start > last {
            return;
        }
        let edge = (0.5 * self.grid.cell()).exp();
        let mut cells: Vec<f64> = Vec::with_capacity(end.min(last) - start + 1);
        let mut below = 0.0;
        for k in start..=end.min(last) {
            // What the cut leaves out belongs to the last cell; what the grid leaves out never happens.
            let upto = if k == end { 1.0 } else { done(self.grid.node_s[k] * edge).clamp(below, 1.0) };
            cells.push(upto - below);
            below = upto;
        }
        self.never -= share * below;
        sharpen(&mut cells);
        for (slot, cell) in self.mass[start..].iter_mut().zip(cells) {
            *slot += share * cell;
        }
    }
}
