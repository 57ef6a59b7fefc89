//! From light on a scene to light on the sensor: photons, luminance, the camera equation.
//!
//! Knows no sensor (see [`super::sensor`]) and no lamp.

/// Planck constant, J s (SI, exact).
pub const PLANCK_J_S: f64 = 6.626_070_15e-34;
/// Speed of light, m/s (SI, exact).
pub const LIGHT_M_S: f64 = 299_792_458.0;
/// Luminous efficacy at 555 nm, lm/W (SI: 683 at 540 THz, exact).
pub const PEAK_LM_W: f64 = 683.0;

/// Photons a second on a square metre for an irradiance at one wavelength: E λ / (h c).
///
/// By hand: 1 lx at 555 nm is 1/683 W/m², and one photon carries 3.579e-19 J: 4.09e15 /(m² s).
///
/// ```
/// use models::light::photometry::{PEAK_LM_W, photon_flux_m2_s};
/// assert!((photon_flux_m2_s(1.0 / PEAK_LM_W, 555e-9) / 4.090680e15 - 1.0).abs() < 1e-6);
/// ```
pub fn photon_flux_m2_s(irradiance_w_m2: f64, wavelength_m: f64) -> f64 {
    irradiance_w_m2 * wavelength_m / (PLANCK_J_S * LIGHT_M_S)
}

/// Luminance of a matt surface, cd/m²: ρ E / π.
pub fn luminance_cd_m2(lux: f64, reflectance: f64) -> f64 {
    reflectance * lux / std::f64::consts::PI
}

/// Illuminance in the image of a matt surface, on the lens's axis: ρ E T / (4 N² (1 + m)²).
///
/// - `transmission`: of lens and window, 0 to 1. `f_number`: focal length over aperture.
/// - `magnification`: image over object size; at faces it is under 0.01 and may be 0.
///
/// Source: the camera equation (textbook; with π sin² of the cone taken as π/(4 N²)).
///
/// By hand: 100 lx, ρ 0.18, T 0.9, N 2: 18·0.9/16 = 1.0125 lx.
///
/// ```
/// use models::light::photometry::image_lux;
/// assert!((image_lux(100.0, 0.18, 0.9, 2.0, 0.0) - 1.0125).abs() < 1e-12);
/// ```
pub fn image_lux(lux: f64, reflectance: f64, transmission: f64, f_number: f64, magnification: f64) -> f64 {
    let cone = f_number * (1.0 + magnification);
    reflectance * lux * transmission / (4.0 * cone * cone)
}

/// Share of the axis's illuminance that is left at an angle: cos^power θ, 0 from 90° on.
///
/// - `power`: 4 is the natural fall-off of a plain lens; fisheyes that open their pupil aside fall off with 1 to 2
///   (typical, from memory); 0 leaves it out.
pub fn fall_off(theta_rad: f64, power: f64) -> f64 {
    if power == 0.0 { 1.0 } else { theta_rad.cos().max(0.0).powf(power) }
}

/// Saturation-based speed from the exposure that fills a pixel, lx s: 78 / H.
///
/// Source: ISO 12232 (as references.md §3.3 has it, from an encyclopaedia's article). A grey card then lands at
/// 18 %/√2 of saturation.
pub fn iso_speed(saturation_lx_s: f64) -> f64 {
    78.0 / saturation_lx_s
}
