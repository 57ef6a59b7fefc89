//! Luck: what happens once in the life of one station, such as its callers and its weather.
//!
//! A tolerance is drawn by the ensemble above this crate and is constant in one build. Luck is different: one
//! history a draw, made here from a seed and nothing else, so that thread count and order cannot matter. There
//! is no inner loop over histories: the spread over draws then is the interval of what will be seen.
//!
//! The generator is SplitMix64 (Steele, Lea and Flood, "Fast splittable pseudorandom number generators",
//! OOPSLA 2014): a counter and a mixer of two multiplications. Nothing here is fit for secrets.

/// Whether a stage computes with the means or with one drawn history.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Luck {
    /// Every count and every day's weather at its mean: deterministic, for the nominal answer.
    Mean,
    /// One history, fixed by this number; usually [`mix`]`(seed, draw)`.
    History(u64),
}

const GOLDEN: u64 = 0x9e37_79b9_7f4a_7c15; // 2^64 over the golden ratio, odd: the counter visits every value

const fn scramble(mut bits: u64) -> u64 {
    bits = (bits ^ (bits >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    bits ^ (bits >> 31)
}

/// The number of draw `draw` under `seed`, the same for every plan: common random numbers come for free.
///
/// Also splits one history into independent parts: `mix(history, 1)`, `mix(history, 2)`.
pub const fn mix(seed: u64, draw: u64) -> u64 {
    scramble(scramble(seed.wrapping_add(GOLDEN)) ^ draw.wrapping_mul(GOLDEN).wrapping_add(GOLDEN))
}

/// A stream of random numbers that is a function of its seed only.
#[derive(Clone, Debug)]
pub struct Stream {
    counter: u64,
}

impl Stream {
    /// The stream of this seed.
    pub const fn new(seed: u64) -> Self {
        Self { counter: seed }
    }

    /// The next 64 random bits.
    #[inline]
    pub fn bits(&mut self) -> u64 {
        self.counter = self.counter.wrapping_add(GOLDEN);
        scramble(self.counter)
    }

    /// A uniform number in 0..1, 1 excluded.
    #[inline]
    pub fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 * (1.0 / (1u64 << 53) as f64)
    }

    /// A bell-shaped number of mean 0 and standard deviation 1, out of one draw of bits.
    ///
    /// The sum of four uniforms (Irwin-Hall), scaled: never beyond ±3.47, excess kurtosis -0.3. Good enough
    /// where the result is clamped or averaged, as with a day's sky; not for tails.
    #[inline]
    pub fn bell(&mut self) -> f64 {
        let bits = self.bits();
        let lanes = (bits & 0xffff) + ((bits >> 16) & 0xffff) + ((bits >> 32) & 0xffff) + (bits >> 48);
        // Each lane has mean 32767.5 and variance (65536² - 1)/12; four of them add up.
        (lanes as f64 - 131_070.0) * (1.0 / 37_837.227_237_206_48)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mixer_gives_the_published_first_numbers_of_seed_zero() {
        // The first outputs of SplitMix64 from seed 0, as its authors' reference C code prints them
        // (from memory; they are also the test vector of several libraries).
        let mut stream = Stream::new(0);
        assert_eq!(stream.bits(), 0xe220_a839_7b1d_cdaf);
        assert_eq!(stream.bits(), 0x6e78_9e6a_a1b9_65f4);
        assert_eq!(stream.bits(), 0x06c4_5d18_8009_454f);
    }

    #[test]
    fn bell_has_mean_zero_and_deviation_one() {
        let mut stream = Stream::new(mix(1, 2));
        let n = 200_000;
        let (mut sum, mut squares) = (0.0, 0.0);
        for _ in 0..n {
            let x = stream.bell();
            sum += x;
            squares += x * x;
        }
        // Five standard errors: 1/sqrt(n) for the mean, sqrt(1.7/n) for the variance.
        assert!((sum / n as f64).abs() < 5.0 / f64::from(n).sqrt());
        assert!((squares / n as f64 - 1.0).abs() < 5.0 * (1.7 / f64::from(n)).sqrt());
    }

    #[test]
    fn neighbouring_draws_share_no_bits_on_average() {
        let differing: u32 = (0..4096).map(|i| (mix(7, i) ^ mix(7, i + 1)).count_ones()).sum();
        // 4096 × 64 fair bits: mean 131072, standard deviation 256.
        assert!((i64::from(differing) - 131_072).abs() < 5 * 256);
    }
}
