//! How a plan is read, as `docs/plan.md` tells its users; the page's table is that of the field table.

use quantity::{Quantity, Spread};
use station::fields::{FIELDS, Field, Kind, Nature, PARTS, index_of};
use station::plan::{Origin, Plan};
use station::sheets::{KINDS, Library};
use station::text::Source;
use station::values::limits;
use std::fmt::Write as _;

const PAGE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/plan.md");
const BEGIN: &str =
    "<!-- fields: begin (written by: UPDATE_DOCS=1 cargo test -p station --test it plan) -->\n";
const END: &str = "<!-- fields: end -->";

fn read(text: &str) -> Plan {
    Plan::read(Source::new("p.toml", text), &Library::shipped())
        .unwrap_or_else(|problems| panic!("{problems}\n{text}"))
}

fn page() -> String {
    std::fs::read_to_string(PAGE).expect("the page is there")
}

/// A cell of a table: `|` divides cells.
fn cell(text: &str) -> String {
    text.replace('|', "\\|")
}

fn form(field: &Field) -> String {
    match field.kind {
        Kind::Number { unit: "1", low, high } => {
            format!("number, {}", limits(low, high, "1"))
        }
        Kind::Number { unit, low, high } => limits(low, high, unit),
        Kind::Count { low, high } => format!("count, {low} .. {high}"),
        Kind::YesNo => "truth".into(),
        Kind::Choice { names } => names.join(", "),
        Kind::Size => "picture size".into(),
    }
}

fn table() -> String {
    let mut out = String::new();
    for &(part, help) in PARTS {
        let _ = write!(out, "\n### `[{part}]`\n\n{}", help.trim());
        if let Some(kind) = KINDS.iter().find(|kind| kind.part == part) {
            let _ = write!(out, " `sheet` names a sheet of kind *{}*.", kind.name);
        }
        out.push_str("\n\n| key | meaning | form | assumed | whose |\n|---|---|---|---|---|\n");
        for field in FIELDS.iter().filter(|field| field.part() == part) {
            let assumed = match field.assumed {
                "" => "nothing".to_string(),
                assumed => format!("{} ({})", cell(assumed), field.source),
            };
            let whose = match field.nature {
                Nature::Choice => "choice",
                Nature::Fact => "fact",
                Nature::Site => "site",
                Nature::Wish => "wish",
            };
            let (key, help, form) = (field.key(), cell(field.help), cell(&form(field)));
            let _ = writeln!(out, "| `{key}` | {help} | {form} | {assumed} | {whose} |");
        }
    }
    out.push('\n');
    out
}

#[test]
fn the_page_lists_every_field_as_the_field_table_has_it() {
    let page = page();
    let (before, rest) = page.split_once(BEGIN).expect("the page has the mark where the table begins");
    let (written, after) = rest.split_once(END).expect("the page has the mark where the table ends");
    let table = table();
    if std::env::var_os("UPDATE_DOCS").is_some() {
        std::fs::write(PAGE, format!("{before}{BEGIN}{table}{END}{after}")).expect("the page can be written");
        return;
    }
    let differs = table.lines().zip(written.lines()).find(|(is, was)| is != was);
    assert!(
        table == written,
        "docs/plan.md is behind the field table; run UPDATE_DOCS=1 cargo test -p station --test it plan\n{differs:#?}"
    );
}

#[test]
fn every_example_of_the_page_reads() {
    let page = page();
    let examples: Vec<&str> =
        page.split("```toml\n").skip(1).filter_map(|rest| rest.split("```").next()).collect();
    assert!(examples.len() >= 3);
    for example in examples {
        read(example);
    }
}

#[test]
fn every_value_that_the_page_shows_is_one() {
    let page = page();
    let spreads =
        page.split("## Spreads").nth(1).and_then(|rest| rest.split("```").next()).expect("the section");
    let rows = spreads.lines().filter(|line| line.starts_with("| `"));
    let mut read = 0;
    for row in rows {
        let first = row.replace("\\|", "¦");
        let written = first.split('|').nth(1).expect("a first cell").replace('¦', "|");
        for value in written.split('"').skip(1).step_by(2) {
            let unit =
                ["m", "V", "K/W", "A", "s"].into_iter().find(|unit| quantity::parse(value, unit).is_ok());
            assert!(unit.is_some(), "{value}");
            read += 1;
        }
    }
    assert_eq!(read, 7);
}

#[test]
fn the_plan_wins_over_its_sheet_and_the_sheet_over_the_assumption() {
    let capacity = index_of("cell.capacity").expect("a field");
    let value = |text: &str| {
        let plan = read(text);
        (plan.station.cell.capacity_c, plan.origins[capacity].clone())
    };
    let (assumed, origin) = value("");
    assert_eq!(origin, Origin::Assumed);
    let (sheet, origin) = value("[cell]\nsheet = \"nimh-aa\"");
    assert!(matches!(origin, Origin::Sheet { .. }) && sheet != assumed);
    let (given, origin) = value("[cell]\nsheet = \"nimh-aa\"\ncapacity = \"1 Ah\"");
    assert!(matches!(origin, Origin::Given { .. }));
    assert_eq!(given, 3600.0);
}

/// What is computed once for all draws can have no spread: the plan says where, why, and what to write instead.
#[test]
fn a_spread_on_what_takes_one_number_is_refused_where_it_stands_and_mended() {
    let exact: Vec<&Field> = FIELDS.iter().filter(|field| !field.exact.is_empty()).collect();
    assert!(exact.len() >= 8);
    for field in exact {
        let Kind::Number { unit, low, high } = field.kind else { panic!("{} is no number", field.path) };
        let value = low + 0.61 * (high - low);
        let width = 0.03 * value;
        for spread in [
            Spread::Normal { sigma: width },
            Spread::Uniform { low: value - width, high: value + width },
            Spread::LogNormal { factor95: 1.03 },
            Spread::TwoPiece { p5: value - width, p95: value + width },
            Spread::TypMax { max: value + width },
        ] {
            let text = quantity::write(&Quantity { value, spread }, unit);
            let key = field.key();
            let plan = format!("# a gate\n[{}]\n{key}  = \"{text}\"   # measured\n", field.part());
            let read = |plan: String| Plan::read(Source::new("gate.toml", plan), &Library::shipped());
            let problems = read(plan.clone()).expect_err(&plan);
            let [problem] = &problems.list[..] else { panic!("{problems}") };
            let refused = format!(
                "gate.toml:3:{} `{}` takes one number without a spread: {}; write ",
                key.len() + 5,
                field.path,
                field.exact
            );
            let shown = problem.to_string();
            let mend = shown.strip_prefix(&refused).and_then(|rest| rest.strip_suffix(" alone"));
            let mend = mend.unwrap_or_else(|| panic!("{shown}\nis not\n{refused}"));
            let mended = read(plan.replace(&text, mend)).unwrap_or_else(|problems| panic!("{problems}"));
            let kept = (field.get)(&mended.station);
            assert!((kept / value - 1.0).abs() < 1e-12, "{shown}: {kept}, not {value}");
        }
    }
}

#[test]
fn a_board_brings_its_parts_and_the_plan_may_name_others() {
    let plan = read("[board]\nsheet = \"wren\"");
    assert!(["chip", "sensor"].iter().all(|kind| plan.sheet(kind).is_some()));
    let plan = read("[board]\nsheet = \"wren\"\n[lens]\nsheet = \"narrow-40\"");
    assert_eq!(plan.sheet("lens").map(|sheet| sheet.name.as_str()), Some("narrow-40"));
    assert_eq!(plan.sheets.iter().filter(|sheet| sheet.kind.name == "lens").count(), 1);
}

#[test]
fn a_sheet_of_the_user_goes_before_one_that_ships() {
    let mut library = Library::shipped();
    let text = library.source("lens", "narrow-40").expect("ships").text;
    let mine = Source::new("mine.toml", text.replace("title = \"", "title = \"mine: "));
    library.add(mine).expect("a sheet");
    let plan =
        Plan::read(Source::new("p.toml", "[lens]\nsheet = \"narrow-40\""), &library).expect("it reads");
    assert!(plan.sheet("lens").is_some_and(|sheet| sheet.title.starts_with("mine: ")));
}
