//! Lens laws: how far from the picture's centre a direction is imaged.
//!
//! With `theta` the angle from the axis and `f` the focal length, the image radius is: rectilinear `f tan theta`,
//! stereographic `2 f tan(theta/2)`, equidistant `f theta`, equisolid `2 f sin(theta/2)`, orthographic
//! `f sin theta`, and for a measured lens the polynomial of [`super::kannala_brandt`]. Each law ends somewhere; every
//! function returns `None` beyond that end instead of folding back.
//!
//! Source of formulas and local scales: optowiki.info, "Fisheye types" (read).

use std::f64::consts::{FRAC_PI_2, PI};
use std::fmt;

use super::kannala_brandt as kb;

/// The rule that a lens follows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Law {
    /// Straight lines stay straight (gnomonic); ends below 90°.
    Rectilinear,
    /// Shapes are kept; ends below 180°.
    Stereographic,
    /// The radius is proportional to the angle (f-theta).
    Equidistant,
    /// Areas are kept (equal area).
    Equisolid,
    /// As a sphere seen from afar; ends at 90°.
    Orthographic,
    /// A measured polynomial; ends at its fold.
    KannalaBrandt,
}

impl Law {
    /// The five laws without coefficients.
    pub const PLAIN: [Self; 5] =
        [Self::Rectilinear, Self::Stereographic, Self::Equidistant, Self::Equisolid, Self::Orthographic];
}

/// A lens: its law, focal length, and the coefficients that only [`Law::KannalaBrandt`] reads.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lens {
    /// The rule that it follows.
    pub law: Law,
    /// Focal length, m; above 0.
    pub focal_m: f64,
    /// k1 to k4 of the polynomial; not read by the other laws.
    pub k: [f64; 4],
}

/// Why no lens has the stated field of view.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FieldError {
    /// The width or the field of view is not a positive number.
    NotPositive {
        /// Field of view asked for, rad.
        field_rad: f64,
        /// Width that it should span, m.
        width_m: f64,
    },
    /// The law ends before half the field of view.
    BeyondReach {
        /// The law that was asked.
        law: Law,
        /// Field of view asked for, rad.
        field_rad: f64,
        /// The largest field of view of that law, rad.
        largest_rad: f64,
    },
}

impl fmt::Display for FieldError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotPositive { field_rad, width_m } => {
                write!(f, "a field of view of {field_rad} rad over {width_m} m: both must be above 0")
            }
            Self::BeyondReach { law, field_rad, largest_rad } => write!(
                f,
                "a {law:?} lens cannot see {:.1} degrees, it ends at {:.1}",
                field_rad.to_degrees(),
                largest_rad.to_degrees()
            ),
        }
    }
}

impl std::error::Error for FieldError {}

impl Lens {
    /// A lens of a law that has no coefficients.
    pub const fn new(law: Law, focal_m: f64) -> Self {
        Self { law, focal_m, k: [0.0; 4] }
    }

    /// The lens whose stated field of view spans `width_m` of the array.
    ///
    /// `k` is read by [`Law::KannalaBrandt`] only. Makers state the field over the width, the height or the
    /// diagonal: the caller must know which, and give that length.
    ///
    /// # Errors
    ///
    /// [`FieldError::NotPositive`], or [`FieldError::BeyondReach`] when the law ends before half the field.
    ///
    /// # Examples
    ///
    /// 90° rectilinear over 4 mm: half is 2 mm at 45°, and tan 45° = 1, so the focal length is 2 mm.
    ///
    /// ```
    /// use models::optics::law::{Law, Lens};
    /// let lens = Lens::from_field(Law::Rectilinear, [0.0; 4], 90f64.to_radians(), 4e-3)?;
    /// assert!((lens.focal_m - 2e-3).abs() < 1e-15);
    /// # Ok::<(), models::optics::law::FieldError>(())
    /// ```
    pub fn from_field(law: Law, k: [f64; 4], field_rad: f64, width_m: f64) -> Result<Self, FieldError> {
        if !(field_rad > 0.0 && width_m > 0.0 && field_rad.is_finite() && width_m.is_finite()) {
            return Err(FieldError::NotPositive { field_rad, width_m });
        }
        let unit = Self { law, focal_m: 1.0, k };
        match unit.radius_m(0.5 * field_rad) {
            Some(ratio) if ratio > 0.0 && ratio.is_finite() => {
                Ok(Self { law, focal_m: 0.5 * width_m / ratio, k })
            }
            _ => Err(FieldError::BeyondReach { law, field_rad, largest_rad: 2.0 * unit.reach_rad() }),
        }
    }

    /// The largest angle from the axis that the law images, rad.
    ///
    /// Rectilinear and stereographic come as near to it as one likes but never reach it.
    pub fn reach_rad(&self) -> f64 {
        match self.law {
            Law::Rectilinear | Law::Orthographic => FRAC_PI_2,
            Law::Stereographic | Law::Equidistant | Law::Equisolid => PI,
            Law::KannalaBrandt => kb::fold_rad(&self.k),
        }
    }

    /// Whether the law images this angle at all.
    fn images(&self, theta_rad: f64) -> bool {
        let reach = self.reach_rad();
        match self.law {
            Law::Rectilinear | Law::Stereographic => theta_rad >= 0.0 && theta_rad < reach,
            _ => theta_rad >= 0.0 && theta_rad <= reach,
        }
    }

    /// Image radius of a direction, m; `None` beyond the law's reach, below 0 or NaN.
    pub fn radius_m(&self, theta_rad: f64) -> Option<f64> {
        self.images(theta_rad).then(|| {
            self.focal_m
                * match self.law {
                    Law::Rectilinear => theta_rad.tan(),
                    Law::Stereographic => 2.0 * (0.5 * theta_rad).tan(),
                    Law::Equidistant => theta_rad,
                    Law::Equisolid => 2.0 * (0.5 * theta_rad).sin(),
                    Law::Orthographic => theta_rad.sin(),
                    Law::KannalaBrandt => kb::theta_d(&self.k, theta_rad),
                }
        })
    }

    /// The direction of an image radius, rad from the axis; `None` where the law images nothing.
    pub fn theta_rad(&self, radius_m: f64) -> Option<f64> {
        let ratio = radius_m / self.focal_m;
        if !(ratio >= 0.0 && ratio.is_finite()) {
            return None;
        }
        match self.law {
            Law::Rectilinear => Some(ratio.atan()),
            Law::Stereographic => Some(2.0 * (0.5 * ratio).atan()),
            Law::Equidistant => (ratio <= PI).then_some(ratio),
            Law::Equisolid => (ratio <= 2.0).then(|| 2.0 * (0.5 * ratio).asin()),
            Law::Orthographic => (ratio <= 1.0).then(|| ratio.asin()),
            Law::KannalaBrandt => kb::theta_rad(&self.k, ratio),
        }
    }

    /// Image metres per radian away from the axis (radial) at an angle.
    ///
    /// Divided by the pixel pitch it is px/rad; divided by the distance too, px/m on a plane across the sight line.
    pub fn radial_m_per_rad(&self, theta_rad: f64) -> Option<f64> {
        self.scale_at(theta_rad, 0)
    }

    /// Image metres per radian around the axis (tangential) at an angle: `radius / sin theta`.
    pub fn tangential_m_per_rad(&self, theta_rad: f64) -> Option<f64> {
        self.scale_at(theta_rad, 1)
    }

    /// The radial (0) or tangential (1) scale: that of a point at distance 1.
    fn scale_at(&self, theta_rad: f64, which: usize) -> Option<f64> {
        if !self.images(theta_rad) {
            return None;
        }
        let (sin, cos) = theta_rad.sin_cos();
        Projector::new(self).stretches2(sin * sin, cos).map(|squares| squares[which].sqrt())
    }

    /// Full angle seen over a width of the array, rad; `None` when the law ends inside it.
    ///
    /// # Examples
    ///
    /// `2 atan(4.8 / (2 × 3.6)) = 67.38°`:
    ///
    /// ```
    /// use models::optics::law::{Law, Lens};
    /// let field_rad = Lens::new(Law::Rectilinear, 3.6e-3).field_rad(4.8e-3).unwrap();
    /// assert!((field_rad.to_degrees() - 67.380135).abs() < 1e-5);
    /// ```
    pub fn field_rad(&self, width_m: f64) -> Option<f64> {
        self.theta_rad(0.5 * width_m).map(|half| 2.0 * half)
    }
}

/// A lens made ready for many points: the end of its law is worked out once.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Projector {
    lens: Lens,
    reach_rad: f64,
}

impl Projector {
    /// Makes a lens ready.
    pub fn new(lens: &Lens) -> Self {
        Self { lens: *lens, reach_rad: lens.reach_rad() }
    }

    /// The lens that was made ready.
    pub fn lens(&self) -> &Lens {
        &self.lens
    }

    /// Where a point of the camera frame is imaged, m from the array's centre; `None` where the law does not reach.
    #[inline]
    pub fn image_from_camera(&self, [x, y, z]: [f64; 3]) -> Option<[f64; 2]> {
        let scale = self.scale(x * x + y * y, z)?;
        Some([x * scale, y * scale])
    }

    /// Image radius over distance from the axis, `across2` being the square of the latter.
    ///
    /// Written in coordinates instead of angles: four of six laws then need no trigonometry, and this is the
    /// innermost step of a view.
    #[inline]
    pub(crate) fn scale(&self, across2: f64, z: f64) -> Option<f64> {
        let f = self.lens.focal_m;
        let away = || (across2 + z * z).sqrt();
        match self.lens.law {
            Law::Rectilinear => (z > 0.0).then(|| f / z),
            Law::Stereographic => positive(away() + z).map(|sum| 2.0 * f / sum),
            Law::Equisolid => {
                let away = away();
                positive(away * (away + z)).map(|product| f * (2.0 / product).sqrt())
            }
            Law::Orthographic => positive(away()).filter(|_| z >= 0.0).map(|away| f / away),
            Law::Equidistant | Law::KannalaBrandt => {
                let across = across2.sqrt();
                if across <= 1e-12 * z.abs() {
                    return (z > 0.0).then(|| f / z);
                }
                let theta = angle(across, z);
                if theta.is_nan() || theta > self.reach_rad {
                    return None;
                }
                let ratio =
                    if self.lens.law == Law::Equidistant { theta } else { kb::theta_d(&self.lens.k, theta) };
                Some(f * ratio / across)
            }
        }
    }

    /// Squares of the image metres per metre away from the axis and around it, both across the line of sight to a
    /// point; `None` where the law does not reach. The second is just [`Self::scale`] squared.
    ///
    /// Squares, because that is what density needs and most laws then do without a root.
    #[inline]
    pub(crate) fn stretches2(&self, across2: f64, z: f64) -> Option<[f64; 2]> {
        let f2 = self.lens.focal_m * self.lens.focal_m;
        let away2 = across2 + z * z;
        match self.lens.law {
            Law::Rectilinear => (z > 0.0).then(|| {
                let per_z2 = 1.0 / (z * z);
                [f2 * per_z2 * per_z2 * away2, f2 * per_z2]
            }),
            Law::Orthographic => (z >= 0.0 && away2 > 0.0).then(|| {
                let per_away2 = 1.0 / away2;
                [f2 * z * z * per_away2 * per_away2, f2 * per_away2]
            }),
            Law::KannalaBrandt if across2 > 0.0 => {
                let theta = angle(across2.sqrt(), z);
                let k = &self.lens.k;
                (theta <= self.reach_rad).then(|| {
                    [f2 * kb::slope(k, theta).powi(2) / away2, f2 * kb::theta_d(k, theta).powi(2) / across2]
                })
            }
            _ => {
                let around = self.scale(across2, z)?;
                let around2 = around * around;
                let radial2 = match self.lens.law {
                    Law::Stereographic => around2,
                    // The product of both is f² over the distance squared: equal area.
                    Law::Equisolid => f2 * f2 / (around2 * away2 * away2),
                    _ => f2 / away2,
                };
                Some([radial2, around2])
            }
        }
    }
}

/// Angle from the axis; `atan2` for a first argument above 0, in half its time.
#[inline]
fn angle(across: f64, z: f64) -> f64 {
    if z > across { (across / z).atan() } else { FRAC_PI_2 - (z / across).atan() }
}

fn positive(value: f64) -> Option<f64> {
    (value > 0.0).then_some(value)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn any_lens() -> impl Strategy<Value = Lens> {
        (0..6usize, 1e-3..6e-3, prop::array::uniform4(-0.03..0.03f64)).prop_map(|(index, focal_m, k)| {
            let law = Law::PLAIN.get(index).copied().unwrap_or(Law::KannalaBrandt);
            Lens { law, focal_m, k }
        })
    }

    proptest! {

        #[test]
        fn radius_grows_and_comes_back(lens in any_lens(), share in 0.0..0.98f64, step in 1e-4..0.01f64) {
            let theta = share * lens.reach_rad();
            let radius = lens.radius_m(theta).unwrap();
            prop_assert!(lens.radius_m(theta + step * lens.reach_rad()).unwrap() > radius);
            // Near the fold or the end of a sine the inverse is steep: the radius must come back, not the angle.
            let back = lens.theta_rad(radius).unwrap();
            prop_assert!((lens.radius_m(back).unwrap() - radius).abs() <= 1e-12 * lens.focal_m.max(radius));
        }

        #[test]
        fn point_is_imaged_at_the_radius_of_its_angle(lens in any_lens(), share in 0.001..0.98f64,
            round in -3.1..3.1f64, away in 0.1..10.0f64) {
            let theta = share * lens.reach_rad();
            let point = [away * theta.sin() * round.cos(), away * theta.sin() * round.sin(), away * theta.cos()];
            let [x, y] = Projector::new(&lens).image_from_camera(point).unwrap();
            let radius = lens.radius_m(theta).unwrap();
            prop_assert!((x.hypot(y) - radius).abs() <= 1e-9 * radius);
            prop_assert!((x * round.sin() - y * round.cos()).abs() <= 1e-9 * radius);
        }

        #[test]
        fn radial_scale_is_the_derivative(lens in any_lens(), share in 0.01..0.95f64) {
            let (theta, h) = (share * lens.reach_rad(), 1e-5);
            let steep = lens.radius_m(theta + h).unwrap() - lens.radius_m(theta - h).unwrap();
            let radial = lens.radial_m_per_rad(theta).unwrap();
            // Central differences: error about h² times the third derivative, which grows like 1/cos⁴ (5° left: 2e4).
            prop_assert!((steep / (2.0 * h) - radial).abs() <= 1e-4 * (radial + lens.focal_m));
            let tangential = lens.tangential_m_per_rad(theta).unwrap();
            prop_assert!((tangential * theta.sin() - lens.radius_m(theta).unwrap()).abs() <= 1e-9 * tangential);
        }

        #[test]
        fn stated_field_is_the_field(lens in any_lens(), share in 0.05..0.95f64, width_m in 1e-3..8e-3f64) {
            let field = 2.0 * share * lens.reach_rad();
            let made = Lens::from_field(lens.law, lens.k, field, width_m).unwrap();
            prop_assert!((made.field_rad(width_m).unwrap() - field).abs() < 1e-6);
        }
    }

    #[test]
    fn beyond_its_end_a_law_says_none() {
        for law in Law::PLAIN {
            let lens = Lens::new(law, 2e-3);
            assert!(lens.radius_m(lens.reach_rad() + 1e-6).is_none(), "{law:?}");
            assert!(lens.radius_m(f64::NAN).is_none() && lens.theta_rad(f64::NAN).is_none(), "{law:?}");
            assert!(Projector::new(&lens).image_from_camera([0.0, 0.0, -1.0]).is_none(), "{law:?}");
            assert!(
                Projector::new(&lens).image_from_camera([0.0, f64::NAN, 1.0]).is_none_or(|p| p[1].is_nan())
            );
        }
        assert!(Lens::new(Law::Orthographic, 1e-3).theta_rad(1.001e-3).is_none());
        assert!(matches!(
            Lens::from_field(Law::Rectilinear, [0.0; 4], 180f64.to_radians(), 4e-3),
            Err(FieldError::BeyondReach { .. })
        ));
    }
}
