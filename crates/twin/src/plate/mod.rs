//! Counts as a real touch plate gives them, with what truly happened beside them.
//!
//! [`facts`] takes from a plan what its physics says of the plate; [`effects`] are what a wall adds, each a plain
//! struct of numbers with an `OFF`; [`script`] draws what happens and when; [`samples`] turns that into counts, one
//! at a time, so that a log may be longer than memory. [`strange`] makes counts of other shapes altogether, for those
//! who prove an estimator. None of this knows how presses are found again.
//!
//! A level is a **share** of the dry idle count. A press is a capacitance, in parts of the idle capacitance, that joins
//! what rain, film and doors add; the chip's law turns the sum into a count. Noise and hum are added to that count.
//! Each effect has a random stream of its own: switching one off leaves the others as they were.
//!
//! ```
//! use twin::plate::{facts::Facts, effects::Settings, samples::Samples, Log};
//! let settings = Settings::of(Facts::TYPICAL, 60.0, 4);
//! let log = Log::from(Samples::new(&settings, 7).unwrap());
//! assert_eq!(log.truth.presses().count(), 4);
//! assert_eq!(log.time_s.len(), log.counts.len());
//! ```

pub mod effects;
pub mod facts;
mod log;
pub mod samples;
pub mod script;
pub mod strange;

pub use log::{Event, Kind, Log, Readings, Sample, Truth, Who};
