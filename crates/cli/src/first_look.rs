//! The first verdict on a new plan: what needs attention, the rest in one line, one step to take next.
//!
//! Shows an assessment and computes nothing. Seeds, draws, places and all but one remedy a budget are left to `check`.

use budgets::assessment::{Assessment, BudgetResult, typed};
use budgets::remedies;
use draw::terminal::{self, WIDTH};
use draw::wrap::{capital, wrapped};
use std::fmt::Write as _;

/// The sheet, at most 80 columns.
pub fn sheet(assessment: &Assessment) -> String {
    let mut out = String::new();
    let open = assessment.assumptions.iter().filter(|assumption| assumption.open).count();
    let facts = format!("{} given · {open} open · rest assumed", assessment.given);
    let room = WIDTH - 4 - facts.chars().count();
    let name: String =
        assessment.plan.to_uppercase().chars().filter(|c| !c.is_control()).take(room).collect();
    let _ = writeln!(
        out,
        " {name}{}{facts}",
        " ".repeat(WIDTH - 2 - facts.chars().count() - name.chars().count())
    );
    let shown = attention(assessment);
    for budget in &shown {
        told(&mut out, assessment, budget);
    }
    let rest: Vec<&BudgetResult> = assessment
        .budgets
        .iter()
        .filter(|budget| !shown.iter().any(|shown| shown.name == budget.name))
        .collect();
    if !rest.is_empty() {
        let fit = rest.iter().all(|budget| budget.verdict == "fits");
        let names: Vec<&str> = rest.iter().map(|budget| budget.name).collect();
        let says = match (shown.is_empty(), fit) {
            (true, _) => format!("All fits: {}.", names.join(", ")),
            (_, true) => format!("{} more: {}. All fits.", rest.len(), names.join(", ")),
            _ => format!("{} more can wait: {}.", rest.len(), names.join(", ")),
        };
        for line in wrapped(&says, WIDTH - 1) {
            let _ = writeln!(out, " {line}");
        }
    }
    next(&mut out, assessment);
    out
}

/// What does not fit or cannot be told; where there is none of that, what is tight.
fn attention(assessment: &Assessment) -> Vec<&BudgetResult> {
    let with = |verdicts: &[&str]| -> Vec<&BudgetResult> {
        assessment.budgets.iter().filter(|budget| verdicts.contains(&budget.verdict)).collect()
    };
    let urgent = with(&["over", "unknown"]);
    if urgent.is_empty() { with(&["tight"]) } else { urgent }
}

fn told(out: &mut String, assessment: &Assessment, budget: &BudgetResult) {
    let Some(finding) = budget.findings.first() else {
        let _ = writeln!(out, "{}", terminal::row(budget));
        return;
    };
    // Bar and number are of the figure that the sentence is about, not of the tightest one.
    let figures = budget.figures.iter().filter(|figure| figure.name == finding.figure).cloned().collect();
    let _ = writeln!(out, "{}", terminal::row(&BudgetResult { figures, ..budget.clone() }));
    for line in wrapped(&format!("{}.", capital(&finding.says)), WIDTH - 10) {
        let _ = writeln!(out, "         {line}");
    }
    let numbered = remedies::numbered(assessment);
    let Some(remedy) = finding.remedies.first() else { return };
    let Some(at) = numbered.iter().position(|(_, known)| known.set == remedy.set) else { return };
    let cure = if remedy.verdict == "fits" { "fits" } else { "is better" };
    let change = format!("{} {cure}", remedy.written());
    let take = format!("doorwright check {} --fix-with {}", typed(&assessment.file), at + 1);
    let apart = change.chars().count() + take.chars().count() > WIDTH - 11;
    let _ = writeln!(out, "       ▸ {change}:{}{take}", if apart { "\n         " } else { " " });
}

fn next(out: &mut String, assessment: &Assessment) {
    let file = typed(&assessment.file);
    let says = match &assessment.next {
        Some(next) if next.at == "supply.kind" => {
            format!("doorwright set {file} supply.kind=adapter (or usb, bell, bank, cells: what feeds it?)")
        }
        Some(next) if next.at == "lens.view" => {
            format!("which lens is it? doorwright tune lens --tape --write {file} (1 minute, a tape measure)")
        }
        Some(next) => next.says.clone(),
        None => format!("doorwright check {file}"),
    };
    for (at, line) in wrapped(&says, WIDTH - 8).into_iter().enumerate() {
        let _ = writeln!(out, " {} {line}", if at == 0 { "Next:" } else { "     " });
    }
}
