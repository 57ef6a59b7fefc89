//! Cuts a text into words and signs, with their places.

/// More tokens than any pin table or source file of a maker has; bounds memory at 4 MB and the worst text we could
/// think of ("data data data …") at a few seconds.
pub(crate) const TOKENS_MAX: usize = 300_000;

#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Kind {
    Word,
    Newline,
    Sign(char),
}

#[derive(Clone, Copy, Debug)]
pub(crate) struct Token {
    pub(crate) kind: Kind,
    pub(crate) start: u32,
    pub(crate) end: u32,
}

/// Words are letters, digits and `_`; a minus belongs to a number where nothing stands directly before it.
pub(crate) fn tokens(text: &str) -> Vec<Token> {
    let mut tokens: Vec<Token> = Vec::new();
    let mut before = ' ';
    let mut chars = text.char_indices().peekable();
    while let Some((start, c)) = chars.next() {
        let end = (start + c.len_utf8()) as u32;
        let next_is_digit = chars.peek().is_some_and(|(_, n)| n.is_ascii_digit());
        let minus = matches!(c, '-' | '−')
            && next_is_digit
            && !before.is_alphanumeric()
            && !matches!(before, ')' | ']');
        if c.is_alphanumeric() || c == '_' || minus {
            match tokens.last_mut() {
                Some(t) if t.kind == Kind::Word && t.end == start as u32 && !minus => t.end = end,
                _ => tokens.push(Token { kind: Kind::Word, start: start as u32, end }),
            }
        } else if c == '\n' {
            tokens.push(Token { kind: Kind::Newline, start: start as u32, end });
        } else if !c.is_whitespace() && c != '\u{feff}' && !c.is_control() {
            tokens.push(Token { kind: Kind::Sign(c), start: start as u32, end });
        }
        before = c;
        if tokens.len() >= TOKENS_MAX {
            break;
        }
    }
    tokens
}
