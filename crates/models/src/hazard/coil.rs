//! A coil whose current is cut: what the switch must stand, and how long the armature stays.
//!
//! The coil is an inductance with a resistance; eddy currents and the armature's own travel are left out, and both make a
//! real lock slower.

/// Energy stored in a coil, J: `L I²/2`.
///
/// ```
/// // 50 mH at 0.5 A: 6.25 mJ.
/// assert!((models::hazard::coil::stored_j(0.050, 0.5) - 6.25e-3).abs() < 1e-15);
/// ```
pub fn stored_j(henry: f64, amp: f64) -> f64 {
    0.5 * henry * amp * amp
}

/// Time in which the current of a coil at `supply_v` falls to 0 against a clamp of `clamp_v`, s:
/// `(L/R) ln(1 + V/Vc)`. A plain diode clamps at about 0.7 V.
///
/// ```
/// // 50 mH, 24 ohm, 12 V against 24 V: 0.844719 ms.
/// let s = models::hazard::coil::to_zero_s(0.050 / 24.0, 12.0, 24.0);
/// assert!((s - 0.844_719e-3).abs() < 1e-9);
/// ```
pub fn to_zero_s(time_constant_s: f64, supply_v: f64, clamp_v: f64) -> f64 {
    time_constant_s * (supply_v / clamp_v).ln_1p()
}

/// Time in which it falls to a share of what it was, s: `(L/R) ln((V + Vc)/(share V + Vc))`.
///
/// ```
/// // 12 V, to 15 %: 1.6 L/R with a diode, 0.33 L/R with a clamp of 24 V.
/// use models::hazard::coil::to_share_s;
/// assert!((to_share_s(1.0, 12.0, 0.7, 0.15) - 1.62).abs() < 0.01);
/// assert!((to_share_s(1.0, 12.0, 24.0, 0.15) - 0.33).abs() < 0.01);
/// ```
pub fn to_share_s(time_constant_s: f64, supply_v: f64, clamp_v: f64, share: f64) -> f64 {
    time_constant_s * ((supply_v + clamp_v) / (share * supply_v + clamp_v)).ln()
}

/// Voltage at the switch when a current is cut in a time without a clamp, V: `L I/t`.
///
/// ```
/// // 50 mH, 0.5 A, 10 us: 2,500 V.
/// assert!((models::hazard::coil::unclamped_v(0.050, 0.5, 10e-6) - 2500.0).abs() < 1e-9);
/// ```
pub fn unclamped_v(henry: f64, amp: f64, cut_s: f64) -> f64 {
    henry * amp / cut_s
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn printed_release_times_come_out() {
        // references.md 10: 12 V, 24 ohm, 50 mH; computed there.
        for (clamp_v, ms) in [(0.7, 6.038_077), (12.0, 1.444_057), (24.0, 0.844_719), (36.0, 0.599_338)] {
            assert!((to_zero_s(0.050 / 24.0, 12.0, clamp_v) * 1e3 - ms).abs() < 1e-6);
        }
    }

    #[test]
    fn the_closed_form_is_the_stepped_circuit() {
        // L dI/dt = -R I - Vc, by small steps: the second way to the same number.
        let (henry, ohm, supply_v, clamp_v) = (0.050, 24.0, 12.0, 24.0);
        let (mut amp, mut t_s, step_s) = (supply_v / ohm, 0.0, 1e-8);
        while amp > 0.15 * supply_v / ohm {
            amp -= step_s * (ohm * amp + clamp_v) / henry;
            t_s += step_s;
        }
        // Steps of 10 ns: the error is of one step's order.
        assert!((t_s - to_share_s(henry / ohm, supply_v, clamp_v, 0.15)).abs() < 1e-7);
    }
}
