//! The stage from the finger to somebody who knows: the chain of this house, and what works when a part is down.
//!
//! The plan's values are medians of this house; how much a step varies from call to call is the models' and stated
//! here where they have no word. Nothing here knows how soon is soon enough.

mod waterfall;

pub use waterfall::{Fall, Via, Waterfall};

pub(super) use waterfall::waterfall;

use models::radio::policy::{Bite, Effect};
use models::timing::chain::{self, Cause, Chain, Stage, Step, Way};
use models::timing::connection::head_of_line_s;
use models::timing::dist::Dist;
use models::timing::grid::{Grid, Times};
use models::timing::join::{ADDRESS, BAD_SHARE, SAE, name};
use models::timing::typical::{CONNECT_PLAIN, CONNECT_TLS, DETECT, WEATHER};
use models::timing::waiting::Waiting;
use models::timing::works::{self, Feed, House, PhoneWay, TYPICAL_DOWN_H, YEAR_H};
use station::choices::{Phone, Rest, Security, Sounder, SupplyKind};
use station::fields::{self, Station};

/// A time that stands for "not that day", s.
pub const LONGEST_S: f64 = models::energy::DAY_S;
/// Factor that holds 95 of 100 joins of one house, those aside that go badly (estimated here).
const JOIN_FACTOR: f64 = 1.6;
/// The same for a round trip, for what the service does and for a page's sound (estimated here from the trade's ranges).
const TRIP_FACTOR: f64 = 3.0;
/// Tails of a notice, of a person and of a first picture over their medians, at 5 and 95 % (typical, from memory: 0.5,
/// 1.5, 8 s; 3, 8, 30 s; 0.6, 1.5, 5 s).
const PUSH: [f64; 2] = [0.5 / 1.5, 8.0 / 1.5];
const REACH: [f64; 2] = [3.0 / 8.0, 30.0 / 8.0];
const PICTURE: [f64; 2] = [0.6 / 1.5, 5.0 / 1.5];

/// All that the stage depends on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct ChainKey {
    notice: fields::Notice,
    router: fields::Router,
    net: fields::Net,
    mode: Rest,
    supply: SupplyKind,
    sae: bool,
    boot_s: f64,
    first_s: f64,
    frame_b: f64,
    goodput_bit_s: f64,
    acknowledges: bool,
    fine: bool,
}

impl ChainKey {
    /// Of a station.
    ///
    /// - `acknowledges`: a lamp or sounder of its own; `fine`: the fine grid, for the nominal answer.
    pub(crate) fn new(
        s: &Station,
        frames: &super::Frames,
        rate: &super::Rate,
        acknowledges: bool,
        fine: bool,
    ) -> Self {
        Self {
            notice: s.notice,
            router: s.router,
            net: s.net,
            mode: s.rest.mode,
            supply: s.supply.kind,
            sae: s.radio.sae,
            boot_s: s.chip.boot_s,
            first_s: rate.first_day_s,
            frame_b: frames.median_b,
            goodput_bit_s: rate.goodput_bit_s,
            acknowledges,
            fine,
        }
    }
}

/// When somebody knows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Known {
    /// Within which 95 of 100 callers are told that their press was felt, s.
    pub felt_s: f64,
    /// Half of the presses are heard within, s.
    pub heard_s: f64,
    /// And 95 of 100, s.
    pub tail_s: f64,
    /// Share of calls heard before the visitor leaves.
    pub heard_share: f64,
    /// Share of calls with a picture in front of a person before the visitor leaves.
    pub seen_share: f64,
    /// What a picture queued before the press delays it, s.
    pub queue_s: f64,
    /// Time a year in which a press is heard by nobody, s.
    pub unheard_s: f64,
}

impl Known {
    /// A value is outside its model.
    pub const NOT_KNOWN: Self = Self {
        felt_s: f64::NAN,
        heard_s: f64::NAN,
        tail_s: f64::NAN,
        heard_share: f64::NAN,
        seen_share: f64::NAN,
        queue_s: f64::NAN,
        unheard_s: f64::NAN,
    };
}

pub(super) fn known(key: &ChainKey) -> Known {
    let grid = if key.fine { Grid::fine() } else { Grid::coarse() };
    let Ok(queue_s) = head_of_line_s(key.frame_b, key.goodput_bit_s.max(1.0)) else {
        return Known::NOT_KNOWN;
    };
    let chain = chain(key, queue_s);
    if chain.check().is_err() {
        return Known::NOT_KNOWN;
    }
    let known = chain.known(grid);
    let heard = heard(key, grid, &known);
    let waiting = Waiting::usual();
    let hours = house(key).unheard_h(&down_h(&key.notice, &key.net));
    Known {
        felt_s: felt_s(key, &known),
        heard_s: heard.quantile(0.5).min(LONGEST_S),
        tail_s: heard.quantile(0.95).min(LONGEST_S),
        heard_share: waiting.share_before(&heard),
        seen_share: waiting.share_before(&known.seen),
        queue_s,
        unheard_s: hours.map_or(f64::NAN, |hours| 3600.0 * hours),
    }
}

/// When a chime on a wire from the station is heard: it does not wait for the network.
fn wired(key: &ChainKey, grid: &'static Grid) -> Option<Times> {
    (key.notice.sounder == Sounder::Chime).then(|| {
        Times::of(grid, &DETECT)
            .plus(&Times::of(grid, &Dist::Point(wake_s(key))))
            .plus(&Times::of(grid, &Dist::Point(key.notice.hear_s)))
    })
}

/// When the first person has heard, by whichever way.
fn heard(key: &ChainKey, grid: &'static Grid, known: &chain::Known) -> Times {
    wired(key, grid).map_or_else(|| known.heard.clone(), |wired| known.heard.sooner(&wired))
}

/// Within which 95 of 100 callers are told that their press was felt, s.
fn felt_s(key: &ChainKey, known: &chain::Known) -> f64 {
    let felt_s = if key.acknowledges {
        let lamp_s = if key.notice.lamp_at_wake { 0.0 } else { wake_s(key) };
        DETECT.quantile(0.95) + lamp_s
    } else {
        known.delivered.quantile(0.95)
    };
    felt_s.min(LONGEST_S)
}

/// From the press to the running program, s.
fn wake_s(key: &ChainKey) -> f64 {
    if key.mode == Rest::Sleep { key.boot_s } else { 0.0 }
}

fn spread(median: f64, [low, high]: [f64; 2]) -> Dist {
    Dist::TwoPiece { p5: low * median, p50: median, p95: high * median }
}

/// The chain of this house.
fn chain(key: &ChainKey, queue_s: f64) -> Chain {
    let (notice, net) = (&key.notice, &key.net);
    let mut shared = vec![Step::new(Stage::Detect, Cause::Station, DETECT)];
    let mut air = |stage, takes| shared.push(Step::new(stage, Cause::Air, takes));
    if key.mode == Rest::Sleep {
        air(Stage::Boot, Dist::Point(key.boot_s));
        let median = if net.cached { net.join_cached_s } else { net.join_s };
        let usual = Dist::LogNormal { median, factor95: JOIN_FACTOR };
        let bad = Dist::Uniform { low: 10.0, high: 40.0 };
        air(Stage::Join, Dist::Mixture(vec![(1.0 - BAD_SHARE, usual), (BAD_SHARE, bad)]));
        if let (true, Effect::Delays(delay)) = (key.router.steers, Bite::Steering.effect()) {
            air(Stage::Join, delay);
        }
        if key.router.security != Security::Wpa2 && key.sae {
            air(Stage::Keys, SAE);
        }
        if !net.cached {
            air(Stage::Address, ADDRESS);
            air(Stage::Name, name());
        }
        air(Stage::Connect, if net.tls { CONNECT_TLS } else { CONNECT_PLAIN });
    }
    if !notice.press_first {
        air(Stage::Queue, Dist::Point(queue_s));
    }
    let trip_s = net.round_trip_s + if net.power_save { net.saving_s } else { 0.0 };
    air(Stage::Publish, Dist::LogNormal { median: trip_s, factor95: TRIP_FACTOR });
    // The program's start is the station's own and knows no poor air.
    for step in shared.iter_mut().filter(|step| matches!(step.stage, Stage::Boot | Stage::Queue)) {
        step.cause = Cause::Station;
    }
    let service = Dist::LogNormal { median: notice.service_s, factor95: TRIP_FACTOR };
    shared.push(Step::new(Stage::Service, Cause::Service, service));
    let hear = || Step::new(Stage::Hear, Cause::Person, Dist::Point(notice.hear_s));
    let picture = || Step::new(Stage::Picture, Cause::Air, spread(notice.open_s + camera_s(key), PICTURE));
    let mut ways = Vec::new();
    if matches!(notice.sounder, Sounder::Page | Sounder::Device) {
        let page = Dist::LogNormal { median: notice.page_s, factor95: TRIP_FACTOR };
        let heard = vec![Step::new(Stage::Notice, Cause::Service, page), hear()];
        let seen = if notice.sounder == Sounder::Page { vec![picture()] } else { Vec::new() };
        ways.push(Way { heard, seen });
    }
    if notice.phone != Phone::None {
        let usual = spread(notice.push_s, PUSH);
        let push = match notice.phone {
            Phone::Notice => {
                let late = Dist::between(60.0, 900.0);
                Dist::Mixture(vec![(1.0 - notice.late_share, usual), (notice.late_share, late)])
            }
            _ => Dist::LogNormal { median: notice.page_s, factor95: TRIP_FACTOR },
        };
        let heard = vec![Step::new(Stage::Notice, Cause::Phone, push), hear()];
        let reach = Step::new(Stage::Reach, Cause::Person, spread(notice.reach_s, REACH));
        ways.push(Way { heard, seen: vec![reach, picture()] });
    }
    let mut weather = WEATHER;
    weather.down_share = net.outage_s.min(1.0 - weather.poor_share);
    if !notice.kept {
        weather.down_rest = None;
    }
    Chain { shared, ways, weather }
}

/// A camera that was off starts when it is asked; one that slept has started while the network was joined.
fn camera_s(key: &ChainKey) -> f64 {
    if key.mode == Rest::Joined { key.first_s } else { 0.0 }
}

/// The house as the table of faults wants it.
pub(crate) fn house(key: &ChainKey) -> House {
    House {
        feed: match key.supply {
            SupplyKind::Cells | SupplyKind::Bank => Feed::Cell,
            _ => Feed::Mains,
        },
        backup: key.notice.backup,
        acknowledges: key.acknowledges,
        sounder: match key.notice.sounder {
            Sounder::Open | Sounder::None => works::Sounder::None,
            Sounder::Page => works::Sounder::Served,
            Sounder::Device => works::Sounder::Direct,
            Sounder::Chime => works::Sounder::Wired,
        },
        phone: match key.notice.phone {
            Phone::None => PhoneWay::None,
            Phone::Notice => PhoneWay::Notice,
            Phone::HomePage => PhoneWay::HomePage,
        },
        keeps_press: key.notice.kept,
        release: None,
        key: true,
    }
}

/// Hours a year in which each part is down; camera, cell and lens as usual.
pub(crate) fn down_h(notice: &fields::Notice, net: &fields::Net) -> [f64; 9] {
    let mut hours = TYPICAL_DOWN_H;
    let stated =
        [notice.mains_off, net.outage_s, notice.internet_off, notice.service_off, 0.0, notice.phone_off];
    for (hours, share) in hours.iter_mut().zip(stated) {
        *hours = share * YEAR_H;
    }
    hours
}
