//! Laws of a touch, and the spread against draws.

use super::capacitance::{Idle, metal_behind_f, series_f};
use super::count::Law;
use super::expected::{Design, MAINS_Y_F, ON_CELLS_F, Range};
use super::path::{Layer, Touch};
use super::timing::{SleepThreshold, change_allowed_k};
use crate::luck::Stream;
use proptest::prelude::*;
use quantity::normal::quantile;

const PLASTIC: Layer = Layer { permittivity: 3.0, thickness_m: 0.002 };

proptest! {
    /// The smallest of a series rules: never more than any part, and a better return never takes away.
    #[test]
    fn series_is_less_than_its_least_part(a in 1e-13..1e-9_f64, b in 1e-13..1e-9_f64, more in 1.0..10.0_f64) {
        prop_assert!(series_f(&[a, b]) < a.min(b));
        let near = Touch { cover: PLASTIC, ..Touch::bare(a) }.farad().unwrap();
        let far = Touch { cover: PLASTIC, ..Touch::bare(a * more) }.farad().unwrap();
        prop_assert!(far >= near);
    }

    #[test]
    fn laws_are_inverted_by_their_counts(idle in 100.0..4000.0_f64, ratio in 0.0..3.0_f64) {
        for law in [Law::Falls, Law::Rises] {
            let touched = law.count(idle, 1.0, ratio);
            prop_assert!((law.added_ratio(idle, touched) - ratio).abs() < 1e-9);
            prop_assert_eq!(touched < idle, law == Law::Falls && ratio > 0.0);
        }
    }

    /// More idle capacitance hides a touch, more cover weakens it.
    #[test]
    fn swing_falls_with_idle_and_cover(idle in 5e-12..1e-10_f64, more in 1.01..5.0_f64) {
        for law in [Law::Falls, Law::Rises] {
            let base = Design { idle_f: Range::exact(idle), ..Design::typical(law, PLASTIC, ON_CELLS_F) };
            let heavier = Design { idle_f: Range::exact(idle * more), ..base };
            let thicker = Design { cover: Layer { thickness_m: 0.002 * more, ..PLASTIC }, ..base };
            let swing = base.swing().unwrap();
            prop_assert!(heavier.swing().unwrap().mid < swing.mid);
            prop_assert!(thicker.swing().unwrap().mid < swing.mid);
            prop_assert!(swing.low <= swing.mid && swing.mid <= swing.high);
        }
    }
}

/// Two-piece lognormal draws through the same formula; a second way to the interval.
#[test]
fn spread_is_what_draws_give() {
    let glove = |design: Design| Design { glove: Layer::GLOVE, ..design };
    for design in [
        Design::typical(Law::Falls, Layer::NONE, ON_CELLS_F),
        Design::typical(Law::Falls, PLASTIC, MAINS_Y_F),
        glove(Design::typical(Law::Rises, PLASTIC, ON_CELLS_F)),
    ] {
        let mut stream = Stream::new(11);
        let mut draw = |range: Range| {
            let z = quantile(stream.unit().clamp(1e-9, 1.0 - 1e-9)) / 1.644_854;
            range.mid * (if z < 0.0 { range.mid / range.low } else { range.high / range.mid }).powf(z)
        };
        let mut swings: Vec<f64> = (0..20_000)
            .map(|_| {
                let inputs =
                    [design.cover_factor, design.tip_m, design.body_f, design.station_f, design.idle_f]
                        .map(&mut draw);
                design.swing_at(inputs).unwrap()
            })
            .collect();
        swings.sort_by(f64::total_cmp);
        let told = design.swing().unwrap();
        for (told, drawn) in
            [(told.low, swings[1_000]), (told.mid, swings[10_000]), (told.high, swings[19_000])]
        {
            assert!((told / drawn).ln().abs() < 0.15, "{design:?}: {told} {drawn}");
        }
    }
}

/// trade.md §3: finger through 2 mm of plastic is 1.2 pF (0.5..2), idle 20 pF (10..60).
#[test]
fn geometry_gives_what_the_trade_knows() {
    let design = Design::typical(Law::Falls, PLASTIC, MAINS_Y_F);
    for (factor, tip_m) in [(0.6, 0.012), (1.0, 0.010), (1.3, 0.012)] {
        let cover = Layer { thickness_m: design.cover.thickness_m / factor, ..design.cover };
        let farad = cover.farad(tip_m).unwrap();
        assert!((0.5e-12..2.0e-12).contains(&farad), "{farad}");
    }
    let idle = Idle { pin_f: 8e-12, lead_m: 0.1, lead_f_m: 12e-12, diameter_m: 0.06, metal_m: Some(0.01) };
    let farad = idle.farad().unwrap();
    assert!((10e-12..20e-12).contains(&farad), "{farad}");
    let free = Idle { metal_m: None, ..idle }.farad().unwrap();
    assert!(free < farad && farad - free < metal_behind_f(0.06, 0.01).unwrap());
}

/// trade.md `plate.sleep-threshold`: a bare plate on a Y supply sleeps well, a covered one on cells does not.
#[test]
fn a_frozen_threshold_suits_bare_plates_only() {
    let frozen = SleepThreshold::new(20.0, 0.0005, 0.02);
    let bare = Design::typical(Law::Falls, Layer::NONE, MAINS_Y_F).swing().unwrap();
    let covered = Design::typical(Law::Falls, PLASTIC, ON_CELLS_F).swing().unwrap();
    assert!(frozen.holds(bare.low) && !frozen.holds(covered.mid));
    assert!((frozen.wake_at(0.3) - 0.15).abs() < 1e-15);
    // What is allowed is just what is needed: the two are inverse.
    let change_k = change_allowed_k(0.12, 0.0005, 0.02);
    assert!((SleepThreshold::new(change_k, 0.0005, 0.02).swing_needed - 0.12).abs() < 1e-12);
    assert_eq!(change_allowed_k(0.03, 0.0005, 0.02), 0.0);
}

#[test]
fn hostile_numbers_are_refused() {
    assert_eq!(Touch::bare(f64::NAN).farad().unwrap_err().what, "station_f");
    assert_eq!(Law::Falls.swing(0.0, 1e-12).unwrap_err().what, "idle_f");
    let thick = Design::typical(Law::Falls, Layer { permittivity: 0.5, thickness_m: 0.001 }, ON_CELLS_F);
    assert_eq!(thick.swing().unwrap_err().what, "permittivity");
}
