//! The crate from outside: what people write, what they get told, and the laws that hold for all of it.

mod errors;
mod laws;
mod normal;
mod read;
mod show;
mod spread;
