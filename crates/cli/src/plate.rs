//! `doorwright tune plate`: a recording of readings in, the detector that suits the plate out.
//!
//! Bytes go to [`tune::lines`], readings to [`tune::plate`]; [`told`] puts what comes out into words and JSON, [`listen`]
//! records from a board that is joined to the computer, [`messages`] reads what a station tells over the air.

mod listen;
mod messages;
mod told;

use self::messages::Messages;
use crate::edit::{changed, show_changes};
use crate::load::{self, NOT_SHOWN, Stop};
use ::tune::levels::Sense;
use ::tune::lines::{Log, Pattern, Rate, Reader, Refused, Stream, TimeWish, Wish as LogWish};
use ::tune::plate::{Recording, Tuned, Wish, tune};
use ::tune::verdict::{Judged, Verdict};
use anstream::{eprintln, print, println};
use models::energy::YEAR_S;
use sha2::{Digest, Sha256};
use station::choices::{Rest, TouchLaw};
use station::plan::Plan;
use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Readings of a log without times are taken as so far apart, s, where nobody says it.
const TAKEN_S: f64 = 0.05;

/// Arguments of `tune plate`.
#[derive(clap::Args)]
#[command(
    after_help = "Record with the final supply, case and wall: hands off for a minute, then ten presses a second each, \
    whenever you like. The reading is found in any text: columns, log lines, JSON.\n\n\
    Examples:\n  doorwright tune plate plate.csv\n  doorwright tune plate /dev/ttyUSB0 --keep plate.log\n  \
    doorwright tune plate monitor.log --pattern \"touch=<count>\"\n  \
    doorwright tune plate plate.csv --write gate.toml\n\n\
    Exit code: 0 fits or tight, 1 the recording does not show that it works, 2 bad input."
)]
pub struct PlateArgs {
    /// The log, a file; - is standard input; a serial port records with you.
    source: PathBuf,
    /// How a line is written: its text with `<count>`, `<time>`, `<plate>` and `<any>` in their places.
    #[arg(long)]
    pattern: Option<String>,
    /// The field with the readings, by its name in the log.
    #[arg(long, value_name = "FIELD", conflicts_with = "pattern")]
    count: Option<String>,
    /// Which plate, where the log has several.
    #[arg(long, value_name = "NAME")]
    plate: Option<String>,
    /// Time between two readings, where the log has no times.
    #[arg(long, value_name = "TIME")]
    every: Option<String>,
    /// The metal itself is touched, not a cover; where --write names a plan, that says it.
    #[arg(long, conflicts_with = "write")]
    bare: bool,
    /// What a missed press costs, in false ones.
    #[arg(long, value_name = "N", default_value_t = Wish::USUAL.missed_cost)]
    missed_costs: f64,
    /// Longest press that is believed [default: 20 s, or what the plan says].
    #[arg(long, value_name = "TIME")]
    longest: Option<String>,
    /// Also the threshold for a station that sleeps and learns its idle level anew so often.
    #[arg(long, value_name = "TIME", conflicts_with = "write")]
    asleep: Option<String>,
    /// Writes what came out into this plan, and takes from it how the plate is used.
    #[arg(long, value_name = "PLAN")]
    write: Option<PathBuf>,
    /// Draws the recording, its levels and what a threshold costs.
    #[arg(long, value_name = "FILE")]
    svg: Option<PathBuf>,
    /// Symbols a second of a serial port.
    #[arg(long, value_name = "N", default_value_t = 115_200)]
    baud: u32,
    /// Keeps what a serial port said, for another time.
    #[arg(long, value_name = "FILE")]
    keep: Option<PathBuf>,
    /// Prints the result as JSON.
    #[arg(long)]
    json: bool,
}

/// What a log holds, ready to be tuned to.
struct Readings {
    counts: Vec<u16>,
    gaps: Vec<(usize, u32)>,
    /// Knows when each was read.
    stream: Stream,
    period_s: f64,
    rate: Rate,
    /// Lines that could not be read.
    unread: u64,
    /// What was taken for what, a sentence each.
    says: Vec<String>,
}

impl Readings {
    fn recording(&self) -> Recording<'_> {
        Recording { counts: &self.counts, period_s: self.period_s, gaps: &self.gaps }
    }

    fn time_s(&self, sample: usize) -> f64 {
        self.stream.time_s(sample as u64).unwrap_or(sample as f64 * self.period_s)
    }
}

/// Runs `tune plate`.
pub fn run(args: &PlateArgs) -> Result<ExitCode, Stop> {
    // A plan that cannot take the result is said before anybody presses.
    let plan = args.write.as_deref().map(writable).transpose()?;
    let wish = wish(args, plan.as_ref())?;
    let every_s = args.every.as_deref().map(|text| within("--every", text, [1e-4, 2.0])).transpose()?;
    let (log, digest) = if listen::is_port(&args.source) {
        let kept = listen::record(args, every_s.is_some(), &wish)?;
        read(args, every_s.is_some(), &mut &kept[..])?
    } else if args.source == Path::new("-") {
        read(args, every_s.is_some(), &mut std::io::stdin().lock())?
    } else {
        let mut file = File::open(&args.source).map_err(|error| unreadable(&args.source, &error))?;
        read(args, every_s.is_some(), &mut file)?
    };
    let readings = readings(args, log, every_s, plan.as_ref())?;
    let tuned = match readings.rate {
        Rate::Slow => Err("the log has a line a second or fewer: record every reading, at the detector's own rate, with times".into()),
        Rate::OnChange => Err("the log has changes only: record every reading, at the detector's own rate, with times".into()),
        _ => tune(&readings.recording(), &wish).map_err(|cannot| cannot.to_string()),
    };
    let tuned = match tuned {
        Ok(tuned) => tuned,
        Err(why) => {
            if args.json {
                println!("{:#}", told::nothing(&readings, &why));
            } else {
                print!("{}", told::refusal(&readings, &why));
            }
            if let Some(path) = &args.write {
                eprintln!("{} is left as it is.", path.display());
            }
            return Ok(ExitCode::from(NOT_SHOWN));
        }
    };
    let judged = Judged::of(&tuned, readings.rate, readings.recording().span_s());
    if args.json {
        println!("{:#}", told::json(&tuned, &readings, &judged));
    } else {
        print!("{}", told::sheet(&tuned, &readings, &judged, args));
    }
    if let Some(path) = &args.svg {
        let named = args.source.file_name().map_or("standard input".into(), |name| name.to_string_lossy());
        let station = plan.as_ref().map(|plan| plan.name.as_str()).filter(|name| !name.is_empty());
        load::write(path, &draw::recording::svg(&readings.recording(), &tuned, &judged, (&named, station)))?;
        eprintln!("Written: {}", path.display());
    }
    if let (Some(path), Some(plan)) = (&args.write, plan) {
        write(path, &plan, &tuned, &readings, &digest)?;
    }
    Ok(match judged.verdict {
        Verdict::Over => ExitCode::from(NOT_SHOWN),
        _ => ExitCode::SUCCESS,
    })
}

/// A time from the command line.
fn time(name: &str, text: &str) -> Result<f64, Stop> {
    quantity::parse(text, "s")
        .map(|read| read.value)
        .map_err(|error| Stop::Message(format!("{name}: {error}"), error.hint().unwrap_or_default()))
}

/// The same between two ends, s.
fn within(name: &str, text: &str, [low, high]: [f64; 2]) -> Result<f64, Stop> {
    let value = time(name, text)?;
    if (low..=high).contains(&value) {
        return Ok(value);
    }
    let show = |value| quantity::show(value, "s");
    Err(Stop::Message(format!("{name} is outside {} to {}", show(low), show(high)), String::new()))
}

/// What the plate is for: from the plan, or from the command line.
fn wish(args: &PlateArgs, plan: Option<&Plan>) -> Result<Wish, Stop> {
    if !(1e-3..=1e6).contains(&args.missed_costs) {
        return Err(Stop::Message(
            "--missed-costs is outside 0.001 to 1,000,000 false presses".into(),
            String::new(),
        ));
    }
    let mut wish = Wish { missed_cost: args.missed_costs, bare: args.bare, ..Wish::USUAL };
    if let Some(plan) = plan {
        let s = &plan.station;
        wish.bare = s.cover.thickness_m <= 0.0;
        wish.calls_year = s.callers.calls_s * YEAR_S;
        // 0 believes without end.
        wish.longest_s = if s.plate.longest_s > 0.0 { s.plate.longest_s } else { 3600.0 };
        wish.average_s = s.plate.average_s;
        if s.rest.mode == Rest::Sleep {
            wish.relearn_s = s.rest.relearn_s;
        }
    }
    if let Some(text) = &args.longest {
        wish.longest_s = within("--longest", text, [1.0, 3600.0])?;
    }
    if let Some(text) = &args.asleep {
        wish.relearn_s = within("--asleep", text, [60.0, 1e6])?;
    }
    Ok(wish)
}

/// The one plate of the log that is meant, with its rate.
fn readings(
    args: &PlateArgs,
    mut log: Log,
    every_s: Option<f64>,
    plan: Option<&Plan>,
) -> Result<Readings, Stop> {
    let names: Vec<&str> = log.streams.iter().map(Stream::name).collect();
    let at = match &args.plate {
        None if names.len() == 1 => Some(0),
        None => None,
        Some(wanted) => names.iter().position(|name| name == wanted),
    };
    let Some(at) = at else {
        let (path, count) = (args.source.display(), names.len());
        return Err(Stop::Message(
            format!("{path} has {count} plates"),
            format!("choose one with --plate: {}", names.join(", ")),
        ));
    };
    let mut says = log.said();
    let unread = log.unread.lines();
    let mut stream = log.streams.swap_remove(at);
    let clock_s = match stream.rate() {
        Rate::Unknown => None,
        _ => stream.clock().map(|clock| clock.interval_s),
    };
    let planned_s = plan.map(|plan| plan.station.plate.period_s);
    let period_s = every_s.or(clock_s).or(planned_s).unwrap_or(TAKEN_S);
    if every_s.is_none() && clock_s.is_none() {
        let by = if planned_s.is_some() { "as the plan says" } else { "say --every \"30 ms\" if not" };
        says.push(format!(
            "No times in it: readings are taken as {} apart, {by}.",
            quantity::show(period_s, "s")
        ));
    }
    let rate = if every_s.is_some() { Rate::Stream } else { stream.rate() };
    let gaps = stream.gaps();
    let missing: u64 = gaps.iter().filter_map(|gap| gap.missing).map(u64::from).sum();
    if missing > 0 {
        says.push(format!("{missing} readings are missing, in {} places.", gaps.len()));
    }
    let gaps = gaps.iter().map(|gap| (gap.sample as usize, gap.missing.unwrap_or(1))).collect();
    let counts = stream.take_counts();
    Ok(Readings { counts, gaps, stream, period_s, rate, unread, says })
}

/// Reads the log piece by piece, since it may be larger than memory, and what its bytes come to.
fn read(args: &PlateArgs, no_time: bool, source: &mut dyn Read) -> Result<(Log, String), Stop> {
    let mut reader = reader(args, no_time)?;
    let refused =
        |refused: Refused| Stop::Message(format!("{}: {refused}", args.source.display()), String::new());
    let (mut piece, mut hash) = (vec![0; 1 << 16], Sha256::new());
    let (mut messages, mut made) = (Messages::default(), Vec::new());
    loop {
        let read = source.read(&mut piece).map_err(|error| unreadable(&args.source, &error))?;
        if read == 0 {
            let digest = hash.finalize().iter().take(4).map(|byte| format!("{byte:02x}")).collect();
            reader.feed(&messages.finish()).map_err(refused)?;
            return Ok((reader.finish().map_err(refused)?, digest));
        }
        hash.update(&piece[..read]);
        reader.feed(messages.feed(&piece[..read], &mut made)).map_err(refused)?;
    }
}

/// A reader of this log's lines.
fn reader(args: &PlateArgs, no_time: bool) -> Result<Reader, Stop> {
    let pattern = args.pattern.as_deref().map(str::parse::<Pattern>).transpose();
    let pattern = pattern.map_err(|error| Stop::Message(format!("--pattern: {error}"), String::new()))?;
    Ok(Reader::new(LogWish {
        pattern,
        counts: args.count.iter().cloned().collect(),
        time: no_time.then_some(TimeWish::None),
        ..LogWish::default()
    }))
}

fn unreadable(path: &Path, error: &std::io::Error) -> Stop {
    Stop::Message(format!("{} cannot be read: {}", path.display(), load::plain(error)), String::new())
}

fn writable(path: &Path) -> Result<Plan, Stop> {
    load::writable(path)?;
    load::plan(path).map(|(plan, _)| plan)
}

/// Puts the detector, and what is expected of it, into the plan; nothing is written unless the changed plan reads.
fn write(path: &Path, plan: &Plan, tuned: &Tuned, readings: &Readings, digest: &str) -> Result<(), Stop> {
    let mut changes = told::changes(tuned, readings);
    let (recorded, planned) = (tuned.levels.sense, plan.station.chip.touch_law);
    if (recorded == Sense::Rises) != (planned == TouchLaw::Rises) {
        eprintln!(
            "The count {} on a touch; the plan's chip says otherwise. The recording is believed.",
            recorded.word()
        );
        changes.push(("chip.touch_law", recorded.word().to_string()));
    }
    let changes = changes.iter().map(|(key, value)| (*key, value.as_str()));
    let mut after = changed(&plan.source, &load::library(Some(path)), changes)?.source.text;
    // A plan has no field for the log: its digest stands behind the date.
    let note = format!("  # log {digest}, {} readings", readings.counts.len());
    after = told::noted(&after, "tuned", &note);
    show_changes(&plan.source.text, &after);
    load::write_back(path, &after)?;
    eprintln!("Written: {}", path.display());
    Ok(())
}
