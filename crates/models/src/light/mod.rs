//! On which hours of the year a face can be told: light on the face, light on the sensor, and what stands in the way.
//!
//! Three questions, each with its own files. *How much light is there?* [`daylight`] turns the site year into
//! illuminance at 35,040 quarter hours, [`twilight`] carries on below the horizon, [`surround`] brings it to a face
//! that looks at a wall, [`lamp`] and [`infrared`] add ours. *How much is needed?* [`sensor`] counts electrons,
//! [`exposure`] is the loop that nobody chooses, [`face`] solves for the least illuminance at which a feature stands out
//! of the noise. *How often is it there?* [`sky`] sorts the year once, so that one draw costs one search.
//! Beside them: [`glare`], [`flicker`], [`ghost`], [`obscured`].
//!
//! # How they combine
//!
//! Daylight and lamp add up, and a lamp switches on when day does not suffice. With `needed_lux` from
//! [`exposure::Camera::needed_lux`] and the lamp's `lamp_lux` on the face, the reached share is
//! `sky.share_at_least(needed_lux - lamp_lux)`, less `sky.backlit_share(...)` for the hours by day whose background is
//! brighter than [`exposure::Camera::most_backlight`] permits. A draw whose porch passes `p` times the light that the
//! [`sky::Sky`] was made with asks for `(needed_lux - lamp_lux) / p`.
//!
//! Illuminance is lux on a plane, never "brightness". Left out: colour, the moon's phases, sky luminance that is not
//! even, a tree's moving shade, snow, and faces that look aside. Nothing here knows a plan, a limit or a word for users.

pub mod calls;
pub mod daylight;
pub mod exposure;
pub mod face;
pub mod flicker;
pub mod ghost;
pub mod glare;
pub mod infrared;
pub mod lamp;
pub mod obscured;
pub mod photometry;
pub mod sensor;
pub mod sky;
pub mod surround;
#[cfg(test)]
mod tests;
pub mod twilight;
