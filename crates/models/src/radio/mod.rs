//! Does the radio carry: loss on the way, received power both ways, rate, air left, rules of the network.
//!
//! Two spreads are kept apart. What is not known of this place (shadowing, antenna, walls) is a fixed number in one
//! build and comes in as an argument; what varies from minute to minute (fading) is averaged here by fixed quadrature.
//! 2.4 GHz, 802.11n, one stream, 20 MHz. Powers are dBm and dB, as in every source; all else is SI. How long joining
//! takes is in [`crate::timing::join`], the window of a connection in [`crate::frames::uplink`]; which rate is wanted
//! nothing here knows.

pub mod air;
pub mod antenna;
pub mod channel;
pub mod clock;
mod complex;
pub mod link;
pub mod loss;
pub mod place;
pub mod policy;
pub mod rate;
pub mod slab;
