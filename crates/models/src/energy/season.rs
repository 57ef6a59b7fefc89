//! The site's year as 365 days: temperatures, and sun on the panel's plane.
//!
//! Plain numbers from whoever knows the site; nothing here knows about places, clouds or the sun's position.
//! What a life needs of them again and again is worked out once, because all draws share one site.

use crate::cells::ageing;
use crate::out_of_range::OutOfRange;
use crate::site::MONTH_STARTS;
// One year for all: the site's. Re-exported because whoever fills a season needs its length and months.
pub use crate::site::{DAYS, MONTH_STARTS as MONTH_FIRST_DAY};

/// The month, 0 January, of a day of the year.
pub fn month_of(day: usize) -> usize {
    MONTH_STARTS.partition_point(|&first| first <= day).clamp(1, 12) - 1
}

/// The site's year, one value a day.
#[derive(Clone, Debug, PartialEq)]
pub struct Season {
    mean_k: Vec<f64>,
    min_k: Vec<f64>,
    sun_j_m2: Vec<f64>,
    above_frost: Vec<f64>,
    sun_above_frost_j_m2: Vec<f64>,
    month_ageing_speed: [f64; 12],
    month_coldest_k: [f64; 12],
}

/// A list that cannot be a site's year.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SeasonError {
    /// A list of another length than 365.
    Days {
        /// Which list.
        what: &'static str,
        /// Its length.
        days: usize,
    },
    /// A value outside its range, on this day.
    Value {
        /// Day of the year, 0 for 1 January.
        day: usize,
        /// What is wrong with it.
        fault: OutOfRange,
    },
}

impl std::fmt::Display for SeasonError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Days { what, days } => write!(f, "{what} has {days} days, a year has {DAYS}"),
            Self::Value { day, fault } => write!(f, "on day {day} of the year {fault}"),
        }
    }
}

impl std::error::Error for SeasonError {}

impl Season {
    /// The year out of four lists of 365 values.
    ///
    /// - `mean_k`, `min_k`: the cell's mean and least temperature of the day, 200 to 350 K.
    /// - `sun_j_m2`: energy on the panel's plane in a day with the mean sky of its date, 0 to 1e8 J/m².
    /// - `above_frost`: share of that energy that comes while the cell is above 0 °C, 0 to 1.
    pub fn new(
        mean_k: &[f64],
        min_k: &[f64],
        sun_j_m2: &[f64],
        above_frost: &[f64],
    ) -> Result<Self, SeasonError> {
        for (what, list, low, high) in [
            ("mean_k", mean_k, 200.0, 350.0),
            ("min_k", min_k, 200.0, 350.0),
            ("sun_j_m2", sun_j_m2, 0.0, 1e8),
            ("above_frost", above_frost, 0.0, 1.0),
        ] {
            if list.len() != DAYS {
                return Err(SeasonError::Days { what, days: list.len() });
            }
            for (day, &value) in list.iter().enumerate() {
                OutOfRange::check(what, value, low, high)
                    .map_err(|fault| SeasonError::Value { day, fault })?;
            }
        }
        let (mut month_ageing_speed, mut month_coldest_k) = ([0.0; 12], [0.0; 12]);
        for month in 0..12 {
            let days = MONTH_STARTS[month]..MONTH_STARTS[month + 1];
            let speeds: f64 = mean_k[days.clone()].iter().map(|&k| ageing::speed_factor(k)).sum();
            month_ageing_speed[month] = speeds / days.len() as f64;
            month_coldest_k[month] = min_k[days].iter().copied().fold(f64::INFINITY, f64::min);
        }
        Ok(Self {
            mean_k: mean_k.to_vec(),
            min_k: min_k.to_vec(),
            sun_j_m2: sun_j_m2.to_vec(),
            above_frost: above_frost.to_vec(),
            sun_above_frost_j_m2: sun_j_m2.iter().zip(above_frost).map(|(sun, share)| sun * share).collect(),
            month_ageing_speed,
            month_coldest_k,
        })
    }

    /// The same sun at one temperature all year, for indoor cells and for telling what the cold does.
    pub fn at_one_temperature(&self, temp_k: f64) -> Result<Self, SeasonError> {
        let same = [temp_k; DAYS];
        Self::new(&same, &same, &self.sun_j_m2, &self.above_frost)
    }

    /// The same year everywhere warmer by `warmer_k` and with its sun times `sunnier`: one draw of a site.
    ///
    /// Much cheaper than [`Season::new`], since ageing's speed only takes a factor: 2^(warmer/10 K). The share above
    /// frost stays, which is right for small shifts only.
    ///
    /// # Errors
    ///
    /// As [`Season::new`].
    pub fn moved(&self, warmer_k: f64, sunnier: f64) -> Result<Self, SeasonError> {
        let place = |fault| SeasonError::Value { day: 0, fault };
        // The hottest and the coldest day decide for all.
        for list in [&self.mean_k, &self.min_k] {
            for extreme in
                [list.iter().copied().fold(f64::INFINITY, f64::min), list.iter().copied().fold(0.0, f64::max)]
            {
                OutOfRange::check("warmed temperature, in K", extreme + warmer_k, 200.0, 350.0)
                    .map_err(place)?;
            }
        }
        let most_j_m2 = self.sun_j_m2.iter().copied().fold(1.0, f64::max);
        OutOfRange::check("sunnier", sunnier, 0.0, 1e8 / most_j_m2).map_err(place)?;
        let warmer = |list: &[f64]| list.iter().map(|k| k + warmer_k).collect();
        let brighter = |list: &[f64]| list.iter().map(|sun| sun * sunnier).collect();
        let factor = (warmer_k / 10.0).exp2();
        Ok(Self {
            mean_k: warmer(&self.mean_k),
            min_k: warmer(&self.min_k),
            sun_j_m2: brighter(&self.sun_j_m2),
            above_frost: self.above_frost.clone(),
            sun_above_frost_j_m2: brighter(&self.sun_above_frost_j_m2),
            month_ageing_speed: self.month_ageing_speed.map(|speed| speed * factor),
            month_coldest_k: self.month_coldest_k.map(|k| k + warmer_k),
        })
    }

    /// Mean temperature of each day, in K.
    pub fn mean_k(&self) -> &[f64] {
        &self.mean_k
    }

    /// Least temperature of each day, in K.
    pub fn min_k(&self) -> &[f64] {
        &self.min_k
    }

    /// Energy on the panel's plane each day, mean sky, in J/m².
    pub fn sun_j_m2(&self) -> &[f64] {
        &self.sun_j_m2
    }

    /// The part of it that comes while the cell is above 0 °C, in J/m².
    pub fn sun_above_frost_j_m2(&self) -> &[f64] {
        &self.sun_above_frost_j_m2
    }

    /// Mean of the month's [`ageing::speed_factor`].
    pub fn ageing_speed(&self, month: usize) -> f64 {
        self.month_ageing_speed[month]
    }

    /// Least temperature of the month, in K.
    pub fn month_coldest_k(&self, month: usize) -> f64 {
        self.month_coldest_k[month]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_fall_into_their_months() {
        assert_eq!(
            [month_of(0), month_of(30), month_of(31), month_of(364), month_of(9999)],
            [0, 0, 1, 11, 11]
        );
        assert_eq!(MONTH_STARTS[12], DAYS);
    }

    #[test]
    fn a_moved_year_is_the_year_of_moved_lists() {
        let list = |from: f64, step: f64| -> Vec<f64> { (0..DAYS).map(|d| from + step * d as f64).collect() };
        let (mean_k, min_k, sun, share) =
            (list(270.0, 0.05), list(265.0, 0.05), list(1e6, 1e3), list(0.5, 0.001));
        let moved = Season::new(&mean_k, &min_k, &sun, &share).unwrap().moved(2.5, 1.25).unwrap();
        let warmer = |list: &[f64]| -> Vec<f64> { list.iter().map(|k| k + 2.5).collect() };
        let brighter: Vec<f64> = sun.iter().map(|sun| sun * 1.25).collect();
        let anew = Season::new(&warmer(&mean_k), &warmer(&min_k), &brighter, &share).unwrap();
        assert_eq!(
            (&moved.mean_k, &moved.min_k, &moved.sun_j_m2),
            (&anew.mean_k, &anew.min_k, &anew.sun_j_m2)
        );
        for month in 0..12 {
            assert!((moved.ageing_speed(month) / anew.ageing_speed(month) - 1.0).abs() < 1e-12);
            assert_eq!(moved.month_coldest_k(month), anew.month_coldest_k(month));
        }
        assert!(
            anew.moved(f64::NAN, 1.0).is_err()
                && anew.moved(200.0, 1.0).is_err()
                && anew.moved(0.0, 1e9).is_err()
        );
    }

    #[test]
    fn a_short_list_and_a_nan_are_refused_with_their_place() {
        let year = [283.15; DAYS];
        let none = [0.0; DAYS];
        let error = Season::new(&year[..300], &year, &none, &none).unwrap_err();
        assert_eq!(error.to_string(), "mean_k has 300 days, a year has 365");
        let mut broken = year;
        broken[7] = f64::NAN;
        let error = Season::new(&year, &broken, &none, &none).unwrap_err();
        assert_eq!(error.to_string(), "on day 7 of the year min_k is NaN, outside 200 to 350");
    }
}
