//! Which layout a text has.
//!
//! Looks only at shapes that no other layout shares, the surest first; what fits none is loose text.

use crate::pin::{self, Stands};
use crate::reading::Format;
use crate::rows;
use crate::signal::Signal;

/// How many lines are looked at.
const LINES_MAX: usize = 500;

pub(crate) fn format_of(text: &str) -> Format {
    let text = text.trim_start_matches('\u{feff}').trim();
    let lines = || text.lines().take(LINES_MAX).filter(|l| !l.trim().is_empty());
    if text.starts_with('{') || (text.starts_with('[') && text.ends_with(']')) {
        // An initialiser list or an INI section begins alike; JSON has quotes before its first colon.
        if text.trim_start_matches(['{', '[', ' ', '\n', '\r', '\t']).starts_with('"')
            || crate::json::is_json(text)
        {
            return Format::Json;
        }
    }
    if lines().any(is_html_row) {
        return Format::Html;
    }
    if lines().any(is_directive) {
        return Format::CHeader;
    }
    if lines().any(rows::is_markdown_rule) {
        return Format::Markdown;
    }
    if is_table(lines(), '\t') {
        return Format::Tsv;
    }
    if is_table(lines(), rows::delimiter(text)) { Format::Csv } else { Format::Loose }
}

fn is_html_row(line: &str) -> bool {
    let small = line.chars().take(4_000).collect::<String>().to_ascii_lowercase();
    ["<td", "<tr", "<table"].iter().any(|tag| small.contains(tag))
}

fn is_directive(line: &str) -> bool {
    let Some(word) = line.trim_start().strip_prefix('#').map(str::trim_start) else { return false };
    // "# if you turn the board" is a remark; a directive has its word at the hash in all but decorated headers.
    let glued = line.trim_start().starts_with("#d") || line.trim_start().starts_with("#i");
    ["define ", "define\t"].iter().any(|d| word.starts_with(d))
        || (glued && ["ifdef ", "ifndef ", "if ", "include"].iter().any(|d| word.starts_with(d)))
}

/// Most lines have a cell that names a signal beside one that is a pin by itself, or the first line is a row of
/// signals. Between tabs `D5` may be a pin; between commas it is more likely one of several names.
fn is_table<'t>(lines: impl Iterator<Item = &'t str> + Clone, delimiter: char) -> bool {
    let stands = if delimiter == '\t' { Stands::InPinColumn } else { Stands::Anywhere };
    // "data: [4" is the beginning of a list, no cell.
    let is_signal = |text: &str| !text.contains([':', '=', '[', '{']) && Signal::recognise(text).is_some();
    let first_is_signals = lines
        .clone()
        .next()
        .is_some_and(|l| rows::cells(l, 0, delimiter).iter().filter(|c| is_signal(&c.text)).count() >= 4);
    let has_both = |line: &&str| {
        let cells = rows::cells(line, 0, delimiter);
        (0..cells.len()).any(|i| {
            is_signal(&cells[i].text)
                && (0..cells.len()).any(|j| i != j && pin::parse(&cells[j].text, stands).is_ok())
        })
    };
    let (total, with_both) = (lines.clone().count(), lines.filter(has_both).count());
    total >= 2 && (first_is_signals || with_both * 2 > total)
}
