//! How many come in a day: a table of the distribution, built once a life and picked from in constant time.
//!
//! Callers cluster. A day's rate is gamma-distributed about the mean and its count is Poisson given the rate,
//! which makes the count negative binomial; with dispersion 1 it is Poisson. Days are independent: how much
//! *households* differ is a spread of the mean itself and belongs to the ensemble.
//!
//! The table is an alias table (A. J. Walker, Electronics Letters 10, 1974; built after M. D. Vose, IEEE
//! Transactions on Software Engineering 17, 1991): one comparison a day instead of a library sampler's
//! logarithms, ten times faster.

use crate::out_of_range::OutOfRange;

/// The greatest mean a day.
pub const MEAN_MAX: f64 = 1000.0;

/// The greatest variance over mean.
pub const DISPERSION_MAX: f64 = 20.0;

/// Counts rarer than this, relative to the commonest, are left out.
const LEAST_WEIGHT: f64 = 1e-9;

/// A table of counts a day.
#[derive(Clone, Debug)]
pub struct Counts {
    /// As many as a power of two.
    columns: Vec<Column>,
    /// 32 less the binary logarithm of the number of columns.
    shift: u32,
}

#[derive(Clone, Copy, Debug)]
struct Column {
    /// Below this fraction of the column, in 2^-32, the second count holds, else the first.
    own_below: u32,
    /// An index instead of an `if`: the side is random, so a branch would be mispredicted half of the time.
    counts: [u32; 2],
}

impl Counts {
    /// The table for a mean of `mean` a day and a variance of `dispersion` × `mean`.
    ///
    /// # Errors
    ///
    /// `mean` outside 0..=[`MEAN_MAX`], `dispersion` outside 1..=[`DISPERSION_MAX`].
    pub fn new(mean: f64, dispersion: f64) -> Result<Self, OutOfRange> {
        let mean = OutOfRange::check("mean", mean, 0.0, MEAN_MAX)?;
        let dispersion = OutOfRange::check("dispersion", dispersion, 1.0, DISPERSION_MAX)?;
        let (first, weights) = weights(mean, dispersion);
        Ok(Self::from_weights(first, weights))
    }

    fn from_weights(first: u32, mut weights: Vec<f64>) -> Self {
        // At least two columns, so that the shift stays below 32.
        let columns_count = weights.len().next_power_of_two().max(2);
        weights.resize(columns_count, 0.0);
        let scale = columns_count as f64 / weights.iter().sum::<f64>();
        let mut columns: Vec<Column> = (first..first + columns_count as u32)
            .map(|count| Column { own_below: u32::MAX, counts: [count; 2] })
            .collect();
        for weight in &mut weights {
            *weight *= scale;
        }
        // Poor columns (below 1) are filled up from rich ones. Two scanning indices instead of work lists.
        let next = |weights: &[f64], from: usize, poor: bool| {
            (from..columns_count).find(|&i| (weights[i] < 1.0) == poor).unwrap_or(columns_count)
        };
        let mut rich = next(&weights, 0, false);
        let mut scan = next(&weights, 0, true);
        let mut poor = scan;
        while rich < columns_count && poor < columns_count {
            columns[poor].own_below = (weights[poor] * 4_294_967_296.0) as u32;
            columns[poor].counts[0] = first + rich as u32;
            weights[rich] -= 1.0 - weights[poor];
            if weights[rich] < 1.0 {
                let spent = rich;
                rich = next(&weights, rich + 1, false);
                // A column that has just become poor comes next if the scan is already past it.
                if spent < scan {
                    poor = spent;
                    continue;
                }
            }
            scan = next(&weights, scan + 1, true);
            poor = scan;
        }
        Self { columns, shift: 32 - columns_count.trailing_zeros() }
    }

    /// The count for 32 random bits: the high ones choose the column, the low ones the side.
    #[inline]
    pub fn pick(&self, bits: u32) -> u32 {
        let column = &self.columns[(bits >> self.shift) as usize];
        column.counts[usize::from(bits << (32 - self.shift) < column.own_below)]
    }
}

/// The smallest count that is kept and the weights from there, up to a common factor.
fn weights(mean: f64, dispersion: f64) -> (u32, Vec<f64>) {
    if mean == 0.0 {
        return (0, vec![1.0]);
    }
    // Ratio of neighbours, p(k+1)/p(k): Poisson m/(k+1); negative binomial (k+r)/(k+1)·q with r = m/(D-1) and
    // q = 1 - 1/D, that is (k·q + m/D)/(k+1), which has the Poisson as its limit without a special case.
    let q = 1.0 - 1.0 / dispersion;
    let ratio = |k: f64| (k * q + mean / dispersion) / (k + 1.0);
    // Outwards from near the mean, where nothing underflows however large the mean.
    let middle = mean.floor();
    let mut down = Vec::with_capacity(64);
    down.push(1.0);
    let (mut k, mut weight) = (middle, 1.0);
    while k > 0.0 && weight > LEAST_WEIGHT {
        weight /= ratio(k - 1.0);
        k -= 1.0;
        down.push(weight);
    }
    let first = k as u32;
    down.reverse();
    let (mut k, mut weight) = (middle, 1.0);
    while weight > LEAST_WEIGHT {
        weight *= ratio(k);
        k += 1.0;
        down.push(weight);
    }
    (first, down)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Probability of each count that the table really gives, from its columns.
    fn probabilities(counts: &Counts) -> Vec<(u32, f64)> {
        let share = 1.0 / counts.columns.len() as f64;
        let first = counts.columns[0].counts[1];
        let mut found = vec![0.0; counts.columns.len()];
        for column in &counts.columns {
            let own = f64::from(column.own_below) / 4_294_967_296.0;
            found[(column.counts[1] - first) as usize] += share * own;
            found[(column.counts[0] - first) as usize] += share * (1.0 - own);
        }
        (first..).zip(found).collect()
    }

    #[test]
    fn poisson_of_four_has_its_textbook_values() {
        // e^-4·4^k/k!: any table of the Poisson distribution.
        let table = probabilities(&Counts::new(4.0, 1.0).unwrap());
        for (k, p) in [(0, 0.018316), (1, 0.073263), (2, 0.146525), (4, 0.195367), (8, 0.029770)] {
            assert!((table[k].1 - p).abs() < 1e-6, "{k}: {} instead of {p}", table[k].1);
        }
    }

    #[test]
    fn nobody_comes_when_the_mean_is_nothing() {
        let counts = Counts::new(0.0, 2.0).unwrap();
        assert!([0, 1, u32::MAX / 2, u32::MAX].iter().all(|&bits| counts.pick(bits) == 0));
    }

    #[test]
    fn out_of_range_means_are_refused() {
        assert!(Counts::new(f64::NAN, 1.0).is_err());
        assert!(Counts::new(4.0, 0.5).is_err());
    }

    /// Sums of what is left out beyond one end of the table: probability, distance from the mean and its square. Beyond
    /// the end, `away` from the mean, each count is at most `ratio` times as likely as the one before.
    fn left_out(away: f64, ratio: f64) -> [f64; 3] {
        let (mut sums, mut weight) = ([0.0; 3], LEAST_WEIGHT);
        for step in 1..4000 {
            weight *= ratio;
            let off = away + f64::from(step);
            for (sum, part) in sums.iter_mut().zip([1.0, off, off * off]) {
                *sum += weight * part;
            }
        }
        sums
    }

    proptest! {
        // Means of every size alike: at small ones the rare counts carry most of the variance.
        #[test]
        fn the_table_keeps_mean_and_variance(decade in -2.0..2.5, dispersion in 1.0..DISPERSION_MAX) {
            let (mean, variance) = (10_f64.powf(decade), dispersion * 10_f64.powf(decade));
            let table = probabilities(&Counts::new(mean, dispersion).unwrap());
            let first: f64 = table.iter().map(|(k, p)| f64::from(*k) * p).sum();
            let second: f64 = table.iter().map(|(k, p)| (f64::from(*k) - first).powi(2) * p).sum();
            // What the table leaves out at either end, and what 2^-32 of a column moves across it.
            let (low, weights) = weights(mean, dispersion);
            let (low, high) = (f64::from(low), f64::from(low) + weights.len() as f64 - 1.0);
            let (q, part) = (1.0 - 1.0 / dispersion, mean / dispersion);
            let above = left_out(high - mean, q.max((high * q + part) / (high + 1.0)));
            let below = if low > 0.0 { left_out(mean - low, low / ((low - 1.0) * q + part)) } else { [0.0; 3] };
            let lost = [0, 1, 2].map(|power| above[power] + below[power]);
            let (width, bit) = (high - low, 2_f64.powi(-32));
            let near = lost[1] + mean * lost[0] + width * bit;
            prop_assert!((first - mean).abs() <= near, "mean {first} instead of {mean} within {near}");
            let near = lost[2] + variance * lost[0] + width * width * bit + near * near;
            prop_assert!((second - variance).abs() <= near, "variance {second} instead of {variance} within {near}");
            // At worst, a caller in a hundred days who never comes alone, the cut takes a quarter of a percent (computed).
            prop_assert!(second >= 0.99 * variance, "variance {second} instead of {variance}");
        }
    }
}
