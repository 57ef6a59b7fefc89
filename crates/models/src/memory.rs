//! What picture a board can hold: buffers, the free block they need, sessions beside them, the bus behind them.
//!
//! Total free memory is not enough: a buffer needs one piece, so the *largest free block* counts, and it shrinks over
//! weeks. Buffers go to extra memory when the board has it; radio lines and sessions stay inside. Does not know plans or
//! verdicts, and not the pins or clocks that extra memory takes.

use crate::jpeg::size::{FrameSize, driver_reserve_b};
use crate::out_of_range::OutOfRange;

/// Memory on the chip, B.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Internal {
    /// As printed in the sheet.
    pub total_b: f64,
    /// Never free for data: instruction memory, caches, boot program's own.
    pub fixed_b: f64,
    /// Radio and network stack while joined.
    pub radio_b: f64,
    /// The program's statics and task stacks.
    pub program_b: f64,
    /// Share of the free bytes that lie in one piece at start, 0 to 1.
    pub largest_share: f64,
}

impl Internal {
    /// A Wi-Fi microcontroller with 520 KiB: 221 kB fixed, 80 kB radio, 71 kB program leave 160 kB (typical, from
    /// memory; the sum agrees with the trade's "about 160 kB free").
    pub const CLASS_520_KIB: Self = Self {
        total_b: 520.0 * 1024.0,
        fixed_b: 216.0 * 1024.0,
        radio_b: 80_000.0,
        program_b: 71_000.0,
        largest_share: 0.7,
    };

    /// Bytes free once radio and program run; never negative.
    pub fn free_b(&self) -> f64 {
        (self.total_b - self.fixed_b - self.radio_b - self.program_b).max(0.0)
    }

    /// The largest piece of them at start, B.
    pub fn largest_b(&self) -> f64 {
        self.free_b() * self.largest_share.clamp(0.0, 1.0)
    }
}

/// How a frame lies in memory.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Form {
    /// Compressed by the sensor; of a size only known as a distribution.
    Jpeg(FrameSize),
    /// As it comes: 1 byte a pixel grey, 2 in colour.
    Raw {
        /// Bytes a pixel.
        b_per_px: f64,
    },
}

/// One in a thousand frames may be larger than its buffer (trade.md `memory.frame-truncated`: more is over).
pub const HELD_SHARE: f64 = 0.999;

/// Bytes of one frame buffer.
///
/// A JPEG needs the driver's reserve ([`driver_reserve_b`]) or the size that 999 of 1,000 frames stay below, whichever
/// is more; a raw frame needs its pixels.
///
/// ```
/// use models::memory::{Form, buffer_b};
/// assert_eq!(buffer_b(&Form::Raw { b_per_px: 2.0 }, 320, 240), 153_600.0);
/// ```
pub fn buffer_b(form: &Form, width: u32, height: u32) -> f64 {
    match form {
        Form::Jpeg(size) => driver_reserve_b(width, height).max(size.quantile_b(HELD_SHARE)),
        Form::Raw { b_per_px } => f64::from(width) * f64::from(height) * b_per_px.max(0.0),
    }
}

/// Lines and buffers beside the frames, B.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beside {
    /// Camera lines that the transfer unit fills: always internal.
    pub lines_b: f64,
    /// Network buffers and the program's working room while a frame is held.
    pub network_b: f64,
    /// One secure session's handshake; 0 without it.
    pub session_b: f64,
    /// The part of it that must be one piece.
    pub session_piece_b: f64,
    /// Each further connection.
    pub connection_b: f64,
    /// Connections beyond the first.
    pub connections: f64,
    /// Least that should remain free.
    pub reserve_b: f64,
}

impl Beside {
    /// No secure session, one connection (typical, from memory; reserve 20 kB from trade.md `memory.low-water`).
    pub const PLAIN: Self = Self {
        lines_b: 8_192.0,
        network_b: 12_000.0,
        session_b: 0.0,
        session_piece_b: 0.0,
        connection_b: 8_000.0,
        connections: 0.0,
        reserve_b: 20_000.0,
    };
    /// With a secure session: 42 kB (35..50), 17 kB of it in one piece, further connections 8 kB (4..12) each (typical,
    /// from memory; trade.md `memory.secure-session`).
    pub const SECURE: Self = Self { session_b: 42_000.0, session_piece_b: 17_000.0, ..Self::PLAIN };

    fn always_b(&self) -> f64 {
        self.lines_b + self.network_b + self.connection_b * self.connections.max(0.0)
    }
}

/// How much the largest free block falls in weeks of running: 5 %, median, 95 % (typical, from memory; trade.md
/// `memory.low-water`).
pub const WEEKS_FALL: [f64; 3] = [0.10, 0.20, 0.30];

/// Where the frames live.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Home {
    /// On the chip.
    Internal,
    /// In extra memory.
    Extra,
}

/// What a choice of buffers leaves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    /// Where the frames live.
    pub home: Home,
    /// All frame buffers together, B.
    pub frames_b: f64,
    /// The most that so many equal buffers can take there, B: on the chip one frame has the largest block, several share
    /// both pieces as well as they can be divided.
    pub limit_b: f64,
    /// Free on the chip with frames held and no session, B; negative when it does not fit.
    pub left_b: f64,
    /// Free on the chip at its lowest: frames held and a handshake going on, B.
    pub low_water_b: f64,
    /// Largest piece left for that handshake after weeks, B.
    pub session_block_b: f64,
    /// Whether the frames fit at start.
    pub frames_fit: bool,
    /// Whether a session fits beside them after weeks, with the reserve kept.
    pub session_fits: bool,
}

/// Places `count` buffers of `one_b` bytes on a board.
///
/// - `extra_b`: extra memory that the program may use, 0 if there is none; frames then go there.
/// - `weeks_fall`: share by which the largest free block falls in weeks, see [`WEEKS_FALL`].
///
/// Free memory is taken to be two pieces, the largest and the rest; buffers go into the larger piece first.
///
/// # Errors
/// [`OutOfRange`] for a count over 16 or sizes that are negative or not finite.
///
/// # Examples
/// By hand, 800×600 at the usual quality on 520 KiB: 96 kB into the largest piece of 0.7·160 = 112 kB.
///
/// ```
/// use models::memory::{Beside, Internal, place};
/// let fit = place(&Internal::CLASS_520_KIB, 0.0, &Beside::PLAIN, 96_000.0, 1, 0.2)?;
/// assert!(fit.frames_fit);
/// assert!(!place(&Internal::CLASS_520_KIB, 0.0, &Beside::PLAIN, 384_000.0, 1, 0.2)?.frames_fit);
/// # Ok::<(), models::out_of_range::OutOfRange>(())
/// ```
pub fn place(
    chip: &Internal,
    extra_b: f64,
    beside: &Beside,
    one_b: f64,
    count: u32,
    weeks_fall: f64,
) -> Result<Fit, OutOfRange> {
    let one_b = OutOfRange::check("one_b", one_b, 0.0, 1e9)?;
    let extra_b = OutOfRange::check("extra_b", extra_b, 0.0, 1e9)?;
    let weeks_fall = OutOfRange::check("weeks_fall", weeks_fall, 0.0, 1.0)?;
    OutOfRange::check("count", f64::from(count), 0.0, 16.0)?;
    let frames_b = one_b * f64::from(count);
    // The larger piece first holds what is always there; small pieces take it in practice, so the rest goes first.
    let always_b = beside.always_b();
    let mut largest_b = chip.largest_b();
    let mut rest_b = chip.free_b() - largest_b - always_b;
    if rest_b < 0.0 {
        largest_b += rest_b;
        rest_b = 0.0;
    }
    let (home, limit_b, frames_fit) = if extra_b > 0.0 {
        (Home::Extra, extra_b, frames_b <= extra_b)
    } else {
        let limit_b = most_b(largest_b.max(0.0), rest_b, count);
        let fits = frames_b <= limit_b;
        if fits {
            let in_largest = if one_b > 0.0 { (largest_b / one_b * (1.0 + 1e-12)).floor() } else { 0.0 };
            let in_largest = in_largest.min(f64::from(count));
            largest_b -= in_largest * one_b;
            rest_b -= (f64::from(count) - in_largest) * one_b;
        } else {
            largest_b -= frames_b;
        }
        (Home::Internal, limit_b, fits)
    };
    let left_b = largest_b + rest_b;
    let session_block_b = largest_b.max(rest_b) * (1.0 - weeks_fall);
    let low_water_b = left_b - beside.session_b;
    Ok(Fit {
        home,
        frames_b,
        limit_b,
        left_b,
        low_water_b,
        session_block_b,
        frames_fit,
        session_fits: session_block_b >= beside.session_piece_b && low_water_b >= beside.reserve_b,
    })
}

/// The most that `count` equal buffers can take of two pieces, B.
fn most_b(largest_b: f64, rest_b: f64, count: u32) -> f64 {
    let one_b = |in_largest: u32| {
        let of = |piece_b: f64, n: u32| if n > 0 { piece_b / f64::from(n) } else { f64::INFINITY };
        of(largest_b, in_largest).min(of(rest_b, count - in_largest))
    };
    if count == 0 {
        return largest_b + rest_b;
    }
    (0..=count).map(one_b).fold(0.0, f64::max) * f64::from(count)
}

/// Extra memory that a choice needs before it fits, B: nothing if it fits on the chip.
///
/// # Errors
/// As [`place`].
pub fn extra_needed_b(chip: &Internal, beside: &Beside, one_b: f64, count: u32) -> Result<f64, OutOfRange> {
    let fit = place(chip, 0.0, beside, one_b, count, WEEKS_FALL[1])?;
    Ok(if fit.frames_fit { 0.0 } else { fit.frames_b })
}

/// One row of the table of what fits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// The sensor's quantiser number.
    pub number: u8,
    /// Frame buffers.
    pub count: u32,
    /// Bytes of one.
    pub one_b: f64,
    /// Where it lands and what it leaves.
    pub fit: Fit,
}

/// Every combination of sizes, quantiser numbers and buffer counts, largest picture first, then finest, then most
/// buffers: the first row that fits is the best.
///
/// - `size_of`: frames of a size at a number, usually [`FrameSize::new`] of the busiest scene.
///
/// # Errors
/// As [`place`], and those of `size_of`.
pub fn table(
    chip: &Internal,
    extra_b: f64,
    beside: &Beside,
    sizes: &[(u32, u32)],
    numbers: &[u8],
    counts: &[u32],
    size_of: impl Fn(u32, u32, u8) -> Result<FrameSize, OutOfRange>,
) -> Result<Vec<Row>, OutOfRange> {
    let mut rows = Vec::with_capacity(sizes.len() * numbers.len() * counts.len());
    for &(width, height) in sizes {
        for &number in numbers {
            let one_b = buffer_b(&Form::Jpeg(size_of(width, height, number)?), width, height);
            for &count in counts {
                let fit = place(chip, extra_b, beside, one_b, count, WEEKS_FALL[1])?;
                rows.push(Row { width, height, number, count, one_b, fit });
            }
        }
    }
    rows.sort_by_key(|row| {
        let pixels = u64::from(row.width) * u64::from(row.height);
        (std::cmp::Reverse(pixels), row.number, std::cmp::Reverse(row.count))
    });
    Ok(rows)
}

/// Traffic on a memory bus, B/s.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bus {
    /// Peak of the bus: four lines at 40 MHz are 20 MB/s, at 80 MHz 40 (typical, from memory).
    pub peak_b_s: f64,
    /// The sensor's frames written.
    pub sensor_b_s: f64,
    /// Frames read for the network.
    pub network_b_s: f64,
    /// Program fetches that miss the cache; 1 to 4 MB/s (typical, from memory).
    pub fetch_b_s: f64,
}

/// Largest share of a bus's peak that works in practice (typical, from memory; trade.md `memory.bus`).
pub const BUS_SHARE: f64 = 0.5;

impl Bus {
    /// Share of the peak that is used; up to [`BUS_SHARE`] is sound.
    ///
    /// By hand, raw colour 640×480 at 12.5 frames a second over 20 MB/s: 7.68 MB/s written, 2 fetched: 0.48.
    ///
    /// ```
    /// let bus = models::memory::Bus { peak_b_s: 20e6, sensor_b_s: 640.0 * 480.0 * 2.0 * 12.5, network_b_s: 0.0, fetch_b_s: 2e6 };
    /// assert!((bus.share() - 0.484).abs() < 1e-9);
    /// ```
    pub fn share(&self) -> f64 {
        (self.sensor_b_s + self.network_b_s + self.fetch_b_s) / self.peak_b_s.max(1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::jpeg::{quantiser::scale_of_number, scene::Scene};
    use proptest::prelude::*;

    const CHIP: Internal = Internal::CLASS_520_KIB;

    fn porch(width: u32, height: u32, number: u8) -> Result<FrameSize, OutOfRange> {
        FrameSize::new(Scene::Porch, scale_of_number(number)?, width, height)
    }

    #[test]
    fn best_row_without_extra_memory_is_the_trades() {
        let sizes = [(320, 240), (640, 480), (800, 600), (1024, 768), (1600, 1200)];
        let rows = table(&CHIP, 0.0, &Beside::PLAIN, &sizes, &[12, 20], &[1, 2], porch).unwrap();
        assert_eq!(rows.len(), 20);
        let best = rows.iter().find(|r| r.fit.frames_fit).unwrap();
        assert_eq!((best.width, best.height, best.number, best.count), (800, 600, 12, 1));
        // With 4 MB outside, the largest with two buffers is first.
        let rich = table(&CHIP, 4e6, &Beside::SECURE, &sizes, &[12, 20], &[1, 2], porch).unwrap();
        assert!(
            rich[0].fit.frames_fit && rich[0].fit.session_fits && rich[0].count == 2 && rich[0].width == 1600
        );
    }

    #[test]
    fn secure_session_does_not_fit_beside_a_held_frame_inside() {
        // trade.md memory.secure-session: joins, then drops.
        let inside = place(&CHIP, 0.0, &Beside::SECURE, 96_000.0, 1, 0.2).unwrap();
        assert!(inside.frames_fit && !inside.session_fits, "{inside:?}");
        let small = place(&CHIP, 0.0, &Beside::SECURE, 40_000.0, 1, 0.2).unwrap();
        assert!(small.session_fits, "{small:?}");
    }

    #[test]
    fn extra_memory_needed_is_what_the_frames_take() {
        assert_eq!(extra_needed_b(&CHIP, &Beside::PLAIN, 384_000.0, 2).unwrap(), 768_000.0);
        assert_eq!(extra_needed_b(&CHIP, &Beside::PLAIN, 30_000.0, 1).unwrap(), 0.0);
    }

    proptest! {

        #[test]
        fn a_smaller_demand_never_fits_worse(
            one_b in 0.0..300e3_f64, less in 0.0..1.0_f64, count in 1_u32..5, fall in 0.0..0.4_f64,
        ) {
            let more = place(&CHIP, 0.0, &Beside::SECURE, one_b, count, fall).unwrap();
            let fewer = place(&CHIP, 0.0, &Beside::SECURE, one_b * less, count, fall).unwrap();
            prop_assert!(!more.frames_fit || fewer.frames_fit);
            prop_assert_eq!(more.frames_fit, more.frames_b <= more.limit_b);
            prop_assert!(fewer.left_b >= more.left_b - 1e-6);
            // Nothing appears or is lost: free = frames + what is always there + what is left.
            let sum = more.frames_b + more.left_b + Beside::SECURE.always_b();
            prop_assert!((sum - CHIP.free_b()).abs() < 1e-6);
            let outside = place(&CHIP, 8e6, &Beside::SECURE, one_b, count, fall).unwrap();
            prop_assert!(outside.frames_fit && outside.low_water_b >= more.low_water_b);
        }
    }

    #[test]
    fn two_buffers_share_two_pieces() {
        // By hand: 100 and 60: one in each takes 60 twice, both in the larger 50 twice.
        assert_eq!(most_b(100.0, 60.0, 2), 120.0);
        assert_eq!(most_b(100.0, 40.0, 2), 100.0);
        assert_eq!(most_b(100.0, 60.0, 1), 100.0);
    }

    #[test]
    fn hostile_sizes_are_refused() {
        assert_eq!(place(&CHIP, 0.0, &Beside::PLAIN, f64::NAN, 1, 0.2).unwrap_err().what, "one_b");
        assert_eq!(place(&CHIP, 0.0, &Beside::PLAIN, 1.0, 99, 0.2).unwrap_err().what, "count");
    }
}
