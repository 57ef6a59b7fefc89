//! Which layout the first lines have: objects, a table with or without a header, or words.

use super::layout::{FIELDS_MAX, Layout, Piece, Table, name_of};
use super::token::{Token, bare};

pub(super) fn layout(lines: &[&[u8]]) -> (Layout, Option<usize>) {
    let objects =
        lines.iter().filter(|line| line.first() == Some(&b'{') && line.last() == Some(&b'}')).count();
    if objects * 2 >= lines.len() {
        return (Layout::Json, None);
    }
    [b';', b'\t', b',', b' ']
        .into_iter()
        .find_map(|separator| table(lines, separator))
        .unwrap_or((Layout::Words, None))
}

/// A table: nine lines in ten have as many cells, and some column is all numbers.
fn table(lines: &[&[u8]], separator: u8) -> Option<(Layout, Option<usize>)> {
    let mut table = Table { separator, width: 0, names: Vec::new() };
    let cells: Vec<Vec<Piece<'_>>> = lines.iter().map(|line| table.cells(line)).collect();
    let mut widths = [0_usize; FIELDS_MAX + 1];
    for row in &cells {
        widths[row.len()] += 1;
    }
    let (width, rows) = widths.iter().enumerate().max_by_key(|(_, rows)| **rows)?;
    if width < 2 || rows * 10 < lines.len() * 8 {
        return None;
    }
    table.width = width;
    let is_number = |piece: &Piece<'_>| piece.token().is_some();
    let header = cells.iter().position(|row| row.len() >= 2).filter(|first| {
        let row = &cells[*first];
        row.len() == width
            && row.iter().all(|cell| !is_number(cell) && !bare(cell.text).is_empty())
            && lines.len() > 1
    });
    let body =
        || cells.iter().enumerate().filter(|(index, row)| Some(*index) != header && row.len() == width);
    let total = body().count();
    let plain = |piece: &Piece<'_>| matches!(piece.token(), Some(Token::Number(..)));
    let some_column =
        (0..width).any(|nth| body().filter(|(_, row)| plain(&row[nth])).count() * 10 >= total.max(1) * 6);
    if !some_column {
        return None;
    }
    if separator == b' ' {
        // Among words blanks separate nothing; a header shows that these do.
        let all_numbers = body().all(|(_, row)| row.iter().all(is_number));
        if header.is_none() || !all_numbers {
            return None;
        }
    }
    if let Some(first) = header {
        table.names = cells[first].iter().map(|cell| name_of(cell.text)).collect();
    }
    Some((Layout::Table(table), header))
}
