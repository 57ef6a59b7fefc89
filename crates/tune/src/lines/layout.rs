//! How a line falls into fields, for each layout: table, JSON, words, pattern.
//!
//! One visitor for all: it is handed each field as a [`Key`] and a [`Piece`], and says whether to go on. Nothing is
//! allocated for a line. Which field is the reading is decided elsewhere.

use super::pattern::Pattern;
use super::token::{Number, Suffix, Token, bare, token, unit_of, whole};

/// Fields of one line that are looked at; what follows is not a reading anybody printed.
pub(super) const FIELDS_MAX: usize = 64;
/// Objects within objects that are looked into.
const DEPTH_MAX: usize = 8;

/// How the lines are written.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Layout {
    Table(Table),
    Json,
    Words,
    Pattern(Pattern),
}

/// Columns between separators.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Table {
    /// `,`, `;`, a tab, or a blank for any run of blanks.
    pub separator: u8,
    /// Cells of a line.
    pub width: usize,
    /// Names from a header; empty without one.
    pub names: Vec<String>,
}

/// Which field: by name, and which of that name; or, without a name, which of those without.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Key<'a> {
    pub name: &'a [u8],
    pub nth: usize,
}

/// What stands in a field.
#[derive(Clone, Copy, Debug)]
pub(super) struct Piece<'a> {
    pub text: &'a [u8],
    known: Option<Token>,
    comma: bool,
}

impl Piece<'_> {
    /// The number, where a cell is digits and perhaps a point among them and nothing else: most are.
    #[inline]
    pub(super) fn plain(&self) -> Option<Number> {
        if self.known.is_none() { Number::plain(self.text) } else { None }
    }

    #[inline]
    pub(super) fn token(&self) -> Option<Token> {
        self.known.or_else(|| whole(self.text, self.comma))
    }
}

/// What a visitor keeps from line to line, so that no line allocates.
#[derive(Debug, Default)]
pub(super) struct Scratch {
    names: Vec<(usize, usize)>,
    path: Vec<u8>,
}

impl Layout {
    /// Hands each field of the line to `take`, until it says that it has all it wants (`false`).
    #[inline]
    pub(super) fn visit<'a>(
        &self,
        line: &'a [u8],
        scratch: &mut Scratch,
        take: &mut impl FnMut(Key<'_>, &Piece<'a>) -> bool,
    ) {
        match self {
            Self::Table(table) => table.visit(line, take),
            Self::Json => json(line, scratch, take),
            Self::Words => words(line, scratch, take),
            Self::Pattern(pattern) => {
                for (name, text, known) in pattern.fit(line).into_iter().flatten().flatten() {
                    take(Key { name: name.as_bytes(), nth: 0 }, &Piece { text, known, comma: false });
                }
            }
        }
    }

    /// How the layout is called before people.
    pub(super) fn words(&self) -> &'static str {
        match self {
            Self::Table(Table { separator: b',', .. }) => "columns between commas",
            Self::Table(Table { separator: b';', .. }) => "columns between semicolons",
            Self::Table(Table { separator: b'\t', .. }) => "columns between tabs",
            Self::Table(_) => "columns between blanks",
            Self::Json => "one JSON object a line",
            Self::Words => "numbers among words",
            Self::Pattern(_) => "the pattern given",
        }
    }
}

impl Table {
    #[inline]
    fn visit<'a>(&self, line: &'a [u8], take: &mut impl FnMut(Key<'_>, &Piece<'a>) -> bool) {
        let mut rest = line;
        for nth in 0..FIELDS_MAX {
            let (cell, after) = self.split(rest);
            // Between commas a comma is no decimal sign, unless the cell is quoted.
            let comma = self.separator != b',' || cell.first() == Some(&b'"');
            if !take(Key { name: b"", nth }, &Piece { text: cell, known: None, comma }) {
                return;
            }
            let Some(after) = after else { return };
            rest = after;
        }
    }

    #[inline]
    fn split<'a>(&self, rest: &'a [u8]) -> (&'a [u8], Option<&'a [u8]>) {
        if self.separator == b' ' {
            let end = rest.iter().position(u8::is_ascii_whitespace).unwrap_or(rest.len());
            let after = rest[end..].trim_ascii_start();
            return (&rest[..end], (!after.is_empty()).then_some(after));
        }
        let from = match rest {
            [b'"', quoted @ ..] => quoted.iter().position(|byte| *byte == b'"').map_or(0, |end| end + 1),
            _ => 0,
        };
        match rest[from..].iter().position(|byte| *byte == self.separator) {
            Some(length) => (&rest[..from + length], Some(&rest[from + length + 1..])),
            None => (rest, None),
        }
    }

    /// Cells of a line, at most [`FIELDS_MAX`].
    pub(super) fn cells<'a>(&self, line: &'a [u8]) -> Vec<Piece<'a>> {
        let mut cells = Vec::new();
        self.visit(line, &mut |_, piece| {
            cells.push(*piece);
            true
        });
        cells
    }
}

/// Numbers and times among words. A number's name is the word before it, with `=`, `:`, quotes, `>` or blanks between.
fn words<'a>(line: &'a [u8], scratch: &mut Scratch, take: &mut impl FnMut(Key<'_>, &Piece<'a>) -> bool) {
    if Number::plain(line).is_some() {
        take(Key { name: b"", nth: 0 }, &Piece { text: line, known: None, comma: false });
        return;
    }
    scratch.names.clear();
    let (mut at, mut unnamed) = (0, 0);
    let (mut name, mut joined) = ((0, 0), false);
    while at < line.len() && scratch.names.len() + unnamed < FIELDS_MAX {
        let byte = line[at];
        let signed = matches!(byte, b'+' | b'-') && line.get(at + 1).is_some_and(u8::is_ascii_digit);
        if byte.is_ascii_digit() || signed {
            let found = token(&line[at..], false);
            let end = at + found.map_or_else(|| run(&line[at..]), |(_, length)| length);
            if let Some((found, _)) = found {
                let (found, end) = with_unit(found, line, end);
                let piece = Piece { text: &line[at..end], known: Some(found), comma: false };
                if !take(named(line, name, &mut scratch.names, &mut unnamed), &piece) {
                    return;
                }
                at = end;
            } else {
                at = end;
            }
            (name, joined) = ((0, 0), false);
            continue;
        }
        if is_word(byte) {
            let end = at + line[at..].iter().take_while(|byte| is_word(**byte) || is_inside(**byte)).count();
            let length =
                line[at..end].iter().rposition(|byte| is_word(*byte)).map_or(end - at, |last| last + 1);
            if joined && name.0 < name.1 {
                let piece = Piece { text: &line[at..at + length], known: None, comma: false };
                if !take(named(line, name, &mut scratch.names, &mut unnamed), &piece) {
                    return;
                }
            }
            (name, joined) = ((at, at + length), false);
            at += length;
            continue;
        }
        match byte {
            b' ' | b'\t' | b'"' | b'\'' | b'>' | b'-' => {}
            b'=' | b':' => joined = true,
            // Colour on a terminal: escape, bracket, numbers, a letter.
            0x1b => at += line[at + 1..].iter().take_while(|byte| !byte.is_ascii_alphabetic()).count() + 1,
            _ => (name, joined) = ((0, 0), false),
        }
        at += 1;
    }
}

fn is_word(byte: u8) -> bool {
    byte.is_ascii_alphanumeric() || byte == b'_' || byte >= 0x80
}

fn is_inside(byte: u8) -> bool {
    matches!(byte, b'-' | b'.' | b'/' | b'#')
}

/// Length of what only begins like a number.
fn run(text: &[u8]) -> usize {
    text.iter().take_while(|byte| is_word(**byte) || is_inside(**byte) || matches!(byte, b'+')).count().max(1)
}

/// The unit one blank behind a number, as in `12 ms`.
pub(super) fn with_unit(found: Token, line: &[u8], end: usize) -> (Token, usize) {
    if let (Token::Number(number, Suffix::None), Some([b' ', rest @ ..])) = (found, line.get(end..)) {
        let length = rest.iter().take_while(|byte| is_word(**byte)).count();
        let joined = matches!(rest.get(length), Some(b'=' | b':'));
        if let (Some(unit), false) = (unit_of(&rest[..length]), joined) {
            return (Token::Number(number, Suffix::Time(unit)), end + 1 + length);
        }
    }
    (found, end)
}

fn named<'a>(
    line: &'a [u8],
    (start, end): (usize, usize),
    names: &mut Vec<(usize, usize)>,
    unnamed: &mut usize,
) -> Key<'a> {
    let name = &line[start..end];
    if name.is_empty() {
        *unnamed += 1;
        return Key { name, nth: *unnamed - 1 };
    }
    let nth = names.iter().filter(|(start, end)| &line[*start..*end] == name).count();
    names.push((start, end));
    Key { name, nth }
}

/// The numbers and texts of a JSON object, however deep; a field within fields is called `outer.inner`.
///
/// Not a judge of JSON: what is no object ends the line.
fn json<'a>(line: &'a [u8], scratch: &mut Scratch, take: &mut impl FnMut(Key<'_>, &Piece<'a>) -> bool) {
    let path = &mut scratch.path;
    path.clear();
    // Where the path was cut before each level, and in an array the number of the next element.
    let mut levels: [(usize, Option<usize>); DEPTH_MAX] = [(0, None); DEPTH_MAX];
    let (mut depth, mut at, mut key) = (0_usize, 0, None::<(usize, usize)>);
    let mut seen = 0;
    while at < line.len() && seen < FIELDS_MAX {
        let byte = line[at];
        at += 1;
        match byte {
            b'{' | b'[' => {
                if depth == DEPTH_MAX {
                    return;
                }
                let cut = path.len();
                if depth > 0 {
                    enter(path, line, key.take(), &mut levels[depth - 1].1);
                }
                levels[depth] = (cut, (byte == b'[').then_some(0));
                depth += 1;
            }
            b'}' | b']' => {
                let Some(outer) = depth.checked_sub(1) else { return };
                depth = outer;
                path.truncate(levels[depth].0);
                key = None;
            }
            b',' | b':' | b' ' | b'\t' => {}
            _ => {
                let quoted = byte == b'"';
                let start = if quoted { at } else { at - 1 };
                let end = if quoted { quote_end(line, at) } else { bare_end(line, at) };
                let Some(end) = end else { return };
                at = if quoted { end + 1 } else { end };
                let next = line[at..].iter().find(|byte| !byte.is_ascii_whitespace());
                if quoted && key.is_none() && next == Some(&b':') {
                    key = Some((start, end));
                    continue;
                }
                if depth == 0 {
                    return;
                }
                let cut = path.len();
                enter(path, line, key.take(), &mut levels[depth - 1].1);
                seen += 1;
                let piece = Piece { text: &line[start..end], known: None, comma: false };
                let go_on = take(Key { name: path, nth: 0 }, &piece);
                path.truncate(cut);
                if !go_on {
                    return;
                }
            }
        }
    }
}

fn enter(path: &mut Vec<u8>, line: &[u8], key: Option<(usize, usize)>, element: &mut Option<usize>) {
    if !path.is_empty() {
        path.push(b'.');
    }
    if let Some((start, end)) = key {
        path.extend_from_slice(&line[start..end]);
    } else if let Some(index) = element {
        *index += 1;
        let _ = std::io::Write::write_fmt(path, format_args!("{index}"));
    }
}

fn quote_end(line: &[u8], from: usize) -> Option<usize> {
    let mut at = from;
    while let Some(byte) = line.get(at) {
        match byte {
            b'"' => return Some(at),
            b'\\' => at += 2,
            _ => at += 1,
        }
    }
    None
}

fn bare_end(line: &[u8], from: usize) -> Option<usize> {
    let ends = |byte: &u8| matches!(byte, b',' | b'}' | b']' | b' ' | b'\t' | b':' | b'"' | b'{' | b'[');
    Some(line[from..].iter().position(ends).map_or(line.len(), |length| from + length))
}

/// The text of a field as a name.
pub(super) fn name_of(text: &[u8]) -> String {
    let text = bare(text);
    String::from_utf8_lossy(&text[..text.len().min(60)]).into_owned()
}
