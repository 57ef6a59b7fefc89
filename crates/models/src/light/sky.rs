//! The year before one wall, sorted: how often is there at least so much light on a face?
//!
//! Made once a site and wall (35,040 quarter hours), searched in every draw. Knows no camera: it is asked with the lux that
//! [`super::face`] solved for.

use crate::out_of_range::OutOfRange;
use crate::site::HOURS;

use super::calls::HourProfile;
use super::daylight::Daylight;
use super::surround::Surround;

/// Below this a bright background is not what hinders: the hour is dark anyway, and counted as such. lx.
const DAY_LUX: f64 = 10.0;

/// What adding 35,040 shares may lose.
const ROUNDING: f64 = 1e-9;

/// A share of the year's time and of the expected calls.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Share {
    /// Of all hours.
    pub year: f64,
    /// Of calls, by their hours.
    pub calls: f64,
}

impl Share {
    fn plus(self, other: Self) -> Self {
        Self { year: self.year + other.year, calls: self.calls + other.calls }
    }
}

/// Values in order, and what share lies at or above each.
#[derive(Debug, Clone, PartialEq)]
struct Ranked {
    values: Vec<f32>,
    from: Vec<Share>,
}

impl Ranked {
    /// `values` must be 0 or more and not NaN.
    fn new(pairs: impl Iterator<Item = (f32, Share)>) -> Self {
        // Bits of floats from 0 on are in their order; with the index below, plain integers sort fastest.
        let pairs: Vec<_> = pairs.collect();
        let mut keys: Vec<u64> = pairs
            .iter()
            .enumerate()
            .map(|(index, (value, _))| u64::from(value.to_bits()) << 32 | index as u64)
            .collect();
        keys.sort_unstable();
        let mut from = vec![Share::default(); keys.len() + 1];
        for (rank, key) in keys.iter().enumerate().rev() {
            from[rank] = from[rank + 1].plus(pairs[*key as u32 as usize].1);
        }
        Self { values: keys.iter().map(|key| f32::from_bits((key >> 32) as u32)).collect(), from }
    }

    fn share_at_least(&self, value: f64) -> Share {
        self.from[self.values.partition_point(|v| f64::from(*v) < value)]
    }
}

/// The year of light before one wall.
#[derive(Debug, Clone, PartialEq)]
pub struct Sky {
    face_lx: Vec<f32>,
    background_ratio: Vec<f32>,
    weights: Vec<Share>,
    by_light: Ranked,
    by_backlight: Ranked,
}

impl Sky {
    /// The year before a wall.
    ///
    /// - `lost`: for each of the 8,760 hours the share in which the window is wet or blind ([`super::obscured`]); empty for
    ///   none. Lost time counts as not reached whatever the light.
    ///
    /// Cost: some 3 ms in release, beside [`Daylight::new`].
    ///
    /// # Errors
    /// [`OutOfRange`] names a number of the surround, a `lost` list of another length, or a share outside 0 to 1.
    pub fn new(
        daylight: &Daylight,
        surround: &Surround,
        calls: &HourProfile,
        lost: &[f64],
    ) -> Result<Self, OutOfRange> {
        if !lost.is_empty() {
            OutOfRange::check("lost_hours", lost.len() as f64, HOURS as f64, HOURS as f64)?;
            for share in lost {
                OutOfRange::check("lost_share", *share, 0.0, 1.0)?;
            }
        }
        let eye = surround.check()?.eye();
        let count = daylight.slots().len();
        let mut face_lx = Vec::with_capacity(count);
        let mut background_ratio = Vec::with_capacity(count);
        let mut weights = Vec::with_capacity(count);
        for (index, slot) in daylight.slots().iter().enumerate() {
            let at = eye.at(slot);
            face_lx.push(at.face_lx as f32);
            // No light on the face at all: as dark as can be, not a division by zero.
            background_ratio.push((at.background_lx / at.face_lx.max(1e-9)) as f32);
            let clear = 1.0 - lost.get(index / daylight.per_hour()).copied().unwrap_or(0.0);
            let of_calls = calls.shares()[daylight.hour_of_day(index)] * (24.0 / count as f64);
            weights.push(Share { year: clear / count as f64, calls: clear * of_calls });
        }
        let by_light = Ranked::new(face_lx.iter().copied().zip(weights.iter().copied()));
        let by_backlight = Ranked::new(
            (0..face_lx.len())
                .filter(|i| f64::from(face_lx[*i]) >= DAY_LUX)
                .map(|i| (background_ratio[i], weights[i])),
        );
        Ok(Self { face_lx, background_ratio, weights, by_light, by_backlight })
    }

    /// Share of the time with at least so many lux of daylight on the face; all that is not lost for 0 or less.
    ///
    /// Cost: one binary search, under 0.1 us.
    pub fn share_at_least(&self, lux: f64) -> Share {
        self.by_light.share_at_least(lux)
    }

    /// Share of the time by day (10 lx on the face or more) whose background ratio is at least this.
    ///
    /// For a face of reflectance ρ and a camera that stands a luminance ratio K ([`super::exposure::Camera::most_backlight`])
    /// ask with K·ρ.
    pub fn backlit_share(&self, background_ratio: f64) -> Share {
        self.by_backlight.share_at_least(background_ratio)
    }

    /// Share of the time that a judge accepts, by daylight lux on the face and background ratio: exact for any camera and
    /// lamp. A lamp that burns by day makes the face brighter, so the judge sees ratio·lux/(lux + lamp).
    ///
    /// Cost: the judge is called 35,040 times; some 35 us beside it.
    pub fn share_where(&self, accepts: impl Fn(f64, f64) -> bool) -> Share {
        let all = self.face_lx.iter().zip(&self.background_ratio).zip(&self.weights);
        all.filter(|((lux, ratio), _)| accepts(f64::from(**lux), f64::from(**ratio)))
            .fold(Share::default(), |sum, (_, weight)| sum.plus(*weight))
    }

    /// Share of the time that is not lost to a wet or blind window.
    pub fn clear_share(&self) -> Share {
        self.by_light.from[0]
    }

    /// Daylight on the face by slots of the [`Daylight`], lx. The year-by-hour chart.
    pub fn face_lux(&self) -> &[f32] {
        &self.face_lx
    }

    /// The background ratio that half of the calls by day see at least; 0 where no call is by day.
    pub fn usual_ratio(&self) -> f64 {
        let half = 0.5 * self.by_backlight.from[0].calls;
        let rank = self.by_backlight.from.partition_point(|share| share.calls >= half && half > 0.0);
        rank.checked_sub(1)
            .and_then(|rank| self.by_backlight.values.get(rank))
            .map_or(0.0, |ratio| f64::from(*ratio))
    }

    /// Luminance of the background over that of a white face, in the same order: divide by a face's reflectance.
    pub fn background_ratio(&self) -> &[f32] {
        &self.background_ratio
    }

    /// The daylight that the wanted share of calls has at least, lx; `None` when so many calls are lost anyway.
    pub fn lux_of_calls(&self, wanted_share: f64) -> Option<f64> {
        let count = self.by_light.from.partition_point(|share| share.calls >= wanted_share - ROUNDING);
        match count {
            0 => None,
            // A share of 0 asks for nothing: the brightest value then.
            _ => {
                self.by_light.values.get(count.min(self.by_light.values.len()) - 1).map(|lux| f64::from(*lux))
            }
        }
    }

    /// The least lamp, in lux on the face, with which the wanted share of calls reaches `needed_lux`; 0 when day suffices,
    /// `None` when no lamp does.
    pub fn least_lamp_lux(&self, needed_lux: f64, wanted_share: f64) -> Option<f64> {
        self.lux_of_calls(wanted_share).map(|day_lux| (needed_lux - day_lux).max(0.0))
    }
}
