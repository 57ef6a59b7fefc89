//! A small writer of SVG in the house style: lines, boxes and texts in four inks on warm paper.
//!
//! Lengths are user units; a drawing is [`PAGE_WIDTH`] wide, so that one unit is one pixel of an A4 page of 96 pixels
//! an inch. Text is escaped, and characters that XML does not know are left out. Nothing here knows what is drawn.

use std::fmt::Write as _;

/// Width of an A4 page upright at 96 pixels an inch: 210 mm / 25.4 mm x 96 = 793.7. No wider: a printer would shrink it.
pub const PAGE_WIDTH: f64 = 793.7;
/// Units of a millimetre on paper: 96 an inch.
pub const MM: f64 = 96.0 / 25.4;
/// Height of that page, 297 mm, in whole units: a part of one more would take a second sheet.
pub const PAGE_HEIGHT: f64 = 1122.0;
/// Smallest text, in units.
pub const SMALL: f64 = 9.5;
/// Usual text.
pub const USUAL: f64 = 11.0;

/// An ink of the house: readable in grey, the accent by its place and words as well.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ink {
    /// Dark.
    Ink,
    /// For what can be skipped.
    Faint,
    /// For what the reader should act on.
    Accent,
    /// The paper itself.
    Paper,
}

impl Ink {
    fn colour(self) -> &'static str {
        match self {
            Ink::Ink => "#231F1A",
            Ink::Faint => "#6B6355",
            Ink::Accent => "#A83A1E",
            Ink::Paper => "#F5EEDF",
        }
    }
}

/// A tone of cells: told apart in grey by its darkness, and by its pattern.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tone {
    /// Lines across.
    Hatch,
    /// A quarter dark.
    Light,
    /// Sparse dots.
    Dots,
    /// Half dark, lines across.
    Middle,
    /// Dark.
    Dark,
    /// Level lines in the accent.
    Accent,
}

/// Warm paper is for screens: a print is on white.
const PRINTED: &str =
    "<style>@media print{[fill=\"#F5EEDF\"]{fill:#fff}[stroke=\"#F5EEDF\"]{stroke:#fff}}</style>\n";
/// Patterns of the tones that have one.
const PATTERNS: &str = "<defs>\
<pattern id=\"hatch\" width=\"5\" height=\"5\" patternUnits=\"userSpaceOnUse\">\
<path d=\"M0 5L5 0\" stroke=\"#6B6355\" stroke-width=\"0.7\"/></pattern>\
<pattern id=\"dots\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\">\
<path d=\"M1 1h1.2v1.2h-1.2zM4 4h1.2v1.2h-1.2z\" fill=\"#231F1A\"/></pattern>\
<pattern id=\"dense\" width=\"3\" height=\"3\" patternUnits=\"userSpaceOnUse\">\
<path d=\"M0 0L3 3\" stroke=\"#231F1A\" stroke-width=\"1\"/></pattern>\
<pattern id=\"lines\" width=\"4\" height=\"4\" patternUnits=\"userSpaceOnUse\">\
<path d=\"M0 1H4\" stroke=\"#A83A1E\" stroke-width=\"2\"/></pattern></defs>\n";

/// Where a text stands to its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// It begins there.
    Start,
    /// It is centred there.
    Middle,
    /// It ends there.
    End,
}

/// A face of text.
#[derive(Clone, Copy, Debug)]
pub struct Face {
    /// Height in units, at least [`SMALL`].
    pub size: f64,
    /// Its ink.
    pub ink: Ink,
    /// Where it stands to its point.
    pub anchor: Anchor,
    /// Whether it is bold.
    pub bold: bool,
}

impl Face {
    /// Usual text that begins at its point.
    pub const USUAL: Face = Face { size: USUAL, ink: Ink::Ink, anchor: Anchor::Start, bold: false };
    /// Small faint text that begins at its point.
    pub const SMALL: Face = Face { size: SMALL, ink: Ink::Faint, anchor: Anchor::Start, bold: false };

    /// The same in bold.
    #[must_use]
    pub const fn bold(self) -> Self {
        Face { bold: true, ..self }
    }

    /// The same in another ink.
    #[must_use]
    pub const fn ink(self, ink: Ink) -> Self {
        Face { ink, ..self }
    }

    /// The same, standing otherwise.
    #[must_use]
    pub const fn anchor(self, anchor: Anchor) -> Self {
        Face { anchor, ..self }
    }
}

/// A drawing that grows; its height is told at the end.
#[derive(Debug, Default)]
pub struct Svg {
    body: String,
}

impl Svg {
    /// A text at a point of its baseline.
    pub fn text(&mut self, (x, y): (f64, f64), face: Face, text: &str) {
        self.turned_text((x, y), 0.0, face, text);
    }

    /// A text on a slip of paper of its own, so that what lies below does not cross it.
    pub fn slip(&mut self, (x, y): (f64, f64), face: Face, text: &str) {
        let width = 0.58 * face.size * text.chars().count() as f64;
        let left = match face.anchor {
            Anchor::Start => x,
            Anchor::Middle => x - 0.5 * width,
            Anchor::End => x - width,
        };
        self.rect(
            (left - 2.0, y - face.size),
            (width + 4.0, face.size + 3.0),
            0.0,
            Ink::Paper,
            Some(Ink::Paper),
        );
        self.text((x, y), face, text);
    }

    /// A text turned clockwise about its point, in degrees.
    pub fn turned_text(&mut self, (x, y): (f64, f64), degrees: f64, face: Face, text: &str) {
        if text.is_empty() || !(x + y).is_finite() {
            return;
        }
        let anchor = match face.anchor {
            Anchor::Start => "",
            Anchor::Middle => " text-anchor=\"middle\"",
            Anchor::End => " text-anchor=\"end\"",
        };
        let bold = if face.bold { " font-weight=\"bold\"" } else { "" };
        let turn = if degrees == 0.0 {
            String::new()
        } else {
            format!(" transform=\"rotate({degrees} {x:.1} {y:.1})\"")
        };
        let _ = writeln!(
            self.body,
            "<text x=\"{x:.1}\" y=\"{y:.1}\" font-size=\"{}\" fill=\"{}\"{anchor}{bold}{turn}>{}</text>",
            face.size,
            face.ink.colour(),
            escaped(text)
        );
    }

    /// A line through points, `weight` units thick.
    pub fn line(&mut self, points: &[(f64, f64)], weight: f64, ink: Ink) {
        self.stroke(points, weight, ink, "");
    }

    /// The same, dashed.
    pub fn dashed(&mut self, points: &[(f64, f64)], weight: f64, ink: Ink) {
        self.stroke(points, weight, ink, " stroke-dasharray=\"5 4\"");
    }

    /// The same, dotted.
    pub fn dotted(&mut self, points: &[(f64, f64)], weight: f64, ink: Ink) {
        self.stroke(points, weight, ink, " stroke-dasharray=\"1.5 3\"");
    }

    /// An area between points, of one tone, without an outline.
    pub fn area(&mut self, points: &[(f64, f64)], tone: Tone) {
        let points = joined(points);
        if !points.is_empty() {
            let fill = self.fill(tone);
            let _ = writeln!(self.body, "<polygon points=\"{points}\" fill=\"{fill}\"/>");
        }
    }

    fn stroke(&mut self, points: &[(f64, f64)], weight: f64, ink: Ink, more: &str) {
        let points = joined(points);
        if points.is_empty() {
            return;
        }
        let _ = writeln!(
            self.body,
            "<polyline points=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{weight}\" stroke-linejoin=\"round\"{more}/>",
            points,
            ink.colour()
        );
    }

    /// A box with an outline, filled or not.
    pub fn rect(
        &mut self,
        (x, y): (f64, f64),
        (width, height): (f64, f64),
        weight: f64,
        ink: Ink,
        fill: Option<Ink>,
    ) {
        let fill = fill.map_or("none", Ink::colour);
        if !(x + y + width + height).is_finite() {
            return;
        }
        let _ = writeln!(
            self.body,
            "<rect x=\"{x:.1}\" y=\"{y:.1}\" width=\"{width:.1}\" height=\"{height:.1}\" fill=\"{fill}\" stroke=\"{}\" stroke-width=\"{weight}\"/>",
            ink.colour()
        );
    }

    /// Many boxes of one tone as one path: corner and size of each.
    pub fn cells(&mut self, tone: Tone, boxes: impl Iterator<Item = ((f64, f64), (f64, f64))>) {
        let mut path = String::new();
        for ((x, y), (width, height)) in boxes {
            // Both ends are rounded, not the width: neighbours meet without a seam.
            let tenth = |value: f64| (10.0 * value).round() / 10.0;
            let (width, height) = (tenth(x + width) - tenth(x), tenth(y + height) - tenth(y));
            if (width > 0.0 && height > 0.0) && (width + height + x + y).is_finite() {
                let _ = write!(path, "M{x:.1} {y:.1}h{width:.1}v{height:.1}h-{width:.1}z");
            }
        }
        if !path.is_empty() {
            let fill = self.fill(tone);
            let _ =
                writeln!(self.body, "<path d=\"{path}\" fill=\"{fill}\" shape-rendering=\"crispEdges\"/>");
        }
    }

    /// A tone as a fill; its patterns are told at the first use.
    fn fill(&mut self, tone: Tone) -> &'static str {
        if !self.body.contains("<pattern") {
            self.body.push_str(PATTERNS);
        }
        match tone {
            Tone::Hatch => "url(#hatch)",
            Tone::Dots => "url(#dots)",
            Tone::Light => "#B9AF9C",
            Tone::Middle => "url(#dense)",
            Tone::Dark => Ink::Ink.colour(),
            Tone::Accent => "url(#lines)",
        }
    }

    /// A line in long and short dashes, as centre lines are drawn.
    pub fn centre_line(&mut self, points: &[(f64, f64)], weight: f64, ink: Ink) {
        self.stroke(points, weight, ink, " stroke-dasharray=\"12 3 2 3\"");
    }

    /// A closed outline, filled or not.
    pub fn shape(&mut self, points: &[(f64, f64)], weight: f64, ink: Ink, fill: Option<Ink>) {
        let fill = fill.map_or("none", Ink::colour);
        let _ = writeln!(
            self.body,
            "<polygon points=\"{}\" fill=\"{fill}\" stroke=\"{}\" stroke-width=\"{weight}\" stroke-linejoin=\"round\"/>",
            joined(points),
            ink.colour()
        );
    }

    /// Closed areas of one tone as one path, so that neighbours show no seam.
    pub fn areas(&mut self, tone: Tone, areas: impl Iterator<Item = Vec<(f64, f64)>>) {
        let mut path = String::new();
        for area in areas {
            for (index, (x, y)) in area.iter().enumerate() {
                let _ = write!(path, "{}{x:.1} {y:.1}", if index == 0 { "M" } else { "L" });
            }
            path.push('z');
        }
        if !path.is_empty() {
            let fill = self.fill(tone);
            let _ = writeln!(self.body, "<path d=\"{path}\" fill=\"{fill}\"/>");
        }
    }

    /// A circle with an outline, filled or not.
    pub fn circle(&mut self, (x, y): (f64, f64), radius: f64, weight: f64, ink: Ink, fill: Option<Ink>) {
        let fill = fill.map_or("none", Ink::colour);
        if !(x + y).is_finite() {
            return;
        }
        let _ = writeln!(
            self.body,
            "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{radius}\" fill=\"{fill}\" stroke=\"{}\" stroke-width=\"{weight}\"/>",
            ink.colour()
        );
    }

    /// The document, a page wide and `height` units high; `title` and `desc` are what a screen reader says.
    pub fn finish(self, height: f64, title: &str, desc: &str) -> String {
        let size = format!("width=\"{PAGE_WIDTH}\" height=\"{height:.0}\"");
        self.document(&size, (&format!("{PAGE_WIDTH}"), &format!("{height:.0}")), title, desc)
    }

    /// The document at a true size in millimetres, [`MM`] units each.
    pub fn finish_mm(self, (width_mm, height_mm): (f64, f64), title: &str, desc: &str) -> String {
        let size = format!("width=\"{width_mm}mm\" height=\"{height_mm}mm\"");
        let units = (format!("{:.2}", width_mm * MM), format!("{:.2}", height_mm * MM));
        self.document(&size, (&units.0, &units.1), title, desc)
    }

    fn document(self, size: &str, (width, height): (&str, &str), title: &str, desc: &str) -> String {
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" aria-labelledby=\"title desc\" \
             viewBox=\"0 0 {width} {height}\" {size} \
             font-family=\"'Noto Sans', 'DejaVu Sans', Verdana, sans-serif\" \
             style=\"font-variant-numeric: tabular-nums\">\n\
             {PRINTED}<title id=\"title\">{}</title>\n<desc id=\"desc\">{}</desc>\n\
             <rect width=\"{width}\" height=\"{height}\" fill=\"{}\"/>\n{}</svg>\n",
            escaped(title),
            escaped(desc),
            Ink::Paper.colour(),
            self.body
        )
    }

    /// The document with its size in millimetres: programs that take a unit for 1/72 or 1/90 of an inch print it to scale
    /// too.
    pub fn finish_true(self, height: f64, title: &str, desc: &str) -> String {
        let height = height.round();
        let units = format!("width=\"{PAGE_WIDTH}\" height=\"{height:.0}\"");
        let true_size = format!("width=\"{:.2}mm\" height=\"{:.2}mm\"", PAGE_WIDTH / MM, height / MM);
        self.finish(height, title, desc).replacen(&units, &true_size, 1)
    }
}

/// Points as SVG writes them; one that is no number is left out.
fn joined(points: &[(f64, f64)]) -> String {
    let known = points.iter().filter(|(x, y)| x.is_finite() && y.is_finite());
    known.map(|(x, y)| format!("{x:.1},{y:.1}")).collect::<Vec<_>>().join(" ")
}

/// Text for XML: marks escaped, characters that XML 1.0 does not allow left out.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\t' | '\n' | '\r' => out.push(' '),
            '\u{0}'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => {}
            _ => out.push(letter),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_and_unknown_characters_cannot_break_the_document() {
        assert_eq!(escaped("a<b & \"c\"\u{1}\u{ffff}\n"), "a&lt;b &amp; &quot;c&quot; ");
    }
}
