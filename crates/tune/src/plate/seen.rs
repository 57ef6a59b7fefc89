//! A recording through the baseline that suits it: which one that is, and the depths of idle readings and presses.

use super::{WINDOW, Wish};
use crate::levels::{Levels, Press};
use crate::moments::median;
use crate::recording::{Depths, Idle, MOST, Recording, following};
use detector::Config;
use models::touch::timing::SEEN_WITHIN_S;

/// Baselines that are weighed follow within so long, s. Slower than a hand that comes near and waits; faster than a day
/// warms. Ours.
const FOLLOWS_S: [f64; 5] = [6.0, 12.0, 25.0, 50.0, 100.0];
/// A slower baseline is taken where its idle depths reach no farther than this times those of a faster one. Ours.
const AS_GOOD: f64 = 1.05;

/// Fewest readings in a row that make a press: two, since a single wild reading is no touch, and a short recording may well
/// have had none yet. One, where two take too long.
pub(super) fn debounce_fewest(period_s: f64) -> usize {
    if period_s <= SEEN_WITHIN_S { 2 } else { 1 }
}

/// Longest debounce that still tells a press in time, readings.
pub(super) fn debounce_most(period_s: f64, wish: &Wish) -> usize {
    let in_time = ((SEEN_WITHIN_S - wish.average_s / 2.0) / period_s + 1e-9) as usize;
    in_time.clamp(debounce_fewest(period_s), MOST)
}

/// Follows the recording with each baseline speed; the one whose idle depths, held for as long as a debounce, reach least far.
pub(super) fn baseline(
    recording: &Recording<'_>,
    levels: &Levels,
    idle: &Idle,
    wish: &Wish,
) -> (Config, Depths) {
    let most = debounce_most(recording.period_s, wish);
    let longest = recording.samples(wish.longest_s, 1) as u32;
    let track = |follows_s: f64| (follows_s / recording.period_s).log2().round().clamp(4.0, 15.0) as u8;
    let mut tracks = FOLLOWS_S.map(track).to_vec();
    tracks.dedup();
    let configs: Vec<Config> = tracks.into_iter().map(|track| following(levels, track, longest)).collect();
    let all = Depths::of_each(recording, idle, &configs, (most + 1).min(MOST));
    let mut best: Option<(Config, Depths, f64)> = None;
    for (config, mut depths) in configs.into_iter().zip(all) {
        let reach = depths.quantile(most, 0.999);
        if best.as_ref().is_none_or(|(.., known)| reach <= AS_GOOD * known) {
            let least = best.as_ref().map_or(reach, |(.., known)| known.min(reach));
            best = Some((config, depths, least));
        }
    }
    let (config, depths, _) = best.expect("the first is taken");
    (config, depths)
}

/// What one walk over the recording gathers.
pub(super) struct Seen {
    /// Median peak-to-peak of [`WINDOW`] idle readings, at least half a count; none where no stretch is so long.
    pub(super) swing: Option<f64>,
    /// The longest idle stretch's depths, so many as are enough.
    pub(super) stretch: Vec<f32>,
    /// Depths of each press.
    pub(super) touched: Vec<Vec<f32>>,
}

impl Seen {
    pub(super) fn of(recording: &Recording<'_>, follows: &Config, idle: &Idle, presses: &[Press]) -> Self {
        let longest = idle.stretches.iter().max_by_key(|(from, to)| to - from).copied().unwrap_or((0, 0));
        let longest = (longest.0, longest.1.min(longest.0 + crate::noise::ENOUGH));
        let mut seen = Self {
            swing: None,
            stretch: Vec::with_capacity(longest.1 - longest.0),
            touched: presses.iter().map(|press| Vec::with_capacity(press.end - press.start)).collect(),
        };
        let mut swings = Vec::new();
        let (mut is_idle, mut press) = (idle.ascending(), 0);
        let (mut least, mut most, mut run) = (f32::INFINITY, f32::NEG_INFINITY, 0);
        recording.each_depth(follows, |at, depth| {
            if is_idle(at) {
                (least, most, run) = (least.min(depth), most.max(depth), run + 1);
                if run == WINDOW {
                    swings.push(most - least);
                }
                if at >= longest.0 && at < longest.1 {
                    seen.stretch.push(depth);
                }
            } else {
                run = WINDOW;
                while press < presses.len() && at >= presses[press].end {
                    press += 1;
                }
                if press < presses.len() && at >= presses[press].start {
                    seen.touched[press].push(depth);
                }
            }
            if run == WINDOW {
                (least, most, run) = (f32::INFINITY, f32::NEG_INFINITY, 0);
            }
        });
        // A counter that stands still swings by less than a count.
        seen.swing = (!swings.is_empty()).then(|| f64::from(median(swings)).max(0.5));
        seen
    }

    /// Sustained depth of each press: the deepest that `debounce` readings in a row stay at; 0 for one too short.
    pub(super) fn sustained(&self, debounce: usize) -> Vec<f64> {
        let of = |run: &Vec<f32>| {
            let held =
                run.windows(debounce).map(|window| window.iter().copied().fold(f32::INFINITY, f32::min));
            f64::from(held.fold(0.0, f32::max))
        };
        self.touched.iter().map(of).collect()
    }

    /// How often a press is told again, a press: `debounce` readings in a row inside it that lie nearer than `lift`.
    pub(super) fn again(&self, lift: f64, debounce: usize) -> f64 {
        let mut again = 0_usize;
        for press in &self.touched {
            let mut near = 0;
            for depth in press {
                near = if f64::from(*depth) < lift { near + 1 } else { 0 };
                again += usize::from(near == debounce);
            }
        }
        again as f64 / self.touched.len() as f64
    }

    /// The depth that this share of touched readings stays below.
    pub(super) fn touched_quantile(&self, share: f64) -> f64 {
        let mut all: Vec<f32> = self.touched.iter().flatten().copied().collect();
        let at = (all.len() as f64 * share) as usize;
        if at >= all.len() { f64::NAN } else { f64::from(*all.select_nth_unstable_by(at, f32::total_cmp).1) }
    }
}
