//! A demand sheet: what something in the plan wants of a pin, and what it hangs there.

use super::chip::{LEVELS, PULLS};
use super::load::HungLoad;
use super::read::{take_quantity, take_truth, take_word, word, words};
use crate::text::Problems;
use crate::tree::{Node, Table};
use models::pins::demand::{AnalogueUse, Demand, DemandKind, Needs, QuietAtBoot, Rate};
use models::pins::level::{Drive, Level};
use models::pins::sleep::WakeOn;

/// The tables of a demand sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct DemandTables {
    /// What it is for, where it is one of the kinds that are known.
    pub purpose: Option<DemandKind>,
    /// Its needs, those of a station that sleeps included.
    pub needs: Needs,
    /// What it hangs on the pin.
    pub load: HungLoad,
    /// The level that switches it on.
    pub active: Level,
    /// Current it draws from the supply while on, in amperes; 0 where the sheet says none.
    pub current_a: f64,
    /// How long of a call it is on, in seconds; infinite, for all of it, where the sheet says nothing.
    pub call_s: f64,
    /// Resistor in the line to it, in ohms, where the sheet tells one.
    pub series_ohm: Option<f64>,
    /// What switches its current.
    pub driver: Driver,
    /// Whether it has no supply while the station sleeps.
    pub unpowered_in_sleep: bool,
    /// Where its other wires go.
    pub others: Vec<Other>,
}

/// What switches the current of something that a pin drives.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Driver {
    /// The pin itself.
    #[default]
    Pin,
    /// A transistor that the pin controls.
    Transistor,
}

/// Where a wire goes that goes to no pin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Other {
    /// The board's ground.
    Ground,
    /// The rail that feeds the chip.
    Rail,
    /// What feeds the board, before its regulator.
    Feed,
}

impl Other {
    const WORDS: [(&str, Self); 3] = [("ground", Self::Ground), ("rail", Self::Rail), ("feed", Self::Feed)];

    /// Its word in sheets and lists.
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(_, other)| *other == self).map_or("", |(word, _)| word)
    }

    /// Whether a connector's print means it.
    pub fn is_print(self, print: &str) -> bool {
        let prints: &[&str] = match self {
            Self::Ground => &["GND", "G", "0V", "VSS"],
            Self::Rail => &["3V3", "3.3V", "3V"],
            Self::Feed => &["5V", "VIN", "VBUS"],
        };
        prints.iter().any(|known| known.eq_ignore_ascii_case(print.trim()))
    }
}

impl DemandTables {
    /// The demand called `name` on a chip fed with `rail_v` volts, in a station that sleeps.
    pub fn demand(&self, name: &str, rail_v: f64, fixed: Option<u8>) -> Demand {
        Demand {
            kind: self.purpose.clone().unwrap_or_else(|| DemandKind::Other(name.into())),
            needs: self.needs.clone(),
            load: self.load.at_rail(rail_v),
            active: self.active,
            fixed,
            lead_m: 0.0,
        }
    }
}

const PURPOSES: [(&str, DemandKind); 9] = [
    ("plate", DemandKind::Plate),
    ("status-lamp", DemandKind::StatusLamp),
    ("infrared-lamp", DemandKind::InfraredLamp),
    ("presence-sensor", DemandKind::PresenceSensor),
    ("cell-sense", DemandKind::CellSense),
    ("sounder", DemandKind::Sounder),
    ("tamper", DemandKind::Tamper),
    ("chime-relay", DemandKind::ChimeRelay),
    ("power-down", DemandKind::PowerDown),
];
const QUIET: [(&str, QuietAtBoot); 3] =
    [("any", QuietAtBoot::Any), ("prefers", QuietAtBoot::Prefers), ("must", QuietAtBoot::Must)];
const ANALOGUE: [(&str, AnalogueUse); 2] =
    [("radio-off", AnalogueUse::RadioOff), ("radio-on", AnalogueUse::RadioOn)];
const WAKES: [(&str, WakeOn); 3] = [("touch", WakeOn::Touch), ("high", WakeOn::High), ("low", WakeOn::Low)];
const DRIVERS: [(&str, Driver); 2] = [("pin", Driver::Pin), ("transistor", Driver::Transistor)];

pub(super) fn read(table: &mut Table<'_>, problems: &mut Problems) -> DemandTables {
    let purpose = take_word(table, ("", "purpose"), &PURPOSES, problems);
    let active = take_word(table, ("", "active"), &LEVELS, problems);
    let current_a = take_quantity(table, ("", "current"), "A", (0.0, 5.0), problems);
    let call_s = take_quantity(table, ("", "seconds"), "s", (0.0, 3600.0), problems);
    let series_ohm = take_quantity(table, ("", "series"), "ohm", (0.0, 1e6), problems);
    let driver = take_word(table, ("", "driver"), &DRIVERS, problems).unwrap_or_default();
    let unpowered_in_sleep = take_truth(table, ("", "unpowered_in_sleep"), problems).unwrap_or_default();
    let others = table.take("other_wires");
    let others = others.map_or_else(Vec::new, |node| words(node, "other_wires", &Other::WORDS, problems));
    let needs = if let Some(needs) = table.take_table("needs", problems) {
        read_needs(needs, problems)
    } else {
        let hint = Some("add [needs] with what the pin must do: input, output, touch, analogue, pwm".into());
        problems.add(table.source(), 0..0, "the sheet has no [needs]", hint);
        Needs::default()
    };
    let load = table.take_table("load", problems).map(|mut load| {
        let hung = HungLoad::take(&mut load, "load", Drive::Nothing, problems);
        load.finish("[load]", problems);
        hung
    });
    DemandTables {
        purpose,
        needs,
        load: load.unwrap_or_default(),
        active: active.unwrap_or(Level::High),
        current_a: current_a.unwrap_or_default(),
        call_s: call_s.unwrap_or(f64::INFINITY),
        series_ohm,
        driver,
        unpowered_in_sleep,
        others,
    }
}

fn read_needs(mut table: Table<'_>, problems: &mut Problems) -> Needs {
    const PART: &str = "needs";
    let mut truth = |key| take_truth(&mut table, (PART, key), problems).unwrap_or_default();
    let (input, output, touch) = (truth("input"), truth("output"), truth("touch"));
    let needs = Needs {
        input,
        output,
        touch,
        analogue: take_word(&mut table, (PART, "analogue"), &ANALOGUE, problems),
        pwm: table.take("pwm").and_then(|node| rate(node, problems)),
        wake: take_word(&mut table, (PART, "wake"), &WAKES, problems),
        hold: take_word(&mut table, (PART, "hold"), &LEVELS, problems),
        quiet_at_boot: take_word(&mut table, (PART, "quiet_at_boot"), &QUIET, problems).unwrap_or_default(),
        pull: take_word(&mut table, (PART, "pull"), &PULLS, problems),
    };
    table.finish("[needs]", problems);
    needs
}

/// `"5 kHz"`, or `"moving"` for tones.
fn rate(node: Node<'_>, problems: &mut Problems) -> Option<Rate> {
    let is_word =
        node.text().is_some_and(|text| text.trim().starts_with(|first: char| first.is_alphabetic()));
    if is_word {
        return word(node, "needs.pwm", &[("moving", Rate::Moving)], problems);
    }
    let hz = super::read::quantity(node, "needs.pwm", "Hz", (1.0, 40e6), problems)?;
    Some(Rate::Fixed(hz.round() as u32))
}
