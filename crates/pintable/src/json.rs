//! Pin tables in JSON: an object of names and numbers, an array of objects, either nested.
//!
//! serde_json judges the text (syntax, with line and column; depth by a limit of our own below its recursion limit);
//! a small walker then finds the places, which serde_json does not keep.

use std::fmt;
use std::ops::Range;

use serde::de::{DeserializeSeed, Deserializer, Error, MapAccess, SeqAccess, Visitor};

use crate::gather::{Gathered, List, ROOT};
use crate::pin::{self, NotAPin, Pinned, Stands};
use crate::place::Places;
use crate::problem::Problem;
use crate::reading::Why;
use crate::{loose, signal};

/// Pin tables nest three or four deep.
const DEPTH_MAX: usize = 32;
const NODES_MAX: usize = 200_000;

const NAME_KEYS: [&str; 8] = ["name", "signal", "function", "label", "role", "line", "pin_name", "pinname"];
const PIN_KEYS: [&str; 7] = ["gpio", "gpio_num", "io", "pin", "pin_number", "number", "value"];

/// False where the text is no JSON after all.
pub(crate) fn gather(text: &str, found: &mut Gathered<'_>) -> bool {
    let lead = text.len() - text.trim_start_matches(['\u{feff}', ' ', '\n', '\r', '\t']).len();
    match checked(&text[lead..]) {
        Ok(()) => {}
        Err(error) => {
            let line = error.line() + text[..lead].matches('\n').count();
            if error.is_data() {
                found.problems.push(Problem::TooDeep { line: line.max(1) });
                return true;
            }
            let says = error.to_string();
            let says = says.split(" at line ").next().unwrap_or_default().to_string();
            found.problems.push(Problem::NotJson { says, line: line.max(1) });
            return false;
        }
    }
    let mut walker = Walker { text, at: lead, nodes: 0 };
    match walker.node() {
        Some(node) => object_or_array(&node, text, found, ROOT, ""),
        None => found.problems.push(Problem::TooMuch { line: Places::new(text).line(walker.at) }),
    }
    true
}

/// True where the whole text is JSON of permitted depth.
pub(crate) fn is_json(text: &str) -> bool {
    checked(text).is_ok()
}

fn checked(text: &str) -> Result<(), serde_json::Error> {
    let mut deserializer = serde_json::Deserializer::from_str(text);
    Depth(DEPTH_MAX).deserialize(&mut deserializer)?;
    deserializer.end()
}

/// Accepts any value and keeps nothing of it, down to a depth.
#[derive(Clone, Copy)]
struct Depth(usize);

impl Depth {
    fn below<E: Error>(self) -> Result<Depth, E> {
        self.0.checked_sub(1).map(Depth).ok_or_else(|| E::custom("nested too deeply"))
    }
}

impl<'de> DeserializeSeed<'de> for Depth {
    type Value = ();
    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<(), D::Error> {
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Depth {
    type Value = ();
    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("JSON")
    }
    fn visit_bool<E>(self, _: bool) -> Result<(), E> {
        Ok(())
    }
    fn visit_i64<E>(self, _: i64) -> Result<(), E> {
        Ok(())
    }
    fn visit_u64<E>(self, _: u64) -> Result<(), E> {
        Ok(())
    }
    fn visit_f64<E>(self, _: f64) -> Result<(), E> {
        Ok(())
    }
    fn visit_str<E>(self, _: &str) -> Result<(), E> {
        Ok(())
    }
    fn visit_unit<E>(self) -> Result<(), E> {
        Ok(())
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<(), A::Error> {
        while items.next_element_seed(self.below()?)?.is_some() {}
        Ok(())
    }
    fn visit_map<A: MapAccess<'de>>(self, mut members: A) -> Result<(), A::Error> {
        while members.next_key_seed(self.below()?)?.is_some() {
            members.next_value_seed(self.below()?)?;
        }
        Ok(())
    }
}

enum Node {
    Object(Vec<(String, Node)>),
    Array(Vec<Node>, usize),
    Scalar(String, Range<usize>),
}

/// Walks text that serde_json has accepted.
struct Walker<'t> {
    text: &'t str,
    at: usize,
    nodes: usize,
}

impl Walker<'_> {
    /// The next value; `None` where there are too many.
    fn node(&mut self) -> Option<Node> {
        self.nodes += 1;
        if self.nodes > NODES_MAX {
            return None;
        }
        self.skip_blanks();
        let start = self.at;
        match self.peek()? {
            b'{' => {
                self.at += 1;
                let mut members = Vec::new();
                while self.more(b'}')? {
                    let key = self.scalar()?.0;
                    self.skip_blanks();
                    self.at += 1;
                    members.push((key, self.node()?));
                }
                Some(Node::Object(members))
            }
            b'[' => {
                self.at += 1;
                let mut items = Vec::new();
                while self.more(b']')? {
                    items.push(self.node()?);
                }
                Some(Node::Array(items, start))
            }
            _ => self.scalar().map(|(text, at)| Node::Scalar(text, at)),
        }
    }

    /// True before a further member; past the bracket otherwise.
    fn more(&mut self, close: u8) -> Option<bool> {
        self.skip_blanks();
        if self.peek()? == b',' {
            self.at += 1;
            self.skip_blanks();
        }
        let more = self.peek()? != close;
        self.at += usize::from(!more);
        Some(more)
    }

    fn scalar(&mut self) -> Option<(String, Range<usize>)> {
        self.skip_blanks();
        let start = self.at;
        let bytes = self.text.as_bytes();
        if self.peek()? == b'"' {
            self.at += 1;
            while self.peek()? != b'"' {
                self.at += if self.peek()? == b'\\' { 2 } else { 1 };
            }
            self.at += 1;
            let text = serde_json::from_str(self.text.get(start..self.at)?).ok()?;
            return Some((text, start..self.at));
        }
        while self.at < bytes.len()
            && !matches!(bytes[self.at], b',' | b'}' | b']' | b':')
            && !bytes[self.at].is_ascii_whitespace()
        {
            self.at += 1;
        }
        Some((self.text.get(start..self.at)?.to_string(), start..self.at))
    }

    fn peek(&self) -> Option<u8> {
        self.text.as_bytes().get(self.at).copied()
    }

    fn skip_blanks(&mut self) {
        while self.peek().is_some_and(|b| b.is_ascii_whitespace()) {
            self.at += 1;
        }
    }
}

/// Reads one level; `around` is the key it stands under.
fn object_or_array(node: &Node, text: &str, found: &mut Gathered<'_>, section: usize, around: &str) {
    match node {
        Node::Object(members) => {
            if let Some((name, value, at)) = record(members) {
                return found.judge(name, value, at, true, section);
            }
            for (key, value) in members {
                member(key, value, text, found, section, around);
            }
        }
        Node::Array(items, at) => {
            if let [Node::Scalar(name, _), Node::Scalar(value, value_at)] = &items[..] {
                return found.judge(
                    name,
                    pin::parse(value, Stands::Anywhere),
                    value_at.clone(),
                    false,
                    section,
                );
            }
            let all_records = items.iter().all(|i| matches!(i, Node::Object(m) if record(m).is_some()));
            for (index, item) in items.iter().enumerate() {
                match item {
                    Node::Scalar(..) => return found.skip(*at, Why::NoPair),
                    // Boards in an array are told apart by a name among their own members.
                    Node::Object(members) if !all_records => {
                        let own_name = members.iter().find_map(|(k, v)| match v {
                            Node::Scalar(text, _)
                                if ["name", "board", "title", "id"].contains(&&*k.to_ascii_lowercase()) =>
                            {
                                Some(text.clone())
                            }
                            _ => None,
                        });
                        let name = own_name.unwrap_or_else(|| format!("{around}[{index}]"));
                        let own = found.section(&name, section, *at);
                        object_or_array(item, text, found, own, around);
                    }
                    _ => object_or_array(item, text, found, section, around),
                }
            }
        }
        Node::Scalar(_, at) => found.skip(at.start, Why::NoPair),
    }
}

fn member(key: &str, value: &Node, text: &str, found: &mut Gathered<'_>, section: usize, around: &str) {
    let foreign = signal::is_foreign(around);
    let full = if foreign { format!("{around} {key}") } else { key.to_string() };
    match value {
        Node::Scalar(text, at) => {
            // "4": "D0", the other way round.
            if let (Ok(pin), Some(named)) = (pin::parse(key, Stands::Anywhere), found.named(text)) {
                return found.pair(named, text, pin, at.clone(), section);
            }
            // Titles and notes are part of any published file; only what looks like a number is worth a word.
            let value = pin::parse(text, Stands::Anywhere);
            if value.is_ok() || found.named(&full).is_some() {
                found.judge(&full, value, at.clone(), foreign, section);
            }
        }
        Node::Object(members) => {
            if let Some((value, at)) = pin_member(members).filter(|_| name_member(members).is_none()) {
                return found.judge(&full, value, at, true, section);
            }
            let own = found.section(key, section, first_place(value));
            object_or_array(value, text, found, own, key);
        }
        Node::Array(items, at) => {
            let pins: Option<Vec<(Pinned, Range<usize>)>> = items
                .iter()
                .map(|i| match i {
                    Node::Scalar(text, at) => {
                        pin::parse(text, Stands::Anywhere).ok().map(|p| (p, at.clone()))
                    }
                    _ => None,
                })
                .collect();
            match (loose::list_order(found.named(&full).as_ref()), pins) {
                (Some(order), Some(mut items)) if items.len() > 1 => {
                    items.truncate(crate::gather::LIST_ITEMS_MAX);
                    found.lists.push(List { name: full, order, items, section });
                }
                (_, Some(_)) => found.skip(*at, Why::UnknownName(crate::place::clip(&full))),
                (_, None) => object_or_array(value, text, found, section, key),
            }
        }
    }
}

/// An object that is one row: a name and a pin among its members.
fn record(members: &[(String, Node)]) -> Option<(&str, Result<Pinned, NotAPin>, Range<usize>)> {
    let name = name_member(members)?;
    let (value, at) = pin_member(members)?;
    Some((name, value, at))
}

fn name_member(members: &[(String, Node)]) -> Option<&str> {
    NAME_KEYS.iter().find_map(|wanted| match scalar_under(members, wanted) {
        Some((text, _)) if text.chars().any(char::is_alphabetic) => Some(text),
        _ => None,
    })
}

fn pin_member(members: &[(String, Node)]) -> Option<(Result<Pinned, NotAPin>, Range<usize>)> {
    PIN_KEYS.iter().find_map(|wanted| {
        let (text, at) = scalar_under(members, wanted)?;
        Some((pin::parse(text, Stands::InPinColumn), at.clone()))
    })
}

fn scalar_under<'n>(members: &'n [(String, Node)], wanted: &str) -> Option<(&'n str, &'n Range<usize>)> {
    members.iter().find_map(|(key, value)| match value {
        Node::Scalar(text, at) if key.eq_ignore_ascii_case(wanted) => Some((text.as_str(), at)),
        _ => None,
    })
}

fn first_place(node: &Node) -> usize {
    match node {
        Node::Scalar(_, at) => at.start,
        Node::Array(_, at) => *at,
        Node::Object(members) => members.first().map_or(0, |(_, n)| first_place(n)),
    }
}
