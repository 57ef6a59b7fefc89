//! The C code itself, searched: every sequence of a few happenings, and mistakes of ours that the search must find.

use crate::board::compile;
use std::path::Path;
use std::process::Command;

/// Happenings in a row; 6 are 300,000 sequences of presses, 900,000 of settings.
const DEPTH: &str = "6";

/// Runs a search over the station's end made from `source`; `None` without gcc. The end in words, and whether it held.
fn explore(search: &str, name: &str, source: &str, depth: &str) -> Option<(String, bool)> {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/c").join(search);
    // Room for two presses that wait: so that it is too little at times.
    let program = compile(name, &[file], &["-O2", "-DDW_WAITING=2"], source)?;
    let ran = Command::new(program).arg(depth).output().expect("what was compiled runs");
    Some((String::from_utf8_lossy(&ran.stdout).trim().to_string(), ran.status.success()))
}

/// `SOAK` in the environment searches deeper.
fn holds(search: &str, name: &str, soak_depth: &str) {
    let depth = if std::env::var_os("SOAK").is_some() { soak_depth } else { DEPTH };
    let Some((says, holds)) = explore(search, name, link::C_SOURCE, depth) else { return };
    assert!(holds, "{says}");
    let sequences: u64 = says.split(' ').next().and_then(|count| count.parse().ok()).expect("a count");
    println!("{search}: {says}");
    assert!(sequences > 200_000, "{says}");
}

#[test]
fn no_sequence_of_happenings_breaks_a_promise_of_presses() {
    holds("explore.c", "presses", "8");
}

#[test]
fn no_sequence_of_happenings_breaks_a_promise_of_settings() {
    holds("explore_settings.c", "settings", "7");
}

/// Puts each mistake into the code, and wants it found. Those that need more happenings have tests of their own elsewhere.
fn finds(search: &str, name: &str, depth: &str, mistakes: &[(&str, &str, &str)]) {
    for (at, (mistake, right, wrong)) in mistakes.iter().enumerate() {
        assert_eq!(link::C_SOURCE.matches(right).count(), 1, "{mistake}: the text has changed");
        let source = link::C_SOURCE.replacen(right, wrong, 1);
        let Some((says, holds)) = explore(search, &format!("{name}-{at}"), &source, depth) else { return };
        assert!(!holds && says.starts_with("broken: "), "not found: {mistake}: {says}");
        println!("{mistake}\n    {says}");
    }
}

/// A search that finds nothing proves nothing unless it finds what is wrong: each mistake is one that we could have made.
#[test]
fn the_search_finds_mistakes_with_presses() {
    let mistakes = [
        (
            "a press is not kept",
            "    station->waiting[station->waits++] = *press;\n    station->keep_wanted = true;\n",
            "    station->waiting[station->waits++] = *press;\n",
        ),
        (
            "a press is told once only",
            "offer_ms = station->up_ms + station->patience_ms;",
            "offer_ms = UINT64_MAX;",
        ),
        (
            "an acknowledgement of an earlier start counts",
            "a->boot == b->boot && a->seq == b->seq && a->at_ms == b->at_ms",
            "a->seq == b->seq && a->at_ms == b->at_ms",
        ),
        (
            "the oldest is taken for the acknowledged",
            "    forget(station, at);\n",
            "    forget(station, 0);\n",
        ),
        (
            "a sign for an earlier press is shown",
            "!is_same(press, &station->last)",
            "press->boot > station->boot",
        ),
        (
            "any acknowledgement rings",
            "if (!is_same(&h->press, &station->last) || is_same(&station->signed_for, &station->last)) {",
            "if (is_same(&station->signed_for, &station->last)) {",
        ),
        (
            "a link that comes back tells nothing until the next press",
            "        offer_anew(station);\n        want_health(station, HEALTH_LINKED);",
            "        station->offer_ms = UINT64_MAX;\n        want_health(station, HEALTH_LINKED);",
        ),
        (
            "a full room drops the newest",
            "        forget(station, 0);\n    }\n    station->waiting",
            "        return;\n    }\n    station->waiting",
        ),
        ("a sign does not end", "    } else {\n        set_sign(station, OFF, 0);\n    }\n", "    }\n"),
        (
            "what waits is not recalled",
            "for (at += 1u + 20u * from; from < presses;",
            "for (at += 1u + 20u * from; from < presses / 2;",
        ),
        (
            "a start whose number is not kept has that of another",
            "    station->boot = station->chance;\n",
            "",
        ),
        ("a press in a call is not answered in its turn", "    station->sign_after = KNOCK;\n", ""),
    ];
    finds("explore.c", "mistake-with-presses", "6", &mistakes);
}

#[test]
fn the_search_finds_mistakes_with_settings() {
    let mistakes = [
        ("what comes first proves all", "station->up_ms - station->proved_ms >= PROVE_MS", "true"),
        (
            "what the program has refused is kept",
            "amiss(station) == 0\n        && !station",
            "true\n        && !station",
        ),
        ("a power cut forgives all", "    if (was_trying && !fell) {", "    if (!fell) {"),
        (
            "what it fell over is tried again",
            "if (strcmp(asked, station->fell) == 0) {",
            "if (asked[0] == '\\0') {",
        ),
        (
            "what is tried is not written down first",
            "        if (!keep(station)) {\n            memcpy(station->revision, before",
            "        if (!before[0] && asked[0] == '?') {\n            memcpy(station->revision, before",
        ),
        (
            "what was taken back is not offered again",
            "if (amiss(station) > 0 && station->up_ms >= station->settle_ms) {",
            "if (false) {",
        ),
        (
            "taken back in words only",
            "    memcpy(station->want, station->good, sizeof station->want);\n    /* At once",
            "    /* At once",
        ),
        (
            "a trial has no end",
            "station->up_ms - station->since_ms >= TRY_MS",
            "station->up_ms == UINT64_MAX",
        ),
    ];
    finds("explore_settings.c", "mistake-with-settings", "6", &mistakes);
}
