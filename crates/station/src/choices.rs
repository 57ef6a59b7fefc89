//! The discrete values a plan can choose between: one enum a question, its names as written in the plan.
//!
//! Each enum is a [`Value`], so that a choice is read, set and varied through the same
//! field table as a number. Nothing here knows what a choice causes; that is the budgets' business.

use crate::fields::{Kind, Value};

macro_rules! choice {
    ($(#[$meta:meta])* $Name:ident { $($(#[$vmeta:meta])* $Variant:ident = $text:literal),+ $(,)? }) => {
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
        pub enum $Name { $($(#[$vmeta])* $Variant),+ }
        impl $Name {
            /// Every value, in the order of [`Self::NAMES`].
            pub const ALL: &'static [Self] = &[$(Self::$Variant),+];
            /// The words a plan uses.
            pub const NAMES: &'static [&'static str] = &[$($text),+];
            /// The word a plan uses for this value.
            pub fn name(self) -> &'static str { Self::NAMES[self as usize] }
        }
        impl Value for $Name {
            const KIND: Option<Kind> = Some(Kind::Choice { names: Self::NAMES });
            fn to_number(self) -> f64 { f64::from(self as u8) }
            fn from_number(number: f64) -> Self {
                Self::ALL.get(number as usize).copied().unwrap_or_default()
            }
        }
    };
}

choice!(
    /// What the frame buffers hold.
    PictureFormat {
        /// Compressed by the sensor.
        #[default] Jpeg = "jpeg",
        /// Two bytes a pixel; software must compress before sending.
        Raw = "raw",
    }
);
choice!(
    /// Which of the filled buffers a snapshot takes.
    Grab {
        /// Buffers are refilled without end; the newest is taken.
        Newest = "newest",
        /// Buffers are filled when empty; the oldest is taken.
        #[default] WhenEmpty = "when-empty",
    }
);
choice!(
    /// Where the frame buffers live.
    BufferPlace {
        /// In extra memory where the board has it, else inside the chip.
        #[default] BestFit = "best-fit",
        /// Inside the chip.
        Internal = "internal",
        /// In the board's extra memory.
        Extra = "extra",
    }
);
choice!(
    /// How the camera is turned about its own axis in the case.
    Mounting {
        /// As the sensor's long side is meant.
        #[default] Upright = "upright",
        /// Top of the picture to the left: the long side stands.
        QuarterLeft = "quarter-left",
        /// Top of the picture to the right: the long side stands.
        QuarterRight = "quarter-right",
        /// Upside down; the driver turns the picture.
        Over = "over",
    }
);
choice!(
    /// How the lens maps the angle from its axis to the picture; names as in optics.
    LensLaw {
        /// `r = f tan θ`; straight lines stay straight.
        #[default] Rectilinear = "rectilinear",
        /// `r = 2 f tan(θ/2)`.
        Stereographic = "stereographic",
        /// `r = f θ`.
        Equidistant = "equidistant",
        /// `r = 2 f sin(θ/2)`.
        Equisolid = "equisolid",
        /// `r = f sin θ`.
        Orthographic = "orthographic",
        /// Four-coefficient polynomial in θ, from a calibration.
        KannalaBrandt = "kannala-brandt",
    }
);
choice!(
    /// What the exposure loop looks at.
    Metering {
        /// The mean of the whole picture.
        #[default] Whole = "whole",
        /// Mostly the middle, where the face is.
        Centre = "centre",
    }
);
choice!(
    /// How the station spends the time between calls.
    Rest {
        /// Radio and camera on; answers at once.
        #[default] Awake = "awake",
        /// Joined to the network in light sleep; camera off.
        Joined = "joined",
        /// Deep sleep; the plate or a timer wakes it.
        Sleep = "sleep",
    }
);
choice!(
    /// What feeds the station.
    SupplyKind {
        /// Not said yet.
        #[default] Open = "open",
        /// A USB port of a computer or hub.
        Usb = "usb",
        /// A mains adapter with a direct-current output.
        Adapter = "adapter",
        /// A bell transformer, alternating current, rectified at the station.
        Bell = "bell",
        /// A power bank with its own converter and switch-off.
        Bank = "bank",
        /// Cells inside the station.
        Cells = "cells",
    }
);
choice!(
    /// What a USB source promises.
    UsbSource {
        /// 100 mA until configured.
        Unconfigured = "usb2-unconfigured",
        /// 500 mA.
        #[default] Usb2 = "usb2",
        /// 900 mA.
        Usb3 = "usb3",
        /// 1.5 A charging port.
        Charging = "charging-port",
        /// Type-C, 1.5 A.
        C15 = "c-1.5A",
        /// Type-C, 3 A.
        C30 = "c-3A",
    }
);
choice!(
    /// How a conductor is built; the classes of IEC 60228.
    WireClass {
        /// Solid.
        Solid = "solid",
        /// Stranded.
        Stranded = "stranded",
        /// Flexible.
        #[default] Flexible = "flexible",
    }
);
choice!(
    /// How a regulator turns its input into the rail.
    RegulatorKind {
        /// Burns the difference; draws the load's current.
        #[default] Linear = "linear",
        /// Converts; draws the load's power.
        Switching = "switching",
    }
);
choice!(
    /// What keeps reversed or alternating feed from killing the station.
    Polarity {
        /// Nothing.
        #[default] None = "none",
        /// One diode in series.
        Diode = "diode",
        /// Four diodes: either way round, alternating too.
        Bridge = "bridge",
        /// A transistor that hardly drops voltage.
        Transistor = "transistor",
    }
);
choice!(
    /// How a chip's touch channel counts.
    TouchLaw {
        /// Cycles in a fixed time: a touch makes the count fall.
        #[default] Falls = "falls",
        /// Time or charge: a touch makes it rise.
        Rises = "rises",
    }
);
choice!(
    /// What a bulk capacitor is made of.
    CapacitorKind {
        /// Loses capacitance under voltage.
        Ceramic = "ceramic",
        /// Series resistance rises in the cold.
        #[default] Electrolytic = "electrolytic",
    }
);
choice!(
    /// Cell chemistries with curves of their own.
    Chemistry {
        /// Zinc-manganese dioxide, alkaline, AA size.
        Alkaline = "alkaline-aa",
        /// Lithium-iron disulphide, AA size, primary.
        LithiumAa = "lithium-aa",
        /// Nickel-metal hydride, AA size.
        Nimh = "nimh-aa",
        /// Lithium-ion with nickel-manganese-cobalt cathode, round 18 x 65 mm.
        #[default] LiIon = "li-ion-18650",
        /// Lithium iron phosphate.
        LiFePo4 = "lifepo4",
        /// Lithium polymer pouch.
        LiPo = "lipo-pouch",
        /// Alkaline, D size.
        Lr20 = "alkaline-d",
        /// Lead-acid, sealed, 2 V a cell.
        LeadAcid = "lead-acid",
    }
);
choice!(
    /// How a panel's power reaches the cells.
    Charger {
        /// Passes the panel's current on at the cell's voltage.
        #[default] Linear = "linear",
        /// Searches the panel's best working point.
        Tracking = "tracking",
    }
);
choice!(
    /// What the camera looks at, for the size of its pictures.
    Scene {
        /// A plain wall or fence.
        Calm = "calm",
        /// A porch, yard or street with some detail.
        #[default] Yard = "yard",
        /// Leaves, gravel, hedges.
        Foliage = "foliage",
    }
);
choice!(
    /// Picture-detail classes by pixel density, IEC 62676-4. Each name belongs to one edition: the first six to that
    /// of 2014, the others to that of 2025, whose densities are from memory here.
    DetailClass {
        /// 2014: somebody may be there.
        Monitor = "monitor",
        /// 2014: somebody is there.
        Detect = "detect",
        /// 2014: what they do.
        Observe = "observe",
        /// 2014: a known person is recognised.
        Recognise = "recognise",
        /// 2014: an unknown person can be identified.
        #[default] Identify = "identify",
        /// 2014: beyond doubt.
        Inspect = "inspect",
        /// 2025, from memory.
        Overview = "overview",
        /// 2025, from memory.
        Outline = "outline",
        /// 2025, from memory.
        Discern = "discern",
        /// 2025, from memory.
        Perceive = "perceive",
        /// 2025, from memory.
        Characterise = "characterise",
        /// 2025, from memory.
        Validate = "validate",
        /// 2025, from memory.
        Scrutinise = "scrutinise",
    }
);
choice!(
    /// How the network is sought after it is lost.
    Retry {
        /// Every minute, without end.
        Steady = "steady",
        /// Twice as long each time, up to a quarter of an hour.
        #[default] BackOff = "back-off",
    }
);
choice!(
    /// What the window, if any, in front of the lens is.
    Filter {
        /// Infrared is cut: true colours by day, blind to an infrared lamp.
        #[default] Cut = "cut",
        /// No infrared filter.
        None = "none",
        /// Switched with the light.
        Switched = "switched",
    }
);
choice!(
    /// A fact about safety that is never assumed: until it is said, the answer is "cannot tell".
    Told {
        /// Not said.
        #[default] NotSaid = "not-said",
        /// It is not so.
        No = "no",
        /// It is so.
        Yes = "yes",
    }
);
choice!(
    /// What holds the door.
    LockKind {
        /// No lock that a call may open.
        #[default] None = "none",
        /// An electric strike on direct current.
        StrikeDc = "strike-dc",
        /// An electric strike on alternating current, the kind that hums.
        StrikeAc = "strike-ac",
        /// A holding magnet: power holds the door.
        Magnet = "magnet",
        /// A motor that draws the bolt.
        Motor = "motor",
    }
);
choice!(
    /// What the lock does without power; the maker's own decision.
    FailMode {
        /// Not said.
        #[default] NotSaid = "not-said",
        /// Fail-secure: it stays locked from outside.
        Secure = "secure",
        /// Fail-safe: it opens.
        Safe = "safe",
    }
);
choice!(
    /// How a person inside gets out.
    LockExit {
        /// Not said.
        #[default] NotSaid = "not-said",
        /// By one movement of a lever or bar, without key, power or network.
        Motion = "one-movement",
        /// By a switch that the electronics read.
        Switch = "switch",
        /// By a key or code.
        Key = "key",
        /// By this device.
        Station = "station",
    }
);
choice!(
    /// Where the unit hangs that switches the lock.
    ReleasePlace {
        /// Not said.
        #[default] NotSaid = "not-said",
        /// Inside, on the safe side of the door.
        Indoors = "indoors",
        /// Outside, within a stranger's reach.
        Outdoors = "outdoors",
    }
);
choice!(
    /// What one release does.
    ReleaseAct {
        /// Opens for some seconds, then locks again by itself.
        #[default] Timed = "timed",
        /// Changes between locked and open.
        Toggle = "toggle",
        /// Opens until a second message says otherwise.
        UntilTold = "until-told",
    }
);
choice!(
    /// What ends a release.
    ReleaseTimer {
        /// Not said.
        #[default] NotSaid = "not-said",
        /// A timer in hardware.
        Hardware = "hardware",
        /// A program under a watchdog that puts the output to rest.
        Watchdogged = "watchdogged",
        /// The program alone.
        Program = "program",
    }
);
choice!(
    /// What takes up the energy of the lock's coil.
    Suppressor {
        /// Not said.
        #[default] NotSaid = "not-said",
        /// Nothing.
        None = "none",
        /// A plain diode across the coil.
        Diode = "diode",
        /// A diode with a clamp of some volts: quicker.
        Clamp = "diode-and-clamp",
        /// A varistor: for either current.
        Varistor = "varistor",
        /// A resistor and a capacitor: for either current.
        Rc = "resistor-and-capacitor",
    }
);
choice!(
    /// By what a picture is told to be fresh when somebody releases.
    Freshness {
        /// By the station's capture counter within a signed message.
        #[default] Counter = "counter",
        /// By the time at which it arrived.
        Arrival = "arrival",
    }
);
choice!(
    /// What the credentials in the outdoor unit can do.
    Credentials {
        /// Press and show; revocable.
        #[default] PressOnly = "press-only",
        /// More than that.
        More = "more",
    }
);
choice!(
    /// How the supply keeps the mains away.
    Isolation {
        /// Not said.
        #[default] NotSaid = "not-said",
        /// A double-insulated safety supply.
        Double = "double-insulated",
        /// A bare converter without a case.
        OpenFrame = "open-frame",
        /// A capacitor in series: no isolation at all.
        Dropper = "capacitive-dropper",
    }
);
choice!(
    /// Where the cable runs.
    Route {
        /// Not said.
        #[default] NotSaid = "not-said",
        /// Inside all the way.
        Indoors = "indoors",
        /// At least partly in the open.
        Outdoors = "outdoors",
    }
);
choice!(
    /// Where a run is protected against surges.
    Surge {
        /// Not said.
        #[default] NotSaid = "not-said",
        /// Nowhere.
        None = "none",
        /// At one end.
        OneEnd = "one-end",
        /// At both ends.
        BothEnds = "both-ends",
    }
);
choice!(
    /// What water reaches the case.
    Exposure {
        /// Not said.
        #[default] NotSaid = "not-said",
        /// None.
        Indoors = "indoors",
        /// Spray under a roof.
        Sheltered = "sheltered",
        /// Rain and splashes.
        Rain = "rain",
        /// Rain driven by wind, or a jet.
        DrivingRain = "driving-rain",
        /// A strong jet.
        Hosed = "hosed",
    }
);
choice!(
    /// Protection of the case against water, the second digit of IEC 60529.
    Water {
        /// Not said.
        #[default] NotSaid = "not-said",
        /// None.
        X0 = "IPX0",
        /// Dripping.
        X1 = "IPX1",
        /// Dripping, tilted by 15°.
        X2 = "IPX2",
        /// Spraying.
        X3 = "IPX3",
        /// Splashing from all sides.
        X4 = "IPX4",
        /// Jets.
        X5 = "IPX5",
        /// Strong jets.
        X6 = "IPX6",
        /// Under water for a while; says nothing of jets.
        X7 = "IPX7",
        /// Under water; says nothing of jets.
        X8 = "IPX8",
    }
);

impl Told {
    /// Yes or no, where it was said.
    pub fn answer(self) -> Option<bool> {
        match self {
            Self::NotSaid => None,
            Self::No => Some(false),
            Self::Yes => Some(true),
        }
    }
}

choice!(
    /// What lies between the station and the access point.
    Building {
        /// A flat.
        Flat = "flat",
        /// A house.
        #[default] House = "house",
        /// Offices.
        Office = "office",
        /// Shops and halls.
        Commercial = "commercial",
        /// Nothing but outer walls: a yard.
        Open = "open",
    }
);
choice!(
    /// The station's antenna.
    Antenna {
        /// On the board, in the case.
        #[default] Printed = "printed",
        /// On a lead, outside the case.
        Outside = "outside",
    }
);
choice!(
    /// What the household's network asks of those who join.
    Security {
        /// WPA2.
        #[default] Wpa2 = "wpa2",
        /// WPA2 and WPA3 side by side.
        Both = "wpa2-wpa3",
        /// WPA3 alone.
        Wpa3 = "wpa3",
    }
);
choice!(
    /// What sounds in the house.
    Sounder {
        /// Not said yet.
        #[default] Open = "open",
        /// Nothing.
        None = "none",
        /// A page that is open and was touched once, told by the service.
        Page = "page",
        /// A device that the station tells over the house's network.
        Device = "device",
        /// A chime on a wire from the station.
        Chime = "chime",
    }
);
choice!(
    /// How a phone is told.
    Phone {
        /// Not at all.
        #[default] None = "none",
        /// By a notice through its maker's servers.
        Notice = "notice",
        /// By a page in the house's network.
        HomePage = "home-page",
    }
);

impl From<LensLaw> for models::optics::law::Law {
    fn from(law: LensLaw) -> Self {
        match law {
            LensLaw::Rectilinear => Self::Rectilinear,
            LensLaw::Stereographic => Self::Stereographic,
            LensLaw::Equidistant => Self::Equidistant,
            LensLaw::Equisolid => Self::Equisolid,
            LensLaw::Orthographic => Self::Orthographic,
            LensLaw::KannalaBrandt => Self::KannalaBrandt,
        }
    }
}

impl From<Chemistry> for models::cells::chemistry::Chemistry {
    fn from(chemistry: Chemistry) -> Self {
        match chemistry {
            Chemistry::Alkaline => Self::Alkaline,
            Chemistry::LithiumAa => Self::LithiumAa,
            Chemistry::Nimh => Self::Nimh,
            Chemistry::LiIon => Self::LiIon,
            Chemistry::LiFePo4 => Self::LiFePo4,
            Chemistry::LiPo => Self::LiPo,
            Chemistry::Lr20 => Self::Lr20,
            Chemistry::LeadAcid => Self::LeadAcid,
        }
    }
}
