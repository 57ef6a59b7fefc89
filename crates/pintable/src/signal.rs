//! The signals of a camera board and the names they go by.
//!
//! The names are the trade's own, gathered from memory: what sensor data sheets print beside the pads (Y2..Y9,
//! SIOC, XVCLK, PWDN) and what people call the same lines in their files (DATA0, CAM_PIN_D0, pixel clock).
//! A name is taken apart into words, words that only say "this is a camera's pin" are dropped, and what is left
//! is looked up whole: `LCD_D0` keeps its `lcd` and is therefore no camera line.

use std::fmt;

/// What a pin is for.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Signal {
    /// A camera data line, 0 to 7 as the board counts them; D0 is the sensor's Y2.
    Data(u8),
    /// Vertical sync: a frame begins.
    Vsync,
    /// Horizontal reference: a line is valid.
    Href,
    /// Pixel clock, from the sensor.
    Pclk,
    /// Master clock, to the sensor.
    Xclk,
    /// Control bus clock.
    SccbClock,
    /// Control bus data.
    SccbData,
    /// Sensor reset.
    Reset,
    /// Sensor power-down.
    PowerDown,
    /// The board's lamp.
    Lamp,
    /// The board's button.
    Button,
    /// Anything else, by the name it was given.
    Other(String),
}

impl Signal {
    /// The lines without which no picture leaves the sensor, in sheet order.
    pub fn bus_needed() -> impl Iterator<Item = Signal> {
        use Signal::{Data, Href, Pclk, SccbClock, SccbData, Vsync, Xclk};
        (0..8).map(Data).chain([Vsync, Href, Pclk, Xclk, SccbClock, SccbData])
    }

    /// True for the camera bus, its optional reset and power-down included.
    pub fn is_bus(&self) -> bool {
        !matches!(self, Signal::Lamp | Signal::Button | Signal::Other(_))
    }

    /// The key in a board sheet: `d0`, `vsync`, `sccb_clock`, `lamp`; other names in small letters, digits and `_`.
    ///
    /// ```
    /// assert_eq!(pintable::Signal::Data(3).key(), "d3");
    /// assert_eq!(pintable::Signal::Other("SD card/CMD".into()).key(), "sd_card_cmd");
    /// ```
    pub fn key(&self) -> String {
        match self {
            Signal::Data(line) => format!("d{line}"),
            Signal::Vsync => "vsync".into(),
            Signal::Href => "href".into(),
            Signal::Pclk => "pclk".into(),
            Signal::Xclk => "xclk".into(),
            Signal::SccbClock => "sccb_clock".into(),
            Signal::SccbData => "sccb_data".into(),
            Signal::Reset => "reset".into(),
            Signal::PowerDown => "power_down".into(),
            Signal::Lamp => "lamp".into(),
            Signal::Button => "button".into(),
            Signal::Other(name) => slug(name),
        }
    }

    /// The signal that a name means by itself, or `None` where no name of the trade fits.
    ///
    /// Numbered lines are read in their usual counting (D0..D7, Y2..Y9); [`crate::read`] looks at all the names
    /// of a table before it decides, because some count from 1 or call the first line Y0.
    ///
    /// ```
    /// use pintable::Signal;
    /// assert_eq!(Signal::recognise("CAM_PIN_D0"), Some(Signal::Data(0)));
    /// assert_eq!(Signal::recognise("Y2_GPIO_NUM"), Some(Signal::Data(0)));
    /// assert_eq!(Signal::recognise("LCD_D0"), None);
    /// ```
    pub fn recognise(name: &str) -> Option<Signal> {
        match named(name)? {
            Named::Numbered(Family::D, n @ 0..=7) => Some(Signal::Data(n)),
            Named::Numbered(Family::Y, n @ 2..=9) => Some(Signal::Data(n - 2)),
            Named::Plain(signal, _) => Some(signal),
            Named::Numbered(..) | Named::List(_) => None,
        }
    }
}

impl fmt::Display for Signal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Signal::Data(line) => write!(f, "D{line}"),
            Signal::Vsync => f.write_str("VSYNC"),
            Signal::Href => f.write_str("HREF"),
            Signal::Pclk => f.write_str("PCLK"),
            Signal::Xclk => f.write_str("XCLK"),
            Signal::SccbClock => f.write_str("SCCB clock"),
            Signal::SccbData => f.write_str("SCCB data"),
            Signal::Reset => f.write_str("RESET"),
            Signal::PowerDown => f.write_str("PWDN"),
            Signal::Lamp => f.write_str("the lamp"),
            Signal::Button => f.write_str("the button"),
            Signal::Other(name) => f.write_str(name),
        }
    }
}

/// Which of the two ways of counting data lines a name uses.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Family {
    /// D0, DATA0: the board's counting.
    D,
    /// Y2: the sensor's counting, where an eight-bit bus is the upper eight of ten lines.
    Y,
}

/// How sure a name is. A weak one gives way when a strong one stands beside it with another pin.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Strength {
    Weak,
    Strong,
}

/// In which order a list gives the data lines.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Order {
    Up,
    Down,
}

/// What a name says before its neighbours are known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Named {
    Numbered(Family, u8),
    Plain(Signal, Strength),
    List(Order),
}

/// A longer name is no name; it keeps the cost of hostile text linear.
pub(crate) const NAME_BYTES_MAX: usize = 64;

/// Words that say only that a camera's pin is meant.
const NOISE: [&str; 16] = [
    "cam", "camera", "csi", "dvp", "pin", "pins", "gpio", "num", "no", "nr", "number", "io", "signal",
    "line", "lines", "bus",
];

/// Words of other devices: `D0` under one of these is not the camera's.
const FOREIGN: [&str; 22] = [
    "sd",
    "sdmmc",
    "sdio",
    "sdcard",
    "lcd",
    "tft",
    "oled",
    "epd",
    "display",
    "screen",
    "spi",
    "i2s",
    "uart",
    "mic",
    "microphone",
    "usb",
    "flash",
    "psram",
    "eth",
    "ethernet",
    "imu",
    "touch",
];

/// Words that make a number beside them a pin even where the signal is unknown.
const PINNED: [&str; 32] = [
    "pin", "gpio", "io", "i2c", "speaker", "buzzer", "sounder", "relay", "motion", "pir", "plate", "tamper",
    "battery", "adc", "strobe", "servo", "rx", "tx", "miso", "mosi", "sck", "sclk", "cs", "ws", "bck",
    "bclk", "cmd", "chime", "bell", "led", "lamp", "button",
];

/// Words of settings: a number beside one of these counts something else than pins.
const COUNTED: [&str; 24] = [
    "count",
    "channel",
    "freq",
    "frequency",
    "hz",
    "khz",
    "mhz",
    "size",
    "width",
    "height",
    "rate",
    "max",
    "min",
    "ms",
    "level",
    "timer",
    "speed",
    "baud",
    "bits",
    "quality",
    "addr",
    "address",
    "port",
    "active",
];

/// The words of a name in small letters: `pinD0`, `CAM_PIN_D0` and `cam pin d0` end alike.
pub(crate) fn words(name: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut before = ' ';
    for c in name.chars() {
        let breaks = !c.is_ascii_alphanumeric() || (before.is_ascii_lowercase() && c.is_ascii_uppercase());
        if breaks && words.last().is_some_and(|w| !w.is_empty()) {
            words.push(String::new());
        }
        if let (true, Some(word)) = (c.is_ascii_alphanumeric(), words.last_mut()) {
            word.push(c.to_ascii_lowercase());
        }
        before = c;
    }
    words.retain(|w| !w.is_empty());
    words
}

/// What is left of a name when the words that carry no meaning are gone.
pub(crate) fn core(name: &str) -> String {
    words(name).into_iter().filter(|w| !NOISE.contains(&w.as_str())).collect()
}

/// True where a word of the name belongs to another device.
pub(crate) fn is_foreign(name: &str) -> bool {
    words(name).iter().any(|w| FOREIGN.contains(&w.as_str()))
}

/// True where the name itself says that a pin is meant.
pub(crate) fn says_pin(name: &str) -> bool {
    let words = words(name);
    !words.iter().any(|w| COUNTED.contains(&w.as_str()))
        && words.iter().any(|w| PINNED.contains(&w.as_str()) || FOREIGN.contains(&w.as_str()))
}

/// True for the supply rows of a pinout, which have no pin number.
pub(crate) fn is_supply(name: &str) -> bool {
    const SUPPLY: [&str; 14] = [
        "vcc", "vdd", "gnd", "ground", "3v3", "33v", "5v", "vin", "avdd", "dvdd", "dovdd", "iovdd", "agnd",
        "dgnd",
    ];
    SUPPLY.contains(&core(name).as_str())
}

/// What a name means: the whole of it, else the first of its alternatives (`HREF/HSYNC`, `D0 (Y2)`).
pub(crate) fn named(name: &str) -> Option<Named> {
    if name.len() > NAME_BYTES_MAX {
        return None;
    }
    named_whole(name).or_else(|| {
        let foreign = is_foreign(name);
        name.split(['/', '(', ')', ',', '|']).find_map(|part| if foreign { None } else { named_whole(part) })
    })
}

fn named_whole(name: &str) -> Option<Named> {
    let about_camera =
        words(name).iter().any(|w| matches!(w.as_str(), "cam" | "camera" | "csi" | "dvp" | "sccb" | "sscb"));
    let core = core(name);
    let plain =
        |signal, strength| Some(Named::Plain(signal, if about_camera { Strength::Strong } else { strength }));
    match core.as_str() {
        "vsync" => plain(Signal::Vsync, Strength::Strong),
        "vs" | "vsyn" | "verticalsync" => plain(Signal::Vsync, Strength::Weak),
        "href" | "horizontalreference" => plain(Signal::Href, Strength::Strong),
        // Not strengthened by "cam": a table with both CAM_HREF and CAM_HSYNC means the first.
        "hsync" | "hs" | "hsyn" | "horizontalsync" => Some(Named::Plain(Signal::Href, Strength::Weak)),
        "pclk" | "pixclk" | "pixelclk" | "pixelclock" | "pixclock" | "pclock" => {
            plain(Signal::Pclk, Strength::Strong)
        }
        "xclk" | "xvclk" | "xclock" => plain(Signal::Xclk, Strength::Strong),
        "mclk" | "sysclk" | "extclk" | "masterclock" | "mclock" => plain(Signal::Xclk, Strength::Weak),
        "sioc" | "sccbclk" | "sccbclock" | "sccbscl" | "sscbscl" | "sccbsioc" => {
            plain(Signal::SccbClock, Strength::Strong)
        }
        "scl" | "i2cscl" | "twiscl" | "i2cclk" | "i2cclock" => plain(Signal::SccbClock, Strength::Weak),
        "siod" | "sccbsda" | "sccbdata" | "sccbdat" | "sscbsda" | "sccbsiod" => {
            plain(Signal::SccbData, Strength::Strong)
        }
        "sda" | "i2csda" | "twisda" | "i2cdata" => plain(Signal::SccbData, Strength::Weak),
        "reset" | "rst" | "resetb" | "rstb" | "resetn" | "rstn" | "nreset" | "nrst" => {
            plain(Signal::Reset, Strength::Weak)
        }
        "pwdn" | "pwrdn" | "powerdown" | "powerdn" | "pwrdown" | "pdn" => {
            plain(Signal::PowerDown, Strength::Strong)
        }
        "lamp" | "flashled" | "ledflash" | "flashlamp" | "flashlight" | "torch" => {
            plain(Signal::Lamp, Strength::Strong)
        }
        "led" | "flash" | "light" => plain(Signal::Lamp, Strength::Weak),
        "button" | "btn" | "userbutton" => plain(Signal::Button, Strength::Strong),
        "bootbutton" | "userkey" => plain(Signal::Button, Strength::Weak),
        "data" | "d" | "y" | "d0d7" | "d0tod7" | "d07" | "data07" | "data0data7" | "y2y9" | "y2toy9" => {
            Some(Named::List(Order::Up))
        }
        "d7d0" | "d7tod0" | "d70" | "data70" | "data7data0" | "y9y2" | "y9toy2" => {
            Some(Named::List(Order::Down))
        }
        _ => numbered(&core),
    }
}

fn numbered(core: &str) -> Option<Named> {
    let digits_at = core.find(|c: char| c.is_ascii_digit())?;
    let (letters, digits) = core.split_at(digits_at);
    let family = match letters {
        "d" | "data" | "dat" | "sccbd" => Family::D,
        "y" => Family::Y,
        _ => return None,
    };
    // Two digits only from 10 up: `d07` is "D0-7" with its dash gone.
    let well_formed = digits.len() == 1 || (digits.len() == 2 && !digits.starts_with('0'));
    let number = digits.parse().ok().filter(|n| well_formed && *n <= 15)?;
    Some(Named::Numbered(family, number))
}

/// Small letters, digits and single underscores; "pin" where nothing is left.
fn slug(name: &str) -> String {
    let mut slug = String::new();
    for c in name.chars().take(NAME_BYTES_MAX) {
        if c.is_ascii_alphanumeric() {
            slug.push(c.to_ascii_lowercase());
        } else if !slug.is_empty() && !slug.ends_with('_') {
            slug.push('_');
        }
    }
    let slug = slug.trim_end_matches('_');
    if slug.is_empty() { "pin".into() } else { slug.into() }
}

#[cfg(test)]
mod tests {
    use super::Signal;

    #[test]
    fn names_of_the_trade_mean_what_data_sheets_say() {
        let table: [(&str, Option<Signal>); 40] = [
            ("D0", Some(Signal::Data(0))),
            ("Y2", Some(Signal::Data(0))),
            ("Y9_GPIO_NUM", Some(Signal::Data(7))),
            ("DATA0", Some(Signal::Data(0))),
            ("CAM_D7", Some(Signal::Data(7))),
            ("CSI_D3", Some(Signal::Data(3))),
            ("CAM_PIN_D0", Some(Signal::Data(0))),
            ("pin_d0", Some(Signal::Data(0))),
            ("pinD5", Some(Signal::Data(5))),
            ("data[4]", Some(Signal::Data(4))),
            ("D0 (Y2)", Some(Signal::Data(0))),
            ("VS", Some(Signal::Vsync)),
            ("HREF/HSYNC", Some(Signal::Href)),
            ("PIXCLK", Some(Signal::Pclk)),
            ("pixel clock", Some(Signal::Pclk)),
            ("XVCLK", Some(Signal::Xclk)),
            ("MCLK", Some(Signal::Xclk)),
            ("SYSCLK", Some(Signal::Xclk)),
            ("SIOC", Some(Signal::SccbClock)),
            ("SCCB_SCL", Some(Signal::SccbClock)),
            ("I2C_SCL", Some(Signal::SccbClock)),
            ("pin_sccb_sda", Some(Signal::SccbData)),
            ("SIOD_GPIO_NUM", Some(Signal::SccbData)),
            ("RESETB", Some(Signal::Reset)),
            ("CAM_RST", Some(Signal::Reset)),
            ("PWR_DN", Some(Signal::PowerDown)),
            ("POWER_DOWN", Some(Signal::PowerDown)),
            ("FLASH_LED", Some(Signal::Lamp)),
            ("LED_GPIO", Some(Signal::Lamp)),
            ("BUTTON", Some(Signal::Button)),
            ("LCD_D0", None),
            ("SD_D0", None),
            ("sd/d0", None),
            ("XCLK_FREQ", None),
            ("FLASH_CS", None),
            ("D16", None),
            ("Y0", None),
            ("", None),
            ("GPIO", None),
            ("D0-7", None),
        ];
        for (name, meaning) in table {
            assert_eq!(Signal::recognise(name), meaning, "{name}");
        }
    }
}
