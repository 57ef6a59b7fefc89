//! What every command promises: exit codes, results on standard output alone, no colour where none is wanted, 80 columns.

use crate::shell::Folder;
use std::process::Command;

pub(crate) const PLANS: [&str; 4] =
    ["kiln-yard-gate", "kiln-yard-glaze-store", "bicycle-club-shed", "impossible"];

/// The path of a plan that ships.
pub(crate) fn shipped(name: &str) -> String {
    format!("{}/../../plans/{name}.toml", env!("CARGO_MANIFEST_DIR"))
}

/// A folder with a plan of this text.
pub(crate) fn with_plan(folder: &str, text: &str) -> Folder {
    let made = Folder::new(folder);
    made.put("plan.toml", text);
    made
}

/// A board without extra memory: 800x600 fits it and 1600x1200 does not, the trade's plainest fact.
const SMALL: &str = "[board]\nsheet = \"wren\"\n[chip]\nfree = \"190 kB\"\nlargest_block = \"0.9\"\n[lens]\nsheet = \"orthographic-140\"\n[supply]\nkind = \"usb\"\n[camera]\n";

fn verdict(folder: &Folder, args: &[&str]) -> (String, i32) {
    let ran = folder.run(&[&["check", "plan.toml", "--json", "--no-remedies"], args].concat());
    let json: serde_json::Value = serde_json::from_str(&ran.out).expect("it is JSON");
    (json["verdict"].as_str().expect("a word").to_string(), ran.code)
}

#[test]
fn the_exit_code_says_whether_the_plan_is_shown_to_fit() {
    let over = with_plan("exit-over", &format!("{SMALL}size = \"1600x1200\"\n"));
    assert_eq!(verdict(&over, &[]), ("over".into(), 1));
    assert_eq!(verdict(&over, &["--allow-unknown"]), ("over".into(), 1), "what is over is not unknown");
    let tight =
        with_plan("exit-tight", &std::fs::read_to_string(shipped("kiln-yard-glaze-store")).expect("ships"));
    assert_eq!(verdict(&tight, &["--draws", "256"]), ("tight".into(), 0));
    // Nothing is said of what feeds it: power cannot be told, all else fits.
    let text = std::fs::read_to_string(shipped("kiln-yard-glaze-store")).expect("ships");
    let unknown = with_plan("exit-unknown", &text.replace("kind = \"cells\"", ""));
    assert_eq!(verdict(&unknown, &["--draws", "0"]), ("unknown".into(), 1));
    assert_eq!(verdict(&unknown, &["--draws", "0", "--allow-unknown"]), ("unknown".into(), 0));
}

#[test]
fn a_budget_that_fits_alone_does_not_fail() {
    // Nominal and without draws nothing is unsure: the plan that is tight with draws fits.
    let ran = Folder::new("exit-fits").run(&["check", &shipped("kiln-yard-glaze-store"), "--draws", "0"]);
    assert_eq!(ran.code, 0, "{}", ran.out);
}

#[test]
fn bad_input_ends_with_2_and_words_on_standard_error_alone() {
    let folder = with_plan("bad", "[camera]\nhight = \"1 m\"\nsize = 3\n");
    folder.put("latin1.toml", b"name = \"T\xfcr\"\n");
    folder.put("long.toml", "#".repeat(5 << 20));
    folder.put("sheets/empty.txt", "");
    let cases: &[(&[&str], &[&str])] = &[
        (
            &["check", "plan.toml"],
            &["plan.toml:2:1", "hight", "height", "plan.toml:3:8", "2 problems to mend"],
        ),
        (&["check", "pan.toml"], &["pan.toml cannot be read", "did you mean ./plan.toml?"]),
        (&["check", "."], &[". cannot be read"]),
        (&["check", "latin1.toml"], &["latin1.toml:1 is not UTF-8 text (byte 10 of the file)"]),
        (&["check", "long.toml"], &["more than 4 MiB"]),
        (&["check"], &["Usage"]),
        (&["check", "plan.toml", "--draws", "-1"], &["unexpected argument '-1'"]),
        (&["check", "plan.toml", "--draws", "99999999"], &["--draws"]),
        (&["check", "plan.toml", "--seed", "x"], &["--seed"]),
        (&["chekc", "plan.toml"], &["check"]),
        (&["set", "plan.toml", "camera.size"], &["`camera.size` is no change"]),
        (&["set", "pan.toml", "camera.size=640x480"], &["cannot be read"]),
    ];
    let before = folder.files();
    for (args, words) in cases {
        let ran = folder.run(args);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{args:?}: {}", ran.err);
        for word in *words {
            assert!(ran.err.contains(word), "{args:?}: no {word} in {}", ran.err);
        }
    }
    assert_eq!(folder.files(), before);
    let piped = folder.run_with(&["check", "-"], "[camera]\nhight = 1\n");
    assert_eq!((piped.code, piped.out.as_str()), (2, ""));
    assert!(piped.err.contains("-:2:1"), "{}", piped.err);
}

#[test]
fn a_flood_of_problems_is_told_in_part() {
    let folder = with_plan("flood", &"???\n".repeat(100_000));
    let ran = folder.run(&["check", "plan.toml"]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.len() < 200_000 && ran.err.contains("to mend, the first 200 shown"), "{}", ran.err.len());
}

#[test]
fn results_go_to_standard_output_and_everything_else_to_standard_error() {
    let folder = Folder::new("streams");
    let gate = shipped("kiln-yard-gate");
    for args in [
        &["check", &gate, "--draws", "64"][..],
        &["check", &gate, "--json", "--draws", "64"],
        &["plan-schema"],
        &["sheets", "list"],
        &["explain", "plate"],
        &["--version"],
        &["check", "--help"],
    ] {
        let ran = folder.run(args);
        assert!(!ran.out.is_empty() && ran.err.is_empty(), "{args:?}: {}", ran.err);
    }
}

#[test]
fn colour_is_for_terminals_and_for_those_who_ask() {
    let folder = with_plan("colour", "[camera]\nhight = 1\n");
    let gate = shipped("kiln-yard-gate");
    let run = |args: &[&str], set: &[(&str, &str)]| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_doorwright"));
        command.args(args).current_dir(&folder.0).env("HOME", &folder.0).env("TERM", "xterm-256color");
        for name in ["NO_COLOR", "CLICOLOR", "CLICOLOR_FORCE", "XDG_DATA_HOME"] {
            command.env_remove(name);
        }
        let done = command.envs(set.iter().copied()).output().expect("it runs");
        [done.stdout, done.stderr].map(|bytes| String::from_utf8(bytes).expect("text"))
    };
    let check = ["check", &gate, "--draws", "64", "--no-remedies"];
    for args in [&check[..], &["check", "plan.toml"], &["explain", "plate"]] {
        let plain = run(args, &[]);
        assert!(!plain.concat().contains('\u{1b}'), "{args:?} in a pipe: {plain:?}");
        assert_eq!(run(args, &[("NO_COLOR", "1")]), plain);
        assert_eq!(run(args, &[("CLICOLOR", "0")]), plain);
        let painted = run(args, &[("CLICOLOR_FORCE", "1")]);
        assert!(painted.concat().contains('\u{1b}'), "{args:?}");
        // Colour adds nothing but colour.
        assert_eq!(painted.map(|text| without_colour(&text)), plain);
    }
    let json = run(&[&check[..], &["--json"]].concat(), &[("CLICOLOR_FORCE", "1")]);
    assert!(!json[0].contains('\u{1b}'), "JSON is never painted");
}

/// Without the sequences that begin with escape and end with `m`.
fn without_colour(text: &str) -> String {
    let mut parts = text.split('\u{1b}');
    let first = parts.next().unwrap_or_default().to_string();
    parts.fold(first, |plain, part| plain + part.split_once('m').map_or("", |(_, rest)| rest))
}

#[test]
fn every_line_of_a_check_fits_80_columns() {
    let folder = Folder::new("columns");
    for plan in PLANS {
        for extra in [&["--draws", "256"][..], &["--draws", "0", "--assumptions"], &["--no-remedies"]] {
            folder.run(&[&["check", &shipped(plan)], extra].concat()).fits_80();
        }
    }
    let long = with_plan(
        "columns-long",
        &format!("name = \"{}\"\nrevision = \"{}\"\n", "Tür 東".repeat(40), "B".repeat(99)),
    );
    long.run(&["check", "plan.toml", "--draws", "64"]).fits_80();
}

#[test]
fn every_figure_with_its_spread_fits_80_columns() {
    let folder = Folder::new("columns-figures");
    for plan in PLANS {
        for draws in ["0", "2048"] {
            folder.run(&["check", &shipped(plan), "--figures", "--no-remedies", "--draws", draws]).fits_80();
        }
    }
}

#[test]
fn every_command_has_help_with_an_example() {
    let folder = Folder::new("help");
    for command in [
        "new",
        "check",
        "pins",
        "export",
        "export into",
        "export header",
        "export settings",
        "export card",
        "export detector",
        "export probe",
        "tune",
        "tune lens",
        "twin",
        "twin plate",
        "set",
        "plan-schema",
        "explain",
        "sheets",
    ] {
        let ran = folder.run(&[&command.split(' ').collect::<Vec<_>>()[..], &["--help"]].concat());
        assert_eq!(ran.code, 0);
        assert!(ran.out.contains("Example") && ran.out.contains("doorwright "), "{command}: {}", ran.out);
    }
}
