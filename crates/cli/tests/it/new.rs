//! `doorwright` alone and `doorwright new`: from an empty folder to a plan that checks.

use crate::shell::{Folder, Ran};
use insta::assert_snapshot;
use std::fs;

/// A first verdict: title, at least one budget, one next step, nothing wider than the sheet.
fn is_first_verdict(ran: &Ran) {
    assert_eq!(ran.code, 0, "{}", ran.err);
    ran.fits_80();
    let first = ran.out.lines().next().unwrap();
    assert!(first.contains(" given · ") && first.ends_with("rest assumed"), "{first}");
    let next = ran.out.lines().filter(|line| line.trim_start().starts_with("Next:")).count();
    assert_eq!(next, 1, "{}", ran.out);
    assert!(ran.out.lines().count() <= 30, "a first look is short:\n{}", ran.out);
    assert!(!ran.out.contains("draws, seed"), "silent about draws");
}

#[test]
fn an_empty_folder_shows_the_four_ways_with_their_commands() {
    let folder = Folder::new("start");
    assert_snapshot!(folder.run(&[]).whole(), @r"
    No plan here yet. Where are you?
      1  I have a board in my hand     doorwright new --board NAME|PINTABLE-FILE
      2  I am still choosing parts     doorwright sheets list board
      3  It already hangs by the door  doorwright new
      4  Show me a finished one        doorwright new --like kiln-yard-gate
    --- 0
    ");
    assert!(folder.files().is_empty());
}

#[test]
fn a_folder_with_plans_lists_them_and_nothing_else() {
    let folder = Folder::new("list");
    folder.put("gate.toml", "name = \"Gate\"\nrevision = \"B\"\n[camera]\nheight = \"1.4 m\"\n");
    folder.put("plans/shed.toml", "[supply]\nkind = \"cells\"\n");
    folder.put("odd.toml", "[camera]\nhight = 3\nquality = 99\n");
    folder.put("Cargo.toml", "[package]\nname = \"x\"\n");
    folder.put("board.toml", "kind = \"board\"\nname = \"b\"\n[camera]\n");
    folder.put("bytes.toml", [b'[', 0xff, 0xfe]);
    assert_snapshot!(folder.run(&[]).whole(), @r"
    3 plans here.
      Gate, rev B                         doorwright check gate.toml
      has 2 problems to mend              doorwright check odd.toml
      no name                             doorwright check plans/shed.toml
    Another one: doorwright new
    --- 0
    ");
}

#[test]
fn without_a_terminal_new_takes_its_defaults() {
    let folder = Folder::new("defaults");
    let ran = folder.run(&["new"]);
    is_first_verdict(&ran);
    assert_snapshot!(ran.err, @"Written: gate.toml, 11 lines. It is yours to edit.");
    assert_snapshot!(folder.get("gate.toml"), @r#"
    # Yours to edit. What is left out is assumed; doorwright check tells as what.
    name = "Gate"
    # Board and lens are open: doorwright sheets list board, tune lens --tape

    [camera]
    size = "800x600"         # of the picture
    height = "1.4 m"         # of the lens above the ground where callers stand
    scene = "yard"           # what it looks at: calm, yard or foliage

    [pins]
    plate = "any"            # check finds it a pin, or write its number
    "#);
    assert!(ran.out.contains("\n power   not told yet "), "nothing feeds it yet:\n{}", ran.out);
}

#[test]
fn all_answers_give_a_plan_that_check_reads() {
    let folder = Folder::new("answers");
    for board in ["none", "dipper", "heron", "plover", "siskin", "wren"] {
        for place in ["gate", "house-door", "indoors"] {
            for feed in ["plug", "long-cable", "cells", "not-yet"] {
                let file = format!("{board}-{place}-{feed}.toml");
                let flags =
                    ["new", &file, "--board", board, "--place", place, "--feed", feed, "--draws", "0"];
                let ran = folder.run(&flags);
                is_first_verdict(&ran);
                let lines = folder.get(&file).lines().count();
                assert!((11..=22).contains(&lines), "{file} has {lines} lines");
                let code = folder.run(&["check", &file, "--draws", "0", "--no-remedies"]).code;
                assert!(code == 0 || code == 1, "{file}: {code}");
            }
        }
    }
}

#[test]
fn the_first_verdict_is_the_one_that_check_gives() {
    let folder = Folder::new("same");
    let json = folder.run(&["new", "--feed", "cells", "--board", "heron", "--json"]);
    assert_eq!(json.code, 0);
    let read = |text: &str| serde_json::from_str::<serde_json::Value>(text).unwrap();
    // Two long texts that differ say nothing in a message; what differs is found by hand.
    assert!(read(&json.out) == read(&folder.run(&["check", "gate.toml", "--json"]).out));
}

#[test]
fn a_plan_that_is_there_is_not_replaced_unless_told() {
    let folder = Folder::new("force");
    folder.put("gate.toml", "mine");
    assert_snapshot!(folder.run(&["new"]).whole(), @r"
    --- 2
    error: gate.toml is there already
    hint: another name, or --force to replace it
    ");
    assert_eq!(folder.get("gate.toml"), "mine");
    assert_eq!(folder.run(&["new", "--force"]).code, 0);
    assert!(folder.get("gate.toml").contains("[camera]"));
}

#[test]
fn the_finished_plan_and_copies_of_plans() {
    let folder = Folder::new("like");
    let finished = folder.run(&["new", "--like", "kiln-yard-gate"]);
    is_first_verdict(&finished);
    assert!(finished.out.starts_with(" KILN YARD, COURTYARD GATE"));
    assert!(!folder.get("kiln-yard-gate.toml").contains("plans/"), "the copy lies here");
    is_first_verdict(&folder.run(&["new", "back-door", "--like", "kiln-yard-gate.toml"]));
    let (before, after) = (folder.get("kiln-yard-gate.toml"), folder.get("back-door.toml"));
    let changed: Vec<_> = before.lines().zip(after.lines()).filter(|(a, b)| a != b).collect();
    assert_eq!(changed, [("name = \"Kiln Yard, courtyard gate\"", "name = \"Back door\"")]);
    assert_eq!(before.lines().count(), after.lines().count());
    assert_snapshot!(folder.run(&["new", "--like", "kiln-yard-gate.toml"]).err, @r"
    error: the copy needs a name
    hint: doorwright new back-door.toml --like kiln-yard-gate.toml
    ");
    let missing = folder.run(&["new", "x.toml", "--like", "back-dor.toml"]);
    assert_eq!(
        (missing.code, missing.err.contains("did you mean ./back-door.toml?")),
        (2, true),
        "{}",
        missing.err
    );
}

#[test]
fn a_copy_takes_windows_line_ends_and_a_byte_order_mark() {
    let folder = Folder::new("crlf");
    folder.put("a.toml", "\u{feff}name = \"A\"\r\n# mine\r\n[camera]\r\nheight = \"1.5 m\" # kept\r\n");
    let ran = folder.run(&["new", "b.toml", "--like", "a.toml"]);
    is_first_verdict(&ran);
    let copy = folder.get("b.toml");
    assert!(
        copy.starts_with("name = \"B\"") && copy.contains("# mine") && copy.contains("# kept"),
        "{copy:?}"
    );
}

#[test]
fn hostile_plans_are_refused_and_nothing_is_written() {
    let folder = Folder::new("hostile");
    folder.put("latin.toml", b"name = \"T\xfcr\"\n");
    folder.put("big.toml", vec![b'#'; 5 << 20]);
    folder.put("broken.toml", "[camera\n");
    folder.put("wrong.toml", "[camera]\nhight = \"1 m\"\n");
    let before = folder.files();
    for (file, says) in [
        ("latin.toml", "latin.toml:1 is not UTF-8"),
        ("big.toml", "more than 4 MiB"),
        ("broken.toml", "broken.toml"),
        ("wrong.toml", "hight"),
    ] {
        let ran = folder.run(&["new", "x.toml", "--like", file]);
        assert_eq!(ran.code, 2, "{file}: {}", ran.out);
        assert!(ran.err.contains(says) && ran.out.is_empty(), "{}", ran.err);
    }
    assert_eq!(folder.files(), before);
}

#[test]
fn a_pin_table_becomes_the_boards_sheet_beside_the_plan() {
    let folder = Folder::new("table");
    folder.put("attic pins.txt", "D0 4, D1 16, D2 17, D3 18\nVSYNC=25\nsee note\n");
    let ran = folder.run(&["new", "door/front.toml", "--board", "attic pins.txt"]);
    assert_eq!(ran.code, 2, "the folder is not there: {}", ran.err);
    fs::create_dir(folder.0.join("door")).unwrap();
    let ran = folder.run(&["new", "door/front.toml", "--board", "attic pins.txt"]);
    is_first_verdict(&ran);
    assert_snapshot!(ran.err, @r"
      Read as loose text: four data lines (4 16 17 18); VSYNC 25.
      Not found: D4, D5, D6, D7, HREF, PCLK, XCLK, SCCB clock, SCCB data.
      Line 3 not understood: 'see note'.
    Written: door/sheets/board/attic-pins.toml, the board's sheet.
    Written: door/front.toml, 13 lines. It is yours to edit.
    ");
    let next: Vec<&str> = ran.out.lines().skip_while(|line| !line.contains("Next:")).map(str::trim).collect();
    assert_snapshot!(next.join(" "), @"Next: write chip and pads into door/sheets/board/attic-pins.toml (doorwright sheets list chip)");
    // The same table from a pipe.
    let pasted = folder.run_with(&["new", "b.toml", "--board", "-"], "VSYNC 25\r\nHREF 26\r\n");
    is_first_verdict(&pasted);
    assert!(folder.files().contains(&"sheets/board/pasted.toml".into()));
}

#[test]
fn a_wrong_board_names_the_nearest() {
    let folder = Folder::new("board");
    assert_snapshot!(folder.run(&["new", "--board", "hern"]).whole(), @r"
    --- 2
    error: there is neither a board sheet nor a file `hern`
    hint: did you mean heron? boards: dipper, heron, plover, siskin, wren; or the file with its pin table
    ");
    assert!(folder.files().is_empty());
    let place = folder.run(&["new", "--place", "gat e"]);
    assert_eq!(place.code, 2);
    assert!(place.err.contains("did you mean gate?"), "{}", place.err);
}

#[test]
#[cfg(unix)]
fn where_nothing_can_be_written_nothing_is_left() {
    use std::os::unix::fs::PermissionsExt;
    let folder = Folder::new("readonly");
    folder.put("pins.txt", "VSYNC 25, HREF 26");
    let set =
        |path: &std::path::Path, mode| fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
    set(&folder.0, 0o555);
    // The superuser writes anyway; then this test has nothing to say.
    let powerless = fs::write(folder.0.join("probe"), "").is_err();
    let plan = folder.run(&["new"]);
    let both = folder.run(&["new", "--board", "pins.txt", "--force"]);
    set(&folder.0, 0o755);
    if powerless {
        assert_eq!((plan.code, both.code), (2, 2), "{}{}", plan.err, both.err);
        assert!(
            plan.err.starts_with("error: gate.toml cannot be written: permission denied"),
            "{}",
            plan.err
        );
        assert_eq!(folder.files(), ["pins.txt"]);
    }
    // A folder in the plan's place cannot be replaced by anybody: the sheet written before it goes again.
    let blocked = Folder::new("blocked");
    blocked.put("pins.txt", "VSYNC 25, HREF 26");
    fs::create_dir(blocked.0.join("gate.toml")).unwrap();
    let ran = blocked.run(&["new", "--board", "pins.txt", "--force"]);
    assert_eq!(ran.code, 2);
    assert_eq!(blocked.files(), ["pins.txt"], "{}", ran.err);
}
