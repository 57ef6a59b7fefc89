//! Which unit a person would use for a size: 0.165 A is told as 165 mA, 900 s as 15 min.
//!
//! The steps are texts in the grammar of units, so no factor stands here a second time.

use crate::dimension::{
    AMPERE, AREA, BYTE, COULOMB, Dimension, FARAD, HENRY, JOULE, KILOGRAM, METRE, OHM, RADIAN, RATE, SECOND,
    Scale, VOLT, WATT,
};
use crate::unit::{self, Unit};

/// A unit and the value in it from which on it is used.
type Step = (&'static str, f64);

/// The unit text in which to tell `size` (a magnitude in `want` units), and that unit; the wanted one where no other
/// is usual.
pub(crate) fn pick(size: f64, want: &str, unit: Unit) -> (&str, Unit) {
    let size = if size.is_finite() && size != 0.0 { size.abs() } else { 1.0 };
    let steps = steps(want, unit);
    let reaches = |(text, from): &&Step| {
        unit::parse(text).is_ok_and(|step| {
            // As it will be printed: 999.6 mA is told as 1 A.
            let told = format!("{:.2e}", convert(size, unit, step)).parse::<f64>();
            told.is_ok_and(|told| told >= *from)
        })
    };
    let chosen = steps.iter().rev().find(reaches).or(steps.first());
    chosen.and_then(|(text, _)| Some((*text, unit::parse(text).ok()?))).unwrap_or((want, unit))
}

/// A value of one unit in another of the same kind.
pub(crate) fn convert(value: f64, from: Unit, to: Unit) -> f64 {
    if from == to {
        return value;
    }
    // Dividing by a power of ten is exact to the last digit, multiplying by its inverse is not.
    let shift = from.exp10 - to.exp10;
    let scaled = (value - from.zero) * (from.factor / to.factor);
    let shifted = if shift < 0 { scaled / 10f64.powi(-shift) } else { scaled * 10f64.powi(shift) };
    shifted + to.zero
}

fn steps(want: &str, unit: Unit) -> &'static [Step] {
    if unit.scale != Scale::Ratio {
        return &[];
    }
    // Kinds that share a dimension follow the word that was wanted.
    let told = if want.contains("Hz") {
        HERTZ
    } else if want.contains("iB") {
        BINARY
    } else if want == "bit" {
        BITS
    } else if want.contains("bit/") {
        BIT_RATES
    } else if unit.dimension == BYTE / SECOND {
        BYTE_RATES
    } else {
        LADDERS
            .iter()
            .find(|(dimension, _)| *dimension == unit.dimension)
            .map_or(&[][..], |(_, steps)| *steps)
    };
    // `GiB/m` and the like: the word fits, the kind does not.
    let kind = told.first().and_then(|(text, _)| unit::parse(text).ok());
    if kind.is_some_and(|step| step.dimension == unit.dimension) { told } else { &[] }
}

const HERTZ: &[Step] = &[("mHz", 0.0), ("Hz", 1.0), ("kHz", 1.0), ("MHz", 1.0), ("GHz", 1.0)];
const BINARY: &[Step] = &[("B", 0.0), ("KiB", 1.0), ("MiB", 1.0), ("GiB", 1.0)];
const BITS: &[Step] = &[("bit", 0.0), ("kbit", 1.0), ("Mbit", 1.0), ("Gbit", 1.0)];
const BIT_RATES: &[Step] = &[("bit/s", 0.0), ("kbit/s", 1.0), ("Mbit/s", 1.0), ("Gbit/s", 1.0)];
const BYTE_RATES: &[Step] = &[("B/s", 0.0), ("kB/s", 1.0), ("MB/s", 1.0), ("GB/s", 1.0)];

static LADDERS: &[(Dimension, &[Step])] = &[
    (METRE, &[("um", 0.0), ("mm", 0.1), ("m", 0.1), ("km", 1.0)]),
    (AREA, &[("mm2", 0.0), ("m2", 0.01)]),
    (KILOGRAM, &[("mg", 0.0), ("g", 1.0), ("kg", 1.0)]),
    (
        SECOND,
        &[
            ("ns", 0.0),
            ("us", 1.0),
            ("ms", 1.0),
            ("s", 1.0),
            ("min", 2.0),
            ("h", 2.0),
            ("days", 2.0),
            ("years", 2.0),
        ],
    ),
    // Callers are counted by the day until there are many.
    (RATE, &[("/yr", 0.0), ("/day", 1.0), ("/h", 10.0), ("/s", 0.1)]),
    (AMPERE, &[("nA", 0.0), ("uA", 1.0), ("mA", 1.0), ("A", 1.0)]),
    (VOLT, &[("uV", 0.0), ("mV", 1.0), ("V", 1.0)]),
    (WATT, &[("nW", 0.0), ("uW", 1.0), ("mW", 1.0), ("W", 1.0), ("kW", 1.0)]),
    (OHM, &[("mohm", 0.0), ("ohm", 1.0), ("kohm", 1.0), ("Mohm", 1.0)]),
    // Capacitors are sold as 2200 µF, not 2.2 mF.
    (FARAD, &[("pF", 0.0), ("nF", 1.0), ("uF", 1.0), ("F", 0.1)]),
    (HENRY, &[("nH", 0.0), ("uH", 1.0), ("mH", 1.0), ("H", 1.0)]),
    (COULOMB, &[("nC", 0.0), ("uC", 1.0), ("uAh", 1.0), ("mAh", 1.0), ("Ah", 1.0)]),
    (JOULE, &[("nJ", 0.0), ("uJ", 1.0), ("mJ", 1.0), ("J", 1.0), ("Wh", 0.1), ("kWh", 1.0)]),
    (RADIAN, &[("deg", 0.0)]),
    (BYTE, &[("B", 0.0), ("kB", 1.0), ("MB", 1.0), ("GB", 1.0)]),
];
