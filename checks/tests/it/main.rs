//! Checks of our numbers against what others printed or computed; see `checks/README.md` for the list.
//!
//! Tests that call a reference library in Python are `#[ignore = "calls a Python peer"]`, and `cargo xtask test` runs
//! them with the environment that it makes.

mod cells;
mod conductors;
mod energy;
mod ground;
mod heat;
mod hostile_input;
mod lens_laws;
mod light;
mod memory_facts;
mod people;
mod picture_detail;
mod pin_optimum;
mod radio;
mod site_sun;
mod station_link;
mod stream_sizes;
mod supply;
mod tails;
mod timing;
mod touch;
mod tuning;
