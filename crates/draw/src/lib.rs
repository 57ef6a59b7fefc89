//! An assessment and its station drawn: the sheet of a terminal, and SVG.
//!
//! Pure functions from results to text. Nothing here computes a figure, reads a file or knows a command.

pub mod board;
pub mod card;
pub mod compare;
pub mod light;
pub mod paint;
pub mod svg;
pub mod terminal;
pub mod wiring;
pub mod wrap;
