//! The picture cast onto the ground, for a drawing: which ground is in it, whose, under which mask, and where a
//! passer-by's face has how many pixels a metre.
//!
//! Traced along rays from the camera's foot, a degree apart. What [`crate::ground::watched`] sums up, here with its shape.

use super::{Camera, FACE_M, Land, Mask, NEAREST_M};
use crate::view::Eye;
use crate::view::section::outermost;

/// Rays over the half turn before the wall.
const RAYS: usize = 180;
/// Steps along a ray.
const STEPS: usize = 96;

/// Whose ground in the picture, and whether a mask covers it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Whose {
    /// Own ground.
    Own,
    /// Beyond the boundary.
    Beyond,
    /// Beyond the boundary, under a mask.
    Masked,
    /// Own, and masked all the same.
    OwnMasked,
}

/// A piece of ground in the picture: between two rays, from a distance to a farther one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Patch {
    /// Whose it is.
    pub whose: Whose,
    /// Its corners in order, m.
    pub corners: [[f64; 2]; 4],
    /// Its area, m².
    pub area_m2: f64,
}

/// The picture on the ground.
#[derive(Clone, Debug, PartialEq)]
pub struct Cast {
    /// Ground in the picture within the distance that counts.
    pub patches: Vec<Patch>,
    /// The closed edge of that ground; one for each run of rays that meet some.
    pub edges: Vec<Vec<[f64; 2]>>,
    /// Lines at which a face [`FACE_M`] high that looks at the camera has each of the densities asked for, as far as it is
    /// in the picture.
    pub contours: Vec<Vec<Vec<[f64; 2]>>>,
}

/// Casts the picture onto the ground, with a contour for each of `px_per_m`.
///
/// Pure and total: a camera without sense gives nothing. Cost: some milliseconds.
pub fn cast(camera: &Camera, land: &Land<'_>, mask: Option<&Mask>, px_per_m: &[f64]) -> Cast {
    let eye = Eye::new(&camera.lens, &camera.imager, &camera.pose);
    let contours = px_per_m.iter().map(|density| contour(camera, land, &eye, *density)).collect();
    let ratio = (land.far_m / NEAREST_M).max(1.0).powf(1.0 / STEPS as f64);
    let mut patches = Vec::new();
    let mut spans = vec![None; RAYS];
    for (ray, span) in spans.iter_mut().enumerate() {
        let kind = |step: usize| {
            let [x, y] = at(camera, ray as f64 + 0.5, NEAREST_M * ratio.powf(step as f64 + 0.5));
            let point = [x, 0.0, y];
            if step >= STEPS || !eye.sees(point) {
                return None;
            }
            let covered = mask.zip(eye.pixel(point)).is_some_and(|(mask, pixel)| mask.covers(pixel));
            Some(match (land.beyond([x, y]), covered) {
                (false, false) => Whose::Own,
                (false, true) => Whose::OwnMasked,
                (true, false) => Whose::Beyond,
                (true, true) => Whose::Masked,
            })
        };
        let mut from = 0;
        while from < STEPS {
            let whose = kind(from);
            let to = (from..=STEPS).find(|step| kind(*step) != whose).unwrap_or(STEPS).max(from + 1);
            if let Some(whose) = whose {
                let [near_m, far_m] = [from, to].map(|step| NEAREST_M * ratio.powi(step as i32));
                let turn_rad = std::f64::consts::PI / RAYS as f64;
                let [nearest_m, _] = span.unwrap_or([near_m, far_m]);
                *span = Some([nearest_m, far_m]);
                let corner = |ray: usize, away_m: f64| at(camera, ray as f64, away_m);
                patches.push(Patch {
                    whose,
                    corners: [
                        corner(ray, near_m),
                        corner(ray, far_m),
                        corner(ray + 1, far_m),
                        corner(ray + 1, near_m),
                    ],
                    area_m2: 0.5 * turn_rad * (far_m * far_m - near_m * near_m),
                });
            }
            from = to;
        }
    }
    let edges = edges(camera, &spans);
    Cast { patches, edges, contours }
}

/// The edges around runs of rays, from nearest and farthest ground of each ray.
fn edges(camera: &Camera, spans: &[Option<[f64; 2]>]) -> Vec<Vec<[f64; 2]>> {
    let runs = spans.split(Option::is_none).filter(|run| !run.is_empty());
    let mut from = 0;
    runs.map(|run| {
        let first = spans.iter().skip(from).position(Option::is_some).unwrap_or(0) + from;
        from = first + run.len();
        let end = |index: usize, end: usize| {
            run.get(index).copied().flatten().map(|span| at(camera, (first + index) as f64 + 0.5, span[end]))
        };
        let out = (0..run.len()).filter_map(|index| end(index, 0));
        let back = (0..run.len()).rev().filter_map(|index| end(index, 1));
        out.chain(back).chain(end(0, 0)).collect()
    })
    .collect()
}

/// Density of a face at a point of the ground, [`FACE_M`] high, that looks at the camera, px/m; 0 out of the picture.
pub fn face_px_per_m(camera: &Camera, [x, y]: [f64; 2]) -> f64 {
    let eye = Eye::new(&camera.lens, &camera.imager, &camera.pose);
    let face = [x, FACE_M, y];
    if eye.sees(face) { eye.px_per_m_towards(face) } else { 0.0 }
}

/// A point of the ground on a ray, counted from along the wall on the left, m.
fn at(camera: &Camera, ray: f64, away_m: f64) -> [f64; 2] {
    let (sin, cos) = (ray * std::f64::consts::PI / RAYS as f64).sin_cos();
    [camera.pose.offset_m - away_m * cos, away_m * sin]
}

fn contour(camera: &Camera, land: &Land<'_>, eye: &Eye, px_per_m: f64) -> Vec<Vec<[f64; 2]>> {
    let mut lines = vec![Vec::new()];
    for ray in 0..=2 * RAYS {
        let place = |away_m: f64| {
            let [x, y] = at(camera, 0.5 * ray as f64, away_m);
            [x, FACE_M, y]
        };
        let found = outermost(|away_m| eye.px_per_m_towards(place(away_m)) >= px_per_m)
            .filter(|away_m| *away_m <= land.far_m && eye.sees(place(*away_m)))
            .map(|away_m| at(camera, 0.5 * ray as f64, away_m));
        match (found, lines.last_mut()) {
            (Some(point), Some(line)) => line.push(point),
            (None, Some(line)) if !line.is_empty() => lines.push(Vec::new()),
            _ => {}
        }
    }
    lines.retain(|line| line.len() > 1);
    lines
}

#[cfg(test)]
mod tests {
    use super::super::{guard_px, polygon, watched};
    use super::*;
    use crate::optics::imager::Imager;
    use crate::optics::law::{Law, Lens};
    use crate::optics::pose::Pose;

    fn camera(law: Law, field_deg: f64, tilt_rad: f64) -> Camera {
        let imager = Imager { width_px: 800.0, height_px: 600.0, pitch_m: 4.4e-6 };
        let lens = Lens::from_field(law, [0.0; 4], field_deg.to_radians(), imager.width_m()).unwrap();
        Camera { lens, imager, pose: Pose { height_m: 1.5, tilt_rad, offset_m: 0.2, ..Pose::default() } }
    }

    fn own() -> Vec<Vec<[f64; 2]>> {
        vec![vec![[-3.0, 0.0], [3.0, 0.0], [3.0, 6.0], [-3.0, 6.0]]]
    }

    /// Two ways to the same areas: the patches' sums, and the sums over the disc of which the check's figures are made.
    #[test]
    fn patches_add_up_to_the_ground_that_is_watched() {
        let own = own();
        let land = Land { own: &own, far_m: 20.0 };
        for (law, field_deg, tilt) in
            [(Law::Rectilinear, 80.0, -0.3), (Law::Equidistant, 150.0, 0.0), (Law::Equisolid, 185.0, 0.2)]
        {
            let camera = camera(law, field_deg, tilt);
            let sums = watched(&camera, &land, 125.0);
            let cast = cast(&camera, &land, None, &[]);
            for edge in &cast.edges {
                assert!(edge.len() > 2 && edge.first() == edge.last(), "{law:?}");
                // Around all patches: the polygon's area is theirs, but for what the picture leaves out between.
                let patches: f64 = cast.patches.iter().map(|patch| patch.area_m2).sum();
                assert!((polygon::area_m2(edge) / patches - 1.0).abs() < 0.05, "{law:?}");
            }
            let area = |beyond: bool| -> f64 {
                let of = |patch: &&Patch| !beyond || patch.whose == Whose::Beyond;
                cast.patches.iter().filter(of).map(|patch| patch.area_m2).sum()
            };
            // The disc's cells are 7.5 degrees wide: a tenth, as its docs say.
            assert!((area(false) / sums.ground_m2 - 1.0).abs() < 0.1, "{law:?}");
            assert!((area(true) / sums.beyond_m2 - 1.0).abs() < 0.1, "{law:?}");
        }
    }

    #[test]
    fn a_mask_leaves_nothing_of_others_ground_and_contours_have_their_density() {
        let own = own();
        let land = Land { own: &own, far_m: 20.0 };
        let camera = camera(Law::Equidistant, 120.0, -0.1);
        let guard = guard_px(&camera.lens, &camera.imager, 0.035);
        let mask = Mask::new(&camera, &land, guard, [40, 30]);
        let cast = cast(&camera, &land, Some(&mask), &[62.5, 125.0]);
        let open: f64 =
            cast.patches.iter().filter(|patch| patch.whose == Whose::Beyond).map(|patch| patch.area_m2).sum();
        assert!(open < 0.01 * std::f64::consts::PI * 200.0, "{open}");
        assert!(cast.patches.iter().any(|patch| patch.whose == Whose::Masked));
        for (lines, wanted) in cast.contours.iter().zip([62.5, 125.0]) {
            assert!(!lines.is_empty());
            for point in lines.iter().flatten() {
                let eye = Eye::new(&camera.lens, &camera.imager, &camera.pose);
                let found = eye.px_per_m_towards([point[0], FACE_M, point[1]]);
                assert!((found / wanted - 1.0).abs() < 1e-3 && point[1] >= 0.0);
            }
        }
    }
}
