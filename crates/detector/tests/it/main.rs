//! The detector from outside: against its own C form, every short sequence, and laws.

mod c;
mod laws;
mod short;
