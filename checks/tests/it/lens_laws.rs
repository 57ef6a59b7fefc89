//! Lens laws, fields of view and the Kannala-Brandt polynomial, against closed forms and OpenCV.
//!
//! Rows are those of references.md 1.2 to 1.4: "computed" there means with NumPy or OpenCV 5.0.0.

#![expect(clippy::approx_constant, reason = "tables as printed, with the digits that the page has")]
#![expect(clippy::type_complexity, reason = "a table is read by its rows, not by the name of its type")]

use checks::{near, near_relative};
use models::optics::density;
use models::optics::kannala_brandt::{self as kb, Fisheye};
use models::optics::law::{FieldError, Law, Lens, Projector};
use models::optics::pose::rotation_from_vector;

/// references.md 1.3: formulas read at optowiki.info, "Fisheye types"; numbers computed with NumPy, six digits.
#[test]
fn radii_of_the_five_laws() {
    let table = [
        (10.0, [0.176327, 0.174977, 0.174533, 0.174311, 0.173648]),
        (30.0, [0.577350, 0.535898, 0.523599, 0.517638, 0.500000]),
        (45.0, [1.000000, 0.828427, 0.785398, 0.765367, 0.707107]),
        (60.0, [1.732051, 1.154701, 1.047198, 1.000000, 0.866025]),
        (80.0, [5.671282, 1.678199, 1.396263, 1.285575, 0.984808]),
    ];
    for (degrees, radii) in table {
        for (law, want) in Law::PLAIN.into_iter().zip(radii) {
            let got = Lens::new(law, 1.0).radius_m(f64::to_radians(degrees)).unwrap();
            near(got, want, 6e-7, "last printed digit");
        }
    }
    let at_90 = [None, Some(2.0), Some(1.570796), Some(1.414214), Some(1.0)];
    for (law, want) in Law::PLAIN.into_iter().zip(at_90) {
        let got = Lens::new(law, 1.0).radius_m(std::f64::consts::FRAC_PI_2);
        assert_eq!(got.is_some(), want.is_some(), "{law:?}");
        near(got.unwrap_or(0.0), want.unwrap_or(0.0), 6e-7, "last printed digit");
    }
}

/// references.md 1.2 (computed, closed form): 4.8 × 3.6 mm behind 3.6 mm.
#[test]
fn rectilinear_fields_of_view() {
    let lens = Lens::new(Law::Rectilinear, 3.6e-3);
    for (side_m, degrees) in [(4.8e-3, 67.380135), (3.6e-3, 53.130102), (6.0e-3, 79.611142)] {
        near(
            lens.field_rad(side_m).unwrap().to_degrees(),
            degrees,
            1e-5,
            "references.md 1.2, stated tolerance",
        );
    }
}

/// references.md 1.3 (computed): full view over 1,600 px; the pitch cancels, 1 um is used.
#[test]
fn fisheye_fields_of_view() {
    for (law, focal_px, degrees) in [
        (Law::Equidistant, 500.0, 183.346494),
        (Law::Equidistant, 600.0, 152.788745),
        (Law::Equisolid, 600.0, 167.241260),
        (Law::Stereographic, 600.0, 134.760270),
        (Law::Orthographic, 900.0, 125.467911),
    ] {
        let lens = Lens::new(law, focal_px * 1e-6);
        near(lens.field_rad(1600e-6).unwrap().to_degrees(), degrees, 1e-5, "references.md 1.3");
        let back = Lens::from_field(law, [0.0; 4], degrees.to_radians(), 1600e-6).unwrap();
        near_relative(back.focal_m * 1e6, focal_px, 1e-6, "the stated field's last digit");
    }
    // Undefined when half the width is more than the focal length.
    assert!(Lens::new(Law::Orthographic, 799e-6).field_rad(1600e-6).is_none());
    assert!(matches!(
        Lens::from_field(Law::Orthographic, [0.0; 4], 181f64.to_radians(), 1e-3),
        Err(FieldError::BeyondReach { .. })
    ));
}

/// references.md 1.3: local scales read at optowiki.info; the product for equisolid is 1 at any angle.
#[test]
fn local_scales_of_the_laws() {
    for degrees in [5.0f64, 20.0, 50.0, 75.0] {
        let t = degrees.to_radians();
        let want = [
            (Law::Rectilinear, 1.0 / t.cos().powi(2), 1.0 / t.cos()),
            (Law::Equidistant, 1.0, t / t.sin()),
            (Law::Equisolid, (t / 2.0).cos(), 1.0 / (t / 2.0).cos()),
            (Law::Orthographic, t.cos(), 1.0),
        ];
        for (law, radial, tangential) in want {
            let lens = Lens::new(law, 1.0);
            near_relative(lens.radial_m_per_rad(t).unwrap(), radial, 1e-12, "closed form");
            near_relative(lens.tangential_m_per_rad(t).unwrap(), tangential, 1e-12, "closed form");
        }
        let equal_area = Lens::new(Law::Equisolid, 1.0);
        let product = equal_area.radial_m_per_rad(t).unwrap() * equal_area.tangential_m_per_rad(t).unwrap();
        near(product, 1.0, 1e-12, "equal area");
        // Stereographic keeps shapes: both scales are one.
        let conformal = Lens::new(Law::Stereographic, 1.0);
        near(
            conformal.radial_m_per_rad(t).unwrap() / conformal.tangential_m_per_rad(t).unwrap(),
            1.0,
            1e-12,
            "conformal",
        );
    }
}

/// The camera of references.md 1.4.
const CAMERA: Fisheye = Fisheye {
    focal_px: [400.0, 400.0],
    centre_px: [640.0, 480.0],
    skew: 0.0,
    k: [0.05, -0.02, 0.008, -0.001],
};

/// references.md 1.4: `cv2.fisheye.projectPoints(P, rvec, tvec, K, D)`, OpenCV 5.0.0 (computed), 1e-5 px.
#[test]
fn pixels_of_the_printed_points() {
    let plain = Fisheye { k: [0.0; 4], ..CAMERA };
    let rotation = rotation_from_vector([0.1, -0.2, 0.05]);
    for (row, want) in rotation.iter().flatten().zip([
        0.97884281,
        -0.05951997,
        -0.19576551,
        0.03960732,
        0.9937773,
        -0.10410546,
        0.20074367,
        0.09414913,
        0.97510918,
    ]) {
        near(*row, want, 1e-8, "cv2.Rodrigues, last printed digit");
    }
    let rows: [([f64; 3], [f64; 2], [f64; 2], [f64; 2]); 10] = [
        ([0.0, 0.0, 1.0], [640.0, 480.0], [640.0, 480.0], [575.374102, 430.691772]),
        ([0.5, 0.0, 1.0], [825.459044, 480.0], [827.295377, 480.0], [744.380935, 441.961728]),
        ([0.0, 0.5, 1.0], [640.0, 665.459044], [640.0, 667.295377], [569.435269, 604.557289]),
        ([1.0, 0.0, 1.0], [954.159265, 480.0], [962.002364, 480.0], [867.588236, 453.219684]),
        ([1.0, 1.0, 1.0], [910.204344, 750.204344], [919.488809, 759.488809], [823.574367, 702.020006]),
        ([-1.2, 0.4, 0.9], [278.595081, 600.468306], [266.238438, 604.587187], [205.920588, 552.512935]),
        ([2.0, 0.5, 0.8], [1105.912040, 596.478010], [1129.282939, 602.320735], [1019.604122, 578.077750]),
        ([0.1, -1.6, 1.0], [665.277496, 75.560057], [666.232687, 60.277009], [644.489223, 34.928896]),
        ([-0.7, -0.9, 2.5], [534.920282, 344.897505], [534.023737, 343.744805], [471.553112, 294.517338]),
        ([3.0, 0.0, 0.5], [1202.259060, 480.0], [1240.032227, 480.0], [1133.319429, 486.345304]),
    ];
    for (point, with_none, with_k, moved) in rows {
        let turned = std::array::from_fn(|i| {
            (0..3).map(|j| rotation[i][j] * point[j]).sum::<f64>() + [0.02, -0.03, 0.1][i]
        });
        for (camera, at, want) in
            [(plain, point, with_none), (CAMERA, point, with_k), (CAMERA, turned, moved)]
        {
            let got = camera.pixel_from_camera(at).unwrap();
            near(got[0], want[0], 1e-5, "references.md 1.4, stated tolerance");
            near(got[1], want[1], 1e-5, "references.md 1.4, stated tolerance");
        }
    }
}

/// references.md 1.4 (computed, polynomial): theta_d at 10 to 90°.
#[test]
fn polynomial_at_the_printed_angles() {
    let want = [
        0.174795554,
        0.351093807,
        0.530072423,
        0.712435195,
        0.898561049,
        1.088963487,
        1.284909468,
        1.488828578,
        1.703870683,
    ];
    for (step, want) in want.into_iter().enumerate() {
        let theta = (10.0 * (step + 1) as f64).to_radians();
        near(kb::theta_d(&CAMERA.k, theta), want, 6e-10, "last printed digit");
        near(kb::theta_rad(&CAMERA.k, want).unwrap(), theta, 1e-9, "and back");
    }
    assert!(kb::fold_rad(&CAMERA.k) > std::f64::consts::FRAC_PI_2, "monotonic to 90° (references.md 1.4)");
}

/// references.md 1.4: `cv2.fisheye.undistortPoints` (computed), 1e-6.
#[test]
fn directions_of_the_printed_pixels() {
    for (pixel, want) in [
        ([800.0, 480.0], [0.419326476, 0.0]),
        ([1000.0, 700.0], [1.377371783, 0.841727201]),
        ([200.0, 100.0], [-3.654259304, -3.155951217]),
        ([640.0, 950.0], [0.0, 2.090125245]),
    ] {
        let [x, y, z] = CAMERA.camera_from_pixel(pixel).unwrap();
        near(x / z, want[0], 1e-6, "references.md 1.4, stated tolerance");
        near(y / z, want[1], 1e-6, "references.md 1.4, stated tolerance");
    }
}

/// A lens and a camera in pixels are the same thing in two units.
#[test]
fn lens_in_metres_and_camera_in_pixels_agree() {
    let pitch_m = 3e-6;
    let lens = Lens { law: Law::KannalaBrandt, focal_m: 400.0 * pitch_m, k: CAMERA.k };
    for point in [[0.3, -0.2, 0.7], [-2.0, 0.5, 0.4], [0.0, 0.9, 0.01]] {
        let image = Projector::new(&lens).image_from_camera(point).unwrap();
        let pixel = CAMERA.pixel_from_camera(point).unwrap();
        near(image[0] / pitch_m + 640.0, pixel[0], 1e-9, "rounding");
        near(image[1] / pitch_m + 480.0, pixel[1], 1e-9, "rounding");
    }
}

/// references.md 1.2 (computed): px/m on the axis, and N / (2 d tan(field/2)).
#[test]
fn rectilinear_density() {
    near(density::on_axis_px_per_m(&Lens::new(Law::Rectilinear, 3.6e-3), 3e-6, 2.0), 600.0, 1e-9, "exact");
    for (degrees, distance_m, want) in [
        (66.0, 1.0, 1231.891971),
        (66.0, 2.0, 615.945986),
        (120.0, 1.0, 461.880215),
        (160.0, 0.5, 282.123169),
    ] {
        let lens =
            Lens::from_field(Law::Rectilinear, [0.0; 4], f64::to_radians(degrees), 1600.0 * 2e-6).unwrap();
        near_relative(density::on_axis_px_per_m(&lens, 2e-6, distance_m), want, 1e-6, "references.md 1.2");
        // The same at a point off the axis of the same plane: that is what rectilinear means.
        let aside =
            density::stretch(&Projector::new(&lens), [0.2, 0.3, distance_m], [0.0, 0.0, 1.0]).unwrap();
        near_relative(aside.smaller / 2e-6, want, 1e-6, "references.md 1.2");
    }
}

/// The peer: 30 random cameras × 40 points, `cv2.fisheye.projectPoints` and `undistortPoints`.
#[test]
#[ignore = "calls a Python peer"]
fn random_fisheye_cameras_agree_with_opencv() {
    let answer = checks::peer("lens_opencv.py", &["30", "40", "20261125"]);
    let list = |value: &serde_json::Value| -> Vec<f64> {
        value.as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect()
    };
    let (mut compared, mut inverted) = (0, 0);
    for camera in answer["cameras"].as_array().unwrap() {
        let two = |name: &str| <[f64; 2]>::try_from(list(&camera[name])).unwrap();
        let three = |name: &str| <[f64; 3]>::try_from(list(&camera[name])).unwrap();
        let ours = Fisheye {
            focal_px: two("focal"),
            centre_px: two("centre"),
            skew: 0.0,
            k: <[f64; 4]>::try_from(list(&camera["k"])).unwrap(),
        };
        let (rotation, shift) = (rotation_from_vector(three("rvec")), three("tvec"));
        let rows = |name: &str| camera[name].as_array().unwrap().iter().map(list).collect::<Vec<_>>();
        for ((point, pixel), normalised) in
            rows("points").into_iter().zip(rows("pixels")).zip(rows("normalised"))
        {
            let in_camera: [f64; 3] =
                std::array::from_fn(|i| (0..3).map(|j| rotation[i][j] * point[j]).sum::<f64>() + shift[i]);
            let got = ours.pixel_from_camera(in_camera).unwrap();
            // Relative to the place from the centre, so that a large centre does not hide an error.
            let radius = (pixel[0] - ours.centre_px[0]).hypot(pixel[1] - ours.centre_px[1]);
            let off = (got[0] - pixel[0]).hypot(got[1] - pixel[1]);
            assert!(off <= 1e-6 * radius, "{point:?}: {got:?} against {pixel:?}");
            compared += 1;
            // OpenCV's inverse takes every radius beyond pi/2 focal lengths for pi/2, ours does not: left out, and
            // counted.
            let radius_in_focal = kb::theta_d(&ours.k, in_camera[0].hypot(in_camera[1]).atan2(in_camera[2]));
            if radius_in_focal >= std::f64::consts::FRAC_PI_2 {
                continue;
            }
            let [x, y, z] = ours.camera_from_pixel([pixel[0], pixel[1]]).unwrap();
            // `undistortPoints` works in tangents: near 80° one radian is 33 of them.
            let size = 1.0 + normalised[0].hypot(normalised[1]).powi(2);
            near(x / z, normalised[0], 1e-6 * size, "cv2.fisheye.undistortPoints");
            near(y / z, normalised[1], 1e-6 * size, "cv2.fisheye.undistortPoints");
            inverted += 1;
        }
    }
    assert!(inverted > 1000, "{inverted}");
    assert_eq!(compared, 30 * 40);
}
