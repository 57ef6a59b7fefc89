//! The two-wire control bus (SCCB, and what else shares its wires): addresses, pulls, rise time.

/// Rise time from 0.3 to 0.7 of the supply, in units of R x C: ln(0.7 / 0.3). Computed.
pub const RISE_RC: f64 = 0.8473;

/// One part on the bus.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Member {
    /// Seven-bit address.
    pub address: u8,
    /// Its own pull-up, if it has one: ohms and the rail's volts.
    pub pull: Option<BusPull>,
    /// Capacitance of its two pins and tracks, per line, in farads.
    pub capacitance_f: f64,
}

/// A pull-up of the bus.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BusPull {
    /// Ohms, above 0.
    pub ohm: f64,
    /// Voltage of its rail.
    pub rail_v: f64,
}

/// What is wrong with a bus. Members are indices.
#[derive(Clone, Debug, PartialEq)]
pub enum BusFault {
    /// Two or more answer to one address.
    SameAddress {
        /// The address.
        address: u8,
        /// Who.
        members: Vec<usize>,
    },
    /// Not an address that a part may have: 0x08 to 0x77 are (I2C-bus specification UM10204, recalled).
    ReservedAddress {
        /// The address.
        address: u8,
        /// Who.
        member: usize,
    },
    /// Nothing pulls the lines up.
    NoPull,
    /// Pulls go to different rails: the higher feeds the lower.
    MixedRails {
        /// Lowest rail in volts.
        low_v: f64,
        /// Highest rail in volts.
        high_v: f64,
    },
    /// Edges are too slow: bits are misread, now and then.
    SlowRise {
        /// All pulls in parallel, in ohms.
        ohm: f64,
        /// The most that would do, in ohms.
        ohm_max: f64,
        /// Rise time in seconds.
        rise_s: f64,
        /// The most allowed in seconds.
        rise_s_max: f64,
    },
    /// The pulls are stronger than 3 mA: outputs cannot pull low.
    StrongPull {
        /// All pulls in parallel, in ohms.
        ohm: f64,
        /// The least that would do, in ohms.
        ohm_min: f64,
    },
}

/// Longest rise time in seconds at a bus clock: 1,000 ns to 100 kHz, 300 ns to 400 kHz, 120 ns above.
///
/// # Source
///
/// I2C-bus specification UM10204, characteristics of SDA and SCL, recalled.
pub fn rise_s_max(clock_hz: f64) -> f64 {
    if clock_hz <= 100e3 {
        1000e-9
    } else if clock_hz <= 400e3 {
        300e-9
    } else {
        120e-9
    }
}

/// The largest pull-up in ohms for a bus of `capacitance_f` farads at `clock_hz`: R <= tr / (0.8473 C).
///
/// # Examples
///
/// 60 pF: 1,000 ns / (0.8473 x 60 pF) = 19.7 k at 100 kHz, 5.9 k at 400 kHz.
///
/// ```
/// use models::pins::control_bus::pull_ohm_max;
/// assert!((pull_ohm_max(60e-12, 100e3) - 19.67e3).abs() < 10.0);
/// assert!((pull_ohm_max(60e-12, 400e3) - 5.90e3).abs() < 10.0);
/// ```
pub fn pull_ohm_max(capacitance_f: f64, clock_hz: f64) -> f64 {
    rise_s_max(clock_hz) / (RISE_RC * capacitance_f)
}

/// Everything that is wrong with a bus of `members`, clocked at `clock_hz`, whose lead has `lead_f` farads a line.
///
/// `board_pulls` are pulls that belong to no member (on the board, or the chip's internal ones).
pub fn bus_faults(members: &[Member], board_pulls: &[BusPull], lead_f: f64, clock_hz: f64) -> Vec<BusFault> {
    let mut faults = Vec::new();
    for (m, member) in members.iter().enumerate() {
        let address = member.address;
        if !(0x08..=0x77).contains(&address) {
            faults.push(BusFault::ReservedAddress { address, member: m });
        }
        let same: Vec<usize> = (0..members.len()).filter(|&o| members[o].address == address).collect();
        if same.len() > 1 && same[0] == m {
            faults.push(BusFault::SameAddress { address, members: same });
        }
    }
    let pulls: Vec<BusPull> =
        members.iter().filter_map(|m| m.pull).chain(board_pulls.iter().copied()).collect();
    if pulls.is_empty() {
        faults.push(BusFault::NoPull);
        return faults;
    }
    let low_v = pulls.iter().map(|p| p.rail_v).fold(f64::INFINITY, f64::min);
    let high_v = pulls.iter().map(|p| p.rail_v).fold(f64::NEG_INFINITY, f64::max);
    // A tenth of a volt apart is one rail measured twice; 2.8 and 3.3 V are two.
    if high_v - low_v > 0.1 {
        faults.push(BusFault::MixedRails { low_v, high_v });
    }
    let ohm = 1.0 / pulls.iter().map(|p| 1.0 / p.ohm.max(0.01)).sum::<f64>();
    let capacitance_f = lead_f + members.iter().map(|m| m.capacitance_f).sum::<f64>();
    let rise_s = RISE_RC * ohm * capacitance_f;
    if rise_s > rise_s_max(clock_hz) {
        faults.push(BusFault::SlowRise {
            ohm,
            ohm_max: pull_ohm_max(capacitance_f, clock_hz),
            rise_s,
            rise_s_max: rise_s_max(clock_hz),
        });
    }
    // An output sinks 3 mA at 0.4 V (UM10204, recalled).
    let ohm_min = (high_v - 0.4) / 3e-3;
    if ohm < ohm_min {
        faults.push(BusFault::StrongPull { ohm, ohm_min });
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;

    fn member(address: u8, pull: Option<(f64, f64)>) -> Member {
        let pull = pull.map(|(ohm, rail_v)| BusPull { ohm, rail_v });
        Member { address, pull, capacitance_f: 20e-12 }
    }

    #[test]
    fn the_rise_constant_is_the_time_between_the_thresholds() {
        assert!((RISE_RC - (0.7f64 / 0.3).ln()).abs() < 5e-5);
    }

    #[test]
    fn a_good_bus_has_no_fault() {
        assert!(bus_faults(&[member(0x30, Some((4.7e3, 2.8)))], &[], 40e-12, 400e3).is_empty());
    }

    #[test]
    fn each_fault_is_named_with_its_numbers() {
        let members = [member(0x30, Some((10e3, 2.8))), member(0x30, Some((10e3, 3.3))), member(0x03, None)];
        let faults = bus_faults(&members, &[], 300e-12, 400e3);
        assert!(faults.contains(&BusFault::SameAddress { address: 0x30, members: vec![0, 1] }));
        assert!(faults.contains(&BusFault::ReservedAddress { address: 3, member: 2 }));
        assert!(faults.contains(&BusFault::MixedRails { low_v: 2.8, high_v: 3.3 }));
        assert!(faults.iter().any(|f| matches!(f, BusFault::SlowRise { ohm, ohm_max, .. } if ohm > ohm_max)));
        assert_eq!(bus_faults(&[member(0x30, None)], &[], 0.0, 100e3), [BusFault::NoPull]);
        let strong = bus_faults(&[member(0x30, Some((470.0, 3.3)))], &[], 0.0, 100e3);
        assert!(matches!(strong[..], [BusFault::StrongPull { .. }]));
    }
}
