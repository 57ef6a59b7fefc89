//! Feeding a station through wire: source, cable, protection, regulator, capacitors.
//!
//! Each file is one part of the way from the wall to the board, as plain numbers. What the numbers are judged
//! against (brown-out, ratings) is not decided here, and cells have a module of their own ([`crate::cells`]).

pub mod bell;
pub mod cable;
pub mod capacitor;
pub mod regulator;
pub mod source;
