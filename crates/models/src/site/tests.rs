//! Properties of many seeded years: means, swings, persistence, plausibility.

use std::f64::consts::{FRAC_PI_2, PI};
use std::sync::Arc;

use super::clear::ClearYear;
use super::climate::Climate;
use super::summary::{Shade, worst_month};
use super::temperature::temperatures_c;
use super::year::Year;
use super::{DAYS, HOURS};
use crate::luck::{Luck, mix};
use crate::sun::{Place, plane::Plane};

const YEARS: u64 = 120;

fn site(latitude_deg: f64) -> (Climate, Arc<ClearYear>) {
    let place = Place { latitude_rad: latitude_deg.to_radians(), longitude_rad: 0.17, altitude_m: 50.0 };
    let climate = Climate::by_latitude(place.latitude_rad, place.altitude_m);
    (climate, Arc::new(ClearYear::new(place, 1.0, climate.turbidity).unwrap()))
}

fn years(climate: &Climate, clear: &Arc<ClearYear>) -> Vec<Year> {
    (0..YEARS).map(|i| Year::new(climate, clear.clone(), Luck::History(mix(3, i))).unwrap()).collect()
}

fn mean(x: impl IntoIterator<Item = f64>) -> f64 {
    let (sum, n) = x.into_iter().fold((0.0, 0.0), |(sum, n), v| (sum + v, n + 1.0));
    sum / n
}

fn south_wall() -> Plane {
    Plane { tilt_rad: FRAC_PI_2, azimuth_rad: PI, albedo: 0.2 }
}

/// Anomaly of daily clearness: less the mean of its day over all years, so that the season is not persistence.
fn clearness_lag(years: &[Year]) -> f64 {
    let all: Vec<Vec<f64>> = years.iter().map(Year::daily_clearness).collect();
    let usual: Vec<f64> = (0..DAYS).map(|d| mean(all.iter().map(|y| y[d]))).collect();
    let (mut lagged, mut square) = (0.0, 0.0);
    for year in &all {
        let odd: Vec<f64> = year.iter().zip(&usual).map(|(c, u)| c - u).collect();
        lagged += odd.windows(2).map(|w| w[0] * w[1]).sum::<f64>();
        square += odd.iter().map(|v| v * v).sum::<f64>();
    }
    lagged / square
}

#[test]
fn dull_days_cluster_as_the_trade_says() {
    let (climate, clear) = site(50.0);
    let years = years(&climate, &clear);
    // trade.md §1 power.sun-chain: lag-1 0.35, longest dull run 7 d (4..12); dull: under 40 % of a clear day.
    let lag = clearness_lag(&years);
    assert!((lag - 0.35).abs() < 0.04, "lag {lag}");
    let mut runs: Vec<usize> = years.iter().map(|y| y.longest_dull_run(0.4)).collect();
    runs.sort_unstable();
    let at = |share: f64| runs[(share * runs.len() as f64) as usize];
    assert!((6..=8).contains(&at(0.5)), "median run {}", at(0.5));
    assert!(at(0.05) >= 4 && at(0.95) <= 12, "runs {}..{}", at(0.05), at(0.95));
}

#[test]
fn yearly_means_and_amplitude_are_the_climates() {
    let (climate, clear) = site(50.0);
    let years = years(&climate, &clear);
    // A year's mean scatters by weather_k·sqrt((1+0.75)/(1-0.75)/365) = 0.49 K; 120 years leave 0.05 K.
    let all_c = mean(years.iter().flat_map(|y| y.temperature_c.iter().copied()));
    assert!((all_c - climate.mean_c).abs() < 0.2, "{all_c}");
    // First harmonic of the mean day: its amplitude is the season's.
    let (mut cos, mut sin) = (0.0, 0.0);
    for year in &years {
        for (day, c) in year.daily_mean_c().iter().enumerate() {
            let x = std::f64::consts::TAU * day as f64 / 365.0;
            cos += c * x.cos();
            sin += c * x.sin();
        }
    }
    let amplitude_k = 2.0 * f64::hypot(cos, sin) / (YEARS as f64 * 365.0);
    assert!((amplitude_k - climate.season_k).abs() < 0.2, "{amplitude_k}");
    let cloud = mean(years.iter().flat_map(|y| y.cloud.iter().copied()));
    assert!((cloud - climate.cloud).abs() < 0.01, "{cloud}");
    let rain = mean(years.iter().flat_map(|y| y.rain.iter().copied()));
    assert!((rain - climate.rain).abs() < 0.01, "{rain}");
    let wind = mean(years.iter().flat_map(|y| y.wind_m_s.iter().copied()));
    assert!((wind - climate.wind_m_s).abs() < 0.05, "{wind}");
}

#[test]
fn mean_year_has_the_light_of_the_average_history() {
    let (climate, clear) = site(50.0);
    let histories = mean(years(&climate, &clear).iter().flat_map(|y| y.light.iter().map(|l| l.global_w_m2)));
    let expected = Year::new(&climate, clear, Luck::Mean).unwrap();
    let expected = mean(expected.light.iter().map(|l| l.global_w_m2));
    // 1 %: twice the scatter of 120 years whose sums scatter by about 5 % each.
    assert!((expected / histories - 1.0).abs() < 0.01, "{expected} against {histories}");
}

#[test]
fn same_seed_same_year_and_another_seed_another() {
    let (climate, clear) = site(48.0);
    let of = |seed| Year::new(&climate, clear.clone(), Luck::History(seed)).unwrap();
    assert!(of(5) == of(5));
    assert!(of(5).temperature_c != of(6).temperature_c);
    assert_eq!(of(5).temperature_c, temperatures_c(&climate, clear.place().latitude_rad, Luck::History(5)));
}

#[test]
fn every_hour_is_consistent() {
    for latitude in [-67.0, 0.0, 50.0, 78.0] {
        let (climate, clear) = site(latitude);
        let year = Year::new(&climate, clear, Luck::History(1)).unwrap();
        assert_eq!(year.light.len(), HOURS);
        for hour in 0..HOURS {
            let (light, sun) = (year.light[hour], year.clear.hours()[hour].sun);
            let closed = light.beam_w_m2 * sun[2].max(0.0) + light.diffuse_w_m2;
            assert!((closed - light.global_w_m2).abs() < 1e-6, "global = beam·sin h + diffuse");
            assert!(light.beam_w_m2 >= 0.0 && light.diffuse_w_m2 >= 0.0 && light.global_w_m2 < 1300.0);
            assert!((0.0..=1.0).contains(&year.humidity[hour]) && (0.0..=1.0).contains(&year.cloud[hour]));
            assert!(year.rain[hour] == 0.0 || (year.humidity[hour] >= 0.92 && year.cloud[hour] > 0.3));
            assert!((sun[0].powi(2) + sun[1].powi(2) + sun[2].powi(2) - 1.0).abs() < 1e-9);
        }
    }
}

#[test]
fn winter_wall_at_fifty_degrees_gets_what_the_trade_expects() {
    // trade.md §3: vertical south, worst month, 50° N: 1.0 (0.6..1.6) kWh/m²d.
    let (climate, clear) = site(50.0);
    let months = Year::new(&climate, clear.clone(), Luck::Mean).unwrap().harvest(&south_wall(), &Shade::NONE);
    let worst = worst_month(&months);
    assert_eq!(worst, 11, "December");
    assert!((800.0..1300.0).contains(&months[worst].wh_m2_day), "{}", months[worst].wh_m2_day);
    for year in years(&climate, &clear) {
        let months = year.harvest(&south_wall(), &Shade::NONE);
        let worst = months[worst_month(&months)].wh_m2_day;
        assert!(
            (400.0..1800.0).contains(&worst),
            "no year outside the trade's span by more than half: {worst}"
        );
    }
}

#[test]
fn seasons_turn_round_south_of_the_equator() {
    let (climate, clear) = site(-45.0);
    let north_wall = Plane { azimuth_rad: 0.0, ..south_wall() };
    let year = Year::new(&climate, clear, Luck::Mean).unwrap();
    let months = year.harvest(&north_wall, &Shade::NONE);
    assert_eq!(worst_month(&months), 5, "June");
    let january = mean(year.daily_mean_c()[..31].iter().copied());
    let july = mean(year.daily_mean_c()[181..212].iter().copied());
    assert!(january - july > climate.season_k, "summer is in January");
}

#[test]
fn hot_and_cold_days_are_where_they_belong() {
    let (climate, clear) = site(50.0);
    let year = Year::new(&climate, clear, Luck::History(4)).unwrap();
    let west = Plane { azimuth_rad: 1.5 * PI, ..south_wall() };
    let light = year.on_plane_w_m2(&west, &Shade::NONE);
    let hot = year.hottest_day(&light, 0.09);
    assert!((120..273).contains(&hot), "a dark west case is hottest in the warm half year: day {hot}");
    let peak = (hot * 24..hot * 24 + 24).max_by(|a, b| light[*a].total_cmp(&light[*b])).unwrap() % 24;
    assert!((14..=19).contains(&peak), "and in the afternoon: {peak} h");
    let cold = year.coldest_day();
    assert!(!(75..305).contains(&cold), "day {cold}");
    let coldest = (cold * 24..cold * 24 + 24)
        .min_by(|a, b| year.temperature_c[*a].total_cmp(&year.temperature_c[*b]))
        .unwrap();
    assert!((4..=8).contains(&(coldest % 24)), "at dawn");
}

#[test]
fn shade_and_frost_only_take() {
    let (climate, clear) = site(60.0);
    let year = Year::new(&climate, clear, Luck::History(2)).unwrap();
    let open = year.harvest(&south_wall(), &Shade::NONE);
    let shaded = year.harvest(&south_wall(), &Shade { horizon_rad: 0.3, open: 0.9 });
    for (open, shaded) in open.iter().zip(&shaded) {
        assert!(shaded.wh_m2_day <= 0.9 * open.wh_m2_day + 1e-9);
        assert!((0.0..=1.0).contains(&open.above_freezing));
    }
    assert!(open[0].above_freezing < 0.8, "January at 60° N: {}", open[0].above_freezing);
    assert!(open[6].above_freezing > 0.999, "July");
}

#[test]
fn climate_outside_the_model_is_refused_by_name() {
    let (climate, clear) = site(50.0);
    let bad = Climate { cloud: f64::NAN, ..climate };
    assert_eq!(Year::new(&bad, clear, Luck::Mean).unwrap_err().what, "cloud");
    let place = Place { latitude_rad: 0.9, longitude_rad: 9.0, altitude_m: 0.0 };
    assert_eq!(ClearYear::new(place, 1.0, 3.0).unwrap_err().what, "longitude_rad");
}
