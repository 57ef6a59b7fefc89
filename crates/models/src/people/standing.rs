//! Where callers stand: how far from the wall, and how far aside.

use quantity::normal::{self, Z90};

/// The spread of standing places.
///
/// The distance is a two-piece lognormal through three percentiles (`median exp(s z)`, with an `s` for each side of
/// the median): people come much nearer than the mean or stay much farther, never behind the wall. The sideways place
/// is normal around the origin of the door frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Standing {
    /// Median distance of the face from the wall, m.
    pub median_m: f64,
    /// Distance that 5 % of callers are nearer than, m.
    pub p5_m: f64,
    /// Distance that 95 % of callers are nearer than, m.
    pub p95_m: f64,
    /// Standard deviation sideways, m.
    pub sideways_sd_m: f64,
}

/// While pressing: face to wall 0.6 m (0.35..1.0), sideways 0.2 m; typical, from memory.
pub const PRESSING: Standing = Standing { median_m: 0.6, p5_m: 0.35, p95_m: 1.0, sideways_sd_m: 0.2 };

/// After the press, stepped back: 0.9 m (0.5..1.6), sideways 0.2 m; typical, from memory.
pub const WAITING: Standing = Standing { median_m: 0.9, p5_m: 0.5, p95_m: 1.6, sideways_sd_m: 0.2 };

impl Standing {
    /// Logarithmic spread below and above the median.
    pub fn log_spreads(&self) -> [f64; 2] {
        [(self.median_m / self.p5_m).ln() / Z90, (self.p95_m / self.median_m).ln() / Z90]
    }

    /// The distance that a share `p` of callers is nearer than, m.
    ///
    /// # Examples
    ///
    /// ```
    /// let pressing = models::people::standing::PRESSING;
    /// assert!((pressing.distance_quantile_m(0.95) - 1.0).abs() < 1e-12);
    /// assert_eq!(pressing.distance_quantile_m(0.5), 0.6);
    /// ```
    pub fn distance_quantile_m(&self, p: f64) -> f64 {
        let z = normal::quantile(p);
        let [below, above] = self.log_spreads();
        self.median_m * (z * if z < 0.0 { below } else { above }).exp()
    }
}
