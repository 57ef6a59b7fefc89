//! Loss between two antennas: free space, and the two forms of ITU-R P.1238 for inside a building.
//!
//! Choose [`free_space_db`] plus walls ([`super::slab`]) for a known short way; [`Building::loss_db`] where rooms and
//! furniture lie between, its slope containing the usual inner walls; [`Row::loss_db`] for the newer measured rows,
//! which know no homes.

use crate::out_of_range::OutOfRange;

/// Speed of light, m/s (SI definition).
pub const LIGHT_M_S: f64 = 299_792_458.0;
/// Frequencies that these formulas are used for here, Hz.
const RANGE_HZ: (f64, f64) = (0.9e9, 6e9);

fn checked(freq_hz: f64, distance_m: f64) -> Result<(), OutOfRange> {
    OutOfRange::check("freq_hz", freq_hz, RANGE_HZ.0, RANGE_HZ.1)?;
    OutOfRange::check("distance_m", distance_m, 0.1, 1000.0).map(drop)
}

/// Free-space loss between two antennas without gain, dB: 20·log10(4πdf/c).
///
/// - `freq_hz`: 0.9 to 6 GHz; `distance_m`: 0.1 m (the far field of a small antenna) to 1,000 m.
///
/// # Errors
/// [`OutOfRange`] names the argument.
///
/// # Examples
/// By hand, 10 m at 2.437 GHz: 20·log10(4π·10/0.12302) = 60.18 dB.
///
/// ```
/// assert!((models::radio::loss::free_space_db(2.437e9, 10.0)? - 60.1849).abs() < 1e-4);
/// # Ok::<(), models::out_of_range::OutOfRange>(())
/// ```
pub fn free_space_db(freq_hz: f64, distance_m: f64) -> Result<f64, OutOfRange> {
    checked(freq_hz, distance_m)?;
    Ok(20.0 * (4.0 * std::f64::consts::PI * distance_m * freq_hz / LIGHT_M_S).log10())
}

/// Buildings of the site-general form of ITU-R P.1238.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Building {
    /// A flat.
    Flat,
    /// A house.
    House,
    /// Offices.
    Office,
    /// Shops and halls.
    Commercial,
}

impl Building {
    /// Loss a decade of distance, dB: homes 28 (2.4 GHz, from memory), offices 30, commercial 22 (references.md 5.3, a*).
    pub fn slope_db(self) -> f64 {
        match self {
            Self::Flat | Self::House => 28.0,
            Self::Office => 30.0,
            Self::Commercial => 22.0,
        }
    }

    /// Loss of floors between, dB. First floor: flat 10, house 5 (from memory), office 14, commercial 6 (a*); each
    /// further one as the first, in offices and shops 4 and 3 (the rows for 1.8 to 2 GHz, a*).
    pub fn floors_db(self, floors: u32) -> f64 {
        let (first, further) = match self {
            Self::Flat => (10.0, 10.0),
            Self::House => (5.0, 5.0),
            Self::Office => (14.0, 4.0),
            Self::Commercial => (6.0, 3.0),
        };
        if floors == 0 { 0.0 } else { first + further * f64::from(floors - 1) }
    }

    /// Site-general loss, dB: 20·log10(f/MHz) + N·log10(d/m) + floors − 28, never below free space.
    ///
    /// Without the clamp it would be 0.45 dB below free space at 1 m. Outer walls are not in it: add their slabs.
    ///
    /// Source: ITU-R P.1238 (editions up to 10), section 3, through references.md 5.3 (a*; slope of homes from memory).
    ///
    /// # Errors
    /// [`OutOfRange`] names the argument.
    ///
    /// # Examples
    /// By hand, a house, 10 m, 2,437 MHz: 67.737 + 28 − 28 = 67.74 dB.
    ///
    /// ```
    /// use models::radio::loss::Building;
    /// assert!((Building::House.loss_db(2.437e9, 10.0, 0)? - 67.7371).abs() < 1e-4);
    /// # Ok::<(), models::out_of_range::OutOfRange>(())
    /// ```
    pub fn loss_db(self, freq_hz: f64, distance_m: f64, floors: u32) -> Result<f64, OutOfRange> {
        let free_db = free_space_db(freq_hz, distance_m)?;
        OutOfRange::check("floors", f64::from(floors), 0.0, 10.0)?;
        let rooms_db = 20.0 * (freq_hz / 1e6).log10() + self.slope_db() * distance_m.log10() - 28.0;
        Ok(rooms_db.max(free_db) + self.floors_db(floors))
    }
}

/// Measured rows of ITU-R P.1238-11, table 2; there is none for homes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Row {
    /// Office, line of sight.
    OfficeInSight,
    /// Office, none.
    OfficeHidden,
    /// Corridor, line of sight.
    CorridorInSight,
    /// Corridor, none.
    CorridorHidden,
}

/// Numbers of one row.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RowData {
    /// Per 10·log10 of metres.
    pub alpha: f64,
    /// dB at 1 m and 1 GHz.
    pub beta: f64,
    /// Per 10·log10 of gigahertz.
    pub gamma: f64,
    /// Spread over places, dB.
    pub sigma_db: f64,
    /// Distances measured, m.
    pub range_m: (f64, f64),
}

impl Row {
    /// Its numbers (references.md 5.3, a*).
    pub fn data(self) -> RowData {
        let row = |alpha, beta, gamma, sigma_db, range_m| RowData { alpha, beta, gamma, sigma_db, range_m };
        match self {
            Self::OfficeInSight => row(1.46, 34.62, 2.03, 3.76, (2.0, 27.0)),
            Self::OfficeHidden => row(2.46, 29.53, 2.38, 5.04, (4.0, 30.0)),
            Self::CorridorInSight => row(1.63, 28.12, 2.25, 4.07, (2.0, 160.0)),
            Self::CorridorHidden => row(2.77, 29.27, 2.48, 7.63, (4.0, 94.0)),
        }
    }

    /// Median loss, dB: 10·α·log10(d/m) + β + 10·γ·log10(f/GHz). Below free space is possible: a corridor guides.
    ///
    /// Source: ITU-R P.1238-11, section 3 and table 2, seen in a program library that names it (references.md 5.3, a*).
    ///
    /// # Errors
    /// [`OutOfRange`] for a distance outside the row's own range or a frequency outside 0.9 to 6 GHz.
    pub fn loss_db(self, freq_hz: f64, distance_m: f64) -> Result<f64, OutOfRange> {
        checked(freq_hz, distance_m)?;
        let RowData { alpha, beta, gamma, range_m, .. } = self.data();
        let distance_m = OutOfRange::check("distance_m", distance_m, range_m.0, range_m.1)?;
        Ok(10.0 * alpha * distance_m.log10() + beta + 10.0 * gamma * (freq_hz / 1e9).log10())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn indoors_is_never_better_than_free_space() {
        for building in [Building::Flat, Building::House, Building::Office, Building::Commercial] {
            for distance_m in [0.5, 1.0, 2.0, 10.0, 100.0] {
                let free_db = free_space_db(2.437e9, distance_m).unwrap();
                let loss_db = building.loss_db(2.437e9, distance_m, 0).unwrap();
                assert!(loss_db >= free_db);
                assert!(building.loss_db(2.437e9, distance_m, 1).unwrap() > loss_db);
            }
        }
        assert_eq!(Building::Flat.loss_db(2.437e9, 1.0, 0), free_space_db(2.437e9, 1.0));
    }

    #[test]
    fn ranges_are_refused_not_stretched() {
        assert_eq!(free_space_db(1.0, 1.0).unwrap_err().what, "freq_hz");
        assert_eq!(Row::OfficeHidden.loss_db(2.4e9, 3.0).unwrap_err().low, 4.0);
        assert!(Building::House.loss_db(2.4e9, f64::NAN, 0).is_err());
        assert!(Building::House.loss_db(2.4e9, 5.0, 11).is_err());
    }
}
