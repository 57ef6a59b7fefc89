//! Values for the eye: a sensible unit, as many digits as mean something.
//!
//! Three significant digits for a value alone; a width is told to two digits and its value to the same decimal place
//! (JCGM 100:2008, 7.2.6). For text that must read back to the same bits use [`write`](fn@crate::write).

use crate::dimension::{Dimension, ELECTRON, PIXEL};
use crate::ladder::{convert, pick};
use crate::normal::Z95;
use crate::unit::{self, Unit};
use crate::{Quantity, Spread};

/// `value` (in `unit`) with three significant digits in the unit that people use for this size.
///
/// Counts (plain numbers, pixels, electrons) that are whole and below 100,000 keep all their digits. What is printed
/// is a text that [`parse`](crate::parse) reads, except for values that are not finite.
///
/// # Examples
///
/// ```
/// use quantity::show;
/// assert_eq!(show(0.165, "A"), "165 mA");
/// assert_eq!(show(11520.0, "C"), "3.2 Ah");
/// assert_eq!(show(0.75e-6, "m2"), "0.75 mm²");
/// assert_eq!(show(900.0, "s"), "15 min");
/// ```
pub fn show(value: f64, unit: &str) -> String {
    let frame = Frame::new(value, unit);
    frame.with_unit(frame.short(value))
}

/// An interval with one common unit, both ends to the decimal place that tells the width to two digits.
///
/// The ends may come in either order; equal ends are one value.
///
/// # Examples
///
/// ```
/// assert_eq!(quantity::show_between(4.3123, 4.5789, "V"), "4.31 .. 4.58 V");
/// ```
pub fn show_between(low: f64, high: f64, unit: &str) -> String {
    let (low, high) = if high < low { (high, low) } else { (low, high) };
    let finite = [low, high].into_iter().filter(|end| end.is_finite());
    let frame = Frame::new(finite.fold(0.0, |size, end| size.max(end.abs())), unit);
    let (low_told, high_told) = (frame.told(low), frame.told(high));
    let width = high_told - low_told;
    if !(width.is_finite() && width > 0.0) {
        let ends = if low == high {
            frame.short(low)
        } else {
            format!("{} .. {}", frame.short(low), frame.short(high))
        };
        return frame.with_unit(ends);
    }
    let place = two_digits(width);
    frame.with_unit(format!("{} .. {}", rounded(low_told, place), rounded(high_told, place)))
}

/// A value with its spread, digits by the width.
///
/// # Examples
///
/// ```
/// use quantity::{parse, show_quantity};
/// assert_eq!(show_quantity(&parse("3.2 Ah ± 5 %", "C")?, "C"), "3.20 ± 0.16 Ah");
/// # Ok::<(), quantity::ParseError>(())
/// ```
pub fn show_quantity(quantity: &Quantity, unit: &str) -> String {
    let value = quantity.value;
    let frame = Frame::new(value, unit);
    match quantity.spread {
        Spread::Exact => show(value, unit),
        Spread::Uniform { low, high } => show_between(low, high, unit),
        Spread::Normal { sigma } => {
            let width = (frame.told(value + sigma * Z95) - frame.told(value)).abs();
            if !(width.is_finite() && width > 0.0) {
                return show(value, unit);
            }
            let place = two_digits(width);
            let told = format!("{} ± {}", rounded(frame.told(value), place), rounded(width, place));
            frame.with_unit(told)
        }
        Spread::LogNormal { factor95 } => format!("{} ×/ {}", show(value, unit), digits(factor95, 2)),
        Spread::TwoPiece { p5, p95 } => {
            frame.with_unit(format!("{} | {} | {}", frame.short(p5), frame.short(value), frame.short(p95)))
        }
        Spread::TypMax { max } => format!("typ {} max {}", show(value, unit), show(max, unit)),
    }
}

/// The unit in which a group of values is told.
struct Frame<'a> {
    text: &'a str,
    from: Unit,
    to: Unit,
    counts: bool,
}

impl<'a> Frame<'a> {
    fn new(size: f64, unit: &'a str) -> Self {
        // A unit that is none is printed as it stands: showing must not fail.
        let from = unit::wanted(unit).unwrap_or(Unit::ONE);
        let (text, to) = pick(size, unit, from);
        let counts = matches!(from.dimension, Dimension::ONE | PIXEL | ELECTRON) && from.exp10 == 0;
        Self { text, from, to, counts }
    }

    fn told(&self, value: f64) -> f64 {
        convert(value, self.from, self.to)
    }

    fn short(&self, value: f64) -> String {
        let told = self.told(value);
        if self.counts && told.fract() == 0.0 && told.abs() < 1e5 {
            format!("{}", told + 0.0)
        } else {
            digits(told, 3)
        }
    }

    fn with_unit(&self, number: String) -> String {
        match pretty(self.text).as_str() {
            "" => number,
            "°" => number + "°",
            unit => format!("{number} {unit}"),
        }
    }
}

/// A unit text with the signs of print: `um2` as `µm²`, `1/K` as `/K`.
fn pretty(unit: &str) -> String {
    let text = match unit {
        "1" => "",
        _ => unit.strip_prefix('1').unwrap_or(unit),
    };
    let text = match text.strip_prefix('u') {
        Some(rest) => format!("µ{rest}"),
        None => text.to_owned(),
    };
    text.replace("ohm", "Ω").replace("deg", "°").replace('2', "²").replace('3', "³")
}

/// At most `count` significant digits, no trailing zeros; powers of ten only far from 1.
fn digits(x: f64, count: usize) -> String {
    if x.is_nan() {
        return "unknown".to_owned();
    }
    if x.is_infinite() {
        return if x > 0.0 { "∞" } else { "-∞" }.to_owned();
    }
    let short = format!("{x:.*e}", count.saturating_sub(1));
    let near: f64 = short.parse().unwrap_or(x);
    let size = near.abs();
    if size != 0.0 && !(1e-4..1e6).contains(&size) {
        return format!("{near:e}");
    }
    // `{}` of an f64 is its shortest decimal form, here never longer than the digits it was rounded to.
    format!("{}", near + 0.0)
}

/// The power of ten of the second significant digit of a width.
fn two_digits(width: f64) -> i32 {
    // From the printed form, not from a logarithm: 0.0996 rounds up into the next decade.
    let text = format!("{width:.1e}");
    let exponent = text.split_once('e').and_then(|(_, e)| e.parse::<i32>().ok()).unwrap_or(0);
    exponent - 1
}

/// Rounded to a multiple of 10^`place`, zeros kept so that the two ends of an interval line up.
fn rounded(x: f64, place: i32) -> String {
    // Twelve decimals are more than any width here means, and keep a hostile one from printing hundreds.
    if place <= 0 {
        let decimals = place.unsigned_abs().min(12) as usize;
        let text = format!("{x:.decimals$}");
        return if text.trim_matches(['-', '0', '.']).is_empty() {
            text.trim_start_matches('-').to_owned()
        } else {
            text
        };
    }
    let step = 10f64.powi(place);
    let near = (x / step).round() * step;
    if near.abs() < 1e15 { format!("{}", near + 0.0) } else { format!("{near:e}") }
}
