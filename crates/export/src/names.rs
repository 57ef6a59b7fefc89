//! The maker's names for ours: a text of `OURS = THEIRS` lines; `#` begins a remark.

use crate::handover::Handover;
use crate::header::known_names;
use station::text::{Problems, Source};
use std::collections::BTreeMap;
use std::ops::Range;

/// Which of our names is called what; the others stay.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Names(BTreeMap<String, String>);

/// Words that C99 or C++ keep for themselves (ISO/IEC 9899:1999 6.4.1, ISO/IEC 14882:2020 5.11 and 5.5).
const KEPT: &str = " auto break case char const continue default do double else enum extern float for goto if inline int \
    long register restrict return short signed sizeof static struct switch typedef union unsigned void volatile while \
    alignas alignof and and_eq asm bitand bitor bool catch char8_t char16_t char32_t class co_await co_return co_yield \
    compl concept const_cast consteval constexpr constinit decltype delete dynamic_cast explicit export false friend \
    mutable namespace new noexcept not not_eq nullptr operator or or_eq private protected public reinterpret_cast \
    requires static_assert static_cast template this thread_local throw true try typeid typename using virtual wchar_t \
    xor xor_eq defined ";

impl Names {
    /// Reads a text of names for the header of one plan.
    ///
    /// # Errors
    ///
    /// Every line that is none, names nothing of ours, gives a name twice, or gives one that C does not take.
    pub fn read(source: &Source, handover: &Handover) -> Result<Self, Problems> {
        let known = known_names(handover);
        let mut problems = Problems::default();
        let mut names = Self::default();
        let mut at = 0;
        for line in source.text.split('\n') {
            let (told, here) = (line.split('#').next().unwrap_or_default(), at);
            at += line.len() + 1;
            if told.trim().is_empty() {
                continue;
            }
            let Some((ours, theirs)) = told.split_once('=') else {
                let span = within(told, told, here);
                problems.add(source, span, "this line gives no name", Some("write OURS = THEIRS".into()));
                continue;
            };
            let spans = (within(told, ours, here), within(told, theirs, here));
            let (ours, theirs) = (ours.trim(), theirs.trim());
            if let Err((span, says, hint)) = names.take(ours, theirs, &known, spans) {
                problems.add(source, span, says, hint);
            }
        }
        problems.unless(names)
    }

    fn take(
        &mut self,
        ours: &str,
        theirs: &str,
        known: &[String],
        (ours_at, theirs_at): (Range<usize>, Range<usize>),
    ) -> Result<(), (Range<usize>, String, Option<String>)> {
        if !known.iter().any(|name| name == ours) {
            let near = quantity::nearest(ours, known.iter().map(String::as_str));
            let hint = near.map(|near| format!("did you mean {near}?"));
            return Err((ours_at, format!("the header has no name `{ours}`"), hint));
        }
        if self.0.contains_key(ours) {
            return Err((
                ours_at,
                format!("`{ours}` has a name already"),
                Some("keep one of the two".into()),
            ));
        }
        if let Some(why) = no_name(theirs) {
            return Err((
                theirs_at,
                format!("`{theirs}` {why}"),
                Some("letters, digits and _, such as CAM_D0".into()),
            ));
        }
        if let Some((other, _)) = self.0.iter().find(|(_, taken)| *taken == theirs) {
            let hint = Some("each name can stand for one value".into());
            return Err((theirs_at, format!("`{theirs}` is the name of {other} already"), hint));
        }
        self.0.insert(ours.into(), theirs.into());
        Ok(())
    }

    /// What one of our names is called.
    pub fn of<'n>(&'n self, ours: &'n str) -> &'n str {
        self.0.get(ours).map_or(ours, String::as_str)
    }
}

/// Bytes of a part of a line, blanks left out, in the text in which the line begins at `at`.
fn within(line: &str, part: &str, at: usize) -> Range<usize> {
    let start = part.as_ptr() as usize - line.as_ptr() as usize + (part.len() - part.trim_start().len());
    at + start..at + start + part.trim().len()
}

/// Why a text is no name for C and C++.
fn no_name(text: &str) -> Option<&'static str> {
    let starts_right = text.starts_with(|c: char| c.is_ascii_alphabetic() || c == '_');
    if !starts_right || !text.chars().all(|c| c.is_ascii_alphanumeric() || c == '_') {
        Some("is no name in C")
    } else if text.len() > 63 {
        Some("is longer than the 63 letters that C99 tells apart")
    } else if KEPT.contains(&format!(" {text} ")) {
        Some("is a word of C or C++ itself")
    } else if text.contains("__") || (text.starts_with('_')) {
        Some("is kept for the compiler: it begins with _ or has __ in it")
    } else if text.to_ascii_lowercase().starts_with("dw_") {
        Some("begins as our own names do")
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::handover::tests::shipped;

    fn names(text: &str) -> Result<Names, Problems> {
        Names::read(&Source::new("names.txt", text), &Handover::of(&shipped("kiln-yard-gate")))
    }

    #[test]
    fn names_are_taken_and_the_others_stay() {
        let names =
            names("# mine\r\nDW_PLATE_PIN = TOUCH_A # left\r\n\r\nDW_REST_IDLE_EVERY_MS=IDLE\n").unwrap();
        assert_eq!((names.of("DW_PLATE_PIN"), names.of("DW_D0_PIN")), ("TOUCH_A", "DW_D0_PIN"));
    }

    #[test]
    fn every_wrong_line_is_told_with_its_place() {
        let text = "DW_PLATE_PN = A\nDW_PLATE_PIN A\nDW_D0_PIN = int\nDW_D1_PIN = 1st\nDW_D2_PIN = B\nDW_D3_PIN = B\n\
                    DW_D2_PIN = C\nDW_D4_PIN = dw_x\nDW_D5_PIN = __x\nDW_D6_PIN =\nDW_D7_PIN = türe\n";
        let told = names(text).unwrap_err().to_string();
        let lines: Vec<&str> = told.lines().collect();
        assert_eq!(
            lines,
            [
                "names.txt:1:1 the header has no name `DW_PLATE_PN`; did you mean DW_PLATE_PIN?",
                "names.txt:2:1 this line gives no name; write OURS = THEIRS",
                "names.txt:3:13 `int` is a word of C or C++ itself; letters, digits and _, such as CAM_D0",
                "names.txt:4:13 `1st` is no name in C; letters, digits and _, such as CAM_D0",
                "names.txt:6:13 `B` is the name of DW_D2_PIN already; each name can stand for one value",
                "names.txt:7:1 `DW_D2_PIN` has a name already; keep one of the two",
                "names.txt:8:13 `dw_x` begins as our own names do; letters, digits and _, such as CAM_D0",
                "names.txt:9:13 `__x` is kept for the compiler: it begins with _ or has __ in it; letters, digits and _, such as CAM_D0",
                "names.txt:10:12 `` is no name in C; letters, digits and _, such as CAM_D0",
                "names.txt:11:13 `türe` is no name in C; letters, digits and _, such as CAM_D0",
            ]
        );
    }
}
