//! `check --drawings` and `check --works`: which files, what is said of those that are missing, and the table.

use crate::shell::Folder;
use serde_json::Value;

const GATE: &str = include_str!("../../../../plans/kiln-yard-gate.toml");

fn quick(folder: &Folder, more: &[&str]) -> crate::shell::Ran {
    let args = ["check", "gate.toml", "--draws", "64", "--no-remedies"];
    folder.run(&args.into_iter().chain(more.iter().copied()).collect::<Vec<_>>())
}

#[test]
fn drawings_are_listed_and_missing_ones_say_why() {
    let folder = Folder::new("drawings-gate");
    folder.put("gate.toml", GATE);
    let ran = quick(&folder, &["--drawings", "paper/of the gate"]);
    insta::assert_snapshot!(ran.err, @r"
    Written: paper/of the gate/01-margins.svg
    Written: paper/of the gate/02-door.svg
    Written: paper/of the gate/03-ground.svg
    Written: paper/of the gate/04-wiring.svg
    Written: paper/of the gate/05-light.svg
    Written: paper/of the gate/06-radio.svg
    no cells: the station is not fed by cells ([supply] kind)
    Written: paper/of the gate/08-feed.svg
    Written: paper/of the gate/09-heat.svg
    Written: paper/of the gate/10-timing.svg
    Written: paper/of the gate/11-works.svg
    Written: paper/of the gate/12-template.svg
    Written: paper/of the gate/13-circuits.svg
    Written: paper/of the gate/index.html
    ");
    let listed = ran.err.lines().filter_map(|line| line.strip_prefix("Written: ").map(str::to_string));
    let mut wanted: Vec<String> = listed.chain(["gate.toml".into()]).collect();
    wanted.sort();
    assert_eq!(folder.files(), wanted, "what is listed is there, and nothing half written beside it");
    // The sheet is printed as without drawings, and the exit code is the plan's.
    assert_eq!((ran.out, ran.code), {
        let plain = quick(&folder, &[]);
        (plain.out, plain.code)
    });
    let page = folder.get("paper/of the gate/index.html");
    for file in folder.files().iter().filter_map(|file| file.strip_prefix("paper/of the gate/")) {
        // The template is named and not shown: the page would shrink it.
        let shown = page.contains(&format!("src=\"{file}\""));
        assert!(shown != ["index.html", "12-template.svg"].contains(&file), "{file}");
    }
    let again = folder.get("paper/of the gate/01-margins.svg");
    quick(&folder, &["--drawings", "paper/of the gate"]);
    assert_eq!(again, folder.get("paper/of the gate/01-margins.svg"), "the same plan gives the same bytes");
}

#[test]
fn a_drawing_of_an_earlier_check_is_named_and_left() {
    let folder = Folder::new("drawings-earlier");
    folder.put("gate.toml", GATE);
    quick(&folder, &["--drawings", "paper"]);
    let without: Vec<&str> = GATE.lines().filter(|line| !line.starts_with("facing = ")).collect();
    assert!(without.len() < GATE.lines().count());
    folder.put("gate.toml", without.join("\n"));
    let ran = quick(&folder, &["--drawings", "paper"]);
    assert!(ran.err.contains("([site] facing); paper/09-heat.svg is of an earlier check"), "{}", ran.err);
    assert!(folder.files().contains(&"paper/09-heat.svg".to_string()));
    assert!(!folder.get("paper/index.html").contains("09-heat.svg"));
}

#[test]
fn a_folder_that_cannot_be_made_is_bad_input() {
    let folder = Folder::new("drawings-no-folder");
    folder.put("gate.toml", GATE);
    let ran = quick(&folder, &["--drawings", "gate.toml"]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("the folder gate.toml cannot be made"), "{}", ran.err);
    assert_eq!(folder.get("gate.toml"), GATE);
}

#[test]
fn what_still_works_in_a_terminal_and_as_json() {
    let folder = Folder::new("works");
    folder.put("gate.toml", GATE);
    let ran = quick(&folder, &["--works"]);
    let table = ran.out.split("\n What still works").nth(1).expect("the table");
    insta::assert_snapshot!(table, @r"
    while one part is down
    down            felt     known    seen     answered released way out    a year
    nothing         yes      yes      yes      –        yes      yes
    power in house  no       no       no       –        no       yes        2.02 h
    router          yes      late     no       –        no       yes        4.38 h
    internet        yes      yes      yes      –        yes      yes        12.3 h
    server          yes      late     no       –        no       yes          11 h
    phone           yes      yes      yes      –        yes      yes      29.2 days
    camera          yes      yes      no       –        yes      yes           4 h
    lens            yes      yes      no       –        yes      yes      4.17 days
      felt: the caller is told that the press was felt. known: somebody hears of
      it, in the house or away. seen: a picture comes or is kept. answered: by
      words; a plan tells no microphone and no loudspeaker, so nobody can speak to
      the caller. released: the door opens over the network. way out: a person
      inside gets out.
      late: once the part is back, since the station keeps the press. opens: the
      lock lets go by itself. –: there is none. ?: the plan does not tell. power
      in house: a power cut there. One part is down at a time; hours are a year's.
    ");
    assert!(ran.out.lines().all(|line| line.chars().count() <= 80));
    let json: Value = serde_json::from_str(&quick(&folder, &["--works", "--json"]).out).unwrap();
    let rows = json["what_still_works"].as_array().unwrap();
    for row in rows {
        let line =
            table.lines().find(|line| line.trim_start().starts_with(row["fails"].as_str().unwrap())).unwrap();
        for column in ["felt", "known", "seen", "answered", "released", "way_out"] {
            let word = row[column].as_str().unwrap();
            assert!(["yes", "late", "no", "open", "none", "unknown"].contains(&word), "{row}");
            assert!(line.contains(if word == "none" { "–" } else { word }), "{line}: {word}");
        }
        assert_eq!(row["hours_a_year"].is_null(), row["fails"] == "nothing");
    }
    let without: Value = serde_json::from_str(&quick(&folder, &["--json"]).out).unwrap();
    assert!(without.get("what_still_works").is_none(), "only when it is asked");
    // A plan that does not tell how a press is heard.
    folder.put("gate.toml", "");
    let ran = quick(&folder, &["--works"]);
    assert!(
        ran.err.contains("What still works cannot be told: the plan does not tell how a press is heard"),
        "{}",
        ran.err
    );
    let json: Value = serde_json::from_str(&quick(&folder, &["--works", "--json"]).out).unwrap();
    assert!(json["what_still_works"].is_null());
}
