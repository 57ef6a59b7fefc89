//! `[ground] boundary` as people write it, rightly and wrongly.

use proptest::prelude::*;
use station::plan::Plan;
use station::sheets::Library;
use station::text::{Problems, Source};

fn read(boundary: &str) -> Result<Plan, Problems> {
    Plan::read(Source::new("plan.toml", format!("[ground]\nboundary = {boundary}\n")), &Library::shipped())
}

#[test]
fn one_polygon_and_several_are_told_apart() {
    let one = read("[[-1, 0], [1, 0.0], [1, 2.5]]").unwrap().parts.boundary;
    assert_eq!(one, [vec![[-1.0, 0.0], [1.0, 0.0], [1.0, 2.5]]]);
    let two = read("[[[0, 0], [1, 0], [1, 1]], [[3, 0], [4, 0], [4, 1], [3, 1]]]").unwrap().parts.boundary;
    assert_eq!(two.iter().map(Vec::len).collect::<Vec<_>>(), [3, 4]);
    assert!(Plan::read(Source::new("plan.toml", ""), &Library::shipped()).unwrap().parts.boundary.is_empty());
}

#[test]
fn what_is_wrong_is_said_with_its_place_and_what_would_be_right() {
    for (boundary, column, says) in [
        ("\"4 m\"", 12, "a list of corners"),
        ("[]", 12, "3 to 100 corners, found 0"),
        ("[[0, 0], [1, 0]]", 12, "found 2"),
        ("[[0, 0], [1, 0], [1, \"1 m\"]]", 29, "two numbers without a unit"),
        ("[[0, 0], [1, 0], [1, 1, 1]]", 29, "two numbers"),
        ("[[0, 0], [1, 0], [1, 2000]]", 29, "within 1000 m"),
        ("[[0, 0], [1, 0], [1, nan]]", 29, "two numbers"),
        ("[[0, 0], [1, 1], [1, 0], [0, 1]]", 12, "cross"),
        ("[[[0, 0], [1, 0], [1, 1]], 4]", 39, "list of corners"),
    ] {
        let problems = read(boundary).expect_err(boundary);
        let problem = problems.list.first().unwrap();
        assert!(problem.says.contains(says), "{boundary}: {}", problem.says);
        assert_eq!((problem.place.line, problem.place.column), (2, column), "{boundary}");
        assert!(problem.hint.is_some(), "{boundary}");
    }
    let wrong = read("[[0, 0], [1, 0], [1, 1]]\nboundry = 1").unwrap_err();
    assert!(wrong.list[0].hint.as_deref().is_some_and(|hint| hint.contains("boundary")), "{wrong}");
}

proptest! {
    #[test]
    fn anything_is_read_or_refused_without_a_panic(text in "[\\[\\], .0-9e-]{0,80}") {
        let _ = read(&text);
    }
}
