//! `export station`: what is written, compiled as it is and run; and settings of a plan as such a station takes them.

use crate::board::{compile, program};
use crate::contract::{PLANS, shipped, with_plan};
use crate::shell::Folder;
use station::plan::Plan;
use station::sheets::Library;
use station::text::Source;

/// Takes settings from standard input, and prints what it says and the detector that it then runs.
const TRIES: &str = "#include \"dw_station.h\"\n#include <stdio.h>\n\
    static dw_station station;\n\
    uint32_t dw_clock_ms(void) { return 0; }\n\
    uint16_t dw_read_plate(void) { return 950; }\n\
    bool dw_send(const char *topic, const char *text) { printf(\"%s %s\\n\", topic, text); return true; }\n\
    bool dw_keep(const uint8_t *bytes, uint16_t size) { return bytes != NULL && size > 0; }\n\
    void dw_show(bool lamp, uint16_t tone_hz) { (void)lamp; (void)tone_hz; }\n\
    const char *dw_apply(uint8_t what, int32_t value) { (void)what; (void)value; return NULL; }\n\
    int main(void)\n{\n    static char text[8192];\n    size_t size = fread(text, 1, sizeof text, stdin);\n\
    \x20   const dw_plate_config *c = &station.config;\n\
    \x20   dw_station_start(&station, NULL, 0, DW_RESET_POWER, 1);\n    dw_station_linked(&station, true);\n\
    \x20   dw_station_heard(&station, \"to/\" DW_STATION_NAME \"/settings\", text, (uint32_t)size);\n\
    \x20   printf(\"%d %u %u %u %u %u %u %u %u %u %lu %lu %u %u\\n\", c->rises, c->median, c->debounce, c->calibrate, c->track,\n\
    \x20          c->track_away, c->track_noise, c->threshold, c->hysteresis, c->level, (unsigned long)c->hold,\n\
    \x20          (unsigned long)c->longest, c->dead, c->noisy);\n    return 0;\n}\n";

const SOURCES: [&str; 3] = ["fw/dw_plate.c", "fw/dw_station.c", "main.c"];

/// The detector of a plan as the host prints it.
fn detector_of(text: &str) -> String {
    let plan =
        Plan::read(Source::new("plan.toml", text), &Library::shipped()).expect("the test's plan is right");
    let c = export::plate::config(&plan);
    format!(
        "{} {} {} {} {} {} {} {} {} {} {} {} {} {}",
        u8::from(c.rises),
        c.median,
        c.debounce,
        c.calibrate,
        c.track,
        c.track_away,
        c.track_noise,
        c.threshold,
        c.hysteresis,
        c.level,
        c.hold,
        c.longest,
        c.dead,
        c.noisy
    )
}

/// What the station says to the settings that a plan exports, and the detector that it then runs.
fn tried(folder: &Folder, plan: &str) -> (serde_json::Value, String) {
    let settings = folder.run(&["export", "settings", plan, "--json"]);
    assert_eq!(settings.code, 0, "{}", settings.err);
    let read: Result<link::Settings, _> = serde_json::from_str(&settings.out);
    assert!(read.is_ok(), "the message is that of docs/station-link.md: {read:?}");
    let said = program(folder, &settings.out);
    let report = said.lines().find_map(|line| line.split_once("/settings ")).expect("it answers").1;
    let detector = said.lines().last().expect("its last line").to_string();
    (serde_json::from_str(report).expect("JSON"), detector)
}

/// Every plan that ships: its own settings are taken whole by the station that is made from it, and the detector is that of
/// `export detector`.
#[test]
fn a_station_takes_the_settings_of_its_plan() {
    for (at, plan) in PLANS.iter().enumerate() {
        let text = std::fs::read_to_string(shipped(plan)).expect("it ships");
        let folder = with_plan(&format!("station-end-{at}"), &text);
        let made = folder.run(&["export", "station", "plan.toml", "--c", "fw", "--write"]);
        assert_eq!(made.code, 0, "{}", made.err);
        assert!(made.out.ends_with("5 of 5 files written.\n"), "{}", made.out);
        folder.put("main.c", TRIES);
        compile(&folder, "c", &SOURCES);
        let (report, detector) = tried(&folder, "plan.toml");
        assert_eq!(report["refused"], serde_json::json!({}), "{report}");
        assert_eq!(report["state"], "trying", "{report}");
        assert_eq!(detector, detector_of(&text), "{plan}");
    }
}

/// A plan that has been tuned further: its settings turn the detector of the station that was burned before, without
/// flashing, into the very one that flashing would give. Whole ranges, and periods at which usual speeds change.
#[test]
fn turned_settings_give_the_detector_that_flashing_would() {
    let folder = with_plan("station-end-turned", "name = \"x\"\n");
    assert_eq!(folder.run(&["export", "station", "plan.toml", "--c", "fw", "--write"]).code, 0);
    folder.put("main.c", TRIES);
    compile(&folder, "c", &SOURCES);
    let mut plates: Vec<String> =
        [1000, 1415, 1416, 12_500, 30_000, 35_355, 35_356, 50_000, 70_710, 70_711, 141_422, 2_000_000]
            .iter()
            .map(|period_us| format!("period = \"{period_us} us\"\n"))
            .collect();
    plates.extend(
        [
            "threshold = 1\n",
            "threshold = 65535\nhysteresis = 65535\nnoisy = 65535\n",
            "threshold = 46\nhysteresis = 0\ntrack = 0\n",
            "track = 28\ntrack_away = 3\nmedian = 5\ndebounce = 20\n",
            "track_away = 12\ndead = \"1 h\"\nlongest = \"1 h\"\nperiod = \"1 ms\"\n",
            "longest = \"0 s\"\ndead = \"45 ms\"\nperiod = \"30 ms\"\n",
            "longest = \"12.345 s\"\ndead = \"70 s\"\nperiod = \"7 ms\"\nmedian = 3\n",
        ]
        .map(String::from),
    );
    for plate in plates {
        let text = format!("name = \"x\"\n[plate]\n{plate}");
        folder.put("turned.toml", &text);
        let (report, detector) = tried(&folder, "turned.toml");
        assert_eq!(report["refused"], serde_json::json!({}), "{plate}: {report}");
        assert_eq!(detector, detector_of(&text), "{plate}");
    }
}

#[test]
fn the_files_compile_as_cpp_and_stop_at_another_program() {
    let folder = with_plan("station-end-cpp", "name = \"Kiln Yard */ ??/\"\n[board]\nsheet = \"wren\"\n");
    let made =
        folder.run(&["export", "station", "plan.toml", "--c", "fw", "--name", "north-gate", "--write"]);
    assert_eq!(made.code, 0, "{}", made.err);
    assert!(folder.get("fw/dw_station_config.h").contains("#define DW_STATION_NAME \"north-gate\"\n"));
    folder.put("main.cpp", "#include \"dw_station.h\"\n#include \"dw_station.h\"\nstatic dw_station station;\nint main() { return station.linked; }\n");
    compile(&folder, "c++", &["main.cpp", "-fsyntax-only"]);
    // Beside the header of the same plan; not beside that of another, whose digest of the burned part is another.
    for (plan, compiles) in [("[board]\nsheet = \"wren\"\n", true), ("[board]\nsheet = \"heron\"\n", false)] {
        folder.put("other.toml", plan);
        // The header's exit code says whether every pin was found; here its digest matters.
        folder.run(&["export", "header", "other.toml", "--out", "fw/station_plan.h"]);
        folder.put(
            "both.c",
            "#include \"station_plan.h\"\n#include \"dw_station.h\"\nint main(void) { return 0; }\n",
        );
        let ran = std::process::Command::new("cc")
            .args(["-std=c99", "-Werror", "-Ifw", "-fsyntax-only", "both.c"])
            .current_dir(&folder.0)
            .output()
            .expect("the compiler that links Rust");
        assert_eq!(ran.status.success(), compiles, "{}", String::from_utf8_lossy(&ran.stderr));
    }
    let bad = folder.run(&["export", "station", "plan.toml", "--c", "fw", "--name", "North gate"]);
    assert_eq!(bad.code, 2);
    assert!(bad.err.contains("1 to 32 of a to z"), "{}", bad.err);
}

/// What docs/station-link.md says of its size; a chip of the small class has 520 KiB inside and stacks of 4 to 8 kB a task.
#[test]
fn the_stations_end_stays_small() {
    let folder =
        with_plan("station-end-small", &std::fs::read_to_string(shipped(PLANS[0])).expect("it ships"));
    assert_eq!(folder.run(&["export", "station", "plan.toml", "--c", "fw", "--write"]).code, 0);
    folder.put(
        "main.c",
        "#include \"dw_station.h\"\n#include <stdio.h>\nint main(void) { printf(\"%u\\n\", (unsigned)sizeof(dw_station)); return 0; }\n",
    );
    compile(&folder, "c", &["main.c"]);
    let memory_b: u32 = program(&folder, "").trim().parse().expect("a number");
    let run = |command: &str, arguments: &[&str]| {
        let ran = std::process::Command::new(command).args(arguments).current_dir(&folder.0).output();
        ran.ok()
            .filter(|ran| ran.status.success())
            .map(|ran| String::from_utf8_lossy(&ran.stdout).into_owned())
    };
    // gcc's own report of each function's frame; other compilers have none.
    let flags = ["-std=c99", "-Os", "-fstack-usage", "-Ifw", "-c", "fw/dw_station.c", "-o", "small.o"];
    let (Some(_), Some(sizes)) = (run("gcc", &flags), run("size", &["small.o"])) else { return };
    let of_program: Vec<u32> = sizes
        .lines()
        .nth(1)
        .expect("a row")
        .split_whitespace()
        .take(2)
        .filter_map(|n| n.parse().ok())
        .collect();
    let program_b: u32 = of_program.iter().sum();
    let frames = folder.get("small.su");
    let frame_b = |function: &str| {
        let line = frames
            .lines()
            .find(|line| line.split_whitespace().next().is_some_and(|name| name.ends_with(function)));
        line.and_then(|line| line.split_whitespace().nth(1)).and_then(|n| n.parse::<u32>().ok()).unwrap_or(0)
    };
    // The deepest way: a message is heard, answered, and the number of the start kept before that.
    let deepest = [":dw_station_heard", ":hear", ":answer", ":keep", ":table"];
    let stack_b: u32 = deepest.iter().map(|function| frame_b(function)).sum();
    println!("program and tables {program_b} B, memory {memory_b} B, stack {stack_b} B");
    assert!(
        memory_b <= 1200 && program_b <= 22_000 && (1500..=3000).contains(&stack_b),
        "{program_b} {memory_b} {stack_b}"
    );
}

/// Prints what a station says of its readings, the counts of standard input.
const READS: &str = "#include \"dw_station.h\"\n#include <stdio.h>\n#include <string.h>\n\
    static dw_station station;\nstatic uint32_t now_ms;\nstatic bool ended;\n\
    uint32_t dw_clock_ms(void) { return now_ms; }\n\
    uint16_t dw_read_plate(void) { unsigned count = 0; ended = scanf(\"%u\", &count) != 1; return (uint16_t)count; }\n\
    bool dw_send(const char *topic, const char *text)\n{\n    if (strstr(topic, \"/press\") == NULL && !ended) printf(\"%s %s\\n\", topic, text);\n    return true;\n}\n\
    bool dw_keep(const uint8_t *bytes, uint16_t size) { return bytes != NULL && size > 0; }\n\
    void dw_show(bool lamp, uint16_t tone_hz) { (void)lamp; (void)tone_hz; }\n\
    const char *dw_apply(uint8_t what, int32_t value) { (void)what; (void)value; return NULL; }\n\
    int main(void)\n{\n    static const char ask[] = \"{\\\"id\\\":\\\"t\\\",\\\"seconds\\\":86400}\";\n\
    \x20   dw_station_start(&station, NULL, 0, DW_RESET_POWER, 1);\n    dw_station_linked(&station, true);\n\
    \x20   dw_station_heard(&station, \"to/\" DW_STATION_NAME \"/readings\", ask, sizeof ask - 1);\n\
    \x20   for (; !ended; now_ms += 30) {\n        dw_station_turn(&station);\n    }\n    return 0;\n}\n";

/// From the wall to the threshold: what a station tells of its readings is tuned to as the readings themselves are.
#[test]
fn readings_that_a_station_tells_are_tuned_to() {
    let text = "name = \"gate\"\n[supply]\nkind = \"cells\"\n[plate]\nsize = \"50 mm\"\nperiod = \"30 ms\"\n";
    let folder = with_plan("station-end-readings", text);
    assert_eq!(folder.run(&["export", "station", "plan.toml", "--c", "fw", "--write"]).code, 0);
    folder.put("main.c", READS);
    compile(&folder, "c", &SOURCES);
    let twin = folder.run(&[
        "twin",
        "plate",
        "plan.toml",
        "--format",
        "lines",
        "--presses",
        "10",
        "--without",
        "rain,brushes,bursts,door,tails",
    ]);
    assert_eq!(twin.code, 0, "{}", twin.err);
    folder.put("plain.log", &twin.out);
    let said = program(&folder, &twin.out);
    folder.put("station.log", &said);
    let tuned = |log: &str, more: &[&str]| -> serde_json::Value {
        let ran = folder.run(&[&["tune", "plate", log, "--json"][..], more].concat());
        serde_json::from_str(&ran.out).unwrap_or_else(|_| panic!("{}", ran.err))
    };
    let (plain, station) = (tuned("plain.log", &["--every", "30 ms"]), tuned("station.log", &[]));
    assert_eq!(station["unread_lines"], 0, "{station}");
    for key in ["threshold", "hysteresis", "debounce_samples"] {
        assert_eq!(plain[key], station[key], "{key}");
    }
    assert_eq!(station["presses"].as_array().map(Vec::len), Some(10), "{station}");
    assert!((station["period_s"].as_f64().expect("a number") - 0.03).abs() < 1e-9, "{station}");
}
