//! What a station is told.

use crate::PressId;
use crate::name::{Id, Revision, Station};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What a station is told.
#[derive(Clone, Debug, PartialEq)]
pub enum Tells {
    /// A press is stored.
    Ack(Ack),
    /// What the caller is shown.
    Sign(Signed),
    /// Settings to try.
    Settings(Settings),
    /// Settings to keep.
    Keep(Keep),
    /// A picture is wanted.
    Picture(Ask),
    /// Pictures one after another.
    Stream(Switch),
    /// The lamp that lights the caller.
    Lamp(Switch),
    /// Counts of the plate, to tune it by.
    Readings(Seconds),
    /// No tone for a while.
    Quiet(Quiet),
    /// How are you?
    Health,
}

/// The acknowledgement that counts: the press is stored. Until it has come, the station tells the press again.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Ack {
    /// Which press.
    pub press: PressId,
    /// Whether somebody is being called now; not for a press that came too late, or when nobody may be called.
    pub rings: bool,
}

/// What a caller is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sign {
    /// Somebody is being called.
    Ringing,
    /// Somebody answers; also while a release is asked for, or has been refused.
    Answered,
    /// The release unit has reported the door open.
    Open,
    /// Nobody comes, or the caller is turned away.
    Away,
    /// Please knock.
    Knock,
    /// Nothing.
    Off,
}

/// A sign, for one press.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Signed {
    /// The newest press that is known: a station that has felt a later one passes the sign over. For a call that no press
    /// began, the newest press before it, or `seq` 0 where the start has had none.
    pub press: PressId,
    /// Which sign for this press, growing.
    pub n: u32,
    /// What to show.
    pub sign: Sign,
    /// For how long, s; as is usual of the sign where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seconds: Option<u32>,
}

/// Settings to try: all that differ from what was burned. As `doorwright export settings --json` prints them.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Settings {
    /// Which they are.
    pub revision: Revision,
    /// Which program they are for; another one refuses them.
    pub burned: String,
    /// Key with its unit, and value: a number or a word.
    pub settings: BTreeMap<String, serde_json::Value>,
}

/// Settings to keep: they have proved themselves, since the station's answer has come. The last two are those of that
/// answer: a trial is proved by its own answer alone.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Keep {
    /// Which they are.
    pub revision: Revision,
    /// The start in which they are tried.
    pub boot: u32,
    /// When the trial began.
    pub since_ms: u64,
}

/// A thing asked for.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Ask {
    /// As its answer will have it.
    pub id: Id,
}

/// Something to be switched, on for so many seconds at most.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Switch {
    /// As its answer will have it.
    pub id: Id,
    /// On or off.
    pub on: bool,
    /// When it goes off by itself, s; at most a day, a lamp at most ten minutes.
    pub seconds: u32,
}

/// A thing asked for, for so many seconds.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Seconds {
    /// As its answer will have it.
    pub id: Id,
    /// For how long, s; at most a day.
    pub seconds: u32,
}

/// No tone for so many seconds; 0 allows it again.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Quiet {
    /// For how long, s; at most a day.
    pub seconds: u32,
}

impl Tells {
    /// The last part of its topic.
    pub fn kind(&self) -> &'static str {
        match self {
            Tells::Ack(_) => "ack",
            Tells::Sign(_) => "sign",
            Tells::Settings(_) => "settings",
            Tells::Keep(_) => "keep",
            Tells::Picture(_) => "picture",
            Tells::Stream(_) => "stream",
            Tells::Lamp(_) => "lamp",
            Tells::Readings(_) => "readings",
            Tells::Quiet(_) => "quiet",
            Tells::Health => "health",
        }
    }

    /// Its topic.
    pub fn topic(&self, station: &Station) -> String {
        format!("to/{station}/{}", self.kind())
    }

    /// After how many seconds it must not be delivered any more (MQTT 5's message expiry): what is said of a moment would
    /// be a lie later, and all of it is said again where it matters.
    pub fn expires_s(&self) -> u32 {
        match self {
            // Tried by hand or by the service, and not by a broker after a restart.
            Tells::Settings(_) | Tells::Keep(_) => 60,
            _ => 10,
        }
    }

    /// Its text.
    pub fn text(&self) -> String {
        let text = match self {
            Tells::Ack(it) => serde_json::to_string(it),
            Tells::Sign(it) => serde_json::to_string(it),
            Tells::Settings(it) => serde_json::to_string(it),
            Tells::Keep(it) => serde_json::to_string(it),
            Tells::Picture(it) => serde_json::to_string(it),
            Tells::Stream(it) | Tells::Lamp(it) => serde_json::to_string(it),
            Tells::Readings(it) => serde_json::to_string(it),
            Tells::Quiet(it) => serde_json::to_string(it),
            Tells::Health => Ok("{}".into()),
        };
        text.expect("plain members have a text")
    }
}
