//! Motion blur: how far a face moves over the pixels while the shutter is open.
//!
//! The worst direction is assumed, across the sight line; somebody who walks straight at the lens is blurred less.

/// Speed of somebody who stands and presses, m/s: typical, from memory, 0.15 (0.03..0.5).
pub const STANDING_M_PER_S: f64 = 0.15;

/// Speed of somebody who walks up, m/s: typical, from memory, 1.2 (0.8..1.6). A press is the *standing* one.
pub const APPROACHING_M_PER_S: f64 = 1.2;

/// Blur in pixels: speed × exposure × density.
///
/// # Examples
///
/// 0.15 m/s for 33 ms at 400 px/m: 0.15 × 0.033 × 400 = 1.98 px.
///
/// ```
/// assert!((models::optics::blur::motion_px(0.15, 0.033, 400.0) - 1.98).abs() < 1e-9);
/// ```
pub fn motion_px(speed_m_per_s: f64, exposure_s: f64, px_per_m: f64) -> f64 {
    speed_m_per_s * exposure_s * px_per_m
}

/// The longest exposure that keeps motion blur within `allowed_px`, s; infinite when nothing moves.
pub fn longest_exposure_s(allowed_px: f64, speed_m_per_s: f64, px_per_m: f64) -> f64 {
    allowed_px / (speed_m_per_s * px_per_m)
}
