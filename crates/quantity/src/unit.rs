//! Units: symbols with the prefixes that make sense on them, and compounds of them.
//!
//! A unit is a factor, a power of ten and a dimension. The power of ten is kept apart so that the reader can shift the
//! decimal point in the text: `165 mA` is then exactly the nearest `f64` to 0.165. What the texts mean is decided here
//! and nowhere else: a month has 30.44 days, a year 365.25, a day 24 h; kB is 1000 B and KiB 1024 B.

use std::f64::consts::PI;
use std::ops::Range;

use crate::dimension::{
    AMPERE, AREA, BYTE, CANDELA, COULOMB, DECIBEL, Dimension, ELECTRON, FARAD, HENRY, JOULE, KELVIN,
    KILOGRAM, LUMEN, LUX, METRE, NEWTON, OHM, PASCAL, PIXEL, RADIAN, RATE, SECOND, SIEMENS, STERADIAN, Scale,
    VOLT, WATT,
};

/// How a number in this unit becomes one in base units.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Unit {
    pub(crate) factor: f64,
    pub(crate) exp10: i32,
    pub(crate) dimension: Dimension,
    pub(crate) scale: Scale,
    /// Reading of this scale at the zero of its kind's base scale (32 for degF); 0 for all others.
    pub(crate) zero: f64,
}

impl Unit {
    pub(crate) const ONE: Self =
        Self { factor: 1.0, exp10: 0, dimension: Dimension::ONE, scale: Scale::Ratio, zero: 0.0 };

    /// The plain number, written without any unit.
    pub(crate) fn is_plain(&self) -> bool {
        *self == Self::ONE
    }

    /// Whether ratios of values mean something (percent, factors): not for temperatures, levels and decibels.
    pub(crate) fn has_ratios(&self) -> bool {
        matches!(self.scale, Scale::Ratio | Scale::Gauge) && self.dimension != DECIBEL
    }
}

/// Why a text is no unit.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct NoUnit {
    /// Byte offsets inside the unit text.
    pub(crate) at: Range<usize>,
    pub(crate) symbol: String,
}

/// The unit that a caller asks for; `None` when the text is no unit.
pub(crate) fn wanted(text: &str) -> Option<Unit> {
    match text {
        "1" | "" => Some(Unit::ONE),
        _ => parse(text).ok().filter(|unit| unit.scale != Scale::Gauge),
    }
}

/// Reads a whole unit text such as `W/m2K`, `°C` or `/s`.
pub(crate) fn parse(text: &str) -> Result<Unit, NoUnit> {
    let mut reader = Reader { text, at: 0 };
    let unit = reader.unit()?;
    if reader.at < text.len() {
        return Err(reader.none(reader.at..text.len()));
    }
    Ok(unit)
}

/// Powers stay below ten and factors below seven, so exponents cannot overflow and hostile text stays cheap.
const FACTORS_MAX: usize = 6;

struct Reader<'a> {
    text: &'a str,
    at: usize,
}

impl Reader<'_> {
    fn none(&self, at: Range<usize>) -> NoUnit {
        NoUnit { symbol: self.text.get(at.clone()).unwrap_or_default().to_owned(), at }
    }

    fn peek(&self) -> Option<char> {
        self.text[self.at..].chars().next()
    }

    fn take(&mut self, wanted: char) -> bool {
        let found = self.peek() == Some(wanted);
        if found {
            self.at += wanted.len_utf8();
        }
        found
    }

    fn unit(&mut self) -> Result<Unit, NoUnit> {
        let mut total = Unit::ONE;
        let mut count = 0;
        if !self.text.starts_with('/') && !self.text.starts_with("1/") {
            self.group(&mut total, 1, &mut count)?;
        } else {
            self.take('1');
        }
        while self.take('/') {
            self.group(&mut total, -1, &mut count)?;
        }
        Ok(total)
    }

    fn group(&mut self, total: &mut Unit, sign: i32, count: &mut usize) -> Result<(), NoUnit> {
        let start = self.at;
        let bracket = self.take('(');
        loop {
            self.factor(total, sign, count)?;
            while bracket && self.take(' ') {}
            match self.peek() {
                Some('.' | '·' | '*') => {
                    let dot = self.peek().map_or(0, char::len_utf8);
                    self.at += dot;
                }
                Some(c) if is_symbol(c) => {}
                _ => break,
            }
        }
        if bracket && !self.take(')') {
            return Err(self.none(start..self.text.len()));
        }
        Ok(())
    }

    fn factor(&mut self, total: &mut Unit, sign: i32, count: &mut usize) -> Result<(), NoUnit> {
        let start = self.at;
        while self.peek().is_some_and(is_symbol) {
            self.at += self.peek().map_or(0, char::len_utf8);
        }
        let symbol = start..self.at;
        let found = lookup(&self.text[symbol.clone()]).ok_or_else(|| self.none(symbol))?;
        let power = self.power();
        *count += 1;
        if *count > FACTORS_MAX || power == 0 {
            return Err(self.none(start..self.at));
        }
        let alone = *count == 1 && sign * power == 1 && self.at == self.text.len();
        if alone {
            *total = found;
            return Ok(());
        }
        // Inside a compound a degree Celsius is a step of one kelvin; levels and gauges have no place there.
        if !matches!(found.scale, Scale::Ratio | Scale::Temperature) {
            return Err(self.none(start..self.at));
        }
        total.factor *= found.factor.powi(sign * power);
        total.exp10 += found.exp10 * sign * power;
        total.dimension = total.dimension.times(found.dimension, (sign * power) as i16);
        if !(total.factor.is_finite() && total.factor > 0.0) {
            return Err(self.none(start..self.at));
        }
        Ok(())
    }

    /// `2`, `^-1`, `⁻²`; 1 where nothing is written.
    fn power(&mut self) -> i32 {
        let rest = &self.text[self.at..];
        let plain = rest.strip_prefix('^').unwrap_or(rest);
        let (sign, digits) = match plain.strip_prefix(['-', '−', '⁻']) {
            Some(digits) => (-1, digits),
            None => (1, plain),
        };
        let Some(digit) = digits.chars().next() else { return 1 };
        let raised = SUPERSCRIPTS.iter().position(|s| *s == digit).map(|p| p as u32);
        let Some(power) = digit.to_digit(10).or(raised) else { return 1 };
        self.at = self.text.len() - digits.len() + digit.len_utf8();
        sign * power.cast_signed()
    }
}

const SUPERSCRIPTS: [char; 10] = ['⁰', '¹', '²', '³', '⁴', '⁵', '⁶', '⁷', '⁸', '⁹'];

/// Letters that may stand in a symbol.
pub(crate) fn is_symbol(c: char) -> bool {
    c.is_alphabetic() || matches!(c, '°' | '%')
}

/// Characters that may stand in a unit text, so that the reader knows where it ends.
pub(crate) fn is_unit_text(c: char) -> bool {
    is_symbol(c)
        || c.is_ascii_digit()
        || SUPERSCRIPTS.contains(&c)
        || matches!(c, '/' | '.' | '·' | '*' | '^' | '⁻')
}

/// One symbol with its prefix.
fn lookup(symbol: &str) -> Option<Unit> {
    if symbol.chars().any(|c| SIGNS.iter().any(|(sign, _)| *sign == c)) {
        return lookup(&spelled_out(symbol));
    }
    if let Some(entry) = entries(symbol) {
        return Some(entry.unit);
    }
    let prefix = symbol.chars().next()?;
    let entry = entries(&symbol[prefix.len_utf8()..])?;
    let prefix = entry.prefixes.contains(prefix).then(|| PREFIXES.iter().find(|(p, _)| *p == prefix))??;
    Some(Unit { exp10: entry.unit.exp10 + prefix.1, ..entry.unit })
}

/// Micro sign, Greek mu; Greek omega, ohm sign: escaped, because they look alike and editors normalise them.
const SIGNS: [(char, &str); 4] = [('\u{b5}', "u"), ('\u{3bc}', "u"), ('\u{3a9}', "ohm"), ('\u{2126}', "ohm")];

/// `µΩ` as `uohm`.
pub(crate) fn spelled_out(symbol: &str) -> String {
    SIGNS.iter().fold(symbol.to_owned(), |text, (sign, word)| text.replace(*sign, word))
}

fn entries(symbol: &str) -> Option<&'static Entry> {
    UNITS.iter().find(|entry| entry.symbol == symbol)
}

/// All symbols, with prefixes, that measure this kind; all there are for `None`.
pub(crate) fn symbols(kind: Option<(Dimension, Scale)>) -> Vec<String> {
    let mut found = Vec::new();
    for entry in UNITS {
        let fits = |(dimension, scale)| entry.unit.dimension == dimension && entry.unit.scale == scale;
        if kind.is_none_or(fits) {
            found.push(entry.symbol.to_owned());
            found.extend(entry.prefixes.chars().map(|p| format!("{p}{}", entry.symbol)));
        }
    }
    found
}

/// SI brochure, 9th edition (2019), table 7: those that occur at a door.
const PREFIXES: [(char, i32); 10] = [
    ('p', -12),
    ('n', -9),
    ('u', -6),
    ('m', -3),
    ('c', -2),
    ('h', 2),
    ('k', 3),
    ('M', 6),
    ('G', 9),
    ('T', 12),
];

struct Entry {
    symbol: &'static str,
    unit: Unit,
    /// Prefixes that make sense here; `Mm` or `kdB` would only hide a slip.
    prefixes: &'static str,
}

const fn unit(
    symbol: &'static str,
    dimension: Dimension,
    factor: f64,
    exp10: i32,
    prefixes: &'static str,
) -> Entry {
    Entry { symbol, unit: Unit { factor, exp10, dimension, scale: Scale::Ratio, zero: 0.0 }, prefixes }
}

const fn scale(symbol: &'static str, dimension: Dimension, scale: Scale, factor: f64, zero: f64) -> Entry {
    Entry { symbol, unit: Unit { factor, exp10: 0, dimension, scale, zero }, prefixes: "" }
}

const DAY_S: f64 = 86400.0;
/// 365.25 d / 12 = 30.4375 d, rounded as trade tables do.
const MONTH_S: f64 = 30.44 * DAY_S;
/// Julian year, IAU.
const YEAR_S: f64 = 365.25 * DAY_S;
const KIBI: f64 = 1024.0;

static UNITS: &[Entry] = &[
    unit("m", METRE, 1.0, 0, "kcmun"),
    unit("in", METRE, 0.0254, 0, ""), // exact since 1959
    unit("ft", METRE, 0.3048, 0, ""),
    unit("g", KILOGRAM, 1.0, -3, "kmu"),
    unit("s", SECOND, 1.0, 0, "munp"),
    unit("min", SECOND, 60.0, 0, ""),
    unit("h", SECOND, 3600.0, 0, ""),
    unit("d", SECOND, DAY_S, 0, ""),
    unit("day", SECOND, DAY_S, 0, ""),
    unit("days", SECOND, DAY_S, 0, ""),
    unit("week", SECOND, 7.0 * DAY_S, 0, ""),
    unit("weeks", SECOND, 7.0 * DAY_S, 0, ""),
    unit("month", SECOND, MONTH_S, 0, ""),
    unit("months", SECOND, MONTH_S, 0, ""),
    unit("yr", SECOND, YEAR_S, 0, ""),
    unit("year", SECOND, YEAR_S, 0, ""),
    unit("years", SECOND, YEAR_S, 0, ""),
    unit("a", SECOND, YEAR_S, 0, ""),
    unit("Hz", RATE, 1.0, 0, "mkMGT"),
    unit("fps", RATE, 1.0, 0, ""),
    unit("A", AMPERE, 1.0, 0, "kmunp"),
    unit("C", COULOMB, 1.0, 0, "munp"),
    unit("Ah", COULOMB, 3600.0, 0, "kmu"),
    unit("V", VOLT, 1.0, 0, "kmun"),
    unit("W", WATT, 1.0, 0, "kMmun"),
    unit("Wp", WATT, 1.0, 0, "km"), // peak watt of a panel
    unit("VA", WATT, 1.0, 0, "km"), // a bell transformer's rating; read as power
    unit("Wh", JOULE, 3600.0, 0, "kMmu"),
    unit("J", JOULE, 1.0, 0, "kMmun"),
    unit("ohm", OHM, 1.0, 0, "mkMGu"),
    unit("Ohm", OHM, 1.0, 0, "mkMGu"),
    unit("S", SIEMENS, 1.0, 0, "mun"),
    unit("F", FARAD, 1.0, 0, "munp"),
    unit("H", HENRY, 1.0, 0, "mun"),
    unit("N", NEWTON, 1.0, 0, "km"),
    unit("Pa", PASCAL, 1.0, 0, "hkM"),
    unit("K", KELVIN, 1.0, 0, "mu"),
    scale("degC", KELVIN, Scale::Temperature, 1.0, 0.0),
    scale("°C", KELVIN, Scale::Temperature, 1.0, 0.0),
    scale("degF", KELVIN, Scale::Temperature, 5.0 / 9.0, 32.0),
    scale("°F", KELVIN, Scale::Temperature, 5.0 / 9.0, 32.0),
    unit("rad", RADIAN, 1.0, 0, "mu"),
    unit("deg", RADIAN, PI / 180.0, 0, ""),
    unit("°", RADIAN, PI / 180.0, 0, ""),
    unit("sr", STERADIAN, 1.0, 0, "m"),
    unit("lm", LUMEN, 1.0, 0, "mk"),
    unit("lx", LUX, 1.0, 0, "mk"),
    unit("cd", CANDELA, 1.0, 0, "m"),
    unit("B", BYTE, 1.0, 0, "kMGT"),
    unit("KiB", BYTE, KIBI, 0, ""),
    unit("MiB", BYTE, KIBI * KIBI, 0, ""),
    unit("GiB", BYTE, KIBI * KIBI * KIBI, 0, ""),
    unit("bit", BYTE, 0.125, 0, "kMGT"),
    unit("px", PIXEL, 1.0, 0, "kM"),
    unit("e", ELECTRON, 1.0, 0, "k"),
    unit("%", Dimension::ONE, 1.0, -2, ""),
    unit("ppm", Dimension::ONE, 1.0, -6, ""),
    unit("dB", DECIBEL, 1.0, 0, ""),
    unit("dBi", DECIBEL, 1.0, 0, ""),
    scale("dBm", DECIBEL, Scale::Level, 1.0, 0.0),
    scale("AWG", AREA, Scale::Gauge, 1.0, 0.0),
];
