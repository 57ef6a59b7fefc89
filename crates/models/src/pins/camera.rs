//! The parallel camera bus: eight data lines, their clocks, and the control bus.
//!
//! Judges a list of (signal, pin) as somebody wrote it down. Names of signals in text, and their synonyms, are
//! another crate's business.

use super::board::{Chip, Taken};

/// A line of the camera bus. In the order in which lists are printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CameraSignal {
    /// Data line, 0 to 7. Higher numbers can be written down, and are a fault.
    Data(u8),
    /// Start of a frame.
    Vsync,
    /// Valid part of a line.
    Href,
    /// Pixel clock, from the sensor.
    Pclk,
    /// Master clock, to the sensor.
    Xclk,
    /// Clock of the control bus.
    SccbClock,
    /// Data of the control bus.
    SccbData,
    /// Resets the sensor; optional.
    Reset,
    /// Switches the sensor off; optional.
    PowerDown,
}

impl CameraSignal {
    /// The lines without which there is no picture.
    pub const REQUIRED: [CameraSignal; 14] = {
        use CameraSignal::{Data, Href, Pclk, SccbClock, SccbData, Vsync, Xclk};
        [
            Data(0),
            Data(1),
            Data(2),
            Data(3),
            Data(4),
            Data(5),
            Data(6),
            Data(7),
            Vsync,
            Href,
            Pclk,
            Xclk,
            SccbClock,
            SccbData,
        ]
    };

    /// Whether the chip reads it.
    pub fn is_read(self) -> bool {
        use CameraSignal::{Data, Href, Pclk, SccbData, Vsync};
        matches!(self, Data(_) | Vsync | Href | Pclk | SccbData)
    }

    /// Whether the chip drives it.
    pub fn is_driven(self) -> bool {
        use CameraSignal::{PowerDown, Reset, SccbClock, SccbData, Xclk};
        matches!(self, Xclk | SccbClock | SccbData | Reset | PowerDown)
    }

    /// Whether it toggles fast while the camera streams.
    pub fn is_fast(self) -> bool {
        matches!(self, CameraSignal::Data(_) | CameraSignal::Pclk | CameraSignal::Xclk)
    }
}

/// Why a data line is taken for the stray one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StrayBecause {
    /// The chip has no such pin.
    NotOnChip,
    /// The pin cannot be read.
    CannotBeRead,
    /// Something else holds the pin.
    TakenBy(Taken),
    /// Another signal is given the same pin.
    AlsoServes(CameraSignal),
    /// Another data line is given the same pin.
    Repeats(u8),
    /// Its place in the list is beyond the eighth.
    BeyondTheEighth,
}

/// What is wrong with a camera bus.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum BusProblem {
    /// A line that must be there is not.
    Missing(CameraSignal),
    /// More than eight numbers for eight data lines.
    TooManyData {
        /// How many there are.
        found: usize,
        /// The likely stray one: its place in the list.
        stray: CameraSignal,
        /// Its pin.
        pin: u8,
        /// What speaks against it.
        because: StrayBecause,
    },
    /// One signal with several pins.
    TwoPins {
        /// The signal.
        signal: CameraSignal,
        /// Its pins as given.
        pins: Vec<u8>,
    },
    /// One pin for several signals.
    SamePin {
        /// The pin.
        pin: u8,
        /// The signals, in bus order.
        signals: Vec<CameraSignal>,
    },
    /// The chip has no such pin.
    NotOnChip {
        /// The signal.
        signal: CameraSignal,
        /// The pin given.
        pin: u8,
    },
    /// The chip must read it and cannot.
    CannotBeRead {
        /// The signal.
        signal: CameraSignal,
        /// The pin given.
        pin: u8,
    },
    /// The chip must drive it and cannot.
    CannotBeDriven {
        /// The signal.
        signal: CameraSignal,
        /// The pin given.
        pin: u8,
    },
    /// The chip or its module uses the pin.
    Held {
        /// The signal.
        signal: CameraSignal,
        /// The pin given.
        pin: u8,
        /// By whom.
        by: Taken,
    },
}

/// Everything that is wrong with a camera bus as written down; with a `chip`, its pins are judged as well.
///
/// Nine numbers for eight data lines name the one that is most likely not a data line: not on the chip, not readable,
/// held by something else, serving another signal, repeated, or else the last.
///
/// # Examples
///
/// ```
/// use models::pins::camera::{BusProblem, CameraSignal::*, StrayBecause, check_camera_bus};
/// let mut lines: Vec<_> = (0..8).map(|d| (Data(d), 30 + d)).collect();
/// lines.extend([(Vsync, 25), (Href, 23), (Pclk, 22), (Xclk, 21), (SccbClock, 27), (SccbData, 26)]);
/// assert!(check_camera_bus(&lines, None).is_empty());
/// lines.insert(3, (Data(8), 22)); // the pixel clock slipped into the list of data lines
/// let problems = check_camera_bus(&lines, None);
/// let stray = StrayBecause::AlsoServes(Pclk);
/// assert_eq!(problems[0], BusProblem::TooManyData { found: 9, stray: Data(8), pin: 22, because: stray });
/// ```
pub fn check_camera_bus(lines: &[(CameraSignal, u8)], chip: Option<&Chip>) -> Vec<BusProblem> {
    let mut problems = Vec::new();
    let mut sorted = lines.to_vec();
    sorted.sort_unstable();
    sorted.dedup();
    let data: Vec<_> = lines.iter().copied().filter(|(s, _)| matches!(s, CameraSignal::Data(_))).collect();
    if data.len() > 8 {
        problems.push(stray_data(&data, lines, chip));
    }
    for &signal in &CameraSignal::REQUIRED {
        if !sorted.iter().any(|(s, _)| *s == signal) {
            problems.push(BusProblem::Missing(signal));
        }
    }
    for group in sorted.chunk_by(|a, b| a.0 == b.0).filter(|group| group.len() > 1) {
        problems.push(BusProblem::TwoPins { signal: group[0].0, pins: group.iter().map(|l| l.1).collect() });
    }
    let mut by_pin = sorted.clone();
    by_pin.sort_by_key(|l| (l.1, l.0));
    for group in by_pin.chunk_by(|a, b| a.1 == b.1).filter(|group| group.len() > 1) {
        problems.push(BusProblem::SamePin { pin: group[0].1, signals: group.iter().map(|l| l.0).collect() });
    }
    if let Some(chip) = chip {
        problems.extend(sorted.iter().filter_map(|&(signal, pin)| pin_problem(signal, pin, chip)));
    }
    problems
}

fn pin_problem(signal: CameraSignal, pin: u8, chip: &Chip) -> Option<BusProblem> {
    let Some(facts) = chip.pins.iter().find(|p| p.number == pin) else {
        return Some(BusProblem::NotOnChip { signal, pin });
    };
    match facts.taken {
        Some(Taken::Camera(_) | Taken::Console) | None => {}
        Some(by) => return Some(BusProblem::Held { signal, pin, by }),
    }
    if signal.is_read() && !facts.input {
        Some(BusProblem::CannotBeRead { signal, pin })
    } else if signal.is_driven() && !facts.output {
        Some(BusProblem::CannotBeDriven { signal, pin })
    } else {
        None
    }
}

fn stray_data(data: &[(CameraSignal, u8)], lines: &[(CameraSignal, u8)], chip: Option<&Chip>) -> BusProblem {
    let against = |place: usize| {
        let (signal, pin) = data[place];
        if let Some(chip) = chip {
            match pin_problem(signal, pin, chip) {
                Some(BusProblem::NotOnChip { .. }) => return Some((5, StrayBecause::NotOnChip)),
                Some(BusProblem::CannotBeRead { .. }) => return Some((4, StrayBecause::CannotBeRead)),
                Some(BusProblem::Held { by, .. }) => return Some((3, StrayBecause::TakenBy(by))),
                _ => {}
            }
        }
        if let Some((other, _)) = lines.iter().find(|(s, p)| *p == pin && !matches!(s, CameraSignal::Data(_)))
        {
            return Some((2, StrayBecause::AlsoServes(*other)));
        }
        let repeats = data[..place].iter().find_map(|(s, p)| match s {
            CameraSignal::Data(d) if *p == pin => Some(*d),
            _ => None,
        });
        repeats.map(|d| (1, StrayBecause::Repeats(d)))
    };
    let last = data.len() - 1;
    let (place, because) = (0..data.len())
        .filter_map(|place| against(place).map(|(weight, because)| (weight, place, because)))
        .max_by_key(|(weight, place, _)| (*weight, *place))
        .map_or((last, StrayBecause::BeyondTheEighth), |(_, place, because)| (place, because));
    BusProblem::TooManyData { found: data.len(), stray: data[place].0, pin: data[place].1, because }
}

/// How eight data lines relate to the board's own.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DataOrder {
    /// The same pins in the same order.
    Same,
    /// The same pins from the other end.
    Reversed,
    /// The same pins, `by` places further on: a list that counts from another line.
    Shifted {
        /// Places, 1 to 7.
        by: u8,
    },
    /// The same pins, except that these two are exchanged.
    Swapped {
        /// Lower line.
        a: u8,
        /// Higher line.
        b: u8,
    },
    /// The same pins in some other order.
    Mixed,
    /// Not the same pins: those that only the given list has, and those that only the board has.
    OtherPins {
        /// Only in the given list.
        only_given: Vec<u8>,
        /// Only on the board.
        only_board: Vec<u8>,
    },
}

/// Compare data lines, D0 first, with the board's own.
pub fn data_order(given: &[u8; 8], board: &[u8; 8]) -> DataOrder {
    let missing = |from: &[u8; 8], of: &[u8; 8]| -> Vec<u8> {
        from.iter().copied().filter(|pin| !of.contains(pin)).collect()
    };
    let (only_given, only_board) = (missing(given, board), missing(board, given));
    if !only_given.is_empty() || !only_board.is_empty() {
        return DataOrder::OtherPins { only_given, only_board };
    }
    let differs: Vec<usize> = (0..8).filter(|&d| given[d] != board[d]).collect();
    if differs.is_empty() {
        return DataOrder::Same;
    }
    if (0..8).all(|d| given[d] == board[7 - d]) {
        return DataOrder::Reversed;
    }
    if let Some(by) = (1..8).find(|by| (0..8).all(|d| given[d] == board[(d + by) % 8])) {
        return DataOrder::Shifted { by: by as u8 };
    }
    match differs[..] {
        [a, b] => DataOrder::Swapped { a: a as u8, b: b as u8 },
        _ => DataOrder::Mixed,
    }
}

#[cfg(test)]
mod tests {
    use super::super::board::Pin;
    use super::super::sample;
    use super::*;
    use CameraSignal::{Data, Href, Pclk, SccbClock, SccbData, Vsync, Xclk};

    fn good() -> Vec<(CameraSignal, u8)> {
        CameraSignal::REQUIRED.into_iter().zip(10..).collect()
    }

    #[test]
    fn a_whole_bus_is_good_and_each_missing_line_is_named() {
        assert!(check_camera_bus(&good(), None).is_empty());
        for (i, signal) in CameraSignal::REQUIRED.into_iter().enumerate() {
            let mut lines = good();
            lines.remove(i);
            assert_eq!(check_camera_bus(&lines, None), [BusProblem::Missing(signal)]);
        }
    }

    #[test]
    fn double_use_is_named_with_line_and_number() {
        let mut lines = good();
        lines[3].1 = 12; // D3 on the pin of D2
        let both = BusProblem::SamePin { pin: 12, signals: vec![Data(2), Data(3)] };
        assert_eq!(check_camera_bus(&lines, None), [both]);
        let mut lines = good();
        lines.push((Href, 40));
        let twice = BusProblem::TwoPins { signal: Href, pins: vec![19, 40] };
        assert_eq!(check_camera_bus(&lines, None), [twice]);
    }

    #[test]
    fn the_stray_number_is_the_one_that_the_chip_speaks_against() {
        let mut chip = sample::small_board().chip;
        chip.pins = (0..30).map(Pin::plain).collect();
        let stray = |pin: u8, chip: &Chip| {
            let mut lines = good();
            lines.insert(5, (Data(8), pin));
            match &check_camera_bus(&lines, Some(chip))[0] {
                BusProblem::TooManyData { found: 9, pin, because, .. } => (*pin, *because),
                other => panic!("{other:?}"),
            }
        };
        assert_eq!(stray(99, &chip), (99, StrayBecause::NotOnChip));
        assert_eq!(stray(20, &chip), (20, StrayBecause::AlsoServes(Pclk)));
        assert_eq!(stray(11, &chip), (11, StrayBecause::Repeats(1)));
        assert_eq!(
            stray(5, &chip),
            (17, StrayBecause::BeyondTheEighth),
            "nothing speaks against any: the last"
        );
        chip.pins[5].input = false;
        assert_eq!(stray(5, &chip), (5, StrayBecause::CannotBeRead));
        chip.pins[5] = Pin { taken: Some(Taken::Flash), ..Pin::plain(5) };
        assert_eq!(stray(5, &chip), (5, StrayBecause::TakenBy(Taken::Flash)));
    }

    #[test]
    fn directions_are_judged() {
        let mut chip = sample::small_board().chip;
        chip.pins = (0..30).map(Pin::plain).collect();
        chip.pins[21].output = false; // Xclk
        chip.pins[18].output = false; // Vsync only comes in
        let bad = BusProblem::CannotBeDriven { signal: Xclk, pin: 21 };
        assert_eq!(check_camera_bus(&good(), Some(&chip)), [bad]);
        assert!(SccbData.is_read() && SccbData.is_driven() && !SccbClock.is_read() && Vsync.is_read());
    }

    #[test]
    fn orders_are_told_apart() {
        let board = [10, 11, 12, 13, 14, 15, 16, 17];
        let mut other = board;
        assert_eq!(data_order(&other, &board), DataOrder::Same);
        other.reverse();
        assert_eq!(data_order(&other, &board), DataOrder::Reversed);
        other = board;
        other.rotate_left(2);
        assert_eq!(data_order(&other, &board), DataOrder::Shifted { by: 2 });
        other = board;
        other.swap(2, 5);
        assert_eq!(data_order(&other, &board), DataOrder::Swapped { a: 2, b: 5 });
        other[0] = 40;
        let pins = DataOrder::OtherPins { only_given: vec![40], only_board: vec![10] };
        assert_eq!(data_order(&other, &board), pins);
    }
}
