//! Every sequence of a few samples at a few levels, under many small configurations.

use detector::{Config, Events, Plate};

const LEVELS: [u16; 4] = [1000, 960, 930, 800];
const LONG: usize = 8;

/// What must be so of any sequence, judged without the detector's own state: the baseline stands still here
/// (`track` 31 and a calibration of one sample), so touched is a plain comparison.
fn judge(config: &Config, samples: &[u16; LONG]) {
    let mut plate = Plate::new();
    let (mut pressed, mut held) = (false, 0);
    let base = samples[0];
    let mut moved = false;
    for (at, &sample) in samples.iter().enumerate() {
        let events = plate.sample(config, sample);
        let debounce = usize::from(config.debounce);
        let touched = |sample: u16| base.saturating_sub(sample) >= config.threshold;
        let lifted = |sample: u16| base.saturating_sub(sample) < config.threshold - config.hysteresis;
        assert!(!(events.has(Events::PRESS) && pressed), "no press within a press");
        assert!(
            !((events.has(Events::LIFT) || events.has(Events::STUCK)) && !pressed),
            "no end without a press"
        );
        if pressed {
            held += 1;
        }
        // A baseline that began anew is another baseline: what follows is judged by the alternation alone.
        moved |= events.has(Events::STUCK) || sample.saturating_sub(base) >= config.threshold;
        if !moved {
            let last = |is: &dyn Fn(u16) -> bool| {
                at >= debounce && samples[at + 1 - debounce..=at].iter().all(|sample| is(*sample))
            };
            if events.has(Events::PRESS) {
                assert!(last(&touched), "{samples:?} at {at} under {config:?}");
            }
            if events.has(Events::LIFT) {
                assert!(last(&lifted) && held >= debounce, "{samples:?} at {at} under {config:?}");
            }
            // And none is missed: idle, touched for the whole of the debounce.
            if !pressed && last(&touched) {
                assert!(events.has(Events::PRESS), "{samples:?} at {at} under {config:?}");
            }
        }
        if events.has(Events::PRESS) {
            (pressed, held) = (true, 0);
        }
        if events.has(Events::LIFT) || events.has(Events::STUCK) {
            pressed = false;
        }
        assert_eq!(plate.is_pressed(), pressed);
        assert!(config.longest == 0 || held <= config.longest as usize, "none lasts longer than the longest");
    }
}

#[test]
fn every_short_sequence_keeps_the_promises() {
    let mut tried = 0;
    for debounce in 1..=3 {
        for (threshold, hysteresis) in [(40, 0), (40, 10), (70, 30)] {
            for longest in [0, 2, 4] {
                let config = Config {
                    debounce,
                    threshold,
                    hysteresis,
                    longest,
                    calibrate: 0,
                    track: 31,
                    track_away: 31,
                    dead: 0,
                    ..Config::USUAL
                };
                for number in 0..LEVELS.len().pow(LONG as u32) {
                    let samples = std::array::from_fn(|at| LEVELS[number >> (2 * at) & 3]);
                    judge(&config, &samples);
                    tried += 1;
                }
            }
        }
    }
    assert_eq!(tried, 27 * 65_536);
}
