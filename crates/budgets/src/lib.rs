//! From a station to verdicts: stages compute, rules judge, draws spread, remedies re-run.
//!
//! Start at [`physics`] (what feeds what), then [`rules`] (figures, limits, sentences), [`study`] (one nominal station
//! and many drawn ones), [`assessment`] (what faces show) and [`remedies`]. Pure: no clock, no file, no socket;
//! chance enters as a seed.

pub mod answers;
pub mod assessment;
pub mod circuit;
pub mod compare;
pub mod draws;
pub mod explain;
mod judge;
pub mod physics;
pub mod remedies;
pub mod rule;
pub mod rules;
pub mod series;
pub mod study;
pub mod wiring;
