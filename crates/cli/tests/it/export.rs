//! `export`: what a compiler says of the header, what happens to the maker's own file, and that nothing secret comes out.

use crate::contract::{PLANS, shipped, with_plan};
use crate::shell::Folder;
use std::fs;
use std::process::Command;

const PLAN: &str = "[board]\nsheet = \"wren\"\n[camera]\nquality = 14\n[rest]\nidle_every = \"15 min\"\n\
    [pins]\nplate = 13\nstatus_lamp = 4\n";
const CONFIG: &str = "\u{feff}#define PLATE_PIN   27           // dw: plate.pin\r\n\
    idle_ms = 10000                  ; dw: idle.every in ms\r\nlamp(4, 200); // é dw: status_lamp.pin #1";

/// Compilers with the strictest of their usual settings. Rust itself links by `cc`, so where tests are built there is one.
const C: [&str; 6] = ["cc", "-std=c99", "-Wall", "-Wextra", "-Werror", "-pedantic"];
const CPP: [&str; 5] = ["c++", "-Wall", "-Wextra", "-Werror", "-pedantic"];

/// What a compiler says of a text that includes the header; `None` where there is no such compiler.
fn compiled(folder: &Folder, compiler: &[&str], source: &str) -> Option<Result<(), String>> {
    folder.put(
        source,
        "#include \"station_plan.h\"\n#include \"station_plan.h\"\nint main(void) { return 0; }\n",
    );
    let mut command = Command::new(compiler[0]);
    command.args(&compiler[1..]).args(["-fsyntax-only", source]).current_dir(&folder.0).env("LC_ALL", "C");
    let Ok(done) = command.output() else {
        println!("skipped: there is no {} here", compiler[0]);
        return None;
    };
    let says = String::from_utf8_lossy(&done.stderr).into_owned();
    Some(if done.status.success() { Ok(()) } else { Err(says) })
}

#[test]
fn compilers_take_the_header_of_every_plan() {
    let folder = Folder::new("export-compile");
    for plan in PLANS {
        let ran = folder.run(&["export", "header", &shipped(plan), "--out", "station_plan.h"]);
        // Two of the demands of the impossible plan find no pin, and that is said.
        let (code, words) =
            if plan == "impossible" { (1, "pins.second_") } else { (0, "Written: station_plan.h") };
        assert_eq!((ran.code, ran.out.as_str()), (code, ""), "{}", ran.err);
        assert!(ran.err.contains(words), "{}", ran.err);
        for (compiler, source) in [(&C[..], "a.c"), (&CPP[..], "a.cpp")] {
            assert_eq!(compiled(&folder, compiler, source).unwrap_or(Ok(())), Ok(()), "{plan}");
        }
    }
}

/// The compiler is the judge: each fault alone stops it, and its message names the fault.
#[test]
fn a_clash_a_missing_line_and_a_negative_pin_do_not_compile() {
    let folder = with_plan("export-clash", PLAN);
    folder.put("names.txt", "DW_PLATE_PIN = TOUCH_A\n");
    let header = folder.run(&["export", "header", "plan.toml", "--names", "names.txt"]);
    assert_eq!(header.code, 0, "{}", header.err);
    let d3 = "#define DW_D3_PIN         34";
    for (was, now, message) in [
        ("#define TOUCH_A            13", "#define TOUCH_A 34", "DW_D3_PIN_and_TOUCH_A_share_a_pin"),
        (d3, "#define DW_D3_PIN -1", "dw_the_camera_bus_has_not_eight_data_lines"),
        ("#define DW_STATUS_LAMP_PIN 4", "#define DW_STATUS_LAMP_PIN -1", "DW_STATUS_LAMP_PIN_is_negative"),
    ] {
        assert!(header.out.contains(was), "{}", header.out);
        folder.put("station_plan.h", header.out.replace(was, now));
        for (compiler, source) in [(&C[..], "a.c"), (&CPP[..], "a.cpp")] {
            if let Some(says) = compiled(&folder, compiler, source) {
                let says = says.expect_err("it must not compile");
                assert!(says.contains(message), "{message}: {says}");
                // In C each fault is one message; C++ puts it in several ways.
                let errors = says.matches("error:").count();
                assert!(
                    source == "a.cpp" || errors == says.matches(" negative").count(),
                    "nothing else: {says}"
                );
            }
        }
    }
}

#[test]
fn marked_numbers_are_shown_first_and_written_when_asked() {
    let folder = with_plan("export-into", PLAN);
    folder.put("config.h", CONFIG);
    let shown = folder.run(&["export", "into", "plan.toml", "config.h"]);
    assert_eq!(shown.code, 1, "{}", shown.err);
    for words in [
        "config.h:1  pins.plate 27 → 13\n",
        "   1 - #define PLATE_PIN   27           // dw: plate.pin\n",
        "   1 + #define PLATE_PIN   13           // dw: plate.pin\n",
        "config.h:2  rest.idle_every 10000 → 900000\n",
        "2 of 3 marked numbers differ. Nothing is written; --write does.\n",
    ] {
        assert!(shown.out.contains(words), "{words}: {}", shown.out);
    }
    assert_eq!(folder.get("config.h"), CONFIG);

    let json = folder.run(&["export", "into", "plan.toml", "config.h", "--json", "--write"]);
    assert_eq!(json.code, 0, "{}", json.err);
    let told: serde_json::Value = serde_json::from_str(&json.out).expect("JSON");
    assert_eq!((told["marked"].as_u64(), told["written"].as_bool()), (Some(3), Some(true)));
    assert_eq!(
        told["changes"][1],
        serde_json::json!({ "key": "rest.idle_every", "line": 2, "was": "10000", "now": "900000" })
    );
    assert_eq!(folder.get("config.h"), CONFIG.replace("  27  ", "  13  ").replace("10000", "900000"));

    let again = folder.run(&["export", "into", "plan.toml", "config.h"]);
    assert_eq!((again.code, again.out.as_str()), (0, "All 3 marked numbers are the plan's.\n"));
    let against = folder.run(&["pins", "plan.toml", "--against", "config.h"]);
    assert_eq!(against.code, 0, "{}", against.out);
    assert_eq!(folder.files(), ["config.h", "plan.toml"]);
}

#[cfg(unix)]
#[test]
fn rights_stay_and_what_is_refused_stays_whole() {
    use std::os::unix::fs::PermissionsExt;
    let folder = with_plan("export-refused", PLAN);
    folder.put("config.h", CONFIG);
    let file = folder.0.join("config.h");
    fs::set_permissions(&file, fs::Permissions::from_mode(0o750)).expect("own file");
    assert_eq!(folder.run(&["export", "into", "plan.toml", "config.h", "--write"]).code, 0);
    assert_eq!(fs::metadata(&file).expect("it is there").permissions().mode() & 0o777, 0o750);

    folder.put("wrong.h", "a = 27 // dw: plate.pin\nb = 1 // dw: camera.qualty\n");
    folder.put("latin1.h", b"a = 27 // T\xfcr dw: plate.pin\n");
    let before = folder.get("wrong.h");
    for (args, words) in [
        (["wrong.h", "--write"], "did you mean `camera.quality`?"),
        (["latin1.h", "--write"], "latin1.h:1 is not UTF-8 text"),
        (["plan.toml", "--write"], "no line of this file is marked"),
        (["-", "--write"], "- stands for standard input"),
        (["nowhere.h", "--write"], "cannot be read"),
    ] {
        let ran = folder.run(&[&["export", "into", "plan.toml"][..], &args].concat());
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{args:?}");
        assert!(ran.err.contains(words), "{args:?}: {}", ran.err);
    }
    assert_eq!(folder.get("wrong.h"), before);
}

#[test]
fn a_name_that_is_none_is_told_with_its_line() {
    let folder = with_plan("export-names", PLAN);
    folder.put("names.txt", "# ours = mine\nDW_PLATE_PN = TOUCH_A\n");
    let ran =
        folder.run(&["export", "header", "plan.toml", "--names", "names.txt", "--out", "station_plan.h"]);
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    assert!(
        ran.err.contains("names.txt:2:1") && ran.err.contains("did you mean DW_PLATE_PIN?"),
        "{}",
        ran.err
    );
    assert_eq!(folder.files(), ["names.txt", "plan.toml"]);
}

/// No plan holds a password, a key or the name of a network; nothing that is exported asks for one or makes one up.
#[test]
fn nothing_secret_comes_out() {
    let folder = Folder::new("export-secret");
    for plan in PLANS {
        for form in ["header", "settings", "card"] {
            let ran = folder.run(&["export", form, &shipped(plan)]);
            let said = (ran.out + &ran.err).to_lowercase();
            for word in
                ["password", "passphrase", "pass_phrase", "psk", "ssid", "secret", "token", "hmac", "private"]
            {
                assert!(!said.contains(word), "{plan}, {form}: {word}");
            }
        }
    }
}

/// What needs flashing moves one digest, what is sent moves the other: the station tells by them what it lacks.
#[test]
fn a_setting_moves_the_revision_and_a_pin_the_burned_part() {
    let folder = with_plan("export-settings", PLAN);
    let told = |text: &str| -> (String, String) {
        folder.put("plan.toml", text);
        let ran = folder.run(&["export", "settings", "plan.toml", "--json"]);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""));
        let json: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
        assert_eq!(json["settings"]["rest.idle_every_ms"], 900_000);
        let word = |key: &str| json[key].as_str().expect("a word").to_string();
        (word("revision"), word("burned"))
    };
    let (base, quality, pin) =
        (told(PLAN), told(&PLAN.replace("14", "15")), told(&PLAN.replace("plate = 13", "plate = 33")));
    assert!(base.0 != quality.0 && base.1 == quality.1);
    assert!(base.0 == pin.0 && base.1 != pin.1);
}
