//! What is turned, as a flat map: one `key = value` line a setting, with a revision that follows from them.

use crate::handover::{Handover, Value, digest};
use station::reach::Reach;

/// The settings of one plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Settings {
    /// Digest of the lines: the same settings have the same revision, whoever sends them.
    pub revision: String,
    /// Digest of the burned part that they are meant for.
    pub burned: String,
    /// Key with its unit, and value; only what is told.
    pub told: Vec<(String, String)>,
    /// Keys left out because nobody tells them: a board keeps what it has.
    pub left_out: Vec<String>,
}

impl Settings {
    /// The settings of a plan.
    pub fn of(handover: &Handover) -> Self {
        let turned = || handover.values.iter().filter(|value| value.reach == Reach::Turned);
        let is_told = |value: &&Value| value.told && value.is_known();
        let told: Vec<(String, String)> =
            turned().filter(is_told).map(|value| (value.flat_key(), value.text())).collect();
        Self {
            revision: digest(told.iter().map(|(key, value)| format!("{key} = {value}")).collect()),
            burned: handover.burned(),
            left_out: turned().filter(|value| !is_told(value)).map(|value| value.key.clone()).collect(),
            told,
        }
    }

    /// The flat lines: `revision` first, then the board they are for, then the settings.
    pub fn text(&self) -> String {
        let head = [("revision".to_string(), self.revision.clone()), ("burned".into(), self.burned.clone())];
        head.iter().chain(&self.told).map(|(key, value)| format!("{key} = {value}\n")).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::handover::tests::read;

    #[test]
    fn only_what_is_told_is_sent_in_units_of_its_key() {
        let text = "[camera]\nquality = 14\nmetering = \"centre\"\nlongest_exposure = \"66 ms\"\n\
                    [rest]\nidle_every = \"15 min\"\ncall_rate = \"2.5 /s\"\n";
        let settings = Settings::of(&Handover::of(&read(text)));
        let lines = settings.text();
        assert!(lines.starts_with(&format!("revision = {}\nburned = ", settings.revision)));
        let told: Vec<&str> = lines.lines().skip(2).collect();
        assert_eq!(
            told,
            [
                "camera.quality = 14",
                "camera.longest_exposure_us = 66000",
                "camera.metering = centre",
                "rest.idle_every_ms = 900000",
                "rest.call_rate_per_s = 2.5"
            ]
        );
        assert!(settings.left_out.contains(&"plate.period".to_string()));
    }
}
