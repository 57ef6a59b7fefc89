//! Distributions of a time: what one step of the chain may take.
//!
//! Only shapes that never go below zero: times are skewed, and "2 s ± 2 s" would promise to be early.

use crate::out_of_range::OutOfRange;
use quantity::normal::{self, Z90, Z95};

/// How long something takes, s.
///
/// `a (b..c)` of the trade is [`Dist::TwoPiece`] with 5, 50 and 95 %.
#[derive(Debug, Clone, PartialEq)]
pub enum Dist {
    /// Always the same.
    Point(f64),
    /// Every time between equally likely.
    Uniform {
        /// Shortest, s.
        low: f64,
        /// Longest, s.
        high: f64,
    },
    /// Lognormal.
    LogNormal {
        /// Half take longer, s.
        median: f64,
        /// 95 % lie between `median / factor95` and `median · factor95`; above 1.
        factor95: f64,
    },
    /// Two lognormal halves that meet at the median: sigma = ln(p95/p50)/1.645 above, alike below.
    TwoPiece {
        /// 5 % are faster, s.
        p5: f64,
        /// Median, s.
        p50: f64,
        /// 5 % are slower, s.
        p95: f64,
    },
    /// One of several with these shares. Shares that sum to less than 1 leave a rest that *never* happens.
    Mixture(Vec<(f64, Dist)>),
}

/// Longest time that is told from never, s: a year.
const LONGEST_S: f64 = 3.2e7;

impl Dist {
    /// Lognormal whose 5 % and 95 % are these times, s.
    pub fn between(p5: f64, p95: f64) -> Self {
        Self::TwoPiece { p5, p50: (p5 * p95).sqrt(), p95 }
    }

    /// Checks that all numbers make sense, so that nothing below can fail.
    ///
    /// # Errors
    /// [`OutOfRange`] names the first number that does not.
    pub fn check(&self) -> Result<(), OutOfRange> {
        let time = |what, value, low| OutOfRange::check(what, value, low, LONGEST_S);
        match self {
            Self::Point(time_s) => time("time_s", *time_s, 0.0).map(drop),
            Self::Uniform { low, high } => {
                time("low_s", *low, 0.0)?;
                time("high_s", *high, *low).map(drop)
            }
            Self::LogNormal { median, factor95 } => {
                time("median_s", *median, f64::MIN_POSITIVE)?;
                OutOfRange::check("factor95", *factor95, 1.0, 1e6).map(drop)
            }
            Self::TwoPiece { p5, p50, p95 } => {
                time("p5_s", *p5, f64::MIN_POSITIVE)?;
                time("p50_s", *p50, *p5)?;
                time("p95_s", *p95, *p50).map(drop)
            }
            Self::Mixture(parts) => {
                let mut sum = 0.0;
                for (share, part) in parts {
                    sum += OutOfRange::check("share", *share, 0.0, 1.0)?;
                    part.check()?;
                }
                // Shares are sums of decimals; their last digits may stick out.
                OutOfRange::check("sum of shares", sum, 0.0, 1.0 + 1e-9).map(drop)
            }
        }
    }

    /// The same, `factor` times as long.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        match self {
            Self::Point(time_s) => Self::Point(time_s * factor),
            Self::Uniform { low, high } => Self::Uniform { low: low * factor, high: high * factor },
            Self::LogNormal { median, factor95 } => {
                Self::LogNormal { median: median * factor, factor95: *factor95 }
            }
            Self::TwoPiece { p5, p50, p95 } => {
                Self::TwoPiece { p5: p5 * factor, p50: p50 * factor, p95: p95 * factor }
            }
            Self::Mixture(parts) => {
                Self::Mixture(parts.iter().map(|(share, part)| (*share, part.scaled(factor))).collect())
            }
        }
    }

    /// Probability of at most `time_s`.
    ///
    /// By hand: of `0.5 | 1.5 | 8 s`, half are done after 1.5 s and 95 % after 8 s.
    ///
    /// ```
    /// use models::timing::dist::Dist;
    /// let push = Dist::TwoPiece { p5: 0.5, p50: 1.5, p95: 8.0 };
    /// assert!((push.cdf(1.5) - 0.5).abs() < 1e-12 && (push.cdf(8.0) - 0.95).abs() < 1e-12);
    /// ```
    pub fn cdf(&self, time_s: f64) -> f64 {
        match self {
            Self::Point(at_s) => f64::from(u8::from(time_s >= *at_s)),
            Self::Uniform { low, high } if high > low => ((time_s - low) / (high - low)).clamp(0.0, 1.0),
            Self::Uniform { low, .. } => f64::from(u8::from(time_s >= *low)),
            Self::LogNormal { .. } | Self::TwoPiece { .. } => {
                let halves = self.halves();
                if time_s <= 0.0 {
                    return 0.0;
                }
                let away = (time_s / halves.median).ln();
                let sigma = if away < 0.0 { halves.below } else { halves.above };
                if sigma > 0.0 { normal::cdf(away / sigma) } else { f64::from(u8::from(away >= 0.0)) }
            }
            Self::Mixture(parts) => parts.iter().map(|(share, part)| share * part.cdf(time_s)).sum(),
        }
    }

    /// The time within which a share `u` (0 to 1) is done, s; infinite where that share never is.
    pub fn quantile(&self, u: f64) -> f64 {
        match self {
            Self::Point(at_s) => *at_s,
            Self::Uniform { low, high } => low + (high - low) * u,
            Self::LogNormal { .. } | Self::TwoPiece { .. } => {
                let halves = self.halves();
                let z = normal::quantile(u);
                let sigma = if z < 0.0 { halves.below } else { halves.above };
                // A side without width stays at the median, also at u = 0 or 1 where z is infinite.
                if sigma > 0.0 { halves.median * (sigma * z).exp() } else { halves.median }
            }
            Self::Mixture(parts) => {
                let known: f64 = parts.iter().map(|part| part.0).sum();
                if u >= known && known < 1.0 - 1e-9 {
                    return f64::INFINITY;
                }
                let at = |(_, part): &(f64, Self)| part.quantile(u);
                let used = || parts.iter().filter(|part| part.0 > 0.0);
                // Between the fastest and the slowest part's quantile; an incomplete mixture may lie above all.
                let mut low = used().map(at).fold(f64::INFINITY, f64::min);
                let mut high = used().map(at).fold(0.0, f64::max);
                while high < LONGEST_S && self.cdf(high) < u {
                    high = 2.0 * high.max(1e-3);
                }
                for _ in 0..200 {
                    let mid = 0.5 * (low + high);
                    if mid <= low || mid >= high {
                        break;
                    }
                    if self.cdf(mid) < u { low = mid } else { high = mid }
                }
                high
            }
        }
    }

    /// Mean of what does happen, s.
    ///
    /// Source: lognormal moments E\[e^(sz); z < c\] = e^(s²/2)·Φ(c − s) (textbook, from memory).
    pub fn mean_s(&self) -> f64 {
        match self {
            Self::Point(at_s) => *at_s,
            Self::Uniform { low, high } => low.midpoint(*high),
            Self::LogNormal { .. } | Self::TwoPiece { .. } => self.halves().moment(1.0),
            Self::Mixture(parts) => {
                let known: f64 = parts.iter().map(|part| part.0).sum();
                parts.iter().map(|(share, part)| share * part.mean_s()).sum::<f64>() / known
            }
        }
    }

    /// Median and sigma of the logarithm on both sides; a point has none.
    pub(super) fn halves(&self) -> Halves {
        match *self {
            Self::LogNormal { median, factor95 } => {
                let sigma = factor95.ln() / Z95;
                Halves { median, below: sigma, above: sigma }
            }
            Self::TwoPiece { p5, p50, p95 } => {
                Halves { median: p50, below: (p50 / p5).ln() / Z90, above: (p95 / p50).ln() / Z90 }
            }
            _ => Halves { median: self.mean_s(), below: 0.0, above: 0.0 },
        }
    }
}

/// Two lognormal halves.
#[derive(Debug, Clone, Copy)]
pub(super) struct Halves {
    pub(super) median: f64,
    pub(super) below: f64,
    pub(super) above: f64,
}

impl Halves {
    /// E[x^k] of one half alone, over its half of the probability (so 1/2 for k = 0).
    pub(super) fn part(&self, k: f64, upper: bool) -> f64 {
        let (sigma, sign) = if upper { (self.above, 1.0) } else { (self.below, -1.0) };
        self.median.powf(k) * ((k * sigma).powi(2) / 2.0).exp() * normal::cdf(sign * k * sigma)
    }

    fn moment(&self, k: f64) -> f64 {
        self.part(k, false) + self.part(k, true)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shapes() -> Vec<Dist> {
        vec![
            Dist::Uniform { low: 0.2, high: 0.9 },
            Dist::LogNormal { median: 2.0, factor95: 1.8 },
            Dist::TwoPiece { p5: 0.5, p50: 1.5, p95: 8.0 },
            Dist::Mixture(vec![
                (0.97, Dist::TwoPiece { p5: 1.6, p50: 3.0, p95: 7.0 }),
                (0.03, Dist::Uniform { low: 10.0, high: 40.0 }),
            ]),
        ]
    }

    #[test]
    fn quantile_undoes_cdf_and_the_mean_is_the_area_of_the_quantiles() {
        for dist in shapes() {
            dist.check().unwrap();
            let steps = 40_000;
            let mut area = 0.0;
            for i in 0..steps {
                let u = (f64::from(i) + 0.5) / f64::from(steps);
                let time_s = dist.quantile(u);
                area += time_s / f64::from(steps);
                assert!(i % 97 != 0 || (dist.cdf(time_s) - u).abs() < 1e-9, "{dist:?} at {u}");
            }
            // The midpoint rule leaves out half of the last cell's tail: 1/80,000 of probability far out.
            assert!((area / dist.mean_s() - 1.0).abs() < 1e-3, "{dist:?}: {area} {}", dist.mean_s());
        }
    }

    #[test]
    fn the_rest_of_a_mixture_never_happens() {
        let lossy = Dist::Mixture(vec![(0.9, Dist::Point(1.0))]);
        assert_eq!(lossy.quantile(0.95), f64::INFINITY);
        assert_eq!(lossy.quantile(0.5), 1.0);
        assert_eq!(lossy.cdf(1e9), 0.9);
        assert_eq!(lossy.mean_s(), 1.0);
    }

    #[test]
    fn nonsense_is_named() {
        let what = |dist: Dist| dist.check().unwrap_err().what;
        assert_eq!(what(Dist::Point(-1.0)), "time_s");
        assert_eq!(what(Dist::Uniform { low: 2.0, high: 1.0 }), "high_s");
        assert_eq!(what(Dist::TwoPiece { p5: 1.0, p50: f64::NAN, p95: 2.0 }), "p50_s");
        assert_eq!(
            what(Dist::Mixture(vec![(0.7, Dist::Point(1.0)), (0.7, Dist::Point(1.0))])),
            "sum of shares"
        );
    }
}
