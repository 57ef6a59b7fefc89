//! One history of weather over a clear year: cloud, sun, humidity, rain and wind, hour by hour.
//!
//! **Cloud.** A hidden bell-shaped state has a part that lasts a day (and hangs on to the next) and a part that changes
//! within hours. The covered share of the sky is c = Φ(contrast·state + shift): mostly clear or covered, seldom
//! between; its mean is exactly the climate's.
//! **Sun.** Global = clear·(1 - 0.75 c^3.4) (Kasten and Czeplak, *Solar Energy* 24 (1980) 177; from memory), in rain
//! ·0.64 more (rain cloud passes 0.16 where a covered sky passes 0.25; same source, from memory). Beam = clear·(1 - c):
//! the disc is covered c of the hour. Diffuse is what is left, so the three always close.
//! **Humidity.** The dew point follows the dawn temperature (FAO Irrigation and Drainage Paper 56, eq. 48), less the
//! climate's dryness; rain lifts it to 92 % at least.
//! **Rain** falls in the cloudiest hours, so that its share of hours is the climate's; **wind** is a Rayleigh variable
//! with persistence (lag one hour 0.93). These two are typical, from memory.

use std::sync::Arc;

use super::HOURS;
use super::clear::ClearYear;
use super::climate::Climate;
use super::noise::Persistent;
use super::temperature::{CLOUD_CONTRAST, CLOUD_DAY_SHARE, Day, days, hourly_c, noon_to_noon};
use crate::luck::{Luck, Stream, mix};
use crate::out_of_range::OutOfRange;
use crate::sun::clear_sky::Irradiance;
use quantity::normal::{cdf, quantile};

const HOUR_STREAM: u64 = 0x5173_0002;
/// Lag one hour of cloud within a day, and of wind (typical, from memory).
const CLOUD_HOUR_LAG: f64 = 0.85;
const WIND_HOUR_LAG: f64 = 0.93;
/// How much of the rain's own state is the cloud's, and the rest.
const RAIN_FROM_CLOUD: f64 = 0.8;
const RAIN_OWN: f64 = 0.6;
/// Light through rain cloud over light through a covered sky.
const RAIN_DARKENS: f64 = 0.16 / 0.25;

/// 8,760 hours that belong together; fields are indexed by hour of the year, local standard time.
#[derive(Debug, Clone, PartialEq)]
pub struct Year {
    /// Air temperature, °C.
    pub temperature_c: Vec<f64>,
    /// Relative humidity, 0 to 1.
    pub humidity: Vec<f64>,
    /// Covered share of the sky, 0 to 1.
    pub cloud: Vec<f64>,
    /// Irradiance under that sky.
    pub light: Vec<Irradiance>,
    /// Share of the hour in which it rains: 0 or 1 in a history, the climate's share in the mean year.
    pub rain: Vec<f64>,
    /// Wind, m/s.
    pub wind_m_s: Vec<f64>,
    /// The cloudless sun this year was made from.
    pub clear: Arc<ClearYear>,
}

impl Year {
    /// A year over `clear` in `climate`.
    ///
    /// [`Luck::Mean`] gives the year of expected values: every day its season's mean, every hour the *expected* light
    /// (not the light of the mean cloud, which would be a third too much). It has no dull runs: for harvest over
    /// months, not for autonomy.
    ///
    /// # Errors
    /// [`OutOfRange`] names the first number of the climate outside the model.
    pub fn new(climate: &Climate, clear: Arc<ClearYear>, luck: Luck) -> Result<Self, OutOfRange> {
        let climate = climate.check()?;
        let days = days(&climate, clear.place().latitude_rad, luck);
        let temperature_c = hourly_c(&days);
        let humidity = humidity(&climate, &days, &temperature_c);
        let mut year = Self {
            temperature_c,
            humidity,
            cloud: Vec::with_capacity(HOURS),
            light: Vec::with_capacity(HOURS),
            rain: Vec::with_capacity(HOURS),
            wind_m_s: Vec::with_capacity(HOURS),
            clear,
        };
        match luck {
            Luck::Mean => year.fill_expected(&climate, &days),
            Luck::History(history) => year.fill_drawn(&climate, &days, history),
        }
        Ok(year)
    }

    fn fill_drawn(&mut self, climate: &Climate, days: &[Day], history: u64) {
        let mut stream = Stream::new(mix(history, HOUR_STREAM));
        let mut cloud_noise = Persistent::new(CLOUD_HOUR_LAG, &mut stream);
        let mut rain_noise = Persistent::new(CLOUD_HOUR_LAG, &mut stream);
        let mut wind_noise = Persistent::new(WIND_HOUR_LAG, &mut stream);
        let rain_from = quantile(1.0 - climate.rain);
        let (day_part, hour_part) = (CLOUD_DAY_SHARE.sqrt(), (1.0 - CLOUD_DAY_SHARE).sqrt());
        for (hour, clear) in self.clear.hours().iter().enumerate() {
            let day = &days[hour / 24];
            let state = day_part * day.state + hour_part * cloud_noise.step(&mut stream);
            let cloud = cdf(CLOUD_CONTRAST * state + day.shift);
            let wet_state = RAIN_FROM_CLOUD * state + RAIN_OWN * rain_noise.step(&mut stream);
            let rain = if wet_state > rain_from && climate.rain > 0.0 { 1.0 } else { 0.0 };
            self.cloud.push(cloud);
            self.rain.push(rain);
            if rain > 0.0 {
                self.humidity[hour] = self.humidity[hour].max(0.92);
            }
            let through = passes(cloud) * if rain > 0.0 { RAIN_DARKENS } else { 1.0 };
            self.light.push(under(&clear.light, clear.sun[2], through, 1.0 - cloud));
            // Rayleigh with the wanted mean: its scale is mean·sqrt(2/π), its quantile scale·sqrt(-2 ln(1-u)).
            let calm = (1.0 - cdf(wind_noise.step(&mut stream))).max(1e-9);
            self.wind_m_s.push(climate.wind_m_s * (-4.0 / std::f64::consts::PI * calm.ln()).sqrt());
        }
    }

    fn fill_expected(&mut self, climate: &Climate, days: &[Day]) {
        // Middles of 32 equal shares of the bell, each with the light that its rain leaves.
        let rain_from = quantile(1.0 - climate.rain);
        let states: [(f64, f64); 32] = std::array::from_fn(|i| {
            let state = quantile((i as f64 + 0.5) / 32.0);
            let wet =
                if climate.rain > 0.0 { cdf((RAIN_FROM_CLOUD * state - rain_from) / RAIN_OWN) } else { 0.0 };
            (state, 1.0 - wet * (1.0 - RAIN_DARKENS))
        });
        let clear_year = Arc::clone(&self.clear);
        for (day, clear_day) in days.iter().zip(clear_year.hours().chunks_exact(24)) {
            let (mut cloud, mut through) = (0.0, 0.0);
            for (state, left) in states {
                let c = cdf(CLOUD_CONTRAST * state + day.shift);
                cloud += c / 32.0;
                through += passes(c) * left / 32.0;
            }
            for clear in clear_day {
                self.cloud.push(cloud);
                self.rain.push(climate.rain);
                self.wind_m_s.push(climate.wind_m_s);
                self.light.push(under(&clear.light, clear.sun[2], through, 1.0 - cloud));
            }
        }
    }
}

/// Share of a clear sky's light that comes through a cover `cloud` (Kasten and Czeplak).
fn passes(cloud: f64) -> f64 {
    1.0 - 0.75 * cloud.powf(3.4)
}

fn under(clear: &Irradiance, sin_elevation: f64, through: f64, shines: f64) -> Irradiance {
    if clear.global_w_m2 <= 0.0 {
        return Irradiance::default();
    }
    let global_w_m2 = clear.global_w_m2 * through;
    // In rain the cover may be thin by chance: never more beam than there is light.
    let beam_w_m2 = (clear.beam_w_m2 * shines).min(global_w_m2 / sin_elevation.max(1e-6));
    Irradiance { global_w_m2, beam_w_m2, diffuse_w_m2: (global_w_m2 - beam_w_m2 * sin_elevation).max(0.0) }
}

fn humidity(climate: &Climate, days: &[Day], temperature_c: &[f64]) -> Vec<f64> {
    // Saturation pressure: FAO-56 eq. 11; its constant cancels.
    let of = |c: f64| 17.27 * c / (c + 237.3);
    let mut all = noon_to_noon(days, |day| day.mean_c - day.swing_k - climate.dry_k);
    for (hour, air_c) in all.iter_mut().zip(temperature_c) {
        *hour = (of(*hour) - of(*air_c)).exp().min(1.0);
    }
    all
}
