//! Remedies: changes of the plan that the program has recomputed and found to cure a finding.
//!
//! For each finding the paths its rule names are tried, the least effort first; each path has a ladder of values that
//! can be bought or set. A change is offered only when, recomputed, the finding is gone or better, no other figure
//! loses its verdict, none that does not fit gets worse and no check finds anything new. Wishes, facts of a part and
//! facts of the place are never changed; another part (`lens.sheet`) is. Where no single change helps, two at once are
//! tried: 12 V on a long cable cure nothing without the regulator that stands them.
//!
//! Three sieves keep it quick: the nominal station, then a prefix of 256 draws, then all draws. What is dear and not
//! touched by a change is computed once for all of them ([`Shared`]), and the number of assessments is bounded.

use crate::assessment::{Assessment, BudgetResult, Figure, Finding, Next, of_study, typed};
use crate::judge;
use crate::physics::Shared;
use crate::rule::Budget;
use crate::study::{Options, Study};
use models::energy::DAY_S;
use serde::Serialize;
use station::choices::SupplyKind;
use station::edit;
use station::fields::{FIELDS, Field, Kind, Nature, Station, field, index_of};
use station::plan::Plan;
use station::sheets::{KINDS, Library};
use station::text::Source;
use std::collections::BTreeMap;
use std::ops::Range;

/// Remedies shown for one finding.
const SHOWN: usize = 3;
/// Draws of the second sieve; a prefix of the full draws.
const PREFIX: u32 = 256;

/// Share of the prefix's draws from which a figure may fit as wanted (0.95) in all of them: two standard errors of 256.
const UNSURE: f64 = 0.92;

/// Assessments that one finding may cost, by sieve; those that another finding has paid for come free.
const PER_FINDING: [usize; 3] = [400, 64, 16];
/// Said of what does not fit whatever is changed.
const NO_CURE: &str = "no change that was tried cures this, alone or two at once; what would have to give";
/// Paths of which two are changed at once, the first of a rule's.
const PAIRED_PATHS: usize = 6;
/// Values of each that are tried, the nearest first.
const PAIRED_VALUES: usize = 4;
/// Pairs tried for one plan.
const PAIRS: usize = 480;

/// One change, or two at once, that cure a finding.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Remedy {
    /// What to set, path and value as in the plan.
    pub set: Changes,
    /// Verdict of the finding's figure or check after it.
    pub verdict: &'static str,
    /// How much trouble it is.
    pub effort: &'static str,
    /// What it costs or gains elsewhere.
    pub costs: Vec<Cost>,
}

impl Remedy {
    /// What to set, as one says it: `regulator.sheet = buck, supply.volt = 12 V`.
    pub fn written(&self) -> String {
        written(&self.set)
    }
}

fn written(set: &Changes) -> String {
    let each: Vec<String> = set.iter().map(|(path, value)| format!("{path} = {value}")).collect();
    each.join(", ")
}

/// A figure that a remedy moves.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cost {
    /// Budget of the figure.
    pub budget: &'static str,
    /// The figure.
    pub figure: &'static str,
    /// Unit of both numbers.
    pub unit: &'static str,
    /// Before.
    pub from: f64,
    /// After.
    pub to: f64,
}

/// Words for effort, the least first (trade judgement, from memory).
pub const EFFORTS: &[&str] = &["setting", "aiming", "wiring", "print", "part", "supply"];

/// A plan's assessment with its remedies. They are judged by draws: without draws there is none to offer.
pub fn assess(plan: &Plan, library: &Library, options: Options) -> Assessment {
    let mut assessment = of_study(&Study::new(plan, options));
    if options.draws > 0 {
        seek(plan, library, options, &mut assessment);
    }
    assessment
}

/// Fills in the remedies of every finding. The plan is re-read for changes of sheets, hence the library.
pub fn seek(plan: &Plan, library: &Library, options: Options, assessment: &mut Assessment) {
    seek_sharing(plan, library, options, assessment, &Shared::new(options.draws));
}

/// As [`seek`], with what it computes once for all changes, so that this can be looked at.
pub fn seek_sharing(
    plan: &Plan,
    library: &Library,
    options: Options,
    assessment: &mut Assessment,
    shared: &Shared,
) {
    let sieves = [0, PREFIX.min(options.draws), options.draws].map(|draws| Options { draws, ..options });
    let before = |sieve: usize| of_study(&Study::sharing(plan, sieves[sieve], shared));
    let mut search = Search {
        plan,
        library,
        shared: shared.clone(),
        sieves,
        before: [before(0), before(1), assessment.clone()],
        tried: BTreeMap::new(),
        left: PER_FINDING,
        pairs_left: PAIRS,
        blocked: None,
    };
    let mut uncured = Vec::new();
    for finding in assessment.budgets.iter_mut().flat_map(|budget| &mut budget.findings) {
        let freed = fixed(plan, finding);
        let paths: Vec<&str> =
            freed.iter().map(String::as_str).chain(tries(finding).iter().copied()).collect();
        let mut remedies: Vec<Remedy> = Vec::new();
        search.left = PER_FINDING;
        search.blocked = None;
        for path in &paths {
            if remedies.iter().filter(|remedy| remedy.verdict == "fits").count() >= SHOWN {
                break;
            }
            // Beside a cure nobody wants what only makes it milder, and no more of those than are shown.
            let cured = remedies.iter().any(|remedy| remedy.verdict == "fits");
            remedies.extend(search.first_cure(finding, path, cured || remedies.len() >= SHOWN));
        }
        if remedies.is_empty() && finding.verdict == "over" {
            remedies.extend(search.first_pair(finding, &paths[..paths.len().min(PAIRED_PATHS)]));
        }
        remedies.sort_by_key(|remedy| (remedy.verdict != "fits", effort_rank(remedy)));
        if remedies.first().is_some_and(|best| best.verdict == "fits") {
            remedies.retain(|remedy| remedy.verdict == "fits");
        }
        remedies.truncate(SHOWN);
        if let (Some((first, set)), true) = (search.blocked.take(), remedies.is_empty()) {
            let field = field(first);
            let how = if field.ask.is_empty() { field.help } else { field.ask };
            finding.to_do = format!("settle {first} first ({how}): then {} cures it", written(&set));
            finding.settle = first;
        }
        if remedies.is_empty() && finding.verdict == "over" && finding.settle.is_empty() && !paths.is_empty()
        {
            let gives = if finding.to_do.is_empty() { "what is wanted" } else { finding.to_do.as_str() };
            finding.to_do = format!("{NO_CURE}: {gives}");
            uncured.push(finding.code);
        }
        finding.remedies = remedies;
    }
    assessment.uncured = uncured;
    // A recomputed setting that cures what does not fit is a cheaper next step than any measurement; one that only
    // gives more room comes after the measurements.
    let settles = |verdict: &'static str, any: bool| {
        numbered(assessment).into_iter().enumerate().find(move |(_, (finding, remedy))| {
            finding.verdict == verdict && remedy.verdict == "fits" && (any || remedy.effort == EFFORTS[0])
        })
    };
    let measures = assessment.next.as_ref().is_some_and(|next| !next.at.is_empty());
    let cure = settles("over", false).or_else(|| {
        // What does not fit and needs more than a setting: only where there is nothing left to measure.
        if measures { None } else { settles("over", true).or_else(|| settles("tight", false)) }
    });
    if let Some((at, (_, remedy))) = cure {
        let path = remedy.set.keys().next().cloned().unwrap_or_default();
        let file = typed(&assessment.file);
        let says = format!("doorwright check {file} --fix-with {} ({})", at + 1, remedy.written());
        assessment.next = Some(Next { at: path, says });
        return;
    }
    // Nothing to change and nothing to measure: then it is the wish that gives.
    let mut findings = assessment.budgets.iter().flat_map(|budget| &budget.findings);
    let stuck = findings.find(|finding| assessment.uncured.contains(&finding.code));
    if let (Some(stuck), false) = (stuck, measures) {
        assessment.next = Some(Next { at: String::new(), says: stuck.to_do.clone() });
    }
}

/// All remedies in the order in which faces number them; one that serves several findings has one number.
pub fn numbered(assessment: &Assessment) -> Vec<(&Finding, &Remedy)> {
    let mut numbered: Vec<(&Finding, &Remedy)> = Vec::new();
    for finding in assessment.budgets.iter().flat_map(|budget| &budget.findings) {
        for remedy in &finding.remedies {
            if !numbered.iter().any(|(_, known)| known.set == remedy.set) {
                numbered.push((finding, remedy));
            }
        }
    }
    numbered
}

/// Demands that the plan fixes to a pin and that the finding is about, or may be: letting them go is tried first.
fn fixed(plan: &Plan, finding: &Finding) -> Vec<String> {
    plan.parts
        .demands
        .iter()
        // A demand of another sheet than its name says would lose it with the edit.
        .filter(|demand| demand.demand.fixed.is_some() && demand.sheet == demand.name.replace('_', "-"))
        .map(|demand| format!("pins.{}", demand.name))
        .filter(|path| finding.about == *path || finding.code == "pins.no-place")
        .collect()
}

fn tries(finding: &Finding) -> &'static [&'static str] {
    crate::rules::all()
        .find(|rule| rule.code == finding.code && rule.figure == finding.figure)
        .map(|rule| rule.tries)
        .or_else(|| crate::rules::checks().find(|check| check.code == finding.code).map(|check| check.tries))
        .unwrap_or(&[])
}

/// A changed plan with its assessments under the sieves that it came to.
struct Tried {
    plan: Plan,
    after: [Option<Assessment>; 3],
}

/// Paths with the values that they are set to.
pub type Changes = BTreeMap<String, String>;

/// The search over one plan: what was before, and what was tried already.
struct Search<'a> {
    plan: &'a Plan,
    library: &'a Library,
    shared: Shared,
    sieves: [Options; 3],
    before: [Assessment; 3],
    tried: BTreeMap<Changes, Option<Tried>>,
    /// Assessments that the finding may still cost, by sieve.
    left: [usize; 3],
    pairs_left: usize,
    /// The first change that would cure the finding once a value that is assumed is measured, and that value's path.
    blocked: Option<(&'static str, Changes)>,
}

impl Search<'_> {
    /// The first value on a path's ladder that cures the finding with room, else the first that makes it milder.
    fn first_cure(&mut self, finding: &Finding, path: &str, cures_only: bool) -> Option<Remedy> {
        let values = ladder(path, self.plan, self.library);
        let each = values.into_iter().map(|value| BTreeMap::from([(path.to_string(), value)]));
        self.first(finding, each, cures_only)
    }

    /// As [`Self::first_cure`], two paths at once.
    fn first_pair(&mut self, finding: &Finding, paths: &[&str]) -> Option<Remedy> {
        let ladders: Vec<Vec<(String, String)>> = paths
            .iter()
            .map(|path| {
                let values = ladder(path, self.plan, self.library).into_iter().take(PAIRED_VALUES);
                values.map(|value| ((*path).to_string(), value)).collect()
            })
            .collect();
        let mut pairs = Vec::new();
        for (at, first) in ladders.iter().enumerate() {
            for second in &ladders[at + 1..] {
                let both = |a: &(String, String)| {
                    let a = a.clone();
                    second.iter().map(move |b| BTreeMap::from([a.clone(), b.clone()]))
                };
                pairs.extend(first.iter().flat_map(both));
            }
        }
        pairs.truncate(self.pairs_left);
        self.pairs_left -= pairs.len();
        let pair = self.first(finding, pairs.into_iter(), false)?;
        // The sieves may have lost a change that does it alone: they look at few draws.
        let alone = pair.set.iter().map(|(path, value)| BTreeMap::from([(path.clone(), value.clone())]));
        let found = alone.into_iter().find_map(|set| {
            let verdict = self.verdict_with(finding, &set, 2..3)?;
            (rank(verdict) <= rank(pair.verdict)).then(|| self.remedy(finding, set, verdict))
        });
        Some(found.unwrap_or(pair))
    }

    fn first(
        &mut self,
        finding: &Finding,
        changes: impl Iterator<Item = Changes>,
        cures_only: bool,
    ) -> Option<Remedy> {
        // All draws are for what the second sieve takes for a cure; what only makes it milder waits until there is none.
        let (mut cure, mut milder) = (None, Vec::new());
        for set in changes {
            let Some(verdict) = self.verdict_with(finding, &set, 0..2) else { continue };
            let verdict =
                if verdict == "fits" { self.verdict_with(finding, &set, 0..3) } else { Some(verdict) };
            match verdict {
                Some("fits") => {
                    cure = Some((set, "fits"));
                    break;
                }
                Some(_) if !cures_only => milder.push(set),
                _ => {}
            }
        }
        let (set, verdict) = cure.or_else(|| {
            milder.into_iter().find_map(|set| {
                let verdict = self.verdict_with(finding, &set, 0..3)?;
                Some((set, verdict))
            })
        })?;
        Some(self.remedy(finding, set, verdict))
    }

    /// A change that has been tried in full, as it is offered.
    fn remedy(&self, finding: &Finding, set: Changes, verdict: &'static str) -> Remedy {
        let costs = match self.tried.get(&set) {
            Some(Some(Tried { after: [.., Some(after)], .. })) => costs(finding, &self.before[2], after),
            _ => Vec::new(),
        };
        let effort = set.keys().map(|path| effort(path)).max().unwrap_or(0);
        Remedy { set, verdict, effort: EFFORTS[effort], costs }
    }

    /// Verdict of the finding after a change that helps and harms nothing, through these sieves; `None` also when the
    /// finding has used up what it may cost.
    fn verdict_with(
        &mut self,
        finding: &Finding,
        set: &Changes,
        sieves: Range<usize>,
    ) -> Option<&'static str> {
        if !self.tried.contains_key(set) {
            let plan = change(self.plan, self.library, set);
            self.tried.insert(set.clone(), plan.map(|plan| Tried { plan, after: [const { None }; 3] }));
        }
        let Tried { plan, after } = self.tried.get_mut(set)?.as_mut()?;
        let mut verdict = None;
        for sieve in sieves {
            let before = &self.before[sieve];
            if after[sieve].is_none() {
                self.left[sieve] = self.left[sieve].checked_sub(1)?;
            }
            let assess = || of_study(&Study::sharing(plan, self.sieves[sieve], &self.shared));
            let after = after[sieve].get_or_insert_with(assess);
            verdict = Some(better(finding, before, after)?);
            let last = sieve + 1 == self.before.len();
            if !harmless(before, after, !last) {
                if last && verdict == Some("fits") && self.blocked.is_none() {
                    self.blocked = blocked(plan, before, after).map(|first| (first, set.clone()));
                }
                return None;
            }
        }
        verdict
    }
}

/// What must be measured before a change that cures can be taken: all that it costs is that one figure then rests on an
/// assumption.
fn blocked(plan: &Plan, before: &Assessment, after: &Assessment) -> Option<&'static str> {
    let harmed = harmed(before, after)?;
    let first = harmed.first().filter(|_| harmed.iter().all(|figure| figure.on_assumptions))?;
    judge::measurement(plan, first).map(|(_, path)| path)
}

/// The verdict after a change, if it is better than before: the finding is gone, or milder.
fn better(finding: &Finding, before: &Assessment, after: &Assessment) -> Option<&'static str> {
    let severity = |assessment: &Assessment| {
        let mut budgets = assessment.budgets.iter();
        if finding.figure.is_empty() {
            let findings = budgets.flat_map(|budget| &budget.findings);
            let same = findings.filter(|other| other.code == finding.code && other.about == finding.about);
            return same.map(|other| rank(other.verdict)).max();
        }
        // By the figure, not by its finding: a finding may be silent behind another.
        let figure =
            budgets.find_map(|budget| budget.figures.iter().find(|figure| figure.name == finding.figure));
        figure.and_then(|figure| figure.verdict).map(rank).filter(|rank| *rank > 0)
    };
    match (severity(before), severity(after)) {
        (_, None) => Some("fits"),
        (Some(before), Some(1)) if before > 1 => Some("tight"),
        // Without draws a figure that is only unsure shows no finding; the next sieve decides.
        (None, _) => Some("tight"),
        _ => None,
    }
}

/// Whether a change costs nothing: no other figure loses its verdict, none that does not fit gets worse, no check finds
/// anything new, be it only tight: one trouble is not traded for another behind the maker's back. A `coarse` sieve leaves
/// to the last one what its few draws cannot tell: a figure that is only a little unsure.
fn harmless(before: &Assessment, after: &Assessment, coarse: bool) -> bool {
    let may_fit = |figure: &&Figure| {
        figure.verdict == Some("tight") && figure.fits_probability.is_some_and(|fits| fits >= UNSURE)
    };
    harmed(before, after).is_some_and(|harmed| harmed.iter().all(|figure| coarse && may_fit(figure)))
}

/// The figures that lose their verdict or get worse; `None` where a check or safety does.
fn harmed<'a>(before: &Assessment, after: &'a Assessment) -> Option<Vec<&'a Figure>> {
    let mut harmed = Vec::new();
    for after in &after.budgets {
        // A budget that nothing was told of had no row: all that it says now is new.
        let had = before.budgets.iter().find(|before| before.name == after.name);
        let had_figures = had.map_or(&[][..], |had| &had.figures);
        let had_findings = had.map_or(&[][..], |had| &had.findings);
        let mut checks = after.findings.iter().filter(|finding| finding.figure.is_empty());
        let sound = checks.all(|finding| {
            let same = |was: &&Finding| was.code == finding.code && was.about == finding.about;
            had_findings.iter().filter(same).any(|was| rank(was.verdict) >= rank(finding.verdict))
        });
        if !sound || after.name == Budget::Safety.name() && !as_safe(had_figures, had_findings, after) {
            return None;
        }
        harmed.extend(after.figures.iter().filter(|figure| {
            let Some(was) = had_figures.iter().find(|was| was.name == figure.name) else {
                return figure.verdict.is_some_and(|verdict| rank(verdict) >= 2);
            };
            let (now, then) = (figure.verdict.map_or(0, rank), was.verdict.map_or(0, rank));
            now > then || now == then && now == 3 && figure.margin < was.margin
        }));
    }
    Some(harmed)
}

/// Safety is never traded: no finding that was not there, however mild, none worse, no figure with a finding less safe.
fn as_safe(had_figures: &[Figure], had_findings: &[Finding], after: &BudgetResult) -> bool {
    let findings = after.findings.iter().all(|finding| {
        let same = |was: &&Finding| was.code == finding.code && was.figure == finding.figure;
        had_findings.iter().filter(same).any(|was| rank(was.verdict) >= rank(finding.verdict))
    });
    let figures =
        after.figures.iter().filter(|figure| figure.verdict.is_some_and(|verdict| rank(verdict) > 0));
    findings
        && figures.into_iter().all(|figure| {
            had_figures
                .iter()
                .find(|was| was.name == figure.name)
                .is_some_and(|was| figure.margin >= was.margin)
        })
}

fn rank(verdict: &str) -> u8 {
    match verdict {
        "fits" => 0,
        "tight" => 1,
        "unknown" => 2,
        _ => 3,
    }
}

/// Limited figures elsewhere that lose more than a twentieth of their room, the greatest loss first.
fn costs(finding: &Finding, before: &Assessment, after: &Assessment) -> Vec<Cost> {
    let mut costs = Vec::new();
    for after in &after.budgets {
        let Some(before) = before.budgets.iter().find(|before| before.name == after.name) else { continue };
        for figure in after.figures.iter().filter(|figure| figure.name != finding.figure) {
            let Some(was) = before.figures.iter().find(|was| was.name == figure.name) else { continue };
            let (Some(from), Some(to)) = (was.value, figure.value) else { continue };
            let (Some(had), Some(has)) = (was.margin, figure.margin) else { continue };
            let lost = (had - has) / had.abs().max(1e-12);
            // A small loss of a small margin is no cost that anybody would weigh.
            if lost > 0.05 && (to - from).abs() > 0.02 * from.abs() {
                costs.push((
                    lost,
                    Cost { budget: before.name, figure: figure.name, unit: figure.unit, from, to },
                ));
            }
        }
    }
    costs.sort_by(|a, b| b.0.total_cmp(&a.0));
    costs.into_iter().map(|(_, cost)| cost).collect()
}

/// The plan with some changes, if it can be read.
fn change(plan: &Plan, library: &Library, set: &Changes) -> Option<Plan> {
    let changes = set.iter().map(|(path, value)| (path.as_str(), value.as_str()));
    let text = edit::set_all(&plan.source.text, changes).ok()?;
    Plan::read(Source::new(plan.source.name.clone(), text), library).ok()
}

fn effort_rank(remedy: &Remedy) -> usize {
    EFFORTS.iter().position(|effort| *effort == remedy.effort).unwrap_or(EFFORTS.len())
}

fn effort(path: &str) -> usize {
    let (part, key) = path.split_once('.').unwrap_or((path, ""));
    match (part, key) {
        ("cell", "cutoff" | "hysteresis") => 0,
        ("solar", "tilt" | "facing") | ("case", "sun" | "sky_view") => 1,
        (
            "supply",
            "polarity" | "capacitor" | "capacitor_kind" | "reservoir" | "chime_in_series" | "c_to_c",
        ) => 2,
        (_, "sheet") | ("solar", "charger") => 4,
        ("supply" | "solar" | "cell", _) => 5,
        ("cable" | "pins" | "wiring", _) | ("release", "place" | "suppressor") => 2,
        ("site", "cells_indoors") => 2,
        ("radio", "metal") => 3,
        ("notice", "sounder") => 4,
        ("notice", "backup") => 5,
        ("radio", "antenna") => 4,
        ("case" | "cover", _) | ("plate", "size" | "rim" | "metal") => 3,
        ("board", "sink" | "pad") => 4,
        ("camera", "height" | "tilt" | "turn" | "offset" | "mounting") | ("lens", "focus") => 1,
        ("lamp", "lumens" | "porch" | "infrared") => 4,
        ("lamp", "own_window" | "infrared_offset") | ("site", "overhang") => 3,
        ("camera", "window_gap" | "window_radius") | ("plate", "height" | "from_lens" | "lead") => 3,
        _ => 0,
    }
}

/// Values of a path that can be bought or set, the nearest to the present one first.
fn ladder(path: &str, plan: &Plan, library: &Library) -> Vec<String> {
    if path.starts_with("pins.") {
        return vec!["any".into()];
    }
    if let Some((part, "sheet")) = path.split_once('.') {
        let Some(kind) = KINDS.iter().find(|kind| kind.part == part) else { return Vec::new() };
        let present = plan.sheet(kind.name).map(|sheet| sheet.name.as_str());
        return library
            .names(kind.name)
            .into_iter()
            .filter(|name| Some(*name) != present)
            .map(str::to_string)
            .collect();
    }
    let Some(field) = index_of(path).map(|index| &FIELDS[index]) else { return Vec::new() };
    if field.nature != Nature::Choice {
        return Vec::new();
    }
    let present = (field.get)(&plan.station);
    let mut numbers: Vec<f64> =
        steps(field, &plan.station).into_iter().filter(|step| *step != present).collect();
    if field.is_number() && present.is_finite() {
        numbers.sort_by(|a, b| (a - present).abs().total_cmp(&(b - present).abs()));
    }
    numbers.into_iter().map(|number| field.toml(number).trim_matches('"').to_string()).collect()
}

/// Picture sizes that sensors of this kind offer.
pub(crate) const SIZES: &[(u16, u16)] = &[
    (320, 240),
    (400, 296),
    (640, 480),
    (800, 600),
    (1024, 768),
    (1280, 720),
    (1280, 1024),
    (1600, 1200),
    (2048, 1536),
    (2560, 1920),
];

fn steps(field: &Field, station: &Station) -> Vec<f64> {
    // Division, so that 0.22 mm² stays the number that is printed.
    // Through text, as a plan's reader does: 0.34 mm2 divided by a million prints as 3.4000000000000003e-7 m2.
    let scaled = |values: &[f64], exp10: i32| -> Vec<f64> {
        values.iter().filter_map(|value| format!("{value}e{exp10}").parse().ok()).collect()
    };
    match (field.path, field.kind) {
        (_, Kind::YesNo) => vec![0.0, 1.0],
        (_, Kind::Choice { names }) => (0..names.len()).map(|index| index as f64).collect(),
        (_, Kind::Size) => {
            let pixels = f64::from(station.camera.size.width_px) * f64::from(station.camera.size.height_px);
            let mut sizes: Vec<_> = SIZES.to_vec();
            sizes.sort_by(|a, b| {
                let far = |(w, h): &(u16, u16)| (f64::from(*w) * f64::from(*h) / pixels).ln().abs();
                far(a).total_cmp(&far(b))
            });
            sizes.into_iter().map(|(w, h)| f64::from(w) * 65_536.0 + f64::from(h)).collect()
        }
        ("cell.parallel" | "cell.series", _) => vec![1.0, 2.0, 3.0, 4.0],
        // Beyond twice the printed tables a face is lost in blocks: no cure, another finding.
        ("camera.quality", _) => vec![8.0, 10.0, 12.0, 14.0, 16.0, 18.0, 20.0, 24.0],
        // The channels that do not overlap.
        ("router.channel", _) => vec![1.0, 6.0, 11.0],
        (_, Kind::Count { low, high }) => (low..=high.min(low + 20)).map(f64::from).collect(),
        ("cable.section", _) => scaled(&[0.14, 0.22, 0.34, 0.5, 0.75, 1.0, 1.5, 2.5], -6),
        // A USB source, a power bank and cells have the voltage that they have; a bell transformer is printed with one
        // of a few (typical, from memory).
        ("supply.volt", _) => match station.supply.kind {
            SupplyKind::Adapter => vec![5.0, 5.1, 9.0, 12.0, 15.0, 24.0],
            SupplyKind::Bell => vec![8.0, 12.0, 24.0],
            _ => Vec::new(),
        },
        ("supply.limit", _) => vec![0.5, 1.0, 1.5, 2.0, 3.0],
        ("supply.rated", _) => vec![4.0, 8.0, 12.0, 16.0, 24.0, 30.0],
        ("supply.capacitor" | "supply.reservoir", _) => {
            scaled(&[100.0, 220.0, 470.0, 1000.0, 2200.0, 4700.0, 10_000.0, 33_000.0], -6)
        }
        ("rest.idle_every", _) => vec![5.0, 10.0, 30.0, 60.0, 300.0, 900.0, 3600.0, 21_600.0],
        ("rest.pre_roll", _) => vec![0.0, 2.0, 5.0],
        ("rest.relearn_every", _) => vec![600.0, 1800.0, 3600.0, 7200.0],
        ("camera.height", _) => (6..=40).map(|step| f64::from(step) / 20.0).collect(),
        ("camera.tilt" | "camera.turn", _) => {
            (-8..=8).map(|step| f64::from(step) * 5.0_f64.to_radians()).collect()
        }
        ("camera.longest_exposure", _) => scaled(&[33.0, 66.0, 100.0, 250.0], -3),
        ("plate.from_lens", _) => scaled(&[80.0, 100.0, 150.0, 200.0], -3),
        ("camera.clock", _) => scaled(&[8.0, 10.0, 12.0, 16.0, 20.0, 24.0], 6),
        ("camera.window_gap", _) => scaled(&[0.5, 1.0, 2.0, 3.0], -3),
        ("camera.window_radius", _) => scaled(&[4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0], -3),
        ("case.absorptance", _) => vec![0.35, 0.5, 0.7],
        ("case.sun", _) => vec![0.2, 0.5],
        ("case.sky_view", _) => vec![0.1, 0.2],
        ("case.vent", _) => scaled(&[100.0, 250.0, 500.0, 1000.0], -6),
        ("cover.thickness", _) => scaled(&[0.5, 1.0, 1.5, 2.0, 3.0, 4.0], -3),
        ("plate.lead", _) => scaled(&[30.0, 50.0, 100.0, 150.0], -3),
        ("plate.size" | "plate.metal", _) => scaled(&[10.0, 20.0, 30.0, 40.0, 60.0], -3),
        ("plate.rim", _) => scaled(&[10.0, 15.0, 20.0], -3),
        ("plate.period", _) => scaled(&[10.0, 15.0, 20.0, 30.0], -3),
        ("plate.average", _) => scaled(&[20.0, 40.0, 100.0], -3),
        ("plate.longest", _) => vec![10.0, 20.0, 30.0],
        ("plate.resistor", _) => vec![470.0, 1000.0, 2200.0],
        ("plate.height", _) => (16..=24).map(|step| f64::from(step) / 20.0).collect(),
        ("keep.pictures", _) => vec![DAY_S, 2.0 * DAY_S, 3.0 * DAY_S],
        ("release.seconds", _) => vec![3.0, 5.0, 8.0, 10.0],
        ("lens.focus", _) => vec![0.4, 0.5, 0.6, 0.7, 0.8, 1.0],
        // Lamps as they are sold, and what a lux meter then reads.
        ("lamp.lumens", _) if station.lamp.porch_lx.is_nan() => vec![100.0, 250.0, 470.0, 806.0, 1521.0],
        ("lamp.porch", _) if station.lamp.porch_lx.is_finite() => {
            vec![5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0]
        }
        ("lamp.infrared", _) if station.lamp.infrared_w > 0.0 => vec![0.1, 0.2, 0.5, 1.0, 2.0],
        ("lamp.infrared_offset", _) => scaled(&[20.0, 50.0, 100.0, 150.0], -3),
        ("site.overhang", _) => scaled(&[1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 15.0], -1),
        ("net.window", _) => scaled(&[5.7, 11.5, 23.0, 46.0, 64.0], 3),
        ("solar.peak", _) => vec![1.0, 2.0, 3.0, 5.0, 10.0, 20.0, 30.0, 50.0],
        ("solar.tilt", _) => [30.0_f64, 45.0, 60.0, 70.0, 90.0].map(f64::to_radians).to_vec(),
        ("cell.cutoff", _) => vec![1.0, 2.5, 2.8, 3.0, 3.2],
        ("notice.keep_alive", _) => vec![20.0, 15.0, 10.0],
        // A spacer that is enough, and the case's own stand-offs.
        ("radio.metal", _) => scaled(&[20.0, 30.0], -3),
        ("cell.hysteresis", _) => vec![0.1, 0.2, 0.3],
        _ => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn effort_is_what_a_maker_has_to_do() {
        for (path, words) in [
            ("camera.size", "setting"),
            ("cell.cutoff", "setting"),
            ("cell.hysteresis", "setting"),
            ("camera.tilt", "aiming"),
            ("solar.tilt", "aiming"),
            ("pins.plate", "wiring"),
            ("supply.capacitor", "wiring"),
            ("supply.polarity", "wiring"),
            ("cable.section", "wiring"),
            ("case.thickness", "print"),
            ("regulator.sheet", "part"),
            ("supply.volt", "supply"),
            ("cell.parallel", "supply"),
        ] {
            assert_eq!(EFFORTS[effort(path)], words, "{path}");
            let (part, key) = path.split_once('.').unwrap();
            assert!(part == "pins" || key == "sheet" || index_of(path).is_some(), "{path}");
        }
    }
}
