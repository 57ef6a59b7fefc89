//! Air temperature of the year: season, persistent weather, and the swing from dawn to afternoon.
//!
//! T = mean + season·cos(from the warmest day) + weather + sun's share of the weather + swing·(1 - 0.7 cloud)·shape(hour).
//! Weather has one value a day (lag one day 0.75, typical from memory) and runs straight from noon to noon. A clear
//! summer day is warmer and a clear winter day colder than its season (2 K at most at mid latitudes). The shape falls
//! by half a cosine from 15 h to its low at 6 h and rises by another: the coldest hour is dawn, where cells die.
//!
//! Needs no sun, so a budget that wants temperatures alone gets them in some tens of microseconds, equal to those of
//! the whole year of the same seed.

use std::f64::consts::{PI, TAU};

use super::climate::Climate;
use super::noise::Persistent;
use super::{DAYS, HOURS};
use crate::luck::{Luck, Stream, mix};
use quantity::normal::{cdf, quantile};

/// Day-to-day persistence of temperature, lag one day (typical, from memory).
const WEATHER_LAG: f64 = 0.75;
/// Day-to-day persistence of the hidden cloud state; gives 0.35 in the daily clearness (trade.md §1, tested).
const CLOUD_LAG: f64 = 0.57;
/// Share of the hidden cloud state's variance that lasts a day; the rest changes within hours.
pub(super) const CLOUD_DAY_SHARE: f64 = 0.6;
/// How sharply the sky divides into clear and covered: above 1 the middle is rare (typical, from memory).
pub(super) const CLOUD_CONTRAST: f64 = 1.6;
/// Streams of one history that must not share numbers.
const DAY_STREAM: u64 = 0x5173_0001;

/// What a day's weather is, before its hours are told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Day {
    /// Hidden cloud state of the day, standard bell.
    pub(super) state: f64,
    /// What is added to it so that the mean cloud comes out right.
    pub(super) shift: f64,
    /// Mean temperature of the day, °C.
    pub(super) mean_c: f64,
    /// Half the swing from dawn to afternoon, K.
    pub(super) swing_k: f64,
}

/// The 365 days of one history.
pub(super) fn days(climate: &Climate, latitude_rad: f64, luck: Luck) -> Vec<Day> {
    let mut draw = match luck {
        Luck::Mean => None,
        Luck::History(history) => {
            let mut stream = Stream::new(mix(history, DAY_STREAM));
            let weather = Persistent::new(WEATHER_LAG, &mut stream);
            let state = Persistent::new(CLOUD_LAG, &mut stream);
            Some((stream, weather, state))
        }
    };
    // Warmest about 19 July in the north, half a year later in the south (typical, from memory).
    let south = if latitude_rad < 0.0 { 182.5 } else { 0.0 };
    let spread = (1.0 + CLOUD_CONTRAST * CLOUD_CONTRAST).sqrt();
    let hours_part = CLOUD_CONTRAST * CLOUD_CONTRAST * (1.0 - CLOUD_DAY_SHARE);
    let mut shift = 0.0;
    (0..DAYS)
        .map(|day| {
            let warmth = (TAU * (day as f64 - 199.5 - south) / 365.0).cos();
            let usual_cloud = (climate.cloud
                + climate.cloud_season * (TAU * (day as f64 - south) / 365.0).cos())
            .clamp(0.02, 0.98);
            // The season moves slowly: the inverse of the bell once every five days is enough.
            if day % 5 == 0 {
                shift = quantile(usual_cloud) * spread;
            }
            let (weather, state) = draw
                .as_mut()
                .map_or((0.0, 0.0), |(stream, weather, state)| (weather.step(stream), state.step(stream)));
            // Mean cloud of the day over its hours, given its state.
            let cloud = match luck {
                Luck::Mean => usual_cloud,
                Luck::History(_) => {
                    cdf((shift + CLOUD_CONTRAST * CLOUD_DAY_SHARE.sqrt() * state) / (1.0 + hours_part).sqrt())
                }
            };
            let sunny_k = 0.4 * climate.season_k * warmth * (usual_cloud - cloud);
            Day {
                state,
                shift,
                mean_c: climate.mean_c + climate.season_k * warmth + climate.weather_k * weather + sunny_k,
                swing_k: climate.swing_k * (1.0 - 0.7 * cloud),
            }
        })
        .collect()
}

/// Runs a daily value straight from noon to noon over the hours' middles; the year's two ends stay level.
pub(super) fn noon_to_noon(days: &[Day], value: impl Fn(&Day) -> f64) -> Vec<f64> {
    let mut hours = Vec::with_capacity(HOURS);
    let ends = [days.first(), days.last()].map(|day| day.map_or(0.0, &value));
    hours.extend([ends[0]; 12]);
    for pair in days.windows(2) {
        let (from, to) = (value(&pair[0]), value(&pair[1]));
        hours.extend((0..24).map(|k| from + (to - from) * (f64::from(k) + 0.5) / 24.0));
    }
    hours.extend([ends[1]; 12]);
    hours
}

pub(super) fn hourly_c(days: &[Day]) -> Vec<f64> {
    let shape: [f64; 24] = std::array::from_fn(|h| {
        let hour = h as f64 + 0.5;
        let since_peak = (hour - 15.0).rem_euclid(24.0);
        if since_peak <= 15.0 {
            (PI * since_peak / 15.0).cos()
        } else {
            -(PI * (since_peak - 15.0) / 9.0).cos()
        }
    });
    let mut all = noon_to_noon(days, |day| day.mean_c);
    for (hours, day) in all.chunks_exact_mut(24).zip(days) {
        for (temperature_c, shape) in hours.iter_mut().zip(shape) {
            *temperature_c += day.swing_k * shape;
        }
    }
    all
}

/// The 8,760 air temperatures of a history, °C; the same as those of [`super::year::Year`] for the same arguments.
///
/// - `latitude_rad`: only its sign counts here, for the season.
///
/// ```
/// use models::{luck::Luck, site::{climate::Climate, temperature::temperatures_c}};
/// let here = Climate::by_latitude(0.87, 0.0);
/// let mean = temperatures_c(&here, 0.87, Luck::Mean);
/// // Without luck the yearly mean is the climate's.
/// assert!((mean.iter().sum::<f64>() / 8760.0 - here.mean_c).abs() < 0.05);
/// ```
pub fn temperatures_c(climate: &Climate, latitude_rad: f64, luck: Luck) -> Vec<f64> {
    hourly_c(&days(climate, latitude_rad, luck))
}
