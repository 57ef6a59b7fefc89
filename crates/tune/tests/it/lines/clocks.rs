//! What clocks do in a long log: midnight, the end of 32 bits, restarts, gaps, stalls; and what kind of log it is.

use super::check;
use std::fmt::Write;
use tune::lines::{Gap, Hint, Log, Rate, Refused, Wish, read};

fn read_ok(text: &str) -> Log {
    read(text.as_bytes(), Wish::default()).unwrap_or_else(|error| panic!("{error}"))
}

/// Readings around 950 that differ by a few counts or none; the mixing is that of splitmix64.
fn noise(sample: u64) -> u64 {
    let mut mixed = (sample + 1).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    948 + (mixed >> 62)
}

#[test]
fn midnight_is_passed() {
    let log = check(
        "23:59:59.90 touch 951\n23:59:59.95 touch 950\n00:00:00.00 touch 949\n00:00:00.05 touch 950\n",
        "touch: 951 950 949 950 @ 0 0.05 0.1 0.15",
    );
    assert_eq!((log.midnights, log.restarts), (1, 0));
}

#[test]
fn milliseconds_go_on_over_thirty_two_bits() {
    // 2^32 = 4,294,967,296.
    let log = check(
        "ms,touch\n4294967236,951\n4294967256,950\n4294967276,949\n0,950\n20,951\n",
        "touch: 951 950 949 950 951 @ 0 0.02 0.04 0.06 0.08",
    );
    assert_eq!((log.wraps, log.restarts), (1, 0));
}

#[test]
fn microseconds_go_on_over_thirty_two_bits() {
    let log = check(
        "us,touch\n4294927296,951\n4294947296,950\n0,949\n20000,950\n",
        "touch: 951 950 949 950 @ 0 0.02 0.04 0.06",
    );
    assert_eq!(log.wraps, 1);
}

#[test]
fn a_board_that_began_anew_is_told() {
    let log = check(
        "ms,touch\n90000,951\n90020,950\n90040,950\n310,949\n330,950\n",
        "touch: 951 950 950 949 950 @ 0 0.02 0.04 0.06 0.08",
    );
    assert_eq!((log.wraps, log.restarts), (0, 1));
    assert_eq!(log.streams[0].gaps(), [Gap { sample: 3, missing: None }]);
    assert!(log.said().iter().any(|line| line.contains("began anew")));
}

#[test]
fn missing_samples_are_counted_by_time() {
    let mut text = String::from("t,plate\n");
    for sample in (0..3000_u64).filter(|sample| ![700, 1500, 1501, 1502, 2900].contains(sample)) {
        let _ = writeln!(text, "{:.3},{}", sample as f64 * 0.02, noise(sample));
    }
    let log = read_ok(&text);
    let gaps: Vec<_> = log.streams[0].gaps().iter().map(|gap| (gap.sample, gap.missing)).collect();
    assert_eq!(gaps, [(700, Some(1)), (1499, Some(3)), (2896, Some(1))]);
    assert_eq!(log.streams[0].rate(), Rate::Stream);
    assert_eq!(log.streams[0].time_s(2994), Some(59.98));
    assert!(log.streams[0].anchors().count() <= 6);
}

#[test]
fn a_stall_after_which_all_come_at_once_misses_nothing() {
    let mut text = String::from("ms,plate\n");
    for sample in 0..2000_u64 {
        let late = if (500..520).contains(&sample) { 520 * 20 } else { sample * 20 };
        let _ = writeln!(text, "{late},{}", noise(sample));
    }
    assert_eq!(read_ok(&text).streams[0].gaps(), []);
}

#[test]
fn a_clock_of_a_third_of_a_second_over_ten_needs_few_anchors_and_has_no_gaps() {
    // 30 a second in whole milliseconds: 33, 33, 34.
    let mut text = String::from("ms,plate\n");
    for sample in 0..20_000_u64 {
        let _ = writeln!(text, "{},{}", sample * 100 / 3, noise(sample));
    }
    let log = read_ok(&text);
    let stream = &log.streams[0];
    assert_eq!(stream.gaps(), []);
    assert!(stream.anchors().count() < 20, "{}", stream.anchors().count());
    let clock = stream.clock().unwrap();
    assert!((clock.interval_s - 1.0 / 30.0).abs() < 1e-4, "{clock:?}");
}

#[test]
fn whole_seconds_shared_by_many_samples_have_their_mean_interval() {
    let mut text = String::new();
    for sample in 0..2000_u64 {
        let second = sample / 20;
        let _ = writeln!(text, "10:{:02}:{:02} touch {}", second / 60, second % 60, noise(sample));
    }
    let log = read_ok(&text);
    let clock = log.streams[0].clock().unwrap();
    assert!((clock.interval_s - 0.05).abs() < 0.003, "{clock:?}");
    assert_eq!(clock.grain_s, 1.0);
    assert_eq!(log.streams[0].gaps(), []);
    assert_eq!(log.streams[0].rate(), Rate::Stream);
}

#[test]
fn a_line_a_second_is_a_log_from_setting_up() {
    let text: String = (0..100).fold(String::new(), |mut text, sample| {
        let _ = writeln!(text, "{} s plate={}", sample, noise(sample));
        text
    });
    assert_eq!(read_ok(&text).streams[0].rate(), Rate::Slow);
}

#[test]
fn changes_only_are_told_by_neighbours_that_never_agree() {
    let (mut all, mut changes, mut before) = (String::new(), String::new(), 0);
    for sample in 0..4000 {
        let count = noise(sample);
        let _ = writeln!(all, "touch {count}");
        if count != before {
            let _ = writeln!(changes, "touch {count}");
        }
        before = count;
    }
    assert_eq!(read_ok(&all).streams[0].rate(), Rate::Unknown);
    assert_eq!(read_ok(&changes).streams[0].rate(), Rate::OnChange);
    assert_eq!(read_ok(&all).streams[0].clock(), None);
}

#[test]
fn readings_at_the_end_of_their_counter_are_told() {
    let log = read_ok("touch 1023\ntouch 1023\ntouch 1020\ntouch 1023\ntouch 1019\n");
    assert_eq!(log.streams[0].hints(), [Hint::Saturated { count: 1023, samples: 3 }]);
    let log = read_ok("touch 65530\ntouch 12\ntouch 65531\ntouch 65533\ntouch 4\n");
    assert_eq!(log.streams[0].hints(), [Hint::Wrapped { times: 2 }]);
}

#[test]
fn late_nonsense_does_not_change_what_was_decided() {
    let mut text = String::from("ms,touch\n");
    for sample in 0..3000_u64 {
        let _ = writeln!(text, "{},{}", sample * 20, noise(sample));
    }
    text.push_str("60000,-4\n60020,70000\n60040,949.5\n60060,open\n60080\n60100,949\n");
    let log = read_ok(&text);
    assert_eq!((log.streams[0].counts().len(), log.unread.lines()), (3001, 5));
    let why: Vec<_> = log.unread.first.iter().map(|line| (line.line, line.why.words())).collect();
    assert_eq!(
        why,
        [
            (3002, "below 0 or above 65535"),
            (3003, "below 0 or above 65535"),
            (3004, "not a whole number"),
            (3005, "no number where the reading should be"),
            (3006, "no reading in it"),
        ]
    );
    assert_eq!(log.streams[0].gaps(), [Gap { sample: 3000, missing: Some(5) }]);
}

#[test]
fn the_reading_may_come_late_but_not_after_all_first_lines() {
    let text = format!("{}touch 951\n", "waiting\n".repeat(2500));
    assert_eq!(read(text.as_bytes(), Wish::default()).unwrap_err(), Refused::NoNumbers { lines: 2000 });
}
