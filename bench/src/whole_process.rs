//! A nominal check from process start to exit, beside the start of the Python libraries that would do such sums.
//!
//! The peer only imports its libraries; it computes nothing. So the ratio says what a maker waits for, not who
//! calculates faster.

use anyhow::{Context, Result, anyhow, bail};
use bench::{Row, paired, timed};
use std::path::Path;
use std::process::{Command, Stdio};

/// More pairs than elsewhere: a process of a few milliseconds is at the mercy of the scheduler's tick.
const PAIRS: usize = 15;
const PLAN: &str = "plans/kiln-yard-gate.toml";

pub(crate) fn rows() -> Result<Vec<Row>> {
    // Cargo puts both programs of a profile into one folder.
    let doorwright =
        std::env::current_exe().context("cannot find this program")?.with_file_name("doorwright");
    let python = checks::python().map_err(|error| anyhow!(error))?;
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let text = std::fs::read_to_string(root.join(PLAN)).context(PLAN)?;
    // Without the wall's direction neither light nor heat is asked for: what the first budgets alone cost.
    let plain: Vec<&str> = text.lines().filter(|line| !line.starts_with("facing = ")).collect();
    let folder = std::env::temp_dir().join(format!("doorwright-bench-{}", std::process::id()));
    std::fs::create_dir_all(&folder).context("a folder for a plan")?;
    let file = folder.join("plain.toml");
    std::fs::write(&file, plain.join("\n")).context("a plan")?;
    let mut rows = Vec::new();
    for (plan, name, wanted) in
        [(file.as_path(), "without light and heat", 15.0), (Path::new(PLAN), "all twelve budgets", 7.0)]
    {
        let times = paired(
            PAIRS,
            || run_s(Command::new(&doorwright).arg("check").arg(plan).args(["--draws", "0"])),
            || run_s(Command::new(&python).args(["-c", "import numpy, scipy"])),
        )?;
        rows.push(Row::new(
            &format!("whole process, `doorwright check --draws 0`, {name}"),
            "`python3 -c \"import numpy, scipy\"`",
            times,
            wanted,
            "process start to exit; the peer only imports",
        ));
    }
    // Nothing hangs on it: a folder that stays behind is the system's to clear.
    let _ = std::fs::remove_dir_all(&folder);
    Ok(rows)
}

/// Seconds from start to exit of a process in the workspace's root; a verdict of any kind is fine.
fn run_s(command: &mut Command) -> Result<f64> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    command.current_dir(root).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    let (status, seconds) = timed(|| command.status());
    match status.with_context(|| format!("cannot start {}", command.get_program().display()))?.code() {
        Some(0 | 1) => Ok(seconds),
        code => bail!("{} ended with {code:?}", command.get_program().display()),
    }
}
