//! What the reader of an error sees: column, message, hint.

use insta::assert_snapshot;
use quantity::{Size, nearest, parse};

/// `column | message | hint`, one line a text.
fn told(cases: &[(&str, &str)]) -> String {
    let line = |(text, want): &(&str, &str)| match parse(text, want) {
        Ok(found) => panic!("{text:?} as {want:?} was read: {found:?}"),
        Err(error) => {
            let hint = error.hint().map_or(String::new(), |hint| format!(" | {hint}"));
            format!("{} | {error}{hint}", error.column(text))
        }
    };
    cases.iter().map(line).collect::<Vec<_>>().join("\n")
}

#[test]
fn units_that_are_missing_unknown_or_of_another_kind() {
    assert_snapshot!(told(&[
        ("12", "V"),
        ("12", "m2"),
        ("12 m", "V"),
        ("12 V", "1"),
        ("12 V/s", "K/W"),
        ("12", "V/s"),
        ("62 degr", "rad"),
        ("3 KHz", "Hz"),
        ("5 µa", "A"),
        ("−5 ± 2 µx", "A"),
        ("8 W/m2Q", "W/m2K"),
        ("12 qqqq", "1"),
        ("300 K", "degC"),
        ("5 degC", "K"),
        ("-62 dB", "dBm"),
        ("1.5 m ± 0.02", "m"),
        ("4 K/W .. 6", "K/W"),
        ("20 AWG", "m"),
        ("20.5 AWG", "m2"),
        ("5 Mm", "m"),
        ("10 / s", "1/s"),
    ]), @r#"
    1 | `12` has no unit; a voltage is wanted, such as `12 V`
    1 | `12` has no unit; an area is wanted, such as `12 mm2`
    1 | `12 m` is a length; a voltage is wanted, such as `12 V`
    1 | `12 V` is a voltage; a plain number is wanted, such as `12`
    1 | `12 V/s` is of another kind; a thermal resistance is wanted, such as `12 K/W`
    1 | `12` has no unit; a value in V/s is wanted, such as `12 V/s`
    4 | unknown unit `degr`; an angle is wanted: deg or rad | did you mean `deg`?
    3 | unknown unit `KHz`; a rate is wanted: /s, /h, /day or Hz | did you mean `kHz`?
    3 | unknown unit `µa`; a current is wanted: A, mA or uA | did you mean `uA`?
    8 | unknown unit `µx`; a current is wanted: A, mA or uA | did you mean `uA`?
    7 | unknown unit `Q`; a heat transfer coefficient is wanted: W/m2K
    4 | unknown unit `qqqq`; a plain number is wanted, without a unit or in %
    1 | `300 K` is a temperature difference; a temperature is wanted, such as `300 degC`
    1 | `5 degC` is a temperature; a temperature difference is wanted, such as `5 K`
    1 | `-62 dB` is a ratio in decibels; a power level is wanted, such as `-62 dBm`
    9 | `0.02` has no unit; a length is wanted, such as `0.02 m`
    10 | `6` has no unit; a thermal resistance is wanted, such as `6 K/W`
    1 | `20 AWG` is an area; a length is wanted, such as `20 m`
    1 | a wire gauge is a whole number from 0 to 40, such as `20 AWG`
    3 | unknown unit `Mm`; a length is wanted: m, mm or cm | did you mean `mm`?
    4 | unknown unit `/`; a rate is wanted: /s, /h, /day or Hz
    "#);
}

#[test]
fn spreads_that_make_no_sense() {
    assert_snapshot!(told(&[
        ("0.5 ± 6 % mm2", "m2"),
        ("20 degC ± 5 %", "degC"),
        ("-62 dBm ± 5 %", "dBm"),
        ("3 dB x/ 2", "dB"),
        ("5 ± -1 V", "V"),
        ("6 .. 4 K/W", "K/W"),
        ("1.2 A .. 800 mA", "A"),
        ("0 s x/ 2", "s"),
        ("2 s x/ 0.5", "s"),
        ("9 | 2 | 0.8 s", "s"),
        ("0.8 | 2", "1"),
        ("typ 180 uA max 60 uA", "A"),
        ("typ 180 uA", "A"),
        ("typ -2 V max 3 V", "V"),
        ("5 V ±", "V"),
        ("5 ... 6 V", "V"),
    ]), @r#"
    11 | the unit stands before the ±: `0.5 mm2 ± 6 %`
    11 | a percentage has no meaning for a temperature, whose zero does not mean none | give the width in K, such as `± 2 K`
    11 | a percentage has no meaning for a power level, whose zero does not mean none | give the width in dB, such as `± 2 dB`
    1 | a factor has no meaning for a ratio in decibels, whose zero does not mean none | give a range, such as `a .. b dB`
    5 | the width after ± is negative | `12 ± 0.5 V`: 95 % lie within 0.5 V either side
    1 | the range runs backwards; `4 .. 6 K/W` is meant
    1 | the range runs backwards; `800 mA .. 1.2 A` is meant
    1 | values above zero are needed for a factor
    8 | the factor after `x/` is below 1 | `2 s x/ 1.8`: 95 % lie between 2 s / 1.8 and 2 s × 1.8
    1 | 5 | 50 | 95 % values must rise | `0.8 | 2 | 9 s`: 5 %, half and 95 % lie below these
    8 | `|` with the 95 % value is missing | forms: `165 mA`, `3.2 Ah ± 5 %`, `4 .. 6 K/W`, `typ 60 uA max 180 uA`, `2 s x/ 1.8`, `0.8 | 2 | 9 s`
    5 | typ and max must rise | `typ 60 uA max 180 uA`
    11 | `max` with its value is missing | forms: `165 mA`, `3.2 Ah ± 5 %`, `4 .. 6 K/W`, `typ 60 uA max 180 uA`, `2 s x/ 1.8`, `0.8 | 2 | 9 s`
    5 | values above zero are needed for typ and max
    6 | a number is missing at the end | forms: `165 mA`, `3.2 Ah ± 5 %`, `4 .. 6 K/W`, `typ 60 uA max 180 uA`, `2 s x/ 1.8`, `0.8 | 2 | 9 s`
    5 | a number should stand here, not `.` | forms: `165 mA`, `3.2 Ah ± 5 %`, `4 .. 6 K/W`, `typ 60 uA max 180 uA`, `2 s x/ 1.8`, `0.8 | 2 | 9 s`
    "#);
}

#[test]
fn numbers_that_are_none() {
    assert_snapshot!(told(&[
        ("", "V"),
        ("   ", "degC"),
        ("volt", "V"),
        ("NaN V", "V"),
        ("inf V", "V"),
        ("1e999 V", "V"),
        ("1e-999 V", "V"),
        ("1e99999999999999999999 V", "V"),
        ("3,2 Ah ± 5 %", "C"),
        ("1 000 V", "V"),
        ("5 V!", "V"),
        ("5 V 6", "V"),
        ("- 5 V", "V"),
        ("5 V", "nonsense"),
    ]), @r#"
    1 | nothing is written; a voltage is wanted, such as `12 V`
    1 | nothing is written; a temperature is wanted, such as `12 degC`
    1 | a number should stand here, not `volt` | forms: `165 mA`, `3.2 Ah ± 5 %`, `4 .. 6 K/W`, `typ 60 uA max 180 uA`, `2 s x/ 1.8`, `0.8 | 2 | 9 s`
    1 | a number should stand here, not `NaN` | forms: `165 mA`, `3.2 Ah ± 5 %`, `4 .. 6 K/W`, `typ 60 uA max 180 uA`, `2 s x/ 1.8`, `0.8 | 2 | 9 s`
    1 | a number should stand here, not `inf` | forms: `165 mA`, `3.2 Ah ± 5 %`, `4 .. 6 K/W`, `typ 60 uA max 180 uA`, `2 s x/ 1.8`, `0.8 | 2 | 9 s`
    1 | the number `1e999` is too large or too small
    1 | the number `1e-999` is too large or too small
    1 | the number `1e99999999999999999999` is too large or too small
    1 | a number is written with a point: `3.2`
    3 | `000` does not belong here | digits are not grouped: `1000 V`, not `1 000 V`
    4 | `!` does not belong here | forms: `165 mA`, `3.2 Ah ± 5 %`, `4 .. 6 K/W`, `typ 60 uA max 180 uA`, `2 s x/ 1.8`, `0.8 | 2 | 9 s`
    5 | `6` does not belong here | forms: `165 mA`, `3.2 Ah ± 5 %`, `4 .. 6 K/W`, `typ 60 uA max 180 uA`, `2 s x/ 1.8`, `0.8 | 2 | 9 s`
    1 | a number should stand here, not `-` | forms: `165 mA`, `3.2 Ah ± 5 %`, `4 .. 6 K/W`, `typ 60 uA max 180 uA`, `2 s x/ 1.8`, `0.8 | 2 | 9 s`
    1 | `nonsense` is wanted, which is no unit
    "#);
    assert_snapshot!(parse(&"9".repeat(300), "1").unwrap_err(), @r#"this is longer than 256 bytes and no quantity"#);
}

#[test]
fn picture_sizes_that_are_none() {
    let told = |text: &str| {
        let error = text.parse::<Size>().unwrap_err();
        format!("{} | {error}", error.column(text))
    };
    let all: Vec<String> = ["800", "0x600", "800×70000", "800x600x3", "800.5x600", "×"].map(told).into();
    assert_snapshot!(all.join("\n"), @r#"
    1 | `800` is no picture size, such as `800x600`
    1 | a picture side of `0` pixels is outside 1 to 65535
    5 | a picture side of `70000` pixels is outside 1 to 65535
    1 | `800x600x3` is no picture size, such as `800x600`
    1 | `800.5x600` is no picture size, such as `800x600`
    1 | `×` is no picture size, such as `800x600`
    "#);
}

#[test]
fn nearest_word_is_a_slip_away() {
    let keys = ["supply.run", "supply.volt", "camera.size", "lens", "case"];
    assert_eq!(nearest("supply.rn", keys), Some("supply.run"));
    assert_eq!(nearest("lnes", keys), Some("lens"));
    assert_eq!(nearest("LENS", keys), Some("lens"));
    assert_eq!(nearest("battery", keys), None);
    assert_eq!(nearest("", keys), None);
    assert_eq!(nearest(&"x".repeat(100_000), keys), None);
}
