//! Print for the eye.

use quantity::{parse, show, show_between, show_quantity, write};

#[test]
fn values_come_in_the_unit_of_their_size() {
    for (value, unit, text) in [
        (0.165, "A", "165 mA"),
        (60e-6, "A", "60 µA"),
        (0.9996, "A", "1 A"),
        (0.9994, "A", "999 mA"),
        (11520.0, "C", "3.2 Ah"),
        (576.0, "C", "160 mAh"),
        (0.75e-6, "m2", "0.75 mm²"),
        (0.4, "m2", "0.4 m²"),
        ((-8f64).to_radians(), "rad", "-8°"),
        (900.0, "s", "15 min"),
        (2.0, "s", "2 s"),
        (0.35, "s", "350 ms"),
        (36.0 * 3600.0, "s", "36 h"),
        (400.0 * 86400.0, "s", "400 days"),
        (1.5e9, "Hz", "1.5 GHz"),
        (42e3, "B", "42 kB"),
        (532480.0, "KiB", "520 MiB"),
        (1e6, "bit/s", "1 Mbit/s"),
        (4.6, "V", "4.6 V"),
        (4.5678, "V", "4.57 V"),
        (38.0, "degC", "38 °C"),
        (-0.0, "degC", "0 °C"),
        (-62.34, "dBm", "-62.3 dBm"),
        (0.0, "V", "0 V"),
        (1.35, "m", "1.35 m"),
        (3.6e-3, "m", "3.6 mm"),
        (4700.0, "ohm", "4.7 kΩ"),
        (2200e-6, "F", "2200 µF"),
        (5.0, "K/W", "5 K/W"),
        (8.0, "W/m2K", "8 W/m²K"),
        (15.0, "1/s", "15 /s"),
        (30.0 / 86400.0, "1/s", "30 /day"),
        (1601.0, "px", "1601 px"),
        (250.0, "px/m", "250 px/m"),
        (0.35, "1", "0.35"),
        (12345.0, "1", "12345"),
        (1234.5, "1", "1230"),
        (1.5e-9, "1", "1.5e-9"),
        (f64::INFINITY, "V", "∞ V"),
        (f64::NAN, "V", "unknown V"),
    ] {
        assert_eq!(show(value, unit), text);
    }
}

/// JCGM 100:2008, 7.2.6: the width to two digits, the value to the same place; 7.2.2 prints 100.021 47 ± 0.000 79 g.
#[test]
fn widths_have_two_digits_and_values_the_same_place() {
    assert_eq!(show_between(4.3123, 4.5789, "V"), "4.31 .. 4.58 V");
    assert_eq!(show_between(4.5789, 4.3123, "V"), "4.31 .. 4.58 V");
    assert_eq!(show_between(0.8, 1.2, "A"), "0.80 .. 1.20 A");
    assert_eq!(show_between(1234.0, 1534.0, "px/m"), "1230 .. 1530 px/m");
    assert_eq!(show_between(5.0, 5.0, "V"), "5 V");
    assert_eq!(show_between(-0.001, 0.4, "V"), "0 .. 400 mV");
    assert_eq!(show_between(1.0, f64::INFINITY, "V"), "1 .. ∞ V");
    let told = |text: &str, unit: &str| show_quantity(&parse(text, unit).unwrap(), unit);
    assert_eq!(told("100.02147 ± 0.00079 g", "kg"), "100.02147 ± 0.00079 g");
    assert_eq!(told("3.2 Ah ± 5 %", "C"), "3.20 ± 0.16 Ah");
    assert_eq!(told("20 ± 0.0996 m", "m"), "20.00 ± 0.10 m");
    assert_eq!(told("20 ± 5 degC", "degC"), "20.0 ± 5.0 °C");
    assert_eq!(told("typ 60 uA max 180 uA", "A"), "typ 60 µA max 180 µA");
    assert_eq!(told("2 s x/ 1.8", "s"), "2 s ×/ 1.8");
    assert_eq!(told("0.8 | 2 | 9 s", "s"), "0.8 | 2 | 9 s");
}

#[test]
fn written_text_is_what_a_person_would_type() {
    let again = |text: &str, unit: &str| write(&parse(text, unit).unwrap(), unit);
    for (text, unit) in [
        ("165 mA", "A"),
        ("3.2 Ah ± 5 %", "C"),
        ("1.5 ± 0.02 m", "m"),
        ("4 .. 6 K/W", "K/W"),
        ("typ 60 max 180 uA", "A"),
        ("2 s x/ 1.8", "s"),
        ("0.8 | 2 | 9 s", "s"),
        ("-8 deg", "rad"),
        ("15 min", "s"),
        ("0.75 mm2", "m2"),
        ("20 ± 5 degC", "degC"),
        ("10 /s", "1/s"),
        ("0.35", "1"),
    ] {
        assert_eq!(again(text, unit), text);
    }
}
