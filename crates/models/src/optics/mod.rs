//! From a point before the door to a point in the picture, and back.
//!
//! Lens laws, the array behind the lens, the camera's pose on the wall, pixel density on a plane, sharpness and
//! the tape test that tells an unknown lens. All lengths are metres and all angles radians. Nothing here knows who
//! stands before the door ([`crate::people`]) or what is wanted of the picture ([`crate::view`]).
//!
//! # Frames
//!
//! - **door**: the origin is on the ground at the wall, below the place that callers face; `x` runs along the wall to
//!   the right *as a visitor who faces the wall sees it*, `y` up, `z` out of the wall towards the visitor.
//! - **camera**: the origin is the lens; `z` along its axis, `x` right and `y` down in the upright picture. A camera
//!   on the wall looks at the visitor, so its right is the visitor's left.
//! - **image**: metres on the array from its centre, `x` right and `y` down.
//!
//! Left out everywhere: decentred or tilted elements, the image circle's edge, and the way that a fisheye's
//! entrance pupil wanders with the angle (a millimetre or two, against faces at half a metre).

pub mod blur;
pub mod classes;
pub mod density;
pub mod focus;
pub mod imager;
pub mod kannala_brandt;
pub mod law;
pub mod pose;
pub mod tape;
pub mod window;
