//! Names of pins, demands and troubles, as sentences need them.

use crate::physics::Wiring;
use models::pins::Trouble;
use models::pins::board::Taken;
use models::pins::boot::BootVerdict;
use models::pins::demand::{DemandKind, Rate};
use models::pins::level::{Level, Load};
use station::parts::{BoardParts, Demand, holder};

/// `the touch plate`, `the status lamp`: a demand by its name in the plan.
pub(crate) fn the(demand: &Demand) -> String {
    // Alone, "plate" reads as number plate.
    if demand.name == "plate" && demand.demand.kind == DemandKind::Plate {
        return "the touch plate".into();
    }
    format!("the {}", demand.name.replace(['_', '-'], " "))
}

/// `pins.plate`: where the plan says it.
pub(crate) fn path(demand: &Demand) -> String {
    format!("pins.{}", demand.name)
}

/// `a`, `a and b`, `a, b and c`.
pub(crate) fn and(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// `IO4`, `IO4 and IO13`; more than six are counted.
pub(crate) fn pins(numbers: &[u8]) -> String {
    if numbers.len() > 6 {
        return format!("{} pins", count(numbers.len()));
    }
    and(&numbers.iter().map(|number| format!("IO{number}")).collect::<Vec<_>>())
}

/// As [`and`], from the sixth on only counted: `a, b, c, d and three more`.
pub(crate) fn some(items: &[String]) -> String {
    if items.len() <= 5 {
        return and(items);
    }
    format!("{} and {} more", items[..4].join(", "), count(items.len() - 4))
}

/// `low` or `high`.
pub(crate) fn level(level: Level) -> &'static str {
    match level {
        Level::Low => "low",
        Level::High => "high",
    }
}

/// `one`, `two` … to twelve, then figures.
pub(crate) fn count(number: usize) -> String {
    const WORDS: [&str; 13] = [
        "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
        "twelve",
    ];
    WORDS.get(number).map_or_else(|| number.to_string(), |word| (*word).to_string())
}

/// The first letter as a capital.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A part of the board by what it is, or by its name in the sheet.
pub(crate) fn wired(board: &BoardParts, index: usize) -> String {
    match board.board.wired[index].part {
        Taken::Other(_) => format!("the board's {}", board.wired_names[index].replace('_', " ")),
        part => holder(part),
    }
}

/// Everything that hangs on a pin.
pub(crate) struct Hanging<'a> {
    /// What each hangs there, in the order of `names`.
    pub(crate) loads: Vec<&'a Load>,
    /// Who.
    pub(crate) names: Vec<String>,
    /// The demands among them, by index.
    pub(crate) demands: Vec<usize>,
}

/// What hangs on a pin: parts of the board, then demands.
pub(crate) fn hanging<'a>(
    board: &'a BoardParts,
    demands: &'a [Demand],
    wiring: &'a Wiring,
    pin: u8,
) -> Hanging<'a> {
    let mut found = Hanging { loads: Vec::new(), names: Vec::new(), demands: Vec::new() };
    for (index, part) in board.board.wired.iter().enumerate().filter(|(_, part)| part.pin == pin) {
        found.loads.push(&part.load);
        found.names.push(wired(board, index));
    }
    for (demand, _) in wiring.pins().filter(|(_, at)| *at == pin) {
        found.loads.push(&wiring.wanted[demand].load);
        found.names.push(the(&demands[demand]));
        found.demands.push(demand);
    }
    found
}

/// A note on a line of the wiring, in a few words.
pub(crate) fn trouble(trouble: Trouble, pin: u8, demands: &[Demand], board: &BoardParts) -> String {
    let strap = board.board.chip.pins.iter().find(|p| p.number == pin).and_then(|p| p.strap.as_ref());
    match trouble {
        Trouble::Strap => match strap.and_then(|strap| strap.needs) {
            Some(needs) => format!("strap: must be {} at reset, and is with this", level(needs)),
            None => "strap: the board starts either way".into(),
        },
        Trouble::ThinStrap => "strap: right by a narrow margin; a pull of 4.7 to 10 kΩ makes it sure".into(),
        Trouble::Console => "console: prints or reads text at the start".into(),
        Trouble::BootGlitch(BootVerdict::Active) => "on from reset until the program runs".into(),
        Trouble::BootGlitch(BootVerdict::ConsoleText) => "flickers with the start text".into(),
        Trouble::BootGlitch(_) => "may glow or flicker until the program runs".into(),
        Trouble::Pad => "on no connector: solder to its pad".into(),
        Trouble::LongLead { centimetres } => {
            let lead = demands.iter().find(|demand| demand.demand.needs.touch);
            let lead = lead.map_or(String::new(), |demand| {
                format!("lead {} from the board, ", quantity::show(demand.demand.lead_m, "m"))
            });
            let from_pin = quantity::show(f64::from(centimetres) * 0.01, "m");
            format!("{lead}{from_pin} from the pin with the board's track")
        }
        Trouble::BesideCamera => "beside a fast camera line: noisy while streaming".into(),
        Trouble::SharedPin => {
            let others: Vec<String> = (0..board.board.wired.len())
                .filter(|&index| board.board.wired[index].pin == pin)
                .map(|index| wired(board, index))
                .collect();
            format!("shares the pin with {}", and(&others))
        }
        Trouble::BesidePwm { demand } => {
            format!("beside {}, which is dimmed: noisy then", the(&demands[demand]))
        }
    }
}

/// `5 kHz`, or `tones`.
pub(crate) fn rate(rate: Rate) -> String {
    match rate {
        Rate::Fixed(hz) => quantity::show(f64::from(hz), "Hz"),
        Rate::Moving => "tones".into(),
    }
}
