//! The stage that tells how long cells last: one life of the station, day by day.

use super::electric::{self, Currents};
use super::site::SiteYear;
use models::cells::burst::{Burst, Pack, Restart, resistance_factor, restart};
use models::cells::capacity;
use models::cells::chemistry::{self, Data};
use models::cells::ocv;
use models::energy::by_hand::{Effect, by_hand, effects};
use models::energy::drains::{Retry, wake_c};
use models::energy::season::{DAYS, Season};
use models::energy::{DAY_S, EnergyInput, YEARS_MAX, follow, run, solar};
use models::luck::Luck;
use models::site::summary::Shade;
use models::sun::plane::Plane;
use station::choices::{Charger, Chemistry, Rest, Retry as RetryPolicy};
use station::fields::Station;

/// Room temperature of cells indoors, K.
const INDOORS_K: f64 = 294.15;
/// From one vain attempt to join to the next, s: an eager program, and one that backs off. Ours.
pub(crate) const RETRY_S: [f64; 2] = [60.0, 900.0];
/// A tracking charger loses less of the panel than a linear one: 0.85 is ours, 0.65 the best chain of a linear one
/// (typical, from memory).
const TRACKING_GAIN: f64 = 0.85 / 0.65;

/// The site's year as cells and panel of the nominal station meet it; a draw moves it. `None` when the site is outside
/// the model.
pub(super) fn season(nominal: &Station, year: &SiteYear) -> Option<Season> {
    let site = &nominal.site;
    // Temperatures of the year with weather; the sun is that of the mean sky, because each life draws its own.
    let hours_c = year.temperatures_c();
    let (mut sun_j_m2, mut above_frost) = (vec![0.0; DAYS], vec![1.0; DAYS]);
    if nominal.solar.peak_w > 0.0 {
        let plane =
            Plane { tilt_rad: nominal.solar.tilt_rad, azimuth_rad: nominal.solar.facing_rad, albedo: 0.2 };
        let light_w_m2 = year.expected()?.on_plane_w_m2(&plane, &Shade::NONE);
        for (day, (light, hours)) in light_w_m2.chunks_exact(24).zip(hours_c.chunks_exact(24)).enumerate() {
            let all: f64 = light.iter().sum();
            let warm: f64 = light.iter().zip(hours).filter(|(_, c)| **c > 0.0).map(|(light, _)| light).sum();
            sun_j_m2[day] = all * 3600.0;
            if all > 0.0 && !site.indoors {
                above_frost[day] = warm / all;
            }
        }
    }
    let by_day = |of: fn(&[f64]) -> f64| -> Vec<f64> {
        hours_c.chunks_exact(24).map(|day| if site.indoors { INDOORS_K } else { of(day) + 273.15 }).collect()
    };
    let mean_k = by_day(|day| day.iter().sum::<f64>() / 24.0);
    let min_k = by_day(|day| day.iter().copied().fold(f64::INFINITY, f64::min));
    Season::new(&mean_k, &min_k, &sun_j_m2, &above_frost).ok()
}

/// What comes out of a life, and what it was made from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Life {
    /// Time until a burst fails, s; the horizon when it never does within five years.
    pub end_s: f64,
    /// The three-line answer, s.
    pub by_hand_s: f64,
    /// Mean current of the three lines, A.
    pub mean_a: f64,
    /// Charge that a fresh pack gives at 25 °C, C.
    pub usable_c: f64,
    /// Between calls, at the pack, A.
    pub rest_a: f64,
    /// What never sleeps and the sensor, as shares of `rest_a`.
    pub extras_share: f64,
    /// The sensor's share of `rest_a`.
    pub sensor_share: f64,
    /// Share of the mean current by calls, false wakes and outages.
    pub calls_share: f64,
    /// As above, false wakes.
    pub wakes_share: f64,
    /// As above, joining in vain while the router is off.
    pub outage_share: f64,
    /// Charge that cannot be used on the coldest day of the third year, as a share.
    pub unusable: f64,
    /// Whether the pack can start where it can just run.
    pub restart: (f64, f64),
    /// Burst current of one cell, A.
    pub cell_burst_a: f64,
    /// Sun's charge over the use, in the month with the least; NaN without a panel.
    pub worst_sun: f64,
    /// Share of the year's sun that comes in frost.
    pub frost_share: f64,
    /// Coldest temperature, °C.
    pub coldest_degc: f64,
    /// A day of seeking the router in vain, as a share of what a fresh pack gives.
    pub outage_day: f64,
    /// That day's charge with each of `RETRY_S`, C.
    pub outage_day_c: [f64; 2],
    /// Energy a day at the pack, J.
    pub day_j: f64,
}

const UNKNOWN: Life = Life {
    end_s: f64::NAN,
    by_hand_s: f64::NAN,
    mean_a: f64::NAN,
    usable_c: f64::NAN,
    rest_a: f64::NAN,
    extras_share: f64::NAN,
    sensor_share: f64::NAN,
    calls_share: f64::NAN,
    wakes_share: f64::NAN,
    outage_share: f64::NAN,
    unusable: f64::NAN,
    restart: (f64::NAN, f64::NAN),
    cell_burst_a: f64::NAN,
    worst_sun: f64::NAN,
    frost_share: f64::NAN,
    coldest_degc: f64::NAN,
    outage_day: f64::NAN,
    outage_day_c: [f64::NAN; 2],
    day_j: f64::NAN,
};

/// Chemistry data of the plan's cell.
pub(crate) fn data(chemistry: Chemistry) -> &'static Data {
    match chemistry {
        Chemistry::Alkaline => chemistry::Chemistry::Alkaline,
        Chemistry::LithiumAa => chemistry::Chemistry::LithiumAa,
        Chemistry::Nimh => chemistry::Chemistry::Nimh,
        Chemistry::LiIon => chemistry::Chemistry::LiIon,
        Chemistry::LiFePo4 => chemistry::Chemistry::LiFePo4,
        Chemistry::LiPo => chemistry::Chemistry::LiPo,
        Chemistry::Lr20 => chemistry::Chemistry::Lr20,
        Chemistry::LeadAcid => chemistry::Chemistry::LeadAcid,
    }
    .data()
}

/// Voltage of the full pack at rest, V.
pub(crate) fn full_v(s: &Station) -> f64 {
    let full = data(s.cell.chemistry).ocv.last().map_or(f64::NAN, |point| point.volt_v);
    full * f64::from(s.cell.series)
}

/// Activation energy from the resistance at -10 °C over that at 25 °C, J/mol (Arrhenius).
fn activation_j_mol(cold_factor: f64) -> f64 {
    8.314_462_618 * cold_factor.ln() / (1.0 / 263.15 - 1.0 / 298.15)
}

/// How many times the chemistry's own loss in the cold a cell takes that keeps `share` at -10 °C.
fn cold_loss(data: &Data, share: f64) -> f64 {
    let usual = 1.0 - capacity::cold_share(data, 263.15);
    if usual > 0.0 { (1.0 - share) / usual } else { 0.0 }
}

/// The year as this station meets it: cells indoors stay at room temperature, their panel hangs outside all the same.
fn moved(year: &Season, s: &Station) -> Option<Season> {
    let warmer_k = if s.site.indoors { 0.0 } else { s.site.warmer_k };
    year.moved(warmer_k, s.site.sunnier).ok()
}

pub(super) fn life(s: &Station, currents: &Currents, year: Option<&Season>, luck: Luck) -> Life {
    let Some(season) = year.and_then(|year| moved(year, s)) else { return UNKNOWN };
    let life = Inputs::new(s, currents, &season);
    life.run(luck)
}

/// Which effect, if any, moves the simulated run time by more than a third from the three-line answer, and the run
/// time without it, s: asked only for a sentence.
pub(super) fn why(s: &Station, currents: &Currents, year: Option<&Season>) -> Option<(Effect, f64)> {
    let season = moved(year?, s)?;
    let inputs = Inputs::new(s, currents, &season);
    let (all_s, hand_s) = (run(&inputs.energy, Luck::Mean).ok()?.end_s, by_hand(&inputs.energy).run_s);
    if (all_s - hand_s).abs() <= 0.3 * hand_s {
        return None;
    }
    let effects = effects(&inputs.energy).ok()?;
    effects.into_iter().max_by(|a, b| (a.1 - all_s).abs().total_cmp(&(b.1 - all_s).abs()))
}

/// One life by its state of charge.
#[derive(Clone, Debug, PartialEq)]
pub struct LifeCourse {
    /// As [`Life::end_s`].
    pub end_s: f64,
    /// State of charge at the start and after every so many days, as long as it lasts.
    pub soc: Vec<f64>,
    /// Lowest state of charge in each calendar month of all years lived; NaN for a month never reached.
    pub month_low_soc: [f64; 12],
}

/// The life of [`life`] with its state of charge every `step_days`; `None` outside the model.
pub(super) fn course(
    s: &Station,
    currents: &Currents,
    year: Option<&Season>,
    luck: Luck,
    step_days: usize,
) -> Option<LifeCourse> {
    let season = moved(year?, s)?;
    let inputs = Inputs::new(s, currents, &season);
    let mut soc = vec![inputs.energy.start_soc];
    let seen = |day: usize, now: f64| {
        if day.is_multiple_of(step_days.max(1)) {
            soc.push(now);
        }
    };
    let run = follow(&inputs.energy, luck, seen).ok()?;
    Some(LifeCourse { end_s: run.end_s, soc, month_low_soc: run.month_low_soc })
}

/// Everything that a life depends on, made from a station once.
struct Inputs<'s> {
    energy: EnergyInput<'s>,
    start: Burst,
    pack_v: f64,
    cell_burst_a: f64,
    extras_share: f64,
    sensor_share: f64,
    /// A day of outage, at the present habit and at each of [`RETRY_S`].
    outage_day_c: (f64, [f64; 2]),
}

impl<'s> Inputs<'s> {
    fn new(s: &Station, currents: &Currents, season: &'s Season) -> Self {
        let data = data(s.cell.chemistry);
        let (series, parallel) = (f64::from(s.cell.series), f64::from(s.cell.parallel));
        let pack_v = ocv::mean_v(data.ocv) * series;
        let regulator = electric::regulator(&s.regulator, s.chip.rail_v);
        let in_a = |rail_a: f64| regulator.in_a(pack_v, rail_a);
        // A boosting regulator rides a burst below the cut-off, which is looked at between bursts.
        let least_v =
            electric::least_in_v(s).max(if s.regulator.boost { 0.0 } else { s.cell.cutoff_v * series });
        let peak = |rail_a: f64| {
            let load = regulator.load(rail_a);
            Burst { current_a: load.current_a, power_w: load.power_w, least_v }
        };
        let (burst, start) = (peak(currents.burst_a), peak(currents.start_a));
        let pack = Pack {
            data,
            series,
            parallel,
            cell_r25_ohm: s.cell.r25_ohm,
            activation_j_mol: activation_j_mol(s.cell.cold_r),
            aged_factor: s.cell.ageing,
            wire_ohm: electric::loop_ohm(&s.cable),
        };
        let relearn_a =
            if s.rest.mode == Rest::Sleep { s.rest.relearn_j / s.rest.relearn_s / pack_v } else { 0.0 };
        let rest_a = in_a(currents.rest_a) + currents.extras_a + relearn_a;
        let (call_a, picture_a) = (in_a(currents.steady_call_a), in_a(currents.picture_a));
        let brief_c = (in_a(currents.steady_call_a + currents.brief_a) - call_a) * currents.brief_s;
        let join_s = if s.net.cached { s.net.join_cached_s } else { s.net.join_s };
        let joining_a = in_a(s.chip.joining_a);
        let wake = [(joining_a, s.chip.boot_s), (joining_a, join_s)];
        // A second of streaming stands for one picture taken and sent.
        let never_rests = s.rest.mode == Rest::Awake || s.rest.pre_roll_s > 0.0;
        let (call_c, picture_c, false_c) = match s.rest.mode {
            _ if never_rests => ((call_a - rest_a).max(0.0) * s.callers.call_s + brief_c, 0.0, 0.0),
            Rest::Sleep => {
                let up = wake_c(&wake);
                (up + call_a * s.callers.call_s + brief_c, up + picture_a, up + picture_a)
            }
            Rest::Joined | Rest::Awake => (call_a * s.callers.call_s + brief_c, picture_a, 0.0),
        };
        // What is remembered does not help to find a router that is off: every channel is searched.
        let retries = RETRY_S.map(|every_s| Retry { attempt_s: s.net.join_s, attempt_a: joining_a, every_s });
        let retry = match s.net.retry {
            RetryPolicy::Steady => retries[0],
            RetryPolicy::BackOff => retries[1],
        };
        let harvest = if s.solar.peak_w > 0.0 {
            let chain =
                s.solar.chain * if s.solar.charger == Charger::Tracking { TRACKING_GAIN } else { 1.0 };
            let shares = (chain * s.solar.dirt * s.solar.real_share * s.solar.shade).min(1.0);
            solar::charge_per_sun(s.solar.peak_w, shares, pack_v)
        } else {
            0.0
        };
        let per_day = |per_s: f64| per_s * DAY_S;
        let cell_c = s.cell.capacity_c * s.cell.real_share;
        let mut energy = EnergyInput {
            season,
            pack,
            burst,
            capacity_c: cell_c * parallel,
            start_soc: s.cell.start_soc,
            cold_loss: cold_loss(data, s.cell.cold_share),
            self_discharge_month: s.cell.self_per_s * models::cells::ageing::MONTH_DAYS * DAY_S,
            fade_year: s.cell.fade_per_s * 365.25 * DAY_S,
            rest_a,
            calls_day: per_day(s.callers.calls_s),
            calls_dispersion: s.callers.cluster,
            call_c,
            pictures_day: if s.rest.idle_every_s.is_nan() || never_rests {
                0.0
            } else {
                DAY_S / s.rest.idle_every_s
            },
            picture_c,
            wakes_day: if s.rest.mode == Rest::Sleep { per_day(s.plate.false_wakes_s) } else { 0.0 },
            wake_c: false_c,
            joins_day: retry.attempts_day() * s.net.outage_s,
            join_c: retry.attempt_c(),
            charge_per_sun: if data.chargeable { harvest } else { 0.0 },
            start_day: 0,
            years: YEARS_MAX,
        };
        let mean_a = energy.mean_c_day() / DAY_S;
        energy.capacity_c *= capacity::rate_share(data, mean_a / parallel, cell_c);
        Self {
            energy,
            start,
            pack_v,
            cell_burst_a: (burst.current_a + burst.power_w / pack_v)
                .max(start.current_a + start.power_w / pack_v)
                / parallel,
            extras_share: currents.extras_a / rest_a,
            // What would be saved without it: the regulator's own current stays.
            sensor_share: (in_a(currents.rest_a) - in_a(currents.rest_a - currents.sensor_a)) / rest_a,
            outage_day_c: (retry.day_c(), retries.map(|retry| retry.day_c())),
        }
    }

    fn run(&self, luck: Luck) -> Life {
        let (input, season, pack) = (&self.energy, self.energy.season, &self.energy.pack);
        let data = pack.data;
        let Ok(run) = run(input, luck) else { return UNKNOWN };
        let hand = by_hand(input);
        let mean_c = input.mean_c_day();
        let coldest_k = season.min_k().iter().copied().fold(f64::INFINITY, f64::min);
        let third_year_s = 3.0 * 365.0 * DAY_S;
        let factor = resistance_factor(pack, coldest_k, third_year_s);
        let Restart { run_end_soc, start_end_soc, .. } = restart(pack, &input.burst, &self.start, factor);
        let sun = season.sun_j_m2();
        let month_sun = |month: usize| {
            let days = models::energy::season::MONTH_FIRST_DAY[month]
                ..models::energy::season::MONTH_FIRST_DAY[month + 1];
            let warm = if data.charges_in_frost { sun } else { season.sun_above_frost_j_m2() };
            warm[days.clone()].iter().sum::<f64>() / days.len() as f64
        };
        let worst_day_sun = (0..12).map(month_sun).fold(f64::INFINITY, f64::min);
        let (all_sun, warm_sun) =
            (sun.iter().sum::<f64>(), season.sun_above_frost_j_m2().iter().sum::<f64>());
        Life {
            end_s: run.end_s,
            by_hand_s: hand.run_s.min(f64::from(YEARS_MAX) * 365.0 * DAY_S),
            mean_a: hand.mean_a,
            usable_c: hand.usable_c,
            rest_a: input.rest_a,
            extras_share: self.extras_share,
            sensor_share: self.sensor_share,
            calls_share: input.calls_day * input.call_c / mean_c,
            wakes_share: input.wakes_day * input.wake_c / mean_c,
            outage_share: input.joins_day * input.join_c / mean_c,
            // Above 1 the model counts on in missing volts.
            unusable: input.empty_soc(coldest_k, third_year_s).min(1.0),
            restart: (run_end_soc, start_end_soc),
            cell_burst_a: self.cell_burst_a,
            worst_sun: if input.charge_per_sun > 0.0 {
                worst_day_sun * input.charge_per_sun / mean_c
            } else {
                f64::NAN
            },
            frost_share: if all_sun > 0.0 { 1.0 - warm_sun / all_sun } else { 0.0 },
            coldest_degc: coldest_k - 273.15,
            outage_day: self.outage_day_c.0 / hand.usable_c,
            outage_day_c: self.outage_day_c.1,
            day_j: mean_c * self.pack_v,
        }
    }
}
