//! What the values of one field in the first lines say of it: numbers, words, whether it goes forward, what its name means.
//!
//! Facts alone; which field serves for what is decided in [`super::choose`].

use super::Refused;
use super::layout::{Key, Layout, Piece, Scratch, name_of};
use super::token::{NoCount, Suffix, Token, bare};

/// Fields that the first lines may have in all.
const COLUMNS_MAX: usize = 64;

/// Words of a name that say "this is the reading", the most telling first.
pub(super) const READINGS: &[&[&str]] = &[
    &["plate", "plates"],
    &["touch"],
    &["count", "counts"],
    &["raw"],
    &["value", "val", "values"],
    &["reading", "readings"],
];

/// Words of a name that say "this is something else", whatever other words it has.
pub(super) const NO_READINGS: &[&str] = &[
    "threshold",
    "thr",
    "limit",
    "level",
    "baseline",
    "base",
    "filtered",
    "smooth",
    "smoothed",
    "avg",
    "average",
    "mean",
    "median",
    "min",
    "max",
    "delta",
    "diff",
    "noise",
    "sigma",
    "heap",
    "free",
    "kb",
    "block",
    "stack",
    "rssi",
    "dbm",
    "temp",
    "temperature",
    "deg",
    "degc",
    "volt",
    "volts",
    "mv",
    "battery",
    "crc",
    "seq",
    "index",
    "number",
    "no",
    "id",
    "error",
    "errors",
    "state",
    "pressed",
    "lux",
    "loop",
    "fps",
];

/// Words of a name that say "this is the time".
pub(super) const TIMES: &[&str] = &[
    "time",
    "t",
    "ts",
    "timestamp",
    "stamp",
    "at",
    "uptime",
    "up",
    "clock",
    "when",
    "date",
    "datetime",
    "elapsed",
    "tick",
    "ticks",
    "s",
    "sec",
    "secs",
    "seconds",
    "ms",
    "msec",
    "millis",
    "milliseconds",
    "us",
    "usec",
    "micros",
    "microseconds",
    "ns",
    "nanos",
];

/// Names of a field that tells which plate a line is about.
pub(super) const PLATES: &[&str] = &[
    "plate",
    "pad",
    "electrode",
    "channel",
    "ch",
    "pin",
    "button",
    "sensor",
    "id",
    "name",
    "which",
    "where",
];

/// A field to look for, in a form that compares quickly.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Wanted {
    pub name: Vec<u8>,
    pub nth: usize,
}

impl Wanted {
    /// Whether the key is this one. Columns have no name, and comparing nothing with nothing by the library's call costs
    /// more than reading the whole line.
    #[inline]
    pub(super) fn is(&self, key: Key<'_>) -> bool {
        self.nth == key.nth
            && self.name.len() == key.name.len()
            && (key.name.is_empty() || self.name == key.name)
    }
}

/// All values of one field in the first lines.
pub(super) struct Column {
    pub key: Wanted,
    pub shown: String,
    pub lines: usize,
    pub numbers: Vec<f64>,
    pub counts: usize,
    pub fractions: usize,
    pub decimals: bool,
    pub suffix: Option<Suffix>,
    pub clocks: usize,
    pub moments: usize,
    pub texts: Vec<Vec<u8>>,
    pub too_many_texts: bool,
}

impl Column {
    fn take(&mut self, piece: &Piece<'_>) {
        let text = bare(piece.text);
        if text.is_empty() {
            return;
        }
        self.lines += 1;
        if !self.too_many_texts && !self.texts.iter().any(|known| known == text) {
            self.too_many_texts = self.texts.len() == 16;
            self.texts.push(text[..text.len().min(64)].to_vec());
        }
        match piece.token() {
            Some(Token::Number(number, suffix)) => {
                self.numbers.push(number.value());
                self.decimals |= number.decimals > 0;
                self.suffix =
                    Some(self.suffix.map_or(suffix, |had| if had == suffix { had } else { Suffix::Other }));
                match number.count() {
                    Ok(_) => self.counts += 1,
                    Err(NoCount::Fraction) => self.fractions += 1,
                    Err(NoCount::OutOfRange) => {}
                }
            }
            Some(Token::Clock(micros, _)) => {
                self.clocks += 1;
                self.numbers.push(micros as f64);
            }
            Some(Token::Moment(micros, _)) => {
                self.moments += 1;
                self.numbers.push(micros as f64);
            }
            None => {}
        }
    }

    /// Nine in ten of something.
    pub(super) fn mostly(&self, count: usize) -> bool {
        count > 0 && count * 10 >= self.lines * 9
    }

    pub(super) fn plain_numbers(&self) -> usize {
        self.numbers.len() - self.clocks - self.moments
    }

    pub(super) fn is_numeric(&self) -> bool {
        self.mostly(self.plain_numbers())
    }

    pub(super) fn is_named(&self) -> bool {
        !self.shown.starts_with("column ") && !self.shown.starts_with("number ")
    }

    pub(super) fn has_word(&self, list: &[&str]) -> bool {
        self.is_named() && words_of(&self.shown).iter().any(|word| list.contains(&word.as_str()))
    }

    pub(super) fn steps(&self) -> impl Iterator<Item = f64> + '_ {
        self.numbers.windows(2).map(|pair| pair[1] - pair[0])
    }

    /// Goes forward, but for a few places where a clock wraps or begins anew.
    pub(super) fn goes_forward(&self) -> bool {
        let back = self.steps().filter(|step| *step < 0.0).count();
        let forward = self.steps().filter(|step| *step > 0.0).count();
        forward > 0 && back * 50 <= self.numbers.len().max(50) && back * 2 <= forward
    }

    /// As [`Self::goes_forward`], where nothing but its values says that it is a time.
    pub(super) fn only_goes_forward(&self) -> bool {
        let back = self.steps().filter(|step| *step < 0.0).count();
        self.goes_forward() && back * 200 <= self.numbers.len()
    }

    /// Counts lines: nearly every step is one; or most are and the others skip some.
    pub(super) fn numbers_lines(&self) -> bool {
        let (steps, ones) = (self.numbers.len().max(1) - 1, self.steps().filter(|step| *step == 1.0).count());
        let rises = self.steps().all(|step| step >= 1.0);
        steps >= 3 && (ones * 50 >= steps * 49 || rises && ones * 4 >= steps * 3)
    }

    /// Rises at every step, as no reading does.
    pub(super) fn is_counter(&self) -> bool {
        self.numbers_lines() || self.numbers.len() >= 12 && self.steps().all(|step| step > 0.0)
    }

    pub(super) fn varies(&self) -> bool {
        self.steps().any(|step| step != 0.0)
    }

    /// Words, or a few small numbers, as plates are told apart.
    pub(super) fn tells_plates(&self) -> bool {
        if self.too_many_texts || self.clocks + self.moments > 0 {
            return false;
        }
        let small = |value: &f64| (0.0..64.0).contains(value) && value.fract() == 0.0;
        self.plain_numbers() == 0 || self.is_numeric() && self.numbers.iter().all(small)
    }

    pub(super) fn reading_rank(&self) -> Option<usize> {
        let words = words_of(&self.shown);
        if !self.is_named() || words.iter().any(|word| NO_READINGS.contains(&word.as_str())) {
            return None;
        }
        READINGS.iter().position(|names| words.iter().any(|word| names.contains(&word.as_str())))
    }
}

/// The words of a name: `touchRaw_gate2` has touch, raw, gate.
pub(super) fn words_of(name: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut before = ' ';
    for letter in name.chars() {
        let begins = !letter.is_alphabetic() || letter.is_uppercase() && before.is_lowercase();
        if begins && words.last().is_some_and(|word| !word.is_empty()) {
            words.push(String::new());
        }
        if letter.is_alphabetic() {
            words.last_mut().expect("one at least").extend(letter.to_lowercase());
        }
        before = letter;
    }
    words.retain(|word| !word.is_empty());
    words
}

pub(super) fn columns(layout: &Layout, lines: &[&[u8]]) -> Vec<Column> {
    let mut columns: Vec<Column> = Vec::new();
    let mut scratch = Scratch::default();
    for line in lines {
        // Another message between the rows of a table.
        if matches!(layout, Layout::Table(table) if table.cells(line).len() != table.width) {
            continue;
        }
        layout.visit(line, &mut scratch, &mut |key, piece| {
            let known = columns.iter().position(|column| column.key.is(key));
            if let Some(index) = known {
                columns[index].take(piece);
            } else if columns.len() < COLUMNS_MAX {
                let shown = match (layout, key.name) {
                    (Layout::Table(table), _) => {
                        table.names.get(key.nth).cloned().unwrap_or_else(|| format!("column {}", key.nth + 1))
                    }
                    (_, b"") => format!("number {}", key.nth + 1),
                    (_, name) if key.nth > 0 => format!("{} #{}", name_of(name), key.nth + 1),
                    (_, name) => name_of(name),
                };
                let mut column = Column {
                    key: Wanted { name: key.name.to_vec(), nth: key.nth },
                    shown,
                    lines: 0,
                    numbers: Vec::new(),
                    counts: 0,
                    fractions: 0,
                    decimals: false,
                    suffix: None,
                    clocks: 0,
                    moments: 0,
                    texts: Vec::new(),
                    too_many_texts: false,
                };
                column.take(piece);
                columns.push(column);
            }
            true
        });
    }
    columns
}

/// A field by the name that a user knows it by.
pub(super) fn find(columns: &[Column], name: &str) -> Result<usize, Refused> {
    columns.iter().position(|column| column.shown.eq_ignore_ascii_case(name.trim())).ok_or_else(|| {
        Refused::NoSuchField {
            wished: name.to_owned(),
            fields: columns.iter().map(|column| column.shown.clone()).collect(),
        }
    })
}

pub(super) fn ends(values: &[f64]) -> (f64, f64) {
    values.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), value| {
        (least.min(*value), most.max(*value))
    })
}
