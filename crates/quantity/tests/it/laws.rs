//! Laws that hold for every text and every value.

use proptest::prelude::*;
use quantity::{Quantity, Size, Spread, parse, show, show_between, show_quantity, write};

use crate::spread::any_spread;

const RATIO_UNITS: &[&str] = &[
    "V", "A", "W", "ohm", "F", "H", "Hz", "1/s", "m", "m2", "s", "kg", "C", "J", "rad", "K", "K/W", "W/m2K",
    "W/m2", "lx", "lm", "cd", "B", "KiB", "bit/s", "B/s", "px", "px/m", "e", "1", "%", "N", "Pa", "pF/m",
    "ohm/m", "mm2", "mAh", "dB/m", "W/sr", "%/month", "1/K",
];
const OTHER_UNITS: &[&str] = &["degC", "degF", "dBm", "dB", "dBi"];

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 4.0 * f64::EPSILON * a.abs().max(b.abs())
}

fn same_within_rounding(a: &Quantity, b: &Quantity) -> bool {
    let spreads = match (a.spread, b.spread) {
        (Spread::Normal { sigma: a }, Spread::Normal { sigma: b }) => close(a, b),
        (a, b) => a == b,
    };
    a.value == b.value && spreads
}

proptest! {

    #[test]
    fn what_is_written_is_read_back((value, spread) in any_spread()) {
        for unit in RATIO_UNITS.iter().chain(OTHER_UNITS) {
            if OTHER_UNITS.contains(unit)
                && !matches!(spread, Spread::Exact | Spread::Normal { .. } | Spread::Uniform { .. })
            {
                continue;
            }
            let quantity = Quantity { value, spread };
            let text = write(&quantity, unit);
            let read = parse(&text, unit);
            prop_assert!(read.is_ok(), "{text:?} in {unit}: {read:?}");
            let read = read.unwrap();
            prop_assert!(same_within_rounding(&read, &quantity), "{text:?} in {unit}: {read:?} for {quantity:?}");
            // A quantity that was read comes back bit for bit.
            prop_assert_eq!(parse(&write(&read, unit), unit).unwrap(), read, "{} in {}", text, unit);
        }
    }

    #[test]
    fn few_digits_in_any_unit_survive(mantissa in -999..999i32, exponent in -9..6i32, percent in 1..90u8) {
        for unit in RATIO_UNITS {
            let text = format!("{mantissa}e{exponent} {} ± {percent} %", if *unit == "1" { "" } else { unit });
            let read = parse(&text, unit).unwrap();
            prop_assert_eq!(parse(&write(&read, unit), unit).unwrap(), read, "{} in {}", text, unit);
        }
    }

    #[test]
    fn shown_values_read_back_to_their_digits(exponent in -14.0..14.0f64, negative in any::<bool>()) {
        let value = 10f64.powf(exponent) * if negative { -1.0 } else { 1.0 };
        for unit in RATIO_UNITS.iter().chain(OTHER_UNITS) {
            let text = show(value, unit);
            let read = parse(&text, unit);
            prop_assert!(read.is_ok(), "{text:?} in {unit}: {read:?}");
            let read = read.unwrap().value;
            // Three digits: half a unit of the third. degF is shown as such, so no other zero enters.
            prop_assert!((read - value).abs() <= 0.00501 * value.abs(), "{text:?} in {unit}: {read}");
        }
    }

    #[test]
    fn shown_intervals_read_back_to_two_digits_of_their_width(start in -1e3..1e3f64, exponent in -6.0..6.0f64) {
        let width = 10f64.powf(exponent);
        for unit in RATIO_UNITS.iter().chain(OTHER_UNITS) {
            let text = show_between(start, start + width, unit);
            match parse(&text, unit).map(|read| read.spread) {
                Ok(Spread::Uniform { low, high }) => {
                    prop_assert!((low - start).abs() <= 0.051 * width, "{text} in {unit}");
                    prop_assert!((high - start - width).abs() <= 0.051 * width, "{text} in {unit}");
                }
                other => prop_assert!(false, "{text:?} in {unit}: {other:?}"),
            }
        }
    }

    #[test]
    fn no_text_panics(text in ".{0,40}", unit in ".{0,8}") {
        never_panics(&text, &unit);
    }

    /// Strings made of the pieces of the grammar reach much deeper than noise.
    #[test]
    fn no_text_of_known_pieces_panics(
        pieces in prop::collection::vec(prop::sample::select(PIECES), 0..12), unit in prop::sample::select(RATIO_UNITS),
    ) {
        let text = pieces.concat();
        never_panics(&text, unit);
        never_panics("5", &text);
        if let Ok(read) = parse(&text, unit) {
            prop_assert!(read.value.is_finite());
            prop_assert_eq!(parse(&write(&read, unit), unit).unwrap(), read, "{:?} in {}", text, unit);
        }
    }

    #[test]
    fn sizes_round_trip(width_px in 1..=u16::MAX, height_px in 1..=u16::MAX) {
        let size = Size { width_px, height_px };
        prop_assert_eq!(size.to_string().parse(), Ok(size));
    }
}

const PIECES: &[&str] = &[
    "1", "20", "0.5", "-3", "−7", "1e9", "1e308", "1e-320", ".", "..", ",", " ", " ", "±", "+-", "+/-", "x/",
    "×/", "|", "typ ", "max ", "%", " % ", "mm2", "V", " mA", "µ", "Ω", "°", "degC", "deg", "AWG", "/", "(",
    ")", "^", "-", "²", "⁻", "·", "KiB", "s", "K/W", "🚪", "\u{301}", "e", "x600", "NaN",
];

fn never_panics(text: &str, unit: &str) {
    if let Err(error) = parse(text, unit) {
        assert!(text.get(error.at.clone()).is_some(), "{text:?}: {:?} is no place in it", error.at);
        assert!(error.column(text) <= text.chars().count() + 1);
        let told = error.to_string();
        assert!(
            !told.is_empty() && !told.contains('\n') && !told.ends_with('.') || text.contains(['\n', '.']),
            "{told}"
        );
        let _ = error.hint();
    }
    let _ = text.parse::<Size>().map_err(|error| (error.to_string(), error.column(text)));
    for value in [0.0, -1.5, 1e300, 5e-324, f64::NAN, f64::INFINITY] {
        let _ = (show(value, unit), show_between(value, 1.0, unit));
        let quantity = Quantity { value, spread: Spread::Normal { sigma: value } };
        let _ = (write(&quantity, unit), show_quantity(&quantity, unit));
        let _ = Spread::TypMax { max: value }.quantile(value, (value, 1.0), 0.5);
    }
}
