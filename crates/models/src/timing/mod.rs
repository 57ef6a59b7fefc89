//! How soon somebody knows: a chain of steps, each a distribution of times, and what is left of it when parts fail.
//!
//! All of this is luck that is averaged: quantiles and shares come from convolution on a logarithmic grid
//! ([`grid`]), never from draws, so the same chain gives the same figure. Steps are independent only within one hidden
//! state of the house's network ([`chain::Weather`]). Nothing here knows what a sheet says a step takes, nor what is soon enough.

pub mod acknowledge;
pub mod chain;
pub mod connection;
pub mod dist;
pub mod grid;
pub mod join;
pub mod typical;
pub mod waiting;
pub mod works;
