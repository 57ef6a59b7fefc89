//! Where the resistance between chip and air is, and what each measure would bring.
//!
//! The shares are those of one more watt in the chip: the sun has no part in them. If most lies between case and air, a sink
//! on the chip gains little. The measures are not estimated from the shares but computed anew, network and all.

use super::case::{Board, Case, Loads, Outside, Vent};
use super::dense::solve;
use super::network::Network;
use super::{NODES, Node, Temps};
use crate::out_of_range::OutOfRange;

/// Kelvin for one more watt in the chip, along the way out; the sum is the chip's whole resistance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Resistances {
    /// Chip above board, K/W.
    pub chip_to_board_k_w: f64,
    /// Board above the air inside, K/W.
    pub board_to_inside_k_w: f64,
    /// Air inside above the case's face, K/W.
    pub inside_to_case_k_w: f64,
    /// Case above outside, K/W.
    pub case_to_outside_k_w: f64,
}

impl Resistances {
    /// Chip to outside, K/W.
    pub fn total_k_w(&self) -> f64 {
        self.each_k_w().iter().sum()
    }

    /// The four as shares of the whole, in the order of the fields; they sum to 1.
    pub fn shares(&self) -> [f64; 4] {
        let total = self.total_k_w();
        self.each_k_w().map(|k_w| k_w / total)
    }

    fn each_k_w(&self) -> [f64; 4] {
        [self.chip_to_board_k_w, self.board_to_inside_k_w, self.inside_to_case_k_w, self.case_to_outside_k_w]
    }
}

impl Network {
    /// Resistances around a steady state.
    pub fn resistances(&self, temps: &Temps, air_c: f64) -> Resistances {
        let mut watt = [0.0; NODES];
        watt[Node::Chip as usize] = 1.0;
        let rise = solve(self.matrix_w_k(&self.freeze(temps, air_c)), watt);
        let at = |node: Node| rise[node as usize];
        Resistances {
            chip_to_board_k_w: at(Node::Chip) - at(Node::Board),
            board_to_inside_k_w: at(Node::Board) - at(Node::Inside),
            inside_to_case_k_w: at(Node::Inside) - at(Node::Case),
            case_to_outside_k_w: at(Node::Case),
        }
    }
}

/// Everything that a steady state hangs on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Situation {
    /// The case.
    pub case: Case,
    /// The board.
    pub board: Board,
    /// Its loads.
    pub loads: Loads,
    /// The weather.
    pub outside: Outside,
}

impl Situation {
    /// Its steady temperatures, °C.
    ///
    /// # Errors
    /// [`OutOfRange`] names the first number outside the model.
    pub fn settle(&self) -> Result<Temps, OutOfRange> {
        Ok(Network::new(&self.case, &self.board)?.settle(&self.loads, &self.outside))
    }
}

/// One thing that could be done.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Measure {
    /// A sink on the chip, into the air inside, K/W: 45 (35..70) for 14 mm.
    Sink(f64),
    /// A pad from chip to case, K/W: 10 for 15 by 15 by 5 mm of 2 W/(m K), computed.
    Pad(f64),
    /// Openings, one low, one high.
    Vent(Vent),
    /// This share of the load above rest is left: a lower frame rate.
    LowerRate {
        /// Load at rest.
        rest: Loads,
        /// Share of the way from rest to the load, 0 to 1.
        share: f64,
    },
    /// Another colour: absorptance, 0 to 1.
    Colour(f64),
    /// A roof or board that lets through this share of the sun, 0 to 1.
    Shade(f64),
    /// A switching regulator: this share of the linear one's heat is left.
    Switching(f64),
}

impl Measure {
    /// The situation with the measure taken.
    #[must_use]
    pub fn taken(&self, before: &Situation) -> Situation {
        let mut after = *before;
        match *self {
            Self::Sink(k_w) => after.board.sink_k_w = Some(k_w),
            Self::Pad(k_w) => after.board.pad_k_w = Some(k_w),
            Self::Vent(vent) => after.case.vent = Some(vent),
            Self::LowerRate { rest, share } => after.loads = rest.toward(&before.loads, share),
            Self::Colour(absorptance) => after.case.absorptance = absorptance,
            Self::Shade(open) => {
                after.outside.lit_w *= open;
                after.outside.wall_w_m2 *= open;
            }
            Self::Switching(share) => after.loads.regulator_w *= share,
        }
        after
    }

    /// Kelvin that the measure takes off each node (negative where it adds).
    ///
    /// # Errors
    /// [`OutOfRange`] names the first number outside the model.
    pub fn gain_k(&self, before: &Situation) -> Result<Temps, OutOfRange> {
        let (was, is) = (before.settle()?, self.taken(before).settle()?);
        Ok(std::array::from_fn(|i| was[i] - is[i]))
    }
}
