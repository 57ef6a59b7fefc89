//! A sheet written from a reading says the same, by another reader of TOML.

use pintable::{Format, read, to_sheet};
use proptest::prelude::*;

use crate::formats::HEADER;

#[test]
fn sheet_of_the_header() {
    let sheet = to_sheet(&read(HEADER, Format::Auto), "gate", "gate_pins.h");
    let start = "kind = \"board\"\nname = \"gate\"\ntitle = \"gate\"\nsource = \"imported from gate_pins.h\"\nchip = \"\"            # name the chip sheet: doorwright sheets list\n\n[camera_bus]\nd0 = 4           # line 18: #define Y2_GPIO_NUM        4   /* D0 */\nd1 = 16 ";
    assert!(sheet.starts_with(start), "{sheet}");
    assert!(sheet.ends_with("# reset: not connected, line 7: #define RESET_GPIO_NUM    -1   // not connected\npower_down = 32  # line 6: #define PWDN_GPIO_NUM     32\n\n[wired]\nlamp = 33        # line 23: #define LED_GPIO_NUM      33\n"), "{sheet}");
}

proptest! {

    #[test]
    fn a_sheet_gives_back_the_pins(
        rows in prop::collection::vec((prop::sample::select(vec![
            "D0", "D7", "Y4", "VSYNC", "HREF", "RESET", "PWDN", "FLASH_LED", "SD_CMD", "sd cmd", "relay \"x\"", "PLATE_PIN", "XCLK",
        ]), prop::option::of(0u8..=127)), 0..16),
        name in any::<String>(),
    ) {
        let line = |(n, p): &(&str, Option<u8>)| format!("{n}\t{}\n", p.map_or("NC".into(), |p| p.to_string()));
        let text = rows.iter().map(line).collect::<Vec<_>>().concat();
        let reading = read(&text, Format::Tsv);
        let sheet: toml::Table = toml::from_str(&to_sheet(&reading, &name, &name)).unwrap();
        prop_assert_eq!(sheet["title"].as_str(), Some(name.as_str()));
        let mut written: Vec<i64> = ["camera_bus", "wired"].iter()
            .flat_map(|part| sheet[*part].as_table().unwrap().values().map(|v| v.as_integer().unwrap())).collect();
        let mut read: Vec<i64> = reading.entries.iter().filter_map(|e| e.pin).map(|p| p.get().into()).collect();
        written.sort_unstable();
        read.sort_unstable();
        prop_assert_eq!(written, read);
        for entry in reading.entries.iter().filter(|e| e.signal.is_bus()) {
            let there = sheet["camera_bus"].get(entry.signal.key()).and_then(toml::Value::as_integer);
            prop_assert_eq!(there, entry.pin.map(|p| i64::from(p.get())));
        }
    }
}
