//! The lid card: what whoever opens the case must know, printed at true size and laid inside.
//!
//! An A6 sheet (148 x 105 mm, ISO 216) folded once to 74 x 105 mm, which goes into a case of 80 x 120 mm. What is not
//! told is a line to be filled in by pen, and so is the day of proving. Nothing of a network stands on it, because a plan
//! knows none.

use crate::svg::{Face, Ink, MM, Svg, USUAL};
use crate::wrap::wrapped;
use budgets::wiring::{Line, Wire, WiringList};
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
/// Letters of small text on a line of one half: 66 mm hold some 53 of the faces that are asked for.
const LETTERS: usize = 51;
/// Where what stands beside a label begins.
const LABEL_MM: f64 = 13.0;
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
    front.notes();
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

    /// Text beside a label, `mm` to its right, wrapped.
    fn beside(&mut self, label: &str, mm: f64, text: &str) {
        // A letter of small text is some 1.3 mm wide.
        let letters = LETTERS - (mm / 1.3) as usize;
        for (number, line) in wrapped(text, letters).iter().enumerate() {
            if !self.has_room() {
                return;
            }
            if number == 0 {
                self.sheet.text((self.x, self.y), Face::SMALL, label);
            }
            self.sheet.text((self.x + mm * MM, self.y), INK, line);
            self.y += STEP;
        }
    }

    fn told(&mut self, label: &str, text: &str) {
        self.beside(label, LABEL_MM, text);
    }

    fn rule(&mut self, y: f64) {
        self.sheet.line(&[(self.x, y), (self.x + HALF - 2.0 * MARGIN, y)], 0.5, Ink::Faint);
    }

    fn heading(&mut self, text: &str) {
        self.y += STEP * 0.35;
        self.rule(self.y - STEP);
        self.text(INK.bold(), text);
    }

    fn title(&mut self, name: &str, list: &WiringList, handover: &Handover) {
        let face = Face { size: 13.0, ..Face::USUAL.bold() };
        for line in wrapped(name, 28).iter().take(2) {
            self.text(face, &line.chars().take(30).collect::<String>());
        }
        let revision = match list.revision.as_str() {
            "" => String::new(),
            revision => format!("revision {} · ", revision.chars().take(12).collect::<String>()),
        };
        self.text(INK, &format!("{revision}burned {}", handover.burned()));
        let settings = Settings::of(handover);
        if !settings.told.is_empty() {
            self.text(INK, &format!("settings {}", settings.revision));
        }
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
        self.ends(list);
    }

    /// Where the other wires of the parts go, and the feed.
    fn ends(&mut self, list: &WiringList) {
        for to in ["ground", "rail", "feed"] {
            let mut places = Vec::new();
            let mut parts = Vec::new();
            for wire in &list.wires {
                let Some(end) = wire.other_wires.iter().find(|end| end.to == to) else { continue };
                places = end.places.iter().map(|at| format!("{} {}", at.connector, at.place)).collect();
                parts.push(wire.called.as_str());
            }
            if !parts.is_empty() {
                let at = if places.is_empty() { "no connector".into() } else { places.join(", ") };
                self.told(to, &format!("{at}: {}", parts.join(", ")));
            }
        }
        for line in &list.feed {
            self.told("supply", line);
        }
    }

    fn wire(&mut self, connector: &str, wire: &Wire) {
        if !self.has_room() {
            return;
        }
        let place = wire.places.first().filter(|place| place.place > 0);
        let face = if wire.pin.is_some() { Face::SMALL } else { Face::SMALL.ink(Ink::Accent) };
        let cells = [
            (0.0, face, connector.chars().take(8).collect()),
            (LABEL_MM, INK, place.map_or_else(String::new, |place| place.place.to_string())),
            (18.0, INK.bold(), wire.pin.map_or_else(String::new, |pin| format!("IO{pin}"))),
            (29.0, INK, wire.called.chars().take(26).collect::<String>()),
        ];
        for (mm, face, text) in cells {
            self.sheet.text((self.x + mm * MM, self.y), face, &text);
        }
        self.y += STEP;
    }

    /// What the board has already: the bus in three columns, the rest in a row.
    fn board(&mut self, list: &WiringList) {
        let Some(board) = &list.board else { return };
        self.heading(&format!("On the board {}", board.name));
        let told = |line: &Line| format!("{} {}", line.name, line.pin);
        for row in list.camera_bus.chunks(3) {
            if !self.has_room() {
                return;
            }
            for (column, line) in row.iter().enumerate() {
                self.sheet.text((self.x + column as f64 * 22.0 * MM, self.y), INK, &told(line));
            }
            self.y += STEP;
        }
        let rest: Vec<String> = list.on_board.iter().map(told).collect();
        self.beside("", 0.0, &rest.join(", "));
    }

    /// Lines for a pen, as far as there is room.
    fn notes(&mut self) {
        if self.y + 3.0 * STEP > BOTTOM {
            return;
        }
        self.heading("By pen");
        while self.y + STEP < BOTTOM {
            self.y += 1.5 * STEP;
            self.rule(self.y.min(BOTTOM));
        }
    }

    /// Supply, rest, picture and plate, as far as told; lines for a pen where not.
    fn facts(&mut self, plan: &Plan) {
        let feed = all_told(plan, &FEED);
        self.told("Fed by", if feed.is_empty() { "______________________________" } else { &feed });
        let every = told(plan, "rest.idle_every")
            .map_or_else(String::new, |every| format!(", a picture every {every}"));
        let rest = field("rest.mode");
        self.told("Rests", &format!("{}{every}", rest.show((rest.get)(&plan.station))));
        self.told("Picture", &all_told(plan, &PICTURE));
        self.told("Plate", &all_told(plan, &PLATE));
        let plate = if all_told(plan, &PLATE).is_empty() { "Plate" } else { "" };
        self.told(plate, "untouched _________ touched _________");
        self.told("", "threshold _________");
    }

    fn rescue(&mut self, plan: &Plan, list: &WiringList, handover: &Handover) {
        self.heading("To rescue it");
        let cells = told(plan, "supply.kind").is_some_and(|kind| kind == "cells");
        let first = if cells { "Take the cells out" } else { "Take the supply off" };
        let mut steps = vec![format!("{first} before anything is unplugged.")];
        steps.extend(plan.parts.board.iter().flat_map(of_board));
        steps.push(format!("Load the program of burned part {}, then send its settings.", handover.burned()));
        let revision =
            if list.revision.is_empty() { String::new() } else { format!(", revision {}", list.revision) };
        steps.push(format!("The plan is {}{revision}.", handover.file));
        for (number, step) in (1..).zip(steps) {
            self.beside(&format!("{number}"), 4.0, &step);
        }
    }

    fn proven(&mut self) {
        self.rule(BOTTOM - 1.2 * STEP);
        self.sheet.text((self.x, BOTTOM), INK, "Proven on _______________ by _______________");
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

/// Fields and the words before their values.
const FEED: [(&str, &str); 9] = [
    ("supply.kind", ""),
    ("supply.volt", ""),
    ("supply.limit", "up to "),
    ("supply.polarity", "polarity: "),
    ("wiring.fuse", "fuse "),
    ("cell.chemistry", ""),
    ("cell.series", "series "),
    ("cell.parallel", "parallel "),
    ("solar.peak", "panel "),
];
const PICTURE: [(&str, &str); 3] =
    [("camera.size", ""), ("camera.quality", "quality "), ("camera.buffers", "buffers ")];
const PLATE: [(&str, &str); 7] = [
    ("plate.size", ""),
    ("plate.period", "read every "),
    ("plate.debounce", "agreeing "),
    ("plate.average", "averaged over "),
    ("plate.longest", "longest press "),
    ("plate.threshold", "threshold "),
    ("plate.hysteresis", "hysteresis "),
];

/// Those of the fields that are told, with their words.
fn all_told(plan: &Plan, fields: &[(&str, &str)]) -> String {
    let told: Vec<String> =
        fields.iter().filter_map(|(path, words)| Some(format!("{words}{}", told(plan, path)?))).collect();
    told.join(", ")
}

/// A value, if the plan or a sheet tells it.
fn told(plan: &Plan, path: &str) -> Option<String> {
    let index = index_of(path).filter(|index| plan.origins[*index] != Origin::Assumed)?;
    Some(FIELDS[index].show((FIELDS[index].get)(&plan.station)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use station::sheets::Library;
    use station::text::Source;

    fn card(text: &str) -> String {
        svg(&Plan::read(Source::new("gate.toml", text), &Library::shipped())
            .expect("the test's plan is right"))
    }

    /// Every y of a text lies on the sheet: A6 is 105 mm high (ISO 216), 396.9 units.
    #[test]
    fn nothing_runs_off_the_sheet_however_much_is_wired() {
        let wires: String = (0..40).map(|n| format!("lamp_{n} = {{ is = \"status-lamp\" }}\n")).collect();
        let crowded = card(&format!(
            "name = \"{}\"\n[board]\nsheet = \"siskin\"\n[pins]\n{wires}",
            "long name ".repeat(20)
        ));
        for text in [crowded, card("")] {
            let heights =
                text.split(" y=\"").skip(1).filter_map(|rest| rest.split('"').next()?.parse::<f64>().ok());
            assert!(heights.max_by(f64::total_cmp).expect("there is text") <= SIZE_MM.1 * MM - 2.0 * MM);
            assert!(text.contains("width=\"148mm\" height=\"105mm\""));
        }
    }

    /// The pins by which the older class starts, as its sheet says.
    #[test]
    fn it_tells_how_to_rescue_the_board() {
        let text = card(
            "revision = \"B\"\n[board]\nsheet = \"wren\"\n[supply]\nkind = \"cells\"\n[pins]\nplate = 13\n",
        );
        for words in [
            "IO0, IO2, IO5, IO12, IO15",
            "IO1, IO3 and GND",
            "Take the cells out",
            "Proven on ____",
            ">IO13<",
        ] {
            assert!(text.contains(words), "{words}: {text}");
        }
    }
}
