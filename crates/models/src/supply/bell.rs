//! A bell transformer as a supply: alternating current, rectified and smoothed at the station.
//!
//! It was made for a chime that sounds for a second: a camera is a continuous load. Two ends matter: the peak
//! at no load and high mains must not destroy the converter, and the trough under load and low mains must
//! still feed it. Full-wave only: half-wave draws direct current through the winding and saturates it.

use std::f64::consts::SQRT_2;

/// A bell transformer as its plate describes it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Transformer {
    /// Rated secondary voltage, rms, in V.
    pub rated_v: f64,
    /// Rated apparent power, in VA.
    pub rated_va: f64,
    /// No-load voltage over rated voltage; small ones regulate badly: 1.35 (1.15..1.6), typical, from memory.
    pub no_load_ratio: f64,
    /// Mains frequency, in Hz.
    pub mains_hz: f64,
}

/// Mains may be this much above or below its nominal voltage, as a share: 10 %, typical, from memory.
pub const MAINS_SHARE: f64 = 0.10;

/// Secondary rms current over direct current with a capacitor input: 1.7 (1.5..2.0), typical, from memory.
pub const FORM_FACTOR: f64 = 1.7;

/// Share of the rated apparent power that arrives as direct current: about 0.55, typical, from memory.
pub const USABLE_SHARE: f64 = 0.55;

/// Drop of a silicon bridge, two diodes in the path, in V: typical, from memory.
pub const BRIDGE_V: f64 = 1.6;

/// Peak of a rectified alternating voltage `rms_v`, diodes left out, in V: √2 times.
///
/// ```
/// assert!((models::supply::bell::peak_v(24.0) - 33.94).abs() < 0.005);
/// ```
pub fn peak_v(rms_v: f64) -> f64 {
    SQRT_2 * rms_v
}

/// Ripple, peak to peak, on the smoothing capacitor behind a full-wave bridge, in V.
///
/// 0.75·I/(2fC): the capacitor feeds the load for about three quarters of a half wave (rule of thumb).
///
/// ```
/// // 0.3 A, 1000 uF, 50 Hz: 0.75 × 0.3/0.1 = 2.25 V.
/// assert!((models::supply::bell::ripple_v(0.3, 1000e-6, 50.0) - 2.25).abs() < 1e-12);
/// ```
pub fn ripple_v(load_a: f64, farad: f64, mains_hz: f64) -> f64 {
    0.75 * load_a / (2.0 * mains_hz * farad)
}

impl Transformer {
    /// The highest voltage that the converter can meet, in V: no load, high mains, diodes not counted.
    ///
    /// A rating must be above this, not above the printed voltage: 8 V prints 11.3 V of peak and gives 16.8.
    pub fn highest_v(&self) -> f64 {
        peak_v(self.rated_v) * self.no_load_ratio * (1.0 + MAINS_SHARE)
    }

    /// The most direct current that may be drawn without end, in A: rated current over the form factor.
    pub fn usable_a(&self) -> f64 {
        self.rated_va / self.rated_v / FORM_FACTOR
    }

    /// The most direct power that may be drawn without end, in W: [`USABLE_SHARE`] of the rating.
    pub fn usable_w(&self) -> f64 {
        USABLE_SHARE * self.rated_va
    }

    /// The lowest voltage at the smoothing capacitor under `load_a`, in V; 0 at the least.
    ///
    /// Peak at low mains on the line from no-load to rated voltage (rms current counted with the form factor),
    /// less the bridge, less the ripple. Flattening of the wave by the charging pulses is left out: it takes up
    /// to a tenth more.
    pub fn trough_v(&self, load_a: f64, farad: f64) -> f64 {
        let rated_a = self.rated_va / self.rated_v;
        let loaded = (load_a * FORM_FACTOR / rated_a).max(0.0);
        let rms_v = self.rated_v * (self.no_load_ratio - (self.no_load_ratio - 1.0) * loaded);
        let peak = peak_v(rms_v * (1.0 - MAINS_SHARE));
        (peak - BRIDGE_V - ripple_v(load_a, farad, self.mains_hz)).max(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const BELL: Transformer =
        Transformer { rated_v: 8.0, rated_va: 8.0, no_load_ratio: 1.35, mains_hz: 50.0 };

    #[test]
    fn the_converter_meets_half_as_much_again_as_the_printed_peak() {
        assert!((BELL.highest_v() - 11.3137 * 1.485).abs() < 1e-3);
    }

    #[test]
    fn trough_falls_with_load_and_rises_with_capacitance() {
        assert!(BELL.trough_v(0.3, 1e-3) < BELL.trough_v(0.1, 1e-3));
        assert!(BELL.trough_v(0.3, 1e-3) < BELL.trough_v(0.3, 4.7e-3));
        assert_eq!(BELL.trough_v(50.0, 1e-3), 0.0);
    }

    #[test]
    fn full_rated_current_leaves_the_rated_voltage() {
        let full_a = BELL.usable_a();
        let without_ripple = BELL.trough_v(full_a, 1e9);
        assert!((without_ripple - (peak_v(8.0 * 0.9) - BRIDGE_V)).abs() < 1e-6);
    }
}
