//! The physics and statistics of a door station as pure numbers: SI in, SI out.
//!
//! Every function here is checked against something outside the project (`checks/`). Nothing here knows plans, limits or
//! words for users; nothing reads a clock or a file; chance enters as a seed ([`luck`]). A number outside the range in
//! which a formula holds is refused ([`out_of_range`]), never extrapolated in silence.

// What is seen.
pub mod ground;
pub mod optics;
pub mod people;
pub mod view;

// What the board does with it.
pub mod frames;
pub mod jpeg;
pub mod memory;
pub mod pins;

// What feeds it.
pub mod cells;
pub mod conductor;
pub mod energy;
pub mod supply;

// What happens to it.
pub mod hazard;
pub mod heat;
pub mod touch;

// How the call gets out.
pub mod radio;
pub mod timing;

// Where it hangs.
pub mod light;
pub mod site;
pub mod sun;

// What all of them need.
pub mod luck;
pub mod out_of_range;
