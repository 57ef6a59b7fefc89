//! Asks a person at a terminal, one question at a time; Enter always works.
//!
//! Questions go to standard error, so that results can be piped on. Where standard input is no terminal nobody is
//! asked: the commands take their defaults instead.

use anstream::eprint;
use draw::terminal::WIDTH;
use draw::wrap::wrapped;
use std::io::{BufRead, IsTerminal};

/// Whether somebody is there to answer.
pub fn somebody() -> bool {
    std::io::stdin().is_terminal()
}

/// The answers of a person, line by line.
pub struct Person<R> {
    lines: R,
}

impl Person<std::io::StdinLock<'static>> {
    /// Whoever types on standard input.
    pub fn here() -> Self {
        Person { lines: std::io::stdin().lock() }
    }
}

impl<R: BufRead> Person<R> {
    #[cfg(test)]
    pub fn says(lines: R) -> Self {
        Person { lines }
    }

    /// Lines up to one that holds only a dot, or to the end of the input.
    pub fn paste(&mut self) -> String {
        let mut text = String::new();
        while let Some(line) = self.next()
            && line.trim() != "."
            && text.len() <= pintable::TEXT_BYTES_MAX
        {
            text.push_str(&line);
        }
        text
    }

    fn next(&mut self) -> Option<String> {
        let mut bytes = Vec::new();
        let read = self.lines.read_until(b'\n', &mut bytes).unwrap_or(0);
        (read > 0).then(|| String::from_utf8_lossy(&bytes).into_owned())
    }

    /// Asks until the answer can be used; `take` says what is wrong with one that cannot. An empty answer is handed
    /// on as it is, so that the default is the asker's own; at the end of the input it is what everybody says.
    pub fn ask<T>(&mut self, question: &str, mut take: impl FnMut(&str) -> Result<T, String>) -> Option<T> {
        eprint!("{question}\n> ");
        loop {
            let Some(line) = self.next() else { return take("").ok() };
            match take(line.trim()) {
                Ok(answer) => return Some(answer),
                Err(wrong) => {
                    for line in wrapped(&wrong, WIDTH - 2) {
                        eprint!("  {line}\n");
                    }
                    eprint!("> ");
                }
            }
        }
    }
}

/// One of some words: whole, or its beginning where only one begins so. Empty is the default.
pub fn word<T: Copy>(typed: &str, names: &[&str], all: &[T], default: T) -> Result<T, String> {
    let typed = typed.to_lowercase().replace(' ', "-");
    if typed.is_empty() {
        return Ok(default);
    }
    let whole = names.iter().position(|name| *name == typed);
    let mut begun = names.iter().enumerate().filter(|(_, name)| name.starts_with(&typed)).map(|(at, _)| at);
    let only = begun.next().filter(|_| begun.next().is_none());
    match whole.or(only) {
        Some(at) => Ok(all[at]),
        None => Err(match quantity::nearest(&typed, names.iter().copied()) {
            Some(near) => format!("not among the answers; did you mean {near}?"),
            None => format!("not among the answers: {}", names.join(", ")),
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wrong_answer_is_asked_again_and_the_end_is_the_default() {
        let take = |typed: &str| word(typed, &["gate", "house-door", "garage"], &[1, 2, 3], 1);
        let ask = |typed: &str| Person::says(typed.as_bytes()).ask("where?", take);
        assert_eq!(ask("\n"), Some(1));
        assert_eq!(ask(""), Some(1));
        assert_eq!(ask("House Door\n"), Some(2));
        assert_eq!(ask("moon\nga\nh\n"), Some(2), "ga begins two words");
        assert_eq!(ask("moon"), Some(1));
    }

    #[test]
    fn a_paste_ends_at_a_dot() {
        let mut person = Person::says("D0 4\r\n\r\nD1 5\n.\ngate\n".as_bytes());
        assert_eq!(person.paste(), "D0 4\r\n\r\nD1 5\n");
        assert_eq!(person.next().as_deref(), Some("gate\n"));
    }
}
