//! Marked lines of anybody's file: only numbers change, and a second run finds nothing to do. Names for the header too.

use crate::Outcome;
use export::handover::Handover;
use export::marked::fill;
use export::names::Names;
use station::plan::Plan;
use station::sheets::Library;
use station::text::Source;
use std::sync::LazyLock;

/// A plan that ships; what is tried is the file, not the plan.
static GATE: LazyLock<(Plan, Handover)> = LazyLock::new(|| {
    let source = Source::new("gate.toml", include_str!("../../plans/kiln-yard-gate.toml"));
    let plan = Plan::read(source, &Library::shipped()).expect("it ships");
    let handover = Handover::of(&plan);
    (plan, handover)
});

/// Any text as a file with marked lines, and as a file of names.
pub fn marked(bytes: &[u8]) -> Outcome {
    let Ok(text) = std::str::from_utf8(bytes) else { return "not UTF-8".into() };
    let (plan, handover) = &*GATE;
    let named = Names::read(&Source::new("names", text), handover).is_ok();
    let first = match fill(plan, handover, &Source::new("file", text)) {
        Ok(filled) => filled,
        Err(problems) => {
            for problem in &problems.list {
                assert!(text.get(problem.span.clone()).is_some(), "a place outside the text: {problem}");
            }
            let says = problems.list.first().map_or("", |problem| &problem.says);
            // Without what is quoted, so that two of a kind count as one.
            let kind: String = says.split('`').step_by(2).collect();
            return format!("{named} {}", kind.replace(|c: char| c.is_ascii_digit(), ""));
        }
    };
    let mut rest = (text, first.text.as_str());
    let mut done = 0;
    for change in &first.changes {
        let kept = change.span.start - done;
        assert_eq!(rest.0[..kept], rest.1[..kept], "something else than a number changed");
        assert_eq!(rest.0[kept..kept + change.was.len()], change.was);
        assert_eq!(rest.1[kept..kept + change.now.len()], change.now);
        rest = (&rest.0[kept + change.was.len()..], &rest.1[kept + change.now.len()..]);
        done = change.span.end;
    }
    assert_eq!(rest.0, rest.1);
    let again =
        fill(plan, handover, &Source::new("file", first.text.clone())).expect("what was written is read");
    assert!(again.changes.is_empty(), "a second run changes {:?}", again.changes);
    format!("{named} {} changed", first.changes.len().min(3))
}
