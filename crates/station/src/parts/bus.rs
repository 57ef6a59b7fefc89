//! What is wrong with a camera bus, in words.

use models::pins::board::Taken;
use models::pins::camera::{BusProblem, CameraSignal, StrayBecause};

/// What was found, and what to do about it.
pub fn says(problem: &BusProblem) -> (String, &'static str) {
    let line = line_name;
    match problem {
        BusProblem::Missing(signal) => {
            (format!("the camera bus has no {}", line(*signal)), "add it: without it there is no picture")
        }
        BusProblem::TooManyData { found, stray, pin, because } => (
            format!(
                "{found} numbers for eight data lines: {} on IO{pin} is the likely stray one, {}",
                line(*stray),
                because_of(*because)
            ),
            "take it out and count again, D0 first",
        ),
        BusProblem::TwoPins { signal, pins } => (
            format!("{} has {} pins: {}", line(*signal), pins.len(), list(pins)),
            "keep the one that the board really uses",
        ),
        BusProblem::SamePin { pin, signals } => {
            let signals: Vec<String> = signals.iter().map(|signal| line(*signal)).collect();
            (
                format!("IO{pin} is given to {}", signals.join(" and ")),
                "a pin carries one line of the camera bus",
            )
        }
        BusProblem::NotOnChip { signal, pin } => (
            format!("{} is on IO{pin}, which the chip does not have", line(*signal)),
            "compare with the board's drawing",
        ),
        BusProblem::CannotBeRead { signal, pin } => (
            format!("{} is on IO{pin}, which cannot be read", line(*signal)),
            "compare with the board's drawing",
        ),
        BusProblem::CannotBeDriven { signal, pin } => (
            format!("{} is on IO{pin}, which can only be read", line(*signal)),
            "compare with the board's drawing",
        ),
        BusProblem::Held { signal, pin, by } => (
            format!("{} is on IO{pin}, which {} uses", line(*signal), holder(*by)),
            "compare with the board's drawing",
        ),
    }
}

fn because_of(because: StrayBecause) -> String {
    match because {
        StrayBecause::NotOnChip => "because the chip has no such pin".into(),
        StrayBecause::CannotBeRead => "because that pin cannot be read".into(),
        StrayBecause::TakenBy(by) => format!("because {} uses that pin", holder(by)),
        StrayBecause::AlsoServes(other) => format!("because that pin is also {}", line_name(other)),
        StrayBecause::Repeats(line) => format!("because D{line} has that pin already"),
        StrayBecause::BeyondTheEighth => "because it stands beyond the eighth".into(),
    }
}

/// A line of the bus as the trade writes it.
pub fn line_name(signal: CameraSignal) -> String {
    match signal {
        CameraSignal::Data(line) => format!("D{line}"),
        CameraSignal::Vsync => "VSYNC".into(),
        CameraSignal::Href => "HREF".into(),
        CameraSignal::Pclk => "PCLK".into(),
        CameraSignal::Xclk => "XCLK".into(),
        CameraSignal::SccbClock => "SCCB clock".into(),
        CameraSignal::SccbData => "SCCB data".into(),
        CameraSignal::Reset => "RESET".into(),
        CameraSignal::PowerDown => "PWDN".into(),
    }
}

/// Who holds a pin, in words.
pub fn holder(taken: Taken) -> String {
    match taken {
        Taken::Flash => "the program's flash".into(),
        Taken::ExtraMemory => "the extra memory".into(),
        Taken::Console => "the console".into(),
        Taken::Usb => "USB".into(),
        Taken::Card => "the memory card".into(),
        Taken::Camera(signal) => format!("the camera's {}", line_name(signal)),
        Taken::Lamp => "the board's lamp".into(),
        Taken::Button => "the board's button".into(),
        Taken::Sensor => "a sensor on the board".into(),
        Taken::Other(_) => "another part of the board".into(),
    }
}

fn list(pins: &[u8]) -> String {
    pins.iter().map(|pin| format!("IO{pin}")).collect::<Vec<_>>().join(", ")
}
