//! The assessment: what every face shows, and the JSON contract of `doorwright check --json`.
//!
//! A projection of a [`Study`]: medians, intervals, verdicts, findings, assumptions. Units are SI; `low` and `high`
//! are the 5 % and 95 % points over draws; `margin` is in the figure's own unit, positive where there is room. A face
//! prints these numbers and computes none of its own. How a verdict comes about is in `crate::judge`.

use crate::judge;
use crate::remedies::Remedy;
use crate::rule::{Budget, Verdict};
use crate::study::{Options, Study};
use serde::Serialize;
use station::fields::Nature;
use station::plan::Plan;
use std::collections::BTreeMap;

/// Everything that is shown of one plan.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Assessment {
    /// Name of the plan.
    pub plan: String,
    /// Its revision, where given.
    pub revision: String,
    /// File of the plan.
    pub file: String,
    /// The worst of the budgets' verdicts.
    pub verdict: &'static str,
    /// Share of draws in which every budget fits.
    pub fits_probability: Option<f64>,
    /// Draws made.
    pub draws: u32,
    /// Seed of the draws.
    pub seed: u64,
    /// How many values the plan states.
    pub given: usize,
    /// What low, high, margin and verdict mean.
    pub definitions: BTreeMap<&'static str, &'static str>,
    /// One entry a budget.
    pub budgets: Vec<BudgetResult>,
    /// What was filled in.
    pub assumptions: Vec<AssumptionResult>,
    /// The cheapest step that settles most.
    pub next: Option<Next>,
    /// Codes of what does not fit and no change that was tried cures, alone or two at once; empty without draws.
    pub uncured: Vec<&'static str>,
}

/// One budget.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BudgetResult {
    /// Its name.
    pub name: &'static str,
    /// The worst of its figures and findings.
    pub verdict: &'static str,
    /// Share of draws in which all its figures fit; none for safety, which never fits.
    pub fits_probability: Option<f64>,
    /// For safety: how many rules looked; none elsewhere. Where they find nothing, nothing more is promised.
    pub rules: Option<usize>,
    /// Its figures.
    pub figures: Vec<Figure>,
    /// What does not fit, is tight or not known.
    pub findings: Vec<Finding>,
}

/// One figure.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Figure {
    /// Name in JSON.
    pub name: &'static str,
    /// Name for people.
    pub title: &'static str,
    /// SI unit.
    pub unit: &'static str,
    /// With every input at its stated value; null where an input is missing.
    pub nominal: Option<f64>,
    /// Median over draws; the nominal value without draws.
    pub value: Option<f64>,
    /// 5 % point.
    pub low: Option<f64>,
    /// 95 % point.
    pub high: Option<f64>,
    /// `above` where the computation stops before the end.
    pub censored: Option<&'static str>,
    /// Median limit, where there is one.
    pub limit: Option<f64>,
    /// `at_most` or `at_least`.
    pub sense: &'static str,
    /// Median room, in `margin_unit`.
    pub margin: Option<f64>,
    /// 5 % point of the room.
    pub margin_low: Option<f64>,
    /// 95 % point of the room.
    pub margin_high: Option<f64>,
    /// Unit of the margin.
    pub margin_unit: &'static str,
    /// Room wanted for `fits`.
    pub margin_wanted: Option<f64>,
    /// Share of draws in which it fits.
    pub fits_probability: Option<f64>,
    /// Verdict, where there is a limit.
    pub verdict: Option<&'static str>,
    /// Whether `tight` is only because most of its spread is assumed.
    pub on_assumptions: bool,
    /// Where the formula comes from.
    pub source: &'static str,
    /// Inputs that drive the margin: path and first-order share of its variance.
    pub driven_by: Vec<Driver>,
    /// Share of the margin's variance by what its inputs rest on.
    pub evidence: Option<Evidence>,
    /// Paths it stands on.
    pub about: &'static [&'static str],
}

/// An input that drives a figure.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Driver {
    /// The field.
    pub path: &'static str,
    /// First-order share of the variance of the margin.
    pub share: f64,
}

/// What the variance of a margin rests on; the rest is luck and inputs acting together.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Evidence {
    /// Inputs that the plan states.
    pub plan: f64,
    /// Inputs from sheets.
    pub sheets: f64,
    /// Inputs that were assumed.
    pub assumed: f64,
    /// What no single input explains.
    pub unexplained: f64,
}

/// Something to attend to.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// Stable code.
    pub code: &'static str,
    /// How bad it is.
    pub verdict: &'static str,
    /// The figure it is about; empty for checks.
    pub figure: &'static str,
    /// The sentence.
    pub says: String,
    /// The field it points at.
    pub about: String,
    /// Place of that field, or of its part's table; null where the plan says nothing of either.
    pub at: Option<At>,
    /// Whether that field was assumed.
    pub assumed: bool,
    /// Single changes that the program has recomputed and found to cure it.
    pub remedies: Vec<Remedy>,
    /// What to do or measure where no change of the plan settles it.
    pub to_do: String,
    /// The field whose measurement `to_do` asks for; empty where it asks for none.
    pub settle: &'static str,
}

/// A place in a file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct At {
    /// The file.
    pub file: String,
    /// From 1.
    pub line: usize,
    /// From 1, in characters.
    pub column: usize,
}

/// A value that was filled in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct AssumptionResult {
    /// The field.
    pub at: &'static str,
    /// As a plan would write it.
    pub value: String,
    /// Where it comes from.
    pub source: String,
    /// Whether it stands for something not chosen yet.
    pub open: bool,
}

/// One step to take.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Next {
    /// The field that it settles; empty where it is a change.
    pub at: String,
    /// The step.
    pub says: String,
}

/// Assesses a plan: nominal values, draws, findings; remedies are sought by [`crate::remedies`].
pub fn assess(plan: &Plan, options: Options) -> Assessment {
    of_study(&Study::new(plan, options))
}

/// The projection of a study, without remedies.
pub fn of_study(study: &Study<'_>) -> Assessment {
    let plan = study.plan;
    let mut all_fit = vec![true; study.options.draws as usize];
    let mut budgets = Vec::new();
    for &budget in Budget::ALL {
        let (verdict, result) = judge::budget_result(study, budget, &mut all_fit);
        // A budget that the plan tells nothing of has no row: its silence must not read as a verdict.
        let always =
            matches!(budget, Budget::Pins | Budget::Memory | Budget::Stream | Budget::Detail | Budget::Power);
        if always || !result.figures.is_empty() || !result.findings.is_empty() || result.rules.is_some() {
            budgets.push((verdict, result));
        }
    }
    let worst = budgets.iter().map(|(verdict, _)| *verdict).max().unwrap_or(Verdict::Fits);
    let together = judge::share_true(&all_fit);
    let unsure = study.options.draws > 0 && together < plan.station.want.confidence;
    let verdict = if worst == Verdict::Fits && unsure { Verdict::Tight } else { worst };
    let budgets: Vec<BudgetResult> = budgets.into_iter().map(|(_, result)| result).collect();
    let mut assessment = Assessment {
        plan: plan.name.clone(),
        revision: plan.revision.clone(),
        file: plan.source.name.clone(),
        verdict: verdict.name(),
        fits_probability: (study.options.draws > 0 && verdict != Verdict::Unknown).then_some(together),
        draws: study.options.draws,
        seed: study.options.seed,
        given: plan.given_count(),
        definitions: definitions(),
        budgets,
        assumptions: plan
            .assumptions()
            .into_iter()
            .map(|a| AssumptionResult { at: a.path, value: a.value, source: a.source, open: a.open })
            .collect(),
        next: None,
        uncured: Vec::new(),
    };
    assessment.next = Some(next_step(plan, &assessment));
    assessment
}

fn definitions() -> BTreeMap<&'static str, &'static str> {
    BTreeMap::from([
        ("low", "5 % point over draws"),
        ("high", "95 % point over draws"),
        ("margin", "room between value and limit in margin_unit, positive where it fits; median over draws"),
        ("fits", "room as wanted, in at least the wanted share of draws"),
        ("tight", "fits, but with less room or in fewer draws than wanted, or most of its spread is assumed"),
        ("over", "the median does not fit"),
        ("unknown", "an input is missing"),
    ])
}

/// The cheapest step that settles most: the assumed fact worth asking for that drives most of what does not fit.
fn next_step(plan: &Plan, assessment: &Assessment) -> Next {
    let budgets = &assessment.budgets;
    // Nothing is found, yet all at once hold too seldom: then each counts by how often it fails.
    let together = assessment.verdict == "tight" && budgets.iter().all(|budget| budget.findings.is_empty());
    let mut weight: BTreeMap<&'static str, f64> = BTreeMap::new();
    for figure in budgets.iter().flat_map(|budget| &budget.figures) {
        let counts = match figure.verdict {
            Some("fits") if together => 1.0 - figure.fits_probability.unwrap_or(1.0),
            Some("fits") | None => continue,
            Some(_) => 1.0,
        };
        for driver in &figure.driven_by {
            *weight.entry(driver.path).or_default() += counts * driver.share;
        }
    }
    // What stops a whole budget from being told comes before everything else.
    if let Some(missing) = plan.assumed().find(|field| field.path == "supply.kind") {
        weight.insert(missing.path, f64::MAX);
    }
    let asked =
        plan.assumed().filter(|field| (together || !field.ask.is_empty()) && field.nature != Nature::Wish);
    let best = asked
        .filter_map(|field| weight.get(field.path).map(|weight| (*weight, field)))
        .max_by(|a, b| a.0.total_cmp(&b.0));
    match best {
        Some((_, field)) if field.ask.is_empty() => {
            Next { at: field.path.into(), says: format!("measure {}: {}", field.path, field.help) }
        }
        Some((_, field)) => Next { at: field.path.into(), says: field.ask.into() },
        // Nothing left to ask: the next thing a maker does is to wire it.
        None => Next {
            at: String::new(),
            says: format!("doorwright pins {} (what goes where)", typed(&assessment.file)),
        },
    }
}

/// A file's name as one types it in a shell: in quotes where it needs them.
pub fn typed(file: &str) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || "_-./~+:@%,".contains(c);
    if !file.is_empty() && file.chars().all(plain) {
        file.into()
    } else {
        format!("'{}'", file.replace('\'', "'\\''"))
    }
}
