//! Remedies keep their promise: applied as a user would and assessed anew, each cures what it says it cures, and costs
//! no other figure its verdict.
//!
//! 20 plans here; 300 with `SOAK=1` in the environment.

use crate::shipped::{GATE, IMPOSSIBLE, SHED, STORE, draws, findings, read, with};
use budgets::assessment::{Assessment, Finding, assess};
use budgets::remedies::{self, EFFORTS, Remedy};
use station::edit;
use station::fields::{FIELDS, Nature, index_of};
use station::plan::Plan;
use station::sample::{self, Reach};
use station::sheets::{KINDS, Library};
use std::collections::BTreeMap;

const DRAWS: u32 = 256;

fn sought(plan: &Plan, library: &Library) -> Assessment {
    let mut assessment = assess(plan, draws(DRAWS));
    remedies::seek(plan, library, draws(DRAWS), &mut assessment);
    assessment
}

fn rank(verdict: &str) -> usize {
    ["fits", "tight", "unknown", "over"].iter().position(|known| *known == verdict).unwrap()
}

/// Verdict and margin of every figure with a limit.
fn verdicts(assessment: &Assessment) -> BTreeMap<&'static str, (usize, Option<f64>)> {
    assessment
        .budgets
        .iter()
        .flat_map(|budget| &budget.figures)
        .filter_map(|figure| Some((figure.name, (rank(figure.verdict?), figure.margin))))
        .collect()
}

/// The worst verdict that a finding's figure or check has in an assessment; fits where there is none.
fn of_finding(finding: &Finding, assessment: &Assessment) -> usize {
    if !finding.figure.is_empty() {
        return verdicts(assessment).get(finding.figure).map_or(0, |(rank, _)| *rank);
    }
    findings(assessment)
        .filter(|other| other.code == finding.code && other.about == finding.about)
        .map(|other| rank(other.verdict))
        .max()
        .unwrap_or(0)
}

fn may_be_changed(path: &str) -> bool {
    if let Some((part, "sheet")) = path.split_once('.') {
        return KINDS.iter().any(|kind| kind.part == part);
    }
    path.starts_with("pins.") || index_of(path).is_some_and(|index| FIELDS[index].nature == Nature::Choice)
}

/// Applies one remedy and tells what is not as promised.
fn broken(text: &str, before: &Assessment, finding: &Finding, remedy: &Remedy) -> Option<String> {
    for path in remedy.set.keys() {
        if !may_be_changed(path) {
            return Some(format!("{path} is not the maker's to change"));
        }
    }
    let changes = remedy.set.iter().map(|(path, value)| (path.as_str(), value.as_str()));
    let text = match edit::set_all(text, changes) {
        Ok(text) => text,
        Err(wrong) => return Some(format!("cannot be set: {wrong:?}")),
    };
    let after = assess(&read(&text), draws(DRAWS));
    let (promised, got) = (rank(remedy.verdict), of_finding(finding, &after));
    if got != promised {
        return Some(format!("promised {}, got {got}", remedy.verdict));
    }
    if got >= rank(finding.verdict) {
        return Some("no better than before".into());
    }
    let was = verdicts(before);
    for (name, (now, margin)) in verdicts(&after) {
        match was.get(name) {
            Some((then, _)) if now > *then => return Some(format!("{name} loses its verdict")),
            Some((3, had)) if now == 3 && margin < *had => return Some(format!("{name} gets worse")),
            None if now >= 2 => return Some(format!("{name} is new and does not fit")),
            _ => {}
        }
    }
    let worse = findings(&after).filter(|finding| finding.figure.is_empty() && rank(finding.verdict) >= 2);
    for check in worse {
        let known =
            findings(before).any(|was| was.code == check.code && rank(was.verdict) >= rank(check.verdict));
        if !known {
            return Some(format!("{} is new", check.code));
        }
    }
    None
}

/// Checks every remedy of a plan; how many there were.
fn keep_their_promise(text: &str) -> usize {
    let (plan, library) = (read(text), Library::shipped());
    let assessment = sought(&plan, &library);
    let mut tried = 0;
    for finding in findings(&assessment) {
        assert!(finding.remedies.len() <= 3, "{}: {:?}", finding.code, finding.remedies);
        for remedy in &finding.remedies {
            assert!(["fits", "tight"].contains(&remedy.verdict) && EFFORTS.contains(&remedy.effort));
            assert_eq!(remedy.set.len(), 1, "single changes");
            let wrong = broken(text, &assessment, finding, remedy);
            assert!(wrong.is_none(), "{} {:?}: {}\n{text}", finding.code, remedy.set, wrong.unwrap());
            tried += 1;
        }
        // The cures come first, and among them the least effort.
        let order: Vec<(bool, usize)> = finding
            .remedies
            .iter()
            .map(|remedy| {
                (remedy.verdict != "fits", EFFORTS.iter().position(|e| *e == remedy.effort).unwrap())
            })
            .collect();
        assert!(order.is_sorted(), "{}: {order:?}", finding.code);
    }
    tried
}

#[test]
fn of_the_shipped_plans() {
    for text in [GATE, STORE, SHED, IMPOSSIBLE] {
        assert!(keep_their_promise(text) > 0);
    }
}

#[test]
fn of_invented_plans() {
    let plans = if std::env::var_os("SOAK").is_some() { 300 } else { 16 };
    let tried: usize = (0..plans).map(|seed| keep_their_promise(&sample::reaching(seed, Reach::Usual))).sum();
    assert!(tried as u64 > plans, "{tried} remedies of {plans} plans");
}

#[test]
fn the_demo_fits_after_one_change_as_it_promises() {
    let assessment = sought(&read(GATE), &Library::shipped());
    let over: Vec<&Finding> = findings(&assessment).filter(|finding| finding.verdict == "over").collect();
    assert!(!over.is_empty());
    let first = &over[0].remedies[0];
    assert!(over.iter().all(|finding| finding.remedies.iter().any(|remedy| remedy.set == first.set)));
    let changes: Vec<(&str, &str)> = first.set.iter().map(|(k, v)| (k.as_str(), v.as_str())).collect();
    let after = assess(&with(GATE, &changes), draws(2048));
    assert!(findings(&after).all(|finding| finding.verdict != "over"), "{:?}", crate::shipped::codes(&after));
}

#[test]
fn a_wish_is_never_lowered_and_a_fact_never_changed() {
    // A wish beyond all reach: five years on these cells, every caller, sixty pictures a second would all be cured by wanting less.
    let hopeless =
        with(STORE, &[("want.run_time", "5 yr"), ("want.share", "1"), ("rest.call_rate", "60 /s")]);
    let assessment = sought(&hopeless, &Library::shipped());
    for remedy in findings(&assessment).flat_map(|finding| &finding.remedies) {
        for path in remedy.set.keys() {
            assert!(may_be_changed(path), "{path}");
            assert!(!path.starts_with("want."), "{path}");
        }
    }
}
