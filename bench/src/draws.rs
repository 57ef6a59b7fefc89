//! A full set of draws of all budgets, and one nominal assessment, in process and in yards.
//!
//! There is no peer that does this work, so each bound is a number of [`bench::yard_s`]; the "peer" of a row is that
//! number of yards, timed in the same pairs.

use anyhow::{Result, bail};
use bench::Row;

pub(crate) fn rows() -> Result<Vec<Row>> {
    // Waits for `budgets`: 2,000 draws against 25 yards, wanted 1; linear in draws; the nominal assessment.
    bail!("the budgets crate has no draws yet")
}
