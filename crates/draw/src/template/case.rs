//! The case and its holes about the lens: where they lie, and what is said of them.

use super::mm;
use crate::door::told;
use crate::svg::MM;
use station::plan::Plan;

/// The case as it hangs about the lens, in mm.
#[derive(Clone, Copy, Debug)]
pub(super) struct Case {
    pub(super) wide: f64,
    pub(super) high: f64,
    /// From the lens up to its upper edge, where told.
    pub(super) above: Option<f64>,
    /// Distances of the screw holes, across and up; NaN where not told.
    pub(super) screws: [f64; 2],
    /// Diameter of a screw hole; NaN where not told.
    pub(super) screw: f64,
    /// Diameter of the cable's hole, and how far it lies below the lens; NaN where not told.
    pub(super) cable: [f64; 2],
}

impl Case {
    pub(super) fn of(plan: &Plan) -> Option<Self> {
        let (case, mount) = (&plan.station.case, &plan.station.mount);
        let above = (1e3 * mount.above_lens_m).is_finite().then_some(1e3 * mount.above_lens_m);
        (told(plan, "case.width") && told(plan, "case.height")).then_some(Self {
            wide: 1e3 * case.width_m,
            high: 1e3 * case.height_m,
            above,
            screws: [1e3 * mount.screws_across_m, 1e3 * mount.screws_up_m],
            screw: 1e3 * mount.screw_m,
            cable: [1e3 * mount.cable_hole_m, 1e3 * mount.cable_below_m],
        })
    }

    /// From the lens up to the upper edge and down to the lower one; below 0 where the lens lies outside.
    pub(super) fn edges(&self) -> [f64; 2] {
        let above = self.above.unwrap_or(0.5 * self.high);
        [above, self.high - above]
    }

    /// From the lens up and down to the farthest that belongs to it: its edges, and holes wherever the plan has them.
    pub(super) fn reach(&self) -> [f64; 2] {
        let [above, below] = self.edges();
        let with_radius = |y: f64, size: f64| y + (0.5 * size).max(0.0).copysign(y);
        let [size, down] = self.cable;
        let cable = if size.is_finite() && down.is_finite() { with_radius(down, size) } else { 0.0 };
        let holes = self.holes().into_iter().map(|[_, y]| with_radius(y, self.screw));
        let all = holes.chain([-above, below, cable]);
        all.fold([0.0; 2], |[up, down], y| [up.max(-y), f64::max(down, y)])
    }

    /// From the lens's upright line to the farthest on either side.
    pub(super) fn aside(&self) -> f64 {
        self.holes()
            .into_iter()
            .map(|[x, _]| x.abs() + (0.5 * self.screw).max(0.0))
            .fold(0.5 * self.wide, f64::max)
    }

    /// Middles of the screw holes, right of the lens and below it; none where they or the case's place are not told.
    pub(super) fn holes(&self) -> Vec<[f64; 2]> {
        let Some(above) = self.above else { return Vec::new() };
        let middle = 0.5 * self.high - above;
        let [across, up] = self.screws.map(|apart| 0.5 * apart);
        let sides = |half: f64| if half.is_finite() { vec![-half, half] } else { vec![0.0] };
        if !across.is_finite() && !up.is_finite() {
            return Vec::new();
        }
        sides(up).into_iter().flat_map(|y| sides(across).into_iter().map(move |x| [x, middle + y])).collect()
    }

    /// From where to where below the lens each hole and each level edge lies, units; none where the case's place is not told.
    pub(super) fn spans(&self) -> Vec<[f64; 2]> {
        let Some(above) = self.above else { return Vec::new() };
        let mut spans = vec![[-above; 2], [self.high - above; 2]];
        let of = |y: f64, size: f64| [y - 0.5 * size.max(0.0), y + 0.5 * size.max(0.0)];
        spans.extend(self.holes().into_iter().map(|[_, y]| of(y, self.screw)));
        let [size, below] = self.cable;
        if size.is_finite() && below.is_finite() {
            spans.push(of(below, size));
        }
        spans.iter().map(|span| span.map(|mm| mm * MM)).collect()
    }

    /// What stands beside it: the holes by their heights, so that they can be found where the case has no room here.
    pub(super) fn says(&self, lens_m: f64) -> Vec<String> {
        let mut says = Vec::new();
        let holes = self.holes();
        let height = |below_mm: f64| format!("{:.3} m", lens_m - 1e-3 * below_mm);
        if let (Some([x, first]), Some([_, last])) = (holes.first(), holes.last()) {
            let size =
                if self.screw.is_finite() { format!(", {} across", mm(self.screw)) } else { String::new() };
            let aside = match *x {
                0.0 => "on the lens's upright line".into(),
                x => format!("{} left and right of the lens", mm(x.abs())),
            };
            let heights = if first == last {
                height(*first)
            } else {
                format!("{} and {}", height(*first), height(*last))
            };
            let count = holes.len();
            says.push(format!("{count} screw holes{size}: {aside}, {heights} above the ground"));
        }
        let [size, below] = self.cable;
        if size.is_finite() && below.is_finite() {
            let height = height(below);
            says.push(format!(
                "Hole for the cable, {} across: under the lens, {height} above the ground",
                mm(size)
            ));
        }
        says
    }
}
