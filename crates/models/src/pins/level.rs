//! The resting voltage of a pin, from everything that pulls on it.
//!
//! V = sum(Vi / Ri) / sum(1 / Ri): Millman's theorem over every pull, driver, sensor output and leak. It is a
//! steady state; a capacitor on the pin (which makes a strap rise late) is not in it.

/// One resistance from the pin to a fixed voltage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pull {
    /// Resistance in ohms, above 0; less than 0.01 counts as 0.01 (a short).
    pub ohm: f64,
    /// The voltage at its far end, in volts.
    pub to_v: f64,
}

/// A logic level.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// Below a quarter of the supply.
    Low,
    /// Above three quarters of the supply.
    High,
}

/// What a resting voltage means to an input.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reading {
    /// Certainly low.
    Low,
    /// Certainly high.
    High,
    /// Between the thresholds: either, or both in turn.
    Between,
    /// Nothing holds the pin.
    Floating,
}

impl Reading {
    /// Whether an input certainly reads `level`.
    pub fn is(self, level: Level) -> bool {
        matches!((self, level), (Reading::Low, Level::Low) | (Reading::High, Level::High))
    }
}

/// Internal pull-up or pull-down of a pin in ohms: 5 %, median, 95 %. Typical, from memory.
pub const INTERNAL_PULL_OHM: [f64; 3] = [30e3, 45e3, 80e3];
/// Leakage of a wet plate or terminal to ground in ohms, worst and best. Typical, from memory.
pub const WET_LEAK_OHM: [f64; 2] = [20e3, 1e6];
/// An input is certainly low below this share of its supply. Typical, from memory.
pub const LOW_BELOW: f64 = 0.25;
/// An input is certainly high above this share of its supply. Typical, from memory.
pub const HIGH_ABOVE: f64 = 0.75;

/// What a part does to the pin by itself while the chip is in reset.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Drive {
    /// Nothing: it only pulls, or hangs as an input.
    #[default]
    Nothing,
    /// Holds it low through `ohm`.
    Low {
        /// Output resistance in ohms.
        ohm: f64,
    },
    /// Holds it high (at the chip's supply) through `ohm`.
    High {
        /// Output resistance in ohms.
        ohm: f64,
    },
    /// Low or high, nobody knows which: a sensor's output, a switch.
    Either {
        /// Output resistance in ohms.
        ohm: f64,
    },
}

/// What a part hangs on a pin, as the pin sees it at reset.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Load {
    /// Resistors to a rail or to ground.
    pub pulls: Vec<Pull>,
    /// Leakage to ground when wet, in ohms: the lowest to expect. `None` when the part stays dry.
    pub wet_leak_ohm: Option<f64>,
    /// What it drives.
    pub drive: Drive,
}

/// The resting voltage in volts, or `None` when nothing pulls.
///
/// # Examples
///
/// 45 k to 3.3 V against 135 k to ground: 3.3 x 135 / 180 = 2.475 V, exactly three quarters.
///
/// ```
/// use models::pins::level::{Pull, node_v};
/// let v = node_v([Pull { ohm: 45e3, to_v: 3.3 }, Pull { ohm: 135e3, to_v: 0.0 }]).unwrap();
/// assert!((v - 2.475).abs() < 1e-12);
/// ```
pub fn node_v(pulls: impl IntoIterator<Item = Pull>) -> Option<f64> {
    let (mut ampere, mut siemens) = (0.0, 0.0);
    for pull in pulls {
        let g = 1.0 / pull.ohm.max(0.01);
        ampere += pull.to_v * g;
        siemens += g;
    }
    (siemens > 0.0).then(|| ampere / siemens)
}

/// What an input with supply `vdd_v` reads at a resting voltage.
pub fn reading(node_v: Option<f64>, vdd_v: f64) -> Reading {
    match node_v {
        None => Reading::Floating,
        Some(v) if v < LOW_BELOW * vdd_v => Reading::Low,
        Some(v) if v > HIGH_ABOVE * vdd_v => Reading::High,
        Some(_) => Reading::Between,
    }
}

/// Whether wet leakage is counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weather {
    /// No leakage.
    Dry,
    /// Every leak at its lowest resistance.
    Wet,
}

/// The highest, or lowest, voltage at which a pin may rest: whoever may drive either way drives that way.
pub fn rest_v(
    loads: &[&Load],
    internal: Option<Pull>,
    towards: Level,
    weather: Weather,
    vdd_v: f64,
) -> Option<f64> {
    let driven = |load: &Load| match (load.drive, towards) {
        (Drive::Nothing, _) => None,
        (Drive::Low { ohm }, _) | (Drive::Either { ohm }, Level::Low) => Some(Pull { ohm, to_v: 0.0 }),
        (Drive::High { ohm }, _) | (Drive::Either { ohm }, Level::High) => Some(Pull { ohm, to_v: vdd_v }),
    };
    let leak = |load: &Load| match weather {
        Weather::Dry => None,
        Weather::Wet => load.wet_leak_ohm.map(|ohm| Pull { ohm, to_v: 0.0 }),
    };
    node_v(
        loads
            .iter()
            .flat_map(|load| load.pulls.iter().copied().chain(driven(load)).chain(leak(load)))
            .chain(internal),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_45k_pull_up_is_no_longer_high_below_135k_of_leakage() {
        let wet = |ohm| reading(node_v([Pull { ohm: 45e3, to_v: 3.3 }, Pull { ohm, to_v: 0.0 }]), 3.3);
        assert_eq!(wet(136e3), Reading::High);
        assert_eq!(wet(134e3), Reading::Between);
        assert_eq!(reading(None, 3.3), Reading::Floating);
    }

    proptest! {
        #[test]
        fn a_node_lies_between_its_rails_and_more_leak_lowers_it(
            up in 1e3..1e6f64, down in 1e3..1e6f64, leak in 1e3..1e6f64,
        ) {
            let (a, b) = (Pull { ohm: up, to_v: 3.3 }, Pull { ohm: down, to_v: 0.0 });
            let dry = node_v([a, b]).unwrap();
            let wet = node_v([a, b, Pull { ohm: leak, to_v: 0.0 }]).unwrap();
            prop_assert!(0.0 < wet && wet < dry && dry < 3.3);
        }
    }
}
