//! Draws: the same whoever computes them, told right, and moved only by what moved.

use crate::shipped::{GATE, NOMINAL, SHED, STORE, draws, figure, read, with};
use budgets::assessment::{Assessment, assess};
use budgets::study::{Options, Study};
use station::fields::FIELDS;
use station::plan::Plan;

/// The same work on so many threads.
fn on_threads(threads: usize, plan: &Plan, options: Options) -> Vec<Vec<u64>> {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
    pool.install(|| columns(&Study::new(plan, options)))
}

/// Values and limits to the last bit.
fn columns(study: &Study<'_>) -> Vec<Vec<u64>> {
    let bits = |numbers: &[f64]| numbers.iter().map(|number| number.to_bits()).collect::<Vec<u64>>();
    study
        .figures
        .iter()
        .flat_map(|figured| [bits(&figured.columns.values), bits(&figured.columns.limits)])
        .collect()
}

#[test]
fn threads_do_not_matter() {
    for text in [GATE, STORE, SHED] {
        let plan = read(text);
        let one = on_threads(1, &plan, draws(300));
        // 300 is no multiple of any chunk: the last one is short.
        for threads in [2, 3, 7] {
            assert!(one == on_threads(threads, &plan, draws(300)), "{}: {threads} threads", plan.name);
        }
    }
}

#[test]
fn fewer_draws_are_the_first_of_more() {
    for text in [GATE, STORE, SHED] {
        let plan = read(text);
        let (few, many) = (columns(&Study::new(&plan, draws(256))), columns(&Study::new(&plan, draws(1024))));
        for (few, many) in few.iter().zip(&many) {
            assert_eq!(few[..], many[..256], "{}", plan.name);
        }
    }
}

#[test]
fn another_seed_is_another_sample_of_the_same() {
    let plan = read(STORE);
    let [one, two] = [1, 2].map(|seed| Study::new(&plan, Options { draws: 1024, seed }));
    assert!(columns(&one) != columns(&two));
    // Medians agree to what 1,024 draws can tell: the standard error of a median of a normal is 1.25 sd/sqrt(n), 4 % of
    // an sd; five of these.
    for (a, b) in one.figures.iter().zip(&two.figures) {
        let (low, middle, high) = percentiles(&a.columns.values);
        let sd = (high - low) / 3.29;
        let other = percentiles(&b.columns.values).1;
        let close = (middle - other).abs() <= 0.2 * sd + 1e-9 * middle.abs();
        assert!(close || middle.is_nan() && other.is_nan(), "{}: {middle}, {other}", a.rule.figure);
    }
}

/// 5, 50 and 95 % points: the draw of that rank, no neighbours mixed.
fn percentiles(values: &[f64]) -> (f64, f64, f64) {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let at = |share: f64| sorted[(share * sorted.len() as f64) as usize];
    (at(0.05), at(0.5), at(0.95))
}

#[test]
fn low_value_high_and_probability_are_counted_right() {
    for text in [GATE, STORE, SHED] {
        let plan = read(text);
        let study = Study::new(&plan, draws(256));
        let told = budgets::assessment::of_study(&study);
        for figured in &study.figures {
            let shown = figure(&told, figured.rule.figure);
            let values = &figured.columns.values;
            if values.iter().any(|value| value.is_nan()) {
                assert_eq!(shown.value, None, "{}", shown.name);
                continue;
            }
            // Between the two neighbours of the counted rank.
            let mut sorted = values.clone();
            sorted.sort_by(f64::total_cmp);
            for (share, got) in [(0.05, shown.low), (0.5, shown.value), (0.95, shown.high)] {
                let at = share * 255.0;
                let (from, to) = (sorted[at as usize], sorted[(at as usize + 1).min(255)]);
                assert!(got.is_some_and(|got| from <= got && got <= to), "{} at {share}", shown.name);
            }
            if shown.limit.is_some() {
                let fits = values.iter().zip(&figured.columns.limits).filter(|(value, limit)| {
                    if shown.sense == "at_most" { value <= limit } else { value >= limit }
                });
                assert_eq!(shown.fits_probability, Some(fits.count() as f64 / 256.0), "{}", shown.name);
            }
        }
    }
}

#[test]
fn a_new_spread_moves_no_other_draw() {
    // The sensor's frames are spread in neither plan's second version: only what stands on them may move.
    let (plan, spread) =
        (read(GATE), with(GATE, &[("callers.children", "0.12"), ("camera.clock", "20 ± 1 MHz")]));
    let (before, after) = (Study::new(&plan, draws(256)), Study::new(&spread, draws(256)));
    assert_eq!(after.inputs.len(), before.inputs.len() + 1);
    // A clock that moves meets the radio's channel in some builds: what of the radio feels it depends on the place.
    let figures = before.figures.iter().zip(&after.figures).filter(|(a, _)| a.rule.budget.name() != "radio");
    for (a, b) in figures {
        let bits = |numbers: &[f64]| numbers.iter().map(|number| number.to_bits()).collect::<Vec<u64>>();
        let same = bits(&a.columns.values) == bits(&b.columns.values);
        let stands_on_it =
            ["call_rate", "night_rate", "picture_age", "readout_rate"].contains(&a.rule.figure);
        assert_eq!(same, !stands_on_it, "{}", a.rule.figure);
    }
}

#[test]
fn the_middle_of_symmetric_spreads_is_the_nominal_value() {
    // Cable and feed alone, all spreads symmetric and small, so that the circuit is as good as linear.
    let text = no_spread(GATE);
    let plan = with(
        &text,
        &[("supply.volt", "12 V ± 3 %"), ("cable.run", "18 m ± 0.5 m"), ("chip.burst", "350 ± 50 mA")],
    );
    let told = assess(&plan, draws(2048));
    for name in ["volt_at_board", "highest_volt"] {
        let shown = figure(&told, name);
        // The feed's sd is 0.18 V and its draws are stratified; what cable and burst add (sd 0.01 V) lets some fifty of
        // 2,048 draws change sides of the median, seven more one way than the other: 1.5 mV, here four of these.
        assert!((shown.value.unwrap() - shown.nominal.unwrap()).abs() < 6e-3, "{shown:?}");
    }
    // 3 % of 12 V at 95 %: sd 0.1837 V, 5 and 95 % points 1.645 sd away.
    let feed = figure(&told, "highest_volt");
    let away = 0.36 / 1.959_964 * 1.644_854;
    assert!(
        (feed.low.unwrap() - (12.0 - away)).abs() < 2e-3 && (feed.high.unwrap() - (12.0 + away)).abs() < 2e-3
    );
}

/// The plan with every spread of table, sheets and plan taken out: each field stated at its nominal value.
fn no_spread(text: &str) -> String {
    let plan = read(text);
    let mut text = text.to_string();
    for (index, field) in FIELDS.iter().enumerate() {
        let value = (field.get)(&plan.station);
        if !plan.spreads[index].is_exact() && value.is_finite() {
            text = station::edit::set(&text, field.path, field.toml(value).trim_matches('"')).unwrap();
        }
    }
    text
}

#[test]
fn without_spreads_nothing_drives_and_draws_agree() {
    let plan = read(&no_spread(GATE));
    assert!(plan.spreads.iter().all(station_spread_is_exact));
    let told = assess(&plan, draws(128));
    for shown in told.budgets.iter().flat_map(|budget| &budget.figures) {
        assert!(shown.driven_by.is_empty() && shown.evidence.is_none(), "{}", shown.name);
        assert_eq!((shown.low, shown.high), (shown.value, shown.value), "{}", shown.name);
        assert!(shown.fits_probability.is_none_or(|fits| fits == 0.0 || fits == 1.0));
    }
}

fn station_spread_is_exact(spread: &quantity::Spread) -> bool {
    spread.is_exact()
}

#[test]
fn one_spread_alone_drives_all_that_stands_on_it() {
    let still = no_spread(GATE);
    for (path, value, name) in [
        ("cable.run", "18 ± 4 m", "volt_at_board"),
        ("chip.streaming", "140 | 200 | 280 mA", "source_current"),
        ("camera.night", "1.05 | 1.4 | 2.2", "night_frame_bytes"),
        ("net.round_trip", "4 | 10 | 40 ms", "goodput"),
        ("callers.standing", "0.03 | 0.15 | 0.5 m/s", "motion"),
        ("sensor.night_stretch", "2 .. 8", "night_rate"),
        ("chip.free", "150 .. 200 kB", "low_water"),
    ] {
        let told = assess(&with(&still, &[(path, value)]), draws(1024));
        let driven = &figure(&told, name).driven_by;
        assert_eq!(driven.len(), 1, "{name}: {driven:?}");
        // Sixteen strata of a curved answer leave a little of its variance inside them.
        assert!(driven[0].path == path && driven[0].share > 0.9, "{name}: {driven:?}");
    }
    // Two spreads of the same size in a sum share it evenly: volts of the feed against volts in the cable.
    let both = with(&still, &[("camera.busy", "0.85 ± 0.1"), ("camera.night", "1.3 ± 0.153")]);
    let told = assess(&both, draws(2048));
    let driven = &figure(&told, "night_frame_bytes").driven_by;
    assert!(driven.len() == 2 && driven.iter().all(|driver| (driver.share - 0.5).abs() < 0.08), "{driven:?}");
}

#[test]
fn luck_alone_has_no_driver_and_is_told_as_unexplained() {
    let still = no_spread(STORE);
    let told =
        assess(&with(&still, &[("callers.cluster", "5"), ("plate.false_wakes", "2 ± 0.02 /d")]), draws(1024));
    let run = figure(&told, "run_time");
    assert!(run.low < run.high, "callers come as they come: {run:?}");
    let evidence = run.evidence.unwrap();
    assert!(evidence.unexplained > 0.8, "{evidence:?}");
}

#[test]
fn shares_of_variance_and_of_evidence_stay_within_one() {
    for text in [GATE, STORE, SHED] {
        let plan = read(text);
        let told = assess(&plan, draws(2048));
        for shown in told.budgets.iter().flat_map(|budget| &budget.figures) {
            let sum: f64 = shown.driven_by.iter().map(|driver| driver.share).sum();
            assert!(sum <= 1.1, "{}: {:?}", shown.name, shown.driven_by);
            assert!(shown.driven_by.windows(2).all(|pair| pair[0].share >= pair[1].share));
            let Some(evidence) = shown.evidence else { continue };
            let parts = [evidence.plan, evidence.sheets, evidence.assumed, evidence.unexplained];
            assert!(parts.iter().all(|part| (0.0..=1.0).contains(part)), "{}: {evidence:?}", shown.name);
            assert!((parts.iter().sum::<f64>() - 1.0).abs() < 1e-9, "{}: {evidence:?}", shown.name);
        }
    }
}

#[test]
fn the_driver_that_is_known_beforehand_is_found() {
    // The store's frames are cut off at night by the night's noise; how dense a face is follows the distance.
    let told: Assessment = assess(&read(STORE), draws(2048));
    assert_eq!(figure(&told, "night_frame_bytes").driven_by[0].path, "camera.night");
    assert_eq!(figure(&told, "face_density").driven_by[0].path, "callers.distance");
    let evidence = figure(&told, "face_density").evidence.unwrap();
    assert!(evidence.plan > 0.5, "the plan measured it: {evidence:?}");
    assert!(figure(&told, "night_frame_bytes").evidence.unwrap().assumed > 0.5);
}

#[test]
fn nominal_answers_have_no_spread() {
    let told = assess(&read(SHED), NOMINAL);
    assert_eq!((told.draws, told.fits_probability), (0, None));
    for shown in told.budgets.iter().flat_map(|budget| &budget.figures) {
        assert_eq!(shown.value, shown.nominal, "{}", shown.name);
        assert!(shown.low.is_none() && shown.high.is_none() && shown.fits_probability.is_none());
    }
}
