//! Any text at all: an answer, never a panic, in bounded time and memory.

use pintable::{Format, Problem, TEXT_BYTES_MAX, compare, decode, marks, read, to_sheet};
use proptest::prelude::*;

use crate::formats::{HEADER, JSON, MARKDOWN};

const FORMATS: [Format; 8] = [
    Format::Auto,
    Format::CHeader,
    Format::Csv,
    Format::Tsv,
    Format::Markdown,
    Format::Json,
    Format::Html,
    Format::Loose,
];

fn swallow(text: &str, formats: &[Format]) {
    for &format in formats {
        let reading = read(text, format);
        for entry in reading
            .entries
            .iter()
            .chain(&reading.set_aside)
            .chain(reading.groups.iter().flat_map(|g| &g.reading.entries))
        {
            assert!(text.get(entry.span.clone()).is_some(), "{format:?} {text:?} {entry:?}");
        }
        assert!(toml::from_str::<toml::Table>(&to_sheet(&reading, "x", "y")).is_ok());
    }
    compare(text, &[("D0", Some(4)), ("plate", Some(27))]);
    marks(text);
}

#[test]
fn truncation_at_every_byte_is_survived() {
    let html = "<table><tr><td>D0</td><td>GPIO&nbsp;4</td></tr><tr><td>VSYNC<td>25</table>";
    let hand = "data: [4, 16, 17, 18, 19, 21, 22, 5]\nD1 → 16, \"Größe\" 5; SDA/SCL: 26/27 lamp(1, 4) // dw: lamp.pin #2";
    let csv = "\u{feff}Signal;GPIO\r\n\"D0\";\"4\"\r\nVSYNC;NC\r\n";
    let texts = [
        (HEADER, Format::CHeader),
        (JSON, Format::Json),
        (MARKDOWN, Format::Markdown),
        (html, Format::Html),
        (hand, Format::Loose),
        (csv, Format::Csv),
    ];
    for (text, format) in texts {
        for end in (0..=text.len()).filter(|i| text.is_char_boundary(*i)) {
            swallow(&text[..end], &[Format::Auto, format]);
        }
    }
}

#[test]
fn deep_nesting_is_refused() {
    for text in
        ["[".repeat(100_000) + &"]".repeat(100_000), "{\"a\":".repeat(50_000) + "1" + &"}".repeat(50_000)]
    {
        let reading = read(&text, Format::Json);
        assert_eq!(reading.problems[0], Problem::TooDeep { line: 1 });
    }
    let text = "#if A\n".repeat(100_000);
    assert!(read(&text, Format::Auto).problems.contains(&Problem::TooDeep { line: 65 }));
}

#[test]
fn large_texts_are_bounded() {
    // A quarter of the limit: enough for anything quadratic to be felt, short enough for every test run.
    let fill = |unit: &str| unit.repeat(TEXT_BYTES_MAX / 4 / unit.len());
    for unit in [
        "<",
        "/*",
        "\"",
        "|",
        "D0",
        "D0 4,",
        "D0,4\n",
        "|-|\n",
        "[",
        "\n",
        "a\n",
        "<td>",
        "#define A B\n",
        "#define D0 D1\n",
        "[],",
        "; dw: a 1 2",
        "&",
        "é",
        "\0",
        "-",
        "D0/",
    ] {
        let text = fill(unit);
        let reading = read(&text, Format::Auto);
        assert!(reading.entries.len() + reading.set_aside.len() <= 2_000, "{unit}");
        assert!(reading.not_understood.len() <= 1_000, "{unit}");
        compare(&text, &[("D0", Some(4))]);
    }
    let too_large = "x".repeat(TEXT_BYTES_MAX + 1);
    assert_eq!(read(&too_large, Format::Auto).problems[0], Problem::TooLarge { bytes: TEXT_BYTES_MAX + 1 });
}

#[test]
fn bytes_become_text_or_an_error_with_its_place() {
    assert_eq!(decode(b"\xEF\xBB\xBFD0 4\r\nD1 5\rD2 6").unwrap(), "D0 4\nD1 5\nD2 6");
    assert_eq!(
        decode(b"ok\nD0 \xC3(").unwrap_err().to_string(),
        "not UTF-8 at byte 6 (line 2); save the file as UTF-8 text"
    );
    assert!(decode(&vec![b'x'; TEXT_BYTES_MAX]).is_ok());
    assert!(decode(&vec![b'x'; TEXT_BYTES_MAX + 1]).is_err());
}

proptest! {

    #[test]
    fn arbitrary_text_never_panics(text in any::<String>()) {
        swallow(&text, &FORMATS);
    }

    #[test]
    fn text_of_the_trades_own_pieces_never_panics(pieces in prop::collection::vec(prop::sample::select(vec![
        "D0", "Y2", "data", "VSYNC", " ", "\n", ",", ";", "=", ":", "[", "]", "{", "}", "(", ")", "\"", "|", "-", "4", "16", "-1", "0x",
        "99999999999999999999", "GPIO", "IO5", "#define ", "#if ", "#else\n", "#endif\n", "//", "/*", "*/", "<td>", "<tr>", "&", "\t", "é",
        "dw: plate.pin", "#2", "/", "and", "not", "connected", "\\", "\r\n", "\u{feff}", "−1", "lcd", "plate", "..", "n", "c",
    ]), 0..60)) {
        swallow(&pieces.concat(), &FORMATS);
    }
}
