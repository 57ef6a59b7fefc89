//! A small writer of SVG in the house style: lines, boxes and texts in four inks on warm paper.
//!
//! Lengths are user units; a drawing is [`PAGE_WIDTH`] wide, so that one unit is one pixel of an A4 page of 96 pixels
//! an inch. Text is escaped, and characters that XML does not know are left out. Nothing here knows what is drawn.

use std::fmt::Write as _;

/// Width of an A4 page upright at 96 pixels an inch: 210 mm / 25.4 mm x 96 = 793.7.
pub const PAGE_WIDTH: f64 = 794.0;
/// Units a millimetre: 96 an inch of 25.4 mm.
pub const MM: f64 = 96.0 / 25.4;
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
    /// Half dark, lines across.
    Middle,
    /// Dark.
    Dark,
    /// The accent.
    Accent,
}

/// Patterns of the tones that have one.
const PATTERNS: &str = "<defs>\
<pattern id=\"hatch\" width=\"5\" height=\"5\" patternUnits=\"userSpaceOnUse\">\
<path d=\"M0 5L5 0\" stroke=\"#6B6355\" stroke-width=\"0.7\"/></pattern>\
<pattern id=\"dense\" width=\"3\" height=\"3\" patternUnits=\"userSpaceOnUse\">\
<path d=\"M0 0L3 3\" stroke=\"#231F1A\" stroke-width=\"1\"/></pattern></defs>\n";

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

    /// A text turned clockwise about its point, in degrees.
    pub fn turned_text(&mut self, (x, y): (f64, f64), degrees: f64, face: Face, text: &str) {
        if text.is_empty() {
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

    fn stroke(&mut self, points: &[(f64, f64)], weight: f64, ink: Ink, more: &str) {
        let points: Vec<String> = points.iter().map(|(x, y)| format!("{x:.1},{y:.1}")).collect();
        let _ = writeln!(
            self.body,
            "<polyline points=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{weight}\" stroke-linejoin=\"round\"{more}/>",
            points.join(" "),
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
        let _ = writeln!(
            self.body,
            "<rect x=\"{x:.1}\" y=\"{y:.1}\" width=\"{width:.1}\" height=\"{height:.1}\" fill=\"{fill}\" stroke=\"{}\" stroke-width=\"{weight}\"/>",
            ink.colour()
        );
    }

    /// Many boxes of one tone as one path: corner and size of each.
    pub fn cells(&mut self, tone: Tone, boxes: impl Iterator<Item = ((f64, f64), (f64, f64))>) {
        if !self.body.contains("<pattern") {
            self.body.push_str(PATTERNS);
        }
        let mut path = String::new();
        for ((x, y), (width, height)) in boxes {
            let _ = write!(path, "M{x:.1} {y:.1}h{width:.1}v{height:.1}h-{width:.1}z");
        }
        let fill = match tone {
            Tone::Hatch => "url(#hatch)",
            Tone::Light => "#B9AF9C",
            Tone::Middle => "url(#dense)",
            Tone::Dark => Ink::Ink.colour(),
            Tone::Accent => Ink::Accent.colour(),
        };
        if !path.is_empty() {
            let _ = writeln!(self.body, "<path d=\"{path}\" fill=\"{fill}\"/>");
        }
    }

    /// A circle with an outline, filled or not.
    pub fn circle(&mut self, (x, y): (f64, f64), radius: f64, weight: f64, ink: Ink, fill: Option<Ink>) {
        let fill = fill.map_or("none", Ink::colour);
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
             font-family=\"'Noto Sans', 'DejaVu Sans', Verdana, sans-serif\">\n\
             <title id=\"title\">{}</title>\n<desc id=\"desc\">{}</desc>\n\
             <rect width=\"{width}\" height=\"{height}\" fill=\"{}\"/>\n{}</svg>\n",
            escaped(title),
            escaped(desc),
            Ink::Paper.colour(),
            self.body
        )
    }
}

/// Text for XML: marks escaped, characters that XML 1.0 does not allow left out.
fn escaped(text: &str) -> String {
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
