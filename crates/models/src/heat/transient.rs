//! The same network in time: a design day, a long call from rest, minutes until a limit.
//!
//! [`Model`] is a network with its slopes and modes taken at one state; what the slopes miss elsewhere is carried as a source
//! ([`super::exponential`]), so one model serves a whole day. Over a day with sun and loads that jump, against SciPy
//! at 1e-10 (`checks/`): within 0.001 K at steps of a second, 0.005 K at a minute. [`Model::day`] takes ten minutes under
//! constant loads: within 0.1 K around the peak, 0.3 K while the sun leaves the wall (tested against steps of 20 s).

use super::case::{Loads, Outside};
use super::exponential::{Modes, Stepper};
use super::network::{Frozen, Network};
use super::weather::DesignDay;
use super::{NODES, Node, Temps};

/// Steps an hour on a day.
const DAY_STEPS: usize = 6;
/// A long call: first step, growth, longest step and the time after which nothing rises any more, s.
const CALL_FIRST_S: f64 = 20.0;
const CALL_GROWTH: f64 = 1.5;
const CALL_LONGEST_S: f64 = 1_200.0;
const CALL_HORIZON_S: f64 = 24.0 * 3_600.0;

/// A network with slopes and modes taken at one state.
#[derive(Clone, Debug, PartialEq)]
pub struct Model<'a> {
    network: &'a Network,
    frozen: Frozen,
    /// The decays; rates in 1/s.
    pub modes: Modes<NODES>,
}

/// A day in time.
#[derive(Clone, Debug, PartialEq)]
pub struct DayRun {
    /// Temperatures at the middle of each hour.
    pub hours: [Temps; 24],
    /// The highest that each node reaches, between the hours too.
    pub peak: Temps,
    /// The hour in whose neighbourhood the chip is hottest.
    pub hottest_hour: usize,
}

impl Network {
    /// A model at a state, usually a steady one near what will be asked.
    pub fn model_at(&self, temps: &Temps, air_c: f64) -> Model<'_> {
        let frozen = self.freeze(temps, air_c);
        Model { network: self, frozen, modes: Modes::new(self.capacity_j_k(), &self.matrix_w_k(&frozen)) }
    }
}

impl Model<'_> {
    /// The step of `step_s` seconds for [`Self::step`].
    pub fn stepper(&self, step_s: f64) -> Stepper<NODES> {
        self.modes.stepper(step_s)
    }

    /// One step, with loads constant in it and the outside running straight from `from` to `to`.
    #[inline]
    pub fn step(
        &self,
        stepper: &Stepper<NODES>,
        temps: &Temps,
        loads_w: &[f64; NODES],
        from: &Outside,
        to: &Outside,
    ) -> Temps {
        let at_start = self.network.sources_w(temps, loads_w, from, &self.frozen);
        stepper.step(temps, &at_start, |end| self.network.sources_w(end, loads_w, to, &self.frozen))
    }

    /// Loads by node, as [`Self::step`] takes them.
    pub fn loads_w(loads: &Loads) -> [f64; NODES] {
        loads.by_node()
    }

    /// A day under constant loads, from the steady state of its first hour: at night a small case has forgotten the day
    /// before.
    pub fn day(&self, loads: &Loads, day: &DesignDay) -> DayRun {
        let loads_w = loads.by_node();
        let stepper = self.stepper(3_600.0 / DAY_STEPS as f64);
        let mut temps = self.network.settle(loads, &day.hours[0]);
        let mut run = DayRun { hours: [temps; 24], peak: temps, hottest_hour: 0 };
        for (hour, pair) in day.hours.windows(2).enumerate() {
            let mut from = pair[0];
            for part in 1..=DAY_STEPS {
                let to = pair[0].toward(&pair[1], part as f64 / DAY_STEPS as f64);
                temps = self.step(&stepper, &temps, &loads_w, &from, &to);
                from = to;
                if temps[Node::Chip as usize] > run.peak[Node::Chip as usize] {
                    run.hottest_hour = hour + usize::from(2 * part > DAY_STEPS);
                }
                for (peak, temp) in run.peak.iter_mut().zip(&temps) {
                    *peak = peak.max(*temp);
                }
            }
            run.hours[hour + 1] = temps;
        }
        run
    }

    /// Temperatures every `step_s` seconds, `count` times, under constant loads and weather.
    pub fn call(
        &self,
        start: &Temps,
        loads: &Loads,
        outside: &Outside,
        step_s: f64,
        count: usize,
    ) -> Vec<Temps> {
        let loads_w = loads.by_node();
        let stepper = self.stepper(step_s);
        let mut temps = *start;
        (0..count)
            .map(|_| {
                temps = self.step(&stepper, &temps, &loads_w, outside, outside);
                temps
            })
            .collect()
    }

    /// Seconds until `margin_k` of the temperatures first falls to 0; 0 when it starts there; None within a day.
    ///
    /// - `margin_k`: room left, positive while all is well, such as [`super::limits::Limits::least`].
    pub fn time_to(
        &self,
        start: &Temps,
        loads: &Loads,
        outside: &Outside,
        margin_k: impl Fn(&Temps) -> f64,
    ) -> Option<f64> {
        let loads_w = loads.by_node();
        if margin_k(start) <= 0.0 {
            return Some(0.0);
        }
        let (mut temps, mut time_s, mut step_s) = (*start, 0.0, CALL_FIRST_S);
        while time_s < CALL_HORIZON_S {
            let next = self.step(&self.stepper(step_s), &temps, &loads_w, outside, outside);
            if margin_k(&next) <= 0.0 {
                // Steps of any length are at hand, so the crossing is found inside the step by halving it.
                let (mut low_s, mut high_s) = (0.0, step_s);
                while high_s - low_s > 0.25 {
                    let middle_s = f64::midpoint(low_s, high_s);
                    let at = self.step(&self.stepper(middle_s), &temps, &loads_w, outside, outside);
                    if margin_k(&at) <= 0.0 { high_s = middle_s } else { low_s = middle_s }
                }
                return Some(time_s + f64::midpoint(low_s, high_s));
            }
            time_s += step_s;
            temps = next;
            step_s = (step_s * CALL_GROWTH).min(CALL_LONGEST_S);
        }
        None
    }
}
