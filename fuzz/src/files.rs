//! Targets that read whole files: a plan, a sheet; and one that changes a plan.

use crate::Outcome;
use station::edit;
use station::plan::Plan;
use station::sheets::{self, Library};
use station::text::{Problems, Source};
use std::sync::OnceLock;

static LIBRARY: OnceLock<Library> = OnceLock::new();

/// A plan is read or refused with every problem at a place in its text; a change of it is made or refused.
pub fn plan(bytes: &[u8]) -> Outcome {
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

/// A change of a plan, `PATH=VALUE` in the first line and the plan below it, is made or refused.
///
/// What is made can be read back: the text is the same when it is made again, has the line ends it had, and where the
/// plan was right before it is right after, but for names of sheets and pins, which only the reader knows.
pub fn edit(bytes: &[u8]) -> Outcome {
    let text = String::from_utf8_lossy(bytes);
    let (change, plan) = text.split_once('\n').unwrap_or((&text, ""));
    let (path, value) = change.split_once('=').unwrap_or((change, ""));
    let (path, value) = (path.trim(), value.trim());
    let after = match edit::set(plan, path, value) {
        Ok(after) => after,
        Err(wrong) => {
            assert!(!wrong.says.is_empty(), "refused without a word");
            return if plan.is_empty() { "refused".into() } else { "refused in a plan".into() };
        }
    };
    assert_eq!(edit::set(&after, path, value).as_ref(), Ok(&after), "not the same again");
    let library = LIBRARY.get_or_init(Library::shipped);
    let reads = |text: &str| Plan::read(Source::new("plan.toml", text), library);
    let is_field = station::fields::index_of(path).is_some();
    if is_field && reads(plan).is_ok() {
        let problems = reads(&after).err();
        assert!(problems.is_none(), "{path} = {value} spoils the plan: {}", problems.unwrap_or_default());
        return "made in a right plan".into();
    }
    if is_field { "made".into() } else { "made, no field".into() }
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
