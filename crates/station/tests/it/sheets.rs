//! The sheets that ship, and what is said of sheets that are wrong.

use station::sheets::{self, Library};

#[test]
fn every_sheet_that_ships_reads() {
    let library = Library::shipped();
    let mut wrong = Vec::new();
    for listed in library.list() {
        let source = library.source(listed.kind, listed.name).expect("listed");
        match sheets::read(&source) {
            Ok(sheet) => assert_eq!((sheet.kind.name, sheet.name.as_str()), (listed.kind, listed.name)),
            Err(problems) => wrong.push(problems.to_string()),
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
