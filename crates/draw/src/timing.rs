//! From the press to somebody who knows, step by step, and who is still at the door meanwhile.
//!
//! Time runs from left to right in equal factors: tenths of a second and minutes both have room. A bar runs from the
//! median of the step before to its own, the whisker from 5 to 95 of 100 presses. Reads a series; computes no time.

use crate::axis::{self, Axis};
use crate::sheet::{self, MARGIN, Title, told};
use crate::svg::{Anchor, Face, Ink, PAGE_WIDTH, Svg, Tone};
use crate::wrap::capital;
use budgets::assessment::Assessment;
use budgets::physics::{Fall, LONGEST_S, Via, Waterfall};
use budgets::rules::percent;
use budgets::series::{self, Why};
use models::timing::chain::Stage;
use station::choices::{Phone, Sounder};
use station::plan::Plan;

/// Left end of the times.
pub const LEFT: f64 = 214.0;
/// Right end of the times.
pub const RIGHT: f64 = 632.0;
/// Ends of the times, s.
pub const ENDS_S: [f64; 2] = [0.02, 900.0];
const TOP: f64 = 92.0;
const ROW: f64 = 19.0;
/// Where medians and tails stand.
const MEDIAN_X: f64 = 692.0;
const TAIL_X: f64 = PAGE_WIDTH - MARGIN;

/// The times' axis.
pub(crate) fn time_axis() -> Axis {
    Axis::log(ENDS_S, [LEFT, RIGHT])
}

/// The drawing, as SVG.
///
/// # Errors
/// A sentence: why there is none.
pub fn svg(plan: &Plan, assessment: &Assessment) -> Result<String, Why> {
    let falls = series::timing(plan)?;
    let verdict = sheet::verdict(assessment, "timing");
    let title = Title::of(plan, "from press to picture", &verdict);
    let mut svg = Svg::default();
    sheet::head(
        &mut svg,
        &title,
        "When each step from the press on is done, nominal values; weak air, a busy service and outages are in it",
    );
    let time = time_axis();
    svg.text((MEDIAN_X, TOP - 10.0), Face::SMALL.anchor(Anchor::End), "median");
    svg.text((TAIL_X, TOP - 10.0), Face::SMALL.anchor(Anchor::End), "95 of 100");
    let rows = falls.falls.len() as f64;
    let grid = |svg: &mut Svg, from: f64, to: f64| {
        for (tick, _) in ticks() {
            svg.dotted(&[(time.at(tick), from), (time.at(tick), to)], 0.5, Ink::Faint);
        }
    };
    let groups = 1.0 + falls.falls.windows(2).filter(|pair| pair[0].via != pair[1].via).count() as f64;
    let bottom = TOP + ROW * (rows + 3.0) + 10.0 * groups + 8.0;
    grid(&mut svg, TOP - 4.0, bottom);
    let mut y = felt(&mut svg, &falls, &time, TOP + 8.0);
    let mut via = Via::All;
    for fall in &falls.falls {
        if fall.via != via {
            y += 10.0;
            via = fall.via;
        }
        y += ROW;
        row(&mut svg, plan, fall, &time, y);
    }
    y += 10.0;
    for (words, done_s, wanted_s) in [
        (
            "somebody has heard",
            falls.heard_s,
            sheet::figure(assessment, "heard_tail")
                .or_else(|| sheet::figure(assessment, "heard_tail_awake"))
                .and_then(|f| f.limit),
        ),
        ("somebody sees a picture", falls.seen_s, None),
    ] {
        y += ROW;
        whole(&mut svg, words, done_s, wanted_s, &time, y);
    }
    axis::level(&mut svg, &time, bottom, &ticks(), "since the press");
    let y = visitors(&mut svg, &falls, &time, bottom + 62.0);
    let y = legend(&mut svg, y + 54.0);
    let tail = ["heard_tail", "heard_tail_awake"]
        .into_iter()
        .find(|name| sheet::figure(assessment, name).is_some_and(|figure| figure.low.is_some()));
    let of_builds = tail.map_or(String::new(), |tail| sheet::of_builds(assessment, tail));
    let lines = sentences(&falls, &of_builds);
    let y = sheet::notes(&mut svg, &lines, y + 24.0);
    let y = sheet::title_block(&mut svg, &title, y + 8.0);
    Ok(svg.finish(y + 24.0, &format!("From press to picture at {}", title.station), &lines.join(" ")))
}

fn ticks() -> Vec<(f64, String)> {
    let at = [0.03, 0.1, 0.3, 1.0, 3.0, 10.0, 30.0, 60.0, 180.0, 600.0];
    at.into_iter().map(|time_s| (time_s, told(time_s, "s"))).collect()
}

fn felt(svg: &mut Svg, falls: &Waterfall, time: &Axis, y: f64) -> f64 {
    svg.text((MARGIN + 8.0, y + 3.5), Face::SMALL.ink(Ink::Ink).bold(), "the caller knows it was felt");
    let x = time.at(falls.felt_s);
    svg.line(&[(time.at(0.0), y), (x, y)], 0.8, Ink::Ink);
    svg.circle((x, y), 3.5, 1.2, Ink::Ink, Some(Ink::Ink));
    svg.text((TAIL_X, y + 3.5), Face::SMALL.ink(Ink::Ink).anchor(Anchor::End), &told(falls.felt_s, "s"));
    y + 6.0
}

fn row(svg: &mut Svg, plan: &Plan, fall: &Fall, time: &Axis, y: f64) {
    svg.text((MARGIN + 8.0, y + 3.5), Face::SMALL, &name(plan, fall));
    let (from, to) = (time.at(fall.from_s), time.at(fall.done_s[1]));
    let corner = (from, y - 4.0);
    svg.cells(Tone::Light, std::iter::once((corner, (to - from, 8.0))));
    svg.rect(corner, (to - from, 8.0), 0.7, Ink::Ink, None);
    whisker(svg, fall.done_s, time, y);
    numbers(svg, fall.done_s, y);
}

/// From the 5 % to the 95 % point; open at the right end where it lies beyond.
fn whisker(svg: &mut Svg, [low, _, high]: [f64; 3], time: &Axis, y: f64) {
    let (from, to) = (time.at(low), time.at(high));
    svg.line(&[(from, y), (to, y)], 1.1, Ink::Ink);
    svg.line(&[(from, y - 3.0), (from, y + 3.0)], 1.1, Ink::Ink);
    if high <= ENDS_S[1] {
        svg.line(&[(to, y - 3.0), (to, y + 3.0)], 1.1, Ink::Ink);
    } else {
        svg.area(&[(to, y), (to - 6.0, y - 3.5), (to - 6.0, y + 3.5)], Tone::Dark);
    }
}

fn numbers(svg: &mut Svg, done_s: [f64; 3], y: f64) {
    let face = Face::SMALL.ink(Ink::Ink).anchor(Anchor::End);
    let words = |time_s: f64| if time_s < LONGEST_S { told(time_s, "s") } else { "not that day".into() };
    svg.text((MEDIAN_X, y + 3.5), face, &words(done_s[1]));
    svg.text((TAIL_X, y + 3.5), face, &words(done_s[2]));
}

fn whole(svg: &mut Svg, words: &str, done_s: [f64; 3], wanted_s: Option<f64>, time: &Axis, y: f64) {
    let late = wanted_s.is_some_and(|wanted_s| done_s[2] > wanted_s);
    let ink = if late { Ink::Accent } else { Ink::Ink };
    svg.text((MARGIN + 8.0, y + 3.5), Face::SMALL.ink(ink).bold(), words);
    whisker(svg, done_s, time, y);
    if done_s[1] < LONGEST_S {
        svg.circle((time.at(done_s[1]), y), 3.5, 1.2, Ink::Ink, Some(Ink::Ink));
    }
    if let Some(wanted_s) = wanted_s {
        let x = time.at(wanted_s);
        svg.line(&[(x, y - 8.0), (x, y + 8.0)], 1.6, Ink::Accent);
    }
    numbers(svg, done_s, y);
}

/// Who is still there, as a curve over the same times.
fn visitors(svg: &mut Svg, falls: &Waterfall, time: &Axis, top: f64) -> f64 {
    const TALL: f64 = 96.0;
    let share = Axis::linear([0.0, 1.0], [top + TALL, top]);
    svg.text((MARGIN, top - 4.0), Face::USUAL.bold(), "Visitors still there");
    axis::upright(svg, &Axis::linear([0.0, 100.0], [top + TALL, top]), (LEFT, RIGHT), 4, "of 100");
    let curve: Vec<(f64, f64)> =
        falls.still_there.iter().map(|(s, still)| (time.at(*s), share.at(*still))).collect();
    let mut area = vec![(LEFT, share.at(0.0))];
    area.extend(curve.first().map(|first| (LEFT, first.1)));
    area.extend(&curve);
    area.push((RIGHT, share.at(0.0)));
    svg.area(&area, Tone::Hatch);
    svg.line(&curve, 2.0, Ink::Ink);
    for (at, done_s) in [falls.heard_s[1], falls.seen_s[1]].into_iter().enumerate() {
        if done_s < LONGEST_S {
            let x = time.at(done_s);
            svg.dashed(&[(x, top - 6.0), (x, top + TALL)], 1.0, Ink::Ink);
            // The earlier one's word stands left of its line, the later one's right.
            let (x, anchor, words) =
                if at == 0 { (x - 4.0, Anchor::End, "heard") } else { (x + 4.0, Anchor::Start, "seen") };
            svg.text((x, top - 8.0), Face::SMALL.ink(Ink::Ink).anchor(anchor), words);
        }
    }
    axis::level(svg, time, top + TALL, &ticks(), "since the press");
    top + TALL
}

fn legend(svg: &mut Svg, y: f64) -> f64 {
    let x = MARGIN;
    let middle = y - 3.5;
    svg.cells(Tone::Light, std::iter::once(((x, middle - 4.0), (24.0, 8.0))));
    svg.rect((x, middle - 4.0), (24.0, 8.0), 0.7, Ink::Ink, None);
    svg.text((x + 30.0, y), Face::SMALL, "the step, median to median");
    let x = x + 190.0;
    svg.line(&[(x, middle), (x + 24.0, middle)], 1.1, Ink::Ink);
    for end in [x, x + 24.0] {
        svg.line(&[(end, middle - 3.0), (end, middle + 3.0)], 1.1, Ink::Ink);
    }
    svg.text((x + 30.0, y), Face::SMALL, "done for 5 to 95 of 100 presses");
    let x = x + 220.0;
    svg.line(&[(x + 12.0, middle - 7.0), (x + 12.0, middle + 7.0)], 1.6, Ink::Accent);
    svg.text((x + 20.0, y), Face::SMALL, "wanted for 95 of 100 presses");
    y
}

fn name(plan: &Plan, fall: &Fall) -> String {
    let by = match fall.via {
        Via::All | Via::Wire => "",
        Via::Phone => "phone: ",
        Via::Sounder if plan.station.notice.sounder == Sounder::Page => "page: ",
        Via::Sounder => "sounder: ",
    };
    let step = match fall.stage {
        Stage::Detect => "the press is told from noise",
        Stage::Wake => "wake",
        Stage::Boot => "wake, the program starts",
        Stage::Join => "join the network",
        Stage::Keys => "exchange of keys",
        Stage::Address => "an address",
        Stage::Name => "the service's name",
        Stage::Connect => "connect",
        Stage::Queue => "behind a queued picture",
        Stage::Publish => "the press is sent",
        Stage::Service => "the service passes it on",
        Stage::Notice if fall.via == Via::Phone && plan.station.notice.phone == Phone::Notice => "notice",
        Stage::Notice => "it sounds",
        Stage::Hear if fall.via == Via::Wire => "chime on its wire: heard",
        Stage::Hear => "heard",
        Stage::Reach => "taken up",
        Stage::Picture => "picture",
    };
    format!("{by}{step}")
}

fn sentences(falls: &Waterfall, of_builds: &str) -> Vec<String> {
    let [_, heard, tail] = falls.heard_s;
    let words = |time_s: f64| {
        if time_s < LONGEST_S { format!("within {}", told(time_s, "s")) } else { "not that day".into() }
    };
    let [in_time, seen] = falls.in_time;
    vec![
        format!(
            "Half of the presses are heard {}, 95 of 100 {}: nominal{of_builds}.",
            words(heard),
            words(tail)
        ),
        format!(
            "{} of visitors are heard before they leave, {} are seen; couriers wait 12 s (5 to 35), guests 30 s (12 to 80): typical, from memory.",
            capital(&percent(in_time)),
            percent(seen)
        ),
    ]
}
