//! Measures everything that this repository promises about speed and writes `docs/performance.md`.
//!
//! Run by `cargo xtask bench`, which builds the release and makes the Python environment of the peers. A part that
//! cannot be measured is named and makes the run fail at its end; the others are still written.

mod draws;
mod energy;
mod heat;
mod log;
mod pins;
mod plate;
mod remedies;
mod sun;
mod whole_process;

use anyhow::{Context, Result};
use bench::{PAIRS_MIN, Row, YARD_STEPS, median, table, yard_s};
use std::path::Path;
use std::process::ExitCode;
use std::thread::available_parallelism;

/// Each part with the function that measures it.
type Part = (&'static str, fn() -> Result<Vec<Row>>);
const PARTS: &[Part] = &[
    ("whole process", whole_process::rows),
    ("draws", draws::rows),
    ("energy", energy::rows),
    ("heat", heat::rows),
    ("log", log::rows),
    ("pins", pins::rows),
    ("plate", plate::rows),
    ("remedies", remedies::rows),
    ("sun", sun::rows),
];

fn main() -> Result<ExitCode> {
    let mut rows = Vec::new();
    let mut missing = Vec::new();
    for (name, measure) in PARTS {
        eprintln!("measuring: {name}");
        match measure() {
            Ok(measured) => rows.extend(measured),
            Err(error) => missing.push(format!("{name}: {error:#}")),
        }
    }
    let yard = median((0..PAIRS_MIN).map(|_| yard_s()));
    let page = page(&rows, yard);
    println!("{page}");
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../docs/performance.md");
    std::fs::create_dir_all(path.with_file_name("")).context("cannot make docs/")?;
    std::fs::write(&path, page).with_context(|| path.display().to_string())?;
    if missing.is_empty() {
        return Ok(ExitCode::SUCCESS);
    }
    eprintln!("error: not measured:\n{}", missing.join("\n"));
    Ok(ExitCode::FAILURE)
}

fn page(rows: &[Row], yard: f64) -> String {
    let cores = available_parallelism().map_or(1, std::num::NonZero::get);
    format!(
        "# Speed, beside a peer in the same run\n\n\
         Written by `cargo xtask bench`, which is also the command to repeat it. Ours and the peer run in turn; times \
         are medians of at least {PAIRS_MIN} such pairs, the ratio is the median of the pairs' own ratios (how many \
         times faster ours is). Only ratios are promised: machines differ and are noisy.\n\n\
         This run: {cores} cores, {} {}; a yard (a fixed loop of 10^{} dependent steps) took {:.0} ms.\n\n{}",
        std::env::consts::OS,
        std::env::consts::ARCH,
        YARD_STEPS.ilog10(),
        yard * 1e3,
        table(rows)
    )
}
