//! What still works when a part is down: as a drawing, and as text of 80 columns.
//!
//! Words and marks first: a table that is read in a power cut, by a lamp, in grey. Reads rows; decides nothing.

use crate::paint::{Paint, Tone as Shade};
use crate::sheet::{self, MARGIN, Title, told};
use crate::svg::{Anchor, Face, Ink, PAGE_WIDTH, Svg, Tone};
use crate::terminal::WIDTH;
use crate::wrap::wrapped;
use budgets::assessment::Assessment;
use budgets::series::{self, WORKS_COLUMNS, Why, WorksRow};
use station::plan::Plan;
use std::fmt::Write as _;

const ROW: f64 = 27.0;
const TOP: f64 = 92.0;
/// Left end of the first column, width of each, and the right end of the hours.
const CELLS: f64 = 170.0;
const WIDE: f64 = 82.0;
/// What the columns mean.
const MEANING: &str = "felt: the caller is told that the press was felt. known: somebody hears of it, in the house or \
    away. seen: a picture comes or is kept. answered: by words; a plan tells no microphone and no loudspeaker, so nobody \
    can speak to the caller. released: the door opens over the network. way out: a person inside gets out.";
const WORDS: &str = "late: once the part is back, since the station keeps the press. opens: the lock lets go by itself. \
    –: there is none. ?: the plan does not tell. power in house: a power cut there. One part is down at a time; hours are a year's.";

/// A cell as faces say it.
fn says(cell: &str) -> &'static str {
    match cell {
        "yes" => "yes",
        "late" => "late",
        "no" => "no",
        "open" => "opens",
        "none" => "–",
        _ => "?",
    }
}

/// What is down, as faces say it: it must be plain whose power.
fn down(fails: &'static str) -> &'static str {
    if fails == "power" { "power in house" } else { fails }
}

/// The drawing, as SVG.
///
/// # Errors
/// A sentence: why there is none.
pub fn svg(plan: &Plan, assessment: &Assessment) -> Result<String, Why> {
    let rows = series::what_still_works(plan)?;
    let verdict = sheet::verdict(assessment, "timing");
    let title = Title::of(plan, "what still works", &verdict);
    let mut svg = Svg::default();
    sheet::head(&mut svg, &title, "What still works while one part is down");
    let right = PAGE_WIDTH - MARGIN;
    svg.text((MARGIN, TOP), Face::SMALL.ink(Ink::Ink).bold(), "down");
    for (at, column) in WORKS_COLUMNS.iter().enumerate() {
        let x = CELLS + WIDE * (at as f64 + 0.5);
        svg.text((x, TOP), Face::SMALL.ink(Ink::Ink).bold().anchor(Anchor::Middle), column);
    }
    svg.text((right, TOP), Face::SMALL.ink(Ink::Ink).bold().anchor(Anchor::End), "down a year");
    let mut y = TOP + 8.0;
    svg.line(&[(MARGIN, y), (right, y)], 1.2, Ink::Ink);
    for row in &rows {
        let base = y + 0.5 * ROW + 4.0;
        svg.text((MARGIN, base), Face::USUAL.bold(), down(row.fails));
        for (at, cell) in row.cells().iter().enumerate() {
            draw_cell(&mut svg, cell, (CELLS + WIDE * at as f64 + 3.0, y + 3.0), base);
        }
        if let Some(hours) = row.hours_a_year {
            svg.text((right, base), Face::SMALL.ink(Ink::Ink).anchor(Anchor::End), &hours_words(hours));
        }
        y += ROW;
        svg.line(&[(MARGIN, y), (right, y)], 0.5, Ink::Faint);
    }
    let lines = [MEANING.to_string(), WORDS.to_string()];
    y = sheet::notes(&mut svg, &lines, y + 26.0);
    y = sheet::title_block(&mut svg, &title, y + 8.0);
    Ok(svg.finish(y + 24.0, &format!("What still works at {}", title.station), &described(&rows)))
}

/// Works: bare paper. Late: hatched. Does not: a framed word on a tone.
fn draw_cell(svg: &mut Svg, cell: &str, corner: (f64, f64), base: f64) {
    let size = (WIDE - 6.0, ROW - 6.0);
    let word = says(cell);
    let middle = corner.0 + 0.5 * size.0;
    let face = Face::USUAL.anchor(Anchor::Middle);
    match cell {
        "no" => {
            svg.cells(Tone::Light, std::iter::once((corner, size)));
            svg.rect(corner, size, 1.2, Ink::Ink, None);
            svg.text((middle, base), face.bold(), word);
        }
        "late" | "open" => {
            svg.cells(Tone::Hatch, std::iter::once((corner, size)));
            // The word stands on paper, not on lines.
            svg.rect(
                (middle - 22.0, corner.1 + 3.0),
                (44.0, size.1 - 6.0),
                0.5,
                Ink::Paper,
                Some(Ink::Paper),
            );
            svg.text((middle, base), face, word);
        }
        _ => svg.text((middle, base), face, word),
    }
}

fn hours_words(hours: f64) -> String {
    told(hours * 3600.0, "s")
}

fn described(rows: &[WorksRow]) -> String {
    let row = |row: &WorksRow| {
        let cells =
            WORKS_COLUMNS.iter().zip(row.cells()).map(|(column, cell)| format!("{column} {}", says(cell)));
        format!("{} down: {}.", down(row.fails), cells.collect::<Vec<_>>().join(", "))
    };
    rows.iter().map(row).collect::<Vec<_>>().join(" ")
}

/// The table for a terminal of 80 columns.
pub fn text(rows: &[WorksRow]) -> String {
    let mut out = String::new();
    let rule = "─".repeat(WIDTH - 2);
    let _ = writeln!(out, " {}", Paint(Shade::Faint, &rule));
    let _ = writeln!(out, " {}", Paint(Shade::Strong, "What still works while one part is down"));
    let heads = WORKS_COLUMNS.map(|column| format!("{column:<9}")).concat();
    let _ = writeln!(out, "{}", Paint(Shade::Faint, &format!(" {:<15} {heads}{:>8}", "down", "a year")));
    for row in rows {
        let cells = row.cells().map(|cell| (cell, format!("{:<9}", says(cell))));
        let cells: String = cells
            .iter()
            .map(|(cell, word)| {
                Paint(if *cell == "no" { Shade::Strong } else { Shade::Plain }, word).to_string()
            })
            .collect();
        let hours = row.hours_a_year.map_or(String::new(), |hours| format!("{:>8}", hours_words(hours)));
        let _ = writeln!(out, "{}", format!(" {:<15} {cells}{hours}", down(row.fails)).trim_end());
    }
    for line in [MEANING, WORDS].iter().flat_map(|text| wrapped(text, WIDTH - 4)) {
        let _ = writeln!(out, "   {}", Paint(Shade::Faint, &line));
    }
    out
}
