//! `doorwright explain`: what a word, a finding, a figure, a field or a symptom means.
//!
//! Prints the pages of [`budgets::explain`] in 80 columns; it knows none of their contents.

use crate::load::Stop;
use anstream::println;
use budgets::explain::{Group, Page, groups, page};
use draw::paint::{Paint, Tone};
use draw::wrap::wrapped;
use std::process::ExitCode;

/// Columns of the sheet.
const WIDTH: usize = 80;
/// Columns that a fact's label takes; longer labels stand on a line of their own.
const LABEL: usize = 15;

/// Arguments of `explain`.
#[derive(clap::Args)]
#[command(after_help = "Examples: doorwright explain memory.frame-buffer\n          \
    doorwright explain camera.height\n          \
    doorwright explain it restarts when I look at it\n\n\
    Exit code: 0 explained, 2 not known (the nearest word is named).")]
pub struct ExplainArgs {
    /// A word, a finding's code, a figure, a field of the plan, or what you see in plain words; none lists them all.
    #[arg(value_name = "TERM")]
    term: Vec<String>,
    /// Prints the page as JSON.
    #[arg(long)]
    json: bool,
}

/// Runs `explain`.
pub fn run(args: &ExplainArgs) -> Result<ExitCode, Stop> {
    let asked = args.term.join(" ");
    if asked.trim().is_empty() {
        let groups = groups();
        if args.json {
            println!("{}", json(serde_json::to_string_pretty(&groups))?);
        } else {
            groups.iter().for_each(print_group);
        }
        return Ok(ExitCode::SUCCESS);
    }
    let page = page(&asked).map_err(|unknown| {
        let hint = match &unknown.nearest {
            Some(near) => format!("doorwright explain {near}"),
            None => "doorwright explain, without a word, lists all that can be asked".into(),
        };
        Stop::Message(unknown.to_string(), hint)
    })?;
    if args.json {
        println!("{}", json(serde_json::to_string_pretty(&page))?);
    } else {
        print_page(&page);
    }
    Ok(ExitCode::SUCCESS)
}

fn json(written: serde_json::Result<String>) -> Result<String, Stop> {
    written.map_err(|error| Stop::Message(error.to_string(), String::new()))
}

fn print_page(page: &Page) {
    println!("{}  {}", Paint(Tone::Strong, &page.name), Paint(Tone::Faint, page.kind));
    print_wrapped(&page.line, WIDTH, "");
    if !page.text.is_empty() {
        println!();
        print_wrapped(&page.text, WIDTH, "");
    }
    if !page.facts.is_empty() {
        println!();
    }
    // A page keeps one left edge: labels that are long (codes, paths) give their column to all.
    let longest = page.facts.iter().map(|fact| fact.label.chars().count()).max().unwrap_or(0);
    let column = (longest + 2).clamp(LABEL, 28);
    for fact in &page.facts {
        let tone = if fact.label == "Caution" { Tone::Accent } else { Tone::Strong };
        let lines = wrapped(&fact.text, WIDTH - column);
        let label = format!("{:<width$}", fact.label, width = column);
        println!("{}{}", Paint(tone, &label), lines.first().map_or("", String::as_str));
        for line in lines.iter().skip(1) {
            println!("{:column$}{line}", "");
        }
    }
    if !page.see.is_empty() {
        println!();
        print_wrapped(&format!("See also: {}", page.see.join(", ")), WIDTH, "  ");
    }
}

/// Lines of a paragraph; all but the first begin with `indent`.
fn print_wrapped(text: &str, width: usize, indent: &str) {
    for (index, line) in wrapped(text, width - indent.len()).iter().enumerate() {
        println!("{}{line}", if index == 0 { "" } else { indent });
    }
}

fn print_group(group: &Group) {
    println!("{}", Paint(Tone::Strong, &group.title));
    for line in columns(&group.names) {
        println!("  {line}");
    }
    println!();
}

/// Names in as many columns as fit, read downwards.
fn columns(names: &[String]) -> Vec<String> {
    let width = names.iter().map(|name| name.chars().count()).max().unwrap_or(0) + 2;
    let across = ((WIDTH - 2) / width).max(1);
    let down = names.len().div_ceil(across);
    (0..down)
        .map(|row| {
            let mut line = String::new();
            for (column, name) in names.iter().skip(row).step_by(down).enumerate() {
                line.extend(std::iter::repeat_n(' ', (column * width).saturating_sub(line.chars().count())));
                line.push_str(name);
            }
            line
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_keep_every_name_and_80_columns() {
        for group in groups() {
            let lines = columns(&group.names);
            assert!(lines.iter().all(|line| line.chars().count() <= WIDTH - 2), "{}", group.title);
            let words: usize = lines.iter().flat_map(|line| line.split_whitespace()).count();
            assert_eq!(words, group.names.iter().flat_map(|name| name.split_whitespace()).count());
        }
    }
}
