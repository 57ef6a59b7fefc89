//! Logs in the shapes that programs print, and what a person reads from them. All invented.

use super::{check, check_wish};
use tune::lines::{TimeWish, Unit, Wish};

#[test]
fn a_number_a_line() {
    check("951\n950\n952\n640\n", "number 1: 951 950 952 640");
}

#[test]
fn commas_without_a_header_and_seconds() {
    check("0.00,951\n0.05,950\n0.10,949\n0.15,951\n", "column 2: 951 950 949 951 @ 0 0.05 0.1 0.15");
}

#[test]
fn commas_with_a_header_and_milliseconds_by_name() {
    let log =
        check("ms,courtyard,touch\n1200,7,951\n1220,7,950\n1240,9,955\n", "touch: 951 950 955 @ 0 0.02 0.04");
    assert_eq!(log.fields[1].why, "`ms` is a name for it; milliseconds by its name");
}

#[test]
fn semicolons_and_decimal_commas() {
    check(
        "Zeit;t;Wert;raw\nMo;12,00;3,1;951\nMo;12,05;3,2;940\nMo;12,10;3,1;930\n",
        "raw: 951 940 930 @ 0 0.05 0.1",
    );
}

#[test]
fn tabs_with_units_behind_the_numbers() {
    check("10 ms\t951 counts\n30 ms\t950 counts\n50 ms\t733 counts\n", "column 2: 951 950 733 @ 0 0.02 0.04");
}

#[test]
fn blanks_with_a_header() {
    check(
        "time_us  plate  heap\n100   951  113\n20100  950  113\n40100 949 112\n",
        "plate: 951 950 949 @ 0 0.02 0.04",
    );
}

#[test]
fn blanks_without_a_header_and_up_time_in_milliseconds() {
    check("12000 951\n12050 950\n12100 949\n12150 951\n", "number 2: 951 950 949 951 @ 0 0.05 0.1 0.15");
}

#[test]
fn a_monitor_puts_the_time_of_day_before_a_line() {
    check("[12:00:01.050] touch: 951\n[12:00:01.100] touch: 950\n", "touch: 951 950 @ 0 0.05");
}

#[test]
fn levels_tags_and_other_numbers_beside_the_reading() {
    let log = check(
        "00:00:01 D plate=951 heap=1132\n00:00:02 D plate=948 heap=1130\n00:00:03 D plate=700 heap=1131\n",
        "plate: 951 948 700 @ 0 1 2",
    );
    assert_eq!(log.unit, Unit::Clock);
}

#[test]
fn the_probes_own_lines() {
    check(
        "dw plate=1184 block_kB=113 chip_degC=41.2\ndw plate=1185 block_kB=113 chip_degC=41.3\n",
        "plate: 1184 1185",
    );
}

#[test]
fn json_lines_with_seconds_since_1970() {
    check(
        "{\"at\": 1777633200.25, \"gate\": {\"touch\": 951, \"rssi\": -61}}\n{\"at\": 1777633200.50, \"gate\": {\"touch\": 944, \"rssi\": -60}}\n",
        "gate.touch: 951 944 @ 0 0.25",
    );
}

#[test]
fn json_lines_with_numbers_as_text_and_a_date() {
    check(
        "{\"when\":\"2026-05-01T10:59:59.9+02:00\",\"count\":\"951\"}\n{\"when\":\"2026-05-01T09:00:00Z\",\"count\":\"950\"}\n",
        "count: 951 950 @ 0 0.1",
    );
}

#[test]
fn json_arrays_hold_a_plate_each() {
    check_wish(
        "{\"ms\":5,\"touch\":[951,1203]}\n{\"ms\":25,\"touch\":[952,1200]}\n{\"ms\":45,\"touch\":[953,1201]}\n",
        Wish::default(),
        "touch.1: 951 952 953 @ 0 0.02 0.04\ntouch.2: 1203 1200 1201 @ 0 0.02 0.04",
    );
}

#[test]
fn dates_with_a_blank_before_the_time() {
    check(
        "2026-05-01 23:59:59.95 kiln reading 951\n2026-05-02 00:00:00.00 kiln reading 955\n",
        "reading: 951 955 @ 0 0.05",
    );
}

#[test]
fn a_column_for_each_plate() {
    check(
        "t_ms,touch_gate,touch_shed\n0,951,1203\n20,950,1204\n40,950,\n60,948,1199\n",
        "touch_gate: 951 950 950 948 @ 0 0.02 0.04 0.06\ntouch_shed: 1203 1204 1199 @ 0 0.02 0.06",
    );
}

#[test]
fn a_field_tells_the_plate() {
    check(
        "120 ms plate=gate count=951\n120 ms plate=shed count=1203\n170 ms plate=gate count=949\n170 ms plate=shed count=1204\n",
        "gate: 951 949 @ 0 0.05\nshed: 1203 1204 @ 0 0.05",
    );
}

#[test]
fn a_column_tells_the_plate_by_number() {
    check(
        "pad,millis,value\n1,100,951\n2,100,1203\n1,150,950\n2,150,1201\n1,200,950\n2,200,1209\n",
        "1: 951 950 950 @ 0 0.05 0.1\n2: 1203 1201 1209 @ 0 0.05 0.1",
    );
}

#[test]
fn names_that_only_the_wish_knows() {
    let text = "gate 951\nshed 1203\ngate 950\nshed 1201\ngate 955\n";
    let wish = Wish { counts: vec!["gate".into(), "shed".into()], ..Wish::default() };
    check_wish(text, wish, "gate: 951 950 955\nshed: 1203 1201");
}

#[test]
fn other_messages_between_the_readings() {
    let log = check(
        "board woke, cause 3\nwifi joined in 812 ms, rssi -61\ntouch 951\ntouch 951\nkeep-alive 4\ntouch 950\n",
        "touch: 951 951 950",
    );
    assert_eq!(log.unread.lines(), 3);
    assert_eq!(log.unread.first[1].text, "wifi joined in 812 ms, rssi -61");
    assert_eq!(log.unread.first[1].line, 2);
}

#[test]
fn colours_of_a_terminal() {
    check(
        "\x1b[32m(1050) pad -> 951\x1b[0m\n\x1b[32m(1070) pad -> 958\x1b[0m\n\x1b[32m(1090) pad -> 950\x1b[0m\n",
        "pad: 951 958 950 @ 0 0.02 0.04",
    );
}

#[test]
fn the_up_time_in_brackets_with_decimals() {
    check(
        "[    3.104512] touch=951\n[    3.124512] touch=953\n[    3.144512] touch=952\n",
        "touch: 951 953 952 @ 0 0.02 0.04",
    );
}

#[test]
fn a_sample_number_a_time_and_a_reading() {
    check(
        "1,500,951\n2,520,950\n3,540,955\n4,560,950\n5,580,951\n",
        "column 3: 951 950 955 950 951 @ 0 0.02 0.04 0.06 0.08",
    );
}

#[test]
fn a_sample_number_alone_is_no_time_but_tells_gaps() {
    let log =
        check("n;reading\n1;951\n2;952\n3;951\n4;950\n7;950\n8;951\n", "reading: 951 952 951 950 950 951");
    assert_eq!(log.unit, Unit::Samples);
    let gaps = log.streams[0].gaps();
    assert_eq!((gaps.len(), gaps[0].sample, gaps[0].missing), (1, 4, Some(2)));
}

#[test]
fn the_word_count_is_a_line_number_here() {
    check("count,value\n1,951\n2,951\n3,950\n4,720\n5,951\n", "value: 951 951 950 720 951");
}

#[test]
fn raw_filtered_and_threshold_side_by_side() {
    check("raw=951 filtered=950 threshold=700\nraw=955 filtered=951 threshold=700\n", "raw: 951 955");
}

#[test]
fn remarks_blank_lines_and_carriage_returns() {
    let log = check(
        "\u{feff}# Kiln Yard, shed\r\n\r\ntime_s,plate\r\n0.0,951\r\n0.1,950\r\n# a hand\r\n0.2,640\r\n",
        "plate: 951 950 640 @ 0 0.1 0.2",
    );
    assert_eq!((log.lines, log.remarks, log.unread.lines()), (7, 3, 0));
}

#[test]
fn carriage_returns_alone_end_lines_too() {
    check("951\r950\r949\r", "number 1: 951 950 949");
}

#[test]
fn the_time_behind_the_reading() {
    check(
        "touch 951 at 12.5 s\ntouch 950 at 12.6 s\ntouch 950 at 12.7 s\n",
        "touch: 951 950 950 @ 0 0.1 0.2",
    );
}

#[test]
fn minutes_and_seconds_since_the_start() {
    check("59:59.9 | 951\n60:00.0 | 950\n60:00.1 | 948\n", "number 2: 951 950 948 @ 0 0.1 0.2");
}

#[test]
fn averaged_readings_are_rounded_and_counted() {
    let log = check("touch: 951.4\ntouch: 930.6\ntouch: 611.0\n", "touch: 951 931 611");
    assert_eq!(log.rounded, 2);
}

#[test]
fn the_wish_says_which_column_and_that_there_is_no_time() {
    let wish = Wish { counts: vec!["column 1".into()], time: Some(TimeWish::None), ..Wish::default() };
    check_wish("951,700\n952,701\n950,705\n", wish, "column 1: 951 952 950");
}

#[test]
fn a_pattern_describes_the_line() {
    let wish = Wish { pattern: Some("<any>@<time> <plate> = <count>u".parse().unwrap()), ..Wish::default() };
    check_wish(
        "x9 @10 gate  = 951u 77\nx8 @10 shed = 1203u 78\nx9 @30 gate = 950u 70\nnothing\nx9 @50 gate = 949u 70\n",
        wish,
        "gate: 951 950 949 @ 0 0.02 0.04\nshed: 1203 @ 0",
    );
}
