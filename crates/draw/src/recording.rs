//! A recording of a plate and what was tuned from it: the readings with their presses, one press near by, how often each
//! count came, and what each threshold costs.

use crate::axis::{self, Axis};
use crate::sheet::{MARGIN, Title, head, notes, title_block};
use crate::svg::{Anchor, Face, Ink, PAGE_WIDTH, Svg, Tone};
use crate::wrap::capital;
use models::energy::DAY_S;
use tune::levels::{BLOCK, Sense};
use tune::plate::{Point, Recording, Tuned};
use tune::verdict::Judged;

/// Left end of the level axes.
pub const LEFT: f64 = 78.0;
/// Right end of them.
pub const RIGHT: f64 = PAGE_WIDTH - MARGIN;
const TOP: f64 = 104.0;
const TALL: f64 = 200.0;
const LOW_TOP: f64 = TOP + TALL + 92.0;
const LOW_TALL: f64 = 170.0;
/// Between the two pictures side by side.
const APART: f64 = 74.0;
/// Bins of the counts.
const BINS: usize = 96;
/// Least and greatest of what a threshold costs: one in a hundred years, one in 30 s.
const COSTS: [f64; 2] = [0.01, 1e6];

/// The drawing, as SVG; `file` names the log, `station` whose plate it is, where that is known.
pub fn svg(
    recording: &Recording<'_>,
    tuned: &Tuned,
    judged: &Judged,
    (file, station): (&str, Option<&str>),
) -> String {
    let verdict = format!("plate: {}", crate::sheet::word("plate", judged.verdict.word()));
    let title = Title {
        station: station.unwrap_or("recording of a plate"),
        file,
        revision: "",
        drawing: "recording of the plate",
        scale: None,
        verdict: &verdict,
    };
    let mut svg = Svg::default();
    let (readings, presses) = (recording.counts.len(), tuned.presses.len());
    let says = format!(
        "{readings} readings in {}, {presses} presses; the detector follows idle readings and counts from there",
        quantity::show(recording.span_s(), "s")
    );
    head(&mut svg, &title, &says);
    let counts = counts_axis(recording, tuned);
    whole(&mut svg, recording, tuned, &counts);
    let middle = f64::midpoint(LEFT, RIGHT);
    histogram(&mut svg, recording, tuned, [LEFT, middle - 0.5 * APART]);
    costs(&mut svg, tuned, [middle + 0.5 * APART, RIGHT]);
    let c = &tuned.config;
    let mut lines = vec![format!(
        "Threshold {} counts from the baseline, lift {} nearer, {} readings in a row; the count {}.",
        c.threshold,
        c.hysteresis,
        c.debounce,
        tune::verdict::moves(tuned.levels.sense, tuned.levels.depth)
    )];
    lines.extend(judged.says.iter().map(|says| capital(says) + "."));
    let y = notes(&mut svg, &lines, LOW_TOP + LOW_TALL + 62.0);
    let y = title_block(&mut svg, &title, y + 8.0);
    svg.finish(y + 24.0, &format!("Recording of the plate: {file}"), &lines.join(" "))
}

/// From the deepest press to what lies highest, with some air; wild readings do not stretch it.
fn counts_axis(recording: &Recording<'_>, tuned: &Tuned) -> Axis {
    let (idle, _) = tuned.medians;
    let deepest = tuned.presses.iter().map(|press| f64::from(press.depth)).fold(0.0, f64::max);
    let touched = if tuned.levels.sense == Sense::Falls { idle - deepest } else { idle + deepest };
    let reach = 0.15 * deepest;
    let level = |pick: fn(f64, f64) -> f64, from: f64| {
        tuned.levels.idle.iter().map(|level| f64::from(*level)).fold(from, pick)
    };
    let (low, high) =
        (level(f64::min, idle.min(touched)) - reach, level(f64::max, idle.max(touched)) + reach);
    let most = recording.counts.iter().copied().max().map_or(0.0, f64::from);
    Axis::linear([low.max(0.0), high.min(most.max(idle) + reach)], [TOP + TALL, TOP])
}

fn whole(svg: &mut Svg, recording: &Recording<'_>, tuned: &Tuned, counts: &Axis) {
    let span_s = recording.span_s();
    let time = Axis::linear([0.0, span_s], [LEFT, RIGHT]);
    axis::upright(svg, counts, (LEFT, RIGHT), 6, "count");
    let (unit_s, name) = match span_s {
        s if s > 2.0 * DAY_S => (DAY_S, "days"),
        s if s > 7200.0 => (3600.0, "hours"),
        s if s > 180.0 => (60.0, "minutes"),
        _ => (1.0, "seconds"),
    };
    let ticks = Axis::linear([0.0, span_s / unit_s], [0.0, 1.0]).ticks(12);
    let words: Vec<(f64, String)> =
        ticks.iter().map(|&tick| (tick * unit_s, axis::plain(tick, &ticks))).collect();
    axis::level(svg, &time, TOP + TALL, &words, name);
    // A column of paper shows the least and the greatest of its readings.
    let columns = (RIGHT - LEFT) as usize;
    let each = recording.counts.len().div_ceil(columns).max(1);
    let at = |sample: usize| time.at(sample as f64 * recording.period_s);
    let (mut upper, mut lower) = (Vec::with_capacity(columns), Vec::with_capacity(columns));
    for (column, part) in recording.counts.chunks(each).enumerate() {
        let (least, most) = part.iter().fold((u16::MAX, 0), |(a, b), count| (a.min(*count), b.max(*count)));
        let x = at(column * each);
        upper.push((x, counts.at(f64::from(most)) - 0.5));
        lower.push((x, counts.at(f64::from(least)) + 0.5));
    }
    // Readings beyond the paper have a mark at its edge.
    for (points, edge, off) in [(&upper, TOP, -4.0), (&lower, TOP + TALL, 4.0)] {
        for (x, y) in points.iter().filter(|(_, y)| (y - edge).abs() < 0.6) {
            svg.line(&[(*x, *y), (*x, edge + off)], 0.8, Ink::Ink);
        }
    }
    let mut band = upper;
    band.extend(lower.iter().rev());
    svg.shape(&band, 0.4, Ink::Faint, Some(Ink::Faint));
    // The level, and the thresholds that go with it.
    let sign = if tuned.levels.sense == Sense::Falls { -1.0 } else { 1.0 };
    let thin = (tuned.levels.idle.len() / 400).max(1);
    let along = |off: f64| -> Vec<(f64, f64)> {
        let levels = tuned.levels.idle.iter().enumerate().step_by(thin);
        let mut line: Vec<(f64, f64)> =
            levels.map(|(block, level)| (at(block * BLOCK), counts.at(f64::from(*level) + off))).collect();
        if let Some(last) = line.last().copied() {
            line.push((RIGHT, last.1));
        }
        line
    };
    let (threshold, hysteresis) = (f64::from(tuned.config.threshold), f64::from(tuned.config.hysteresis));
    svg.line(&along(0.0), 1.0, Ink::Paper);
    svg.line(&along(sign * threshold), 1.6, Ink::Accent);
    svg.dashed(&along(sign * (threshold - hysteresis)), 1.0, Ink::Accent);
    // Each press has its mark above, with its number while there is room.
    let mut free = LEFT;
    for (number, press) in (1..).zip(&tuned.presses) {
        let x = at(press.start);
        svg.line(&[(x, TOP - 8.0), (x, TOP - 2.0)], 1.2, Ink::Ink);
        if x > free {
            free = x + 16.0;
            svg.text((x, TOP - 11.0), Face::SMALL.anchor(Anchor::Middle), &number.to_string());
        }
    }
    svg.text((MARGIN, TOP - 24.0), Face::SMALL, "presses found");
    for film in &tuned.films {
        let (from, to) = (at(film.start), at(film.end).max(at(film.start) + 2.0));
        svg.cells(Tone::Hatch, std::iter::once(((from, TOP), (to - from, TALL))));
    }
    let y = TOP + TALL + 44.0;
    let mut x = LEFT;
    let mut key = |svg: &mut Svg, draw: &dyn Fn(&mut Svg, f64), words: &str| {
        draw(svg, x);
        svg.text((x + 30.0, y), Face::SMALL, words);
        x += 42.0 + 5.3 * words.chars().count() as f64;
    };
    let swatch =
        |svg: &mut Svg, x: f64| svg.rect((x, y - 8.0), (24.0, 8.0), 0.4, Ink::Faint, Some(Ink::Faint));
    key(svg, &swatch, "least to greatest reading");
    let level = |svg: &mut Svg, x: f64| {
        svg.rect((x, y - 8.0), (24.0, 8.0), 0.4, Ink::Faint, Some(Ink::Faint));
        svg.line(&[(x, y - 4.0), (x + 24.0, y - 4.0)], 1.0, Ink::Paper);
    };
    key(svg, &level, "idle level");
    key(svg, &|svg, x| svg.line(&[(x, y - 4.0), (x + 24.0, y - 4.0)], 1.6, Ink::Accent), "a press begins");
    key(svg, &|svg, x| svg.dashed(&[(x, y - 4.0), (x + 24.0, y - 4.0)], 1.0, Ink::Accent), "it ends");
    if !tuned.films.is_empty() {
        let film =
            |svg: &mut Svg, x: f64| svg.cells(Tone::Hatch, std::iter::once(((x, y - 9.0), (24.0, 10.0))));
        key(svg, &film, "too long for a press");
    }
}

/// How often each count came; heights in equal factors, so that a thousandth shows.
fn histogram(svg: &mut Svg, recording: &Recording<'_>, tuned: &Tuned, [left, right]: [f64; 2]) {
    svg.text((left - 48.0, LOW_TOP - 26.0), Face::USUAL.bold(), "How often each count came");
    let (idle, touched) = tuned.medians;
    let reach = 0.5 * (touched - idle).abs();
    let (low, high) = ((idle.min(touched) - reach).max(0.0), idle.max(touched) + reach);
    let mut bins = [0_u32; BINS];
    for count in recording.counts {
        let bin = (f64::from(*count) - low) / (high - low) * BINS as f64;
        if bin >= 0.0 && bin < BINS as f64 {
            bins[bin as usize] += 1;
        }
    }
    let most = f64::from(bins.iter().copied().max().unwrap_or(1)).max(10.0);
    let (across, up) = (
        Axis::linear([low, high], [left, right]),
        Axis::log([0.7, 1.5 * most], [LOW_TOP + LOW_TALL, LOW_TOP]),
    );
    decades(svg, &up, [0.7, most], (left, right), "readings");
    let ticks = across.ticks(6);
    let words: Vec<(f64, String)> = ticks.iter().map(|&tick| (tick, axis::plain(tick, &ticks))).collect();
    axis::level(svg, &across, LOW_TOP + LOW_TALL, &words, "count");
    let wide = (right - left) / BINS as f64;
    for (at, count) in bins.iter().enumerate().filter(|(_, count)| **count > 0) {
        let y = up.at(f64::from(*count));
        svg.rect(
            (left + wide * at as f64, y),
            (wide, LOW_TOP + LOW_TALL - y),
            0.3,
            Ink::Faint,
            Some(Ink::Faint),
        );
    }
    let sign = if touched < idle { -1.0 } else { 1.0 };
    let threshold = across.at(idle + sign * f64::from(tuned.config.threshold));
    svg.line(&[(threshold, LOW_TOP - 4.0), (threshold, LOW_TOP + LOW_TALL)], 1.6, Ink::Accent);
    let mark = |svg: &mut Svg, at: f64, words: &str, ink: Ink| {
        svg.slip((at, LOW_TOP - 8.0), Face::SMALL.ink(ink).anchor(Anchor::Middle), words);
    };
    mark(svg, across.at(idle), "idle", Ink::Ink);
    mark(svg, across.at(touched), "touched", Ink::Ink);
    // Where the words above have no room for a third, it stands beside the line's foot.
    if (threshold - across.at(idle)).abs() > 40.0 && (threshold - across.at(touched)).abs() > 52.0 {
        mark(svg, threshold, "threshold", Ink::Accent);
    } else {
        let (x, anchor) =
            if threshold > f64::midpoint(left, right) { (-4.0, Anchor::End) } else { (4.0, Anchor::Start) };
        svg.slip((threshold + x, LOW_TOP + 12.0), Face::SMALL.ink(Ink::Accent).anchor(anchor), "threshold");
    }
}

/// Draws a line in one of the patterns.
type Pen = fn(&mut Svg, &[(f64, f64)], f64, Ink);

/// What a threshold costs: false presses a year and missed ones in a thousand.
fn costs(svg: &mut Svg, tuned: &Tuned, [left, right]: [f64; 2]) {
    svg.text((left - 48.0, LOW_TOP - 26.0), Face::USUAL.bold(), "What a threshold costs");
    let points = &tuned.curve;
    let ends =
        [points.first(), points.last()].map(|point| point.map_or(1.0, |point| f64::from(point.threshold)));
    let across = Axis::linear([0.0, ends[1].max(2.0)], [left, right]);
    let up = Axis::log(COSTS, [LOW_TOP + LOW_TALL, LOW_TOP]);
    decades(svg, &up, COSTS, (left, right), "a year, or in a thousand");
    let ticks = across.ticks(6);
    let words: Vec<(f64, String)> = ticks.iter().map(|&tick| (tick, axis::plain(tick, &ticks))).collect();
    axis::level(svg, &across, LOW_TOP + LOW_TALL, &words, "threshold, counts from the baseline");
    let line = |of: &dyn Fn(&Point) -> f64| -> Vec<(f64, f64)> {
        // A line ends where it leaves the paper.
        let inside = points.iter().filter(|point| of(point) >= COSTS[0]);
        inside.map(|point| (across.at(f64::from(point.threshold)), up.at(of(point)))).collect()
    };
    svg.dotted(&line(&|point| point.false_year.0), 1.4, Ink::Ink);
    svg.line(&line(&|point| point.false_year.1), 1.8, Ink::Ink);
    svg.dashed(&line(&|point| 1000.0 * point.missed), 1.8, Ink::Ink);
    let chosen = across.at(f64::from(tuned.config.threshold));
    svg.line(&[(chosen, LOW_TOP - 4.0), (chosen, LOW_TOP + LOW_TALL)], 1.6, Ink::Accent);
    let anchor = if chosen > right - 20.0 { Anchor::End } else { Anchor::Middle };
    svg.slip((chosen, LOW_TOP - 8.0), Face::SMALL.ink(Ink::Accent).anchor(anchor), "chosen");
    let y = LOW_TOP + LOW_TALL + 44.0;
    let mut x = left - 48.0;
    let keys: [(Pen, &str); 3] = [
        (Svg::line, "false presses a year"),
        (Svg::dotted, "by noise alone"),
        (Svg::dashed, "missed in a thousand"),
    ];
    for (pen, words) in keys {
        pen(svg, &[(x, y - 4.0), (x + 22.0, y - 4.0)], 1.6, Ink::Ink);
        svg.text((x + 26.0, y), Face::SMALL, words);
        x += 33.0 + 4.9 * words.chars().count() as f64;
    }
}

/// An upright axis in equal factors, a tick every ten.
fn decades(svg: &mut Svg, up: &Axis, [low, high]: [f64; 2], (x, across): (f64, f64), name: &str) {
    svg.line(&[(x, LOW_TOP), (x, LOW_TOP + LOW_TALL)], 1.0, Ink::Ink);
    svg.text((x - 48.0, LOW_TOP - 9.0), Face::SMALL, name);
    let all = (high.log10() - low.log10()).max(1.0);
    let step = (all / 4.0).ceil() as i32;
    let first = low.log10().ceil() as i32;
    for ten in (first..=high.log10().floor() as i32).step_by(step.max(1) as usize) {
        let value = 10_f64.powi(ten);
        let y = up.at(value);
        svg.dotted(&[(x, y), (across, y)], 0.5, Ink::Faint);
        svg.line(&[(x - 4.0, y), (x, y)], 0.9, Ink::Ink);
        let words = if ten < 0 { format!("{value:.*}", -ten as usize) } else { format!("{value:.0}") };
        svg.text((x - 7.0, y + 3.5), Face::SMALL.anchor(Anchor::End), &words);
    }
}
