//! The ground before the door: is a parcel seen, and how much is hidden below the picture?

use super::{Eye, first_stretch};

/// Side of the parcel, m; a common mail-order carton, invented as a measure.
pub const PARCEL_M: f64 = 0.3;

/// Share of the eight corners of a parcel that are in the picture; it stands right before the lens, its middle
/// `distance_m` from the wall.
pub(super) fn parcel_share(eye: &Eye, side_m: f64, distance_m: f64) -> f64 {
    let half = 0.5 * PARCEL_M;
    let mut seen = 0;
    for x in [side_m - half, side_m + half] {
        for y in [0.0, PARCEL_M] {
            for z in [distance_m - half, distance_m + half] {
                seen += u32::from(eye.sees([x, y, z]));
            }
        }
    }
    f64::from(seen) / 8.0
}

/// The distance from the wall at which the ground right before the lens comes into the picture, m; `None` when it does
/// not within 20 m.
pub(super) fn hidden_m(eye: &Eye, side_m: f64) -> Option<f64> {
    let seen = |log_m: f64| eye.sees([side_m, 0.0, log_m.exp()]);
    let [from, _] = first_stretch(seen, 0.02f64.ln(), 20f64.ln(), 24)?;
    // Already seen at the first place looked at: nothing is hidden.
    let from_m = from.exp();
    Some(if from_m <= 0.02 + 1e-9 { 0.0 } else { from_m })
}
