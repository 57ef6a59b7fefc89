//! The hottest day by its hours, and one long call by its minutes: for a drawing, which asks for them by name.
//!
//! The same network, loads and weather as the stage's; no draw pays for it.

use super::{CALL_HORIZON_S, HotYear, Node, Outside, State, Temps, board, case, here, limits, loads};
use super::{cells_inside, touch_limit};
use crate::physics::Currents;
use models::heat::limits::{GOOD_PICTURE_C, Part};
use models::heat::network::Network;
use models::heat::weather::hottest;
use station::fields::Station;

/// Points of the long call.
const POINTS: usize = 120;
/// A long call is drawn for this long where nothing reaches a limit sooner, s: two hours, ours.
const USUAL_S: f64 = 7_200.0;
/// And never for less, s: ten minutes, ours.
const LEAST_S: f64 = 600.0;

/// One hour of the hottest day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeatHour {
    /// Air, °C.
    pub air_c: f64,
    /// Settled between calls, °C.
    pub rest: Temps,
    /// At the end of one call out of rest, °C.
    pub call: Temps,
}

/// Temperatures over the hottest day and over a long call in its worst hour.
#[derive(Clone, Debug, PartialEq)]
pub struct HeatCourse {
    /// Day of the year, from 0.
    pub day: usize,
    /// The hour that the figures are of.
    pub worst_hour: usize,
    /// At the middle of each hour.
    pub hours: Vec<HeatHour>,
    /// A call, s.
    pub call_s: f64,
    /// Streaming on and on out of rest in the worst hour: seconds and temperatures, the first at rest.
    pub minutes: Vec<(f64, Temps)>,
    /// As `Heat::stream_s`: streaming until a part reaches its limit, s.
    pub stream_s: f64,
    /// The part that reaches it, where one does.
    pub first: Option<Part>,
    /// Limits of the parts that are there and have a node of their own, °C.
    pub limits: Vec<(Part, Node, f64)>,
    /// Highest that a hand may touch, °C.
    pub touch_c: f64,
    /// Above this a sensor's pictures suffer, °C.
    pub good_picture_c: f64,
    /// Whether cells lie in the case.
    pub cells: bool,
}

pub(in crate::physics) fn course(
    s: &Station,
    currents: &Currents,
    in_v: f64,
    year: &HotYear,
) -> Option<HeatCourse> {
    let (case, board, limits) = (case(s), board(s), limits(s));
    let network = Network::new(&case, &board).ok()?;
    let rest_loads = loads(s, currents, in_v, State::Rest);
    let stream_loads = loads(s, currents, in_v, State::Streaming);
    let (day, _) = hottest(&network, &stream_loads, &year.days)?;
    let one = |outside: &Outside| {
        let streaming = network.settle(&stream_loads, outside);
        let rest = network.settle_from(&streaming, &rest_loads, outside);
        let model = network.model_at(&streaming, outside.air_c);
        let call = *model.call(&rest, &stream_loads, outside, s.callers.call_s, 1).first()?;
        Some(HeatHour { air_c: outside.air_c, rest, call })
    };
    let hours = day.hours.iter().map(|hour| one(&here(s, hour))).collect::<Option<Vec<_>>>()?;

    let outside = here(s, &day.hours[day.worst_hour]);
    let streaming = network.settle(&stream_loads, &outside);
    let rest = hours[day.worst_hour].rest;
    let model = network.model_at(&streaming, outside.air_c);
    let room_k = |temps: &Temps| limits.least(temps, &board, &stream_loads);
    let stream_s = model.time_to(&rest, &stream_loads, &outside, room_k).unwrap_or(CALL_HORIZON_S);
    let reached = stream_s < CALL_HORIZON_S;
    let drawn_s = if reached { 1.4 * stream_s } else { USUAL_S };
    let step_s = drawn_s.max(LEAST_S).max(1.5 * s.callers.call_s) / POINTS as f64;
    let call = model.call(&rest, &stream_loads, &outside, step_s, POINTS);
    let minutes = (1..).map(|step| f64::from(step) * step_s).zip(call);
    let first = reached.then(|| {
        let then = model.call(&rest, &stream_loads, &outside, stream_s.max(1e-3), 1);
        then.first().map(|temps| limits.first(temps, &board, &stream_loads).0)
    });
    let nodes = [
        (Part::Chip, Node::Chip),
        (Part::Sensor, Node::Sensor),
        (Part::Module, Node::Inside),
        (Part::Cell, Node::Inside),
        (Part::Regulator, Node::Regulator),
        (Part::Case, Node::Case),
    ];
    let there = nodes.map(|(part, node)| (part, node, limits.of(part)));
    Some(HeatCourse {
        day: day.day,
        worst_hour: day.worst_hour,
        call_s: s.callers.call_s,
        minutes: std::iter::once((0.0, rest)).chain(minutes).collect(),
        hours,
        stream_s,
        first: first.flatten(),
        limits: there.into_iter().filter(|(.., limit_c)| limit_c.is_finite()).collect(),
        touch_c: touch_limit(s),
        good_picture_c: GOOD_PICTURE_C,
        cells: cells_inside(s),
    })
}
