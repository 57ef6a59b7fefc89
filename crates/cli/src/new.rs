//! `doorwright new`: from three answers, or from another plan, to a plan with a first verdict.
//!
//! Asks at most three questions, one at a time, each of which is a flag too; Enter always works. Files are written
//! whole or not at all, and none is replaced without being told so. The text of a plan is the business of
//! [`station::draft`]; this file knows where it goes.

use crate::ask::{self, Person};
use crate::first_look;
use crate::import::{self, Wish};
use crate::load::{self, Stop};
use anstream::{eprint, eprintln, print, println};
use budgets::assessment::Next;
use budgets::remedies;
use budgets::study::{DRAWS, Options};
use draw::wrap::capital;
use station::draft::{self, Answers, Feed, Place};
use station::plan::Plan;
use station::sheets::Library;
use station::text::Source;
use std::io::BufRead;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// The finished plan that ships, by the name that `--like` takes.
pub const FINISHED: (&str, &str) = ("kiln-yard-gate", include_str!("../../../plans/kiln-yard-gate.toml"));

/// Arguments of `new`.
#[derive(clap::Args, Default)]
#[command(
    after_help = "Examples:\n  doorwright new\n  doorwright new gate.toml --board heron --place gate --feed cells\n  \
    doorwright new gate.toml --board pins.h\n  doorwright new back-door.toml --like gate.toml\n\n\
    Exit code: 0 the plan is written, 2 it is not."
)]
pub struct NewArgs {
    /// The plan to write [default: named after the place, such as gate.toml].
    file: Option<PathBuf>,
    /// The board: name of a sheet, `none` while it is not known, or a file with its pin table.
    #[arg(long, value_name = "NAME|none|PINTABLE-FILE")]
    board: Option<String>,
    /// Where it will hang [default: gate].
    #[arg(long, value_name = "gate|house-door|indoors", value_parser = place)]
    place: Option<Place>,
    /// What feeds it [default: not-yet].
    #[arg(long, value_name = "plug|long-cable|cells|not-yet", value_parser = feed)]
    feed: Option<Feed>,
    /// Copies another plan under a new name; `kiln-yard-gate` is a finished one that ships.
    #[arg(long, value_name = "PLAN", conflicts_with_all = ["board", "place", "feed"])]
    like: Option<PathBuf>,
    /// Replaces files that are there already.
    #[arg(long)]
    force: bool,
    /// Prints the first verdict as JSON, as `check --json` does.
    #[arg(long)]
    json: bool,
    /// How many builds to draw; 0 for the nominal answer alone.
    #[arg(long, value_name = "N", value_parser = crate::check::draws)]
    draws: Option<u32>,
}

fn place(word: &str) -> Result<Place, String> {
    ask::word(word, &Place::NAMES, &Place::ALL, Place::default())
}

fn feed(word: &str) -> Result<Feed, String> {
    ask::word(word, &Feed::NAMES, &Feed::ALL, Feed::default())
}

/// What is to be written beside the plan.
struct Files {
    plan: PathBuf,
    text: String,
    /// A board's sheet made from a pin table: path, text.
    sheet: Option<(PathBuf, String)>,
}

impl NewArgs {
    /// As if nothing but the board had been said.
    pub fn with_board(name: &str) -> Self {
        Self { board: Some(name.into()), ..Self::default() }
    }

    /// As if a copy of the finished plan had been asked for.
    pub fn finished() -> Self {
        Self { like: Some(FINISHED.0.into()), ..Self::default() }
    }
}

/// Runs `new`.
pub fn run(args: &NewArgs) -> Result<ExitCode, Stop> {
    let files = match &args.like {
        Some(like) => copy(args, like)?,
        None if ask::somebody() => draft(args, Some(&mut Person::here()))?,
        None => draft::<&[u8]>(args, None)?,
    };
    write(&files, args.force)?;
    let sheet = files.sheet.as_ref().map(|(path, _)| path.as_path());
    verdict(&files.plan, sheet, args)?;
    Ok(ExitCode::SUCCESS)
}

/// Asks what the flags leave open, and makes the plan's text.
fn draft<R: BufRead>(args: &NewArgs, mut person: Option<&mut Person<R>>) -> Result<Files, Stop> {
    let unsaid = [args.board.is_none(), args.place.is_none(), args.feed.is_none()];
    let total = unsaid.iter().filter(|&&unsaid| unsaid).count();
    let mut asked = 0;
    let mut number = || {
        asked += 1;
        format!("{asked}/{total}")
    };
    // The plan's folder holds the maker's own sheets; it is known before the plan's name is.
    let folder = args.file.as_deref().and_then(Path::parent).unwrap_or(Path::new("")).to_path_buf();
    let library = load::library(Some(&folder.join("new.toml")));
    let mut board = match &args.board {
        Some(said) => board_of(said, &library)?,
        None => Board::Open,
    };
    if let (Some(person), None) = (person.as_deref_mut(), &args.board) {
        let question = format!(
            "{}  Which board is it?   {}\n     p pastes its pin table · a file's name reads it · Enter: not known yet",
            number(),
            library.names("board").join(" · ")
        );
        let told = person.ask(&question, |typed| match board_of(typed, &library) {
            Ok(board) => Ok(board),
            Err(Stop::Message(says, hint)) => Err(format!("{says}; {hint}")),
            Err(Stop::Problems(_)) => {
                Err("its sheet has problems: doorwright sheets check shows them".into())
            }
        });
        board = told.unwrap_or(Board::Open);
        if matches!(board, Board::Paste) {
            eprintln!("     Paste it as you found it, then a line with only a dot.");
            let source = Source::new("-", person.paste());
            board = Board::Table(import::board(&source, &Wish::default())?);
        }
        if let Board::Table(table) = &board {
            eprint!("{}", table.told);
        }
    } else if let Board::Table(table) = &board {
        eprint!("{}", table.told);
    }
    let mut place = args.place;
    if let (Some(person), None) = (person.as_deref_mut(), place) {
        let question =
            format!("{}  Where will it hang?   gate · house door · indoors   Enter: gate", number());
        place = person.ask(&question, self::place);
    }
    let mut feed = args.feed;
    if let (Some(person), None) = (person, feed) {
        let question =
            format!("{}  What feeds it?   plug · long cable · cells · not yet   Enter: not yet", number());
        feed = person.ask(&question, self::feed);
    }
    let place = place.unwrap_or_default();
    let plan = named(args).unwrap_or_else(|| PathBuf::from(format!("{}.toml", place.name())));
    let (board, sheet) = match board {
        Board::Open | Board::Paste => (None, None),
        Board::Sheet(name) => (Some(name), None),
        Board::Table(table) => {
            (Some(table.name.clone()), Some((import::place(&folder, &table.name), table.sheet)))
        }
    };
    let answers = Answers { name: station_name(&plan), board, place, feed: feed.unwrap_or_default() };
    Ok(Files { plan, text: draft::plan(&answers), sheet })
}

/// Which board, as far as it is told.
enum Board {
    Open,
    Sheet(String),
    Table(import::Imported),
    Paste,
}

fn board_of(said: &str, library: &Library) -> Result<Board, Stop> {
    let names = library.names("board");
    match said {
        "" | "none" | "n" => return Ok(Board::Open),
        "p" => return Ok(Board::Paste),
        name if names.contains(&name) => return Ok(Board::Sheet(name.into())),
        _ => {}
    }
    if said == "-" || said.contains(['/', '.']) || Path::new(said).is_file() {
        return Ok(Board::Table(import::board(&load::text(Path::new(said))?, &Wish::default())?));
    }
    let near = quantity::nearest(said, names.iter().copied())
        .map_or(String::new(), |near| format!("did you mean {near}? "));
    Err(Stop::Message(
        format!("there is neither a board sheet nor a file `{said}`"),
        format!("{near}boards: {}; or the file with its pin table", names.join(", ")),
    ))
}

/// A copy of another plan: its text, the name changed.
fn copy(args: &NewArgs, like: &Path) -> Result<Files, Stop> {
    let shipped = like.to_str() == Some(FINISHED.0) && !like.exists();
    let (source, plan) = if shipped {
        let plan = named(args).unwrap_or_else(|| PathBuf::from(format!("{}.toml", FINISHED.0)));
        let text = FINISHED.1.replace("plans/kiln-yard-gate.toml", &plan.display().to_string());
        (Source::new(FINISHED.0, text), plan)
    } else {
        let Some(plan) = named(args) else {
            return Err(Stop::Message(
                "the copy needs a name".into(),
                format!("doorwright new back-door.toml --like {}", like.display()),
            ));
        };
        (load::text(like)?, plan)
    };
    let text = if shipped && args.file.is_none() {
        source.text.clone()
    } else {
        station::edit::set(&source.text, "name", &station_name(&plan)).map_err(|wrong| {
            Stop::Message(format!("{}: {}", source.name, wrong.says), wrong.hint.unwrap_or_default())
        })?
    };
    Ok(Files { plan, text, sheet: None })
}

/// The plan's file as the user names it; `gate` is gate.toml, so that it is found and coloured as what it is.
fn named(args: &NewArgs) -> Option<PathBuf> {
    let file = args.file.as_ref()?;
    Some(if file.extension().is_none() { file.with_extension("toml") } else { file.clone() })
}

/// `back-door.toml` is the station "Back door".
fn station_name(plan: &Path) -> String {
    let stem =
        plan.file_stem().map(|stem| stem.to_string_lossy().replace(['-', '_'], " ")).unwrap_or_default();
    if stem.trim().is_empty() { "Station".into() } else { capital(stem.trim()) }
}

/// Writes what a draft holds, unless it cannot be read or something is in its place.
fn write(files: &Files, force: bool) -> Result<(), Stop> {
    import::free(&files.plan, force)?;
    let mut library = load::library(Some(&files.plan));
    if let Some((path, sheet)) = &files.sheet {
        import::free(path, force)?;
        let source = Source::new(path.display().to_string(), sheet.clone());
        library.add(source).map_err(|problems| Stop::Problems(Box::new(problems)))?;
    }
    let source = Source::new(files.plan.display().to_string(), files.text.clone());
    Plan::read(source, &library).map_err(|problems| Stop::Problems(Box::new(problems)))?;
    let folder = files.plan.parent().filter(|folder| !folder.as_os_str().is_empty());
    if let Some(folder) = folder.filter(|folder| !folder.is_dir()) {
        return Err(Stop::Message(
            format!("there is no folder {}", folder.display()),
            "make it first".into(),
        ));
    }
    if let Some((path, sheet)) = &files.sheet {
        import::write(path, sheet)?;
        eprintln!("Written: {}, the board's sheet.", path.display());
    }
    if let Err(stop) = load::write(&files.plan, &files.text) {
        if let Some((path, _)) = &files.sheet {
            // Without its plan the sheet would be a leftover; that it stays is not worth a second message.
            let _ = std::fs::remove_file(path);
        }
        return Err(stop);
    }
    eprintln!(
        "Written: {}, {} lines. It is yours to edit.",
        files.plan.display(),
        files.text.lines().count()
    );
    Ok(())
}

/// The first verdict of a plan that has just been written.
fn verdict(path: &Path, sheet: Option<&Path>, args: &NewArgs) -> Result<(), Stop> {
    let (plan, library) = load::plan(path)?;
    let options = Options { draws: args.draws.unwrap_or(DRAWS), seed: 1 };
    let mut assessment = remedies::assess(&plan, &library, options);
    if let Some(sheet) = sheet {
        // A pin table tells the camera's pins only: without the rest of the sheet no pin can be judged.
        let says = format!("write chip and pads into {} (doorwright sheets list chip)", sheet.display());
        assessment.next = Some(Next { at: "board.sheet".into(), says });
    }
    if args.json {
        println!("{:#}", serde_json::to_value(&assessment).expect("an assessment has no maps but of text"));
    } else {
        print!("{}", first_look::sheet(&assessment));
    }
    Ok(())
}
