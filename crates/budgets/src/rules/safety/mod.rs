//! safety: what could hurt somebody, or let somebody in?
//!
//! Rules of trade.md §4 that a plan can answer for. There is no `fits` here, only "nothing found by these rules": a
//! finding is `Over` for what is broken, `Unknown` for what cannot be told, `Tight` for a caution. Nothing is traded
//! against these, and nothing here claims that a code is met: local code and licensed practice decide.
//!
//! Rules without a number to compare ask facts that are never assumed ([`Fact`]). Left to the runtime and to trials: who
//! sees whom acting, release asked twice, jamming, ladders and drilling.

mod door;
mod station;

use super::{figure, found};
use crate::rule::{Budget, Check, Found, Rule, Sense, Verdict};
use ::station::choices::{FailMode, LockKind, ReleaseAct, Suppressor};
use ::station::fields::Station;
use ::station::plan::Plan;
use ::station::relevance::has_lock;
use models::hazard::{coil, infrared};
use models::pins::demand::DemandKind;
use quantity::show;

/// What must be so, and how the plan answers.
struct Fact {
    /// Whether it is so; `None` where it was not said.
    is_so: Option<bool>,
    /// The field that says it.
    path: &'static str,
    /// What is wrong when it is not so, a clause.
    wrong: &'static str,
}

/// One finding for facts that belong together: broken where one is wrong, cannot be told where one was not said.
fn judge(facts: &[Fact], reason: &str, to_do: &str) -> Vec<Found> {
    let wrong: Vec<&Fact> = facts.iter().filter(|fact| fact.is_so == Some(false)).collect();
    let silent: Vec<&Fact> = facts.iter().filter(|fact| fact.is_so.is_none()).collect();
    let joined = |of: &[&Fact], word: fn(&Fact) -> &'static str, with: &str| {
        of.iter().map(|fact| word(fact)).collect::<Vec<_>>().join(with)
    };
    match (wrong.first(), silent.first()) {
        (Some(first), _) => {
            let says = format!("{}: {reason}", joined(&wrong, |fact| fact.wrong, "; "));
            found(Verdict::Over, first.path, says, to_do)
        }
        (_, Some(first)) => {
            let says = format!("the plan does not say {}: {reason}", joined(&silent, |fact| fact.path, ", "));
            found(Verdict::Unknown, first.path, says, to_do)
        }
        _ => Vec::new(),
    }
}

/// Whether the plan has a lock to judge.
fn lock(plan: &Plan) -> bool {
    has_lock(&plan.station)
}

/// Whether the lock's coil is fed with alternating current.
fn alternating(s: &Station) -> bool {
    s.lock.kind == LockKind::StrikeAc
}

/// Current of the lock: what its supply is planned for, else its own.
fn lock_a(s: &Station) -> f64 {
    if s.supply.lock_a > 0.0 { s.supply.lock_a } else { s.lock.current_a }
}

/// What the contact may switch: its inductive rating, else a tenth of the resistive one (direct current) or 0.4 of it
/// (alternating); typical, from memory.
fn contact_limit_a(s: &Station) -> f64 {
    if s.release.inductive_a.is_finite() {
        return s.release.inductive_a;
    }
    s.release.contact_a * if alternating(s) { 0.4 } else { 0.1 }
}

/// Voltage that the coil's current falls against, V; a diode holds 0.7 V.
fn clamp_v(s: &Station) -> f64 {
    match s.release.suppressor {
        Suppressor::Diode => 0.7,
        Suppressor::Clamp => s.release.clamp_v,
        _ => f64::NAN,
    }
}

/// Whether a strike or motor is energised whenever the door is locked, so that its on-time has no end.
fn always_on(s: &Station) -> bool {
    s.lock.fail == FailMode::Safe && s.lock.kind != LockKind::Magnet
}

fn infrared_lamp(plan: &Plan) -> bool {
    plan.station.infrared.intensity_w_sr.is_finite()
        || plan.parts.demands.iter().any(|demand| demand.demand.kind == DemandKind::InfraredLamp)
}

/// A day: what "always" means where a figure wants a number, s.
const ALWAYS_S: f64 = models::energy::DAY_S;

/// The figures.
pub(super) static RULES: &[Rule] = &[
    Rule {
        code: "safety.lock-duty",
        applies: |plan| {
            let s = &plan.station;
            lock(plan)
                && s.lock.kind != LockKind::Magnet
                && (always_on(s) || s.release.act == ReleaseAct::Timed && s.release.seconds_s.is_finite())
        },
        limit: Some(|s, _| s.lock.longest_s),
        about: &["release.seconds", "lock.longest_on", "lock.fail"],
        tries: &["release.seconds"],
        source: "the lock's printed longest on-time, 20 s (5..60) typical, from memory",
        says: |f| {
            let s = &f.plan.station;
            let on = if always_on(s) {
                "opens without power, so it is energised day and night".to_string()
            } else {
                format!("is energised for {} at each release", show(f.value, "s"))
            };
            format!("the lock {on}; it may be for {}: beyond, its coil overheats", show(f.limit, "s"))
        },
        to_do: |_| {
            "a lock for continuous duty, or a shorter release; write what is printed on the lock".into()
        },
        ..figure(Budget::Safety, "lock_on_time", "lock energised in one go", "s", |s, _| {
            if always_on(s) { ALWAYS_S } else { s.release.seconds_s }
        })
    },
    Rule {
        code: "safety.contacts",
        applies: lock,
        limit: Some(|s, _| contact_limit_a(s)),
        about: &["release.contact", "release.contact_inductive", "lock.current", "supply.lock"],
        tries: &[],
        source: "inductive rating, else a tenth (direct) or 0.4 (alternating) of the resistive one: typical, from memory",
        says: |f| {
            format!(
                "the release contact switches {} into a coil; it is good for {} of such a load: it burns or welds, and a welded contact leaves the door open",
                show(f.value, "A"),
                show(f.limit, "A")
            )
        },
        to_do: |_| {
            "a relay with an inductive direct-current rating above the lock's current; write release.contact_inductive".into()
        },
        ..figure(Budget::Safety, "contact_current", "current through the release contact", "A", |s, _| {
            lock_a(s)
        })
    },
    Rule {
        applies: |plan| lock(plan) && clamp_v(&plan.station).is_finite(),
        about: &["release.suppressor", "release.clamp", "lock.coil_time", "lock.volt"],
        source: "(L/R) ln((V + Vc)/(0.15 V + Vc)): to 15 % of the current",
        ..figure(Budget::Safety, "coil_drop_out", "lock lets go after its current is cut", "s", |s, _| {
            coil::to_share_s(s.lock.coil_s, s.lock.volt_v, clamp_v(s), 0.15)
        })
    },
    Rule {
        code: "safety.infrared",
        sense: Sense::AtMost,
        applies: infrared_lamp,
        limit: Some(|s, _| infrared::cornea_limit_w_m2(look_s(s))),
        about: &["infrared.intensity", "infrared.timer", "infrared.emitters", "infrared.fault"],
        tries: &[],
        source: "IEC 62471, cornea and lens, at 0.2 m, all emitters, one of them failed (seen in secondary sources)",
        says: |f| {
            format!(
                "an eye at 0.2 m meets {} of infrared when one emitter's current limit fails; {} is the limit for {}: nothing makes a visitor look away from a light that cannot be seen",
                show(f.value, "W/m2"),
                show(f.limit, "W/m2"),
                if look_s(&f.plan.station).is_finite() { "such a look" } else { "a lasting look" }
            )
        },
        to_do: |_| {
            "fewer or wider emitters, a current limit for each, a timer in hardware; ask the lamp's maker for its risk group".into()
        },
        ..figure(Budget::Safety, "infrared_at_eye", "infrared at an eye 0.2 m away", "W/m2", |s, _| {
            let lamp = &s.infrared;
            let all = infrared::with_one_failed_w_sr(lamp.intensity_w_sr, lamp.emitters, lamp.fault);
            infrared::irradiance_w_m2(all, infrared::EYE_M)
        })
    },
];

/// How long one may look: as long as hardware lets the lamp shine.
fn look_s(s: &Station) -> f64 {
    if s.infrared.timer_s.is_finite() { s.infrared.timer_s } else { f64::INFINITY }
}

/// The checks: of door and release, then of everything else.
pub(super) static CHECKS: &[&[Check]] = &[door::CHECKS, station::CHECKS];

/// How many rules look: one for each code.
pub(crate) fn count() -> usize {
    let checks = CHECKS.iter().copied().flatten().map(|check| check.code);
    RULES.iter().map(|rule| rule.code).filter(|code| !code.is_empty()).chain(checks).count()
}
