//! A million readings of a plate: idle and touched told apart, presses as intervals, the detector's replay, and the whole
//! of `tune plate` as a process. Rightness comes first: a row whose answer is wrong is not measured.

use anyhow::{Context, Result, bail, ensure};
use bench::{PAIRS_MIN, Paired, Row, paired, peer, seconds, timed, yard_s};
use detector::{Config, Events, Plate};
use models::luck::Stream;
use serde_json::json;
use std::fmt::Write as _;
use std::process::{Command, Stdio};
use tune::levels::{Levels, Sense};

const SAMPLES: usize = 1_000_000;
/// Of these the peer searches so many: it takes ten seconds for all.
const SEARCHED: usize = 200_000;
/// What suits this log: the square of a tenth of a touch, times a short press.
const PENALTY: f64 = 3e5;
/// A yard on the machine for which the bounds were said, s.
const YARD_S: f64 = 0.056;

/// A log with its truth: touched samples, and presses from first to last.
struct Made {
    counts: Vec<u16>,
    touched: Vec<bool>,
    presses: Vec<(usize, usize)>,
}

/// 950 with a slow wave and noise that remembers; presses of 7 to 30 readings fall to half and less. `share` of it is
/// touched, `noise` is the standard deviation.
fn made(share: f64, wave: f64, noise: f64) -> Made {
    let mut luck = Stream::new(20_261_127);
    let mut made =
        Made { counts: Vec::with_capacity(SAMPLES), touched: vec![false; SAMPLES], presses: Vec::new() };
    let (mut left, mut depth, mut remembered, mut since) = (0, 0.0, 0.0, 0);
    for at in 0..SAMPLES {
        if left == 0 && since > 20 && luck.unit() < share / 18.0 {
            left = 7 + (24.0 * luck.unit()) as usize;
            depth = 0.45 + 0.2 * luck.unit();
            made.presses.push((at, (at + left).min(SAMPLES)));
        }
        // A sum of four is near enough to normal.
        let bell = (0..4).map(|_| luck.unit() - 0.5).sum::<f64>() * 3.0_f64.sqrt();
        remembered = 0.6 * remembered + 0.8 * bell;
        let idle = 950.0 + wave * (at as f64 / 200_000.0 * std::f64::consts::TAU).sin();
        let count = if left > 0 { idle * (1.0 - depth) + 12.0 * bell } else { idle + noise * remembered };
        made.touched[at] = left > 0;
        since = if left > 0 { 0 } else { since + 1 };
        left = left.saturating_sub(1);
        made.counts.push(count.round().clamp(0.0, 65_535.0) as u16);
    }
    made
}

impl Made {
    /// At most one touched sample in a thousand missed, one idle one in a hundred thousand wrong, both levels, 99 of 100
    /// edges within a sample, one press in a hundred spurious.
    fn ensure_right(&self, levels: &Levels) -> Result<()> {
        let mut told = vec![false; SAMPLES];
        levels.presses.iter().for_each(|press| told[press.start..press.end].fill(true));
        let touched = self.touched.iter().filter(|is| **is).count();
        let both = || self.touched.iter().zip(&told);
        let missed = both().filter(|(is, told)| **is && !**told).count();
        let wrong = both().filter(|(is, told)| !**is && **told).count();
        ensure!(missed * 1000 <= touched, "{missed} of {touched} touched samples missed");
        ensure!(wrong * 100_000 <= SAMPLES - touched, "{wrong} idle samples taken for touched");
        ensure!(
            levels.sense == Sense::Falls && (levels.depth - 522.0).abs() < 30.0,
            "depth {}",
            levels.depth
        );
        let near = |a: usize, b: usize| a.abs_diff(b) <= 1;
        let edges = self.presses.iter().map(|(start, end)| {
            usize::from(levels.presses.iter().any(|press| near(press.start, *start)))
                + usize::from(levels.presses.iter().any(|press| near(press.end, *end)))
        });
        let edges: usize = edges.sum();
        ensure!(
            edges * 100 >= 2 * self.presses.len() * 99,
            "{edges} edges of {} presses",
            self.presses.len()
        );
        let is = |press: &&tune::levels::Press| {
            !self.presses.iter().any(|(start, end)| press.start < *end && *start < press.end)
        };
        let spurious = levels.presses.iter().filter(is).count();
        ensure!(spurious * 100 <= self.presses.len(), "{spurious} spurious presses");
        Ok(())
    }
}

/// Work whose bound was said in seconds, in yards.
fn in_yards(bound_s: f64, mut ours: impl FnMut() -> Result<f64>) -> Result<(Paired, String)> {
    let yards = bound_s / YARD_S;
    let times = paired(PAIRS_MIN, &mut ours, || Ok(yards * yard_s()))?;
    Ok((times, format!("{yards:.2} yards")))
}

/// All rows.
pub(crate) fn rows() -> Result<Vec<Row>> {
    let mut rows = Vec::new();
    let drifting = made(0.01, 10.0, 3.0);
    for (name, log) in [
        ("1 % touched, drift", &drifting),
        ("1 % touched, no drift", &made(0.01, 0.0, 1.0)),
        ("0.05 % touched, drift", &made(0.0005, 10.0, 3.0)),
    ] {
        log.ensure_right(&Levels::of(&log.counts).context("a million samples are enough")?).context(name)?;
        let (times, peer) = in_yards(0.020, || Ok(timed(|| Levels::of(&log.counts)).1))?;
        let work = format!("idle and touched of a million readings, {name}");
        rows.push(Row::new(&work, &peer, times, 1.0, "one thread; held to the issue's rightness first"));
    }
    let part = &drifting.counts[..SEARCHED];
    let question = json!({ "counts": part, "penalty": PENALTY });
    let times = paired(
        PAIRS_MIN,
        || Ok(timed(|| Levels::of(part)).1),
        || seconds(&peer("steps_ruptures.py", &[], &question)?, "seconds"),
    )?;
    rows.push(Row::new(
        "presses of 200,000 readings as intervals",
        "ruptures, kernel change points, told a penalty",
        times,
        200.0,
        "one thread each; a million take the peer five times as long",
    ));
    let config =
        Config { threshold: 200, hysteresis: 50, debounce: 2, track: 10, track_away: 10, ..Config::USUAL };
    let found = replayed(&config, &drifting.counts);
    ensure!(found == drifting.presses.len(), "{found} presses of {}", drifting.presses.len());
    let (times, peer) =
        in_yards(SAMPLES as f64 / 100e6, || Ok(timed(|| replayed(&config, &drifting.counts)).1))?;
    let note = format!("one thread; {:.0} million a second", SAMPLES as f64 / 1e6 / times.ours_s);
    rows.push(Row::new("detector, a million readings", &peer, times, 1.0, &note));
    rows.push(whole(&drifting)?);
    Ok(rows)
}

/// Presses that the detector tells.
fn replayed(config: &Config, counts: &[u16]) -> usize {
    let mut plate = Plate::new();
    counts.iter().filter(|count| plate.sample(config, **count).has(Events::PRESS)).count()
}

/// The command on a file with times, from process start to exit.
fn whole(log: &Made) -> Result<Row> {
    let doorwright =
        std::env::current_exe().context("cannot find this program")?.with_file_name("doorwright");
    let mut text = String::from("time_s,count\n");
    for (at, count) in log.counts.iter().enumerate() {
        writeln!(text, "{}.{:03},{count}", at / 20, at % 20 * 50).expect("a text takes everything");
    }
    let file = std::env::temp_dir().join(format!("doorwright-bench-plate-{}.csv", std::process::id()));
    std::fs::write(&file, &text).context("a log")?;
    let run = || -> Result<f64> {
        let mut command = Command::new(&doorwright);
        command.args(["tune", "plate", "--json"]).arg(&file).stdin(Stdio::null());
        command.stdout(Stdio::null()).stderr(Stdio::null());
        let (status, seconds) = timed(|| command.status());
        match status.context("cannot start doorwright")?.code() {
            Some(0) => Ok(seconds),
            code => bail!("tune plate ended with {code:?}"),
        }
    };
    let done = in_yards(0.3, run);
    let _ = std::fs::remove_file(&file);
    let (times, peer) = done?;
    let work = "whole process, `doorwright tune plate`, a million readings";
    Ok(Row::new(work, &peer, times, 1.0, "reading, every statistic and the replay; one thread"))
}
