//! A line as its maker describes it: literal text, with words in angle brackets where something is to be taken.

use super::layout::with_unit;
use super::token::{Token, digits_of, token};
use std::fmt;

/// Most letters that a pattern has.
pub const PATTERN_MAX: usize = 1000;

/// A line with holes: `touch at <time>: <count>`.
///
/// - `<count>` is the reading, and must stand exactly once;
/// - `<time>` a number, a time of day or a date with time;
/// - `<plate>` a word that tells which plate, up to the next blank or the text that follows in the pattern;
/// - `<any>` whatever stands there, as little as fits.
///
/// Everything else stands for itself; a blank stands for one or more blanks or tabs. What stands before and behind the
/// pattern in a line does not matter. A line that the pattern does not fit carries no reading.
///
/// ```
/// use tune::lines::Pattern;
/// assert!("[<time>] touch: <count>".parse::<Pattern>().is_ok());
/// let error = "touch: <cuont>".parse::<Pattern>().unwrap_err();
/// assert_eq!(error.column, 8);
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pattern {
    parts: Vec<Part>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
enum Part {
    Text(Vec<u8>),
    Blank,
    Any,
    Take(Hole),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Hole {
    Count,
    Time,
    Plate,
}

const HOLES: &[(&str, Part)] = &[
    ("count", Part::Take(Hole::Count)),
    ("time", Part::Take(Hole::Time)),
    ("plate", Part::Take(Hole::Plate)),
    ("any", Part::Any),
];

/// What is wrong with a pattern, where, and what would be right.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("pattern, column {column}: {says}; {mend}")]
pub struct PatternError {
    /// Letter of the pattern, from 1.
    pub column: usize,
    /// The fact.
    pub says: String,
    /// The next step.
    pub mend: String,
}

/// What a pattern took from a line: name of the hole, text, and the token where it is a number or time.
pub(super) type Took<'a> = [Option<(&'static str, &'a [u8], Option<Token>)>; 3];

impl std::str::FromStr for Pattern {
    type Err = PatternError;

    fn from_str(text: &str) -> Result<Self, PatternError> {
        let error = |at: usize, says: String, mend: &str| PatternError {
            column: text[..at].chars().count() + 1,
            says,
            mend: mend.into(),
        };
        if text.chars().count() > PATTERN_MAX {
            let at = text.char_indices().nth(PATTERN_MAX).map_or(0, |(at, _)| at);
            let says = format!("more than {PATTERN_MAX} letters");
            return Err(error(at, says, "describe only what stands around the reading"));
        }
        let mut parts: Vec<Part> = Vec::new();
        let mut at = 0;
        while let Some(letter) = text[at..].chars().next() {
            let hole = (letter == '<').then(|| hole_at(&text[at..])).flatten();
            if let Some(word) = hole {
                let Some((_, part)) = HOLES.iter().find(|(name, _)| *name == word) else {
                    let says = format!("`<{word}>` is no hole");
                    return Err(error(at, says, "write `<count>`, `<time>`, `<plate>` or `<any>`"));
                };
                if *part != Part::Any && parts.contains(part) {
                    return Err(error(
                        at,
                        format!("a second `<{word}>`"),
                        "write `<any>` for the one that does not matter",
                    ));
                }
                let takes = |part: &Part| matches!(part, Part::Take(_));
                let touches = parts.last().is_some_and(|last| {
                    takes(last) && takes(part) || *last == Part::Any && *part == Part::Any
                });
                if touches {
                    let says = format!("nothing stands between `<{word}>` and the hole before it");
                    return Err(error(at, says, "write the text between them, a blank at least"));
                }
                parts.push(part.clone());
                at += word.len() + 2;
                continue;
            }
            if letter == ' ' || letter == '\t' {
                if parts.last() != Some(&Part::Blank) {
                    parts.push(Part::Blank);
                }
            } else {
                let mut bytes = [0; 4];
                let bytes = letter.encode_utf8(&mut bytes).as_bytes();
                match parts.last_mut() {
                    Some(Part::Text(text)) => text.extend_from_slice(bytes),
                    _ => parts.push(Part::Text(bytes.to_vec())),
                }
            }
            at += letter.len_utf8();
        }
        // Lines are read without blanks around them.
        if parts.first() == Some(&Part::Blank) {
            parts.remove(0);
        }
        if parts.last() == Some(&Part::Blank) {
            parts.pop();
        }
        if !parts.contains(&Part::Take(Hole::Count)) {
            return Err(error(text.len(), "no `<count>`".into(), "write `<count>` where the reading stands"));
        }
        Ok(Self { parts })
    }
}

/// The word of `<word>` at the start of the text; a `<` before anything else stands for itself.
fn hole_at(text: &str) -> Option<&str> {
    let (word, _) = text[1..].split_once('>')?;
    (!word.is_empty() && word.bytes().all(|byte| byte.is_ascii_alphabetic())).then_some(word)
}

impl fmt::Display for Pattern {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.parts.iter().try_for_each(|part| match part {
            Part::Text(text) => f.write_str(&String::from_utf8_lossy(text)),
            Part::Blank => f.write_str(" "),
            part => {
                let name = HOLES.iter().find(|(_, hole)| hole == part).map_or("", |(name, _)| *name);
                write!(f, "<{name}>")
            }
        })
    }
}

impl Pattern {
    /// What the holes hold, or none where the line does not fit.
    ///
    /// After a misfit only the last `<any>` is made longer (or the start moved, before the first): what was found before it
    /// was found as early as can be, so nothing is lost, and a line costs at most its length times that of the pattern.
    pub(super) fn fit<'a>(&self, line: &'a [u8]) -> Option<Took<'a>> {
        let (mut index, mut at) = (0, 0);
        // Before the first part stands an `<any>` that nobody wrote.
        let (mut resume_index, mut resume_at) = (0, 0);
        let mut took: Took<'a> = [None; 3];
        loop {
            let Some(part) = self.parts.get(index) else { return Some(took) };
            if *part == Part::Any {
                index += 1;
                (resume_index, resume_at) = (index, at);
                continue;
            }
            let free = index == resume_index && at == resume_at;
            if let Some(length) = self.fits(index, line, at, free, &mut took) {
                at += length;
                index += 1;
                continue;
            }
            resume_at += 1;
            if resume_at > line.len() {
                return None;
            }
            (index, at) = (resume_index, resume_at);
        }
    }

    /// Length of what the part takes at a place. `free`: the place was tried, not reached, so it may lie inside a number.
    fn fits<'a>(
        &self,
        index: usize,
        line: &'a [u8],
        at: usize,
        free: bool,
        took: &mut Took<'a>,
    ) -> Option<usize> {
        let rest = &line[at..];
        let inside = || {
            free && at > 0
                && (line[at - 1].is_ascii_alphanumeric() || matches!(line[at - 1], b'.' | b'-' | b':' | b'_'))
        };
        let blanks = |text: &[u8]| text.iter().take_while(|byte| matches!(byte, b' ' | b'\t')).count();
        match &self.parts[index] {
            Part::Text(text) => rest.starts_with(text).then_some(text.len()),
            Part::Blank => Some(blanks(rest)).filter(|length| *length > 0),
            Part::Any => Some(0),
            Part::Take(Hole::Plate) => {
                if inside() {
                    return None;
                }
                let stop: Option<&[u8]> = match self.parts.get(index + 1) {
                    Some(Part::Text(text)) => Some(text),
                    _ => None,
                };
                let length = (0..rest.len())
                    .find(|length| {
                        matches!(rest[*length], b' ' | b'\t')
                            || stop.is_some_and(|stop| rest[*length..].starts_with(stop))
                    })
                    .unwrap_or(rest.len());
                took[2] = Some(("plate", &rest[..length], None));
                (length > 0).then_some(length)
            }
            Part::Take(hole) => {
                if inside() {
                    return None;
                }
                let (found, end) = token(rest, false)?;
                // Letters behind a number may be text of the pattern; the unit that they tell is known all the same.
                let length = digits_of(found, &rest[..end]);
                let (found, _) = with_unit(found, rest, end);
                let (place, name) = if *hole == Hole::Count { (0, "count") } else { (1, "time") };
                if *hole == Hole::Count && !matches!(found, Token::Number(..)) {
                    return None;
                }
                took[place] = Some((name, &rest[..length], Some(found)));
                Some(length)
            }
        }
    }
}
