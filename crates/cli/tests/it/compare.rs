//! `doorwright compare` from outside: the table, the exit code, what it refuses.

use crate::shell::Folder;

const GATE: &str = include_str!("../../../../plans/kiln-yard-gate.toml");

#[test]
fn boards_and_sizes_stand_side_by_side_in_80_columns() {
    let folder = Folder::new("compare-table");
    folder.put("gate.toml", GATE);
    let args =
        ["compare", "gate.toml", "--vary", "board=wren,dipper", "--vary", "camera.size=800x600,1600x1200"];
    let ran = folder.run(&args);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.lines().all(|line| line.chars().count() <= 80), "{}", ran.out);
    let row =
        |words: &[&str]| ran.out.lines().find(|line| words.iter().all(|word| line.contains(word))).unwrap();
    assert!(row(&["wren", "1600x1200"]).contains(" no "), "no extra memory");
    assert!(row(&["wren", "800x600"]).starts_with(" ▸ "), "fits, and nothing beats it");
    let json: serde_json::Value =
        serde_json::from_str(&folder.run(&[&args[..], &["--json"]].concat()).out).unwrap();
    assert_eq!(json["rows"].as_array().unwrap().len(), 4);
}

#[test]
fn when_no_combination_fits_the_exit_code_says_so() {
    let folder = Folder::new("compare-none");
    folder.put("gate.toml", GATE);
    let ran = folder.run(&["compare", "gate.toml", "--vary", "camera.size=1600x1200", "--draws", "64"]);
    assert_eq!(ran.code, 1);
}

#[test]
fn a_part_that_is_not_there_is_named_with_the_nearest() {
    let folder = Folder::new("compare-wrong");
    folder.put("gate.toml", GATE);
    let ran = folder.run(&["compare", "gate.toml", "--vary", "board=wren,hern"]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("did you mean heron?"), "{}", ran.err);
    assert_eq!(folder.run(&["compare", "gate.toml", "--vary", "board"]).code, 2);
    assert_eq!(folder.run(&["compare", "gate.toml"]).code, 2);
}
