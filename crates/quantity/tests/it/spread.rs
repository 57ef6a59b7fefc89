//! Quantiles and moments.

use proptest::prelude::*;
use quantity::{Spread, normal};

const ANY: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);

fn close(found: f64, wanted: f64, relative: f64) {
    assert!((found - wanted).abs() <= relative * wanted.abs(), "{found} instead of {wanted}");
}

#[test]
fn each_kind_has_the_quantiles_that_define_it() {
    let normal = Spread::Normal { sigma: 0.5 };
    close(normal.quantile(12.0, ANY, 0.025), 12.0 - 0.979982, 1e-7);
    close(normal.quantile(12.0, ANY, 0.5), 12.0, 1e-15);
    let uniform = Spread::Uniform { low: 4.0, high: 6.0 };
    close(uniform.quantile(5.0, ANY, 0.25), 4.5, 1e-15);
    let factor = Spread::LogNormal { factor95: 1.8 };
    close(factor.quantile(2.0, ANY, 0.975), 3.6, 1e-14);
    close(factor.quantile(2.0, ANY, 0.025), 2.0 / 1.8, 1e-14);
    let pieces = Spread::TwoPiece { p5: 0.8, p95: 9.0 };
    for (u, x) in [(0.05, 0.8), (0.5, 2.0), (0.95, 9.0)] {
        close(pieces.quantile(2.0, ANY, u), x, 1e-14);
    }
    // Half of the uncut lognormal lies below typ; of the cut one 0.5 / 0.99865 does.
    let typ = Spread::TypMax { max: 180.0 };
    close(typ.quantile(60.0, ANY, 0.5 / normal::cdf(3.0)), 60.0, 1e-14);
    close(typ.quantile(60.0, ANY, 1.0 - 1e-12), 180.0, 1e-8);
}

/// Cut half a normal away: what is left has its median at the quartile, 0.6744897502 sigma (Abramowitz & Stegun 26.2).
#[test]
fn a_range_renormalises_and_makes_no_atom() {
    let spread = Spread::Normal { sigma: 1.0 };
    close(spread.quantile(0.0, (0.0, f64::INFINITY), 0.5), 0.6744897502, 1e-9);
    let sampler = spread.sampler(0.0, (0.0, 3.0));
    let on_the_end =
        (0..4096).map(|i| sampler.at((f64::from(i) + 0.5) / 4096.0)).filter(|x| *x == 0.0 || *x == 3.0);
    assert_eq!(on_the_end.count(), 0);
}

/// Ten sigma out the tail is exponential with mean 1/z (Mills' ratio, z − 2/z + …): median near 10 + ln 2 / 10.1.
#[test]
fn a_range_far_from_the_median_keeps_its_shape() {
    for (range, sign) in [((10.0, 20.0), 1.0), ((-20.0, -10.0), -1.0)] {
        let middle = Spread::Normal { sigma: 1.0 }.quantile(0.0, range, 0.5);
        close(sign * middle, 10.0 + 2f64.ln() / 10.1, 1e-4);
    }
}

/// Closed forms against the mean of 200,001 quantiles; the strata leave less than 1e-3 of the tails' part.
#[test]
fn moments_agree_with_the_quantile_function() {
    for (spread, value) in [
        (Spread::Normal { sigma: 0.3 }, 2.0),
        (Spread::Uniform { low: 1.0, high: 3.0 }, 2.0),
        (Spread::LogNormal { factor95: 1.8 }, 2.0),
        (Spread::TwoPiece { p5: 0.8, p95: 5.0 }, 2.0),
        (Spread::TypMax { max: 6.0 }, 2.0),
        (Spread::Exact, 2.0),
    ] {
        let (sampler, n) = (spread.sampler(value, ANY), 200_001);
        let draws: Vec<f64> = (0..n).map(|i| sampler.at((f64::from(i) + 0.5) / f64::from(n))).collect();
        let mean = draws.iter().sum::<f64>() / f64::from(n);
        let variance = draws.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / f64::from(n);
        close(spread.mean(value), mean, 1e-4);
        close(spread.sd(value), variance.sqrt(), 1e-3);
    }
}

pub(crate) fn any_spread() -> impl Strategy<Value = (f64, Spread)> {
    let size = -12.0..12.0f64;
    (size, 0..6u8, 1.01..20.0f64, 1.01..20.0f64, any::<bool>()).prop_map(
        |(exponent, kind, a, b, negative)| {
            let size = 10f64.powf(exponent);
            let signed = if negative { -size } else { size };
            match kind {
                0 => (signed, Spread::Exact),
                1 => (signed, Spread::Normal { sigma: size * (a - 1.0) }),
                2 => {
                    let (low, high) = (signed, signed + size * a);
                    (low.midpoint(high), Spread::Uniform { low, high })
                }
                3 => (size, Spread::LogNormal { factor95: a }),
                4 => (size, Spread::TwoPiece { p5: size / a, p95: size * b }),
                _ => (size, Spread::TypMax { max: size * a }),
            }
        },
    )
}

proptest! {

    #[test]
    fn quantiles_rise_and_stay_inside_the_range(
        (value, spread) in any_spread(), below in -3.0..3.0f64, width in 0.0..4.0f64, open in any::<bool>(),
        u in 1e-300..1.0f64, v in 1e-12..1.0f64,
    ) {
        // An exact value is its own only quantile, whatever the range.
        if spread.is_exact() {
            return Ok(());
        }
        let low = value + below * value.abs();
        let range = if open { ANY } else { (low, low + width * value.abs()) };
        let sampler = spread.sampler(value, range);
        let (a, b) = (sampler.at(u.min(v)), sampler.at(u.max(v)));
        prop_assert!(a.is_finite() && b.is_finite(), "{a} {b}");
        prop_assert!(a <= b, "{a} > {b}");
        prop_assert!(range.0 <= a && b <= range.1, "{a} {b} outside {range:?}");
    }
}
