//! The exposure loop: nobody chooses it, it drives the picture's weighted mean to 18 % and the face takes what is left.
//!
//! First it lengthens the exposure to its longest, then it raises the gain to its ceiling, then the picture gets dark.
//! Steps of real loops, hunting and flicker locks are left out, and so is the shortest exposure: full sun on a face still
//! leaves these sensors 0.1 ms.

use super::sensor::Sensor;

/// Linear level that loops drive the mean to (trade.md `light.metering`).
pub const TARGET_LEVEL: f64 = 0.18;
/// Gamma of the codes, so that code = 255·level^(1/2.2) (typical, from memory; gives trade.md's codes).
const GAMMA: f64 = 2.2;

/// Median reflectance of a face in visible light; 0.10 to 0.55 holds nine in ten (trade.md `light.skin`; typical, from
/// memory).
pub const FACE_MEDIAN: f64 = 0.35;
/// The middle of the darkest tenth of faces: the 5 % quantile of the same. Report the share at this one too.
pub const FACE_DARKEST_TENTH: f64 = 0.10;

/// Linear level at which the loop leaves the face: 0.18/(f K + 1 - f), at most 1.
///
/// - `bright_share` f: metered share of what is brighter (sky, street), 0 to 1.
/// - `bright_ratio` K: its luminance over the face's.
///
/// By hand (trade.md, `calc`): f 0.35, K 20: 0.18/7.65 = 0.0235, code 46 of 255; K 60: code 29.
///
/// ```
/// use models::light::exposure::{code, face_level};
/// assert_eq!(code(face_level(0.35, 20.0)).round(), 46.0);
/// assert_eq!(code(face_level(0.35, 60.0)).round(), 29.0);
/// ```
pub fn face_level(bright_share: f64, bright_ratio: f64) -> f64 {
    (TARGET_LEVEL / (bright_share * bright_ratio + 1.0 - bright_share)).min(1.0)
}

/// Code of 255 for a linear level 0 to 1.
pub fn code(level: f64) -> f64 {
    255.0 * level.max(0.0).powf(1.0 / GAMMA)
}

/// Linear step of one code at a level; below the first code it is the first code's.
pub(super) fn level_per_code(level: f64) -> f64 {
    let code = code(level).max(1.0);
    GAMMA * (code / 255.0).powf(GAMMA) / code
}

/// Who stands in what picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Subject {
    /// Reflectance of the face, 0 to 1; see [`FACE_MEDIAN`] and [`FACE_DARKEST_TENTH`].
    pub reflectance: f64,
    /// Metered share of the bright background, 0 to 1.
    pub bright_share: f64,
    /// Its luminance over the face's: [`super::sky::Sky::background_ratio`] over the reflectance; 0 at night.
    pub bright_ratio: f64,
}

/// Sensor and glass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Camera {
    /// The sensor.
    pub sensor: Sensor,
    /// Transmission of lens and window: 0.8 (0.7..0.88) clean (trade.md §3; typical, from memory).
    pub transmission: f64,
    /// Focal length over aperture.
    pub f_number: f64,
    /// Illuminance at the face's place in the picture over that on the axis; [`super::photometry::fall_off`].
    pub fall_off: f64,
}

/// One picture of a face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shot {
    /// Exposure that the loop takes, s.
    pub exposure_s: f64,
    /// Its gain, 1 or more.
    pub gain: f64,
    /// Electrons of the face in one pixel.
    pub electrons: f64,
    /// Linear level of the face in the picture, 0 to 1.
    pub level: f64,
}

impl Camera {
    /// Electrons a second in a pixel of a face, for each lux on the face.
    pub fn electrons_per_lx(&self, reflectance: f64) -> f64 {
        let image_lux = super::photometry::image_lux(1.0, reflectance, self.transmission, self.f_number, 0.0);
        image_lux * self.fall_off * self.sensor.electrons_per_lx_s()
    }

    /// The picture that the loop takes of a face in `face_lux`.
    pub fn shot(&self, subject: &Subject, face_lux: f64) -> Shot {
        let full_e = self.sensor.full_well_e;
        let wanted_e = full_e * face_level(subject.bright_share, subject.bright_ratio);
        let rate_e_s = self.electrons_per_lx(subject.reflectance) * face_lux.max(0.0);
        let exposure_s = (wanted_e / rate_e_s).min(self.sensor.longest_s);
        let electrons = rate_e_s * exposure_s;
        let gain = (wanted_e / electrons).clamp(1.0, self.sensor.gain_most);
        Shot { exposure_s, gain, electrons, level: electrons * gain / full_e }
    }

    /// The least lux on the face at which the loop takes at most `exposure_s`; 0 when its longest is no longer than that.
    ///
    /// With the exposure of [`crate::optics::blur::longest_exposure_s`] it is where blur begins to spoil a face.
    pub fn sharp_lux(&self, subject: &Subject, exposure_s: f64) -> f64 {
        if self.sensor.longest_s <= exposure_s {
            return 0.0;
        }
        let wanted_e = self.sensor.full_well_e * face_level(subject.bright_share, subject.bright_ratio);
        wanted_e / (self.electrons_per_lx(subject.reflectance) * exposure_s)
    }
}
