//! The physics and statistics of a door station as pure numbers: SI in, SI out.
//!
//! Every function here is checked against something outside the project (`checks/`). Nothing here knows plans, limits or
//! words for users; nothing reads a clock or a file; chance enters as a seed ([`luck`]). A number outside the range in
//! which a formula holds is refused ([`out_of_range`]), never extrapolated in silence.

// What is seen.
pub mod ground;
/// From a point before the door to a point in the picture: lens laws, pose, density, sharpness, the tape test.
pub mod optics;
/// Who comes to the door: stature, heads, standing places, the mix of callers.
pub mod people;
/// What a mounted camera sees of the people who call.
pub mod view;

// What the board does with it.
/// Frame rate, its limiting link, and the age of a picture.
pub mod frames;
/// Size of a JPEG frame from scene, quantiser number and picture size.
pub mod jpeg;
/// What picture a board can hold: buffers, free block, sessions, bus.
pub mod memory;
pub mod pins;

// What feeds it.
/// Cells: curves, resistance, the end of the burst, ageing.
pub mod cells;
/// Copper conductors: IEC 60228, gauge, computed.
pub mod conductor;
/// How long a station on cells lasts, day by day.
pub mod energy;
/// Feeding a station through wire: source, cable, regulator, capacitors, bell transformer.
pub mod supply;

// What happens to it.
pub mod hazard;
pub mod heat;
pub mod touch;

// How the call gets out.
/// Does the radio carry: loss, walls, rate, air left, rules of the network.
pub mod radio;
/// How soon somebody knows, and what works when something has failed.
pub mod timing;

// Where it hangs.
pub mod light;
/// One seeded site year of 8,760 hours: temperature, cloud, sun, humidity, rain, wind.
pub mod site;
/// Position of the sun, clear-sky irradiance, tilted planes.
pub mod sun;

// What all of them need.
/// Luck: one history of callers and weather, made from a seed.
pub mod luck;
/// One error for a number outside the range in which a formula holds.
pub mod out_of_range;
