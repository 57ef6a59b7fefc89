//! Airtime of a stream with its retries, and the goodput of one rate at one quality of the link.
//!
//! One frame's airtime is [`crate::frames::uplink::airtime_s`]; here it is repeated until it is answered.

use super::rate::Mcs;
use crate::frames::uplink::{FIRST_WINDOW_SLOTS, Guard, SLOT_S, TCP_IP_B, airtime_s};
use crate::out_of_range::OutOfRange;

/// Attempts of one frame before the radio gives up (the standard's short retry limit of 7, from memory).
const ATTEMPTS: i32 = 7;
/// Largest contention window, slots (IEEE 802.11, from memory).
const LAST_WINDOW_SLOTS: f64 = 1023.0;
/// Share of the air that others use: 5, 50, 95 % (typical, from memory).
pub const BUSY: [f64; 3] = [0.05, 0.25, 0.70];

/// Airtimes of full packets and their transport's answers, by rate: computed once a payload.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Airtimes {
    payload_b: f64,
    packet_s: [f64; 8],
    answer_s: [f64; 8],
}

impl Airtimes {
    /// For packets of `payload_b` bytes (1 to 1,460).
    ///
    /// # Errors
    /// [`OutOfRange`] for another payload.
    pub fn new(guard: Guard, payload_b: f64) -> Result<Self, OutOfRange> {
        let payload_b = OutOfRange::check("payload_b", payload_b, 1.0, 1460.0)?;
        let mut times = Self { payload_b, packet_s: [0.0; 8], answer_s: [0.0; 8] };
        for mcs in Mcs::ALL {
            times.packet_s[mcs.index()] = airtime_s(mcs.number(), guard, payload_b + TCP_IP_B)?;
            times.answer_s[mcs.index()] = airtime_s(mcs.number(), guard, TCP_IP_B)?;
        }
        Ok(times)
    }

    /// Payload a second when the air is all its own and nothing is missed, bit/s; rises with the rate.
    pub fn lossless_bit_s(&self, mcs: Mcs) -> f64 {
        let i = mcs.index();
        8.0 * self.payload_b / (self.packet_s[i] + 0.5 * self.answer_s[i])
    }

    /// Bytes of a packet on its way to the radio.
    pub fn packet_b(&self) -> f64 {
        self.payload_b + TCP_IP_B
    }

    /// Air used by one packet that gets through in the end, with all its attempts, s, and the share that does.
    ///
    /// - `answered`: share of attempts that are received and acknowledged.
    ///
    /// Every second packet is answered by the transport; that answer is as hard to bring home as the packet.
    pub fn packet_air_s(&self, mcs: Mcs, answered: f64) -> (f64, f64) {
        let missed = 1.0 - answered.clamp(0.0, 1.0);
        let i = mcs.index();
        let once_s = self.packet_s[i] + 0.5 * self.answer_s[i];
        // Attempt k happens when k before it have missed, after a wait twice as long as the one before.
        let (mut air_s, mut happens, mut window) = (0.0, 1.0, FIRST_WINDOW_SLOTS);
        for _ in 0..ATTEMPTS {
            air_s += happens * (once_s + 0.5 * (window - FIRST_WINDOW_SLOTS) * SLOT_S);
            happens *= missed;
            window = (2.0 * window + 1.0).min(LAST_WINDOW_SLOTS);
        }
        (air_s, 1.0 - happens)
    }

    /// Payload a second when the air is all its own, bit/s; 0 where nothing gets through.
    ///
    /// By hand, MCS 7, all answered: as [`crate::frames::uplink::airtime_goodput_bit_s`].
    ///
    /// ```
    /// use models::{frames::uplink::{Guard, airtime_goodput_bit_s}, radio::{air::Airtimes, rate::Mcs}};
    /// let times = Airtimes::new(Guard::Long, 1460.0)?;
    /// let alone = airtime_goodput_bit_s(7, Guard::Long, 1460.0)?;
    /// assert!((times.goodput_bit_s(Mcs::new(7)?, 1.0) / alone - 1.0).abs() < 1e-12);
    /// # Ok::<(), models::out_of_range::OutOfRange>(())
    /// ```
    pub fn goodput_bit_s(&self, mcs: Mcs, answered: f64) -> f64 {
        let (air_s, through) = self.packet_air_s(mcs, answered);
        8.0 * self.payload_b * through / air_s
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn missing_costs_air_and_nothing_answered_gives_nothing() {
        let times = Airtimes::new(Guard::Long, 1460.0).unwrap();
        for mcs in Mcs::ALL {
            let mut before = f64::INFINITY;
            for tenths in (0..=10).rev() {
                let goodput = times.goodput_bit_s(mcs, f64::from(tenths) / 10.0);
                assert!(goodput < before);
                before = goodput;
            }
            assert_eq!(before, 0.0);
            // One in two missed costs more than twice the air, because the waits grow.
            let half = times.goodput_bit_s(mcs, 0.5) / times.goodput_bit_s(mcs, 1.0);
            assert!((0.2..0.5).contains(&half), "{half}");
        }
    }
}
