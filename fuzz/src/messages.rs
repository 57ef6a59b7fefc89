//! Target that reads what a station says.

use crate::Outcome;
use link::{Says, Unread, read};

/// A message is read or refused with words; what is read is the same when it is written and read again.
///
/// The first line is the topic, the rest the text.
pub fn message(bytes: &[u8]) -> Outcome {
    let end = bytes.iter().position(|byte| *byte == b'\n').unwrap_or(bytes.len());
    let (topic, text) = (String::from_utf8_lossy(&bytes[..end]), bytes.get(end + 1..).unwrap_or_default());
    let heard = match read(&topic, text) {
        Ok(heard) => heard,
        Err(error) => {
            let says = error.to_string();
            assert!(
                says.len() < 1000 && !says.contains(char::is_control),
                "an error is a sentence: {says:?}"
            );
            return match error {
                Unread::Text { kind, says } => {
                    // What was sent stands in it too, and would make every outcome a new one.
                    let is = |word: &&&str| says.contains(**word);
                    let words =
                        ["missing", "invalid", "unknown", "expected", "duplicate", "trailing", " is no "];
                    format!("{kind} {}", words.iter().find(is).unwrap_or(&"else"))
                }
                Unread::Topic(_) => "topic".into(),
                Unread::Name(_) => "name".into(),
                Unread::Kind(_) => "kind".into(),
                Unread::Long { .. } => "long".into(),
                Unread::Many(_) => "many".into(),
            };
        }
    };
    let written = match &heard.says {
        Says::Press(it) => serde_json::to_vec(it),
        Says::Health(it) => serde_json::to_vec(it),
        Says::Settings(it) => serde_json::to_vec(it),
        Says::Answer(it) => serde_json::to_vec(it),
        Says::Readings(it) => serde_json::to_vec(it),
        Says::Gone(it) => serde_json::to_vec(it),
    };
    let again = read(&topic, &written.expect("plain members have a text"));
    // Escapes may make a text longer than it was.
    if let Ok(again) = again {
        assert_eq!(again, heard);
    }
    if let Says::Press(told) = &heard.says {
        assert!(told.age_ms().is_none_or(|age| age <= told.up_ms));
    }
    topic.rsplit('/').next().unwrap_or_default().into()
}
