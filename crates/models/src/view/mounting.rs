//! The best place for a camera: height, tilt and turn that let most callers be identified.
//!
//! A coarse grid over what is allowed, then a finer one around the best, several times. Deterministic. It costs some
//! thousand views (tens of milliseconds in release), so it is for requests, not for every draw.

use super::callers::Callers;
use super::{View, ViewInput, view};
use crate::optics::pose::Pose;

/// What a mounting may be; each range low to high, equal ends hold a value fixed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Allowed {
    /// Height of the lens, m.
    pub height_m: [f64; 2],
    /// Tilt, rad.
    pub tilt_rad: [f64; 2],
    /// Turn, rad.
    pub turn_rad: [f64; 2],
}

/// A mounting and what it sees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mounting {
    /// The pose; offset and roll are the input's.
    pub pose: Pose,
    /// Its view.
    pub view: View,
}

/// Grid points of the first pass.
const COARSE: [u32; 3] = [9, 9, 7];

/// Halvings of the step after the first pass.
const ROUNDS: u32 = 4;

/// The mounting within `allowed` that identifies most callers.
///
/// Among equals (the share moves in steps of 1/256) the one that sees more whole faces, then the straighter one wins, so
/// that a camera is not tilted for nothing. Never worse than the input's own pose when that is allowed.
pub fn best_mounting(input: &ViewInput, callers: &Callers, allowed: &Allowed) -> Mounting {
    let ranges = [allowed.height_m, allowed.tilt_rad, allowed.turn_rad];
    let at = |place: [f64; 3]| {
        let pose = Pose { height_m: place[0], tilt_rad: place[1], turn_rad: place[2], ..input.pose };
        let view = view(&ViewInput { pose, ..*input }, callers);
        let straight = place[1].abs() + place[2].abs();
        // A face is worth a thousand whole faces of others; a whole turn of angle weighs less than one face.
        let worth = view.identified_share + 1e-3 * view.whole_face_share - 1e-6 * straight;
        (worth, place, Mounting { pose, view })
    };
    let own = [input.pose.height_m, input.pose.tilt_rad, input.pose.turn_rad];
    let start: [f64; 3] = std::array::from_fn(|i| held(own[i], ranges[i]));
    let mut best = at(start);
    let mut steps: [f64; 3] =
        std::array::from_fn(|i| (ranges[i][1] - ranges[i][0]).max(0.0) / f64::from(COARSE[i] - 1));
    for_each(COARSE, |index| {
        let place = std::array::from_fn(|i| held(ranges[i][0] + f64::from(index[i]) * steps[i], ranges[i]));
        let found = at(place);
        if found.0 > best.0 {
            best = found;
        }
    });
    for _ in 0..ROUNDS {
        steps = steps.map(|step| 0.5 * step);
        let around = best.1;
        for_each([3, 3, 3], |index| {
            let place =
                std::array::from_fn(|i| held(around[i] + (f64::from(index[i]) - 1.0) * steps[i], ranges[i]));
            let found = at(place);
            if found.0 > best.0 {
                best = found;
            }
        });
    }
    best.2
}

/// A value held inside a range; unlike `clamp` it does not panic on a range turned round or NaN.
fn held(value: f64, [low, high]: [f64; 2]) -> f64 {
    value.min(high).max(low)
}

fn for_each(counts: [u32; 3], mut visit: impl FnMut([u32; 3])) {
    for a in 0..counts[0] {
        for b in 0..counts[1] {
            for c in 0..counts[2] {
                visit([a, b, c]);
            }
        }
    }
}
