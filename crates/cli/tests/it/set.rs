//! `set` and `--fix-with` on files: whole or not at all, and nothing but what was asked.

use crate::contract::{shipped, with_plan};
use crate::shell::Folder;
use std::fs;

const PLAN: &str = "# mine\n[camera]\nsize = \"1600x1200\"   # large\nquality = 14\n\n[lens]\nsheet = \"orthographic-140\" # é\n";

#[test]
fn a_change_is_written_and_shown_and_comments_stay() {
    let folder = with_plan("set-one", PLAN);
    let ran = folder.run(&["set", "plan.toml", "camera.size=800x600", "camera.height = 1.5 m"]);
    assert_eq!((ran.code, ran.out.as_str()), (0, ""), "{}", ran.err);
    assert!(ran.err.contains("+ size = \"800x600\"   # large"), "{}", ran.err);
    let wanted =
        PLAN.replace("1600x1200", "800x600").replace("quality = 14\n", "quality = 14\nheight = \"1.5 m\"\n");
    assert_eq!(folder.get("plan.toml"), wanted);
    assert_eq!(folder.files(), ["plan.toml"]);
}

#[test]
fn of_several_changes_none_is_written_when_one_is_wrong() {
    let folder = with_plan("set-wrong", PLAN);
    for (change, words) in [
        ("camera.sise=640x480", "did you mean `camera.size`?"),
        ("camera.quality=200", "from 4 to 63"),
        ("camera.height=4", "has no unit"),
        ("camera.height=4 kg", "a length is wanted"),
        ("lens.sheet=orthographic-14", "did you mean \"orthographic-140\"?"),
        ("pins.plate=99", "is no pin"),
        ("pins.pate=any", "did you mean \"plate\"?"),
        ("camera.format=", "cannot be"),
        ("=", "a plan has no ``"),
    ] {
        let ran = folder.run(&["set", "plan.toml", "camera.quality=10", change]);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{change}: {}", ran.err);
        assert!(ran.err.contains(words), "{change}: {}", ran.err);
        assert_eq!(folder.get("plan.toml"), PLAN, "{change}");
    }
    assert_eq!(folder.files(), ["plan.toml"]);
}

#[test]
fn a_dry_run_shows_and_writes_nothing() {
    let folder = with_plan("set-dry", PLAN);
    let ran = folder.run(&["set", "--dry-run", "plan.toml", "camera.quality=10"]);
    assert_eq!(ran.code, 0);
    assert!(ran.err.contains("+ quality = 10"), "{}", ran.err);
    assert_eq!(folder.get("plan.toml"), PLAN);
}

#[test]
fn what_cannot_be_written_stays_whole() {
    // The longest name a file may have: it can be read, but no second file can be written beside it. A folder without
    // the right to write would do too, but not where tests run as root.
    let name = format!("{}.toml", "x".repeat(250));
    let folder = Folder::new("set-stuck");
    folder.put(&name, PLAN);
    let ran = folder.run(&["set", &name, "camera.quality=10"]);
    assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{}", ran.err);
    assert!(ran.err.contains("cannot be written"), "{}", ran.err);
    assert_eq!(folder.get(&name), PLAN);
    assert_eq!(folder.files(), [name]);
}

#[cfg(unix)]
#[test]
fn a_link_stays_a_link_and_rights_stay_as_they_are() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let folder = with_plan("set-link", PLAN);
    let (real, link) = (folder.0.join("plan.toml"), folder.0.join("link.toml"));
    fs::set_permissions(&real, fs::Permissions::from_mode(0o640)).expect("own file");
    symlink("plan.toml", &link).expect("a link");
    let ran = folder.run(&["set", "link.toml", "camera.quality=10"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(fs::symlink_metadata(&link).expect("it is there").is_symlink());
    assert_eq!(folder.get("plan.toml"), PLAN.replace("= 14", "= 10"));
    assert_eq!(fs::metadata(&real).expect("it is there").permissions().mode() & 0o777, 0o640);
}

#[test]
fn standard_input_is_read_but_never_written_to() {
    let folder = with_plan("set-stdin", PLAN);
    let before = folder.files();
    let commands: [&[&str]; 4] = [
        &["set", "-", "camera.quality=10"],
        &["check", "-", "--draws", "64", "--fix-with", "1"],
        &["tune", "lens", "--tape", "--distance", "1 m", "--marks", "-82, -36, 37, 83 cm", "--write", "-"],
        &["pins", "plan.toml", "--svg", "-"],
    ];
    for args in commands {
        let ran = folder.run_with(args, PLAN);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{args:?}: {}", ran.err);
        assert!(
            ran.err.contains("- stands for standard input") && ran.err.contains("hint: save it"),
            "{}",
            ran.err
        );
        assert_eq!(folder.files(), before, "{args:?}");
    }
    let dry = folder.run_with(&["set", "--dry-run", "-", "camera.quality=10"], PLAN);
    assert!(dry.code == 0 && dry.err.contains("+ quality = 10"), "nothing is written by it: {}", dry.err);
}

#[test]
fn a_byte_order_mark_and_windows_line_ends_stay() {
    let text = format!("\u{feff}{}", PLAN.replace('\n', "\r\n"));
    let folder = with_plan("set-mark", &text);
    let ran = folder.run(&["set", "plan.toml", "camera.quality=10"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(folder.get("plan.toml"), text.replace("= 14", "= 10"));
}

/// A demand may have a table of its own; what it is must outlive a change of its pin.
#[test]
fn a_demand_with_a_table_of_its_own_keeps_it() {
    let plan = "[board]\nsheet = \"wren\"\n[pins.ring]\nis = \"status-lamp\"  # the one at the gate\npin = 4  # soldered\n";
    let folder = with_plan("set-table", plan);
    let ran = folder.run(&["set", "plan.toml", "pins.ring=any"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(folder.get("plan.toml"), plan.replace("pin = 4", "pin = \"any\""));
    let refused = folder.run(&["set", "plan.toml", "pins=any"]);
    assert_eq!(refused.code, 2, "{}", refused.err);
}

#[test]
fn a_remedy_is_written_by_its_number_and_its_finding_is_gone() {
    let text = fs::read_to_string(shipped("kiln-yard-gate")).expect("ships");
    let folder = with_plan("fix", &text);
    let check = |folder: &Folder| -> serde_json::Value {
        let ran = folder.run(&["check", "plan.toml", "--json", "--draws", "256"]);
        serde_json::from_str(&ran.out).expect("JSON")
    };
    let codes = |json: &serde_json::Value| -> Vec<String> {
        let budgets = json["budgets"].as_array().expect("a list");
        let findings = budgets.iter().flat_map(|budget| budget["findings"].as_array().expect("a list"));
        findings.map(|finding| finding["code"].as_str().expect("a word").to_string()).collect()
    };
    let before = codes(&check(&folder));
    assert!(before.contains(&"memory.frame-buffer".to_string()), "{before:?}");
    let ran = folder.run(&["check", "plan.toml", "--draws", "256", "--fix-with", "1"]);
    assert_eq!(ran.out, "");
    let now = check(&folder);
    // The last lines tell what the next check will say, and so does the exit code.
    let (_, told) = ran.err.split_once("Now: ").expect("it is told");
    for budget in now["budgets"].as_array().expect("a list") {
        let (name, verdict) = (budget["name"].as_str().unwrap(), budget["verdict"].as_str().unwrap());
        let group =
            told.split(" · ").find(|group| group.contains(name)).expect("each budget stands somewhere");
        let word = match verdict {
            "fits" | "tight" => ["fit", "tight"][usize::from(verdict == "tight")],
            "unknown" => "not told",
            _ => "not fit",
        };
        assert!(group.contains(word), "{name} {verdict}: {told}");
    }
    assert!(told.contains("\nNext: "), "{told}");
    assert_eq!(ran.code == 0, matches!(now["verdict"].as_str(), Some("fits" | "tight")), "{}", ran.err);
    let after = codes(&now);
    assert!(!after.contains(&"memory.frame-buffer".to_string()), "{after:?}");
    let written = folder.get("plan.toml");
    let (old, new): (Vec<&str>, Vec<&str>) = (text.lines().collect(), written.lines().collect());
    let changed: Vec<_> = old.iter().zip(&new).filter(|(old, new)| old != new).collect();
    assert_eq!((old.len(), changed.len()), (new.len(), 1), "{changed:?}");
    let comment = |line: &str| line.split_once('#').map(|(_, comment)| comment.to_string());
    assert_eq!(comment(changed[0].0), comment(changed[0].1));
    for number in ["0", "99"] {
        let ran = folder.run(&["check", "plan.toml", "--draws", "64", "--fix-with", number]);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""));
        assert!(ran.err.contains(&format!("there is no remedy {number}")), "{}", ran.err);
        assert_eq!(folder.get("plan.toml"), written);
    }
}
