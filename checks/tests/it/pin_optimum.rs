//! The pin optimum against CP-SAT (OR-Tools 9.15, one worker) on 200 random boards of 40 pins and 20 demands.
//!
//! The peer gets the price of each pair and the facts of timers, channels, wake sources and neighbours, and builds its
//! own model of them. That the prices are right is tested in `models` against rules written out plainly.

use checks::peer;
use models::pins::{Case, Solved, sample};
use serde_json::Value;

#[test]
#[ignore = "calls a Python peer"]
fn cpsat_finds_the_same_optimum_and_the_same_impossible_boards() {
    let boards: Vec<_> = (0..200).map(|seed| sample::board(seed, 40, 20)).collect();
    let cases: Vec<Case<'_>> = boards
        .iter()
        .map(|(board, demands)| Case::new(board, demands).expect("samples are usable"))
        .collect();
    let text = cases.iter().map(sample::instance_json).collect::<Vec<_>>().join(",\n");
    let path = std::env::temp_dir().join(format!("pin_optimum_{}.json", std::process::id()));
    std::fs::write(&path, format!("[{text}]")).expect("a file for the peer");
    let answer = peer("pins_cpsat.py", &[path.to_str().expect("a plain path")]);
    std::fs::remove_file(&path).expect("our own file");
    let results = answer["results"].as_array().expect("a list of results");
    assert_eq!(results.len(), cases.len());

    let (mut wired, mut impossible) = (0, 0);
    for (seed, (case, theirs)) in cases.iter().zip(results).enumerate() {
        let ours = match case.solve() {
            Solved::Wired(wiring) => {
                assert!(wiring.proven, "seed {seed}");
                wired += 1;
                Value::from(wiring.cost)
            }
            Solved::Impossible => {
                impossible += 1;
                assert!(case.conflict().is_some_and(|conflict| conflict.minimal), "seed {seed}");
                Value::Null
            }
            Solved::GaveUp => panic!("seed {seed}: gave up"),
        };
        assert_eq!(ours, theirs["cost"], "seed {seed}");
    }
    assert!(
        wired > 50 && impossible > 50,
        "{wired} wired and {impossible} impossible: both answers are compared"
    );
}
