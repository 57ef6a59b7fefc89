//! `export detector` and `export probe`: what is written, compiled with every warning denied and run on the host.

use crate::contract::{PLANS, shipped, with_plan};
use crate::shell::Folder;
use std::process::{Command, Stdio};
use tune::lines::{Rate, Unit, Wish, read};

/// A plan that has been tuned, and what feeds it, so that its plate can be imitated.
const TUNED: &str = "name = \"Kiln Yard */ ??/\"\n[supply]\nkind = \"cells\"\n[plate]\nsize = \"50 mm\"\nperiod = \"30 ms\"\n\
    idle_count = 950\ntouched_count = 860\nthreshold = 25\nhysteresis = 8\ndebounce = 1\ntrack = 9\ntuned = 20260314\n";

/// Compiles sources of the folder into `program`. Rust itself links by `cc`: where tests are built there is one.
pub(crate) fn compile(folder: &Folder, compiler: &str, sources: &[&str]) {
    let (cc, standard) = if compiler == "c" { ("cc", "-std=c99") } else { ("c++", "-std=c++11") };
    let done = Command::new(cc)
        .args([standard, "-Wall", "-Wextra", "-Werror", "-pedantic", "-Ifw", "-o", "program"])
        .args(sources)
        .current_dir(&folder.0)
        .output()
        .expect("the compiler that links Rust");
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
}

/// What the compiled program prints when it reads `input`.
pub(crate) fn program(folder: &Folder, input: &str) -> String {
    folder.put("input", input);
    let input = std::fs::File::open(folder.0.join("input")).expect("just written");
    let done = Command::new(folder.0.join("program")).stdin(Stdio::from(input)).output().expect("it starts");
    assert!(done.status.success());
    String::from_utf8(done.stdout).expect("ASCII")
}

const DETECT: &str = "#include \"dw_plate_config.h\"\n#include \"dw_plate_config.h\"\n#include <stdio.h>\n\
    static const dw_plate_config config = DW_PLATE_CONFIG;\nint main(void)\n{\n    static dw_plate plate;\n    unsigned count;\n\
    \x20   while (scanf(\"%u\", &count) == 1) {\n\
    \x20       printf(\"%u\\n\", (unsigned)dw_plate_sample(&plate, &config, (uint16_t)count));\n    }\n    return 0;\n}\n";

/// The exported files alone, fed by the twin: each press of its truth is told once, and nothing else is. The twin knows
/// nothing of the detector.
#[test]
fn the_exported_detector_finds_the_presses_of_the_twin() {
    let folder = with_plan("board-detector", TUNED);
    let made = ["export", "detector", "plan.toml", "--c", "fw"];
    let shown = folder.run(&made);
    assert_eq!(shown.code, 1, "{}", shown.err);
    assert!(shown.out.ends_with("3 of 3 files differ. Nothing is written; --write does.\n"), "{}", shown.out);
    assert_eq!(folder.files(), ["plan.toml"], "not even the folder");
    let written = folder.run(&[&made[..], &["--write"]].concat());
    assert_eq!(written.code, 0, "{}", written.err);
    let again = folder.run(&made);
    assert_eq!((again.code, again.out.lines().last()), (0, Some("All 3 files are the plan's.")));
    let config = folder.get("fw/dw_plate_config.h");
    assert!(config.contains("Tuned by a recording of 2026-03-14."), "{config}");

    folder.put("main.c", DETECT);
    compile(&folder, "c", &["fw/dw_plate.c", "main.c"]);
    let twin = ["twin", "plate", "plan.toml", "--format", "lines", "--presses", "30", "--without"];
    let twin =
        folder.run(&[&twin[..], &["rain,brushes,bursts,door,tails", "--truth", "truth.jsonl"]].concat());
    assert_eq!(twin.code, 0, "{}", twin.err);
    let presses = folder.get("truth.jsonl").matches("\"is\":\"press\"").count();
    assert_eq!(presses, 30);
    let told = program(&folder, &twin.out);
    let of = |bit: u8| told.lines().filter(|line| line.parse::<u8>().expect("a number") & bit != 0).count();
    assert_eq!((of(1), of(2)), (presses, presses), "presses and lifts");
}

#[test]
fn the_detector_of_every_plan_and_of_none_compiles_as_c_and_as_cpp() {
    let folder = Folder::new("board-compile");
    folder.put("main.c", DETECT);
    folder.put("main.cpp", DETECT);
    for plan in [&[shipped(PLANS[0])][..], &[shipped(PLANS[3])], &[]] {
        let plan: Vec<&str> = plan.iter().map(String::as_str).collect();
        let ran = folder.run(&[&["export", "detector", "--c", "fw", "--write"], &plan[..]].concat());
        assert_eq!(ran.code, 0, "{}", ran.err);
        let config = folder.get("fw/dw_plate_config.h");
        assert!(config.contains("Not tuned: usual values."), "{config}");
        compile(&folder, "c", &["fw/dw_plate.c", "main.c"]);
        compile(&folder, "c++", &["main.cpp", "-fsyntax-only"]);
    }
}

/// The tool's second look at a changed plan: only the file with constants differs, line by line.
#[test]
fn a_changed_threshold_is_shown_as_a_changed_line() {
    let folder = with_plan("board-changed", TUNED);
    let made = ["export", "detector", "plan.toml", "--c", "fw"];
    folder.run(&[&made[..], &["--write"]].concat());
    folder.put("plan.toml", TUNED.replace("threshold = 25", "threshold = 52"));
    let shown = folder.run(&made);
    assert_eq!(shown.code, 1);
    let lines: Vec<&str> = shown.out.lines().filter(|line| line.contains("THRESHOLD")).collect();
    assert!(
        matches!(lines[..], [was, now] if was.contains(" - ") && was.contains(" 25 ") && now.contains(" + ") && now.contains(" 52 ")),
        "{}",
        shown.out
    );
    assert!(shown.out.contains("fw/dw_plate.c  the same"), "{}", shown.out);
    let json = folder.run(&[&made[..], &["--json", "--write"]].concat());
    let told: serde_json::Value = serde_json::from_str(&json.out).expect("JSON");
    assert_eq!(
        (told["written"].as_bool(), told["files"][2]["was"].as_str(), told["files"][0]["was"].as_str()),
        (Some(true), Some("differs"), Some("same"))
    );
    let file = folder.run(&["export", "detector", "plan.toml", "--c", "plan.toml"]);
    assert_eq!(file.code, 2);
    assert!(file.err.contains("plan.toml is a file"), "{}", file.err);
}

/// A board whose loop takes 3 to 9 ms and whose clock is about to begin anew; it reads what standard input holds.
const PROBE_HOST: &str = "#include <stdint.h>\n#include <stdio.h>\n#include <stdlib.h>\n\
    void dw_probe(void);\nuint16_t dw_read_plate(void);\nuint32_t dw_clock_ms(void);\nvoid dw_print(const char *text);\n\
    static uint32_t now = 4294967295u - 20000u;\nstatic unsigned loops;\n\
    uint32_t dw_clock_ms(void) { return now; }\n\
    uint16_t dw_read_plate(void)\n{\n    unsigned count;\n    if (scanf(\"%u\", &count) != 1) {\n        exit(0);\n    }\n\
    \x20   return (uint16_t)count;\n}\n\
    void dw_print(const char *text) { fputs(text, stdout); }\n\
    int main(void)\n{\n    for (;;) {\n        dw_probe();\n        now += 3u + loops++ * 5u % 7u;\n    }\n}\n";

/// What the probe prints is read without a word from anybody: the twin's counts, the clock in milliseconds, a steady rate.
#[test]
fn the_probe_prints_what_the_log_reader_reads_by_itself() {
    let folder = with_plan("board-probe", TUNED);
    let ran = folder.run(&["export", "probe", "plan.toml", "--c", "fw/dw_probe.c", "--write"]);
    assert_eq!(
        (ran.code, ran.out.as_str()),
        (0, "fw/dw_probe.c  new, 77 lines\nThe file written.\n"),
        "{}",
        ran.err
    );
    folder.put("main.c", PROBE_HOST);
    compile(&folder, "c", &["fw/dw_probe.c", "main.c"]);
    let twin =
        folder.run(&["twin", "plate", "plan.toml", "--format", "lines", "--presses", "4", "--for", "90 s"]);
    assert_eq!(twin.code, 0, "{}", twin.err);
    let counts: Vec<u16> = twin.out.lines().map(|line| line.parse().expect("a count")).collect();
    let printed = program(&folder, &twin.out);
    assert!(printed.starts_with("dw ms=4294947295 plate="), "{}", &printed[..40]);

    let log = read(printed.as_bytes(), Wish::default()).expect("it needs no help");
    let names: Vec<(&str, &str)> =
        log.fields.iter().map(|field| (field.serves, field.name.as_str())).collect();
    assert_eq!(names, [("count", "plate"), ("time", "ms")]);
    assert_eq!((log.unit, log.unread.lines(), log.wraps, log.streams.len()), (Unit::Milliseconds, 0, 1, 1));
    let plate = &log.streams[0];
    assert_eq!(plate.counts().iter().collect::<Vec<_>>(), counts);
    assert_eq!(plate.rate(), Rate::Stream);
    let interval_s = plate.clock().expect("it has a clock").interval_s;
    // Due times are 30 ms apart; a reading is up to 9 ms late, and lateness does not add up.
    assert!((interval_s - 0.030).abs() < 1e-4, "{interval_s}");
}

#[test]
fn without_a_file_the_probe_is_printed_and_a_folder_takes_it_by_its_name() {
    let folder = Folder::new("board-probe-out");
    let printed = folder.run(&["export", "probe"]);
    assert!(printed.code == 0 && printed.out.contains("#define DW_PROBE_PERIOD_MS 30u\n"), "{}", printed.err);
    std::fs::create_dir(folder.0.join("fw")).expect("own folder");
    assert_eq!(folder.run(&["export", "probe", "--c", "fw", "--write"]).code, 0);
    assert_eq!(folder.get("fw/dw_probe.c"), printed.out);
    assert_eq!(folder.files(), ["fw/dw_probe.c"]);
}
