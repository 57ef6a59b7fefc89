//! A recording, and how the detector's baseline sees it.

use crate::levels::{FAR, Levels, Press, Sense};
use crate::moments::moments;
use detector::{Config, Plate};

/// Readings after which the detector's first baseline has settled; those before are not judged.
pub(crate) const SETTLES: usize = 64;
/// Idle readings begin and end so long from a press, s: the hand that comes and goes. Ours.
const HAND_S: f64 = 1.0;
/// Readings that are looked at for a quantile: it is then right to 0.2 % of all.
const ENOUGH: usize = 100_000;
/// Longest debounce that is weighed, readings.
pub(crate) const MOST: usize = 6;

/// Least step of the counts, or 1: that of which all but one in a hundred steps from reading to reading are multiples.
pub(crate) fn quantum(counts: &[u16]) -> u16 {
    let steps =
        || counts.windows(2).take(ENOUGH).map(|pair| pair[0].abs_diff(pair[1])).filter(|step| *step > 0);
    let least = steps().min().unwrap_or(1);
    let odd = steps().filter(|step| step % least != 0).count();
    if 100 * odd > steps().count() { 1 } else { least }
}

/// A number between -0.5 and 0.5 for each sample, evenly spread (the golden ratio's multiples; textbook).
///
/// Counts are rounded: their depths lie on a lattice, and a law of peaks fitted to a lattice is any law. Spread over the step
/// that was rounded away they are what they were, near enough.
#[inline]
pub(crate) fn spread(at: usize) -> f32 {
    const GOLDEN: u32 = 0x9e37_79b9;
    (at as u32).wrapping_mul(GOLDEN) as f32 / 4_294_967_296.0 - 0.5
}

/// A recording of one plate.
#[derive(Clone, Copy, Debug)]
pub struct Recording<'a> {
    /// The readings, in order.
    pub counts: &'a [u16],
    /// Time between two readings, s; above 0.
    pub period_s: f64,
    /// Where readings are missing: before which sample, and how many; by sample.
    pub gaps: &'a [(usize, u32)],
}

impl Recording<'_> {
    /// Time that was recorded, s; without the gaps.
    pub fn span_s(&self) -> f64 {
        self.counts.len() as f64 * self.period_s
    }

    /// Time as readings, at least `least`.
    pub(crate) fn samples(&self, seconds: f64, least: usize) -> usize {
        ((seconds / self.period_s).round().clamp(0.0, 4e9) as usize).max(least)
    }

    /// Runs a detector over the recording, gaps told; `tell` gets each sample, the baseline before it in counts, and what
    /// happened.
    pub fn run(&self, config: &Config, mut tell: impl FnMut(usize, f32, detector::Events)) {
        let mut plate = Plate::new();
        let mut gaps = self.gaps.iter().peekable();
        for (at, &count) in self.counts.iter().enumerate() {
            while let Some(gap) = gaps.next_if(|gap| gap.0 <= at) {
                plate.gap(gap.1);
            }
            let baseline = plate.baseline_fine() as f32 / 65_536.0;
            let events = plate.sample(config, count);
            tell(at, baseline, events);
        }
    }

    /// As [`Self::each_depth`], for several configurations of one sense.
    fn each_depths(&self, configs: &[Config], mut tell: impl FnMut(usize, &[f32])) {
        let sign = configs.first().map_or(1.0, |config| if config.rises { -1.0 } else { 1.0 });
        let mut plates = vec![Plate::new(); configs.len()];
        let mut depths = vec![0.0; configs.len()];
        let mut gaps = self.gaps.iter().peekable();
        for (at, &count) in self.counts.iter().enumerate() {
            while let Some(gap) = gaps.next_if(|gap| gap.0 <= at) {
                for plate in &mut plates {
                    plate.gap(gap.1);
                }
            }
            for ((plate, config), depth) in plates.iter_mut().zip(configs).zip(&mut depths) {
                *depth = sign * (plate.baseline_fine() as f32 / 65_536.0 - f32::from(count));
                plate.sample(config, count);
            }
            tell(at, &depths);
        }
    }

    /// Tells the depth of each sample below the baseline that `config` follows, towards touch, in counts.
    pub(crate) fn each_depth(&self, config: &Config, mut tell: impl FnMut(usize, f32)) {
        let sign = if config.rises { -1.0 } else { 1.0 };
        self.run(config, |at, baseline, _| tell(at, sign * (baseline - f32::from(self.counts[at]))));
    }
}

/// A recording's idle stretches.
pub(crate) struct Idle {
    /// First sample of each, and the one after its last; in order.
    pub stretches: Vec<(usize, usize)>,
    /// Samples in them.
    pub samples: usize,
}

impl Idle {
    /// All that no press and no film is near, without gaps inside.
    pub(crate) fn of(recording: &Recording<'_>, touches: &[Press]) -> Self {
        let hand = recording.samples(HAND_S, 4).min(200);
        let len = recording.counts.len();
        let mut stretches = Vec::with_capacity(touches.len() + 1);
        let mut from = SETTLES.min(len / 4);
        let ends = touches.iter().map(|touch| (touch.start.saturating_sub(hand), touch.end + hand));
        for (to, next) in ends.chain([(len, len)]) {
            if to > from {
                stretches.push((from, to));
            }
            from = from.max(next);
        }
        let samples = stretches.iter().map(|(from, to)| to - from).sum();
        Self { stretches, samples }
    }

    /// A test of samples in ascending order: whether each is idle.
    pub(crate) fn ascending(&self) -> impl FnMut(usize) -> bool + '_ {
        let mut rest = self.stretches.iter();
        let mut now = rest.next().copied().unwrap_or((usize::MAX, usize::MAX));
        move |at| {
            while at >= now.1 {
                now = rest.next().copied().unwrap_or((usize::MAX, usize::MAX));
            }
            at >= now.0
        }
    }
}

/// The least of the last 1, 2, … readings: how deep the count stayed for so long.
#[derive(Clone, Copy)]
pub(crate) struct Held([f32; MOST]);

impl Held {
    /// Of nothing yet.
    pub(crate) const NEW: Self = Self([f32::NEG_INFINITY; MOST]);

    /// Takes the next depth.
    pub(crate) fn push(&mut self, depth: f32) {
        for longer in (1..MOST).rev() {
            self.0[longer] = self.0[longer - 1].min(depth);
        }
        self.0[0] = depth;
    }

    /// How deep it stayed for the last `samples`, 1 to [`MOST`]; minus infinity where there were not so many.
    pub(crate) fn for_last(&self, samples: usize) -> f32 {
        self.0[samples - 1]
    }
}

/// Idle depths, thinned: for each debounce a list of held depths, for quantiles.
#[derive(Clone)]
pub(crate) struct Depths {
    held: Vec<Vec<f32>>,
    /// Least step of the counts, over which they are spread.
    step: f32,
}

impl Depths {
    /// Of the recording as each of the configurations follows it, for debounces of 1 to `most`.
    pub(crate) fn of_each(
        recording: &Recording<'_>,
        idle: &Idle,
        configs: &[Config],
        most: usize,
    ) -> Vec<Self> {
        // An odd stride, so that no period of the mains is met at one phase.
        let stride = (idle.samples / ENOUGH).max(1) | 1;
        let step = f32::from(quantum(recording.counts));
        let one = Self { held: vec![Vec::with_capacity(idle.samples / stride + 1); most], step };
        let mut all = vec![one; configs.len()];
        let mut last = vec![Held::NEW; configs.len()];
        let (mut is_idle, mut due) = (idle.ascending(), stride);
        // All in one walk: one detector's sums do not wait for another's.
        recording.each_depths(configs, |at, depths| {
            if !is_idle(at) {
                last.fill(Held::NEW);
                return;
            }
            due -= 1;
            let wanted = due == 0;
            for ((last, depth), each) in last.iter_mut().zip(depths).zip(&mut all) {
                last.push(*depth + step * spread(at));
                if wanted {
                    for (samples, held) in (1..=most).zip(&mut each.held) {
                        held.push(last.for_last(samples));
                    }
                }
            }
            if wanted {
                due = stride;
            }
        });
        all
    }

    /// The depth that this share of idle readings stays below for `samples` in a row; NaN without idle readings.
    pub(crate) fn quantile(&mut self, samples: usize, share: f64) -> f64 {
        let held = &mut self.held[samples - 1];
        if held.is_empty() {
            return f64::NAN;
        }
        let at = ((held.len() as f64 * share) as usize).min(held.len() - 1);
        f64::from(*held.select_nth_unstable_by(at, f32::total_cmp).1)
    }

    /// Standard deviation of single idle readings about their mean, counts; without the odd wild one, which the tail judges.
    pub(crate) fn deviation(&mut self) -> f64 {
        let [middle, below, above] = [0.5, 0.16, 0.84].map(|share| self.quantile(1, share));
        let far = f64::from(FAR) * ((above - below) / 2.0).max(0.29);
        let near = |depth: &f32| (f64::from(*depth) - middle).abs() <= far;
        let (_, spread) =
            moments(self.held[0].iter().filter(|depth| near(depth)).map(|depth| f64::from(*depth)));
        // Without what the spreading added (Sheppard).
        (spread * spread - f64::from(self.step).powi(2) / 12.0).max(0.0).sqrt()
    }
}

/// The configuration that follows a recording at baseline speed `track`, with nothing else tuned yet.
pub(crate) fn following(levels: &Levels, track: u8, longest: u32) -> Config {
    Config {
        rises: levels.sense == Sense::Rises,
        debounce: 2,
        track,
        track_away: track,
        threshold: (levels.touched_from.min(levels.depth / 2.0)).round().clamp(1.0, 65_535.0) as u16,
        hysteresis: 0,
        longest,
        dead: 0,
        calibrate: 5,
        ..Config::USUAL
    }
}
