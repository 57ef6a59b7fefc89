//! What the checks share: calling a reference library in Python, and comparing with a stated tolerance.
//!
//! A check compares our result with something that we did not write: a printed table, a worked example, another
//! program. This crate knows no physics and none of our other crates; the checks themselves are in `tests/it/`, the
//! scripts that call the reference libraries in `peers/`. Everything here panics with a readable message, since it is
//! only ever called by tests.

use serde_json::Value;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// The environment variable that names the interpreter; `cargo xtask test` sets it.
pub const PYTHON_VARIABLE: &str = "DOORWRIGHT_PEERS_PYTHON";

/// The Python interpreter that has the packages of `checks/requirements.txt`.
///
/// Taken from [`PYTHON_VARIABLE`], else `target/peers-venv` as `cargo xtask test` leaves it.
///
/// # Errors
///
/// When there is none; the text says which command makes it.
pub fn python() -> Result<PathBuf, String> {
    if let Some(python) = std::env::var_os(PYTHON_VARIABLE) {
        return Ok(python.into());
    }
    let made = Path::new(env!("CARGO_MANIFEST_DIR")).join("../target/peers-venv/bin/python");
    if made.exists() {
        return Ok(made);
    }
    Err(format!(
        "the Python environment with the reference libraries is missing: run `cargo xtask test` once, which makes it \
         (or point {PYTHON_VARIABLE} at an interpreter that has the packages of checks/requirements.txt)"
    ))
}

/// Runs a Python script with `input` on its standard input and returns the JSON that it prints.
///
/// - `script`: its path.
/// - `args`: its command line.
/// - `input`: sent as JSON text; [`Value::Null`] sends nothing.
///
/// # Errors
///
/// When the interpreter is missing, the script fails (the text holds what it wrote to stderr) or prints no JSON.
pub fn run_script(script: &Path, args: &[&str], input: &Value) -> Result<Value, String> {
    let at = |what: &str| format!("{}: {what}", script.display());
    let mut child = Command::new(python()?)
        .arg(script)
        .args(args)
        // One thread each: some of these libraries otherwise start a thread a core to add two numbers.
        .envs([("OMP_NUM_THREADS", "1"), ("OPENBLAS_NUM_THREADS", "1"), ("PYTHONDONTWRITEBYTECODE", "1")])
        // The battery model library would report its use to its makers.
        .env("PYBAMM_DISABLE_TELEMETRY", "true")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .map_err(|error| at(&format!("cannot start Python: {error}")))?;
    if let Some(mut stdin) = child.stdin.take()
        && !input.is_null()
    {
        // A script that ends early closes the pipe; its own message, below, says more than ours would.
        let _ = stdin.write_all(input.to_string().as_bytes());
    }
    let output = child.wait_with_output().map_err(|error| at(&error.to_string()))?;
    if !output.status.success() {
        return Err(at(&format!(
            "ended with {}\n{}",
            output.status,
            String::from_utf8_lossy(&output.stderr)
        )));
    }
    serde_json::from_slice(&output.stdout).map_err(|error| {
        at(&format!("printed no JSON ({error}):\n{}", String::from_utf8_lossy(&output.stdout)))
    })
}

/// Runs `checks/peers/SCRIPT` and returns the JSON that it prints.
///
/// # Panics
///
/// Where [`run_script`] errs, with its text.
#[track_caller]
pub fn peer(script: &str, args: &[&str]) -> Value {
    peer_with(script, args, &Value::Null)
}

/// Like [`peer`], with `input` as JSON on the script's standard input.
///
/// # Panics
///
/// Where [`run_script`] errs, with its text.
#[track_caller]
pub fn peer_with(script: &str, args: &[&str], input: &Value) -> Value {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("peers").join(script);
    run_script(&path, args, input).unwrap_or_else(|error| panic!("{error}"))
}

/// Asserts `|got - want| <= tolerance`.
///
/// - `why`: where `want` comes from and what the tolerance stands for, such as "IEC 60228 table 1, last printed digit".
///
/// # Panics
///
/// When the difference is larger, or either number is not a number.
#[track_caller]
pub fn near(got: f64, want: f64, tolerance: f64, why: &str) {
    let off = (got - want).abs();
    assert!(off <= tolerance, "{why}: got {got}, want {want} within {tolerance}, off by {off}");
}

/// Asserts `|got - want| <= tolerance * |want|`.
///
/// # Panics
///
/// Like [`near`].
#[track_caller]
pub fn near_relative(got: f64, want: f64, tolerance: f64, why: &str) {
    let off = (got - want).abs();
    assert!(
        off <= tolerance * want.abs(),
        "{why}: got {got}, want {want}, off by {:.3e} of it",
        off / want.abs()
    );
}

/// A number inside a peer's answer, by its JSON pointer such as `/points/3/x`.
///
/// # Panics
///
/// When there is no number at that place; the message shows the answer.
#[track_caller]
pub fn number(answer: &Value, pointer: &str) -> f64 {
    answer
        .pointer(pointer)
        .and_then(Value::as_f64)
        .unwrap_or_else(|| panic!("no number at {pointer} in {answer}"))
}
