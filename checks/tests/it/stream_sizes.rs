//! Frame sizes against encoded sample pictures.
//!
//! Sources: references.md §4.2 and §4.3 (Pillow 13.0.0, computed); `peers/jpeg_table.py` measures our table anew.

use models::jpeg::quantiser::scale_of_quality;
use models::jpeg::scene::{SCALES, Scene};
use models::jpeg::size::FrameSize;

/// references.md §4.3: picture, width, height, bytes at qualities 10, 30, 50, 75, 90 with colour 4:2:2.
const ENLARGED: [(&str, u32, u32, [f64; 5]); 6] = [
    ("astronaut", 800, 600, [19567.0, 33428.0, 43799.0, 64285.0, 110083.0]),
    ("astronaut", 1600, 1200, [58846.0, 91352.0, 119359.0, 175206.0, 301106.0]),
    ("coffee", 800, 600, [18674.0, 35332.0, 48149.0, 72446.0, 125181.0]),
    ("coffee", 1600, 1200, [60132.0, 101428.0, 135028.0, 200926.0, 344277.0]),
    ("chelsea", 800, 600, [16429.0, 29267.0, 38945.0, 56882.0, 96151.0]),
    ("chelsea", 1600, 1200, [52352.0, 81800.0, 104690.0, 149688.0, 258233.0]),
];

/// The same pictures as they are, bytes at qualities 30, 50, 75, 90.
const ORIGINAL: [(&str, u32, u32, [f64; 4]); 3] = [
    ("astronaut", 512, 512, [22798.0, 30189.0, 43974.0, 74833.0]),
    ("coffee", 600, 400, [21520.0, 29814.0, 45629.0, 80222.0]),
    ("chelsea", 451, 300, [10860.0, 14710.0, 22169.0, 37970.0]),
];

fn porch_b(quality: u8, width: u32, height: u32) -> f64 {
    FrameSize::new(Scene::Porch, scale_of_quality(quality).unwrap(), width, height).unwrap().median_b
}

#[test]
fn enlarged_pictures_lie_within_a_factor_of_two() {
    for (name, width, height, bytes) in ENLARGED {
        for (quality, wanted) in [10, 30, 50, 75, 90].into_iter().zip(bytes) {
            let got = porch_b(quality, width, height);
            assert!(
                (0.5..2.0).contains(&(got / wanted)),
                "{name} {width} q{quality}: {got} against {wanted}"
            );
            // Enlarging adds pixels but nothing to see: a real sensor's picture is larger, so the estimate must not
            // lie far under.
            assert!(got > 0.9 * wanted, "{name} {width} q{quality}: {got} under {wanted}");
        }
    }
}

#[test]
fn original_pictures_lie_within_their_class() {
    for (name, width, height, bytes) in ORIGINAL {
        for (quality, wanted) in [30, 50, 75, 90].into_iter().zip(bytes) {
            let got = porch_b(quality, width, height);
            // The class is the mean of these three; single pictures lie within 20 % of it.
            assert!((got / wanted - 1.0).abs() < 0.2, "{name} q{quality}: {got} against {wanted}");
        }
    }
}

#[test]
#[ignore = "calls a Python peer"]
fn table_is_what_the_sample_pictures_give() {
    let answer = checks::peer("jpeg_table.py", &[]);
    for (scene, key) in [
        (Scene::CalmWall, "calm_wall"),
        (Scene::Porch, "porch"),
        (Scene::Foliage, "foliage"),
        (Scene::NightNoise, "night_noise"),
    ] {
        let measured = &answer["table"][key];
        for (i, ours) in scene.row().bits_per_px.iter().enumerate() {
            let theirs = measured["bits_per_px"][i].as_f64().unwrap();
            // 1 %: three printed digits, and another libjpeg build's rounding in its transform.
            assert!((ours / theirs - 1.0).abs() < 0.01, "{key} at {}: {ours} against {theirs}", SCALES[i]);
        }
        let fall = measured["fall"].as_f64().unwrap();
        assert!((scene.row().fall - fall).abs() < 0.005, "{key}: fall {} against {fall}", scene.row().fall);
    }
}
