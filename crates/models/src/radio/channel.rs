//! Channels of the 2.4 GHz band and which of them a station may see.

use crate::out_of_range::OutOfRange;

/// Centre of a 20 MHz channel, Hz: 2407 + 5·n MHz.
///
/// Source: IEEE 802.11 (references.md 5.5, a*).
///
/// # Errors
/// [`OutOfRange`] for a channel outside 1 to 13.
///
/// # Examples
/// By hand, channel 6: 2407 + 30 = 2437 MHz.
///
/// ```
/// assert_eq!(models::radio::channel::centre_hz(6)?, 2.437e9);
/// # Ok::<(), models::out_of_range::OutOfRange>(())
/// ```
pub fn centre_hz(channel: u8) -> Result<f64, OutOfRange> {
    let channel = OutOfRange::check("channel", f64::from(channel), 1.0, 13.0)?;
    Ok((2407.0 + 5.0 * channel) * 1e6)
}

/// Channels that a region's rules let a radio use (references.md 5.5, a*).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Region {
    /// 1 to 11.
    Eleven,
    /// 1 to 13.
    Thirteen,
}

impl Region {
    /// The highest channel.
    pub fn last(self) -> u8 {
        match self {
            Self::Eleven => 11,
            Self::Thirteen => 13,
        }
    }
}

/// How the access point chooses its channel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Choice {
    /// It stays.
    Fixed(u8),
    /// It moves, at night or at a restart.
    Automatic,
}

/// Whether a station sees an access point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Seen {
    /// Always.
    Always,
    /// Until it moves to 12 or 13: "gone since the router restarted".
    UntilItMoves,
    /// Never.
    Never,
}

/// Whether a station of one region sees an access point of another.
pub fn seen(station: Region, access_point: Region, choice: Choice) -> Seen {
    match choice {
        Choice::Fixed(channel) if channel <= station.last() => Seen::Always,
        Choice::Fixed(_) => Seen::Never,
        Choice::Automatic if access_point.last() <= station.last() => Seen::Always,
        Choice::Automatic => Seen::UntilItMoves,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_station_of_eleven_loses_a_router_of_thirteen() {
        use Region::{Eleven, Thirteen};
        assert_eq!(seen(Eleven, Thirteen, Choice::Fixed(13)), Seen::Never);
        assert_eq!(seen(Eleven, Thirteen, Choice::Fixed(11)), Seen::Always);
        assert_eq!(seen(Eleven, Thirteen, Choice::Automatic), Seen::UntilItMoves);
        assert_eq!(seen(Eleven, Eleven, Choice::Automatic), Seen::Always);
        assert_eq!(seen(Thirteen, Thirteen, Choice::Fixed(13)), Seen::Always);
        assert!(centre_hz(0).is_err() && centre_hz(14).is_err());
    }
}
