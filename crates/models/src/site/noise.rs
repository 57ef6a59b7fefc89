//! Persistent noise, as far as the weather needs it.

use crate::luck::Stream;

/// First-order autoregressive noise of mean 0 and standard deviation 1.
pub(super) struct Persistent {
    value: f64,
    keep: f64,
    fresh: f64,
}

impl Persistent {
    /// Noise whose neighbouring steps correlate by `lag1`, started in its long-run state.
    pub(super) fn new(lag1: f64, stream: &mut Stream) -> Self {
        Self { value: stream.bell(), keep: lag1, fresh: (1.0 - lag1 * lag1).sqrt() }
    }

    pub(super) fn step(&mut self, stream: &mut Stream) -> f64 {
        self.value = self.keep * self.value + self.fresh * stream.bell();
        self.value
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn persistent_noise_keeps_its_variance_and_lag() {
        let mut stream = Stream::new(1);
        let mut noise = Persistent::new(0.8, &mut stream);
        let x: Vec<f64> = (0..100_000).map(|_| noise.step(&mut stream)).collect();
        let var = x.iter().map(|v| v * v).sum::<f64>() / x.len() as f64;
        let lag = x.windows(2).map(|w| w[0] * w[1]).sum::<f64>() / x.len() as f64 / var;
        // Effective sample size is n(1-0.8)/(1+0.8) = 11,000: standard error of the variance about 0.02.
        assert!((var - 1.0).abs() < 0.06 && (lag - 0.8).abs() < 0.01);
    }
}
