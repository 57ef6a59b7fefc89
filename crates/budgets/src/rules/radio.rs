//! radio: does it carry?
//!
//! Silent until the plan tells the way to the access point or a reading at the place.

use super::{Stages, clause, figure, fine, found, gap, percent};
use crate::physics;
use crate::rule::{Budget, Check, Found, Rule, Sense, Verdict};
use models::radio::antenna::{METAL_REACH_M, SPACER_M};
use models::radio::channel::{Choice, Region, Seen, seen};
use models::radio::clock::{self, in_channel};
use models::radio::link::Link;
use models::radio::policy::{Bite, Network, Security, Stack, bites};
use models::radio::rate::Mcs;
use quantity::show;
use station::choices::{self, Antenna, Rest};
use station::fields::Station;
use station::plan::Plan;

/// Standard deviations of fading that 99 minutes in 100 stay above (normal quantile, computed).
const FADE_SIGMAS: f64 = 2.326;
/// Longest that a command may wait, s: typical, from memory (0.1 to 1 s is the lag of a saving radio).
const COMMAND_S: f64 = 1.0;
/// What may be lost beyond the median by metal close behind, dB: -10 dBi, and -20 for the worst (typical, from memory).
const METAL_WORST_DB: f64 = 10.0;

/// Whether the plan tells the way.
fn told(plan: &Plan) -> bool {
    tells(&plan.station)
}

pub(crate) fn tells(s: &Station) -> bool {
    s.radio.distance_m.is_finite() || s.radio.rssi_dbm.is_finite()
}

fn modelled(s: &Station) -> bool {
    tells(s) && s.radio.rssi_dbm.is_nan()
}

fn saves(s: &Station) -> bool {
    s.net.power_save || s.rest.mode == Rest::Joined
}

/// What decides the signal.
const WAY: &[&str] = &["radio.rssi", "radio.distance", "radio.building", "radio.antenna", "radio.metal"];
/// What a maker can change about it.
const TURNS: &[&str] =
    &["camera.clock", "camera.quality", "router.channel", "radio.metal", "radio.antenna", "camera.size"];

/// The figures.
pub(super) static RULES: &[Rule] = &[
    Rule {
        applies: told,
        about: WAY,
        source: "ITU-R P.1238 with P.2040 walls, or the reading at the place",
        ..figure(Budget::Radio, "signal", "signal at the station (RSSI)", "dBm", |s, e| e.air(s).down_dbm)
    },
    Rule {
        applies: told,
        about: &["radio.power_low_rate", "radio.access_point_power", "radio.rssi", "radio.distance"],
        source: "signal at the station + its power - the access point's, at the rate that the stream needs",
        ..figure(Budget::Radio, "signal_up", "signal at the access point", "dBm", |s, e| e.air(s).up_dbm)
    },
    Rule {
        code: "radio.uplink",
        applies: told,
        follows: &["radio.case-metal"],
        sense: Sense::AtLeast,
        limit: Some(|s, _| FADE_SIGMAS * s.radio.fading_db),
        about: WAY,
        tries: TURNS,
        source: "signal over the standard's sensitivity, receivers 8 dB (4..14) better: typical, from memory; the worse direction",
        says: |f| {
            let air = f.engine.air(&f.plan.station);
            let signals = clause([air.down_dbm, air.up_dbm], |[down, up]| {
                format!(
                    "the station reads {}, the access point hears it with {}; ",
                    show(down, "dBm"),
                    show(up, "dBm")
                )
            });
            format!(
                "{signals}the worse way has {} of room, fading takes {} in one minute of a hundred: {}",
                show(f.value, "dB"),
                show(f.limit, "dB"),
                gap(f, Sense::AtLeast, "dB")
            )
        },
        to_do: |_| "an access point nearer to the door, or a wire".into(),
        ..figure(Budget::Radio, "fade_margin", "room for fading, the worse way", "dB", |s, e| {
            e.air(s).margin_db
        })
    },
    Rule {
        applies: told,
        about: &["radio.busy", "radio.rssi", "radio.distance"],
        source: "802.11n airtime with retries, mean over fading, in the air that others leave",
        ..figure(Budget::Radio, "radio_goodput", "what the radio carries upwards", "bit/s", |s, e| {
            e.air(s).mean_bit_s
        })
    },
    Rule {
        applies: told,
        about: &["radio.fading", "radio.busy"],
        source: "as the mean, at the fade of one minute in twenty",
        ..figure(Budget::Radio, "radio_goodput_low", "  95 % of the time at least", "bit/s", |s, e| {
            e.air(s).low_bit_s
        })
    },
    Rule {
        applies: told,
        about: &["rest.call_rate", "camera.size", "radio.rssi", "radio.distance"],
        source: "wanted picture bits over what all of the air would carry",
        ..figure(Budget::Radio, "air_taken", "share of the air in a call", "1", |s, e| e.air(s).air_share)
    },
    Rule {
        code: "radio.rate",
        applies: told,
        follows: &["radio.uplink", "radio.case-metal"],
        sense: Sense::AtLeast,
        limit: Some(|s, _| s.want.stream_share),
        about: &["radio.rssi", "radio.distance", "radio.busy", "rest.call_rate", "camera.size"],
        tries: TURNS,
        source: "share of fades at which goodput in the air left carries the wanted pictures",
        says: |f| {
            let s = &f.plan.station;
            let needs_bit_s = f.engine.frames(s).median_b * 8.0 * s.rest.wanted_hz;
            let why = floor_words(s, f.engine, needs_bit_s);
            format!(
                "{} of pictures get through {} of the time, {} is wanted; others use {} of the air{why}",
                show(needs_bit_s, "bit/s"),
                percent(f.value),
                percent(f.limit),
                percent(s.radio.busy)
            )
        },
        to_do: |_| {
            "fewer pictures a second or smaller ones; an access point nearer to the door; a quieter channel"
                .into()
        },
        ..figure(Budget::Radio, "stream_holds", "time in which the stream holds", "1", |s, e| {
            e.air(s).holds_share
        })
    },
    Rule {
        code: "radio.power-save",
        applies: |plan| told(plan) && saves(&plan.station),
        limit: Some(|_, _| COMMAND_S),
        about: &["router.dtim", "radio.listen", "net.power_save"],
        tries: &["radio.listen", "router.dtim", "net.power_save"],
        source: "deliveries x 102.4 ms x every how many are heard (IEEE 802.11, from memory)",
        says: |f| {
            format!(
                "a command to the station waits up to {} for its radio to listen, {} is felt as a fault",
                show(f.value, "s"),
                show(f.limit, "s")
            )
        },
        ..figure(Budget::Radio, "command_wait", "longest wait of a command", "s", |s, e| e.air(s).command_s)
    },
];

/// The nominal link, and what the stream needs of it.
fn nominal(s: &Station, engine: &mut crate::physics::Engine<'_>) -> Option<(Link, Mcs)> {
    let link = physics::link(&s.radio, &s.router, &s.wall, s.camera.clock_hz)?;
    let needs_bit_s = engine.frames(s).median_b * 8.0 * s.rest.wanted_hz;
    let rate = physics::needs(&link, engine.airtimes()?, needs_bit_s);
    Some((link, rate))
}

/// Says when only receivers better than the standard's floor make it.
fn floor_words(s: &Station, engine: &mut crate::physics::Engine<'_>, needs_bit_s: f64) -> String {
    let Some((link, _)) = nominal(s, engine) else { return String::new() };
    let floor = Link { better_db: 0.0, ..link };
    match engine.airtimes() {
        Some(times) => format!(
            "; with receivers no better than the standard asks: {}",
            percent(floor.holds_share(times, needs_bit_s))
        ),
        None => String::new(),
    }
}

/// The checks.
pub(super) static CHECKS: &[Check] = &[
    Check {
        budget: Budget::Radio,
        code: "radio.clock-harmonic",
        tries: &["camera.clock", "router.channel"],
        look: clock_harmonic,
    },
    Check {
        budget: Budget::Radio,
        code: "radio.case-metal",
        tries: &["radio.metal", "radio.antenna"],
        look: case_metal,
    },
    Check {
        budget: Budget::Radio,
        code: "radio.channel-13",
        tries: &["radio.highest_channel", "router.channel"],
        look: |plan, _| {
            let s = &plan.station;
            if !tells(s) {
                return fine();
            }
            let region = |highest: u32| if highest >= 13 { Region::Thirteen } else { Region::Eleven };
            let choice = match u8::try_from(s.router.channel) {
                Ok(0) | Err(_) => Choice::Automatic,
                Ok(channel) => Choice::Fixed(channel),
            };
            let own = s.radio.highest;
            match seen(region(own), region(s.router.highest), choice) {
                Seen::Always => fine(),
                Seen::UntilItMoves => found(
                    Verdict::Tight,
                    "radio.highest_channel",
                    format!(
                        "the station looks at channels 1 to {own}; the access point chooses by itself up to {}: gone since the router restarted",
                        s.router.highest
                    ),
                    "set the station's region, or hold the access point on 1, 6 or 11",
                ),
                Seen::Never => found(
                    Verdict::Over,
                    "radio.highest_channel",
                    format!(
                        "the station looks at channels 1 to {own}; the access point is on {}: it is never seen",
                        s.router.channel
                    ),
                    "set the station's region, or hold the access point on 1, 6 or 11",
                ),
            }
        },
    },
    Check {
        budget: Budget::Radio,
        code: "radio.policy",
        tries: &["router.isolates", "router.security", "radio.multicast_name", "router.band_steering"],
        look: policy,
    },
];

/// A multiple of the camera clock in the channel, told where its worst loss would leave too little room.
fn clock_harmonic(plan: &Plan, engine: Stages<'_, '_>) -> Vec<Found> {
    let s = &plan.station;
    let Some((link, rate)) = nominal(s, engine).filter(|_| tells(s)) else { return fine() };
    let hummed = Link { clock_loss_db: clock::LOSS_DB[2], ..link };
    if link.clock_loss_db == 0.0 || hummed.margin_db(rate) >= FADE_SIGMAS * link.fading_sigma_db {
        return fine();
    }
    let channels: Vec<u8> = match u8::try_from(s.router.channel) {
        Ok(channel) if channel > 0 => vec![channel],
        _ => vec![1, 6, 11],
    };
    let hits = channels.iter().filter_map(|channel| in_channel(s.camera.clock_hz, *channel).ok()).flatten();
    let hits: Vec<String> = hits
        .map(|hit| {
            format!(
                "{} x in channel {}, {:+.0} MHz off its middle",
                hit.harmonic,
                hit.channel,
                hit.offset_hz / 1e6
            )
        })
        .collect();
    found(
        Verdict::Tight,
        "camera.clock",
        format!(
            "multiples of the camera clock of {} lie in the channel ({}): 3 dB (0 to 12) lost while the camera runs, shown in retries and not in the signal",
            show(s.camera.clock_hz, "Hz"),
            hits.join("; ")
        ),
        "count retries with the camera on and off; 24 MHz leaves 1, 6 and 11 clear; lead the ribbon away from the antenna",
    )
}

/// Metal behind a printed antenna, or foil in the way, where it leaves too little room. A reading has both in it.
fn case_metal(plan: &Plan, engine: Stages<'_, '_>) -> Vec<Found> {
    let s = &plan.station;
    let Some((link, rate)) = nominal(s, engine).filter(|_| modelled(s)) else { return fine() };
    let room_db = link.margin_db(rate) - FADE_SIGMAS * link.fading_sigma_db;
    if s.radio.antenna == Antenna::Printed && s.radio.metal_m < METAL_REACH_M && room_db < METAL_WORST_DB {
        return found(
            if room_db < 0.0 { Verdict::Over } else { Verdict::Tight },
            "radio.metal",
            format!(
                "metal {} from the printed antenna: -10 dBi (-20 to -4) instead of -4; {} of room is left beyond fading",
                show(s.radio.metal_m, "m"),
                show(room_db, "dB")
            ),
            &format!("a spacer of {} or an antenna outside the case", show(SPACER_M, "m")),
        );
    }
    if (s.radio.foil || s.radio.coated) && room_db < METAL_WORST_DB {
        return found(
            if room_db < 0.0 { Verdict::Over } else { Verdict::Tight },
            if s.radio.foil { "radio.foil" } else { "radio.coated_glass" },
            format!(
                "{} in the way takes {}; {} of room is left beyond fading",
                if s.radio.foil { "foil" } else { "coated glass" },
                show(if s.radio.foil { s.radio.foil_db } else { s.radio.coated_db }, "dB"),
                show(room_db, "dB")
            ),
            "read the signal at the place before anything is fixed; an access point on this side of the wall",
        );
    }
    fine()
}

/// Rules of the network that bite, as far as the plan states them.
fn policy(plan: &Plan, _: Stages<'_, '_>) -> Vec<Found> {
    let s = &plan.station;
    if !tells(s) {
        return fine();
    }
    let network = Network {
        steers: s.router.steers,
        security: match s.router.security {
            choices::Security::Wpa2 => Security::Wpa2,
            choices::Security::Both => Security::Both,
            choices::Security::Wpa3 => Security::Wpa3,
        },
        isolates: s.router.isolates,
        one_subnet: !s.router.other_subnet,
        mesh: s.router.mesh,
    };
    let stack = Stack { sae: s.radio.sae, multicast_name: s.radio.multicast_name };
    // Each is a trial on the wall. The key exchange only takes time, which the timing budget counts.
    let says = |bite| match bite {
        Bite::Steering => Some((
            Verdict::Tight,
            "router.band_steering",
            "the router ignores the first calls of 2.4 GHz devices: joining takes 1 to 5 s longer",
            "a name of its own for 2.4 GHz; trial: 20 joins, each timed",
        )),
        Bite::Refused => Some((
            Verdict::Over,
            "router.security",
            "the router asks for WPA3 alone, and the station's program does not know it: it never joins",
            "WPA2 and WPA3 side by side, or a newer program on the station",
        )),
        Bite::Isolation => Some((
            Verdict::Over,
            "router.isolates",
            "those in this network may not reach each other: station and service never meet",
            "switch isolation off, or put both into one network; trial: fetch a picture from the service's machine",
        )),
        Bite::LostName => Some((
            Verdict::Over,
            "radio.multicast_name",
            "the service is sought by a multicast name, which ends at the border of the subnet",
            "write the service's address into the station",
        )),
        Bite::Sticky if s.radio.rssi_dbm.is_nan() => Some((
            Verdict::Tight,
            "router.mesh",
            "with several access points under one name the station may stay with a far one",
            "read the signal at the place over a day and write it into radio.rssi; bind the station to the nearest",
        )),
        Bite::Sticky | Bite::KeyExchange => None,
    };
    bites(&network, &stack)
        .into_iter()
        .filter_map(says)
        .flat_map(|(verdict, about, says, to_do)| found(verdict, about, says, to_do))
        .collect()
}
