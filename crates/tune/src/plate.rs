//! A recording of a plate in, a detector out: threshold, hysteresis, debounce and baseline speed of least expected cost, with
//! how often it will be wrong, and what the same recording does to it.
//!
//! The steps: [`Levels`] tell idle from touched, and films of water from presses; the detector itself follows the baseline,
//! so that depths are those that it will see; idle depths, held for as long as the debounce asks, give a [`Tail`];
//! presses, held as long, give [`Presses`]; [`Events`] are what no dry recording shows; the threshold that costs least is
//! replayed through the detector.

use crate::counted;
use crate::events::Events;
use crate::levels::{FEWEST, Levels, Press, Sense};
use crate::missed::{Lengths, Presses};
use crate::noise::{Hum, Memory};
pub use crate::recording::Recording;
use crate::recording::{Depths, Held, Idle, MOST, following};
pub use crate::replay::{Asleep, Fixed, Replay};
use crate::tail::{Clusters, Interval, Tail};
use detector::Config;
use models::touch::noise::RATIO_LEAST;
use models::touch::timing::{RAIN_STEP, SEEN_WITHIN_S};

/// Readings over which the peak-to-peak of the ratio is taken.
pub const WINDOW: usize = 100;
/// A law of peaks is trusted for so many times the recording (trade.md `plate.events`: 10 to 30).
pub const TRUSTED: f64 = 30.0;
/// Below this ratio no threshold is worth its misses. Ours.
const CLOSE: f64 = 2.0;
/// Presses that share a figure of missed ones.
pub const THOUSAND: u64 = 1000;
/// Seconds of a year.
const YEAR_S: f64 = 365.25 * 86_400.0;
/// Shortest recording that says anything, s, and fewest readings. Ours.
const SHORTEST: (f64, usize) = (20.0, 400);
/// Baselines that are weighed follow within so long, s. Slower than a hand that comes near and waits; faster than a day
/// warms. Ours.
const FOLLOWS_S: [f64; 5] = [6.0, 12.0, 25.0, 50.0, 100.0];
/// A slower baseline is taken where its idle depths reach no farther than this times those of a faster one. Ours.
const AS_GOOD: f64 = 1.05;
/// Thresholds that are tried, on a scale of equal ratios.
const TRIED: usize = 48;
/// A touch so many times as long as most, and longer than [`FILM_S`], is no press but water. Ours.
const FILM: f64 = 8.0;
const FILM_S: f64 = 3.0;
/// Touches so near each other are one, s: nobody presses twice as fast. Ours.
const APART_S: f64 = 0.15;
/// One shower in twenty moves the count by more than this share of it (trade.md §3, from memory).
const RAIN_STEP_WORST: f64 = 0.15;
/// Depth of a press with a winter glove over one without: through a cover, and bare (trade.md `plate.glove`).
const GLOVE: [f64; 2] = [0.5, 0.06];
/// Share of calls with gloves: one in five for a quarter of the year. Ours.
const GLOVED: f64 = 0.05;

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
    /// Span of a moving average that readings have been through, s; it delays them by half.
    pub average_s: f64,
}

impl Wish {
    /// A missed press costs as much as a false one, since who is not heard presses again (ours), four calls a day (typical,
    /// from memory), covered, 20 s (trade.md `plate.wet`).
    pub const USUAL: Self = Self {
        false_cost: 1.0,
        missed_cost: 1.0,
        calls_year: 4.0 * 365.25,
        bare: false,
        longest_s: 20.0,
        relearn_s: f64::NAN,
        average_s: 0.0,
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

impl Ratio {
    /// Whether it is what makers of touch chips ask for.
    pub fn is_clear(&self) -> bool {
        self.peak_to_peak >= RATIO_LEAST
    }
}

/// One threshold, judged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Counts from the baseline.
    pub threshold: u16,
    /// False presses a year, mean: by noise, and by everything.
    pub false_year: (f64, f64),
    /// Share of presses that are missed, mean.
    pub missed: f64,
}

/// What came out.
#[derive(Clone, Debug, PartialEq)]
pub struct Tuned {
    /// Idle and touched levels.
    pub levels: Levels,
    /// The presses, in order.
    pub presses: Vec<Press>,
    /// Touches too long for a press: water, or a hand that rests.
    pub films: Vec<Press>,
    /// Median idle and touched count.
    pub medians: (f64, f64),
    /// Standard deviations of idle readings about the baseline, and of touched ones about their press's mean; NaN for the
    /// second where presses are too short.
    pub deviations: (f64, f64),
    /// Idle readings that were judged.
    pub idle_samples: usize,
    /// Signal over noise.
    pub ratio: Ratio,
    /// Depth that 999 idle readings in 1,000 stay below, and that 19 touched ones in 20 pass, counts.
    pub margins: (f64, f64),
    /// Memory of idle readings.
    pub memory: Memory,
    /// The mains in them, 50 and 60 Hz.
    pub hum: [Hum; 2],
    /// How far rain moves the count towards touch, counts: the typical shower, and one in twenty (trade.md §3, from memory).
    pub rain: (f64, f64),
    /// Jumps of the idle level by more than a third of a touch.
    pub steps: usize,
    /// The detector's configuration.
    pub config: Config,
    /// Rate of false presses by noise alone, 1/year.
    pub noise_year: Interval,
    /// Number of false presses in a year, by noise and by what no dry recording shows.
    pub false_year: Interval,
    /// Number of presses missed in a [`THOUSAND`], of people like those recorded.
    pub missed: Interval,
    /// Share of these that are too short for the debounce: as recorded, and of callers.
    pub too_short: [f64; 2],
    /// Share of presses with a winter glove that are missed, by the law of the cover.
    pub missed_gloved: f64,
    /// From the touch to the press, at worst, s.
    pub response_s: f64,
    /// How many times the recording the answer reaches beyond it.
    pub reaches: f64,
    /// The trade-off at the chosen debounce.
    pub curve: Vec<Point>,
    /// The recording, replayed.
    pub replay: Replay,
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
    let Recording { counts, period_s, .. } = *recording;
    let span_s = recording.span_s();
    let short = || Cannot::Short { samples: counts.len(), span_s };
    let levels = Levels::of(counts).ok_or_else(short)?;
    if counts.len() < SHORTEST.1 || span_s < SHORTEST.0 {
        return Err(short());
    }
    let (presses, films) = split(&levels.presses, recording, wish);
    settled(counts, &levels, &presses)?;
    let touch = f64::from(levels.depth);
    let idle = Idle::of(recording, &levels.presses);
    let (follows, mut depths) = baseline(recording, &levels, &idle, wish);
    let deviation = depths.deviation();
    let seen = Seen::of(recording, &follows, &idle, &presses);
    let ratio = Ratio {
        peak_to_peak: touch / seen.swing.unwrap_or(6.0 * deviation),
        // A counter's own step has 0.29; less cannot be seen.
        deviations: touch / deviation.max(0.29),
    };
    let close = Cannot::Close { ratio: ratio.peak_to_peak };
    if ratio.peak_to_peak.is_nan() || ratio.peak_to_peak < CLOSE {
        return Err(close);
    }
    let memory = Memory::of(&seen.stretch);
    let events = Events::of(wish.bare, films.len(), span_s);
    let lengths_s: Vec<f64> =
        presses.iter().map(|press| (press.end - press.start) as f64 * period_s).collect();
    let lengths = Lengths::of(&lengths_s);
    let apart = memory.forgotten_after.clamp(2, recording.samples(1.0, 2));
    let most = debounce_most(period_s, wish);
    let tails = tails(recording, &follows, &idle, &mut depths, most, apart, deviation);
    let choice = choose(&tails, &seen, &lengths, &events, (touch, deviation), period_s, wish).ok_or(close)?;
    let threshold = f64::from(choice.threshold);
    let config = configured(&follows, &choice, deviation, recording, wish);
    let tail = &tails[choice.debounce - 1].tail;
    let noise = tail.rates(threshold).into_iter().map(|(rate, weight)| (rate * YEAR_S, weight)).collect();
    let noise_year = yearly(tail.rate_1_s(threshold));
    let false_year = {
        let noise = counted::nodes(noise);
        let other = counted::nodes(events.a_year(threshold / touch));
        let sums = noise.iter().flat_map(|n| other.iter().map(move |o| (n + o, 1.0))).collect();
        counted::poisson(&counted::nodes(sums), noise_year.value + events.mean_a_year(threshold / touch))
    };
    let too_short = lengths.too_short(choice.debounce, period_s, threshold / touch);
    let shallow = choice.presses.shares(threshold);
    let shares =
        shallow.iter().flat_map(|s| too_short.map(|short| (1.0 - (1.0 - s) * (1.0 - short), 1.0))).collect();
    let missed_mean = choice.missed(threshold, &too_short);
    let sign = if levels.sense == Sense::Falls { -1.0 } else { 1.0 };
    let idle_median = f64::from(median(&mut levels.idle.clone()));
    Ok(Tuned {
        medians: (idle_median, idle_median + sign * touch),
        deviations: (deviation, touched_deviation(counts, &presses)),
        idle_samples: idle.samples,
        ratio,
        margins: (depths.quantile(1, 0.999), seen.touched_quantile(0.05)),
        hum: [50.0, 60.0].map(|mains_hz| Hum::of(&seen.stretch, period_s, mains_hz)),
        rain: (RAIN_STEP * idle_median, RAIN_STEP_WORST * idle_median),
        steps: levels
            .idle
            .windows(2)
            .filter(|pair| f64::from((pair[1] - pair[0]).abs()) > touch / 3.0)
            .count(),
        noise_year,
        false_year,
        missed: counted::binomial(&counted::nodes(shares), missed_mean, THOUSAND),
        too_short,
        missed_gloved: choice.missed(threshold / GLOVE[usize::from(wish.bare)], &too_short),
        response_s: period_s * f64::from(config.debounce) + wish.average_s / 2.0,
        reaches: 1.0 / (noise_year.value / YEAR_S * span_s).max(1e-12),
        replay: Replay::of(recording, &presses, &config),
        fixed: Fixed::of(recording, levels.sense, &presses, &idle, config.debounce),
        asleep: (wish.relearn_s > 0.0)
            .then(|| Asleep::of(recording, &levels, &idle, recording.samples(wish.relearn_s, 1))),
        curve: choice.curve,
        config,
        memory,
        presses,
        films,
        levels,
    })
}

/// Presses, and what is too long for one. A noisy touch that falls apart is one.
fn split(touches: &[Press], recording: &Recording<'_>, wish: &Wish) -> (Vec<Press>, Vec<Press>) {
    let apart = recording.samples(APART_S, 1);
    let mut whole: Vec<Press> = Vec::with_capacity(touches.len());
    for touch in touches {
        match whole.last_mut() {
            Some(last) if touch.start - last.end <= apart => {
                let (a, b) = ((last.end - last.start) as f32, (touch.end - touch.start) as f32);
                last.depth = (a * last.depth + b * touch.depth) / (a + b);
                last.end = touch.end;
            }
            _ => whole.push(*touch),
        }
    }
    let mut lengths: Vec<f32> = whole.iter().map(|touch| (touch.end - touch.start) as f32).collect();
    let film = (FILM * f64::from(median(&mut lengths))).max(FILM_S / recording.period_s);
    let film = film.min(wish.longest_s / recording.period_s);
    whole.iter().partition(|touch| ((touch.end - touch.start) as f64) <= film)
}

/// Whether the recording can be tuned to at all.
fn settled(counts: &[u16], levels: &Levels, presses: &[Press]) -> Result<(), Cannot> {
    if let Some(count) = saturated(counts) {
        return Err(Cannot::Saturated { count });
    }
    if presses.is_empty() {
        return Err(Cannot::NoTouch);
    }
    if presses.len() < FEWEST {
        return Err(Cannot::FewPresses { presses: presses.len() });
    }
    let mut moves: Vec<f32> = levels.idle.windows(2).map(|pair| (pair[1] - pair[0]).abs()).collect();
    let (moves, depth) = (f64::from(median(&mut moves)), f64::from(levels.depth));
    if moves > depth / 2.0 { Err(Cannot::NeverSettles { moves, depth }) } else { Ok(()) }
}

/// The end of the counter's range at which a twentieth of the readings stand: 0, or the largest where it is all ones.
fn saturated(counts: &[u16]) -> Option<u16> {
    let largest = counts.iter().copied().max()?;
    let all_ones = largest >= 255 && largest & (largest.wrapping_add(1)) == 0;
    let ends = [Some(0), all_ones.then_some(largest)];
    ends.into_iter()
        .flatten()
        .find(|end| 20 * counts.iter().filter(|count| *count == end).count() > counts.len())
}

/// Follows the recording with each baseline speed; the one whose idle depths, held for as long as a debounce, reach least far.
fn baseline(recording: &Recording<'_>, levels: &Levels, idle: &Idle, wish: &Wish) -> (Config, Depths) {
    let most = debounce_most(recording.period_s, wish);
    let longest = recording.samples(wish.longest_s, 1) as u32;
    let track = |follows_s: f64| (follows_s / recording.period_s).log2().round().clamp(4.0, 15.0) as u8;
    let mut tracks = FOLLOWS_S.map(track).to_vec();
    tracks.dedup();
    let configs: Vec<Config> = tracks.into_iter().map(|track| following(levels, track, longest)).collect();
    let all = Depths::of_each(recording, idle, &configs, most);
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

/// Fewest readings in a row that make a press: two, since a single wild reading is no touch, and a short recording may well
/// have had none yet. One, where two take too long.
fn debounce_fewest(period_s: f64) -> usize {
    if period_s <= SEEN_WITHIN_S { 2 } else { 1 }
}

/// Longest debounce that still tells a press in time, readings.
fn debounce_most(period_s: f64, wish: &Wish) -> usize {
    let in_time = ((SEEN_WITHIN_S - wish.average_s / 2.0) / period_s + 1e-9) as usize;
    in_time.clamp(debounce_fewest(period_s), MOST)
}

/// What one walk over the recording gathers.
struct Seen {
    /// Median peak-to-peak of [`WINDOW`] idle readings, at least half a count; none where no stretch is so long.
    swing: Option<f64>,
    /// The longest idle stretch's depths, so many as are enough.
    stretch: Vec<f32>,
    /// Depths of each press.
    touched: Vec<Vec<f32>>,
}

impl Seen {
    fn of(recording: &Recording<'_>, follows: &Config, idle: &Idle, presses: &[Press]) -> Self {
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
        seen.swing = (!swings.is_empty()).then(|| f64::from(median(&mut swings)).max(0.5));
        seen
    }

    /// Sustained depth of each press: the deepest that `debounce` readings in a row stay at; 0 for one too short.
    fn sustained(&self, debounce: usize) -> Vec<f64> {
        let of = |run: &Vec<f32>| {
            let held =
                run.windows(debounce).map(|window| window.iter().copied().fold(f32::INFINITY, f32::min));
            f64::from(held.fold(0.0, f32::max))
        };
        self.touched.iter().map(of).collect()
    }

    /// How often a press is told again, a press: `debounce` readings in a row inside it that lie nearer than `lift`.
    fn again(&self, lift: f64, debounce: usize) -> f64 {
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
    fn touched_quantile(&self, share: f64) -> f64 {
        let mut all: Vec<f32> = self.touched.iter().flatten().copied().collect();
        let at = (all.len() as f64 * share) as usize;
        if at >= all.len() { f64::NAN } else { f64::from(*all.select_nth_unstable_by(at, f32::total_cmp).1) }
    }
}

/// The tail of idle depths held for a debounce, and the level that it begins at.
struct HeldTail {
    level: f64,
    tail: Tail,
}

/// Tails for debounces from 1.
fn tails(
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

struct Choice {
    threshold: u16,
    debounce: usize,
    presses: Presses,
    curve: Vec<Point>,
}

impl Choice {
    fn missed(&self, threshold: f64, too_short: &[f64; 2]) -> f64 {
        missed(&self.presses, threshold, too_short)
    }
}

/// Share of presses that are too shallow or too short.
fn missed(presses: &Presses, threshold: f64, too_short: &[f64; 2]) -> f64 {
    let short = f64::midpoint(too_short[0], too_short[1]);
    1.0 - (1.0 - presses.shallower(threshold)) * (1.0 - short)
}

/// The threshold and debounce of least expected cost.
fn choose(
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

fn configured(
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
fn hysteresis(threshold: f64, deviation: f64) -> f64 {
    (threshold / 4.0).max(3.0 * deviation).min(threshold / 2.0)
}

fn yearly(rate: Interval) -> Interval {
    Interval { value: rate.value * YEAR_S, low: rate.low * YEAR_S, high: rate.high * YEAR_S }
}

fn touched_deviation(counts: &[u16], presses: &[Press]) -> f64 {
    let (mut n, mut square) = (0.0_f64, 0.0_f64);
    for press in presses.iter().filter(|press| press.end - press.start >= 4) {
        // About the press's own mean, without its edges.
        let inner = &counts[press.start + 1..press.end - 1];
        let mean = inner.iter().map(|count| f64::from(*count)).sum::<f64>() / inner.len() as f64;
        square += inner.iter().map(|count| (f64::from(*count) - mean).powi(2)).sum::<f64>();
        n += inner.len() as f64 - 1.0;
    }
    if n > 0.0 { (square / n).sqrt() } else { f64::NAN }
}

fn median(values: &mut [f32]) -> f32 {
    if values.is_empty() {
        return f32::NAN;
    }
    let middle = values.len() / 2;
    *values.select_nth_unstable_by(middle, f32::total_cmp).1
}
