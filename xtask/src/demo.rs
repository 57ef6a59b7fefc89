//! `cargo xtask demo`: builds `doorwright` and does the main job on the demo plan, one command after another.
//!
//! Works on a copy, `target/demo/kiln-yard-gate.toml`, since a step changes the plan.

use crate::steps::{cargo, must, root};
use anyhow::{Context, Result, bail};
use std::fs;

const PLAN: &str = "plans/kiln-yard-gate.toml";
const COPY: &str = "target/demo/kiln-yard-gate.toml";

/// What a newcomer would type, in order.
const STEPS: &[&[&str]] = &[&["check", COPY], &["check", COPY, "--fix-with", "1"], &["check", COPY]];

pub(crate) fn run() -> Result<()> {
    must(cargo(&["build", "--package", "doorwright"]))?;
    fs::create_dir_all(root().join("target/demo")).context("cannot make target/demo")?;
    fs::copy(root().join(PLAN), root().join(COPY))
        .with_context(|| format!("cannot copy {PLAN} to {COPY}"))?;
    for step in STEPS {
        println!("\n$ doorwright {}", step.join(" "));
        let mut doorwright = cargo(&["run", "--quiet", "--package", "doorwright", "--"]);
        let status = doorwright.args(*step).status().context("cannot start cargo")?;
        // 1 means "not shown to fit": a verdict, and the reason for the step that follows.
        if !matches!(status.code(), Some(0 | 1)) {
            bail!("`doorwright {}` ended with {status}", step.join(" "));
        }
    }
    Ok(())
}
