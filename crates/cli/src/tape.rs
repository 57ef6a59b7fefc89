//! `doorwright tune lens --tape`: which lens is it, from a wall, a tape measure and four marks.
//!
//! Reads lengths as people write them, hands them to [`models::optics::tape`] and words what comes back. With
//! `--write` the view and the law go into a plan; its comments stay.

use crate::ask::{self, Person};
use crate::edit::{changed, show_changes};
use crate::load::{self, NOT_SHOWN, Stop};
use anstream::{eprintln, print, println};
use draw::terminal::WIDTH;
use draw::wrap::wrapped;
use models::optics::law::Law;
use models::optics::tape::{Lesson, Readings, TapeError, learn};
use quantity::show;
use serde_json::json;
use station::choices::LensLaw;
use station::fields::index_of;
use station::plan::{Origin, Plan};
use std::fmt::Write as _;
use std::io::BufRead;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Arguments of `tune lens`.
#[derive(clap::Args)]
#[command(
    after_help = "Stand the board square to a wall, the tape along the wall at the lens's height. Read the tape where \
    the picture's left edge cuts it, half-way from there to the middle, half-way from the middle to the right edge, and \
    at the right edge. Its zero may be anywhere, it may run either way.\n\n\
    Example: doorwright tune lens --tape --distance \"1 m\" --marks \"-82, -36, 37, 83 cm\"\n\n\
    Exit code: 0 field of view found, 1 a tape cannot tell it, 2 bad input."
)]
pub struct LensArgs {
    /// By a tape along a wall.
    #[arg(long, required = true)]
    tape: bool,
    /// From the lens to the wall, such as "1 m"; asked for where not given.
    #[arg(long, value_name = "LENGTH")]
    distance: Option<String>,
    /// The four marks from the left edge to the right, such as "-82, -36, 37, 83 cm"; asked for where not given.
    #[arg(long, value_name = "A,B,C,D", allow_hyphen_values = true)]
    marks: Option<String>,
    /// How far a reading may be off, 19 times in 20.
    #[arg(long, value_name = "LENGTH", default_value = "5 mm")]
    give_or_take: String,
    /// Writes `lens.view` and `lens.law` into this plan.
    #[arg(long, value_name = "PLAN")]
    write: Option<PathBuf>,
    /// Prints the result as JSON, in radians.
    #[arg(long)]
    json: bool,
}

/// Runs `tune lens`.
pub fn run(args: &LensArgs) -> Result<ExitCode, Stop> {
    debug_assert!(args.tape, "clap asks for it");
    // A plan that cannot take the result is said before anybody reaches for a tape.
    let plan = args.write.as_deref().map(writable).transpose()?;
    let readings = if ask::somebody() {
        readings(args, Some(&mut Person::here()))?
    } else {
        readings::<&[u8]>(args, None)?
    };
    let lesson = match learn(&readings) {
        Ok(lesson) if lesson.absurd() => return Ok(cannot(args, "absurd", &absurd(&lesson))),
        Ok(lesson) => lesson,
        Err(error @ TapeError::TooWide { .. }) => return Ok(cannot(args, "too-wide", &too_wide(&error))),
        Err(error) => {
            return Err(Stop::Message(
                error.to_string(),
                "from the left edge of the picture to the right: --marks \"-82, -36, 37, 83 cm\"".into(),
            ));
        }
    };
    if args.json {
        println!("{}", serde_json::to_string_pretty(&as_json(&readings, &lesson)).expect("plain JSON"));
    } else {
        print!("{}", sheet(&readings, &lesson, args));
    }
    if let (Some(path), Some(plan)) = (&args.write, plan) {
        write(path, &plan, &lesson)?;
    }
    Ok(ExitCode::SUCCESS)
}

/// The readings, from the flags or else one at a time.
fn readings<R: BufRead>(args: &LensArgs, mut person: Option<&mut Person<R>>) -> Result<Readings, Stop> {
    let needed = |flag: &str| {
        Stop::Message(
            format!("{flag} is missing"),
            "doorwright tune lens --tape --distance \"1 m\" --marks \"-0.82, -0.36, 0.37, 0.83 m\"".into(),
        )
    };
    let give_or_take_m = length(&args.give_or_take, "").map_err(|wrong| said("--give-or-take", &wrong))?;
    let total = usize::from(args.distance.is_none()) + if args.marks.is_none() { 4 } else { 0 };
    if person.is_some() && total > 0 {
        eprintln!("Stand the board square to a wall, a tape along the wall at the lens's height.");
    }
    let mut asked = 0;
    let mut ask = |question: &str, unit: &mut String| -> Option<f64> {
        asked += 1;
        let person = person.as_deref_mut()?;
        let take = |typed: &str| {
            let length = length(typed, unit)?;
            *unit = unit_of(typed).unwrap_or(unit).to_string();
            Ok::<f64, String>(length)
        };
        person.ask(&format!("{asked}/{total}  {question}"), take)
    };
    let mut unit = String::new();
    let distance_m = match &args.distance {
        Some(text) => length(text, "").map_err(|wrong| said("--distance", &wrong))?,
        None => ask("How far is the lens from the wall?   such as 1 m", &mut unit)
            .ok_or_else(|| needed("--distance"))?,
    };
    let marks_m = if let Some(text) = &args.marks {
        four(text).map_err(|wrong| said("--marks", &wrong))?
    } else {
        let mut marks_m = [0.0; 4];
        let places = [
            "What does the tape say at the picture's left edge?",
            "Half-way from the left edge to the middle?",
            "Half-way from the middle to the right edge?",
            "At the picture's right edge?",
        ];
        for (mark_m, question) in marks_m.iter_mut().zip(places) {
            *mark_m = ask(question, &mut unit).ok_or_else(|| needed("--marks"))?;
        }
        marks_m
    };
    // What one calls give or take is about two standard deviations.
    Ok(Readings { distance_m, marks_m, sigma_m: 0.5 * give_or_take_m })
}

fn said(flag: &str, wrong: &str) -> Stop {
    Stop::Message(format!("{flag}: {wrong}"), String::new())
}

/// A length; a bare number takes the unit that was said before, if any.
fn length(text: &str, unit: &str) -> Result<f64, String> {
    let bare = !text.is_empty() && unit_of(text).is_none();
    let text = if bare && !unit.is_empty() { format!("{text} {unit}") } else { text.to_string() };
    let read = quantity::parse(&text, "m").map_err(|error| {
        let hint = error.hint().map_or(String::new(), |hint| format!("; {hint}"));
        format!("{error}{hint}")
    })?;
    match read.value {
        _ if !read.spread.is_exact() => {
            Err("one number, without a spread; --give-or-take says how far readings may be off".into())
        }
        length_m if length_m.abs() > LONGEST_M => {
            Err(format!("{} is longer than any tape", quantity::show(length_m, "m")))
        }
        length_m => Ok(length_m),
    }
}

/// No tape measure is longer (trade judgement, from memory).
const LONGEST_M: f64 = 100.0;

/// What stands behind the number.
fn unit_of(text: &str) -> Option<&str> {
    let unit =
        text.trim().trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '.' | ' '));
    (!unit.is_empty()).then_some(unit)
}

/// Four lengths, parted by commas or semicolons; the last unit serves those before it that have none.
fn four(text: &str) -> Result<[f64; 4], String> {
    let parts: Vec<&str> = text.split([',', ';']).map(str::trim).filter(|part| !part.is_empty()).collect();
    let count = parts.len();
    let parts: [&str; 4] = parts.try_into().map_err(|_| {
        format!("four marks are wanted, {count} given; the picture's edges and half-way to them, such as \"-82, -36, 37, 83 cm\"")
    })?;
    let unit = parts[3..].iter().find_map(|part| unit_of(part)).unwrap_or("");
    let mut marks_m = [0.0; 4];
    for (mark_m, part) in marks_m.iter_mut().zip(parts) {
        *mark_m = length(part, unit)?;
    }
    Ok(marks_m)
}

/// What each law means to somebody who looks at the picture.
fn likeness(law: Law) -> &'static str {
    match law {
        Law::Rectilinear => "a plain lens: straight lines stay straight",
        _ => "a fisheye: straight lines bend towards the edge",
    }
}

/// The law's word in a plan.
fn word(law: Law) -> &'static str {
    LensLaw::ALL.iter().find(|known| Law::from(**known) == law).map_or("", |known| known.name())
}

fn sheet(readings: &Readings, lesson: &Lesson, args: &LensArgs) -> String {
    let mut out = String::new();
    let [low, high] = lesson.field_95_rad;
    let mut row = |head: &str, text: &str| {
        for (at, line) in wrapped(text, WIDTH - 19).into_iter().enumerate() {
            let _ = writeln!(out, " {:<15} {line}", if at == 0 { head } else { "" });
        }
    };
    row(
        "field of view",
        &format!(
            "{:.1}° ({:.1} to {:.1}°, 95 in 100)",
            lesson.field_rad.to_degrees(),
            low.to_degrees(),
            high.to_degrees()
        ),
    );
    let best = lesson.best();
    let told = if lesson.told() { "told from the four others" } else { "the likeliest of five" };
    row("law", &format!("{}, {told} ({})", word(best.law), in_100(best.weight)));
    row("", likeness(best.law));
    if !lesson.told() {
        let others = lesson.fits[1..].iter().filter(|fit| fit.weight >= 0.05);
        let others: Vec<String> = others
            .map(|fit| format!("{} {} ({})", word(fit.law), in_100(fit.weight), show(fit.field_rad, "rad")))
            .collect();
        row("or", &others.join(", "));
        row(
            "to tell",
            "stand farther from the wall, or read to the millimetre and say --give-or-take \"2 mm\"",
        );
    }
    let seen_m = (readings.marks_m[3] - readings.marks_m[0]).abs() * AT_M / readings.distance_m;
    row(
        "means",
        &format!(
            "a caller's face {} from the lens stands in a picture {} wide",
            show(AT_M, "m"),
            show(seen_m, "m")
        ),
    );
    let next = match &args.write {
        Some(path) => format!("doorwright check {}", path.display()),
        None => format!("doorwright set PLAN lens.view=\"{}\" lens.law={}", view(lesson), word(best.law)),
    };
    let _ = writeln!(out, " Next: {next}");
    out
}

/// Distance of a caller's face at the press; the middle of what the plan assumes (`callers.distance`).
const AT_M: f64 = 0.6;

/// Out of a hundred, never all and never none.
fn in_100(share: f64) -> String {
    match (share * 100.0).round() as u32 {
        0 => "under 1 in 100".into(),
        100.. => "over 99 in 100".into(),
        count => format!("{count} in 100"),
    }
}

fn as_json(readings: &Readings, lesson: &Lesson) -> serde_json::Value {
    let laws: Vec<_> = lesson
        .fits
        .iter()
        .map(|fit| {
            json!({ "law": word(fit.law), "weight": fit.weight, "misfit": fit.misfit,
                "field": { "unit": "rad", "value": fit.field_rad, "sigma": fit.field_sigma_rad } })
        })
        .collect();
    let [low, high] = lesson.field_95_rad;
    json!({
        "readings": { "distance_m": readings.distance_m, "marks_m": readings.marks_m, "sigma_m": readings.sigma_m },
        "field": { "unit": "rad", "value": lesson.field_rad, "low": low, "high": high, "interval": 0.95 },
        "law": word(lesson.best().law), "told": lesson.told(), "laws": laws,
    })
}

/// A tape that says nothing is a result too: told as one, with what to do instead.
fn cannot(args: &LensArgs, why: &str, says: &str) -> ExitCode {
    if args.json {
        println!("{}", json!({ "field": null, "law": null, "told": false, "why": why }));
    } else {
        for line in wrapped(says, WIDTH - 2) {
            println!(" {line}");
        }
    }
    if let Some(path) = &args.write {
        eprintln!("{} is left as it is.", path.display());
    }
    ExitCode::from(NOT_SHOWN)
}

fn too_wide(error: &TapeError) -> String {
    format!(
        "Too wide for a tape: {error}. Photos of a printed target will tell such a lens, in a later version. Until then \
         write what its seller says, such as lens.view=\"160 ± 10 deg\" lens.law=equidistant, with doorwright set."
    )
}

fn absurd(lesson: &Lesson) -> String {
    let bar = models::optics::tape::ABSURD_MISFIT;
    let least = lesson.fits.iter().map(|fit| fit.misfit).fold(f64::INFINITY, f64::min);
    format!(
        "No lens law explains these marks: even the best misses them by {least:.0} where {bar:.0} is already much. Most \
         often one mark was misread, or half-way was taken on the tape and not in the picture. Read the four again."
    )
}

/// A plan whose lens can be told by its view.
fn writable(path: &Path) -> Result<Plan, Stop> {
    load::writable(path)?;
    let (plan, _) = load::plan(path)?;
    let focal = index_of("lens.focal").map(|index| plan.origins[index].clone());
    match focal {
        Some(Origin::Given { .. }) => Err(Stop::Message(
            format!("{} states lens.focal, and that decides the view", path.display()),
            "take lens.focal out of the plan, then measure".into(),
        )),
        Some(Origin::Sheet { sheet, .. }) => Err(Stop::Message(
            format!("{} states a focal length, and that decides the view", plan.sheets[sheet].text.name),
            "take lens.sheet out of the plan, then measure".into(),
        )),
        _ => Ok(plan),
    }
}

/// Puts view and law into the plan; nothing is written unless the changed plan reads.
fn write(path: &Path, plan: &Plan, lesson: &Lesson) -> Result<(), Stop> {
    let changes = [("lens.view", view(lesson)), ("lens.law", word(lesson.best().law).to_string())];
    let changes = changes.iter().map(|(key, value)| (*key, value.as_str()));
    let changed = changed(&plan.source, &load::library(Some(path)), changes)?;
    show_changes(&plan.source.text, &changed.source.text);
    load::write_back(path, &changed.source.text)?;
    eprintln!("Written: {}", path.display());
    Ok(())
}

/// The view as a plan says it: to a tenth of a degree, with a width that holds 95 in 100.
fn view(lesson: &Lesson) -> String {
    let tenth = |rad: f64| (rad.to_degrees() * 10.0).round() / 10.0;
    let [low, high] = lesson.field_95_rad;
    // The wider side on both: a lopsided interval must not lose its tail.
    let width = tenth((high - lesson.field_rad).max(lesson.field_rad - low)).max(0.1);
    format!("{} ± {width} deg", tenth(lesson.field_rad))
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::{Quantity, Spread};

    #[test]
    fn four_marks_are_read_as_people_write_them() {
        let wanted = [-0.82, -0.36, 0.37, 0.83];
        for text in [
            "-0.82,-0.36,0.37,0.83 m",
            "-82 cm; -36 cm; 37 cm; 83 cm",
            " -82, -36, 37, 83 cm ",
            "-820 mm, -36 cm, 0.37 m, 0.83 m",
        ] {
            let read = four(text).unwrap();
            assert!(read.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 1e-12), "{text}: {read:?}");
        }
        for text in [
            "",
            "1,2,3",
            "1, 2, 3, 4",
            "a,b,c,d m",
            "1,2,3,4,5 m",
            "1 kg, 2, 3, 4 kg",
            "1, 2, 3, 4 ± 1 m",
            "nan,1,2,3 m",
        ] {
            assert!(four(text).is_err(), "{text}");
        }
    }

    #[test]
    fn a_person_says_the_unit_once() {
        let args = LensArgs {
            tape: true,
            distance: None,
            marks: None,
            give_or_take: "5 mm".into(),
            write: None,
            json: false,
        };
        let typed = "one metre\n100 cm\n-100\n-50\n50\n100\n";
        let read = readings(&args, Some(&mut Person::says(typed.as_bytes()))).unwrap();
        assert_eq!(read, Readings { distance_m: 1.0, marks_m: [-1.0, -0.5, 0.5, 1.0], sigma_m: 0.0025 });
        assert!(readings(&args, Some(&mut Person::says("1 m\n".as_bytes()))).is_err(), "the input ends");
    }

    #[test]
    fn the_written_view_covers_the_interval() {
        let lesson =
            learn(&Readings { distance_m: 1.0, marks_m: [-1.0, -0.5, 0.5, 1.0], sigma_m: 0.0025 }).unwrap();
        let read = quantity::parse(&view(&lesson), "rad").unwrap();
        let Quantity { value, spread: Spread::Normal { sigma } } = read else { panic!("{read:?}") };
        // Half a unit of the last digit: 0.05 degrees.
        let last = 0.05_f64.to_radians();
        assert!((value - lesson.field_rad).abs() <= last + 1e-12);
        assert!(value - 1.96 * sigma <= lesson.field_95_rad[0] + 2.0 * last);
        assert!(value + 1.96 * sigma >= lesson.field_95_rad[1] - 2.0 * last);
    }
}
