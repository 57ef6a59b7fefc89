//! The assessment: what every face shows, and the JSON contract of `doorwright check --json`.
//!
//! A projection of a [`Study`]: medians, intervals, verdicts, findings, assumptions. Units are SI; `low` and `high`
//! are the 5 % and 95 % points over draws; `margin` is in the figure's own unit, positive where there is room. A face
//! prints these numbers and computes none of its own.

use crate::physics::Engine;
use crate::remedies::Remedy;
use crate::rule::{Budget, Found, Shown, Verdict};
use crate::study::{Figured, Options, Study};
use models::luck::Luck;
use serde::Serialize;
use station::fields::{FIELDS, Nature, field, index_of};
use station::plan::{Origin, Plan};
use std::collections::BTreeMap;

/// Drivers below this share of variance are not told: with 2,048 draws, noise alone reaches 1 %.
const LEAST_SHARE: f64 = 0.02;
/// A verdict that hardly any draw changes does not rest on what was assumed.
const SETTLED: f64 = 0.99;

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
}

/// One budget.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BudgetResult {
    /// Its name.
    pub name: &'static str,
    /// The worst of its figures and findings.
    pub verdict: &'static str,
    /// Share of draws in which all its figures fit.
    pub fits_probability: Option<f64>,
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
    /// Place of that field.
    pub at: At,
    /// Single changes that the program has recomputed and found to cure it.
    pub remedies: Vec<Remedy>,
    /// What to do or measure where no change of the plan settles it.
    pub to_do: String,
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
        budgets.push(budget_result(study, budget, &mut all_fit));
    }
    let verdict = budgets.iter().map(|(verdict, _)| *verdict).max().unwrap_or(Verdict::Fits);
    let budgets: Vec<BudgetResult> = budgets.into_iter().map(|(_, result)| result).collect();
    let mut assessment = Assessment {
        plan: plan.name.clone(),
        revision: plan.revision.clone(),
        file: plan.source.name.clone(),
        verdict: verdict.name(),
        fits_probability: (study.options.draws > 0 && verdict != Verdict::Unknown)
            .then(|| share_true(&all_fit)),
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

fn budget_result(study: &Study<'_>, budget: Budget, all_fit: &mut [bool]) -> (Verdict, BudgetResult) {
    let mut worst = Verdict::Fits;
    let mut fit = vec![true; study.options.draws as usize];
    let (mut figures, mut findings) = (Vec::new(), Vec::<(Verdict, Finding, &'static [&'static str])>::new());
    for figured in study.figures.iter().filter(|figured| figured.rule.budget == budget) {
        let (figure, verdict) = figure(study, figured);
        if let Some(verdict) = verdict {
            worst = worst.max(verdict);
            for (fit, margin) in fit.iter_mut().zip(figured.margins()) {
                *fit &= margin >= 0.0;
            }
            if verdict > Verdict::Fits {
                findings.push((
                    verdict,
                    figure_finding(study, figured, &figure, verdict),
                    figured.rule.follows,
                ));
            }
        }
        figures.push(figure);
    }
    for (check, found) in study.found.iter().filter(|(check, _)| check.budget == budget) {
        worst = worst.max(found.verdict);
        findings.push((found.verdict, check_finding(study.plan, check.code, found), &[]));
        if found.verdict == Verdict::Over {
            fit.fill(false);
        }
    }
    for (all, fit) in all_fit.iter_mut().zip(&fit) {
        *all &= fit;
    }
    findings.sort_by_key(|(verdict, ..)| std::cmp::Reverse(*verdict));
    // A consequence is silent while its cause, which is as bad, is told.
    let told: Vec<(Verdict, &str)> =
        findings.iter().map(|(verdict, finding, _)| (*verdict, finding.code)).collect();
    findings.retain(|(verdict, _, follows)| {
        !told.iter().any(|(cause, code)| cause >= verdict && follows.contains(code))
    });
    let result = BudgetResult {
        name: budget.name(),
        verdict: worst.name(),
        fits_probability: (study.options.draws > 0 && worst != Verdict::Unknown).then(|| share_true(&fit)),
        figures,
        findings: findings.into_iter().map(|(_, finding, _)| finding).collect(),
    };
    (worst, result)
}

fn share_true(flags: &[bool]) -> f64 {
    flags.iter().filter(|&&flag| flag).count() as f64 / flags.len().max(1) as f64
}

/// The number, unless it is none.
fn known(number: f64) -> Option<f64> {
    number.is_finite().then_some(number)
}

fn figure(study: &Study<'_>, figured: &Figured) -> (Figure, Option<Verdict>) {
    let rule = figured.rule;
    let drawn = !figured.columns.values.is_empty();
    let values = sorted(&figured.columns.values);
    let margins = figured.margins();
    let sorted_margins = sorted(&margins);
    let nominal_margin = rule.sense.margin(figured.nominal, figured.nominal_limit);
    let limited = rule.limit.is_some();
    let (value, limit, margin) = if drawn {
        (
            quantile(&values, 0.5),
            quantile(&sorted(&figured.columns.limits), 0.5),
            quantile(&sorted_margins, 0.5),
        )
    } else {
        (figured.nominal, figured.nominal_limit, nominal_margin)
    };
    let fits = (drawn && limited && margin.is_finite())
        .then(|| margins.iter().filter(|&&margin| margin >= 0.0).count() as f64 / margins.len() as f64);
    let wanted = rule.wanted * limit.abs();
    let shares = if drawn {
        study.shares(if limited { &margins } else { &figured.columns.values })
    } else {
        Vec::new()
    };
    let evidence = (!shares.is_empty()).then(|| evidence(study.plan, &shares));
    let assumed = evidence.is_some_and(|evidence| evidence.assumed > 0.5);
    let confidence = study.plan.station.want.confidence;
    let (verdict, on_assumptions) = if !limited {
        (None, false)
    } else if !margin.is_finite() {
        (Some(Verdict::Unknown), false)
    } else if margin < 0.0 {
        (Some(Verdict::Over), false)
    } else if margin < wanted && value < rule.horizon || fits.is_some_and(|fits| fits < confidence) {
        (Some(Verdict::Tight), assumed)
    } else if assumed && fits.is_some_and(|fits| fits < SETTLED) {
        (Some(Verdict::Tight), true)
    } else {
        (Some(Verdict::Fits), false)
    };
    let figure = Figure {
        name: rule.figure,
        title: rule.title,
        unit: rule.unit,
        nominal: known(figured.nominal),
        value: known(value),
        low: drawn.then(|| quantile(&values, 0.05)).and_then(known),
        high: drawn.then(|| quantile(&values, 0.95)).and_then(known),
        censored: (value >= rule.horizon || drawn && quantile(&values, 0.95) >= rule.horizon)
            .then_some("above"),
        limit: known(limit),
        sense: rule.sense.name(),
        margin: known(margin),
        margin_low: (drawn && limited).then(|| quantile(&sorted_margins, 0.05)).and_then(known),
        margin_high: (drawn && limited).then(|| quantile(&sorted_margins, 0.95)).and_then(known),
        margin_unit: rule.unit,
        margin_wanted: known(wanted),
        fits_probability: fits,
        verdict: verdict.map(Verdict::name),
        on_assumptions,
        source: rule.source,
        driven_by: shares
            .iter()
            .filter(|(_, share)| *share >= LEAST_SHARE)
            .take(6)
            .map(|&(index, share)| Driver { path: FIELDS[index].path, share })
            .collect(),
        evidence,
        about: rule.about,
    };
    (figure, verdict)
}

fn evidence(plan: &Plan, shares: &[(usize, f64)]) -> Evidence {
    let mut evidence = Evidence { plan: 0.0, sheets: 0.0, assumed: 0.0, unexplained: 0.0 };
    let told = shares.iter().filter(|(_, share)| *share >= LEAST_SHARE);
    for &(index, share) in told {
        match plan.origins[index] {
            Origin::Given { .. } => evidence.plan += share,
            Origin::Sheet { .. } => evidence.sheets += share,
            Origin::Assumed => evidence.assumed += share,
        }
    }
    // Bin means of many inputs may add up to a little over one.
    let sum = evidence.plan + evidence.sheets + evidence.assumed;
    if sum > 1.0 {
        evidence.plan /= sum;
        evidence.sheets /= sum;
        evidence.assumed /= sum;
    }
    evidence.unexplained = (1.0 - sum).max(0.0);
    evidence
}

fn figure_finding(study: &Study<'_>, figured: &Figured, figure: &Figure, verdict: Verdict) -> Finding {
    let (rule, plan) = (figured.rule, study.plan);
    let about = rule
        .about
        .iter()
        .find(|path| {
            station::fields::index_of(path).is_some_and(|i| matches!(plan.origins[i], Origin::Given { .. }))
        })
        .or(rule.about.first())
        .map_or("", |path| path);
    let (says, how) = if verdict == Verdict::Unknown {
        let unknown =
            |path: &&str| index_of(path).is_some_and(|index| (FIELDS[index].get)(&plan.station).is_nan());
        let missing: Vec<&str> = rule.about.iter().copied().filter(unknown).collect();
        let what = if missing.is_empty() { "an input is".into() } else { missing.join(", ") };
        (format!("{} cannot be told: {what} not known", rule.title), String::new())
    } else {
        let mut engine = Engine::new(&plan.station, &plan.parts, &study.hoisted, Luck::Mean);
        let mut shown = Shown {
            plan,
            value: figure.value.unwrap_or(f64::NAN),
            limit: figure.limit.unwrap_or(f64::NAN),
            over: verdict == Verdict::Over,
            fits: figure.fits_probability,
            on_assumptions: figure.on_assumptions,
            engine: &mut engine,
        };
        ((rule.says)(&mut shown), (rule.to_do)(&mut shown))
    };
    let settle = figure.on_assumptions || verdict == Verdict::Unknown;
    let measured = if settle { measurement(plan, figure) } else { String::new() };
    let to_do = if measured.is_empty() { how } else { measured };
    Finding {
        code: rule.code,
        verdict: verdict.name(),
        figure: rule.figure,
        says,
        about: about.to_string(),
        at: at(plan, about),
        remedies: Vec::new(),
        to_do,
    }
}

fn check_finding(plan: &Plan, code: &'static str, found: &Found) -> Finding {
    Finding {
        code,
        verdict: found.verdict.name(),
        figure: "",
        says: found.says.clone(),
        about: found.about.clone(),
        at: at(plan, &found.about),
        remedies: Vec::new(),
        to_do: found.to_do.clone(),
    }
}

fn at(plan: &Plan, path: &str) -> At {
    let (file, place) = plan.place(path);
    At { file, line: place.line, column: place.column }
}

/// The measurement that would settle a figure most: its strongest assumed driver.
fn measurement(plan: &Plan, figure: &Figure) -> String {
    let assumed = figure.driven_by.iter().find(|driver| {
        station::fields::index_of(driver.path).is_some_and(|index| plan.origins[index] == Origin::Assumed)
    });
    match assumed.map(|driver| field(driver.path)) {
        Some(field) if !field.ask.is_empty() => format!("settle {}: {}", field.path, field.ask),
        Some(field) => format!("settle {}: measure it or look it up, and write it into the plan", field.path),
        None => String::new(),
    }
}

/// The cheapest step that settles most: the assumed fact worth asking for that drives most of what does not fit.
fn next_step(plan: &Plan, assessment: &Assessment) -> Next {
    let mut weight: BTreeMap<&'static str, f64> = BTreeMap::new();
    for budget in &assessment.budgets {
        for figure in
            budget.figures.iter().filter(|figure| figure.verdict.is_some_and(|verdict| verdict != "fits"))
        {
            for driver in &figure.driven_by {
                *weight.entry(driver.path).or_default() += driver.share;
            }
        }
    }
    // What stops a whole budget from being told comes before everything else.
    if let Some(missing) = plan.assumed().find(|field| field.path == "supply.kind") {
        weight.insert(missing.path, f64::MAX);
    }
    let asked = plan.assumed().filter(|field| !field.ask.is_empty() && field.nature != Nature::Wish);
    let best = asked
        .filter_map(|field| weight.get(field.path).map(|weight| (*weight, field)))
        .max_by(|a, b| a.0.total_cmp(&b.0));
    match best {
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

/// Sorted copy; not-a-numbers go last.
pub(crate) fn sorted(values: &[f64]) -> Vec<f64> {
    let mut values = values.to_vec();
    values.sort_by(f64::total_cmp);
    values
}

/// Quantile of sorted values, linear between neighbours; NaN where any value is none.
pub(crate) fn quantile(sorted: &[f64], p: f64) -> f64 {
    let Some(&last) = sorted.last() else { return f64::NAN };
    if last.is_nan() || sorted[0].is_nan() {
        return f64::NAN;
    }
    let at = p * (sorted.len() - 1) as f64;
    let (below, part) = (at.floor() as usize, at.fract());
    let above = (below + 1).min(sorted.len() - 1);
    sorted[below] + part * (sorted[above] - sorted[below])
}
