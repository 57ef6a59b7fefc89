//! models (being written)
/// Position of the sun, clear-sky irradiance, tilted planes.
pub mod sun;
/// From a point before the door to a point in the picture: lens laws, pose, density, sharpness, the tape test.
pub mod optics;
/// Who comes to the door: stature, heads, standing places, the mix of callers.
pub mod people;
/// What a mounted camera sees of the people who call.
pub mod view;
/// One error for a number outside the range in which a formula holds.
pub mod out_of_range;
/// Luck: one history of callers and weather, made from a seed.
pub mod luck;
/// Copper conductors: IEC 60228, gauge, computed.
pub mod conductor;
/// Feeding a station through wire: source, cable, regulator, capacitors, bell transformer.
pub mod supply;
/// Cells: curves, resistance, the end of the burst, ageing.
pub mod cells;
/// How long a station on cells lasts, day by day.
pub mod energy;
pub mod pins;
/// One seeded site year of 8,760 hours: temperature, cloud, sun, humidity, rain, wind.
pub mod site;
/// Size of a JPEG frame from scene, quantiser number and picture size.
pub mod jpeg;
/// Frame rate, its limiting link, and the age of a picture.
pub mod frames;
/// What picture a board can hold: buffers, free block, sessions, bus.
pub mod memory;
/// The standard bell curve.
pub mod bell;
