//! From a station to verdicts (being written).
pub mod draws;
