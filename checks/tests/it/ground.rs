//! Polygons of own ground against shapely, and the infrared limits that are printed.

use checks::{near, near_relative, peer_with};
use models::ground::polygon::{area_m2, clip, holds, is_simple};
use models::hazard::{coil, infrared};
use models::luck::{Stream, mix};
use serde_json::{Value, json};

/// A polygon around a middle: simple when its corners come by angle, mostly crossing when they are shuffled.
fn polygon(stream: &mut Stream, by_angle: bool) -> Vec<[f64; 2]> {
    let count = 3 + (stream.unit() * 10.0) as usize;
    let middle = [8.0 * stream.unit() - 4.0, 8.0 * stream.unit() - 4.0];
    let mut angles: Vec<f64> = (0..count).map(|_| std::f64::consts::TAU * stream.unit()).collect();
    if by_angle {
        angles.sort_by(f64::total_cmp);
    }
    angles
        .into_iter()
        .map(|angle| {
            let radius = 0.3 + 5.0 * stream.unit();
            [middle[0] + radius * angle.cos(), middle[1] + radius * angle.sin()]
        })
        .collect()
}

/// A convex window, its corners to the left around it.
fn window(stream: &mut Stream) -> Vec<[f64; 2]> {
    let count = 3 + (stream.unit() * 5.0) as usize;
    let radius = 1.0 + 4.0 * stream.unit();
    (0..count)
        .map(|i| std::f64::consts::TAU * (i as f64 + 0.5 * stream.unit()) / count as f64)
        .map(|angle| [radius * angle.cos(), radius * angle.sin()])
        .collect()
}

#[test]
#[ignore = "calls a Python peer"]
fn five_hundred_polygons_are_those_of_a_geometry_library() {
    let mut stream = Stream::new(mix(3, 0x9f0d));
    let cases: Vec<_> = (0..500)
        .map(|case| {
            let shape = polygon(&mut stream, case % 5 != 4);
            let points: Vec<[f64; 2]> =
                (0..20).map(|_| [12.0 * stream.unit() - 6.0, 12.0 * stream.unit() - 6.0]).collect();
            (shape, window(&mut stream), points)
        })
        .collect();
    let sent: Vec<Value> =
        cases.iter().map(|(p, w, points)| json!({"polygon": p, "window": w, "points": points})).collect();
    let answers = peer_with("ground_shapely.py", &[], &Value::Array(sent));
    let mut simple = 0;
    for ((shape, window, points), answer) in cases.iter().zip(answers.as_array().expect("a list")) {
        assert_eq!(is_simple(shape), answer["simple"].as_bool().unwrap(), "{shape:?}");
        if !is_simple(shape) {
            continue;
        }
        simple += 1;
        // Both are exact but for rounding of some tens of square metres.
        near(area_m2(shape), answer["area"].as_f64().unwrap(), 1e-10, "area by shapely");
        near(area_m2(&clip(shape, window)), answer["clipped"].as_f64().unwrap(), 1e-9, "clipped by shapely");
        for (point, inside) in points.iter().zip(answer["inside"].as_array().unwrap()) {
            assert_eq!(holds(shape, *point), inside.as_bool().unwrap(), "{shape:?} {point:?}");
        }
    }
    assert!((380..480).contains(&simple), "{simple} of 500: both kinds must be tried");
}

/// references.md 10: limits and examples as printed in secondary sources (a*), the arithmetic computed there (b).
#[test]
fn infrared_at_the_eye_is_as_printed() {
    near(infrared::cornea_limit_w_m2(7.0), 4182.63, 0.005, "18,000 t^-0.75 at 7 s, last printed digit");
    near(infrared::cornea_limit_w_m2(1000.0), 101.22, 0.005, "the same at 1,000 s");
    near(infrared::cornea_limit_w_m2(1000.1), 100.0, 0.0, "exempt group beyond 1,000 s");
    for (distance_m, w_m2) in [(0.2, 2.0), (0.5, 0.32), (1.0, 0.08)] {
        near_relative(infrared::irradiance_w_m2(0.080, distance_m), w_m2, 1e-12, "80 mW/sr");
    }
    near(infrared::retina_weight(850e-9), 0.501_187, 5e-7, "R(850), last printed digit");
}

/// references.md 10: 50 mH, 24 ohm, 12 V, 0.5 A (computed there).
#[test]
fn a_coil_lets_go_as_computed() {
    near(coil::stored_j(0.050, 0.5), 6.25e-3, 1e-12, "L I²/2");
    near(coil::unclamped_v(0.050, 0.5, 10e-6), 2500.0, 1e-9, "L I/t");
    for (clamp_v, ms) in [(0.7, 6.038_077), (12.0, 1.444_057), (24.0, 0.844_719), (36.0, 0.599_338)] {
        near(
            coil::to_zero_s(0.050 / 24.0, 12.0, clamp_v) * 1e3,
            ms,
            5e-7,
            "(L/R) ln(1 + V/Vc), last printed digit",
        );
    }
}
