//! What is allowed and not good about a choice, and what it costs. What is not allowed is a fact of a conflict instead.

use super::boot::BootVerdict;

/// Something about a choice that is allowed and not good.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trouble {
    /// The pin is a strap, and starts well with this load.
    Strap,
    /// The strap starts well, but not with every internal pull.
    ThinStrap,
    /// The pin is the console's, or prints text at boot.
    Console,
    /// The load may flash or flicker until the program runs.
    BootGlitch(BootVerdict),
    /// The pin is on no connector: solder to a pad.
    Pad,
    /// A plate on a long track: centimetres begun.
    LongLead {
        /// Length in centimetres, rounded up.
        centimetres: u8,
    },
    /// A plate beside a fast line of the camera bus.
    BesideCamera,
    /// A part of the board is on the pin too.
    SharedPin,
    /// A plate beside the PWM of this demand.
    BesidePwm {
        /// Index of that demand.
        demand: usize,
    },
}

impl Trouble {
    /// What it costs, in points. This project's own judgement of how much trouble each makes; no source.
    pub fn cost(self) -> u32 {
        match self {
            Trouble::Strap => 40,
            Trouble::ThinStrap | Trouble::BesideCamera => 20,
            Trouble::Console => 30,
            Trouble::BootGlitch(_) | Trouble::SharedPin => 15,
            Trouble::Pad => 25,
            Trouble::LongLead { centimetres } => 2 * u32::from(centimetres),
            Trouble::BesidePwm { .. } => 10,
        }
    }
}
