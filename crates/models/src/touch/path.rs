//! What a touch adds: finger through glove and cover, body to earth, and back from earth to the station.
//!
//! The three are in series, so the smallest rules. A station on cells hangs loose from earth and a bare plate then moves little;
//! the same plate on a bench, with an earthed laptop, moves ten times as far. A threshold found there is void on the wall.

use super::capacitance::{disc_m2, plates_f, series_f};
use crate::out_of_range::OutOfRange;

/// A layer between finger and plate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Layer {
    /// Relative, 1 to 100.
    pub permittivity: f64,
    /// m; 0 to 0.05. Nothing at 0.
    pub thickness_m: f64,
}

impl Layer {
    /// A bare plate, or a bare finger.
    pub const NONE: Self = Self { permittivity: 1.0, thickness_m: 0.0 };
    /// A winter glove: 1 mm of loose cloth, εr 1.6 (trade.md `plate.glove` follows with it, computed).
    pub const GLOVE: Self = Self { permittivity: 1.6, thickness_m: 1e-3 };

    /// Under a finger tip, F; infinite where there is no layer.
    ///
    /// # Errors
    /// [`OutOfRange`] names the property.
    pub fn farad(&self, tip_m: f64) -> Result<f64, OutOfRange> {
        OutOfRange::check("tip_m", tip_m, 1e-3, 0.1)?;
        OutOfRange::check("thickness_m", self.thickness_m, 0.0, 0.05)?;
        if self.thickness_m <= 0.0 {
            return Ok(f64::INFINITY);
        }
        plates_f(self.permittivity, disc_m2(tip_m), self.thickness_m.max(1e-6))
    }
}

/// A finger, a person and a station.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Touch {
    /// What covers the plate.
    pub cover: Layer,
    /// What covers the finger.
    pub glove: Layer,
    /// Finger tip as a disc, m: 12 mm (8..16).
    pub tip_m: f64,
    /// Body to earth in shoes, F: 120 pF (60..250).
    pub body_f: f64,
    /// Station to earth, F: cells 8 pF (3..25), mains without Y capacitor 50 (20..100), with one 1,000 (300..3,000).
    pub station_f: f64,
}

impl Touch {
    /// A bare finger on a bare plate of a station `station_f` from earth; trade.md §3, typical, from memory.
    pub const fn bare(station_f: f64) -> Self {
        Self { cover: Layer::NONE, glove: Layer::NONE, tip_m: 0.012, body_f: 120e-12, station_f }
    }

    /// What the touch adds to the plate, F.
    ///
    /// # Errors
    /// [`OutOfRange`] names the property.
    ///
    /// By hand, bare, station at 30 pF: 120·30/150 = 24 pF.
    ///
    /// ```
    /// let added_f = models::touch::path::Touch::bare(30e-12).farad().unwrap();
    /// assert!((added_f - 24e-12).abs() < 1e-17);
    /// ```
    pub fn farad(&self) -> Result<f64, OutOfRange> {
        OutOfRange::check("body_f", self.body_f, 1e-12, 1e-6)?;
        OutOfRange::check("station_f", self.station_f, 1e-13, 1e-3)?;
        Ok(series_f(&[
            self.cover.farad(self.tip_m)?,
            self.glove.farad(self.tip_m)?,
            self.body_f,
            self.station_f,
        ]))
    }
}
