//! heat: does it stay cool enough on the hottest day, and how long may it stream?

use super::{figure, fine, found, gap, percent, tells};
use crate::physics::{self, CALL_HORIZON_S, Heat, node_c};
use crate::rule::{Budget, Check, Compute, Rule, Sense, Shown, Verdict};
use models::heat::Node;
use models::heat::limits::{CELL_CHARGE_C, Part, SOFTENING_ROOM_K};
use quantity::show;
use station::choices::{RegulatorKind, SupplyKind};
use station::plan::Plan;

const ABOUT: &[&str] = &["site.facing", "case.absorptance", "case.sun", "chip.streaming", "case.width"];
const COOLER: &[&str] = &[
    "rest.pre_roll",
    "case.absorptance",
    "case.sun",
    "case.spacers",
    "board.pad",
    "board.sink",
    "case.vent",
    "regulator.sheet",
    "site.cells_indoors",
    "case.sheet",
];
const NETWORK: &str = "six lumps: conduction, natural convection (Churchill-Chu and horizontal plates) and radiation together, sun on case and wall, the worst hour of a year searched; typical, from memory where nothing is stated";
/// Dew in more hours of a year than this is a finding: two weeks of nights, ours.
const DEW_HOURS: f64 = 150.0;
/// Room of the weakest part under which the sun is worth a word, K: ours.
const SUN_ROOM_K: f64 = 5.0;
/// A sink that takes off less of the chip's own rise is not worth its glue: ours.
const SINK_WORTH: f64 = 0.15;

/// Whether the plan says where it hangs or in what.
fn told(plan: &Plan) -> bool {
    plan.sheet("case").is_some() || tells(plan, "case.") || tells(plan, "site.facing")
}

/// A temperature or a rise that only informs.
const fn shown(name: &'static str, title: &'static str, unit: &'static str, value: Compute) -> Rule {
    Rule { applies: told, about: ABOUT, source: NETWORK, ..figure(Budget::Heat, name, title, unit, value) }
}

/// The figures.
pub(super) static RULES: &[Rule] = &[
    shown("chip_at_rest", "chip between calls, hottest hour", "degC", |s, e| {
        node_c(&e.heat(s).rest, Node::Chip)
    }),
    shown("chip_in_call", "chip at the end of a call", "degC", |s, e| node_c(&e.heat(s).call, Node::Chip)),
    shown("chip_streaming", "chip, streaming without end", "degC", |s, e| {
        node_c(&e.heat(s).streaming, Node::Chip)
    }),
    shown("sensor_in_call", "image sensor at the end of a call", "degC", |s, e| {
        node_c(&e.heat(s).call, Node::Sensor)
    }),
    Rule {
        code: "heat.weakest",
        sense: Sense::AtLeast,
        limit: Some(|_, _| 0.0),
        tries: COOLER,
        says: |f| {
            let heat = nominal(f);
            format!(
                "{} is the first to pass its limit, at the end of a call in the hottest hour, {} of air: {}; the sun brings the chip {}, its own power {}",
                part_words(heat.first.0),
                degrees(heat.air_c),
                gap(f, Sense::AtLeast, "K"),
                kelvin(heat.sun_k),
                kelvin(heat.own_k)
            )
        },
        to_do: |_| {
            "white paint or a shade board first; then a pad from the chip to the case, vents and fans last"
                .into()
        },
        ..shown("weakest_room", "room of the first part to fail, in a call", "K", |s, e| e.heat(s).first.1)
    },
    Rule {
        code: "heat.softening",
        limit: Some(|s, _| s.case.softens_degc - SOFTENING_ROOM_K),
        about: &["case.softens", "case.sheet", "case.absorptance", "site.facing"],
        tries: &["case.absorptance", "case.sun", "case.spacers", "case.sheet"],
        says: |f| {
            format!(
                "the case reaches {} in the hottest hour and begins to sag at {}, of which 5 K are kept: {}",
                degrees(f.value),
                degrees(f.plan.station.case.softens_degc),
                gap(f, Sense::AtMost, "K")
            )
        },
        to_do: |_| "another plastic, in white; or shade".into(),
        ..shown("case_in_sun", "case in the hottest hour, in a call", "degC", |s, e| {
            node_c(&e.heat(s).call, Node::Case)
        })
    },
    Rule {
        code: "heat.touch",
        limit: Some(|s, _| physics::touch_limit(s)),
        about: &["case.conductivity", "cover.thickness", "case.absorptance", "site.facing"],
        tries: &["case.absorptance", "case.sun", "case.spacers", "cover.sheet", "case.sheet"],
        source: "IEC 62368-1:2018, table 38, TS1 (from memory): a plate for 1 to 10 s, a case that need not be touched; by material",
        says: |f| {
            format!(
                "in full sun case and plate reach {}; {} may be touched: {}",
                degrees(f.value),
                degrees(f.limit),
                gap(f, Sense::AtMost, "K")
            )
        },
        to_do: |_| "shade, a light colour, or a cover of plastic over bare metal".into(),
        ..shown("touch_in_sun", "what a hand touches, in full sun", "degC", |s, e| {
            node_c(&e.heat(s).call, Node::Case)
        })
    },
    Rule {
        code: "heat.duty",
        sense: Sense::AtLeast,
        limit: Some(|s, e| e.heat(s).demanded),
        wanted: 0.1,
        follows: &["heat.weakest"],
        about: &["rest.pre_roll", "callers.calls", "callers.call", "site.facing", "case.absorptance"],
        tries: COOLER,
        source: "mean load solved with all its bends, and the ripple of the stretches; the busiest hour holds 4 times the day's mean: typical, from memory",
        says: |f| {
            let why = if f.plan.station.rest.pre_roll_s > 0.0 { " because of its pre-roll" } else { "" };
            format!(
                "in the hottest hour it may stream {} of the time and must stream {}{why}: {}",
                percent(f.value),
                percent(f.limit),
                gap(f, Sense::AtLeast, "%")
            )
        },
        to_do: |_| "fewer pictures a second, shorter calls, or shade".into(),
        ..shown("allowed_duty", "share of time it may stream", "1", |s, e| e.heat(s).allowed)
    },
    Rule {
        horizon: CALL_HORIZON_S,
        ..shown("stream_until_limit", "streaming until a part reaches its limit", "s", |s, e| {
            e.heat(s).stream_s
        })
    },
    shown("sun_rise", "what sun, sky and wall bring the chip", "K", |s, e| e.heat(s).sun_k),
    shown("own_rise", "what its own power brings the chip", "K", |s, e| e.heat(s).own_k),
    shown("wall_in_sun", "the wall around it", "degC", |s, e| e.heat(s).wall_c),
    shown("sink_gain", "what a sink of 14 mm takes off the chip", "K", |s, e| e.heat(s).sink_gain_k),
    shown("vent_gain", "what two openings take off the chip", "K", |s, e| e.heat(s).vent_gain_k),
    Rule {
        source: "window against sky and air, Magnus dew point (WMO-No. 8, from memory), warmed as the resting case is",
        about: &["case.sky_view", "site.latitude", "rest.mode"],
        ..shown("dew_time", "time in a year with dew on the window", "s", |s, e| e.heat(s).dew_s)
    },
];

fn nominal(f: &mut Shown<'_, '_>) -> Heat {
    f.engine.heat(&f.plan.station)
}

fn degrees(degc: f64) -> String {
    format!("{degc:.0} °C")
}

fn kelvin(rise_k: f64) -> String {
    format!("{rise_k:.0} K")
}

/// A part in words.
fn part_words(part: Part) -> &'static str {
    match part {
        Part::Chip => "the chip",
        Part::Module => "the module, by the air around it,",
        Part::Sensor => "the image sensor",
        Part::Memory => "the extra memory",
        Part::Cell => "the cell",
        Part::Regulator => "the regulator",
        Part::Case => "the case",
    }
}

/// The checks.
pub(super) static CHECKS: &[Check] = &[
    Check {
        budget: Budget::Heat,
        code: "heat.sun-case",
        tries: &["case.absorptance", "case.sun"],
        look: |plan, e| {
            if !told(plan) {
                return fine();
            }
            let s = &plan.station;
            let heat = e.heat(s);
            let case_room_k = s.case.softens_degc - SOFTENING_ROOM_K - node_c(&heat.call, Node::Case);
            let room_k = heat.first.1.min(case_room_k);
            // Written so that what is not known finds nothing.
            if !(room_k < SUN_ROOM_K && heat.sun_k > heat.own_k) {
                return fine();
            }
            found(
                Verdict::Tight,
                "case.absorptance",
                format!(
                    "the sun brings {}, the electronics {}: colour and shade do more than vents and fans",
                    kelvin(heat.sun_k),
                    kelvin(heat.own_k)
                ),
                "paint it white, or put a board with an air gap before the sun",
            )
        },
    },
    Check {
        budget: Budget::Heat,
        code: "heat.sink-useless",
        tries: &["board.pad", "board.sink"],
        look: |plan, e| {
            let s = &plan.station;
            if !told(plan) || !s.board.sink || s.board.pad {
                return fine();
            }
            let heat = e.heat(s);
            // What lies behind the air inside, a sink on the chip does not shorten.
            let beyond: f64 = heat.shares[2..].iter().sum();
            if !(heat.sink_gain_k < SINK_WORTH * heat.own_k || beyond > 0.6) {
                return fine();
            }
            found(
                Verdict::Tight,
                "board.sink",
                format!(
                    "the sink takes {} off the chip: {} of the way out lies between the air inside and the air outside",
                    show(heat.sink_gain_k, "K"),
                    percent(beyond)
                ),
                "a pad from the chip to the back of the case",
            )
        },
    },
    Check {
        budget: Budget::Heat,
        code: "heat.linear-loss",
        tries: &["regulator.sheet", "supply.volt"],
        look: |plan, e| {
            let s = &plan.station;
            let fed = !matches!(s.supply.kind, SupplyKind::Open | SupplyKind::Cells);
            if !fed || s.regulator.kind != RegulatorKind::Linear {
                return fine();
            }
            let loss_w = (s.supply.volt_v - s.chip.rail_v).max(0.0) * e.currents(s).call_a;
            if loss_w <= 1.0 {
                return fine();
            }
            found(
                Verdict::Tight,
                "regulator.kind",
                format!(
                    "the linear regulator burns {} in a call, {} of all power, beside the sensor",
                    show(loss_w, "W"),
                    percent(1.0 - s.chip.rail_v / s.supply.volt_v)
                ),
                "a switching regulator",
            )
        },
    },
    Check {
        budget: Budget::Heat,
        code: "heat.cell-charge",
        tries: &["site.cells_indoors", "case.absorptance", "case.sun", "solar.peak"],
        look: |plan, e| {
            let s = &plan.station;
            let charges = s.solar.peak_w > 0.0 && physics::data(s.cell.chemistry).chargeable;
            if !told(plan) || !physics::cells_inside(s) || !charges {
                return fine();
            }
            let inside_c = node_c(&e.heat(s).rest, Node::Inside);
            let too_hot = inside_c > CELL_CHARGE_C;
            if !too_hot {
                return fine();
            }
            found(
                Verdict::Over,
                "solar.peak",
                format!(
                    "the cells reach {} while the panel charges them; above {} charging can set lithium cells on fire",
                    degrees(inside_c),
                    degrees(CELL_CHARGE_C)
                ),
                "a charger that stops above 45 °C, or cells out of the sun; not in the escape route",
            )
        },
    },
    Check {
        budget: Budget::Heat,
        code: "heat.dew",
        tries: &["case.sky_view", "rest.mode"],
        look: |plan, e| {
            if !told(plan) {
                return fine();
            }
            let hours = e.heat(&plan.station).dew_s / 3_600.0;
            let wet = hours > DEW_HOURS;
            if !wet {
                return fine();
            }
            found(
                Verdict::Tight,
                "case.sky_view",
                format!("dew or frost may cover the window in {hours:.0} hours of a year"),
                "an overhang, a ring heater of 50 to 150 mW, a vent membrane",
            )
        },
    },
];
