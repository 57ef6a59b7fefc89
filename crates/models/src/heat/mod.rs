//! How hot a station gets: from the chip through the board and the case to the air, the wall behind and the sky.
//!
//! Six lumps ([`Node`]) joined by conductances. The inside of a small case conducts and radiates ([`gap`]); the outside
//! loses heat by natural convection ([`convection`]) and radiation ([`radiation`]), solved together; the sun falls on the
//! case and on the wall behind it ([`weather`]). [`network`] holds the balance, [`steady`] solves it, [`transient`] follows it
//! in time, [`duty`] finds how much streaming it stands, [`limits`] says which part gives way first, [`shares`] where the
//! resistance is and what a change buys. [`dew`] asks the opposite: when the window is too cold.
//!
//! Left out, all on the hot side: wind, rain on the case, the lag of a heavy wall, air that circulates inside a large case
//! (flagged, not modelled). Left out on the cool side: sun through the window, heat from a lamp beside the lens. Nothing
//! here knows a plan or a verdict.
//!
//! Temperatures are °C, powers W, conductances W/K, capacities J/K. Read before changing: Incropera and DeWitt,
//! *Fundamentals of Heat and Mass Transfer*, chapters 5 and 9 (formulas from memory, values checked in `checks/`).

pub mod air;
pub mod case;
pub mod convection;
mod dense;
pub mod dew;
pub mod duty;
pub mod exponential;
pub mod gap;
pub mod limits;
pub mod network;
pub mod radiation;
pub mod shares;
pub mod steady;
#[cfg(test)]
mod tests;
pub mod transient;
pub mod weather;

/// How many lumps the network has.
pub const NODES: usize = 6;

/// 0 °C, K.
pub const ZERO_C_K: f64 = 273.15;

/// A lump of one temperature; `as usize` is its place in [`Temps`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Node {
    /// Chip with radio, under its lid; a sink's mass is with it.
    Chip,
    /// The regulator, where (V_in - V_out)·I becomes heat.
    Regulator,
    /// Image sensor with its lens holder.
    Sensor,
    /// Board, with everything else that is soldered to it.
    Board,
    /// Air inside the case, and the cells that lie in it.
    Inside,
    /// Outer face of the case: what a hand touches.
    Case,
}

impl Node {
    /// All of them, in the order of [`Temps`].
    pub const ALL: [Self; NODES] =
        [Self::Chip, Self::Regulator, Self::Sensor, Self::Board, Self::Inside, Self::Case];
}

/// One temperature a node, °C; index with `Node::Chip as usize`.
pub type Temps = [f64; NODES];
