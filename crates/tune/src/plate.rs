//! A recording of a plate in, a detector out: threshold, hysteresis, debounce and baseline speed of least expected cost, with
//! how often it will be wrong, and what the same recording does to it.
//!
//! The steps: [`Levels`] tell idle from touched; the detector itself follows the baseline, so that depths are those that it
//! will see; the idle depths, held for as long as the debounce asks, give a [`Tail`]; the presses, held as long, give
//! [`Presses`]; the threshold that costs least is replayed through the detector. Rain, spiders and cleaning are not in a dry
//! recording: they are added as a part of their own.

use crate::levels::{Levels, Press, Sense};
use crate::missed::Presses;
use crate::noise::{Hum, Memory};
use crate::tail::{Interval, Peaks, Tail, interval};
use detector::{Config, Events, Plate};
use models::touch::noise::RATIO_LEAST;
use models::touch::timing::SEEN_WITHIN_S;
use quantity::normal::quantile;

/// Readings over which the peak-to-peak of the ratio is taken.
pub const WINDOW: usize = 100;
/// Seconds of a year.
const YEAR_S: f64 = 365.25 * 86_400.0;
/// Shortest recording that says anything, s, and fewest readings. Ours.
const SHORTEST: (f64, usize) = (20.0, 400);
/// A law of peaks is trusted for so many times the recording (trade.md plate.events: 10 to 30).
pub const TRUSTED: f64 = 30.0;
/// Presses by rain, spiders, cleaning and surges, a year: bare 6 (1..40), covered 2 (0.3..15); typical, from memory.
const EVENTS_YEAR: [[f64; 3]; 2] = [[2.0, 0.3, 15.0], [6.0, 1.0, 40.0]];
/// A baseline is no faster than this, s: slower than a hand that comes near and waits. Ours.
const SLOWEST_HAND_S: f64 = 3.0;
/// Thresholds that are tried, on a scale of equal ratios.
const TRIED: usize = 48;

/// A recording of one plate.
#[derive(Clone, Copy, Debug)]
pub struct Recording<'a> {
    /// The readings, in order.
    pub counts: &'a [u16],
    /// Time between two readings, s.
    pub period_s: f64,
}

/// What the plate is for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wish {
    /// What a false press costs, against a missed one.
    pub false_cost: f64,
    /// What a missed press costs.
    pub missed_cost: f64,
    /// Calls a year.
    pub calls_year: f64,
    /// Whether the metal itself is touched; else through a cover.
    pub bare: bool,
    /// Longest press that is believed, s.
    pub longest_s: f64,
    /// Time between two learnings of a station that sleeps, s; NaN for one that does not.
    pub relearn_s: f64,
}

impl Wish {
    /// A missed press costs three false ones (ours), four calls a day (typical, from memory), covered, 20 s.
    pub const USUAL: Self = Self {
        false_cost: 1.0,
        missed_cost: 3.0,
        calls_year: 4.0 * 365.25,
        bare: false,
        longest_s: 20.0,
        relearn_s: f64::NAN,
    };
}

/// Why nothing can be said.
#[derive(Clone, Debug, PartialEq)]
pub enum Cannot {
    /// Too few readings: so many, over so many seconds.
    Short {
        /// Readings.
        samples: usize,
        /// Their time, s.
        span_s: f64,
    },
    /// No touch in it.
    NoTouch,
    /// Fewer than three presses.
    FewPresses {
        /// How many.
        presses: usize,
    },
    /// Idle or touched readings stand at the end of the counter's range.
    Saturated {
        /// The count.
        count: u16,
    },
    /// Touches are too near the noise.
    Close {
        /// Touch over idle peak-to-peak.
        ratio: f64,
    },
    /// The idle level moves by more than half of a touch from block to block.
    NeverSettles {
        /// Median move between neighbouring blocks, counts.
        moves: f64,
        /// Depth of a touch, counts.
        depth: f64,
    },
}

/// How far touches stand out of the noise. The definitions in use differ threefold, so each has its name.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ratio {
    /// Touched less idle over the median peak-to-peak of [`WINDOW`] idle readings: the one that 5 is meant for.
    pub peak_to_peak: f64,
    /// Over the idle standard deviation.
    pub deviations: f64,
}

/// One threshold, judged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Counts from the baseline.
    pub threshold: u16,
    /// False presses a year by the noise alone.
    pub false_year: f64,
    /// Share of presses that are missed.
    pub missed: f64,
}

/// The best fixed threshold on this recording.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fixed {
    /// What idle readings allow and what presses need, the lesser first; every level between tells all of the recording
    /// apart where [`Fixed::apart`] says so, and none does elsewhere.
    pub levels: (u16, u16),
    /// Whether one level tells all of the recording apart.
    pub apart: bool,
    /// False presses in the recording at the middle of them.
    pub false_presses: usize,
    /// Missed ones.
    pub missed: usize,
}

/// A station that sleeps wakes at a threshold that stands still.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Asleep {
    /// Counts from the idle level at the last learning.
    pub threshold: u16,
    /// Farthest that the idle level wandered towards touch between two learnings, counts.
    pub wanders: f64,
    /// Whether a touch is three times as deep.
    pub holds: bool,
}

/// What came out.
#[derive(Clone, Debug, PartialEq)]
pub struct Tuned {
    /// Idle, touched and presses.
    pub levels: Levels,
    /// Median idle and touched count.
    pub medians: (f64, f64),
    /// Standard deviations of idle and touched readings about their levels.
    pub deviations: (f64, f64),
    /// Signal over noise.
    pub ratio: Ratio,
    /// Memory of idle readings.
    pub memory: Memory,
    /// The mains in them, 50 and 60 Hz.
    pub hum: [Hum; 2],
    /// Jumps of the idle level by more than a third of a touch.
    pub steps: usize,
    /// The detector's configuration.
    pub config: Config,
    /// False presses a year by the noise.
    pub noise_year: Interval,
    /// False presses a year by rain, spiders, cleaning, surges.
    pub events_year: Interval,
    /// Both.
    pub false_year: Interval,
    /// Share of presses that are missed.
    pub missed: Interval,
    /// Share of presses with a winter glove that are missed, by the law of the cover.
    pub missed_gloved: f64,
    /// From the touch to the press, at worst, s.
    pub response_s: f64,
    /// How many times the recording the answer reaches beyond it.
    pub reaches: f64,
    /// The trade-off at the chosen debounce.
    pub curve: Vec<Point>,
    /// What the replay told: presses found, of those in the recording, and presses told where none was.
    pub replay: (usize, usize),
    /// The best fixed threshold.
    pub fixed: Fixed,
    /// The threshold for sleep, where the station sleeps.
    pub asleep: Option<Asleep>,
}

/// Tunes the detector to a recording.
///
/// # Errors
/// [`Cannot`], with what is wrong with the recording.
pub fn tune(recording: &Recording<'_>, wish: &Wish) -> Result<Tuned, Cannot> {
    let Recording { counts, period_s } = *recording;
    let span_s = counts.len() as f64 * period_s;
    let levels = Levels::of(counts).ok_or(Cannot::Short { samples: counts.len(), span_s })?;
    if counts.len() < SHORTEST.1 || span_s < SHORTEST.0 {
        return Err(Cannot::Short { samples: counts.len(), span_s });
    }
    if let Some(count) = saturated(counts) {
        return Err(Cannot::Saturated { count });
    }
    let mut moves: Vec<f32> = levels.idle.windows(2).map(|pair| (pair[1] - pair[0]).abs()).collect();
    let moves = f64::from(median(&mut moves));
    let touch = f64::from(levels.depth);
    if levels.presses.is_empty() {
        return Err(Cannot::NoTouch);
    }
    if levels.presses.len() < 3 {
        return Err(Cannot::FewPresses { presses: levels.presses.len() });
    }
    if moves > touch / 2.0 {
        return Err(Cannot::NeverSettles { moves, depth: touch });
    }
    let seen = seen(counts, &levels, period_s);
    let ratio = seen.ratio(touch);
    if ratio.peak_to_peak < 1.0 {
        return Err(Cannot::Close { ratio: ratio.peak_to_peak });
    }
    let idle: Vec<f32> = seen.idle_runs().flatten().copied().collect();
    let memory = Memory::of(&idle);
    let choice = choose(&seen, &levels, &memory, period_s, wish)?;
    let config = seen.config(&levels, &choice, period_s, wish);
    let noise_year = choice.tail.as_ref().map_or_else(
        // No peaks worth a tail: at most what three unseen ones in the recording would be (the rule of three, textbook).
        || Interval { value: 0.0, low: 0.0, high: 3.0 * YEAR_S / span_s },
        |tail| scaled(tail.rate_1_s(f64::from(choice.threshold)), YEAR_S),
    );
    let [median, low, high] = EVENTS_YEAR[usize::from(wish.bare)];
    let events = log_normal(median, low, high);
    let events_year = interval(events.iter().map(|year| (*year, 1.0 / events.len() as f64)).collect());
    let missed = choice.presses.missed(f64::from(choice.threshold));
    let glove = if wish.bare { 0.06 } else { 0.5 };
    let (idle_sd, touched_sd) = (seen.deviation(), touched_deviation(counts, &levels));
    let sign = if levels.sense == Sense::Falls { -1.0 } else { 1.0 };
    let mut idle_levels = levels.idle.clone();
    let idle_median = f64::from(self::median(&mut idle_levels));
    Ok(Tuned {
        medians: (idle_median, idle_median + sign * touch),
        deviations: (idle_sd, touched_sd),
        ratio,
        hum: [50.0, 60.0].map(|mains_hz| Hum::of(&idle, period_s, mains_hz)),
        steps: levels
            .idle
            .windows(2)
            .filter(|pair| f64::from((pair[1] - pair[0]).abs()) > touch / 3.0)
            .count(),
        noise_year,
        events_year,
        false_year: both(&noise_year, &events),
        missed,
        missed_gloved: choice.presses.missed(f64::from(choice.threshold) / glove).value,
        response_s: period_s * f64::from(config.debounce),
        reaches: 1.0 / (noise_year.value / YEAR_S * span_s).max(1e-12),
        replay: replay(counts, &levels, &config),
        fixed: fixed(counts, &levels, &seen.idle, config.debounce),
        asleep: (wish.relearn_s > 0.0).then(|| asleep(&levels, touch, (wish.relearn_s / period_s) as usize)),
        curve: choice.curve,
        config,
        memory,
        levels,
    })
}

/// Whether the ratio is what makers of touch chips ask for.
pub fn is_clear(ratio: &Ratio) -> bool {
    ratio.peak_to_peak >= RATIO_LEAST
}

fn scaled(interval: Interval, by: f64) -> Interval {
    Interval { value: interval.value * by, low: interval.low * by, high: interval.high * by }
}

/// Quantiles of the law with this median and these 5 and 95 %, each side a lognormal of its own.
fn log_normal(median: f64, low: f64, high: f64) -> Vec<f64> {
    let steps = 64;
    let z95 = quantile(0.95);
    (0..steps)
        .map(|i| {
            let z = quantile((f64::from(i) + 0.5) / f64::from(steps));
            let side = if z < 0.0 { median / low } else { high / median };
            median * (side.ln() / z95 * z).exp()
        })
        .collect()
}

/// The sum of the noise's part, taken as lognormal between its ends, and the events' quantiles.
fn both(noise: &Interval, events: &[f64]) -> Interval {
    let high = noise.high.max(1e-12);
    let low = noise.low.max(1e-6 * high).min(high / 1.001);
    let noise = log_normal((low * high).sqrt(), low, high);
    let weight = 1.0 / (noise.len() * events.len()) as f64;
    interval(noise.iter().flat_map(|n| events.iter().map(move |e| (n + e, weight))).collect())
}

fn median(values: &mut [f32]) -> f32 {
    if values.is_empty() {
        return f32::NAN;
    }
    let middle = values.len() / 2;
    *values.select_nth_unstable_by(middle, f32::total_cmp).1
}

/// The end of the counter's range at which a twentieth of the readings stand: 0, or the largest where it is all ones.
fn saturated(counts: &[u16]) -> Option<u16> {
    let largest = counts.iter().copied().max()?;
    let ends = [
        Some(0),
        (largest.count_ones() == 16 - largest.leading_zeros() && largest >= 255).then_some(largest),
    ];
    ends.into_iter()
        .flatten()
        .find(|end| 20 * counts.iter().filter(|count| *count == end).count() > counts.len())
}

/// Depths as the detector sees them.
struct Seen {
    depths: Vec<f32>,
    /// Idle stretches: first sample, and the one after the last.
    idle: Vec<(usize, usize)>,
    track: u8,
}

/// Follows the recording with the baseline speed whose idle depths reach least far.
fn seen(counts: &[u16], levels: &Levels, period_s: f64) -> Seen {
    let touched_from = (levels.touched_from.min(levels.depth / 2.0)).round().clamp(1.0, 65_535.0) as u16;
    let margin = ((1.0 / period_s) as usize).clamp(4, 200);
    let mut idle = Vec::new();
    let mut from = WINDOW.min(counts.len() / 4);
    for press in &levels.presses {
        let to = press.start.saturating_sub(margin);
        if to > from {
            idle.push((from, to));
        }
        from = from.max(press.end + margin);
    }
    if from < counts.len() {
        idle.push((from, counts.len()));
    }
    let slowest = (SLOWEST_HAND_S / period_s).log2().ceil().clamp(4.0, 12.0) as u8;
    let follow = |track: u8| {
        let config = Config {
            rises: levels.sense == Sense::Rises,
            debounce: 1,
            track,
            track_away: track,
            threshold: touched_from,
            hysteresis: 0,
            longest: 0,
            dead: 0,
            calibrate: 5,
            ..Config::USUAL
        };
        let mut plate = Plate::new();
        let sign = if config.rises { -1.0 } else { 1.0 };
        let depths: Vec<f32> = counts
            .iter()
            .map(|&count| {
                let before = plate.baseline_fine() as f32 / 65_536.0;
                plate.sample(&config, count);
                sign * (before - f32::from(count))
            })
            .collect();
        Seen { depths, idle: idle.clone(), track }
    };
    let candidates = (0..4).map(|step| (slowest + 2 * step).min(14));
    let all = candidates.map(|track| {
        let seen = follow(track);
        let reach = seen.reach(0.999);
        (seen, reach)
    });
    // A slower one is taken where it is as good: it learns less of what is none of its business.
    let best = all.reduce(|best, next| if next.1 <= 1.02 * best.1 { next } else { best });
    best.expect("four candidates").0
}

impl Seen {
    fn idle_runs(&self) -> impl Iterator<Item = &[f32]> {
        self.idle.iter().map(|&(from, to)| &self.depths[from..to])
    }

    /// The idle depth that this share of readings stays below.
    fn reach(&self, share: f64) -> f32 {
        let mut depths: Vec<f32> = self.idle_runs().flatten().copied().collect();
        if depths.is_empty() {
            return f32::INFINITY;
        }
        let at = ((depths.len() as f64 * share) as usize).min(depths.len() - 1);
        *depths.select_nth_unstable_by(at, f32::total_cmp).1
    }

    fn deviation(&self) -> f64 {
        let (mut n, mut sum, mut square) = (0.0_f64, 0.0_f64, 0.0_f64);
        for depth in self.idle_runs().flatten() {
            let depth = f64::from(*depth);
            (n, sum, square) = (n + 1.0, sum + depth, square + depth * depth);
        }
        ((square - sum * sum / n) / (n - 1.0)).max(0.0).sqrt()
    }

    fn ratio(&self, touch: f64) -> Ratio {
        let mut swings: Vec<f32> = self
            .idle_runs()
            .flat_map(|run| run.chunks_exact(WINDOW))
            .map(|window| {
                let least = window.iter().copied().fold(f32::INFINITY, f32::min);
                window.iter().copied().fold(f32::NEG_INFINITY, f32::max) - least
            })
            .collect();
        // A counter that stands still swings by less than a count.
        let swing = f64::from(median(&mut swings)).max(0.5);
        let swing = if swing.is_nan() { 6.0 * self.deviation() } else { swing };
        Ratio { peak_to_peak: touch / swing, deviations: touch / self.deviation().max(0.29) }
    }

    /// Idle depths, each the least of `debounce` in a row.
    fn held(&self, debounce: usize) -> impl Iterator<Item = f32> {
        self.idle_runs().flat_map(move |run| {
            run.windows(debounce).map(|window| window.iter().copied().fold(f32::INFINITY, f32::min))
        })
    }

    /// Sustained depth of a press: the deepest that `debounce` readings in a row stay at.
    fn sustained(&self, press: &Press, debounce: usize) -> f64 {
        let run = &self.depths[press.start..press.end];
        let held = run.windows(debounce).map(|window| window.iter().copied().fold(f32::INFINITY, f32::min));
        f64::from(held.fold(0.0, f32::max))
    }

    fn config(&self, levels: &Levels, choice: &Choice, period_s: f64, wish: &Wish) -> Config {
        let threshold = choice.threshold;
        let noise = self.deviation();
        // A quarter of the threshold, or three deviations of the noise where that is more, and half of it at most.
        let hysteresis = (f64::from(threshold) / 4.0).max(3.0 * noise).min(f64::from(threshold) / 2.0);
        let samples = |seconds: f64| (seconds / period_s).round().clamp(0.0, 4e9) as u32;
        Config {
            rises: levels.sense == Sense::Rises,
            median: 1,
            debounce: choice.debounce as u8,
            calibrate: 5,
            track: self.track,
            track_away: self.track,
            track_noise: self.track,
            threshold,
            hysteresis: hysteresis.round() as u16,
            level: 0,
            hold: 0,
            longest: samples(wish.longest_s),
            // A plate whose noise is finer than its counts may well stand still.
            dead: if noise > 0.5 { samples(60.0).min(65_535) as u16 } else { 0 },
            // Mean distance is 0.8 of the deviation; three times that is another plate.
            noisy: (3.0 * 0.8 * noise * 16.0).round().clamp(16.0, 65_535.0) as u16,
        }
    }
}

struct Choice {
    threshold: u16,
    debounce: usize,
    tail: Option<Tail>,
    presses: Presses,
    curve: Vec<Point>,
}

/// The threshold and debounce of least expected cost.
fn choose(
    seen: &Seen,
    levels: &Levels,
    memory: &Memory,
    period_s: f64,
    wish: &Wish,
) -> Result<Choice, Cannot> {
    let most = ((SEEN_WITHIN_S / period_s) as usize).clamp(1, 6);
    let mut best: Option<(f64, Choice)> = None;
    for debounce in 1..=most {
        let depths: Vec<f64> = levels.presses.iter().map(|press| seen.sustained(press, debounce)).collect();
        let Some(presses) = Presses::of(&depths) else { continue };
        let level = peak_level(seen, debounce);
        let peaks = Peaks::of(seen.held(debounce), level, 2 * memory.forgotten_after + debounce, period_s);
        let tail = Tail::of(&peaks);
        // Below the level of peaks, and below three deviations, nothing is worth a threshold.
        let least = level.max(3.0 * seen.deviation()).max(2.0);
        let ratio = (f64::from(levels.depth) / least).max(1.01);
        let curve: Vec<Point> = (0..TRIED)
            .map(|i| {
                let threshold = (least * ratio.powf(i as f64 / (TRIED - 1) as f64)).round();
                let noise_1_s = tail.as_ref().map_or(0.0, |tail| tail.mean_1_s(threshold));
                Point {
                    threshold: threshold.min(65_535.0) as u16,
                    false_year: noise_1_s * YEAR_S,
                    missed: presses.missed(threshold).value,
                }
            })
            .collect();
        let cost = |point: &Point| {
            wish.false_cost * point.false_year + wish.missed_cost * point.missed * wish.calls_year
        };
        let Some(point) = curve.iter().min_by(|a, b| cost(a).total_cmp(&cost(b))) else { continue };
        let (cost, threshold) = (cost(point), point.threshold);
        // More readings cost time: only where they spare a tenth.
        if best.as_ref().is_none_or(|(known, _)| cost < 0.9 * known) {
            best = Some((cost, Choice { threshold, debounce, tail, presses, curve }));
        }
    }
    best.map(|(_, choice)| choice).ok_or(Cannot::FewPresses { presses: levels.presses.len() })
}

/// The level beyond which peaks are taken: passed by one reading in fifty, in a long recording by two thousand.
fn peak_level(seen: &Seen, debounce: usize) -> f64 {
    let mut held: Vec<f32> = seen.held(debounce).collect();
    if held.is_empty() {
        return 0.0;
    }
    let over = (held.len() / 50).clamp(1, 2000);
    let at = (held.len() - over).min(held.len() - 1);
    f64::from(*held.select_nth_unstable_by(at, f32::total_cmp).1)
}

fn touched_deviation(counts: &[u16], levels: &Levels) -> f64 {
    let (mut n, mut square) = (0.0_f64, 0.0_f64);
    for press in &levels.presses {
        let run = &counts[press.start..press.end];
        if run.len() < 3 {
            continue;
        }
        // About the press's own mean, without its edges.
        let inner = &run[1..run.len() - 1];
        let mean = inner.iter().map(|count| f64::from(*count)).sum::<f64>() / inner.len() as f64;
        square += inner.iter().map(|count| (f64::from(*count) - mean).powi(2)).sum::<f64>();
        n += inner.len() as f64 - 1.0;
    }
    if n > 0.0 { (square / n).sqrt() } else { f64::NAN }
}

/// Presses found and told falsely by the detector on the recording.
fn replay(counts: &[u16], levels: &Levels, config: &Config) -> (usize, usize) {
    let mut plate = Plate::new();
    let (mut found, mut none) = (0, 0);
    let mut presses = levels.presses.iter().peekable();
    let late = usize::from(config.debounce) + 2;
    for (at, &count) in counts.iter().enumerate() {
        if !plate.sample(config, count).has(Events::PRESS) {
            continue;
        }
        while presses.peek().is_some_and(|press| press.end + late < at) {
            presses.next();
        }
        match presses.peek() {
            Some(press) if press.start <= at + 1 => {
                found += 1;
                presses.next();
            }
            _ => none += 1,
        }
    }
    (found, none)
}

/// The fixed level half way between what idle readings allow and what presses need, and what the detector makes of it.
///
/// At a level a press needs `debounce` readings in a row at it or beyond: the least of the windows' greatest counts (for a
/// count that falls) is the level that such a stretch just reaches.
fn fixed(counts: &[u16], levels: &Levels, idle: &[(usize, usize)], debounce: u8) -> Fixed {
    let rises = levels.sense == Sense::Rises;
    let below = |count: u16| if rises { 65_535 - count } else { count };
    let reached = |run: &[u16]| {
        let greatest = |window: &[u16]| window.iter().map(|count| below(*count)).max();
        run.windows(usize::from(debounce)).filter_map(greatest).min()
    };
    let allowed = idle.iter().filter_map(|&(from, to)| reached(&counts[from..to])).min().unwrap_or(u16::MAX);
    let needed =
        levels.presses.iter().filter_map(|press| reached(&counts[press.start..press.end])).max().unwrap_or(0);
    let middle = u16::midpoint(needed, allowed.saturating_sub(1));
    let hysteresis = allowed.abs_diff(needed) / 4;
    let config = Config {
        rises,
        debounce,
        level: below(middle).max(1),
        threshold: hysteresis + 1,
        hysteresis,
        longest: 0,
        dead: 0,
        ..Config::USUAL
    };
    let (found, false_presses) = replay(counts, levels, &config);
    let ends = (below(needed), below(allowed.saturating_sub(1)));
    Fixed {
        levels: (ends.0.min(ends.1), ends.0.max(ends.1)),
        apart: needed < allowed,
        false_presses,
        missed: levels.presses.len() - found.min(levels.presses.len()),
    }
}

/// How far the idle level wanders towards touch within `relearn` readings, and the threshold half way to a touch.
fn asleep(levels: &Levels, touch: f64, relearn: usize) -> Asleep {
    let blocks = (relearn / crate::levels::BLOCK).max(1);
    let sign = if levels.sense == Sense::Falls { 1.0 } else { -1.0 };
    let mut wanders = 0.0_f64;
    for (at, level) in levels.idle.iter().enumerate() {
        for later in &levels.idle[at..(at + blocks + 1).min(levels.idle.len())] {
            wanders = wanders.max(f64::from((level - later) * sign));
        }
    }
    Asleep {
        threshold: (touch / 2.0).round().clamp(1.0, 65_535.0) as u16,
        wanders,
        holds: touch > 3.0 * wanders,
    }
}
