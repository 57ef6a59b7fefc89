//! How many pictures a second, and how old the one is that arrives.
//!
//! A chain of links, each with its own rate: sensor readout, exposure, encoding, copying, uplink. The slowest one
//! limits; all are told. Rates here are what the hardware *can* do: nothing lowers another budget's wish (the heat
//! budget's allowed duty is a second number beside this one). Pictures taken at rest and pictures during a call are
//! separate ([`moment`]).

pub mod chain;
pub mod moment;
pub mod readout;
pub mod uplink;
