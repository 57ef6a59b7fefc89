//! Cells: what a chemistry holds, how it resists, and when it is empty for a station.
//!
//! A cell is empty when it cannot carry a burst, not when it reaches a printed cut-off. So the pieces are an
//! open-circuit curve ([`ocv`]), a resistance that grows in the cold and with age ([`resistance`]), the state of
//! charge at which the burst fails ([`burst`]), what capacity is left by rate and temperature ([`capacity`]) and
//! what time takes ([`ageing`]). [`chemistry`] holds the numbers, one record a chemistry. Peukert's law is in
//! [`peukert`], for lead-acid and for its published example only. Nothing here steps through days: see
//! [`crate::energy`].

pub mod ageing;
pub mod burst;
pub mod capacity;
pub mod chemistry;
pub mod ocv;
pub mod peukert;
pub mod resistance;
