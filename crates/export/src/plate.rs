//! The plate's detector as C for the board, and the probe that prints readings to tune it by.
//!
//! The detector's own two files are those that crate `detector` holds against its first form; only `dw_plate_config.h`
//! is made here, constants alone. What the plan does not tell is usual, and the file says which lines those are.

use crate::Part;
use crate::handover::{digest, is_told};
use crate::header::plain;
use detector::Config;
use station::choices::TouchLaw;
use station::fields::index_of;
use station::plan::Plan;
use std::fmt::Write as _;

/// Time between readings for which [`Config::USUAL`] is meant, s.
const USUAL_PERIOD_S: f64 = 0.05;
/// What the probe's file has where a plan's period goes.
const PROBE_PERIOD: &str = "DW_PROBE_PERIOD_MS 30u";
const PROBE: &str = include_str!("../c/dw_probe.c");

/// The probe at the plan's period, whole milliseconds, at least one.
pub fn probe(plan: &Plan) -> Part {
    let period_ms = (plan.station.plate.period_s * 1e3).round().max(1.0);
    let text = PROBE.replacen(PROBE_PERIOD, &format!("DW_PROBE_PERIOD_MS {period_ms:.0}u"), 1);
    Part { name: "dw_probe.c", text }
}

/// The detector: header, source, and the plan's configuration.
pub fn detector(plan: &Plan) -> [Part; 3] {
    [
        Part { name: "dw_plate.h", text: detector::C_HEADER.into() },
        Part { name: "dw_plate.c", text: detector::C_SOURCE.into() },
        Part { name: "dw_plate_config.h", text: config_text(plan) },
    ]
}

/// The detector's configuration as the plan tells it; where it does not, as is usual.
///
/// Baseline speeds of [`Config::USUAL`] are kept as times, so that they hold at the plan's period; a threshold is half of a
/// recorded touch where the plan tells of one.
pub fn config(plan: &Plan) -> Config {
    let plate = &plan.station.plate;
    let slower = (USUAL_PERIOD_S / plate.period_s).log2().round();
    let usual = |shift: u8| (f64::from(shift) + slower).clamp(1.0, 28.0) as u8;
    // No time is never; any other is two readings at least.
    let samples =
        |seconds: f64| if seconds > 0.0 { (seconds / plate.period_s).round().max(2.0) } else { 0.0 };
    let threshold = plate.threshold.map_or(usual_threshold(plan), |counts| counts as u16);
    let shift = |told: Option<u32>| told.map(|shift| shift as u8);
    Config {
        rises: plan.station.chip.touch_law == TouchLaw::Rises,
        median: plate.median as u8,
        // The plan counts the readings after the first.
        debounce: plate.debounce as u8 + 1,
        calibrate: Config::USUAL.calibrate,
        track: shift(plate.track).unwrap_or(usual(Config::USUAL.track)),
        track_away: shift(plate.track_away.or(plate.track)).unwrap_or(usual(Config::USUAL.track_away)),
        track_noise: shift(plate.track).unwrap_or(usual(Config::USUAL.track_noise)),
        threshold,
        hysteresis: plate.hysteresis.map_or(threshold / 3, |counts| counts as u16),
        level: 0,
        hold: 0,
        longest: samples(plate.longest_s) as u32,
        dead: samples(plate.dead_s).min(65_535.0) as u16,
        noisy: plate.noisy as u16,
    }
}

/// The threshold where the plan tells none: half of a recorded touch, else what is usual.
pub(crate) fn usual_threshold(plan: &Plan) -> u16 {
    let plate = &plan.station.plate;
    let half = ((plate.idle_count - plate.touched_count).abs() / 2.0).round();
    if half >= 1.0 { half as u16 } else { Config::USUAL.threshold }
}

/// A constant of the detector.
struct Line {
    member: &'static str,
    value: u32,
    /// The field of the plan that it follows from; none where nothing of a plan does.
    path: &'static str,
    says: String,
}

fn lines(plan: &Plan) -> Vec<Line> {
    let c = config(plan);
    let period_s = plan.station.plate.period_s;
    let line = |member, value: u32, path, says: &str| Line { member, value, path, says: says.into() };
    let time = |readings: u32| match readings {
        0 => "never".to_string(),
        readings => quantity::show(f64::from(readings) * period_s, "s"),
    };
    let follows = |shift: u8| quantity::show(f64::from(shift).exp2() * period_s, "s");
    let timed = |member, value: u32, path, says: &str| Line {
        member,
        value,
        path,
        says: format!("{says}: {}", time(value)),
    };
    let tracked = |member, shift: u8, path, says: &str| Line {
        member,
        value: shift.into(),
        path,
        says: format!("{says} 1/2^this: {}", follows(shift)),
    };
    let away = if plan.station.plate.track_away.is_some() { "plate.track_away" } else { "plate.track" };
    vec![
        line("rises", c.rises.into(), "chip.touch_law", "a touch makes the count rise (1) or fall (0)"),
        line("median", c.median.into(), "plate.median", "readings whose median is judged"),
        line(
            "debounce",
            c.debounce.into(),
            "plate.debounce",
            "readings in a row that make a press or a lift, one more than the plan's",
        ),
        line("calibrate", c.calibrate.into(), "", "2^this readings make the first baseline"),
        tracked("track", c.track, "plate.track", "baseline, touch side,"),
        tracked("track_away", c.track_away, away, "baseline, other side,"),
        tracked("track_noise", c.track_noise, "plate.track", "noise"),
        line(
            "threshold",
            c.threshold.into(),
            "plate.threshold",
            "counts from the baseline that a touch takes",
        ),
        line("hysteresis", c.hysteresis.into(), "plate.hysteresis", "counts by which a lift lies nearer"),
        line("level", c.level.into(), "", "a fixed level in counts; 0: the baseline instead"),
        timed("hold", c.hold, "", "readings after which a press is told as held"),
        timed("longest", c.longest, "plate.longest", "readings after which a press is stuck"),
        timed("dead", c.dead.into(), "plate.dead", "equal readings that no living plate gives"),
        line("noisy", c.noisy.into(), "plate.noisy", "noise that is told, 1/16 count; 0: never"),
    ]
}

fn config_text(plan: &Plan) -> String {
    let lines = lines(plan);
    let plate = &plan.station.plate;
    let is_told = |path: &str| index_of(path).is_some_and(|index| is_told(plan, index));
    let digest = digest(lines.iter().map(|line| format!("{} = {}", line.member, line.value)).collect());
    let file = plan.source.name.rsplit(['/', '\\']).next().unwrap_or_default();
    let name = if plan.name.is_empty() { file } else { &plan.name };
    let named = match (name, plan.revision.as_str()) {
        ("", _) => "no plan".into(),
        (name, "") => plain(name),
        (name, revision) => format!("{}, revision {}", plain(name), plain(revision)),
    };
    let from = if file.is_empty() { "without a plan".into() } else { format!("from {}", plain(file)) };
    let tuned = match (is_told("plate.threshold"), plate.tuned) {
        (true, Some(day)) => {
            format!("Tuned by a recording of {}-{:02}-{:02}.", day / 10_000, day / 100 % 100, day % 100)
        }
        (true, None) => "Threshold told by the plan; of a recording it tells no day.".into(),
        (false, _) => "Not tuned: usual values. Record readings (doorwright export probe) and tune.".into(),
    };
    let mut out = format!(
        "/* dw_plate_config.h: {named}.\n   Written by doorwright export detector {from}. Change the plan, not this \
         file.\n   {tuned}\n   A reading every {period}; counts and shifts hold at that period alone.\n\n       static const \
         dw_plate_config config = DW_PLATE_CONFIG; */\n#ifndef DW_PLATE_CONFIG_H\n#define DW_PLATE_CONFIG_H\n\n#include \
         \"dw_plate.h\"\n\n#if DW_PLATE_VERSION != {version}\n#error \"dw_plate.h is of another version: export \
         both\"\n#endif\n\n/* Digest of the constants below, for the station to report: eight hex digits of SHA-256. \
         */\n#define DW_DETECT_DIGEST \"{digest}\"\n/* Time between readings. */\n#define DW_DETECT_PERIOD_US \
         {period_us:.0}\n",
        period = quantity::show(plate.period_s, "s"),
        period_us = plate.period_s * 1e6,
        version = detector::VERSION,
    );
    if let Some(counts) = plate.wake_threshold {
        let _ = writeln!(
            out,
            "/* Asleep, the chip's own comparison: counts from the level last learned. */\n#define DW_DETECT_WAKE {counts}"
        );
    }
    out.push('\n');
    let names: Vec<String> =
        lines.iter().map(|line| format!("DW_DETECT_{}", line.member.to_uppercase())).collect();
    let widest = names.iter().map(String::len).max().unwrap_or(0);
    for (name, line) in names.iter().zip(&lines) {
        let whence = match line.path {
            "" => "always".into(),
            path if is_told(path) => path.to_string(),
            path => format!("usual; {path}"),
        };
        let _ = writeln!(out, "#define {name:<widest$} {:<5} /* {} ({whence}) */", line.value, line.says);
    }
    let by_three: Vec<String> = names.chunks(3).map(|three| three.join(", ")).collect();
    let _ =
        write!(out, "\n#define DW_PLATE_CONFIG \\\n    {{ {} }}\n\n#endif\n", by_three.join(", \\\n      "));
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::handover::tests::{read, shipped};

    /// The usual values are for twenty readings a second of a thousand counts: at that rate they come out as they are.
    #[test]
    fn at_the_usual_period_the_usual_values_stay() {
        let plan = read("[plate]\nperiod = \"50 ms\"\nlongest = \"20 s\"\ndead = \"1 min\"\n");
        assert_eq!(config(&plan), Config::USUAL);
    }

    /// A baseline is a time, not a number of readings: by hand, 25.6 s are 2^10 readings of 25 ms and 2^8 of 100 ms.
    #[test]
    fn usual_baselines_keep_their_time() {
        for (period, track, longest) in [("25 ms", 10, 800), ("100 ms", 8, 200)] {
            let c = config(&read(&format!("[plate]\nperiod = \"{period}\"\n")));
            assert_eq!((c.track, c.longest), (track, longest), "{period}");
        }
    }

    #[test]
    fn what_the_plan_tells_is_what_the_board_gets() {
        let plan = read(
            "[chip]\ntouch_law = \"rises\"\n[plate]\nperiod = \"20 ms\"\nthreshold = 46\nhysteresis = 11\n\
             debounce = 2\ntrack = 9\nmedian = 3\nnoisy = 52\ndead = \"1 min\"\nlongest = \"15 s\"\ntuned = 20260314\n",
        );
        let told = Config {
            rises: true,
            median: 3,
            debounce: 3,
            calibrate: 5,
            track: 9,
            track_away: 9,
            track_noise: 9,
            threshold: 46,
            hysteresis: 11,
            level: 0,
            hold: 0,
            longest: 750,
            dead: 3000,
            noisy: 52,
        };
        assert_eq!(config(&plan), told);
        let text = &detector(&plan)[2].text;
        assert!(
            text.contains("Tuned by a recording of 2026-03-14.") && !text.contains("Not tuned"),
            "{text}"
        );
        assert!(!text.contains("(usual; "), "{text}");
    }

    #[test]
    fn a_recording_without_a_threshold_gives_half_of_its_touch() {
        let c = config(&read("[plate]\nidle_count = 950\ntouched_count = 350\n"));
        assert_eq!((c.threshold, c.hysteresis), (300, 100));
        let text = &detector(&shipped("kiln-yard-gate"))[2].text;
        assert!(text.contains("Not tuned: usual values"), "{text}");
    }

    #[test]
    fn the_probe_reads_at_the_plans_period() {
        assert_eq!(PROBE.matches(PROBE_PERIOD).count(), 1);
        let text = probe(&read("[plate]\nperiod = \"12.5 ms\"\n")).text;
        assert!(text.contains("#define DW_PROBE_PERIOD_MS 13u\n"), "{text}");
    }
}
