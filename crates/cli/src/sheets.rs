//! `doorwright sheets`: list, show, check, import.

use crate::load::{self, Stop};
use std::process::ExitCode;

/// Arguments of `sheets`.
#[derive(clap::Args)]
pub struct SheetsArgs {}

/// Runs `sheets`.
pub fn run(_args: &SheetsArgs) -> Result<ExitCode, Stop> {
    load::library(None)?;
    Ok(ExitCode::SUCCESS)
}
