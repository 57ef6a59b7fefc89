//! The heat network over a day at steps of a second, sun and streaming varying, beside SciPy's LSODA.
//!
//! Two problems: the network with constant coefficients, and with convection and radiation in all their bends. Both sides
//! must agree within the promised error at every ten minutes, or the pairing is refused. One thread.

use anyhow::{Context, Result, ensure};
use bench::{PAIRS_MIN, Row, paired, peer, seconds, timed};
use models::heat::case::{Board, Case, Loads, Outside};
use models::heat::exponential::Modes;
use models::heat::network::{Frozen, Network};
use models::heat::transient::Model;
use models::heat::{NODES, Node, Temps};
use serde_json::{Value, json};

/// Pieces of ten minutes in a day, each of so many steps of a second.
const PIECES: usize = 144;
const STEPS: usize = 600;
const REST: Loads = Loads { chip_w: 0.3, regulator_w: 0.1, sensor_w: 0.05, memory_w: 0.0, board_w: 0.02 };
const STREAMING: Loads =
    Loads { chip_w: 0.75, regulator_w: 0.35, sensor_w: 0.12, memory_w: 0.0, board_w: 0.05 };
/// No sky and no wall: what the peer's network has. Invented for the demo.
const CASE: Case = Case { contact_w_m2k: 0.0, sky_view: 0.0, absorptance: 1.0, ..Case::TYPICAL };
/// Slopes of the linear problem, W/K: about those of a warm case, estimated.
const SLOPES: Frozen = Frozen { outer_w_k: 0.25, inner_w_k: 0.0, vent_w_k: 0.0 };

/// Both problems.
pub(crate) fn rows() -> Result<Vec<Row>> {
    let network = Network::new(&CASE, &Board::TYPICAL)?;
    let linear = Modes::new(network.capacity_j_k(), &network.matrix_w_k(&SLOPES));
    let model = network.model_at(&network.settle(&STREAMING, &outside(90)), outside(90).air_c);
    let start = network.settle(&REST, &outside(0));
    Ok(vec![
        row("linear", &network, true, 1e-3, 100.0, || linear_day(&linear, &start), &start)?,
        row("convection and radiation", &network, false, 1e-2, 30.0, || bent_day(&model, &start), &start)?,
    ])
}

fn row(
    what: &str,
    network: &Network,
    linear: bool,
    allowed_k: f64,
    wanted: f64,
    day: impl Fn() -> Vec<Temps>,
    start: &Temps,
) -> Result<Row> {
    let problem = problem(network, linear, start);
    let theirs = peer("heat_lsoda.py", &[], &problem)?;
    let apart_k = worst_k(&day(), &theirs["temps"])?;
    ensure!(apart_k < allowed_k, "{what}: the two lie {apart_k} K apart");
    let times = paired(
        PAIRS_MIN,
        || Ok(timed(&day).1),
        || seconds(&peer("heat_lsoda.py", &[], &problem)?, "seconds"),
    )?;
    let note = format!("one thread; both within {apart_k:.1e} K of each other at every ten minutes");
    let work = format!("heat, 6 nodes, 24 h at 1 s, {what}");
    Ok(Row::new(&work, "SciPy, LSODA, restarted where inputs jump", times, wanted, &note))
}

/// Straight between whole hours, at the start of a piece of ten minutes.
fn outside(piece: usize) -> Outside {
    let at = |hour: usize| {
        let hour = hour as f64;
        let air_c = 24.0 - 8.0 * ((hour - 3.0) / 24.0 * std::f64::consts::TAU).cos();
        let lit_w = (8.0 * ((hour - 15.0) / 12.0 * std::f64::consts::PI).cos()).max(0.0);
        Outside { lit_w, ..Outside::still(air_c) }
    };
    at(piece / 6).toward(&at(piece / 6 + 1), (piece % 6) as f64 / 6.0)
}

/// Ten minutes of streaming in every half hour.
fn loads(piece: usize) -> [f64; NODES] {
    Model::loads_w(if piece.is_multiple_of(3) { &STREAMING } else { &REST })
}

/// What flows into each node of the linear network: loads, sun, and the air by way of the outer slope.
fn source(piece: usize, outside: &Outside) -> [f64; NODES] {
    let mut source = loads(piece);
    source[Node::Case as usize] += outside.lit_w + SLOPES.outer_w_k * outside.air_c;
    source
}

fn linear_day(modes: &Modes<NODES>, start: &Temps) -> Vec<Temps> {
    let stepper = modes.stepper(1.0);
    day(start, |piece, temps, from, to| stepper.step(temps, &source(piece, from), |_| source(piece, to)))
}

fn bent_day(model: &Model<'_>, start: &Temps) -> Vec<Temps> {
    let stepper = model.stepper(1.0);
    day(start, |piece, temps, from, to| model.step(&stepper, temps, &loads(piece), from, to))
}

fn day(start: &Temps, step: impl Fn(usize, &Temps, &Outside, &Outside) -> Temps) -> Vec<Temps> {
    let mut temps = *start;
    (0..PIECES)
        .map(|piece| {
            let (from, to) = (outside(piece), outside(piece + 1));
            let mut before = from;
            for part in 1..=STEPS {
                let after = from.toward(&to, part as f64 / STEPS as f64);
                temps = step(piece, &temps, &before, &after);
                before = after;
            }
            temps
        })
        .collect()
}

/// The same as the peer reads it; a jump of the load is a millisecond long there.
fn problem(network: &Network, linear: bool, start: &Temps) -> Value {
    let (mut times, mut air, mut load) = (vec![], vec![], vec![vec![]; NODES]);
    for piece in 0..PIECES {
        let begin_s = 600.0 * piece as f64 + if piece == 0 { 0.0 } else { 1e-3 };
        for (time_s, end) in [(begin_s, piece), (600.0 * (piece + 1) as f64, piece + 1)] {
            let outside = outside(end);
            times.push(time_s);
            air.push(outside.air_c);
            let mut flow = if linear { source(piece, &outside) } else { loads(piece) };
            if !linear {
                flow[Node::Case as usize] += outside.lit_w;
            }
            for (row, watt) in load.iter_mut().zip(flow) {
                row.push(watt);
            }
        }
    }
    let still = Frozen { outer_w_k: 0.0, inner_w_k: 0.0, vent_w_k: 0.0 };
    let bent = json!({
        "vertical_area": CASE.face_m2() + 2.0 * CASE.side_m2(), "height": CASE.height_m,
        "flat_area": CASE.top_m2(), "flat_length": CASE.top_m2() / (2.0 * (CASE.width_m + CASE.depth_m)),
        "emissivity": CASE.emissivity, "area": CASE.outer_m2(),
    });
    json!({
        "capacity": network.capacity_j_k(),
        "conductance": network.matrix_w_k(if linear { &SLOPES } else { &still }),
        "start": start, "times": times, "load": load, "air": air,
        "ask": (1..=PIECES).map(|piece| 600.0 * piece as f64).collect::<Vec<_>>(),
        "bent": if linear { Value::Null } else { bent },
    })
}

fn worst_k(ours: &[Temps], theirs: &Value) -> Result<f64> {
    let theirs = theirs.as_array().context("no `temps`")?;
    ensure!(theirs.len() == ours.len(), "{} answers for {}", theirs.len(), ours.len());
    let mut worst = 0.0_f64;
    for (ours, theirs) in ours.iter().zip(theirs) {
        for (i, ours) in ours.iter().enumerate() {
            worst = worst.max((ours - theirs[i].as_f64().context("no temperature")?).abs());
        }
    }
    Ok(worst)
}
