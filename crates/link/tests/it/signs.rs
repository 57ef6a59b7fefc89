//! Signs: what the caller sees and hears, and that nobody is told what became of somebody else.

use crate::board::{Board, Does, ack, presses, shown};
use crate::presses::id;
use link::PressId;

/// A linked station with a press that is acknowledged.
fn ringing() -> Option<(Board, PressId)> {
    let mut board = Board::linked()?;
    let press = presses(&board.run("press"))[0].press.id;
    board.hear("ack", &ack(press, true));
    Some((board, press))
}

fn sign(board: &mut Board, press: PressId, n: u32, sign: &str, more: &str) -> Vec<(u64, Does)> {
    board.hear("sign", &format!(r#"{{"press":{},"n":{n},"sign":"{sign}"{more}}}"#, id(press)))
}

/// The share of the time in which the lamp is lit, from its first change within `ms` to its last.
fn lit(board: &mut Board, ms: u64) -> f64 {
    let does = shown(&board.wait(ms));
    let lit: u64 = does.windows(2).filter(|two| two[0].1).map(|two| two[1].0 - two[0].0).sum();
    lit as f64 / (does[does.len() - 1].0 - does[0].0) as f64
}

/// faces: on at once with one tick; then a short wink each second.
#[test]
fn felt_then_known() {
    let Some(mut board) = Board::linked() else { return };
    let does = board.run("press");
    let press = presses(&does)[0].press.id;
    let since = does[0].0;
    assert_eq!(shown(&does), [(since, true, 1000)]);
    assert_eq!(shown(&board.wait(1000)), [(since + 60, true, 0)], "the tick ends, the lamp stays");
    let does = board.hear("ack", &ack(press, true));
    assert_eq!(shown(&does), [], "the wink begins with light");
    let winks = shown(&board.wait(2990));
    let on: Vec<u64> = winks.iter().filter(|(_, lamp, _)| *lamp).map(|(time, ..)| *time).collect();
    let off: Vec<u64> = winks.iter().filter(|(_, lamp, _)| !*lamp).map(|(time, ..)| *time).collect();
    assert_eq!(on.iter().map(|time| time - since).collect::<Vec<_>>(), [2000, 3000]);
    assert_eq!(off.iter().map(|time| time - since).collect::<Vec<_>>(), [1150, 2150, 3150]);
}

/// Nobody has said that the press is known: by the station's own judgement, please knock. Link or no link.
#[test]
fn please_knock_after_four_seconds() {
    for link in ["link 0", "link 1"] {
        let Some(mut board) = Board::started() else { return };
        board.run(link);
        board.run("press");
        let knocks = shown(&board.wait(8000));
        let tones: Vec<u64> =
            knocks.iter().filter(|(.., tone)| *tone == 500).map(|(time, ..)| time - 2000).collect();
        assert_eq!(tones, [4000, 5200, 6400], "three slow");
        let dark = shown(&board.wait(40_000));
        assert_eq!(dark.last().map(|(_, lamp, tone)| (*lamp, *tone)), Some((false, 0)));
        assert_eq!(shown(&board.wait(10_000)), [], "and it ends");
    }
}

#[test]
fn a_press_that_is_known_late_rings_if_the_service_says_so() {
    let Some(mut board) = Board::started() else { return };
    board.run("press");
    board.wait(10_000);
    let press = presses(&board.run("link 1"))[0].press.id;
    board.hear("ack", &ack(press, true));
    assert!((lit(&mut board, 10_000) - 0.15).abs() < 0.02, "winks of 150 ms each second");
    let Some(mut board) = Board::started() else { return };
    board.run("press");
    board.wait(10_000);
    let press = presses(&board.run("link 1"))[0].press.id;
    board.hear("ack", &ack(press, false));
    assert!(lit(&mut board, 10_000) > 0.3, "please knock goes on");
}

#[test]
fn every_sign_ends_by_itself() {
    let usual =
        [("ringing", 93_000), ("answered", 120_000), ("open", 5000), ("away", 2000), ("knock", 30_000)];
    for (word, ms) in usual {
        let Some((mut board, press)) = ringing() else { return };
        sign(&mut board, press, 1, word, "");
        board.wait(ms + 200);
        assert_eq!(shown(&board.wait(12_000)), [], "{word}");
        assert_ne!(board.lines("rests"), ["0"], "{word}");
    }
    let Some((mut board, press)) = ringing() else { return };
    sign(&mut board, press, 1, "open", r#","seconds":86400"#);
    board.wait(60_100);
    assert_eq!(shown(&board.wait(5000)), [], "no door is shown open for longer than a minute");
}

#[test]
fn open_flickers_and_rises_answered_stands_still() {
    let Some((mut board, press)) = ringing() else { return };
    sign(&mut board, press, 1, "answered", "");
    board.wait(100);
    assert_eq!(shown(&board.wait(3000)), [], "steady");
    let mut does = sign(&mut board, press, 2, "open", r#","seconds":6"#);
    does.extend(board.wait(600));
    let mut tones: Vec<u16> = shown(&does).iter().map(|(.., tone)| *tone).filter(|tone| *tone > 0).collect();
    tones.dedup();
    assert_eq!(tones, [600, 800, 1000]);
    assert!((lit(&mut board, 5000) - 0.5).abs() < 0.02, "half of the time");
}

/// In quiet hours the lamp alone speaks.
#[test]
fn quiet_silences_every_tone_and_no_lamp() {
    let Some(mut board) = Board::linked() else { return };
    board.hear("quiet", r#"{"seconds":100}"#);
    let mut does = board.run("press");
    does.extend(board.wait(20_000));
    assert!(
        shown(&does).iter().all(|(.., tone)| *tone == 0) && shown(&does).iter().any(|(_, lamp, _)| *lamp)
    );
    board.hear("quiet", r#"{"seconds":0}"#);
    assert!(shown(&board.run("press")).iter().any(|(.., tone)| *tone > 0));
}

#[test]
fn a_sign_for_an_earlier_press_is_passed_over() {
    let Some((mut board, first)) = ringing() else { return };
    sign(&mut board, first, 1, "answered", "");
    sign(&mut board, first, 2, "off", "");
    let second = presses(&board.run("press"))[0].press.id;
    board.wait(500);
    for (n, late) in [(3, "open"), (4, "away"), (5, "answered"), (6, "off")] {
        sign(&mut board, first, n, late, "");
        assert_eq!(shown(&board.wait(100)), [], "{late}");
    }
    board.hear("ack", &ack(second, true));
    sign(&mut board, second, 1, "answered", "");
    assert_eq!(shown(&board.wait(2000)), []);
}

#[test]
fn signs_that_come_twice_or_in_the_wrong_order_change_nothing() {
    let Some((mut board, press)) = ringing() else { return };
    sign(&mut board, press, 2, "answered", "");
    board.wait(1000);
    sign(&mut board, press, 1, "open", "");
    sign(&mut board, press, 2, "open", "");
    assert_eq!(shown(&board.wait(1000)), []);
}

/// Who is answered and presses again hears the tick, and stays answered.
#[test]
fn a_press_during_a_call_ticks_and_leaves_the_sign() {
    let Some((mut board, press)) = ringing() else { return };
    sign(&mut board, press, 1, "answered", "");
    board.wait(500);
    let mut does = board.run("press");
    does.extend(board.wait(3500));
    let tones: Vec<_> = shown(&does).iter().map(|(_, lamp, tone)| (*lamp, *tone)).collect();
    assert_eq!(tones, [(true, 1000), (true, 0)]);
}

/// But nobody sees an open door that was opened for somebody else for longer than a press may take to be known.
#[test]
fn a_press_during_a_call_is_answered_in_its_turn() {
    for (acks, then) in [(None, "knock"), (Some(true), "ringing")] {
        let Some((mut board, press)) = ringing() else { return };
        sign(&mut board, press, 1, "open", r#","seconds":60"#);
        board.wait(1000);
        let second = presses(&board.run("press"))[0].press.id;
        if let Some(rings) = acks {
            board.hear("ack", &ack(second, rings));
        }
        board.wait(4200);
        let share = lit(&mut board, 9000);
        assert!(if then == "knock" { share > 0.3 } else { (share - 0.15).abs() < 0.02 }, "{then}: {share}");
    }
    // The service says the sign again for it: that goes on.
    let Some((mut board, press)) = ringing() else { return };
    sign(&mut board, press, 1, "answered", "");
    let second = presses(&board.run("press"))[0].press.id;
    board.hear("ack", &ack(second, false));
    sign(&mut board, second, 1, "answered", "");
    board.wait(100);
    assert_eq!(shown(&board.wait(20_000)), []);
}

/// An acknowledgement has no end: one that comes late says less than the sign that has come before it.
#[test]
fn a_late_acknowledgement_does_not_overrule_a_sign() {
    let Some(mut board) = Board::linked() else { return };
    let press = presses(&board.run("press"))[0].press.id;
    sign(&mut board, press, 1, "knock", "");
    board.wait(3000);
    board.hear("ack", &ack(press, true));
    assert!(lit(&mut board, 9000) > 0.3, "please knock goes on");
}

/// Starts whose memory was lost are not compared by their numbers: a call goes on, and a new press has its sign.
#[test]
fn signs_outlast_a_memory_that_was_lost() {
    let Some(mut board) = Board::new() else { return };
    board.run("start 1 4000000000");
    board.wait(100);
    board.run("link 1");
    let old = presses(&board.run("press"))[0].press.id;
    board.hear("ack", &ack(old, true));
    board.run("blank");
    board.run("start 1 5");
    board.wait(100);
    board.run("link 1");
    assert_eq!(shown(&sign(&mut board, old, 2, "answered", "")).len(), 1);
    let new = presses(&board.run("press"))[0].press.id;
    board.hear("ack", &ack(new, true));
    let mut does = sign(&mut board, new, 1, "open", "");
    does.extend(board.wait(500));
    assert!(shown(&does).iter().any(|(.., tone)| *tone == 800), "{does:?}");
}

/// A station that slept hears a message before its next turn: the time that passed is known.
#[test]
fn what_is_heard_after_sleep_lasts_as_long_as_it_should() {
    let Some((mut board, press)) = ringing() else { return };
    sign(&mut board, press, 1, "off", "");
    board.wait(1000);
    board.run("sleep 300000");
    sign(&mut board, press, 2, "open", r#","seconds":6"#);
    assert!((lit(&mut board, 5000) - 0.5).abs() < 0.02);
}

/// A call that goes on over a restart is shown again; one begun indoors since then ends it.
#[test]
fn after_a_restart_the_call_goes_on() {
    let Some((mut board, press)) = ringing() else { return };
    board.wait(20_000);
    board.run("start 2");
    board.run("link 1");
    assert_eq!(shown(&sign(&mut board, press, 7, "answered", "")).len(), 1);
    // Begun indoors, in this start: no press yet.
    let indoors = PressId { boot: 2, seq: 0, at_ms: 0 };
    sign(&mut board, indoors, 1, "off", "");
    board.wait(1000);
    assert_ne!(board.lines("rests"), ["0"]);
    assert_eq!(shown(&sign(&mut board, press, 8, "answered", "")), [], "the earlier call is over");
}
