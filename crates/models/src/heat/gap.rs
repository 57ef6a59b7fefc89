//! The gap between a board and its case: too narrow for air to turn over, so it conducts, and the faces radiate.
//!
//! Air in a layer begins to circulate at a Rayleigh number of 1,708 (Jeffreys 1928, heated from below; a standing layer
//! starts later; from memory). Below, k/gap is exact. Above, conduction alone is the hot side: no plate formula holds
//! there, so none is used, and the answer carries a flag.

use super::ZERO_C_K;
use super::air::Air;
use super::convection::rayleigh;
use super::radiation::coefficient_w_m2k;
use crate::out_of_range::OutOfRange;

/// Rayleigh number at which a layer heated from below begins to circulate.
pub const CRITICAL_RAYLEIGH: f64 = 1_708.0;

/// What a gap passes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// By conduction of the air, W/(m² K).
    pub conduction_w_m2k: f64,
    /// By radiation between the faces, W/(m² K).
    pub radiation_w_m2k: f64,
    /// Over the whole gap.
    pub rayleigh: f64,
}

impl Gap {
    /// A gap of `gap_m` (0.1 mm to 0.1 m) between faces at `hot_c` and `cold_c` (-60 to 150 °C).
    ///
    /// - `emissivity`: of the two faces together, 0 to 1; 0.9 for varnished board and plastic (typical, from memory).
    ///
    /// # Errors
    /// [`OutOfRange`] names the argument.
    ///
    /// By hand: 8 mm at 27 °C is 0.0264/0.008 = 3.3 W/(m² K); radiation adds 5 to 6.
    ///
    /// ```
    /// let gap = models::heat::gap::Gap::new(0.008, 52.0, 27.0, 0.9).unwrap();
    /// assert!((gap.conduction_w_m2k - 3.4).abs() < 0.1 && !gap.circulates());
    /// ```
    pub fn new(gap_m: f64, hot_c: f64, cold_c: f64, emissivity: f64) -> Result<Self, OutOfRange> {
        let within = OutOfRange::check;
        within("gap_m", gap_m, 1e-4, 0.1)?;
        within("hot_c", hot_c, -60.0, 150.0)?;
        within("cold_c", cold_c, -60.0, 150.0)?;
        within("emissivity", emissivity, 0.0, 1.0)?;
        let air = Air::at_k(f64::midpoint(hot_c, cold_c) + ZERO_C_K);
        Ok(Self {
            conduction_w_m2k: air.conductivity_w_m_k / gap_m,
            radiation_w_m2k: coefficient_w_m2k(emissivity, hot_c, cold_c),
            rayleigh: rayleigh(&air, hot_c - cold_c, gap_m),
        })
    }

    /// Both ways together, W/(m² K).
    pub fn total_w_m2k(&self) -> f64 {
        self.conduction_w_m2k + self.radiation_w_m2k
    }

    /// Whether the air may turn over: then it passes more than is counted here.
    pub fn circulates(&self) -> bool {
        self.rayleigh > CRITICAL_RAYLEIGH
    }
}
