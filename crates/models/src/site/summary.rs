//! What budgets ask of a year: days, months, a plane's harvest, the hottest and the coldest day.
//!
//! Days are slices of 24 hours of local standard time, counted from 0; months from 0 (January) to 11.

use super::year::Year;
use super::{DAYS, MONTH_STARTS};
use crate::sun::plane::{Plane, parts};

/// What stands before a plane: a horizon that hides the beam, and a share of all light that is lost.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shade {
    /// The beam reaches the plane only from above this height.
    pub horizon_rad: f64,
    /// Share of sky, ground and beam that comes through, 0 to 1 (leaves, dirt, a canopy).
    pub open: f64,
}

impl Shade {
    /// Nothing in the way.
    pub const NONE: Self = Self { horizon_rad: 0.0, open: 1.0 };
}

/// A plane's harvest over one month.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct MonthHarvest {
    /// Mean of a day, Wh/m².
    pub wh_m2_day: f64,
    /// Share of it that falls while the air is above 0 °C: what a lithium cell outdoors may take.
    pub above_freezing: f64,
}

impl Year {
    /// Mean temperature of each day, °C.
    pub fn daily_mean_c(&self) -> Vec<f64> {
        self.temperature_c.chunks_exact(24).map(|day| day.iter().sum::<f64>() / 24.0).collect()
    }

    /// Lowest temperature of each day, °C.
    pub fn daily_min_c(&self) -> Vec<f64> {
        self.temperature_c
            .chunks_exact(24)
            .map(|day| day.iter().copied().fold(f64::INFINITY, f64::min))
            .collect()
    }

    /// Irradiance on a plane in every hour, W/m².
    pub fn on_plane_w_m2(&self, plane: &Plane, shade: &Shade) -> Vec<f64> {
        let normal = plane.normal();
        let sky_view = plane.sky_view();
        let least_up = shade.horizon_rad.sin();
        self.light
            .iter()
            .zip(self.clear.hours())
            .map(|(light, clear)| {
                if light.global_w_m2 <= 0.0 {
                    return 0.0;
                }
                let mut on = parts(&normal, sky_view, plane.albedo, clear.sun, light);
                if clear.sun[2] < least_up {
                    on.beam_w_m2 = 0.0;
                }
                on.total_w_m2() * shade.open
            })
            .collect()
    }

    /// Energy on a plane in each day, Wh/m².
    pub fn daily_wh_m2(&self, plane: &Plane, shade: &Shade) -> Vec<f64> {
        self.on_plane_w_m2(plane, shade).chunks_exact(24).map(|day| day.iter().sum()).collect()
    }

    /// Harvest of each month, and how much of it comes while the air is above freezing.
    pub fn harvest(&self, plane: &Plane, shade: &Shade) -> [MonthHarvest; 12] {
        let light = self.on_plane_w_m2(plane, shade);
        std::array::from_fn(|month| {
            let days = MONTH_STARTS[month]..MONTH_STARTS[month + 1];
            let hours = days.start * 24..days.end * 24;
            let (mut all, mut warm) = (0.0, 0.0);
            for (light, air_c) in light[hours.clone()].iter().zip(&self.temperature_c[hours]) {
                all += light;
                if *air_c > 0.0 {
                    warm += light;
                }
            }
            MonthHarvest {
                wh_m2_day: all / days.len() as f64,
                above_freezing: if all > 0.0 { warm / all } else { 0.0 },
            }
        })
    }

    /// The day that heats a sunlit surface most: its hour with the highest `air + k_per_w_m2 · irradiance` is the
    /// year's highest.
    ///
    /// - `light_w_m2`: irradiance on the surface, from [`Self::on_plane_w_m2`].
    /// - `k_per_w_m2`: absorptance over outer heat transfer, 0.09 for a dark case (0.92 / 10, trade.md §3); 0 asks for
    ///   the hottest air.
    pub fn hottest_day(&self, light_w_m2: &[f64], k_per_w_m2: f64) -> usize {
        let hot = self.temperature_c.iter().zip(light_w_m2).map(|(air, light)| air + k_per_w_m2 * light);
        highest(hot) / 24
    }

    /// The day with the year's coldest hour.
    pub fn coldest_day(&self) -> usize {
        highest(self.temperature_c.iter().map(|c| -c)) / 24
    }

    /// For each day, its light over that of a cloudless sky: 1 is clear; polar night counts as 1.
    pub fn daily_clearness(&self) -> Vec<f64> {
        (0..DAYS)
            .map(|day| {
                let hours = day * 24..day * 24 + 24;
                let got: f64 = self.light[hours.clone()].iter().map(|l| l.global_w_m2).sum();
                let clear: f64 = self.clear.hours()[hours].iter().map(|h| h.light.global_w_m2).sum();
                if clear > 0.0 { got / clear } else { 1.0 }
            })
            .collect()
    }

    /// Longest run of days whose clearness stays below `least`.
    pub fn longest_dull_run(&self, least: f64) -> usize {
        let mut run = 0;
        self.daily_clearness().iter().fold(0, |longest: usize, clearness| {
            run = if *clearness < least { run + 1 } else { 0 };
            longest.max(run)
        })
    }
}

/// The month (0 to 11) with the least harvest.
pub fn worst_month(months: &[MonthHarvest; 12]) -> usize {
    highest(months.iter().map(|m| -m.wh_m2_day))
}

fn highest(values: impl Iterator<Item = f64>) -> usize {
    let mut best = (0, f64::NEG_INFINITY);
    for (i, value) in values.enumerate() {
        if value > best.1 {
            best = (i, value);
        }
    }
    best.0
}
