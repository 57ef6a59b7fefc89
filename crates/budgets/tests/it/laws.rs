//! Laws that every plan must keep: what is better for the station never shows as worse, on stations nobody thought of.
//!
//! Nominal answers only, so that hundreds of invented plans (`station::sample`) take seconds; the draws have their own
//! file. A law compares a plan with the same plan after one change.

use crate::shipped::{GATE, NOMINAL, SHED, STORE, draws, figure, findings, lit, nominal, read, with};
use budgets::assessment::{Assessment, assess};
use proptest::prelude::*;
use station::fields::{FIELDS, field, index_of};
use station::plan::Plan;
use station::sample::{self, Reach};

/// The plan with one number of its station moved, whatever the plan's text says.
fn moved(plan: &Plan, path: &str, change: impl Fn(f64) -> f64) -> Plan {
    let mut plan = plan.clone();
    let field = &FIELDS[index_of(path).unwrap()];
    let (low, high) = field.range();
    let number = change((field.get)(&plan.station)).clamp(low, high);
    (field.set)(&mut plan.station, number);
    plan
}

/// An invented plan with a line or cells made certain.
fn usual(seed: u64, changes: &[(&str, &str)]) -> Plan {
    with(&sample::reaching(seed, Reach::Usual), changes)
}

/// Both known, the second at least the first, but for rounding.
fn not_less(before: f64, after: f64) -> bool {
    before.is_nan() || after.is_nan() || after >= before - 1e-9 * before.abs().max(1e-12)
}

/// A figure where the station has it.
fn maybe(plan: &Plan, name: &str) -> f64 {
    let assessment = assess(plan, NOMINAL);
    assessment
        .budgets
        .iter()
        .flat_map(|budget| &budget.figures)
        .find(|figure| figure.name == name)
        .and_then(|figure| figure.nominal)
        .unwrap_or(f64::NAN)
}

const FED: &[(&str, &str)] =
    &[("supply.kind", "adapter"), ("supply.volt", "9 V"), ("regulator.max_in", "30 V")];
const CELLS: &[(&str, &str)] = &[("supply.kind", "cells"), ("rest.mode", "sleep")];
const BOARD_VOLTS: [&str; 2] = ["volt_at_board", "volt_at_start"];

proptest! {
    #[test]
    fn thicker_shorter_or_cooler_wire_never_lowers_the_voltage(seed in 0_u64..100_000, factor in 1.0..4.0_f64) {
        let plan = usual(seed, FED);
        // Sections computed from copper on both sides: a size of the standard is allowed more than its copper has.
        let plan = moved(&plan, "cable.section", |_| 0.3e-6);
        for name in BOARD_VOLTS {
            let was = nominal(&plan, name);
            let thicker = moved(&plan, "cable.section", |m2| m2 * (1.0 + 0.3 * (factor - 1.0)));
            prop_assert!(not_less(was, nominal(&thicker, name)), "{name} thicker");
            let longer = moved(&plan, "cable.run", |m| m * factor + 1.0);
            prop_assert!(not_less(nominal(&longer, name), was), "{name} longer");
            let hotter = moved(&plan, "cable.warmest", |degc| degc + 20.0 * factor);
            prop_assert!(not_less(nominal(&hotter, name), was), "{name} hotter");
            let higher = moved(&plan, "supply.volt", |volt| volt * factor);
            prop_assert!(not_less(was, nominal(&higher, name)), "{name} more volts");
        }
    }

    #[test]
    fn a_standard_size_is_never_worse_than_the_next_smaller_one(run in 1.0..40.0_f64) {
        let gate = moved(&read(GATE), "cable.run", |_| run);
        let mut last = 0.0;
        for mm2 in [0.5, 0.75, 1.0, 1.5, 2.5] {
            let volt = nominal(&moved(&gate, "cable.section", |_| mm2 * 1e-6), "volt_at_board");
            prop_assert!(volt > last);
            last = volt;
        }
    }

    #[test]
    fn more_capacitance_never_lowers_a_burst(seed in 0_u64..100_000, factor in 1.0..20.0_f64) {
        let plan = moved(&usual(seed, FED), "supply.capacitor", |_| 0.0);
        for name in BOARD_VOLTS {
            let (mut last, mut farad) = (nominal(&plan, name), 22e-6);
            for _ in 0..4 {
                let now = nominal(&moved(&plan, "supply.capacitor", |_| farad), name);
                prop_assert!(not_less(last, now), "{name} at {farad} F: {last} then {now}");
                (last, farad) = (now, farad * factor);
            }
            // The board's own as well.
            let more = moved(&plan, "board.bulk", |farad| farad * factor + 22e-6);
            prop_assert!(not_less(nominal(&plan, name), nominal(&more, name)), "{name}, on the board");
        }
    }

    #[test]
    fn a_stronger_bell_or_a_weaker_lock_never_leaves_less(seed in 0_u64..100_000, factor in 1.0..6.0_f64) {
        let bell = usual(seed, &[("supply.kind", "bell"), ("supply.volt", "12 V"), ("supply.rated", "8 VA"), ("regulator.max_in", "40 V")]);
        for path in ["supply.rated", "supply.reservoir", "supply.mains"] {
            for name in BOARD_VOLTS {
                let was = nominal(&bell, name);
                prop_assert!(not_less(was, nominal(&moved(&bell, path, |number| number * factor), name)), "{path} {name}");
            }
        }
        let lock = moved(&usual(seed, FED), "supply.lock", |_| 0.2);
        let heavier = moved(&lock, "supply.lock", |amp| amp * factor);
        prop_assert!(not_less(nominal(&heavier, "volt_at_release"), nominal(&lock, "volt_at_release")));
        prop_assert!(not_less(nominal(&lock, "source_current"), nominal(&heavier, "source_current")));
    }

    #[test]
    fn a_larger_or_finer_picture_never_needs_less(seed in 0_u64..100_000) {
        let plan = usual(seed, &[("camera.quality", "14")]);
        // A sensor is faster at half of its columns, or no sensor.
        let full_hz = plan.station.sensor.full_hz;
        let plan = moved(&plan, "sensor.half_rate", |hz| hz.max(full_hz));
        let sizes = ["320x240", "640x480", "800x600", "1280x1024", "1600x1200"];
        let plans: Vec<Plan> = sizes.iter().map(|size| {
            let mut plan = plan.clone();
            let (w, h) = size.split_once('x').unwrap();
            plan.station.camera.size.width_px = w.parse().unwrap();
            plan.station.camera.size.height_px = h.parse().unwrap();
            plan
        }).collect();
        for pair in plans.windows(2) {
            for name in ["frame_buffers", "largest_buffer", "frame_bytes", "night_frame_bytes"] {
                prop_assert!(not_less(maybe(&pair[0], name), maybe(&pair[1], name)), "{name}");
            }
            for name in ["low_water", "call_rate", "night_rate"] {
                prop_assert!(not_less(maybe(&pair[1], name), maybe(&pair[0], name)), "{name}");
            }
        }
        let mut last = [f64::INFINITY; 3];
        for quality in 4..=63_u32 {
            let mut plan = plan.clone();
            plan.station.camera.quality = quality;
            let now = ["frame_bytes", "night_frame_bytes", "truncated_share"].map(|name| maybe(&plan, name));
            for (last, now) in last.iter().zip(now) {
                prop_assert!(now.is_nan() || now <= *last, "quality {quality}");
            }
            last = now.map(|now| if now.is_nan() { f64::INFINITY } else { now });
        }
    }

    #[test]
    fn more_light_or_glass_never_tells_fewer_faces(lux in 0.0..60.0_f64, factor in 1.0..4.0_f64, share in 0.0..0.4_f64) {
        let plan = moved(&moved(&lit(&[]), "lamp.porch", |_| lux), "camera.sky_share", |_| share);
        for (path, better) in [
            ("lamp.porch", lux * factor + 1.0),
            ("lamp.street", factor),
            ("lens.transmission", 0.8 * factor.sqrt().min(1.2)),
            ("lens.f_number", 2.4 / factor.sqrt()),
            ("site.recess", 0.35 * factor.min(2.5)),
            ("camera.sky_share", share / factor),
            ("callers.dark_reflectance", (0.1 * factor).min(0.4)),
        ] {
            let after = moved(&plan, path, |_| better);
            for name in ["told_share", "told_year_share", "dark_told_share"] {
                prop_assert!(not_less(nominal(&plan, name), nominal(&after, name)), "{path} {name}");
            }
        }
        let less_sky = moved(&plan, "camera.sky_share", |share| share / factor);
        for name in ["backlit_share", "dark_backlit_share"] {
            prop_assert!(not_less(nominal(&less_sky, name), nominal(&plan, name)), "{name}");
        }
    }

    #[test]
    fn one_more_buffer_never_needs_less_nor_slows(seed in 0_u64..100_000) {
        let plan = usual(seed, &[]);
        let mut last: Option<Plan> = None;
        for buffers in 1..=4_u32 {
            let mut now = plan.clone();
            now.station.camera.buffers = buffers;
            if let Some(last) = &last {
                prop_assert!(not_less(maybe(last, "frame_buffers"), maybe(&now, "frame_buffers")));
                prop_assert!(not_less(maybe(&now, "low_water"), maybe(last, "low_water")));
                prop_assert!(not_less(maybe(last, "call_rate"), maybe(&now, "call_rate")));
                prop_assert!(not_less(maybe(last, "picture_age"), maybe(&now, "picture_age")));
            }
            last = Some(now);
        }
    }

    #[test]
    fn whatever_is_used_more_never_lasts_longer(seed in 0_u64..100_000, factor in 1.0..5.0_f64) {
        let plan = usual(seed, CELLS);
        let was = nominal(&plan, "run_time");
        for path in [
            "callers.calls", "callers.call", "chip.touch_sleep", "chip.deep_sleep", "board.sleep_extras",
            "chip.streaming", "chip.joining", "plate.false_wakes", "net.outage", "rest.relearn_cost",
            "regulator.quiescent", "cell.self_discharge", "cell.fade", "cell.ageing", "cell.resistance",
            "cell.cold_resistance", "cable.run", "chip.burst", "sensor.held", "sensor.on",
        ] {
            let now = nominal(&moved(&plan, path, |number| number * factor), "run_time");
            prop_assert!(not_less(now, was), "{path} x{factor}: {was} s then {now} s");
        }
        for path in ["cell.capacity", "cell.real_share", "cell.start_charge", "rest.relearn_every", "regulator.efficiency"] {
            let now = nominal(&moved(&plan, path, |number| number * factor), "run_time");
            prop_assert!(not_less(was, now), "{path} x{factor}: {was} s then {now} s");
        }
    }

    #[test]
    fn more_strings_more_sun_and_warmth_never_shorten_a_life(seed in 0_u64..100_000, kelvin in 0.0..15.0_f64) {
        // Warmth ages cells and empties them: those are put to rest here, so that only the cold is left.
        let still: Vec<(&str, &str)> =
            [CELLS, &[("cell.self_discharge", "0 %/month"), ("cell.fade", "0 %/yr")]].concat();
        let plan = usual(seed, &still);
        let was = nominal(&plan, "run_time");
        let colder = moved(&plan, "site.warmer", |warmer| warmer - kelvin);
        prop_assert!(not_less(nominal(&colder, "run_time"), was), "colder");
        let mut more = plan.clone();
        more.station.cell.parallel += 1;
        prop_assert!(not_less(was, nominal(&more, "run_time")), "one more string");
        let mut last = f64::NAN;
        for watt in [0.0, 0.5, 1.0, 2.0, 10.0] {
            let now = nominal(&moved(&plan, "solar.peak", |_| watt), "run_time");
            prop_assert!(not_less(last, now), "{watt} W: {last} then {now}");
            last = now;
        }
        let sunny = moved(&plan, "solar.peak", |_| 3.0);
        prop_assert!(not_less(nominal(&sunny, "worst_month_sun"), nominal(&moved(&sunny, "site.sunnier", |s| s * 1.3), "worst_month_sun")));
    }

    #[test]
    fn a_wider_view_never_raises_the_density_ahead(seed in 0_u64..100_000, wider in 1.0..1.8_f64) {
        // Callers of no spread right ahead of a level lens.
        let ahead = [
            ("callers.distance_spread", "1.01"), ("callers.sideways", "0 m"), ("camera.tilt", "0 deg"),
            ("camera.turn", "0 deg"), ("camera.offset", "0 m"), ("camera.height", "1.6 m"),
            ("callers.children", "0"), ("callers.seated", "0"), ("lens.view", "60 deg"), ("lens.k1", "0"),
            ("lens.k2", "0"), ("lens.k3", "0"), ("lens.k4", "0"),
        ];
        let plan = usual(seed, &ahead);
        let mut plan = plan;
        plan.station.lens.focal_m = f64::NAN;
        let (was, now) = (maybe(&plan, "face_density"), maybe(&moved(&plan, "lens.view", |view| view * wider), "face_density"));
        // Faces stand a hand's breadth off the axis, where laws differ by a few per cent.
        prop_assert!(was.is_nan() || now.is_nan() || now <= was * 1.05, "{was} px/m, wider {now}");
        let far = maybe(&moved(&plan, "callers.distance", |m| m * wider), "face_density");
        prop_assert!(not_less(far, was), "farther");
    }

    #[test]
    fn shares_are_shares_and_nothing_else_is_negative(seed in 0_u64..1_000_000) {
        let plan = read(&sample::plan(seed));
        let assessment = assess(&plan, NOMINAL);
        for figure in assessment.budgets.iter().flat_map(|budget| &budget.figures) {
            let Some(value) = figure.nominal else { continue };
            if figure.name.ends_with("_share") && figure.name != "bus_share" {
                prop_assert!((0.0..=1.000_000_1).contains(&value) || figure.name == "unusable_share", "{} {value}", figure.name);
            }
            // Room may be missing, temperatures may lie below freezing, and a clear sky cools.
            let may_be_negative =
                ["low_water", "session_block", "tails_gap", "signal", "signal_up", "fade_margin"].contains(&figure.name) || ["K", "degC"].contains(&figure.unit);
            if !may_be_negative {
                prop_assert!(value >= 0.0, "{} {value}", figure.name);
            }
        }
        verdicts_follow_their_rule(&assessment, plan.station.want.confidence);
    }
}

/// The documented rule, from what is shown alone: over where the median margin is negative, unknown where it is not
/// known, tight where there is less room or confidence than wanted or where it rests on what was assumed.
fn verdicts_follow_their_rule(assessment: &Assessment, confidence: f64) {
    let order = ["fits", "tight", "unknown", "over"];
    for budget in &assessment.budgets {
        let mut worst = 0;
        let rank = |verdict: &str| order.iter().position(|known| *known == verdict).unwrap();
        for figure in &budget.figures {
            let Some(verdict) = figure.verdict else { continue };
            worst = worst.max(rank(verdict));
            let Some(margin) = figure.margin else {
                // No answer, or one without end: a line that collapses, a window that no size serves.
                assert!(
                    verdict == "unknown" || figure.limit.is_none() || figure.value.is_none(),
                    "{}: {verdict} without a margin",
                    figure.name
                );
                continue;
            };
            let wanted = figure.margin_wanted.unwrap_or(0.0);
            let unsure = figure.fits_probability.is_some_and(|fits| fits < confidence);
            // A life that is followed to its end of five years has all the room that can be seen.
            let wanted = if figure.value >= Some(5.0 * 365.0 * 86_400.0) && figure.name == "run_time" {
                0.0
            } else {
                wanted
            };
            let rule = budgets::rules::all().find(|rule| rule.figure == figure.name).unwrap();
            // A cause is no worse than tight while what it feeds does not fail.
            let fails =
                |name: &str| budget.figures.iter().any(|fed| fed.name == name && fed.verdict == Some("over"));
            let expected = match () {
                () if margin < 0.0 && !rule.feeds.is_empty() && !fails(rule.feeds) => "tight",
                () if margin < 0.0 => "over",
                () if margin < wanted || unsure || figure.on_assumptions => "tight",
                () => "fits",
            };
            assert_eq!(verdict, expected, "{}: margin {margin}, wanted {wanted}", figure.name);
            let raised = budget.findings.iter().filter(|finding| finding.figure == figure.name).count();
            // A consequence is silent while a cause that it follows, as bad or worse, is told.
            let behind = budget
                .findings
                .iter()
                .any(|cause| rule.follows.contains(&cause.code) && rank(cause.verdict) >= rank(verdict));
            // Each fits, all at once do not: told once, at the least sure of them.
            let together = budget.fits_probability.is_some_and(|fits| fits < confidence) && verdict == "fits";
            let wanted = usize::from(verdict != "fits" && !behind);
            assert!(
                raised == wanted || together && raised == 1,
                "{}: {raised} findings where {wanted} is right",
                figure.name
            );
        }
        for finding in &budget.findings {
            worst = worst.max(rank(finding.verdict));
        }
        assert_eq!(budget.verdict, order[worst], "{}", budget.name);
    }
    let all = assessment
        .budgets
        .iter()
        .map(|budget| order.iter().position(|v| *v == budget.verdict).unwrap())
        .max();
    assert_eq!(assessment.verdict, order[all.unwrap()]);
}

#[test]
fn verdicts_of_the_shipped_plans_follow_their_rule_with_draws() {
    for text in [GATE, STORE, SHED] {
        let plan = read(text);
        verdicts_follow_their_rule(&assess(&plan, draws(512)), plan.station.want.confidence);
    }
}

#[test]
fn wanting_more_confidence_never_softens_a_verdict() {
    let rank =
        |verdict: &str| ["fits", "tight", "unknown", "over"].iter().position(|v| *v == verdict).unwrap();
    for text in [GATE, STORE, SHED] {
        let mut last: Option<Assessment> = None;
        for confidence in ["0.5", "0.8", "0.95", "0.99"] {
            let now = assess(&with(text, &[("want.confidence", confidence)]), draws(256));
            if let Some(last) = &last {
                for (now, last) in now.budgets.iter().zip(&last.budgets) {
                    assert!(rank(now.verdict) >= rank(last.verdict), "{} at {confidence}", now.name);
                    for (now, last) in now.figures.iter().zip(&last.figures) {
                        assert_eq!(now.fits_probability, last.fits_probability, "{}", now.name);
                    }
                }
            }
            last = Some(now);
        }
    }
}

#[test]
fn a_harder_wish_is_never_met_more_often() {
    let plans = ["30 d", "90 d", "200 d", "365 d"].map(|time| with(STORE, &[("want.run_time", time)]));
    let fits = plans.map(|plan| figure(&assess(&plan, draws(256)), "run_time").fits_probability.unwrap());
    assert!(fits.windows(2).all(|pair| pair[0] >= pair[1]), "{fits:?}");
    assert!(fits[0] > 0.9 && fits[3] < 0.5, "{fits:?}");
}

#[test]
fn a_whole_is_met_no_more_often_than_its_parts() {
    for text in [GATE, STORE, SHED] {
        let all = assess(&read(text), draws(256));
        for budget in &all.budgets {
            let (Some(whole), Some(part)) = (all.fits_probability, budget.fits_probability) else { continue };
            assert!(whole <= part, "{}", budget.name);
            for figure in &budget.figures {
                let cause = budgets::rules::all().any(|r| r.figure == figure.name && !r.feeds.is_empty());
                let fits = figure.fits_probability.filter(|_| !cause);
                assert!(fits.is_none_or(|fits| part <= fits), "{}", figure.name);
            }
        }
    }
}

#[test]
fn what_is_missing_is_unknown_and_never_fits() {
    let open = read("[board]\nsheet = \"wren\"\n");
    let assessment = assess(&open, NOMINAL);
    assert!(
        findings(&assessment).any(|finding| finding.code == "power.not-told" && finding.verdict == "unknown")
    );
    assert_eq!(field("supply.kind").assumed, "open");
}

#[test]
fn whatever_a_plan_says_draws_answer_and_verdicts_follow_their_rule() {
    for seed in 0..40 {
        let plan = read(&sample::reaching(seed, Reach::Whole));
        verdicts_follow_their_rule(&assess(&plan, draws(64)), plan.station.want.confidence);
    }
}

#[test]
fn a_station_that_lives_on_meets_a_wish_of_five_years() {
    // Ten watts of panel in the sun of the Mediterranean, cells indoors that neither fade nor empty.
    let sunny = with(
        STORE,
        &[
            ("solar.peak", "10 W"),
            ("site.latitude", "38 deg"),
            ("site.cells_indoors", "true"),
            ("want.run_time", "5 yr"),
            ("cell.fade", "1 %/yr"),
            ("cell.ageing", "1.1"),
        ],
    );
    let assessment = assess(&sunny, draws(256));
    let run = figure(&assessment, "run_time");
    assert_eq!((run.verdict, run.censored), (Some("fits"), Some("above")), "{run:?}");
}

#[test]
fn light_is_silent_until_it_is_asked_for() {
    let names = |plan: &Plan| -> Vec<&str> {
        assess(plan, NOMINAL).budgets.iter().map(|budget| budget.name).collect()
    };
    assert!(!names(&read(SHED)).contains(&"light"), "the shed never said where its wall faces");
    let asked = with(SHED, &[("want.light_share", "0.8")]);
    let told = assess(&asked, NOMINAL);
    assert_eq!(figure(&told, "told_share").verdict, Some("unknown"));
    assert!(findings(&told).any(|finding| finding.says.contains("site.facing")), "it says what is missing");
    assert!(names(&lit(&[])).contains(&"light"));
}

#[test]
fn a_south_wall_sees_more_sun_than_a_north_wall() {
    let hours = |facing: &str| nominal(&lit(&[("site.facing", facing)]), "sun_hours");
    assert!(hours("180 deg") > 5.0 * hours("0 deg"));
}
