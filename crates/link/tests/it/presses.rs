//! Presses: each is told until it is acknowledged, and known again however often it is told.

use crate::board::{Board, Does, ack, presses, said, shown};
use link::{PressId, Says, Why};

#[test]
fn a_press_is_shown_told_and_kept_in_that_order() {
    let Some(mut board) = Board::linked() else { return };
    let does = board.touch(300);
    let at = |wanted: &dyn Fn(&Does) -> bool| does.iter().position(|(_, does)| wanted(does));
    let shows = at(&|does| matches!(does, Does::Shows(true, 1000)));
    let says = at(&|does| matches!(does, Does::Says(topic, _) if topic == "from/gate/press"));
    let keeps = at(&|does| *does == Does::Keeps);
    assert!(shows < says && says < keeps && shows.is_some(), "{does:?}");
    let told = &presses(&does)[0];
    assert_eq!((told.press.id.boot, told.press.id.seq, told.press.count), (1, 1, Some(600)));
    assert_eq!(told.press.idle, Some(950));
    // Two readings of 30 ms make a press: shown within trade's 0.15 s of the touch at 2,000 ms.
    assert!(told.press.id.at_ms <= 2150, "{told:?}");
    assert_eq!(told.age_ms(), Some(0));
}

/// 2, 4, 4 … s apart while somebody may still stand there, then 8, 16 … 60, by hand.
#[test]
fn a_press_is_told_again_until_it_is_acknowledged_and_no_longer() {
    let Some(mut board) = Board::linked() else { return };
    let first = presses(&board.run("press"))[0].clone();
    let again = presses(&board.wait(200_000));
    let ages_s: Vec<u64> = again.iter().map(|told| told.age_ms().expect("the same start") / 1000).collect();
    assert_eq!(ages_s, [2, 6, 10, 14, 18, 22, 26, 30, 34, 42, 58, 90, 150]);
    assert!(again.iter().all(|told| told.press == first.press));
    for wrong in [
        PressId { boot: 2, ..first.press.id },
        PressId { seq: 2, ..first.press.id },
        PressId { at_ms: first.press.id.at_ms + 1, ..first.press.id },
    ] {
        board.hear("ack", &ack(wrong, true));
    }
    assert_eq!(presses(&board.wait(60_000)).len(), 1, "another press's acknowledgement is none");
    board.hear("ack", &ack(first.press.id, true));
    assert_eq!(presses(&board.wait(300_000)), []);
}

#[test]
fn presses_made_while_the_link_was_down_come_late_and_say_how_old_they_are() {
    let Some(mut board) = Board::started() else { return };
    board.run("press");
    board.wait(30_000);
    board.run("press");
    assert_eq!(presses(&board.wait(60_000)), []);
    let does = board.run("link 1");
    let told = presses(&does);
    let told: Vec<_> = told.iter().map(|told| (told.press.id.seq, told.age_ms())).collect();
    assert_eq!(told, [(2, Some(60_000)), (1, Some(90_000))], "the newest first: somebody may stand there");
}

#[test]
fn a_press_outlasts_a_restart_and_tells_that_its_age_is_not_known() {
    let Some(mut board) = Board::started() else { return };
    board.run("press");
    board.wait(100);
    board.run("start 3");
    let does = board.run("link 1");
    let told = &presses(&does)[0];
    assert_eq!((told.boot, told.press.id.boot, told.age_ms()), (2, 1, None));
    let Says::Health(health) = &said(&does)[1] else { panic!("{does:?}") };
    assert_eq!((health.why, health.reset), (Why::Start, link::Reset::Watchdog));
    board.hear("ack", &ack(told.press.id, false));
    board.wait(20_000);
    board.run("start 1");
    assert_eq!(presses(&board.run("link 1")), [], "the acknowledgement is kept too");
}

/// Each start has its number, also where many presses come before the first is kept; a number is kept before it is used.
#[test]
fn no_two_presses_have_the_same_three_numbers() {
    let Some(mut board) = Board::started() else { return };
    let mut all = std::collections::BTreeSet::new();
    let mut told = 0;
    for start in 0..30 {
        board.run("link 1");
        for press in presses(&board.run("press")) {
            told += usize::from(all.insert(press.press.id));
        }
        if start % 3 == 0 {
            board.wait(20);
        }
        if start % 7 == 0 {
            board.run("blank");
        }
        board.run(&format!("start 1 {}", 1_000_000 + start));
        board.wait(10 * (start % 4));
    }
    assert_eq!(told, 30);
}

#[test]
fn with_no_room_the_oldest_goes_and_is_counted() {
    let Some(mut board) = Board::started() else { return };
    for _ in 0..11 {
        board.run("press");
        board.wait(1000);
    }
    let does = board.run("link 1");
    let seqs: Vec<u32> = presses(&does).iter().map(|told| told.press.id.seq).collect();
    assert_eq!(seqs, [11, 10, 9, 8, 7, 6, 5, 4]);
    let health = said(&does).into_iter().find_map(|says| match says {
        Says::Health(health) => Some(health),
        _ => None,
    });
    let health = health.expect("it greets");
    assert_eq!((health.waiting, health.unkept), (8, 3));
}

/// Nobody can tell two presses of a memoryless board apart by time: it is woken by the plate, and always as fast. Its starts
/// are numbered by chance.
#[test]
fn where_memory_fails_starts_are_numbered_by_chance() {
    let Some(mut board) = Board::new() else { return };
    board.run("start 1 55");
    board.run("link 1");
    let before = presses(&board.run("press"))[0].press.id;
    assert_eq!(before.boot, 55, "nothing was kept: by chance too");
    board.run("memory 0");
    let mut all = std::collections::BTreeSet::from([before]);
    for chance in [77, 78, 79] {
        board.run(&format!("start 1 {chance}"));
        board.run("press");
        let does = board.run("link 1");
        assert!(all.insert(presses(&does)[0].press.id), "{does:?}");
        assert_eq!(presses(&does)[0].press.id.boot, chance);
        let fails =
            said(&does).iter().any(|says| matches!(says, Says::Health(health) if health.memory.is_some()));
        assert!(fails, "and health tells of it: {does:?}");
    }
    // It mends: what waits is kept, and the next start counts on.
    board.run("memory 1");
    assert!(board.wait(60_000).iter().any(|(_, does)| *does == Does::Keeps));
    board.run("start 1 80");
    assert_eq!(presses(&board.run("link 1"))[0].boot, 80);
}

/// A memory that fails is tried again ever more seldom, and keeps nobody awake.
#[test]
fn a_memory_that_fails_is_not_hammered() {
    let Some(mut board) = Board::linked() else { return };
    board.run("memory 0");
    let press = presses(&board.run("press"))[0].press.id;
    board.hear("ack", &ack(press, false));
    board.run("pace 1000");
    let tries = board.wait(86_400_000).iter().filter(|(_, does)| *does == Does::FailsToKeep).count();
    assert!((20..40).contains(&tries), "{tries} in a day: every hour at last");
    assert_ne!(board.lines("rests"), ["0"]);
}

/// A button, or the chip that the plate has woken, tells the press; the finger is still on the plate.
#[test]
fn the_finger_that_woke_the_chip_is_one_press() {
    let Some(mut board) = Board::linked() else { return };
    board.run("plate 600");
    let mut does = board.run("press");
    does.extend(board.wait(600));
    board.run("plate 950");
    board.wait(1000);
    assert_eq!(presses(&does).len(), 1, "{does:?}");
    assert_eq!(presses(&board.touch(300)).len(), 1, "the next one is another");
}

/// A camera in the same loop makes turns late: 60 ms, 100 ms, 200 ms where 30 were meant.
#[test]
fn a_late_loop_still_feels_a_press() {
    for pace in [31, 45, 60, 100, 150] {
        let Some(mut board) = Board::linked() else { return };
        board.run(&format!("pace {pace}"));
        board.wait(10_000);
        let mut felt = 0;
        for _ in 0..20 {
            board.run("plate 600");
            let mut does = board.wait(350);
            board.run("plate 950");
            does.extend(board.wait(1000));
            felt += presses(&does).iter().filter(|told| told.age_ms() < Some(100)).count();
        }
        assert_eq!(felt, 20, "a turn each {pace} ms");
        let does = board.hear("health", "{}");
        let does = [does, board.wait(100)].concat();
        let late = said(&does)
            .iter()
            .find_map(|says| if let Says::Health(health) = says { Some(health.late) } else { None });
        assert!(late > Some(0), "and health tells that it is late");
    }
}

/// Where the client takes only two messages a turn, all are told all the same, and no one twice before another once.
#[test]
fn a_client_that_takes_few_starves_nobody() {
    let Some(mut board) = Board::started() else { return };
    for _ in 0..5 {
        board.run("press");
        board.wait(100);
    }
    board.run("takes 2");
    let mut told = presses(&board.run("link 1"));
    told.extend(presses(&board.wait(1900)));
    let mut seqs: Vec<u32> = told.iter().map(|told| told.press.id.seq).collect();
    assert_eq!(&seqs[..5], [5, 4, 3, 2, 1]);
    seqs.sort_unstable();
    seqs.dedup();
    assert_eq!(seqs.len(), 5);
}

/// A service that has just come back asks how the station is, and hears of who stands there.
#[test]
fn who_asks_hears_of_what_waits() {
    let Some(mut board) = Board::linked() else { return };
    board.run("press");
    board.wait(40_000);
    let does = [board.hear("health", "{}"), board.wait(10)].concat();
    assert_eq!(presses(&does).len(), 1);
}

/// The client tells that it is linked, and a message has come before: one greeting, each press once.
#[test]
fn a_link_that_is_told_twice_is_one() {
    let Some(mut board) = Board::started() else { return };
    board.run("press");
    let mut does = board.hear("quiet", r#"{"seconds":1}"#);
    does.extend(board.run("link 1"));
    does.extend(board.wait(100));
    assert_eq!((presses(&does).len(), said(&does).len()), (1, 2), "{does:?}");
}

/// Ten presses in a row are ten messages, not sixty.
#[test]
fn a_new_press_does_not_tell_the_others_again() {
    let Some(mut board) = Board::linked() else { return };
    let told: usize =
        (0..6).map(|_| presses(&board.run("press")).len() + presses(&board.wait(100)).len()).sum();
    assert_eq!(told, 6);
    assert_eq!(presses(&board.wait(2000)).len(), 6, "after two seconds all that wait");
}

/// What was acknowledged is forgotten at leisure, and holds up no press.
#[test]
fn an_acknowledgement_does_not_hold_up_the_next_press() {
    let Some(mut board) = Board::linked() else { return };
    let first = presses(&board.run("press"))[0].press.id;
    board.hear("ack", &ack(first, true));
    board.wait(11_100);
    let does = board.run("press");
    assert!(does.iter().any(|(_, does)| *does == Does::Keeps), "kept at once: {does:?}");
    board.run("start 1");
    assert_eq!(presses(&board.run("link 1")).len(), 1);
}

/// The acknowledgement of an earlier start's press is no reason to hold up the first press of this one.
#[test]
fn the_first_press_of_a_start_is_kept_at_once() {
    let Some(mut board) = Board::started() else { return };
    let first = presses(&board.run("press"));
    assert!(first.is_empty(), "not linked");
    board.run("start 1");
    board.wait(100);
    let told = presses(&board.run("link 1"))[0].press.id;
    board.hear("ack", &ack(told, false));
    board.wait(1000);
    let does = board.run("press");
    assert!(does.iter().any(|(_, does)| *does == Does::Keeps), "{does:?}");
}

/// A memory that works again for whatever reason keeps the next press in ten seconds, not in an hour.
#[test]
fn a_memory_that_mends_keeps_presses_soon() {
    let Some(mut board) = Board::linked() else { return };
    board.run("memory 0");
    board.run("press");
    board.run("pace 1000");
    board.wait(3_000_000);
    board.run("memory 1");
    board.hear("settings", r#"{"revision":"a","burned":"3c98fc8c","settings":{"camera.quality":20}}"#);
    board.run("press");
    assert!(board.wait(12_000).iter().any(|(_, does)| *does == Does::Keeps));
}

/// The plate feels it first, then the button in it, or the chip; or the other way round, however slow the detector is.
#[test]
fn one_finger_is_one_press_whoever_feels_it_first() {
    let Some(mut board) = Board::linked() else { return };
    board.run("plate 600");
    let mut does = board.wait(200);
    does.extend(board.run("press"));
    board.run("plate 950");
    does.extend(board.wait(500));
    assert_eq!(presses(&does).len(), 1, "{does:?}");
    let Some(mut board) = Board::linked() else { return };
    board.hear(
        "settings",
        r#"{"revision":"a","burned":"3c98fc8c","settings":{"plate.period_us":600000,"plate.debounce":2}}"#,
    );
    board.wait(30_000);
    board.run("plate 600");
    let mut does = board.run("press");
    does.extend(board.wait(1900));
    assert_eq!(presses(&does).len(), 1, "{does:?}");
}

/// Sleep is neither a press that lasts nor a loop that is late; and the longest rest has room for waking late.
#[test]
fn a_long_sleep_is_no_fault_of_the_plate() {
    let Some(mut board) = Board::started() else { return };
    assert!(board.lines("rests")[0].parse::<u32>().expect("ms") < u32::MAX / 3);
    board.run("sleep 60000");
    board.run("woke");
    board.wait(100);
    let does = board.run("link 1");
    let late = said(&does)
        .iter()
        .find_map(|says| if let Says::Health(health) = says { Some(health.late) } else { None });
    assert_eq!(late, Some(0), "{does:?}");
    board.run("plate 600");
    board.wait(200);
    assert_eq!(board.lines("rests"), ["0"], "a finger is on it");
}

/// A sleeper that wakes for each reading feels a press: its readings are in a row.
#[test]
fn who_sleeps_from_reading_to_reading_feels_a_press() {
    for period_ms in [30, 1000] {
        let Some(mut board) = Board::linked() else { return };
        let text = format!(
            r#"{{"revision":"a","burned":"3c98fc8c","settings":{{"plate.period_us":{}}}}}"#,
            period_ms * 1000
        );
        board.hear("settings", &text);
        board.wait(40_000);
        board.run("plate 600");
        let mut does = Vec::new();
        for _ in 0..8 {
            board.run(&format!("sleep {}", period_ms - 10));
            does.extend(board.run("woke"));
            does.extend(board.wait(10));
        }
        assert!(shown(&does).iter().any(|(.., tone)| *tone == 1000), "{period_ms}: {does:?}");
    }
}

/// Plate, then a button long after: two presses; nor does a button that was passed over pass over the next touch.
#[test]
fn a_second_touch_is_a_second_press() {
    let Some(mut board) = Board::linked() else { return };
    let mut does = board.touch(200);
    does.extend(board.wait(700));
    does.extend(board.run("press"));
    does.extend(board.wait(500));
    does.extend(board.touch(200));
    let seqs: std::collections::BTreeSet<u32> = presses(&does).iter().map(|told| told.press.id.seq).collect();
    assert!(seqs.len() >= 2, "{does:?}");
}

/// A median of five and back: readings of another time are no press.
#[test]
fn a_changed_median_brings_back_no_old_touch() {
    let Some(mut board) = Board::linked() else { return };
    let five = r#"{"revision":"m5","burned":"3c98fc8c","settings":{"plate.median":5,"plate.longest_ms":0}}"#;
    board.hear("settings", five);
    board.wait(5000);
    board.run("plate 700");
    board.wait(600);
    board.hear("settings", r#"{"revision":"m1","burned":"3c98fc8c","settings":{"plate.longest_ms":0}}"#);
    board.run("plate 950");
    board.wait(90_000);
    let waiting = presses(&board.wait(70_000)).last().map(|told| told.press.id.seq);
    board.hear("settings", five);
    let after = presses(&board.wait(60_000)).iter().map(|told| told.press.id.seq).max();
    assert_eq!(after.or(waiting), waiting, "nobody has touched");
}

/// A clock that goes back by a little (two sources, a correction after sleep) stands still; it does not jump by 49 days.
#[test]
fn a_clock_that_goes_back_stands_still() {
    let Some(mut board) = Board::linked() else { return };
    let before = presses(&board.run("press"))[0].up_ms;
    let does = board.run("clock 4294967286");
    assert!(presses(&does).is_empty());
    let after = presses(&board.run("press"))[0].up_ms;
    assert!(after - before < 1000, "{before} {after}");
}

/// What one of the six functions calls is put off or not done; nothing is lost by it, and the stack does not grow.
#[test]
fn the_station_is_entered_once_at_a_time() {
    let Some(mut board) = Board::linked() else { return };
    board.run("nest 1");
    let does = board.hear("lamp", r#"{"id":"a","on":true,"seconds":1}"#);
    assert_eq!(presses(&does).len(), 1, "the press that was put off: {does:?}");
    let does = board.wait(3000);
    assert!(presses(&does).len() <= 4, "{does:?}");
}

#[test]
fn after_sleep_settings_are_applied_again_and_the_link_is_looked_for() {
    let Some(mut board) = Board::linked() else { return };
    board.run("sleep 600000");
    let does = board.run("woke");
    let applied: Vec<_> = does.iter().filter(|(_, does)| matches!(does, Does::Applies(..))).collect();
    assert_eq!(applied.len(), 7, "{does:?}");
    let does = board.run("press");
    assert_eq!(presses(&does), [], "the client sleeps too");
    assert_eq!(presses(&board.run("link 1")).len(), 1);
}

/// A memory wears out by writing: ten seconds apart at least, whoever hammers on the plate.
#[test]
fn presses_are_kept_at_most_every_ten_seconds() {
    let Some(mut board) = Board::linked() else { return };
    let mut times = Vec::new();
    for _ in 0..100 {
        let does = board.run("press");
        let did = board.wait(500);
        times.extend(does.iter().chain(&did).filter(|(_, does)| *does == Does::Keeps).map(|(time, _)| *time));
    }
    assert!(times.len() >= 5 && times.windows(2).all(|two| two[1] - two[0] >= 10_000), "{times:?}");
}

#[test]
fn a_client_that_cannot_take_a_press_is_asked_again_soon() {
    let Some(mut board) = Board::linked() else { return };
    board.run("client 0");
    board.run("press");
    board.wait(1800);
    board.run("client 1");
    let told = presses(&board.wait(600));
    assert_eq!(told.len(), 1, "within half a second");
}

/// A memory that fails from the first start on.
#[test]
fn a_memory_that_fails_does_not_silence_the_station() {
    let Some(mut board) = Board::new() else { return };
    board.run("memory 0");
    board.run("start 1");
    board.wait(2000);
    board.run("link 1");
    assert_eq!(presses(&board.touch(300)).len(), 1);
}

/// The clock of the board begins anew after 49.7 days; the test's begins a minute before that.
#[test]
fn a_clock_that_begins_anew_changes_nothing() {
    let Some(mut board) = Board::linked() else { return };
    board.wait(60_000);
    let before = presses(&board.run("press"))[0].press.id.at_ms;
    board.wait(20_000);
    let after = presses(&board.run("press"))[0].press.id.at_ms;
    assert_eq!(after - before, 20_000);
}

#[test]
fn whatever_is_spoilt_of_what_was_kept_is_found_out() {
    let Some(mut board) = Board::started() else { return };
    assert!(board.run("press").iter().any(|(_, does)| *does == Does::Keeps));
    for at in 0..120 {
        board.run(&format!("spoil {at}"));
        board.run("start 1");
        let does = board.run("link 1");
        assert_eq!(presses(&does), [], "byte {at}");
        board.run("blank");
        board.run("start 1");
        board.run("press");
        board.wait(20);
    }
}

#[test]
fn a_sleeper_may_sleep_when_nothing_is_due() {
    let Some(mut board) = Board::linked() else { return };
    let rests = |board: &mut Board| board.lines("rests")[0].parse::<u64>().expect("ms");
    assert!(rests(&mut board) > 500_000);
    let told = presses(&board.run("press"))[0].clone();
    assert_eq!(rests(&mut board), 0);
    board.hear("ack", &ack(told.press.id, true));
    let sign = format!(r#"{{"press":{},"n":1,"sign":"off"}}"#, id(told.press.id));
    board.hear("sign", &sign);
    board.wait(20_000);
    assert!(rests(&mut board) > 400_000);
    assert_eq!(shown(&board.wait(1000)), []);
}

/// A press as it stands in messages.
pub(crate) fn id(press: PressId) -> String {
    format!(r#"{{"boot":{},"seq":{},"at_ms":{}}}"#, press.boot, press.seq, press.at_ms)
}
