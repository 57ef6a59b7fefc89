//! Part sheets: what they are, the library of them, and reading one.
//!
//! A sheet is TOML: `kind`, `name`, `title`, `source`, and `[values]` whose keys are those of the part it fills
//! in the field table (a lens sheet's `view` is the plan's `lens.view`). A value may carry its own source as
//! `{ is = "2.2 um", source = "…" }`. A board sheet also names the chip, sensor, lens and regulator on it. Tables
//! that are no scalars (pins, curves) are read by [`crate::parts`].
//!
//! The library holds texts, not parsed sheets: a plan names four or five of them, and only those are parsed. It
//! does no input or output; a face reads the folders of the user and hands the texts in.

mod check;
mod show;

pub use check::check;
pub use show::{Shown, show};

use crate::fields::{FIELDS, Field};
use crate::parts::{self, Structure};
use crate::text::{Problems, Source};
use crate::tree::{Node, Table, with_tree};
use crate::values::{self, Reading};
use std::ops::Range;
use std::path::Path;

include!(concat!(env!("OUT_DIR"), "/shipped.rs"));

/// A kind of sheet: its word, the part of the field table it fills, what it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Kind {
    /// As in `kind = "…"` and in folder names.
    pub name: &'static str,
    /// Part of the field table whose keys `[values]` takes; empty where none.
    pub part: &'static str,
    /// One sentence.
    pub help: &'static str,
}

/// All kinds of sheets.
pub static KINDS: &[Kind] = &[
    Kind {
        name: "board",
        part: "board",
        help: "a camera board: chip, sensor, pins brought out, what is wired already",
    },
    Kind {
        name: "chip",
        part: "chip",
        help: "a microcontroller: memory, currents, pins and what each can do",
    },
    Kind { name: "sensor", part: "sensor", help: "an image sensor: array, pixel pitch, rates, currents" },
    Kind { name: "lens", part: "lens", help: "a lens: law, focal length or view, aperture" },
    Kind { name: "cell", part: "cell", help: "a cell: chemistry, capacity, resistance, curves" },
    Kind { name: "regulator", part: "regulator", help: "a voltage regulator: kind, own current, efficiency" },
    Kind { name: "conductor", part: "cable", help: "a conductor: section and build" },
    Kind { name: "wall", part: "wall", help: "a wall material between door and radio" },
    Kind { name: "cover", part: "cover", help: "a material that covers the plate" },
    Kind { name: "case", part: "case", help: "a case material" },
    Kind {
        name: "demand",
        part: "",
        help: "something that needs a pin: lamp, sounder, relay, presence sensor",
    },
];

/// The kind with this name.
pub fn kind(name: &str) -> Option<&'static Kind> {
    KINDS.iter().find(|kind| kind.name == name)
}

/// A value of a sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetValue {
    /// Index in [`FIELDS`].
    pub field: usize,
    /// Number and spread.
    pub reading: Reading,
    /// Where in the sheet's text.
    pub span: Range<usize>,
    /// Where the value comes from.
    pub source: String,
}

/// One sheet, read.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Its kind.
    pub kind: &'static Kind,
    /// Its name within the kind.
    pub name: String,
    /// What it is, in words.
    pub title: String,
    /// Where its values come from unless they say otherwise.
    pub source: String,
    /// Other sheets it stands on: kind, name, place of the name.
    pub refs: Vec<(&'static str, String, Range<usize>)>,
    /// Its scalars.
    pub values: Vec<SheetValue>,
    /// Its tables.
    pub structure: Structure,
    /// What it costs and when it comes, where the user wrote that down.
    pub offer: Option<Offer>,
    /// The text.
    pub text: Source,
}

/// What a part costs, by the user's own word: nothing is looked up.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// Price of one.
    pub price: f64,
    /// In this currency.
    pub currency: String,
    /// Days until it is there.
    pub days: f64,
    /// When that was so, as written.
    pub dated: String,
}

/// Reads `[offer]`: price, currency, days, dated.
fn read_offer(table: &mut Table<'_>, problems: &mut Problems) -> Option<Offer> {
    let mut offer = table.take_table("offer", problems)?;
    let number = |offer: &mut Table<'_>, key: &'static str, problems: &mut Problems| {
        let node = offer.take(key)?;
        let number = node.number().filter(|number| *number >= 0.0);
        if number.is_none() {
            node.problem(
                problems,
                format!("`offer.{key}` must be a number from 0 up, found {}", node.written()),
                None,
            );
        }
        number
    };
    let price = number(&mut offer, "price", problems);
    let days = number(&mut offer, "days", problems);
    let currency = offer.take_text("currency", problems).map(|(text, _)| text.to_string());
    let dated = offer.take_text("dated", problems).map(|(text, _)| text.to_string());
    let at = offer.span();
    let source = offer.source();
    offer.finish("an offer", problems);
    if price.is_none() || dated.is_none() {
        let hint = Some("prices age: [offer] needs price and dated, such as dated = \"2026-11-01\"".into());
        problems.add(source, at, "the offer has no price or no date", hint);
    }
    Some(Offer {
        price: price?,
        currency: currency.unwrap_or_default(),
        days: days.unwrap_or(0.0),
        dated: dated?,
    })
}

/// A sheet's text with what is needed to find it.
#[derive(Clone, Debug)]
struct Stored {
    kind: String,
    name: String,
    file: String,
    text: std::borrow::Cow<'static, str>,
    shipped: bool,
    /// Why it cannot be told what it is; its kind may be empty then, its name a guess.
    broken: Option<Problems>,
}

/// The sheets at hand: those that ship, then the user's, later ones before earlier ones.
#[derive(Clone, Debug)]
pub struct Library {
    stored: Vec<Stored>,
}

/// A line of `sheets list`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Listed<'l> {
    /// Kind of the sheet.
    pub kind: &'l str,
    /// Its name.
    pub name: &'l str,
    /// The file it stands in, or that it ships.
    pub file: &'l str,
    /// Whether it ships with the program.
    pub shipped: bool,
}

impl Default for Library {
    fn default() -> Self {
        Self::shipped()
    }
}

impl Library {
    /// The sheets that ship.
    pub fn shipped() -> Self {
        let stored = SHIPPED
            .iter()
            .map(|&(kind, name, text)| Stored {
                kind: kind.into(),
                name: name.into(),
                file: format!("sheet {kind}/{name}"),
                text: text.into(),
                shipped: true,
                broken: None,
            })
            .collect();
        Self { stored }
    }

    /// Adds a sheet of the user; it goes before one of the same kind and name that is there already.
    ///
    /// # Errors
    /// When the text is no TOML or names no kind and name. It is kept all the same, under the name that its lines or its
    /// file suggest: a plan that names it gets these problems from [`find`](Self::find), others have nothing to do with it.
    pub fn add(&mut self, source: Source) -> Result<(), Problems> {
        let mut problems = Problems::default();
        let head = with_tree(&source, &mut problems, |mut table, problems| {
            let kind = read_kind(&mut table, problems)?;
            let (name, _) = required_text(&mut table, "name", problems)?;
            Some((kind.name.to_string(), name.to_string()))
        });
        match head.flatten() {
            Some((kind, name)) if problems.list.is_empty() => {
                let (file, text) = (source.name, source.text.into());
                self.stored.push(Stored { kind, name, file, text, shipped: false, broken: None });
                Ok(())
            }
            _ => {
                let problems = problems.sorted();
                self.add_broken(source, problems.clone());
                Err(problems)
            }
        }
    }

    /// Keeps a sheet whose text cannot be had or used, for the plan that names it.
    pub fn add_broken(&mut self, source: Source, problems: Problems) {
        let file = Path::new(&source.name);
        let folder = || file.parent()?.file_name()?.to_str().map(str::to_string);
        let stem = || file.file_stem()?.to_str().map(str::to_string);
        let kind = written(&source.text, "kind").or_else(folder).unwrap_or_default();
        let kind = self::kind(&kind).map_or("", |kind| kind.name).to_string();
        let name = written(&source.text, "name").or_else(stem).unwrap_or_default();
        let (file, text) = (source.name, source.text.into());
        self.stored.push(Stored { kind, name, file, text, shipped: false, broken: Some(problems) });
    }

    /// What is wrong with each sheet of which it cannot be told what it is, by file.
    pub fn broken(&self) -> impl Iterator<Item = (&str, &Problems)> {
        self.stored.iter().filter_map(|stored| Some((stored.file.as_str(), stored.broken.as_ref()?)))
    }

    /// All sheets, by kind and name; a hidden one (same kind and name as a later one) is left out.
    pub fn list(&self) -> Vec<Listed<'_>> {
        let mut listed: Vec<Listed<'_>> = Vec::new();
        for stored in self.stored.iter().rev().filter(|stored| !stored.kind.is_empty()) {
            if !listed.iter().any(|seen| seen.kind == stored.kind && seen.name == stored.name) {
                listed.push(Listed {
                    kind: &stored.kind,
                    name: &stored.name,
                    file: &stored.file,
                    shipped: stored.shipped,
                });
            }
        }
        let order = |kind: &str| KINDS.iter().position(|known| known.name == kind);
        listed.sort_by(|a, b| (order(a.kind), a.name).cmp(&(order(b.kind), b.name)));
        listed
    }

    /// Names of a kind's sheets.
    pub fn names(&self, kind: &str) -> Vec<&str> {
        self.list().into_iter().filter(|listed| listed.kind == kind).map(|listed| listed.name).collect()
    }

    /// The text of a sheet.
    pub fn source(&self, kind: &str, name: &str) -> Option<Source> {
        let stored = self.stored(kind, name)?;
        Some(Source::new(stored.file.clone(), stored.text.clone()))
    }

    /// The sheet of that kind and name, or a broken one that may be it.
    fn stored(&self, kind: &str, name: &str) -> Option<&Stored> {
        let mut later_first = self.stored.iter().rev().filter(|stored| stored.name == name);
        later_first.find(|stored| stored.kind == kind || stored.broken.is_some() && stored.kind.is_empty())
    }

    /// Finds and reads a sheet.
    ///
    /// # Errors
    /// [`NotFound`](FindError::NotFound) with the nearest name, or what is wrong in the sheet.
    pub fn find(&self, kind: &str, name: &str) -> Result<Sheet, FindError> {
        let Some(stored) = self.stored(kind, name) else {
            let names = self.names(kind);
            return Err(FindError::NotFound {
                nearest: quantity::nearest(name, names.iter().copied()).map(str::to_string),
                known: names.into_iter().map(str::to_string).collect(),
            });
        };
        if let Some(problems) = &stored.broken {
            return Err(FindError::Wrong(problems.clone()));
        }
        read(&Source::new(stored.file.clone(), stored.text.clone())).map_err(FindError::Wrong)
    }
}

/// What a line `key = "…"` at the top of a text says, though the text as a whole is no TOML.
fn written(text: &str, key: &str) -> Option<String> {
    let mut top = text.lines().map(str::trim).take_while(|line| !line.starts_with('['));
    let value = top.find_map(|line| line.strip_prefix(key)?.trim_start().strip_prefix('='))?;
    let value = value.trim_start().strip_prefix('"')?;
    value.split_once('"').map(|(value, _)| value.to_string())
}

/// Why a sheet cannot be had.
#[derive(Clone, Debug, PartialEq)]
pub enum FindError {
    /// There is none of that name.
    NotFound {
        /// The nearest name.
        nearest: Option<String>,
        /// All names of the kind.
        known: Vec<String>,
    },
    /// Its text is wrong.
    Wrong(Problems),
}

/// Reads one sheet.
///
/// # Errors
/// All problems of the text.
pub fn read(source: &Source) -> Result<Sheet, Problems> {
    let mut problems = Problems::default();
    let sheet =
        with_tree(source, &mut problems, |table, problems| read_table(source, table, problems)).flatten();
    match sheet {
        Some(sheet) => problems.unless(sheet),
        None => Err(problems.sorted()),
    }
}

fn read_table(source: &Source, mut table: Table<'_>, problems: &mut Problems) -> Option<Sheet> {
    let kind = read_kind(&mut table, problems)?;
    let name = required_text(&mut table, "name", problems).map(|(name, _)| name.to_string());
    let title = required_text(&mut table, "title", problems).map(|(title, _)| title.to_string());
    let from = required_text(&mut table, "source", problems).map(|(source, _)| source.to_string());
    let from = from.unwrap_or_default();
    let mut refs = Vec::new();
    if kind.name == "board" {
        for other in ["chip", "sensor", "lens", "regulator"] {
            if let Some((name, span)) = table.take_text(other, problems)
                && !name.is_empty()
            {
                refs.push((other, name.to_string(), span));
            }
        }
    }
    let mut values = Vec::new();
    if !kind.part.is_empty()
        && let Some(mut table) = table.take_table("values", problems)
    {
        for (index, field) in part_fields(kind.part) {
            if let Some(node) = table.take(field.key())
                && let Some(value) = read_value(index, field, node, &from, problems)
            {
                values.push(value);
            }
        }
        table.finish(&format!("the values of a {} sheet", kind.name), problems);
    }
    let structure = parts::read_structure(kind.name, &mut table, &from, problems);
    let offer = read_offer(&mut table, problems);
    table.finish(&format!("a {} sheet", kind.name), problems);
    Some(Sheet {
        kind,
        name: name?,
        title: title?,
        source: from,
        refs,
        values,
        structure,
        offer,
        text: source.clone(),
    })
}

/// The fields of a part, with their index in the table.
pub(crate) fn part_fields(part: &str) -> impl Iterator<Item = (usize, &'static Field)> {
    FIELDS.iter().enumerate().filter(move |(_, field)| field.part() == part)
}

fn read_value(
    index: usize,
    field: &'static Field,
    node: Node<'_>,
    from: &str,
    problems: &mut Problems,
) -> Option<SheetValue> {
    if !node.is_table() {
        let reading = values::read(field, node, problems)?;
        return Some(SheetValue { field: index, reading, span: node.span(), source: from.to_string() });
    }
    let mut table = node.table(problems)?;
    let is = table.take("is");
    let source = table.take_text("source", problems);
    table.finish("a value with its source", problems);
    let Some(is) = is else {
        node.problem(
            problems,
            format!("`{}` says no value", field.key()),
            Some("write { is = \"…\", source = \"…\" }".into()),
        );
        return None;
    };
    let reading = values::read(field, is, problems)?;
    let source = source.map_or_else(|| from.to_string(), |(text, _)| text.to_string());
    Some(SheetValue { field: index, reading, span: is.span(), source })
}

fn read_kind(table: &mut Table<'_>, problems: &mut Problems) -> Option<&'static Kind> {
    let (name, span) = required_text(table, "kind", problems)?;
    let found = kind(name);
    if found.is_none() {
        let names: Vec<&str> = KINDS.iter().map(|kind| kind.name).collect();
        let near = quantity::nearest(name, names.iter().copied())
            .map_or(String::new(), |near| format!("did you mean \"{near}\"? "));
        problems.add(
            table.source(),
            span,
            format!("there is no kind of sheet \"{name}\""),
            Some(format!("{near}known: {}", names.join(", "))),
        );
    }
    found
}

fn required_text<'t>(
    table: &mut Table<'t>,
    key: &'static str,
    problems: &mut Problems,
) -> Option<(&'t str, Range<usize>)> {
    let before = problems.list.len();
    let text = table.take_text(key, problems);
    if text.is_none() && problems.list.len() == before {
        problems.add(
            table.source(),
            0..0,
            format!("the sheet has no `{key}`"),
            Some(format!("add {key} = \"…\" at its top")),
        );
    }
    text
}
