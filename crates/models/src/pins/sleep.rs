//! Deep sleep: which events wake the chip together, and what holds a line meanwhile.
//!
//! Wake sources are a table of the chip, not a flag of a pin: a source may serve few pins, and sources may exclude
//! each other.

use super::board::Pin;
use super::level::{Level, Load, Reading, Weather, reading, rest_v};

/// A source that ends deep sleep.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[repr(u8)]
pub enum WakeKind {
    /// A touch channel.
    Touch,
    /// The level of one pin, high or low as chosen.
    OneLevel,
    /// Any of several pins high.
    AnyHigh,
    /// Any of several pins low.
    AnyLow,
    /// Several pins all low at once: of use for one pin only.
    AllLow,
}

impl WakeKind {
    /// All kinds, in the order of their bits in a [`WakeSet`].
    pub const ALL: [WakeKind; 5] =
        [WakeKind::Touch, WakeKind::OneLevel, WakeKind::AnyHigh, WakeKind::AnyLow, WakeKind::AllLow];
}

/// A set of wake sources.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct WakeSet(u8);

impl WakeSet {
    /// The set of these kinds.
    pub fn of(kinds: &[WakeKind]) -> Self {
        Self(kinds.iter().fold(0, |set, &kind| set | 1 << kind as u8))
    }

    /// Whether `kind` is in it.
    pub fn has(self, kind: WakeKind) -> bool {
        self.0 >> kind as u8 & 1 == 1
    }

    /// What is in both.
    #[must_use]
    pub fn and(self, other: WakeSet) -> Self {
        Self(self.0 & other.0)
    }

    /// What is in either.
    #[must_use]
    pub fn or(self, other: WakeSet) -> Self {
        Self(self.0 | other.0)
    }

    /// Whether everything in it is also in `other`.
    pub fn within(self, other: WakeSet) -> bool {
        self.0 & !other.0 == 0
    }

    /// Whether it is empty.
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }
}

/// What a demand wakes the chip with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WakeOn {
    /// A touch.
    Touch,
    /// A high level.
    High,
    /// A low level.
    Low,
}

impl WakeOn {
    /// The sources that can see it.
    pub fn sources(self) -> WakeSet {
        WakeSet::of(match self {
            WakeOn::Touch => &[WakeKind::Touch],
            WakeOn::High => &[WakeKind::OneLevel, WakeKind::AnyHigh],
            WakeOn::Low => &[WakeKind::OneLevel, WakeKind::AnyLow, WakeKind::AllLow],
        })
    }
}

/// The wake sources of a chip.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WakeTable {
    /// Each source with the number of pins that it can watch at once.
    pub sources: Vec<(WakeKind, u8)>,
    /// Pairs that cannot be on together.
    pub excludes: Vec<(WakeKind, WakeKind)>,
}

impl WakeTable {
    /// Whether wakers, each with the sources that its pin offers it, can all be on at once.
    ///
    /// Exact: some set of sources without an excluded pair must satisfy Hall's condition, that for each group of
    /// sources no more wakers depend on the group than it has room for.
    ///
    /// # Examples
    ///
    /// A touch plate and a contact, on a chip where touch and one-level exclude each other:
    ///
    /// ```
    /// use models::pins::sleep::{WakeKind::*, WakeSet, WakeTable};
    /// let mut table = WakeTable { sources: vec![(Touch, 10), (OneLevel, 1)], excludes: vec![(Touch, OneLevel)] };
    /// let wakers = [WakeSet::of(&[Touch]), WakeSet::of(&[OneLevel])];
    /// assert!(!table.serves(&wakers));
    /// table.sources.push((AnyHigh, 8));
    /// assert!(table.serves(&[WakeSet::of(&[Touch]), WakeSet::of(&[OneLevel, AnyHigh])]));
    /// ```
    pub fn serves(&self, wakers: &[WakeSet]) -> bool {
        let room = WakeKind::ALL.map(|kind| {
            self.sources.iter().filter(|(k, _)| *k == kind).map(|(_, n)| usize::from(*n)).sum::<usize>()
        });
        let all = 1u8 << WakeKind::ALL.len();
        let compatible = |set: u8| {
            self.excludes.iter().all(|&(a, b)| a == b || set >> a as u8 & 1 == 0 || set >> b as u8 & 1 == 0)
        };
        let hall = |on: u8, group: u8| {
            let places: usize = (0..room.len()).filter(|k| group >> k & 1 == 1).map(|k| room[k]).sum();
            wakers.iter().filter(|w| w.0 & on & !group == 0).count() <= places
        };
        wakers.is_empty()
            || (0..all)
                .filter(|&on| compatible(on))
                .any(|on| (0..all).filter(|group| group & !on == 0).all(|group| hall(on, group)))
    }

    /// A smallest group of wakers that cannot be on together (indices into `wakers`), or `None` if all can.
    pub fn clash(&self, wakers: &[WakeSet]) -> Option<Vec<usize>> {
        if self.serves(wakers) {
            return None;
        }
        let mut kept: Vec<usize> = (0..wakers.len()).collect();
        for waker in 0..wakers.len() {
            let fewer: Vec<usize> = kept.iter().copied().filter(|&w| w != waker).collect();
            if !self.serves(&fewer.iter().map(|&w| wakers[w]).collect::<Vec<_>>()) {
                kept = fewer;
            }
        }
        Some(kept)
    }
}

/// What holds a line in deep sleep.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HoldVerdict {
    /// The pin: it is in the always-on domain and drives.
    ByPin,
    /// The resistors on it.
    ByPull,
    /// Nothing reliable; so it reads then.
    NotHeld(Reading),
}

/// Whether a line rests at `level` in deep sleep, and by what. Wet leakage counts.
///
/// # Examples
///
/// ```
/// use models::pins::{board::Pin, level::{Level, Load, Pull, Reading}, sleep::{HoldVerdict, sleep_hold}};
/// let pin = Pin::plain(32);
/// assert_eq!(sleep_hold(&pin, &[], Level::High, 3.3), HoldVerdict::NotHeld(Reading::Floating));
/// let pulled = Load { pulls: vec![Pull { ohm: 10e3, to_v: 3.3 }], ..Load::default() };
/// assert_eq!(sleep_hold(&pin, &[&pulled], Level::High, 3.3), HoldVerdict::ByPull);
/// ```
pub fn sleep_hold(pin: &Pin, loads: &[&Load], level: Level, vdd_v: f64) -> HoldVerdict {
    if pin.holds_in_sleep && pin.output {
        return HoldVerdict::ByPin;
    }
    let cases = [(Level::Low, Weather::Wet), (Level::Low, Weather::Dry), (Level::High, Weather::Dry)];
    let readings = cases.map(|(to, weather)| reading(rest_v(loads, None, to, weather, vdd_v), vdd_v));
    match readings.into_iter().find(|r| !r.is(level)) {
        None => HoldVerdict::ByPull,
        Some(bad) => HoldVerdict::NotHeld(bad),
    }
}

#[cfg(test)]
mod tests {
    use super::WakeKind::{AnyHigh, AnyLow, OneLevel, Touch};
    use super::*;
    use proptest::prelude::*;

    /// The same question by trying every choice of a source for every waker.
    fn serves_plainly(table: &WakeTable, wakers: &[WakeSet], chosen: &mut Vec<WakeKind>) -> bool {
        if chosen.len() == wakers.len() {
            let clash = |a: WakeKind, b: WakeKind| {
                table.excludes.iter().any(|&(x, y)| (x, y) == (a, b) || (y, x) == (a, b))
            };
            return chosen.iter().all(|&a| {
                let room = table.sources.iter().find(|s| s.0 == a).map_or(0, |s| usize::from(s.1));
                chosen.iter().filter(|&&b| b == a).count() <= room
                    && chosen.iter().all(|&b| a == b || !clash(a, b))
            });
        }
        let offered = wakers[chosen.len()];
        WakeKind::ALL.into_iter().filter(|&kind| offered.has(kind)).any(|kind| {
            chosen.push(kind);
            let served = serves_plainly(table, wakers, chosen);
            chosen.pop();
            served
        })
    }

    proptest! {
        #[test]
        fn halls_condition_agrees_with_trying_every_choice(
            room in prop::collection::vec(0u8..4, 5),
            excludes in prop::collection::vec((0usize..5, 0usize..5), 0..4),
            wakers in prop::collection::vec(0u8..32, 0..6),
        ) {
            let table = WakeTable {
                sources: WakeKind::ALL.into_iter().zip(room).collect(),
                excludes: excludes.into_iter().filter(|(a, b)| a != b)
                    .map(|(a, b)| (WakeKind::ALL[a], WakeKind::ALL[b])).collect(),
            };
            let wakers: Vec<WakeSet> = wakers.into_iter().map(WakeSet).collect();
            prop_assert_eq!(table.serves(&wakers), serves_plainly(&table, &wakers, &mut vec![]));
        }
    }

    #[test]
    fn a_clash_names_only_those_that_clash() {
        let table = WakeTable {
            sources: vec![(Touch, 10), (OneLevel, 1), (AnyHigh, 8), (AnyLow, 8)],
            excludes: vec![(AnyHigh, AnyLow)],
        };
        let wakers = [
            WakeSet::of(&[Touch]),
            WakeSet::of(&[AnyHigh]),
            WakeSet::of(&[OneLevel]),
            WakeSet::of(&[AnyLow, OneLevel]),
        ];
        assert_eq!(table.clash(&wakers), Some(vec![1, 2, 3]));
        assert_eq!(table.clash(&wakers[..3]), None);
    }
}
