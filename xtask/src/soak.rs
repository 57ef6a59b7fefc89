//! `cargo xtask soak [MINUTES]`: what is too slow for every change, run by hand before an issue is closed.
//!
//! Property tests with 16 times the cases and the ignored ones too, with `SOAK` set, by which tests that count take more;
//! each fuzz target for some minutes, and line coverage where `cargo-llvm-cov` is installed. Adds one entry to
//! `docs/evidence.md`: the commit and what was counted, without a date, because the commit has one.

use crate::peers;
use crate::steps::{Steps, answer, cargo, has_cargo_command, must, root};
use anyhow::{Context, Result};
use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::process::Command;

/// 64 cases in `cargo xtask test` (`.cargo/config.toml`), 16 times as many here: three quarters of an hour on two cores.
const CASES: &str = "1024";
/// Optimised, with the checks of a debug build.
const PROFILE: &str = "soak";

const HEAD: &str = "\
# Evidence

Written by `cargo xtask soak`, newest entry last. An entry counts what ran at that commit; `+` after the commit means
that the checkout had changes of its own.
";

pub(crate) fn run(minutes: u32) -> Result<()> {
    let python = peers::ensure()?;
    let mut entry = format!("\n## Commit {}\n\n", commit()?);
    let mut steps = Steps::default();
    let nextest = has_cargo_command("nextest");
    steps.step("property tests, long", || {
        let mut tests = cargo(if nextest {
            &[
                "nextest",
                "run",
                "--cargo-profile",
                PROFILE,
                "--workspace",
                "--run-ignored",
                "all",
                "--no-fail-fast",
                "--status-level",
                "slow",
            ]
        } else {
            &[
                "test",
                "--profile",
                PROFILE,
                "--workspace",
                "--tests",
                "--no-fail-fast",
                "--",
                "--include-ignored",
            ]
        });
        tests.env("PROPTEST_CASES", CASES).env("SOAK", "1").env(peers::PYTHON_VARIABLE, &python);
        must(tests)?;
        Ok(writeln!(
            entry,
            "- All tests, the ignored ones too, with {CASES} cases a property and SOAK set: passed."
        )?)
    });
    steps.step("fuzz targets", || {
        let fuzz = |words: &[&str]| {
            let mut command =
                cargo(&["run", "--quiet", "--release", "--manifest-path", "fuzz/Cargo.toml", "--"]);
            command.args(words);
            command
        };
        for target in answer(fuzz(&["list"]))?.lines() {
            let line = answer(fuzz(&[target, "--minutes", &minutes.to_string()]))?;
            println!("{line}");
            writeln!(entry, "- Fuzz {line}.")?;
        }
        Ok(())
    });
    if has_cargo_command("llvm-cov") {
        steps.step("coverage", || {
            let report = answer(cargo(&["llvm-cov", "--workspace", "--summary-only"]))?;
            let total = report.lines().find(|line| line.starts_with("TOTAL")).unwrap_or("no total");
            Ok(writeln!(entry, "- Coverage (regions, functions, lines; missed, share): {total}.")?)
        });
    } else {
        println!("note: cargo-llvm-cov is not installed, so no coverage was counted");
    }
    steps.finish()?;
    append(&root().join("docs/evidence.md"), &entry)
}

/// The short hash of the commit, with `+` where the checkout differs from it.
fn commit() -> Result<String> {
    let git = |args: &[&str]| {
        let mut command = Command::new("git");
        command.args(args).current_dir(root());
        answer(command)
    };
    let changed = !git(&["status", "--porcelain", "--untracked-files=no"])?.is_empty();
    Ok(git(&["rev-parse", "--short", "HEAD"])? + if changed { "+" } else { "" })
}

fn append(path: &Path, entry: &str) -> Result<()> {
    let before = fs::read_to_string(path).unwrap_or_else(|_| HEAD.to_owned());
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder).with_context(|| folder.display().to_string())?;
    }
    fs::write(path, before + entry).with_context(|| path.display().to_string())?;
    println!("wrote {}", path.display());
    Ok(())
}
