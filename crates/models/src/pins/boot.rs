//! What a load does between reset and the first line of the program.

use super::board::{BootState, Pin};
use super::level::{INTERNAL_PULL_OHM, Level, Load, Reading, Weather, reading, rest_v};
use super::strap::internal_pull;

/// A load from reset to the first line of the program, 0.2 to 1 s (typical, from memory).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BootVerdict {
    /// Certainly off.
    Quiet,
    /// Certainly on.
    Active,
    /// Nothing decides: it floats or rests between the thresholds.
    Undefined,
    /// Flickers with the console's text.
    ConsoleText,
}

/// Judge a load that is on at `active`, on `pin`, with everything else that hangs there; wet leakage included.
///
/// # Examples
///
/// A relay driver (active high) on a pin that is pulled up at boot clicks at every restart; 4.7 k to ground holds it:
/// 3.3 x 4.7 / 49.7 = 0.31 V.
///
/// ```
/// use models::pins::{board::{BootState, Pin}, boot::{BootVerdict, judge_boot}, level::{Level, Load, Pull}};
/// let pin = Pin { boot: BootState::PulledUp, ..Pin::plain(4) };
/// assert_eq!(judge_boot(&pin, &[], Level::High, 3.3), BootVerdict::Active);
/// let held = Load { pulls: vec![Pull { ohm: 4.7e3, to_v: 0.0 }], ..Load::default() };
/// assert_eq!(judge_boot(&pin, &[&held], Level::High, 3.3), BootVerdict::Quiet);
/// ```
pub fn judge_boot(pin: &Pin, loads: &[&Load], active: Level, vdd_v: f64) -> BootVerdict {
    let internal = match pin.boot {
        BootState::ConsoleText => return BootVerdict::ConsoleText,
        BootState::Floats => None,
        BootState::PulledUp => Some(Level::High),
        BootState::PulledDown => Some(Level::Low),
    }
    .map(|level| internal_pull(INTERNAL_PULL_OHM[1], level, vdd_v));
    let readings = [(Level::Low, Weather::Wet), (Level::Low, Weather::Dry), (Level::High, Weather::Dry)]
        .map(|(towards, weather)| reading(rest_v(loads, internal, towards, weather, vdd_v), vdd_v));
    let off = match active {
        Level::High => Level::Low,
        Level::Low => Level::High,
    };
    if readings.iter().all(|r| r.is(off)) {
        BootVerdict::Quiet
    } else if readings.iter().all(|r: &Reading| r.is(active)) {
        BootVerdict::Active
    } else {
        BootVerdict::Undefined
    }
}

#[cfg(test)]
mod tests {
    use super::super::level::Pull;
    use super::*;

    #[test]
    fn console_text_rings_whatever_pulls() {
        let pin = Pin { boot: BootState::ConsoleText, ..Pin::plain(1) };
        let held = Load { pulls: vec![Pull { ohm: 1e3, to_v: 0.0 }], ..Load::default() };
        assert_eq!(judge_boot(&pin, &[&held], Level::High, 3.3), BootVerdict::ConsoleText);
    }

    #[test]
    fn a_floating_pin_leaves_an_unpulled_driver_undefined() {
        assert_eq!(judge_boot(&Pin::plain(1), &[], Level::High, 3.3), BootVerdict::Undefined);
    }

    #[test]
    fn rain_can_switch_an_active_low_load() {
        let pin = Pin { boot: BootState::PulledUp, ..Pin::plain(1) };
        let leak = Load { wet_leak_ohm: Some(20e3), ..Load::default() };
        assert_eq!(judge_boot(&pin, &[], Level::Low, 3.3), BootVerdict::Quiet);
        assert_eq!(judge_boot(&pin, &[&leak], Level::Low, 3.3), BootVerdict::Undefined);
    }
}
