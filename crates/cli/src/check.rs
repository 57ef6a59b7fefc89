//! `doorwright check`: the verdicts of a plan.

use crate::edit;
use crate::load::{self, Stop};
use anstream::{eprint, eprintln, print, println};
use budgets::answers;
use budgets::assessment::{self, Assessment};
use budgets::remedies;
use budgets::series;
use budgets::study::{DRAWS, Options};
use draw::drawings;
use draw::terminal::{self, Extent, WIDTH};
use draw::wrap::wrapped;
use station::plan::Plan;
use station::sheets::Library;
use std::io::IsTerminal as _;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Most builds that are drawn at once: more take minutes and tell nothing more.
const MOST_DRAWS: u32 = 200_000;
/// Fewest: below, neither a probability nor a driver means anything.
const FEWEST_DRAWS: u32 = 64;

/// How many builds to draw, as an argument.
///
/// # Errors
/// What would be right.
pub fn draws(text: &str) -> Result<u32, String> {
    match text.parse() {
        Ok(count) if count == 0 || (FEWEST_DRAWS..=MOST_DRAWS).contains(&count) => Ok(count),
        _ => Err(format!("0 for the nominal answer alone, or {FEWEST_DRAWS} to {MOST_DRAWS}")),
    }
}

/// Arguments of `check`.
#[derive(clap::Args)]
#[command(after_help = "Example: doorwright check plans/kiln-yard-gate.toml\n\n\
    Exit code: 0 all fits or is tight, 1 not shown to fit (with --fix-with: as the plan then stands), 2 the plan has \
    problems.")]
pub struct CheckArgs {
    /// The plan, a TOML file.
    plan: PathBuf,
    /// Prints the assessment as JSON.
    #[arg(long)]
    json: bool,
    /// How many builds to draw; 0 for the nominal answer alone, without remedies.
    #[arg(long, default_value_t = DRAWS, value_parser = draws)]
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
    /// Tells what still works when the power, the router or another part is down.
    #[arg(long, conflicts_with = "fix_with")]
    works: bool,
    /// Draws the assessment into this folder: SVG files, and a page that shows them all for printing.
    #[arg(long, value_name = "DIR", conflicts_with = "fix_with")]
    drawings: Option<PathBuf>,
    /// Does not look for remedies (quicker).
    #[arg(long)]
    no_remedies: bool,
    /// Takes remedy N: shows the changed lines, writes the plan and tells how it stands then.
    #[arg(long, value_name = "N")]
    fix_with: Option<usize>,
    /// Does not fail because an input is missing.
    #[arg(long)]
    allow_unknown: bool,
}

/// Runs `check`.
pub fn run(args: &CheckArgs) -> Result<ExitCode, Stop> {
    if args.fix_with.is_some() {
        load::writable(&args.plan)?;
    }
    let (plan, library) = load::plan(&args.plan)?;
    let options = Options { draws: args.draws, seed: args.seed };
    // Some seconds: somebody who waits sees what for, and the line goes when it is done.
    let waits = args.draws > 0 && std::io::stderr().is_terminal();
    if waits {
        let then = if args.no_remedies { "" } else { " and looking for remedies" };
        eprint!("Drawing {} builds{then} …", args.draws);
    }
    let assessment = if args.no_remedies {
        assessment::assess(&plan, options)
    } else {
        remedies::assess(&plan, &library, options)
    };
    if waits {
        eprint!("\r\u{1b}[K");
    }
    if let Some(number) = args.fix_with {
        return fix(args, (&plan, &library), &assessment, number);
    }
    let works = args.works.then(|| series::what_still_works(&plan));
    if let Some(folder) = &args.drawings {
        write_drawings(&plan, &assessment, folder)?;
    }
    let answers = args.best.then(|| (answers::mounting(&plan), answers::sizes(&plan)));
    if args.json {
        let mut json = serde_json::to_value(&assessment).expect("an assessment has no maps but of text");
        if let Some((mounting, sizes)) = &answers {
            json["best_mounting"] = serde_json::to_value(mounting).expect("plain numbers");
            json["sizes"] = serde_json::to_value(sizes).expect("plain rows");
        }
        if let Some(works) = &works {
            // Null where the plan does not tell how a press is heard.
            json["what_still_works"] = serde_json::to_value(works.as_ref().ok()).expect("plain rows");
        }
        println!("{json:#}");
    } else {
        print!(
            "{}",
            terminal::sheet(&assessment, Extent { assumptions: args.assumptions, figures: args.figures })
        );
        if let Some((mounting, sizes)) = &answers {
            print!("{}", terminal::answers(&assessment.file, mounting, sizes));
        }
        match &works {
            Some(Ok(rows)) => print!("{}", draw::works::text(rows)),
            Some(Err(why)) => eprintln!("What still works cannot be told: {why}."),
            None => {}
        }
    }
    Ok(load::exit_code(assessment.verdict, args.allow_unknown))
}

/// Writes every drawing that there is, and the page that shows them; lists them, and those that are missing.
fn write_drawings(plan: &Plan, assessment: &Assessment, folder: &Path) -> Result<(), Stop> {
    std::fs::create_dir_all(folder).map_err(|error| {
        let says = format!("the folder {} cannot be made: {}", folder.display(), load::plain(&error));
        Stop::Message(says, String::new())
    })?;
    let drawings = drawings::all(plan, assessment);
    for drawing in &drawings {
        let file = folder.join(drawing.file());
        match &drawing.svg {
            Ok(svg) => {
                load::write(&file, svg)?;
                eprintln!("Written: {}", file.display());
            }
            // Never removed: it may be somebody's last copy. But it is not of this plan as it stands.
            Err(why) if file.exists() => {
                eprintln!("no {}: {why}; {} is of an earlier check", drawing.name, file.display());
            }
            Err(why) => eprintln!("no {}: {why}", drawing.name),
        }
    }
    let page = folder.join("index.html");
    load::write(&page, &drawings::index(plan, assessment, &drawings))?;
    eprintln!("Written: {}", page.display());
    Ok(())
}

fn fix(
    args: &CheckArgs,
    (plan, library): (&Plan, &Library),
    assessment: &Assessment,
    number: usize,
) -> Result<ExitCode, Stop> {
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
    let changed = edit::changed(&plan.source, library, changes)?;
    eprintln!("For {}: {}", finding.code, finding.says);
    edit::show_changes(&plan.source.text, &changed.source.text);
    load::write_back(&args.plan, &changed.source.text)?;
    eprintln!("Written: {}", args.plan.display());
    let options = Options { draws: assessment.draws, seed: assessment.seed };
    let now = remedies::assess(&changed, library, options);
    let next =
        now.next.as_ref().map_or_else(|| format!("doorwright check {}", now.file), |next| next.says.clone());
    for (lead, text) in [("Now:", standing(&now)), ("Next:", next)] {
        for (at, line) in wrapped(&text, WIDTH - 6).iter().enumerate() {
            eprintln!("{:<5} {line}", if at == 0 { lead } else { "" });
        }
    }
    Ok(load::exit_code(now.verdict, args.allow_unknown))
}

/// How the budgets stand, in one line: `pins, memory fit · power is tight · detail does not fit`.
fn standing(assessment: &Assessment) -> String {
    let words = [
        ("fits", "fits", "fit"),
        ("tight", "is tight", "are tight"),
        ("unknown", "is not told yet", "are not told yet"),
        ("over", "does not fit", "do not fit"),
    ];
    let groups = words.iter().filter_map(|(verdict, one, several)| {
        let with = assessment.budgets.iter().filter(|budget| budget.verdict == *verdict);
        let names: Vec<&str> = with.map(|budget| budget.name).collect();
        let stand = if names.len() == 1 { one } else { several };
        (!names.is_empty()).then(|| format!("{} {stand}", names.join(", ")))
    });
    groups.collect::<Vec<_>>().join(" · ")
}
