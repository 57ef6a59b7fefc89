//! Capacitance from geometry: cover, lead, metal behind, and the plate by itself.

use crate::out_of_range::OutOfRange;

/// Permittivity of vacuum, F/m: CODATA 2018.
pub const VACUUM_F_M: f64 = 8.854_187_812_8e-12;
/// Lead to its surroundings, F/m: 10 to 15 pF/m (trade.md `plate.press-length`: typical, from memory).
pub const LEAD_F_M: [f64; 2] = [10e-12, 15e-12];

/// Two parallel plates, ε0·εr·A/d, F: the field at the edges is left out.
///
/// - `permittivity`: relative, 1 to 100; `area_m2`: up to 1; `distance_m`: 1 µm to 1 m.
///
/// The edge adds: for a disc in air half as much again once `distance_m` reaches half its radius ([`edge_factor`]).
///
/// # Errors
/// [`OutOfRange`] names the argument.
///
/// By hand, 20 by 20 mm, 2 mm of εr 2.7: 8.854e-12·2.7·4e-4/2e-3 = 4.78 pF.
///
/// ```
/// let farad = models::touch::capacitance::plates_f(2.7, 4e-4, 2e-3).unwrap();
/// assert!((farad - 4.781261e-12).abs() < 1e-18);
/// ```
pub fn plates_f(permittivity: f64, area_m2: f64, distance_m: f64) -> Result<f64, OutOfRange> {
    OutOfRange::check("permittivity", permittivity, 1.0, 100.0)?;
    OutOfRange::check("area_m2", area_m2, 0.0, 1.0)?;
    OutOfRange::check("distance_m", distance_m, 1e-6, 1.0)?;
    Ok(VACUUM_F_M * permittivity * area_m2 / distance_m)
}

/// Area of a disc, m².
pub fn disc_m2(diameter_m: f64) -> f64 {
    std::f64::consts::FRAC_PI_4 * diameter_m * diameter_m
}

/// What the edge field of two discs in air multiplies [`plates_f`] by; 1 and above.
///
/// Kirchhoff's edge term, 1 + d/(π·r)·(ln(16π·r/d) - 1) (Landau and Lifshitz, *Electrodynamics of Continuous Media*, §3,
/// problem; from memory). Meant for `distance_m` up to the radius.
///
/// By hand, 60 mm disc at 10 mm: 1 + 1/(3π)·(ln 150.8 - 1) = 1.43.
///
/// ```
/// assert!((models::touch::capacitance::edge_factor(0.06, 0.01) - 1.426).abs() < 1e-3);
/// ```
pub fn edge_factor(diameter_m: f64, distance_m: f64) -> f64 {
    let ratio = (2.0 * distance_m / diameter_m).clamp(1e-9, 1.0);
    1.0 + ratio / std::f64::consts::PI * ((16.0 * std::f64::consts::PI / ratio).ln() - 1.0)
}

/// A disc alone in free space, 8·ε0·r, F (textbook; from memory).
pub fn lone_disc_f(diameter_m: f64) -> f64 {
    4.0 * VACUUM_F_M * diameter_m
}

/// Capacitances in series, F: the smallest rules. A bare plate has an infinite cover.
pub fn series_f(parts_f: &[f64]) -> f64 {
    1.0 / parts_f.iter().map(|farad| 1.0 / farad).sum::<f64>()
}

/// A plate as it hangs, untouched.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Idle {
    /// Pin, protection and board, F: 8 pF (5..15), estimated from a clamp below 1 pF and 50 mm of trace.
    pub pin_f: f64,
    /// Lead from plate to board, m; 0 to 2.
    pub lead_m: f64,
    /// Of the lead, F/m.
    pub lead_f_m: f64,
    /// Of the plate, taken as a disc of the same area, m; 1 mm to 0.5 m.
    pub diameter_m: f64,
    /// Earthed metal behind it, m away; None: no metal near.
    pub metal_m: Option<f64>,
}

impl Idle {
    /// Its capacitance to earth, F; 20 pF (10..60) is usual (trade.md §3: typical, from memory).
    ///
    /// # Errors
    /// [`OutOfRange`] names the field.
    pub fn farad(&self) -> Result<f64, OutOfRange> {
        let within = OutOfRange::check;
        within("pin_f", self.pin_f, 0.0, 1e-9)?;
        within("lead_m", self.lead_m, 0.0, 2.0)?;
        within("lead_f_m", self.lead_f_m, 0.0, 1e-9)?;
        within("diameter_m", self.diameter_m, 1e-3, 0.5)?;
        let lone_f = lone_disc_f(self.diameter_m);
        let plate_f = match self.metal_m {
            // One face to the metal, the other into the open.
            Some(metal_m) => plates_f(1.0, disc_m2(self.diameter_m), metal_m)? + lone_f / 2.0,
            None => lone_f,
        };
        Ok(self.pin_f + self.lead_m * self.lead_f_m + plate_f)
    }
}

/// How much the idle capacitance rises when metal comes from afar to `metal_m` behind the plate, F: a swinging
/// door is a press if this is near what a finger brings.
///
/// # Errors
/// [`OutOfRange`] names the argument.
pub fn metal_behind_f(diameter_m: f64, metal_m: f64) -> Result<f64, OutOfRange> {
    plates_f(1.0, disc_m2(diameter_m), metal_m)
}
