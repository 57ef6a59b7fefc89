//! Settings: tried, proved by coming back, kept; or taken back.

use crate::board::{Board, Does, said};
use link::{Report, Says, State};

const QUALITY: u8 = 0;
const METERING: u8 = 1;
const CALL_RATE: u8 = 13;

fn settings(revision: &str, of: &str) -> String {
    format!(r#"{{"revision":"{revision}","burned":"3c98fc8c","settings":{{{of}}}}}"#)
}

fn report(does: &[(u64, Does)]) -> Report {
    let mut reports = said(does).into_iter().filter_map(|says| match says {
        Says::Settings(report) => Some(report),
        _ => None,
    });
    reports.next_back().unwrap_or_else(|| panic!("no report in {does:?}"))
}

fn applied(does: &[(u64, Does)]) -> Vec<(u8, i32)> {
    let apply = |(_, does): &(u64, Does)| match does {
        Does::Applies(what, value) => Some((*what, *value)),
        _ => None,
    };
    does.iter().filter_map(apply).collect()
}

#[test]
fn settings_are_tried_and_then_kept() {
    let Some(mut board) = Board::linked() else { return };
    let of = r#""camera.quality":20,"camera.metering":"whole","rest.call_rate_per_s":2.5"#;
    let does = board.hear("settings", &settings("803bb325", of));
    assert_eq!(applied(&does), [(QUALITY, 20), (METERING, 0), (CALL_RATE, 2500)]);
    let tried = report(&does);
    assert_eq!(
        (tried.state, tried.asked.as_str(), tried.revision.as_str()),
        (State::Trying, "803bb325", "803bb325")
    );
    assert!(tried.refused.is_empty());
    let does = board.hear("keep", r#"{"revision":"803bb325"}"#);
    assert!(does.iter().any(|(_, does)| *does == Does::Keeps));
    assert_eq!(report(&does).state, State::Kept);
    let does = board.run("start 1");
    assert_eq!(applied(&does), [(QUALITY, 20), (METERING, 0), (CALL_RATE, 2500)], "a restart has them");
}

#[test]
fn settings_that_do_not_come_back_are_taken_back() {
    let Some(mut board) = Board::linked() else { return };
    board.hear("settings", &settings("aaaaaaaa", r#""camera.quality":20"#));
    board.hear("keep", r#"{"revision":"aaaaaaaa"}"#);
    board.hear("settings", &settings("bbbbbbbb", r#""camera.quality":30"#));
    let does = board.wait(61_000);
    assert_eq!(applied(&does), [(QUALITY, 20)]);
    let returned = report(&does);
    assert_eq!((returned.state, returned.revision.as_str()), (State::Returned, "aaaaaaaa"));
    // Too late: what runs is told instead.
    let late = report(&board.hear("keep", r#"{"revision":"bbbbbbbb"}"#));
    assert_eq!((late.state, late.revision.as_str()), (State::Kept, "aaaaaaaa"));
}

/// Settings that make the program hang are gone with the restart.
#[test]
fn a_restart_takes_back_what_was_only_tried() {
    let Some(mut board) = Board::linked() else { return };
    board.hear("settings", &settings("bbbbbbbb", r#""camera.quality":30"#));
    assert_eq!(applied(&board.run("start 3")), []);
    let Says::Health(health) = &said(&board.run("link 1"))[0] else { panic!("it greets") };
    assert_eq!(health.revision, "");
}

#[test]
fn what_is_refused_is_told_with_its_reason_and_the_rest_is_taken() {
    let Some(mut board) = Board::linked() else { return };
    board.run("refuse 1 the sensor has no such \"mode\"");
    let of = r#""camera.quality":64,"camera.metering":"whole","camera.colour":3,"plate.threshold":0,"rest.call_rate_per_s":"fast","plate.debounce":1e1,"rest.idle_every_ms":900000.4"#;
    let does = board.hear("settings", &settings("cccccccc", of));
    let report = report(&does);
    let refused: Vec<_> = report.refused.iter().map(|(key, why)| (key.as_str(), why.as_str())).collect();
    assert_eq!(
        refused,
        [
            ("camera.colour", "no such setting here"),
            ("camera.metering", "the sensor has no such .mode."),
            ("camera.quality", "too large"),
            ("plate.debounce", "too long a number"),
            ("plate.threshold", "too small"),
            ("rest.call_rate_per_s", "a number is wanted"),
        ]
    );
    assert_eq!(applied(&does), [(12, 900_000)]);
    assert_eq!(report.state, State::Trying);
}

#[test]
fn what_a_message_does_not_name_is_as_burned() {
    let Some(mut board) = Board::linked() else { return };
    board.hear("settings", &settings("aaaaaaaa", r#""camera.quality":20,"plate.threshold":46"#));
    board.hear("keep", r#"{"revision":"aaaaaaaa"}"#);
    let does = board.hear("settings", &settings("bbbbbbbb", r#""plate.threshold":46"#));
    assert_eq!(applied(&does), [(QUALITY, 14)], "so that a revision says everything");
}

#[test]
fn settings_for_another_program_change_nothing() {
    let Some(mut board) = Board::linked() else { return };
    let does =
        board.hear("settings", &settings("aaaaaaaa", r#""camera.quality":20"#).replace("3c98", "0000"));
    assert_eq!(applied(&does), []);
    assert_eq!(report(&does).refused["burned"], "another program runs here");
}

/// They come again after a lost answer: the same is told again, and what is kept stays so.
#[test]
fn told_twice_is_told_once() {
    let Some(mut board) = Board::linked() else { return };
    let message = settings("aaaaaaaa", r#""camera.quality":20"#);
    board.hear("settings", &message);
    assert_eq!(report(&board.hear("settings", &message)).state, State::Trying);
    board.hear("keep", r#"{"revision":"aaaaaaaa"}"#);
    let does = board.hear("settings", &message);
    assert_eq!((report(&does).state, applied(&does)), (State::Kept, vec![]));
    assert_eq!(report(&board.hear("keep", r#"{"revision":"aaaaaaaa"}"#)).state, State::Kept);
}

#[test]
fn settings_that_cannot_be_kept_are_not_said_to_be() {
    let Some(mut board) = Board::linked() else { return };
    board.hear("settings", &settings("aaaaaaaa", r#""camera.quality":20"#));
    board.run("memory 0");
    assert_eq!(report(&board.hear("keep", r#"{"revision":"aaaaaaaa"}"#)).state, State::Trying);
    board.run("memory 1");
    assert_eq!(report(&board.hear("keep", r#"{"revision":"aaaaaaaa"}"#)).state, State::Kept);
}

/// A turned threshold is what the plate is judged by from the next reading on, with no flashing.
#[test]
fn a_turned_threshold_is_felt_at_once() {
    let Some(mut board) = Board::linked() else { return };
    let felt = |board: &mut Board| {
        board.run("plate 910");
        let does = board.wait(300);
        board.run("plate 950");
        let more = board.wait(300);
        said(&does).iter().chain(&said(&more)).any(|says| matches!(says, Says::Press(_)))
    };
    assert!(!felt(&mut board), "40 counts, and 60 are usual");
    board.hear("settings", &settings("aaaaaaaa", r#""plate.threshold":30,"plate.hysteresis":10"#));
    assert!(felt(&mut board));
    board.wait(70_000);
    assert!(!felt(&mut board), "taken back");
}

/// Sixty wrong keys: as many as a message holds are told, the rest are counted.
#[test]
fn an_answer_is_never_too_long() {
    let Some(mut board) = Board::linked() else { return };
    let many: Vec<String> =
        (0..60).map(|at| format!(r#""camera.a_key_that_nobody_knows_at_all_{at}":1"#)).collect();
    let does = board.hear("settings", &settings("aaaaaaaa", &many.join(",")));
    let report = report(&does);
    assert!(
        report.refused.len() >= 4 && report.more_refused as usize + report.refused.len() == 60,
        "{report:?}"
    );
}

#[test]
fn switches_go_off_by_themselves() {
    let Some(mut board) = Board::linked() else { return };
    for (kind, what) in [("stream", 15_u8), ("lamp", 16)] {
        let does = board.hear(kind, r#"{"id":"a1","on":true,"seconds":30}"#);
        assert_eq!(applied(&does), [(what, 1)]);
        assert!(matches!(&said(&does)[0], Says::Answer(answer) if answer.done && answer.id.as_str() == "a1"));
        assert_eq!(applied(&board.wait(29_900)), []);
        assert_eq!(applied(&board.wait(200)), [(what, 0)]);
        board.hear(kind, r#"{"id":"a2","on":true,"seconds":30}"#);
        assert_eq!(applied(&board.hear(kind, r#"{"id":"a3","on":false}"#)), [(what, 0)]);
        assert_eq!(applied(&board.wait(40_000)), []);
        // Without an end, nothing is switched on.
        assert_eq!(applied(&board.hear(kind, r#"{"id":"a4","on":true}"#)), []);
    }
    board.run("refuse 14 the camera is off");
    let does = board.hear("picture", r#"{"id":"p_1"}"#);
    assert!(
        matches!(&said(&does)[0], Says::Answer(answer) if !answer.done && answer.why.as_deref() == Some("the camera is off"))
    );
}

/// Readings for tuning: all of them, in order, in messages of twenty.
#[test]
fn readings_come_in_order_and_whole() {
    let Some(mut board) = Board::linked() else { return };
    board.hear("readings", r#"{"id":"t1","seconds":3}"#);
    let does = board.wait(4000);
    let mut next = 0;
    for says in said(&does) {
        if let Says::Readings(readings) = says {
            assert_eq!((readings.first, readings.period_us), (next, 30_000));
            assert!(readings.counts.iter().all(|count| *count == 950));
            next += readings.counts.len() as u32;
        }
    }
    assert!((100..=101).contains(&next), "{next}");
    // What is missed is counted: the loop stood still for a second.
    board.hear("readings", r#"{"id":"t2","seconds":60}"#);
    board.wait(900);
    let mut does = board.run("clock 1000");
    does.extend(board.wait(900));
    let firsts: Vec<u32> = said(&does)
        .iter()
        .filter_map(|says| if let Says::Readings(readings) = says { Some(readings.first) } else { None })
        .collect();
    assert!(firsts.windows(2).any(|two| two[1] - two[0] > 30), "{firsts:?}");
}
