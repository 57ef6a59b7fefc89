//! Current that a high line pushes into a part whose supply is off.
//!
//! It flows through the part's input clamp into its rail: the part is half alive, never resets, and the sleeping
//! station draws milliamps. Lines to a part that is off must be low or high-impedance.

/// Forward voltage of an input clamp in volts. Typical, from memory.
pub const CLAMP_V: f64 = 0.5;

/// The current in amperes that a line at `high_v` feeds through `ohm` into a rail at `rail_v`; 0 when none flows.
///
/// I = (VOH - 0.5 - Vrail) / R, from the trade (typical, from memory: 1 to 10 mA). `ohm` is everything in series, the
/// output's own resistance included; less than 1 counts as 1. The rail is held at `rail_v`, so this is an upper bound
/// for a rail that lifts.
///
/// # Examples
///
/// 3.3 V through 1 k into a dead rail: 2.8 V / 1 k = 2.8 mA.
///
/// ```
/// let ampere = models::pins::back_feed::back_feed_a(3.3, 0.0, 1e3);
/// assert!((ampere - 2.8e-3).abs() < 1e-12);
/// ```
pub fn back_feed_a(high_v: f64, rail_v: f64, ohm: f64) -> f64 {
    ((high_v - CLAMP_V - rail_v) / ohm.max(1.0)).max(0.0)
}

/// How a line rests while the part at its end is off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Resting {
    /// Driven low.
    Low,
    /// High impedance, no pull.
    HighImpedance,
    /// Driven or pulled to this many volts.
    At {
        /// Voltage in volts.
        high_v: f64,
    },
}

/// One line to a part whose supply is off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OffLine {
    /// Pin of the line.
    pub pin: u8,
    /// How it rests.
    pub resting: Resting,
    /// Everything in series, in ohms.
    pub ohm: f64,
}

/// A line that feeds a part that is off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BackFeed {
    /// Pin of the line.
    pub pin: u8,
    /// Current in amperes.
    pub feed_a: f64,
}

/// Every line that feeds a part whose rail rests at `rail_v`, in the order given.
pub fn back_feeds(lines: &[OffLine], rail_v: f64) -> Vec<BackFeed> {
    lines
        .iter()
        .filter_map(|line| match line.resting {
            Resting::Low | Resting::HighImpedance => None,
            Resting::At { high_v } => {
                Some(BackFeed { pin: line.pin, feed_a: back_feed_a(high_v, rail_v, line.ohm) })
            }
        })
        .filter(|feed| feed.feed_a > 0.0)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_high_lines_feed_and_only_above_the_clamp() {
        let line = |pin, resting| OffLine { pin, resting, ohm: 1e3 };
        let lines = [
            line(1, Resting::Low),
            line(2, Resting::HighImpedance),
            line(3, Resting::At { high_v: 3.3 }),
            line(4, Resting::At { high_v: 0.5 }),
        ];
        assert_eq!(back_feeds(&lines, 0.0).iter().map(|f| f.pin).collect::<Vec<_>>(), [3]);
        assert!(back_feeds(&lines, 3.3).is_empty(), "a live rail takes nothing");
    }
}
