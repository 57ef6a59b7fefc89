//! Pages that are not written but follow from tables: fields, parts and figures.
//!
//! The field table and the rules already say meaning, unit, range, default and source; saying it again here would only
//! let the two drift apart.

use super::{Fact, Page, folded};
use crate::rule::{Rule, Sense};
use crate::rules::pin_words::capital;
use models::pins::camera::CameraSignal;
use station::fields::{FIELDS, Field, Kind, Nature, PARTS};
use station::parts::{bus_key, line_name};
use station::reach::reach;
use station::sheets::Library;

/// The page of a field, by its folded path.
pub(super) fn field(key: &str) -> Option<Page> {
    FIELDS.iter().find(|field| folded(field.path) == key).map(field_page)
}

fn field_page(field: &'static Field) -> Page {
    let mut facts = vec![Fact::new("Written", written(field))];
    facts.push(match field.assumed {
        "" => Fact::new("If not said", "not known; figures that need it may stay unknown"),
        assumed => Fact::new("If not said", assumed),
    });
    if !field.source.is_empty() {
        facts.push(Fact::new("Source", format!("{} (of the value used when nothing is said)", field.source)));
    }
    facts.push(Fact::new("Who changes it", nature(field.nature)));
    if let Some(reach) = reach(field.path) {
        facts.push(Fact::new("On the board", reach.takes()));
    }
    if !field.ask.is_empty() {
        facts.push(Fact::new("Find it out", field.ask));
    }
    let see = findings_of(field.path);
    Page {
        kind: "field",
        name: field.path.into(),
        line: sentence(field.help),
        text: String::new(),
        facts,
        see,
    }
}

/// The page of a pin's key: `pins.` and a demand that ships, or `camera_bus.` and one of its lines.
pub(super) fn pin(key: &str) -> Option<Page> {
    let (table, name) = key.split_once('.')?;
    let demands = Library::shipped();
    let (path, line, written) = match table {
        "pins" => {
            let sheet = demands.names("demand").into_iter().find(|sheet| folded(sheet) == name)?.to_string();
            let line = format!("The pin of the {}.", sheet.replace('-', " "));
            (format!("pins.{}", sheet.replace('-', "_")), line, "\"any\", or a pin such as 13")
        }
        "camera bus" => {
            let signals =
                CameraSignal::REQUIRED.into_iter().chain([CameraSignal::Reset, CameraSignal::PowerDown]);
            let signal = signals.into_iter().find(|signal| folded(&bus_key(*signal)) == name)?;
            let line = format!("The pin of {} on the camera bus.", line_name(signal));
            (format!("camera_bus.{}", bus_key(signal)), line, "in the board's sheet, a pin such as 39")
        }
        _ => return None,
    };
    let reach = reach(&path).map(|reach| Fact::new("On the board", reach.takes()));
    let facts = std::iter::once(Fact::new("Written", written)).chain(reach).collect();
    let see = vec!["pins".into(), "marked line".into()];
    Some(Page { kind: "field", name: path, line, text: String::new(), facts, see })
}

/// Codes of the findings that stand on a field or may change it, each once.
fn findings_of(path: &str) -> Vec<String> {
    let rules = crate::rules::all().filter(|rule| rule.about.contains(&path) || rule.tries.contains(&path));
    let checks = crate::rules::checks().filter(|check| check.tries.contains(&path));
    let mut codes: Vec<String> = Vec::new();
    for code in rules.map(|rule| rule.code).chain(checks.map(|check| check.code)) {
        if !code.is_empty() && !codes.iter().any(|known| known == code) {
            codes.push(code.into());
        }
    }
    codes
}

/// How a plan writes the field: form, unit and range.
fn written(field: &Field) -> String {
    match field.kind {
        // A pure number's unit symbol is "1", which would only puzzle.
        Kind::Number { unit: "1", low, high } => format!("a number from {low} to {high}; may have a spread"),
        Kind::Number { unit, low, high } => format!(
            "a quantity in {unit} or a unit of the same kind, {} to {}; may have a spread",
            quantity::show(low, unit),
            quantity::show(high, unit)
        ),
        Kind::Count { low, high } => format!("a whole number from {low} to {high}"),
        Kind::YesNo => "true or false".into(),
        Kind::Choice { names } => format!("one of {}", names.join(", ")),
        Kind::Size => "a picture size such as 800x600".into(),
    }
}

fn nature(nature: Nature) -> &'static str {
    match nature {
        Nature::Choice => "you decide it; a remedy may change it",
        Nature::Fact => "a property of the part: only another part, or a measurement, changes it",
        Nature::Site => "a property of the place and its people: no remedy changes it",
        Nature::Wish => "you want it: a remedy never lowers it",
    }
}

/// The page of a part of the plan: its fields.
pub(super) fn part(key: &str) -> Option<Page> {
    let (name, meaning) = PARTS.iter().find(|(name, _)| *name == key)?;
    Some(Page {
        kind: "part",
        name: format!("[{name}]"),
        line: meaning.trim().into(),
        text: String::new(),
        facts: FIELDS
            .iter()
            .filter(|field| field.part() == *name)
            .map(|field| Fact::new(field.path, field.help))
            .collect(),
        see: Vec::new(),
    })
}

/// For a term that also names a part: the keys that a plan has for it.
pub(super) fn fields_of_part(names: &[&str]) -> Option<Fact> {
    let paths: Vec<&str> =
        FIELDS.iter().filter(|field| names.contains(&field.part())).map(|field| field.path).collect();
    (!paths.is_empty()).then(|| Fact::new("In the plan", paths.join(", ")))
}

/// The page of a figure, by its folded name in JSON.
pub(super) fn figure(key: &str) -> Option<Page> {
    let rule = crate::rules::all().find(|rule| folded(rule.figure) == key)?;
    let mut facts = vec![
        Fact::new("Budget", rule.budget.name()),
        Fact::new("Unit", if rule.unit == "1" { "a plain number or share" } else { rule.unit }),
        Fact::new("Limit", limit(rule)),
    ];
    if !rule.source.is_empty() {
        facts.push(Fact::new("Source", rule.source));
    }
    let mut see: Vec<String> = Vec::new();
    if !rule.code.is_empty() {
        see.push(rule.code.into());
    }
    see.extend(rule.about.iter().map(|path| String::from(*path)));
    Some(Page {
        kind: "figure",
        name: rule.figure.into(),
        line: sentence(rule.title),
        text: String::new(),
        facts,
        see,
    })
}

fn limit(rule: &Rule) -> &'static str {
    match (rule.limit.is_some(), rule.sense) {
        (false, _) => "none; it informs and takes part in no verdict",
        (true, Sense::AtMost) => "must stay at or below one",
        (true, Sense::AtLeast) => "must reach one",
    }
}

/// Where a finding's figure comes from, for its page.
pub(super) fn figure_source(code: &str) -> Vec<Fact> {
    let rule = crate::rules::all().find(|rule| rule.code == code);
    let facts = rule.map(|rule| {
        [Fact::new("Figure", format!("{}: {}", rule.figure, rule.title)), Fact::new("Source", rule.source)]
    });
    facts.into_iter().flatten().filter(|fact| !fact.text.is_empty()).collect()
}

/// With a capital and a full stop.
fn sentence(help: &str) -> String {
    format!("{}.", capital(help))
}
