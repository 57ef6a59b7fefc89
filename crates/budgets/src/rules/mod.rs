//! The rules of the budgets, one file each, and the order in which they are judged.

mod detail;
mod heat;
mod light;
mod memory;
mod pins;
mod plate;
mod power;
mod privacy;
mod radio;
mod safety;
mod stream;
mod timing;

pub(crate) use pins::words as pin_words;
pub(crate) use power::feed::own_regulator;

use crate::physics::Engine;
pub(crate) use detail::{HAND_M, edition, lens_to_plate_m, window_need_m};
pub(crate) use memory::LOW_WATER_B;
pub(crate) use radio::tells as tells_way;
pub(crate) use safety::count as safety_rules;
pub(crate) use timing::tells as tells_hearing;

use crate::rule::{Budget, Check, Compute, Found, Rule, Sense, Shown, Verdict};
use station::fields::FIELDS;
use station::plan::{Origin, Plan};

/// Every rule, budget by budget.
pub fn all() -> impl Iterator<Item = &'static Rule> {
    [
        pins::RULES,
        memory::RULES,
        stream::RULES,
        detail::RULES,
        light::RULES,
        radio::RULES,
        power::feed::RULES,
        power::life::RULES,
        heat::RULES,
        plate::RULES,
        timing::RULES,
        privacy::RULES,
        safety::RULES,
    ]
    .into_iter()
    .flatten()
}

/// Every check, budget by budget.
pub fn checks() -> impl Iterator<Item = &'static Check> {
    [
        pins::CHECKS,
        memory::CHECKS,
        stream::CHECKS,
        detail::CHECKS,
        light::CHECKS,
        radio::CHECKS,
        power::feed::CHECKS,
        power::life::CHECKS,
        heat::CHECKS,
        plate::CHECKS,
        timing::CHECKS,
        privacy::CHECKS,
    ]
    .into_iter()
    .chain(safety::CHECKS.iter().copied())
    .flatten()
}

/// Every finding code, each once.
pub fn codes() -> Vec<&'static str> {
    let mut codes: Vec<&str> = all()
        .map(|rule| rule.code)
        .chain(checks().map(|check| check.code))
        .filter(|code| !code.is_empty())
        .collect();
    codes.sort_unstable();
    codes.dedup();
    codes
}

/// A rule that only informs; the others start from it too.
const fn figure(
    budget: Budget,
    figure: &'static str,
    title: &'static str,
    unit: &'static str,
    value: Compute,
) -> Rule {
    Rule {
        budget,
        figure,
        title,
        unit,
        code: "",
        sense: Sense::AtMost,
        applies: always,
        value,
        limit: None,
        wanted: 0.0,
        horizon: f64::INFINITY,
        follows: &[],
        feeds: "",
        about: &[],
        tries: &[],
        source: "",
        says: nothing,
        to_do: nothing,
    }
}

fn always(_: &Plan) -> bool {
    true
}

/// Whether the plan's own text states a field whose path begins so.
fn tells(plan: &Plan, start: &str) -> bool {
    FIELDS
        .iter()
        .zip(&plan.origins)
        .any(|(field, origin)| matches!(origin, Origin::Given { .. }) && field.path.starts_with(start))
}

fn nothing(_: &mut Shown<'_, '_>) -> String {
    String::new()
}

/// A finding of a check.
fn found(verdict: Verdict, about: &str, says: impl Into<String>, to_do: &str) -> Vec<Found> {
    vec![Found { verdict, says: says.into(), about: about.into(), to_do: to_do.into() }]
}

/// The same in few words: nothing found.
fn fine() -> Vec<Found> {
    Vec::new()
}

/// "misses it by 224 kB" or "leaves only 3 kB", whichever is so.
fn gap(shown: &Shown<'_, '_>, sense: Sense, unit: &str) -> String {
    let margin = sense.margin(shown.value, shown.limit);
    let show = |margin: f64, unit: &str| match unit {
        "%" => percent(margin),
        "1/s" => format!("{margin:.1} a second"),
        "d" => format!("{:.0} days", margin / models::energy::DAY_S),
        _ => quantity::show(margin, unit),
    };
    match (shown.over, sense) {
        (true, Sense::AtMost) => format!("over by {}", show(-margin, unit)),
        (true, Sense::AtLeast) => format!("short by {}", show(-margin, unit)),
        (false, _) => match shown.fits {
            Some(fits) if fits < shown.plan.station.want.confidence => {
                format!("fits in {} such builds", in_builds(fits))
            }
            _ if shown.on_assumptions => "it fits, but on what is assumed".into(),
            _ => format!("only {} to spare", show(margin, unit)),
        },
    }
}

/// Says that a figure fits as such, but not surely enough.
fn unsure(f: &Shown<'_, '_>) -> String {
    match f.fits {
        Some(fits) if !f.over && fits < f.plan.station.want.confidence => {
            format!(" (so in {} such builds)", in_builds(fits))
        }
        _ if f.on_assumptions => " (it is, but on what is assumed)".into(),
        _ => String::new(),
    }
}

/// A part of a sentence, left out where one of its numbers is none: where most draws lie inside a model, the plan's own
/// values may yet lie outside it.
fn clause<const N: usize>(numbers: [f64; N], words: impl FnOnce([f64; N]) -> String) -> String {
    if numbers.iter().all(|number| number.is_finite()) { words(numbers) } else { String::new() }
}

/// A share in per cent: whole ones, or two digits of a small one.
pub fn percent(share: f64) -> String {
    match (share * 100.0).abs() {
        p if (99.95..100.0).contains(&p) => "almost 100 %".into(),
        p if p >= 9.95 || p == 0.0 => format!("{:.0} %", share * 100.0),
        p if p >= 0.095 => format!("{:.1} %", share * 100.0),
        p if p >= 0.001 => format!("{:.2} %", share * 100.0),
        _ => "under 0.001 %".into(),
    }
}

/// Two shares in per cent with as many digits as it takes to tell them apart.
pub(crate) fn percents(a: f64, b: f64) -> (String, String) {
    if percent(a) == percent(b) && (a - b).abs() > 1e-6 {
        return (format!("{:.1} %", a * 100.0), format!("{:.1} %", b * 100.0));
    }
    (percent(a), percent(b))
}

/// A probability as people say it; never 0 or 1, which no number of draws can show.
pub fn in_builds(probability: f64) -> String {
    match probability {
        p if p >= 0.995 => "more than 99 of 100".into(),
        p if p < 0.005 => "fewer than 1 of 100".into(),
        // Near the confidence that is wanted a tenth decides.
        p if p >= 0.9 => format!("{:.1} of 100", p * 100.0),
        p => format!("{} of 100", (p * 100.0).round()),
    }
}

/// The engine as checks use it.
type Stages<'a, 'p> = &'a mut Engine<'p>;
