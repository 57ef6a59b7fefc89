//! Finds presses in the counts of a touch plate, sample by sample.
//!
//! The same detector runs on the board: [`C_HEADER`] and [`C_SOURCE`] are its second form, written by hand in C99 and
//! held against this one, state and all, over millions of samples. No allocation, no floating point, a fixed number of
//! steps a sample; one plate is 32 bytes ([`Plate::to_bytes`], for memory that outlasts deep sleep).
//!
//! How it works. A **baseline** follows the idle reading slowly, so that drift is learned and a press is not: it rests
//! while a sample lies beyond the threshold, and while a press lasts; between lift level and threshold it moves eight
//! times as slowly. A press begins when [`Config::debounce`] samples in a row lie [`Config::threshold`] or more from the
//! baseline, towards touch; it ends (**lift**) when as many lie nearer than threshold less hysteresis. A press longer
//! than [`Config::longest`] is no finger but water or a fault: it ends as **stuck**, and the baseline starts anew where
//! the reading is. Readings that stay as far on the other side of the baseline (a hand was there at the start) for eight
//! times the debounce start it anew too.
//!
//! Times are samples and levels are counts: how long a sample is, and what a count means, the caller knows.
//!
//! ```
//! use detector::{Config, Events, Plate};
//! let config = Config { threshold: 40, hysteresis: 10, debounce: 2, calibrate: 2, ..Config::USUAL };
//! let mut plate = Plate::new();
//! let counts = [950, 951, 949, 950, 950, 620, 615, 618, 949, 950];
//! let events: Vec<Events> = counts.iter().map(|&count| plate.sample(&config, count)).collect();
//! assert_eq!(events[6], Events::PRESS, "the second sample in a row beyond 910");
//! assert_eq!(events[9], Events::LIFT);
//! assert_eq!(plate.baseline(), 950);
//! ```
#![cfg_attr(not(test), no_std)]

/// The C header; the C source is [`C_SOURCE`].
pub const C_HEADER: &str = include_str!("../c/dw_plate.h");
/// The C source, C99, without dependence on a platform.
pub const C_SOURCE: &str = include_str!("../c/dw_plate.c");

/// Which version of [`Config`] and of the bytes of a [`Plate`] this is.
pub const VERSION: u8 = 1;

/// Everything that is tuned. Any values are safe; those outside their range are taken as its end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Config {
    /// Whether a touch makes the count rise; else it falls.
    pub rises: bool,
    /// Each sample is the median of this many readings, the newest and those before it: 1, 3 or 5.
    pub median: u8,
    /// Samples in a row that make a press, or a lift; at least 1.
    pub debounce: u8,
    /// The baseline starts as the mean of 2^this samples, 0 to 8.
    pub calibrate: u8,
    /// A sample on the touch side of the baseline moves it by 1/2^this of their distance, 0 to 31.
    pub track: u8,
    /// The same for a sample on the other side.
    pub track_away: u8,
    /// The same for the estimate of noise.
    pub track_noise: u8,
    /// Counts from the baseline that a touch takes, at least 1.
    pub threshold: u16,
    /// Counts by which a lift lies nearer the baseline than a press.
    pub hysteresis: u16,
    /// A fixed level instead of a baseline: touched at it and beyond; 0 for a baseline. For comparison, and for sleep.
    pub level: u16,
    /// Samples after which a press is told as held; 0 for never. Not told when it falls into a gap.
    pub hold: u32,
    /// Samples after which a press is taken as stuck; 0 for never.
    pub longest: u32,
    /// Equal readings in a row after which the plate is taken as dead; 0 for never.
    pub dead: u16,
    /// Mean distance from the baseline, in sixteenths of a count, from which idle readings are told as noisy; 0 for never.
    pub noisy: u16,
}

impl Config {
    /// A start for a plate of a thousand counts read twenty times a second. Ours, to be tuned.
    pub const USUAL: Self = Self {
        rises: false,
        median: 1,
        debounce: 2,
        calibrate: 5,
        track: 9,
        track_away: 7,
        track_noise: 8,
        threshold: 60,
        hysteresis: 20,
        level: 0,
        hold: 0,
        longest: 400,
        dead: 1200,
        noisy: 0,
    };
}

/// What a sample made happen: none, or several at once.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Events(pub u8);

impl Events {
    /// Nothing.
    pub const NONE: Self = Self(0);
    /// A press begins.
    pub const PRESS: Self = Self(1);
    /// A press ends.
    pub const LIFT: Self = Self(2);
    /// A press has lasted [`Config::hold`] samples.
    pub const HOLD: Self = Self(4);
    /// A fault: a press lasted [`Config::longest`] samples. It is over; no lift follows.
    pub const STUCK: Self = Self(8);
    /// A fault: [`Config::dead`] readings in a row were equal. No plate is that quiet.
    pub const DEAD: Self = Self(16);
    /// A fault: idle readings are noisy.
    pub const NOISY: Self = Self(32);

    /// Whether all of `other` happened.
    pub const fn has(self, other: Self) -> bool {
        self.0 & other.0 == other.0
    }

    const fn and(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }
}

const CALIBRATES: u8 = 0;
const IDLE: u8 = 1;
const PRESSED: u8 = 2;
/// Stuck at a fixed level: waits for a lift that is not told.
const WAITS: u8 = 3;

/// One plate.
///
/// Baseline and noise are counts with sixteen binary places, so that the slowest baseline still moves.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Plate {
    base: u32,
    noise: u32,
    held: u32,
    run: u16,
    same: u16,
    last: u16,
    before: [u16; 4],
    back: u8,
    filled: u8,
    phase: u8,
    noisy: u8,
}

/// Bytes of one plate.
pub const PLATE_BYTES: usize = 32;

impl Plate {
    /// A plate that nobody has read yet.
    pub const fn new() -> Self {
        Self {
            base: 0,
            noise: 0,
            held: 0,
            run: 0,
            same: 0,
            last: 0,
            before: [0; 4],
            back: 0,
            filled: 0,
            phase: CALIBRATES,
            noisy: 0,
        }
    }

    /// Takes the next reading.
    #[inline]
    pub fn sample(&mut self, config: &Config, count: u16) -> Events {
        let mut events = self.equal(config, count);
        let sample = self.filtered(config.median, count);
        if self.phase == CALIBRATES && !self.calibrated(config, sample) {
            return events;
        }
        let at = u32::from(sample) << 16;
        let (towards, away) = self.apart(config, sample);
        let threshold = u32::from(config.threshold.max(1)) << 16;
        let lift = u32::from(config.threshold.max(1).saturating_sub(config.hysteresis).max(1)) << 16;
        if self.phase == IDLE {
            if towards >= threshold {
                self.back = 0;
                self.run = self.run.saturating_add(1);
                if self.run >= u16::from(config.debounce.max(1)) {
                    self.phase = PRESSED;
                    self.run = 0;
                    self.held = 0;
                    events = events.and(Events::PRESS);
                }
            } else {
                self.run = 0;
                if config.level == 0 {
                    events = events.and(self.learn(config, at, (towards, away), (threshold, lift)));
                }
            }
            return events;
        }
        self.held = self.held.saturating_add(1);
        self.run = if towards < lift { self.run.saturating_add(1) } else { 0 };
        let over = self.run >= u16::from(config.debounce.max(1));
        if self.phase == WAITS {
            if over {
                self.phase = IDLE;
                self.run = 0;
            }
            return events;
        }
        if config.hold != 0 && self.held == config.hold {
            events = events.and(Events::HOLD);
        }
        if over {
            self.phase = IDLE;
            self.run = 0;
            events = events.and(Events::LIFT);
        } else if config.longest != 0 && self.held >= config.longest {
            self.run = 0;
            if config.level == 0 {
                self.phase = IDLE;
                self.base = at;
            } else {
                self.phase = WAITS;
            }
            events = events.and(Events::STUCK);
        }
        events
    }

    /// Tells that readings are missing: none of what came before is in a row with what comes.
    pub fn gap(&mut self, samples: u32) {
        // The first baseline is a mean: its readings need not be in a row, and `run` counts them.
        if self.phase != CALIBRATES {
            self.run = 0;
        }
        self.back = 0;
        self.same = 0;
        self.filled = 0;
        if self.phase >= PRESSED {
            self.held = self.held.saturating_add(samples);
        }
    }

    /// Whether a press lasts.
    pub const fn is_pressed(&self) -> bool {
        self.phase == PRESSED
    }

    /// The baseline in counts, rounded.
    pub const fn baseline(&self) -> u16 {
        let rounded = self.base.saturating_add(1 << 15) >> 16;
        rounded as u16
    }

    /// The baseline in counts, with sixteen binary places.
    pub const fn baseline_fine(&self) -> u32 {
        self.base
    }

    /// Mean distance of idle samples from the baseline, in sixteenths of a count.
    pub const fn noise_sixteenths(&self) -> u32 {
        self.noise >> 12
    }

    /// The state as bytes, least byte first, for memory that outlasts deep sleep. The first names the [`VERSION`].
    pub fn to_bytes(&self) -> [u8; PLATE_BYTES] {
        let mut bytes = [0; PLATE_BYTES];
        bytes[0] = VERSION;
        bytes[1] = self.phase;
        bytes[2] = self.filled;
        bytes[3] = self.noisy;
        bytes[4..8].copy_from_slice(&self.base.to_le_bytes());
        bytes[8..12].copy_from_slice(&self.noise.to_le_bytes());
        bytes[12..16].copy_from_slice(&self.held.to_le_bytes());
        bytes[16..18].copy_from_slice(&self.run.to_le_bytes());
        bytes[18..20].copy_from_slice(&self.same.to_le_bytes());
        bytes[20..22].copy_from_slice(&self.last.to_le_bytes());
        for (at, before) in self.before.iter().enumerate() {
            bytes[22 + 2 * at..24 + 2 * at].copy_from_slice(&before.to_le_bytes());
        }
        bytes[30] = self.back;
        bytes
    }

    /// The state from [`Self::to_bytes`]; `None` for bytes of another version, and for bytes that are no state.
    pub fn from_bytes(bytes: &[u8; PLATE_BYTES]) -> Option<Self> {
        if bytes[0] != VERSION || bytes[1] > WAITS || bytes[2] > 4 || bytes[3] > 1 || bytes[31] != 0 {
            return None;
        }
        let two = |at: usize| u16::from_le_bytes([bytes[at], bytes[at + 1]]);
        let four = |at: usize| u32::from_le_bytes([bytes[at], bytes[at + 1], bytes[at + 2], bytes[at + 3]]);
        Some(Self {
            base: four(4),
            noise: four(8),
            held: four(12),
            run: two(16),
            same: two(18),
            last: two(20),
            before: [two(22), two(24), two(26), two(28)],
            back: bytes[30],
            filled: bytes[2],
            phase: bytes[1],
            noisy: bytes[3],
        })
    }

    /// Counts equal readings.
    fn equal(&mut self, config: &Config, count: u16) -> Events {
        if self.same == 0 || count != self.last {
            self.last = count;
            self.same = 1;
            return Events::NONE;
        }
        let before = self.same;
        self.same = self.same.saturating_add(1);
        if config.dead != 0 && self.same == config.dead && before != self.same {
            Events::DEAD
        } else {
            Events::NONE
        }
    }

    /// The median of the newest readings; the reading itself until there are enough.
    fn filtered(&mut self, median: u8, count: u16) -> u16 {
        let [a, b, c, d] = self.before;
        let filtered = match median {
            0..=2 => return count,
            3 | 4 if self.filled >= 2 => middle(a, b, count),
            5.. if self.filled >= 4 => {
                // Without the least and the greatest of four, the middle of what is left and the fifth.
                let (low, high) = (a.min(b), a.max(b));
                let (other_low, other_high) = (c.min(d), c.max(d));
                middle(low.max(other_low), high.min(other_high), count)
            }
            _ => count,
        };
        self.before = [count, a, b, c];
        self.filled = (self.filled + 1).min(4);
        filtered
    }

    /// Takes a sample into the first baseline; whether that is done, so that the sample can be judged.
    fn calibrated(&mut self, config: &Config, sample: u16) -> bool {
        if config.level != 0 {
            self.phase = IDLE;
            return true;
        }
        let shift = config.calibrate.min(8);
        // The sum of at most 256 readings, below 2^24.
        self.base = self.base.saturating_add(u32::from(sample));
        self.run = self.run.saturating_add(1);
        if self.run >= 1 << shift {
            self.base <<= 16 - shift;
            self.run = 0;
            self.phase = IDLE;
        }
        false
    }

    /// How far a sample lies from the baseline, or from where the baseline of a fixed level would lie: towards touch,
    /// and away from it.
    fn apart(&self, config: &Config, sample: u16) -> (u32, u32) {
        if config.level != 0 {
            let (level, sample) = (u32::from(config.level), u32::from(sample));
            let threshold = u32::from(config.threshold.max(1));
            let towards = if config.rises {
                (sample + threshold).saturating_sub(level)
            } else {
                (level + threshold).saturating_sub(sample)
            };
            return (towards.min(0xffff) << 16, 0);
        }
        let at = u32::from(sample) << 16;
        let (below, above) = (self.base.saturating_sub(at), at.saturating_sub(self.base));
        if config.rises { (above, below) } else { (below, above) }
    }

    /// Moves the baseline and the noise, or starts the baseline anew.
    fn learn(
        &mut self,
        config: &Config,
        at: u32,
        (towards, away): (u32, u32),
        (threshold, lift): (u32, u32),
    ) -> Events {
        if away >= threshold {
            self.back = self.back.saturating_add(1);
            // A single wild reading must not become the baseline: what lies idle would look touched until it is stuck.
            if self.back >= config.debounce.max(1).saturating_mul(8) {
                self.back = 0;
                self.base = at;
            }
            return Events::NONE;
        }
        self.back = 0;
        let shift = match (towards, away) {
            (_, 1..) => config.track_away,
            (towards, _) if towards >= lift => config.track.saturating_add(3),
            _ => config.track,
        };
        self.base = step(self.base, at, shift);
        self.noise = step(self.noise, (towards | away).min(threshold / 2), config.track_noise);
        let limit = u32::from(config.noisy) << 12;
        if limit == 0 {
            return Events::NONE;
        }
        if self.noisy == 0 && self.noise >= limit {
            self.noisy = 1;
            return Events::NOISY;
        }
        if self.noisy == 1 && self.noise < limit / 2 {
            self.noisy = 0;
        }
        Events::NONE
    }
}

/// `from`, moved by 1/2^shift of its distance to `to`; rounded the same way on both sides.
const fn step(from: u32, to: u32, shift: u8) -> u32 {
    let shift = if shift > 31 { 31 } else { shift };
    if to >= from { from + ((to - from) >> shift) } else { from - ((from - to) >> shift) }
}

/// The middle one of three.
fn middle(a: u16, b: u16, c: u16) -> u16 {
    a.max(b).min(a.min(b).max(c))
}
