//! Not written yet: Battery run times by day, beside its peers in `bench/peers`.

use anyhow::{Result, bail};
use bench::Row;

pub(crate) fn rows() -> Result<Vec<Row>> {
    bail!("not written yet")
}
