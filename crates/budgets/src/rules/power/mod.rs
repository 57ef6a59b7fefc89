//! power: does it start, hold up, and last?

pub(super) mod feed;
pub(super) mod life;

use super::{clause, figure, fine, found, gap, percent};
use crate::physics;
use crate::rule::{Budget, Check, Rule, Sense, Verdict};
use quantity::show;
use station::choices::SupplyKind;
use station::plan::Plan;

fn cells(plan: &Plan) -> bool {
    plan.station.supply.kind == SupplyKind::Cells
}
