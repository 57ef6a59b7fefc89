//! Logs that must not be read as they are, because a person could not either; and what is said.

use super::check_refused;
use tune::lines::{Pattern, Wish};

#[test]
fn nothing() {
    check_refused("", Wish::default(), "the log has no lines; give one with a reading a line");
    check_refused(
        "\n \n# only a remark\n",
        Wish::default(),
        "the log has no lines; give one with a reading a line",
    );
}

#[test]
fn words_only() {
    check_refused(
        "touched\nlifted\ntouched\n",
        Wish::default(),
        "none of the first 3 lines has a number; print the raw count of the plate, one a line",
    );
}

#[test]
fn two_columns_that_vary_alike() {
    check_refused(
        "951,1203\n950,1199\n955,1204\n",
        Wish::default(),
        "`column 1` and `column 2` could each be the plate's reading; name the one that is, or describe a line with a \
         pattern",
    );
}

#[test]
fn two_names_that_say_nothing() {
    check_refused(
        "gate 951\nshed 1203\ngate 950\nshed 1201\n",
        Wish::default(),
        "`gate` and `shed` could each be the plate's reading; name the one that is, or describe a line with a pattern",
    );
}

#[test]
fn a_counter_is_no_reading() {
    check_refused(
        "1\n2\n3\n4\n5\n6\n",
        Wish::default(),
        "`number 1` only rises: it numbers the lines or counts something else; print the raw count of the plate too",
    );
}

#[test]
fn counts_beyond_sixteen_bits() {
    check_refused(
        "touch=951000\ntouch=951020\ntouch=950000\n",
        Wish::default(),
        "`touch` goes from 950000 to 951020, and a count lies between 0 and 65535; print the raw count, divided if need be",
    );
}

#[test]
fn readings_scaled_to_one() {
    check_refused(
        "plate: 0.951\nplate: 0.948\nplate: 0.700\n",
        Wish::default(),
        "`plate` has fractions and goes only from 0.7 to 0.951; print the raw count, before it is scaled or averaged",
    );
}

#[test]
fn changes_with_a_time_of_unknown_unit() {
    check_refused(
        "t,touch\n12,951\n45,950\n46,951\n230,952\n",
        Wish::default(),
        "the time `t` steps by about 33, which may be seconds, milliseconds or microseconds; say which",
    );
}

#[test]
fn a_time_that_jumps_about() {
    check_refused(
        "time_ms,touch\n500,951\n100,950\n700,951\n200,955\n600,951\n50,950\n",
        Wish::default(),
        "the time `time_ms` goes back again and again; sort the log, or say that it has no time",
    );
}

#[test]
fn sixteen_bit_text_and_other_bytes() {
    let wide: Vec<u8> = "951\n950\n".bytes().flat_map(|byte| [byte, 0]).collect();
    let text = String::from_utf8(wide).unwrap();
    let says =
        "the log is not text in UTF-8: too many of its bytes are control characters; save it as plain text";
    check_refused(&text, Wish::default(), says);
}

#[test]
fn a_number_without_a_name_in_every_third_line() {
    check_refused(
        "joined\n(812) ok\nsleep\nwake\n(640) ok\nsleep\nwake\n",
        Wish::default(),
        "no number looks like a plate's reading (`number 1`); name the field, or describe a line with a pattern",
    );
}

#[test]
fn a_field_that_is_not_there() {
    check_refused(
        "touch=951 heap=113\ntouch=950 heap=113\n",
        Wish { counts: vec!["tuch".into()], ..Wish::default() },
        "no field is called `tuch`; there are `touch` and `heap`",
    );
}

#[test]
fn a_pattern_for_other_lines() {
    check_refused(
        "touch=951\ntouch=950\n",
        Wish { pattern: Some("plate <count>".parse().unwrap()), ..Wish::default() },
        "the pattern fits none of the first 2 lines, such as `touch=951`; describe only what stands around the reading",
    );
}

#[test]
fn hexadecimal_is_not_read_as_nought() {
    check_refused(
        "touch 0x3b7\ntouch 0x3b6\n",
        Wish::default(),
        "none of the first 2 lines has a number; print the raw count of the plate, one a line",
    );
}

#[test]
fn patterns_say_where_they_are_wrong() {
    let says = |text: &str| text.parse::<Pattern>().unwrap_err().to_string();
    for (text, expected) in [
        ("", "pattern, column 1: no `<count>`; write `<count>` where the reading stands"),
        ("touch", "pattern, column 6: no `<count>`; write `<count>` where the reading stands"),
        (
            "ä <cuont>",
            "pattern, column 3: `<cuont>` is no hole; write `<count>`, `<time>`, `<plate>` or `<any>`",
        ),
        (
            "<count> <count>",
            "pattern, column 9: a second `<count>`; write `<any>` for the one that does not matter",
        ),
        (
            "<time><count>",
            "pattern, column 7: nothing stands between `<count>` and the hole before it; write the text between them, a \
             blank at least",
        ),
    ] {
        assert_eq!(says(text), expected);
    }
    let long = format!("{}<count>", "x".repeat(1000));
    assert_eq!(long.parse::<Pattern>().unwrap_err().column, 1001);
    let odd = "a < b <3> <count>";
    assert_eq!(odd.parse::<Pattern>().unwrap().to_string(), odd, "a lone bracket stands for itself");
}
