//! Every figure that has a limit, as room against it: the bar of the median, 5 to 95 of 100 builds, the room wanted.
//!
//! Each row has a scale of its own, since volts and bytes have none in common: its numbers stand beside it. What does
//! not fit is told in words before any bar, and lies on the other side of the limit. Reads an assessment alone.

use crate::sheet::{self, LETTER, MARGIN, Title, short, word};
use crate::svg::{Anchor, Face, Ink, PAGE_WIDTH, Svg, Tone};
use crate::terminal::shown;
use crate::wrap::wrapped;
use budgets::assessment::{Assessment, Figure};
use station::plan::Plan;

/// Where the limit of every row lies.
pub const LIMIT_X: f64 = 330.0;
/// Room for what is short, and for what is left.
const SHORT: f64 = 58.0;
const LEFT: f64 = 116.0;
const ROW: f64 = 17.0;
/// Least length of a bar that has any.
const LEAST: f64 = 5.0;
/// Half the height of a bar.
const HALF: f64 = 4.0;
const TITLE: usize = 43;
/// Width of the verdicts' column.
const VERDICT: f64 = 86.0;

/// The drawing, as SVG.
pub fn svg(plan: &Plan, a: &Assessment) -> String {
    let verdict = word("", a.verdict);
    let title = Title::of(plan, "room of every figure", verdict);
    let mut svg = Svg::default();
    let builds = if a.draws == 0 {
        "nominal values, no draws".to_string()
    } else {
        format!("{} such builds drawn, seed {}", a.draws, a.seed)
    };
    let says = format!("Room of every figure that has a limit, each row on a scale of its own; {builds}");
    sheet::head(&mut svg, &title, &says);
    let mut y = summary(&mut svg, a, 78.0);
    y = legend(&mut svg, y + 6.0) + 8.0;
    for budget in &a.budgets {
        let rows = || budget.figures.iter().filter(|figure| figure.verdict.is_some());
        if rows().next().is_none() {
            continue;
        }
        y += ROW + 3.0;
        svg.text((MARGIN, y), Face::USUAL.bold(), budget.name);
        svg.line(&[(MARGIN, y + 4.0), (PAGE_WIDTH - MARGIN, y + 4.0)], 0.7, Ink::Faint);
        y += 2.0;
        let first = y + 4.0;
        for figure in rows() {
            y += ROW;
            row(&mut svg, budget.name, figure, y);
        }
        svg.line(&[(LIMIT_X, first), (LIMIT_X, y + 5.0)], 1.4, Ink::Ink);
    }
    y = sheet::title_block(&mut svg, &title, y + 26.0);
    svg.finish(y + 24.0, &format!("Room of every figure of {}", title.station), &described(a))
}

/// A lead, its ink, and which figures it leads.
type Group = (&'static str, Ink, fn(&Figure) -> bool);

/// What does not fit, is not known or is short, in sentences.
fn summary(svg: &mut Svg, a: &Assessment, y: f64) -> f64 {
    let mut at = y;
    let groups: [Group; 3] = [
        ("Does not fit: ", Ink::Accent, |figure| figure.verdict == Some("over")),
        ("Not told yet: ", Ink::Ink, |figure| figure.verdict == Some("unknown")),
        // A cause: what it does is counted in the figure that it feeds, and that one holds.
        ("Short, yet what hangs on it holds: ", Ink::Ink, |figure| {
            figure.verdict == Some("tight") && figure.margin.is_some_and(|margin| margin < 0.0)
        }),
    ];
    for (lead, ink, is_in) in groups {
        let titles = a.budgets.iter().flat_map(|b| &b.figures).filter(|figure| is_in(figure));
        let titles: Vec<&str> = titles.map(|figure| figure.title.trim()).collect();
        if titles.is_empty() {
            continue;
        }
        let letters = ((PAGE_WIDTH - 2.0 * MARGIN) / 6.6) as usize;
        for line in wrapped(&format!("{lead}{}.", titles.join("; ")), letters) {
            svg.text((MARGIN, at), Face::USUAL.bold().ink(ink), &line);
            at += 15.0;
        }
    }
    if at == y {
        svg.text((MARGIN, at), Face::USUAL.bold(), "Every figure that has a limit keeps it.");
        at += 15.0;
    }
    at
}

/// The marks and what they mean.
fn legend(svg: &mut Svg, y: f64) -> f64 {
    let marks: [(f64, &str, &str); 3] = [
        (MARGIN, "fits", "room"),
        (MARGIN + 90.0, "tight", "tight"),
        (MARGIN + 180.0, "over", "short of it, does not fit"),
    ];
    for (x, verdict, words) in marks {
        bar(svg, verdict, (x, x + 24.0), y - 4.0);
        svg.text((x + 30.0, y), Face::SMALL, words);
    }
    let x = MARGIN + 360.0;
    whisker(svg, (x, x + 26.0), y - 4.0);
    svg.text((x + 32.0, y), Face::SMALL, "5 to 95 of 100 builds");
    let x = x + 170.0;
    wanted(svg, x + 6.0, y - 4.0);
    svg.text((x + 16.0, y), Face::SMALL, "room wanted");
    let at = y + 20.0;
    svg.text((LIMIT_X, at), Face::SMALL.anchor(Anchor::Middle), "limit");
    svg.text((LIMIT_X - 26.0, at), Face::SMALL.anchor(Anchor::End), "◂ short");
    svg.text((LIMIT_X + 26.0, at), Face::SMALL, "room ▸");
    svg.text((LIMIT_X + LEFT + 8.0, at), Face::SMALL, "median, limit");
    svg.text((PAGE_WIDTH - MARGIN - VERDICT, at), Face::SMALL.anchor(Anchor::End), "median room");
    svg.text((PAGE_WIDTH - MARGIN, at), Face::SMALL.anchor(Anchor::End), "verdict");
    at
}

/// Units of the paper for one unit of a figure's room.
///
/// The widest of bar, spread and wanted room fills its side.
pub fn scale(figure: &Figure) -> f64 {
    let Some(margin) = figure.margin else { return 0.0 };
    let ends = [margin, figure.margin_low.unwrap_or(margin), figure.margin_high.unwrap_or(margin)];
    let most = ends.into_iter().chain(figure.margin_wanted).fold(0.0, f64::max);
    let least = ends.into_iter().fold(0.0, f64::min);
    let fills = |room: f64, width: f64| if room > 0.0 { width / room } else { f64::INFINITY };
    let scale = fills(most, LEFT).min(fills(-least, SHORT));
    // A tail however long leaves something of the bar: it is cut at the paper's end, with an arrow.
    let scale = if margin == 0.0 { scale } else { scale.max(LEAST / margin.abs()) };
    if scale.is_finite() { scale } else { 0.0 }
}

/// Where a room lies on the paper, at the end of its side where it is beyond.
pub fn place(room: f64, scale: f64) -> f64 {
    LIMIT_X + (room * scale).clamp(-SHORT, LEFT)
}

fn row(svg: &mut Svg, budget: &str, figure: &Figure, y: f64) {
    let verdict = figure.verdict.unwrap_or("unknown");
    let over = verdict == "over";
    let ink = if over { Ink::Accent } else { Ink::Ink };
    svg.text((MARGIN + 6.0, y), Face::SMALL.ink(ink), &short(figure.title.trim(), TITLE));
    let words = if figure.on_assumptions { "tight, assumed" } else { word(budget, verdict) };
    let face = Face::SMALL.ink(ink).anchor(Anchor::End);
    let face = if verdict == "fits" { face } else { face.bold() };
    svg.text((PAGE_WIDTH - MARGIN, y), face, words);
    let Some(margin) = figure.margin else {
        svg.dotted(&[(LIMIT_X + 6.0, y - 4.0), (LIMIT_X + LEFT, y - 4.0)], 1.2, Ink::Faint);
        return;
    };
    let middle = y - 4.0;
    let scale = scale(figure);
    let x = |room: f64| place(room, scale);
    // None may be there, and none is: the room is whole.
    let full = margin == 0.0 && figure.limit == Some(0.0) && !over;
    let end = if full { LIMIT_X + LEFT } else { x(margin) };
    bar(svg, verdict, (LIMIT_X, end), middle);
    if let (Some(low), Some(high)) = (figure.margin_low, figure.margin_high)
        && (high - low) * scale > 0.5
    {
        whisker(svg, (x(low), x(high)), middle);
        if low * scale < -SHORT - 0.1 {
            let end = LIMIT_X - SHORT;
            svg.area(&[(end - 6.0, middle), (end, middle - 3.5), (end, middle + 3.5)], Tone::Dark);
        }
        if high * scale > LEFT + 0.1 {
            let end = LIMIT_X + LEFT;
            svg.area(&[(end + 6.0, middle), (end, middle - 3.5), (end, middle + 3.5)], Tone::Dark);
        }
    }
    if let Some(room) = figure.margin_wanted.filter(|room| *room > 0.0) {
        wanted(svg, x(room), middle);
    }
    let limit = figure.limit.map_or(String::new(), |limit| {
        let least = if figure.sense == "at_least" { "min" } else { "max" };
        format!(", {least} {}", shown(figure.name, limit, figure.unit))
    });
    let beyond = if figure.censored.is_some() && figure.value >= figure.high { "over " } else { "" };
    let value = figure.value.map_or("not known".into(), |value| shown(figure.name, value, figure.unit));
    let numbers = LIMIT_X + LEFT + 8.0;
    let room = shown(figure.name, margin, figure.unit);
    let room = room.replace('-', "−");
    let room_x = PAGE_WIDTH - MARGIN - VERDICT;
    let letters = ((room_x - numbers) / (0.96 * LETTER)) as usize;
    let text = short(&format!("{beyond}{value}{limit}"), letters.saturating_sub(room.chars().count() + 1));
    svg.text((numbers, y), Face::SMALL.ink(Ink::Ink), &text.replace('-', "−"));
    svg.text((room_x, y), Face::SMALL.ink(ink).anchor(Anchor::End), &room);
}

/// A bar from the limit to the median: full, hatched, or open.
fn bar(svg: &mut Svg, verdict: &str, (from, to): (f64, f64), middle: f64) {
    let (left, width) = (from.min(to), (to - from).abs());
    let corner = (left, middle - HALF);
    match verdict {
        "over" => svg.rect(corner, (width, 2.0 * HALF), 1.3, Ink::Accent, Some(Ink::Paper)),
        "fits" => {
            svg.cells(Tone::Light, std::iter::once((corner, (width, 2.0 * HALF))));
            svg.rect(corner, (width, 2.0 * HALF), 0.7, Ink::Ink, None);
        }
        _ => {
            svg.cells(Tone::Hatch, std::iter::once((corner, (width, 2.0 * HALF))));
            svg.rect(corner, (width, 2.0 * HALF), 0.9, Ink::Ink, None);
        }
    }
}

/// From the 5 % to the 95 % point.
fn whisker(svg: &mut Svg, (low, high): (f64, f64), middle: f64) {
    svg.line(&[(low, middle), (high, middle)], 1.2, Ink::Ink);
    for x in [low, high] {
        svg.line(&[(x, middle - 3.0), (x, middle + 3.0)], 1.2, Ink::Ink);
    }
}

/// The room wanted: a small wedge on the bar.
fn wanted(svg: &mut Svg, x: f64, middle: f64) {
    svg.area(
        &[(x, middle - HALF), (x - 3.5, middle - HALF - 5.0), (x + 3.5, middle - HALF - 5.0)],
        Tone::Dark,
    );
}

/// What a screen reader is told.
fn described(a: &Assessment) -> String {
    let of = |verdict: &str| {
        let figures =
            a.budgets.iter().flat_map(|b| &b.figures).filter(|figure| figure.verdict == Some(verdict));
        figures.map(|figure| figure.title.trim()).collect::<Vec<_>>()
    };
    let parts = [("over", "does not fit"), ("unknown", "not told yet"), ("tight", "tight"), ("fits", "fits")];
    let told = parts.map(|(verdict, words)| (words, of(verdict)));
    let told = told.iter().filter(|(_, titles)| !titles.is_empty());
    told.map(|(words, titles)| format!("{words}: {}.", titles.join("; "))).collect::<Vec<_>>().join(" ")
}
