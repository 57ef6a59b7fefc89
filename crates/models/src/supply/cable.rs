//! The voltage that is left at the board when a load draws through a resistance.
//!
//! Two kinds of load behave differently. Behind a linear regulator the board draws a *current*: the voltage
//! falls in proportion. Behind a switching regulator it draws *power*: the lower the voltage, the higher the
//! current, so there are two voltages that satisfy the circuit, and none at all beyond V²/4R.

/// What the board draws at its terminals: a current and a power, of which either may be 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Load {
    /// The part that does not depend on voltage, in A.
    pub current_a: f64,
    /// The part whose product of voltage and current is constant, in W.
    pub power_w: f64,
}

impl Load {
    /// A load of constant current, as behind a linear regulator.
    pub const fn current(current_a: f64) -> Self {
        Self { current_a, power_w: 0.0 }
    }

    /// A load of constant power, as behind a switching regulator.
    pub const fn power(power_w: f64) -> Self {
        Self { current_a: 0.0, power_w }
    }
}

/// The working point of a load behind a resistance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Delivered {
    /// Voltage at the board: the higher solution, the one a converter finds when it is switched on first and
    /// loaded later.
    pub volt_v: f64,
    /// Current in the cable, in A.
    pub current_a: f64,
    /// The lower solution, 0 for a load of constant current. A board that starts under load may stick here.
    pub other_volt_v: f64,
}

/// The source and the cable cannot feed this load at any voltage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Collapse {
    /// The most power that can arrive beside the constant current, V²/4R, in W.
    pub ceiling_w: f64,
    /// The power that is asked for, in W.
    pub wanted_w: f64,
}

impl std::fmt::Display for Collapse {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "the load asks for {} W, at most {} W can arrive", self.wanted_w, self.ceiling_w)
    }
}

impl std::error::Error for Collapse {}

/// Voltage and current at the board for a load behind a source of `source_v` and a loop of `loop_ohm`.
///
/// - `source_v`: open voltage of the source less diodes on the way, in V.
/// - `loop_ohm`: everything in series: source, cable out and back, contacts; at least 0.
///
/// With V' = V - R·I the board sees (V' + sqrt(V'² - 4RP))/2 (circuit theory, exact).
///
/// # Errors
///
/// [`Collapse`] when no voltage satisfies the circuit.
///
/// # Examples
///
/// 1.5 W from 5 V through 1.08 Ω: (5 + sqrt(25 - 6.48))/2 = 4.652 V:
///
/// ```
/// use models::supply::cable::{delivered, Load};
/// let at_board = delivered(5.0, 1.08, Load::power(1.5))?;
/// assert!((at_board.volt_v - 4.651743).abs() < 1e-6);
/// assert!((at_board.current_a - 0.322460).abs() < 1e-6);
/// # Ok::<(), models::supply::cable::Collapse>(())
/// ```
pub fn delivered(source_v: f64, loop_ohm: f64, load: Load) -> Result<Delivered, Collapse> {
    let open_v = source_v - loop_ohm * load.current_a;
    let ceiling_w = if loop_ohm > 0.0 { open_v.max(0.0).powi(2) / (4.0 * loop_ohm) } else { f64::INFINITY };
    if open_v <= 0.0 || load.power_w > ceiling_w {
        return Err(Collapse { ceiling_w, wanted_w: load.power_w });
    }
    let root = (open_v * open_v - 4.0 * loop_ohm * load.power_w).max(0.0).sqrt();
    let volt_v = f64::midpoint(open_v, root);
    Ok(Delivered {
        volt_v,
        current_a: load.current_a + load.power_w / volt_v,
        // Vieta: the product of the solutions is R·P; the difference of two near numbers would lose digits.
        other_volt_v: loop_ohm * load.power_w / volt_v,
    })
}

/// What keeps a reversed or alternating feed from killing the station, and what it costs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Polarity {
    /// Nothing: reversed leads destroy the board.
    None,
    /// One diode in series.
    Diode,
    /// Four diodes: either way round, and alternating current.
    Bridge,
    /// A transistor in series.
    Transistor,
}

impl Polarity {
    /// Voltage lost on the way in, in V. Diode 0.4 (0.3..0.5), bridge two silicon drops of 0.8, transistor
    /// 0.05: typical, from memory.
    pub const fn drop_v(self) -> f64 {
        match self {
            Self::None => 0.0,
            Self::Diode => 0.4,
            Self::Bridge => 1.6,
            Self::Transistor => 0.05,
        }
    }

    /// Whether reversed leads do no harm.
    pub const fn stands_reversed(self) -> bool {
        !matches!(self, Self::None)
    }

    /// Whether the station runs from alternating current through it. A single diode would: half-wave, which
    /// saturates a small transformer, so it does not count.
    pub const fn takes_alternating(self) -> bool {
        matches!(self, Self::Bridge)
    }
}

/// How a lock on the same supply is driven, for the current at the moment of release.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lock {
    /// A coil on direct current: no inrush, the inductance slows the rise.
    DirectCoil,
    /// A coil on alternating current: little inductance until the armature closes.
    AlternatingCoil,
    /// A motor: at rest it has no counter-voltage.
    Motor,
}

/// Inrush over steady current of a lock: 1, 3 (2..6) and 4 (3..5), typical, from memory.
pub const fn lock_inrush_factor(lock: Lock) -> f64 {
    match lock {
        Lock::DirectCoil => 1.0,
        Lock::AlternatingCoil => 3.0,
        Lock::Motor => 4.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn no_resistance_loses_no_voltage() {
        let at_board = delivered(5.0, 0.0, Load { current_a: 0.1, power_w: 2.0 }).unwrap();
        assert_eq!((at_board.volt_v, at_board.other_volt_v), (5.0, 0.0));
        assert!((at_board.current_a - 0.5).abs() < 1e-12);
    }

    #[test]
    fn at_the_ceiling_both_solutions_meet_at_half_the_voltage() {
        let at_board = delivered(5.0, 1.0, Load::power(6.25)).unwrap();
        assert!((at_board.volt_v - 2.5).abs() < 1e-6 && (at_board.other_volt_v - 2.5).abs() < 1e-6);
        assert!(delivered(5.0, 1.0, Load::power(6.2501)).is_err());
    }

    #[test]
    fn a_current_that_eats_the_whole_voltage_is_a_collapse() {
        assert!(delivered(5.0, 10.0, Load::current(0.5)).is_err());
    }

    proptest! {
        #[test]
        fn power_is_conserved(v in 3.0..24.0, r in 0.01..5.0, i in 0.0..0.3, p in 0.0..3.0) {
            if let Ok(at_board) = delivered(v, r, Load { current_a: i, power_w: p }) {
                let lost_w = at_board.current_a.powi(2) * r;
                let used_w = at_board.volt_v * at_board.current_a;
                prop_assert!((v * at_board.current_a - lost_w - used_w).abs() < 1e-9);
                prop_assert!(at_board.other_volt_v <= at_board.volt_v + 1e-12);
            }
        }
    }
}
