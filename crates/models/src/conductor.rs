//! Copper conductors: resistance of a metre, of a run out and back, cold or warm.
//!
//! Two sources that must not be mixed up. IEC 60228 gives the *maximum* resistance of the sizes that it knows,
//! from 0.5 mm² up; every other section (bell wire of 0.2 mm², wire by gauge) is computed from the resistivity
//! of annealed copper, and the answer says so. Nothing here knows about voltage or load: see
//! [`crate::supply::cable`].

use crate::out_of_range::OutOfRange;

/// Resistivity of standard annealed copper at 20 °C, in Ω·m: the IACS of IEC 60028:1925, 1/58 Ω·mm²/m.
pub const COPPER_OHM_M: f64 = 1.7241e-8;

/// Temperature coefficient of annealed copper at 20 °C, per kelvin (IEC 60028:1925).
pub const COPPER_PER_K: f64 = 0.003_93;

/// How the conductor is built, after IEC 60228.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Class {
    /// Class 1: one solid wire.
    Solid,
    /// Class 2: stranded.
    Stranded,
    /// Class 5: flexible, many fine wires.
    Flexible,
    /// Not a size of the standard, such as wire by gauge: always computed.
    Gauge,
}

/// Where a resistance comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// The greatest value that IEC 60228 permits for this size and class.
    Standard,
    /// Computed from the section and the resistivity of copper; no allowance for stranding or drawing.
    Computed,
}

/// Resistance of a conductor a metre at 20 °C, with where it comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PerMetre {
    /// Ω/m of one wire.
    pub ohm_m: f64,
    /// Standard or computed.
    pub basis: Basis,
}

/// mm², then Ω/km at 20 °C for class 1 and 2 (equal in these sizes) and class 5, plain copper.
///
/// IEC 60228, tables 1, 2 and 3. Rows up to 1.5 mm² were read in two cable makers' copies (mark a*); the rows
/// above are from memory (mark c).
pub const IEC_60228: [(f64, f64, f64); 8] = [
    (0.5, 36.0, 39.0),
    (0.75, 24.5, 26.0),
    (1.0, 18.1, 19.5),
    (1.5, 12.1, 13.3),
    (2.5, 7.41, 7.98),
    (4.0, 4.61, 4.95),
    (6.0, 3.08, 3.30),
    (10.0, 1.83, 1.91),
];

/// Resistance of one wire a metre at 20 °C.
///
/// - `section_m2`: copper cross-section, 1e-8 to 1e-4 m² (0.01 to 100 mm²). A size within 0.1 % of one in
///   IEC 60228 takes the standard's maximum for its class; any other is computed, and says so.
///
/// Tinned wire has about 2 % more (left out).
///
/// # Examples
///
/// 0.5 mm² solid has at most 36.0 Ω/km; 0.2 mm² is no size of the standard, 0.017241/0.2 = 86.2 Ω/km:
///
/// ```
/// use models::conductor::{per_metre, Basis, Class};
/// assert_eq!(per_metre(0.5e-6, Class::Solid)?.ohm_m, 36.0e-3);
/// let bell = per_metre(0.2e-6, Class::Solid)?;
/// assert!((bell.ohm_m - 86.205e-3).abs() < 1e-9 && bell.basis == Basis::Computed);
/// # Ok::<(), models::out_of_range::OutOfRange>(())
/// ```
pub fn per_metre(section_m2: f64, class: Class) -> Result<PerMetre, OutOfRange> {
    let section_m2 = OutOfRange::check("section_m2", section_m2, 1e-8, 1e-4)?;
    let row = IEC_60228.iter().find(|row| (section_m2 / (row.0 * 1e-6) - 1.0).abs() < 1e-3);
    let standard_ohm_km = match (class, row) {
        (Class::Solid | Class::Stranded, Some(row)) => Some(row.1),
        (Class::Flexible, Some(row)) => Some(row.2),
        (Class::Gauge, _) | (_, None) => None,
    };
    Ok(match standard_ohm_km {
        Some(ohm_km) => PerMetre { ohm_m: ohm_km / 1000.0, basis: Basis::Standard },
        None => PerMetre { ohm_m: COPPER_OHM_M / section_m2, basis: Basis::Computed },
    })
}

/// Diameter of a wire of American gauge `gauge`, in metres: 0.127 mm × 92^((36 - n)/39), ASTM B258.
///
/// Defined for -3 (0000) to 40; fractions are accepted, because a spread may land between two gauges.
pub fn gauge_diameter_m(gauge: f64) -> Result<f64, OutOfRange> {
    let gauge = OutOfRange::check("gauge", gauge, -3.0, 40.0)?;
    Ok(0.127e-3 * 92f64.powf((36.0 - gauge) / 39.0))
}

/// Copper section of a solid wire of American gauge `gauge`, in m²; see [`gauge_diameter_m`].
///
/// ```
/// let section_m2 = models::conductor::gauge_section_m2(20.0)?;
/// assert!((section_m2 - 0.51762e-6).abs() < 1e-11);
/// # Ok::<(), models::out_of_range::OutOfRange>(())
/// ```
pub fn gauge_section_m2(gauge: f64) -> Result<f64, OutOfRange> {
    let diameter_m = gauge_diameter_m(gauge)?;
    Ok(std::f64::consts::FRAC_PI_4 * diameter_m * diameter_m)
}

/// How much more resistance copper has at `temp_k` than at 20 °C, as a factor.
///
/// (234.5 + t)/254.5 with t in °C, the rule behind IEC 60228's table of correction factors. Good from -50 to
/// 150 °C, which is clamped.
///
/// ```
/// // At 50 °C: 284.5/254.5.
/// assert!((models::conductor::warm_factor(323.15) - 1.11788).abs() < 1e-5);
/// ```
pub fn warm_factor(temp_k: f64) -> f64 {
    (234.5 + (temp_k - 273.15).clamp(-50.0, 150.0)) / 254.5
}

/// Resistance of a two-wire run out and back, in Ω, with its contacts.
///
/// - `run_m`: one-way distance from source to board, at least 0.
/// - `ohm_m`: one wire's resistance a metre at 20 °C, from [`per_metre`].
/// - `temp_k`: temperature of the copper.
/// - `contacts_ohm`: all plugs and clamps together; a lead's are 60 mΩ (30..200), typical, from memory.
pub fn loop_ohm(run_m: f64, ohm_m: f64, temp_k: f64, contacts_ohm: f64) -> f64 {
    2.0 * run_m * ohm_m * warm_factor(temp_k) + contacts_ohm
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn flexible_wire_never_has_less_than_solid() {
        for (_, solid, flexible) in IEC_60228 {
            assert!(flexible > solid);
        }
    }

    #[test]
    fn the_standard_leaves_room_over_pure_copper() {
        // A maximum below the resistance of pure copper of that section could not be made.
        for (mm2, solid, _) in IEC_60228 {
            let over = solid / (COPPER_OHM_M * 1e9 / mm2);
            assert!((1.0..1.10).contains(&over), "{mm2} mm²: {over}");
        }
    }

    #[test]
    fn both_temperature_rules_agree_at_fifty_degrees() {
        assert!((warm_factor(323.15) - (1.0 + COPPER_PER_K * 30.0)).abs() < 1e-4);
    }

    proptest! {
        #[test]
        fn thicker_computed_wire_never_has_more_resistance(mm2 in 0.02..50.0, factor in 1.0..2.0) {
            let thin = per_metre(mm2 * 1e-6, Class::Gauge).unwrap();
            let thick = per_metre(mm2 * factor * 1e-6, Class::Gauge).unwrap();
            prop_assert!(thick.ohm_m <= thin.ohm_m);
        }
    }
}
