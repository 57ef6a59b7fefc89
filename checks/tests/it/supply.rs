//! Supplies against worked examples and published limits; see references.md 6.1 and 6.2 for how each was read.

use checks::near;
use models::conductor::{Class, loop_ohm, per_metre};
use models::supply::bell::{Transformer, peak_v, ripple_v};
use models::supply::cable::{Load, delivered};
use models::supply::capacitor::{Capacitor, gap_farad, hold_up_s};
use models::supply::source::{USB_SOCKET_V, Usb, type_c_advertises};

fn fifteen_metres(class: Class) -> f64 {
    loop_ohm(15.0, per_metre(0.5e-6, class).unwrap().ohm_m, 293.15, 0.0)
}

/// 15 m of 0.5 mm², out and back (references.md 6.1, mark b).
#[test]
fn worked_drops() {
    let solid_ohm = fifteen_metres(Class::Solid);
    near(solid_ohm, 1.08, 1e-12, "36.0e-3 × 30");
    near(delivered(5.0, solid_ohm, Load::current(0.5)).unwrap().volt_v, 4.46, 1e-12, "0.54 V lost");
    let flexible = delivered(5.0, fifteen_metres(Class::Flexible), Load::current(0.5)).unwrap();
    near(5.0 - flexible.volt_v, 0.585, 1e-12, "class 5");

    let at_5_v = delivered(5.0, solid_ohm, Load::power(1.5)).unwrap();
    near(at_5_v.volt_v, 4.651743, 5e-7, "1.5 W from 5 V");
    near(at_5_v.current_a, 0.322460, 5e-7, "1.5 W from 5 V");
    let at_12_v = delivered(12.0, solid_ohm, Load::power(2.0)).unwrap();
    near(at_12_v.volt_v, 11.817216, 5e-7, "2 W from 12 V");
    near(at_12_v.current_a, 0.169245, 5e-7, "2 W from 12 V");
    let collapse = delivered(5.0, solid_ohm, Load::power(6.0)).unwrap_err();
    near(collapse.ceiling_w, 5.787037, 5e-7, "V²/4R: 6 W cannot arrive");
}

/// 1000 uF from 5 to 4.5 V at 0.3 A (references.md 6.1, mark b); a series chime's gap (trade.md, calc).
#[test]
fn hold_up() {
    let ideal = Capacitor { farad: 1000e-6, esr_ohm: 0.0 };
    near(hold_up_s(ideal, 5.0, 4.5, 0.3), 1.6667e-3, 5e-8, "last digit");
    let farad = gap_farad(1.5, 1.0, 0.85, 12.0, 6.0).unwrap();
    near(farad, 33e-3, 5e-4, "1.5 W, 1 s, 12 to 6 V; efficiency 0.85 is ours");
}

/// Currents and bands in secondary pages that quote the USB documents (mark a*).
#[test]
fn usb_limits() {
    for (source, limit_a) in [
        (Usb::Unconfigured, 0.1),
        (Usb::Usb2, 0.5),
        (Usb::Usb3, 0.9),
        (Usb::Charging, 1.5),
        (Usb::C15, 1.5),
        (Usb::C30, 3.0),
    ] {
        assert_eq!(source.limit_a(), limit_a);
    }
    assert_eq!(USB_SOCKET_V, (4.75, 5.25));
    for (low, high, advertised) in [(0.25, 0.61, Usb::Usb2), (0.70, 1.16, Usb::C15), (1.31, 2.04, Usb::C30)] {
        assert_eq!(type_c_advertises(low), Some(advertised));
        assert_eq!(type_c_advertises(high), Some(advertised));
        assert_eq!(type_c_advertises(high + 0.02), None);
    }
}

/// Peaks (references.md 6.2, mark b), ripple (trade.md, calc), and the trap of the 28 V converter.
#[test]
fn rectified_bell_transformer() {
    near(peak_v(8.0), 11.31, 0.005, "last digit");
    near(peak_v(24.0), 33.94, 0.005, "last digit");
    // IEC 61558-2-8: no-load at most 33 V alternating (scope text, mark a*).
    near(peak_v(33.0), 46.67, 0.005, "last digit");
    near(ripple_v(0.3, 1000e-6, 50.0), 2.2, 0.06, "two digits; 2.25 exactly");
    let bell = Transformer { rated_v: 24.0, rated_va: 24.0, no_load_ratio: 1.0, mains_hz: 50.0 };
    // Even an ideally stiff 24 V transformer at nominal mains is above a 28 V rating.
    assert!(bell.highest_v() > 28.0 && peak_v(bell.rated_v) > 28.0);
    near(bell.usable_a(), 1.0 / 1.7, 1e-12, "form factor 1.7 (trade.md)");
}
