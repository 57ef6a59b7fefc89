//! What a tuned plate is worth, in words: `fits`, `tight` or `over`, each finding with what to record or change.

use crate::levels::Sense;
use crate::lines::Rate;
use crate::plate::{Cannot, TRUSTED, Tuned, WINDOW};
use models::energy::{DAY_S, YEAR_S};
use models::touch::noise::{FALSE_BORNE_YEAR, MISSED_BORNE, RATIO_LEAST};

/// Below this ratio a plate does not fit: its noise takes a third of a touch. Ours.
const RATIO_OVER: f64 = 3.0;
/// More presses than this in a thousand are too many to miss.
const MISSED_MOST: f64 = 1000.0 * MISSED_BORNE;
/// Share of gloved presses that may be missed unsaid. Ours.
const GLOVED_MOST: f64 = 0.1;
/// The mains are said where they stand so many times out of the noise beside them, by power. Ours.
const HUM_SEEN: f64 = 20.0;

/// How a tuned plate is judged. Ordered: the last is worst.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// It works, as far as the recording goes.
    Fits,
    /// It works, with a reservation.
    Tight,
    /// It does not work.
    Over,
}

impl Verdict {
    /// As budgets say it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Fits => "fits",
            Self::Tight => "tight",
            Self::Over => "over",
        }
    }
}

/// A verdict and its reasons, the worst first; sentences without a full stop that begin in lower case.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// The worst of its reasons.
    pub verdict: Verdict,
    /// What stands against it, and what to do.
    pub says: Vec<String>,
}

impl Judged {
    /// Judges what came of a recording of this rate and length.
    pub fn of(tuned: &Tuned, rate: Rate, span_s: f64) -> Self {
        let mut found: Vec<(Verdict, String)> = Vec::new();
        let mut say = |verdict, text: String| found.push((verdict, text));
        let ratio = tuned.ratio.peak_to_peak;
        if !tuned.ratio.is_clear() {
            let verdict = if ratio < RATIO_OVER { Verdict::Over } else { Verdict::Tight };
            let text = "levels are close: a touch stands";
            say(
                verdict,
                format!(
                    "{text} {ratio:.1} times the idle peak-to-peak of {WINDOW} readings out, {RATIO_LEAST:.0} are usual: a thinner cover, a larger plate, a shorter lead or 0 V joined to earth"
                ),
            );
        }
        let (replay, presses) = (tuned.replay, tuned.presses.len());
        if replay.found < presses {
            say(Verdict::Over, format!("replayed, the detector found {} of {presses} presses", replay.found));
        }
        if replay.none > 0 {
            let bursts = "a sleeve, rain, a lock or a lamp near by";
            say(
                Verdict::Tight,
                format!("replayed, it told {} where there was none: {bursts}", times(replay.none)),
            );
        }
        if replay.again * 20 > presses {
            say(
                Verdict::Tight,
                format!(
                    "replayed, it told {} again before they were over: touched readings are noisy; average whole periods of the mains, 100 ms, or join 0 V to earth",
                    presses_of(replay.again)
                ),
            );
        }
        let (idle, touched) = tuned.margins;
        if touched < idle {
            say(
                Verdict::Tight,
                format!(
                    "touched readings reach into idle ones: one touched in twenty lies within {touched:.0} counts of the baseline, one idle in a thousand beyond {idle:.0}: other supply, thicker cover, 0 V joined to earth"
                ),
            );
        }
        let missed = tuned.missed;
        if missed.low > MISSED_MOST {
            say(
                Verdict::Over,
                "more than two presses in a hundred would be missed: use a button, or mend plate and supply"
                    .into(),
            );
        } else if 1000.0 * tuned.missed_hasty > MISSED_MOST && missed.value > MISSED_MOST {
            say(
                Verdict::Tight,
                format!(
                    "callers press as short as 0.35 s (0.12..1.2); {:.0} of 1000 would be missed: read more often, or ask for fewer readings in a row",
                    1000.0 * tuned.missed_hasty
                ),
            );
        } else if missed.high > MISSED_MOST {
            say(
                Verdict::Tight,
                format!(
                    "{} do not show that fewer than two in a hundred are missed: record more",
                    presses_of(presses)
                ),
            );
        }
        if tuned.false_year.low > FALSE_BORNE_YEAR {
            say(
                Verdict::Over,
                "more than a false press in two weeks: use a button, or mend plate and supply".into(),
            );
        } else if tuned.false_year.value > FALSE_BORNE_YEAR {
            say(
                Verdict::Tight,
                "the recording does not show that there is less than a false press in two weeks: record longer"
                    .into(),
            );
        }
        if let Some(left) = tuned.one_more {
            say(
                Verdict::Tight,
                format!(
                    "one more reading in a row would leave {left:.0} false presses a year, and take too long: read more often, or average less"
                ),
            );
        }
        if tuned.noise_year.high > 1.0 && tuned.reaches > TRUSTED {
            let more = if span_s < 3600.0 { "an hour, then a day" } else { "several days" };
            say(
                Verdict::Tight,
                format!(
                    "a year is {:.0} times this recording, a tail is trusted for {TRUSTED:.0}: record {more}",
                    YEAR_S / span_s
                ),
            );
        }
        if tuned.missed_gloved > GLOVED_MOST {
            say(
                Verdict::Tight,
                format!(
                    "with winter gloves {:.0} of 100 presses would be missed: a thinner cover, or a button",
                    100.0 * tuned.missed_gloved
                ),
            );
        }
        let (shower, _) = tuned.rain;
        if f64::from(tuned.config.threshold) < shower {
            say(
                Verdict::Tight,
                format!(
                    "a typical shower moves the count by {shower:.0}, past the threshold: keep rain off the plate, or record a wet day"
                ),
            );
        }
        if tuned.asleep.is_some_and(|asleep| !asleep.holds) {
            say(Verdict::Over, "asleep, the idle level wanders by more than a third of a touch between two learnings: learn more often, or use a button".into());
        }
        if !tuned.films.is_empty() {
            say(
                Verdict::Tight,
                format!("{} too long for a press: water, or a hand at rest", touches(tuned.films.len())),
            );
        }
        for hum in tuned.hum.iter().filter(|hum| hum.over_noise > HUM_SEEN) {
            say(
                Verdict::Fits,
                format!(
                    "the mains ({:.0} Hz) are in it, seen at {:.1} Hz with {:.1} counts: averaging whole periods, 100 ms, takes them out",
                    hum.mains_hz, hum.seen_hz, hum.amplitude
                ),
            );
        }
        if tuned.hum.iter().any(|hum| hum.amplitude.is_nan()) {
            say(Verdict::Fits, "at this rate mains of 50 or 60 Hz would appear as nothing or as drift: they cannot be judged".into());
        }
        match rate {
            Rate::Irregular => {
                say(Verdict::Tight, "readings came irregularly: no claim on press length".into());
            }
            Rate::Unknown => say(
                Verdict::Tight,
                "the log has no times: whatever is said of time rests on the rate that was taken".into(),
            ),
            _ => {}
        }
        // A recording without night says less (trade.md `plate.log-rate`); a day with some readings missing is one.
        if span_s < 0.95 * DAY_S {
            say(Verdict::Fits, "wet weather and night are not in it: record a day in the final case, supply and wall, radio and camera on".into());
        }
        found.sort_by_key(|(verdict, _)| std::cmp::Reverse(*verdict));
        let verdict = found.first().map_or(Verdict::Fits, |(verdict, _)| *verdict);
        Self { verdict, says: found.into_iter().map(|(_, text)| text).collect() }
    }
}

impl std::fmt::Display for Cannot {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Short { samples, span_s } => write!(f, "{samples} readings in {span_s:.0} s are too few: record hands off for a minute, then ten presses"),
            Self::NoTouch => f.write_str("no touch in it: press ten times, a second each, and record again; if you did, the plate does not feel you: thinner cover, larger plate, shorter lead"),
            Self::FewPresses { presses } => write!(f, "only {} in it: ten are wanted, a second each", presses_of(*presses)),
            Self::Saturated { count } => write!(f, "readings stand at {count}, the end of the counter: charge the plate for a shorter time, or make it smaller"),
            Self::Close { ratio } => write!(f, "levels are too close: a touch stands only {ratio:.1} times the idle peak-to-peak of {WINDOW} readings out, {RATIO_LEAST:.0} are usual: thinner cover, larger plate, shorter lead, 0 V joined to earth; or use a button"),
            Self::NeverSettles { moves, depth } => write!(f, "the plate never settles: the idle level moves by {moves:.0} counts where a touch is {depth:.0} deep; is it loose, wet, or beside a wire that moves?"),
        }
    }
}

impl std::error::Error for Cannot {}

/// `falls by 600 on a touch`.
pub fn moves(sense: Sense, depth: f32) -> String {
    format!("{} by {depth:.0} on a touch", sense.word())
}

fn presses_of(count: usize) -> String {
    if count == 1 { "1 press".into() } else { format!("{count} presses") }
}

fn touches(count: usize) -> String {
    if count == 1 { "1 touch was".into() } else { format!("{count} touches were") }
}

fn times(count: usize) -> String {
    if count == 1 { "a press".into() } else { format!("{count} presses") }
}
