//! Tables in a page's source: `<tr>`, `<td>` and `<th>`, whatever stands around them.
//!
//! No tree is built and nothing is fetched or run; text outside cells is not looked at.

use crate::gather::{Gathered, ROOT};
use crate::place::Places;
use crate::rows::{CELLS_MAX, Cell, ROWS_MAX, Row};
use crate::table;

pub(crate) fn gather(text: &str, found: &mut Gathered<'_>, places: &Places<'_>) {
    let mut rows: Vec<Row<'_>> = Vec::new();
    let mut tables = 0;
    let mut flush = |rows: &mut Vec<Row<'_>>, found: &mut Gathered<'_>| {
        if let Some(first) = rows.first() {
            tables += 1;
            let section = found.section(&format!("table {tables}"), ROOT, first.at);
            table::gather(rows, found, places, section);
            rows.clear();
        }
    };
    let mut cell: Option<(usize, String)> = None;
    let mut at = 0;
    while at < text.len() && rows.len() < ROWS_MAX {
        let open = text[at..].find('<').map_or(text.len(), |i| at + i);
        if let Some((_, content)) = &mut cell {
            content.push_str(&text[at..open]);
        }
        // No `>` ahead means none for any later tag either: stop instead of looking again each time.
        let Some(close) = text[open..].find('>').map(|i| open + i) else { break };
        let tag = text[open + 1..close].trim_start();
        let name_end = tag
            .char_indices()
            .skip(1)
            .find(|(_, c)| !c.is_ascii_alphanumeric())
            .map_or(tag.len(), |(i, _)| i);
        match tag[..name_end].to_ascii_lowercase().as_str() {
            "td" | "th" => {
                end_cell(&mut cell, open, &mut rows);
                cell = Some((close + 1, String::new()));
            }
            "/td" | "/th" | "/tr" => end_cell(&mut cell, open, &mut rows),
            "tr" => {
                end_cell(&mut cell, open, &mut rows);
                rows.push(Row { at: open, cells: Vec::new() });
            }
            "table" | "/table" => {
                end_cell(&mut cell, open, &mut rows);
                flush(&mut rows, found);
            }
            "br" | "p" | "/p" | "li" => {
                if let Some((_, content)) = &mut cell {
                    content.push(' ');
                }
            }
            _ => {}
        }
        at = close + 1;
    }
    end_cell(&mut cell, text.len(), &mut rows);
    rows.retain(|r| !r.cells.is_empty());
    flush(&mut rows, found);
}

fn end_cell(cell: &mut Option<(usize, String)>, end: usize, rows: &mut Vec<Row<'_>>) {
    let Some((start, content)) = cell.take() else { return };
    if rows.is_empty() {
        rows.push(Row { at: start, cells: Vec::new() });
    }
    if let Some(row) = rows.last_mut().filter(|r| r.cells.len() < CELLS_MAX) {
        let text = unescaped(&content).split_whitespace().collect::<Vec<_>>().join(" ");
        row.cells.push(Cell { text: text.into(), at: start..end });
    }
}

/// The few character references that tables hold.
fn unescaped(text: &str) -> String {
    if !text.contains('&') {
        return text.to_string();
    }
    let named = [
        ("&nbsp;", " "),
        ("&lt;", "<"),
        ("&gt;", ">"),
        ("&quot;", "\""),
        ("&#39;", "'"),
        ("&#160;", " "),
        ("&minus;", "-"),
        ("&ndash;", "–"),
        ("&mdash;", "—"),
        ("&#8211;", "–"),
        ("&#8722;", "-"),
        ("&amp;", "&"),
    ];
    named.iter().fold(text.to_string(), |text, (name, sign)| text.replace(name, sign))
}
