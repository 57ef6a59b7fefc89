//! Areas and points of the normal distribution against values computed elsewhere.

#![expect(clippy::excessive_precision, reason = "reference values stand as printed")]

use quantity::normal::{cdf, quantile};

fn close(found: f64, wanted: f64, relative: f64) {
    assert!((found - wanted).abs() <= relative * wanted.abs(), "{found:e} instead of {wanted:e}");
}

/// references.md 8.4 (computed): scipy.stats.norm.sf; 13 digits are printed, so half a unit of the last.
#[test]
fn upper_tails_equal_the_reference_table() {
    for (z, area) in [
        (3.0, 1.349898031630e-3),
        (4.0, 3.167124183312e-5),
        (5.0, 2.866515718792e-7),
        (6.0, 9.865876450377e-10),
        (3.5, 2.326290790355e-4),
        (4.5, 3.397673124730e-6),
        (7.0, 1.279812543886e-12),
    ] {
        close(cdf(-z), area, 5e-13);
    }
    close(-quantile(1e-6), 4.753424308823, 2e-13);
    close(-quantile(1e-9), 5.997807015008, 2e-13);
}

/// mpmath 1.3, 40 digits: `ncdf(z)`.
#[test]
fn areas_keep_thirteen_digits_from_the_centre_to_the_far_tail() {
    for (z, area) in AREAS {
        close(cdf(*z), *area, 1e-13);
        close(cdf(*z) + cdf(-*z), 1.0, 1e-15);
    }
}

/// mpmath 1.3, 40 digits: `sqrt(2) * erfinv(2p - 1)`, root of `ncdf` in the tails.
#[test]
fn points_keep_fourteen_digits() {
    for (p, z) in POINTS {
        close(quantile(*p), *z, 1e-14);
    }
}

#[test]
fn point_and_area_are_inverse() {
    for i in 1..2000 {
        let z = -37.0 + f64::from(i) * 0.0185;
        // A relative slip d of the area moves the point by d / (|z| + 1) or so; 38 digits of exponent cost three.
        close(quantile(cdf(z)), z, 1e-13);
    }
}

#[test]
fn ends_are_infinite_and_nonsense_is_not_a_number() {
    assert_eq!((quantile(0.0), quantile(1.0)), (f64::NEG_INFINITY, f64::INFINITY));
    assert_eq!((cdf(f64::NEG_INFINITY), cdf(f64::INFINITY)), (0.0, 1.0));
    assert!(
        quantile(-0.1).is_nan()
            && quantile(1.1).is_nan()
            && quantile(f64::NAN).is_nan()
            && cdf(f64::NAN).is_nan()
    );
}

#[rustfmt::skip]
const AREAS: &[(f64, f64)] = &[
    (-37.0, 5.7255712225245768e-300),
    (-30.0, 4.9067139271481871e-198),
    (-20.0, 2.7536241186062337e-89),
    (-10.0, 7.6198530241605261e-24),
    (-8.5, 9.4795348222033184e-18),
    (-6.25, 2.0522634252189389e-10),
    (-5.7, 5.9903714010635282e-9),
    (-5.6, 1.0717590258310929e-8),
    (-4.1, 2.0657506912546771e-5),
    (-2.9, 1.8658133003840385e-3),
    (-1.5, 0.066807201268858066),
    (-0.7, 0.24196365222307303),
    (-0.67, 0.2514288950953101),
    (-0.3, 0.38208857781104737),
    (-0.001, 0.49960105778608894),
    (0.25, 0.59870632568292372),
    (0.6, 0.72574688224992641),
    (0.68, 0.75174776954642949),
    (1.0, 0.84134474606854295),
    (2.5, 0.99379033467422386),
];
#[rustfmt::skip]
const POINTS: &[(f64, f64)] = &[
    (1e-300, -37.047096299361199),
    (1e-100, -21.273453560965324),
    (1e-40, -13.310921371425171),
    (1.3e-11, -6.6676114565107408),
    (1.5e-11, -6.6465708874771129),
    (1e-09, -5.9978070150076869),
    (1e-05, -4.2648907939228246),
    (0.001, -3.0902323061678135),
    (0.025, -1.9599639845400542),
    (0.0749, -1.4402382675279637),
    (0.0751, -1.43882539275254),
    (0.2, -0.84162123357291417),
    (0.45, -0.12566134685507401),
    (0.51, 0.025068908258711058),
    (0.7, 0.52440051270804066),
    (0.9249, 1.4388253927525404),
    (0.9251, 1.4402382675279639),
    (0.975, 1.9599639845400539),
    (0.999, 3.0902323061678133),
    (0.99999, 4.2648907939238408),
];
