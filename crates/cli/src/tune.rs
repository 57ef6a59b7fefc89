//! `doorwright tune`: parameters out of what was measured.

use crate::load::Stop;
use crate::{plate, tape};
use std::process::ExitCode;

/// Arguments of `tune`.
#[derive(clap::Args)]
#[command(after_help = "Examples:\n  doorwright tune lens --tape\n  doorwright tune plate plate.log")]
pub struct TuneArgs {
    #[command(subcommand)]
    what: Tune,
}

#[derive(clap::Subcommand)]
enum Tune {
    /// Finds a lens's field of view and law.
    Lens(tape::LensArgs),
    /// Finds the detector that suits a touch plate, from a recording of its readings.
    Plate(plate::PlateArgs),
}

/// Runs `tune`.
pub fn run(args: &TuneArgs) -> Result<ExitCode, Stop> {
    match &args.what {
        Tune::Lens(args) => tape::run(args),
        Tune::Plate(args) => plate::run(args),
    }
}
