//! `check --json`: the contract of design.md, as other programs rely on it, and what a remedy promises.

use crate::contract::{PLANS, shipped};
use crate::shell::Folder;
use budgets::assessment::{Assessment, Finding, of_study};
use budgets::remedies;
use budgets::study::{Options, Study};
use serde_json::Value;
use station::edit;
use station::plan::Plan;
use station::sheets::Library;
use station::text::Source;
use std::collections::BTreeSet;
use std::process::Command;

const UNITS: [&str; 24] = [
    "1", "B", "B/s", "bit/s", "s", "m", "m2", "W", "J", "V", "A", "F", "ohm", "C", "K", "degC", "px", "px/m",
    "1/s", "Hz", "dB", "dBm", "W/m2", "lx",
];
const VERDICTS: [&str; 4] = ["fits", "tight", "unknown", "over"];

fn json(args: &[&str], threads: &str) -> String {
    let folder = Folder::new(&format!("json-{threads}-{}", args.join("-").replace(['/', '.'], "_").len()));
    let done = Command::new(env!("CARGO_BIN_EXE_doorwright"))
        .args(args)
        .arg("--json")
        .env("HOME", &folder.0)
        .env_remove("XDG_DATA_HOME")
        .env("RAYON_NUM_THREADS", threads)
        .output()
        .expect("it runs");
    assert!(done.stderr.is_empty());
    String::from_utf8(done.stdout).expect("text")
}

fn parsed(args: &[&str]) -> Value {
    serde_json::from_str(&json(args, "2")).expect("JSON")
}

fn list<'j>(json: &'j Value, key: &str) -> &'j [Value] {
    json[key].as_array().unwrap_or_else(|| panic!("`{key}` is a list in {json}"))
}

fn word<'j>(json: &'j Value, key: &str) -> &'j str {
    json[key].as_str().unwrap_or_else(|| panic!("`{key}` is a text in {json}"))
}

fn keys(json: &Value) -> BTreeSet<&str> {
    json.as_object().expect("an object").keys().map(String::as_str).collect()
}

#[track_caller]
fn has(json: &Value, wanted: &[&str]) {
    let missing: Vec<_> = wanted.iter().filter(|key| !keys(json).contains(*key)).collect();
    assert!(missing.is_empty(), "{missing:?} missing in {json}");
}

/// Number or null, never anything else.
fn number(json: &Value, key: &str) -> Option<f64> {
    match &json[key] {
        Value::Null => None,
        Value::Number(number) => number.as_f64().filter(|number| number.is_finite()),
        other => panic!("`{key}` is {other}"),
    }
}

#[test]
fn the_json_has_every_key_of_the_contract_and_its_numbers_agree() {
    let few = PLANS.map(|plan| (plan, 256, &[][..]));
    for (plan, draws, extra) in few.into_iter().chain([(PLANS[0], 2048, &["--no-remedies"][..])]) {
        let path = shipped(plan);
        let json = parsed(&[&["check", &path, "--draws", &draws.to_string()], extra].concat());
        has(
            &json,
            &["plan", "verdict", "draws", "seed", "budgets", "assumptions", "fits_probability", "next"],
        );
        assert_eq!((json["draws"].as_u64(), json["seed"].as_u64()), (Some(draws), Some(1)));
        let names: Vec<_> = list(&json, "budgets").iter().map(|budget| word(budget, "name")).collect();
        // In the contract's order; what the plan tells nothing of has no row, but the first five always have one.
        let all = [
            "pins", "memory", "stream", "detail", "light", "radio", "power", "heat", "plate", "timing",
            "privacy", "safety",
        ];
        assert_eq!(names, all.into_iter().filter(|name| names.contains(name)).collect::<Vec<_>>());
        assert!(["pins", "memory", "stream", "detail", "power"].iter().all(|name| names.contains(name)));
        let worst = list(&json, "budgets").iter().map(|budget| rank(word(budget, "verdict"))).max();
        assert_eq!(worst, Some(rank(word(&json, "verdict"))));
        for budget in list(&json, "budgets") {
            has(budget, &["name", "verdict", "fits_probability", "figures", "findings"]);
            budget_agrees(budget, draws);
        }
        // All budgets together fit no more often than the worst of them.
        let least =
            list(&json, "budgets").iter().filter_map(|b| number(b, "fits_probability")).fold(1.0, f64::min);
        assert!(number(&json, "fits_probability").expect("drawn") <= least);
        for assumption in list(&json, "assumptions") {
            has(assumption, &["at", "value", "source"]);
            assert!(!word(assumption, "source").is_empty());
            assert!(station::fields::index_of(word(assumption, "at")).is_some());
        }
    }
}

fn budget_agrees(budget: &Value, draws: u64) {
    let mut worst = 0;
    for figure in list(budget, "figures") {
        has(
            figure,
            &[
                "name",
                "unit",
                "nominal",
                "value",
                "low",
                "high",
                "censored",
                "limit",
                "sense",
                "margin",
                "margin_unit",
                "margin_wanted",
                "fits_probability",
                "verdict",
                "source",
                "driven_by",
            ],
        );
        figure_agrees(figure, draws);
        worst = worst.max(figure["verdict"].as_str().map_or(0, rank));
    }
    for finding in list(budget, "findings") {
        has(finding, &["code", "verdict", "says", "at", "remedies"]);
        assert!(word(finding, "code").starts_with(&format!("{}.", word(budget, "name"))));
        // What was assumed stands nowhere, unless the plan has the table that it would stand in.
        assert!(
            !finding["at"].is_null() || finding["assumed"] == true || word(finding, "about").is_empty(),
            "{finding}"
        );
        if !finding["at"].is_null() {
            has(&finding["at"], &["file", "line", "column"]);
            assert!(finding["at"]["line"].as_u64().is_some_and(|line| line >= 1));
            assert!(finding["at"]["column"].as_u64().is_some_and(|column| column >= 1));
        }
        assert!(word(finding, "says").len() > 10);
        worst = worst.max(rank(word(finding, "verdict")));
        for remedy in list(finding, "remedies") {
            has(remedy, &["set", "verdict", "costs"]);
            for (path, value) in remedy["set"].as_object().expect("an object") {
                assert!(path.contains('.') && value.is_string());
            }
            for cost in list(remedy, "costs") {
                has(cost, &["budget", "figure", "from", "to", "unit"]);
                assert!(number(cost, "from").is_some() && number(cost, "to").is_some());
            }
        }
    }
    assert_eq!(worst, rank(word(budget, "verdict")), "{}", word(budget, "name"));
    // A budget fits in no more draws than any of its figures, but for causes, which the run time counts.
    if let Some(together) = number(budget, "fits_probability") {
        let cause = |figure: &&Value| ["unusable_share", "worst_month_sun"].contains(&word(figure, "name"));
        for figure in list(budget, "figures").iter().filter(|figure| !cause(figure)) {
            assert!(number(figure, "fits_probability").is_none_or(|alone| together <= alone), "{figure}");
        }
    }
}

fn figure_agrees(figure: &Value, draws: u64) {
    let name = word(figure, "name");
    assert!(UNITS.contains(&word(figure, "unit")), "{name}: {}", word(figure, "unit"));
    assert_eq!(word(figure, "unit"), word(figure, "margin_unit"));
    assert!(!word(figure, "source").is_empty(), "{name} has no source");
    let (value, low, high) = (number(figure, "value"), number(figure, "low"), number(figure, "high"));
    if let (Some(low), Some(value), Some(high)) = (low, value, high) {
        assert!(low <= value && value <= high, "{name}: {low} {value} {high}");
    }
    let (limit, margin) = (number(figure, "limit"), number(figure, "margin"));
    if let (Some(low), Some(margin), Some(high)) =
        (number(figure, "margin_low"), margin, number(figure, "margin_high"))
    {
        assert!(low <= margin && margin <= high, "{name}: margin {low} {margin} {high}");
    }
    let probability = number(figure, "fits_probability");
    assert!(probability.is_none_or(|probability| (0.0..=1.0).contains(&probability)));
    if let (Some(probability), Some(low), Some(high)) =
        (probability, number(figure, "margin_low"), number(figure, "margin_high"))
    {
        // More than 5 % of the draws lie on the far side of a point that does not fit; one draw is for the quantile's
        // place between two neighbours.
        assert!(low < 0.0 || probability >= 0.94, "{name}: {probability}");
        assert!(high >= 0.0 || probability <= 0.06, "{name}: {probability}");
    }
    match figure["verdict"].as_str() {
        None => assert!(probability.is_none() && figure["verdict"].is_null()),
        Some("unknown") => assert!(margin.is_none() && probability.is_none(), "{name}"),
        Some("over") => assert!(margin.expect("it is known") < 0.0, "{name}"),
        Some(verdict @ ("fits" | "tight")) => {
            // A cause that misses its own limit is tight while the run time, which counts it, is reached.
            let cause = ["unusable_share", "worst_month_sun"].contains(&name);
            assert!(margin.expect("it is known") >= 0.0 || cause && verdict == "tight", "{name}");
            if verdict == "fits" {
                assert!(margin >= number(figure, "margin_wanted"), "{name}");
            }
        }
        Some(other) => panic!("{other} is none of {VERDICTS:?}"),
    }
    // Where value or limit does not spread, the median of their difference is the difference of their medians.
    let exact = low == high || number(figure, "margin_low") == number(figure, "margin_high");
    if let (Some(value), Some(limit), Some(margin), true) = (value, limit, margin, exact) {
        let room = if word(figure, "sense") == "at_most" { limit - value } else { value - limit };
        let rounding = 1e-12 * (value.abs() + limit.abs());
        assert!((room - margin).abs() <= rounding, "{name}: {room} {margin}");
    }
    let mut shares = 0.0;
    for driver in list(figure, "driven_by") {
        assert!(station::fields::index_of(word(driver, "path")).is_some());
        let share = number(driver, "share").expect("a share");
        assert!((0.0..=1.0).contains(&share));
        shares += share;
    }
    // First-order shares add up to at most one. They are six estimates with a standard error of about
    // sqrt(2 (16 - 1)) / (draws - 1) each, picked for being large: three of those errors each.
    let noise = 6.0 * 3.0 * 30_f64.sqrt() / (draws - 1) as f64;
    assert!(shares < 1.0 + noise, "{name}: {shares}");
}

fn rank(verdict: &str) -> usize {
    VERDICTS.iter().position(|known| *known == verdict).unwrap_or_else(|| panic!("{verdict} is no verdict"))
}

#[test]
fn the_same_seed_gives_the_same_bytes_on_any_number_of_threads() {
    for plan in ["kiln-yard-gate", "bicycle-club-shed"] {
        let path = shipped(plan);
        let args = ["check", &path, "--draws", "300"];
        let one = json(&args, "1");
        for threads in ["2", "3"] {
            assert!(json(&args, threads) == one, "{plan} differs on {threads} threads");
        }
        let other = json(&["check", &path, "--draws", "300", "--seed", "2"], "1");
        assert_ne!(other.replace("\"seed\": 2", "\"seed\": 1"), one);
    }
}

#[test]
fn without_draws_there_is_a_nominal_answer_and_nothing_is_said_of_spreads() {
    for plan in PLANS {
        let json = parsed(&["check", &shipped(plan), "--draws", "0"]);
        assert!(json["fits_probability"].is_null());
        for budget in list(&json, "budgets") {
            assert!(budget["fits_probability"].is_null());
            for figure in list(budget, "figures") {
                for key in ["low", "high", "margin_low", "margin_high", "fits_probability", "evidence"] {
                    assert!(figure[key].is_null(), "{key} of {figure}");
                }
                assert_eq!(figure["value"], figure["nominal"]);
                assert!(list(figure, "driven_by").is_empty());
            }
            assert!(list(budget, "findings").iter().all(|finding| list(finding, "remedies").is_empty()));
        }
    }
}

#[test]
fn the_nominal_answer_does_not_depend_on_the_draws() {
    let path = shipped("kiln-yard-glaze-store");
    let nominal = |draws: &str| -> Vec<Value> {
        let json = parsed(&["check", &path, "--draws", draws, "--no-remedies"]);
        let figures = list(&json, "budgets").iter().flat_map(|budget| list(budget, "figures"));
        figures.map(|figure| figure["nominal"].clone()).collect()
    };
    assert_eq!(nominal("0"), nominal("64"));
    assert_eq!(nominal("64"), nominal("256"));
}

fn read(text: &str) -> Plan {
    Plan::read(Source::new("p.toml", text), &Library::shipped())
        .unwrap_or_else(|problems| panic!("{problems}\n{text}"))
}

#[test]
fn fewer_draws_are_a_prefix_of_more() {
    for plan in PLANS {
        let plan = read(&std::fs::read_to_string(shipped(plan)).expect("ships"));
        let few = Study::new(&plan, Options { draws: 64, seed: 5 });
        let many = Study::new(&plan, Options { draws: 200, seed: 5 });
        for (few, many) in few.figures.iter().zip(&many.figures) {
            let bits = |column: &[f64]| column.iter().map(|x| x.to_bits()).collect::<Vec<_>>();
            assert_eq!(bits(&few.columns.values), bits(&many.columns.values[..64]), "{}", few.rule.figure);
            assert_eq!(bits(&few.columns.limits), bits(&many.columns.limits[..64]), "{}", few.rule.figure);
        }
    }
}

/// How bad a finding is in an assessment: that of its figure, or of checks of its code about the same thing.
fn severity(finding: &Finding, assessment: &Assessment) -> usize {
    let budgets = &assessment.budgets;
    if finding.figure.is_empty() {
        let findings = budgets.iter().flat_map(|budget| &budget.findings);
        let same = findings.filter(|other| other.code == finding.code && other.about == finding.about);
        same.map(|other| rank(other.verdict)).max().unwrap_or(0)
    } else {
        let figures = budgets.iter().flat_map(|budget| &budget.figures);
        let same = figures.filter(|figure| figure.name == finding.figure);
        same.filter_map(|figure| figure.verdict).map(rank).max().unwrap_or(0)
    }
}

#[test]
fn every_offered_remedy_cures_what_it_says_and_costs_no_other_figure_its_verdict() {
    let (library, options) = (Library::shipped(), Options { draws: 256, seed: 1 });
    let mut offered = 0;
    for plan in PLANS {
        let before_plan = read(&std::fs::read_to_string(shipped(plan)).expect("ships"));
        let mut before = of_study(&Study::new(&before_plan, options));
        remedies::seek(&before_plan, &library, options, &mut before);
        for finding in before.budgets.iter().flat_map(|budget| &budget.findings) {
            for remedy in &finding.remedies {
                offered += 1;
                let set = remedy.set.iter().map(|(path, value)| (path.as_str(), value.as_str()));
                let text =
                    edit::set_all(&before_plan.source.text, set).expect("it was computed with this change");
                let after = of_study(&Study::new(&read(&text), options));
                let what = format!("{plan}, {}: {:?}", finding.code, remedy.set);
                assert_eq!(severity(finding, &after), rank(remedy.verdict), "{what}");
                assert!(rank(remedy.verdict) < rank(finding.verdict), "{what}");
                let figures_before = || before.budgets.iter().flat_map(|budget| &budget.figures);
                for figure in after.budgets.iter().flat_map(|budget| &budget.figures) {
                    let now = figure.verdict.map_or(0, rank);
                    match figures_before().find(|other| other.name == figure.name) {
                        Some(was) => assert!(now <= was.verdict.map_or(0, rank), "{what}: {}", figure.name),
                        None => assert!(now < rank("unknown"), "{what}: {}", figure.name),
                    }
                }
                for cost in &remedy.costs {
                    let figures = after.budgets.iter().flat_map(|budget| &budget.figures);
                    let now =
                        figures.filter(|figure| figure.name == cost.figure).find_map(|figure| figure.value);
                    assert_eq!(now, Some(cost.to), "{what}: {}", cost.figure);
                }
            }
        }
    }
    assert!(offered >= 8, "{offered} remedies in four plans");
}

/// The keys of a JSON value as paths; lists are gone through, and the keys of `set` are the plan's.
fn key_paths(json: &Value, at: &str, found: &mut BTreeSet<String>) {
    match json {
        Value::Object(members) if !at.ends_with("remedies.set") => {
            for (key, inner) in members {
                let path = format!("{at}.{key}");
                key_paths(inner, &path, found);
                found.insert(path);
            }
        }
        Value::Array(items) => items.iter().for_each(|item| key_paths(item, at, found)),
        _ => {}
    }
}

#[test]
fn the_page_of_the_json_shows_every_key_and_no_other() {
    let page = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/json.md");
    let page = std::fs::read_to_string(page).expect("the page is there");
    let example =
        page.split("```json\n").nth(1).and_then(|rest| rest.split("```").next()).expect("an example");
    let paths = |json: &str| {
        let mut found = BTreeSet::new();
        key_paths(&serde_json::from_str(json).expect("JSON"), "", &mut found);
        found
    };
    let (shown, real) = (paths(example), paths(&json(&["check", &shipped(PLANS[0]), "--draws", "256"], "2")));
    let differ: Vec<_> = shown.symmetric_difference(&real).collect();
    assert!(differ.is_empty(), "docs/json.md and the output differ in {differ:?}");
}
