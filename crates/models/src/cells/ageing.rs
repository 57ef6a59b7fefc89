//! What time takes from a cell: self-discharge, which charging gives back, and fade, which nothing does.
//!
//! Both double for every 10 K (a battery handbook's rule, references.md 6.3, mark a*). Wear by cycles is left
//! out: a door station's cell sees a few dozen full cycles in its life.

use super::resistance::REFERENCE_K;

/// Days in a mean month, 365.25/12.
pub const MONTH_DAYS: f64 = 30.4375;

/// Factor on the speed of ageing at `temp_k` over 25 °C: 2^((T - 298.15)/10).
pub fn speed_factor(temp_k: f64) -> f64 {
    ((temp_k - REFERENCE_K) / 10.0).exp2()
}

/// Share of the present charge that is lost in a day at `temp_k`.
///
/// - `share_month`: loss a month at 25 °C, 0 to below 1.
///
/// ```
/// use models::cells::ageing::self_discharge_day;
/// // 3 % a year is 0.25 % a month; after 365 days at 25 °C 97 % is left.
/// let kept = (1.0 - self_discharge_day(0.0025, 298.15)).powi(365);
/// assert!((kept - 0.97).abs() < 5e-4);
/// ```
pub fn self_discharge_day(share_month: f64, temp_k: f64) -> f64 {
    (share_month / MONTH_DAYS * speed_factor(temp_k)).clamp(0.0, 1.0)
}

/// Share of the fresh capacity that fades in a day at `temp_k`; `share_year` at 25 °C.
pub fn fade_day(share_year: f64, temp_k: f64) -> f64 {
    (share_year / 365.0 * speed_factor(temp_k)).clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ten_kelvin_double_and_halve() {
        assert_eq!(speed_factor(308.15), 2.0);
        assert_eq!(speed_factor(288.15), 0.5);
    }

    #[test]
    fn a_year_at_reference_fades_by_the_yearly_share() {
        assert!((fade_day(0.04, REFERENCE_K) * 365.0 - 0.04).abs() < 1e-12);
    }
}
