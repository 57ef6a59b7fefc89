//! The stature ladder: named heads from small to tall, each in the picture or not.

use quantity::normal;

use crate::people::Sex;
use crate::people::head::Head;

use super::callers::point;
use super::{Eye, ViewInput};

/// A named head.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Person {
    /// Median child of 4 years.
    ChildOf4,
    /// Median child of 6 years.
    ChildOf6,
    /// Median adult in a wheelchair.
    Seated,
    /// Woman whom 5 % are smaller than.
    SmallAdult,
    /// Midway between the mean woman and the mean man.
    MedianAdult,
    /// Man whom 5 % are taller than.
    TallAdult,
}

/// How many named heads.
pub const PERSONS: usize = 6;

/// Standing places over which a rung's share is taken.
const PLACES: usize = 32;

/// One rung: how a named head is seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rung {
    /// Who.
    pub person: Person,
    /// The head, m above the ground.
    pub head: Head,
    /// Whether the eyes are in the picture at the median standing distance, right before the plate.
    pub eyes_in: bool,
    /// Whether the whole head with its margin is in the picture there.
    pub face_in: bool,
    /// Density at the face there, px/m; 0 beyond the lens's reach.
    pub px_per_m: f64,
    /// Share of standing places at which the eyes are in the picture.
    pub eyes_in_share: f64,
}

/// The named heads, and the places where they stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ladder {
    heads: [(Person, Head); PERSONS],
    /// Normal deviates of distance and side.
    places: [[f64; 2]; PLACES],
}

impl Ladder {
    pub(super) fn new() -> Self {
        // 5 % lie beyond on either side.
        let z = normal::Z90;
        let both = |head: fn(Sex) -> Head| head(Sex::Woman).midway(head(Sex::Man));
        let heads = [
            (Person::ChildOf4, both(|sex| Head::child(sex, 4.0, 0.0))),
            (Person::ChildOf6, both(|sex| Head::child(sex, 6.0, 0.0))),
            (Person::Seated, both(|sex| Head::seated(sex, 0.0))),
            (Person::SmallAdult, Head::standing(Sex::Woman, -z)),
            (Person::MedianAdult, both(|sex| Head::standing(sex, 0.0))),
            (Person::TallAdult, Head::standing(Sex::Man, z)),
        ];
        let places = std::array::from_fn(|index| {
            let [distance, side, ..] = point(index as u32, PLACES as u32);
            [normal::quantile(distance), normal::quantile(side)]
        });
        Self { heads, places }
    }

    /// Midway between the mean woman and the mean man, standing.
    pub fn median_adult(&self) -> &Head {
        &self.heads[4].1
    }

    pub(super) fn rungs(&self, eye: &Eye, input: &ViewInput) -> [Rung; PERSONS] {
        let [below, above] = input.standing.log_spreads();
        let median_m = input.standing.median_m;
        let places = self.places.map(|[distance_z, side_z]| {
            let spread = if distance_z < 0.0 { below } else { above };
            [input.standing.sideways_sd_m * side_z, median_m * (spread * distance_z).exp()]
        });
        self.heads.map(|(person, head)| {
            let seen = places.iter().filter(|[side, away]| eye.sees([*side, head.eye_m, *away])).count();
            Rung {
                person,
                head,
                eyes_in: eye.sees([0.0, head.eye_m, median_m]),
                face_in: eye.sees_head(&head, 0.0, median_m, input.margin_m),
                px_per_m: eye.face_px_per_m(&head, 0.0, median_m),
                eyes_in_share: seen as f64 / PLACES as f64,
            }
        })
    }
}
