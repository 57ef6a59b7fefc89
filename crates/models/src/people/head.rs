//! A caller's head as a box: top, eyes, chin and width, as it must fit into a picture.
//!
//! The box spans from the top of the head to the chin and as wide as the head. The chin is one face height (chin to
//! root of the nose) below the eyes; the root lies a few millimetres above the pupils, so the box ends a few millimetres
//! low, which is the safe side. Hair, hats, hoods and helmets are left out: give the box a margin for them.

use super::Sex;
use super::adults::{self, Body};
use super::children;

/// Heights above the ground and half the width of a head, m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Head {
    /// Top of the head.
    pub top_m: f64,
    /// Pupils.
    pub eye_m: f64,
    /// Chin.
    pub chin_m: f64,
    /// Half the head's breadth.
    pub half_width_m: f64,
}

/// What shoes add to a child, m; typical, from memory.
const CHILD_SHOE_M: f64 = 0.02;

/// Age in years, then top of head to eyes, eyes to chin, head breadth, mm: children's heads are nearly as large as
/// adults' on much smaller bodies. All typical, from memory; from 18 years on the adult measures are used.
static CHILD_HEADS: [[f64; 4]; 4] = [
    [2.0, 97.0, 80.0, 137.0],
    [6.0, 103.0, 92.0, 143.0],
    [12.0, 108.0, 106.0, 147.0],
    [18.0, 112.0, 117.0, 151.0],
];

impl Head {
    /// A standing adult, `z` standard deviations of stature from the mean.
    ///
    /// # Examples
    ///
    /// The mean man: 1756.2 × 0.93517 + 25 mm of shoe = 1667.4 mm to the eyes.
    ///
    /// ```
    /// use models::people::{Sex, head::Head};
    /// assert!((Head::standing(Sex::Man, 0.0).eye_m - 1.6674).abs() < 1e-4);
    /// ```
    pub fn standing(sex: Sex, z: f64) -> Self {
        let body = adults::body(sex);
        let stature_m = body.stature.at_m(z);
        let eye_m = stature_m * body.eye_over_stature + body.shoe_m;
        Self::around_eyes(body, eye_m, stature_m + body.shoe_m - eye_m)
    }

    /// An adult in a wheelchair, `z` standard deviations of sitting eye height from the mean.
    pub fn seated(sex: Sex, z: f64) -> Self {
        let body = adults::body(sex);
        Self::around_eyes(body, body.seated_eye_m(z), body.stature.mean_m * (1.0 - body.eye_over_stature))
    }

    /// A standing child of 2 to 18 years at a normal deviate of stature; ages outside are taken as the nearest.
    pub fn child(sex: Sex, age_years: f64, z: f64) -> Self {
        let age = age_years.clamp(2.0, 18.0);
        // The clamp keeps the age inside the charts; NaN becomes the youngest.
        let age = if age.is_nan() { 2.0 } else { age };
        let stature_m = children::stature_at_m(sex, age * 12.0, z).unwrap_or(0.0);
        let pair = CHILD_HEADS.windows(2).find(|pair| age <= pair[1][0]).unwrap_or(&CHILD_HEADS[2..]);
        let share = (age - pair[0][0]) / (pair[1][0] - pair[0][0]);
        let [above, below, breadth] =
            [1, 2, 3].map(|i| 1e-3 * (pair[0][i] + share * (pair[1][i] - pair[0][i])));
        let top_m = stature_m + CHILD_SHOE_M;
        Self { top_m, eye_m: top_m - above, chin_m: top_m - above - below, half_width_m: 0.5 * breadth }
    }

    /// The head midway between two.
    #[must_use]
    pub fn midway(self, other: Self) -> Self {
        Self {
            top_m: 0.5 * (self.top_m + other.top_m),
            eye_m: 0.5 * (self.eye_m + other.eye_m),
            chin_m: 0.5 * (self.chin_m + other.chin_m),
            half_width_m: 0.5 * (self.half_width_m + other.half_width_m),
        }
    }

    fn around_eyes(body: &Body, eye_m: f64, above_m: f64) -> Self {
        Self {
            top_m: eye_m + above_m,
            eye_m,
            chin_m: eye_m - body.face_height.mean_m,
            half_width_m: 0.5 * body.head_breadth.mean_m,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_grown_child_has_an_adult_head() {
        // At 18 the child's rule hands over to the adult's: 112 + 117 mm against 109 + 113 (women) and 114 + 123 (men),
        // within 12 mm in each part.
        for sex in [Sex::Woman, Sex::Man] {
            let (young, adult) = (Head::child(sex, 18.0, 0.0), Head::standing(sex, 0.0));
            assert!(((young.top_m - young.eye_m) - (adult.top_m - adult.eye_m)).abs() < 0.012);
            assert!(((young.eye_m - young.chin_m) - (adult.eye_m - adult.chin_m)).abs() < 0.012);
            assert!((young.half_width_m - adult.half_width_m).abs() < 0.004);
        }
    }

    #[test]
    fn heads_are_in_order() {
        for head in
            [Head::standing(Sex::Woman, -1.6), Head::seated(Sex::Man, 0.0), Head::child(Sex::Man, 6.0, 0.0)]
        {
            assert!(head.top_m > head.eye_m && head.eye_m > head.chin_m && head.half_width_m > 0.06);
        }
        assert!(Head::child(Sex::Man, f64::NAN, 0.0).top_m.is_finite());
    }
}
