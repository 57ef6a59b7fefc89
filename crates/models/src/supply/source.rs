//! What a source of direct current promises: voltage at its socket, current limit, switching itself off.
//!
//! The mean current is not a supply's rating: judge the mean for life, one second for the source, the burst for
//! brown-out, and the start. Bell transformers are in [`super::bell`], cells in [`crate::cells`].

/// A source with a socket.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Usb {
    /// USB 2.0 before the device has been configured.
    Unconfigured,
    /// USB 2.0, configured.
    Usb2,
    /// USB 3.x default.
    Usb3,
    /// A charging port of the Battery Charging specification 1.2.
    Charging,
    /// Type-C, 1.5 A advertised.
    C15,
    /// Type-C, 3 A advertised.
    C30,
}

impl Usb {
    /// The current that may be drawn, in A.
    ///
    /// 0.1, 0.5 A: USB 2.0, read in engineering notes that quote it; 0.9, 1.5, 3.0 A: a vendor's manual table
    /// and an excerpt of IEC 63002 clause 4.4 (all mark a*).
    pub const fn limit_a(self) -> f64 {
        match self {
            Self::Unconfigured => 0.1,
            Self::Usb2 => 0.5,
            Self::Usb3 => 0.9,
            Self::Charging | Self::C15 => 1.5,
            Self::C30 => 3.0,
        }
    }
}

/// Least and greatest voltage at the socket of a USB 2.0 source, in V: 4.75 to 5.25 (USB 2.0, mark a*).
pub const USB_SOCKET_V: (f64, f64) = (4.75, 5.25);

/// What a Type-C source advertises by the voltage on a sink's configuration pin with 5.1 kΩ to ground.
///
/// Bands 0.25..0.61, 0.70..1.16, 1.31..2.04 V: default, 1.5 A, 3 A (USB Type-C release 2.0, quoted in an answer
/// on a question board, mark a*). `None`: between the bands, or no source. A board *without* the two 5.1 kΩ
/// resistors shows 0 V here: a C-to-C lead then gives it nothing.
pub fn type_c_advertises(pin_v: f64) -> Option<Usb> {
    match pin_v {
        0.25..=0.61 => Some(Usb::Usb2),
        0.70..=1.16 => Some(Usb::C15),
        1.31..=2.04 => Some(Usb::C30),
        _ => None,
    }
}

/// When a power bank decides that nothing is connected.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BankSwitchOff {
    /// It looks for at least this current, in A.
    pub below_a: f64,
    /// It waits this long, in s.
    pub after_s: f64,
}

/// Typical, from memory: below 70 mA (50..100) for 30 s (10..60).
pub const BANK_SWITCH_OFF: BankSwitchOff = BankSwitchOff { below_a: 0.07, after_s: 30.0 };

impl BankSwitchOff {
    /// Whether the bank turns itself off under a station that draws `rest_a` for `rest_s` between wakings.
    ///
    /// Once off it does not come back by itself: the station sleeps once and never wakes.
    pub fn switches_off(self, rest_a: f64, rest_s: f64) -> bool {
        rest_a < self.below_a && rest_s > self.after_s
    }

    /// Mean current that a keep-alive pulse of `pulse_a` for `pulse_s` costs at least, in A, added to the rest.
    ///
    /// One pulse must fall into every `after_s`; whether a bank accepts so short a pulse must be tried.
    pub fn keep_alive_a(self, pulse_a: f64, pulse_s: f64) -> f64 {
        pulse_a.max(self.below_a) * (pulse_s / self.after_s).min(1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_rise_in_order() {
        let order = [Usb::Unconfigured, Usb::Usb2, Usb::Usb3, Usb::Charging, Usb::C30];
        assert!(order.windows(2).all(|pair| pair[0].limit_a() < pair[1].limit_a()));
    }

    #[test]
    fn a_board_without_its_resistors_gets_nothing() {
        assert_eq!(type_c_advertises(0.0), None);
        assert_eq!(type_c_advertises(0.65), None);
        assert_eq!(type_c_advertises(1.7), Some(Usb::C30));
    }

    #[test]
    fn a_sleeping_station_turns_the_bank_off_and_a_joined_one_may() {
        assert!(BANK_SWITCH_OFF.switches_off(0.002, 600.0));
        assert!(!BANK_SWITCH_OFF.switches_off(0.11, 600.0));
        assert!(!BANK_SWITCH_OFF.switches_off(0.002, 5.0));
    }
}
