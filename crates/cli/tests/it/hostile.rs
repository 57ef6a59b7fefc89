//! Plans that nobody would write: their verdicts must be numbers in order, or none, and come without a panic.
//!
//! Texts that are no plan are the business of `station`; here the readings are valid and the values are absurd.

use budgets::assessment::{Assessment, Figure, of_study};
use budgets::study::{Options, Study};
use proptest::prelude::*;
use station::plan::Plan;
use station::sample::{self, Reach};
use station::sheets::Library;
use station::text::Source;

fn assess(text: &str, options: Options) -> Assessment {
    let plan = Plan::read(Source::new("sample.toml", text), &Library::shipped())
        .unwrap_or_else(|problems| panic!("{problems}\n{text}"));
    let study = Study::new(&plan, options);
    for figured in &study.figures {
        let columns = [&figured.columns.values, &figured.columns.limits];
        assert!(
            columns.iter().all(|column| column.len() == options.draws as usize),
            "{}",
            figured.rule.figure
        );
    }
    of_study(&study)
}

/// Every number is finite, `low <= value <= high`, and no verdict is without its margin.
#[track_caller]
fn in_order(assessment: &Assessment, text: &str) {
    for budget in &assessment.budgets {
        assert!(budget.fits_probability.is_none_or(|p| (0.0..=1.0).contains(&p)));
        for figure in &budget.figures {
            if let Some(wrong) = wrong(figure) {
                panic!("{}.{}: {wrong}\n{figure:#?}\n{text}", budget.name, figure.name);
            }
        }
        for finding in &budget.findings {
            assert!(
                !finding.says.is_empty()
                    && finding.at.as_ref().is_none_or(|at| at.line >= 1 && at.column >= 1),
                "{finding:?}"
            );
        }
    }
}

fn wrong(figure: &Figure) -> Option<&'static str> {
    let finite = |number: Option<f64>| number.is_none_or(f64::is_finite);
    let f = figure;
    let numbers =
        [f.nominal, f.value, f.low, f.high, f.limit, f.margin, f.margin_low, f.margin_high, f.margin_wanted];
    if !numbers.into_iter().all(finite) {
        return Some("a number that is none");
    }
    let ordered = |low: Option<f64>, middle: Option<f64>, high: Option<f64>| match (low, middle, high) {
        (Some(low), Some(middle), Some(high)) => low <= middle && middle <= high,
        _ => true,
    };
    if !ordered(f.low, f.value, f.high) || !ordered(f.margin_low, f.margin, f.margin_high) {
        return Some("low, median and high are out of order");
    }
    // An upper end may be missing where some draws have none, such as a capacitor that no size makes large enough.
    if f.low.is_none() && f.high.is_some() {
        return Some("an interval without its lower end");
    }
    if !f.fits_probability.is_none_or(|p| (0.0..=1.0).contains(&p)) {
        return Some("a probability that is none");
    }
    match (f.verdict, f.margin) {
        (Some("over"), Some(margin)) if margin >= 0.0 => Some("over, with room"),
        (Some("fits" | "tight"), None) => Some("fits, without a margin"),
        (Some("fits" | "tight"), Some(margin)) if margin < 0.0 => {
            // A cause that misses its own limit is tight while the run time, which counts it, is reached.
            let cause = ["unusable_share", "worst_month_sun"].contains(&f.name) && f.verdict == Some("tight");
            (!cause).then_some("fits, without room")
        }
        (Some("unknown"), Some(_)) => Some("unknown, with a margin"),
        _ => None,
    }
}

#[test]
fn two_hundred_invented_plans_give_numbers_in_order_or_none() {
    for seed in 0..200 {
        let text = sample::plan(seed);
        in_order(&assess(&text, Options { draws: 64, seed }), &text);
    }
}

#[test]
fn no_sentence_tells_a_number_that_is_none() {
    // The last ones each had a number that their draws have and the plan itself has not.
    for seed in (0..400).chain([419, 507, 543, 1223]) {
        let text = sample::plan(seed);
        let assessment = assess(&text, Options { draws: 64, seed });
        for finding in assessment.budgets.iter().flat_map(|budget| &budget.findings) {
            let words = format!("{} {}", finding.says, finding.to_do);
            let none = ["NaN", "unknown ", "inf ", "∞"].into_iter().find(|none| words.contains(none));
            assert_eq!(none, None, "{}: {words}\n{text}", finding.code);
        }
    }
}

#[test]
fn the_same_invented_plan_gives_the_same_assessment() {
    for seed in 0..8 {
        let text = sample::plan(seed);
        let options = Options { draws: 64, seed };
        assert_eq!(format!("{:?}", assess(&text, options)), format!("{:?}", assess(&text, options)));
    }
}

proptest! {
    #[test]
    fn values_anywhere_in_their_range_give_numbers_in_order_or_none(seed in 1000_u64..1_000_000, draws in 0_u32..70) {
        let text = sample::reaching(seed, Reach::Whole);
        in_order(&assess(&text, Options { draws, seed }), &text);
    }
}
