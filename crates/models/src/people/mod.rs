//! Who comes to the door: how tall they are, where their faces are, where they stand.
//!
//! Adults from a survey of 2010-2012, children from growth charts, people in a wheelchair or on a seat, and the mix of
//! them that a door sees. Metres above the ground. Nothing here knows of cameras.

pub mod adults;
pub mod children;
pub mod head;
pub mod mix;
pub mod standing;

/// Sex, as the body measures are tabulated.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Sex {
    /// Female.
    Woman,
    /// Male.
    Man,
}
