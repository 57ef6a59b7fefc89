//! What a mounted camera sees of the people who call: the shares, densities and distances behind the `detail` budget.
//!
//! Callers differ in height, place and kind from call to call. That luck is *averaged inside* [`view`] over 256 fixed
//! points ([`Callers`]), never drawn: the same station always sees the same callers, so draws of a build's tolerances
//! compare like with like. Nothing here knows light, limits or words for users.
//!
//! Left out: the picture's edge as a curve (a face is in the picture when the four corners of its box are), a hand before
//! the lens, hats, and people who look away.

pub mod callers;
pub mod ground;
pub mod ladder;
pub mod mounting;
pub mod section;

use std::f64::consts::FRAC_PI_2;

use crate::optics::density::{self, Stretch};
use crate::optics::imager::Imager;
use crate::optics::law::{Lens, Projector};
use crate::optics::pose::{CameraFromDoor, Pose};
use crate::optics::window;
use crate::people::head::Head;
use crate::people::standing::Standing;

use callers::{CALLERS, Callers};
use ladder::{PERSONS, Rung};

/// Everything that decides a view.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ViewInput {
    /// The lens.
    pub lens: Lens,
    /// The picture on the array.
    pub imager: Imager,
    /// The camera on the wall.
    pub pose: Pose,
    /// Where callers stand.
    pub standing: Standing,
    /// Density that a face should have, px/m.
    pub wanted_px_per_m: f64,
    /// Room wanted around a head on all four sides, m; 0.03 is typical, from memory (hair, a cap).
    pub margin_m: f64,
    /// Sharpness q: what a pixel is worth; 0.6 (0.4..0.85) is typical, from memory.
    pub sharpness: f64,
    /// Distance for [`View::axis_px_per_m`], m.
    pub axis_distance_m: f64,
    /// Middle of a parcel on the ground, m from the wall.
    pub parcel_m: f64,
}

/// What the camera sees of its callers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// Share of callers whose whole face, with its margin, is in the picture.
    pub whole_face_share: f64,
    /// Share of callers whose face has at least the wanted density, in the picture or not.
    pub dense_share: f64,
    /// Share of callers of whom both are true.
    pub identified_share: f64,
    /// Median over callers of the density at the middle of the face in its smaller direction, px/m. Counted as far as
    /// the lens reaches, in the picture or not (the shares tell that); 0 beyond.
    pub face_px_per_m: f64,
    /// The density that 5 % of callers stay below, px/m.
    pub face_px_per_m_q05: f64,
    /// The median density times the sharpness, px/m: what it is worth.
    pub effective_px_per_m: f64,
    /// Density on the lens's axis at the asked distance, px/m.
    pub axis_px_per_m: f64,
    /// The nearest and farthest distance, m, at which the median adult right before the lens is wholly in the picture
    /// at the wanted density; the nearest such stretch. `None` when there is none between 0.1 and 100 m.
    pub useful_m: Option<[f64; 2]>,
    /// Share of the corners of a 0.3 m parcel on the ground that are in the picture; 1 is whole.
    pub parcel_share: f64,
    /// How far the ground before the wall is hidden, right before the lens, m; `None` when no ground is seen within
    /// 20 m.
    pub hidden_ground_m: Option<f64>,
    /// Full field of view over the picture's width, rad; `None` when the lens's law ends inside it.
    pub field_rad: Option<f64>,
    /// Angle from the axis to the picture's corner, rad: what a window must leave free.
    pub corner_rad: f64,
    /// Named heads from small to tall.
    pub ladder: [Rung; PERSONS],
}

/// A camera ready for many points.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Eye {
    projector: Projector,
    imager: Imager,
    map: CameraFromDoor,
    along: [f64; 3],
    up: [f64; 3],
    out: [f64; 3],
    /// Squared cosine of the angle up to which all directions are in the picture.
    inner_cos2: f64,
    /// Squared cosine of the angle beyond which none is; negative when that is beside the lens or behind it.
    outer_cos2: f64,
}

impl Eye {
    pub(crate) fn new(lens: &Lens, imager: &Imager, pose: &Pose) -> Self {
        let map = pose.camera_from_door();
        let half_side_m = 0.5 * imager.width_m().min(imager.height_m());
        let inner_rad = lens.theta_rad(half_side_m).unwrap_or_else(|| lens.reach_rad());
        let outer_rad = window::corner_rad(lens, imager);
        let cos2 = |angle: f64| angle.cos().powi(2);
        // A lens or picture without size sees nothing, whatever its law's end.
        let sized = lens.focal_m > 0.0 && half_side_m > 0.0;
        Self {
            projector: Projector::new(lens),
            imager: *imager,
            map,
            along: map.door_axis(0),
            up: map.door_axis(1),
            out: map.door_axis(2),
            inner_cos2: if sized { cos2(inner_rad.min(FRAC_PI_2)) } else { f64::INFINITY },
            outer_cos2: match sized {
                true if outer_rad < FRAC_PI_2 => cos2(outer_rad),
                true => -1.0,
                false => f64::INFINITY,
            },
        }
    }

    /// Whether a point of the door frame is in the picture.
    #[inline]
    pub(crate) fn sees(&self, point_in_door_m: [f64; 3]) -> bool {
        self.sees_in_camera(self.map.apply(point_in_door_m))
    }

    #[inline]
    fn sees_in_camera(&self, point: [f64; 3]) -> bool {
        // Most points lie clearly within or beyond the two circles that touch the picture's sides and corners; only
        // those between need the lens's law.
        let [x, y, z] = point;
        let (z2, away2) = (z * z, x * x + y * y + z * z);
        if z > 0.0 && z2 > self.inner_cos2 * away2 {
            return true;
        }
        if self.outer_cos2 > 0.0 && (z <= 0.0 || z2 < self.outer_cos2 * away2) {
            return false;
        }
        self.projector.image_from_camera(point).is_some_and(|image| self.imager.holds(image))
    }

    /// Whether the box of a head, widened by a margin, is in the picture at a place before the door.
    #[inline]
    pub(crate) fn sees_head(&self, head: &Head, side_m: f64, distance_m: f64, margin_m: f64) -> bool {
        let half = head.half_width_m + margin_m;
        let chin = self.map.apply([side_m - half, head.chin_m - margin_m, distance_m]);
        let height = head.top_m - head.chin_m + 2.0 * margin_m;
        // The box's sides are the same two directions for every head: one map, three sums.
        let right = step(chin, self.along, 2.0 * half);
        self.sees_in_camera(chin)
            && self.sees_in_camera(right)
            && self.sees_in_camera(step(chin, self.up, height))
            && self.sees_in_camera(step(right, self.up, height))
    }

    /// Density at the middle of a face in its smaller direction, px/m; 0 where the lens does not reach.
    #[inline]
    pub(crate) fn face_px_per_m(&self, head: &Head, side_m: f64, distance_m: f64) -> f64 {
        self.px_per_m_on_wall([side_m, 0.5 * (head.top_m + head.chin_m), distance_m])
    }

    /// Density in its smaller direction of a face at a point of the door frame that looks straight at the wall, px/m; 0
    /// where the lens does not reach.
    #[inline]
    pub(crate) fn px_per_m_on_wall(&self, point_in_door_m: [f64; 3]) -> f64 {
        density::stretch(&self.projector, self.map.apply(point_in_door_m), self.out)
            .map_or(0.0, |Stretch { smaller, .. }| smaller / self.imager.pitch_m)
    }

    /// Density in its smaller direction of a face at a point of the door frame that looks at the camera, px/m; 0 where
    /// the lens does not reach.
    pub(crate) fn px_per_m_towards(&self, point_in_door_m: [f64; 3]) -> f64 {
        let point = self.map.apply(point_in_door_m);
        let away = point.iter().map(|v| v * v).sum::<f64>().sqrt();
        density::stretch(&self.projector, point, point.map(|v| v / away))
            .map_or(0.0, |Stretch { smaller, .. }| smaller / self.imager.pitch_m)
    }

    /// Pixel of the middle of a face at a place before the door; `None` beyond the lens's reach.
    pub(crate) fn face_pixel(&self, head: &Head, side_m: f64, distance_m: f64) -> Option<[f64; 2]> {
        self.pixel([side_m, 0.5 * (head.top_m + head.chin_m), distance_m])
    }

    /// Pixel of a point of the door frame, in the picture or not; `None` beyond the lens's reach.
    pub(crate) fn pixel(&self, point_in_door_m: [f64; 3]) -> Option<[f64; 2]> {
        let image = self.projector.image_from_camera(self.map.apply(point_in_door_m))?;
        Some(self.imager.pixel_from_image(image))
    }
}

/// Share of callers whose face's middle a mask leaves free, in the picture or not.
pub fn unmasked_share(input: &ViewInput, callers: &Callers, mask: &crate::ground::Mask) -> f64 {
    let eye = Eye::new(&input.lens, &input.imager, &input.pose);
    let [below, above] = input.standing.log_spreads();
    let free = callers.all().iter().filter(|caller| {
        let spread = if caller.distance_z < 0.0 { below } else { above };
        let distance_m = input.standing.median_m * (spread * caller.distance_z).exp();
        let side_m = input.standing.sideways_sd_m * caller.side_z;
        eye.face_pixel(&caller.head, side_m, distance_m).is_none_or(|pixel| !mask.covers(pixel))
    });
    free.count() as f64 / CALLERS as f64
}

#[inline]
fn step(from: [f64; 3], direction: [f64; 3], length: f64) -> [f64; 3] {
    std::array::from_fn(|i| from[i] + length * direction[i])
}

/// What the camera sees of these callers.
///
/// Pure and total: an input without sense (a focal length of 0, NaN) gives shares and densities of 0, never a panic.
///
/// Cost: a few tens of microseconds in release, no allocation.
///
/// # Examples
///
/// A level 120° camera at face height sees nearly every caller whole:
///
/// ```
/// use models::optics::{imager::{Imager, Readout}, law::{Law, Lens}, pose::Pose};
/// use models::people::{mix::Mix, standing};
/// use models::view::{ViewInput, callers::Callers, view};
///
/// let imager = Imager::new([1600, 1200], 2.2e-6, [800, 600], Readout::Scaled)?;
/// let input = ViewInput {
///     lens: Lens::from_field(Law::Equidistant, [0.0; 4], 120f64.to_radians(), imager.width_m())?,
///     imager,
///     pose: Pose { height_m: 1.45, ..Pose::default() },
///     standing: standing::PRESSING,
///     wanted_px_per_m: 250.0, margin_m: 0.03, sharpness: 0.6, axis_distance_m: 0.6, parcel_m: 0.5,
/// };
/// let seen = view(&input, &Callers::new(&Mix::default()));
/// // 400 px stand for 60°: 382 px/rad; on the axis at 0.6 m that is 637 px/m.
/// assert!((seen.axis_px_per_m - 636.6).abs() < 0.1);
/// assert!(seen.whole_face_share > 0.8);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn view(input: &ViewInput, callers: &Callers) -> View {
    let eye = Eye::new(&input.lens, &input.imager, &input.pose);
    let mut densities = [0.0; CALLERS];
    let tally = tally(&eye, input, callers, &mut densities);
    let face_px_per_m = middle(&mut densities);
    // After the middle is in place the lower half holds all that the 5 % quantile needs.
    let low_rank = CALLERS / 20;
    let face_px_per_m_q05 = *densities[..CALLERS / 2].select_nth_unstable_by(low_rank, f64::total_cmp).1;
    View {
        whole_face_share: share(tally.whole),
        dense_share: share(tally.dense),
        identified_share: share(tally.both),
        face_px_per_m,
        face_px_per_m_q05,
        effective_px_per_m: face_px_per_m * input.sharpness,
        axis_px_per_m: density::on_axis_px_per_m(&input.lens, input.imager.pitch_m, input.axis_distance_m),
        useful_m: useful_m(&eye, input, callers.ladder().median_adult()),
        parcel_share: ground::parcel_share(&eye, input.pose.offset_m, input.parcel_m),
        hidden_ground_m: ground::hidden_m(&eye, input.pose.offset_m),
        field_rad: input.lens.field_rad(input.imager.width_m()),
        corner_rad: window::corner_rad(&input.lens, &input.imager),
        ladder: callers.ladder().rungs(&eye, input),
    }
}

/// How many callers are seen whole, dense, and both.
#[derive(Clone, Copy, Default)]
struct Tally {
    whole: u32,
    dense: u32,
    both: u32,
}

fn tally(eye: &Eye, input: &ViewInput, callers: &Callers, densities: &mut [f64; CALLERS]) -> Tally {
    let [below, above] = input.standing.log_spreads();
    let mut tally = Tally::default();
    for (caller, density) in callers.all().iter().zip(densities) {
        let spread = if caller.distance_z < 0.0 { below } else { above };
        let distance_m = input.standing.median_m * (spread * caller.distance_z).exp();
        let side_m = input.standing.sideways_sd_m * caller.side_z;
        *density = eye.face_px_per_m(&caller.head, side_m, distance_m);
        let dense = *density >= input.wanted_px_per_m;
        let whole = eye.sees_head(&caller.head, side_m, distance_m, input.margin_m);
        tally.whole += u32::from(whole);
        tally.dense += u32::from(dense);
        tally.both += u32::from(whole && dense);
    }
    tally
}

fn share(count: u32) -> f64 {
    f64::from(count) / CALLERS as f64
}

/// Median of an even number of values; leaves the lower half before the upper.
fn middle(values: &mut [f64; CALLERS]) -> f64 {
    let (lower, upper, _) = values.select_nth_unstable_by(CALLERS / 2, f64::total_cmp);
    0.5 * (lower.iter().copied().fold(f64::NEG_INFINITY, f64::max) + *upper)
}

/// The first stretch of distances at which a head right before the lens is whole and dense, to a thousandth.
fn useful_m(eye: &Eye, input: &ViewInput, head: &Head) -> Option<[f64; 2]> {
    let side_m = input.pose.offset_m;
    let useful = |log_m: f64| {
        let distance_m = log_m.exp();
        eye.face_px_per_m(head, side_m, distance_m) >= input.wanted_px_per_m
            && eye.sees_head(head, side_m, distance_m, input.margin_m)
    };
    let (from, to) = (0.1f64.ln(), 100f64.ln());
    first_stretch(useful, from, to, 24).map(|edges| edges.map(f64::exp))
}

/// The first stretch of `from..to` on which a condition holds: found on a grid, its ends by bisection.
fn first_stretch(holds: impl Fn(f64) -> bool, from: f64, to: f64, steps: u32) -> Option<[f64; 2]> {
    let at = |index: u32| from + (to - from) * f64::from(index) / f64::from(steps);
    let first = (0..=steps).find(|&index| holds(at(index)))?;
    let after = (first + 1..=steps).find(|&index| !holds(at(index)));
    let start = if first == 0 { from } else { edge(&holds, at(first), at(first - 1)) };
    let end = after.map_or(to, |index| edge(&holds, at(index - 1), at(index)));
    Some([start, end])
}

/// The edge between a place where a condition holds and one where it does not; on the holding side.
fn edge(holds: impl Fn(f64) -> bool, mut inside: f64, mut outside: f64) -> f64 {
    // 9 halvings of a grid step of 0.3 in the logarithm: finer than a thousandth.
    for _ in 0..9 {
        let middle = 0.5 * (inside + outside);
        if holds(middle) {
            inside = middle;
        } else {
            outside = middle;
        }
    }
    inside
}

#[cfg(test)]
mod tests;
