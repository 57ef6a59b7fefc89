//! Target that reads the log of a plate, with and without a wish.

use crate::Outcome;
use tune::lines::{Reader, TimeWish, Unit, Wish, read};

/// A log is read or refused with words; what is read adds up, and does not depend on how the bytes are cut.
///
/// The first line is the wish: `p` and a pattern, `c` and the name of a field, `n` for no time, `u` for milliseconds, anything
/// else for none. The rest is the log.
pub fn plate_log(bytes: &[u8]) -> Outcome {
    let end = bytes.iter().position(|byte| *byte == b'\n').unwrap_or(bytes.len());
    let (first, log) = (String::from_utf8_lossy(&bytes[..end]), bytes.get(end + 1..).unwrap_or_default());
    let mut wish = Wish::default();
    let mut letters = first.chars();
    match letters.next() {
        Some('p') => match letters.as_str().parse() {
            Ok(pattern) => wish.pattern = Some(pattern),
            Err(error) => {
                assert!(error.column >= 1 && error.column <= first.chars().count());
                return format!("pattern {}", error.says.split(' ').next().unwrap_or_default());
            }
        },
        Some('c') => wish.counts.push(letters.as_str().into()),
        Some('n') => wish.time = Some(TimeWish::None),
        Some('u') => wish.unit = Some(Unit::Milliseconds),
        _ => {}
    }
    let whole = read(log, wish.clone());
    let mut reader = Reader::new(wish);
    let fed = log.chunks(7).try_for_each(|piece| reader.feed(piece));
    let pieces = fed.and_then(|()| reader.finish());
    let read = match (whole, pieces) {
        (Ok(whole), Ok(pieces)) => {
            assert_eq!(whole.said(), pieces.said(), "the cut of the bytes matters");
            whole
        }
        (Err(whole), Err(pieces)) => {
            assert_eq!(whole.to_string(), pieces.to_string(), "the cut of the bytes matters");
            return whole.to_string().split(' ').filter(|word| !word.contains('`')).take(4).collect();
        }
        (whole, pieces) => panic!("the cut of the bytes matters: {whole:?}, {pieces:?}"),
    };
    assert!(!read.streams.is_empty() && read.streams.len() <= 64);
    for stream in &read.streams {
        let samples = stream.counts().len();
        let (least, most) = stream.range();
        assert!(samples > 0 && stream.counts().iter().all(|count| (least..=most).contains(&count)));
        assert_eq!(stream.counts().iter().count() as u64, samples);
        for gap in stream.gaps() {
            assert!(gap.sample > 0 && gap.sample < samples, "{gap:?}");
        }
        assert!(stream.time_s(samples).is_none());
        if let Some(clock) = stream.clock() {
            assert!(clock.interval_s >= 0.0 && clock.interval_s_p05 <= clock.interval_s_p95, "{clock:?}");
        }
        stream.rate();
        stream.hints();
    }
    let lines = read.lines;
    assert!(read.unread.first.iter().all(|line| (1..=lines).contains(&line.line)));
    format!("{} {:?} {}", read.layout, read.unit, read.streams.len().min(2))
}
