//! The least-cost wiring of a board, 40 pins and 20 demands, beside CP-SAT on the same boards.
//!
//! The peer runs with one worker and with the setting that suits it best (see `checks/peers/pins_cpsat.py`). Both
//! solve 1,000 random boards, about half of them impossible; where ours also finds the minimal conflict, the peer only
//! says no. The peer's answers are compared with ours: another optimum is an error, not a row.

use anyhow::{Context, Result, ensure};
use bench::{PAIRS_MIN, Paired, Row, median, paired, timed};
use models::pins::{Case, Outcome, assign, board::Board, demand::Demand, sample};
use serde_json::Value;
use std::path::PathBuf;
use std::process::{Command, Stdio};

const BOARDS: usize = 1_000;
/// Boards that each paired run of the peer solves; all 1,000 are solved once, for the worst.
const PAIRED_BOARDS: usize = 50;

/// Each pairing; see the top of the file.
pub(crate) fn rows() -> Result<Vec<Row>> {
    let boards: Vec<_> = (0..BOARDS as u64).map(|seed| sample::board(seed, 40, 20)).collect();
    let all = Cases::write("all", &boards)?;
    let few = Cases::write("few", &boards[..PAIRED_BOARDS])?;
    let one = Cases::write("one", &boards[..1])?;

    // A board that a sleeping core or another process disturbed is not a slow board: the best of five runs.
    let ours = boards.iter().map(best_of_five).collect::<Result<Vec<_>>>()?;
    let theirs = all.solved()?;
    ensure!(theirs.len() == boards.len(), "the peer solved {} boards", theirs.len());
    for (seed, ((cost, _), peer)) in ours.iter().zip(&theirs).enumerate() {
        ensure!(Value::from(*cost) == peer.cost, "board {seed}: ours {cost:?}, the peer's {}", peer.cost);
    }
    let worst = |times: &mut dyn Iterator<Item = f64>| times.fold(0.0, f64::max);
    let ours_worst_s = worst(&mut ours.iter().map(|o| o.1));
    let peer_worst_s = worst(&mut theirs.iter().map(|t| t.solve_s));
    let worst_pair =
        Paired { ours_s: ours_worst_s, peer_s: peer_worst_s, ratio: peer_worst_s / ours_worst_s };

    // Boards with a wiring and boards without are different work: the peer refutes many before it searches.
    let (wired, impossible): (Vec<usize>, Vec<usize>) =
        (0..PAIRED_BOARDS).partition(|&board| ours[board].0.is_some());
    let our_median =
        |which: &[usize]| Ok(median(which.iter().map(|&board| timed(|| solve(&boards[board])).1)));
    let their_median = |which: &[usize], time: fn(&Solved) -> f64| {
        let solved = few.solved()?;
        Ok(median(which.iter().map(|&board| time(&solved[board]))))
    };
    let proving = paired(PAIRS_MIN, || our_median(&wired), || their_median(&wired, |t| t.solve_s))?;
    let building =
        paired(PAIRS_MIN, || our_median(&wired), || their_median(&wired, |t| t.build_s + t.solve_s))?;
    let refuting = paired(
        PAIRS_MIN,
        || our_median(&impossible),
        || their_median(&impossible, |t| t.build_s + t.solve_s),
    )?;
    let refuting_alone_s = their_median(&impossible, |t| t.solve_s)?;
    let process = paired(PAIRS_MIN, own_process, || one.process_s())?;

    let peer = "OR-Tools CP-SAT, one worker, in process";
    let work = "pins, 40 × 20";
    Ok(vec![
        Row::new(
            &format!("{work}, least cost, proven, median board"),
            peer,
            proving,
            4.0,
            "ours from the facts on; the peer's solving alone; same answers on all 1,000 boards",
        ),
        Row::new(
            &format!("{work}, least cost, proven, median board"),
            &format!("{peer}, with building its model"),
            building,
            4.0,
            "",
        ),
        Row::new(
            &format!("{work}, impossible, median board"),
            &format!("{peer}, with building its model"),
            refuting,
            4.0,
            &format!(
                "ours with the minimal conflict; the peer only says no, mostly before it searches: {:.0} µs of its time",
                refuting_alone_s * 1e6
            ),
        ),
        Row::new(
            &format!("{work}, worst of {BOARDS} boards"),
            peer,
            worst_pair,
            4.0,
            "each side's own worst board; ours the best of 5 runs a board, the peer's a single run",
        ),
        Row::new(
            "pins, one board, whole process",
            "OR-Tools CP-SAT, `python3 pins_cpsat.py`",
            process,
            50.0,
            "process start to exit; ours is `doorwright pins` on a plan, text and parts read",
        ),
    ])
}

/// Least cost (none: impossible) with everything that a maker is told.
fn solve((board, demands): &(Board, Vec<Demand>)) -> Result<Option<u32>> {
    match assign(board, demands)? {
        Outcome::Wired(wiring) => {
            ensure!(wiring.proven, "not proven");
            Ok(Some(wiring.cost))
        }
        Outcome::Impossible(conflict) => {
            ensure!(conflict.minimal, "not shown to be minimal");
            Ok(None)
        }
        Outcome::GaveUp => anyhow::bail!("gave up"),
    }
}

fn best_of_five(board: &(Board, Vec<Demand>)) -> Result<(Option<u32>, f64)> {
    let mut best_s = f64::INFINITY;
    let mut cost = None;
    for _ in 0..5 {
        let (found, took_s) = timed(|| solve(board));
        cost = found?;
        best_s = best_s.min(took_s);
    }
    Ok((cost, best_s))
}

/// Seconds of `doorwright pins` from start to exit.
fn own_process() -> Result<f64> {
    let doorwright =
        std::env::current_exe().context("cannot find this program")?.with_file_name("doorwright");
    let mut command = Command::new(&doorwright);
    command
        .args(["pins", "plans/kiln-yard-gate.toml"])
        .current_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/.."));
    let (status, took_s) = timed(|| command.stdin(Stdio::null()).stdout(Stdio::null()).status());
    let code = status.with_context(|| format!("cannot start {}", doorwright.display()))?.code();
    ensure!(matches!(code, Some(0 | 1)), "doorwright pins ended with {code:?}");
    Ok(took_s)
}

/// A file of boards for the peer; deleted at the end.
struct Cases(PathBuf);

/// What the peer says of one board.
struct Solved {
    cost: Value,
    build_s: f64,
    solve_s: f64,
}

impl Cases {
    fn write(name: &str, boards: &[(Board, Vec<Demand>)]) -> Result<Self> {
        let cases = boards
            .iter()
            .map(|(board, demands)| Ok(sample::instance_json(&Case::new(board, demands)?)))
            .collect::<Result<Vec<_>>>()?;
        let path = std::env::temp_dir().join(format!("pins_{name}_{}.json", std::process::id()));
        std::fs::write(&path, format!("[{}]", cases.join(",\n")))?;
        Ok(Self(path))
    }

    fn path(&self) -> Result<&str> {
        self.0.to_str().context("the folder for temporary files has an odd name")
    }

    fn solved(&self) -> Result<Vec<Solved>> {
        let answer = bench::peer("pins_cpsat_bench.py", &[self.path()?], &Value::Null)?;
        let results = answer["results"].as_array().context("no `results`")?;
        let one = |result: &Value| {
            Ok(Solved {
                cost: result["cost"].clone(),
                build_s: bench::seconds(result, "build_s")?,
                solve_s: bench::seconds(result, "solve_s")?,
            })
        };
        results.iter().map(one).collect()
    }

    /// Seconds of the peer's whole process on this file.
    fn process_s(&self) -> Result<f64> {
        let script = concat!(env!("CARGO_MANIFEST_DIR"), "/../checks/peers/pins_cpsat.py");
        let mut command = Command::new(checks::python().map_err(anyhow::Error::msg)?);
        command.args([script, self.path()?]).stdin(Stdio::null()).stdout(Stdio::null());
        let (status, took_s) = timed(|| command.status());
        ensure!(status?.success(), "pins_cpsat.py failed");
        Ok(took_s)
    }
}

impl Drop for Cases {
    fn drop(&mut self) {
        // What is left in the folder for temporary files harms nobody.
        let _ = std::fs::remove_file(&self.0);
    }
}
