//! pins: can this board be wired at all, and does it start, sleep and stay quiet when it is?
//!
//! The wiring comes from [`Engine::wiring`](crate::physics::Engine::wiring), discrete and the same for every draw. The
//! rules here count and cost it; the checks look at each pin with everything that hangs on it. A demand that found no
//! pin is judged on the pin that the plan fixes it to, so that a trap is named even where it kept the wiring from
//! standing.
//!
//! Read first: the pins rows of the trade's failure modes, and `models::pins`, which has a typed result for each.

mod bus;
mod hanging;
mod no_place;
#[cfg(test)]
mod tests;
pub(crate) mod words;

use super::{figure, found, gap};
use crate::rule::{Budget, Check, Rule, Sense, Verdict};
use models::pins::ribbon::judge_ribbon;
use quantity::show;
use station::plan::Plan;

/// The figures.
pub(super) static RULES: &[Rule] = &[
    Rule {
        code: "pins.no-place",
        applies: wants_pins,
        limit: Some(|_, _| 0.0),
        about: &["pins"],
        tries: &["board.sheet"],
        source: "exact search over pins, needs, straps, timers and wake sources; computed",
        says: no_place::says,
        to_do: no_place::to_do,
        ..figure(Budget::Pins, "unplaced", "demands without a pin", "1", |_, e| {
            e.wiring().map_or(f64::NAN, crate::physics::Wiring::unplaced)
        })
    },
    Rule {
        applies: wants_pins,
        source: "points for straps, console, flicker at the start, pads, leads and noisy neighbours: ours",
        ..figure(Budget::Pins, "wiring_cost", "trouble in the wiring, in points", "1", |_, e| {
            e.wiring().map_or(f64::NAN, |wiring| f64::from(wiring.cost))
        })
    },
    Rule {
        code: "pins.ribbon",
        applies: has_board,
        limit: Some(|s, _| judge_ribbon(s.board.ribbon_m, s.camera.clock_hz, false).length_m_max),
        about: &["camera.clock", "board.ribbon"],
        tries: &["camera.clock", "board.sheet"],
        source: "100 mm at 20 MHz, 200 mm at 10 MHz, pixel clock taken as the camera clock: typical, from memory",
        says: |f| {
            format!(
                "a camera ribbon of {} is too long for a clock of {}: {} are the most ({}); pictures come torn, green or shifted",
                millimetres(f.value),
                show(f.plan.station.camera.clock_hz, "Hz"),
                millimetres(f.limit),
                gap(f, Sense::AtMost, "m")
            )
        },
        to_do: |_| "a shorter ribbon, a slower clock, or 22 to 33 Ω in series at the sensor's end".into(),
        ..figure(Budget::Pins, "ribbon", "camera ribbon", "m", |s, _| s.board.ribbon_m)
    },
];

/// The checks.
pub(super) static CHECKS: &[Check] = &[
    Check {
        budget: Budget::Pins,
        code: "pins.no-board",
        // Which board it is cannot be tried out; it is asked.
        tries: &[],
        look: |plan, _| match plan.parts.board {
            Some(_) => Vec::new(),
            None if plan.sheet("board").is_some() => found(
                Verdict::Unknown,
                "board.sheet",
                "which chip is on this board? Until the chip's pins are known nothing can be wired",
                "write chip = \"…\" into the board's sheet (doorwright sheets list chip shows them)",
            ),
            None => found(
                Verdict::Unknown,
                "board.sheet",
                "which board is it? Until its pins are known nothing can be wired",
                "write sheet = \"…\" under [board] (doorwright sheets list shows them), or bring in its pin table: doorwright sheets import FILE",
            ),
        },
    },
    Check { budget: Budget::Pins, code: "pins.not-judged", tries: &[], look: no_place::not_judged },
    Check { budget: Budget::Pins, code: "pins.camera-bus", tries: &["board.sheet"], look: bus::camera },
    Check { budget: Budget::Pins, code: "pins.strap-level", tries: &["board.sheet"], look: hanging::straps },
    Check { budget: Budget::Pins, code: "pins.shared-timer", tries: &["board.sheet"], look: bus::timers },
    Check { budget: Budget::Pins, code: "pins.boot-state", tries: &["board.sheet"], look: hanging::boot },
    Check { budget: Budget::Pins, code: "pins.sleep-hold", tries: &["board.sheet"], look: hanging::sleep },
    Check { budget: Budget::Pins, code: "pins.back-feed", tries: &["board.sheet"], look: hanging::back_feed },
    Check { budget: Budget::Pins, code: "pins.control-bus", tries: &["board.sheet"], look: bus::control },
    Check { budget: Budget::Pins, code: "pins.ribbon", tries: &["board.sheet"], look: bus::across_antenna },
    Check {
        budget: Budget::Pins,
        code: "pins.touch-neighbour",
        tries: &["board.sheet"],
        look: bus::neighbours,
    },
];

/// Ribbons are sold and measured in millimetres.
fn millimetres(length_m: f64) -> String {
    format!("{:.0} mm", 1000.0 * length_m)
}

fn has_board(plan: &Plan) -> bool {
    plan.parts.board.is_some()
}

fn wants_pins(plan: &Plan) -> bool {
    has_board(plan) && !plan.parts.demands.is_empty()
}
