//! Hostile plans and sheets: whatever the text, a reading ends soon, with a value or with problems that have a place.
//!
//! Searches by change of bytes are in `fuzz/`; here are the cases that have a reason of their own, and those that were
//! found once.

use proptest::prelude::*;
use station::plan::Plan;
use station::sample;
use station::sheets::{self, Library};
use station::text::{MOST_PROBLEMS, Place, Problems, Source};
use station::tree::LONGEST_TEXT;
use std::sync::OnceLock;

const PLANS: [&str; 4] = [
    include_str!("../../../../plans/kiln-yard-gate.toml"),
    include_str!("../../../../plans/kiln-yard-glaze-store.toml"),
    include_str!("../../../../plans/bicycle-club-shed.toml"),
    include_str!("../../../../plans/impossible.toml"),
];

/// What people, editors and enemies put where a value should be; as TOML source.
const NASTY: [&str; 54] = [
    "nan",
    "+nan",
    "inf",
    "-inf",
    "1e999",
    "-1e999",
    "1e-999",
    "-0",
    "-0.0",
    "0x7fffffffffffffff",
    "0b1",
    "0o7",
    "9223372036854775807",
    "9223372036854775808",
    "-9223372036854775808",
    "99999999999999999999999999999999",
    "1_000",
    "01",
    "1979-05-27T07:32:00Z",
    "07:32:00",
    "true",
    "[]",
    "[[[[]]]]",
    "{}",
    "{ is = 1 }",
    "{ is = \"plate\", pin = 99 }",
    "\"\"",
    "\" \"",
    "\"nan V\"",
    "\"inf m\"",
    "\"1e999 V\"",
    "\"-1e999 A\"",
    "\"1 .. \"",
    "\"5 .. 1 m\"",
    "\"1 | 2 m\"",
    "\"3 | 2 | 1 m\"",
    "\"0 | 0 | 0 s\"",
    "\"1 ± \"",
    "\"1 ± -5 % m\"",
    "\"1 m ± 1e999 %\"",
    "\"1 m x/ 0\"",
    "\"typ 2 max 1 uA\"",
    "\"12 V ± 3 % ± 3 %\"",
    "\"٣ m\"",
    "\"１２ V\"",
    "\"1 µ\"",
    "\"\\u0000\"",
    "\"\\U0010FFFF\"",
    "\"\\ud800\"",
    "\"\u{202e}m 1\"",
    "\"e\u{301}e\u{301}e\u{301} m\"",
    "\"65536x1\"",
    "\"0x0\"",
    "'''\n\n'''",
];

fn library() -> &'static Library {
    static LIBRARY: OnceLock<Library> = OnceLock::new();
    LIBRARY.get_or_init(Library::shipped)
}

/// Reads the text as a plan; where it is refused, every problem must be of use.
fn read(text: &str) -> Result<Plan, Problems> {
    let read = Plan::read(Source::new("p.toml", text), library());
    if let Err(problems) = &read {
        of_use(problems);
    }
    read
}

/// There are problems, each with words and a place inside its text, in the order of the text.
#[track_caller]
fn of_use(problems: &Problems) {
    assert!(!problems.list.is_empty() && problems.list.len() <= MOST_PROBLEMS);
    assert!(problems.more == 0 || problems.list.len() == MOST_PROBLEMS);
    for problem in &problems.list {
        let source = problems.sources.iter().find(|source| source.name == problem.file).expect("its source");
        assert!(source.text.get(problem.span.clone()).is_some(), "{:?} in {:?}", problem.span, source.text);
        assert_eq!(problem.place, by_hand(&source.text, problem.span.start));
        assert!(problem.says.trim().chars().count() > 3 && problem.says.chars().count() <= 302, "{problem}");
        assert!(problem.hint.as_ref().is_none_or(|hint| !hint.trim().is_empty()), "{problem}");
    }
    for pair in problems.list.windows(2).filter(|pair| pair[0].file == pair[1].file) {
        assert!(pair[0].span.start <= pair[1].span.start, "{problems}");
        assert_ne!(pair[0], pair[1]);
    }
}

/// Line and column, counted character by character.
fn by_hand(text: &str, offset: usize) -> Place {
    let (mut line, mut column) = (1, 1);
    for (_, character) in text.char_indices().take_while(|(at, _)| *at < offset) {
        (line, column) = if character == '\n' { (line + 1, 1) } else { (line, column + 1) };
    }
    Place { line, column }
}

#[test]
fn a_plan_cut_off_anywhere_is_read_or_refused() {
    for text in PLANS {
        for end in (0..text.len()).filter(|end| text.is_char_boundary(*end)) {
            let _ = read(&text[..end]);
        }
    }
}

#[test]
fn a_sheet_cut_off_anywhere_is_read_or_refused() {
    for (kind, name) in
        [("board", "heron"), ("chip", "usb-512k"), ("demand", "sounder"), ("lens", "plain-66")]
    {
        let text = library().source(kind, name).expect("ships").text;
        for end in (0..text.len()).filter(|end| text.is_char_boundary(*end)) {
            if let Err(problems) = sheets::read(&Source::new("s.toml", &text[..end])) {
                of_use(&problems);
            }
        }
    }
}

#[test]
fn nonsense_in_place_of_any_value_is_refused_where_it_stands() {
    for text in PLANS {
        let lines: Vec<&str> = text.lines().collect();
        for (at, line) in lines.iter().enumerate() {
            let Some((key, _)) = line.split_once(" = ").filter(|(key, _)| !key.starts_with('#')) else {
                continue;
            };
            for nasty in NASTY {
                let mut changed: Vec<String> = lines.iter().map(|line| (*line).to_string()).collect();
                changed[at] = format!("{key} = {nasty}");
                // What is wrong with a sheet's name may show where something stands on the sheet: only values are placed.
                if let Err(problems) = read(&changed.join("\n"))
                    && !["sheet", "name", "revision"].contains(&key)
                {
                    let first = problems.list[0].place.line;
                    let lines = nasty.lines().count();
                    assert!((at + 1..=at + lines).contains(&first), "{key} = {nasty}: {problems}");
                }
            }
        }
    }
}

#[test]
fn no_number_that_is_none_gets_into_a_station() {
    for text in PLANS {
        for nasty in NASTY {
            for (at, line) in text.lines().enumerate().filter(|(_, line)| line.contains(" = ")) {
                let key = line.split(" = ").next().unwrap_or_default();
                let changed: Vec<String> = text
                    .lines()
                    .enumerate()
                    .map(|(n, line)| if n == at { format!("{key} = {nasty}") } else { line.to_string() })
                    .collect();
                let Ok(plan) = read(&changed.join("\n")) else { continue };
                for field in station::fields::FIELDS {
                    let number = (field.get)(&plan.station);
                    let (low, high) = field.range();
                    let known = !field.assumed.is_empty();
                    assert!(!known || (low..=high).contains(&number), "{}: {number}", field.path);
                }
            }
        }
    }
}

#[test]
fn floods_are_refused_with_a_bounded_number_of_problems() {
    let size = LONGEST_TEXT - 100;
    let flood = |line: &dyn Fn(usize) -> String| {
        let mut text = String::new();
        let mut at = 0;
        while text.len() < size {
            text.push_str(&line(at));
            at += 1;
        }
        text.truncate(size);
        text
    };
    let head = |first: &str, line: &str| format!("{first}{}", line.repeat(size / line.len()));
    // Each of these once took from half a minute to four minutes, for the place of a problem is a look through the text.
    let many = [
        flood(&|at| format!("key_{at} = 1\n")),
        flood(&|at| format!("[table_{at}]\n")),
        head("", "a = 1\n"),
        head("", "a =\n"),
        head("", "???\n"),
        head("[camera]\n", "[camera]\n"),
        head("", "\r"),
    ];
    for text in many {
        let problems = read(&text).expect_err("it is no plan");
        assert_eq!(problems.list.len(), MOST_PROBLEMS);
        assert!(problems.more > 1000 && problems.to_string().ends_with("more"), "{}", problems.more);
    }
    let few = [
        head("[camera]\nquality = ", "9"),
        head("[cable]\nrun = \"1", "9") + " m\"",
        head("[cable]\nrun = \"1 ", "m.") + "\"",
        head("[supply]\nkind = \"", "adapter") + "\"",
        head("[board]\nsheet = \"", "wren") + "\"",
        head("", "key") + " = 1",
        head("a = ", "["),
        head("a = ", "{a="),
        head("", "["),
        head("", "a."),
        head("", "\""),
        "\0".repeat(size),
    ];
    for text in few {
        let problems = read(&text).expect_err("it is no plan");
        assert!(problems.list.len() <= 4 && problems.to_string().len() < 3000, "{problems}");
    }
}

#[test]
fn more_demands_than_any_chip_has_pins_are_not_worked_through() {
    let demand = |at: usize| format!("lamp_{at} = {{ is = \"status-lamp\" }}\n");
    let plan = |count: usize| format!("[pins]\n{}", (0..count).map(demand).collect::<String>());
    assert_eq!(read(&plan(64)).expect("as many as pins").parts.demands.len(), 64);
    let told = read(&plan(20_000)).expect_err("too many").to_string();
    assert_eq!(
        told,
        "p.toml:66:1 [pins] names 20000 things that want a pin; no chip has that many pins; at most 64"
    );
}

#[test]
fn a_text_that_is_too_long_is_not_parsed() {
    let told =
        read(&format!("name = \"{}\"", "x".repeat(2 << 20))).expect_err("2 MiB in one line").to_string();
    assert_eq!(
        told,
        "p.toml:1:1 the file has 2097161 bytes, more than the 1048576 that a plan or sheet may have"
    );
}

#[test]
fn brackets_a_hundred_thousand_deep_are_refused_without_recursion() {
    for text in ["a = ".to_string() + &"[".repeat(100_000), "a = ".to_string() + &"{a = ".repeat(100_000)] {
        read(&text).expect_err("too deep");
        station::edit::set(&text, "camera.size", "800x600").expect_err("too deep");
    }
    let closed = format!("[pins]\nplate = {}{}", "[".repeat(100_000), "]".repeat(100_000));
    read(&closed).expect_err("too deep");
}

#[test]
fn columns_count_characters_and_not_bytes() {
    for (text, place) in [
        ("[camera]\nheight = \"1 mµ\"", (2, 13)),
        ("[cable]\nrun = \"900 m\" # ± é 東", (2, 7)),
        ("name = \"Tür 東\"\n\"東\" = 1", (2, 1)),
        ("[camera]\r\nhight = \"1 m\"\r\n", (2, 1)),
        ("[supply]\nvolt = \"12 V ± x %\"", (2, 16)),
        ("[\"é\".\"é\"]\n[\"é\".b]\nc = 1\n[d]", (1, 2)),
    ] {
        let problems = read(text).expect_err(text);
        let at = problems.list[0].place;
        assert_eq!((at.line, at.column), place, "{text}: {problems}");
    }
}

#[test]
fn line_ends_and_byte_order_marks_of_other_systems_change_nothing() {
    for text in PLANS {
        let plain = read(text).expect("it ships");
        let crlf = read(&text.replace('\n', "\r\n")).expect("line ends of another system");
        assert_eq!(plain.station, crlf.station);
        let marked = read(&format!("\u{feff}{text}")).expect("a mark at the start");
        assert_eq!(plain.station, marked.station);
    }
}

#[test]
fn what_is_said_twice_is_refused_at_the_second_place() {
    for (text, line) in [
        ("name = \"a\"\nname = \"b\"", 2),
        ("[cable]\nrun = \"1 m\"\n[cable]\nsection = \"1 mm2\"", 3),
        ("[cable]\nrun = \"1 m\"\nrun = \"2 m\"", 3),
        ("cable.run = \"1 m\"\n[cable]\nrun = \"2 m\"", 2),
        ("cable = { run = \"1 m\", run = \"2 m\" }", 1),
        ("[pins]\nplate = 4\nplate = 5", 3),
        ("[[camera]]\n[[camera]]", 1),
    ] {
        let problems = read(text).expect_err(text);
        assert_eq!(problems.list[0].place.line, line, "{text}: {problems}");
    }
    let dotted = read("cable.run = \"2 m\"\ncamera.\"size\" = '640x480'").expect("keys with points are TOML");
    assert_eq!(dotted.station.cable.run_m, 2.0);
    assert_eq!(dotted.station.camera.size.width_px, 640);
}

#[test]
fn every_problem_of_a_file_is_told_at_once() {
    let lines: String = (0..12).map(|at| format!("wrong_{at} = \"1 m\"\n")).collect();
    let parts: String =
        ["camera", "cable", "supply", "want"].map(|part| format!("[{part}]\n{lines}")).concat();
    let values = [
        "[net]\ngoodput = \"9 V\"\n",
        "round_trip = 5\n",
        "[rest]\nmode = \"asleep\"\n",
        "call_rate = true\n",
    ];
    let (text, count) = (parts + &values.concat(), 4 * 12 + values.len());
    assert_eq!(read(&text).expect_err("all wrong").list.len(), count);
}

proptest! {
    /// Plans that ship and invented ones, with lines cut, doubled, swapped and given nonsense.
    #[test]
    fn plans_in_pieces_are_read_or_refused(
        seed in 0_u64..1000,
        changes in prop::collection::vec((0.0..1.0_f64, 0.0..1.0_f64, 0_usize..7, 0..NASTY.len()), 1..8),
    ) {
        let text = PLANS.get(seed as usize % 8).map_or_else(|| sample::plan(seed), |text| (*text).to_string());
        let mut lines: Vec<String> = text.lines().map(str::to_string).collect();
        for (at, other, what, nasty) in changes {
            let at = (at * lines.len() as f64) as usize;
            let other = (other * lines.len() as f64) as usize;
            let key = lines[at].split(" = ").next().unwrap_or_default().to_string();
            match what {
                0 => lines[at].clear(),
                1 => lines.swap(at, other),
                2 => lines.insert(at, lines[other].clone()),
                3 => lines[at] = format!("{key} = {}", NASTY[nasty]),
                4 => lines[at] = format!("{key}.x = {}", NASTY[nasty]),
                5 => lines[at] = lines[at].chars().rev().collect(),
                _ => lines[at].push_str(NASTY[nasty]),
            }
        }
        let _ = read(&lines.join("\n"));
    }

    #[test]
    fn any_text_is_read_or_refused(text in "(?s).{0,200}") {
        let _ = read(&text);
        let _ = station::edit::set(&text, "camera.size", "800x600");
    }
}
