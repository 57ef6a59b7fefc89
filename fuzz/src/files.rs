//! Targets that read whole files: a plan, a sheet.

use crate::Outcome;
use station::edit;
use station::plan::Plan;
use station::sheets::{self, Library};
use station::text::{Problems, Source};
use std::sync::OnceLock;

/// A plan is read or refused with every problem at a place in its text; a change of it is made or refused.
pub fn plan(bytes: &[u8]) -> Outcome {
    static LIBRARY: OnceLock<Library> = OnceLock::new();
    let source = Source::new("plan.toml", String::from_utf8_lossy(bytes));
    if let Ok(changed) = edit::set(&source.text, "camera.size", "800x600") {
        // Whatever else is wrong with a plan, setting the same value again changes nothing.
        assert_eq!(edit::set(&changed, "camera.size", "800x600").as_ref(), Ok(&changed));
    }
    match Plan::read(source, LIBRARY.get_or_init(Library::shipped)) {
        Ok(plan) => format!("read, {} sheets", plan.sheets.len()),
        Err(problems) => refused(&problems),
    }
}

/// A sheet is read or refused with every problem at a place in its text.
pub fn sheet(bytes: &[u8]) -> Outcome {
    let source = Source::new("sheet.toml", String::from_utf8_lossy(bytes));
    match sheets::read(&source) {
        Ok(sheet) => format!("read, {}", sheet.kind.name),
        Err(problems) => refused(&problems),
    }
}

/// The problems must be there, printable, and inside the texts that they come with.
fn refused(problems: &Problems) -> Outcome {
    assert!(!problems.list.is_empty(), "refused without a problem");
    for problem in &problems.list {
        let source = problems.sources.iter().find(|source| source.name == problem.file);
        let text = &source.unwrap_or_else(|| panic!("no source `{}`", problem.file)).text;
        assert!(
            text.get(problem.span.clone()).is_some(),
            "{:?} of {} bytes: {problem}",
            problem.span,
            text.len()
        );
        assert!(problem.place.line >= 1 && problem.place.column >= 1 && !problem.says.is_empty());
    }
    // Words that quote the file would make every refusal a new outcome.
    let plain = |word: &&str| word.bytes().all(|byte| byte.is_ascii_lowercase());
    let words: Vec<&str> = problems.list[0].says.split(' ').filter(plain).take(2).collect();
    format!("{} {}", problems.list.len().min(3), words.join(" "))
}
