//! A recording of a plate in, a detector out: threshold, hysteresis, debounce and baseline speed of least expected cost, with
//! how often it will be wrong, and what the same recording does to it.
//!
//! The steps: [`Levels`] tell idle from touched, and films of water from presses; the detector itself follows the baseline,
//! so that depths are those that it will see; idle depths, held for as long as the debounce asks, give a [`Tail`](crate::tail::Tail);
//! presses, held as long, give [`Presses`](crate::missed::Presses); [`Events`] are what no dry recording shows; the threshold that costs least is
//! replayed through the detector.

mod choose;
mod seen;

use crate::counted;
use crate::events::Events;
use crate::levels::{FEWEST, Levels, Press, Sense};
use crate::missed::Lengths;
use crate::moments::median;
use crate::noise::{Hum, Memory};
pub use crate::recording::Recording;
use crate::recording::{Idle, MOST, SETTLES};
pub use crate::replay::{Asleep, Fixed, Replay};
use crate::tail::{Interval, interval};
use choose::{GLOVE, Weigh, configured, tails};
use detector::Config;
use models::energy::YEAR_S;
use models::touch::noise::RATIO_LEAST;
use models::touch::timing::RAIN_STEP;
use seen::{Seen, baseline, debounce_most};

/// Readings over which the peak-to-peak of the ratio is taken.
pub const WINDOW: usize = 100;
/// A law of peaks is trusted for so many times the recording (trade.md `plate.events`: 10 to 30).
pub const TRUSTED: f64 = 30.0;
/// Below this ratio no threshold is worth its misses. Ours.
const CLOSE: f64 = 2.0;
/// Presses that share a figure of missed ones.
pub const THOUSAND: u64 = 1000;
/// Shortest recording that says anything, s, and fewest readings. Ours.
const SHORTEST: (f64, usize) = (20.0, 400);
/// A touch so many times as long as most, and longer than [`FILM_S`], is no press but water. Ours.
const FILM: f64 = 8.0;
const FILM_S: f64 = 3.0;
/// Touches so near each other are one, s: nobody presses twice as fast. Ours.
const APART_S: f64 = 0.15;
/// One shower in twenty moves the count by more than this share of it (trade.md §3, from memory).
const RAIN_STEP_WORST: f64 = 0.15;

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
    /// Number of presses missed in a [`THOUSAND`], of people like those recorded; half of the weight lies on lengths as
    /// recorded, half on those of callers.
    pub missed: Interval,
    /// Share of presses that are missed where people press as long as callers do, not as those recorded (trade.md
    /// `plate.press-length`).
    pub missed_hasty: f64,
    /// Share of presses with a winter glove that are missed, by the law of the cover.
    pub missed_gloved: f64,
    /// From the touch to the press, at worst, s.
    pub response_s: f64,
    /// False presses a year that one more reading in a row would leave, where that would take too long and halve the cost.
    pub one_more: Option<f64>,
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
    let (mut presses, films) = split(&levels.presses, recording, wish);
    // The detector has no baseline yet: what is pressed there nobody judges.
    presses.retain(|press| press.start >= SETTLES);
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
    let lengths_s: Vec<f64> =
        presses.iter().map(|press| (press.end - press.start) as f64 * period_s).collect();
    let apart = memory.forgotten_after.clamp(2, recording.samples(1.0, 2));
    let most = debounce_most(period_s, wish);
    let (tails, singles) =
        tails(recording, &follows, &idle, &mut depths, (most + 1).min(MOST), apart, deviation);
    let weigh = Weigh {
        seen: &seen,
        singles,
        lengths: Lengths::of(&lengths_s),
        events: Events::of(wish.bare, films.len(), span_s),
        touch,
        deviation,
        period_s,
        wish,
    };
    let (choice, one_more) = weigh.choose(&tails, most).ok_or(close)?;
    let events = &weigh.events;
    let threshold = f64::from(choice.threshold);
    let config = configured(&follows, &choice, deviation, recording, wish);
    let tail = &tails[choice.debounce - 1].tail;
    // By noise: what its tail says, and wild readings that fall together.
    let noise = {
        let tail = counted::nodes(tail.rates(threshold));
        let singles = weigh.singles.rates_1_s(threshold, choice.debounce, period_s);
        let sums = tail.iter().flat_map(|t| singles.iter().map(move |s| ((t + s) * YEAR_S, 1.0)));
        sums.collect::<Vec<(f64, f64)>>()
    };
    let together = weigh.singles.in_a_row_1_s(threshold, choice.debounce, period_s);
    let noise_year = {
        let value = (tail.mean_1_s(threshold) + together) * YEAR_S;
        let weight = 1.0 / noise.len() as f64;
        let told = interval(noise.iter().map(|(rate, _)| (*rate, weight)).collect());
        // Where nearly all of the weight lies on tails that end short of the threshold, the mean of the rest is the bound.
        Interval { value, low: told.low, high: told.high.max(value) }
    };
    let false_year = {
        let noise = counted::nodes(noise);
        let other = counted::nodes(events.a_year(threshold / touch));
        let sums = noise.iter().flat_map(|n| other.iter().map(move |o| (n + o, 1.0))).collect();
        counted::poisson(&counted::nodes(sums), noise_year.value + events.mean_a_year(threshold / touch))
    };
    let too_short = weigh.lengths.too_short(choice.debounce, period_s, threshold / touch);
    let shallow = choice.presses.shares(threshold);
    let with = |share: &f64| too_short.map(|short| (1.0 - (1.0 - share) * (1.0 - short), 1.0));
    let shares = shallow.iter().flat_map(with).collect();
    let missed_mean = choice.missed(threshold, f64::midpoint(too_short[0], too_short[1]));
    let sign = if levels.sense == Sense::Falls { -1.0 } else { 1.0 };
    let idle_median = f64::from(median(levels.idle.clone()));
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
        missed_hasty: choice.missed(threshold, too_short[1]),
        missed_gloved: choice.missed(threshold / GLOVE[usize::from(wish.bare)], too_short[0]),
        response_s: period_s * f64::from(config.debounce) + wish.average_s / 2.0,
        one_more,
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
    let lengths: Vec<f32> = whole.iter().map(|touch| (touch.end - touch.start) as f32).collect();
    let film = (FILM * f64::from(median(lengths))).max(FILM_S / recording.period_s);
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
    let moves: Vec<f32> = levels.idle.windows(2).map(|pair| (pair[1] - pair[0]).abs()).collect();
    let (moves, depth) = (f64::from(median(moves)), f64::from(levels.depth));
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
