//! Every failure that the trade names for these budgets has a code, and every code of the other budgets can be raised by a
//! plan and is not raised by a sound one. (The pins budget does the same for its own codes, word for word.)

use crate::shipped::{GATE, LIT, NOMINAL, STORE, bare, codes, read, with};
use budgets::assessment::assess;
use budgets::rules;
use station::plan::Plan;
use std::collections::BTreeSet;

/// The rows of trade.md §1 that have a finding.
const TRADE: &[&str] = &[
    "pins.strap-level",
    "pins.shared-timer",
    "pins.boot-state",
    "pins.sleep-hold",
    "pins.back-feed",
    "pins.control-bus",
    "pins.ribbon",
    "pins.touch-neighbour",
    "memory.frame-truncated",
    "memory.secure-session",
    "memory.low-water",
    "memory.bus",
    "stream.window",
    "stream.clock",
    "stream.slow-source",
    "stream.pre-roll",
    "detail.stale-picture",
    "detail.warm-up",
    "detail.hand",
    "detail.window-crop",
    "detail.sharpness",
    "detail.focus",
    "detail.motion",
    "light.metering",
    "light.face-contrast",
    "light.flicker",
    "light.ir-cut",
    "light.window-ghost",
    "light.obscured",
    "light.porch",
    "light.hot-sensor",
    "light.skin",
    "power.burst-end",
    "power.restart",
    "power.sensor-sleep",
    "power.board-extras",
    "power.regulator",
    "power.outage",
    "power.false-wake",
    "power.awake",
    "power.bank",
    "power.usb-volt",
    "power.chime-series",
    "power.rectifier",
    "power.capacitor",
    "power.lead",
    "power.lock-shares",
    "power.polarity",
    "power.pulse-chemistry",
    "power.cold-charge",
    "power.sun-chain",
    "radio.clock-harmonic",
    "radio.uplink",
    "radio.case-metal",
    "radio.rate",
    "radio.channel-13",
    "radio.policy",
    "radio.power-save",
    "timing.acknowledge",
    "timing.join",
    "timing.common-cause",
    "timing.notice-tail",
    "timing.person",
    "timing.head-of-line",
    "timing.half-open",
    "timing.clock",
    "timing.what-still-works",
    "plate.return-path",
    "plate.law",
    "plate.touched-noise",
    "plate.alias",
    "plate.wet",
    "plate.metal-behind",
    "plate.glove",
    "plate.sleep-threshold",
    "plate.surge",
    "plate.press-length",
    "heat.sun-case",
    "heat.softening",
    "heat.weakest",
    "heat.linear-loss",
    "heat.sink-useless",
    "heat.dew",
];

/// Values set in a plan.
type Changes = &'static [(&'static str, &'static str)];

#[derive(Clone, Copy)]
enum Base {
    /// The courtyard gate at 800x600, fed over a cable.
    Fed,
    /// Nothing but what feeds it: no board, so that no sheet says anything.
    Bare,
    /// The same, its light told.
    Lit,
    /// The glaze store on cells, its first picture allowed five seconds.
    Cells,
}

/// No board, so that no sheet says anything.
const BARE: &str = "name = \"Bare\"\n[supply]\nkind = \"adapter\"\n";

fn plan(base: Base, changes: Changes) -> Plan {
    let (text, sound) = match base {
        Base::Bare => (BARE.into(), ("camera.size", "800x600")),
        Base::Fed | Base::Lit => (bare(GATE), ("camera.size", "800x600")),
        Base::Cells => (bare(STORE), ("want.picture_within", "5 s")),
    };
    let told = if matches!(base, Base::Lit) { LIT } else { &[] };
    with(&text, &[told, &[sound], changes].concat())
}

use Base::{Bare, Cells, Fed, Lit};

/// A dark box of the softest plastic on a wall in the evening sun.
const DARK_WEST: Changes = &[("case.sheet", "pla"), ("case.absorptance", "0.92"), ("site.facing", "250 deg")];

/// Code, the sound plan it starts from, and what makes it unsound.
const RAISED: &[(&str, Base, Changes)] = &[
    ("memory.frame-buffer", Fed, &[("camera.size", "1600x1200")]),
    ("memory.largest-block", Fed, &[("chip.largest_block", "0.5")]),
    ("memory.frame-truncated", Fed, &[("camera.quality", "5"), ("camera.scene", "foliage")]),
    ("memory.low-water", Fed, &[("chip.free", "110 kB"), ("chip.largest_block", "1")]),
    (
        "memory.secure-session",
        Fed,
        &[("net.tls", "true"), ("chip.free", "115 kB"), ("chip.largest_block", "0.9")],
    ),
    ("memory.bus", Cells, &[("camera.format", "raw"), ("board.extra_bus", "20 MB/s")]),
    ("memory.no-jpeg", Fed, &[("sensor.jpeg", "false"), ("camera.size", "320x240")]),
    ("memory.size", Fed, &[("camera.size", "2560x1920")]),
    ("stream.rate", Fed, &[("net.copy", "50 kB/s")]),
    ("stream.slow-source", Fed, &[("camera.longest_exposure", "1.5 s")]),
    ("stream.window", Fed, &[("net.round_trip", "100 ms")]),
    ("stream.clock", Cells, &[("camera.clock", "2 MHz")]),
    ("stream.pre-roll", Fed, &[("rest.pre_roll", "2 s")]),
    ("stream.software", Fed, &[("camera.format", "raw"), ("camera.size", "320x240")]),
    ("detail.whole-face", Fed, &[("lens.sheet", "narrow-40")]),
    ("detail.class", Fed, &[("camera.size", "320x240")]),
    ("detail.density", Fed, &[("camera.size", "320x240"), ("lens.sheet", "equisolid-185")]),
    ("detail.focus", Fed, &[("lens.focus", "5 m"), ("lens.sheet", "narrow-40")]),
    ("detail.motion", Fed, &[("camera.exposure", "60 ms")]),
    ("detail.window-crop", Fed, &[("camera.window_radius", "4 mm")]),
    ("detail.parcel", Fed, &[("want.parcel_seen", "true"), ("lens.sheet", "plain-66")]),
    ("detail.stale-picture", Fed, &[("camera.grab", "when-empty"), ("rest.idle_every", "10 s")]),
    ("detail.warm-up", Cells, &[("want.picture_within", "1 s")]),
    ("detail.sharpness", Fed, &[("camera.size", "640x480"), ("lens.adapter", "true")]),
    ("detail.hand", Fed, &[("plate.height", "1.05 m"), ("camera.height", "1.1 m")]),
    ("radio.uplink", Fed, &[("radio.rssi", "-88 dBm")]),
    ("radio.rate", Fed, &[("radio.rssi", "-40 dBm"), ("radio.busy", "0.985")]),
    ("radio.power-save", Fed, &[("net.power_save", "true"), ("router.dtim", "10")]),
    ("radio.clock-harmonic", Fed, &[("radio.rssi", "-80 dBm")]),
    ("radio.case-metal", Cells, &[("radio.metal", "5 mm"), ("radio.walls", "4")]),
    ("radio.channel-13", Fed, &[("router.channel", "13"), ("radio.highest_channel", "11")]),
    ("radio.policy", Fed, &[("router.isolates", "true")]),
    ("timing.acknowledge", Cells, &[("notice.lamp_at_wake", "false")]),
    ("timing.join", Cells, &[("net.remembered", "false")]),
    ("timing.common-cause", Fed, &[("notice.hear", "30 s")]),
    ("timing.notice-tail", Fed, &[("notice.page_proved", "false")]),
    ("timing.person", Fed, &[("want.heard_within", "100 s"), ("notice.hear", "30 s")]),
    ("timing.head-of-line", Fed, &[("notice.press_first", "false"), ("net.goodput", "200 kbit/s")]),
    ("timing.half-open", Fed, &[("notice.keep_alive", "60 s")]),
    ("timing.clock", Fed, &[("net.tls", "true")]),
    ("timing.what-still-works", Fed, &[("notice.sounder", "none")]),
    ("light.face-contrast", Lit, &[("lamp.porch", "0 lx")]),
    ("light.skin", Lit, &[("lamp.porch", "20 lx")]),
    (
        "light.metering",
        Lit,
        &[("camera.metering", "whole"), ("camera.sky_share", "0.6"), ("site.recess", "0.1")],
    ),
    ("light.flicker", Lit, &[("lamp.flicker", "1"), ("lamp.porch", "2000 lx")]),
    ("light.ir-cut", Lit, &[("lamp.infrared", "0.5 W"), ("lens.filter", "cut")]),
    ("light.window-ghost", Lit, &[("lamp.infrared", "0.5 W"), ("lens.filter", "none")]),
    ("light.obscured", Lit, &[("site.overhang", "0.2 m")]),
    (
        "light.porch",
        Lit,
        &[
            ("lamp.porch", "0 lx"),
            ("site.recess", "0.02"),
            ("site.latitude", "0 deg"),
            ("callers.dark_reflectance", "0.05"),
            ("want.light_share", "0.78"),
        ],
    ),
    ("light.hot-sensor", Lit, &[("sensor.evening", "80 °C"), ("sensor.dark_current", "80 e/s")]),
    ("power.not-told", Fed, &[("supply.kind", "open")]),
    (
        "power.sag",
        Fed,
        &[("supply.volt", "5 V"), ("cable.section", "0.2 mm2"), ("regulator.sheet", "linear-quiet")],
    ),
    (
        "power.restart",
        Fed,
        &[("supply.volt", "5 V"), ("cable.section", "0.2 mm2"), ("regulator.sheet", "linear-quiet")],
    ),
    (
        "power.lead",
        Fed,
        &[("supply.volt", "5 V"), ("cable.section", "0.2 mm2"), ("regulator.sheet", "linear-quiet")],
    ),
    ("power.source-limit", Fed, &[("supply.limit", "50 mA")]),
    ("power.over-voltage", Fed, &[("regulator.sheet", "linear-quiet")]),
    ("power.lock-shares", Fed, &[("supply.lock", "1.5 A"), ("cable.section", "0.2 mm2")]),
    ("heat.linear-loss", Fed, &[("regulator.sheet", "linear-old")]),
    ("power.capacitor", Fed, &[("supply.capacitor", "470 uF"), ("supply.capacitor_kind", "ceramic")]),
    ("power.polarity", Fed, &[("supply.polarity", "none")]),
    ("power.c-to-c", Fed, &[("supply.c_to_c", "true"), ("supply.c_resistors", "false")]),
    (
        "power.rectifier",
        Fed,
        &[("supply.kind", "bell"), ("supply.volt", "8 V"), ("supply.polarity", "diode")],
    ),
    (
        "power.chime-series",
        Fed,
        &[("supply.kind", "bell"), ("supply.volt", "8 V"), ("supply.chime_in_series", "true")],
    ),
    ("power.usb-volt", Fed, &[("supply.kind", "usb"), ("supply.volt", "12 V")]),
    ("power.bank", Cells, &[("supply.kind", "bank")]),
    ("heat.weakest", Fed, DARK_WEST),
    ("heat.softening", Fed, DARK_WEST),
    (
        "heat.sun-case",
        Fed,
        &[
            ("case.sheet", "pla"),
            ("case.absorptance", "0.92"),
            ("site.facing", "250 deg"),
            ("board.pad", "true"),
        ],
    ),
    (
        "heat.touch",
        Fed,
        &[
            ("case.sheet", "aluminium"),
            ("cover.sheet", "bare"),
            ("case.absorptance", "0.95"),
            ("site.facing", "250 deg"),
            ("case.emissivity", "0.1"),
            ("case.spacers", "true"),
        ],
    ),
    (
        "heat.duty",
        Fed,
        &[
            ("case.sheet", "asa"),
            ("case.absorptance", "0.92"),
            ("site.facing", "250 deg"),
            ("rest.mode", "joined"),
            ("callers.calls", "0.01 /s"),
            ("callers.call", "60 s"),
        ],
    ),
    (
        "heat.sink-useless",
        Fed,
        &[
            ("board.sink", "true"),
            ("case.sheet", "asa"),
            ("site.facing", "0 deg"),
            ("case.gap", "0.5 mm"),
            ("board.sink_resistance", "70 K/W"),
            ("board.chip_resistance", "8 K/W"),
            ("case.width", "50 mm"),
            ("case.height", "70 mm"),
            ("case.depth", "20 mm"),
        ],
    ),
    (
        "heat.cell-charge",
        Cells,
        &[
            ("solar.peak", "5 W"),
            ("case.sheet", "pla"),
            ("case.absorptance", "0.92"),
            ("site.facing", "250 deg"),
        ],
    ),
    ("heat.dew", Cells, &[("case.sheet", "asa"), ("site.facing", "0 deg")]),
    ("plate.reach", Fed, &[("plate.height", "1.37 m")]),
    ("plate.small-touch", Cells, &[("plate.size", "40 mm"), ("cover.thickness", "4 mm")]),
    ("plate.return-path", Cells, &[("plate.size", "40 mm"), ("cover.sheet", "bare")]),
    ("plate.law", Bare, &[("plate.size", "40 mm")]),
    ("plate.touched-noise", Fed, &[("plate.size", "40 mm"), ("plate.mains_noise", "40")]),
    ("plate.alias", Fed, &[("plate.size", "40 mm"), ("plate.period", "20 ms")]),
    ("plate.wet", Fed, &[("plate.size", "40 mm"), ("plate.rim", "3 mm")]),
    (
        "plate.metal-behind",
        Fed,
        &[("plate.size", "60 mm"), ("plate.metal", "2 mm"), ("plate.metal_moves", "true")],
    ),
    ("plate.glove", Fed, &[("plate.size", "40 mm"), ("cover.sheet", "bare")]),
    ("plate.sleep-threshold", Cells, &[("plate.size", "40 mm"), ("plate.rain_step", "8 %")]),
    ("plate.surge", Fed, &[("plate.size", "40 mm"), ("plate.resistor", "0 ohm")]),
    ("plate.press-length", Fed, &[("plate.size", "40 mm"), ("plate.average", "200 ms")]),
    ("plate.long-lead", Fed, &[("plate.size", "40 mm"), ("plate.lead", "0.5 m")]),
    (
        "plate.far-threshold",
        Fed,
        &[("plate.idle_count", "950"), ("plate.touched_count", "850"), ("plate.threshold", "90")],
    ),
    ("plate.no-lift", Fed, &[("plate.threshold", "40"), ("plate.hysteresis", "40")]),
    ("plate.hasty-baseline", Fed, &[("plate.track", "5")]),
    ("plate.false-press", Cells, &[("plate.false_presses", "40 /yr")]),
    ("plate.missed-press", Cells, &[("plate.missed", "3 %")]),
    (
        "plate.unlike-paper",
        Fed,
        &[("plate.size", "40 mm"), ("plate.idle_count", "950"), ("plate.touched_count", "350")],
    ),
    ("power.run-time", Cells, &[("want.run_time", "3 yr")]),
    ("power.awake", Cells, &[("rest.mode", "awake")]),
    (
        "power.burst-end",
        Cells,
        &[("regulator.sheet", "linear-quiet"), ("cell.parallel", "1"), ("regulator.least_rail", "3.3 V")],
    ),
    ("power.pulse-chemistry", Cells, &[("cell.pulse", "50 mA")]),
    ("power.sun-chain", Cells, &[("solar.peak", "0.2 W")]),
    ("power.sensor-sleep", Cells, &[("board.power_down_held", "false")]),
    ("power.board-extras", Cells, &[("board.sleep_extras", "2 mA")]),
    ("power.regulator", Cells, &[("regulator.sheet", "linear-old")]),
    ("power.outage", Cells, &[("net.retry", "steady"), ("cell.parallel", "1")]),
    ("power.false-wake", Cells, &[("plate.false_wakes", "120 /d")]),
    (
        "power.restart-loop",
        Cells,
        &[("cell.hysteresis", "0 V"), ("chip.start", "600 mA"), ("regulator.sheet", "linear-quiet")],
    ),
    ("power.cold-charge", Cells, &[("solar.peak", "2 W"), ("site.latitude", "62 deg")]),
    (
        "power.primary-charge",
        Cells,
        &[("solar.peak", "1 W"), ("cell.sheet", "alkaline-d"), ("cell.series", "3")],
    ),
    ("privacy.beyond", Fed, &[("camera.tilt", "0 deg"), ("ground.far", "200 m"), ("want.beyond", "0.02")]),
    ("privacy.faces", Fed, &[("lens.sheet", "narrow-40"), ("camera.size", "1600x1200")]),
    (
        "privacy.mask-hides",
        Fed,
        &[
            ("ground.masked", "true"),
            ("ground.far", "200 m"),
            ("camera.height", "1.5 m"),
            ("camera.tilt", "0 deg"),
        ],
    ),
    ("privacy.retention", Fed, &[("keep.pictures", "30 d")]),
    ("privacy.sound", Fed, &[("keep.sound", "true"), ("keep.sound_agreed", "no")]),
    ("privacy.pre-roll", Fed, &[("rest.pre_roll", "2 s"), ("keep.pre_roll_agreed", "no")]),
    ("safety.release-outdoors", Fed, &[("release.place", "outdoors")]),
    ("safety.release-outdoors", Fed, &[("release.through_station", "yes")]),
    ("safety.toggle", Fed, &[("release.act", "toggle")]),
    ("safety.no-re-lock", Fed, &[("release.act", "until-told")]),
    ("safety.undefined-at-boot", Fed, &[("release.pulled_to_rest", "no")]),
    ("safety.undefined-at-boot", Fed, &[("release.timer", "program")]),
    ("safety.egress", Fed, &[("lock.exit", "station")]),
    ("safety.egress", Fed, &[("lock.fire_door", "yes")]),
    ("safety.egress", Fed, &[("lock.kind", "magnet"), ("lock.fail", "safe"), ("lock.exit_cuts_power", "no")]),
    ("safety.fail-mode", Fed, &[("lock.kind", "magnet"), ("lock.exit_cuts_power", "yes")]),
    ("safety.fail-mode", Fed, &[("lock.fail", "safe"), ("lock.locked_without_power", "yes")]),
    ("safety.fail-mode", Fed, &[("lock.key_outside", "no")]),
    ("safety.lock-duty", Fed, &[("release.seconds", "90 s")]),
    ("safety.lock-duty", Fed, &[("lock.fail", "safe")]),
    ("safety.contacts", Fed, &[("release.contact_inductive", "0.3 A")]),
    ("safety.suppressor", Fed, &[("release.suppressor", "none")]),
    ("safety.suppressor", Fed, &[("lock.kind", "strike-ac")]),
    ("safety.not-seen", Fed, &[("release.door_seen", "no")]),
    ("safety.tamper", Fed, &[("release.credentials", "more")]),
    ("safety.freshness", Fed, &[("release.freshness", "arrival")]),
    ("safety.touchable-plate", Fed, &[("cover.thickness", "0 m"), ("wiring.isolation", "open-frame")]),
    ("safety.mains", Fed, &[("wiring.mains_in_case", "true")]),
    ("safety.mains", Fed, &[("wiring.isolation", "capacitive-dropper")]),
    ("safety.mains", Fed, &[("supply.kind", "bell"), ("supply.volt", "30 V")]),
    ("safety.fuse", Fed, &[("wiring.fuse", "0 A")]),
    ("safety.fuse", Fed, &[("wiring.fuse", "10 A")]),
    ("safety.lithium", Cells, &[("cell.fused", "no")]),
    ("safety.lithium", Cells, &[("solar.peak", "1 W"), ("cell.charge_cutoff", "no")]),
    ("safety.lithium", Cells, &[("solar.peak", "1 W"), ("cell.sheet", "lithium-aa")]),
    ("safety.infrared", Fed, &[("infrared.intensity", "5 W/sr")]),
    ("safety.water", Fed, &[("wiring.exposure", "rain"), ("wiring.water", "IPX3")]),
    ("safety.water", Fed, &[("wiring.exposure", "hosed"), ("wiring.water", "IPX7")]),
    (
        "safety.water",
        Fed,
        &[("wiring.exposure", "rain"), ("wiring.water", "IPX4"), ("wiring.entry_below", "no")],
    ),
    ("safety.surge", Fed, &[("wiring.surge", "none")]),
    ("safety.surge", Fed, &[("wiring.surge", "one-end")]),
    ("safety.life-safety", Fed, &[("want.life_safety", "true")]),
];

/// What raises no finding of its code, although it is near one that does.
const QUIET: &[(&str, Base, Changes)] = &[
    ("privacy.sound", Fed, &[("keep.sound", "true"), ("keep.sound_agreed", "yes")]),
    ("privacy.pre-roll", Fed, &[("rest.pre_roll", "2 s"), ("keep.pre_roll_agreed", "yes")]),
    // A magnet that an exit switch cuts by wire, and that is fail-safe as magnets are.
    (
        "safety.egress",
        Fed,
        &[("lock.kind", "magnet"), ("lock.fail", "safe"), ("lock.exit_cuts_power", "yes")],
    ),
    ("safety.fail-mode", Fed, &[("lock.kind", "magnet"), ("lock.fail", "safe")]),
    ("safety.lock-duty", Fed, &[("lock.kind", "magnet"), ("lock.fail", "safe")]),
    ("safety.suppressor", Fed, &[("lock.kind", "strike-ac"), ("release.suppressor", "varistor")]),
    ("safety.contacts", Fed, &[("release.contact_inductive", "0.41 A")]),
    ("safety.touchable-plate", Fed, &[("cover.thickness", "0 m"), ("wiring.isolation", "double-insulated")]),
    ("safety.touchable-plate", Cells, &[("cover.thickness", "0 m")]),
    // 24 V x 1.35 = 32.4 V at no load: a bell transformer of the standard.
    ("safety.mains", Fed, &[("supply.kind", "bell"), ("supply.volt", "24 V"), ("supply.no_load", "1.35")]),
    ("safety.fuse", Fed, &[("wiring.fuse", "3 A")]),
    ("safety.lithium", Cells, &[("cell.sheet", "alkaline-d")]),
    // 80 mW/sr at 0.2 m is 2 W/m2, 50 times under the exempt limit; and a flash of 1 s may be 180 times as strong.
    ("safety.infrared", Fed, &[("infrared.intensity", "80 mW/sr")]),
    ("safety.infrared", Fed, &[("infrared.intensity", "200 mW/sr"), ("infrared.timer", "1 s")]),
    ("safety.water", Fed, &[("wiring.exposure", "rain"), ("wiring.water", "IPX4")]),
    ("safety.water", Fed, &[("wiring.exposure", "rain"), ("wiring.water", "IPX7")]),
    ("safety.surge", Fed, &[("wiring.surge", "none"), ("cable.run", "8 m")]),
];

/// What a plan must say before safety can answer: the code that asks when it is left out.
const ASKED: &[(&str, Base, &str, &str)] = &[
    ("safety.release-outdoors", Fed, "release.place", "not-said"),
    ("safety.release-outdoors", Fed, "release.through_station", "not-said"),
    ("safety.undefined-at-boot", Fed, "release.timer", "not-said"),
    ("safety.egress", Fed, "lock.exit", "not-said"),
    ("safety.egress", Fed, "lock.fire_door", "not-said"),
    ("safety.fail-mode", Fed, "lock.fail", "not-said"),
    ("safety.fail-mode", Fed, "lock.key_outside", "not-said"),
    ("safety.suppressor", Fed, "release.suppressor", "not-said"),
    ("safety.surge", Fed, "wiring.surge", "not-said"),
    ("privacy.sound", Fed, "keep.sound", "true"),
    ("privacy.pre-roll", Fed, "rest.pre_roll", "2 s"),
    ("safety.lithium", Cells, "cell.protection", "not-said"),
];

#[test]
fn the_trade_has_a_code_for_each_of_its_failures() {
    let codes: BTreeSet<&str> = rules::codes().into_iter().collect();
    let missing: Vec<&&str> = TRADE.iter().filter(|code| !codes.contains(**code)).collect();
    assert!(missing.is_empty(), "{missing:?}");
}

#[test]
fn each_code_can_be_raised() {
    for (code, base, changes) in RAISED {
        let raised = codes(&assess(&plan(*base, changes), NOMINAL));
        assert!(raised.iter().any(|(raised, _)| raised == code), "{code}: {changes:?} raises {raised:?}");
    }
}

#[test]
fn what_is_near_a_safety_finding_and_right_raises_none() {
    for (code, base, changes) in QUIET {
        let raised = codes(&assess(&plan(*base, changes), NOMINAL));
        assert!(raised.iter().all(|(raised, _)| raised != code), "{code}: {changes:?} raises {raised:?}");
    }
}

#[test]
fn a_fact_of_safety_or_consent_that_was_not_said_is_asked_never_assumed() {
    for &(code, base, path, not_said) in ASKED {
        let plan = with(if matches!(base, Cells) { STORE } else { GATE }, &[(path, not_said)]);
        let raised = codes(&assess(&plan, NOMINAL));
        assert!(raised.contains(&(code, "unknown")), "{path}: {raised:?}");
    }
}

#[test]
fn safety_never_fits_with_a_probability_and_counts_its_rules() {
    let assessment = assess(&plan(Fed, &[]), crate::shipped::draws(64));
    let counted = rules::codes().iter().filter(|code| code.starts_with("safety.")).count();
    for budget in &assessment.budgets {
        assert_eq!(budget.rules, (budget.name == "safety").then_some(counted), "{}", budget.name);
        assert_eq!(budget.fits_probability.is_none(), budget.name == "safety");
    }
}

#[test]
fn a_sound_plan_raises_none() {
    for base in [Fed, Cells] {
        assert_eq!(codes(&assess(&plan(base, &[]), NOMINAL)), []);
    }
}

/// The plan that shows what the program does tells something of every budget, and after its one remedy all is sound.
#[test]
fn the_gate_shows_all_twelve_budgets() {
    let gate = assess(&read(GATE), NOMINAL);
    let shown: Vec<&str> = gate.budgets.iter().map(|budget| budget.name).collect();
    let all: Vec<&str> = budgets::rule::Budget::ALL.iter().map(|budget| budget.name()).collect();
    assert_eq!(shown, all);
    assert_eq!(all.len(), 12);
    assert_eq!(codes(&assess(&with(GATE, &[("camera.size", "800x600")]), NOMINAL)), []);
}

#[test]
fn no_code_is_left_untried() {
    let tried: BTreeSet<&str> = RAISED.iter().map(|(code, ..)| *code).collect();
    let known: BTreeSet<&str> =
        rules::codes().into_iter().filter(|code| !code.starts_with("pins.")).collect();
    assert_eq!(tried, known);
}

#[test]
fn sound_light_raises_none_of_its_codes() {
    let raised = codes(&assess(&plan(Lit, &[]), NOMINAL));
    assert!(raised.iter().all(|(code, _)| !code.starts_with("light.")), "{raised:?}");
}
