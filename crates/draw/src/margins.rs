//! Every figure that has a limit, as room against it: the bar of the median, 5 to 95 of 100 builds, the room wanted.
//!
//! Volts and bytes have no scale in common; how surely they fit has. So one scale serves all rows, that of [`tails`], and
//! the numbers stand beside it. What does not fit is told in words before any bar, and lies on the other side of the
//! limit. Reads an assessment alone.

use crate::door::told;
use crate::sheet::{self, LETTER, MARGIN, Title, short, word};
use crate::svg::{Anchor, Face, Ink, PAGE_WIDTH, Svg, Tone};
use crate::terminal::{about, mark, remedy_words, sentence, shown};
use crate::wrap::wrapped;
use budgets::assessment::{Assessment, Figure, Finding};
use budgets::remedies::numbered;
use station::fields::field;
use station::plan::Plan;

/// Where the limit of every row lies.
pub const LIMIT_X: f64 = 330.0;
/// Room for what is left: [`TAILS`] of the scale.
pub const LEFT: f64 = 116.0;
/// Room for what is short: as much of the scale as the terminal's bar has.
pub const SHORT: f64 = LEFT * 7.0 / 12.0;
/// Tails that fill the side of what is left; beyond that more room tells nothing.
pub const TAILS: f64 = 4.0;
const ROW: f64 = 15.5;
/// Half the height of a bar.
const HALF: f64 = 4.0;
/// Between lines of what was found, and how far they stand in.
const FOUND: f64 = 12.0;
const INDENT: f64 = 12.0;
const TITLE: usize = 41;
/// Width of the verdicts' column.
const VERDICT: f64 = 86.0;

/// The drawing, as SVG.
pub fn svg(plan: &Plan, a: &Assessment) -> String {
    let verdict = word("", a.verdict);
    let title = Title::of(plan, "room of every figure", verdict);
    let mut svg = Svg::default();
    let builds = if a.draws == 0 {
        "nominal values, no draws".to_string()
    } else {
        format!("{} such builds drawn, seed {}", a.draws, a.seed)
    };
    let says = format!(
        "Room of every figure that has a limit, all rows on one scale, that of how surely it fits; {builds}"
    );
    sheet::head(&mut svg, &title, &says);
    let mut y = summary(&mut svg, a, 78.0);
    y = findings(&mut svg, plan, a, y + 3.0);
    y = legend(&mut svg, a, y + 8.0) + 8.0;
    for budget in &a.budgets {
        let rows = || budget.figures.iter().filter(|figure| figure.verdict.is_some());
        if rows().next().is_none() {
            continue;
        }
        y += ROW + 3.0;
        svg.text((MARGIN, y), Face::USUAL.bold(), budget.name);
        svg.line(&[(MARGIN, y + 4.0), (PAGE_WIDTH - MARGIN, y + 4.0)], 0.7, Ink::Faint);
        y += 2.0;
        let first = y + 4.0;
        for figure in rows() {
            y += ROW;
            row(&mut svg, budget.name, figure, y);
        }
        svg.line(&[(LIMIT_X, first), (LIMIT_X, y + 5.0)], 1.4, Ink::Ink);
        svg.dotted(&[(place(1.0), first), (place(1.0), y + 5.0)], 0.7, Ink::Faint);
    }
    y = sheet::title_block(&mut svg, &title, y + 26.0);
    svg.finish(y + 24.0, &format!("Room of every figure of {}", title.station), &described(a))
}

/// A lead, its ink, and which figures it leads.
type Group = (&'static str, Ink, fn(&Figure) -> bool);

/// What does not fit, is not known or is short, in sentences.
fn summary(svg: &mut Svg, a: &Assessment, y: f64) -> f64 {
    let mut at = y;
    let groups: [Group; 3] = [
        ("Does not fit: ", Ink::Accent, |figure| figure.verdict == Some("over")),
        ("Not told yet: ", Ink::Ink, |figure| figure.verdict == Some("unknown")),
        // A cause: what it does is counted in the figure that it feeds, and that one holds.
        ("Short, yet what hangs on it holds: ", Ink::Ink, |figure| {
            figure.verdict == Some("tight") && figure.margin.is_some_and(|margin| margin < 0.0)
        }),
    ];
    for (lead, ink, is_in) in groups {
        let titles = a.budgets.iter().flat_map(|b| &b.figures).filter(|figure| is_in(figure));
        let titles: Vec<&str> = titles.map(|figure| figure.title.trim()).collect();
        if titles.is_empty() {
            continue;
        }
        let letters = ((PAGE_WIDTH - 2.0 * MARGIN) / 6.6) as usize;
        for line in wrapped(&format!("{lead}{}.", titles.join("; ")), letters) {
            svg.text((MARGIN, at), Face::USUAL.bold().ink(ink), &line);
            at += 15.0;
        }
    }
    if at == y {
        svg.text((MARGIN, at), Face::USUAL.bold(), "Every figure that has a limit keeps it.");
        at += 15.0;
    }
    at
}

/// What was found, the worst first, as the terminal says it: the sentence, its first remedy, else what to do. Then what is
/// planned of the picture, which most of them turn on.
fn findings(svg: &mut Svg, plan: &Plan, a: &Assessment, y: f64) -> f64 {
    let letters = ((PAGE_WIDTH - 2.0 * MARGIN - INDENT) / LETTER) as usize;
    let numbered = numbered(a);
    let mut found: Vec<&Finding> = a.budgets.iter().flat_map(|budget| &budget.findings).collect();
    let rank = |finding: &Finding| match finding.verdict {
        "over" => 0,
        "unknown" => 1,
        _ => 2,
    };
    found.sort_by_key(|finding| rank(finding));
    let mut at = y;
    for finding in found {
        let ink = if finding.verdict == "over" { Ink::Accent } else { Ink::Ink };
        let head = format!("{} · {}", finding.code, mark(finding));
        svg.text((MARGIN, at), Face::SMALL.bold().ink(ink), &head);
        let place = short(&about(finding, &a.file), 100usize.saturating_sub(head.chars().count()));
        svg.text((PAGE_WIDTH - MARGIN, at), Face::SMALL.anchor(Anchor::End), &place);
        let remedy = finding.remedies.first().map(|remedy| {
            let number = numbered.iter().position(|(_, known)| known.set == remedy.set);
            let number = number.map_or(String::new(), |at| format!("{} ", at + 1));
            format!("{number}▸ {}", remedy_words(remedy, true))
        });
        let to_do = remedy.or_else(|| (!finding.to_do.is_empty()).then(|| sentence(&finding.to_do)));
        let says = std::iter::once(sentence(&finding.says)).chain(to_do);
        for line in says.flat_map(|says| wrapped(&says, letters)) {
            at += FOUND;
            svg.text((MARGIN + INDENT, at), Face::SMALL.ink(Ink::Ink), &line);
        }
        at += FOUND + 3.0;
    }
    let of = |path| {
        let value = field(path).show((field(path).get)(&plan.station));
        if told(plan, path) { value } else { format!("{value} (assumed)") }
    };
    let picture = format!(
        "Picture as planned: {} pixels, quality {}, frame buffers: {}.",
        of("camera.size"),
        of("camera.quality"),
        of("camera.buffers")
    );
    svg.text((MARGIN, at + 2.0), Face::USUAL.bold(), &picture);
    at + 15.0
}

/// The marks and what they mean.
fn legend(svg: &mut Svg, a: &Assessment, y: f64) -> f64 {
    let marks: [(f64, &str, &str); 3] = [
        (MARGIN, "fits", "room"),
        (MARGIN + 90.0, "tight", "tight"),
        (MARGIN + 180.0, "over", "short of it, does not fit"),
    ];
    for (x, verdict, words) in marks {
        bar(svg, verdict, (x, x + 24.0), y - 4.0);
        svg.text((x + 30.0, y), Face::SMALL, words);
    }
    let x = MARGIN + 360.0;
    whisker(svg, (x, x + 26.0), y - 4.0);
    svg.text((x + 32.0, y), Face::SMALL, "5 to 95 of 100 builds");
    let x = x + 170.0;
    wanted(svg, x + 6.0, y - 4.0);
    svg.text((x + 16.0, y), Face::SMALL, "room wanted");
    let scale = if a.draws == 0 {
        ["Without draws one unit is a quarter of the limit; more than four fill the bar.", ""]
    } else {
        [
            "One unit is the way from the median to the 5 % point on the side of the limit: a bar that passes 1 fits in 95 of 100 builds or more.",
            "A bar fills its side at four units and more, or where every build is alike. How much room there is stands beside it.",
        ]
    };
    let mut at = y + 4.0;
    for line in scale {
        at += if line.is_empty() { 0.0 } else { 13.0 };
        svg.text((MARGIN, at), Face::SMALL, line);
    }
    at += 20.0;
    svg.text((LIMIT_X, at), Face::SMALL.anchor(Anchor::Middle), "limit");
    svg.text((LIMIT_X - 20.0, at), Face::SMALL.anchor(Anchor::End), "◂ short");
    for unit in 1..=4 {
        svg.text((place(f64::from(unit)), at), Face::SMALL.anchor(Anchor::Middle), &unit.to_string());
    }
    svg.text(
        (LIMIT_X + LEFT + 8.0, at),
        Face::SMALL,
        if a.draws == 0 { "nominal, limit" } else { "median of builds, limit" },
    );
    svg.text(
        (PAGE_WIDTH - MARGIN - VERDICT, at),
        Face::SMALL.anchor(Anchor::End),
        if a.draws == 0 { "room" } else { "median room" },
    );
    svg.text((PAGE_WIDTH - MARGIN, at), Face::SMALL.anchor(Anchor::End), "verdict");
    at
}

/// A figure's room at 5, 50 and 95 of 100 builds, in tails: ways from the median to the 5 % point on the risky side.
///
/// One tail or more to the right of the limit is a figure that fits in 95 of 100 builds or more, whatever its unit. Where
/// every build is alike there is no tail: what fits does so surely and fills its side, what does not fills the other. A
/// nominal answer knows no builds: there a tail is a quarter of the limit. `None` where nothing is known.
pub fn tails(figure: &Figure) -> Option<[f64; 3]> {
    let margin = figure.margin?;
    let (low, high) = (figure.margin_low.unwrap_or(margin), figure.margin_high.unwrap_or(margin));
    let drawn = figure.margin_low.is_some();
    let risky = if margin >= 0.0 { margin - low } else { high - margin };
    let quarter = figure.limit.unwrap_or(0.0).abs() / 4.0;
    let tail = if drawn && risky > 1e-9 * margin.abs().max(1e-300) {
        risky
    } else if !drawn && quarter > 0.0 {
        quarter
    } else {
        let sure = if margin >= 0.0 { TAILS } else { -TAILS };
        return Some([sure; 3]);
    };
    Some([low / tail, margin / tail, high / tail])
}

/// Where so many tails of room lie on the paper, at the end of its side where it is beyond.
pub fn place(tails: f64) -> f64 {
    LIMIT_X + (tails * LEFT / TAILS).clamp(-SHORT, LEFT)
}

fn row(svg: &mut Svg, budget: &str, figure: &Figure, y: f64) {
    let verdict = figure.verdict.unwrap_or("unknown");
    let over = verdict == "over";
    let ink = if over { Ink::Accent } else { Ink::Ink };
    svg.text((MARGIN + 6.0, y), Face::SMALL.ink(ink), &short(figure.title.trim(), TITLE));
    let words = if figure.on_assumptions { "tight, assumed" } else { word(budget, verdict) };
    let face = Face::SMALL.ink(ink).anchor(Anchor::End);
    let face = if verdict == "fits" { face } else { face.bold() };
    svg.text((PAGE_WIDTH - MARGIN, y), face, words);
    let (Some(margin), Some(room)) = (figure.margin, tails(figure)) else {
        svg.dotted(&[(LIMIT_X + 6.0, y - 4.0), (LIMIT_X + LEFT, y - 4.0)], 1.2, Ink::Faint);
        return;
    };
    let middle = y - 4.0;
    bar(svg, verdict, (LIMIT_X, place(room[1])), middle);
    let [low, high] = [room[0], room[2]].map(|tails| tails * LEFT / TAILS);
    if high - low > 0.5 {
        whisker(svg, (place(room[0]), place(room[2])), middle);
        if low < -SHORT - 0.1 {
            let end = LIMIT_X - SHORT;
            svg.area(&[(end - 6.0, middle), (end, middle - 3.5), (end, middle + 3.5)], Tone::Dark);
        }
        if high > LEFT + 0.1 {
            let end = LIMIT_X + LEFT;
            svg.area(&[(end + 6.0, middle), (end, middle - 3.5), (end, middle + 3.5)], Tone::Dark);
        }
    }
    let alike = figure.margin_low.is_some() && room[0] == room[2];
    if let Some(wish) = figure.margin_wanted.filter(|wish| *wish > 0.0 && margin != 0.0 && !alike) {
        wanted(svg, place(wish / margin * room[1]), middle);
    }
    let limit = figure.limit.map_or(String::new(), |limit| {
        let least = if figure.sense == "at_least" { "min" } else { "max" };
        format!(", {least} {}", shown(figure.name, limit, figure.unit))
    });
    let beyond = if figure.censored.is_some() && figure.value >= figure.high { "over " } else { "" };
    let value = figure.value.map_or("not known".into(), |value| shown(figure.name, value, figure.unit));
    let numbers = LIMIT_X + LEFT + 8.0;
    let room = shown(figure.name, margin, figure.unit);
    let room = room.replace('-', "−");
    let room_x = PAGE_WIDTH - MARGIN - VERDICT;
    let letters = ((room_x - numbers) / (0.96 * LETTER)) as usize;
    let text = short(&format!("{beyond}{value}{limit}"), letters.saturating_sub(room.chars().count() + 1));
    svg.text((numbers, y), Face::SMALL.ink(Ink::Ink), &text.replace('-', "−"));
    svg.text((room_x, y), Face::SMALL.ink(ink).anchor(Anchor::End), &room);
}

/// A bar from the limit to the median: full, hatched, or open.
fn bar(svg: &mut Svg, verdict: &str, (from, to): (f64, f64), middle: f64) {
    let (left, width) = (from.min(to), (to - from).abs());
    let corner = (left, middle - HALF);
    match verdict {
        "over" => svg.rect(corner, (width, 2.0 * HALF), 1.3, Ink::Accent, Some(Ink::Paper)),
        "fits" => {
            svg.cells(Tone::Light, std::iter::once((corner, (width, 2.0 * HALF))));
            svg.rect(corner, (width, 2.0 * HALF), 0.7, Ink::Ink, None);
        }
        _ => {
            svg.cells(Tone::Hatch, std::iter::once((corner, (width, 2.0 * HALF))));
            svg.rect(corner, (width, 2.0 * HALF), 0.9, Ink::Ink, None);
        }
    }
}

/// From the 5 % to the 95 % point.
fn whisker(svg: &mut Svg, (low, high): (f64, f64), middle: f64) {
    svg.line(&[(low, middle), (high, middle)], 1.2, Ink::Ink);
    for x in [low, high] {
        svg.line(&[(x, middle - 3.0), (x, middle + 3.0)], 1.2, Ink::Ink);
    }
}

/// The room wanted: a small wedge on the bar.
fn wanted(svg: &mut Svg, x: f64, middle: f64) {
    svg.area(
        &[(x, middle - HALF), (x - 3.5, middle - HALF - 5.0), (x + 3.5, middle - HALF - 5.0)],
        Tone::Dark,
    );
}

/// What a screen reader is told.
fn described(a: &Assessment) -> String {
    let of = |verdict: &str| {
        let figures =
            a.budgets.iter().flat_map(|b| &b.figures).filter(|figure| figure.verdict == Some(verdict));
        figures.map(|figure| figure.title.trim()).collect::<Vec<_>>()
    };
    let parts = [("over", "does not fit"), ("unknown", "not told yet"), ("tight", "tight"), ("fits", "fits")];
    let told = parts.map(|(verdict, words)| (words, of(verdict)));
    let told = told.iter().filter(|(_, titles)| !titles.is_empty());
    told.map(|(words, titles)| format!("{words}: {}.", titles.join("; "))).collect::<Vec<_>>().join(" ")
}
