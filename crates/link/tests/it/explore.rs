//! The C code itself, searched: every sequence of a few happenings, and mistakes of ours that the search must find.

use crate::board::compile;
use std::path::Path;
use std::process::Command;

/// Happenings in a row; 7 are two million sequences. `SOAK` in the environment searches 9.
const DEPTH: &str = "7";
const SOAK_DEPTH: &str = "9";

/// Runs the search over the station's end made from `source`; `None` without gcc. The end in words, and whether it held.
fn explore(name: &str, source: &str, depth: &str) -> Option<(String, bool)> {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/c/explore.c");
    // Room for two presses that wait: so that it is too little at times.
    let program = compile(name, &[file], &["-O2", "-DDW_WAITING=2"], source)?;
    let ran = Command::new(program).arg(depth).output().expect("what was compiled runs");
    Some((String::from_utf8_lossy(&ran.stdout).trim().to_string(), ran.status.success()))
}

#[test]
fn no_sequence_of_happenings_breaks_a_promise() {
    let depth = if std::env::var_os("SOAK").is_some() { SOAK_DEPTH } else { DEPTH };
    let Some((says, holds)) = explore("explore", link::C_SOURCE, depth) else { return };
    assert!(holds, "{says}");
    let sequences: u64 = says.split(' ').next().and_then(|count| count.parse().ok()).expect("a count");
    println!("{says}");
    assert!(sequences > 1_000_000, "{says}");
}

/// A search that finds nothing proves nothing unless it finds what is wrong: each mistake is one that we could have made.
#[test]
fn the_search_finds_mistakes() {
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
            "an acknowledgement of an earlier life counts",
            "a->boot == b->boot && a->seq == b->seq && a->at_ms == b->at_ms",
            "a->boot == b->boot && a->seq == b->seq",
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
            "if (is_same(&h->press, &station->last) && (station->sign == FELT",
            "if ((station->sign == FELT",
        ),
        (
            "a link that comes back tells nothing until the next press",
            "        station->offer_ms = station->up_ms;\n        station->patience_ms = PATIENCE_MS;\n        want_health",
            "        station->offer_ms = UINT64_MAX;\n        want_health",
        ),
        (
            "a full room drops the newest",
            "        forget(station, 0);\n    }\n    station->waiting",
            "        return;\n    }\n    station->waiting",
        ),
        ("a sign does not end", "    } else {\n        set_sign(station, OFF, 0);\n    }\n", "    }\n"),
        ("what waits is not recalled", "station->waits < presses;", "station->waits < presses / 2;"),
    ];
    for (at, (mistake, right, wrong)) in mistakes.into_iter().enumerate() {
        assert_eq!(link::C_SOURCE.matches(right).count(), 1, "{mistake}: the text has changed");
        let source = link::C_SOURCE.replacen(right, wrong, 1);
        let Some((says, holds)) = explore(&format!("mistake-{at}"), &source, "6") else { return };
        assert!(!holds && says.starts_with("broken: "), "not found: {mistake}: {says}");
        println!("{mistake}\n    {says}");
    }
}
