//! Light of the sky while the sun is below the horizon, by the depth of the sun.
//!
//! Between published points the logarithm of the illuminance is a straight line. Below 18° nothing changes any more:
//! the moon is left out, since its best night (0.3 lx) serves no camera here.

/// Sun's elevation in degrees; clear sky and covered sky, lx on flat ground.
///
/// Clear: sunset 400, end of civil twilight 3.4, moonless with airglow 0.002 (references.md §3.1, from encyclopaedia and
/// trade tables). Covered: sunset 40, moonless 0.0001 (same table). Clear at 12°: 0.008; covered between: the ratio to clear
/// goes smoothly from a tenth to a twentieth (both from memory).
const POINTS: [(f64, f64, f64); 4] =
    [(0.0, 400.0, 40.0), (-6.0, 3.4, 0.27), (-12.0, 0.008, 0.0005), (-18.0, 0.002, 0.0001)];

/// The named parts of dusk and dawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Phase {
    /// The sun is up.
    Day,
    /// Down to 6°: one can read outdoors for most of it.
    Civil,
    /// 6° to 12°.
    Nautical,
    /// 12° to 18°.
    Astronomical,
    /// Below 18°.
    Night,
}

impl Phase {
    /// The phase for an elevation of the sun's centre.
    ///
    /// Sunrise by the almanac is at -0.833°; here day begins at 0, where the light model changes.
    pub fn of(elevation_rad: f64) -> Self {
        match elevation_rad.to_degrees() {
            e if e >= 0.0 => Self::Day,
            e if e >= -6.0 => Self::Civil,
            e if e >= -12.0 => Self::Nautical,
            e if e >= -18.0 => Self::Astronomical,
            _ => Self::Night,
        }
    }
}

/// Illuminance of flat open ground, lx, for a sun at or below the horizon; above it the value at the horizon.
///
/// - `cloud`: covered share of the sky, 0 to 1; between clear and covered the logarithm is linear too.
///
/// ```
/// use models::light::twilight::horizontal_lux;
/// assert!((horizontal_lux((-6_f64).to_radians(), 0.0) - 3.4).abs() < 1e-6);
/// // Half way in the logarithm between 400 and 3.4: their geometric mean.
/// assert!((horizontal_lux((-3_f64).to_radians(), 0.0) - 36.88).abs() < 0.01);
/// ```
pub fn horizontal_lux(elevation_rad: f64, cloud: f64) -> f64 {
    let degrees = elevation_rad.to_degrees().clamp(-18.0, 0.0);
    let cloud = cloud.clamp(0.0, 1.0);
    let above = POINTS.windows(2).find(|pair| degrees >= pair[1].0);
    let [(from, clear, covered), (to, clear_to, covered_to)] = match above {
        Some(pair) => [pair[0], pair[1]],
        // NaN: say so.
        None => return f64::NAN,
    };
    let t = (from - degrees) / (from - to);
    let log = |a: f64, b: f64| (1.0 - t) * a.ln() + t * b.ln();
    ((1.0 - cloud) * log(clear, clear_to) + cloud * log(covered, covered_to)).exp()
}
