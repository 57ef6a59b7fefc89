//! What a log holds, and what is true of it.

use models::out_of_range::OutOfRange;
use models::touch::count::Law;

/// One reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// Its stamp, s from the start of the log; never less than the one before.
    pub time_s: f64,
    /// What the chip says.
    pub count: u16,
    /// True level without touch, disturbance and noise, in counts, and not cut to what the counter holds.
    pub idle: f64,
}

/// Who presses.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Who {
    /// A bare finger.
    Adult,
    /// A small, light one.
    Child,
    /// A finger in a winter glove.
    Glove,
}

/// What happens.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Kind {
    /// A caller's press: the only kind that a station should tell.
    Press(Who),
    /// A sleeve or bag in passing: a short, shallow dip.
    Brush,
    /// A shower on the plate.
    Rain,
    /// A film of water that bridges plate and frame: as long and deep as a press that never ends.
    Film,
    /// Electrical noise: a lock, a lamp, a motor near by.
    Burst,
    /// No readings: the program did something else.
    Gap,
    /// Metal behind the plate moves away and comes back.
    Door,
    /// Something small with legs.
    Insect,
    /// Somebody cleans the plate.
    Wipe,
    /// The station works hard, and warms the plate.
    Warm,
}

impl Kind {
    /// One word.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Press(Who::Adult) => "adult",
            Self::Press(Who::Child) => "child",
            Self::Press(Who::Glove) => "glove",
            Self::Brush => "brush",
            Self::Rain => "rain",
            Self::Film => "film",
            Self::Burst => "burst",
            Self::Gap => "gap",
            Self::Door => "door",
            Self::Insect => "insect",
            Self::Wipe => "wipe",
            Self::Warm => "warm",
        }
    }

    /// Whether a caller pressed.
    pub const fn is_press(self) -> bool {
        matches!(self, Self::Press(_))
    }
}

/// Something that happened, true by construction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Event {
    /// What.
    pub kind: Kind,
    /// When it began, s: a press, where the finger has brought half its depth.
    pub start_s: f64,
    /// When it ended, s: a press, where half its depth is left.
    pub end_s: f64,
    /// How far it moves the count towards touch at its deepest, as a share of the dry idle count; below 0 away from touch.
    /// Of a burst, the standard deviation of what it adds. Of a gap, 0.
    pub depth: f64,
}

impl Event {
    /// Its length, s.
    pub fn length_s(&self) -> f64 {
        self.end_s - self.start_s
    }

    /// What it adds to the capacitance at its deepest, in parts of the idle one.
    pub fn added(&self, law: Law) -> f64 {
        match law {
            Law::Falls => self.depth / (1.0 - self.depth),
            Law::Rises => self.depth,
        }
    }

    /// How far `added` parts of the idle capacitance move the count towards touch: the inverse of [`Event::added`].
    pub fn depth_of(law: Law, added: f64) -> f64 {
        match law {
            Law::Falls => added / (1.0 + added),
            Law::Rises => added,
        }
    }

    /// # Errors
    /// The number that no plate could have.
    pub(crate) fn check(&self, law: Law) -> Result<(), OutOfRange> {
        // From a tenth of the idle capacitance to fifty times as much, give or take a rounding.
        let [least, most] = match law {
            Law::Falls => [-9.001, 0.981],
            Law::Rises => [-0.901, 50.0],
        };
        OutOfRange::check("start_s", self.start_s, -1e9, 1e9)?;
        OutOfRange::check("end_s", self.end_s, self.start_s, 1e9)?;
        OutOfRange::check("depth", self.depth, least, most)?;
        Ok(())
    }
}

/// What is true of a log.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Truth {
    /// Everything that happened, by start.
    pub events: Vec<Event>,
    /// [`Sample::idle`] of each sample.
    pub idle: Vec<f64>,
}

impl Truth {
    /// Presses alone, by start.
    pub fn presses(&self) -> impl Iterator<Item = &Event> {
        self.events.iter().filter(|event| event.kind.is_press())
    }
}

/// A log in memory.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Log {
    /// Stamp of each sample, s.
    pub time_s: Vec<f64>,
    /// What the chip said.
    pub counts: Vec<u16>,
    /// What it never knew.
    pub truth: Truth,
}

/// Readings one at a time, with what happens in them known beforehand.
pub trait Readings: Iterator<Item = Sample> {
    /// Everything that happens, by start.
    fn events(&self) -> &[Event];
}

impl<R: Readings> From<R> for Log {
    fn from(readings: R) -> Self {
        let truth = Truth { events: readings.events().to_vec(), idle: Vec::new() };
        let mut log = Self { truth, ..Self::default() };
        for sample in readings {
            log.time_s.push(sample.time_s);
            log.counts.push(sample.count);
            log.truth.idle.push(sample.idle);
        }
        log
    }
}
