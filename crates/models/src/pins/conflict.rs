//! Why there is no wiring: the fewest facts that cannot stand together, and what to give up.
//!
//! A conflict is deletion-minimal: without any one of its facts, the others can stand. It starts from the Hall
//! violator that the matching found (more demands than pins that any of them may have), so few facts have to be tried.
//! Relaxations are the hitting sets of conflicts, smallest first (Reiter, "A theory of diagnosis from first
//! principles", Artificial Intelligence 32, 1987).

use super::board::Taken;
use super::case::Case;
use super::matching::{FREE_OF_COST, Matching, bits};
use super::search::{Found, NODES_MAX, search};

/// A need of a demand, one by one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Need {
    /// To be read.
    Input,
    /// To be driven.
    Output,
    /// To be measured.
    Analogue,
    /// To be measured while the radio is on.
    AnalogueWithRadio,
    /// To be touched.
    Touch,
    /// To be dimmed, or to sound.
    Pwm,
    /// To end deep sleep.
    Wake,
    /// To hold its level in deep sleep.
    Hold,
    /// To be off until the program runs.
    QuietAtBoot,
    /// An internal pull.
    Pull,
}

/// A fact that can take part in a conflict. What a pin is able to do is not among them: it cannot be given up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fact {
    /// The demand of this index is to be served.
    Demand(usize),
    /// The user has fixed the pin of this demand.
    Fixed(usize),
    /// The demand has this need.
    Need(usize, Need),
    /// With what this demand hangs on this strap, the board does not start dry and wet.
    Strap {
        /// Index of the demand.
        demand: usize,
        /// Pin number.
        pin: u8,
    },
    /// A part holds its pins.
    Taken(Taken),
    /// The camera bus holds its pins.
    CameraBus,
    /// Pins that come out nowhere.
    Buried,
    /// A PWM timer runs at one rate.
    PwmTimers,
    /// The chip has so many PWM channels.
    PwmChannels,
    /// Wake sources serve few pins, or exclude each other.
    WakeTable,
    /// A touch channel serves one pin at a time.
    TouchChannels,
}

impl Fact {
    /// Whether somebody who builds a station can change it without another chip.
    pub fn can_change(self) -> bool {
        match self {
            Fact::Demand(_) | Fact::Fixed(_) | Fact::Need(..) | Fact::Strap { .. } => true,
            Fact::Taken(by) => by != Taken::Flash,
            Fact::CameraBus
            | Fact::Buried
            | Fact::PwmTimers
            | Fact::PwmChannels
            | Fact::WakeTable
            | Fact::TouchChannels => false,
        }
    }

    /// The demand that it belongs to.
    pub fn demand(self) -> Option<usize> {
        match self {
            Fact::Demand(d) | Fact::Fixed(d) | Fact::Need(d, _) | Fact::Strap { demand: d, .. } => Some(d),
            _ => None,
        }
    }
}

/// Facts that cannot stand together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Conflict {
    /// The facts: demands first, then what they need, then what chip and board do.
    pub facts: Vec<Fact>,
    /// By demand of the conflict: the pins that it may have under these facts alone.
    pub pins: Vec<(usize, Vec<u8>)>,
    /// Whether it is proven that without any one of the facts the others can stand.
    pub minimal: bool,
}

/// A smallest change that makes a wiring possible.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Relaxation {
    /// The facts given up.
    pub facts: Vec<Fact>,
    /// The best wiring then, by demand; a demand that is given up has no pin.
    pub pins: Vec<Option<u8>>,
    /// Its cost.
    pub cost: u32,
}

/// Most facts that a relaxation gives up.
const GIVEN_UP_MAX: usize = 3;

enum Verdict {
    Possible,
    /// With the rows that cannot be matched, when it is they.
    Impossible(Option<Vec<usize>>),
    Unknown,
}

impl Case<'_> {
    /// The facts that cannot stand together, or `None` when there is a wiring or the search gave up.
    pub fn conflict(&self) -> Option<Conflict> {
        let (active, minimal) = self.conflict_within(vec![true; self.facts.len()])?;
        let facts = (0..self.facts.len()).filter(|&f| active[f]).map(|f| self.facts[f]).collect();
        let rows = self.rows(Some(&active));
        let numbers = |set: u64| bits(set).map(|pin| self.layout.numbers[pin]).collect();
        let pins = rows.demands.iter().copied().zip(rows.allowed.iter().map(|&set| numbers(set))).collect();
        Some(Conflict { facts, pins, minimal })
    }

    /// Narrow `active` to a minimal conflict. The second tells whether every step was proven.
    fn conflict_within(&self, mut active: Vec<bool>) -> Option<(Vec<bool>, bool)> {
        let Verdict::Impossible(crowd) = self.verdict(&active) else { return None };
        self.keep_crowd(&mut active, crowd);
        let mut minimal = true;
        let demands = self.demands.len();
        // Demands go first, later ones before earlier ones; then facts of chip and board before those of demands.
        for fact in (0..demands).rev().chain((demands..self.facts.len()).rev()) {
            if !active[fact] {
                continue;
            }
            active[fact] = false;
            match self.verdict(&active) {
                Verdict::Impossible(crowd) => self.keep_crowd(&mut active, crowd),
                Verdict::Possible => active[fact] = true,
                Verdict::Unknown => {
                    active[fact] = true;
                    minimal = false;
                }
            }
        }
        Some((active, minimal))
    }

    /// Only the demands that were searched are needed for the contradiction; nor is a fact of a dropped demand.
    fn keep_crowd(&self, active: &mut [bool], crowd: Option<Vec<usize>>) {
        if let Some(crowd) = crowd {
            for (d, active) in active[..self.demands.len()].iter_mut().enumerate() {
                *active &= crowd.contains(&d);
            }
        }
        for f in 0..self.facts.len() {
            if self.facts[f].demand().is_some_and(|d| !active[d]) {
                active[f] = false;
            }
        }
    }

    fn verdict(&self, active: &[bool]) -> Verdict {
        let rows = self.rows(Some(active));
        let root = match Matching::new(&rows.allowed, self.layout.numbers.len(), FREE_OF_COST) {
            Ok(root) => root,
            Err(crowd) => {
                return Verdict::Impossible(Some(bits(crowd.rows).map(|row| rows.demands[row]).collect()));
            }
        };
        match search(root, FREE_OF_COST, &self.sides(&rows, Some(active), 0), NODES_MAX) {
            Found::Best { .. } | Found::Good { .. } => Verdict::Possible,
            Found::Impossible => Verdict::Impossible(None),
            Found::GaveUp => Verdict::Unknown,
        }
    }

    /// The smallest changes that make a wiring possible, the cheapest wiring first: all single ones; if there is none,
    /// all pairs; if there is none, all triples. Empty when there is a wiring already, or none of these helps.
    ///
    /// Facts of the chip ([`Fact::can_change`]) are never given up.
    pub fn relaxations(&self) -> Vec<Relaxation> {
        let Some((conflict, _)) = self.conflict_within(vec![true; self.facts.len()]) else {
            return Vec::new();
        };
        let freed = self.freed_by_one();
        if self.rows(None).unmatched().len() > freed.iter().take(GIVEN_UP_MAX).sum() {
            return Vec::new();
        }
        // Sets of facts given up so far, each with a conflict that is left.
        let mut open: Vec<(Vec<usize>, Vec<bool>)> = vec![(Vec::new(), conflict)];
        for left in (0..GIVEN_UP_MAX).rev() {
            let mut found = Vec::new();
            let mut next: Vec<(Vec<usize>, Vec<bool>)> = Vec::new();
            let mut tried: Vec<Vec<usize>> = Vec::new();
            for (given_up, conflict) in &open {
                for fact in (0..self.facts.len()).filter(|&f| conflict[f] && self.facts[f].can_change()) {
                    let mut more = given_up.clone();
                    more.push(fact);
                    more.sort_unstable();
                    if tried.contains(&more) {
                        continue;
                    }
                    tried.push(more.clone());
                    let active: Vec<bool> = (0..self.facts.len()).map(|f| !more.contains(&f)).collect();
                    // Whatever else is given up, too many demands are left for the pins there are.
                    if self.rows(Some(&active)).unmatched().len() > freed.iter().take(left).sum() {
                        continue;
                    }
                    if let Some((pins, cost)) = self.solve_without(&active) {
                        let facts = more.iter().map(|&f| self.facts[f]).collect();
                        found.push(Relaxation { facts, pins, cost });
                    } else if let Some((left, _)) = self.conflict_within(active) {
                        next.push((more, left));
                    }
                }
            }
            if !found.is_empty() {
                found.sort_by(|a, b| a.cost.cmp(&b.cost).then_with(|| a.facts.cmp(&b.facts)));
                return found;
            }
            open = next;
        }
        Vec::new()
    }

    /// How many more demands can find a pin when one fact is given up, at most, the greatest first: as many as a part
    /// holds pins; one for every other fact, which concerns one demand.
    fn freed_by_one(&self) -> Vec<usize> {
        let held = self.layout.held.iter().filter(|(by, _)| Fact::Taken(*by).can_change());
        let mut freed: Vec<usize> = held.map(|(_, pins)| pins.count_ones() as usize).collect();
        freed.extend([1; GIVEN_UP_MAX]);
        freed.sort_unstable_by(|a, b| b.cmp(a));
        freed
    }
}
