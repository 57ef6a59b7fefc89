//! What idle readings are like: how long they remember, the mains in them, steps.

/// Lags that are looked at.
const LAGS: usize = 200;
/// Samples that are enough for it.
pub(crate) const ENOUGH: usize = 200_000;
/// Below this correlation readings have forgotten each other. Ours.
const FORGOTTEN: f64 = 0.2;

/// How readings hang together.
#[derive(Clone, Debug, PartialEq)]
pub struct Memory {
    /// Correlation of neighbours.
    pub lag_one: f64,
    /// Readings until the correlation has fallen below a fifth.
    pub forgotten_after: usize,
    /// Of how many independent readings the mean is worth, for each reading: 1 for independent ones.
    pub worth: f64,
}

impl Memory {
    /// Of depths in a row, their mean taken out.
    pub fn of(depths: &[f32]) -> Self {
        let depths = &depths[..depths.len().min(ENOUGH)];
        let n = depths.len();
        let mean = depths.iter().map(|depth| f64::from(*depth)).sum::<f64>() / n.max(1) as f64;
        let centred: Vec<f64> = depths.iter().map(|depth| f64::from(*depth) - mean).collect();
        let square = centred.iter().map(|x| x * x).sum::<f64>();
        let none = Self { lag_one: 0.0, forgotten_after: 1, worth: 1.0 };
        if square <= 0.0 || n < 4 {
            return none;
        }
        let at = |lag: usize| centred.iter().zip(&centred[lag..]).map(|(a, b)| a * b).sum::<f64>() / square;
        let (mut sum, mut forgotten_after) = (0.0, LAGS.min(n / 4));
        let lag_one = at(1);
        for lag in 1..LAGS.min(n / 4) {
            let correlation = at(lag);
            if correlation < FORGOTTEN {
                forgotten_after = lag;
                break;
            }
            sum += correlation;
        }
        Self { lag_one, forgotten_after, worth: 1.0 / (1.0 + 2.0 * sum) }
    }
}

/// The mains in idle readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hum {
    /// Frequency of the mains, Hz.
    pub mains_hz: f64,
    /// Where it appears at this rate of readings, Hz.
    pub seen_hz: f64,
    /// Its amplitude in counts; NaN where it appears so slowly that the recording cannot tell it from drift.
    pub amplitude: f64,
    /// How many times the noise beside it, by power.
    pub over_noise: f64,
}

impl Hum {
    /// The mains at `mains_hz` in readings `period_s` apart.
    ///
    /// The amplitude by a sum of products with sine and cosine at the frequency where it must appear, the noise by the same
    /// at eight frequencies beside it (a periodogram; textbook).
    pub fn of(depths: &[f32], period_s: f64, mains_hz: f64) -> Self {
        let depths = &depths[..depths.len().min(ENOUGH / 4)];
        let rate_hz = 1.0 / period_s;
        let seen_hz = models::touch::noise::alias_hz(mains_hz, rate_hz);
        let n = depths.len() as f64;
        let mut hum = Self { mains_hz, seen_hz, amplitude: f64::NAN, over_noise: f64::NAN };
        // Ten turns are the fewest that stand apart from drift.
        if n * period_s * seen_hz < 10.0 {
            return hum;
        }
        let mean = depths.iter().map(|depth| f64::from(*depth)).sum::<f64>() / n;
        let amplitude = |hz: f64| {
            let turn = std::f64::consts::TAU * hz * period_s;
            let (mut sine, mut cosine) = (0.0, 0.0);
            for (at, depth) in depths.iter().enumerate() {
                let (sin, cos) = (turn * at as f64).sin_cos();
                sine += sin * (f64::from(*depth) - mean);
                cosine += cos * (f64::from(*depth) - mean);
            }
            2.0 * sine.hypot(cosine) / n
        };
        let apart_hz = rate_hz / n;
        let beside: f64 = (3..=6)
            .flat_map(|step| [f64::from(step), -f64::from(step)])
            .map(|step| amplitude(seen_hz + 2.0 * step * apart_hz).powi(2))
            .sum::<f64>()
            / 8.0;
        hum.amplitude = amplitude(seen_hz);
        hum.over_noise = hum.amplitude.powi(2) / beside;
        hum
    }
}
