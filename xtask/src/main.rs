//! The developer's commands: `cargo xtask test | demo | soak | bench | tidy`.
//!
//! Each command does all of its own set-up, so that a fresh machine with only cargo needs nothing explained. Nothing
//! here is part of the product: `doorwright` is built, run and measured from outside. The only dependency is `anyhow`,
//! because this crate is compiled before anything else can start.

mod bench;
mod demo;
mod peers;
mod soak;
mod steps;
mod test;
mod tidy;

use anyhow::{Result, bail};
use std::process::ExitCode;

const HELP: &str = "\
cargo xtask COMMAND

  test                 everything that must hold for a change to land: format, house rules, clippy,
                       tests, doc tests, docs, and the checks against the Python peers
  demo                 build doorwright and run the main job on the demo plan
  tidy                 the house rules alone (a few milliseconds)
  soak [MINUTES]       long property tests and MINUTES (default 5) of fuzzing per target;
                       adds a line to docs/evidence.md
  bench                each speed beside its peer, into docs/performance.md
";

fn main() -> ExitCode {
    match run(&std::env::args().skip(1).collect::<Vec<_>>()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error:#}");
            ExitCode::FAILURE
        }
    }
}

fn run(args: &[String]) -> Result<()> {
    match args.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        ["test"] => test::run(),
        ["demo"] => demo::run(),
        ["tidy"] => tidy::run(),
        ["soak"] => soak::run(5),
        ["soak", minutes] => match minutes.parse() {
            Ok(minutes @ 1..=600) => soak::run(minutes),
            _ => bail!("soak takes whole minutes per fuzz target, 1 to 600, not `{minutes}`"),
        },
        ["bench"] => bench::run(),
        [] | ["help" | "-h" | "--help"] => {
            print!("{HELP}");
            Ok(())
        }
        _ => bail!("no command `{}`\n\n{HELP}", args.join(" ")),
    }
}
