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
