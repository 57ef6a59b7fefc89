//! The door from the side, to scale: who stands there, and what of them the picture holds.
//!
//! Heads stand at their true heights on a ladder at the distance of callers' faces, solid where the whole face is in the
//! picture, hatched where it is cut, open where the eyes are outside. Thin lines join the places at which a face has as
//! many pixels a metre as a class asks for. Figures come from [`budgets::answers::elevation`]; nothing is computed here
//! but where it stands on the page.

mod around;

use self::around::{classes, described, distance, key, sentences};
use crate::layout::{Frame, Taken, apart, scale_bar, units_per_m};
use crate::sheet::{self, Title, Todo};
use crate::svg::{Anchor, Face, Ink, PAGE_WIDTH, Svg, Tone};
use budgets::answers::{self, Contour, Elevation};
use models::view::ground::PARCEL_M;
use models::view::ladder::{Person, Rung};
use quantity::show;
use station::fields::index_of;
use station::plan::{Origin, Plan};

const LEFT: f64 = sheet::MARGIN;
const RIGHT: f64 = PAGE_WIDTH - sheet::MARGIN;
const TOP: f64 = 78.0;
/// The wall's face: left of it stand the heights.
const WALL: f64 = 172.0;
/// How far into the wall its section is hatched; how thick it is, the drawing does not say.
const SECTION: f64 = 16.0;
/// Height of the drawing, units: at most, and at least where there is little to show.
const HIGH: [f64; 2] = [610.0, 330.0];
/// Between lines of text.
const LINE: f64 = 14.5;
/// Room for the words beside the heads.
const WORDS: f64 = 310.0;
/// Scales: one to so many.
const SCALES: [f64; 3] = [20.0, 50.0, 100.0];
/// From the face back to the head's end, m: typical, from memory; only how deep the heads are drawn.
const DEEP_M: f64 = 0.19;
/// How far heads are set back that would hide another, m.
const BACK_M: f64 = 0.22;

/// The drawing, as SVG of one A4 page.
///
/// # Errors
/// Why there is nothing to draw.
pub fn svg(plan: &Plan, todo: Todo) -> Result<String, &'static str> {
    let s = &plan.station;
    let farthest_m = (RIGHT - WALL) / units_per_m(SCALES[2]);
    let door = answers::elevation(plan, farthest_m)?;
    let lanes = lanes(&door.ladder);
    let frame = frame(plan, &door, lanes.iter().copied().max().unwrap_or(0));
    let scale = format!("1:{:.0}", frame.scale);
    let serve = door.ladder.iter().filter(|rung| state(rung, wanted(&door)).is_empty()).count();
    let verdict = format!("{serve} of {} heads whole and fine enough", door.ladder.len());
    let title = Title { scale: Some(&scale), ..Title::of(plan, "door from the side", &verdict) };

    let mut sheet = Sheet { svg: Svg::default(), taken: Taken::default(), frame, later: Vec::new() };
    sheet::head(
        &mut sheet.svg,
        &title,
        "The door from the side: who stands there, what of them is in the picture, and how fine",
    );
    sheet.contours(&door.contours);
    sheet.rays(&door);
    sheet.ground_and_wall(plan, &door);
    sheet.station(plan, &door);
    sheet.ladder(plan, &door, &lanes);
    for (text, spots) in std::mem::take(&mut sheet.later) {
        sheet.taken.place(&mut sheet.svg, frame.area, Face::SMALL, &text, spots.into_iter());
    }
    sheet.figures_of_contours(&door.contours);
    let svg = &mut sheet.svg;
    let foot = frame.area[3] + 24.0;
    distance(svg, plan, &frame, foot);
    scale_bar(svg, (RIGHT - 245.0, foot), frame.scale);
    let table = classes(svg, &door, s.callers.distance_m, foot + 36.0);
    let key = key(svg, foot + 36.0);
    let at = sentences(svg, plan, &door, todo, table.max(key) + 12.0);
    let end = sheet::title_block(svg, &title, at + 4.0) + 24.0;
    Ok(sheet.svg.finish_true(end, &format!("{}: the door from the side", title.station), &described(&door)))
}

/// The drawing while it grows.
struct Sheet {
    svg: Svg,
    taken: Taken,
    frame: Frame,
    /// Small labels and where they may stand: placed once the heads' words have their places.
    later: Vec<(String, Vec<(f64, f64)>)>,
}

/// The first round scale at which everything that must be seen has room.
fn frame(plan: &Plan, door: &Elevation, lanes: usize) -> Frame {
    let s = &plan.station;
    let tallest_m = tallest_m(door);
    let roof_m = roof(plan).map_or(0.0, |(_, up_m)| up_m + 0.1);
    // A roof far above is cut off before the rest shrinks for it.
    let top_m = (tallest_m + 0.25).max(s.camera.height_m + 0.25).max(roof_m.min(2.9));
    let out_m = s.callers.distance_m + BACK_M * lanes as f64 + DEEP_M;
    let fits = |scale: &f64| {
        let per_m = units_per_m(*scale);
        top_m * per_m <= HIGH[0] && out_m * per_m + WORDS <= RIGHT - WALL
    };
    let scale = SCALES.into_iter().find(fits).unwrap_or(SCALES[2]);
    let high = (top_m * units_per_m(scale)).clamp(HIGH[1], HIGH[0]);
    Frame { area: [WALL, TOP, RIGHT, TOP + high], origin: (WALL, TOP + high), scale, upward: true }
}

fn tallest_m(door: &Elevation) -> f64 {
    door.ladder.iter().map(|rung| rung.head.top_m).fold(0.0, f64::max)
}

/// How far the roof reaches out and how high it hangs, m, where the plan tells one.
fn roof(plan: &Plan) -> Option<(f64, f64)> {
    let s = &plan.station;
    (s.site.overhang_m > 0.0).then_some((s.site.overhang_m, s.camera.height_m + s.site.overhang_above_m))
}

/// How many heads each is set back, so that none hides another.
fn lanes(ladder: &[Rung]) -> Vec<usize> {
    let mut tops: Vec<f64> = Vec::new();
    let mut lanes = vec![0; ladder.len()];
    let mut order: Vec<usize> = (0..ladder.len()).collect();
    order.sort_by(|a, b| ladder[*a].head.chin_m.total_cmp(&ladder[*b].head.chin_m));
    for index in order {
        let head = &ladder[index].head;
        let lane = tops.iter().position(|top_m| *top_m + 0.01 <= head.chin_m).unwrap_or(tops.len());
        if lane == tops.len() {
            tops.push(0.0);
        }
        tops[lane] = head.top_m;
        lanes[index] = lane;
    }
    lanes
}

impl Sheet {
    fn line(&mut self, points: &[[f64; 2]], weight: f64, ink: Ink) {
        for piece in self.frame.line(points) {
            self.svg.line(&piece, weight, ink);
        }
    }

    fn contours(&mut self, contours: &[Contour]) {
        for contour in contours {
            let (weight, ink) = if contour.wanted { (1.8, Ink::Ink) } else { (0.6, Ink::Faint) };
            for line in &contour.lines {
                self.line(line, weight, ink);
            }
        }
    }

    /// A figure on each line, where one stands free; the table below has them all.
    fn figures_of_contours(&mut self, contours: &[Contour]) {
        let within = self.frame.area;
        // The wanted one chooses first.
        let mut order: Vec<&Contour> = contours.iter().collect();
        order.sort_by_key(|contour| !contour.wanted);
        let mut drawn = false;
        for contour in order {
            let face = Face::SMALL.anchor(Anchor::Middle);
            let face = if contour.wanted { face.ink(Ink::Ink).bold() } else { face };
            let figure = show(contour.px_per_m, "px/m");
            let text = if contour.wanted { format!("{figure} {}", contour.class) } else { figure };
            for line in &contour.lines {
                let points: Vec<(f64, f64)> = self.frame.line(line).into_iter().flatten().collect();
                drawn |= !points.is_empty();
                let far = 3 * points.len() / 4;
                // Above the ladder's words first, then below them, then anywhere.
                let points = points[far..].iter().chain(points[..far].iter().rev());
                let points = points.map(|(x, y)| (*x, y + 3.0));
                if self.taken.place(&mut self.svg, within, face, &text, points) {
                    break;
                }
            }
        }
        if !drawn {
            let says = "the lines of the table below run beyond this drawing";
            let [left, top, right, bottom] = within;
            let down = (1..20).map(|step| (right - 4.0, top + f64::from(step) / 20.0 * (bottom - top)));
            let spots = down.clone().rev().chain(down.map(|(_, y)| (left + 320.0, y)));
            self.taken.place(&mut self.svg, within, Face::SMALL.anchor(Anchor::End), says, spots);
        }
    }

    fn ground_and_wall(&mut self, plan: &Plan, door: &Elevation) {
        let s = &plan.station;
        let tallest_m = tallest_m(door);
        let rail = self.frame.at([s.callers.distance_m, tallest_m]);
        self.taken.take([rail.0 - 3.0, rail.1, rail.0 + 3.0, self.frame.area[3]]);
        let [left, top, right, bottom] = self.frame.area;
        let svg = &mut self.svg;
        let wall_top = match s.site.wall_top_m {
            told if told.is_finite() => self.frame.held(self.frame.at([0.0, told])).1,
            _ => top,
        };
        let section = |from: f64, to: f64| ((left - SECTION, from), (SECTION, (to - from).max(0.0)));
        svg.cells(Tone::Hatch, std::iter::once(section(wall_top, bottom)));
        svg.line(&[(left, wall_top), (left, bottom)], 1.6, Ink::Ink);
        if wall_top > top {
            svg.line(&[(left - SECTION, wall_top), (left, wall_top)], 1.6, Ink::Ink);
        }
        svg.line(&[(left - SECTION, bottom), (right, bottom)], 2.0, Ink::Ink);
        svg.cells(Tone::Hatch, std::iter::once(((left - SECTION, bottom), (right - left + SECTION, 6.0))));
        if let Some((out_m, up_m)) = roof(plan) {
            let (x, y) = self.frame.held(self.frame.at([out_m, up_m]));
            if y > top {
                let high = 7.0f64.min(y - top);
                svg.cells(Tone::Hatch, std::iter::once(((left, y - high), (x - left, high))));
                svg.rect((left, y - high), (x - left, high), 1.0, Ink::Ink, None);
                self.taken.take([left, y - high, x, y]);
                let says =
                    format!("roof {out_m:.2} m out, {up_m:.2} m up{}", assumed(plan, "site.overhang_above"));
                let spots = [(x + 4.0, y), (left + 6.0, y + 12.0), (left + 6.0, y - high - 4.0)];
                self.later.push((says, spots.to_vec()));
            }
        }
        if s.want.parcel {
            let half = 0.5 * PARCEL_M;
            let (x, y) = self.frame.at([s.callers.parcel_m - half, PARCEL_M]);
            let side = PARCEL_M * self.frame.per_m();
            if x + side < right {
                self.svg.rect((x, y), (side, side), 0.9, Ink::Ink, None);
                self.svg.line(&[(x, y + 0.5 * side), (x + side, y + 0.5 * side)], 0.5, Ink::Ink);
                self.taken.take([x, y, x + side, y + side]);
                let spots = [(x + side + 4.0, y + side - 6.0), (x + 2.0, y - 4.0)];
                self.later.push(("parcel".into(), spots.to_vec()));
            }
        }
    }

    /// The edges of the picture, and the lens's axis.
    fn rays(&mut self, door: &Elevation) {
        for line in [&door.upper, &door.lower] {
            for piece in self.frame.line(line) {
                self.svg.dashed(&piece, 0.9, Ink::Ink);
                for pair in piece.windows(2) {
                    self.keep_clear(pair[0], pair[1]);
                }
            }
        }
    }

    /// Keeps labels off a line.
    fn keep_clear(&mut self, (x0, y0): (f64, f64), (x1, y1): (f64, f64)) {
        let steps = ((x1 - x0).hypot(y1 - y0) / 6.0).ceil().max(1.0);
        for step in 0..=steps as u32 {
            let share = f64::from(step) / steps;
            let (x, y) = (x0 + share * (x1 - x0), y0 + share * (y1 - y0));
            self.taken.take([x - 1.0, y - 1.0, x + 1.0, y + 1.0]);
        }
    }

    /// Lens, case and plate on the wall, with their heights.
    fn station(&mut self, plan: &Plan, door: &Elevation) {
        let s = &plan.station;
        let frame = self.frame;
        let per_m = frame.per_m();
        let front_m = front_m(plan);
        let (mut case_says, mut case_names) = (String::new(), "");
        if front_m > 0.0 && told(plan, "case.height") {
            let wall = frame.at([0.0, s.camera.height_m]);
            let (deep, high) = (front_m * per_m, s.case.height_m * per_m);
            let above =
                if told(plan, "mount.above_lens") { s.mount.above_lens_m * per_m } else { 0.5 * high };
            self.svg.rect((wall.0, wall.1 - above), (deep, high), 0.9, Ink::Ink, None);
            let size = |metres: f64| format!("{:.0}", 1e3 * metres);
            let wide = if told(plan, "case.width") {
                format!("{} × ", size(s.case.width_m))
            } else {
                String::new()
            };
            let names = if wide.is_empty() { "high, deep" } else { "wide, high, deep" };
            case_says = format!("case {wide}{} × {} mm", size(s.case.height_m), size(front_m));
            case_names = names;
        }
        // Drawn where it is built; all that the lens sees is reckoned from the wall's face.
        let lens = frame.at([front_m, s.camera.height_m]);
        let reach = 0.9 * s.callers.distance_m;
        let (sin, cos) = (s.camera.tilt_rad + s.camera.aim_rad).sin_cos();
        let end = [reach * cos, s.camera.height_m + reach * sin];
        for piece in frame.line(&[[0.0, s.camera.height_m], end]) {
            self.svg.centre_line(&piece, 0.6, Ink::Faint);
        }
        self.svg.circle(lens, 3.2, 1.2, Ink::Ink, Some(Ink::Paper));
        self.svg.circle(lens, 1.2, 0.8, Ink::Ink, Some(Ink::Ink));
        self.taken.take([lens.0 - 4.0, lens.1 - 4.0, lens.0 + 8.0, lens.1 + 4.0]);
        let plate = frame.at([front_m, s.plate.height_m]);
        let half = if told(plan, "plate.size") { 0.5 * s.plate.size_m * per_m } else { 4.0 };
        self.svg.line(&[(plate.0 + 1.5, plate.1 - half), (plate.0 + 1.5, plate.1 + half)], 4.0, Ink::Ink);
        self.taken.take([plate.0, plate.1 - half, plate.0 + 5.0, plate.1 + half]);
        self.heights(plan, (lens.1, plate.1), [case_says.as_str(), case_names]);
        let [low, high] = door.reach_m.map(|up_m| frame.at([0.0, up_m]).1);
        let x = WALL + 12.0 + front_m * per_m;
        self.svg.line(&[(x - 3.0, low), (x, low), (x, high), (x - 3.0, high)], 0.8, Ink::Ink);
        self.taken.take([x - 3.0, high, x + 1.0, low]);
        let spots = [(x + 4.0, low), (x + 4.0, high + 7.0), (x + 4.0, 0.5 * (low + high))];
        self.later.push(("reach".into(), spots.to_vec()));
    }

    /// Heights of lens and plate beside the wall, and the case's size below them.
    fn heights(&mut self, plan: &Plan, (lens, plate): (f64, f64), case: [&str; 2]) {
        let s = &plan.station;
        let bottom = self.frame.area[3];
        let mut marks = [
            ("lens", s.camera.height_m, lens, assumed(plan, "camera.height")),
            ("plate", s.plate.height_m, plate, assumed(plan, "plate.height")),
        ];
        marks.sort_by(|a, b| a.2.total_cmp(&b.2));
        let places = apart(&marks.map(|mark| mark.2), 17.0, bottom - 17.0);
        let edge = WALL - SECTION;
        for ((name, height_m, at, assumed), place) in marks.into_iter().zip(places.iter().copied()) {
            self.svg.line(&[(LEFT, place), (edge - 14.0, place), (edge, at)], 0.6, Ink::Ink);
            self.svg.line(&[(edge, at), (WALL, at)], 0.6, Ink::Ink);
            let says = format!("{name} {height_m:.2} m{assumed}");
            self.svg.text((LEFT, place - 3.0), Face { size: 10.0, ..Face::USUAL }, &says);
        }
        let below = places.iter().copied().fold(0.0, f64::max) + 15.0;
        let above = places.iter().copied().fold(bottom, f64::min) - 32.0;
        let at = if below + 26.0 < bottom { below } else { above };
        for (says, at) in case.into_iter().zip([at, at + 11.5]) {
            self.svg.text((LEFT, at), Face::SMALL, says);
        }
        // The arrow of both: from the ground.
        self.svg.line(&[(LEFT, bottom), (edge, bottom)], 0.6, Ink::Ink);
        self.svg.text((LEFT, bottom - 3.0), Face::SMALL, "ground 0.00 m");
    }

    /// Heads at the distance of callers' faces, with their heights and densities.
    fn ladder(&mut self, plan: &Plan, door: &Elevation, lanes: &[usize]) {
        let frame = self.frame;
        let s = &plan.station;
        let out_m = s.callers.distance_m;
        self.line(&[[out_m, 0.0], [out_m, tallest_m(door) + 0.08]], 1.0, Ink::Ink);
        let depth = lanes.iter().copied().max().unwrap_or(0);
        let words_x = frame.at([out_m + BACK_M * depth as f64 + DEEP_M, 0.0]).0 + 12.0;
        let wanted = wanted(door);
        let mut order: Vec<usize> = (0..door.ladder.len()).collect();
        order.sort_by(|a, b| door.ladder[*b].head.eye_m.total_cmp(&door.ladder[*a].head.eye_m));
        let eyes: Vec<f64> =
            order.iter().map(|index| frame.at([0.0, door.ladder[*index].head.eye_m]).1).collect();
        let places = apart(&eyes, 13.5, frame.area[3] - 6.0);
        for (index, place) in order.iter().zip(&places) {
            let rung = &door.ladder[*index];
            let face_m = out_m + BACK_M * lanes[*index] as f64;
            let eye = frame.at([out_m, rung.head.eye_m]);
            let back = frame.at([face_m + DEEP_M, rung.head.eye_m]);
            let knee = (words_x - 10.0, eye.1);
            self.svg.line(&[eye, knee, (words_x - 3.0, *place)], 0.45, Ink::Faint);
            head(&mut self.svg, &frame, rung, face_m);
            let fill = if rung.eyes_in { Ink::Ink } else { Ink::Paper };
            self.svg.circle(eye, 2.6, 1.1, Ink::Ink, Some(fill));
            let [top, chin] = [rung.head.top_m, rung.head.chin_m].map(|up_m| frame.at([0.0, up_m]).1);
            self.taken.take([frame.at([face_m, 0.0]).0, top, back.0, chin]);
        }
        for (index, place) in order.iter().zip(&places) {
            let rung = &door.ladder[*index];
            let mut says =
                format!("{} · eyes {:.2} m · {}", name(rung.person), rung.head.eye_m, density(rung.px_per_m));
            let state = state(rung, wanted);
            let ink = if state.is_empty() { Ink::Ink } else { Ink::Accent };
            if !state.is_empty() {
                says = format!("{says} · {state}");
            }
            self.taken.write(&mut self.svg, (words_x, place + 3.2), Face::SMALL.ink(ink), &says);
        }
    }
}

/// How far lens and plate stand before the wall's face, m: by the case's depth where the plan tells it.
fn front_m(plan: &Plan) -> f64 {
    if told(plan, "case.depth") { plan.station.case.depth_m } else { 0.0 }
}

/// A head from the side, looking at the wall: solid, hatched or open.
fn head(svg: &mut Svg, frame: &Frame, rung: &Rung, face_m: f64) {
    let head = &rung.head;
    let (middle_m, half_m) = (0.5 * (head.top_m + head.chin_m), 0.5 * (head.top_m - head.chin_m));
    let mut points: Vec<(f64, f64)> = (0..40)
        .map(|step| {
            let (sin, cos) = (f64::from(step) * std::f64::consts::TAU / 40.0).sin_cos();
            frame.at([face_m + 0.5 * DEEP_M * (1.0 - cos), middle_m + half_m * sin])
        })
        .collect();
    // A nose, so that it is seen which way they look; step 0 is the foremost point.
    points[0] = frame.at([face_m - 0.018, middle_m - 0.02]);
    match (rung.face_in, rung.eyes_in) {
        (true, _) => svg.shape(&points, 1.1, Ink::Ink, Some(Ink::Ink)),
        (false, true) => {
            svg.shape(&points, 1.1, Ink::Ink, Some(Ink::Paper));
            svg.area(&points, Tone::Middle);
        }
        (false, false) => svg.shape(&points, 1.1, Ink::Ink, Some(Ink::Paper)),
    }
    let size = (0.012 * frame.per_m()).max(0.8);
    svg.circle(frame.at([face_m + 0.04, head.eye_m]), size, 0.8, Ink::Ink, Some(Ink::Paper));
}

/// What is wrong with a head, in two words.
fn state(rung: &Rung, wanted_px_per_m: f64) -> &'static str {
    match (rung.face_in, rung.eyes_in) {
        (true, _) if rung.px_per_m < wanted_px_per_m => "too coarse",
        (true, _) => "",
        (false, true) => "cut off",
        (false, false) => "eyes outside",
    }
}

/// Density of the wanted class, px/m.
fn wanted(door: &Elevation) -> f64 {
    door.contours.iter().find(|contour| contour.wanted).map_or(0.0, |contour| contour.px_per_m)
}

fn name(person: Person) -> &'static str {
    match person {
        Person::ChildOf4 => "child of 4",
        Person::ChildOf6 => "child of 6",
        Person::Seated => "seated adult",
        Person::SmallAdult => "small adult",
        Person::MedianAdult => "median adult",
        Person::TallAdult => "tall adult",
    }
}

/// Pixels a metre, in whole ones.
fn density(px_per_m: f64) -> String {
    if px_per_m > 0.0 { format!("{px_per_m:.0} px/m") } else { "no pixels".into() }
}

/// Whether the plan or one of its sheets tells a field.
pub(crate) fn told(plan: &Plan, path: &str) -> bool {
    index_of(path).is_some_and(|index| plan.origins.get(index).is_some_and(|from| *from != Origin::Assumed))
}

/// Said after a value that nobody told.
pub(crate) fn assumed(plan: &Plan, path: &str) -> &'static str {
    if told(plan, path) { "" } else { ", assumed" }
}

pub(crate) fn percent(share: f64) -> String {
    if share > 0.0 && share < 0.01 {
        format!("{:.1} %", 100.0 * share)
    } else {
        format!("{:.0} %", 100.0 * share)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::layout::tests::{sound, texts};
    use proptest::prelude::*;
    use station::sample;
    use station::sheets::Library;
    use station::text::Source;

    const PLANS: [&str; 4] = [
        include_str!("../../../plans/kiln-yard-gate.toml"),
        include_str!("../../../plans/kiln-yard-glaze-store.toml"),
        include_str!("../../../plans/bicycle-club-shed.toml"),
        include_str!("../../../plans/impossible.toml"),
    ];

    /// Plans at the ends of what is hung on doors.
    fn extremes() -> Vec<String> {
        let gate = |lens: &str, camera: &str, callers: &str, more: &str| {
            format!(
                "name = \"Gate & <yard>\"\n[board]\nsheet = \"wren\"\n[lens]\n{lens}\n[camera]\n{camera}\n[callers]\n{callers}\n{more}"
            )
        };
        vec![
            gate("sheet = \"equisolid-185\"", "height = \"1.5 m\"", "", ""),
            gate("law = \"rectilinear\"\nview = \"20 deg\"", "height = \"1.5 m\"", "", ""),
            gate("sheet = \"orthographic-140\"", "height = \"0.3 m\"\ntilt = \"40 deg\"", "", ""),
            gate(
                "sheet = \"equidistant-160\"",
                "height = \"2.4 m\"\ntilt = \"-30 deg\"",
                "",
                "[site]\noverhang = \"0.9 m\"\noverhang_above = \"0.3 m\"\nwall_top = \"2.6 m\"\n",
            ),
            gate("sheet = \"orthographic-140\"", "height = \"1.5 m\"", "distance = \"0.2 m\"", ""),
            gate(
                "sheet = \"orthographic-140\"",
                "height = \"4 m\"\ntilt = \"-50 deg\"\noffset = \"-1.2 m\"\nturn = \"30 deg\"\nmounting = \"quarter-left\"",
                "distance = \"3 m\"\nparcel = \"4 m\"",
                "[want]\nclass = \"scrutinise\"\nparcel_seen = true\n[plate]\nheight = \"2 m\"\n",
            ),
        ]
    }

    fn read(text: &str) -> Plan {
        Plan::read(Source::new("gate.toml", text.to_string()), &Library::shipped()).expect("a plan")
    }

    /// Points of all polylines and polygons of a weight.
    fn points(drawn: &str, tag: &str, weight: &str) -> Vec<Vec<(f64, f64)>> {
        drawn
            .lines()
            .filter(|line| line.starts_with(tag) && line.contains(&format!("stroke-width=\"{weight}\"")))
            .map(|line| {
                let list = line.split("points=\"").nth(1).and_then(|rest| rest.split('"').next()).unwrap();
                list.split(' ')
                    .map(|pair| {
                        let (x, y) = pair.split_once(',').unwrap();
                        (x.parse().unwrap(), y.parse().unwrap())
                    })
                    .collect()
            })
            .collect()
    }

    fn scale(drawn: &str) -> f64 {
        drawn.split(">1:").nth(1).and_then(|rest| rest.split(' ').next()).unwrap().parse().unwrap()
    }

    /// Read back off the page with a ruler: the bottom is the ground, the wall's face is where it is drawn, and the wanted
    /// class's line has its density where it runs.
    #[test]
    fn what_is_measured_on_the_page_is_what_the_plan_says() {
        for text in PLANS.iter().map(|text| (*text).to_string()).chain(extremes()) {
            let plan = read(&text);
            let drawn = svg(&plan, Todo::Open).unwrap();
            let door = answers::elevation(&plan, 5.0).unwrap();
            // Millimetres on paper of a unit, 25.4 / 96; metres at the scale.
            let metre = |units: f64| units * 25.4 / 96.0 * scale(&drawn) / 1000.0;
            let ground = points(&drawn, "<polyline", "2")[0][0].1;
            // The rail of the ladder: the only line of that weight that goes up from the ground.
            let rail =
                points(&drawn, "<polyline", "1").into_iter().find(|line| line[0].0 == line[1].0).unwrap();
            let s = &plan.station;
            assert!((metre(rail[0].0 - WALL) - s.callers.distance_m).abs() < 2e-3);
            // Eyes stand on it: circles of radius 2.6.
            let mut eyes: Vec<f64> = drawn
                .lines()
                .filter(|line| line.starts_with("<circle") && line.contains("r=\"2.6\""))
                .map(|line| {
                    let cy: f64 =
                        line.split("cy=\"").nth(1).unwrap().split('"').next().unwrap().parse().unwrap();
                    metre(ground - cy)
                })
                .collect();
            eyes.sort_by(f64::total_cmp);
            let mut told: Vec<f64> = door.ladder.iter().map(|rung| rung.head.eye_m).collect();
            told.sort_by(f64::total_cmp);
            for (drawn, told) in eyes.iter().zip(&told) {
                // 0.05 units of rounding at 1:100 are 1.4 mm.
                assert!((drawn - told).abs() < 2e-3, "{drawn} {told}");
            }
            assert_eq!(eyes.len(), 6);
            // Lens: the ring of radius 3.2 on the wall.
            let lens = drawn.lines().find(|line| line.contains("r=\"3.2\"")).unwrap();
            let cy: f64 = lens.split("cy=\"").nth(1).unwrap().split('"').next().unwrap().parse().unwrap();
            assert!((metre(ground - cy) - s.camera.height_m).abs() < 2e-3);
        }
    }

    /// Lines of the wanted class, read off the page and put back into the lens model. The page rounds to 0.05 units: 0.3 mm
    /// at 1:20, 1.4 mm at 1:100; a line cut at the drawing's edge ends between two of its points.
    #[test]
    fn the_wanted_line_has_its_density_where_it_is_drawn() {
        let mut seen = 0;
        for text in PLANS.iter().map(|text| (*text).to_string()).chain(extremes()) {
            let plan = read(&text);
            let drawn = svg(&plan, Todo::Open).unwrap();
            let metre = |units: f64| units * 25.4 / 96.0 * scale(&drawn) / 1000.0;
            let ground = points(&drawn, "<polyline", "2")[0][0].1;
            let wanted = wanted(&answers::elevation(&plan, 5.0).unwrap());
            for line in points(&drawn, "<polyline", "1.8").iter().filter(|line| line.len() > 2) {
                for (x, y) in &line[1..line.len() - 1] {
                    let found = answers::face_px_per_m(&plan, [metre(x - WALL), metre(ground - y)]).unwrap();
                    // A hundredth, and what half a unit's tenth makes of a place so near to the lens.
                    let near = 2.0 * metre(0.05) / metre(x - WALL);
                    assert!((found / wanted - 1.0).abs() < 0.01 + near, "{found} at {x}, {y}");
                    seen += 1;
                }
            }
        }
        assert!(seen > 500, "{seen}");
    }

    /// The drawing and the check say the same of each head: who the check's sentence names, the drawing marks.
    #[test]
    fn heads_are_marked_as_the_check_says() {
        for text in PLANS.iter().map(|text| (*text).to_string()).chain(extremes()) {
            let plan = read(&text);
            let drawn = svg(&plan, Todo::Open).unwrap();
            let (hoisted, s) = (budgets::physics::Hoisted::default(), &plan.station);
            let view =
                budgets::physics::Engine::new(s, &plan.parts, &hoisted, models::luck::Luck::Mean).view(s);
            for rung in &view.ladder {
                let line = texts(&drawn)
                    .into_iter()
                    .find(|(text, _)| text.starts_with(&format!("{} · ", name(rung.person))));
                let (line, _) = line.expect("each head has its line");
                assert_eq!(line.contains("eyes outside"), !rung.eyes_in, "{line}");
                assert_eq!(line.contains("cut off"), rung.eyes_in && !rung.face_in, "{line}");
            }
            let solid = points(&drawn, "<polygon", "1.1").len();
            assert_eq!(solid, 6);
            let filled = drawn.lines().filter(|line| {
                line.starts_with("<polygon")
                    && line.contains("stroke-width=\"1.1\"")
                    && line.contains("fill=\"#231F1A\"")
            });
            assert_eq!(filled.count(), view.ladder.iter().filter(|rung| rung.face_in).count());
        }
    }

    #[test]
    fn one_sound_page_for_plans_and_extremes() {
        for text in PLANS.iter().map(|text| (*text).to_string()).chain(extremes()) {
            sound(&svg(&read(&text), Todo::Open).unwrap());
        }
    }

    #[test]
    fn nothing_is_drawn_of_a_picture_that_cannot_be() {
        let text = "[board]\nsheet = \"wren\"\n[camera]\nsize = \"4000x3000\"\n";
        assert!(svg(&read(text), Todo::Open).unwrap_err().contains("larger than the sensor"));
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
