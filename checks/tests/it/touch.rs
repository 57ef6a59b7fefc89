//! A touch plate before it is built: capacitance rows of references.md §8, and the trade's arithmetic (`calc`).

use checks::{near, near_relative};
use models::touch::capacitance::{LEAD_F_M, disc_m2, edge_factor, metal_behind_f, plates_f};
use models::touch::count::Law;
use models::touch::noise::{alias_hz, expected_range, hum_left, ratio, tails_gap};
use models::touch::path::{Layer, Touch};
use models::touch::timing::{
    DRIFT_1_K, LEAD_MAX_M, PRESS_S, RAIN_STEP, SEEN_WITHIN_S, SleepThreshold, seen_after_s, surge_rc_s,
};

/// references.md §8.2 (mark b), last printed digit.
#[test]
fn plates() {
    for (permittivity, area_m2, distance_m, pf) in [
        (2.7, 4e-4, 2e-3, 4.781261),
        (3.0, disc_m2(0.010), 3e-3, 0.695406),
        (6.5, disc_m2(0.015), 3e-3, 3.390106),
    ] {
        near(plates_f(permittivity, area_m2, distance_m).unwrap() * 1e12, pf, 1e-6, "eps0 er A/d");
    }
    // Kirchhoff's own assumption: the correction vanishes with the gap.
    near(edge_factor(0.06, 1e-6), 1.0, 1e-3, "no gap, no edge");
}

/// plate.return-path, plate.metal-behind, plate.glove (`calc`), to their printed digits.
#[test]
fn what_a_touch_adds() {
    let pf = |touch: Touch| touch.farad().unwrap() * 1e12;
    near(pf(Touch::bare(10e-12)), 9.0, 0.5, "bare, floating at 10 pF");
    near(pf(Touch::bare(30e-12)), 24.0, 0.5, "bare, 30 pF");
    near(pf(Touch::bare(1e-9)), 110.0, 5.0, "bare, earthed");
    let plastic = Layer { permittivity: 3.0, thickness_m: 0.002 };
    for station_f in [10e-12, 30e-12, 1e-9] {
        let covered = pf(Touch { cover: plastic, ..Touch::bare(station_f) });
        near(covered, 1.4, 0.11, "2 mm cover, about 1.3..1.5 in all");
    }
    let gloved = Touch { glove: Layer::GLOVE, ..Touch::bare(30e-12) };
    near(pf(gloved), 1.5, 0.05, "bare plate, winter glove");
    near(pf(gloved) / 24.0, 0.06, 0.005, "of the bare finger");
    let covered = Touch { cover: plastic, ..Touch::bare(30e-12) };
    near(pf(covered), 1.4, 0.05, "covered plate");
    near(pf(Touch { glove: Layer::GLOVE, ..covered }), 0.75, 0.01, "covered plate, winter glove");
    for (metal_m, wanted_pf) in [(0.002, 12.5), (0.010, 2.5), (0.020, 1.25)] {
        near_relative(metal_behind_f(0.060, metal_m).unwrap() * 1e12, wanted_pf, 5e-3, "door skin");
    }
}

/// plate.law (`calc`): 950 to 350; and the maker's examples, 1 pF on 20 and on 100 pF (references.md §8.2, read).
#[test]
fn counts() {
    near(Law::Falls.added_ratio(950.0, 350.0), 1.7, 0.05, "950 to 350");
    near(Law::Rises.swing(20e-12, 1e-12).unwrap(), 0.05, 1e-12, "1 pF on 20");
    near(Law::Rises.swing(100e-12, 1e-12).unwrap(), 0.01, 1e-12, "1 pF on 100");
    // The same touch read by the other law: 1/21.
    near(Law::Falls.swing(20e-12, 1e-12).unwrap(), 1.0 / 21.0, 1e-12, "falling");
}

/// Ranges of normal samples (references.md §8.1, mark b) and what they make of one ratio.
#[test]
fn ratios_differ_by_definition() {
    for (n, d2) in [(10, 3.077505), (100, 5.015187), (1000, 6.482872), (3000, 7.088716)] {
        near(expected_range(n), d2, 1e-6, "d2(n)");
    }
    // 5:1 peak-to-peak over 1,000 samples is about 32 sigma (references.md §8.1).
    near(ratio(32.4, 1.0, 1000).peak_to_peak, 5.0, 0.01, "32 sigma");
    let spread = ratio(0.06, 0.0015, 1000);
    assert!(spread.sigma > spread.positive_peak && spread.positive_peak > spread.peak_to_peak);
    // plate.touched-noise: quiet idle, wild touch: 40 sigma of idle noise and yet no room at x20.
    assert!(tails_gap(0.06, 0.0015, 5.0 * 0.0015) > 0.0 && tails_gap(0.06, 0.0015, 24.0 * 0.0015) < 0.0);
}

/// plate.alias, plate.sleep-threshold, plate.press-length, plate.surge (`calc`).
#[test]
fn time_and_hum() {
    for rate_hz in [1.0, 10.0] {
        near(alias_hz(50.0, rate_hz), 0.0, 1e-9, "50 Hz shows as nothing");
        near(alias_hz(60.0, rate_hz), 0.0, 1e-9, "60 Hz shows as nothing");
    }
    near(alias_hz(60.0, 20.0), 0.0, 1e-9, "60 Hz at 20 a second");
    near(alias_hz(50.0, 1.0 / 0.030), 16.7, 0.05, "30 ms");
    for hum_hz in [50.0, 60.0] {
        near(hum_left(hum_hz, 0.100), 0.0, 1e-12, "100 ms, whole periods");
    }
    near(
        SleepThreshold::new(20.0, DRIFT_1_K, RAIN_STEP).swing_needed,
        0.09,
        1e-12,
        "3 x (0.05 %/K x 20 K + 2 %)",
    );
    near(surge_rc_s(1e3, 30e-12), 30e-9, 1e-18, "1 k and 30 pF");
    assert!(seen_after_s(0.02, 2, 0.04) <= SEEN_WITHIN_S && SEEN_WITHIN_S < PRESS_S[0]);
    near(LEAD_MAX_M * LEAD_F_M[1] * 1e12, 2.25, 1e-9, "the longest lead stays far below the idle 20 pF");
}
