//! What arrives at the board: through source, cable and regulator, in bursts, at the start, with a lock or a chime beside.

use super::{
    Budget, Check, Plan, Rule, Sense, SupplyKind, Verdict, cells, figure, fine, found, gap, percent, physics,
    show,
};
use models::supply::capacitor::gap_farad;
use models::supply::source::BankSwitchOff;
use station::choices::{CapacitorKind, Polarity};
use station::fields::{Station, index_of};
use station::plan::Origin;

/// A pause between two calls that a power bank must outlast: an hour, ours.
const BETWEEN_CALLS_S: f64 = 3600.0;
/// What a USB source gives at its socket: 4.75 to 5.25 V (USB 2.0, from memory), from 4.4 V behind a hub, to 5.5 V of
/// newer ones (from memory).
const USB_V: (f64, f64) = (4.4, 5.5);
/// Efficiency from a bell's reservoir to the rail: 0.85, typical, from memory.
const ETA: f64 = 0.85;
const CABLE: &[&str] = &["cable.run", "cable.section", "supply.volt", "cable.contacts", "board.brownout"];
const COPPER: &[&str] = &["cable.section", "supply.capacitor", "supply.volt", "regulator.sheet"];

fn fed(plan: &Plan) -> bool {
    !matches!(plan.station.supply.kind, SupplyKind::Open | SupplyKind::Cells)
}

fn bell(plan: &Plan) -> bool {
    plan.station.supply.kind == SupplyKind::Bell
}

fn powered(plan: &Plan) -> bool {
    fed(plan) || cells(plan)
}

/// Whether the board's own regulator meets the feed, and not one that the plan puts before the board.
pub(crate) fn own_regulator(plan: &Plan) -> bool {
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
pub(in crate::rules) static RULES: &[Rule] = &[
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
                "{} arrive at the regulator at the end of a transmit burst, {} keep the rail up: {}; the loop has {}",
                volts(f.value),
                volts(f.limit),
                gap(f, Sense::AtLeast, "V"),
                show(ohm, "ohm")
            )
        },
        ..figure(Budget::Power, "volt_at_board", "volts into the regulator, burst", "V", |s, e| {
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
                "{} arrive at the regulator while the board starts, {} are needed: {}; once down it would try again without end",
                volts(f.value),
                volts(f.limit),
                gap(f, Sense::AtLeast, "V")
            )
        },
        ..figure(Budget::Power, "volt_at_start", "volts into the regulator, start", "V", |s, e| {
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
                "when the lock is released {} are left at the regulator, {} are needed: {}; the station resets as the door opens",
                volts(f.value),
                volts(f.limit),
                gap(f, Sense::AtLeast, "V")
            )
        },
        ..figure(Budget::Power, "volt_at_release", "volts into the regulator, release", "V", |s, e| {
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
];

fn volts(volt_v: f64) -> String {
    format!("{volt_v:.2} V")
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
pub(in crate::rules) static CHECKS: &[Check] = &[
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
        code: "power.usb-volt",
        tries: &["supply.kind"],
        look: |plan, _| {
            let s = &plan.station;
            let usb = matches!(s.supply.kind, SupplyKind::Usb | SupplyKind::Bank);
            if !usb || (USB_V.0..=USB_V.1).contains(&s.supply.volt_v) {
                return fine();
            }
            found(
                Verdict::Over,
                "supply.volt",
                format!(
                    "a USB source or power bank gives 5 V where nothing asks it for more, and the plan says {}",
                    show(s.supply.volt_v, "V")
                ),
                "write 5 V; for another voltage take an adapter",
            )
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
