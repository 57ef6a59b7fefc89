//! Marked lines: a line of the maker's own file that ends in `dw: KEY` in a comment gives KEY its number.
//!
//! ```text
//! #define PLATE_PIN   27           // dw: plate.pin
//! idle_ms = 10000                  ; dw: idle.every in ms
//! lamp(4, 200);                    // dw: lamp.pin #1
//! ```
//!
//! Finds the mark, the number and its place; which keys exist and what a number may be, the caller knows.

use std::fmt;
use std::ops::Range;

use crate::place;

/// More marks than any plan has keys.
const MARKS_MAX: usize = 1_000;
/// Marks are typed by hand on lines that fit a screen; a longer line is not searched.
const LINE_BYTES_MAX: usize = 4_096;
const LEADERS: [&str; 8] = ["//", "/*", "<!--", "--", "#", ";", "%", "'"];

/// A line with a mark.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mark {
    /// The plan's key.
    pub key: String,
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
}

impl Marked {
    /// The number as a whole one, decimal or `0x`.
    pub fn integer(&self) -> Option<i64> {
        match self.text.strip_prefix("0x").or_else(|| self.text.strip_prefix("0X")) {
            Some(hex) => i64::from_str_radix(hex, 16).ok(),
            None => self.text.parse().ok(),
        }
    }
}

/// Why a marked line does not tell its number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum MarkError {
    /// No number before the mark.
    NoNumber,
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

/// All marked lines of a text, in order; at most 1,000.
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
            marks.extend(mark_of(line, at, index + 1));
        }
        at += line.len() + 1;
    }
    marks
}

fn mark_of(line: &str, offset: usize, number: usize) -> Option<Mark> {
    let sign = line.rfind("dw:")?;
    let before = &line[..sign];
    let leader = comment_start(before)?;
    let rest = line[sign + 3..].trim_start();
    let key_end = rest
        .find(|c: char| !(c.is_ascii_alphanumeric() || matches!(c, '.' | '_' | '-')))
        .unwrap_or(rest.len());
    let key = rest[..key_end].trim_end_matches(['.', '-']);
    if key.is_empty() {
        return None;
    }
    let words: Vec<&str> = rest[key_end..].split_whitespace().collect();
    let unit = words.windows(2).find(|w| w[0] == "in").map(|w| w[1].to_string());
    let which = words.iter().find_map(|w| w.strip_prefix('#')?.parse::<usize>().ok());
    let numbers = numbers(&line[..leader], offset);
    let chosen = match (which, numbers.len()) {
        (Some(n), count) => n
            .checked_sub(1)
            .and_then(|i| numbers.get(i))
            .cloned()
            .ok_or(MarkError::NoSuch { wanted: n, count }),
        (None, 0) => Err(MarkError::NoNumber),
        (None, 1) => Ok(numbers[0].clone()),
        (None, _) => Err(MarkError::Which { numbers: numbers.into_iter().map(|n| n.text).collect() }),
    };
    Some(Mark { key: key.into(), unit, line: number, line_text: place::clip(line.trim()), number: chosen })
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

/// The numbers of a line: whole words of digits, digits behind a pin's prefix, digits before unit letters. Digits
/// inside a name (`D0`, `uint8_t`, `Y2_GPIO_NUM`) are the name's.
fn numbers(line: &str, offset: usize) -> Vec<Marked> {
    let mut found = Vec::new();
    let is_word = |c: char| c.is_alphanumeric() || c == '_' || c == '.';
    let mut at = 0;
    while at < line.len() {
        let Some(start) = line[at..].find(is_word).map(|i| at + i) else { break };
        let end = line[start..].find(|c| !is_word(c)).map_or(line.len(), |i| start + i);
        let word = &line[start..end];
        let small = word.to_ascii_lowercase();
        let prefix = ["gpio_num_", "gpio", "io", "pin", "p"]
            .iter()
            .find(|p| small.strip_prefix(**p).is_some_and(|r| r.starts_with(|c: char| c.is_ascii_digit())));
        let digits_at = start + prefix.map_or(0, |p| p.len());
        let digits = &line[digits_at..end];
        let length = if digits.starts_with("0x") || digits.starts_with("0X") {
            2 + digits[2..].find(|c: char| !c.is_ascii_hexdigit()).unwrap_or(digits.len() - 2)
        } else {
            digits.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(digits.len())
        };
        let length = digits[..length].trim_end_matches('.').len();
        if digits.starts_with(|c: char| c.is_ascii_digit()) {
            let minus = digits_at == start
                && line[..start].ends_with('-')
                && !line[..start - 1].ends_with(|c: char| c.is_alphanumeric() || c == ')');
            let from = digits_at - usize::from(minus);
            found.push(Marked {
                text: line[from..digits_at + length].into(),
                span: offset + from..offset + digits_at + length,
            });
        }
        at = end;
    }
    found
}

#[cfg(test)]
mod tests {
    use super::marks;

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
