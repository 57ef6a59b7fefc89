//! How far the count is expected to move, with an honest spread.
//!
//! Each input is a median with a 5 % and a 95 % value. Each is moved to its two ends alone; the movements of the
//! result's logarithm are added as squares, upward and downward apart. For products and series of independent, skewed
//! inputs this is within a tenth of what 20,000 draws give (tested). It is for the first answer on paper; the ensemble draws.

use super::count::Law;
use super::path::{Layer, Touch};
use crate::out_of_range::OutOfRange;

/// Median with the values that 5 % lie below and 5 % above.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// 5 %.
    pub low: f64,
    /// 50 %.
    pub mid: f64,
    /// 95 %.
    pub high: f64,
}

impl Range {
    /// A number that is known.
    pub const fn exact(value: f64) -> Self {
        Self { low: value, mid: value, high: value }
    }

    /// Three ascending numbers.
    pub const fn new(low: f64, mid: f64, high: f64) -> Self {
        Self { low, mid, high }
    }
}

/// A plate before it is built.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Design {
    /// The chip's law.
    pub law: Law,
    /// Cover.
    pub cover: Layer,
    /// Share of the cover's capacitance that edge field, air below and a pressed or hovering finger leave open:
    /// 1 (0.6..1.6), estimated so that 2 mm of plastic spans trade.md §3's 1.2 pF (0.5..2).
    pub cover_factor: Range,
    /// Glove, or none.
    pub glove: Layer,
    /// Finger tip as a disc, m.
    pub tip_m: Range,
    /// Body to earth, F.
    pub body_f: Range,
    /// Station to earth, F.
    pub station_f: Range,
    /// Idle capacitance, F.
    pub idle_f: Range,
}

/// Station to earth by supply, F (trade.md §3: typical, from memory).
pub const ON_CELLS_F: Range = Range::new(3e-12, 8e-12, 25e-12);
/// Mains supply without a Y capacitor.
pub const MAINS_F: Range = Range::new(20e-12, 50e-12, 100e-12);
/// Mains supply with a Y capacitor, or earthed.
pub const MAINS_Y_F: Range = Range::new(300e-12, 1_000e-12, 3_000e-12);

impl Design {
    /// A plate with everything typical, from memory (trade.md §3).
    pub const fn typical(law: Law, cover: Layer, station_f: Range) -> Self {
        Self {
            law,
            cover,
            cover_factor: Range::new(0.6, 1.0, 1.6),
            glove: Layer::NONE,
            tip_m: Range::new(0.008, 0.012, 0.016),
            body_f: Range::new(60e-12, 120e-12, 250e-12),
            station_f,
            idle_f: Range::new(10e-12, 20e-12, 60e-12),
        }
    }

    /// Swing of the count on a touch, share of the idle count, with its spread.
    ///
    /// # Errors
    /// [`OutOfRange`] names the first property outside the model.
    ///
    /// ```
    /// use models::touch::{count::Law, expected::{Design, ON_CELLS_F}, path::Layer};
    /// let plastic = Layer { permittivity: 2.7, thickness_m: 0.002 };
    /// let bare = Design::typical(Law::Falls, Layer::NONE, ON_CELLS_F).swing().unwrap();
    /// let covered = Design::typical(Law::Falls, plastic, ON_CELLS_F).swing().unwrap();
    /// assert!(bare.mid > 0.25 && covered.mid < 0.07 && covered.low < covered.mid);
    /// ```
    pub fn swing(&self) -> Result<Range, OutOfRange> {
        let inputs = [self.cover_factor, self.tip_m, self.body_f, self.station_f, self.idle_f];
        let mids = inputs.map(|range| range.mid);
        let mid = self.swing_at(mids)?;
        let (mut up, mut down) = (0.0_f64, 0.0_f64);
        for (i, range) in inputs.iter().enumerate() {
            let at = |value| {
                let mut moved = mids;
                moved[i] = value;
                self.swing_at(moved)
            };
            let (one, other) = ((at(range.low)? / mid).ln(), (at(range.high)? / mid).ln());
            up += one.max(other).max(0.0).powi(2);
            down += one.min(other).min(0.0).powi(2);
        }
        Ok(Range { low: mid * (-down.sqrt()).exp(), mid, high: mid * up.sqrt().exp() })
    }

    /// The same for given cover factor, tip, body, station and idle capacitance.
    pub fn swing_at(
        &self,
        [cover_factor, tip_m, body_f, station_f, idle_f]: [f64; 5],
    ) -> Result<f64, OutOfRange> {
        OutOfRange::check("cover_factor", cover_factor, 0.01, 100.0)?;
        let cover = Layer { thickness_m: self.cover.thickness_m / cover_factor, ..self.cover };
        self.law.swing(idle_f, Touch { cover, glove: self.glove, tip_m, body_f, station_f }.farad()?)
    }
}
