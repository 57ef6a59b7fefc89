//! `cargo xtask test`: everything that must hold for a change to land. `.ci/run` is this and nothing else.
//!
//! The Python environment is made beside the builds, since it waits for the network while they keep the cores busy. No
//! step asserts a time, builds a release, or depends on another step's success.

use crate::steps::{Steps, cargo, has_cargo_command, must};
use crate::{peers, tidy};
use anyhow::{Result, anyhow};
use std::thread;

pub(crate) fn run() -> Result<()> {
    let python = thread::spawn(peers::ensure);
    let nextest = has_cargo_command("nextest");
    if !nextest {
        println!(
            "note: cargo-nextest is not installed, so `cargo test` runs the tests (slower, same result)"
        );
    }
    let mut steps = Steps::default();
    steps.step("format", || must(cargo(&["fmt", "--all", "--check"])));
    steps.step("house rules (tidy)", tidy::run);
    steps.step("clippy, all targets", || {
        must(cargo(&["clippy", "--quiet", "--workspace", "--all-targets", "--", "-D", "warnings"]))
    });
    steps.step("tests", || {
        must(cargo(if nextest {
            &["nextest", "run", "--workspace", "--no-fail-fast", "--status-level", "slow"]
        } else {
            &["test", "--quiet", "--workspace", "--lib", "--bins", "--tests", "--no-fail-fast"]
        }))
    });
    steps.step("doc tests", || must(cargo(&["test", "--quiet", "--workspace", "--doc", "--no-fail-fast"])));
    steps.step("docs without warnings", || {
        let mut doc = cargo(&["doc", "--quiet", "--workspace", "--no-deps"]);
        doc.env("RUSTDOCFLAGS", "-D warnings");
        must(doc)
    });
    steps.step("checks with peers", || {
        let python =
            python.join().map_err(|_| anyhow!("the making of the Python environment panicked"))??;
        let mut checks = cargo(if nextest {
            // The whole workspace with a filter, not `-p checks`: another selection means other features, and half of
            // the dependencies would be built a second time.
            const ONLY: &str = "package(checks)";
            &[
                "nextest",
                "run",
                "--workspace",
                "-E",
                ONLY,
                "--run-ignored",
                "only",
                "--no-fail-fast",
                "--no-tests",
                "pass",
            ]
        } else {
            &["test", "--quiet", "--package", "checks", "--test", "it", "--no-fail-fast", "--", "--ignored"]
        });
        checks.env(peers::PYTHON_VARIABLE, python);
        must(checks)
    });
    steps.finish()
}
