//! Peukert's law, for lead-acid at its usual rates and for the published worked example.
//!
//! Not used by any run time: at the small currents of a sleeping station it promises more charge than the cell
//! holds (100 Ah, k 1.25 at C/200: 178 Ah), and lithium and alkaline cells do not follow it.

use crate::out_of_range::OutOfRange;

/// Time to empty at a constant current, in s: H·(C/(I·H))^k.
///
/// - `rated_c`: charge at the rated time, in C, above 0; `rated_s`: that time, usually 20 h; `exponent`: 1.1 to
///   1.3 for lead-acid; `current_a`: above 0.
///
/// Source: W. Peukert, Elektrotechnische Zeitschrift 20 (1897), in the form with a rated time (from memory).
///
/// # Examples
///
/// 100 Ah at 20 h, k 1.2, 10 A: 20 h × 0.5^1.2 = 8.7055 h:
///
/// ```
/// let run_s = models::cells::peukert::run_s(100.0 * 3600.0, 20.0 * 3600.0, 1.2, 10.0)?;
/// assert!((run_s / 3600.0 - 8.705506).abs() < 1e-6);
/// # Ok::<(), models::out_of_range::OutOfRange>(())
/// ```
pub fn run_s(rated_c: f64, rated_s: f64, exponent: f64, current_a: f64) -> Result<f64, OutOfRange> {
    let rated_c = OutOfRange::check("rated_c", rated_c, f64::MIN_POSITIVE, 1e9)?;
    let rated_s = OutOfRange::check("rated_s", rated_s, f64::MIN_POSITIVE, 1e9)?;
    let exponent = OutOfRange::check("exponent", exponent, 1.0, 2.0)?;
    let current_a = OutOfRange::check("current_a", current_a, 1e-9, 1e6)?;
    Ok(rated_s * (rated_c / (current_a * rated_s)).powf(exponent))
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_rated_current_lasts_the_rated_time_whatever_the_exponent() {
        for exponent in [1.0, 1.1, 1.3] {
            let run_s = super::run_s(7.0 * 3600.0, 72_000.0, exponent, 0.35).unwrap();
            assert!((run_s - 72_000.0).abs() < 1e-6);
        }
    }
}
