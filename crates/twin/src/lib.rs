//! What a real station would give, made from the plan's physics and a seed, with the truth beside it.
//!
//! Whoever estimates something from readings needs readings of which the answer is known. They are made here, and this
//! crate knows nothing of any estimator. Pure: settings and a seed in, readings out; no clock, no file.

mod chance;
pub mod plate;
