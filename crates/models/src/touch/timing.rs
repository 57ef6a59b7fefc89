//! Whether a press is long enough to be seen, whether a sleeping station's frozen threshold holds, and what protection does.

/// A press lasts 0.35 s (0.12..1.2); typical, from memory (trade.md `plate.press-length`).
pub const PRESS_S: [f64; 3] = [0.12, 0.35, 1.2];
/// Period, debounce and averaging together may take this long, s: the short presses are seen then (same source).
pub const SEEN_WITHIN_S: f64 = 0.10;
/// Longest lead that does not move or pick up noise, m (same source).
pub const LEAD_MAX_M: f64 = 0.15;
/// Count drift, 1/K: 0.05 % (0.02..0.2), and a step in rain: 2 % (0.5..15) (trade.md §3: typical, from memory).
pub const DRIFT_1_K: f64 = 0.0005;
/// Step of the count in rain.
pub const RAIN_STEP: f64 = 0.02;
/// A touch must move the count this many times the drift (trade.md `plate.sleep-threshold`).
pub const DRIFT_FACTOR: f64 = 3.0;

/// Time from the finger to the decision, s: at worst a whole period, then `debounce` more readings, then half the average.
///
/// - `period_s`: between readings; `debounce`: readings in a row that must agree after the first; `average_s`: span of a moving
///   average.
///
/// By hand, 30 ms, one more reading, 40 ms average: 30 + 30 + 20 = 80 ms.
///
/// ```
/// assert!((models::touch::timing::seen_after_s(0.03, 1, 0.04) - 0.08).abs() < 1e-12);
/// ```
pub fn seen_after_s(period_s: f64, debounce: u32, average_s: f64) -> f64 {
    period_s * (1.0 + f64::from(debounce)) + average_s / 2.0
}

/// A threshold that stands still while the station sleeps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SleepThreshold {
    /// How far the count may wander between two re-baselines, as a share of it.
    pub drift: f64,
    /// Least swing of a touch for a threshold to stand between.
    pub swing_needed: f64,
}

impl SleepThreshold {
    /// For a span between re-baselines in which the temperature moves by `change_k`; `rain_step` 0 where the plate stays dry.
    ///
    /// By hand, 20 K at 0.05 %/K and a rain step of 2 %: 3 %, so a touch must move the count by 9 %; a covered plate on
    /// cells moves it by 6 % and needs a timer that wakes and re-baselines, or a button.
    ///
    /// ```
    /// use models::touch::timing::{DRIFT_1_K, RAIN_STEP, SleepThreshold};
    /// let frozen = SleepThreshold::new(20.0, DRIFT_1_K, RAIN_STEP);
    /// assert!((frozen.swing_needed - 0.09).abs() < 1e-12 && !frozen.holds(0.06));
    /// ```
    pub fn new(change_k: f64, drift_1_k: f64, rain_step: f64) -> Self {
        let drift = change_k.abs() * drift_1_k + rain_step;
        Self { drift, swing_needed: DRIFT_FACTOR * drift }
    }

    /// Whether a touch of this swing wakes it and the weather does not.
    pub fn holds(&self, swing: f64) -> bool {
        swing > self.swing_needed
    }

    /// The threshold, as a share below (or above) the baseline: half way between the drift and the touch less the drift, so
    /// as far from a false wake as from a missed press.
    pub fn wake_at(&self, swing: f64) -> f64 {
        swing / 2.0
    }
}

/// Greatest change of temperature between re-baselines that a touch of `swing` allows, K; 0 where rain alone is too much.
pub fn change_allowed_k(swing: f64, drift_1_k: f64, rain_step: f64) -> f64 {
    ((swing / DRIFT_FACTOR - rain_step) / drift_1_k).max(0.0)
}

/// Time constant of the protecting resistor with the plate, s: R·C. The reading is not hurt while five of them fit
/// into one charge of the plate.
///
/// By hand, 1 kΩ and 30 pF: 30 ns.
///
/// ```
/// assert!((models::touch::timing::surge_rc_s(1e3, 30e-12) - 30e-9).abs() < 1e-20);
/// ```
pub fn surge_rc_s(resistor_ohm: f64, plate_f: f64) -> f64 {
    resistor_ohm * plate_f
}
