//! Infrared at the cornea and the lens of an eye: IEC 62471 (exempt group), 780 to 3,000 nm.
//!
//! Visitors stare from 0.2 to 0.5 m into a source that they cannot see, so no blink protects them: all emitters are
//! summed at 0.2 m. Left out: the retina (a small emitter at 850 nm meets this limit long before that one, see the
//! test), optical instruments, and pulses shorter than a millisecond.

use std::f64::consts::PI;

/// Distance at which an eye is judged, m: the standard's own, and where a visitor's eye may be.
pub const EYE_M: f64 = 0.2;

/// Beyond this a look counts as lasting, s (IEC 62471: 1,000 s).
pub const LASTING_S: f64 = 1000.0;

/// Irradiance of emitters side by side, far enough to be one point, W/m²: `I / d²`.
///
/// By hand: 80 mW/sr at 0.2 m is 0.080 / 0.04 = 2 W/m².
///
/// ```
/// use models::hazard::infrared::{EYE_M, irradiance_w_m2};
/// assert!((irradiance_w_m2(0.080, EYE_M) - 2.0).abs() < 1e-12);
/// ```
pub fn irradiance_w_m2(intensity_w_sr: f64, distance_m: f64) -> f64 {
    intensity_w_sr / (distance_m * distance_m)
}

/// Highest irradiance at the eye over a look of `look_s`, W/m²: 18,000 t^-0.75 up to 1,000 s, 100 beyond
/// (IEC 62471:2006, 4.3.7; seen in secondary sources: references.md 10, a*).
///
/// The two branches do not meet: 101.22 at 1,000 s, then 100; that is the standard's rounding. NaN for a time that is
/// none.
///
/// ```
/// use models::hazard::infrared::cornea_limit_w_m2;
/// assert!((cornea_limit_w_m2(7.0) - 4182.63).abs() < 0.01);
/// assert_eq!(cornea_limit_w_m2(f64::INFINITY), 100.0);
/// ```
pub fn cornea_limit_w_m2(look_s: f64) -> f64 {
    match look_s {
        t if t > LASTING_S => 100.0,
        t if t > 0.0 => 18_000.0 * t.powf(-0.75),
        _ => f64::NAN,
    }
}

/// Intensity of all emitters together when the current limit of one has failed and it runs at `fault` times its own,
/// W/sr: light follows the current.
///
/// By hand: 8 emitters of 10 mW/sr, one at three times its current: 80 + 20 = 100 mW/sr.
///
/// ```
/// use models::hazard::infrared::with_one_failed_w_sr;
/// assert!((with_one_failed_w_sr(0.080, 8, 3.0) - 0.100).abs() < 1e-12);
/// ```
pub fn with_one_failed_w_sr(intensity_w_sr: f64, emitters: u32, fault: f64) -> f64 {
    intensity_w_sr * (1.0 + (fault - 1.0) / f64::from(emitters.max(1)))
}

/// Weight of a wavelength for the retina, 700 to 1,050 nm: `10^((700 - λ)/500)` (IEC 62471, from memory).
pub fn retina_weight(wavelength_m: f64) -> f64 {
    10f64.powf((700.0 - wavelength_m * 1e9) / 500.0)
}

/// Weighted radiance of a round emitter over the limit for a weak visual stimulus, 6,000/α W/(m² sr) (IEC 62471:2006,
/// from memory), α kept to 0.011..0.1 rad. Above 1 is too much.
pub fn retina_share(intensity_w_sr: f64, emitter_m: f64, wavelength_m: f64, distance_m: f64) -> f64 {
    let radiance_w_m2_sr = intensity_w_sr / (0.25 * PI * emitter_m * emitter_m);
    let alpha_rad = (emitter_m / distance_m).clamp(0.011, 0.1);
    radiance_w_m2_sr * retina_weight(wavelength_m) * alpha_rad / 6000.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn printed_values_come_out() {
        // references.md 10: 80 mW/sr at 0.2, 0.5 and 1.0 m; the limits at 7 and 1,000 s; R(850 nm).
        for (distance_m, w_m2) in [(0.2, 2.0), (0.5, 0.32), (1.0, 0.08)] {
            assert!((irradiance_w_m2(0.080, distance_m) - w_m2).abs() < 1e-12);
        }
        assert!((cornea_limit_w_m2(7.0) - 4182.63).abs() < 0.005);
        assert!((cornea_limit_w_m2(1000.0) - 101.22).abs() < 0.005);
        assert!((retina_weight(850e-9) - 0.501_187).abs() < 1e-6);
        // "50 times under" the exempt limit.
        assert!((cornea_limit_w_m2(1e4) / irradiance_w_m2(0.080, EYE_M) - 50.0).abs() < 1e-9);
    }

    #[test]
    fn the_cornea_is_the_stricter_limit_for_small_emitters() {
        // Any intensity: both grow with it, so the ratio of shares tells which limit is met first.
        for emitter_m in [1e-3, 2.5e-3, 5e-3, 20e-3] {
            let cornea = irradiance_w_m2(1.0, EYE_M) / cornea_limit_w_m2(1e4);
            let retina = retina_share(1.0, emitter_m, 850e-9, EYE_M);
            assert_eq!(emitter_m >= 2.5e-3, retina < cornea, "{emitter_m}: {retina} {cornea}");
        }
    }

    proptest! {
        #[test]
        fn a_longer_look_never_allows_more(t in 1.0..1e5_f64, factor in 1.0..100.0_f64) {
            prop_assert!(cornea_limit_w_m2(t * factor) <= cornea_limit_w_m2(t));
        }

        #[test]
        fn a_failed_emitter_never_gives_less_and_matters_less_among_many(n in 1_u32..60, fault in 1.0..20.0_f64) {
            let one = with_one_failed_w_sr(1.0, n, fault);
            prop_assert!(one >= 1.0 && one <= fault + 1e-12);
            prop_assert!(with_one_failed_w_sr(1.0, n + 1, fault) <= one);
        }
    }
}
