//! Temperatures over the hottest day and over one long call, with the limits of the parts as lines.
//!
//! Reads a series; computes no temperature. Curves are told apart by their dashes and by the label at their end.

use crate::axis::{self, Axis};
use crate::sheet::{self, MARGIN, Title, told};
use crate::svg::{Face, Ink, PAGE_WIDTH, Svg};
use budgets::assessment::Assessment;
use budgets::physics::HeatCourse;
use budgets::series::{self, Why};
use models::heat::limits::Part;
use models::heat::{Node, Temps};
use station::plan::Plan;

/// Left end of the time axes.
pub const LEFT: f64 = 74.0;
/// Right end of the time axes; labels stand beyond.
pub const RIGHT: f64 = 560.0;
/// Upper end of the day's temperatures.
pub const DAY_TOP: f64 = 100.0;
/// Height of each of the two charts.
pub const HEIGHT: f64 = 250.0;
const LABELS: f64 = RIGHT + 22.0;
/// Limits farther above the warmest point are told in words, K.
const FAR_K: f64 = 25.0;
/// Curves nearer than that are one line on paper, two at most: a heavy line hides the other.
const ALIKE_K: f64 = 0.8;

/// The curves: node, name, how they are drawn.
const CURVES: [(Node, &str, Dash); 4] = [
    (Node::Chip, "chip", Dash::Heavy),
    (Node::Sensor, "image sensor", Dash::Dashed),
    (Node::Inside, "air in the case", Dash::Thin),
    (Node::Case, "case surface", Dash::Dotted),
];

/// What the label at a curve's end tells: midnight is of no use to anybody.
#[derive(Clone, Copy)]
enum Ends {
    Highest,
    Last,
}

#[derive(Clone, Copy)]
enum Dash {
    Heavy,
    Thin,
    Dashed,
    Dotted,
}

impl Dash {
    fn draw(self, svg: &mut Svg, points: &[(f64, f64)]) {
        match self {
            Dash::Heavy => svg.line(points, 2.4, Ink::Ink),
            Dash::Thin => svg.line(points, 1.0, Ink::Ink),
            Dash::Dashed => svg.dashed(points, 1.5, Ink::Ink),
            Dash::Dotted => svg.dotted(points, 1.8, Ink::Ink),
        }
    }
}

/// The drawing, as SVG.
///
/// # Errors
/// A sentence: why there is none.
pub fn svg(plan: &Plan, assessment: &Assessment) -> Result<String, Why> {
    let heat = series::heat(plan)?;
    let verdict = sheet::verdict(assessment, "heat");
    let title = Title::of(plan, "heat on the hottest day", &verdict);
    let mut svg = Svg::default();
    sheet::head(
        &mut svg,
        &title,
        "Temperatures on the hottest day of a year with weather, and over one long call in its worst hour; nominal values",
    );
    let range = range_c(&heat);
    day(&mut svg, &heat, range);
    let top = DAY_TOP + HEIGHT + 96.0;
    call(&mut svg, &heat, range, top);
    let lines = sentences(&heat);
    let y = sheet::notes(&mut svg, &lines, top + HEIGHT + 52.0);
    let y = sheet::title_block(&mut svg, &title, y + 8.0);
    Ok(svg.finish(y + 24.0, &format!("Heat of {}", title.station), &lines.join(" ")))
}

/// Ends of both temperature axes, °C.
pub fn range_c(heat: &HeatCourse) -> [f64; 2] {
    let all = || {
        let temps =
            heat.minutes.iter().map(|(_, temps)| temps).chain(heat.hours.iter().map(|hour| &hour.call));
        temps
            .flat_map(|temps| CURVES.map(|(node, ..)| temps[node as usize]))
            .chain(heat.hours.iter().map(|hour| hour.air_c))
    };
    let warmest = all().fold(f64::NEG_INFINITY, f64::max);
    // A limit that is passed is always on the paper.
    let shown: Vec<f64> =
        limits(heat).map(|(_, limit_c, _)| limit_c).filter(|limit_c| *limit_c < warmest + FAR_K).collect();
    let most = shown.iter().copied().fold(warmest, f64::max);
    let least = all().chain(shown.iter().copied()).fold(f64::INFINITY, f64::min);
    [(least / 5.0).floor() * 5.0, (most / 5.0).ceil() * 5.0 + 5.0]
}

/// Limits of what is drawn: name, °C, and whether it is the first to be reached.
fn limits(heat: &HeatCourse) -> impl Iterator<Item = (&'static str, f64, bool)> {
    let parts = heat.limits.iter().filter_map(|&(part, _, limit_c)| {
        let name = match part {
            Part::Chip => "chip's limit",
            Part::Sensor => "sensor's limit",
            Part::Module => "module's limit, of the air",
            Part::Cell => "cells' limit, of the air",
            Part::Case => "case's limit, 5 K below softening",
            Part::Memory | Part::Regulator => return None,
        };
        Some((name, limit_c, heat.first == Some(part)))
    });
    parts.chain([("touch limit of the case", heat.touch_c, false)])
}

fn draw_limits(svg: &mut Svg, heat: &HeatCourse, degrees: &Axis, all: &mut Vec<(f64, Ink, String)>) {
    for (name, limit_c, first) in limits(heat).filter(|(_, limit_c, _)| degrees.holds(*limit_c)) {
        let y = degrees.at(limit_c);
        svg.line(&[(LEFT, y), (RIGHT, y)], if first { 1.8 } else { 0.8 }, Ink::Accent);
        all.push((y, Ink::Accent, format!("{name}, {limit_c:.0} °C")));
    }
}

fn curves<'h>(
    svg: &mut Svg,
    degrees: &Axis,
    points: impl Iterator<Item = (f64, &'h Temps)> + Clone,
    all: &mut Vec<(f64, Ink, String)>,
    (cells, told): (bool, Ends),
) {
    for group in alike(&points.clone().map(|(_, temps)| temps).collect::<Vec<_>>()) {
        let (node, _, dash) = CURVES[group[0]];
        let curve: Vec<(f64, f64)> =
            points.clone().map(|(x, temps)| (x, degrees.at(temps[node as usize]))).collect();
        dash.draw(svg, &curve);
        let Some((_, last)) = points.clone().last() else { continue };
        let short = |at: usize| match CURVES[at].0 {
            Node::Inside if cells => "air, cells",
            Node::Inside => "case air",
            Node::Sensor => "sensor",
            Node::Case => "case",
            _ => CURVES[at].1,
        };
        let name = match group.as_slice() {
            [_] if node == Node::Inside && cells => "air in the case, cells".into(),
            [one] => CURVES[*one].1.to_string(),
            more => more.iter().map(|at| short(*at)).collect::<Vec<_>>().join(" and "),
        };
        let of = |temps: &Temps| {
            group.iter().map(|at| temps[CURVES[*at].0 as usize]).fold(f64::NEG_INFINITY, f64::max)
        };
        let says = match told {
            Ends::Highest => {
                let highest = points.clone().map(|(_, temps)| of(temps)).fold(f64::NEG_INFINITY, f64::max);
                format!("at most {highest:.0} °C")
            }
            Ends::Last => format!("{:.0} °C in the end", of(last)),
        };
        all.push((degrees.at(last[node as usize]), Ink::Ink, format!("{name}, {says}")));
    }
}

/// The curves by their places in [`CURVES`], two together that cannot be told apart on paper: one line, one label.
fn alike(temps: &[&Temps]) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (at, (node, ..)) in CURVES.iter().enumerate() {
        let same = |group: &&mut Vec<usize>| {
            let first = CURVES[group[0]].0 as usize;
            group.len() < 2
                && temps.iter().all(|temps| (temps[first] - temps[*node as usize]).abs() < ALIKE_K)
        };
        match groups.iter_mut().find(same) {
            Some(group) => group.push(at),
            None => groups.push(vec![at]),
        }
    }
    groups
}

fn day(svg: &mut Svg, heat: &HeatCourse, range: [f64; 2]) {
    let degrees = Axis::linear(range, [DAY_TOP + HEIGHT, DAY_TOP]);
    let hours = Axis::linear([0.0, 24.0], [LEFT, RIGHT]);
    svg.text(
        (MARGIN, DAY_TOP - 20.0),
        Face::USUAL.bold(),
        "The hottest day, at the end of one call in each hour",
    );
    axis::upright(svg, &degrees, (LEFT, RIGHT), 8, "°C");
    let mut all = Vec::new();
    draw_limits(svg, heat, &degrees, &mut all);
    let air: Vec<(f64, f64)> = (0..)
        .zip(&heat.hours)
        .map(|(at, hour)| (hours.at(f64::from(at) + 0.5), degrees.at(hour.air_c)))
        .collect();
    svg.line(&air, 1.0, Ink::Faint);
    if let Some(last) = heat.hours.last() {
        let most_c = heat.hours.iter().map(|hour| hour.air_c).fold(f64::NEG_INFINITY, f64::max);
        all.push((degrees.at(last.air_c), Ink::Faint, format!("air outside, at most {most_c:.0} °C")));
    }
    let at = |hour: usize| hours.at(hour as f64 + 0.5);
    curves(
        svg,
        &degrees,
        heat.hours.iter().enumerate().map(|(hour, temps)| (at(hour), &temps.call)),
        &mut all,
        (heat.cells, Ends::Highest),
    );
    if let Some(worst) = heat.hours.get(heat.worst_hour) {
        let x = at(heat.worst_hour);
        svg.dotted(&[(x, DAY_TOP), (x, DAY_TOP + HEIGHT)], 1.0, Ink::Faint);
        svg.circle((x, degrees.at(worst.call[Node::Chip as usize])), 3.5, 1.2, Ink::Ink, Some(Ink::Paper));
    }
    let words: Vec<(f64, String)> =
        (0..=8).map(|tick| (3.0 * f64::from(tick), format!("{}:00", 3 * tick))).collect();
    axis::level(svg, &hours, DAY_TOP + HEIGHT, &words, "local standard time");
    axis::labels(svg, (RIGHT, LABELS), &all, [DAY_TOP - 4.0, DAY_TOP + HEIGHT + 14.0]);
}

fn call(svg: &mut Svg, heat: &HeatCourse, range: [f64; 2], top: f64) {
    let degrees = Axis::linear(range, [top + HEIGHT, top]);
    let last_min = heat.minutes.last().map_or(1.0, |(time_s, _)| time_s / 60.0);
    let minutes = Axis::linear([0.0, last_min], [LEFT, RIGHT]);
    svg.text((MARGIN, top - 34.0), Face::USUAL.bold(), "One long call in the worst hour, out of rest");
    axis::upright(svg, &degrees, (LEFT, RIGHT), 8, "°C");
    let mut all = Vec::new();
    draw_limits(svg, heat, &degrees, &mut all);
    let points = heat.minutes.iter().map(|(time_s, temps)| (minutes.at(time_s / 60.0), temps));
    curves(svg, &degrees, points, &mut all, (heat.cells, Ends::Last));
    let mut marks = vec![(heat.call_s, format!("a call, {}", told(heat.call_s, "s")), Ink::Ink)];
    if heat.first.is_some() {
        let words = if heat.stream_s > 0.0 {
            format!("a limit after {}", told(heat.stream_s, "s"))
        } else {
            "beyond a limit at rest already".into()
        };
        marks.push((heat.stream_s, words, Ink::Accent));
    }
    let place = |row: usize, time_s: f64| (minutes.at(time_s / 60.0), top - 20.0 + 14.0 * row as f64);
    for (row, (time_s, _, ink)) in marks.iter().enumerate() {
        let (x, y) = place(row, *time_s);
        svg.dashed(&[(x, y - 6.0), (x, top + HEIGHT)], 0.9, *ink);
    }
    for (row, (time_s, words, ink)) in marks.into_iter().enumerate() {
        let (x, y) = place(row, time_s);
        let far = x > 0.7 * RIGHT;
        let anchor = if far { crate::svg::Anchor::End } else { crate::svg::Anchor::Start };
        svg.slip((if far { x - 4.0 } else { x + 4.0 }, y), Face::SMALL.ink(ink).anchor(anchor), &words);
    }
    let ticks = minutes.ticks(10);
    let words: Vec<(f64, String)> = ticks.iter().map(|&tick| (tick, axis::plain(tick, &ticks))).collect();
    axis::level(svg, &minutes, top + HEIGHT, &words, "minutes of streaming");
    axis::labels(svg, (RIGHT, LABELS), &all, [top - 4.0, top + HEIGHT + 14.0]);
}

fn sentences(heat: &HeatCourse) -> Vec<String> {
    let worst = heat.hours.get(heat.worst_hour);
    let mut lines = vec![worst.map_or(String::new(), |hour| {
        format!(
            "Worst hour {}:00 to {}:00 of {}, {:.0} °C of air: the chip reaches {:.0} °C at the end of a call, {:.0} °C between calls.",
            heat.worst_hour,
            heat.worst_hour + 1,
            date(heat.day),
            hour.air_c,
            hour.call[Node::Chip as usize],
            hour.rest[Node::Chip as usize]
        )
    })];
    lines.push(match heat.first {
        Some(part) if heat.stream_s <= 0.0 => {
            format!("In that hour {} is beyond its limit already at rest.", part_words(part))
        }
        Some(part) => format!(
            "Streaming on and on, {} reaches its limit first, after {}.",
            part_words(part),
            told(heat.stream_s, "s")
        ),
        None => "However long it streams in that hour, no part reaches its limit.".into(),
    });
    let far: Vec<String> = limits(heat)
        .filter(|(_, limit_c, _)| *limit_c > range_c(heat)[1])
        .map(|(name, limit_c, _)| format!("{name} {limit_c:.0} °C"))
        .collect();
    if !far.is_empty() {
        lines.push(format!("Beyond the paper: {}.", far.join("; ")));
    }
    lines
}

fn part_words(part: Part) -> &'static str {
    match part {
        Part::Chip => "the chip",
        Part::Module => "the module, by the air around it,",
        Part::Sensor => "the image sensor",
        Part::Memory => "the extra memory",
        Part::Cell => "a cell",
        Part::Regulator => "the regulator",
        Part::Case => "the case",
    }
}

/// `18 July`, in a year without a leap day.
fn date(day: usize) -> String {
    const MONTHS: [(&str, usize); 12] = [
        ("January", 0),
        ("February", 31),
        ("March", 59),
        ("April", 90),
        ("May", 120),
        ("June", 151),
        ("July", 181),
        ("August", 212),
        ("September", 243),
        ("October", 273),
        ("November", 304),
        ("December", 334),
    ];
    let (name, first) = MONTHS.into_iter().rev().find(|(_, first)| *first <= day).unwrap_or(MONTHS[0]);
    format!("{} {name}", day - first + 1)
}

/// The page's width is shared by charts and labels.
const _: () = assert!(LABELS + 200.0 < PAGE_WIDTH);

#[cfg(test)]
mod tests {
    #[test]
    fn dates_are_those_of_a_calendar() {
        assert_eq!(
            [0, 30, 31, 198, 364].map(super::date),
            ["1 January", "31 January", "1 February", "18 July", "31 December"]
        );
    }
}
