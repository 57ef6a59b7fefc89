//! What reaches the ground under a cloudless sky: air mass, extraterrestrial irradiance, two published sky models.
//!
//! Ineichen–Perez needs a turbidity and gives beam and diffuse; Haurwitz needs only the zenith and gives the sum.
//! Clouds are [`crate::site`]'s business.

/// Irradiance on the ground, W/m².
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Irradiance {
    /// Global on a horizontal plane.
    pub global_w_m2: f64,
    /// Beam on a plane that faces the sun.
    pub beam_w_m2: f64,
    /// Diffuse on a horizontal plane.
    pub diffuse_w_m2: f64,
}

/// Path length through the air over that straight up, at sea level; infinite below the horizon.
///
/// - `apparent_zenith_rad`: zenith angle with refraction.
///
/// Source: Kasten and Young, *Appl. Opt.* 28 (1989) 4735 (coefficients from memory, agree with references.md §3.5).
///
/// ```
/// // One atmosphere straight up; about 38 at the horizon.
/// assert!((models::sun::clear_sky::relative_airmass(0.0) - 1.0).abs() < 1e-3);
/// assert!((models::sun::clear_sky::relative_airmass(90_f64.to_radians()) - 38.0).abs() < 0.2);
/// ```
pub fn relative_airmass(apparent_zenith_rad: f64) -> f64 {
    let elevation_deg = 90.0 - apparent_zenith_rad.to_degrees();
    if elevation_deg < 0.0 {
        return f64::INFINITY;
    }
    1.0 / (apparent_zenith_rad.cos() + 0.50572 * (elevation_deg + 6.07995).powf(-1.6364))
}

/// Pressure of the standard atmosphere at a height, Pa; heights above 40 km are cut.
///
/// Source: the standard atmosphere's lower layer as pvlib 0.16.1 `alt2pres` has it (read there).
pub fn pressure_pa(altitude_m: f64) -> f64 {
    100.0 * ((44_331.514 - altitude_m.min(40_000.0)) / 11_880.516).powf(1.0 / 0.190_263_2)
}

/// Irradiance outside the atmosphere on a plane that faces the sun, W/m².
///
/// - `day_of_year`: 1 is 1 January.
///
/// Source: Spencer, *Search* 2 (1971) 172, with 1366.1 W/m² (as in pvlib's default).
pub fn extraterrestrial_w_m2(day_of_year: f64) -> f64 {
    let (sin, cos) = (std::f64::consts::TAU * (day_of_year - 1.0) / 365.0).sin_cos();
    let (sin2, cos2) = (2.0 * sin * cos, cos * cos - sin * sin);
    1366.1 * (1.00011 + 0.034221 * cos + 0.00128 * sin + 0.000719 * cos2 + 0.000077 * sin2)
}

/// A cloudless sky over one place: the parts of Ineichen's model that do not change within a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ineichen {
    turbidity: f64,
    pressure_ratio: f64,
    low: f64,
    gain: f64,
    path: f64,
    beam_gain: f64,
    diffuse_share: f64,
}

impl Ineichen {
    /// The sky over a place at a height, for a Linke turbidity (2 very clear, 3 usual, 5 hazy).
    ///
    /// Source: Ineichen and Perez, *Solar Energy* 73 (2002) 151 (as pvlib 0.16.1 has it, without the later
    /// enhancement at low sun).
    pub fn new(turbidity: f64, altitude_m: f64) -> Self {
        let (high, low) = ((-altitude_m / 8000.0).exp(), (-altitude_m / 1250.0).exp());
        Self {
            turbidity,
            pressure_ratio: pressure_pa(altitude_m) / 101_325.0,
            low: high + low * (turbidity - 1.0),
            gain: 5.09e-5 * altitude_m + 0.868,
            path: 3.92e-5 * altitude_m + 0.0387,
            beam_gain: 0.664 + 0.163 / high,
            diffuse_share: (0.1 - 0.2 * (-turbidity).exp()) / (0.1 + 0.882 / high),
        }
    }

    /// Irradiance for a seen sun; all zero when it is below the horizon.
    ///
    /// - `extraterrestrial_w_m2`: see [`extraterrestrial_w_m2`].
    pub fn at(&self, apparent_zenith_rad: f64, extraterrestrial_w_m2: f64) -> Irradiance {
        let cos = apparent_zenith_rad.cos();
        if cos <= 0.0 {
            return Irradiance::default();
        }
        let airmass = relative_airmass(apparent_zenith_rad) * self.pressure_ratio;
        let global = self.gain * extraterrestrial_w_m2 * cos * (-self.path * airmass * self.low).exp();
        let beam = self.beam_gain * extraterrestrial_w_m2 * (-0.09 * airmass * (self.turbidity - 1.0)).exp();
        // A second limit keeps a least diffuse share when the sun is high.
        let most = global * ((1.0 - self.diffuse_share) / cos).max(0.0);
        let beam = beam.min(most);
        Irradiance { global_w_m2: global, beam_w_m2: beam, diffuse_w_m2: global - beam * cos }
    }
}

/// Global irradiance of a cloudless sky from the zenith angle alone, W/m².
///
/// Source: Haurwitz, *J. Meteorology* 2 (1945) 154 (coefficients as in pvlib 0.16.1). Good to 15 %.
pub fn haurwitz_w_m2(apparent_zenith_rad: f64) -> f64 {
    let cos = apparent_zenith_rad.cos();
    if cos <= 0.0 { 0.0 } else { 1098.0 * cos * (-0.059 / cos).exp() }
}
