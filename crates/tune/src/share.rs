//! A share that was counted, with the interval that its few trials leave.

use quantity::normal::quantile;

/// Ends of the interval that holds the true share in `covers` of all cases, where `found` of `all` were found.
///
/// Wilson's (E. B. Wilson, *J. Am. Statist. Assoc.* 22 (1927) 209, from memory): the shares for which what was found is not
/// surprising. It is never empty and never leaves 0 to 1; with nothing counted it is all of that.
///
/// By hand, 10 of 10 at 90 % (z = 1.645): 10 / (10 + 1.645²) = 0.787.
///
/// ```
/// let [low, high] = tune::share::wilson(10, 10, 0.90);
/// assert!((low - 0.787).abs() < 5e-4 && high == 1.0);
/// assert_eq!(tune::share::wilson(0, 0, 0.90), [0.0, 1.0]);
/// ```
pub fn wilson(found: u64, all: u64, covers: f64) -> [f64; 2] {
    if all == 0 {
        return [0.0, 1.0];
    }
    let (n, share) = (all as f64, found.min(all) as f64 / all as f64);
    let z2 = quantile(0.5 + covers.clamp(0.0, 1.0) / 2.0).powi(2);
    let middle = (share + z2 / (2.0 * n)) / (1.0 + z2 / n);
    let reach = (z2 * (share * (1.0 - share) / n + z2 / (4.0 * n * n))).sqrt() / (1.0 + z2 / n);
    // At none and all the ends meet 0 and 1 but for rounding.
    [
        if found == 0 { 0.0 } else { (middle - reach).max(0.0) },
        if found >= all { 1.0 } else { (middle + reach).min(1.0) },
    ]
}
