//! How much of the time a station may stream before a part reaches its limit.
//!
//! Streaming comes in stretches of a given length, so the hottest moment is the end of one. Its temperature is the
//! steady state of the mean load, solved with all its bends, plus the ripple of the stretches around that mean, by the
//! network's modes: for a mode of rate λ, stretches of s seconds at duty d end at (1 - e^(-λs))/(1 - e^(-λs/d)) of full
//! streaming (the steady beat of a switched linear network; derived). Both rise with d, so T(d) = limit is one bracketed root.

use super::case::{Loads, Outside};
use super::network::Network;
use super::transient::Model;
use super::{NODES, Temps};

/// Width at which the root is found, as a share of time.
const SHARE_STEP: f64 = 1e-5;
/// A margin that counts as none, K.
const MARGIN_STILL_K: f64 = 1e-3;

/// What [`Beat::allowed`] found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Duty {
    /// Greatest share of time in which it may stream: 1 without end, 0 not for one stretch.
    pub share: f64,
    /// Temperatures at the end of a stretch at that share, °C (at share 0: of a single stretch out of rest).
    pub temps: Temps,
}

/// A station that rests and streams in turn under one weather.
#[derive(Clone, Copy, Debug)]
pub struct Beat<'a> {
    /// The network.
    pub network: &'a Network,
    /// Its model, taken near the streaming state.
    pub model: &'a Model<'a>,
    /// Loads between the stretches.
    pub rest: &'a Loads,
    /// Loads in a stretch.
    pub streaming: &'a Loads,
    /// Length of one stretch of streaming, s; above 0. A call is 30 s (10..90), typical, from memory.
    pub stretch_s: f64,
    /// The weather; usually the worst hour of the design days.
    pub outside: &'a Outside,
}

impl Beat<'_> {
    /// Temperatures at the end of a stretch at duty `share` (0 to 1), °C.
    pub fn hottest(&self, share: f64, guess: &Temps) -> Temps {
        let mean = self.rest.toward(self.streaming, share);
        let mut temps = self.network.settle_from(guess, &mean, self.outside);
        let (rest_w, streaming_w) = (self.rest.by_node(), self.streaming.by_node());
        let modes = &self.model.modes;
        for (rate_s, shape) in modes.rate_s.iter().zip(&modes.shape) {
            let decay = rate_s * self.stretch_s;
            let end =
                if share > 0.0 { (-decay).exp_m1() / (-decay / share).exp_m1() } else { -(-decay).exp_m1() };
            let drive: f64 = (0..NODES).map(|i| shape[i] * (streaming_w[i] - rest_w[i])).sum();
            let ripple = drive / rate_s * (end - share);
            for (temp, shape) in temps.iter_mut().zip(shape) {
                *temp += ripple * shape;
            }
        }
        temps
    }

    /// The greatest duty at which `margin_k` of the hottest moment stays at or above 0.
    ///
    /// - `margin_k`: room left, falling as temperatures rise, such as [`super::limits::Limits::least`].
    pub fn allowed(&self, guess: &Temps, margin_k: impl Fn(&Temps) -> f64) -> Duty {
        let full = self.hottest(1.0, guess);
        let full_k = margin_k(&full);
        if full_k >= 0.0 {
            return Duty { share: 1.0, temps: full };
        }
        let single = self.hottest(0.0, &full);
        let single_k = margin_k(&single);
        if single_k < 0.0 {
            return Duty { share: 0.0, temps: single };
        }
        // Illinois variant of false position (Dowell and Jarratt, BIT 11 (1971) 168): keeps the bracket, and the margin is
        // nearly straight in the share.
        let (mut low, mut high) = ((0.0, single_k), (1.0, full_k));
        let mut held = 0;
        let mut best = Duty { share: 0.0, temps: single };
        while high.0 - low.0 > SHARE_STEP {
            let share = (low.0 * high.1 - high.0 * low.1) / (high.1 - low.1);
            let temps = self.hottest(share, &best.temps);
            let left_k = margin_k(&temps);
            best = Duty { share, temps };
            if left_k.abs() < MARGIN_STILL_K {
                return best;
            }
            // An end that stays twice running is given half its weight, so that it is left sooner.
            if left_k > 0.0 {
                low = (share, left_k);
                held = if held > 0 { held + 1 } else { 1 };
                if held > 1 {
                    high.1 *= 0.5;
                }
            } else {
                high = (share, left_k);
                held = if held < 0 { held - 1 } else { -1 };
                if held < -1 {
                    low.1 *= 0.5;
                }
            }
        }
        best
    }
}
