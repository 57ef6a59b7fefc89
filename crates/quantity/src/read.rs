//! From text to a value with its spread; the grammar stands on top of the crate.

use std::ops::Range;

use crate::dimension::{self, Scale};
use crate::error::{ErrorKind, ParseError};
use crate::nearest::nearest;
use crate::normal::Z95;
use crate::number::{self, Number};
use crate::unit::{self, Unit};
use crate::{Quantity, Spread};

/// Longest text that is read, in bytes; the longest that [`write`](fn@crate::write) makes is below it.
const LENGTH_MAX: usize = 256;

/// Reads `text` as a quantity in the unit `want`; the result is in that unit.
///
/// - `want`: a unit such as `V`, `m2`, `1/s`, `K/W`, `degC`; `1` for a plain number.
///
/// Spreads: `a ± b` is normal with 95 % within ±b; `a .. b` uniform; `a x/ f` lognormal with 95 % between a/f and a·f;
/// `p5 | a | p95` two lognormal halves; `typ a max b` lognormal with 3 sigma at b. A spread of no width is
/// [`Spread::Exact`]. The range of the field is not checked here: a text does not know it.
///
/// # Errors
///
/// The first thing that is wrong, with its place in `text` and what would be right; see [`ErrorKind`].
///
/// # Source
///
/// `AWG`: ASTM B258, diameter 0.127 mm × 92^((36 − n)/39) (formula from memory; 20 AWG has 0.812 mm, by hand).
///
/// # Examples
///
/// ±5 % of 3.2 Ah is 0.16 Ah = 576 C; one sigma is 576 / 1.959964 = 293.88 C:
///
/// ```
/// use quantity::{Spread, parse};
/// let cell = parse("3.2 Ah ± 5 %", "C")?;
/// assert_eq!(cell.value, 11520.0);
/// let Spread::Normal { sigma } = cell.spread else { panic!() };
/// assert!((sigma - 293.88).abs() < 0.005);
/// # Ok::<(), quantity::ParseError>(())
/// ```
pub fn parse(text: &str, want: &str) -> Result<Quantity, ParseError> {
    let Some(unit) = unit::wanted(want) else {
        return Err(ParseError::new(0..text.len(), ErrorKind::WantedUnit { want: want.to_owned() }));
    };
    if text.len() > LENGTH_MAX {
        return Err(ParseError::new(0..text.len(), ErrorKind::TooLong { max: LENGTH_MAX }));
    }
    let mut reader = Reader { text, at: 0, want, unit };
    reader.skip_spaces();
    if reader.rest().is_empty() {
        return Err(ParseError::new(0..text.len(), ErrorKind::Empty { want: want.to_owned() }));
    }
    reader.quantity()
}

/// A number as it stands in the text, with the unit that follows it.
struct Term {
    number: Number,
    number_at: Range<usize>,
    unit: Option<Unit>,
    at: Range<usize>,
}

struct Reader<'a> {
    text: &'a str,
    at: usize,
    want: &'a str,
    unit: Unit,
}

impl<'a> Reader<'a> {
    fn quantity(&mut self) -> Result<Quantity, ParseError> {
        if self.take_word("typ") {
            return self.typ_max();
        }
        let first = self.term()?;
        if self.rest().is_empty() {
            return Ok(Quantity::exact(self.value(&first, None)?));
        }
        if self.take_any(&["±", "+-", "+/-", "+−"]) {
            self.plus_minus(&first)
        } else if self.take_any(&[".."]) {
            self.range(&first)
        } else if self.take_any(&["x/", "×/"]) {
            self.factor(&first)
        } else if self.take_any(&["|"]) {
            self.quantiles(&first)
        } else {
            Err(self.unexpected())
        }
    }

    fn plus_minus(&mut self, first: &Term) -> Result<Quantity, ParseError> {
        let second = self.term()?;
        let percent =
            self.text.get(second.number_at.end..second.at.end).is_some_and(|unit| unit.trim() == "%");
        if second.number.shifted(0).is_some_and(|width| width < 0.0) {
            return Err(ParseError::new(second.number_at, ErrorKind::NegativeWidth));
        }
        if percent {
            if first.unit.is_none() && self.rest().starts_with(unit::is_symbol) {
                return Err(self.unit_after_percent(first, &second));
            }
            self.end()?;
            let value = self.value(first, None)?;
            if !self.unit.has_ratios() {
                return Err(self.no_ratio(second.at, "a percentage"));
            }
            let share = self.number(&second, -2)?;
            return Ok(normal(value, value.abs() * share));
        }
        self.end()?;
        let value = self.value(first, second.unit)?;
        let width = self.difference(&second)?;
        Ok(normal(value, width))
    }

    fn range(&mut self, first: &Term) -> Result<Quantity, ParseError> {
        let second = self.term()?;
        self.end()?;
        let low = self.value(first, second.unit)?;
        let high = self.value(&second, None)?;
        if low > high {
            let right = format!("{} .. {}", self.slice(&second.at), self.slice(&first.at));
            let right = if first.unit.is_some() {
                right
            } else {
                let unit = self.slice(&(second.number_at.end..second.at.end));
                format!("{} .. {}{unit}", self.slice(&second.number_at), self.slice(&first.number_at))
            };
            return Err(ParseError::new(first.at.start..second.at.end, ErrorKind::Reversed { right }));
        }
        let spread = if low == high { Spread::Exact } else { Spread::Uniform { low, high } };
        Ok(Quantity { value: low.midpoint(high), spread })
    }

    fn factor(&mut self, first: &Term) -> Result<Quantity, ParseError> {
        let second = self.bare()?;
        self.end()?;
        let value = self.ratio_value(first, None, "a factor")?;
        let factor95 = self.number(&second, 0)?;
        if factor95 < 1.0 {
            return Err(ParseError::new(second.at, ErrorKind::SmallFactor));
        }
        let spread = if factor95 == 1.0 { Spread::Exact } else { Spread::LogNormal { factor95 } };
        Ok(Quantity { value, spread })
    }

    fn quantiles(&mut self, first: &Term) -> Result<Quantity, ParseError> {
        const FORM: &str = "5 | 50 | 95 % values";
        let second = self.term()?;
        if !self.take_any(&["|"]) {
            return Err(self.missing("`|` with the 95 % value"));
        }
        let third = self.term()?;
        self.end()?;
        let p5 = self.ratio_value(first, second.unit.or(third.unit), FORM)?;
        let value = self.ratio_value(&second, third.unit, FORM)?;
        let p95 = self.ratio_value(&third, None, FORM)?;
        if !(p5 < value && value < p95) {
            return Err(ParseError::new(first.at.start..third.at.end, ErrorKind::NotRising { form: FORM }));
        }
        Ok(Quantity { value, spread: Spread::TwoPiece { p5, p95 } })
    }

    fn typ_max(&mut self) -> Result<Quantity, ParseError> {
        const FORM: &str = "typ and max";
        let first = self.term()?;
        if !self.take_word("max") {
            return Err(if self.rest().is_empty() {
                self.missing("`max` with its value")
            } else {
                self.unexpected()
            });
        }
        let second = self.term()?;
        self.end()?;
        let value = self.ratio_value(&first, second.unit, FORM)?;
        let max = self.ratio_value(&second, None, FORM)?;
        if value >= max {
            return Err(ParseError::new(first.at.start..second.at.end, ErrorKind::NotRising { form: FORM }));
        }
        Ok(Quantity { value, spread: Spread::TypMax { max } })
    }

    // ---- values

    /// The value of a term in wanted units; `shared` is the unit of a later term that holds for this one too.
    fn value(&self, term: &Term, shared: Option<Unit>) -> Result<f64, ParseError> {
        let unit = self.unit_of(term, shared)?;
        let wanted_scale = if unit.scale == Scale::Gauge { Scale::Ratio } else { unit.scale };
        if unit.dimension != self.unit.dimension || wanted_scale != self.unit.scale {
            return Err(self.wrong_dimension(term, unit));
        }
        if unit == self.unit {
            return self.number(term, 0);
        }
        match unit.scale {
            Scale::Gauge => self.gauge(term),
            _ if unit.zero != self.unit.zero => {
                let base = (self.number(term, 0)? - unit.zero) * unit.factor;
                Ok(base / self.unit.factor + self.unit.zero)
            }
            _ => self.scaled(term, unit),
        }
    }

    /// A width in wanted units: on a temperature scale a kelvin, on a level a decibel.
    fn difference(&self, term: &Term) -> Result<f64, ParseError> {
        let unit = self.unit_of(term, None)?;
        if unit.dimension != self.unit.dimension || unit.scale == Scale::Gauge {
            return Err(self.wrong_dimension(term, unit));
        }
        self.scaled(term, unit)
    }

    fn ratio_value(&self, term: &Term, shared: Option<Unit>, form: &'static str) -> Result<f64, ParseError> {
        let value = self.value(term, shared)?;
        if !self.unit.has_ratios() {
            return Err(self.no_ratio(term.at.clone(), form));
        }
        if value <= 0.0 {
            return Err(ParseError::new(term.at.clone(), ErrorKind::NotPositive { form }));
        }
        Ok(value)
    }

    fn unit_of(&self, term: &Term, shared: Option<Unit>) -> Result<Unit, ParseError> {
        match term.unit.or(shared) {
            Some(unit) => Ok(unit),
            None if self.unit.is_plain() => Ok(Unit::ONE),
            None => {
                let found = self.slice(&term.number_at).to_owned();
                let kind = ErrorKind::MissingUnit { found, want: self.want.to_owned() };
                Err(ParseError::new(term.number_at.clone(), kind))
            }
        }
    }

    /// Shifts the decimal point in the text first, so that `165 mA` is the nearest f64 to 0.165.
    fn scaled(&self, term: &Term, unit: Unit) -> Result<f64, ParseError> {
        let shifted = self.number(term, unit.exp10 - self.unit.exp10)?;
        let value = if unit.factor == self.unit.factor {
            shifted
        } else {
            shifted * (unit.factor / self.unit.factor)
        };
        if value.is_finite() { Ok(value) } else { Err(self.out_of_numbers(term)) }
    }

    fn gauge(&self, term: &Term) -> Result<f64, ParseError> {
        let gauge = self.number(term, 0)?;
        if gauge.fract() != 0.0 || !(0.0..=40.0).contains(&gauge) {
            return Err(ParseError::new(term.number_at.clone(), ErrorKind::Gauge));
        }
        let diameter_m = 0.127e-3 * 92f64.powf((36.0 - gauge) / 39.0);
        let area_m2 = std::f64::consts::PI / 4.0 * diameter_m * diameter_m;
        Ok(area_m2 / (self.unit.factor * 10f64.powi(self.unit.exp10)))
    }

    fn number(&self, term: &Term, shift: i32) -> Result<f64, ParseError> {
        term.number.shifted(shift).ok_or_else(|| self.out_of_numbers(term))
    }

    // ---- words

    fn rest(&self) -> &'a str {
        &self.text[self.at..]
    }

    fn slice(&self, at: &Range<usize>) -> &'a str {
        self.text.get(at.clone()).unwrap_or_default()
    }

    fn skip_spaces(&mut self) {
        self.at = self.text.len() - self.rest().trim_start().len();
    }

    /// One of the signs, and the spaces behind it.
    fn take_any(&mut self, signs: &[&str]) -> bool {
        for sign in signs {
            if self.rest().starts_with(sign) {
                self.at += sign.len();
                self.skip_spaces();
                return true;
            }
        }
        false
    }

    fn starts_with_word(&self, word: &str) -> bool {
        let rest = self.rest();
        rest.get(..word.len()).is_some_and(|start| start.eq_ignore_ascii_case(word))
            && !rest[word.len()..].starts_with(char::is_alphanumeric)
    }

    fn take_word(&mut self, word: &str) -> bool {
        let found = self.starts_with_word(word);
        if found {
            self.at += word.len();
            self.skip_spaces();
        }
        found
    }

    /// A number and the unit behind it, and the spaces behind those.
    fn term(&mut self) -> Result<Term, ParseError> {
        let mut term = self.bare()?;
        let operator =
            self.starts_with_word("max") || ["x/", "×/", ".."].iter().any(|s| self.rest().starts_with(s));
        let start = self.at;
        let one_over = self.rest().starts_with("1/");
        if operator || !(one_over || self.rest().starts_with(|c| unit::is_symbol(c) || c == '/')) {
            return Ok(term);
        }
        let text = &self.rest()[..unit_length(self.rest())];
        match unit::parse(text) {
            Ok(unit) => {
                self.at = start + text.len();
                term.unit = Some(unit);
                term.at.end = self.at;
                self.skip_spaces();
                Ok(term)
            }
            Err(wrong) => Err(self.unknown_unit(start, text, &wrong)),
        }
    }

    /// A number alone, and the spaces behind it.
    fn bare(&mut self) -> Result<Term, ParseError> {
        let start = self.at;
        let Some((number, length)) = number::read(self.rest()) else {
            let found = word(self.rest()).to_owned();
            return Err(ParseError::new(start..start + found.len(), ErrorKind::NumberExpected { found }));
        };
        self.at += length;
        let at = start..self.at;
        if let Some(after) = self.rest().strip_prefix(',')
            && after.starts_with(|c: char| c.is_ascii_digit())
        {
            let digits = after.bytes().take_while(u8::is_ascii_digit).count();
            let right = format!("{}.{}", self.slice(&at), &after[..digits]);
            return Err(ParseError::new(start..self.at + 1 + digits, ErrorKind::Comma { right }));
        }
        self.skip_spaces();
        Ok(Term { number, number_at: at.clone(), unit: None, at })
    }

    fn end(&self) -> Result<(), ParseError> {
        if self.rest().is_empty() { Ok(()) } else { Err(self.unexpected()) }
    }

    // ---- errors

    fn unexpected(&self) -> ParseError {
        let found = word(self.rest()).to_owned();
        ParseError::new(self.at..self.at + found.len(), ErrorKind::Unexpected { found })
    }

    fn missing(&self, what: &'static str) -> ParseError {
        ParseError::new(self.at..self.at, ErrorKind::Missing { what })
    }

    fn no_ratio(&self, at: Range<usize>, form: &'static str) -> ParseError {
        ParseError::new(at, ErrorKind::NoRatio { form, want: self.want.to_owned() })
    }

    fn out_of_numbers(&self, term: &Term) -> ParseError {
        let found = self.slice(&term.number_at).to_owned();
        ParseError::new(term.number_at.clone(), ErrorKind::OutOfNumbers { found })
    }

    fn wrong_dimension(&self, term: &Term, unit: Unit) -> ParseError {
        let kind = ErrorKind::WrongDimension {
            found: self.slice(&term.at).to_owned(),
            is: dimension::words(unit.dimension, unit.scale).map(|words| words.name),
            number: self.slice(&term.number_at).to_owned(),
            want: self.want.to_owned(),
        };
        ParseError::new(term.at.clone(), kind)
    }

    fn unit_after_percent(&self, first: &Term, second: &Term) -> ParseError {
        let length = unit_length(self.rest());
        let unit = &self.rest()[..length];
        let right = format!("{} {unit} ± {}", self.slice(&first.number_at), self.slice(&second.at));
        ParseError::new(self.at..self.at + length, ErrorKind::UnitAfterPercent { right })
    }

    fn unknown_unit(&self, start: usize, text: &str, wrong: &unit::NoUnit) -> ParseError {
        let symbol = if wrong.symbol.is_empty() { text } else { &wrong.symbol };
        let at = if wrong.symbol.is_empty() {
            start..start + text.len()
        } else {
            start + wrong.at.start..start + wrong.at.end
        };
        let alike = |kind| {
            let known = unit::symbols(kind);
            nearest(&unit::spelled_out(symbol), known.iter().map(String::as_str)).map(str::to_owned)
        };
        // Two letters are near to too many units of all kinds.
        let elsewhere = || if symbol.chars().count() > 2 { alike(None) } else { None };
        let kind = ErrorKind::UnknownUnit {
            unit: symbol.to_owned(),
            want: self.want.to_owned(),
            nearest: alike(Some((self.unit.dimension, self.unit.scale))).or_else(elsewhere),
        };
        ParseError::new(at, kind)
    }
}

fn normal(value: f64, width: f64) -> Quantity {
    let spread = if width == 0.0 { Spread::Exact } else { Spread::Normal { sigma: width / Z95 } };
    Quantity { value, spread }
}

/// Bytes of the unit text at the start of `rest`: up to a space outside brackets, a sign, or the dots of a range.
fn unit_length(rest: &str) -> usize {
    let mut inside = false;
    for (at, c) in rest.char_indices() {
        let after = &rest[at + c.len_utf8()..];
        let goes_on = match c {
            '(' => {
                inside = true;
                true
            }
            ')' => std::mem::replace(&mut inside, false),
            ' ' => inside,
            '-' | '−' => after.starts_with(|next: char| next.is_ascii_digit()),
            '.' => !after.starts_with('.'),
            _ => unit::is_unit_text(c),
        };
        if !goes_on {
            return at;
        }
    }
    rest.len()
}

/// What stands at the start of `rest`, for a message: up to a space, at most 24 characters.
fn word(rest: &str) -> &str {
    let end = rest.char_indices().take(24).find(|(_, c)| c.is_whitespace()).map(|(at, _)| at);
    let most = rest.char_indices().nth(24).map_or(rest.len(), |(at, _)| at);
    &rest[..end.unwrap_or(most)]
}
