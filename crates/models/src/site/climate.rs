//! The few numbers that describe a site's climate, and what to assume when only its latitude is known.
//!
//! Every default here is typical, from memory: a smooth curve through what such places have. Coasts, mountains,
//! monsoons and deserts differ; the plan may set each number.

use crate::out_of_range::OutOfRange;

/// A climate in ten numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Climate {
    /// Yearly mean temperature, °C.
    pub mean_c: f64,
    /// Half the difference between the warmest and the coldest time of year, K. Never negative: the hemisphere decides
    /// which is when.
    pub season_k: f64,
    /// Half the difference between afternoon and dawn on a cloudless day, K.
    pub swing_k: f64,
    /// Standard deviation of the daily mean around its season, K.
    pub weather_k: f64,
    /// Yearly mean share of the sky that is covered, 0.05 to 0.95.
    pub cloud: f64,
    /// How much cloudier midwinter is than the mean, -0.4 to 0.4.
    pub cloud_season: f64,
    /// Share of hours with rain or snow, 0 to 0.5.
    pub rain: f64,
    /// Mean wind, m/s.
    pub wind_m_s: f64,
    /// Linke turbidity of the clear sky.
    pub turbidity: f64,
    /// How far the dew point lies below the dawn temperature, K: 0 in humid places, 3 or more in dry ones.
    pub dry_k: f64,
}

impl Climate {
    /// What to assume of a place of which only latitude and height are known.
    ///
    /// Source: typical, from memory. By hand, 50° north at sea level: mean 27 - 0.0068·50² = 10 °C, season
    /// 1 + 0.17·50 = 9.5 K.
    ///
    /// ```
    /// let here = models::site::climate::Climate::by_latitude(50_f64.to_radians(), 0.0);
    /// assert!((here.mean_c - 10.0).abs() < 0.01 && (here.season_k - 9.5).abs() < 0.01);
    /// ```
    pub fn by_latitude(latitude_rad: f64, altitude_m: f64) -> Self {
        let deg = latitude_rad.to_degrees().abs().min(90.0);
        Self {
            // 6.5 K a kilometre: the standard atmosphere's lapse rate.
            mean_c: 27.0 - 0.0068 * deg * deg - 0.0065 * altitude_m,
            season_k: 1.0 + 0.17 * deg,
            swing_k: 6.0,
            weather_k: 0.8 + 0.055 * deg,
            cloud: through(
                &[(0.0, 0.60), (25.0, 0.42), (40.0, 0.53), (52.0, 0.66), (65.0, 0.68), (90.0, 0.66)],
                deg,
            ),
            cloud_season: through(
                &[(0.0, 0.0), (25.0, 0.0), (40.0, 0.12), (52.0, 0.11), (65.0, 0.05), (90.0, -0.1)],
                deg,
            ),
            rain: through(&[(0.0, 0.08), (25.0, 0.03), (40.0, 0.05), (52.0, 0.08), (90.0, 0.08)], deg),
            wind_m_s: 2.5,
            turbidity: through(&[(0.0, 4.0), (40.0, 3.2), (60.0, 2.8), (90.0, 2.2)], deg),
            dry_k: through(&[(0.0, 0.0), (25.0, 2.0), (45.0, 0.5), (90.0, 0.0)], deg),
        }
    }

    /// The same climate, if every number lies where the model holds.
    ///
    /// # Errors
    /// [`OutOfRange`] names the first number that does not.
    pub fn check(self) -> Result<Self, OutOfRange> {
        let within = OutOfRange::check;
        within("mean_c", self.mean_c, -60.0, 45.0)?;
        within("season_k", self.season_k, 0.0, 40.0)?;
        within("swing_k", self.swing_k, 0.0, 20.0)?;
        within("weather_k", self.weather_k, 0.0, 15.0)?;
        within("cloud", self.cloud, 0.05, 0.95)?;
        within("cloud_season", self.cloud_season, -0.4, 0.4)?;
        within("rain", self.rain, 0.0, 0.5)?;
        within("wind_m_s", self.wind_m_s, 0.0, 20.0)?;
        within("turbidity", self.turbidity, 1.0, 10.0)?;
        within("dry_k", self.dry_k, 0.0, 30.0)?;
        Ok(self)
    }
}

/// Straight lines through points; flat outside.
fn through(points: &[(f64, f64)], x: f64) -> f64 {
    let mut y = points[0].1;
    for pair in points.windows(2) {
        let ((x0, y0), (x1, y1)) = (pair[0], pair[1]);
        if x >= x0 {
            y = y0 + (y1 - y0) * ((x - x0) / (x1 - x0)).min(1.0);
        }
    }
    y
}
