//! Measured data in, parameters out. Pure: it is handed bytes, and reads no file and no clock.

pub mod lines;
