//! What the plan wants from pins.

use super::level::{Level, Load};
use super::sleep::WakeOn;

/// What a demand is for. Only its [`Needs`] decide; the kind is for the reader.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DemandKind {
    /// The touch electrode that a caller presses.
    Plate,
    /// A lamp that tells the caller something.
    StatusLamp,
    /// Lights the face at night; heats.
    InfraredLamp,
    /// Tells that somebody is near.
    PresenceSensor,
    /// Measures the battery.
    CellSense,
    /// A buzzer or speaker.
    Sounder,
    /// A switch that opens with the case.
    Tamper,
    /// Rings the old chime.
    ChimeRelay,
    /// Switches a camera or regulator off.
    PowerDown,
    /// Anything else, by name.
    Other(String),
}

/// How fast a PWM signal runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Rate {
    /// Always this many hertz: may share a timer with an equal rate.
    Fixed(u32),
    /// Changes while it runs (tones): needs a timer of its own.
    Moving,
}

impl Rate {
    /// Whether one timer can serve both.
    pub fn shares_with(self, other: Rate) -> bool {
        self == other && self != Rate::Moving
    }
}

/// When an analogue reading is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AnalogueUse {
    /// Only while the radio is off.
    RadioOff,
    /// Also while the radio is on.
    RadioOn,
}

/// How much it matters that a load stays off from reset to the first line of the program.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum QuietAtBoot {
    /// Not at all (inputs).
    #[default]
    Any,
    /// A flash at start is ugly (lamps): a cost.
    Prefers,
    /// It moves, releases, rings or heats: a hard rule.
    Must,
}

/// The electrical needs of a demand.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Needs {
    /// Is read.
    pub input: bool,
    /// Is driven.
    pub output: bool,
    /// Is measured.
    pub analogue: Option<AnalogueUse>,
    /// Is a touch electrode.
    pub touch: bool,
    /// Is dimmed or sounds.
    pub pwm: Option<Rate>,
    /// Ends deep sleep.
    pub wake: Option<WakeOn>,
    /// Must rest at this level in deep sleep.
    pub hold: Option<Level>,
    /// Must stay off until the program runs.
    pub quiet_at_boot: QuietAtBoot,
    /// Needs an internal pull: `High` is a pull-up.
    pub pull: Option<Level>,
}

/// One signal that wants a pin.
#[derive(Clone, Debug, PartialEq)]
pub struct Demand {
    /// What it is for.
    pub kind: DemandKind,
    /// What the pin must be able to do.
    pub needs: Needs,
    /// What it hangs on the pin.
    pub load: Load,
    /// The level that switches it on.
    pub active: Level,
    /// The pin that the user has fixed.
    pub fixed: Option<u8>,
    /// Wire from the pin's place to the part, in metres; counted for touch electrodes, whose lead is part of them.
    pub lead_m: f64,
}

impl Demand {
    /// A demand with these needs, nothing hanging on it, active high, free to go anywhere.
    pub fn new(kind: DemandKind, needs: Needs) -> Self {
        Self { kind, needs, load: Load::default(), active: Level::High, fixed: None, lead_m: 0.0 }
    }
}
