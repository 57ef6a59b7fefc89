//! The threshold and the debounce of least expected cost, and the configuration that goes with them.

use super::seen::{Seen, debounce_fewest};
use super::{Point, Wish, YEAR_S};
use crate::events::Events;
use crate::missed::{Lengths, Presses};
use crate::recording::{Depths, Held, Idle, Recording};
use crate::tail::{Clusters, Tail};
use detector::Config;

/// Thresholds that are tried, on a scale of equal ratios.
const TRIED: usize = 48;
/// Depth of a press with a winter glove over one without: through a cover, and bare (trade.md `plate.glove`).
pub(super) const GLOVE: [f64; 2] = [0.5, 0.06];
/// Share of calls with gloves: one in five for a quarter of the year. Ours.
const GLOVED: f64 = 0.05;

/// The tail of idle depths held for a debounce, and the level that it begins at.
pub(super) struct HeldTail {
    pub(super) level: f64,
    pub(super) tail: Tail,
}

/// Tails for debounces from 1.
pub(super) fn tails(
    recording: &Recording<'_>,
    follows: &Config,
    idle: &Idle,
    depths: &mut Depths,
    most: usize,
    apart: usize,
    deviation: f64,
) -> Vec<HeldTail> {
    // Passed by one reading in fifty, in a long recording by two thousand of them.
    let over = (2000.0 / idle.samples as f64).clamp(5e-4, 0.02);
    let levels: Vec<f64> = (1..=most).map(|debounce| depths.quantile(debounce, 1.0 - over)).collect();
    let mut clusters: Vec<Clusters> =
        levels.iter().zip(1..).map(|(level, debounce)| Clusters::new(*level, apart + debounce)).collect();
    let (mut is_idle, mut held) = (idle.ascending(), Held::NEW);
    recording.each_depth(follows, |at, depth| {
        if is_idle(at) {
            held.push(depth);
            for (clusters, debounce) in clusters.iter_mut().zip(1..) {
                clusters.push(held.for_last(debounce));
            }
        } else {
            held = Held::NEW;
            clusters.iter_mut().for_each(Clusters::rest);
        }
    });
    let tail = |(clusters, level): (Clusters, f64)| {
        let tail = Tail::of(&clusters.done(recording.period_s), deviation.max(0.29));
        tail.map(|tail| HeldTail { level, tail })
    };
    clusters.into_iter().zip(levels).filter_map(tail).collect()
}

pub(super) struct Choice {
    pub(super) threshold: u16,
    pub(super) debounce: usize,
    pub(super) presses: Presses,
    pub(super) curve: Vec<Point>,
}

impl Choice {
    pub(super) fn missed(&self, threshold: f64, too_short: &[f64; 2]) -> f64 {
        missed(&self.presses, threshold, too_short)
    }
}

/// Share of presses that are too shallow or too short.
pub(super) fn missed(presses: &Presses, threshold: f64, too_short: &[f64; 2]) -> f64 {
    let short = f64::midpoint(too_short[0], too_short[1]);
    1.0 - (1.0 - presses.shallower(threshold)) * (1.0 - short)
}

/// The threshold and debounce of least expected cost.
pub(super) fn choose(
    tails: &[HeldTail],
    seen: &Seen,
    lengths: &Lengths,
    events: &Events,
    (touch, deviation): (f64, f64),
    period_s: f64,
    wish: &Wish,
) -> Option<Choice> {
    let mut best: Option<(f64, Choice)> = None;
    for (HeldTail { level, tail }, debounce) in tails.iter().zip(1..).skip(debounce_fewest(period_s) - 1) {
        let Some(presses) = Presses::of(&seen.sustained(debounce)) else { continue };
        // Below the level of peaks nothing is known of them.
        let least = level.max(2.0);
        if least >= touch {
            continue;
        }
        let ratio = touch / least;
        let mut chosen: Option<(f64, u16)> = None;
        let mut curve = Vec::with_capacity(TRIED);
        for tried in 0..TRIED {
            let tried = least * ratio.powf(tried as f64 / (TRIED - 1) as f64);
            let threshold = tried.ceil().min(touch.ceil()).min(65_535.0);
            if curve.last().is_some_and(|last: &Point| f64::from(last.threshold) == threshold) {
                continue;
            }
            let too_short = lengths.too_short(debounce, period_s, threshold / touch);
            let noise = tail.mean_1_s(threshold) * YEAR_S;
            let point = Point {
                threshold: threshold as u16,
                false_year: (noise, noise + events.mean_a_year(threshold / touch)),
                missed: missed(&presses, threshold, &too_short),
            };
            let gloved = missed(&presses, threshold / GLOVE[usize::from(wish.bare)], &too_short);
            let cost = wish.false_cost * point.false_year.1
                + wish.false_cost
                    * wish.calls_year
                    * seen.again(threshold - hysteresis(threshold, deviation), debounce)
                + wish.missed_cost * wish.calls_year * ((1.0 - GLOVED) * point.missed + GLOVED * gloved);
            if chosen.is_none_or(|(known, _)| cost < known) {
                chosen = Some((cost, point.threshold));
            }
            curve.push(point);
        }
        let (cost, threshold) = chosen?;
        // More readings cost time: only where they spare a tenth.
        if best.as_ref().is_none_or(|(known, _)| cost < 0.9 * known) {
            best = Some((cost, Choice { threshold, debounce, presses, curve }));
        }
    }
    best.map(|(_, choice)| choice)
}

pub(super) fn configured(
    follows: &Config,
    choice: &Choice,
    deviation: f64,
    recording: &Recording<'_>,
    wish: &Wish,
) -> Config {
    Config {
        median: 1,
        debounce: choice.debounce as u8,
        track_noise: follows.track,
        threshold: choice.threshold,
        hysteresis: hysteresis(f64::from(choice.threshold), deviation).round() as u16,
        level: 0,
        hold: 0,
        longest: recording.samples(wish.longest_s, 1) as u32,
        // A plate whose noise is finer than its counts may well stand still.
        dead: if deviation > 0.5 { recording.samples(60.0, 2).min(65_535) as u16 } else { 0 },
        // Mean distance is 0.8 of the deviation; three times that is another plate.
        noisy: (3.0 * 0.8 * deviation * 16.0).round().clamp(16.0, 65_535.0) as u16,
        ..*follows
    }
}

/// A quarter of the threshold, or three deviations of the noise where that is more, and half of it at most.
pub(super) fn hysteresis(threshold: f64, deviation: f64) -> f64 {
    (threshold / 4.0).max(3.0 * deviation).min(threshold / 2.0)
}
