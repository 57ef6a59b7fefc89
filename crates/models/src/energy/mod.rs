//! How long a station on cells lasts: one life, day by day, up to five years.
//!
//! Each day takes its loads and its callers, is judged at its coldest hour (the burst of [`crate::cells::burst`]
//! at the day's least temperature and the pack's age), then gets its sun. Temperatures repeat every year; what
//! differs between two lives of one build is [`Luck`]: callers, false wakes, the sky.
//!
//! - [`season`]: the site's year as 365 days. [`counts`]: callers a day. [`solar`]: panel, chain and sky.
//! - [`by_hand`]: the three-line answer, to be shown first. [`drains`]: arithmetic of single habits.
//!
//! Left out: cycles' wear, the day's course (loads are taken before the sun comes, up to one day's drain
//! pessimistic), charge current limits, and voltage: loads are charges at the pack's terminals, so for a
//! switching regulator divide energy by the pack's mean voltage first ([`crate::cells::ocv::mean_v`]).
//! Cold and burst are not added: both say at which charge the voltage is too low, and the worse one counts.

pub mod by_hand;
pub mod counts;
pub mod drains;
pub mod season;
pub mod solar;

use crate::cells::burst::{Burst, Pack, end_soc};
use crate::cells::{ageing, capacity, resistance};
use crate::luck::{Luck, Stream, mix};
use crate::out_of_range::OutOfRange;
use crate::site::{DAYS, MONTH_STARTS};
use counts::Counts;
use season::Season;
use solar::Sky;

/// Seconds of a day.
pub const DAY_S: f64 = 86_400.0;
/// A Julian year, s.
pub const YEAR_S: f64 = 365.25 * DAY_S;

/// The longest life that is simulated, in years; longer ones are censored.
pub const YEARS_MAX: u32 = 5;

/// Everything that a life depends on. Currents and charges are those at the pack's terminals.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EnergyInput<'a> {
    /// The site's year.
    pub season: &'a Season,
    /// The cells and how they are wired.
    pub pack: Pack,
    /// The hardest short load.
    pub burst: Burst,
    /// Charge of the fresh pack at 25 °C at its mean rate, as found, not as printed, in C; above 0.
    ///
    /// Real over printed is 0.93 (0.6..1.0), typical, from memory; the rate's share is
    /// [`capacity::rate_share`].
    pub capacity_c: f64,
    /// State of charge when the pack goes in, 0 to 1; charged by the sun it may rise above that.
    pub start_soc: f64,
    /// How many times the chemistry's own loss the cold takes: 1 as [`capacity::cold_share`] has it, 0 none.
    pub cold_loss: f64,
    /// Self-discharge a month at 25 °C, as a share, 0 to 0.9.
    pub self_discharge_month: f64,
    /// Capacity lost for good a year at 25 °C, as a share, 0 to 0.5.
    pub fade_year: f64,
    /// Mean of everything that flows without end, asleep or joined, in A.
    pub rest_a: f64,
    /// Calls a day, mean, 0 to 1,000.
    pub calls_day: f64,
    /// Variance over mean of the calls a day: 1 Poisson, 2 (1.2..5) typical, from memory; 1 to 20.
    pub calls_dispersion: f64,
    /// Charge of a call from press to sleep, in C.
    pub call_c: f64,
    /// Pictures a day between calls.
    pub pictures_day: f64,
    /// Charge of one of these, in C.
    pub picture_c: f64,
    /// False wakes a day, mean, 0 to 1,000; they fall independently (Poisson).
    pub wakes_day: f64,
    /// Charge of one of these, in C.
    pub wake_c: f64,
    /// Vain attempts to join a day while the router is away, mean over the year.
    pub joins_day: f64,
    /// Charge of one of these, in C.
    pub join_c: f64,
    /// Charge into the pack for sun on the panel's plane, in C per J/m²; 0 without a panel.
    /// See [`solar::charge_per_sun`].
    pub charge_per_sun: f64,
    /// Day of the year on which the pack goes in, 0 to 364.
    pub start_day: usize,
    /// Years to simulate, 1 to [`YEARS_MAX`].
    pub years: u32,
}

/// One life.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    /// Time until the burst fails for the first time, in s; the whole horizon when `censored`.
    pub end_s: f64,
    /// The station was still alive at the horizon.
    pub censored: bool,
    /// Lowest state of charge in each calendar month, of all years lived; NaN for a month never reached.
    pub month_low_soc: [f64; 12],
    /// The month, 0 January, with the lowest of these.
    pub worst_month: usize,
    /// State of charge at the end.
    pub last_soc: f64,
}

impl EnergyInput<'_> {
    fn check(&self) -> Result<(), OutOfRange> {
        let most_c = 1e9;
        for (what, value, low, high) in [
            ("capacity_c", self.capacity_c, 1e-3, most_c),
            ("start_soc", self.start_soc, 0.0, 1.0),
            ("cold_loss", self.cold_loss, 0.0, 100.0),
            ("self_discharge_month", self.self_discharge_month, 0.0, 0.9),
            ("fade_year", self.fade_year, 0.0, 0.5),
            ("rest_a", self.rest_a, 0.0, 1e3),
            ("calls_day", self.calls_day, 0.0, counts::MEAN_MAX),
            ("calls_dispersion", self.calls_dispersion, 1.0, counts::DISPERSION_MAX),
            ("call_c", self.call_c, 0.0, most_c),
            ("pictures_day", self.pictures_day, 0.0, 1e6),
            ("picture_c", self.picture_c, 0.0, most_c),
            ("wakes_day", self.wakes_day, 0.0, counts::MEAN_MAX),
            ("wake_c", self.wake_c, 0.0, most_c),
            ("joins_day", self.joins_day, 0.0, 1e6),
            ("join_c", self.join_c, 0.0, most_c),
            ("charge_per_sun", self.charge_per_sun, 0.0, 1e3),
            ("start_day", self.start_day as f64, 0.0, (DAYS - 1) as f64),
            ("years", f64::from(self.years), 1.0, f64::from(YEARS_MAX)),
            ("pack.series", self.pack.series, 1.0, 100.0),
            ("pack.parallel", self.pack.parallel, 1.0, 100.0),
            ("pack.cell_r25_ohm", self.pack.cell_r25_ohm, 0.0, 1e3),
            ("pack.activation_j_mol", self.pack.activation_j_mol, 0.0, 1e5),
            // Below 1 a month's end would no longer be its hardest day.
            ("pack.aged_factor", self.pack.aged_factor, 1.0, 100.0),
            ("pack.wire_ohm", self.pack.wire_ohm, 0.0, 1e3),
            ("burst.current_a", self.burst.current_a, 0.0, 1e3),
            ("burst.power_w", self.burst.power_w, 0.0, 1e5),
            ("burst.least_v", self.burst.least_v, 0.01, 1e3),
        ] {
            OutOfRange::check(what, value, low, high)?;
        }
        Ok(())
    }

    /// Charge of everything that is the same every day, in C a day.
    fn steady_c_day(&self) -> f64 {
        self.rest_a * DAY_S + self.pictures_day * self.picture_c + self.joins_day * self.join_c
    }

    /// Mean charge of everything that is drawn, in C a day.
    pub fn mean_c_day(&self) -> f64 {
        self.steady_c_day() + self.calls_day * self.call_c + self.wakes_day * self.wake_c
    }

    /// State of charge at which the pack is empty at this temperature and age.
    pub fn empty_soc(&self, temp_k: f64, age_s: f64) -> f64 {
        let factor = resistance::cold_factor(self.pack.activation_j_mol, temp_k)
            * resistance::age_factor(self.pack.aged_factor, age_s);
        let burst_soc = end_soc(&self.pack, &self.burst, factor);
        burst_soc.max((1.0 - capacity::cold_share(self.pack.data, temp_k)) * self.cold_loss)
    }
}

/// What one day brings.
struct Today {
    calls: f64,
    wakes: f64,
    /// The day's sun over its mean.
    sky: f64,
}

/// One life of the station.
///
/// [`Luck::Mean`] is deterministic. [`Luck::History`] is a function of its number: callers and sky come from
/// streams of their own, so that adding a panel does not change who calls.
///
/// # Errors
///
/// [`OutOfRange`] names the field; NaN is out of every range.
pub fn run(input: &EnergyInput<'_>, luck: Luck) -> Result<Run, OutOfRange> {
    follow(input, luck, |_, _| {})
}

/// The same life with somebody looking on: `seen` is told each day lived through, from 1, and the state of charge at its
/// end.
///
/// # Errors
///
/// As [`run`].
pub fn follow(input: &EnergyInput<'_>, luck: Luck, seen: impl FnMut(usize, f64)) -> Result<Run, OutOfRange> {
    input.check()?;
    let Luck::History(history) = luck else {
        let today = || Today { calls: input.calls_day, wakes: input.wakes_day, sky: 1.0 };
        return Ok(walk(input, today, seen));
    };
    let calls = Counts::new(input.calls_day, input.calls_dispersion)?;
    let wakes = Counts::new(input.wakes_day, 1.0)?;
    let mut people = Stream::new(mix(history, 1));
    // Callers and false wakes share one draw of bits: 32 each.
    let mut people_today = move || {
        let bits = people.bits();
        (f64::from(calls.pick((bits >> 32) as u32)), f64::from(wakes.pick(bits as u32)))
    };
    if input.charge_per_sun == 0.0 {
        let today = || {
            let (calls, wakes) = people_today();
            Today { calls, wakes, sky: 1.0 }
        };
        return Ok(walk(input, today, seen));
    }
    let mut sky = Sky::new(mix(history, 2));
    let today = || {
        let (calls, wakes) = people_today();
        Today { calls, wakes, sky: sky.day() }
    };
    Ok(walk(input, today, seen))
}

/// The days one after another. Kept free of luck, so that nominal and drawn lives cannot differ in anything else.
fn walk(input: &EnergyInput<'_>, mut today: impl FnMut() -> Today, mut seen: impl FnMut(usize, f64)) -> Run {
    let season = input.season;
    let data = input.pack.data;
    let sun_j_m2 = if data.charges_in_frost { season.sun_j_m2() } else { season.sun_above_frost_j_m2() };
    let charge_per_sun = if data.chargeable { input.charge_per_sun } else { 0.0 };
    let days = input.years as usize * DAYS;
    let mut month_low_soc = [f64::NAN; 12];
    let (mut soc, mut kept_capacity) = (input.start_soc, 1.0_f64);
    let (mut lived, mut day) = (0, input.start_day);
    let mut ended = None;

    while lived < days && ended.is_none() {
        let month = season::month_of(day);
        let length = (MONTH_STARTS[month + 1] - day).min(days - lived);
        // What changes slowly is settled once a month: capacity, self-discharge, and a bound that no day of the
        // month exceeds, so that the exact end is worked out only for days that come near it.
        let speed = season.ageing_speed(month);
        kept_capacity = (kept_capacity - input.fade_year / 365.0 * speed * length as f64).max(0.01);
        let kept_charge = 1.0 - (input.self_discharge_month / ageing::MONTH_DAYS * speed).min(1.0);
        let soc_per_c = 1.0 / (input.capacity_c * kept_capacity);
        let steady_soc = input.steady_c_day() * soc_per_c;
        let (call_soc, wake_soc) = (input.call_c * soc_per_c, input.wake_c * soc_per_c);
        let sun_soc = charge_per_sun * soc_per_c;
        let bound_soc = input.empty_soc(season.month_coldest_k(month), (lived + length) as f64 * DAY_S);
        let mut low_soc = month_low_soc[month];

        for (i, &sun) in sun_j_m2[day..day + length].iter().enumerate() {
            let drawn = today();
            let before_soc = soc;
            soc = soc * kept_charge - (steady_soc + drawn.calls * call_soc + drawn.wakes * wake_soc);
            low_soc = low_soc.min(soc);
            if soc < bound_soc {
                let empty_soc = input.empty_soc(season.min_k()[day + i], (lived + i) as f64 * DAY_S);
                if soc < empty_soc {
                    // Within the day in proportion; at once when the cold came down on a charge that was enough.
                    let share = ((before_soc - empty_soc) / (before_soc - soc)).clamp(0.0, 1.0);
                    ended = Some(((lived + i) as f64 + share) * DAY_S);
                    break;
                }
            }
            soc = (soc + sun_soc * sun * drawn.sky).min(1.0);
            seen(lived + i + 1, soc);
        }
        month_low_soc[month] = low_soc;
        lived += length;
        day = (day + length) % DAYS;
    }

    let worst_month = (0..12)
        .filter(|&m| !month_low_soc[m].is_nan())
        .min_by(|&a, &b| month_low_soc[a].total_cmp(&month_low_soc[b]));
    Run {
        end_s: ended.unwrap_or(days as f64 * DAY_S),
        censored: ended.is_none(),
        month_low_soc,
        worst_month: worst_month.unwrap_or(0),
        last_soc: soc,
    }
}

#[cfg(test)]
mod tests;
