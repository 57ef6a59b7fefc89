//! The 256 callers over whom a view is averaged.
//!
//! Fixed points that fill the four dimensions (stature, distance, side, kind) evenly: Hammersley's set in bases 2, 3
//! and 5, J. M. Hammersley, "Monte Carlo methods for solving multivariable problems", 1960 (from memory). Not random, not
//! seeded. What does not change with the station (heads, normal deviates) is worked out once.

use quantity::normal;

use crate::people::head::Head;
use crate::people::mix::Mix;

use super::ladder::Ladder;

/// How many callers.
pub const CALLERS: usize = 256;

/// One caller: a head, and normal deviates of where it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Caller {
    /// The head, by kind and stature.
    pub head: Head,
    /// Normal deviate of the distance.
    pub distance_z: f64,
    /// Normal deviate of the sideways place.
    pub side_z: f64,
}

/// All callers of a mix, and the heads of the stature ladder. Make it once, use it for every view.
#[derive(Clone, Debug, PartialEq)]
pub struct Callers {
    all: Box<[Caller; CALLERS]>,
    ladder: Ladder,
}

/// One of `count` points of the unit cube: stature, distance, side, kind, each inside 0..1.
///
/// # Examples
///
/// Digits mirrored at the point: 6 is 110 in base 2, so 0.011 = 3/8, plus half a cell of 1/8.
///
/// ```
/// let point = models::view::callers::point(6, 8);
/// assert_eq!(point[1], 0.375 + 0.0625);
/// ```
pub fn point(index: u32, count: u32) -> [f64; 4] {
    let cell = 1.0 / f64::from(count);
    [
        (f64::from(index) + 0.5) * cell,
        mirrored(index, 2) + 0.5 * cell,
        // Shifted by half a cell too, wrapped: a mirrored 0 would be an infinite deviate.
        (mirrored(index, 3) + 0.5 * cell).fract(),
        (mirrored(index, 5) + 0.5 * cell).fract(),
    ]
}

/// The digits of a number mirrored at the point.
fn mirrored(mut index: u32, base: u32) -> f64 {
    let (mut value, mut place) = (0.0, 1.0);
    while index > 0 {
        place /= f64::from(base);
        value += place * f64::from(index % base);
        index /= base;
    }
    value
}

impl Callers {
    /// The callers of a mix.
    pub fn new(mix: &Mix) -> Self {
        Self::at(mix, |index| point(index as u32, CALLERS as u32))
    }

    /// The callers of a mix at other points of the unit cube: for checking how good the 256 are.
    pub fn at(mix: &Mix, point: impl Fn(usize) -> [f64; 4]) -> Self {
        let all = std::array::from_fn(|index| {
            let [stature, distance, side, kind] = point(index);
            Caller {
                head: mix.head(kind, normal::quantile(stature)),
                distance_z: normal::quantile(distance),
                side_z: normal::quantile(side),
            }
        });
        Self { all: Box::new(all), ladder: Ladder::new() }
    }

    /// The callers.
    pub fn all(&self) -> &[Caller; CALLERS] {
        &self.all
    }

    /// The named heads.
    pub fn ladder(&self) -> &Ladder {
        &self.ladder
    }
}
