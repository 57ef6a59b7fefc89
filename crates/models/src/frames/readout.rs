//! The sensor's own rate: lines of clocks, frames of lines.

use crate::out_of_range::OutOfRange;

/// How a sensor reads one frame at one picture size; facts of its sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Readout {
    /// Pixel clocks for each cycle of the camera clock that the board feeds (multiplier over dividers).
    pub pixel_clocks_per_clock: f64,
    /// Pixel clocks of one line, blanking included.
    pub clocks_per_line: f64,
    /// Lines that carry picture.
    pub active_lines: f64,
    /// Lines of one frame, blanking included.
    pub lines_per_frame: f64,
}

/// What a readout gives at one clock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReadoutRate {
    /// Frames a second when exposure does not stretch the frame.
    pub frames_s: f64,
    /// Time from the first to the last line of a picture, s: the skew of a rolling shutter.
    pub readout_s: f64,
}

impl Readout {
    /// Rate at a camera clock, Hz. Everything scales with it: half the clock is half the rate and twice the skew.
    ///
    /// # Errors
    /// [`OutOfRange`] for a clock outside 1 to 100 MHz or a sheet value that is not positive.
    ///
    /// # Examples
    /// By hand: 20 MHz, one pixel clock each, 1,600 clocks a line, 500 lines: 20e6/(1,600·500) = 25 frames a second;
    /// 480 lines of picture take 480·1,600/20e6 = 38.4 ms.
    ///
    /// ```
    /// use models::frames::readout::Readout;
    /// let sheet = Readout { pixel_clocks_per_clock: 1.0, clocks_per_line: 1600.0, active_lines: 480.0, lines_per_frame: 500.0 };
    /// let rate = sheet.at(20e6)?;
    /// assert_eq!(rate.frames_s, 25.0);
    /// assert!((rate.readout_s - 0.0384).abs() < 1e-12);
    /// # Ok::<(), models::out_of_range::OutOfRange>(())
    /// ```
    pub fn at(&self, clock_hz: f64) -> Result<ReadoutRate, OutOfRange> {
        let clock_hz = OutOfRange::check("clock_hz", clock_hz, 1e6, 100e6)?;
        let ratio = OutOfRange::check("pixel_clocks_per_clock", self.pixel_clocks_per_clock, 1e-3, 1e3)?;
        let line = OutOfRange::check("clocks_per_line", self.clocks_per_line, 1.0, 1e6)?;
        let lines = OutOfRange::check("lines_per_frame", self.lines_per_frame, 1.0, 1e6)?;
        let active = OutOfRange::check("active_lines", self.active_lines, 0.0, lines)?;
        let line_s = line / (clock_hz * ratio);
        Ok(ReadoutRate { frames_s: 1.0 / (line_s * lines), readout_s: line_s * active })
    }
}
