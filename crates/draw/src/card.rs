//! The lid card: what whoever opens the case must know, printed at true size and laid inside.
//!
//! An A6 sheet (148 x 105 mm, ISO 216) folded once to 74 x 105 mm, which goes into a case of 80 x 120 mm. What is not
//! told is a line to be filled in by pen, and so is the day of proving. Nothing of a network stands on it, because a plan
//! knows none.

use crate::svg::{Anchor, Face, Ink, MM, Svg, USUAL};
use crate::wrap::{capital, wrapped};
use budgets::wiring::{Wire, WiringList};
use export::handover::Handover;
use export::settings::Settings;
use models::pins::board::{Pin, Taken};
use models::pins::level::Level;
use station::fields::{FIELDS, field, index_of};
use station::parts::BoardParts;
use station::plan::{Origin, Plan};

/// Width and height, in millimetres.
pub const SIZE_MM: (f64, f64) = (148.0, 105.0);
const MARGIN: f64 = 4.0 * MM;
const HALF: f64 = SIZE_MM.0 / 2.0 * MM;
const BOTTOM: f64 = SIZE_MM.1 * MM - MARGIN;
/// From one line of small text to the next.
const STEP: f64 = 12.0;
/// Letters of small text on a line of one half: 66 mm hold some 50 of the faces that are asked for.
const LETTERS: usize = 46;
const INK: Face = Face::SMALL.ink(Ink::Ink);

/// The card of a plan.
pub fn svg(plan: &Plan) -> String {
    let (list, handover) = (WiringList::of(plan), Handover::of(plan));
    let name = if list.plan.is_empty() { handover.file.clone() } else { list.plan.clone() };
    let mut sheet = Svg::default();
    let fold = [(HALF, MARGIN / 2.0), (HALF, BOTTOM + MARGIN / 2.0)];
    sheet.dashed(&fold, 0.5, Ink::Faint);
    let mut front = Column::new(&mut sheet, HALF + MARGIN);
    front.title(&name, &list, &handover);
    front.pins(&list);
    front.board(&list);
    let mut back = Column::new(&mut sheet, MARGIN);
    back.facts(plan);
    back.rescue(plan, &list, &handover);
    back.proven();
    let desc = format!(
        "{} wires, burned part {}, to be folded in the middle and laid into the case",
        list.wires.len(),
        handover.burned()
    );
    sheet.finish_mm(SIZE_MM, &format!("{name}: lid card"), &desc)
}

/// One half of the card, written downwards.
struct Column<'s> {
    sheet: &'s mut Svg,
    x: f64,
    y: f64,
}

impl<'s> Column<'s> {
    fn new(sheet: &'s mut Svg, x: f64) -> Self {
        Self { sheet, x, y: MARGIN + USUAL }
    }

    /// Whether one more line fits above the line of proving.
    fn has_room(&self) -> bool {
        self.y < BOTTOM - STEP
    }

    fn text(&mut self, face: Face, text: &str) {
        if self.has_room() {
            self.sheet.text((self.x, self.y), face, text);
            self.y += STEP.max(face.size * 1.25);
        }
    }

    fn small(&mut self, text: &str) {
        for line in wrapped(text, LETTERS) {
            self.text(INK, &line);
        }
    }

    /// A label on the left and its text beside it, wrapped.
    fn told(&mut self, label: &str, text: &str) {
        const LABEL: f64 = 13.0 * MM;
        for (number, line) in wrapped(text, LETTERS - 9).iter().enumerate() {
            if number == 0 && self.has_room() {
                self.sheet.text((self.x, self.y), Face::SMALL, label);
            }
            self.x += LABEL;
            self.text(INK, line);
            self.x -= LABEL;
        }
    }

    fn heading(&mut self, text: &str) {
        self.y += STEP * 0.35;
        self.sheet.line(
            &[(self.x, self.y - STEP), (self.x + HALF - 2.0 * MARGIN, self.y - STEP)],
            0.5,
            Ink::Faint,
        );
        self.text(INK.bold(), text);
    }

    fn title(&mut self, name: &str, list: &WiringList, handover: &Handover) {
        let face = Face { size: 13.0, ..Face::USUAL.bold() };
        for line in wrapped(name, 28).iter().take(2) {
            self.text(face, &line.chars().take(30).collect::<String>());
        }
        let revision =
            if list.revision.is_empty() { String::new() } else { format!("Revision {} · ", list.revision) };
        self.text(
            INK,
            &format!("{revision}burned {}", handover.burned()).chars().take(LETTERS).collect::<String>(),
        );
        self.text(INK, &format!("settings {}", Settings::of(handover).revision));
    }

    /// Wires by connector, in the order of the board's connectors.
    fn pins(&mut self, list: &WiringList) {
        if list.wires.is_empty() {
            return;
        }
        self.heading("Wires");
        let connector = |wire: &Wire| wire.places.first().map(|place| place.connector.clone());
        let mut groups: Vec<Option<String>> = Vec::new();
        for wire in &list.wires {
            if !groups.contains(&connector(wire)) {
                groups.push(connector(wire));
            }
        }
        groups.sort();
        // Those without a place last: they are what is missing.
        groups.sort_by_key(Option::is_none);
        for group in groups {
            let mut wires: Vec<&Wire> = list.wires.iter().filter(|wire| connector(wire) == group).collect();
            wires.sort_by_key(|wire| wire.places.first().map(|place| place.place));
            let label = group.as_deref().unwrap_or("no pin");
            for (number, wire) in wires.into_iter().enumerate() {
                self.wire(if number == 0 { label } else { "" }, wire);
            }
        }
    }

    fn wire(&mut self, connector: &str, wire: &Wire) {
        if !self.has_room() {
            return;
        }
        let cells = [
            (0.0, Face::SMALL, connector.chars().take(8).collect::<String>()),
            (
                13.0,
                INK,
                wire.places
                    .first()
                    .filter(|place| place.place > 0)
                    .map_or_else(String::new, |place| place.place.to_string()),
            ),
            (18.0, INK.bold(), wire.pin.map_or_else(String::new, |pin| format!("IO{pin}"))),
            (29.0, INK, wire.called.chars().take(24).collect()),
        ];
        for (mm, face, text) in cells {
            self.sheet.text((self.x + mm * MM, self.y), face, &text);
        }
        self.y += STEP;
    }

    /// What the board has already, in three columns.
    fn board(&mut self, list: &WiringList) {
        let Some(board) = &list.board else { return };
        self.heading(&format!("On the board {}", board.name));
        let lines: Vec<String> = list
            .camera_bus
            .iter()
            .chain(&list.on_board)
            .map(|line| format!("{} {}", line.name, line.pin).chars().take(20).collect())
            .collect();
        for row in lines.chunks(3) {
            if !self.has_room() {
                return;
            }
            for (column, line) in row.iter().enumerate() {
                self.sheet.text((self.x + column as f64 * 23.0 * MM, self.y), INK, line);
            }
            self.y += STEP;
        }
    }

    /// Supply, rest, picture and plate, as far as told; lines for a pen where not.
    fn facts(&mut self, plan: &Plan) {
        let told = |paths: &[&str]| {
            paths.iter().filter_map(|path| told(plan, path)).collect::<Vec<String>>().join(", ")
        };
        let or_pen = |text: String| if text.is_empty() { "____________________".into() } else { text };
        let feed = told(&[
            "supply.kind",
            "supply.volt",
            "supply.limit",
            "supply.polarity",
            "cell.chemistry",
            "cell.series",
            "cell.parallel",
            "solar.peak",
            "wiring.fuse",
        ]);
        self.told("Fed by", &or_pen(feed));
        self.told("Rests", &field("rest.mode").show((field("rest.mode").get)(&plan.station)));
        if let Some(every) = told_value(plan, "rest.idle_every") {
            self.told("", &format!("a picture every {every}"));
        }
        let picture = ["camera.size", "camera.quality", "camera.buffers"];
        self.told("Picture", &or_pen(told(&picture)));
        self.told(
            "Plate",
            &told(&[
                "plate.size",
                "plate.lead",
                "plate.period",
                "plate.debounce",
                "plate.average",
                "plate.longest",
            ]),
        );
        self.told("Untouched", "__________  touched __________");
        self.told("Threshold", "__________");
    }

    fn rescue(&mut self, plan: &Plan, list: &WiringList, handover: &Handover) {
        self.heading("To rescue it");
        let cells = told_value(plan, "supply.kind").is_some_and(|kind| kind == "cells");
        self.small(if cells {
            "1  Take the cells out before anything is unplugged."
        } else {
            "1  Take the supply off before anything is unplugged."
        });
        let mut step = 2;
        if let Some(board) = &plan.parts.board {
            for line in of_board(board) {
                self.small(&format!("{step}  {line}"));
                step += 1;
            }
        }
        self.small(&format!(
            "{step}  Load the program of burned part {}; then send its settings.",
            handover.burned()
        ));
        self.small(&format!(
            "{}  The plan is {}{}.",
            step + 1,
            handover.file,
            if list.revision.is_empty() { String::new() } else { format!(", revision {}", list.revision) }
        ));
    }

    fn proven(&mut self) {
        let y = BOTTOM;
        self.sheet.line(
            &[(self.x, y - STEP * 1.1), (self.x + HALF - 2.0 * MARGIN, y - STEP * 1.1)],
            0.5,
            Ink::Faint,
        );
        self.sheet.text((self.x, y), INK, "Proven on ______________ by ______________");
        self.sheet.text(
            (self.x + HALF - 1.6 * MARGIN + MARGIN * 0.0, y),
            Face::SMALL.anchor(Anchor::End),
            "",
        );
    }
}

/// How to speak to the board and how not to keep it from starting.
fn of_board(board: &BoardParts) -> Vec<String> {
    let pins = &board.board.chip.pins;
    let listed = |wanted: &dyn Fn(&&Pin) -> bool| {
        pins.iter().filter(wanted).map(|pin| format!("IO{}", pin.number)).collect::<Vec<String>>()
    };
    let mut lines = Vec::new();
    let console = listed(&|pin| pin.taken == Some(Taken::Console));
    if !console.is_empty() {
        lines.push(format!("Connect the serial console: {} and GND.", console.join(", ")));
    }
    let straps = listed(&|pin| pin.strap.is_some());
    if !straps.is_empty() {
        lines.push(format!("Start-up pins, not to be touched while power comes on: {}.", straps.join(", ")));
    }
    for pin in pins {
        if let Some(strap) = &pin.strap
            && let Some(level) = strap.needs
        {
            let wrong = if level == Level::High { "low" } else { "high" };
            lines.push(format!("IO{} {wrong} at start: {}.", pin.number, strap.otherwise));
        }
    }
    lines
}

/// A value with its name, if the plan or a sheet tells it: `quality 14`.
fn told(plan: &Plan, path: &str) -> Option<String> {
    let value = told_value(plan, path)?;
    Some(if path == "supply.kind" || path == "camera.size" || path == "cell.chemistry" {
        value
    } else {
        format!("{} {value}", field(path).key().replace('_', " "))
    })
}

fn told_value(plan: &Plan, path: &str) -> Option<String> {
    let index = index_of(path).filter(|index| plan.origins[*index] != Origin::Assumed)?;
    Some(FIELDS[index].show((FIELDS[index].get)(&plan.station)))
}
