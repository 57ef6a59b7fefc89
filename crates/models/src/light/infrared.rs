//! An infrared lamp, told in the lux that would do the same on this sensor.
//!
//! So one solved illuminance serves both kinds of light. Skin reflects the near infrared nearly alike on everybody, which
//! is why a face's reflectance there is another number.

use super::photometry::photon_flux_m2_s;
use crate::out_of_range::OutOfRange;

/// What stands between lens and sensor.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum IrFilter {
    /// An infrared cut, always: days have true colours, and an infrared lamp is invisible to this camera.
    Cut,
    /// None: an infrared lamp works, colours by day are wrong.
    None,
    /// Moved away at night.
    Switched,
}

impl IrFilter {
    /// Share of 800 to 1,000 nm that passes at night; a cut leaves less than 1 % (trade.md `light.ir-cut`; typical, from
    /// memory).
    pub fn passes(self) -> f64 {
        match self {
            Self::Cut => 0.01,
            Self::None | Self::Switched => 1.0,
        }
    }
}

/// Reflectance of a face at 850 to 940 nm: 0.5 (0.4..0.65), typical, from memory.
pub const FACE_REFLECTANCE: f64 = 0.5;

/// Share of photons that a usual colour sensor counts: 0.18 at 850 nm and 0.07 at 940 (trade.md `light.ir-cut`; typical,
/// from memory); between and beyond them the logarithm is straight.
///
/// # Errors
/// [`OutOfRange`] outside 800 to 1,000 nm.
pub fn quantum_efficiency(wavelength_m: f64) -> Result<f64, OutOfRange> {
    let nm = OutOfRange::check("wavelength_m", wavelength_m, 800e-9, 1000e-9)? * 1e9;
    let t = (nm - 850.0) / 90.0;
    Ok(0.18 * (0.07_f64 / 0.18).powf(t))
}

/// Infrared on a face as the camera sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Infrared {
    /// Wavelength, m.
    pub wavelength_m: f64,
    /// Share of photons counted there; see [`quantum_efficiency`].
    pub quantum_efficiency: f64,
    /// The filter before the sensor.
    pub filter: IrFilter,
    /// Reflectance of the face there; see [`FACE_REFLECTANCE`].
    pub face_reflectance: f64,
}

impl Infrared {
    /// The lux on the face that fill this sensor's pixels as fast as 1 W/m² of this light does.
    ///
    /// - `e_lx_s_um2`: the sensor's response to visible light; `face_reflectance`: of the face in visible light, with which
    ///   the needed lux was solved.
    ///
    /// By hand, 850 nm on an open sensor of 1,400 e/(lx s um²): 1 W/m² is 4.28e6 photons/(um² s), 0.18 of them counted are
    /// 770,000 e; over 1,400 that is 550 lx at equal reflectance.
    ///
    /// ```
    /// use models::light::infrared::{Infrared, IrFilter};
    /// let lamp = Infrared { wavelength_m: 850e-9, quantum_efficiency: 0.18, filter: IrFilter::None, face_reflectance: 0.5 };
    /// assert!((lamp.lux_per_w_m2(1400.0, 0.5) - 550.0).abs() < 1.0);
    /// ```
    pub fn lux_per_w_m2(&self, e_lx_s_um2: f64, face_reflectance: f64) -> f64 {
        let electrons_um2_s =
            photon_flux_m2_s(1.0, self.wavelength_m) * 1e-12 * self.quantum_efficiency * self.filter.passes();
        electrons_um2_s / e_lx_s_um2 * self.face_reflectance / face_reflectance
    }
}
