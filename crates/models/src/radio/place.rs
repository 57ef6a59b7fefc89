//! The received power at the station's place, as the model or as a measurement has it.
//!
//! A measurement replaces the *place* part only: loss, walls, antenna, shadowing. What it reads moves with people and
//! doors like everything else, so the fading over time stays, and the reading has an offset of its own.

/// Spread of the loss over places of one kind, sigma in dB: 5, 50, 95 % (typical, from memory).
pub const SHADOWING_SIGMA_DB: [f64; 3] = [3.0, 5.0, 8.0];
/// Spread over time at one place, sigma in dB: 5, 50, 95 % (typical, from memory).
pub const FADING_SIGMA_DB: [f64; 3] = [1.5, 2.5, 5.0];
/// Offset of a chip's own reading, dB, 95 % (typical, from memory).
pub const READING_OFFSET_DB: f64 = 4.0;

/// Where the median power over time comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Place {
    /// Computed.
    Modelled {
        /// Gains of both antennas, dBi.
        gains_dbi: f64,
        /// Loss of the way with its walls, dB.
        loss_db: f64,
        /// This place's difference from the median of its kind, dB: one draw of a normal of
        /// [`SHADOWING_SIGMA_DB`], 0 for the nominal answer.
        shadowing_db: f64,
    },
    /// Read by the station at its place, door shut, over a day.
    Measured {
        /// Median reading, dBm.
        rssi_dbm: f64,
        /// This chip's offset, dB: one draw of a normal, 95 % within [`READING_OFFSET_DB`].
        offset_db: f64,
    },
}

impl Place {
    /// Median power that the station receives from an access point, dBm.
    ///
    /// - `ap_dbm`: power of the access point; a measurement contains it already.
    ///
    /// By hand, 20 dBm, no gains, 67.74 dB of house and 4.85 dB of brick: -52.58 dBm.
    ///
    /// ```
    /// use models::radio::place::Place;
    /// let place = Place::Modelled { gains_dbi: 0.0, loss_db: 67.7371 + 4.8458, shadowing_db: 0.0 };
    /// assert!((place.down_dbm(20.0) + 52.5829).abs() < 1e-4);
    /// ```
    pub fn down_dbm(&self, ap_dbm: f64) -> f64 {
        match *self {
            Self::Modelled { gains_dbi, loss_db, shadowing_db } => {
                ap_dbm + gains_dbi - loss_db + shadowing_db
            }
            Self::Measured { rssi_dbm, offset_db } => rssi_dbm - offset_db,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_measurement_knows_nothing_of_loss_and_power() {
        let place = Place::Measured { rssi_dbm: -61.0, offset_db: 2.0 };
        assert_eq!(place.down_dbm(20.0), -63.0);
        assert_eq!(place.down_dbm(0.0), -63.0);
    }
}
