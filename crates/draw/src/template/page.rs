//! The page of the template while it grows: pieces, holes, plumb lines and their words.

use super::case::Case;
use super::{FACE, LEFT, LINE, Mark, RIGHT, WIDE, WORDS, mm};
use crate::door::told;
use crate::layout::{Box4, Taken};
use crate::svg::{Anchor, Face, Ink, MM, Svg};
use crate::wrap::wrapped;
use station::plan::Plan;

/// The page while it grows.
pub(super) struct Sheet {
    pub(super) svg: Svg,
    pub(super) taken: Taken,
    /// `wall` and `front`, and beside what: the middle and the radius. Placed once all else has its place.
    pub(super) later: Vec<(&'static str, (f64, f64), f64)>,
    /// The rectangle of the piece.
    pub(super) area: Box4,
}

impl Sheet {
    /// A bar of 100 mm, marked each 10 mm.
    pub(super) fn bar(&mut self, plan: &Plan) {
        let (x, y) = (LEFT, 92.0);
        let svg = &mut self.svg;
        svg.line(&[(x, y), (x + 100.0 * MM, y)], 1.2, Ink::Ink);
        for step in 0..=10 {
            let at = x + f64::from(step) * 10.0 * MM;
            let long = if step % 5 == 0 { 9.0 } else { 5.0 };
            svg.line(&[(at, y - long), (at, y)], 0.8, Ink::Ink);
        }
        svg.text((x + 100.0 * MM + 12.0, y), Face::USUAL.bold(), "Print at 100 %: this bar is 100 mm");
        svg.text(
            (x, y + 16.0),
            Face::SMALL,
            "Measure it on the print. If it is not 100 mm, switch off \"fit to page\" and print again; never drill by a scaled print.",
        );
        let depth = &plan.station.case.depth_m;
        let before = if told(plan, "case.depth") {
            format!(", {} before the wall", mm(1e3 * depth))
        } else {
            String::new()
        };
        let says = format!(
            "wall: drill into the wall. front: cut into the case's front{before}, not into the wall."
        );
        svg.text((x, y + 31.0), FACE.bold(), &says);
    }

    /// A piece to cut out.
    pub(super) fn piece(&mut self, top: f64, bottom: f64) {
        let outline = [(LEFT, top), (RIGHT, top), (RIGHT, bottom), (LEFT, bottom), (LEFT, top)];
        self.svg.dashed(&outline, 0.6, Ink::Faint);
        self.svg.text((RIGHT - 8.0, top + 13.0), Face::SMALL.anchor(Anchor::End), "cut along · up ↑");
        self.area = [LEFT + 2.0, top, WORDS - 6.0, bottom];
    }

    /// The upright line through the lens, by which the pieces hang under one another.
    pub(super) fn plumb(&mut self, (top, bottom): (f64, f64), x: f64) {
        let [left, _, right, _] = self.area;
        if x < left || x > right {
            return;
        }
        self.svg.centre_line(&[(x, top + 3.0), (x, bottom - 3.0)], 0.5, Ink::Ink);
        let spots = [(x + 5.0, bottom - 5.0), (x - 60.0, bottom - 5.0), (x + 5.0, top + 13.0)];
        self.taken.place(&mut self.svg, self.area, Face::SMALL, "plumb line", spots.into_iter());
    }

    /// Beside each mark whether it is of the wall or of the front.
    pub(super) fn labels(&mut self) {
        for (says, (x, y), radius) in std::mem::take(&mut self.later) {
            let (far, near) = (radius + 4.0, 0.71 * radius + 3.0);
            let spots = [
                (x + near, y + near + 7.0),
                (x + near, y - near),
                (x + far, y - 3.0),
                (x - near - 26.0, y + near + 7.0),
                (x - near - 26.0, y - near),
                (x + 3.0, y + far + 8.0),
                (x + 3.0, y - far),
            ];
            let face = FACE.bold();
            self.taken.place(&mut self.svg, self.area, face, says, spots.into_iter());
        }
    }

    /// The upright line through a middle, as far as what belongs to it reaches.
    pub(super) fn upright(&mut self, (top, bottom): (f64, f64), at: (f64, f64), [above, below]: [f64; 2]) {
        let ends = [(at.0, (at.1 - above).max(top + 4.0)), (at.0, (at.1 + below).min(bottom - 4.0))];
        self.svg.centre_line(&ends, 0.5, Ink::Ink);
    }

    pub(super) fn mark(&mut self, at: (f64, f64), mark: &Mark, case: bool) {
        self.svg.centre_line(&[(LEFT + 4.0, at.1), (WORDS - 8.0, at.1)], 0.5, Ink::Ink);
        self.svg.circle(at, 1.0, 0.6, Ink::Ink, Some(Ink::Ink));
        for (radius, told) in mark.drawn() {
            self.circle(at, radius, told);
            for step in 0..60 {
                let (sin, cos) = (f64::from(step) * std::f64::consts::TAU / 60.0).sin_cos();
                let (x, y) = (at.0 + radius * cos, at.1 + radius * sin);
                self.taken.take([x - 1.0, y - 1.0, x + 1.0, y + 1.0]);
            }
        }
        let widest = mark.drawn().map(|(radius, _)| radius).fold(1.0, f64::max);
        if mark.front {
            self.later.push(("front", at, widest));
        }
        for (index, line) in mark.words(case).iter().enumerate() {
            let face = if index == 0 { FACE.bold() } else { FACE };
            self.svg.text((WORDS, at.1 - mark.high(case) + 14.0 + index as f64 * LINE), face, line);
        }
    }

    /// What of the case and its holes falls on a piece, the lens at `at`, which may lie on another piece.
    pub(super) fn wall(&mut self, (top, bottom): (f64, f64), at: (f64, f64), told: &Case) {
        let [left, _, right, _] = self.area;
        let (half, [above, below]) = (0.5 * told.wide * MM, told.edges().map(|mm| mm * MM));
        let (upper, lower) = (at.1 - above, at.1 + below);
        let across = |x: f64| x > left && x < right;
        for x in [at.0 - half, at.0 + half].into_iter().filter(|x| across(*x)) {
            let ends = (upper.max(top), lower.min(bottom));
            if ends.0 < ends.1 {
                self.svg.dashed(&[(x, ends.0), (x, ends.1)], 0.8, Ink::Ink);
                self.taken.take([x - 1.0, ends.0, x + 1.0, ends.1]);
            }
        }
        for y in [upper, lower].into_iter().filter(|y| *y > top && *y < bottom) {
            let ends = ((at.0 - half).max(left), (at.0 + half).min(right));
            if ends.0 < ends.1 {
                self.svg.dashed(&[(ends.0, y), (ends.1, y)], 0.8, Ink::Ink);
                self.taken.take([ends.0, y - 1.0, ends.1, y + 1.0]);
            }
        }
        let [size, down] = told.cable;
        let cable = (size.is_finite() && down.is_finite()).then_some(([0.0, down], size));
        for ([x, y], size) in told.holes().into_iter().map(|hole| (hole, told.screw)).chain(cable) {
            let (x, y, radius) = (at.0 + x * MM, at.1 + y * MM, 0.5 * size * MM);
            let about = radius.max(1.0);
            if across(x - about) && across(x + about) && y - about > top && y + about < bottom {
                self.hole((x, y), radius);
                self.later.push(("wall", (x, y), about.max(6.0)));
                self.taken.take([x - about, y - about, x + about, y + about]);
            }
        }
    }

    /// A hole with its middle; where its size is not told the middle alone.
    pub(super) fn hole(&mut self, at: (f64, f64), radius: f64) {
        for (x, y) in [(5.0, 0.0), (0.0, 5.0)] {
            self.svg.line(&[(at.0 - x, at.1 - y), (at.0 + x, at.1 + y)], 0.6, Ink::Ink);
        }
        if radius.is_finite() {
            self.svg.circle(at, radius, 1.0, Ink::Ink, None);
        }
    }

    pub(super) fn circle(&mut self, at: (f64, f64), radius: f64, told: bool) {
        if told {
            self.svg.circle(at, radius, 1.0, Ink::Ink, None);
            return;
        }
        let ring: Vec<(f64, f64)> = (0..=90)
            .map(|step| {
                let (sin, cos) = (f64::from(step) * std::f64::consts::TAU / 90.0).sin_cos();
                (at.0 + radius * cos, at.1 + radius * sin)
            })
            .collect();
        self.svg.dashed(&ring, 0.9, Ink::Ink);
    }

    /// A heading and lines below it, wrapped to the page; the lowest point. Nothing for no lines.
    pub(super) fn lines(&mut self, y: f64, heading: &str, lines: &[String]) -> f64 {
        let mut at = y;
        if lines.is_empty() {
            return at;
        }
        self.svg.text((LEFT, at), Face::USUAL.bold(), heading);
        at += LINE;
        for line in lines {
            for (index, piece) in wrapped(line, WIDE).into_iter().enumerate() {
                let lead = if index == 0 { "– " } else { "   " };
                self.svg.text((LEFT, at), Face { size: 10.0, ..Face::USUAL }, &format!("{lead}{piece}"));
                at += LINE;
            }
        }
        at + 6.0
    }

    /// How high that is.
    pub(super) fn height(lines: &[String]) -> f64 {
        let count: usize = lines.iter().map(|line| wrapped(line, WIDE).len()).sum();
        if count == 0 { 0.0 } else { LINE * (count + 1) as f64 + 6.0 }
    }
}
