//! A known series, written in a layout drawn at random, is read back as it was.

use proptest::prelude::*;
use std::fmt::Write;
use tune::lines::{Reader, Unit, Wish, read};

#[derive(Clone, Copy, Debug)]
enum Shape {
    Commas,
    CommasWithHeader,
    Semicolons,
    Tabs,
    Words,
    Brackets,
    Json,
    TimeOfDay,
    Dates,
}

const SHAPES: [Shape; 9] = [
    Shape::Commas,
    Shape::CommasWithHeader,
    Shape::Semicolons,
    Shape::Tabs,
    Shape::Words,
    Shape::Brackets,
    Shape::Json,
    Shape::TimeOfDay,
    Shape::Dates,
];

/// The series as text; `millis` since the log began at 22 o'clock.
fn written(shape: Shape, millis: &[u64], counts: &[u16], ends: &str, noise: &str) -> String {
    let mut text = String::new();
    if matches!(shape, Shape::CommasWithHeader) {
        text = format!("ms,heap,touch{ends}");
    }
    for (index, (millis, count)) in millis.iter().zip(counts).enumerate() {
        let of_day = (millis + 79_200_000) % 86_400_000;
        let (second, part) = (of_day / 1000, of_day % 1000);
        let clock = format!("{:02}:{:02}:{:02}.{part:03}", second / 3600, second / 60 % 60, second % 60);
        let day = 1 + (millis + 79_200_000) / 86_400_000;
        let _ = match shape {
            Shape::Commas => write!(text, "{}.{:03},{count}", millis / 1000, millis % 1000),
            Shape::CommasWithHeader => write!(text, "{millis},{},{count}", 113 - index % 3),
            Shape::Semicolons => write!(text, "{},{:03};{count}", millis / 1000, millis % 1000),
            Shape::Tabs => write!(text, "{millis} ms\t{count}"),
            Shape::Words => write!(text, "up {millis} ms, pad = {count}, block 11{} kB", index % 3),
            Shape::Brackets => write!(text, "[{:5}.{:03}] touch: {count}", millis / 1000, millis % 1000),
            Shape::Json => write!(text, "{{\"touch\":{count},\"time_ms\":{millis}}}"),
            Shape::TimeOfDay => write!(text, "{clock} D touch={count} rssi=-6{}", index % 4),
            Shape::Dates => write!(text, "2026-03-{day:02}T{clock}Z touch {count}"),
        };
        text.push_str(ends);
        if index % 7 == 6 {
            text.push_str(noise);
        }
    }
    text
}

proptest! {
    #[test]
    fn what_was_written_is_read(
        shape in prop::sample::select(SHAPES.to_vec()),
        interval in 5_u64..3000,
        counts in prop::collection::vec(0_u16..=65535, 12..400),
        missing in prop::collection::btree_set(0_usize..400, 0..5),
        ends in prop::sample::select(vec!["\n", "\r\n"]),
        noise in prop::sample::select(vec!["", "\n", "# a hand\n", "joined\n"]),
        cut in 1_usize..200,
    ) {
        // A series that only rises is none; this one falls once for sure.
        let mut counts = counts;
        counts[0] = 40_000;
        counts[1] = 3;
        let kept: Vec<usize> = (0..counts.len()).filter(|index| *index < 5 || !missing.contains(index)).collect();
        let millis: Vec<u64> = kept.iter().map(|index| *index as u64 * interval).collect();
        let counts: Vec<u16> = kept.iter().map(|index| counts[*index]).collect();
        let text = written(shape, &millis, &counts, ends, noise);
        let log = read(text.as_bytes(), Wish::default()).map_err(|error| TestCaseError::fail(format!("{error}\n{text}")))?;
        prop_assert_eq!(log.streams.len(), 1);
        let stream = &log.streams[0];
        prop_assert_eq!(stream.counts().iter().collect::<Vec<_>>(), counts);
        for (sample, millis) in millis.iter().enumerate() {
            let found = stream.time_s(sample as u64).unwrap_or(f64::NAN);
            prop_assert!((found - *millis as f64 / 1e3).abs() < 1e-9, "{} for {} ms\n{}", found, millis, text);
        }
        let lost: u32 = stream.gaps().iter().filter_map(|gap| gap.missing).sum();
        prop_assert_eq!(lost as usize, kept.last().unwrap() + 1 - kept.len());
        prop_assert_ne!(log.unit, Unit::Samples);

        // However the bytes are cut, the same is read.
        let mut reader = Reader::new(Wish::default());
        for piece in text.as_bytes().chunks(cut) {
            reader.feed(piece).unwrap();
        }
        let again = reader.finish().unwrap();
        prop_assert_eq!(again.said(), log.said());
        prop_assert_eq!(again.lines, log.lines);
        prop_assert_eq!(again.streams[0].counts(), stream.counts());
    }

    #[test]
    fn a_pattern_reads_what_it_writes(
        before in "[a-z ]{0,6}[a-z]", between in "[ ,;:=]{1,3}[a-z]{0,4} ", counts in prop::collection::vec(0_u16..=65535, 2..50),
    ) {
        let pattern = format!("{before} <count>{between}<time>");
        let wish = Wish { pattern: Some(pattern.parse().unwrap()), ..Wish::default() };
        let text: String = counts.iter().enumerate().map(|(index, count)| format!("{before} {count}{between}{} ms!\n", index * 20)).collect();
        let log = read(text.as_bytes(), wish).unwrap();
        prop_assert_eq!(log.streams[0].counts().iter().collect::<Vec<_>>(), counts);
        prop_assert_eq!(log.streams[0].time_s(1), Some(0.02));
    }
}
