//! `doorwright compare`: several parts or settings of one plan, side by side.

use crate::load::{self, NOT_SHOWN, Stop};
use anstream::{print, println};
use budgets::compare::{CompareError, MOST, Vary, compare, path_of};
use budgets::study::Options;
use std::path::PathBuf;
use std::process::ExitCode;

/// Arguments of `compare`.
#[derive(clap::Args)]
#[command(
    after_help = "Example: doorwright compare gate.toml --vary board=wren,heron --vary camera.size=640x480,800x600\n\n\
    Exit code: 0 some combination fits or is tight, 1 none does, 2 bad input."
)]
pub struct CompareArgs {
    /// The plan, a TOML file.
    plan: PathBuf,
    /// What to vary: a kind of part (board, lens, cell …) or a path, and its values.
    #[arg(long, required = true, value_name = "PART=A,B,…")]
    vary: Vec<String>,
    /// How many builds to draw of each combination; 0 for nominal answers.
    #[arg(long, default_value_t = 512, value_parser = clap::value_parser!(u32).range(0..=20_000))]
    draws: u32,
    /// Seed of the draws.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Prints the comparison as JSON.
    #[arg(long)]
    json: bool,
}

/// Runs `compare`.
pub fn run(args: &CompareArgs) -> Result<ExitCode, Stop> {
    let (plan, library) = load::plan(&args.plan)?;
    let mut vary = Vec::new();
    for asked in &args.vary {
        let Some((word, values)) = asked.split_once('=') else {
            return Err(Stop::Message(
                format!("`{asked}` varies nothing"),
                "write PART=A,B, such as board=wren,heron or camera.size=640x480,800x600".into(),
            ));
        };
        let values =
            values.split(',').map(str::trim).filter(|value| !value.is_empty()).map(str::to_string).collect();
        vary.push(Vary { path: path_of(word.trim()), values });
    }
    if let Some(empty) = vary.iter().find(|vary| vary.values.is_empty()) {
        return Err(Stop::Message(
            format!("`{}` has no values to compare", empty.path),
            "separate them by commas".into(),
        ));
    }
    for vary in &vary {
        let Some(kind) = vary.path.strip_suffix(".sheet") else { continue };
        let known = library.names(kind);
        if let Some(none) = vary.values.iter().find(|value| !known.iter().any(|name| name == *value)) {
            let near = quantity::nearest(none, known.iter().copied());
            let near = near.map_or(String::new(), |near| format!("did you mean {near}? "));
            return Err(Stop::Message(
                format!("no {kind} sheet is called `{none}`"),
                format!("{near}doorwright sheets list {kind} shows them"),
            ));
        }
    }
    let options = Options { draws: args.draws, seed: args.seed };
    let comparison = compare(&plan, &library, &vary, options).map_err(stop)?;
    if args.json {
        println!("{}", serde_json::to_string_pretty(&comparison).expect("plain rows"));
    } else {
        print!("{}", draw::compare::table(&comparison));
    }
    let some = comparison.rows.iter().any(|row| matches!(row.verdict, "fits" | "tight"));
    Ok(if some { ExitCode::SUCCESS } else { ExitCode::from(NOT_SHOWN) })
}

fn stop(error: CompareError) -> Stop {
    match error {
        CompareError::Problems(problems) => Stop::Problems(problems),
        CompareError::Wrong(wrong) => Stop::Message(wrong.says, wrong.hint.unwrap_or_default()),
        CompareError::TooMany { count } => Stop::Message(
            format!("these are {count} combinations, more than the {MOST} that are compared at once"),
            "vary fewer things, or fewer values of each".into(),
        ),
        CompareError::Currencies(a, b) => Stop::Message(
            format!("parts are priced in {a} and in {b}"),
            "write all [offer]s in one currency".into(),
        ),
    }
}
