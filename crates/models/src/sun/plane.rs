//! Irradiance on a tilted plane: beam, an even sky, an even ground.
//!
//! The even ("isotropic") sky is low by some percent near the sun's disc; clouds make it nearly true. Shade that moves
//! (a tree, a roof edge) is left to the caller, who knows it as a share.

use super::clear_sky::Irradiance;

/// A flat surface that looks at the sky.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plane {
    /// 0 lies flat and looks up, π/2 stands.
    pub tilt_rad: f64,
    /// Direction it faces, from north over east.
    pub azimuth_rad: f64,
    /// Reflectance of the ground before it, 0 to 1; 0.2 is usual (typical, from memory), fresh snow 0.8.
    pub albedo: f64,
}

impl Plane {
    /// Unit normal (east, north, up).
    pub fn normal(&self) -> [f64; 3] {
        let (sin_tilt, cos_tilt) = self.tilt_rad.sin_cos();
        let (sin_az, cos_az) = self.azimuth_rad.sin_cos();
        [sin_tilt * sin_az, sin_tilt * cos_az, cos_tilt]
    }

    /// Share of the sky's half sphere that an open plane sees, weighted for a flat receiver: (1 + cos tilt)/2.
    pub fn sky_view(&self) -> f64 {
        f64::midpoint(1.0, self.tilt_rad.cos())
    }

    /// The plane's three parts for a sun in direction `sun` (unit vector east, north, up).
    ///
    /// Source: Liu and Jordan, *Solar Energy* 7 (1963) 53 (from memory; agrees with references.md §3.5).
    ///
    /// By hand: a south wall, sun due south at 45°, 800 W/m² beam, 100 diffuse, ground 0.2: beam 800·cos 45° = 565.7,
    /// sky 100/2 = 50, ground (565.7 + 100)·0.2/2 = 66.6.
    ///
    /// ```
    /// use models::sun::{clear_sky::Irradiance, plane::Plane};
    /// let wall = Plane { tilt_rad: 90_f64.to_radians(), azimuth_rad: 180_f64.to_radians(), albedo: 0.2 };
    /// let half = 0.5_f64.sqrt();
    /// let sky = Irradiance { global_w_m2: 800.0 * half + 100.0, beam_w_m2: 800.0, diffuse_w_m2: 100.0 };
    /// let got = wall.parts([0.0, -half, half], &sky);
    /// assert!((got.beam_w_m2 - 565.7).abs() < 0.1 && (got.sky_w_m2 - 50.0).abs() < 1e-9);
    /// assert!((got.ground_w_m2 - 66.6).abs() < 0.1);
    /// ```
    pub fn parts(&self, sun: [f64; 3], light: &Irradiance) -> OnPlane {
        parts(&self.normal(), self.sky_view(), self.albedo, sun, light)
    }
}

/// The same with normal and sky view at hand, for loops over a year.
pub(crate) fn parts(
    normal: &[f64; 3],
    sky_view: f64,
    albedo: f64,
    sun: [f64; 3],
    light: &Irradiance,
) -> OnPlane {
    let cos = normal[0] * sun[0] + normal[1] * sun[1] + normal[2] * sun[2];
    OnPlane {
        beam_w_m2: light.beam_w_m2 * cos.max(0.0),
        sky_w_m2: light.diffuse_w_m2 * sky_view,
        ground_w_m2: light.global_w_m2 * albedo * (1.0 - sky_view),
    }
}

/// Irradiance on a plane by where it comes from, W/m².
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct OnPlane {
    /// Straight from the sun.
    pub beam_w_m2: f64,
    /// From the sky.
    pub sky_w_m2: f64,
    /// From the ground.
    pub ground_w_m2: f64,
}

impl OnPlane {
    /// Sum of the three.
    pub fn total_w_m2(&self) -> f64 {
        self.beam_w_m2 + self.sky_w_m2 + self.ground_w_m2
    }
}

/// Unit vector (east, north, up) for a seen position of the sun.
pub fn direction(apparent_zenith_rad: f64, azimuth_rad: f64) -> [f64; 3] {
    let (sin_z, cos_z) = apparent_zenith_rad.sin_cos();
    let (sin_a, cos_a) = azimuth_rad.sin_cos();
    [sin_z * sin_a, sin_z * cos_a, cos_z]
}
