//! `doorwright set` and `doorwright plan-schema`.

use crate::load::{self, Stop};
use anstream::{eprintln, println};
use draw::paint::{Paint, Tone};
use station::plan::Plan;
use station::text::Source;
use std::path::PathBuf;
use std::process::ExitCode;

/// Arguments of `set`.
#[derive(clap::Args)]
#[command(after_help = "Example: doorwright set gate.toml camera.size=640x480 lens.sheet=wide-120")]
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
    let text = station::edit::set_all(&source.text, changes)
        .map_err(|wrong| Stop::Message(wrong.says, wrong.hint.unwrap_or_default()))?;
    let library = load::library(Some(&args.plan))?;
    Plan::read(Source::new(source.name.clone(), text.clone()), &library)
        .map_err(|problems| Stop::Problems(Box::new(problems)))?;
    show_changes(&source.text, &text);
    if !args.dry_run {
        load::write(&args.plan, &text)?;
    }
    Ok(ExitCode::SUCCESS)
}

/// Prints the lines that differ, old and new, to standard error.
pub fn show_changes(before: &str, after: &str) {
    let (old, new): (Vec<&str>, Vec<&str>) = (before.lines().collect(), after.lines().collect());
    let same_head = old.iter().zip(&new).take_while(|(a, b)| a == b).count();
    let most = old.len().min(new.len()) - same_head;
    let same_tail = old.iter().rev().zip(new.iter().rev()).take(most).take_while(|(a, b)| a == b).count();
    for (number, line) in old[same_head..old.len() - same_tail].iter().enumerate() {
        eprintln!("{:>4} - {}", same_head + number + 1, Paint(Tone::Faint, line));
    }
    for (number, line) in new[same_head..new.len() - same_tail].iter().enumerate() {
        eprintln!("{:>4} + {}", same_head + number + 1, Paint(Tone::Strong, line));
    }
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
