//! The level of the signal along its way, down to the station and up to the access point, loss by loss.
//!
//! One row a step, level from left to right: a bar from the level before to the level behind it. Reads a series and the
//! assessment's wanted room; computes no level but the running sum of the losses.

use crate::axis::{self, Axis};
use crate::sheet::{self, MARGIN, Title};
use crate::svg::{Anchor, Face, Ink, PAGE_WIDTH, Svg, Tone};
use budgets::assessment::Assessment;
use budgets::physics::{Meets, RadioPath, RadioWay};
use budgets::series::{self, Why};
use station::choices::Building;
use station::plan::Plan;

/// Left end of the levels.
pub const LEFT: f64 = 256.0;
/// Right end of the levels.
pub const RIGHT: f64 = 690.0;
const ROW: f64 = 21.0;
/// 5 and 95 % of a normal lie so many sigma from its middle.
const Z90: f64 = 1.645;

/// The drawing, as SVG.
///
/// # Errors
/// A sentence: why there is none.
pub fn svg(plan: &Plan, assessment: &Assessment) -> Result<String, Why> {
    let path = series::radio(plan)?;
    let verdict = sheet::verdict(assessment, "radio");
    let title = Title::of(plan, "level of the radio", &verdict);
    let mut svg = Svg::default();
    sheet::head(
        &mut svg,
        &title,
        "Level of the signal on its way, both directions, nominal values: each bar is what is lost or won there",
    );
    let wanted_db = sheet::figure(assessment, "fade_margin").and_then(|figure| figure.limit);
    let dbm = axis_of(&path);
    let building = plan.station.radio.building;
    let y = direction(&mut svg, &path, true, &dbm, building, wanted_db, 84.0);
    let y = direction(&mut svg, &path, false, &dbm, building, wanted_db, y + 30.0);
    let y = legend(&mut svg, y + 32.0);
    let of_builds = sheet::of_builds(assessment, "fade_margin");
    let lines = sentences(&path, wanted_db, &of_builds);
    let y = sheet::notes(&mut svg, &lines, y + 24.0);
    let y = sheet::title_block(&mut svg, &title, y + 8.0);
    Ok(svg.finish(y + 24.0, &format!("Level of the radio of {}", title.station), &lines.join(" ")))
}

/// Levels on the paper, dBm.
pub(crate) fn axis_of(path: &RadioPath) -> Axis {
    let ends =
        [path.down, path.up].map(|way| [way.sent_dbm, way.arrives_dbm - 2.0 * path.fading_db, way.needs_dbm]);
    let gains: f64 = path.steps.iter().map(|(_, change)| change.max(0.0)).sum();
    let most = ends.iter().flatten().copied().fold(f64::NEG_INFINITY, f64::max) + gains;
    let least = ends.iter().flatten().copied().fold(f64::INFINITY, f64::min);
    Axis::linear([(least / 10.0).floor() * 10.0, (most / 10.0).ceil() * 10.0], [LEFT, RIGHT])
}

fn direction(
    svg: &mut Svg,
    path: &RadioPath,
    down: bool,
    dbm: &Axis,
    building: Building,
    wanted_db: Option<f64>,
    y: f64,
) -> f64 {
    let (way, head, from, to) = if down {
        (path.down, "Down: what the station hears", "access point sends", "station hears")
    } else {
        (path.up, "Up: what the access point hears of the stream", "station sends", "access point hears")
    };
    svg.text((MARGIN, y), Face::USUAL.bold(), head);
    let mut steps = path.steps.clone();
    let walls = steps.iter().filter(|(meets, _)| matches!(meets, Meets::Wall(_))).count();
    if !down {
        steps.reverse();
    }
    let top = y + 8.0;
    let bottom = top + ROW * (steps.len() as f64 + 3.0) + 4.0;
    let ticks = dbm.ticks(8);
    for &tick in &ticks {
        svg.dotted(&[(dbm.at(tick), top), (dbm.at(tick), bottom)], 0.5, Ink::Faint);
    }
    let mut at = top + 0.5 * ROW + 2.0;
    let mut level = way.sent_dbm;
    label(svg, from, &level_words(level), at, false);
    point(svg, dbm.at(level), at);
    for (meets, change_db) in steps {
        let before = dbm.at(level);
        level += change_db;
        svg.line(&[(before, at), (before, at + ROW)], 0.6, Ink::Faint);
        at += ROW;
        let (left, width) = (before.min(dbm.at(level)), (dbm.at(level) - before).abs());
        svg.cells(Tone::Light, std::iter::once(((left, at - 4.0), (width, 8.0))));
        svg.rect((left, at - 4.0), (width, 8.0), 0.7, Ink::Ink, None);
        label(svg, &met(meets, building, walls), &change_words(change_db), at, true);
    }
    svg.line(&[(dbm.at(level), at), (dbm.at(level), at + ROW)], 0.6, Ink::Faint);
    at += ROW;
    let low = dbm.at(way.arrives_dbm - Z90 * path.fading_db);
    let high = dbm.at(way.arrives_dbm + Z90 * path.fading_db);
    svg.cells(Tone::Hatch, std::iter::once(((low, at - 5.0), (high - low, 10.0))));
    svg.rect((low, at - 5.0), (high - low, 10.0), 0.8, Ink::Ink, None);
    point(svg, dbm.at(way.arrives_dbm), at);
    label(svg, to, &level_words(way.arrives_dbm), at, false);
    at += ROW;
    room(svg, way, dbm, wanted_db, (top, at));
    let words: Vec<(f64, String)> = ticks.iter().map(|&tick| (tick, axis::plain(tick, &ticks))).collect();
    axis::level(svg, dbm, bottom, &words, "dBm");
    bottom + 20.0
}

/// What is needed, and the room to it, with the room that fading takes.
fn room(svg: &mut Svg, way: RadioWay, dbm: &Axis, wanted_db: Option<f64>, (top, y): (f64, f64)) {
    let room_db = way.arrives_dbm - way.needs_dbm;
    let short = wanted_db.is_some_and(|wanted| room_db < wanted);
    let ink = if short { Ink::Accent } else { Ink::Ink };
    let (needs, arrives) = (dbm.at(way.needs_dbm), dbm.at(way.arrives_dbm));
    svg.line(&[(needs, top), (needs, y + 6.0)], 1.6, Ink::Accent);
    svg.line(&[(needs, y), (arrives, y)], 1.4, ink);
    for x in [needs, arrives] {
        svg.line(&[(x, y - 4.0), (x, y + 4.0)], 1.4, ink);
    }
    if let Some(wanted) = wanted_db {
        let x = dbm.at(way.needs_dbm + wanted);
        svg.area(&[(x, y - 1.0), (x - 4.0, y - 8.0), (x + 4.0, y - 8.0)], Tone::Dark);
    }
    let lead = if room_db < 0.0 { "short by" } else { "room" };
    let words = format!("needed {}, {lead}", level_words(way.needs_dbm));
    let face = Face::SMALL.ink(ink);
    svg.text((MARGIN + 8.0, y + 3.5), if short { face.bold() } else { face }, &words);
    svg.text((PAGE_WIDTH - MARGIN, y + 3.5), face.bold().anchor(Anchor::End), &db_words(room_db.abs()));
}

fn point(svg: &mut Svg, x: f64, y: f64) {
    svg.circle((x, y), 3.5, 1.2, Ink::Ink, Some(Ink::Paper));
}

fn label(svg: &mut Svg, words: &str, number: &str, y: f64, inner: bool) {
    let face = if inner { Face::SMALL } else { Face::SMALL.ink(Ink::Ink) };
    svg.text((MARGIN + 8.0, y + 3.5), face, words);
    svg.text((PAGE_WIDTH - MARGIN, y + 3.5), Face::SMALL.ink(Ink::Ink).anchor(Anchor::End), number);
}

fn met(meets: Meets, building: Building, walls: usize) -> String {
    let through = match building {
        Building::Flat => "through a flat",
        Building::House => "through a house",
        Building::Office => "through offices",
        Building::Commercial => "through a shop or hall",
        Building::Open => "in the open",
    };
    match meets {
        Meets::Distance(metres) => format!("{} {through}", sheet::told(metres, "m")),
        Meets::Floors(1) => "one floor".into(),
        Meets::Floors(count) => format!("{count} floors"),
        Meets::Wall(_) if walls == 1 => "the wall".into(),
        Meets::Wall(number) => format!("wall {number}"),
        Meets::Foil => "foil".into(),
        Meets::Coated => "coated glass".into(),
        Meets::Antenna => "the station's antenna in its case".into(),
        Meets::Place => "this place against others".into(),
        Meets::Read => "the whole way, as read at the place".into(),
    }
}

fn legend(svg: &mut Svg, y: f64) -> f64 {
    let mut x = MARGIN;
    let middle = y - 3.5;
    svg.line(&[(x + 12.0, middle - 6.0), (x + 12.0, middle + 6.0)], 1.6, Ink::Accent);
    svg.text((x + 20.0, y), Face::SMALL, "needed at the stream's rate");
    x += 186.0;
    svg.cells(Tone::Hatch, std::iter::once(((x, middle - 5.0), (24.0, 10.0))));
    svg.rect((x, middle - 5.0), (24.0, 10.0), 0.8, Ink::Ink, None);
    svg.text((x + 30.0, y), Face::SMALL, "fading, 90 of 100 minutes");
    x += 200.0;
    svg.area(&[(x + 6.0, middle + 4.0), (x + 2.0, middle - 3.0), (x + 10.0, middle - 3.0)], Tone::Dark);
    svg.text((x + 16.0, y), Face::SMALL, "room wanted: what fading takes in one minute of a hundred");
    y
}

fn sentences(path: &RadioPath, wanted_db: Option<f64>, of_builds: &str) -> Vec<String> {
    let room = |way: RadioWay| way.arrives_dbm - way.needs_dbm;
    let (down, up) = (room(path.down), room(path.up));
    let words = |db: f64| {
        if db < 0.0 { format!("{} too little", db_words(-db)) } else { format!("{} of room", db_words(db)) }
    };
    let worse = if up < down { "up" } else { "down" };
    let wanted = wanted_db.map_or(String::new(), |wanted| format!(", {} wanted", db_words(wanted)));
    let mut lines = vec![format!(
        "The worse way is {worse}: {} at the rate the stream needs, number {} of the radio's 8 rates from the slowest{wanted}; the other way has {}. Room: what arrives over what is needed; nominal{}.",
        words(down.min(up)),
        path.rate + 1,
        words(down.max(up)),
        of_builds
    )];
    if path.clock_loss_db > 0.0 {
        lines.push(format!(
            "Of what the station needs, {} are its own camera clock's, which lies in the channel.",
            db_words(path.clock_loss_db)
        ));
    }
    lines
}

fn db_words(db: f64) -> String {
    format!("{db:.1} dB").replace('-', "−")
}

/// A change with its sign.
fn change_words(db: f64) -> String {
    format!("{db:+.1} dB").replace('-', "−")
}

fn level_words(dbm: f64) -> String {
    format!("{dbm:.1} dBm").replace('-', "−")
}
