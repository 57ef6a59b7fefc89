//! The frame that every drawing of a station shares: its head line and its title block.
//!
//! A sheet that has left its folder still says what it shows, of which station, in which revision and with which
//! verdict. No date stands on it: the same plan gives the same sheet.

use crate::svg::{Face, Ink, PAGE_WIDTH, Svg, USUAL};
use crate::terminal::safety_word;
use crate::wrap::wrapped;
use budgets::assessment::{Assessment, Figure};
use station::plan::Plan;

/// Left and right of everything.
pub(crate) const MARGIN: f64 = 30.0;
/// Width of a letter of small text, in units: wide faces have 0.6 of its height.
pub(crate) const LETTER: f64 = 0.6 * crate::svg::SMALL;
/// Height of a line of the title block.
const CELL: f64 = 33.0;

/// Whether what a drawing shows falls short of what the plan wants, or only narrowly holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Todo {
    /// There is something to do.
    Open,
    /// It holds.
    Done,
}

/// What a title block says.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Title<'a> {
    /// The station, or the file where it has no name.
    pub(crate) station: &'a str,
    /// The file of its plan.
    pub(crate) file: &'a str,
    /// Revision of the plan; empty where it has none.
    pub(crate) revision: &'a str,
    /// What is drawn, in a few words.
    pub(crate) drawing: &'a str,
    /// `1:20`; `None` for a drawing without scale.
    pub(crate) scale: Option<&'a str>,
    /// The verdict on what is drawn, in words.
    pub(crate) verdict: &'a str,
}

impl<'a> Title<'a> {
    /// The title of a drawing of this plan.
    pub(crate) fn of(plan: &'a Plan, drawing: &'a str, verdict: &'a str) -> Self {
        let file = plan.source.name.as_str();
        // Where somebody keeps it is nobody's business on a sheet.
        let file = file.rsplit(['/', '\\']).next().unwrap_or(file);
        let station = if plan.name.is_empty() { file } else { plan.name.as_str() };
        Self { station, file, revision: &plan.revision, drawing, scale: None, verdict }
    }
}

/// The station's name in large letters and one line on what is drawn; the lowest point.
pub(crate) fn head(svg: &mut Svg, title: &Title<'_>, says: &str) -> f64 {
    svg.text((MARGIN, 40.0), Face { size: 17.0, ..Face::USUAL }.bold(), &short(title.station, 60));
    svg.text((MARGIN, 57.0), Face::SMALL, &short(says, 128));
    62.0
}

/// The title block with its upper edge at `y`; its lower edge.
pub(crate) fn title_block(svg: &mut Svg, title: &Title<'_>, y: f64) -> f64 {
    let width = PAGE_WIDTH - 2.0 * MARGIN;
    let or_none = |text: &str, most| if text.is_empty() { "–".to_string() } else { short(text, most) };
    let made = format!("Doorwright {}, from {}", env!("CARGO_PKG_VERSION"), short(title.file, 22));
    let rows = [
        vec![(0.62, "station", or_none(title.station, 62)), (0.38, "verdict", or_none(title.verdict, 36))],
        vec![
            (0.41, "drawing", or_none(title.drawing, 40)),
            (0.1, "scale", or_none(title.scale.unwrap_or("none"), 9)),
            (0.11, "revision", or_none(title.revision, 9)),
            (0.38, "made by", made),
        ],
    ];
    let mut at = y;
    for row in rows {
        let mut x = MARGIN;
        for (share, head, says) in row {
            svg.rect((x, at), (share * width, CELL), 1.0, Ink::Ink, None);
            svg.text((x + 7.0, at + 12.0), Face::SMALL, head);
            svg.text((x + 7.0, at + 26.0), Face::USUAL.bold(), &says);
            x += share * width;
        }
        at += CELL;
    }
    at
}

/// A budget's verdict in the words of faces: `heat: tight`; empty where it has no row.
pub(crate) fn verdict(assessment: &Assessment, budget: &str) -> String {
    let row = assessment.budgets.iter().find(|row| row.name == budget);
    row.map_or(String::new(), |row| format!("{budget}: {}", word(budget, row.verdict)))
}

/// A verdict as faces say it; safety has words of its own, since it never promises.
pub(crate) fn word(budget: &str, verdict: &str) -> &'static str {
    match verdict {
        verdict if budget == "safety" => safety_word(verdict),
        "fits" => "fits",
        "tight" => "tight",
        "over" => "does not fit",
        _ => "not told yet",
    }
}

/// What stands on every sheet to build from while the station as planned does not fit: `Not yet: memory does not fit, see
/// 01-margins.`; empty where it does.
pub(crate) fn not_yet(assessment: &Assessment) -> String {
    let over = assessment.budgets.iter().filter(|budget| budget.verdict == "over");
    let mut names: Vec<&str> = over.map(|budget| budget.name).collect();
    let broken = names.iter().position(|name| *name == "safety").map(|at| names.remove(at));
    let mut says = Vec::new();
    match names.split_last() {
        None => {}
        Some((last, [])) => says.push(format!("{last} does not fit")),
        Some((last, first)) => says.push(format!("{} and {last} do not fit", first.join(", "))),
    }
    says.extend(broken.map(|_| "a rule of safety is broken".to_string()));
    if says.is_empty() { String::new() } else { format!("Not yet: {}; see 01-margins.", says.join("; ")) }
}

/// The line of [`not_yet`] below the head line; how much lower what follows begins.
pub(crate) fn warning(svg: &mut Svg, not_yet: &str) -> f64 {
    if not_yet.is_empty() {
        return 0.0;
    }
    let face = Face { size: 12.0, ..Face::USUAL }.bold().ink(Ink::Accent);
    svg.text((MARGIN, 74.0), face, &short(not_yet, 96));
    14.0
}

/// What the figure is in the builds drawn, beside its nominal value: `; of the builds drawn: median 2.72 s, 5 to
/// 95 of 100 from 2.6 s to 2.9 s`; empty
/// without draws.
pub(crate) fn of_builds(assessment: &Assessment, name: &str) -> String {
    let Some(figure) = figure(assessment, name).filter(|_| assessment.draws > 0) else {
        return String::new();
    };
    let (Some(value), Some(low), Some(high)) = (figure.value, figure.low, figure.high) else {
        return String::new();
    };
    let [value, low, high] = [value, low, high].map(|value| told(value, figure.unit));
    format!("; of the builds drawn: median {value}, 5 to 95 of 100 from {low} to {high}")
}

/// A figure of the assessment by its name.
pub(crate) fn figure<'a>(assessment: &'a Assessment, name: &str) -> Option<&'a Figure> {
    assessment.budgets.iter().flat_map(|budget| &budget.figures).find(|figure| figure.name == name)
}

/// A value with its unit; in words what is no number or has no end.
pub(crate) fn told(value: f64, unit: &str) -> String {
    match value {
        value if value.is_nan() => "not known".into(),
        value if value.is_infinite() => "without end".into(),
        value => quantity::show(value, unit).replace('-', "−"),
    }
}

/// Lines of small text below one another, wrapped to the page; the next free baseline.
pub(crate) fn notes(svg: &mut Svg, lines: &[String], y: f64) -> f64 {
    let letters = ((PAGE_WIDTH - 2.0 * MARGIN) / (0.58 * USUAL)) as usize;
    let mut at = y;
    for line in lines.iter().flat_map(|line| wrapped(line, letters)) {
        svg.text((MARGIN, at), Face::USUAL, &line);
        at += 15.0;
    }
    at
}

/// Cut to `most` letters, with three points.
pub(crate) fn short(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_string();
    }
    text.chars().take(most.saturating_sub(1)).chain(['…']).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use station::sheets::Library;
    use station::text::Source;

    #[test]
    fn a_title_names_the_file_where_the_plan_has_no_name_and_stays_in_its_cells() {
        let text = "[board]\nsheet = \"wren\"\n";
        let plan = Plan::read(Source::new("gate.toml", text), &Library::shipped()).unwrap();
        let title = Title { scale: Some("1:20"), ..Title::of(&plan, "elevation", "fits") };
        let mut svg = Svg::default();
        assert!(title_block(&mut svg, &title, 100.0) > 160.0);
        let drawn = svg.finish(200.0, "", "");
        for says in ["gate.toml", "elevation", "1:20", "fits", "Doorwright"] {
            assert!(drawn.contains(says), "{says}");
        }
        assert_eq!(short("gate", 4), "gate");
        assert_eq!(short("gates", 4), "gat…");
    }
}
