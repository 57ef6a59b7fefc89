//! Measuring a piece of work beside a peer that does the same, in the same run.
//!
//! The machines that run this are noisy and differ, so no time is ever judged alone: ours and the peer's are taken in
//! turn, and what counts is the median of their ratios. Work without a peer is measured in *yards*, see [`yard_s`].
//! Knows nothing of what is measured; each module of `main.rs` brings its own [`Row`]s.

use anyhow::{Context, Result, anyhow};
use serde_json::Value;
use std::fmt::Write as _;
use std::hint::black_box;
use std::path::Path;
use std::time::Instant;

/// Fewest paired runs that a median is taken of.
pub const PAIRS_MIN: usize = 5;

/// One line of `docs/performance.md`.
#[derive(Clone, Debug)]
pub struct Row {
    /// What is done, such as `battery, 10,000 draws × 3 years by day`.
    pub work: String,
    /// Our median time for it, in seconds.
    pub ours_s: f64,
    /// Who else does it, and how, such as `NumPy, vectorised, one thread`.
    pub peer: String,
    /// The peer's median time for the same work, in seconds.
    pub peer_s: f64,
    /// Median over the pairs of peer's time / our time: how many times faster ours is.
    pub ratio: f64,
    /// The ratio that we promise at least.
    pub wanted: f64,
    /// What a reader must know to judge the row: threads, what the peer leaves out, how often it ran.
    pub note: String,
}

impl Row {
    /// A row from paired times.
    pub fn new(work: &str, peer: &str, paired: Paired, wanted: f64, note: &str) -> Self {
        let Paired { ours_s, peer_s, ratio } = paired;
        Self { work: work.into(), ours_s, peer: peer.into(), peer_s, ratio, wanted, note: note.into() }
    }
}

/// Medians of paired runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Paired {
    /// Median of our times, in seconds.
    pub ours_s: f64,
    /// Median of the peer's times, in seconds.
    pub peer_s: f64,
    /// Median of the pairs' ratios, peer / ours. Not the ratio of the medians: a pair shares its moment's noise.
    pub ratio: f64,
}

/// Runs `ours` and `peer` in turn, `pairs` times (at least [`PAIRS_MIN`]), after one unmeasured run of each.
///
/// Both return the seconds that the work took, since a peer in another process times itself without its start; use
/// [`timed`] for work in this process.
///
/// # Errors
///
/// The first error of either.
pub fn paired(
    pairs: usize,
    mut ours: impl FnMut() -> Result<f64>,
    mut peer: impl FnMut() -> Result<f64>,
) -> Result<Paired> {
    // The first run pays for cold caches, page faults and byte-compiled modules.
    ours()?;
    peer()?;
    let mut times = Vec::new();
    for _ in 0..pairs.max(PAIRS_MIN) {
        times.push((ours()?, peer()?));
    }
    Ok(Paired {
        ours_s: median(times.iter().map(|&(ours, _)| ours)),
        peer_s: median(times.iter().map(|&(_, peer)| peer)),
        ratio: median(times.iter().map(|&(ours, peer)| peer / ours)),
    })
}

/// Calls `work` and returns its result with the wall time, in seconds.
///
/// The result goes through [`black_box`], so that the work cannot be optimised away.
#[expect(clippy::disallowed_methods, reason = "a bench reads the clock, here and nowhere else")]
pub fn timed<T>(work: impl FnOnce() -> T) -> (T, f64) {
    let start = Instant::now();
    let result = black_box(work());
    (result, start.elapsed().as_secs_f64())
}

/// The middle value; the mean of the two middle ones for an even count; NaN for none.
pub fn median(values: impl IntoIterator<Item = f64>) -> f64 {
    let mut values: Vec<f64> = values.into_iter().collect();
    values.sort_by(f64::total_cmp);
    match (values.len(), values.len() / 2) {
        (0, _) => f64::NAN,
        (count, middle) if count % 2 == 1 => values[middle],
        (_, middle) => f64::midpoint(values[middle - 1], values[middle]),
    }
}

/// Steps of the loop that a yard is the time of.
pub const YARD_STEPS: u32 = 100_000_000;

/// One yard: the time of a fixed scalar loop on this machine at this moment, in seconds.
///
/// [`YARD_STEPS`] steps, each a rotation and an addition that need the step before: two cycles, which no vector unit can
/// help and no compiler can shorten (it did so with a linear congruential step, by composing several into one). About
/// 0.07 s at 3 GHz. Bounds on work that has no peer are stated in yards, so that a slow or busy machine moves
/// both sides.
pub fn yard_s() -> f64 {
    let ((), seconds) = timed(|| {
        let mut state = black_box(1_u64);
        for _ in 0..YARD_STEPS {
            state = state.rotate_left(5).wrapping_add(0x9e37_79b9_7f4a_7c15);
        }
        black_box(state);
    });
    seconds
}

/// Runs `bench/peers/SCRIPT` with `input` on its standard input and returns the JSON that it prints.
///
/// # Errors
///
/// When the Python environment is missing, the script fails or prints no JSON.
pub fn peer(script: &str, args: &[&str], input: &Value) -> Result<Value> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("peers").join(script);
    checks::run_script(&path, args, input).map_err(|error| anyhow!(error))
}

/// Seconds from a peer's answer, by key.
///
/// # Errors
///
/// When there is no number under the key.
pub fn seconds(answer: &Value, key: &str) -> Result<f64> {
    answer.get(key).and_then(Value::as_f64).with_context(|| format!("no number `{key}` in {answer}"))
}

/// The table as Markdown, one line a row.
pub fn table(rows: &[Row]) -> String {
    let mut text = String::from(
        "| work | ours | peer | its time | ratio | wanted | note |\n|---|---:|---|---:|---:|---:|---|\n",
    );
    for row in rows {
        let short = if row.ratio < row.wanted { " **missed**" } else { "" };
        let _ = writeln!(
            text,
            "| {} | {} | {} | {} | **{}**{short} | {} | {} |",
            row.work,
            duration(row.ours_s),
            row.peer,
            duration(row.peer_s),
            digits(row.ratio),
            digits(row.wanted),
            row.note
        );
    }
    text
}

/// Three significant digits with the unit that suits them.
fn duration(seconds: f64) -> String {
    let (factor, unit) = match seconds {
        s if s >= 1.0 => (1.0, "s"),
        s if s >= 1e-3 => (1e3, "ms"),
        s if s >= 1e-6 => (1e6, "µs"),
        _ => (1e9, "ns"),
    };
    format!("{} {unit}", digits(seconds * factor))
}

/// Three significant digits below a thousand, whole numbers above.
fn digits(value: f64) -> String {
    let decimals = match value.abs() {
        v if v >= 100.0 => 0,
        v if v >= 10.0 => 1,
        _ => 2,
    };
    format!("{value:.decimals$}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_disturbance_that_hits_one_pair_does_not_move_the_ratio() {
        // The third measured pair is ten times slower on both sides, the fourth on ours alone.
        let mut ours = [1.0, 1.0, 1.0, 10.0, 10.0, 1.0].into_iter();
        let mut peer = [4.0, 4.0, 4.0, 40.0, 4.0, 4.0].into_iter();
        let paired = paired(5, || Ok(ours.next().unwrap()), || Ok(peer.next().unwrap())).unwrap();
        assert_eq!(paired, Paired { ours_s: 1.0, peer_s: 4.0, ratio: 4.0 });
    }

    #[test]
    fn median_of_even_odd_and_none() {
        assert_eq!(median([3.0, 1.0, 2.0]), 2.0);
        assert_eq!(median([4.0, 1.0, 2.0, 3.0]), 2.5);
        assert!(median([]).is_nan());
    }

    #[test]
    fn a_missed_promise_is_shown() {
        let times = Paired { ours_s: 0.0042, peer_s: 0.0714, ratio: 17.0 };
        let line = |wanted| table(&[Row::new("work", "peer", times, wanted, "")]);
        assert!(line(15.0).ends_with("| work | 4.20 ms | peer | 71.4 ms | **17.0** | 15.0 |  |\n"));
        assert!(line(20.0).contains("**missed**"));
    }
}
