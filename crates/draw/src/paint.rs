//! Four tones of ink for terminals; a reader without colour loses nothing.

use anstyle::{Ansi256Color, Color, Style};
use std::fmt;

/// A tone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tone {
    /// As the terminal has it.
    Plain,
    /// Bold.
    Strong,
    /// Fainter: what can be skipped.
    Faint,
    /// The one accent: what to act on.
    Accent,
}

/// A text in a tone; prints ANSI codes, which `anstream` drops where they are not wanted.
pub struct Paint<'t>(pub Tone, pub &'t str);

impl fmt::Display for Paint<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let style = match self.0 {
            Tone::Plain => return f.write_str(self.1),
            Tone::Strong => Style::new().bold(),
            Tone::Faint => Style::new().dimmed(),
            Tone::Accent => Style::new().bold().fg_color(Some(Color::Ansi256(Ansi256Color(130)))),
        };
        write!(f, "{style}{}{style:#}", self.1)
    }
}
