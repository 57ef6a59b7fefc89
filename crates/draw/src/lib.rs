//! An assessment and its station drawn: the sheet of a terminal, and SVG.
//!
//! Pure functions from results to text. Nothing here computes a figure, reads a file or knows a command.

mod axis;
pub mod board;
pub mod card;
pub mod cells;
pub mod circuit;
pub mod compare;
pub mod door;
pub mod drawings;
pub mod feed;
pub mod ground;
pub mod heat;
mod layout;
pub mod light;
pub mod margins;
pub mod paint;
pub mod radio;
pub mod recording;
mod sheet;
pub mod svg;
pub mod template;
pub mod terminal;
pub mod timing;
pub mod wiring;
pub mod works;
pub mod wrap;
