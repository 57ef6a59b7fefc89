//! How long cells last, and what shortens it.

use super::{
    Budget, Check, Rule, Sense, Verdict, cells, clause, figure, fine, found, gap, percent, physics, show,
};
use models::energy::by_hand::Effect;
use models::energy::{DAY_S, YEARS_MAX};
use station::choices::{Rest, Retry};

const HORIZON_S: f64 = YEARS_MAX as f64 * 365.0 * DAY_S;
/// Share of a pack that cold and age may take before it is a finding: ours; the trade's "dead at 30 %" is just within.
const UNUSABLE: f64 = 0.35;
const CELLS: &[&str] =
    &["cell.sheet", "rest.mode", "rest.idle_every", "cell.parallel", "board.sleep_extras", "callers.calls"];

/// The figures.
pub(in crate::rules) static RULES: &[Rule] = &[
    Rule {
        code: "power.run-time",
        applies: cells,
        sense: Sense::AtLeast,
        // Five years of 365 days are as far as a life is followed: a wish of more is judged by that.
        limit: Some(|s, _| s.want.run_s.min(HORIZON_S)),
        wanted: 0.1,
        horizon: HORIZON_S,
        about: CELLS,
        tries: &[
            "rest.idle_every",
            "rest.mode",
            "rest.standby",
            "net.remembered",
            "net.retry",
            "cell.parallel",
            "cell.sheet",
            "regulator.sheet",
            "board.sheet",
            "solar.peak",
        ],
        source: "day by day with callers, season, age and self-discharge; empty when a burst cannot be carried",
        says: |f| {
            let s = &f.plan.station;
            let life = f.engine.life(s);
            let hand = clause([life.usable_c, life.mean_a, life.by_hand_s], |[charge, current, time]| {
                format!("; by hand, {} over {} is {}", show(charge, "C"), show(current, "A"), days(time))
            });
            let why = match f.engine.life_effect(s) {
                Some((effect, without_s)) => {
                    format!("; {} ({} without)", effect_words(effect), days(without_s))
                }
                None => String::new(),
            };
            format!(
                "it lasts {} (wanted: {}): {}{hand}{why}",
                days(f.value),
                days(f.limit),
                gap(f, Sense::AtLeast, "d")
            )
        },
        ..figure(Budget::Power, "run_time", "how long cells last", "s", |s, e| e.life(s).end_s)
    },
    Rule {
        applies: cells,
        about: CELLS,
        source: "usable charge over mean current, three lines of arithmetic",
        ..figure(Budget::Power, "run_time_by_hand", "the same by hand", "s", |s, e| e.life(s).by_hand_s)
    },
    Rule {
        applies: cells,
        about: &["rest.mode", "board.sleep_extras", "chip.touch_sleep", "sensor.on"],
        source: "sum of what never sleeps, the sensor, chip and regulator",
        ..figure(Budget::Power, "rest_current", "current between calls", "A", |s, e| e.life(s).rest_a)
    },
    Rule {
        code: "power.burst-end",
        applies: cells,
        feeds: "run_time",
        limit: Some(|_, _| UNUSABLE),
        about: &[
            "cell.resistance",
            "cell.cold_resistance",
            "cell.ageing",
            "regulator.dropout",
            "cable.section",
        ],
        tries: &["cell.parallel", "regulator.sheet", "cell.sheet", "site.cells_indoors"],
        source: "OCV(soc) - I (R(T, age) + R_wire) against the least voltage, on the coldest day of the third year",
        says: |f| {
            let cold = f.engine.life(&f.plan.station).coldest_degc;
            // Cells in a warm room have no frosty mornings: there it is age, or a part that asks too much.
            let looks =
                if cold < 5.0 { "dead on frosty mornings though not empty" } else { "dead though not empty" };
            let coldest = clause([cold], |[cold]| format!(", at {},", show(cold, "degC")));
            if f.value >= 1.0 {
                return format!("on the coldest day{coldest} even full cells cannot carry a burst");
            }
            format!(
                "on the coldest day{coldest} a burst fails with {} of the charge still in the cells, up to {} is sound: {}; {looks}",
                percent(f.value),
                percent(f.limit),
                gap(f, Sense::AtMost, "%")
            )
        },
        ..figure(Budget::Power, "unusable_share", "charge that cold and age make useless", "1", |s, e| {
            e.life(s).unusable
        })
    },
    Rule {
        code: "power.pulse-chemistry",
        applies: cells,
        limit: Some(|s, _| s.cell.pulse_a),
        about: &["cell.pulse", "cell.chemistry", "chip.burst"],
        tries: &["cell.parallel", "cell.sheet"],
        source: "burst or start through one cell against the largest pulse it gives",
        says: |f| {
            format!(
                "each cell must give {} in a burst; this kind gives {}: {}",
                show(f.value, "A"),
                show(f.limit, "A"),
                gap(f, Sense::AtMost, "A")
            )
        },
        ..figure(Budget::Power, "cell_burst", "burst through one cell", "A", |s, e| e.life(s).cell_burst_a)
    },
    Rule {
        code: "power.sun-chain",
        applies: |plan| cells(plan) && plan.station.solar.peak_w > 0.0,
        sense: Sense::AtLeast,
        limit: Some(|_, _| 1.0),
        wanted: 0.2,
        feeds: "run_time",
        about: &["solar.peak", "solar.chain", "solar.tilt", "solar.facing", "site.latitude"],
        tries: &["solar.charger", "solar.tilt", "rest.idle_every", "rest.mode", "solar.peak"],
        source: "clear-sky and mean cloud on the panel's plane, chain 0.5 (0.35..0.65) and dirt typical, from memory; no charge in frost",
        says: |f| {
            format!(
                "in the darkest month the panel gives {:.2} of what is used, 1 is needed: {}",
                f.value,
                if f.over { "the cells run down meanwhile".into() } else { gap(f, Sense::AtLeast, "1") }
            )
        },
        ..figure(Budget::Power, "worst_month_sun", "sun over use in the darkest month", "1", |s, e| {
            e.life(s).worst_sun
        })
    },
];

/// What moves the simulated answer from the one by hand.
fn effect_words(effect: Effect) -> &'static str {
    match effect {
        Effect::Cold => "the cold makes the difference",
        Effect::SelfDischarge => "the cells' emptying by themselves makes the difference",
        Effect::Age => "the cells' ageing makes the difference",
        Effect::Sun => "the sun makes the difference",
    }
}

/// A time as a person plans with it.
fn days(time_s: f64) -> String {
    match time_s / DAY_S {
        d if d >= HORIZON_S / DAY_S - 0.5 => "more than 5 years".into(),
        d if d >= 730.0 => format!("{:.1} years", d / 365.25),
        d if d >= 60.0 => format!("{:.0} months", d / 30.44),
        d if d >= 10.0 => format!("{d:.0} days"),
        d if d >= 1.0 => format!("{d:.1} days"),
        d if d < 0.01 => "no time at all".into(),
        d => format!("{:.0} hours", d * 24.0),
    }
}

/// The checks.
pub(in crate::rules) static CHECKS: &[Check] = &[
    Check {
        budget: Budget::Power,
        code: "power.awake",
        tries: &["rest.mode"],
        look: |plan, e| {
            let s = &plan.station;
            if !cells(plan) || s.rest.mode != Rest::Awake {
                return fine();
            }
            let life = e.life(s);
            if !life.by_hand_s.is_finite() || !life.day_j.is_finite() {
                return fine();
            }
            found(
                Verdict::Over,
                "rest.mode",
                format!(
                    "awake between calls it uses {} a day: cells of {} last {}",
                    show(life.day_j, "J"),
                    show(s.cell.capacity_c * f64::from(s.cell.parallel), "C"),
                    days(life.by_hand_s)
                ),
                "sleep between presses, or feed it by a line",
            )
        },
    },
    Check {
        budget: Budget::Power,
        code: "power.sensor-sleep",
        tries: &["rest.standby", "board.sheet"],
        look: |plan, e| {
            let s = &plan.station;
            let held = s.board.power_down && (s.board.power_down_held || s.rest.mode == Rest::Joined);
            if !cells(plan) || s.rest.mode == Rest::Awake || held {
                return fine();
            }
            let life = e.life(s);
            let why = if s.board.power_down { "is not held in deep sleep" } else { "is not wired" };
            found(
                if life.sensor_share > 0.2 { Verdict::Tight } else { return fine() },
                "board.power_down",
                format!(
                    "the sensor's power-down line {why}: the sensor draws {} of the current between calls",
                    percent(life.sensor_share)
                ),
                "hold the line with a pull resistor or an always-on pin",
            )
        },
    },
    Check {
        budget: Budget::Power,
        code: "power.board-extras",
        tries: &["board.sheet"],
        look: |plan, e| {
            let s = &plan.station;
            if !cells(plan) || s.rest.mode == Rest::Awake {
                return fine();
            }
            let life = e.life(s);
            if life.end_s.is_nan() || life.extras_share <= 0.5 {
                return fine();
            }
            found(
                Verdict::Tight,
                "board.sleep_extras",
                format!(
                    "{} of the current between calls goes into what never sleeps on the board: power lamp, serial bridge, old regulator, divider",
                    percent(life.extras_share)
                ),
                "cut the power lamp, feed the board after its regulator, switch the divider; then measure the sleep current",
            )
        },
    },
    Check {
        budget: Budget::Power,
        code: "power.regulator",
        tries: &["regulator.sheet"],
        look: |plan, _| {
            let s = &plan.station;
            if cells(plan) && s.rest.mode != Rest::Awake && s.regulator.quiescent_a > 1e-3 {
                return found(
                    Verdict::Tight,
                    "regulator.quiescent",
                    format!(
                        "the regulator itself draws {} while everything sleeps",
                        show(s.regulator.quiescent_a, "A")
                    ),
                    "a low-quiescent regulator draws a hundredth of it",
                );
            }
            fine()
        },
    },
    Check {
        budget: Budget::Power,
        code: "power.outage",
        tries: &["net.retry"],
        look: |plan, e| {
            let s = &plan.station;
            if !cells(plan) || s.net.retry != Retry::Steady {
                return fine();
            }
            let life = e.life(s);
            // A twentieth of the pack for a day without the router is what a household may lose: ours.
            if life.end_s.is_nan() || life.outage_day <= 0.05 && life.outage_share <= 0.05 {
                return fine();
            }
            found(
                Verdict::Tight,
                "net.retry",
                format!(
                    "while the router is off it seeks it every {}: {} for each day of outage, {} of what the cells hold",
                    show(physics::RETRY_S[0], "s"),
                    show(life.outage_day_c[0], "C"),
                    percent(life.outage_day.min(1.0))
                ),
                &format!(
                    "back off to {} ({} a day), keep the press, let the lamp tell the visitor",
                    show(physics::RETRY_S[1], "s"),
                    show(life.outage_day_c[1], "C")
                ),
            )
        },
    },
    Check {
        budget: Budget::Power,
        code: "power.false-wake",
        tries: &[],
        look: |plan, e| {
            let s = &plan.station;
            if !cells(plan) || s.rest.mode != Rest::Sleep {
                return fine();
            }
            let life = e.life(s);
            if life.end_s.is_nan() || life.wakes_share <= 0.25 {
                return fine();
            }
            found(
                Verdict::Tight,
                "plate.false_wakes",
                format!("{} of the charge goes into wakes without a caller", percent(life.wakes_share)),
                "record a day of plate readings before trusting this number",
            )
        },
    },
    Check {
        budget: Budget::Power,
        code: "power.restart-loop",
        tries: &["cell.hysteresis", "cell.parallel", "regulator.sheet"],
        look: |plan, e| {
            let s = &plan.station;
            if !cells(plan) || s.cell.hysteresis_v >= 0.2 {
                return fine();
            }
            let (run_end, start_end) = e.life(s).restart;
            if start_end.is_nan() || start_end <= run_end {
                return fine();
            }
            found(
                Verdict::Tight,
                "cell.hysteresis",
                format!(
                    "in the cold it runs down to {} of charge but starts only above {}: one brown-out in between, and it boots and fails until the rest is gone",
                    percent(run_end.min(1.0)),
                    percent(start_end.min(1.0))
                ),
                "a cut-off with 0.2 V of hysteresis ends the loop",
            )
        },
    },
    Check {
        budget: Budget::Power,
        code: "power.cold-charge",
        tries: &["cell.sheet", "site.cells_indoors"],
        look: |plan, e| {
            let s = &plan.station;
            let data = physics::data(s.cell.chemistry);
            if !cells(plan) || s.solar.peak_w <= 0.0 || data.charges_in_frost || s.site.indoors {
                return fine();
            }
            let life = e.life(s);
            if life.end_s.is_nan() || life.frost_share <= 0.05 {
                return fine();
            }
            found(
                Verdict::Tight,
                "cell.chemistry",
                format!(
                    "{} of the year's sun comes while the cells are below freezing and must not be charged",
                    percent(life.frost_share)
                ),
                "other cells, or cells indoors; never charge lithium cells below 0 °C or above about 45 °C",
            )
        },
    },
    Check {
        budget: Budget::Power,
        code: "power.primary-charge",
        tries: &["cell.sheet", "solar.peak"],
        look: |plan, _| {
            let s = &plan.station;
            if cells(plan) && s.solar.peak_w > 0.0 && !physics::data(s.cell.chemistry).chargeable {
                return found(
                    Verdict::Over,
                    "cell.chemistry",
                    "primary cells stand on a charging path: they can leak, burst or burn",
                    "rechargeable cells, or no panel; a blocking diode is the least",
                );
            }
            fine()
        },
    },
];
