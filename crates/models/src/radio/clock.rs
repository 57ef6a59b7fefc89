//! Harmonics of the station's own clocks in its own channel: noise that no reading of power shows, only retries.

use super::channel::centre_hz;
use crate::out_of_range::OutOfRange;

/// Half the occupied width of a 20 MHz channel, Hz: 28.5 subcarriers of 312.5 kHz (computed; trade.md says 8.9 MHz).
pub const HALF_WIDTH_HZ: f64 = 8.9e6;
/// Loss in receive by a harmonic in the channel, dB: 5, 50, 95 % (typical, from memory).
pub const LOSS_DB: [f64; 3] = [0.0, 3.0, 12.0];

/// One harmonic in one channel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hit {
    /// The channel, 1 to 13.
    pub channel: u8,
    /// Which multiple of the clock.
    pub harmonic: u32,
    /// The multiple less the channel's centre, Hz.
    pub offset_hz: f64,
}

/// All multiples of a clock within ±8.9 MHz of a channel's centre.
///
/// - `clock_hz`: 1 to 200 MHz: camera clock, pixel clock, memory clock.
///
/// # Errors
/// [`OutOfRange`] names clock or channel.
///
/// # Examples
/// By hand, 20 MHz in channel 6 (2437): 122·20 = 2440, 3 MHz off. 24 MHz leaves it clear (2424 and 2448):
///
/// ```
/// use models::radio::clock::in_channel;
/// let hits = in_channel(20e6, 6)?;
/// assert_eq!((hits[0].harmonic, hits[0].offset_hz), (122, 3e6));
/// assert!(in_channel(24e6, 6)?.is_empty());
/// # Ok::<(), models::out_of_range::OutOfRange>(())
/// ```
pub fn in_channel(clock_hz: f64, channel: u8) -> Result<Vec<Hit>, OutOfRange> {
    let clock_hz = OutOfRange::check("clock_hz", clock_hz, 1e6, 200e6)?;
    let centre_hz = centre_hz(channel)?;
    let first = ((centre_hz - HALF_WIDTH_HZ) / clock_hz).ceil() as u32;
    let last = ((centre_hz + HALF_WIDTH_HZ) / clock_hz).floor() as u32;
    let hit = |harmonic| Hit { channel, harmonic, offset_hz: f64::from(harmonic) * clock_hz - centre_hz };
    Ok((first..=last).map(hit).collect())
}

/// Channels 1 to 13 that a clock leaves clear.
///
/// # Errors
/// As [`in_channel`].
pub fn clear_channels(clock_hz: f64) -> Result<Vec<u8>, OutOfRange> {
    let mut clear = Vec::new();
    for channel in 1..=13 {
        if in_channel(clock_hz, channel)?.is_empty() {
            clear.push(channel);
        }
    }
    Ok(clear)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_is_that_of_every_multiple_tried() {
        for tenths in 60..400 {
            let clock_hz = f64::from(tenths) * 1e5;
            for channel in 1..=13 {
                let centre = centre_hz(channel).unwrap();
                let tried: Vec<u32> =
                    (1..500).filter(|n| (f64::from(*n) * clock_hz - centre).abs() <= HALF_WIDTH_HZ).collect();
                let listed: Vec<u32> =
                    in_channel(clock_hz, channel).unwrap().iter().map(|hit| hit.harmonic).collect();
                assert_eq!(tried, listed, "{clock_hz} in {channel}");
            }
        }
    }

    #[test]
    fn a_clock_slower_than_the_channel_is_wide_hits_it_always() {
        assert!(clear_channels(17.8e6).unwrap().is_empty());
        assert!(clear_channels(f64::NAN).is_err());
    }
}
