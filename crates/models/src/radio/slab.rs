//! What one flat layer of wall lets through: the exact single-slab formula of ITU-R P.2040.
//!
//! The coefficients are facts of a material's sheet and differ between editions by up to 3.6 dB for one wall; the sheet
//! names its edition. Mortar, steel, moisture and foil are not in the formula: real walls lose more.

use super::complex::Complex;
use super::loss::LIGHT_M_S;
use crate::out_of_range::OutOfRange;

/// Permittivity of free space, F/m (CODATA 2018).
const EPS0_F_M: f64 = 8.854_187_812_8e-12;
/// Loss of the way round any wall, dB: through doors, panes and over the roof. The upper figure of foil (typical, from
/// memory), beyond which nobody has measured more in a home.
pub const ROUND_DB: f64 = 40.0;

/// A material: relative permittivity a·f^b, conductivity c·f^d S/m, f in GHz.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Material {
    /// Real part of the relative permittivity at 1 GHz, 1 to 100.
    pub a: f64,
    /// Exponent of its frequency law.
    pub b: f64,
    /// Conductivity at 1 GHz, S/m.
    pub c: f64,
    /// Exponent of its frequency law.
    pub d: f64,
}

impl Material {
    /// Relative permittivity and conductivity, S/m, at a frequency.
    pub fn at(&self, freq_hz: f64) -> (f64, f64) {
        let ghz = freq_hz / 1e9;
        (self.a * ghz.powf(self.b), self.c * ghz.powf(self.d))
    }
}

/// How the field lies to the plane of incidence.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Polarisation {
    /// Electric field along the wall.
    Te,
    /// Magnetic field along the wall.
    Tm,
    /// Mean of both powers: antennas at any angle.
    Mixed,
}

/// One layer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slab {
    /// What it is made of.
    pub material: Material,
    /// Thickness, m, 0 to 2.
    pub thickness_m: f64,
}

impl Slab {
    /// Transmission loss, dB, with all reflections inside the layer.
    ///
    /// - `freq_hz`: 0.9 to 6 GHz; `angle_rad`: from the wall's normal, 0 to 1.5 (86°).
    ///
    /// T = (1 − r²)·e^(−jq)/(1 − r²·e^(−2jq)), q = 2πd/λ·√(η − sin²θ), r the reflection of one face.
    ///
    /// # Errors
    /// [`OutOfRange`] names the argument.
    ///
    /// # Source
    /// ITU-R P.2040, single-layer slab (formula through references.md 5.4, where it agrees with a thin-film program to
    /// 4 decimals).
    ///
    /// # Examples
    /// 0.11 m of brick of the 2015 edition, head on, is 4.85 dB; its attenuation alone (32.1 dB/m) would say 3.53:
    ///
    /// ```
    /// use models::radio::slab::{Material, Polarisation, Slab};
    /// let brick = Slab { material: Material { a: 3.75, b: 0.0, c: 0.038, d: 0.0 }, thickness_m: 0.11 };
    /// assert!((brick.loss_db(2.437e9, 0.0, Polarisation::Te)? - 4.8458).abs() < 1e-3);
    /// # Ok::<(), models::out_of_range::OutOfRange>(())
    /// ```
    pub fn loss_db(
        &self,
        freq_hz: f64,
        angle_rad: f64,
        polarisation: Polarisation,
    ) -> Result<f64, OutOfRange> {
        let freq_hz = OutOfRange::check("freq_hz", freq_hz, 0.9e9, 6e9)?;
        let angle_rad = OutOfRange::check("angle_rad", angle_rad, 0.0, 1.5)?;
        OutOfRange::check("thickness_m", self.thickness_m, 0.0, 2.0)?;
        let (real, conductivity_s_m) = self.material.at(freq_hz);
        OutOfRange::check("permittivity", real, 1.0, 1000.0)?;
        OutOfRange::check("conductivity_s_m", conductivity_s_m, 0.0, 1e9)?;
        let eta = Complex::new(real, -conductivity_s_m / (2.0 * std::f64::consts::PI * freq_hz * EPS0_F_M));
        let one = |tm| self.one_loss_db(eta, freq_hz, angle_rad, tm);
        Ok(match polarisation {
            Polarisation::Te => one(Face::Te),
            Polarisation::Tm => one(Face::Tm),
            Polarisation::Mixed => parallel_db(one(Face::Te), one(Face::Tm)) + 10.0 * 2f64.log10(),
        })
    }

    fn one_loss_db(&self, eta: Complex, freq_hz: f64, angle_rad: f64, face: Face) -> f64 {
        let (sin, cos) = angle_rad.sin_cos();
        let inside = (eta - Complex::new(sin * sin, 0.0)).sqrt();
        let outer = match face {
            Face::Te => Complex::new(cos, 0.0),
            Face::Tm => eta.times(cos),
        };
        let sum = outer + inside;
        let reflected = (outer - inside) / sum;
        // 1 - r² as a product: for metal the difference would be all rounding.
        let passed = (outer * inside).times(4.0) / (sum * sum);
        let q = inside.times(2.0 * std::f64::consts::PI * self.thickness_m * freq_hz / LIGHT_M_S);
        // -2jq; inside metal its real part is so negative that e^ of it is exactly 0.
        let twice = Complex::new(2.0 * q.im, -2.0 * q.re);
        let echoes = Complex::ONE - reflected * reflected * twice.exp();
        let db = |size: f64| 20.0 * size.log10();
        db(echoes.abs()) - db(passed.abs()) - q.im * 20.0 * std::f64::consts::LOG10_E
    }
}

#[derive(Clone, Copy)]
enum Face {
    Te,
    Tm,
}

/// Loss of two ways side by side whose powers add, dB.
pub fn parallel_db(one_db: f64, other_db: f64) -> f64 {
    let (least, most) = (one_db.min(other_db), one_db.max(other_db));
    least - 10.0 * (1.0 + 10f64.powf((least - most) / 10.0)).log10()
}

/// Loss of several walls one behind the other, dB, echoes between them left out, never more than the way round
/// ([`ROUND_DB`] beside it).
///
/// # Errors
/// As [`Slab::loss_db`].
pub fn walls_db(
    walls: &[Slab],
    freq_hz: f64,
    angle_rad: f64,
    polarisation: Polarisation,
) -> Result<f64, OutOfRange> {
    let mut through_db = 0.0;
    for wall in walls {
        through_db += wall.loss_db(freq_hz, angle_rad, polarisation)?;
    }
    // Free space and a way round beside it would add up to a gain.
    Ok(parallel_db(through_db, ROUND_DB).max(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const BRICK: Material = Material { a: 3.91, b: 0.0, c: 0.0238, d: 0.16 };

    proptest! {
        #[test]
        fn a_passive_wall_never_amplifies_and_no_wall_loses_nothing(
            a in 1.0..10.0f64, c in 0.0..1.0f64, thickness_m in 0.0..0.5f64, angle_rad in 0.0..1.5f64,
        ) {
            let material = Material { a, b: 0.0, c, d: 0.5 };
            for polarisation in [Polarisation::Te, Polarisation::Tm, Polarisation::Mixed] {
                let loss = |thickness_m| Slab { material, thickness_m }.loss_db(2.437e9, angle_rad, polarisation);
                prop_assert!(loss(thickness_m).unwrap() > -1e-9);
                prop_assert!(loss(0.0).unwrap().abs() < 1e-9);
            }
        }

        #[test]
        fn a_lossless_half_wave_slab_is_a_window(a in 1.5..10.0f64, halves in 1u8..5) {
            let freq_hz = 2.437e9;
            let thickness_m = f64::from(halves) * LIGHT_M_S / freq_hz / 2.0 / a.sqrt();
            let slab = Slab { material: Material { a, b: 0.0, c: 0.0, d: 0.0 }, thickness_m };
            prop_assert!(slab.loss_db(freq_hz, 0.0, Polarisation::Te).unwrap().abs() < 1e-9);
        }
    }

    #[test]
    fn head_on_there_is_one_polarisation() {
        let slab = Slab { material: BRICK, thickness_m: 0.24 };
        let loss = |p| slab.loss_db(2.437e9, 0.0, p).unwrap();
        assert!((loss(Polarisation::Te) - loss(Polarisation::Tm)).abs() < 1e-12);
        assert!((loss(Polarisation::Te) - loss(Polarisation::Mixed)).abs() < 1e-12);
    }

    #[test]
    fn metal_blocks_and_the_way_round_is_left() {
        let metal = Slab { material: Material { a: 1.0, b: 0.0, c: 1e7, d: 0.0 }, thickness_m: 1e-3 };
        let through_db = metal.loss_db(2.437e9, 0.3, Polarisation::Te).unwrap();
        assert!(through_db.is_finite() && through_db > 1000.0);
        let all_db = walls_db(&[metal], 2.437e9, 0.3, Polarisation::Te).unwrap();
        assert!((all_db - ROUND_DB).abs() < 1e-9);
        assert_eq!(walls_db(&[], 2.437e9, 0.0, Polarisation::Te), Ok(0.0));
    }

    #[test]
    fn two_equal_ways_are_three_decibels_better() {
        assert!((parallel_db(20.0, 20.0) - (20.0 - 10.0 * 2f64.log10())).abs() < 1e-12);
    }

    #[test]
    fn nonsense_is_named() {
        let slab = Slab { material: Material { a: 0.2, ..BRICK }, thickness_m: 0.1 };
        assert_eq!(slab.loss_db(2.4e9, 0.0, Polarisation::Te).unwrap_err().what, "permittivity");
        let thick = Slab { material: BRICK, thickness_m: f64::NAN };
        assert_eq!(thick.loss_db(2.4e9, 0.0, Polarisation::Te).unwrap_err().what, "thickness_m");
    }
}
