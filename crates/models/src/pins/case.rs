//! One board and its demands: the best wiring, proven, and what else would have served.

use super::PINS_MAX;
use super::board::{Board, Taken};
use super::boot::{BootVerdict, judge_boot};
use super::conflict::{Conflict, Fact, Need};
use super::demand::{Demand, QuietAtBoot};
use super::layout::Layout;
use super::level::Load;
use super::matching::{CostRow, Crowd, Matching, bits};
use super::search::{Found, NODES_MAX, NODES_MAX_OF_MANY, search};
use super::sides::{Sides, Switches};
use super::sleep::{HoldVerdict, sleep_hold};
use super::strap::{Starts, judge_strap};
use super::trouble::Trouble;
use super::unusable::{Unusable, WantedBy};

/// One demand on its pin.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// Pin number.
    pub pin: u8,
    /// What is not good about it.
    pub troubles: Vec<Trouble>,
}

/// A pin for every demand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wiring {
    /// By demand.
    pub lines: Vec<Line>,
    /// The sum of all troubles' costs.
    pub cost: u32,
    /// No wiring costs less than this; equal to `cost` when proven.
    pub at_least: u32,
    /// Whether it is proven to be the best.
    pub proven: bool,
    /// Nodes that the search looked at.
    pub nodes: usize,
}

impl Wiring {
    /// The pin numbers, by demand.
    pub fn pins(&self) -> Vec<u8> {
        self.lines.iter().map(|line| line.pin).collect()
    }
}

/// The answer without reasons.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Solved {
    /// The best wiring.
    Wired(Wiring),
    /// Proven: there is none.
    Impossible,
    /// Neither found nor refuted within the search's limit.
    GaveUp,
}

/// The answer.
#[derive(Clone, Debug, PartialEq)]
pub enum Outcome {
    /// The best wiring.
    Wired(Wiring),
    /// Proven: there is none, for these reasons.
    Impossible(Conflict),
    /// Neither found nor refuted within the search's limit.
    GaveUp,
}

/// Pins for as many demands as can have one together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Most {
    /// By demand; nothing for one that is left out. Of equally many, later demands are left out before earlier ones.
    pub lines: Vec<Option<Line>>,
    /// The sum of all troubles' costs.
    pub cost: u32,
    /// No choice leaves out fewer; equal to the number left out when proven.
    pub left_out_at_least: usize,
}

/// Another pin that would have served.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Alternative {
    /// Pin number.
    pub pin: u8,
    /// What it costs more than the best wiring.
    pub extra_cost: u32,
    /// Whether that is proven; else it is at most this much.
    pub exact: bool,
    /// Demands that have to move then, each with its pin.
    pub moves: Vec<(usize, u8)>,
}

/// The best wiring of `demands` on `board`, or why there is none.
///
/// # Errors
///
/// [`Unusable`], when the facts contradict each other.
pub fn assign(board: &Board, demands: &[Demand]) -> Result<Outcome, Unusable> {
    let case = Case::new(board, demands)?;
    Ok(match case.solve() {
        Solved::Wired(wiring) => Outcome::Wired(wiring),
        Solved::Impossible => case.conflict().map_or(Outcome::GaveUp, Outcome::Impossible),
        Solved::GaveUp => Outcome::GaveUp,
    })
}

/// Points are scaled so that among wirings of equal cost lower pin numbers win, those of earlier demands first:
/// the sum of number times weight stays below 64 x 255 x 64.
const UNIT: i64 = 1 << 21;

/// What it costs that a later demand is left out rather than a demand before it: more than all troubles together.
const EARLIER: i64 = UNIT << 18;

/// What it costs to leave out a demand: more than [`EARLIER`] in all its sums.
const LEFT_OUT: i64 = EARLIER << 12;

/// A board and its demands, ready for questions.
///
/// # Examples
///
/// ```
/// use models::pins::{Case, Solved, demand::{Demand, DemandKind, Needs}, sample};
/// let board = sample::small_board();
/// let plate = Demand::new(DemandKind::Plate, Needs { touch: true, ..Needs::default() });
/// let case = Case::new(&board, std::slice::from_ref(&plate))?;
/// let Solved::Wired(wiring) = case.solve() else { panic!("a plate alone fits") };
/// assert!(board.chip.pins.iter().any(|pin| pin.number == wiring.lines[0].pin && pin.touch.is_some()));
/// # Ok::<(), models::pins::Unusable>(())
/// ```
pub struct Case<'a> {
    pub(super) board: &'a Board,
    pub(super) demands: &'a [Demand],
    pub(super) layout: Layout<'a>,
    /// The demands first, then each demand's own facts, then those of chip and board.
    pub(super) facts: Vec<Fact>,
    pub(super) blocks: Vec<Block>,
    cost: Vec<CostRow>,
}

/// Pins that a fact forbids: to one demand, or to all.
pub(super) struct Block {
    pub(super) fact: usize,
    pub(super) demand: Option<usize>,
    pub(super) pins: u64,
}

impl<'a> Case<'a> {
    /// Join a board and demands.
    ///
    /// # Errors
    ///
    /// [`Unusable`], when the facts contradict each other.
    pub fn new(board: &'a Board, demands: &'a [Demand]) -> Result<Self, Unusable> {
        if demands.len() > PINS_MAX {
            return Err(Unusable::TooManyDemands { count: demands.len() });
        }
        let layout = Layout::new(board)?;
        let mut case = Self {
            board,
            demands,
            layout,
            facts: (0..demands.len()).map(Fact::Demand).collect(),
            blocks: Vec::with_capacity(8 * demands.len()),
            cost: vec![[0; PINS_MAX]; demands.len()],
        };
        for d in 0..demands.len() {
            case.add_demand(d)?;
        }
        for k in 0..case.layout.held.len() {
            let (by, pins) = case.layout.held[k];
            let fact = if matches!(by, Taken::Camera(_)) { Fact::CameraBus } else { Fact::Taken(by) };
            case.block(fact, None, pins);
        }
        case.block(Fact::Buried, None, case.layout.all & !case.layout.reach);
        case.facts.extend([Fact::PwmTimers, Fact::PwmChannels, Fact::WakeTable, Fact::TouchChannels]);
        let rows = case.rows(None);
        for (d, &allowed) in rows.allowed.iter().enumerate() {
            for pin in bits(allowed) {
                case.cost[d][pin] = case.price(d, pin);
            }
        }
        Ok(case)
    }

    fn block(&mut self, fact: Fact, demand: Option<usize>, pins: u64) {
        let pins = pins & self.layout.all;
        // These also ask for timers, channels, sources: facts even where every pin could serve.
        let wants_more = matches!(fact, Fact::Need(_, Need::Pwm | Need::Wake | Need::Touch));
        if pins != 0 || wants_more {
            self.blocks.push(Block { fact: self.facts.len(), demand, pins });
            self.facts.push(fact);
        }
    }

    fn add_demand(&mut self, d: usize) -> Result<(), Unusable> {
        let (demand, vdd_v) = (&self.demands[d], self.board.chip.vdd_v);
        let needs = &demand.needs;
        if let Some(number) = demand.fixed {
            let by = WantedBy::Demand(d);
            let pin = self.layout.index(number).ok_or(Unusable::NoSuchPin { number, by })?;
            self.block(Fact::Fixed(d), Some(d), !(1 << pin));
        }
        let board = self.board;
        let pins = &board.chip.pins;
        let unless = |wanted: bool, set: u64| if wanted { !set } else { 0 };
        let judged = |good: &dyn Fn(usize, &[&Load]) -> bool| {
            let mut loads: Vec<&Load> = Vec::with_capacity(4);
            (0..pins.len())
                .filter(|&i| {
                    loads.clear();
                    loads.extend(&self.layout.loads[i]);
                    loads.push(&demand.load);
                    !good(i, &loads)
                })
                .fold(0u64, |set, i| set | 1 << i)
        };
        let loud = match needs.quiet_at_boot {
            QuietAtBoot::Must => {
                judged(&|i, loads| judge_boot(&pins[i], loads, demand.active, vdd_v) == BootVerdict::Quiet)
            }
            QuietAtBoot::Any | QuietAtBoot::Prefers => 0,
        };
        let loose = needs.hold.map_or(0, |level| {
            judged(&|i, loads| !matches!(sleep_hold(&pins[i], loads, level, vdd_v), HoldVerdict::NotHeld(_)))
        });
        let misread = judged(&|i, loads| {
            pins[i]
                .strap
                .as_ref()
                .is_none_or(|strap| judge_strap(strap, loads, vdd_v).starts == Starts::Always)
        });
        let layout = &self.layout;
        let blocked = [
            (Need::Input, unless(needs.input, layout.input)),
            (Need::Output, unless(needs.output, layout.output)),
            (Need::Analogue, unless(needs.analogue.is_some(), layout.analogue)),
            (
                Need::AnalogueWithRadio,
                needs.analogue.map_or(0, |when| layout.analogue & !layout.measured(when)),
            ),
            (Need::Touch, unless(needs.touch, layout.touch)),
            (Need::Pwm, unless(needs.pwm.is_some(), layout.pwm)),
            (Need::Wake, unless(needs.wake.is_some(), layout.waking(needs))),
            (Need::Hold, loose),
            (Need::QuietAtBoot, loud),
            (Need::Pull, needs.pull.map_or(0, |level| !layout.pulled(level))),
        ];
        let wanted = |need| match need {
            Need::Pwm => needs.pwm.is_some(),
            Need::Wake => needs.wake.is_some(),
            Need::Touch => needs.touch,
            _ => true,
        };
        for (need, pins) in blocked.into_iter().filter(|(need, _)| wanted(*need)) {
            self.block(Fact::Need(d, need), Some(d), pins);
        }
        for pin in bits(misread) {
            self.block(Fact::Strap { demand: d, pin: self.layout.numbers[pin] }, Some(d), 1 << pin);
        }
        Ok(())
    }

    /// Everything that is not good about demand `d` on the pin of this index, except what depends on other demands.
    fn troubles_of(&self, d: usize, pin: usize, tell: &mut dyn FnMut(Trouble)) {
        let (demand, facts, layout) = (&self.demands[d], &self.board.chip.pins[pin], &self.layout);
        let vdd_v = self.board.chip.vdd_v;
        let is_in = |set: u64| set >> pin & 1 == 1;
        let prefers_quiet = demand.needs.quiet_at_boot == QuietAtBoot::Prefers;
        if facts.strap.is_some() || prefers_quiet {
            let loads: Vec<&Load> = layout.loads[pin].iter().copied().chain([&demand.load]).collect();
            if let Some(strap) = &facts.strap {
                tell(Trouble::Strap);
                if judge_strap(strap, &loads, vdd_v).thin {
                    tell(Trouble::ThinStrap);
                }
            }
            if prefers_quiet {
                let verdict = judge_boot(facts, &loads, demand.active, vdd_v);
                if verdict != BootVerdict::Quiet {
                    tell(Trouble::BootGlitch(verdict));
                }
            }
        }
        if is_in(layout.console) {
            tell(Trouble::Console);
        }
        if !is_in(layout.connector) {
            tell(Trouble::Pad);
        }
        if is_in(layout.shared) {
            tell(Trouble::SharedPin);
        }
        if demand.needs.touch {
            let centimetres = ((layout.track_m[pin] + demand.lead_m) * 100.0).ceil();
            if centimetres.is_finite() && centimetres > 0.0 {
                tell(Trouble::LongLead { centimetres: centimetres as u8 });
            }
            if is_in(layout.beside_camera) {
                tell(Trouble::BesideCamera);
            }
        }
    }

    /// What a demand costs on the pin of this index, with the weight that breaks ties.
    fn price(&self, d: usize, pin: usize) -> i64 {
        let mut points = 0;
        self.troubles_of(d, pin, &mut |trouble| points += trouble.cost());
        // At most PINS_MAX demands, so the weight fits any integer.
        let weight = (self.demands.len() - d) as u32;
        i64::from(points) * UNIT + i64::from(self.layout.numbers[pin]) * i64::from(weight)
    }

    /// The demands and pins that are left when only `active` facts hold; all facts, when `None`.
    pub(super) fn rows(&self, active: Option<&[bool]>) -> Rows {
        let holds = |fact: usize| active.is_none_or(|active| active[fact]);
        let mut allowed = vec![self.layout.all; self.demands.len()];
        for block in self.blocks.iter().filter(|block| holds(block.fact)) {
            match block.demand {
                Some(d) => allowed[d] &= !block.pins,
                None => allowed.iter_mut().for_each(|set| *set &= !block.pins),
            }
        }
        let demands: Vec<usize> = (0..self.demands.len()).filter(|&d| holds(d)).collect();
        if demands.len() < allowed.len() {
            allowed = demands.iter().map(|&d| allowed[d]).collect();
        }
        Rows { demands, allowed }
    }

    /// The side constraints of `rows`, as far as `active` facts hold.
    pub(super) fn sides(&self, rows: &Rows, active: Option<&[bool]>, unit: i64) -> Sides<'_> {
        let dropped = |fact: Fact| {
            active.is_some_and(|active| {
                self.facts.iter().position(|f| *f == fact).is_some_and(|index| !active[index])
            })
        };
        let mut sides = Sides {
            board: self.board,
            layout: &self.layout,
            pwm: Vec::new(),
            wake: Vec::new(),
            touch: Vec::new(),
            noisy: Vec::new(),
            on: Switches {
                timers: !dropped(Fact::PwmTimers),
                channels: !dropped(Fact::PwmChannels),
                wake_table: !dropped(Fact::WakeTable),
                touch_channels: !dropped(Fact::TouchChannels),
            },
            unit,
        };
        for (row, &d) in rows.demands.iter().enumerate() {
            let needs = &self.demands[d].needs;
            if let Some(rate) = needs.pwm.filter(|_| !dropped(Fact::Need(d, Need::Pwm))) {
                sides.pwm.push((row, rate));
            }
            if let Some(wake) = needs.wake.filter(|_| !dropped(Fact::Need(d, Need::Wake))) {
                sides.wake.push((row, wake.sources()));
            }
            if needs.touch && !dropped(Fact::Need(d, Need::Touch)) {
                sides.touch.push(row);
            }
            // Costs stay as they are when a need is dropped, here as in the cost of a pin.
            if needs.touch {
                let dimmed = |&(_, o): &(usize, &usize)| o != &d && self.demands[*o].needs.pwm.is_some();
                let lamps = rows.demands.iter().enumerate().filter(dimmed);
                sides.noisy.extend(lamps.map(|(lamp, _)| (row, lamp)));
            }
        }
        sides
    }

    /// What each demand costs on each pin, in the chip's order of pins; `None` where it may not be.
    pub fn prices(&self) -> Vec<Vec<Option<u32>>> {
        let rows = self.rows(None);
        let price = |d: usize, pin: usize| {
            (rows.allowed[d] >> pin & 1 == 1).then(|| (self.cost[d][pin] / UNIT) as u32)
        };
        let pins = self.layout.numbers.len();
        (0..self.demands.len()).map(|d| (0..pins).map(|pin| price(d, pin)).collect()).collect()
    }

    /// Pins for as many demands as can have one together, as well wired as that can be; `None` when the search gave up.
    ///
    /// Beside the pins there are columns for demands that are left out, at a cost above all troubles, so that the same
    /// search answers. A demand there takes part in no clash.
    pub fn most(&self) -> Option<Most> {
        let (pins, count) = (self.layout.numbers.len(), self.demands.len());
        let mut rows = self.rows(None);
        let columns = (pins + count).min(PINS_MAX);
        let out = (pins..columns).fold(0u64, |set, column| set | 1 << column);
        // With many pins there are fewer such columns than demands. Those that find no pin in any case do not need one.
        let crowded = rows.unmatched();
        let dropped = &crowded[crowded.len().min(columns - pins)..];
        let kept: Vec<usize> = (0..count).filter(|d| !dropped.contains(d)).collect();
        rows = Rows { allowed: kept.iter().map(|&d| rows.allowed[d] | out).collect(), demands: kept };
        let cost: Vec<CostRow> = rows
            .demands
            .iter()
            .map(|&d| {
                let mut row = self.cost[d];
                row[pins..].fill(LEFT_OUT + EARLIER * (count - d) as i64);
                row
            })
            .collect();
        let root = Matching::new(&rows.allowed, columns, &cost).ok()?;
        let (node, total, at_least) = match search(root, &cost, &self.sides(&rows, None, UNIT), NODES_MAX) {
            Found::Best { node, total, .. } => (node, total, total),
            Found::Good { node, total, at_least, .. } => (node, total, at_least),
            Found::Impossible | Found::GaveUp => return None,
        };
        let mut lines = vec![None; count];
        let mut left_out_cost = 0;
        for (row, (&d, &column)) in rows.demands.iter().zip(node.matching.columns()).enumerate() {
            if usize::from(column) < pins {
                let noisy = node.charged.iter().filter(|(plate, _)| usize::from(*plate) == row);
                lines[d] =
                    Some(self.line(d, column, noisy.map(|(_, lamp)| rows.demands[usize::from(*lamp)])));
            } else {
                left_out_cost += cost[row][usize::from(column)];
            }
        }
        Some(Most {
            lines,
            cost: ((total - left_out_cost) / UNIT) as u32,
            left_out_at_least: if dropped.is_empty() {
                (at_least / LEFT_OUT) as usize
            } else {
                crowded.len()
            },
        })
    }

    /// The best wiring.
    pub fn solve(&self) -> Solved {
        let rows = self.rows(None);
        match self.root(&rows) {
            Ok(root) => self.solve_from(root, &rows, NODES_MAX),
            Err(_) => Solved::Impossible,
        }
    }

    fn root(&self, rows: &Rows) -> Result<Box<Matching>, Crowd> {
        Matching::new(&rows.allowed, self.layout.numbers.len(), &self.cost)
    }

    fn solve_from(&self, root: Box<Matching>, rows: &Rows, nodes_max: usize) -> Solved {
        let sides = self.sides(rows, None, UNIT);
        let points = |total: i64| (total / UNIT) as u32;
        let (node, total, at_least, nodes) = match search(root, &self.cost, &sides, nodes_max) {
            Found::Best { node, total, nodes } => (node, total, total, nodes),
            Found::Good { node, total, at_least, nodes } => (node, total, at_least, nodes),
            Found::Impossible => return Solved::Impossible,
            Found::GaveUp => return Solved::GaveUp,
        };
        let lines = self.lines(node.matching.columns(), &node.charged);
        let (cost, at_least) = (points(total), points(at_least));
        Solved::Wired(Wiring { lines, cost, at_least, proven: cost == at_least, nodes })
    }

    fn lines(&self, pin_of: &[u8], charged: &[(u8, u8)]) -> Vec<Line> {
        let noisy = |d: usize| charged.iter().filter(move |(plate, _)| usize::from(*plate) == d);
        let line = |(d, &pin)| self.line(d, pin, noisy(d).map(|&(_, lamp)| usize::from(lamp)));
        pin_of.iter().enumerate().map(line).collect()
    }

    /// A demand on the pin of this index; `noisy` are demands whose PWM runs beside it.
    fn line(&self, d: usize, pin: u8, noisy: impl Iterator<Item = usize>) -> Line {
        let mut troubles = Vec::new();
        self.troubles_of(d, usize::from(pin), &mut |trouble| troubles.push(trouble));
        troubles.extend(noisy.map(|demand| Trouble::BesidePwm { demand }));
        Line { pin: self.layout.numbers[usize::from(pin)], troubles }
    }

    /// The best wiring when these facts do not hold, by demand (a dropped demand has no pin), with its cost.
    pub(super) fn solve_without(&self, active: &[bool]) -> Option<(Vec<Option<u8>>, u32)> {
        let rows = self.rows(Some(active));
        // Costs are by row: those of dropped demands go. A freed pin may never have been priced: price it now.
        let priced = |(&d, &allowed): (&usize, &u64)| {
            let mut row = self.cost[d];
            for pin in bits(allowed) {
                row[pin] = self.price(d, pin);
            }
            row
        };
        let cost: Vec<CostRow> = rows.demands.iter().zip(&rows.allowed).map(priced).collect();
        let root = Matching::new(&rows.allowed, self.layout.numbers.len(), &cost).ok()?;
        let sides = self.sides(&rows, Some(active), UNIT);
        let (Found::Best { node, total, .. } | Found::Good { node, total, .. }) =
            search(root, &cost, &sides, NODES_MAX)
        else {
            return None;
        };
        let mut pins = vec![None; self.demands.len()];
        for (&d, &pin) in rows.demands.iter().zip(node.matching.columns()) {
            pins[d] = Some(self.layout.numbers[usize::from(pin)]);
        }
        Some((pins, (total / UNIT) as u32))
    }

    /// For each demand, the other pins that would have served, the cheapest first.
    ///
    /// Each is the best wiring with the demand on that pin; what must move then is named. A pin for which the search
    /// gave up with nothing in hand is left out; that needs a board with many plates and many dimmed lamps.
    pub fn alternatives(&self, wiring: &Wiring) -> Vec<Vec<Alternative>> {
        let rows = self.rows(None);
        let Ok(root) = self.root(&rows) else { return vec![Vec::new(); self.demands.len()] };
        let of_demand = |d: usize| {
            let mut found: Vec<Alternative> = bits(rows.allowed[d])
                .filter(|&pin| self.layout.numbers[pin] != wiring.lines[d].pin)
                .filter_map(|pin| {
                    let mut matching = root.clone();
                    if !matching.forbid(d, !(1 << pin), &self.cost) {
                        return None;
                    }
                    let Solved::Wired(other) = self.solve_from(matching, &rows, NODES_MAX_OF_MANY) else {
                        return None;
                    };
                    let moves = (0..self.demands.len())
                        .filter(|&o| o != d && other.lines[o].pin != wiring.lines[o].pin)
                        .map(|o| (o, other.lines[o].pin))
                        .collect();
                    Some(Alternative {
                        pin: self.layout.numbers[pin],
                        extra_cost: other.cost.saturating_sub(wiring.cost),
                        exact: other.proven,
                        moves,
                    })
                })
                .collect();
            found.sort_by_key(|a| (a.extra_cost, a.pin));
            found
        };
        (0..self.demands.len()).map(of_demand).collect()
    }
}

/// Demands that are left, and the pins that each may have.
pub(super) struct Rows {
    pub(super) demands: Vec<usize>,
    pub(super) allowed: Vec<u64>,
}

impl Rows {
    /// The demands that find no pin, by pins alone: each in its turn gets one where those before it can make room, so
    /// that as few as can be are left, the later ones (a transversal matroid's greedy set is a largest one; Edmonds and
    /// Fulkerson, "Transversals and matroid partition", 1965, from memory).
    pub(super) fn unmatched(&self) -> Vec<usize> {
        let mut owner = [None; PINS_MAX];
        let rows = 0..self.allowed.len();
        rows.filter(|&row| !self.seat(row, &mut owner, &mut 0)).map(|row| self.demands[row]).collect()
    }

    /// Finds a pin for a row, moving others along; `seen` are pins that were asked already.
    fn seat(&self, row: usize, owner: &mut [Option<usize>; PINS_MAX], seen: &mut u64) -> bool {
        for pin in bits(self.allowed[row]) {
            if *seen >> pin & 1 == 1 {
                continue;
            }
            *seen |= 1 << pin;
            if owner[pin].is_none_or(|other| self.seat(other, owner, seen)) {
                owner[pin] = Some(row);
                return true;
            }
        }
        false
    }
}
