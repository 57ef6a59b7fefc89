//! `station_plan.h`: pins and values as C99, with checks that the compiler makes.
//!
//! Every number stands on a marked line, so that the header can be compared and renewed like any file of the maker's.
//! Names follow from keys: `DW_`, the key in capitals, the unit. Also right as C++. Nothing of the plan but its name
//! enters as free text, and that only in a comment, letters and simple marks alone.

use crate::handover::{Handover, Is, Pin, Value};
use crate::names::Names;
use crate::number;
use station::reach::Reach;
use std::fmt::Write as _;

/// A name of ours and what stands behind it.
struct Define {
    ours: String,
    value: String,
    note: String,
}

/// The header, its names ours or as `names` says.
pub fn header(handover: &Handover, names: &Names) -> String {
    let mut out = head(handover);
    let pins = named_pins(handover);
    let is_bus = |pin: &&(String, &Pin)| pin.1.is_bus;
    let line = |pin: &(String, &Pin)| pin_line(&pin.0, pin.1);
    section(&mut out, "Camera bus, named as on the drawing", pins.iter().filter(is_bus).map(line), names);
    section(&mut out, "What the plan wires", pins.iter().filter(|pin| !is_bus(pin)).map(line), names);
    for (reach, title) in [
        (Reach::Burned, "Burned: a change needs flashing"),
        (Reach::Turned, "Turned: what to start with; a change may be sent as a setting"),
    ] {
        let of_reach = handover.values.iter().filter(|value| value.reach == reach);
        section(&mut out, title, of_reach.flat_map(value_lines), names);
    }
    checks(&mut out, &pins, names);
    out + "\n#endif\n"
}

/// Every name that the header of this plan may define, those of values that nobody tells among them.
pub fn known_names(handover: &Handover) -> Vec<String> {
    let mut known = vec!["DW_BURNED".to_string()];
    known.extend(named_pins(handover).into_iter().map(|(name, _)| name));
    known.extend(handover.values.iter().flat_map(value_lines).map(|define| define.ours));
    known
}

fn head(handover: &Handover) -> String {
    let plan = if handover.plan.is_empty() { &handover.file } else { &handover.plan };
    let revision = match handover.revision.as_str() {
        "" => String::new(),
        revision => format!(", revision {}", plain(revision)),
    };
    format!(
        "/* station_plan.h: {}{revision}.\n   Written by doorwright export header from {}. Change the plan, not this \
         file.\n   Each number ends in its key of the plan; what nobody has told is marked as assumed. */\n\n\
         #ifndef DW_STATION_PLAN_H\n#define DW_STATION_PLAN_H\n\n\
         /* Digest of the burned part, for the station to report: eight hex digits of SHA-256. */\n{}",
        plain(plan),
        plain(&handover.file),
        burned_once(&handover.burned())
    )
}

/// The digest as a constant that two headers may define, if they are of one plan: a compiler cannot compare texts, so its
/// name holds the digest as well.
pub(crate) fn burned_once(digest: &str) -> String {
    format!(
        "#if defined(DW_BURNED) && !defined(DW_BURNED_{digest})\n#error \"two headers here are of two plans, or of two \
         revisions: export both\"\n#endif\n#undef DW_BURNED\n#define DW_BURNED \"{digest}\"\n#define \
         DW_BURNED_{digest} 1\n"
    )
}

fn section(out: &mut String, title: &str, lines: impl Iterator<Item = Define>, names: &Names) {
    let lines: Vec<Define> = lines.collect();
    if lines.is_empty() {
        return;
    }
    let _ = writeln!(out, "\n/* {title}. */");
    let name = |line: &Define| names.of(&line.ours).to_string();
    let told = |text: &Define| !text.value.is_empty();
    let widest = lines.iter().filter(|line| told(line)).map(|line| name(line).len()).max().unwrap_or(0);
    for line in &lines {
        let _ = if told(line) {
            writeln!(out, "#define {:<widest$} {} /* {} */", name(line), line.value, line.note)
        } else {
            writeln!(out, "/* {} is not defined: {} */", name(line), line.note)
        };
    }
}

fn pin_line(ours: &str, pin: &Pin) -> Define {
    let (value, note) = match pin.pin {
        Some(number) if is_key(&pin.key) => (number.to_string(), format!("dw: {}", pin.key)),
        Some(number) => (number.to_string(), plain(&pin.key)),
        None => (String::new(), format!("{} found no pin", plain(&pin.key))),
    };
    Define { ours: ours.into(), value, note }
}

fn value_lines(value: &Value) -> Vec<Define> {
    let ours = name_of(&value.flat_key());
    let assumed = if value.told { "" } else { "assumed, " };
    match value.is {
        Is::Number { value: number, .. } if number.is_nan() => {
            vec![Define { ours, value: String::new(), note: format!("nobody tells {}", value.key) }]
        }
        Is::Number { value: number, unit } => {
            let unit = if matches!(unit, "1" | "px") { String::new() } else { format!(" in {unit}") };
            // A rate keeps its point where it is whole: a program that divides by it must not turn to whole numbers.
            let text = if unit_has_point(value) { number::with_point(number) } else { value.text() };
            let text = if number < 0.0 { format!("({text})") } else { text };
            vec![Define { ours, value: text, note: format!("{assumed}dw: {}{unit}", value.key) }]
        }
        Is::Word { names, index } => {
            let word = |name: &str| format!("{ours}_{}", name_of(name).trim_start_matches("DW_"));
            let mut lines: Vec<Define> = names
                .iter()
                .enumerate()
                .map(|(number, name)| Define {
                    ours: word(name),
                    value: number.to_string(),
                    note: format!("{} = \"{name}\"", value.key),
                })
                .collect();
            let chosen = word(names.get(index).copied().unwrap_or_default());
            lines.push(Define { ours, value: chosen, note: format!("{assumed}{}", value.key) });
            lines
        }
    }
}

/// Whether a value is written with a point even where it is whole.
fn unit_has_point(value: &Value) -> bool {
    matches!(value.is, Is::Number { unit, .. } if unit.starts_with("1/"))
}

/// Pins with names of their own: where two would share one, the later is counted.
fn named_pins(handover: &Handover) -> Vec<(String, &Pin)> {
    let mut named: Vec<(String, &Pin)> = Vec::new();
    for pin in &handover.pins {
        let name = name_of(&pin.name);
        let free = |name: &String| named.iter().all(|(taken, _)| taken != name);
        let tries =
            (1..).map(|count| if count == 1 { format!("{name}_PIN") } else { format!("{name}_{count}_PIN") });
        let own = tries.into_iter().find(free).unwrap_or(name.clone());
        named.push((own, pin));
    }
    named
}

/// `DW_` and the words in capitals; whatever C does not take becomes a stroke.
fn name_of(text: &str) -> String {
    let upper = text.to_uppercase();
    let letters = upper.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '_' });
    format!("DW_{}", letters.collect::<String>())
}

/// What the compiler checks: a typedef of an array that has -1 elements where something is wrong, since C99 has no other
/// way to stop at a constant; the name of the type is what its message shows.
fn checks(out: &mut String, pins: &[(String, &Pin)], names: &Names) {
    let wired: Vec<(String, bool)> = pins
        .iter()
        .filter(|(_, pin)| pin.pin.is_some())
        .map(|(ours, pin)| (names.of(ours).to_string(), pin.is_data))
        .collect();
    if wired.is_empty() {
        return;
    }
    out.push_str("\n/* For the compiler: its message names what is wrong. */\n");
    out.push_str("#define DW_CHECK(holds, name) typedef char name[(holds) ? 1 : -1];\n");
    out.push_str("#define DW_APART(a, b) DW_CHECK((a) != (b), a##_and_##b##_share_a_pin)\n");
    if pins.iter().any(|(_, pin)| pin.is_bus) {
        let data: Vec<String> =
            wired.iter().filter(|(_, is_data)| *is_data).map(|(name, _)| format!("({name} >= 0)")).collect();
        let sum = if data.is_empty() { "0".into() } else { data.join(" +\n         ") };
        let _ = writeln!(out, "DW_CHECK({sum} == 8, dw_the_camera_bus_has_not_eight_data_lines)");
    }
    for (name, _) in &wired {
        let _ = writeln!(out, "DW_CHECK({name} >= 0, {name}_is_negative)");
    }
    for (later, (name, _)) in wired.iter().enumerate() {
        for (earlier, _) in &wired[..later] {
            let _ = writeln!(out, "DW_APART({earlier}, {name})");
        }
    }
    out.push_str("#undef DW_APART\n#undef DW_CHECK\n");
}

/// Whether a marked line can name the key.
fn is_key(key: &str) -> bool {
    key.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '.' | '_' | '-')) && !key.ends_with('-')
}

/// A text that can do nothing in a comment: letters, digits and simple marks; for the rest a point.
pub(crate) fn plain(text: &str) -> String {
    let harmless =
        |c: char| c.is_alphanumeric() || matches!(c, ' ' | '.' | ',' | '-' | '_' | '(' | ')' | '+');
    text.chars().take(80).map(|c| if harmless(c) { c } else { '.' }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::handover::tests::{read, shipped};
    use crate::marked;
    use station::text::Source;

    const PLANS: [&str; 4] = ["kiln-yard-gate", "kiln-yard-glaze-store", "bicycle-club-shed", "impossible"];

    /// The header is a file of marked lines itself: the plan finds nothing to change in it, and neither do its pins.
    #[test]
    fn a_header_is_what_the_plan_says_of_it() {
        for name in PLANS {
            let plan = shipped(name);
            let handover = Handover::of(&plan);
            let text = header(&handover, &Names::default());
            let filled = marked::fill(&plan, &handover, &Source::new("station_plan.h", text.clone()))
                .expect("its own marks");
            assert!(
                filled.changes.is_empty() && filled.marked > 30,
                "{name}: {} {:?}",
                filled.marked,
                filled.changes
            );
            let list = budgets::wiring::WiringList::of(&plan);
            let found = pintable::compare(&text, &list.signals());
            assert_eq!(found.agree.len(), list.signals().len(), "{name}: {found:?}");
            assert!(
                found.differ.is_empty() && found.refused.is_empty() && found.extra.is_empty(),
                "{name}: {found:?}"
            );
        }
    }

    /// A plan that somebody sent: nothing in its texts ends the comment, continues the line or becomes code.
    #[test]
    fn texts_of_a_plan_stay_inside_their_comments() {
        let hostile = "name = \"x */ int evil; /* ??/ \\\\ \\u202e\"\nrevision = \"\\n#error\"\n[board]\nsheet = \"wren\"\n\
                       [pins]\n\"a */ b\" = { is = \"status-lamp\", pin = 4 }\na-b = { is = \"tamper\" }\na_b = { is = \"tamper\" }\n";
        let text = header(&Handover::of(&read(hostile)), &Names::default());
        for line in text.lines() {
            let comments = (line.matches("/*").count(), line.matches("*/").count());
            assert!(comments.0 <= 1 && comments.1 <= 1, "{line}");
            assert!(!line.contains("??") && !line.ends_with('\\') && !line.contains('\u{202e}'), "{line}");
        }
        assert!(!text.contains("int evil;") && text.matches("#error").count() == 1, "ours alone: {text}");
        assert!(text.contains("#define DW_A_B_PIN ") && text.contains("#define DW_A_B_2_PIN "), "{text}");
    }
}
