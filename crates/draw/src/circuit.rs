//! How everything is joined: the feed from source to rail, each pin to its part, the release unit to the lock.
//!
//! Boxes are parts, lines are wires, a dashed box is something that must be there and that the plan does not tell. Reads
//! [`Circuits`]; computes nothing and adds nothing.

use crate::board::{place, word};
use crate::sheet::{self, LETTER, MARGIN, Title};
use crate::svg::{Anchor, Face, Ink, PAGE_WIDTH, Svg};
use crate::wrap::{capital, wrapped};
use budgets::circuit::{Circuit, Circuits, Step};
use budgets::wiring::{Wire, WiringList};
use station::plan::Plan;

/// Height of a box: a name and two lines.
const BOX: f64 = 44.0;
/// Of the feed and of the lock: two lines more.
const TALL: f64 = 68.0;
/// Between two boxes of a chain.
const GAP: f64 = 14.0;
const WIDEST: f64 = 152.0;
const LINE: f64 = 12.0;
const WIRE: f64 = 1.6;
/// Where the line of a part begins, right of its number and its pin.
const FROM: f64 = MARGIN + 118.0;

/// The drawing, as SVG. `not_yet`: why nothing should be built yet; may be empty.
///
/// # Errors
/// Why there is none.
pub fn svg(plan: &Plan, list: &WiringList, not_yet: &str) -> Result<String, &'static str> {
    if list.board.is_none() {
        return Err("the plan does not name a board ([board] sheet)");
    }
    let circuits = &list.circuits;
    let verdict = format!("pins: {}", word(list.verdict));
    let title = Title::of(plan, "feed, parts and lock", &verdict);
    let mut svg = Svg::default();
    sheet::head(
        &mut svg,
        &title,
        "How feed, parts and lock are joined, as far as plan and sheets tell; not to scale",
    );
    let mut y = 88.0 + sheet::warning(&mut svg, not_yet);
    if !circuits.feed.is_empty() {
        y = heading(
            &mut svg,
            y,
            "Feed, from the source to the board; the line drawn is +, 0 V runs beside it",
        );
        chain(&mut svg, &circuits.feed, (MARGIN, PAGE_WIDTH - MARGIN), (y, TALL));
        y += TALL + 26.0;
    }
    if !circuits.parts.is_empty() {
        y = heading(&mut svg, y, "Parts, each from its pin");
        for (circuit, wire) in circuits.parts.iter().zip(&list.wires) {
            y = part(&mut svg, circuit, wire, y);
        }
        y += 16.0;
    }
    if !circuits.lock.is_empty() {
        y = heading(&mut svg, y, "Lock, from its supply and back; the unit that switches it has the contact");
        chain(&mut svg, &circuits.lock, (MARGIN, PAGE_WIDTH - MARGIN), (y, TALL));
        y += TALL + 26.0;
    }
    y = list_of(&mut svg, y, "To mind", &circuits.says);
    y = list_of(&mut svg, y, "Not told by the plan", &circuits.not_told);
    let y = sheet::title_block(&mut svg, &title, y);
    let told = described(circuits);
    Ok(svg.finish(y + 24.0, &format!("How {} is joined", title.station), &told))
}

fn heading(svg: &mut Svg, y: f64, text: &str) -> f64 {
    svg.text((MARGIN, y), Face::USUAL.bold(), text);
    svg.line(&[(MARGIN, y + 5.0), (PAGE_WIDTH - MARGIN, y + 5.0)], 0.9, Ink::Ink);
    y + 16.0
}

/// Boxes one after the other with a wire between them; gives the middles of the boxes.
fn chain(svg: &mut Svg, steps: &[Step], (left, right): (f64, f64), (y, high): (f64, f64)) -> Vec<f64> {
    let count = steps.len() as f64;
    let width = ((right - left - GAP * (count - 1.0)) / count).min(WIDEST);
    let mut middles = Vec::new();
    for (index, step) in steps.iter().enumerate() {
        let x = left + index as f64 * (width + GAP);
        if index > 0 {
            svg.line(&[(x - GAP, y + 0.5 * high), (x, y + 0.5 * high)], WIRE, Ink::Ink);
        }
        one(svg, step, (x, y), (width, high));
        middles.push(x + 0.5 * width);
    }
    middles
}

/// One box. What is only known to be there is dashed.
fn one(svg: &mut Svg, step: &Step, (x, y): (f64, f64), (width, high): (f64, f64)) {
    match (step.is, step.says.as_str()) {
        (is, says) if is == "transistor" || says.contains("not told") => {
            let corners = [(x, y), (x + width, y), (x + width, y + high), (x, y + high), (x, y)];
            svg.dashed(&corners, 1.0, Ink::Ink);
        }
        ("end" | "source", _) => svg.rect((x, y), (width, high), 1.8, Ink::Ink, None),
        _ => svg.rect((x, y), (width, high), 0.9, Ink::Ink, None),
    }
    let letters = ((width - 10.0) / LETTER) as usize;
    let middle = Face::SMALL.anchor(Anchor::Middle);
    svg.text(
        (x + 0.5 * width, y + 13.0),
        middle.ink(Ink::Ink).bold(),
        &sheet::short(&step.name, letters * 9 / 10),
    );
    for (index, line) in wrapped(&step.says, letters).iter().take(((high - 20.0) / LINE) as usize).enumerate()
    {
        svg.text((x + 0.5 * width, y + 25.0 + LINE * index as f64), middle.ink(Ink::Ink), line);
    }
}

/// A part on its pin; gives the height of the next.
fn part(svg: &mut Svg, circuit: &Circuit, wire: &Wire, y: f64) -> f64 {
    let lower = if circuit.switched.is_empty() { y } else { y + BOX };
    let middle = lower + 0.5 * BOX;
    let ink = if wire.pin.is_some() { Ink::Ink } else { Ink::Accent };
    svg.circle((MARGIN + 9.0, middle), 8.5, 1.2, ink, Some(Ink::Paper));
    svg.text(
        (MARGIN + 9.0, middle + 3.5),
        Face::SMALL.ink(ink).anchor(Anchor::Middle),
        &circuit.number.to_string(),
    );
    let pin = wire.pin.map_or_else(|| "no pin".into(), |pin| format!("IO{pin}"));
    svg.text((MARGIN + 24.0, middle - 1.0), Face::USUAL.bold().ink(ink), &pin);
    let at = place(wire).unwrap_or_default();
    svg.text((MARGIN + 24.0, middle + 11.0), Face::SMALL, &sheet::short(&at, 12));
    if circuit.switched.is_empty() {
        svg.line(&[(FROM - 26.0, middle), (FROM, middle)], WIRE, ink);
        chain(svg, &circuit.line, (FROM, PAGE_WIDTH - MARGIN - 150.0), (y, BOX));
        beside(svg, &circuit.beside, (PAGE_WIDTH - MARGIN - 142.0, y + 12.0), 142.0);
        return y + BOX + 8.0;
    }
    let middles = chain(svg, &circuit.switched, (FROM, PAGE_WIDTH - MARGIN), (y, BOX));
    let is = |wanted| circuit.switched.iter().position(|step| step.is == wanted);
    let at = is("transistor").or_else(|| is("part"));
    let x = at.map_or(FROM, |at| middles[at]);
    svg.line(&[(FROM - 26.0, middle), (x, middle), (x, y + BOX)], WIRE, ink);
    svg.text((FROM, middle - 5.0), Face::SMALL.ink(Ink::Ink), &circuit.beside);
    lower + BOX + 2.0
}

/// Small lines beside a chain.
fn beside(svg: &mut Svg, says: &str, (x, y): (f64, f64), width: f64) {
    let letters = (width / LETTER) as usize;
    for (index, line) in wrapped(says, letters).iter().take(3).enumerate() {
        svg.text((x, y + LINE * index as f64), Face::SMALL, line);
    }
}

/// A heading with sentences below it; nothing for none.
fn list_of(svg: &mut Svg, y: f64, head: &str, lines: &[String]) -> f64 {
    if lines.is_empty() {
        return y;
    }
    let letters = ((PAGE_WIDTH - 2.0 * MARGIN - 12.0) / LETTER) as usize;
    let mut at = heading(svg, y, head);
    for line in lines {
        for (index, piece) in wrapped(&capital(line), letters).iter().enumerate() {
            at += 2.0;
            svg.text((MARGIN, at), Face::SMALL.ink(Ink::Ink), if index == 0 { "–" } else { "" });
            svg.text((MARGIN + 12.0, at), Face::SMALL.ink(Ink::Ink), piece);
            at += LINE;
        }
    }
    at + 16.0
}

/// What a screen reader is told.
fn described(circuits: &Circuits) -> String {
    let told = |steps: &[Step]| {
        let steps = steps.iter().map(|step| format!("{} {}", step.name, step.says).trim().to_string());
        steps.collect::<Vec<_>>().join(", then ")
    };
    let mut says = vec![format!("Feed: {}.", told(&circuits.feed))];
    for part in &circuits.parts {
        let steps = if part.switched.is_empty() { &part.line } else { &part.switched };
        says.push(format!("{}: {}.", part.number, told(steps)));
    }
    if !circuits.lock.is_empty() {
        says.push(format!("Lock: {}.", told(&circuits.lock)));
    }
    says.push(format!("Not told by the plan: {}.", circuits.not_told.join("; ")));
    says.join(" ")
}
