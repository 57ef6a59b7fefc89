//! The tape test: which lens is this, from a board, a wall and a tape measure?
//!
//! The board stands a known distance from a wall, a tape runs along the wall at the lens's height, and four marks are read
//! off the picture: at its left and right edge, and half-way from its middle to each edge. With `h` the place in the
//! picture in half widths (-1, -1/2, 1/2, 1), a law sends it to the angle `theta(h)`, and the mark is
//! `foot + distance tan(theta(h) + turn)`. The edges give the field of view; how far out the half-way marks lie tells
//! the law: a straight lens has them half-way on the tape too, a fisheye nearer to the middle.
//!
//! Unknown per law: half the field, the tape's reading at the board's foot, a small turn of the board (expected 0 ± 3° as
//! one standard deviation; typical, from memory) and the true distance. They are fitted by least squares; the laws are
//! then weighed by how well each can explain the readings. Left out: measured polynomials (four marks cannot tell four
//! coefficients), a tilted board, and a picture whose middle is not the lens's axis.

use std::f64::consts::FRAC_PI_2;
use std::fmt;

use quantity::normal;

use super::law::{Law, Lens};

/// What was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Readings {
    /// From the lens to the wall, m, at right angles to it.
    pub distance_m: f64,
    /// Tape at the picture's left edge, half-way left, half-way right, right edge, m. The tape may run either way.
    pub marks_m: [f64; 4],
    /// Standard deviation of one reading of a mark or of the distance, m; half of what one would call "give or take".
    pub sigma_m: f64,
}

/// Why the readings say nothing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TapeError {
    /// The distance or the uncertainty is not above 0, or a reading is not a number.
    NotPositive,
    /// The four marks are not in order along the tape.
    OutOfOrder {
        /// The marks as given, m.
        marks_m: [f64; 4],
    },
    /// The edges are so far out that the tape measures little more than its own error: over 75° from the axis.
    /// Another way of measuring is needed, such as photos of a printed target.
    TooWide {
        /// Half of the marks' distance over the distance from the wall.
        ratio: f64,
        /// The largest ratio that is taken: tan 75°.
        largest: f64,
    },
}

impl fmt::Display for TapeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotPositive => {
                write!(f, "distance and uncertainty must be above 0 and all readings numbers")
            }
            Self::OutOfOrder { marks_m: [a, b, c, d] } => {
                write!(f, "the marks {a}, {b}, {c}, {d} m are not in order from the left edge to the right")
            }
            Self::TooWide { ratio, largest } => write!(
                f,
                "the edges lie {ratio:.1} times as far out as the wall is away, at most {largest:.1} can be measured by tape"
            ),
        }
    }
}

impl std::error::Error for TapeError {}

/// How well one law explains the readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    /// The law.
    pub law: Law,
    /// Full field of view over the picture's width, rad.
    pub field_rad: f64,
    /// Its standard deviation if this is the law, rad.
    pub field_sigma_rad: f64,
    /// Sum of squared misfits in standard deviations; about 1 is expected of the right law, 4 is much.
    pub misfit: f64,
    /// Share of belief in this law, all five being as likely before; they sum to 1.
    pub weight: f64,
}

/// What a tape test tells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lesson {
    /// All laws, likeliest first.
    pub fits: [Fit; 5],
    /// Full field of view over the picture's width, all laws weighed: median, rad.
    pub field_rad: f64,
    /// Its 95 % interval, rad.
    pub field_95_rad: [f64; 2],
}

/// From here on one law counts as told from the others.
pub const TOLD: f64 = 0.95;

/// Beyond this misfit no law explains the readings: probability 0.001 of a chi-square of one degree of freedom.
pub const ABSURD_MISFIT: f64 = 10.83;

impl Lesson {
    /// The likeliest law.
    pub fn best(&self) -> &Fit {
        &self.fits[0]
    }

    /// Whether the readings tell the law from the four others.
    pub fn told(&self) -> bool {
        self.fits[0].weight >= TOLD
    }

    /// Whether no law explains the readings: one was misread, or the lens follows none of the five.
    pub fn absurd(&self) -> bool {
        self.fits.iter().all(|fit| fit.misfit > ABSURD_MISFIT)
    }
}

/// Standard deviation of the board's turn before measuring, rad.
const TURN_SIGMA_RAD: f64 = 3.0 * std::f64::consts::PI / 180.0;

/// Largest angle of an edge that a tape can measure, rad.
const WIDEST_RAD: f64 = 75.0 * std::f64::consts::PI / 180.0;

/// Places of the marks in the picture, in half widths.
const PLACES: [f64; 4] = [-1.0, -0.5, 0.5, 1.0];

/// Half field, foot, turn, distance.
type Guess = [f64; 4];

/// What the four marks tell about the lens.
///
/// # Errors
///
/// [`TapeError`] names what is wrong with the readings.
///
/// # Examples
///
/// 1 m from the wall, marks at ±1 and ±0.5 m: tan 45° = 1 and the half-way marks are half-way, a straight lens of 90°.
///
/// ```
/// use models::optics::{law::Law, tape::{Readings, learn}};
/// let lesson = learn(&Readings { distance_m: 1.0, marks_m: [-1.0, -0.5, 0.5, 1.0], sigma_m: 0.003 })?;
/// assert_eq!(lesson.best().law, Law::Rectilinear);
/// assert!(lesson.told() && (lesson.field_rad.to_degrees() - 90.0).abs() < 0.5);
/// # Ok::<(), models::optics::tape::TapeError>(())
/// ```
pub fn learn(readings: &Readings) -> Result<Lesson, TapeError> {
    let Readings { distance_m, marks_m, sigma_m } = *readings;
    let all_finite =
        marks_m.iter().all(|mark| mark.is_finite()) && distance_m.is_finite() && sigma_m.is_finite();
    if !(all_finite && distance_m > 0.0 && sigma_m > 0.0) {
        return Err(TapeError::NotPositive);
    }
    let rising = if marks_m[3] < marks_m[0] { marks_m.map(|mark| -mark) } else { marks_m };
    if !rising.is_sorted_by(|a, b| a < b) {
        return Err(TapeError::OutOfOrder { marks_m });
    }
    let (ratio, largest) = (0.5 * (rising[3] - rising[0]) / distance_m, WIDEST_RAD.tan());
    if ratio > largest {
        return Err(TapeError::TooWide { ratio, largest });
    }
    let upright = Readings { marks_m: rising, ..*readings };
    let mut fits = Law::PLAIN.map(|law| upright.fit(law));
    let least = fits.iter().map(|fit| fit.misfit).fold(f64::INFINITY, f64::min);
    let total: f64 = fits.iter().map(|fit| (0.5 * (least - fit.misfit)).exp()).sum();
    for fit in &mut fits {
        fit.weight = (0.5 * (least - fit.misfit)).exp() / total;
    }
    fits.sort_by(|a, b| b.weight.total_cmp(&a.weight));
    let quantile = |p| mixture_quantile(&fits, p);
    Ok(Lesson { fits, field_rad: quantile(0.5), field_95_rad: [quantile(0.025), quantile(0.975)] })
}

impl Readings {
    /// Four marks, then what is expected of distance and turn: all in standard deviations.
    fn misfits(&self, law: Law, [half_rad, foot_m, turn_rad, distance_m]: Guess) -> Option<[f64; 6]> {
        let lens = Lens::new(law, 1.0);
        let half_width = lens.radius_m(half_rad)?;
        let mut misfits = [0.0; 6];
        for (misfit, (place, mark_m)) in misfits.iter_mut().zip(PLACES.iter().zip(self.marks_m)) {
            let angle = lens.theta_rad(place.abs() * half_width)?.copysign(*place) + turn_rad;
            if angle.abs() >= FRAC_PI_2 {
                return None;
            }
            *misfit = (mark_m - foot_m - distance_m * angle.tan()) / self.sigma_m;
        }
        misfits[4] = (distance_m - self.distance_m) / self.sigma_m;
        misfits[5] = turn_rad / TURN_SIGMA_RAD;
        Some(misfits)
    }

    /// Least squares by damped Gauss-Newton steps from the picture as a symmetrical one.
    fn fit(&self, law: Law) -> Fit {
        let half_rad = (0.5 * (self.marks_m[3] - self.marks_m[0]) / self.distance_m).atan();
        let mut guess = [half_rad, 0.5 * (self.marks_m[0] + self.marks_m[3]), 0.0, self.distance_m];
        let cost =
            |guess: Guess| self.misfits(law, guess).map_or(f64::INFINITY, |m| m.iter().map(|v| v * v).sum());
        let mut least: f64 = cost(guess);
        let mut damping = 1e-3;
        for _ in 0..60 {
            let Some((normal, gradient)) = self.normal_equations(law, guess) else { break };
            let mut damped = normal;
            for (i, row) in damped.iter_mut().enumerate() {
                row[i] *= 1.0 + damping;
            }
            let Some(step) = solve(damped, gradient) else { break };
            let next = std::array::from_fn(|i| guess[i] - step[i]);
            let cost_there = cost(next);
            if cost_there <= least {
                let gain = least - cost_there;
                (guess, least, damping) = (next, cost_there, damping * 0.2);
                if gain < 1e-10 {
                    break;
                }
            } else {
                damping = (damping * 10.0).min(1e12);
            }
        }
        // The first entry of the inverse is the half field's variance, the others having been fitted along.
        let variance = self
            .normal_equations(law, guess)
            .and_then(|(normal, _)| solve(normal, [1.0, 0.0, 0.0, 0.0]))
            .map_or(f64::INFINITY, |column| column[0]);
        Fit {
            law,
            field_rad: 2.0 * guess[0],
            field_sigma_rad: 2.0 * variance.sqrt(),
            misfit: least,
            weight: 0.0,
        }
    }

    /// JᵀJ and Jᵀr by central differences.
    fn normal_equations(&self, law: Law, guess: Guess) -> Option<([[f64; 4]; 4], [f64; 4])> {
        let here = self.misfits(law, guess)?;
        let mut columns = [[0.0; 6]; 4];
        for (i, column) in columns.iter_mut().enumerate() {
            let step = 1e-6;
            let moved = |by: f64| {
                let mut there = guess;
                there[i] += by;
                self.misfits(law, there)
            };
            let (ahead, behind) = (moved(step)?, moved(-step)?);
            *column = std::array::from_fn(|j| (ahead[j] - behind[j]) / (2.0 * step));
        }
        let dot = |a: &[f64; 6], b: &[f64; 6]| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
        Some((
            std::array::from_fn(|i| std::array::from_fn(|j| dot(&columns[i], &columns[j]))),
            std::array::from_fn(|i| dot(&columns[i], &here)),
        ))
    }
}

/// Solves a small symmetric positive system by elimination; `None` when it is singular.
fn solve(mut matrix: [[f64; 4]; 4], mut right: [f64; 4]) -> Option<[f64; 4]> {
    for pivot in 0..4 {
        let upper = matrix[pivot];
        for row in pivot + 1..4 {
            let factor = matrix[row][pivot] / upper[pivot];
            for (value, above) in matrix[row].iter_mut().zip(upper) {
                *value -= factor * above;
            }
            right[row] -= factor * right[pivot];
        }
    }
    for row in (0..4).rev() {
        let known: f64 = (row + 1..4).map(|column| matrix[row][column] * right[column]).sum();
        right[row] = (right[row] - known) / matrix[row][row];
    }
    // A pivot of 0 shows as an infinity or NaN here.
    right.iter().all(|v| v.is_finite()).then_some(right)
}

/// Quantile of the field of view over all laws: each a normal with its own weight, found by bisection.
fn mixture_quantile(fits: &[Fit; 5], p: f64) -> f64 {
    let below = |field_rad: f64| -> f64 {
        fits.iter()
            .filter(|fit| fit.field_sigma_rad.is_finite())
            .map(|fit| fit.weight * normal::cdf((field_rad - fit.field_rad) / fit.field_sigma_rad))
            .sum()
    };
    let (mut low, mut high) = (0.0, 2.0 * FRAC_PI_2);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if below(middle) < p {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Marks of a true lens, board turned and off the tape's zero, with given errors in standard deviations.
    fn marks(law: Law, field_deg: f64, turn_deg: f64, sigma_m: f64, errors: [f64; 5]) -> Readings {
        let lens = Lens::new(law, 1.0);
        let half_width = lens.radius_m((0.5 * field_deg).to_radians()).unwrap();
        let distance_m = 1.0;
        let marks_m = std::array::from_fn(|i| {
            let angle = lens.theta_rad(PLACES[i].abs() * half_width).unwrap().copysign(PLACES[i]);
            2.0 + distance_m * (angle + turn_deg.to_radians()).tan() + sigma_m * errors[i]
        });
        Readings { distance_m: distance_m + sigma_m * errors[4], marks_m, sigma_m }
    }

    /// A seeded stream of normal deviates (splitmix64, Steele et al. 2014, from memory).
    struct Noise(u64);

    impl Noise {
        fn next(&mut self) -> f64 {
            self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
            let mut z = self.0;
            z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
            z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
            normal::quantile(((z ^ (z >> 31)) as f64 + 0.5) / 2f64.powi(64))
        }

        fn five(&mut self) -> [f64; 5] {
            std::array::from_fn(|_| self.next())
        }
    }

    #[test]
    fn without_error_every_law_is_found() {
        for law in Law::PLAIN {
            for field_deg in [70.0, 100.0, 130.0] {
                let lesson = learn(&marks(law, field_deg, 0.0, 5e-4, [0.0; 5])).unwrap();
                assert_eq!(lesson.best().law, law, "{field_deg} {:?}", lesson.fits);
                assert!((lesson.best().field_rad.to_degrees() - field_deg).abs() < 0.01);
                assert!(lesson.best().misfit < 1e-6);
            }
        }
    }

    #[test]
    fn truth_lies_in_its_interval_as_often_as_stated() {
        let (mut inside, mut told, mut told_right, mut count) = (0u32, 0u32, 0u32, 0u32);
        let mut noise = Noise(2);
        for law in Law::PLAIN {
            for field_deg in [60.0, 80.0, 100.0, 120.0, 135.0] {
                for _ in 0..40 {
                    let turn_deg = 3.0 * noise.next().clamp(-1.5, 1.5);
                    let readings = marks(law, field_deg, turn_deg, 3e-3, noise.five());
                    let lesson = learn(&readings).unwrap();
                    let field = field_deg.to_radians();
                    count += 1;
                    inside += u32::from((lesson.field_95_rad[0]..=lesson.field_95_rad[1]).contains(&field));
                    told += u32::from(lesson.told());
                    told_right += u32::from(lesson.told() && lesson.best().law == law);
                }
            }
        }
        let share = |part: u32, whole: u32| f64::from(part) / f64::from(whole);
        // 1,000 trials of a 95 % interval: 95 ± 2.1 % at three standard deviations, and the mixture errs on the wide side.
        assert!(share(inside, count) > 0.929, "{inside} of {count}");
        // "Told" claims at least 95 %.
        assert!(share(told_right, told) > 0.95 && told > count / 4, "{told_right} of {told} of {count}");
    }

    #[test]
    fn narrow_lenses_are_not_told_apart_and_it_says_so() {
        let lesson = learn(&marks(Law::Equidistant, 40.0, 0.0, 5e-3, [0.0; 5])).unwrap();
        assert!(!lesson.told());
        // The field is known all the same.
        assert!((lesson.field_rad.to_degrees() - 40.0).abs() < 1.5);
    }

    #[test]
    fn a_tape_that_runs_the_other_way_reads_the_same() {
        let one = marks(Law::Equisolid, 110.0, 1.0, 2e-3, [0.3, -0.2, 0.5, 0.1, 0.0]);
        let other = Readings { marks_m: one.marks_m.map(|mark| 5.0 - mark), ..one };
        let (a, b) = (learn(&one).unwrap(), learn(&other).unwrap());
        assert_eq!(a.best().law, b.best().law);
        assert!((a.field_rad - b.field_rad).abs() < 1e-6);
    }

    #[test]
    fn what_a_tape_cannot_tell_is_refused() {
        let wide = Readings { distance_m: 0.5, marks_m: [-3.0, -0.4, 0.4, 3.0], sigma_m: 0.003 };
        assert!(matches!(learn(&wide), Err(TapeError::TooWide { .. })));
        let mixed = Readings { marks_m: [-1.0, 0.5, -0.5, 1.0], ..wide };
        assert!(matches!(learn(&mixed), Err(TapeError::OutOfOrder { .. })));
        assert_eq!(learn(&Readings { distance_m: f64::NAN, ..wide }), Err(TapeError::NotPositive));
        // Half-way marks far outside the edges' half: no law bends that way.
        let absurd =
            learn(&Readings { distance_m: 1.0, marks_m: [-1.0, -0.7, 0.7, 1.0], sigma_m: 0.003 }).unwrap();
        assert!(absurd.absurd());
    }
}
