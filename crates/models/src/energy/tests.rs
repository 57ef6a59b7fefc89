//! Lives against hand arithmetic, laws, and a plain second stepping.

use super::*;
use crate::cells::chemistry::Chemistry;
use by_hand::{Effect, by_hand, effects};
use proptest::prelude::*;

fn season() -> Season {
    // Invented for the demo: 10 ± 9 °C with the coldest day in mid-January, nights 5 K below; sun 2 to 4 kWh/m².
    let cosine = |day: usize| (std::f64::consts::TAU * (day as f64 - 15.0) / 365.0).cos();
    let mean_k: Vec<f64> = (0..DAYS).map(|day| 283.15 - 9.0 * cosine(day)).collect();
    let min_k: Vec<f64> = mean_k.iter().map(|k| k - 5.0).collect();
    let sun: Vec<f64> = (0..DAYS).map(|day| 3.6e6 * (3.0 - cosine(day))).collect();
    let above_frost: Vec<f64> = min_k.iter().map(|&k| if k < 273.15 { 0.6 } else { 1.0 }).collect();
    Season::new(&mean_k, &min_k, &sun, &above_frost).unwrap()
}

fn input(season: &Season) -> EnergyInput<'_> {
    let data = Chemistry::LiIon.data();
    EnergyInput {
        season,
        pack: Pack::typical(data, 1.0, 1.0),
        burst: Burst { current_a: 0.35, power_w: 0.0, least_v: 3.0 },
        capacity_c: 2.8 * 3600.0,
        start_soc: 1.0,
        cold_loss: 1.0,
        self_discharge_month: 0.02,
        fade_year: 0.04,
        rest_a: 60e-6,
        calls_day: 4.0,
        calls_dispersion: 2.0,
        call_c: 3.0,
        pictures_day: 0.0,
        picture_c: 0.0,
        wakes_day: 0.2,
        wake_c: 0.6,
        joins_day: 0.0,
        join_c: 0.0,
        charge_per_sun: 0.0,
        start_day: 120,
        years: 5,
    }
}

#[test]
fn without_cold_age_and_leak_the_life_is_the_one_by_hand() {
    let season = season().at_one_temperature(298.15).unwrap();
    let mut input = EnergyInput { self_discharge_month: 0.0, fade_year: 0.0, ..input(&season) };
    input.pack.aged_factor = 1.0;
    let life = run(&input, Luck::Mean).unwrap();
    assert!(!life.censored);
    assert!((life.end_s / by_hand(&input).run_s - 1.0).abs() < 1e-9);
}

#[test]
fn self_discharge_alone_follows_the_exponential() {
    let season = season().at_one_temperature(298.15).unwrap();
    let input = EnergyInput {
        rest_a: 0.0,
        calls_day: 0.0,
        wakes_day: 0.0,
        fade_year: 0.0,
        burst: Burst { current_a: 0.0, power_w: 0.0, least_v: 0.5 },
        years: 1,
        ..input(&season)
    };
    let life = run(&input, Luck::Mean).unwrap();
    // exp(-12 months × 0.02), in daily steps: (1 - 0.02/30.4375)^365.
    assert!((life.last_soc - (-0.02_f64 * 365.0 / 30.4375).exp()).abs() < 1e-4);
}

#[test]
fn every_life_repeats_and_differs_from_the_next() {
    let season = season();
    let input = EnergyInput { charge_per_sun: 1e-6, ..input(&season) };
    let life = run(&input, Luck::History(7)).unwrap();
    assert_eq!(life.end_s, run(&input, Luck::History(7)).unwrap().end_s);
    assert_ne!(life.end_s, run(&input, Luck::History(8)).unwrap().end_s);
}

#[test]
fn lives_scatter_about_the_nominal_one() {
    let season = season();
    let input = input(&season);
    let nominal_s = run(&input, Luck::Mean).unwrap().end_s;
    let mut ends: Vec<f64> =
        (0..400).map(|draw| run(&input, Luck::History(mix(1, draw))).unwrap().end_s).collect();
    ends.sort_by(f64::total_cmp);
    assert!((ends[200] / nominal_s - 1.0).abs() < 0.02, "median {} nominal {nominal_s}", ends[200]);
    assert!(ends[20] < ends[380]);
}

#[test]
fn a_panel_that_is_large_enough_never_ends_and_its_worst_month_ends_the_winter() {
    let season = season();
    // 17 C a day go out; 13 come in on a mean midwinter day, 43 at midsummer.
    let input = EnergyInput { charge_per_sun: 3e-6, ..input(&season) };
    let life = run(&input, Luck::Mean).unwrap();
    assert!(life.censored && life.end_s == 5.0 * 365.0 * DAY_S);
    // Lowest where the balance turns, at the end of winter, not on the darkest day.
    assert!([0, 1, 2].contains(&life.worst_month), "{}", life.worst_month);
}

#[test]
fn a_primary_takes_no_charge() {
    let season = season();
    let mut with_panel = EnergyInput { charge_per_sun: 1e-3, ..input(&season) };
    with_panel.pack = Pack::typical(Chemistry::Alkaline.data(), 3.0, 1.0);
    let without_panel = EnergyInput { charge_per_sun: 0.0, ..with_panel };
    assert_eq!(run(&with_panel, Luck::Mean).unwrap().end_s, run(&without_panel, Luck::Mean).unwrap().end_s);
}

#[test]
fn frost_withholds_the_sun_from_lithium_and_not_from_lead() {
    let cold = [263.15; DAYS];
    let season = Season::new(&cold, &cold, &[1e7; DAYS], &[0.0; DAYS]).unwrap();
    let lithium = EnergyInput { charge_per_sun: 1e-3, rest_a: 500e-6, years: 1, ..input(&season) };
    let mut lead = lithium;
    lead.pack = Pack::typical(Chemistry::LeadAcid.data(), 3.0, 1.0);
    assert!(!run(&lithium, Luck::Mean).unwrap().censored);
    assert!(run(&lead, Luck::Mean).unwrap().censored);
}

#[test]
fn a_pack_that_cannot_carry_the_burst_ends_at_once() {
    let season = season();
    let input =
        EnergyInput { burst: Burst { current_a: 0.35, power_w: 0.0, least_v: 4.3 }, ..input(&season) };
    let life = run(&input, Luck::History(1)).unwrap();
    assert_eq!((life.end_s, life.censored), (0.0, false));
}

#[test]
fn effects_say_that_the_cold_shortens_a_winter_end() {
    let season = season();
    let input = input(&season);
    let whole_s = run(&input, Luck::Mean).unwrap().end_s;
    let lives = effects(&input).unwrap();
    let of = |wanted| lives.iter().find(|(effect, _)| *effect == wanted).unwrap().1;
    // 25 °C empties a cell by itself faster, but its burst end is lower; leak and age only take.
    assert!(of(Effect::SelfDischarge) > whole_s && of(Effect::Age) >= whole_s);
    assert_eq!(of(Effect::Sun), whole_s);
    assert_ne!(of(Effect::Cold), whole_s);
}

#[test]
fn a_field_out_of_range_is_named() {
    let season = season();
    let error = run(&EnergyInput { call_c: f64::NAN, ..input(&season) }, Luck::Mean).unwrap_err();
    assert_eq!(error.what, "call_c");
}

proptest! {
    #[test]
    fn more_load_never_lasts_longer(rest_a in 1e-5..2e-3, factor in 1.0..3.0, history in 0u64..1000) {
        let season = season();
        let less = EnergyInput { rest_a, ..input(&season) };
        let more = EnergyInput { rest_a: rest_a * factor, ..less };
        // Same history, same callers: true of each life, not only on average.
        let luck = Luck::History(history);
        prop_assert!(run(&more, luck).unwrap().end_s <= run(&less, luck).unwrap().end_s);
    }

    #[test]
    fn the_monthly_bound_changes_no_answer(rest_a in 1e-5..1e-3, start_day in 0usize..365) {
        // Second derivation: every day judged exactly, in plain steps.
        let season = season();
        let input = EnergyInput { rest_a, start_day, ..input(&season) };
        let life = run(&input, Luck::Mean).unwrap();
        let (mut soc, mut kept) = (1.0, 1.0);
        let mut day_of_end = None;
        let mut fade_from = 0;
        for lived in 0..5 * DAYS {
            let day = (start_day + lived) % DAYS;
            let month = season::month_of(day);
            if lived == fade_from {
                let length = (MONTH_STARTS[month + 1] - day).min(5 * DAYS - lived);
                kept -= 0.04 / 365.0 * season.ageing_speed(month) * length as f64;
                fade_from += length;
            }
            soc *= 1.0 - 0.02 / 30.4375 * season.ageing_speed(month);
            soc -= input.mean_c_day() / (input.capacity_c * kept);
            if soc < input.empty_soc(season.min_k()[day], lived as f64 * DAY_S) {
                day_of_end = Some(lived);
                break;
            }
        }
        match day_of_end {
            None => prop_assert!(life.censored),
            Some(lived) => prop_assert!(
                (lived as f64..=(lived + 1) as f64).contains(&(life.end_s / DAY_S)),
                "day {} against {}", lived, life.end_s / DAY_S
            ),
        }
    }
}
