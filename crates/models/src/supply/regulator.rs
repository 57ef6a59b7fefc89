//! A regulator: what it draws for what it gives, and the least voltage it needs.
//!
//! There is no single efficiency. A linear regulator passes the load's current on and adds its own; a switching
//! one passes power on, at an efficiency that falls towards small currents; asleep, its own current is all.

use super::cable::Load;

/// How the input is turned into the rail.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Burns the difference: draws the load's current.
    Linear,
    /// Converts: draws the load's power.
    Switching,
}

/// Efficiency of a switching regulator at one output current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Efficiency {
    /// Output current in A, above 0.
    pub current_a: f64,
    /// Output power over input power, own current left out, 0 to 1.
    pub eta: f64,
}

/// A regulator as its sheet describes it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Regulator {
    /// Linear or switching.
    pub kind: Kind,
    /// The rail that it makes, in V.
    pub rail_v: f64,
    /// Its own current, load or none, in A.
    pub iq_a: f64,
    /// The least by which the input must be above the rail, in V; 0 for one that also steps up.
    pub dropout_v: f64,
    /// Switching only: efficiency at three loads, rising in current. Between them linear in the logarithm of
    /// the current, outside flat.
    pub eta: [Efficiency; 3],
}

impl Regulator {
    /// A modern low-drop linear regulator: 30 uA (1..80), dropout 0.2 V (0.1..0.4); typical, from memory.
    pub const fn linear(rail_v: f64) -> Self {
        Self { kind: Kind::Linear, rail_v, iq_a: 30e-6, dropout_v: 0.2, eta: FLAT }
    }

    /// A step-down converter: 0.88 (0.80..0.93) at 0.2 A and 0.5 (0.2..0.8) at 0.1 mA, both typical, from
    /// memory; 0.8 at 5 mA and 20 uA of its own estimated to fit between them.
    pub const fn switching(rail_v: f64) -> Self {
        let eta = [
            Efficiency { current_a: 1e-4, eta: 0.5 },
            Efficiency { current_a: 5e-3, eta: 0.8 },
            Efficiency { current_a: 0.2, eta: 0.88 },
        ];
        Self { kind: Kind::Switching, rail_v, iq_a: 20e-6, dropout_v: 0.2, eta }
    }

    /// Efficiency of the conversion at an output of `out_a`; 1 for a linear regulator, whose loss is not a
    /// matter of conversion.
    pub fn efficiency(&self, out_a: f64) -> f64 {
        if self.kind == Kind::Linear {
            return 1.0;
        }
        let [low, mid, high] = self.eta;
        let between = |a: Efficiency, b: Efficiency| {
            let share = (out_a / a.current_a).ln() / (b.current_a / a.current_a).ln();
            a.eta + share * (b.eta - a.eta)
        };
        if out_a <= low.current_a {
            low.eta
        } else if out_a <= mid.current_a {
            between(low, mid)
        } else if out_a <= high.current_a {
            between(mid, high)
        } else {
            high.eta
        }
    }

    /// What the regulator asks of the cable or cell when the rail gives `out_a`.
    ///
    /// ```
    /// use models::supply::regulator::Regulator;
    /// // 0.2 A at 3.3 V and 88 %: 0.66/0.88 = 0.75 W, and its own 20 uA.
    /// let load = Regulator::switching(3.3).load(0.2);
    /// assert!((load.power_w - 0.75).abs() < 1e-12 && load.current_a == 20e-6);
    /// // A linear one passes the current on.
    /// assert_eq!(Regulator::linear(3.3).load(0.2).current_a, 0.2 + 30e-6);
    /// ```
    pub fn load(&self, out_a: f64) -> Load {
        match self.kind {
            Kind::Linear => Load::current(out_a + self.iq_a),
            Kind::Switching => {
                Load { current_a: self.iq_a, power_w: self.rail_v * out_a / self.efficiency(out_a) }
            }
        }
    }

    /// Current drawn from `in_v` for `out_a` on the rail, in A.
    pub fn in_a(&self, in_v: f64, out_a: f64) -> f64 {
        let load = self.load(out_a);
        load.current_a + load.power_w / in_v
    }

    /// Heat in the regulator for `out_a` from `in_v`, in W.
    pub fn loss_w(&self, in_v: f64, out_a: f64) -> f64 {
        in_v * self.in_a(in_v, out_a) - self.rail_v * out_a
    }

    /// The least input voltage at which the rail holds, in V.
    pub fn least_in_v(&self) -> f64 {
        self.rail_v + self.dropout_v
    }
}

const FLAT: [Efficiency; 3] = [
    Efficiency { current_a: 1e-4, eta: 1.0 },
    Efficiency { current_a: 1e-2, eta: 1.0 },
    Efficiency { current_a: 1.0, eta: 1.0 },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn five_to_three_volts_linear_burns_a_third() {
        // trade.md, heat.linear-loss: 5 to 3.3 V is 34 % of all power (calc).
        let regulator = Regulator { iq_a: 0.0, ..Regulator::linear(3.3) };
        let share = regulator.loss_w(5.0, 0.2) / (5.0 * 0.2);
        assert!((share - 0.34).abs() < 1e-12);
    }

    #[test]
    fn efficiency_meets_its_three_points_and_stays_flat_outside() {
        let regulator = Regulator::switching(3.3);
        for point in regulator.eta {
            assert!((regulator.efficiency(point.current_a) - point.eta).abs() < 1e-12);
        }
        assert_eq!(regulator.efficiency(0.0), 0.5);
        assert_eq!(regulator.efficiency(3.0), 0.88);
        // Half way in the logarithm between 0.1 mA and 5 mA: sqrt(1e-4·5e-3) = 0.707 mA.
        assert!((regulator.efficiency(5e-7f64.sqrt()) - 0.65).abs() < 1e-12);
    }

    #[test]
    fn asleep_its_own_current_is_all() {
        assert_eq!(Regulator::switching(3.3).in_a(4.0, 0.0), 20e-6);
    }
}
