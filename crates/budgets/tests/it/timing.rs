//! The timing's figures worked out a second time, and laws that they keep.

use crate::shipped::{GATE, NOMINAL, SHED, STORE, nominal, with};
use budgets::assessment::assess;

/// A year of 365.25 days, s.
const YEAR_S: f64 = 31_557_600.0;

#[test]
fn the_parts_by_hand() {
    let gate = |changes: &[(&str, &str)]| with(GATE, &[&[("camera.size", "800x600")], changes].concat());
    // The detector takes 20 to 100 ms, evenly: 95 of 100 within 96. The lamp is the station's own.
    assert!((nominal(&gate(&[]), "felt") - 0.096).abs() < 1e-9);
    // Asleep, the program must start first, unless the wake lights the lamp.
    let store =
        |lamp| nominal(&with(STORE, &[("notice.lamp_at_wake", lamp), ("chip.boot", "0.4 s")]), "felt");
    assert!((store("true") - 0.096).abs() < 1e-9 && (store("false") - 0.496).abs() < 1e-9);
    assert!((nominal(&gate(&[("notice.keep_alive", "40 s")]), "half_open") - 60.0).abs() < 1e-9);
    let queued = gate(&[("notice.press_first", "false")]);
    let by_hand = 8.0 * nominal(&queued, "frame_bytes") / nominal(&queued, "goodput");
    assert!((nominal(&queued, "head_of_line") - by_hand).abs() < 1e-9);
    // Medians: 60 ms to detect, 6 to send, 20 in the service, 150 to the page, 2 s to hear. A sum of skewed times has
    // a median a little above the sum of medians, and one press in ten is slower: within a tenth of a second.
    let heard = nominal(&gate(&[]), "heard");
    assert!((2.236..2.336).contains(&heard), "{heard}");
}

#[test]
fn hours_heard_by_nobody_by_hand() {
    // Mains, router and service are in series for page and phone alike.
    let stated = [
        ("notice.mains_off", "0.001"),
        ("net.outage", "0.002"),
        ("notice.service_off", "0.003"),
        ("camera.size", "800x600"),
    ];
    let both = nominal(&with(GATE, &stated), "unheard");
    assert!((both - YEAR_S * (1.0 - 0.999 * 0.998 * 0.997)).abs() < 1e-3, "{both}");
    // A chime on a wire needs the mains alone; a device told by the station needs the router, too.
    let of =
        |sounder| nominal(&with(GATE, &[&stated[..], &[("notice.sounder", sounder)]].concat()), "unheard");
    assert!((of("chime") - YEAR_S * 0.001).abs() < 1e-3);
    assert!((of("device") - YEAR_S * (1.0 - 0.999 * 0.998)).abs() < 1e-3);
}

#[test]
fn a_wire_is_never_slower_and_more_never_makes_it_sooner() {
    for plan in [GATE, STORE] {
        let of = |figure, changes: &[(&str, &str)]| nominal(&with(plan, changes), figure);
        assert!(of("heard", &[("notice.sounder", "chime")]) <= of("heard", &[]) + 1e-9);
        assert!(of("heard", &[("notice.sounder", "none")]) > of("heard", &[]));
        for slower in [("notice.hear", "6 s"), ("notice.service", "2 s"), ("net.round_trip", "1 s")] {
            assert!(of("heard", &[slower]) > of("heard", &[]), "{slower:?}");
            assert!(of("heard_share", &[slower]) < of("heard_share", &[]), "{slower:?}");
            assert!(of("seen_share", &[slower]) <= of("heard_share", &[slower]));
        }
    }
    let store = |changes: &[(&str, &str)]| nominal(&with(STORE, changes), "heard_tail");
    let full = store(&[("net.remembered", "false")]);
    assert!(full > store(&[]) + 2.0);
    assert!(store(&[("net.remembered", "false"), ("router.band_steering", "true")]) > full + 1.0);
}

#[test]
fn untold_it_is_silent() {
    let shed = assess(&with(SHED, &[]), NOMINAL);
    assert!(shed.budgets.iter().all(|budget| budget.name != "timing"));
}
