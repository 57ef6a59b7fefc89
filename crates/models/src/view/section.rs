//! The section through the place that callers face: where the picture's edges run in it, and where a face has how many
//! pixels a metre.
//!
//! Points are `[out, up]`, m: from the wall's face, and above the ground, in the plane upright on the wall through the
//! callers' place (`x` 0 of the door frame). Densities are those of [`super::View`]: of a face that looks straight at the wall, in its
//! smaller direction. Lines are traced along rays from the foot of the lens in that plane, so that they hold for a
//! camera that hangs aside, is turned or lies on its side.

use super::{Eye, ViewInput, edge};
use crate::people::head::Head;

/// Directions at which rays leave, from straight down to straight up: half a degree apart.
const RAYS: u32 = 360;
/// Steepest ray, rad: a hair inside the wall's plane, which no ray lies in.
const STEEPEST_RAD: f64 = std::f64::consts::FRAC_PI_2 - 1e-4;
/// Farthest and nearest distance looked at along a ray, m.
const ALONG_M: [f64; 2] = [400.0, 0.005];
/// Steps along a ray: each an eighth shorter than the last.
const STEPS: u32 = 90;
/// Distances at which the edges of a camera beside the plane are looked for.
const EDGES: u32 = 60;

/// A point of the section: metres out of the wall, metres above the ground.
pub type Point = [f64; 2];

/// What the section shows.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// The picture's upper edge, outwards; empty where it lies behind the wall, or none of the plane is in the picture.
    pub upper: Vec<Point>,
    /// The picture's lower edge, outwards; empty likewise.
    pub lower: Vec<Point>,
    /// For each density asked for the lines at which a face has it, inside the picture and above the ground.
    pub contours: Vec<Vec<Vec<Point>>>,
}

/// Traces the section out to `reach_m`, with a contour for each of `px_per_m`.
///
/// Pure and total: a camera without sense gives empty lines. Cost: some milliseconds.
pub fn section(input: &ViewInput, reach_m: f64, px_per_m: &[f64]) -> Section {
    let eye = Eye::new(&input.lens, &input.imager, &input.pose);
    let from_m = input.pose.height_m;
    let fan = Fan { eye: &eye, from_m };
    let [lower, upper] = fan.edges(input.pose.offset_m, reach_m);
    let contours = px_per_m.iter().map(|density| fan.contour(*density)).collect();
    Section { upper, lower, contours }
}

/// Density of a face at a point of the section that looks straight at the wall, px/m; 0 beyond the lens's reach.
pub fn px_per_m_at(input: &ViewInput, [out_m, up_m]: Point) -> f64 {
    Eye::new(&input.lens, &input.imager, &input.pose).px_per_m_on_wall([0.0, up_m, out_m])
}

/// The farthest distance at which a face right before the plate is in the picture with at least a density, m; `None`
/// where it nowhere is.
pub fn farthest_m(input: &ViewInput, head: &Head, px_per_m: f64) -> Option<f64> {
    let eye = Eye::new(&input.lens, &input.imager, &input.pose);
    let up_m = 0.5 * (head.top_m + head.chin_m);
    outermost(|out_m| {
        let face = [0.0, up_m, out_m];
        eye.px_per_m_on_wall(face) >= px_per_m && eye.sees(face)
    })
}

/// The farthest distance at which a condition holds, m, to a millionth.
pub(crate) fn outermost(holds: impl Fn(f64) -> bool) -> Option<f64> {
    let [far, near] = ALONG_M.map(f64::ln);
    let at = |step: u32| far + (near - far) * f64::from(step) / f64::from(STEPS);
    let first = (0..=STEPS).find(|step| holds(at(*step).exp()))?;
    if first == 0 {
        return Some(ALONG_M[0]);
    }
    let (mut inside, mut outside) = (at(first), at(first - 1));
    // Twice nine halvings of an eighth: finer than a millionth.
    for _ in 0..2 {
        let found = edge(|log: f64| holds(log.exp()), inside, outside);
        outside = found + (outside - inside) / 512.0;
        inside = found;
    }
    Some(inside.exp())
}

/// Rays of the section from the foot of the lens in it.
struct Fan<'e> {
    eye: &'e Eye,
    from_m: f64,
}

impl Fan<'_> {
    fn point(&self, angle_rad: f64, away_m: f64) -> Point {
        let (sin, cos) = angle_rad.sin_cos();
        [away_m * cos, self.from_m + away_m * sin]
    }

    fn angle(step: f64) -> f64 {
        let turn = std::f64::consts::PI / f64::from(RAYS);
        ((step - 0.5 * f64::from(RAYS)) * turn).clamp(-STEEPEST_RAD, STEEPEST_RAD)
    }

    fn sees(&self, [out_m, up_m]: Point) -> bool {
        self.eye.sees([0.0, up_m, out_m])
    }

    /// The lower and the upper edge. From a lens in the plane they are straight; beside it they are not.
    fn edges(&self, offset_m: f64, reach_m: f64) -> [Vec<Point>; 2] {
        let steps = if offset_m == 0.0 { 1 } else { EDGES };
        let nearest_m: f64 = 0.01;
        let mut lines = [Vec::new(), Vec::new()];
        for step in 0..steps {
            let share = f64::from(steps - step) / f64::from(steps);
            let away_m = nearest_m * (reach_m / nearest_m).powf(share);
            let holds = |at: f64| self.sees(self.point(Self::angle(at), away_m));
            let Some(first) = (0..=RAYS).find(|at| holds(f64::from(*at))) else { continue };
            let last = (first..=RAYS).rev().find(|at| holds(f64::from(*at))).unwrap_or(first);
            let [first, last] = [first, last].map(f64::from);
            // An edge in the wall's own plane is none: the picture goes on behind the wall.
            if first > 0.0 {
                lines[0].push(self.point(Self::angle(edge(holds, first, first - 1.0)), away_m));
            }
            if last < f64::from(RAYS) {
                lines[1].push(self.point(Self::angle(edge(holds, last, last + 1.0)), away_m));
            }
        }
        for line in &mut lines {
            if offset_m == 0.0 && !line.is_empty() {
                line.push([0.0, self.from_m]);
            }
            line.reverse();
        }
        lines
    }

    /// The lines at which a face has a density: the farthest such place on each ray.
    fn contour(&self, px_per_m: f64) -> Vec<Vec<Point>> {
        let mut lines = vec![Vec::new()];
        for step in 0..=RAYS {
            let angle_rad = Self::angle(f64::from(step));
            let dense = |away_m: f64| {
                let [out_m, up_m] = self.point(angle_rad, away_m);
                self.eye.px_per_m_on_wall([0.0, up_m, out_m]) >= px_per_m
            };
            let found = outermost(dense)
                .filter(|away_m| *away_m < ALONG_M[0])
                .map(|away_m| self.point(angle_rad, away_m))
                .filter(|point| point[1] >= 0.0 && self.sees(*point));
            match (found, lines.last_mut()) {
                (Some(point), Some(line)) => line.push(point),
                (None, Some(line)) if !line.is_empty() => lines.push(Vec::new()),
                _ => {}
            }
        }
        lines.retain(|line| line.len() > 1);
        lines
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::optics::imager::Imager;
    use crate::optics::law::{Law, Lens};
    use crate::optics::pose::Pose;
    use crate::people::mix::Mix;
    use crate::people::standing::PRESSING;
    use crate::view::callers::Callers;
    use crate::view::view;

    fn input(law: Law, field_deg: f64, pose: Pose) -> ViewInput {
        let imager = Imager { width_px: 800.0, height_px: 600.0, pitch_m: 4.4e-6 };
        ViewInput {
            lens: Lens::from_field(law, [0.0; 4], field_deg.to_radians(), imager.width_m()).unwrap(),
            imager,
            pose,
            standing: PRESSING,
            wanted_px_per_m: 250.0,
            margin_m: 0.03,
            sharpness: 0.6,
            axis_distance_m: 0.6,
            parcel_m: 0.6,
        }
    }

    /// By hand: a level rectilinear camera of 90° has 400 px over tan 45°, so the density on a plane along the wall is 400
    /// over the distance, everywhere: contours stand upright, and the edges rise by 3/4 a metre.
    #[test]
    fn contours_of_a_straight_lens_stand_upright() {
        let input = input(Law::Rectilinear, 90.0, Pose { height_m: 1.4, ..Pose::default() });
        let section = section(&input, 3.0, &[250.0, 1000.0]);
        for (contour, out_m) in section.contours.iter().zip([1.6, 0.4]) {
            assert_eq!(contour.len(), 1);
            assert!(contour[0].iter().all(|point| (point[0] - out_m).abs() < 1e-5 * out_m), "{contour:?}");
        }
        let end = section.upper[1];
        assert!(((end[1] - 1.4) / end[0] - 0.75).abs() < 1e-3, "{end:?}");
        let end = section.lower[1];
        assert!(((1.4 - end[1]) / end[0] - 0.75).abs() < 1e-3, "{end:?}");
    }

    /// The section's edges and the view's own searches are two ways to the same places.
    #[test]
    fn edges_and_reach_agree_with_the_view() {
        for (law, field_deg) in [(Law::Rectilinear, 90.0), (Law::Equidistant, 120.0), (Law::Equisolid, 100.0)]
        {
            let input = input(law, field_deg, Pose { height_m: 1.4, ..Pose::default() });
            let callers = Callers::new(&Mix::default());
            let seen = view(&input, &callers);
            let [lower_foot, lower] = section(&input, 3.0, &[]).lower[..] else { panic!("straight") };
            let slope = (lower[1] - lower_foot[1]) / (lower[0] - lower_foot[0]);
            let hidden_m = seen.hidden_ground_m.unwrap();
            assert!((-1.4 / slope / hidden_m - 1.0).abs() < 5e-3, "{law:?}");
            let farthest = farthest_m(&input, callers.ladder().median_adult(), 250.0).unwrap();
            assert!((farthest / seen.useful_m.unwrap()[1] - 1.0).abs() < 2e-3, "{law:?}");
        }
    }

    #[test]
    fn contour_points_have_their_density_for_any_pose() {
        for pose in [
            Pose { height_m: 0.3, tilt_rad: 0.6, ..Pose::default() },
            Pose { height_m: 2.2, tilt_rad: -0.5, offset_m: 0.3, turn_rad: -0.4, ..Pose::default() },
            Pose { height_m: 1.4, roll_rad: 1.57, ..Pose::default() },
        ] {
            for (law, field_deg) in
                [(Law::Equisolid, 185.0), (Law::Rectilinear, 20.0), (Law::Orthographic, 140.0)]
            {
                let input = input(law, field_deg, pose);
                let eye = Eye::new(&input.lens, &input.imager, &input.pose);
                let section = section(&input, 5.0, &[60.0, 250.0, 1000.0]);
                assert!(section.contours.iter().any(|lines| !lines.is_empty()), "{law:?} {pose:?}");
                for (lines, wanted) in section.contours.iter().zip([60.0, 250.0, 1000.0]) {
                    for point in lines.iter().flatten() {
                        let found = px_per_m_at(&input, *point);
                        assert!((found / wanted - 1.0).abs() < 1e-3, "{law:?} {point:?}: {found}");
                        assert!(eye.sees([0.0, point[1], point[0]]) && point[1] >= 0.0);
                    }
                }
            }
        }
    }

    #[test]
    fn nonsense_gives_no_lines() {
        let good = input(Law::Equidistant, 100.0, Pose { height_m: 1.4, ..Pose::default() });
        for bad in [
            ViewInput { lens: Lens::new(Law::Rectilinear, f64::NAN), ..good },
            ViewInput { pose: Pose { height_m: f64::NAN, ..good.pose }, ..good },
            ViewInput { imager: Imager { pitch_m: 0.0, ..good.imager }, ..good },
        ] {
            let section = section(&bad, 3.0, &[250.0, f64::NAN]);
            assert!(section.contours.iter().all(Vec::is_empty) && section.upper.is_empty(), "{bad:?}");
        }
    }
}
