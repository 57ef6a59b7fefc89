//! Which column of a table holds signals and which holds pins.
//!
//! Columns are told by what stands in them, headings only break ties: people call the signal column "Pin" as often
//! as the other one. A table whose first row is signals is read sideways. Several equal columns of pins under
//! headings are several boards.

use crate::gather::{Gathered, List};
use crate::loose;
use crate::pin::{self, Stands};
use crate::place::Places;
use crate::problem::Problem;
use crate::rows::{self, Row};
use crate::signal;

pub(crate) fn gather(rows: &[Row<'_>], found: &mut Gathered<'_>, places: &Places<'_>, section: usize) {
    if sideways(rows, found, section) {
        return;
    }
    let Some(layout) = layout(rows, found, places) else {
        for row in rows {
            rows::skip(row, found);
        }
        return;
    };
    let head = rows.first().filter(|r| is_head(r, &layout, found));
    for row in rows.iter().skip(head.is_some() as usize) {
        let before = found.pairs.len() + found.lists.len() + found.skipped.len();
        let mut named = false;
        for (signals, pins) in &layout {
            let (Some(name), Some(value)) = (row.cells.get(*signals), row.cells.get(*pins)) else { continue };
            if name.text.is_empty() {
                continue;
            }
            named = true;
            // Several columns of pins are several boards; one column needs no section of its own.
            let column = if layout.iter().filter(|(s, _)| s == signals).count() > 1 {
                let heading = head.and_then(|h| h.cells.get(*pins)).map_or("", |c| &*c.text);
                found.section(heading, section, row.at)
            } else {
                section
            };
            let meaning = found.named(&name.text);
            if let Some(order) = loose::list_order(meaning.as_ref()) {
                let items = loose::list_in(&value.text, value.at.start);
                if !items.is_empty() {
                    // A quoted or escaped cell is shorter than its source; places must stay inside the source.
                    let items = items
                        .into_iter()
                        .map(|(p, at)| (p, at.start.min(value.at.end)..at.end.min(value.at.end)));
                    found.lists.push(List {
                        name: name.text.to_string(),
                        order,
                        items: items.collect(),
                        section: column,
                    });
                    continue;
                }
            }
            found.judge(
                &name.text,
                pin::parse(&value.text, Stands::InPinColumn),
                value.at.clone(),
                true,
                column,
            );
        }
        let nothing = before == found.pairs.len() + found.lists.len() + found.skipped.len();
        if nothing && !(named && row.cells.iter().any(|c| signal::is_supply(&c.text))) {
            rows::skip(row, found);
        }
    }
}

/// The first row names signals, the rows below give their pins: one board a row.
fn sideways(rows: &[Row<'_>], found: &mut Gathered<'_>, section: usize) -> bool {
    let Some((head, boards)) = rows.split_first() else { return false };
    if head.cells.iter().filter(|c| found.named(&c.text).is_some()).count() < 4 || boards.is_empty() {
        return false;
    }
    for row in boards {
        let pins = head.cells.iter().zip(&row.cells).filter(|(h, _)| found.named(&h.text).is_some());
        if pins.filter(|(_, c)| pin::parse(&c.text, Stands::InPinColumn).is_ok()).count() < 2 {
            rows::skip(row, found);
            continue;
        }
        let label =
            row.cells.first().filter(|_| head.cells.first().is_some_and(|h| found.named(&h.text).is_none()));
        let board = match label {
            Some(label) if boards.len() > 1 => found.section(&label.text, section, row.at),
            _ if boards.len() > 1 => found.section(&format!("row {}", found.sections.len()), section, row.at),
            _ => section,
        };
        for (name, value) in head.cells.iter().zip(&row.cells).skip(label.is_some() as usize) {
            if !name.text.is_empty() && !value.text.is_empty() {
                found.judge(
                    &name.text,
                    pin::parse(&value.text, Stands::InPinColumn),
                    value.at.clone(),
                    false,
                    board,
                );
            }
        }
    }
    true
}

/// Pairs of (signal column, pin column).
fn layout(rows: &[Row<'_>], found: &mut Gathered<'_>, places: &Places<'_>) -> Option<Vec<(usize, usize)>> {
    let width = rows.iter().map(|r| r.cells.len()).max()?;
    let signals_in = |column: usize| {
        rows.iter().filter(|r| r.cells.get(column).is_some_and(|c| found.named(&c.text).is_some())).count()
    };
    let signal_counts: Vec<usize> = (0..width).map(signals_in).collect();
    let most = *signal_counts.iter().max().filter(|n| **n > 0)?;
    // "first of the fullest": in "D0 | Y2 | 4" both name signals, and the first is what the row is about.
    let main = signal_counts.iter().position(|n| *n == most)?;
    let pins: Vec<usize> = (0..width).filter(|c| *c != main && holds_pins(rows, *c, main, found)).collect();
    let all_signals: Vec<usize> =
        (0..width).filter(|c| signal_counts[*c] >= 2 && !pins.contains(c)).collect();
    if let Some(pairs) = side_by_side(&all_signals, &pins) {
        return Some(pairs);
    }
    let ranks: Vec<i32> = pins.iter().map(|c| rank(rows, *c)).collect();
    let best = *ranks.iter().max()?;
    let mut best_columns: Vec<usize> =
        pins.iter().zip(&ranks).filter(|(_, r)| **r == best).map(|(c, _)| *c).collect();
    let heading =
        |c: usize| rows.first().and_then(|r| r.cells.get(c)).map(|c| c.text.to_string()).unwrap_or_default();
    let told_apart = best_columns.iter().all(|c| {
        heading(*c).chars().any(char::is_alphabetic)
            && found.named(&heading(*c)).is_none()
            && pin::parse(&heading(*c), Stands::Anywhere).is_err()
    });
    if best_columns.len() > 1 && !told_apart {
        best_columns = vec![*best_columns.iter().find(|c| **c > main).unwrap_or(&best_columns[0])];
        found
            .problems
            .push(Problem::ColumnGuessed { column: best_columns[0] + 1, line: places.line(rows[0].at) });
    }
    Some(best_columns.into_iter().map(|pins| (main, pins)).collect())
}

/// Two or more blocks beside each other, strictly in turns: name, pin, name, pin … or pin, name, pin, name.
fn side_by_side(signals: &[usize], pins: &[usize]) -> Option<Vec<(usize, usize)>> {
    if signals.len() < 2 || signals.len() != pins.len() {
        return None;
    }
    let mut in_order: Vec<usize> = signals.iter().chain(pins).copied().collect();
    in_order.sort_unstable();
    let alternate = |first: &[usize], second: &[usize]| {
        in_order.iter().step_by(2).eq(first.iter()) && in_order.iter().skip(1).step_by(2).eq(second.iter())
    };
    let alternates = alternate(signals, pins) || alternate(pins, signals);
    alternates.then(|| signals.iter().copied().zip(pins.iter().copied()).collect())
}

/// At least half of the rows that name a signal have a pin here, and at least one a number.
fn holds_pins(rows: &[Row<'_>], column: usize, main: usize, found: &Gathered<'_>) -> bool {
    let (mut pins, mut others, mut numbers) = (0, 0, 0);
    let mut as_silkscreened = false;
    for row in rows {
        let (Some(name), Some(cell)) = (row.cells.get(main), row.cells.get(column)) else { continue };
        let Some(named) = found.named(&name.text) else { continue };
        let is_list = loose::list_order(Some(&named)).is_some() && !loose::list_in(&cell.text, 0).is_empty();
        match pin::parse(&cell.text, Stands::InPinColumn) {
            Ok(Some(_)) => {
                (pins, numbers) = (pins + 1, numbers + 1);
                as_silkscreened |= is_silkscreened(&cell.text);
            }
            Err(_) if is_list => (pins, numbers) = (pins + 1, numbers + 1),
            Ok(None) | Err(pin::NotAPin::OutOfRange(_)) => pins += 1,
            Err(_) if !cell.text.is_empty() => others += 1,
            Err(_) => {}
        }
    }
    // D0..D7 above VSYNC, HREF … is a second column of names, not one of pins with remarks.
    numbers > 0 && pins >= others && !(as_silkscreened && others > 0)
}

/// `D5`: a pin in a column of pins, a signal anywhere else.
fn is_silkscreened(text: &str) -> bool {
    pin::parse(text, Stands::InPinColumn).is_ok() && pin::parse(text, Stands::Anywhere).is_err()
}

/// How likely a column of numbers is the one of pins: by its values' prefixes and its heading.
fn rank(rows: &[Row<'_>], column: usize) -> i32 {
    let texts: Vec<&str> = rows.iter().filter_map(|r| r.cells.get(column)).map(|c| &*c.text).collect();
    let prefixed = texts.iter().any(|t| pin::names_itself(t));
    let heading = texts.first().map(|t| signal::words(t)).unwrap_or_default();
    let says = |words: &[&str]| heading.iter().any(|w| words.contains(&w.as_str()));
    let numbers: Vec<u8> = texts
        .iter()
        .filter_map(|t| pin::parse(t, Stands::Anywhere).ok().flatten())
        .map(pin::PinNumber::get)
        .collect();
    let counts_rows = numbers.len() > 2 && numbers.windows(2).all(|w| w[1] == w[0] + 1);
    let by_heading = match () {
        () if says(&["connector", "position", "row", "order", "pad", "header", "ffc", "line"])
            || texts.first() == Some(&"#") =>
        {
            -2
        }
        () if says(&["gpio"]) => 3,
        () if says(&["io"]) => 2,
        () if says(&["pin", "number"]) => 1,
        () => 0,
    };
    let silkscreened = texts.iter().any(|t| is_silkscreened(t) && t.starts_with(['D', 'd']));
    4 * i32::from(prefixed) + by_heading
        - 4 * i32::from(silkscreened)
        - 2 * i32::from(counts_rows && by_heading < 2)
}

/// A first row without a pin in any pin column, and without a signal beside it.
fn is_head(row: &Row<'_>, layout: &[(usize, usize)], found: &Gathered<'_>) -> bool {
    layout.iter().all(|(signals, pins)| {
        let is_signal = row
            .cells
            .get(*signals)
            .is_some_and(|c| found.named(&c.text).is_some_and(|n| !matches!(n, signal::Named::List(_))));
        let is_pin = row.cells.get(*pins).is_some_and(|c| pin::parse(&c.text, Stands::InPinColumn).is_ok());
        !is_signal && !is_pin
    })
}
