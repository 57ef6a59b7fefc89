//! How often noise alone goes as deep as a threshold, far beyond what a recording has shown.
//!
//! Peaks over a threshold: what exceeds a high level, one peak a cluster, follows a generalised Pareto law (Pickands, *Ann.
//! Statist.* 3 (1975) 119; Davison and Smith, *J. R. Statist. Soc. B* 52 (1990) 393; from memory). Its two numbers are not
//! estimated but weighed: every pair on a grid by its likelihood, the shape from -0.5 to 0.5 alike, the scale alike in its
//! logarithm, the rate of clusters by its gamma law. So a tail that seems to end short of the threshold (a negative shape)
//! still has an upper bound, and the interval is never empty.

/// Shapes that are weighed: lighter tails end abruptly, heavier ones have no variance. Ours.
const SHAPES: (f64, f64) = (-0.5, 0.5);
const SHAPE_STEPS: usize = 41;
const SCALE_STEPS: usize = 61;
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
        let (mut beyond, mut samples) = (Vec::new(), 0_usize);
        let (mut peak, mut below) = (0.0_f64, usize::MAX);
        for depth in depths {
            samples += 1;
            let over = f64::from(depth) - level;
            if over > 0.0 {
                peak = peak.max(over);
                below = 0;
            } else if peak > 0.0 {
                below += 1;
                if below >= apart.max(1) {
                    beyond.push(peak);
                    peak = 0.0;
                }
            }
        }
        if peak > 0.0 {
            beyond.push(peak);
        }
        Self { level, beyond, span_s: samples as f64 * period_s }
    }
}

impl Tail {
    /// Weighs the tail that the peaks tell; `None` for fewer than ten peaks or no time.
    pub fn of(peaks: &Peaks) -> Option<Self> {
        let count = peaks.beyond.len();
        if count < 10 || peaks.span_s.is_nan() || peaks.span_s <= 0.0 {
            return None;
        }
        let mean = peaks.beyond.iter().sum::<f64>() / count as f64;
        let deepest = peaks.beyond.iter().copied().fold(0.0, f64::max);
        // Six standard errors of the scale of an exponential law to either side, and no less than a factor of two.
        let reach = (6.0 / (count as f64).sqrt()).max(2.0_f64.ln()) + 0.5;
        let mut pairs = Vec::with_capacity(SHAPE_STEPS * SCALE_STEPS);
        for i in 0..SHAPE_STEPS {
            let shape = SHAPES.0 + (SHAPES.1 - SHAPES.0) * i as f64 / (SHAPE_STEPS - 1) as f64;
            for j in 0..SCALE_STEPS {
                let scale = mean * (reach * (2.0 * j as f64 / (SCALE_STEPS - 1) as f64 - 1.0)).exp();
                if 1.0 + shape * deepest / scale > 0.0 {
                    pairs.push((scale, shape, log_likelihood(&peaks.beyond, scale, shape)));
                }
            }
        }
        let best = pairs.iter().map(|pair| pair.2).fold(f64::NEG_INFINITY, f64::max);
        let sum: f64 = pairs.iter().map(|pair| (pair.2 - best).exp()).sum();
        for pair in &mut pairs {
            pair.2 = (pair.2 - best).exp() / sum;
        }
        let rates_1_s = (0..RATE_STEPS)
            .map(|i| gamma_quantile(count as f64 + 0.5, (i as f64 + 0.5) / RATE_STEPS as f64) / peaks.span_s)
            .collect();
        Some(Self { level: peaks.level, pairs, rates_1_s })
    }

    /// How often a cluster goes deeper than `depth`, per second; `depth` at least the level.
    pub fn rate_1_s(&self, depth: f64) -> Interval {
        let mut rates: Vec<(f64, f64)> = Vec::with_capacity(self.pairs.len() * RATE_STEPS);
        for &(scale, shape, weight) in &self.pairs {
            let share = beyond(depth - self.level, scale, shape);
            for rate in &self.rates_1_s {
                rates.push((rate * share, weight / RATE_STEPS as f64));
            }
        }
        let told = interval(rates);
        // Where nearly all of the weight lies on tails that end short of this depth, the mean of the rest is the bound.
        Interval { high: told.high.max(told.value), ..told }
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

/// Share of peaks that lie farther than `over` beyond the level.
fn beyond(over: f64, scale: f64, shape: f64) -> f64 {
    if over <= 0.0 {
        return 1.0;
    }
    if shape.abs() < 1e-9 {
        return (-over / scale).exp();
    }
    let base = 1.0 + shape * over / scale;
    if base <= 0.0 { 0.0 } else { base.powf(-1.0 / shape) }
}

fn log_likelihood(beyond: &[f64], scale: f64, shape: f64) -> f64 {
    let sum: f64 = if shape.abs() < 1e-9 {
        beyond.iter().map(|over| over / scale).sum()
    } else {
        (1.0 + 1.0 / shape) * beyond.iter().map(|over| (shape * over / scale).ln_1p()).sum::<f64>()
    };
    -(beyond.len() as f64) * scale.ln() - sum
}

/// Quantile of a gamma law of shape `a` and scale 1, by Wilson and Hilferty's cube root (*Proc. Nat. Acad. Sci.* 17
/// (1931) 684, from memory): within 1 % from a = 10 on.
fn gamma_quantile(a: f64, p: f64) -> f64 {
    let z = quantity::normal::quantile(p);
    a * (1.0 - 1.0 / (9.0 * a) + z / (3.0 * a.sqrt())).powi(3)
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
    fn few_peaks_tell_no_tail() {
        assert_eq!(Tail::of(&Peaks { level: 1.0, beyond: vec![1.0; 9], span_s: 10.0 }), None);
    }
}
