//! Hours at which the window shows drops, not faces: rain and dew.
//!
//! Frost counts with dew. Webs, insects and dirt are left out: they come with neglect, not with hours.

use crate::site::year::Year;

/// Slant of wind-driven rain from the vertical that an overhang must keep off: 35° (trade.md `light.obscured`; typical,
/// from memory).
const RAIN_SLANT_DEG: f64 = 35.0;

/// The least overhang that keeps rain off a window so far below it, m: height·tan 35°.
///
/// By hand: 1 m below: 0.70 m.
///
/// ```
/// assert!((models::light::obscured::overhang_m(1.0) - 0.70).abs() < 0.001);
/// ```
pub fn overhang_m(below_m: f64) -> f64 {
    below_m.max(0.0) * RAIN_SLANT_DEG.to_radians().tan()
}

/// For each hour of a year the share in which rain lies on the window: the year's rain, or none below a deep enough overhang.
pub fn wet(year: &Year, overhang_there_m: f64, below_m: f64) -> Vec<f64> {
    if overhang_there_m >= overhang_m(below_m) { vec![0.0; year.rain.len()] } else { year.rain.clone() }
}

/// Two independent reasons together, hour by hour: 1 - (1 - a)(1 - b). The longer list's rest counts alone.
pub fn together(a: &[f64], b: &[f64]) -> Vec<f64> {
    (0..a.len().max(b.len()))
        .map(|i| {
            let clear = |list: &[f64]| 1.0 - list.get(i).copied().unwrap_or(0.0);
            1.0 - clear(a) * clear(b)
        })
        .collect()
}
