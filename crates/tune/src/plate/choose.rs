//! The threshold and the debounce of least expected cost, and the configuration that goes with them.

use super::seen::{Seen, debounce_fewest};
use super::{Point, Wish};
use crate::events::Events;
use crate::missed::{Lengths, Presses};
use crate::recording::{Depths, Held, Idle, Recording, quantum, spread};
use crate::tail::{Clusters, Peaks, Tail, gamma_quantile};
use detector::Config;
use models::energy::YEAR_S;

/// Equally likely shares that stand for their law.
const SINGLE_NODES: usize = 16;
/// Thresholds that are tried, on a scale of equal ratios.
const TRIED: usize = 48;
/// Depth of a press with a winter glove over one without: through a cover, and bare (trade.md `plate.glove`).
pub(super) const GLOVE: [f64; 2] = [0.5, 0.06];
/// Share of calls with gloves: one in five for a quarter of the year. Ours.
const GLOVED: f64 = 0.05;

/// How often single readings go deep, one a cluster: wild ones, that have nothing to do with each other. Two in a row come
/// together by chance, as often as the square of one's share says, long before a short recording has seen it.
#[derive(Clone, Default)]
pub(super) struct Singles {
    /// Depths, deepest first.
    depths: Vec<f64>,
    /// Idle readings.
    of: f64,
}

impl Singles {
    fn seen(&self, depth: f64) -> usize {
        self.depths.partition_point(|single| *single > depth)
    }

    /// Rate at which `debounce` of them beyond `depth` fall in a row, 1/s; 0 where none was seen.
    pub(super) fn in_a_row_1_s(&self, depth: f64, debounce: usize, period_s: f64) -> f64 {
        let share = self.seen(depth) as f64 / self.of;
        if debounce < 2 { 0.0 } else { share.powi(debounce as i32) / period_s }
    }

    /// The same as equally likely rates: of a few, the share is not known well.
    pub(super) fn rates_1_s(&self, depth: f64, debounce: usize, period_s: f64) -> Vec<f64> {
        let seen = self.seen(depth);
        if debounce < 2 || seen == 0 {
            return vec![0.0];
        }
        let law = |node: usize| gamma_quantile(seen as f64, (node as f64 + 0.5) / SINGLE_NODES as f64);
        (0..SINGLE_NODES).map(|node| (law(node) / self.of).powi(debounce as i32) / period_s).collect()
    }
}

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
) -> (Vec<HeldTail>, Singles) {
    // Passed by one reading in fifty, in a long recording by two thousand of them.
    let over = (2000.0 / idle.samples as f64).clamp(5e-4, 0.02);
    let levels: Vec<f64> = (1..=most).map(|debounce| depths.quantile(debounce, 1.0 - over)).collect();
    let mut clusters: Vec<Clusters> =
        levels.iter().zip(1..).map(|(level, debounce)| Clusters::new(*level, apart + debounce)).collect();
    let (mut is_idle, mut held) = (idle.ascending(), Held::NEW);
    let step = f32::from(quantum(recording.counts));
    recording.each_depth(follows, |at, depth| {
        if is_idle(at) {
            held.push(depth + step * spread(at));
            for (clusters, debounce) in clusters.iter_mut().zip(1..) {
                clusters.push(held.for_last(debounce));
            }
        } else {
            held = Held::NEW;
            clusters.iter_mut().for_each(Clusters::rest);
        }
    });
    let peaks: Vec<Peaks> = clusters.into_iter().map(|clusters| clusters.done(recording.period_s)).collect();
    let mut depths: Vec<f64> = peaks[0].beyond.iter().map(|beyond| levels[0] + beyond).collect();
    depths.sort_unstable_by(|a, b| b.total_cmp(a));
    let singles = Singles { depths, of: idle.samples as f64 };
    let tail = |(peaks, level): (Peaks, f64)| {
        let tail = Tail::of(&peaks, deviation.max(0.29));
        tail.map(|tail| HeldTail { level, tail })
    };
    (peaks.into_iter().zip(levels).filter_map(tail).collect(), singles)
}

pub(super) struct Choice {
    pub(super) threshold: u16,
    pub(super) debounce: usize,
    /// False presses a year, mean.
    pub(super) false_year: f64,
    pub(super) presses: Presses,
    pub(super) curve: Vec<Point>,
}

impl Choice {
    pub(super) fn missed(&self, threshold: f64, too_short: f64) -> f64 {
        missed(&self.presses, threshold, too_short)
    }
}

/// Share of presses that are too shallow or too short.
fn missed(presses: &Presses, threshold: f64, too_short: f64) -> f64 {
    1.0 - (1.0 - presses.shallower(threshold)) * (1.0 - too_short)
}

/// What a threshold is weighed by.
pub(super) struct Weigh<'a> {
    pub(super) seen: &'a Seen,
    pub(super) singles: Singles,
    pub(super) lengths: Lengths,
    pub(super) events: Events,
    /// Depth of a touch, and standard deviation of idle readings, counts.
    pub(super) touch: f64,
    pub(super) deviation: f64,
    pub(super) period_s: f64,
    pub(super) wish: &'a Wish,
}

impl Weigh<'_> {
    /// The threshold and debounce of least expected cost, a press being told after `most` readings at the latest; and how
    /// many false presses a year one reading more would leave, where that halves the cost.
    pub(super) fn choose(&self, tails: &[HeldTail], most: usize) -> Option<(Choice, Option<f64>)> {
        let mut best: Option<(f64, Choice)> = None;
        for debounce in debounce_fewest(self.period_s)..=most.min(tails.len()) {
            let Some((cost, choice)) = self.cheapest(&tails[debounce - 1], debounce) else { continue };
            // More readings cost time: only where they spare a tenth.
            if best.as_ref().is_none_or(|(known, _)| cost < 0.9 * known) {
                best = Some((cost, choice));
            }
        }
        let (cost, choice) = best?;
        let next = (choice.debounce == most).then(|| tails.get(most)).flatten();
        let next = next.and_then(|tail| self.cheapest(tail, most + 1)).filter(|(more, _)| *more < 0.5 * cost);
        Some((choice, next.map(|(_, choice)| choice.false_year)))
    }

    /// The threshold of least cost at one debounce.
    fn cheapest(&self, HeldTail { level, tail }: &HeldTail, debounce: usize) -> Option<(f64, Choice)> {
        let (wish, touch) = (self.wish, self.touch);
        let presses = Presses::of(&self.seen.sustained(debounce))?;
        // Below the level of peaks nothing is known of them.
        let least = level.max(2.0);
        if least >= touch {
            return None;
        }
        let ratio = touch / least;
        let mut chosen: Option<(f64, Point)> = None;
        let mut curve: Vec<Point> = Vec::with_capacity(TRIED);
        for tried in 0..TRIED {
            let tried = least * ratio.powf(tried as f64 / (TRIED - 1) as f64);
            let threshold = tried.ceil().min(touch.ceil()).min(65_535.0);
            if curve.last().is_some_and(|last| f64::from(last.threshold) == threshold) {
                continue;
            }
            // A recording on request does not tell how long callers press: half the weight is theirs.
            let too_short = self.lengths.too_short(debounce, self.period_s, threshold / touch);
            let too_short = f64::midpoint(too_short[0], too_short[1]);
            let together = self.singles.in_a_row_1_s(threshold, debounce, self.period_s);
            let noise = (tail.mean_1_s(threshold) + together) * YEAR_S;
            let point = Point {
                threshold: threshold as u16,
                false_year: (noise, noise + self.events.mean_a_year(threshold / touch)),
                missed: missed(&presses, threshold, too_short),
            };
            let gloved = missed(&presses, threshold / GLOVE[usize::from(wish.bare)], too_short);
            let again = self.seen.again(threshold - hysteresis(threshold, self.deviation), debounce);
            let cost = wish.false_cost * (point.false_year.1 + wish.calls_year * again)
                + wish.missed_cost * wish.calls_year * ((1.0 - GLOVED) * point.missed + GLOVED * gloved);
            if chosen.is_none_or(|(known, _)| cost < known) {
                chosen = Some((cost, point));
            }
            curve.push(point);
        }
        let (cost, point) = chosen?;
        let choice =
            Choice { threshold: point.threshold, debounce, false_year: point.false_year.1, presses, curve };
        Some((cost, choice))
    }
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
