//! Rules of supply, cells, case and use (trade.md §4, rules 8 to 11, 14, 15, 19).

use super::super::{fine, found};
use super::{Fact, judge};
use crate::rule::{Budget, Check, Verdict};
use models::hazard::carries_a;
use models::pins::demand::DemandKind;
use quantity::show;
use station::choices::{Chemistry, Exposure, Isolation, Route, SupplyKind, Surge, Told, Water};
use station::fields::Station;
use station::plan::Plan;

/// Length from which a run in the open wants surge protection, m: typical, from memory.
const LONG_RUN_M: f64 = 10.0;
/// Highest no-load voltage of a bell transformer, V alternating (IEC 61558-2-8, its scope seen in a secondary source).
const BELL_NO_LOAD_V: f64 = 33.0;

/// Whether a line from indoors feeds the station.
fn line_fed(s: &Station) -> bool {
    matches!(s.supply.kind, SupplyKind::Adapter | SupplyKind::Bell | SupplyKind::Usb)
}

/// Whether the line runs outdoors; `None` for a long one of which the plan does not say.
fn outdoors(s: &Station) -> Option<bool> {
    match s.wiring.route {
        Route::Outdoors => Some(true),
        Route::NotSaid if s.cable.run_m > LONG_RUN_M => None,
        _ => Some(false),
    }
}

fn bare_plate(plan: &Plan) -> bool {
    plan.station.cover.thickness_m == 0.0
        && plan.parts.demands.iter().any(|demand| demand.demand.kind == DemandKind::Plate)
}

pub(super) static CHECKS: &[Check] = &[
    Check {
        budget: Budget::Safety,
        code: "safety.touchable-plate",
        tries: &[],
        look: |plan, _| {
            let s = &plan.station;
            if !bare_plate(plan) || !line_fed(s) {
                return fine();
            }
            judge(
                &[Fact {
                    is_so: match s.wiring.isolation {
                        Isolation::NotSaid => None,
                        isolation => Some(isolation == Isolation::Double),
                    },
                    path: "wiring.isolation",
                    wrong: "callers touch bare metal whose supply is not double-insulated",
                }],
                "0.1 mA through a wet finger is felt, and a failed supply would put the mains on the plate",
                "cover the plate, and feed it from a double-insulated safety supply",
            )
        },
    },
    Check {
        budget: Budget::Safety,
        code: "safety.mains",
        tries: &["supply.volt"],
        look: |plan, _| {
            let s = &plan.station;
            if s.wiring.mains_in_case {
                return found(
                    Verdict::Over,
                    "wiring.mains_in_case",
                    "mains enters the station's case, which callers touch and rain reaches",
                    "keep mains indoors; bring in a safety low voltage. A competent person does the mains side, isolated and proved dead",
                );
            }
            if line_fed(s) && s.wiring.isolation == Isolation::Dropper {
                return found(
                    Verdict::Over,
                    "wiring.isolation",
                    "a supply with a capacitor in series isolates nothing: every wire of the station is at mains potential",
                    "a double-insulated safety supply",
                );
            }
            let no_load_v = s.supply.volt_v * s.supply.no_load;
            if s.supply.kind == SupplyKind::Bell && no_load_v > BELL_NO_LOAD_V {
                return found(
                    Verdict::Over,
                    "supply.volt",
                    format!(
                        "at no load this transformer gives {} alternating; a bell transformer gives at most {}: it is none, or not one to run to a door",
                        show(no_load_v, "V"),
                        show(BELL_NO_LOAD_V, "V")
                    ),
                    "a bell transformer of 8 to 24 V; its mains side is for a competent person, isolated and proved dead",
                );
            }
            fine()
        },
    },
    Check {
        budget: Budget::Safety,
        code: "safety.fuse",
        tries: &[],
        look: |plan, _| {
            let s = &plan.station;
            let carries = carries_a(s.cable.section_m2);
            let to_do = "a fuse at the source, below what wire and transformer carry";
            if !line_fed(s) || outdoors(s) == Some(false) && s.wiring.fuse_a.is_nan() {
                return fine();
            }
            if s.wiring.fuse_a > carries {
                let says = format!(
                    "the fuse of {} lets more through than wire of {} carries ({}): the wire burns first",
                    show(s.wiring.fuse_a, "A"),
                    show(s.cable.section_m2, "m2"),
                    show(carries, "A")
                );
                return found(Verdict::Over, "wiring.fuse", says, to_do);
            }
            if s.wiring.fuse_a > 0.0 {
                return fine();
            }
            let (verdict, says) = match outdoors(s) {
                _ if s.wiring.fuse_a == 0.0 => (
                    Verdict::Over,
                    "no fuse at the source of the run: a cut cable heats until something burns",
                ),
                Some(_) => (
                    Verdict::Unknown,
                    "the plan does not say wiring.fuse: an outdoor run wants a fuse at its source",
                ),
                None => (
                    Verdict::Tight,
                    "a long run without a word of its fuse (wiring.fuse) and of where it runs (wiring.route): outdoors it wants one at its source",
                ),
            };
            found(verdict, "wiring.fuse", says, to_do)
        },
    },
    Check {
        budget: Budget::Safety,
        code: "safety.lithium",
        tries: &[],
        look: |plan, _| {
            let s = &plan.station;
            if s.supply.kind != SupplyKind::Cells {
                return fine();
            }
            let cell = &s.cell;
            let charged = s.solar.peak_w > 0.0;
            let fused = Fact {
                is_so: cell.fused.answer(),
                path: "cell.fused",
                wrong: "no fuse within 100 mm of each cell",
            };
            let vented = Fact {
                is_so: cell.vented.answer(),
                path: "cell.vented",
                wrong: "gas of a failing cell cannot leave the case",
            };
            let mut facts = vec![fused, vented];
            match cell.chemistry {
                Chemistry::LiIon | Chemistry::LiPo | Chemistry::LiFePo4 => {
                    facts.push(Fact {
                        is_so: cell.protection.answer(),
                        path: "cell.protection",
                        wrong: "no protection circuit",
                    });
                    if charged {
                        facts.push(Fact {
                            is_so: cell.charge_cutoff.answer(),
                            path: "cell.charge_cutoff",
                            wrong: "charging goes on in frost and heat",
                        });
                    }
                }
                Chemistry::LithiumAa if charged => facts.push(Fact {
                    is_so: Some(false),
                    path: "solar.peak",
                    wrong: "a panel charges cells that cannot be charged",
                }),
                Chemistry::LithiumAa => {}
                _ => return fine(),
            }
            judge(
                &facts,
                "a lithium cell that is shorted, frozen while charging or overheated burns, and water does not stop it",
                "protection, a fuse at each cell, no charging below 0 or above 45 °C, matched cells side by side, a vent, not in the escape route; never a swollen cell again",
            )
        },
    },
    Check {
        budget: Budget::Safety,
        code: "safety.water",
        tries: &[],
        look: |plan, _| {
            let s = &plan.station;
            let needs = match s.wiring.exposure {
                Exposure::NotSaid => return fine(),
                Exposure::Indoors => 0,
                Exposure::Sheltered => 3,
                Exposure::Rain => 4,
                Exposure::DrivingRain => 5,
                Exposure::Hosed => 6,
            };
            let to_do = "a tighter case or a roof; cables from below with a drip loop, a drain hole at the lowest point; the supply outdoors needs its own class";
            let water = s.wiring.water;
            if water == Water::NotSaid && needs > 0 {
                return found(
                    Verdict::Unknown,
                    "wiring.water",
                    format!(
                        "the plan does not say wiring.water: {} wants IPX{needs} or better",
                        s.wiring.exposure.name()
                    ),
                    to_do,
                );
            }
            // Seven and eight are for being under water and promise nothing against jets.
            let digit = (water as u8).saturating_sub(1);
            let holds = digit >= needs && (needs < 5 || digit < 7);
            if needs > 0 && !holds {
                return found(
                    Verdict::Over,
                    "wiring.water",
                    format!(
                        "the case is {}; {} wants IPX{needs}: water reaches the supply and the plate",
                        water.name(),
                        s.wiring.exposure.name()
                    ),
                    to_do,
                );
            }
            if needs >= 4 && s.wiring.entry_below == Told::No {
                return found(
                    Verdict::Tight,
                    "wiring.entry_below",
                    "the cable does not enter from below: water runs along it into the case, whatever its class",
                    "enter from below, with a drip loop",
                );
            }
            fine()
        },
    },
    Check {
        budget: Budget::Safety,
        code: "safety.surge",
        tries: &["wiring.surge"],
        look: |plan, _| {
            let s = &plan.station;
            if !line_fed(s) || s.cable.run_m <= LONG_RUN_M || outdoors(s) == Some(false) {
                return fine();
            }
            let to_do =
                "arresters or clamps at both ends, to earth at the house; never earth by the touch plate";
            let run = show(s.cable.run_m, "m");
            let (verdict, says) = match (s.wiring.surge, outdoors(s)) {
                (Surge::BothEnds, _) => return fine(),
                (Surge::OneEnd, _) => (
                    Verdict::Tight,
                    format!(
                        "the run of {run} is protected against surges at one end only: the other end takes the blow"
                    ),
                ),
                (Surge::None, Some(_)) => (
                    Verdict::Over,
                    format!(
                        "the outdoor run of {run} has no protection against surges: lightning nearby reaches the house and whoever touches the plate"
                    ),
                ),
                (Surge::NotSaid, Some(_)) => (
                    Verdict::Unknown,
                    format!(
                        "the plan does not say wiring.surge: an outdoor run of {run} wants protection at both ends"
                    ),
                ),
                (_, None) => (
                    Verdict::Tight,
                    format!(
                        "a run of {run} wants protection against surges at both ends where it is outdoors: say wiring.route and wiring.surge"
                    ),
                ),
            };
            found(verdict, "wiring.surge", says, to_do)
        },
    },
    Check {
        budget: Budget::Safety,
        code: "safety.life-safety",
        tries: &[],
        look: |plan, _| {
            if plan.station.want.life_safety {
                return found(
                    Verdict::Over,
                    "want.life_safety",
                    "somebody would depend on it, and it is not made for that: radio, power and network fail without a word",
                    "a device made and certified for that use; this one beside it at most",
                );
            }
            fine()
        },
    },
];
