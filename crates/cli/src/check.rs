//! `doorwright check`: the verdicts of a plan.

use crate::load::{self, NOT_SHOWN, Stop};
use anstream::{eprintln, print, println};
use budgets::answers;
use budgets::assessment::{Assessment, of_study};
use budgets::remedies;
use budgets::study::{DRAWS, Options, Study};
use draw::terminal::{self, Extent};
use station::edit;
use station::plan::Plan;
use station::sheets::Library;
use std::io::IsTerminal as _;
use std::path::PathBuf;
use std::process::ExitCode;

/// Arguments of `check`.
#[derive(clap::Args)]
#[command(after_help = "Example: doorwright check plans/kiln-yard-gate.toml\n\n\
    Exit code: 0 all fits or is tight, 1 not shown to fit, 2 the plan has problems.")]
pub struct CheckArgs {
    /// The plan, a TOML file.
    plan: PathBuf,
    /// Prints the assessment as JSON.
    #[arg(long)]
    json: bool,
    /// How many builds to draw; 0 for the nominal answer alone, without remedies.
    #[arg(long, default_value_t = DRAWS, value_parser = clap::value_parser!(u32).range(0..=200_000))]
    draws: u32,
    /// Seed of the draws: the same seed gives the same answer.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Lists every assumption with its source.
    #[arg(long)]
    assumptions: bool,
    /// Lists every figure with its interval and limit.
    #[arg(long)]
    figures: bool,
    /// Finds the best height, tilt and turn of the camera, and which picture sizes the memory allows.
    #[arg(long)]
    best: bool,
    /// Does not look for remedies (quicker).
    #[arg(long)]
    no_remedies: bool,
    /// Takes remedy N: shows the changed lines and writes the plan.
    #[arg(long, value_name = "N")]
    fix_with: Option<usize>,
    /// Does not fail because an input is missing.
    #[arg(long)]
    allow_unknown: bool,
}

/// Runs `check`.
pub fn run(args: &CheckArgs) -> Result<ExitCode, Stop> {
    let (plan, library) = load::plan(&args.plan)?;
    let options = Options { draws: args.draws, seed: args.seed };
    // The usual count is done before a line could be read.
    if args.draws > 4 * DRAWS && std::io::stderr().is_terminal() {
        eprintln!("Drawing {} builds …", args.draws);
    }
    let assessment = assess(&plan, &library, options, !args.no_remedies);
    if let Some(number) = args.fix_with {
        return fix(args, &plan, &assessment, number);
    }
    let answers = args.best.then(|| (answers::mounting(&plan), answers::sizes(&plan)));
    if args.json {
        let mut json = serde_json::to_value(&assessment).expect("an assessment has no maps but of text");
        if let Some((mounting, sizes)) = &answers {
            json["best_mounting"] = serde_json::to_value(mounting).expect("plain numbers");
            json["sizes"] = serde_json::to_value(sizes).expect("plain rows");
        }
        println!("{json:#}");
    } else {
        print!(
            "{}",
            terminal::sheet(&assessment, Extent { assumptions: args.assumptions, figures: args.figures })
        );
        if let Some((mounting, sizes)) = &answers {
            print!("{}", terminal::answers(mounting, sizes));
        }
    }
    Ok(exit_code(&assessment, args.allow_unknown))
}

fn assess(plan: &Plan, library: &Library, options: Options, with_remedies: bool) -> Assessment {
    let study = Study::new(plan, options);
    let mut assessment = of_study(&study);
    // A remedy is judged by draws: without them there is none to offer.
    if with_remedies && options.draws > 0 {
        remedies::seek(plan, library, options, &mut assessment);
    }
    assessment
}

/// 0 where all fits or is tight, 1 where something is not shown to fit.
fn exit_code(assessment: &Assessment, allow_unknown: bool) -> ExitCode {
    match assessment.verdict {
        "fits" | "tight" => ExitCode::SUCCESS,
        "unknown" if allow_unknown => ExitCode::SUCCESS,
        _ => ExitCode::from(NOT_SHOWN),
    }
}

fn fix(args: &CheckArgs, plan: &Plan, assessment: &Assessment, number: usize) -> Result<ExitCode, Stop> {
    let numbered = remedies::numbered(assessment);
    let count = numbered.len();
    let Some(&(finding, remedy)) = number.checked_sub(1).and_then(|at| numbered.get(at)) else {
        return Err(Stop::Message(
            format!("there is no remedy {number}"),
            if count == 0 {
                "this plan has none".into()
            } else {
                format!("doorwright check lists 1 to {count}")
            },
        ));
    };
    let changes = remedy.set.iter().map(|(path, value)| (path.as_str(), value.as_str()));
    let text = edit::set_all(&plan.source.text, changes)
        .map_err(|wrong| Stop::Message(wrong.says, wrong.hint.unwrap_or_default()))?;
    eprintln!("For {}: {}", finding.code, finding.says);
    crate::edit::show_changes(&plan.source.text, &text);
    load::write(&args.plan, &text)?;
    eprintln!("Written: {}", args.plan.display());
    Ok(ExitCode::SUCCESS)
}
