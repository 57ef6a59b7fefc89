//! `doorwright export detector`, `station` and `probe`: C for the board, shown first, written when asked.

use crate::load::{self, NOT_SHOWN, Stop};
use anstream::{eprintln, print, println};
use draw::paint::{Paint, Tone};
use export::{Part, plate, station_end};
use link::Station;
use serde_json::json;
use station::plan::Plan;
use station::sheets::Library;
use station::text::Source;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Lines of a difference that are shown of a file.
const LINES_SHOWN: usize = 40;

/// Arguments of `export detector`.
#[derive(clap::Args)]
#[command(
    after_help = "Three files: dw_plate.h and dw_plate.c, the same for every plan, and dw_plate_config.h with the \
    constants that the plan tells; without a plan they are usual ones.\n\n\
    Examples:\n  doorwright export detector gate.toml --c ../firmware\n  \
    doorwright export detector gate.toml --c ../firmware --write\n\n\
    Exit code: 0 nothing differs or written, 1 something differs and is not written, 2 bad input."
)]
pub struct DetectorArgs {
    /// The plan, a TOML file.
    plan: Option<PathBuf>,
    /// The folder for the files; it is made where it is missing.
    #[arg(long, value_name = "FOLDER")]
    c: PathBuf,
    /// Writes the files; without it only the difference is shown.
    #[arg(long)]
    write: bool,
    /// Prints what differs as JSON.
    #[arg(long)]
    json: bool,
}

/// Arguments of `export station`.
#[derive(clap::Args)]
#[command(
    after_help = "Five files: the detector's two, dw_station.h and dw_station.c, the same for every plan, and \
    dw_station_config.h with name, digest and settings of the plan. Six functions are yours; dw_station.h says which.\n\n\
    Examples:\n  doorwright export station gate.toml --c ../firmware\n  \
    doorwright export station gate.toml --c ../firmware --name north-gate --write\n\n\
    Exit code: 0 nothing differs or written, 1 something differs and is not written, 2 bad input."
)]
pub struct StationArgs {
    /// The plan, a TOML file.
    plan: PathBuf,
    /// The folder for the files; it is made where it is missing.
    #[arg(long, value_name = "FOLDER")]
    c: PathBuf,
    /// Its name in topics: a to z, 0 to 9 and -; as the plan's name suggests where not given.
    #[arg(long, value_parser = |text: &str| Station::new(text))]
    name: Option<Station>,
    /// Writes the files; without it only the difference is shown.
    #[arg(long)]
    write: bool,
    /// Prints what differs as JSON.
    #[arg(long)]
    json: bool,
}

/// Arguments of `export probe`.
#[derive(clap::Args)]
#[command(
    after_help = "The file prints lines such as dw ms=120450 plate=1184. Three functions are yours: one that reads \
    the plate, a clock, one that prints.\n\n\
    Examples:\n  doorwright export probe gate.toml --c ../firmware/dw_probe.c --write\n  \
    doorwright export probe > dw_probe.c\n\n\
    Exit code: 0 nothing differs or written, 1 something differs and is not written, 2 bad input."
)]
pub struct ProbeArgs {
    /// The plan, a TOML file: its plate.period says how often.
    plan: Option<PathBuf>,
    /// The file, or the folder for dw_probe.c; without it the text is printed.
    #[arg(long, value_name = "FILE")]
    c: Option<PathBuf>,
    /// Writes the file; without it only the difference is shown.
    #[arg(long, requires = "c")]
    write: bool,
    /// Prints what differs as JSON.
    #[arg(long, requires = "c")]
    json: bool,
}

/// Runs `export detector`.
pub fn detector(args: &DetectorArgs) -> Result<ExitCode, Stop> {
    into_folder(&args.c, plate::detector(&plan(args.plan.as_deref())?).into(), args.write, args.json)
}

/// Runs `export station`.
pub fn station(args: &StationArgs) -> Result<ExitCode, Stop> {
    let plan = plan(Some(&args.plan))?;
    let name = args.name.clone().unwrap_or_else(|| station_end::suggested_name(&plan));
    let done = into_folder(&args.c, station_end::station_end(&plan, &name).into(), args.write, args.json)?;
    eprintln!("note: its topics are from/{name}/… and to/{name}/…");
    Ok(done)
}

fn into_folder(folder: &Path, parts: Vec<Part>, write: bool, as_json: bool) -> Result<ExitCode, Stop> {
    if folder.is_file() {
        return Err(Stop::Message(
            format!("{} is a file, and {} are to be written", folder.display(), parts.len()),
            "name a folder: --c firmware".into(),
        ));
    }
    put(parts.into_iter().map(|part| (folder.join(part.name), part.text)).collect(), write, as_json)
}

/// Runs `export probe`.
pub fn probe(args: &ProbeArgs) -> Result<ExitCode, Stop> {
    let Part { name, text } = plate::probe(&plan(args.plan.as_deref())?);
    let Some(path) = &args.c else {
        print!("{text}");
        return Ok(ExitCode::SUCCESS);
    };
    let path = if path.is_dir() { path.join(name) } else { path.clone() };
    put(vec![(path, text)], args.write, args.json)
}

/// The plan, or one that tells nothing.
fn plan(path: Option<&Path>) -> Result<Plan, Stop> {
    match path {
        Some(path) => Ok(load::plan(path)?.0),
        None => Plan::read(Source::new("", ""), &Library::shipped())
            .map_err(|problems| Stop::Problems(Box::new(problems))),
    }
}

/// How a file stands to what it should be.
struct Target {
    path: PathBuf,
    text: String,
    /// `None` where there is no such file.
    was: Option<String>,
}

impl Target {
    fn of((path, text): (PathBuf, String)) -> Result<Self, Stop> {
        let was = if path.exists() { Some(load::text(&path)?.text) } else { None };
        Ok(Self { path, text, was })
    }

    fn differs(&self) -> bool {
        self.was.as_ref() != Some(&self.text)
    }

    fn state(&self) -> &'static str {
        match &self.was {
            None => "new",
            Some(was) if *was == self.text => "same",
            Some(_) => "differs",
        }
    }
}

fn put(files: Vec<(PathBuf, String)>, write: bool, as_json: bool) -> Result<ExitCode, Stop> {
    let targets = files.into_iter().map(Target::of).collect::<Result<Vec<_>, _>>()?;
    let differ = targets.iter().filter(|target| target.differs()).count();
    let written = write && differ > 0;
    if written {
        for target in targets.iter().filter(|target| target.differs()) {
            folder_of(&target.path)?;
            load::write(&target.path, &target.text)?;
        }
    }
    if as_json {
        let files: Vec<_> = targets
            .iter()
            .map(|target| json!({ "file": target.path.display().to_string(), "was": target.state() }))
            .collect();
        println!("{:#}", json!({ "files": files, "written": written }));
    } else {
        print!("{}", told(&targets, written));
    }
    Ok(if differ > 0 && !written { ExitCode::from(NOT_SHOWN) } else { ExitCode::SUCCESS })
}

/// Makes the folder of a file where it is missing.
pub(super) fn folder_of(path: &Path) -> Result<(), Stop> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    fs::create_dir_all(folder).map_err(|error| {
        Stop::Message(format!("{} cannot be made: {}", folder.display(), load::plain(&error)), String::new())
    })
}

fn told(targets: &[Target], written: bool) -> String {
    let mut out = String::new();
    for target in targets {
        let path = target.path.display().to_string();
        let lines = target.text.lines().count();
        let _ = match &target.was {
            None => writeln!(out, "{}  new, {lines} lines", Paint(Tone::Accent, &path)),
            Some(_) if !target.differs() => writeln!(out, "{path}  the same"),
            Some(was) => {
                writeln!(out, "{}  differs\n{}", Paint(Tone::Accent, &path), difference(was, &target.text))
            }
        };
    }
    let differ = targets.iter().filter(|target| target.differs()).count();
    let of = match targets.len() {
        1 => "The file".to_string(),
        all => format!("{differ} of {all} files"),
    };
    out + &match (differ, written) {
        (0, _) if targets.len() == 1 => "The file is the plan's.\n".into(),
        (0, _) => format!("All {} files are the plan's.\n", targets.len()),
        (_, true) => format!("{of} written.\n"),
        (1, false) => format!("{of} differs. Nothing is written; --write does.\n"),
        (_, false) => format!("{of} differ. Nothing is written; --write does.\n"),
    }
}

/// The lines between what both begin and end with: old, then new. Line by line where they are as many.
fn difference(was: &str, now: &str) -> String {
    let (was, now): (Vec<&str>, Vec<&str>) = (was.lines().collect(), now.lines().collect());
    let head = was.iter().zip(&now).take_while(|(a, b)| a == b).count();
    let rest = was.len().min(now.len()) - head;
    let tail = was.iter().rev().zip(now.iter().rev()).take(rest).take_while(|(a, b)| a == b).count();
    let (old, new) = (&was[head..was.len() - tail], &now[head..now.len() - tail]);
    let sign =
        |sign, tone, at: usize, line: &str| format!("{:>4} {sign} {}", head + at + 1, Paint(tone, line));
    let minus = |(at, line): (usize, &&str)| sign('-', Tone::Faint, at, line);
    let plus = |(at, line): (usize, &&str)| sign('+', Tone::Strong, at, line);
    let shown: Vec<String> = if old.len() == new.len() {
        let pairs = old.iter().enumerate().zip(new.iter().enumerate());
        pairs.filter(|(a, b)| a.1 != b.1).flat_map(|(a, b)| [minus(a), plus(b)]).collect()
    } else {
        old.iter().enumerate().map(minus).chain(new.iter().enumerate().map(plus)).collect()
    };
    let left = shown.len().saturating_sub(LINES_SHOWN);
    let more = if left > 0 { format!("\n     {left} more lines differ") } else { String::new() };
    shown[..shown.len() - left].join("\n") + &more
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_lines_that_differ_are_shown() {
        let plain = |was, now| anstream::adapter::strip_str(&difference(was, now)).to_string();
        assert_eq!(plain("a\nb\nc\nd\n", "a\nB\nc\nD\n"), "   2 - b\n   2 + B\n   4 - d\n   4 + D");
        assert_eq!(plain("a\nc\n", "a\nb\nc\n"), "   2 + b");
        assert_eq!(plain("a\na\n", "a\n"), "   2 - a");
        assert!(plain("", &"x\n".repeat(50)).ends_with("\n     10 more lines differ"));
    }
}
