//! Which fields matter for a station: an assumption that no budget can feel is not listed and not asked for.

use crate::choices::{
    Antenna, CapacitorKind, LensLaw, LockKind, Phone, RegulatorKind, ReleasePlace, Rest, Sounder, SupplyKind,
    Suppressor,
};
use crate::fields::Station;
use crate::plan::Plan;

/// Whether a call may open a lock: the plan names one, feeds one, or has a unit that releases it.
pub fn has_lock(station: &Station) -> bool {
    station.lock.kind != LockKind::None
        || station.supply.lock_a > 0.0
        || station.release.place != ReleasePlace::NotSaid
}

/// Whether anything that is told of this plan can depend on the field.
///
/// What is assumed to be absent (a lock, a lamp, sound that is kept) is not: telling it asks a new question.
pub fn relevant(path: &str, plan: &Plan) -> bool {
    let station = &plan.station;
    let bounded = !plan.parts.boundary.is_empty();
    let supply = station.supply.kind;
    let cells = supply == SupplyKind::Cells;
    let sleeps = station.rest.mode == Rest::Sleep;
    let radio = &station.radio;
    let measured = radio.rssi_dbm.is_finite();
    let modelled = !measured && radio.distance_m.is_finite();
    let heard = station.notice.sounder != Sounder::Open || station.notice.phone != Phone::None;
    let saves = station.net.power_save || station.rest.mode == Rest::Joined;
    // Light is judged once the plan tells where the wall faces, or asks for it.
    let lit = station.site.facing_rad.is_finite() || station.want.light_share.is_finite();
    let lamp =
        !(station.lamp.porch_lx == 0.0 || station.lamp.porch_lx.is_nan() && station.lamp.flux_lm == 0.0);
    let infrared = station.lamp.infrared_w > 0.0;
    let (part, key) = path.split_once('.').unwrap_or((path, ""));
    // The plate is judged before it is built where its size is told, heat where the wall's direction is.
    let touch = !station.plate.size_m.is_nan();
    let hot = !station.site.facing_rad.is_nan();
    match (part, key) {
        ("board", "memory_hottest") => hot && station.board.extra_memory_b > 0.0,
        ("board", "chip_resistance" | "sink" | "sink_resistance" | "pad") => hot,
        ("chip" | "sensor" | "regulator", "hottest" | "hottest_air") => hot,
        ("cell", "hottest") => hot && cells,
        // The template alone feels these, and says which are missing.
        ("mount", _) => false,
        ("case", "gap") => false,
        ("case", "board_air" | "inside_film") => hot && station.case.gap_m.is_nan(),
        ("case", "contact") => hot && !station.case.spacers,
        ("case", _) | ("site", "wall_absorptance") => hot,
        ("site", "longitude") if hot => true,
        ("cell", "charge_cutoff") => cells && station.solar.peak_w > 0.0,
        ("lamp", "lumens" | "street") => lit && !(key == "lumens" && station.lamp.porch_lx.is_finite()),
        ("lamp", "height") => lit && station.lamp.flux_lm > 0.0 && station.lamp.porch_lx.is_nan(),
        ("lamp", "porch") => false,
        ("lamp", "by_day") => lit && lamp,
        ("lamp", "flicker") => lit && (lamp || station.lamp.street_lx > 0.0),
        ("lamp", "infrared") => lit,
        ("lamp", _) => infrared,
        ("sensor", "response" | "read_noise" | "full_well" | "gain_ceiling" | "dark_current") => lit,
        ("sensor", "dark_doubling" | "code_step" | "evening") | ("lens", "transmission") => lit,
        ("camera", "sky_share" | "metering" | "whole_periods" | "dirt") => lit,
        ("callers", "reflectance" | "dark_reflectance") | ("want", "light_share") => lit,
        ("site", "facing" | "recess" | "wall_top" | "ground" | "horizon" | "overhang") => lit,
        ("site", "overhang_above") => lit && station.site.overhang_m.is_finite(),
        ("site", "latitude" | "longitude" | "altitude") if lit => true,
        ("supply", "mains") if lit && lamp => true,
        ("cell", _) => cells,
        ("release", "clamp") => has_lock(station) && station.release.suppressor == Suppressor::Clamp,
        ("lock" | "release", _) => has_lock(station),
        ("ground", "far") | ("want", "beyond" | "faces_beyond") => bounded,
        ("ground", "mask_error") => bounded,
        ("wiring" | "ground" | "keep", _) => false,
        ("infrared", _) => station.infrared.intensity_w_sr.is_finite(),
        ("solar", "peak") => cells,
        ("solar", _) => cells && station.solar.peak_w > 0.0,
        ("site", "longitude" | "sunnier") => cells && station.solar.peak_w > 0.0,
        ("site", "cells_indoors") => cells,
        ("site", _) => cells || hot,
        ("cable", _) => !matches!(supply, SupplyKind::Open),
        ("supply", "kind") => true,
        ("supply", "earthed") => touch,
        ("supply", "usb") => supply == SupplyKind::Usb,
        ("supply", "bank_off" | "bank_off_after") => supply == SupplyKind::Bank,
        ("supply", "c_to_c" | "c_resistors") => {
            matches!(supply, SupplyKind::Usb | SupplyKind::Adapter | SupplyKind::Bank)
        }
        ("supply", "rated" | "no_load" | "mains" | "reservoir" | "chime_in_series") => {
            supply == SupplyKind::Bell
        }
        ("supply", "chime_time") => supply == SupplyKind::Bell && station.supply.chime_series,
        ("supply", "lock_inrush") => station.supply.lock_a > 0.0,
        ("supply", "capacitor_kind") => station.supply.capacitor_f > 0.0,
        ("supply", "capacitor_esr") => {
            station.supply.capacitor_f > 0.0 || !cells && supply != SupplyKind::Open
        }
        ("supply", "ceramic_keeps") => {
            station.supply.capacitor_f > 0.0 && station.supply.capacitor_kind == CapacitorKind::Ceramic
        }
        ("supply", "volt" | "limit") => !cells && supply != SupplyKind::Open,
        ("supply", _) => supply != SupplyKind::Open,
        ("regulator", "efficiency" | "efficiency_low") => station.regulator.kind == RegulatorKind::Switching,
        ("regulator", "lowest_in") => station.regulator.boost,
        ("regulator", _) => supply != SupplyKind::Open,
        ("board", "extra_bus" | "extra_sleep") | ("chip", "program_fetch") => {
            station.board.extra_memory_b > 0.0
        }
        ("board", "sleep_extras") => supply != SupplyKind::Open || hot,
        ("chip", "deep_sleep" | "touch_sleep") | ("sensor", "on" | "standby" | "held") => {
            cells && sleeps || supply == SupplyKind::Bank
        }
        ("chip", "light_sleep") => cells && station.rest.mode == Rest::Joined,
        ("chip", "joined_saving") => station.rest.mode == Rest::Awake && station.net.power_save,
        ("chip", "joined") => station.rest.mode == Rest::Awake && !station.net.power_save,
        ("board", "bulk") => !cells && supply != SupplyKind::Open,
        // On cells a router that is off is sought by whole joins, in every mode.
        ("chip", "joining") | ("net", "join") => sleeps || cells,
        ("chip", "boot") | ("net", "join_remembered" | "remembered") => sleeps,
        ("net", "outage" | "retry") => cells,
        ("net", "saving_delay") => station.net.power_save,
        ("net", "tls_memory") => station.net.tls,
        ("net", "session_memory") => station.net.sessions > 1,
        ("sensor", "settle_day") => station.rest.mode == Rest::Joined && heard,
        ("sensor", "power_up" | "registers" | "settle_night") => sleeps || station.rest.mode == Rest::Joined,
        ("rest", "relearn_every" | "relearn_cost") => sleeps && cells,
        ("plate", "false_wakes") => sleeps && cells,
        // An awake camera hands out the frame of the last call: its age is the time between calls.
        ("callers", "calls") => {
            cells || hot || station.rest.mode == Rest::Awake && station.rest.idle_every_s.is_nan()
        }
        ("callers", "cluster") => cells,
        ("callers", "call") => cells || hot,
        ("callers", "parcel") => station.want.parcel,
        ("lens", "view") => station.lens.focal_m.is_nan(),
        ("lens", "focal") => false,
        ("lens", "k1" | "k2" | "k3" | "k4") => station.lens.law == LensLaw::KannalaBrandt,
        ("lens", "focus_shift") => station.lens.filter != crate::choices::Filter::Cut,
        ("camera", "lowest" | "highest") => false,
        ("want", "run_time") => cells,
        ("notice", "sounder" | "phone") => false,
        ("notice", _) | ("want", "felt_within" | "heard_within" | "heard_share" | "unheard") => {
            heard && heard_by(key, station)
        }
        // An assumption that a model has replaced.
        ("net", "goodput") => station.net.goodput_bit_s.is_finite(),
        ("radio", "distance" | "rssi" | "metal") => false,
        ("radio", "rssi_offset") => measured,
        ("radio", "foil_loss") => modelled && radio.foil,
        ("radio", "coated_loss") => modelled && radio.coated,
        ("radio", "gain" | "gain_by_metal") => modelled && radio.antenna == Antenna::Printed,
        ("radio", "gain_outside") => modelled && radio.antenna == Antenna::Outside,
        ("radio", "building" | "floors" | "walls" | "foil" | "coated_glass" | "shadowing" | "antenna") => {
            modelled
        }
        ("radio", "listen") | ("router", "dtim") => (measured || modelled) && saves,
        ("radio" | "router", _) | ("want", "stream_holds") => measured || modelled,
        ("wall", _) => modelled && radio.walls > 0,
        ("plate", "from_lens" | "size" | "idle" | "metal" | "rim") => false,
        // The board tells them of itself; no budget can.
        ("plate", "dead" | "noisy") => false,
        ("plate", "metal_moves") => touch && !station.plate.metal_m.is_nan(),
        ("plate", "pin") => touch && station.plate.idle_f.is_nan(),
        ("plate", "mains_noise") => touch && !cells,
        ("plate", "drift") => touch && sleeps,
        ("plate", "rain_step") => touch && sleeps && !station.plate.sheltered,
        // A bare plate is touched, whatever stands behind it.
        ("cover", "thickness") if !cells && supply != SupplyKind::Open => true,
        ("cover", _) => touch || hot,
        ("chip", "touch_law") => touch,
        ("plate", key) if !matches!(key, "height" | "lead" | "wet_leak" | "false_wakes") => touch,
        _ => true,
    }
}

/// Whether a field of the notice matters where a press is heard at all.
fn heard_by(key: &str, station: &Station) -> bool {
    let notice = &station.notice;
    let page = notice.sounder == Sounder::Page;
    let sleeps = station.rest.mode == Rest::Sleep;
    let alone = notice.phone != Phone::None && matches!(notice.sounder, Sounder::Open | Sounder::None);
    match key {
        "page_proved" => page,
        "page" => page || notice.sounder == Sounder::Device || notice.phone == Phone::HomePage,
        "push" | "late_share" => notice.phone == Phone::Notice,
        "reach" => notice.phone != Phone::None,
        "open" => page || notice.phone != Phone::None,
        // Whatever sounds in the house needs but a part of the phone's way.
        "phone_off" => alone,
        "internet_off" => alone && notice.phone == Phone::Notice,
        "keep_alive" => !sleeps,
        "lamp_at_wake" => sleeps,
        "clock_set" => station.net.tls,
        _ => true,
    }
}
