//! Bytes of a frame: the median, how it scatters, and how often it is more than what was set aside.
//!
//! Two spreads are kept apart. *Places* of one class differ (25 %): that holds for the life of a station and belongs
//! to the draw, see [`SIGMA_PLACE`] and [`FrameSize::times`]. *Moments* at one place differ (10 %: people, shadows,
//! wet ground): that is what a reserve must survive, and what [`FrameSize::share_over`] counts.

use super::scene::{HEADER_B, REFERENCE_PX, SCALES, Scene};
use crate::out_of_range::OutOfRange;
use quantity::normal::{cdf, quantile};

/// Lognormal sigma between places of one scene class (typical, from memory; the sample pictures of one class lie
/// within 0.07 to 0.15).
pub const SIGMA_PLACE: f64 = 0.25;
/// Lognormal sigma between frames at one place (typical, from memory).
pub const SIGMA_MOMENT: f64 = 0.10;
/// What night noise makes of a day scene's size: 5 %, median, 95 % (typical, from memory; trade.md
/// `memory.frame-truncated`). Not to be put on top of [`Scene::NightNoise`].
pub const NIGHT_FACTOR: [f64; 3] = [1.05, 1.4, 2.2];

/// Bytes that a camera driver sets aside for one JPEG frame: a fifth of a byte a pixel (typical, from memory).
///
/// By hand: 1600·1200/5 = 384,000.
///
/// ```
/// assert_eq!(models::jpeg::size::driver_reserve_b(1600, 1200), 384_000.0);
/// ```
pub fn driver_reserve_b(width: u32, height: u32) -> f64 {
    f64::from(width) * f64::from(height) / 5.0
}

/// Bits per pixel of a scene at a scale of tables K.1 and K.2 and a number of pixels, headers not counted.
///
/// Straight lines through the measured rows in logarithms of both; beyond the ends the last slope goes on, down to
/// scale 0.02 and up to 25. Never below the floor of an empty picture, 0.125 (references.md §4.3, flat grey).
pub fn bits_per_px(scene: Scene, scale: f64, pixels: f64) -> f64 {
    let row = scene.row();
    let x = scale.clamp(0.02, 25.0).ln();
    let at = SCALES.windows(2).position(|w| x < w[1].ln()).unwrap_or(SCALES.len() - 2);
    let (x0, x1) = (SCALES[at].ln(), SCALES[at + 1].ln());
    let (y0, y1) = (row.bits_per_px[at].ln(), row.bits_per_px[at + 1].ln());
    let at_reference = (y0 + (y1 - y0) * (x - x0) / (x1 - x0)).exp();
    (at_reference * (pixels.max(1.0) / REFERENCE_PX).powf(-row.fall)).max(0.125)
}

/// Size of a frame as a lognormal: median and sigma of its logarithm from moment to moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FrameSize {
    /// Half of the frames are smaller, B.
    pub median_b: f64,
    /// Standard deviation of the logarithm between frames at one place.
    pub sigma: f64,
}

impl FrameSize {
    /// Frames of a scene at a size and a scale of the tables.
    ///
    /// # Errors
    /// [`OutOfRange`]: width or height outside 16 to 8,192; scale outside 0 to 25.
    ///
    /// # Examples
    /// By hand, a porch, 800×600, tables as printed: 0.860 · (480,000/262,144)^-0.176 = 0.773 bits, · 480,000 / 8
    /// + 623 = 47.0 kB: half of the driver's reserve of 96 kB.
    ///
    /// ```
    /// use models::jpeg::{scene::Scene, size::FrameSize};
    /// let frame = FrameSize::new(Scene::Porch, 1.0, 800, 600)?;
    /// assert!((frame.median_b - 47_000.0).abs() < 100.0);
    /// # Ok::<(), models::out_of_range::OutOfRange>(())
    /// ```
    pub fn new(scene: Scene, scale: f64, width: u32, height: u32) -> Result<Self, OutOfRange> {
        let width = OutOfRange::check("width", f64::from(width), 16.0, 8192.0)?;
        let height = OutOfRange::check("height", f64::from(height), 16.0, 8192.0)?;
        let scale = OutOfRange::check("scale", scale, 0.0, 25.0)?;
        let pixels = width * height;
        Ok(Self {
            median_b: bits_per_px(scene, scale, pixels) * pixels / 8.0 + HEADER_B,
            sigma: SIGMA_MOMENT,
        })
    }

    /// The same frames `factor` times as large: this place's draw, or night.
    #[must_use]
    pub fn times(self, factor: f64) -> Self {
        Self { median_b: self.median_b * factor, ..self }
    }

    /// The size that a share `share` of frames stays below, B.
    pub fn quantile_b(&self, share: f64) -> f64 {
        self.median_b * (self.sigma * quantile(share)).exp()
    }

    /// Share of frames that are larger than `reserve_b`: those arrive cut off.
    pub fn share_over(&self, reserve_b: f64) -> f64 {
        if reserve_b <= 0.0 {
            return 1.0;
        }
        if self.sigma <= 0.0 {
            return if self.median_b > reserve_b { 1.0 } else { 0.0 };
        }
        cdf(-(reserve_b / self.median_b).ln() / self.sigma)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finer_tables_more_pixels_and_busier_scenes_cost_bytes() {
        let bytes = |scene, scale, w, h| FrameSize::new(scene, scale, w, h).unwrap().median_b;
        for scene in Scene::ALL {
            let mut last = f64::INFINITY;
            for number in 0..=63 {
                let now = bytes(scene, f64::from(number.max(1)) / 12.0, 640, 480);
                assert!(now <= last, "{scene:?} {number}");
                last = now;
            }
            assert!(bytes(scene, 1.0, 1600, 1200) > bytes(scene, 1.0, 800, 600));
            let fine = bits_per_px(scene, 1.0, 1.92e6);
            assert!(
                fine < bits_per_px(scene, 1.0, 4.8e5),
                "a larger picture of the same scene has fewer bits a pixel"
            );
        }
        assert!(bytes(Scene::CalmWall, 1.0, 640, 480) < bytes(Scene::Porch, 1.0, 640, 480));
        assert!(bytes(Scene::Porch, 1.0, 640, 480) < bytes(Scene::Foliage, 1.0, 640, 480));
    }

    #[test]
    fn measured_night_lies_in_the_trades_span_of_the_night_factor() {
        // trade.md: x1.4 (1.05..2.2). The measured noise costs most where the tables are finest.
        for scale in [0.2, 0.5, 1.0, 1.66] {
            let ratio = bits_per_px(Scene::NightNoise, scale, REFERENCE_PX)
                / bits_per_px(Scene::Porch, scale, REFERENCE_PX);
            assert!((NIGHT_FACTOR[0]..NIGHT_FACTOR[2]).contains(&ratio), "{scale}: {ratio}");
        }
    }

    #[test]
    fn share_over_the_quantile_is_the_rest() {
        let frame = FrameSize { median_b: 40_000.0, sigma: 0.3 };
        for share in [0.5, 0.9, 0.999] {
            assert!((frame.share_over(frame.quantile_b(share)) - (1.0 - share)).abs() < 1e-6);
        }
        assert_eq!(frame.share_over(0.0), 1.0);
        assert_eq!(FrameSize { sigma: 0.0, ..frame }.share_over(50_000.0), 0.0);
    }

    #[test]
    fn usual_porch_fits_its_reserve_by_day_and_foliage_does_not() {
        let over =
            |scene| FrameSize::new(scene, 1.0, 800, 600).unwrap().share_over(driver_reserve_b(800, 600));
        assert!(over(Scene::Porch) < 1e-6);
        assert!(over(Scene::Foliage) > 1e-3);
    }

    #[test]
    fn hostile_sizes_are_refused() {
        assert_eq!(FrameSize::new(Scene::Porch, 1.0, 0, 600).unwrap_err().what, "width");
        assert_eq!(FrameSize::new(Scene::Porch, f64::NAN, 800, 600).unwrap_err().what, "scale");
    }
}
