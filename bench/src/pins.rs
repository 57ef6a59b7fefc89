//! Not written yet: The least-cost wiring of a board, beside its peers in `bench/peers`.

use anyhow::{Result, bail};
use bench::Row;

pub(crate) fn rows() -> Result<Vec<Row>> {
    bail!("not written yet")
}
