//! Idle and touched against a known truth.

use tune::levels::{Levels, Sense};

pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    /// xorshift64*, Vigna 2016.
    pub(crate) fn share(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub(crate) fn bell(&mut self) -> f64 {
        (-2.0 * (1.0 - self.share()).ln()).sqrt() * (std::f64::consts::TAU * self.share()).cos()
    }
}

pub(crate) struct Made {
    pub(crate) counts: Vec<u16>,
    pub(crate) touched: Vec<bool>,
    pub(crate) presses: Vec<(usize, usize)>,
}

/// The log of the issue: 950 idle with a slow wave, touches of 7 to 30 samples to about 400.
pub(crate) fn made(samples: usize, share: f64, drift: f64, noise: f64, seed: u64) -> Made {
    let mut dice = Dice(seed | 1);
    let mut made = Made { counts: Vec::new(), touched: Vec::new(), presses: Vec::new() };
    let mut left = 0_usize;
    let mut since = 0_usize;
    let (mut depth, mut correlated) = (0.0, 0.0);
    for at in 0..samples {
        if left == 0 && since > 20 && dice.share() < share / 18.0 {
            left = 7 + (24.0 * dice.share()) as usize;
            depth = 0.45 + 0.2 * dice.share();
            made.presses.push((at, (at + left).min(samples)));
        }
        let idle = 950.0 + drift * (at as f64 / 200_000.0 * std::f64::consts::TAU).sin();
        correlated = 0.6 * correlated + 0.8 * dice.bell();
        let touched = left > 0;
        since = if touched { 0 } else { since + 1 };
        let value =
            if touched { idle * (1.0 - depth) + 12.0 * dice.bell() } else { idle + noise * correlated };
        left = left.saturating_sub(1);
        made.counts.push(value.round().clamp(0.0, 65_535.0) as u16);
        made.touched.push(touched);
    }
    made
}

/// Shares of touched samples missed and of idle ones taken for touched; edges found within a sample, presses that are
/// none.
fn judged(made: &Made, levels: &Levels) -> (f64, f64, f64, usize) {
    let mut told = vec![false; made.counts.len()];
    for press in &levels.presses {
        told[press.start..press.end].fill(true);
    }
    let (mut missed, mut wrong) = (0, 0);
    for (is, told) in made.touched.iter().zip(&told) {
        missed += usize::from(*is && !told);
        wrong += usize::from(!is && *told);
    }
    let touched = made.touched.iter().filter(|is| **is).count();
    let near = |a: usize, b: usize| a.abs_diff(b) <= 1;
    let edges: usize = made
        .presses
        .iter()
        .map(|(start, end)| {
            let of = |is: &dyn Fn(&tune::levels::Press) -> bool| usize::from(levels.presses.iter().any(is));
            of(&|press| near(press.start, *start)) + of(&|press| near(press.end, *end))
        })
        .sum();
    let spurious = levels
        .presses
        .iter()
        .filter(|press| !made.presses.iter().any(|(start, end)| press.start < *end && *start < press.end))
        .count();
    (
        missed as f64 / touched.max(1) as f64,
        wrong as f64 / (made.counts.len() - touched) as f64,
        edges as f64 / (2 * made.presses.len()).max(1) as f64,
        spurious,
    )
}

/// What the issue asks: misses at most 0.1 %, false at most 0.001 % of idle samples, 99 % of edges, 1 % spurious; with
/// drift, without, and with few touches.
#[test]
fn a_million_samples_are_told_apart() {
    for (share, drift) in [(0.01, 60.0), (0.01, 0.0), (0.0005, 60.0), (0.2, 20.0)] {
        let made = made(1_000_000, share, drift, 2.0, 7);
        let levels = Levels::of(&made.counts).unwrap();
        let (missed, wrong, edges, spurious) = judged(&made, &levels);
        let told = format!(
            "{share} {drift}: missed {missed}, false {wrong}, edges {edges}, spurious {spurious} of {}",
            made.presses.len()
        );
        assert!(missed <= 1e-3 && wrong <= 1e-5 && edges >= 0.99, "{told}");
        assert!(spurious as f64 <= 0.01 * made.presses.len() as f64, "{told}");
        assert_eq!(levels.sense, Sense::Falls, "{told}");
        // Touches lie 45 to 65 % below 950, half of them below 55 %.
        assert!((levels.depth / (0.55 * 950.0) - 1.0).abs() < 0.05, "{told}: {}", levels.depth);
    }
}

/// The same in a mirror.
#[test]
fn a_plate_that_rises_is_told_as_well() {
    let mut made = made(100_000, 0.02, 30.0, 3.0, 11);
    made.counts.iter_mut().for_each(|count| *count = 3000 - *count);
    let levels = Levels::of(&made.counts).unwrap();
    let (missed, wrong, edges, _) = judged(&made, &levels);
    assert_eq!(levels.sense, Sense::Rises);
    assert!(missed <= 1e-3 && wrong <= 1e-5 && edges >= 0.99, "{missed} {wrong} {edges}");
}

/// Noise alone, of whatever kind, is no touch.
#[test]
fn noise_alone_is_no_touch() {
    for seed in 0..20 {
        let made = made(50_000, 0.0, 40.0, 6.0, seed);
        let levels = Levels::of(&made.counts).unwrap();
        assert_eq!(levels.presses, [], "seed {seed}");
        // Correlated noise of this recursion has a standard deviation of 0.8 / sqrt(1 - 0.36) = 1 by design.
        assert!((levels.noise / 6.0 - 1.0).abs() < 0.1, "seed {seed}: {}", levels.noise);
    }
}
