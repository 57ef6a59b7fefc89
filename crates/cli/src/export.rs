//! `doorwright export`: from the plan to the board, in several forms; each is made by the crate of that name.

mod sources;

use crate::load::{self, NOT_SHOWN, Stop};
use anstream::{eprint, eprintln, print, println};
use draw::paint::{Paint, Tone};
use export::handover::Handover;
use export::marked::{self, Filled};
use export::names::Names;
use export::settings::Settings;
use serde_json::json;
use station::text::Source;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Arguments of `export`.
#[derive(clap::Args)]
#[command(after_help = "Examples:\n  doorwright export into gate.toml ../firmware/config.h\n  \
    doorwright export header gate.toml --out ../firmware/station_plan.h\n  \
    doorwright export settings gate.toml\n  \
    doorwright export detector gate.toml --c ../firmware\n  \
    doorwright export station gate.toml --c ../firmware\n  \
    doorwright export card gate.toml --out gate-card.svg")]
pub struct ExportArgs {
    #[command(subcommand)]
    form: Form,
}

#[derive(clap::Subcommand)]
enum Form {
    /// Puts the plan's numbers into the marked lines of your own file, and changes nothing else.
    Into(IntoArgs),
    /// Writes station_plan.h: pins and values as C99, with checks that the compiler makes.
    Header(HeaderArgs),
    /// Prints what can be changed without flashing, as flat lines.
    Settings(SettingsArgs),
    /// Draws the card that is laid inside the case.
    Card(CardArgs),
    /// Writes the plate's detector as C99, configured as the plan tells.
    Detector(sources::DetectorArgs),
    /// Writes the station's end of the link as C99: detector, presses, settings, signs.
    Station(sources::StationArgs),
    /// Writes a C99 file that prints the plate's readings, to be recorded and tuned by.
    Probe(sources::ProbeArgs),
}

#[derive(clap::Args)]
#[command(after_help = "A marked line ends in a comment with dw: and a key of the plan:\n  \
    #define PLATE_PIN   27           // dw: plate.pin\n  \
    idle_ms = 10000                  ; dw: idle.every in ms\n  \
    camera(800, 600);                // dw: camera.size.width #1 dw: camera.size.height #2\n\n\
    Example: doorwright export into gate.toml config.h --write\n\n\
    Exit code: 0 nothing differs or written, 1 something differs and is not written, 2 bad input.")]
struct IntoArgs {
    /// The plan, a TOML file.
    plan: PathBuf,
    /// Your file: any text with marked lines.
    file: PathBuf,
    /// Writes the file; without it only the difference is shown.
    #[arg(long)]
    write: bool,
    /// Prints the changes as JSON.
    #[arg(long)]
    json: bool,
}

#[derive(clap::Args)]
#[command(after_help = "Examples:\n  doorwright export header gate.toml --out station_plan.h\n  \
    doorwright export header gate.toml --names names.txt --out station_plan.h\n\n\
    A file of names has lines such as DW_PLATE_PIN = MY_PLATE; # begins a remark.\n\n\
    Exit code: 0 every demand has its pin, 1 one has none (the header says which), 2 bad input.")]
struct HeaderArgs {
    /// The plan, a TOML file.
    plan: PathBuf,
    /// Your names for ours, OURS = THEIRS a line.
    #[arg(long, value_name = "FILE")]
    names: Option<PathBuf>,
    /// Writes into this file instead of standard output.
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

#[derive(clap::Args)]
#[command(after_help = "Example: doorwright export settings gate.toml")]
struct SettingsArgs {
    /// The plan, a TOML file.
    plan: PathBuf,
    /// Prints them as JSON.
    #[arg(long)]
    json: bool,
}

#[derive(clap::Args)]
#[command(after_help = "Example: doorwright export card gate.toml --out gate-card.svg\n\n\
    Print it at 100 % on A6, or on A4 and cut: 148 x 105 mm, folded once to 74 x 105 mm.")]
struct CardArgs {
    /// The plan, a TOML file.
    plan: PathBuf,
    /// Writes into this file instead of standard output.
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

/// Runs `export`.
pub fn run(args: &ExportArgs) -> Result<ExitCode, Stop> {
    match &args.form {
        Form::Into(args) => into(args),
        Form::Header(args) => header(args),
        Form::Settings(args) => settings(args),
        Form::Detector(args) => sources::detector(args),
        Form::Station(args) => sources::station(args),
        Form::Probe(args) => sources::probe(args),
        Form::Card(args) => {
            let (plan, _) = load::plan(&args.plan)?;
            put(args.out.as_deref(), &draw::card::svg(&plan))?;
            Ok(ExitCode::SUCCESS)
        }
    }
}

fn put(out: Option<&Path>, text: &str) -> Result<(), Stop> {
    match out {
        Some(file) => {
            sources::folder_of(file)?;
            load::write(file, text)?;
            eprintln!("Written: {}", file.display());
        }
        None => print!("{text}"),
    }
    Ok(())
}

fn header(args: &HeaderArgs) -> Result<ExitCode, Stop> {
    let (plan, _) = load::plan(&args.plan)?;
    let handover = Handover::of(&plan);
    let names = match &args.names {
        Some(file) => Names::read(&load::text(file)?, &handover)
            .map_err(|problems| Stop::Problems(Box::new(problems)))?,
        None => Names::default(),
    };
    put(args.out.as_deref(), &export::header::header(&handover, &names))?;
    let assumed = handover.values.iter().filter(|value| !value.told && value.is_known()).count();
    if assumed > 0 {
        eprintln!("note: {assumed} values are assumed, and the header says which: nobody has told them");
    }
    let without: Vec<&str> =
        handover.pins.iter().filter(|pin| pin.pin.is_none()).map(|pin| pin.key.as_str()).collect();
    if without.is_empty() {
        return Ok(ExitCode::SUCCESS);
    }
    eprintln!("note: without a pin, and so not in the header: {}", without.join(", "));
    Ok(ExitCode::from(NOT_SHOWN))
}

fn settings(args: &SettingsArgs) -> Result<ExitCode, Stop> {
    let (plan, _) = load::plan(&args.plan)?;
    let settings = Settings::of(&Handover::of(&plan));
    if args.json {
        let told: serde_json::Map<String, serde_json::Value> =
            settings.told.iter().map(|(key, value)| (key.clone(), plain_json(value))).collect();
        let all = json!({ "revision": settings.revision, "burned": settings.burned, "settings": told,
            "left_out": settings.left_out });
        println!("{all:#}");
    } else {
        print!("{}", settings.text());
    }
    if !args.json && !settings.left_out.is_empty() {
        eprintln!("note: left out, since nobody tells them: {}", settings.left_out.join(", "));
    }
    Ok(ExitCode::SUCCESS)
}

/// A number as one, a word as text.
fn plain_json(value: &str) -> serde_json::Value {
    serde_json::from_str::<serde_json::Number>(value).map_or_else(|_| json!(value), serde_json::Value::Number)
}

fn into(args: &IntoArgs) -> Result<ExitCode, Stop> {
    if args.write {
        load::writable(&args.file)?;
    }
    let (plan, _) = load::plan(&args.plan)?;
    let source = load::text(&args.file)?;
    let filled = marked::fill(&plan, &Handover::of(&plan), &source)
        .map_err(|problems| Stop::Problems(Box::new(problems)))?;
    for value in &filled.assumed {
        eprint!("note: {} (line {}) is assumed, not told: {}", value.key, value.line, value.value);
        eprintln!(" ({})", value.source);
    }
    let write = args.write && !filled.changes.is_empty();
    if write {
        write_if_still(&args.file, &source, &filled.text)?;
    }
    if args.json {
        println!("{:#}", as_json(&filled, &source, write));
    } else {
        print!("{}", told(&filled, &source, write));
    }
    let left = !filled.changes.is_empty() && !write;
    Ok(if left { ExitCode::from(NOT_SHOWN) } else { ExitCode::SUCCESS })
}

/// Writes unless somebody has changed the file since it was read.
fn write_if_still(file: &Path, was: &Source, text: &str) -> Result<(), Stop> {
    if load::text(file)?.text != was.text {
        let says = format!("{} has changed while it was read; nothing is written", file.display());
        return Err(Stop::Message(says, "save it in your editor, then try again".into()));
    }
    load::write_back(file, text)
}

/// Each changed line under its keys, old and new; then how it stands.
fn told(filled: &Filled, source: &Source, written: bool) -> String {
    let (old, new): (Vec<&str>, Vec<&str>) = (source.text.lines().collect(), filled.text.lines().collect());
    let mut out = String::new();
    for changes in filled.changes.chunk_by(|a, b| a.line == b.line) {
        let number = changes[0].line;
        for change in changes {
            let key = format!("{} {} → {}", change.key, change.was, change.now);
            let _ = writeln!(out, "{}:{number}  {}", source.name, Paint(Tone::Accent, &key));
        }
        for (sign, tone, lines) in [("-", Tone::Faint, &old), ("+", Tone::Strong, &new)] {
            let line = lines.get(number - 1).copied().unwrap_or_default();
            let _ = writeln!(out, "{number:>4} {sign} {}", Paint(tone, line));
        }
    }
    let (differ, marked) = (filled.changes.len(), filled.marked);
    out + &match (differ, written) {
        (0, _) => format!("All {marked} marked numbers are the plan's.\n"),
        (_, true) => format!("{differ} of {marked} marked numbers changed. Written: {}\n", source.name),
        (_, false) => {
            format!("{differ} of {marked} marked numbers differ. Nothing is written; --write does.\n")
        }
    }
}

fn as_json(filled: &Filled, source: &Source, written: bool) -> serde_json::Value {
    let changes: Vec<_> = filled
        .changes
        .iter()
        .map(|c| json!({ "key": c.key, "line": c.line, "was": c.was, "now": c.now }))
        .collect();
    let assumed: Vec<_> = filled
        .assumed
        .iter()
        .map(|a| json!({ "key": a.key, "line": a.line, "value": a.value, "source": a.source }))
        .collect();
    json!({ "file": source.name, "marked": filled.marked, "written": written, "changes": changes, "assumed": assumed })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_that_changed_meanwhile_is_left_alone() {
        let file = std::env::temp_dir().join(format!("doorwright-meanwhile-{}", std::process::id()));
        std::fs::write(&file, "theirs\n").expect("a place for a test's file");
        let refused = write_if_still(&file, &Source::new("x", "as read\n"), "ours\n");
        let left = std::fs::read_to_string(&file).expect("it is there");
        std::fs::remove_file(&file).expect("it is ours");
        assert!(refused.is_err());
        assert_eq!(left, "theirs\n");
    }
}
