//! Single values of a sheet's tables: pin numbers, words, quantities, counts, each with its place when it is wrong.
//!
//! `what` is the key as a person would name it (`camera_bus.d0`). Nothing here knows chips or boards.

use crate::text::Problems;
use crate::tree::{Node, Table};

/// One more than the greatest pin number.
pub(super) const PIN_NUMBERS: u8 = 64;

/// A pin as people write it: `4`, `"4"`, `"IO4"`; nothing is reported.
pub(super) fn pin_of(node: Node<'_>) -> Option<u8> {
    let number = match node.text() {
        Some(text) => pin_of_text(text)?,
        None => u8::try_from(node.integer()?).ok()?,
    };
    (number < PIN_NUMBERS).then_some(number)
}

/// The number in `4` or `IO4`.
pub(super) fn pin_of_text(text: &str) -> Option<u8> {
    let text = text.trim();
    let digits = match text.get(..2) {
        Some(start) if start.eq_ignore_ascii_case("IO") => &text[2..],
        _ => text,
    };
    let plain = (1..=2).contains(&digits.len()) && digits.bytes().all(|byte| byte.is_ascii_digit());
    if plain { digits.parse().ok().filter(|number| *number < PIN_NUMBERS) } else { None }
}

/// A pin; anything else is a problem.
pub(super) fn pin(node: Node<'_>, what: &str, problems: &mut Problems) -> Option<u8> {
    let pin = pin_of(node);
    if pin.is_none() {
        let hint = format!("write a number from 0 to {}", PIN_NUMBERS - 1);
        node.problem(problems, format!("`{what}` is no pin: {}", node.written()), Some(hint));
    }
    pin
}

/// One of some words; anything else is a problem with the nearest.
pub(super) fn word<T: Clone>(
    node: Node<'_>,
    what: &str,
    words: &[(&str, T)],
    problems: &mut Problems,
) -> Option<T> {
    let known = || words.iter().map(|(word, _)| *word);
    let Some(text) = node.text() else {
        let hint = format!("known: {}", known().collect::<Vec<_>>().join(", "));
        node.problem(
            problems,
            format!("`{what}` must be a word in quotes, found {}", node.kind()),
            Some(hint),
        );
        return None;
    };
    let found = words.iter().find(|(word, _)| *word == text).map(|(_, value)| value.clone());
    if found.is_none() {
        let near = quantity::nearest(text, known())
            .map_or(String::new(), |near| format!("did you mean \"{near}\"? "));
        let hint = format!("{near}known: {}", known().collect::<Vec<_>>().join(", "));
        node.problem(problems, format!("`{what}` cannot be \"{text}\""), Some(hint));
    }
    found
}

/// A list of words; what is wrong in it is reported and left out.
pub(super) fn words<T: Clone>(
    node: Node<'_>,
    what: &str,
    known: &[(&str, T)],
    problems: &mut Problems,
) -> Vec<T> {
    list(node, what, problems).into_iter().filter_map(|item| word(item, what, known, problems)).collect()
}

/// The items of a list; another form is a problem and gives none.
pub(super) fn list<'t>(node: Node<'t>, what: &str, problems: &mut Problems) -> Vec<Node<'t>> {
    node.list().unwrap_or_else(|| {
        node.problem(problems, format!("`{what}` must be a list in [ ], found {}", node.kind()), None);
        Vec::new()
    })
}

/// The median of a quantity in `unit`, from `low` to `high`.
pub(super) fn quantity(
    node: Node<'_>,
    what: &str,
    unit: &'static str,
    (low, high): (f64, f64),
    problems: &mut Problems,
) -> Option<f64> {
    let Some(text) = node.text() else {
        // The reader of quantities says best what a bare number lacks.
        let bare = node.number().and_then(|number| quantity::parse(&number.to_string(), unit).err());
        let says = match bare {
            Some(error) => format!("`{what}`: {error}"),
            None => format!("`{what}` must be a quantity in quotes, found {}", node.kind()),
        };
        node.problem(problems, says, Some("write it in quotes, with its unit".into()));
        return None;
    };
    match quantity::parse(text, unit) {
        Ok(read) if (low..=high).contains(&read.value) => Some(read.value),
        Ok(read) => {
            let limits = quantity::show_between(low, high, unit);
            node.problem(
                problems,
                format!("`{what}` is {}, outside {limits}", quantity::show(read.value, unit)),
                None,
            );
            None
        }
        Err(error) => {
            node.problem_within(problems, error.at.clone(), error.to_string(), error.hint());
            None
        }
    }
}

/// A quantity under a key, if given.
pub(super) fn take_quantity<'t>(
    table: &mut Table<'t>,
    (part, key): (&str, &'t str),
    unit: &'static str,
    range: (f64, f64),
    problems: &mut Problems,
) -> Option<f64> {
    let node = table.take(key)?;
    quantity(node, &path(part, key), unit, range, problems)
}

/// A word under a key, if given.
pub(super) fn take_word<'t, T: Clone>(
    table: &mut Table<'t>,
    (part, key): (&str, &'t str),
    words: &[(&str, T)],
    problems: &mut Problems,
) -> Option<T> {
    let node = table.take(key)?;
    word(node, &path(part, key), words, problems)
}

/// `true` or `false` under a key, if given.
pub(super) fn take_truth<'t>(
    table: &mut Table<'t>,
    (part, key): (&str, &'t str),
    problems: &mut Problems,
) -> Option<bool> {
    let node = table.take(key)?;
    let truth = node.truth();
    if truth.is_none() {
        let says =
            format!("`{}` must be true or false without quotes, found {}", path(part, key), node.kind());
        node.problem(problems, says, None);
    }
    truth
}

/// A small whole number under a key, if given.
pub(super) fn take_count<'t>(
    table: &mut Table<'t>,
    (part, key): (&str, &'t str),
    highest: u8,
    problems: &mut Problems,
) -> Option<u8> {
    let node = table.take(key)?;
    count(node, &path(part, key), highest, problems)
}

/// A small whole number.
pub(super) fn count(node: Node<'_>, what: &str, highest: u8, problems: &mut Problems) -> Option<u8> {
    let count = node.integer().and_then(|count| u8::try_from(count).ok()).filter(|count| *count <= highest);
    if count.is_none() {
        let says = format!("`{what}` must be a whole number from 0 to {highest}, found {}", node.written());
        node.problem(problems, says, None);
    }
    count
}

fn path(part: &str, key: &str) -> String {
    if part.is_empty() { key.to_string() } else { format!("{part}.{key}") }
}
