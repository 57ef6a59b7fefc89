//! power: does it start, hold up, and last?

use super::{clause, figure, fine, found, gap, percent};
use crate::physics;
use crate::rule::{Budget, Check, Rule, Sense, Verdict};
use models::energy::by_hand::Effect;
use models::supply::capacitor::gap_farad;
use models::supply::source::BankSwitchOff;
use quantity::show;
use station::choices::{CapacitorKind, Polarity, Rest, Retry, SupplyKind};
use station::fields::{Station, index_of};
use station::plan::{Origin, Plan};

const DAY_S: f64 = 86_400.0;
const RUN_HORIZON_S: f64 = models::energy::YEARS_MAX as f64 * 365.0 * DAY_S;
/// Share of a pack that cold and age may take before it is a finding: ours; the trade's "dead at 30 %" is just within.
const UNUSABLE: f64 = 0.35;
/// A pause between two calls that a power bank must outlast: an hour, ours.
const BETWEEN_CALLS_S: f64 = 3600.0;
/// Efficiency from a bell's reservoir to the rail: 0.85, typical, from memory.
const ETA: f64 = 0.85;
const CABLE: &[&str] = &["cable.run", "cable.section", "supply.volt", "cable.contacts", "board.brownout"];
const COPPER: &[&str] = &["cable.section", "supply.capacitor", "supply.volt", "regulator.sheet"];
const CELLS: &[&str] =
    &["cell.sheet", "rest.mode", "rest.idle_every", "cell.parallel", "board.sleep_extras", "callers.calls"];

fn fed(plan: &Plan) -> bool {
    !matches!(plan.station.supply.kind, SupplyKind::Open | SupplyKind::Cells)
}
fn cells(plan: &Plan) -> bool {
    plan.station.supply.kind == SupplyKind::Cells
}
fn bell(plan: &Plan) -> bool {
    plan.station.supply.kind == SupplyKind::Bell
}

fn powered(plan: &Plan) -> bool {
    fed(plan) || cells(plan)
}

/// Whether the board's own regulator meets the feed, and not one that the plan puts before the board.
fn own_regulator(plan: &Plan) -> bool {
    if index_of("regulator.max_in").is_some_and(|index| matches!(plan.origins[index], Origin::Given { .. })) {
        return false;
    }
    let Some(regulator) = plan.sheet("regulator") else { return true };
    plan.sheet("board").is_some_and(|board| {
        board.refs.iter().any(|(kind, name, _)| *kind == "regulator" && *name == regulator.name)
    })
}

/// Highest voltage at the input against what the first part behind it stands.
const OVER_VOLTAGE: Rule = Rule {
    code: "power.over-voltage",
    tries: &["regulator.sheet", "supply.volt", "cell.series"],
    source: "direct current as printed; full cells in series; a bell transformer at no load, mains 10 % high, peak of the wave",
    says: |f| {
        format!(
            "the input can meet {}; the first part behind it stands {}: {}",
            volts(f.value),
            volts(f.limit),
            gap(f, Sense::AtMost, "V")
        )
    },
    ..figure(Budget::Power, "highest_volt", "highest voltage at the input", "V", |s, e| match s.supply.kind {
        SupplyKind::Cells => physics::full_v(s),
        _ => e.feed(s).highest_v,
    })
};

/// The figures.
pub(super) static RULES: &[Rule] = &[
    Rule {
        code: "power.sag",
        applies: fed,
        sense: Sense::AtLeast,
        limit: Some(|s, _| physics::least_in_v(s)),
        wanted: 0.02,
        about: CABLE,
        tries: COPPER,
        source: "conductor by IEC 60228 or AWG, out and back; constant current or power; exact circuit theory",
        says: |f| {
            let s = &f.plan.station;
            let ohm = f.engine.feed(s).loop_ohm;
            format!(
                "{} arrive at the board at the end of a transmit burst, {} keep its rail up: {}; the loop has {}",
                volts(f.value),
                volts(f.limit),
                gap(f, Sense::AtLeast, "V"),
                show(ohm, "ohm")
            )
        },
        ..figure(Budget::Power, "volt_at_board", "volts at the board in a burst", "V", |s, e| {
            e.feed(s).burst_v
        })
    },
    Rule {
        applies: fed,
        about: &["supply.capacitor", "cable.section", "chip.burst_time"],
        source: "first-order fall through loop and capacitor to the least voltage; infinite where no capacitor helps",
        ..figure(Budget::Power, "capacitor_needed", "capacitor that rides a burst", "F", |s, e| {
            e.feed(s).capacitor_f
        })
    },
    Rule {
        code: "power.restart",
        applies: fed,
        sense: Sense::AtLeast,
        limit: Some(|s, _| physics::least_in_v(s)),
        wanted: 0.02,
        about: CABLE,
        tries: COPPER,
        source: "start 300 to 600 mA for 0.1 to 0.3 s: typical, from memory",
        says: |f| {
            format!(
                "{} arrive while the board starts, {} are needed: {}; once down it would try again without end",
                volts(f.value),
                volts(f.limit),
                gap(f, Sense::AtLeast, "V")
            )
        },
        ..figure(Budget::Power, "volt_at_start", "volts at the board at the start", "V", |s, e| {
            e.feed(s).start_v
        })
    },
    Rule {
        code: "power.source-limit",
        applies: fed,
        limit: Some(|s, e| e.feed(s).limit_a),
        wanted: 0.1,
        about: &["supply.limit", "supply.usb", "supply.rated", "supply.lock", "chip.streaming"],
        tries: &["supply.limit", "supply.usb", "supply.rated"],
        source: "mean over a second of streaming against what the source promises",
        says: |f| {
            if f.value.is_infinite() {
                return "streaming takes more power than the line can carry at any current: its voltage collapses".into();
            }
            let lock = if f.plan.station.supply.lock_a > 0.0 { " while the lock is released" } else { "" };
            format!(
                "streaming draws {}{lock} from a source that gives {}: {}",
                show(f.value, "A"),
                show(f.limit, "A"),
                gap(f, Sense::AtMost, "A")
            )
        },
        ..figure(Budget::Power, "source_current", "current from the source, streaming", "A", |s, e| {
            e.feed(s).source_a
        })
    },
    Rule {
        applies: |plan| powered(plan) && own_regulator(plan),
        limit: Some(|s, _| s.regulator.max_in_v.min(s.board.max_in_v)),
        about: &["supply.volt", "cell.series", "board.max_in", "supply.no_load"],
        ..OVER_VOLTAGE
    },
    Rule {
        applies: |plan| powered(plan) && !own_regulator(plan),
        limit: Some(|s, _| s.regulator.max_in_v),
        about: &["supply.volt", "cell.series", "regulator.max_in", "supply.no_load"],
        ..OVER_VOLTAGE
    },
    Rule {
        code: "power.lock-shares",
        applies: |plan| fed(plan) && plan.station.supply.lock_a > 0.0,
        sense: Sense::AtLeast,
        limit: Some(|s, _| physics::least_in_v(s)),
        about: &["supply.lock", "supply.lock_inrush", "cable.section"],
        tries: &["cable.section", "supply.volt"],
        source: "steady and inrush current of the lock through the same loop; x3 (2..6): typical, from memory",
        says: |f| {
            format!(
                "when the lock is released {} are left at the board, {} are needed: {}; the station resets as the door opens",
                volts(f.value),
                volts(f.limit),
                gap(f, Sense::AtLeast, "V")
            )
        },
        ..figure(Budget::Power, "volt_at_release", "volts at the board at a release", "V", |s, e| {
            e.feed(s).lock_v
        })
    },
    Rule {
        code: "power.chime-series",
        applies: |plan| bell(plan) && plan.station.supply.chime_series,
        sense: Sense::AtLeast,
        limit: Some(chime_farad),
        about: &["supply.chime_in_series", "supply.reservoir", "supply.chime_time", "supply.capacitor_esr"],
        tries: &["supply.chime_in_series", "supply.reservoir"],
        source: "C = 2 P t / (eta (V1² - V2²)), energy, V2 higher by what the capacitor's own resistance takes in the cold",
        says: |f| {
            if f.limit.is_infinite() {
                return format!(
                    "a press shorts this line for {}: no capacitor of this resistance rides it",
                    show(f.plan.station.supply.chime_s, "s")
                );
            }
            format!(
                "a press shorts this line for {}: riding it takes {}, there are {}",
                show(f.plan.station.supply.chime_s, "s"),
                show(f.limit, "F"),
                show(f.value, "F")
            )
        },
        ..figure(Budget::Power, "hold_up", "capacitor that rides the chime", "F", |s, _| {
            physics::reservoir(s).farad
        })
    },
    Rule {
        code: "power.run-time",
        applies: cells,
        sense: Sense::AtLeast,
        // Five years of 365 days are as far as a life is followed: a wish of more is judged by that.
        limit: Some(|s, _| s.want.run_s.min(RUN_HORIZON_S)),
        wanted: 0.1,
        horizon: RUN_HORIZON_S,
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
            let coldest = f.engine.life(&f.plan.station).coldest_degc;
            let coldest = clause([coldest], |[cold]| format!(", at {},", show(cold, "degC")));
            if f.value >= 1.0 {
                return format!("on the coldest day{coldest} even full cells cannot carry a burst");
            }
            format!(
                "on the coldest day{coldest} a burst fails with {} of the charge still in the cells, up to {} is sound: {}; dead on frosty mornings though not empty",
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

fn volts(volt_v: f64) -> String {
    format!("{volt_v:.2} V")
}

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
        d if d >= RUN_HORIZON_S / DAY_S - 0.5 => "more than 5 years".into(),
        d if d >= 730.0 => format!("{:.1} years", d / 365.25),
        d if d >= 60.0 => format!("{:.0} months", d / 30.44),
        d if d >= 10.0 => format!("{d:.0} days"),
        d if d >= 1.0 => format!("{d:.1} days"),
        d if d < 0.01 => "no time at all".into(),
        d => format!("{:.0} hours", d * 24.0),
    }
}

/// Capacitance that rides the chime, from the rail's power in a call to half the voltage: infinite where the
/// capacitor's own resistance already takes that.
fn chime_farad(s: &Station, e: &mut crate::physics::Engine<'_>) -> f64 {
    let currents = e.currents(s);
    let power_w = currents.call_a * s.chip.rail_v;
    let from_v = physics::transformer(&s.supply).trough_v(0.0, s.supply.reservoir_f);
    let least_v = physics::least_in_v(s).max(from_v / 2.0);
    let end_v = least_v + power_w / (ETA * least_v) * physics::reservoir(s).esr_ohm;
    if end_v >= from_v {
        return f64::INFINITY;
    }
    gap_farad(power_w, s.supply.chime_s, ETA, from_v, end_v).unwrap_or(f64::NAN)
}

/// The checks.
pub(super) static CHECKS: &[Check] = &[
    Check {
        budget: Budget::Power,
        code: "power.not-told",
        tries: &[],
        look: |plan, _| {
            if plan.station.supply.kind == SupplyKind::Open {
                return found(
                    Verdict::Unknown,
                    "supply.kind",
                    "nothing is said of what feeds it",
                    "say what feeds it: usb, adapter, bell, bank or cells",
                );
            }
            fine()
        },
    },
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
    Check {
        budget: Budget::Power,
        code: "power.bank",
        tries: &["rest.mode"],
        look: |plan, e| {
            let s = &plan.station;
            if s.supply.kind != SupplyKind::Bank {
                return fine();
            }
            let bank = BankSwitchOff { below_a: s.supply.bank_off_a, after_s: s.supply.bank_off_s };
            let rest_a = e.feed(s).rest_a;
            // A picture between calls draws enough for long enough to be seen by the bank.
            if bank.switches_off(rest_a, BETWEEN_CALLS_S.min(s.rest.idle_every_s)) {
                return found(
                    Verdict::Over,
                    "supply.kind",
                    format!(
                        "between calls it draws {}: the power bank switches itself off after {} below {} and does not come back",
                        show(rest_a, "A"),
                        show(s.supply.bank_off_s, "s"),
                        show(s.supply.bank_off_a, "A")
                    ),
                    "stay awake, or feed it by bare cells or a line",
                );
            }
            fine()
        },
    },
    Check {
        budget: Budget::Power,
        code: "power.c-to-c",
        tries: &["supply.c_to_c"],
        look: |plan, _| {
            let s = &plan.station;
            if s.supply.c_to_c && !s.supply.c_resistors && fed(plan) && !bell(plan) {
                return found(
                    Verdict::Over,
                    "supply.c_to_c",
                    "a lead with the small reversible plug at both ends gives nothing to a board without its two 5.1 kohm resistors",
                    "a lead with the large plug at the source, or solder the resistors",
                );
            }
            fine()
        },
    },
    Check {
        budget: Budget::Power,
        code: "power.rectifier",
        tries: &["supply.polarity"],
        look: |plan, _| {
            let s = &plan.station;
            if !bell(plan) {
                return fine();
            }
            match s.supply.polarity {
                Polarity::Bridge => fine(),
                Polarity::Diode => found(
                    Verdict::Over,
                    "supply.polarity",
                    "one diode passes every other half-wave: that saturates the bell transformer, which overheats",
                    "a bridge of four diodes",
                ),
                _ => found(
                    Verdict::Over,
                    "supply.polarity",
                    "alternating current meets a board that takes direct current only",
                    "a bridge of four diodes and a reservoir capacitor",
                ),
            }
        },
    },
    Check {
        budget: Budget::Power,
        code: "power.polarity",
        tries: &["supply.polarity"],
        look: |plan, _| {
            let s = &plan.station;
            if s.supply.kind == SupplyKind::Adapter
                && s.supply.polarity == Polarity::None
                && s.cable.run_m > 2.0
            {
                return found(
                    Verdict::Tight,
                    "supply.polarity",
                    "the run ends in bare wires and nothing protects against reversed ones",
                    "a transistor or a diode in series, or a connector that fits one way only",
                );
            }
            fine()
        },
    },
    Check {
        budget: Budget::Power,
        code: "power.lead",
        tries: &["cable.section", "supply.volt"],
        look: |plan, e| {
            let s = &plan.station;
            if !fed(plan) || bell(plan) || s.supply.volt_v > 6.0 {
                return fine();
            }
            let feed = e.feed(s);
            if feed.loop_ohm * s.chip.burst_a > 0.1 * s.supply.volt_v {
                return found(
                    Verdict::Tight,
                    "cable.section",
                    format!(
                        "{} of loop at {} lose a tenth and more in every burst",
                        show(feed.loop_ohm, "ohm"),
                        show(s.supply.volt_v, "V")
                    ),
                    "for a long run feed 12 V and put a converter at the station; then copper",
                );
            }
            fine()
        },
    },
    Check {
        budget: Budget::Power,
        code: "power.capacitor",
        tries: &["supply.capacitor_kind"],
        look: |plan, _| {
            let s = &plan.station;
            if s.supply.capacitor_f > 0.0
                && s.supply.capacitor_kind == CapacitorKind::Ceramic
                && s.supply.capacitor_f >= 100e-6
            {
                return found(
                    Verdict::Tight,
                    "supply.capacitor_kind",
                    format!(
                        "a ceramic keeps about {} of its printed value under voltage; it is counted so",
                        percent(s.supply.ceramic_keeps)
                    ),
                    "an electrolytic for bulk, a ceramic beside it",
                );
            }
            fine()
        },
    },
];
