//! Answers to questions that a verdict does not ask by itself: the best place for the camera, the sizes that fit.
//!
//! On request only: the first costs some thousand views. Nominal station, no draws; a change taken from here is judged
//! by the next check.

use crate::physics::{self, Engine, Hoisted};
use models::luck::Luck;
use models::view::mounting::{Allowed, best_mounting};
use serde::Serialize;
use station::choices::PictureFormat;
use station::plan::Plan;
use std::collections::BTreeMap;

/// How far a camera may be tilted or turned in an ordinary case, rad: ours.
const TILT_RAD: f64 = 0.7;

/// The mounting that lets most callers be seen whole at the wanted class.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BestMounting {
    /// Height of the lens, m.
    pub height_m: f64,
    /// Tilt above the horizon, rad.
    pub tilt_rad: f64,
    /// Turn to the caller's right, rad.
    pub turn_rad: f64,
    /// Share of callers seen whole at the wanted class as planned.
    pub share_now: f64,
    /// The same at the best mounting.
    pub share_best: f64,
    /// The changes of the plan that make it so, rounded to what can be measured on a wall.
    pub set: BTreeMap<&'static str, String>,
}

/// Finds the best mounting between `camera.lowest` and `camera.highest`.
pub fn mounting(plan: &Plan) -> BestMounting {
    let s = &plan.station;
    let hoisted = Hoisted::default();
    let mut engine = Engine::new(s, &plan.parts, &hoisted, Luck::Mean);
    let input = physics::view_input(&s.lens, &s.sensor, &s.camera, &s.callers, &s.want);
    let allowed = Allowed {
        height_m: [s.camera.lowest_m, s.camera.highest_m.max(s.camera.lowest_m)],
        tilt_rad: [-TILT_RAD, TILT_RAD],
        turn_rad: [-TILT_RAD, TILT_RAD],
    };
    let best = best_mounting(&input, engine.callers(), &allowed);
    let tilt_rad = best.pose.tilt_rad - s.camera.aim_rad;
    let turn_rad = best.pose.turn_rad - s.camera.swing_rad;
    // Adding zero turns -0 into 0.
    let degrees = |angle_rad: f64| format!("{:.0} deg", angle_rad.to_degrees().round() + 0.0);
    BestMounting {
        height_m: best.pose.height_m,
        tilt_rad,
        turn_rad,
        set: BTreeMap::from([
            ("camera.height", format!("{:.2} m", best.pose.height_m)),
            ("camera.tilt", degrees(tilt_rad)),
            ("camera.turn", degrees(turn_rad)),
        ]),
        share_now: engine.view(s).identified_share,
        share_best: best.view.identified_share,
    }
}

/// Whether one picture size fits, and at what.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SizeRow {
    /// The size.
    pub size: String,
    /// Bytes of one buffer.
    pub buffer_b: f64,
    /// How many buffers fit, at most 4.
    pub buffers: u32,
    /// Finest quality number, 4 to 63, at which the night's frames stay within the reserve; none where none does.
    pub quality: Option<u32>,
    /// Extra memory that one buffer more than fits would need, B; nothing where two fit.
    pub extra_needed_b: f64,
}

/// Sizes from small to large with the buffers and the quality that they allow on this board.
pub fn sizes(plan: &Plan) -> Vec<SizeRow> {
    let hoisted = Hoisted::default();
    let mut engine = Engine::new(&plan.station, &plan.parts, &hoisted, Luck::Mean);
    let array = (plan.station.sensor.columns_px, plan.station.sensor.rows_px);
    let mut rows = Vec::new();
    for &(width, height) in crate::remedies::SIZES {
        if f64::from(width) > array.0 || f64::from(height) > array.1 {
            continue;
        }
        let mut s = plan.station;
        s.camera.size = quantity::Size { width_px: width, height_px: height };
        let fits = |engine: &mut Engine<'_>, buffers: u32| {
            let mut s = s;
            s.camera.buffers = buffers;
            let room = engine.room(&s);
            room.frames_b <= room.limit_b
                && room.one_b <= room.block_b
                && room.low_water_b >= crate::rules::LOW_WATER_B
        };
        let buffers = (1..=4).take_while(|&buffers| fits(&mut engine, buffers)).last().unwrap_or(0);
        let raw = s.camera.format == PictureFormat::Raw || !s.sensor.jpeg;
        let quality = (!raw).then(|| {
            (4..=63).find(|&quality| {
                s.camera.quality = quality;
                engine.frames(&s).truncated <= s.want.truncated
            })
        });
        let one_b = engine.room(&s).one_b;
        rows.push(SizeRow {
            size: s.camera.size.to_string(),
            buffer_b: one_b,
            buffers,
            quality: quality.flatten(),
            extra_needed_b: if buffers >= 2 { 0.0 } else { one_b * f64::from(buffers + 1) },
        });
    }
    rows
}
