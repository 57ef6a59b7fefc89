//! Marked lines: a line of the maker's own file that ends in `dw: KEY` in a comment gives KEY its number.
//!
//! ```text
//! #define PLATE_PIN   27           // dw: plate.pin
//! idle_ms = 10000                  ; dw: idle.every in ms
//! lamp(4, 200);                    // dw: lamp.pin #1
//! camera(800, 600);                // dw: camera.size.width #1 dw: camera.size.height #2
//! ```
//!
//! ```ebnf
//! line = code , comment sign , { any } , mark , { mark } ;
//! mark = "dw:" , key , [ "in" , unit ] , [ "#" , count ] ;
//! ```
//!
//! Finds the mark, the number and its place, and puts other numbers there; which keys exist and what a number may be,
//! the caller knows. Reading for a comparison and writing share this one grammar.

use std::fmt;
use std::ops::Range;

use crate::place;

/// Marks of one text that are read: more than any plan has keys.
pub const MARKS_MAX: usize = 1_000;
/// Marks are typed by hand on lines that fit a screen; a longer line is not searched.
const LINE_BYTES_MAX: usize = 4_096;
const SIGN: &str = "dw:";
const LEADERS: [&str; 8] = ["//", "/*", "<!--", "--", "#", ";", "%", "'"];

/// A mark, and the number of its line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mark {
    /// The plan's key.
    pub key: String,
    /// Bytes of the key in the whole text.
    pub at: Range<usize>,
    /// The word behind `in`, as in `dw: idle.every in ms`.
    pub unit: Option<String>,
    /// From 1.
    pub line: usize,
    /// The line, trimmed and cut to 100 characters.
    pub line_text: String,
    /// The number that belongs to the key, or why it is not told.
    pub number: Result<Marked, MarkError>,
}

/// The number of a marked line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Marked {
    /// As written, without what stands around it: `27` of `GPIO27`, `10000` of `10000ms`.
    pub text: String,
    /// Its bytes in the whole text, so that it alone can be replaced.
    pub span: Range<usize>,
    /// The letters directly behind it, as `ms` of `10000ms`; empty where none are.
    pub letters: String,
}

impl Marked {
    /// The number, decimal or `0x`; `None` for digits that are none, such as `0b101` or `1.2.3`.
    pub fn value(&self) -> Option<f64> {
        let digits = self.text.replace('_', "");
        match self.hex() {
            Some(hex) => i64::from_str_radix(hex, 16).ok().map(|whole| whole as f64),
            None => digits.parse().ok(),
        }
    }

    /// The number as a whole one.
    pub fn integer(&self) -> Option<i64> {
        // Beyond 2^53 neighbours share an f64, and no pin is there.
        self.value().filter(|value| value.fract() == 0.0 && value.abs() < 9e15).map(|value| value as i64)
    }

    /// The digits behind `0x`.
    pub fn hex(&self) -> Option<&str> {
        self.text.strip_prefix("0x").or_else(|| self.text.strip_prefix("0X"))
    }
}

/// Why a marked line does not tell its number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum MarkError {
    /// No number before the mark.
    NoNumber,
    /// Digits that are no number that can be told.
    Unclear {
        /// As written.
        text: String,
    },
    /// Several numbers and no `#2` that says which.
    Which {
        /// The numbers as written.
        numbers: Vec<String>,
    },
    /// `#n` counts beyond the numbers of the line.
    NoSuch {
        /// The count asked for, from 1.
        wanted: usize,
        /// How many there are.
        count: usize,
    },
}

impl fmt::Display for MarkError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            MarkError::NoNumber => f.write_str("no number stands before the mark"),
            MarkError::Unclear { text } => {
                write!(f, "`{text}` is neither a decimal number nor one with 0x")
            }
            MarkError::Which { numbers } => {
                write!(
                    f,
                    "{} numbers on the line ({}); say which with #1 behind the key",
                    numbers.len(),
                    numbers.join(", ")
                )
            }
            MarkError::NoSuch { wanted, count } => write!(f, "#{wanted} asked for, but the line has {count}"),
        }
    }
}

/// All marks of a text, in order; at most [`MARKS_MAX`].
///
/// ```
/// let found = pintable::marks("#define PLATE_PIN 27 // dw: plate.pin");
/// assert_eq!(found[0].key, "plate.pin");
/// assert_eq!(found[0].number.as_ref().unwrap().integer(), Some(27));
/// ```
pub fn marks(text: &str) -> Vec<Mark> {
    let mut at = 0;
    let mut marks = Vec::new();
    for (index, line) in text.split('\n').enumerate() {
        if line.len() <= LINE_BYTES_MAX && marks.len() < MARKS_MAX {
            marks.extend(marks_of(line, at, index + 1));
        }
        at += line.len() + 1;
    }
    marks.truncate(MARKS_MAX);
    marks
}

/// The text with other numbers in some places; every other byte stays. Spans that overlap or do not fit are left out.
///
/// ```
/// let text = "wait = \"10000ms\" # dw: idle.every";
/// let number = pintable::marks(text)[0].number.clone().unwrap();
/// assert_eq!(pintable::replaced(text, &[(number.span, "500".into())]), "wait = \"500ms\" # dw: idle.every");
/// ```
pub fn replaced(text: &str, numbers: &[(Range<usize>, String)]) -> String {
    let mut sorted: Vec<&(Range<usize>, String)> = numbers.iter().collect();
    sorted.sort_by_key(|(span, _)| span.start);
    let (mut out, mut done) = (String::with_capacity(text.len()), 0);
    for (span, number) in sorted {
        let Some(kept) = text.get(done..span.start) else { continue };
        if text.get(span.clone()).is_some() {
            out.push_str(kept);
            out.push_str(number);
            done = span.end;
        }
    }
    out + &text[done..]
}

/// The marks of a line; those behind the first stand in the same comment.
fn marks_of(line: &str, offset: usize, line_number: usize) -> Vec<Mark> {
    let signs: Vec<usize> = line
        .match_indices(SIGN)
        .map(|(at, _)| at)
        .filter(|at| !line[..*at].ends_with(|c: char| c.is_alphanumeric() || c == '_'))
        .collect();
    let first = signs.iter().enumerate().find_map(|(i, at)| Some((i, comment_start(&line[..*at])?)));
    // A lone return in the middle ends a line for some editors and not for others: whose number it is, nobody can tell.
    let Some((first, leader)) = first.filter(|_| !line.trim_end_matches('\r').contains('\r')) else {
        return Vec::new();
    };
    let numbers = numbers(&line[..leader], offset);
    let ends = signs[first + 1..].iter().copied().chain([line.len()]);
    signs[first..]
        .iter()
        .zip(ends)
        .filter_map(|(sign, end)| {
            let from = sign + SIGN.len();
            let told = line[from..end].trim_start();
            let key_at = end - told.len();
            let key_end = told
                .find(|c: char| !(c.is_ascii_alphanumeric() || matches!(c, '.' | '_' | '-')))
                .unwrap_or(told.len());
            let key = told[..key_end].trim_end_matches(['.', '-']);
            let words: Vec<&str> = told[key_end..].split_whitespace().collect();
            let which = words.iter().find_map(|word| word_of(word).strip_prefix('#')?.parse::<usize>().ok());
            let unit = words.windows(2).find(|pair| pair[0] == "in").map(|pair| word_of(pair[1]).to_string());
            (!key.is_empty()).then(|| Mark {
                key: key.into(),
                at: offset + key_at..offset + key_at + key.len(),
                unit: unit.filter(|unit| !unit.is_empty()),
                line: line_number,
                line_text: place::clip(line.trim()),
                number: chosen(&numbers, which),
            })
        })
        .collect()
}

/// A word of a mark without what closes the comment or the text around it.
fn word_of(word: &str) -> &str {
    let word = word.strip_suffix("*/").or_else(|| word.strip_suffix("-->")).unwrap_or(word);
    word.trim_end_matches([',', ';', '"', '\''])
}

fn chosen(numbers: &[Marked], which: Option<usize>) -> Result<Marked, MarkError> {
    let number = match (which, numbers) {
        (Some(wanted), _) => wanted
            .checked_sub(1)
            .and_then(|index| numbers.get(index))
            .ok_or(MarkError::NoSuch { wanted, count: numbers.len() })?,
        (None, []) => return Err(MarkError::NoNumber),
        (None, [only]) => only,
        (None, _) => {
            return Err(MarkError::Which {
                numbers: numbers.iter().map(|number| number.text.clone()).collect(),
            });
        }
    };
    match number.value() {
        Some(_) => Ok(number.clone()),
        None => Err(MarkError::Unclear { text: number.text.clone() }),
    }
}

/// Where the comment that holds the mark begins: directly before it, else the last comment sign behind a blank.
fn comment_start(before: &str) -> Option<usize> {
    let trimmed = before.trim_end();
    if let Some(leader) = LEADERS.iter().find(|l| trimmed.ends_with(**l)) {
        // `///` and `##` lead comments as well: take the whole run.
        let sign = leader.chars().next()?;
        return Some(trimmed.trim_end_matches(leader).trim_end_matches(sign).len());
    }
    LEADERS
        .iter()
        .filter(|l| **l != "'")
        .filter_map(|l| {
            before.match_indices(l).map(|(i, _)| i).find(|i| *i == 0 || before[..*i].ends_with([' ', '\t']))
        })
        .max()
        .filter(|start| *start > 0)
}

/// The numbers of a line: words of digits, digits behind a pin's prefix, digits before unit letters, both of `800x600`.
/// Digits inside a name (`D0`, `uint8_t`, `Y2_GPIO_NUM`) are the name's. Digits that are no number (`0b101`) are found
/// with the whole of their word, so that they count and can be refused.
fn numbers(line: &str, offset: usize) -> Vec<Marked> {
    let is_word = |c: char| c.is_alphanumeric() || c == '_' || c == '.';
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(start) = line[at..].find(is_word).map(|i| at + i) {
        let word_end = |from: usize| line[from..].find(|c| !is_word(c)).map_or(line.len(), |i| from + i);
        let small = line[start..word_end(start)].to_ascii_lowercase();
        let prefix = ["gpio_num_", "gpio", "io", "pin", "p"]
            .iter()
            .find(|p| small.strip_prefix(**p).is_some_and(|r| r.starts_with(|c: char| c.is_ascii_digit())));
        let digits_at = start + prefix.map_or(0, |p| p.len());
        if !line[digits_at..].starts_with(|c: char| c.is_ascii_digit()) {
            at = word_end(start);
            continue;
        }
        let minus = digits_at == start
            && line[..start].ends_with('-')
            && !line[..start - 1].ends_with(|c: char| is_word(c) || matches!(c, ')' | ']'));
        let from = digits_at - usize::from(minus);
        let mut end = digits_at + number_bytes(&line[digits_at..]);
        at = word_end(end);
        let behind = &line[end..at];
        let mut letters = behind;
        if let Some(second) = behind.strip_prefix(['x', 'X'])
            && second.starts_with(|c: char| c.is_ascii_digit())
        {
            // The second number of a size begins the next word.
            at = end + 1;
            letters = "";
        } else if behind.contains(|c: char| !c.is_alphabetic()) && behind != "." {
            (end, letters) = (at, "");
        }
        let letters = letters.trim_end_matches('.').into();
        found.push(Marked { text: line[from..end].into(), span: offset + from..offset + end, letters });
    }
    found
}

/// How long the number is that a text of a digit begins with: `0x1B`, `10_000`, `1.5`, `2e-6`.
fn number_bytes(text: &str) -> usize {
    let run = |from: usize, is: fn(char) -> bool| {
        let rest = text.get(from..).unwrap_or("");
        let length = rest.find(|c| !(is(c) || c == '_')).unwrap_or(rest.len());
        rest[..length].trim_end_matches('_').len()
    };
    if text.starts_with("0x") || text.starts_with("0X") {
        return 2 + run(2, |c| c.is_ascii_hexdigit());
    }
    let digit = |c: char| c.is_ascii_digit();
    let mut length = run(0, digit);
    let has_digit = |at: usize| text.as_bytes().get(at).is_some_and(u8::is_ascii_digit);
    if text[length..].starts_with('.') && has_digit(length + 1) {
        length += 1 + run(length + 1, digit);
    }
    if text[length..].starts_with(['e', 'E']) {
        let sign = usize::from(text[length + 1..].starts_with(['+', '-']));
        if has_digit(length + 1 + sign) {
            length += 1 + sign + run(length + 1 + sign, digit);
        }
    }
    length
}

#[cfg(test)]
mod tests {
    use super::{MarkError, marks, replaced};

    #[test]
    fn the_number_of_a_marked_line_is_the_keys() {
        let table = [
            ("#define PLATE_PIN   27           // dw: plate.pin", "plate.pin", "27"),
            ("idle_ms = 10000                  ; dw: idle.every in ms", "idle.every", "10000"),
            ("pin: GPIO27  # dw: plate.pin", "plate.pin", "27"),
            ("wait = \"10000ms\" # dw: idle.every", "idle.every", "10000"),
            ("offset = -3 -- dw: a.b", "a.b", "-3"),
            ("x = 0x1B; /* dw: plate.pin */", "plate.pin", "0x1B"),
            ("gain = 1.5 // a note, dw: gain", "gain", "1.5"),
            ("uint8_t Y2_GPIO_NUM = 5; // dw: d0", "d0", "5"),
            ("lamp(4, 200); // dw: lamp.fade #2", "lamp.fade", "200"),
        ];
        for (line, key, number) in table {
            let text = format!("first\n{line}");
            let found = marks(&text);
            assert_eq!(found.len(), 1, "{line}");
            let marked = found[0].number.as_ref().unwrap();
            assert_eq!(
                (found[0].key.as_str(), marked.text.as_str(), found[0].line),
                (key, number, 2),
                "{line}"
            );
            assert_eq!(&text[marked.span.clone()], number);
        }
        assert_eq!(marks("idle_ms = 1 ; dw: idle.every in ms")[0].unit.as_deref(), Some("ms"));
    }

    /// Each is one number of the language that it is written in; half of one replaced would be another number.
    #[test]
    fn a_number_is_taken_whole_or_refused() {
        for (line, number, value) in [
            ("clock = 20e6 // dw: k", "20e6", 2e7),
            ("step = 2.5e-3; // dw: k", "2.5e-3", 2.5e-3),
            ("let wait = 10_000; // dw: k", "10_000", 1e4),
            ("x = 0x1BUL; /* dw: k */", "0x1B", 27.0),
            ("x = 5. // dw: k", "5", 5.0),
        ] {
            let marked = marks(line)[0].number.clone().unwrap();
            assert_eq!((marked.text.as_str(), marked.value()), (number, Some(value)), "{line}");
        }
        for line in ["x = 0b101 // dw: k", "v = 1.2.3 // dw: k", "r = 4k7 // dw: k", "x = 0x // dw: k"] {
            let refused = marks(line)[0].number.clone().unwrap_err();
            assert!(matches!(refused, MarkError::Unclear { .. }), "{line}: {refused}");
        }
    }

    #[test]
    fn a_line_may_have_a_mark_for_each_of_its_numbers() {
        let text = "size = 800x600 # dw: camera.size.width #1 dw: camera.size.height #2\r\n";
        let found: Vec<_> =
            marks(text).into_iter().map(|mark| (mark.key, mark.number.unwrap().text)).collect();
        assert_eq!(
            found,
            [("camera.size.width".into(), "800".into()), ("camera.size.height".into(), "600".into())]
        );
        let marked = marks("idle = 10000ms /* dw: idle.every in ms*/").remove(0);
        assert_eq!((marked.unit.as_deref(), marked.number.unwrap().letters.as_str()), (Some("ms"), "ms"));
        assert!(marks("a = 1 // dw: x\rb = 2 // dw: y").is_empty(), "whose number is it?");
    }

    proptest::proptest! {
        /// The law of marked lines: whatever text it is, only the numbers change, and putting back what was there
        /// gives the old text.
        #[test]
        fn everything_but_the_number_stays(text in "([ -~é\t]{0,30}[0-9]{1,4}[ -~]{0,8}( // dw: [a-z.]{1,9}( #[12])?)?\r?\n){0,6}") {
            let mut spans: Vec<_> = marks(&text).into_iter().filter_map(|mark| mark.number.ok()).collect();
            spans.sort_by_key(|number| number.span.start);
            spans.dedup_by_key(|number| number.span.clone());
            let new: Vec<_> = spans.iter().map(|number| (number.span.clone(), "7654321".to_string())).collect();
            let changed = replaced(&text, &new);
            let (mut added, mut taken) = (0, 0);
            let back: Vec<_> = spans
                .iter()
                .map(|number| {
                    let start = number.span.start + added - taken;
                    (added, taken) = (added + 7, taken + number.span.len());
                    (start..start + 7, number.text.clone())
                })
                .collect();
            for (span, _) in &back {
                proptest::prop_assert_eq!(&changed[span.clone()], "7654321");
            }
            proptest::prop_assert_eq!(replaced(&changed, &back), text);
        }
    }

    #[test]
    fn a_line_that_does_not_say_which_number_is_refused() {
        let says = |line: &str| marks(line)[0].number.as_ref().unwrap_err().to_string();
        assert_eq!(
            says("lamp(4, 200); // dw: lamp.pin"),
            "2 numbers on the line (4, 200); say which with #1 behind the key"
        );
        assert_eq!(says("lamp(4, 200); // dw: lamp.pin #3"), "#3 asked for, but the line has 2");
        assert_eq!(says("lamp(); // dw: lamp.pin"), "no number stands before the mark");
        assert!(marks("the dw: sign outside a comment 5").is_empty());
    }
}
