//! What one connection and one clock do to the time of a press.

use crate::out_of_range::OutOfRange;

/// A dead connection must be noticed within this, s (typical, from memory).
pub const HALF_OPEN_LIMIT_S: f64 = 30.0;
/// How far a clock runs off in sleep: 1 to 5 % (typical, from memory).
pub const SLEEP_DRIFT: [f64; 2] = [0.01, 0.05];

/// Delay of a press behind bytes that were queued before it on the same connection, s.
///
/// # Errors
/// [`OutOfRange`] for a negative size or a goodput under 1 bit/s.
///
/// # Examples
/// By hand, a 60 kB picture at 1.1 Mbit/s: 480,000/1,100,000 = 0.44 s.
///
/// ```
/// let wait_s = models::timing::connection::head_of_line_s(60e3, 1.1e6)?;
/// assert!((wait_s - 0.436).abs() < 1e-3);
/// # Ok::<(), models::out_of_range::OutOfRange>(())
/// ```
pub fn head_of_line_s(queued_b: f64, goodput_bit_s: f64) -> Result<f64, OutOfRange> {
    let queued_b = OutOfRange::check("queued_b", queued_b, 0.0, 1e9)?;
    Ok(8.0 * queued_b / OutOfRange::check("goodput_bit_s", goodput_bit_s, 1.0, 1e12)?)
}

/// Silence after which the server gives a connection up, s: 1.5 times the keep-alive.
///
/// Source: MQTT 5.0 section 3.1.2.10 (references.md 9.1, from memory).
pub fn half_open_s(keep_alive_s: f64) -> f64 {
    1.5 * keep_alive_s
}

/// Longest keep-alive, s, with which a dead connection is noticed within `within_s`.
pub fn keep_alive_s(within_s: f64) -> f64 {
    within_s / 1.5
}

/// How far a clock is off after `asleep_s` of sleep, s.
///
/// By hand: 5 % of an hour are 180 s.
///
/// ```
/// assert_eq!(models::timing::connection::drift_s(3600.0, 0.05), 180.0);
/// ```
pub fn drift_s(asleep_s: f64, share: f64) -> f64 {
    asleep_s * share
}

/// Age of a press that comes late, s: a difference of the station's own up-time, which needs no time of day.
///
/// `None` when the station has started anew since (its up-time is then the smaller one).
pub fn press_age_s(now_up_s: f64, pressed_up_s: f64) -> Option<f64> {
    (now_up_s >= pressed_up_s).then_some(now_up_s - pressed_up_s)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keep_alive_and_half_open_undo_each_other() {
        assert_eq!(half_open_s(keep_alive_s(HALF_OPEN_LIMIT_S)), HALF_OPEN_LIMIT_S);
        assert_eq!(keep_alive_s(30.0), 20.0);
    }

    #[test]
    fn a_restart_leaves_the_age_unknown() {
        assert_eq!(press_age_s(12.0, 10.0), Some(2.0));
        assert_eq!(press_age_s(1.0, 10.0), None);
        assert_eq!(press_age_s(f64::NAN, 10.0), None);
    }

    #[test]
    fn nonsense_is_named() {
        assert_eq!(head_of_line_s(1.0, 0.0).unwrap_err().what, "goodput_bit_s");
        assert_eq!(head_of_line_s(-1.0, 1.0).unwrap_err().what, "queued_b");
    }
}
