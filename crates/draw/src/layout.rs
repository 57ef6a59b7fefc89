//! What drawings to scale need: metres to units of the page, lines cut off at the edge of the drawing, labels that find a
//! free place.
//!
//! Nothing here knows doors, cameras or ground.

use crate::svg::{Anchor, Face, Ink, MM, Svg};

/// A rectangle of the page: left, top, right, bottom.
pub(crate) type Box4 = [f64; 4];

/// A drawing to scale within a rectangle of the page.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Frame {
    /// The rectangle.
    pub(crate) area: Box4,
    /// Where metre 0, 0 lies on the page.
    pub(crate) origin: (f64, f64),
    /// One to so many.
    pub(crate) scale: f64,
    /// Whether the second coordinate grows upwards, as heights do.
    pub(crate) upward: bool,
}

impl Frame {
    /// Units of a metre.
    pub(crate) fn per_m(&self) -> f64 {
        units_per_m(self.scale)
    }

    /// A point in metres on the page.
    pub(crate) fn at(&self, [x, y]: [f64; 2]) -> (f64, f64) {
        let turn = if self.upward { -1.0 } else { 1.0 };
        (self.origin.0 + x * self.per_m(), self.origin.1 + turn * y * self.per_m())
    }

    /// The pieces of a line in metres that lie within the rectangle.
    pub(crate) fn line(&self, points: &[[f64; 2]]) -> Vec<Vec<(f64, f64)>> {
        let mut pieces: Vec<Vec<(f64, f64)>> = Vec::new();
        let mut last = None;
        for pair in points.windows(2) {
            let Some([a, b]) = cut(self.at(pair[0]), self.at(pair[1]), self.area) else {
                last = None;
                continue;
            };
            match pieces.last_mut() {
                Some(piece) if last == Some(a) => piece.push(b),
                _ => pieces.push(vec![a, b]),
            }
            last = Some(b);
        }
        pieces
    }

    /// A point of the page held within the rectangle.
    pub(crate) fn held(&self, (x, y): (f64, f64)) -> (f64, f64) {
        let [left, top, right, bottom] = self.area;
        (x.max(left).min(right), y.max(top).min(bottom))
    }
}

/// Units of a metre at one to `scale`.
pub(crate) fn units_per_m(scale: f64) -> f64 {
    1000.0 * MM / scale
}

/// The part of a stretch that lies in a rectangle (Liang and Barsky 1984).
fn cut(a: (f64, f64), b: (f64, f64), [left, top, right, bottom]: Box4) -> Option<[(f64, f64); 2]> {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    if !(dx.is_finite() && dy.is_finite()) {
        return None;
    }
    let (mut from, mut to) = (0.0f64, 1.0f64);
    for (step, room) in [(-dx, a.0 - left), (dx, right - a.0), (-dy, a.1 - top), (dy, bottom - a.1)] {
        if step == 0.0 {
            if room < 0.0 {
                return None;
            }
        } else if step < 0.0 {
            from = from.max(room / step);
        } else {
            to = to.min(room / step);
        }
    }
    let at = |share: f64| match share {
        0.0 => a,
        1.0 => b,
        _ => (a.0 + share * dx, a.1 + share * dy),
    };
    (from < to).then(|| [at(from), at(to)])
}

/// About how wide a text is, in units: 0.56 of its height a letter, 0.62 in bold (measured on the house's first face,
/// rounded up).
pub(crate) fn wide(face: Face, text: &str) -> f64 {
    text.chars().count() as f64 * face.size * if face.bold { 0.62 } else { 0.56 }
}

/// The rectangle that a text takes.
pub(crate) fn box_of((x, y): (f64, f64), face: Face, text: &str) -> Box4 {
    let width = wide(face, text);
    let left = match face.anchor {
        Anchor::Start => x,
        Anchor::Middle => x - 0.5 * width,
        Anchor::End => x - width,
    };
    [left, y - 0.8 * face.size, left + width, y + 0.25 * face.size]
}

/// Rectangles that are taken, so that what comes later stays out of them.
#[derive(Debug, Default)]
pub(crate) struct Taken {
    boxes: Vec<Box4>,
}

impl Taken {
    /// Takes a rectangle.
    pub(crate) fn take(&mut self, taken: Box4) {
        self.boxes.push(taken);
    }

    /// Writes a text with paper behind it at its point, whatever stands there.
    pub(crate) fn write(&mut self, svg: &mut Svg, at: (f64, f64), face: Face, text: &str) {
        let [left, top, right, bottom] = box_of(at, face, text);
        svg.rect((left - 2.0, top), (right - left + 4.0, bottom - top), 0.1, Ink::Paper, Some(Ink::Paper));
        svg.text(at, face, text);
        self.take([left - 2.0, top, right + 2.0, bottom]);
    }

    /// Writes a text at the first of some points where it stands free within a rectangle; whether there was one.
    pub(crate) fn place(
        &mut self,
        svg: &mut Svg,
        within: Box4,
        face: Face,
        text: &str,
        mut points: impl Iterator<Item = (f64, f64)>,
    ) -> bool {
        let found = points.find(|at| {
            let [left, top, right, bottom] = box_of(*at, face, text);
            let inside = left - 3.0 >= within[0]
                && top >= within[1]
                && right + 3.0 <= within[2]
                && bottom <= within[3];
            inside
                && !self.boxes.iter().any(|[l, t, r, b]| {
                    left - 3.0 < *r && right + 3.0 > *l && top - 2.5 < *b && bottom + 2.5 > *t
                })
        });
        if let Some(at) = found {
            self.write(svg, at, face, text);
        }
        found.is_some()
    }
}

/// Heights on the page moved apart so that each is at least `least` below the one before, as little as can be, and none
/// below `bottom`; given and returned from top to bottom.
pub(crate) fn apart(wanted: &[f64], least: f64, bottom: f64) -> Vec<f64> {
    let mut at = wanted.to_vec();
    for index in 1..at.len() {
        at[index] = at[index].max(at[index - 1] + least);
    }
    let mut limit = bottom;
    for place in at.iter_mut().rev() {
        *place = place.min(limit);
        limit = *place - least;
    }
    at
}

/// A scale bar with its left end at a point: five fields of a round length, the scale below it.
pub(crate) fn scale_bar(svg: &mut Svg, (x, y): (f64, f64), scale: f64) {
    let field_m = [0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0]
        .into_iter()
        .find(|field_m| field_m * units_per_m(scale) >= 15.0)
        .unwrap_or(200.0);
    let field = field_m * units_per_m(scale);
    for index in 0..5 {
        let fill = if index % 2 == 0 { Ink::Ink } else { Ink::Paper };
        svg.rect((x + f64::from(index) * field, y), (field, 4.0), 0.8, Ink::Ink, Some(fill));
    }
    svg.text((x, y - 4.0), Face::SMALL.anchor(Anchor::Middle), "0");
    let end = x + 5.0 * field;
    svg.text((end, y - 4.0), Face::SMALL.anchor(Anchor::Middle), &length(5.0 * field_m));
    svg.text((x, y + 16.0), Face::SMALL, &format!("1:{scale:.0} when printed at 100 %"));
}

/// `0.5 m`, `25 m`.
fn length(metres: f64) -> String {
    if metres < 1.0 || metres.fract() != 0.0 { format!("{metres:.1} m") } else { format!("{metres:.0} m") }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    /// Every text of a drawing with its box, estimated from its size and its letters as [`wide`] does.
    pub(crate) fn texts(drawn: &str) -> Vec<(String, Box4)> {
        let value = |tag: &str, key: &str| {
            tag.split_once(&format!("{key}=\""))
                .and_then(|(_, rest)| rest.split('"').next())
                .map(str::to_string)
        };
        let number = |tag: &str, key: &str| value(tag, key).and_then(|text| text.parse::<f64>().ok());
        drawn
            .split("<text ")
            .skip(1)
            .map(|rest| {
                let (tag, rest) = rest.split_once('>').expect("a tag ends");
                let text = rest.split("</text>").next().unwrap_or_default();
                let text = text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"");
                let text = text.replace("&amp;", "&");
                let face = Face {
                    size: number(tag, "font-size").expect("a size"),
                    ink: Ink::Ink,
                    anchor: match value(tag, "text-anchor").as_deref() {
                        Some("middle") => Anchor::Middle,
                        Some("end") => Anchor::End,
                        _ => Anchor::Start,
                    },
                    bold: tag.contains("font-weight"),
                };
                let at = (number(tag, " x").or(number(tag, "x")).expect("x"), number(tag, " y").expect("y"));
                assert!(!tag.contains("rotate"), "turned texts are not read here");
                let found = box_of(at, face, &text);
                (text, found)
            })
            .collect()
    }

    /// Height of a document's box, units.
    pub(crate) fn height(drawn: &str) -> f64 {
        let view = drawn.split("viewBox=\"").nth(1).and_then(|rest| rest.split('"').next()).expect("a box");
        view.split(' ').next_back().and_then(|high| high.parse().ok()).expect("four numbers")
    }

    /// What is wrong with the texts of a page: out of it, or over another.
    pub(crate) fn crowded(drawn: &str, page: (f64, f64)) -> Vec<String> {
        let texts = texts(drawn);
        let mut wrong = Vec::new();
        for (index, (text, [left, top, right, bottom])) in texts.iter().enumerate() {
            if *left < 0.0 || *top < 0.0 || *right > page.0 || *bottom > page.1 {
                wrong.push(format!("outside the page: {text}"));
            }
            for (other, [l, t, r, b]) in &texts[index + 1..] {
                if left < r && right > l && top < b && bottom > t {
                    wrong.push(format!("\"{text}\" over \"{other}\""));
                }
            }
        }
        wrong
    }

    /// What every drawing must be for any plan: one well-formed page of real numbers on which nothing covers another.
    pub(crate) fn sound(drawn: &str) {
        let high = height(drawn);
        assert!(crate::board::tests::is_well_formed(drawn));
        assert!(!drawn.contains("NaN") && !drawn.contains("inf\"") && !drawn.contains("inf,"));
        assert_eq!(crowded(drawn, (crate::svg::PAGE_WIDTH, high)), Vec::<String>::new());
        assert!(high <= crate::svg::PAGE_HEIGHT, "{high} units are more than a page");
    }

    #[test]
    fn lines_are_cut_at_the_edge() {
        let frame = Frame { area: [0.0, 0.0, 100.0, 100.0], origin: (0.0, 100.0), scale: 20.0, upward: true };
        let metre = frame.per_m();
        // 1:20 on paper: 50 mm a metre.
        assert!((metre / MM - 50.0).abs() < 1e-9);
        let pieces = frame.line(&[[0.1, 0.1], [0.1, 9.0], [0.2, 9.0], [0.2, 0.1]]);
        assert_eq!(pieces.len(), 2);
        assert!(pieces.iter().flatten().all(|(x, y)| (0.0..=100.0).contains(x) && (0.0..=100.0).contains(y)));
        assert!(frame.line(&[[f64::NAN, 0.0], [0.1, 0.1]]).is_empty());
    }

    #[test]
    fn places_move_apart_and_stay_above_the_bottom() {
        assert_eq!(apart(&[10.0, 11.0, 50.0], 12.0, 100.0), [10.0, 22.0, 50.0]);
        assert_eq!(apart(&[90.0, 95.0, 99.0], 12.0, 100.0), [76.0, 88.0, 100.0]);
    }

    #[test]
    fn a_label_takes_the_first_free_place() {
        let (mut taken, mut svg) = (Taken::default(), Svg::default());
        let within = [0.0, 0.0, 200.0, 50.0];
        let points = || [(10.0, 20.0), (100.0, 20.0), (190.0, 20.0)].into_iter();
        assert!(taken.place(&mut svg, within, Face::USUAL, "first", points()));
        assert!(taken.place(&mut svg, within, Face::USUAL, "second", points()));
        assert!(!taken.place(&mut svg, within, Face::USUAL, "third", points()));
        let drawn = svg.finish(50.0, "", "");
        assert!(crowded(&drawn, (200.0, 50.0)).is_empty());
        assert_eq!(crowded(&drawn, (120.0, 50.0)).len(), 1);
    }
}
