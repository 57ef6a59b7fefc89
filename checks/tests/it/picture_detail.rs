//! Classes of picture detail, depth of field, sight angles, windows and defaults of standing, against printed values.

use checks::{near, near_relative};
use models::optics::classes::Edition;
use models::optics::density;
use models::optics::focus::Focus;
use models::optics::imager::{Imager, Readout};
use models::optics::law::{Law, Lens};
use models::optics::pose::Pose;
use models::optics::window;
use models::people::mix::Mix;
use models::people::standing::{PRESSING, WAITING};
use models::view::callers::Callers;
use models::view::{ViewInput, view};

/// references.md 1.1: IEC 62676-4:2014 (EN 62676-4:2015), read in a secondary page, in mm a pixel; px/m is 1000 over it.
#[test]
fn classes_of_2014() {
    let printed = [
        ("monitor", 80.0),
        ("detect", 40.0),
        ("observe", 16.0),
        ("recognise", 8.0),
        ("identify", 4.0),
        ("inspect", 1.0),
    ];
    assert_eq!(Edition::Of2014.classes().len(), printed.len());
    for (class, (name, mm_per_px)) in Edition::Of2014.classes().iter().zip(printed) {
        assert_eq!((class.name, class.px_per_m), (name, 1000.0 / mm_per_px));
    }
}

/// references.md 1.1: IEC 62676-4:2025, *from memory* there; the two editions must not be mixed up.
#[test]
fn classes_of_2025_are_spaced_otherwise() {
    let from_memory = [
        ("overview", 20.0),
        ("outline", 40.0),
        ("discern", 80.0),
        ("perceive", 125.0),
        ("characterise", 250.0),
        ("validate", 500.0),
        ("scrutinise", 1500.0),
    ];
    let ours: Vec<_> = Edition::Of2025.classes().iter().map(|class| (class.name, class.px_per_m)).collect();
    assert_eq!(ours, from_memory);
    assert_eq!(Edition::Of2014.reached(600.0).unwrap().name, "identify");
    assert_eq!(Edition::Of2025.reached(600.0).unwrap().name, "validate");
    assert!(Edition::Of2014.named("validate").is_none());
    assert_eq!(Edition::default(), Edition::Of2014);
}

/// references.md 1.2 (computed): 1,200 px/rad reaches the classes of 2014 up to these distances.
#[test]
fn farthest_distances_of_the_classes() {
    let lens = Lens::new(Law::Rectilinear, 3.6e-3);
    for (name, distance_m) in
        [("identify", 4.8), ("recognise", 9.6), ("observe", 19.2), ("detect", 48.0), ("monitor", 96.0)]
    {
        let class = Edition::Of2014.named(name).unwrap();
        near_relative(density::on_axis_px_per_m(&lens, 3e-6, distance_m), class.px_per_m, 1e-12, "exact");
    }
}

/// The same distance found by the view's own search, through pose, projection and bisection.
#[test]
fn view_finds_the_farthest_distance_of_a_class() {
    let imager = Imager::new([1600, 1200], 3e-6, [1600, 1200], Readout::Scaled).unwrap();
    let input = ViewInput {
        lens: Lens::new(Law::Rectilinear, 3.6e-3),
        imager,
        pose: Pose { height_m: 1.4, ..Pose::default() },
        standing: PRESSING,
        wanted_px_per_m: Edition::Of2014.named("identify").unwrap().px_per_m,
        margin_m: 0.03,
        sharpness: 0.6,
        axis_distance_m: 2.0,
        parcel_m: 0.6,
    };
    let seen = view(&input, &Callers::new(&Mix::default()));
    near_relative(
        seen.useful_m.unwrap()[1],
        4.8,
        1.5e-3,
        "references.md 1.2; the search ends at a thousandth",
    );
    near(seen.axis_px_per_m, 600.0, 1e-9, "references.md 1.2, 1,200 px/rad at 2 m");
}

/// references.md 1.5: formulas textbook (from memory), numbers computed.
#[test]
fn depth_of_field() {
    let rows = [
        (3.6, 2.0, 0.003, 2163.6, 1000.0, 684.324, 1856.308),
        (3.6, 2.0, 0.003, 2163.6, 500.0, 406.565, 649.195),
        (3.6, 2.0, 0.003, 2163.6, 3000.0, 1256.691, f64::INFINITY),
        (2.2, 2.4, 0.0035, 578.390476, 500.0, 268.247, 3675.131),
        (50.0, 8.0, 0.03, 10466.667, 1000.0, 916.422, 1100.352),
    ];
    for (focal_mm, f_number, circle_mm, hyperfocal_mm, distance_mm, near_mm, far_mm) in rows {
        let focus = Focus { focal_m: focal_mm * 1e-3, f_number, distance_m: distance_mm * 1e-3 };
        let depth = focus.depth(circle_mm * 1e-3).unwrap();
        near(depth.hyperfocal_m * 1e3, hyperfocal_mm, 5e-4, "last printed digit");
        near(depth.near_m * 1e3, near_mm, 5e-4, "last printed digit");
        if far_mm.is_finite() {
            near(depth.far_m * 1e3, far_mm, 5e-4, "last printed digit");
        } else {
            assert!(depth.far_m.is_infinite());
        }
    }
    // "Focus at H gives near limit H/2."
    let at_hyperfocal = Focus { focal_m: 3.6e-3, f_number: 2.0, distance_m: 2.1636 }.depth(3e-6).unwrap();
    near(at_hyperfocal.near_m, 2.1636 / 2.0, 1e-12, "exact");
}

/// references.md 1.6 (computed): angle of the eyes above a level camera at 1.4 m, by `atan2`; ours through the pose.
#[test]
fn camera_height_to_eye_angle() {
    let map = Pose { height_m: 1.4, ..Pose::default() }.camera_from_door();
    for (eye_m, distance_m, degrees) in
        [(1.421, 0.5, 2.405009), (1.753, 0.5, 35.222092), (1.753, 0.8, 23.809470), (1.02, 0.5, -37.234834)]
    {
        let [_, down, forward] = map.apply([0.0, eye_m, distance_m]);
        near((-down).atan2(forward).to_degrees(), degrees, 1e-5, "references.md 1.6, stated tolerance");
    }
    // "Serving all three at 0.5 m needs about 73 deg of vertical view": a camera tilted to the middle of them with
    // 72.5° just sees both ends, with 72.4° it does not.
    let tilted =
        Pose { height_m: 1.4, tilt_rad: f64::to_radians(35.222092 - 37.234834) / 2.0, ..Pose::default() };
    for (field, both) in [(72.5f64, true), (72.4, false)] {
        let lens = Lens::from_field(Law::Equidistant, [0.0; 4], field.to_radians(), 1e-3).unwrap();
        let projector = models::optics::law::Projector::new(&lens);
        let inside = [1.753, 1.02].into_iter().all(|eye_m| {
            let image = projector.image_from_camera(tilted.camera_from_door().apply([0.0, eye_m, 0.5]));
            image.unwrap()[1].abs() <= 0.5e-3
        });
        assert_eq!(inside, both, "{field}");
    }
}

/// trade.md, detail.window-crop ("calc"): pupil radius 2 mm, gap 3 mm: 33° 4 mm, 60° 7 mm, 80° 19 mm.
#[test]
fn window_radius() {
    for (degrees, mm) in [(33.0, 4.0), (60.0, 7.0), (80.0, 19.0)] {
        let radius_m = window::radius_m(2e-3, 3e-3, f64::to_radians(degrees)).unwrap();
        near(radius_m * 1e3, mm, 0.5, "printed in whole millimetres");
    }
}

/// trade.md section 3 (typical, from memory): the defaults come back as the percentiles that they were given as.
#[test]
fn standing_defaults_have_their_percentiles() {
    for (standing, p5, p50, p95) in [(PRESSING, 0.35, 0.6, 1.0), (WAITING, 0.5, 0.9, 1.6)] {
        for (p, want) in [(0.05, p5), (0.5, p50), (0.95, p95)] {
            near(standing.distance_quantile_m(p), want, 1e-12, "trade.md section 3");
        }
    }
}
