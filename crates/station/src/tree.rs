//! A TOML table that knows where everything stands and which keys nobody asked for.
//!
//! Wraps `toml`'s spanned tree: [`Table::take`] marks a key as understood, [`Table::finish`] reports the rest with
//! the nearest known key. Syntax errors are collected too, several in one pass. Nothing here knows plans or sheets.

use crate::text::{Problems, Source};
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Texts longer than this are refused before they are parsed.
pub const LONGEST_TEXT: usize = 1 << 20;

/// A table being read.
pub struct Table<'t> {
    source: &'t Source,
    span: Range<usize>,
    entries: Vec<Entry<'t>>,
    known: Vec<&'t str>,
}

struct Entry<'t> {
    key: &'t str,
    key_span: Range<usize>,
    value: &'t Spanned<DeValue<'t>>,
    taken: bool,
}

/// A value with its place.
#[derive(Clone, Copy)]
pub struct Node<'t> {
    source: &'t Source,
    value: &'t Spanned<DeValue<'t>>,
}

/// Parses a text and hands its tree to `read`; syntax errors go to `problems`, and what could be read is read all
/// the same.
pub fn with_tree<T>(
    source: &Source,
    problems: &mut Problems,
    read: impl FnOnce(Table<'_>, &mut Problems) -> T,
) -> Option<T> {
    if source.text.len() > LONGEST_TEXT {
        problems.add(
            source,
            0..0,
            format!(
                "the file has {} bytes, more than the {LONGEST_TEXT} that a plan or sheet may have",
                source.text.len()
            ),
            None,
        );
        return None;
    }
    let (tree, errors) = DeTable::parse_recoverable(&source.text);
    for error in errors {
        let span = error.span().unwrap_or(0..0);
        problems.add(source, span, error.message().replace('\n', ", "), None);
    }
    let span = tree.span();
    let table = Table::new(source, span, tree.get_ref());
    Some(read(table, problems))
}

impl<'t> Table<'t> {
    fn new(source: &'t Source, span: Range<usize>, table: &'t DeTable<'t>) -> Self {
        let entries = table
            .iter()
            .map(|(key, value)| Entry {
                key: key.get_ref().as_ref(),
                key_span: key.span(),
                value,
                taken: false,
            })
            .collect();
        Self { source, span, entries, known: Vec::new() }
    }

    /// The value of a key, if given; marks the key as known.
    pub fn take(&mut self, key: &'t str) -> Option<Node<'t>> {
        self.known.push(key);
        let entry = self.entries.iter_mut().find(|entry| entry.key == key)?;
        entry.taken = true;
        Some(Node { source: self.source, value: entry.value })
    }

    /// The table under a key; a value of another form is a problem.
    pub fn take_table(&mut self, key: &'t str, problems: &mut Problems) -> Option<Table<'t>> {
        let node = self.take(key)?;
        node.table(problems)
    }

    /// A text under a key; a value of another form is a problem.
    pub fn take_text(&mut self, key: &'t str, problems: &mut Problems) -> Option<(&'t str, Range<usize>)> {
        let node = self.take(key)?;
        let text = node.text();
        if text.is_none() {
            node.problem(problems, format!("`{key}` must be a text in quotes, found {}", node.kind()), None);
        }
        Some((text?, node.span()))
    }

    /// All entries not taken yet, for tables whose keys are free; marks them taken.
    pub fn take_rest(&mut self) -> Vec<(&'t str, Range<usize>, Node<'t>)> {
        let source = self.source;
        let mut rest: Vec<_> = self
            .entries
            .iter_mut()
            .filter(|entry| !entry.taken)
            .map(|entry| {
                entry.taken = true;
                (entry.key, entry.key_span.clone(), Node { source, value: entry.value })
            })
            .collect();
        rest.sort_by_key(|(_, span, _)| span.start);
        rest
    }

    /// Where the table stands.
    pub fn span(&self) -> Range<usize> {
        self.span.clone()
    }

    /// The text it is in.
    pub fn source(&self) -> &'t Source {
        self.source
    }

    /// Reports keys that nobody took, each with the nearest known one. `what` names the table.
    pub fn finish(self, what: &str, problems: &mut Problems) {
        for entry in self.entries.iter().filter(|entry| !entry.taken) {
            if problems.is_full() {
                problems.more += 1;
                continue;
            }
            let hint = match quantity::nearest(entry.key, self.known.iter().copied()) {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("known here: {}", shortened(&self.known)),
            };
            problems.add(
                self.source,
                entry.key_span.clone(),
                format!("unknown key `{}` in {what}", entry.key),
                Some(hint),
            );
        }
    }
}

/// A list of words for a hint, cut where it would be a wall.
fn shortened(words: &[&str]) -> String {
    const MOST: usize = 12;
    let mut shown = words.iter().take(MOST).copied().collect::<Vec<_>>().join(", ");
    if words.len() > MOST {
        shown.push_str(", …");
    }
    shown
}

impl<'t> Node<'t> {
    /// Where the value stands.
    pub fn span(&self) -> Range<usize> {
        self.value.span()
    }
    /// The text it is in.
    pub fn source(&self) -> &'t Source {
        self.source
    }
    /// The text, if it is one.
    pub fn text(&self) -> Option<&'t str> {
        self.value.get_ref().as_str()
    }
    /// The whole number, if it is one and fits.
    pub fn integer(&self) -> Option<i64> {
        let integer = self.value.get_ref().as_integer()?;
        i64::from_str_radix(integer.as_str(), integer.radix()).ok()
    }
    /// The number, whole or not, if it is finite.
    pub fn number(&self) -> Option<f64> {
        let number = match self.value.get_ref() {
            DeValue::Integer(integer) if integer.radix() == 10 => integer.as_str().parse::<f64>().ok(),
            DeValue::Float(float) => float.as_str().parse::<f64>().ok(),
            _ => None,
        };
        number.filter(|number| number.is_finite())
    }
    /// The truth value, if it is one.
    pub fn truth(&self) -> Option<bool> {
        self.value.get_ref().as_bool()
    }
    /// The items, if it is a list.
    pub fn list(&self) -> Option<Vec<Node<'t>>> {
        let source = self.source;
        let items = self.value.get_ref().as_array()?;
        Some(items.iter().map(|value| Node { source, value }).collect())
    }
    /// Whether it is a table.
    pub fn is_table(&self) -> bool {
        self.value.get_ref().is_table()
    }
    /// The table; another form is a problem.
    pub fn table(&self, problems: &mut Problems) -> Option<Table<'t>> {
        if let Some(table) = self.value.get_ref().as_table() {
            return Some(Table::new(self.source, self.span(), table));
        }
        self.problem(problems, format!("a table is wanted here, found {}", self.kind()), None);
        None
    }
    /// What form the value has, in words.
    pub fn kind(&self) -> &'static str {
        match self.value.get_ref() {
            DeValue::String(_) => "a text",
            DeValue::Integer(_) => "a whole number",
            DeValue::Float(_) => "a number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        }
    }
    /// The source text of the value.
    pub fn written(&self) -> &'t str {
        self.source.text.get(self.span()).unwrap_or("")
    }
    /// Notes a problem about the value.
    pub fn problem(&self, problems: &mut Problems, says: impl Into<String>, hint: Option<String>) {
        problems.add(self.source, self.span(), says, hint);
    }
    /// Notes a problem about some bytes of the text in quotes; about the whole where escapes moved them.
    pub fn problem_within(
        &self,
        problems: &mut Problems,
        at: Range<usize>,
        says: String,
        hint: Option<String>,
    ) {
        let start = self.span().start + 1;
        let plain =
            self.text().is_some_and(|text| self.source.text.get(start..start + text.len()) == Some(text));
        let span = if plain { start + at.start..start + at.end } else { self.span() };
        problems.add(self.source, span, says, hint);
    }
}
