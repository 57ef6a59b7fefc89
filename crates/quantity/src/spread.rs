//! What is not known about a value, and its quantiles.
//!
//! Each kind is one monotone function of a uniform `u`; a draw is `at(u)`. A spread is cut at the range of its field
//! by renormalising, never by clamping: clamping would heap probability on the ends. Nothing here draws random numbers.

use crate::normal::{self, Z90, Z95};

/// How a value may differ from its median; every number in the unit of the value.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Spread {
    /// Known, or not meant to vary.
    Exact,
    /// `a ± b`: normal, 95 % within ±b, so `sigma` = b / 1.959964.
    Normal {
        /// Standard deviation, above 0.
        sigma: f64,
    },
    /// `a .. b`: every value between equally likely.
    Uniform {
        /// Least value.
        low: f64,
        /// Greatest value, above `low`.
        high: f64,
    },
    /// `a x/ f`: lognormal, 95 % between a/f and a·f.
    LogNormal {
        /// The factor f, above 1.
        factor95: f64,
    },
    /// `p5 | a | p95`: two lognormal halves that meet at the median; sigma = ln(p95/a)/1.644854 above, alike below.
    TwoPiece {
        /// 5 % lie below; between 0 and the value.
        p5: f64,
        /// 5 % lie above; above the value.
        p95: f64,
    },
    /// `typ a max b`: lognormal with median a and 3 sigma at b, cut at b.
    TypMax {
        /// No part is above it; above the value.
        max: f64,
    },
}

impl Spread {
    /// Whether every draw is the value itself.
    pub fn is_exact(&self) -> bool {
        matches!(self, Self::Exact)
    }

    /// The value with probability `u` below it, cut at `range` (both ends may be infinite).
    ///
    /// Monotone in `u`, finite for 0 < u < 1, inside `range`. [`Spread::Exact`] gives `value` whatever the range is.
    /// Where the range leaves no probability at all (beyond 38 sigma) the nearer end is given. For many `u` prepare a
    /// [`Sampler`] once.
    pub fn quantile(&self, value: f64, range: (f64, f64), u: f64) -> f64 {
        self.sampler(value, range).at(u)
    }

    /// The quantile function of a value with this spread, prepared; see [`Spread::quantile`].
    pub fn sampler(&self, value: f64, range: (f64, f64)) -> Sampler {
        let (low, high) = range;
        let shape = match *self {
            Self::Exact => return Sampler::point(value),
            Self::Uniform { low: a, high: b } => {
                // Two points outside the range fall on its nearer end: the honest answer to a spread without room.
                let (from, to) = (within(a, low, high), within(b, low, high));
                return Sampler {
                    shape: Shape::Line,
                    mid: from,
                    above: to - from,
                    low: from,
                    high: to,
                    ..POINT
                };
            }
            Self::Normal { sigma } => (Shape::Normal, sigma, sigma, high),
            Self::LogNormal { factor95 } => {
                let s = factor95.ln() / Z95;
                (Shape::Log, s, s, high)
            }
            Self::TwoPiece { p5, p95 } => {
                (Shape::Log, (value / p5).ln() / Z90, (p95 / value).ln() / Z90, high)
            }
            Self::TypMax { max } => {
                let s = (max / value).ln() / 3.0;
                (Shape::Log, s, s, high.min(max))
            }
        };
        Sampler::prepared(shape.0, value, (shape.1, shape.2), (low, shape.3))
    }

    /// Mean of the whole (not cut) distribution around median `value`.
    pub fn mean(&self, value: f64) -> f64 {
        match self {
            Self::Exact | Self::Normal { .. } => value,
            Self::Uniform { low, high } => low.midpoint(*high),
            _ => self.log_moment(value, 1.0),
        }
    }

    /// Standard deviation of the distribution around median `value`, in its unit, before any cut at a range
    /// (`typ .. max ..` is cut at max).
    ///
    /// # Source
    ///
    /// Closed forms: uniform (b − a)/√12; lognormal moments E\[e^(ksz); z < c\] = e^(k²s²/2) Φ(c − ks) (textbook, from
    /// memory; the tests integrate the quantile function instead).
    pub fn sd(&self, value: f64) -> f64 {
        match self {
            Self::Exact => 0.0,
            Self::Normal { sigma } => *sigma,
            Self::Uniform { low, high } => (high - low) / 12f64.sqrt(),
            _ => {
                let mean = self.log_moment(value, 1.0);
                (self.log_moment(value, 2.0) - mean * mean).max(0.0).sqrt()
            }
        }
    }

    /// E[x^k] of the lognormal kinds.
    fn log_moment(&self, value: f64, k: f64) -> f64 {
        let half = |s: f64| ((k * s).powi(2) / 2.0).exp();
        value.powf(k)
            * match *self {
                Self::LogNormal { factor95 } => half(factor95.ln() / Z95),
                Self::TwoPiece { p5, p95 } => {
                    let (below, above) = ((value / p5).ln() / Z90, (p95 / value).ln() / Z90);
                    half(below) * normal::cdf(-k * below) + half(above) * normal::cdf(k * above)
                }
                Self::TypMax { max } => {
                    let s = (max / value).ln() / 3.0;
                    half(s) * normal::cdf(3.0 - k * s) / normal::cdf(3.0)
                }
                _ => 1.0,
            }
    }
}

/// The quantile function of one value, with everything that does not depend on `u` done once.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Sampler {
    shape: Shape,
    /// Median; for a line its start.
    mid: f64,
    /// Sigma below and above the median (of the logarithm for `Log`); `above` is the length of a line.
    below: f64,
    above: f64,
    /// Probability at u = 0 and its change up to u = 1, of the upper tail where `sign` is −1.
    from: f64,
    step: f64,
    sign: f64,
    low: f64,
    high: f64,
}

#[derive(Clone, Copy, PartialEq, Debug)]
enum Shape {
    Point,
    Line,
    Normal,
    Log,
}

const POINT: Sampler = Sampler {
    shape: Shape::Point,
    mid: 0.0,
    below: 0.0,
    above: 0.0,
    from: 0.0,
    step: 0.0,
    sign: 1.0,
    low: 0.0,
    high: 0.0,
};

impl Sampler {
    fn point(value: f64) -> Self {
        Self { mid: value, ..POINT }
    }

    fn prepared(shape: Shape, mid: f64, (below, above): (f64, f64), (low, high): (f64, f64)) -> Self {
        let z_of = |x: f64| {
            let away = match shape {
                Shape::Log if x <= 0.0 => f64::NEG_INFINITY,
                Shape::Log => (x / mid).ln(),
                _ => x - mid,
            };
            away / if away < 0.0 { below } else { above }
        };
        let (z_low, z_high) = (z_of(low), z_of(high));
        // A range wholly above the median is measured in upper tails, where small areas keep their digits.
        let sign = if z_low > 0.0 { -1.0 } else { 1.0 };
        let (from, to) = if sign > 0.0 {
            (normal::cdf(z_low), normal::cdf(z_high))
        } else {
            (normal::cdf(-z_low), normal::cdf(-z_high))
        };
        let step = to - from;
        if step * sign > 0.0 {
            Self { shape, mid, below, above, from, step, sign, low, high }
        } else {
            // NaN (a spread that was not made by `parse`) ends here too.
            Self::point(within(mid, low, high))
        }
    }

    /// The value with probability `u` (0 to 1, ends excluded) below it.
    #[inline]
    pub fn at(&self, u: f64) -> f64 {
        let x = match self.shape {
            Shape::Point => return self.mid,
            Shape::Line => self.mid + self.above * u,
            Shape::Normal | Shape::Log => {
                let p = (self.from + self.step * u).clamp(f64::MIN_POSITIVE, 1.0 - f64::EPSILON / 2.0);
                let z = self.sign * normal::quantile(p);
                let away = z * if z < 0.0 { self.below } else { self.above };
                if self.shape == Shape::Log { self.mid * away.exp() } else { self.mid + away }
            }
        };
        // Rounding only: the probability already ends at the range.
        within(x, self.low, self.high)
    }
}

/// `f64::clamp` without its panic on a reversed or NaN interval. The lower end has the last word: it belongs to the
/// range, while the upper one may be a `max` below the whole range.
#[inline]
fn within(x: f64, low: f64, high: f64) -> f64 {
    x.min(high).max(low)
}
