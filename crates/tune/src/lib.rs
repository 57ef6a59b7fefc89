//! Measured data in, parameters out: what a recording says of a touch plate, and the detector that suits it.
//!
//! [`lines`] finds the readings in a log, [`levels`] tells idle from touched, [`tail`] how often noise alone goes deep,
//! [`plate`] chooses the detector. Pure: handed bytes, it reads no file and no clock.
//!
//! No command reaches it yet. What is known to be wrong in [`plate`]: on a day of the twin with rain and sleeves it takes films
//! of water for presses and settles on a baseline that is too slow, and with fewer than ten peaks its upper bound is that of
//! the rule of three, while its mean is 0.

pub mod levels;
pub mod lines;
pub mod missed;
pub mod moments;
pub mod noise;
pub mod pareto;
pub mod plate;
pub mod share;
pub mod tail;
