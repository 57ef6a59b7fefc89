//! Facts that contradict each other before any question is asked. Knows nothing of demands that cannot be served.

use std::fmt;

use super::PINS_MAX;
#[cfg(doc)]
use super::{board::Board, demand::Demand};

/// Why a board and its demands cannot be judged: the facts themselves contradict each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unusable {
    /// More than [`PINS_MAX`] pins.
    TooManyPins {
        /// How many.
        count: usize,
    },
    /// More than [`PINS_MAX`] demands.
    TooManyDemands {
        /// How many.
        count: usize,
    },
    /// Two pins of the chip have one number.
    SamePinTwice {
        /// The number.
        number: u8,
    },
    /// A number that the chip does not have.
    NoSuchPin {
        /// The number.
        number: u8,
        /// Where it stands.
        by: WantedBy,
    },
}

/// Where a pin number stands; each with its index in the list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WantedBy {
    /// [`Board::wired`].
    Wired(usize),
    /// [`Board::brought_out`].
    BroughtOut(usize),
    /// [`Board::pads`].
    Pad(usize),
    /// [`Demand::fixed`].
    Demand(usize),
}

impl fmt::Display for Unusable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Unusable::TooManyPins { count } => write!(f, "{count} pins, at most {PINS_MAX}"),
            Unusable::TooManyDemands { count } => write!(f, "{count} demands, at most {PINS_MAX}"),
            Unusable::SamePinTwice { number } => write!(f, "pin {number} stands twice"),
            Unusable::NoSuchPin { number, .. } => write!(f, "the chip has no pin {number}"),
        }
    }
}

impl std::error::Error for Unusable {}
