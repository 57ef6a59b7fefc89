//! The stage of temperatures: a station on its hottest days, at rest, in a call, and streaming without end.
//!
//! The year's candidates for the hottest day and its hours of dew are found once a plan, at the nominal station; a draw
//! moves them by what is warmer there and settles its own network in them. Left out: heat that a lamp or the radio
//! carries outside (all power of the rail stays in the case), and wind.

mod course;

pub use course::{HeatCourse, HeatHour};

pub(super) use course::course;

use super::electric::{self, Currents};
use super::site::SiteYear;
use models::heat::case::{Board, Case, Inner, Loads, Outside, Vent};
use models::heat::dew::{Dew, Window};
use models::heat::duty::Beat;
use models::heat::limits::{Contact, Limits, Part, Surface, touch_limit_c};
use models::heat::network::Network;
use models::heat::shares::{Measure, Situation};
use models::heat::weather::{DesignDay, Wall, candidates, hottest};
use models::heat::{Node, Temps};
use models::site::summary::Shade;
use station::choices::{Rest, SupplyKind};
use station::fields::{Case as CaseFields, Station};

/// Reflectance of the ground before the wall: typical, from memory.
const GROUND: f64 = 0.2;
/// A busy hour holds this many times the day's mean of calls: half of a day's calls in three hours, from memory.
const BUSY_HOUR: f64 = 4.0;
/// A long call is not followed farther, s.
pub(crate) const CALL_HORIZON_S: f64 = models::energy::DAY_S;
/// The part of a case's height that lies between two openings: estimated.
const VENT_RISE: f64 = 0.8;
/// Openings of this size are what [`Heat::vent_gain_k`] tries, m²: a row of five holes of 8 mm each, computed.
const VENT_TRIED_M2: f64 = 250e-6;
/// A wall that conducts better than this is metal, W/(m K).
const METAL_W_MK: f64 = 5.0;
/// Density times heat capacity, J/(m³ K): plastics, and between aluminium's 2.4e6 and steel's 3.9e6; typical, from memory.
const PLASTIC_J_M3K: f64 = 1.5e6;
const METAL_J_M3K: f64 = 3.0e6;
/// Air in which the rise of a resting station by night is taken, °C: the dew is judged at about that.
const NIGHT_C: f64 = 10.0;

/// What the year brings to a wall, once a plan.
#[derive(Clone, Debug)]
pub(super) struct HotYear {
    days: Vec<DesignDay>,
    dew: Dew,
}

/// The hottest days and the dew of the nominal station; `None` where the wall's direction is not told.
pub(super) fn hot_year(
    nominal: &Station,
    site: &SiteYear,
    currents: &Currents,
    in_v: f64,
) -> Option<HotYear> {
    let facing_rad = nominal.site.facing_rad;
    if !facing_rad.is_finite() {
        return None;
    }
    let year = site.weather()?;
    let case = case(nominal);
    let network = Network::new(&case, &board(nominal)).ok()?;
    let wall = Wall { azimuth_rad: facing_rad, albedo: GROUND, shade: Shade::NONE };
    let loads = loads(nominal, currents, in_v, State::Streaming);
    let open = wall.year(&case, year);
    // Ranked behind the station's own shade: with little sun the afternoon's air heats more than the sun's best hour.
    let shaded: Vec<Outside> = open.iter().map(|hour| behind(nominal.case.sun, hour)).collect();
    let mut days = candidates(&network, &loads, &shaded);
    for day in &mut days {
        day.hours.copy_from_slice(&open[24 * day.day..24 * day.day + 24]);
    }
    let window = Window { emissivity: 0.9, sky_view: case.sky_view, film_w_m2k: 11.0, rise_k_w: 1.0 };
    Some(HotYear { days, dew: window.year(year, 0.0).ok()? })
}

/// What the station does while it heats.
#[derive(Clone, Copy, PartialEq)]
enum State {
    Rest,
    Streaming,
}

/// Temperatures in the worst hour of the hottest day, and what follows from them; °C, K, s.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heat {
    /// Settled between calls.
    pub rest: Temps,
    /// At the end of one call out of rest.
    pub call: Temps,
    /// Settled while streaming without end.
    pub streaming: Temps,
    /// Air then.
    pub air_c: f64,
    /// The wall around it then.
    pub wall_c: f64,
    /// The part with the least room at the end of a call, the case aside, and its room.
    pub first: (Part, f64),
    /// Of the chip's rise while streaming, what sun, sky and wall bring.
    pub sun_k: f64,
    /// Of the chip's rise while streaming, what the station's own power brings.
    pub own_k: f64,
    /// Streaming out of rest until a part reaches its limit; `CALL_HORIZON_S` when none does.
    pub stream_s: f64,
    /// Greatest share of time in which it may stream.
    pub allowed: f64,
    /// Share of a busy hour in which it streams.
    pub demanded: f64,
    /// Heat in the regulator while streaming, W.
    pub regulator_w: f64,
    /// All heat while streaming, W.
    pub total_w: f64,
    /// Shares of the chip's resistance: chip to board, board to inside, inside to case, case to outside.
    pub shares: [f64; 4],
    /// What a sink takes off the chip while streaming (what it does take, where there is one).
    pub sink_gain_k: f64,
    /// What two openings take off the chip while streaming (what they do take, where there are some).
    pub vent_gain_k: f64,
    /// Hours of a year in which the window is below the dew point between calls.
    pub dew_s: f64,
}

const NOWHERE: Temps = [f64::NAN; models::heat::NODES];
const UNKNOWN: Heat = Heat {
    rest: NOWHERE,
    call: NOWHERE,
    streaming: NOWHERE,
    air_c: f64::NAN,
    wall_c: f64::NAN,
    first: (Part::Chip, f64::NAN),
    sun_k: f64::NAN,
    own_k: f64::NAN,
    stream_s: f64::NAN,
    allowed: f64::NAN,
    demanded: f64::NAN,
    regulator_w: f64::NAN,
    total_w: f64::NAN,
    shares: [f64::NAN; 4],
    sink_gain_k: f64::NAN,
    vent_gain_k: f64::NAN,
    dew_s: f64::NAN,
};

/// What of a station decides its temperatures beside its currents: all else is nothing stated.
pub(super) fn heated(s: &Station) -> Station {
    let Station { board, callers, case, cell, chip, cover, regulator, rest, sensor, site, supply, .. } = *s;
    Station {
        board,
        callers,
        case,
        cell,
        chip,
        cover,
        regulator,
        rest,
        sensor,
        site,
        supply,
        ..Station::default()
    }
}

pub(super) fn heat(s: &Station, currents: &Currents, in_v: f64, year: Option<&HotYear>) -> Heat {
    year.and_then(|year| settled(s, currents, in_v, year)).unwrap_or(UNKNOWN)
}

fn settled(s: &Station, currents: &Currents, in_v: f64, year: &HotYear) -> Option<Heat> {
    let (case, board, limits) = (case(s), board(s), limits(s));
    let network = Network::new(&case, &board).ok()?;
    let rest_loads = loads(s, currents, in_v, State::Rest);
    let stream_loads = loads(s, currents, in_v, State::Streaming);
    let (day, _) = hottest(&network, &stream_loads, &year.days)?;
    let outside = here(s, &day.hours[day.worst_hour]);
    let streaming = network.settle(&stream_loads, &outside);
    let rest = network.settle_from(&streaming, &rest_loads, &outside);
    let shaded = network.settle_from(&streaming, &stream_loads, &Outside::still(outside.air_c));
    let model = network.model_at(&streaming, outside.air_c);
    let call = *model.call(&rest, &stream_loads, &outside, s.callers.call_s, 1).first()?;
    let chip = Node::Chip as usize;
    let room_k = |temps: &Temps| limits.least(temps, &board, &stream_loads);
    let beat = Beat {
        network: &network,
        model: &model,
        rest: &rest_loads,
        streaming: &stream_loads,
        stretch_s: s.callers.call_s,
        outside: &outside,
    };
    let parts = Limits { softens_c: f64::INFINITY, ..limits };
    let situation = Situation { case, board, loads: stream_loads, outside };
    // Where the thing is there already, what it brings is what its absence would cost.
    let (bare_sink, bare_vent) = (
        Situation { board: Board { sink_k_w: None, ..board }, ..situation },
        Situation { case: Case { vent: None, ..case }, ..situation },
    );
    let vent = Vent {
        area_m2: if s.case.vent_m2 > 0.0 { s.case.vent_m2 } else { VENT_TRIED_M2 },
        rise_m: VENT_RISE * case.height_m,
    };
    let gain = |measure: Measure, before: &Situation| measure.gain_k(before).map(|gain| gain[chip]);
    Some(Heat {
        rest,
        call,
        streaming,
        air_c: outside.air_c,
        wall_c: network.wall_c(&outside),
        first: parts.first(&call, &board, &stream_loads),
        sun_k: streaming[chip] - shaded[chip],
        own_k: shaded[chip] - outside.air_c,
        stream_s: model.time_to(&rest, &stream_loads, &outside, room_k).unwrap_or(CALL_HORIZON_S),
        allowed: beat.allowed(&streaming, room_k).share,
        demanded: demanded(s),
        regulator_w: stream_loads.regulator_w,
        total_w: stream_loads.total_w(),
        shares: network.resistances(&streaming, outside.air_c).shares(),
        sink_gain_k: gain(Measure::Sink(s.board.sink_k_w), &bare_sink).ok()?,
        vent_gain_k: gain(Measure::Vent(vent), &bare_vent).ok()?,
        dew_s: {
            let night = network.settle(&rest_loads, &Outside::still(NIGHT_C));
            dew_hours(&year.dew, night[Node::Case as usize] - NIGHT_C) * 3_600.0
        },
    })
}

/// Hours of dew at a window that is `warmer_k` above what sky and air alone make of it.
fn dew_hours(dew: &Dew, warmer_k: f64) -> f64 {
    // The heater for at most h hours falls with h: the first h that this rise pays for.
    let (mut low, mut high) = (0, dew.hours());
    while low < high {
        let middle = usize::midpoint(low, high);
        if dew.heater_w(middle) <= warmer_k { high = middle } else { low = middle + 1 }
    }
    low as f64
}

/// The share of a busy hour in which the station must stream.
fn demanded(s: &Station) -> f64 {
    if s.rest.mode == Rest::Awake && s.rest.pre_roll_s > 0.0 {
        return 1.0;
    }
    (BUSY_HOUR * s.callers.calls_s * s.callers.call_s).min(1.0)
}

/// An hour of the nominal year as a drawn station meets it, behind its shade.
fn here(s: &Station, hour: &Outside) -> Outside {
    Outside { air_c: hour.air_c + s.site.warmer_k, ..behind(s.case.sun, hour) }
}

/// An hour of which this share of the sun is left.
fn behind(sun: f64, hour: &Outside) -> Outside {
    Outside { lit_w: hour.lit_w * sun, wall_w_m2: hour.wall_w_m2 * sun, ..*hour }
}

/// Heat by part; one regulator, inside the case.
fn loads(s: &Station, currents: &Currents, in_v: f64, state: State) -> Loads {
    let rail_v = s.chip.rail_v;
    let regulator = electric::regulator(&s.regulator, rail_v);
    let (rail_a, sensor_a) = match state {
        State::Rest if s.rest.mode == Rest::Awake => (currents.rest_a, s.sensor.on_a),
        State::Rest => (currents.rest_a, currents.sensor_a),
        State::Streaming => (currents.steady_call_a, s.sensor.on_a),
    };
    let beside_a = match state {
        State::Rest => 0.0,
        State::Streaming => (currents.steady_call_a - s.chip.streaming_a).max(0.0),
    };
    let sensor_a = sensor_a.min(rail_a);
    Loads {
        chip_w: rail_v * (rail_a - sensor_a - beside_a).max(0.0),
        regulator_w: regulator.loss_w(in_v, rail_a).max(0.0),
        sensor_w: rail_v * sensor_a,
        // Counted with the chip: its own current while streaming is in no table.
        memory_w: 0.0,
        board_w: rail_v * beside_a + in_v * currents.extras_a,
    }
}

/// Volts at the regulator's input in a call: what arrives there, or what the source gives where nothing arrives.
pub(super) fn input_v(s: &Station, arrives_v: f64) -> f64 {
    match s.supply.kind {
        SupplyKind::Cells => super::full_v(s),
        _ if arrives_v > 0.0 => arrives_v,
        _ => s.supply.volt_v,
    }
}

fn case(s: &Station) -> Case {
    let CaseFields { gap_m, .. } = s.case;
    Case {
        width_m: s.case.width_m,
        height_m: s.case.height_m,
        depth_m: s.case.depth_m,
        wall_m: s.case.thickness_m.min(0.02),
        wall_w_m_k: s.case.conductivity_w_mk.clamp(0.05, 400.0),
        wall_j_m3_k: if metal(s) { METAL_J_M3K } else { PLASTIC_J_M3K },
        absorptance: s.case.absorptance,
        emissivity: s.case.emissivity,
        inner: if gap_m.is_finite() {
            Inner::Gap { gap_m }
        } else {
            Inner::Given { board_k_w: s.case.board_k_w, film_w_m2k: s.case.film_w_m2k }
        },
        contact_w_m2k: if s.case.spacers { 0.0 } else { s.case.contact_w_m2k },
        wall_absorptance: s.site.wall_absorptance,
        sky_view: s.case.sky_view,
        film_factor: s.case.outside,
        vent: (s.case.vent_m2 > 0.0)
            .then_some(Vent { area_m2: s.case.vent_m2, rise_m: VENT_RISE * s.case.height_m }),
        ..Case::TYPICAL
    }
}

/// Whether the case's wall conducts as metal does.
fn metal(s: &Station) -> bool {
    s.case.conductivity_w_mk > METAL_W_MK
}

/// A pad of 15 by 15 by 5 mm, 2 W/(m K), K/W: computed.
const PAD_K_W: f64 = 11.1;

fn board(s: &Station) -> Board {
    // A round cell of 45 g holds 45 J/K; typical, from memory.
    let cells = f64::from(s.cell.series) * f64::from(s.cell.parallel);
    Board {
        chip_k_w: s.board.chip_k_w,
        sink_k_w: s.board.sink.then_some(s.board.sink_k_w),
        pad_k_w: s.board.pad.then_some(PAD_K_W),
        contents_j_k: if cells_inside(s) { 45.0 * cells } else { 0.0 },
        ..Board::TYPICAL
    }
}

/// Whether cells lie in the case.
pub(crate) fn cells_inside(s: &Station) -> bool {
    s.supply.kind == SupplyKind::Cells && !s.site.indoors
}

/// The limits of the parts that are there.
fn limits(s: &Station) -> Limits {
    let there = |is: bool, limit_c: f64| if is { limit_c } else { f64::INFINITY };
    Limits {
        chip_c: s.chip.max_degc,
        module_c: s.chip.air_max_degc,
        sensor_c: s.sensor.max_degc,
        memory_c: there(s.board.extra_memory_b > 0.0, s.board.memory_max_degc),
        cell_c: there(cells_inside(s), s.cell.max_degc),
        regulator_c: s.regulator.max_degc,
        softens_c: s.case.softens_degc,
    }
}

/// Highest permitted temperature of what a caller touches: the plate for a moment, the case never needed; °C.
pub(crate) fn touch_limit(s: &Station) -> f64 {
    let plate = match s.cover.thickness_m {
        bare if bare <= 0.0 => Surface::Metal,
        _ if s.cover.permittivity >= 5.0 => Surface::Glass,
        _ => Surface::Plastic,
    };
    let case = if metal(s) { Surface::Metal } else { Surface::Plastic };
    touch_limit_c(plate, Contact::VeryBrief).min(touch_limit_c(case, Contact::Unneeded))
}

/// Temperature of a node.
pub(crate) fn of(temps: &Temps, node: Node) -> f64 {
    temps[node as usize]
}
