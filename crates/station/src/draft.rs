//! A first plan from three answers: which board, where it will hang, what feeds it.
//!
//! Only what the answers say is written. Lens, cells, cable and people stay out of the text: what a plan leaves out is
//! assumed, over the range that is sold or usual, so that a first verdict exists at once. Nothing here asks, reads or
//! writes files; a face does.

use std::fmt::Write as _;
use toml_edit::Value;

/// Where the station will hang.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Place {
    /// At the edge of the ground, away from the house.
    #[default]
    Gate,
    /// On the house, beside its door.
    HouseDoor,
    /// Inside: a stairwell, a corridor.
    Indoors,
}

/// What feeds it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Feed {
    /// A mains adapter close by.
    Plug,
    /// A mains adapter at the far end of a cable.
    LongCable,
    /// Cells inside the station.
    Cells,
    /// Not decided.
    #[default]
    NotYet,
}

impl Place {
    /// Every place, in the order of [`Self::NAMES`].
    pub const ALL: [Self; 3] = [Self::Gate, Self::HouseDoor, Self::Indoors];
    /// Words of flags and questions; also the names of files.
    pub const NAMES: [&'static str; 3] = ["gate", "house-door", "indoors"];

    /// The word of this place.
    pub fn name(self) -> &'static str {
        Self::NAMES[self as usize]
    }

    /// What the camera looks at there, for the size of its pictures.
    fn scene(self) -> &'static str {
        match self {
            Self::Gate | Self::HouseDoor => "yard",
            Self::Indoors => "calm",
        }
    }

    /// One-way run of a long cable there, until it is measured. Typical, from memory.
    fn long_run(self) -> &'static str {
        match self {
            Self::Gate => "10 .. 30 m",
            Self::HouseDoor => "5 .. 15 m",
            Self::Indoors => "3 .. 10 m",
        }
    }
}

impl Feed {
    /// Every feed, in the order of [`Self::NAMES`].
    pub const ALL: [Self; 4] = [Self::Plug, Self::LongCable, Self::Cells, Self::NotYet];
    /// Words of flags and questions.
    pub const NAMES: [&'static str; 4] = ["plug", "long-cable", "cells", "not-yet"];

    /// The word of this feed.
    pub fn name(self) -> &'static str {
        Self::NAMES[self as usize]
    }
}

/// What a new plan is written from.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Answers {
    /// Name of the station; any text.
    pub name: String,
    /// Name of a board sheet; none while the board is not known.
    pub board: Option<String>,
    /// Where it will hang.
    pub place: Place,
    /// What feeds it.
    pub feed: Feed,
}

/// The text of the plan.
///
/// ```
/// use station::draft::{Answers, Feed, plan};
/// let text = plan(&Answers { name: "Gate".into(), feed: Feed::Cells, ..Answers::default() });
/// assert!(text.contains("kind = \"cells\"") && !text.contains("lens ="));
/// ```
pub fn plan(answers: &Answers) -> String {
    let mut text =
        String::from("# Yours to edit. What is left out is assumed; doorwright check tells as what.\n");
    line(&mut text, "name", &answers.name, "");
    match &answers.board {
        Some(board) => {
            text.push_str("\n[board]\n");
            line(&mut text, "sheet", board, "doorwright sheets list board");
        }
        None => text.push_str("# Board and lens are open: doorwright sheets list board, tune lens --tape\n"),
    }
    text.push_str("\n[camera]\n");
    line(&mut text, "size", "800x600", "of the picture");
    line(&mut text, "height", "1.4 m", "of the lens above the ground where callers stand");
    line(&mut text, "scene", answers.place.scene(), "what it looks at: calm, yard or foliage");
    feed(&mut text, answers);
    text.push_str("\n[pins]\n");
    line(&mut text, "plate", "any", "check finds it a pin, or write its number");
    text
}

fn feed(text: &mut String, answers: &Answers) {
    let adapter = |text: &mut String| {
        text.push_str("\n[supply]\n");
        line(text, "kind", "adapter", "usb, adapter, bell, bank or cells");
    };
    match answers.feed {
        Feed::NotYet => {}
        Feed::Plug => adapter(text),
        Feed::LongCable => {
            adapter(text);
            text.push_str("\n[cable]\n");
            line(text, "run", answers.place.long_run(), "one way, usual there: measure it");
        }
        Feed::Cells => {
            text.push_str("\n[supply]\n");
            line(text, "kind", "cells", "which ones: doorwright sheets list cell");
            text.push_str("\n[rest]\n");
            line(text, "mode", "sleep", "between presses; awake, cells last hours");
            if answers.place == Place::Indoors {
                text.push_str("\n[site]\ncells_indoors = true\n");
            }
        }
    }
}

/// `key = "value"`, with the comment at a common column where there is room.
fn line(text: &mut String, key: &str, value: &str, comment: &str) {
    // The value of a name may hold quotes or breaks: TOML's own writer decides how they stand.
    let says = format!("{key} = {}", Value::from(value));
    let _ = match comment {
        "" => writeln!(text, "{says}"),
        _ => writeln!(text, "{says:<24} # {comment}"),
    };
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::choices::{Rest, SupplyKind};
    use crate::plan::Plan;
    use crate::sheets::Library;
    use crate::text::Source;

    fn read(answers: &Answers) -> Plan {
        let text = plan(answers);
        Plan::read(Source::new("new.toml", text.clone()), &Library::shipped())
            .unwrap_or_else(|problems| panic!("{problems}\n{text}"))
    }

    #[test]
    fn every_answer_gives_a_short_plan_that_reads() {
        let library = Library::shipped();
        let boards = library.names("board").into_iter().map(|name| Some(name.to_string()));
        for board in boards.chain([None]) {
            for place in Place::ALL {
                for feed in Feed::ALL {
                    let answers = Answers { name: "Gate".into(), board: board.clone(), place, feed };
                    let read = read(&answers);
                    let lines = read.source.text.lines().filter(|line| !line.trim().is_empty()).count();
                    assert!((9..=16).contains(&lines), "{lines}:\n{}", read.source.text);
                    assert!(read.source.text.lines().all(|line| line.chars().count() <= 80));
                    assert_eq!(read.sheet("board").map(|sheet| sheet.name.clone()), board);
                    assert_eq!(read.station.supply.kind == SupplyKind::Open, feed == Feed::NotYet);
                    assert_eq!(read.station.rest.mode == Rest::Sleep, feed == Feed::Cells);
                }
            }
        }
    }

    #[test]
    fn what_was_not_answered_stays_open() {
        let open: Vec<_> = read(&Answers { name: "x".into(), ..Answers::default() })
            .assumptions()
            .into_iter()
            .filter(|assumption| assumption.open)
            .map(|assumption| assumption.path)
            .collect();
        assert!(open.contains(&"lens.view") && open.contains(&"supply.kind"), "{open:?}");
    }

    #[test]
    fn any_name_survives() {
        for name in ["", "Anna's \"gate\"", "a\\b", "two\nlines\t\u{7f}", "Tür 東", "'''\"\"\""] {
            assert_eq!(read(&Answers { name: name.into(), ..Answers::default() }).name, name);
        }
    }
}
