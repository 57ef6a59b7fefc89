//! Mean and standard deviation of readings that stand far from 0, and their median.

/// Mean, and standard deviation about it (n - 1); NaN where there are too few values.
///
/// Two passes, the second corrected by what its own deviations sum to (Chan, Golub and LeVeque, *Am. Statist.* 37 (1983) 242,
/// from memory): one pass over squares loses half of the digits, and on readings such as 10,000,000.2 ± 0.1 all of them.
///
/// ```
/// let (mean, deviation) = tune::moments::moments([10000001.0, 10000003.0, 10000002.0].into_iter());
/// assert_eq!((mean, deviation), (10000002.0, 1.0));
/// ```
pub fn moments(values: impl Iterator<Item = f64> + Clone) -> (f64, f64) {
    let (n, sum) = values.clone().fold((0.0, 0.0), |(n, sum), value| (n + 1.0, sum + value));
    let mean = sum / n;
    let (off, square) = values.fold((0.0, 0.0), |(off, square), value| {
        let apart: f64 = value - mean;
        (off + apart, square + apart * apart)
    });
    if n < 2.0 {
        return (mean, f64::NAN);
    }
    (mean + off / n, ((square - off * off / n) / (n - 1.0)).max(0.0).sqrt())
}

/// The middle value, the upper of two; NaN of none.
pub(crate) fn median(mut values: Vec<f32>) -> f32 {
    if values.is_empty() {
        return f32::NAN;
    }
    let middle = values.len() / 2;
    *values.select_nth_unstable_by(middle, f32::total_cmp).1
}
