//! plate: will a press be seen, and nothing else? On paper before it is built; what a recording of it told stands beside
//! that and wins.

use super::{figure, fine, found, gap, percent};
use crate::answers::REACH_M;
use crate::physics::{WINDOW, recorded_swing};
use crate::rule::{Budget, Check, Compute, Rule, Sense, Verdict};
use models::energy::YEAR_S;
use models::touch::noise::{FALSE_BORNE_YEAR, MISSED_BORNE, RATIO_LEAST, alias_hz};
use models::touch::timing::{LEAD_MAX_M, SEEN_WITHIN_S};
use quantity::show;
use station::choices::{Rest, SupplyKind};
use station::fields::{Plate, Station, index_of};
use station::plan::{Origin, Plan};

const ABOUT: &[&str] = &["cover.thickness", "plate.size", "plate.noise", "supply.kind"];
const SERIES: &str =
    "cover, body and station to earth in series (computed); values typical, from memory where not stated";
/// Day of readings, the first remedy of whatever rests on assumptions.
const RECORD: &str = "record a day of readings in the final case, supply and wall, touched and not, and write plate.idle and plate.noise";
/// What mends values that a recording gave.
const TUNE: &str =
    "record again in the final case, supply and wall, with gloves and light fingers, and tune anew";
/// Share of a touch that moving metal may bring: the threshold stands half way, ours.
const METAL_SHARE: f64 = 1.0 / 3.0;
/// The bench's swing over the wall's from which a threshold found on the bench is void: ours.
const BENCH_TWICE: f64 = 2.0;
/// A gloved touch below this share of a bare one falls under a threshold half way to a bare one with room: ours.
const GLOVE_LEAST: f64 = 0.25;
/// A hum that appears slower than this looks like drift, Hz: ours.
const ALIAS_HZ: f64 = 1.0;
/// Longest press that may be believed, s: 10 to 30, typical, from memory.
const LONGEST_S: f64 = 30.0;
/// Least gap from a plate to an earthed rim, m: a water film bridges less; typical, from memory.
const RIM_M: f64 = 0.010;
/// Least resistor at the chip, ohm: 1 k (0.47..4.7), typical, from memory.
const SURGE_OHM: f64 = 470.0;

/// A threshold beyond this share of a recorded touch misses gloves and light fingers: half way is usual; ours.
const FAR_SHARE: f64 = 0.75;
/// Slowness of a baseline that does not learn a hand that comes near and waits, s: ours, as `tune` takes it.
const HAND_S: f64 = 3.0;
/// Presses without a caller that a household bears, 1/s.
const FALSE_1_S: f64 = FALSE_BORNE_YEAR / YEAR_S;
/// A recorded touch this many times the one on paper, or the one on paper this many times it, is another plate: ours.
const UNLIKE: f64 = 2.0;

/// Whether the plan tells what a recording showed.
fn recorded(plan: &Plan) -> bool {
    recorded_swing(&plan.station) > 0.0
}
/// Whether it tells a threshold as well.
fn tuned(plan: &Plan) -> bool {
    recorded(plan) && plan.station.plate.threshold.is_some()
}
/// Counts as a share of a recorded touch.
fn share(s: &Station, counts: Option<u32>) -> f64 {
    counts.map_or(f64::NAN, |counts| f64::from(counts) / (s.plate.idle_count - s.plate.touched_count).abs())
}
/// Time in which a baseline comes nearer by two thirds, s.
fn follows_s(s: &Station, shift: Option<u32>) -> f64 {
    shift.map_or(f64::NAN, |shift| s.plate.period_s * f64::from(shift).exp2())
}
/// Reach of a person who sits, over nothing, m: 15 to 48 inches, ADA 2010 standards, 308.2.1 and 308.3.1.
const HARD_REACH_M: [f64; 2] = [0.38, 1.22];

/// Whether the plan says how large its plate is.
fn told(plan: &Plan) -> bool {
    plan.station.plate.size_m.is_finite()
}
fn mains(plan: &Plan) -> bool {
    told(plan) && !matches!(plan.station.supply.kind, SupplyKind::Cells | SupplyKind::Bank | SupplyKind::Open)
}

/// A figure that only informs.
const fn shown(name: &'static str, title: &'static str, unit: &'static str, value: Compute) -> Rule {
    Rule { applies: told, about: ABOUT, source: SERIES, ..figure(Budget::Plate, name, title, unit, value) }
}

/// The figures.
pub(super) static RULES: &[Rule] = &[
    shown("idle_capacitance", "plate, untouched", "F", |s, e| e.plate(s).idle_f),
    shown("touch_adds", "what a finger adds", "F", |s, e| e.plate(s).touch_f),
    Rule {
        source: "the chip's law: count k/C or k C (a sheet fact)",
        ..shown("touch_swing", "how far a touch moves the count", "1", |s, e| e.plate(s).swing)
    },
    Rule {
        applies: |plan| told(plan) && recorded(plan),
        source: "the chip's law: count k/C or k C (a sheet fact)",
        ..shown("touch_on_paper", "the same on paper", "1", |s, e| e.plate(s).paper_swing)
    },
    Rule {
        code: "plate.small-touch",
        sense: Sense::AtLeast,
        limit: Some(|_, _| RATIO_LEAST),
        wanted: 0.2,
        tries: &["cover.thickness", "cover.sheet", "plate.lead", "plate.size", "supply.earthed"],
        source: "touched less idle over the idle peak-to-peak of 100 readings; 5 is the usual least (makers' notes)",
        says: |f| {
            let plate = f.engine.plate(&f.plan.station);
            format!(
                "a touch moves the count by {}, {:.1} times the idle peak-to-peak of {WINDOW} readings, {:.0} are usual: {}",
                percent(plate.swing),
                f.value,
                f.limit,
                gap(f, Sense::AtLeast, "1")
            )
        },
        to_do: |_| RECORD.into(),
        ..shown("touch_ratio", "touch over idle peak-to-peak", "1", |s, e| e.plate(s).ratio)
    },
    Rule {
        code: "plate.touched-noise",
        applies: mains,
        sense: Sense::AtLeast,
        limit: Some(|_, _| 0.0),
        follows: &["plate.small-touch"],
        about: &["plate.mains_noise", "plate.noise", "supply.kind", "cover.thickness"],
        tries: &["supply.earthed", "cover.thickness", "cover.sheet"],
        source: "1 in 1,000 idle readings against 1 in 20 touched ones; touched noise x5 (2..20) on mains: typical, from memory",
        says: |f| {
            format!(
                "mains noise enters through the finger: between quiet and touched readings {} of the count are left: {}",
                percent(f.value.max(0.0)),
                if f.over {
                    "they overlap, and presses are missed".into()
                } else {
                    gap(f, Sense::AtLeast, "%")
                }
            )
        },
        to_do: |_| {
            "join 0 V to earth, try another supply, average whole mains periods (100 ms); then record a day of readings".into()
        },
        ..shown("tails_gap", "room between idle and touched readings", "1", |s, e| e.plate(s).tails)
    },
    Rule {
        code: "plate.sleep-threshold",
        applies: |plan| told(plan) && plan.station.rest.mode == Rest::Sleep,
        sense: Sense::AtLeast,
        limit: Some(|s, e| e.plate(s).sleep_needs),
        wanted: 0.1,
        about: &[
            "rest.relearn_every",
            "plate.sheltered",
            "plate.rain_step",
            "plate.drift",
            "cover.thickness",
        ],
        tries: &["rest.relearn_every", "cover.thickness", "cover.sheet", "plate.lead", "rest.mode"],
        source: "three times the drift between two learnings: 0.05 %/K and a rain step of 2 %, typical, from memory",
        says: |f| {
            format!(
                "asleep, its threshold stands still: a touch must move the count by {}, and moves it by {}: {}",
                percent(f.limit),
                percent(f.value),
                gap(f, Sense::AtLeast, "%")
            )
        },
        to_do: |_| {
            "use a button, or keep the plate dry and learn its level more often; record a day of readings"
                .into()
        },
        ..shown("sleep_swing", "touch against drift while asleep", "1", |s, e| e.plate(s).swing)
    },
    Rule {
        code: "plate.metal-behind",
        applies: |plan| {
            told(plan) && plan.station.plate.metal_moves && plan.station.plate.metal_m.is_finite()
        },
        limit: Some(|s, e| METAL_SHARE * e.plate(s).touch_f),
        about: &["plate.metal", "plate.metal_moves", "plate.size"],
        tries: &["plate.metal", "plate.size"],
        source: "two parallel plates; a third of a touch is allowed",
        says: |f| {
            format!(
                "the metal that moves behind the plate adds {}, a finger three times {}: {}; a swinging door is a press",
                show(f.value, "F"),
                show(f.limit, "F"),
                gap(f, Sense::AtMost, "F")
            )
        },
        to_do: |_| "put the plate on the frame, a spacer or a driven shield behind it".into(),
        ..shown("metal_adds", "what moving metal adds", "F", |s, e| e.plate(s).metal_f)
    },
    Rule {
        code: "plate.press-length",
        limit: Some(|_, _| SEEN_WITHIN_S),
        about: &["plate.period", "plate.debounce", "plate.average"],
        tries: &["plate.average", "plate.debounce", "plate.period"],
        source: "a whole period, readings that must agree, half the average; presses last 0.35 s (0.12..1.2): typical, from memory",
        says: |f| {
            format!(
                "a press is believed after {}, {} lets short presses be seen: {}",
                show(f.value, "s"),
                show(f.limit, "s"),
                gap(f, Sense::AtMost, "s")
            )
        },
        ..shown("seen_after", "from the finger to the decision", "s", |s, e| e.plate(s).seen_s)
    },
    Rule {
        about: &["plate.event_factor", "cover.thickness"],
        source: "a hazard beside the tail of any dry log: bare 6 a year (1..40), covered 2 (0.3..15); typical, from memory",
        ..shown("event_wakes", "presses by rain, spiders, cleaning, surges", "1/s", |s, e| {
            e.plate(s).events_1_s
        })
    },
    Rule {
        code: "plate.far-threshold",
        applies: tuned,
        limit: Some(|_, _| FAR_SHARE),
        about: &["plate.threshold", "plate.idle_count", "plate.touched_count"],
        source: "threshold over the touch of the plate's own recording; three quarters are allowed, ours",
        says: |f| {
            format!(
                "the threshold stands at {} of a recorded touch: {}; gloves and light fingers do not come so far",
                percent(f.value),
                gap(f, Sense::AtMost, "%")
            )
        },
        to_do: |_| TUNE.into(),
        ..recording("threshold_of_touch", "threshold, of a touch", "1", |s, _| share(s, s.plate.threshold))
    },
    Rule {
        applies: |plan| tuned(plan) && plan.station.plate.hysteresis.is_some(),
        about: &["plate.hysteresis", "plate.threshold"],
        ..recording("lift_of_touch", "where a press ends, of a touch", "1", |s, _| {
            let left =
                s.plate.threshold.zip(s.plate.hysteresis).map(|(press, back)| press.saturating_sub(back));
            share(s, left)
        })
    },
    Rule {
        applies: |plan| {
            let s = &plan.station;
            recorded(plan) && s.plate.wake_threshold.is_some() && s.rest.mode == Rest::Sleep
        },
        about: &["plate.wake_threshold", "plate.idle_count", "plate.touched_count"],
        ..recording("wake_of_touch", "a sleeper wakes at, of a touch", "1", |s, _| {
            share(s, s.plate.wake_threshold)
        })
    },
    Rule {
        code: "plate.hasty-baseline",
        applies: |plan| plan.station.plate.track.is_some(),
        sense: Sense::AtLeast,
        limit: Some(|_, _| HAND_S),
        about: &["plate.track", "plate.period"],
        source: "period x 2^track; a hand that comes near and waits takes 3 s, ours",
        says: |f| {
            format!(
                "the baseline follows within {}: {}; it learns a hand that comes near and waits, and the press is missed",
                show(f.value, "s"),
                gap(f, Sense::AtLeast, "s")
            )
        },
        to_do: |_| TUNE.into(),
        ..recording("follows", "baseline follows a touch within", "s", |s, _| follows_s(s, s.plate.track))
    },
    Rule {
        applies: |plan| plan.station.plate.track_away.is_some(),
        about: &["plate.track_away", "plate.period"],
        source: "period x 2^track_away",
        ..recording("follows_away", "and the other way within", "s", |s, _| follows_s(s, s.plate.track_away))
    },
    Rule {
        code: "plate.false-press",
        applies: |plan| plan.station.plate.false_s.is_finite(),
        limit: Some(|_, _| FALSE_1_S),
        about: &["plate.false_presses", "plate.threshold", "plate.debounce"],
        source: "expected from the plate's own recording, weather added; one in two weeks is borne, ours",
        says: |f| {
            format!(
                "{} presses a year without a caller are expected, {} are borne{}",
                yearly(f.value),
                yearly(f.limit),
                if f.over { String::new() } else { format!(": {}", gap(f, Sense::AtMost, "1/s")) }
            )
        },
        to_do: |_| TUNE.into(),
        ..recording("false_presses", "presses without a caller", "1/s", |s, _| s.plate.false_s)
    },
    Rule {
        code: "plate.missed-press",
        applies: |plan| plan.station.plate.missed.is_finite(),
        limit: Some(|_, _| MISSED_BORNE),
        about: &["plate.missed", "plate.threshold", "plate.debounce"],
        source: "expected from the plate's own recording; two in a hundred are allowed, ours",
        says: |f| {
            format!(
                "{} of presses are missed, {} are allowed: {}",
                percent(f.value),
                percent(f.limit),
                gap(f, Sense::AtMost, "%")
            )
        },
        to_do: |_| TUNE.into(),
        ..recording("missed", "presses that are missed", "1", |s, _| s.plate.missed)
    },
];

/// Presses a year, to two digits.
fn yearly(rate_1_s: f64) -> String {
    let year = rate_1_s * YEAR_S;
    if year >= 9.95 { format!("{year:.0}") } else { format!("{year:.1}") }
}

/// A figure of the plate's own recording.
const fn recording(name: &'static str, title: &'static str, unit: &'static str, value: Compute) -> Rule {
    Rule { source: "the plate's own recording", ..figure(Budget::Plate, name, title, unit, value) }
}

/// The checks.
pub(super) static CHECKS: &[Check] = &[
    Check {
        budget: Budget::Plate,
        code: "plate.reach",
        tries: &["plate.height"],
        look: |plan, _| {
            let height_m = plan.station.plate.height_m;
            let [low_m, high_m] = REACH_M;
            let given = index_of("plate.height").is_some_and(|i| plan.origins[i] != Origin::Assumed);
            // A plan's numbers are exact to a hair: 1.1 m written as 110 cm is no more.
            let beyond = |[low_m, high_m]: [f64; 2]| height_m < low_m - 1e-9 || height_m > high_m + 1e-9;
            if !given || !beyond(REACH_M) {
                return fine();
            }
            let nobody = beyond(HARD_REACH_M);
            let all = if nobody { "who sits cannot reach it" } else { "not all who sit reach it" };
            found(
                if nobody { Verdict::Over } else { Verdict::Tight },
                "plate.height",
                format!(
                    "the plate hangs at {height_m:.2} m, and {low_m:.2} to {high_m:.2} m are within reach of all, standing or seated: {all}"
                ),
                "a lower plate, and a lower lens that looks up a little where both share a case: --best and camera.tilt",
            )
        },
    },
    Check {
        budget: Budget::Plate,
        code: "plate.return-path",
        tries: &["supply.earthed", "cover.sheet"],
        look: |plan, e| {
            if !told(plan) {
                return fine();
            }
            let plate = e.plate(&plan.station);
            let times = plate.bench_swing / plate.swing;
            let void = times > BENCH_TWICE;
            if !void {
                return fine();
            }
            found(
                Verdict::Tight,
                "supply.kind",
                format!(
                    "on the bench, earthed by a computer's lead, a touch moves the count {times:.1} times as far as on the wall: a threshold found there is void"
                ),
                "find the threshold in the final supply, case and wall, door shut and open: record a day of readings",
            )
        },
    },
    Check {
        budget: Budget::Plate,
        code: "plate.law",
        tries: &[],
        look: |plan, _| {
            let assumed = index_of("chip.touch_law").is_some_and(|i| plan.origins[i] == Origin::Assumed);
            if !told(plan) || !assumed {
                return fine();
            }
            found(
                Verdict::Tight,
                "chip.touch_law",
                "it is only assumed that a touch makes this chip's count fall",
                "read the count with and without a finger, once, and write chip.touch_law: falls or rises",
            )
        },
    },
    Check {
        budget: Budget::Plate,
        code: "plate.alias",
        tries: &["plate.period"],
        look: |plan, _| {
            let s = &plan.station;
            if !mains(plan) || s.plate.period_s <= 0.0 {
                return fine();
            }
            let alias = alias_hz(s.supply.mains_hz, 1.0 / s.plate.period_s);
            if alias >= ALIAS_HZ {
                return fine();
            }
            found(
                Verdict::Tight,
                "plate.period",
                format!(
                    "read every {}, the mains' {} appear as {alias:.1} Hz: hum looks like drift or like nothing",
                    show(s.plate.period_s, "s"),
                    show(s.supply.mains_hz, "Hz")
                ),
                "a period of 30 ms and an average over 100 ms, or a jittered period",
            )
        },
    },
    Check {
        budget: Budget::Plate,
        code: "plate.glove",
        tries: &["cover.sheet", "cover.thickness"],
        look: |plan, e| {
            if !told(plan) {
                return fine();
            }
            let plate = e.plate(&plan.station);
            let left = plate.glove_swing / plate.swing;
            let small = left < GLOVE_LEAST;
            if !small {
                return fine();
            }
            found(
                Verdict::Tight,
                "cover.thickness",
                format!(
                    "a winter glove leaves {} of a bare finger's touch: a threshold from bare fingers misses winter",
                    percent(left)
                ),
                "a threshold nearer idle, a thin cover that makes both alike, or a button",
            )
        },
    },
    Check {
        budget: Budget::Plate,
        code: "plate.wet",
        tries: &["plate.longest", "plate.rim"],
        look: |plan, _| {
            let s = &plan.station;
            if !told(plan) || s.plate.sheltered {
                return fine();
            }
            if s.plate.longest_s <= 0.0 || s.plate.longest_s > LONGEST_S {
                return found(
                    Verdict::Tight,
                    "plate.longest",
                    "rain that bridges the plate is a press without end, and nothing ends it",
                    "believe no press longer than 10 to 30 s, then learn the level anew and report the plate as stuck",
                );
            }
            if s.plate.rim_m < RIM_M {
                return found(
                    Verdict::Tight,
                    "plate.rim",
                    format!(
                        "a film of water bridges the {} between plate and earthed rim: a press that lasts as long as the rain",
                        show(s.plate.rim_m, "m")
                    ),
                    "10 mm or more, and a drip edge above",
                );
            }
            fine()
        },
    },
    Check {
        budget: Budget::Plate,
        code: "plate.surge",
        tries: &["plate.resistor"],
        look: |plan, _| {
            let s = &plan.station;
            if !told(plan) || s.plate.resistor_ohm >= SURGE_OHM {
                return fine();
            }
            found(
                Verdict::Tight,
                "plate.resistor",
                format!("{} protect the chip from a charged hand's 8 kV", show(s.plate.resistor_ohm, "ohm")),
                "1 kohm at the chip and a clamp of less than 1 pF where the lead enters; the reading is not hurt",
            )
        },
    },
    Check {
        budget: Budget::Plate,
        code: "plate.no-lift",
        tries: &[],
        look: |plan, _| match plan.station.plate {
            Plate { threshold: Some(press), hysteresis: Some(back), .. } if back >= press => found(
                Verdict::Tight,
                "plate.hysteresis",
                format!(
                    "a lift would lie {back} counts nearer than a press at {press}: a press ends only within one count of the baseline"
                ),
                "a quarter of the threshold, half of it at most",
            ),
            _ => fine(),
        },
    },
    Check {
        budget: Budget::Plate,
        code: "plate.unlike-paper",
        tries: &[],
        look: |plan, e| {
            if !told(plan) || !recorded(plan) {
                return fine();
            }
            let plate = e.plate(&plan.station);
            let times = plate.swing / plate.paper_swing;
            if times.is_nan() || (1.0 / UNLIKE..=UNLIKE).contains(&times) {
                return fine();
            }
            found(
                Verdict::Tight,
                "plate.touched_count",
                format!(
                    "a recorded touch moves the count by {}, on paper {}: the plan describes another plate than the one recorded",
                    percent(plate.swing),
                    percent(plate.paper_swing)
                ),
                "compare cover, lead, size and earth with what hangs there; a recording on the bench is another station",
            )
        },
    },
    Check {
        budget: Budget::Plate,
        code: "plate.long-lead",
        tries: &["plate.lead"],
        look: |plan, _| {
            let s = &plan.station;
            if !told(plan) || s.plate.lead_m <= LEAD_MAX_M {
                return fine();
            }
            found(
                Verdict::Tight,
                "plate.lead",
                format!(
                    "the plate's lead of {} hides the touch, and moving wire is noise; {} is long enough",
                    show(s.plate.lead_m, "m"),
                    show(LEAD_MAX_M, "m")
                ),
                "plate and board close together, the lead fixed",
            )
        },
    },
];
