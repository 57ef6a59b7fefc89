//! The field table: every scalar a plan can state, said once.
//!
//! From each line of the table come the struct member, the reader, the range check, the assumption, the setter
//! that a draw or a remedy uses, the JSON Schema, `doorwright explain` and the form of the page. The **path**
//! (`camera.height`) is the one currency: spreads, drivers, remedies, assumptions and places all carry it.
//!
//! Numbers are SI inside (`f64`, unit in the member's name); what the plan did not say and nobody can honestly
//! assume is NaN, and a figure that needs it is `unknown`. Structures that are no scalars (pins, curves) live in
//! [`crate::parts`].

mod table;

pub use table::*;

use quantity::Size;

/// What a remedy may do with a field.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Nature {
    /// The maker decides it: a remedy may change it.
    Choice,
    /// A property of the part: only another part changes it.
    Fact,
    /// A property of the place and its people.
    Site,
    /// What the maker wants: a remedy never lowers a wish.
    Wish,
}

/// How a field is written and which values it may take.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Kind {
    /// A quantity; limits are in `unit`, both allowed.
    Number {
        /// Unit symbol that [`quantity::parse`] understands; SI.
        unit: &'static str,
        /// Least value.
        low: f64,
        /// Greatest value.
        high: f64,
    },
    /// A whole number.
    Count {
        /// Least value.
        low: u32,
        /// Greatest value.
        high: u32,
    },
    /// `true` or `false`.
    YesNo,
    /// One of some words.
    Choice {
        /// The words, in the order of the enum.
        names: &'static [&'static str],
    },
    /// A picture size such as `800x600`.
    Size,
}

/// One line of the table.
pub struct Field {
    /// `part.key`, as in the plan.
    pub path: &'static str,
    /// Form and range.
    pub kind: Kind,
    /// Who may change it.
    pub nature: Nature,
    /// Text of the value used when neither plan nor sheet says one; empty where none is honest.
    pub assumed: &'static str,
    /// Where the assumed value comes from.
    pub source: &'static str,
    /// What the field means, one sentence.
    pub help: &'static str,
    /// For the few facts worth asking first: how the maker finds it out.
    pub ask: &'static str,
    /// Why a spread of it is refused, for what is computed once for all draws; empty where it may be spread.
    pub exact: &'static str,
    /// Reads the field as a number (choices by their index, sizes packed).
    pub get: fn(&Station) -> f64,
    /// Writes the field from such a number.
    pub set: fn(&mut Station, f64),
}

impl Field {
    /// The part's name, the first half of the path.
    pub fn part(&self) -> &'static str {
        self.path.split_once('.').map_or(self.path, |(part, _)| part)
    }
    /// The key within the part.
    pub fn key(&self) -> &'static str {
        self.path.split_once('.').map_or("", |(_, key)| key)
    }
    /// Limits of a number, as [`quantity`] wants them; unbounded for other kinds.
    pub fn range(&self) -> (f64, f64) {
        match self.kind {
            Kind::Number { low, high, .. } => (low, high),
            Kind::Count { low, high } => (f64::from(low), f64::from(high)),
            Kind::YesNo => (0.0, 1.0),
            Kind::Choice { names } => (0.0, names.len() as f64 - 1.0),
            Kind::Size => (0.0, f64::MAX),
        }
    }
    /// The value as a plan would write it.
    pub fn show(&self, number: f64) -> String {
        match self.kind {
            _ if number.is_nan() => "not known".into(),
            Kind::Number { unit, .. } => quantity::show(number, unit),
            Kind::Count { .. } => format!("{number}"),
            Kind::YesNo => (number != 0.0).to_string(),
            Kind::Choice { names } => (*names.get(number as usize).unwrap_or(&"?")).into(),
            Kind::Size => <Size as Value>::from_number(number).to_string(),
        }
    }
    /// The value as TOML source: quoted where it is text.
    pub fn toml(&self, number: f64) -> String {
        match self.kind {
            Kind::Count { .. } | Kind::YesNo => self.show(number),
            Kind::Number { unit, .. } => {
                format!("\"{}\"", quantity::write(&quantity::Quantity::exact(number), unit))
            }
            _ => format!("\"{}\"", self.show(number)),
        }
    }
    /// Whether draws may spread it.
    pub fn is_number(&self) -> bool {
        matches!(self.kind, Kind::Number { .. })
    }
}

/// Index of a field by its path.
pub fn index_of(path: &str) -> Option<usize> {
    FIELDS.iter().position(|field| field.path == path)
}

/// The field with this path, for paths that the program itself names.
///
/// # Panics
/// When the path is in no line of the table: that is a mistake of ours, found by the first test that runs it.
pub fn field(path: &str) -> &'static Field {
    &FIELDS[index_of(path).unwrap_or_else(|| panic!("no field `{path}`"))]
}

/// What can stand in a [`Station`] member: a number, or something that travels as one.
pub trait Value: Copy {
    /// Set by types whose form follows from the type alone.
    const KIND: Option<Kind>;
    /// As a number; NaN when not known.
    fn to_number(self) -> f64;
    /// From a number made by [`Value::to_number`].
    fn from_number(number: f64) -> Self;
}

impl Value for f64 {
    const KIND: Option<Kind> = None;
    fn to_number(self) -> f64 {
        self
    }
    fn from_number(number: f64) -> Self {
        number
    }
}

impl Value for u32 {
    const KIND: Option<Kind> = None;
    fn to_number(self) -> f64 {
        f64::from(self)
    }
    fn from_number(number: f64) -> Self {
        number as u32
    }
}

/// A count that only a recording can tell: none where nobody has.
impl Value for Option<u32> {
    const KIND: Option<Kind> = None;
    fn to_number(self) -> f64 {
        self.map_or(f64::NAN, f64::from)
    }
    fn from_number(number: f64) -> Self {
        number.is_finite().then_some(number as u32)
    }
}

impl Value for bool {
    const KIND: Option<Kind> = Some(Kind::YesNo);
    fn to_number(self) -> f64 {
        f64::from(u8::from(self))
    }
    fn from_number(number: f64) -> Self {
        number == 1.0
    }
}

impl Value for Size {
    const KIND: Option<Kind> = Some(Kind::Size);
    fn to_number(self) -> f64 {
        f64::from(self.width_px) * 65_536.0 + f64::from(self.height_px)
    }
    fn from_number(number: f64) -> Self {
        let packed = number as u32;
        Size { width_px: (packed >> 16) as u16, height_px: (packed & 0xffff) as u16 }
    }
}
