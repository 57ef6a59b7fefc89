//! The generalised Pareto law: how far beyond a high level peaks lie.
//!
//! Share of peaks farther than `x`: (1 + shape x / scale)^(-1/shape), and exp(-x / scale) where the shape is 0; a negative shape
//! ends at -scale/shape (Pickands, *Ann. Statist.* 3 (1975) 119, from memory). Held against SciPy in `checks`.

/// Below this shape the law is the exponential one to more digits than a likelihood has.
const STRAIGHT: f64 = 1e-9;

/// Share of peaks that lie farther than `over` beyond the level.
///
/// By hand, shape 0.5 and scale 2: (1 + 0.5 · 2 / 2)^-2 = 0.4444.
///
/// ```
/// use tune::pareto::beyond;
/// assert!((beyond(2.0, 2.0, 0.5) - 4.0 / 9.0).abs() < 1e-12);
/// assert_eq!(beyond(5.0, 2.0, -0.5), 0.0, "it ends at 4");
/// ```
pub fn beyond(over: f64, scale: f64, shape: f64) -> f64 {
    if over <= 0.0 {
        return 1.0;
    }
    if shape.abs() < STRAIGHT {
        return (-over / scale).exp();
    }
    let base = 1.0 + shape * over / scale;
    if base <= 0.0 { 0.0 } else { base.powf(-1.0 / shape) }
}

/// Logarithm of the likelihood of peaks that lie so far beyond the level; minus infinity where one lies past the law's end.
pub fn log_likelihood(beyond: &[f64], scale: f64, shape: f64) -> f64 {
    if beyond.iter().any(|over| 1.0 + shape * over / scale <= 0.0) {
        return f64::NEG_INFINITY;
    }
    let sum: f64 = if shape.abs() < STRAIGHT {
        beyond.iter().map(|over| over / scale).sum()
    } else {
        (1.0 + 1.0 / shape) * beyond.iter().map(|over| (shape * over / scale).ln_1p()).sum::<f64>()
    };
    -(beyond.len() as f64) * scale.ln() - sum
}
