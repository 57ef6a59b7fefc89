//! The template to drill and cut by: one A4 page at true size, to be taped to the wall.
//!
//! `wall` stands beside what is drilled into the wall, `front` beside what belongs to the case's front. It shows what the
//! plan tells and no more: where the middles of lens and plate lie, how large window, plate and rim are
//! where that is told, heights above the ground, and what to find out before the first hole. A bar of 100 mm tells a
//! print that was made smaller.

mod case;
mod page;

use self::page::Sheet;
use crate::door::{assumed, told};
use crate::layout::Taken;
use crate::sheet::{self, Title};
use crate::svg::{Face, MM, PAGE_HEIGHT, PAGE_WIDTH, Svg};
use crate::wrap::{capital, wrapped};
use budgets::answers;
use case::Case;
use station::choices::{LockKind, Told};
use station::plan::Plan;

const LEFT: f64 = sheet::MARGIN;
const RIGHT: f64 = PAGE_WIDTH - sheet::MARGIN;
/// Below the bar that tells the size of the print.
const TOP: f64 = 134.0;
/// Between two pieces.
const GAP: f64 = 16.0;
/// Above and below what is drawn on a piece.
const ROOM: f64 = 14.0;
/// Where the middles lie on a piece, and where its words begin.
const MIDDLE: f64 = LEFT + 205.0;
const WORDS: f64 = LEFT + 416.0;
/// Largest radius that is drawn about the lens and about the plate: clear of page and words, both on one page.
const LARGEST: [f64; 2] = [110.0, 196.0];
/// What a piece may grow by to take in one more hole or edge; beyond that the cable's hole has a piece of its own.
const GROWS: f64 = 120.0;
const LINE: f64 = 13.5;
/// Letters of a line below the pieces.
const WIDE: usize = 126;
/// Of the words on a piece.
const FACE: Face = Face { size: 10.0, ..Face::USUAL };

/// The template, as SVG of one A4 page. `not_yet`: why nothing should be drilled yet; may be empty.
///
/// # Errors
/// Why there is nothing to drill by.
pub fn svg(plan: &Plan, not_yet: &str) -> Result<String, &'static str> {
    if !told(plan, "camera.height") && !told(plan, "plate.height") {
        return Err("the plan tells no height of lens or plate ([camera] height, [plate] height)");
    }
    let (lens, plate) = (lens(plan), plate(plan));
    let title =
        Title { scale: Some("1:1"), ..Title::of(plan, "template to drill by", "nothing is judged here") };
    let mut sheet = Sheet { svg: Svg::default(), taken: Taken::default(), later: Vec::new(), area: [0.0; 4] };
    sheet::head(
        &mut sheet.svg,
        &title,
        "Seen from outside, as you face the wall. Tape it up, prick the middles marked wall through, take it off",
    );
    sheet::warning(&mut sheet.svg, not_yet);
    sheet.bar(plan);
    // What stands below is as long as it is; the rest of the page is for the pieces.
    let tail = |both: bool| {
        [
            ("Between them", between(plan, both)),
            ("Before the first hole", cautions(plan)),
            ("Not told by the plan, hence not drawn", not_told(plan)),
        ]
    };
    let high = PAGE_HEIGHT
        - TOP
        - 20.0
        - 84.0
        - tail(true).iter().map(|(_, lines)| Sheet::height(lines)).sum::<f64>();
    // Both on one piece before the case with one of them: their distance is what must not be wrong.
    let spots =
        [true, false].into_iter().find_map(|case| Some((together(plan, (&lens, &plate), case, high)?, case)));
    let bottom = if let Some((spots, case)) = spots {
        let piece = (TOP, spots.bottom);
        sheet.piece(piece.0, piece.1);
        for (at, mark) in [(spots.lens, &lens), (spots.plate, &plate)] {
            sheet.upright(piece, at, mark.reach(case));
            sheet.mark(at, mark, case);
        }
        if let Some(told) = lens.case.filter(|_| lens.shown(case) != Shown::Not) {
            sheet.wall(piece, spots.lens, &told);
        }
        sheet.labels();
        spots.bottom
    } else {
        let cable = cable(plan);
        let mut top = TOP;
        for piece in pieces(plan, (&lens, &plate, cable.as_ref()), high) {
            let bottom = top + piece.reach.iter().sum::<f64>() + 2.0 * ROOM;
            let at = (MIDDLE, top + ROOM + piece.reach[0]);
            let of_lens = (at.0 + piece.lens[0], at.1 + piece.lens[1]);
            sheet.piece(top, bottom);
            sheet.mark(at, piece.mark, false);
            if let Some(told) = lens.case.filter(|_| lens.shown(false) != Shown::Not) {
                sheet.wall((top, bottom), of_lens, &told);
            }
            if of_lens.0 != at.0 {
                sheet.upright((top, bottom), at, piece.reach);
            }
            sheet.plumb((top, bottom), of_lens.0);
            sheet.labels();
            top = bottom + GAP;
        }
        top - GAP
    };
    let mut at = bottom + 20.0;
    for (heading, lines) in tail(spots.is_some()) {
        at = sheet.lines(at, heading, &lines);
    }
    let end = sheet::title_block(&mut sheet.svg, &title, at + 2.0) + 16.0;
    let between = between(plan, spots.is_some());
    let name = format!("{}: template to drill by, true size", title.station);
    Ok(sheet.svg.finish_true(end.max(PAGE_HEIGHT), &name, &between.join(" ")))
}

/// How much of the case is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Shown {
    Whole,
    /// What of it falls on a piece.
    Cut,
    Not,
}

/// One middle with its circles.
struct Mark {
    /// Said beside the middle, the first in bold.
    says: Vec<String>,
    /// Radius in mm, whether it is told (else the least that serves), what it is.
    circles: Vec<(f64, bool, String)>,
    /// The case about the middle.
    case: Option<Case>,
    /// Height of the middle above the ground.
    height_m: f64,
    /// Largest radius that is drawn, units.
    largest: f64,
    /// Least height above and below the middle, units.
    least: f64,
    /// Whether it belongs to the case's front; else to the wall.
    front: bool,
}

impl Mark {
    /// The circles that have room: radius in units, and whether it is told.
    fn drawn(&self) -> impl Iterator<Item = (f64, bool)> + '_ {
        let circles = self.circles.iter().map(|(radius_mm, told, _)| (radius_mm * MM, *told));
        circles.filter(|(radius, _)| *radius <= self.largest)
    }

    /// What stands beside the middle, wrapped.
    fn words(&self, case: bool) -> Vec<String> {
        let mut says = self.says.clone();
        for (radius_mm, told, what) in &self.circles {
            says.push(match (radius_mm * MM <= self.largest, told) {
                (false, _) => format!(
                    "Not drawn, too large for this page: {what}; swing it about the middle with a string of {}",
                    mm(*radius_mm)
                ),
                (true, true) => format!("Full circle: {what}"),
                (true, false) => format!("Dashed circle: {what}"),
            });
        }
        if let Some(told) = self.case {
            let size = format!("{} by {}", mm(told.wide), mm(told.high));
            says.push(match (self.shown(case), told.above) {
                (Shown::Whole, Some(above)) => {
                    format!("Dashed box: case, {size}, its upper edge {} above the lens", mm(above))
                }
                (Shown::Whole, None) => {
                    format!("Dashed box: case, {size}, set about the lens; shift it to yours")
                }
                (Shown::Cut, Some(above)) => format!(
                    "Dashed lines: edges of the case, {size}, as far as they fall on a piece; its upper edge {} above the lens",
                    mm(above)
                ),
                _ => format!("Not drawn, too large for this page: case, {size}"),
            });
            says.extend(told.says(self.height_m));
        }
        let letters = ((RIGHT - WORDS - 6.0) / (0.62 * FACE.size)) as usize;
        says.iter().flat_map(|says| wrapped(says, letters)).collect()
    }

    /// The case, where it has room across.
    fn drawn_case(&self, case: bool) -> Option<Case> {
        self.case.filter(|told| case && told.aside() * MM <= LARGEST[1])
    }

    /// How much of the case is drawn; where it hangs must be told for less than all of it.
    fn shown(&self, case: bool) -> Shown {
        match (self.drawn_case(case), self.case.and_then(|told| told.above)) {
            (Some(_), _) => Shown::Whole,
            (None, Some(_)) => Shown::Cut,
            (None, None) => Shown::Not,
        }
    }

    /// Height that it needs above and below its middle.
    fn reach(&self, case: bool) -> [f64; 2] {
        let circles = self.drawn().map(|(radius, _)| radius);
        let half = circles.fold(self.high(case).max(self.least), f64::max);
        let [above, below] = self.drawn_case(case).map_or([0.0; 2], |told| told.reach().map(|mm| mm * MM));
        [half.max(above), half.max(below)]
    }

    /// Half of the height of its words, which stand about the height of its middle.
    fn high(&self, case: bool) -> f64 {
        0.5 * self.words(case).len() as f64 * LINE + 4.0
    }
}

/// Where the middles lie when both are on one piece, and where it ends.
#[derive(Clone, Copy)]
struct Spots {
    lens: (f64, f64),
    plate: (f64, f64),
    bottom: f64,
}

/// The middles at their true distance on one piece, where it has room for them and for their words.
fn together(plan: &Plan, (lens, plate): (&Mark, &Mark), case: bool, high: f64) -> Option<Spots> {
    let s = &plan.station;
    // The plate below the lens, units; negative where it is above.
    let down = 1e3 * (s.camera.height_m - s.plate.height_m) * MM;
    let aside = 1e3 * s.camera.offset_m * MM;
    let (of_lens, of_plate) = (lens.reach(case), plate.reach(case));
    let above = of_lens[0].max(of_plate[0] - down);
    let below = of_lens[1].max(of_plate[1] + down);
    let widest = [lens, plate]
        .iter()
        .flat_map(|mark| mark.drawn().map(|(radius, _)| radius))
        .chain(lens.drawn_case(case).map(|told| told.aside() * MM))
        .fold(0.0, f64::max);
    let words = lens.high(case) + plate.high(case);
    let clear = down.abs() >= words + 8.0
        && above + below + 2.0 * ROOM <= high
        && 0.5 * aside.abs() + widest <= LARGEST[1];
    let lens_y = TOP + ROOM + above;
    clear.then_some(Spots {
        lens: (MIDDLE + 0.5 * aside, lens_y),
        plate: (MIDDLE - 0.5 * aside, lens_y + down),
        bottom: lens_y + below + ROOM,
    })
}

/// The middle of the lens, its window, and the case where the plan tells it.
fn lens(plan: &Plan) -> Mark {
    let s = &plan.station;
    let mut says = vec![format!(
        "Middle of the lens: {:.3} m above the ground{}",
        s.camera.height_m,
        assumed(plan, "camera.height")
    )];
    let mut circles = Vec::new();
    let window_mm = 1e3 * s.camera.window_radius_m;
    let least_mm = 1e3 * answers::least_window_m(plan);
    if window_mm.is_finite() {
        circles.push((window_mm, true, format!("window, {} across, as planned", mm(2.0 * window_mm))));
    }
    if least_mm.is_finite() {
        circles.push((
            least_mm,
            false,
            format!(
                "least clear window, {} across, {} before the lens{}",
                mm(2.0 * least_mm),
                mm(1e3 * s.camera.window_gap_m),
                assumed(plan, "camera.window_gap")
            ),
        ));
    } else if least_mm.is_infinite() {
        says.push("No flat window is wide enough for this lens: let it stand out.".into());
    }
    let tilt = (s.camera.tilt_rad.to_degrees(), "up", "down");
    let turn = (s.camera.turn_rad.to_degrees(), "to the right of you", "to the left of you");
    for (degrees, more, less) in [tilt, turn] {
        if degrees.abs() >= 0.05 {
            says.push(format!("It looks {:.1}° {}.", degrees.abs(), if degrees > 0.0 { more } else { less }));
        }
    }
    Mark {
        says,
        circles,
        case: Case::of(plan),
        height_m: s.camera.height_m,
        largest: LARGEST[0],
        least: 60.0,
        front: true,
    }
}

/// The middle of the plate, the plate and its rim.
fn plate(plan: &Plan) -> Mark {
    let s = &plan.station;
    let says = vec![format!(
        "Middle of the plate: {:.3} m above the ground{}",
        s.plate.height_m,
        assumed(plan, "plate.height")
    )];
    let mut circles = Vec::new();
    let plate_mm = 0.5e3 * s.plate.size_m;
    if plate_mm.is_finite() {
        circles.push((plate_mm, true, format!("plate, {} across", mm(2.0 * plate_mm))));
        let rim_mm = plate_mm + 1e3 * s.plate.rim_m;
        if rim_mm.is_finite() {
            circles.push((
                rim_mm,
                true,
                format!("inner edge of the earthed rim, {} across", mm(2.0 * rim_mm)),
            ));
        }
    }
    Mark {
        says,
        circles,
        case: None,
        height_m: s.plate.height_m,
        largest: LARGEST[1],
        least: 60.0,
        front: true,
    }
}

/// The middle of the cable's hole, where the plan tells it.
fn cable(plan: &Plan) -> Option<Mark> {
    let told = Case::of(plan).filter(|told| told.above.is_some())?;
    let [size, below] = told.cable;
    let height_m = plan.station.camera.height_m - 1e-3 * below;
    (size.is_finite() && below.is_finite()).then(|| Mark {
        says: vec![
            format!("Middle of the cable's hole: {height_m:.3} m above the ground"),
            format!("{} across, under the lens, behind the case", mm(size)),
        ],
        circles: Vec::new(),
        case: None,
        height_m,
        largest: LARGEST[0],
        least: 30.0,
        front: false,
    })
}

/// A piece of its own for one middle.
struct Piece<'m> {
    mark: &'m Mark,
    /// Where the lens lies to the middle, right and down, units.
    lens: [f64; 2],
    /// Height above and below the middle, units.
    reach: [f64; 2],
}

impl Piece<'_> {
    /// What it has to grow by, above and below, to hold what lies from `span[0]` to `span[1]` below the lens.
    fn grows(&self, span: [f64; 2]) -> [f64; 2] {
        // A little paper about each.
        let room = ROOM - 3.0;
        let [from, to] = span.map(|y| y + self.lens[1]);
        [(-from - self.reach[0] - room).max(0.0), (to - self.reach[1] - room).max(0.0)]
    }
}

/// The pieces from the uppermost down, grown as far as the page allows to hold what is drilled near them.
fn pieces<'m>(
    plan: &Plan,
    (lens, plate, cable): (&'m Mark, &'m Mark, Option<&'m Mark>),
    high: f64,
) -> Vec<Piece<'m>> {
    let s = &plan.station;
    let of_plate = [s.camera.offset_m, s.plate.height_m - s.camera.height_m].map(|m| 1e3 * m * MM);
    let piece = |mark: &'m Mark, lens| Piece { mark, lens, reach: mark.reach(false) };
    let mut all = vec![piece(lens, [0.0; 2]), piece(plate, of_plate)];
    let takes = |all: &[Piece<'_>]| {
        let each = all.iter().map(|piece| piece.reach.iter().sum::<f64>() + 2.0 * ROOM + GAP);
        each.sum::<f64>() - GAP
    };
    let mut spans = lens.case.map_or(Vec::new(), |told| told.spans());
    // The nearest first; what is held by one piece is held.
    while let Some((at, piece, grows)) = spans
        .iter()
        .enumerate()
        .flat_map(|(at, span)| all.iter().enumerate().map(move |(piece, of)| (at, piece, of.grows(*span))))
        .min_by(|a, b| (a.2[0] + a.2[1]).total_cmp(&(b.2[0] + b.2[1])))
    {
        let more = grows[0] + grows[1];
        if more > GROWS || takes(&all) + more > high {
            break;
        }
        all[piece].reach[0] += grows[0];
        all[piece].reach[1] += grows[1];
        spans.swap_remove(at);
    }
    if let Some(mark) = cable {
        let down = 1e3 * (s.camera.height_m - mark.height_m) * MM;
        let of_cable = piece(mark, [0.0, -down]);
        let held = all.iter().any(|piece| piece.grows([down, down]) == [0.0; 2]);
        if !held && takes(&all) + GAP + of_cable.reach.iter().sum::<f64>() + 2.0 * ROOM <= high {
            all.push(of_cable);
        }
    }
    all.sort_by(|a, b| b.mark.height_m.total_cmp(&a.mark.height_m));
    all
}

/// What a driller needs and the plan does not tell, one line.
fn not_told(plan: &Plan) -> Vec<String> {
    let needs = [
        ("camera.window_radius", "how large the window is ([camera] window_radius)"),
        ("plate.size", "how large the plate is ([plate] size)"),
        ("case.width", "how large the case is ([case] width, height)"),
        ("mount.above_lens", "where the case lies about the lens ([mount] above_lens)"),
        ("mount.screws_up", "where its screws go ([mount] screws_across, screws_up)"),
        ("mount.screw_hole", "how large their holes are ([mount] screw_hole)"),
        ("mount.cable_hole", "the hole for the cable ([mount] cable_hole)"),
        ("mount.cable_below", "where that hole lies ([mount] cable_below)"),
    ];
    let missing = |path: &str| match path {
        "mount.screws_up" => !told(plan, "mount.screws_up") && !told(plan, "mount.screws_across"),
        path => !told(plan, path),
    };
    let missing: Vec<&str> =
        needs.into_iter().filter(|(path, _)| missing(path)).map(|(_, says)| says).collect();
    if missing.is_empty() { Vec::new() } else { vec![format!("{}.", capital(&missing.join("; ")))] }
}

/// How lens and plate lie to each other.
fn between(plan: &Plan, together: bool) -> Vec<String> {
    let s = &plan.station;
    let up_mm = 1e3 * (s.camera.height_m - s.plate.height_m);
    let place = if up_mm < 0.0 { "below" } else { "above" };
    let mut lines = vec![format!(
        "The lens lies {} {place} the plate, middle to middle, by their heights above the ground{}.",
        mm(up_mm.abs()),
        if together {
            ": so they are drawn"
        } else {
            "; too far for one page: hang each piece by its height, with a level, all under one plumb line through the lens"
        }
    )];
    let aside_mm = 1e3 * s.camera.offset_m;
    if aside_mm != 0.0 {
        let side = if aside_mm > 0.0 { "right" } else { "left" };
        lines.push(format!(
            "The lens lies {} to the {side} of the upright line through the plate.",
            mm(aside_mm.abs())
        ));
    }
    let told_mm = 1e3 * s.plate.from_lens_m;
    if told_mm.is_finite() && (told_mm - up_mm.hypot(aside_mm)).abs() > 1.0 {
        lines.push(format!(
            "The plan says {} from lens to plate, its heights make {}: settle this before you drill.",
            mm(told_mm),
            mm(up_mm.hypot(aside_mm))
        ));
    }
    lines
}

/// What to find out before drilling, by what the plan tells.
fn cautions(plan: &Plan) -> Vec<String> {
    let s = &plan.station;
    let mut lines = vec![
        "Ask whose wall it is: a landlord, the other owners of the house, whoever keeps a listed front. Get the yes in writing.".to_string(),
        "Cables and pipes in walls mostly run straight up, down or across from sockets, switches, lamps and taps. Search with a detector, switch the circuit off, and drill no deeper than you must.".to_string(),
    ];
    match (s.lock.kind, s.lock.fire_door) {
        (_, Told::Yes) => lines.push(
            "This is a fire door: drill neither leaf nor frame, or it is none any more. Hang the station on the wall beside it.".into(),
        ),
        (LockKind::None, _) | (_, Told::No) => {}
        _ => lines.push("Is it a fire door? Then drill neither leaf nor frame. The plan does not tell.".into()),
    }
    if s.wiring.mains_in_case {
        lines.push("Mains enters the case: that is an electrician's work.".into());
    }
    if !plan.parts.boundary.is_empty() {
        lines.push("Show the drawing of the ground to those whose ground is in the picture, before the hole is there.".into());
    }
    lines
}

/// Millimetres, in tenths where there are some.
fn mm(mm: f64) -> String {
    let tenths = (10.0 * mm).round() / 10.0;
    if tenths.fract() == 0.0 { format!("{tenths:.0} mm") } else { format!("{tenths:.1} mm") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::layout::tests::sound;
    use proptest::prelude::*;
    use station::sample;
    use station::sheets::Library;
    use station::text::Source;

    fn read(text: &str) -> Plan {
        Plan::read(Source::new("gate.toml", text.to_string()), &Library::shipped()).expect("a plan")
    }

    const NEAR: &str = "name = \"Gate\"\n[board]\nsheet = \"wren\"\n[lens]\nlaw = \"rectilinear\"\nview = \"90 deg\"\n[camera]\nheight = \"1.5 m\"\noffset = \"12 mm\"\nwindow_radius = \"9 mm\"\nwindow_gap = \"3 mm\"\n[plate]\nheight = \"1.41 m\"\nsize = \"40 mm\"\nrim = \"5 mm\"\n";

    /// Circles as middle and radius in millimetres on paper.
    fn circles_mm(drawn: &str) -> Vec<[f64; 3]> {
        let value = |line: &str, key: &str| -> f64 {
            line.split(&format!(" {key}=\"")).nth(1).unwrap().split('"').next().unwrap().parse().unwrap()
        };
        drawn
            .lines()
            .filter(|line| line.starts_with("<circle"))
            .map(|line| ["cx", "cy", "r"].map(|key| value(line, key) * 25.4 / 96.0))
            .collect()
    }

    /// With a ruler on the print: the plan's own figures, in millimetres.
    #[test]
    fn true_size_is_true() {
        let drawn = svg(&read(NEAR), "").unwrap();
        assert!(drawn.contains("width=\"210.00mm\" height=\"296.86mm\""));
        let circles = circles_mm(&drawn);
        let radius = |wanted: f64| circles.iter().find(|[_, _, r]| (r - wanted).abs() < 0.02).copied();
        let window = radius(9.0).expect("the window");
        let plate = radius(20.0).expect("the plate");
        assert!(radius(25.0).is_some(), "the rim");
        assert!((plate[1] - window[1] - 90.0).abs() < 0.05, "1.5 m - 1.41 m");
        assert!((window[0] - plate[0] - 12.0).abs() < 0.05, "the lens lies to the right");
        // The bar: from its first to its last point.
        let bar = drawn.lines().find(|line| line.contains("<polyline")).unwrap();
        let list = bar.split("points=\"").nth(1).unwrap().split('"').next().unwrap();
        let x: Vec<f64> =
            list.split(' ').map(|pair| pair.split_once(',').unwrap().0.parse().unwrap()).collect();
        assert!(((x[1] - x[0]) * 25.4 / 96.0 - 100.0).abs() < 0.03);
    }

    const MOUNTED: &str = "[case]\nwidth = \"80 mm\"\nheight = \"160 mm\"\n[mount]\nabove_lens = \"30 mm\"\nscrews_across = \"70 mm\"\nscrews_up = \"140 mm\"\nscrew_hole = \"6 mm\"\ncable_hole = \"10 mm\"\ncable_below = \"60 mm\"\n";

    /// With a ruler: the case's middle lies 80 - 30 = 50 mm below the lens, its screws 70 mm to either side of that.
    #[test]
    fn holes_lie_where_the_plan_puts_them() {
        let drawn = svg(&read(&format!("{NEAR}{MOUNTED}")), "").unwrap();
        let circles = circles_mm(&drawn);
        let of = |radius: f64| {
            circles.iter().copied().filter(|c| (c[2] - radius).abs() < 0.02).collect::<Vec<_>>()
        };
        let lens = of(9.0)[0];
        let mut screws: Vec<[f64; 2]> = of(3.0).iter().map(|c| [c[0] - lens[0], c[1] - lens[1]]).collect();
        screws.sort_by(|a, b| a[1].total_cmp(&b[1]).then(a[0].total_cmp(&b[0])));
        for (found, wanted) in
            screws.iter().zip([[-35.0, -20.0], [35.0, -20.0], [-35.0, 120.0], [35.0, 120.0]])
        {
            assert!((found[0] - wanted[0]).abs() < 0.06 && (found[1] - wanted[1]).abs() < 0.06, "{screws:?}");
        }
        assert_eq!(screws.len(), 4);
        let cable = of(5.0)[0];
        assert!((cable[0] - lens[0]).abs() < 0.05 && (cable[1] - lens[1] - 60.0).abs() < 0.05);
    }

    /// Lens and plate 260 mm apart: each hole lies on the piece beside it, by the heights that the plan makes by hand. The
    /// case's middle is 320 / 2 - 25 = 135 mm below the lens; its screws 150 mm above and below that, so 15 mm above the
    /// lens and 285 - 260 = 25 mm below the plate.
    #[test]
    fn pieces_hold_the_holes_that_fall_on_them() {
        let gate = include_str!("../../../plans/kiln-yard-gate.toml");
        let drawn = svg(&read(gate), "").unwrap();
        let circles = circles_mm(&drawn);
        let of = |radius: f64| {
            circles.iter().copied().filter(|c| (c[2] - radius).abs() < 0.02).collect::<Vec<_>>()
        };
        let plate = of(25.0)[0];
        let middles: Vec<[f64; 3]> = circles.iter().copied().filter(|c| c[2] < 0.5).collect();
        let [lens, cable, _] = middles[..] else { panic!("three pieces: {middles:?}") };
        let mut screws = of(3.0);
        screws.sort_by(|a, b| a[1].total_cmp(&b[1]).then(a[0].total_cmp(&b[0])));
        let wanted =
            [(lens, [-40.0, -15.0]), (lens, [40.0, -15.0]), (plate, [-40.0, 25.0]), (plate, [40.0, 25.0])];
        assert_eq!(screws.len(), 4);
        for (screw, (from, [x, y])) in screws.iter().zip(wanted) {
            assert!(
                (screw[0] - from[0] - x).abs() < 0.06 && (screw[1] - from[1] - y).abs() < 0.06,
                "{screws:?}"
            );
        }
        let hole = of(6.0)[0];
        assert!((hole[0] - cable[0]).abs() < 0.06 && (hole[1] - cable[1]).abs() < 0.06);
        assert!(drawn.contains("Middle of the cable's hole: 1.210 m"), "1.36 m - 150 mm");
        assert_eq!(drawn.matches(">wall</text>").count(), 5);
        assert_eq!(drawn.matches(">front</text>").count(), 2);
    }

    /// Each key of `[mount]` moves the template, and one that is missing is said to be.
    #[test]
    fn every_key_of_the_mount_is_felt() {
        let whole = svg(&read(&format!("{NEAR}{MOUNTED}")), "").unwrap();
        assert!(!whole.contains("Not told by the plan"));
        for line in MOUNTED.lines().skip_while(|line| *line != "[mount]").skip(1) {
            let fewer = svg(&read(&format!("{NEAR}{}", MOUNTED.replace(line, ""))), "").unwrap();
            let key = line.split(' ').next().unwrap();
            assert_ne!(fewer, whole, "{key}");
            assert!(fewer.contains("Not told by the plan") || key.starts_with("screws"), "{key}");
        }
    }

    #[test]
    fn what_the_plan_does_not_tell_is_not_drawn() {
        let drawn = svg(&read("[board]\nsheet = \"wren\"\n[plate]\nheight = \"1 m\"\n"), "").unwrap();
        assert!(drawn.contains("ow large the plate is"));
        assert!(drawn.contains("[mount] screws_across"));
        assert!(drawn.contains("Middle of the lens: 1.400 m") && drawn.contains(", assumed"));
        // Only the two middles.
        assert_eq!(circles_mm(&drawn).len(), 2);
        assert!(svg(&read("[board]\nsheet = \"wren\"\n"), "").unwrap_err().contains("[camera] height"));
    }

    #[test]
    fn contradictions_and_fire_doors_are_said() {
        let far = NEAR.replace("size = \"40 mm\"", "size = \"40 mm\"\nfrom_lens = \"300 mm\"");
        assert!(svg(&read(&far), "").unwrap().contains("settle this before you drill"));
        assert!(!svg(&read(NEAR), "").unwrap().contains("settle this"));
        let fire = format!("{NEAR}[lock]\nkind = \"strike-dc\"\nfire_door = \"yes\"\n");
        assert!(svg(&read(&fire), "").unwrap().contains("This is a fire door"));
    }

    proptest! {

        #[test]
        fn any_plan_gives_a_sound_page_or_a_reason(seed in 0..100_000_u64) {
            match svg(&read(&sample::plan(seed)), "") {
                Ok(drawn) => sound(&drawn),
                Err(why) => prop_assert!(!why.is_empty()),
            }
        }
    }
}
