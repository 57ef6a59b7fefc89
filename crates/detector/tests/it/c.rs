//! The C form, compiled with every warning denied and the sanitizers on, sample for sample against the Rust form.

use detector::{C_HEADER, C_SOURCE, Config, Events, PLATE_BYTES, Plate};
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// A small generator (xorshift64*, Vigna 2016), so that a failure can be run again.
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1)
    }

    pub(crate) fn below(&mut self, end: u32) -> u32 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (((self.0.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 32) * u64::from(end)) >> 32) as u32
    }
}

/// Configurations of all kinds: tuned ones, small ones, and any numbers at all.
pub(crate) fn config(dice: &mut Dice) -> Config {
    if dice.below(3) == 0 {
        return Config {
            rises: dice.below(2) == 1,
            median: dice.below(256) as u8,
            debounce: dice.below(256) as u8,
            calibrate: dice.below(256) as u8,
            track: dice.below(256) as u8,
            track_away: dice.below(256) as u8,
            track_noise: dice.below(256) as u8,
            threshold: dice.below(65_536) as u16,
            hysteresis: dice.below(65_536) as u16,
            level: dice.below(65_536) as u16,
            hold: dice.below(u32::MAX),
            longest: dice.below(3000),
            dead: dice.below(65_536) as u16,
            noisy: dice.below(65_536) as u16,
        };
    }
    Config {
        rises: dice.below(2) == 1,
        median: [1, 3, 5][dice.below(3) as usize],
        debounce: 1 + dice.below(5) as u8,
        calibrate: dice.below(9) as u8,
        track: 3 + dice.below(12) as u8,
        track_away: 3 + dice.below(12) as u8,
        track_noise: 3 + dice.below(8) as u8,
        threshold: 5 + dice.below(300) as u16,
        hysteresis: dice.below(100) as u16,
        level: if dice.below(4) == 0 { 300 + dice.below(800) as u16 } else { 0 },
        hold: dice.below(60),
        longest: dice.below(600),
        dead: dice.below(40) as u16,
        noisy: dice.below(200) as u16,
    }
}

/// A log as `host.c` reads it: idle with drift and noise, touches, steps, gaps, jumps to anywhere.
pub(crate) fn log(dice: &mut Dice, samples: usize) -> Vec<u32> {
    let (mut idle, mut touched) = (900.0_f64, 0_u32);
    let noise = 1 + dice.below(30);
    (0..samples)
        .map(|_| {
            idle = (idle + (f64::from(dice.below(101)) - 50.0) / 500.0).clamp(0.0, 65_535.0);
            match dice.below(4000) {
                0 => idle = f64::from(dice.below(65_536)),
                1..=3 => idle = 900.0,
                4 => return 65_536 + dice.below(5000),
                5 => return dice.below(65_536),
                6..=40 => touched = dice.below(200),
                _ => {}
            }
            touched = touched.saturating_sub(1);
            let level = if touched > 0 { idle * 0.5 } else { idle };
            (level + f64::from(dice.below(2 * noise)) - f64::from(noise)).clamp(0.0, 65_535.0) as u32
        })
        .collect()
}

fn numbers(c: &Config) -> [u32; 14] {
    [
        u32::from(c.rises),
        c.median.into(),
        c.debounce.into(),
        c.calibrate.into(),
        c.track.into(),
        c.track_away.into(),
        c.track_noise.into(),
        c.threshold.into(),
        c.hysteresis.into(),
        c.level.into(),
        c.hold,
        c.longest,
        c.dead.into(),
        c.noisy.into(),
    ]
}

fn mix(hash: u64, value: u64) -> u64 {
    (hash ^ value).wrapping_mul(0x9e37_79b9_7f4a_7c15).wrapping_add(hash >> 29)
}

/// The digests that `host.c` prints, by the Rust form; the state is read from its bytes.
fn digests(config: &Config, log: &[u32]) -> Vec<String> {
    let (mut plate, mut hash, mut printed) = (Plate::new(), 0, Vec::new());
    for (at, &sample) in log.iter().enumerate() {
        let mut events = Events::NONE;
        if sample < 65_536 {
            events = plate.sample(config, sample as u16);
        } else {
            plate.gap(sample - 65_536);
        }
        let bytes: [u8; PLATE_BYTES] = plate.to_bytes();
        let two = |at: usize| u64::from(u16::from_le_bytes([bytes[at], bytes[at + 1]]));
        let four = |at: usize| two(at) | two(at + 2) << 16;
        hash = mix(hash, four(4) << 32 | four(8));
        hash = mix(hash, four(12) << 32 | two(16) << 16 | two(18));
        for before in 0..4 {
            hash = mix(hash, two(22 + 2 * before) << 16 | two(20));
        }
        let small = |at: usize| u64::from(bytes[at]);
        hash =
            mix(hash, u64::from(events.0) << 24 | small(30) << 16 | small(2) << 8 | small(1) << 4 | small(3));
        if at % 1000 == 999 || at + 1 == log.len() {
            printed.push(format!("{hash:016x}"));
        }
    }
    printed
}

/// Compiles the C form with `host.c`; `None` where this machine has no gcc.
fn host() -> Option<PathBuf> {
    let here = Path::new(env!("CARGO_TARGET_TMPDIR")).join("detector-c");
    std::fs::create_dir_all(&here).expect("a folder of our own");
    std::fs::write(here.join("dw_plate.h"), C_HEADER).expect("written");
    std::fs::write(here.join("dw_plate.c"), C_SOURCE).expect("written");
    let program = here.join("host");
    let main = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/host.c");
    let ran = Command::new("gcc")
        .args(["-std=c99", "-Wall", "-Wextra", "-Werror", "-pedantic", "-Wconversion", "-O1"])
        .args(["-fsanitize=address,undefined", "-fno-sanitize-recover=all", "-I"])
        .arg(&here)
        .arg(here.join("dw_plate.c"))
        .arg(main)
        .arg("-o")
        .arg(&program)
        .output();
    match ran {
        Ok(ran) => {
            assert!(ran.status.success(), "{}", String::from_utf8_lossy(&ran.stderr));
            Some(program)
        }
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => None,
        Err(error) => panic!("gcc: {error}"),
    }
}

/// Ten million samples under five hundred configurations.
#[test]
fn c_and_rust_are_equal_in_every_bit_of_state_after_every_sample() {
    let Some(host) = host() else {
        eprintln!("no gcc here: the C form is not compared");
        return;
    };
    let mut dice = Dice::new(20_261_127);
    let (mut input, mut ours, mut pressed) = (Vec::new(), Vec::new(), 0);
    for _ in 0..500 {
        let (config, log) = (config(&mut dice), log(&mut dice, 20_000));
        for number in numbers(&config).into_iter().chain([log.len() as u32]).chain(log.iter().copied()) {
            input.extend(number.to_le_bytes());
        }
        ours.extend(digests(&config, &log));
        let mut plate = Plate::new();
        let samples = log.iter().filter(|sample| **sample < 65_536);
        pressed += samples.filter(|sample| plate.sample(&config, **sample as u16).has(Events::PRESS)).count();
    }
    assert!(pressed > 10_000, "{pressed} presses: the logs try what matters");
    let mut child = Command::new(host)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("what was compiled runs");
    let mut stdin = child.stdin.take().expect("piped");
    let writer = std::thread::spawn(move || stdin.write_all(&input));
    let output = child.wait_with_output().expect("it ends");
    writer.join().expect("no panic").expect("it reads all");
    assert!(output.status.success(), "the sanitizers found something");
    let theirs: Vec<&str> = std::str::from_utf8(&output.stdout).expect("digits").lines().collect();
    assert_eq!(theirs.len(), ours.len());
    let differ = ours.iter().zip(&theirs).position(|(ours, theirs)| ours != theirs);
    assert_eq!(differ, None, "the first thousand samples that differ, of 20 each run");
}
