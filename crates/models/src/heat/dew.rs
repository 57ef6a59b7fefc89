//! Dew on the window: hours of a year in which it is colder than the dew point, and the heat that ends them.
//!
//! A window that looks at a clear sky radiates more than it gets and falls below the air; at high humidity it then fogs. T =
//! T_air - ε·σ·(T_air⁴ - T_sky⁴)·F/h + P·R (trade.md `heat.dew`). A warm station's window stays dry, a sleeping one's does
//! not. Left out: the window's mass (minutes), drops that stay after the dew point has passed, dirt that attracts them.

use super::radiation::{black_w_m2, sky_c};
use crate::out_of_range::OutOfRange;
use crate::site::year::Year;

/// Dew point of air at `air_c` and relative humidity `humidity` (0 to 1), °C.
///
/// Magnus form over water with 17.62 and 243.12 °C: WMO-No. 8, annex 4.B (from memory). Below 0 °C it is the point at which
/// frost or undercooled dew appears, within 2 K.
///
/// By hand, 10 °C and 90 %: γ = ln 0.9 + 17.62·10/253.12 = 0.5907, dew at 243.12·0.5907/(17.62 - 0.5907) = 8.4 °C.
///
/// ```
/// assert!((models::heat::dew::dew_point_c(10.0, 0.9) - 8.43).abs() < 0.02);
/// ```
pub fn dew_point_c(air_c: f64, humidity: f64) -> f64 {
    let gamma = humidity.clamp(1e-3, 1.0).ln() + 17.62 * air_c / (243.12 + air_c);
    243.12 * gamma / (17.62 - gamma)
}

/// A window in front of the lens.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    /// Infrared emittance, 0 to 1: glass and clear plastic 0.9 (typical, from memory).
    pub emissivity: f64,
    /// Share of what it faces that is open sky: 0.5 on a free wall, 0.1 under an overhang.
    pub sky_view: f64,
    /// Convection and radiation together, W/(m² K), 3 to 100: 11 (trade.md's example follows with it, computed).
    pub film_w_m2k: f64,
    /// Kelvin for a watt of heat into the window, K/W, above 0; [`Self::rise_k_w`] of its area for a ring heater.
    pub rise_k_w: f64,
}

impl Window {
    /// A round window whose front face alone loses what a ring heater gives: 1/(h·A), K/W.
    ///
    /// By hand, 15 mm radius at 11: 1/(11·7.07 cm²) = 129 K/W, so 100 mW lift it by 13 K at most.
    pub fn rise_k_w(radius_m: f64, film_w_m2k: f64) -> f64 {
        1.0 / (film_w_m2k * std::f64::consts::PI * radius_m * radius_m)
    }

    /// Temperature with `heat_w` into it, °C.
    pub fn at_c(&self, air_c: f64, cloud: f64, heat_w: f64) -> f64 {
        let lost_w_m2 =
            self.emissivity * self.sky_view * (black_w_m2(air_c) - black_w_m2(sky_c(air_c, cloud)));
        air_c - lost_w_m2 / self.film_w_m2k + heat_w * self.rise_k_w
    }

    /// Dew over a year with `heat_w` into the window all the time.
    ///
    /// # Errors
    /// [`OutOfRange`] names a property of the window.
    pub fn year(&self, year: &Year, heat_w: f64) -> Result<Dew, OutOfRange> {
        let within = OutOfRange::check;
        within("emissivity", self.emissivity, 0.0, 1.0)?;
        within("sky_view", self.sky_view, 0.0, 1.0)?;
        within("film_w_m2k", self.film_w_m2k, 3.0, 100.0)?;
        within("rise_k_w", self.rise_k_w, 1e-3, 1e6)?;
        within("heat_w", heat_w, 0.0, 100.0)?;
        let mut short_k: Vec<f64> = year
            .temperature_c
            .iter()
            .zip(&year.cloud)
            .zip(&year.humidity)
            .map(|((air_c, cloud), humidity)| {
                dew_point_c(*air_c, *humidity) - self.at_c(*air_c, *cloud, heat_w)
            })
            .filter(|short_k| *short_k > 0.0)
            .collect();
        short_k.sort_by(|a, b| b.total_cmp(a));
        Ok(Dew { short_k, rise_k_w: self.rise_k_w })
    }
}

/// The hours of dew in one year.
#[derive(Clone, Debug, PartialEq)]
pub struct Dew {
    /// How far below the dew point, K, the worst hour first.
    short_k: Vec<f64>,
    rise_k_w: f64,
}

impl Dew {
    /// Hours with dew.
    pub fn hours(&self) -> usize {
        self.short_k.len()
    }

    /// The worst hour's shortfall, K; 0 without dew.
    pub fn worst_k(&self) -> f64 {
        self.short_k.first().copied().unwrap_or(0.0)
    }

    /// Heat into the window that leaves at most `hours` of dew a year, W. 0 hours asks for all.
    pub fn heater_w(&self, hours: usize) -> f64 {
        self.short_k.get(hours).map_or(0.0, |short_k| short_k / self.rise_k_w)
    }
}
