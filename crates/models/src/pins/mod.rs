//! Can this board be wired at all, and how best?
//!
//! Facts of a chip, a board and its demands go in; an assignment of least cost, proven, comes out, or the smallest
//! set of facts that cannot stand together. Beside it stand the single rules of the trade (straps, timers, boot, sleep,
//! back-feed, control bus, ribbon, touch neighbours), each a pure function with a typed result.
//!
//! Nothing here knows a plan, a sheet, a budget, or a sentence: results carry the facts from which others write one.
//!
//! Start at [`Case`]: it joins a [`board::Board`] and a list of [`demand::Demand`]s and answers every question about them.

pub mod back_feed;
pub mod board;
pub mod boot;
pub mod camera;
mod case;
mod conflict;
pub mod control_bus;
pub mod demand;
mod layout;
pub mod level;
mod matching;
pub mod neighbour;
pub mod ribbon;
pub mod sample;
mod search;
mod sides;
pub mod sleep;
pub mod strap;
pub mod timers;
mod trouble;
mod unusable;

pub use case::{Alternative, Case, Line, Most, Outcome, Solved, Wiring, assign};
pub use conflict::{Conflict, Fact, Need, Relaxation};
pub use trouble::Trouble;
pub use unusable::{Unusable, WantedBy};

/// Most pins, and most demands, of one board: a set of either is the bits of one `u64`.
pub const PINS_MAX: usize = 64;
