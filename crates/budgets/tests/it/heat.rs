//! Heat, worked out a second time: the balance of the six lumps from textbook formulas, and what sun and shade must do.

use crate::shipped::{GATE, NOMINAL, bare, codes, draws, figure, nominal, with};
use budgets::assessment::assess;
use station::plan::Plan;

/// The gate in a light case under a lintel, on a wall to the north-east.
fn gate(changes: &[(&str, &str)]) -> Plan {
    let told: &[(&str, &str)] = &[
        ("camera.size", "800x600"),
        ("case.sheet", "asa"),
        ("case.absorptance", "0.35"),
        ("case.sky_view", "0.1"),
        ("site.facing", "60 deg"),
    ];
    with(&bare(GATE), &[told, changes].concat())
}

/// Conductivity (W/(m K)), kinematic viscosity and diffusivity (m²/s) of air at 300 and 350 K, straight between
/// (Incropera and DeWitt, table A.4, from memory).
fn air(film_k: f64) -> [f64; 3] {
    let share = (film_k - 300.0) / 50.0;
    [(26.3e-3, 30.0e-3), (15.89e-6, 20.92e-6), (22.5e-6, 29.9e-6)].map(|(a, b)| a + share * (b - a))
}

/// What a box of 80 by 120 by 40 mm loses to still air and to surroundings of its temperature, W.
fn outer_w(case_c: f64, air_c: f64) -> f64 {
    let [k, nu, alpha] = air(f64::midpoint(case_c, air_c) + 273.15);
    let film_k = f64::midpoint(case_c, air_c) + 273.15;
    let ra = |length_m: f64| 9.81 / film_k * (case_c - air_c).abs() * length_m.powi(3) / (nu * alpha);
    let upright =
        0.68 + 0.67 * ra(0.12).powf(0.25) / (1.0 + (0.492 * alpha / nu).powf(9.0 / 16.0)).powf(4.0 / 9.0);
    let (upright_m2, flat_m2) = (0.08 * 0.12 + 2.0 * 0.12 * 0.04, 0.08 * 0.04);
    let flat_m = flat_m2 / (2.0 * (0.08 + 0.04));
    // Warm side up 0.54 Ra^1/4, warm side down 0.27.
    let h_upright = upright * k / 0.12;
    let h_flat = 0.81 * ra(flat_m).powf(0.25) * k / flat_m;
    let black = |c: f64| 5.670_374e-8 * (c + 273.15).powi(4);
    (h_upright * upright_m2 + h_flat * flat_m2) * (case_c - air_c)
        + 0.9 * (upright_m2 + 2.0 * flat_m2) * (black(case_c) - black(air_c))
}

/// Of the gate while it streams: chip above air, K. Found by halving the case's temperature until what goes in comes out.
fn own_rise_by_hand(air_c: f64) -> f64 {
    // Rail 3.3 V, 200 mA while streaming of which the sensor takes 20; the buck passes 90 %.
    let (rail_w, sensor_w) = (3.3 * 0.2, 3.3 * 0.02);
    let buck_w = (rail_w + 3.3 * 0.005) * (1.0 / 0.9 - 1.0);
    // On the board: the status lamp's 5 mA, and what never sleeps is set to nothing.
    let lamp_w = 3.3 * 0.005;
    let total_w = rail_w + buck_w + lamp_w;
    let (mut low, mut high) = (air_c, air_c + 60.0);
    for _ in 0..60 {
        let case_c = f64::midpoint(low, high);
        // The back passes 20 W/(m² K) into a wall at the air's temperature.
        let out_w = outer_w(case_c, air_c) + 20.0 * 0.08 * 0.12 * (case_c - air_c);
        if out_w < total_w { low = case_c } else { high = case_c }
    }
    let case_c = f64::midpoint(low, high);
    // Inside: film 8 and 2.4 mm of the sheet's plastic over all six faces.
    let inner_m2 = 2.0 * (0.08 * 0.12 + 0.12 * 0.04 + 0.08 * 0.04);
    let through = inner_m2 / (1.0 / 8.0 + 0.0024 / 0.175);
    // Sensor between board (60 K/W) and case (120 K/W): heat s through the lens holder. Board above case both ways:
    // b = (total - s)/through + 45 (total - s) and b = 120 s + 60 (s - sensor).
    let k = 1.0 / through + 45.0;
    let s = (k * total_w + 60.0 * sensor_w) / (180.0 + k);
    let board_c = case_c + k * (total_w - s);
    board_c + 15.0 * (rail_w - sensor_w) - air_c
}

#[test]
fn own_rise_is_that_of_the_balance_by_hand() {
    let plan = gate(&[
        ("case.conductivity", "0.175 W/m.K"),
        ("case.contact", "20 W/m2.K"),
        ("chip.streaming", "200 mA"),
        ("sensor.on", "20 mA"),
        ("regulator.efficiency", "0.9"),
        ("regulator.quiescent", "0 A"),
        ("board.sleep_extras", "0 A"),
    ]);
    let told = assess(&plan, NOMINAL);
    let of = |name: &str| figure(&told, name).nominal.unwrap();
    let air_c = of("chip_streaming") - of("sun_rise") - of("own_rise");
    let by_hand = own_rise_by_hand(air_c);
    // The table's straight lines for air are good to a per cent of the outer film, a tenth of the whole way.
    assert!((of("own_rise") - by_hand).abs() < 0.2, "{} by hand {by_hand} at {air_c}", of("own_rise"));
}

#[test]
fn colour_shade_pad_and_vent_cool_and_pre_roll_heats() {
    let dark = [("case.absorptance", "0.92"), ("site.facing", "250 deg")];
    let chip = |changes: &[(&str, &str)]| nominal(&gate(&[&dark, changes].concat()), "chip_streaming");
    let before = chip(&[]);
    for cooler in
        [("case.absorptance", "0.35"), ("case.sun", "0.2"), ("board.pad", "true"), ("case.vent", "500 mm2")]
    {
        let after = chip(&[cooler]);
        assert!(after < before - 0.5, "{cooler:?}: {before} to {after}");
    }
    // What the figure of the sink's gain says is what a sink brings.
    let gain = nominal(&gate(&dark), "sink_gain");
    assert!((before - chip(&[("board.sink", "true")]) - gain).abs() < 1e-6);
    // Pre-roll is streaming without end, and asks for all the time there is.
    let pre_roll = assess(&gate(&[("rest.pre_roll", "2 s")]), NOMINAL);
    let of = |name: &str| figure(&pre_roll, name).nominal.unwrap();
    // The status lamp alone, lit in a call, tells the two apart.
    assert!((of("chip_at_rest") - of("chip_streaming")).abs() < 1.0);
    assert_eq!(figure(&pre_roll, "allowed_duty").limit, Some(1.0));
}

#[test]
fn the_evening_wall_is_the_hot_one_and_the_night_is_wet() {
    let rise = |facing: &str| nominal(&gate(&[("site.facing", facing)]), "sun_rise");
    // The air is warmest in the afternoon, and so the wall to the west is worse than that to the east.
    let hottest = |facing: &str| nominal(&gate(&[("site.facing", facing)]), "chip_streaming");
    assert!(hottest("255 deg") > hottest("75 deg") && rise("255 deg") > rise("0 deg"));
    // More sky, more dew; a station that sleeps is colder than one awake.
    let dew = |changes: &[(&str, &str)]| nominal(&gate(changes), "dew_time");
    assert!(dew(&[("case.sky_view", "0.5")]) > dew(&[]) && dew(&[("rest.mode", "sleep")]) >= dew(&[]));
}

#[test]
fn a_station_that_says_nothing_of_heat_is_not_judged_by_it() {
    let silent = assess(&with(&bare(GATE), &[("camera.size", "800x600")]), NOMINAL);
    assert!(silent.budgets.iter().all(|budget| budget.name != "heat"));
    // A case without a wall's direction cannot be told.
    let case = assess(&with(&bare(GATE), &[("camera.size", "800x600"), ("case.sheet", "asa")]), NOMINAL);
    assert!(codes(&case).contains(&("heat.weakest", "unknown")));
}

#[test]
fn a_light_case_fits_in_nearly_all_builds() {
    let told = assess(&gate(&[]), draws(512));
    for name in ["weakest_room", "case_in_sun", "touch_in_sun", "allowed_duty"] {
        let fits = figure(&told, name).fits_probability.unwrap();
        assert!(fits >= 0.95, "{name}: {fits}");
    }
}
