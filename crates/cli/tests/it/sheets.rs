//! `doorwright sheets`: list, show, check, import.

use crate::shell::Folder;
use insta::assert_snapshot;
use serde_json::Value;

const HEADER: &str = "// the attic's board\n#define PWDN_GPIO_NUM -1\n#define XCLK_GPIO_NUM 27\n#define SIOD_GPIO_NUM 22\n\
    #define SIOC_GPIO_NUM 23\n#define Y9_GPIO_NUM 19\n#define Y8_GPIO_NUM 36\n#define Y7_GPIO_NUM 18\n#define Y6_GPIO_NUM 39\n\
    #define Y5_GPIO_NUM 5\n#define Y4_GPIO_NUM 34\n#define Y3_GPIO_NUM 35\n#define Y2_GPIO_NUM 32\n#define VSYNC_GPIO_NUM 25\n\
    #define HREF_GPIO_NUM 26\n#define PCLK_GPIO_NUM 21\n#define LED_GPIO_NUM 2\n#define FRAME_SIZE 10\n";

#[test]
fn every_kind_is_listed_within_80_columns() {
    let folder = Folder::new("list-all");
    let ran = folder.run(&["sheets", "list"]);
    assert_eq!(ran.code, 0);
    ran.fits_80();
    let json: Value = serde_json::from_str(&folder.run(&["sheets", "list", "--json"]).out).unwrap();
    let rows = json.as_array().unwrap();
    assert!(rows.len() > 80, "all that ship: {}", rows.len());
    for row in rows {
        let begins = format!("  {} ", row["name"].as_str().unwrap());
        assert!(ran.out.lines().any(|line| line.starts_with(&begins)), "{begins}");
        assert_eq!(row["ships"], true);
    }
}

#[test]
fn regulators_are_listed_with_their_source() {
    assert_snapshot!(Folder::new("list-one").run(&["sheets", "list", "regulator"]).whole(), @r"
    regulator: a voltage regulator: kind, own current, efficiency
      buck          switching regulator, steps down, for long cables fed with more
                    than 5 V
      buck-boost    switching regulator, keeps the rail from a full to an empty
                    lithium cell
      linear-nano   linear regulator for cells, about a microamp for itself
      linear-old    old linear regulator, milliamps for itself, a volt lost
      linear-quiet  modern linear regulator, microamps for itself
                    from: typical, from memory
    --- 0
    ");
}

#[test]
fn one_sheet_is_shown_with_units_and_sources() {
    let folder = Folder::new("show");
    let ran = folder.run(&["sheets", "show", "wide-100"]);
    assert_snapshot!(ran.whole(), @r"
    lens/wide-100: wide lens, straight lines stay straight, soft corners
      law        rectilinear
      view       100.0 ± 4.0°
      f_number   2.00 .. 2.60
      focus      1.0 .. 3.0 m (from: typical, from memory)
      sharpness  0.35 | 0.5 | 0.75 (from: typical, from memory)
      filter     cut
      from, unless said: invented for the demo
    --- 0
    ");
    for name in ["board/heron", "chip/classic-520k", "sensor/mayfly-2mp", "demand/plate"] {
        let ran = folder.run(&["sheets", "show", name]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        ran.fits_80();
    }
    let toml = folder.run(&["sheets", "show", "board/heron", "--toml"]).out;
    folder.put("sheets/board/mine.toml", toml.replace("name = \"heron\"", "name = \"mine\""));
    let mine = folder.run(&["sheets", "show", "mine"]);
    assert!(mine.out.contains("file: sheets/board/mine.toml"), "{}", mine.out);
}

#[test]
fn json_of_a_sheet_is_in_si() {
    let ran = Folder::new("show-json").run(&["sheets", "show", "board/heron", "--json"]);
    let json: Value = serde_json::from_str(&ran.out).unwrap();
    let ribbon = &json["values"]["ribbon"];
    assert_eq!((ribbon["value"].as_f64(), ribbon["unit"].as_str()), (Some(0.035), Some("m")));
    assert_eq!(json["stands_on"]["chip"], "classic-520k");
    assert_eq!(json["tables"]["camera_bus.xclk"], "IO27");
}

#[test]
fn wrong_names_get_the_nearest() {
    let folder = Folder::new("show-wrong");
    let err = |args: &[&str]| {
        let ran = folder.run(args);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""));
        ran.err
    };
    assert_snapshot!(err(&["sheets", "show", "glass"]), @r"
    error: several sheets are called `glass`
    hint: say which: wall/glass, cover/glass
    ");
    assert_snapshot!(err(&["sheets", "show", "board/hern"]), @r"
    error: there is no sheet board/hern
    hint: did you mean board/heron?
    ");
    assert_snapshot!(err(&["sheets", "list", "bord"]), @r"
    error: there is no kind of sheet `bord`
    hint: did you mean board? known: board, chip, sensor, lens, cell, regulator, conductor, wall, cover, case, demand
    ");
}

#[test]
fn a_header_becomes_a_sheet_that_reads() {
    let folder = Folder::new("import");
    folder.put("pins.h", HEADER);
    let ran = folder.run(&[
        "sheets",
        "import",
        "pins.h",
        "--name",
        "attic",
        "--chip",
        "classic-520k",
        "--title",
        "the \"attic\" board",
    ]);
    assert_snapshot!(ran.whole(), @r"
      Read as C header: eight data lines (32 35 34 5 39 18 36 19); XCLK 27, SCCB
        data 22, SCCB clock 23, VSYNC 25, HREF 26, PCLK 21; the lamp 2.
      Line 18 not understood: '#define FRAME_SIZE 10'.
    Next: write its pads into the sheet, then doorwright set PLAN board.sheet=attic
    --- 0
    Written: sheets/board/attic.toml. Compare each pin with its line there: a published table can be wrong.
    ");
    assert_snapshot!(folder.get("sheets/board/attic.toml"), @r#"
    kind = "board"
    name = "attic"
    title = "the \"attic\" board"
    source = "imported from pins.h"
    chip = "classic-520k"
    # pads = [4, 13]     # write here the pins that come out on the board's edge

    [camera_bus]
    d0 = 32          # line 13: #define Y2_GPIO_NUM 32
    d1 = 35          # line 12: #define Y3_GPIO_NUM 35
    d2 = 34          # line 11: #define Y4_GPIO_NUM 34
    d3 = 5           # line 10: #define Y5_GPIO_NUM 5
    d4 = 39          # line 9: #define Y6_GPIO_NUM 39
    d5 = 18          # line 8: #define Y7_GPIO_NUM 18
    d6 = 36          # line 7: #define Y8_GPIO_NUM 36
    d7 = 19          # line 6: #define Y9_GPIO_NUM 19
    vsync = 25       # line 14: #define VSYNC_GPIO_NUM 25
    href = 26        # line 15: #define HREF_GPIO_NUM 26
    pclk = 21        # line 16: #define PCLK_GPIO_NUM 21
    xclk = 27        # line 3: #define XCLK_GPIO_NUM 27
    sccb_clock = 23  # line 5: #define SIOC_GPIO_NUM 23
    sccb_data = 22   # line 4: #define SIOD_GPIO_NUM 22
    # power_down: not connected, line 2: #define PWDN_GPIO_NUM -1

    [wired]
    lamp = 2         # line 17: #define LED_GPIO_NUM 2

    # [connectors]          # or, better, each connector place by place: then the wiring list names the places
    # left = ["3V3", "GND", 4, 13]

    # [control_bus]         # what pulls the camera's control lines up, if you can see it
    # pull_up = "4.7 kohm"
    # rail = "3.3 V"

    # [values]              # what you measured; the rest is assumed and listed by doorwright check --assumptions
    # sleep_extras = "2 mA" # what the board draws while its chip sleeps
    # max_in = "5.5 V"      # most that its input stands
    "#);
    assert_eq!(folder.run(&["sheets", "check", "sheets/board/attic.toml"]).code, 0);
    // It serves a plan, with what the maker adds to it.
    let sheet = folder.get("sheets/board/attic.toml").replace("# pads", "pads");
    folder.put("sheets/board/attic.toml", sheet);
    assert_eq!(folder.run(&["new", "--board", "attic"]).code, 0);
    let again = folder.run(&["sheets", "import", "pins.h", "--name", "attic"]);
    assert_eq!((again.code, again.err.contains("is there already")), (2, true));
    assert_eq!(folder.run(&["sheets", "import", "pins.h", "--name", "attic", "--force"]).code, 0);
}

#[test]
fn a_stray_number_is_named_and_a_pipe_serves() {
    let folder = Folder::new("import-stray");
    let table = "data: [4, 16, 17, 18, 19, 23, 21, 5, 22]\r\nVSYNC=23; HREF: 25\r\n\r\nlens: see note\r\n";
    let ran = folder.run_with(&["sheets", "import", "-", "--stdout"], &format!("\u{feff}{table}"));
    assert_eq!(ran.code, 0);
    assert_snapshot!(ran.err, @r"
      Read as loose text: eight data lines (4 16 17 18 19 21 5 22); VSYNC 23, HREF
        25.
      Nine numbers for eight data lines; 23 also serves VSYNC, so it is the likely
        stray. Eight taken.
      Not found: PCLK, XCLK, SCCB clock, SCCB data.
      Line 4 not understood: 'lens: see note'.
    ");
    assert!(ran.out.contains("source = \"imported from pasted text\"") && !ran.out.contains('\r'));
    assert!(folder.files().is_empty());
}

#[test]
fn the_page_shows_what_an_import_prints() {
    let folder = Folder::new("import-page");
    let table = "data: [4, 16, 17, 18, 19, 23, 21, 5, 22]\nVSYNC=23; HREF: 25\nPCLK 26, XCLK 27\nSDA/SCL = 14/13\nled: 33\n\n\
        lens: see note\n";
    folder.put("pins.txt", table);
    let ran = folder.run(&["sheets", "import", "pins.txt", "--name", "attic", "--chip", "classic-520k"]);
    let page = include_str!("../../../../docs/first-ten-minutes.md");
    assert!(page.contains(&ran.out), "{}", ran.out);
}

#[test]
fn of_several_boards_one_is_chosen_by_name() {
    let folder = Folder::new("import-group");
    folder.put(
        "two.h",
        "#if defined(A)\n#define VSYNC_GPIO_NUM 5\n#elif defined(B)\n#define VSYNC_GPIO_NUM 6\n#endif\n",
    );
    assert_snapshot!(folder.run(&["sheets", "import", "two.h"]).whole(), @r#"
    --- 2
    error: there are 2 boards in this text
    hint: choose one with --group: "A" (line 1) · "B" (line 3)
    "#);
    assert_eq!(folder.run(&["sheets", "import", "two.h", "--group", "B", "--out", "house"]).code, 0);
    assert!(folder.get("house/sheets/board/b.toml").contains("vsync = 6"));
}

#[test]
fn what_is_no_pin_table_is_refused_and_nothing_is_written() {
    let folder = Folder::new("import-hostile");
    folder.put("note.txt", "see note\n");
    folder.put("latin.csv", b"D0;4\nbemerkung;f\xfcr\n");
    folder.put("big.csv", vec![b'x'; 5 << 20]);
    folder.put("empty.csv", "");
    folder.put("pins.txt", "VSYNC 25");
    folder.put("deep.json", "[".repeat(100_000));
    folder.put("nul.txt", "\0\0\0");
    let before = folder.files();
    for (args, says) in [
        (&["note.txt"][..], "note.txt: no camera line found"),
        (&["latin.csv"], "latin.csv:2 is not UTF-8"),
        (&["big.csv"], "more than 4 MiB"),
        (&["empty.csv"], "no camera line found"),
        (&["deep.json"], "deep.json: "),
        (&["nul.txt"], "nul.txt: "),
        (&["nix.txt"], "nix.txt cannot be read"),
        (&["pins.txt", "--name", "../up"], "cannot name a sheet"),
        (&["pins.txt", "--name", "Two words"], "cannot name a sheet"),
        (&["pins.txt", "--chip", "clasic-520k"], "did you mean chip/classic-520k?"),
        (&["pins.txt", "--group", "A"], "only one board"),
    ] {
        let ran = folder.run(&[&["sheets", "import"], args].concat());
        assert_eq!(ran.code, 2, "{args:?}: {}", ran.out);
        assert!(ran.err.contains(says) && ran.out.is_empty(), "{args:?}: {}", ran.err);
    }
    assert_eq!(folder.files(), before);
}

#[test]
fn check_looks_at_every_file_and_tells_problems_from_things_to_look_at() {
    let folder = Folder::new("check");
    folder.put("sheets/lens/good.toml", "kind = \"lens\"\nname = \"good\"\ntitle = \"t\"\nsource = \"s\"\n[values]\nlaw = \"rectilinear\"\nview = \"80 deg\"\n");
    folder.put(
        "sheets/lens/bad.toml",
        "kind = \"lens\"\nname = \"bad\"\ntitle = \"t\"\nsource = \"s\"\n[values]\nviev = \"80 deg\"\n",
    );
    folder
        .put("sheets/board/thin.toml", "kind = \"board\"\nname = \"thin\"\ntitle = \"t\"\nsource = \"s\"\n");
    let thin = folder.run(&["sheets", "check", "sheets/board/thin.toml"]);
    assert_eq!(thin.code, 0, "what to look at is no failure: {}", thin.err);
    assert!(thin.out.contains("things to look at") && thin.out.contains("names no chip"), "{}", thin.out);
    let all = folder.run(&["sheets", "check", "sheets/lens/bad.toml", "nix.toml", "sheets/lens/good.toml"]);
    assert_eq!(all.code, 2);
    assert!(all.out.contains("sheets/lens/good.toml: reads"), "{}", all.out);
    assert!(
        all.err.contains("sheets/lens/bad.toml:6") && all.err.contains("did you mean `view`?"),
        "{}",
        all.err
    );
    assert!(all.err.contains("nix.toml cannot be read"));
}

/// One broken file in the folder of sheets is no reason to refuse every plan beside it.
#[test]
fn a_broken_sheet_stops_only_the_plan_that_names_it() {
    let folder = Folder::new("broken");
    folder.put("sheets/lens/half.toml", "kind = \"lens\"\nname = \"half\"\n[values\n");
    folder.put("sheets/lens/umlaut.toml", b"kind = \"lens\"\nname = \"T\xfcr\"\n");
    folder.put("sheets/nameless.toml", "kind = \"lens\"\n");
    folder.put("other.toml", "[lens]\nsheet = \"plain-66\"\n");
    for args in [
        &["check", "other.toml", "--draws", "0", "--allow-unknown"][..],
        &["set", "other.toml", "camera.quality=12"],
    ] {
        let ran = folder.run(args);
        assert!(ran.code < 2, "{args:?}: {}", ran.err);
        let notes: Vec<&str> = ran.err.lines().filter(|line| line.starts_with("note: ")).collect();
        assert_eq!(notes.len(), 1, "{}", ran.err);
        assert!(notes[0].contains("sheets/lens/half.toml (and 2 more) is left out"), "{}", ran.err);
    }
    for (name, words) in [
        ("half", "sheets/lens/half.toml:3"),
        ("umlaut", "is not UTF-8"),
        ("nameless", "the sheet has no `name`"),
    ] {
        folder.put("plan.toml", format!("[lens]\nsheet = \"{name}\"\n"));
        let ran = folder.run(&["check", "plan.toml"]);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{name}");
        assert!(ran.err.contains(words) && ran.err.contains("1 problem to mend"), "{name}: {}", ran.err);
    }
    let list = folder.run(&["sheets", "list", "lens"]);
    assert_eq!(list.code, 0);
    assert!(list.out.contains("plain-66") && list.out.contains("half"), "{}", list.out);
    assert!(list.err.contains("3 problems to mend"), "{}", list.err);
}
