//! The arithmetic of single habits that empty a cell: retries, false wakes, staying awake.
//!
//! One line each, so that a reader can redo them; they feed [`super::EnergyInput`] and are shown by themselves.

use super::DAY_S;

/// How a station tries to join again while the router is away.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Retry {
    /// Length of an attempt, in s.
    pub attempt_s: f64,
    /// Current meanwhile, in A.
    pub attempt_a: f64,
    /// Time from the start of one attempt to the next, in s, once back-off has reached its end; at least
    /// `attempt_s`, else the station does nothing but try.
    pub every_s: f64,
}

impl Retry {
    /// Charge of one attempt, in C.
    pub fn attempt_c(&self) -> f64 {
        self.attempt_s * self.attempt_a
    }

    /// Attempts in a day of outage.
    pub fn attempts_day(&self) -> f64 {
        DAY_S / self.every_s.max(self.attempt_s)
    }

    /// Charge of a whole day of outage, in C.
    ///
    /// ```
    /// use models::energy::drains::Retry;
    /// // 6 s at 120 mA every 60 s: 1,440 × 0.2 mAh = 288 mAh a day; every 15 min 19 mAh.
    /// let eager = Retry { attempt_s: 6.0, attempt_a: 0.120, every_s: 60.0 };
    /// assert!((eager.day_c() / 3.6 - 288.0).abs() < 1e-9);
    /// assert!((Retry { every_s: 900.0, ..eager }.day_c() / 3.6 - 19.2).abs() < 1e-9);
    /// ```
    pub fn day_c(&self) -> f64 {
        self.attempt_c() * self.attempts_day()
    }

    /// Attempts a day, mean over a year with `outage_s_year` of outages; 6 h (1..40) typical, from memory.
    pub fn mean_attempts_day(&self, outage_s_year: f64) -> f64 {
        self.attempts_day() * outage_s_year / (365.0 * DAY_S)
    }
}

/// Charge of a false wake, in C: boot, join and picture, each current times time.
///
/// 0.2 to 2 mAh, typical, from memory. With boot 0.35 s and join 3 s at 115 mA, picture 1 s at 200 mA (medians
/// of trade.md §3) it is 0.16 mAh with little else; slow joins make the upper end.
///
/// ```
/// let wake_c = models::energy::drains::wake_c(&[(0.115, 0.35), (0.115, 3.0), (0.200, 1.0)]);
/// assert!((wake_c - 0.58525).abs() < 1e-12);
/// ```
pub fn wake_c(parts_a_s: &[(f64, f64)]) -> f64 {
    parts_a_s.iter().map(|(current_a, time_s)| current_a * time_s).sum()
}

/// Energy of a day of staying awake at `power_w`, in J.
pub fn awake_j_day(power_w: f64) -> f64 {
    power_w * DAY_S
}

/// Peak power of the panel that carries a mean of `power_w`, in W.
///
/// - `worst_sun_j_m2`: sun on the panel's plane in a day of the worst month; 3.6e6 (2.2e6..5.8e6) J/m² for a
///   vertical south wall at 50° N, typical, from memory. `shares`: as in [`super::solar::charge_per_sun`].
///
/// ```
/// // 0.6 W is 14.4 Wh a day; 1 kWh/m² gives half a watt-hour a watt of peak: 29 W.
/// let peak_w = models::energy::drains::panel_for_w(0.6, 3.6e6, 0.5);
/// assert!((peak_w - 28.8).abs() < 1e-9);
/// ```
pub fn panel_for_w(power_w: f64, worst_sun_j_m2: f64, shares: f64) -> f64 {
    awake_j_day(power_w) / (worst_sun_j_m2 / 1000.0 * shares)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn awake_all_day_takes_twelve_to_seventeen_watt_hours() {
        // trade.md, power.awake: 0.5..0.7 W = 12..17 Wh a day; 3 Ah at 3.7 V (11 Wh) last under a day.
        assert!((awake_j_day(0.5) / 3600.0 - 12.0).abs() < 1e-9);
        assert!((awake_j_day(0.7) / 3600.0 - 16.8).abs() < 1e-9);
        assert!(awake_j_day(0.5) > 3.0 * 3.7 * 3600.0);
    }

    #[test]
    fn a_few_hours_of_outage_a_year_are_little_and_forty_days_are_not() {
        let retry = Retry { attempt_s: 6.0, attempt_a: 0.120, every_s: 60.0 };
        let mean_c_day = retry.mean_attempts_day(6.0 * 3600.0) * retry.attempt_c();
        // 288 mAh × 6/8760.
        assert!((mean_c_day / 3.6 - 288.0 * 6.0 / 8760.0).abs() < 1e-9);
    }

    #[test]
    fn trying_without_pause_is_no_more_than_always_on() {
        let retry = Retry { attempt_s: 6.0, attempt_a: 0.120, every_s: 0.0 };
        assert!((retry.day_c() - 0.120 * DAY_S).abs() < 1e-9);
    }
}
