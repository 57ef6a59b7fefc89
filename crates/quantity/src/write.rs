//! From a quantity to text that reads back to the same bits.
//!
//! Several texts are tried, in units that people use and rounded to few digits, and each is *read back*: only one that
//! gives the same quantity counts. So this file needs no care about rounding, only the reader does.

use crate::ladder::{convert, pick};
use crate::normal::Z95;
use crate::read::parse;
use crate::unit::{self, Unit};
use crate::{Quantity, Spread};

/// Text that [`parse`]`(_, unit)` reads back to `quantity`, in the unit that people use for this size where that takes
/// few digits.
///
/// For every quantity that `parse` made the same bits come back. One made otherwise may differ in the last two digits
/// of an `f64` (a `sigma` for which no width exists), and one that breaks the rules of its [`Spread`] (not finite,
/// reversed, value of a uniform not in its middle) is written all the same, for the reader to refuse or correct.
///
/// # Examples
///
/// ```
/// use quantity::{parse, write};
/// assert_eq!(write(&parse("800 mA .. 1.2 A", "A")?, "A"), "0.8 .. 1.2 A");
/// assert_eq!(write(&parse("-8 deg", "rad")?, "rad"), "-8 deg");
/// # Ok::<(), quantity::ParseError>(())
/// ```
pub fn write(quantity: &Quantity, unit: &str) -> String {
    let want = unit::wanted(unit).unwrap_or(Unit::ONE);
    let size = match quantity.spread {
        Spread::Uniform { low, high } => low.abs().max(high.abs()),
        _ => quantity.value,
    };
    let (usual, usual_unit) = pick(size, unit, want);
    let told = |x: f64| few(convert(x, want, usual_unit));
    let tries: [(&str, &dyn Fn(f64) -> String); 2] = [(usual, &told), (unit, &few)];
    for (unit_text, number) in tries {
        let same = |text: &String| parse(text, unit).is_ok_and(|read| read == *quantity);
        let texts = [Width::Absolute, Width::Relative].map(|how| text(quantity, unit_text, number, how));
        if let Some(text) = texts.into_iter().filter(same).min_by_key(|text| text.chars().count()) {
            return text;
        }
    }
    exact(quantity, unit)
}

/// The text with every digit, in the wanted unit itself.
fn exact(quantity: &Quantity, unit: &str) -> String {
    if let (Spread::Normal { sigma }, "%") = (quantity.spread, unit) {
        // `± 2 %` would be relative, so the width is told in ppm, its point shifted in the text: no rounding.
        let told = format!("{:e}", width(sigma));
        let (mantissa, exponent) = told.split_once('e').unwrap_or((&told, "0"));
        let exponent = exponent.parse::<i32>().unwrap_or(0) + 4;
        return format!("{} % ± {mantissa}e{exponent} ppm", full(quantity.value));
    }
    text(quantity, unit, &full, Width::Absolute)
}

#[derive(Clone, Copy)]
enum Width {
    Relative,
    Absolute,
}

fn text(quantity: &Quantity, unit: &str, number: &dyn Fn(f64) -> String, how: Width) -> String {
    let value = quantity.value;
    let unit = match unit {
        "1" | "" => String::new(),
        _ => format!(" {}", unit.strip_prefix('1').unwrap_or(unit)),
    };
    let told = number(value);
    match (quantity.spread, how) {
        (Spread::Exact, _) => format!("{told}{unit}"),
        (Spread::Normal { sigma }, Width::Relative) => {
            format!("{told}{unit} ± {} %", few(100.0 * width(sigma) / value.abs()))
        }
        (Spread::Normal { sigma }, Width::Absolute) => {
            format!("{told} ± {}{unit}", number(width(sigma)))
        }
        (Spread::Uniform { low, high }, _) => format!("{} .. {}{unit}", number(low), number(high)),
        (Spread::LogNormal { factor95 }, _) => format!("{told}{unit} x/ {}", full(factor95)),
        (Spread::TwoPiece { p5, p95 }, _) => format!("{} | {told} | {}{unit}", number(p5), number(p95)),
        (Spread::TypMax { max }, _) => format!("typ {told} max {}{unit}", number(max)),
    }
}

/// The half width whose sigma this is: where rounding allows, the one that gives exactly `sigma` again.
fn width(sigma: f64) -> f64 {
    let near = sigma * Z95;
    [near, near.next_down(), near.next_up()].into_iter().find(|width| width / Z95 == sigma).unwrap_or(near)
}

/// At most twelve digits: what a person typed is shorter, what a sum left behind is longer.
fn few(x: f64) -> String {
    let near: f64 = format!("{x:.11e}").parse().unwrap_or(x);
    full(near)
}

/// The shortest decimal form with the same bits.
fn full(x: f64) -> String {
    if x == 0.0 || (1e-4..1e9).contains(&x.abs()) { format!("{}", x + 0.0) } else { format!("{x:e}") }
}
