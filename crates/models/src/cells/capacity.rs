//! What a cell gives by rate and by temperature, as shares of its slow capacity at 25 °C.
//!
//! No law with an exponent: tables, because lithium and alkaline cells do not follow Peukert at these loads.

use super::chemistry::Data;

/// Linear between the rows of a rising table, flat outside.
fn between(table: &[(f64, f64)], x: f64) -> f64 {
    let after = table.partition_point(|row| row.0 < x);
    match (after.checked_sub(1).map(|i| table[i]), table.get(after)) {
        (Some(a), Some(b)) => a.1 + (x - a.0) / (b.0 - a.0) * (b.1 - a.1),
        (Some(end), None) | (None, Some(&end)) => end.1,
        (None, None) => f64::NAN,
    }
}

/// Share of the slow capacity at a constant current of one cell, in 0..1; flat outside the table.
///
/// - `current_a`: current of one cell; `rated_c`: charge of that cell, in C. Only their ratio counts, so that a
///   table measured on one size serves another. Linear in the current's logarithm.
///
/// For a station that sleeps between bursts take the *mean* current; the burst is judged by [`super::burst`].
pub fn rate_share(data: &Data, current_a: f64, rated_c: f64) -> f64 {
    let per_hour = current_a * 3600.0 / rated_c;
    let Some(first) = data.by_rate.first() else { return 1.0 };
    if per_hour <= first.0 || !per_hour.is_finite() {
        return first.1;
    }
    let mut log_rows = [(0.0, 0.0); 8];
    let rows = data.by_rate.len().min(log_rows.len());
    for (log_row, row) in log_rows.iter_mut().zip(data.by_rate) {
        *log_row = (row.0.ln(), row.1);
    }
    between(&log_rows[..rows], per_hour.ln())
}

/// Share of the slow capacity that can be had at `temp_k`; flat outside the table. The rest comes back in warmth.
pub fn cold_share(data: &Data, temp_k: f64) -> f64 {
    between(data.by_temp, temp_k - 273.15)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cells::chemistry::Chemistry;

    #[test]
    fn faster_and_colder_never_give_more() {
        for chemistry in Chemistry::ALL {
            let data = chemistry.data();
            let shares: Vec<f64> = (0..60)
                .map(|i| rate_share(data, data.rated_c / 3600.0 * 1.2f64.powi(i - 30), data.rated_c))
                .collect();
            assert!(shares.windows(2).all(|pair| pair[1] <= pair[0] + 1e-12), "{chemistry:?}");
            let shares: Vec<f64> = (0..80).map(|i| cold_share(data, 230.0 + f64::from(i))).collect();
            assert!(shares.windows(2).all(|pair| pair[1] >= pair[0] - 1e-12), "{chemistry:?}");
            assert!((cold_share(data, 298.15) - 1.0).abs() < 1e-12);
        }
    }
}
