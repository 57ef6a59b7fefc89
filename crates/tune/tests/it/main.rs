//! Tuning from outside: logs as people's programs print them, and recordings with known truth.

mod levels;
mod lines;
mod plate;
mod tail;
