//! The way from the access point to the station, loss by loss: for a drawing, which asks for it by name.

use super::{AirKey, between, gain_dbi, link, needs, way};
use models::radio::air::Airtimes;
use models::radio::link::Link;
use models::radio::rate::Mcs;

/// What the signal meets.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Meets {
    /// So much distance, m, through what kind of building.
    Distance(f64),
    /// So many floors.
    Floors(u32),
    /// The wall with this number, from 1.
    Wall(u32),
    /// Foil.
    Foil,
    /// Coated glass.
    Coated,
    /// The station's antenna where it hangs.
    Antenna,
    /// This place against others of its kind.
    Place,
    /// All of it at once, as read at the place.
    Read,
}

/// One way of the two.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RadioWay {
    /// Sent, dBm.
    pub sent_dbm: f64,
    /// Arriving, dBm, the median over time.
    pub arrives_dbm: f64,
    /// What the receiver needs there at the rate of the stream, dBm, noise and own clock counted.
    pub needs_dbm: f64,
}

/// The way with its losses.
#[derive(Clone, Debug, PartialEq)]
pub struct RadioPath {
    /// From the access point to the station: what is met, and the change of level, dB (a loss is negative).
    pub steps: Vec<(Meets, f64)>,
    /// To the station.
    pub down: RadioWay,
    /// To the access point: the stream.
    pub up: RadioWay,
    /// The rate that the stream needs, of 0 to 7.
    pub rate: u8,
    /// Fading over time, sigma in dB.
    pub fading_db: f64,
    /// Of `down.needs_dbm`, what the camera's clock costs, dB.
    pub clock_loss_db: f64,
}

/// `None` where the way is not told or outside the model.
pub(in crate::physics) fn path(key: &AirKey, times: &Airtimes) -> Option<RadioPath> {
    let (radio, router) = (&key.radio, &key.router);
    let link = link(radio, router, &key.wall, key.clock_hz)?;
    if !key.wanted_bit_s.is_finite() {
        return None;
    }
    let rate = needs(&link, times, key.wanted_bit_s);
    let steps = if radio.rssi_dbm.is_finite() {
        vec![(Meets::Read, link.down_dbm - link.ap_dbm)]
    } else {
        let (way_db, floors_db) = way(radio, router)?;
        let mut steps = vec![(Meets::Distance(radio.distance_m), -way_db)];
        if floors_db > 0.0 {
            steps.push((Meets::Floors(radio.floors), -floors_db));
        }
        steps.extend(between(radio, router, &key.wall)?);
        steps.push((Meets::Antenna, gain_dbi(radio)));
        if radio.shadowing_db != 0.0 {
            steps.push((Meets::Place, radio.shadowing_db));
        }
        steps
    };
    Some(RadioPath { steps, rate: rate.number(), fading_db: link.fading_sigma_db, ..ways(&link, rate) })
}

fn ways(link: &Link, rate: Mcs) -> RadioPath {
    let (down_dbm, up_dbm) = (link.down_dbm, link.up_dbm(rate));
    RadioPath {
        steps: Vec::new(),
        down: RadioWay {
            sent_dbm: link.ap_dbm,
            arrives_dbm: down_dbm,
            needs_dbm: down_dbm - link.down_margin_db(rate),
        },
        up: RadioWay {
            sent_dbm: up_dbm - down_dbm + link.ap_dbm,
            arrives_dbm: up_dbm,
            needs_dbm: up_dbm - link.up_margin_db(rate),
        },
        rate: 0,
        fading_db: 0.0,
        clock_loss_db: link.clock_loss_db,
    }
}
