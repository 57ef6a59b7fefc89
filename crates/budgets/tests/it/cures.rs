//! Whoever follows what the tool says ends with a plan that fits: the first remedy of the worst finding is taken, or what
//! it asks to be measured is measured, until nothing is left.

use crate::shipped::{GATE, SHED, STORE, draws, findings, read};
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

/// The steps from a plan to the one that is left alone, and that one's assessment.
fn cured(text: &str) -> (Vec<String>, Assessment) {
    let (mut text, mut steps) = (text.to_string(), Vec::new());
    let assess = |text: &str| remedies::assess(&read(text), &Library::shipped(), draws(512));
    let mut assessment = assess(&text);
    while assessment.verdict != "fits" && steps.len() < ROUNDS {
        let Some((changed, step)) = followed(&text, &assessment) else { break };
        assessment = assess(&changed);
        text = changed;
        steps.push(step);
    }
    (steps, assessment)
}

#[test]
fn a_plan_is_cured_by_following_what_the_tool_says() {
    for (name, text) in [("gate", GATE), ("store", STORE), ("shed", SHED)] {
        let (steps, end) = cured(text);
        let left: Vec<String> = findings(&end)
            .map(|finding| format!("{} {}: {} / {} / {}", finding.verdict, finding.code, finding.says, finding.to_do, finding.settle))
            .collect();
        assert_eq!(end.verdict, "fits", "{name}: after {steps:#?} {left:#?}");
    }
}
