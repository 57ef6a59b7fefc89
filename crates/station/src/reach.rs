//! How a value of the plan reaches the board: burned with the program, or turned as a setting while it runs.
//!
//! The one place that says it. Burned is what the program lays out before it first draws breath: pins, sizes and places
//! of memory, the clock, what wakes it. Turned is what it can take in while it runs. All else is neither: a fact of a
//! part, of the place and its people, or a wish, and no program needs it.

use crate::fields::FIELDS;

/// How a value reaches the board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reach {
    /// Only with a new program.
    Burned,
    /// As a setting, while it runs.
    Turned,
}

impl Reach {
    /// What it takes, in words.
    pub fn takes(self) -> &'static str {
        match self {
            Reach::Burned => "burned: a change needs flashing",
            Reach::Turned => "turned: a change is sent as a setting",
        }
    }
}

/// Fields that are burned. Where a station stops to spare its cells is among them: a setting lost on the way must not
/// cost a cell.
const BURNED: &[&str] = &[
    "camera.size",
    "camera.format",
    "camera.buffers",
    "camera.place",
    "camera.grab",
    "camera.clock",
    "rest.mode",
    "rest.pre_roll",
    "net.window",
    "net.power_save",
    "net.tls",
    "net.sessions",
    "net.remembered",
    "radio.highest_channel",
    "radio.multicast_name",
    "notice.press_first",
    "notice.kept",
    "notice.clock_set",
    "notice.lamp_at_wake",
    "cell.cutoff",
    "cell.hysteresis",
];

/// Fields that are turned.
const TURNED: &[&str] = &[
    "camera.quality",
    "camera.discard",
    "camera.keep_exposure",
    "camera.longest_exposure",
    "camera.metering",
    "camera.whole_periods",
    "plate.period",
    "plate.debounce",
    "plate.average",
    "plate.median",
    "plate.threshold",
    "plate.hysteresis",
    "plate.track",
    "plate.track_away",
    "plate.wake_threshold",
    "plate.dead",
    "plate.noisy",
    "plate.longest",
    "rest.idle_every",
    "rest.relearn_every",
    "rest.standby",
    "rest.call_rate",
    "rest.night_rate",
    "net.retry",
    "radio.listen",
    "notice.keep_alive",
];

/// How the value at a path of the plan reaches the board; `None` where it need not.
///
/// ```
/// use station::reach::{Reach, reach};
/// assert_eq!(reach("pins.plate"), Some(Reach::Burned));
/// assert_eq!(reach("camera.quality"), Some(Reach::Turned));
/// assert_eq!(reach("camera.height"), None);
/// ```
pub fn reach(path: &str) -> Option<Reach> {
    let wired = path.starts_with("pins.") || path.starts_with("camera_bus.");
    if wired || BURNED.contains(&path) {
        Some(Reach::Burned)
    } else if TURNED.contains(&path) {
        Some(Reach::Turned)
    } else {
        None
    }
}

/// Indices of the fields that reach the board, in the order of the field table.
pub fn reaching() -> impl Iterator<Item = (usize, Reach)> {
    FIELDS.iter().enumerate().filter_map(|(index, field)| Some((index, reach(field.path)?)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fields::Nature;

    #[test]
    fn every_path_is_a_field_and_no_field_is_both() {
        let listed = BURNED.len() + TURNED.len();
        assert_eq!(reaching().count(), listed, "a path is misspelled or stands in both lists");
    }

    /// A program cannot change a place, its people, or what is wanted of the whole.
    #[test]
    fn places_and_wishes_of_the_whole_are_neither() {
        for (index, _) in reaching() {
            let field = &FIELDS[index];
            assert!(field.nature != Nature::Site && field.part() != "want", "{}", field.path);
        }
    }
}
