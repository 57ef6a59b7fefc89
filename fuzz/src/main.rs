//! The driver that needs only a stable toolchain: `cargo run --release --manifest-path fuzz/Cargo.toml -- …`.
//!
//! ```text
//! list                                   the targets, one a line
//! TARGET [--minutes N] [--seed S]        searches; one line of counts, or the input found in fuzz/found/ and status 1
//! ```

use doorwright_fuzz::{Found, Search, TARGETS, seeds};
use std::error::Error;
use std::path::Path;
use std::process::ExitCode;
use std::time::{Duration, Instant};

fn main() -> Result<ExitCode, Box<dyn Error>> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    match args.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        ["list"] => {
            for (name, _) in TARGETS {
                println!("{name}");
            }
            Ok(ExitCode::SUCCESS)
        }
        [name] => run(name, 1, 1),
        [name, "--minutes", minutes] => run(name, minutes.parse()?, 1),
        [name, "--seed", seed] => run(name, 1, seed.parse()?),
        [name, "--minutes", minutes, "--seed", seed] => run(name, minutes.parse()?, seed.parse()?),
        _ => Err("usage: list | TARGET [--minutes N] [--seed S]".into()),
    }
}

#[expect(clippy::disallowed_methods, reason = "the search is told in minutes")]
fn run(name: &str, minutes: u64, seed: u64) -> Result<ExitCode, Box<dyn Error>> {
    let (_, target) =
        TARGETS.iter().find(|(known, _)| *known == name).ok_or("no such target; `list` shows them")?;
    let seeds = seeds(name)?;
    // The search catches panics and shows the last one; the many of shortening would only scroll it away.
    std::panic::set_hook(Box::new(|_| {}));
    let end = Instant::now() + Duration::from_secs(60 * minutes);
    let searched = Search::new(*target, &seeds, seed).and_then(|mut search| {
        let (mut slowest, mut before) = (Duration::ZERO, Instant::now());
        while before < end {
            search.step()?;
            let now = Instant::now();
            slowest = slowest.max(now - before);
            before = now;
        }
        Ok((search, slowest))
    });
    match searched {
        Ok((search, slowest)) => {
            println!(
                "{name}: {} inputs, {} outcomes, nothing found; slowest {} ms, peak memory {} ({minutes} min, seed \
                 {seed}, {} seeds, no coverage guidance)",
                search.tried(),
                search.outcomes(),
                slowest.as_millis(),
                peak_memory(),
                seeds.len()
            );
            Ok(ExitCode::SUCCESS)
        }
        Err(found) => {
            keep(name, &found)?;
            Ok(ExitCode::FAILURE)
        }
    }
}

fn keep(name: &str, found: &Found) -> std::io::Result<()> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("found");
    std::fs::create_dir_all(&folder)?;
    let path = folder.join(name);
    std::fs::write(&path, &found.input)?;
    eprintln!(
        "{name}: {}\n{:?}\nkept in {}",
        found.said,
        String::from_utf8_lossy(&found.input),
        path.display()
    );
    Ok(())
}

/// The most memory that this process ever held, where the system tells (Linux: `VmHWM`).
fn peak_memory() -> String {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let peak = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    peak.map_or("unknown", str::trim).to_owned()
}
