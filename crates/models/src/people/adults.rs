//! Adults: stature, eye height, head and face, standing and seated.
//!
//! Measures are of ANSUR II (Gordon et al., NATICK/TR-15/007, December 2014; 4,082 men and 1,986 women of the US Army,
//! 2010-2012); the statistics were *computed* from the survey's public files. Soldiers: the old, the very short and
//! the very tall are under-represented. A normal distribution is used; `checks/` compares it with the survey's own
//! percentiles. Shoes and seats are typical, from memory.

use quantity::normal;

use super::Sex;

/// Mean and standard deviation of one measure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measure {
    /// Mean, m.
    pub mean_m: f64,
    /// Standard deviation, m.
    pub sd_m: f64,
}

impl Measure {
    const fn mm(mean: f64, sd: f64) -> Self {
        Self { mean_m: mean * 1e-3, sd_m: sd * 1e-3 }
    }

    /// The value that a share `p` of people stays below, m.
    pub fn quantile_m(&self, p: f64) -> f64 {
        self.at_m(normal::quantile(p))
    }

    /// The value `z` standard deviations from the mean, m.
    pub fn at_m(&self, z: f64) -> f64 {
        self.mean_m + self.sd_m * z
    }
}

/// The measures of one sex that the models use.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Body {
    /// Height without shoes.
    pub stature: Measure,
    /// Eye height over stature, mean of ratios. The public files hold no standing eye height: derived as stature less
    /// sitting height plus sitting eye height.
    pub eye_over_stature: f64,
    /// Eye height above the seat, sitting upright.
    pub sitting_eye: Measure,
    /// Head breadth.
    pub head_breadth: Measure,
    /// Chin to the root of the nose (menton to sellion).
    pub face_height: Measure,
    /// Between the pupils.
    pub between_pupils: Measure,
    /// What shoes add, m: 25 mm men, 45 mm women; typical, from memory.
    pub shoe_m: f64,
}

static WOMAN: Body = Body {
    stature: Measure::mm(1628.47, 64.20),
    eye_over_stature: 0.93307,
    sitting_eye: Measure::mm(747.69, 30.38),
    head_breadth: Measure::mm(147.77, 5.19),
    face_height: Measure::mm(113.09, 6.09),
    between_pupils: Measure::mm(61.71, 3.62),
    shoe_m: 0.045,
};

static MAN: Body = Body {
    stature: Measure::mm(1756.21, 68.55),
    eye_over_stature: 0.93517,
    sitting_eye: Measure::mm(804.51, 33.16),
    head_breadth: Measure::mm(154.33, 5.53),
    face_height: Measure::mm(122.64, 6.67),
    between_pupils: Measure::mm(64.02, 3.42),
    shoe_m: 0.025,
};

/// Seat of a wheelchair with its cushion pressed down, m above the ground; typical, from memory.
pub const WHEELCHAIR_SEAT_M: f64 = 0.48;

/// What sitting at ease takes off the upright eye height, m; typical, from memory.
pub const SITTING_SLUMP_M: f64 = 0.03;

/// The measures of a sex.
///
/// # Examples
///
/// By hand, 1756.21 + 1.644854 × 68.55 = 1868.96 mm; the survey's own 95th percentile is 1870.
///
/// ```
/// use models::people::{Sex, adults};
/// assert!((adults::body(Sex::Man).stature.quantile_m(0.95) - 1.86896).abs() < 1e-5);
/// ```
pub fn body(sex: Sex) -> &'static Body {
    match sex {
        Sex::Woman => &WOMAN,
        Sex::Man => &MAN,
    }
}

impl Body {
    /// Eye height above the ground of somebody seated in a wheelchair, `z` standard deviations of the sitting eye
    /// height from the mean, m.
    ///
    /// A wheelchair's seat and an easy posture on a survey of upright soldiers: typical, from memory in the sum. It
    /// gives 1.15 to 1.31 m for the middle nine tenths of both sexes.
    pub fn seated_eye_m(&self, z: f64) -> f64 {
        WHEELCHAIR_SEAT_M + self.sitting_eye.at_m(z) - SITTING_SLUMP_M
    }
}
