//! `[pins]`, `[peripherals]` and `[wake]` of a chip sheet.
//!
//! What a pin's line does not say is an ordinary pin: read and driven, both internal pulls, PWM from any timer,
//! floating at boot. `always_on = true` puts it into the always-on domain: it holds its level in deep sleep, and
//! every source of `[wake]` can watch it (touch only where it has a channel).

use super::read::{PIN_NUMBERS, count, list, take_count, take_truth, take_word, word, words};
use crate::text::Problems;
use crate::tree::{Node, Table};
use models::pins::board::{AnalogueInput, BootState, Chip, Pin, PwmRoute, PwmUnit, Strap, Taken};
use models::pins::level::Level;
use models::pins::sleep::{WakeKind, WakeSet, WakeTable};

const WAKES: [(&str, WakeKind); 5] = [
    ("touch", WakeKind::Touch),
    ("one-level", WakeKind::OneLevel),
    ("any-high", WakeKind::AnyHigh),
    ("any-low", WakeKind::AnyLow),
    ("all-low", WakeKind::AllLow),
];
const BOOT: [(&str, BootState); 4] = [
    ("floats", BootState::Floats),
    ("pulled-up", BootState::PulledUp),
    ("pulled-down", BootState::PulledDown),
    ("console-text", BootState::ConsoleText),
];
const TAKEN: [(&str, Taken); 4] = [
    ("flash", Taken::Flash),
    ("extra-memory", Taken::ExtraMemory),
    ("console", Taken::Console),
    ("usb", Taken::Usb),
];
pub(super) const LEVELS: [(&str, Level); 2] = [("low", Level::Low), ("high", Level::High)];
pub(super) const PULLS: [(&str, Level); 2] = [("down", Level::Low), ("up", Level::High)];
/// Internal pulls: up, down.
const INTERNAL: [(&str, (bool, bool)); 4] =
    [("none", (false, false)), ("up", (true, false)), ("down", (false, true)), ("both", (true, true))];
/// Voltage of the pins until [`super::join`] knows the rail. Typical, from memory.
const VDD_V: f64 = 3.3;

/// Reads the tables; `None` when the sheet has neither, which is fair for a chip whose pins nobody wrote down yet.
pub(super) fn read(table: &mut Table<'_>, problems: &mut Problems) -> Option<Chip> {
    let peripherals = table.take_table("peripherals", problems);
    let wake = table.take_table("wake", problems);
    let package = table.take("package");
    let pins = table.take("pins")?;
    let mut chip = Chip {
        pins: Vec::new(),
        vdd_v: VDD_V,
        pwm: PwmUnit { timers: 0, channels: 0 },
        control_bus_ports: 0,
        serial_ports: 0,
        camera_units: 0,
        radio_blocks: Vec::new(),
        wake: wake.map(|wake| read_wake(wake, problems)).unwrap_or_default(),
    };
    match peripherals {
        Some(peripherals) => read_peripherals(&mut chip, peripherals, problems),
        None => pins.problem(
            problems,
            "the sheet has [pins] but no [peripherals]",
            Some("add [peripherals] with pwm_timers, pwm_channels, control_bus_ports, serial_ports, camera_units".into()),
        ),
    }
    if let Some(mut pins) = pins.table(problems) {
        for (key, span, node) in pins.take_rest() {
            let digits = key.bytes().all(|byte| byte.is_ascii_digit());
            let number = key.parse::<u8>().ok().filter(|number| digits && *number < PIN_NUMBERS);
            match number {
                Some(number) if chip.pins.iter().all(|pin| pin.number != number) => {
                    chip.pins.extend(read_pin(number, node, &chip.wake, problems));
                }
                Some(number) => {
                    problems.add(node.source(), span, format!("pin {number} stands here twice"), None);
                }
                None => problems.add(
                    node.source(),
                    span,
                    format!("`{key}` is no pin number"),
                    Some(format!("each line of [pins] begins with a number from 0 to {}", PIN_NUMBERS - 1)),
                ),
            }
        }
    }
    if let Some(package) = package {
        read_package(&mut chip, package, problems);
    }
    Some(chip)
}

fn read_peripherals(chip: &mut Chip, mut table: Table<'_>, problems: &mut Problems) {
    let mut counted = |key: &'static str| {
        if let Some(node) = table.take(key) {
            return count(node, &format!("peripherals.{key}"), 64, problems).unwrap_or_default();
        }
        let hint = Some(format!("write {key} = 1, or 0 where the chip has none"));
        problems.add(table.source(), table.span(), format!("[peripherals] has no `{key}`"), hint);
        0
    };
    chip.pwm = PwmUnit { timers: counted("pwm_timers"), channels: counted("pwm_channels") };
    chip.control_bus_ports = counted("control_bus_ports");
    chip.serial_ports = counted("serial_ports");
    chip.camera_units = counted("camera_units");
    if let Some(node) = table.take("radio_blocks") {
        let what = "peripherals.radio_blocks";
        chip.radio_blocks = list(node, what, problems)
            .into_iter()
            .filter_map(|unit| count(unit, what, 9, problems))
            .collect();
    }
    table.finish("[peripherals]", problems);
}

fn read_wake(mut table: Table<'_>, problems: &mut Problems) -> WakeTable {
    let mut wake = WakeTable::default();
    for (key, kind) in WAKES {
        if let Some(pins) = take_count(&mut table, ("wake", key), PIN_NUMBERS, problems) {
            wake.sources.push((kind, pins));
        }
    }
    if let Some(node) = table.take("excludes") {
        for pair in list(node, "wake.excludes", problems) {
            match words(pair, "wake.excludes", &WAKES, problems)[..] {
                [one, other] => wake.excludes.push((one, other)),
                _ => pair.problem(
                    problems,
                    "`wake.excludes` holds pairs of two wake sources",
                    Some("for instance excludes = [[\"touch\", \"one-level\"]]".into()),
                ),
            }
        }
    }
    table.finish("[wake]", problems);
    wake
}

fn read_pin(number: u8, node: Node<'_>, wake: &WakeTable, problems: &mut Problems) -> Option<Pin> {
    let mut table = node.table(problems)?;
    let part = &format!("pins.{number}");
    let mut pin = Pin::plain(number);
    if take_truth(&mut table, (part, "input_only"), problems) == Some(true) {
        pin = Pin { output: false, pull_up: false, pull_down: false, pwm: None, ..pin };
    }
    if let Some(pulls) = take_word(&mut table, (part, "pulls"), &INTERNAL, problems) {
        (pin.pull_up, pin.pull_down) = pulls;
    }
    pin.analogue = table.take("analogue").and_then(|node| analogue(node, part, problems));
    pin.touch = take_count(&mut table, (part, "touch"), PIN_NUMBERS, problems);
    if let Some(node) = table.take("pwm") {
        pin.pwm = match node.integer() {
            Some(_) => count(node, &format!("{part}.pwm"), 15, problems).map(PwmRoute::Timer),
            None => {
                word(node, &format!("{part}.pwm"), &[("any", Some(PwmRoute::Any)), ("none", None)], problems)?
            }
        };
    }
    let always_on = take_truth(&mut table, (part, "always_on"), problems) == Some(true);
    pin.holds_in_sleep = take_truth(&mut table, (part, "holds"), problems).unwrap_or(always_on);
    pin.wakes = match table.take("wakes") {
        Some(node) => WakeSet::of(&words(node, &format!("{part}.wakes"), &WAKES, problems)),
        None if always_on => {
            let offered = wake.sources.iter().map(|(kind, _)| *kind);
            WakeSet::of(
                &offered.filter(|kind| *kind != WakeKind::Touch || pin.touch.is_some()).collect::<Vec<_>>(),
            )
        }
        None => WakeSet::default(),
    };
    pin.boot = take_word(&mut table, (part, "boot"), &BOOT, problems).unwrap_or(pin.boot);
    pin.taken = take_word(&mut table, (part, "taken"), &TAKEN, problems);
    pin.strap = table.take_table("strap", problems).and_then(|strap| read_strap(part, strap, problems));
    table.finish(&format!("pin {number}"), problems);
    Some(pin)
}

/// `"2.1"`: converter 2, channel 1.
fn analogue(node: Node<'_>, part: &str, problems: &mut Problems) -> Option<AnalogueInput> {
    let both = node.text().and_then(|text| text.split_once('.'));
    let input = both.and_then(|(unit, channel)| {
        Some(AnalogueInput { unit: unit.parse().ok()?, channel: channel.parse().ok()? })
    });
    if input.is_none() {
        let hint = "write the number of the converter, a point, its channel: \"2.1\"".into();
        node.problem(
            problems,
            format!("`{part}.analogue` is no analogue input: {}", node.written()),
            Some(hint),
        );
    }
    input
}

fn read_strap(part: &str, mut table: Table<'_>, problems: &mut Problems) -> Option<Strap> {
    let part = &format!("{part}.strap");
    let needs = take_word(&mut table, (part, "needs"), &LEVELS, problems);
    let pull = take_word(&mut table, (part, "pull"), &PULLS, problems);
    let otherwise = table.take_text("otherwise", problems).map(|(text, _)| text.to_string());
    if otherwise.is_none() {
        let hint = Some("add otherwise = \"…\": what goes wrong at the other level".to_string());
        problems.add(
            table.source(),
            table.span(),
            format!("`{part}` does not say what goes wrong otherwise"),
            hint,
        );
    }
    table.finish("a strap", problems);
    Some(Strap { needs, pull, otherwise: otherwise? })
}

/// `package`: pin numbers in their order around the package, anything else (supply, antenna) as text.
fn read_package(chip: &mut Chip, node: Node<'_>, problems: &mut Problems) {
    for (position, item) in (0u8..).zip(list(node, "package", problems)) {
        let Some(number) = super::read::pin_of(item) else { continue };
        match chip.pins.iter_mut().find(|pin| pin.number == number) {
            Some(pin) => pin.package_position = Some(position),
            None => {
                item.problem(problems, format!("`package` names pin {number}, which is not in [pins]"), None);
            }
        }
    }
}
