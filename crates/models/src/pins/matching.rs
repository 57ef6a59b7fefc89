//! The cheapest way to give every row a column of its own: shortest augmenting paths on bit sets.
//!
//! Rows are demands, columns are pins; side constraints are not known here. The least total is the bound of the
//! search, and it is repaired, not recomputed, when a row loses columns. When rows do not find columns, the rows and
//! columns that were searched are a Hall violator: more rows than columns that any of them may have.
//!
//! Read before changing: Jonker and Volgenant, "A shortest augmenting path algorithm for dense and sparse linear
//! assignment problems", Computing 38, 1987. Dual prices `u`, `v` keep cost - u - v >= 0 on every allowed pair, 0 on
//! matched pairs, and `v` <= 0 with 0 on free columns.

use super::PINS_MAX;

/// Costs of a row by column.
pub(super) type CostRow = [i64; PINS_MAX];

/// For asking only whether there is a matching.
pub(super) const FREE_OF_COST: &[CostRow] = {
    static ZEROS: [CostRow; PINS_MAX] = [[0; PINS_MAX]; PINS_MAX];
    &ZEROS
};

const FREE: u8 = u8::MAX;
/// Came through the exchange of a free column for another (see [`Matching::place`]).
const HUB: u8 = u8::MAX - 1;

/// Rows that together may use fewer columns than they are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Crowd {
    /// The rows, as bits.
    pub(super) rows: u64,
}

/// A cheapest matching under the rows' allowed columns.
#[derive(Clone)]
pub(super) struct Matching {
    rows: usize,
    columns: usize,
    allowed: [u64; PINS_MAX],
    row_at: [u8; PINS_MAX],
    column_of: [u8; PINS_MAX],
    u: CostRow,
    v: CostRow,
}

impl Matching {
    /// The cheapest matching of all rows; `allowed[r]` are the columns of row `r`.
    pub(super) fn new(allowed: &[u64], columns: usize, cost: &[CostRow]) -> Result<Box<Self>, Crowd> {
        let mut matching = Box::new(Self {
            rows: allowed.len(),
            columns,
            allowed: [0; PINS_MAX],
            row_at: [FREE; PINS_MAX],
            column_of: [FREE; PINS_MAX],
            u: [0; PINS_MAX],
            v: [0; PINS_MAX],
        });
        matching.allowed[..allowed.len()].copy_from_slice(allowed);
        for row in 0..allowed.len() {
            matching.place(row, None, cost)?;
        }
        Ok(matching)
    }

    /// The column of each row.
    pub(super) fn columns(&self) -> &[u8] {
        &self.column_of[..self.rows]
    }

    /// The columns that a row may have.
    pub(super) fn allowed(&self, row: usize) -> u64 {
        self.allowed[row]
    }

    /// The sum of the costs.
    pub(super) fn total(&self, cost: &[CostRow]) -> i64 {
        self.columns().iter().enumerate().map(|(row, &column)| cost[row][usize::from(column)]).sum()
    }

    /// Take columns from a row, and repair. `false`: there is no matching any more.
    pub(super) fn forbid(&mut self, row: usize, columns: u64, cost: &[CostRow]) -> bool {
        self.allowed[row] &= !columns;
        let column = usize::from(self.column_of[row]);
        if columns >> column & 1 == 0 {
            return true;
        }
        self.row_at[column] = FREE;
        self.column_of[row] = FREE;
        self.place(row, Some(column), cost).is_ok()
    }

    /// Find the cheapest change that gives `row` a column.
    ///
    /// At first any free column ends the path. When a matched row has lost its column, `freed` may have a price below
    /// zero, which a free column must not have: the path must end there. Reaching another free column is then as good
    /// as exchanging it for any column `k` at cost -v[k], as if an idle row of no cost had moved; that is the hub.
    fn place(&mut self, row: usize, freed: Option<usize>, cost: &[CostRow]) -> Result<(), Crowd> {
        let mut distance = [i64::MAX; PINS_MAX];
        let mut previous = [FREE; PINS_MAX];
        let (mut reached, mut done, mut rows_seen) = (0u64, 0u64, 1u64 << row);
        let mut hub: Option<usize> = None;
        let (mut from, mut base) = (row, 0i64);
        let end = 'search: loop {
            for j in bits(self.allowed[from] & !done) {
                let d = base + cost[from][j] - self.u[from] - self.v[j];
                if d < distance[j] {
                    distance[j] = d;
                    previous[j] = from as u8;
                    reached |= 1 << j;
                }
            }
            loop {
                let Some(j) = bits(reached & !done).min_by_key(|&j| distance[j]) else {
                    return Err(Crowd { rows: rows_seen });
                };
                done |= 1 << j;
                base = distance[j];
                if self.row_at[j] != FREE {
                    from = usize::from(self.row_at[j]);
                    rows_seen |= 1 << from;
                    continue 'search;
                }
                if freed.is_none_or(|goal| goal == j) {
                    break 'search j;
                }
                if hub.is_none() {
                    hub = Some(j);
                    for k in (0..self.columns).filter(|k| done >> k & 1 == 0) {
                        let d = base - self.v[k];
                        if d < distance[k] {
                            distance[k] = d;
                            previous[k] = HUB;
                            reached |= 1 << k;
                        }
                    }
                }
            }
        };
        for j in bits(done) {
            self.v[j] -= base - distance[j];
        }
        self.u[row] += base;
        for r in bits(rows_seen & !(1 << row)) {
            self.u[r] += base - distance[usize::from(self.column_of[r])];
        }
        // The idle rows' price rose by this much; prices are relative, so bring it back to zero.
        let shift = hub.map_or(0, |j| base - distance[j]);
        if shift != 0 {
            self.v[..self.columns].iter_mut().for_each(|v| *v += shift);
            self.u[..self.rows].iter_mut().for_each(|u| *u -= shift);
        }
        let mut column = end;
        loop {
            match (previous[column], hub) {
                (HUB, Some(free)) => {
                    self.row_at[column] = FREE;
                    column = free;
                }
                (r, _) => {
                    let r = usize::from(r);
                    let left = usize::from(self.column_of[r]);
                    self.row_at[column] = r as u8;
                    self.column_of[r] = column as u8;
                    if r == row {
                        return Ok(());
                    }
                    column = left;
                }
            }
        }
    }
}

/// The set bits of a set, from the lowest.
pub(super) fn bits(mut set: u64) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        (set != 0).then(|| {
            let bit = set.trailing_zeros() as usize;
            set &= set - 1;
            bit
        })
    })
}

#[cfg(test)]
mod tests {
    use super::super::sample::Dice;
    use super::*;

    /// The least total by trying everything.
    fn plainly(allowed: &[u64], cost: &[CostRow], used: u64) -> Option<i64> {
        let Some((&first, rest)) = allowed.split_first() else { return Some(0) };
        bits(first & !used).filter_map(|j| Some(cost[0][j] + plainly(rest, &cost[1..], used | 1 << j)?)).min()
    }

    #[test]
    fn first_matching_and_every_repair_are_as_cheap_as_trying_everything() {
        let mut dice = Dice::new(11);
        for _ in 0..500 {
            let (rows, columns) = (1 + dice.below(5) as usize, 1 + dice.below(7) as usize);
            let mut allowed: Vec<u64> = (0..rows).map(|_| dice.below(1 << columns)).collect();
            let cost: Vec<CostRow> =
                (0..rows).map(|_| std::array::from_fn(|_| i64::try_from(dice.below(20)).unwrap())).collect();
            let best = plainly(&allowed, &cost, 0);
            let mut matching = match Matching::new(&allowed, columns, &cost) {
                Ok(matching) => matching,
                Err(crowd) => {
                    assert_eq!(best, None);
                    let columns = bits(crowd.rows).fold(0, |set, r| set | allowed[r]);
                    assert!(columns.count_ones() < crowd.rows.count_ones(), "a Hall violator");
                    continue;
                }
            };
            assert_eq!(Some(matching.total(&cost)), best);
            for _ in 0..6 {
                let (row, gone) = (dice.below(rows as u64) as usize, dice.below(1 << columns));
                allowed[row] &= !gone;
                let found = matching.forbid(row, gone, &cost);
                assert_eq!(found.then(|| matching.total(&cost)), plainly(&allowed, &cost, 0));
                if !found {
                    break;
                }
            }
        }
    }
}
