//! Exact position of the sun, and the sun's own coordinates that a year of positions is made from.
//!
//! Wraps the `solar-positioning` crate (SPA). Does not know days, hours of a site or weather.

use std::f64::consts::{FRAC_PI_2, PI};

use solar_positioning::time::JulianDate;
use solar_positioning::{Location, SolarPositions};

use super::{Air, DELTA_T_S, Place, SunPosition};
use crate::out_of_range::OutOfRange;

/// Julian days of the years -2000 to 6000, where the algorithm holds.
const DAYS: (f64, f64) = (990_558.0, 3_912_880.0);

/// Position of the sun by the NREL algorithm, ±0.0003°.
///
/// - `julian_day`: universal time, see [`super::julian_day`].
/// - `delta_t_s`: TT less UT, s; 69 serves today.
///
/// # Errors
/// [`OutOfRange`] names the day, the coordinate or the air that the algorithm does not cover.
///
/// # Source
/// Reda and Andreas, *Solar Position Algorithm*, NREL/TP-560-34302 (through crate `solar-positioning`).
///
/// # Examples
/// Its published example, 2003-10-17 12:30:30 UTC-7 in Colorado: zenith 50.11162°, azimuth 194.34024°.
///
/// ```
/// use models::sun::{Air, Place, julian_day, position::exact};
/// let place = Place { latitude_rad: 39.742476_f64.to_radians(), longitude_rad: (-105.1786_f64).to_radians(), altitude_m: 1830.14 };
/// let air = Air { pressure_pa: 82_000.0, temperature_c: 11.0 };
/// let sun = exact(julian_day(2003, 10, 17, 19.0 + 30.5 / 60.0), 67.0, &place, &air)?;
/// assert!((sun.apparent_zenith_rad.to_degrees() - 50.11162).abs() < 1e-5);
/// assert!((sun.azimuth_rad.to_degrees() - 194.34024).abs() < 1e-5);
/// # Ok::<(), models::out_of_range::OutOfRange>(())
/// ```
pub fn exact(julian_day: f64, delta_t_s: f64, place: &Place, air: &Air) -> Result<SunPosition, OutOfRange> {
    let julian_day = OutOfRange::check("julian_day", julian_day, DAYS.0, DAYS.1)?;
    OutOfRange::check("delta_t_s", delta_t_s, -1e5, 1e5)?;
    let latitude_rad = OutOfRange::check("latitude_rad", place.latitude_rad, -FRAC_PI_2, FRAC_PI_2)?;
    let longitude_rad = OutOfRange::check("longitude_rad", place.longitude_rad, -PI, PI)?;
    let altitude_m = OutOfRange::check("altitude_m", place.altitude_m, -500.0, 9_000.0)?;
    OutOfRange::check("pressure_pa", air.pressure_pa, 0.0, 200_000.0)?;
    OutOfRange::check("temperature_c", air.temperature_c, -100.0, 100.0)?;
    let refused = |_| OutOfRange { what: "julian_day", value: julian_day, low: DAYS.0, high: DAYS.1 };
    let time = JulianDate::new(julian_day, delta_t_s).map_err(refused)?;
    let at = Location { latitude: latitude_rad.to_degrees(), longitude: longitude_rad.to_degrees() };
    let sun = SolarPositions::new().at_from_julian(time, at, altitude_m, None).map_err(refused)?;
    let zenith_rad = sun.zenith_angle().to_radians();
    Ok(SunPosition {
        zenith_rad,
        apparent_zenith_rad: zenith_rad - air.refraction_rad(FRAC_PI_2 - zenith_rad),
        azimuth_rad: sun.azimuth().to_radians(),
    })
}

/// The sun's own coordinates at one time, seen from the earth's centre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coordinates {
    /// North of the equator positive.
    pub declination_rad: f64,
    /// Apparent sun time less mean sun time, as an angle; 0.25° is one minute. Positive: the sun is early.
    pub equation_of_time_rad: f64,
    /// Distance in astronomical units.
    pub distance_au: f64,
}

/// Coordinates of the sun at a Julian day (universal time).
///
/// # Errors
/// [`OutOfRange`] for a day outside the years -2000 to 6000.
///
/// # Source
/// Right ascension, declination and distance by SPA; sidereal time by its eq. 28 with nutation in longitude from the
/// four leading terms of Meeus, *Astronomical Algorithms*, 2nd ed., ch. 22 (from memory; good to 0.5″, that is
/// 0.03 s of the equation of time).
pub fn coordinates(julian_day: f64) -> Result<Coordinates, OutOfRange> {
    let julian_day = OutOfRange::check("julian_day", julian_day, DAYS.0, DAYS.1)?;
    let refused = |_| OutOfRange { what: "julian_day", value: julian_day, low: DAYS.0, high: DAYS.1 };
    let time = JulianDate::new(julian_day, DELTA_T_S).map_err(refused)?;
    let sun = SolarPositions::new().for_time_from_julian(time).map_err(refused)?;
    let days = julian_day - 2_451_545.0;
    let century = days / 36_525.0;
    let sidereal_deg = 280.46061837
        + 360.98564736629 * days
        + century * century * (0.000_387_933 - century / 38_710_000.0)
        + nutation_in_longitude_deg(century) * 23.44_f64.to_radians().cos();
    // Hour angle of the true sun at longitude 0, less that of the mean sun, whose angle is the clock's.
    let mean_deg = (julian_day + 0.5).rem_euclid(1.0) * 360.0 - 180.0;
    let early_deg = (sidereal_deg - sun.right_ascension() - mean_deg + 180.0).rem_euclid(360.0) - 180.0;
    Ok(Coordinates {
        declination_rad: sun.declination().to_radians(),
        equation_of_time_rad: early_deg.to_radians(),
        distance_au: sun.earth_radius_vector().unwrap_or(1.0),
    })
}

fn nutation_in_longitude_deg(century: f64) -> f64 {
    let node = (125.04452 - 1934.136261 * century).to_radians();
    let sun = (280.4665 + 36000.7698 * century).to_radians();
    let moon = (218.3165 + 481267.8813 * century).to_radians();
    (-17.20 * node.sin() - 1.32 * (2.0 * sun).sin() - 0.23 * (2.0 * moon).sin() + 0.21 * (2.0 * node).sin())
        / 3600.0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// references.md §3.4 and §3.5, pvlib 0.16.1 `get_solarposition(...).equation_of_time` (computed). That value
    /// takes the mean sun at TT, ours at UT, because ours must give hour angles: 67 s of mean motion is 3.1e-3 min;
    /// the shortened nutation adds up to 0.5e-3.
    #[test]
    fn equation_of_time_agrees_with_published_values() {
        for (day, minutes) in [
            (super::super::julian_day(2003, 10, 17, 19.508_333), 14.641_511),
            (super::super::julian_day(2024, 6, 21, 11.666_667), -1.9154),
            (super::super::julian_day(2024, 12, 21, 7.833_333), 1.7984),
            (super::super::julian_day(2024, 1, 15, 6.5), -9.1428),
            (super::super::julian_day(2024, 9, 22, 4.916_667), 7.3735),
        ] {
            let got = coordinates(day).unwrap().equation_of_time_rad.to_degrees() * 4.0;
            assert!((minutes - got - 3.1e-3).abs() < 1e-3, "{day}: {got} against {minutes}");
        }
    }

    #[test]
    fn nonsense_is_an_error_not_a_number() {
        let here = Place { latitude_rad: 0.9, longitude_rad: 0.1, altitude_m: 0.0 };
        let of = |day: f64, place: &Place| exact(day, 69.0, place, &Air::USUAL).unwrap_err().what;
        assert_eq!(of(f64::NAN, &here), "julian_day");
        for bad in [2.0, f64::NAN] {
            assert_eq!(of(2.46e6, &Place { latitude_rad: bad, ..here }), "latitude_rad");
        }
        assert!(coordinates(f64::INFINITY).is_err());
    }
}
