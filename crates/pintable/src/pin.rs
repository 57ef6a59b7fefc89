//! What stands where a pin number should stand.
//!
//! Knows the ways people write a pin (`5`, `IO5`, `GPIO 5`, `0x05`, `(5)`, `-1`, `NC`), not what the pin can do.

use std::fmt;

/// Pins are numbered 0 to this; no chip the trade sells to makers has more. Typical, from memory.
pub const PINS_MAX: u8 = 127;

/// A pin's number on its chip, 0 to [`PINS_MAX`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PinNumber(u8);

impl PinNumber {
    /// The pin, or `None` above [`PINS_MAX`].
    pub fn new(number: u8) -> Option<PinNumber> {
        (number <= PINS_MAX).then_some(PinNumber(number))
    }

    /// Its number.
    pub fn get(self) -> u8 {
        self.0
    }
}

impl fmt::Display for PinNumber {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// Why a value is not read as a pin.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NotAPin {
    /// Nothing there.
    Empty,
    /// A number outside 0 to [`PINS_MAX`], as written.
    OutOfRange(String),
    /// Two numbers where one belongs, as written.
    TwoNumbers(String),
    /// No number at all, as written.
    NoNumber(String),
}

impl fmt::Display for NotAPin {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NotAPin::Empty => f.write_str("no number stands beside the name"),
            NotAPin::OutOfRange(text) => write!(f, "{text} is outside 0 to {PINS_MAX}"),
            NotAPin::TwoNumbers(text) => write!(f, "two numbers where one belongs: '{text}'"),
            NotAPin::NoNumber(text) => write!(f, "'{text}' is not a pin"),
        }
    }
}

/// Where a value stands; decides whether `D5` may be a pin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Stands {
    /// In a column of pins, where `D5` is a pin as silkscreens print it.
    InPinColumn,
    /// Anywhere else, where `D5` is a data line.
    Anywhere,
}

/// A value read as a pin: `None` for "not connected".
pub(crate) type Pinned = Option<PinNumber>;

const CLIP_CHARS: usize = 40;
const NOT_CONNECTED: [&str; 15] = [
    "-1",
    "nc",
    "n/c",
    "n.c.",
    "n.c",
    "not connected",
    "not used",
    "unused",
    "none",
    "null",
    "gpio_num_nc",
    "gpio_nc",
    "pin_nc",
    "not_connected",
    "unconnected",
];
const PREFIXES: [&str; 8] = ["gpio_num_", "gpionum", "gpio_", "gpio", "io_", "io", "pin", "p"];

/// Reads a value as a pin.
pub(crate) fn parse(text: &str, stands: Stands) -> Result<Pinned, NotAPin> {
    let bare = peel(text);
    if bare.is_empty() {
        return Err(NotAPin::Empty);
    }
    let clipped = || bare.chars().take(CLIP_CHARS).collect::<String>();
    if bare.len() > 80 {
        return Err(NotAPin::NoNumber(clipped()));
    }
    let small = bare.to_lowercase().replace(['−', '‑'], "-");
    if NOT_CONNECTED.contains(&small.as_str())
        || (stands == Stands::InPinColumn && matches!(&*small, "-" | "–" | "—" | "x"))
    {
        return Ok(None);
    }
    let prefix = PREFIXES.iter().find(|p| small.starts_with(**p)).copied();
    let prefix =
        prefix.or((stands == Stands::InPinColumn && small.starts_with('d')).then_some("d")).unwrap_or("");
    let number = small[prefix.len()..].trim_start_matches([' ', '#', '_']);
    let (value, rest) = leading_number(number).ok_or_else(|| NotAPin::NoNumber(clipped()))?;
    if !rest_is_a_remark(rest, prefix) {
        let two = rest.chars().any(|c| c.is_ascii_digit()) && rest.starts_with([' ', '/', ',', ';']);
        return Err(if two { NotAPin::TwoNumbers(clipped()) } else { NotAPin::NoNumber(clipped()) });
    }
    let pin = value.and_then(|v| u8::try_from(v).ok()).and_then(PinNumber::new);
    pin.map(Some).ok_or_else(|| NotAPin::OutOfRange(clipped()))
}

/// True where the value names itself a pin (`GPIO5`, `IO5`), so that an unknown name beside it is a signal.
pub(crate) fn names_itself(text: &str) -> bool {
    let small = peel(text).to_ascii_lowercase();
    (small.starts_with("gpio") || small.starts_with("io")) && parse(text, Stands::Anywhere).is_ok()
}

/// Takes off quotes, emphasis, brackets and a C cast: `((gpio_num_t)5)` is `5`.
fn peel(text: &str) -> &str {
    let mut text = text;
    // Each turn takes at least one character off or ends; hostile nesting stops after eight.
    for _ in 0..8 {
        let before = text;
        text = text.trim().trim_matches(['"', '\'', '`', '*']).trim_end_matches([',', ';']);
        if let Some(inside) = text.strip_prefix('(') {
            match inside.split_once(')') {
                Some((cast, value)) if !value.trim().is_empty() && is_identifier(cast) => text = value,
                _ => text = inside.strip_suffix(')').unwrap_or(text),
            }
        }
        if text == before {
            break;
        }
    }
    text.trim()
}

fn is_identifier(text: &str) -> bool {
    let text = text.trim();
    text.starts_with(|c: char| c.is_ascii_alphabetic())
        && text.chars().all(|c| c.is_ascii_alphanumeric() || c == '_')
}

/// The number a text begins with and what follows; the number is `None` when it is too large to hold.
fn leading_number(text: &str) -> Option<(Option<i64>, &str)> {
    let (sign, digits) = text.strip_prefix('-').map_or((1, text), |t| (-1, t));
    let (radix, digits) = digits.strip_prefix("0x").map_or((10, digits), |t| (16, t));
    let end = digits.find(|c: char| !c.is_digit(radix)).unwrap_or(digits.len());
    let (digits, rest) = digits.split_at(end);
    if digits.is_empty() {
        return None;
    }
    let rest = rest.strip_prefix(['u', 'l']).map_or(rest, |r| r.trim_start_matches(['u', 'l']));
    Some((i64::from_str_radix(digits, radix).ok().map(|v| sign * v), rest))
}

/// May these words follow a pin? `GPIO5 (strap)` and `5 / ADC1` may, `5 V`, `5.5` and `GPIO5 / GPIO6` may not.
fn rest_is_a_remark(rest: &str, prefix: &str) -> bool {
    let rest = rest.trim_end();
    let after_slash = rest.trim_start().strip_prefix('/').map(str::trim_start);
    match rest.chars().next() {
        None | Some('(' | '[' | '*') => true,
        _ if after_slash.is_some_and(begins_a_pin) => false,
        Some('/') => true,
        Some(' ') if after_slash.is_some() || rest.trim_start().starts_with(['(', '[']) => true,
        Some(' ') => !prefix.is_empty() && !rest.chars().any(|c| c.is_ascii_digit()),
        Some(_) => false,
    }
}

fn begins_a_pin(text: &str) -> bool {
    let bare = PREFIXES.iter().find_map(|p| text.strip_prefix(p)).unwrap_or(text);
    bare.starts_with(|c: char| c.is_ascii_digit())
}

#[cfg(test)]
mod tests {
    use super::{NotAPin, PinNumber, Stands, parse};

    #[test]
    fn pins_as_people_write_them() {
        for text in [
            "5",
            "(5)",
            "((5))",
            "GPIO_NUM_5",
            "0x05",
            "IO5",
            "GPIO5",
            "GPIO 5",
            "P5",
            "io05",
            "`5`",
            "\"5\"",
            "5u",
            "(gpio_num_t)5",
            "((gpio_num_t) 5)",
            "GPIO5 (strap)",
            "5 (strap)",
            "IO5/ADC1",
            "GPIO 5 input only",
            "5,",
        ] {
            assert_eq!(parse(text, Stands::Anywhere), Ok(PinNumber::new(5)), "{text}");
        }
        for text in ["-1", "(-1)", "NC", "n/c", "Not connected", "GPIO_NUM_NC", "−1", "none"] {
            assert_eq!(parse(text, Stands::Anywhere), Ok(None), "{text}");
        }
    }

    #[test]
    fn what_is_no_pin_says_why() {
        let no = |t: &str| NotAPin::NoNumber(t.into());
        let out = |t: &str| NotAPin::OutOfRange(t.into());
        let two = |t: &str| NotAPin::TwoNumbers(t.into());
        let table = [
            ("", NotAPin::Empty),
            ("see note", no("see note")),
            ("5 V", no("5 V")),
            ("3.3", no("3.3")),
            ("3V3", no("3V3")),
            ("128", out("128")),
            ("-2", out("-2")),
            ("99999999999999999999999", out("99999999999999999999999")),
            ("0xFFFFFFFFFFFFFFFFFF", out("0xFFFFFFFFFFFFFFFFFF")),
            ("GPIO5 / GPIO6", two("GPIO5 / GPIO6")),
            ("4, 5", two("4, 5")),
            ("P0.04", no("P0.04")),
            ("PA5", no("PA5")),
        ];
        for (text, why) in table {
            assert_eq!(parse(text, Stands::Anywhere), Err(why), "{text}");
        }
        assert_eq!(parse("127", Stands::Anywhere), Ok(PinNumber::new(127)));
    }

    #[test]
    fn d5_is_a_pin_only_in_a_column_of_pins() {
        assert_eq!(parse("D5", Stands::InPinColumn), Ok(PinNumber::new(5)));
        assert!(parse("D5", Stands::Anywhere).is_err());
    }
}
