//! Measured data in, parameters out: what a recording says of a touch plate, and the detector that suits it.
//!
//! Start at [`levels`]: idle, touched, and which samples are which. No input or output, no clock.

pub mod levels;
pub mod missed;
pub mod noise;
pub mod plate;
pub mod tail;
