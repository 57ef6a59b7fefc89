//! Messages as Rust reads them: whole, or refused with a reason.

use link::{Id, Quiet, Says, Seconds, Sign, Signed, Station, Switch, Tells, Unread, read};
use proptest::prelude::*;

#[test]
fn a_topic_that_is_no_stations_is_refused() {
    for topic in [
        "press",
        "from/gate",
        "from//press",
        "from/gate/press/x",
        "to/gate/press",
        "from/Gate/press",
        "from/+/press",
    ] {
        assert!(matches!(read(topic, b"{}"), Err(Unread::Topic(_) | Unread::Name(_))), "{topic}");
    }
    assert!(matches!(read("from/gate/picture", b"{}"), Err(Unread::Kind(_))));
}

#[test]
fn what_is_wrong_is_told_with_its_place() {
    let error = read("from/gate/press", br#"{"boot":1,"up_ms":5,"press":{"boot":1,"seq":-1,"at_ms":4}}"#);
    let says = error.expect_err("a number below none").to_string();
    insta::assert_snapshot!(says, @"press: invalid value: integer `-1`, expected u32 at line 1 column 57");
    let long = vec![b' '; 5000];
    let says = read("from/gate/press", &long).expect_err("too long").to_string();
    insta::assert_snapshot!(says, @"5000 bytes, and a message has at most 4096");
}

/// What a station sends must not fill a log, begin a line of it, or move a terminal's cursor. The first was found by the search.
#[test]
fn an_error_shows_little_and_harmless_of_what_was_sent() {
    let long = format!(r#"{{"boot":1,"up_ms":1,"asked":"","revision":"","state":"{}"}}"#, "try".repeat(500));
    let says = read("from/gate/settings", long.as_bytes()).expect_err("no such state").to_string();
    assert!(says.len() < 300 && says.ends_with("column 1555"), "{says}");
    let turned = r#"{"boot":1,"up_ms":1,"asked":"","revision":"","state":"\u001b[2J\nERROR \u202e"}"#;
    let says = read("from/gate/settings", turned.as_bytes()).expect_err("no such state").to_string();
    assert!(says.chars().all(|c| !c.is_control() && c != '\u{202e}'), "{says:?}");
    let topic = read("from/gate\n/press", b"{}").expect_err("no such topic").to_string();
    assert!(!topic.contains('\n'), "{topic:?}");
}

#[test]
fn members_that_nobody_knows_yet_are_passed_over() {
    let text = br#"{"boot":1,"up_ms":5,"why":"moon","reset":"moon","burned":"","revision":"","new":[1]}"#;
    let Says::Health(health) = read("from/gate/health", text).expect("it can be read").says else { panic!() };
    assert_eq!((health.why, health.reset), (link::Why::Other, link::Reset::Unknown));
}

#[test]
fn an_age_that_a_clock_cannot_say_is_none() {
    let told = |text: &str| {
        let Says::Press(told) = read("from/gate/press", text.as_bytes()).expect("it can be read").says else {
            panic!()
        };
        told.age_ms()
    };
    assert_eq!(told(r#"{"boot":2,"up_ms":900,"press":{"boot":2,"seq":1,"at_ms":400}}"#), Some(500));
    assert_eq!(told(r#"{"boot":2,"up_ms":900,"press":{"boot":1,"seq":1,"at_ms":400}}"#), None);
    assert_eq!(told(r#"{"boot":2,"up_ms":900,"press":{"boot":2,"seq":1,"at_ms":901}}"#), None);
}

#[test]
fn what_is_said_of_a_moment_does_not_outlive_it() {
    let id = || Id::new("a").expect("a name");
    let press = link::PressId { boot: 1, seq: 1, at_ms: 1 };
    let open = Signed { press, n: 1, sign: Sign::Open, seconds: Some(6) };
    for tells in [
        Tells::Lamp(Switch { id: id(), on: true, seconds: 3 }),
        Tells::Readings(Seconds { id: id(), seconds: 3 }),
        Tells::Quiet(Quiet { seconds: 600 }),
        Tells::Sign(open.clone()),
        // It is said again whenever the press is told again, and `rings` is of a moment.
        Tells::Ack(link::Ack { press, rings: true }),
    ] {
        assert_eq!(tells.expires_s(), 10, "{tells:?}");
    }
    let station = Station::new("gate").expect("a name");
    assert_eq!(Tells::Sign(open).topic(&station), "to/gate/sign");
}

proptest! {
    /// Whatever comes, it is read or refused; and a name that is suggested is a name.
    #[test]
    fn nothing_that_comes_panics(topic in ".{0,60}", kind in "press|health|settings|answer|readings|gone", bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        let _ = read(&topic, &bytes);
        let _ = read(&format!("from/gate/{kind}"), &bytes);
        if let Some(station) = Station::suggested(&topic) {
            prop_assert!(Station::new(station.as_str()).is_ok());
        }
    }
}
