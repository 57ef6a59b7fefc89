//! Bands from lamps that flicker with the mains, under a shutter that rolls.
//!
//! Each line integrates the lamp over its own exposure; lines start one after the other, so that what is left of the
//! flicker runs down the picture as bands. Only the first harmonic is counted.

/// Modulation depth of mains lamps: 0.3 (0.02..1), typical, from memory (trade.md `light.flicker`).
pub const USUAL_DEPTH: f64 = 0.3;

/// Contrast of the bands: depth·|sin(π f T)/(π f T)|.
///
/// - `flicker_hz`: twice the mains frequency, 100 or 120 Hz.
///
/// Source: mean of a sine over an exposure (textbook). By hand (trade.md, `calc`): 100 Hz, 2 ms: 0.94 of the depth; 33 ms:
/// 0.08.
///
/// ```
/// use models::light::flicker::band_contrast;
/// assert!((band_contrast(1.0, 100.0, 2e-3) - 0.94).abs() < 0.005);
/// assert!((band_contrast(1.0, 100.0, 33e-3) - 0.08).abs() < 0.005);
/// assert!(band_contrast(1.0, 100.0, 20e-3) < 1e-12, "whole periods leave nothing");
/// ```
pub fn band_contrast(depth: f64, flicker_hz: f64, exposure_s: f64) -> f64 {
    let x = std::f64::consts::PI * flicker_hz * exposure_s;
    if x.abs() < 1e-9 { depth } else { depth * (x.sin() / x).abs() }
}

/// Bands down the picture: flicker × time from the first line to the last.
pub fn bands(flicker_hz: f64, readout_s: f64) -> f64 {
    flicker_hz * readout_s
}

/// The longest exposure up to `longest_s` that whole periods fill, s: no bands; `None` below one period, where none is
/// left to choose.
pub fn still_exposure_s(flicker_hz: f64, longest_s: f64) -> Option<f64> {
    // A period that fits exactly must not be lost to rounding.
    let periods = (flicker_hz * longest_s + 1e-9).floor();
    (periods >= 1.0).then(|| periods / flicker_hz)
}
