//! The plan's numbers put into the marked lines of the maker's own file: the number changes, every other byte stays.
//!
//! The grammar of marked lines is [`pintable::marks`]'s, the grammar of units [`quantity`]'s. Here keys get their
//! meaning: a pin, or a number of the plan.

use crate::handover::{Handover, is_told, sides};
use crate::number;
use pintable::{MARKS_MAX, Mark, Marked};
use station::fields::{FIELDS, Field, Kind};
use station::plan::Plan;
use station::text::{Problems, Source};
use std::ops::Range;

/// A marked number that differs from the plan's.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// The plan's key, in full.
    pub key: String,
    /// From 1.
    pub line: usize,
    /// The number that stands there.
    pub was: String,
    /// The plan's.
    pub now: String,
    /// Bytes of the number in the old text.
    pub span: Range<usize>,
}

/// A value that nobody told and that the file would get.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Assumed {
    /// The plan's key.
    pub key: String,
    /// From 1.
    pub line: usize,
    /// The value as the plan would write it.
    pub value: String,
    /// Where it comes from.
    pub source: String,
}

/// A text with the plan's numbers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Filled {
    /// The whole text; the old one where nothing differs.
    pub text: String,
    /// How many numbers are marked.
    pub marked: usize,
    /// What differs, in the order of the text.
    pub changes: Vec<Change>,
    /// Which of the changes rest on an assumption.
    pub assumed: Vec<Assumed>,
}

/// Puts the plan's numbers, and the pins that it hands over, into the marked lines of a text.
///
/// # Errors
///
/// Every mark that cannot be followed, with its place; then nothing is changed.
pub fn fill(plan: &Plan, handover: &Handover, source: &Source) -> Result<Filled, Problems> {
    let marks = pintable::marks(&source.text);
    let mut problems = Problems::default();
    let mut filled =
        Filled { text: String::new(), marked: marks.len(), changes: Vec::new(), assumed: Vec::new() };
    if marks.is_empty() {
        let hint = "end a line in a comment with dw: and a key, such as `// dw: plate.pin`";
        problems.add(source, 0..0, "no line of this file is marked", Some(hint.into()));
    }
    if marks.len() >= MARKS_MAX {
        let says = format!("this file has {MARKS_MAX} marks or more");
        problems.add(source, 0..0, says, Some("is it the right file?".into()));
        return Err(problems);
    }
    let mut taken: Vec<(Range<usize>, String)> = Vec::new();
    for mark in &marks {
        match number_for(plan, handover, mark) {
            Err(refused) => problems.add(source, mark.at.clone(), refused.says, refused.hint),
            Ok((worth, now, marked)) => {
                if let Some((_, other)) = taken.iter().find(|(span, _)| *span == marked.span) {
                    let says = format!("`{}` and `{other}` are marked at the same number", mark.key);
                    problems.add(source, mark.at.clone(), says, Some("say which with #1 and #2".into()));
                    continue;
                }
                taken.push((marked.span.clone(), worth.key.clone()));
                if let Some(now) = now {
                    if let Some((value, from)) = worth.assumed {
                        filled.assumed.push(Assumed {
                            key: worth.key.clone(),
                            line: mark.line,
                            value,
                            source: from,
                        });
                    }
                    let was = marked.text.clone();
                    filled.changes.push(Change {
                        key: worth.key,
                        line: mark.line,
                        was,
                        now,
                        span: marked.span.clone(),
                    });
                }
            }
        }
    }
    // `#2` may be marked before `#1`.
    filled.changes.sort_by_key(|change| change.span.start);
    let numbers: Vec<_> =
        filled.changes.iter().map(|change| (change.span.clone(), change.now.clone())).collect();
    filled.text = pintable::replaced(&source.text, &numbers);
    for (mark, now) in marks.iter().zip(read_back(&filled, &marks)) {
        if !now {
            let says = format!("the number of `{}` cannot be told from what stands around it", mark.key);
            problems.add(source, mark.at.clone(), says, Some("set it apart with blanks".into()));
        }
    }
    problems.unless(filled)
}

/// Whether each mark of the old text gives the plan's number in the new one: `5x600` with a 0 in front would be hex.
fn read_back(filled: &Filled, marks: &[Mark]) -> Vec<bool> {
    let again = pintable::marks(&filled.text);
    let wanted = |mark: &Mark| {
        let was = mark.number.as_ref().ok()?;
        let change = filled.changes.iter().find(|change| change.span == was.span);
        Some(change.map_or(was.text.clone(), |change| change.now.clone()))
    };
    let same = |(index, mark): (usize, &Mark)| {
        let found =
            again.get(index).and_then(|mark| mark.number.as_ref().ok()).map(|number| number.text.clone());
        wanted(mark).is_none_or(|wanted| found.is_some_and(|found| found == wanted))
    };
    marks.iter().enumerate().map(same).collect()
}

/// Why a mark is not followed.
struct Refused {
    says: String,
    hint: Option<String>,
}

fn refused(says: impl Into<String>, hint: impl Into<String>) -> Refused {
    Refused { says: says.into(), hint: Some(hint.into()).filter(|hint| !hint.is_empty()) }
}

/// What the plan says for a key.
struct Worth {
    key: String,
    value: f64,
    /// As [`quantity`] names it; `1` for a plain number.
    unit: &'static str,
    /// Value and source, where nobody told it.
    assumed: Option<(String, String)>,
}

/// What a mark asks for, and the text to write where the marked number is another.
fn number_for<'m>(
    plan: &Plan,
    handover: &Handover,
    mark: &'m Mark,
) -> Result<(Worth, Option<String>, &'m Marked), Refused> {
    let worth = worth(plan, handover, &mark.key)?;
    let marked = mark.number.as_ref().map_err(|why| refused(why.to_string(), ""))?;
    let value = in_unit_of(&worth, mark.unit.as_deref(), &marked.letters)?;
    let text = written(value, marked).ok_or_else(|| {
        let says =
            format!("`{}` is {} here, and a whole number stands there", worth.key, number::shortest(value));
        refused(
            says,
            format!(
                "take a smaller unit (`in ms`), or write {} if your program takes a point",
                number::with_point(value)
            ),
        )
    })?;
    // What is written is read back by the same rule, so a second run finds nothing to do.
    let same = marked.value() == Marked { text: text.clone(), ..marked.clone() }.value();
    Ok((worth, (!same).then_some(text), marked))
}

/// What a key means: a field by its path, a pin by any of its names, or a field by the second half of its path.
fn worth(plan: &Plan, handover: &Handover, key: &str) -> Result<Worth, Refused> {
    // `plate.pin` is the pin, as for `pins --against`; the capacitance of that name is of no use to a program.
    let exact = |key: &str| FIELDS.iter().position(|field| field.path == key);
    if key.strip_suffix(".pin").is_none()
        && let Some(index) = exact(key)
    {
        return field_worth(plan, index);
    }
    for (index, field) in FIELDS.iter().enumerate().filter(|(_, field)| field.kind == Kind::Size) {
        let told = sides(field, (field.get)(&plan.station));
        if let Some((key, value)) = told.into_iter().find(|(side, _)| side == key) {
            return Ok(Worth { key, value, unit: "px", assumed: assumed(plan, index) });
        }
    }
    let meant: Vec<_> = handover.pins.iter().filter(|pin| pintable::means(key, &pin.name)).collect();
    match &meant[..] {
        [] => {}
        [pin] => {
            let number = pin
                .pin
                .ok_or_else(|| refused(format!("`{}` found no pin", pin.key), "doorwright pins tells why"))?;
            let key = pin.key.clone();
            return Ok(Worth { key, value: f64::from(number), unit: "1", assumed: None });
        }
        several => {
            let keys: Vec<&str> = several.iter().map(|pin| pin.key.as_str()).collect();
            return Err(refused(
                format!("`{key}` means {}", keys.join(" and ")),
                "one pin can be written here",
            ));
        }
    }
    let alike = |text: &str| text.replace(['.', '-'], "_");
    let ends: Vec<usize> =
        (0..FIELDS.len()).filter(|index| alike(FIELDS[*index].key()) == alike(key)).collect();
    match &ends[..] {
        [index] => field_worth(plan, *index),
        [] => {
            let pins = handover.pins.iter().map(|pin| pin.key.as_str());
            let near = quantity::nearest(key, pins.chain(FIELDS.iter().map(|field| field.path)));
            let hint = near.map_or(String::new(), |near| format!("did you mean `{near}`?"));
            Err(refused(format!("the plan has no key `{key}`"), hint))
        }
        several => {
            let paths: Vec<&str> = several.iter().map(|index| FIELDS[*index].path).collect();
            Err(refused(format!("`{key}` may be {}", paths.join(" or ")), "write the key in full"))
        }
    }
}

fn field_worth(plan: &Plan, index: usize) -> Result<Worth, Refused> {
    let field: &Field = &FIELDS[index];
    let value = (field.get)(&plan.station);
    let unit = match field.kind {
        Kind::Choice { .. } => {
            let says = format!(
                "`{}` is a word, \"{}\", and a marked line takes a number",
                field.path,
                field.show(value)
            );
            return Err(refused(says, "write the word by hand, or include the header"));
        }
        Kind::Size => {
            let says = format!("`{}` is two numbers", field.path);
            return Err(refused(says, format!("write {0}.width or {0}.height", field.path)));
        }
        Kind::Number { unit, .. } => unit,
        Kind::Count { .. } | Kind::YesNo => "1",
    };
    if value.is_nan() {
        return Err(refused(format!("nobody tells `{}`", field.path), "write it into the plan"));
    }
    Ok(Worth { key: field.path.into(), value, unit, assumed: assumed(plan, index) })
}

fn assumed(plan: &Plan, index: usize) -> Option<(String, String)> {
    let field = &FIELDS[index];
    (!is_told(plan, index)).then(|| (field.show((field.get)(&plan.station)), field.source.into()))
}

/// The value in the unit of the mark, or else in that of the letters behind the number.
fn in_unit_of(worth: &Worth, unit: Option<&str>, letters: &str) -> Result<f64, Refused> {
    let in_letters = quantity::convert(worth.value, worth.unit, letters).ok().filter(|_| !letters.is_empty());
    let Some(unit) = unit else {
        return match (in_letters, worth.unit) {
            (Some(value), _) => Ok(value),
            (None, "1" | "px") => Ok(worth.value),
            (None, unit) => {
                let says =
                    format!("`{}` has a unit, and the line does not say which it counts in", worth.key);
                Err(refused(
                    says,
                    format!("write `dw: {} in {unit}`, or the unit that it counts in", worth.key),
                ))
            }
        };
    };
    let value = quantity::convert(worth.value, worth.unit, unit)
        .map_err(|error| refused(format!("`in {unit}`: {error}"), error.hint().unwrap_or_default()))?;
    match in_letters {
        Some(other) if (other - value).abs() > 1e-9 * value.abs() => Err(refused(
            format!("the number is in {letters} and the mark says {unit}"),
            "let both say the same",
        )),
        _ => Ok(value),
    }
}

/// The value written as the marked number is: whole, with a point, or in hex; `None` where it would not be whole.
fn written(value: f64, like: &Marked) -> Option<String> {
    if let Some(digits) = like.hex() {
        let whole = number::whole(value).filter(|whole| *whole >= 0)?;
        let (width, sign) = (digits.len(), &like.text[..2]);
        return Some(if digits.contains(|c: char| c.is_ascii_lowercase()) {
            format!("{sign}{whole:0width$x}")
        } else {
            format!("{sign}{whole:0width$X}")
        });
    }
    if like.text.contains(['.', 'e', 'E']) {
        return Some(number::with_point(value));
    }
    number::whole(value).map(|whole| whole.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::handover::tests::{read, shipped};
    use proptest::prelude::*;

    const PLAN: &str = "[board]\nsheet = \"wren\"\n[camera]\nsize = \"640x480\"\nquality = 14\nheight = \"1.5 m\"\n\
        [rest]\nidle_every = \"15 min\"\n[plate]\nperiod = \"25 ms\"\n[supply]\nkind = \"usb\"\n\
        [pins]\nplate = 13\nstatus_lamp = 4\n";

    fn fill_in(plan: &Plan, text: &str) -> Result<Filled, Problems> {
        fill(plan, &Handover::of(plan), &Source::new("config.h", text))
    }

    fn filled(text: &str) -> Result<Filled, Problems> {
        fill_in(&read(PLAN), text)
    }

    #[test]
    fn only_the_number_changes_in_any_language() {
        let table = [
            ("#define PLATE_PIN   27   // dw: plate.pin", "#define PLATE_PIN   13   // dw: plate.pin"),
            ("plate: GPIO27  # dw: pins.plate", "plate: GPIO13  # dw: pins.plate"),
            ("#define PLATE 0x1B /* dw: plate.pin */", "#define PLATE 0x0D /* dw: plate.pin */"),
            ("idle_ms = 10000\t; dw: idle.every in ms", "idle_ms = 900000\t; dw: idle.every in ms"),
            ("wait = \"10min\" # dw: rest.idle_every", "wait = \"15min\" # dw: rest.idle_every"),
            ("let s = 1.5; // dw: rest.idle_every in s", "let s = 900.0; // dw: rest.idle_every in s"),
            ("period = 30; -- dw: plate.period in ms", "period = 25; -- dw: plate.period in ms"),
            ("<q v=\"12\"/> <!-- dw: camera.quality -->", "<q v=\"14\"/> <!-- dw: camera.quality -->"),
            (
                "size = 800x600 # dw: camera.size.width #1 dw: camera.size.height #2",
                "size = 640x480 # dw: camera.size.width #1 dw: camera.size.height #2",
            ),
            ("d0 = 5 % dw: camera_bus.d0", "d0 = 39 % dw: camera_bus.d0"),
            ("high_cm = 120 // dw: camera.height in cm", "high_cm = 150 // dw: camera.height in cm"),
        ];
        for (line, wanted) in table {
            let done = filled(&format!("a\r\n{line}\r\nb")).unwrap_or_else(|problems| panic!("{problems}"));
            assert_eq!(done.text, format!("a\r\n{wanted}\r\nb"));
        }
    }

    #[test]
    fn what_cannot_be_followed_is_refused_with_place_and_advice() {
        let table = [
            ("x = 1 // dw: plat.pin", "1:14 the plan has no key `plat.pin`; did you mean `plate.pin`?"),
            ("x = 1 // dw: camera.qualty", "did you mean `camera.quality`?"),
            ("x = 1 // dw: rest.mode", "`rest.mode` is a word, \"awake\", and a marked line takes a number"),
            (
                "x = 1 // dw: camera.size",
                "`camera.size` is two numbers; write camera.size.width or camera.size.height",
            ),
            (
                "x = 1 // dw: idle.every",
                "has a unit, and the line does not say which it counts in; write `dw: rest.idle_every in s`",
            ),
            ("x = 1 // dw: idle.every in m", "a time"),
            ("x = 1 // dw: idle.every in mss", "did you mean"),
            ("x = 10000ms // dw: idle.every in s", "the number is in ms and the mark says s"),
            (
                "x = 1 // dw: plate.period in s",
                "`plate.period` is 0.025 here, and a whole number stands there",
            ),
            ("f(1, 2) // dw: plate.pin", "2 numbers on the line"),
            ("f(1, 2) // dw: plate.pin #1 dw: camera.quality #1", "are marked at the same number"),
            ("size = 5x600 // dw: net.tls #1", "cannot be told from what stands around it"),
            ("x = 0b11 // dw: plate.pin", "`0b11` is neither"),
            ("x = 1 // dw: plate.size in mm", "nobody tells `plate.size`; write it into the plan"),
            ("x = 1 // dw: height in m", "`height` may be camera.height or plate.height or"),
            ("nothing", "no line of this file is marked"),
        ];
        for (line, words) in table {
            let problems = filled(line).expect_err(line).to_string();
            assert!(problems.contains(words), "{line}: {problems}");
        }
        let both = filled("a = 1 // dw: x.y\nb = 27 // dw: plate.pin\nc = 1 // dw: z.y\n").unwrap_err();
        assert_eq!(both.list.len(), 2, "all of them in one run");
    }

    #[test]
    fn an_assumption_is_written_with_a_note_and_what_is_told_without() {
        let done = filled("hz = 1 // dw: camera.clock in MHz\nq = 1 // dw: camera.quality\n").unwrap();
        let keys: Vec<&str> = done.assumed.iter().map(|assumed| assumed.key.as_str()).collect();
        assert_eq!((keys, done.changes.len()), (vec!["camera.clock"], 2));
        assert!(done.text.starts_with("hz = 20 //"));
    }

    /// A pin that the wiring did not find is not written.
    #[test]
    fn a_demand_without_a_pin_is_refused() {
        let refused = fill_in(&shipped("impossible"), "x = 1 // dw: pins.second_sounder");
        assert!(refused.unwrap_err().to_string().contains("found no pin"));
    }

    /// Keys with the unit that a line may count them in.
    const KEYS: [(&str, &str); 8] = [
        ("plate.pin", ""),
        ("pins.status_lamp", ""),
        ("camera_bus.vsync", ""),
        ("camera.quality", ""),
        ("rest.idle_every", " in ms"),
        ("camera.size.width", ""),
        ("plate.period", " in us"),
        ("camera.clock", " in Hz"),
    ];

    proptest! {
        #[test]
        fn the_rest_of_the_file_stays_a_second_run_finds_nothing_and_pins_agree(
            lines in prop::collection::vec((
                "[a-zé_ =\"(]{0,12}[ =(\"]", "(0x[0-9a-f]{1,4}|[1-9][0-9]{0,6}|[0-9]{1,3}\\.[0-9])",
                "[)\";]{0,2} {1,3}", prop::sample::select(vec!["//", "#", ";", "--", "/*"]), 0..KEYS.len(), "\r?\n",
            ), 1..8),
        ) {
            let line = |number: &str, (before, _, after, sign, key, end): &(String, String, String, &str, usize, String)| {
                let (key, unit) = KEYS[*key];
                format!("{before}{number}{after}{sign} dw: {key}{unit}{end}")
            };
            let text: String = lines.iter().map(|parts| line(&parts.1, parts)).collect();
            let plan = read(PLAN);
            let done = fill_in(&plan, &text).map_err(|problems| TestCaseError::fail(problems.to_string()))?;
            for ((parts, was), now) in lines.iter().zip(text.lines()).zip(done.text.lines()) {
                let marked = pintable::marks(now).remove(0).number.expect("it was one before");
                let same = line(&marked.text, parts);
                prop_assert_eq!(now, same.trim_end_matches(['\r', '\n']));
                prop_assert_eq!(pintable::marks(was).len(), 1);
            }
            let again = fill_in(&plan, &done.text).expect("as before");
            prop_assert!(again.changes.is_empty() && again.text == done.text);
            let signals = budgets::wiring::WiringList::of(&plan).signals();
            let against = pintable::compare(&done.text, &signals);
            prop_assert!(against.differ.is_empty() && against.refused.is_empty(), "{:?}", against);
        }
    }
}
