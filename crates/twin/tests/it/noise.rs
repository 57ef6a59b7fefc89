//! Noise, tails and hum, found again by plain statistics. Bars are four standard errors of the textbook unless said.

use crate::{assert_share, correlation, log, log_with, loudest_hz, power, quiet, shares, variance};
use models::touch::noise::alias_hz;
use proptest::prelude::*;
use twin::plate::effects::{Bursts, Clock, Hum, Lost, Noise, Presses, Settings, Tails};
use twin::plate::facts::Facts;
use twin::plate::{Event, Kind, Who};

proptest! {
    #[test]
    fn correlation_and_variance_are_those_of_the_autoregression(lag_1 in -0.8..0.9, seed: u64) {
        let sigma = 0.004;
        let settings = Settings { noise: Noise { share: sigma, lag_1 }, ..quiet(600.0) };
        let values = shares(&log(&settings, seed), 30_000.0);
        let n = values.len() as f64;
        // Bartlett: the first coefficient has variance (1 - r²)/n; five standard errors, since many seeds are tried, and
        // the bias of short logs, (1 + 4r)/n.
        let r_1 = correlation(&values, 1);
        let error = ((1.0 - lag_1 * lag_1) / n).sqrt();
        prop_assert!((r_1 - lag_1).abs() < 5.0 * error + 5.0 / n, "{r_1} of {lag_1}");
        // At lag k it is r^k: no other memory. Their errors stay below those of white noise over 1 - r².
        let r_3 = correlation(&values, 3);
        prop_assert!((r_3 - lag_1.powi(3)).abs() < 5.0 / (n * (1.0 - lag_1 * lag_1)).sqrt() + 15.0 / n, "{r_3}");
        // Variance of a variance under an autoregression: 2/n·(1 + r²)/(1 - r²).
        let ratio = variance(&values) / (sigma * sigma);
        let error = (2.0 / n * (1.0 + lag_1 * lag_1) / (1.0 - lag_1 * lag_1)).sqrt();
        prop_assert!((ratio - 1.0).abs() < 5.0 * error + 10.0 / n, "{ratio}");
    }
}

#[test]
fn tails_of_plain_noise_are_normal() {
    let settings = Settings { noise: Noise { share: 0.004, lag_1: 0.0 }, ..quiet(12_000.0) };
    let values = shares(&log(&settings, 1), 30_000.0);
    let beyond = |sigmas: f64| {
        values.iter().filter(|value| value.abs() > sigmas * 0.004).count() as f64 / values.len() as f64
    };
    // references.md §8.4: Q(3) 1.349898e-3, Q(3.5) 2.326291e-4; both sides.
    assert_share(beyond(3.0), 2.699_796e-3, values.len());
    assert_share(beyond(3.5), 4.652_581e-4, values.len());
}

#[test]
fn wild_readings_are_as_many_as_set() {
    let tails = Tails { share: 0.01, scale: 20.0 };
    let settings = Settings { noise: Noise { share: 0.002, lag_1: 0.0 }, tails, ..quiet(6_000.0) };
    let values = shares(&log(&settings, 2), 30_000.0);
    let beyond = values.iter().filter(|value| value.abs() > 5.0 * 0.002).count() as f64;
    // A wild one has variance 1 + 20² = 401: erfc(5/sqrt(2·401)) = 0.802829 of them lie beyond five (computed, Python);
    // of all others 6e-7.
    assert_share(beyond / values.len() as f64, 0.01 * 0.802_829, values.len());
}

/// Hum alone, at some rate.
fn hum(period_s: f64, for_s: f64) -> Settings {
    let hum = Hum { hz: 50.0, idle: 0.01, touched: 0.05, double: 0.0, wander_hz: 0.0 };
    Settings { hum, period_s, ..quiet(for_s) }
}

#[test]
fn the_mains_shows_at_its_folded_frequency() {
    for period_s in [0.021, 0.033, 0.047, 0.0123, 0.0071] {
        let found = loudest_hz(&shares(&log(&hum(period_s, 20.0), 5), 30_000.0), period_s);
        // A bin is a twentieth of a hertz.
        let wanted = alias_hz(50.0, 1.0 / period_s);
        assert!((found - wanted).abs() <= 0.051, "every {period_s} s: {found}, not {wanted} Hz");
    }
}

#[test]
fn sampled_in_step_with_the_mains_it_is_nothing_but_an_offset() {
    // trade.md plate.alias: at 10 a second the mains shows as nothing. Half a count at most is rounding.
    let values = shares(&log(&hum(0.1, 60.0), 5), 30_000.0);
    assert!(values.iter().all(|value| (value - values[0]).abs() < 2.0 / 30_000.0));
    // A chip whose clock is 4 % fast sees it again: 50·10/1.04 folds to 48.08 - 50 = 1.92 Hz.
    let clock = Clock { fast: 0.04, ..Clock::OFF };
    let values = shares(&log(&Settings { clock, ..hum(0.1, 60.0) }, 5), 30_000.0);
    assert!((loudest_hz(&values, 0.1) - 1.923).abs() < 0.02);
}

#[test]
fn a_wandering_grid_spreads_the_line() {
    let steady = shares(&log(&hum(0.021, 600.0), 5), 30_000.0);
    let mut settings = hum(0.021, 600.0);
    settings.hum.wander_hz = 0.02;
    let wandering = shares(&log(&settings, 5), 30_000.0);
    let hz = alias_hz(50.0, 1.0 / 0.021);
    assert!(power(&wandering, 0.021, hz) < 0.5 * power(&steady, 0.021, hz), "the line is gone");
    let ratio = variance(&wandering) / variance(&steady);
    assert!((ratio - 1.0).abs() < 0.02, "its power is not: {ratio}");
}

#[test]
fn a_touched_plate_is_as_many_times_noisier_as_the_facts_say() {
    let facts = Facts { noise: 0.002, touched_noise: 5.0, touch: 0.3, ..Facts::TYPICAL };
    let usual = Settings::of(facts, 400.0, 0);
    let presses = Presses { wobble: 0.0, ..Presses::OFF };
    // Not 30 ms: there the mains folds onto just half the rate, and its power hangs on its phase.
    let settings = Settings {
        facts,
        noise: Noise { share: 0.002, lag_1: 0.0 },
        hum: usual.hum,
        presses,
        period_s: 0.0277,
        ..quiet(400.0)
    };
    let depth = Event::depth_of(facts.law, facts.touch);
    let press = Event { kind: Kind::Press(Who::Adult), start_s: 200.0, end_s: 500.0, depth };
    let log = log_with(&settings, &[press]);
    let values = shares(&log, 30_000.0);
    let from = log.time_s.iter().position(|&at_s| at_s > 201.0).expect("longer");
    let until = log.time_s.iter().position(|&at_s| at_s > 198.0).expect("longer");
    let ratio = (variance(&values[from..]) / 0.002_f64.powi(2)).sqrt();
    // 7,000 readings, almost all of it sines: a fiftieth is far beyond chance.
    assert!((ratio - 5.0).abs() < 0.1, "{ratio}");
    let idle = (variance(&values[..until]) / 0.002_f64.powi(2)).sqrt();
    assert!(idle < 1.1, "quiet while idle: {idle}");
}

#[test]
fn on_cells_there_is_no_hum() {
    let facts = Facts { mains_hz: 0.0, touched_noise: 1.0, ..Facts::TYPICAL };
    let hum = Settings::of(facts, 1.0, 0).hum;
    assert_eq!((hum.idle, hum.touched), (0.0, 0.0));
}

#[test]
fn a_burst_is_noise_between_its_ends_and_nowhere_else() {
    let burst = Event { kind: Kind::Burst, start_s: 10.0, end_s: 40.0, depth: 0.03 };
    let log = log_with(&quiet(60.0), &[burst]);
    let values = shares(&log, 30_000.0);
    let within = |from_s: f64, to_s: f64| {
        let chosen = values.iter().zip(&log.time_s).filter(|(_, at_s)| (from_s..to_s).contains(*at_s));
        chosen.map(|(value, _)| *value).collect::<Vec<_>>()
    };
    // A thousand readings: one standard error of a standard deviation is 1/sqrt(2000).
    let sigma = variance(&within(10.0, 40.0)).sqrt();
    assert!((sigma / 0.03 - 1.0).abs() < 4.0 / 2000.0_f64.sqrt(), "{sigma}");
    assert!(within(0.0, 9.99).iter().chain(&within(40.01, 60.0)).all(|value| *value == 0.0));
}

#[test]
fn bursts_and_stalls_come_as_often_as_set() {
    let settings = Settings {
        bursts: Bursts { rate_1_s: 0.01, ..Bursts::USUAL },
        lost: Lost { share: 0.01, stalls_1_s: 0.02, stall_s: 0.5 },
        ..quiet(100_000.0)
    };
    let log = log(&settings, 4);
    let count = |kind: Kind| log.truth.events.iter().filter(|event| event.kind == kind).count() as f64;
    // Poisson: the standard error is the root of the mean.
    assert!((count(Kind::Burst) - 1_000.0).abs() < 4.0 * 1_000.0_f64.sqrt());
    assert!((count(Kind::Gap) - 2_000.0).abs() < 4.0 * 2_000.0_f64.sqrt());
    // No stamp within a stall, and one in a hundred of the others is missing.
    let gaps: Vec<&Event> = log.truth.events.iter().filter(|event| event.kind == Kind::Gap).collect();
    let in_gap = |at_s: f64| gaps.iter().any(|gap| (gap.start_s..gap.end_s).contains(&at_s));
    assert!(log.time_s.iter().step_by(97).all(|&at_s| !in_gap(at_s)));
    let slots = 3_333_334.0;
    let stalled: f64 = gaps.iter().map(|gap| gap.length_s()).sum::<f64>() / 0.03;
    let share = 1.0 - log.counts.len() as f64 / (slots - stalled);
    assert!((share - 0.01).abs() < 0.0005, "{share}");
}

#[test]
fn rectifiers_add_a_line_at_twice_the_mains() {
    let mut settings = hum(0.0071, 20.0);
    settings.hum.double = 0.3;
    let values = shares(&log(&settings, 5), 30_000.0);
    let folded = |hz: f64| power(&values, 0.0071, alias_hz(hz, 1.0 / 0.0071));
    // Power goes with the square: 0.09; bins of a twentieth of a hertz leak a little.
    let ratio = folded(100.0) / folded(50.0);
    assert!((ratio / 0.09 - 1.0).abs() < 0.05, "{ratio}");
}
