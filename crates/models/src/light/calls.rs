//! At which hours of the day people call.
//!
//! The same on every day and in every season; no weekends, no holidays, no summer time (clocks of the site year are
//! standard time, so evening calls in summer come an hour earlier by the sun than the profile says).

use crate::out_of_range::OutOfRange;

/// Shares of the day's calls by hour; they add up to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HourProfile {
    shares: [f64; 24],
}

impl HourProfile {
    /// Couriers through the working day and guests after it: none from 23 to 7 o'clock, a flat top from 10 to 18. Typical,
    /// from memory.
    pub const USUAL: Self = Self {
        shares: [
            0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.02, 0.05, 0.07, 0.09, 0.10, 0.09, 0.08, 0.08, 0.08, 0.08,
            0.08, 0.07, 0.05, 0.03, 0.02, 0.01, 0.0,
        ],
    };

    /// A profile from weights of the 24 hours, whatever their sum.
    ///
    /// # Errors
    /// [`OutOfRange`] for a weight below 0 or not finite, or when all are 0.
    pub fn new(weights: [f64; 24]) -> Result<Self, OutOfRange> {
        for weight in weights {
            OutOfRange::check("hour_weight", weight, 0.0, 1e9)?;
        }
        let sum = OutOfRange::check("hour_weight", weights.iter().sum(), 1e-9, f64::MAX)?;
        Ok(Self { shares: weights.map(|weight| weight / sum) })
    }

    /// Shares by hour.
    pub fn shares(&self) -> &[f64; 24] {
        &self.shares
    }
}
