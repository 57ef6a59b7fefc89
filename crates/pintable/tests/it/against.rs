//! A plan's pins against the maker's own text.

use pintable::{Comparison, Format, compare};

fn shown(c: &Comparison) -> Vec<String> {
    let differ = c.differ.iter().map(|d| {
        format!("{}: here {:?}, there {:?}, line {}: {}", d.signal, d.here, d.there, d.line, d.line_text)
    });
    let missing = c.missing.iter().map(|m| format!("{m} missing"));
    let extra = c.extra.iter().map(|e| format!("{} extra", e.name_as_written));
    let refused = c.refused.iter().map(|r| format!("{} refused, line {}", r.signal, r.line));
    differ.chain(missing).chain(extra).chain(refused).collect()
}

const WANTED: [(&str, Option<u8>); 6] = [
    ("D0", Some(4)),
    ("VSYNC", Some(25)),
    ("SCCB clock", Some(27)),
    ("RESET", None),
    ("plate", Some(27)),
    ("status lamp", Some(13)),
];

#[test]
fn any_text_is_compared() {
    for (text, format, says) in [
        (
            "#define CAM_D0 4\n#define CAM_VSYNC 23\n#define SIOC_PIN 27\n#define PLATE_PIN 27 // bolt\n#define STATUS_LAMP_PIN 13\n",
            Format::CHeader,
            vec!["VSYNC: here Some(25), there Some(23), line 2: #define CAM_VSYNC 23"],
        ),
        (
            "bus:\n  d0: GPIO4\n  vsync: GPIO25\n  scl: 27\n  reset: 15\nplate:\n  pin: GPIO26\n",
            Format::Loose,
            vec![
                "RESET: here None, there Some(15), line 5: reset: 15",
                "plate: here Some(27), there Some(26), line 7: pin: GPIO26",
                "status lamp missing",
            ],
        ),
        (
            "my notes: D0 on 4 and VSYNC on 25, sioc 27.\nThe plate goes to 27, status lamp 13, D1 to 16.",
            Format::Loose,
            vec!["D1 extra"],
        ),
        (
            "",
            Format::Loose,
            vec!["D0 missing", "VSYNC missing", "SCCB clock missing", "plate missing", "status lamp missing"],
        ),
    ] {
        let result = compare(text, &WANTED);
        assert_eq!(result.format, format, "{text}");
        assert_eq!(shown(&result), says, "{text}");
    }
}

/// "vs" reads as VSYNC, but the mark says whose number it is.
#[test]
fn the_number_of_a_marked_line_is_nobody_elses() {
    let found = compare("vs 13 // dw: plate.pin", &[("VSYNC", Some(22)), ("plate", Some(13))]);
    assert_eq!((found.agree.len(), found.differ.len(), found.missing.len()), (1, 0, 1));
}

#[test]
fn marked_lines_win() {
    let text = "#define PLATE_PIN 99\n#define TOUCH_A   27   // dw: plate.pin\n#define X 25 // dw: camera_bus.vsync\n#define VSYNC 3\nidle_ms = 10000 ; dw: idle.every in ms\nrun(4, 5); // dw: camera_bus.d0\nlamp(1, 13) // dw: status_lamp.pin #2\n";
    let result = compare(text, &WANTED);
    let agreed: Vec<_> = result.agree.iter().map(|a| (a.signal.as_str(), a.pin, a.line)).collect();
    assert_eq!(agreed, [("VSYNC", Some(25), 3), ("plate", Some(27), 2), ("status lamp", Some(13), 7)]);
    assert_eq!(shown(&result), ["SCCB clock missing", "D0 refused, line 6"]);
}

#[test]
fn of_several_boards_the_one_that_agrees_is_meant() {
    let text = "#ifdef SHED\n#define D0 5\n#define VSYNC 6\n#else\n#define D0 4\n#define VSYNC 24\n#endif\n";
    let result = compare(text, &WANTED[..2]);
    assert_eq!(result.group.as_deref(), Some("not SHED"));
    assert_eq!(shown(&result), ["VSYNC: here Some(25), there Some(24), line 6: #define VSYNC 24"]);
}

#[test]
fn a_double_in_the_text_stays_visible() {
    let result = compare("D0 4\nD0 5\n", &WANTED[..1]);
    assert_eq!(result.agree.len(), 1);
    assert_eq!(shown(&result), ["D0: here Some(4), there Some(5), line 2: D0 5"]);
}
