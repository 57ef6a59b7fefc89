//! The wiring of a plan: a pin for every demand, or why there is none. Discrete: the same for every draw.
//!
//! When not every demand finds a pin, the fewest are left out, later ones of the plan before earlier ones, and the
//! others are wired as well as can be. A demand that was left out still has the pin that the plan fixes it to, so that
//! what is wrong with that pin can be told.
//!
//! Solved once for a plan from its nominal station. Nothing here has words for users.

use models::pins::board::Board;
use models::pins::demand::Demand;
use models::pins::{Alternative, Case, Conflict, Line, Relaxation, Solved, Unusable};
use station::choices::Rest;
use station::parts::Parts;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

/// The wiring that was chosen.
#[derive(Debug)]
pub struct Wiring {
    /// The demands as they were wired, by demand of the plan.
    pub wanted: Vec<Demand>,
    /// Pin and troubles, by demand; none where the demand found no pin.
    pub lines: Vec<Option<Line>>,
    /// Sum of the costs of all troubles, in points.
    pub cost: u32,
    /// No wiring of the same demands costs less; told where every demand has a pin.
    pub at_least: u32,
    /// Why not every demand has a pin.
    pub stop: Option<Stop>,
    others: OnceLock<Vec<Vec<Alternative>>>,
}

/// Why a board and its demands are not wired.
#[derive(Clone, Debug, PartialEq)]
pub enum Stop {
    /// There is no wiring.
    Impossible {
        /// The fewest facts that cannot stand together.
        conflict: Conflict,
        /// The smallest changes that would make one possible, the cheapest wiring first.
        relaxations: Vec<Relaxation>,
        /// No choice of pins leaves fewer demands without one.
        left_out_at_least: usize,
    },
    /// Neither found nor refuted within the search's limit.
    GaveUp,
    /// The facts contradict each other.
    Unusable(Unusable),
}

/// Wirings that several studies share: one for each board with its demands, and nothing else decides one.
///
/// Boards and demands are compared whole, so that whatever a change of the plan touches (another board, the rail, the
/// camera's clock, a pin let go, a station that no longer sleeps) is another question, and everything else is not.
#[derive(Debug, Default)]
pub struct Wirings {
    solved: Mutex<Vec<(Board, Arc<Wiring>)>>,
}

impl Wirings {
    /// The best wiring of a plan's demands on its board; `None` without a board.
    pub(super) fn of(&self, parts: &Parts, rest: Rest) -> Option<Arc<Wiring>> {
        let board = &parts.board.as_ref()?.board;
        let wanted = parts.wanted(rest);
        // A thread that panicked has left whole wirings behind or none: what is there can be used.
        let mut solved = self.solved.lock().unwrap_or_else(PoisonError::into_inner);
        let known = solved.iter().find(|(known, wiring)| known == board && wiring.wanted == wanted);
        if let Some((_, wiring)) = known {
            return Some(wiring.clone());
        }
        let wiring = Arc::new(Wiring::new(board, wanted));
        solved.push((board.clone(), wiring.clone()));
        Some(wiring)
    }

    /// How many were solved.
    pub fn count(&self) -> usize {
        self.solved.lock().unwrap_or_else(PoisonError::into_inner).len()
    }
}

impl Wiring {
    /// The best wiring of demands on a board.
    fn new(board: &Board, wanted: Vec<Demand>) -> Self {
        let mut wiring = Self {
            lines: vec![None; wanted.len()],
            wanted,
            cost: 0,
            at_least: 0,
            stop: None,
            others: OnceLock::new(),
        };
        let case = match Case::new(board, &wiring.wanted) {
            Ok(case) => case,
            Err(unusable) => {
                wiring.stop = Some(Stop::Unusable(unusable));
                return wiring;
            }
        };
        match case.solve() {
            Solved::Wired(solved) => {
                (wiring.cost, wiring.at_least) = (solved.cost, solved.at_least);
                wiring.lines = solved.lines.into_iter().map(Some).collect();
            }
            Solved::GaveUp => wiring.stop = Some(Stop::GaveUp),
            Solved::Impossible => {
                let relaxations = case.relaxations();
                wiring.stop = Some(match case.conflict().zip(case.most()) {
                    Some((conflict, most)) => {
                        (wiring.cost, wiring.at_least) = (most.cost, most.cost);
                        wiring.lines = most.lines;
                        let left_out_at_least = most.left_out_at_least;
                        Stop::Impossible { conflict, relaxations, left_out_at_least }
                    }
                    None => Stop::GaveUp,
                });
            }
        }
        wiring
    }

    /// Demands that found no pin; NaN when the search gave up or the facts contradict each other.
    pub fn unplaced(&self) -> f64 {
        match self.stop {
            Some(Stop::GaveUp | Stop::Unusable(_)) => f64::NAN,
            _ => self.lines.iter().filter(|line| line.is_none()).count() as f64,
        }
    }

    /// The pin of a demand: the one that it found, else the one that the plan fixes it to.
    pub fn pin(&self, demand: usize) -> Option<u8> {
        let found = self.lines[demand].as_ref().map(|line| line.pin);
        found.or(self.wanted[demand].fixed)
    }

    /// Demands with their pins, those left out on the pin that the plan fixes.
    pub fn pins(&self) -> impl Iterator<Item = (usize, u8)> {
        (0..self.wanted.len()).filter_map(|demand| Some((demand, self.pin(demand)?)))
    }

    /// For each demand the other pins that would have served, the cheapest first; a pin fixed by the plan is asked as
    /// if it were free. Empty where not every demand has a pin. Computed when first asked.
    pub fn others(&self, board: &Board) -> &[Vec<Alternative>] {
        self.others.get_or_init(|| {
            let none = || vec![Vec::new(); self.wanted.len()];
            if self.stop.is_some() {
                return none();
            }
            let alternatives = |demands: &[Demand]| {
                let case = Case::new(board, demands).ok()?;
                let Solved::Wired(solved) = case.solve() else { return None };
                Some(case.alternatives(&solved))
            };
            let mut others = alternatives(&self.wanted).unwrap_or_else(none);
            for demand in (0..self.wanted.len()).filter(|&demand| self.wanted[demand].fixed.is_some()) {
                others[demand] = self.others_than_fixed(board, demand).unwrap_or_default();
            }
            others
        })
    }

    /// Other pins for a demand that the plan fixes: each is asked as if the plan fixed it to that one instead.
    fn others_than_fixed(&self, board: &Board, demand: usize) -> Option<Vec<Alternative>> {
        let here = self.pin(demand)?;
        let mut wanted = self.wanted.clone();
        let mut found = Vec::new();
        for pin in board.chip.pins.iter().map(|pin| pin.number).filter(|pin| *pin != here) {
            wanted[demand].fixed = Some(pin);
            let Solved::Wired(other) = Case::new(board, &wanted).ok()?.solve() else { continue };
            let moves = other.pins().into_iter().enumerate();
            let moves = moves.filter(|(d, pin)| *d != demand && Some(*pin) != self.pin(*d)).collect();
            // A wiring with another fixed pin may also cost less than the present one.
            let extra_cost = other.cost.saturating_sub(self.cost);
            found.push(Alternative { pin, extra_cost, exact: other.proven, moves });
        }
        found.sort_by_key(|other| (other.extra_cost, other.pin));
        Some(found)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use models::pins::demand::{DemandKind, Needs};
    use models::pins::sample;
    use station::plan::Plan;
    use station::sheets::Library;
    use station::text::Source;

    fn demands(needs: &[Needs]) -> Vec<Demand> {
        needs.iter().map(|needs| Demand::new(DemandKind::Other("x".into()), needs.clone())).collect()
    }

    /// Twenty outputs on a board of fewer pins: as many stay unplaced as pins are missing, whoever is asked.
    #[test]
    fn as_many_are_left_out_as_pins_are_missing() {
        let board = sample::small_board();
        let wanted = demands(&vec![Needs { output: true, ..Needs::default() }; 30]);
        let wiring = Wiring::new(&board, wanted.clone());
        let kept: Vec<usize> = (0..wanted.len()).filter(|&d| wiring.lines[d].is_some()).collect();
        let room = Case::new(&board, &wanted[..1]).unwrap().prices()[0].iter().flatten().count();
        assert_eq!(kept.len(), room.min(30));
        assert_eq!(kept, (0..kept.len()).collect::<Vec<_>>(), "the last of the plan give way");
    }

    /// The same question is answered once, whoever asks; another pin, rail or need is another question.
    #[test]
    fn a_wiring_is_solved_once_for_equal_boards_and_demands() {
        let text = "[board]\nsheet = \"wren\"\n[rest]\nmode = \"sleep\"\n[pins]\nplate = \"any\"\n";
        let read = |text: &str| {
            Plan::read(Source::new("gate.toml", text), &Library::shipped()).expect("the plan can be read")
        };
        let wirings = Wirings::default();
        let ask = |text: &str| {
            let plan = read(text);
            let wiring = wirings.of(&plan.parts, plan.station.rest.mode).expect("it has a board");
            let alone = Wirings::default().of(&plan.parts, plan.station.rest.mode).expect("it has a board");
            assert_eq!((wiring.cost, &wiring.lines), (alone.cost, &alone.lines), "shared or not");
            wirings.count()
        };
        assert_eq!(ask(text), 1);
        assert_eq!(ask(&format!("{text}[camera]\nsize = \"640x480\"\n")), 1);
        assert_eq!(ask(&text.replace("\"any\"", "13")), 2);
        assert_eq!(ask(&text.replace("wren", "heron")), 3);
        assert_eq!(ask(&text.replace("sleep", "awake")), 4);
        assert_eq!(ask(&format!("{text}[camera]\nclock = \"10 MHz\"\n")), 5);
        assert_eq!(ask(text), 5);
    }
}
