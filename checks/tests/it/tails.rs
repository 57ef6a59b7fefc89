//! What a recording of a plate is judged by: tails, moments, shares.

use checks::{near, near_relative, number, peer_with};
use models::luck::Stream;
use serde_json::json;
use tune::moments::moments;
use tune::noise::Memory;
use tune::pareto::{beyond, log_likelihood};
use tune::share::wilson;

/// Scales in counts and shapes: short tails, the exponential one, heavy ones, and a shape on either side of where the
/// formula changes.
const PAIRS: [(f64, f64); 9] = [
    (0.5, -0.5),
    (3.0, -0.25),
    (3.0, -1e-7),
    (3.0, 0.0),
    (3.0, 1e-7),
    (7.44, 0.184),
    (40.0, 0.1),
    (7.0, 0.5),
    (1.0, 1.0),
];

/// 200 peaks each of five laws, drawn by turning the law round: x = scale ((1-u)^-shape - 1) / shape.
fn peaks() -> Vec<Vec<f64>> {
    let mut stream = Stream::new(20_261_127);
    [(3.0_f64, -0.3_f64), (3.0, -0.05), (7.44, 0.184), (40.0, 0.1), (7.0, 0.5)]
        .into_iter()
        .map(|(scale, shape)| {
            (0..200).map(|_| scale * ((1.0 - stream.unit()).powf(-shape) - 1.0) / shape).collect()
        })
        .collect()
}

/// Log-likelihoods and shares of every pair against SciPy, and where the likelihood is greatest.
///
/// Tolerances: twelve digits for the likelihood, of which SciPy's own logarithms lose three near shape 0 (it subtracts
/// where `ln_1p` does not); a maximum is flat, so its place agrees to the root of that.
#[test]
#[ignore = "calls a Python peer"]
fn pareto_by_scipy() {
    let peaks = peaks();
    let far = [0.01, 0.7, 3.0, 11.9, 30.0, 400.0];
    let asked = json!({ "peaks": peaks, "pairs": PAIRS, "beyond": far });
    let answer = peer_with("tail_scipy.py", &[], &asked);
    for (i, list) in peaks.iter().enumerate() {
        for (j, (scale, shape)) in PAIRS.into_iter().enumerate() {
            let ours = log_likelihood(list, scale, shape);
            match answer.pointer(&format!("/likelihoods/{i}/{j}")).and_then(serde_json::Value::as_f64) {
                Some(theirs) => near_relative(ours, theirs, 1e-9, &format!("list {i}, {scale}, {shape}")),
                None => assert_eq!(ours, f64::NEG_INFINITY, "list {i}, {scale}, {shape}: impossible"),
            }
        }
        let [scale, shape, most] = [0, 1, 2].map(|at| number(&answer, &format!("/fits/{i}/{at}")));
        near_relative(log_likelihood(list, scale, shape), most, 1e-11, "at SciPy's maximum");
        for (s, k) in [(1.01, 0.0), (0.99, 0.0), (1.0, 0.01), (1.0, -0.01), (1.01, -0.01), (0.99, 0.01)] {
            let beside = log_likelihood(list, scale * s, shape + k);
            assert!(beside < most, "list {i}: {beside} beside SciPy's {most} is more");
        }
    }
    for (j, (scale, shape)) in PAIRS.into_iter().enumerate() {
        for (k, x) in far.into_iter().enumerate() {
            let theirs = number(&answer, &format!("/beyond/{j}/{k}"));
            // Where a shape is all but 0, SciPy's power loses seven of its sixteen digits.
            near(beyond(x, scale, shape), theirs, 1e-8 * theirs + 1e-300, &format!("{x}, {scale}, {shape}"));
        }
    }
}

/// A law's own moments (textbook): mean scale / (1 - shape), variance scale² / ((1 - shape)² (1 - 2 shape)), as integrals
/// of the share beyond: the mean is that share's integral, the mean square twice the integral of x times it.
#[test]
fn pareto_has_its_moments() {
    for (scale, shape) in [(3.0, -0.3), (3.0, 0.0), (7.44, 0.184), (2.0, 0.25)] {
        let (mut mean, mut square, mut x) = (0.0, 0.0, 0.0_f64);
        // Steps that grow, since a heavy tail reaches far; the middle of each stands for it.
        while x < 1e7 * scale {
            let step = 1e-4 * (x + scale);
            let middle = x + step / 2.0;
            mean += step * beyond(middle, scale, shape);
            square += 2.0 * step * middle * beyond(middle, scale, shape);
            x += step;
        }
        near_relative(mean, scale / (1.0 - shape), 1e-6, "mean");
        let variance = scale * scale / ((1.0 - shape) * (1.0 - shape) * (1.0 - 2.0 * shape));
        near_relative(square - mean * mean, variance, 1e-3, "variance");
    }
}

fn alternating(first: f64, low: f64, high: f64) -> Vec<f64> {
    std::iter::once(first).chain((0..500).flat_map(|_| [low, high])).collect()
}

/// NIST StRD, univariate: certified values (references.md §8.3, marks a* and b); the sets of numerical accuracy are built
/// as NIST describes them. Digits lost are those that a double has lost already where 10,000,000.2 is written down.
#[test]
fn moments_of_nist() {
    for (name, values, mean, deviation, digits) in [
        ("NumAcc1", vec![10000001.0, 10000003.0, 10000002.0], 10000002.0, 1.0, 15),
        ("NumAcc2", alternating(1.2, 1.1, 1.3), 1.2, 0.1, 14),
        ("NumAcc3", alternating(1000000.2, 1000000.1, 1000000.3), 1000000.2, 0.1, 9),
        ("NumAcc4", alternating(10000000.2, 10000000.1, 10000000.3), 10000000.2, 0.1, 8),
        ("Mavro", MAVRO.map(|x| 2.0 + x * 1e-5).to_vec(), 2.001856, 0.000429123454003053, 12),
        ("Michelso", MICHELSO.map(|x| 299.0 + x * 1e-3).to_vec(), 299.8524, 0.079_010_547_819_051_8, 12),
    ] {
        let (ours, spread) = moments(values.iter().copied());
        near_relative(ours, mean, 1e-15 * 2.0, &format!("{name}: mean"));
        near_relative(spread, deviation, 10.0_f64.powi(-digits), &format!("{name}: deviation"));
    }
}

/// NIST StRD Michelso: certified correlation of neighbours 0.535199668621283. Counts are whole, so that what is stored in 32
/// bits is exact.
#[test]
fn correlation_of_neighbours_of_nist() {
    let counts = MICHELSO.map(|x| x as f32);
    near(Memory::of(&counts).lag_one, 0.535199668621283, 1e-14, "NIST, 15 digits");
}

/// Wilson 95 %: the examples of Newcombe, *Statist. Med.* 17 (1998) 857 (from memory, four digits), and references.md
/// §8.4 (computed with SciPy, printed digits).
#[test]
fn shares_of_newcombe() {
    for (found, all, low, high, digit) in [
        (81, 263, 0.2553, 0.3662, 1e-4),
        (15, 148, 0.0624, 0.1605, 1e-4),
        (0, 20, 0.0, 0.1611, 1e-4),
        (1, 29, 0.0061, 0.1718, 1e-4),
        (0, 100, 0.0, 0.03699350, 1e-8),
        (3, 100, 0.01025452, 0.08451936, 1e-8),
        (10, 20, 0.29929801, 0.70070199, 1e-8),
        (0, 3000, 0.0, 0.00127885, 1e-8),
    ] {
        let ours = wilson(found, all, 0.95);
        near(ours[0], low, digit / 2.0 * 1.02, &format!("{found} of {all}, low"));
        near(ours[1], high, digit / 2.0 * 1.02, &format!("{found} of {all}, high"));
        let mirrored = wilson(all - found, all, 0.95);
        near(mirrored[0], 1.0 - ours[1], 1e-15, "what is missed is what is not found");
    }
}

/// NIST Mavro, as (value - 2) · 1e5 (references.md §8.3).
const MAVRO: [f64; 50] = [
    180.0, 170.0, 180.0, 190.0, 180.0, 170.0, 150.0, 140.0, 150.0, 150.0, 170.0, 180.0, 180.0, 190.0, 190.0,
    210.0, 200.0, 160.0, 140.0, 130.0, 130.0, 150.0, 150.0, 160.0, 150.0, 140.0, 130.0, 140.0, 150.0, 140.0,
    150.0, 160.0, 150.0, 160.0, 190.0, 200.0, 200.0, 210.0, 220.0, 230.0, 240.0, 250.0, 270.0, 260.0, 260.0,
    260.0, 270.0, 260.0, 250.0, 240.0,
];

/// NIST Michelso, as (value - 299) · 1000: Michelson's speed of light of 1879 (from memory; a wrong digit would miss the
/// certified values).
const MICHELSO: [f64; 100] = [
    850.0, 740.0, 900.0, 1070.0, 930.0, 850.0, 950.0, 980.0, 980.0, 880.0, 1000.0, 980.0, 930.0, 650.0,
    760.0, 810.0, 1000.0, 1000.0, 960.0, 960.0, 960.0, 940.0, 960.0, 940.0, 880.0, 800.0, 850.0, 880.0,
    900.0, 840.0, 830.0, 790.0, 810.0, 880.0, 880.0, 830.0, 800.0, 790.0, 760.0, 800.0, 880.0, 880.0, 880.0,
    860.0, 720.0, 720.0, 620.0, 860.0, 970.0, 950.0, 880.0, 910.0, 850.0, 870.0, 840.0, 840.0, 850.0, 840.0,
    840.0, 840.0, 890.0, 810.0, 810.0, 820.0, 800.0, 770.0, 760.0, 740.0, 750.0, 760.0, 910.0, 920.0, 890.0,
    860.0, 880.0, 720.0, 840.0, 850.0, 850.0, 780.0, 890.0, 840.0, 780.0, 810.0, 760.0, 810.0, 790.0, 810.0,
    820.0, 850.0, 870.0, 870.0, 810.0, 740.0, 810.0, 940.0, 950.0, 800.0, 810.0, 870.0,
];
