//! Running commands as named steps, with the time that each took.
//!
//! A failing step does not stop the ones after it: whoever pushes a change learns everything that is wrong with it from
//! one run. Times are printed and never judged, because the machines that run this are noisy. Knows nothing of what the
//! commands mean.

use anyhow::{Context, Result, bail};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;

/// The folder that holds the workspace's `Cargo.toml`.
pub(crate) fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().map_or_else(|| PathBuf::from("."), Path::to_path_buf)
}

/// Cargo, run in the workspace's root.
///
/// `CARGO` is the very cargo that runs this program, so that a chosen toolchain stays chosen.
pub(crate) fn cargo(args: &[&str]) -> Command {
    let mut command = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    command.args(args).current_dir(root());
    command
}

/// Whether `cargo NAME` is installed, asked of the program itself.
pub(crate) fn has_cargo_command(name: &str) -> bool {
    cargo(&[name, "--version"]).output().is_ok_and(|output| output.status.success())
}

/// Runs a command to its end with its output passed through.
///
/// # Errors
///
/// When it cannot be started or ends with another status than 0; the message holds the command as one would type it.
pub(crate) fn must(mut command: Command) -> Result<()> {
    let typed = as_typed(&command);
    let status = command.status().with_context(|| format!("cannot start `{typed}`"))?;
    if !status.success() {
        bail!("`{typed}` ended with {status}");
    }
    Ok(())
}

/// What a command prints, trimmed.
///
/// # Errors
///
/// When it cannot be started or ends with another status than 0; the message holds what it wrote to stderr.
pub(crate) fn answer(mut command: Command) -> Result<String> {
    let typed = as_typed(&command);
    let output = command.output().with_context(|| format!("cannot start `{typed}`"))?;
    if !output.status.success() {
        bail!("`{typed}` ended with {}:\n{}", output.status, String::from_utf8_lossy(&output.stderr).trim());
    }
    Ok(String::from_utf8_lossy(&output.stdout).trim().to_owned())
}

/// The command with its arguments, program by file name only.
pub(crate) fn as_typed(command: &Command) -> String {
    let program = Path::new(command.get_program()).file_name().unwrap_or(command.get_program());
    std::iter::once(program)
        .chain(command.get_args())
        .map(|word| word.to_string_lossy().into_owned())
        .collect::<Vec<_>>()
        .join(" ")
}

/// Calls `work` and returns its result with the wall time, in seconds.
#[expect(clippy::disallowed_methods, reason = "the one place of this program that reads a clock")]
pub(crate) fn timed<T>(work: impl FnOnce() -> T) -> (T, f64) {
    let start = Instant::now();
    let result = work();
    (result, start.elapsed().as_secs_f64())
}

/// The steps run so far, in order: name, seconds, error if any.
#[derive(Default)]
pub(crate) struct Steps(Vec<(&'static str, f64, Option<String>)>);

impl Steps {
    /// Runs one step and remembers how it went.
    pub(crate) fn step(&mut self, name: &'static str, work: impl FnOnce() -> Result<()>) {
        println!("\n── {name}");
        let (result, seconds) = timed(work);
        let error = result.err().map(|error| format!("{error:#}"));
        if let Some(error) = &error {
            eprintln!("error: {error}");
        }
        self.0.push((name, seconds, error));
    }

    /// Prints the table of steps.
    ///
    /// # Errors
    ///
    /// When a step failed; the message counts them.
    pub(crate) fn finish(self) -> Result<()> {
        println!("\n──");
        for (name, seconds, error) in &self.0 {
            let mark = if error.is_some() { "FAILED" } else { "ok" };
            println!("{name:<34} {:>5.1} min  {mark}", seconds / 60.0);
        }
        println!(
            "{:<34} {:>5.1} min",
            "sum",
            self.0.iter().map(|(_, seconds, _)| seconds).sum::<f64>() / 60.0
        );
        match self.0.iter().filter(|(.., error)| error.is_some()).count() {
            0 => Ok(()),
            failed => bail!("{failed} of {} steps failed", self.0.len()),
        }
    }
}
