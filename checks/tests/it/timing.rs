//! Sums of times against SciPy's Fourier transforms, a whole house against draws, and the trade's figures.

use checks::{near, near_relative, number, peer_with};
use models::luck::Stream;
use models::timing::chain::{Cause, Step};
use models::timing::connection::{drift_s, half_open_s, head_of_line_s};
use models::timing::dist::Dist;
use models::timing::grid::{Grid, Times};
use models::timing::join::Join;
use models::timing::typical::{self, House};
use models::timing::waiting::Waiting;
use serde_json::{Value, json};

const AT: [f64; 5] = [0.05, 0.25, 0.5, 0.75, 0.95];

/// A distribution as the peer reads it.
fn told(dist: &Dist) -> Value {
    match dist {
        Dist::Point(time_s) => json!({ "point": time_s }),
        Dist::Uniform { low, high } => json!({ "uniform": [low, high] }),
        Dist::LogNormal { median, factor95 } => {
            json!({ "lognormal": [median, factor95.ln() / 1.959963984540054] })
        }
        Dist::TwoPiece { p5, p50, p95 } => json!({ "two_piece": [p5, p50, p95] }),
        Dist::Mixture(parts) => {
            json!({ "mixture": parts.iter().map(|(share, part)| json!([share, told(part)])).collect::<Vec<_>>() })
        }
    }
}

/// A step of any shape, from 10 ms to half a minute.
fn invented(stream: &mut Stream) -> Dist {
    let mut between = |low: f64, high: f64| low * (high / low).powf(stream.unit());
    let median = between(0.02, 10.0);
    match between(1.0, 6.0) as u32 {
        1 => Dist::Point(median),
        2 => Dist::Uniform { low: median * 0.5, high: median * between(0.6, 3.0) },
        3 => Dist::LogNormal { median, factor95: between(1.05, 5.0) },
        4 => {
            Dist::TwoPiece { p5: median / between(1.05, 5.0), p50: median, p95: median * between(1.05, 6.0) }
        }
        _ => Dist::Mixture(vec![
            (0.95, Dist::TwoPiece { p5: median / 2.0, p50: median, p95: median * 3.0 }),
            (0.05, Dist::Uniform { low: 4.0 * median, high: 10.0 * median }),
        ]),
    }
}

/// 60 chains of 2 to 10 steps of all shapes, at least one of them not narrow: five quantiles of each.
///
/// SciPy's own error (2^19 cells of under a thousandth of the median) is far below the tolerances, which are the ones
/// that `models::timing::grid` states.
#[test]
#[ignore = "calls a Python peer"]
fn sums_by_fourier_transform() {
    let mut stream = Stream::new(20_261_128);
    let (mut asked, mut chains) = (Vec::new(), Vec::new());
    for i in 0..60 {
        let mut steps: Vec<Dist> = (0..=i % 9).map(|_| invented(&mut stream)).collect();
        steps.push(Dist::TwoPiece { p5: 1.6, p50: 3.0, p95: 7.0 });
        asked.push(json!({ "steps": steps.iter().map(told).collect::<Vec<_>>(), "at": AT }));
        chains.push(steps);
    }
    let answer = peer_with("timing_scipy.py", &[], &json!({ "chains": asked }));
    for (grid, share, relative) in [(Grid::coarse(), 0.012, 0.015), (Grid::fine(), 0.002, 0.002)] {
        let (mut worst_share, mut worst_time) = (0.0f64, 0.0f64);
        for (i, steps) in chains.iter().enumerate() {
            let sum = steps.iter().fold(Times::none(grid), |sum, dist| sum.plus(&Times::of(grid, dist)));
            for (j, u) in AT.into_iter().enumerate() {
                let theirs_s = number(&answer, &format!("/chains/{i}/quantiles/{j}"));
                worst_share = worst_share.max((sum.cdf(theirs_s) - u).abs());
                worst_time = worst_time.max((sum.quantile(u) / theirs_s - 1.0).abs());
            }
        }
        println!("worst: {worst_share:.5} in probability, {:.3} % in time", 100.0 * worst_time);
        near(worst_share, 0.0, share, "probability");
        near(worst_time, 0.0, relative, "time");
    }
}

/// The usual house, hidden state and all, by 4 million draws in NumPy.
///
/// Standard error of a share 0.00025, of a quantile at 95 % about 0.1 %; tolerances are four of those and the fine grid's
/// own. The 5, 50, 95 % and both shares of calls known before the visitor leaves.
#[test]
#[ignore = "calls a Python peer"]
fn a_house_by_draws() {
    let chain = typical::chain(&House { join: Join { sae: true, ..Join::FULL }, tls: true, ..House::USUAL });
    let step = |step: &Step| json!({ "takes": told(&step.takes), "lengthened": !matches!(step.cause, Cause::Station | Cause::Person) });
    let steps = |steps: &[Step]| steps.iter().map(step).collect::<Vec<_>>();
    let ways: Vec<Value> = chain
        .ways
        .iter()
        .map(|way| json!({ "heard": steps(&way.heard), "seen": steps(&way.seen) }))
        .collect();
    let waiting = Waiting::usual();
    let waits: Vec<Value> = waiting.kinds.iter().map(|(share, waits)| json!([share, told(waits)])).collect();
    let answer = peer_with(
        "timing_scipy.py",
        &[],
        &json!({ "house": {
            "seed": 1, "draws": 4_000_000, "at": [0.05, 0.5, 0.95], "shared": steps(&chain.shared), "ways": ways,
            "poor_share": chain.weather.poor_share, "poor_factor": chain.weather.poor_factor,
            "down_share": chain.weather.down_share, "down_rest": told(chain.weather.down_rest.as_ref().unwrap()),
            "waits": waits,
        } }),
    );
    for (grid, relative, share) in [(Grid::fine(), 0.005, 0.0015), (Grid::coarse(), 0.015, 0.004)] {
        let known = chain.known(grid);
        for (name, times) in [("delivered", &known.delivered), ("heard", &known.heard), ("seen", &known.seen)]
        {
            for (j, u) in [0.05, 0.5, 0.95].into_iter().enumerate() {
                let theirs_s = number(&answer, &format!("/house/{name}/{j}"));
                println!("{name} {u}: {:.3} s, drawn {theirs_s:.3} s", times.quantile(u));
                near_relative(times.quantile(u), theirs_s, relative, name);
            }
        }
        for (j, times) in [&known.heard, &known.seen].into_iter().enumerate() {
            let theirs = number(&answer, &format!("/house/shares/{j}"));
            println!("share {:.4}, drawn {theirs:.4}", waiting.share_before(times));
            near(waiting.share_before(times), theirs, share, "share before the visitor leaves");
        }
    }
}

/// A sum of equal exponentials would be a gamma; of lognormals nothing is closed but the moments: mean and variance of
/// ten, from the textbook's formulas.
#[test]
fn moments_of_ten_lognormals() {
    let (median, factor95) = (0.8f64, 3.0f64);
    let sigma = factor95.ln() / 1.959963984540054;
    let (mean, square) =
        (median * (sigma * sigma / 2.0).exp(), median * median * (2.0 * sigma * sigma).exp());
    for (grid, off) in [(Grid::coarse(), 2e-3), (Grid::fine(), 2e-4)] {
        let one = Times::of(grid, &Dist::LogNormal { median, factor95 });
        let sum = (0..10).fold(Times::none(grid), |sum, _| sum.plus(&one));
        near_relative(sum.mean_s(), 10.0 * mean, off, "mean");
        let variance = sum.expect(|t| t * t) - sum.mean_s().powi(2);
        near_relative(variance, 10.0 * (square - mean * mean), 10.0 * off, "variance");
    }
}

/// trade.md timing, figures marked calc or std.
#[test]
fn trade_figures() {
    near(drift_s(3600.0, 0.01), 36.0, 1e-9, "timing.clock");
    near(drift_s(3600.0, 0.05), 180.0, 1e-9, "timing.clock");
    near(half_open_s(20.0), 30.0, 0.0, "timing.half-open, MQTT 5.0 section 3.1.2.10");
    near(head_of_line_s(60e3, 0.46e6).unwrap(), 1.04, 0.005, "60 kB at a round trip of 100 ms");
    // Before anybody can know, half of the couriers and a twentieth of the guests have left at 12 s.
    near(Waiting::usual().still_there(12.0), 0.68, 1e-9, "0.6 × 0.5 + 0.4 × 0.95");
}
