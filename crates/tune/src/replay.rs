//! What a recording does to a detector: the one that was tuned, one with a fixed level, and one that sleeps.

use crate::levels::{BLOCK, Levels, Press, Sense};
use crate::recording::{Idle, Recording};
use crate::tail::{Interval, counted_rate};
use detector::{Config, Events};

/// What the detector told of a recording.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Replay {
    /// Presses in the recording that it told.
    pub found: usize,
    /// Presses that it told where there was none.
    pub none: usize,
    /// Presses that it told again before they were over.
    pub again: usize,
    /// Presses that it took for stuck.
    pub stuck: usize,
}

impl Replay {
    /// Runs the recording through the detector.
    ///
    /// A press is found where the detector's own press, from event to lift, meets it: a finger that comes slowly is felt
    /// before half of it is there.
    pub fn of(recording: &Recording<'_>, presses: &[Press], config: &Config) -> Self {
        let mut told = Self::default();
        // First and last sample of each of the detector's presses.
        let mut spans: Vec<(usize, usize)> = Vec::new();
        let mut since = None;
        recording.run(config, |at, _, events| {
            told.stuck += usize::from(events.has(Events::STUCK));
            if events.has(Events::PRESS) {
                since = Some(at);
            }
            if (events.has(Events::LIFT) || events.has(Events::STUCK))
                && let Some(from) = since.take()
            {
                spans.push((from, at));
            }
        });
        spans.extend(since.map(|from| (from, recording.counts.len())));
        let late = usize::from(config.debounce) + 2;
        let (mut first, mut found) = (0, 0);
        for (from, to) in spans {
            while presses.get(first).is_some_and(|press| press.end + late < from) {
                first += 1;
            }
            // One span may hold two presses that ran together: the second was not told.
            match presses.get(first).filter(|press| press.start <= to) {
                None => told.none += 1,
                Some(_) if found == first + 1 => told.again += 1,
                Some(_) => {
                    told.found += 1;
                    found = first + 1;
                }
            }
        }
        told
    }
}

/// The best fixed threshold on this recording.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fixed {
    /// What idle readings allow and what presses need, the lesser first; every level between tells all of the recording
    /// apart where [`Fixed::apart`] says so, and none does elsewhere.
    pub levels: (u16, u16),
    /// Whether one level tells all of the recording apart.
    pub apart: bool,
    /// The level in the middle of them, and what the detector made of it.
    pub middle: u16,
    /// What it did.
    pub replay: Replay,
}

impl Fixed {
    /// At a level a press needs `debounce` readings in a row at it or beyond: the least of the windows' greatest counts (for
    /// a count that falls) is the level that such a stretch just reaches.
    pub(crate) fn of(
        recording: &Recording<'_>,
        sense: Sense,
        presses: &[Press],
        idle: &Idle,
        debounce: u8,
    ) -> Self {
        let counts = recording.counts;
        let rises = sense == Sense::Rises;
        let below = |count: u16| if rises { 65_535 - count } else { count };
        let reached = |run: &[u16]| {
            let greatest = |window: &[u16]| window.iter().map(|count| below(*count)).max();
            run.windows(usize::from(debounce)).filter_map(greatest).min()
        };
        let stretches = idle.stretches.iter().filter_map(|&(from, to)| reached(&counts[from..to]));
        let allowed = stretches.min().unwrap_or(u16::MAX);
        let needed =
            presses.iter().filter_map(|press| reached(&counts[press.start..press.end])).max().unwrap_or(0);
        let middle = below(u16::midpoint(needed, allowed.saturating_sub(1))).max(1);
        let hysteresis = allowed.abs_diff(needed) / 4;
        let config = Config {
            rises,
            debounce,
            level: middle,
            threshold: hysteresis + 1,
            hysteresis,
            longest: 0,
            dead: 0,
            ..Config::USUAL
        };
        let ends = (below(needed), below(allowed.saturating_sub(1)));
        Self {
            levels: (ends.0.min(ends.1), ends.0.max(ends.1)),
            apart: needed < allowed,
            middle,
            replay: Replay::of(recording, presses, &config),
        }
    }
}

/// A station that sleeps wakes at a threshold that stands still until it learns its idle level anew.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Asleep {
    /// Counts from the idle level at the last learning: half of a touch.
    pub threshold: u16,
    /// Farthest that the idle level wandered towards touch between two learnings, counts.
    pub wanders: f64,
    /// Whether a touch is three times as deep as that (trade.md `plate.sleep-threshold`).
    pub holds: bool,
    /// Times that idle readings of the recording would have woken it.
    pub wakes: usize,
    /// False wakes, 1/s: the rate that so many tell.
    pub wakes_1_s: Interval,
}

impl Asleep {
    /// With a learning every `relearn` readings.
    pub(crate) fn of(recording: &Recording<'_>, levels: &Levels, idle: &Idle, relearn: usize) -> Self {
        let touch = f64::from(levels.depth);
        let threshold = (touch / 2.0).round().clamp(1.0, 65_535.0);
        let blocks = (relearn / BLOCK).max(1);
        let sign = if levels.sense == Sense::Falls { 1.0 } else { -1.0 };
        let towards = |from: f32, to: f32| f64::from((from - to) * sign);
        let mut wanders = 0.0_f64;
        for window in levels.idle.chunks(blocks) {
            wanders = window.iter().map(|level| towards(window[0], *level)).fold(wanders, f64::max);
        }
        let (mut wakes, mut awake) = (0, false);
        for &(from, to) in &idle.stretches {
            for at in from..to {
                let learned = (at / BLOCK / blocks * blocks).min(levels.idle.len() - 1);
                let beyond = towards(levels.idle[learned], f32::from(recording.counts[at])) >= threshold;
                wakes += usize::from(beyond && !awake);
                awake = beyond;
            }
        }
        let idle_s = idle.samples as f64 * recording.period_s;
        let wakes_1_s = counted_rate(wakes, idle_s);
        Self { threshold: threshold as u16, wanders, holds: touch > 3.0 * wanders, wakes, wakes_1_s }
    }
}
