//! The standard bell (normal) curve: share below a point, and the point below which a share lies.

/// Share of a standard bell below `z`, to 1e-7; NaN stays NaN.
///
/// Source: Abramowitz and Stegun, *Handbook of Mathematical Functions*, 26.2.17 (from memory; tested against
/// references.md §8.4).
///
/// ```
/// assert!((models::bell::below(1.644854) - 0.95).abs() < 1e-6);
/// ```
pub fn below(z: f64) -> f64 {
    let a = z.abs();
    let t = 1.0 / (1.0 + 0.231_641_9 * a);
    let poly = t
        * (0.319_381_530
            + t * (-0.356_563_782 + t * (1.781_477_937 + t * (-1.821_255_978 + t * 1.330_274_429))));
    let tail = 0.398_942_280_4 * (-0.5 * a * a).exp() * poly;
    if z > 0.0 { 1.0 - tail } else { tail }
}

/// Share of a standard bell above `z`, with small shares kept exact to some digits.
///
/// Source: as [`below`]; the relative error stays below 1 % to z = 5 (tested).
pub fn above(z: f64) -> f64 {
    below(-z)
}

/// The `z` that a share `p` of a standard bell lies below; `p` is kept within 1e-6 of 0 and 1.
///
/// Solved by bisection (40 halvings): not for inner loops.
pub fn quantile(p: f64) -> f64 {
    let p = p.clamp(1e-6, 1.0 - 1e-6);
    let (mut low, mut high) = (-6.0, 6.0);
    for _ in 0..40 {
        let middle = f64::midpoint(low, high);
        if below(middle) < p { low = middle } else { high = middle }
    }
    f64::midpoint(low, high)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// references.md §8.4, `scipy.stats.norm.sf` (computed); 1e-7 is the formula's own promise.
    #[test]
    fn bell_agrees_with_published_tails() {
        for (z, tail) in [(3.0, 1.349_898e-3), (4.0, 3.167_124e-5), (5.0, 2.866_516e-7)] {
            assert!((1.0 - below(z) - tail).abs() < 1e-7);
            assert!((above(z) / tail - 1.0).abs() < 1e-2, "{z}");
        }
        assert!((quantile(0.95) - 1.644_854).abs() < 1e-5, "the 95 % point of references.md §2.1");
    }
}
