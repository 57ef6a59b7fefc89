//! Series behind drawings: what a picture needs beyond figures, on request, so that no draw and no verdict pays for it.
//!
//! Each is of the nominal station, or of the same draws as the verdict's; each says in a sentence why it is not there.
//! Nothing here knows paper.

use crate::judge::{quantile, sorted};
use crate::physics::{
    Engine, FeedPoint, HeatCourse, Hoisted, Light, LightChart, RadioPath, Waterfall, down_h, house,
    least_in_v, least_rail_v,
};
use crate::rules;
use crate::study::{Options, of_draws};
use models::energy::{DAY_S, YEARS_MAX};
use models::luck::Luck;
use models::timing::works::{Function, House, Part, ReleaseFeed, Works};
use serde::Serialize;
use station::choices::{FailMode, LockExit, LockKind, SupplyKind, Told};
use station::fields::Station;
use station::plan::Plan;

/// Why there is no series.
pub type Why = &'static str;

const OUTSIDE: Why = "a value of the plan is outside the range in which the model holds";
/// Points of a life that are kept, about: enough for a page's width.
const LIFE_POINTS: f64 = 120.0;

/// Asks the stages of the nominal station.
fn nominal<T>(plan: &Plan, ask: impl FnOnce(&mut Engine<'_>) -> T) -> T {
    let hoisted = Hoisted::default();
    ask(&mut Engine::new(&plan.station, &plan.parts, &hoisted, Luck::Mean))
}

/// The lives of all draws.
#[derive(Clone, Debug, PartialEq)]
pub struct Charge {
    /// From one point of `soc` to the next, s.
    pub step_s: f64,
    /// State of charge from the start on: the 5, 50 and 95 % points over builds, a build that has stopped counted as
    /// empty; each ends where that share has stopped.
    pub soc: [Vec<f64>; 3],
    /// When they end, s: the 5, 50 and 95 % points of the run time.
    pub ends_s: [f64; 3],
    /// The wanted run time, s.
    pub wanted_s: f64,
    /// No life is followed farther, s.
    pub horizon_s: f64,
    /// Lowest state of charge by calendar month, the 5, 50 and 95 % points over the builds that reach it; only with a
    /// panel, which makes one year like the next.
    pub months: Option<[[f64; 12]; 3]>,
    /// Builds looked at.
    pub builds: usize,
}

/// How the charge goes over the months: the same draws and histories as the verdict's.
///
/// # Errors
/// A sentence: the plan has no cells, or they are outside the model.
pub fn charge(plan: &Plan, options: Options) -> Result<Charge, Why> {
    let s = &plan.station;
    if s.supply.kind != SupplyKind::Cells {
        return Err("the station is not fed by cells ([supply] kind)");
    }
    let hoisted = Hoisted::default();
    let mut engine = Engine::new(s, &plan.parts, &hoisted, Luck::Mean);
    // Without draws the nominal life stands for all; its length also tells how fine the steps must be.
    let life = engine.life_course(s, 30).ok_or(OUTSIDE)?;
    let step_days = ((life.end_s / DAY_S / LIFE_POINTS) as usize).clamp(1, 14);
    let mut lives: Vec<_> = of_draws(plan, options, &hoisted, |s, engine| engine.life_course(s, step_days))
        .into_iter()
        .flatten()
        .collect();
    if options.draws == 0 {
        lives.extend(engine.life_course(s, step_days));
    }
    if lives.is_empty() {
        return Err(OUTSIDE);
    }
    let ends = sorted(&lives.iter().map(|life| life.end_s).collect::<Vec<_>>());
    let points = [0.05, 0.5, 0.95];
    let longest = lives.iter().map(|life| life.soc.len()).max().unwrap_or(0);
    let step_s = step_days as f64 * DAY_S;
    let ends_s = points.map(|p| quantile(&ends, p));
    let mut soc = [const { Vec::new() }; 3];
    for step in 0..longest {
        let now =
            sorted(&lives.iter().map(|life| life.soc.get(step).copied().unwrap_or(0.0)).collect::<Vec<_>>());
        for ((line, p), end_s) in soc.iter_mut().zip(points).zip(ends_s) {
            if step as f64 * step_s <= end_s {
                line.push(quantile(&now, p));
            }
        }
    }
    let months = (s.solar.peak_w > 0.0).then(|| {
        let month =
            |month: usize| sorted(&lives.iter().map(|life| life.month_low_soc[month]).collect::<Vec<_>>());
        points.map(|p| std::array::from_fn(|at| quantile(&month(at), p)))
    });
    let horizon_s = f64::from(YEARS_MAX) * 365.0 * DAY_S;
    Ok(Charge { step_s, soc, ends_s, wanted_s: s.want.run_s, horizon_s, months, builds: lives.len() })
}

/// The feed along its way.
#[derive(Clone, Debug, PartialEq)]
pub struct FeedSeries {
    /// By state.
    pub points: Vec<FeedPoint>,
    /// Least voltage at the board, V.
    pub least_board_v: f64,
    /// Least voltage on the rail, V.
    pub least_rail_v: f64,
    /// Whether the run ends at a regulator before the board; else it is the board's own.
    pub before_board: bool,
}

/// Volts from the source to the rail, by state.
///
/// # Errors
/// A sentence: nothing feeds the station over a line.
pub fn feed(plan: &Plan) -> Result<FeedSeries, Why> {
    let s = &plan.station;
    match s.supply.kind {
        SupplyKind::Open => return Err("the plan does not tell what feeds the station ([supply] kind)"),
        SupplyKind::Cells => return Err("the station is fed by cells, not over a line ([supply] kind)"),
        _ => {}
    }
    let points = nominal(plan, |engine| engine.feed_along(&plan.station));
    let (least_board_v, least_rail_v) = (least_in_v(s), least_rail_v(s));
    let known = points.iter().flat_map(|point| point.volts).all(f64::is_finite);
    if known && least_board_v.is_finite() {
        Ok(FeedSeries {
            points,
            least_board_v,
            least_rail_v,
            before_board: !crate::rules::own_regulator(plan),
        })
    } else {
        Err(OUTSIDE)
    }
}

/// The hottest day and a long call.
///
/// # Errors
/// A sentence: the plan does not tell where the wall faces, or it is outside the model.
pub fn heat(plan: &Plan) -> Result<HeatCourse, Why> {
    faces(plan)?;
    nominal(plan, |engine| engine.heat_course(&plan.station)).ok_or(OUTSIDE)
}

/// The year by quarter hours, with what it sums up to.
///
/// # Errors
/// A sentence: the plan does not tell where the wall faces, or it is outside the model.
pub fn light(plan: &Plan) -> Result<(LightChart, Light), Why> {
    faces(plan)?;
    nominal(plan, |engine| Some((engine.light_chart(&plan.station)?, engine.light(&plan.station))))
        .ok_or(OUTSIDE)
}

fn faces(plan: &Plan) -> Result<(), Why> {
    let told = plan.station.site.facing_rad.is_finite();
    if told { Ok(()) } else { Err("the plan does not tell where the wall faces ([site] facing)") }
}

/// The way of the radio.
///
/// # Errors
/// A sentence: the plan does not tell the way, or it is outside the model.
pub fn radio(plan: &Plan) -> Result<RadioPath, Why> {
    if !rules::tells_way(&plan.station) {
        return Err("the plan tells no way to the access point ([radio] distance or rssi)");
    }
    nominal(plan, |engine| engine.radio_path(&plan.station)).ok_or(OUTSIDE)
}

/// The chain of a call.
///
/// # Errors
/// A sentence: the plan does not tell how a press is heard, or it is outside the model.
pub fn timing(plan: &Plan) -> Result<Waterfall, Why> {
    hears(plan)?;
    nominal(plan, |engine| engine.waterfall(&plan.station)).ok_or(OUTSIDE)
}

fn hears(plan: &Plan) -> Result<(), Why> {
    let told = rules::tells_hearing(&plan.station);
    if told { Ok(()) } else { Err("the plan does not tell how a press is heard ([notice] sounder or phone)") }
}

/// One row of [`what_still_works`]: with this part down. `yes`; `late`: once it is back; `no`; `open`: the lock lets go by
/// itself; `none`: there is no such thing here; `unknown`: the plan does not tell.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WorksRow {
    /// What is down.
    pub fails: &'static str,
    /// For how many hours a year; none in the row in which nothing fails.
    pub hours_a_year: Option<f64>,
    /// The visitor is told that the press was felt.
    pub felt: &'static str,
    /// Somebody hears of it, in the house or away.
    pub known: &'static str,
    /// A picture of the caller is seen or kept.
    pub seen: &'static str,
    /// Somebody speaks with the caller: `none` in every row, since no field tells a microphone or a loudspeaker.
    pub answered: &'static str,
    /// The door is released over the network.
    pub released: &'static str,
    /// A person inside gets out.
    pub way_out: &'static str,
}

/// The columns of a [`WorksRow`] in their order, as faces say them.
pub const WORKS_COLUMNS: [&str; 6] = ["felt", "known", "seen", "answered", "released", "way out"];

impl WorksRow {
    /// The cells in the order of [`WORKS_COLUMNS`].
    pub fn cells(&self) -> [&'static str; 6] {
        [self.felt, self.known, self.seen, self.answered, self.released, self.way_out]
    }
}

/// What still works when one part is down; the first row is the sound house.
///
/// # Errors
/// A sentence: the plan does not tell how a press is heard.
pub fn what_still_works(plan: &Plan) -> Result<Vec<WorksRow>, Why> {
    hears(plan)?;
    let s = &plan.station;
    let key = nominal(plan, |engine| engine.chain_key(&plan.station));
    let locked = s.lock.kind != LockKind::None;
    // The release unit is fed from the mains until a plan can say otherwise: the careful reading.
    let house = House { release: locked.then_some(ReleaseFeed::Mains), ..house(&key) };
    let mut rows = vec![row(s, house, None, None)];
    for (part, hours) in Part::ALL.into_iter().zip(down_h(&s.notice, &s.net)) {
        let there = match part {
            // Without cells there are none that could be empty.
            Part::Cell => s.supply.kind == SupplyKind::Cells,
            // It runs on the server, whose hours a plan tells with it.
            Part::Broker => false,
            _ => true,
        };
        if there {
            rows.push(row(s, house, Some(part), Some(hours)));
        }
    }
    Ok(rows)
}

fn row(s: &Station, house: House, down: Option<Part>, hours_a_year: Option<f64>) -> WorksRow {
    let works =
        |function| down.map_or_else(|| house.healthy(function), |part| house.with_fault(part, function));
    let word = |works: Works| match works {
        Works::Yes => "yes",
        Works::Late => "late",
        Works::No => "no",
    };
    let dark = down == Some(Part::Power);
    // A magnet holds only while it is fed.
    let lets_go = s.lock.fail == FailMode::Safe || s.lock.kind == LockKind::Magnet;
    let released = match s.lock.kind {
        LockKind::None => "none",
        _ if dark && lets_go => "open",
        _ if dark && s.lock.fail == FailMode::NotSaid => "unknown",
        _ => word(works(Function::Release)),
    };
    let way_out = match (s.lock.kind, s.lock.exit) {
        // A handle's or a key's work is not the station's.
        (LockKind::None, _) | (_, LockExit::Motion | LockExit::Key) => "yes",
        (_, LockExit::NotSaid) => "unknown",
        (_, LockExit::Switch | LockExit::Station) if dark && lets_go => "yes",
        (_, LockExit::Switch) if dark && s.lock.fail == FailMode::NotSaid => "unknown",
        (_, LockExit::Switch) if dark && s.lock.exit_cuts != Told::Yes => "no",
        (_, LockExit::Switch) => "yes",
        (_, LockExit::Station) => released,
    };
    let known = works(Function::HeardIndoors).max(works(Function::HeardAway));
    WorksRow {
        fails: down.map_or("nothing", part_name),
        hours_a_year,
        felt: word(works(Function::Felt)),
        known: word(known),
        seen: word(works(Function::Picture)),
        answered: "none",
        released,
        way_out,
    }
}

fn part_name(part: Part) -> &'static str {
    match part {
        Part::Power => "power",
        Part::Router => "router",
        Part::Internet => "internet",
        Part::Server => "server",
        Part::Broker => "message broker",
        Part::Phone => "phone",
        Part::Camera => "camera",
        Part::Cell => "cells",
        Part::Lens => "lens",
    }
}
