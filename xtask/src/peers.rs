//! The Python environment that holds the reference libraries ("peers") of `checks/` and `bench/`.
//!
//! It lives in `target/peers-venv` and is made from `checks/requirements.txt`, whose exact text is kept inside it: same
//! text, nothing to do. A half-made environment has no such copy and is made anew. Knows nothing of the checks.

use crate::steps::{answer, must, root};
use anyhow::{Context, Result, bail};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Tells `checks` and `bench` where the interpreter is; `checks::python` reads it.
pub(crate) const PYTHON_VARIABLE: &str = "DOORWRIGHT_PEERS_PYTHON";

/// The pinned NumPy needs it.
const OLDEST_PYTHON: (u32, u32) = (3, 11);

const WHAT_TO_INSTALL: &str = "\
the checks with peers need Python 3.11 or newer with its `venv` module, and none was found.
  Debian, Ubuntu:  sudo apt-get install python3 python3-venv
  Fedora:          sudo dnf install python3
  macOS:           brew install python3";

const SIMULATOR_TO_INSTALL: &str = "\
the check of the heat network needs the circuit simulator ngspice, and it was not found.
  Debian, Ubuntu:  sudo apt-get install ngspice
  Fedora:          sudo dnf install ngspice
  macOS:           brew install libngspice ngspice";

const BROKER_TO_INSTALL: &str = "\
the check of the station's link needs the MQTT broker mosquitto, its command-line clients and its C client library, and they
were not found.
  Debian, Ubuntu:  sudo apt-get install mosquitto mosquitto-clients libmosquitto-dev
  Fedora:          sudo dnf install mosquitto mosquitto-devel
  macOS:           brew install mosquitto";

/// Makes the environment where it is missing or out of date and returns its interpreter.
///
/// # Errors
///
/// When no usable Python is there and none can be installed (the message says what to install), or when the packages
/// cannot be fetched.
pub(crate) fn ensure() -> Result<PathBuf> {
    ensure_simulator()?;
    ensure_broker()?;
    let home = root().join("target/peers-venv");
    let python = home.join(if cfg!(windows) { "Scripts/python.exe" } else { "bin/python" });
    let wanted_path = root().join("checks/requirements.txt");
    let wanted = fs::read_to_string(&wanted_path).with_context(|| wanted_path.display().to_string())?;
    let made_from = home.join("made-from-requirements.txt");
    if fs::read_to_string(&made_from).is_ok_and(|made| made == wanted) && starts(&python) {
        return Ok(python);
    }
    let base = find_python()?;
    println!("note: making the Python environment target/peers-venv in the background");
    if home.exists() {
        fs::remove_dir_all(&home).with_context(|| home.display().to_string())?;
    }
    let mut venv = Command::new(base);
    venv.args(["-m", "venv"]).arg(&home);
    must(venv)?;
    let mut pip = Command::new(&python);
    // Wheels only: building one of these from source takes longer than everything else together.
    pip.args(["-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--no-input"])
        .args(["--only-binary", ":all:", "-r"])
        .arg(&wanted_path);
    must(pip).context("the packages of checks/requirements.txt could not be installed")?;
    fs::write(&made_from, &wanted).with_context(|| made_from.display().to_string())?;
    Ok(python)
}

/// A Python that can make environments; as root on a Debian system it is installed where it is missing.
fn find_python() -> Result<PathBuf> {
    let candidates = ["python3", "/usr/bin/python3", "python3.13", "python3.12", "python3.11", "python"];
    let usable = || candidates.iter().map(PathBuf::from).find(|candidate| can_make_environments(candidate));
    if let Some(python) = usable() {
        return Ok(python);
    }
    install(&["python3", "python3-venv"], WHAT_TO_INSTALL)?;
    usable().context(WHAT_TO_INSTALL)
}

/// The circuit simulator that judges the heat network; as root on a Debian system it is installed where it is missing.
fn ensure_simulator() -> Result<()> {
    if answer(with_args("ngspice", &["--version"])).is_ok() {
        return Ok(());
    }
    install(&["ngspice"], SIMULATOR_TO_INSTALL)
}

/// The broker over which a station is killed; as root on a Debian system it is installed where it is missing.
fn ensure_broker() -> Result<()> {
    // Asked for help these programs do not end with 0: that they start is what matters.
    let starts = |program: &str| Command::new(program).arg("--help").output().is_ok();
    let mut header = with_args("cc", &["-fsyntax-only", "-include", "mosquitto.h", "-x", "c", "/dev/null"]);
    let mut has_header = || header.output().is_ok_and(|output| output.status.success());
    if ["mosquitto", "mosquitto_sub", "mosquitto_pub"].into_iter().all(starts) && has_header() {
        return Ok(());
    }
    install(&["mosquitto", "mosquitto-clients", "libmosquitto-dev"], BROKER_TO_INSTALL)
}

/// Installs Debian packages as root; elsewhere fails with what to install.
fn install(packages: &[&str], what_to_install: &'static str) -> Result<()> {
    let is_root = answer(with_args("id", &["-u"])).is_ok_and(|id| id == "0");
    if !is_root || answer(with_args("apt-get", &["--version"])).is_err() {
        bail!(what_to_install);
    }
    println!("note: installing the Debian packages {}", packages.join(" and "));
    must(with_args("apt-get", &["-qq", "update"])).context(what_to_install)?;
    let mut install = with_args("apt-get", &["-qq", "install", "-y", "--no-install-recommends"]);
    install.args(packages).env("DEBIAN_FRONTEND", "noninteractive");
    must(install).context(what_to_install)
}

/// Debian ships `venv` without `ensurepip`, which then fails half way; so both are asked for.
fn can_make_environments(python: &Path) -> bool {
    let (major, minor) = OLDEST_PYTHON;
    let question = format!("import sys, venv, ensurepip; sys.exit(sys.version_info < ({major}, {minor}))");
    Command::new(python).args(["-c", &question]).output().is_ok_and(|output| output.status.success())
}

fn starts(python: &Path) -> bool {
    Command::new(python).args(["-c", "pass"]).output().is_ok_and(|output| output.status.success())
}

fn with_args(program: &str, args: &[&str]) -> Command {
    let mut command = Command::new(program);
    command.args(args);
    command
}
