//! `doorwright` without arguments: the plans that are here, or the four ways to one.
//!
//! No way is a dead end: what is not built yet is said, with what there is instead. What a way leads to is the business
//! of [`crate::new`].

use crate::ask::{self, Person};
use crate::load::{self, Stop};
use crate::new::{self, FINISHED, NewArgs};
use crate::sheets;
use anstream::{eprintln, println};
use station::fields::PARTS;
use station::plan::Plan;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// `doorwright` without arguments: the plans that are here, or the four ways to one.
pub fn run() -> Result<ExitCode, Stop> {
    let plans = plans_here();
    if !plans.is_empty() {
        list(&plans);
        return Ok(ExitCode::SUCCESS);
    }
    if !ask::somebody() {
        println!("No plan here yet. Where are you?");
        println!("  1  I have a board in my hand     doorwright new --board NAME|PINTABLE-FILE");
        println!("  2  I am still choosing parts     doorwright sheets list board");
        println!("  3  It already hangs by the door  doorwright new");
        println!("  4  Show me a finished one        doorwright new --like {}", FINISHED.0);
        return Ok(ExitCode::SUCCESS);
    }
    let question = "No plan here yet. Where are you?\n  \
        1  I have a board in my hand           3  It already hangs by the door\n  \
        2  I am still choosing parts           4  Show me a finished one\n\
        Enter: 1";
    let way = Person::here().ask(question, |typed| match typed {
        "" | "1" => Ok(1),
        "2" => Ok(2),
        "3" => Ok(3),
        "4" => Ok(4),
        _ => Err("1, 2, 3 or 4".to_string()),
    });
    match way.unwrap_or(1) {
        2 => {
            sheets::list_kind(&load::library(Some(Path::new("plan.toml"))), "board");
            eprintln!("Comparing them by price is not built yet. A plan with an open board tells what one");
            eprintln!("must be able to do; name one later and see what changes.");
            new::run(&NewArgs::with_board("none"))
        }
        3 => {
            eprintln!("Reading a hanging station's picture is not built yet. Give three answers instead;");
            eprintln!("then what you measure on it takes the place of what is assumed.");
            new::run(&NewArgs::default())
        }
        4 => new::run(&NewArgs::finished()),
        _ => new::run(&NewArgs::default()),
    }
}

/// A plan in this folder: file, and name and revision where it reads.
struct Here {
    file: PathBuf,
    read: Result<(String, String), usize>,
}

/// Plans in this folder and in `plans/`.
fn plans_here() -> Vec<Here> {
    let mut files: Vec<PathBuf> = ["", "plans"]
        .iter()
        .flat_map(|folder| {
            let entries = std::fs::read_dir(if folder.is_empty() { "." } else { folder })
                .into_iter()
                .flatten()
                .flatten();
            entries.map(|entry| Path::new(folder).join(entry.file_name()))
        })
        .filter(|file| file.extension().is_some_and(|extension| extension == "toml"))
        .collect();
    files.sort_by_key(|file| (file.components().count(), file.clone()));
    files.into_iter().filter_map(here).collect()
}

/// A file that reads as a plan or that looks like one; anything else in TOML is somebody else's.
fn here(file: PathBuf) -> Option<Here> {
    let source = load::text(&file).ok()?;
    let headed = source.text.lines().any(|line| {
        let part = line.trim().strip_prefix('[').and_then(|line| line.split(']').next());
        part.is_some_and(|part| PARTS.iter().any(|(known, _)| *known == part.trim()))
    });
    // A sheet says at its top of which kind it is.
    let mut top = source.text.lines().map(str::trim).take_while(|line| !line.starts_with('['));
    if !headed || top.any(|line| line.split('=').next().is_some_and(|key| key.trim() == "kind")) {
        return None;
    }
    let read = Plan::read(source, &load::library(Some(&file)))
        .map(|plan| (plan.name, plan.revision))
        .map_err(|problems| problems.list.len());
    Some(Here { file, read })
}

fn list(plans: &[Here]) {
    println!(
        "{}",
        if plans.len() == 1 { "One plan here.".into() } else { format!("{} plans here.", plans.len()) }
    );
    for Here { file, read } in plans {
        let about = match read {
            Ok((name, _)) if name.is_empty() => "no name".into(),
            Ok((name, revision)) if revision.is_empty() => name.clone(),
            Ok((name, revision)) => format!("{name}, rev {revision}"),
            Err(1) => "has a problem to mend".into(),
            Err(count) => format!("has {count} problems to mend"),
        };
        let about: String = about.chars().filter(|c| !c.is_control()).take(34).collect();
        println!("  {about:<34}  doorwright check {}", file.display());
    }
    println!("Another one: doorwright new");
}
