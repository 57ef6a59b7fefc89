//! Which samples of a recording are idle and which are touched, without being told.
//!
//! The idle level is followed by medians: of blocks of [`BLOCK`] samples, and of [`WINDOW`] such blocks, so that presses
//! (less than half of any window) do not move it while drift and steps do. A sample's **depth** is its distance from that
//! level towards touch, from the nearest of three neighbouring blocks' levels, so that a step between blocks is no depth.
//! Which side is touch shows in what lies far out: touches do, and in runs. They are told from the tail of the noise where
//! the depths of such runs leave the widest gap.
//!
//! Left out: a press that fills more than half of [`WINDOW`] blocks is a new level, as it is for the detector.

use crate::moments::median;
use crate::recording::quantum;

/// Samples of a block.
pub const BLOCK: usize = 128;
/// Blocks whose median is the idle level of the middle one.
pub const WINDOW: usize = 9;
/// Standard deviations of the idle noise beyond which a sample lies far out: a normal tail holds 6e-16 there.
pub const FAR: f32 = 8.0;
/// Bins of the depths of runs far out, on a scale of equal ratios.
const BINS: usize = 96;
/// A bin belongs to a gap when it is at most this share as full as the fullest. Ours.
const SPARSE: f32 = 0.1;
/// Presses from which a recording tells something. Ours.
pub const FEWEST: usize = 3;
/// More runs in the gap than this share of those behind it are of another kind than presses. Ours.
const MANY_IN_GAP: f64 = 0.3;
/// A press so much shallower than those that are clear is none. Ours.
const WEAKEST: f32 = 0.25;
/// A factor in depth without any run: presses of one plate are nearer each other. Ours.
const CLEAR: f32 = 1.15;
/// A run counts for so many samples at most: rain that the idle level has not caught up with is one, however long.
const LONGEST: usize = 64;
/// Samples in a row that wild readings do not make. Ours.
const LONG: usize = 4;
/// Share of touched samples from which the idle level is found anew without them. Ours.
const MANY: f64 = 0.03;

/// Which way a touch moves the count.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Sense {
    /// A touch makes it fall.
    Falls,
    /// A touch makes it rise.
    Rises,
}

impl Sense {
    /// `falls` or `rises`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Falls => "falls",
            Self::Rises => "rises",
        }
    }

    /// What a count is multiplied by so that touches lie below.
    fn sign(self) -> f32 {
        if self == Self::Falls { 1.0 } else { -1.0 }
    }
}

/// A run of touched samples.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Press {
    /// Its first sample.
    pub start: usize,
    /// The sample after its last.
    pub end: usize,
    /// Median depth of its samples, counts.
    pub depth: f32,
}

/// What a recording is made of.
#[derive(Clone, Debug, PartialEq)]
pub struct Levels {
    /// Which way a touch goes; without touches, the side on which more lies far out.
    pub sense: Sense,
    /// Idle level of each block, counts.
    pub idle: Vec<f32>,
    /// Standard deviation of the idle noise, from the median distance to the level, counts.
    pub noise: f32,
    /// Depth from which a sample may be touched; infinite where no touch was seen.
    pub touched_from: f32,
    /// The presses, in order.
    pub presses: Vec<Press>,
    /// Median depth of the presses; NaN without any.
    pub depth: f32,
    /// Samples far out towards touch that belong to no press: a heavy tail, sleeves, bursts.
    pub outliers: usize,
}

impl Levels {
    /// Finds them in the readings of one plate; `None` for fewer than [`BLOCK`] samples.
    pub fn of(counts: &[u16]) -> Option<Self> {
        if counts.len() < BLOCK {
            return None;
        }
        let first = Self::with_idle(counts, idle_levels(counts.chunks_exact(BLOCK).map(median_of_counts)));
        if (first.touched() as f64) < MANY * counts.len() as f64 {
            return Some(first);
        }
        // So many touches lean the medians towards them: once more without.
        let mut touched = vec![false; counts.len()];
        for press in &first.presses {
            touched[press.start.saturating_sub(1)..(press.end + 1).min(counts.len())].fill(true);
        }
        let mut before = first.idle[0];
        let blocks = counts.chunks_exact(BLOCK).zip(touched.chunks_exact(BLOCK)).map(|(counts, touched)| {
            let idle: Vec<u16> = counts
                .iter()
                .zip(touched)
                .filter(|(_, touched)| !**touched)
                .map(|(count, _)| *count)
                .collect();
            if idle.len() >= BLOCK / 8 {
                before = median_of_counts(&idle);
            }
            before
        });
        let idle = idle_levels(blocks);
        Some(Self::with_idle(counts, idle))
    }

    fn with_idle(counts: &[u16], idle: Vec<f32>) -> Self {
        let noise = noise(counts, &idle);
        let far = FAR * noise;
        let sense = sense(counts, &idle, far);
        let mut levels = Self {
            sense,
            idle,
            noise,
            touched_from: f32::INFINITY,
            presses: Vec::new(),
            depth: f32::NAN,
            outliers: 0,
        };
        // A small share of a long recording; the rest is looked at no more.
        let mut far_out: Vec<(usize, f32)> = Vec::new();
        levels.each_depth(counts, |at, depth| {
            if depth > far {
                far_out.push((at, depth));
            }
        });
        for from in [gap(&far_out, far), all(&far_out, far)].into_iter().flatten() {
            let from = with_shallow(&far_out, far, from);
            levels.touched_from = from;
            levels.presses = runs(&far_out).filter_map(|run| press(run, from)).collect();
            levels.depth = median(levels.presses.iter().map(|press| press.depth).collect());
            if levels.presses.len() >= FEWEST {
                break;
            }
        }
        levels.outliers = far_out.len() - levels.touched();
        levels
    }

    /// Tells the depth of every sample, counts.
    pub fn each_depth(&self, counts: &[u16], mut tell: impl FnMut(usize, f32)) {
        let sign = self.sense.sign();
        for (block, samples) in counts.chunks(BLOCK).enumerate() {
            let near = near(&self.idle, block);
            let level = near.iter().map(|level| level * sign).fold(f32::INFINITY, f32::min);
            for (at, &count) in samples.iter().enumerate() {
                tell(block * BLOCK + at, level - f32::from(count) * sign);
            }
        }
    }

    /// How many samples are touched.
    pub fn touched(&self) -> usize {
        self.presses.iter().map(|press| press.end - press.start).sum()
    }
}

/// Levels of a block and its neighbours; samples behind the last whole block belong to it.
fn near(idle: &[f32], block: usize) -> &[f32] {
    let block = block.min(idle.len() - 1);
    &idle[block.saturating_sub(1)..(block + 2).min(idle.len())]
}

/// The level of each block: the median of it and its neighbours on both sides, of fewer at the ends.
fn idle_levels(blocks: impl Iterator<Item = f32>) -> Vec<f32> {
    let blocks: Vec<f32> = blocks.collect();
    let side = WINDOW / 2;
    let mut window = [0.0; WINDOW];
    (0..blocks.len())
        .map(|block| {
            let around = &blocks[block.saturating_sub(side)..(block + side + 1).min(blocks.len())];
            window[..around.len()].copy_from_slice(around);
            let window = &mut window[..around.len()];
            window.sort_unstable_by(f32::total_cmp);
            f32::midpoint(window[(around.len() - 1) / 2], window[around.len() / 2])
        })
        .collect()
}

fn median_of_counts(counts: &[u16]) -> f32 {
    let mut sorted = [0; BLOCK];
    let sorted = &mut sorted[..counts.len()];
    sorted.copy_from_slice(counts);
    let middle = counts.len() / 2;
    let (below, &mut upper, _) = sorted.select_nth_unstable(middle);
    if counts.len() % 2 == 1 {
        return f32::from(upper);
    }
    let lower = below.iter().copied().max().unwrap_or(upper);
    f32::midpoint(f32::from(lower), f32::from(upper))
}

/// Standard deviation of normal noise with the same median distance (x 1.4826). A counter's own step has 0.29 of it; less
/// cannot be seen.
fn noise(counts: &[u16], idle: &[f32]) -> f32 {
    // A hundred thousand samples tell a median to a half of a per cent.
    let every = (counts.len() / 100_000).max(1);
    let last = idle.len() - 1;
    let apart = counts.iter().enumerate().step_by(every);
    let apart = apart.map(|(at, &count)| (f32::from(count) - idle[(at / BLOCK).min(last)]).abs());
    (1.4826 * median(apart.collect())).max(0.29 * f32::from(quantum(counts)))
}

/// The side with more far out, in runs of two and more, each sample by its distance.
fn sense(counts: &[u16], idle: &[f32], far: f32) -> Sense {
    let (mut below, mut above) = (0.0_f64, 0.0_f64);
    let mut before = 0.0;
    for (block, samples) in counts.chunks(BLOCK).enumerate() {
        let near = near(idle, block);
        let low = near.iter().copied().fold(f32::INFINITY, f32::min);
        let high = near.iter().copied().fold(f32::NEG_INFINITY, f32::max);
        for &count in samples {
            let count = f32::from(count);
            // Negative below, positive above, nothing between the levels; a wild reading at the far end of the counter counts
            // for no more than a fall to nothing.
            let out = (count - low).min(0.0) + (count - high).max(0.0).min(low);
            if out < -far && before < -far {
                below -= f64::from(out);
            } else if out > far && before > far {
                above += f64::from(out);
            }
            before = out;
        }
    }
    if above > below { Sense::Rises } else { Sense::Falls }
}

/// Runs of samples in a row.
fn runs(samples: &[(usize, f32)]) -> impl Iterator<Item = &[(usize, f32)]> {
    samples.chunk_by(|a, b| a.0 + 1 == b.0)
}

/// The press in a run far out: from its first to its last sample that is at least half as deep as its deep ones, which
/// begin at `from`; none where fewer than two are.
fn press(run: &[(usize, f32)], from: f32) -> Option<Press> {
    let deep: Vec<f32> = run.iter().map(|(_, depth)| *depth).filter(|depth| *depth >= from).collect();
    if deep.len() < 2 {
        return None;
    }
    let depth = median(deep);
    let half = |sample: &&(usize, f32)| sample.1 >= 0.5 * depth;
    let (first, last) = (run.iter().find(half)?, run.iter().rfind(half)?);
    Some(Press { start: first.0, end: last.0 + 1, depth })
}

/// The depth in the middle of the first gap that is met from where most touched readings lie towards the noise; `None` where
/// there is none.
///
/// Each run counts at its median depth, so that edges and noise do not fill the gap, by its length and depth: a burst's pair
/// counts little, and so do sleeves and legs, which lie thinly over all shallow depths.
fn gap(far_out: &[(usize, f32)], far: f32) -> Option<f32> {
    let deepest = far_out.iter().map(|(_, depth)| *depth).fold(0.0, f32::max);
    if deepest <= far {
        return None;
    }
    let width = (deepest / far).ln() / BINS as f32;
    let (mut held, mut number, mut samples) = ([0.0_f32; BINS], [0_u32; BINS], [0.0_f32; BINS]);
    for run in runs(far_out).filter(|run| run.len() >= 2) {
        let depth = median(run.iter().map(|sample| sample.1).collect());
        let bin = (((depth / far).ln() / width) as usize).min(BINS - 1);
        held[bin] += (run.len().min(LONGEST) - 1) as f32 * depth;
        number[bin] += 1;
        samples[bin] += run.len() as f32;
    }
    let count: u32 = number.iter().sum();
    if count == 0 {
        return None;
    }
    // Few presses are smoothed more: the usual fifth root (Silverman, *Density Estimation*, 1986, 3.4, from memory), of a
    // spread of 0.3 in the logarithm.
    let reach = 0.3 * (count as f32).powf(-0.2) / width;
    let dense: Vec<f32> = (0..BINS)
        .map(|at| {
            let near = |(other, held): (usize, &f32)| {
                held * (-0.5 * (other.abs_diff(at) as f32 / reach).powi(2)).exp()
            };
            held.iter().enumerate().map(near).sum()
        })
        .collect();
    let fullest = (0..BINS).max_by(|a, b| dense[*a].total_cmp(&dense[*b]))?;
    let sparse = |bin: usize| dense[bin] <= SPARSE * dense[fullest];
    let to = (0..fullest).rev().find(|bin| sparse(*bin))? + 1;
    let from = (0..to).rev().find(|bin| !sparse(*bin)).map_or(0, |bin| bin + 1);
    // One or two in the gap are shallow presses, a gloved finger. Many are of another kind, sleeves or legs: the gap then
    // lies between the deepest of them and the touches.
    let (in_gap, touches): (u32, u32) = (number[from..to].iter().sum(), number[to..].iter().sum());
    let mean = |bins: std::ops::Range<usize>| {
        samples[bins.clone()].iter().sum::<f32>() / number[bins].iter().sum::<u32>() as f32
    };
    let short = mean(from..to) < 0.5 * mean(to..BINS);
    let (from, to) = if short && MANY_IN_GAP * f64::from(touches) < f64::from(in_gap) {
        clear(&number[from..to], (CLEAR.ln() / width).ceil() as usize)
            .map_or((from, to), |(a, b)| (from + a, from + b))
    } else {
        (from, to)
    };
    let depth = |bin: f32| far * (bin * width).exp();
    Some(depth(f32::midpoint(from as f32, to as f32)))
}

/// A lower depth to begin at where several runs are as long as touches but shallower: weak presses, gloves. Sleeves and legs
/// are shorter, and water is longer.
fn with_shallow(far_out: &[(usize, f32)], far: f32, from: f32) -> f32 {
    let depth = |run: &[(usize, f32)]| median(run.iter().map(|sample| sample.1).collect());
    let (mut touches, mut shallow) = (Vec::new(), Vec::new());
    for run in runs(far_out).filter(|run| run.len() >= LONG) {
        let depth = depth(run);
        let kind = if depth >= from { &mut touches } else { &mut shallow };
        kind.push((run.len() as f32, depth));
    }
    let usual = median(touches.iter().map(|touch| touch.0).collect());
    let deep = median(touches.iter().map(|touch| touch.1).collect());
    shallow.retain(|(len, depth)| (0.5 * usual..8.0 * usual).contains(len) && *depth >= WEAKEST * deep);
    if shallow.len() < FEWEST || (shallow.len() as f64) < MANY_IN_GAP * 0.5 * touches.len() as f64 {
        return from;
    }
    let least = shallow.iter().map(|(_, depth)| *depth).fold(f32::INFINITY, f32::min);
    (0.8 * least).max(far)
}

/// The deepest stretch of empty bins that is at least so wide.
fn clear(bins: &[u32], wide: usize) -> Option<(usize, usize)> {
    let mut to = bins.len();
    for at in (0..bins.len()).rev() {
        if bins[at] > 0 {
            if to - (at + 1) >= wide {
                return Some((at + 1, to));
            }
            to = at;
        }
    }
    (to >= wide).then_some((0, to))
}

/// Where no gap shows, because touched readings are so noisy that they reach to the noise, or one that only the deepest press
/// passes: all that lies far out is touched, if most of it lies in runs of [`LONG`] and more, and in [`FEWEST`] of them.
fn all(far_out: &[(usize, f32)], far: f32) -> Option<f32> {
    let long: Vec<usize> = runs(far_out).map(<[_]>::len).filter(|len| *len >= LONG).collect();
    (long.len() >= FEWEST && 2 * long.iter().sum::<usize>() > far_out.len()).then_some(far)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn medians_of_even_and_odd_lists() {
        assert_eq!(median_of_counts(&[5, 1, 3]), 3.0);
        assert_eq!(median_of_counts(&[5, 1, 3, 4]), 3.5);
        assert_eq!(idle_levels([1.0, 9.0, 2.0].into_iter()), [2.0, 2.0, 2.0]);
    }

    #[test]
    fn too_few_samples_say_nothing_and_equal_ones_no_touch() {
        assert_eq!(Levels::of(&[900; BLOCK - 1]), None);
        let levels = Levels::of(&[900; 1000]).unwrap();
        assert_eq!((levels.presses.len(), levels.outliers), (0, 0));
    }
}
