//! Whoever follows what the tool says ends with a plan that fits: the first remedy of the worst finding is taken, or what
//! it asks to be measured is measured, until nothing is left.

use crate::shipped::{GATE, IMPOSSIBLE, SHED, STORE, draws, findings, read};
use budgets::assessment::{Assessment, Finding};
use budgets::remedies;
use station::edit;
use station::fields::field;
use station::sheets::Library;

/// Rounds that a patient maker goes.
const ROUNDS: usize = 10;

/// What is worst, then what is told first.
fn worst(assessment: &Assessment) -> Vec<&Finding> {
    let rank = |finding: &&Finding| match finding.verdict {
        "over" => 0,
        "unknown" => 1,
        _ => 2,
    };
    let mut all: Vec<&Finding> = findings(assessment).collect();
    all.sort_by_key(rank);
    all
}

/// One step of whoever does what the tool says: the changed text and what was done; `None` where it says nothing.
fn followed(text: &str, assessment: &Assessment) -> Option<(String, String)> {
    // An honest measurement of a typical part gives the middle of what is assumed.
    let measure = |path: &str| {
        let measured = field(path).toml((field(path).get)(&read(text).station));
        let text = edit::set(text, path, measured.trim_matches('"')).expect("a value can be written");
        (text, format!("measured {path} = {measured}"))
    };
    let step = worst(assessment).into_iter().find_map(|finding| {
        if let Some(remedy) = finding.remedies.first() {
            let set = remedy.set.iter().map(|(path, value)| (path.as_str(), value.as_str()));
            let text = edit::set_all(text, set).expect("a remedy can be written");
            return Some((text, format!("{}: {}", finding.code, remedy.written())));
        }
        let (text, says) = (!finding.settle.is_empty()).then(|| measure(finding.settle))?;
        Some((text, format!("{}: {says}", finding.code)))
    });
    // Where nothing is found and all at once are unsure, the next step is a measurement.
    let next = || assessment.next.as_ref().filter(|next| !next.at.is_empty()).map(|next| measure(&next.at));
    step.or_else(next)
}

/// The plan that is left alone, the steps to it, and its assessment.
fn cured(text: &str) -> (String, Vec<String>, Assessment) {
    let (mut text, mut steps) = (text.to_string(), Vec::new());
    let assess = |text: &str| remedies::assess(&read(text), &Library::shipped(), draws(256));
    let mut assessment = assess(&text);
    while assessment.verdict != "fits" && steps.len() < ROUNDS {
        let Some((changed, step)) = followed(&text, &assessment) else { break };
        assessment = assess(&changed);
        text = changed;
        steps.push(step);
    }
    (text, steps, assessment)
}

fn is_cured(text: &str) {
    let (_, steps, end) = cured(text);
    let left: Vec<&str> = findings(&end).map(|finding| finding.code).collect();
    assert_eq!(end.verdict, "fits", "after {steps:#?} {left:?}");
    assert!(!steps.is_empty(), "a demo plan shows something to cure");
}

#[test]
fn following_what_the_tool_says_cures_the_gate() {
    is_cured(GATE);
}

#[test]
fn following_what_the_tool_says_cures_the_store() {
    is_cured(STORE);
}

#[test]
fn following_what_the_tool_says_cures_the_shed() {
    is_cured(SHED);
}

/// Sixteen demands on at most fifteen pins: no change makes room, so the tool says so, says what would have to give, and
/// is right.
#[test]
fn what_is_impossible_is_said_to_be_and_what_would_have_to_give_is_enough() {
    let start = remedies::assess(&read(IMPOSSIBLE), &Library::shipped(), draws(256));
    assert_eq!(start.uncured, ["pins.no-place"], "before anything is changed");
    let (text, steps, end) = cured(IMPOSSIBLE);
    let over: Vec<&str> = findings(&end).filter(|f| f.verdict == "over").map(|f| f.code).collect();
    assert!(over.contains(&"pins.no-place"), "{over:?} after {steps:#?}");
    assert_eq!(over, end.uncured, "all that can be cured is cured after {steps:#?}");
    let stuck = findings(&end).find(|finding| finding.code == "pins.no-place").expect("it is over");
    let gives = "what would have to give: ";
    assert!(stuck.remedies.is_empty() && stuck.to_do.contains(gives), "{}", stuck.to_do);
    // Without one of those that it names every demand has a pin.
    assert!(stuck.to_do.contains("do without the second presence"), "{}", stuck.to_do);
    let fewer: String = text
        .lines()
        .filter(|line| !line.starts_with("second_presence"))
        .map(|line| format!("{line}\n"))
        .collect();
    let less = remedies::assess(&read(&fewer), &Library::shipped(), draws(256));
    assert!(findings(&less).all(|finding| finding.code != "pins.no-place"));
}
