//! A search for inputs that break a promise, on a stable toolchain.
//!
//! There is no coverage to guide it. In its place an input is kept, and changed further, when its [`Outcome`] is new; that
//! reaches every kind of error a reader has, but not every branch behind one. Knows no clock: whoever calls
//! [`Search::step`] decides how often.

use crate::{Changes, Outcome, Target};
use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// Outcomes that are kept; beyond, a new one is only counted. A target with more has outcomes that are too fine.
const KEPT_MAX: usize = 4096;

/// An input that made its target panic.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// The input, made as short as leaving out parts of it can.
    pub input: Vec<u8>,
    /// What the panic said.
    pub said: String,
}

/// The state of a search.
pub struct Search {
    target: Target,
    changes: Changes,
    pool: Vec<Vec<u8>>,
    outcomes: BTreeMap<Outcome, u64>,
    tried: u64,
}

impl Search {
    /// Starts by trying every seed as it is.
    ///
    /// # Errors
    ///
    /// The first seed that breaks the promise.
    pub fn new(target: Target, seeds: &[Vec<u8>], seed: u64) -> Result<Self, Found> {
        let mut search = Self {
            target,
            changes: Changes::new(seed),
            pool: vec![Vec::new()],
            outcomes: BTreeMap::new(),
            tried: 0,
        };
        for input in seeds {
            search.try_input(input)?;
            search.pool.push(input.clone());
        }
        Ok(search)
    }

    /// Tries one changed copy of an input of the pool.
    ///
    /// # Errors
    ///
    /// The copy, shortened, if it breaks the promise.
    pub fn step(&mut self) -> Result<(), Found> {
        let (one, other) = (self.changes.below(self.pool.len()), self.changes.below(self.pool.len()));
        let input = self.changes.changed(&self.pool[one], &self.pool[other]);
        if self.try_input(&input)? {
            self.pool.push(input);
        }
        Ok(())
    }

    /// How many inputs were tried.
    pub fn tried(&self) -> u64 {
        self.tried
    }

    /// How many different outcomes they had.
    pub fn outcomes(&self) -> usize {
        self.outcomes.len()
    }

    /// Whether the outcome was new.
    fn try_input(&mut self, input: &[u8]) -> Result<bool, Found> {
        self.tried += 1;
        match outcome(self.target, input) {
            Ok(outcome) => {
                let count = self.outcomes.entry(outcome).or_insert(0);
                *count += 1;
                Ok(*count == 1 && self.pool.len() < KEPT_MAX)
            }
            Err(_) => Err(shortened(self.target, input.to_vec())),
        }
    }
}

fn outcome(target: Target, input: &[u8]) -> Result<Outcome, String> {
    catch_unwind(AssertUnwindSafe(|| target(input))).map_err(|panic| {
        let text = panic.downcast_ref::<String>().map(String::as_str);
        text.or_else(|| panic.downcast_ref::<&str>().copied()).unwrap_or("panicked without a text").to_owned()
    })
}

/// Leaves out halves, quarters, … single bytes as long as the target still panics.
fn shortened(target: Target, mut input: Vec<u8>) -> Found {
    let mut part = input.len().div_ceil(2);
    while part > 0 {
        let mut at = 0;
        while at < input.len() {
            let mut shorter = input.clone();
            shorter.drain(at..(at + part).min(input.len()));
            if outcome(target, &shorter).is_err() {
                input = shorter;
            } else {
                at += part;
            }
        }
        part /= 2;
    }
    let said = outcome(target, &input).err().unwrap_or_else(|| "panicked once, not again".to_owned());
    Found { input, said }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_a_planted_fault_and_shortens_it() {
        fn planted(bytes: &[u8]) -> Outcome {
            let opened = bytes.iter().filter(|&&byte| byte == b'[').count();
            assert!(opened < 40, "too deep");
            opened.to_string()
        }
        let mut search = Search::new(planted, &[b"[a]\n".to_vec()], 1).expect("the seed is harmless");
        let found = (0..20_000).find_map(|_| search.step().err()).expect("20,000 steps find 40 brackets");
        assert_eq!(found, Found { input: vec![b'['; 40], said: "too deep".into() });
    }
}
