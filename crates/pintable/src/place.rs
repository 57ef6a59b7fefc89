//! Byte offsets to lines and columns.

use std::cell::Cell;

/// How much of a line is carried along for people to see.
const LINE_CHARS_MAX: usize = 100;

/// Knows where the lines of a text begin.
pub(crate) struct Places<'a> {
    text: &'a str,
    starts: Vec<u32>,
    // The last answer: offsets are asked for mostly in rising order, and a long line must not be counted anew
    // for every pin on it.
    last: Cell<(usize, usize, usize)>,
}

impl<'a> Places<'a> {
    pub(crate) fn new(text: &'a str) -> Self {
        let after_breaks = text.bytes().enumerate().filter(|(_, b)| *b == b'\n').map(|(i, _)| i as u32 + 1);
        Places { text, starts: std::iter::once(0).chain(after_breaks).collect(), last: Cell::new((0, 0, 1)) }
    }

    /// Line of a byte, counted from 1.
    pub(crate) fn line(&self, at: usize) -> usize {
        self.starts.partition_point(|start| *start as usize <= at)
    }

    /// Line and column of a byte, both from 1; columns count characters.
    pub(crate) fn line_column(&self, at: usize) -> (usize, usize) {
        let at = floor_boundary(self.text, at);
        let line = self.line(at);
        let start = self.starts[line - 1] as usize;
        let (last_line, last_at, last_column) = self.last.get();
        let (from, column) =
            if last_line == line && last_at <= at { (last_at, last_column) } else { (start, 1) };
        let column = column + self.text[from..at].chars().count();
        self.last.set((line, at, column));
        (line, column)
    }

    /// The text of a line, trimmed and cut to what a person reads at a glance.
    pub(crate) fn text_of(&self, line: usize) -> String {
        let start = self.starts[line - 1] as usize;
        let end = self.starts.get(line).map_or(self.text.len(), |s| *s as usize);
        clip(self.text[start..end].trim())
    }
}

/// A text cut to what a person reads at a glance, control characters made spaces.
pub(crate) fn clip(text: &str) -> String {
    let mut clipped: String =
        text.chars().take(LINE_CHARS_MAX).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if text.chars().nth(LINE_CHARS_MAX).is_some() {
        clipped.push('…');
    }
    clipped
}

fn floor_boundary(text: &str, at: usize) -> usize {
    (0..=at.min(text.len())).rev().find(|i| text.is_char_boundary(*i)).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::Places;

    #[test]
    fn lines_and_columns_count_characters_from_one() {
        let places = Places::new("a\n°C 5\n");
        assert_eq!(places.line_column(0), (1, 1));
        assert_eq!(places.line_column(6), (2, 4));
        assert_eq!(places.line_column(2), (2, 1), "asked again from the left");
        assert_eq!(places.line_column(99), (3, 1));
        assert_eq!(places.text_of(2), "°C 5");
    }
}
