//! Signals and numbers in any text: typed by hand, notes, source code.
//!
//! Walks over words: a name that the trade knows, a few words and signs that may stand between, a number. Also
//! "GPIO4 = D0" the other way round, "SDA/SCL = 26/27", and lists for all data lines. A number without a name, or
//! a name without a number, is never guessed at.

use std::ops::Range;

use crate::comments;
use crate::gather::{Gathered, LIST_ITEMS_MAX, List, ROOT};
use crate::pin::{self, NotAPin, Pinned, Stands};
use crate::reading::Why;
use crate::signal::{self, Named, Order, Signal};
use crate::tokens::{Kind, TOKENS_MAX, Token, tokens};

/// At most so many signs and little words may stand between a name and its number.
const BETWEEN_MAX: usize = 8;
const BETWEEN_WORDS: [&str; 15] = [
    "is",
    "on",
    "to",
    "at",
    "pin",
    "gpio",
    "io",
    "goes",
    "uses",
    "num",
    "number",
    "no",
    "int",
    "gpio_num_t",
    "uint8_t",
];
/// A number before one of these is a measure, not a pin.
const UNITS: [&str; 22] = [
    "mhz", "khz", "hz", "ms", "us", "s", "v", "mv", "volt", "volts", "ma", "a", "kb", "kib", "mb", "bit",
    "bits", "mm", "px", "fps", "ohm", "k",
];

/// Reads any text.
pub(crate) fn gather(text: &str, found: &mut Gathered<'_>) {
    scan(&comments::blank_any(text), found, &|_| ROOT);
}

/// Reads a text whose comments are gone; `section_at` says where a byte belongs.
pub(crate) fn scan(text: &str, found: &mut Gathered<'_>, section_at: &dyn Fn(usize) -> usize) {
    let tokens = tokens(text);
    let count = tokens.len();
    if count >= TOKENS_MAX {
        let line = 1 + tokens.iter().filter(|t| t.kind == Kind::Newline).count();
        found.problems.push(crate::problem::Problem::TooMuch { line });
    }
    let foreign = foreign_parts(text, found);
    let mut walk = Walk { text, touched: vec![false; count], tokens, foreign, found, section_at };
    let mut at = 0;
    while at < count && !walk.found.is_full() {
        at = walk.list(at).or_else(|| walk.reversed(at)).or_else(|| walk.named(at)).unwrap_or(at + 1);
    }
    walk.report_untouched_lines();
}

/// Where a text speaks of another device: behind "SD card:" on its line, in the lines set deeper below "lcd:", and
/// from "[lcd]" to the next such line.
fn foreign_parts(text: &str, found: &Gathered<'_>) -> Vec<(Range<usize>, String)> {
    let mut parts: Vec<(Range<usize>, String)> = Vec::new();
    let mut block: Option<(Option<usize>, String)> = None;
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        let trimmed = line.trim();
        let indent = line.len() - line.trim_start().len();
        let bracketed = trimmed.strip_prefix('[').and_then(|t| t.strip_suffix(']'));
        if bracketed.is_some()
            || block
                .as_ref()
                .is_some_and(|(depth, _)| depth.is_some_and(|d| indent <= d && !trimmed.is_empty()))
        {
            block = None;
        }
        let head = bracketed.or_else(|| trimmed.split_once(':').map(|(head, _)| head)).unwrap_or_default();
        let is_foreign = head.len() <= signal::NAME_BYTES_MAX
            && signal::is_foreign(head)
            && !head.contains(['=', ',', ';'])
            && found.named(head).is_none();
        if let Some((_, device)) = &block {
            parts.push((at..at + line.len(), device.clone()));
        } else if is_foreign && bracketed.is_some() {
            block = Some((None, head.trim().into()));
        } else if is_foreign && trimmed.ends_with(':') {
            block = Some((Some(indent), head.trim().into()));
        } else if is_foreign
            && trimmed[head.len() + 1..].trim_start().starts_with(|c: char| c.is_alphabetic())
        {
            parts.push((at + indent + head.len() + 1..at + line.len(), head.trim().into()));
        }
        at += line.len();
    }
    parts
}

struct Walk<'w, 'g> {
    text: &'w str,
    tokens: Vec<Token>,
    touched: Vec<bool>,
    /// Bytes that speak of another device, and its name.
    foreign: Vec<(Range<usize>, String)>,
    found: &'w mut Gathered<'g>,
    section_at: &'w dyn Fn(usize) -> usize,
}

/// A name and the token behind it.
struct Name {
    named: Named,
    text: String,
    end: usize,
}

impl Walk<'_, '_> {
    /// "data: [4, 16 …]", "D0..D7 = 4 16 …", a YAML list below "data:"; the token behind it.
    fn list(&mut self, at: usize) -> Option<usize> {
        let name = self.list_name(at)?;
        let Named::List(order) = name.named else { return None };
        let mut next = name.end;
        // `pins[8] = {…}`: the size is not an item. `data[3] = 5` has no bracket behind the `=` and is left to `named`.
        if self.sign(next) == Some('[')
            && self.sign(next + 2) == Some(']')
            && self.sign(next + 3) == Some('=')
        {
            next += 3;
        }
        let mut bracketed = false;
        let mut over_lines = false;
        for _ in 0..BETWEEN_MAX {
            match self.kind(next)? {
                Kind::Sign('[' | '{' | '(') => (bracketed, over_lines) = (true, true),
                Kind::Sign(':' | '=' | '"' | '-' | '>' | '|' | '\t' | '→') => {}
                Kind::Newline if bracketed || self.sign(next.checked_sub(1)?) == Some(':') => {
                    over_lines = true;
                }
                Kind::Word if matches!(self.word(next), "pin" | "pins" | "gpio" | "are" | "is" | "on") => {}
                _ => break,
            }
            next += 1;
        }
        let mut items: Vec<(Pinned, Range<usize>)> = Vec::new();
        let mut end = next;
        while items.len() < LIST_ITEMS_MAX {
            match self.kind(next) {
                Some(Kind::Sign(',' | '"' | '-' | ' ' | '\'' | '/')) => next += 1,
                Some(Kind::Newline) if over_lines => next += 1,
                Some(Kind::Word) => match self.value(next) {
                    Some((Ok(pin), after)) => {
                        items.push((pin, self.span(next, after)));
                        (next, end) = (after, after);
                    }
                    _ if self.word(next).eq_ignore_ascii_case("gpio") => next += 1,
                    _ => break,
                },
                _ => break,
            }
        }
        // The last number may begin the next line's "5 = VSYNC"; a list over lines needs its bracket or dashes.
        if items.len() < if bracketed { 2 } else { 3 } {
            return None;
        }
        let section = (self.section_at)(self.tokens[at].start as usize);
        self.found.lists.push(List { name: name.text, order, items, section });
        self.touch(at, end);
        Some(end)
    }

    /// "D0..D7", "D[7:0]", "data lines", "data": names for all lines at once.
    fn list_name(&self, at: usize) -> Option<Name> {
        if self.kind(at)? != Kind::Word {
            return None;
        }
        // Ranges first, since their first half is a name by itself: D 0 . . D 7 is at most seven tokens.
        for length in (1..=7).rev() {
            let end = at + length;
            let inside = self.tokens.get(at..end)?;
            if inside
                .iter()
                .any(|t| t.kind == Kind::Newline || matches!(t.kind, Kind::Sign('=' | ',' | '"' | '{' | '(')))
            {
                continue;
            }
            let is_word = |t: &Token| t.kind == Kind::Word || t.kind == Kind::Sign(']');
            let ranged = length == 1
                || inside.iter().any(|t| matches!(t.kind, Kind::Sign('.' | '-' | ':' | '–' | '…')));
            let text = self.slice(at, end);
            let plain_words = text.chars().all(|c| c.is_alphabetic() || c == ' ' || c == '_');
            if !inside.last().is_some_and(is_word) || !(ranged || (plain_words && length <= 3)) {
                continue;
            }
            if let Some(named @ Named::List(_)) = self.found.named(text) {
                let range_has_two_ends =
                    length == 1 || plain_words || text.chars().filter(char::is_ascii_digit).count() >= 2;
                if range_has_two_ends
                    && self.foreign_before(at).is_none()
                    && self.foreign_around(at).is_none()
                {
                    return Some(Name { named, text: text.into(), end });
                }
            }
        }
        None
    }

    /// "GPIO4 = D0", "4: D0" at a line's start; the token behind it.
    fn reversed(&mut self, at: usize) -> Option<usize> {
        let starts_line = at == 0 || self.kind(at - 1) == Some(Kind::Newline);
        let text = (self.kind(at)? == Kind::Word).then(|| self.slice(at, at + 1))?;
        let (value, after) = self.value(at)?;
        let pin = value.ok()?;
        let prefixed = pin::names_itself(text) || (text.eq_ignore_ascii_case("gpio") && after == at + 2);
        let leads = starts_line && text.starts_with(|c: char| c.is_ascii_digit());
        if !(prefixed || leads) {
            return None;
        }
        let next = self.between(after);
        let name = self.name(next)?;
        let ends = matches!(
            self.kind(name.end),
            None | Some(Kind::Newline | Kind::Sign(',' | ';' | '(' | '"' | '|'))
        );
        if matches!(name.named, Named::List(_)) || !ends {
            return None;
        }
        let at_bytes = self.span(at, after);
        let section = (self.section_at)(at_bytes.start);
        self.found.pair(name.named, &name.text, pin, at_bytes, section);
        self.touch(at, name.end);
        Some(name.end)
    }

    /// "VSYNC=25", "pixel clock on GPIO 22", "SDA/SCL: 26/27"; the token behind it.
    fn named(&mut self, at: usize) -> Option<usize> {
        let first = self.name(at)?;
        let mut end = first.end;
        let mut names = vec![first];
        while names.len() < 8 {
            let joined = matches!(self.kind(end), Some(Kind::Sign('/' | ',' | '&' | '(' | '+')))
                || (self.kind(end) == Some(Kind::Word) && self.word(end).eq_ignore_ascii_case("and"));
            let Some(next) = joined.then(|| self.name(end + 1)).flatten() else { break };
            end = next.end;
            names.push(next);
        }
        let next = self.between_name_and_value(at, end, names.len());
        let Some((value, mut after)) = self.value(next) else {
            self.report_without_value(at, end, &names);
            return Some(end);
        };
        let mut values = vec![(value, self.span(next, after))];
        while values.len() < names.len() {
            let joined = matches!(self.kind(after), Some(Kind::Sign('/' | ',' | '&' | '+')))
                || (self.kind(after) == Some(Kind::Word) && self.word(after).eq_ignore_ascii_case("and"));
            let Some((value, end)) = joined.then(|| self.value(after + 1)).flatten() else { break };
            values.push((value, self.span(after + 1, end)));
            after = end;
        }
        self.touch(at, after);
        let section = (self.section_at)(self.tokens[at].start as usize);
        let first = Signal::recognise(&names[0].text);
        let same = names.len() == 1
            || (first.is_some() && names.iter().all(|n| Signal::recognise(&n.text) == first));
        if values.len() == names.len() || (values.len() == 1 && same) {
            for (name, (value, at)) in names.into_iter().zip(values) {
                self.found.judge(&name.text, value, at, true, section);
            }
        } else {
            self.found.skip(self.tokens[at].start as usize, Why::NamesAndNumbersDiffer);
        }
        Some(after)
    }

    /// A name with nothing that could be its number: said once for its line, unless the name is a plain word.
    fn report_without_value(&mut self, at: usize, end: usize, names: &[Name]) {
        let telling = names.iter().any(|n| match &n.named {
            Named::Numbered(..) => true,
            Named::Plain(signal, _) => signal.is_bus(),
            Named::List(_) => false,
        });
        if telling && !(at..end).any(|i| self.touched[i]) {
            self.found.skip(self.tokens[at].start as usize, Why::Value(NotAPin::Empty));
            self.touch(at, end);
        }
    }

    /// The longest name that begins here, of up to three words.
    fn name(&self, at: usize) -> Option<Name> {
        if self.kind(at)? != Kind::Word || pin::parse(self.slice(at, at + 1), Stands::Anywhere).is_ok() {
            return None;
        }
        // `data[3]`, `DATA[3]`: an index belongs to its name.
        if self.sign(at + 1) == Some('[') && self.sign(at + 3) == Some(']') {
            let text = self.slice(at, at + 4);
            if let Some(named @ Named::Numbered(..)) = self.found.named(text) {
                return Some(Name { named, text: text.into(), end: at + 4 });
            }
        }
        for words in (1..=3).rev() {
            let end = at + words;
            if !self.are_one_name(at, end) {
                continue;
            }
            let text = self.slice(at, end);
            let known = self.found.named(text).filter(|n| !matches!(n, Named::List(_)));
            let unknown = || {
                (words == 1 && signal::says_pin(text) && signal::core(text).len() > 1)
                    .then(|| crate::gather::other(text))
            };
            let Some(named) = known.or_else(unknown) else { continue };
            if let Some(device) = self.foreign_around(at) {
                let text = format!("{device} {text}");
                return Some(Name { named: crate::gather::other(&text), text, end });
            }
            if let Some(device) = self.foreign_before(at).filter(|_| !signal::is_foreign(text)) {
                let text = self.slice(device, end);
                return Some(Name { named: crate::gather::other(text), text: text.into(), end });
            }
            return Some(Name { named, text: text.into(), end });
        }
        None
    }

    /// Words that may form one name: nothing but blanks between, and no number behind a finished name ("D1 5").
    fn are_one_name(&self, at: usize, end: usize) -> bool {
        let Some(words) = self.tokens.get(at..end) else { return false };
        words.iter().all(|t| t.kind == Kind::Word)
            && (at + 1..end).all(|i| {
                let number = self.word(i).bytes().all(|b| b.is_ascii_digit());
                !(number && (i + 1 < end || self.word(i - 1).ends_with(|c: char| c.is_ascii_digit())))
            })
    }

    fn foreign_around(&self, at: usize) -> Option<&str> {
        let byte = self.tokens[at].start as usize;
        let index = self.foreign.partition_point(|(range, _)| range.end <= byte);
        self.foreign.get(index).filter(|(range, _)| range.contains(&byte)).map(|(_, device)| device.as_str())
    }

    /// "lcd D0", "sd.d0": the word before names another device.
    fn foreign_before(&self, at: usize) -> Option<usize> {
        let before = at.checked_sub(1)?;
        let word = match self.sign(before) {
            Some('.' | '-') => before.checked_sub(1)?,
            _ => before,
        };
        let is_device = self.kind(word) == Some(Kind::Word)
            && signal::is_foreign(self.word(word))
            && pin::parse(self.word(word), Stands::Anywhere).is_err();
        // "flash" alone is a lamp's name too; only close by does it name a device.
        let close_by = || self.tokens[word].end + 1 >= self.tokens[at].start;
        (is_device && (self.found.named(self.word(word)).is_none() || close_by())).then_some(word)
    }

    fn between_name_and_value(&self, at: usize, end: usize, names: usize) -> usize {
        // "D0,4" and "D0\n4": a comma or a line's end counts only between one lone name and one lone number.
        let lone_name = names == 1 && (at == 0 || self.kind(at - 1) == Some(Kind::Newline));
        match self.kind(end) {
            // `set(D0, 1)` is a call, not a pair.
            Some(Kind::Sign(',' | ';'))
                if names == 1 && (lone_name || matches!(self.sign(at - 1), Some(',' | ';' | '"'))) =>
            {
                self.between(end + 1)
            }
            Some(Kind::Newline) if lone_name => {
                let value_is_alone = self
                    .value(end + 1)
                    .is_some_and(|(_, after)| matches!(self.kind(after), None | Some(Kind::Newline)));
                if value_is_alone { end + 1 } else { end }
            }
            // "plate:" with "pin: 27" below it.
            Some(Kind::Sign(':')) if names == 1 && self.kind(end + 1) == Some(Kind::Newline) => {
                let below = self.between(end + 2);
                let says_pin =
                    below > end + 2 && matches!(self.word(end + 2), "pin" | "gpio" | "io" | "number");
                if says_pin { below } else { end }
            }
            _ => self.between(end),
        }
    }

    fn between(&self, at: usize) -> usize {
        let may_stand = |i: usize| match self.sign(i) {
            // Code compares with `==` and `>`; people point with `->` and `=>`.
            Some('=') => self.sign(i + 1) != Some('=') && (i == at || self.sign(i - 1) != Some('=')),
            Some('>') => i > at && matches!(self.sign(i - 1), Some('-' | '=')),
            Some(c) => !matches!(c, ',' | ';' | '.' | '/' | '+' | '#' | '&' | '*' | '<' | '!'),
            None => {
                self.kind(i) == Some(Kind::Word)
                    && BETWEEN_WORDS.contains(&&*self.word(i).to_ascii_lowercase())
            }
        };
        (at..at + BETWEEN_MAX).find(|i| !may_stand(*i)).unwrap_or(at + BETWEEN_MAX)
    }

    /// A pin here, or a number that is out of range; and the token behind it.
    fn value(&self, at: usize) -> Option<(Result<Pinned, NotAPin>, usize)> {
        if self.kind(at)? != Kind::Word {
            return None;
        }
        let is = |i: usize, words: &[&str]| {
            self.kind(i) == Some(Kind::Word) && words.iter().any(|w| self.word(i).eq_ignore_ascii_case(w))
        };
        if (is(at, &["not"]) && is(at + 1, &["connected", "used"]))
            || (is(at, &["n"]) && self.sign(at + 1) == Some('/') && is(at + 2, &["c"]))
        {
            return Some((Ok(None), if self.sign(at + 1) == Some('/') { at + 3 } else { at + 2 }));
        }
        let parsed = match pin::parse(self.word(at), Stands::Anywhere) {
            Err(NotAPin::NoNumber(_))
                if is(at, &["gpio", "io", "pin"]) && self.kind(at + 1) == Some(Kind::Word) =>
            {
                let (value, end) = (self.word(at + 1), at + 2);
                let digits = value.starts_with(|c: char| c.is_ascii_digit());
                return digits.then(|| (pin::parse(value, Stands::Anywhere), end));
            }
            Err(NotAPin::NoNumber(_) | NotAPin::Empty | NotAPin::TwoNumbers(_)) => return None,
            parsed => parsed,
        };
        let touching = |i: usize| self.tokens.get(i).is_some_and(|t| t.start == self.tokens[i - 1].end);
        let has_fraction = self.sign(at + 1) == Some('.')
            && touching(at + 1)
            && touching(at + 2)
            && self.kind(at + 2) == Some(Kind::Word);
        // "5 A" is a current, "5 a" hardly occurs; but a lone letter that begins the next signal's name is one.
        let has_unit = is(at + 1, &UNITS) && self.name(at + 1).is_none();
        (!has_fraction && !has_unit).then_some((parsed, at + 1))
    }

    fn report_untouched_lines(&mut self) {
        let mut line_start = 0;
        for end in (0..=self.tokens.len())
            .filter(|i| matches!(self.kind(*i), None | Some(Kind::Newline)))
            .collect::<Vec<_>>()
        {
            let line = line_start..end;
            let has_word = line.clone().any(|i| self.kind(i) == Some(Kind::Word));
            if has_word && !self.touched[line].iter().any(|t| *t) {
                self.found.skip(self.tokens[line_start].start as usize, Why::NoPair);
            }
            line_start = end + 1;
        }
    }

    fn touch(&mut self, from: usize, to: usize) {
        self.touched[from..to].fill(true);
    }

    fn kind(&self, at: usize) -> Option<Kind> {
        self.tokens.get(at).map(|t| t.kind)
    }

    fn sign(&self, at: usize) -> Option<char> {
        match self.kind(at) {
            Some(Kind::Sign(c)) => Some(c),
            _ => None,
        }
    }

    fn word(&self, at: usize) -> &str {
        self.slice(at, at + 1)
    }

    fn slice(&self, from: usize, to: usize) -> &str {
        &self.text[self.span(from, to)]
    }

    fn span(&self, from: usize, to: usize) -> Range<usize> {
        self.tokens[from].start as usize..self.tokens[to - 1].end as usize
    }
}

/// The numbers of a list in one cell or value ("4, 16, 17 …"), each with its place; empty where it is no list.
pub(crate) fn list_in(text: &str, offset: usize) -> Vec<(Pinned, Range<usize>)> {
    let mut items = Vec::new();
    let mut at = 0;
    for part in text.split([',', ' ', ';', '/', '\t']) {
        let trimmed = part.trim_matches(['[', ']', '{', '}', '"', '(', ')']);
        if let Ok(pin) = pin::parse(trimmed, Stands::Anywhere) {
            items.push((pin, offset + at..offset + at + part.len()));
        } else if !trimmed.is_empty() {
            return Vec::new();
        }
        at += part.len() + 1;
        if items.len() >= LIST_ITEMS_MAX {
            break;
        }
    }
    if items.len() > 1 { items } else { Vec::new() }
}

/// The order of a name for all data lines.
pub(crate) fn list_order(named: Option<&Named>) -> Option<Order> {
    match named {
        Some(Named::List(order)) => Some(*order),
        _ => None,
    }
}
