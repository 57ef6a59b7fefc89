//! `doorwright pins`: the wiring list, its drawing, and the plan's pins against the maker's own text.

use crate::load::{self, NOT_SHOWN, Stop};
use anstream::{eprintln, print, println};
use budgets::wiring::WiringList;
use draw::paint::{Paint, Tone};
use pintable::{Comparison, Refused};
use serde_json::json;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Arguments of `pins`.
#[derive(clap::Args)]
#[command(after_help = "Examples:\n  doorwright pins gate.toml --svg gate-wiring.svg\n  \
    doorwright pins gate.toml --against ../firmware/pins.h\n\n\
    Exit code: 0 fits or is tight (with --against: nothing differs), 1 not shown to fit or something differs, \
    2 bad input.")]
pub struct PinsArgs {
    /// The plan, a TOML file.
    plan: PathBuf,
    /// Prints the list (with --against: the comparison) as JSON.
    #[arg(long)]
    json: bool,
    /// Draws the board and its wiring into this file.
    #[arg(long, value_name = "FILE")]
    svg: Option<PathBuf>,
    /// Compares the plan's pins with any text of yours: a header, a table, lines with `dw: KEY` (- is standard input).
    #[arg(long, value_name = "FILE")]
    against: Option<PathBuf>,
    /// Does not fail because an input is missing.
    #[arg(long)]
    allow_unknown: bool,
}

/// Runs `pins`.
pub fn run(args: &PinsArgs) -> Result<ExitCode, Stop> {
    let (plan, _) = load::plan(&args.plan)?;
    let list = WiringList::of(&plan);
    if let Some(file) = &args.svg {
        load::write(file, &draw::board::svg(&list, plan.parts.board.as_ref(), ""))?;
        eprintln!("Written: {}", file.display());
    }
    if let Some(file) = &args.against {
        return against(args, &list, file);
    }
    if args.json {
        println!("{}", serde_json::to_string_pretty(&list).expect("a wiring list has no maps but of text"));
    } else {
        print!("{}", draw::wiring::list(&list));
        if !list.wires.is_empty() && args.svg.is_none() {
            println!(
                "\n Next: doorwright pins {} --against FILE proves your copy of these numbers",
                args.plan.display()
            );
        }
    }
    Ok(load::exit_code(list.verdict, args.allow_unknown))
}

fn against(args: &PinsArgs, list: &WiringList, file: &Path) -> Result<ExitCode, Stop> {
    let signals = list.signals();
    if signals.is_empty() {
        return Err(Stop::Message(
            format!("{} has no pins to compare", args.plan.display()),
            "name the board under [board], and what wants a pin under [pins]".into(),
        ));
    }
    let mut text = load::text(file)?;
    if text.name == "-" {
        text.name = "standard input".into();
    }
    let found = pintable::compare(&text.text, &signals);
    if found.agree.is_empty() && found.differ.is_empty() && found.refused.is_empty() {
        return Err(Stop::Message(
            format!("nothing in {} reads as one of this plan's {} signals", text.name, signals.len()),
            "is it the right file? End a line of it with `dw: plate.pin` in a comment, and it is found"
                .into(),
        ));
    }
    if args.json {
        println!("{:#}", as_json(&found, list, &text.name));
    } else {
        print!("{}", told(&found, list, &text.name));
    }
    Ok(if found.differ.is_empty() && found.refused.is_empty() {
        ExitCode::SUCCESS
    } else {
        ExitCode::from(NOT_SHOWN)
    })
}

/// The comparison in words: each differing pair with both lines, then what was not found.
fn told(found: &Comparison, list: &WiringList, file: &str) -> String {
    let mut out = String::new();
    let mut say = |text: String| {
        out.push_str(&text);
        out.push('\n');
    };
    if let Some(group) = &found.group {
        say(format!("Compared with the board \"{group}\" of {file}."));
    }
    for differ in &found.differ {
        say(Paint(Tone::Accent, &format!("{} differs", differ.signal)).to_string());
        say(format!("   plan  {}", here(list, &differ.signal, differ.here)));
        say(format!("   {file}:{}  {}  ({})", differ.line, differ.line_text, pin(differ.there)));
    }
    for refused in &found.refused {
        say(Paint(Tone::Accent, &format!("{} cannot be told", refused.signal)).to_string());
        say(format!("   {file}:{}  {}", refused.line, refused.line_text));
        say(format!("   {}", why(refused)));
    }
    say(match (found.differ.len(), found.agree.len()) {
        (0, agree) => format!("{agree} of {} signals agree, none differs.", list.signals().len()),
        (differ, agree) => {
            format!("{agree} agree, {differ} {}.", if differ == 1 { "differs" } else { "differ" })
        }
    });
    if !found.missing.is_empty() {
        say(format!("Not found in {file}: {}.", found.missing.join(", ")));
    }
    if !found.extra.is_empty() {
        let extra: Vec<String> = found
            .extra
            .iter()
            .map(|entry| format!("{} (line {})", entry.name_as_written, entry.line))
            .collect();
        say(format!("Only in {file}: {}.", extra.join(", ")));
    }
    out
}

/// The plan's side of a pair, as the list has it.
fn here(list: &WiringList, signal: &str, number: Option<u8>) -> String {
    match list.wires.iter().find(|wire| wire.name == signal) {
        Some(wire) => format!("wire {}, {}  ({})", wire.number, wire.called, pin(number)),
        None => {
            format!("{signal} = {}  (on the board)", number.map_or("–".into(), |number| number.to_string()))
        }
    }
}

fn pin(number: Option<u8>) -> String {
    number.map_or_else(|| "not connected".into(), |number| format!("IO{number}"))
}

fn why(refused: &Refused) -> String {
    match &refused.why {
        None => "its number is no pin: 0 to 127, or -1 for not connected".into(),
        Some(error) => error.to_string(),
    }
}

fn as_json(found: &Comparison, list: &WiringList, file: &str) -> serde_json::Value {
    json!({
        "plan": list.plan,
        "against": file,
        "format": found.format.to_string(),
        "group": found.group,
        "agree": found.agree.iter().map(|a| json!({ "signal": a.signal, "pin": a.pin, "line": a.line })).collect::<Vec<_>>(),
        "differ": found.differ.iter().map(|d| json!({
            "signal": d.signal, "here": d.here, "there": d.there, "line": d.line, "line_text": d.line_text,
        })).collect::<Vec<_>>(),
        "refused": found.refused.iter().map(|r| json!({
            "signal": r.signal, "line": r.line, "line_text": r.line_text, "why": why(r),
        })).collect::<Vec<_>>(),
        "missing": found.missing,
        "extra": found.extra.iter().map(|e| json!({
            "name": e.name_as_written, "pin": e.pin.map(pintable::PinNumber::get), "line": e.line,
        })).collect::<Vec<_>>(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use station::plan::Plan;
    use station::sheets::Library;
    use station::text::Source;

    fn gate() -> WiringList {
        let text = "name = \"gate\"\n[board]\nsheet = \"wren\"\n[pins]\nplate = 13\nstatus_lamp = 4\n";
        WiringList::of(
            &Plan::read(Source::new("gate.toml", text), &Library::shipped()).expect("the plan can be read"),
        )
    }

    /// The plan's own numbers, as a header of the maker's would have them.
    fn header(list: &WiringList) -> String {
        let lines = list.signals().into_iter().map(|(name, pin)| {
            format!("#define {}_PIN {}\n", name.to_uppercase().replace(' ', "_"), pin.expect("wired"))
        });
        lines.collect()
    }

    #[test]
    fn a_true_copy_agrees_in_every_signal() {
        let list = gate();
        let found = pintable::compare(&header(&list), &list.signals());
        assert_eq!((found.differ.len(), found.missing.len(), found.agree.len()), (0, 0, 16));
        assert_eq!(told(&found, &list, "pins.h"), "16 of 16 signals agree, none differs.\n");
    }

    #[test]
    fn each_changed_number_is_shown_with_both_lines() {
        let list = gate();
        let copy =
            header(&list).replace("PLATE_PIN 13", "PLATE_PIN 33").replace("VSYNC_PIN 22", "VSYNC_PIN 21");
        let found = pintable::compare(&copy, &list.signals());
        let plain = anstream::adapter::strip_str(&told(&found, &list, "pins.h")).to_string();
        assert_eq!(
            plain,
            "VSYNC differs\n   plan  VSYNC = 22  (on the board)\n   pins.h:9  #define VSYNC_PIN 21  (IO21)\n\
             plate differs\n   plan  wire 1, touch plate  (IO13)\n   pins.h:15  #define PLATE_PIN 33  (IO33)\n\
             14 agree, 2 differ.\n"
        );
        let json = as_json(&found, &list, "pins.h");
        assert_eq!(json["differ"][1]["here"], 13);
        assert_eq!(json["differ"][1]["there"], 33);
    }

    /// Marked lines win, and one that does not tell its pin is told with the reason.
    #[test]
    fn marked_lines_are_found_and_refused_with_reason() {
        let list = gate();
        let text = "x = 4; // dw: status_lamp.pin\nlamp(1, 13) // dw: plate.pin\n";
        let plain =
            anstream::adapter::strip_str(&told(&pintable::compare(text, &list.signals()), &list, "m.c"))
                .to_string();
        assert!(
            plain.starts_with(
                "plate cannot be told\n   m.c:2  lamp(1, 13) // dw: plate.pin\n   2 numbers on the line"
            ),
            "{plain}"
        );
        assert!(plain.contains("1 of 16 signals agree, none differs."), "{plain}");
    }
}
