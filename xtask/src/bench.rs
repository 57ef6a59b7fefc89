//! `cargo xtask bench`: builds the release and measures it beside its peers, into `docs/performance.md`.
//!
//! Only prepares: what is measured, and how, is in the `bench` crate.

use crate::peers;
use crate::steps::{cargo, must};
use anyhow::Result;

pub(crate) fn run() -> Result<()> {
    let python = peers::ensure()?;
    must(cargo(&["build", "--release", "--package", "doorwright", "--package", "bench"]))?;
    let mut bench = cargo(&["run", "--quiet", "--release", "--package", "bench"]);
    bench.env(peers::PYTHON_VARIABLE, python);
    must(bench)
}
