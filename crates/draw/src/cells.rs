//! How the charge of the cells goes: the fan of such builds over months, and with a panel the worst of each month.
//!
//! A build that has stopped counts as empty, so each line of the fan ends where that share of builds has stopped: those
//! ends are the run time's figures. Reads a series; computes no charge.

use crate::axis::{self, Axis};
use crate::sheet::{self, MARGIN, Title, told};
use crate::svg::{Anchor, Face, Ink, PAGE_WIDTH, Svg, Tone};
use budgets::assessment::Assessment;
use budgets::series::{self, Charge, Why};
use budgets::study::Options;
use station::plan::Plan;

/// Left end of the time axis.
pub const LEFT: f64 = 74.0;
/// Right end of the time axis.
pub const RIGHT: f64 = PAGE_WIDTH - MARGIN;
const TOP: f64 = 164.0;
const HEIGHT: f64 = 250.0;
const MONTHS: [&str; 12] =
    ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
const MONTH_NAMES: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];
const DAY_S: f64 = 86_400.0;
/// Days of a mean month: 365 / 12.
const MONTH_S: f64 = 365.0 / 12.0 * DAY_S;

/// The drawing, as SVG.
///
/// # Errors
/// A sentence: why there is none.
pub fn svg(plan: &Plan, assessment: &Assessment) -> Result<String, Why> {
    let charge = series::charge(plan, Options { draws: assessment.draws, seed: assessment.seed })?;
    let verdict = sheet::verdict(assessment, "power");
    let title = Title::of(plan, "charge of the cells", &verdict);
    let mut svg = Svg::default();
    let builds = if assessment.draws == 0 {
        "nominal values".into()
    } else {
        format!("{} such builds", charge.builds)
    };
    let says = format!(
        "Charge left in the cells from the first of January on; {builds}, each with its own weather and callers"
    );
    sheet::head(&mut svg, &title, &says);
    let mut y = fan(&mut svg, &charge) + 26.0;
    if let Some(months) = &charge.months {
        y = by_month(&mut svg, months, y + 14.0) + 54.0;
    }
    let lines = sentences(&charge);
    y = sheet::notes(&mut svg, &lines, y);
    y = sheet::title_block(&mut svg, &title, y + 8.0);
    Ok(svg.finish(y + 24.0, &format!("Charge of the cells of {}", title.station), &lines.join(" ")))
}

/// The time axis of the fan.
pub fn horizon_s(charge: &Charge) -> f64 {
    (1.04 * charge.ends_s[2].max(charge.wanted_s.min(charge.horizon_s))).clamp(DAY_S, charge.horizon_s)
}

fn fan(svg: &mut Svg, charge: &Charge) -> f64 {
    svg.text((MARGIN, TOP - 80.0), Face::USUAL.bold(), "Charge left, in per cent of a full pack");
    let time = Axis::linear([0.0, horizon_s(charge)], [LEFT, RIGHT]);
    let soc = Axis::linear([0.0, 1.0], [TOP + HEIGHT, TOP]);
    let line = |at: usize| {
        let mut points: Vec<(f64, f64)> = (0..)
            .zip(&charge.soc[at])
            .map(|(step, value)| (time.at(f64::from(step) * charge.step_s), soc.at(*value)))
            .collect();
        if let Some(&(_, last)) = points.last() {
            points.push((time.at(charge.ends_s[at]), last));
        }
        points
    };
    let dies = |at: usize| charge.ends_s[at] < charge.horizon_s;
    let [low, middle, high] = [line(0), line(1), line(2)];
    let floor = |end_s: f64| (time.at(end_s), soc.at(0.0));
    let mut band = high.clone();
    if dies(0) {
        band.extend([floor(charge.ends_s[2]), floor(charge.ends_s[0])]);
    }
    band.extend(low.iter().rev());
    svg.area(&band, Tone::Hatch);
    axis::upright(svg, &Axis::linear([0.0, 100.0], [TOP + HEIGHT, TOP]), (LEFT, RIGHT), 5, "%");
    months_axis(svg, &time, charge);
    svg.line(&low, 1.1, Ink::Ink);
    svg.line(&high, 1.1, Ink::Ink);
    svg.line(&middle, 2.4, Ink::Ink);
    // One label a line, so that none lies on another however near the ends are.
    let of = |at: usize, share: &str| {
        (dies(at)).then(|| {
            (
                charge.ends_s[at],
                line(at),
                format!("{share} builds have stopped after {}", days(charge.ends_s[at])),
                Ink::Ink,
            )
        })
    };
    let wanted = (charge.wanted_s > 0.0 && time.holds(charge.wanted_s))
        .then(|| (charge.wanted_s, Vec::new(), format!("wanted: {}", days(charge.wanted_s)), Ink::Accent));
    let ends = [of(0, "5 of 100"), of(1, "half of the"), of(2, "95 of 100"), wanted];
    let ends: Vec<_> = ends.into_iter().flatten().collect();
    let label_y = |row: usize| TOP - 62.0 + 15.0 * row as f64;
    for (row, (end_s, points, _, ink)) in ends.iter().enumerate() {
        let x = time.at(*end_s);
        let lower = points.last().map_or(TOP + HEIGHT, |point| point.1);
        svg.dashed(&[(x, label_y(row) - 8.0), (x, lower)], if points.is_empty() { 1.4 } else { 0.8 }, *ink);
        if let Some(&last) = points.last() {
            svg.line(&[last, (last.0, TOP + HEIGHT)], 0.8, Ink::Ink);
            svg.circle(last, 3.0, 1.0, Ink::Ink, Some(Ink::Paper));
        }
    }
    for (row, (end_s, _, words, ink)) in ends.iter().enumerate() {
        // The label hangs on the side where there is room.
        let x = time.at(*end_s);
        let (at, anchor) =
            if x > 0.5 * (LEFT + RIGHT) { (x - 5.0, Anchor::End) } else { (x + 5.0, Anchor::Start) };
        svg.slip((at, label_y(row)), Face::SMALL.ink(*ink).anchor(anchor), words);
    }
    legend(svg, TOP + HEIGHT + 44.0)
}

fn legend(svg: &mut Svg, y: f64) -> f64 {
    svg.line(&[(LEFT, y - 4.0), (LEFT + 24.0, y - 4.0)], 2.4, Ink::Ink);
    svg.text((LEFT + 30.0, y), Face::SMALL, "half of the builds have more");
    let x = LEFT + 210.0;
    svg.cells(Tone::Hatch, std::iter::once(((x, y - 9.0), (24.0, 10.0))));
    svg.rect((x, y - 9.0), (24.0, 10.0), 0.9, Ink::Ink, None);
    svg.text((x + 30.0, y), Face::SMALL, "5 to 95 of 100 builds; one that has stopped counts as empty");
    y
}

/// Months while they have room, else years.
fn months_axis(svg: &mut Svg, time: &Axis, charge: &Charge) {
    let horizon_s = horizon_s(charge);
    let (unit_s, name) = if horizon_s > 1.5 * 365.0 * DAY_S {
        (365.0 * DAY_S, "years")
    } else if horizon_s > 75.0 * DAY_S {
        (MONTH_S, "months")
    } else {
        (DAY_S, "days")
    };
    let ticks =
        Axis::linear([0.0, horizon_s / unit_s], [0.0, 1.0]).ticks(if name == "years" { 10 } else { 16 });
    let words: Vec<(f64, String)> =
        ticks.iter().map(|&tick| (tick * unit_s, axis::plain(tick, &ticks))).collect();
    axis::level(svg, time, TOP + HEIGHT, &words, name);
}

/// The lowest charge in each calendar month.
fn by_month(svg: &mut Svg, months: &[[f64; 12]; 3], y: f64) -> f64 {
    const TALL: f64 = 130.0;
    svg.text((MARGIN, y), Face::USUAL.bold(), "Lowest charge in each month of all years lived");
    let (top, wide) = (y + 30.0, (RIGHT - LEFT) / 12.0);
    let soc = Axis::linear([0.0, 1.0], [top + TALL, top]);
    axis::upright(svg, &Axis::linear([0.0, 100.0], [top + TALL, top]), (LEFT, RIGHT), 5, "%");
    let worst = worst_month(months);
    for (at, name) in MONTHS.iter().enumerate() {
        let x = LEFT + wide * at as f64;
        let middle = x + 0.5 * wide;
        let [low, half, high] = [0, 1, 2].map(|point: usize| months[point][at]);
        if low.is_finite() && high.is_finite() {
            let (upper, lower) = (soc.at(high), soc.at(low));
            let corner = (middle - 12.0, upper);
            svg.cells(Tone::Hatch, std::iter::once((corner, (24.0, lower - upper))));
            svg.rect(corner, (24.0, lower - upper), 0.9, Ink::Ink, None);
            svg.line(&[(middle - 15.0, soc.at(half)), (middle + 15.0, soc.at(half))], 2.4, Ink::Ink);
        }
        let face = Face::SMALL.anchor(Anchor::Middle);
        let face = if Some(at) == worst { face.bold().ink(Ink::Ink) } else { face };
        svg.text((middle, top + TALL + 15.0), face, name);
        if Some(at) == worst {
            svg.text((middle, top + TALL + 28.0), face, "lowest");
        }
    }
    svg.line(&[(LEFT, top + TALL), (RIGHT, top + TALL)], 1.0, Ink::Ink);
    top + TALL
}

fn worst_month(months: &[[f64; 12]; 3]) -> Option<usize> {
    (0..12).filter(|&m| months[1][m].is_finite()).min_by(|&a, &b| months[1][a].total_cmp(&months[1][b]))
}

fn sentences(charge: &Charge) -> Vec<String> {
    let [low, middle, high] = charge.ends_s;
    let whole = charge.horizon_s;
    let lasts = |end_s: f64| if end_s >= whole { format!("more than {}", days(whole)) } else { days(end_s) };
    let outlasts = |share: &str, end_s: f64| {
        if end_s >= whole {
            format!("{share} run on after {}", days(whole))
        } else {
            format!("{share} stop within {}", days(end_s))
        }
    };
    let mut lines = vec![if charge.builds == 1 {
        format!("With every value as stated it lasts {}; wanted: {}.", lasts(middle), days(charge.wanted_s))
    } else {
        format!(
            "Half of such builds last {} or more; {}; {}. Wanted: {}.",
            lasts(middle),
            outlasts("5 of 100", low),
            if high >= whole { outlasts("at least 5 of 100", high) } else { outlasts("95 of 100", high) },
            days(charge.wanted_s)
        )
    }];
    lines.push("A build stops when a transmit burst pulls the cold cells below what the board needs: some charge stays in them.".into());
    if let Some(worst) = charge.months.as_ref().and_then(worst_month) {
        lines.push(format!("With the panel the charge is lowest in {}.", MONTH_NAMES[worst]));
    }
    lines
}

fn days(time_s: f64) -> String {
    told(time_s, "s")
}
