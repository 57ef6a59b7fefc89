//! What a tuned plate is, in words for a terminal, as JSON, and as lines of a plan.

use super::{PlateArgs, Readings};
use ::tune::levels::Levels;
use ::tune::lines::Rate;
use ::tune::plate::{THOUSAND, Tuned, WINDOW};
use ::tune::share::wilson;
use ::tune::tail::Interval;
use ::tune::verdict::{Judged, Verdict, moves};
use draw::paint::{Paint, Tone};
use draw::terminal::WIDTH;
use draw::wrap::wrapped;
use models::energy::{DAY_S, YEAR_S};
use quantity::show;
use serde_json::{Value, json};
use std::fmt::Write as _;

/// A recording so long tells how often a sleeping station wakes without a caller, s.
const WAKES_TOLD_S: f64 = 6.0 * 3600.0;

/// The whole sheet.
pub(super) fn sheet(tuned: &Tuned, readings: &Readings, judged: &Judged, args: &PlateArgs) -> String {
    let mut out = String::new();
    let word = match judged.verdict {
        Verdict::Over => Paint(Tone::Accent, "does not fit").to_string(),
        verdict => Paint(Tone::Strong, verdict.word()).to_string(),
    };
    let _ = writeln!(out, " plate: {word}");
    let (config, depth) = (&tuned.config, tuned.levels.depth);
    let recording = readings.recording();
    out += &lines(
        &format!(
            "Idle {:.0}, touched {:.0}: the count {}, {:.1} times the idle peak-to-peak of {WINDOW} readings. {} in {}.",
            tuned.medians.0,
            tuned.medians.1,
            moves(tuned.levels.sense, depth),
            tuned.ratio.peak_to_peak,
            plural(tuned.presses.len(), "press", "presses"),
            show(recording.span_s(), "s"),
        ),
        1,
    );
    out += &rule();
    row(
        &mut out,
        "threshold",
        &format!("{} counts from the baseline, lift {} nearer", config.threshold, config.hysteresis),
    );
    let felt = show(tuned.response_s, "s");
    row(
        &mut out,
        "readings in a row",
        &format!("{}, so that a press is felt within {felt}", config.debounce),
    );
    let follows_s = readings.period_s * f64::from(2_u32.saturating_pow(u32::from(config.track)));
    let follows = show(follows_s, "s");
    row(&mut out, "baseline", &format!("follows in about {follows}: 1/2^{} a reading", config.track));
    let noise = about(tuned.noise_year.value);
    row(&mut out, "false presses a year", &format!("{}; by noise alone {noise}", between(&tuned.false_year)));
    let (hasty, gloved) = (told_share(tuned.missed_hasty), told_share(tuned.missed_gloved));
    let missed = between(&tuned.missed);
    row(&mut out, "missed in a thousand", &format!("{missed}; hasty callers {hasty}, gloved {gloved}"));
    let (replay, presses) = (tuned.replay, tuned.presses.len());
    let again = if replay.again > 0 { format!(", {} told again", replay.again) } else { String::new() };
    row(
        &mut out,
        "replayed",
        &format!("{} of {presses} presses found, {} where none was{again}", replay.found, replay.none),
    );
    let fixed = &tuned.fixed;
    let text = if fixed.apart {
        format!(
            "any from {} to {} tells this recording apart, until the first drift",
            fixed.levels.0, fixed.levels.1
        )
    } else {
        let missed = presses - fixed.replay.found.min(presses);
        format!(
            "none tells this recording apart: at {}, {} false and {missed} missed",
            fixed.middle, fixed.replay.none
        )
    };
    row(&mut out, "a fixed level", &text);
    let (shower, worst) = tuned.rain;
    row(&mut out, "rain", &format!("moves the count by about {shower:.0}, 1 shower in 20 by {worst:.0}"));
    if let Some(asleep) = &tuned.asleep {
        let wanders = format!("the idle level wanders by {:.0} between two learnings", asleep.wanders);
        let woken = plural(asleep.wakes, "false wake", "false wakes");
        row(
            &mut out,
            "asleep",
            &format!("{} counts; {wanders}; {woken} in this recording", asleep.threshold),
        );
    }
    out += &rule();
    for says in &judged.says {
        out += &point(&sentence(says));
    }
    out += &rule();
    for says in &readings.says {
        out += &lines(says, 1);
    }
    if args.write.is_none() {
        let _ = writeln!(out, " Next: doorwright tune plate {} --write PLAN", args.source.display());
    }
    out
}

/// What stands in the sheet's place where nothing can be told.
pub(super) fn refusal(readings: &Readings, why: &str) -> String {
    let mut out = lines(&format!("Cannot tell: {why}."), 1);
    for says in &readings.says {
        out += &lines(says, 1);
    }
    out
}

/// Everything, for programs. Keys only grow.
pub(super) fn json(tuned: &Tuned, readings: &Readings, judged: &Judged) -> Value {
    let config = &tuned.config;
    let presses: Vec<Value> = tuned
        .presses
        .iter()
        .map(|press| {
            json!({ "start_s": readings.time_s(press.start), "end_s": end_s(readings, press.end), "depth": press.depth })
        })
        .collect();
    let curve: Vec<Value> = tuned
        .curve
        .iter()
        .map(|point| {
            json!({ "threshold": point.threshold, "false_presses_per_year": point.false_year.1,
                "by_noise_per_year": point.false_year.0, "missed_per_thousand": THOUSAND as f64 * point.missed })
        })
        .collect();
    let hum: Vec<Value> = tuned
        .hum
        .iter()
        .map(|hum| {
            json!({ "mains_hz": hum.mains_hz, "seen_hz": hum.seen_hz, "amplitude": hum.amplitude,
                "over_noise": hum.over_noise })
        })
        .collect();
    let found_share = wilson(tuned.replay.found as u64, tuned.presses.len() as u64, 0.90);
    json!({
        "verdict": judged.verdict.word(),
        "says": judged.says,
        "idle": { "median": tuned.medians.0, "sd": tuned.deviations.0, "samples": tuned.idle_samples },
        "touched": { "median": tuned.medians.1, "sd": tuned.deviations.1, "presses": tuned.presses.len() },
        "snr": tuned.ratio.peak_to_peak,
        "snr_is": format!("touched less idle over the median peak-to-peak of {WINDOW} idle readings"),
        "sense": tuned.levels.sense.word(),
        "threshold": config.threshold,
        "hysteresis": config.hysteresis,
        "debounce_samples": config.debounce,
        "baseline_shift": config.track,
        "false_presses_per_year": interval(&tuned.false_year),
        "false_presses_by_noise_per_year": interval(&tuned.noise_year),
        "missed_per_thousand": interval(&tuned.missed),
        "missed_hasty_per_thousand": THOUSAND as f64 * tuned.missed_hasty,
        "missed_gloved_per_thousand": THOUSAND as f64 * tuned.missed_gloved,
        "response_s": tuned.response_s,
        "one_more_reading_false_per_year": tuned.one_more,
        "presses": presses,
        "films": tuned.films.iter().map(|film| {
            json!({ "start_s": readings.time_s(film.start), "end_s": end_s(readings, film.end), "depth": film.depth })
        }).collect::<Vec<_>>(),
        "unread_lines": readings.unread,
        "period_s": readings.period_s,
        "span_s": readings.recording().span_s(),
        "rate": rate(readings.rate),
        "year_over_recording": YEAR_S / readings.recording().span_s(),
        "noise": { "lag_one": tuned.memory.lag_one, "worth": tuned.memory.worth, "hum": hum, "steps": tuned.steps },
        "rain": { "typical": tuned.rain.0, "one_in_twenty": tuned.rain.1 },
        "margins": { "idle_999": tuned.margins.0, "touched_05": tuned.margins.1 },
        "replay": { "found": tuned.replay.found, "found_share": found_share, "false": tuned.replay.none, "again": tuned.replay.again,
            "stuck": tuned.replay.stuck },
        "fixed": { "low": tuned.fixed.levels.0, "high": tuned.fixed.levels.1, "tells_apart": tuned.fixed.apart,
            "level": tuned.fixed.middle, "found": tuned.fixed.replay.found, "false": tuned.fixed.replay.none },
        "asleep": tuned.asleep.map(|asleep| json!({ "threshold": asleep.threshold, "wanders": asleep.wanders,
            "holds": asleep.holds, "false_wakes": asleep.wakes, "false_wakes_per_day": interval(&scaled(&asleep.wakes_1_s, DAY_S)) })),
        "curve": curve,
        "log": readings.says,
    })
}

/// The same keys where nothing can be told; levels where they show.
pub(super) fn nothing(readings: &Readings, why: &str) -> Value {
    let levels = Levels::of(&readings.counts);
    let shown = levels.as_ref().filter(|levels| !levels.presses.is_empty());
    let idle = levels.as_ref().map(|levels| {
        let mut idle = levels.idle.clone();
        idle.sort_unstable_by(f32::total_cmp);
        idle[idle.len() / 2]
    });
    let sign = if shown.is_some_and(|levels| levels.sense.word() == "rises") { 1.0 } else { -1.0 };
    let touched = shown.and_then(|levels| idle.map(|idle| idle + sign * levels.depth));
    let none = json!({ "value": null, "low": null, "high": null });
    json!({
        "verdict": "unknown",
        "says": [why],
        "idle": { "median": idle, "sd": levels.as_ref().map(|levels| levels.noise), "samples": readings.counts.len() },
        "touched": { "median": touched, "sd": null, "presses": shown.map_or(0, |levels| levels.presses.len()) },
        "snr": null,
        "sense": shown.map(|levels| levels.sense.word()),
        "threshold": null,
        "hysteresis": null,
        "debounce_samples": null,
        "false_presses_per_year": none,
        "missed_per_thousand": none,
        "response_s": null,
        "presses": [],
        "unread_lines": readings.unread,
        "period_s": readings.period_s,
        "rate": rate(readings.rate),
        "log": readings.says,
    })
}

/// The fields of a plan that a recording tells, as they are written there.
pub(super) fn changes(tuned: &Tuned, readings: &Readings) -> Vec<(&'static str, String)> {
    let config = &tuned.config;
    let mut changes = vec![
        ("plate.threshold", config.threshold.to_string()),
        ("plate.hysteresis", config.hysteresis.to_string()),
        ("plate.debounce", (config.debounce - 1).to_string()),
        ("plate.track", config.track.to_string()),
        ("plate.noisy", config.noisy.to_string()),
        ("plate.dead", show(f64::from(config.dead) * readings.period_s, "s")),
        ("plate.period", show(readings.period_s, "s")),
        ("plate.idle_count", format!("{:.0}", tuned.medians.0)),
        ("plate.touched_count", format!("{:.0}", tuned.medians.1.clamp(0.0, 65_535.0))),
        ("plate.false_presses", spread(&tuned.false_year, 1.0, "/yr")),
        ("plate.missed", spread(&tuned.missed, 100.0 / THOUSAND as f64, "%")),
        ("plate.tuned", jiff::Timestamp::now().strftime("%Y%m%d").to_string()),
    ];
    if let Some(asleep) = &tuned.asleep {
        changes.push(("plate.wake_threshold", asleep.threshold.to_string()));
        // A short recording without a false wake says nothing that is better than what is usual.
        if readings.recording().span_s() >= WAKES_TOLD_S {
            changes.push(("plate.false_wakes", spread(&asleep.wakes_1_s, DAY_S, "/d")));
        }
    }
    changes
}

/// The text with a comment behind the value of `plate.KEY`; an older one there gives way.
pub(super) fn noted(text: &str, key: &str, note: &str) -> String {
    let mut section = "";
    let lines = text.split_inclusive('\n').map(|line| {
        let (code, end) = line.strip_suffix('\n').map_or((line, ""), |code| (code, "\n"));
        if let Some(name) = code.trim().strip_prefix('[') {
            section = name.split(']').next().unwrap_or("").trim();
        }
        let (name, value) = code.split_once('=').unwrap_or(("", ""));
        if (section, name.trim()) == ("plate", key) {
            let value = value.split('#').next().unwrap_or("").trim();
            format!("{}= {value}{note}{end}", name.trim_end().to_string() + " ")
        } else {
            line.to_string()
        }
    });
    lines.collect()
}

fn scaled(interval: &Interval, by: f64) -> Interval {
    Interval { value: interval.value * by, low: interval.low * by, high: interval.high * by }
}

fn end_s(readings: &Readings, end: usize) -> f64 {
    readings.time_s(end - 1) + readings.period_s
}

fn interval(interval: &Interval) -> Value {
    json!({ "value": interval.value, "low": interval.low, "high": interval.high })
}

fn rate(rate: Rate) -> &'static str {
    match rate {
        Rate::Stream => "stream",
        Rate::Slow => "slow",
        Rate::OnChange => "on-change",
        Rate::Irregular => "irregular",
        Rate::Unknown => "unknown",
    }
}

/// `low | value | high unit` as a plan reads it: ends above 0, the value between them.
fn spread(interval: &Interval, by: f64, unit: &str) -> String {
    const LEAST: f64 = 0.01;
    let high = (interval.high * by).max(LEAST);
    let low = (interval.low * by).clamp(LEAST, high);
    let [low, value, high] = [low, (interval.value * by).clamp(low, high), high].map(about);
    if low == high { format!("{value} {unit}") } else { format!("{low} | {value} | {high} {unit}") }
}

/// A share in words.
fn told_share(share: f64) -> String {
    match (share * 1000.0).round() as u32 {
        0 => "none".into(),
        950.. => "nearly all".into(),
        missed => missed.to_string(),
    }
}

/// A number with two digits or none behind the point.
fn about(value: f64) -> String {
    match value {
        v if v < 0.005 => "0".into(),
        v if v < 1.0 => format!("{v:.2}"),
        v if v < 9.95 => format!("{v:.1}").trim_end_matches(".0").into(),
        v => format!("{v:.0}"),
    }
}

fn between(interval: &Interval) -> String {
    format!("about {} ({:.0} to {:.0})", about(interval.value), interval.low, interval.high)
}

fn row(out: &mut String, name: &str, value: &str) {
    let mut name = name;
    for line in wrapped(value, WIDTH - 28) {
        let _ = writeln!(out, "   {name:<22} {line}");
        name = "";
    }
}

fn rule() -> String {
    format!(" {}\n", Paint(Tone::Faint, &"─".repeat(WIDTH - 2)))
}

fn point(text: &str) -> String {
    wrapped(text, WIDTH - 4).iter().enumerate().fold(String::new(), |mut out, (at, line)| {
        let _ = writeln!(out, " {} {line}", if at == 0 { "·" } else { " " });
        out
    })
}

fn lines(text: &str, indent: usize) -> String {
    wrapped(text, WIDTH - indent - 1).iter().fold(String::new(), |mut out, line| {
        let _ = writeln!(out, "{}{line}", " ".repeat(indent));
        out
    })
}

fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(|first| first.to_uppercase().chain(letters).collect::<String>());
    first.unwrap_or_default() + "."
}

fn plural(count: usize, one: &str, more: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { more })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_note_stands_behind_the_plates_value_alone() {
        let text = "[lens]\ntuned = 1\n[plate]\nthreshold = 5 # by hand\ntuned = 20260101  # log old\n";
        let noted = noted(text, "tuned", "  # log new");
        assert_eq!(
            noted,
            "[lens]\ntuned = 1\n[plate]\nthreshold = 5 # by hand\ntuned = 20260101  # log new\n"
        );
    }

    #[test]
    fn spreads_are_written_as_a_plan_reads_them() {
        let interval = |value, low, high| Interval { value, low, high };
        assert_eq!(spread(&interval(6.2, 0.0, 22.0), 1.0, "/yr"), "0.01 | 6.2 | 22 /yr");
        assert_eq!(spread(&interval(0.0, 0.0, 0.0), 1.0, "/yr"), "0.01 /yr");
        // A mean beyond its own interval, as heavy tails have it.
        assert_eq!(spread(&interval(9.0, 0.0, 3.0), 1.0, "/yr"), "0.01 | 3 | 3 /yr");
    }
}
