//! What names mean side by side: counting, strays, doubles, gaps.

use pintable::{Format, Signal, read};

use crate::{pin, pins, problems};

const REST: &str = "\nVSYNC 25\nHREF 23\nPCLK 26\nXCLK 0\nSIOC 27\nSIOD 14";

fn with_rest(text: &str) -> pintable::Reading {
    read(&format!("{text}{REST}"), Format::Loose)
}

#[test]
fn nine_numbers_for_eight_lines_name_the_stray() {
    let eight = "d0=4 d1=16 d2=17 d3=18 d4=19 d5=21 d6=22 d7=5 vsync=25 href=23 pclk=26 xclk=0 sccb_clock=27 sccb_data=14";
    for (text, says) in [
        (
            "data: [4, 16, 17, 23, 18, 19, 21, 22, 5]",
            "1: Nine numbers for eight data lines; 23 also serves HREF, so it is the likely stray. Eight taken.",
        ),
        (
            "data: [4, 16, 17, 18, 17, 19, 21, 22, 5]",
            "1: Nine numbers for eight data lines; 17 stands twice, so it is the likely stray. Eight taken.",
        ),
        (
            "data: [4, 16, 17, 18, 19, 21, 22, 5, 33]",
            "1: Nine numbers for eight data lines; none stands out as the stray, 33 is the last. Eight taken.",
        ),
        (
            "D0 4 D1 16 D2 17 D3 25 D4 18 D5 19 D6 21 D7 22 D8 5",
            "1: Nine numbers for eight data lines; 25 also serves VSYNC, so it is the likely stray. Eight taken.",
        ),
        (
            "D0 4 D1 16 D2 17 D3 18 D4 19 D5 21 D6 22 D7 5 D8 33",
            "1: Nine numbers for eight data lines; none stands out as the stray, 33 is the last. Eight taken.",
        ),
    ] {
        let reading = with_rest(text);
        assert_eq!(problems(&reading), [says], "{text}");
        assert_eq!(pins(&reading), eight, "{text}");
        assert_eq!(reading.set_aside.len(), 1);
    }
}

#[test]
fn unusual_countings_are_read_and_said() {
    let lines = |prefix: &str, from: usize, count: usize| {
        (from..from + count).map(|i| format!("{prefix}{i} {}", 30 + i)).collect::<Vec<_>>().join(", ")
    };
    // (text, pin of D0, what is said)
    for (text, d0, says) in [
        (lines("D", 0, 8), 30, None),
        (lines("Y", 2, 8), 32, None),
        (lines("D", 2, 8), 32, Some("1: The data lines are counted from D2; D2 read as D0.")),
        (lines("D", 1, 8), 31, Some("1: The data lines are counted from D1; D1 read as D0.")),
        (lines("Y", 0, 8), 30, Some("1: The data lines are counted from Y0; Y0 read as D0.")),
        (lines("Y", 1, 8), 31, Some("1: The data lines are counted from Y1; Y1 read as D0.")),
        (lines("Y", 0, 10), 32, Some("1: Ten data lines; the upper eight taken, Y2 read as D0.")),
        (lines("D", 0, 10), 32, Some("1: Ten data lines; the upper eight taken, D2 read as D0.")),
    ] {
        let reading = with_rest(&text);
        assert_eq!(pin(&reading, &Signal::Data(0)), Some(d0), "{text}");
        assert_eq!(pin(&reading, &Signal::Data(7)), Some(d0 + 7), "{text}");
        assert_eq!(problems(&reading), says.into_iter().collect::<Vec<_>>(), "{text}");
    }
}

#[test]
fn d_beside_y_agrees_or_is_said() {
    let aliases = with_rest("D0 4, Y2 4, D1 16, Y3 16, D2 17, D3 18, D4 19, D5 21, D6 22, D7 5");
    assert_eq!(problems(&aliases), Vec::<String>::new());
    let clash = with_rest("D0 4, Y2 16, D1 17, D2 2, D3 18, D4 19, D5 21, D6 22, D7 5");
    assert_eq!(
        problems(&clash)[0],
        "1: Data lines are named both as D and as Y, which count differently; Y2 read as D0."
    );
    assert_eq!(problems(&clash)[1], "1: D0 has two pins: 4 in line 1 and 16 in line 1. 4 taken.");
}

#[test]
fn doubles_and_gaps_name_their_lines() {
    let reading = read("D0 4\nD1 16\nD1 17\nD2 4\nVSYNC 25\nHREF -1\nRESET 15\nRESET 15", Format::Loose);
    assert_eq!(
        problems(&reading),
        [
            "3: D1 has two pins: 16 in line 2 and 17 in line 3. 16 taken.",
            "4: Pin 4 serves both D0 (line 1) and D2 (line 4).",
            "6: HREF is given as not connected; without it there is no picture.",
            "1: Not found: D3, D4, D5, D6, D7, PCLK, XCLK, SCCB clock, SCCB data.",
        ]
    );
    assert_eq!(problems(&read("hello", Format::Auto)), ["1: No camera line found."]);
}

#[test]
fn of_two_pins_for_one_line_the_one_that_serves_elsewhere_is_left() {
    let reading = read("D3 25\nD3 18\nVSYNC 25", Format::Loose);
    assert_eq!(
        problems(&reading)[0],
        "2: D3 has two pins: 18 in line 2 and 25 in line 1. 18 taken.".replace("2: D3", "1: D3")
    );
    assert_eq!(pin(&reading, &Signal::Data(3)), Some(18));
}

#[test]
fn a_weak_name_gives_way_to_a_strong_one() {
    let reading = with_rest("I2C_SDA 21\nI2C_SCL 22\nHSYNC 2\nLED 33\nFLASH_LED 32");
    assert_eq!(pin(&reading, &Signal::SccbData), Some(14));
    assert_eq!(pin(&reading, &Signal::Href), Some(23));
    assert_eq!(pin(&reading, &Signal::Lamp), Some(32));
    assert_eq!(pin(&reading, &Signal::Other("I2C_SDA".into())), Some(21));
}
