//! What hostile input must not do: each target is a function of bytes that panics when a promise is broken.
//!
//! The same functions serve three callers: `cargo xtask test`, which runs every seed and a few hundred changed copies of
//! each (`checks/tests/it/hostile_input.rs`); the driver in `main.rs`, which does so for minutes and needs only a
//! stable toolchain; and `fuzz_targets/`, for whoever has cargo-fuzz. An input that broke a promise becomes a test in the
//! crate that it broke, with a name that says what went wrong.

mod change;
mod files;
mod logs;
mod marked;
mod messages;
mod search;
mod tables;
mod texts;

pub use change::Changes;
pub use files::{edit, plan, sheet};
pub use logs::plate_log;
pub use marked::marked;
pub use messages::message;
pub use search::{Found, Search};
pub use tables::pintable;
pub use texts::{quantity, size};

use std::path::{Path, PathBuf};

/// What an input led to, in a word or two, such as the kind of its error.
///
/// Two inputs with the same outcome are taken as alike; the search keeps one of them.
pub type Outcome = String;

/// A promise about any bytes; panics when it is broken.
pub type Target = fn(&[u8]) -> Outcome;

/// All targets by name; the seeds of each are in `fuzz/seeds/NAME`.
pub const TARGETS: &[(&str, Target)] = &[
    ("quantity", quantity),
    ("size", size),
    ("pintable", pintable),
    ("plan", plan),
    ("sheet", sheet),
    ("edit", edit),
    ("plate_log", plate_log),
    ("marked", marked),
    ("message", message),
];

/// The seeds of a target in the order of their names: the files of `fuzz/seeds/NAME` and, for plans and sheets, the ones
/// that ship.
///
/// # Errors
///
/// When a folder or file cannot be read.
pub fn seeds(target: &str) -> std::io::Result<Vec<Vec<u8>>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut files = files_below(&root.join("seeds").join(target))?;
    match target {
        "plan" => files.extend(files_below(&root.join("../plans"))?),
        "sheet" => files.extend(files_below(&root.join("../sheets"))?),
        _ => {}
    }
    files.iter().map(std::fs::read).collect()
}

/// All files below a folder, sorted; none where it is missing.
fn files_below(folder: &Path) -> std::io::Result<Vec<PathBuf>> {
    if !folder.is_dir() {
        return Ok(Vec::new());
    }
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            files.extend(files_below(&path)?);
        } else {
            files.push(path);
        }
    }
    files.sort();
    Ok(files)
}
