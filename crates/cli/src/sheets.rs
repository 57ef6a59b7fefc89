//! `doorwright sheets`: list, show, check, import.

use crate::import::{self, Wish};
use crate::load::{self, BAD_INPUT, Stop};
use anstream::{eprint, eprintln, print, println};
use draw::paint::{Paint, Tone};
use draw::terminal::WIDTH;
use draw::wrap::wrapped;
use pintable::Format;
use serde_json::{Value, json};
use station::fields::{FIELDS, Kind as Form};
use station::sheets::{self, FindError, KINDS, Library, Sheet};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Arguments of `sheets`.
#[derive(clap::Args)]
#[command(after_help = "Example: doorwright sheets show wren\n\n\
    Sheets that ship come first, then those of your own folder, then those in sheets/ here; later ones win.")]
pub struct SheetsArgs {
    #[command(subcommand)]
    what: What,
}

#[derive(clap::Subcommand)]
enum What {
    /// Lists the sheets at hand, by kind.
    #[command(after_help = "Example: doorwright sheets list board")]
    List {
        /// Only this kind: board, chip, sensor, lens, cell, regulator, conductor, wall, cover, case, demand.
        kind: Option<String>,
        /// Prints the list as JSON.
        #[arg(long)]
        json: bool,
    },
    /// Shows what a sheet says, and where each value comes from.
    #[command(after_help = "Example: doorwright sheets show board/heron")]
    Show {
        /// KIND/NAME, or NAME where only one sheet has it.
        sheet: String,
        /// Prints it as JSON, numbers in SI units.
        #[arg(long, conflicts_with = "toml")]
        json: bool,
        /// Prints the file, to copy and change.
        #[arg(long)]
        toml: bool,
    },
    /// Tells what is wrong with sheets, and what to look at.
    #[command(after_help = "Example: doorwright sheets check sheets/board/*.toml\n\n\
        Exit code: 0 all read, 2 one does not.")]
    Check {
        /// The sheets, TOML files; `-` is standard input.
        #[arg(required = true)]
        files: Vec<PathBuf>,
    },
    /// Makes a board sheet of a pin table as you found it.
    #[command(after_help = "Example: doorwright sheets import pins.h --name attic --chip classic-520k\n\n\
        C header, CSV, tabs, Markdown, JSON, HTML or typed by hand: found by looking at the text.")]
    Import(ImportArgs),
}

#[derive(clap::Args)]
struct ImportArgs {
    /// The pin table; `-` reads what you paste.
    file: PathBuf,
    /// Its layout, where looking at it goes wrong.
    #[arg(long, value_name = "c|csv|tsv|markdown|json|html|loose", value_parser = format)]
    format: Option<Format>,
    /// Name of the sheet [default: the file's].
    #[arg(long)]
    name: Option<String>,
    /// Which board, where the text has several.
    #[arg(long)]
    group: Option<String>,
    /// Title of the sheet, a few words.
    #[arg(long)]
    title: Option<String>,
    /// The chip sheet that the board stands on.
    #[arg(long)]
    chip: Option<String>,
    /// The folder whose sheets/board/ it goes into: that of your plan.
    #[arg(long, value_name = "DIR", default_value = ".")]
    out: PathBuf,
    /// Prints the sheet and writes nothing.
    #[arg(long)]
    stdout: bool,
    /// Replaces a sheet that is there already.
    #[arg(long)]
    force: bool,
}

fn format(word: &str) -> Result<Format, String> {
    const NAMES: [&str; 7] = ["c", "csv", "tsv", "markdown", "json", "html", "loose"];
    use Format::{CHeader, Csv, Html, Json, Loose, Markdown, Tsv};
    crate::ask::word(word, &NAMES, &[CHeader, Csv, Tsv, Markdown, Json, Html, Loose], Format::Auto)
}

/// Runs `sheets`.
pub fn run(args: &SheetsArgs) -> Result<ExitCode, Stop> {
    match &args.what {
        What::List { kind, json } => list(kind.as_deref(), *json),
        What::Show { sheet, json, toml } => show(sheet, *json, *toml),
        What::Check { files } => Ok(check(files)),
        What::Import(args) => import(args),
    }
}

/// Sheets that ship, the user's own, and those in `sheets/` here; what is wrong with any of them is told.
fn at_hand() -> Library {
    let library = load::library(Some(Path::new("plan.toml")));
    load::print_left_out(&library);
    library
}

fn list(kind: Option<&str>, as_json: bool) -> Result<ExitCode, Stop> {
    let library = at_hand();
    if let Some(kind) = kind
        && sheets::kind(kind).is_none()
    {
        let names: Vec<&str> = KINDS.iter().map(|kind| kind.name).collect();
        let near = quantity::nearest(kind, names.iter().copied())
            .map_or(String::new(), |near| format!("did you mean {near}? "));
        return Err(Stop::Message(
            format!("there is no kind of sheet `{kind}`"),
            format!("{near}known: {}", names.join(", ")),
        ));
    }
    let wanted = KINDS.iter().map(|kind| kind.name).filter(|name| kind.is_none_or(|kind| kind == *name));
    if as_json {
        let rows: Vec<Value> =
            wanted.flat_map(|kind| rows(&library, kind)).map(|row| row.json(&library)).collect();
        println!("{}", serde_json::to_string_pretty(&rows).expect("plain JSON"));
        return Ok(ExitCode::SUCCESS);
    }
    for (at, kind) in wanted.enumerate() {
        if at > 0 {
            println!();
        }
        list_kind(&library, kind);
    }
    Ok(ExitCode::SUCCESS)
}

/// A line of a list.
struct Row {
    kind: &'static str,
    name: String,
    title: String,
    source: String,
}

impl Row {
    fn json(&self, library: &Library) -> Value {
        let listed =
            library.list().into_iter().find(|listed| listed.kind == self.kind && listed.name == self.name);
        let (file, ships) =
            listed.map_or((String::new(), false), |listed| (listed.file.to_string(), listed.shipped));
        json!({ "kind": self.kind, "name": self.name, "title": self.title, "source": self.source, "file": file, "ships": ships })
    }
}

fn rows(library: &Library, kind: &'static str) -> Vec<Row> {
    let row = |name: &str| {
        let name = name.to_string();
        match library.find(kind, &name) {
            Ok(Sheet { title, source, .. }) => Row { kind, name, title, source },
            // A broken sheet is listed all the same: it is there, and it is what a plan would find.
            Err(_) => Row {
                kind,
                name,
                title: "has problems: doorwright sheets check".into(),
                source: "not read".into(),
            },
        }
    };
    library.names(kind).into_iter().map(row).collect()
}

/// Prints the sheets of one kind: name, title, and where each is from.
pub fn list_kind(library: &Library, kind: &str) {
    let Some(kind) = sheets::kind(kind) else { return };
    let rows = rows(library, kind.name);
    println!("{}", Paint(Tone::Strong, &format!("{}: {}", kind.name, kind.help)));
    let widest = rows.iter().map(|row| row.name.chars().count()).max().unwrap_or(0).clamp(8, 24);
    let mut sources: Vec<&str> = Vec::new();
    for row in &rows {
        if !sources.contains(&row.source.as_str()) {
            sources.push(&row.source);
        }
    }
    // A source is said once, below all sheets that have it.
    for source in sources {
        for row in rows.iter().filter(|row| row.source == source) {
            print_row(&row.name, &row.title, widest);
        }
        for line in wrapped(&format!("from: {source}"), WIDTH - 4 - widest) {
            println!("  {:<widest$}  {}", "", Paint(Tone::Faint, &line));
        }
    }
}

/// A name and a text beside it, at most 80 columns.
fn print_row(name: &str, text: &str, widest: usize) {
    let lines = wrapped(text, WIDTH - 4 - widest);
    let lines = if lines.is_empty() { vec![String::new()] } else { lines };
    for (at, line) in lines.iter().enumerate() {
        println!("{}", format!("  {:<widest$}  {line}", if at == 0 { name } else { "" }).trim_end());
    }
}

/// A sheet by `KIND/NAME`, or by a name that only one has.
fn find(library: &Library, wanted: &str) -> Result<Sheet, Stop> {
    if let Some((kind, name)) = wanted.split_once('/') {
        return library.find(kind, name).map_err(|error| match error {
            FindError::Wrong(problems) => Stop::Problems(Box::new(problems)),
            FindError::NotFound { nearest, known } => {
                let hint = match nearest {
                    Some(near) => format!("did you mean {kind}/{near}?"),
                    None if known.is_empty() => "doorwright sheets list shows all".into(),
                    None => format!("known: {}", known.join(", ")),
                };
                Stop::Message(format!("there is no sheet {wanted}"), hint)
            }
        });
    }
    let listed = library.list();
    let found: Vec<String> = listed
        .iter()
        .filter(|listed| listed.name == wanted)
        .map(|listed| format!("{}/{}", listed.kind, listed.name))
        .collect();
    match found.as_slice() {
        [one] => find(library, one),
        [] => {
            let near = quantity::nearest(wanted, listed.iter().map(|listed| listed.name));
            let hint = near
                .map_or("doorwright sheets list shows all".into(), |near| format!("did you mean {near}?"));
            Err(Stop::Message(format!("there is no sheet `{wanted}`"), hint))
        }
        several => Err(Stop::Message(
            format!("several sheets are called `{wanted}`"),
            format!("say which: {}", several.join(", ")),
        )),
    }
}

fn show(wanted: &str, as_json: bool, as_toml: bool) -> Result<ExitCode, Stop> {
    let library = at_hand();
    let sheet = find(&library, wanted)?;
    if as_toml {
        print!("{}", sheet.text.text);
    } else if as_json {
        println!("{}", serde_json::to_string_pretty(&sheet_json(&sheet)).expect("plain JSON"));
    } else {
        print_sheet(&sheet);
    }
    Ok(ExitCode::SUCCESS)
}

fn print_sheet(sheet: &Sheet) {
    let head = format!("{}/{}: {}", sheet.kind.name, sheet.name, sheet.title);
    for line in wrapped(&head, WIDTH) {
        println!("{}", Paint(Tone::Strong, &line));
    }
    let rows = sheets::show(sheet);
    let widest = rows.iter().map(|row| row.key.chars().count()).max().unwrap_or(0).min(28);
    for row in &rows {
        let from =
            if row.source == sheet.source { String::new() } else { format!(" (from: {})", row.source) };
        print_row(&row.key, &format!("{}{from}", row.value), widest);
    }
    let all = if rows.iter().all(|row| row.source == sheet.source) { "from" } else { "from, unless said" };
    for line in wrapped(&format!("{all}: {}", sheet.source), WIDTH - 2) {
        println!("  {}", Paint(Tone::Faint, &line));
    }
    if !sheet.text.name.starts_with("sheet ") {
        println!("  {}", Paint(Tone::Faint, &format!("file: {}", sheet.text.name)));
    }
}

/// Scalars with their SI number; the rest as rows of text.
fn sheet_json(sheet: &Sheet) -> Value {
    let shown = sheets::show(sheet);
    let text = |key: &str| shown.iter().find(|row| row.key == key).map_or("", |row| row.value.as_str());
    let mut values = serde_json::Map::new();
    for value in &sheet.values {
        let field = &FIELDS[value.field];
        let mut entry = json!({ "text": text(field.key()), "source": value.source });
        if let Form::Number { unit, .. } = field.kind {
            entry["value"] = json!(value.reading.number);
            entry["unit"] = json!(unit);
        }
        values.insert(field.key().into(), entry);
    }
    let stands_on: serde_json::Map<String, Value> =
        sheet.refs.iter().map(|(kind, name, _)| ((*kind).to_string(), json!(name))).collect();
    let known = |key: &str| values.contains_key(key) || stands_on.contains_key(key);
    let tables: serde_json::Map<String, Value> =
        shown.iter().filter(|row| !known(&row.key)).map(|row| (row.key.clone(), json!(row.value))).collect();
    json!({ "kind": sheet.kind.name, "name": sheet.name, "title": sheet.title, "source": sheet.source,
        "file": sheet.text.name, "stands_on": stands_on, "values": values, "tables": tables })
}

/// Checks every file, also after one that does not read.
fn check(files: &[PathBuf]) -> ExitCode {
    let mut all_read = true;
    for file in files {
        if let Err(stop) = check_one(file) {
            stop.report();
            all_read = false;
        }
    }
    if all_read { ExitCode::SUCCESS } else { ExitCode::from(BAD_INPUT) }
}

fn check_one(file: &Path) -> Result<(), Stop> {
    let source = load::text(file)?;
    let library = beside(file);
    let found = sheets::check(&source, &library).map_err(|problems| Stop::Problems(Box::new(problems)))?;
    match found.len() {
        0 => println!("{}: reads, nothing to look at", source.name),
        1 => println!("{}: reads, one thing to look at", source.name),
        count => println!("{}: reads, {count} things to look at", source.name),
    }
    for problem in &found {
        let text = match &problem.hint {
            Some(hint) => format!("{}; {hint}", problem.says),
            None => problem.says.clone(),
        };
        print_row(&format!("line {}", problem.place.line), &text, 8);
    }
    Ok(())
}

/// The sheets that a file may name: those of the folder whose `sheets/` it lies in, else those here. Other files there
/// may be broken; the one that was asked about is checked all the same.
fn beside(file: &Path) -> Library {
    let folder = file.ancestors().find(|folder| folder.file_name().is_some_and(|name| name == "sheets"));
    let plan = folder.and_then(Path::parent).unwrap_or(Path::new("")).join("plan.toml");
    load::library(Some(&plan))
}

fn import(args: &ImportArgs) -> Result<ExitCode, Stop> {
    let library = load::library(Some(&args.out.join("plan.toml")));
    if let Some(chip) = &args.chip {
        find(&library, &format!("chip/{chip}"))?;
    }
    let source = load::text(&args.file)?;
    let wish = Wish {
        format: args.format,
        name: args.name.as_deref(),
        group: args.group.as_deref(),
        title: args.title.as_deref(),
        chip: args.chip.as_deref(),
    };
    let imported = import::board(&source, &wish)?;
    if args.stdout {
        eprint!("{}", imported.told);
        print!("{}", imported.sheet);
        return Ok(ExitCode::SUCCESS);
    }
    let path = import::place(&args.out, &imported.name);
    // `./sheets/…` reads as `sheets/…`.
    let path = path.strip_prefix(".").map_or(path.clone(), Path::to_path_buf);
    import::free(&path, args.force)?;
    import::write(&path, &imported.sheet)?;
    print!("{}", imported.told);
    eprintln!(
        "Written: {}. Compare each pin with its line there: a published table can be wrong.",
        path.display()
    );
    let what = if args.chip.is_none() { "chip (doorwright sheets list chip) and pads" } else { "pads" };
    let next =
        format!("write its {what} into the sheet, then doorwright set PLAN board.sheet={}", imported.name);
    for (at, line) in wrapped(&next, WIDTH - 6).iter().enumerate() {
        println!("{} {line}", if at == 0 { "Next:" } else { "     " });
    }
    Ok(ExitCode::SUCCESS)
}
