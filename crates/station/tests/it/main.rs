//! Integration tests of the station crate, one binary.

mod edit;
mod ground;
mod hostile;
mod plan;
mod sheets;
