//! Run times against closed forms, the trade's arithmetic, and a statistics library's distributions.

use checks::{near, near_relative, number, peer_with};
use models::cells::burst::{Burst, Pack};
use models::cells::chemistry::Chemistry;
use models::energy::counts::Counts;
use models::energy::drains::{Retry, awake_j_day, panel_for_w};
use models::energy::season::Season;
use models::energy::{DAY_S, EnergyInput, run};
use models::luck::{Luck, Stream, mix};
use models::site::DAYS;
use serde_json::json;

/// No seasons: 25 °C and no sun.
fn steady() -> Season {
    let warm = [298.15; DAYS];
    Season::new(&warm, &warm, &[0.0; DAYS], &[1.0; DAYS]).unwrap()
}

/// A cell without resistance that ends at empty: what is left is counting.
fn counting(season: &Season) -> EnergyInput<'_> {
    let pack =
        Pack { cell_r25_ohm: 0.0, aged_factor: 1.0, ..Pack::typical(Chemistry::LiIon.data(), 1.0, 1.0) };
    EnergyInput {
        season,
        pack,
        burst: Burst { current_a: 0.0, power_w: 0.0, least_v: 2.5 },
        capacity_c: 10_000.0,
        start_soc: 1.0,
        cold_loss: 1.0,
        self_discharge_month: 0.0,
        fade_year: 0.0,
        rest_a: 0.0,
        calls_day: 4.0,
        calls_dispersion: 2.0,
        call_c: 3.0,
        pictures_day: 0.0,
        picture_c: 0.0,
        wakes_day: 0.0,
        wake_c: 0.0,
        joins_day: 0.0,
        join_c: 0.0,
        charge_per_sun: 0.0,
        start_day: 0,
        years: 5,
    }
}

/// With a constant drain d and a leak of k a day the charge obeys q' = -k·q - d: empty after ln(1 + k·q0/d)/k.
#[test]
fn leak_and_drain_follow_the_closed_form() {
    let season = steady();
    let input = EnergyInput { self_discharge_month: 0.02, ..counting(&season) };
    let leak_day: f64 = 0.02 / 30.4375;
    let wanted_days = (1.0 + leak_day * 10_000.0 / 12.0).ln() / leak_day;
    // Daily steps take the leak before the drain: at most a day apart in 660.
    near(run(&input, Luck::Mean).unwrap().end_s / DAY_S, wanted_days, 1.0, "differential equation");
}

/// Renewal theory: with N calls until empty, the time's standard deviation is sqrt(D·T/m): D dispersion, m a day.
#[test]
fn run_times_scatter_as_renewal_theory_says() {
    let season = steady();
    let input = counting(&season);
    let ends_days: Vec<f64> =
        (0..4000).map(|draw| run(&input, Luck::History(mix(5, draw))).unwrap().end_s / DAY_S).collect();
    let n = ends_days.len() as f64;
    let mean = ends_days.iter().sum::<f64>() / n;
    let sd = (ends_days.iter().map(|days| (days - mean).powi(2)).sum::<f64>() / n).sqrt();
    let mean_wanted: f64 = 10_000.0 / 12.0;
    let sd_wanted = (2.0 * mean_wanted / 4.0).sqrt();
    near(mean, mean_wanted, 5.0 * sd_wanted / n.sqrt() + 0.5, "five standard errors and half a day");
    // A standard deviation's own relative error is 1/sqrt(2n) = 1.1 %; four of them.
    near_relative(sd, sd_wanted, 0.045, "renewal theory");
}

/// trade.md power.outage and power.awake (calc).
#[test]
fn the_trade_on_outages_and_staying_awake() {
    let every_minute = Retry { attempt_s: 6.0, attempt_a: 0.120, every_s: 60.0 };
    near(every_minute.day_c() / 3.6, 288.0, 0.5, "mAh a day");
    near(Retry { every_s: 900.0, ..every_minute }.day_c() / 3.6, 19.0, 0.5, "mAh a day, back-off to 15 min");
    near(awake_j_day(0.5) / 3600.0, 12.0, 0.5, "Wh a day");
    near(awake_j_day(0.7) / 3600.0, 17.0, 0.5, "Wh a day");
    near(panel_for_w(0.6, 3.6e6, 0.5), 30.0, 2.0, "about 30 Wp in winter");
}

/// Frequencies of a million picked days against SciPy's negative binomial and Poisson.
#[test]
#[ignore = "calls a Python peer"]
fn callers_a_day_follow_the_library_distribution() {
    let cases = [(4.0, 2.0), (4.0, 1.0), (0.2, 1.0), (15.0, 5.0), (120.0, 1.2)];
    let upto = 400;
    let asked: Vec<_> = cases
        .iter()
        .map(|(mean, dispersion)| json!({ "mean": mean, "dispersion": dispersion, "upto": upto }))
        .collect();
    let answer = peer_with("cells_numpy.py", &[], &json!({ "counts": asked }));
    for (i, &(mean, dispersion)) in cases.iter().enumerate() {
        let counts = Counts::new(mean, dispersion).unwrap();
        let mut stream = Stream::new(mix(9, i as u64));
        let mut found = vec![0.0_f64; upto];
        let n = 1_000_000;
        for _ in 0..n {
            if let Some(times) = found.get_mut(counts.pick((stream.bits() >> 32) as u32) as usize) {
                *times += 1.0;
            }
        }
        // Chi-squared over counts expected at least ten times; the rest is too rare to be told.
        let (mut chi2, mut freedom) = (0.0, -1.0);
        for (k, &times) in found.iter().enumerate() {
            let expected = number(&answer, &format!("/probabilities/{i}/{k}")) * f64::from(n);
            if expected >= 10.0 {
                chi2 += (times - expected).powi(2) / expected;
                freedom += 1.0;
            }
        }
        // Mean f, variance 2f: five standard deviations.
        assert!(
            chi2 < freedom + 5.0 * (2.0_f64 * freedom).sqrt(),
            "{mean}, {dispersion}: {chi2} for {freedom}"
        );
    }
}
