//! The `doorwright` command: arguments in, exit codes out; each command lives in a file of its own.

#![allow(unreachable_pub, reason = "modules of a binary: pub marks what other files may call")]

mod check;
mod edit;
mod load;
mod sheets;

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
    /// Tells whether a plan's station can be wired, holds the picture, shows a face and lasts.
    Check(check::CheckArgs),
    /// Changes values of a plan and nothing else: comments and order stay.
    Set(edit::SetArgs),
    /// Prints the JSON Schema of plans, for editors.
    PlanSchema(edit::SchemaArgs),
    /// Lists, shows, checks and imports part sheets.
    Sheets(sheets::SheetsArgs),
}

fn main() -> ExitCode {
    let cli = Cli::parse();
    let done = match cli.command {
        Some(Command::Check(args)) => check::run(&args),
        Some(Command::Set(args)) => edit::set(&args),
        Some(Command::PlanSchema(args)) => edit::schema(&args),
        Some(Command::Sheets(args)) => sheets::run(&args),
        None => Ok(ExitCode::SUCCESS),
    };
    match done {
        Ok(code) => code,
        Err(stop) => stop.report(),
    }
}
