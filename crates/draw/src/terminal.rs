//! The assessment as an engineer's sheet of 80 columns.
//!
//! A verdict is told by word and shape first, by colour last; without colour nothing is lost. The bar: a limit line,
//! the room to its right, hatched when tight, open and to the left when it does not fit, dotted when not known; the
//! thin line is the spread. Their scale is that of the drawing: [`crate::margins::tails`].

use crate::margins::{TAILS, tails};
use crate::paint::{Paint, Tone};
use crate::wrap::wrapped;
use budgets::answers::{BestMounting, SizeRow};
use budgets::assessment::{Assessment, BudgetResult, Figure, Finding};
use budgets::remedies::{Remedy, numbered};
use budgets::rules::{in_builds, percent};
use std::fmt::Write as _;

/// Columns of the sheet.
pub const WIDTH: usize = 80;

/// What else to print.
#[derive(Clone, Copy, Debug, Default)]
pub struct Extent {
    /// All assumptions instead of a count and those that matter.
    pub assumptions: bool,
    /// Every figure with its interval and limit.
    pub figures: bool,
}

/// The whole sheet.
pub fn sheet(assessment: &Assessment, extent: Extent) -> String {
    let mut out = String::new();
    title(&mut out, assessment);
    let head = format!(
        " {:<7} {:<14} {:>w$}╎{:<r$} {:>4} {}",
        "budget",
        "verdict",
        "short ◂ ",
        " ▸ room",
        "fits",
        "what decides",
        w = LEFT,
        r = RIGHT
    );
    let _ = writeln!(out, "{}", Paint(Tone::Faint, &head));
    // A budget that the plan asks nothing of (no boundary, nothing kept) has no line.
    for budget in assessment.budgets.iter().filter(|budget| !is_silent(budget)) {
        let _ = writeln!(out, "{}", row(budget));
    }
    rule(&mut out);
    if extent.figures {
        figures(&mut out, assessment);
    }
    findings(&mut out, assessment);
    assumptions(&mut out, assessment, extent.assumptions);
    next(&mut out, assessment);
    out
}

fn title(out: &mut String, a: &Assessment) {
    let name = if a.plan.is_empty() { a.file.as_str() } else { a.plan.as_str() };
    let revision = if a.revision.is_empty() { String::new() } else { format!("rev {}", a.revision) };
    let name = shortened(&name.to_uppercase(), WIDTH - 4 - revision.chars().count());
    let gap = WIDTH - 2 - name.chars().count() - revision.chars().count();
    let gap = if revision.is_empty() { 0 } else { gap };
    let _ = writeln!(out, " {}{}{revision}", Paint(Tone::Strong, &name), " ".repeat(gap));
    let whole = verdict_words(a);
    let sure = a.fits_probability.filter(|_| a.verdict != "unknown").map_or(String::new(), builds);
    let tone = if a.verdict == "over" { Tone::Accent } else { Tone::Plain };
    match (WIDTH - 3).checked_sub(whole.chars().count() + sure.chars().count()) {
        Some(gap) => {
            let line = format!(" {} {}{sure}", Paint(tone, &whole), " ".repeat(gap));
            let _ = writeln!(out, "{}", line.trim_end());
        }
        None => {
            for line in wrapped(&whole, WIDTH - 2).iter().chain([&sure]) {
                let _ = writeln!(out, " {}", Paint(tone, line));
            }
        }
    }
    let open = a.assumptions.iter().filter(|assumption| assumption.open).count();
    let facts = format!("{} given · {open} open · {} assumed", a.given, a.assumptions.len() - open);
    let draws =
        if a.draws == 0 { "nominal, no draws".into() } else { format!("{} draws, seed {}", a.draws, a.seed) };
    let _ = writeln!(
        out,
        " {}{}{}",
        facts,
        " ".repeat((WIDTH - 2).saturating_sub(facts.chars().count() + draws.chars().count())),
        draws
    );
    rule(out);
}

/// The verdict of the whole and the budgets that it rests on.
fn verdict_words(a: &Assessment) -> String {
    let names: Vec<&str> =
        a.budgets.iter().filter(|budget| budget.verdict == a.verdict).map(|budget| budget.name).collect();
    match a.verdict {
        "over" => format!("does not fit: {}", names.join(", ")),
        "unknown" => format!("not told yet: {}", names.join(", ")),
        "tight" if names.is_empty() => "tight: each budget fits, all at once less surely".into(),
        "tight" => format!("tight: {}", names.join(", ")),
        word => word.into(),
    }
}

/// Whether there is nothing to say of a budget: no figure, no finding, no count of rules.
fn is_silent(budget: &BudgetResult) -> bool {
    budget.figures.is_empty() && budget.findings.is_empty() && budget.rules.is_none()
}

fn rule(out: &mut String) {
    let _ = writeln!(out, " {}", Paint(Tone::Faint, &"─".repeat(WIDTH - 2)));
}

/// Cells left and right of the limit line.
const LEFT: usize = 7;
const RIGHT: usize = 12;

/// A budget's line: word, bar around its limit, probability, the figure that decides.
pub fn row(budget: &BudgetResult) -> String {
    if let Some(rules) = budget.rules {
        return safety_row(budget, rules);
    }
    let weakest = weakest(budget);
    let words = words(budget, weakest);
    let tone = match budget.verdict {
        "over" => Tone::Accent,
        "fits" => Tone::Plain,
        _ => Tone::Strong,
    };
    let probability = match budget.fits_probability {
        Some(_) if budget.verdict == "unknown" => String::new(),
        Some(p) if weakest.is_some() => share(p),
        _ => String::new(),
    };
    let bar = match weakest {
        _ if budget.verdict == "unknown" => " ".repeat(LEFT) + "· · · · · · ·",
        Some(figure) => bar(figure),
        None if budget.verdict == "over" => "▭".repeat(3) + "╎",
        None => String::new(),
    };
    let bar = pad(&bar, LEFT + 1 + RIGHT);
    let fact =
        budget.findings.first().filter(|_| budget.verdict == "over").map(|found| found.code.to_string());
    let figure = weakest.map(brief).or(fact).unwrap_or_default();
    let figure = shortened(&figure, WIDTH - 1 - 8 - 15 - (LEFT + RIGHT + 2) - 5);
    let line = format!(
        " {:<7} {} {} {probability:>4} {figure}",
        budget.name,
        Paint(tone, &pad(&words, 14)),
        Paint(tone, &bar),
    );
    line.trim_end().to_string()
}

/// Safety has neither bar nor `fits`: what so many rules found, and nothing beyond.
fn safety_row(budget: &BudgetResult, rules: usize) -> String {
    let tone = if budget.verdict == "over" { Tone::Accent } else { Tone::Strong };
    match (budget.verdict, budget.findings.len()) {
        ("fits", _) => format!(" {:<7} nothing found by these {rules} rules", budget.name),
        (verdict, found) => format!(
            " {:<7} {} by {found} of {rules} rules",
            budget.name,
            Paint(tone, &pad(safety_word(verdict), 14)),
        ),
    }
}

/// The words of safety's verdicts; JSON keeps the contract's.
pub(crate) fn safety_word(verdict: &str) -> &'static str {
    match verdict {
        "over" => "broken",
        "unknown" => "cannot tell",
        "tight" => "with care",
        _ => "nothing found",
    }
}

/// Out of a hundred such builds, never all and never none.
fn share(p: f64) -> String {
    match p {
        p if p >= 0.995 => ">99%".into(),
        p if p < 0.005 => "<1%".into(),
        p => format!("{:.0}%", p * 100.0),
    }
}

/// The verdict as a face says it; JSON keeps its own words.
fn words(budget: &BudgetResult, weakest: Option<&Figure>) -> String {
    match budget.verdict {
        "over" => "does not fit".into(),
        "unknown" => "not told yet".into(),
        "tight" if weakest.is_some_and(|figure| figure.on_assumptions) => "tight, assumed".into(),
        word => word.into(),
    }
}

/// The figure that decides a budget: that of its first finding, so that row and sentence speak of the same number;
/// without one the worst verdict, then the least sure to fit, then the least room.
fn weakest(budget: &BudgetResult) -> Option<&Figure> {
    // What is wrong may be a fact without a number: then no figure stands for it.
    let fact = budget.findings.first().filter(|first| first.figure.is_empty() && first.verdict == "over");
    if fact.is_some() && budget.figures.iter().all(|figure| figure.verdict != Some("over")) {
        return None;
    }
    let told = budget.findings.first().filter(|finding| !finding.figure.is_empty());
    let told = told.and_then(|finding| budget.figures.iter().find(|figure| figure.name == finding.figure));
    if let Some(figure) = told.filter(|figure| figure.margin.is_some()) {
        return Some(figure);
    }
    let rank = |figure: &Figure| match figure.verdict {
        Some("over") => 3,
        Some("unknown") => 2,
        Some("tight") => 1,
        _ => 0,
    };
    let fits = |figure: &Figure| figure.fits_probability.unwrap_or(1.0);
    budget
        .figures
        .iter()
        .filter(|figure| figure.verdict.is_some() && figure.verdict != Some("unknown"))
        .max_by(|a, b| {
            let surer = fits(b).total_cmp(&fits(a));
            rank(a).cmp(&rank(b)).then(surer).then(median(b).total_cmp(&median(a)))
        })
}

fn bar(figure: &Figure) -> String {
    let Some(room) = tails(figure) else { return String::new() };
    let unit = RIGHT as f64 / TAILS;
    let cell = |tails: f64| ((tails * unit).round() as i64).clamp(-(LEFT as i64), RIGHT as i64);
    let [low, median, high] = room.map(cell);
    let full = match figure.verdict {
        Some("tight") => '╱',
        _ => '▬',
    };
    let mut text = String::new();
    for at in -(LEFT as i64)..0 {
        text.push(if median < 0 && at >= median {
            '▭'
        } else if at >= low && low < 0 && at < high.max(0) {
            '─'
        } else {
            ' '
        });
    }
    text.push('╎');
    for at in 1..=RIGHT as i64 {
        text.push(if at <= median {
            full
        } else if at > low && at <= high {
            '─'
        } else {
            ' '
        });
    }
    text
}

/// The bar's length, for the least of several.
fn median(figure: &Figure) -> f64 {
    tails(figure).map_or(0.0, |[_, median, _]| median)
}

/// "4.46 V, at least 3.5 V".
fn brief(figure: &Figure) -> String {
    let value = figure.value.map_or("not known".into(), |value| shown(figure.name, value, figure.unit));
    let censored = if figure.censored.is_some() && figure.value >= figure.high { "over " } else { "" };
    if figure.limit == Some(0.0) && figure.value == Some(0.0) {
        return format!("{}: none", figure.title);
    }
    let limit = figure.limit.map(|limit| shown(figure.name, limit, figure.unit));
    match (limit, figure.sense) {
        (Some(limit), "at_least") => format!("{censored}{value}, min {limit}"),
        (Some(limit), _) => format!("{censored}{value}, max {limit}"),
        (None, _) => value,
    }
}

/// Shares that JSON does not call so, and ratios: a bare number would not say what it counts.
const SHARES: [&str; 5] = ["stream_holds", "allowed_duty", "air_taken", "tails_gap", "sleep_swing"];
const RATIOS: [&str; 3] = ["touch_ratio", "warm_light", "worst_month_sun"];

/// A figure's number with its unit as people read it; shares in per cent.
pub fn shown(name: &str, value: f64, unit: &str) -> String {
    match unit {
        "1" if SHARES.contains(&name) => percent(value),
        "1" if RATIOS.contains(&name) => format!("{}×", quantity::show(value, unit)),
        "1" if name.ends_with("_share") => percent(value),
        _ => quantity::show(value, unit),
    }
}

fn figures(out: &mut String, a: &Assessment) {
    for budget in a.budgets.iter().filter(|budget| !budget.figures.is_empty()) {
        let _ = writeln!(out, " {}", Paint(Tone::Strong, budget.name));
        for figure in &budget.figures {
            let interval = match (figure.low, figure.high) {
                (Some(low), Some(high)) if high - low > 1e-9 * high.abs() => {
                    if figure.name.ends_with("_share") || SHARES.contains(&figure.name) {
                        let (low, high) = (percent(low), percent(high));
                        if low == high { low } else { format!("{low} .. {high}") }
                    } else {
                        quantity::show_between(low, high, figure.unit)
                    }
                }
                _ => String::new(),
            };
            let limit = figure.limit.map_or(String::new(), |limit| {
                format!(
                    "{} {}",
                    if figure.sense == "at_least" { "min" } else { "max" },
                    shown(figure.name, limit, figure.unit)
                )
            });
            let value =
                figure.value.map_or("not known".into(), |value| shown(figure.name, value, figure.unit));
            let line = format!(
                "   {} {value:>10}  {} {limit}",
                pad(&shortened(figure.title, 34), 34),
                pad(&interval, 18),
            );
            let line = line.trim_end();
            if line.chars().count() <= WIDTH {
                let _ = writeln!(out, "{line}");
            } else {
                // Long words of small shares: interval and limit take a line of their own.
                let _ = writeln!(out, "   {} {value:>10}", pad(&shortened(figure.title, 34), 34));
                let _ = writeln!(out, "   {}{interval}  {limit}", " ".repeat(32));
            }
        }
    }
    let _ = writeln!(out, "   {}", Paint(Tone::Faint, "value · 5 % to 95 % of such builds · limit"));
    rule(out);
}

fn findings(out: &mut String, a: &Assessment) {
    let numbered = numbered(a);
    for finding in a.budgets.iter().flat_map(|budget| &budget.findings) {
        finding_lines(out, finding, &numbered, &a.file);
    }
    if a.budgets.iter().all(|budget| budget.findings.is_empty()) {
        let _ = writeln!(out, " Nothing found by these rules.");
    }
}

/// How bad a finding is, in words.
pub(crate) fn mark(finding: &Finding) -> &'static str {
    match finding.verdict {
        verdict if finding.code.starts_with("safety.") => safety_word(verdict),
        "over" => "does not fit",
        "unknown" => "not told yet",
        _ => "tight",
    }
}

/// The field that a finding points at, and where it stands: `camera.size (line 15)`.
pub(crate) fn about(finding: &Finding, file: &str) -> String {
    let place = match &finding.at {
        _ if finding.assumed => "assumed".into(),
        None => return finding.about.clone(),
        Some(at) if at.file == file => format!("line {}", at.line),
        Some(at) => format!("{}:{}", at.file, at.line),
    };
    format!("{} ({place})", finding.about)
}

fn finding_lines(out: &mut String, finding: &Finding, numbered: &[(&Finding, &Remedy)], file: &str) {
    let tone = if finding.verdict == "over" { Tone::Accent } else { Tone::Strong };
    let head = format!("{} · {}", finding.code, mark(finding));
    let about = shortened(&about(finding, file), (WIDTH - 4).saturating_sub(head.chars().count()));
    let gap = (WIDTH - 2).saturating_sub(head.chars().count() + about.chars().count());
    let _ = writeln!(out, " {}{}{}", Paint(tone, &head), " ".repeat(gap), Paint(Tone::Faint, &about));
    for line in wrapped(&sentence(&finding.says), WIDTH - 4) {
        let _ = writeln!(out, "   {line}");
    }
    for remedy in &finding.remedies {
        let Some(at) = numbered.iter().position(|(_, known)| known.set == remedy.set) else { continue };
        // What a remedy costs is told once, where it is first offered.
        let first = std::ptr::eq(numbered[at].0, finding);
        for (index, line) in wrapped(&remedy_words(remedy, first), WIDTH - 9).into_iter().enumerate() {
            let lead = if index == 0 { format!("{:>4} ▸ ", at + 1) } else { "       ".into() };
            let _ = writeln!(out, "{lead}{line}");
        }
    }
    if !finding.to_do.is_empty() {
        for line in wrapped(&sentence(&finding.to_do), WIDTH - 6) {
            let _ = writeln!(out, "     {}", Paint(Tone::Faint, &line));
        }
    }
}

/// A remedy in words; `first`: with its effort and what it costs.
pub(crate) fn remedy_words(remedy: &Remedy, first: bool) -> String {
    let change = remedy.written();
    let cure = if remedy.verdict == "fits" { "fits" } else { "better, still tight" };
    if !first {
        return format!("{change}: {cure}");
    }
    let costs: Vec<String> = remedy
        .costs
        .iter()
        .take(3)
        .map(|cost| {
            format!(
                "{} {} → {}",
                cost.figure.replace('_', " "),
                shown(cost.figure, cost.from, cost.unit),
                shown(cost.figure, cost.to, cost.unit)
            )
        })
        .collect();
    let costs = if costs.is_empty() { String::new() } else { format!("; {}", costs.join(", ")) };
    format!("{change}: {cure} ({}){costs}", remedy.effort)
}

fn assumptions(out: &mut String, a: &Assessment, all: bool) {
    rule(out);
    if all {
        let _ = writeln!(out, " {}", Paint(Tone::Strong, "Assumed"));
        for assumption in &a.assumptions {
            let line = format!("{} = {}", assumption.at, assumption.value);
            let _ = writeln!(
                out,
                "   {} {}",
                pad(&shortened(&line, 46), 46),
                Paint(Tone::Faint, &shortened(&assumption.source, WIDTH - 51))
            );
        }
        return;
    }
    let open: Vec<&str> =
        a.assumptions.iter().filter(|assumption| assumption.open).map(|assumption| assumption.at).collect();
    let rest = a.assumptions.len() - open.len();
    let mut text = format!("{rest} values assumed");
    if !open.is_empty() {
        let _ = write!(text, "; open, drawn over what is sold or usual: {}", open.join(", "));
    }
    text.push_str(". All of them: --assumptions.");
    for line in wrapped(&text, WIDTH - 2) {
        let _ = writeln!(out, " {}", Paint(Tone::Faint, &line));
    }
    let drivers = drivers(a);
    if !drivers.is_empty() {
        for line in wrapped(&format!("What drives the verdicts: {}.", drivers.join(", ")), WIDTH - 2) {
            let _ = writeln!(out, " {}", Paint(Tone::Faint, &line));
        }
    }
}

/// The strongest driver of each budget that does not fit surely.
fn drivers(a: &Assessment) -> Vec<String> {
    let mut drivers = Vec::new();
    for budget in a.budgets.iter().filter(|budget| budget.verdict != "fits") {
        let Some(driver) = weakest(budget).and_then(|figure| figure.driven_by.first()) else { continue };
        drivers.push(format!(
            "{} {} ({} of {})",
            budget.name,
            driver.path,
            percent(driver.share),
            "its spread"
        ));
    }
    drivers
}

fn next(out: &mut String, a: &Assessment) {
    if !a.uncured.is_empty() {
        let says = format!(
            "No change that was tried cures {}, alone or two at once: something that is wanted has to give.",
            a.uncured.join(", ")
        );
        for line in wrapped(&says, WIDTH - 2) {
            let _ = writeln!(out, " {}", Paint(Tone::Accent, &line));
        }
    }
    if let Some(next) = &a.next {
        for (index, line) in wrapped(&next.says, WIDTH - 8).into_iter().enumerate() {
            let lead = if index == 0 { " Next: " } else { "       " };
            let _ = writeln!(out, "{}{line}", Paint(Tone::Strong, lead));
        }
    }
}

/// The answers of `check --best`.
pub fn answers(file: &str, mounting: &BestMounting, sizes: &[SizeRow]) -> String {
    let mut out = String::new();
    rule(&mut out);
    let _ = writeln!(
        out,
        " {} height {}, tilt {}, turn {}",
        Paint(Tone::Strong, "Best mounting:"),
        quantity::show(mounting.height_m, "m"),
        quantity::show(mounting.tilt_rad, "rad"),
        quantity::show(mounting.turn_rad, "rad")
    );
    let _ = writeln!(
        out,
        "   {} of callers seen whole at the wanted class, {} as planned",
        percent(mounting.share_best),
        percent(mounting.share_now)
    );
    let set: Vec<String> = mounting.set.iter().map(|(path, value)| format!("{path}=\"{value}\"")).collect();
    // A share of callers that nobody would notice is no reason to hang it anew.
    if mounting.share_best >= mounting.share_now + 0.005 {
        let lines = wrapped(&format!("doorwright set {file} {}", set.join(" ")), WIDTH - 7);
        // What goes on below is one command when it is pasted.
        let _ = writeln!(out, "   {}", lines.join(" \\\n   "));
    }
    let _ = writeln!(out, " {}", Paint(Tone::Strong, "Sizes that the memory allows"));
    let _ = writeln!(out, "   size        one buffer   buffers   finest quality");
    for row in sizes {
        let buffers = match row.buffers {
            0 => "none".to_string(),
            count => format!("{count}"),
        };
        let quality = row.quality.map_or("none".to_string(), |quality| quality.to_string());
        let extra = if row.buffers == 0 {
            format!("   needs {} of extra memory", quantity::show(row.extra_needed_b, "B"))
        } else {
            String::new()
        };
        let _ = writeln!(
            out,
            "   {:<11} {:>10} {buffers:>9} {quality:>16}{extra}",
            row.size,
            quantity::show(row.buffer_b, "B")
        );
    }
    out
}

/// First letter raised, full stop added.
pub(crate) fn sentence(text: &str) -> String {
    let mut chars = text.chars();
    let Some(first) = chars.next() else { return String::new() };
    // Names of fields and figures, and commands, keep their small letter.
    let first =
        if text.split([' ', ':']).next().is_some_and(|word| word.contains('.') || word == "doorwright") {
            first.to_string()
        } else {
            first.to_uppercase().to_string()
        };
    format!("{first}{}.", chars.as_str())
}

fn pad(text: &str, width: usize) -> String {
    let length = text.chars().count();
    format!("{text}{}", " ".repeat(width.saturating_sub(length)))
}

fn shortened(text: &str, width: usize) -> String {
    if text.chars().count() <= width {
        return text.to_string();
    }
    let mut cut: String = text.chars().take(width.saturating_sub(1)).collect();
    cut.push('…');
    cut
}

/// A probability in words, for lines that have room for it.
fn builds(probability: f64) -> String {
    format!("fits in {} such builds", in_builds(probability))
}
