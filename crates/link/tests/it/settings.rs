//! Settings: tried, proved by coming back, kept; or taken back.

use crate::board::{Board, Does, said};
use link::{Report, Says, State};
use std::collections::BTreeMap;

const QUALITY: u8 = 0;
const METERING: u8 = 1;
const CALL_RATE: u8 = 13;
const KEEP_ALIVE: u8 = 16;
const STREAM: u8 = 18;
const LAMP: u8 = 19;

/// The trial lasts long enough, and is kept.
fn keep(board: &mut Board, report: &Report) -> Report {
    board.wait(20_000);
    self::report(&board.hear("keep", &link::Tells::Keep(report.keep().expect("a trial")).text()))
}

/// Settings tried and kept.
fn kept(board: &mut Board, revision: &str, of: &str) {
    let tried = report(&board.hear("settings", &settings(revision, of)));
    assert_eq!(keep(board, &tried).state, State::Kept);
}

fn settings(revision: &str, of: &str) -> String {
    format!(r#"{{"revision":"{revision}","burned":"3c98fc8c","settings":{{{of}}}}}"#)
}

/// What a direct answer refuses.
fn refused(report: &Report) -> BTreeMap<String, String> {
    report.refused.clone().expect("a direct answer")
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
    assert!(refused(&tried).is_empty());
    let early = report(&board.hear("keep", &link::Tells::Keep(tried.keep().expect("a trial")).text()));
    assert_eq!(early.state, State::Trying, "what hangs in a few seconds has not proved itself");
    assert_eq!(keep(&mut board, &tried).state, State::Kept);
    let does = board.run("start 1");
    assert_eq!(applied(&does), [(QUALITY, 20), (METERING, 0), (CALL_RATE, 2500)], "a restart has them");
}

#[test]
fn settings_that_do_not_come_back_are_taken_back() {
    let Some(mut board) = Board::linked() else { return };
    kept(&mut board, "aaaaaaaa", r#""camera.quality":20"#);
    let tried = report(&board.hear("settings", &settings("bbbbbbbb", r#""camera.quality":30"#)));
    let does = board.wait(121_000);
    assert_eq!(applied(&does), [(QUALITY, 20)]);
    let returned = report(&does);
    assert_eq!(
        (returned.state, returned.asked.as_str(), returned.revision.as_str()),
        (State::Returned, "bbbbbbbb", "aaaaaaaa")
    );
    // Too late: what runs is told instead.
    let late = keep(&mut board, &tried);
    assert_eq!((late.state, late.revision.as_str()), (State::Kept, "aaaaaaaa"));
    assert!(!late.is_kept(&link::Revision::new("bbbbbbbb").expect("a revision")));
}

/// The usual reason: they cut the link. It is told when the link is there again.
#[test]
fn that_they_were_taken_back_is_told_when_it_can_be() {
    let Some(mut board) = Board::linked() else { return };
    board.hear("settings", &settings("bbbbbbbb", r#""camera.quality":30"#));
    board.run("link 0");
    assert_eq!(applied(&board.wait(125_000)), [(QUALITY, 14)]);
    assert_eq!(report(&board.run("link 1")).state, State::Returned);
}

/// Whoever repeats them does not make the trial longer.
#[test]
fn a_trial_ends_however_often_it_is_asked_for() {
    let Some(mut board) = Board::linked() else { return };
    board.hear("settings", &settings("bbbbbbbb", r#""camera.quality":30"#));
    let mut does = Vec::new();
    for _ in 0..4 {
        does.extend(board.wait(29_000));
        board.hear("settings", &settings("bbbbbbbb", r#""camera.quality":30"#));
    }
    does.extend(board.wait(5000));
    assert_eq!(applied(&does), [(QUALITY, 14)]);
}

/// The answer of one trial came; a later trial of the same settings has not been heard of.
#[test]
fn a_keep_is_for_its_own_trial() {
    let Some(mut board) = Board::linked() else { return };
    let message = settings("bbbbbbbb", r#""camera.quality":30"#);
    let first = report(&board.hear("settings", &message));
    board.wait(121_000);
    let second = report(&board.hear("settings", &message));
    assert_ne!(first.keep(), second.keep());
    assert_eq!(keep(&mut board, &first).state, State::Trying);
    assert_eq!(keep(&mut board, &second).state, State::Kept);
}

/// Settings over which the program hangs are gone with the restart, and are not tried again, however often they come.
#[test]
fn what_the_program_fell_over_is_not_tried_again() {
    for reset in [0, 2, 3, 4] {
        let Some(mut board) = Board::linked() else { return };
        let message = settings("bbbbbbbb", r#""camera.quality":30"#);
        board.hear("settings", &message);
        assert_eq!(applied(&board.run(&format!("start {reset}"))), []);
        let does = board.run("link 1");
        let Says::Health(health) = &said(&does)[0] else { panic!("it greets") };
        assert_eq!((health.revision.as_str(), health.fell.as_deref()), ("", Some("bbbbbbbb")));
        assert_eq!((report(&does).state, report(&does).asked.as_str()), (State::Returned, "bbbbbbbb"));
        let does = board.hear("settings", &message);
        assert_eq!(
            (applied(&does), refused(&report(&does))["revision"].as_str()),
            (vec![], "the program fell while these ran")
        );
        // Another revision is another matter.
        assert_eq!(
            applied(&board.hear("settings", &settings("cccccccc", r#""camera.quality":31"#))),
            [(QUALITY, 31)]
        );
    }
    // Somebody pulled the plug: they may be tried again.
    let Some(mut board) = Board::linked() else { return };
    let message = settings("bbbbbbbb", r#""camera.quality":30"#);
    board.hear("settings", &message);
    board.run("start 1");
    board.run("link 1");
    assert_eq!(report(&board.hear("settings", &message)).state, State::Trying);
}

/// Kept settings over which it falls again and again: the third time it runs as burned, and says over what it fell.
#[test]
fn three_falls_in_a_row_and_the_station_runs_as_burned() {
    let Some(mut board) = Board::linked() else { return };
    kept(&mut board, "aaaaaaaa", r#""camera.quality":20"#);
    assert_eq!(applied(&board.run("start 3")), [(QUALITY, 20)]);
    assert_eq!(applied(&board.run("start 4")), [(QUALITY, 20)]);
    assert_eq!(applied(&board.run("start 3")), []);
    let Says::Health(health) = &said(&board.run("link 1"))[0] else { panic!("it greets") };
    assert_eq!((health.revision.as_str(), health.fell.as_deref()), ("", Some("aaaaaaaa")));
    // Ten minutes that it stands end the row.
    let Some(mut board) = Board::linked() else { return };
    kept(&mut board, "aaaaaaaa", r#""camera.quality":20"#);
    for _ in 0..4 {
        assert_eq!(applied(&board.run("start 3")), [(QUALITY, 20)]);
        board.wait(620_000);
    }
}

/// The camera was not ready: the value is offered again, and what was kept stays kept.
#[test]
fn a_value_that_the_program_would_not_take_is_offered_again() {
    let Some(mut board) = Board::linked() else { return };
    kept(&mut board, "aaaaaaaa", r#""camera.quality":20"#);
    board.run("refuse 0 the camera is not ready");
    assert_eq!(applied(&board.run("start 1")), []);
    let Says::Health(health) = &said(&board.run("link 1"))[0] else { panic!("it greets") };
    assert_eq!((health.revision.as_str(), health.amiss), ("aaaaaaaa", 1));
    board.wait(30_000);
    board.run("refuse");
    assert_eq!(applied(&board.wait(60_000)), [(QUALITY, 20)]);
    // The same when they are taken back.
    board.hear("settings", &settings("bbbbbbbb", r#""camera.quality":30"#));
    board.run("refuse 0 the camera is busy");
    let returned = report(&board.wait(121_000));
    assert_eq!((returned.state, returned.amiss), (State::Returned, 1));
    board.run("refuse");
    assert_eq!(applied(&board.wait(61_000)), [(QUALITY, 20)]);
}

/// What the program has refused so far runs untried: it is not kept. What it can never do is left as burned, and holds up nothing.
#[test]
fn only_what_ran_is_kept() {
    let Some(mut board) = Board::linked() else { return };
    let of = r#""camera.quality":30,"camera.metering":"whole""#;
    board.run("refuse 0 not now");
    let tried = report(&board.hear("settings", &settings("bbbbbbbb", of)));
    assert_eq!(tried.amiss, 1);
    assert_eq!(keep(&mut board, &tried).state, State::Trying);
    board.run("refuse");
    assert_eq!(applied(&board.wait(41_000)), [(QUALITY, 30)], "it is offered again");
    let keeps = link::Tells::Keep(tried.keep().expect("a trial")).text();
    assert_eq!(report(&board.hear("keep", &keeps)).state, State::Trying, "it has run for a second");
    assert_eq!(keep(&mut board, &tried).state, State::Kept);
    let Some(mut board) = Board::linked() else { return };
    board.run("refuse 0 !a desk has no camera");
    let tried = report(&board.hear("settings", &settings("bbbbbbbb", of)));
    assert_eq!((tried.amiss, refused(&tried)["camera.quality"].as_str()), (0, "a desk has no camera"));
    assert_eq!(keep(&mut board, &tried).state, State::Kept);
}

/// A keep alive is proved by a connection that has it, not by the one that was there before.
#[test]
fn what_takes_hold_with_a_new_connection_is_proved_by_one() {
    let Some(mut board) = Board::linked() else { return };
    let does = board.hear("settings", &settings("bbbbbbbb", r#""notice.keep_alive_ms":30000"#));
    assert_eq!(applied(&does), [(KEEP_ALIVE, 30_000)]);
    let tried = report(&does);
    assert_eq!(keep(&mut board, &tried).state, State::Trying);
    board.run("link 0");
    // The answer may have gone down with the link: it is told again, and is the same.
    let again = report(&board.run("link 1"));
    assert_eq!((again.state, again.keep(), again.refused), (State::Trying, tried.keep(), None));
    assert_eq!(keep(&mut board, &tried).state, State::Kept);
}

/// A program that never takes a key (a desk has no camera) runs it as burned, whatever ran before; and the revision is kept
/// and stays so, however often it is told, and after sleep.
#[test]
fn what_can_never_be_is_as_burned_for_good() {
    let Some(mut board) = Board::linked() else { return };
    kept(&mut board, "aaaaaaaa", r#""camera.quality":20"#);
    board.run("refuse 1 !no such metering here");
    let message = settings("bbbbbbbb", r#""camera.quality":30,"camera.metering":"whole""#);
    let tried = report(&board.hear("settings", &message));
    assert_eq!(refused(&tried)["camera.metering"], "no such metering here");
    assert_eq!(keep(&mut board, &tried).state, State::Kept);
    for _ in 0..3 {
        assert_eq!(report(&board.hear("settings", &message)).state, State::Kept);
        board.run("sleep 60000");
        board.run("woke");
        board.wait(100);
        board.run("link 1");
    }
    assert_ne!(board.lines("rests"), ["0"]);
    let tried = report(&board.hear("settings", &settings("cccccccc", r#""camera.quality":31"#)));
    assert_eq!((tried.amiss, keep(&mut board, &tried).state), (0, State::Kept));
}

/// One trial after another does not prove a keep alive that none of them has connected with.
#[test]
fn a_connection_is_wanted_until_it_has_come() {
    let Some(mut board) = Board::linked() else { return };
    board.hear("settings", &settings("aaaaaaaa", r#""notice.keep_alive_ms":30000"#));
    let second = report(&board.hear("settings", &settings("bbbbbbbb", r#""notice.keep_alive_ms":30000"#)));
    assert_eq!(keep(&mut board, &second).state, State::Trying);
}

/// Power goes during a trial, and the program falls before it has made a turn: that is not the trial's fault. One that fell
/// is written down as soon as the memory takes it.
#[test]
fn the_mark_of_a_trial_ends_with_it() {
    let message = settings("bbbbbbbb", r#""camera.quality":30"#);
    let Some(mut board) = Board::linked() else { return };
    board.hear("settings", &message);
    board.run("start 1");
    board.run("start 3");
    board.run("link 1");
    assert_eq!(report(&board.hear("settings", &message)).state, State::Trying);
    let Some(mut board) = Board::linked() else { return };
    board.hear("settings", &message);
    board.run("memory 0");
    board.run("start 3");
    board.run("memory 1");
    board.wait(60_000);
    board.run("start 1");
    board.run("link 1");
    assert!(refused(&report(&board.hear("settings", &message))).contains_key("revision"));
}

/// Falls during trials are the trials'; those before a revision was kept are not its own.
#[test]
fn kept_settings_answer_for_their_own_falls_alone() {
    let Some(mut board) = Board::linked() else { return };
    kept(&mut board, "aaaaaaaa", r#""camera.quality":20"#);
    for (at, revision) in ["x1", "x2", "x3", "x4"].iter().enumerate() {
        board.hear("settings", &settings(revision, &format!(r#""camera.quality":{}"#, 30 + at)));
        assert_eq!(applied(&board.run("start 3")), [(QUALITY, 20)], "{revision}");
        board.wait(100);
        board.run("link 1");
    }
    let Some(mut board) = Board::linked() else { return };
    for _ in 0..3 {
        board.run("start 3");
    }
    board.wait(100);
    board.run("link 1");
    kept(&mut board, "aaaaaaaa", r#""camera.quality":20"#);
    assert_eq!(applied(&board.run("start 3")), [(QUALITY, 20)], "its first fall");
}

/// What a program fell over it falls over again, whoever pulls the plug meanwhile, and whatever could not be written.
#[test]
fn what_the_program_fell_over_is_remembered() {
    let message = settings("bbbbbbbb", r#""camera.quality":30"#);
    let Some(mut board) = Board::linked() else { return };
    board.hear("settings", &message);
    for reset in [3, 1, 5] {
        board.run(&format!("start {reset}"));
        board.wait(100);
        board.run("link 1");
        assert!(
            refused(&report(&board.hear("settings", &message))).contains_key("revision"),
            "start {reset}"
        );
    }
    board.run("memory 0");
    board.hear("settings", &settings("cccccccc", ""));
    board.run("memory 1");
    assert!(refused(&report(&board.hear("settings", &message))).contains_key("revision"));
    // One whose trial a power cut ended did nothing wrong, and a later fall is not its own.
    let Some(mut board) = Board::linked() else { return };
    board.hear("settings", &message);
    board.run("start 1");
    board.wait(60_000);
    board.run("start 3");
    board.wait(100);
    board.run("link 1");
    assert_eq!(report(&board.hear("settings", &message)).state, State::Trying);
}

/// What is kept, told again during another trial, ends that trial and needs no proof.
#[test]
fn back_to_what_is_kept_is_no_trial() {
    let Some(mut board) = Board::linked() else { return };
    let good = settings("aaaaaaaa", r#""camera.quality":20"#);
    kept(&mut board, "aaaaaaaa", r#""camera.quality":20"#);
    board.hear("settings", &settings("bbbbbbbb", r#""camera.quality":30"#));
    let does = board.hear("settings", &good);
    assert_eq!((applied(&does), report(&does).state), (vec![(QUALITY, 20)], State::Kept));
}

/// A revision means the same at every station: a key that is refused is as burned, not as it was tried last.
#[test]
fn a_refused_key_is_as_burned() {
    let Some(mut board) = Board::linked() else { return };
    board.hear("settings", &settings("bbbbbbbb", r#""camera.quality":30"#));
    let does = board.hear("settings", &settings("cccccccc", r#""camera.quality":99"#));
    assert_eq!(
        (applied(&does), refused(&report(&does))["camera.quality"].as_str()),
        (vec![(QUALITY, 14)], "too large")
    );
}

/// What is told while something is only tried says so, whatever it answers.
#[test]
fn tried_is_not_kept() {
    let Some(mut board) = Board::linked() else { return };
    board.hear("settings", &settings("bbbbbbbb", r#""camera.quality":30"#));
    let other = report(&board.hear("settings", &settings("cccccccc", "").replace("3c98", "0000")));
    assert_eq!((other.state, other.revision.as_str()), (State::Trying, "bbbbbbbb"));
    let does = [board.hear("health", "{}"), board.wait(10)].concat();
    assert!(matches!(&said(&does)[0], Says::Health(health) if health.state == Some(State::Trying)));
}

/// What waited in the broker comes before the client has told that it is linked: it is answered.
#[test]
fn what_comes_proves_the_link() {
    let Some(mut board) = Board::started() else { return };
    assert_eq!(
        report(&board.hear("settings", &settings("bbbbbbbb", r#""camera.quality":30"#))).state,
        State::Trying
    );
}

#[test]
fn what_is_refused_is_told_with_its_reason_and_the_rest_is_taken() {
    let Some(mut board) = Board::linked() else { return };
    board.run("refuse 1 the sensor has no such \"mode\"");
    let of = r#""camera.quality":64,"camera.metering":"whole","camera.colour":3,"plate.threshold":0,"rest.call_rate_per_s":"fast","plate.debounce":1e1,"plate.period_us":999,"rest.idle_every_ms":900000.4"#;
    let does = board.hear("settings", &settings("cccccccc", of));
    let report = report(&does);
    let all = refused(&report);
    let refused: Vec<_> = all.iter().map(|(key, why)| (key.as_str(), why.as_str())).collect();
    assert_eq!(
        refused,
        [
            ("camera.colour", "no such setting here"),
            ("camera.metering", "the sensor has no such .mode."),
            ("camera.quality", "too large"),
            ("plate.debounce", "too large, or with an exponent"),
            ("plate.period_us", "too small"),
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
    kept(&mut board, "aaaaaaaa", r#""camera.quality":20,"plate.threshold":46"#);
    let does = board.hear("settings", &settings("bbbbbbbb", r#""plate.threshold":46"#));
    assert_eq!(applied(&does), [(QUALITY, 14)], "so that a revision says everything");
}

#[test]
fn settings_for_another_program_change_nothing() {
    let Some(mut board) = Board::linked() else { return };
    let does =
        board.hear("settings", &settings("aaaaaaaa", r#""camera.quality":20"#).replace("3c98", "0000"));
    assert_eq!(applied(&does), []);
    assert_eq!(refused(&report(&does))["burned"], "another program runs here");
}

/// They come again after a lost answer: the same is told again, and what is kept stays so.
#[test]
fn told_twice_is_told_once() {
    let Some(mut board) = Board::linked() else { return };
    let message = settings("aaaaaaaa", r#""camera.quality":20"#);
    board.hear("settings", &message);
    let tried = report(&board.hear("settings", &message));
    assert_eq!(keep(&mut board, &tried).state, State::Kept);
    let does = board.hear("settings", &message);
    assert_eq!((report(&does).state, applied(&does)), (State::Kept, vec![]));
    assert_eq!(keep(&mut board, &tried).state, State::Kept);
}

#[test]
fn settings_that_cannot_be_kept_are_not_said_to_be() {
    let Some(mut board) = Board::linked() else { return };
    let message = settings("aaaaaaaa", r#""camera.quality":20"#);
    let tried = report(&board.hear("settings", &message));
    board.run("memory 0");
    assert_eq!(keep(&mut board, &tried).state, State::Trying);
    board.run("memory 1");
    assert_eq!(keep(&mut board, &tried).state, State::Kept);
    board.run("memory 0");
    let does = board.hear("settings", &settings("bbbbbbbb", r#""camera.quality":30"#));
    assert_eq!((applied(&does), refused(&report(&does))["revision"].as_str()), (vec![], "the memory fails"));
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
    board.wait(130_000);
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
        refused(&report).len() >= 4 && report.more_refused as usize + refused(&report).len() == 60,
        "{report:?}"
    );
}

#[test]
fn switches_go_off_by_themselves() {
    let Some(mut board) = Board::linked() else { return };
    for (kind, what) in [("stream", STREAM), ("lamp", LAMP)] {
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
    board.hear("lamp", r#"{"id":"a5","on":true,"seconds":86400}"#);
    assert_eq!(applied(&board.wait(601_000)), [(LAMP, 0)], "a lamp shines into eyes: ten minutes at most");
    board.run("refuse 17 the camera is off");
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
