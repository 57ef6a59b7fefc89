//! What people write.

use quantity::{Quantity, Size, Spread, parse};

fn read(text: &str, want: &str) -> Quantity {
    parse(text, want).unwrap_or_else(|error| panic!("{text:?} as {want:?}: {error}"))
}

fn near(found: f64, wanted: f64) {
    // Four roundings of an f64.
    assert!((found - wanted).abs() <= 1e-15 * wanted.abs(), "{found:e} instead of {wanted:e}");
}

/// Values by the definitions of the SI brochure (9th ed.), worked by hand.
#[test]
fn values_become_the_wanted_unit() {
    for (text, want, value) in [
        ("165 mA", "A", 0.165),
        ("165mA", "A", 0.165),
        ("  12 V ", "V", 12.0),
        ("1.35 m", "m", 1.35),
        ("0.75 mm2", "m2", 0.75e-6),
        ("0.75 mm²", "m2", 0.75e-6),
        ("0.75 mm^2", "m2", 0.75e-6),
        ("3.2 Ah", "C", 11520.0),
        ("3200 mAh", "C", 11520.0),
        ("1.5 Wh", "J", 5400.0),
        ("10 /s", "1/s", 10.0),
        ("10/s", "1/s", 10.0),
        ("10 1/s", "1/s", 10.0),
        ("10 Hz", "1/s", 10.0),
        ("86400 /day", "/s", 1.0),
        ("86400 /d", "1/s", 1.0),
        ("15 min", "s", 900.0),
        ("1 month", "s", 2630016.0),
        ("1 yr", "s", 31557600.0),
        ("2.4 GHz", "Hz", 2.4e9),
        ("-62 dBm", "dBm", -62.0),
        ("−62 dBm", "dBm", -62.0),
        ("3 dBi", "dB", 3.0),
        ("60 uA", "A", 60e-6),
        ("60 \u{b5}A", "A", 60e-6),
        ("60 \u{3bc}A", "A", 60e-6),
        ("180 deg", "rad", std::f64::consts::PI),
        ("-8°", "rad", -8.0 * std::f64::consts::PI / 180.0),
        ("38 °C", "degC", 38.0),
        ("100.4 degF", "degC", 38.0),
        ("-40 degF", "degC", -40.0),
        ("35 %", "1", 0.35),
        ("0.35", "1", 0.35),
        (".35", "1", 0.35),
        ("5e-3", "1", 0.005),
        ("1.6e3 V", "V", 1600.0),
        ("520 KiB", "B", 532480.0),
        ("42 kB", "B", 42000.0),
        ("8 Mbit/s", "B/s", 1e6),
        ("1 kB/s", "bit/s", 8000.0),
        ("250 px/m", "px/m", 250.0),
        ("5 e", "e", 5.0),
        ("3e", "e", 3.0),
        ("4.7 kΩ", "ohm", 4700.0),
        ("4.7 k\u{2126}", "ohm", 4700.0),
        ("36 ohm/km", "ohm/m", 0.036),
        ("100 pF/m", "F/m", 1e-10),
        ("8 W/m2K", "W/(m2 K)", 8.0),
        ("8 W/m²/K", "W/m2K", 8.0),
        ("8 W.m-2.K-1", "W/m2K", 8.0),
        ("8 W·m⁻²·K⁻¹", "W/m2K", 8.0),
        ("8 K/W", "°C/W", 8.0),
        ("24 kWh/m2d", "W/m2", 1000.0),
        ("10 Wp", "W", 10.0),
        ("12 VA", "W", 12.0),
        ("450 kg", "kg", 450.0),
        ("450 g", "kg", 0.45),
    ] {
        let found = read(text, want);
        near(found.value, value);
        assert!(found.spread.is_exact(), "{text}");
    }
    // 1 % a month over 30.44 days of 86,400 s.
    near(read("1 %/month", "1/s").value, 0.01 / (30.44 * 86400.0));
}

/// The nearest f64, not one beside it: the decimal point is shifted before the number is rounded.
#[test]
fn prefixes_cost_no_rounding() {
    assert_eq!(read("0.127 mm", "m").value, 0.000127);
    assert_eq!(read("1.1 uA", "A").value, 1.1e-6);
    assert_eq!(read("0.3 kV", "V").value, 300.0);
}

/// ASTM B258 areas as tables print them, mm² (references of conductors; three digits).
#[test]
fn wire_gauges_have_their_tabulated_area() {
    for (gauge, mm2) in
        [("10 AWG", 5.26), ("18 AWG", 0.823), ("20 AWG", 0.518), ("24 AWG", 0.205), ("36 AWG", 0.0127)]
    {
        let found = read(gauge, "m2").value * 1e6;
        assert!((found / mm2 - 1.0).abs() < 3e-3, "{gauge}: {found}");
        near(read(gauge, "mm2").value, found);
    }
    assert!(matches!(read("20 AWG ± 3 %", "m2").spread, Spread::Normal { .. }));
}

fn sigma_of(text: &str, want: &str) -> (f64, f64) {
    match read(text, want) {
        Quantity { value, spread: Spread::Normal { sigma } } => (value, sigma),
        other => panic!("{text}: {other:?}"),
    }
}

/// b / 1.959964 by hand.
#[test]
fn plus_minus_is_a_normal_with_95_percent_inside() {
    for text in [
        "1.5 ± 0.02 m",
        "1.5 m ± 2 cm",
        "1.5 m +- 0.02 m",
        "1.5m+/-2cm",
        "1.5±0.02m",
        "1.5 m ± 1.3333333333333333 %",
    ] {
        let (value, sigma) = sigma_of(text, "m");
        assert_eq!(value, 1.5);
        assert!((sigma - 0.0102042692).abs() < 1e-9, "{text}: {sigma}");
    }
}

#[test]
fn percent_after_plus_minus_is_relative_even_of_plain_numbers() {
    let (value, sigma) = sigma_of("0.0065 ± 30 %", "1");
    assert_eq!(value, 0.0065);
    assert!((sigma * 1.959964 - 0.00195).abs() < 1e-9);
    let (value, sigma) = sigma_of("-4 V ± 10 %", "V");
    assert_eq!(value, -4.0);
    assert!((sigma * 1.959964 - 0.4).abs() < 1e-6);
    // `%/month` is a unit of its own, so this width is absolute.
    let (value, sigma) = sigma_of("2 ± 1 %/month", "1/s");
    assert!((sigma * 1.959964 / value - 0.5).abs() < 1e-6);
}

#[test]
fn widths_on_scales_without_ratios_are_steps() {
    for text in ["20 ± 5 degC", "20 degC ± 5 K", "20 °C ± 9 degF"] {
        let (value, sigma) = sigma_of(text, "degC");
        assert_eq!(value, 20.0);
        assert!((sigma * 1.959964 - 5.0).abs() < 1e-5, "{text}");
    }
    let (_, sigma) = sigma_of("-62 dBm ± 4 dB", "dBm");
    assert!((sigma * 1.959964 - 4.0).abs() < 1e-5);
}

#[test]
fn other_spreads_are_read_as_written() {
    let is = |text: &str, want: &str, value: f64, spread: Spread| {
        assert_eq!(read(text, want), Quantity { value, spread }, "{text}");
    };
    is("4 .. 6 K/W", "K/W", 5.0, Spread::Uniform { low: 4.0, high: 6.0 });
    is("4..6 K/W", "K/W", 5.0, Spread::Uniform { low: 4.0, high: 6.0 });
    is("800 mA .. 1.2 A", "A", 1.0, Spread::Uniform { low: 0.8, high: 1.2 });
    is("-10 .. 40 degC", "degC", 15.0, Spread::Uniform { low: -10.0, high: 40.0 });
    is("20 .. 30 %", "1", 0.25, Spread::Uniform { low: 0.2, high: 0.3 });
    is("typ 60 uA max 180 uA", "A", 60e-6, Spread::TypMax { max: 180e-6 });
    is("typ 60 max 180 µA", "uA", 60.0, Spread::TypMax { max: 180.0 });
    is("2 s x/ 1.8", "s", 2.0, Spread::LogNormal { factor95: 1.8 });
    is("2 s ×/ 1.8", "s", 2.0, Spread::LogNormal { factor95: 1.8 });
    is("2 x/ 1.8", "1", 2.0, Spread::LogNormal { factor95: 1.8 });
    is("0.8 | 2 | 9 s", "s", 2.0, Spread::TwoPiece { p5: 0.8, p95: 9.0 });
    is("800 ms|2 s|9 s", "s", 2.0, Spread::TwoPiece { p5: 0.8, p95: 9.0 });
    // No width is no spread.
    is("5 ± 0 V", "V", 5.0, Spread::Exact);
    is("5 .. 5 V", "V", 5.0, Spread::Exact);
    is("5 V x/ 1", "V", 5.0, Spread::Exact);
}

#[test]
fn picture_sizes() {
    for text in ["800x600", "800 x 600", " 800×600 ", "800X600"] {
        assert_eq!(text.parse(), Ok(Size { width_px: 800, height_px: 600 }), "{text}");
    }
    assert_eq!("65535x1".parse(), Ok(Size { width_px: 65535, height_px: 1 }));
}
