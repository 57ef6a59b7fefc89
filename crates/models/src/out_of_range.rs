//! One error for a number outside the range in which a formula holds.

/// A number that a formula was not made for; the caller knows which field it came from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutOfRange {
    /// The argument, by its name in the code, unit suffix included.
    pub what: &'static str,
    /// Its value, in the unit of the suffix.
    pub value: f64,
    /// The least value that is permitted.
    pub low: f64,
    /// The greatest value that is permitted.
    pub high: f64,
}

impl OutOfRange {
    /// `value` again if it lies in `low..=high`; NaN never does.
    pub fn check(what: &'static str, value: f64, low: f64, high: f64) -> Result<f64, Self> {
        if (low..=high).contains(&value) { Ok(value) } else { Err(Self { what, value, low, high }) }
    }
}

impl std::fmt::Display for OutOfRange {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} is {}, outside {} to {}", self.what, self.value, self.low, self.high)
    }
}

impl std::error::Error for OutOfRange {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn borders_are_inside_and_nan_is_not() {
        assert_eq!(OutOfRange::check("run_m", 200.0, 0.0, 200.0), Ok(200.0));
        let error = OutOfRange::check("run_m", 900.0, 0.0, 200.0).unwrap_err();
        assert_eq!(error.to_string(), "run_m is 900, outside 0 to 200");
        assert!(OutOfRange::check("run_m", f64::NAN, 0.0, 200.0).is_err());
    }
}
