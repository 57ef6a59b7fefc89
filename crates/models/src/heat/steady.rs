//! Where the temperatures settle while loads and weather stay.
//!
//! Newton's method on the balance: slopes frozen at the last guess, one symmetric solve, until the guess stands still.
//! Every path passes more heat the warmer its warm end, so there is one answer; from 30 K off it takes four to six steps.

use super::case::{Loads, Outside};
use super::dense::solve;
use super::network::{Frozen, Network};
use super::{NODES, Temps};

/// Steps at most: far more than any permitted network needs (tested by its balance).
const STEPS_MAX: usize = 60;
/// The guess stands still, K.
const STILL_K: f64 = 1e-7;

impl Network {
    /// Steady temperatures, °C.
    pub fn settle(&self, loads: &Loads, outside: &Outside) -> Temps {
        self.settle_from(&[outside.air_c + 15.0; NODES], loads, outside)
    }

    /// The same from a guess: quicker where a neighbour's answer is at hand.
    pub fn settle_from(&self, guess: &Temps, loads: &Loads, outside: &Outside) -> Temps {
        let loads_w = loads.by_node();
        let mut temps = *guess;
        for _ in 0..STEPS_MAX {
            let frozen = self.freeze(&temps, outside.air_c);
            let next = solve(self.matrix_w_k(&frozen), self.sources_w(&temps, &loads_w, outside, &frozen));
            let moved_k = temps.iter().zip(&next).fold(0.0, |most: f64, (a, b)| most.max((a - b).abs()));
            temps = next;
            if moved_k < STILL_K {
                break;
            }
        }
        temps
    }

    /// How far each node is from balance, W: zero where [`Self::settle`] ended.
    pub fn imbalance_w(&self, temps: &Temps, loads: &Loads, outside: &Outside) -> [f64; NODES] {
        let frozen = Frozen { outer_w_k: 0.0, inner_w_k: 0.0, vent_w_k: 0.0 };
        let a = self.matrix_w_k(&frozen);
        let f = self.sources_w(temps, &loads.by_node(), outside, &frozen);
        std::array::from_fn(|i| f[i] - a[i].iter().zip(temps).map(|(a, t)| a * t).sum::<f64>())
    }
}
