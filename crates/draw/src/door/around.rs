//! What stands round the drawing of the door: distance, classes, key, sentences, and its description.

use super::{LEFT, LINE, assumed, density, front_m, name, percent, state, told, wanted};
use crate::layout::Frame;
use crate::sheet::Todo;
use crate::svg::{Anchor, Face, Ink, Svg, Tone};
use crate::wrap::capital;
use budgets::answers::Elevation;
use quantity::show;
use station::plan::Plan;

/// The distance of faces from the wall, below the ground.
pub(super) fn distance(svg: &mut Svg, plan: &Plan, frame: &Frame, y: f64) {
    let s = &plan.station;
    let [from, to] = [0.0, s.callers.distance_m].map(|out_m| frame.at([out_m, 0.0]).0);
    for x in [from, to] {
        svg.line(&[(x, frame.area[3] + 7.0), (x, y + 5.0)], 0.6, Ink::Ink);
    }
    svg.line(&[(from, y), (to, y)], 0.6, Ink::Ink);
    for (x, turn) in [(from, 1.0), (to, -1.0)] {
        svg.shape(
            &[(x, y), (x + turn * 6.0, y - 2.0), (x + turn * 6.0, y + 2.0)],
            0.5,
            Ink::Ink,
            Some(Ink::Ink),
        );
    }
    let says = format!("face to wall {:.2} m{}", s.callers.distance_m, assumed(plan, "callers.distance"));
    svg.text((from, y + 16.0), Face { size: 10.0, ..Face::USUAL }, &says);
}

/// The classes and how far each reaches; the lowest point.
pub(super) fn classes(svg: &mut Svg, door: &Elevation, distance_m: f64, y: f64) -> f64 {
    let columns = [LEFT, LEFT + 34.0, LEFT + 190.0, LEFT + 210.0];
    let mut at = y;
    svg.text((LEFT, at), Face::USUAL.bold(), &format!("Pixels on a face, by {}", door.edition));
    at += LINE;
    svg.text((columns[1], at), Face::SMALL, "class");
    svg.text((columns[2], at), Face::SMALL.anchor(Anchor::End), "asks for");
    svg.text((columns[3], at), Face::SMALL, "a median adult's face has it up to");
    at += LINE;
    for contour in &door.contours {
        let (face, weight, ink) = if contour.wanted {
            (Face::USUAL.bold(), 1.8, Ink::Ink)
        } else {
            (Face { size: 10.0, ..Face::USUAL }, 0.6, Ink::Faint)
        };
        svg.line(&[(LEFT, at - 3.5), (LEFT + 26.0, at - 3.5)], weight, ink);
        svg.text((columns[1], at), face, contour.class);
        svg.text((columns[2], at), face.anchor(Anchor::End), &show(contour.px_per_m, "px/m"));
        let reach = match contour.farthest_m {
            Some(far_m) if far_m < distance_m => format!("{far_m:.2} m, nearer than callers stand"),
            Some(far_m) if far_m < 9.995 => format!("{far_m:.2} m"),
            Some(far_m) => format!("{far_m:.0} m"),
            None => "nowhere in the picture".into(),
        };
        svg.text((columns[3], at), face, &reach);
        at += LINE;
    }
    at
}

/// What the signs mean; the lowest point.
pub(super) fn key(svg: &mut Svg, y: f64) -> f64 {
    const X: f64 = 520.0;
    let mut at = y;
    svg.text((X, at), Face::USUAL.bold(), "Signs");
    at += LINE + 2.0;
    let words = X + 36.0;
    for (filled, tone, says) in [
        (Some(Ink::Ink), false, "whole face in the picture"),
        (None, true, "eyes in it, the head cut off"),
        (None, false, "eyes outside the picture"),
    ] {
        let points: Vec<(f64, f64)> = (0..24)
            .map(|step| {
                let (sin, cos) = (f64::from(step) * std::f64::consts::TAU / 24.0).sin_cos();
                (X + 12.0 + 4.6 * cos, at - 3.5 + 5.6 * sin)
            })
            .collect();
        svg.shape(&points, 1.0, Ink::Ink, filled);
        if tone {
            svg.area(&points, Tone::Middle);
        }
        svg.text((words, at), Face { size: 10.0, ..Face::USUAL }, says);
        at += LINE;
    }
    svg.dashed(&[(X, at - 3.5), (X + 28.0, at - 3.5)], 0.9, Ink::Ink);
    svg.text((words, at), Face { size: 10.0, ..Face::USUAL }, "edge of the picture");
    at += LINE;
    svg.centre_line(&[(X, at - 3.5), (X + 28.0, at - 3.5)], 0.6, Ink::Faint);
    svg.text((words, at), Face { size: 10.0, ..Face::USUAL }, "where the lens looks");
    at += LINE;
    svg.line(&[(X + 11.0, at), (X + 14.0, at), (X + 14.0, at - 9.0), (X + 11.0, at - 9.0)], 0.8, Ink::Ink);
    svg.text((words, at), Face { size: 10.0, ..Face::USUAL }, "what all can reach by hand");
    at += LINE;
    svg.text((X, at), Face::SMALL, "All faces stand on the upright line; every other");
    svg.text((X, at + 12.0), Face::SMALL, "head is set back so that none hides another.");
    at + 12.0 + LINE
}

/// What the drawing says in figures; the lowest point.
pub(super) fn sentences(svg: &mut Svg, plan: &Plan, door: &Elevation, todo: Todo, y: f64) -> f64 {
    let s = &plan.station;
    let mut at = y;
    let mut lines = vec![(
        Ink::Ink,
        format!(
            "{} of callers have their whole face in the picture, {} so at \"{}\"; a typical face has {}.",
            percent(door.whole_share),
            percent(door.class_share),
            s.want.class.name(),
            density(door.face_px_per_m)
        ),
    )];
    let wanted = wanted(door);
    let troubles: Vec<String> = ["eyes outside", "cut off", "too coarse"]
        .into_iter()
        .filter_map(|trouble| {
            let names: Vec<&str> = door
                .ladder
                .iter()
                .filter(|rung| state(rung, wanted) == trouble)
                .map(|rung| name(rung.person))
                .collect();
            (!names.is_empty()).then(|| format!("{trouble}: {}", names.join(", ")))
        })
        .collect();
    if !troubles.is_empty() {
        let short = todo == Todo::Open;
        let ink = if short { Ink::Accent } else { Ink::Ink };
        let troubles = capital(&troubles.join("; "));
        if short {
            lines.push((ink, format!("{troubles}.")));
            lines.push((
                ink,
                "To do: doorwright check --best tries height, tilt and turn together; else another lens."
                    .into(),
            ));
        } else {
            lines.push((ink, format!("{troubles}: few enough of all callers, by what the plan wants.")));
        }
    }
    let tilt = match door.tilt_rad.to_degrees() {
        tilt if tilt.abs() < 0.05 => "level".to_string(),
        tilt if tilt > 0.0 => format!("{tilt:.0}° up"),
        tilt => format!("{:.0}° down", -tilt),
    };
    let across = door.field_rad.map_or_else(
        || "its round image inside the picture".to_string(),
        |rad| format!("{:.0}° across{}", rad.to_degrees(), lens_assumed(plan)),
    );
    let ground = match door.hidden_m {
        Some(hidden_m) if hidden_m < 0.02 => "the ground is seen up to the wall".to_string(),
        Some(hidden_m) => format!("ground nearer than {hidden_m:.2} m is hidden"),
        None => "no ground is seen".into(),
    };
    lines.push((Ink::Ink, format!("The lens looks {tilt}, {across}; {ground}.")));
    if s.camera.offset_m != 0.0 || s.camera.turn_rad != 0.0 {
        let side = |value: f64| if value < 0.0 { "left" } else { "right" };
        let mut says = Vec::new();
        if s.camera.offset_m != 0.0 {
            says.push(format!(
                "hangs {:.2} m to the caller's {}",
                s.camera.offset_m.abs(),
                side(s.camera.offset_m)
            ));
        }
        if s.camera.turn_rad != 0.0 {
            let turn = s.camera.turn_rad;
            says.push(format!("looks {:.0}° to the caller's {}", turn.abs().to_degrees(), side(turn)));
        }
        lines.push((
            Ink::Ink,
            format!("It {}; the drawing is cut upright through the callers' place.", says.join(" and ")),
        ));
    }
    let [low_m, high_m] = door.reach_m;
    let within = (low_m..=high_m).contains(&s.plate.height_m);
    let covers = door.apart_m < door.hand_m;
    lines.push((
        Ink::Ink,
        format!(
            "The plate at {:.2} m is {} {low_m:.2} to {high_m:.2} m, which all can reach, standing or seated (ISO 21542, from memory).",
            s.plate.height_m,
            if within { "within" } else { "not within" }
        ),
    ));
    lines.push((
        if covers { Ink::Accent } else { Ink::Ink },
        format!(
            "It is {:.2} m from the lens; a hand on it {} the face ({:.2} m are enough).",
            door.apart_m,
            if covers { "stands before" } else { "leaves free" },
            door.hand_m
        ),
    ));
    for (ink, says) in lines {
        svg.text((LEFT, at), Face { size: 10.5, ..Face::USUAL }.ink(ink), &says);
        at += LINE;
    }
    svg.text(
        (LEFT, at),
        Face::SMALL,
        "The station as planned, without its spreads: doorwright check tells in how many builds this holds. Distances from the wall's face.",
    );
    if front_m(plan) > 0.0 {
        at += 12.0;
        svg.text(
            (LEFT, at),
            Face::SMALL,
            "Lens and plate are drawn in the case's front; the picture's edges and all figures are reckoned from the wall's face.",
        );
    }
    at + 6.0
}

fn lens_assumed(plan: &Plan) -> &'static str {
    if told(plan, "lens.focal") { "" } else { assumed(plan, "lens.view") }
}

pub(super) fn described(door: &Elevation) -> String {
    let heads: Vec<String> = door
        .ladder
        .iter()
        .map(|rung| {
            let state = if rung.face_in { "in the picture" } else { state(rung, 0.0) };
            format!("{} {state}, {}", name(rung.person), density(rung.px_per_m))
        })
        .collect();
    format!("Heads before the lens from small to tall: {}.", heads.join("; "))
}
