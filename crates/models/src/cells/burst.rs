//! The state of charge at which a pack can no longer carry a burst.
//!
//! OCV(s) - I·(R(T, age, s) + R_wire) >= the least voltage at the board: the higher of brown-out and sensor
//! rail, plus dropout. After a brown-out the *start* must fit at that same charge, or the board boots, fails and
//! boots again until the rest is gone: [`restart`] tells.

use super::chemistry::Data;

/// Cells wired together, all alike. Parallel cells must be matched; that is a caution, not a number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pack {
    /// Numbers of the chemistry.
    pub data: &'static Data,
    /// Cells in series, at least 1.
    pub series: f64,
    /// Strings in parallel, at least 1.
    pub parallel: f64,
    /// Resistance of one cell at 25 °C, fresh and full, in Ω.
    pub cell_r25_ohm: f64,
    /// Activation energy of that resistance, in J/mol.
    pub activation_j_mol: f64,
    /// Factor on it after three years.
    pub aged_factor: f64,
    /// Wire, contacts and protection in series with the pack, in Ω: neither cold nor age changes it.
    pub wire_ohm: f64,
}

impl Pack {
    /// A pack with the chemistry's typical resistance and no wire.
    pub const fn typical(data: &'static Data, series: f64, parallel: f64) -> Self {
        Self {
            data,
            series,
            parallel,
            cell_r25_ohm: data.r25_ohm,
            activation_j_mol: data.activation_j_mol,
            aged_factor: data.aged_factor,
            wire_ohm: 0.0,
        }
    }
}

/// The hardest short load, at the pack's terminals.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Burst {
    /// The part of constant current (linear regulator, or none), in A.
    pub current_a: f64,
    /// The part of constant power (switching regulator), in W.
    pub power_w: f64,
    /// The least voltage that must be left, in V: max(brown-out, sensor rail) + dropout.
    pub least_v: f64,
}

impl Burst {
    /// Open-circuit voltage that leaves `least_v` behind a resistance of `ohm`, in V.
    ///
    /// At the end the voltage *is* `least_v`, so a power draws P/V there. If that point lies on the lower
    /// branch (V² < R·P), the circuit collapses earlier, at 2·sqrt(R·P).
    pub fn open_v(&self, ohm: f64) -> f64 {
        let beside_power_v = if self.least_v * self.least_v >= ohm * self.power_w {
            self.least_v + ohm * self.power_w / self.least_v
        } else {
            2.0 * (ohm * self.power_w).sqrt()
        };
        beside_power_v + ohm * self.current_a
    }
}

/// Both factors on a cell's resistance: temperature times age.
///
/// From [`super::resistance::cold_factor`] and [`super::resistance::age_factor`].
pub fn resistance_factor(pack: &Pack, temp_k: f64, age_s: f64) -> f64 {
    super::resistance::cold_factor(pack.activation_j_mol, temp_k)
        * super::resistance::age_factor(pack.aged_factor, age_s)
}

/// State of charge below which the burst fails, 0 to 1; above 1 when it fails even on a full pack.
///
/// - `factor`: [`resistance_factor`], at least 0.
///
/// Found on the open-circuit curve, exactly between its points (the resistance that grows towards empty is
/// linear too, and for a constant power taken at the current of the end).
///
/// # Examples
///
/// Rail 2.8 V and dropout 0.2 V; 0.15 Ω, five times in the cold, 1.5 times by age, 0.4 A; 0.1 V lost in contacts:
/// 3.0 + 0.45 + 0.1 = 3.55 V, which the lithium-ion curve has at 27 %:
///
/// ```
/// use models::cells::{burst::{end_soc, Burst, Pack}, chemistry::Chemistry};
/// let pack = Pack { cell_r25_ohm: 0.15, wire_ohm: 0.25, ..Pack::typical(Chemistry::LiIon.data(), 1.0, 1.0) };
/// let burst = Burst { current_a: 0.4, power_w: 0.0, least_v: 3.0 };
/// assert!((end_soc(&pack, &burst, 5.0 * 1.5) - 0.27).abs() < 0.001);
/// ```
pub fn end_soc(pack: &Pack, burst: &Burst, factor: f64) -> f64 {
    let full_ohm = pack.cell_r25_ohm * factor * pack.series / pack.parallel;
    let growth = pack.data.growth_when_empty;
    // Without growth the need is the same at every charge: worked out once, because lives ask every month.
    let flat_v = (growth == 0.0).then(|| burst.open_v(full_ohm + pack.wire_ohm));
    // What the pack has at a point beyond what the burst needs.
    let margin_v = |soc: f64, volt_v: f64| {
        let need_v =
            flat_v.unwrap_or_else(|| burst.open_v(full_ohm * (1.0 + growth * (1.0 - soc)) + pack.wire_ohm));
        volt_v * pack.series - need_v
    };
    let points = pack.data.ocv;
    // Both what the pack has and what its own resistance leaves rise with the charge: search by halving.
    let after = points.partition_point(|point| margin_v(point.soc, point.volt_v) < 0.0);
    let short = |i: usize| -margin_v(points[i].soc, points[i].volt_v);
    match (after.checked_sub(1), points.get(after)) {
        (None, _) => 0.0,
        (Some(below), Some(above)) => {
            let (from, to) = (short(below), short(after));
            points[below].soc + (above.soc - points[below].soc) * from / (from - to)
        }
        // Never: 1 and the volts that are missing, so that a root finder still sees a slope.
        (Some(full), None) => points[full].soc + short(full),
    }
}

/// Whether a pack that has just failed a burst can start the station again.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Restart {
    /// State of charge at which running fails.
    pub run_end_soc: f64,
    /// State of charge at which starting fails.
    pub start_end_soc: f64,
    /// Whether the board loops: it runs at a charge at which it cannot start, so that one brown-out is its last.
    pub loops: bool,
}

/// Compares running and starting at the same temperature and age; see [`end_soc`].
pub fn restart(pack: &Pack, run: &Burst, start: &Burst, factor: f64) -> Restart {
    let run_end_soc = end_soc(pack, run, factor);
    let start_end_soc = end_soc(pack, start, factor);
    Restart { run_end_soc, start_end_soc, loops: start_end_soc > run_end_soc }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cells::{chemistry::Chemistry, ocv};
    use proptest::prelude::*;

    fn li_ion() -> Pack {
        Pack::typical(Chemistry::LiIon.data(), 1.0, 1.0)
    }

    #[test]
    fn a_collapsing_power_ends_before_its_least_voltage() {
        // 4 W behind 1 Ω: 1 V² < R·P, so the source needs 2·sqrt(4) = 4 V although 1 V would do.
        let burst = Burst { current_a: 0.0, power_w: 4.0, least_v: 1.0 };
        assert_eq!(burst.open_v(1.0), 4.0);
    }

    #[test]
    fn a_harder_start_than_run_loops() {
        let run = Burst { current_a: 0.25, power_w: 0.0, least_v: 3.3 };
        let start = Burst { current_a: 0.45, ..run };
        assert!(restart(&li_ion(), &run, &start, 5.0).loops);
        assert!(!restart(&li_ion(), &start, &run, 5.0).loops);
    }

    #[test]
    fn an_impossible_burst_is_above_one() {
        let burst = Burst { current_a: 0.0, power_w: 0.0, least_v: 5.0 };
        assert!((end_soc(&li_ion(), &burst, 1.0) - 1.8).abs() < 1e-12);
    }

    proptest! {
        #[test]
        fn voltage_at_the_end_is_the_least_voltage(
            current_a in 0.0..0.6, least_v in 2.6..3.8, factor in 0.5..6.0, wire_ohm in 0.0..0.2,
        ) {
            let pack = Pack { wire_ohm, ..li_ion() };
            let burst = Burst { current_a, power_w: 0.0, least_v };
            let soc = end_soc(&pack, &burst, factor);
            if (1e-9..1.0).contains(&soc) {
                let left_v = ocv::volt_v(pack.data.ocv, soc) - current_a * (pack.cell_r25_ohm * factor + wire_ohm);
                prop_assert!((left_v - least_v).abs() < 1e-9);
            }
        }

        #[test]
        fn cold_never_helps_and_parallel_never_harms(factor in 0.5..6.0, more in 1.0..2.0) {
            for chemistry in Chemistry::ALL {
                let data = chemistry.data();
                let pack = Pack::typical(data, 3.0, 1.0);
                let twice = Pack { parallel: 2.0, ..pack };
                let burst = Burst { current_a: 0.4, power_w: 0.5, least_v: 3.0 };
                let end = end_soc(&pack, &burst, factor);
                prop_assert!(end_soc(&pack, &burst, factor * more) >= end - 1e-12);
                prop_assert!(end_soc(&twice, &burst, factor) <= end + 1e-12);
            }
        }
    }
}
