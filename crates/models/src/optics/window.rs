//! The hole or pane before the lens: how large it must be so that it cuts nothing off.
//!
//! The outermost ray through the pupil's edge leaves a gap `d` in front of the lens at `pupil radius + d tan(half
//! view)` from the axis. Left out: refraction in a pane of some millimetres (it makes the need smaller) and a hood.

use std::f64::consts::FRAC_PI_2;

use super::imager::Imager;
use super::law::Lens;

/// Least radius of a flat window at a gap before the lens, m; `None` at or beyond 90° (no flat window is large enough:
/// the lens must stand out or sit behind a dome), or for NaN or negative inputs.
///
/// `half_view_rad` is the angle from the axis to the picture's corner, [`corner_rad`].
///
/// # Examples
///
/// Pupil radius 2 mm, gap 3 mm, 60° to the corner: 2 + 3 × 1.732 = 7.2 mm.
///
/// ```
/// let radius_m = models::optics::window::radius_m(2e-3, 3e-3, 60f64.to_radians()).unwrap();
/// assert!((radius_m - 7.196e-3).abs() < 1e-6);
/// ```
pub fn radius_m(pupil_radius_m: f64, gap_m: f64, half_view_rad: f64) -> Option<f64> {
    let possible = pupil_radius_m >= 0.0 && gap_m >= 0.0 && (0.0..FRAC_PI_2).contains(&half_view_rad);
    possible.then(|| pupil_radius_m + gap_m * half_view_rad.tan())
}

/// Angle from the axis to the picture's corner, rad: what a window must leave free.
///
/// Where the law ends inside the picture (a round image in a dark frame) it is the law's own end.
pub fn corner_rad(lens: &Lens, imager: &Imager) -> f64 {
    lens.theta_rad(0.5 * imager.diagonal_m()).unwrap_or_else(|| lens.reach_rad())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_flat_window_serves_90_degrees() {
        assert!(radius_m(2e-3, 3e-3, FRAC_PI_2).is_none());
        assert!(radius_m(2e-3, 3e-3, f64::NAN).is_none());
        assert_eq!(radius_m(2e-3, 0.0, 1.5), Some(2e-3), "a lens that touches the pane needs only its pupil");
    }
}
