//! What every format's reader hands on: name–number pairs with their places, not yet judged.
//!
//! A section is whatever a text uses to keep things apart: an `#if` branch, a JSON object, a table, a column.
//! Whether sections are several boards or parts of one is decided later, by whether they repeat a signal.

use std::ops::Range;

use crate::pin::{NotAPin, PinNumber, Pinned};
use crate::problem::Problem;
use crate::reading::Why;
use crate::signal::{self, Named, Order, Signal, Strength};

/// Pairs, skipped lines, sections and list items that are kept; far above any board, low enough to bound memory.
pub(crate) const PAIRS_MAX: usize = 2_000;
pub(crate) const SKIPPED_MAX: usize = 1_000;
pub(crate) const SECTIONS_MAX: usize = 64;
pub(crate) const LIST_ITEMS_MAX: usize = 64;

/// The whole text; every other section hangs below it.
pub(crate) const ROOT: usize = 0;

pub(crate) struct Pair {
    pub(crate) named: Named,
    pub(crate) name: String,
    pub(crate) pin: Pinned,
    pub(crate) at: Range<usize>,
    pub(crate) section: usize,
}

pub(crate) struct List {
    pub(crate) name: String,
    pub(crate) order: Order,
    pub(crate) items: Vec<(Pinned, Range<usize>)>,
    pub(crate) section: usize,
}

pub(crate) struct Section {
    pub(crate) name: String,
    pub(crate) parent: usize,
    pub(crate) at: usize,
}

pub(crate) struct SkippedAt {
    pub(crate) at: usize,
    pub(crate) why: Why,
}

/// The gathered pairs of one text, and the names beyond the trade's that the caller wants seen.
pub(crate) struct Gathered<'a> {
    pub(crate) extra: &'a [String],
    pub(crate) pairs: Vec<Pair>,
    pub(crate) lists: Vec<List>,
    pub(crate) sections: Vec<Section>,
    pub(crate) skipped: Vec<SkippedAt>,
    pub(crate) skipped_more: usize,
    pub(crate) problems: Vec<Problem>,
    /// Branches inside branches inherit (C conditions); otherwise one level of sections tells boards apart.
    pub(crate) inherits: bool,
}

impl<'a> Gathered<'a> {
    /// `extra`: cores of further names (see [`signal::core`]).
    pub(crate) fn new(extra: &'a [String]) -> Self {
        let root = Section { name: String::new(), parent: ROOT, at: 0 };
        Gathered {
            extra,
            pairs: Vec::new(),
            lists: Vec::new(),
            sections: vec![root],
            skipped: Vec::new(),
            skipped_more: 0,
            problems: Vec::new(),
            inherits: false,
        }
    }

    pub(crate) fn is_full(&self) -> bool {
        self.pairs.len() + self.lists.len() >= PAIRS_MAX
    }

    /// What a name means, the caller's further names included.
    pub(crate) fn named(&self, name: &str) -> Option<Named> {
        if name.len() > signal::NAME_BYTES_MAX {
            return None;
        }
        let wanted = || self.extra.contains(&signal::core(name));
        signal::named(name).or_else(|| wanted().then(|| other(name)))
    }

    pub(crate) fn pair(&mut self, named: Named, name: &str, pin: Pinned, at: Range<usize>, section: usize) {
        if !self.is_full() {
            self.pairs.push(Pair { named, name: name.trim().into(), pin, at, section });
        }
    }

    /// A name and a value side by side in a structured text: a pair, or a reason why not.
    ///
    /// `certain`: the value stands where pins stand, so that an unknown name is a signal too.
    pub(crate) fn judge(
        &mut self,
        name: &str,
        value: Result<Pinned, NotAPin>,
        at: Range<usize>,
        certain: bool,
        section: usize,
    ) {
        let unknown_is_signal = certain || signal::says_pin(name);
        match (self.named(name), value) {
            (Some(Named::List(_)), _) => self.skip(at.start, Why::ListOfOne),
            (Some(named), Ok(pin)) => self.pair(named, name, pin, at, section),
            (None, _) if signal::is_supply(name) => {}
            (None, Ok(pin)) if unknown_is_signal && name.chars().any(char::is_alphabetic) => {
                self.pair(other(name), name, pin, at, section);
            }
            (None, Ok(_)) => self.skip(at.start, Why::UnknownName(crate::place::clip(name))),
            (_, Err(why)) => self.skip(at.start, Why::Value(why)),
        }
    }

    pub(crate) fn skip(&mut self, at: usize, why: Why) {
        if self.skipped.len() < SKIPPED_MAX {
            self.skipped.push(SkippedAt { at, why });
        } else {
            self.skipped_more += 1;
        }
    }

    /// The section of this name below `parent`, made where it is new; the parent itself once there are too many.
    pub(crate) fn section(&mut self, name: &str, parent: usize, at: usize) -> usize {
        let name = crate::place::clip(name.trim());
        if let Some(known) = self.sections.iter().skip(1).position(|s| s.parent == parent && s.name == name) {
            return known + 1;
        }
        if self.sections.len() >= SECTIONS_MAX {
            return parent;
        }
        self.sections.push(Section { name, parent, at });
        self.sections.len() - 1
    }

    /// A section's path from below the root down to itself.
    pub(crate) fn path(&self, mut section: usize) -> Vec<usize> {
        let mut path = Vec::new();
        while section != ROOT {
            path.push(section);
            section = self.sections[section].parent;
        }
        path.reverse();
        path
    }
}

/// A name that no table knows.
pub(crate) fn other(name: &str) -> Named {
    Named::Plain(Signal::Other(crate::place::clip(name.trim())), Strength::Strong)
}

/// The number itself, for messages.
pub(crate) fn shown(pin: Option<PinNumber>) -> String {
    pin.map_or_else(|| "not connected".into(), |p| p.to_string())
}
