//! Internal resistance by temperature and age.

/// Gas constant, in J/(mol·K) (CODATA 2018, exact to the digits given).
pub const GAS_J_MOL_K: f64 = 8.314_462_618;

/// Reference temperature of the resistance, 25 °C, in K.
pub const REFERENCE_K: f64 = 298.15;

const YEAR_S: f64 = 365.0 * crate::energy::DAY_S;

/// Temperature distance 1/T - 1/298.15 K, in 1/K: what [`cold_factor`] needs of the temperature.
pub fn inverse_kelvin(temp_k: f64) -> f64 {
    1.0 / temp_k - 1.0 / REFERENCE_K
}

/// Factor on the resistance at `temp_k` over 25 °C: Arrhenius, exp(Ea/R·(1/T - 1/298.15 K)).
///
/// - `activation_j_mol`: 20e3 to 35e3 for lithium cells (typical, from memory).
///
/// ```
/// use models::cells::resistance::cold_factor;
/// // 30 kJ/mol: three times at 0 °C, five times at -10 °C.
/// assert!((cold_factor(30e3, 273.15) - 3.0).abs() < 0.05);
/// assert!((cold_factor(30e3, 263.15) - 5.0).abs() < 0.05);
/// ```
pub fn cold_factor(activation_j_mol: f64, temp_k: f64) -> f64 {
    (activation_j_mol / GAS_J_MOL_K * inverse_kelvin(temp_k)).exp()
}

/// Factor on the resistance at age `age_s`: grows in a straight line to `aged_factor` at three years and on.
///
/// 1.5 (1.1..2.5) after three years for lithium-ion (typical, from memory); the straight line is ours.
pub fn age_factor(aged_factor: f64, age_s: f64) -> f64 {
    1.0 + (aged_factor - 1.0) * age_s / (3.0 * YEAR_S)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reference_temperature_and_fresh_cell_change_nothing() {
        assert_eq!(cold_factor(30e3, REFERENCE_K), 1.0);
        assert_eq!(age_factor(1.5, 0.0), 1.0);
        assert!((age_factor(1.5, 3.0 * YEAR_S) - 1.5).abs() < 1e-12);
    }

    #[test]
    fn warmth_lowers_it() {
        assert!(cold_factor(30e3, 313.15) < 1.0);
    }
}
