//! Rows of cells: CSV, TSV and Markdown cut into [`Row`]s, which `table` reads.

use std::borrow::Cow;
use std::ops::Range;

use crate::gather::{Gathered, ROOT};
use crate::place::Places;
use crate::reading::Why;
use crate::{loose, table};

/// Cells of a row and rows of a table beyond these are not looked at.
pub(crate) const CELLS_MAX: usize = 64;
pub(crate) const ROWS_MAX: usize = 10_000;

/// One cell, its text trimmed and unescaped.
pub(crate) struct Cell<'t> {
    pub(crate) text: Cow<'t, str>,
    pub(crate) at: Range<usize>,
}

/// One row; `at` is where its line begins.
pub(crate) struct Row<'t> {
    pub(crate) at: usize,
    pub(crate) cells: Vec<Cell<'t>>,
}

/// Reads a text with one row a line; several tables may follow each other with empty lines between.
pub(crate) fn separated(text: &str, found: &mut Gathered<'_>, places: &Places<'_>, delimiter: char) {
    let mut rows = Vec::new();
    for (at, line) in lines(text).take(ROWS_MAX) {
        if !line.trim().is_empty() && !line.trim_start().starts_with('#') {
            rows.push(Row { at, cells: cells(line, at, delimiter) });
        }
    }
    table::gather(&rows, found, places, ROOT);
}

/// Reads the tables of a Markdown text; each belongs to the heading above it. Other lines are read as loose text.
pub(crate) fn markdown(text: &str, found: &mut Gathered<'_>, places: &Places<'_>) {
    let mut heading = String::new();
    let mut rows: Vec<Row<'_>> = Vec::new();
    let mut rest = text.as_bytes().to_vec();
    let mut tables = 0;
    let mut flush = |rows: &mut Vec<Row<'_>>, heading: &str, found: &mut Gathered<'_>| {
        if let Some(first) = rows.first() {
            tables += 1;
            let name = if heading.is_empty() { format!("table {tables}") } else { heading.to_string() };
            let section = found.section(&name, ROOT, first.at);
            table::gather(rows, found, places, section);
            rows.clear();
        }
    };
    let mut blank = |at: usize, line: &str| rest[at..at + line.len()].fill(b' ');
    for (at, line) in lines(text).take(ROWS_MAX) {
        let trimmed = line.trim();
        if is_markdown_rule(line) {
            blank(at, line);
        } else if trimmed.contains('|') {
            blank(at, line);
            rows.push(Row { at, cells: pipe_cells(line, at) });
        } else {
            flush(&mut rows, &heading, found);
            if trimmed.starts_with('#') || (trimmed.starts_with("**") && trimmed.ends_with("**")) {
                heading = trimmed.trim_matches(['#', '*', ' ', ':']).to_string();
                blank(at, line);
            }
        }
    }
    flush(&mut rows, &heading, found);
    loose::gather(&String::from_utf8(rest).unwrap_or_default(), found);
}

/// The rule below a Markdown table's head: pipes, dashes and colons only, at least one pipe and one dash.
pub(crate) fn is_markdown_rule(line: &str) -> bool {
    let line = line.trim();
    line.contains('|')
        && line.contains('-')
        && line.chars().all(|c| matches!(c, '|' | '-' | ':' | ' ' | '\t'))
}

/// Semicolon where it parts at least as many cells as the comma does, as spreadsheets in much of Europe write.
pub(crate) fn delimiter(text: &str) -> char {
    let count = |d| text.lines().take(50).map(|l| l.matches(d).count()).sum::<usize>();
    let (commas, semicolons) = (count(','), count(';'));
    if semicolons > 0 && semicolons >= commas { ';' } else { ',' }
}

/// Cuts a line at a delimiter. Quotes hold delimiters together, `""` inside them is one quote; an unclosed quote
/// ends with its line.
pub(crate) fn cells(line: &str, offset: usize, delimiter: char) -> Vec<Cell<'_>> {
    let mut cells = Vec::new();
    let mut start = 0;
    let mut quoted = false;
    for (at, c) in line.char_indices() {
        if c == '"' {
            quoted = !quoted;
        } else if c == delimiter && !quoted {
            cells.push(cell(line, start..at, offset));
            start = at + c.len_utf8();
            if cells.len() == CELLS_MAX {
                return cells;
            }
        }
    }
    cells.push(cell(line, start..line.len(), offset));
    cells
}

/// Cuts a Markdown row at its pipes; `\|` is a pipe inside a cell.
fn pipe_cells(line: &str, offset: usize) -> Vec<Cell<'_>> {
    let mut cells = Vec::new();
    let mut start = 0;
    let mut escaped = false;
    for (at, c) in line.char_indices() {
        if c == '|' && !escaped {
            cells.push(cell(line, start..at, offset));
            start = at + 1;
        }
        escaped = c == '\\' && !escaped;
        if cells.len() == CELLS_MAX {
            break;
        }
    }
    cells.push(cell(line, start..line.len(), offset));
    // The outer pipes leave an empty cell at either end.
    if line.trim_start().starts_with('|') {
        cells.remove(0);
    }
    if cells.last().is_some_and(|c| c.text.is_empty()) {
        cells.pop();
    }
    for cell in &mut cells {
        if cell.text.contains(['\\', '`', '*']) {
            cell.text = cell.text.replace("\\|", "|").replace(['\\', '`', '*'], "").into();
        }
    }
    cells
}

/// A cell from a range of its line, blanks and quotes taken off.
fn cell(line: &str, range: Range<usize>, offset: usize) -> Cell<'_> {
    let raw = &line[range.clone()];
    let trimmed = raw.trim_matches(|c: char| c.is_whitespace() || c == '\u{feff}');
    let start = offset
        + range.start
        + (raw.len() - raw.trim_start_matches(|c: char| c.is_whitespace() || c == '\u{feff}').len());
    let inside = trimmed.strip_prefix('"').map(|t| t.strip_suffix('"').unwrap_or(t));
    let text = match inside {
        Some(inside) if inside.contains("\"\"") => Cow::Owned(inside.replace("\"\"", "\"")),
        Some(inside) => Cow::Borrowed(inside.trim()),
        None => Cow::Borrowed(trimmed),
    };
    Cell { text, at: start.min(offset + range.end)..(start + trimmed.len()).min(offset + range.end) }
}

fn lines(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let mut at = 0;
    text.split_inclusive('\n').map(move |line| {
        let start = at;
        at += line.len();
        (start, line.trim_end_matches(['\n', '\r']))
    })
}

/// A row that no table took.
pub(crate) fn skip(row: &Row<'_>, found: &mut Gathered<'_>) {
    found.skip(row.at, Why::NoPair);
}
