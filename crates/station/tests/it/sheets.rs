//! The sheets that ship, and what is said of sheets that are wrong.

use models::pins::board::Taken;
use models::pins::{Outcome, assign};
use proptest::prelude::*;
use station::choices::Rest;
use station::parts::Structure;
use station::plan::Plan;
use station::sheets::{self, KINDS, Library, Sheet};
use station::text::Source;

fn shipped() -> Vec<Sheet> {
    let library = Library::shipped();
    library.list().iter().map(|listed| library.find(listed.kind, listed.name).expect("it reads")).collect()
}

#[test]
fn every_sheet_that_ships_reads_and_nothing_in_it_is_at_odds() {
    let library = Library::shipped();
    let mut wrong = Vec::new();
    for listed in library.list() {
        let source = library.source(listed.kind, listed.name).expect("listed");
        match sheets::check(&source, &library) {
            Ok(warnings) => wrong.extend(warnings.iter().map(ToString::to_string)),
            Err(problems) => wrong.push(problems.to_string()),
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn folder_and_file_are_kind_and_name() {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/../../sheets");
    let mut count = 0;
    for folder in std::fs::read_dir(root).expect("the sheets are beside the crates").flatten() {
        for file in std::fs::read_dir(folder.path()).expect("only folders here").flatten() {
            let text = std::fs::read_to_string(file.path()).expect("UTF-8");
            let path = file.path();
            let sheet = sheets::read(&Source::new(path.display().to_string(), text)).expect("it reads");
            assert_eq!(Some(sheet.kind.name), folder.file_name().to_str(), "{}", path.display());
            assert_eq!(Some(format!("{}.toml", sheet.name).as_str()), file.file_name().to_str());
            count += 1;
        }
    }
    assert_eq!(count, Library::shipped().list().len());
}

/// The numbers are those of the issue that asked for them.
#[test]
fn every_kind_has_what_a_first_plan_needs() {
    let least = [
        ("board", 5),
        ("chip", 2),
        ("sensor", 3),
        ("lens", 7),
        ("cell", 8),
        ("regulator", 4),
        ("conductor", 17),
        ("wall", 6),
        ("cover", 7),
        ("case", 6),
        ("demand", 10),
    ];
    assert_eq!(least.len(), KINDS.len());
    let library = Library::shipped();
    for (kind, least) in least {
        let count = library.names(kind).len();
        assert!(count >= least, "{kind}: {count}, wanted {least}");
    }
}

/// A source is one of: read somewhere (a standard, a mark), computed, from memory, invented.
#[test]
fn every_value_says_where_it_comes_from() {
    for sheet in shipped() {
        for value in &sheet.values {
            let source = &value.source;
            let known = ["typical, from memory", "invented for the demo"].contains(&source.as_str())
                || ["computed", "secondary source", "read in", "from memory", "mark a", "marks a"]
                    .iter()
                    .any(|word| source.contains(word));
            assert!(known, "{}/{}: {source:?}", sheet.kind.name, sheet.name);
        }
    }
}

#[test]
fn the_two_chip_classes_are_as_described() {
    let library = Library::shipped();
    let pins = |name| match library.find("chip", name).expect("ships").structure {
        Structure::Chip(chip) => chip,
        other => panic!("{other:?}"),
    };
    let old = pins("classic-520k");
    let count =
        |of: &dyn Fn(&models::pins::board::Pin) -> bool| old.pins.iter().filter(|pin| of(pin)).count();
    assert_eq!(count(&|pin| pin.touch.is_some()), 10);
    assert_eq!(count(&|pin| !pin.output), 6);
    assert_eq!(count(&|pin| pin.strap.is_some()), 5);
    assert_eq!(count(&|pin| pin.taken == Some(Taken::Flash)), 6);
    assert_eq!(old.radio_blocks, [2]);
    let new = pins("usb-512k");
    assert_eq!(new.pins.iter().filter(|pin| pin.touch.is_some()).count(), 14);
    assert!(new.pins.iter().all(|pin| pin.output));
    assert!(new.pins.iter().any(|pin| pin.taken == Some(Taken::Usb)));
    // A channel is one electrode: no two pins share one.
    for chip in [old, new] {
        let mut channels: Vec<_> = chip.pins.iter().filter_map(|pin| pin.touch).collect();
        channels.sort_unstable();
        assert!(channels.windows(2).all(|pair| pair[0] != pair[1]));
    }
}

#[test]
fn every_board_takes_a_plate_and_a_lamp() {
    let library = Library::shipped();
    for board in library.names("board") {
        let text = format!("[board]\nsheet = \"{board}\"\n[pins]\nplate = \"any\"\nstatus_lamp = \"any\"\n");
        let plan = Plan::read(Source::new("p.toml", text), &library).expect("it reads");
        let parts = plan.parts.board.as_ref().expect("a board");
        let outcome = assign(&parts.board, &plan.parts.wanted(Rest::Awake)).expect("a usable board");
        assert!(matches!(outcome, Outcome::Wired(_)), "{board}: {outcome:?}");
        assert_eq!(parts.wired_names.len(), parts.board.wired.len());
    }
}

#[test]
fn only_a_sleeping_station_asks_for_pins_that_wake() {
    let text = "[board]\nsheet = \"heron\"\n[pins]\nplate = 4\ngong = { is = \"sounder\" }\n";
    let plan = Plan::read(Source::new("p.toml", text), &Library::shipped()).expect("it reads");
    let needs = |rest| plan.parts.wanted(rest).into_iter().map(|demand| demand.needs).collect::<Vec<_>>();
    assert!(needs(Rest::Awake).iter().all(|needs| needs.wake.is_none() && needs.hold.is_none()));
    assert!(needs(Rest::Sleep)[0].wake.is_some() && needs(Rest::Sleep)[1].hold.is_some());
    assert_eq!(plan.parts.demands[1].name, "gong");
    assert_eq!(plan.parts.demands[0].demand.fixed, Some(4));
}

#[test]
fn what_is_shown_names_each_value_its_spread_and_its_source() {
    let library = Library::shipped();
    let rows = |kind, name| sheets::show(&library.find(kind, name).expect("ships"));
    let row = |rows: Vec<sheets::Shown>, key: &str| {
        rows.into_iter().find(|row| row.key == key).map(|row| (row.value, row.source)).expect("a row")
    };
    let (value, source) = row(rows("cell", "alkaline-aa"), "capacity");
    assert_eq!(value, "2.70 .. 2.90 Ah");
    assert!(source.starts_with("two makers' sheets"));
    assert_eq!(
        row(rows("chip", "classic-520k"), "pins.12").0,
        "touch 5, analogue 2.5, always on, pulled down at boot, strap, must be low at reset; \
         otherwise the flash is fed with 1.8 V and the board does not start"
    );
    assert_eq!(row(rows("board", "heron"), "camera_bus.power_down").0, "IO32, 10 kΩ up");
    assert_eq!(row(rows("board", "heron"), "chip").0, "classic-520k");
}

#[test]
fn a_plan_is_told_which_demand_or_pin_there_is_none_of() {
    let mut library = Library::shipped();
    let odd = Library::shipped().source("board", "wren").expect("ships").text;
    let odd = odd.replace("name = \"wren\"", "name = \"odd\"").replace("13]", "13, 20]");
    library.add(Source::new("odd.toml", odd)).expect("a sheet");
    let cases = [
        (
            "wren",
            "soundr = \"any\"",
            "p.toml:4:1 there is no demand sheet \"soundr\"; did you mean \"sounder\"? known: ",
        ),
        (
            "wren",
            "gong = { is = \"sonder\" }",
            "p.toml:4:15 there is no demand sheet \"sonder\"; did you mean \"sounder\"? ",
        ),
        (
            "wren",
            "button = 20",
            "p.toml:4:10 `pins.button` is fixed to IO20, which the chip does not have; it has IO0 .. IO19, IO21 .. \
             IO23, IO25 .. IO27, IO32 .. IO39",
        ),
        (
            "wren",
            "button = \"left\"",
            "p.toml:4:10 `pins.button` is no pin: \"left\"; write \"any\", 4 or \"IO4\"",
        ),
        ("odd", "button = 4", "odd.toml:46:39 IO20 is no pin of chip \"classic-520k\"; it has IO0 .. IO19, "),
    ];
    for (board, pins, expected) in cases {
        let text = format!("[board]\nsheet = \"{board}\"\n[pins]\n{pins}\n");
        let told = Plan::read(Source::new("p.toml", text), &library).expect_err(pins).to_string();
        assert!(told.starts_with(expected), "{told}");
    }
}

const BOARD: &str = "kind = \"board\"\nname = \"b\"\ntitle = \"t\"\nsource = \"s\"\n";
const CHIP: &str = "kind = \"chip\"\nname = \"c\"\ntitle = \"t\"\nsource = \"s\"\n";
const PERIPHERALS: &str = "[peripherals]\npwm_timers = 4\npwm_channels = 8\ncontrol_bus_ports = 1\nserial_ports = 1\ncamera_units = 1\n";

/// Line 5 is the first line after the head.
#[test]
fn mistakes_are_told_with_place_and_what_would_be_right() {
    let cases: &[(&str, &str, &str)] = &[
        (
            BOARD,
            "[camera_bus]\nd0 = 99",
            "s.toml:6:6 `camera_bus.d0` is no pin: 99; write a number from 0 to 63",
        ),
        (
            BOARD,
            "[camera_bus]\nd0 = \"four\"",
            "s.toml:6:6 `camera_bus.d0` is no pin: \"four\"; write a number from 0 to 63",
        ),
        (
            BOARD,
            "[camera_bus]\nvsnc = 4",
            "s.toml:6:1 unknown key `vsnc` in [camera_bus]; did you mean `vsync`?",
        ),
        (
            BOARD,
            "[camera_bus]\nd0 = { pin = 4, pull_up = \"10 V\" }",
            "s.toml:6:28 `10 V` is a voltage; a resistance is wanted, such as `10 ohm`",
        ),
        (
            BOARD,
            "[camera_bus]\nd0 = { pull_up = \"10 kohm\" }",
            "s.toml:6:6 `camera_bus.d0` says no pin; write { pin = 4, … }",
        ),
        (
            BOARD,
            "[wired]\nlamp = { pin = 4, shares = \"yes\" }",
            "s.toml:6:28 `wired.lamp.shares` must be true or false without quotes, found a text",
        ),
        (
            BOARD,
            "[wired]\nlamp = { pin = 4, part = \"lmap\" }",
            "s.toml:6:26 `wired.lamp.part` cannot be \"lmap\"; did you mean \"lamp\"? known: lamp, button, card, sensor, extra-memory, flash, usb, console",
        ),
        (
            BOARD,
            "[wired]\nlamp = { pin = 4, drive = { either = 5 } }",
            "s.toml:6:38 `wired.lamp.drive.either`: `5` has no unit; a resistance is wanted, such as `5 ohm`; write it in quotes, with its unit",
        ),
        (
            BOARD,
            "[connectors]\nleft = 4",
            "s.toml:6:8 `connectors.left` must be a list in [ ], found a whole number",
        ),
        (
            BOARD,
            "[connectors]\nleft = [\"GND\", 4.5]",
            "s.toml:6:16 `connectors.left` has a place that is no pin: 4.5; write a pin number, or what is printed there in quotes: \"GND\"",
        ),
        (BOARD, "pads = [5, 64]", "s.toml:5:12 `pads` is no pin: 64; write a number from 0 to 63"),
        (
            BOARD,
            "camera_clock = { timer = 16 }",
            "s.toml:5:26 `camera_clock.timer` must be a whole number from 0 to 15, found 16",
        ),
        (
            BOARD,
            "[control_bus]\npull_up = \"4.7 kohm\"",
            "s.toml:5:1 [control_bus] needs `pull_up` and `rail` together; the rail decides where it pulls to: pull_up = \"4.7 kohm\", rail = \"2.8 V\"",
        ),
        (
            BOARD,
            "[conectors]\nleft = [4]",
            "s.toml:5:2 unknown key `conectors` in a board sheet; did you mean `connectors`?",
        ),
        (
            BOARD,
            "[values]\nribon = \"4 cm\"",
            "s.toml:6:1 unknown key `ribon` in the values of a board sheet; did you mean `ribbon`?",
        ),
        (
            BOARD,
            "[values]\nribbon = \"4 A\"",
            "s.toml:6:11 `4 A` is a current; a length is wanted, such as `4 m`; usual here: 40 mm",
        ),
        (CHIP, "[pins]\n4 = {}\n4 = {}", "s.toml:7:1 duplicate key"),
        (
            CHIP,
            "[peripherals]\npwm_timers = 4\n[pins]\n4 = {}",
            "s.toml:5:1 [peripherals] has no `pwm_channels`; write pwm_channels = 1, or 0 where the chip has none\ns.toml:5:1 [peripherals] has no `control_bus_ports`; write control_bus_ports = 1, or 0 where the chip has none\ns.toml:5:1 [peripherals] has no `serial_ports`; write serial_ports = 1, or 0 where the chip has none\ns.toml:5:1 [peripherals] has no `camera_units`; write camera_units = 1, or 0 where the chip has none",
        ),
        (
            CHIP,
            "[pins]\nIO4 = {}",
            "s.toml:6:1 `IO4` is no pin number; each line of [pins] begins with a number from 0 to 63",
        ),
        (
            CHIP,
            "[pins]\n4 = { touch = -1 }",
            "s.toml:6:15 `pins.4.touch` must be a whole number from 0 to 64, found -1",
        ),
        (
            CHIP,
            "[pins]\n4 = { analogue = \"two\" }",
            "s.toml:6:18 `pins.4.analogue` is no analogue input: \"two\"; write the number of the converter, a point, its channel: \"2.1\"",
        ),
        (CHIP, "[pins]\n4 = { tuch = 1 }", "s.toml:6:7 unknown key `tuch` in pin 4; did you mean `touch`?"),
        (
            CHIP,
            "[pins]\n4 = { boot = \"pulled\" }",
            "s.toml:6:14 `pins.4.boot` cannot be \"pulled\"; known: floats, pulled-up, pulled-down, console-text",
        ),
        (
            CHIP,
            "[pins]\n4 = { strap = { needs = \"hi\" } }",
            "s.toml:6:15 `pins.4.strap` does not say what goes wrong otherwise; add otherwise = \"…\": what goes wrong at the other level\ns.toml:6:25 `pins.4.strap.needs` cannot be \"hi\"; known: low, high",
        ),
        (CHIP, "[pins]\n4 = 4", "s.toml:6:5 a table is wanted here, found a whole number"),
        (
            CHIP,
            "[wake]\nexcludes = [[\"touch\"]]\n[pins]\n4 = {}",
            "s.toml:6:13 `wake.excludes` holds pairs of two wake sources; for instance excludes = [[\"touch\", \"one-level\"]]",
        ),
    ];
    for (head, body, expected) in cases {
        let peripherals = if body.contains("peripherals") || *head == BOARD { "" } else { PERIPHERALS };
        let text = format!("{head}{body}\n{peripherals}");
        let told = sheets::read(&Source::new("s.toml", text)).expect_err(body).to_string();
        assert_eq!(told, *expected, "{body}");
    }
}

#[test]
fn warnings_are_told_with_place_and_what_would_be_right() {
    let bus = "[camera_bus]\nd0 = 36\nd1 = 39\nd2 = 34\nd3 = 35\nd4 = 18\nd5 = 19\nd6 = 21\nd7 = 23\nvsync = 25\nhref = 26\npclk = 22\nxclk = 27\nsccb_clock = 14\nsccb_data = 13\n";
    let board = format!("{BOARD}chip = \"classic-520k\"\n[values]\nsleep_extras = \"1 mA\"\n");
    let lens = "kind = \"lens\"\nname = \"l\"\ntitle = \"t\"\nsource = \"s\"\n";
    let cases: &[(String, &str)] = &[
        (format!("{board}{bus}"), ""),
        (format!("{board}{}", bus.replace("d7 = 23\n", "")), "s.toml:9:6 the camera bus has no D7; add it: without it there is no picture"),
        (format!("{board}{}", bus.replace("vsync = 25", "vsync = 23")), "s.toml:17:9 IO23 is given to D7 and VSYNC; a pin carries one line of the camera bus"),
        (format!("{board}{bus}d8 = 6\n"), "s.toml:23:6 9 numbers for eight data lines: D8 on IO6 is the likely stray one, because the program's flash uses that pin; take it out and count again, D0 first\ns.toml:23:6 D8 is on IO6, which the program's flash uses; compare with the board's drawing"),
        (format!("{board}{}", bus.replace("xclk = 27", "xclk = 39")), "s.toml:20:8 IO39 is given to D1 and XCLK; a pin carries one line of the camera bus\ns.toml:20:8 XCLK is on IO39, which can only be read; compare with the board's drawing"),
        (format!("{board}{bus}[wired]\nlamp = {{ pin = 12, pull_up = \"10 kohm\" }}\n"), "s.toml:24:8 strap IO12 must be low at reset, what the board hangs there brings it to 2.7 V: the flash is fed with 1.8 V and the board does not start; compare pulls and drivers with the board's drawing"),
        (format!("{board}{bus}[wired]\nlamp = 4\nbutton = 4\n"), "s.toml:25:10 IO4 is wired to `button` and to lamp; if both can hang there at once, write shares = true at each"),
        (format!("{board}{bus}[connectors]\nleft = [4, 50]\n"), "s.toml:24:12 IO50 is no pin of the board's chip; compare with the board's drawing"),
        (format!("{board}power_down = true\n{bus}"), "s.toml:8:14 `power_down` is true, but the camera bus has no such line; one of the two is wrong"),
        (format!("{}{bus}", board.replace("classic", "clasic")), "s.toml:5:8 there is no chip sheet \"clasic-520k\"; did you mean \"classic-520k\"? known: classic-520k, usb-512k"),
        (format!("{BOARD}{bus}"), "s.toml:1:1 the board names no chip; add chip = \"…\": without it nothing can be said of its pins\ns.toml:1:1 [values] does not say `sleep_extras`; without it the program's assumption stands"),
        (lens.to_string(), "s.toml:1:1 the lens says neither `view` nor `focal`; add view = \"66 deg\", or its focal length"),
        (format!("{lens}[values]\nview = \"185 deg\"\n"), "s.toml:6:8 `view` is 185°, but a lens of this law ends at 180°; one of the two is wrong"),
        (format!("{lens}[values]\nview = \"66 deg\"\nfocal = \"8 mm\"\n"), "s.toml:6:8 `view` and `focal` together ask for a sensor 10.4 mm wide; those at hand have 3.63 mm, 3.52 mm, 2.3 mm; the view is meant across the full width of the sensor, not its diagonal"),
        (format!("{lens}[values]\nview = \"66 deg\"\nfocal = \"2.71 mm\"\n"), ""),
        (format!("{lens}[values]\nview = {{ is = \"66 deg\", source = \" \" }}\n"), "s.toml:6:15 the value's source is empty; name it, or leave `source` out to use the sheet's"),
        (lens.replace("\"s\"", "\"\"") + "[values]\nview = \"66 deg\"\n", "s.toml:1:1 the sheet's source is empty; name the data sheet or page, or write \"typical, from memory\""),
        ("kind = \"cell\"\nname = \"l\"\ntitle = \"t\"\nsource = \"s\"\n[values]\nchemistry = \"nimh-aa\"\ncapacity = \"2 Ah\"\ncutoff = \"3.3 V\"\n".into(), "s.toml:8:10 `cutoff` is 3.3 V, but a cell of this chemistry rests between 1 V empty and 1.4 V full; give the voltage of one cell, not of the pack"),
        (format!("{CHIP}[values]\nmemory = \"512 KiB\"\njoined = \"500 mA\"\nburst = \"300 mA\"\n"), "s.toml:7:10 `joined` is 500 mA, more than `burst` with 300 mA; one of the two is wrong"),
    ];
    for (text, expected) in cases {
        let warnings =
            sheets::check(&Source::new("s.toml", text.clone()), &Library::shipped()).expect("it reads");
        let told: Vec<String> = warnings.iter().map(ToString::to_string).collect();
        assert_eq!(told.join("\n"), *expected, "{text}");
    }
}

proptest! {
    /// Shipped sheets with pieces cut out, doubled and replaced: whatever comes of it is read or refused.
    #[test]
    fn no_text_makes_the_reader_panic(
        sheet in 0usize..1000,
        cuts in prop::collection::vec((0.0..1.0f64, 0.0..1.0f64, 0usize..12), 0..6),
        noise in ".{0,40}",
    ) {
        const PIECES: [&str; 12] = [
            "", "=", "[", "]]", "{ is = ", "\"", "-1", "99999999999999999999", "nan", "[pins]\n", "0x7f", "\n[values]\n",
        ];
        let library = Library::shipped();
        let list = library.list();
        let listed = &list[sheet % list.len()];
        let mut text = library.source(listed.kind, listed.name).expect("listed").text;
        for (from, share, piece) in cuts {
            let mut start = (from * text.len() as f64) as usize;
            let mut end = start + (share * 30.0) as usize;
            while !text.is_char_boundary(start) { start -= 1; }
            end = end.min(text.len());
            while !text.is_char_boundary(end) { end += 1; }
            text.replace_range(start..end, PIECES[piece]);
        }
        for text in [text, noise] {
            let source = Source::new("any.toml", text);
            if let Ok(sheet) = sheets::read(&source) {
                sheets::show(&sheet);
            }
            if let Err(problems) = sheets::check(&source, &library) {
                prop_assert!(!problems.list.is_empty());
            }
        }
    }
}
