//! What a station and the service say to each other: topics and messages, small JSON over MQTT 5.
//!
//! [`Says`] is what stations say, [`Tells`] what they are told; docs/station-link.md tells both to whoever writes a program
//! for a board, and docs/station-link.schema.json is their JSON Schema. The station's own end is not Rust but C99,
//! [`C_HEADER`] and [`C_SOURCE`], written from the same page and not from this code, so that each proves the other.
//!
//! Nothing here knows MQTT, a socket, a clock or what a call is. Whatever a station sends is hostile until it is read:
//! sizes are bounded, and a message is read whole or refused with a reason. Members that are not known are passed over,
//! so that both ends can grow.
//!
//! ```
//! use link::{Ack, Says, Tells};
//! let heard = link::read("from/gate/press", br#"{"boot":7,"up_ms":120512,"press":{"boot":7,"seq":3,"at_ms":120450}}"#)?;
//! let Says::Press(told) = heard.says else { panic!("a press") };
//! assert_eq!(told.age_ms(), Some(62));
//! let answer = Tells::Ack(Ack { press: told.press.id, rings: true });
//! assert_eq!(answer.topic(&heard.station), "to/gate/ack");
//! assert_eq!(answer.text(), r#"{"press":{"boot":7,"seq":3,"at_ms":120450},"rings":true}"#);
//! # Ok::<(), link::Unread>(())
//! ```

mod name;
mod says;
mod tells;

pub use name::{Id, Revision, Station, WrongName};
pub use says::{
    Answer, Gone, Health, Heard, Press, Readings, Report, Reset, Says, State, Told, Unread, Why, read,
};
pub use tells::{Ack, Ask, Keep, Quiet, Seconds, Settings, Sign, Signed, Switch, Tells};

use serde::{Deserialize, Serialize};

/// The station's end in C99: the header. It includes the detector's `dw_plate.h` and the plan's `dw_station_config.h`.
pub const C_HEADER: &str = include_str!("../c/dw_station.h");
/// The station's end in C99: the source.
pub const C_SOURCE: &str = include_str!("../c/dw_station.c");

/// Which press: it has the same three numbers each time it is told, and no other press of that station has them.
///
/// `at_ms` belongs to it: a station that has lost its memory counts its starts anew, but presses again at another moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub struct PressId {
    /// Which start of the station, counted from 1.
    pub boot: u32,
    /// Which press of that start, counted from 1; 0 in a sign for a call that no press began.
    pub seq: u32,
    /// Time since that start, ms.
    pub at_ms: u64,
}
