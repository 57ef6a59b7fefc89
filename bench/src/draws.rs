//! A full set of draws of all budgets, and one nominal assessment, in process and in yards.
//!
//! There is no peer that does this work, so each bound is a number of [`bench::yard_s`]; the "peer" of a row is that
//! number of yards, timed in the same pairs.

use anyhow::{Context, Result, ensure};
use bench::{PAIRS_MIN, Row, paired, timed, yard_s};
use budgets::assessment::of_study;
use budgets::study::{DRAWS, Options, Study};
use station::plan::Plan;
use station::sheets::Library;
use station::text::Source;
use std::path::Path;

/// Bound of a full set of draws, in yards.
const DRAWS_YARDS: f64 = 25.0;
/// Bounds of a nominal assessment, in yards: of all twelve budgets, 10 ms where a yard takes 55 ms, and of a plan that tells
/// nothing of light and heat, 3 ms.
const NOMINAL_YARDS: [f64; 2] = [0.18, 0.055];

/// Draws of a fed station, of one on cells with a panel, and the nominal assessment.
pub(crate) fn rows() -> Result<Vec<Row>> {
    let mut rows = Vec::new();
    for ((name, file), yards) in [
        ("fed by a line, all twelve budgets", "kiln-yard-gate.toml"),
        ("cells and sun, without light and heat", "bicycle-club-shed.toml"),
    ]
    .into_iter()
    .zip(NOMINAL_YARDS)
    {
        let plan = plan(file)?;
        let seconds = |draws| timed(|| of_study(&Study::new(&plan, Options { draws, seed: 1 }))).1;
        seconds(DRAWS); // Threads start once.
        let times = paired(PAIRS_MIN, || Ok(seconds(DRAWS)), || Ok(DRAWS_YARDS * yard_s()))?;
        let growth = bench::median((0..PAIRS_MIN).map(|_| seconds(8 * DRAWS) / seconds(DRAWS)));
        rows.push(Row::new(
            &format!("{DRAWS} draws, {name}"),
            "25 yards",
            times,
            1.0,
            &format!("all threads; 8 times the draws take {growth:.1} times as long"),
        ));
        let times = paired(PAIRS_MIN, || Ok(nominal_s(&plan)), || Ok(yards * yard_s()))?;
        rows.push(Row::new(
            &format!("nominal assessment, {name}"),
            &format!("{yards} yards"),
            times,
            1.0,
            "one thread, nothing warm",
        ));
    }
    Ok(rows)
}

/// Mean of twenty nominal assessments, each from nothing: a single one is shorter than the scheduler's tick.
fn nominal_s(plan: &Plan) -> f64 {
    const TIMES: u32 = 20;
    let ((), seconds) = timed(|| {
        for _ in 0..TIMES {
            std::hint::black_box(of_study(&Study::new(plan, Options { draws: 0, seed: 1 })));
        }
    });
    seconds / f64::from(TIMES)
}

/// A plan that ships.
pub(crate) fn plan(file: &str) -> Result<Plan> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../plans").join(file);
    let text = std::fs::read_to_string(&path).with_context(|| path.display().to_string())?;
    let plan = Plan::read(Source::new(file, text), &Library::shipped());
    ensure!(plan.is_ok(), "{file} has problems: {}", plan.unwrap_err());
    plan.context("read")
}
