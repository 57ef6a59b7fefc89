//! What a station says.

use crate::PressId;
use crate::name::{Id, Revision, Station, WrongName, shown};
use crate::tells::Keep;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Most bytes of a message that are read.
pub(crate) const MOST_BYTES: usize = 4096;
/// Most readings in one message.
pub(crate) const MOST_READINGS: usize = 500;

/// A message with who said it.
#[derive(Clone, Debug, PartialEq)]
pub struct Heard {
    /// By its topic, which the broker lets nobody else use.
    pub station: Station,
    /// What it says.
    pub says: Says,
}

/// What a station says.
#[derive(Clone, Debug, PartialEq)]
pub enum Says {
    /// Somebody has pressed.
    Press(Told),
    /// How the station is.
    Health(Health),
    /// Which settings run.
    Settings(Report),
    /// What became of a thing asked for.
    Answer(Answer),
    /// Counts of the plate.
    Readings(Readings),
    /// The broker says that the station is gone (its will).
    Gone(Gone),
}

/// The station is gone.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Gone {
    /// The start that ended, or lost its link.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub boot: Option<u32>,
}

/// A press, as told now. Told again, only `boot` and `up_ms` differ.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Told {
    /// The start in which it is told.
    pub boot: u32,
    /// Time since that start, ms.
    pub up_ms: u64,
    /// The press.
    pub press: Press,
}

impl Told {
    /// How old it was when this was said, ms; the way here comes on top, and may be long where something has queued it.
    /// `None` where the station has started since, so that its clock cannot say (at least [`Self::up_ms`] then), and where
    /// it says a time that is still to come.
    pub fn age_ms(&self) -> Option<u64> {
        if self.boot == self.press.id.boot { self.up_ms.checked_sub(self.press.id.at_ms) } else { None }
    }
}

/// A press.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Press {
    /// Which one.
    #[serde(flatten)]
    pub id: PressId,
    /// The reading that made it, counts; none where a button or the waking chip felt it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub count: Option<u16>,
    /// The idle level then, counts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub idle: Option<u16>,
}

/// Why a health message was sent.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Why {
    /// The first since the start.
    Start,
    /// The link is there again.
    Linked,
    /// The plate has a fault.
    Plate,
    /// It was asked for.
    Asked,
    /// Ten minutes have passed.
    Due,
    /// For a reason that is not known here.
    #[serde(other)]
    Other,
}

/// Why the station started.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Reset {
    /// Its supply came on.
    Power,
    /// Its supply sagged.
    BrownOut,
    /// Its program hung.
    Watchdog,
    /// Its program broke.
    Fault,
    /// On purpose.
    Asked,
    /// It cannot say, or says what is not known here.
    #[default]
    #[serde(other)]
    Unknown,
}

/// How a station is. What it does not measure is `None`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[expect(non_snake_case, reason = "a name ends in its unit as units are written")]
pub struct Health {
    /// Which start.
    pub boot: u32,
    /// Time since it, ms.
    pub up_ms: u64,
    /// Why this is told.
    pub why: Why,
    /// Why it started.
    #[serde(default)]
    pub reset: Reset,
    /// Digest of the burned part of the plan that its program was made from.
    pub burned: String,
    /// Settings that it runs; empty: as burned.
    pub revision: String,
    /// `Trying` while they are only tried.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub state: Option<State>,
    /// Settings over which the program fell; the station refuses them until others have been told.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fell: Option<String>,
    /// How many values are not what the revision says, since the program would not take them.
    #[serde(default)]
    pub amiss: u32,
    /// `fails` where the station cannot keep anything.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub memory: Option<String>,
    /// Its supply, mV.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub supply_mV: Option<i32>,
    /// Its chip, °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub chip_degC: Option<i32>,
    /// Its link, dBm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rssi_dBm: Option<i32>,
    /// Free memory, B.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub free_B: Option<i32>,
    /// The largest free piece, B.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub block_B: Option<i32>,
    /// Idle level of the plate, counts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plate_idle: Option<u16>,
    /// Mean distance of idle readings from it, in sixteenths of a count.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plate_noise_16ths: Option<u32>,
    /// `stuck`, `dead` or `noisy`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plate_fault: Option<String>,
    /// Readings of the plate since the start that came too late.
    #[serde(default)]
    pub late: u32,
    /// Presses that nobody has acknowledged.
    #[serde(default)]
    pub waiting: u32,
    /// Presses dropped for want of room.
    #[serde(default)]
    pub unkept: u32,
    /// Messages since the start that it could not understand.
    #[serde(default)]
    pub unread: u32,
}

/// How far settings have come.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum State {
    /// They run, and are lost at a restart, or in a minute, if nobody says keep.
    Trying,
    /// They run and are kept.
    Kept,
    /// Those before run again: nobody said keep.
    Returned,
}

/// Which settings run.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Report {
    /// Which start.
    pub boot: u32,
    /// Time since it, ms.
    pub up_ms: u64,
    /// The revision that this answers; empty where it answers none.
    pub asked: String,
    /// Keys that were not taken, with the reason; they are as burned. `None` where this is no direct answer to settings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub refused: Option<BTreeMap<String, String>>,
    /// How many more were not taken.
    #[serde(default)]
    pub more_refused: u32,
    /// The revision that runs; empty: as burned.
    pub revision: String,
    /// How far it has come.
    pub state: State,
    /// When the trial began, ms since the start; while it lasts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub since_ms: Option<u64>,
    /// How many values are not what the revision says, since the program would not take them.
    #[serde(default)]
    pub amiss: u32,
}

/// What became of a thing asked for.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Answer {
    /// Which start.
    pub boot: u32,
    /// Time since it, ms.
    pub up_ms: u64,
    /// As it was asked.
    pub id: Id,
    /// Whether it was done.
    pub done: bool,
    /// Why not.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// Counts of the plate, in a row.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Readings {
    /// Which start.
    pub boot: u32,
    /// Time since it when the last of them was read, ms.
    pub up_ms: u64,
    /// As they were asked for.
    pub id: Id,
    /// Number of the first, counted from 0 since they were asked for; a step in it are readings that are missing.
    pub first: u32,
    /// Time between two, µs.
    pub period_us: u32,
    /// The counts.
    pub counts: Vec<u16>,
}

/// Why a message was not read.
#[derive(Debug, thiserror::Error)]
pub enum Unread {
    /// The topic is none of a station's.
    #[error("topic \"{0}\" is not from/NAME/KIND")]
    Topic(String),
    /// The station has a name that none has.
    #[error(transparent)]
    Name(#[from] WrongName),
    /// Something that stations do not say, or not yet.
    #[error("stations say no \"{0}\" here")]
    Kind(String),
    /// Longer than any message is.
    #[error("{bytes} bytes, and a message has at most {MOST_BYTES}")]
    Long {
        /// How long.
        bytes: usize,
    },
    /// Not JSON, or not what its kind asks.
    #[error("{kind}: {says}")]
    Text {
        /// Which kind.
        kind: &'static str,
        /// What is wrong with it, and where.
        says: String,
    },
    /// More readings than a message has.
    #[error("{0} readings, and a message has at most {MOST_READINGS}")]
    Many(usize),
}

/// Reads a message of a station.
///
/// # Errors
///
/// Says what is wrong: with the topic, the name, the length, the text.
pub fn read(topic: &str, payload: &[u8]) -> Result<Heard, Unread> {
    let mut parts = topic.split('/');
    let (Some("from"), Some(station), Some(kind), None) =
        (parts.next(), parts.next(), parts.next(), parts.next())
    else {
        return Err(Unread::Topic(shown(topic)));
    };
    let station = Station::new(station)?;
    if payload.len() > MOST_BYTES {
        return Err(Unread::Long { bytes: payload.len() });
    }
    let says = match kind {
        "press" => Says::Press(parsed("press", payload)?),
        "health" => Says::Health(parsed("health", payload)?),
        "settings" => Says::Settings(parsed("settings", payload)?),
        "answer" => Says::Answer(parsed("answer", payload)?),
        "readings" => {
            let readings: Readings = parsed("readings", payload)?;
            if readings.counts.len() > MOST_READINGS {
                return Err(Unread::Many(readings.counts.len()));
            }
            Says::Readings(readings)
        }
        "gone" => Says::Gone(parsed("gone", payload)?),
        other => return Err(Unread::Kind(shown(other))),
    };
    Ok(Heard { station, says })
}

fn parsed<'a, T: Deserialize<'a>>(kind: &'static str, payload: &'a [u8]) -> Result<T, Unread> {
    serde_json::from_slice(payload).map_err(|error| Unread::Text { kind, says: shown(&error.to_string()) })
}

impl Report {
    /// Whether the settings asked for run and are kept: `Kept` alone may be said of others.
    pub fn is_kept(&self, revision: &Revision) -> bool {
        self.state == State::Kept && self.revision == revision.as_str()
    }

    /// What keeps the settings that are tried; `None` where none are.
    pub fn keep(&self) -> Option<Keep> {
        let (State::Trying, Some(since_ms)) = (self.state, self.since_ms) else { return None };
        Some(Keep { revision: Revision::new(self.revision.as_str()).ok()?, boot: self.boot, since_ms })
    }
}
