//! Whose ground a camera watches: polygons on the ground, picture rays cast onto it, masks in picture coordinates.
//!
//! The ground is the plane at the callers' feet; its points are `[x, y]`, m: x along the wall to the caller's right, y out
//! of the wall, from the plate's foot. Own ground is a set of polygons; everything else within a distance counts as
//! beyond. Left out: slopes, fences and hedges that hide it, upper floors, and mirrors and panes that look round corners.

/// The picture on the ground, with its shape.
pub mod cast;
/// Polygons: area, point in polygon, clip, simplicity.
pub mod polygon;

mod mask;

pub use mask::Mask;

use std::f64::consts::FRAC_PI_2;

use crate::optics::imager::Imager;
use crate::optics::law::Lens;
use crate::optics::pose::{CameraFromDoor, Pose};
use crate::view::Eye;

/// Height at which a passer-by's face is looked for, m: between the medians of women's and men's eyes.
pub const FACE_M: f64 = 1.6;
/// Rays across and down the picture for its shares: 1,200 of them tell a share to about a hundredth.
const RAYS: [usize; 2] = [40, 30];
/// Cells of the half disc before the wall, around and outwards.
const DISC: [usize; 2] = [48, 32];
/// Inner radius of the disc, m: nearer there is nobody.
const NEAREST_M: f64 = 0.25;

/// A camera over a plane.
#[derive(Clone, Copy, Debug)]
pub struct Camera {
    /// The lens.
    pub lens: Lens,
    /// The picture on the array.
    pub imager: Imager,
    /// The camera on the wall.
    pub pose: Pose,
}

/// Own ground, and how far the rest counts.
#[derive(Clone, Copy, Debug)]
pub struct Land<'a> {
    /// Polygons of own ground; corners in order, either way round, not closed by repeating the first.
    pub own: &'a [Vec<[f64; 2]>],
    /// Distance from the camera's foot up to which ground counts, m.
    pub far_m: f64,
}

impl Land<'_> {
    /// Whether a point is beyond the boundary.
    pub fn beyond(&self, point: [f64; 2]) -> bool {
        !self.own.iter().any(|polygon| polygon::holds(polygon, point))
    }
}

/// What a camera watches of a land.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Watched {
    /// Share of the picture that looks at ground within the distance.
    pub ground_share: f64,
    /// Share of the picture that looks at such ground beyond the boundary.
    pub beyond_share: f64,
    /// Ground within the distance that is in the picture, m².
    pub ground_m2: f64,
    /// Of it, beyond the boundary, m².
    pub beyond_m2: f64,
    /// Ground beyond the boundary on which somebody who looks at the camera has a face, [`FACE_M`] high, in the picture
    /// with at least the density asked for, m².
    pub face_m2: f64,
}

/// A camera ready to cast rays.
pub(crate) struct Caster {
    camera: Camera,
    map: CameraFromDoor,
}

impl Caster {
    pub(crate) fn new(camera: &Camera) -> Self {
        Self { camera: *camera, map: camera.pose.camera_from_door() }
    }

    /// Where the ray through a pixel meets the ground, m; `None` for the sky, the wall and beyond the lens.
    pub(crate) fn ground(&self, pixel: [f64; 2]) -> Option<[f64; 2]> {
        let Camera { lens, imager, pose } = &self.camera;
        let x = (pixel[0] - 0.5 * imager.width_px) * imager.pitch_m;
        let y = (pixel[1] - 0.5 * imager.height_px) * imager.pitch_m;
        let radius = x.hypot(y);
        let theta = lens.theta_rad(radius)?;
        let (sin, cos) = theta.sin_cos();
        let [right, down] = if radius > 0.0 { [x / radius, y / radius] } else { [0.0, 0.0] };
        let [along, up, out] = self.map.direction_in_door([sin * right, sin * down, cos]);
        // A ray that does not fall, or goes back into the wall, meets no ground before it.
        if !(up < 0.0 && out > 0.0) {
            return None;
        }
        let reach = pose.height_m / -up;
        Some([pose.offset_m + reach * along, reach * out])
    }
}

/// Where the ray through a pixel (from the upper left corner) meets the ground, m; `None` where it meets none.
///
/// By hand: a level camera 1.5 m high, 45° below its axis: 1.5 m before the wall.
///
/// ```
/// use models::ground::{Camera, ground_point};
/// use models::optics::{imager::Imager, law::{Law, Lens}, pose::Pose};
/// let camera = Camera {
///     lens: Lens::new(Law::Rectilinear, 1e-3),
///     imager: Imager { width_px: 1000.0, height_px: 2000.0, pitch_m: 1e-6 },
///     pose: Pose { height_m: 1.5, ..Pose::default() },
/// };
/// let [x, y] = ground_point(&camera, [500.0, 2000.0]).unwrap();
/// assert!(x.abs() < 1e-12 && (y - 1.5).abs() < 1e-12);
/// assert_eq!(ground_point(&camera, [500.0, 0.0]), None);
/// ```
pub fn ground_point(camera: &Camera, pixel: [f64; 2]) -> Option<[f64; 2]> {
    Caster::new(camera).ground(pixel)
}

/// What a camera watches of a land; faces count from `face_px_per_m` on.
///
/// Pure and total: what has no sense gives shares and areas of 0. Shares are good to about 0.01, areas to a tenth (cells
/// of a half disc). Cost: about a tenth of a millisecond.
pub fn watched(camera: &Camera, land: &Land<'_>, face_px_per_m: f64) -> Watched {
    let caster = Caster::new(camera);
    let [columns, rows] = RAYS;
    let (mut ground, mut beyond) = (0_u32, 0_u32);
    for row in 0..rows {
        for column in 0..columns {
            let pixel = [
                (column as f64 + 0.5) / columns as f64 * camera.imager.width_px,
                (row as f64 + 0.5) / rows as f64 * camera.imager.height_px,
            ];
            let Some(point) = caster.ground(pixel).filter(|point| within(camera, land, *point)) else {
                continue;
            };
            ground += 1;
            beyond += u32::from(land.beyond(point));
        }
    }
    let rays = (columns * rows) as f64;
    let [ground_m2, beyond_m2, face_m2] = areas(camera, land, face_px_per_m);
    Watched {
        ground_share: f64::from(ground) / rays,
        beyond_share: f64::from(beyond) / rays,
        ground_m2,
        beyond_m2,
        face_m2,
    }
}

fn within(camera: &Camera, land: &Land<'_>, [x, y]: [f64; 2]) -> bool {
    (x - camera.pose.offset_m).hypot(y) <= land.far_m
}

/// Areas over the half disc before the wall: in the picture, of it beyond, and beyond with a dense face above.
fn areas(camera: &Camera, land: &Land<'_>, face_px_per_m: f64) -> [f64; 3] {
    let eye = Eye::new(&camera.lens, &camera.imager, &camera.pose);
    let [around, outwards] = DISC;
    let turn_rad = 2.0 * FRAC_PI_2 / around as f64;
    let ratio = (land.far_m / NEAREST_M).max(1.0).powf(1.0 / outwards as f64);
    let mut areas = [0.0; 3];
    for ring in 0..outwards {
        let inner_m = NEAREST_M * ratio.powi(ring as i32);
        let outer_m = inner_m * ratio;
        let cell_m2 = 0.5 * (outer_m * outer_m - inner_m * inner_m) * turn_rad;
        let middle_m = (inner_m * outer_m).sqrt();
        for step in 0..around {
            let (sin, cos) = (-FRAC_PI_2 + (step as f64 + 0.5) * turn_rad).sin_cos();
            let [x, y] = [camera.pose.offset_m + middle_m * sin, middle_m * cos];
            let beyond = land.beyond([x, y]);
            if eye.sees([x, 0.0, y]) {
                areas[0] += cell_m2;
                areas[1] += if beyond { cell_m2 } else { 0.0 };
            }
            let face = [x, FACE_M, y];
            if beyond && eye.sees(face) && eye.px_per_m_towards(face) >= face_px_per_m {
                areas[2] += cell_m2;
            }
        }
    }
    areas
}

/// Pixels that a picture moves on its axis when the camera turns by an angle: the guard band of a mask, px.
///
/// By hand (trade.md, privacy): 600 px/rad and 2° are 21 px.
///
/// ```
/// use models::{ground::guard_px, optics::{imager::Imager, law::{Law, Lens}}};
/// let imager = Imager { width_px: 800.0, height_px: 600.0, pitch_m: 4e-6 };
/// assert!((guard_px(&Lens::new(Law::Rectilinear, 2.4e-3), &imager, 2f64.to_radians()) - 20.94).abs() < 0.01);
/// ```
pub fn guard_px(lens: &Lens, imager: &Imager, error_rad: f64) -> f64 {
    lens.focal_m / imager.pitch_m * error_rad
}

#[cfg(test)]
mod tests;
