//! What a choice of pins must respect beyond "each pin once": timers, channels, wake sources, touch channels; and the
//! price of a plate beside a dimmed lamp.
//!
//! A clash is a set of (row, pins) that cannot all hold, or that costs something if all hold. It is stated as
//! widely as it is true, so that one split of the search rules out many choices.

use super::board::{Board, PwmRoute};
use super::demand::Rate;
use super::layout::Layout;
use super::matching::{FREE_OF_COST, Matching, bits};
use super::sleep::WakeSet;
use super::timers::{PwmUse, TimerClash, rates_clash, too_few_channels};
use super::trouble::Trouble;

/// (row, pins) pairs that cannot all hold; with a price: that cost this much if all hold.
pub(super) struct Clash {
    pub(super) literals: Vec<(usize, u64)>,
    pub(super) price: Option<Price>,
}

/// The price of a clash between two rows.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) struct Price {
    pub(super) rows: (u8, u8),
    pub(super) cost: i64,
}

/// The side constraints of some rows.
pub(super) struct Sides<'a> {
    pub(super) board: &'a Board,
    pub(super) layout: &'a Layout<'a>,
    pub(super) pwm: Vec<(usize, Rate)>,
    pub(super) wake: Vec<(usize, WakeSet)>,
    pub(super) touch: Vec<usize>,
    /// Pairs that cost something side by side: who is touched, who is dimmed.
    pub(super) noisy: Vec<(usize, usize)>,
    pub(super) on: Switches,
    /// One unit of cost; 0 when prices do not matter.
    pub(super) unit: i64,
}

/// Which constraints hold: all, unless a conflict is being narrowed.
#[derive(Clone, Copy)]
pub(super) struct Switches {
    pub(super) timers: bool,
    pub(super) channels: bool,
    pub(super) wake_table: bool,
    pub(super) touch_channels: bool,
}

impl Sides<'_> {
    /// Whether a row stands on a pin; else it stands on one of the columns beyond the pins, for rows that are left out.
    fn stands(&self, pin_of: &[u8], row: usize) -> bool {
        self.layout.all >> pin_of[row] & 1 == 1
    }

    /// Whether a row may not be left out.
    fn must_stand(&self, matching: &Matching, row: usize) -> bool {
        matching.allowed(row) & !self.layout.all == 0
    }

    /// Whether each constraint, taken alone and with each pin used as often as wanted, can still be met by the pins
    /// that rows may have. `false` closes a node whose splits would all fail, one by one. Rows that may be left out can
    /// break none.
    pub(super) fn possible(&self, matching: &Matching) -> bool {
        self.channels_suffice(matching) && self.timers_suffice(matching) && self.wakes_suffice(matching)
    }

    fn channels_suffice(&self, matching: &Matching) -> bool {
        let shared = bits(self.layout.touch).any(|pin| self.layout.same_channel[pin].count_ones() > 1);
        if !self.on.touch_channels || self.touch.len() < 2 || !shared {
            return true;
        }
        // A channel is stood for by its lowest pin.
        let channels = |&row: &usize| {
            bits(matching.allowed(row) & self.layout.touch)
                .fold(0u64, |set, pin| set | 1 << self.layout.same_channel[pin].trailing_zeros())
        };
        let standing = self.touch.iter().filter(|row| self.must_stand(matching, **row));
        let allowed: Vec<u64> = standing.map(channels).collect();
        Matching::new(&allowed, self.layout.numbers.len(), FREE_OF_COST).is_ok()
    }

    fn timers_suffice(&self, matching: &Matching) -> bool {
        if !self.on.timers || self.pwm.len() < 2 {
            return true;
        }
        let pins = &self.board.chip.pins;
        let mut uses: Vec<PwmUse> = Vec::with_capacity(self.pwm.len());
        let mut bound: Vec<(Rate, Vec<u8>)> = Vec::new();
        for &(row, rate) in self.pwm.iter().filter(|(row, _)| self.must_stand(matching, *row)) {
            let allowed = matching.allowed(row);
            // A pin that any timer reaches serves wherever a pin of one timer would; so does one without PWM, which
            // is possible only while the need is dropped.
            if bits(allowed).any(|pin| pins[pin].pwm.is_none()) {
                continue;
            }
            if bits(allowed).any(|pin| pins[pin].pwm == Some(PwmRoute::Any)) {
                uses.push(PwmUse { rate, route: PwmRoute::Any });
                continue;
            }
            let mut timers: Vec<u8> = bits(allowed)
                .filter_map(|pin| match pins[pin].pwm {
                    Some(PwmRoute::Timer(timer)) => Some(timer),
                    _ => None,
                })
                .collect();
            timers.sort_unstable();
            timers.dedup();
            bound.push((rate, timers));
        }
        self.some_timers_serve(&bound, &mut uses)
    }

    /// Whether signals bound to a few timers each can be given one so that all of `uses` run too.
    fn some_timers_serve(&self, bound: &[(Rate, Vec<u8>)], uses: &mut Vec<PwmUse>) -> bool {
        if rates_clash(self.board, uses).is_some() {
            return false;
        }
        let Some(((rate, timers), rest)) = bound.split_first() else { return true };
        timers.iter().any(|&timer| {
            uses.push(PwmUse { rate: *rate, route: PwmRoute::Timer(timer) });
            let serve = self.some_timers_serve(rest, uses);
            uses.pop();
            serve
        })
    }

    fn wakes_suffice(&self, matching: &Matching) -> bool {
        if !self.on.wake_table || self.wake.len() < 2 {
            return true;
        }
        let offered = |&(row, sources): &(usize, WakeSet)| {
            bits(matching.allowed(row))
                .fold(WakeSet::default(), |set, pin| set.or(self.layout.wakes[pin].and(sources)))
        };
        let standing = self.wake.iter().filter(|(row, _)| self.must_stand(matching, *row));
        self.board.chip.wake.serves(&standing.map(offered).collect::<Vec<_>>())
    }

    /// A clash of this choice, forbidden ones first, or `None` if it may stand.
    pub(super) fn clash(&self, pin_of: &[u8], charged: &[(u8, u8)]) -> Option<Clash> {
        self.channel_shared(pin_of)
            .or_else(|| self.timers(pin_of))
            .or_else(|| self.wakes(pin_of))
            .map(|literals| Clash { literals, price: None })
            .or_else(|| self.noise(pin_of, charged))
    }

    fn channel_shared(&self, pin_of: &[u8]) -> Option<Vec<(usize, u64)>> {
        if !self.on.touch_channels {
            return None;
        }
        let standing: Vec<usize> =
            self.touch.iter().copied().filter(|&row| self.stands(pin_of, row)).collect();
        standing.iter().enumerate().find_map(|(k, &a)| {
            let channel = self.layout.same_channel[usize::from(pin_of[a])];
            let b = standing[..k].iter().find(|&&b| channel >> pin_of[b] & 1 == 1)?;
            Some(vec![(*b, channel), (a, channel)])
        })
    }

    fn timers(&self, pin_of: &[u8]) -> Option<Vec<(usize, u64)>> {
        if self.pwm.is_empty() {
            return None;
        }
        let standing = || self.pwm.iter().filter(|(row, _)| self.stands(pin_of, *row));
        if self.on.channels
            && let Some(TimerClash::TooFewChannels { free, .. }) =
                too_few_channels(self.board, standing().count())
        {
            return Some(standing().take(usize::from(free) + 1).map(|p| (p.0, self.layout.all)).collect());
        }
        if !self.on.timers {
            return None;
        }
        let mut rows = Vec::with_capacity(self.pwm.len());
        let mut uses = Vec::with_capacity(self.pwm.len());
        for &(row, rate) in standing() {
            // A pin without PWM is possible only while the need for it is dropped; it uses no timer.
            if let Some(route) = self.board.chip.pins[usize::from(pin_of[row])].pwm {
                rows.push(row);
                uses.push(PwmUse { rate, route });
            }
        }
        let users = match rates_clash(self.board, &uses)? {
            TimerClash::OneTimer { uses, .. } | TimerClash::TooFewTimers { uses, .. } => uses,
            TimerClash::NoSuchTimer { user, .. } => vec![user],
            TimerClash::TooFewChannels { .. } => return None,
        };
        let literal = |user: usize| (rows[user], self.layout.same_route[usize::from(pin_of[rows[user]])]);
        Some(users.into_iter().map(literal).collect())
    }

    fn wakes(&self, pin_of: &[u8]) -> Option<Vec<(usize, u64)>> {
        if !self.on.wake_table || self.wake.is_empty() {
            return None;
        }
        let standing: Vec<&(usize, WakeSet)> =
            self.wake.iter().filter(|(row, _)| self.stands(pin_of, *row)).collect();
        let offered =
            |&&(row, sources): &&(usize, WakeSet)| self.layout.wakes[usize::from(pin_of[row])].and(sources);
        let offers: Vec<WakeSet> = standing.iter().map(offered).collect();
        let clash = self.board.chip.wake.clash(&offers)?;
        // A pin that offers no more than this one would not help either.
        let no_better = |w: usize| {
            let &(row, sources) = standing[w];
            let pins = bits(self.layout.all).filter(|&i| self.layout.wakes[i].and(sources).within(offers[w]));
            (row, pins.fold(0, |set, i| set | 1 << i))
        };
        Some(clash.into_iter().map(no_better).collect())
    }

    fn noise(&self, pin_of: &[u8], charged: &[(u8, u8)]) -> Option<Clash> {
        if self.unit == 0 {
            return None;
        }
        for &(plate, lamp) in &self.noisy {
            if !self.stands(pin_of, plate) {
                continue;
            }
            let pin = pin_of[plate];
            let beside = self.layout.beside[usize::from(pin)];
            let rows = (plate as u8, lamp as u8);
            if beside >> pin_of[lamp] & 1 == 1 && !charged.contains(&rows) {
                let cost = i64::from(Trouble::BesidePwm { demand: lamp }.cost()) * self.unit;
                let literals = vec![(plate, 1 << pin), (lamp, beside)];
                return Some(Clash { literals, price: Some(Price { rows, cost }) });
            }
        }
        None
    }
}
