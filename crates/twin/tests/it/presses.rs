//! Presses: the truth against the counts, by looking at each of them.

use crate::{assert_share, log, mean, rising};
use models::touch::count::Law;
use models::touch::timing::PRESS_S;
use proptest::prelude::*;
use twin::plate::effects::{Brushes, LONGEST_S, Presses, Settings};
use twin::plate::facts::Facts;
use twin::plate::samples::Samples;
use twin::plate::{Event, Kind, Log, Readings, Truth, Who, strange};

/// Spans in which the count is beyond a level, towards touch.
fn dips(log: &Log, law: Law, level: f64) -> Vec<[f64; 2]> {
    let mut found: Vec<[f64; 2]> = Vec::new();
    let mut before = false;
    for (at_s, count) in log.time_s.iter().zip(&log.counts) {
        let beyond = match law {
            Law::Falls => f64::from(*count) < level,
            Law::Rises => f64::from(*count) > level,
        };
        match (before, beyond) {
            (false, true) => found.push([*at_s, *at_s]),
            (true, true) => found.last_mut().expect("just begun")[1] = *at_s,
            _ => {}
        }
        before = beyond;
    }
    found
}

/// Adults who all press equally deep, one who is as quick as a wink among them.
fn alike(count: u32) -> Presses {
    Presses { child: 0.0, glove: 0.0, depth_factor: 1.0, wobble: 0.0, ..Presses { count, ..Presses::USUAL } }
}

fn assert_dips_are_presses(log: &Log, law: Law, touch: f64, period_s: f64) {
    // Half of the capacitance is there.
    let half = law.count(log.truth.idle[0], 1.0, touch / 2.0);
    let dips = dips(log, law, half);
    let presses: Vec<&Event> = log.truth.presses().collect();
    assert_eq!(dips.len(), presses.len());
    for (dip, press) in dips.iter().zip(presses) {
        // The hovering hand brings a ramp's middle forward by less than a period of 5 ms.
        for (found_s, wanted_s) in dip.iter().zip([press.start_s, press.end_s]) {
            assert!((found_s - wanted_s).abs() <= 2.0 * period_s, "{dip:?} of {press:?}");
        }
    }
}

#[test]
fn every_press_is_a_dip_of_its_length_and_every_dip_a_press() {
    for (facts, seed) in [(Facts::TYPICAL, 1), (rising(), 2), (Facts { touch: 0.06, ..Facts::TYPICAL }, 3)] {
        let usual = Settings { presses: alike(60), period_s: 0.005, ..Settings::of(facts, 300.0, 60) };
        let settings = Settings { presses: alike(60), idle_count: 20_000.0, ..usual.bare() };
        assert_dips_are_presses(&log(&settings, seed), facts.law, facts.touch, 0.005);
    }
}

#[test]
fn the_strange_ones_too() {
    for (facts, seed) in [(Facts::TYPICAL, 1), (rising(), 2)] {
        let usual =
            strange::Settings::of(Facts { child: facts.touch, glove: facts.touch, ..facts }, 600.0, 60);
        let presses = strange::Presses { depth: [1.0, 1.0], ..usual.presses };
        let settings = strange::Settings { presses, period_s: 0.005, idle_count: 20_000.0, ..usual }.bare();
        let log = Log::from(strange::Samples::new(&settings, seed).expect("in range"));
        assert_dips_are_presses(&log, facts.law, facts.touch, 0.005);
    }
}

#[test]
fn each_press_goes_as_deep_as_the_truth_says() {
    for facts in [Facts::TYPICAL, rising()] {
        let usual = Settings { period_s: 0.005, idle_count: 12_000.0, ..Settings::of(facts, 600.0, 80) };
        let settings = Settings { presses: Presses { wobble: 0.0, ..usual.presses }, ..usual.bare() };
        let log = log(&settings, 9);
        let kinds: Vec<Kind> = log.truth.presses().map(|press| press.kind).collect();
        for who in [Who::Adult, Who::Child, Who::Glove] {
            assert!(kinds.contains(&Kind::Press(who)), "{who:?} among eighty");
        }
        for press in log.truth.presses().filter(|press| press.length_s() > 0.1) {
            let rows = log.time_s.iter().zip(&log.counts);
            let inside = rows.filter(|(at_s, _)| (press.start_s..press.end_s).contains(*at_s));
            let deepest =
                inside.map(|(_, count)| (f64::from(*count) / 12_000.0 - 1.0).abs()).fold(0.0, f64::max);
            assert!(
                (deepest - press.depth).abs() < 1e-4 * press.depth.max(1.0) + 5e-5,
                "{deepest} of {press:?}"
            );
        }
    }
}

#[test]
fn a_bare_finger_on_the_usual_plate_is_the_trade_s_fact() {
    // budgets.md: idle in the high 900s, touched 300 to 400-odd, a threshold near 500 separates them.
    let settings = Settings { presses: alike(20), ..Settings::of(Facts::TYPICAL, 120.0, 20) };
    let log = log(&Settings { presses: alike(20), ..settings.bare() }, 1);
    assert_eq!(log.counts[0], 950);
    let least = *log.counts.iter().min().expect("some");
    assert!((300..450).contains(&least), "{least}");
    assert_eq!(dips(&log, Law::Falls, 500.0).len(), 20);
}

#[test]
fn lengths_and_callers_are_spread_as_set() {
    let settings = Settings { period_s: 1.0, ..Settings::of(Facts::TYPICAL, 40_000.0, 4_000) };
    let samples = Samples::new(&settings, 5).expect("in range");
    let log = Log { truth: Truth { events: samples.events().to_vec(), idle: vec![] }, ..Log::default() };
    let mut lengths_s: Vec<f64> = log.truth.presses().map(Event::length_s).collect();
    lengths_s.sort_by(f64::total_cmp);
    for (share, wanted_s) in [0.05, 0.5, 0.95].into_iter().zip(PRESS_S) {
        let below = lengths_s.partition_point(|length_s| *length_s < wanted_s) as f64 / 4_000.0;
        // The published triple is lopsided by 9 %, a log-normal is not.
        assert!((below - share).abs() < 0.03, "{below} of {share} below {wanted_s} s");
    }
    let of = |who: Who| log.truth.presses().filter(|p| p.kind == Kind::Press(who)).count() as f64 / 4_000.0;
    assert_share(of(Who::Child), 0.15, 4_000);
    assert_share(of(Who::Glove), 0.1, 4_000);
    // Any moment is as likely: a mean in the middle, within four standard errors of a uniform.
    let starts_s: Vec<f64> = log.truth.presses().map(|press| press.start_s / 40_000.0).collect();
    assert!((mean(&starts_s) - 0.5).abs() < 4.0 / (12.0 * 4_000.0_f64).sqrt());
}

#[test]
fn a_sleeve_is_no_press_and_shallow() {
    let brushes = Brushes { rate_1_s: 0.2, ..Brushes::USUAL };
    let settings = Settings { brushes, period_s: 0.005, ..Settings::of(Facts::TYPICAL, 600.0, 0).bare() };
    let log = log(&Settings { brushes, ..settings }, 2);
    assert!(log.truth.events.len() > 80 && log.truth.presses().count() == 0);
    let least = f64::from(*log.counts.iter().min().expect("some"));
    // At most 0.3 of what a finger adds, unless two meet: 950/(1 + 0.3·1.765) = 621.
    assert!((600.0..760.0).contains(&least), "{least}");
}

#[test]
fn more_presses_than_fit_are_refused_with_the_number_that_does() {
    let error = Samples::new(&Settings::of(Facts::TYPICAL, 60.0, 1_000), 1).expect_err("too many");
    assert_eq!((error.what, error.value), ("presses.count", 1_000.0));
    let fits = error.high as u32;
    assert!(Samples::new(&Settings::of(Facts::TYPICAL, 60.0, fits * 2 / 3), 1).is_ok(), "{fits}");
    let strange =
        strange::Samples::new(&strange::Settings::of(Facts::TYPICAL, 60.0, 1_000), 1).expect_err("too");
    assert_eq!((strange.what, strange.value), ("presses.count", 1_000.0));
}

proptest! {
    #[test]
    fn presses_never_meet_and_keep_off_the_start(count in 0_u32..60, seed: u64) {
        let settings = Settings::of(Facts::TYPICAL, 300.0, count);
        let samples = Samples::new(&settings, seed)?;
        let presses: Vec<Event> =
            samples.events().iter().filter(|e| e.kind.is_press()).copied().collect();
        prop_assert_eq!(presses.len(), count as usize);
        prop_assert!(presses.first().is_none_or(|first| first.start_s >= 5.5));
        prop_assert!(presses.last().is_none_or(|last| last.end_s <= 299.5 + 1e-9));
        prop_assert!(presses.windows(2).all(|pair| pair[1].start_s - pair[0].end_s >= 0.5 - 1e-9));
    }
}

#[test]
fn a_year_is_not_too_long() {
    let settings = Settings { period_s: 3600.0, ..Settings::of(Facts::TYPICAL, LONGEST_S, 7_000) };
    assert_eq!(log(&settings, 1).truth.presses().count(), 7_000);
}
