//! One value of the field table, read from text: the same for plans, sheets, edits and assumptions.

use crate::fields::{Field, Kind, Value};
use crate::text::Problems;
use crate::tree::Node;
use quantity::{Quantity, Size, Spread};
use std::ops::Range;

/// A value as read: the number that goes into the station, and its spread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// Median, or the index of a choice, or a packed size.
    pub number: f64,
    /// Spread around it; exact for everything that is no quantity.
    pub spread: Spread,
}

/// Why a text is no value of a field.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wrong {
    /// Bytes of the text it is about; the whole where `None`.
    pub at: Option<Range<usize>>,
    /// What was found, one sentence without a full stop.
    pub says: String,
    /// What would be right.
    pub hint: Option<String>,
}

/// Reads the value of `field` from a node; what is wrong goes to `problems` with its place.
pub fn read(field: &Field, node: Node<'_>, problems: &mut Problems) -> Option<Reading> {
    let bare = match field.kind {
        Kind::Number { unit: "1", .. } => node.number().map(|number| format!("{number}")),
        Kind::Count { .. } => node.integer().map(|count| count.to_string()),
        Kind::YesNo => node.truth().map(|truth| truth.to_string()),
        _ => None,
    };
    let quoted = match field.kind {
        Kind::Count { .. } | Kind::YesNo => None,
        _ => node.text(),
    };
    let Some(text) = quoted.map(str::to_string).or(bare) else {
        let (says, hint) = wrong_form(field, node);
        node.problem(problems, says, Some(hint));
        return None;
    };
    match parse(field, &text) {
        Ok(reading) => Some(reading),
        Err(Wrong { at: Some(at), says, hint }) if quoted.is_some() => {
            node.problem_within(problems, at, says, hint);
            None
        }
        Err(Wrong { says, hint, .. }) => {
            node.problem(problems, says, hint);
            None
        }
    }
}

/// What is assumed where nobody tells it: it shows the unit that suits the field, and how large it is.
fn usual(field: &Field) -> Option<String> {
    (!field.assumed.is_empty()).then(|| format!("usual here: {}", field.assumed))
}

/// A spread that nobody means, and what is meant instead: `0.06 ± 0.01 %` of a share, whose % is relative and hence a
/// ten-thousandth of it; `1 ± 5 m` of what cannot be negative.
fn never_meant(field: &Field, text: &str, (value, spread): (f64, &Spread)) -> Option<(String, String)> {
    // Shares below this of the value are finer than any share is known: ours.
    const FINEST: f64 = 1e-3;
    // Beyond so many times the value most of the spread lies below nothing: ours.
    const WIDEST: f64 = 2.0;
    let Kind::Number { unit, low, .. } = field.kind else { return None };
    let Spread::Normal { sigma } = spread else { return None };
    let half = sigma * quantity::normal::Z95;
    if unit == "1" && text.trim_end().ends_with('%') && half < FINEST * value.abs() {
        let says = format!(
            "the % after ± is of the value itself: `{}` is {value} give or take next to nothing",
            text.trim()
        );
        return Some((says, "for a share in per cent write both ends: `0.05 .. 0.07 %`".into()));
    }
    // Decibels and degrees have no zero that means none.
    if low >= 0.0 && !unit.starts_with("dB") && unit != "degC" && value > 0.0 && half > WIDEST * value {
        let says = format!(
            "`{}` cannot be below {}, and most of `{}` lies there",
            field.path,
            quantity::show(low, unit),
            text.trim()
        );
        let value = quantity::show(value, unit);
        return Some((says, format!("known to a factor write `{value} x/ 3`; between two ends `a .. b`")));
    }
    None
}

/// Parses a text as a value of `field`.
///
/// # Errors
/// [`Wrong`] says what was found, where in the text, and what would be right.
pub fn parse(field: &Field, text: &str) -> Result<Reading, Wrong> {
    let exact = |number| Reading { number, spread: Spread::Exact };
    let wrong = |says: String, hint: Option<String>| Wrong { at: None, says, hint };
    match field.kind {
        Kind::Number { unit, low, high } => {
            let Quantity { value, spread } = quantity::parse(text, unit).map_err(|error| Wrong {
                at: Some(error.at.clone()),
                says: error.to_string(),
                hint: error.hint().or_else(|| usual(field)),
            })?;
            if !field.exact.is_empty() && !spread.is_exact() {
                return Err(wrong(
                    format!("`{}` takes one number without a spread: {}", field.path, field.exact),
                    Some(format!("write {} alone", quantity::write(&Quantity::exact(value), unit))),
                ));
            }
            if value >= low && value <= high {
                if let Some((says, hint)) = never_meant(field, text, (value, &spread)) {
                    return Err(wrong(says, Some(hint)));
                }
                return Ok(Reading { number: value, spread });
            }
            let limits = limits(low, high, unit);
            Err(wrong(
                format!("`{}` is {}, outside {limits}", field.path, quantity::show(value, unit)),
                Some(match usual(field) {
                    Some(usual) => format!("{}; {usual}", field.help),
                    None => field.help.to_string(),
                }),
            ))
        }
        Kind::Count { low, high } => match text.trim().parse::<u32>() {
            Ok(count) if (low..=high).contains(&count) => Ok(exact(f64::from(count))),
            _ => Err(wrong(
                format!("`{}` must be a whole number from {low} to {high}, found {text}", field.path),
                Some(field.help.to_string()),
            )),
        },
        Kind::YesNo => match text.trim() {
            "true" => Ok(exact(1.0)),
            "false" => Ok(exact(0.0)),
            _ => Err(wrong(format!("`{}` must be true or false, found `{text}`", field.path), None)),
        },
        Kind::Choice { names } => {
            names.iter().position(|name| *name == text.trim()).map(|index| exact(index as f64)).ok_or_else(
                || {
                    let near = quantity::nearest(text, names.iter().copied())
                        .map_or(String::new(), |near| format!("did you mean \"{near}\"? "));
                    wrong(
                        format!("`{}` cannot be \"{text}\"", field.path),
                        Some(format!("{near}known: {}", names.join(", "))),
                    )
                },
            )
        }
        Kind::Size => text.parse::<Size>().map(|size| exact(size.to_number())).map_err(|error| Wrong {
            at: Some(error.at.clone()),
            says: error.to_string(),
            hint: error.hint(),
        }),
    }
}

/// The two ends of a range of allowed values, told so that both are true.
///
/// ```
/// use station::values::limits;
/// assert_eq!(limits(0.2, 4.0, "m"), "0.2 .. 4.0 m");
/// assert_eq!(limits(1e6, 400e6, "B/s"), "1 MB/s .. 400 MB/s");
/// ```
pub fn limits(low: f64, high: f64, unit: &str) -> String {
    let short = quantity::show_between(low, high, unit);
    let near = |told: f64, is: f64| (told - is).abs() <= 1e-3 * is.abs();
    match quantity::parse(&short, unit).map(|told| told.spread) {
        Ok(Spread::Uniform { low: l, high: h }) if near(l, low) && near(h, high) => short,
        // Rounded to the width of the range, its low end may read as 0.
        _ => format!("{} .. {}", quantity::show(low, unit), quantity::show(high, unit)),
    }
}

fn wrong_form(field: &Field, node: Node<'_>) -> (String, String) {
    let path = field.path;
    match field.kind {
        Kind::Number { unit, .. } => {
            // The reader of quantities says best what a bare number lacks.
            let bare = node.number().and_then(|number| quantity::parse(&number.to_string(), unit).err());
            match bare {
                Some(error) => (format!("`{path}`: {error}"), "in quotes".into()),
                None => (
                    format!("`{path}` must be a quantity in quotes, found {}", node.kind()),
                    field.help.to_string(),
                ),
            }
        }
        Kind::Count { low, high } => (
            format!("`{path}` must be a whole number without quotes, found {}", node.kind()),
            format!("from {low} to {high}"),
        ),
        Kind::YesNo => (
            format!("`{path}` must be true or false without quotes, found {}", node.kind()),
            field.help.to_string(),
        ),
        Kind::Choice { names } => (
            format!("`{path}` must be a word in quotes, found {}", node.kind()),
            format!("known: {}", names.join(", ")),
        ),
        Kind::Size => (
            format!("`{path}` must be a size in quotes, found {}", node.kind()),
            "for instance \"800x600\"".into(),
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fields::field;

    #[test]
    fn spreads_that_nobody_means_are_refused() {
        for (path, text) in
            [("plate.noise", "0.06 ± 0.01 %"), ("cable.run", "1 ± 5 m"), ("callers.distance", "0.6 ± 2 m")]
        {
            let read = parse(field(path), text);
            assert!(read.is_err_and(|wrong| wrong.hint.is_some()), "{path} = {text}");
        }
        for (path, text) in [
            ("plate.noise", "0.06 ± 10 %"),
            ("plate.noise", "0.05 .. 0.07 %"),
            ("cable.run", "5 ± 1 m"),
            ("camera.clock", "20 MHz ± 0.005 %"),
            ("radio.noise_rise", "1 ± 6 dB"),
            ("site.warmer", "0 ± 2 K"),
        ] {
            assert!(parse(field(path), text).is_ok(), "{path} = {text}");
        }
    }
}
