//! One number, time of day or date-time at the start of a text, exactly as written.
//!
//! Decimal digits stay digits (a mantissa and its decimals), so that a time in seconds loses nothing on its way to
//! microseconds. Knows nothing of lines or fields.

use super::Unit;

/// What a text begins with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Token {
    /// A number, and the unit that is written right behind it.
    Number(Number, Suffix),
    /// A time of day or since a start, `H:MM:SS.fff` or `MM:SS.fff`, in microseconds.
    Clock(i64, Grain),
    /// A date with time, in microseconds since 1970 (UTC where no zone is written).
    Moment(i64, Grain),
}

/// Letters right behind a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Suffix {
    None,
    Time(Unit),
    Other,
}

/// Whether a time of day was written with a fraction of a second.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Grain {
    Fraction,
    WholeSeconds,
}

/// `mantissa / 10^decimals`, negative or not; `huge` where the digits did not fit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Number {
    mantissa: u64,
    pub decimals: i32,
    pub negative: bool,
    huge: bool,
}

/// Why a number is no count.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum NoCount {
    Fraction,
    OutOfRange,
}

const POWERS: [u64; 20] = {
    let mut powers = [1; 20];
    let mut index = 1;
    while index < 20 {
        powers[index] = powers[index - 1] * 10;
        index += 1;
    }
    powers
};

impl Number {
    /// The number that the text is, where it is at most eighteen digits with a point among them or none; whatever else
    /// stands in it, [`token`] knows.
    #[inline]
    pub(super) fn plain(text: &[u8]) -> Option<Self> {
        let (mut mantissa, mut decimals, mut point) = (0_u64, 0, false);
        if text.len() > 19 || !text.first()?.is_ascii_digit() || !text.last()?.is_ascii_digit() {
            return None;
        }
        for byte in text {
            let digit = byte.wrapping_sub(b'0');
            if digit < 10 {
                mantissa = mantissa * 10 + u64::from(digit);
                decimals += i32::from(point);
            } else if *byte == b'.' && !point {
                point = true;
            } else {
                return None;
            }
        }
        Some(Self { mantissa, decimals, negative: false, huge: false })
    }

    /// The number that the text begins with, and its length in bytes. With `comma`, a comma is the decimal sign too.
    #[inline]
    fn read(text: &[u8], comma: bool) -> Option<(Self, usize)> {
        let mut at = usize::from(matches!(text.first(), Some(b'-' | b'+')));
        let mut number =
            Self { mantissa: 0, decimals: 0, negative: text.first() == Some(&b'-'), huge: false };
        let start = at;
        while let Some(digit) = text.get(at).map(|byte| byte.wrapping_sub(b'0')).filter(|digit| *digit < 10) {
            number.push(digit);
            at += 1;
        }
        if at == start {
            return None;
        }
        let point = matches!(text.get(at), Some(b'.')) || comma && matches!(text.get(at), Some(b','));
        if point && text.get(at + 1).is_some_and(u8::is_ascii_digit) {
            at += 1;
            while let Some(digit) =
                text.get(at).map(|byte| byte.wrapping_sub(b'0')).filter(|digit| *digit < 10)
            {
                // Digits beyond the nineteenth say nothing of a time or a count.
                if number.mantissa < u64::MAX / 10 - 1 && !number.huge {
                    number.push(digit);
                    number.decimals += 1;
                }
                at += 1;
            }
        }
        if matches!(text.get(at), Some(b'e' | b'E')) {
            let sign = usize::from(matches!(text.get(at + 1), Some(b'-' | b'+')));
            let digits = text[at + 1 + sign..].iter().take_while(|byte| byte.is_ascii_digit()).count();
            if digits > 0 {
                let written = &text[at + 1 + sign..at + 1 + sign + digits];
                let power =
                    written.iter().fold(0_i32, |sum, byte| (sum * 10 + i32::from(byte - b'0')).min(999));
                number.decimals -= if text[at + 1] == b'-' { -power } else { power };
                at += 1 + sign + digits;
            }
        }
        Some((number, at))
    }

    #[inline]
    fn push(&mut self, digit: u8) {
        match self.mantissa.checked_mul(10).and_then(|tens| tens.checked_add(u64::from(digit))) {
            Some(mantissa) => self.mantissa = mantissa,
            None => self.huge = true,
        }
    }

    /// The number times 10^`power`, cut to whole; none where it does not fit.
    #[inline]
    pub(super) fn scaled(self, power: i32) -> Option<i64> {
        if self.huge {
            return None;
        }
        let power = power - self.decimals;
        let whole = if self.mantissa == 0 {
            0
        } else if power >= 0 {
            self.mantissa.checked_mul(*POWERS.get(power as usize)?)?
        } else {
            POWERS.get(power.unsigned_abs() as usize).map_or(0, |by| self.mantissa / by)
        };
        let whole = i64::try_from(whole).ok()?;
        Some(if self.negative { -whole } else { whole })
    }

    /// Whether nothing but zeros stands behind the decimal sign.
    pub(super) fn is_whole(self) -> bool {
        self.decimals <= 0
            || POWERS.get(self.decimals as usize).is_some_and(|by| self.mantissa.is_multiple_of(*by))
            || self.mantissa == 0
    }

    /// As a count, 0 to 65,535.
    #[inline]
    pub(super) fn count(self) -> Result<u16, NoCount> {
        if self.decimals == 0 && !self.negative && !self.huge {
            return u16::try_from(self.mantissa).map_err(|_| NoCount::OutOfRange);
        }
        let whole = self.scaled(0).and_then(|whole| u16::try_from(whole).ok()).ok_or(NoCount::OutOfRange)?;
        if self.negative && self.mantissa != 0 {
            return Err(NoCount::OutOfRange);
        }
        if self.is_whole() { Ok(whole) } else { Err(NoCount::Fraction) }
    }

    pub(super) fn value(self) -> f64 {
        if self.huge {
            return if self.negative { f64::NEG_INFINITY } else { f64::INFINITY };
        }
        let power = 10_f64.powi(self.decimals.abs());
        let value = self.mantissa as f64;
        // Divided, since 0.951 is nearest to 951/1000, not to 951 × 0.001.
        let value = if self.decimals > 0 { value / power } else { value * power };
        if self.negative { -value } else { value }
    }
}

/// The token that the text begins with, its unit included, and its length; none where what stands there only begins
/// like a number (`0x3b7`, `192.168.1.20`, `12ab4`).
#[inline]
pub(super) fn token(text: &[u8], comma: bool) -> Option<(Token, usize)> {
    let (number, end) = Number::read(text, comma)?;
    match text.get(end) {
        None | Some(b' ' | b'\t') => return Some((Token::Number(number, Suffix::None), end)),
        Some(b':' | b'-') => {
            if let Some(found) = moment(text).or_else(|| clock(text)) {
                return Some(found);
            }
        }
        _ => {}
    }
    let rest = &text[end..];
    let next_is_digit = rest.get(1).is_some_and(u8::is_ascii_digit);
    if matches!(rest.first(), Some(b'.' | b'/' | b'-')) && next_is_digit {
        return None;
    }
    let letters = rest.iter().take_while(|byte| is_letter(**byte)).count();
    if letters > 8 || rest.get(letters).is_some_and(u8::is_ascii_digit) && letters > 0 {
        return None;
    }
    Some((Token::Number(number, suffix_of(&rest[..letters])), end + letters))
}

fn is_letter(byte: u8) -> bool {
    byte.is_ascii_alphabetic() || byte == b'_' || byte == b'%' || byte >= 0x80
}

fn suffix_of(word: &[u8]) -> Suffix {
    let is_counts =
        ["", "count", "counts", "cnt"].iter().any(|name| name.as_bytes().eq_ignore_ascii_case(word));
    if is_counts { Suffix::None } else { unit_of(word).map_or(Suffix::Other, Suffix::Time) }
}

/// The unit of time that a word names.
pub(super) fn unit_of(word: &[u8]) -> Option<Unit> {
    const NAMES: &[(&str, Unit)] = &[
        ("s", Unit::Seconds),
        ("sec", Unit::Seconds),
        ("secs", Unit::Seconds),
        ("second", Unit::Seconds),
        ("seconds", Unit::Seconds),
        ("ms", Unit::Milliseconds),
        ("msec", Unit::Milliseconds),
        ("millis", Unit::Milliseconds),
        ("milliseconds", Unit::Milliseconds),
        ("us", Unit::Microseconds),
        ("µs", Unit::Microseconds),
        ("usec", Unit::Microseconds),
        ("micros", Unit::Microseconds),
        ("microseconds", Unit::Microseconds),
        ("ns", Unit::Nanoseconds),
        ("nanos", Unit::Nanoseconds),
        ("nanoseconds", Unit::Nanoseconds),
    ];
    NAMES.iter().find(|(name, _)| name.as_bytes().eq_ignore_ascii_case(word)).map(|(_, unit)| *unit)
}

/// The token that is the whole of a cell, quotes and blanks around it left out.
#[inline]
pub(super) fn whole(cell: &[u8], comma: bool) -> Option<Token> {
    let cell = bare(cell);
    let (token, end) = token(cell, comma)?;
    if end == cell.len() {
        return Some(token);
    }
    match (token, cell[end..].trim_ascii()) {
        (Token::Number(number, Suffix::None), unit) if unit.iter().all(|byte| is_letter(*byte)) => {
            Some(Token::Number(number, suffix_of(unit)))
        }
        _ => None,
    }
}

/// A cell without blanks and quotes around it.
#[inline]
pub(super) fn bare(cell: &[u8]) -> &[u8] {
    let cell = cell.trim_ascii();
    match cell {
        [b'"', inner @ .., b'"'] | [b'\'', inner @ .., b'\''] => inner.trim_ascii(),
        _ => cell,
    }
}

/// Length of the number at the start of a token's text, its unit left out.
pub(super) fn digits_of(token: Token, text: &[u8]) -> usize {
    match token {
        Token::Number(..) => text.iter().rposition(u8::is_ascii_digit).map_or(0, |last| last + 1),
        _ => text.len(),
    }
}

/// Exactly two digits, below `limit`.
fn two(text: &[u8], at: usize, limit: i64) -> Option<i64> {
    let digits = text.get(at..at + 2)?;
    let value = i64::from(digits[0].wrapping_sub(b'0')) * 10 + i64::from(digits[1].wrapping_sub(b'0'));
    (digits.iter().all(u8::is_ascii_digit) && value < limit).then_some(value)
}

/// A fraction of a second behind `.` or `,`: microseconds, and where it ends.
fn fraction(text: &[u8], at: usize) -> (i64, usize, Grain) {
    let begins =
        matches!(text.get(at), Some(b'.' | b',')) && text.get(at + 1).is_some_and(u8::is_ascii_digit);
    if !begins {
        return (0, at, Grain::WholeSeconds);
    }
    let digits = text[at + 1..].iter().take_while(|byte| byte.is_ascii_digit()).count();
    let places = text[at + 1..at + 1 + digits].iter().chain(std::iter::repeat(&b'0')).take(6);
    let micros = places.fold(0, |sum, byte| sum * 10 + i64::from(byte - b'0'));
    (micros, at + 1 + digits, Grain::Fraction)
}

fn clock(text: &[u8]) -> Option<(Token, usize)> {
    let digits = text.iter().take_while(|byte| byte.is_ascii_digit()).count();
    if !(1..=4).contains(&digits) || text.get(digits) != Some(&b':') {
        return None;
    }
    let first = text[..digits].iter().fold(0, |sum, byte| sum * 10 + i64::from(byte - b'0'));
    let second = two(text, digits + 1, 60)?;
    let (seconds, end) = if text.get(digits + 3) == Some(&b':') {
        (first * 3600 + second * 60 + two(text, digits + 4, 61)?, digits + 6)
    } else {
        (first * 60 + second, digits + 3)
    };
    let (micros, end, grain) = fraction(text, end);
    // `12:30` alone is as likely hours and minutes.
    if end == digits + 3 || text.get(end).is_some_and(u8::is_ascii_alphanumeric) {
        return None;
    }
    Some((Token::Clock(seconds * 1_000_000 + micros, grain), end))
}

fn moment(text: &[u8]) -> Option<(Token, usize)> {
    let digits = text.get(..4)?;
    if !digits.iter().all(u8::is_ascii_digit) || text.get(4) != Some(&b'-') || text.get(7) != Some(&b'-') {
        return None;
    }
    let year = digits.iter().fold(0, |sum, byte| sum * 10 + i64::from(byte - b'0'));
    let (month, day) = (two(text, 5, 13)?, two(text, 8, 32)?);
    if month == 0 || day == 0 || !matches!(text.get(10), Some(b'T' | b't' | b' ' | b'_')) {
        return None;
    }
    let time = &text[11..];
    let (hour, minute, second) = (two(time, 0, 24)?, two(time, 3, 60)?, two(time, 6, 61)?);
    if time[2] != b':' || time[5] != b':' {
        return None;
    }
    let (micros, mut end, grain) = fraction(text, 19);
    let mut zone = 0;
    match text.get(end) {
        Some(b'Z' | b'z') => end += 1,
        Some(sign @ (b'+' | b'-')) => {
            let colon = usize::from(text.get(end + 3) == Some(&b':'));
            if let (Some(hours), Some(minutes)) = (two(text, end + 1, 24), two(text, end + 3 + colon, 60)) {
                zone = (hours * 3600 + minutes * 60) * if *sign == b'-' { -1 } else { 1 };
                end += 5 + colon;
            }
        }
        _ => {}
    }
    let seconds = days(year, month, day) * 86_400 + hour * 3600 + minute * 60 + second - zone;
    Some((Token::Moment(seconds * 1_000_000 + micros, grain), end))
}

/// Days from 1970-01-01 to a date of the Gregorian calendar, years 0 to 9999; years begin in March here, so that the
/// leap day is the last.
fn days(year: i64, month: i64, day: i64) -> i64 {
    let (year, month) = if month > 2 { (year, month - 3) } else { (year - 1, month + 9) };
    let leaps = year.div_euclid(4) - year.div_euclid(100) + year.div_euclid(400);
    year * 365 + leaps + (month * 153 + 2) / 5 + day - 1 - 719_468
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_agree_with_published_unix_times() {
        // RFC 3339 §5.8 and the round billion of POSIX time, 2001-09-09T01:46:40Z.
        let micros = |text: &str| match token(text.as_bytes(), false) {
            Some((Token::Moment(micros, _), end)) if end == text.len() => micros,
            other => panic!("{text}: {other:?}"),
        };
        assert_eq!(micros("2001-09-09T01:46:40Z"), 1_000_000_000_000_000);
        assert_eq!(micros("1970-01-01 00:00:00.25"), 250_000);
        assert_eq!(micros("1985-04-12T23:20:50.52Z"), 482_196_050_520_000);
        assert_eq!(micros("1996-12-19T16:39:57-08:00"), micros("1996-12-20T00:39:57Z"));
        assert_eq!(micros("2000-03-01T00:00:00Z") - micros("2000-02-28T00:00:00Z"), 2 * 86_400_000_000);
        assert_eq!(micros("2100-03-01T00:00:00Z") - micros("2100-02-28T00:00:00Z"), 86_400_000_000);
    }

    #[test]
    fn what_only_begins_like_a_number_is_none() {
        for text in ["0x3b7", "192.168.1.20", "12ab4", "01/05/2026", "a5", "", "-", ".5"] {
            assert_eq!(token(text.as_bytes(), false), None, "{text}");
        }
    }

    proptest::proptest! {
        /// The short way to a number and the long one: the same, wherever the short one takes a text.
        #[test]
        fn a_plain_number_is_what_the_whole_reader_says(text in "[0-9]{0,19}[.,e]?[0-9 ]{0,12}", comma in proptest::bool::ANY) {
            let long = whole(text.as_bytes(), comma);
            match Number::plain(text.as_bytes()) {
                Some(number) => proptest::prop_assert_eq!(long, Some(Token::Number(number, Suffix::None))),
                None => proptest::prop_assert!(
                    text.len() > 19 || text.bytes().any(|byte| b" ,e".contains(&byte))
                        || text.is_empty() || text.starts_with('.') || text.ends_with('.')
                ),
            }
        }
    }

    #[test]
    fn counts_are_whole_and_fit_sixteen_bits() {
        let count = |text: &str| match whole(text.as_bytes(), true) {
            Some(Token::Number(number, _)) => Some(number.count()),
            _ => None,
        };
        assert_eq!(count("65535"), Some(Ok(65535)));
        assert_eq!(count("65536"), Some(Err(NoCount::OutOfRange)));
        assert_eq!(count("-1"), Some(Err(NoCount::OutOfRange)));
        assert_eq!(count("-0.5"), Some(Err(NoCount::OutOfRange)));
        assert_eq!(count("951,00"), Some(Ok(951)));
        assert_eq!(count("951.5"), Some(Err(NoCount::Fraction)));
        assert_eq!(count("9.51e2"), Some(Ok(951)));
        assert_eq!(count(" \"951\" "), Some(Ok(951)));
        assert_eq!(count("99999999999999999999999"), Some(Err(NoCount::OutOfRange)));
        assert_eq!(count("1e999999999"), Some(Err(NoCount::OutOfRange)));
        assert_eq!(count("1e-999999999"), Some(Err(NoCount::Fraction)));
    }
}
