//! From what one sees to what may cause it: plain keywords, no guessing.
//!
//! A symptom has groups of words, `Words: a b | c d`. A question meets a group when one of its words, endings taken off,
//! stands in it. A sentence must meet two groups; the symptom with most groups, then most words comes first, and of
//! equals the one written first. Deterministic; it reads no health records and no plan.

use super::{Fact, Page};
use std::sync::LazyLock;

static SYMPTOMS: LazyLock<Vec<Symptom>> = LazyLock::new(|| read(include_str!("texts/symptoms.md")));

/// Words of a question that are read at all: a pasted file must not buy time.
const MOST_WORDS: usize = 64;
/// Other symptoms named beside the best.
const MOST_NEAR: usize = 3;

/// Something one sees, and its causes, the likeliest first.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Symptom {
    /// In plain words.
    pub name: &'static str,
    /// Groups of words, any word of a group serving for it.
    pub words: Vec<Vec<String>>,
    /// Codes, each with a line.
    pub causes: Vec<(&'static str, &'static str)>,
}

/// Every symptom.
pub fn symptoms() -> &'static [Symptom] {
    &SYMPTOMS
}

/// The page of the symptom that a question speaks of.
pub(super) fn find(asked: &str) -> Option<Page> {
    let asked: Vec<String> = stems(asked).take(MOST_WORDS).collect();
    let mut ranked: Vec<((usize, usize), &Symptom)> =
        symptoms().iter().filter_map(|symptom| Some((symptom.score(&asked)?, symptom))).collect();
    ranked.sort_by_key(|(score, _)| std::cmp::Reverse(*score)); // stable: of equals the one written first
    let (best, symptom) = ranked.first()?;
    let near = ranked[1..].iter().filter(|(score, _)| score.0 >= best.0).take(MOST_NEAR);
    Some(Page {
        kind: "symptom",
        name: symptom.name.into(),
        line: "Likely causes, the likeliest first; each has a page of its own.".into(),
        text: String::new(),
        facts: symptom.causes.iter().map(|(code, says)| Fact::new(code, *says)).collect(),
        see: near.map(|(_, symptom)| symptom.name.into()).collect(),
    })
}

impl Symptom {
    /// Groups met and words met; `None` where that is too little to speak of.
    fn score(&self, asked: &[String]) -> Option<(usize, usize)> {
        let own: Vec<String> = stems(self.name).collect();
        let groups = self.words.iter().filter(|group| group.iter().any(|word| asked.contains(word))).count();
        let words =
            asked.iter().filter(|word| self.words.iter().flatten().any(|known| known == *word)).count();
        // Words of the symptom's own name break ties between symptoms that share their groups.
        let named = asked.iter().filter(|word| own.contains(word)).count();
        // One word alone is a question too ("restarts"); a sentence must meet two groups.
        let enough = groups >= 2 || (groups == 1 && asked.len() == 1);
        enough.then_some((groups, words + named))
    }
}

/// Words without endings and without those that say nothing.
fn stems(text: &str) -> impl Iterator<Item = String> + '_ {
    const EMPTY: [&str; 24] = [
        "a", "an", "and", "are", "at", "by", "do", "does", "i", "in", "is", "it", "its", "my", "of", "on",
        "only", "that", "the", "then", "to", "when", "while", "with",
    ];
    text.split(|c: char| !c.is_alphanumeric())
        .map(str::to_lowercase)
        .filter(|word| !word.is_empty() && !EMPTY.contains(&word.as_str()))
        .map(|word| stem(&word))
}

/// A word without the commonest endings, so that "restarts", "restarted" and "restarting" are one.
fn stem(word: &str) -> String {
    for ending in ["ing", "ed", "es", "s"] {
        if let Some(short) =
            word.strip_suffix(ending).filter(|short| short.len() >= 3 && !word.ends_with("ss"))
        {
            return short.trim_end_matches('e').into();
        }
    }
    word.strip_suffix('e').filter(|short| short.len() >= 3).unwrap_or(word).into()
}

fn read(text: &'static str) -> Vec<Symptom> {
    let mut symptoms: Vec<Symptom> = Vec::new();
    for line in text.lines().map(str::trim) {
        if let Some(name) = line.strip_prefix("## ") {
            symptoms.push(Symptom { name, words: Vec::new(), causes: Vec::new() });
        } else if let Some(symptom) = symptoms.last_mut() {
            if let Some(words) = line.strip_prefix("Words: ") {
                symptom.words = words.split(" | ").map(|group| stems(group).collect()).collect();
            } else if let Some(cause) = line.strip_prefix("- ") {
                symptom.causes.extend(cause.split_once(": "));
            }
        }
    }
    symptoms
}
