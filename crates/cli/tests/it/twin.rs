//! `doorwright twin plate`: a log and its truth, from the plan and nothing but the plan and a seed.

use crate::contract::{PLANS, shipped, with_plan};
use budgets::physics::{Engine, Hoisted};
use insta::assert_snapshot;
use models::luck::Luck;
use serde_json::Value;
use station::plan::Plan;
use station::sheets::Library;
use station::text::Source;
use std::io::{BufRead, BufReader};
use std::process::{Command, Stdio};
use twin::plate::facts::{Facts, idle_f};

const GATE: &str = "[plate]\nsize = \"60 mm\"\n[cover]\nthickness = \"0 mm\"\n[supply]\nkind = \"adapter\"\n";

fn read(text: &str) -> Plan {
    Plan::read(Source::new("plan.toml", text), &Library::shipped()).expect("a good plan")
}

#[test]
fn the_twin_s_plate_is_the_one_that_the_check_judges() {
    let wet = "[plate]\nsize = \"40 mm\"\nlead = \"0.3 m\"\nmetal = \"12 mm\"\nmetal_moves = true\nsheltered = true\n";
    for text in [
        GATE.to_string(),
        format!("{wet}[supply]\nkind = \"cells\"\n[chip]\ntouch_law = \"rises\"\n"),
        format!("{wet}[supply]\nkind = \"bell\"\nearthed = true\n"),
        "[plate]\nidle = \"33 pF\"\n[supply]\nkind = \"usb\"\n".to_string(),
    ] {
        let plan = read(&text);
        let hoisted = Hoisted::default();
        let judged = Engine::new(&plan.station, &plan.parts, &hoisted, Luck::Mean).plate(&plan.station);
        let facts = Facts::of(&plan.station).expect("told");
        let idle_f = idle_f(&plan.station);
        let close = |a: f64, b: f64| assert!((a / b - 1.0).abs() < 1e-12, "{a}, {b}: {text}");
        close(idle_f, judged.idle_f);
        close(facts.touch * idle_f, judged.touch_f);
        close(facts.glove * idle_f, judged.glove_f);
        close(twin::plate::Event::depth_of(facts.law, facts.touch), judged.swing);
        if facts.metal > 0.0 {
            close(facts.metal * idle_f, judged.metal_f);
        }
        assert!(facts.child < facts.touch);
    }
}

#[test]
fn a_log_of_counts_and_times() {
    let ran =
        with_plan("twin-csv", GATE).run(&["twin", "plate", "plan.toml", "--for", "0.3 s", "--presses", "0"]);
    assert_snapshot!(ran.whole(), @"
    time_s,count
    0.000,951
    0.030,954
    0.059,953
    0.091,951
    0.119,949
    0.151,949
    0.181,948
    0.209,946
    0.241,943
    0.271,949
    --- 0
    ");
}

#[test]
fn the_truth_tells_every_press_and_the_log_shows_it() {
    let folder = with_plan("twin-truth", GATE);
    let args = [
        "twin",
        "plate",
        "plan.toml",
        "--for",
        "1 min",
        "--presses",
        "3",
        "--seed",
        "5",
        "--truth",
        "t.jsonl",
    ];
    let ran = folder.run(&args);
    assert_eq!((ran.code, ran.err.as_str()), (0, "Written: t.jsonl\n"));
    assert_snapshot!(folder.get("t.jsonl"), @r#"
    {"idle_count":950,"is":"log","law":"falls","noise":0.00225,"period_s":0.03,"seed":5,"strange":false,"touch":0.756263}
    {"depth":0.690193,"end_s":21.777293,"is":"press","kind":"adult","start_s":21.314381}
    {"depth":0.739557,"end_s":44.957203,"is":"press","kind":"child","start_s":44.761649}
    {"depth":0.709142,"end_s":47.490959,"is":"press","kind":"adult","start_s":47.33209}
    {"count":950.0,"is":"idle","time_s":0.0}
    "#);
    let counts: Vec<(f64, f64)> = ran
        .out
        .lines()
        .skip(1)
        .map(|line| line.split_once(',').expect("two columns"))
        .map(|(time, count)| (time.parse().expect("a time"), count.parse().expect("a count")))
        .collect();
    let truth: Vec<Value> =
        folder.get("t.jsonl").lines().map(|line| serde_json::from_str(line).expect("JSON")).collect();
    let presses: Vec<&Value> = truth.iter().filter(|line| line["is"] == "press").collect();
    assert_eq!(presses.len(), 3);
    for press in presses {
        let at = |key: &str| press[key].as_f64().expect("a number");
        let middle = f64::midpoint(at("start_s"), at("end_s"));
        let (_, count) =
            counts.iter().min_by(|a, b| (a.0 - middle).abs().total_cmp(&(b.0 - middle).abs())).expect("some");
        // Wobble and hum move a touched reading by some 2 % of 950; the nearest may lie on an edge's shoulder.
        assert!((1.0 - count / 950.0 - at("depth")).abs() < 0.1, "{count} at {middle}: {press}");
    }
}

#[test]
fn one_seed_is_one_log_in_every_format() {
    let folder = with_plan("twin-formats", GATE);
    let run = |more: &[&str]| {
        let ran =
            folder.run(&[&["twin", "plate", "plan.toml", "--for", "20 s", "--presses", "2"], more].concat());
        assert_eq!(ran.code, 0, "{}", ran.err);
        ran.out
    };
    assert_eq!(run(&[]), run(&["--seed", "1"]));
    assert_ne!(run(&[]), run(&["--seed", "2"]));
    assert_ne!(run(&[]), run(&["--strange"]));
    assert_ne!(run(&[]), run(&["--without", "noise,hum"]));
    let counts = |text: &str, column: usize| -> Vec<String> {
        text.lines()
            .skip(column)
            .map(|line| line.split(',').next_back().expect("a column").to_string())
            .collect()
    };
    let lines = run(&["--format", "lines"]);
    assert_eq!(counts(&run(&[]), 1), counts(&lines, 0));
    let json: Vec<String> = run(&["--format", "json"])
        .lines()
        .map(|line| serde_json::from_str::<Value>(line).expect("JSON")["count"].to_string())
        .collect();
    assert_eq!(json, counts(&lines, 0));
    // Twenty a second, ten seconds: 200, less what was lost.
    let rows = run(&["--rate", "20 /s", "--without", "lost", "--format", "lines"]).lines().count();
    assert_eq!(rows, 400);
}

#[test]
fn a_rising_chip_rises_and_the_idle_count_is_where_one_says() {
    let folder = with_plan("twin-rises", &format!("{GATE}[chip]\ntouch_law = \"rises\"\n"));
    let quiet = "--without=noise,tails,hum,warmth,rain,brushes,bursts,clock,lost";
    let ran =
        folder.run(&["twin", "plate", "plan.toml", "--for=30 s", "--idle=20000", "--format=lines", quiet]);
    let counts: Vec<u32> = ran.out.lines().map(|line| line.parse().expect("a count")).collect();
    assert_eq!((ran.code, counts[0]), (0, 20_000));
    assert!(counts.iter().all(|count| *count >= 20_000) && counts.iter().any(|count| *count > 25_000));
}

#[test]
fn every_plan_that_ships_has_a_twin() {
    let folder = with_plan("twin-shipped", GATE);
    for plan in PLANS {
        let ran =
            folder.run(&["twin", "plate", &shipped(plan), "--for", "10 s", "--presses", "1", "--strange"]);
        assert!(ran.code == 0 || ran.err.contains("supply.kind"), "{plan}: {}", ran.err);
    }
}

#[test]
fn what_cannot_be_made_is_said() {
    let folder = with_plan("twin-bad", GATE);
    folder.put("open.toml", "[plate]\nsize = \"60 mm\"\n");
    let cases: &[(&[&str], &[&str])] = &[
        (&["open.toml"], &["does not say what feeds", "supply.kind=adapter"]),
        (&["pan.toml"], &["cannot be read"]),
        (&["plan.toml", "--for", "10 s", "--presses", "50"], &["50 presses do not fit", "--for"]),
        (&["plan.toml", "--for", "10 m"], &["--for"]),
        (&["plan.toml", "--for", "2 yr"], &["--for", "366"]),
        (&["plan.toml", "--for", "1 ± 0.5 h"], &["--for", "one number"]),
        (&["plan.toml", "--rate", "20"], &["--rate"]),
        (&["plan.toml", "--rate", "1 MHz"], &["--rate", "one number"]),
        (&["plan.toml", "--idle", "0"], &["--idle"]),
        (&["plan.toml", "--without", "snow"], &["snow", "rain"]),
        (&["plan.toml", "--strange", "--without", "rain"], &["--without"]),
        (&["plan.toml", "--truth", "-"], &["standard input"]),
        (&["plan.toml", "--truth", "no/such/folder.jsonl"], &["cannot be written"]),
    ];
    let before = folder.files();
    for (args, words) in cases {
        let ran = folder.run(&[&["twin", "plate"], *args].concat());
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{args:?}: {}", ran.err);
        for word in *words {
            assert!(ran.err.contains(word), "{args:?}: no {word} in {}", ran.err);
        }
    }
    assert_eq!(folder.files(), before);
}

#[test]
fn a_reader_that_has_seen_enough_leaves_the_truth_whole() {
    let folder = with_plan("twin-head", GATE);
    let mut child = Command::new(env!("CARGO_BIN_EXE_doorwright"))
        .args(["twin", "plate", "plan.toml", "--for", "1 h", "--presses", "30", "--truth", "t.jsonl"])
        .current_dir(&folder.0)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("it starts");
    let mut first = String::new();
    BufReader::new(child.stdout.take().expect("piped")).read_line(&mut first).expect("a line");
    let done = child.wait_with_output().expect("it ends");
    assert_eq!((first.as_str(), done.status.code()), ("time_s,count\n", Some(0)));
    assert!(!String::from_utf8_lossy(&done.stderr).contains("error"));
    let truth = folder.get("t.jsonl");
    assert_eq!(truth.matches("\"press\"").count(), 30);
    assert!(truth.ends_with("}\n"));
}
