//! What a program takes from a plan: its pins, its values, and a digest by which both sides know that they agree.
//!
//! Values are in units in which programs count (ms, Hz, B), chosen by the field's unit and range alone, so that a name
//! keeps its unit whatever the plan says.

use crate::number;
use budgets::wiring::WiringList;
use sha2::{Digest as _, Sha256};
use station::choices::SupplyKind;
use station::fields::{FIELDS, Field, Kind};
use station::parts::{bus_key, line_name};
use station::plan::{Origin, Plan};
use station::reach::{Reach, reaching};

/// Everything that a program takes from one plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Handover {
    /// Name of the plan.
    pub plan: String,
    /// Its revision letter or word, where given.
    pub revision: String,
    /// Its file, without folders.
    pub file: String,
    /// Lines of the camera bus, then what the plan wires, in the plan's order.
    pub pins: Vec<Pin>,
    /// All burned and turned values, in the order of the field table: a program keeps its names whatever a plan tells.
    pub values: Vec<Value>,
}

/// A signal and its pin.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pin {
    /// As on the drawing or in the plan: `D0`, `SCCB clock`, `status_lamp`.
    pub name: String,
    /// Its key: `camera_bus.d0`, `pins.status_lamp`.
    pub key: String,
    /// Its pin; `None` where the wiring found none.
    pub pin: Option<u8>,
    /// Whether it is one of the eight data lines, or a stray one.
    pub is_data: bool,
    /// Whether it belongs to the camera bus.
    pub is_bus: bool,
}

/// A value of the plan as a program counts it.
#[derive(Clone, Debug, PartialEq)]
pub struct Value {
    /// Its key; a picture size has two, `camera.size.width` and `camera.size.height`.
    pub key: String,
    /// Burned or turned.
    pub reach: Reach,
    /// The value.
    pub is: Is,
    /// Whether the plan or a sheet tells it; else it is assumed.
    pub told: bool,
}

/// The value itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Is {
    /// A number in `unit`; a plain one has unit `1`.
    Number {
        /// NaN where nobody tells it and none is honest.
        value: f64,
        /// As a marked line names it.
        unit: &'static str,
    },
    /// One of some words.
    Word {
        /// All of them.
        names: &'static [&'static str],
        /// Which one.
        index: usize,
    },
}

impl Value {
    /// The key with its unit, as flat maps name it: `plate.period_us`, `rest.call_rate_per_s`.
    pub fn flat_key(&self) -> String {
        let unit = match self.is {
            Is::Number { unit, .. } if unit != "1" => unit.replace("1/", "per_").replace('/', "_per_"),
            _ => return self.key.clone(),
        };
        format!("{}_{}", self.key, unit.to_lowercase())
    }

    /// The value in words or digits.
    pub fn text(&self) -> String {
        match self.is {
            Is::Number { value, .. } => number::shortest(value),
            Is::Word { names, index } => names.get(index).copied().unwrap_or_default().into(),
        }
    }

    /// Whether it has one.
    pub fn is_known(&self) -> bool {
        !matches!(self.is, Is::Number { value, .. } if value.is_nan())
    }
}

impl Handover {
    /// What a plan hands to its board.
    pub fn of(plan: &Plan) -> Self {
        let list = WiringList::of(plan);
        let cells = plan.station.supply.kind == SupplyKind::Cells;
        let file = plan.source.name.rsplit(['/', '\\']).next().unwrap_or_default();
        Self {
            plan: list.plan.clone(),
            revision: list.revision.clone(),
            file: file.into(),
            pins: pins(plan, &list),
            // A board that no cells feed has no use for their limits; all else it may need, judged here or not.
            values: reaching()
                .filter(|(index, _)| is_told(plan, *index) || cells || FIELDS[*index].part() != "cell")
                .flat_map(|(index, reach)| values(plan, index, reach))
                .collect(),
        }
    }

    /// What is wired.
    pub fn wires(&self) -> impl Iterator<Item = &Pin> {
        self.pins.iter().filter(|pin| !pin.is_bus)
    }

    /// Digest of the burned part: pins, and burned values as far as known. The order of the plan does not matter, nor
    /// who tells a value.
    pub fn burned(&self) -> String {
        let pins = self.pins.iter().map(|pin| {
            format!("{} = {}", pin.key, pin.pin.map_or("none".into(), |number| number.to_string()))
        });
        digest(pins.chain(self.lines(Reach::Burned)).collect())
    }

    /// Known values of one reach, flat.
    fn lines(&self, reach: Reach) -> impl Iterator<Item = String> {
        let of_reach = move |value: &&Value| value.reach == reach && value.is_known();
        self.values.iter().filter(of_reach).map(|value| format!("{} = {}", value.flat_key(), value.text()))
    }
}

/// The first 8 hex digits of SHA-256 over the lines, sorted, each with its line end: short enough to be read aloud; two
/// plans out of 4,000 million share one.
pub(crate) fn digest(mut lines: Vec<String>) -> String {
    lines.sort();
    let mut hash = Sha256::new();
    for line in lines {
        hash.update(line);
        hash.update("\n");
    }
    hash.finalize().iter().take(4).map(|byte| format!("{byte:02x}")).collect()
}

/// Whether the plan or a sheet says a field.
pub(crate) fn is_told(plan: &Plan, index: usize) -> bool {
    plan.origins[index] != Origin::Assumed
}

fn pins(plan: &Plan, list: &WiringList) -> Vec<Pin> {
    let mut bus = plan.parts.board.as_ref().map(|board| board.camera_bus.clone()).unwrap_or_default();
    bus.sort_by_key(|(signal, _)| *signal);
    let lines = bus.into_iter().map(|(signal, pin)| {
        let key = bus_key(signal);
        let is_data = key.starts_with('d') && key[1..].parse::<u8>().is_ok();
        Pin {
            name: line_name(signal),
            key: format!("camera_bus.{key}"),
            pin: Some(pin),
            is_data,
            is_bus: true,
        }
    });
    let wires = list.wires.iter().map(|wire| Pin {
        name: wire.name.clone(),
        key: format!("pins.{}", wire.name),
        pin: wire.pin,
        is_data: false,
        is_bus: false,
    });
    lines.chain(wires).collect()
}

/// The values that a field stands for: a size has two.
fn values(plan: &Plan, index: usize, reach: Reach) -> Vec<Value> {
    let field = &FIELDS[index];
    let told = is_told(plan, index);
    let stored = (field.get)(&plan.station);
    let one = |key: String, is: Is| Value { key, reach, is, told };
    let path = || field.path.to_string();
    match field.kind {
        Kind::Choice { names } => vec![one(path(), Is::Word { names, index: stored as usize })],
        Kind::Size => {
            sides(field, stored).map(|(key, value)| one(key, Is::Number { value, unit: "px" })).into()
        }
        Kind::Count { .. } | Kind::YesNo => vec![one(path(), Is::Number { value: stored, unit: "1" })],
        Kind::Number { unit, high, .. } => {
            let counted = counted_in(unit, high);
            let value = quantity::convert(stored, unit, counted).unwrap_or(f64::NAN);
            vec![one(path(), Is::Number { value, unit: counted })]
        }
    }
}

/// The two keys of a size with their pixels.
pub(crate) fn sides(field: &Field, stored: f64) -> [(String, f64); 2] {
    let size: quantity::Size = station::fields::Value::from_number(stored);
    [("width", size.width_px), ("height", size.height_px)]
        .map(|(side, px)| (format!("{}.{side}", field.path), f64::from(px)))
}

/// The unit in which programs count a quantity. Microseconds where the longest fits twice into 32 bits with its sign.
fn counted_in(unit: &'static str, high: f64) -> &'static str {
    match unit {
        "s" if high <= 2.0 => "us",
        "s" => "ms",
        "V" => "mV",
        "A" => "mA",
        "m" => "mm",
        _ => unit,
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use station::sheets::Library;
    use station::text::Source;

    /// A plan that ships.
    pub(crate) fn shipped(name: &str) -> Plan {
        let path = format!("{}/../../plans/{name}.toml", env!("CARGO_MANIFEST_DIR"));
        read(&std::fs::read_to_string(path).expect("it ships"))
    }

    pub(crate) fn read(text: &str) -> Plan {
        Plan::read(Source::new("plans/gate.toml", text), &Library::shipped())
            .expect("the test's plan is right")
    }

    /// FIPS 180-4, the one-block example: SHA-256("abc") begins with ba7816bf. Ours has a line end behind it, so the
    /// published value cannot be met by a line; what is hashed is told in docs/export.md and computed with `sha256sum`:
    /// `printf 'a = 1\nb = 2\n' | sha256sum`.
    #[test]
    fn a_digest_can_be_redone_by_hand() {
        assert_eq!(digest(vec!["b = 2".into(), "a = 1".into()]), "fe9c2dad");
    }

    #[test]
    fn the_burned_digest_moves_with_what_is_burned_and_with_nothing_else() {
        let base =
            "[board]\nsheet = \"wren\"\n[camera]\nsize = \"800x600\"\n[pins]\nplate = 13\ntamper = 14\n";
        let burned = |text: &str| Handover::of(&read(text)).burned();
        let was = burned(base);
        for same in [
            base.replace("plate = 13\ntamper = 14", "tamper = 14\nplate = 13"),
            base.replace("[camera]", "[camera]\nquality = 20\nheight = \"1.2 m\"\nbuffers = 1"),
            format!("name = \"x\"\nrevision = \"C\"\n{base}"),
        ] {
            assert_eq!(burned(&same), was, "{same}");
        }
        for other in [
            base.replace("13", "33"),
            base.replace("800x600", "640x480"),
            base.replace("[camera]", "[camera]\nbuffers = 2"),
            base.replace("wren", "heron"),
        ] {
            assert_ne!(burned(&other), was, "{other}");
        }
    }

    #[test]
    fn programs_count_in_units_that_keep_32_bits() {
        for (index, _) in reaching() {
            if let Kind::Number { unit, high, .. } = FIELDS[index].kind {
                let most = quantity::convert(high, unit, counted_in(unit, high)).expect("the same kind");
                assert!(most <= 2_147_483_647.0, "{}: {most}", FIELDS[index].path);
            }
        }
    }
}
