//! The wiring list for a terminal of 80 columns: wires, what the board has already, what to attend to.
//!
//! Complete without colour. The column for the wire's colour is empty on purpose: it is written in by hand.

use crate::board::{place, word};
use crate::paint::{Paint, Tone};
use crate::terminal::WIDTH;
use crate::wrap::wrapped;
use budgets::assessment::Finding;
use budgets::circuit::Step;
use budgets::wiring::{Other, Place, Wire, WiringList, any_of};
use std::fmt::Write as _;

/// Other pins that are told on the list; JSON has all.
const OTHERS: usize = 4;
/// Where what is told of a wire begins.
const INDENT: usize = 7;

/// The whole list.
pub fn list(list: &WiringList) -> String {
    let mut out = String::new();
    title(&mut out, list);
    wires(&mut out, list);
    on_board(&mut out, list);
    feed(&mut out, list);
    prints(&mut out, list);
    for finding in &list.findings {
        attend(&mut out, finding);
    }
    out
}

fn title(out: &mut String, list: &WiringList) {
    let name = if list.plan.is_empty() { &list.file } else { &list.plan };
    let revision = if list.revision.is_empty() { String::new() } else { format!("rev {}", list.revision) };
    let room = WIDTH - 3 - revision.chars().count();
    let name: String = name.to_uppercase().chars().take(room).collect();
    let gap = if revision.is_empty() { 0 } else { WIDTH - 2 - name.chars().count() };
    let _ = writeln!(out, " {}{revision:>gap$}", Paint(Tone::Strong, &name));
    let board = match &list.board {
        Some(board) => format!("board {}: {}", board.name, board.title),
        None => "no board named".into(),
    };
    for line in wrapped(&board, WIDTH - 2) {
        let _ = writeln!(out, " {line}");
    }
    let tone = if matches!(list.verdict, "fits" | "tight") { Tone::Strong } else { Tone::Accent };
    let trouble = match (list.cost, list.at_least) {
        (Some(0), _) => "no trouble in it".to_string(),
        (Some(cost), Some(least)) if cost == least => format!("{cost} points of trouble, no wiring has less"),
        (Some(cost), _) => format!("{cost} points of trouble"),
        (None, _) => "not every demand has a pin".into(),
    };
    let trouble =
        if list.wires.is_empty() || list.board.is_none() { String::new() } else { format!(" · {trouble}") };
    let _ = writeln!(out, " pins: {}{trouble}", Paint(tone, word(list.verdict)));
    rule(out);
}

fn rule(out: &mut String) {
    let _ = writeln!(out, " {}", Paint(Tone::Faint, &"─".repeat(WIDTH - 2)));
}

fn wires(out: &mut String, list: &WiringList) {
    if list.wires.is_empty() {
        let _ = writeln!(out, " Nothing wants a pin: write [pins] and plate = \"any\" into the plan.");
        return;
    }
    let head = format!(" {:>4}  {:<30} {:<5} {:<18} {}", "wire", "from", "to", "place", "colour");
    let _ = writeln!(out, "{}", Paint(Tone::Faint, &head));
    for wire in &list.wires {
        one(out, list, wire);
    }
}

fn one(out: &mut String, list: &WiringList, wire: &Wire) {
    let called: String = wire.called.chars().take(30).collect();
    // Padded before it is painted: codes of colour have a width too.
    let called = format!("{called:<30}");
    let (tone, pin) = match wire.pin {
        Some(pin) => (Tone::Strong, format!("IO{pin}")),
        None => (Tone::Accent, "none".into()),
    };
    let at: String = place(wire).unwrap_or_default().chars().take(18).collect();
    let rest = format!("{pin:<5} {at:<18}");
    let rest =
        if wire.pin.is_some() { format!("{rest} {}", Paint(Tone::Faint, "...............")) } else { pin };
    let _ = writeln!(out, " {:>4}  {} {rest}", wire.number, Paint(tone, &called));
    told(out, &wire.title);
    if let (None, Some(fixed)) = (wire.pin, wire.fixed) {
        told(out, &format!("the plan fixes it to IO{fixed}"));
    }
    for text in through(list, wire).into_iter().chain(other_ends(wire)) {
        told(out, &text);
    }
    for note in &wire.notes {
        told(out, &format!("· {note}"));
    }
    if !wire.others.is_empty() {
        let mut others: Vec<String> = wire.others.iter().take(OTHERS).map(other).collect();
        match wire.others.len() - others.len() {
            0 => {}
            more => others.push(format!("{more} more")),
        }
        told(out, &format!("would do too: {}", others.join(", ")));
    }
}

/// What lies between the pin and the part: `through 270 Ω`; `None` for a bare wire.
pub(crate) fn through(list: &WiringList, wire: &Wire) -> Option<String> {
    let circuit = list.circuits.parts.iter().find(|circuit| circuit.number == wire.number)?;
    let resistors = |steps: &[Step]| {
        let all = steps.iter().filter(|step| step.is == "resistor");
        all.map(|step| step.says.clone()).collect::<Vec<_>>()
    };
    let (line, divider) = (resistors(&circuit.line), resistors(&circuit.switched));
    if circuit.line.iter().any(|step| step.is == "transistor") {
        Some("switched by a transistor".into())
    } else if !line.is_empty() {
        Some(format!("through {}", line.join(" and ")))
    } else if let [upper, lower] = divider.as_slice() {
        Some(format!("between {upper} to cells + and {lower} to ground"))
    } else {
        None
    }
}

/// Where its other wires go: `and to ground (left 2 or right 2)`.
pub(crate) fn other_ends(wire: &Wire) -> Option<String> {
    let ends = wire.other_wires.iter().map(|other| match other.places.len() {
        0 => format!("{}, which no connector has", other.to),
        _ => format!("{} ({})", other.to, any_of(&other.places)),
    });
    let ends: Vec<String> = ends.collect();
    (!ends.is_empty()).then(|| format!("and to {}", ends.join(" and ")))
}

/// `left 2, right 2`.
fn all_places(places: &[Place]) -> String {
    places.iter().map(|at| format!("{} {}", at.connector, at.place)).collect::<Vec<_>>().join(", ")
}

/// `IO4`, `IO13 (+5)`, `IO2 (+0, plate to IO4)`.
fn other(other: &Other) -> String {
    let mut facts = Vec::new();
    if other.extra_cost > 0 {
        facts.push(format!("+{}", other.extra_cost));
    }
    facts.extend(other.moves.iter().map(|moved| format!("{} to IO{}", moved.name, moved.pin)));
    if facts.is_empty() {
        format!("IO{}", other.pin)
    } else {
        format!("IO{} ({})", other.pin, facts.join(", "))
    }
}

fn told(out: &mut String, text: &str) {
    for line in wrapped(text, WIDTH - INDENT - 1) {
        let _ = writeln!(out, "{}{}", " ".repeat(INDENT), Paint(Tone::Faint, &line));
    }
}

fn on_board(out: &mut String, list: &WiringList) {
    if list.camera_bus.is_empty() && list.on_board.is_empty() {
        return;
    }
    rule(out);
    let _ = writeln!(out, " On the board already");
    for lines in [&list.camera_bus, &list.on_board] {
        let cells: Vec<String> = lines.iter().map(|line| format!("{} = {}", line.name, line.pin)).collect();
        let widest = cells.iter().map(|cell| cell.chars().count()).max().unwrap_or(0);
        let columns = ((WIDTH - 4) / (widest + 2)).clamp(1, 4);
        for row in cells.chunks(columns) {
            let row: Vec<String> = row.iter().map(|cell| format!("{cell:<widest$}")).collect();
            let _ = writeln!(out, "   {}", row.join("  ").trim_end());
        }
    }
}

fn feed(out: &mut String, list: &WiringList) {
    if list.feed.is_empty() {
        return;
    }
    rule(out);
    let _ = writeln!(out, " Feed");
    for line in list.feed.iter().flat_map(|line| wrapped(line, WIDTH - 4)) {
        let _ = writeln!(out, "   {line}");
    }
}

fn prints(out: &mut String, list: &WiringList) {
    if list.prints.is_empty() {
        return;
    }
    rule(out);
    let _ = writeln!(out, " Else on the connectors");
    for print in &list.prints {
        let _ = writeln!(out, "   {:<6} {}", print.print, all_places(&print.places));
    }
}

fn attend(out: &mut String, finding: &Finding) {
    rule(out);
    let tone = if finding.verdict == "over" { Tone::Accent } else { Tone::Strong };
    let _ = writeln!(out, " {}", Paint(tone, &format!("{}: {}", word(finding.verdict), finding.code)));
    for line in wrapped(&finding.says, WIDTH - 4) {
        let _ = writeln!(out, "   {line}");
    }
    for (number, line) in wrapped(&finding.to_do, WIDTH - 6).iter().enumerate() {
        let _ = writeln!(out, "   {} {line}", if number == 0 { "→" } else { " " });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use station::plan::Plan;
    use station::sheets::Library;
    use station::text::Source;

    fn printed(text: &str) -> String {
        let plan = Plan::read(Source::new("gate.toml", text), &Library::shipped())
            .expect("the test's plans can be read");
        // Codes of colour are what the reader's terminal makes of them; what remains must say it all.
        let mut plain = String::new();
        let mut rest = list(&WiringList::of(&plan));
        while let Some(start) = rest.find('\u{1b}') {
            plain.push_str(&rest[..start]);
            let end = rest[start..].find('m').expect("a code ends") + start + 1;
            rest = rest.split_off(end);
        }
        plain + &rest
    }

    #[test]
    fn the_list_of_a_plan_that_does_not_fit() {
        insta::assert_snapshot!(printed(
            "name = \"gate\"\nrevision = \"B\"\n[board]\nsheet = \"heron\"\n[pins]\nplate = \"any\"\nchime_relay = 15\nstatus_lamp = 5\n"
        ));
    }

    #[test]
    fn no_line_is_wider_than_the_terminal() {
        for board in ["dipper", "heron", "plover", "siskin", "wren"] {
            for sheet in Library::shipped().names("demand") {
                let text = format!(
                    "[board]\nsheet = \"{board}\"\n[pins]\nplate = 0\na_demand_with_a_very_long_name_indeed = {{ is = \"{sheet}\" }}\n"
                );
                for line in printed(&text).lines() {
                    assert!(line.chars().count() <= WIDTH, "{board}, {sheet}: {line}");
                    assert_eq!(line, line.trim_end(), "{board}, {sheet}");
                }
            }
        }
    }
}
