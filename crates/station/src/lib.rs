//! A door station as a plan says it: part sheets and the plan, one reader, exact positions, one field table.
//!
//! Start at [`fields`] (what can be said), then [`plan`] (how a text becomes a station). [`sheets`] is the library
//! of parts. Nothing here judges: verdicts are the business of `budgets`. No input or output, no clock.

pub mod choices;
pub mod draft;
pub mod edit;
pub mod fields;
pub mod parts;
pub mod plan;
pub mod reach;
pub mod relevance;
pub mod sample;
pub mod schema;
pub mod sheets;
pub mod text;
pub mod tree;
pub mod values;
