//! `doorwright twin`: what the plan's station would give, with the truth beside it, for trying out what reads it.
//!
//! Words and files only; the readings come from the crate [`twin`]. They are made twice where the truth is wanted, so
//! that neither log nor truth need fit into memory.

use crate::load::{self, Stop};
use anstream::eprintln;
use models::out_of_range::OutOfRange;
use models::touch::count::Law;
use serde_json::{Value, json};
use station::plan::Plan;
use std::io::{self, BufWriter, Write};
use std::path::PathBuf;
use std::process::ExitCode;
use twin::plate::effects::{
    Brushes, Bursts, Clock, Door, Hum, LONGEST_S, Lost, Noise, Rain, Settings, Tails, Warmth,
};
use twin::plate::facts::{Facts, Untold, idle_is_told, usual_idle_f};
use twin::plate::{Event, Readings, Sample, samples, strange};

/// Arguments of `twin`.
#[derive(clap::Args)]
#[command(after_help = "Example: doorwright twin plate gate.toml --truth truth.jsonl > plate.csv")]
pub struct TwinArgs {
    #[command(subcommand)]
    what: Twin,
}

#[derive(clap::Subcommand)]
enum Twin {
    /// Makes the counts of a touch plate: noise, hum, drift, rain, sleeves, and presses of which the truth is known.
    Plate(PlateArgs),
}

/// Arguments of `twin plate`.
#[derive(clap::Args)]
#[command(
    after_help = "The log goes to standard output; docs/twin-plate.md lists what is in it. The same plan, options and \
    seed give the same bytes.\n\n\
    Examples:\n  doorwright twin plate gate.toml --truth truth.jsonl > plate.csv\n  \
    doorwright twin plate gate.toml --for \"1 day\" --rate \"20 /s\" --presses 40 --seed 7 > day.csv\n  \
    doorwright twin plate gate.toml --without rain,bursts --format lines | head -1000\n\n\
    Exit code: 0 made, 2 bad input."
)]
struct PlateArgs {
    /// The plan, a TOML file.
    plan: PathBuf,
    /// Seed of everything that is drawn.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Length of the log.
    #[arg(long = "for", value_name = "TIME", default_value = "10 min")]
    length: String,
    /// Readings a second; where not given the plan's `plate.period` says it.
    #[arg(long, value_name = "RATE")]
    rate: Option<String>,
    /// How many presses.
    #[arg(long, value_name = "N", default_value_t = 10)]
    presses: u32,
    /// Count of the dry, untouched plate at the start.
    #[arg(long, value_name = "COUNT", default_value_t = 950, value_parser = clap::value_parser!(u16).range(1..))]
    idle: u16,
    /// Leaves effects out, parted by commas.
    #[arg(long, value_name = "EFFECT,…", value_delimiter = ',', conflicts_with = "strange")]
    without: Vec<Effect>,
    /// Other shapes of noise, presses and faults altogether: to prove what was tuned on the usual ones.
    #[arg(long)]
    strange: bool,
    /// Writes what truly happened into this file, a JSON object a line.
    #[arg(long, value_name = "FILE")]
    truth: Option<PathBuf>,
    /// `csv`: time and count; `lines`: the count alone; `json`: an object a line.
    #[arg(long, value_enum, default_value_t = Format::Csv)]
    format: Format,
}

#[derive(Clone, Copy, clap::ValueEnum)]
enum Format {
    Csv,
    Lines,
    Json,
}

/// What may be left out.
#[derive(Clone, Copy, clap::ValueEnum)]
enum Effect {
    Noise,
    Tails,
    Hum,
    Warmth,
    Rain,
    Brushes,
    Bursts,
    Door,
    Clock,
    Lost,
}

/// Readings a second that are possible: below, no press is seen; above, stamps of a millisecond would agree.
const RATE_HZ: [f64; 2] = [0.1, 1_000.0];

/// Runs `twin`.
pub fn run(args: &TwinArgs) -> Result<ExitCode, Stop> {
    let Twin::Plate(args) = &args.what;
    let for_s = quantity(&args.length, "s", "--for", [0.1, LONGEST_S], "0.1 s to 366 days")?;
    let rate = |text| quantity(text, "1/s", "--rate", RATE_HZ, "0.1 to 1000 /s");
    let rate_hz = args.rate.as_deref().map(rate).transpose()?;
    let (plan, _) = load::plan(&args.plan)?;
    let mut facts = facts(&plan, args)?;
    facts.period_s = rate_hz.map_or(facts.period_s.max(1.0 / RATE_HZ[1]), |hz| 1.0 / hz);
    if args.strange {
        let settings = strange::Settings {
            idle_count: f64::from(args.idle),
            ..strange::Settings::of(facts, for_s, args.presses)
        };
        make(args, &facts, strange::Samples::new(&settings, args.seed))
    } else {
        let settings = settings(args, facts, for_s);
        make(args, &facts, samples::Samples::new(&settings, args.seed))
    }
}

fn facts(plan: &Plan, args: &PlateArgs) -> Result<Facts, Stop> {
    let facts = Facts::of(&plan.station).map_err(|untold| match untold {
        Untold::Supply => Stop::Message(
            format!("{} does not say what feeds the station", args.plan.display()),
            format!(
                "how far a touch moves the count hangs on it: doorwright set {} supply.kind=adapter (or usb, bell, \
                 bank, cells)",
                args.plan.display()
            ),
        ),
        Untold::Absurd => Stop::Message(
            format!("no plate can be as [plate] and [cover] of {} say", args.plan.display()),
            "doorwright check shows the plate's figures".into(),
        ),
    })?;
    if !idle_is_told(&plan.station) {
        eprintln!(
            "note: the plan tells neither plate.size nor plate.idle: {} are taken, as is usual",
            quantity::show(usual_idle_f(), "F")
        );
    }
    Ok(facts)
}

fn settings(args: &PlateArgs, facts: Facts, for_s: f64) -> Settings {
    let mut settings =
        Settings { idle_count: f64::from(args.idle), ..Settings::of(facts, for_s, args.presses) };
    for effect in &args.without {
        match effect {
            Effect::Noise => settings.noise = Noise::OFF,
            Effect::Tails => settings.tails = Tails::OFF,
            Effect::Hum => settings.hum = Hum::OFF,
            Effect::Warmth => settings.warmth = Warmth::OFF,
            Effect::Rain => settings.rain = Rain::OFF,
            Effect::Brushes => settings.brushes = Brushes::OFF,
            Effect::Bursts => settings.bursts = Bursts::OFF,
            Effect::Door => settings.door = Door::OFF,
            Effect::Clock => settings.clock = Clock::OFF,
            Effect::Lost => settings.lost = Lost::OFF,
        }
    }
    settings
}

/// A number in `want`, without a spread, within a range that is `told` in words.
fn quantity(text: &str, want: &str, flag: &str, [low, high]: [f64; 2], told: &str) -> Result<f64, Stop> {
    let read = quantity::parse(text, want).map_err(|error| {
        Stop::Message(format!("{flag} \"{text}\": {error}"), error.hint().unwrap_or_default())
    })?;
    if !read.spread.is_exact() || !(low..=high).contains(&read.value) {
        return Err(Stop::Message(format!("{flag} \"{text}\" is not one number from {told}"), String::new()));
    }
    Ok(read.value)
}

/// Writes the truth, then the log.
fn make<R: Readings + Clone>(
    args: &PlateArgs,
    facts: &Facts,
    log: Result<R, OutOfRange>,
) -> Result<ExitCode, Stop> {
    let log = log.map_err(|error| cannot(&error))?;
    if let Some(path) = &args.truth {
        load::write_by(path, |file| truth(file, args, facts, log.clone()))?;
        eprintln!("Written: {}", path.display());
    }
    match print(log, args.format) {
        Ok(()) => Ok(ExitCode::SUCCESS),
        // Whoever reads has seen enough.
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(ExitCode::SUCCESS),
        Err(error) => {
            Err(Stop::Message(format!("the log cannot be written: {}", load::plain(&error)), String::new()))
        }
    }
}

fn cannot(error: &OutOfRange) -> Stop {
    match error.what {
        "presses.count" => Stop::Message(
            format!("{} presses do not fit into this log; about {} do", error.value, error.high),
            "a longer one: --for, or fewer --presses".into(),
        ),
        _ => Stop::Message(format!("this plate cannot be imitated: {error}"), String::new()),
    }
}

fn print(log: impl Iterator<Item = Sample>, format: Format) -> io::Result<()> {
    let mut out = BufWriter::with_capacity(1 << 16, io::stdout().lock());
    if matches!(format, Format::Csv) {
        writeln!(out, "time_s,count")?;
    }
    for Sample { time_s, count, .. } in log {
        match format {
            Format::Csv => writeln!(out, "{time_s:.3},{count}")?,
            Format::Lines => writeln!(out, "{count}")?,
            Format::Json => writeln!(out, "{{\"time_s\":{time_s:.3},\"count\":{count}}}")?,
        }
    }
    out.flush()
}

/// One object a line: the log, each event, and the idle level whenever it has moved by a count.
fn truth(out: &mut dyn Write, args: &PlateArgs, facts: &Facts, log: impl Readings) -> io::Result<()> {
    let law = match facts.law {
        Law::Falls => "falls",
        Law::Rises => "rises",
    };
    let head = json!({
        "is": "log", "seed": args.seed, "strange": args.strange, "period_s": rounded(facts.period_s), "law": law,
        "idle_count": args.idle, "touch": rounded(Event::depth_of(facts.law, facts.touch)), "noise": rounded(facts.noise),
    });
    writeln!(out, "{head}")?;
    for event in log.events() {
        writeln!(out, "{}", line(event))?;
    }
    let mut told = f64::NEG_INFINITY;
    for Sample { time_s, idle, .. } in log {
        if (idle - told).abs() >= 1.0 {
            writeln!(out, "{}", json!({ "is": "idle", "time_s": rounded(time_s), "count": rounded(idle) }))?;
            told = idle;
        }
    }
    Ok(())
}

fn line(event: &Event) -> Value {
    json!({
        "is": if event.kind.is_press() { "press" } else { "disturbance" },
        "kind": event.kind.name(),
        "start_s": rounded(event.start_s), "end_s": rounded(event.end_s), "depth": rounded(event.depth),
    })
}

/// To a millionth: beyond it, digits are noise of the arithmetic.
fn rounded(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}
