//! A pixel: electrons for light, and all that makes them uncertain.
//!
//! Knows no lens, no exposure loop (see [`super::exposure`]).

use crate::out_of_range::OutOfRange;

use super::photometry::iso_speed;

/// Temperature at which dark current is stated, °C.
const STATED_C: f64 = 25.0;

/// A sensor at one picture size and temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sensor {
    /// Electrons for a lux second on a square micrometre of pixel: 1,400 (800..2,200) for a colour pixel behind an infrared
    /// cut (trade.md §3; typical, from memory).
    pub e_lx_s_um2: f64,
    /// Side of a picture pixel that gathers light, m. Pixels that are skipped gather nothing: with a sensor that skips, the
    /// array's own pitch.
    /// Pixels that are added up also add their wells, and their read noise as squares.
    pub pitch_m: f64,
    /// Electrons at full scale without gain: 5,000 (3,000..9,000) (trade.md §3; typical, from memory).
    pub full_well_e: f64,
    /// Noise of reading, electrons: 5 (2..9) (trade.md §3; typical, from memory).
    pub read_noise_e: f64,
    /// Pixels' unequal response, a share: 0.01 (0.005..0.02), typical, from memory.
    pub prnu: f64,
    /// Electrons a second in the dark at 25 °C: 20 (5..80), typical, from memory.
    pub dark_e_s: f64,
    /// Kelvins that double the dark current: 7 (6..9) (trade.md `light.hot-sensor`).
    pub dark_doubling_k: f64,
    /// Temperature of the sensor, °C: from the heat budget.
    pub temperature_c: f64,
    /// Largest gain of the exposure loop: 16 (4..64) (trade.md §3; typical, from memory).
    pub gain_most: f64,
    /// Longest exposure of the loop, s: 66 ms (33..250) (trade.md §3; typical, from memory).
    pub longest_s: f64,
    /// What the picture's 256 codes are worth after noise reduction and compression: their step in codes, 4 (1..10), typical,
    /// from memory; 1 for a raw picture of 8 bits.
    pub code_step: f64,
}

impl Sensor {
    /// The usual small colour sensor of trade.md §3 with this pixel pitch, at 25 °C.
    pub const fn usual(pitch_m: f64) -> Self {
        Self {
            e_lx_s_um2: 1400.0,
            pitch_m,
            full_well_e: 5000.0,
            read_noise_e: 5.0,
            prnu: 0.01,
            dark_e_s: 20.0,
            dark_doubling_k: 7.0,
            temperature_c: STATED_C,
            gain_most: 16.0,
            longest_s: 0.066,
            code_step: 4.0,
        }
    }

    /// The same sensor, if every number has sense.
    ///
    /// # Errors
    /// [`OutOfRange`] names the first that has not.
    pub fn check(self) -> Result<Self, OutOfRange> {
        let within = OutOfRange::check;
        within("e_lx_s_um2", self.e_lx_s_um2, 1.0, 20_000.0)?;
        within("pitch_m", self.pitch_m, 3e-7, 1e-4)?;
        within("full_well_e", self.full_well_e, 100.0, 1e6)?;
        within("read_noise_e", self.read_noise_e, 0.0, 200.0)?;
        within("prnu", self.prnu, 0.0, 0.5)?;
        within("dark_e_s", self.dark_e_s, 0.0, 1e5)?;
        within("dark_doubling_k", self.dark_doubling_k, 4.0, 15.0)?;
        within("temperature_c", self.temperature_c, -60.0, 150.0)?;
        within("gain_most", self.gain_most, 1.0, 1000.0)?;
        within("longest_s", self.longest_s, 1e-5, 60.0)?;
        within("code_step", self.code_step, 0.0, 64.0)?;
        Ok(self)
    }

    /// Electrons in one pixel for a lux second in the image.
    pub fn electrons_per_lx_s(&self) -> f64 {
        let side_um = self.pitch_m * 1e6;
        self.e_lx_s_um2 * side_um * side_um
    }

    /// Dark electrons a second at the sensor's temperature.
    ///
    /// By hand: 25 to 60 °C at 7 K a doubling is 2⁵ = 32 times (trade.md, `calc`).
    ///
    /// ```
    /// let cold = models::light::sensor::Sensor::usual(2.2e-6);
    /// let hot = models::light::sensor::Sensor { temperature_c: 60.0, ..cold };
    /// assert!((hot.dark_now_e_s() / cold.dark_now_e_s() - 32.0).abs() < 1e-9);
    /// ```
    pub fn dark_now_e_s(&self) -> f64 {
        self.dark_e_s * ((self.temperature_c - STATED_C) / self.dark_doubling_k).exp2()
    }

    /// Saturation-based ISO speed at gain 1; see [`iso_speed`].
    ///
    /// By hand, 2.2 um: 5,000 e / (1,400·4.84) = 0.738 lx s, 78/0.738 = 106: about the 100 that such sensors start from.
    ///
    /// ```
    /// assert!((models::light::sensor::Sensor::usual(2.2e-6).iso_speed() - 105.7).abs() < 0.1);
    /// ```
    pub fn iso_speed(&self) -> f64 {
        iso_speed(self.full_well_e / self.electrons_per_lx_s())
    }
}
