//! The radio's figures worked out a second time, and laws that they keep.
//!
//! Nothing here calls a model: airtimes are added up from the standard's parts (28 µs of space, 67.5 of back-off, 36 of
//! preamble, symbols of 4, 6 of quiet, 10 of space, 34 of answer), free space from 4πd/λ.

use crate::shipped::{GATE, STORE, codes, figure, nominal, with};
use budgets::assessment::assess;
use station::plan::Plan;

/// The gate with a picture that its memory holds and this reading.
fn gate(rssi: &str) -> Plan {
    with(GATE, &[("camera.size", "800x600"), ("radio.rssi", rssi)])
}

/// Payload a second of full packets, alone on the air and none lost: two packets to one answer of the transport.
fn alone_bit_s(bits_per_symbol: f64) -> f64 {
    let frame_s = |bytes: f64| {
        let symbols = ((16.0 + 8.0 * (bytes + 54.0) + 6.0) / bits_per_symbol).ceil();
        (28.0 + 67.5 + 36.0 + 4.0 * symbols + 6.0 + 10.0 + 34.0) * 1e-6
    };
    8.0 * 1460.0 / (frame_s(1500.0) + 0.5 * frame_s(40.0))
}

#[test]
fn both_directions_by_hand() {
    let plan = gate("-62 dBm");
    assert!((nominal(&plan, "signal") + 62.0).abs() < 1e-9);
    // The stream needs the slowest rate, which the station sends with 18 dBm against 20 from the access point.
    assert!((nominal(&plan, "signal_up") - (-62.0 + 18.0 - 20.0)).abs() < 1e-9);
    // Needs -82 - 8 + 1 = -89 dBm. Up: 25 dB; down 27 less 3 for the clock of 20 MHz in channel 6 (122 x 20 = 2440).
    assert!((nominal(&plan, "fade_margin") - 24.0).abs() < 1e-9);
    let quiet =
        with(GATE, &[("camera.size", "800x600"), ("camera.clock", "24 MHz"), ("radio.rssi", "-62 dBm")]);
    assert!((nominal(&quiet, "fade_margin") - 25.0).abs() < 1e-9);
}

#[test]
fn goodput_and_share_of_the_air_by_hand() {
    let plan = gate("-40 dBm");
    // Far above every need, nothing is lost at 260 bits a symbol; others use 22.5 % (the middle of 10 to 35).
    let mean = 0.775 * alone_bit_s(260.0);
    assert!((nominal(&plan, "radio_goodput") / mean - 1.0).abs() < 1e-6);
    assert!((nominal(&plan, "radio_goodput_low") / mean - 1.0).abs() < 1e-6);
    let wanted_bit_s = 3.0 * 8.0 * nominal(&plan, "frame_bytes");
    assert!((nominal(&plan, "air_taken") / (wanted_bit_s / alone_bit_s(260.0)) - 1.0).abs() < 1e-6);
    assert!((nominal(&plan, "stream_holds") - 1.0).abs() < 1e-6);
}

#[test]
fn the_model_of_the_way_by_hand() {
    let open = with(STORE, &[("radio.walls", "0")]);
    let free_db = 20.0 * (4.0 * std::f64::consts::PI * 14.0 * 2.437e9 / 299_792_458.0_f64).log10();
    assert!((nominal(&open, "signal") - (20.0 - 4.0 - free_db)).abs() < 1e-9);
    // Metal within 15 mm: -10 dBi instead of -4; on a lead outside: 2.
    let metal = with(STORE, &[("radio.walls", "0"), ("radio.metal", "5 mm")]);
    assert!((nominal(&open, "signal") - nominal(&metal, "signal") - 6.0).abs() < 1e-9);
    let outside = with(STORE, &[("radio.walls", "0"), ("radio.metal", "5 mm"), ("radio.antenna", "outside")]);
    assert!((nominal(&outside, "signal") - nominal(&open, "signal") - 6.0).abs() < 1e-9);
    let waits = with(STORE, &[("net.power_save", "true"), ("router.dtim", "3")]);
    assert!((nominal(&waits, "command_wait") - 3.0 * 0.1024).abs() < 1e-12);
}

#[test]
fn a_reading_replaces_the_way_and_nothing_else() {
    let read = |changes: &[(&str, &str)]| {
        nominal(&with(STORE, &[&[("radio.rssi", "-70 dBm")], changes].concat()), "fade_margin")
    };
    let plain = read(&[]);
    for change in [("radio.walls", "3"), ("radio.distance", "60 m"), ("radio.foil", "true")] {
        assert_eq!(read(&[change]), plain, "{change:?}");
    }
    assert!(read(&[("radio.noise_rise", "6 dB")]) < plain);
}

#[test]
fn nearer_and_fewer_walls_never_carry_less() {
    let mut before = f64::INFINITY;
    for distance in ["2 m", "8 m", "20 m", "60 m", "150 m"] {
        for walls in ["0", "1", "2"] {
            let plan = with(
                STORE,
                &[("radio.distance", distance), ("radio.building", "house"), ("radio.walls", walls)],
            );
            let carried = nominal(&plan, "radio_goodput");
            assert!(walls == "0" || carried <= before * (1.0 + 1e-12), "{distance} {walls}");
            before = carried;
        }
    }
}

#[test]
fn the_stream_takes_the_radio_only_where_no_goodput_is_stated() {
    // The shed states none: the assumed 6 Mbit/s until the way is told, then what the radio carries.
    let shed = crate::shipped::SHED;
    let window = ("net.window", "500 kB");
    let silent = with(shed, &[window]);
    assert!((nominal(&silent, "goodput") - 6e6).abs() < 1e-6);
    let told = with(shed, &[window, ("radio.rssi", "-62 dBm")]);
    assert_eq!(nominal(&told, "goodput"), nominal(&told, "radio_goodput"));
    let stated = with(shed, &[window, ("radio.rssi", "-62 dBm"), ("net.goodput", "9 Mbit/s")]);
    assert!((nominal(&stated, "goodput") - 9e6).abs() < 1e-6);
    // Untold, the budget has no row.
    let silent = assess(&silent, crate::shipped::NOMINAL);
    assert!(silent.budgets.iter().all(|budget| budget.name != "radio"));
}

#[test]
fn facts_of_the_network_are_told_only_where_they_bite() {
    let of = |changes: &[(&str, &str)]| {
        let plan = with(GATE, &[&[("camera.size", "800x600")], changes].concat());
        codes(&assess(&plan, crate::shipped::NOMINAL))
    };
    assert_eq!(of(&[]), []);
    // WPA3 that the station knows only takes time; unknown it never joins.
    assert_eq!(of(&[("router.security", "wpa3")]), []);
    let refused = [("router.security", "wpa3"), ("radio.new_key_exchange", "false")];
    assert_eq!(of(&refused), [("radio.policy", "over")]);
    assert_eq!(of(&[("router.other_subnet", "true")]), []);
    let lost = [("router.other_subnet", "true"), ("radio.multicast_name", "true")];
    assert_eq!(of(&lost), [("radio.policy", "over")]);
    // On channel 6 the region does not matter; where the access point chooses, it may.
    assert_eq!(of(&[("radio.highest_channel", "11")]), []);
    let moves = [("radio.highest_channel", "11"), ("router.channel", "0")];
    assert_eq!(of(&moves), [("radio.channel-13", "tight")]);
    let fast = figure(&assess(&gate("-88 dBm"), crate::shipped::NOMINAL), "fade_margin").verdict;
    assert_eq!(fast, Some("over"));
}
