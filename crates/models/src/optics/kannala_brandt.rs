//! The four-coefficient fisheye polynomial of Kannala and Brandt, in the form that OpenCV's `fisheye` module uses.
//!
//! `theta_d = theta (1 + k1 theta² + k2 theta⁴ + k3 theta⁶ + k4 theta⁸)` is the image radius over the focal length.
//! A fitted polynomial is only good up to its *fold*, the angle where it stops growing: beyond it one pixel would
//! stand for two directions, so everything here refuses it. Nothing here knows the other laws ([`super::law`]).
//!
//! Source: docs.opencv.org 4.8.0, group `calib3d_fisheye` (read); J. Kannala, S. Brandt, "A generic camera model and
//! calibration method for conventional, wide-angle, and fish-eye lenses", IEEE PAMI 28(8), 2006 (from memory).

use std::f64::consts::PI;

/// Image radius over focal length at `theta_rad`, without asking whether the fold is passed.
pub fn theta_d(k: &[f64; 4], theta_rad: f64) -> f64 {
    let t = theta_rad * theta_rad;
    theta_rad * (1.0 + t * (k[0] + t * (k[1] + t * (k[2] + t * k[3]))))
}

/// Derivative of [`theta_d`], per radian.
pub fn slope(k: &[f64; 4], theta_rad: f64) -> f64 {
    let t = theta_rad * theta_rad;
    1.0 + t * (3.0 * k[0] + t * (5.0 * k[1] + t * (7.0 * k[2] + t * 9.0 * k[3])))
}

/// The largest angle up to which [`theta_d`] grows, at most π, in radians.
///
/// Exact: all sign changes of the slope (a quartic in `theta²`) are isolated by the roots of its derivatives.
pub fn fold_rad(k: &[f64; 4]) -> f64 {
    if k.iter().all(|&c| c >= 0.0) {
        return PI;
    }
    let slope_in_t = [1.0, 3.0 * k[0], 5.0 * k[1], 7.0 * k[2], 9.0 * k[3]];
    let mut roots = [0.0; 4];
    if sign_changes(&slope_in_t, PI * PI, &mut roots) == 0 { PI } else { roots[0].sqrt() }
}

/// The angle whose image radius over focal length is `ratio`, in radians; `None` below 0, beyond the fold or NaN.
pub fn theta_rad(k: &[f64; 4], ratio: f64) -> Option<f64> {
    let reach = fold_rad(k);
    if !(ratio >= 0.0 && ratio <= theta_d(k, reach)) {
        return None;
    }
    // Newton, kept inside a shrinking bracket: near the fold its step would leave it.
    let (mut low, mut high) = (0.0, reach);
    let mut theta = ratio.min(reach);
    for _ in 0..100 {
        let excess = theta_d(k, theta) - ratio;
        if excess > 0.0 {
            high = theta;
        } else {
            low = theta;
        }
        let newton = theta - excess / slope(k, theta);
        let next = if newton > low && newton < high { newton } else { 0.5 * (low + high) };
        if (next - theta).abs() <= 1e-15 * reach {
            return Some(next);
        }
        theta = next;
    }
    Some(theta)
}

/// Sign changes of a polynomial (lowest power first, degree at most 4) in `0..high`, ascending; returns how many.
fn sign_changes(coefficients: &[f64], high: f64, roots: &mut [f64; 4]) -> usize {
    let degree = coefficients.len() - 1;
    if degree == 0 {
        return 0;
    }
    let mut derivative = [0.0; 4];
    for power in 1..=degree {
        derivative[power - 1] = power as f64 * coefficients[power];
    }
    let mut turns = [0.0; 4];
    let turn_count = sign_changes(&derivative[..degree], high, &mut turns);
    let value = |t: f64| coefficients.iter().rev().fold(0.0, |sum, c| sum * t + c);
    let mut count = 0;
    let mut start = 0.0;
    for &end in turns[..turn_count].iter().chain(std::iter::once(&high)) {
        let rising = value(start) < 0.0;
        if rising != (value(end) < 0.0) && count < roots.len() {
            let (mut a, mut b) = (start, end);
            // 60 halvings of at most π² end below the spacing of f64 there.
            for _ in 0..60 {
                let middle = 0.5 * (a + b);
                if (value(middle) < 0.0) == rising {
                    a = middle;
                } else {
                    b = middle;
                }
            }
            roots[count] = a;
            count += 1;
        }
        start = end;
    }
    count
}

/// A calibrated camera in pixels, as OpenCV's `fisheye` functions take it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fisheye {
    /// Focal length across and down, px.
    pub focal_px: [f64; 2],
    /// Where the axis meets the picture, px.
    pub centre_px: [f64; 2],
    /// OpenCV's `alpha`: `u = fx (x' + alpha y') + cx`.
    pub skew: f64,
    /// k1 to k4.
    pub k: [f64; 4],
}

impl Fisheye {
    /// Pixel of a point in the camera frame; `None` on the axis behind the lens, beyond the fold, or NaN.
    ///
    /// Unlike OpenCV's own function it also takes points beside and behind the lens when the fold allows: the
    /// angle is `atan2`, not `atan` of a ratio.
    ///
    /// # Examples
    ///
    /// A point at 45° with all coefficients 0 lies `400 π/4 = 314.159` px from the centre:
    ///
    /// ```
    /// let camera = models::optics::kannala_brandt::Fisheye {
    ///     focal_px: [400.0, 400.0], centre_px: [640.0, 480.0], skew: 0.0, k: [0.0; 4] };
    /// let [u, v] = camera.pixel_from_camera([1.0, 0.0, 1.0]).unwrap();
    /// assert!((u - 954.159265).abs() < 1e-6 && v == 480.0);
    /// ```
    pub fn pixel_from_camera(&self, point: [f64; 3]) -> Option<[f64; 2]> {
        let across = point[0].hypot(point[1]);
        let theta = across.atan2(point[2]);
        if theta.is_nan() || theta > fold_rad(&self.k) {
            return None;
        }
        let scale = if across > 0.0 {
            theta_d(&self.k, theta) / across
        } else if point[2] > 0.0 {
            0.0
        } else {
            return None;
        };
        let (x, y) = (point[0] * scale, point[1] * scale);
        Some([
            self.focal_px[0] * (x + self.skew * y) + self.centre_px[0],
            self.focal_px[1] * y + self.centre_px[1],
        ])
    }

    /// Unit direction in the camera frame of a pixel; `None` beyond the fold, or NaN.
    ///
    /// OpenCV's `fisheye.undistortPoints` returns `(x/z, y/z)` of the same direction.
    pub fn camera_from_pixel(&self, pixel: [f64; 2]) -> Option<[f64; 3]> {
        let y = (pixel[1] - self.centre_px[1]) / self.focal_px[1];
        let x = (pixel[0] - self.centre_px[0]) / self.focal_px[0] - self.skew * y;
        let ratio = x.hypot(y);
        let (sin, cos) = theta_rad(&self.k, ratio)?.sin_cos();
        if ratio == 0.0 {
            return Some([0.0, 0.0, 1.0]);
        }
        Some([x / ratio * sin, y / ratio * sin, cos])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fold_is_where_the_slope_vanishes() {
        // theta - theta³/3 turns at exactly 1 rad.
        assert!((fold_rad(&[-1.0 / 3.0, 0.0, 0.0, 0.0]) - 1.0).abs() < 1e-12);
        assert_eq!(fold_rad(&[0.05, -0.02, 0.02, 0.0]), PI);
        assert!(theta_rad(&[-1.0 / 3.0, 0.0, 0.0, 0.0], 0.667).is_none(), "the top is at 2/3");
    }

    #[test]
    fn two_close_roots_are_not_stepped_over() {
        // Slope (1 - t/a)(1 - t/b) with a and b 0.001 apart: a scan in coarse steps would miss the dip.
        let (a, b) = (1.0, 1.001);
        let k = [-(1.0 / a + 1.0 / b) / 3.0, 1.0 / (a * b) / 5.0, 0.0, 0.0];
        assert!((fold_rad(&k) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn nan_is_refused() {
        assert!(theta_rad(&[0.0; 4], f64::NAN).is_none());
        let camera = Fisheye { focal_px: [400.0; 2], centre_px: [0.0; 2], skew: 0.0, k: [0.0; 4] };
        assert!(camera.pixel_from_camera([f64::NAN, 0.0, 1.0]).is_none());
        assert!(camera.pixel_from_camera([0.0, 0.0, -1.0]).is_none());
    }
}
