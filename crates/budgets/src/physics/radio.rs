//! The stage from the access point to the stream: signal both ways, margins, goodput over fading, what holds.
//!
//! A reading at the place replaces the model of the way (loss, walls, antenna, shadowing), not the fading over time.
//! Nothing here knows how much is enough.

mod path;

pub use path::{Meets, RadioPath, RadioWay};

pub(super) use path::path;

use super::Frames;
use models::radio::air::Airtimes;
use models::radio::antenna::METAL_REACH_M;
use models::radio::channel::centre_hz;
use models::radio::clock::in_channel;
use models::radio::link::Link;
use models::radio::loss::{Building, free_space_db};
use models::radio::place::Place;
use models::radio::policy::BEACON_S;
use models::radio::rate::Mcs;
use models::radio::slab::{Material, Polarisation, ROUND_DB, Slab, parallel_db, walls_db};
use station::choices::{self, Antenna};
use station::fields::{self, Station};

/// Bytes of a full packet's payload: what is left of 1,500 by the headers of TCP over IP (textbook).
pub(super) const PAYLOAD_B: f64 = 1460.0;
/// Channel whose frequency stands for the band where the access point chooses by itself.
const MIDDLE: u8 = 6;
/// The channels that do not overlap, which an access point that chooses by itself mostly takes (typical, from memory).
const USUAL: [u8; 3] = [1, 6, 11];

/// All that the stage depends on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct AirKey {
    radio: fields::Radio,
    router: fields::Router,
    wall: fields::Wall,
    clock_hz: f64,
    wanted_bit_s: f64,
}

impl AirKey {
    /// Of a station whose pictures have these sizes.
    pub(crate) fn new(s: &Station, frames: &Frames) -> Self {
        Self {
            radio: s.radio,
            router: s.router,
            wall: s.wall,
            clock_hz: s.camera.clock_hz,
            wanted_bit_s: 8.0 * frames.median_b * s.rest.wanted_hz,
        }
    }
}

/// What the radio carries.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    /// Median power at the station, dBm: the number on the screen.
    pub down_dbm: f64,
    /// Median power at the access point at the rate that the stream needs, dBm.
    pub up_dbm: f64,
    /// Margin at that rate, the worse direction, dB.
    pub margin_db: f64,
    /// Payload upward, mean over time, in the air that others leave, bit/s.
    pub mean_bit_s: f64,
    /// Least that is there 95 % of the time, bit/s.
    pub low_bit_s: f64,
    /// Share of all air that the wanted pictures take.
    pub air_share: f64,
    /// Share of the time in which the wanted pictures get through.
    pub holds_share: f64,
    /// Longest that a command waits for a radio that saves power, s.
    pub command_s: f64,
}

impl Air {
    /// The way is not told.
    pub const NOT_KNOWN: Self = Self {
        down_dbm: f64::NAN,
        up_dbm: f64::NAN,
        margin_db: f64::NAN,
        mean_bit_s: f64::NAN,
        low_bit_s: f64::NAN,
        air_share: f64::NAN,
        holds_share: f64::NAN,
        command_s: f64::NAN,
    };
}

pub(super) fn air(key: &AirKey, times: &Airtimes) -> Air {
    let Some(link) = link(&key.radio, &key.router, &key.wall, key.clock_hz) else { return Air::NOT_KNOWN };
    if !key.wanted_bit_s.is_finite() {
        return Air::NOT_KNOWN;
    }
    let rate = needs(&link, times, key.wanted_bit_s);
    let goodput = link.goodput(times);
    Air {
        down_dbm: link.down_dbm,
        up_dbm: link.up_dbm(rate),
        margin_db: link.margin_db(rate),
        mean_bit_s: goodput.mean_bit_s,
        low_bit_s: goodput.low_bit_s,
        air_share: link.air_share(times, key.wanted_bit_s),
        holds_share: link.holds_share(times, key.wanted_bit_s),
        command_s: f64::from(key.router.dtim) * BEACON_S * f64::from(key.radio.listen),
    }
}

/// The slowest rate that carries the stream, or the fastest where none does.
pub(crate) fn needs(link: &Link, times: &Airtimes, wanted_bit_s: f64) -> Mcs {
    link.rate_for(times, wanted_bit_s).unwrap_or(Mcs::ALL[7])
}

/// Median link of a station; `None` where the way is not told or a value is outside the model.
pub(crate) fn link(
    radio: &fields::Radio,
    router: &fields::Router,
    wall: &fields::Wall,
    clock_hz: f64,
) -> Option<Link> {
    let place = if radio.rssi_dbm.is_finite() {
        Place::Measured { rssi_dbm: radio.rssi_dbm, offset_db: radio.rssi_offset_db }
    } else {
        Place::Modelled {
            gains_dbi: gain_dbi(radio),
            loss_db: loss_db(radio, router, wall)?,
            shadowing_db: radio.shadowing_db,
        }
    };
    let link = Link {
        down_dbm: place.down_dbm(radio.ap_dbm),
        ap_dbm: radio.ap_dbm,
        low_rate_dbm: radio.low_rate_dbm,
        high_rate_dbm: radio.high_rate_dbm,
        fading_sigma_db: radio.fading_db,
        better_db: radio.better_db,
        noise_rise_db: radio.noise_db,
        clock_loss_db: if hit(clock_hz, router.channel) { radio.clock_loss_db } else { 0.0 },
        busy: radio.busy,
    };
    link.check().ok().map(|()| link)
}

/// Gain of the station's antenna where it hangs, dBi.
fn gain_dbi(radio: &fields::Radio) -> f64 {
    match radio.antenna {
        Antenna::Outside => radio.outside_dbi,
        // No metal given: none near.
        Antenna::Printed if radio.metal_m < METAL_REACH_M => radio.by_metal_dbi,
        Antenna::Printed => radio.case_dbi,
    }
}

/// Loss of the way with what stands in it, dB.
fn loss_db(radio: &fields::Radio, router: &fields::Router, wall: &fields::Wall) -> Option<f64> {
    let (way_db, floors_db) = way(radio, router)?;
    let between_db: f64 = between(radio, router, wall)?.iter().map(|(_, change_db)| change_db).sum();
    Some(way_db + floors_db - between_db)
}

fn freq_hz(router: &fields::Router) -> Option<f64> {
    let channel = u8::try_from(router.channel).ok().filter(|channel| *channel > 0).unwrap_or(MIDDLE);
    centre_hz(channel).ok()
}

/// Loss of the distance, and of the floors between, dB.
fn way(radio: &fields::Radio, router: &fields::Router) -> Option<(f64, f64)> {
    let freq_hz = freq_hz(router)?;
    let building = match radio.building {
        choices::Building::Flat => Building::Flat,
        choices::Building::House => Building::House,
        choices::Building::Office => Building::Office,
        choices::Building::Commercial => Building::Commercial,
        choices::Building::Open => return Some((free_space_db(freq_hz, radio.distance_m).ok()?, 0.0)),
    };
    let all_db = building.loss_db(freq_hz, radio.distance_m, radio.floors).ok()?;
    let way_db = building.loss_db(freq_hz, radio.distance_m, 0).ok()?;
    Some((way_db, all_db - way_db))
}

/// What stands in the way, one behind the other, and what each changes, dB: less and less, since there is a way round.
fn between(radio: &fields::Radio, router: &fields::Router, wall: &fields::Wall) -> Option<Vec<(Meets, f64)>> {
    let freq_hz = freq_hz(router)?;
    let material = Material { a: wall.eta_a, b: wall.eta_b, c: wall.sigma_c, d: wall.sigma_d };
    let walls = vec![Slab { material, thickness_m: wall.thickness_m }; radio.walls as usize];
    let mut steps = Vec::new();
    let mut so_far_db = 0.0;
    let mut to = |meets, loss_db: f64| {
        steps.push((meets, so_far_db - loss_db));
        so_far_db = loss_db;
    };
    for number in 1..=radio.walls {
        let loss_db = walls_db(&walls[..number as usize], freq_hz, 0.0, Polarisation::Mixed).ok()?;
        to(Meets::Wall(number), loss_db);
    }
    let walls_db = walls_db(&walls, freq_hz, 0.0, Polarisation::Mixed).ok()?;
    let mut lined_db = walls_db;
    for (is, loss_db, meets) in
        [(radio.foil, radio.foil_db, Meets::Foil), (radio.coated, radio.coated_db, Meets::Coated)]
    {
        if is {
            lined_db += loss_db;
            to(meets, parallel_db(lined_db, ROUND_DB));
        }
    }
    Some(steps)
}

/// Whether a multiple of the camera clock lies in the channel, or in one of the usual ones where it is not told.
fn hit(clock_hz: f64, channel: u32) -> bool {
    let hits = |channel: u8| in_channel(clock_hz, channel).is_ok_and(|hits| !hits.is_empty());
    match u8::try_from(channel) {
        Ok(channel) if channel > 0 => hits(channel),
        _ => USUAL.into_iter().any(hits),
    }
}
