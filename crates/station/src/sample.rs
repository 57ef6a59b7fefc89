//! Test data: plans that are invented from a seed, for tests and benchmarks. Nothing here describes a real station.
//!
//! Every plan that comes out is valid: each value is one that the field table allows, in one of the forms that people
//! write, and each sheet is one that ships. Whether the station makes sense is another matter, and that is the point:
//! a budget must answer for all of them. The same seed gives the same text for as long as the field table and the
//! sheets stay as they are.

use crate::fields::{FIELDS, Field, Kind, PARTS};
use crate::sheets::{KINDS, Library};
use crate::values;
use models::luck::{Stream, mix};
use quantity::{Quantity, Size, Spread};
use std::fmt::Write as _;

/// How far the values of an invented plan go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reach {
    /// As a maker might write it: a few lines, numbers near those that are assumed.
    Usual,
    /// Anything that is allowed: half of all fields, numbers anywhere in their range and often at its very ends.
    Whole,
}

/// The text of an invented plan: of each four seeds one reaches the whole range, the others are usual.
///
/// # Examples
///
/// ```
/// use station::{plan::Plan, sample, sheets::Library, text::Source};
/// let text = sample::plan(7);
/// assert_eq!(text, sample::plan(7));
/// let plan = Plan::read(Source::new("sample.toml", text), &Library::shipped())?;
/// assert_eq!(plan.name, "Sample 7");
/// # Ok::<(), station::text::Problems>(())
/// ```
pub fn plan(seed: u64) -> String {
    reaching(seed, if seed % 4 == 3 { Reach::Whole } else { Reach::Usual })
}

/// The text of an invented plan whose values go so far.
pub fn reaching(seed: u64, reach: Reach) -> String {
    let mut dice = Dice { stream: Stream::new(mix(seed, 0x5a3e)), reach };
    let library = Library::shipped();
    let mut text = format!("# Invented for tests: seed {seed}, {reach:?}.\nname = \"Sample {seed}\"\n");
    for &(part, _) in PARTS {
        let mut lines = String::new();
        if let Some(kind) = KINDS.iter().find(|kind| kind.part == part)
            // A board brings its chip, and its pins are those of that chip.
            && !(part == "chip" && text.contains("[board]\nsheet"))
            && dice.hits(if part == "board" { 0.9 } else { 0.4 })
        {
            let _ = writeln!(lines, "sheet = \"{}\"", dice.one_of(&library.names(kind.name)));
        }
        for field in FIELDS.iter().filter(|field| field.part() == part) {
            if dice.hits(dice.share_of(field)) {
                let _ = writeln!(lines, "{} = {}", field.key(), dice.value(field));
            }
        }
        if part == "ground" && dice.hits(0.3) {
            let [half, deep] = [dice.between(0.5, 6.0), dice.between(0.5, 12.0)];
            let _ = writeln!(
                lines,
                "boundary = [[-{half:.1}, 0], [{half:.1}, 0.0], [{half:.1}, {deep:.1}], [-{half:.1}, {deep:.1}]]"
            );
        }
        if !lines.is_empty() {
            let _ = write!(text, "\n[{part}]\n{lines}");
        }
    }
    text.push_str(&dice.pins(&library.names("demand")));
    text
}

/// What is rolled for one plan.
struct Dice {
    stream: Stream,
    reach: Reach,
}

impl Dice {
    fn hits(&mut self, share: f64) -> bool {
        self.stream.unit() < share
    }

    fn below(&mut self, end: usize) -> usize {
        (self.stream.unit() * end as f64) as usize
    }

    fn one_of<'t>(&mut self, words: &[&'t str]) -> &'t str {
        words.get(self.below(words.len())).copied().unwrap_or_default()
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        (low + self.stream.unit() * (high - low)).clamp(low, high)
    }

    /// How often a field is stated.
    fn share_of(&self, field: &Field) -> f64 {
        match (self.reach, field.path) {
            (Reach::Whole, _) => 0.5,
            // What most plans say, because whole budgets hang on it.
            (_, "supply.kind") => 0.9,
            (_, "rest.mode" | "camera.size" | "cable.run") => 0.6,
            _ if field.assumed.is_empty() => 0.05,
            _ => 0.15,
        }
    }

    /// A value as TOML.
    fn value(&mut self, field: &Field) -> String {
        match field.kind {
            Kind::Number { unit, low, high } => self.number(field, unit, (low, high)),
            Kind::Count { low, high } => {
                let usual = self.reach == Reach::Usual;
                let high = if usual { high.min(low + 12) } else { high };
                format!("{}", low + self.below((high - low + 1) as usize) as u32)
            }
            Kind::YesNo => self.hits(0.5).to_string(),
            Kind::Choice { names } => format!("\"{}\"", self.one_of(names)),
            Kind::Size => format!("\"{}\"", self.size()),
        }
    }

    fn size(&mut self) -> Size {
        const USUAL: [(u16, u16); 6] =
            [(320, 240), (640, 480), (800, 600), (1280, 720), (1600, 1200), (2560, 1920)];
        const ODD: [u16; 5] = [1, 16, 333, 4000, u16::MAX];
        let (width_px, height_px) = if self.reach == Reach::Usual || self.hits(0.5) {
            USUAL[self.below(USUAL.len())]
        } else {
            (ODD[self.below(ODD.len())], ODD[self.below(ODD.len())])
        };
        Size { width_px, height_px }
    }

    fn number(&mut self, field: &Field, unit: &str, range: (f64, f64)) -> String {
        let value = self.median(field, range);
        let quantity = Quantity { value, spread: self.spread(value, range) };
        let spread = quoted(&quantity, unit);
        // A spread may move the middle (`low .. high`) or have no room: then the value alone is written.
        let fits = |text: &str| values::parse(field, text.trim_matches('"')).is_ok();
        if fits(&spread) { spread } else { quoted(&Quantity::exact(value), unit) }
    }

    fn median(&mut self, field: &Field, (low, high): (f64, f64)) -> f64 {
        let assumed = values::parse(field, field.assumed).map_or(f64::NAN, |reading| reading.number);
        match (self.reach, self.below(4)) {
            (Reach::Usual, _) if assumed > 0.0 => {
                (assumed * (0.5 * self.stream.bell()).exp()).clamp(low, high)
            }
            (Reach::Usual, _) if assumed.is_finite() => {
                (assumed + 0.02 * (high - low) * self.stream.bell()).clamp(low, high)
            }
            (Reach::Whole, 0) => low,
            (Reach::Whole, 1) => high,
            // Ranges of many decades would hardly ever show their lower ones.
            (_, 2 | 3) if low >= 0.0 && high > 0.0 => {
                let least = low.max(1e-6 * high);
                (least * (high / least).powf(self.stream.unit())).clamp(low, high)
            }
            _ => self.between(low, high),
        }
    }

    fn spread(&mut self, value: f64, (low, high): (f64, f64)) -> Spread {
        let wide = if self.reach == Reach::Usual { 0.3 } else { 1.0 };
        let part = wide * self.stream.unit();
        match self.below(8) {
            0 => Spread::Normal { sigma: part * value.abs().max(1e-3 * (high - low)) },
            1 => {
                let width = part * (value - low).min(high - value);
                Spread::Uniform { low: value - width, high: value + width }
            }
            2 if value > 0.0 => Spread::LogNormal { factor95: 1.0 + 3.0 * part },
            3 if value > 0.0 => {
                Spread::TwoPiece { p5: value / (1.0 + 3.0 * part), p95: value * (1.0 + 5.0 * part) }
            }
            4 if value > 0.0 => Spread::TypMax { max: value * (1.0 + 3.0 * part) },
            _ => Spread::Exact,
        }
    }

    /// `[pins]`: some of the demands that ship, one of them twice, now and then fixed to a pin.
    fn pins(&mut self, demands: &[&str]) -> String {
        let mut text = String::from("\n[pins]\n");
        let share = if self.reach == Reach::Usual { 0.2 } else { 0.5 };
        for demand in demands {
            if self.hits(share) {
                // IO0 to IO19 are on every chip that ships; some of them are a trap, as they may be.
                let place = if self.hits(0.2) { self.below(20).to_string() } else { "\"any\"".into() };
                let _ = writeln!(text, "{} = {place}", demand.replace('-', "_"));
            }
        }
        if self.hits(share) {
            let _ = writeln!(text, "one_more = {{ is = \"{}\" }}", self.one_of(demands));
        }
        text
    }
}

fn quoted(quantity: &Quantity, unit: &str) -> String {
    format!("\"{}\"", quantity::write(quantity, unit))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Origin, Plan};
    use crate::text::Source;

    #[test]
    fn every_invented_plan_reads_and_together_they_say_everything() {
        let library = Library::shipped();
        let mut said = vec![0_u32; FIELDS.len()];
        let mut ends = vec![(false, false); FIELDS.len()];
        for seed in 0..400 {
            let text = plan(seed);
            let read = Plan::read(Source::new("sample.toml", text.clone()), &library)
                .unwrap_or_else(|problems| panic!("{problems}\n{text}"));
            for (index, field) in FIELDS.iter().enumerate() {
                let (low, high) = field.range();
                let number = (field.get)(&read.station);
                said[index] += u32::from(matches!(read.origins[index], Origin::Given { .. }));
                ends[index].0 |= number == low;
                ends[index].1 |= number == high;
            }
        }
        for (index, field) in FIELDS.iter().enumerate() {
            assert!(said[index] > 10, "{} is said {} times", field.path, said[index]);
            let many = !matches!(field.kind, Kind::Size | Kind::Count { .. });
            assert!(!many || ends[index] == (true, true), "{}: an end is never reached", field.path);
        }
    }
}
