//! Laws: what the detector must do whatever it reads.

use crate::c::{Dice, config, log};
use detector::{Config, Events, Plate};
use proptest::prelude::*;

fn events(config: &Config, counts: impl IntoIterator<Item = u16>) -> Vec<Events> {
    let mut plate = Plate::new();
    counts.into_iter().map(|count| plate.sample(config, count)).collect()
}

fn counts(seed: u64, samples: usize) -> Vec<u16> {
    log(&mut Dice::new(seed), samples)
        .into_iter()
        .filter(|sample| *sample < 65_536)
        .map(|s| s as u16)
        .collect()
}

proptest! {

    /// A plate whose counts rise is the mirror of one whose counts fall: rounding leans to neither side.
    #[test]
    fn rising_is_falling_in_a_mirror(seed in any::<u64>()) {
        let falls = Config { rises: false, level: 0, ..config(&mut Dice::new(seed)) };
        let rises = Config { rises: true, ..falls };
        let log = counts(seed, 3000);
        let (mut plate, mut mirror) = (Plate::new(), Plate::new());
        for count in log {
            let (here, there) = (plate.sample(&falls, count), mirror.sample(&rises, 65_535 - count));
            prop_assert_eq!(here, there);
        }
    }

    /// Presses and ends alternate, and faults of a press end it.
    #[test]
    fn every_press_ends_before_the_next(seed in any::<u64>()) {
        let config = config(&mut Dice::new(seed));
        let mut pressed = false;
        for event in events(&config, counts(seed, 5000)) {
            let (press, end) = (event.has(Events::PRESS), event.has(Events::LIFT) || event.has(Events::STUCK));
            prop_assert!(!(press && (pressed || end)), "a press within a press");
            prop_assert!(pressed || !end, "an end without a press");
            pressed = (pressed || press) && !end;
        }
    }

    /// What is saved goes on as if nothing had been.
    #[test]
    fn bytes_carry_the_whole_state(seed in any::<u64>(), at in 0..2000_usize) {
        let config = config(&mut Dice::new(seed));
        let log = counts(seed, 3000);
        let mut plate = Plate::new();
        for &count in &log[..at] {
            plate.sample(&config, count);
        }
        let mut woken = Plate::from_bytes(&plate.to_bytes()).expect("its own bytes");
        prop_assert_eq!(woken, plate);
        for &count in &log[at..] {
            prop_assert_eq!(woken.sample(&config, count), plate.sample(&config, count));
        }
    }

    /// Whatever bytes memory holds after a brown-out, no sample panics.
    #[test]
    fn any_bytes_are_refused_or_safe(bytes in any::<[u8; 32]>(), version in any::<bool>(), seed in any::<u64>()) {
        let mut bytes = bytes;
        if version {
            (bytes[0], bytes[1], bytes[2], bytes[3], bytes[31]) =
                (detector::VERSION, bytes[1] % 4, bytes[2] % 5, bytes[3] % 2, 0);
        }
        let Some(mut plate) = Plate::from_bytes(&bytes) else {
            prop_assert!(!version);
            return Ok(());
        };
        let config = config(&mut Dice::new(seed));
        for count in counts(seed, 500) {
            plate.sample(&config, count);
            plate.gap(u32::from(count));
        }
    }

    /// Drift that is slower than the baseline is learned, however far it goes; a press on top of it is found.
    #[test]
    fn drift_is_learned_and_the_press_upon_it_is_found(up in any::<bool>(), per_sample in 1..40_u32) {
        let config = Config { threshold: 60, hysteresis: 20, debounce: 2, track: 6, track_away: 6, ..Config::USUAL };
        // At 1/64 a sample the baseline lags 64 samples of drift: 2.5 counts of 0.04 a sample.
        let at = |sample: u32| {
            let moved = f64::from(sample * per_sample) / 1000.0;
            (if up { 2000.0 + moved } else { 4000.0 - moved }) as u16
        };
        let mut plate = Plate::new();
        for sample in 0..40_000 {
            prop_assert_eq!(plate.sample(&Config { dead: 0, ..config }, at(sample)), Events::NONE);
        }
        prop_assert!(at(40_000).abs_diff(plate.baseline()) <= 3);
        plate.sample(&config, at(40_000) - 70);
        prop_assert_eq!(plate.sample(&config, at(40_000) - 70), Events::PRESS);
    }

    /// A press is never learned: the baseline after it is the baseline before it, bit for bit.
    #[test]
    fn a_press_is_never_learned(depth in 60..900_u16, long in 1..399_usize, noise in 0..5_u16) {
        let config = Config { threshold: 60, hysteresis: 20, debounce: 2, ..Config::USUAL };
        let mut plate = Plate::new();
        for sample in 0..200_u16 {
            plate.sample(&config, 1000 + sample % (noise + 1));
        }
        let before = plate.to_bytes();
        for sample in 0..long as u16 {
            plate.sample(&config, (1000 - depth.min(999)).saturating_sub(sample % 7));
        }
        prop_assert_eq!(plate.to_bytes()[4..8].to_vec(), before[4..8].to_vec());
    }
}

/// A hand that was there when the station started: its lift starts the baseline anew, and the next press is found.
#[test]
fn a_hand_at_the_start_costs_one_press_and_no_more() {
    let config = Config { debounce: 2, dead: 0, ..Config::USUAL };
    let mut told = events(&config, std::iter::repeat_n(500, 60).chain(std::iter::repeat_n(950, 20)));
    assert!(told.iter().all(|event| *event == Events::NONE));
    told = events(
        &config,
        std::iter::repeat_n(500, 60).chain(std::iter::repeat_n(950, 20)).chain(std::iter::repeat_n(500, 5)),
    );
    assert_eq!(told[81], Events::PRESS);
}

/// Water on the plate: one press, told as stuck, and the plate works from where the reading is; dry again, too.
#[test]
fn a_film_of_water_is_one_press_and_a_fault_and_the_plate_works_on() {
    let config = Config { debounce: 2, longest: 100, calibrate: 2, dead: 0, ..Config::USUAL };
    let dry = std::iter::repeat_n(950_u16, 50);
    let wet = std::iter::repeat_n(820_u16, 300);
    let touch = std::iter::repeat_n(600_u16, 10);
    let told = events(&config, dry.clone().chain(wet).chain(touch.clone()).chain(dry).chain(touch));
    let at = |event: Events| -> Vec<usize> {
        told.iter().enumerate().filter(|(_, told)| told.has(event)).map(|(at, _)| at).collect()
    };
    assert_eq!(at(Events::STUCK), [151]);
    assert_eq!(at(Events::PRESS), [51, 351, 411]);
}

/// A reading that never moves is no plate: a broken lead gives it within the time that was set, once.
/// Readings missing from the first baseline are not taken for readings of nothing.
#[test]
fn a_gap_in_the_first_baseline_does_not_move_it() {
    let config = Config { calibrate: 5, ..Config::USUAL };
    let mut plate = Plate::new();
    for at in 0..200 {
        // Fewer in a row than the baseline takes, for ever.
        if at % 20 == 19 {
            plate.gap(3);
        }
        assert_eq!(plate.sample(&config, 950), Events::NONE, "at {at}");
    }
    assert_eq!(plate.baseline(), 950);
    assert!((0..2).any(|_| plate.sample(&config, 300).has(Events::PRESS)), "it is past its first baseline");
}

/// One wild reading on the far side of the baseline is no new baseline: an untouched plate would look touched.
#[test]
fn a_wild_reading_away_from_touch_moves_nothing() {
    let config = Config { debounce: 2, calibrate: 2, ..Config::USUAL };
    let counts = (0..400).map(|at| if at % 50 > 47 { 65_535 } else { 950 });
    assert!(events(&config, counts).iter().all(|event| *event == Events::NONE));
}

#[test]
fn a_dead_plate_is_told_once() {
    let config = Config { dead: 30, ..Config::USUAL };
    let told = events(&config, std::iter::repeat_n(1023, 200));
    assert_eq!(told.iter().position(|event| event.has(Events::DEAD)), Some(29));
    assert_eq!(told.iter().filter(|event| event.has(Events::DEAD)).count(), 1);
}

/// A fixed level, for comparison: what the trade writes by hand (idle high nine hundreds, touched 300 to the 400s, 500
/// between them; common practice, no source).
#[test]
fn a_fixed_level_judges_by_itself_alone() {
    let config = Config { level: 500, hysteresis: 40, debounce: 2, ..Config::USUAL };
    let log = [980_u16, 985, 978, 340, 420, 410, 980, 979];
    let told = events(&config, log);
    assert_eq!(told.iter().position(|event| event.has(Events::PRESS)), Some(4));
    assert_eq!(told.iter().position(|event| event.has(Events::LIFT)), Some(7));
    // Between the level and 40 above it nothing changes.
    assert_eq!(events(&config, [980, 500, 500, 530, 539, 541, 560])[6], Events::LIFT);
}
