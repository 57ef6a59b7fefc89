//! What a network's rules do to a small board: a checklist of typed facts, each a trial on the wall.

use crate::timing::dist::Dist;

/// Beacons are 100 time units of 1,024 µs apart, s (IEEE 802.11, from memory).
pub const BEACON_S: f64 = 0.1024;

/// Security that a router offers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Security {
    /// WPA2 alone.
    Wpa2,
    /// WPA2 and WPA3 side by side.
    Both,
    /// WPA3 alone.
    Wpa3,
}

/// Facts of router and network.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Network {
    /// The router pushes devices to 5 GHz by ignoring their first probes.
    pub steers: bool,
    /// What it offers.
    pub security: Security,
    /// Clients may not speak to each other, or the station is in the guests' network and the server is not.
    pub isolates: bool,
    /// Station and server are in one subnet.
    pub one_subnet: bool,
    /// Several access points under one name.
    pub mesh: bool,
}

/// Facts of the station's program.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stack {
    /// It knows WPA3's key exchange.
    pub sae: bool,
    /// It finds the server by multicast name instead of an address or a real name.
    pub multicast_name: bool,
}

/// One rule of the network that bites.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Bite {
    /// First probes are ignored.
    Steering,
    /// An old stack is refused by WPA3 alone.
    Refused,
    /// WPA3's key exchange takes its time.
    KeyExchange,
    /// Server and station cannot reach each other.
    Isolation,
    /// A multicast name dies at the subnet's border.
    LostName,
    /// The station stays with a far access point.
    Sticky,
}

/// What a bite does.
#[derive(Debug, Clone, PartialEq)]
pub enum Effect {
    /// Nothing works.
    Stops,
    /// Joining takes this much longer.
    Delays(Dist),
    /// The link is weaker than the place allows, by an amount that only a reading tells.
    Weakens,
}

impl Bite {
    /// Its effect (delays typical, from memory).
    pub fn effect(self) -> Effect {
        match self {
            Self::Steering => Effect::Delays(Dist::between(1.0, 5.0)),
            Self::KeyExchange => Effect::Delays(crate::timing::join::SAE),
            Self::Refused | Self::Isolation | Self::LostName => Effect::Stops,
            Self::Sticky => Effect::Weakens,
        }
    }
}

/// The rules that bite this station in this network.
///
/// ```
/// use models::radio::policy::{Bite, Network, Security, Stack, bites};
/// let network = Network { steers: true, security: Security::Wpa3, isolates: false, one_subnet: true, mesh: false };
/// let old = Stack { sae: false, multicast_name: true };
/// assert_eq!(bites(&network, &old), [Bite::Steering, Bite::Refused]);
/// ```
pub fn bites(network: &Network, stack: &Stack) -> Vec<Bite> {
    let rules = [
        (network.steers, Bite::Steering),
        (network.security == Security::Wpa3 && !stack.sae, Bite::Refused),
        (network.security != Security::Wpa2 && stack.sae, Bite::KeyExchange),
        (network.isolates, Bite::Isolation),
        (stack.multicast_name && !network.one_subnet, Bite::LostName),
        (network.mesh, Bite::Sticky),
    ];
    rules.into_iter().filter(|(bites, _)| *bites).map(|(_, bite)| bite).collect()
}

/// Delay of a command to a station whose radio saves power: anything up to DTIM × 102.4 ms × listen interval.
///
/// - `dtim`: beacons between deliveries, usually 1 to 3; `listen`: deliveries that the station skips plus one.
///
/// Source: IEEE 802.11 (from memory).
///
/// By hand, DTIM 3, every one heard: 0 to 307.2 ms.
///
/// ```
/// use models::{radio::policy::power_save_delay, timing::dist::Dist};
/// let Dist::Uniform { high, .. } = power_save_delay(3, 1) else { unreachable!() };
/// assert!((high - 0.3072).abs() < 1e-12);
/// ```
pub fn power_save_delay(dtim: u8, listen: u8) -> Dist {
    Dist::Uniform { low: 0.0, high: f64::from(dtim.max(1)) * BEACON_S * f64::from(listen.max(1)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_easy_network_bites_nobody() {
        let easy = Network {
            steers: false,
            security: Security::Wpa2,
            isolates: false,
            one_subnet: true,
            mesh: false,
        };
        for stack in [Stack { sae: true, multicast_name: true }, Stack { sae: false, multicast_name: false }]
        {
            assert!(bites(&easy, &stack).is_empty());
        }
        let hard =
            Network { steers: true, security: Security::Both, isolates: true, one_subnet: false, mesh: true };
        let found = bites(&hard, &Stack { sae: true, multicast_name: true });
        assert_eq!(found.len(), 5);
        assert_eq!(found.iter().filter(|bite| bite.effect() == Effect::Stops).count(), 2);
    }
}
