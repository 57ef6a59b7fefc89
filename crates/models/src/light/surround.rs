//! What stands around the caller: the wall in front of the face, the porch, the houses across.
//!
//! A face that is to be told looks at the wall with the camera. Light from the open side (sun, sky and ground before the
//! wall) comes from *behind* the caller and reaches the face by way of the wall and the porch; light from beyond the wall
//! reaches it straight, but only over the wall's top. So two shares describe every place, and both are simple to see.

use std::f64::consts::{FRAC_PI_2, PI};

use crate::out_of_range::OutOfRange;
use crate::sun::plane::{Plane, parts};

use super::daylight::Slot;

/// A place before a door.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surround {
    /// Direction in which the wall, and the camera, look: from north over east.
    pub wall_azimuth_rad: f64,
    /// Share of the open wall's illuminance that arrives on a face which looks at the wall: 0.05 in a deep dark porch, 0.3
    /// before a usual front, 0.5 before a white one (trade.md `light.porch` as 0.05..0.5; typical, from memory).
    pub from_front: f64,
    /// Share of the light beyond the wall that comes over its top onto the face: 0 before a house, near 1 at a gate post
    /// lower than the face. See [`over_wall`].
    pub over_wall: f64,
    /// Reflectance of the ground, 0 to 1; 0.2 is usual (typical, from memory).
    pub albedo: f64,
    /// Height of what stands across, as an angle: the beam onto the wall comes only from above it.
    pub horizon_rad: f64,
}

/// Share of a face's view beyond a wall that is left above the wall's top: 1 - sin of the top's angle.
///
/// - `above_m`: wall top above the face; 0 or less leaves all. `distance_m`: face to wall.
///
/// Source: form factor of a long wall on a parallel small plane (textbook); an endless wall is assumed.
///
/// By hand: 0.8 m above at 0.6 m: 1 - 0.8/1 = 0.2.
///
/// ```
/// assert!((models::light::surround::over_wall(0.8, 0.6) - 0.2).abs() < 1e-12);
/// ```
pub fn over_wall(above_m: f64, distance_m: f64) -> f64 {
    let above_m = above_m.max(0.0);
    if above_m == 0.0 { 1.0 } else { 1.0 - above_m / above_m.hypot(distance_m.max(0.0)) }
}

impl Surround {
    /// A usual house front that looks this way, nothing across.
    pub fn house(wall_azimuth_rad: f64) -> Self {
        Self { wall_azimuth_rad, from_front: 0.3, over_wall: 0.0, albedo: 0.2, horizon_rad: 0.0 }
    }

    /// The same place, if every number has sense.
    ///
    /// # Errors
    /// [`OutOfRange`] names the first that has not.
    pub fn check(self) -> Result<Self, OutOfRange> {
        OutOfRange::check("wall_azimuth_rad", self.wall_azimuth_rad, -2.0 * PI, 4.0 * PI)?;
        OutOfRange::check("from_front", self.from_front, 0.0, 1.0)?;
        OutOfRange::check("over_wall", self.over_wall, 0.0, 1.0)?;
        OutOfRange::check("albedo", self.albedo, 0.0, 1.0)?;
        OutOfRange::check("horizon_rad", self.horizon_rad, 0.0, FRAC_PI_2)?;
        Ok(self)
    }

    /// Ready for many quarter hours.
    pub(super) fn eye(&self) -> Eye {
        let upright = |azimuth_rad| Plane { tilt_rad: FRAC_PI_2, azimuth_rad, albedo: self.albedo }.normal();
        let wall = upright(self.wall_azimuth_rad);
        Eye { wall, beyond: wall.map(|v| -v), horizon_sin: self.horizon_rad.sin(), surround: *self }
    }
}

/// A surround with its directions at hand.
pub(super) struct Eye {
    wall: [f64; 3],
    beyond: [f64; 3],
    horizon_sin: f64,
    surround: Surround,
}

/// Light at one quarter hour before the door.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct AtDoor {
    /// On the face, lx.
    pub(super) face_lx: f64,
    /// Illuminance that a white matt screen would need to look as bright as the caller's background, lx: the brighter of sky
    /// and ground.
    pub(super) background_lx: f64,
}

impl Eye {
    pub(super) fn at(&self, slot: &Slot) -> AtDoor {
        let light = slot.light();
        let sun = slot.sun.map(f64::from);
        let Surround { from_front, over_wall, albedo, .. } = self.surround;
        let on = |normal: &[f64; 3]| parts(normal, 0.5, albedo, sun, &light);
        let mut front = on(&self.wall);
        if sun[2] < self.horizon_sin {
            front.beam_w_m2 = 0.0;
        }
        let mut face_lx = from_front * front.total_w_m2();
        if over_wall > 0.0 {
            face_lx += over_wall * on(&self.beyond).total_w_m2();
        }
        AtDoor { face_lx, background_lx: light.diffuse_w_m2.max(albedo * light.global_w_m2) }
    }
}
