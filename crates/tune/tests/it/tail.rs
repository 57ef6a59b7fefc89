//! Tails against laws that are known, and against how often a stated interval holds.

use crate::levels::Dice;
use tune::tail::{Peaks, Tail, interval};

/// Peaks of a generalised Pareto law by its inverse.
fn drawn(dice: &mut Dice, count: usize, scale: f64, shape: f64) -> Vec<f64> {
    let one = |u: f64| if shape == 0.0 { -scale * u.ln() } else { scale * (u.powf(-shape) - 1.0) / shape };
    (0..count).map(|_| one(1.0 - dice.share())).collect()
}

/// The likeliest pair lies within three standard errors of the truth: (1+shape)/sqrt(n) for the shape, scale
/// sqrt(2(1+shape)/n) (Smith, *Biometrika* 72 (1985) 67, from memory), and half a step of the grid.
#[test]
fn the_law_is_found_again() {
    let mut dice = Dice(9);
    for (scale, shape) in [(5.0, 0.0), (5.0, 0.3), (2.0, -0.2)] {
        let count = 2000;
        let tail = Tail::of(
            &Peaks { level: 20.0, beyond: drawn(&mut dice, count, scale, shape), span_s: 3600.0 },
            5.0,
        )
        .unwrap();
        let (found_scale, found_shape) = tail.likeliest();
        let n = count as f64;
        assert!(
            (found_shape - shape).abs() < 3.0 * (1.0 + shape) / n.sqrt() + 0.0125,
            "{shape}: {found_shape}"
        );
        assert!(
            (found_scale / scale - 1.0).abs() < 3.0 * (2.0 * (1.0 + shape) / n).sqrt() + 0.02,
            "{scale}: {found_scale}"
        );
    }
}

/// A 90 % interval holds the true rate in 85 to 95 of 100 recordings, at ten times the deepest peak's rarity; over laws
/// drawn from what is weighed.
#[test]
fn stated_intervals_hold_as_often_as_they_say() {
    let (mut held, runs) = (0, 400);
    for run in 0..runs {
        let mut dice = Dice(1000 + run);
        let shape = -0.2 + 0.5 * dice.share();
        let scale = 1.0 + 9.0 * dice.share();
        let count = 40 + (160.0 * dice.share()) as usize;
        let span_s = 3600.0;
        let beyond = drawn(&mut dice, count, scale, shape);
        let tail = Tail::of(&Peaks { level: 10.0, beyond, span_s }, scale).unwrap();
        // Where one peak in ten times as many goes.
        let share = 0.1 / count as f64;
        let depth = 10.0
            + if shape.abs() < 1e-9 {
                -scale * f64::ln(share)
            } else {
                scale * (share.powf(-shape) - 1.0) / shape
            };
        let truth = count as f64 / span_s * share;
        let told = interval(tail.rates(depth));
        assert!(told.low <= told.high && told.high > 0.0, "the interval is never empty");
        held += u32::from(told.low <= truth && truth <= told.high);
    }
    let share = f64::from(held) / runs as f64;
    assert!((0.85..=0.95).contains(&share), "held in {share}");
}
