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
use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Exit code of a plan that is not shown to fit.
pub const NOT_SHOWN: u8 = 1;
/// Exit code of bad input.
pub const BAD_INPUT: u8 = 2;

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
        Ok(text) => Ok(Source::new(name, text.strip_prefix('\u{feff}').unwrap_or(&text))),
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

fn plain(error: &std::io::Error) -> String {
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
        None => "doorwright new writes a plan".into(),
    }
}

/// All sheets at hand for a plan at this path.
pub fn library(plan: Option<&Path>) -> Result<Library, Stop> {
    let mut library = Library::shipped();
    let beside = plan.map(|plan| plan.parent().unwrap_or(Path::new("")).join("sheets"));
    for folder in own_folder().into_iter().chain(beside) {
        for file in toml_files(&folder) {
            // The program's own folder holds the sheets that ship, one folder a kind: they are there already.
            let source = text(&file)?;
            library.add(source).map_err(|problems| Stop::Problems(Box::new(problems)))?;
        }
    }
    Ok(library)
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
    let library = library(Some(path))?;
    let plan = Plan::read(source, &library).map_err(|problems| Stop::Problems(Box::new(problems)))?;
    Ok((plan, library))
}

/// Writes a file whole or not at all: beside it first, then renamed.
pub fn write(path: &Path, text: &str) -> Result<(), Stop> {
    let failed = |error: &std::io::Error| {
        Stop::Message(format!("{} cannot be written: {}", path.display(), plain(error)), String::new())
    };
    // A link is followed, so that it stays one; the file's rights go over to the one that takes its place.
    let target = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let mut beside = target.as_os_str().to_owned();
    beside.push(format!(".{}.part", std::process::id()));
    let beside = PathBuf::from(beside);
    let written = fs::write(&beside, text)
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
