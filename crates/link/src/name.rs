//! Names that travel in topics and messages: short, and harmless wherever they are printed.

use serde::{Deserialize, Serialize};
use std::fmt;

/// A text that is no such name.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("\"{found}\" is no {what}: {wanted}")]
pub struct WrongName {
    /// What was found, as far as it can be shown.
    pub found: String,
    /// What it was to be.
    pub what: &'static str,
    /// What one looks like.
    pub wanted: &'static str,
}

/// A text of somebody else's as an error may show it: without what would move a terminal's cursor or begin a line of a log, and
/// from a long one the beginning and the end.
pub(crate) fn shown(text: &str) -> String {
    const HEAD: usize = 100;
    const TAIL: usize = 60;
    // Marks that turn the direction of writing round are no control characters, and as bad.
    let harmless = |c: char| !c.is_control() && !('\u{200b}'..='\u{206f}').contains(&c) && c != '\u{feff}';
    let plain: Vec<char> = text.chars().map(|c| if harmless(c) { c } else { '.' }).collect();
    match plain.len() {
        ..=170 => plain.into_iter().collect(),
        all => plain[..HEAD].iter().chain(&[' ', '…', ' ']).chain(&plain[all - TAIL..]).collect(),
    }
}

macro_rules! name {
    ($(#[$meta:meta])* $Name:ident, $what:literal, $wanted:literal, $is:expr) => {
        $(#[$meta])*
        #[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
        #[serde(try_from = "String")]
        pub struct $Name(String);

        impl $Name {
            /// The name, if the text is one.
            ///
            /// # Errors
            ///
            /// Says what was found and what one looks like.
            pub fn new(text: impl Into<String>) -> Result<Self, WrongName> {
                let text = text.into();
                let is: fn(&str) -> bool = $is;
                if is(&text) {
                    return Ok(Self(text));
                }
                Err(WrongName { found: shown(&text), what: $what, wanted: $wanted })
            }

            /// The text.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl TryFrom<String> for $Name {
            type Error = WrongName;
            fn try_from(text: String) -> Result<Self, WrongName> {
                Self::new(text)
            }
        }

        impl fmt::Display for $Name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }
    };
}

name!(
    /// Name of a station, as its topics have it.
    ///
    /// ```
    /// use link::Station;
    /// assert!(Station::new("kiln-yard-gate").is_ok());
    /// assert!(Station::new("+").is_err() && Station::new("Gate").is_err() && Station::new("-a").is_err());
    /// ```
    Station,
    "station's name",
    "1 to 32 of a to z, 0 to 9 and -, no - at either end",
    |text| {
        (1..=32).contains(&text.len())
            && text.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-')
            && !text.starts_with('-')
            && !text.ends_with('-')
    }
);

impl Station {
    /// The name that a title suggests: its letters and digits, the rest as strokes; `None` where nothing is left.
    ///
    /// ```
    /// use link::Station;
    /// assert_eq!(Station::suggested("Kiln Yard, courtyard gate").map(|name| name.to_string()).as_deref(), Some("kiln-yard-courtyard-gate"));
    /// assert_eq!(Station::suggested("—"), None);
    /// ```
    pub fn suggested(title: &str) -> Option<Self> {
        let mut name = String::new();
        for c in title.chars().flat_map(char::to_lowercase) {
            if c.is_ascii_lowercase() || c.is_ascii_digit() {
                name.push(c);
            } else if !name.is_empty() && !name.ends_with('-') {
                name.push('-');
            }
        }
        name.truncate(32);
        Self::new(name.trim_end_matches('-')).ok()
    }
}

name!(
    /// What a thing asked for is called, so that its answer is known.
    Id,
    "id",
    "1 to 24 letters, digits, - and _",
    |text| is_short(text, 24)
);

name!(
    /// Which settings: the same settings have the same revision.
    Revision,
    "revision",
    "1 to 8 letters, digits, - and _; eight hex digits as exported",
    |text| is_short(text, 8)
);

fn is_short(text: &str, most: usize) -> bool {
    (1..=most).contains(&text.len())
        && text.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-' || b == b'_')
}
