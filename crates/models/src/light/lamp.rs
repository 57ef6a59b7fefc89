//! Light of a lamp on a face: beam, distance, slant. The same geometry serves lumens and watts.
//!
//! A lamp is a point: good from five times its own size on. What walls throw back is left out, so a porch gets more.

use std::f64::consts::PI;

/// How a lamp spreads its light.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Beam {
    /// Equally all round: a bare bulb, a globe.
    Round,
    /// Strongest on the axis, half of it at this angle from the axis (makers print the full angle, twice this); falls as a
    /// power of the cosine. 60° is a flat light-emitting chip.
    HalfAt {
        /// Angle from the axis at half the strength, rad; above 0, below π/2.
        half_rad: f64,
    },
}

impl Beam {
    /// Power of the cosine; 0 for a round one.
    fn power(self) -> f64 {
        match self {
            Self::Round => 0.0,
            Self::HalfAt { half_rad } => 0.5_f64.ln() / half_rad.cos().ln(),
        }
    }

    /// Strength on the axis for a flux: candela for lumens, W/sr for watts.
    ///
    /// Source: I = Φ (m + 1)/(2π) for cos^m over a half sphere (integral, textbook); Φ/(4π) all round.
    ///
    /// By hand: half at 60° is m = 1, so π lumens give 1 cd.
    ///
    /// ```
    /// use models::light::lamp::Beam;
    /// let flat = Beam::HalfAt { half_rad: 60_f64.to_radians() };
    /// assert!((flat.peak_per_sr(std::f64::consts::PI) - 1.0).abs() < 1e-12);
    /// ```
    pub fn peak_per_sr(self, flux: f64) -> f64 {
        match self {
            Self::Round => flux / (4.0 * PI),
            Self::HalfAt { .. } => flux * (self.power() + 1.0) / (2.0 * PI),
        }
    }

    /// Strength at an angle from the axis over that on it; 0 behind a beam.
    pub fn relative(self, off_axis_rad: f64) -> f64 {
        match self {
            Self::Round => 1.0,
            Self::HalfAt { .. } => off_axis_rad.cos().max(0.0).powf(self.power()),
        }
    }
}

/// How a lamp stands to a face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Aim {
    /// Lamp to face, m.
    pub distance_m: f64,
    /// Face seen from the lamp, away from the lamp's axis.
    pub off_axis_rad: f64,
    /// Lamp seen from the face, away from straight ahead; at π/2 and beyond no light falls on the face.
    pub incidence_rad: f64,
}

impl Aim {
    /// The aim of a lamp at a face that looks straight at the wall; points and axis in the door frame
    /// ([`crate::optics`]: along the wall, up, out), m.
    ///
    /// By hand: a lamp on the wall 0.8 m above a face at 0.6 m, shining down: 1 m away; the face sees it 53° up (cosine 0.6),
    /// it sees the face 37° off its axis.
    ///
    /// ```
    /// let aim = models::light::lamp::Aim::between([0.0, 2.4, 0.0], [0.0, -1.0, 0.0], [0.0, 1.6, 0.6]);
    /// assert!((aim.distance_m - 1.0).abs() < 1e-12);
    /// assert!((aim.incidence_rad.cos() - 0.6).abs() < 1e-12 && (aim.off_axis_rad.cos() - 0.8).abs() < 1e-12);
    /// ```
    pub fn between(lamp_m: [f64; 3], axis: [f64; 3], face_m: [f64; 3]) -> Self {
        let to_face: [f64; 3] = std::array::from_fn(|i| face_m[i] - lamp_m[i]);
        let length = |v: [f64; 3]| v.iter().map(|x| x * x).sum::<f64>().sqrt();
        let distance_m = length(to_face);
        let along: f64 = (0..3).map(|i| to_face[i] * axis[i]).sum();
        Self {
            distance_m,
            off_axis_rad: (along / (distance_m * length(axis))).clamp(-1.0, 1.0).acos(),
            // The face looks along -z; the lamp is the other way from it.
            incidence_rad: (to_face[2] / distance_m).clamp(-1.0, 1.0).acos(),
        }
    }

    /// What a flux of 1 in this beam gives on the face, per square metre: lux a lumen, or W/m² a watt.
    ///
    /// Source: inverse square law with the cosine of incidence (textbook).
    ///
    /// By hand: 4π lumens all round, 2 m, straight ahead: 1 cd / 4 m² = 0.25 lx.
    ///
    /// ```
    /// use models::light::lamp::{Aim, Beam};
    /// let aim = Aim { distance_m: 2.0, off_axis_rad: 0.0, incidence_rad: 0.0 };
    /// assert!((4.0 * std::f64::consts::PI * aim.per_flux_m2(Beam::Round) - 0.25).abs() < 1e-12);
    /// ```
    pub fn per_flux_m2(&self, beam: Beam) -> f64 {
        beam.peak_per_sr(1.0) * beam.relative(self.off_axis_rad) * self.incidence_rad.cos().max(0.0)
            / (self.distance_m * self.distance_m)
    }

    /// The flux that gives `wanted` on the face (lumens for lux, watts for W/m²); `None` when none can.
    pub fn flux_for(&self, beam: Beam, wanted: f64) -> Option<f64> {
        let per_flux = self.per_flux_m2(beam);
        (per_flux > 0.0).then(|| wanted.max(0.0) / per_flux)
    }
}
