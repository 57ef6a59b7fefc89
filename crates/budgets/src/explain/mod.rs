//! What a word, a finding, a figure, a field or a symptom means: one page each, ready for any face.
//!
//! Texts of terms and findings are prose and live in `texts/` ([`entries`]); fields answer from the field table and
//! figures from the rules, so that nothing is said twice (`derived`); [`symptoms`] ranks causes by plain keywords.
//! [`page`] is the one door. Nothing here knows a plan, a terminal or JSON.

mod derived;
mod entries;
mod symptoms;

pub use entries::{Entry, entries};
pub use symptoms::{Symptom, symptoms};

use serde::Serialize;
use station::fields::{FIELDS, PARTS};
use std::fmt;

/// One answer, in the order in which a face prints it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Page {
    /// `term`, `finding`, `field`, `figure`, `part` or `symptom`.
    pub kind: &'static str,
    /// The word, code, path or symptom.
    pub name: String,
    /// Its meaning in one line.
    pub line: String,
    /// A paragraph; empty for pages that are all facts.
    pub text: String,
    /// Labelled facts: what is computed, what to measure, ranges, causes.
    pub facts: Vec<Fact>,
    /// Names that [`page`] answers too.
    pub see: Vec<String>,
}

/// A labelled fact of a page.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Fact {
    /// `Computes`, `Measure`, `Unit` and the like; the code for a symptom's cause.
    pub label: String,
    /// What is said.
    pub text: String,
}

impl Fact {
    fn new(label: &str, text: impl Into<String>) -> Self {
        Self { label: label.into(), text: text.into() }
    }
}

/// A word that has no page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotKnown {
    /// What was asked.
    pub asked: String,
    /// The nearest name that has one.
    pub nearest: Option<String>,
}

impl fmt::Display for NotKnown {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // Someone may have pasted half a file; the first words tell enough.
        let asked: String = self.asked.chars().take(60).collect();
        write!(f, "nothing is known of `{asked}`")?;
        match &self.nearest {
            Some(near) => write!(f, "; the nearest is `{near}`"),
            None => Ok(()),
        }
    }
}

impl std::error::Error for NotKnown {}

/// Names under a heading, for a list of all that can be asked.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Group {
    /// The heading.
    pub title: String,
    /// What can be asked.
    pub names: Vec<String>,
}

/// The page about a term, alias, code, path, figure or part, or about a symptom in plain words.
///
/// Names win over symptoms, written ones over derived ones; case, hyphens and underscores do not matter, nor does a
/// plural. The last half of a code is enough where it is nobody else's name.
///
/// # Errors
///
/// [`NotKnown`] with the nearest name.
///
/// # Examples
///
/// ```
/// use budgets::explain::page;
/// assert_eq!(page("pixel clock").unwrap().name, "PCLK");
/// assert_eq!(page("strapping pins").unwrap().name, "strapping pin");
/// assert_eq!(page("Camera.Height").unwrap().kind, "field");
/// assert_eq!(page("pins.status_lamp").unwrap().facts[1].text, "burned: a change needs flashing");
/// assert_eq!(page("it restarts when I look at it").unwrap().facts[0].label, "power.sag");
/// assert_eq!(page("pclck").unwrap_err().nearest.as_deref(), Some("PCLK"));
/// ```
pub fn page(asked: &str) -> Result<Page, NotKnown> {
    let key = folded(asked);
    let found = entries::find(&key)
        .map(entry_page)
        .or_else(|| derived::field(&key))
        .or_else(|| derived::pin(&key))
        .or_else(|| derived::figure(&key))
        .or_else(|| derived::part(&key))
        .or_else(|| key.strip_suffix('s').and_then(entries::find).map(entry_page))
        .or_else(|| entries::find_half_code(&key).map(entry_page))
        .or_else(|| symptoms::find(asked));
    found.ok_or_else(|| {
        let names = names();
        NotKnown { asked: asked.trim().into(), nearest: nearest(asked.trim(), &names) }
    })
}

/// All that can be asked, under headings: terms, findings, parts of the plan, symptoms.
pub fn groups() -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for entry in entries() {
        if groups.last().is_none_or(|group| group.title != entry.group) {
            groups.push(Group { title: entry.group.into(), names: Vec::new() });
        }
        groups.last_mut().expect("one was just pushed").names.push(entry.name.into());
    }
    groups.push(Group {
        title: "Parts of the plan (each lists its fields)".into(),
        names: PARTS.iter().map(|(name, _)| (*name).into()).collect(),
    });
    groups.push(Group {
        title: "What one sees, in your own words, for instance".into(),
        names: symptoms().iter().map(|symptom| symptom.name.into()).collect(),
    });
    groups
}

fn entry_page(entry: &'static Entry) -> Page {
    let mut page = entry.page();
    if entry.is_code() {
        page.facts.extend(derived::figure_source(entry.name));
    } else {
        page.facts.extend(derived::fields_of_part(&entry.names()));
    }
    page
}

/// Every name with a page of its own, aliases included.
fn names() -> Vec<&'static str> {
    let written = entries().iter().flat_map(Entry::names);
    let figures = crate::rules::all().map(|rule| rule.figure);
    let parts = PARTS.iter().map(|(name, _)| *name);
    written.chain(FIELDS.iter().map(|field| field.path)).chain(figures).chain(parts).collect()
}

fn nearest(asked: &str, names: &[&'static str]) -> Option<String> {
    quantity::nearest(asked, names.iter().copied()).map(String::from)
}

/// Lower case, one space for each run of spaces, hyphens and underscores; dots stay, for they part paths and codes.
fn folded(text: &str) -> String {
    let words = text.split(|c: char| c.is_whitespace() || matches!(c, '-' | '_' | '"' | '\'' | '`'));
    words.filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ").to_lowercase()
}
