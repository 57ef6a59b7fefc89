//! stream: how large, how fast, and what limits it?

use super::{figure, fine, found, gap};
use crate::rule::{Budget, Check, Compute, Rule, Sense, Verdict};
use models::frames::chain::Link;
use quantity::show;
use station::choices::{PictureFormat, SupplyKind};

/// The figures.
pub(super) static RULES: &[Rule] = &[
    Rule {
        about: &["camera.size", "camera.quality", "camera.scene", "camera.busy"],
        source: "bits per pixel measured on CC0 pictures (checks/peers/jpeg_table.py)",
        ..figure(Budget::Stream, "frame_bytes", "picture by day", "B", |s, e| e.frames(s).median_b)
    },
    Rule {
        about: &["camera.night"],
        source: "as by day, x1.4 (1.05..2.2): typical, from memory",
        ..figure(Budget::Stream, "night_frame_bytes", "picture by night", "B", |s, e| e.frames(s).night_b)
    },
    Rule {
        code: "stream.rate",
        follows: &["stream.window"],
        sense: Sense::AtLeast,
        limit: Some(|s, _| s.rest.wanted_hz),
        about: &["rest.call_rate", "camera.size", "net.goodput", "camera.clock"],
        tries: &[
            "camera.quality",
            "camera.buffers",
            "net.power_save",
            "net.window",
            "camera.clock",
            "camera.size",
            "camera.format",
        ],
        source: "the slowest of readout, exposure, encoding, copying and uplink",
        says: |f| {
            let link = link_words(f.engine.rate(&f.plan.station).limit);
            // With one buffer the links take turns, and their times add up.
            let why = match f.plan.station.camera.buffers {
                1 => format!("with one buffer the links take turns, {link} the longest"),
                _ => format!("{link} limits"),
            };
            format!(
                "{} pictures a second in a call, {} are wanted; {why}: {}",
                short(f.value),
                short(f.limit),
                gap(f, Sense::AtLeast, "1/s")
            )
        },
        ..figure(Budget::Stream, "call_rate", "pictures a second in a call", "1/s", |s, e| e.rate(s).call_hz)
    },
    link("readout_rate", "  the sensor's readout allows", |s, e| e.rate(s).links[0].1),
    link("exposure_rate", "  the exposure allows", |s, e| e.rate(s).links[1].1),
    Rule {
        applies: |plan| plan.station.camera.format == PictureFormat::Raw || !plan.station.sensor.jpeg,
        ..link("encode_rate", "  compressing in software allows", |s, e| e.rate(s).links[2].1)
    },
    link("copy_rate", "  copying in the chip allows", |s, e| e.rate(s).links[3].1),
    link("uplink_rate", "  the way up allows", |s, e| e.rate(s).links[4].1),
    Rule {
        applies: |plan| plan.station.rest.idle_every_s.is_finite(),
        about: &["rest.idle_every"],
        source: "computed",
        ..figure(Budget::Stream, "idle_rate", "pictures a second between calls", "1/s", |s, _| {
            1.0 / s.rest.idle_every_s
        })
    },
    Rule {
        code: "stream.slow-source",
        sense: Sense::AtLeast,
        limit: Some(|s, _| s.rest.night_hz),
        about: &["camera.longest_exposure", "sensor.night_stretch", "rest.night_rate", "sensor.jpeg"],
        tries: &["camera.longest_exposure", "camera.clock", "camera.size", "camera.format"],
        source: "no more frames than exposures; night modes stretch a frame 2 to 8 times: typical, from memory",
        says: |f| {
            format!(
                "{} pictures a second in the dark, {} are wanted: {}; exposures are long and night modes stretch the frame",
                short(f.value),
                short(f.limit),
                gap(f, Sense::AtLeast, "1/s")
            )
        },
        ..figure(Budget::Stream, "night_rate", "pictures a second in the dark", "1/s", |s, e| {
            e.rate(s).night_hz
        })
    },
    Rule {
        code: "stream.window",
        sense: Sense::AtLeast,
        limit: Some(|s, e| e.frames(s).median_b * 8.0 * s.rest.wanted_hz),
        about: &["net.window", "net.round_trip", "net.power_save", "net.goodput"],
        tries: &["net.power_save", "net.window", "camera.quality", "camera.size"],
        source: "one window a round trip (textbook), or the air's share, whichever is less",
        says: |f| {
            let rate = f.engine.rate(&f.plan.station);
            let why = if rate.window_bit_s <= rate.goodput_bit_s {
                format!(
                    "{} in flight over the round trip, not the air, limit it",
                    show(f.plan.station.net.window_b, "B")
                )
            } else {
                "the air limits it".into()
            };
            format!(
                "the way up carries {}; the wanted pictures need {}: {}; {why}",
                show(f.value, "bit/s"),
                show(f.limit, "bit/s"),
                gap(f, Sense::AtLeast, "bit/s")
            )
        },
        ..figure(Budget::Stream, "goodput", "what the way up carries", "bit/s", |s, e| {
            e.rate(s).goodput_bit_s
        })
    },
];

/// The rate of one link of the chain.
const fn link(name: &'static str, title: &'static str, value: Compute) -> Rule {
    Rule {
        source: "rate of one link of the chain",
        about: &["camera.size", "net.goodput"],
        ..figure(Budget::Stream, name, title, "1/s", value)
    }
}

fn short(hz: f64) -> String {
    if hz >= 10.0 { format!("{hz:.0}") } else { format!("{hz:.1}") }
}

/// A link in words.
fn link_words(link: Link) -> &'static str {
    match link {
        Link::Readout => "the sensor's readout",
        Link::Exposure => "the exposure",
        Link::Encode => "compressing in software",
        Link::Copy => "copying in the chip",
        Link::Uplink => "the way up to the service",
    }
}

/// The checks.
pub(super) static CHECKS: &[Check] = &[
    Check {
        budget: Budget::Stream,
        code: "stream.clock",
        tries: &["camera.clock"],
        look: |plan, engine| {
            let s = &plan.station;
            let (now, stated) = (s.camera.clock_hz, s.sensor.clock_hz);
            let rate = engine.rate(s);
            if now < 0.999 * stated && rate.limit == Link::Readout && rate.call_hz < s.rest.wanted_hz {
                return found(
                    Verdict::Tight,
                    "camera.clock",
                    format!(
                        "a camera clock of {} instead of {} costs {:.0} % of the frame rate and skews moving faces as much more",
                        show(now, "Hz"),
                        show(stated, "Hz"),
                        100.0 * (1.0 - now / stated)
                    ),
                    "weigh it against the radio: 24 MHz leaves channels 1, 6 and 11 clear",
                );
            }
            fine()
        },
    },
    Check {
        budget: Budget::Stream,
        code: "stream.pre-roll",
        tries: &["rest.pre_roll"],
        look: |plan, _| {
            let s = &plan.station;
            if s.rest.pre_roll_s <= 0.0 {
                return fine();
            }
            let cells = s.supply.kind == SupplyKind::Cells;
            found(
                if cells { Verdict::Over } else { Verdict::Tight },
                "rest.pre_roll",
                format!(
                    "{} of pre-roll means that the station streams without end: power, heat, air and privacy are those of a call that never stops",
                    show(s.rest.pre_roll_s, "s")
                ),
                if cells { "none on cells" } else { "one picture a second is pre-roll enough, or none" },
            )
        },
    },
    Check {
        budget: Budget::Stream,
        code: "stream.software",
        tries: &["camera.size"],
        look: |plan, _| {
            let s = &plan.station;
            if s.camera.format == PictureFormat::Raw || !s.sensor.jpeg {
                return found(
                    Verdict::Tight,
                    if s.sensor.jpeg { "camera.format" } else { "sensor.jpeg" },
                    "the chip compresses pictures itself: 0.5 to 5 a second at 640x480",
                    "choose JPEG from the sensor where it can",
                );
            }
            fine()
        },
    },
];
