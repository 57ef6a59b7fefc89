//! Measured data in, parameters out: what a recording says of a touch plate, and the detector that suits it.
//!
//! [`lines`] finds the readings in a log, [`plate`] tunes the detector to them. Pure: handed bytes, it reads no file and no
//! clock.

pub mod levels;
pub mod lines;
pub mod missed;
pub mod noise;
pub mod plate;
pub mod tail;
