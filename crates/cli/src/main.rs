//! The `doorwright` command: arguments in, exit codes out; each command lives in a file of its own.

#![allow(unreachable_pub, reason = "modules of a binary: pub marks what other files may call")]

mod ask;
mod check;
mod compare;
mod edit;
mod explain;
mod export;
mod first_look;
mod import;
mod load;
mod new;
mod pins;
mod plate;
mod sheets;
mod start;
mod tape;
mod tune;
mod twin;

use clap::{Parser, Subcommand};
use std::process::ExitCode;

/// A workbench for people who build their own camera door stations.
#[derive(Parser)]
#[command(name = "doorwright", version, about, arg_required_else_help = false)]
struct Cli {
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Subcommand)]
enum Command {
    /// Writes a first plan from three answers and tells how it stands.
    New(new::NewArgs),
    /// Tells whether a plan's station can be wired, holds the picture, shows a face and lasts.
    Check(check::CheckArgs),
    /// Compares parts or settings of one plan, and marks the combinations that no other beats.
    Compare(compare::CompareArgs),
    /// Lists and draws the wiring, and holds it against your own file.
    Pins(pins::PinsArgs),
    /// Takes the plan to the board: numbers for your own file, a C header, settings, the lid card.
    Export(export::ExportArgs),
    /// Turns what was measured into values of a plan.
    Tune(tune::TuneArgs),
    /// Makes the readings that the plan's station would give, with the truth beside them.
    Twin(twin::TwinArgs),
    /// Changes values of a plan and nothing else: comments and order stay.
    Set(edit::SetArgs),
    /// Prints the JSON Schema of plans, for editors.
    PlanSchema(edit::SchemaArgs),
    /// Tells what a word, a finding, a field or a symptom means.
    Explain(explain::ExplainArgs),
    /// Lists, shows, checks and imports part sheets.
    Sheets(sheets::SheetsArgs),
}

fn main() -> ExitCode {
    let cli = Cli::parse();
    let done = match cli.command {
        Some(Command::New(args)) => new::run(&args),
        Some(Command::Check(args)) => check::run(&args),
        Some(Command::Compare(args)) => compare::run(&args),
        Some(Command::Pins(args)) => pins::run(&args),
        Some(Command::Export(args)) => export::run(&args),
        Some(Command::Tune(args)) => tune::run(&args),
        Some(Command::Twin(args)) => twin::run(&args),
        Some(Command::Set(args)) => edit::set(&args),
        Some(Command::PlanSchema(args)) => edit::schema(&args),
        Some(Command::Explain(args)) => explain::run(&args),
        Some(Command::Sheets(args)) => sheets::run(&args),
        None => start::run(),
    };
    match done {
        Ok(code) => code,
        Err(stop) => stop.report(),
    }
}
