//! Air at sea-level pressure: what natural convection needs of it, from -60 to 150 °C.
//!
//! Viscosity and conductivity are the formulas of the U.S. Standard Atmosphere 1976, eqs. 51 and 53 (from memory; within
//! 0.6 % of CoolProp's numbers in references.md §7). Heat capacity is a straight line through those numbers (computed).
//! Moisture is left out: at 40 °C and 100 % it changes the film by 2 %.

use crate::out_of_range::OutOfRange;

/// Specific gas constant of dry air, J/(kg K): U.S. Standard Atmosphere 1976 (from memory).
const GAS_J_KG_K: f64 = 287.053;
/// Pressure at sea level, Pa. At 1,500 m the film is 8 % weaker: Ra goes with the square of pressure, h with its root.
const PRESSURE_PA: f64 = 101_325.0;

/// Properties of air at one temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    /// Absolute temperature, K.
    pub temperature_k: f64,
    /// Density, kg/m³.
    pub density_kg_m3: f64,
    /// Heat capacity at constant pressure, J/(kg K).
    pub heat_j_kg_k: f64,
    /// Kinematic viscosity, m²/s.
    pub viscosity_m2_s: f64,
    /// Thermal conductivity, W/(m K).
    pub conductivity_w_m_k: f64,
    /// Thermal diffusivity, m²/s.
    pub diffusivity_m2_s: f64,
}

impl Air {
    /// Air at a film temperature, 213.15 to 423.15 K.
    ///
    /// # Errors
    /// [`OutOfRange`] names a temperature outside.
    ///
    /// ```
    /// // Incropera's table A.4 prints 26.3e-3 W/(m K) at 300 K (from memory).
    /// let air = models::heat::air::Air::at(300.0).unwrap();
    /// assert!((air.conductivity_w_m_k / 26.3e-3 - 1.0).abs() < 0.015);
    /// ```
    pub fn at(temperature_k: f64) -> Result<Self, OutOfRange> {
        OutOfRange::check("temperature_k", temperature_k, 213.15, 423.15).map(Self::at_k)
    }

    /// The same without the check, for temperatures that the caller has bounded.
    pub(super) fn at_k(temperature_k: f64) -> Self {
        let t = temperature_k;
        let root3 = t * t.sqrt();
        let viscosity_pa_s = 1.458e-6 * root3 / (t + 110.4);
        let conductivity_w_m_k = 2.646_38e-3 * root3 / (t + 245.4 * 10_f64.powf(-12.0 / t));
        let density_kg_m3 = PRESSURE_PA / (GAS_J_KG_K * t);
        let heat_j_kg_k = 1006.4 + 0.057 * (t - 300.0);
        Self {
            temperature_k: t,
            density_kg_m3,
            heat_j_kg_k,
            viscosity_m2_s: viscosity_pa_s / density_kg_m3,
            conductivity_w_m_k,
            diffusivity_m2_s: conductivity_w_m_k / (density_kg_m3 * heat_j_kg_k),
        }
    }

    /// Prandtl number, viscosity over diffusivity.
    pub fn prandtl(&self) -> f64 {
        self.viscosity_m2_s / self.diffusivity_m2_s
    }
}
