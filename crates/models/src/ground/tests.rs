//! Laws of polygons, rays, areas and masks, and what can be worked out by hand.

use super::polygon::{area_m2, clip, holds, is_simple, signed_area_m2};
use super::*;
use crate::optics::law::Law;
use proptest::prelude::*;

fn camera(law: Law, height_m: f64, tilt_rad: f64, turn_rad: f64) -> Camera {
    let imager = Imager { width_px: 800.0, height_px: 600.0, pitch_m: 4.4e-6 };
    Camera {
        lens: Lens::from_field(law, [0.0; 4], 2.0, imager.width_m()).unwrap(),
        imager,
        pose: Pose { height_m, tilt_rad, turn_rad, ..Pose::default() },
    }
}

fn rectangle(half_m: f64, deep_m: f64) -> Vec<[f64; 2]> {
    vec![[-half_m, 0.0], [half_m, 0.0], [half_m, deep_m], [-half_m, deep_m]]
}

/// A star-shaped polygon around the origin: simple whatever the radii.
fn star(radii: &[f64]) -> Vec<[f64; 2]> {
    let step = std::f64::consts::TAU / radii.len() as f64;
    (0_u32..)
        .zip(radii)
        .map(|(i, r)| [r * (f64::from(i) * step).cos(), r * (f64::from(i) * step).sin()])
        .collect()
}

#[test]
fn polygons_that_cross_or_have_no_area_are_told() {
    assert!(is_simple(&rectangle(1.0, 2.0)));
    assert!(!is_simple(&[[0.0, 0.0], [1.0, 1.0], [1.0, 0.0], [0.0, 1.0]]), "a bow tie");
    assert!(!is_simple(&[[0.0, 0.0], [1.0, 0.0], [2.0, 0.0]]), "a line");
    assert!(!is_simple(&[[0.0, 0.0], [1.0, 0.0]]));
    // A corner that lies on another edge.
    assert!(!is_simple(&[[0.0, 0.0], [4.0, 0.0], [4.0, 2.0], [2.0, 0.0], [0.0, 2.0]]));
}

#[test]
fn a_level_camera_sees_a_strip_of_ground_by_hand() {
    // Equidistant, 2 rad over 800 px: 400 px/rad; 600 px high: 0.75 rad below the axis. From 1.5 m the ground of the middle
    // column begins 1.5/tan(0.75) = 1.610 m before the wall.
    let level = camera(Law::Equidistant, 1.5, 0.0, 0.0);
    let [x, y] = ground_point(&level, [400.0, 600.0]).unwrap();
    assert!(x.abs() < 1e-9 && (y - 1.5 / 0.75f64.tan()).abs() < 1e-9);
    // Half of the rays rise.
    let land = Land { own: &[], far_m: 1e9 };
    assert!((watched(&level, &land, 1e9).ground_share - 0.5).abs() < 0.01);
}

#[test]
fn nothing_is_beyond_a_large_boundary_and_all_is_beyond_none() {
    let camera = camera(Law::Equidistant, 1.5, -0.3, 0.2);
    let all = [rectangle(100.0, 100.0)];
    let inside = watched(&camera, &Land { own: &all, far_m: 20.0 }, 125.0);
    assert_eq!((inside.beyond_share, inside.beyond_m2, inside.face_m2), (0.0, 0.0, 0.0));
    let outside = watched(&camera, &Land { own: &[], far_m: 20.0 }, 125.0);
    assert_eq!((outside.beyond_share, outside.beyond_m2), (outside.ground_share, outside.ground_m2));
    assert!(outside.face_m2 > 0.0);
}

#[test]
fn watched_ground_is_the_sector_that_the_lens_cuts_out() {
    // Looking straight down at a rectilinear picture of 90° by 90°: a square of twice the height each way, of which the wall
    // leaves the outer half: 2 h² for h = 3 m is 18 m².
    let imager = Imager { width_px: 1000.0, height_px: 1000.0, pitch_m: 1e-6 };
    let down = Camera {
        lens: Lens::new(Law::Rectilinear, 0.5e-3),
        imager,
        pose: Pose { height_m: 3.0, tilt_rad: -FRAC_PI_2, ..Pose::default() },
    };
    let seen = watched(&down, &Land { own: &[], far_m: 20.0 }, 1e9);
    assert!((seen.ground_m2 - 18.0).abs() < 1.8, "{}: within a tenth, as promised", seen.ground_m2);
    assert!((seen.ground_share - 0.5).abs() < 0.02);
}

proptest! {
    #[test]
    fn area_keeps_under_moves_and_turns_its_sign_backwards(radii in prop::collection::vec(0.2..5.0_f64, 3..12),
        dx in -100.0..100.0_f64, dy in -100.0..100.0_f64) {
        let polygon = star(&radii);
        let area = signed_area_m2(&polygon);
        let moved: Vec<_> = polygon.iter().map(|[x, y]| [x + dx, y + dy]).collect();
        prop_assert!((signed_area_m2(&moved) - area).abs() < 1e-9);
        let back: Vec<_> = polygon.iter().rev().copied().collect();
        prop_assert!((signed_area_m2(&back) + area).abs() < 1e-9);
        prop_assert!(is_simple(&polygon) || area.abs() < 1e-9);
    }

    #[test]
    fn two_halves_of_a_clip_make_the_whole(radii in prop::collection::vec(0.2..5.0_f64, 3..12), cut in -5.0..5.0_f64) {
        let polygon = star(&radii);
        let half = |low: f64, high: f64| [[low, -9.0], [high, -9.0], [high, 9.0], [low, 9.0]];
        let (left, right) = (area_m2(&clip(&polygon, &half(-9.0, cut))), area_m2(&clip(&polygon, &half(cut, 9.0))));
        prop_assert!((left + right - area_m2(&polygon)).abs() < 1e-9);
    }

    #[test]
    fn a_point_of_the_clip_is_in_both(radii in prop::collection::vec(0.2..5.0_f64, 3..12), x in -5.0..5.0_f64, y in -5.0..5.0_f64) {
        let (polygon, window) = (star(&radii), [[-2.0, -1.0], [3.0, -1.0], [3.0, 2.0], [-2.0, 2.0]]);
        let kept = clip(&polygon, &window);
        prop_assert_eq!(holds(&kept, [x, y]), holds(&polygon, [x, y]) && holds(&window, [x, y]));
    }

    #[test]
    fn a_ray_to_the_ground_comes_back_to_its_pixel(px in 0.0..800.0_f64, py in 0.0..600.0_f64,
        tilt in -0.8..0.3_f64, turn in -0.6..0.6_f64, height in 0.8..3.0_f64) {
        for law in [Law::Rectilinear, Law::Equidistant, Law::Equisolid] {
            let camera = camera(law, height, tilt, turn);
            if let Some([x, y]) = ground_point(&camera, [px, py]) {
                let point = camera.pose.camera_from_door().apply([x, 0.0, y]);
                let image = crate::optics::law::Projector::new(&camera.lens).image_from_camera(point).unwrap();
                let [bx, by] = camera.imager.pixel_from_image(image);
                // A grazing ray meets the ground far away, where a pixel is many metres: 1e-4 px is rounding.
                prop_assert!((bx - px).abs() < 1e-4 && (by - py).abs() < 1e-4);
            }
        }
    }

    #[test]
    fn a_smaller_own_ground_never_has_less_beyond(deep in 0.5..10.0_f64, shrink in 0.1..1.0_f64, tilt in -0.6..0.2_f64) {
        let camera = camera(Law::Equidistant, 1.5, tilt, 0.0);
        let of = |deep_m: f64| {
            let own = [rectangle(4.0, deep_m)];
            watched(&camera, &Land { own: &own, far_m: 20.0 }, 125.0)
        };
        let (large, small) = (of(deep), of(deep * shrink));
        prop_assert!(small.beyond_share >= large.beyond_share && small.face_m2 >= large.face_m2);
        prop_assert!((small.ground_share - large.ground_share).abs() < 1e-12);
    }

    #[test]
    fn a_mask_with_its_guard_covers_what_looks_beyond_although_the_camera_moved(px in 0.0..800.0_f64, py in 0.0..600.0_f64,
        tilt in -0.5..0.2_f64, moved in -1.0..1.0_f64) {
        let own = [rectangle(4.0, 3.0)];
        let land = Land { own: &own, far_m: 20.0 };
        let planned = camera(Law::Equidistant, 1.5, tilt, 0.0);
        let error = 2f64.to_radians();
        let mask = Mask::new(&planned, &land, guard_px(&planned.lens, &planned.imager, error), [64, 48]);
        let built = camera(Law::Equidistant, 1.5, tilt + error * moved, 0.0);
        let looks = ground_point(&built, [px, py]).filter(|point| within(&built, &land, *point));
        if looks.is_some_and(|point| land.beyond(point)) {
            prop_assert!(mask.covers([px, py]));
        }
        // Its rectangles are the same cells, once each.
        let area: f64 = mask.rectangles().iter().map(|r| (r[2] - r[0]) * (r[3] - r[1])).sum();
        prop_assert!((area / 480_000.0 - mask.share()).abs() < 1e-9);
        let hits = mask.rectangles().iter().filter(|r| px >= r[0] && px < r[2] && py >= r[1] && py < r[3]).count();
        prop_assert_eq!(hits, usize::from(mask.covers([px, py])));
    }
}
