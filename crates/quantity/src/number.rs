//! Numbers as people type them, kept as text until their unit is known.
//!
//! Nothing here knows about units, except that one may shift the decimal point.

/// A decimal number: a sign, digits with a point, and a power of ten.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Number {
    /// ASCII, such as `-0.75`.
    mantissa: String,
    exp10: i32,
}

impl Number {
    /// Times 10^`shift`, rounded once; `None` when an `f64` cannot hold it (too large, or not zero but rounded to it).
    pub(crate) fn shifted(&self, shift: i32) -> Option<f64> {
        let value: f64 = format!("{}e{}", self.mantissa, self.exp10 + shift).parse().ok()?;
        let lost = value == 0.0 && self.mantissa.contains(|c| matches!(c, '1'..='9'));
        // Adding zero turns −0 into 0, so that equal texts and values stay equal.
        (value.is_finite() && !lost).then_some(value + 0.0)
    }
}

/// The number that `text` starts with and its length in bytes; `None` when it starts with none.
pub(crate) fn read(text: &str) -> Option<(Number, usize)> {
    let (sign, unsigned) = match text.chars().next()? {
        c @ ('-' | '−') => ("-", &text[c.len_utf8()..]),
        '+' => ("", &text[1..]),
        _ => ("", text),
    };
    let whole = digits(unsigned);
    let mut length = whole;
    if let Some(rest) = unsigned[whole..].strip_prefix('.')
        && digits(rest) > 0
    {
        length += 1 + digits(rest);
    }
    if length == 0 {
        return None;
    }
    let dot = if whole == 0 { "0" } else { "" };
    let mantissa = format!("{sign}{dot}{}", &unsigned[..length]);
    let (exp10, exponent) = exponent(&unsigned[length..]);
    Some((Number { mantissa, exp10 }, text.len() - unsigned.len() + length + exponent))
}

fn digits(text: &str) -> usize {
    text.bytes().take_while(u8::is_ascii_digit).count()
}

/// `e-3` and its length; an `e` without digits is no exponent but the electron.
fn exponent(text: &str) -> (i32, usize) {
    const LIMIT: i32 = 99_999; // far beyond f64, far below overflow
    let Some(rest) = text.strip_prefix(['e', 'E']) else { return (0, 0) };
    let (sign, unsigned) = match rest.chars().next() {
        Some(c @ ('-' | '−')) => (-1, &rest[c.len_utf8()..]),
        Some('+') => (1, &rest[1..]),
        _ => (1, rest),
    };
    let count = digits(unsigned);
    if count == 0 {
        return (0, 0);
    }
    let size = unsigned[..count].parse::<i32>().map_or(LIMIT, |e| e.min(LIMIT));
    (sign * size, text.len() - unsigned.len() + count)
}
