//! Texts, places in them, and problems: what every reader of this crate shares.
//!
//! A [`Problem`] carries a byte span; line and column are computed when it is shown. Problems are collected, never
//! thrown one by one, so that a person mends a file in one go. Nothing here knows what the texts mean.

use std::fmt;
use std::ops::Range;

/// A text with the name under which its owner knows it (a path, or `sheet board/heron` for one that ships).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    /// Name shown in messages.
    pub name: String,
    /// The whole text.
    pub text: String,
}

/// Line and column, both from 1; the column counts characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
}

impl Source {
    /// A named text.
    pub fn new(name: impl Into<String>, text: impl Into<String>) -> Self {
        Self { name: name.into(), text: text.into() }
    }

    /// Place of a byte offset; the end of the text for offsets beyond it.
    pub fn place(&self, offset: usize) -> Place {
        let mut offset = offset.min(self.text.len());
        while !self.text.is_char_boundary(offset) {
            offset -= 1;
        }
        let before = &self.text[..offset];
        let line_start = before.rfind('\n').map_or(0, |at| at + 1);
        Place {
            line: before.bytes().filter(|&byte| byte == b'\n').count() + 1,
            column: before[line_start..].chars().count() + 1,
        }
    }
}

/// Something wrong in a text, with what would be right.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// Name of the source it is in.
    pub file: String,
    /// Bytes it is about.
    pub span: Range<usize>,
    /// Where that begins.
    pub place: Place,
    /// What was found, one sentence without a full stop.
    pub says: String,
    /// What was expected or how to mend it.
    pub hint: Option<String>,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}:{} {}", self.file, self.place.line, self.place.column, self.says)?;
        if let Some(hint) = &self.hint {
            write!(f, "; {hint}")?;
        }
        Ok(())
    }
}

/// Problems that one reading keeps; a hostile file has a million, and each costs a look through the text for its place.
pub const MOST_PROBLEMS: usize = 200;

/// All problems of a reading, in the order of the text; never empty as an error.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Problems {
    /// The texts that the problems are in, so that a face can show the lines.
    pub sources: Vec<Source>,
    /// The problems, at most [`MOST_PROBLEMS`].
    pub list: Vec<Problem>,
    /// How many there were beyond those.
    pub more: usize,
}

impl Problems {
    /// Notes a problem at a span of a source.
    pub fn add(
        &mut self,
        source: &Source,
        span: Range<usize>,
        says: impl Into<String>,
        hint: Option<String>,
    ) {
        if self.is_full() {
            self.more += 1;
            return;
        }
        self.list.push(Problem {
            file: source.name.clone(),
            place: source.place(span.start),
            span,
            says: cut(says.into()),
            hint,
        });
        if !self.sources.iter().any(|known| known.name == source.name) {
            self.sources.push(source.clone());
        }
    }

    /// Whether more problems are only counted: a reader may then spare itself the search for good advice.
    pub fn is_full(&self) -> bool {
        self.list.len() >= MOST_PROBLEMS
    }

    /// Takes over the problems of another reading.
    pub fn extend(&mut self, other: Problems) {
        for source in other.sources {
            if !self.sources.iter().any(|known| known.name == source.name) {
                self.sources.push(source);
            }
        }
        self.list.extend(other.list);
        self.more += other.more + self.list.len().saturating_sub(MOST_PROBLEMS);
        self.list.truncate(MOST_PROBLEMS);
    }

    /// Sorts by file (in order of first mention) and place: tables are not kept in the order of the text.
    #[must_use]
    pub fn sorted(mut self) -> Self {
        let order: Vec<String> = self.sources.iter().map(|source| source.name.clone()).collect();
        self.list.sort_by_key(|p| (order.iter().position(|name| *name == p.file), p.span.start));
        self.list.dedup();
        self
    }

    /// The result, unless there are problems.
    pub fn unless<T>(self, result: T) -> Result<T, Problems> {
        if self.list.is_empty() { Ok(result) } else { Err(self.sorted()) }
    }
}

/// A sentence that quotes a text, cut where it would be a wall.
fn cut(says: String) -> String {
    const MOST_CHARS: usize = 300;
    match says.char_indices().nth(MOST_CHARS) {
        Some((end, _)) => format!("{} …", &says[..end]),
        None => says,
    }
}

impl fmt::Display for Problems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, problem) in self.list.iter().enumerate() {
            if index > 0 {
                writeln!(f)?;
            }
            write!(f, "{problem}")?;
        }
        match self.more {
            0 => Ok(()),
            more => write!(f, "\nand {more} more"),
        }
    }
}

impl std::error::Error for Problems {}
