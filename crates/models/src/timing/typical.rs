//! What the steps of a usual house take, so that a chain can be assessed before anything was measured.
//!
//! All numbers are typical, from memory, unless said; a measured one replaces its step.

use super::chain::{Cause, Chain, Stage, Step, Way, Weather};
use super::dist::Dist;
use super::join::{Join, Row};

const fn three(p5: f64, p50: f64, p95: f64) -> Dist {
    Dist::TwoPiece { p5, p50, p95 }
}

/// Press to event: period, debounce and averaging within 0.10 s (typical, from memory).
pub const DETECT: Dist = Dist::Uniform { low: 0.02, high: 0.10 };
/// Start of the program (typical, from memory).
pub const BOOT: Dist = three(0.2, 0.35, 0.9);
/// What a memory test at start adds, s (typical, from memory).
pub const MEMORY_TEST_S: f64 = 0.7;
/// Connecting to the broker without encryption (typical, from memory).
pub const CONNECT_PLAIN: Dist = three(0.02, 0.06, 0.3);
/// And with it (typical, from memory).
pub const CONNECT_TLS: Dist = three(0.5, 1.2, 3.0);
/// Sending a press: one round trip at home (typical, from memory).
pub const PUBLISH: Dist = three(0.004, 0.01, 0.04);
/// What the service does, stored before passed on (estimated here: two writes to a disk).
pub const SERVICE: Dist = three(0.005, 0.02, 0.1);
/// From the service to an open page (typical, from memory).
pub const PAGE: Dist = three(0.05, 0.15, 0.5);
/// A person hears a sounder, s (typical, from memory).
pub const HEAR_S: f64 = 2.0;
/// A person reaches the phone (typical, from memory).
pub const REACH: Dist = three(3.0, 8.0, 30.0);
/// From opening to the first picture on the phone (typical, from memory).
pub const PICTURE: Dist = three(0.6, 1.5, 5.0);

/// A push notice: 1.5 s (0.5..8), and 2 % take 1 to 15 minutes for the phone's power saving (typical, from memory).
pub fn push() -> Dist {
    Dist::Mixture(vec![(0.98, three(0.5, 1.5, 8.0)), (0.02, Dist::between(60.0, 900.0))])
}

/// The hidden state: one press in ten meets a poor network that is 3 times slower (the trade's tails of 2 to 5 times,
/// typical, from memory; the share is estimated here), and 0.07 % meet a router that is off (6 h a year), for another
/// 10 minutes (1 to 100; estimated here).
pub const WEATHER: Weather = Weather {
    poor_share: 0.1,
    poor_factor: 3.0,
    down_share: 0.0007,
    down_rest: Some(three(60.0, 600.0, 6000.0)),
};

/// How the station waits for a press.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Waits {
    /// Deep asleep: it boots, joins, connects.
    Asleep,
    /// Joined, in light sleep or awake: it sends at once.
    Joined,
}

/// What decides the usual chain.
#[derive(Debug, Clone, PartialEq)]
pub struct House {
    /// How the station waits.
    pub waits: Waits,
    /// Memory test at start.
    pub memory_test: bool,
    /// Rows of joining.
    pub join: Join,
    /// Encrypted connection.
    pub tls: bool,
    /// A page that is open and has proved that it sounds.
    pub sounder: bool,
    /// A notice to a phone.
    pub phone: bool,
}

impl House {
    /// Asleep between presses, nothing remembered, plain broker, one open page, one phone.
    pub const USUAL: Self = Self {
        waits: Waits::Asleep,
        memory_test: false,
        join: Join::FULL,
        tls: false,
        sounder: true,
        phone: true,
    };
}

/// The usual chain of such a house.
pub fn chain(house: &House) -> Chain {
    let mut shared = vec![Step::new(Stage::Detect, Cause::Station, DETECT)];
    if house.waits == Waits::Asleep {
        shared.push(Step::new(Stage::Boot, Cause::Station, BOOT));
        if house.memory_test {
            shared.push(Step::new(Stage::Boot, Cause::Station, Dist::Point(MEMORY_TEST_S)));
        }
        let stages = |row: Row| match row {
            Row::Join => Stage::Join,
            Row::Keys => Stage::Keys,
            Row::Address => Stage::Address,
            Row::Name => Stage::Name,
        };
        shared.extend(
            house.join.rows().into_iter().map(|(row, takes)| Step::new(stages(row), Cause::Air, takes)),
        );
        let connect = if house.tls { CONNECT_TLS } else { CONNECT_PLAIN };
        shared.push(Step::new(Stage::Connect, Cause::Air, connect));
    }
    shared.push(Step::new(Stage::Publish, Cause::Air, PUBLISH));
    shared.push(Step::new(Stage::Service, Cause::Service, SERVICE));
    let reach = || Step::new(Stage::Reach, Cause::Person, REACH);
    let picture = || Step::new(Stage::Picture, Cause::Air, PICTURE);
    let mut ways = Vec::new();
    if house.sounder {
        let heard = vec![
            Step::new(Stage::Notice, Cause::Service, PAGE),
            Step::new(Stage::Hear, Cause::Person, Dist::Point(HEAR_S)),
        ];
        ways.push(Way { heard, seen: Vec::new() });
    }
    if house.phone {
        let heard = vec![
            Step::new(Stage::Notice, Cause::Phone, push()),
            Step::new(Stage::Hear, Cause::Person, Dist::Point(HEAR_S)),
        ];
        ways.push(Way { heard, seen: vec![reach(), picture()] });
    }
    Chain { shared, ways, weather: WEATHER }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::timing::grid::Grid;

    #[test]
    fn joined_is_sooner_than_asleep_and_a_memory_test_is_later() {
        let grid = Grid::coarse();
        let median = |house: &House| chain(house).delivered(grid).quantile(0.5);
        let usual = median(&House::USUAL);
        assert!(median(&House { waits: Waits::Joined, ..House::USUAL }) < 0.3);
        let tested = median(&House { memory_test: true, ..House::USUAL });
        assert!((tested - usual - MEMORY_TEST_S).abs() < 0.05, "{tested} {usual}");
        assert!(median(&House { tls: true, ..House::USUAL }) > usual + 0.8);
    }

    #[test]
    fn every_default_is_a_distribution() {
        for house in
            [House::USUAL, House { waits: Waits::Joined, tls: true, memory_test: true, ..House::USUAL }]
        {
            chain(&house).check().unwrap();
        }
    }
}
