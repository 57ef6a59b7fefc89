//! timing: how soon does somebody know?
//!
//! Silent until the plan tells how a press is heard.

use super::{figure, fine, found, gap, percent};
use crate::rule::{Budget, Check, Rule, Sense, Verdict};
use models::timing::connection::{HALF_OPEN_LIMIT_S, half_open_s};
use quantity::show;
use station::choices::{Phone, Rest, Sounder};
use station::fields::Station;
use station::plan::Plan;

/// A press may wait so long behind a picture, s: what a caller may wait for a sign (typical, from memory).
const QUEUE_S: f64 = 0.3;

/// Whether the plan tells how a press is heard.
fn told(plan: &Plan) -> bool {
    tells(&plan.station)
}

pub(crate) fn tells(s: &Station) -> bool {
    s.notice.sounder != Sounder::Open || s.notice.phone != Phone::None
}

fn sleeps(plan: &Plan) -> bool {
    plan.station.rest.mode == Rest::Sleep
}

/// Sentence of the tail, whatever lengthens it.
fn tail(f: &mut crate::rule::Shown<'_, '_>) -> String {
    let known = f.engine.known(&f.plan.station);
    format!(
        "half of the presses are heard within {}, 95 of 100 within {}; {} is wanted: {}",
        show(known.heard_s, "s"),
        show(f.value, "s"),
        show(f.limit, "s"),
        gap(f, Sense::AtMost, "s")
    )
}

/// The figures.
pub(super) static RULES: &[Rule] = &[
    Rule {
        code: "timing.acknowledge",
        applies: told,
        limit: Some(|s, _| s.want.felt_s),
        about: &["want.felt_within", "notice.lamp_at_wake", "pins"],
        tries: &["notice.lamp_at_wake", "rest.mode"],
        source: "detector, and the program's start where it slept; without a lamp or tone of its own the whole way to the service",
        says: |f| {
            let own = f.engine.acknowledges();
            format!(
                "95 of 100 callers see within {} that the press was felt, {} is wanted{}: the second press comes after 2 s (1 to 4)",
                show(f.value, "s"),
                show(f.limit, "s"),
                if own { "" } else { "; no lamp or tone of the station's own is demanded" }
            )
        },
        to_do: |_| {
            "status_lamp = \"any\" under [pins], lit by the station itself at the press, radio or not".into()
        },
        ..figure(Budget::Timing, "felt", "until the caller knows it was felt, 95 %", "s", |s, e| {
            e.known(s).felt_s
        })
    },
    Rule {
        applies: told,
        about: &["notice.sounder", "notice.phone", "rest.mode", "net.join"],
        source: "the steps' times added by convolution, good, poor and down states mixed",
        ..figure(Budget::Timing, "heard", "until somebody hears it, median", "s", |s, e| e.known(s).heard_s)
    },
    Rule {
        code: "timing.join",
        applies: |plan| told(plan) && sleeps(plan),
        limit: Some(|s, _| s.want.heard_s),
        about: &["net.remembered", "net.join", "rest.mode", "notice.sounder", "notice.phone"],
        tries: &["net.remembered", "rest.mode", "notice.sounder"],
        source: "joining is a mixture: remembered 0.5 s, else 3 s, and 3 in 100 take 10 to 40 s: typical, from memory",
        says: |f| format!("{}; joining comes first", tail(f)),
        to_do: |_| "a fixed address, channel and access point remembered; or joined in light sleep".into(),
        ..figure(Budget::Timing, "heard_tail", "until somebody hears it, 95 %", "s", |s, e| e.known(s).tail_s)
    },
    Rule {
        code: "timing.common-cause",
        applies: |plan| told(plan) && !sleeps(plan),
        limit: Some(|s, _| s.want.heard_s),
        about: &["notice.sounder", "notice.phone", "net.round_trip", "notice.push"],
        tries: &["notice.sounder", "net.power_save"],
        source: "weak air or a busy service lengthens several steps at once: one press in ten, 3 times (estimated from tails of 2 to 5 times)",
        says: |f| format!("{}; weak air or a busy service lengthens several steps at once", tail(f)),
        to_do: |_| "a second way beside it: a wired chime".into(),
        ..figure(Budget::Timing, "heard_tail_awake", "until somebody hears it, 95 %", "s", |s, e| {
            e.known(s).tail_s
        })
    },
    Rule {
        code: "timing.person",
        applies: told,
        follows: &["timing.join", "timing.common-cause"],
        sense: Sense::AtLeast,
        limit: Some(|s, _| s.want.heard_share),
        about: &["want.heard_share", "notice.sounder", "notice.phone", "notice.hear"],
        tries: &["notice.sounder", "net.remembered", "rest.mode"],
        source: "couriers wait 12 s (5..35), guests 30 s (12..80): typical, from memory",
        says: |f| {
            format!(
                "{} of calls are heard before the visitor leaves, {} is wanted; half of the couriers leave within 12 s",
                percent(f.value),
                percent(f.limit)
            )
        },
        to_do: |_| "a sounder in the house beside the phone".into(),
        ..figure(Budget::Timing, "heard_share", "calls heard before the visitor leaves", "1", |s, e| {
            e.known(s).heard_share
        })
    },
    Rule {
        applies: |plan| {
            told(plan)
                && (plan.station.notice.sounder == Sounder::Page || plan.station.notice.phone != Phone::None)
        },
        about: &["notice.reach", "notice.open", "notice.phone"],
        source: "a person reaches the phone in 8 s (3..30), the picture comes 1.5 s (0.6..5) later: typical, from memory",
        ..figure(Budget::Timing, "seen_share", "calls seen before the visitor leaves", "1", |s, e| {
            e.known(s).seen_share
        })
    },
    Rule {
        code: "timing.head-of-line",
        applies: |plan| told(plan) && !plan.station.notice.press_first,
        limit: Some(|_, _| QUEUE_S),
        about: &["notice.press_first", "camera.size", "net.goodput"],
        tries: &["notice.press_first", "camera.quality", "camera.size"],
        source: "bytes queued before the press over goodput",
        says: |f| {
            format!(
                "a picture queued before the press on the same connection delays it by {}, {} at most",
                show(f.value, "s"),
                show(f.limit, "s")
            )
        },
        ..figure(Budget::Timing, "head_of_line", "press behind a picture", "s", |s, e| e.known(s).queue_s)
    },
    Rule {
        code: "timing.half-open",
        applies: |plan| told(plan) && !sleeps(plan),
        limit: Some(|_, _| HALF_OPEN_LIMIT_S),
        about: &["notice.keep_alive"],
        tries: &["notice.keep_alive"],
        source: "1.5 x keep-alive (MQTT 5.0, 3.1.2.10)",
        says: |f| {
            format!(
                "a dead connection is noticed after {} of silence, {} at most: until then presses are sent to nobody",
                show(f.value, "s"),
                show(f.limit, "s")
            )
        },
        ..figure(Budget::Timing, "half_open", "until a dead connection is noticed", "s", |s, _| {
            half_open_s(s.notice.keep_alive_s)
        })
    },
    Rule {
        code: "timing.what-still-works",
        applies: told,
        limit: Some(|s, _| s.want.unheard_s),
        about: &["want.unheard", "notice.sounder", "notice.phone", "notice.phone_off", "net.outage"],
        tries: &["notice.sounder", "notice.backup"],
        source: "parts that fail independently: router 6 h a year (typical, from memory), the others estimated",
        says: |f| {
            format!(
                "a press is heard by nobody for {} a year, {} at most: {}",
                show(f.value, "s"),
                show(f.limit, "s"),
                gap(f, Sense::AtMost, "s")
            )
        },
        to_do: |_| "a path of its own from station to sounder: a chime on a wire".into(),
        ..figure(Budget::Timing, "unheard", "a year in which nobody hears a press", "s", |s, e| {
            e.known(s).unheard_s
        })
    },
];

/// The checks.
pub(super) static CHECKS: &[Check] = &[
    Check {
        budget: Budget::Timing,
        code: "timing.notice-tail",
        tries: &["notice.page_proved", "notice.sounder"],
        look: |plan, _| {
            let notice = &plan.station.notice;
            if notice.sounder == Sounder::Page && !notice.page_proved {
                return found(
                    Verdict::Tight,
                    "notice.sounder",
                    "a page sounds only after a touch and with its screen awake; until it proves itself every hour it is no sounder",
                    "let the page sound softly every hour and report it; a wired chime beside it",
                );
            }
            if notice.phone == Phone::Notice && matches!(notice.sounder, Sounder::Open | Sounder::None) {
                return found(
                    Verdict::Tight,
                    "notice.phone",
                    format!(
                        "the notice to the phone is the only way: {} of them come 1 to 15 minutes late",
                        percent(notice.late_share)
                    ),
                    "a second way: a page in the house, a chime on a wire",
                );
            }
            fine()
        },
    },
    Check {
        budget: Budget::Timing,
        code: "timing.clock",
        tries: &["notice.clock_set"],
        look: |plan, _| {
            let s = &plan.station;
            if tells(s) && s.net.tls && !s.notice.clock_set {
                return found(
                    Verdict::Tight,
                    "net.tls",
                    "at its first start the station does not know the time: dates of the service's key are refused, and no press is sent",
                    "fetch the time before the first session; tell the age of a late press by the station's own running time",
                );
            }
            fine()
        },
    },
];
