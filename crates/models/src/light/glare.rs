//! The sun in the picture: hours at which its disc stands in the field of view.
//!
//! The disc then bleaches a part of the picture, and the loop darkens the rest. How much is left out; that it happens is
//! what an aim, a hood or a turn can change.

use crate::optics::imager::Imager;
use crate::optics::law::Lens;
use crate::optics::pose::Pose;
use crate::view::Eye;

use super::calls::HourProfile;
use super::daylight::Daylight;

/// How long, and for how many callers, the sun looks into the lens.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SunInPicture {
    /// Hours a year if no cloud ever covered it.
    pub clear_h: f64,
    /// Hours a year with this year's clouds.
    pub expected_h: f64,
    /// Share of calls that are made meanwhile, clouds included.
    pub call_share: f64,
}

/// Unit vector (east, north, up) in the door frame of a wall that looks to `wall_azimuth_rad`: along the wall to the
/// visitor's right, up, out.
///
/// By hand: before a south wall the visitor looks north, east is on the right: the rising sun of an equinox is (1, 0, 0).
///
/// ```
/// let [right, up, out] = models::light::glare::door_from_sky(std::f64::consts::PI, [1.0, 0.0, 0.0]);
/// assert!((right - 1.0).abs() < 1e-12 && up == 0.0 && out.abs() < 1e-12);
/// ```
pub fn door_from_sky(wall_azimuth_rad: f64, [east, north, up]: [f64; 3]) -> [f64; 3] {
    let (sin, cos) = wall_azimuth_rad.sin_cos();
    [north * sin - east * cos, up, east * sin + north * cos]
}

/// Whether a mounted camera has a direction of the door frame in its picture.
pub fn camera_sees(lens: &Lens, imager: &Imager, pose: &Pose) -> impl Fn([f64; 3]) -> bool + use<> {
    let eye = Eye::new(lens, imager, pose);
    let lens_in_door_m = pose.camera_from_door().lens_in_door_m;
    // A direction is a point so far away that the camera's own place does not count.
    move |direction: [f64; 3]| eye.sees(std::array::from_fn(|i| lens_in_door_m[i] + 1e6 * direction[i]))
}

/// Counts the slots whose sun stands in the picture.
///
/// - `horizon_rad`: height of what stands across; the sun is seen only above it.
/// - `sees`: whether the camera has a direction of the door frame in its picture, [`camera_sees`]; a hood or a canopy may
///   be added by the caller.
pub fn sun_in_picture(
    daylight: &Daylight,
    wall_azimuth_rad: f64,
    horizon_rad: f64,
    calls: &HourProfile,
    sees: impl Fn([f64; 3]) -> bool,
) -> SunInPicture {
    let least_up = horizon_rad.sin().max(0.0);
    let mut sum = SunInPicture::default();
    let slot_h = 1.0 / daylight.per_hour() as f64;
    let of_day = 24.0 / daylight.slots().len().max(1) as f64;
    for (index, slot) in daylight.slots().iter().enumerate() {
        let sun = door_from_sky(wall_azimuth_rad, slot.sun.map(f64::from));
        // Behind the wall's plane the house stands before it.
        if sun[1] <= least_up || sun[2] <= 0.0 || !sees(sun) {
            continue;
        }
        let disc = f64::from(slot.disc);
        sum.clear_h += slot_h;
        sum.expected_h += slot_h * disc;
        sum.call_share += disc * calls.shares()[daylight.hour_of_day(index)] * of_day;
    }
    sum
}
