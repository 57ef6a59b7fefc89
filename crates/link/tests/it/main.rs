//! One binary for all tests of the station's link.

mod board;
mod explore;
mod hostile;
mod messages;
mod presses;
mod settings;
mod signs;
