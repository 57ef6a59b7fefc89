//! Integration tests of the station crate, one binary.

mod hostile;
mod sheets;
