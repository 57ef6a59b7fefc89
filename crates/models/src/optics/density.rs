//! How many picture pixels fall on a metre of a face.
//!
//! A face is a small plane that looks straight at the wall. Its image is stretched unequally: along the radius of a
//! fisheye less than around it, and less where it is seen aslant. The *smaller* stretch counts, whatever its direction:
//! it is the smaller singular value of the map from the plane to the picture.

use super::law::{Lens, Projector};

/// Stretch of a plane into the image at one point, image metres per metre; divide by the pixel pitch for px/m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// In the direction that is imaged smallest.
    pub smaller: f64,
    /// In the direction that is imaged largest.
    pub larger: f64,
}

/// Stretch at a point of a plane with a normal of length 1, both in the camera frame.
///
/// `None` where the law does not reach the point, or when the plane is seen edge on from the lens.
///
/// A step on the plane splits into a part away from the lens's axis (stretched by `g`), one around it (stretched by
/// `s`) and one along the sight line (not seen). The map's squared norm is then `g² (1 - (o·n)²) + s² (1 - (a·n)²)`, its
/// determinant `g s |r·n|`, with `o`, `a`, `r` the unit vectors outward, around and along the ray; both singular values
/// follow.
#[inline]
pub fn stretch(projector: &Projector, point: [f64; 3], normal: [f64; 3]) -> Option<Stretch> {
    let [x, y, z] = point;
    let across2 = x * x + y * y;
    let [radial2, around2] = projector.stretches2(across2, z)?;
    let (inward, aside) = (x * normal[0] + y * normal[1], x * normal[1] - y * normal[0]);
    let away2 = across2 + z * z;
    let outward = z * inward - across2 * normal[2];
    let ray = inward + z * normal[2];
    let [outward_normal2, around_normal2, ray_normal2] = if across2 > 0.0 {
        let per_both2 = 1.0 / (across2 * away2);
        [outward * outward * per_both2, aside * aside * per_both2 * away2, ray * ray * per_both2 * across2]
    } else {
        // On the axis every direction is outward; any will do.
        [normal[0] * normal[0], normal[1] * normal[1], normal[2] * normal[2]]
    };
    let norm2 = radial2 * (1.0 - outward_normal2) + around2 * (1.0 - around_normal2);
    let determinant2 = radial2 * around2 * ray_normal2;
    // The smaller as a quotient, so that it does not drown in a difference of nearly equal numbers.
    let larger2 = 0.5 * (norm2 + (norm2 * norm2 - 4.0 * determinant2).max(0.0).sqrt());
    (larger2 > 0.0).then(|| Stretch { smaller: (determinant2 / larger2).sqrt(), larger: larger2.sqrt() })
}

/// Density on the lens's axis on a plane across it, px/m.
///
/// All laws agree there.
///
/// # Examples
///
/// 3.6 mm over pixels of 3 um is 1,200 px/rad; at 2 m that is 600 px/m:
///
/// ```
/// use models::optics::{density, law::{Law, Lens}};
/// let lens = Lens::new(Law::Rectilinear, 3.6e-3);
/// assert!((density::on_axis_px_per_m(&lens, 3e-6, 2.0) - 600.0).abs() < 1e-9);
/// ```
pub fn on_axis_px_per_m(lens: &Lens, pitch_m: f64, distance_m: f64) -> f64 {
    lens.focal_m / pitch_m / distance_m
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::optics::law::Law;
    use crate::optics::pose::Pose;

    #[test]
    fn straight_rectilinear_density_is_the_same_all_over_the_plane() {
        let projector = Projector::new(&Lens::new(Law::Rectilinear, 3e-3));
        for x in [0.0, 0.3, 1.7] {
            let s = stretch(&projector, [x, -0.2, 0.8], [0.0, 0.0, 1.0]).unwrap();
            // Where both are equal, the root of a difference keeps half of the digits.
            assert!(
                (s.smaller * 0.8 / 3e-3 - 1.0).abs() < 1e-7 && (s.larger * 0.8 / 3e-3 - 1.0).abs() < 1e-7
            );
        }
    }

    proptest! {

        /// Second derivation: step a little each way on the plane and look how far the image moves.
        #[test]
        fn stretch_agrees_with_small_steps(index in 0..5usize, tilt_rad in -0.5..0.5f64, x in -0.5..0.5f64, y in 1.0..1.9f64) {
            let projector = Projector::new(&Lens::new(Law::PLAIN[index], 2e-3));
            let map = Pose { height_m: 1.4, tilt_rad, ..Pose::default() }.camera_from_door();
            let s = stretch(&projector, map.apply([x, y, 0.6]), map.door_axis(2)).unwrap();
            let image = |dx: f64, dy: f64| projector.image_from_camera(map.apply([x + dx, y + dy, 0.6])).unwrap();
            let h = 1e-5;
            let mut seen = (f64::INFINITY, 0.0f64);
            for step in 0..360 {
                let (sin, cos) = (f64::from(step) * 0.5).to_radians().sin_cos();
                let (a, b) = (image(h * cos, h * sin), image(-h * cos, -h * sin));
                let moved = (a[0] - b[0]).hypot(a[1] - b[1]) / (2.0 * h);
                seen = (seen.0.min(moved), seen.1.max(moved));
            }
            // Half-degree steps miss an extreme by at most 0.25°: 1e-5 of the span; differences add 1e-9.
            prop_assert!((seen.0 - s.smaller).abs() < 1e-4 * s.larger);
            prop_assert!((seen.1 - s.larger).abs() < 1e-4 * s.larger);
        }
    }
}
