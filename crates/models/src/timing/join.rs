//! How long joining takes: a mixture, not a bell, and the rows that follow it.

use super::dist::Dist;

/// Share of joins that go badly and take 10 to 40 s (typical, from memory).
pub const BAD_SHARE: f64 = 0.03;

/// Rows between radio on and a usable connection.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Row {
    /// Finding and joining the access point.
    Join,
    /// Key exchange of WPA3.
    Keys,
    /// An address from the router.
    Address,
    /// The service's name to its address.
    Name,
}

/// What decides them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Join {
    /// Channel and access point are remembered over sleep.
    pub remembered: bool,
    /// The station's address is fixed.
    pub fixed_address: bool,
    /// WPA3's key exchange.
    pub sae: bool,
    /// The service is called by name and not by address.
    pub by_name: bool,
}

impl Join {
    /// Nothing remembered, address and name asked for, WPA2.
    pub const FULL: Self = Self { remembered: false, fixed_address: false, sae: false, by_name: true };
    /// Everything remembered.
    pub const CACHED: Self = Self { remembered: true, fixed_address: true, sae: false, by_name: false };

    /// Time of the join itself: 0.5 s (0.25..1.3) remembered, else 3 s (1.6..7); 3 % take 10 to 40 s (typical, from
    /// memory).
    pub fn joining(&self) -> Dist {
        let usual = if self.remembered {
            Dist::TwoPiece { p5: 0.25, p50: 0.5, p95: 1.3 }
        } else {
            Dist::TwoPiece { p5: 1.6, p50: 3.0, p95: 7.0 }
        };
        Dist::Mixture(vec![(1.0 - BAD_SHARE, usual), (BAD_SHARE, Dist::Uniform { low: 10.0, high: 40.0 })])
    }

    /// All rows that this station goes through, in order (all typical, from memory).
    pub fn rows(&self) -> Vec<(Row, Dist)> {
        let mut rows = vec![(Row::Join, self.joining())];
        if self.sae {
            rows.push((Row::Keys, SAE));
        }
        if !self.fixed_address {
            rows.push((Row::Address, ADDRESS));
        }
        if self.by_name {
            rows.push((Row::Name, name()));
        }
        rows
    }
}

/// What WPA3's key exchange adds: 0.4 s (0.2..1.2) (typical, from memory).
pub const SAE: Dist = Dist::TwoPiece { p5: 0.2, p50: 0.4, p95: 1.2 };
/// An address by DHCP: 0.6 s (0.05..3.5) (typical, from memory).
pub const ADDRESS: Dist = Dist::TwoPiece { p5: 0.05, p50: 0.6, p95: 3.5 };

/// A name lookup: 0.05 s (0.01..0.6), 1 % take 5 s (typical, from memory).
pub fn name() -> Dist {
    Dist::Mixture(vec![(0.99, Dist::TwoPiece { p5: 0.01, p50: 0.05, p95: 0.6 }), (0.01, Dist::Point(5.0))])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn medians_and_tails_are_those_of_the_trade() {
        // 3 % beside the usual 97 % move the median by less than a fiftieth of probability.
        for (join, median_s) in [(Join::CACHED, 0.5), (Join::FULL, 3.0)] {
            let joining = join.joining();
            joining.check().unwrap();
            assert!((joining.quantile(0.5) / median_s - 1.0).abs() < 0.03);
            assert!((joining.cdf(10.0) - joining.cdf(9.99)).abs() < 1e-3);
            assert!((1.0 - joining.cdf(10.0) - BAD_SHARE).abs() < 0.02);
            // The usual 97 % have no time beyond 40 s worth a millionth.
            assert!(joining.cdf(40.0) > 1.0 - 1e-6);
        }
        assert_eq!(Join::CACHED.rows().len(), 1);
        assert_eq!(Join::FULL.rows().len(), 3);
        assert_eq!(Join { sae: true, ..Join::FULL }.rows().len(), 4);
    }
}
