//! Tuning from outside: recordings with known truth.

mod levels;
mod plate;
mod tail;
