//! A comparison as a table of 80 columns: one row a combination, the unbeaten ones marked.

use crate::paint::{Paint, Tone};
use crate::terminal::WIDTH;
use crate::wrap::wrapped;
use budgets::compare::{BudgetCell, Comparison, Row};
use std::fmt::Write as _;

/// The table and what its marks mean.
pub fn table(comparison: &Comparison) -> String {
    let mut out = String::new();
    let name =
        if comparison.plan.is_empty() { "COMPARISON".to_string() } else { comparison.plan.to_uppercase() };
    let _ = writeln!(out, " {}", Paint(Tone::Strong, &name));
    let names: Vec<&str> =
        comparison.rows.first().map_or(Vec::new(), |row| row.budgets.iter().map(|b| b.name).collect());
    let priced = comparison.rows.iter().any(|row| row.price.is_some());
    // The choices must stay readable: the more budgets, the shorter their words.
    let budget_width = match names.len() {
        0..8 => 6,
        8..10 => 4,
        _ => 3,
    };
    let fixed = 4 + names.len() * (budget_width + 1) + 6 + if priced { 16 } else { 0 };
    let room = WIDTH.saturating_sub(fixed).max(12);
    let widths = value_widths(comparison, room);
    let mut head = String::from("   ");
    for (path, width) in comparison.paths.iter().zip(&widths) {
        let _ = write!(head, " {}", cell(path.strip_suffix(".sheet").unwrap_or(path), *width));
    }
    for name in &names {
        let short = if budget_width == 3 { name.get(..3).unwrap_or(name) } else { name };
        let _ = write!(head, " {}", cell(short, budget_width));
    }
    let _ = write!(head, " {:>5}", "all");
    if priced {
        let _ = write!(head, " {:>9} {:>5}", "price", "days");
    }
    let _ = writeln!(out, "{}", Paint(Tone::Faint, head.trim_end()));
    for row in &comparison.rows {
        let _ = writeln!(out, "{}", line(row, &widths, budget_width, priced).trim_end());
    }
    let dated = if priced { " Prices and days are those of your own sheets." } else { "" };
    let note = format!(
        "▸ unbeaten: no other row is at least as good in every budget{} and better in one. \
         no: does not fit · ?: not told{} · all: share of builds in which everything fits.{dated}",
        if priced { ", price and days" } else { "" },
        if budget_width > 4 { "" } else { " · fit: fits · tgt: tight" }
    );
    for line in wrapped(&note, WIDTH - 2) {
        let _ = writeln!(out, " {}", Paint(Tone::Faint, &line));
    }
    out
}

fn line(row: &Row, widths: &[usize], budget_width: usize, priced: bool) -> String {
    let mark = if row.unbeaten { " ▸ " } else { "   " };
    let mut line = Paint(Tone::Accent, mark).to_string();
    for (value, width) in row.values.iter().zip(widths) {
        let text = cell(value, *width);
        let _ = write!(line, " {}", if row.unbeaten { Paint(Tone::Strong, &text).to_string() } else { text });
    }
    for budget in &row.budgets {
        let tone = if budget.verdict == "over" { Tone::Accent } else { Tone::Plain };
        let _ = write!(line, " {}", Paint(tone, &cell(&word(budget, budget_width), budget_width)));
    }
    let all = row.fits_probability.map_or(String::new(), |p| match p {
        p if p >= 0.995 => ">99%".into(),
        p if p < 0.005 => "<1%".into(),
        p => format!("{:.0}%", p * 100.0),
    });
    let _ = write!(line, " {all:>5}");
    if priced {
        let price = row.price.map_or("?".to_string(), |price| format!("{price:.2}{}", spaced(&row.currency)));
        let days = row.days.map_or("?".to_string(), |days| format!("{days:.0}"));
        let _ = write!(line, " {price:>9} {days:>5}");
    }
    line
}

fn spaced(currency: &str) -> String {
    if currency.is_empty() { String::new() } else { format!(" {currency}") }
}

/// The verdict in a word; three letters where twelve budgets stand side by side.
fn word(cell: &BudgetCell, width: usize) -> String {
    let word = match (cell.verdict, width > 4) {
        ("fits", true) => "fits",
        ("fits", false) => "fit",
        ("tight", true) => "tight",
        ("tight", false) => "tgt",
        ("unknown", _) => "?",
        _ => "no",
    };
    word.into()
}

/// Widths of the value columns: what they need, cut evenly to the room there is.
fn value_widths(comparison: &Comparison, room: usize) -> Vec<usize> {
    let count = comparison.paths.len().max(1);
    let most = (room / count).saturating_sub(1).max(6);
    (0..comparison.paths.len())
        .map(|at| {
            let values = comparison.rows.iter().filter_map(|row| row.values.get(at));
            let title = comparison.paths[at].strip_suffix(".sheet").unwrap_or(&comparison.paths[at]);
            values.map(|value| value.chars().count()).max().unwrap_or(0).max(title.chars().count()).min(most)
        })
        .collect()
}

/// A text cut or padded to a width.
fn cell(text: &str, width: usize) -> String {
    let length = text.chars().count();
    if length > width {
        let cut: String = text.chars().take(width.saturating_sub(1)).collect();
        return format!("{cut}…");
    }
    format!("{text}{}", " ".repeat(width - length))
}
