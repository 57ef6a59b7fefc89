//! The year by hours at one door: when a caller's face can be told, why not, and when the sun looks into the lens.
//!
//! Days run from left to right, the hours of a day from top to bottom, in quarter hours of one year with weather. Tone
//! says who can be told: paper for every face, light for all but the darkest tenth, hatched for lamps that do it, dark
//! for nobody. Reads the stages of a plan; computes no light of its own.

use crate::sheet::{self, MARGIN, Title};
use crate::svg::{Anchor, Face, Ink, PAGE_WIDTH, Svg, Tone};
use budgets::assessment::Assessment;
use budgets::physics::Lit;
use budgets::series::{self, Why};
use station::plan::Plan;

const LEFT: f64 = 106.0;
const RIGHT: f64 = MARGIN;
const TOP: f64 = 92.0;
/// Height of an hour.
const HOUR: f64 = 14.0;
/// Between lines of text.
const LINE: f64 = 15.0;
/// More than the sun: no lamp gives a face as much.
const ENOUGH_LX: f64 = 1e5;
const SLOTS: usize = 96;
const DAYS: usize = 365;
/// Days before each month of a year without a leap day.
const MONTHS: [(&str, usize); 12] = [
    ("Jan", 0),
    ("Feb", 31),
    ("Mar", 59),
    ("Apr", 90),
    ("May", 120),
    ("Jun", 151),
    ("Jul", 181),
    ("Aug", 212),
    ("Sep", 243),
    ("Oct", 273),
    ("Nov", 304),
    ("Dec", 334),
];

/// The kinds of quarter hours, in the order of the legend.
const KINDS: [(Lit, Option<Tone>, &str); 5] = [
    (Lit::Day, None, "every face by daylight"),
    (Lit::Lamp, Some(Tone::Hatch), "every face by the lamps"),
    (Lit::Some, Some(Tone::Light), "a median face, not the darkest tenth"),
    (Lit::Against, Some(Tone::Middle), "nobody: the background is too bright"),
    (Lit::Dark, Some(Tone::Dark), "nobody: too dark"),
];

/// The chart, as SVG.
///
/// Cost: some 30 ms, since it makes the year by quarter hours.
///
/// # Errors
/// A sentence: why there is none.
pub fn svg(plan: &Plan, assessment: &Assessment) -> Result<String, Why> {
    let (chart, light) = series::light(plan)?;
    let verdict = sheet::verdict(assessment, "light");
    let title = Title::of(plan, "light by day and hour", &verdict);
    let mut svg = Svg::default();
    let says = "Light on a caller's face, by day of the year and hour of the day, local standard time";
    sheet::head(&mut svg, &title, says);
    let day_width = (PAGE_WIDTH - LEFT - RIGHT) / DAYS as f64;
    let x = |day: f64| LEFT + day * day_width;
    let y = |slot: f64| TOP + slot * HOUR / 4.0;
    for (kind, tone, _) in KINDS {
        let Some(tone) = tone else { continue };
        svg.cells(
            tone,
            runs(&chart.lit, |lit| *lit == kind).map(|(day, from, to)| {
                let corner = (x(day as f64), y(from as f64));
                (corner, (x(day as f64 + 1.0) - corner.0, y(to as f64) - corner.1))
            }),
        );
    }
    svg.cells(
        Tone::Accent,
        runs(&chart.sun, |sun| *sun).map(|(day, from, to)| {
            let corner = (x(day as f64), y(from as f64));
            (corner, (x(day as f64 + 1.0) - corner.0, y(to as f64) - corner.1))
        }),
    );
    let bottom = y(SLOTS as f64);
    svg.rect((LEFT, TOP), (x(DAYS as f64) - LEFT, bottom - TOP), 1.0, Ink::Ink, None);
    for hour in (0..=24).step_by(3) {
        let at = y(f64::from(hour) * 4.0);
        svg.line(&[(LEFT - 4.0, at), (LEFT, at)], 0.9, Ink::Ink);
        svg.text((LEFT - 7.0, at + 3.5), Face::SMALL.anchor(Anchor::End), &format!("{hour}:00"));
    }
    for (month, before) in MONTHS {
        let at = x(before as f64);
        svg.line(&[(at, bottom), (at, bottom + 5.0)], 0.9, Ink::Ink);
        svg.text((at + 3.0, bottom + 14.0), Face::SMALL, month);
    }
    call_hours(&mut svg, &chart.calls, y);
    let at = legend(&mut svg, bottom + 38.0);
    let backlit = sheet::figure(assessment, "backlit_share").and_then(|figure| figure.value);
    let at = figures(&mut svg, plan, &light, (chart.sun.contains(&true), backlit), at + 16.0);
    let at = sheet::title_block(&mut svg, &title, at + 14.0);
    let told = format!(
        "On {} of calls a median face can be told, one of the darkest tenth on {}.",
        percent(light.told[0].calls),
        percent(light.told[1].calls)
    );
    let name = format!("Light at {}, by day and hour", title.station);
    Ok(svg.finish(at + 24.0, &name, &told))
}

/// Runs of slots of one day for which a condition holds: day, first slot, slot after the last.
fn runs<'a, T>(
    slots: &'a [T],
    holds: impl Fn(&T) -> bool + 'a,
) -> impl Iterator<Item = (usize, usize, usize)> + 'a {
    slots.chunks_exact(SLOTS).enumerate().flat_map(move |(day, slots)| {
        let mut found = Vec::new();
        let mut from = None;
        for (slot, value) in slots.iter().enumerate() {
            match (holds(value), from) {
                (true, None) => from = Some(slot),
                (false, Some(first)) => {
                    found.push((day, first, slot));
                    from = None;
                }
                _ => {}
            }
        }
        found.extend(from.map(|first| (day, first, SLOTS)));
        found
    })
}

/// How many calls come in each hour: a bar beside the hours.
fn call_hours(svg: &mut Svg, calls: &[f64; 24], y: impl Fn(f64) -> f64) {
    let most = calls.iter().copied().fold(1e-9, f64::max);
    for (hour, share) in calls.iter().enumerate().filter(|(_, share)| **share > 0.0) {
        let (top, bottom) = (y(hour as f64 * 4.0), y(hour as f64 * 4.0 + 4.0));
        let long = 26.0 * share / most;
        svg.rect((MARGIN, top + 2.0), (long, bottom - top - 4.0), 0.5, Ink::Faint, Some(Ink::Faint));
    }
    svg.text((MARGIN, y(0.0) - 8.0), Face::SMALL, "calls by hour");
}

/// What the tones mean; the lowest point.
fn legend(svg: &mut Svg, y: f64) -> f64 {
    let mut at = y;
    let box_at = |svg: &mut Svg, at: f64, tone: Option<Tone>, words: &str| {
        let corner = (LEFT, at - 9.0);
        if let Some(tone) = tone {
            svg.cells(tone, std::iter::once((corner, (22.0, 11.0))));
        }
        svg.rect(corner, (22.0, 11.0), 0.8, Ink::Ink, None);
        svg.text((LEFT + 30.0, at), Face::USUAL, words);
    };
    for (_, tone, words) in KINDS {
        box_at(svg, at, tone, words);
        at += LINE;
    }
    box_at(
        svg,
        at,
        Some(Tone::Accent),
        "the sun stands in the picture, where no cloud covers it: glare, see below",
    );
    at + LINE
}

/// The figures that the chart sums up.
fn figures(
    svg: &mut Svg,
    plan: &Plan,
    light: &budgets::physics::Light,
    (sun, backlit): (bool, Option<f64>),
    y: f64,
) -> f64 {
    let s = &plan.station;
    let lux =
        |lux: f64| if lux >= ENOUGH_LX { "more than any lamp gives".into() } else { sheet::told(lux, "lx") };
    let needs = match light.needed_lx {
        [median, dark] if median.min(dark) >= ENOUGH_LX => {
            "At night no lamp is enough for either".to_string()
        }
        [median, dark] => format!(
            "At night a median face needs {} on it, one of the darkest tenth {}",
            lux(median),
            lux(dark)
        ),
    };
    let infrared = if light.infrared_lx > 0.0 {
        format!(", infrared as much as {}", sheet::told(light.infrared_lx, "lx"))
    } else {
        String::new()
    };
    let mut lines = vec![
        format!(
            "A median face can be told on {} of calls, one of the darkest tenth on {}.",
            percent(light.told[0].calls),
            percent(light.told[1].calls)
        ),
        format!("{needs}; lamps give {}{infrared}.", sheet::told(light.lamp_lx, "lx")),
        format!(
            "The wall faces {}; {} of its open light reaches a face; one year of weather at {}.",
            compass(s.site.facing_rad),
            percent(s.site.recess),
            latitude(s.site.latitude_rad)
        ),
    ];
    if let (true, Some(backlit)) = (sun, backlit) {
        lines.push(format!(
            "The sun in the picture is a glare, not yet a lost face: that depends on how much of the picture is bright. Too bright for a face is the background on {} of calls by day.",
            percent(backlit)
        ));
    }
    sheet::notes(svg, &lines, y)
}

fn percent(share: f64) -> String {
    format!("{:.0} %", 100.0 * share)
}

/// `240° (south-west)`.
fn compass(facing_rad: f64) -> String {
    const NAMES: [&str; 8] =
        ["north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"];
    let degrees = facing_rad.to_degrees().rem_euclid(360.0);
    let name = NAMES.get((degrees / 45.0).round() as usize % 8).copied().unwrap_or("");
    format!("{degrees:.0}° ({name})")
}

fn latitude(latitude_rad: f64) -> String {
    let degrees = latitude_rad.to_degrees();
    format!("{:.0}° {}", degrees.abs(), if degrees < 0.0 { "south" } else { "north" })
}

#[cfg(test)]
mod tests {
    use super::*;
    use budgets::assessment::assess;
    use budgets::study::Options;
    use station::sheets::Library;
    use station::text::Source;

    fn plan(more: &str) -> Plan {
        let text = format!("name = \"Gate & <yard>\"\n[board]\nsheet = \"wren\"\n{more}");
        Plan::read(Source::new("gate.toml", text), &Library::shipped()).unwrap()
    }

    #[test]
    fn runs_cover_each_slot_once() {
        let slots: Vec<u8> = (0..DAYS * SLOTS).map(|i| (i * i / 7 % 3) as u8).collect();
        let covered: usize = (0..3)
            .flat_map(|kind| runs(&slots, move |slot| *slot == kind))
            .map(|(_, from, to)| to - from)
            .sum();
        assert_eq!(covered, slots.len());
    }

    #[test]
    fn chart_is_small_and_only_there_when_the_wall_has_a_direction() {
        let draw = |plan: &Plan| svg(plan, &assess(plan, Options { draws: 0, seed: 1 }));
        assert!(draw(&plan("")).is_err());
        let svg = draw(&plan("[site]\nfacing = \"250 deg\"\n")).unwrap();
        assert!(svg.len() < 300_000, "{}", svg.len());
        assert!(svg.contains("Gate &amp; &lt;yard&gt;") && svg.contains("250° (west)"));
        assert!(!svg.contains("NaN"));
    }
}
