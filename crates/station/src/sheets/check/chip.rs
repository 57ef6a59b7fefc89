//! A chip: currents and memory in order, straps that start by themselves.

use super::Found;
use models::pins::board::Chip;
use models::pins::level::Level;
use models::pins::strap::{Starts, judge_strap};

pub(super) fn values(found: &mut Found<'_>) {
    found.rising(&[
        "chip.deep_sleep",
        "chip.touch_sleep",
        "chip.light_sleep",
        "chip.joined_saving",
        "chip.joined",
        "chip.streaming",
        "chip.burst",
    ]);
    found.rising(&["chip.free", "chip.memory"]);
    found.wanted(&["chip.memory"]);
}

pub(super) fn pins(found: &mut Found<'_>, chip: &Chip) {
    for pin in &chip.pins {
        let Some(strap) = &pin.strap else { continue };
        let alone = judge_strap(strap, &[], chip.vdd_v);
        if alone.starts != Starts::Always {
            let level = if strap.needs == Some(Level::High) { "high" } else { "low" };
            let says =
                format!("strap IO{} needs to be {level} but does not get there by its own pull", pin.number);
            found.add(
                0..0,
                &says,
                "look at `pull` of its strap: most chips pull to the level of a normal start",
            );
        }
        if !pin.input {
            found.add(0..0, &format!("strap IO{} cannot be read", pin.number), "a strap is read at reset");
        }
    }
    let watched = chip.pins.iter().filter(|pin| !pin.wakes.is_empty()).count();
    if chip.wake.sources.is_empty() && watched > 0 {
        found.add(
            0..0,
            "pins wake from sleep, but [wake] names no source",
            "add [wake] with touch, one-level, any-high …",
        );
    }
}
