//! Laws of the network and second ways to its numbers; published values and other programs are in `checks/`.

use super::air::Air;
use super::case::{Board, Case, Inner, Loads, Outside, Vent};
use super::convection::{WarmSide, horizontal, rayleigh, vertical_laminar};
use super::dew::Window;
use super::duty::Beat;
use super::exponential::Modes;
use super::limits::{Limits, Part};
use super::network::Network;
use super::radiation::black_w_m2;
use super::shares::{Measure, Situation};
use super::weather::{Wall, candidates, hottest};
use super::{NODES, Node, Temps, ZERO_C_K};
use crate::luck::Luck;
use crate::site::clear::ClearYear;
use crate::site::climate::Climate;
use crate::site::summary::Shade;
use crate::site::year::Year;
use crate::sun::Place;
use proptest::prelude::*;
use std::sync::Arc;

const CHIP: usize = Node::Chip as usize;
const CASE: usize = Node::Case as usize;

const REST: Loads = Loads { chip_w: 0.3, regulator_w: 0.1, sensor_w: 0.05, memory_w: 0.02, board_w: 0.02 };
const STREAMING: Loads =
    Loads { chip_w: 0.75, regulator_w: 0.35, sensor_w: 0.12, memory_w: 0.1, board_w: 0.05 };
const SUNNY: Outside = Outside { air_c: 33.0, sky_w_m2: 80.0, lit_w: 9.0, wall_w_m2: 600.0 };

fn gap_case() -> Case {
    Case { inner: Inner::Gap { gap_m: 0.008 }, ..Case::TYPICAL }
}

fn vented(case: Case) -> Case {
    Case { vent: Some(Vent { area_m2: 4e-4, rise_m: 0.1 }), ..case }
}

fn apart(a: &Temps, b: &Temps) -> f64 {
    a.iter().zip(b).fold(0.0, |most: f64, (a, b)| most.max((a - b).abs()))
}

fn a_year(latitude_deg: f64, seed: u64) -> Year {
    let place = Place { latitude_rad: latitude_deg.to_radians(), longitude_rad: 0.1, altitude_m: 50.0 };
    let climate = Climate::by_latitude(place.latitude_rad, place.altitude_m);
    let clear = ClearYear::new(place, 0.0, climate.turbidity).unwrap();
    Year::new(&climate, Arc::new(clear), Luck::History(seed)).unwrap()
}

fn wall(azimuth_deg: f64) -> Wall {
    Wall { azimuth_rad: azimuth_deg.to_radians(), albedo: 0.2, shade: Shade::NONE }
}

#[test]
fn without_heat_everything_is_at_air_temperature() {
    for case in [Case::TYPICAL, vented(gap_case())] {
        let network = Network::new(&case, &Board::TYPICAL).unwrap();
        let temps = network.settle(&Loads::default(), &Outside::still(12.0));
        assert!(apart(&temps, &[12.0; NODES]) < 1e-6, "{temps:?}");
    }
}

proptest! {
    /// The balance, from any corner of the permitted ranges: what goes in comes out, whatever the solver did.
    #[test]
    fn settled_temperatures_balance(
        width in 0.02..0.5_f64, height in 0.02..0.5_f64, depth in 0.005..0.3_f64, emissivity in 0.03..1.0_f64,
        contact in 0.0..200.0_f64, gap in 5e-4..0.1_f64, vent in 0.0..0.01_f64, watt in 0.0..8.0_f64,
        air in -40.0..50.0_f64, lit in 0.0..60.0_f64, sky in 0.0..120.0_f64,
    ) {
        let case = Case {
            width_m: width, height_m: height, depth_m: depth, emissivity, contact_w_m2k: contact,
            inner: Inner::Gap { gap_m: gap }, vent: Some(Vent { area_m2: vent, rise_m: 0.1 }), ..Case::TYPICAL
        };
        let network = Network::new(&case, &Board::TYPICAL).unwrap();
        let loads = Loads { chip_w: watt, ..STREAMING };
        let outside = Outside { air_c: air, sky_w_m2: sky, lit_w: lit, wall_w_m2: 500.0 };
        let temps = network.settle(&loads, &outside);
        for left_w in network.imbalance_w(&temps, &loads, &outside) {
            prop_assert!(left_w.abs() < 1e-6, "{temps:?} {left_w}");
        }
    }

    /// More heat, sun or warm air never cools anything.
    #[test]
    fn more_heat_is_never_cooler(more in 0.0..2.0_f64, sun in 0.0..10.0_f64, air in -20.0..45.0_f64) {
        let network = Network::new(&vented(gap_case()), &Board::TYPICAL).unwrap();
        let cool = Outside { air_c: air, ..SUNNY };
        let warm = Outside { air_c: air + more, lit_w: cool.lit_w + sun, ..cool };
        let (before, after) = (network.settle(&REST, &cool), network.settle(&REST.toward(&STREAMING, 0.3 * more), &warm));
        for (before, after) in before.iter().zip(&after) {
            prop_assert!(after >= &(before - 1e-6));
        }
    }

    /// First-order hold: a linear network driven by a ramp is exact at any step, so one long step is many short ones.
    #[test]
    fn one_long_step_is_many_short_ones(step in 1.0..5000.0_f64, slope in -1.0..1.0_f64) {
        let a = [[0.30, -0.10, 0.0], [-0.10, 0.35, -0.20], [0.0, -0.20, 0.42]];
        let modes = Modes::new(&[2.0, 30.0, 400.0], &a);
        let source = |share: f64| [1.0 + slope * share, 0.0, 4.0 - slope * share];
        let long = modes.stepper(step).step(&[20.0, 30.0, 25.0], &source(0.0), |_| source(1.0));
        let short = modes.stepper(step / 50.0);
        let mut temps = [20.0, 30.0, 25.0];
        for i in 0..50 {
            temps = short.step(&temps, &source(f64::from(i) / 50.0), |_| source(f64::from(i + 1) / 50.0));
        }
        for (long, short) in long.iter().zip(&temps) {
            prop_assert!((long - short).abs() < 1e-9);
        }
    }
}

/// The parabola in film temperature against the formulas of the faces, summed one by one.
#[test]
fn outer_convection_is_the_sum_of_its_faces() {
    let case = Case { emissivity: 0.03, ..Case::TYPICAL };
    let network = Network::new(&case, &Board::TYPICAL).unwrap();
    for (case_c, air_c) in [(45.0, 25.0), (70.0, 35.0), (-5.0, 0.0), (25.0, 24.9)] {
        let film = Air::at(f64::midpoint(case_c, air_c) + ZERO_C_K).unwrap();
        let h = |nusselt: f64, length_m: f64| nusselt * film.conductivity_w_m_k / length_m;
        let ra = |length_m: f64| rayleigh(&film, case_c - air_c, length_m);
        let flat_m = case.top_m2() / (2.0 * (case.width_m + case.depth_m));
        let tall = vertical_laminar(ra(case.height_m), film.prandtl()).number;
        let (up, down) = (horizontal(ra(flat_m), WarmSide::Up), horizontal(ra(flat_m), WarmSide::Down));
        let convection_w = (case_c - air_c)
            * (h(tall, case.height_m) * (case.face_m2() + 2.0 * case.side_m2())
                + h(up.number + down.number, flat_m) * case.top_m2());
        let wanted_w = convection_w + 0.03 * case.outer_m2() * (black_w_m2(case_c) - black_w_m2(air_c));
        let off = network.outer_w(case_c, air_c) / wanted_w - 1.0;
        assert!(off.abs() < 1e-3, "{case_c} in {air_c}: {off}");
    }
}

/// trade.md §3 says 10 W/m²K (8..14) outside, still, with radiation: ours is inside at usual differences.
#[test]
fn outer_film_is_what_the_trade_knows() {
    let network = Network::new(&Case::TYPICAL, &Board::TYPICAL).unwrap();
    for rise_k in [5.0, 10.0, 20.0, 40.0] {
        let film = network.outer_w(25.0 + rise_k, 25.0) / rise_k / Case::TYPICAL.outer_m2();
        assert!((8.0..14.0).contains(&film), "{rise_k} K: {film}");
    }
}

/// The gap's own balance is what the trade calls 45 K/W (35..60) from a 27 by 40 mm board to the case.
#[test]
fn gap_of_a_small_case_is_what_the_trade_knows() {
    let network = Network::new(&gap_case(), &Board::TYPICAL).unwrap();
    let temps = network.settle(&STREAMING, &Outside::still(25.0));
    let rise_k = temps[Node::Board as usize] - temps[CASE];
    // All of the heat but what leaves through the lens holder crosses the gap.
    let through_lens_w = (temps[Node::Sensor as usize] - temps[CASE]) / Board::TYPICAL.lens_k_w;
    let k_w = rise_k / (STREAMING.total_w() - through_lens_w);
    assert!((35.0..60.0).contains(&k_w), "{k_w}");
}

#[test]
fn resistances_are_the_answer_to_a_watt() {
    let network = Network::new(&vented(gap_case()), &Board::TYPICAL).unwrap();
    let temps = network.settle(&STREAMING, &SUNNY);
    let resistances = network.resistances(&temps, SUNNY.air_c);
    let more = Loads { chip_w: STREAMING.chip_w + 0.01, ..STREAMING };
    let felt_k_w = (network.settle(&more, &SUNNY)[CHIP] - temps[CHIP]) / 0.01;
    // Only the case's side of the radiation between board and case is not its own slope.
    assert!((resistances.total_k_w() / felt_k_w - 1.0).abs() < 0.03, "{resistances:?} {felt_k_w}");
    assert!((resistances.shares().iter().sum::<f64>() - 1.0).abs() < 1e-12);
}

/// trade.md `heat.sun-case`: colour and shade before vents; `heat.sink-useless`: a sink helps only where the chip's own way is narrow.
#[test]
fn in_the_sun_colour_and_shade_help_most() {
    let before = Situation { case: Case::TYPICAL, board: Board::TYPICAL, loads: STREAMING, outside: SUNNY };
    let gain = |measure: Measure| measure.gain_k(&before).unwrap()[CHIP];
    let colour = gain(Measure::Colour(0.35));
    let shade = gain(Measure::Shade(0.2));
    let sink = gain(Measure::Sink(45.0));
    let vent = gain(Measure::Vent(Vent { area_m2: 1e-4, rise_m: 0.08 }));
    let rate = gain(Measure::LowerRate { rest: REST, share: 0.5 });
    assert!(shade > colour && colour > vent, "{colour} {shade} {vent}");
    assert!(sink > 0.0 && vent > 0.0 && rate > 0.0 && gain(Measure::Switching(0.4)) > 0.0);
    // Where a pad has already opened the way to the case, the rest of the resistance is outside, and a sink gains little.
    let padded = Measure::Pad(10.0).taken(&before);
    let sink_beside_pad = Measure::Sink(45.0).gain_k(&padded).unwrap()[CHIP];
    assert!(sink_beside_pad < 0.2 * sink, "{sink_beside_pad} {sink}");
    assert!(gain(Measure::Pad(10.0)) > sink);
}

/// The stretches' ripple, derived, against the beat followed step by step until it repeats.
#[test]
fn a_beat_followed_in_time_ends_where_the_modes_say() {
    let network = Network::new(&gap_case(), &Board::TYPICAL).unwrap();
    let settled = network.settle(&STREAMING, &SUNNY);
    let model = network.model_at(&settled, SUNNY.air_c);
    for (share, stretch_s) in [(0.3, 30.0), (0.5, 600.0), (0.05, 90.0)] {
        let beat = Beat {
            network: &network,
            model: &model,
            rest: &REST,
            streaming: &STREAMING,
            stretch_s,
            outside: &SUNNY,
        };
        let told = beat.hottest(share, &settled);
        let (on, off) =
            (model.stepper(stretch_s / 10.0), model.stepper(stretch_s * (1.0 / share - 1.0) / 20.0));
        let (rest_w, streaming_w) =
            (super::transient::Model::loads_w(&REST), super::transient::Model::loads_w(&STREAMING));
        let mut temps = network.settle(&REST.toward(&STREAMING, share), &SUNNY);
        for _ in 0..(4.0 * 3600.0 * share / stretch_s) as usize + 3 {
            for _ in 0..20 {
                temps = model.step(&off, &temps, &rest_w, &SUNNY, &SUNNY);
            }
            for _ in 0..10 {
                temps = model.step(&on, &temps, &streaming_w, &SUNNY, &SUNNY);
            }
        }
        // Slopes change over the ripple; with 10 K of it by a few hundredths.
        assert!(apart(&told, &temps) < 0.1, "{share} {stretch_s}: {told:?} {temps:?}");
    }
}

#[test]
fn allowed_duty_is_where_the_first_part_meets_its_limit() {
    let network = Network::new(&Case::TYPICAL, &Board::TYPICAL).unwrap();
    let settled = network.settle(&STREAMING, &SUNNY);
    let model = network.model_at(&settled, SUNNY.air_c);
    let beat = Beat {
        network: &network,
        model: &model,
        rest: &REST,
        streaming: &STREAMING,
        stretch_s: 30.0,
        outside: &SUNNY,
    };
    let cold = network.settle(&REST, &SUNNY);
    let mut last = 0.0;
    for step in 1..8 {
        // Limits for the chip between its rest and its streaming temperature, rising.
        let chip_c = cold[CHIP] + f64::from(step) / 6.0 * (settled[CHIP] - cold[CHIP]);
        let limits = Limits { chip_c, softens_c: 500.0, sensor_c: 500.0, ..Limits::TYPICAL };
        let duty = beat.allowed(&settled, |temps| limits.least(temps, &Board::TYPICAL, &STREAMING));
        assert!(duty.share >= last, "{duty:?}");
        last = duty.share;
        if duty.share > 0.0 && duty.share < 1.0 {
            assert!((duty.temps[CHIP] - chip_c).abs() < 2e-3);
            assert!(apart(&duty.temps, &beat.hottest(duty.share, &settled)) < 1e-6);
        }
    }
    assert_eq!(last, 1.0);
    let never = beat.allowed(&settled, |temps| 20.0 - temps[CHIP]);
    assert_eq!(never.share, 0.0);
}

#[test]
fn minutes_to_a_limit_agree_with_the_call() {
    let network = Network::new(&vented(gap_case()), &Board::TYPICAL).unwrap();
    let rest = network.settle(&REST, &SUNNY);
    let full = network.settle(&STREAMING, &SUNNY);
    let model = network.model_at(&full, SUNNY.air_c);
    let limit_c = f64::midpoint(rest[CHIP], full[CHIP]) + 0.3 * (full[CHIP] - rest[CHIP]);
    let found_s = model.time_to(&rest, &STREAMING, &SUNNY, |temps| limit_c - temps[CHIP]).unwrap();
    let by_second = model.call(&rest, &STREAMING, &SUNNY, 1.0, 20_000);
    let counted_s = by_second.iter().position(|temps| temps[CHIP] >= limit_c).unwrap() as f64 + 1.0;
    assert!((found_s / counted_s - 1.0).abs() < 0.01, "{found_s} {counted_s}");
    assert_eq!(model.time_to(&rest, &STREAMING, &SUNNY, |temps| full[CHIP] + 0.5 - temps[CHIP]), None);
    assert_eq!(model.time_to(&full, &STREAMING, &SUNNY, |temps| limit_c - temps[CHIP]), Some(0.0));
    // A call that never ends arrives at the steady state: another solver, the same network.
    assert!(apart(&model.call(&rest, &STREAMING, &SUNNY, 600.0, 100)[99], &full) < 1e-5);
}

/// Halving the step quarters the error: second order, bends and changing weather included.
#[test]
fn steps_are_of_second_order() {
    // With cells inside, so that the air's own two seconds do not count.
    let board = Board { contents_j_k: 45.0, ..Board::TYPICAL };
    let network = Network::new(&vented(gap_case()), &board).unwrap();
    let start = network.settle(&REST, &Outside::still(0.0));
    let model = network.model_at(&network.settle(&STREAMING, &SUNNY), SUNNY.air_c);
    let loads_w = super::transient::Model::loads_w(&STREAMING);
    let end = |count: u32| {
        let stepper = model.stepper(3600.0 / f64::from(count));
        let mut temps = start;
        for i in 0..count {
            let at = |i: u32| Outside::still(0.0).toward(&SUNNY, f64::from(i) / f64::from(count));
            temps = model.step(&stepper, &temps, &loads_w, &at(i), &at(i + 1));
        }
        temps
    };
    let exact = end(20_000);
    let (coarse, fine, finer) = (apart(&end(60), &exact), apart(&end(240), &exact), apart(&end(960), &exact));
    // Quartered steps leave a sixteenth in the limit; while steps are longer than the chip's own seconds, a little more.
    assert!(coarse / fine > 8.0 && fine / finer > 12.0, "{coarse} {fine} {finer}");
    assert!(coarse < 0.01, "one minute: {coarse}");
}

/// The reduced search against all 8,760 hours solved in full: worst hour and worst temperature.
#[test]
fn three_candidate_days_hold_the_worst_hour() {
    for (latitude, azimuth, seed) in [(52.0, 240.0, 1), (40.0, 90.0, 2), (60.0, 180.0, 3), (-35.0, 280.0, 4)]
    {
        for case in [Case::TYPICAL, Case { absorptance: 0.3, ..vented(gap_case()) }] {
            let network = Network::new(&case, &Board::TYPICAL).unwrap();
            let year = wall(azimuth).year(&case, &a_year(latitude, seed));
            let days = candidates(&network, &STREAMING, &year);
            assert_eq!(days.len(), 3);
            let (day, temps) = hottest(&network, &STREAMING, &days).unwrap();
            let mut guess = temps;
            let worst = year.iter().fold(f64::NEG_INFINITY, |worst, outside| {
                guess = network.settle_from(&guess, &STREAMING, outside);
                worst.max(guess[CHIP])
            });
            assert!(worst - temps[CHIP] < 0.1, "{worst} {temps:?}");
            // The day in time stays below its worst hour's steady state, and comes near it.
            let model = network.model_at(&temps, day.hours[day.worst_hour].air_c);
            let run = model.day(&STREAMING, day);
            let below_k = temps[CHIP] - run.peak[CHIP];
            assert!((-0.05..4.0).contains(&below_k), "{below_k}");
            // Its 10-minute steps against steps of 20 seconds.
            let (stepper, loads_w) = (model.stepper(20.0), super::transient::Model::loads_w(&STREAMING));
            let mut temps = run.hours[0];
            for (hour, pair) in day.hours.windows(2).enumerate() {
                for part in 0..180 {
                    let at = |part: i32| pair[0].toward(&pair[1], f64::from(part) / 180.0);
                    temps = model.step(&stepper, &temps, &loads_w, &at(part), &at(part + 1));
                }
                let allowed_k = if hour + 1 == run.hottest_hour { 0.1 } else { 0.3 };
                let off_k = apart(&temps, &run.hours[hour + 1]);
                assert!(off_k < allowed_k, "{hour}: {off_k}");
            }
        }
    }
}

/// A wall to the west is worst in the afternoon, to the east before noon.
#[test]
fn the_worst_hour_is_searched() {
    let case = Case::TYPICAL;
    let network = Network::new(&case, &Board::TYPICAL).unwrap();
    let year = a_year(50.0, 7);
    let hour =
        |azimuth: f64| candidates(&network, &STREAMING, &wall(azimuth).year(&case, &year))[0].worst_hour;
    assert!((14..=19).contains(&hour(270.0)), "{}", hour(270.0));
    assert!((7..=12).contains(&hour(90.0)), "{}", hour(90.0));
}

#[test]
fn heat_and_overhang_end_dew() {
    let year = a_year(52.0, 5);
    let free =
        Window { emissivity: 0.9, sky_view: 0.5, film_w_m2k: 11.0, rise_k_w: Window::rise_k_w(0.015, 11.0) };
    let dew = free.year(&year, 0.0).unwrap();
    let under = Window { sky_view: 0.1, ..free }.year(&year, 0.0).unwrap();
    assert!(dew.hours() > 100 && under.hours() < dew.hours(), "{} {}", dew.hours(), under.hours());
    let heater_w = dew.heater_w(0);
    assert_eq!(free.year(&year, heater_w * 1.000_001).unwrap().hours(), 0);
    assert!(free.year(&year, dew.heater_w(50) * 1.000_001).unwrap().hours() <= 50);
    // trade.md `heat.dew`: a ring heater of 50..150 mW.
    assert!((0.01..0.15).contains(&heater_w), "{heater_w}");
}

#[test]
fn hostile_numbers_are_refused() {
    let bad = [
        Network::new(&Case { width_m: f64::NAN, ..Case::TYPICAL }, &Board::TYPICAL),
        Network::new(&Case { height_m: 2.0, ..Case::TYPICAL }, &Board::TYPICAL),
        Network::new(&Case::TYPICAL, &Board { sink_k_w: Some(0.0), ..Board::TYPICAL }),
        Network::new(&Case::TYPICAL, &Board { chip_j_k: -1.0, ..Board::TYPICAL }),
    ];
    assert_eq!(bad.map(|network| network.unwrap_err().what), ["width_m", "height_m", "sink_k_w", "chip_j_k"]);
    let network = Network::new(&Case::TYPICAL, &Board::TYPICAL).unwrap();
    assert!(candidates(&network, &REST, &[]).is_empty());
    assert!(hottest(&network, &REST, &[]).is_none());
    // NaN weather gives NaN temperatures, not a hang or a panic.
    assert!(network.settle(&REST, &Outside::still(f64::NAN))[CHIP].is_nan());
    assert_eq!(Limits::TYPICAL.first(&[f64::NAN; NODES], &Board::TYPICAL, &REST).0, Part::Chip);
}
