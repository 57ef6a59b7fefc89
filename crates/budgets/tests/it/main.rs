//! Integration tests of the budgets: one binary, one file a subject.

mod by_hand;
mod coverage;
mod cures;
mod draws;
mod explain;
mod fields;
mod heat;
mod laws;
mod plate;
mod power;
mod radio;
mod remedies;
mod shipped;
mod timing;
