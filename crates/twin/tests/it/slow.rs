//! What is slow: warmth, rain, films, doors.

use crate::{log, log_with, quiet, shares, variance};
use models::touch::count::Law;
use twin::plate::effects::{Door, Rain, Settings, Warmth};
use twin::plate::facts::Facts;
use twin::plate::{Event, Kind, Log};

const WAVE: Warmth = Warmth { drift_1_k: -0.0005, day_k: 20.0, clouds_k: 0.0, start_s: 18.0 * 3600.0 };

fn at(log: &Log, at_s: f64) -> f64 {
    let index = log.time_s.partition_point(|&stamp_s| stamp_s < at_s);
    f64::from(log.counts[index])
}

#[test]
fn the_morning_drifts_by_the_slope_of_the_wave() {
    let settings = Settings { warmth: WAVE, idle_count: 60_000.0, ..quiet(1_800.0) };
    let log = log(&settings, 1);
    let values = shares(&log, 60_000.0);
    let n = values.len() as f64;
    let (mid_s, mid) = (log.time_s.iter().sum::<f64>() / n, values.iter().sum::<f64>() / n);
    let (mut both, mut square) = (0.0, 0.0);
    for (at_s, value) in log.time_s.iter().zip(&values) {
        both += (at_s - mid_s) * (value - mid);
        square += (at_s - mid_s).powi(2);
    }
    // By hand: 10 K of amplitude, 2π in 86,400 s: 7.272e-4 K/s where it is steepest, times -0.05 %/K is -3.636e-7 a
    // second. Half an hour later the wave is 1 % flatter.
    let slope = both / square;
    assert!((slope / -3.636e-7 - 1.0).abs() < 0.01, "{slope}");
}

#[test]
fn a_day_moves_the_count_by_all_of_its_warmth() {
    let settings = Settings { warmth: WAVE, period_s: 10.0, ..quiet(86_400.0) };
    let log = log(&settings, 1);
    let [low, high] =
        [log.counts.iter().min(), log.counts.iter().max()].map(|c| f64::from(*c.expect("some")));
    // 20 K at 0.05 %/K is 1 % of 30,000.
    assert!((high - low - 300.0).abs() <= 1.0, "{low} to {high}");
    assert_eq!(log.counts[0], 30_000, "it starts at the idle count");
    assert!((f64::from(log.counts[log.counts.len() - 1]) - 30_000.0).abs() < 2.0, "and comes back");
}

#[test]
fn clouds_are_as_wide_as_set_and_the_true_level_follows_them() {
    let clouds = Warmth { day_k: 0.0, clouds_k: 2.0, drift_1_k: 0.001, start_s: 0.0 };
    let settings = Settings { warmth: clouds, period_s: 60.0, ..quiet(90.0 * 86_400.0) };
    let log = log(&settings, 1);
    let sigma = variance(&shares(&log, 30_000.0)).sqrt();
    // 90 days hold 8,640 quarter hours, each worth about half a value: 4/sqrt(8,640) of a standard deviation.
    assert!((sigma / 0.002 - 1.0).abs() < 0.05, "{sigma}");
    let off = log.counts.iter().zip(&log.truth.idle).map(|(count, idle)| (f64::from(*count) - idle).abs());
    assert!(off.fold(0.0, f64::max) <= 0.5);
}

#[test]
fn a_shower_moves_the_count_by_its_step_and_dries() {
    for law in [Law::Falls, Law::Rises] {
        let facts = Facts { law, ..Facts::TYPICAL };
        let rain = Event { kind: Kind::Rain, start_s: 60.0, end_s: 660.0, depth: 0.02 };
        let settings = Settings { facts, ..quiet(4_000.0) };
        let log = log_with(&settings, &[rain]);
        let step = |at_s: f64| (at(&log, at_s) / 30_000.0 - 1.0).abs();
        assert_eq!(step(59.0), 0.0);
        assert!((step(659.0) - 0.02).abs() < 1e-4, "{}", step(659.0));
        // Dries within 20 min: 1/e of it is left by then; the law bends 2 % by hardly anything.
        assert!((step(660.0 + 1200.0) / 0.02 - 0.367_879).abs() < 0.01);
        let towards = at(&log, 659.0) < 30_000.0;
        assert_eq!(towards, law == Law::Falls, "rain goes where a touch goes");
        assert!(log.truth.idle.iter().zip(&log.counts).all(|(idle, c)| (idle - f64::from(*c)).abs() <= 0.5));
    }
}

#[test]
fn a_second_shower_does_not_wet_a_wet_plate_again() {
    let rain = Event { kind: Kind::Rain, start_s: 60.0, end_s: 2_000.0, depth: 0.02 };
    let log = log_with(&quiet(1_900.0), &[rain, Event { start_s: 600.0, ..rain }]);
    assert_eq!(at(&log, 590.0), at(&log, 1_800.0));
}

#[test]
fn drops_shake_the_count_only_while_it_rains() {
    let rain = Event { kind: Kind::Rain, start_s: 100.0, end_s: 4_100.0, depth: 0.05 };
    let drops = Rain { drops: 0.2, ..Rain::OFF };
    let log = log_with(&Settings { rain: drops, ..quiet(5_000.0) }, &[rain]);
    let off = |from_s: f64, to_s: f64| {
        let rows = log.time_s.iter().zip(&log.counts).zip(&log.truth.idle);
        let chosen = rows.filter(|((at_s, _), _)| (from_s..to_s).contains(*at_s));
        variance(&chosen.map(|((_, count), idle)| f64::from(*count) - idle).collect::<Vec<_>>()).sqrt()
    };
    // A fifth of 5 % of the capacitance; the falling law flattens it by 0.95²: 30,000·0.01·0.95 = 285 counts (the step adds
    // 0.0526, a fifth of it 0.01053, over 1.0526²). 2,000 independent values.
    let wanted = 30_000.0 * 0.2 * 0.05 / 0.95 * 0.95 * 0.95;
    let found = off(400.0, 4_100.0);
    assert!((found / wanted - 1.0).abs() < 4.0 / 2000.0_f64.sqrt(), "{found} of {wanted}");
    assert!(off(0.0, 99.0) < 0.3 && off(4_101.0, 5_000.0) < 0.3);
}

#[test]
fn it_rains_as_often_as_set_and_never_under_a_roof() {
    let year = |facts: Facts| Settings { period_s: 3600.0, ..Settings::of(facts, 365.0 * 86_400.0, 0) };
    let count = |settings: Settings, kind: Kind| {
        log(&settings, 1).truth.events.iter().filter(|event| event.kind == kind).count() as f64
    };
    // One in two days: 182.5 a year, one film in ten of them.
    let showers = count(year(Facts::TYPICAL), Kind::Rain);
    assert!((showers - 182.5).abs() < 4.0 * 182.5_f64.sqrt(), "{showers}");
    let films = count(year(Facts::TYPICAL), Kind::Film);
    let wet = log(&year(Facts::TYPICAL), 1);
    for film in wet.truth.events.iter().filter(|event| event.kind == Kind::Film) {
        // Between 0.3 and 1 of what a finger adds, which 1.765 is: shares of 0.346 to 0.638 of a falling count.
        assert!((0.346..=0.639).contains(&film.depth), "{film:?}");
    }
    assert!((films - 18.25).abs() < 4.0 * 18.25_f64.sqrt(), "{films}");
    let sheltered = year(Facts { rain_step: 0.0, ..Facts::TYPICAL });
    assert_eq!(count(sheltered, Kind::Rain) + count(sheltered, Kind::Film), 0.0);
}

#[test]
fn a_film_is_as_deep_and_long_as_a_press_that_never_ends_and_is_no_press() {
    let depth = Event::depth_of(Law::Falls, Facts::TYPICAL.touch);
    let film = Event { kind: Kind::Film, start_s: 30.0, end_s: 150.0, depth };
    let log = log_with(&quiet(200.0), &[film]);
    assert!((at(&log, 90.0) / (30_000.0 * (1.0 - depth)) - 1.0).abs() < 1e-3);
    assert_eq!(log.truth.presses().count(), 0);
    assert!(log.truth.idle.iter().all(|idle| *idle == 30_000.0), "the true level stays");
}

#[test]
fn an_opened_door_moves_the_count_away_from_touch_and_back() {
    // A fifth of the idle capacitance is the door: without it the count rises to 1/0.8.
    let facts = Facts { metal: 0.2, ..Facts::TYPICAL };
    let door = Door { rate_1_s: 0.002, open_s: 20.0 };
    let settings = Settings { facts, door, ..quiet(3_000.0) };
    let log = log(&settings, 1);
    let open = log.truth.events.iter().find(|event| event.length_s() > 5.0).expect("a door opens");
    let middle = f64::midpoint(open.start_s, open.end_s);
    assert!((at(&log, middle) - 37_500.0).abs() <= 1.0, "{}", at(&log, middle));
    assert_eq!(at(&log, open.start_s - 1.0), 30_000.0);
}
