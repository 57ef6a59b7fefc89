//! A pin table becomes a board sheet: what was understood is told in words, the sheet is written whole or not at all.
//!
//! Serves `sheets import` and `new --board FILE`. What a table means is the business of `pintable`, what a sheet may
//! hold that of `station`; this file joins the two and words the outcome.

use crate::load::{self, Stop};
use pintable::{Format, Group, Reading, Signal, Why};
use station::text::Source;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// Lines not understood that are told one by one.
const TOLD: usize = 6;

/// What no pin table tells and the sheet leaves to fill in: a line among the first, and tables at the end.
const PADS: &str = "# pads = [4, 13]     # write here the pins that come out on the board's edge";
const TABLES: &str = r#"
# [connectors]          # or, better, each connector place by place: then the wiring list names the places
# left = ["3V3", "GND", 4, 13]

# [control_bus]         # what pulls the camera's control lines up, if you can see it
# pull_up = "4.7 kohm"
# rail = "3.3 V"

# [values]              # what you measured; the rest is assumed and listed by doorwright check --assumptions
# sleep_extras = "2 mA" # what the board draws while its chip sleeps
# max_in = "5.5 V"      # most that its input stands
"#;

/// What the user says about the table.
#[derive(Default)]
pub struct Wish<'w> {
    /// Its layout; found by looking where not said.
    pub format: Option<Format>,
    /// Name of the sheet; made from the file's where not said.
    pub name: Option<&'w str>,
    /// Which of several boards in the text.
    pub group: Option<&'w str>,
    /// Title of the sheet.
    pub title: Option<&'w str>,
    /// Chip sheet that the board stands on.
    pub chip: Option<&'w str>,
}

/// A sheet made from a table.
pub struct Imported {
    /// Name of the board.
    pub name: String,
    /// The sheet, TOML that reads.
    pub sheet: String,
    /// What was understood and what was not, lines of at most 80 columns.
    pub told: String,
}

/// Makes a sheet of a text.
///
/// # Errors
/// Nothing usable in the text, several boards and none chosen, or a name that no sheet can have.
pub fn board(source: &Source, wish: &Wish<'_>) -> Result<Imported, Stop> {
    let whole = pintable::read(&source.text, wish.format.unwrap_or(Format::Auto));
    let reading = choose(&whole, wish.group)?;
    if reading.entries.is_empty() {
        let says = reading.problems.first().map_or("no camera line found".into(), ToString::to_string);
        return Err(Stop::Message(
            format!("{}: {}", source.name, says.trim_end_matches('.').to_lowercase_first()),
            "a pin table names signals and numbers, such as `D0 4, VSYNC=25`; docs/importing-pins.md shows more".into(),
        ));
    }
    let name = match wish.name {
        Some(name) if slug(name) == name => name.to_string(),
        Some(name) => {
            return Err(Stop::Message(
                format!("`{name}` cannot name a sheet"),
                format!("small letters, digits and `-`, such as {}", slug(name)),
            ));
        }
        None => slug(wish.group.unwrap_or(&stem(&source.name))),
    };
    let mut sheet = pintable::to_sheet(reading, &name, &shown_name(&source.name));
    for (key, value) in [("title", wish.title), ("chip", wish.chip)] {
        if let Some(value) = value {
            sheet = with_head(&sheet, key, value);
        }
    }
    // A pin table tells the camera's pins; those left to use a maker reads off the board.
    sheet = sheet.replacen("\n\n[camera_bus]", &format!("\n{PADS}\n\n[camera_bus]"), 1) + TABLES;
    // What we write must be what we read: a table can name a pin that no sheet may hold.
    station::sheets::read(&Source::new(format!("the sheet made from {}", source.name), sheet.clone()))
        .map_err(|problems| Stop::Problems(Box::new(problems)))?;
    Ok(Imported { name, sheet, told: told(reading) })
}

/// `sheets/board/NAME.toml` in a folder.
pub fn place(folder: &Path, name: &str) -> PathBuf {
    folder.join("sheets/board").join(format!("{name}.toml"))
}

/// Refuses to write over a file unless that is wanted.
///
/// # Errors
/// The file is there.
pub fn free(path: &Path, force: bool) -> Result<(), Stop> {
    if force || path.symlink_metadata().is_err() {
        return Ok(());
    }
    Err(Stop::Message(
        format!("{} is there already", path.display()),
        "another name, or --force to replace it".into(),
    ))
}

/// Writes a sheet and the folders it needs below one that is there.
///
/// # Errors
/// A folder or the file cannot be written.
pub fn write(path: &Path, sheet: &str) -> Result<(), Stop> {
    if let Some(folder) = path.parent()
        && let Err(error) = std::fs::create_dir_all(folder)
    {
        let why = load::plain(&error);
        return Err(Stop::Message(format!("{} cannot be made: {why}", folder.display()), String::new()));
    }
    load::write(path, sheet)
}

fn choose<'r>(whole: &'r Reading, group: Option<&str>) -> Result<&'r Reading, Stop> {
    let list = || {
        let names: Vec<String> = whole.groups.iter().map(named).collect();
        format!("choose one: {}", names.join(" · "))
    };
    match group {
        None if whole.groups.is_empty() => Ok(whole),
        None => Err(Stop::Message(
            format!("there are {} boards in this text", whole.groups.len()),
            list().replace("choose one", "choose one with --group"),
        )),
        Some(wanted) => whole.group(wanted).ok_or_else(|| {
            let hint = match quantity::nearest(wanted, whole.group_names()) {
                _ if whole.groups.is_empty() => "there is only one board in it: leave --group out".into(),
                Some(near) => format!("did you mean \"{near}\"?"),
                None => list(),
            };
            Stop::Message(format!("no board goes by \"{wanted}\" in this text"), hint)
        }),
    }
}

fn named(group: &Group) -> String {
    format!("\"{}\" (line {})", group.name, group.line)
}

/// What was read, in sentences; what was not, line by line.
fn told(reading: &Reading) -> String {
    let mut sentences = vec![understood(reading)];
    sentences.extend(reading.problems.iter().map(ToString::to_string));
    for skipped in reading.not_understood.iter().take(TOLD) {
        let text: String = skipped.text.chars().filter(|c| !c.is_control()).take(40).collect();
        let cut = if skipped.text.chars().count() > 40 { "…" } else { "" };
        let why = match &skipped.why {
            Why::NoPair | Why::UnknownName(_) => String::new(),
            why => format!("; {why}"),
        };
        sentences.push(format!("Line {} not understood: '{text}{cut}'{why}.", skipped.line));
    }
    let more = reading.not_understood.len().saturating_sub(TOLD) + reading.not_understood_more;
    match more {
        0 => {}
        1 => sentences.push("One more line gave nothing.".into()),
        _ => sentences.push(format!("{more} more lines gave nothing.")),
    }
    let mut out = String::new();
    for line in sentences.iter().flat_map(|sentence| hanging(sentence)) {
        let _ = writeln!(out, "{line}");
    }
    out
}

/// At most 80 columns, what follows the first line set in.
fn hanging(sentence: &str) -> Vec<String> {
    let lines = draw::wrap::wrapped(sentence, 76).into_iter().enumerate();
    lines.map(|(at, line)| format!("{}{line}", if at == 0 { "  " } else { "    " })).collect()
}

/// "Read as CSV: eight data lines; VSYNC 25, HREF 23 …; the lamp 4."
fn understood(reading: &Reading) -> String {
    const COUNTED: [&str; 9] = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight"];
    let pins = |wanted: &dyn Fn(&Signal) -> bool| -> Vec<String> {
        let entries = reading.entries.iter().filter(|entry| wanted(&entry.signal));
        entries.filter_map(|entry| Some(format!("{} {}", entry.signal, entry.pin?))).collect()
    };
    let mut data: Vec<_> =
        reading.entries.iter().filter(|entry| matches!(entry.signal, Signal::Data(_))).collect();
    data.sort_by(|a, b| a.signal.cmp(&b.signal));
    let numbers: Vec<String> = data.iter().filter_map(|entry| Some(entry.pin?.to_string())).collect();
    let count = COUNTED.get(numbers.len()).map_or_else(|| numbers.len().to_string(), ToString::to_string);
    let lines = if numbers.len() == 1 { "line" } else { "lines" };
    let list = if numbers.is_empty() { String::new() } else { format!(" ({})", numbers.join(" ")) };
    let mut parts = vec![format!("{count} data {lines}{list}")];
    parts.push(pins(&|signal| signal.is_bus() && !matches!(signal, Signal::Data(_))).join(", "));
    parts.push(pins(&|signal| !signal.is_bus()).join(", "));
    parts.retain(|part| !part.is_empty());
    format!("Read as {}: {}.", reading.format, parts.join("; "))
}

/// Replaces a line of a sheet's head, all of which `pintable` has written.
fn with_head(sheet: &str, key: &str, value: &str) -> String {
    // TOML forbids control characters in such a text; JSON's escapes of the rest are TOML's too.
    let clean: String = value.chars().filter(|c| !c.is_control()).collect();
    let quoted = serde_json::Value::from(clean).to_string();
    let begin = format!("{key} = ");
    let mut out = String::new();
    let mut done = false;
    for line in sheet.lines() {
        if !done && line.starts_with(&begin) {
            let _ = writeln!(out, "{begin}{quoted}");
            done = true;
        } else {
            let _ = writeln!(out, "{line}");
        }
    }
    out
}

/// The name of a text without folders, for a sheet's `source`.
fn shown_name(name: &str) -> String {
    if name == "-" {
        return "pasted text".into();
    }
    Path::new(name).file_name().map_or_else(|| name.to_string(), |name| name.to_string_lossy().into_owned())
}

fn stem(name: &str) -> String {
    if name == "-" {
        return "pasted".into();
    }
    Path::new(name).file_stem().map_or_else(|| "board".into(), |stem| stem.to_string_lossy().into_owned())
}

/// Small letters, digits and single dashes: a name that files, plans and command lines take.
pub fn slug(name: &str) -> String {
    let mut slug = String::new();
    for c in name.chars().take(40) {
        if c.is_ascii_alphanumeric() || c == '.' && slug.ends_with(|c: char| c.is_ascii_digit()) {
            slug.push(c.to_ascii_lowercase());
        } else if !slug.is_empty() && !slug.ends_with('-') {
            slug.push('-');
        }
    }
    let slug = slug.trim_end_matches(['-', '.']);
    if slug.is_empty() { "board".into() } else { slug.into() }
}

/// A sentence inside another one begins small.
trait LowercaseFirst {
    fn to_lowercase_first(&self) -> String;
}

impl LowercaseFirst for str {
    fn to_lowercase_first(&self) -> String {
        let mut chars = self.chars();
        chars.next().map_or(String::new(), |first| first.to_lowercase().chain(chars).collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// What is left to fill in is a sheet that reads, once the marks are taken away.
    #[test]
    fn what_is_left_to_fill_in_reads_when_it_is_filled_in() {
        let source = Source::new("pins.txt", "VSYNC 25");
        let wish = Wish { chip: Some("classic-520k"), ..Wish::default() };
        let made = board(&source, &wish).expect("a pin table").sheet;
        let lines: Vec<&str> = TABLES.lines().map(|line| line.strip_prefix("# ").unwrap_or(line)).collect();
        let filled = made.replace(PADS, PADS.trim_start_matches("# ")).replace(TABLES, &lines.join("\n"));
        assert!(filled.contains("\n[connectors]") && filled.contains("\nleft = "), "{filled}");
        assert!(station::sheets::read(&Source::new("pins.toml", filled.clone())).is_ok(), "{filled}");
    }

    fn lines() -> impl Strategy<Value = String> {
        let word = prop::sample::select(vec![
            "D0",
            "D1 16",
            "VSYNC=25",
            "sda/scl 14/13",
            "lamp: 33",
            "CMD_PIN 5",
            "D7",
            "Y2",
            "VSYNC",
            "HREF",
            "SDA/SCL",
            "PCLK_GPIO_NUM",
            "#define",
            "//",
            "led",
            "plate pin",
            "data:",
            "|",
            ",",
            ";",
            "\t",
            "=",
            "{",
            "}",
            "[",
            "]",
            "\"",
            "'",
            "#if A",
            "#else",
            "#endif",
            "25",
            "4",
            "-1",
            "64",
            "0x1F",
            "99999999999",
            "±",
            "東",
            "\u{7f}",
            "\\",
            "see note",
            "<td>",
        ]);
        let line = prop::collection::vec(word, 0..8).prop_map(|words| words.join(" "));
        prop::collection::vec(line, 0..12).prop_map(|lines| lines.join("\r\n"))
    }

    proptest! {
        /// Whatever is pasted: a sheet that reads, told within 80 columns, or a refusal.
        #[test]
        fn a_sheet_that_is_made_reads(text in lines(), title in ".{0,20}") {
            let wish = Wish { title: Some(&title), chip: Some("classic-520k"), ..Wish::default() };
            match board(&Source::new("pins \"x\".txt", text), &wish) {
                Ok(made) => {
                    let sheet = station::sheets::read(&Source::new("made", made.sheet)).expect("it was read once");
                    prop_assert_eq!(sheet.name, made.name);
                    prop_assert!(sheet.refs.iter().any(|(kind, name, _)| *kind == "chip" && name == "classic-520k"));
                    let clean: String = title.chars().filter(|c| !c.is_control()).collect();
                    prop_assert_eq!(sheet.title, clean);
                    // A word that is longer than a line stands alone; none of these is.
                    prop_assert!(made.told.lines().all(|line| line.chars().count() <= 80), "{}", made.told);
                }
                Err(Stop::Message(says, _)) => prop_assert!(!says.is_empty()),
                Err(Stop::Problems(problems)) => prop_assert!(!problems.list.is_empty()),
            }
        }

        #[test]
        fn a_slug_names_a_file_of_one_folder(name in ".{0,60}") {
            let slug = slug(&name);
            prop_assert!(slug.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '-' | '.')), "{slug}");
            prop_assert!(!slug.starts_with('.') && !slug.contains("..") && !slug.is_empty());
            prop_assert_eq!(super::slug(&slug), slug);
        }
    }
}
