//! The voltage along the feed, one row a state: what the source gives, what the guard and the run take, what is left.
//!
//! Reads a series and the assessment's intervals; computes no volt.

use crate::axis::{self, Axis};
use crate::sheet::{self, MARGIN, Title, told};
use crate::svg::{Anchor, Face, Ink, PAGE_WIDTH, Svg, Tone};
use budgets::assessment::Assessment;
use budgets::physics::{Doing, FeedPoint};
use budgets::series::{self, FeedSeries, Why};
use station::choices::SupplyKind;
use station::plan::Plan;

/// Left end of the volts.
pub const LEFT: f64 = 190.0;
/// Right end of the volts.
pub const RIGHT: f64 = 520.0;
const TOP: f64 = 116.0;
const ROW: f64 = 40.0;
/// Where the numbers stand.
const NUMBERS: [f64; 4] = [586.0, 646.0, 706.0, PAGE_WIDTH - MARGIN];

/// The drawing, as SVG.
///
/// # Errors
/// A sentence: why there is none.
pub fn svg(plan: &Plan, assessment: &Assessment) -> Result<String, Why> {
    let feed = series::feed(plan)?;
    let verdict = sheet::verdict(assessment, "power");
    let title = Title::of(plan, "volts along the feed", &verdict);
    let mut svg = Svg::default();
    sheet::head(
        &mut svg,
        &title,
        "Volts from the source over the run to the regulator and the rail behind it, by what the station does; nominal values",
    );
    let volts = Axis::linear([0.0, most_v(&feed)], [LEFT, RIGHT]);
    let bottom = TOP + ROW * feed.points.len() as f64;
    let bell = plan.station.supply.kind == SupplyKind::Bell;
    let heads = ["source", if bell { "rectifier" } else { "guard" }, "regulator", "rail"];
    for (head, x) in heads.iter().zip(NUMBERS) {
        svg.text((x, TOP - 12.0), Face::SMALL.anchor(Anchor::End), head);
    }
    let ticks = volts.ticks(7);
    for &tick in &ticks {
        svg.dotted(&[(volts.at(tick), TOP - 4.0), (volts.at(tick), bottom)], 0.5, Ink::Faint);
    }
    limits(&mut svg, &feed, &volts, bottom);
    for (at, point) in feed.points.iter().enumerate() {
        row(&mut svg, assessment, &feed, point, &volts, TOP + ROW * (at as f64 + 0.5));
    }
    let words: Vec<(f64, String)> = ticks.iter().map(|&tick| (tick, axis::plain(tick, &ticks))).collect();
    axis::level(&mut svg, &volts, bottom, &words, "volts");
    let y = legend(&mut svg, bottom + 52.0, heads[1]);
    let lines = sentences(&feed);
    let y = sheet::notes(&mut svg, &lines, y + 24.0);
    let y = sheet::title_block(&mut svg, &title, y + 8.0);
    Ok(svg.finish(y + 24.0, &format!("Volts along the feed of {}", title.station), &lines.join(" ")))
}

/// End of the volts' axis.
pub fn most_v(feed: &FeedSeries) -> f64 {
    1.06 * feed.points.iter().flat_map(|point| point.volts).fold(feed.least_board_v, f64::max)
}

/// The figure that is the voltage at the board in this state.
fn figure(doing: Doing) -> &'static str {
    match doing {
        Doing::Burst => "volt_at_board",
        Doing::Start => "volt_at_start",
        Doing::Release => "volt_at_release",
        Doing::Rest | Doing::Call => "",
    }
}

fn words(doing: Doing) -> [&'static str; 2] {
    match doing {
        Doing::Rest => ["at rest", "between calls"],
        Doing::Call => ["in a call", "between bursts"],
        Doing::Burst => ["transmit burst", "at its end, in a call"],
        Doing::Start => ["start", "at the end of its peak"],
        Doing::Release => ["release", "the lock draws too"],
    }
}

fn row(svg: &mut Svg, a: &Assessment, feed: &FeedSeries, point: &FeedPoint, volts: &Axis, y: f64) {
    let [name, more] = words(point.doing);
    let [source, guard, board, rail] = point.volts.map(|v| volts.at(v));
    // A hair below what is needed is no failure of arithmetic's last digit.
    let down = point.volts[2] < feed.least_board_v || point.volts[3] < feed.least_rail_v - 1e-9;
    let ink = if down { Ink::Accent } else { Ink::Ink };
    svg.text((MARGIN, y - 2.0), Face::USUAL.bold().ink(ink), name);
    svg.text((MARGIN, y + 11.0), Face::SMALL, if down { "not enough arrives" } else { more });
    svg.dotted(&[(rail, y), (board, y)], 1.4, Ink::Ink);
    // Above the dots, which would hide a small loss.
    let above = y - 9.0;
    svg.line(&[(board, above), (guard, above)], 4.0, Ink::Ink);
    svg.line(&[(guard, above), (source, above)], 1.2, Ink::Ink);
    svg.dotted(&[(board, y), (source, y)], 1.4, Ink::Ink);
    if let Some((low, high)) =
        sheet::figure(a, figure(point.doing)).and_then(|figure| figure.low.zip(figure.high))
    {
        let (low, high) = (volts.at(low), volts.at(high));
        svg.line(&[(low, y + 9.0), (high, y + 9.0)], 1.2, Ink::Ink);
        for x in [low, high] {
            svg.line(&[(x, y + 6.0), (x, y + 12.0)], 1.2, Ink::Ink);
        }
    }
    svg.circle((source, y), 4.0, 1.2, Ink::Ink, Some(Ink::Paper));
    svg.circle((board, y), 4.0, 1.2, Ink::Ink, Some(ink));
    svg.rect((rail - 3.5, y - 3.5), (7.0, 7.0), 1.2, Ink::Ink, Some(Ink::Paper));
    for (value, x) in point.volts.iter().zip(NUMBERS) {
        svg.text((x, y + 4.0), Face::SMALL.ink(ink).anchor(Anchor::End), &told(*value, "V"));
    }
}

/// The least that board and rail must have.
fn limits(svg: &mut Svg, feed: &FeedSeries, volts: &Axis, bottom: f64) {
    let (rail, board) = (volts.at(feed.least_rail_v), volts.at(feed.least_board_v));
    svg.cells(Tone::Hatch, std::iter::once(((LEFT, TOP - 4.0), (rail - LEFT, bottom - TOP + 4.0))));
    svg.line(&[(rail, TOP - 4.0), (rail, bottom)], 1.0, Ink::Accent);
    svg.dashed(&[(board, TOP - 4.0), (board, bottom)], 1.4, Ink::Accent);
    let mut words = [
        (rail, format!("rail down below {}", told(feed.least_rail_v, "V"))),
        (board, format!("regulator down below {}", told(feed.least_board_v, "V"))),
    ];
    // Labels hang to either side, that of the higher limit to the right: with a boosting regulator it is the rail's.
    words.sort_by(|a, b| a.0.total_cmp(&b.0));
    let sides = [(-5.0, Anchor::End), (5.0, Anchor::Start)];
    for ((x, words), (aside, anchor)) in words.into_iter().zip(sides) {
        svg.line(&[(x, TOP - 32.0), (x, TOP - 4.0)], 0.6, Ink::Accent);
        svg.text((x + aside, TOP - 26.0), Face::SMALL.ink(Ink::Accent).anchor(anchor), &words);
    }
}

fn legend(svg: &mut Svg, y: f64, guard: &str) -> f64 {
    let mut x = MARGIN;
    let mut mark = |svg: &mut Svg, words: &str, draw: &dyn Fn(&mut Svg, f64)| {
        draw(svg, x);
        svg.text((x + 30.0, y), Face::SMALL, words);
        x += 44.0 + 6.0 * words.chars().count() as f64;
    };
    let middle = y - 3.5;
    mark(svg, "source", &|svg, x| svg.circle((x + 12.0, middle), 4.0, 1.2, Ink::Ink, Some(Ink::Paper)));
    mark(svg, &format!("lost in the {guard}"), &|svg, x| {
        svg.line(&[(x, middle), (x + 24.0, middle)], 1.2, Ink::Ink);
    });
    mark(svg, "lost in the run", &|svg, x| svg.line(&[(x, middle), (x + 24.0, middle)], 4.0, Ink::Ink));
    mark(svg, "regulator", &|svg, x| svg.circle((x + 12.0, middle), 4.0, 1.2, Ink::Ink, Some(Ink::Ink)));
    mark(svg, "rail", &|svg, x| {
        svg.rect((x + 8.5, middle - 3.5), (7.0, 7.0), 1.2, Ink::Ink, Some(Ink::Paper));
    });
    mark(svg, "regulator, 5 to 95 of 100 builds", &|svg, x| {
        svg.line(&[(x, middle), (x + 24.0, middle)], 1.2, Ink::Ink);
        for end in [x, x + 24.0] {
            svg.line(&[(end, middle - 3.0), (end, middle + 3.0)], 1.2, Ink::Ink);
        }
    });
    y
}

fn sentences(feed: &FeedSeries) -> Vec<String> {
    let worst = feed.points.iter().min_by(|a, b| a.volts[2].total_cmp(&b.volts[2]));
    let worst = worst.map_or(String::new(), |point| {
        format!(
            "Least arrives in this state: {}, {} at the regulator.",
            words(point.doing)[0],
            told(point.volts[2], "V")
        )
    });
    vec![
        worst,
        format!(
            "The regulator, {}, keeps the rail up from {} on; the rail itself must have {}.",
            if feed.before_board { "before the board" } else { "the board's own" },
            told(feed.least_board_v, "V"),
            told(feed.least_rail_v, "V")
        ),
    ]
}
