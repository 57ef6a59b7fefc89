//! Run times of a station on cells: 10,000 lives of three years by day, beside the same model in NumPy and SimPy.
//!
//! Two plans. `sun` lives through all three years in every draw, so that both sides do the same work: it is timed.
//! `ends` runs empty: there the two median run times must agree within their sampling error, or the pairing compares
//! two different models and is refused. One thread. Our side builds its tables anew for every draw, as the ensemble
//! needs; NumPy works its thresholds out once for all.

use anyhow::{Context, Result, ensure};
use bench::{PAIRS_MIN, Row, paired, peer, seconds, timed};
use models::cells::{burst::Burst, burst::Pack, chemistry::Chemistry};
use models::energy::season::Season;
use models::energy::{DAY_S, EnergyInput, run, solar};
use models::luck::{Luck, mix};
use models::site::DAYS;
use serde_json::{Value, json};

const DRAWS: u64 = 10_000;
const YEARS: u32 = 3;

/// A peer with how many draws it is timed and compared on: a slow one with few, its time scaled up.
struct Peer {
    script: &'static str,
    name: &'static str,
    timed_draws: u64,
    compared_draws: u64,
    wanted: f64,
}

const PEERS: [Peer; 2] = [
    Peer {
        script: "energy_numpy.py",
        name: "NumPy, vectorised over draws, counts by table",
        timed_draws: DRAWS,
        compared_draws: DRAWS,
        wanted: 4.0,
    },
    Peer {
        script: "energy_simpy.py",
        name: "SimPy, every caller an event",
        timed_draws: 30,
        compared_draws: 300,
        wanted: 300.0,
    },
];

/// Each pairing; see the top of the file.
pub(crate) fn rows() -> Result<Vec<Row>> {
    let season = site()?;
    let (sun, ends) = (plan(&season, 3e-6), plan(&season, 0.0));
    let draw_years = DRAWS as f64 * f64::from(YEARS);
    let own_ends_s = lives(&ends)?;
    PEERS
        .iter()
        .map(|other| {
            let theirs = peer(other.script, &[], &parameters(&ends, other.compared_draws))?;
            let apart = apart_sigma(&own_ends_s, seconds(&theirs, "median")?, other.compared_draws);
            ensure!(apart.abs() < 4.0, "{}: median run times lie {apart:.1} standard errors apart", other.script);
            let times = paired(
                PAIRS_MIN,
                || {
                    let (ends_s, took_s) = timed(|| lives(&sun));
                    ends_s?;
                    Ok(took_s)
                },
                || {
                    let answer = peer(other.script, &[], &parameters(&sun, other.timed_draws))?;
                    let survivors = answer["survivors"].as_u64().context("no `survivors`")?;
                    ensure!(survivors == other.timed_draws, "the timed plan must outlive its horizon");
                    Ok(seconds(&answer, "seconds_per_draw_year")? * draw_years)
                },
            )?;
            let note = format!(
                "one thread; ours {:.2} µs a draw-year; peer timed on {} draws; median run times {:.1} standard errors apart",
                times.ours_s / draw_years * 1e6,
                other.timed_draws,
                apart.abs()
            );
            Ok(Row::new("battery, 10,000 draws × 3 years by day", other.name, times, other.wanted, &note))
        })
        .collect()
}

/// Run times of all draws in rising order, in s.
fn lives(input: &EnergyInput<'_>) -> Result<Vec<f64>> {
    let mut ends_s = Vec::with_capacity(DRAWS as usize);
    for draw in 0..DRAWS {
        ends_s.push(run(input, Luck::History(mix(1, draw)))?.end_s);
    }
    ends_s.sort_by(f64::total_cmp);
    Ok(ends_s)
}

/// How far a peer's median lies from ours, in standard errors of the difference.
fn apart_sigma(ends_s: &[f64], peer_median_s: f64, peer_draws: u64) -> f64 {
    let at = |share: f64| ends_s[((ends_s.len() - 1) as f64 * share).round() as usize];
    // A median's standard error is 1.2533 sigma/sqrt(n); sigma from the 5..95 % range, which is 3.29 sigma.
    let sigma = (at(0.95) - at(0.05)) / 3.29;
    let error_s = 1.2533 * sigma * (1.0 / ends_s.len() as f64 + 1.0 / peer_draws as f64).sqrt();
    (at(0.5) - peer_median_s) / error_s
}

/// A site year invented for the demo: 10 ± 9 °C, nights 5 K below, 2 to 4 kWh/m² a day.
fn site() -> Result<Season> {
    let winter = |day: usize| (std::f64::consts::TAU * (day as f64 - 15.0) / 365.0).cos();
    let mean_k: Vec<f64> = (0..DAYS).map(|day| 283.15 - 9.0 * winter(day)).collect();
    let min_k: Vec<f64> = mean_k.iter().map(|k| k - 5.0).collect();
    let sun: Vec<f64> = (0..DAYS).map(|day| 3.6e6 * (3.0 - winter(day))).collect();
    let above_frost: Vec<f64> = min_k.iter().map(|&k| if k < 273.15 { 0.6 } else { 1.0 }).collect();
    Ok(Season::new(&mean_k, &min_k, &sun, &above_frost)?)
}

/// A sleeping station on one lithium-ion cell; invented for the demo.
fn plan(season: &Season, charge_per_sun: f64) -> EnergyInput<'_> {
    let pack = Pack::typical(Chemistry::LiIon.data(), 1.0, 1.0);
    EnergyInput {
        season,
        pack,
        burst: Burst { current_a: 0.35, power_w: 0.0, least_v: 3.0 },
        capacity_c: 2.8 * 3600.0,
        // The peers start full and know no other cold than the table's.
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
        charge_per_sun,
        start_day: 120,
        years: YEARS,
    }
}

/// The plan as the peers read it.
fn parameters(input: &EnergyInput<'_>, draws: u64) -> Value {
    let data = input.pack.data;
    let ocv: Vec<[f64; 2]> = data.ocv.iter().map(|point| [point.soc, point.volt_v]).collect();
    json!({
        "draws": draws, "seed": 1, "years": input.years, "start_day": input.start_day,
        "mean_k": input.season.mean_k(), "min_k": input.season.min_k(),
        "sun_j_m2": input.season.sun_above_frost_j_m2(), "charge_per_sun": input.charge_per_sun,
        "sky_lag": solar::SKY_LAG, "sky_sd": solar::SKY_SD,
        "sky_low": solar::SKY_RANGE.0, "sky_high": solar::SKY_RANGE.1,
        "ocv": ocv, "by_temp": data.by_temp, "growth_when_empty": data.growth_when_empty,
        "activation_j_mol": input.pack.activation_j_mol, "aged_factor": input.pack.aged_factor,
        "cell_r25_ohm": input.pack.cell_r25_ohm, "wire_ohm": input.pack.wire_ohm,
        "series": input.pack.series, "parallel": input.pack.parallel,
        "current_a": input.burst.current_a, "power_w": input.burst.power_w, "least_v": input.burst.least_v,
        "capacity_c": input.capacity_c, "self_discharge_month": input.self_discharge_month,
        "fade_year": input.fade_year,
        "steady_c_day":
            input.rest_a * DAY_S + input.pictures_day * input.picture_c + input.joins_day * input.join_c,
        "calls_day": input.calls_day, "calls_dispersion": input.calls_dispersion, "call_c": input.call_c,
        "wakes_day": input.wakes_day, "wake_c": input.wake_c,
    })
}
