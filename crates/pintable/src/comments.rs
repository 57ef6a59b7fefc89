//! Blanks out comments, so that a pin in a remark is not read as a pin.
//!
//! The result has the same bytes at the same offsets, spaces in place of comments; line ends stay.

/// C: `//` to the line's end, `/* */` over lines, a backslash at a line's end joins it to the next.
pub(crate) fn blank_c(text: &str) -> String {
    blank(text, Leaders::C)
}

/// Any text: as C, and lines that begin with `#` (other than C directives), `;`, `--` or `%`, and ` # ` behind words.
///
/// A semicolon behind words stays: "VSYNC=25; HREF: 23" is typed by hand often enough.
pub(crate) fn blank_any(text: &str) -> String {
    blank(text, Leaders::Any)
}

#[derive(Clone, Copy, PartialEq)]
enum Leaders {
    C,
    Any,
}

fn blank(text: &str, leaders: Leaders) -> String {
    let mut out = text.as_bytes().to_vec();
    let bytes = text.as_bytes();
    let mut at = 0;
    let mut line_is_blank = true;
    let mut quote = None;
    // Once one comment is found unclosed all later ones are; looking again each time would be quadratic.
    let mut closed = true;
    while at < bytes.len() {
        let rest = &bytes[at..];
        let line_end = || at + rest.iter().position(|b| *b == b'\n').unwrap_or(rest.len());
        let comment_end = match rest {
            [b'\n', ..] => {
                (line_is_blank, quote) = (true, None);
                at += 1;
                continue;
            }
            _ if quote.is_some() => None,
            [b'/', b'/', ..] if at == 0 || bytes[at - 1] != b':' => Some(line_end()),
            [b'/', b'*', ..] => {
                // Unclosed, a comment swallows all of a C file, as a compiler would have it; elsewhere its line.
                let close = if closed { text[at + 2..].find("*/").map(|i| at + 2 + i + 2) } else { None };
                closed = close.is_some();
                Some(close.unwrap_or_else(|| if leaders == Leaders::C { bytes.len() } else { line_end() }))
            }
            [b'\\', b'\n', ..] if leaders == Leaders::C => Some(at + 2),
            [b'\\', b'\r', b'\n', ..] if leaders == Leaders::C => Some(at + 3),
            [b'#', ..] if leaders == Leaders::Any && line_is_blank => (!is_directive(rest)).then(line_end),
            [b';' | b'%', ..] | [b'-', b'-', ..] if leaders == Leaders::Any && line_is_blank => {
                Some(line_end())
            }
            [b' ' | b'\t', b'#', b' ' | b'\t', ..] if leaders == Leaders::Any && !line_is_blank => {
                Some(line_end())
            }
            _ => None,
        };
        if let Some(end) = comment_end {
            let joined = rest[0] == b'\\';
            for byte in &mut out[at..end] {
                if *byte != b'\n' || joined {
                    *byte = b' ';
                }
            }
            at = end;
            continue;
        }
        match (rest[0], quote) {
            (b'"', None) if leaders == Leaders::C => quote = Some(b'"'),
            (b'"', Some(_)) => quote = None,
            _ => {}
        }
        line_is_blank &= rest[0].is_ascii_whitespace();
        at += 1;
    }
    // Whole comments were blanked and their ends are ASCII, so this is UTF-8 still; if ever not, lossy is harmless.
    String::from_utf8(out).unwrap_or_else(|e| String::from_utf8_lossy(e.as_bytes()).into_owned())
}

fn is_directive(line: &[u8]) -> bool {
    let word = line[1..].trim_ascii_start();
    word.starts_with(b"define")
}

#[cfg(test)]
mod tests {
    use super::{blank_any, blank_c};

    #[test]
    fn comments_go_and_offsets_stay() {
        let table = [
            ("D0 4 // was °5\nD1 5", "D0 4           \nD1 5"),
            ("a /* b\nc */ d", "a     \n     d"),
            ("a /* b", "a     "),
            ("\"//\" 4", "\"//\" 4"),
        ];
        for (text, blanked) in table {
            assert_eq!(blank_c(text), blanked);
        }
        assert_eq!(
            blank_any("# D0 4\n#define D0 5\nD1 6 # no\nx /* y\nhttp://a"),
            "      \n#define D0 5\nD1 6     \nx     \nhttp://a"
        );
    }
}
