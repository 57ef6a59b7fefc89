//! From columns of draws to verdicts: how a figure, and a budget of them, is judged.
//!
//! The one place that says what `fits`, `tight`, `over` and `unknown` mean: `over` where the median does not fit; `tight`
//! where there is less room than wanted, fewer builds fit than wanted, or most of the spread is assumed; `unknown`
//! where there is no answer. A draw without an answer counts as one that does not fit; an infinite answer is one.

use crate::assessment::{At, BudgetResult, Driver, Evidence, Figure, Finding};
use crate::physics::Engine;
use crate::rule::{Budget, Found, Shown, Verdict};
use crate::rules::in_builds;
use crate::study::{Figured, Study};
use models::luck::Luck;
use station::fields::{FIELDS, field, index_of};
use station::plan::{Origin, Plan};

/// Drivers below this share of variance are not told: with 2,048 draws, noise alone reaches 1 %.
const LEAST_SHARE: f64 = 0.02;
/// A verdict that hardly any draw changes does not rest on what was assumed.
const SETTLED: f64 = 0.99;

/// A finding with its verdict and the codes behind which it is silent.
type Raised = (Verdict, Finding, &'static [&'static str]);

pub(crate) fn budget_result(
    study: &Study<'_>,
    budget: Budget,
    all_fit: &mut [bool],
) -> (Verdict, BudgetResult) {
    let mut worst = Verdict::Fits;
    let mut fit = vec![true; study.options.draws as usize];
    let (mut figures, mut findings) = (Vec::new(), Vec::<Raised>::new());
    for (figured, figure, verdict) in judged(study, budget) {
        if let Some(verdict) = verdict {
            worst = worst.max(verdict);
            // A cause is counted by the figure that it feeds.
            if figured.rule.feeds.is_empty() {
                for (fit, margin) in fit.iter_mut().zip(figured.margins()) {
                    *fit &= margin >= 0.0;
                }
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
    let together = share_true(&fit);
    if worst == Verdict::Fits && study.options.draws > 0 && together < study.plan.station.want.confidence {
        worst = Verdict::Tight;
        findings.extend(together_finding(study, &figures, budget, together));
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
        fits_probability: (study.options.draws > 0 && worst != Verdict::Unknown && budget != Budget::Safety)
            .then_some(together),
        rules: (budget == Budget::Safety).then(crate::rules::safety_rules),
        figures,
        findings: findings.into_iter().map(|(_, finding, _)| finding).collect(),
    };
    (worst, result)
}

/// The budget's figures with their verdicts: a cause is at most tight while what it feeds does not fail.
fn judged<'s>(study: &'s Study<'_>, budget: Budget) -> Vec<(&'s Figured, Figure, Option<Verdict>)> {
    let figures = study.figures.iter().filter(|figured| figured.rule.budget == budget);
    let mut judged: Vec<_> = figures
        .map(|figured| {
            let (figure, verdict) = figure(study, figured);
            (figured, figure, verdict)
        })
        .collect();
    let over = |(_, figure, verdict): &(&Figured, Figure, Option<Verdict>)| {
        (*verdict == Some(Verdict::Over)).then_some(figure.name)
    };
    let failed: Vec<&str> = judged.iter().filter_map(over).collect();
    for (figured, figure, verdict) in &mut judged {
        let feeds = figured.rule.feeds;
        if *verdict == Some(Verdict::Over) && !feeds.is_empty() && !failed.contains(&feeds) {
            *verdict = Some(Verdict::Tight);
            figure.verdict = verdict.map(Verdict::name);
        }
    }
    judged
}

pub(crate) fn share_true(flags: &[bool]) -> f64 {
    flags.iter().filter(|&&flag| flag).count() as f64 / flags.len().max(1) as f64
}

/// The number, unless it is none.
fn known(number: f64) -> Option<f64> {
    number.is_finite().then_some(number)
}

fn figure(study: &Study<'_>, figured: &Figured) -> (Figure, Option<Verdict>) {
    let rule = figured.rule;
    let drawn = !figured.columns.values.is_empty();
    // A draw that has no answer counts as one that does not fit, and shows in no interval.
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
    let fits = (drawn && limited && !margin.is_nan())
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
    } else if margin.is_nan() {
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
            // A sheet that says itself that nobody looked the value up is an assumption in another place.
            Origin::Sheet { sheet, value }
                if plan.sheets[sheet].values[value].source.contains("from memory") =>
            {
                evidence.assumed += share;
            }
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
        let why = if missing.is_empty() {
            "outside the range in which the model holds".into()
        } else {
            format!("{} not known", missing.join(", "))
        };
        let ask = missing.first().map_or("", |path| field(path).ask);
        (format!("{} cannot be told: {why}", rule.title), ask.to_string())
    } else {
        let mut engine = Engine::new(&plan.station, &plan.parts, &study.hoisted, Luck::Mean);
        let mut shown = Shown {
            plan,
            value: median(&figured.columns.values, figured.nominal),
            limit: median(&figured.columns.limits, figured.nominal_limit),
            over: verdict == Verdict::Over || figure.margin.is_some_and(|margin| margin < 0.0),
            fits: figure.fits_probability,
            on_assumptions: figure.on_assumptions,
            engine: &mut engine,
        };
        ((rule.says)(&mut shown), (rule.to_do)(&mut shown))
    };
    let settle = figure.on_assumptions || verdict == Verdict::Unknown;
    let asked = if settle { measurement(plan, figure) } else { None };
    let (to_do, settle) = asked.map_or((how, ""), |(says, path)| (says, path));
    Finding {
        code: rule.code,
        verdict: verdict.name(),
        figure: rule.figure,
        says,
        about: about.to_string(),
        at: at(plan, about),
        assumed: assumed(plan, about),
        remedies: Vec::new(),
        to_do,
        settle,
    }
}

/// Each figure fits surely enough, all of them at once do not: told at the least sure one.
fn together_finding(study: &Study<'_>, figures: &[Figure], budget: Budget, together: f64) -> Option<Raised> {
    let least = figures
        .iter()
        .filter(|figure| figure.fits_probability.is_some())
        .min_by(|a, b| a.fits_probability.partial_cmp(&b.fits_probability).expect("shares are numbers"))?;
    let figured = study.figures.iter().find(|figured| figured.rule.figure == least.name)?;
    let mut finding = figure_finding(study, figured, least, Verdict::Tight);
    finding.says = format!(
        "each figure of {} fits surely enough, but all at once only in {} such builds; least sure: {}",
        budget.name(),
        in_builds(together),
        least.title
    );
    (finding.to_do, finding.settle) = measurement(study.plan, least).unwrap_or_default();
    Some((Verdict::Tight, finding, &[]))
}

fn check_finding(plan: &Plan, code: &'static str, found: &Found) -> Finding {
    Finding {
        code,
        verdict: found.verdict.name(),
        figure: "",
        says: found.says.clone(),
        about: found.about.clone(),
        at: at(plan, &found.about),
        assumed: assumed(plan, &found.about),
        remedies: Vec::new(),
        to_do: found.to_do.clone(),
        settle: "",
    }
}

fn assumed(plan: &Plan, path: &str) -> bool {
    index_of(path).is_some_and(|index| plan.origins[index] == Origin::Assumed)
}

fn at(plan: &Plan, path: &str) -> Option<At> {
    let (file, place) = plan.place(path)?;
    Some(At { file, line: place.line, column: place.column })
}

/// Least share of a margin's spread for which a measurement is asked.
const TELLING_SHARE: f64 = 0.05;

/// The measurement that would settle a figure most: its strongest assumed driver.
pub(crate) fn measurement(plan: &Plan, figure: &Figure) -> Option<(String, &'static str)> {
    // A smaller share may be mere noise of the draws: nobody should measure for it.
    let mut telling = figure.driven_by.iter().filter(|driver| driver.share >= TELLING_SHARE);
    let assumed = telling.find(|driver| {
        station::fields::index_of(driver.path).is_some_and(|index| plan.origins[index] == Origin::Assumed)
    });
    let field = field(assumed?.path);
    let says = if field.ask.is_empty() {
        format!("it rests on {} ({}), which is assumed", field.path, field.help)
    } else {
        format!("settle {}: {}", field.path, field.ask)
    };
    Some((says, field.path))
}

/// Sorted copy of what is a number.
pub(crate) fn sorted(values: &[f64]) -> Vec<f64> {
    let mut values: Vec<f64> = values.iter().copied().filter(|value| !value.is_nan()).collect();
    values.sort_by(f64::total_cmp);
    values
}

/// Quantile of sorted values, linear between neighbours; NaN of none.
pub(crate) fn quantile(sorted: &[f64], p: f64) -> f64 {
    if sorted.is_empty() {
        return f64::NAN;
    }
    let at = p * (sorted.len() - 1) as f64;
    let (below, part) = (at.floor() as usize, at.fract());
    let (low, high) = (sorted[below], sorted[(below + 1).min(sorted.len() - 1)]);
    if low.is_infinite() || high.is_infinite() {
        return if part < 0.5 { low } else { high };
    }
    low + part * (high - low)
}

/// Median over draws; the nominal number without draws.
fn median(draws: &[f64], nominal: f64) -> f64 {
    if draws.is_empty() { nominal } else { quantile(&sorted(draws), 0.5) }
}
