//! The written entries: terms and findings, read once from `texts/*.md`.
//!
//! A text is a run of entries: `## NAME = alias, alias`, a line of meaning, a paragraph, then facts such as
//! `Computes: …` and `See: a, b`, each until the next label. `# TITLE` starts a group. Texts ship with the program:
//! their form is proven by the tests, and a reader for users' files this is not.

use super::{Fact, Page, folded};
use std::sync::LazyLock;

/// The texts, in the order of `explain` without a word.
const TEXTS: [&str; 25] = [
    include_str!("texts/words.md"),
    include_str!("texts/numbers.md"),
    include_str!("texts/pins.md"),
    include_str!("texts/memory.md"),
    include_str!("texts/detail.md"),
    include_str!("texts/light.md"),
    include_str!("texts/power.md"),
    include_str!("texts/cells.md"),
    include_str!("texts/radio.md"),
    include_str!("texts/heat.md"),
    include_str!("texts/plate.md"),
    include_str!("texts/privacy.md"),
    include_str!("texts/safety.md"),
    include_str!("texts/codes/pins.md"),
    include_str!("texts/codes/memory.md"),
    include_str!("texts/codes/stream.md"),
    include_str!("texts/codes/detail.md"),
    include_str!("texts/codes/light.md"),
    include_str!("texts/codes/radio.md"),
    include_str!("texts/codes/power.md"),
    include_str!("texts/codes/heat.md"),
    include_str!("texts/codes/plate.md"),
    include_str!("texts/codes/timing.md"),
    include_str!("texts/codes/privacy.md"),
    include_str!("texts/codes/safety.md"),
];

/// Labels that begin a fact; `See` begins the list of neighbours.
const LABELS: [&str; 5] = ["Computes", "Measure", "Do", "Caution", "Source"];

static ENTRIES: LazyLock<Vec<Entry>> = LazyLock::new(|| TEXTS.iter().copied().flat_map(read).collect());

/// A term or a finding, as written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// The heading it stands under.
    pub group: &'static str,
    /// The term or the code.
    pub name: &'static str,
    /// Other words for it.
    pub aliases: Vec<&'static str>,
    /// Its meaning in one line.
    pub line: String,
    /// The paragraph.
    pub text: String,
    /// `Computes`, `Measure`, `Do`, `Caution`, `Source`, as far as written.
    pub facts: Vec<(&'static str, String)>,
    /// Names of neighbours.
    pub see: Vec<String>,
}

impl Entry {
    /// Whether it is a finding: its name is a code, `budget.what`.
    pub fn is_code(&self) -> bool {
        self.name.contains('.')
    }

    /// Its name, then its other words.
    pub fn names(&self) -> Vec<&'static str> {
        std::iter::once(self.name).chain(self.aliases.iter().copied()).collect()
    }

    /// The fact under a label.
    pub fn fact(&self, label: &str) -> Option<&str> {
        self.facts.iter().find(|(name, _)| *name == label).map(|(_, text)| text.as_str())
    }

    pub(super) fn page(&self) -> Page {
        Page {
            kind: if self.is_code() { "finding" } else { "term" },
            name: self.name.into(),
            line: self.line.clone(),
            text: self.text.clone(),
            facts: self.facts.iter().map(|(label, text)| Fact::new(label, text.as_str())).collect(),
            see: self.see.clone(),
        }
    }
}

/// Every entry, group by group.
pub fn entries() -> &'static [Entry] {
    &ENTRIES
}

/// The entry with this folded name; an entry's own name wins over another's alias.
pub(super) fn find(key: &str) -> Option<&'static Entry> {
    let named = entries().iter().find(|entry| folded(entry.name) == key);
    named.or_else(|| entries().iter().find(|entry| entry.names().iter().any(|name| folded(name) == key)))
}

/// The code whose second half this is, where only one code has it.
pub(super) fn find_half_code(key: &str) -> Option<&'static Entry> {
    let half = |entry: &&Entry| entry.name.split_once('.').is_some_and(|(_, half)| folded(half) == key);
    let mut found = entries().iter().filter(half);
    found.next().filter(|_| found.next().is_none())
}

fn read(text: &'static str) -> Vec<Entry> {
    let mut entries: Vec<Entry> = Vec::new();
    let mut group = "";
    for line in text.lines().map(str::trim) {
        if let Some(title) = line.strip_prefix("# ") {
            group = title;
        } else if let Some(heading) = line.strip_prefix("## ") {
            let (name, aliases) = heading.split_once(" = ").unwrap_or((heading, ""));
            entries.push(Entry {
                group,
                name,
                aliases: aliases.split(", ").filter(|alias| !alias.is_empty()).collect(),
                line: String::new(),
                text: String::new(),
                facts: Vec::new(),
                see: Vec::new(),
            });
        } else if let (Some(entry), false) = (entries.last_mut(), line.is_empty()) {
            entry.take(line);
        }
    }
    entries
}

impl Entry {
    /// Adds one line of text where it belongs.
    fn take(&mut self, line: &'static str) {
        if let Some(names) = line.strip_prefix("See: ") {
            self.see.extend(names.split(", ").map(String::from));
        } else if let Some((label, text)) = line.split_once(": ").filter(|(label, _)| LABELS.contains(label))
        {
            self.facts.push((label, text.into()));
        } else if let Some((_, text)) = self.facts.last_mut() {
            append(text, line);
        } else if self.line.is_empty() {
            self.line = line.into();
        } else {
            append(&mut self.text, line);
        }
    }
}

fn append(text: &mut String, line: &str) {
    if !text.is_empty() {
        text.push(' ');
    }
    text.push_str(line);
}
