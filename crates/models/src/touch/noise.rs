//! Noise of the count, and the ratio of a touch to it, by each of the definitions in use.
//!
//! They differ threefold on one log, so a ratio never goes without its definition ([`Ratio`]). Before building, noise is
//! a guess: 0.15 % of the count (0.05..0.6), 1.5 times as much (1..4) with the radio on, and a touched plate on a mains
//! supply 5 times as noisy as an idle one (2..20); all typical, from memory (trade.md §3).

use quantity::normal::{cdf, quantile};

/// Idle noise as a share of the count, radio off; median of 0.05 to 0.6 %.
pub const IDLE_SIGMA: f64 = 0.0015;
/// What the radio multiplies it by; median of 1 to 4.
pub const RADIO_FACTOR: f64 = 1.5;
/// Touched over idle noise on a mains supply; median of 2 to 20.
pub const TOUCHED_FACTOR: f64 = 5.0;
/// The usual least ratio of touch to idle peak-to-peak (application notes of makers, references.md §8.1: read).
pub const RATIO_LEAST: f64 = 5.0;
/// Presses without a caller that a household bears, 1/year: one in two weeks. Ours.
pub const FALSE_BORNE_YEAR: f64 = 26.0;
/// Share of presses that may be missed: who is not heard presses again. Ours.
pub const MISSED_BORNE: f64 = 0.02;

/// Expected distance between the highest and the lowest of `count` independent normal values, in standard deviations.
///
/// The integral of 1 - (1-Φ)^n - Φ^n (Tippett, *Biometrika* 17 (1925) 364; from memory), by Simpson's rule.
///
/// ```
/// // references.md §8.1: d2(10) = 3.077505.
/// assert!((models::touch::noise::expected_range(10) - 3.077505).abs() < 1e-6);
/// ```
pub fn expected_range(count: u32) -> f64 {
    let n = f64::from(count);
    // Symmetric about 0, and nothing left beyond 9 standard deviations.
    let steps = 720;
    let width = 9.0 / f64::from(steps);
    let at = |z: f64| 1.0 - cdf(z).powf(n) - cdf(-z).powf(n);
    let inner: f64 = (1..steps).map(|i| at(f64::from(i) * width) * if i % 2 == 1 { 4.0 } else { 2.0 }).sum();
    2.0 * width / 3.0 * (at(0.0) + inner + at(9.0))
}

/// Touch over noise, by each definition.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ratio {
    /// Over the idle peak-to-peak in the window: the one that 5 is meant for.
    pub peak_to_peak: f64,
    /// Over the highest idle value above the mean, in the window.
    pub positive_peak: f64,
    /// Over the idle standard deviation.
    pub sigma: f64,
}

/// The ratio to expect of a touch that moves the count by `swing` (a share of it), at an idle noise of `sigma` (a share of
/// it, above 0) in a window of `count` independent readings.
pub fn ratio(swing: f64, sigma: f64, count: u32) -> Ratio {
    let sigmas = swing / sigma;
    let range = expected_range(count.max(2));
    Ratio { peak_to_peak: sigmas / range, positive_peak: sigmas / (range / 2.0), sigma: sigmas }
}

/// Room between the tails: the idle value that 1 in 1,000 goes beyond, and the touched value that 1 in 20 falls short of, as a
/// share of the count. Above 0 a threshold fits between; an idle-noise ratio alone misses the noise of the touch.
pub fn tails_gap(swing: f64, sigma: f64, touched_sigma: f64) -> f64 {
    swing - quantile(0.999) * sigma - quantile(0.95) * touched_sigma
}

/// Frequency at which a hum of `hum_hz` appears when sampled `rate_hz` times a second, Hz: |f - n·rate| at its least.
///
/// By hand, 50 Hz every 30 ms (33.3 a second): |50 - 33.3| = 16.7. At 10 a second it is 0: the hum is invisible and turns
/// into an offset.
///
/// ```
/// use models::touch::noise::alias_hz;
/// assert!((alias_hz(50.0, 1000.0 / 30.0) - 16.667).abs() < 1e-3 && alias_hz(50.0, 10.0) < 1e-12);
/// ```
pub fn alias_hz(hum_hz: f64, rate_hz: f64) -> f64 {
    (hum_hz - (hum_hz / rate_hz).round() * rate_hz).abs()
}

/// Share of a hum's amplitude that is left after an even average over `window_s`: |sin(π·f·T)/(π·f·T)|. Whole periods, such as 100 ms of
/// 50 or 60 Hz, leave none.
///
/// ```
/// use models::touch::noise::hum_left;
/// assert!(hum_left(50.0, 0.1) < 1e-12 && hum_left(60.0, 0.1) < 1e-12 && hum_left(50.0, 0.03) > 0.2);
/// ```
pub fn hum_left(hum_hz: f64, window_s: f64) -> f64 {
    let x = std::f64::consts::PI * hum_hz * window_s;
    if x.abs() < 1e-9 { 1.0 } else { (x.sin() / x).abs() }
}
