//! `doorwright set` and `doorwright plan-schema`.

use crate::load::{self, Stop};
use anstream::{eprintln, println};
use draw::paint::{Paint, Tone};
use station::plan::Plan;
use station::sheets::Library;
use station::text::Source;
use std::path::PathBuf;
use std::process::ExitCode;

/// Arguments of `set`.
#[derive(clap::Args)]
#[command(after_help = "Example: doorwright set gate.toml camera.size=640x480 lens.sheet=wide-100")]
pub struct SetArgs {
    /// The plan, a TOML file.
    plan: PathBuf,
    /// Changes, each PATH=VALUE.
    #[arg(required = true, value_name = "PATH=VALUE")]
    changes: Vec<String>,
    /// Shows the changed lines and writes nothing.
    #[arg(long)]
    dry_run: bool,
}

/// Runs `set`: nothing is written unless the changed plan can be read.
pub fn set(args: &SetArgs) -> Result<ExitCode, Stop> {
    if !args.dry_run {
        load::writable(&args.plan)?;
    }
    let source = load::text(&args.plan)?;
    let mut changes = Vec::new();
    for change in &args.changes {
        let Some((path, value)) = change.split_once('=') else {
            return Err(Stop::Message(
                format!("`{change}` is no change"),
                "write PATH=VALUE, such as camera.size=640x480".into(),
            ));
        };
        changes.push((path.trim(), value.trim()));
    }
    let library = load::library(Some(&args.plan));
    let changed = changed(&source, &library, changes)?;
    load::tell_left_out(&library);
    show_changes(&source.text, &changed.source.text);
    if !args.dry_run {
        load::write_back(&args.plan, &changed.source.text)?;
    }
    Ok(ExitCode::SUCCESS)
}

/// The plan with some changes, read again: nothing may be written that the next command refuses.
///
/// # Errors
/// A change that the plan does not take, or problems of the changed plan.
pub fn changed<'c>(
    source: &Source,
    library: &Library,
    changes: impl IntoIterator<Item = (&'c str, &'c str)>,
) -> Result<Plan, Stop> {
    let text = station::edit::set_all(&source.text, changes)
        .map_err(|wrong| Stop::Message(wrong.says, wrong.hint.unwrap_or_default()))?;
    Plan::read(Source::new(source.name.clone(), text), library)
        .map_err(|problems| Stop::Problems(Box::new(problems)))
}

/// Prints the lines that differ, old and new, to standard error, and which comments were written for an old value.
pub fn show_changes(before: &str, after: &str) {
    let (old, new): (Vec<&str>, Vec<&str>) = (before.lines().collect(), after.lines().collect());
    let (mut i, mut j) = (0, 0);
    let mut kept = Vec::new();
    for (same_old, same_new) in common(&old, &new).into_iter().chain([(old.len(), new.len())]) {
        for (at, line) in old.iter().enumerate().take(same_old).skip(i) {
            eprintln!("{:>4} - {}", at + 1, Paint(Tone::Faint, line));
        }
        for (at, line) in new.iter().enumerate().take(same_new).skip(j) {
            eprintln!("{:>4} + {}", at + 1, Paint(Tone::Strong, line));
            if comment(line)
                .is_some_and(|said| old[i..same_old].iter().any(|line| comment(line) == Some(said)))
            {
                kept.push((at + 1).to_string());
            }
        }
        (i, j) = (same_old + 1, same_new + 1);
    }
    match &kept[..] {
        [] => {}
        [line] => eprintln!("The comment on line {line} was written for the old value: is it still so?"),
        lines => eprintln!(
            "The comments on lines {} were written for old values: are they still so?",
            lines.join(", ")
        ),
    }
}

/// The comment behind a value, in a line of TOML; a `#` within quotes begins none.
fn comment(line: &str) -> Option<&str> {
    let mut quote = None;
    let at = line.char_indices().find_map(|(at, letter)| {
        match (quote, letter) {
            (None, '#') => return Some(at),
            (None, '"' | '\'') => quote = Some(letter),
            (Some(open), _) if open == letter => quote = None,
            _ => {}
        }
        None
    })?;
    let (value, said) = line.split_at(at);
    (!value.trim().is_empty()).then(|| said.trim())
}

/// Pairs of lines that both texts share, in order: the longest such list (textbook dynamic programming).
fn common(old: &[&str], new: &[&str]) -> Vec<(usize, usize)> {
    // A plan has some hundred lines; where two texts are larger, only their equal heads are paired.
    if old.len().saturating_mul(new.len()) > 4_000_000 {
        return (0..old.len().min(new.len()))
            .take_while(|&at| old[at] == new[at])
            .map(|at| (at, at))
            .collect();
    }
    let width = new.len() + 1;
    let mut longest = vec![0_u32; (old.len() + 1) * width];
    for i in (0..old.len()).rev() {
        for j in (0..new.len()).rev() {
            longest[i * width + j] = if old[i] == new[j] {
                longest[(i + 1) * width + j + 1] + 1
            } else {
                longest[(i + 1) * width + j].max(longest[i * width + j + 1])
            };
        }
    }
    let (mut i, mut j, mut pairs) = (0, 0, Vec::new());
    while i < old.len() && j < new.len() {
        if old[i] == new[j] {
            pairs.push((i, j));
            (i, j) = (i + 1, j + 1);
        } else if longest[(i + 1) * width + j] >= longest[i * width + j + 1] {
            i += 1;
        } else {
            j += 1;
        }
    }
    pairs
}

/// Arguments of `plan-schema`.
#[derive(clap::Args)]
#[command(after_help = "Example: doorwright plan-schema > plan.schema.json")]
pub struct SchemaArgs {}

/// Runs `plan-schema`.
pub fn schema(_args: &SchemaArgs) -> Result<ExitCode, Stop> {
    let schema =
        serde_json::to_string_pretty(&station::schema::plan_schema()).expect("a schema is plain JSON");
    println!("{schema}");
    Ok(ExitCode::SUCCESS)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_comment_begins_behind_a_value_and_outside_quotes() {
        assert_eq!(comment("size = \"640x480\" # as sold "), Some("# as sold"));
        assert_eq!(comment("name = 'gate #2'"), None);
        assert_eq!(comment("# a line of its own"), None);
    }

    #[test]
    fn two_changes_far_apart_leave_what_stands_between() {
        let old = ["a", "b", "c", "d", "e"];
        let new = ["a", "B", "c", "d", "E", "f"];
        assert_eq!(common(&old, &new), [(0, 0), (2, 2), (3, 3)]);
    }
}
