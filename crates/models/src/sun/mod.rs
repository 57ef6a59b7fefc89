//! Where the sun stands and what it gives: position, a whole year of positions, clear-sky irradiance, a tilted plane.
//!
//! Exact positions come from the `solar-positioning` crate (the NREL algorithm of Reda and Andreas). A year of them is
//! interpolated, because the sun's own coordinates change smoothly while only the earth's turning is fast.
//! Nothing here knows weather (see [`crate::site`]), lamps or a camera.
//!
//! Angles are radians; azimuth counts from north over east; irradiance is W/m². Times are Julian days in universal
//! time ([`julian_day`]).

pub mod clear_sky;
pub mod path;
pub mod plane;
pub mod position;

/// A place on the earth.
///
/// ```
/// let place = models::sun::Place { latitude_rad: 0.9, longitude_rad: 0.1, altitude_m: 10.0 };
/// assert!(place.latitude_rad > 0.0, "north is positive, east is positive");
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Geographic latitude, north positive, -π/2 to π/2.
    pub latitude_rad: f64,
    /// Geographic longitude, east positive, -π to π.
    pub longitude_rad: f64,
    /// Height above sea level, -500 to 9,000 m.
    pub altitude_m: f64,
}

/// Direction to the sun as an observer sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SunPosition {
    /// Angle from straight up, without the atmosphere's bending.
    pub zenith_rad: f64,
    /// The same with refraction: where the sun is seen. Equal to `zenith_rad` while the sun is below the horizon.
    pub apparent_zenith_rad: f64,
    /// From north over east, 0 to 2π.
    pub azimuth_rad: f64,
}

impl SunPosition {
    /// Height of the seen sun over the horizon.
    pub fn elevation_rad(&self) -> f64 {
        std::f64::consts::FRAC_PI_2 - self.apparent_zenith_rad
    }
}

/// Air that bends the light.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Yearly mean pressure at the place, Pa.
    pub pressure_pa: f64,
    /// Yearly mean temperature, °C.
    pub temperature_c: f64,
}

impl Air {
    /// 1013.25 hPa and 12 °C, the usual default of solar libraries (read in pvlib 0.16.1).
    pub const USUAL: Self = Self { pressure_pa: 101_325.0, temperature_c: 12.0 };

    /// Refraction in radians for a true elevation, zero once the whole disc is below the horizon.
    ///
    /// Source: Reda and Andreas, NREL/TP-560-34302, eq. 42 (from memory; agrees with two libraries in `checks/`).
    pub fn refraction_rad(&self, elevation_rad: f64) -> f64 {
        let elevation_deg = elevation_rad.to_degrees();
        // Half the sun's disc plus the standard horizon refraction.
        if elevation_deg <= -(0.26667 + 0.5667) {
            return 0.0;
        }
        let bent = (elevation_deg + 10.3 / (elevation_deg + 5.11)).to_radians();
        let air = self.pressure_pa / 101_000.0 * 283.0 / (273.0 + self.temperature_c);
        (air * 1.02 / 60.0 / bent.tan()).to_radians()
    }
}

/// Julian day (universal time) of a date of the Gregorian calendar.
///
/// `hour_ut` may be any number of hours, also below 0 or above 24.
/// Source: the usual integer day-number formula (Fliegel and Van Flandern, 1968; from memory).
///
/// By hand: 2000-01-01 12:00 is 2,451,545.0 by definition of J2000.
///
/// ```
/// assert_eq!(models::sun::julian_day(2000, 1, 1, 12.0), 2_451_545.0);
/// ```
pub fn julian_day(year: i32, month: u32, day: u32, hour_ut: f64) -> f64 {
    let (y, m, d) = (i64::from(year), i64::from(month), i64::from(day));
    let late = (m - 14) / 12;
    let noon = (1461 * (y + 4800 + late)) / 4 + (367 * (m - 2 - 12 * late)) / 12
        - (3 * ((y + 4900 + late) / 100)) / 4
        + d
        - 32_075;
    noon as f64 - 0.5 + hour_ut / 24.0
}

/// TT less UT, s: the years 2020 to 2030 lie within a second of it (typical, from memory). One second moves the sun's
/// coordinates by 0.04 arcseconds.
pub(crate) const DELTA_T_S: f64 = 69.0;
