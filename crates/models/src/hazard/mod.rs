//! Numbers behind rules that keep people unhurt: infrared at the eye, a coil that is switched off, a fuse and its wire.
//!
//! Nothing here says what is allowed: limits are those of the standards named, and local code and licensed practice
//! decide. Left out: skin, visible light, lasers, and anything at mains voltage.

/// What happens when the current of a coil is cut.
pub mod coil;
/// Infrared at the eye by IEC 62471.
pub mod infrared;

/// Current that a copper conductor of a section carries in a bundle or a wall, A: 6 A/mm², typical, from memory
/// (small sections in still air carry twice that).
///
/// ```
/// assert!((models::hazard::carries_a(0.5e-6) - 3.0).abs() < 1e-12);
/// ```
pub fn carries_a(section_m2: f64) -> f64 {
    6.0e6 * section_m2
}
