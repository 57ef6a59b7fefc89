//! Laws of any log: the seed decides, effects do not disturb each other, counters end where they end.

use crate::{log, rising};
use proptest::prelude::*;
use twin::plate::effects::{Brushes, Clock, Counter, Lost, Over, Rain, Settings};
use twin::plate::facts::Facts;
use twin::plate::samples::Samples;
use twin::plate::{Event, Kind, Readings, strange};

fn busy() -> Settings {
    let usual = Settings::of(Facts::TYPICAL, 120.0, 12);
    Settings {
        brushes: Brushes { rate_1_s: 0.1, ..usual.brushes },
        lost: Lost { share: 0.02, ..usual.lost },
        rain: Rain { showers_1_s: 0.01, length_s: 30.0, film: 0.5, ..usual.rain },
        ..usual
    }
}

proptest! {
    #[test]
    fn one_seed_is_one_log_and_two_seeds_are_two(seed: u64) {
        prop_assert_eq!(log(&busy(), seed), log(&busy(), seed));
        prop_assert_ne!(log(&busy(), seed).counts, log(&busy(), seed.wrapping_add(1)).counts);
        let strange = |seed| {
            let settings = strange::Settings::of(Facts::TYPICAL, 120.0, 12);
            twin::plate::Log::from(strange::Samples::new(&settings, seed).expect("in range"))
        };
        prop_assert_eq!(strange(seed), strange(seed));
        prop_assert_ne!(strange(seed).counts, strange(seed.wrapping_add(1)).counts);
    }

    #[test]
    fn an_effect_that_is_off_leaves_all_others_as_they_were(seed: u64) {
        let with = log(&busy(), seed);
        let without = log(&Settings { brushes: Brushes::OFF, ..busy() }, seed);
        let brushes: Vec<Event> =
            with.truth.events.iter().filter(|event| event.kind == Kind::Brush).copied().collect();
        prop_assert_eq!(&with.time_s, &without.time_s);
        prop_assert_eq!(with.truth.presses().collect::<Vec<_>>(), without.truth.presses().collect::<Vec<_>>());
        for (index, at_s) in with.time_s.iter().enumerate() {
            // Stamps are whole milliseconds.
            if !brushes.iter().any(|brush| (brush.start_s - 0.001..brush.end_s + 0.001).contains(at_s)) {
                prop_assert_eq!(with.counts[index], without.counts[index]);
            }
        }
    }

    #[test]
    fn a_counter_that_wraps_is_a_remainder_and_one_that_stops_an_end(bits in 6_u32..14, seed: u64) {
        let counter = |bits, over| Settings { counter: Counter { bits, over }, ..Settings::of(rising(), 60.0, 6) };
        let wide = log(&counter(16, Over::Wraps), seed).counts;
        let wraps = log(&counter(bits, Over::Wraps), seed).counts;
        let stops = log(&counter(bits, Over::Stops), seed).counts;
        for ((wide, wraps), stops) in wide.iter().zip(&wraps).zip(&stops) {
            prop_assert_eq!(*wraps, wide % (1 << bits));
            prop_assert_eq!(*stops, (*wide).min((1 << bits) - 1));
        }
        prop_assert!(bits > 10 || stops.contains(&((1 << bits) - 1)), "a touch doubles 950 counts");
    }

    #[test]
    fn stamps_never_go_back(jitter in 0.0..2.0, stamp_s in 0.0..0.2, seed: u64) {
        let clock = Clock { jitter, stamp_s, fast: 0.0 };
        let log = log(&Settings { clock, ..busy() }, seed);
        prop_assert!(log.time_s.windows(2).all(|pair| pair[0] <= pair[1]));
        // No farther from the slot than the jitter's cut and half a stamp.
        let last_s = log.time_s[log.time_s.len() - 1];
        prop_assert!(last_s <= 120.0 + 0.45 * 0.03 + stamp_s / 2.0 + 1e-9);
    }
}

#[test]
fn the_jitter_of_stamps_is_as_wide_as_set() {
    let clock = Clock { jitter: 0.1, ..Clock::OFF };
    let log = log(&Settings { clock, ..Settings::of(Facts::TYPICAL, 3_000.0, 0).bare() }, 1);
    let steps: Vec<f64> = log.time_s.windows(2).map(|pair| pair[1] - pair[0]).collect();
    // Neighbours' errors are independent: twice the variance.
    let sigma = crate::variance(&steps).sqrt();
    assert!(
        (sigma / (0.1 * 0.03 * 2.0_f64.sqrt()) - 1.0).abs() < 4.0 / (100_000.0_f64).sqrt() * 1.5,
        "{sigma}"
    );
}

#[test]
fn streamed_and_kept_are_the_same() {
    let kept = log(&busy(), 8);
    let streamed = Samples::new(&busy(), 8).expect("in range");
    assert_eq!(streamed.events(), kept.truth.events);
    let counts: Vec<u16> = streamed.map(|sample| sample.count).collect();
    assert_eq!(counts, kept.counts);
}

#[test]
fn a_list_of_one_s_own_is_played_as_it_is() {
    let settings = busy();
    let events = twin::plate::script::script(&settings, 8).expect("in range");
    let again = Samples::with(&settings, events, 8).expect("in range");
    assert_eq!(twin::plate::Log::from(again), log(&settings, 8));
}
