//! Reads plans and the user's sheets from disk, and shows what is wrong with them.
//!
//! The one place where this program opens a plan: sheets that ship come first, then those of the user's own folder
//! (`$XDG_DATA_HOME/doorwright/sheets`, by default `~/.local/share/doorwright/sheets`), then those beside the plan
//! (`sheets/` in its folder); later ones win.

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use anstream::eprintln;
use station::plan::Plan;
use station::sheets::Library;
use station::text::{Problem, Problems, Source};
use std::fs;
use std::io::{BufWriter, Read, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Exit code of a plan that is not shown to fit.
pub const NOT_SHOWN: u8 = 1;
/// Exit code of bad input.
pub const BAD_INPUT: u8 = 2;

/// The exit code of a verdict: 0 where all fits or is tight, 1 where something is not shown to fit.
pub fn exit_code(verdict: &str, allow_unknown: bool) -> ExitCode {
    match verdict {
        "fits" | "tight" => ExitCode::SUCCESS,
        "unknown" if allow_unknown => ExitCode::SUCCESS,
        _ => ExitCode::from(NOT_SHOWN),
    }
}

/// What went wrong before a command could do its work; already worded for the user.
#[derive(Debug)]
pub enum Stop {
    /// A text has problems.
    Problems(Box<Problems>),
    /// Anything else: one sentence and what to do.
    Message(String, String),
}

impl Stop {
    /// Prints it to standard error and gives the exit code.
    pub fn report(&self) -> ExitCode {
        match self {
            Stop::Problems(problems) => print_problems(problems),
            Stop::Message(says, hint) if hint.is_empty() => eprintln!("error: {says}"),
            Stop::Message(says, hint) => eprintln!("error: {says}\nhint: {hint}"),
        }
        ExitCode::from(BAD_INPUT)
    }
}

/// Longest file that is read at all.
const LONGEST_FILE: u64 = 4 << 20;

/// Some editors begin every file with a byte order mark.
const MARK: &str = "\u{feff}";

/// Reads a text file, or standard input for `-`.
pub fn text(path: &Path) -> Result<Source, Stop> {
    let name = path.display().to_string();
    let mut bytes = Vec::new();
    let read = if name == "-" {
        std::io::stdin().lock().take(LONGEST_FILE + 1).read_to_end(&mut bytes)
    } else {
        fs::File::open(path).and_then(|file| file.take(LONGEST_FILE + 1).read_to_end(&mut bytes))
    };
    if let Err(error) = read {
        let hint = match error.kind() {
            std::io::ErrorKind::NotFound => near_file(path),
            _ => String::new(),
        };
        return Err(Stop::Message(format!("{name} cannot be read: {}", plain(&error)), hint));
    }
    if bytes.len() as u64 > LONGEST_FILE {
        return Err(Stop::Message(
            format!("{name} has more than {} MiB", LONGEST_FILE >> 20),
            "is it the right file?".into(),
        ));
    }
    match String::from_utf8(bytes) {
        Ok(text) => Ok(Source::new(name, text.strip_prefix(MARK).unwrap_or(&text))),
        Err(error) => {
            let valid = error.utf8_error().valid_up_to();
            let line = error.as_bytes()[..valid].iter().filter(|&&byte| byte == b'\n').count() + 1;
            Err(Stop::Message(
                format!("{name}:{line} is not UTF-8 text (byte {} of the file)", valid + 1),
                "save it as UTF-8 in your editor".into(),
            ))
        }
    }
}

/// The system's words without its number.
pub fn plain(error: &std::io::Error) -> String {
    let text = error.to_string();
    text.split(" (os error").next().unwrap_or(&text).to_lowercase()
}

/// A file of a similar name beside the one that is missing.
fn near_file(path: &Path) -> String {
    let folder = path.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let Some(name) = path.file_name().and_then(|name| name.to_str()) else { return String::new() };
    let names: Vec<String> = fs::read_dir(folder)
        .map(|entries| entries.flatten().filter_map(|entry| entry.file_name().into_string().ok()).collect())
        .unwrap_or_default();
    match quantity::nearest(name, names.iter().map(String::as_str)) {
        Some(near) => format!("did you mean {}?", folder.join(near).display()),
        None if path.extension().is_some_and(|ending| ending == "toml") => {
            "doorwright new writes a plan".into()
        }
        None => String::new(),
    }
}

/// All sheets at hand for a plan at this path; the library keeps what is wrong with those that cannot be used.
pub fn library(plan: Option<&Path>) -> Library {
    let mut library = Library::shipped();
    let beside = plan.map(|plan| plan.parent().unwrap_or(Path::new("")).join("sheets"));
    for folder in own_folder().into_iter().chain(beside) {
        for file in toml_files(&folder) {
            // Problems of a sheet are the business of the plan that names it: the library hands them to it.
            match text(&file) {
                Ok(source) => {
                    let _ = library.add(source);
                }
                Err(Stop::Problems(problems)) => {
                    library.add_broken(Source::new(file.display().to_string(), ""), *problems);
                }
                Err(Stop::Message(says, hint)) => {
                    let source = Source::new(file.display().to_string(), "");
                    let mut problems = Problems::default();
                    problems.add(&source, 0..0, says, Some(hint).filter(|hint| !hint.is_empty()));
                    library.add_broken(source, problems);
                }
            }
        }
    }
    library
}

/// One line about sheets that are left out; whoever needs them is told more.
pub fn tell_left_out(library: &Library) {
    let mut files = library.broken().map(|(file, _)| file);
    let Some(first) = files.next() else { return };
    let more = match files.count() {
        0 => String::new(),
        more => format!(" (and {more} more)"),
    };
    eprintln!("note: {first}{more} is left out: doorwright sheets check shows what is wrong");
}

/// All that is wrong with sheets that are left out.
pub fn print_left_out(library: &Library) {
    let mut all = Problems::default();
    library.broken().for_each(|(_, problems)| all.extend(problems.clone()));
    if !all.list.is_empty() {
        print_problems(&all);
    }
}

/// Where the user's own sheets live.
pub fn own_folder() -> Option<PathBuf> {
    let data = std::env::var_os("XDG_DATA_HOME").filter(|path| !path.is_empty()).map(PathBuf::from);
    let data =
        data.or_else(|| std::env::var_os("HOME").map(|home| PathBuf::from(home).join(".local/share")))?;
    Some(data.join("doorwright/sheets"))
}

/// TOML files of a folder and of its subfolders by kind, sorted.
fn toml_files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let Ok(entries) = fs::read_dir(folder) else { return found };
    for path in entries.flatten().map(|entry| entry.path()) {
        if path.is_dir() {
            let inner = fs::read_dir(&path).into_iter().flatten().flatten().map(|entry| entry.path());
            found.extend(inner.filter(|path| path.extension().is_some_and(|extension| extension == "toml")));
        } else if path.extension().is_some_and(|extension| extension == "toml") {
            found.push(path);
        }
    }
    found.sort();
    found
}

/// A plan with all sheets at hand.
pub fn plan(path: &Path) -> Result<(Plan, Library), Stop> {
    let source = text(path)?;
    let library = library(Some(path));
    let plan = Plan::read(source, &library).map_err(|problems| Stop::Problems(Box::new(problems)))?;
    tell_left_out(&library);
    Ok((plan, library))
}

/// Refuses what cannot be written over: standard input, which every command reads as `-`.
///
/// # Errors
/// The path is `-`.
pub fn writable(path: &Path) -> Result<(), Stop> {
    if path.as_os_str() == "-" {
        return Err(Stop::Message(
            "- stands for standard input, and nothing can be written there".into(),
            "save it in a file and name that; ./- is a file of that name".into(),
        ));
    }
    Ok(())
}

/// Writes a changed plan back to where it was read; a byte order mark at its start stays.
///
/// # Errors
/// As [`write()`].
pub fn write_back(path: &Path, text: &str) -> Result<(), Stop> {
    let marked = fs::read(path).is_ok_and(|old| old.starts_with(MARK.as_bytes()));
    if marked { write(path, &format!("{MARK}{text}")) } else { write(path, text) }
}

/// Writes a file whole or not at all: beside it first, then renamed.
///
/// # Errors
/// The path is `-`, or something cannot be written.
pub fn write(path: &Path, text: &str) -> Result<(), Stop> {
    write_by(path, |file| file.write_all(text.as_bytes()))
}

/// The same for a file that is longer than memory: `fill` writes it bit by bit.
///
/// # Errors
/// As [`write()`], or `fill` fails.
pub fn write_by(path: &Path, fill: impl FnOnce(&mut dyn Write) -> std::io::Result<()>) -> Result<(), Stop> {
    writable(path)?;
    let failed = |error: &std::io::Error| {
        Stop::Message(format!("{} cannot be written: {}", path.display(), plain(error)), String::new())
    };
    // A link is followed, so that it stays one; the file's rights go over to the one that takes its place.
    let target = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let mut beside = target.as_os_str().to_owned();
    beside.push(format!(".{}.part", std::process::id()));
    let beside = PathBuf::from(beside);
    // On the disk before it takes the old one's place: after a power cut either of the two is there, whole.
    let whole = |file: fs::File| {
        let mut buffered = BufWriter::new(file);
        fill(&mut buffered)?;
        buffered.into_inner()?.sync_all()
    };
    let written = fs::File::create(&beside)
        .and_then(whole)
        .and_then(|()| {
            fs::metadata(&target).map_or(Ok(()), |old| fs::set_permissions(&beside, old.permissions()))
        })
        .and_then(|()| fs::rename(&beside, &target));
    if let Err(error) = written {
        // Nothing half-written stays behind; that it cannot be removed is not worth a second message.
        let _ = fs::remove_file(&beside);
        return Err(failed(&error));
    }
    Ok(())
}

/// Shows problems with their lines.
fn print_problems(problems: &Problems) {
    let renderer = Renderer::styled();
    for problem in &problems.list {
        let source = problems.sources.iter().find(|source| source.name == problem.file);
        eprintln!("{}\n", renderer.render(&[group(problem, source)]));
    }
    let count = problems.list.len() + problems.more;
    let shown =
        if problems.more == 0 { String::new() } else { format!(", the first {} shown", problems.list.len()) };
    eprintln!("{count} problem{} to mend{shown}", if count == 1 { "" } else { "s" });
}

fn group<'a>(problem: &'a Problem, source: Option<&'a Source>) -> Group<'a> {
    let title = Level::ERROR.primary_title(&problem.says);
    let mut group = Group::with_title(title);
    if let Some(source) = source {
        let end = problem.span.end.clamp(problem.span.start, source.text.len());
        group = group.element(
            Snippet::source(&source.text)
                .path(&problem.file)
                .annotation(AnnotationKind::Primary.span(problem.span.start.min(end)..end)),
        );
    }
    if let Some(hint) = &problem.hint {
        group = group.element(Level::HELP.message(hint));
    }
    group
}
