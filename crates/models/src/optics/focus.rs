//! What is sharp: depth of field, and what infrared light does to the focus.
//!
//! Thin-lens optics with a circle of confusion. Left out: diffraction, field curvature and the lens's own faults,
//! which are told by its sharpness instead. Lengths in metres; distances are from the lens.
//!
//! Source: the textbook thin-lens form (from memory); the numbers in `checks/` are computed.

/// Share of a picture pixel's side that a blur disc may span before it is seen; times the pitch it is the circle of
/// confusion. Typical, from memory: one to two pixels for a colour mosaic.
pub const CIRCLE_PER_PITCH: f64 = 1.5;

/// A lens's focus: focal length, f-number and the distance that is sharpest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Focus {
    /// Focal length, m.
    pub focal_m: f64,
    /// Focal length over aperture diameter.
    pub f_number: f64,
    /// Distance in focus, m, above the focal length; infinity is allowed.
    pub distance_m: f64,
}

/// The distances between which the blur disc stays within the circle of confusion.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Depth {
    /// Nearest sharp distance, m.
    pub near_m: f64,
    /// Farthest sharp distance, m; infinite when the focus is at or beyond the hyperfocal distance.
    pub far_m: f64,
    /// Hyperfocal distance `f²/(N c) + f`, m: focused there, all from half of it to infinity is sharp.
    pub hyperfocal_m: f64,
}

impl Focus {
    /// How far the image of a point at `distance_m` lies behind the image of infinity, m: `f²/(s - f)`.
    ///
    /// This is the number to compare when a filter, window or wavelength shifts the focus by some micrometres.
    fn extension_m(&self, distance_m: f64) -> f64 {
        self.focal_m * self.focal_m / (distance_m - self.focal_m)
    }

    fn possible(&self) -> bool {
        self.focal_m > 0.0 && self.f_number > 0.0 && self.distance_m > self.focal_m
    }

    /// Depth of field for a circle of confusion, m; `None` when an input is not positive or the focus is inside the
    /// focal length.
    ///
    /// # Examples
    ///
    /// 3.6 mm at f/2, circle 3 um: `H = 3.6²/(2 × 0.003) + 3.6 = 2163.6 mm`.
    ///
    /// ```
    /// use models::optics::focus::Focus;
    /// let depth = Focus { focal_m: 3.6e-3, f_number: 2.0, distance_m: 1.0 }.depth(3e-6).unwrap();
    /// assert!((depth.hyperfocal_m - 2.1636).abs() < 1e-9);
    /// ```
    pub fn depth(&self, circle_m: f64) -> Option<Depth> {
        if !(self.possible() && circle_m > 0.0) {
            return None;
        }
        let (f, s) = (self.focal_m, self.distance_m);
        let hyperfocal_m = f * f / (self.f_number * circle_m) + f;
        if s.is_infinite() {
            return Some(Depth { near_m: hyperfocal_m, far_m: f64::INFINITY, hyperfocal_m });
        }
        let near_m = s * (hyperfocal_m - f) / (hyperfocal_m + s - 2.0 * f);
        let far_m =
            if s < hyperfocal_m { s * (hyperfocal_m - f) / (hyperfocal_m - s) } else { f64::INFINITY };
        Some(Depth { near_m, far_m, hyperfocal_m })
    }

    /// Diameter of the blur disc of a point at `object_m`, m on the array: the cone of light cut by the array.
    ///
    /// `None` inside the focal length or for impossible inputs.
    pub fn disc_m(&self, object_m: f64) -> Option<f64> {
        if !(self.possible() && object_m > self.focal_m) {
            return None;
        }
        let aperture_m = self.focal_m / self.f_number;
        let image_m = self.focal_m + self.extension_m(object_m);
        Some(aperture_m * (self.extension_m(object_m) - self.extension_m(self.distance_m)).abs() / image_m)
    }

    /// The focus after the image has moved back by `shift_m` (positive: away from the lens), the lens staying put.
    ///
    /// Near-infrared light comes to a focus behind visible light: 10 to 50 um at 850 nm for a plain lens (typical,
    /// from memory), so what was sharp near the lens by day is sharp farther off by night. `None` when the new focus
    /// lies beyond infinity: then nothing is in focus.
    pub fn shifted(&self, shift_m: f64) -> Option<Self> {
        if !(self.possible() && shift_m.is_finite()) {
            return None;
        }
        let extension_m = self.extension_m(self.distance_m) - shift_m;
        (extension_m > 0.0)
            .then(|| Self { distance_m: self.focal_m + self.focal_m * self.focal_m / extension_m, ..*self })
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {

        /// Second derivation: at both limits the cone of light is exactly one circle wide on the array.
        #[test]
        fn disc_at_the_limits_is_the_circle(focal_m in 1e-3..8e-3f64, f_number in 1.4..4.0f64, distance_m in 0.1..3.0f64,
            circle_m in 1e-6..8e-6f64) {
            let focus = Focus { focal_m, f_number, distance_m };
            let depth = focus.depth(circle_m).unwrap();
            prop_assert!((focus.disc_m(depth.near_m).unwrap() / circle_m - 1.0).abs() < 1e-6);
            if depth.far_m.is_finite() {
                prop_assert!((focus.disc_m(depth.far_m).unwrap() / circle_m - 1.0).abs() < 1e-6);
            }
            prop_assert!(depth.near_m < distance_m && depth.far_m > distance_m);
        }
    }

    #[test]
    fn infrared_moves_a_near_focus_away_and_a_far_one_out_of_reach() {
        // f 3.6 mm at 0.7 m: 12.96/696.4 = 18.6 um behind infinity's image. 10 um leave 8.6 um: 1.51 m.
        let near = Focus { focal_m: 3.6e-3, f_number: 2.0, distance_m: 0.7 };
        assert!((near.shifted(10e-6).unwrap().distance_m - 1.5095).abs() < 1e-3);
        assert!(near.shifted(20e-6).is_none());
        assert_eq!(near.shifted(0.0).map(|f| (f.distance_m * 1e9).round()), Some(0.7e9));
    }

    #[test]
    fn focus_inside_the_lens_or_nan_is_refused() {
        assert!(Focus { focal_m: 3e-3, f_number: 2.0, distance_m: 2e-3 }.depth(3e-6).is_none());
        assert!(Focus { focal_m: 3e-3, f_number: f64::NAN, distance_m: 1.0 }.depth(3e-6).is_none());
    }
}
