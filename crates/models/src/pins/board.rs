//! Chip and board as facts: what each pin can do, what holds it already, where it comes out.

use super::camera::CameraSignal;
use super::level::{Level, Load};
use super::sleep::{WakeSet, WakeTable};

/// One pin of a chip.
#[derive(Clone, Debug, PartialEq)]
pub struct Pin {
    /// Its number in the chip's own counting.
    pub number: u8,
    /// Can be read.
    pub input: bool,
    /// Can drive.
    pub output: bool,
    /// Has an internal pull-up.
    pub pull_up: bool,
    /// Has an internal pull-down.
    pub pull_down: bool,
    /// Its analogue input, if any.
    pub analogue: Option<AnalogueInput>,
    /// Its touch channel, if any.
    pub touch: Option<u8>,
    /// How a PWM signal reaches it, if at all.
    pub pwm: Option<PwmRoute>,
    /// The kinds of event at this pin that end deep sleep.
    pub wakes: WakeSet,
    /// Keeps its level in deep sleep (always-on domain with hold).
    pub holds_in_sleep: bool,
    /// What it does from reset to the first line of the program, 0.2 to 1 s (typical, from memory).
    pub boot: BootState,
    /// Sampled at reset, if it is.
    pub strap: Option<Strap>,
    /// Used by something that belongs to the chip or its module.
    pub taken: Option<Taken>,
    /// Place around the package, so that neighbours are known.
    pub package_position: Option<u8>,
}

impl Pin {
    /// A pin for reading and writing, with pulls and freely routed PWM, floating at boot, and nothing else.
    pub fn plain(number: u8) -> Self {
        Self {
            number,
            input: true,
            output: true,
            pull_up: true,
            pull_down: true,
            analogue: None,
            touch: None,
            pwm: Some(PwmRoute::Any),
            wakes: WakeSet::default(),
            holds_in_sleep: false,
            boot: BootState::Floats,
            strap: None,
            taken: None,
            package_position: None,
        }
    }
}

/// An analogue input: which converter, which of its channels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct AnalogueInput {
    /// Number of the converter.
    pub unit: u8,
    /// Channel of that converter.
    pub channel: u8,
}

/// How PWM reaches a pin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PwmRoute {
    /// From any timer, through the chip's switch matrix.
    Any,
    /// From this timer only.
    Timer(u8),
}

/// A pin between reset and the first line of the program.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BootState {
    /// High impedance, no pull.
    Floats,
    /// Internal pull-up on.
    PulledUp,
    /// Internal pull-down on.
    PulledDown,
    /// Prints text: it toggles.
    ConsoleText,
}

/// A pin whose level at reset decides how the chip starts.
#[derive(Clone, Debug, PartialEq)]
pub struct Strap {
    /// The level for a normal start; `None` when either starts, with some other effect.
    pub needs: Option<Level>,
    /// The chip's own pull at reset: `High` is a pull-up.
    pub pull: Option<Level>,
    /// Id of the text that says what goes wrong otherwise.
    pub otherwise: String,
}

/// Who holds a pin already.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Taken {
    /// The program's flash memory.
    Flash,
    /// Extra memory.
    ExtraMemory,
    /// The serial console: may be given up, at a cost.
    Console,
    /// Native USB.
    Usb,
    /// A memory card.
    Card,
    /// A line of the camera bus.
    Camera(CameraSignal),
    /// A lamp on the board.
    Lamp,
    /// A button on the board.
    Button,
    /// A sensor or amplifier on the board.
    Sensor,
    /// Anything else; the number tells several apart.
    Other(u8),
}

/// A part that the board has wired to a pin.
#[derive(Clone, Debug, PartialEq)]
pub struct Wired {
    /// Pin number.
    pub pin: u8,
    /// What it is.
    pub part: Taken,
    /// Whether a demand may use the pin beside it (a lamp or button that can be left alone).
    pub shares: bool,
    /// What it hangs on the pin.
    pub load: Load,
}

/// A pin on a connector.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BroughtOut {
    /// Pin number.
    pub pin: u8,
    /// Which connector.
    pub connector: u8,
    /// Which place on it; places that differ by one are neighbours.
    pub position: u8,
    /// Track from chip to connector, in metres.
    pub track_m: f64,
}

/// The PWM unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PwmUnit {
    /// Timers; each runs at one rate.
    pub timers: u8,
    /// Channels; each pin with PWM takes one.
    pub channels: u8,
}

/// A chip, with what it has beside pins.
#[derive(Clone, Debug, PartialEq)]
pub struct Chip {
    /// All pins, each number once, at most [`super::PINS_MAX`].
    pub pins: Vec<Pin>,
    /// Supply of the pins in volts.
    pub vdd_v: f64,
    /// Timers and channels.
    pub pwm: PwmUnit,
    /// Control-bus ports.
    pub control_bus_ports: u8,
    /// Serial ports.
    pub serial_ports: u8,
    /// Camera (parallel capture) units.
    pub camera_units: u8,
    /// Analogue converters that cannot be used while the radio is on.
    pub radio_blocks: Vec<u8>,
    /// Which wake sources there are and which exclude each other.
    pub wake: WakeTable,
}

/// The camera clock, made by a PWM timer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CameraClock {
    /// The timer that makes it.
    pub timer: u8,
    /// Its rate in hertz.
    pub hz: u32,
}

/// A board: a chip, and what its maker did with the pins.
#[derive(Clone, Debug, PartialEq)]
pub struct Board {
    /// The chip.
    pub chip: Chip,
    /// Parts already on pins.
    pub wired: Vec<Wired>,
    /// Pins on connectors.
    pub brought_out: Vec<BroughtOut>,
    /// Pins that can be soldered to, but are on no connector.
    pub pads: Vec<u8>,
    /// The camera clock, when a PWM timer makes it; takes that timer and one channel.
    pub camera_clock: Option<CameraClock>,
}
