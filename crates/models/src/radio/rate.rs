//! Rates of 802.11n and what they need: the standard's least sensitivities, and what chips do better.

use crate::frames::uplink::{BITS_PER_SYMBOL, Guard};
use crate::out_of_range::OutOfRange;
use crate::radio::loss::LIGHT_M_S;

/// Least sensitivity that the standard asks for, dBm, MCS 0 to 7, 20 MHz, 10 % of 4,096-byte frames lost
/// (IEEE 802.11n through a type-approval rule, references.md 5.1, a*).
pub const FLOOR_DBM: [f64; 8] = [-82.0, -79.0, -77.0, -74.0, -70.0, -66.0, -65.0, -64.0];
/// Frame length and loss at which those hold.
const FLOOR_FRAME_B: f64 = 4096.0;
/// Sensitivity of the answer to a frame of each MCS: sent at the highest of the legacy 6, 12 and 24 Mbit/s that is not
/// faster (IEEE 802.11 sensitivities -82, -79, -74 dBm, from memory).
pub const ANSWER_FLOOR_DBM: [f64; 8] = [-82.0, -79.0, -79.0, -74.0, -74.0, -74.0, -74.0, -74.0];
/// How much better real chips are, dB: 5, 50, 95 % (typical, from memory). 0 is the safe edge.
pub const BETTER_DB: [f64; 3] = [4.0, 8.0, 14.0];
/// Power of a small board at MCS 7, dBm: 5, 50, 95 % (typical, from memory).
pub const HIGH_RATE_DBM: [f64; 3] = [12.0, 14.0, 17.0];
/// And at MCS 0 (typical, from memory).
pub const LOW_RATE_DBM: [f64; 3] = [16.0, 18.0, 20.0];
/// Power of an access point, dBm, the legal ceiling in Europe (references.md 5.5, a).
pub const AP_DBM: f64 = 20.0;
/// Noise with interference in 20 MHz, dBm: 5, 50, 95 % (typical, from memory).
pub const NOISE_DBM: [f64; 3] = [-97.0, -93.0, -82.0];
/// Noise figure of such a receiver, dB (from memory).
const NOISE_FIGURE_DB: f64 = 7.0;
/// Steepness of the loss: natural log of the odds a decibel. Coded OFDM goes from half of the frames lost to one in a
/// hundred within 2 dB (estimated here from published curves' usual shape).
const ODDS_PER_DB: f64 = 2.2;

/// A rate by its number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Mcs(u8);

impl Mcs {
    /// The slowest and hardiest.
    pub const LEAST: Self = Self(0);

    /// All of one stream, slowest first.
    pub const ALL: [Self; 8] = [Self(0), Self(1), Self(2), Self(3), Self(4), Self(5), Self(6), Self(7)];

    /// The rate with this number, 0 to 7.
    ///
    /// # Errors
    /// [`OutOfRange`] above 7.
    pub fn new(number: u8) -> Result<Self, OutOfRange> {
        OutOfRange::check("mcs", f64::from(number), 0.0, 7.0)?;
        Ok(Self(number))
    }

    /// Its number.
    pub fn number(self) -> u8 {
        self.0
    }

    pub(super) fn index(self) -> usize {
        usize::from(self.0)
    }

    /// Bits a second on the air.
    ///
    /// By hand, MCS 7, long guard: 260 bits in 4 µs are 65 Mbit/s.
    ///
    /// ```
    /// use models::{frames::uplink::Guard, radio::rate::Mcs};
    /// assert_eq!(Mcs::new(7)?.bit_s(Guard::Long), 65e6);
    /// # Ok::<(), models::out_of_range::OutOfRange>(())
    /// ```
    pub fn bit_s(self, guard: Guard) -> f64 {
        // Whole nanoseconds keep the printed rates exact.
        BITS_PER_SYMBOL[self.index()] * 1e9 / (guard.symbol_s() * 1e9).round()
    }

    /// Standard's least sensitivity, dBm.
    pub fn floor_dbm(self) -> f64 {
        FLOOR_DBM[self.index()]
    }
}

/// Thermal noise of 20 MHz at 290 K, dBm: kTB (CODATA 2018).
///
/// By hand: 1.380649e-23·290·20e6 W = 8.008e-14 W = -100.965 dBm.
///
/// ```
/// assert!((models::radio::rate::thermal_dbm() + 100.964887).abs() < 1e-6);
/// ```
pub fn thermal_dbm() -> f64 {
    10.0 * (1.380_649e-23_f64 * 290.0 * 20e6 * 1e3).log10()
}

/// Wavelength, m.
pub fn wavelength_m(freq_hz: f64) -> f64 {
    LIGHT_M_S / freq_hz
}

/// By how much noise with interference exceeds that of a quiet receiver, dB, 0 or more: sensitivities suffer as much.
pub fn noise_rise_db(noise_dbm: f64) -> f64 {
    (noise_dbm - (thermal_dbm() + NOISE_FIGURE_DB)).max(0.0)
}

/// Share of frames of `frame_b` bytes lost at `margin_db` above the sensitivity that holds for 4,096 bytes and 10 %.
///
/// The odds fall by e^2.2 a decibel, the length enters as independent pieces.
///
/// By hand: at the sensitivity a frame of 4,096 bytes is lost once in ten.
///
/// ```
/// assert!((models::radio::rate::lost_share(0.0, 4096.0) - 0.1).abs() < 1e-12);
/// ```
pub fn lost_share(margin_db: f64, frame_b: f64) -> f64 {
    let lost = 1.0 / (1.0 + 9.0 * (ODDS_PER_DB * margin_db).exp());
    // ln(1 - lost) · length, with digits kept where almost nothing is lost.
    -(frame_b / FLOOR_FRAME_B * (-lost).ln_1p()).exp_m1()
}

/// Power of the station at a rate, dBm: a straight line between its powers at MCS 0 and MCS 7 (the line is estimated
/// here).
pub fn station_dbm(mcs: Mcs, low_rate_dbm: f64, high_rate_dbm: f64) -> f64 {
    low_rate_dbm + (high_rate_dbm - low_rate_dbm) * f64::from(mcs.0) / 7.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn loss_falls_with_margin_and_rises_with_length() {
        let mut before = 1.0;
        for i in -20..=40 {
            let lost = lost_share(f64::from(i) * 0.5, 1500.0);
            assert!(lost < before || before == 1.0);
            assert!(lost <= lost_share(f64::from(i) * 0.5, 4096.0));
            before = lost;
        }
        assert_eq!(lost_share(-400.0, 1500.0), 1.0);
        assert!(lost_share(20.0, 1500.0) < 1e-18);
    }

    #[test]
    fn faster_needs_more_and_is_sent_with_less() {
        for pair in Mcs::ALL.windows(2) {
            assert!(pair[1].floor_dbm() > pair[0].floor_dbm());
            assert!(station_dbm(pair[1], 18.0, 14.0) < station_dbm(pair[0], 18.0, 14.0));
            assert!(pair[1].bit_s(Guard::Long) > pair[0].bit_s(Guard::Long));
        }
        assert!(Mcs::new(8).is_err());
        assert_eq!(noise_rise_db(-99.0), 0.0);
    }
}
