//! Records from a board that is joined to the computer, and tells its maker what to do meanwhile.
//!
//! The bytes are kept as they come; every second all of them are read and tuned to again, which takes milliseconds. It ends by
//! itself when presses and idle time are enough, at the latest after [`LONGEST_S`].

use super::{PlateArgs, read, readings};
use crate::load::{self, Stop};
use ::tune::levels::Levels;
use ::tune::plate::{Tuned, Wish, tune};
use anstream::{eprint, eprintln};
use std::io::{IsTerminal, Read};
use std::path::Path;
use std::time::{Duration, Instant};

/// Idle readings before the first press, s.
const IDLE_S: f64 = 60.0;
/// Presses that are asked for.
const PRESSES: usize = 10;
/// Presses missed in a thousand that the interval must stay below, to be narrow enough.
const NARROW: f64 = 50.0;
/// Longest recording, s.
const LONGEST_S: f64 = 600.0;
/// No byte for so long, s, and nobody is there.
const SILENT_S: f64 = 10.0;
/// Letters of the live picture.
const WIDE: usize = 48;

/// Whether a source is a serial port: a device that gives letters one by one.
pub(super) fn is_port(path: &Path) -> bool {
    #[cfg(unix)]
    {
        use std::os::unix::fs::FileTypeExt as _;
        std::fs::metadata(path).is_ok_and(|data| data.file_type().is_char_device())
    }
    #[cfg(not(unix))]
    {
        path.to_str().is_some_and(|name| name.to_ascii_uppercase().starts_with("COM"))
    }
}

/// What the recording has come to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Step {
    /// Hands off.
    Idle,
    /// Press.
    Press,
    /// Enough.
    Done,
}

impl Step {
    /// From how long it runs and what it tells.
    fn of(span_s: f64, tuned: Option<&Tuned>) -> Self {
        match tuned {
            _ if span_s < IDLE_S => Self::Idle,
            Some(tuned) if tuned.presses.len() >= PRESSES && tuned.missed.high <= NARROW => Self::Done,
            _ if span_s >= LONGEST_S => Self::Done,
            _ => Self::Press,
        }
    }

    fn says(self) -> &'static str {
        match self {
            Self::Idle => "Hands off the plate for a minute.",
            Self::Press => "Now press ten times, a second each, whenever you like.",
            Self::Done => "That is enough.",
        }
    }
}

/// Records until it is enough; the bytes as they came.
#[expect(clippy::disallowed_methods, reason = "a recording takes the time that it takes")]
pub(super) fn record(args: &PlateArgs, no_time: bool, wish: &Wish) -> Result<Vec<u8>, Stop> {
    let name = args.source.display().to_string();
    let failed = |what: String| {
        Stop::Message(
            format!("{name}: {what}"),
            "is the board joined, and no other program reading it?".into(),
        )
    };
    let mut port = serialport::new(&name, args.baud)
        .timeout(Duration::from_millis(200))
        .open()
        .map_err(|error| failed(error.to_string()))?;
    let (mut bytes, mut piece) = (Vec::new(), vec![0; 4096]);
    let (mut heard, mut looked, mut step) = (Instant::now(), Instant::now(), None);
    let live = std::io::stderr().is_terminal();
    loop {
        match port.read(&mut piece) {
            Ok(0) => break,
            Ok(count) => {
                bytes.extend_from_slice(&piece[..count]);
                heard = Instant::now();
            }
            Err(error) if error.kind() == std::io::ErrorKind::TimedOut => {}
            // A board that was pulled off: what came is kept.
            Err(_) if !bytes.is_empty() => break,
            Err(error) => return Err(failed(load::plain(&error))),
        }
        if heard.elapsed().as_secs_f64() > SILENT_S {
            if bytes.is_empty() {
                return Err(failed(format!("no letter in {SILENT_S:.0} s at {} baud", args.baud)));
            }
            break;
        }
        if looked.elapsed() < Duration::from_secs(1) {
            continue;
        }
        looked = Instant::now();
        let now = look(args, no_time, wish, &bytes, live);
        if step != Some(now) {
            eprintln!("{}{}", if live { "\r\x1b[K" } else { "" }, now.says());
            step = Some(now);
        }
        if now == Step::Done {
            break;
        }
    }
    if live {
        eprintln!();
    }
    if let Some(path) = &args.keep {
        load::write_by(path, |file| file.write_all(&bytes))?;
        eprintln!("Kept: {}", path.display());
    }
    Ok(bytes)
}

/// Reads and tunes to what there is; draws it where somebody looks.
fn look(args: &PlateArgs, no_time: bool, wish: &Wish, bytes: &[u8], live: bool) -> Step {
    let every_s =
        no_time.then(|| args.every.as_deref().and_then(|text| super::time("", text).ok())).flatten();
    // Lines that cannot be read yet say nothing; the end of the recording says it.
    let Ok((log, _)) = read(args, no_time, &mut &*bytes) else { return Step::Idle };
    let Ok(readings) = readings(args, log, every_s, None) else { return Step::Idle };
    let recording = readings.recording();
    let tuned = tune(&recording, wish).ok();
    if live {
        let seen = Levels::of(&readings.counts).map_or(0, |levels| levels.presses.len());
        let presses = tuned.as_ref().map_or(seen, |tuned| tuned.presses.len());
        let last = readings.counts.last().copied().unwrap_or(0);
        eprint!(
            "\r\x1b[K {} {last:>5}  {:.0} s, {presses} presses",
            picture(&readings.counts),
            recording.span_s()
        );
    }
    Step::of(recording.span_s(), tuned.as_ref())
}

/// The latest readings as a row of blocks between the least and greatest of all.
fn picture(counts: &[u16]) -> String {
    const BLOCKS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
    let (least, most) = counts.iter().fold((u16::MAX, 0), |(a, b), count| (a.min(*count), b.max(*count)));
    let height = f64::from(most.saturating_sub(least).max(8));
    let latest = &counts[counts.len().saturating_sub(WIDE)..];
    let block = |count: &u16| BLOCKS[((f64::from(count - least) / height * 7.99) as usize).min(7)];
    format!("{:>WIDE$}", latest.iter().map(block).collect::<String>())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_is_as_wide_as_it_says_whatever_comes() {
        for counts in [vec![], vec![7], vec![0, 65_535], vec![900; 300]] {
            assert_eq!(picture(&counts).chars().count(), WIDE);
        }
        assert!(picture(&[950, 950, 400]).ends_with("██▁"));
    }

    #[test]
    fn it_asks_for_hands_off_first_and_stops_at_last() {
        assert_eq!(Step::of(10.0, None), Step::Idle);
        assert_eq!(Step::of(61.0, None), Step::Press);
        assert_eq!(Step::of(LONGEST_S, None), Step::Done);
    }
}
