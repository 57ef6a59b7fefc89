//! The ground before the door from above, to scale: whose ground the picture takes in, what masks cover, and how fine a
//! passer-by's face is there.
//!
//! Drawn by need: only for plans that tell a boundary. Others' ground in the picture is hatched, what a mask covers is
//! hatched densely; there is no colour to be read. Figures come from [`budgets::answers::ground_plan`].

use crate::door::{assumed, percent, told};
use crate::layout::{Frame, Taken, scale_bar, units_per_m};
use crate::sheet::{self, Title, Todo};
use crate::svg::{Anchor, Face, Ink, PAGE_WIDTH, Svg, Tone};
use budgets::answers::{self, Contour, GroundPlan};
use models::ground::cast::{Patch, Whose};
use models::ground::{Land, polygon};
use quantity::show;
use station::plan::Plan;

const LEFT: f64 = sheet::MARGIN;
const RIGHT: f64 = PAGE_WIDTH - sheet::MARGIN;
const TOP: f64 = 78.0;
/// Height of the drawing at most, units.
const HIGH: f64 = 560.0;
/// Room around what is drawn, units.
const ROOM: f64 = 14.0;
const LINE: f64 = 14.5;
/// Scales: one to so many.
const SCALES: [f64; 9] = [20.0, 50.0, 100.0, 200.0, 250.0, 500.0, 1000.0, 2000.0, 5000.0];
/// Ground behind the wall's face that is shown, m.
const BEHIND_M: f64 = 1.5;

/// The drawing, as SVG of one A4 page.
///
/// # Errors
/// Why there is nothing to draw.
pub fn svg(plan: &Plan, todo: Todo) -> Result<String, &'static str> {
    let ground = answers::ground_plan(plan)?;
    let frame = frame(plan, &ground);
    let scale = format!("1:{:.0}", frame.scale);
    let verdict = if plan.station.ground.masked {
        format!("masks cover {} of the picture", percent(ground.watch.masked_share))
    } else {
        format!("{} of the picture is others' ground", percent(ground.watch.beyond_share))
    };
    let title = Title { scale: Some(&scale), ..Title::of(plan, "the ground from above", &verdict) };
    let mut sheet = Sheet { svg: Svg::default(), taken: Taken::default(), frame };
    sheet::head(
        &mut sheet.svg,
        &title,
        "The ground from above: what of it is in the picture, whose it is, and how fine a face is there",
    );
    sheet.patches(&ground, &plan.parts.boundary);
    sheet.contours(&ground.contours);
    sheet.boundary(plan);
    sheet.wall_and_station(plan);
    sheet.figures_of_contours(&ground.contours);
    sheet.names(plan, &ground);
    let svg = &mut sheet.svg;
    let foot = frame.area[3] + 22.0;
    scale_bar(svg, (RIGHT - 245.0, foot), frame.scale);
    svg.text(
        (LEFT, foot + 5.0),
        Face::SMALL,
        &format!(
            "Up is the wall; down is away from it. Ground counts up to {}.",
            metres(plan.station.ground.far_m)
        ),
    );
    let table = classes(svg, &ground, plan.station.ground.far_m, foot + 38.0);
    let key = key(svg, plan, foot + 38.0);
    let says = says(plan, &ground, todo);
    let at = sentences(svg, &says, table.max(key) + 10.0);
    let end = sheet::title_block(svg, &title, at + 4.0) + 24.0;
    Ok(sheet.svg.finish_true(end, &format!("{}: the ground from above", title.station), &says.join(" ")))
}

/// The first round scale at which own ground and what is seen of others' has room.
fn frame(plan: &Plan, ground: &GroundPlan) -> Frame {
    let far_m = plan.station.ground.far_m;
    let own = plan.parts.boundary.iter().flatten();
    // Own ground farther than what counts is cut off.
    let own = own.map(|[x, y]| [x.clamp(-far_m, far_m), y.clamp(-BEHIND_M, far_m)]);
    let seen = ground.edges.iter().flatten().copied();
    let (mut low, mut high) = ([-1.0f64, -0.5], [1.0f64, 1.5]);
    for point in own.chain(seen) {
        for axis in 0..2 {
            low[axis] = low[axis].min(point[axis]);
            high[axis] = high[axis].max(point[axis]);
        }
    }
    let room = [RIGHT - LEFT - 2.0 * ROOM, HIGH - 2.0 * ROOM];
    let fits = |scale: &f64| (0..2).all(|axis| (high[axis] - low[axis]) * units_per_m(*scale) <= room[axis]);
    let scale = SCALES.into_iter().find(fits).unwrap_or(SCALES[8]);
    let per_m = units_per_m(scale);
    let tall = ((high[1] - low[1]) * per_m + 2.0 * ROOM).max(220.0);
    let middle = 0.5 * (low[0] + high[0]);
    Frame {
        area: [LEFT, TOP, RIGHT, TOP + tall],
        origin: (0.5 * (LEFT + RIGHT) - middle * per_m, TOP + ROOM - low[1] * per_m),
        scale,
        upward: false,
    }
}

/// The drawing while it grows.
struct Sheet {
    svg: Svg,
    taken: Taken,
    frame: Frame,
}

impl Sheet {
    fn patches(&mut self, ground: &GroundPlan, own: &[Vec<[f64; 2]>]) {
        let frame = self.frame;
        let fill = |svg: &mut Svg, tone: Tone, kinds: &[Whose]| {
            let of = ground.patches.iter().filter(|patch| kinds.contains(&patch.whose));
            svg.areas(tone, of.map(|patch| patch.corners.map(|at| frame.held(frame.at(at))).to_vec()));
        };
        fill(&mut self.svg, Tone::Hatch, &[Whose::Beyond]);
        // Patches are coarse: what of them laps over the boundary is own ground all the same.
        for corners in own {
            let corners: Vec<(f64, f64)> = corners.iter().map(|at| frame.at(*at)).collect();
            if corners.iter().all(|at| frame.held(*at) == *at) {
                self.svg.shape(&corners, 0.1, Ink::Paper, Some(Ink::Paper));
            }
        }
        fill(&mut self.svg, Tone::Dots, &[Whose::Masked, Whose::OwnMasked]);
        for edge in &ground.edges {
            for piece in frame.line(edge) {
                self.svg.dashed(&piece, 0.9, Ink::Ink);
                self.keep_clear(&piece);
            }
        }
    }

    /// No label stands on this line.
    fn keep_clear(&mut self, line: &[(f64, f64)]) {
        for pair in line.windows(2) {
            let ((x, y), (to_x, to_y)) = (pair[0], pair[1]);
            let steps = ((to_x - x).hypot(to_y - y) / 4.0).ceil().max(1.0);
            let mut step = 0.0;
            while step <= steps {
                let (x, y) = (x + (to_x - x) * step / steps, y + (to_y - y) * step / steps);
                self.taken.take([x - 1.0, y - 1.0, x + 1.0, y + 1.0]);
                step += 1.0;
            }
        }
    }

    fn contours(&mut self, contours: &[Contour]) {
        for contour in contours {
            let (weight, ink) = if contour.wanted { (1.8, Ink::Ink) } else { (0.6, Ink::Faint) };
            for piece in contour.lines.iter().flat_map(|line| self.frame.line(line)) {
                self.svg.line(&piece, weight, ink);
            }
        }
    }

    fn boundary(&mut self, plan: &Plan) {
        for corners in &plan.parts.boundary {
            let closed: Vec<[f64; 2]> = corners.iter().chain(corners.first()).copied().collect();
            for piece in self.frame.line(&closed) {
                self.svg.line(&piece, 2.2, Ink::Ink);
                self.keep_clear(&piece);
            }
        }
    }

    fn wall_and_station(&mut self, plan: &Plan) {
        let s = &plan.station;
        let frame = self.frame;
        let wall = frame.at([0.0, 0.0]).1;
        let high = 9.0f64.min(wall - TOP).max(1.0);
        self.svg.cells(Tone::Hatch, std::iter::once(((LEFT, wall - high), (RIGHT - LEFT, high))));
        self.svg.line(&[(LEFT, wall), (RIGHT, wall)], 1.6, Ink::Ink);
        self.taken.take([LEFT, wall - high, RIGHT, wall + 1.0]);
        let lens = frame.at([s.camera.offset_m, 0.0]);
        self.svg.circle(lens, 3.4, 1.2, Ink::Ink, Some(Ink::Paper));
        self.svg.circle(lens, 1.3, 0.8, Ink::Ink, Some(Ink::Ink));
        self.taken.take([lens.0 - 5.0, lens.1 - 5.0, lens.0 + 5.0, lens.1 + 5.0]);
        let says = format!("lens, {:.2} m up", s.camera.height_m);
        // Above the wall, where nothing else stands.
        let face = Face::SMALL.ink(Ink::Ink).anchor(Anchor::Middle);
        self.taken.write(&mut self.svg, (lens.0, wall - high - 5.0), face, &says);
        if s.site.facing_rad.is_finite() {
            self.north(s.site.facing_rad);
        }
    }

    /// An arrow to the north, beside the drawing's upper right corner.
    fn north(&mut self, facing_rad: f64) {
        let [_, _, right, bottom] = self.frame.area;
        let middle = (right - 16.0, bottom - 20.0);
        // Down the page is where the wall faces.
        let (sin, cos) = (std::f64::consts::PI - facing_rad).sin_cos();
        let at = |along: f64, aside: f64| {
            (middle.0 + along * sin + aside * cos, middle.1 - along * cos + aside * sin)
        };
        self.svg.circle(middle, 15.0, 0.1, Ink::Paper, Some(Ink::Paper));
        self.svg.line(&[at(-12.0, 0.0), at(4.0, 0.0)], 1.0, Ink::Ink);
        self.svg.shape(&[at(12.0, 0.0), at(2.0, 3.5), at(2.0, -3.5)], 0.8, Ink::Ink, Some(Ink::Ink));
        let letter = (middle.0 - 20.0, middle.1 + 3.0);
        self.svg.text(letter, Face::SMALL.anchor(Anchor::End), "north");
        self.taken.take([middle.0 - 52.0, middle.1 - 15.0, middle.0 + 15.0, middle.1 + 15.0]);
    }

    /// A figure on each line, where one stands free; the table below has them all.
    fn figures_of_contours(&mut self, contours: &[Contour]) {
        let mut order: Vec<&Contour> = contours.iter().collect();
        order.sort_by_key(|contour| !contour.wanted);
        for contour in order {
            let face = Face::SMALL.anchor(Anchor::Middle).ink(Ink::Ink);
            let face = if contour.wanted { face.bold() } else { face };
            let figure = show(contour.px_per_m, "px/m");
            let text = if contour.wanted { format!("{figure} {}", contour.class) } else { figure };
            let points: Vec<(f64, f64)> =
                contour.lines.iter().flat_map(|line| self.frame.line(line)).flatten().collect();
            // From the middle outwards.
            let half = points.len() / 2;
            let points = points[half..].iter().chain(points[..half].iter().rev());
            let points = points.map(|(x, y)| (*x, y + 3.0));
            self.taken.place(&mut self.svg, self.frame.area, face, &text, points);
        }
    }

    /// Names on own ground and on others': where the picture takes in most of it, else anywhere.
    fn names(&mut self, plan: &Plan, ground: &GroundPlan) {
        let land = Land { own: &plan.parts.boundary, far_m: plan.station.ground.far_m };
        let frame = self.frame;
        let [left, top, right, bottom] = frame.area;
        for (beyond, text) in [(false, "own ground"), (true, "others' ground")] {
            let face = Face::USUAL.anchor(Anchor::Middle).ink(Ink::Ink);
            let half = 0.5 * crate::layout::wide(face, text) + 4.0;
            let free = |at: &(f64, f64)| {
                [(-half, -9.0), (half, -9.0), (-half, 4.0), (half, 4.0), (0.0, 0.0)].iter().all(|(dx, dy)| {
                    let (x, y) = (at.0 + dx - frame.origin.0, at.1 + dy - frame.origin.1);
                    land.beyond([x / frame.per_m(), y / frame.per_m()]) == beyond && y > 2.0
                })
            };
            let mut patches: Vec<&Patch> = ground
                .patches
                .iter()
                .filter(|patch| beyond == matches!(patch.whose, Whose::Beyond | Whose::Masked))
                .collect();
            patches.sort_by(|a, b| b.area_m2.total_cmp(&a.area_m2));
            let middles = patches.iter().map(|patch| {
                let corner = |axis: usize| patch.corners.iter().map(|at| at[axis]).sum::<f64>() / 4.0;
                frame.at([corner(0), corner(1)])
            });
            let grid = (0..24_u8).flat_map(|row| (0..24_u8).map(move |column| (row, column)));
            let grid = grid.map(|(row, column)| {
                let share = |of: u8| (f64::from(of) + 0.5) / 24.0;
                (left + share(column) * (right - left), top + share(row) * (bottom - top))
            });
            let spots = middles.chain(grid).filter(free);
            self.taken.place(&mut self.svg, frame.area, face, text, spots);
        }
    }
}

/// The classes on the ground; the lowest point.
fn classes(svg: &mut Svg, ground: &GroundPlan, far_m: f64, y: f64) -> f64 {
    let mut at = y;
    // Faces grow coarser with distance: a class without a line lies beyond all that have one, or before them.
    let coarsest =
        ground.contours.iter().filter(|contour| !contour.lines.is_empty()).map(|contour| contour.px_per_m);
    let coarsest = coarsest.fold(f64::INFINITY, f64::min);
    let head = format!("Pixels on a face {:.1} m up that looks at the lens", ground.face_m);
    svg.text((LEFT, at), Face::USUAL.bold(), &head);
    at += LINE;
    svg.text((LEFT + 34.0, at), Face::SMALL, &format!("classes of {}", ground.edition));
    at += LINE;
    for contour in &ground.contours {
        let (face, weight, ink) = if contour.wanted {
            (Face::USUAL.bold(), 1.8, Ink::Ink)
        } else {
            (Face { size: 10.0, ..Face::USUAL }, 0.6, Ink::Faint)
        };
        svg.line(&[(LEFT, at - 3.5), (LEFT + 26.0, at - 3.5)], weight, ink);
        svg.text((LEFT + 34.0, at), face, contour.class);
        svg.text((LEFT + 190.0, at), face.anchor(Anchor::End), &show(contour.px_per_m, "px/m"));
        if contour.lines.is_empty() {
            let where_ = if contour.px_per_m < coarsest { "everywhere" } else { "nowhere" };
            svg.text((LEFT + 202.0, at), Face::SMALL, &format!("{where_} within {}", metres(far_m)));
        }
        at += LINE;
    }
    at
}

/// What the signs mean; the lowest point.
fn key(svg: &mut Svg, plan: &Plan, y: f64) -> f64 {
    const X: f64 = 470.0;
    let face = Face { size: 10.0, ..Face::USUAL };
    let words = X + 36.0;
    let mut at = y;
    svg.text((X, at), Face::USUAL.bold(), "Signs");
    at += LINE + 2.0;
    svg.line(&[(X, at - 3.5), (X + 28.0, at - 3.5)], 2.2, Ink::Ink);
    svg.text((words, at), face, "boundary of own ground");
    at += LINE;
    svg.dashed(&[(X, at - 3.5), (X + 28.0, at - 3.5)], 0.9, Ink::Ink);
    svg.text((words, at), face, "edge of the picture on the ground");
    at += LINE;
    let masked = plan.station.ground.masked;
    for (tone, says, shown) in [
        (
            Tone::Hatch,
            if masked { "others' ground that masks leave open" } else { "others' ground in the picture" },
            true,
        ),
        (Tone::Dots, "under a mask", masked),
    ] {
        if shown {
            let corner = (X, at - 9.0);
            svg.cells(tone, std::iter::once((corner, (28.0, 10.0))));
            svg.rect(corner, (28.0, 10.0), 0.6, Ink::Ink, None);
            svg.text((words, at), face, says);
            at += LINE;
        }
    }
    at
}

/// What the drawing says in figures; the lowest point.
fn sentences(svg: &mut Svg, says: &[String], y: f64) -> f64 {
    let mut at = y;
    for says in says {
        svg.text((LEFT, at), Face { size: 10.5, ..Face::USUAL }, says);
        at += LINE;
    }
    svg.text(
        (LEFT, at),
        Face::SMALL,
        "Level ground without fences or hedges; upper floors are not drawn. Agree with those whose ground it is before you drill.",
    );
    at + 6.0
}

fn says(plan: &Plan, ground: &GroundPlan, todo: Todo) -> Vec<String> {
    let watch = &ground.watch;
    let own_m2: f64 = plan.parts.boundary.iter().map(|corners| polygon::area_m2(corners)).sum();
    let mut says = vec![format!(
        "{} of the picture looks at others' ground, {} of it; own ground has {}.",
        percent(watch.unmasked_beyond_share),
        area(watch.beyond_m2),
        area(own_m2)
    )];
    let masks = if plan.station.ground.masked { ", were there no masks" } else { "" };
    says.push(if watch.face_m2 > 0.0 {
        format!("On {} of others' ground a known person could be recognised{masks}.", area(watch.face_m2))
    } else {
        "Nowhere on others' ground could a known person be recognised.".into()
    });
    if plan.station.ground.masked {
        says.push(format!(
            "Masks cover {} of the picture and leave {} of callers' faces free.",
            percent(watch.masked_share),
            percent(watch.free_share)
        ));
    } else if watch.beyond_share > 0.0 && todo == Todo::Open {
        says.push(
            "To do: tilt or turn the camera, or set [ground] masked = true and look at what masks cost."
                .into(),
        );
    }
    if !told(plan, "camera.height") {
        says.push(format!("The lens's height is{}.", assumed(plan, "camera.height").replace(',', "")));
    }
    says
}

fn area(m2: f64) -> String {
    if m2 < 9.95 { format!("{m2:.1} m²") } else { format!("{m2:.0} m²") }
}

fn metres(m: f64) -> String {
    if m.fract() == 0.0 { format!("{m:.0} m") } else { format!("{m:.1} m") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::layout::tests::sound;
    use proptest::prelude::*;
    use station::sample;
    use station::sheets::Library;
    use station::text::Source;

    const GATE: &str = include_str!("../../../plans/kiln-yard-gate.toml");

    fn read(text: &str) -> Plan {
        Plan::read(Source::new("gate.toml", text.to_string()), &Library::shipped()).expect("a plan")
    }

    fn points_of(line: &str) -> Vec<(f64, f64)> {
        let list = line.split("points=\"").nth(1).and_then(|rest| rest.split('"').next()).unwrap();
        let pair = |pair: &str| {
            let (x, y) = pair.split_once(',').unwrap();
            (x.parse().unwrap(), y.parse().unwrap())
        };
        list.split(' ').map(pair).collect()
    }

    fn with(boundary: &str, more: &str) -> String {
        GATE.replace(
            "boundary = [[-7, 0], [7, 0], [7, 15], [-7, 15]]",
            &format!("boundary = {boundary}\n{more}"),
        )
    }

    /// Read back with a ruler: the boundary's corners as the plan has them, and the wanted class's line put back into the
    /// lens model. At 1:250 the page rounds to 3.3 mm.
    #[test]
    fn what_is_measured_on_the_page_is_what_the_plan_says() {
        for text in [GATE.to_string(), with("[[-3, 0], [4, 0], [2.5, 6.25]]", "far = \"8 m\"")] {
            let plan = read(&text);
            let drawn = svg(&plan, Todo::Open).unwrap();
            let scale: f64 =
                drawn.split(">1:").nth(1).and_then(|rest| rest.split(' ').next()).unwrap().parse().unwrap();
            let metre = 1000.0 * 96.0 / 25.4 / scale;
            let ring = drawn.lines().find(|line| line.contains("r=\"3.4\"")).unwrap();
            let value = |key: &str| -> f64 {
                ring.split(&format!("{key}=\"")).nth(1).unwrap().split('"').next().unwrap().parse().unwrap()
            };
            // The lens hangs straight above the plate's foot.
            let foot = (value("cx"), value("cy"));
            let at = |(x, y): (f64, f64)| [(x - foot.0) / metre, (y - foot.1) / metre];
            let mut corners: Vec<[f64; 2]> = Vec::new();
            for line in drawn
                .lines()
                .filter(|line| line.contains("stroke-width=\"2.2\"") && line.contains("<polyline"))
            {
                corners.extend(points_of(line).into_iter().map(at));
            }
            for corner in plan.parts.boundary.iter().flatten() {
                let near = |found: &[f64; 2]| (found[0] - corner[0]).hypot(found[1] - corner[1]) < 0.01;
                assert!(corners.iter().any(near), "{corner:?} in {corners:?}");
            }
            let (mut seen, mut narrow) = (0, 0);
            for line in drawn.lines().filter(|line| line.contains("stroke-width=\"1.8\"")) {
                let points = points_of(line);
                for point in points.iter().skip(1).take(points.len().saturating_sub(2)) {
                    let point = at(*point);
                    // Twice the rounding each way: near the wall a face is seen aslant, and a centimetre is much.
                    let near = [[-0.007, 0.0], [0.007, 0.0], [0.0, -0.007], [0.0, 0.007]]
                        .map(|[x, y]| answers::passer_px_per_m(&plan, [point[0] + x, point[1] + y]).unwrap());
                    let low = near.into_iter().fold(f64::INFINITY, f64::min);
                    let high = near.into_iter().fold(0.0, f64::max);
                    assert!(0.99 * low <= 250.0 && 250.0 <= 1.01 * high, "{near:?} at {point:?}");
                    narrow += u32::from(high < 1.1 * low);
                    seen += 1;
                }
            }
            assert!(seen > 50 && narrow > 50, "{narrow} of {seen}");
        }
    }

    #[test]
    fn one_sound_page_with_and_without_masks() {
        for text in [
            GATE.to_string(),
            with("[[-2, 0], [3, 0], [3.5, 4], [-1, 5]]", "masked = true\nfar = \"12 m\""),
            with(
                "[[[-700, -20], [700, 0], [7, 150], [-7, 150]], [[10, -3], [12, -3], [12, -1]]]",
                "far = \"200 m\"",
            ),
            with("[[-0.5, 0], [0.5, 0], [0.5, 0.5], [-0.5, 0.5]]", "far = \"1 m\""),
        ] {
            sound(&svg(&read(&text), Todo::Open).unwrap());
        }
        let masked =
            svg(&read(&with("[[-2, 0], [3, 0], [3.5, 4], [-1, 5]]", "masked = true")), Todo::Open).unwrap();
        assert!(masked.contains("url(#dots)") && masked.contains("under a mask"));
    }

    #[test]
    fn without_a_boundary_there_is_a_reason() {
        assert!(svg(&read("[board]\nsheet = \"wren\"\n"), Todo::Open).unwrap_err().contains("boundary"));
    }

    proptest! {

        #[test]
        fn any_plan_gives_a_sound_page_or_a_reason(seed in 0..100_000_u64) {
            match svg(&read(&sample::plan(seed)), Todo::Open) {
                Ok(drawn) => sound(&drawn),
                Err(why) => prop_assert!(!why.is_empty()),
            }
        }
    }
}
