//! Hostile input of every reader: each seed of `fuzz/seeds`, each plan and sheet that ships, and changed copies.
//!
//! The promises are in `fuzz/src`; this runs them briefly on every change, `cargo xtask soak` for minutes.

use doorwright_fuzz::{Search, TARGETS, seeds};

/// Changed copies a target; the generator's seed is fixed, so a failure can be repeated.
const COPIES: usize = 500;

#[test]
fn changed_quantities_break_no_promise() {
    search("quantity");
}

#[test]
fn changed_sizes_break_no_promise() {
    search("size");
}

#[test]
fn changed_pin_tables_break_no_promise() {
    search("pintable");
}

#[test]
fn changed_plans_break_no_promise() {
    search("plan");
}

#[test]
fn changed_sheets_break_no_promise() {
    search("sheet");
}

#[test]
fn changed_edits_break_no_promise() {
    search("edit");
}

#[test]
fn changed_plate_logs_break_no_promise() {
    search("plate_log");
}

#[test]
fn changed_marked_lines_break_no_promise() {
    search("marked");
}

#[track_caller]
fn search(name: &str) {
    let (_, target) = TARGETS.iter().find(|(known, _)| *known == name).expect("a target of that name");
    let seeds = seeds(name).expect("the seeds can be read");
    assert!(!seeds.is_empty(), "no seeds for {name}");
    let found = Search::new(*target, &seeds, 1)
        .and_then(|mut search| (0..COPIES).try_for_each(|_| search.step()))
        .err();
    if let Some(found) = found {
        panic!("{name}: {}\n{:?}", found.said, String::from_utf8_lossy(&found.input));
    }
}
