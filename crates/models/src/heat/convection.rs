//! Natural convection from plates: Rayleigh number, Nusselt number, and whether the formula was made for it.
//!
//! Vertical: Churchill and Chu, *Int. J. Heat Mass Transfer* 18 (1975) 1323. Horizontal: McAdams, *Heat Transmission*,
//! 3rd ed. 1954. Both as printed in Incropera and DeWitt, eqs. 9.26, 9.27, 9.30 to 9.32 (from memory; the numbers agree
//! with the `ht` library in references.md §7). For use outside a case only: in a narrow gap see [`super::gap`].

use super::air::Air;

/// Standard gravity, m/s².
pub const GRAVITY_M_S2: f64 = 9.806_65;

/// Where a Rayleigh number lies beside the range that a correlation was fitted in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Validity {
    /// Weaker convection than was measured. Formulas without a constant term then give too little heat, the hot side.
    Below,
    /// As measured: some 15 % of scatter is left (typical, from memory).
    Within,
    /// Stronger than was measured.
    Above,
}

impl Validity {
    fn of(rayleigh: f64, low: f64, high: f64) -> Self {
        if rayleigh < low {
            Self::Below
        } else if rayleigh <= high {
            Self::Within
        } else {
            Self::Above
        }
    }
}

/// A Nusselt number, and whether it may be believed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nusselt {
    /// h·L/k.
    pub number: f64,
    /// Whether the Rayleigh number lay in the fitted range.
    pub validity: Validity,
}

/// Rayleigh number g·β·ΔT·L³/(ν·α), with β = 1/T of the film; the sign of the difference does not count.
///
/// By hand, 0.12 m wall, 20 K, film 308.15 K: 2.85 million (references.md §7).
///
/// ```
/// use models::heat::{air::Air, convection::rayleigh};
/// let film = Air::at(308.15).unwrap();
/// assert!((rayleigh(&film, 20.0, 0.12) / 2.85e6 - 1.0).abs() < 0.02);
/// ```
pub fn rayleigh(film: &Air, difference_k: f64, length_m: f64) -> f64 {
    GRAVITY_M_S2 / film.temperature_k * difference_k.abs() * length_m.powi(3)
        / (film.viscosity_m2_s * film.diffusivity_m2_s)
}

/// (1 + (0.492/Pr)^(9/16)): what the Prandtl number does to both vertical forms.
fn prandtl_term(prandtl: f64) -> f64 {
    1.0 + (0.492 / prandtl).powf(9.0 / 16.0)
}

/// Vertical plate, laminar and turbulent, up to Ra 1e12; length is the height.
pub fn vertical(rayleigh: f64, prandtl: f64) -> Nusselt {
    let root = 0.825 + 0.387 * rayleigh.powf(1.0 / 6.0) / prandtl_term(prandtl).powf(8.0 / 27.0);
    Nusselt { number: root * root, validity: Validity::of(rayleigh, 0.1, 1e12) }
}

/// Vertical plate, laminar only, up to Ra 1e9: closer than [`vertical`] there.
pub fn vertical_laminar(rayleigh: f64, prandtl: f64) -> Nusselt {
    let number = 0.68 + vertical_quarter(prandtl) * rayleigh.powf(0.25);
    Nusselt { number, validity: Validity::of(rayleigh, 0.0, 1e9) }
}

/// What stands before Ra^(1/4) in [`vertical_laminar`].
pub(super) fn vertical_quarter(prandtl: f64) -> f64 {
    0.670 / prandtl_term(prandtl).powf(4.0 / 9.0)
}

/// What stands before Ra^(1/4) on a horizontal face whose heat rises freely, and on one where it is held down.
pub(super) const RISES_QUARTER: f64 = 0.54;
pub(super) const HELD_QUARTER: f64 = 0.27;

/// Which way the warm side of a horizontal plate looks. A plate colder than the air is the mirror image: its underside
/// behaves as `Up`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WarmSide {
    /// Heat rises away.
    Up,
    /// Heat is held under the plate.
    Down,
}

/// Horizontal plate; length is area over perimeter. `Up` is fitted for Ra 1e4 to 1e11, `Down` for 1e5 to 1e10.
pub fn horizontal(rayleigh: f64, warm: WarmSide) -> Nusselt {
    match warm {
        WarmSide::Up => Nusselt {
            number: if rayleigh <= 1e7 {
                RISES_QUARTER * rayleigh.powf(0.25)
            } else {
                0.15 * rayleigh.cbrt()
            },
            validity: Validity::of(rayleigh, 1e4, 1e11),
        },
        WarmSide::Down => Nusselt {
            number: HELD_QUARTER * rayleigh.powf(0.25),
            validity: Validity::of(rayleigh, 1e5, 1e10),
        },
    }
}
