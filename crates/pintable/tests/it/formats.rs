//! One realistic, invented example and its variants a format.

use pintable::{Format, Signal, read};

use crate::{GATE, check, pin, pins, problems};

pub(crate) const HEADER: &str = "\
#ifndef GATE_PINS_H
#define GATE_PINS_H
/* the gate board,
   second revision: D0 was 2 */
#define BUS_CLK       26
#define PWDN_GPIO_NUM     32
#define RESET_GPIO_NUM    -1   // not connected
#define XCLK_GPIO_NUM      0
#define SIOD_GPIO_NUM     GPIO_NUM_14
#define SIOC_GPIO_NUM     ((gpio_num_t)27)
#define Y9_GPIO_NUM        0x05
#define Y8_GPIO_NUM       22
#define Y7_GPIO_NUM       21
#define Y6_GPIO_NUM       19
#define Y5_GPIO_NUM       18
#define Y4_GPIO_NUM       (17)
#define Y3_GPIO_NUM       16u
#define Y2_GPIO_NUM        4   /* D0 */
// #define VSYNC_GPIO_NUM 33
#define VSYNC_GPIO_NUM    25
#define HREF_GPIO_NUM     23
#define PCLK_GPIO_NUM     BUS_CLK
#define LED_GPIO_NUM      33
#define XCLK_FREQ   20000000
#endif
";

#[test]
fn header_of_defines() {
    let reading = check(HEADER, Format::CHeader, &format!("{GATE} reset=nc power_down=32 lamp=33"));
    let skipped: Vec<_> =
        reading.not_understood.iter().map(|s| (s.line, s.text.as_str(), s.why.to_string())).collect();
    assert_eq!(
        skipped,
        [(24, "#define XCLK_FREQ   20000000", "no signal goes by the name 'XCLK_FREQ'".to_string())]
    );
    let d0 = reading.entries.iter().find(|e| e.signal == Signal::Data(0)).unwrap();
    assert_eq!((d0.line, d0.column, d0.name_as_written.as_str()), (18, 28, "Y2_GPIO_NUM"));
}

#[test]
fn header_with_an_initialiser() {
    let text = "#include \"camera.h\"\nstatic camera_t gate = {\n  .pin_d0 = 4, .pin_d1 = 16,\n  .pin_d2 = 17, .pin_d3 = 18, .pin_d4 = 19,\n  .pin_d5 = 21,\n  .pin_d6 = 22,\n  .pin_d7 = 5,\n  .pin_vsync = 25, .pin_href = 23, .pin_pclk = 26, .pin_xclk = 0,\n  .pin_sccb_scl = 27, .pin_sccb_sda = 14,\n  .xclk_freq_hz = 20000000,\n};\n";
    check(text, Format::CHeader, GATE);
}

#[test]
fn header_with_several_boards() {
    let text = "\
#define LED_PIN 33
#if defined(BOARD_GATE)
#define CAM_PIN_D0 4
#define CAM_PIN_VSYNC 25
#elif defined(BOARD_SHED)
#define CAM_PIN_D0 5
#define CAM_PIN_VSYNC 6
#if REVISION == 2
#define CAM_PIN_HREF 7
#else
#define CAM_PIN_HREF 8
#endif
#elif 0
#define CAM_PIN_D0 99
#else
#define CAM_PIN_D0 1
#error \"which board?\"
#endif
";
    let reading = read(text, Format::Auto);
    assert!(reading.entries.is_empty());
    assert_eq!(
        reading.group_names(),
        [
            "BOARD_GATE",
            "BOARD_SHED",
            "BOARD_SHED and REVISION == 2",
            "BOARD_SHED and not REVISION == 2",
            "none of BOARD_GATE, BOARD_SHED",
        ]
    );
    assert_eq!(pins(reading.group("BOARD_GATE").unwrap()), "d0=4 vsync=25 lamp=33");
    assert_eq!(pins(reading.group("BOARD_SHED and REVISION == 2").unwrap()), "d0=5 vsync=6 href=7 lamp=33");
    assert_eq!(reading.groups[1].line, 5);
    assert!(
        problems(&reading)[0].starts_with("2: Five boards in one text; choose one: BOARD_GATE; BOARD_SHED;"),
        "{:?}",
        problems(&reading)
    );
}

#[test]
fn conditions_that_are_not_boards_ask_for_no_choice() {
    let text = "#ifdef WITH_LAMP\n#define LAMP_PIN 33\n#endif\n#ifndef D0_PIN\n#define D0_PIN 4\n#endif\n#if 0\n#define D0_PIN 7\n#endif\n";
    let reading = read(text, Format::Auto);
    assert_eq!(pins(&reading), "d0=4 lamp=33");
    assert!(reading.groups.is_empty());
}

#[test]
fn csv_and_tsv_in_any_shape() {
    let rows = [
        ("D0", 4),
        ("D1", 16),
        ("D2", 17),
        ("D3", 18),
        ("D4", 19),
        ("D5", 21),
        ("D6", 22),
        ("D7", 5),
        ("VSYNC", 25),
        ("HREF", 23),
        ("PCLK", 26),
        ("XCLK", 0),
        ("SIOC", 27),
        ("SIOD", 14),
    ];
    let table = |head: &str, row: &dyn Fn(usize, &str, u8) -> String| {
        let rows: Vec<String> = rows.iter().enumerate().map(|(i, (n, p))| row(i, n, *p)).collect();
        format!("{head}{}\n", rows.join("\n"))
    };
    for (text, format) in [
        (table("", &|_, n, p| format!("{n},{p}")), Format::Csv),
        (table("Signal,GPIO\n", &|_, n, p| format!("{n},{p}")), Format::Csv),
        (table("GPIO;Camera pin;Note\n", &|_, n, p| format!("IO{p};{n};\"strap; see note 3\"")), Format::Csv),
        (
            table("\"Pin\",\"Voltage\",\"Function\"\r\n", &|_, n, p| format!("\"{p}\",3.3,\"{n}\"\r")),
            Format::Csv,
        ),
        (table("#\tSignal\tGPIO\n", &|i, n, p| format!("{}\t{n}\t{p}", i + 1)), Format::Tsv),
        (table("Connector pin\tName\tPin\n", &|i, n, p| format!("{}\t{n}\tGPIO {p}", 24 - i)), Format::Tsv),
        (table("Camera\tBoard\n", &|_, n, p| format!("  {n} \t D{p} ")), Format::Tsv),
        (table("\u{feff}Sensor,Bus,Chip\n", &|_, n, p| format!("{},{n},{p}", n.to_lowercase())), Format::Csv),
    ] {
        let expected = GATE;
        check(&text, format, expected);
    }
    let sideways = "Board,D0,D1,D2,D3,D4,D5,D6,D7,VSYNC,HREF,PCLK,XCLK,SIOC,SIOD\nGate,4,16,17,18,19,21,22,5,25,23,26,0,27,14\n";
    check(sideways, Format::Csv, GATE);
    let beside = "D0,4,D7,5\nD1,16,VSYNC,25\nD2,17,HREF,23\nD3,18,PCLK,26\nD4,19,XCLK,0\nD5,21,SIOC,27\nD6,22,SIOD,14\n";
    check(beside, Format::Csv, GATE);
}

#[test]
fn a_column_a_board() {
    let text = "Signal,Gate board,Shed board\nD0,4,5\nVSYNC,25,6\nRESET,NC,15\n";
    let reading = read(text, Format::Auto);
    assert_eq!(reading.group_names(), ["Gate board", "Shed board"]);
    assert_eq!(pins(reading.group("Gate board").unwrap()), "d0=4 vsync=25 reset=nc");
    assert_eq!(pins(reading.group("Shed board").unwrap()), "d0=5 vsync=6 reset=15");
}

#[test]
fn two_columns_without_heading_are_a_named_guess() {
    let reading = read("D0,7,4\nD1,9,16\nVSYNC,3,25\n", Format::Auto);
    assert_eq!(
        problems(&reading)[0],
        "1: Several columns hold numbers and no heading tells which are pins; column 2 taken."
    );
}

pub(crate) const MARKDOWN: &str = "\
# Gate board

The camera's connector:

| Camera | Signal | GPIO | Remark |
|:-------|:------:|-----:|--------|
| Y2 | D0 | `4` | a \\| b |
| Y3 | D1 | 16 | |
| Y4 | D2 | 17 | |
| Y5 | D3 | 18 | |
| Y6 | D4 | 19 | |
| Y7 | D5 | 21 | |
| Y8 | D6 | **22** | |
| Y9 | D7 | 5 | strap |
| VSYNC | VS | 25 | |
| HREF | HS | 23 | |
| PCLK | PCLK | 26 | |
| XVCLK | MCLK | 0 | |
| SIOC | SCL | 27 | |
| SIOD | SDA | 14 | |
| PWDN | | NC | |
| GND | | | |

## Others

Thing | Pin
--- | ---
Flash LED | IO33
Button | 34
SD card CMD | 15
";

#[test]
fn markdown_tables() {
    let reading =
        check(MARKDOWN, Format::Markdown, &format!("{GATE} power_down=nc lamp=33 button=34 sd_card_cmd=15"));
    assert_eq!(reading.not_understood.iter().map(|s| s.line).collect::<Vec<_>>(), [3]);
}

#[test]
fn markdown_tables_under_headings_are_boards_when_they_repeat_signals() {
    let text = "# Gate\n|a|b|\n|-|-|\n|D0|4|\n|VSYNC|25|\n# Shed\n|a|b|\n|-|-|\n|D0|5|\n|VSYNC|6|\n";
    let reading = read(text, Format::Auto);
    assert_eq!(reading.group_names(), ["Gate", "Shed"]);
    assert_eq!(pins(reading.group("Shed").unwrap()), "d0=5 vsync=6");
}

pub(crate) const JSON: &str = r#"{
  "title": "Gate board", "revision": 2,
  "camera": {
    "data": [4, 16, 17, 18, 19, 21, 22, 5],
    "sync": {"vsync": 25, "href": "GPIO23", "pclk": {"pin": 26, "note": "fast"}},
    "xclk": 0,
    "sccb": {"sccb_scl": 27, "sccb_sda": 14}, "reset": null, "pwdn": -1
  },
  "led": 33, "sd": {"d0": 2, "cmd": 15}
}"#;

#[test]
fn json_objects_and_arrays() {
    let reading =
        check(JSON, Format::Json, &format!("{GATE} reset=nc power_down=nc lamp=33 sd_d0=2 sd_cmd=15"));
    assert_eq!(reading.not_understood.len(), 1, "revision 2 is no pin: {:?}", reading.not_understood);
    let rows: Vec<String> = GATE
        .split(' ')
        .map(|p| p.split_once('=').unwrap())
        .map(|(n, p)| format!(r#"{{"signal": "{n}", "gpio": {p}, "pin": 99}}"#))
        .collect();
    check(&format!("[{}]", rows.join(",\n")), Format::Json, GATE);
    let turned: Vec<String> = GATE
        .split(' ')
        .map(|p| p.split_once('=').unwrap())
        .map(|(n, p)| format!(r#""{p}": "{n}""#))
        .collect();
    check(&format!("{{{}}}", turned.join(",\n")), Format::Json, GATE);
}

#[test]
fn json_boards() {
    let text = r#"{"boards": [{"name": "gate", "pins": {"d0": 4, "vsync": 25}, "led": 2}, {"name": "shed", "pins": {"d0": 5, "vsync": 6}}]}"#;
    let reading = read(text, Format::Auto);
    assert_eq!(reading.group_names(), ["gate", "shed"]);
    assert_eq!(pins(reading.group("gate").unwrap()), "d0=4 vsync=25 lamp=2");
}

#[test]
fn broken_json_is_said_and_read_line_by_line() {
    let reading = read("{\n  \"D0\": 4,\n  \"VSYNC\": 25,\n}", Format::Auto);
    assert_eq!(reading.format, Format::Loose);
    assert_eq!(pins(&reading), "d0=4 vsync=25");
    assert_eq!(problems(&reading)[0], "4: Not JSON: trailing comma. Read line by line instead.");
}

#[test]
fn html_tables() {
    let row =
        |(n, p): (&str, &str)| format!("<tr><td class=\"x\">{n}&nbsp;</td>\n<td><b>GPIO</b>{p}</td></tr>");
    let rows: Vec<String> = GATE.split(' ').map(|p| row(p.split_once('=').unwrap())).collect();
    let text = format!("<p>5 boards</p><table>\n<TR><th>Signal<th>Chip</TR>{}</table>", rows.join("\n"));
    let reading = read(&text, Format::Auto);
    assert_eq!((reading.format, pins(&reading).as_str(), problems(&reading).len()), (Format::Html, GATE, 0));
}

#[test]
fn typed_by_hand() {
    for text in [
        "D0 4, D1 16, D2 17, D3 18, D4 19, D5 21, D6 22, D7 5, VSYNC=25; HREF: 23, PCLK 26, XCLK 0, SCL 27, SDA 14",
        "D0 4 D1 16 D2 17 D3 18 D4 19 D5 21 D6 22 D7 5 VSYNC 25 HREF 23 PCLK 26 XCLK 0 SIOC 27 SIOD 14",
        "data: [4, 16, 17, 18, 19, 21, 22, 5]\nvsync: 25\nhref: 23\npclk: 26\nxclk: 0\nsccb clock: 27\nsccb data: 14",
        "D0..D7 = 4 16 17 18 19 21 22 5\nVSYNC on GPIO 25 (strap)\nHREF/HSYNC -> IO23\npixel clock is pin 26\nmaster clock: 0 MHz\nXCLK: 0\nSIOC/SIOD: 27/14",
        "D7-D0: 5, 22, 21, 19, 18, 17, 16, 4\nGPIO25 = VSYNC\n23: HREF\nIO26 → PCLK\nGPIO0 XCLK\nSDA, SCL = 14, 27",
        "camera:\n  data_pins:\n    - 4\n    - GPIO16\n    - 17\n    - 18\n    - 19\n    - 21\n    - 22\n    - 5\n  vsync: GPIO25\n  href: 23 # was D5 9\n  pclk: 26\n  xclk: 0\n  scl: 27\n  sda: 14",
        "D0\n4\nD1\n16\nD2\n17\nD3\n18\nD4\n19\nD5\n21\nD6\n22\nD7\n5\nVSYNC\n25\nHREF\n23\nPCLK\n26\nXCLK\n0\nSIOC\n27\nSIOD\n14",
        "int data_pins[8] = {4, 16, 17, 18, 19, 21, 22, 5};\nint vsync = 25, href = 23;\nconst int PCLK_PIN = 26;\nxclk(0);\ncam.scl = 27;\ncam.sda = 14;",
        "data[0]=4 data[1]=16 data[2]=17 data[3]=18 data[4]=19 data[5]=21 data[6]=22 data[7]=5\nVS 25\nHS 23\nPIXCLK 26\nXVCLK 0\nSIOC 27\nSIOD 14",
    ] {
        check(text, Format::Loose, GATE);
    }
}

#[test]
fn what_is_not_understood_is_told_line_by_line() {
    let reading = read(
        "D0 4\nsee note\nVSYNC D5\nPCLK 200\nXCLK 20 MHz\nSDA/SCL 26\n\n// D1 9\nlcd D2 7\n",
        Format::Loose,
    );
    let told: Vec<_> =
        reading.not_understood.iter().map(|s| format!("{}: {} ({})", s.line, s.why, s.text)).collect();
    assert_eq!(
        told,
        [
            "2: no signal with a number (see note)",
            "3: no number stands beside the name (VSYNC D5)",
            "4: 200 is outside 0 to 127 (PCLK 200)",
            "5: no number stands beside the name (XCLK 20 MHz)",
            "6: as many numbers as names are needed (SDA/SCL 26)",
        ]
    );
    assert_eq!(pins(&reading), "d0=4 lcd_d2=7");
    assert_eq!(pin(&reading, &Signal::Data(2)), None);
}

#[test]
fn pinouts_with_functions_and_silkscreen_names() {
    let text = "Y name\tCamera\tChip\nY2\tD0\t4\nY3\tD1\t16\nY4\tD2\t17\n";
    let reading = read(text, Format::Auto);
    assert_eq!((pins(&reading).as_str(), reading.groups.len()), ("d0=4 d1=16 d2=17", 0));
    let text = "| GPIO | Function |\n|---|---|\n| 4 | D0 / ADC |\n| GPIO 25 (strap) | VSYNC |\n| 3V3 | VCC |\n| 15 | LCD_D0 |\n";
    let reading = read(text, Format::Auto);
    assert_eq!(pins(&reading), "d0=4 vsync=25 lcd_d0=15");
    assert_eq!(reading.not_understood.len(), 0);
}

#[test]
fn settings_beside_pins_are_no_pins() {
    let text = "#define LED_COUNT 5\n#define I2C_PORT 0\n#define CAM_XCLK_FREQ 20\n#define LED_CHANNEL 2\n#define FRAME_RATE 15\n#define D0_PIN 4\n";
    let reading = read(text, Format::Auto);
    assert_eq!(pins(&reading), "d0=4");
    assert_eq!(reading.not_understood.iter().map(|s| s.line).collect::<Vec<_>>(), [1, 2, 3, 4, 5]);
}

#[test]
fn what_speaks_of_another_device_is_not_the_cameras() {
    for (text, expected) in [
        ("D0 4\nSD card: CMD 15, D0 2\nVSYNC 25", "d0=4 vsync=25 sd_card_cmd=15 sd_card_d0=2"),
        ("[camera]\nd0 = 4\n[lcd]\nd0 = 9\n[camera]\nvsync = 25", "d0=4 vsync=25 lcd_d0=9"),
        ("lcd:\n  d0: 9\n  data: [1, 2, 3]\ncamera:\n  d0: 4\nflash led: 33", "d0=4 lcd_d0=9 lamp=33"),
        ("lcd.d0 = 9\nsd D1: 3\nD0: 4", "d0=4 lcd_d0=9 sd_d1=3"),
    ] {
        assert_eq!(pins(&read(text, Format::Loose)), expected, "{text}");
    }
}

#[test]
fn code_that_only_uses_a_pin_gives_no_pair() {
    let text = "enum { CAM_D0 = 4, CAM_VSYNC = 25 };\nset(CAM_D0, 1); if (CAM_VSYNC == 1 || CAM_D0 > 2) { CAM_D0 += 3; }\n";
    assert_eq!(pins(&read(text, Format::Loose)), "d0=4 vsync=25");
    assert_eq!(pins(&read("D0, 4, D1, 16; VSYNC => 25", Format::Loose)), "d0=4 d1=16 vsync=25");
}
