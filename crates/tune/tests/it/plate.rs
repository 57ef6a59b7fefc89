//! The whole of it: recordings in, detectors out.

use crate::levels::{Dice, made};
use detector::{Config, Events, Plate};
use proptest::prelude::*;
use tune::lines::Rate;
use tune::plate::{Cannot, Recording, Replay, Tuned, Wish, tune};
use tune::verdict::Judged;

const PERIOD_S: f64 = 0.05;

fn tuned(counts: &[u16]) -> Result<Tuned, Cannot> {
    tune(&Recording { counts, period_s: PERIOD_S, gaps: &[] }, &Wish::USUAL)
}

/// Ten minutes with a press every half a minute, as the trade knows them (common practice, no source): idle in the high
/// nine hundreds, touched between 300 and the 400s; 500 written by hand works.
fn trade(seed: u64) -> Vec<u16> {
    let mut dice = Dice(seed);
    let (mut touched, mut level) = (0, 0.0);
    (0..12_000)
        .map(|at| {
            if at % 600 == 300 {
                (touched, level) = (10 + (10.0 * dice.share()) as i32, 300.0 + 150.0 * dice.share());
            }
            touched -= 1;
            (if touched > 0 { level + 8.0 * dice.bell() } else { 980.0 + 2.5 * dice.bell() }).round() as u16
        })
        .collect()
}

#[test]
fn the_trades_plate_is_tuned_between_its_levels() {
    let counts = trade(3);
    let tuned = tuned(&counts).unwrap();
    assert_eq!((tuned.presses.len(), tuned.replay), (20, Replay { found: 20, ..Replay::default() }));
    let touch_at = tuned.medians.0 - f64::from(tuned.config.threshold);
    assert!(touch_at > 450.0 && touch_at < 970.0, "{touch_at}");
    assert!(
        tuned.fixed.apart && tuned.fixed.levels.0 <= 500 && 500 <= tuned.fixed.levels.1,
        "{:?}",
        tuned.fixed
    );
    assert_eq!(tuned.fixed.replay, tuned.replay);
    assert!(tuned.ratio.is_clear(), "{:?}", tuned.ratio);
    assert!(
        (tuned.medians.0 - 980.0).abs() < 1.0 && (tuned.deviations.0 / 2.5 - 1.0).abs() < 0.1,
        "{tuned:?}"
    );
    assert!(
        tuned.missed.value < 30.0 && tuned.false_year.value < 30.0,
        "{:?} {:?}",
        tuned.missed,
        tuned.false_year
    );
}

/// What is said to be missed and false holds in a recording a hundred times as long from the same source.
#[test]
fn a_longer_recording_of_the_same_plate_agrees() {
    for seed in 1..6 {
        // Noise so large that a threshold has to choose.
        let short = made(24_000, 0.02, 10.0, 25.0, seed);
        let long = made(2_400_000, 0.02, 10.0, 25.0, seed + 100);
        let tuned = tuned(&short.counts).unwrap();
        let mut plate = Plate::new();
        let (mut found, mut none) = (0, 0);
        let mut last_touch = usize::MAX;
        for (at, &count) in long.counts.iter().enumerate() {
            if long.touched[at] {
                last_touch = at;
            }
            if plate.sample(&tuned.config, count).has(Events::PRESS) {
                if last_touch != usize::MAX && at - last_touch < 6 { found += 1 } else { none += 1 }
            }
        }
        let span_s = long.counts.len() as f64 * PERIOD_S;
        let expected = tuned.noise_year.high * span_s / (365.25 * 86_400.0);
        let missed = 1.0 - found as f64 / long.presses.len() as f64;
        let told = format!(
            "seed {seed}: threshold {} debounce {}: {none} false where at most {expected:.1} in 95 of 100, missed {missed:.4} where {:?}",
            tuned.config.threshold, tuned.config.debounce, tuned.missed
        );
        // Two standard deviations of a count over the upper end; presses cut short at both ends are missed besides.
        assert!(f64::from(none) <= expected + 2.0 * expected.sqrt() + 3.0, "{told}");
        assert!(missed <= tuned.missed.high / 1000.0 + 0.01, "{told}");
    }
}

#[test]
fn what_cannot_be_told_is_said() {
    let idle = |n: usize| (0..n).map(|at| 950 + (at * 7 % 5) as u16).collect::<Vec<u16>>();
    assert!(matches!(tuned(&idle(50)), Err(Cannot::Short { .. })));
    assert!(matches!(tuned(&idle(5000)), Err(Cannot::NoTouch)));
    let mut one = idle(5000);
    one[2000..2020].fill(400);
    assert!(matches!(tuned(&one), Err(Cannot::FewPresses { presses: 1 })));
    let mut ends: Vec<u16> = idle(5000);
    for press in 0..20 {
        ends[100 + 200 * press..120 + 200 * press].fill(0);
    }
    assert!(
        matches!(tuned(&ends), Err(Cannot::Saturated { count: 0 })),
        "{:?}",
        tuned(&ends).map(|t| t.config)
    );
}

/// The same plate whose counts rise is tuned alike.
#[test]
fn rising_counts_are_tuned_alike() {
    let falls = trade(5);
    let rises: Vec<u16> = falls.iter().map(|count| 2000 - count).collect();
    let (a, b) = (tuned(&falls).unwrap().config, tuned(&rises).unwrap().config);
    assert_eq!(Config { rises: true, ..a }, b);
}

/// Stretches of equal, noisy or wild counts: what no wall ever gave.
fn anything() -> impl Strategy<Value = Vec<u16>> {
    let stretch = (any::<u16>(), 0..400_usize, 0..3_u8, any::<u64>()).prop_map(|(level, len, kind, seed)| {
        let mut dice = Dice(seed | 1);
        (0..len)
            .map(|_| match kind {
                0 => level,
                1 => level.saturating_add((dice.share() * 9.0) as u16),
                _ => (dice.share() * 65_536.0) as u16,
            })
            .collect::<Vec<u16>>()
    });
    prop::collection::vec(stretch, 0..24).prop_map(|stretches| stretches.concat())
}

proptest! {
    /// Whatever is recorded, it is tuned or refused; what is said is in order.
    #[test]
    fn nothing_recorded_is_too_strange(
        counts in anything(),
        period_s in 1e-4..2.0_f64,
        gaps in prop::collection::vec((0..9000_usize, any::<u32>()), 0..9),
        bare in any::<bool>(),
        asleep in any::<bool>(),
    ) {
        let mut gaps = gaps;
        gaps.sort_unstable();
        gaps.dedup_by_key(|gap| gap.0);
        let relearn_s = if asleep { 60.0 } else { f64::NAN };
        let wish = Wish { bare, relearn_s, ..Wish::USUAL };
        let recording = Recording { counts: &counts, period_s, gaps: &gaps };
        let Ok(tuned) = tune(&recording, &wish) else { return Ok(()) };
        for interval in [tuned.false_year, tuned.missed, tuned.noise_year] {
            prop_assert!(interval.low <= interval.high && interval.value >= 0.0, "{interval:?}");
        }
        prop_assert!(tuned.missed.high <= 1000.0 && tuned.config.threshold > 0);
        prop_assert!(f64::from(tuned.config.threshold) <= f64::from(tuned.levels.depth).ceil());
        for rate in [Rate::Stream, Rate::Unknown, Rate::Irregular] {
            prop_assert!(!Judged::of(&tuned, rate, 300.0).says.is_empty());
        }
    }
}

/// Presses of `held` readings every 500, with a ramp of so many readings at both ends.
fn pressed(samples: usize, held: usize, ramp: usize, mut count: impl FnMut(usize, f64) -> f64) -> Vec<u16> {
    let share = |at: usize| {
        let into = at % 500;
        if into < 250 || into >= 250 + held + 2 * ramp {
            return 0.0;
        }
        let (up, down) = (into - 250 + 1, 250 + held + 2 * ramp - into);
        (up.min(down) as f64 / (ramp + 1) as f64).min(1.0)
    };
    (0..samples).map(|at| count(at, share(at)).round().clamp(0.0, 65_535.0) as u16).collect()
}

/// Normal noise of less than a count, about a level between two counts: rounded, it is a lattice, and no law of peaks fits one.
#[test]
fn rounding_makes_no_tail() {
    for seed in 1..9 {
        let mut dice = Dice(seed);
        let counts = pressed(9000, 20, 0, |_, share| 1000.5 - 60.0 * share + 1.3 * dice.bell());
        let tuned = tune(&Recording { counts: &counts, period_s: 0.04, gaps: &[] }, &Wish::USUAL).unwrap();
        assert!(
            tuned.noise_year.value < 2.0,
            "seed {seed}: {:?} at {}",
            tuned.noise_year,
            tuned.config.threshold
        );
    }
}

/// One reading in 500 is wild: two in a row come 200 times a year at 25 readings a second, before ten minutes have had any.
#[test]
fn wild_readings_that_fall_together_are_expected() {
    let mut held = 0;
    for seed in 1..11 {
        let mut dice = Dice(seed);
        let share = 1.0 / 500.0;
        let mut wild = |at: f64| if dice.share() < share { 200.0 } else { at + 2.0 * dice.bell() };
        let counts = pressed(15_000, 20, 0, |_, share| wild(950.0 - 500.0 * share));
        let tuned = tune(&Recording { counts: &counts, period_s: 0.04, gaps: &[] }, &Wish::USUAL).unwrap();
        // Pairs a year: rate times the square of the share.
        let truth = 25.0 * 365.25 * 86_400.0 * share * share;
        held += u32::from(tuned.noise_year.low <= truth && truth <= tuned.noise_year.high);
        assert!(tuned.noise_year.high > 0.3 * truth, "seed {seed}: {:?} of {truth}", tuned.noise_year);
    }
    assert!(held >= 7, "{held} of 10 hold");
}

/// Some of the presses are weak, but as long as the others: they are presses.
#[test]
fn weak_presses_are_presses() {
    let mut dice = Dice(4);
    let depth = |at: usize| if (at / 500) % 4 == 1 { 90.0 } else { 200.0 };
    let counts = pressed(8000, 20, 1, |at, share| 5000.0 - depth(at) * share + 2.5 * dice.bell());
    let tuned = tune(&Recording { counts: &counts, period_s: 0.04, gaps: &[] }, &Wish::USUAL).unwrap();
    assert_eq!((tuned.presses.len(), tuned.replay.found), (16, 16));
    assert!(tuned.config.threshold < 90, "{}", tuned.config.threshold);
}

/// A finger that takes a third of a second to come is felt before half of it is there, and found.
#[test]
fn a_slow_finger_is_found_once() {
    let mut dice = Dice(7);
    let counts = pressed(30_000, 60, 33, |_, share| 1600.0 - 700.0 * share + 3.0 * dice.bell());
    let tuned = tune(&Recording { counts: &counts, period_s: 0.01, gaps: &[] }, &Wish::USUAL).unwrap();
    assert_eq!(tuned.replay, Replay { found: 60, ..Replay::default() });
}

/// A reading is missing every twentieth time: fewer in a row than the first baseline takes.
#[test]
fn regular_gaps_leave_a_baseline() {
    let mut dice = Dice(9);
    let counts = pressed(6000, 20, 0, |_, share| 1000.0 - 200.0 * share + 3.0 * dice.bell());
    let gaps: Vec<(usize, u32)> = (1..300).map(|gap| (gap * 20, 1)).collect();
    let tuned = tune(&Recording { counts: &counts, period_s: 0.05, gaps: &gaps }, &Wish::USUAL).unwrap();
    assert_eq!(tuned.replay, Replay { found: 12, ..Replay::default() });
}

/// A counter that goes in steps of 33 and hardly any noise: readings lie on two neighbouring steps, more on one.
#[test]
fn coarse_counters_are_tuned() {
    for seed in 1..6 {
        let (mut dice, mut noise) = (Dice(seed), 0.0);
        let counts = pressed(6000, 20, 0, |_, share| {
            noise = 0.8 * noise + 0.6 * dice.bell();
            ((3148.0 - 330.0 * share + 9.0 * noise) / 33.0).round() * 33.0
        });
        let tuned = tune(&Recording { counts: &counts, period_s: 0.05, gaps: &[] }, &Wish::USUAL).unwrap();
        assert_eq!((tuned.presses.len(), tuned.replay.found, tuned.replay.none), (12, 12, 0), "seed {seed}");
    }
}

/// A clock that began anew beside missing readings: two gaps before one sample, and those behind them still count.
#[test]
fn gaps_at_one_sample_are_both_told() {
    let counts: Vec<u16> = (0..200).map(|at| if (100..102).contains(&at) { 400 } else { 950 }).collect();
    let config = Config { debounce: 2, calibrate: 4, threshold: 100, ..Config::USUAL };
    let pressed = |gaps: &[(usize, u32)]| {
        let mut events = 0;
        Recording { counts: &counts, period_s: 0.05, gaps }.run(&config, |_, _, event| {
            events += usize::from(event.has(Events::PRESS));
        });
        events
    };
    assert_eq!(pressed(&[]), 1);
    // The gap between the two touched readings leaves neither in a row.
    assert_eq!(pressed(&[(101, 1)]), 0);
    assert_eq!(pressed(&[(50, 1), (50, 3), (101, 1)]), 0);
}
