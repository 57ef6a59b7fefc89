//! Measured data in, parameters out: what a recording says of a touch plate, and the detector that suits it.
//!
//! [`lines`] finds the readings in a log, [`levels`] tells idle from touched, [`tail`] how often noise alone goes deep,
//! [`missed`] how often a press does not go deep enough, [`plate`] chooses the detector. Pure: handed bytes, it reads no
//! file and no clock.

mod counted;
pub mod events;
pub mod levels;
pub mod lines;
pub mod missed;
pub mod moments;
pub mod noise;
pub mod pareto;
pub mod plate;
pub mod recording;
pub mod replay;
pub mod share;
pub mod tail;
pub mod verdict;
