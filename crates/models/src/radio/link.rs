//! The link of one build at one place: margins both ways, rate, goodput over fading, and whether a stream holds.
//!
//! The stream goes up, its acknowledgements come down, and both must arrive. The worse direction counts: the number on
//! the screen is the downward one, and the station is weaker by 14 against 20 dBm at high rates. The radio's own
//! choice of rate is taken to follow the fading (minutes), not the single frame.

use super::air::Airtimes;
use super::rate::{ANSWER_FLOOR_DBM, Mcs, lost_share, station_dbm};
use crate::out_of_range::OutOfRange;
use quantity::normal;

/// Points of the mean over fading.
const POINTS: u32 = 65;
/// Bytes of an acknowledgement (IEEE 802.11, from memory).
const ANSWER_B: f64 = 14.0;

/// All that one build's link depends on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Link {
    /// Median over time of the power at the station, dBm, from [`super::place::Place`].
    pub down_dbm: f64,
    /// Power of the access point, dBm.
    pub ap_dbm: f64,
    /// Power of the station at MCS 0, dBm.
    pub low_rate_dbm: f64,
    /// Power of the station at MCS 7, dBm.
    pub high_rate_dbm: f64,
    /// Fading over time, sigma in dB.
    pub fading_sigma_db: f64,
    /// How much better than the standard both receivers are, dB; 0 is the safe edge.
    pub better_db: f64,
    /// Noise above a quiet receiver's at both ends, dB, from [`super::rate::noise_rise_db`].
    pub noise_rise_db: f64,
    /// What the station's own camera clock costs its receiver, dB, where a harmonic lies in the channel
    /// ([`super::clock`]); not seen in any reading of power.
    pub clock_loss_db: f64,
    /// Share of the air that others use, 0 to 1.
    pub busy: f64,
}

/// Goodput averaged over fading, and what of the air that is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Goodput {
    /// Payload upward, mean over time, bit/s, in the air that others leave.
    pub mean_bit_s: f64,
    /// The same at median fading.
    pub median_bit_s: f64,
    /// Least that is there 95 % of the time.
    pub low_bit_s: f64,
}

impl Link {
    /// Checks the ranges; below, nothing can fail.
    ///
    /// # Errors
    /// [`OutOfRange`] names the field.
    pub fn check(&self) -> Result<(), OutOfRange> {
        OutOfRange::check("down_dbm", self.down_dbm, -300.0, 40.0)?;
        OutOfRange::check("ap_dbm", self.ap_dbm, -30.0, 36.0)?;
        OutOfRange::check("low_rate_dbm", self.low_rate_dbm, -30.0, 36.0)?;
        OutOfRange::check("high_rate_dbm", self.high_rate_dbm, -30.0, 36.0)?;
        OutOfRange::check("fading_sigma_db", self.fading_sigma_db, 0.0, 20.0)?;
        OutOfRange::check("better_db", self.better_db, -10.0, 30.0)?;
        OutOfRange::check("noise_rise_db", self.noise_rise_db, 0.0, 100.0)?;
        OutOfRange::check("clock_loss_db", self.clock_loss_db, 0.0, 60.0)?;
        OutOfRange::check("busy", self.busy, 0.0, 1.0).map(drop)
    }

    /// Median power at the access point when the station sends at a rate, dBm: RSSI down + P station − P access point.
    pub fn up_dbm(&self, mcs: Mcs) -> f64 {
        self.down_dbm + station_dbm(mcs, self.low_rate_dbm, self.high_rate_dbm) - self.ap_dbm
    }

    /// Margin of the stream itself over what a rate needs at the access point, dB.
    pub fn up_margin_db(&self, mcs: Mcs) -> f64 {
        self.up_dbm(mcs) - self.need_dbm(mcs.floor_dbm())
    }

    /// Margin of the acknowledgements at the station, dB, own clock counted.
    pub fn down_margin_db(&self, mcs: Mcs) -> f64 {
        self.down_dbm - self.clock_loss_db - self.need_dbm(ANSWER_FLOOR_DBM[mcs.index()])
    }

    /// Fade margin at a rate, the worse direction, dB.
    ///
    /// By hand: -52.58 dBm down, both ends at 20 dBm, no better than the standard: -52.58 + 82 = 29.42 dB at MCS 0.
    ///
    /// ```
    /// use models::radio::{link::Link, rate::Mcs};
    /// let link = Link { down_dbm: -52.583, ap_dbm: 20.0, low_rate_dbm: 20.0, high_rate_dbm: 20.0,
    ///     fading_sigma_db: 2.5, better_db: 0.0, noise_rise_db: 0.0, clock_loss_db: 0.0, busy: 0.25 };
    /// assert!((link.margin_db(Mcs::LEAST) - 29.417).abs() < 1e-9);
    /// ```
    pub fn margin_db(&self, mcs: Mcs) -> f64 {
        self.up_margin_db(mcs).min(self.down_margin_db(mcs))
    }

    fn need_dbm(&self, floor_dbm: f64) -> f64 {
        floor_dbm - self.better_db + self.noise_rise_db
    }

    /// Share of attempts that are received and acknowledged when the power is `fade_db` off its median.
    pub fn answered(&self, mcs: Mcs, packet_b: f64, fade_db: f64) -> f64 {
        (1.0 - lost_share(self.up_margin_db(mcs) + fade_db, packet_b))
            * (1.0 - lost_share(self.down_margin_db(mcs) + fade_db, ANSWER_B))
    }

    /// Goodput with the air all its own, bit/s, and the rate that gives it, at one fade.
    pub fn best(&self, times: &Airtimes, fade_db: f64) -> (Mcs, f64) {
        let mut best = (Mcs::LEAST, 0.0);
        // From the fastest down: once the best beats what a rate gives without any loss, no slower one can win.
        for mcs in Mcs::ALL.into_iter().rev() {
            if best.1 >= times.lossless_bit_s(mcs) {
                break;
            }
            let here = times.goodput_bit_s(mcs, self.answered(mcs, times.packet_b(), fade_db));
            if here >= best.1 {
                best = (mcs, here);
            }
        }
        best
    }

    /// Goodput in the air that others leave, over fading.
    ///
    /// Fixed quadrature of 65 points over ±4 sigma, within 0.3 % of 4,001 points (tested).
    pub fn goodput(&self, times: &Airtimes) -> Goodput {
        let free = 1.0 - self.busy;
        let at = |z: f64| free * self.best(times, z * self.fading_sigma_db).1;
        Goodput { mean_bit_s: over_fading(POINTS, at), median_bit_s: at(0.0), low_bit_s: at(-normal::Z90) }
    }

    /// The slowest rate that carries `wanted_bit_s` in the air left when nothing is lost; none where even the fastest
    /// does not.
    pub fn rate_for(&self, times: &Airtimes, wanted_bit_s: f64) -> Option<Mcs> {
        let free = 1.0 - self.busy;
        Mcs::ALL.into_iter().find(|mcs| free * times.lossless_bit_s(*mcs) >= wanted_bit_s)
    }

    /// Share of all air that a stream of `wanted_bit_s` takes, at median fading: above 1 − busy it does not fit; infinite
    /// where nothing gets through.
    pub fn air_share(&self, times: &Airtimes, wanted_bit_s: f64) -> f64 {
        wanted_bit_s / self.best(times, 0.0).1
    }

    /// Share of the time in which a stream of `wanted_bit_s` holds.
    ///
    /// Goodput never falls with power, so there is one fade at which it just holds, found by halving; the share is the
    /// normal probability of less fading than that.
    pub fn holds_share(&self, times: &Airtimes, wanted_bit_s: f64) -> f64 {
        let free = 1.0 - self.busy;
        let holds = |fade_db: f64| free * self.best(times, fade_db).1 >= wanted_bit_s;
        let reach_db = 9.0 * self.fading_sigma_db.max(1e-9);
        let (mut low_db, mut high_db) = (-reach_db, reach_db);
        if holds(low_db) {
            return 1.0;
        }
        if !holds(high_db) {
            return 0.0;
        }
        // 2^-24 of 18 sigma is far below a thousandth of a decibel.
        for _ in 0..24 {
            let mid_db = 0.5 * (low_db + high_db);
            if holds(mid_db) { high_db = mid_db } else { low_db = mid_db }
        }
        normal::cdf(-high_db / self.fading_sigma_db.max(1e-9))
    }
}

/// Mean of a function of a standard normal by the trapezoid rule over ±4 sigma, weights made to sum to 1.
fn over_fading(points: u32, f: impl Fn(f64) -> f64) -> f64 {
    let (mut sum, mut weights) = (0.0, 0.0);
    for i in 0..points {
        let z = -4.0 + 8.0 * f64::from(i) / f64::from(points - 1);
        let weight = (-0.5 * z * z).exp();
        sum += weight * f(z);
        weights += weight;
    }
    sum / weights
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frames::uplink::Guard;
    use proptest::prelude::*;

    const LINK: Link = Link {
        down_dbm: -65.0,
        ap_dbm: 20.0,
        low_rate_dbm: 18.0,
        high_rate_dbm: 14.0,
        fading_sigma_db: 2.5,
        better_db: 8.0,
        noise_rise_db: 1.0,
        clock_loss_db: 0.0,
        busy: 0.25,
    };

    fn times() -> Airtimes {
        Airtimes::new(Guard::Long, 1460.0).unwrap()
    }

    /// trade.md radio.uplink: 14 against 20 dBm is 6 dB worse than the number on screen.
    #[test]
    fn up_is_six_decibels_worse_at_the_high_rate() {
        let top = Mcs::new(7).unwrap();
        assert!((LINK.down_dbm - LINK.up_dbm(top) - 6.0).abs() < 1e-12);
        assert_eq!(LINK.margin_db(top), LINK.up_margin_db(top));
        // A clock in the channel turns it round for the hardy rates.
        let hummed = Link { clock_loss_db: 12.0, ..LINK };
        assert_eq!(hummed.margin_db(Mcs::LEAST), hummed.down_margin_db(Mcs::LEAST));
        assert_eq!(hummed.up_dbm(top), LINK.up_dbm(top));
    }

    #[test]
    fn few_points_are_enough() {
        for down_dbm in [-60.0, -70.0, -78.0, -84.0, -90.0] {
            for fading_sigma_db in [1.5, 2.5, 5.0] {
                let link = Link { down_dbm, fading_sigma_db, ..LINK };
                let at = |z: f64| 0.75 * link.best(&times(), z * fading_sigma_db).1;
                let (few, many) = (over_fading(POINTS, at), over_fading(4001, at));
                assert!(
                    (few - many).abs() < 0.003 * many + 1.0,
                    "{down_dbm} {fading_sigma_db}: {few} {many}"
                );
            }
        }
    }

    #[test]
    fn the_holding_share_is_that_of_counted_minutes() {
        let link = Link { down_dbm: -80.0, ..LINK };
        let wanted_bit_s = 8e6;
        let share = link.holds_share(&times(), wanted_bit_s);
        let minutes = 2000;
        let counted = (0..minutes)
            .map(|i| normal::quantile((f64::from(i) + 0.5) / f64::from(minutes)))
            .filter(|z| 0.75 * link.best(&times(), *z * 2.5).1 >= wanted_bit_s)
            .count();
        assert!((share - counted as f64 / f64::from(minutes)).abs() < 1e-3, "{share} {counted}");
        assert!((0.05..0.95).contains(&share), "{share}");
    }

    proptest! {
        #[test]
        fn more_power_never_hurts(
            down_dbm in -100.0..-40.0f64, more_db in 0.0..20.0f64, clock_loss_db in 0.0..12.0f64, busy in 0.0..0.9f64,
        ) {
            let (weak, strong) = (
                Link { down_dbm, clock_loss_db, busy, ..LINK },
                Link { down_dbm: down_dbm + more_db, clock_loss_db, busy, ..LINK },
            );
            let times = times();
            prop_assert!(strong.goodput(&times).mean_bit_s >= weak.goodput(&times).mean_bit_s * (1.0 - 1e-12));
            prop_assert!(strong.holds_share(&times, 2e6) >= weak.holds_share(&times, 2e6) - 1e-6);
            prop_assert!(strong.air_share(&times, 2e6) <= weak.air_share(&times, 2e6) * (1.0 + 1e-12));
        }
    }

    #[test]
    fn without_fading_it_holds_always_or_never() {
        let still = Link { fading_sigma_db: 0.0, ..LINK };
        assert_eq!(still.holds_share(&times(), 1e6), 1.0);
        assert_eq!(still.holds_share(&times(), 1e9), 0.0);
        assert_eq!(still.rate_for(&times(), 1e9), None);
        let lost = Link { down_dbm: -200.0, ..LINK };
        assert_eq!(lost.air_share(&times(), 1e6), f64::INFINITY);
        assert!(Link { busy: 1.5, ..LINK }.check().is_err());
        LINK.check().unwrap();
    }
}
