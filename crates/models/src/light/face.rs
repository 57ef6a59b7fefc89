//! Whether a face can be told: the signal-to-noise of a feature, and the least light that gives it.
//!
//! What counts is not the face against black but a feature of the face against the rest of it: some 15 % of contrast over
//! 8 mm. Below a ratio of 5 it drowns (trade.md `light.face-contrast`; the Rose criterion has 5 too, from memory).

use super::exposure::{Camera, Shot, Subject, level_per_code};

/// Signal-to-noise at which a feature is seen (trade.md `light.face-contrast`).
pub const WANTED_SNR: f64 = 5.0;

/// What must be told apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Feature {
    /// Contrast against the skin around it: 0.15 (0.1..0.2) (trade.md `light.face-contrast`).
    pub contrast: f64,
    /// Its size on the face, m: 8 mm (same rule).
    pub side_m: f64,
    /// Picture pixels on a metre of the face.
    pub px_per_m: f64,
}

impl Feature {
    /// The usual feature, 15 % over 8 mm, at this density.
    pub const fn usual(px_per_m: f64) -> Self {
        Self { contrast: 0.15, side_m: 0.008, px_per_m }
    }

    /// Contrast that is left and pixels that it covers. Smaller than a pixel it still has one, diluted.
    fn in_pixels(&self) -> (f64, f64) {
        let pixels = (self.side_m * self.px_per_m).powi(2);
        (self.contrast * pixels.min(1.0), pixels.max(1.0))
    }
}

/// The range of illuminances and of luminance ratios that is searched.
const LUX: (f64, f64) = (1e-4, 2e5);
const RATIO: (f64, f64) = (1e-3, 1e6);

impl Camera {
    /// Signal-to-noise of a feature in one picture: C S √n / √(S + dark + read² + prnu² S² + quantiser²), S in electrons.
    ///
    /// By hand: S 900 e, C 0.1, n 4, nothing but photons: 0.1·900·2/30 = 6.
    ///
    /// ```
    /// use models::light::{exposure::{Camera, Shot}, face::Feature, sensor::Sensor};
    /// let sensor = Sensor { read_noise_e: 0.0, prnu: 0.0, dark_e_s: 0.0, code_step: 0.0, ..Sensor::usual(2.2e-6) };
    /// let camera = Camera { sensor, transmission: 0.8, f_number: 2.2, fall_off: 1.0 };
    /// let feature = Feature { contrast: 0.1, side_m: 0.008, px_per_m: 250.0 };
    /// let shot = Shot { exposure_s: 0.01, gain: 1.0, electrons: 900.0, level: 0.18 };
    /// assert!((camera.snr(&shot, &feature) - 6.0).abs() < 1e-9);
    /// ```
    pub fn snr(&self, shot: &Shot, feature: &Feature) -> f64 {
        self.snr_with(shot, feature.in_pixels(), self.sensor.dark_now_e_s())
    }

    fn snr_with(&self, shot: &Shot, (contrast, pixels): (f64, f64), dark_e_s: f64) -> f64 {
        let sensor = &self.sensor;
        let signal_e = shot.electrons;
        if signal_e <= 0.0 {
            return 0.0;
        }
        // A uniform error of one step has the deviation step/√12.
        let step_e = sensor.code_step * level_per_code(shot.level) * sensor.full_well_e / shot.gain;
        let variance = signal_e
            + dark_e_s * shot.exposure_s
            + sensor.read_noise_e.powi(2)
            + (sensor.prnu * signal_e).powi(2)
            + step_e * step_e / 12.0;
        contrast * signal_e * pixels.sqrt() / variance.sqrt()
    }

    /// The least lux on the face at which a feature has the wanted signal-to-noise; `None` when no light gives it.
    ///
    /// Signal-to-noise rises with light at a fixed background ratio, so the answer is bracketed between 1e-4 and
    /// 200,000 lx and halved in the logarithm to a part in a million.
    ///
    /// Cost: about 2 us in release.
    pub fn needed_lux(&self, subject: &Subject, feature: &Feature, wanted_snr: f64) -> Option<f64> {
        let (feature, dark_e_s) = (feature.in_pixels(), self.sensor.dark_now_e_s());
        let enough = |lux: f64| self.snr_with(&self.shot(subject, lux), feature, dark_e_s) >= wanted_snr;
        least(LUX, enough)
    }

    /// The brightest background, as its luminance over the face's, before which the face still has the wanted
    /// signal-to-noise in plenty of light; `None` when it has not even before a black one.
    ///
    /// Infinite when the background is not metered or never matters.
    pub fn most_backlight(&self, subject: &Subject, feature: &Feature, wanted_snr: f64) -> Option<f64> {
        let (feature, dark_e_s) = (feature.in_pixels(), self.sensor.dark_now_e_s());
        let seen = |bright_ratio: f64| {
            let shot = self.shot(&Subject { bright_ratio, ..*subject }, LUX.1);
            self.snr_with(&shot, feature, dark_e_s) >= wanted_snr
        };
        if !seen(RATIO.0) {
            return None;
        }
        Some(least(RATIO, |ratio| !seen(ratio)).unwrap_or(f64::INFINITY))
    }
}

/// The least value of a range from which on a condition holds, if it holds at the end; the low end if it always does.
fn least((low, high): (f64, f64), holds: impl Fn(f64) -> bool) -> Option<f64> {
    if !holds(high) {
        return None;
    }
    if holds(low) {
        return Some(low);
    }
    let (mut outside, mut inside) = (low.ln(), high.ln());
    // 22 in the logarithm, halved 25 times: 7e-7.
    for _ in 0..25 {
        let middle = 0.5 * (outside + inside);
        if holds(middle.exp()) {
            inside = middle;
        } else {
            outside = middle;
        }
    }
    Some(inside.exp())
}
