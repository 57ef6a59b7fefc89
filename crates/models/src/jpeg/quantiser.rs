//! The sensor's quantiser number, 0 to 63, and what it means in the standard's terms.
//!
//! Two scales are in use and run against each other: camera chips count 0 to 63 and *lower is finer*; programs count
//! quality 1 to 100 and higher is finer. Both only scale the example tables K.1 and K.2 of ITU-T T.81, so this crate
//! works with that scale: 1 is the tables as printed, 0.5 half of them.

use crate::out_of_range::OutOfRange;

/// Table K.1 of ITU-T T.81 (luminance), row by row (read from an encoder that reproduces it, references.md §4.1).
pub const LUMINANCE: [u8; 64] = [
    16, 11, 10, 16, 24, 40, 51, 61, 12, 12, 14, 19, 26, 58, 60, 55, 14, 13, 16, 24, 40, 57, 69, 56, 14, 17,
    22, 29, 51, 87, 80, 62, 18, 22, 37, 56, 68, 109, 103, 77, 24, 35, 55, 64, 81, 104, 113, 92, 49, 64, 78,
    87, 103, 121, 120, 101, 72, 92, 95, 98, 112, 100, 103, 99,
];

/// Table K.2 (chrominance), row by row; the last four rows are 99.
pub const CHROMINANCE: [u8; 64] = [
    17, 18, 24, 47, 99, 99, 99, 99, 18, 21, 26, 66, 99, 99, 99, 99, 24, 26, 56, 99, 99, 99, 99, 99, 47, 66,
    99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99,
    99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99,
];

/// The quantiser number at which we take a camera chip's tables to be the printed ones; it is also what drivers set
/// when nobody asks (typical, from memory).
pub const USUAL_NUMBER: u8 = 12;

/// Scale of tables K.1 and K.2 for a sensor's quantiser number.
///
/// - `number`: 0 to 63; 0 counts as 1, for no table holds zeros.
///
/// The mapping is ours: proportional, with [`USUAL_NUMBER`] at scale 1 (typical, from memory). Chips differ by a
/// factor of 1.5 either way; [`scale_of_table`] reads the truth out of a snapshot.
///
/// # Errors
/// [`OutOfRange`] over 63.
///
/// # Examples
/// By hand: 24/12 = 2.
///
/// ```
/// assert_eq!(models::jpeg::quantiser::scale_of_number(24)?, 2.0);
/// # Ok::<(), models::out_of_range::OutOfRange>(())
/// ```
pub fn scale_of_number(number: u8) -> Result<f64, OutOfRange> {
    let number = OutOfRange::check("quantiser", f64::from(number), 0.0, 63.0)?;
    Ok(number.max(1.0) / f64::from(USUAL_NUMBER))
}

/// Scale of the tables for a program's quality, 1 to 100.
///
/// Source: the usual rule of JPEG libraries, references.md §4.2: 5000/q per cent below 50 (whole per cents), 200 - 2q
/// from there.
///
/// # Errors
/// [`OutOfRange`] outside 1 to 100.
pub fn scale_of_quality(quality: u8) -> Result<f64, OutOfRange> {
    OutOfRange::check("quality", f64::from(quality), 1.0, 100.0)?;
    let quality = u32::from(quality);
    Ok(f64::from(if quality < 50 { 5000 / quality } else { 200 - 2 * quality }) / 100.0)
}

/// A base table at a scale, as encoders round it: `(base·percent + 50)/100` in whole numbers, kept in 1 to 255.
pub fn scaled(base: &[u8; 64], scale: f64) -> [u8; 64] {
    let percent = (scale.clamp(0.0, 100.0) * 100.0).round() as u32;
    base.map(|entry| ((u32::from(entry) * percent + 50) / 100).clamp(1, 255) as u8)
}

/// The scale whose luminance table has the same sum as the one found in a picture.
///
/// - `luminance`: the 64 entries of the picture's first table (DQT segment), in any order: only their sum counts, so
///   tables of another shape also get the scale of about the same file size.
///
/// The answer lies in 0 to 25.5, where every entry is 255.
///
/// ```
/// use models::jpeg::quantiser::{LUMINANCE, scale_of_table, scaled};
/// let found = scaled(&LUMINANCE, 0.5);
/// assert!((scale_of_table(&found) - 0.5).abs() < 0.01);
/// ```
pub fn scale_of_table(luminance: &[u8; 64]) -> f64 {
    let sum = |table: &[u8; 64]| table.iter().map(|e| u32::from(*e)).sum::<u32>();
    let wanted = sum(luminance);
    let (mut low, mut high) = (0.0, 25.5);
    for _ in 0..16 {
        let middle = f64::midpoint(low, high);
        if sum(&scaled(&LUMINANCE, middle)) < wanted { low = middle } else { high = middle }
    }
    f64::midpoint(low, high)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// references.md §4.2 (computed with an encoder): first entries and sums of both tables.
    #[test]
    fn tables_and_rule_agree_with_an_encoder() {
        let rows: [(u8, f64, [u8; 4], u32, u32); 5] = [
            (10, 5.0, [80, 55, 50, 80], 12560, 15110),
            (30, 1.66, [27, 18, 17, 27], 6125, 9122),
            (75, 0.5, [8, 6, 5, 8], 1858, 2780),
            (90, 0.2, [3, 2, 2, 3], 736, 1110),
            (100, 0.0, [1, 1, 1, 1], 64, 64),
        ];
        for (quality, scale, first, luminance, chrominance) in rows {
            assert_eq!(scale_of_quality(quality).unwrap(), scale);
            let table = scaled(&LUMINANCE, scale);
            assert_eq!(table[..4], first);
            assert_eq!(table.iter().map(|e| u32::from(*e)).sum::<u32>(), luminance);
            assert_eq!(scaled(&CHROMINANCE, scale).iter().map(|e| u32::from(*e)).sum::<u32>(), chrominance);
        }
    }

    #[test]
    fn scale_is_found_again_in_its_table() {
        for number in 1..=63 {
            let scale = scale_of_number(number).unwrap();
            let found = scale_of_table(&scaled(&LUMINANCE, scale));
            // Rounding to whole entries blurs a small table by up to half an entry of its least ones.
            assert!(
                (found / scale - 1.0).abs() < 0.05 || (found - scale).abs() < 0.02,
                "{number}: {found} {scale}"
            );
        }
        assert!(scale_of_number(64).is_err() && scale_of_quality(0).is_err());
    }
}
