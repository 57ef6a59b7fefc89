//! memory: what picture can the board hold?

use super::{Stages, always, figure, fine, found, gap, percent};
use crate::rule::{Budget, Check, Rule, Sense, Verdict};
use quantity::show;
use station::choices::{BufferPlace, PictureFormat};
use station::plan::Plan;

const SIZE: &[&str] =
    &["camera.size", "camera.buffers", "camera.format", "camera.place", "board.extra_memory", "chip.free"];
const CURES: &[&str] = &["camera.buffers", "camera.size", "camera.format", "camera.place", "board.sheet"];

/// The figures.
pub(super) static RULES: &[Rule] = &[
    Rule {
        code: "memory.frame-buffer",
        limit: Some(|s, e| e.room(s).limit_b),
        wanted: 0.05,
        about: SIZE,
        tries: CURES,
        source: "driver reserve of a fifth of a byte a pixel, or two bytes a pixel raw: typical, from memory",
        says: |f| {
            let s = &f.plan.station;
            let buffers = if s.camera.buffers == 1 {
                "one buffer".into()
            } else {
                format!("{} buffers", s.camera.buffers)
            };
            let room = match s.camera.buffers {
                _ if f.engine.room(s).extra => "are free of extra memory",
                1 => "are free inside the chip",
                _ => "are all that its free pieces hold of such buffers",
            };
            format!(
                "{} in {buffers} needs {}; {} {room}: {}",
                s.camera.size,
                show(f.value, "B"),
                show(f.limit, "B"),
                gap(f, Sense::AtMost, "B")
            )
        },
        ..figure(Budget::Memory, "frame_buffers", "frame buffers", "B", |s, e| e.room(s).frames_b)
    },
    Rule {
        code: "memory.largest-block",
        follows: &["memory.frame-buffer"],
        limit: Some(|s, e| e.room(s).block_b),
        wanted: 0.05,
        about: &["camera.size", "chip.largest_block", "chip.free"],
        tries: CURES,
        source: "a buffer needs one piece; share of the largest piece typical, from memory",
        says: |f| {
            format!(
                "one buffer needs {} in one piece; the largest free piece has {}: {}",
                show(f.value, "B"),
                show(f.limit, "B"),
                gap(f, Sense::AtMost, "B")
            )
        },
        ..figure(Budget::Memory, "largest_buffer", "largest buffer, in one piece", "B", |s, e| {
            e.room(s).one_b
        })
    },
    Rule {
        code: "memory.frame-truncated",
        applies: jpeg,
        limit: Some(|s, _| s.want.truncated),
        about: &["camera.quality", "camera.size", "camera.scene", "camera.night", "camera.busy"],
        tries: &["camera.quality", "camera.size"],
        source: "size model measured on CC0 pictures; night noise x1.4 (1.05..2.2) typical, from memory",
        says: |f| {
            let reserve = show(f.engine.frames(&f.plan.station).reserve_b, "B");
            let often = match f.fits {
                Some(fits) if !f.over => format!("in {} such builds no more", super::in_builds(fits)),
                _ => format!("here {}", percent(f.value)),
            };
            format!(
                "a frame larger than the {reserve} that the driver sets aside arrives cut off; at night up to {} is wanted, {often}",
                percent(f.limit)
            )
        },
        ..figure(Budget::Memory, "truncated_share", "frames cut off at night", "1", |s, e| {
            e.frames(s).truncated
        })
    },
    Rule {
        code: "memory.low-water",
        follows: &["memory.frame-buffer", "memory.largest-block"],
        sense: Sense::AtLeast,
        limit: Some(|_, _| LOW_WATER_B),
        about: &["chip.free", "camera.size", "camera.buffers", "net.tls", "net.sessions"],
        tries: &["camera.buffers", "net.sessions", "camera.size", "camera.place", "board.sheet"],
        source: "plan at least 20 kB free at the lowest: typical, from memory",
        says: |f| {
            format!(
                "with frames held{} only {} stay free; {} keep a station from restarting after days: {}",
                if f.plan.station.net.tls { " and a handshake going on" } else { "" },
                show(f.value.max(0.0), "B"),
                show(f.limit, "B"),
                gap(f, Sense::AtLeast, "B")
            )
        },
        ..figure(Budget::Memory, "low_water", "free memory at its lowest", "B", |s, e| e.room(s).low_water_b)
    },
    Rule {
        code: "memory.secure-session",
        applies: |plan| plan.station.net.tls,
        sense: Sense::AtLeast,
        limit: Some(|s, e| e.room(s).session_need_b),
        about: &["net.tls", "net.tls_memory", "camera.size"],
        tries: &["camera.buffers", "camera.size", "camera.place", "board.sheet"],
        source: "35 to 50 kB a handshake, 17 of 42 in one piece, largest block falls a fifth in weeks: typical, from memory",
        says: |f| {
            format!(
                "a handshake needs {} in one piece while a frame is held; after some weeks {} are left: {}",
                show(f.limit, "B"),
                show(f.value.max(0.0), "B"),
                gap(f, Sense::AtLeast, "B")
            )
        },
        ..figure(Budget::Memory, "session_block", "piece left for a handshake", "B", |s, e| {
            e.room(s).session_b
        })
    },
    Rule {
        code: "memory.bus",
        applies: |plan| {
            plan.station.board.extra_memory_b > 0.0 && plan.station.camera.place != BufferPlace::Internal
        },
        limit: Some(|_, _| models::memory::BUS_SHARE),
        about: &["camera.format", "board.extra_bus", "camera.clock", "camera.size"],
        tries: &["camera.format", "camera.clock", "camera.size"],
        source: "sensor, network and program fetches together up to half of the bus's peak: typical, from memory",
        says: |f| {
            format!(
                "sensor, network and program together take {} of the extra memory's bus; up to {} works: {}",
                percent(f.value),
                percent(f.limit),
                gap(f, Sense::AtMost, "%")
            )
        },
        ..figure(Budget::Memory, "bus_share", "share of the memory bus", "1", |s, e| {
            let (frames, rate) = (e.frames(s), e.rate(s));
            // A sensor that cannot compress writes raw frames, whatever the plan asks for.
            let raw = s.camera.format == PictureFormat::Raw || !s.sensor.jpeg;
            let frame_b = if raw { frames.buffer_b } else { frames.median_b };
            let bus = models::memory::Bus {
                peak_b_s: s.board.extra_bus_b_s,
                sensor_b_s: frame_b * rate.sensor_hz,
                network_b_s: frame_b * rate.call_hz,
                fetch_b_s: s.chip.program_b_s,
            };
            bus.share()
        })
    },
];

/// Least memory that should stay free: typical, from memory.
pub(crate) const LOW_WATER_B: f64 = 20_000.0;

fn jpeg(plan: &Plan) -> bool {
    plan.station.camera.format == PictureFormat::Jpeg && plan.station.sensor.jpeg && always(plan)
}

/// The checks.
pub(super) static CHECKS: &[Check] = &[
    Check {
        budget: Budget::Memory,
        code: "memory.no-jpeg",
        tries: &["camera.format", "board.sheet"],
        look: |plan, _: Stages<'_, '_>| {
            if plan.station.camera.format == PictureFormat::Jpeg && !plan.station.sensor.jpeg {
                return found(
                    Verdict::Tight,
                    "camera.format",
                    "the sensor cannot compress: each buffer holds a raw frame, and the chip compresses in software",
                    "choose a sensor with JPEG, or a small picture",
                );
            }
            fine()
        },
    },
    Check {
        budget: Budget::Memory,
        code: "memory.size",
        tries: &["camera.size"],
        look: |plan, _| {
            let s = &plan.station;
            let (columns, rows) = (s.sensor.columns_px, s.sensor.rows_px);
            if f64::from(s.camera.size.width_px) > columns || f64::from(s.camera.size.height_px) > rows {
                return found(
                    Verdict::Over,
                    "camera.size",
                    format!("{} is larger than the sensor's {columns}x{rows}", s.camera.size),
                    "choose a size that the sensor has",
                );
            }
            fine()
        },
    },
];
