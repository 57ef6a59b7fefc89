//! `doorwright tune plate`: logs of the twin, whose truth is known, logs that cannot tell, a plan that takes the result.

use crate::contract::with_plan;
use crate::shell::Folder;
use serde_json::Value;
use std::io::Write as _;

const GATE: &str =
    "# ours\n[plate]\nsize = \"60 mm\"  # brass\n[cover]\nthickness = \"1 mm\"\n[supply]\nkind = \"cells\"\n";
/// What every answer has, whether it can tell or not.
const KEYS: [&str; 15] = [
    "idle",
    "touched",
    "snr",
    "sense",
    "threshold",
    "hysteresis",
    "debounce_samples",
    "false_presses_per_year",
    "missed_per_thousand",
    "response_s",
    "presses",
    "unread_lines",
    "verdict",
    "says",
    "log",
];

/// A log of the twin and its presses' start and end.
fn made(folder: &Folder, more: &[&str]) -> (String, Vec<(f64, f64)>) {
    let args: Vec<&str> = ["twin", "plate", "plan.toml", "--truth", "truth.jsonl"]
        .into_iter()
        .chain(more.iter().copied())
        .collect();
    let ran = folder.run(&args);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let truth = folder.get("truth.jsonl");
    let events = truth.lines().map(|line| serde_json::from_str::<Value>(line).unwrap());
    let is_press = |event: &Value| {
        event["kind"].as_str().is_some_and(|kind| ["adult", "child", "glove"].contains(&kind))
    };
    let presses = events
        .filter(is_press)
        .map(|event| (event["start_s"].as_f64().unwrap(), event["end_s"].as_f64().unwrap()))
        .collect();
    (ran.out, presses)
}

fn json(folder: &Folder, args: &[&str]) -> (i32, Value) {
    let all: Vec<&str> = ["tune", "plate", "--json"].into_iter().chain(args.iter().copied()).collect();
    let ran = folder.run(&all);
    let json = serde_json::from_str(&ran.out).unwrap_or_else(|_| panic!("{}{}", ran.out, ran.err));
    (ran.code, json)
}

/// The twin's log, in every format that it writes, gives the presses that truly happened.
#[test]
fn the_twins_presses_are_found_whatever_the_log_looks_like() {
    let folder = with_plan("tune-plate", GATE);
    for (format, more) in [("csv", vec![]), ("json", vec![]), ("lines", vec!["--every", "50 ms"])] {
        let quiet = "rain,brushes,bursts,door,lost";
        let (log, truth) = made(
            &folder,
            &[
                "--for",
                "10 min",
                "--rate",
                "20 /s",
                "--presses",
                "12",
                "--format",
                format,
                "--without",
                quiet,
                "--seed",
                "5",
            ],
        );
        folder.put("plate.log", &log);
        let (_, json) = json(&folder, &["plate.log"].into_iter().chain(more).collect::<Vec<_>>());
        let told = json["presses"].as_array().unwrap_or_else(|| panic!("{format}: {json}"));
        assert_eq!(truth.len(), 12);
        let found = truth.iter().filter(|(start, end)| {
            told.iter().any(|press| {
                let (from, to) = (press["start_s"].as_f64().unwrap(), press["end_s"].as_f64().unwrap());
                from < *end + 0.1 && *start < to + 0.1
            })
        });
        let found = found.count();
        // A glove's press may be no deeper than noise; all others are told.
        assert!(found >= 10 && told.len() <= 12, "{format}: {found} of 12 found, {} told", told.len());
        for key in KEYS {
            assert!(!json[key].is_null(), "{format}: {key}");
        }
        assert_eq!(
            (&json["unread_lines"], &json["sense"]),
            (&Value::from(0), &Value::from("falls")),
            "{format}"
        );
        for interval in ["false_presses_per_year", "missed_per_thousand"] {
            let [low, value, high] =
                ["low", "value", "high"].map(|end| json[interval][end].as_f64().unwrap());
            assert!(0.0 <= low && low <= high && value >= 0.0, "{format}: {interval} {low} {value} {high}");
        }
    }
}

#[test]
fn the_sheet_fits_80_columns_and_says_what_is_not_shown() {
    let folder = with_plan("tune-plate-sheet", GATE);
    let (log, _) = made(&folder, &["--for", "5 min", "--rate", "33 /s"]);
    folder.put("plate.csv", &log);
    let ran = folder.run(&["tune", "plate", "plate.csv", "--asleep", "30 min", "--svg", "plate.svg"]);
    assert!(ran.out.lines().all(|line| line.chars().count() <= 80), "{}", ran.out);
    for word in [
        "threshold",
        "false presses a year",
        "missed in a thousand",
        "a fixed level",
        "asleep",
        "record a day",
    ] {
        assert!(ran.out.contains(word), "{word}: {}{}", ran.out, ran.err);
    }
    let drawn = folder.get("plate.svg");
    for word in
        ["presses found", "How often each count came", "What a threshold costs", "minutes", "plate.csv"]
    {
        assert!(drawn.contains(word), "{word}");
    }
    assert!(!drawn.contains("NaN"));
}

/// What cannot tell is refused with what to record instead, with every key that a program looks for.
#[test]
fn logs_that_cannot_tell_are_refused_with_reason() {
    let folder = Folder::new("tune-plate-refused");
    let log = |s: f64, n: usize, press: usize, deep: i32| -> String {
        let count = |at: usize| 950 + (at * 7 % 5) as i32 - if at % 400 < press { deep } else { 0 };
        (0..n).map(|at| format!("{:.3},{}\n", at as f64 * s, count(at).max(0))).collect()
    };
    for (log, says) in [
        (log(0.05, 4000, 0, 0), "no touch in it"),
        (log(0.05, 100, 0, 0), "too few"),
        (log(1.0, 4000, 9, 500), "a line a second or fewer"),
        (log(0.05, 4000, 40, 2000), "the end of the counter"),
        (log(0.05, 700, 9, 500), "only 1 press"),
    ] {
        folder.put("plate.csv", &log);
        let (code, json) = json(&folder, &["plate.csv"]);
        let whole = json["says"].to_string();
        assert!(code == 1 && whole.contains(says), "{says}: {code} {whole}");
        assert_eq!(json["verdict"], "unknown");
        for key in KEYS {
            assert!(json.as_object().unwrap().contains_key(key), "{says}: {key}");
        }
        let ran = folder.run(&["tune", "plate", "plate.csv"]);
        assert!(ran.code == 1 && ran.out.contains("Cannot tell"), "{}", ran.out);
    }
    assert_eq!(folder.run(&["tune", "plate", "nowhere.log"]).code, 2);
    assert_eq!(folder.run(&["tune", "plate", "plate.csv", "--pattern", "touch: <cuont>"]).code, 2);
}

/// Bare counts without times are tuned too; what rests on a rate that nobody told says so.
#[test]
fn bare_numbers_are_taken_at_a_rate_that_is_said() {
    let folder = with_plan("tune-plate-bare", GATE);
    let (log, _) = made(&folder, &["--for", "5 min", "--rate", "20 /s"]);
    let counts: String =
        log.lines().skip(1).map(|line| line.split_once(',').unwrap().1.to_string() + "\n").collect();
    let ran = folder.run_with(&["tune", "plate", "-", "--json"], &counts);
    let json: Value = serde_json::from_str(&ran.out).unwrap_or_else(|_| panic!("{}{}", ran.out, ran.err));
    assert_eq!((json["period_s"].as_f64(), &json["rate"]), (Some(0.05), &Value::from("unknown")));
    assert!(json["says"].to_string().contains("the log has no times"), "{}", json["says"]);
    assert!(json["threshold"].as_u64().is_some_and(|threshold| threshold > 10), "{}", json["threshold"]);
}

/// The result goes into the plan, comments kept, with the day and the log's digest; the plate budget then has it.
#[test]
fn the_plan_takes_what_came_out_and_the_budget_shows_it() {
    let folder = with_plan("tune-plate-write", GATE);
    let (log, _) = made(&folder, &["--for", "5 min"]);
    folder.put("plate.csv", &log);
    let ran = folder.run(&["tune", "plate", "plate.csv", "--write", "plan.toml"]);
    let plan = folder.get("plan.toml");
    assert!(plan.starts_with("# ours\n") && plan.contains("size = \"60 mm\"  # brass"), "{plan}");
    for key in ["threshold = ", "hysteresis = ", "track = ", "idle_count = ", "false_presses = ", "missed = "]
    {
        assert!(plan.contains(key) && ran.err.contains(key), "{key}: {plan}{}", ran.err);
    }
    let tuned = plan.lines().find(|line| line.starts_with("tuned = 20")).unwrap();
    assert!(tuned.contains("# log ") && tuned.ends_with(" readings"), "{tuned}");
    let checked = folder.run(&["check", "plan.toml", "--draws", "0", "--json"]);
    let json: Value = serde_json::from_str(&checked.out).unwrap();
    let figures = json.to_string();
    for figure in ["touch_swing", "threshold_of_touch", "false_presses", "missed"] {
        assert!(figures.contains(&format!("\"{figure}\"")), "{figure}");
    }
    // Twice the same log writes the same, but for the day.
    folder.run(&["tune", "plate", "plate.csv", "--write", "plan.toml"]);
    assert_eq!(folder.get("plan.toml").lines().count(), plan.lines().count());
    let refused = folder.run(&["tune", "plate", "plate.csv", "--write", "nowhere.toml"]);
    assert_eq!(refused.code, 2, "{}", refused.err);
}

/// A board at a serial port: it is listened to until there is enough, and what it said can be kept.
#[test]
#[cfg(unix)]
fn a_serial_port_is_listened_to_and_kept() {
    let folder = with_plan("tune-plate-port", GATE);
    let (log, _) = made(&folder, &["--for", "5 min", "--without", "rain,brushes,bursts"]);
    let (mut board, port) = serialport::TTYPort::pair().unwrap();
    let name = serialport::SerialPort::name(&port).unwrap();
    let says = log.clone();
    let board = std::thread::spawn(move || {
        // The listener may stop before all is said.
        for line in says.as_bytes().chunks(256) {
            if board.write_all(line).is_err() {
                return board;
            }
        }
        board
    });
    let ran = folder.run(&["tune", "plate", &name, "--keep", "kept.log", "--json"]);
    drop(port);
    drop(board.join().unwrap());
    assert!(ran.err.contains("That is enough") && ran.err.contains("Kept: kept.log"), "{}", ran.err);
    let kept = folder.get("kept.log");
    assert!(kept.len() > 20_000 && log.starts_with(&kept[..kept.len().min(log.len())]), "{}", kept.len());
    let json: Value = serde_json::from_str(&ran.out).unwrap_or_else(|_| panic!("{}{}", ran.out, ran.err));
    assert!(json["threshold"].as_u64().is_some(), "{json}");
    let again = folder.run(&["tune", "plate", "kept.log", "--json"]);
    assert_eq!(again.out, ran.out, "the same bytes tell the same");
}

/// The page shows what the commands print; written anew with `UPDATE_DOCS=1`.
#[test]
fn the_page_shows_what_is_printed() {
    const PAGE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/tune-plate.md");
    const MARKS: [&str; 2] = ["<!-- sheet -->\n", "<!-- end -->"];
    let folder = Folder::new("tune-plate-page");
    let gate = concat!(env!("CARGO_MANIFEST_DIR"), "/../../plans/kiln-yard-gate.toml");
    folder.put("plan.toml", std::fs::read(gate).unwrap());
    let (log, _) = made(&folder, &["--for", "5 min"]);
    folder.put("plate.csv", &log);
    let sheet = folder.run(&["tune", "plate", "plate.csv"]).out;
    let shown: String =
        sheet.lines().map(|line| format!("    {line}").trim_end().to_string() + "\n").collect();
    let page = std::fs::read_to_string(PAGE).unwrap();
    let (before, rest) = page.split_once(MARKS[0]).unwrap();
    let (now, after) = rest.split_once(MARKS[1]).unwrap();
    if std::env::var_os("UPDATE_DOCS").is_some() {
        std::fs::write(PAGE, format!("{before}{}{shown}{}{after}", MARKS[0], MARKS[1])).unwrap();
    } else {
        assert_eq!(now, shown, "UPDATE_DOCS=1 cargo test -p doorwright --test it plate::the_page");
    }
}
