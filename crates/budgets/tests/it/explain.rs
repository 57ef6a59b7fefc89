//! Every word, code, path and symptom has a page, in plain words of a decent length.

use budgets::explain::{self, Page, page};
use budgets::rules;
use proptest::prelude::*;
use station::fields::{FIELDS, PARTS, index_of};
use std::collections::BTreeSet;

fn all_text(page: &Page) -> String {
    let facts = page.facts.iter().map(|fact| format!("{} {}", fact.label, fact.text));
    [page.line.clone(), page.text.clone()].into_iter().chain(facts).collect::<Vec<_>>().join(" ")
}

#[test]
fn every_code_has_an_entry_and_every_entry_of_a_code_has_its_rule() {
    let raised: BTreeSet<&str> = rules::codes().into_iter().collect();
    let written: BTreeSet<&str> = explain::entries().iter().filter(|e| e.is_code()).map(|e| e.name).collect();
    let missing: Vec<_> = raised.difference(&written).collect();
    assert!(missing.is_empty(), "raised but not explained: {missing:?}");
    let stale: Vec<_> = written.difference(&raised).collect();
    assert!(stale.is_empty(), "explained but never raised: {stale:?}");
}

#[test]
fn codes_say_what_is_computed_measured_and_done() {
    for entry in explain::entries().iter().filter(|entry| entry.is_code()) {
        for label in ["Computes", "Do"] {
            assert!(entry.fact(label).is_some(), "{} lacks `{label}`", entry.name);
        }
        // What nobody can place, the search alone can tell.
        assert!(
            entry.fact("Measure").is_some() || entry.name == "pins.no-place",
            "{} lacks `Measure`",
            entry.name
        );
    }
}

#[test]
fn every_field_figure_and_part_is_explained() {
    for field in FIELDS {
        let page = page(field.path).unwrap_or_else(|unknown| panic!("{unknown}"));
        assert_eq!((page.kind, page.name.as_str()), ("field", field.path));
        assert!(
            !page.line.is_empty() && page.facts.iter().any(|fact| fact.label == "Who changes it"),
            "{}",
            field.path
        );
    }
    for rule in rules::all() {
        page(rule.figure).unwrap_or_else(|unknown| panic!("{unknown}"));
    }
    for (part, _) in PARTS {
        let page = page(part).unwrap_or_else(|unknown| panic!("{unknown}"));
        let paths = all_text(&page);
        assert!(paths.contains(&format!("{part}.")), "the page of {part} lists no field");
    }
}

#[test]
fn paths_that_rules_name_exist() {
    // Sheets and the table of demands are no scalars, so they have no line in the field table.
    let known = |path: &str| {
        let sheet = path.strip_suffix(".sheet");
        index_of(path).is_some()
            || path == "pins"
            || sheet.is_some_and(|sheet| PARTS.iter().any(|(part, _)| *part == sheet))
    };
    for rule in rules::all() {
        for path in rule.about.iter().chain(rule.tries) {
            assert!(known(path), "{} names `{path}`", rule.figure);
        }
    }
    for check in rules::checks() {
        for path in check.tries {
            assert!(known(path), "{} names `{path}`", check.code);
        }
    }
}

#[test]
fn paths_and_codes_within_texts_exist() {
    for entry in explain::entries() {
        let page = page(entry.name).unwrap();
        for word in all_text(&page).split_whitespace() {
            let word = word.trim_matches(|c: char| !c.is_ascii_alphanumeric());
            let parts = [
                "pins", "memory", "stream", "detail", "light", "radio", "power", "heat", "plate", "timing",
                "privacy", "safety",
            ]
            .into_iter()
            .chain(PARTS.iter().map(|(part, _)| *part));
            let path = word
                .split_once('.')
                .is_some_and(|(part, key)| !key.is_empty() && parts.into_iter().any(|known| known == part));
            // "power.Nothing" would be a missing space after a full stop: report it as well.
            assert!(!path || explain::page(word).is_ok(), "{} speaks of `{word}`", entry.name);
        }
    }
}

#[test]
fn neighbours_have_pages() {
    for entry in explain::entries() {
        assert!(!entry.see.is_empty(), "{} stands alone", entry.name);
        for name in &entry.see {
            let page = page(name).unwrap_or_else(|unknown| panic!("{}: {unknown}", entry.name));
            assert_ne!(page.kind, "symptom", "{}: `{name}` is only a symptom", entry.name);
            assert_ne!(page.name, entry.name, "{} points at itself", entry.name);
        }
    }
}

#[test]
fn names_and_aliases_are_nobody_elses() {
    let mut seen = BTreeSet::new();
    for entry in explain::entries() {
        for name in entry.names() {
            assert!(seen.insert(name.to_lowercase()), "`{name}` stands twice");
            assert_eq!(page(name).map(|page| page.name).as_deref(), Ok(entry.name));
        }
    }
}

#[test]
fn entries_have_60_to_140_words() {
    let mut wrong = Vec::new();
    for entry in explain::entries() {
        let facts = entry.facts.iter().filter(|(label, _)| *label != "Source").map(|(_, text)| text.as_str());
        let words = [entry.line.as_str(), &entry.text]
            .into_iter()
            .chain(facts)
            .flat_map(str::split_whitespace)
            .count();
        if !(60..=140).contains(&words) {
            wrong.push(format!("{} has {words}", entry.name));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn texts_keep_to_our_own_plain_words() {
    // faces.md §4, left column, and its tone.
    const NOT: [&str; 32] = [
        "dashboard",
        "card",
        "tile",
        "widget",
        "automation",
        "trigger",
        "triggers",
        "entity",
        "device class",
        "add-on",
        "validate",
        "compile",
        "upload file",
        "logs",
        "wizard",
        "secrets",
        "placeholder",
        "live view",
        "timeline",
        "motion",
        "recordings",
        "camera grid",
        "decline",
        "hub",
        "tip",
        "tips",
        "did you know",
        "simply put",
        "events",
        "review",
        "zones",
        "add on",
    ];
    let pages = explain::entries().iter().map(|entry| page(entry.name).unwrap());
    let symptoms = explain::symptoms().iter().map(|symptom| page(symptom.name).unwrap());
    for page in pages.chain(symptoms) {
        let text = all_text(&page).to_lowercase();
        assert!(!text.contains('!'), "{} calls out", page.name);
        // A trade word that stands, a code, a figure and a path; the lid card is printed and no part of a screen.
        let stands = ["motion blur", "detail.motion", "motion: movement", "lid card", "export card"];
        let text = stands.iter().fold(text, |text, word| text.replace(word, ""));
        let words = format!(" {} ", text.replace(|c: char| !c.is_alphanumeric() && c != '-', " "));
        for not in NOT {
            assert!(!words.contains(&format!(" {not} ")), "{} says `{not}`", page.name);
        }
    }
}

#[test]
fn dangers_carry_their_caution() {
    // Mains, lithium cells and locks: where a text speaks of handling them, it defers.
    for name in [
        "bell transformer",
        "power.rectifier",
        "power.over-voltage",
        "power.chime-series",
        "cell",
        "solar panel",
        "cut-off",
        "power.primary-charge",
        "power.cold-charge",
        "heat.touch",
        "heat.cell-charge",
        "release",
        "power.lock-shares",
        "pins.boot-state",
        "chime in series",
    ] {
        let page = page(name).unwrap();
        assert!(page.facts.iter().any(|fact| fact.label == "Caution"), "{name} has no caution");
    }
}

#[test]
fn words_of_the_design_are_explained() {
    for word in [
        "station",
        "sheet",
        "plan",
        "budget",
        "figure",
        "verdict",
        "finding",
        "remedy",
        "assumption",
        "plate",
        "press",
        "call",
        "outcome",
        "keyholder",
        "release",
        "sounder",
        "twin",
        "lift",
        "trial",
        "record",
        "fits",
        "tight",
        "over",
        "unknown",
        "DVP",
        "VSYNC",
        "HREF",
        "PCLK",
        "XCLK",
        "SCCB",
        "strapping pin",
        "deep sleep",
        "light sleep",
        "brown-out",
        "quiescent current",
        "dropout",
        "boot loop",
        "PWM",
        "touch channel",
        "analogue unit",
        "pull-up",
        "back-feed",
        "frame buffer",
        "JPEG quality",
        "quantiser",
        "fragmentation",
        "largest block",
        "low water",
        "TLS session",
        "round trip",
        "goodput",
        "window",
        "RSSI",
        "pixel density",
        "IEC 62676-4",
        "focal length",
        "field of view",
        "rectilinear",
        "equidistant",
        "equisolid",
        "stereographic",
        "orthographic",
        "Kannala-Brandt",
        "depth of field",
        "circle of confusion",
        "motion blur",
        "rolling shutter",
        "stature",
        "standing place",
        "tape test",
        "AWG",
        "IEC 60228",
        "voltage drop",
        "constant power",
        "bulk capacitor",
        "ESR",
        "inrush",
        "ripple",
        "bell transformer",
        "capacity",
        "self-discharge",
        "internal resistance",
        "open-circuit voltage",
        "cut-off",
        "Peukert",
        "fade",
        "gamma-Poisson",
        "callers cluster",
        "peak watts",
        "clear sky",
        "draw",
        "seed",
        "median",
        "low and high",
        "margin",
        "driven by",
        "open value",
        "on assumptions",
    ] {
        assert_eq!(page(word).map(|page| page.kind), Ok("term"), "{word}");
    }
}

#[test]
fn symptoms_lead_to_codes_that_exist() {
    assert!(explain::symptoms().len() >= 20);
    for symptom in explain::symptoms() {
        assert!(!symptom.words.is_empty() && symptom.causes.len() >= 2, "{}", symptom.name);
        for (code, says) in &symptom.causes {
            let cause = page(code).unwrap_or_else(|unknown| panic!("{}: {unknown}", symptom.name));
            assert_eq!(cause.kind, "finding", "{}: {code}", symptom.name);
            assert!(says.len() <= 80, "{}: {code} is long", symptom.name);
        }
        assert_eq!(
            page(symptom.name).map(|page| page.name).as_deref(),
            Ok(symptom.name),
            "its own words must find it"
        );
    }
}

#[test]
fn plain_words_find_their_symptom() {
    for (asked, first) in [
        ("it restarts when I look at it", "power.sag"),
        ("my pictures are all green", "pins.ribbon"),
        ("the bottom of the picture is grey", "memory.frame-truncated"),
        ("works when dry, not when it is wet", "pins.strap-level"),
        ("boots only without the camera module connected", "pins.strap-level"),
        ("camera not found after deep sleep wake", "pins.back-feed"),
        ("dead on cold mornings", "power.burst-end"),
        ("the battery is flat in two days", "power.awake"),
        ("slow picture although the signal is strong", "stream.window"),
        ("corners are black", "detail.window-crop"),
        ("faces are blurry", "detail.focus"),
        ("I only see an empty porch", "detail.stale-picture"),
        ("relay clicking at boot", "pins.boot-state"),
        ("picture freezes when I dim the lamp", "pins.shared-timer"),
        ("it reboots every few days", "memory.low-water"),
        ("resets when I open the door", "power.lock-shares"),
        ("joins wifi then disconnects", "memory.secure-session"),
    ] {
        let page = page(asked).unwrap_or_else(|unknown| panic!("{unknown}"));
        assert_eq!((page.kind, page.facts[0].label.as_str()), ("symptom", first), "{asked}: {}", page.name);
    }
}

#[test]
fn unknown_words_name_the_nearest() {
    for (asked, near) in [
        ("strapping pim", "strapping pin"),
        ("memory.frame-bufer", "memory.frame-buffer"),
        ("camera.heigth", "camera.height"),
    ] {
        assert_eq!(page(asked).unwrap_err().nearest.as_deref(), Some(near));
    }
    let unknown = page("xylophone quintet").unwrap_err();
    assert_eq!(unknown.nearest, None);
    assert_eq!(unknown.to_string(), "nothing is known of `xylophone quintet`");
}

#[test]
fn groups_list_every_entry_once() {
    let listed: Vec<String> = explain::groups().into_iter().flat_map(|group| group.names).collect();
    for entry in explain::entries() {
        assert_eq!(
            listed.iter().filter(|name| *name == entry.name).count(),
            1 + usize::from(PARTS.iter().any(|(p, _)| *p == entry.name))
        );
    }
    for name in listed {
        assert!(page(&name).is_ok(), "{name} is listed and has no page");
    }
}

proptest! {
    #[test]
    fn any_text_is_answered_without_a_panic(asked in ".{0,200}") {
        let _ = page(&asked);
    }

    #[test]
    fn case_and_joining_marks_do_not_matter(index in 0..explain::entries().len()) {
        let name = explain::entries()[index].name;
        let odd = name.to_uppercase().replace([' ', '-'], "_");
        prop_assert_eq!(page(&odd).map(|page| page.name), page(name).map(|page| page.name));
    }
}
