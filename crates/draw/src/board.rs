//! The board to its connectors with everything that the plan hangs on it, and the list that says the same.
//!
//! Not to scale: connectors called `left`, `right` and `top` are drawn there, all others and the pads below. Line
//! weights carry meaning: heavy is a wire to solder, thin is on the board already. The accent marks what a finding is
//! about, which also has a mark and a sentence below. Reads a [`WiringList`] and the board's places; computes no pin.

use crate::sheet::{self, Title};
use crate::svg::{Anchor, Face, Ink, PAGE_WIDTH, SMALL, Svg};
use crate::wiring::{other_ends, through};
use crate::wrap::{capital, wrapped};
use budgets::wiring::{Wire, WiringList};
use models::pins::board::{Pin, Taken};
use models::pins::level::Level;
use station::parts::{BoardParts, PlaceIs};

const MARGIN: f64 = 30.0;
const HEAVY: f64 = 2.4;
const THIN: f64 = 0.9;
/// Between places at the sides.
const ROW: f64 = 23.0;
/// Between places above and below.
const COLUMN: f64 = 25.0;
/// Half a place's square.
const HALF: f64 = 4.0;
/// From the board's edge to where labels of wires begin.
const REACH: f64 = 74.0;
const BOARD_WIDTH: f64 = 270.0;
/// Camera and chip, between the upper places and the rows.
const INNER: f64 = 74.0;
/// Between wires that leave an edge, and between stubs: two marks of findings side by side.
const LANE: f64 = 24.0;
/// Between lines of text.
const LINE: f64 = 14.0;
/// Between a table and the next heading.
const APART: f64 = 32.0;
/// Width of a letter of small text, in units: wide faces have 0.6 of its height.
const LETTER: f64 = 0.6 * SMALL;

const LABEL: Face = Face::USUAL;
const NOTE: Face = Face::SMALL;

/// A side of the board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Side {
    Left,
    Right,
    Top,
    Bottom,
}

/// A place as it is drawn.
struct Spot<'a> {
    /// What is printed there.
    print: String,
    /// The chip's pin, where it is one.
    pin: Option<&'a Pin>,
    /// Round for a pad.
    is_pad: bool,
}

/// Places of one side, groups of a connector with its name.
struct Row<'a> {
    name: String,
    spots: Vec<Spot<'a>>,
}

/// The drawing, as SVG. Without a board it shows the list alone. `not_yet`: why nothing should be built yet; may be empty.
pub fn svg(list: &WiringList, board: Option<&BoardParts>, not_yet: &str) -> String {
    let mut svg = Svg::default();
    let name = list
        .board
        .as_ref()
        .map_or("wiring, no board named".into(), |board| format!("wiring of the board {}", board.name));
    let verdict = format!("pins: {}", word(list.verdict));
    let title = title(list, &name, &verdict);
    sheet::head(&mut svg, &title, "Wiring of the board, seen from its parts' side; not to scale");
    let mut y = 74.0 + sheet::warning(&mut svg, not_yet);
    if let Some(board) = board {
        y = Drawn::new(list, board).draw(&mut svg, y);
        y = legend(&mut svg, list, board, y + 10.0);
    }
    y = wire_table(&mut svg, list, y + 28.0);
    y = feed(&mut svg, list, y + APART);
    y = board_table(&mut svg, list, y + APART);
    y = findings(&mut svg, list, y + APART);
    y = sheet::title_block(&mut svg, &title, y + 18.0);
    svg.finish(y + MARGIN, &format!("Wiring of {}", title.station), &described(list))
}

/// What a screen reader is told: the list in sentences.
fn described(list: &WiringList) -> String {
    let wires = list.wires.iter().map(|wire| match wire.pin {
        Some(pin) => {
            format!("{} to IO{pin}{}", wire.called, place(wire).map_or(String::new(), |at| format!(", {at}")))
        }
        None => format!("{} without a pin", wire.called),
    });
    let wires: Vec<String> = wires.collect();
    let board = list.board.as_ref().map_or("no board named".into(), |board| format!("board {}", board.name));
    let wires = if wires.is_empty() { "no wires".into() } else { wires.join("; ") };
    format!("{board}, pins: {}. Wires: {wires}.", word(list.verdict))
}

/// The verdict as faces say it.
pub(crate) fn word(verdict: &str) -> &'static str {
    match verdict {
        "fits" => "fits",
        "tight" => "tight",
        "over" => "does not fit",
        _ => "not known yet",
    }
}

/// `left 3`; `pad`.
pub(crate) fn place(wire: &Wire) -> Option<String> {
    let first = wire.places.first()?;
    Some(if first.place == 0 {
        first.connector.clone()
    } else {
        format!("{} {}", first.connector, first.place)
    })
}

/// Cut to `most` characters, with three points.
fn shortened(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_string();
    }
    text.chars().take(most.saturating_sub(1)).chain(['…']).collect()
}

/// The board with its rows, ready to be drawn.
struct Drawn<'a> {
    list: &'a WiringList,
    board: &'a BoardParts,
    left: Vec<Row<'a>>,
    right: Vec<Row<'a>>,
    top: Vec<Row<'a>>,
    bottom: Vec<Row<'a>>,
    /// Numbers of the wires that are drawn already: a pin may come out twice.
    done: Vec<usize>,
}

impl<'a> Drawn<'a> {
    fn new(list: &'a WiringList, board: &'a BoardParts) -> Self {
        let mut this = Self {
            list,
            board,
            left: Vec::new(),
            right: Vec::new(),
            top: Vec::new(),
            bottom: Vec::new(),
            done: Vec::new(),
        };
        let pin_of = |number: u8| board.board.chip.pins.iter().find(|pin| pin.number == number);
        for connector in &board.connectors {
            let spots = connector.places.iter().map(|place| match &place.is {
                PlaceIs::Pin(number) => {
                    Spot { print: format!("IO{number}"), pin: pin_of(*number), is_pad: false }
                }
                PlaceIs::Label(print) => Spot { print: shortened(print, 12), pin: None, is_pad: false },
            });
            let row = Row { name: connector.name.clone(), spots: spots.collect() };
            match connector.name.as_str() {
                "left" => this.left.push(row),
                "right" => this.right.push(row),
                "top" => this.top.push(row),
                _ => this.bottom.push(row),
            }
        }
        if !board.board.pads.is_empty() {
            let spots = board.board.pads.iter().map(|&number| Spot {
                print: format!("IO{number}"),
                pin: pin_of(number),
                is_pad: true,
            });
            this.bottom.push(Row { name: "pads".into(), spots: spots.collect() });
        }
        this
    }

    /// Draws it below `y`, gives the lower end.
    fn draw(&mut self, svg: &mut Svg, y: f64) -> f64 {
        let (left, right) = (std::mem::take(&mut self.left), std::mem::take(&mut self.right));
        let (top, bottom) = (std::mem::take(&mut self.top), std::mem::take(&mut self.bottom));
        let rows = |rows: &[Row<'_>]| rows.iter().map(|row| row.spots.len() + 1).sum::<usize>() as f64;
        let turned = |rows: &[Row<'_>]| self.turned(rows);
        let width =
            BOARD_WIDTH.max(COLUMN * rows(&top).max(rows(&bottom)) + 30.0).min(PAGE_WIDTH - 2.0 * MARGIN);
        let height = turned(&top) + INNER + ROW * rows(&left).max(rows(&right)) + turned(&bottom) + 12.0;
        let x = 0.5 * (PAGE_WIDTH - width);
        // Wires from above leave over the board, one lane each.
        let above = LANE * self.wires_of(&top).len() as f64 + if top.is_empty() { 0.0 } else { 26.0 };
        let upper = y + above + 8.0;
        svg.rect((x, upper), (width, height), 1.6, Ink::Ink, None);
        self.inner(svg, (x, upper + turned(&top)), width);
        let first = upper + turned(&top) + INNER;
        self.side(svg, &left, (x, first), Side::Left);
        self.side(svg, &right, (x + width, first), Side::Right);
        self.edge(svg, &top, (x, width), upper, Side::Top);
        let lower = self.edge(svg, &bottom, (x, width), upper + height, Side::Bottom);
        self.unplaced(svg, lower.max(upper + height) + 8.0)
    }

    /// Room for turned labels of places above or below, and the connectors' names.
    fn turned(&self, rows: &[Row<'_>]) -> f64 {
        let spots = rows.iter().flat_map(|row| &row.spots);
        let longest = spots.map(|spot| self.label(spot).chars().count()).max();
        longest.map_or(0.0, |letters| 34.0 + LETTER * letters as f64)
    }

    /// A place in one line: what is printed there, and what it is.
    fn label(&self, spot: &Spot<'_>) -> String {
        format!("{} {}", spot.print, role(spot, self.board)).trim().to_string()
    }

    /// Camera and chip, and the bus between them.
    fn inner(&self, svg: &mut Svg, (x, y): (f64, f64), width: f64) {
        let (w, h, top) = (0.5 * (width - 90.0), 44.0, y + 12.0);
        let chip = x + width - 20.0 - w;
        for (x, name, more) in [
            (x + 20.0, "camera", format!("{} lines", self.list.camera_bus.len())),
            (chip, "chip", self.list.board.as_ref().map_or(String::new(), |board| board.name.clone())),
        ] {
            svg.rect((x, top), (w, h), THIN, Ink::Ink, None);
            svg.text((x + 0.5 * w, top + 19.0), LABEL.anchor(Anchor::Middle), name);
            let more = if name == "chip" { self.chip_word() } else { more };
            svg.text((x + 0.5 * w, top + 34.0), NOTE.anchor(Anchor::Middle), &more);
        }
        for step in 0..4 {
            let y = top + 13.0 + 6.0 * f64::from(step);
            svg.line(&[(x + 20.0 + w, y), (chip, y)], THIN, Ink::Ink);
        }
    }

    /// The chip by its first words.
    fn chip_word(&self) -> String {
        let first = self.board.chip_title.split(',').next().unwrap_or_default();
        let first = first.split(" with ").next().unwrap_or_default();
        first.split(' ').take(2).collect::<Vec<_>>().join(" ")
    }

    /// A wire that hangs on this place and is not drawn yet.
    fn wire(&self, spot: &Spot<'_>) -> Option<&'a Wire> {
        let number = spot.pin?.number;
        let wires = self.list.wires.iter();
        wires.filter(|wire| wire.pin == Some(number)).find(|wire| !self.done.contains(&wire.number))
    }

    fn wires_of(&self, rows: &[Row<'_>]) -> Vec<usize> {
        let spots = rows.iter().flat_map(|row| &row.spots);
        spots.filter_map(|spot| self.wire(spot)).map(|wire| wire.number).collect()
    }

    /// Places down a side, wires straight out.
    fn side(&mut self, svg: &mut Svg, rows: &[Row<'_>], (x, y): (f64, f64), side: Side) {
        let (out, inner) = if side == Side::Left { (-1.0, Anchor::Start) } else { (1.0, Anchor::End) };
        let outer = if side == Side::Left { Anchor::End } else { Anchor::Start };
        let mut at = y;
        for row in rows {
            svg.text((x - out * 12.0, at + 4.0), NOTE.anchor(inner).bold(), &shortened(&row.name, 20));
            at += ROW;
            for (place, spot) in (1..).zip(&row.spots) {
                svg.text((x + out * 10.0, at - 5.0), NOTE.anchor(outer), &place.to_string());
                let label = role(spot, self.board);
                let print = LABEL.anchor(inner);
                svg.text((x - out * 12.0, at + 4.0), print, &spot.print);
                let shift = 12.0 + 44.0f64.max(0.62 * LABEL.size * spot.print.chars().count() as f64 + 6.0);
                svg.text((x - out * shift, at + 4.0), NOTE.anchor(inner), &label);
                let wire = self.wire(spot);
                if let Some(wire) = wire {
                    let ink = ink(self.list, wire);
                    let end = x + out * REACH;
                    svg.line(&[(x, at), (end, at)], HEAVY, ink);
                    ball(svg, (end + out * 2.0, at), wire, ink);
                    svg.text(
                        (end + out * 17.0, at + 4.0),
                        LABEL.anchor(outer).ink(ink).bold(),
                        &shortened(&wire.called, 18),
                    );
                    self.done.push(wire.number);
                }
                square(svg, (x, at), spot, wire.is_some());
                at += ROW;
            }
        }
    }

    /// Places along an edge, wires out and to the right, the rightmost nearest to the board.
    fn edge(&mut self, svg: &mut Svg, rows: &[Row<'_>], (x, width): (f64, f64), y: f64, side: Side) -> f64 {
        let out = if side == Side::Top { -1.0 } else { 1.0 };
        let count = rows.iter().map(|row| row.spots.len() + 1).sum::<usize>() as f64;
        let turned = self.turned(rows);
        let mut lanes = self.wires_of(rows).len() as f64;
        let mut end = y;
        let mut at = x + 0.5 * (width - COLUMN * (count - 1.0));
        for row in rows {
            // The name lies inside, along its places.
            let middle = at + 0.5 * COLUMN * (row.spots.len() as f64 - 1.0);
            let inside = y - out * (turned - 12.0);
            svg.text((middle, inside), NOTE.anchor(Anchor::Middle).bold(), &shortened(&row.name, 20));
            for (place, spot) in (1..).zip(&row.spots) {
                let (turn, anchor) =
                    if side == Side::Top { (-90.0, Anchor::End) } else { (-90.0, Anchor::Start) };
                svg.turned_text(
                    (at + 4.0, y - out * 10.0),
                    turn,
                    NOTE.ink(Ink::Ink).anchor(anchor),
                    &self.label(spot),
                );
                if !spot.is_pad {
                    let number = NOTE.anchor(Anchor::End);
                    svg.text((at - 6.0, y + out * 8.0 + 4.0), number, &place.to_string());
                }
                let wire = self.wire(spot);
                if let Some(wire) = wire {
                    let ink = ink(self.list, wire);
                    let lane = y + out * (10.0 + LANE * lanes);
                    let right = x + width + 24.0;
                    svg.line(&[(at, y), (at, lane), (right, lane)], HEAVY, ink);
                    ball(svg, (right + 2.0, lane), wire, ink);
                    svg.text((right + 17.0, lane + 4.0), LABEL.ink(ink).bold(), &shortened(&wire.called, 18));
                    self.done.push(wire.number);
                    end = if side == Side::Bottom { end.max(lane + 12.0) } else { end };
                    lanes -= 1.0;
                }
                square(svg, (at, y), spot, wire.is_some());
                at += COLUMN;
            }
            at += COLUMN;
        }
        end
    }

    /// Demands that found no pin: a dashed stub each.
    fn unplaced(&self, svg: &mut Svg, mut y: f64) -> f64 {
        for wire in self.list.wires.iter().filter(|wire| wire.pin.is_none()) {
            y += LANE;
            svg.dashed(&[(MARGIN, y), (MARGIN + 50.0, y)], HEAVY, Ink::Accent);
            ball(svg, (MARGIN + 58.0, y), wire, Ink::Accent);
            let text = format!("{}: no pin", wire.called);
            svg.text((MARGIN + 74.0, y + 4.0), LABEL.ink(Ink::Accent).bold(), &shortened(&text, 60));
        }
        y
    }
}

/// The accent for a wire that a finding is about.
fn ink(list: &WiringList, wire: &Wire) -> Ink {
    let about = format!("pins.{}", wire.name);
    if list.findings.iter().any(|finding| finding.about == about) { Ink::Accent } else { Ink::Ink }
}

/// The number of a wire in a circle; in the accent the circle is double, so that it shows in grey.
fn ball(svg: &mut Svg, (x, y): (f64, f64), wire: &Wire, ink: Ink) {
    if ink == Ink::Accent {
        svg.circle((x, y), 11.0, THIN, ink, Some(Ink::Paper));
    }
    svg.circle((x, y), 8.5, 1.2, ink, Some(Ink::Paper));
    svg.text((x, y + 3.5), NOTE.ink(ink).anchor(Anchor::Middle), &wire.number.to_string());
}

/// A place: filled where a wire is soldered, with a bar where the board has something, open where it is free.
fn square(svg: &mut Svg, (x, y): (f64, f64), spot: &Spot<'_>, wired: bool) {
    let fill = Some(if wired { Ink::Ink } else { Ink::Paper });
    if spot.is_pad {
        svg.circle((x, y), HALF, 1.2, Ink::Ink, fill);
    } else {
        svg.rect((x - HALF, y - HALF), (2.0 * HALF, 2.0 * HALF), 1.2, Ink::Ink, fill);
    }
    if spot.pin.is_none() {
        svg.line(&[(x - HALF, y + HALF), (x + HALF, y - HALF)], 1.2, Ink::Ink);
    }
}

/// What a pin is besides free: what the board has there, strap, console, input only.
fn role(spot: &Spot<'_>, board: &BoardParts) -> String {
    let Some(pin) = spot.pin else { return String::new() };
    let parts = board.board.wired.iter().zip(&board.wired_names).filter(|(part, _)| part.pin == pin.number);
    let mut roles: Vec<String> = parts.map(|(_, name)| name.replace('_', " ")).collect();
    match &pin.strap {
        Some(strap) => roles.push(match strap.needs {
            Some(Level::Low) => "strap, low".into(),
            Some(Level::High) => "strap, high".into(),
            None => "strap".into(),
        }),
        None if !pin.output => roles.push("input only".into()),
        None => {}
    }
    match pin.taken {
        Some(Taken::Console) => roles.push("console".into()),
        Some(Taken::Usb) => roles.push("USB".into()),
        Some(_) => roles.push("taken".into()),
        None => {}
    }
    shortened(&roles.join("; "), 20)
}

/// What the signs mean, those that are drawn.
fn legend(svg: &mut Svg, list: &WiringList, board: &BoardParts, y: f64) -> f64 {
    let (y, mut x) = (y + 14.0, MARGIN);
    let spots = || board.connectors.iter().flat_map(|connector| &connector.places);
    let free = |pin: u8| !list.wires.iter().any(|wire| wire.pin == Some(pin));
    let wired = list.wires.iter().any(|wire| wire.pin.is_some());
    let accent_drawn = list.wires.iter().any(|wire| ink(list, wire) == Ink::Accent);
    let open = spots().any(|place| matches!(place.is, PlaceIs::Pin(pin) if free(pin)));
    let label = spots().any(|place| matches!(place.is, PlaceIs::Label(_)));
    let mut item = |svg: &mut Svg, there: bool, draw: &dyn Fn(&mut Svg, f64), says: &str| {
        if !there {
            return;
        }
        draw(svg, x);
        svg.text((x + 32.0, y + 3.5), NOTE, says);
        x += 44.0 + LETTER * says.chars().count() as f64;
    };
    item(svg, wired, &|svg, x| svg.line(&[(x, y), (x + 26.0, y)], HEAVY, Ink::Ink), "wire to solder");
    let accent = |svg: &mut Svg, x: f64| {
        svg.line(&[(x, y), (x + 26.0, y)], HEAVY, Ink::Accent);
        svg.circle((x + 13.0, y), 6.0, THIN, Ink::Accent, Some(Ink::Paper));
        svg.circle((x + 13.0, y), 4.0, 1.2, Ink::Accent, Some(Ink::Paper));
    };
    item(svg, accent_drawn, &accent, "see below");
    item(svg, true, &|svg, x| svg.line(&[(x, y), (x + 26.0, y)], THIN, Ink::Ink), "on the board");
    let spot = |is_pad: bool, pin: bool, wired: bool| {
        move |svg: &mut Svg, x: f64| {
            let plain = Pin::plain(0);
            let spot = Spot { print: String::new(), pin: pin.then_some(&plain), is_pad };
            square(svg, (x + 20.0, y), &spot, wired);
        }
    };
    item(svg, wired, &spot(false, true, true), "wired");
    item(svg, open, &spot(false, true, false), "no wire");
    item(svg, label, &spot(false, false, false), "no pin");
    item(svg, !board.board.pads.is_empty(), &spot(true, true, false), "pad");
    y + 8.0
}

/// A heading with a line under it; gives the first baseline below.
fn heading(svg: &mut Svg, y: f64, text: &str) -> f64 {
    svg.text((MARGIN, y), LABEL.bold(), text);
    svg.line(&[(MARGIN, y + 5.0), (PAGE_WIDTH - MARGIN, y + 5.0)], THIN, Ink::Ink);
    y + 20.0
}

fn wire_table(svg: &mut Svg, list: &WiringList, y: f64) -> f64 {
    const COLUMNS: [f64; 6] = [MARGIN, 56.0, 206.0, 252.0, 326.0, 392.0];
    let mut y = heading(svg, y, "Wires");
    if list.wires.is_empty() {
        svg.text((MARGIN, y), NOTE, "Nothing in the plan's [pins] wants one.");
        return y;
    }
    for (x, head) in COLUMNS.into_iter().zip(["", "from", "pin", "place", "colour", "to mind"]) {
        svg.text((x, y), NOTE, head);
    }
    for wire in &list.wires {
        y += LINE + 2.0;
        let ink = ink(list, wire);
        svg.text((COLUMNS[0] + 16.0, y), LABEL.anchor(Anchor::End), &wire.number.to_string());
        svg.text((COLUMNS[1], y), LABEL.ink(ink).bold(), &shortened(&wire.called, 20));
        svg.text((COLUMNS[2], y), LABEL, &wire.pin.map_or("–".into(), |pin| format!("IO{pin}")));
        svg.text((COLUMNS[3], y), LABEL, &place(wire).map_or(String::new(), |place| shortened(&place, 10)));
        // Empty on purpose: the colour is the wire's own, written in by hand.
        if wire.pin.is_some() {
            svg.line(&[(COLUMNS[4], y + 2.0), (COLUMNS[4] + 54.0, y + 2.0)], 0.6, Ink::Faint);
        }
        let notes: Vec<String> =
            through(list, wire).into_iter().chain(other_ends(wire)).chain(wire.notes.clone()).collect();
        let notes = if wire.pin.is_none() { "found no pin".to_string() } else { notes.join("; ") };
        let width = ((PAGE_WIDTH - MARGIN - COLUMNS[5]) / LETTER) as usize;
        for (number, line) in wrapped(&notes, width).iter().enumerate() {
            y += if number == 0 { 0.0 } else { LINE - 2.0 };
            svg.text((COLUMNS[5], y), NOTE, line);
        }
    }
    y
}

/// Where the feed goes in.
fn feed(svg: &mut Svg, list: &WiringList, y: f64) -> f64 {
    if list.feed.is_empty() {
        return y - APART;
    }
    let mut y = heading(svg, y, "Feed") - LINE;
    let width = ((PAGE_WIDTH - 2.0 * MARGIN) / LETTER) as usize;
    for line in list.feed.iter().flat_map(|line| wrapped(&capital(line), width)) {
        y += LINE;
        svg.text((MARGIN, y), NOTE.ink(Ink::Ink), &line);
    }
    y
}

fn board_table(svg: &mut Svg, list: &WiringList, y: f64) -> f64 {
    if list.camera_bus.is_empty() && list.on_board.is_empty() {
        return y - APART;
    }
    let mut y = heading(svg, y, "On the board already") - LINE;
    // Eight columns: the data lines fill the first row. Names of other parts are longer.
    for (lines, columns) in [(&list.camera_bus, 8), (&list.on_board, 4)] {
        let wide = (PAGE_WIDTH - 2.0 * MARGIN) / columns as f64;
        let letters = (wide / LETTER) as usize;
        for row in lines.chunks(columns) {
            y += LINE;
            for (column, line) in row.iter().enumerate() {
                let number = format!(" = {}", line.pin);
                let name = shortened(&line.name, letters - number.len());
                svg.text((MARGIN + wide * column as f64, y), NOTE.ink(Ink::Ink), &format!("{name}{number}"));
            }
        }
        y += 4.0;
    }
    y - 4.0
}

fn findings(svg: &mut Svg, list: &WiringList, y: f64) -> f64 {
    if list.findings.is_empty() {
        return y - APART;
    }
    let mut y = heading(svg, y, "To attend to") - LINE;
    let width = ((PAGE_WIDTH - 2.0 * MARGIN - 14.0) / LETTER) as usize;
    for finding in &list.findings {
        y += 3.0;
        for (number, line) in wrapped(&capital(&finding.says), width).iter().enumerate() {
            y += LINE;
            if number == 0 {
                svg.text((MARGIN, y), NOTE.ink(Ink::Accent).bold(), "!");
            }
            svg.text((MARGIN + 14.0, y), NOTE.ink(Ink::Accent), line);
        }
        for line in wrapped(&capital(&finding.to_do), width) {
            y += LINE;
            svg.text((MARGIN + 14.0, y), NOTE.ink(Ink::Ink), &line);
        }
    }
    y
}

/// What the title block says: the board stands in the drawing's name, the verdict is on its pins.
fn title<'a>(list: &'a WiringList, drawing: &'a str, verdict: &'a str) -> Title<'a> {
    let file = list.file.rsplit(['/', '\\']).next().unwrap_or(&list.file);
    let station = if list.plan.is_empty() { file } else { list.plan.as_str() };
    Title { station, file, revision: &list.revision, drawing, scale: None, verdict }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use station::plan::Plan;
    use station::sheets::Library;
    use station::text::Source;

    fn drawn(text: &str) -> String {
        let plan = Plan::read(Source::new("gate.toml", text), &Library::shipped())
            .expect("the test's plans can be read");
        svg(&WiringList::of(&plan), plan.parts.board.as_ref(), "")
    }

    const GATE: &str = "name = \"Gate & <yard>\"\nrevision = \"B\"\n[board]\nsheet = \"wren\"\n[pins]\nplate = \"any\"\n\
        chime_relay = 0\nstatus_lamp = \"any\"\n";

    #[test]
    fn the_drawing_of_one_plan() {
        insta::assert_snapshot!(drawn(GATE));
    }

    /// Tags are closed in the order in which they were opened, and no mark stands bare in text.
    pub(crate) fn is_well_formed(xml: &str) -> bool {
        let mut open = Vec::new();
        let mut rest = xml;
        while let Some(start) = rest.find('<') {
            if rest[..start].contains('>') {
                return false;
            }
            let Some(end) = rest[start..].find('>') else { return false };
            let tag = &rest[start + 1..start + end];
            if !tag.matches('"').count().is_multiple_of(2) || tag.contains('<') {
                return false;
            }
            match tag.strip_prefix('/') {
                Some(name) if open.pop() != Some(name) => return false,
                Some(_) => {}
                None if tag.ends_with('/') => {}
                None => open.push(tag.split(' ').next().unwrap_or_default()),
            }
            rest = &rest[start + end + 1..];
        }
        let entities = xml.split('&').skip(1);
        open.is_empty()
            && entities
                .into_iter()
                .all(|after| ["amp;", "lt;", "gt;", "quot;"].iter().any(|e| after.starts_with(e)))
    }

    #[test]
    fn every_board_gives_a_document_whose_small_text_can_be_read() {
        for board in ["dipper", "heron", "plover", "siskin", "wren"] {
            let text = GATE.replace("wren", board);
            let drawn = drawn(&text);
            assert!(is_well_formed(&drawn), "{board}");
            for size in drawn.split("font-size=\"").skip(1).filter_map(|rest| rest.split('"').next()) {
                assert!(size.parse::<f64>().unwrap() >= 9.0, "{board}: {size}");
            }
            assert!(drawn.contains("<title id=\"title\">") && drawn.contains("<desc id=\"desc\">"));
        }
        assert!(is_well_formed(&drawn("")), "no board at all");
        assert!(!is_well_formed("<a><b></a></b>") && !is_well_formed("<a>&x</a>"), "the check itself");
    }

    /// The table says what the drawing says: each wire's pin is in both, and in what a screen reader is told.
    #[test]
    fn drawing_table_and_description_agree() {
        let plan = Plan::read(Source::new("gate.toml", GATE), &Library::shipped()).unwrap();
        let list = WiringList::of(&plan);
        let drawn = svg(&list, plan.parts.board.as_ref(), "");
        for wire in &list.wires {
            let balls = drawn.matches(&format!(">{}</text>", wire.number)).count();
            assert!(balls >= 2, "wire {} on the drawing and in the table", wire.number);
            assert!(described(&list).contains(&wire.called));
        }
    }
}
