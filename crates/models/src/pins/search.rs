//! Branch and bound over side constraints, with the cheapest matching as its bound.
//!
//! The open node of least bound is looked at first. If its matching clashes with nothing, it is the optimum, proven.
//! Otherwise the clash (l1 and l2 and ... cannot all hold) splits it into: not l1; l1 and not l2; l1, l2 and not l3 ...;
//! and, when the clash only costs something, all of them at that price. Each part needs one repair of its matching.
//!
//! Ties in the bound go to the newest node, so that a plateau is searched in depth.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::matching::{CostRow, Matching};
use super::sides::Sides;

/// Nodes after which the proof of one question is given up. Of 100,000 sample boards of 40 pins and 20 demands one
/// needs as many (0.1 s); their 99th percentile is 31.
pub(super) const NODES_MAX: usize = 20_000;
/// The same for one of hundreds of questions, as other pins are.
pub(super) const NODES_MAX_OF_MANY: usize = 100;

pub(super) struct Node {
    pub(super) matching: Box<Matching>,
    pub(super) charged: Vec<(u8, u8)>,
    price: i64,
}

pub(super) enum Found {
    /// The optimum.
    Best { node: Node, total: i64, nodes: usize },
    /// Something that may stand, but the proof was given up at this bound.
    Good { node: Node, total: i64, at_least: i64, nodes: usize },
    /// Proven impossible.
    Impossible,
    /// Given up with nothing in hand.
    GaveUp,
}

/// The least total of `root` under `sides`; after `nodes_max` nodes the proof is given up, and after as many more, all.
pub(super) fn search(root: Box<Matching>, cost: &[CostRow], sides: &Sides<'_>, nodes_max: usize) -> Found {
    let mut arena: Vec<Option<Node>> = Vec::new();
    let mut open: BinaryHeap<Reverse<(i64, Reverse<usize>)>> = BinaryHeap::new();
    if !sides.possible(&root) {
        return Found::Impossible;
    }
    let total = root.total(cost);
    arena.push(Some(Node { matching: root, charged: Vec::new(), price: 0 }));
    open.push(Reverse((total, Reverse(0))));
    let mut given_up_at = None;
    for nodes in 1.. {
        if nodes == nodes_max {
            // From here on in depth: any choice that may stand is better than none.
            let Some(&Reverse((bound, _))) = open.peek() else { break };
            given_up_at = Some(bound);
            open = open.into_iter().map(|Reverse((_, id))| Reverse((0, id))).collect();
        } else if nodes == 2 * nodes_max {
            break;
        }
        let Some(Reverse((total, Reverse(id)))) = open.pop() else {
            return Found::Impossible;
        };
        let Some(mut node) = arena[id].take() else { continue };
        let Some(clash) = sides.clash(node.matching.columns(), &node.charged) else {
            return match given_up_at {
                None => Found::Best { node, total, nodes },
                Some(at_least) => {
                    let total = node.matching.total(cost) + node.price;
                    Found::Good { node, total, at_least, nodes }
                }
            };
        };
        let mut put = |node: Node| {
            if !sides.possible(&node.matching) {
                return;
            }
            let bound = if given_up_at.is_some() { 0 } else { node.matching.total(cost) + node.price };
            open.push(Reverse((bound, Reverse(arena.len()))));
            arena.push(Some(node));
        };
        let (last, before) = match (&clash.price, clash.literals.split_last()) {
            (None, Some((last, before))) => (Some(*last), before),
            _ => (None, &clash.literals[..]),
        };
        for &(row, pins) in before {
            let mut part =
                Node { matching: node.matching.clone(), charged: node.charged.clone(), price: node.price };
            if part.matching.forbid(row, pins, cost) {
                put(part);
            }
            // The row's own column is among `pins`, so this changes no matching.
            node.matching.forbid(row, !pins, cost);
        }
        if let Some((row, pins)) = last {
            if node.matching.forbid(row, pins, cost) {
                put(node);
            }
        } else if let Some(price) = clash.price {
            node.charged.push(price.rows);
            node.price += price.cost;
            put(node);
        }
    }
    Found::GaveUp
}
