//! Radiation between surfaces, and the temperature that a sky has for it.

use super::ZERO_C_K;

/// Stefan–Boltzmann constant, W/(m² K⁴): CODATA 2018, exact.
pub const STEFAN_W_M2_K4: f64 = 5.670_374_419e-8;

/// Coefficient h_r = ε·σ·(T1² + T2²)·(T1 + T2), W/(m² K): times the difference it is the exact exchange of a small body
/// with large surroundings.
///
/// ```
/// // references.md §7: emissivity 0.9, 45 °C to 25 °C.
/// assert!((models::heat::radiation::coefficient_w_m2k(0.9, 45.0, 25.0) - 5.979404).abs() < 1e-5);
/// ```
pub fn coefficient_w_m2k(emissivity: f64, one_c: f64, other_c: f64) -> f64 {
    let (a, b) = (one_c + ZERO_C_K, other_c + ZERO_C_K);
    emissivity * STEFAN_W_M2_K4 * (a * a + b * b) * (a + b)
}

/// σ·T⁴ of a black surface, W/m².
pub fn black_w_m2(temperature_c: f64) -> f64 {
    let square = (temperature_c + ZERO_C_K).powi(2);
    STEFAN_W_M2_K4 * square * square
}

/// Temperature of the sky as a radiator, °C, below air at `air_c` with `cloud` of it covered (0 to 1).
///
/// Clear: T_sky = 0.0552·T_air^1.5 (Swinbank, *Q. J. R. Meteorol. Soc.* 89 (1963) 339). Covered: emissivity
/// (1 - 0.84 c)·ε_clear + 0.84 c (Unsworth and Monteith, same journal 101 (1975) 13). Both from memory; ±3 K from day to
/// day.
///
/// By hand, 10 °C and clear: 0.0552·283.15^1.5 = 263.0 K, 20 K below the air.
///
/// ```
/// assert!((models::heat::radiation::sky_c(10.0, 0.0) - -10.15).abs() < 0.1);
/// ```
pub fn sky_c(air_c: f64, cloud: f64) -> f64 {
    let air_k = air_c + ZERO_C_K;
    let clear = (0.0552 * air_k.sqrt()).powi(4);
    let covered = 0.84 * cloud.clamp(0.0, 1.0);
    air_k * ((1.0 - covered) * clear.min(1.0) + covered).sqrt().sqrt() - ZERO_C_K
}

/// Sol-air temperature: what a surface with a well insulated back reaches in the sun, air + a·G/h, °C.
///
/// - `irradiance_w_m2`: on the surface; `absorptance`: 0 to 1.
/// - `film_w_m2k`: convection and radiation outside together, above 0; 17 for a wall in moving air, 10 for a small case in
///   still air (typical, from memory).
///
/// By hand, a wall of absorptance 0.6 at 800 W/m²: 0.6·800/17 = 28 K.
///
/// ```
/// assert!((models::heat::radiation::sol_air_c(30.0, 800.0, 0.6, 17.0) - 58.2).abs() < 0.1);
/// ```
pub fn sol_air_c(air_c: f64, irradiance_w_m2: f64, absorptance: f64, film_w_m2k: f64) -> f64 {
    air_c + absorptance * irradiance_w_m2 / film_w_m2k
}
