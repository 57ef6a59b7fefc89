//! From capacitance to count, by the chip's law: whether a touch makes the number fall or rise is a sheet fact.

use crate::out_of_range::OutOfRange;

/// How a chip's count follows the capacitance C.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Law {
    /// Cycles in a fixed time, k/C: a touch makes it fall.
    Falls,
    /// Time or charge, k·C: a touch makes it rise.
    Rises,
}

impl Law {
    /// Count at `added_f` more than `idle_f`, where idle counts `idle_count`.
    ///
    /// By hand, falling from 950 to 350: 950/350 - 1 = 1.714 of the idle capacitance was added.
    ///
    /// ```
    /// use models::touch::count::Law;
    /// assert!((Law::Falls.count(950.0, 1.0, 1.714286) - 350.0).abs() < 1e-3);
    /// ```
    pub fn count(self, idle_count: f64, idle_f: f64, added_f: f64) -> f64 {
        match self {
            Self::Falls => idle_count * idle_f / (idle_f + added_f),
            Self::Rises => idle_count * (idle_f + added_f) / idle_f,
        }
    }

    /// How far the count moves on a touch, as a share of the idle count; positive either way. A large idle capacitance
    /// hides the touch.
    ///
    /// # Errors
    /// [`OutOfRange`] names a capacitance that is not above 0.
    pub fn swing(self, idle_f: f64, added_f: f64) -> Result<f64, OutOfRange> {
        OutOfRange::check("idle_f", idle_f, 1e-15, 1.0)?;
        OutOfRange::check("added_f", added_f, 0.0, 1.0)?;
        Ok((self.count(1.0, idle_f, added_f) - 1.0).abs())
    }

    /// Added capacitance over idle, from two counts: the inverse of [`Law::count`].
    pub fn added_ratio(self, idle_count: f64, touched_count: f64) -> f64 {
        match self {
            Self::Falls => idle_count / touched_count - 1.0,
            Self::Rises => touched_count / idle_count - 1.0,
        }
    }
}
