//! Numbers as source text: whole where they are whole, with a point where they are not.

/// A rounding that nobody notices on a board: a thousandth. Ours; a quartz keeps time ten times better, a resistor ten
/// times worse.
const ROUNDING: f64 = 1e-3;

/// The whole number that a value is, or is but for a thousandth.
///
/// ```
/// use export::number::whole;
/// assert_eq!((whole(33_333.333), whole(2.5), whole(0.0)), (Some(33_333), None, Some(0)));
/// ```
pub fn whole(value: f64) -> Option<i64> {
    let near = value.round();
    // Beyond 2^53 an f64 has no whole numbers to offer.
    (near.abs() < 9e15 && (near - value).abs() <= ROUNDING * value.abs()).then_some(near as i64)
}

/// The value with a point, to twelve digits: `3.0`, `0.0333`.
pub fn with_point(value: f64) -> String {
    let near: f64 = format!("{value:.11e}").parse().unwrap_or(value);
    let text = format!("{}", near + 0.0);
    if text.contains('.') { text } else { text + ".0" }
}

/// Whole where it is, else with a point.
pub fn shortest(value: f64) -> String {
    whole(value).map_or_else(|| with_point(value), |whole| whole.to_string())
}
