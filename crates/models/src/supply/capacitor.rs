//! Capacitors at the board: what is left of the printed value, what a burst does, what rides a gap.
//!
//! A burst is judged in two parts: the step across the capacitor's own resistance comes first and cannot be
//! cured by capacitance; the slow fall after it can. Inductance is left out (bursts here last 0.1 ms or more).

use crate::out_of_range::OutOfRange;

/// What a bulk capacitor is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Loses capacitance under voltage.
    Ceramic,
    /// Series resistance rises in the cold.
    Electrolytic,
}

/// A capacitor as it works in place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Capacitor {
    /// Capacitance that is left, in F.
    pub farad: f64,
    /// Series resistance, in Ω.
    pub esr_ohm: f64,
}

/// Share of the printed capacitance that a ceramic keeps at its working voltage: 0.5 (0.2..0.8), typical,
/// from memory.
pub const CERAMIC_KEPT: f64 = 0.5;

/// Factor on an electrolytic's series resistance at -20 °C over 20 °C: 5 (3..10), typical, from memory.
pub const ELECTROLYTIC_COLD: f64 = 5.0;

impl Capacitor {
    /// What is left of a printed capacitor at `temp_k`.
    ///
    /// - `printed_f`, `esr_ohm`: printed value and series resistance at 20 °C.
    ///
    /// Ceramic: [`CERAMIC_KEPT`]. Electrolytic: capacitance kept, resistance growing exponentially to
    /// [`ELECTROLYTIC_COLD`] at -20 °C, unchanged above 20 °C.
    pub fn in_place(kind: Kind, printed_f: f64, esr_ohm: f64, temp_k: f64) -> Self {
        match kind {
            Kind::Ceramic => Self { farad: printed_f * CERAMIC_KEPT, esr_ohm },
            Kind::Electrolytic => {
                let cold = ((293.15 - temp_k) / 40.0).max(0.0);
                Self { farad: printed_f, esr_ohm: esr_ohm * ELECTROLYTIC_COLD.powf(cold) }
            }
        }
    }
}

/// How far the voltage at the board sags when the current steps up by `step_a` for `burst_s`, in V.
///
/// The source has `source_ohm` in series (cable, contacts, itself); the capacitor sits at the board, charged.
/// Circuit theory, exact: I·R·(1 - R/(R + r)·exp(-t/((R + r)·C))), r the capacitor's resistance. At once it is
/// I·(R parallel r), in the end I·R.
pub fn sag_v(source_ohm: f64, capacitor: Capacitor, step_a: f64, burst_s: f64) -> f64 {
    let sum_ohm = source_ohm + capacitor.esr_ohm;
    if source_ohm <= 0.0 {
        return 0.0;
    }
    let decay = if capacitor.farad > 0.0 { (-burst_s / (sum_ohm * capacitor.farad)).exp() } else { 0.0 };
    step_a * source_ohm * (1.0 - source_ohm / sum_ohm * decay)
}

/// What it takes to keep a burst's sag within bounds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Bulk {
    /// The cable alone stays within bounds.
    NoneNeeded,
    /// At least this much working capacitance, in F.
    Farad(f64),
    /// No capacitance helps: the step across the capacitor's own resistance is already too much, in V.
    TooResistive {
        /// The sag at the first instant.
        first_step_v: f64,
    },
}

/// Capacitance that keeps the sag of [`sag_v`] at `allowed_v` or less at the end of the burst.
pub fn bulk_for_sag(source_ohm: f64, esr_ohm: f64, step_a: f64, burst_s: f64, allowed_v: f64) -> Bulk {
    let end_v = step_a * source_ohm;
    if end_v <= allowed_v {
        return Bulk::NoneNeeded;
    }
    let sum_ohm = source_ohm + esr_ohm;
    let first_step_v = end_v * esr_ohm / sum_ohm;
    let decay = (1.0 - allowed_v / end_v) * sum_ohm / source_ohm;
    if decay >= 1.0 {
        return Bulk::TooResistive { first_step_v };
    }
    Bulk::Farad(-burst_s / (sum_ohm * decay.ln()))
}

/// How long a charged capacitor carries `load_a` alone from `from_v` to `to_v`, in s: C·(V₁ - V₂ - I·r)/I.
///
/// ```
/// use models::supply::capacitor::{hold_up_s, Capacitor};
/// // 1000 uF, 5 to 4.5 V at 0.3 A: 1e-3 × 0.5/0.3 = 1.667 ms.
/// let ideal = Capacitor { farad: 1000e-6, esr_ohm: 0.0 };
/// assert!((hold_up_s(ideal, 5.0, 4.5, 0.3) - 1.6667e-3).abs() < 1e-7);
/// ```
pub fn hold_up_s(capacitor: Capacitor, from_v: f64, to_v: f64, load_a: f64) -> f64 {
    (capacitor.farad * (from_v - to_v - load_a * capacitor.esr_ohm) / load_a).max(0.0)
}

/// Capacitance that carries `power_w` for `gap_s` while its voltage falls from `from_v` to `to_v`, in F.
///
/// C = 2Pt/(η(V₁² - V₂²)), energy conservation; η the converter's efficiency. It is what a station in series
/// with a chime on an old two-wire bell line needs, because the press that rings it shorts the supply for
/// 0.3 to 3 s (typical, from memory).
///
/// ```
/// // 1.5 W for 1 s from 12 to 6 V at 85 %: 3/(0.85 × 108) = 33 mF.
/// let farad = models::supply::capacitor::gap_farad(1.5, 1.0, 0.85, 12.0, 6.0)?;
/// assert!((farad - 32.7e-3).abs() < 1e-4);
/// # Ok::<(), models::out_of_range::OutOfRange>(())
/// ```
pub fn gap_farad(power_w: f64, gap_s: f64, eta: f64, from_v: f64, to_v: f64) -> Result<f64, OutOfRange> {
    let eta = OutOfRange::check("eta", eta, 1e-3, 1.0)?;
    let from_v = OutOfRange::check("from_v", from_v, 0.0, 100.0)?;
    // The end must lie below the start; at equality no capacitance is enough.
    let to_v = OutOfRange::check("to_v", to_v, 0.0, from_v * (1.0 - 1e-6))?;
    Ok(2.0 * power_w * gap_s / (eta * (from_v * from_v - to_v * to_v)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_cold_electrolytic_has_five_times_the_resistance() {
        let cold = Capacitor::in_place(Kind::Electrolytic, 470e-6, 0.1, 253.15);
        assert!((cold.esr_ohm - 0.5).abs() < 1e-12 && cold.farad == 470e-6);
    }

    #[test]
    fn sag_starts_at_both_resistances_side_by_side_and_ends_at_the_cable_alone() {
        let capacitor = Capacitor { farad: 1e-3, esr_ohm: 0.25 };
        assert!((sag_v(1.0, capacitor, 0.4, 0.0) - 0.4 * 0.2).abs() < 1e-12);
        assert!((sag_v(1.0, capacitor, 0.4, 1.0) - 0.4).abs() < 1e-12);
    }

    #[test]
    fn sag_equals_a_step_by_step_integration() {
        // Second derivation: explicit Euler of the capacitor's own voltage, 1e-7 s steps.
        let (source_v, ohm, step_a) = (5.0, 1.2, 0.35);
        let capacitor = Capacitor { farad: 330e-6, esr_ohm: 0.08 };
        let (mut inner_v, dt) = (source_v, 1e-7);
        let mut board_v = source_v;
        for _ in 0..5000 {
            // Node: (Vs - V)/R + (Vc - V)/r = I.
            board_v = (source_v / ohm + inner_v / capacitor.esr_ohm - step_a)
                / (1.0 / ohm + 1.0 / capacitor.esr_ohm);
            inner_v -= (inner_v - board_v) / capacitor.esr_ohm / capacitor.farad * dt;
        }
        // Euler's error at this step is below 1e-4 of the sag.
        assert!((source_v - board_v - sag_v(ohm, capacitor, step_a, 5e-4)).abs() < 1e-4);
    }

    proptest! {
        #[test]
        fn the_needed_capacitance_gives_the_allowed_sag(
            ohm in 0.1..3.0, esr in 0.001..0.2, step_a in 0.05..0.6, burst_s in 1e-4..0.3, share in 0.05..0.95,
        ) {
            let allowed_v = share * step_a * ohm;
            match bulk_for_sag(ohm, esr, step_a, burst_s, allowed_v) {
                Bulk::Farad(farad) => {
                    let sag = sag_v(ohm, Capacitor { farad, esr_ohm: esr }, step_a, burst_s);
                    prop_assert!((sag - allowed_v).abs() < 1e-9);
                }
                Bulk::TooResistive { first_step_v } => prop_assert!(first_step_v >= allowed_v - 1e-12),
                Bulk::NoneNeeded => prop_assert!(false, "the cable alone sags by more"),
            }
        }
    }
}
