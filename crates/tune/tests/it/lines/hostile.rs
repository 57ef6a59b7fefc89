//! Input from nobody who means well: never a panic, never more memory than promised, every line accounted for.

use proptest::prelude::*;
use tune::lines::{LINE_MAX, Reader, Why, Wish, read};

#[test]
fn a_line_without_end_is_cut_and_counted() {
    let mut reader = Reader::new(Wish::default());
    let rubbish = vec![b'7'; 1 << 20];
    for _ in 0..100 {
        reader.feed(&rubbish).unwrap();
    }
    reader.feed(b"\ntouch 951\ntouch 950\n").unwrap();
    for _ in 0..20 {
        reader.feed(&rubbish).unwrap();
    }
    let log = reader.finish().unwrap();
    assert_eq!(log.streams[0].counts().iter().collect::<Vec<_>>(), [951, 950]);
    assert_eq!(log.lines, 4);
    assert_eq!(log.unread.by_why().collect::<Vec<_>>(), [(Why::TooLong, 2)]);
}

#[test]
fn a_long_line_in_the_middle_is_cut_and_counted() {
    let mut text = "touch 951\n".repeat(10_000).into_bytes();
    text.extend(vec![b'x'; LINE_MAX + 1]);
    text.extend(b"\ntouch 3\n");
    let log = read(&text, Wish::default()).unwrap();
    assert_eq!(log.streams[0].counts().len(), 10_001);
    assert_eq!(log.unread.first[0].line, 10_001);
    assert_eq!(log.unread.first[0].why, Why::TooLong);
}

#[test]
fn what_is_not_utf8_is_read_where_it_can_be() {
    let log =
        read(b"\xff\xfe touch 951\ntouch 950 \xe9\nto\xc3\n\0\0touch 949\0\n", Wish::default()).unwrap();
    assert_eq!(log.streams[0].counts().iter().collect::<Vec<_>>(), [951, 950, 949]);
    assert_eq!((log.not_utf8, log.unread.lines()), (3, 1));
    assert_eq!(log.unread.first[0].text, "to\u{fffd}");
}

#[test]
fn plates_are_not_made_without_end() {
    let text: String = (0..40_000)
        .map(|index| format!("plate=p{} count=9{}\n", if index < 3000 { 0 } else { index }, index % 60))
        .collect();
    let log = read(text.as_bytes(), Wish::default()).unwrap();
    assert_eq!(log.streams.len(), 64);
    assert!(log.unread.lines() > 30_000);
}

#[test]
fn a_clock_without_any_order_keeps_bounded_memory_and_says_so() {
    let mut reader = Reader::new(Wish::default());
    let (mut at, mut text) = (0_u64, Vec::new());
    for sample in 0..2_300_000_u64 {
        at += if sample < 2000 || sample % 2 == 0 { 20 } else { 900 };
        std::io::Write::write_fmt(&mut text, format_args!("{at} ms {}\n", 900 + sample * 7 % 50)).unwrap();
        if text.len() > 1 << 16 {
            reader.feed(&text).unwrap();
            text.clear();
        }
    }
    reader.feed(&text).unwrap();
    let log = reader.finish().unwrap();
    assert_eq!(log.streams[0].anchors().count(), tune::lines::ANCHORS_MAX);
    assert!(log.streams[0].clock().unwrap().predicted_from.is_some_and(|from| from < 2_100_000));
}

proptest! {
    #[test]
    fn any_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..2000), cut in 1_usize..100) {
        let whole = read(&bytes, Wish::default());
        let mut reader = Reader::new(Wish::default());
        let fed = bytes.chunks(cut).try_for_each(|piece| reader.feed(piece));
        let pieces = fed.and_then(|()| reader.finish());
        prop_assert_eq!(whole.map(|log| log.said()), pieces.map(|log| log.said()));
    }

    #[test]
    fn any_likely_text_is_read_or_refused_with_words(
        text in "([0-9.:,;\t =\\-+eTZ\\[\\]{}\"\r\n<>]|touch|plate|ms|time|951|2026-05-01T12:00:00|\u{e4}){0,300}",
    ) {
        match read(text.as_bytes(), Wish::default()) {
            Ok(log) => {
                prop_assert!(log.streams.iter().all(|stream| !stream.counts().is_empty()));
                for stream in &log.streams {
                    let _ = (stream.gaps(), stream.rate(), stream.hints(), stream.clock());
                }
                prop_assert!(log.unread.first.len() as u64 <= log.unread.lines());
            }
            Err(refused) => prop_assert!(refused.to_string().contains("; ")),
        }
    }

    #[test]
    fn any_pattern_fits_or_not(pattern in "([ a-c0-9]|<any>|<time>|<plate>|<){0,8}<count>([ a-c]|<any>|<time>){0,8}", line in "[ a-c0-9:.<-]{0,80}") {
        if let Ok(pattern) = pattern.parse() {
            let _ = read(line.as_bytes(), Wish { pattern: Some(pattern), ..Wish::default() });
        }
    }
}
