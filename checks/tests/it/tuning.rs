//! Recordings whose truth is known, tuned; then two hours of fresh presses on the same plate, to see whether what was said holds.
//!
//! Two generators that know nothing of the estimator: `usual` as walls are, `strange` with other distributions throughout.
//! 12 recordings of each kind here; 500 with `SOAK=1` in the environment, and with `UPDATE_DOCS=1` the table in
//! `docs/tune-plate.md` is written anew.

use detector::Events;
use std::fmt::Write as _;
use tune::plate::{Recording, Tuned, Wish, tune};
use twin::plate::facts::Facts;
use twin::plate::{Event, Kind, Log, Who, effects, samples, strange};

/// Where the table stands in the page.
const PAGE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../docs/tune-plate.md");
const MARKS: [&str; 2] = ["<!-- table: intervals -->\n", "<!-- end -->"];
/// Length of a recording and of what follows it, s.
const FOR_S: [f64; 2] = [300.0, 7200.0];
const PRESSES: [u32; 2] = [10, 1200];
/// A press told so much before or after the finger's half depth is the same press, s.
const NEAR_S: [f64; 2] = [0.1, 0.3];

#[derive(Clone, Copy)]
struct Family {
    name: &'static str,
    strange: bool,
    facts: Facts,
    /// Gloved presses are deep enough to be recorded, and so among those that are spoken of.
    gloves_show: bool,
}

/// Depths over the idle capacitance, by hand from docs/twin-plate.md: bare on the mains, bare on cells, under 2 mm on the mains.
fn families() -> Vec<Family> {
    let bare = Facts::TYPICAL;
    let cells = Facts { touch: 0.35, child: 0.3, glove: 0.06, touched_noise: 1.0, mains_hz: 0.0, ..bare };
    let cover = Facts { touch: 0.07, child: 0.055, glove: 0.037, ..bare };
    let of =
        |name, facts, gloves_show| [false, true].map(|strange| Family { name, strange, facts, gloves_show });
    [of("bare, mains", bare, false), of("bare, cells", cells, false), of("covered, mains", cover, true)]
        .concat()
}

struct Made {
    counts: Vec<u16>,
    time_s: Vec<f64>,
    gaps: Vec<(usize, u32)>,
    presses: Vec<Event>,
    period_s: f64,
}

impl Made {
    /// `dry` leaves out rain, films, sleeves, insects and bursts: what the noise alone does.
    fn of(family: &Family, part: usize, seed: u64, dry: bool) -> Self {
        let (facts, for_s, presses) = (family.facts, FOR_S[part], PRESSES[part]);
        let log = if family.strange {
            let mut settings = strange::Settings::of(facts, for_s, presses);
            if dry {
                (settings.wet.wipes_1_s, settings.wet.films_1_s, settings.insects.rate_1_s) = (0.0, 0.0, 0.0);
            }
            Log::from(strange::Samples::new(&settings, seed).unwrap())
        } else {
            let mut settings = effects::Settings::of(facts, for_s, presses);
            if dry {
                settings.rain = effects::Rain::OFF;
                settings.brushes = effects::Brushes::OFF;
                settings.bursts = effects::Bursts::OFF;
            }
            Log::from(samples::Samples::new(&settings, seed).unwrap())
        };
        let missing = |(at, pair): (usize, &[f64])| {
            let apart = (pair[1] - pair[0]) / facts.period_s;
            (apart > 1.5).then(|| (at + 1, (apart.round() as u32).saturating_sub(1)))
        };
        Self {
            gaps: log.time_s.windows(2).enumerate().filter_map(missing).collect(),
            presses: log.truth.presses().copied().collect(),
            counts: log.counts,
            time_s: log.time_s,
            period_s: facts.period_s,
        }
    }

    fn recording(&self) -> Recording<'_> {
        Recording { counts: &self.counts, period_s: self.period_s, gaps: &self.gaps }
    }

    /// Of which presses the detector tells, and how often it tells one where there is none.
    fn told(&self, tuned: &Tuned) -> (Vec<bool>, usize) {
        let mut told_s = Vec::new();
        self.recording().run(&tuned.config, |at, _, events| {
            if events.has(Events::PRESS) {
                told_s.push(self.time_s[at]);
            }
        });
        let near = |event: &Event, time_s: f64| {
            time_s >= event.start_s - NEAR_S[0] && time_s <= event.end_s + NEAR_S[1]
        };
        let found =
            self.presses.iter().map(|event| told_s.iter().any(|time_s| near(event, *time_s))).collect();
        let none = told_s.iter().filter(|time_s| !self.presses.iter().any(|event| near(event, **time_s)));
        (found, none.count())
    }
}

/// What recordings of one kind came to.
#[derive(Default)]
struct Sum {
    recordings: usize,
    tuned: usize,
    labelled: usize,
    to_label: usize,
    spurious: usize,
    missed: f64,
    told_missed: f64,
    missed_held: usize,
    fresh_false: usize,
    false_held: usize,
}

impl Sum {
    fn add(&mut self, family: &Family, seed: u64) {
        self.recordings += 1;
        let made = Made::of(family, 0, seed, false);
        let bare = !family.gloves_show;
        let Ok(tuned) = tune(&made.recording(), &Wish { bare, ..Wish::USUAL }) else { return };
        self.tuned += 1;
        let counts = |event: &Event| family.gloves_show || event.kind != Kind::Press(Who::Glove);
        let spans_s: Vec<(f64, f64)> = tuned
            .presses
            .iter()
            .map(|press| (made.time_s[press.start], made.time_s[press.end - 1]))
            .collect();
        let over =
            |event: &Event, span: &(f64, f64)| span.0 < event.end_s + 0.1 && span.1 > event.start_s - 0.1;
        let wanted: Vec<&Event> = made.presses.iter().filter(|event| counts(event)).collect();
        self.to_label += wanted.len();
        self.labelled += wanted.iter().filter(|event| spans_s.iter().any(|span| over(event, span))).count();
        self.spurious +=
            spans_s.iter().filter(|span| !made.presses.iter().any(|event| over(event, span))).count();
        let fresh = Made::of(family, 1, seed + 1_000_000, true);
        let (found, none) = fresh.told(&tuned);
        let of: Vec<bool> = fresh
            .presses
            .iter()
            .zip(found)
            .filter(|(event, _)| counts(event))
            .map(|(_, found)| found)
            .collect();
        let missed = 1000.0 * of.iter().filter(|found| !**found).count() as f64 / of.len() as f64;
        self.missed += missed;
        self.told_missed += tuned.missed.value;
        let held = tuned.missed.low <= missed.round() && missed.round() <= tuned.missed.high;
        self.missed_held += usize::from(held);
        self.fresh_false += none;
        // The rate's upper end over two hours, and what chance adds to it (two deviations of a count).
        let most = tuned.noise_year.high * FOR_S[1] / (365.25 * 86_400.0);
        self.false_held += usize::from(none as f64 <= most + 2.0 * most.sqrt() + 1.0);
    }

    fn share(&self, of: usize) -> f64 {
        of as f64 / self.tuned as f64
    }

    fn row(&self, family: &Family) -> String {
        let per = |sum: f64| sum / self.tuned as f64;
        format!(
            "| {} | {} | {} of {} | {:.1} | {:.2} | {:.1} | {:.1} | {:.0} | {:.2} | {:.0} |",
            family.name,
            if family.strange { "strange" } else { "usual" },
            self.tuned,
            self.recordings,
            100.0 * self.labelled as f64 / self.to_label as f64,
            per(self.spurious as f64),
            per(self.told_missed),
            per(self.missed),
            100.0 * self.share(self.missed_held),
            per(self.fresh_false as f64),
            100.0 * self.share(self.false_held),
        )
    }
}

/// What is said of a plate after five minutes and ten presses holds for its next 1,200 presses.
///
/// Bounds: nearly every press labelled (97 of 100, since covered plates lie at the noise's edge), fewer than one spurious in
/// five recordings, and of the stated 90 % at least 85 of 100.
#[test]
fn what_is_said_of_a_plate_holds() {
    let soak = std::env::var_os("SOAK").is_some();
    let recordings = if soak { 500 } else { 12 };
    let mut table = String::from(
        "| plate | log | tuned | presses labelled, % | spurious, each | missed in 1,000, said | came | interval held, % | false in 2 h | bound held, % |\n|---|---|---:|---:|---:|---:|---:|---:|---:|---:|\n",
    );
    for family in families() {
        let mut sum = Sum::default();
        (1..=recordings).for_each(|seed| sum.add(&family, seed));
        let row = sum.row(&family);
        let _ = writeln!(table, "{row}");
        assert!(sum.tuned * 100 >= sum.recordings * 95, "{row}");
        assert!(sum.labelled * 100 >= sum.to_label * 97, "{row}");
        assert!(sum.spurious * 5 <= sum.recordings, "{row}");
        // Two deviations of a share of twelve are 17 in 100.
        let least = if soak { 0.85 } else { 0.60 };
        assert!(sum.share(sum.missed_held) >= least, "{row}");
        assert!(sum.share(sum.false_held) >= 0.9 - if soak { 0.0 } else { 0.1 }, "{row}");
    }
    if soak && std::env::var_os("UPDATE_DOCS").is_some() {
        let page = std::fs::read_to_string(PAGE).unwrap();
        let (before, rest) = page.split_once(MARKS[0]).unwrap();
        let (_, after) = rest.split_once(MARKS[1]).unwrap();
        std::fs::write(PAGE, format!("{before}{}{table}{}{after}", MARKS[0], MARKS[1])).unwrap();
    }
}
