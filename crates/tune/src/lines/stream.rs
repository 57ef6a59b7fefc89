//! The readings of one plate: two bytes a sample, and of its times only what a regular clock would not tell.
//!
//! Times are predicted from an anchor and the usual interval; a sample whose time lies further off than half an interval
//! (and than the clock's own grain) becomes the next anchor. Knows nothing of text.

/// Samples in one piece of memory, so that growing never copies what is there.
const PIECE: usize = 1 << 16;
/// Samples from which interval and grain are taken.
const HEAD: usize = 512;
/// Bins of the histogram of intervals: 32 to an octave, 1 µs to centuries.
const BINS: usize = 60 * 32;
/// A reading missing for less than this many intervals is a late one.
const GAP: i64 = 3;

/// Counts in the order they were read.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    pieces: Vec<Vec<u16>>,
    /// How many were taken away.
    taken: u64,
}

impl Counts {
    /// How many.
    pub fn len(&self) -> u64 {
        self.pieces.last().map_or(self.taken, |last| ((self.pieces.len() - 1) * PIECE + last.len()) as u64)
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// All in one piece; none are left here. No more memory than before: what is copied is freed.
    fn take(&mut self) -> Vec<u16> {
        self.taken = self.len();
        let mut all = Vec::with_capacity(self.taken as usize);
        for piece in std::mem::take(&mut self.pieces) {
            all.extend_from_slice(&piece);
        }
        all
    }

    /// The count of a sample, from 0.
    pub fn get(&self, sample: u64) -> Option<u16> {
        let sample = usize::try_from(sample).ok()?;
        self.pieces.get(sample / PIECE)?.get(sample % PIECE).copied()
    }

    /// All, one by one.
    pub fn iter(&self) -> impl Iterator<Item = u16> + '_ {
        self.pieces.iter().flatten().copied()
    }

    /// All, as the slices they lie in.
    pub fn pieces(&self) -> impl Iterator<Item = &[u16]> {
        self.pieces.iter().map(Vec::as_slice)
    }

    #[inline]
    fn push(&mut self, count: u16) {
        match self.pieces.last_mut() {
            Some(piece) if piece.len() < PIECE => piece.push(count),
            full => {
                let mut piece = if full.is_some() { Vec::with_capacity(PIECE) } else { Vec::new() };
                piece.push(count);
                self.pieces.push(piece);
            }
        }
    }
}

/// Samples that are missing, or a clock that began anew.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Gap {
    /// The sample after the gap, from 0.
    pub sample: u64,
    /// How many are missing; none where the clock began anew and nobody can tell.
    pub missing: Option<u32>,
}

/// How regularly samples came, in seconds (in samples, where the log has only their number).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clock {
    /// The usual: mean of those within half of their median, among the first 512. Where several samples share a time
    /// stamp (a log that counts whole seconds), the mean of all under a minute.
    pub interval_s: f64,
    /// One in twenty came sooner, to 3 %.
    pub interval_s_p05: f64,
    /// One in twenty came later, to 3 %.
    pub interval_s_p95: f64,
    /// The longest.
    pub interval_s_max: f64,
    /// Least step of the clock where it is coarser than the samples, else 0.
    pub grain_s: f64,
    /// The sample from which on times are predicted only, because the clock was too irregular to keep: see
    /// [`super::ANCHORS_MAX`].
    pub predicted_from: Option<u64>,
}

/// What kind of log this is; a claim about debounce, press length or noise needs [`Rate::Stream`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rate {
    /// Samples come several a second and as regularly as a detector takes them.
    Stream,
    /// A line a second or fewer: a log from setting up.
    Slow,
    /// Only changed readings were printed: neighbours never agree.
    OnChange,
    /// Several a second, but as they please.
    Irregular,
    /// Without times nobody can tell.
    Unknown,
}

impl Rate {
    /// What it means, in a clause.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Stream => "a regular stream",
            Self::Slow => "a line a second or fewer: no claim on debounce, press length or noise",
            Self::OnChange => "only changes were printed: no claim on debounce, press length or noise",
            Self::Irregular => "irregular: no claim on press length",
            Self::Unknown => "without times: whatever is said is said in samples",
        }
    }
}

/// Something odd about the counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hint {
    /// The reading lies at an end of its counter this often: 0, or 2ⁿ−1 with n of 8 to 16 and nothing above.
    Saturated {
        /// The end.
        count: u16,
        /// Samples there.
        samples: u64,
    },
    /// The counter seems to have run over 65,535 this often: from its top eighth to its lowest from one sample to the next.
    Wrapped {
        /// Times.
        times: u64,
    },
}

/// The readings of one plate.
#[derive(Clone, Debug)]
pub struct Stream {
    name: String,
    counts: Counts,
    times: Times,
    breaks: Vec<u32>,
    broke: bool,
    last: Option<u16>,
    equal: u64,
    by_one: u64,
    least: (u16, u64),
    most: (u16, u64),
    wraps: u64,
    per_second: bool,
}

impl Stream {
    pub(super) fn new(name: String, per_second: bool) -> Self {
        Self {
            name,
            counts: Counts::default(),
            times: Times::default(),
            breaks: Vec::new(),
            broke: false,
            last: None,
            equal: 0,
            by_one: 0,
            least: (u16::MAX, 0),
            most: (0, 0),
            wraps: 0,
            per_second,
        }
    }

    /// Tells that the clock began anew before the next sample.
    pub(super) fn clock_began_anew(&mut self) {
        self.broke = true;
    }

    /// Takes a sample with its time in microseconds, if it has one.
    #[inline]
    pub(super) fn push(&mut self, count: u16, micros: Option<i64>, anchors_left: &mut usize) {
        let broke = std::mem::take(&mut self.broke);
        let sample = self.counts.len() as u32;
        if let Some(last) = self.last {
            self.equal += u64::from(last == count);
            self.by_one += u64::from(last.abs_diff(count) == 1);
            self.wraps += u64::from(last >= 57_344 && count < 8_192);
        }
        if broke && sample > 0 && self.breaks.len() < super::BREAKS_MAX {
            self.breaks.push(sample);
        }
        self.last = Some(count);
        if count < self.least.0 {
            self.least = (count, 0);
        }
        if count > self.most.0 {
            self.most = (count, 0);
        }
        self.least.1 += u64::from(count == self.least.0);
        self.most.1 += u64::from(count == self.most.0);
        self.counts.push(count);
        if let Some(micros) = micros {
            self.times.push(sample, micros, broke, anchors_left);
        }
    }

    pub(super) fn finish(&mut self, anchors_left: &mut usize) {
        self.times.settle(anchors_left);
    }

    /// The plate's name: its column's or field's, or what stood in the field that tells the plate.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// All counts.
    pub fn counts(&self) -> &Counts {
        &self.counts
    }

    /// All counts in one piece, once: [`Self::counts`] keeps their number alone.
    pub fn take_counts(&mut self) -> Vec<u16> {
        self.counts.take()
    }

    /// Least and greatest count.
    pub fn range(&self) -> (u16, u16) {
        (self.least.0.min(self.most.0), self.most.0)
    }

    /// When a sample was read, in seconds since the first time of the log; none without times. Right to half an interval, and
    /// as written for [`Self::anchors`].
    pub fn time_s(&self, sample: u64) -> Option<f64> {
        let known = self.per_second && sample < self.counts.len();
        let sample = u32::try_from(sample).ok().filter(|_| known)?;
        self.times.at(sample).map(|micros| micros as f64 / 1e6)
    }

    /// The samples whose times are kept as written, with these times in microseconds since the
    /// first of the log. Between them the clock was regular.
    pub fn anchors(&self) -> impl Iterator<Item = (u64, i64)> + '_ {
        self.times.anchors.iter().map(|anchor| (u64::from(anchor.sample()), anchor.micros()))
    }

    /// How regularly samples came; none without times.
    pub fn clock(&self) -> Option<Clock> {
        let per = if self.per_second { 1e6 } else { 1.0 };
        let times = &self.times;
        (times.steps > 0).then(|| Clock {
            interval_s: times.interval as f64 / per,
            interval_s_p05: times.quantile(0.05) / per,
            interval_s_p95: times.quantile(0.95) / per,
            interval_s_max: times.longest as f64 / per,
            grain_s: times.grain as f64 / per,
            predicted_from: times.predicted_from.map(u64::from),
        })
    }

    /// Samples that are missing by the clock, and places where it began anew, in order.
    ///
    /// A pause after which the samples that were late came all at once is none; nor is one in a log of changes.
    pub fn gaps(&self) -> Vec<Gap> {
        let mut gaps = if self.rate() == Rate::OnChange { Vec::new() } else { self.times.gaps() };
        gaps.extend(self.breaks.iter().map(|sample| Gap { sample: u64::from(*sample), missing: None }));
        gaps.sort_by_key(|gap| gap.sample);
        gaps
    }

    /// What kind of log this is.
    ///
    /// Only changes were printed if no neighbours agree though many differ by one: steps of none are at least half as many
    /// as steps of one, up and down together, in any noise that has one peak. Or, for a log that prints only greater
    /// changes: if no neighbours agree and the intervals differ threefold.
    pub fn rate(&self) -> Rate {
        let samples = self.counts.len();
        let clock = self.clock().filter(|_| self.per_second);
        let uneven = clock.is_some_and(|clock| {
            clock.interval_s_p95 > 3.0 * clock.interval_s_p05.max(1e-6) && clock.grain_s == 0.0
        });
        let none_agree = self.equal * 20 < self.by_one / 2 && self.by_one >= 32;
        if samples >= 20 && (none_agree || uneven && self.equal * 100 < samples) {
            return Rate::OnChange;
        }
        match clock {
            None => Rate::Unknown,
            Some(clock) if clock.interval_s >= 0.9 => Rate::Slow,
            Some(_) if uneven => Rate::Irregular,
            Some(_) => Rate::Stream,
        }
    }

    /// What is odd about the counts.
    pub fn hints(&self) -> Vec<Hint> {
        let mut hints = Vec::new();
        let is_end = |count: u16| count >= 255 && (u32::from(count) + 1).is_power_of_two();
        let ends = [(self.least, self.least.0 == 0), (self.most, is_end(self.most.0))];
        for ((count, samples), at_end) in ends {
            if at_end && samples >= 3 {
                hints.push(Hint::Saturated { count, samples });
            }
        }
        if self.wraps > 0 {
            hints.push(Hint::Wrapped { times: self.wraps });
        }
        hints
    }
}

/// A sample whose time is kept. The top bit of its number says that it came late after the one before, and did not only
/// drift away: a drift misses no samples.
#[derive(Clone, Copy, Debug)]
struct Anchor {
    sample: u32,
    low: u32,
    high: u32,
}

const LATE: u32 = 1 << 31;
const _: () = assert!(super::SAMPLES_MAX < LATE as u64, "sample numbers leave the top bit free");

impl Anchor {
    fn new(sample: u32, late: bool, micros: i64) -> Self {
        let sample = if late { sample | LATE } else { sample };
        Self { sample, low: micros as u32, high: (micros >> 32) as u32 }
    }

    fn sample(self) -> u32 {
        self.sample & !LATE
    }

    fn is_late(self) -> bool {
        self.sample & LATE != 0
    }

    fn micros(self) -> i64 {
        (i64::from(self.high as i32) << 32) | i64::from(self.low)
    }
}

#[derive(Clone, Debug)]
struct Times {
    /// The first samples, until interval and grain are known.
    head: Vec<(u32, i64)>,
    settled: bool,
    anchors: Vec<Anchor>,
    interval: i64,
    grain: i64,
    last: Option<(u32, i64)>,
    placed: Option<(u32, i64)>,
    predicted: Option<(u32, i64)>,
    predicted_from: Option<u32>,
    bins: Vec<u32>,
    steps: u64,
    longest: i64,
}

impl Default for Times {
    fn default() -> Self {
        Self {
            head: Vec::new(),
            settled: false,
            anchors: Vec::new(),
            interval: 0,
            grain: 0,
            last: None,
            placed: None,
            predicted: None,
            predicted_from: None,
            bins: vec![0; BINS],
            steps: 0,
            longest: 0,
        }
    }
}

impl Times {
    #[inline]
    fn push(&mut self, sample: u32, micros: i64, broke: bool, anchors_left: &mut usize) {
        if let Some((before, then)) = self.last
            && before + 1 == sample
            && !broke
        {
            let step = (micros - then).max(0);
            let bin = &mut self.bins[bin(step)];
            *bin = bin.saturating_add(1);
            self.steps += 1;
            self.longest = self.longest.max(step);
        }
        self.last = Some((sample, micros));
        if self.settled {
            self.place(sample, micros, anchors_left);
        } else {
            self.head.push((sample, micros));
            if self.head.len() == HEAD {
                self.settle(anchors_left);
            }
        }
    }

    fn settle(&mut self, anchors_left: &mut usize) {
        if self.settled {
            return;
        }
        self.settled = true;
        let head = std::mem::take(&mut self.head);
        let steps: Vec<i64> = head
            .windows(2)
            .filter(|pair| pair[1].0 == pair[0].0 + 1 && pair[1].1 >= pair[0].1)
            .map(|pair| pair[1].1 - pair[0].1)
            .collect();
        let mut sorted = steps.clone();
        sorted.sort_unstable();
        let median = sorted.get(sorted.len().max(1).div_ceil(2) - 1).copied().unwrap_or(0);
        let shared = steps.iter().filter(|step| **step == 0).count();
        if shared * 4 > steps.len() {
            self.grain = sorted.get(shared).copied().unwrap_or(0);
            // From one tick of the clock to another, so that no part of a tick is counted.
            let ticks = || steps.iter().enumerate().filter(|(_, step)| **step > 0).map(|(index, _)| index);
            if let (Some(first), Some(last)) = (ticks().next(), ticks().next_back())
                && last > first
            {
                let span = steps[first + 1..=last].iter().filter(|step| **step < 60_000_000).sum::<i64>();
                self.interval = span / (last - first) as i64;
            }
        } else {
            // The mean of the usual steps: a clock of whole milliseconds shows 33, 33, 34.
            let usual = |step: &&i64| **step > median / 2 && **step < median + median / 2;
            let (sum, count) =
                steps.iter().filter(usual).fold((0, 0), |(sum, count), step| (sum + step, count + 1));
            self.interval = if count > 0 { (sum + count / 2) / count } else { median };
        }
        for (sample, micros) in head {
            self.place(sample, micros, anchors_left);
        }
    }

    /// Keeps the time of a sample if prediction misses it.
    #[inline]
    fn place(&mut self, sample: u32, micros: i64, anchors_left: &mut usize) {
        let before = self.placed.replace((sample, micros));
        if let Some((from, then)) = self.predicted {
            let predicted = then.saturating_add(i64::from(sample - from).saturating_mul(self.interval));
            if micros.saturating_sub(predicted).saturating_abs() <= self.tolerance() {
                return;
            }
        }
        let late = before.is_some_and(|(before, then)| {
            let between = i64::from(sample - before - 1).saturating_mul(self.interval);
            let usual = self.interval.max(self.grain);
            micros.saturating_sub(then).saturating_sub(between) > usual.saturating_add(usual / 2)
        });
        if *anchors_left == 0 {
            self.predicted_from.get_or_insert(sample);
            return;
        }
        *anchors_left -= 1;
        self.predicted = Some((sample, micros));
        self.anchors.push(Anchor::new(sample, late, micros));
    }

    fn tolerance(&self) -> i64 {
        (self.interval / 2).max(self.grain)
    }

    fn at(&self, sample: u32) -> Option<i64> {
        let after = self.anchors.partition_point(|anchor| anchor.sample() <= sample);
        // Samples before the first that had a time.
        let anchor = self.anchors.get(after.saturating_sub(1))?;
        let apart = i64::from(sample) - i64::from(anchor.sample());
        Some(anchor.micros().saturating_add(apart.saturating_mul(self.interval)))
    }

    fn gaps(&self) -> Vec<Gap> {
        if self.interval <= 0 {
            return Vec::new();
        }
        let mut gaps: Vec<Gap> = Vec::new();
        // How many samples each anchor is late on the clock of the one before.
        let mut late: Vec<(Anchor, i64)> = self
            .anchors
            .windows(2)
            .map(|pair| {
                let apart = i64::from(pair[1].sample() - pair[0].sample());
                let predicted = pair[0].micros().saturating_add(apart.saturating_mul(self.interval));
                (pair[1], pair[1].micros().saturating_sub(predicted))
            })
            .collect();
        for index in 0..late.len() {
            let (anchor, by) = late[index];
            if !anchor.is_late() {
                continue;
            }
            let sample = anchor.sample();
            let mut rest = by;
            let window = sample.saturating_add((by / self.interval + GAP).min(1000) as u32);
            for (next, early) in &mut late[index + 1..] {
                if next.sample() > window || rest <= 0 {
                    break;
                }
                if *early < 0 {
                    rest += *early;
                    *early = 0;
                }
            }
            let missing = (rest + self.interval / 2) / self.interval;
            if missing > 0 {
                let missing = Some(u32::try_from(missing).unwrap_or(u32::MAX));
                gaps.push(Gap { sample: u64::from(sample), missing });
            }
        }
        gaps
    }

    /// Quantile of the intervals in microseconds, from their histogram.
    fn quantile(&self, share: f64) -> f64 {
        let total: u64 = self.bins.iter().map(|count| u64::from(*count)).sum();
        let rank = (total as f64 * share).ceil().max(1.0) as u64;
        let mut seen = 0;
        let found = self.bins.iter().position(|count| {
            seen += u64::from(*count);
            seen >= rank
        });
        found.map_or(0.0, middle)
    }
}

/// The bin of an interval: below 32 µs one each, above that 32 to an octave.
#[inline]
fn bin(step: i64) -> usize {
    let step = step as u64;
    if step < 32 {
        return step as usize;
    }
    let octave = 63 - step.leading_zeros() as usize;
    ((octave - 4) * 32 + (step >> (octave - 5)) as usize - 32).min(BINS - 1)
}

/// The middle of a bin.
fn middle(bin: usize) -> f64 {
    if bin < 32 {
        return bin as f64;
    }
    let (octave, part) = (bin / 32 + 4, bin % 32);
    // Bins of an octave are whole microseconds at first.
    let width = 2_f64.powi(octave as i32 - 5);
    (32 + part) as f64 * width + (width - 1.0) / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn the_middle_of_an_intervals_bin_is_within_three_percent(step in 0_i64..10_000_000_000) {
            let found = middle(bin(step));
            prop_assert!((found - step as f64).abs() <= 0.5 + step as f64 / 64.0, "{} for {}", found, step);
        }

        #[test]
        fn every_time_is_found_again_within_half_an_interval(
            steps in prop::collection::vec(0_i64..200_000, 1..2000),
        ) {
            let (mut stream, mut left, mut at) = (Stream::new("x".into(), true), 1_000_000, 0);
            let mut written = Vec::new();
            for step in steps {
                at += step;
                written.push(at);
                stream.push(1, Some(at), &mut left);
            }
            stream.finish(&mut left);
            let tolerance = stream.times.tolerance() as f64 / 1e6 + 1e-9;
            for (sample, micros) in written.iter().enumerate() {
                let found = stream.time_s(sample as u64).unwrap();
                prop_assert!((found - *micros as f64 / 1e6).abs() <= tolerance);
            }
        }
    }
}
