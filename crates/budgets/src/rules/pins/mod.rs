//! pins: can this board be wired at all?

use crate::rule::{Check, Rule};

/// The figures.
pub(super) static RULES: &[Rule] = &[];

/// The checks.
pub(super) static CHECKS: &[Check] = &[];
