//! What one connection carries upward: the window over the round trip, and the air's own share.
//!
//! On small boards the send window, not the radio, is usually the limit. Airtime here is that of single frames without
//! aggregation, which is what such a board sends; losses, retries and other stations are the caller's factor
//! (`share`), the choice of rate is the radio budget's.

use crate::out_of_range::OutOfRange;

/// Goodput of a connection that may have `window_b` bytes unacknowledged, bit/s.
///
/// - `round_trip_s`: 5 to 10 ms at home; radio power-saving adds 20 to 200 ms (typical, from memory).
///
/// Source: one window a round trip (textbook).
///
/// # Errors
/// [`OutOfRange`] for a window outside 1 B to 16 MB or a round trip outside 10 µs to 100 s.
///
/// # Examples
/// By hand: 8·5,744/0.04 = 1.15 Mbit/s.
///
/// ```
/// let slow = models::frames::uplink::window_goodput_bit_s(5_744.0, 0.040)?;
/// assert!((slow / 1e6 - 1.15).abs() < 0.01);
/// # Ok::<(), models::out_of_range::OutOfRange>(())
/// ```
pub fn window_goodput_bit_s(window_b: f64, round_trip_s: f64) -> Result<f64, OutOfRange> {
    let window_b = OutOfRange::check("window_b", window_b, 1.0, 16e6)?;
    let round_trip_s = OutOfRange::check("round_trip_s", round_trip_s, 1e-5, 100.0)?;
    Ok(8.0 * window_b / round_trip_s)
}

/// Data bits of one symbol, IEEE 802.11n, 20 MHz, one stream, MCS 0 to 7 (references.md §5.1, a*).
pub const BITS_PER_SYMBOL: [f64; 8] = [26.0, 52.0, 78.0, 104.0, 156.0, 208.0, 234.0, 260.0];

/// Guard interval between symbols.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Guard {
    /// 800 ns: 4 µs a symbol.
    Long,
    /// 400 ns: 3.6 µs a symbol.
    Short,
}

impl Guard {
    /// Length of a symbol, s.
    pub fn symbol_s(self) -> f64 {
        match self {
            Self::Long => 4.0e-6,
            Self::Short => 3.6e-6,
        }
    }
}

// IEEE 802.11n in the 2.4 GHz band, seconds (from memory).
const SIFS_S: f64 = 10e-6;
pub(crate) const SLOT_S: f64 = 9e-6;
const DIFS_S: f64 = SIFS_S + 2.0 * SLOT_S;
/// Least contention window; a first back-off is half of it on average.
pub(crate) const FIRST_WINDOW_SLOTS: f64 = 15.0;
const BACKOFF_S: f64 = 0.5 * FIRST_WINDOW_SLOTS * SLOT_S;
/// Mixed-format preamble: 8 + 8 + 4 legacy, 8 + 4 + 4 for high throughput, one stream.
const PREAMBLE_S: f64 = 36e-6;
/// Quiet time after each frame in this band.
const EXTENSION_S: f64 = 6e-6;
/// Acknowledgement: 14 bytes at the legacy rate of 24 Mbit/s: 20 µs and ceil((16 + 112 + 6)/96) = 2 symbols of 4 µs.
const ACK_S: f64 = 28e-6 + EXTENSION_S;
/// Header with quality of service 26, link header 8, check 4, encryption 16 bytes.
const MAC_B: f64 = 54.0;
/// Internet and transport headers.
pub(crate) const TCP_IP_B: f64 = 40.0;

/// Airtime of one frame with its waiting, preamble and acknowledgement, s.
///
/// - `mcs`: 0 to 7; `packet_b`: bytes handed to the radio, transport headers included.
///
/// DIFS + mean back-off + preamble + ceil((16 + 8·bytes + 6)/bits a symbol) symbols + extension + SIFS + ACK.
///
/// # Errors
/// [`OutOfRange`] for an MCS over 7 or a packet over 2,304 bytes.
///
/// # Examples
/// By hand, 1,500 bytes at MCS 7: 12,454 bits are 48 symbols of 4 µs: 28 + 67.5 + 36 + 192 + 6 + 10 + 34 = 373.5 µs.
///
/// ```
/// use models::frames::uplink::{Guard, airtime_s};
/// assert!((airtime_s(7, Guard::Long, 1500.0)? - 373.5e-6).abs() < 1e-9);
/// # Ok::<(), models::out_of_range::OutOfRange>(())
/// ```
pub fn airtime_s(mcs: u8, guard: Guard, packet_b: f64) -> Result<f64, OutOfRange> {
    OutOfRange::check("mcs", f64::from(mcs), 0.0, 7.0)?;
    let packet_b = OutOfRange::check("packet_b", packet_b, 0.0, 2304.0)?;
    let symbols = ((16.0 + 8.0 * (packet_b + MAC_B) + 6.0) / BITS_PER_SYMBOL[usize::from(mcs)]).ceil();
    Ok(DIFS_S + BACKOFF_S + PREAMBLE_S + symbols * guard.symbol_s() + EXTENSION_S + SIFS_S + ACK_S)
}

/// What one sender alone on the air gets through by full packets, bit/s of payload.
///
/// - `payload_b`: 1 to 1,460; every second packet is answered by an empty one, whose airtime counts.
///
/// # Errors
/// As [`airtime_s`].
pub fn airtime_goodput_bit_s(mcs: u8, guard: Guard, payload_b: f64) -> Result<f64, OutOfRange> {
    let payload_b = OutOfRange::check("payload_b", payload_b, 1.0, 1460.0)?;
    let packet_s = airtime_s(mcs, guard, payload_b + TCP_IP_B)?;
    let answer_s = airtime_s(mcs, guard, TCP_IP_B)?;
    Ok(8.0 * payload_b / (packet_s + 0.5 * answer_s))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn trade_figures_of_the_window() {
        // trade.md stream.window: W = 5.7 kB: 4.6 Mbit/s at 10 ms, 1.1 at 40 ms, 0.46 at 100 ms; two digits printed.
        for (round_trip_s, mbit_s, digit) in [(0.010, 4.6, 0.05), (0.040, 1.1, 0.05), (0.100, 0.46, 0.005)] {
            let got = window_goodput_bit_s(5_700.0, round_trip_s).unwrap() / 1e6;
            assert!((got - mbit_s).abs() <= digit, "{got}");
        }
    }

    #[test]
    fn symbol_bits_give_the_printed_rates() {
        // references.md §5.1, both guard intervals, Mbit/s as printed.
        let long = [6.5, 13.0, 19.5, 26.0, 39.0, 52.0, 58.5, 65.0];
        let short = [7.2, 14.4, 21.7, 28.9, 43.3, 57.8, 65.0, 72.2];
        for mcs in 0..8 {
            assert!((BITS_PER_SYMBOL[mcs] / Guard::Long.symbol_s() / 1e6 - long[mcs]).abs() < 1e-9);
            assert!((BITS_PER_SYMBOL[mcs] / Guard::Short.symbol_s() / 1e6 - short[mcs]).abs() < 0.05);
        }
    }

    #[test]
    fn air_gives_less_than_its_rate_and_more_for_longer_packets() {
        for mcs in 0..8 {
            let rate = BITS_PER_SYMBOL[usize::from(mcs)] / 4e-6;
            let full = airtime_goodput_bit_s(mcs, Guard::Long, 1460.0).unwrap();
            let half = airtime_goodput_bit_s(mcs, Guard::Long, 730.0).unwrap();
            assert!(full < rate && half < full);
            assert!(mcs == 0 || full > airtime_goodput_bit_s(mcs - 1, Guard::Long, 1460.0).unwrap());
        }
        // Slow rates spend the air on bits, fast ones on waiting.
        assert!(airtime_goodput_bit_s(0, Guard::Long, 1460.0).unwrap() > 0.75 * 6.5e6);
        assert!(airtime_goodput_bit_s(7, Guard::Long, 1460.0).unwrap() < 0.5 * 65e6);
        assert!(airtime_s(8, Guard::Long, 1.0).is_err());
    }
}
