//! Every field of the table moves something that is shown, in a plan for which it is relevant; and what is not
//! relevant moves nothing. A field that nobody feels is a question asked in vain.

use crate::shipped::{GATE, IMPOSSIBLE, NOMINAL, SHED, STORE, bare, draws, read, with};
use budgets::answers::mounting;
use budgets::assessment::of_study;
use budgets::physics::Shared;
use budgets::study::{Options, Study};
use rayon::prelude::*;
use station::edit;
use station::fields::{FIELDS, Field, Kind, field};
use station::plan::{Origin, Plan};
use station::relevance::relevant;
use std::fmt::Write;

/// Shown and not judged, each with its reason.
const SHOWN: &[(&str, &str)] = &[
    ("chip.memory", "printed on the chip of the board's drawing; what counts is how much of it is free"),
    ("plate.dead", "a setting of the detector, which tells it of itself"),
    ("plate.noisy", "a setting of the detector, which tells it of itself"),
    ("plate.tuned", "the day of a recording, printed beside what it gave"),
    ("mount.above_lens", "drawn on the template, as `draw` tests"),
    ("mount.screws_across", "drawn on the template, as `draw` tests"),
    ("mount.screws_up", "drawn on the template, as `draw` tests"),
    ("mount.screw_hole", "drawn on the template, as `draw` tests"),
    ("mount.cable_hole", "drawn on the template, as `draw` tests"),
    ("mount.cable_below", "drawn on the template, as `draw` tests"),
];

/// What only moves a spread: no nominal answer can feel it, draws do.
const DRAWN: &[&str] = &["callers.cluster", "want.confidence"];

/// What only bounds a search that `--best` makes.
const SOUGHT: &[&str] = &["camera.lowest", "camera.highest"];

/// Assumed absent, so that its assumption is no news; telling one opens a question.
const OPENS: &[&str] = &[
    "ground.masked",
    "keep.pictures",
    "keep.sound",
    "lamp.infrared",
    "lock.kind",
    "notice.phone",
    "notice.sounder",
    "wiring.mains_in_case",
];

/// Values set in a plan.
type Changes = &'static [(&'static str, &'static str)];

/// Plans in which between them each field matters: the four that ship, and what none of them has.
const BASES: &[(&str, &str, Changes)] = &[
    ("gate", GATE, &[]),
    ("store", STORE, &[]),
    ("shed", SHED, &[]),
    ("impossible", IMPOSSIBLE, &[]),
    (
        "closed gate",
        GATE,
        &[
            ("camera.size", "800x600"),
            ("camera.window_radius", "8 mm"),
            ("lens.sheet", "plain-66"),
            ("site.facing", "240 deg"),
            ("site.wall_top", "2 m"),
            ("site.overhang", "0.3 m"),
            ("camera.sky_share", "0.6"),
            ("site.recess", "0.1"),
            ("lamp.lumens", "60 lm"),
            ("lamp.street", "1 lx"),
            ("lamp.flicker", "0.3"),
            ("board.sink", "true"),
            ("board.extra_memory", "4 MB"),
            ("case.absorptance", "0.8"),
            ("regulator.sheet", "linear-old"),
            ("plate.size", "40 mm"),
            ("plate.metal", "8 mm"),
            ("plate.metal_moves", "true"),
            ("plate.rim", "5 mm"),
            ("lock.kind", "magnet"),
            ("lock.fail", "safe"),
            ("supply.lock", "0.4 A"),
        ],
    ),
    (
        "night",
        GATE,
        &[
            ("site.facing", "100 deg"),
            ("lens.filter", "none"),
            ("lamp.infrared", "0.5 W"),
            ("lamp.porch", "0 lx"),
            ("infrared.intensity", "0.1 W/sr"),
            ("infrared.emitters", "4"),
            ("infrared.timer", "1 s"),
            ("case.gap", "5 mm"),
            ("board.pad", "true"),
            ("camera.whole_periods", "true"),
        ],
    ),
    (
        "bell",
        GATE,
        &[
            ("supply.kind", "bell"),
            ("supply.volt", "8 V"),
            ("supply.chime_in_series", "true"),
            ("supply.capacitor", "100 uF"),
            ("supply.capacitor_kind", "ceramic"),
            ("supply.earthed", "true"),
            ("plate.size", "40 mm"),
            ("wiring.exposure", "rain"),
            ("wiring.water", "IPX4"),
        ],
    ),
    (
        "port",
        GATE,
        &[
            ("supply.kind", "usb"),
            ("supply.volt", "5 V"),
            ("supply.c_to_c", "true"),
            ("supply.c_resistors", "false"),
            ("regulator.sheet", "linear-quiet"),
            ("net.tls", "true"),
            ("net.sessions", "3"),
            ("net.power_save", "true"),
            ("chip.free", "120 kB"),
            ("keep.sound", "true"),
            ("rest.pre_roll", "2 s"),
        ],
    ),
    (
        "bank",
        STORE,
        &[
            ("supply.kind", "bank"),
            ("board.power_down", "false"),
            ("rest.idle_every", "40 s"),
            ("site.facing", "30 deg"),
        ],
    ),
    (
        "tuned",
        STORE,
        &[
            ("rest.mode", "sleep"),
            ("plate.size", "40 mm"),
            ("plate.idle_count", "950"),
            ("plate.touched_count", "870"),
            ("plate.threshold", "40"),
            ("plate.hysteresis", "12"),
            ("plate.track", "9"),
            ("plate.track_away", "7"),
            ("plate.wake_threshold", "40"),
            ("plate.false_presses", "2 /yr"),
            ("plate.missed", "0.3 %"),
        ],
    ),
    ("fed sleeper", GATE, &[("rest.mode", "sleep"), ("notice.sounder", "none")]),
    (
        "fed in light sleep",
        GATE,
        &[("rest.mode", "joined"), ("notice.sounder", "open"), ("notice.phone", "none")],
    ),
    (
        "loose sleeper",
        STORE,
        &[
            ("board.power_down", "false"),
            ("rest.standby", "true"),
            ("regulator.sheet", "linear-quiet"),
            ("chip.start", "600 mA"),
            ("cell.hysteresis", "0 V"),
            ("cell.parallel", "1"),
            ("cell.pulse", "0.3 A"),
            ("plate.size", "40 mm"),
            ("site.facing", "200 deg"),
            ("solar.peak", "2 W"),
            ("want.picture_within", "2 s"),
            ("callers.calls", "40 /d"),
        ],
    ),
    (
        "house",
        SHED,
        &[
            ("radio.distance", "9 m"),
            ("radio.floors", "1"),
            ("radio.foil", "true"),
            ("radio.coated_glass", "true"),
            ("radio.metal", "5 mm"),
            ("radio.new_key_exchange", "false"),
            ("radio.multicast_name", "true"),
            ("radio.highest_channel", "11"),
            ("router.security", "wpa3"),
            ("router.other_subnet", "true"),
            ("router.mesh", "true"),
            ("net.power_save", "true"),
            ("notice.sounder", "page"),
        ],
    ),
    (
        "outside",
        SHED,
        &[
            ("radio.distance", "30 m"),
            ("radio.antenna", "outside"),
            ("radio.walls", "0"),
            ("camera.format", "raw"),
            ("camera.size", "320x240"),
        ],
    ),
    (
        "own lens",
        "[lens]\nlaw = \"kannala-brandt\"\nfocal = \"2 mm\"\n[want]\nparcel_seen = true\n[net]\npower_save = true\n[supply]\nkind = \"cells\"\n",
        &[],
    ),
    (
        "relay",
        "[supply]\nkind = \"adapter\"\n[lock]\nkind = \"strike-dc\"\n[release]\nplace = \"indoors\"\ncontact = \"3 A\"\n",
        &[],
    ),
];

fn bases() -> Vec<(&'static str, Plan)> {
    // What is changed starts without what the shipped plans tell of light, heat and plate.
    let text = |text: &str, changes: Changes| if changes.is_empty() { text.into() } else { bare(text) };
    BASES.iter().map(|(name, plan, changes)| (*name, with(&text(plan, changes), changes))).collect()
}

/// Values of a field well apart from each other and from `now`: the whole range where it is short, else both ends, what
/// lies between them and what lies around `now`.
fn values(field: &Field, now: f64) -> Vec<f64> {
    let (low, high) = field.range();
    let mut values: Vec<f64> = match field.kind {
        Kind::Number { .. } => {
            let least = low.max(1e-4 * high);
            let between = [0.25, 0.5, 0.75].map(|part| least * (high / least).powf(part));
            let around = [1.5, 0.67, 0.2, 5.0].map(|factor| factor * now);
            [&around[..], &[low, high, f64::midpoint(low, high)], &between[..]].concat()
        }
        Kind::Count { low, high } => [now as u32 + 1, (now as u32).saturating_sub(1), low, high]
            .map(|count| f64::from(count.clamp(low, high)))
            .to_vec(),
        Kind::YesNo | Kind::Choice { .. } => (0..=high as u32).map(f64::from).collect(),
        Kind::Size => {
            let size = |width, height| 65_536.0 * f64::from(width) + f64::from(height);
            [(320, 240), (640, 480), (1600, 1200)].map(|(width, height)| size(width, height)).to_vec()
        }
    };
    values.retain(|value| *value >= low && *value <= high && *value != now);
    values
}

/// All that is told and judged, words apart.
fn told(plan: &Plan, shared: &Shared, options: Options) -> String {
    let assessment = of_study(&Study::sharing(plan, options, shared));
    let mut told = format!("{}\n", assessment.verdict);
    for budget in &assessment.budgets {
        let _ = writeln!(told, "{} {}", budget.name, budget.verdict);
        for f in &budget.figures {
            // What rounding leaves is no movement.
            let numbers = [f.nominal, f.limit, f.low, f.high]
                .map(|number| format!("{:.9e}", number.unwrap_or(f64::NAN)));
            let _ = writeln!(told, "{} {numbers:?} {:?}", f.name, f.verdict);
        }
        for finding in &budget.findings {
            let _ = writeln!(told, "{} {}", finding.code, finding.verdict);
        }
    }
    told
}

/// Whether some value of the field, written into the plan, changes what is told of it.
fn moves(plan: &Plan, field: &Field, shared: &Shared, options: Options) -> bool {
    let before = told(plan, shared, options);
    values(field, (field.get)(&plan.station)).into_iter().any(|value| {
        let text = match field.kind {
            Kind::Number { unit, .. } => quantity::write(&quantity::Quantity::exact(value), unit),
            _ => field.show(value),
        };
        let changed = edit::set(&plan.source.text, field.path, &text)
            .unwrap_or_else(|wrong| panic!("{} = {text}: {wrong:?}", field.path));
        told(&read(&changed), shared, options) != before
    })
}

/// Whether a plan says of a field, or would have to.
fn matters(plan: &Plan, field: &Field) -> bool {
    relevant(field.path, plan) || field.assumed.is_empty() || OPENS.contains(&field.path)
}

#[test]
fn every_field_moves_something_where_it_matters() {
    let bases: Vec<(Plan, Shared)> = bases().into_iter().map(|(_, plan)| (plan, Shared::new(1))).collect();
    let excused = |path: &str| {
        DRAWN.contains(&path) || SOUGHT.contains(&path) || SHOWN.iter().any(|(shown, _)| *shown == path)
    };
    let dead: Vec<&str> = FIELDS
        .par_iter()
        .filter(|field| {
            let told =
                |(plan, shared): &(Plan, Shared)| matters(plan, field) && moves(plan, field, shared, NOMINAL);
            // No excuse for what moves after all.
            bases.iter().any(told) == excused(field.path)
        })
        .map(|field| field.path)
        .collect();
    assert_eq!(dead, [""; 0]);
}

#[test]
fn what_no_nominal_answer_feels_is_felt_elsewhere() {
    // What is told with its spread does not rest on assumptions.
    let plan = with(STORE, &[("camera.exposure", "20 ± 5 ms")]);
    for path in DRAWN {
        assert!(moves(&plan, field(path), &Shared::new(256), draws(256)), "{path}");
    }
    let gate = read(GATE);
    for (path, value) in SOUGHT.iter().zip(["1.6 m", "1.2 m"]) {
        assert_ne!(mounting(&with(GATE, &[(path, value)])), mounting(&gate), "{path}");
    }
}

/// An assumption that is not listed decides nothing: whatever stood there, the answer were the same.
#[test]
fn what_is_not_relevant_moves_nothing() {
    for (name, plan) in bases() {
        let shared = Shared::new(1);
        let before = told(&plan, &shared, NOMINAL);
        let silent: Vec<(&Field, f64)> = FIELDS
            .iter()
            .zip(&plan.origins)
            .filter(|(field, origin)| **origin == Origin::Assumed && !matters(&plan, field))
            .map(|(field, _)| (field, (field.get)(&plan.station)))
            .filter(|(_, now)| !now.is_nan())
            .collect();
        // All of them at once, from the first of their values to the last.
        for turn in 0..3 {
            let with = |fields: &[(&Field, f64)]| {
                let mut other = plan.clone();
                for (field, now) in fields {
                    let values = values(field, *now);
                    (field.set)(&mut other.station, values[turn * (values.len() - 1) / 2]);
                }
                told(&other, &shared, NOMINAL)
            };
            if with(&silent) == before {
                continue;
            }
            let mut felt = silent.clone();
            for one in (0..silent.len()).rev() {
                let mut fewer = felt.clone();
                fewer.remove(one);
                if with(&fewer) != before {
                    felt = fewer;
                }
            }
            let named: Vec<&str> = felt.iter().map(|(field, _)| field.path).collect();
            panic!("{name}: {named:?} together");
        }
    }
}
