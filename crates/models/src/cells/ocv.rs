//! Open-circuit voltage by state of charge: piecewise linear, rising, so that it can be read both ways.
//!
//! A state of charge of 1 is a full cell, 0 one that rests at its cut-off. Hysteresis between charge and
//! discharge is left out; the curves are those of discharge.

/// One point of a curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// State of charge, 0 to 1.
    pub soc: f64,
    /// Open-circuit voltage of one cell, in V.
    pub volt_v: f64,
}

/// Builds a curve from pairs of percent and volts.
pub(crate) const fn curve<const N: usize>(pairs: [(f64, f64); N]) -> [Point; N] {
    let mut points = [Point { soc: 0.0, volt_v: 0.0 }; N];
    let mut i = 0;
    while i < N {
        points[i] = Point { soc: pairs[i].0 / 100.0, volt_v: pairs[i].1 };
        i += 1;
    }
    points
}

/// Voltage at a state of charge, held flat outside 0 to 1.
///
/// ```
/// use models::cells::{chemistry::Chemistry, ocv};
/// // Half way between the points 3.528563 V at 25 % and 3.581446 V at 30 %.
/// let volt_v = ocv::volt_v(Chemistry::LiIon.data().ocv, 0.275);
/// assert!((volt_v - 3.5550045).abs() < 1e-9);
/// ```
pub fn volt_v(curve: &[Point], soc: f64) -> f64 {
    let after = curve.partition_point(|point| point.soc < soc);
    match (after.checked_sub(1).map(|i| curve[i]), curve.get(after)) {
        (Some(a), Some(b)) => a.volt_v + (soc - a.soc) / (b.soc - a.soc) * (b.volt_v - a.volt_v),
        (Some(last), None) => last.volt_v,
        (None, Some(first)) => first.volt_v,
        (None, None) => f64::NAN,
    }
}

/// Mean open-circuit voltage over the whole charge, in V: energy over charge at no load.
pub fn mean_v(curve: &[Point]) -> f64 {
    curve
        .windows(2)
        .map(|pair| (pair[1].soc - pair[0].soc) * f64::midpoint(pair[0].volt_v, pair[1].volt_v))
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cells::chemistry::Chemistry;

    #[test]
    fn every_curve_rises_from_empty_to_full() {
        for chemistry in Chemistry::ALL {
            let points = chemistry.data().ocv;
            assert_eq!((points[0].soc, points[points.len() - 1].soc), (0.0, 1.0), "{chemistry:?}");
            assert!(
                points.windows(2).all(|pair| pair[0].soc < pair[1].soc && pair[0].volt_v < pair[1].volt_v),
                "{chemistry:?}"
            );
        }
    }

    #[test]
    fn ends_are_held() {
        let points = Chemistry::LiIon.data().ocv;
        assert_eq!((volt_v(points, -1.0), volt_v(points, 2.0)), (2.5, 4.2));
    }
}
