//! The search for remedies of plans that do not fit: every change recomputed over all draws. In yards, all threads.

use crate::draws::plan;
use anyhow::Result;
use bench::{PAIRS_MIN, Row, paired, timed, yard_s};
use budgets::remedies::assess;
use budgets::study::Options;
use station::sheets::Library;

/// Bound, in yards: 3 s where a yard takes 55 ms.
const YARDS: f64 = 55.0;

/// A plan with one finding of the usual kind, and one that is over in many ways.
pub(crate) fn rows() -> Result<Vec<Row>> {
    let library = Library::shipped();
    let mut rows = Vec::new();
    for (name, file) in [("one thing over", "kiln-yard-gate.toml"), ("much over", "impossible.toml")] {
        let plan = plan(file)?;
        let times = paired(
            PAIRS_MIN,
            || Ok(timed(|| assess(&plan, &library, Options::default())).1),
            || Ok(YARDS * yard_s()),
        )?;
        let work = format!("check with remedies, 2048 draws, {name}");
        rows.push(Row::new(&work, "55 yards", times, 1.0, "all threads"));
    }
    Ok(rows)
}
