//! A touch plate before it is built: capacitances, how far the count moves on a touch, whether noise and sleep allow it.
//!
//! [`capacitance`] from geometry, [`path`] through finger, body and earth, [`count`] by the chip's law, [`expected`] with spread,
//! [`noise`] beside it, [`timing`] of a press and of a sleeping station. Readings of a plate that exists are another
//! matter: they replace all of this.
//!
//! Left out: the plate's own edge field beyond what is named, water films, moving wires. Capacitances in F.

pub mod capacitance;
pub mod count;
pub mod expected;
pub mod noise;
pub mod path;
#[cfg(test)]
mod tests;
pub mod timing;
