//! The four plans that ship, changed as a test wants them, and their figures: what the other files here start from.

use budgets::assessment::{Assessment, Figure, Finding, assess};
use budgets::study::Options;
use station::edit;
use station::plan::Plan;
use station::sheets::Library;
use station::text::Source;

pub(crate) const GATE: &str = include_str!("../../../../plans/kiln-yard-gate.toml");
pub(crate) const STORE: &str = include_str!("../../../../plans/kiln-yard-glaze-store.toml");
pub(crate) const SHED: &str = include_str!("../../../../plans/bicycle-club-shed.toml");
pub(crate) const IMPOSSIBLE: &str = include_str!("../../../../plans/impossible.toml");

/// A shipped plan as if nothing were told of its light, its heat and its plate but where that hangs: what tests of those
/// start from, so that they say all of it themselves.
pub(crate) fn bare(text: &str) -> String {
    let (mut table, mut kept) = (String::new(), String::new());
    for line in text.lines() {
        if let Some(name) = line.strip_prefix('[').and_then(|rest| rest.split(']').next()) {
            table = name.into();
        }
        let key = line.split(' ').next().unwrap_or_default();
        let told = match table.as_str() {
            "case" | "cover" | "lamp" | "sensor" => true,
            "board" => key == "pad",
            "camera" => ["longest_exposure", "metering", "sky_share", "dirt"].contains(&key),
            "plate" => !["[plate]", "height", "false_wakes", ""].contains(&key),
            "site" => ["facing", "recess", "overhang"].contains(&key),
            _ => false,
        };
        if !told {
            kept += line;
            kept += "\n";
        }
    }
    kept
}

/// Reads a plan that must be readable.
pub(crate) fn read(text: &str) -> Plan {
    Plan::read(Source::new("plan.toml", text), &Library::shipped())
        .unwrap_or_else(|wrong| panic!("{wrong}\n{text}"))
}

/// A plan with some values set, as `doorwright set` would.
pub(crate) fn with(text: &str, changes: &[(&str, &str)]) -> Plan {
    read(
        &edit::set_all(text, changes.iter().copied())
            .unwrap_or_else(|wrong| panic!("{changes:?}: {wrong:?}")),
    )
}

/// The nominal answer alone.
pub(crate) const NOMINAL: Options = Options { draws: 0, seed: 1 };

/// So many draws under the usual seed.
pub(crate) fn draws(draws: u32) -> Options {
    Options { draws, seed: 1 }
}

pub(crate) fn figure<'a>(assessment: &'a Assessment, name: &str) -> &'a Figure {
    assessment
        .budgets
        .iter()
        .flat_map(|budget| &budget.figures)
        .find(|figure| figure.name == name)
        .unwrap_or_else(|| panic!("there is no figure {name}"))
}

/// A nominal figure; NaN where it is not known.
pub(crate) fn nominal(plan: &Plan, name: &str) -> f64 {
    figure(&assess(plan, NOMINAL), name).nominal.unwrap_or(f64::NAN)
}

pub(crate) fn findings(assessment: &Assessment) -> impl Iterator<Item = &Finding> {
    assessment.budgets.iter().flat_map(|budget| &budget.findings)
}

/// Codes of what was found, with the verdict of each.
pub(crate) fn codes(assessment: &Assessment) -> Vec<(&'static str, &'static str)> {
    findings(assessment).map(|finding| (finding.code, finding.verdict)).collect()
}

/// What a maker tells of the light at a gate: facing the street, a lantern of direct current, the driver's longest exposure.
pub(crate) const LIT: &[(&str, &str)] = &[
    ("site.facing", "240 deg"),
    ("site.recess", "0.35 ± 0.05"),
    ("site.overhang", "0.8 m"),
    ("lamp.porch", "150 ± 25 lx"),
    ("lamp.flicker", "0"),
    ("camera.longest_exposure", "66 ms"),
    ("camera.dirt", "0.80 .. 0.97"),
    ("camera.sky_share", "0.08 ± 0.03"),
    ("camera.metering", "centre"),
];

/// The gate as above, and some values more.
pub(crate) fn lit(changes: &[(&str, &str)]) -> Plan {
    with(&bare(GATE), &[LIT, changes].concat())
}
