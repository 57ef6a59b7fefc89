//! How long the parallel camera ribbon may be.

/// Longest ribbon times pixel clock, in metre hertz: 100 mm at 20 MHz and 200 mm at 10 MHz give the same product.
/// Typical, from memory.
pub const RIBBON_M_HZ: f64 = 0.1 * 20e6;
/// Longest ribbon at any clock in metres: nothing is known of longer ones. Typical, from memory.
pub const RIBBON_MAX_M: f64 = 0.2;

/// A ribbon against its limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RibbonVerdict {
    /// Length in metres.
    pub length_m: f64,
    /// Longest for this clock in metres.
    pub length_m_max: f64,
    /// Fastest pixel clock for this length in hertz; 0 beyond [`RIBBON_MAX_M`].
    pub clock_hz_max: f64,
    /// It crosses the antenna's end, which it must not at any length.
    pub across_antenna: bool,
}

impl RibbonVerdict {
    /// Whether length and route are good.
    pub fn fits(&self) -> bool {
        self.length_m <= self.length_m_max && !self.across_antenna
    }
}

/// Judge a ribbon of `length_m` at a pixel clock of `clock_hz` (above 0).
///
/// Above 20 MHz the product is extrapolated; below 10 MHz the length stays at 200 mm.
///
/// # Examples
///
/// ```
/// let verdict = models::pins::ribbon::judge_ribbon(0.15, 20e6, false);
/// assert!(!verdict.fits());
/// assert!((verdict.clock_hz_max - 13.33e6).abs() < 1e4); // 2 / 0.15
/// ```
pub fn judge_ribbon(length_m: f64, clock_hz: f64, across_antenna: bool) -> RibbonVerdict {
    RibbonVerdict {
        length_m,
        length_m_max: (RIBBON_M_HZ / clock_hz).min(RIBBON_MAX_M),
        clock_hz_max: if length_m > RIBBON_MAX_M { 0.0 } else { RIBBON_M_HZ / length_m.max(1e-3) },
        across_antenna,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_two_published_points_are_the_edges() {
        for (length_m, clock_hz) in [(0.1, 20e6), (0.2, 10e6)] {
            assert!(judge_ribbon(length_m, clock_hz, false).fits());
            assert!(!judge_ribbon(length_m * 1.01, clock_hz, false).fits());
            assert!(!judge_ribbon(length_m, clock_hz, true).fits());
        }
    }
}
