//! The array behind the lens, at the picture size that was chosen.
//!
//! A sensor asked for fewer pixels than it has either *scales* (bins or skips: the same view in fewer, larger pixels)
//! or *crops* (a window out of the middle: the same pixels, a narrower view). The two need different lenses, so the
//! plan must say which. Nothing here knows the lens.

use std::fmt;

/// How a sensor makes a smaller picture out of its array.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Readout {
    /// The picture covers the whole array as far as its shape allows; its pixels are larger than the array's.
    Scaled,
    /// The picture is a window of the array's own pixels, from the middle.
    Cropped,
}

/// The picture as it lies on the array.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Imager {
    /// Picture width, px.
    pub width_px: f64,
    /// Picture height, px.
    pub height_px: f64,
    /// Side of one picture pixel on the array, m: the array's own pitch times the scaling.
    pub pitch_m: f64,
}

/// Why an array cannot give a picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ImagerError {
    /// A count of pixels is 0, or the pitch is not a positive number.
    Empty,
    /// The picture has more pixels than the array.
    TooLarge {
        /// Columns and rows of the array.
        array_px: [u32; 2],
        /// Columns and rows asked for.
        picture_px: [u32; 2],
    },
}

impl fmt::Display for ImagerError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(f, "array, picture and pitch must be above 0"),
            Self::TooLarge { array_px: [columns, rows], picture_px: [w, h] } => {
                write!(f, "a picture of {w}x{h} is larger than the array of {columns}x{rows}")
            }
        }
    }
}

impl std::error::Error for ImagerError {}

impl Imager {
    /// The picture of a chosen size from an array of columns × rows with a pixel pitch.
    ///
    /// A scaled picture of another shape than the array's loses the two edges that stick out, and keeps the rest
    /// whole.
    ///
    /// # Errors
    ///
    /// [`ImagerError`] when something is 0 or the picture is larger than the array.
    ///
    /// # Examples
    ///
    /// 800x600 out of 1600x1200 pixels of 2.2 um: scaled, one picture pixel is 4.4 um and the width stays 3.52 mm;
    /// cropped, the width is 1.76 mm.
    ///
    /// ```
    /// use models::optics::imager::{Imager, Readout};
    /// let scaled = Imager::new([1600, 1200], 2.2e-6, [800, 600], Readout::Scaled)?;
    /// assert!((scaled.pitch_m - 4.4e-6).abs() < 1e-15 && (scaled.width_m() - 3.52e-3).abs() < 1e-12);
    /// let cropped = Imager::new([1600, 1200], 2.2e-6, [800, 600], Readout::Cropped)?;
    /// assert!((cropped.width_m() - 1.76e-3).abs() < 1e-12);
    /// # Ok::<(), models::optics::imager::ImagerError>(())
    /// ```
    pub fn new(
        array_px: [u32; 2],
        pitch_m: f64,
        picture_px: [u32; 2],
        readout: Readout,
    ) -> Result<Self, ImagerError> {
        if array_px.contains(&0) || picture_px.contains(&0) || !(pitch_m > 0.0 && pitch_m.is_finite()) {
            return Err(ImagerError::Empty);
        }
        if picture_px[0] > array_px[0] || picture_px[1] > array_px[1] {
            return Err(ImagerError::TooLarge { array_px, picture_px });
        }
        let [columns, rows] = array_px.map(f64::from);
        let [width_px, height_px] = picture_px.map(f64::from);
        let scaling = match readout {
            Readout::Scaled => (columns / width_px).min(rows / height_px),
            Readout::Cropped => 1.0,
        };
        Ok(Self { width_px, height_px, pitch_m: pitch_m * scaling })
    }

    /// Width that the picture covers on the array, m.
    pub fn width_m(&self) -> f64 {
        self.width_px * self.pitch_m
    }

    /// Height that the picture covers on the array, m.
    pub fn height_m(&self) -> f64 {
        self.height_px * self.pitch_m
    }

    /// Diagonal that the picture covers on the array, m.
    pub fn diagonal_m(&self) -> f64 {
        self.width_m().hypot(self.height_m())
    }

    /// Whether a point of the array (m from its centre) is in the picture.
    #[inline]
    pub fn holds(&self, image: [f64; 2]) -> bool {
        // The negated form would let NaN in.
        2.0 * image[0].abs() <= self.width_m() && 2.0 * image[1].abs() <= self.height_m()
    }

    /// Pixel of a point of the array, counted from the picture's upper left corner.
    pub fn pixel_from_image(&self, image: [f64; 2]) -> [f64; 2] {
        [image[0] / self.pitch_m + 0.5 * self.width_px, image[1] / self.pitch_m + 0.5 * self.height_px]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn another_shape_keeps_the_longer_side_whole() {
        // 16:9 out of 4:3 keeps the width and loses rows: 1600 / 1280 = 1.25, and 1.25 × 720 = 900 of 1200 rows.
        let wide = Imager::new([1600, 1200], 2e-6, [1280, 720], Readout::Scaled).unwrap();
        assert!((wide.width_m() - 3.2e-3).abs() < 1e-12 && (wide.height_m() - 1.8e-3).abs() < 1e-12);
        // A square keeps the height and loses columns.
        let square = Imager::new([1600, 1200], 2e-6, [240, 240], Readout::Scaled).unwrap();
        assert!((square.height_m() - 2.4e-3).abs() < 1e-12 && (square.width_m() - 2.4e-3).abs() < 1e-12);
    }

    #[test]
    fn what_cannot_be_is_refused() {
        assert_eq!(Imager::new([0, 1200], 2e-6, [1, 1], Readout::Scaled), Err(ImagerError::Empty));
        assert_eq!(Imager::new([640, 480], f64::NAN, [1, 1], Readout::Scaled), Err(ImagerError::Empty));
        assert!(matches!(
            Imager::new([640, 480], 2e-6, [800, 480], Readout::Cropped),
            Err(ImagerError::TooLarge { .. })
        ));
    }

    #[test]
    fn picture_ends_at_half_its_width() {
        let imager = Imager { width_px: 100.0, height_px: 80.0, pitch_m: 1e-6 };
        assert!(
            imager.holds([49.9e-6, -39.9e-6])
                && !imager.holds([50.1e-6, 0.0])
                && !imager.holds([f64::NAN, 0.0])
        );
        assert_eq!(imager.pixel_from_image([0.0, 0.0]), [50.0, 40.0]);
    }
}
