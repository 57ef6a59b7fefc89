//! Counts read back by a second road: what was put in is found again.

mod docs;
mod hostile;
mod laws;
mod noise;
mod presses;
mod slow;
mod strange;

use models::touch::count::Law;
use twin::plate::effects::Settings;
use twin::plate::facts::Facts;
use twin::plate::samples::Samples;
use twin::plate::{Event, Log};

/// A quiet plate of many counts, so that rounding (0.29 counts) is nothing beside what is looked for.
pub(crate) fn quiet(for_s: f64) -> Settings {
    Settings { idle_count: 30_000.0, ..Settings::of(Facts::TYPICAL, for_s, 0).bare() }
}

pub(crate) fn rising() -> Facts {
    Facts { law: Law::Rises, ..Facts::TYPICAL }
}

pub(crate) fn log(settings: &Settings, seed: u64) -> Log {
    Log::from(Samples::new(settings, seed).expect("settings in range"))
}

pub(crate) fn log_with(settings: &Settings, events: &[Event]) -> Log {
    Log::from(Samples::with(settings, events.to_vec(), 3).expect("events in range"))
}

/// Counts as shares of the idle count, less 1.
pub(crate) fn shares(log: &Log, idle_count: f64) -> Vec<f64> {
    log.counts.iter().map(|&count| f64::from(count) / idle_count - 1.0).collect()
}

pub(crate) fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

pub(crate) fn variance(values: &[f64]) -> f64 {
    let mean = mean(values);
    values.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / values.len() as f64
}

/// Correlation of values with those `lag` later.
pub(crate) fn correlation(values: &[f64], lag: usize) -> f64 {
    let mean = mean(values);
    let products = values.iter().zip(&values[lag..]).map(|(a, b)| (a - mean) * (b - mean));
    products.sum::<f64>() / values.len() as f64 / variance(values)
}

/// Power at one frequency, by the definition of the Fourier transform.
pub(crate) fn power(values: &[f64], period_s: f64, hz: f64) -> f64 {
    let mean = mean(values);
    let (mut real, mut imaginary) = (0.0, 0.0);
    for (index, value) in values.iter().enumerate() {
        let angle = std::f64::consts::TAU * hz * index as f64 * period_s;
        real += (value - mean) * angle.cos();
        imaginary += (value - mean) * angle.sin();
    }
    (real * real + imaginary * imaginary) / values.len() as f64
}

/// The frequency of most power, by trying them all up to half the sampling rate.
pub(crate) fn loudest_hz(values: &[f64], period_s: f64) -> f64 {
    let steps = values.len() / 2;
    let hz = |step: usize| step as f64 / (values.len() as f64 * period_s);
    let powers = (1..=steps).map(|step| (hz(step), power(values, period_s, hz(step))));
    powers.max_by(|a, b| a.1.total_cmp(&b.1)).expect("there are some").0
}

/// A share that was found in `count` tries lies within four standard errors of the wanted one.
pub(crate) fn assert_share(found: f64, wanted: f64, count: usize) {
    let error = (wanted * (1.0 - wanted) / count as f64).sqrt();
    assert!((found - wanted).abs() < 4.0 * error, "{found} of {wanted}, standard error {error}");
}
