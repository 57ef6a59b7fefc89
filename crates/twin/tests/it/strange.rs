//! The strange generator has the shapes it claims, and not those of the other.

use crate::{assert_share, correlation, power, shares, variance};
use twin::plate::facts::Facts;
use twin::plate::strange::{Beat, Faults, Flicker, Insects, Noise, Samples, Settings, Telegraph, Warm};
use twin::plate::{Event, Kind, Log, Who};

fn quiet(for_s: f64) -> Settings {
    Settings { idle_count: 30_000.0, ..Settings::of(Facts::TYPICAL, for_s, 0).bare() }
}

fn log(settings: &Settings) -> Log {
    Log::from(Samples::new(settings, 11).expect("in range"))
}

#[test]
fn noise_is_bounded_flat_and_remembers_by_a_moving_average() {
    let noise = Noise { share: 0.004, memory: 3, breath: 0.0, breath_s: 1.0 };
    let values = shares(&log(&Settings { noise, ..quiet(3_000.0) }), 30_000.0);
    let n = values.len() as f64;
    // The mean of three: 2/3, 1/3, nothing; white noise's standard error, doubled for its memory.
    for (lag, wanted) in [(1, 2.0 / 3.0), (2, 1.0 / 3.0), (3, 0.0), (7, 0.0)] {
        let found = correlation(&values, lag);
        assert!((found - wanted).abs() < 8.0 / n.sqrt(), "lag {lag}: {found}");
    }
    assert!((variance(&values).sqrt() / 0.004 - 1.0).abs() < 0.02);
    // Three uniforms of variance 1/3 each never pass three: 3 standard deviations exactly; half a count is rounding.
    let most = values.iter().fold(0.0_f64, |most, value| most.max(value.abs()));
    assert!(most < 3.0 * 0.004 + 1.0 / 30_000.0 && most > 2.7 * 0.004, "{most}");
    // Kurtosis of a uniform is 1.8 (textbook): far from a normal's 3.
    let flat = Noise { memory: 1, ..noise };
    let values = shares(&log(&Settings { noise: flat, ..quiet(3_000.0) }), 30_000.0);
    let fourth = values.iter().map(|value| value.powi(4)).sum::<f64>() / n;
    assert!((fourth / variance(&values).powi(2) - 1.8).abs() < 0.03);
}

#[test]
fn its_width_breathes() {
    let noise = Noise { share: 0.004, memory: 1, breath: 0.8, breath_s: 100.0 };
    let log = log(&Settings { noise, ..quiet(2_000.0) });
    let values = shares(&log, 30_000.0);
    let near = |phase_s: f64| {
        let rows = values.iter().zip(&log.time_s);
        let chosen = rows.filter(|(_, at_s)| ((*at_s % 100.0) - phase_s).abs() < 5.0);
        variance(&chosen.map(|(value, _)| *value).collect::<Vec<_>>()).sqrt()
    };
    // Widest 1.8, narrowest 0.2; a tenth of a breath around them blurs it a little.
    let ratio = near(25.0) / near(75.0);
    assert!((6.5..9.5).contains(&ratio), "{ratio}");
}

#[test]
fn the_telegraph_knows_two_levels_and_dwells_as_set() {
    let telegraph = Telegraph { step: 0.01, rest_s: 12.0, away_s: 4.0 };
    let log = log(&Settings { telegraph, ..quiet(40_000.0) });
    let away = log.counts.iter().filter(|count| **count == 29_700).count();
    assert_eq!(away + log.counts.iter().filter(|count| **count == 30_000).count(), log.counts.len());
    // A quarter of the time; 2,500 turns to and fro, each about as telling as one trial.
    assert_share(away as f64 / log.counts.len() as f64, 0.25, 2_500);
    let turns = log.counts.windows(2).filter(|pair| pair[0] != pair[1]).count() as f64 / 2.0;
    assert!((turns - 2_500.0).abs() < 4.0 * 2_500.0_f64.sqrt(), "{turns}");
    assert!(
        log.truth.idle.iter().zip(&log.counts).all(|(idle, count)| (idle - f64::from(*count)).abs() < 0.5)
    );
}

#[test]
fn flicker_has_as_much_power_in_each_octave() {
    let flicker = Flicker { share: 0.004, fastest_s: 0.2, slowest_s: 1_000.0 };
    let settings = Settings { flicker, period_s: 0.05, ..quiet(1_600.0) };
    let mut slopes = Vec::new();
    for seed in 0..8 {
        let values = shares(&Log::from(Samples::new(&settings, seed).expect("in range")), 30_000.0);
        // Mean power around 0.01 and around 0.3 Hz: both well between the slowest and the fastest wanderer.
        let band = |low: usize, high: usize| {
            let bins = low..high;
            let count = bins.len() as f64;
            bins.map(|bin| power(&values, 0.05, bin as f64 / 1_600.0)).sum::<f64>() / count
        };
        let (slow, fast) = (band(12, 21), band(440, 520));
        slopes.push((fast / slow).ln() / (480.0_f64 / 16.0).ln());
    }
    // 1/f is a slope of -1; nine bins of eight logs: an error of 0.12 in the logarithm, over ln 30 = 3.4. A single wanderer
    // would have -2, white noise 0.
    let slope = crate::mean(&slopes);
    assert!((slope + 1.0).abs() < 0.2, "{slope}");
}

#[test]
fn the_beat_is_a_triangle_and_grows_under_any_finger() {
    let beat = Beat { idle: 0.01, touched: 0.04, hz: [0.5, 0.5], slide_s: 10.0 };
    let values = shares(&log(&Settings { beat, ..quiet(600.0) }), 30_000.0);
    // A triangle of half height 1 has variance 1/3; a sine 1/2.
    assert!((variance(&values) / 1e-4 - 1.0 / 3.0).abs() < 0.01);
    // Its third harmonic carries 1/81 of the first's power (textbook).
    let ratio = power(&values, 0.03, 1.5) / power(&values, 0.03, 0.5);
    assert!((ratio * 81.0 - 1.0).abs() < 0.05, "{ratio}");
}

#[test]
fn faults_are_as_many_as_set() {
    let faults = Faults { spikes: 0.01, stale: 0.0, lose: 0.01, find: 0.1 };
    let log = log(&Settings { faults, ..quiet(6_000.0) });
    let spikes = log.counts.iter().filter(|count| matches!(**count, 0 | u16::MAX)).count();
    assert_share(spikes as f64 / log.counts.len() as f64, 0.01, log.counts.len());
    // Two states: 0.01/(0.01 + 0.1) of the time in the lost one; runs of ten make each about as telling as a twentieth.
    assert_share(1.0 - log.counts.len() as f64 / 200_000.0, 1.0 / 11.0, 200_000 / 20);
    let longest = log.time_s.windows(2).map(|pair| pair[1] - pair[0]).fold(0.0, f64::max);
    assert!(longest > 1.0, "runs, not single ones: {longest}");
}

#[test]
fn stale_readings_repeat_the_one_before() {
    let faults = Faults { spikes: 0.0, stale: 0.2, lose: 0.0, find: 1.0 };
    let noise = Noise { share: 0.05, memory: 1, breath: 0.0, breath_s: 1.0 };
    let log = log(&Settings { faults, noise, ..quiet(3_000.0) });
    let same = log.counts.windows(2).filter(|pair| pair[0] == pair[1]).count() as f64;
    // Chance repeats: 1 in the 5,196 counts that the noise spans (30,000·0.05·2·sqrt 3).
    assert_share(same / log.counts.len() as f64, 0.2 + 0.8 / 5_196.0, log.counts.len());
}

#[test]
fn work_warms_the_plate_as_a_first_order_lag() {
    let warm = Warm { rate_1_s: 0.001, for_s: 300.0, share: 0.02, slow_s: 60.0 };
    let log = log(&Settings { warm, ..quiet(4_000.0) });
    let event = log.truth.events.iter().find(|e| e.kind == Kind::Warm && e.length_s() > 130.0).expect("one");
    let at = log.time_s.partition_point(|at_s| *at_s < event.start_s + 60.0);
    let moved = f64::from(log.counts[at]) / 30_000.0 - 1.0;
    // After one time constant 1 - 1/e, away from touch.
    assert!((moved / 0.02 - 0.632_12).abs() < 0.005, "{moved}");
}

#[test]
fn insects_are_shallow_and_no_presses() {
    let insects = Insects { rate_1_s: 0.01, touches: 12, depth: 0.2 };
    let log = log(&Settings { insects, ..quiet(3_000.0) });
    assert!(log.truth.events.len() > 60 && log.truth.presses().count() == 0);
    let least = log.counts.iter().min().copied().map_or(0.0, f64::from);
    assert!(least < 30_000.0 && least > 30_000.0 / (1.0 + 2.0 * 0.2 * Facts::TYPICAL.touch), "{least}");
}

#[test]
fn batches_share_a_stamp_and_counts_are_whole_quanta() {
    let mut settings = Settings { quantum: 8, ..Settings::of(Facts::TYPICAL, 60.0, 5) };
    settings.faults = Faults { spikes: 0.0, stale: 0.0, lose: 0.0, find: 1.0 };
    settings.clock.batch = 4;
    let log = log(&settings);
    assert!(log.counts.iter().all(|count| count % 8 == 0));
    assert!(log.time_s.chunks(4).all(|batch| batch.iter().all(|at_s| *at_s == batch[0])));
    assert!(log.time_s.windows(2).all(|pair| pair[0] <= pair[1]));
}

#[test]
fn a_press_creeps_while_it_lasts_and_overshoots_when_it_ends() {
    let facts = crate::rising();
    let depth = facts.touch;
    let press = Event { kind: Kind::Press(Who::Adult), start_s: 10.0, end_s: 14.0, depth };
    let mut settings = Settings { facts, period_s: 0.005, idle_count: 10_000.0, ..quiet(20.0) };
    settings.presses.creep = 0.15;
    settings.presses.overshoot = 0.08;
    let log = Log::from(Samples::with(&settings, vec![press], 11).expect("in range"));
    let added = |at_s: f64| {
        let index = log.time_s.partition_point(|stamp_s| *stamp_s < at_s);
        (f64::from(log.counts[index]) / 10_000.0 - 1.0) / depth
    };
    // By hand: the square root of a quarter second is a half, of one and more it is 1; half a count is 3e-5.
    for (at_s, wanted) in [(10.25, 1.075), (11.0, 1.15), (13.5, 1.15)] {
        assert!((added(at_s) - wanted).abs() < 1e-3, "{} at {at_s}", added(at_s));
    }
    // The ramp of 0.15 s ends 0.075 s after the press; 0.4 s later 1/e of 0.08 is left, on the other side.
    assert!((added(14.08) + 0.08).abs() < 2e-3, "{}", added(14.08));
    assert!((added(14.475) + 0.08 * 0.367_879).abs() < 1e-3, "{}", added(14.475));
}

#[test]
fn some_presses_slip_and_hardly_lift() {
    let mut settings = Settings::of(Facts::TYPICAL, 4_000.0, 400);
    settings.presses.length_s = [1.0, 2.0];
    settings.presses.apart_s = 1.0;
    let slips = settings.presses.slips;
    let settings = Settings { idle_count: 10_000.0, ..settings.bare() };
    let settings =
        Settings { presses: twin::plate::strange::Presses { slips, ..settings.presses }, ..settings };
    let log = log(&settings);
    let slipped = log.truth.presses().filter(|press| {
        let middle = log.time_s.partition_point(|at_s| *at_s < f64::midpoint(press.start_s, press.end_s));
        1.0 - f64::from(log.counts[middle]) / 10_000.0 < press.depth * 0.7
    });
    assert_share(slipped.count() as f64 / 400.0, 0.1, 400);
}
