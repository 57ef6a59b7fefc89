//! Answers to questions that a verdict does not ask by itself: the best place for the camera, the sizes that fit.
//!
//! On request only: the first costs some thousand views. Nominal station, no draws; a change taken from here is judged
//! by the next check.

use crate::physics::{self, Engine, Hoisted, MASK_CELLS, Watch};
use crate::rules::{HAND_M, lens_to_plate_m};
use models::ground::cast::{Patch, cast};
use models::ground::{Camera, FACE_M, Land, Mask, guard_px};
use models::luck::Luck;
use models::optics::classes::{Class, Edition};
use models::view::ViewInput;
use models::view::ladder::{PERSONS, Rung};
use models::view::mounting::{Allowed, best_mounting};
use models::view::section::{farthest_m, px_per_m_at, section};
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

/// The drawing of a door from the side: who stands there and what of them the picture holds. Nominal build.
#[derive(Clone, Debug, PartialEq)]
pub struct Elevation {
    /// Named heads from small to tall, each at the standing distance.
    pub ladder: [Rung; PERSONS],
    /// The edges of the picture.
    pub upper: Vec<[f64; 2]>,
    /// The lower one, likewise as metres out of the wall and above the ground.
    pub lower: Vec<[f64; 2]>,
    /// A contour for each class of the edition that the plan's class is of, coarsest first.
    pub contours: Vec<Contour>,
    /// That edition.
    pub edition: &'static str,
    /// Axis of the lens above the horizon as built, rad.
    pub tilt_rad: f64,
    /// Full angle seen across the picture, rad; none where the lens's law ends inside it.
    pub field_rad: Option<f64>,
    /// Density on a median caller's face, px/m.
    pub face_px_per_m: f64,
    /// Share of callers whose whole face is in the picture.
    pub whole_share: f64,
    /// Share of callers of whom that is true at the wanted class.
    pub class_share: f64,
    /// How far from the wall the ground is hidden right before the lens, m; none where all of it within 20 m is.
    pub hidden_m: Option<f64>,
    /// From lens to plate, m.
    pub apart_m: f64,
    /// Least distance at which a hand on the plate leaves the face free, m.
    pub hand_m: f64,
    /// Heights between which people who stand and who sit reach a plate, m.
    pub reach_m: [f64; 2],
}

/// Heights for what is worked by hand, m: 800 to 1,100 mm, ISO 21542, from memory.
pub(crate) const REACH_M: [f64; 2] = [0.8, 1.1];

/// A line on which a face has as many pixels a metre as a class asks for.
#[derive(Clone, Debug, PartialEq)]
pub struct Contour {
    /// The class's name.
    pub class: &'static str,
    /// Its density, px/m.
    pub px_per_m: f64,
    /// Whether the plan wants this one.
    pub wanted: bool,
    /// Its pieces; what the points are, the drawing tells.
    pub lines: Vec<Vec<[f64; 2]>>,
    /// The farthest distance at which a median adult's face has it, inside the picture, m; none where it nowhere has.
    pub farthest_m: Option<f64>,
}

/// What the drawing of a door needs, with lines traced to `reach_m` from the wall.
///
/// # Errors
/// Why there is no picture to draw.
pub fn elevation(plan: &Plan, reach_m: f64) -> Result<Elevation, &'static str> {
    let s = &plan.station;
    let input = seen_by(plan)?;
    let hoisted = Hoisted::default();
    let mut engine = Engine::new(s, &plan.parts, &hoisted, Luck::Mean);
    let view = engine.view(s);
    let (edition, classes) = classes(plan);
    let densities: Vec<f64> = classes.iter().map(|class| class.px_per_m).collect();
    let section = section(&input, reach_m, &densities);
    let adult = engine.callers().ladder().median_adult();
    let contours = classes.iter().zip(section.contours).map(|(class, lines)| Contour {
        class: class.name,
        px_per_m: class.px_per_m,
        wanted: class.name == s.want.class.name(),
        lines,
        farthest_m: farthest_m(&input, adult, class.px_per_m),
    });
    Ok(Elevation {
        ladder: view.ladder,
        upper: section.upper,
        lower: section.lower,
        contours: contours.collect(),
        edition,
        tilt_rad: input.pose.tilt_rad,
        field_rad: view.field_rad,
        face_px_per_m: view.face_px_per_m,
        whole_share: view.whole_face_share,
        class_share: view.identified_share,
        hidden_m: view.hidden_ground_m,
        apart_m: lens_to_plate_m(s),
        hand_m: HAND_M,
        reach_m: REACH_M,
    })
}

/// Density of a face that looks straight at the wall, at metres out of the wall and above the ground in the drawing's plane,
/// px/m; 0 beyond the lens's reach. What the contours of [`elevation`] are the places of.
///
/// # Errors
/// Why there is no picture.
pub fn face_px_per_m(plan: &Plan, point: [f64; 2]) -> Result<f64, &'static str> {
    Ok(px_per_m_at(&seen_by(plan)?, point))
}

/// The drawing of the ground before a door, for plans with a boundary.
#[derive(Clone, Debug, PartialEq)]
pub struct GroundPlan {
    /// The picture on the ground: metres along the wall and out of it, from the plate's foot.
    pub patches: Vec<Patch>,
    /// The edge of that ground.
    pub edges: Vec<Vec<[f64; 2]>>,
    /// Contours for a passer-by's face, [`FACE_M`] above the ground, that looks at the camera.
    pub contours: Vec<Contour>,
    /// The edition of the classes.
    pub edition: &'static str,
    /// Height of that face, m.
    pub face_m: f64,
    /// What the check judges.
    pub watch: Watch,
}

/// What the drawing of the ground needs.
///
/// # Errors
/// Why there is nothing to draw.
pub fn ground_plan(plan: &Plan) -> Result<GroundPlan, &'static str> {
    let s = &plan.station;
    if plan.parts.boundary.is_empty() {
        return Err("the plan tells no boundary: write [ground] boundary, the corners of your own ground");
    }
    let input = seen_by(plan)?;
    let camera = Camera { lens: input.lens, imager: input.imager, pose: input.pose };
    let land = Land { own: &plan.parts.boundary, far_m: s.ground.far_m };
    let guard = guard_px(&camera.lens, &camera.imager, s.ground.mask_rad);
    let mask = s.ground.masked.then(|| Mask::new(&camera, &land, guard, MASK_CELLS));
    let (edition, classes) = classes(plan);
    let densities: Vec<f64> = classes.iter().map(|class| class.px_per_m).collect();
    let cast = cast(&camera, &land, mask.as_ref(), &densities);
    let contours = classes.iter().zip(cast.contours).map(|(class, lines)| Contour {
        class: class.name,
        px_per_m: class.px_per_m,
        wanted: class.name == s.want.class.name(),
        farthest_m: None,
        lines,
    });
    let hoisted = Hoisted::default();
    let mut engine = Engine::new(s, &plan.parts, &hoisted, Luck::Mean);
    Ok(GroundPlan {
        patches: cast.patches,
        edges: cast.edges,
        contours: contours.collect(),
        edition,
        face_m: FACE_M,
        watch: engine.watch(s),
    })
}

/// Density of the face of somebody on the ground who looks at the camera, px/m; 0 out of the picture. What the contours of
/// [`ground_plan`] are the places of.
///
/// # Errors
/// Why there is no picture.
pub fn passer_px_per_m(plan: &Plan, point: [f64; 2]) -> Result<f64, &'static str> {
    let input = seen_by(plan)?;
    let camera = Camera { lens: input.lens, imager: input.imager, pose: input.pose };
    Ok(models::ground::cast::face_px_per_m(&camera, point))
}

/// Radius of the least flat window that leaves the picture's corners free, m; infinite where no flat one does, NaN where
/// there is no picture.
pub fn least_window_m(plan: &Plan) -> f64 {
    crate::rules::window_need_m(&plan.station)
}

/// What decides the view, where there is one.
fn seen_by(plan: &Plan) -> Result<ViewInput, &'static str> {
    let s = &plan.station;
    if physics::imager(&s.sensor, &s.camera).is_none() {
        return Err("the picture is larger than the sensor (camera.size): there is nothing to draw");
    }
    if physics::lens(&s.lens, &s.sensor).is_none() {
        return Err("no lens of that law has that view: there is nothing to draw");
    }
    Ok(physics::view_input(&s.lens, &s.sensor, &s.camera, &s.callers, &s.want))
}

/// The classes of the edition that the wanted one is of, coarsest first.
fn classes(plan: &Plan) -> (&'static str, &'static [Class]) {
    let edition = physics::class(&plan.station.want).map_or(Edition::Of2014, |(edition, _)| edition);
    (crate::rules::edition(&plan.station.want), edition.classes())
}
