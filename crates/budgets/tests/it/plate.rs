//! The plate on paper, worked out a second time from the plans' numbers, and what must make a touch smaller.

use crate::shipped::{GATE, NOMINAL, STORE, bare, codes, figure, nominal, with};
use budgets::assessment::assess;
use station::plan::Plan;
use std::f64::consts::PI;

/// The store on cells with a plate of 40 mm under 2 mm of plastic.
fn store(changes: &[(&str, &str)]) -> Plan {
    with(&bare(STORE), &[&[("plate.size", "40 mm")], changes].concat())
}

#[test]
fn store_plate() {
    let plan = store(&[("plate.pin", "8 pF"), ("plate.lead", "100 mm")]);
    let e0 = 8.854_187_812_8e-12;
    // Pin 8 pF, 100 mm of lead at 12.5 pF/m, a lone disc of 20 mm radius: 8 e0 r.
    let idle = 8e-12 + 0.1 * 12.5e-12 + 8.0 * e0 * 0.02;
    // Finger tip of 12 mm through 2 mm of 2.7: 1.35 pF; body 120 pF; station on cells 8 pF; in series.
    let cover = e0 * 2.7 * PI * 0.006_f64.powi(2) / 0.002;
    let touch = 1.0 / (1.0 / cover + 1.0 / 120e-12 + 1.0 / 8e-12);
    // This chip times a charge: the count rises by touch over idle.
    let swing = touch / idle;
    let told = assess(&plan, NOMINAL);
    for (name, by_hand) in [("idle_capacitance", idle), ("touch_adds", touch), ("touch_swing", swing)] {
        let got = figure(&told, name).nominal.unwrap();
        assert!((got / by_hand - 1.0).abs() < 1e-9, "{name}: {got}, by hand {by_hand}");
    }
    // Noise 0.15 % times 1.5 with the radio on; 100 normal readings lie 5.015 standard deviations apart (Tippett 1925).
    let ratio = swing / (0.0015 * 1.5 * 5.015);
    assert!((figure(&told, "touch_ratio").nominal.unwrap() / ratio - 1.0).abs() < 1e-3);
    // Half an hour on the steepest part of a day's wave of 20 K: 10·2π/86,400·1,800 = 1.31 K at 0.05 %/K, and rain's 2 %; thrice.
    let needs = 3.0 * (0.0005 * 1.308_997 + 0.02);
    assert!((figure(&told, "sleep_swing").limit.unwrap() / needs - 1.0).abs() < 1e-6);
    // 30 ms, one more reading, half of 40 ms.
    assert!((figure(&told, "seen_after").nominal.unwrap() - 0.08).abs() < 1e-12);
    // Covered: two a year.
    let year = figure(&told, "event_wakes").nominal.unwrap() * 31_557_600.0;
    assert!((year - 2.0).abs() < 1e-9, "{year}");
}

#[test]
fn gate_metal_and_tails() {
    let plan = with(
        &bare(GATE),
        &[
            ("plate.size", "60 mm"),
            ("plate.metal", "10 mm"),
            ("plate.metal_moves", "true"),
            ("plate.noise", "0.1 %"),
        ],
    );
    let told = assess(&plan, NOMINAL);
    // references: 60 mm disc at 10 mm, 2.5 pF (computed in trade.md).
    assert!((figure(&told, "metal_adds").nominal.unwrap() / 2.5e-12 - 1.0).abs() < 0.01);
    // Tails: swing less 3.090 sigma idle and 1.645 of five times as much, sigma 0.15 % with the radio.
    let (swing, sigma) = (figure(&told, "touch_swing").nominal.unwrap(), 0.0015);
    let gap = swing - 3.090_232 * sigma - 1.644_854 * 5.0 * sigma;
    assert!((figure(&told, "tails_gap").nominal.unwrap() - gap).abs() < 1e-8);
}

#[test]
fn what_hides_a_touch_hides_it() {
    let swing = |changes: &[(&str, &str)]| nominal(&store(changes), "touch_swing");
    let before = swing(&[]);
    for less in [
        ("cover.thickness", "4 mm"),
        ("plate.lead", "1 m"),
        ("plate.metal", "3 mm"),
        ("plate.finger", "8 mm"),
    ] {
        assert!(swing(&[less]) < before, "{less:?}");
    }
    assert!(swing(&[("cover.thickness", "0 mm")]) > 3.0 * before);
    // The other law compresses: C/(C + c) falls less than c/C rises.
    assert!(swing(&[("chip.touch_law", "falls")]) < before);
}

#[test]
fn a_plan_without_a_plate_size_is_silent() {
    let silent = assess(&with(&bare(STORE), &[("cover.sheet", "glass")]), NOMINAL);
    assert!(!codes(&silent).iter().any(|(code, _)| code.starts_with("plate.")), "{:?}", codes(&silent));
}

/// The small board with its plate fixed to a pin that must be high at reset.
fn on_a_strap(leak: &str) -> Plan {
    with("name = \"On a strap\"\n[board]\nsheet = \"wren\"\n[pins]\nplate = 0\n", &[("plate.wet_leak", leak)])
}

fn has(plan: &Plan, code: &str) -> bool {
    codes(&assess(plan, NOMINAL)).iter().any(|(found, _)| *found == code)
}

#[test]
fn a_wet_plate_on_a_strap_pulls_it_down_below_three_times_its_pull_up() {
    // High is from three quarters of the rail on (data sheets of such chips): three times the internal pull-up of 45 kohm
    // is 135 kohm; of 80 kohm, the weakest, 240 kohm.
    let strap = |leak: &str| {
        let told = codes(&assess(&on_a_strap(leak), NOMINAL));
        told.iter().find(|(code, _)| *code == "pins.strap-level").map(|(_, verdict)| *verdict)
    };
    for (leak, verdict) in [
        ("1 kohm", Some("over")),
        ("20 kohm", Some("over")),
        ("134 kohm", Some("over")),
        ("136 kohm", Some("tight")),
        ("239 kohm", Some("tight")),
        ("241 kohm", None),
        ("1 Gohm", None),
        // 95 plates of 100 leak less than its low end: that one decides, not the middle.
        ("134 | 400 | 1000 kohm", Some("over")),
        ("136 | 400 | 1000 kohm", Some("tight")),
        ("241 | 400 | 1000 kohm", None),
        ("80 .. 1000 kohm", Some("over")),
    ] {
        assert_eq!(strap(leak), verdict, "{leak}");
    }
    // On a pin that is no strap no leak does so.
    assert!(!has(&with(&bare(GATE), &[("plate.wet_leak", "1 kohm")]), "pins.strap-level"));
}

#[test]
fn a_lead_adds_what_it_has_a_metre_and_is_long_from_fifteen_centimetres_on() {
    let lead = |length: &str| store(&[("plate.lead", length)]);
    assert!(!has(&lead("150 mm"), "plate.long-lead") && has(&lead("151 mm"), "plate.long-lead"));
    // A plate of which nothing is told but its lead is not judged.
    assert!(!has(&with(&bare(STORE), &[("plate.lead", "151 mm")]), "plate.long-lead"));
    // 12.5 pF a metre, the middle of 10 to 15 pF (typical, from memory).
    let idle = |length: &str| nominal(&lead(length), "idle_capacitance");
    assert!(((idle("600 mm") - idle("100 mm")) / 6.25e-12 - 1.0).abs() < 1e-9);
}

#[test]
fn a_longer_lead_never_helps() {
    let lengths = ["0 m", "50 mm", "0.1 m", "0.15 m", "0.3 m", "0.7 m", "2 m"];
    let told = lengths.map(|length| assess(&store(&[("plate.lead", length)]), NOMINAL));
    for (longer, pair) in lengths[1..].iter().zip(told.windows(2)) {
        let of = |which: usize, name: &str| figure(&pair[which], name).nominal.unwrap();
        assert!(of(1, "touch_swing") < of(0, "touch_swing"), "{longer}");
        assert!(of(1, "touch_ratio") < of(0, "touch_ratio"), "{longer}");
        assert!(of(1, "wiring_cost") >= of(0, "wiring_cost"), "{longer}");
    }
}
