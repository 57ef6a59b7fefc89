//! The sun's path over many days, cheap: own coordinates at few nodes, cubic between, exact turning of the earth.
//!
//! Declination and equation of time bend so slowly that four days between nodes leave less than 0.002° (tested); the
//! hour angle, the parallax (8.794″) and refraction are computed at every time. Valid inside the span it was made for,
//! and clamped to its ends outside.

use super::position::{Coordinates, coordinates};
use super::{Air, Place, SunPosition};
use crate::out_of_range::OutOfRange;

/// Days between nodes. The moon's monthly pull on the earth (6″, period 29.5 d) sets it, not the year.
const STEP_DAYS: f64 = 4.0;

/// Coordinates of the sun for a span of days.
#[derive(Debug, Clone, PartialEq)]
pub struct SunPath {
    from_day: f64,
    nodes: Vec<Coordinates>,
}

impl SunPath {
    /// A path from `from_day` (Julian day, universal time) on for `days` (0 to 4,000, more is cut).
    ///
    /// # Errors
    /// [`OutOfRange`] when a part of the span lies outside the years -2000 to 6000.
    pub fn new(from_day: f64, days: f64) -> Result<Self, OutOfRange> {
        // One node before and two after the span, so that every inner point has four neighbours.
        let start = from_day - STEP_DAYS;
        let count = (days.clamp(0.0, 4_000.0) / STEP_DAYS).ceil() as usize + 4;
        let nodes =
            (0..count).map(|i| coordinates(start + i as f64 * STEP_DAYS)).collect::<Result<Vec<_>, _>>()?;
        Ok(Self { from_day: start, nodes })
    }

    /// The sun's coordinates at a Julian day, by a cubic through the four nearest nodes.
    pub fn coordinates(&self, julian_day: f64) -> Coordinates {
        let x = (julian_day - self.from_day) / STEP_DAYS;
        let first = (x.floor() as usize).clamp(1, self.nodes.len() - 3);
        let t = (x - first as f64).clamp(-1.0, 2.0);
        // Lagrange weights of nodes -1, 0, 1, 2.
        let w = [
            -t * (t - 1.0) * (t - 2.0) / 6.0,
            (t + 1.0) * (t - 1.0) * (t - 2.0) / 2.0,
            -(t + 1.0) * t * (t - 2.0) / 2.0,
            (t + 1.0) * t * (t - 1.0) / 6.0,
        ];
        let four = &self.nodes[first - 1..first + 3];
        let blend = |f: fn(&Coordinates) -> f64| four.iter().zip(w).map(|(n, w)| f(n) * w).sum();
        Coordinates {
            declination_rad: blend(|n| n.declination_rad),
            equation_of_time_rad: blend(|n| n.equation_of_time_rad),
            distance_au: blend(|n| n.distance_au),
        }
    }

    /// Position of the sun at a Julian day, within 0.01° of the exact one (tested at random places and times).
    ///
    /// The azimuth loses meaning at the zenith and at the poles, as it does in any algorithm.
    pub fn at(&self, julian_day: f64, place: &Place, air: &Air) -> SunPosition {
        let sun = self.coordinates(julian_day);
        let [east, north, up] = toward(&sun, julian_day, place);
        let geocentric_rad = (east.hypot(north)).atan2(up);
        // Parallax: an observer on the surface sees the sun lower than the earth's centre does.
        let zenith_rad =
            geocentric_rad + (8.794 / 3600.0 / sun.distance_au).to_radians() * geocentric_rad.sin();
        SunPosition {
            zenith_rad,
            apparent_zenith_rad: zenith_rad - air.refraction_rad(std::f64::consts::FRAC_PI_2 - zenith_rad),
            azimuth_rad: east.atan2(north).rem_euclid(std::f64::consts::TAU),
        }
    }
}

/// Unit vector (east, north, up) from the earth's centre to the sun, in the horizon frame of `place`.
///
/// Source: spherical triangle of pole, zenith and sun (textbook).
pub fn toward(sun: &Coordinates, julian_day: f64, place: &Place) -> [f64; 3] {
    let clock_rad = (julian_day + 0.5).rem_euclid(1.0) * std::f64::consts::TAU - std::f64::consts::PI;
    let (sin_h, cos_h) = (clock_rad + sun.equation_of_time_rad + place.longitude_rad).sin_cos();
    let (sin_lat, cos_lat) = place.latitude_rad.sin_cos();
    let (sin_dec, cos_dec) = sun.declination_rad.sin_cos();
    [
        -cos_dec * sin_h,
        cos_lat * sin_dec - sin_lat * cos_dec * cos_h,
        sin_lat * sin_dec + cos_lat * cos_dec * cos_h,
    ]
}

#[cfg(test)]
mod tests {
    use super::super::{julian_day, position::exact};
    use super::*;
    use proptest::prelude::*;

    proptest! {

        /// The promise of the module, everywhere on earth, high latitudes included. Angles between directions are
        /// compared, not azimuths: at the zenith an azimuth error means nothing.
        #[test]
        fn fast_path_stays_within_a_hundredth_of_a_degree(
            latitude in -89.5..89.5_f64, longitude in -180.0..180.0_f64, altitude in 0.0..4000.0_f64,
            year in 2020..2035_i32, day in 0.0..365.0_f64,
        ) {
            let place = Place { latitude_rad: latitude.to_radians(), longitude_rad: longitude.to_radians(), altitude_m: altitude };
            let start = julian_day(year, 1, 1, 0.0);
            let path = SunPath::new(start, 366.0).unwrap();
            let fast = path.at(start + day, &place, &Air::USUAL);
            let slow = exact(start + day, 69.0, &place, &Air::USUAL).unwrap();
            prop_assert!((fast.zenith_rad - slow.zenith_rad).to_degrees().abs() < 0.002);
            prop_assert!((fast.apparent_zenith_rad - slow.apparent_zenith_rad).to_degrees().abs() < 0.01);
            let turn = (fast.azimuth_rad - slow.azimuth_rad).sin() * slow.zenith_rad.sin();
            prop_assert!(turn.to_degrees().abs() < 0.01);
        }
    }

    #[test]
    fn days_outside_the_span_are_finite() {
        let path = SunPath::new(julian_day(2025, 1, 1, 0.0), 0.0).unwrap();
        assert!(path.coordinates(0.0).declination_rad.is_finite());
        assert!(path.coordinates(1e9).declination_rad.is_finite());
    }
}
