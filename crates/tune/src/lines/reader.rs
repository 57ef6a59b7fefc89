//! Bytes to lines to samples: the first lines are kept until the layout is decided, then everything streams.

use super::choose::{Choice, PLATES_MAX, choose};
use super::column::Wanted;
use super::layout::{Key, Piece, Scratch, name_of};
use super::stream::Stream;
use super::token::{NoCount, Suffix, Token, bare};
use super::{
    ANCHORS_MAX, HEAD_BYTES, HEAD_LINES, LINE_MAX, Log, Refused, SAMPLES_MAX, Unit, Unread, UnreadLine, Why,
    Wish,
};

/// Unread lines that are kept with their text.
const KEPT: usize = 5;
/// A clock that wraps at 2³² is taken as such if the step over the wrap is less than this share of it; else it began anew.
const WRAP_SHARE: i64 = 64;

/// Reads a log piece by piece; see [`super`].
#[derive(Debug)]
pub struct Reader {
    wish: Wish,
    head: Vec<u8>,
    head_lines: usize,
    choice: Option<Choice>,
    partial: Vec<u8>,
    cutting: bool,
    after_return: bool,
    started: bool,
    samples: Samples,
}

/// What is kept of the lines that were read.
#[derive(Debug, Default)]
struct Samples {
    line: u64,
    header: Option<u64>,
    streams: Vec<Stream>,
    plates: Vec<(Vec<u8>, usize)>,
    unread: Unread,
    remarks: u64,
    not_utf8: u64,
    rounded: u64,
    timeless: u64,
    clock: Timeline,
    anchors_left: usize,
    kept: u64,
    full: bool,
    scratch: Scratch,
    readings: Vec<Reading>,
}

/// What a line has where a reading should be. Small, and made at once: a token kept until the line's end costs more than
/// reading its digits.
#[derive(Clone, Copy, Debug)]
enum Reading {
    Count(u16),
    Rounded(u16),
    None(Why),
}

impl Reading {
    #[inline]
    fn of(piece: &Piece<'_>, rounds: bool) -> Self {
        let number = match piece.plain() {
            Some(number) => number,
            None => match piece.token() {
                Some(Token::Number(number, _)) => number,
                None if bare(piece.text).is_empty() => return Self::None(Why::NoReading),
                _ => return Self::None(Why::NotANumber),
            },
        };
        match number.count() {
            Ok(count) => Self::Count(count),
            Err(NoCount::Fraction) if rounds => Self::Rounded(number.value().round() as u16),
            Err(NoCount::Fraction) => Self::None(Why::Fraction),
            Err(NoCount::OutOfRange) => Self::None(Why::OutOfRange),
        }
    }
}

/// A clock as written to a time since the first that goes forward, both in microseconds.
#[derive(Debug, Default)]
struct Timeline {
    first: Option<i64>,
    last: i64,
    step: i64,
    offset: i64,
    wraps: u64,
    midnights: u64,
    restarts: u64,
}

impl Timeline {
    /// The time, and whether the clock began anew.
    #[inline]
    fn time(&mut self, written: i64, unit: Unit) -> (i64, bool) {
        const DAY: i64 = 86_400_000_000;
        if self.first.is_none() {
            (self.first, self.offset) = (Some(written), -written);
            return (0, false);
        }
        let mut broke = false;
        let mut time = written.saturating_add(self.offset);
        let step = time.saturating_sub(self.last);
        // Two writers of one log may overtake each other by a little.
        let little = if unit == Unit::Samples { 0 } else { self.step.clamp(1_000_000, 5_000_000) };
        if step < -little {
            let over = |period: i64| (0..period / WRAP_SHARE).contains(&step.saturating_add(period));
            let period = unit.wraps_after().filter(|period| over(*period));
            let (by, counted) = if unit == Unit::Clock && step < -DAY / 2 {
                (DAY, &mut self.midnights)
            } else if let Some(period) = period {
                (period, &mut self.wraps)
            } else {
                broke = true;
                (self.step.saturating_sub(step), &mut self.restarts)
            };
            *counted += 1;
            self.offset = self.offset.saturating_add(by);
            time = time.saturating_add(by);
        } else if step > 0 {
            self.step = step;
        }
        self.last = time;
        (time, broke)
    }
}

impl Reader {
    /// A reader that has not read anything yet.
    pub fn new(wish: Wish) -> Self {
        Self {
            wish,
            head: Vec::new(),
            head_lines: 0,
            choice: None,
            partial: Vec::new(),
            cutting: false,
            after_return: false,
            started: false,
            samples: Samples { anchors_left: ANCHORS_MAX, ..Samples::default() },
        }
    }

    /// Takes the next piece of the log, cut anywhere.
    ///
    /// # Errors
    ///
    /// When the first lines (64 kB or 2,000, whichever comes first) do not tell what the reading is.
    pub fn feed(&mut self, mut bytes: &[u8]) -> Result<(), Refused> {
        while self.choice.is_none() {
            if self.cutting {
                let Some(end) = bytes.iter().position(|byte| *byte == b'\n') else { return Ok(()) };
                self.samples.line += 1;
                self.samples.miss(Why::TooLong, b"");
                self.cutting = false;
                bytes = &bytes[end + 1..];
            }
            let length = self.take_head(bytes);
            bytes = &bytes[length..];
            if self.head.len() < HEAD_BYTES && self.head_lines < HEAD_LINES {
                return Ok(());
            }
            if self.head_lines == 0 && !self.head.contains(&b'\r') {
                // The first line is too long to be one; those behind it decide.
                self.head.clear();
                self.cutting = true;
            } else {
                self.decide()?;
            }
        }
        self.stream(bytes);
        Ok(())
    }

    /// What was read, after the last piece.
    ///
    /// # Errors
    ///
    /// As [`Self::feed`]; and when no line has a reading.
    pub fn finish(mut self) -> Result<Log, Refused> {
        if self.choice.is_none() {
            self.decide()?;
        }
        let partial = std::mem::take(&mut self.partial);
        if let Some(choice) = &self.choice
            && (!partial.is_empty() || self.cutting)
        {
            self.samples.end_line(choice, &partial, self.cutting);
        }
        let choice = self.choice.take().ok_or(Refused::Empty)?;
        let mut samples = self.samples;
        for stream in &mut samples.streams {
            stream.finish(&mut samples.anchors_left);
        }
        samples.streams.retain(|stream| !stream.counts().is_empty());
        if samples.streams.is_empty() {
            return Err(Refused::NoReading {
                fields: choice.fields.into_iter().map(|field| field.name).collect(),
            });
        }
        Ok(Log {
            streams: samples.streams,
            layout: choice.layout.words(),
            fields: choice.fields,
            unit: choice.unit,
            lines: samples.line,
            remarks: samples.remarks,
            unread: samples.unread,
            not_utf8: samples.not_utf8,
            rounded: samples.rounded,
            timeless: samples.timeless,
            began_s: samples
                .clock
                .first
                .filter(|_| choice.unit != Unit::Samples)
                .map(|first| first as f64 / 1e6),
            wraps: samples.clock.wraps,
            midnights: samples.clock.midnights,
            restarts: samples.clock.restarts,
            full: samples.full,
        })
    }

    /// How many of the bytes belong to the head: up to its limits.
    fn take_head(&mut self, bytes: &[u8]) -> usize {
        let bytes = &bytes[..bytes.len().min(HEAD_BYTES - self.head.len())];
        let mut taken = 0;
        for byte in bytes {
            taken += 1;
            if *byte == b'\n' {
                self.head_lines += 1;
                if self.head_lines == HEAD_LINES {
                    break;
                }
            }
        }
        self.head.extend_from_slice(&bytes[..taken]);
        taken
    }

    fn decide(&mut self) -> Result<(), Refused> {
        let head = std::mem::take(&mut self.head);
        let text = head.strip_prefix(b"\xef\xbb\xbf").unwrap_or(&head);
        let odd = text.iter().filter(|byte| **byte < 9 || (14..32).contains(*byte) && **byte != 0x1b).count();
        if odd * 10 > text.len() {
            return Err(Refused::NotText);
        }
        // The last line of a full head may be cut; one that is whole would be the better of two.
        let whole = match text.iter().rposition(|byte| matches!(byte, b'\n' | b'\r')) {
            Some(end) if head.len() >= HEAD_BYTES => &text[..end],
            _ => text,
        };
        let lines: Vec<&[u8]> = whole
            .split(|byte| matches!(byte, b'\n' | b'\r'))
            .map(trimmed)
            .filter(|line| !line.is_empty() && !is_remark(line))
            .collect();
        let choice = choose(&lines, &self.wish)?;
        let header = choice
            .header
            .and_then(|index| lines.get(index))
            .map(|line| line.as_ptr() as usize - text.as_ptr() as usize);
        self.samples.header = header.map(|at| self.samples.line + line_number(&text[..at]));
        self.samples.prepare(&choice);
        self.choice = Some(choice);
        self.stream(&head);
        Ok(())
    }

    fn stream(&mut self, mut bytes: &[u8]) {
        let Some(choice) = &self.choice else { return };
        if !self.started && !bytes.is_empty() {
            self.started = true;
            bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
        }
        while let Some(first) = bytes.first() {
            // A line feed behind a carriage return ends no other line.
            if std::mem::take(&mut self.after_return) && *first == b'\n' {
                bytes = &bytes[1..];
                continue;
            }
            let Some(end) = bytes.iter().position(|byte| matches!(byte, b'\n' | b'\r')) else {
                self.cutting |= self.partial.len() + bytes.len() > LINE_MAX;
                if self.cutting {
                    self.partial.clear();
                } else {
                    self.partial.extend_from_slice(bytes);
                }
                return;
            };
            self.after_return = bytes[end] == b'\r';
            let line = &bytes[..end];
            if self.partial.is_empty() {
                let cut = self.cutting || line.len() > LINE_MAX;
                self.samples.end_line(choice, line, cut);
            } else {
                self.cutting |= self.partial.len() + line.len() > LINE_MAX;
                if !self.cutting {
                    self.partial.extend_from_slice(line);
                }
                self.samples.end_line(choice, &self.partial, self.cutting);
                self.partial.clear();
            }
            self.cutting = false;
            bytes = &bytes[end + 1..];
        }
    }
}

/// The number of the line that begins behind this text.
fn line_number(before: &[u8]) -> u64 {
    let ends = |at: usize| match before[at] {
        b'\n' => at == 0 || before[at - 1] != b'\r',
        byte => byte == b'\r',
    };
    (0..before.len()).filter(|at| ends(*at)).count() as u64 + 1
}

/// A line without blanks and NULs around it.
#[inline]
fn trimmed(line: &[u8]) -> &[u8] {
    let is_blank = |byte: &u8| matches!(byte, b' ' | b'\t' | 0 | 0x0c);
    match line {
        [first, .., last] if !is_blank(first) && !is_blank(last) => line,
        _ => {
            let start = line.iter().position(|byte| !is_blank(byte)).unwrap_or(line.len());
            let end = line.iter().rposition(|byte| !is_blank(byte)).map_or(start, |last| last + 1);
            &line[start..end]
        }
    }
}

/// A line for people: `# …` or `// …`.
#[inline]
fn is_remark(line: &[u8]) -> bool {
    matches!(line, [b'#', ..] | [b'/', b'/', ..])
}

impl Samples {
    fn prepare(&mut self, choice: &Choice) {
        self.readings = vec![Reading::None(Why::NoReading); choice.counts.len()];
        if choice.plate.is_none() {
            let streams =
                choice.counts.iter().map(|(_, name)| Stream::new(name.clone(), choice.unit != Unit::Samples));
            self.streams = streams.collect();
        }
    }

    #[inline]
    fn end_line(&mut self, choice: &Choice, line: &[u8], cut: bool) {
        self.line += 1;
        if cut {
            self.miss(Why::TooLong, b"");
            return;
        }
        let line = trimmed(line);
        if line.is_empty() {
            return;
        }
        if is_remark(line) || self.header == Some(self.line) {
            self.remarks += 1;
            return;
        }
        if !line.is_ascii() && std::str::from_utf8(line).is_err() {
            self.not_utf8 += 1;
        }
        if self.full {
            return;
        }
        self.read(choice, line);
    }

    #[inline]
    fn read(&mut self, choice: &Choice, line: &[u8]) {
        let (mut written, mut plate) = (None, None);
        let mut missing =
            choice.counts.len() + usize::from(choice.time.is_some()) + usize::from(choice.plate.is_some());
        self.readings.fill(Reading::None(Why::NoReading));
        let readings = &mut self.readings;
        let mut take = |key: Key<'_>, piece: &Piece<'_>, text: &mut Option<(usize, usize)>| {
            let is = |wanted: &Wanted| wanted.is(key);
            if choice.time.as_ref().is_some_and(is) {
                written = match piece.plain() {
                    Some(number) => micros(Token::Number(number, Suffix::None), choice.unit),
                    None => piece.token().and_then(|time| micros(time, choice.unit)),
                };
            } else if let Some(index) = choice.counts.iter().position(|(wanted, _)| is(wanted)) {
                readings[index] = Reading::of(piece, choice.rounds);
            } else if choice.plate.as_ref().is_some_and(is) {
                let bare = bare(piece.text);
                let start = bare.as_ptr() as usize - line.as_ptr() as usize;
                *text = Some((start, start + bare.len()));
            } else {
                return true;
            }
            missing -= 1;
            missing > 0
        };
        choice.layout.visit(line, &mut self.scratch, &mut |key, piece| take(key, piece, &mut plate));
        let mut why = None;
        let mut read_any = false;
        let mut when = None;
        for index in 0..self.readings.len() {
            let count = match self.readings[index] {
                Reading::Count(count) => count,
                Reading::Rounded(count) => {
                    self.rounded += 1;
                    count
                }
                Reading::None(found) => {
                    why = why.filter(|_| found == Why::NoReading).or(Some(found));
                    continue;
                }
            };
            let stream = if choice.plate.is_some() {
                let name = plate.and_then(|(start, end)| line.get(start..end)).unwrap_or_default();
                let base = choice.counts.len() > 1;
                let field = base.then(|| choice.counts[index].1.as_str());
                let Some(stream) = self.stream_of(name, field, index, choice.unit) else {
                    why = Some(Why::TooManyPlates);
                    continue;
                };
                stream
            } else {
                index
            };
            if self.kept == SAMPLES_MAX {
                self.full = true;
                return;
            }
            let time = *when.get_or_insert_with(|| {
                if let Some(written) = written {
                    let (time, broke) = self.clock.time(written, choice.unit);
                    if broke {
                        self.streams.iter_mut().for_each(Stream::clock_began_anew);
                    }
                    Some(time)
                } else {
                    self.timeless += u64::from(choice.time.is_some());
                    None
                }
            });
            self.kept += 1;
            read_any = true;
            self.streams[stream].push(count, time, &mut self.anchors_left);
        }
        // With a column for each plate, an empty cell is no lost line.
        if let Some(why) = why.filter(|why| !read_any || *why != Why::NoReading) {
            self.miss(why, line);
        }
    }

    /// The stream of a plate, made when it is new; none when there are too many.
    fn stream_of(&mut self, plate: &[u8], field: Option<&str>, index: usize, unit: Unit) -> Option<usize> {
        let known = self.plates.iter().position(|(name, of)| *of == index && name == plate);
        if known.is_some() || self.plates.len() >= PLATES_MAX {
            return known;
        }
        self.plates.push((plate[..plate.len().min(256)].to_vec(), index));
        let name = match (plate.is_empty(), field) {
            (true, None) => "no plate named".to_owned(),
            (_, None) => name_of(plate),
            (_, Some(field)) => format!("{} {field}", name_of(plate)),
        };
        self.streams.push(Stream::new(name, unit != Unit::Samples));
        Some(self.streams.len() - 1)
    }

    #[cold]
    fn miss(&mut self, why: Why, line: &[u8]) {
        self.unread.count(why);
        if self.unread.first.len() < KEPT {
            let text = String::from_utf8_lossy(&line[..line.len().min(80)]).into_owned();
            self.unread.first.push(UnreadLine { line: self.line, text, why });
        }
    }
}

/// A time as written, in microseconds; none where it is not of the log's kind.
#[inline]
fn micros(token: Token, unit: Unit) -> Option<i64> {
    /// Past this a time is none; sums and differences of times stay far from the ends of their type.
    const FAR: i64 = i64::MAX / 8;
    let micros = match (token, unit) {
        (Token::Number(number, _), _) => number.scaled(unit.power()?)?,
        (Token::Clock(micros, _), Unit::Clock) | (Token::Moment(micros, _), Unit::Date) => micros,
        _ => return None,
    };
    (micros.abs() < FAR).then_some(micros)
}
