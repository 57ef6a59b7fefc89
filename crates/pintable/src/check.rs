//! What the gathered names mean side by side: boards told apart, data lines counted, strays and doubles set aside,
//! gaps named.

use std::collections::HashMap;

use crate::gather::{Gathered, ROOT};
use crate::pin::{PinNumber, Pinned};
use crate::place::Places;
use crate::problem::{Problem, Sign};
use crate::reading::{Entry, Format, Group, Reading, Skipped};
use crate::signal::{Family, Named, Order, Signal, Strength};

/// Turns what a reader gathered into a reading.
pub(crate) fn settle(found: Gathered<'_>, format: Format, places: &Places<'_>) -> Reading {
    let mut skipped: Vec<_> = found.skipped.iter().map(|s| (places.line(s.at), s.why.clone())).collect();
    skipped.sort_by_key(|(line, _)| *line);
    skipped.dedup();
    let not_understood =
        skipped.into_iter().map(|(line, why)| Skipped { line, text: places.text_of(line), why }).collect();
    let mut reading = Reading {
        format,
        entries: Vec::new(),
        set_aside: Vec::new(),
        not_understood,
        not_understood_more: found.skipped_more,
        problems: found.problems.clone(),
        groups: Vec::new(),
    };
    let boards = boards(&found);
    if boards.len() > 1 {
        reading.groups = boards
            .into_iter()
            .map(|(section, members)| {
                let empty = Reading { not_understood: Vec::new(), not_understood_more: 0, ..bare(format) };
                let reading = board(empty, &found, &|s| members.contains(&s), places);
                Group {
                    name: board_name(&found, section),
                    line: places.line(found.sections[section].at),
                    reading,
                }
            })
            .collect();
        let names = reading.groups.iter().map(|g| g.name.clone()).collect();
        reading.problems.push(Problem::SeveralBoards { names, line: reading.groups[0].line });
        return reading;
    }
    board(reading, &found, &|_| true, places)
}

fn bare(format: Format) -> Reading {
    Reading {
        format,
        entries: Vec::new(),
        set_aside: Vec::new(),
        not_understood: Vec::new(),
        not_understood_more: 0,
        problems: Vec::new(),
        groups: Vec::new(),
    }
}

/// Each board's own section and all the sections it reads; empty where the text is about one board.
fn boards(found: &Gathered<'_>) -> Vec<(usize, Vec<usize>)> {
    let paths: Vec<Vec<usize>> = (0..found.sections.len()).map(|s| found.path(s)).collect();
    let Some(depth) = first_fork(found, &paths) else { return Vec::new() };
    let mut used: Vec<usize> =
        found.pairs.iter().map(|p| p.section).chain(found.lists.iter().map(|l| l.section)).collect();
    used.sort_unstable();
    used.dedup();
    if found.inherits {
        let with_root = |s: usize| paths[s].iter().copied().chain([ROOT]).collect();
        return used.into_iter().filter(|s| *s != ROOT).map(|s| (s, with_root(s))).collect();
    }
    let mut roots: Vec<usize> = used.iter().filter_map(|s| paths[*s].get(depth).copied()).collect();
    roots.sort_unstable();
    roots.dedup();
    let shared = |s: &usize| paths[*s].len() <= depth;
    let members =
        |r: usize| used.iter().copied().filter(|s| shared(s) || paths[*s].get(depth) == Some(&r)).collect();
    roots.into_iter().map(|r| (r, members(r))).collect()
}

/// The depth at which sections that give one signal different pins part; `None` where none do.
fn first_fork(found: &Gathered<'_>, paths: &[Vec<usize>]) -> Option<usize> {
    let mut seen: HashMap<String, Vec<(usize, Vec<Pinned>)>> = HashMap::new();
    let named = found.pairs.iter().filter_map(|p| match &p.named {
        Named::Numbered(family, n) => Some((format!("{family:?}{n}"), p.section, vec![p.pin])),
        Named::Plain(Signal::Other(_), _) | Named::List(_) => None,
        Named::Plain(signal, _) => Some((signal.key(), p.section, vec![p.pin])),
    });
    let lists = found
        .lists
        .iter()
        .map(|l| ("list".to_string(), l.section, l.items.iter().map(|(p, _)| *p).collect()));
    let mut fork: Option<usize> = None;
    for (key, section, pins) in named.chain(lists) {
        let others = seen.entry(key).or_default();
        for (other, other_pins) in others.iter() {
            let (a, b) = (&paths[section], &paths[*other]);
            let parts = a.iter().zip(b).position(|(x, y)| x != y);
            if let Some(depth) = parts.filter(|_| *other_pins != pins) {
                fork = Some(fork.map_or(depth, |f| f.min(depth)));
            }
        }
        // One memory a section is enough, and keeps this linear in practice.
        if !others.iter().any(|(s, _)| *s == section) {
            others.push((section, pins));
        }
    }
    fork
}

fn board_name(found: &Gathered<'_>, section: usize) -> String {
    let path = found.path(section);
    let names: Vec<&str> = path.iter().map(|s| found.sections[*s].name.as_str()).collect();
    let last = names.last().copied().unwrap_or_default();
    let unique = found.sections.iter().filter(|s| s.name == last).count() == 1;
    if unique && !found.inherits { last.into() } else { names.join(" and ") }
}

/// One reading of a name, before doubles are settled.
struct Candidate {
    signal: Signal,
    strength: Strength,
    entry: Entry,
}

/// Settles one board: the members' pairs and lists into entries, with everything doubtful told.
fn board(
    mut reading: Reading,
    found: &Gathered<'_>,
    member: &dyn Fn(usize) -> bool,
    places: &Places<'_>,
) -> Reading {
    let entry = |name: &str, pin: Pinned, at: &std::ops::Range<usize>| {
        let (line, column) = places.line_column(at.start);
        let line_text = places.text_of(line);
        Entry {
            signal: Signal::Other(name.into()),
            name_as_written: name.into(),
            pin,
            line,
            column,
            span: at.clone(),
            line_text,
        }
    };
    let mut candidates: Vec<Candidate> = Vec::new();
    let mut numbered: Vec<(Family, u8, Entry)> = Vec::new();
    for pair in found.pairs.iter().filter(|p| member(p.section)) {
        let entry = entry(&pair.name, pair.pin, &pair.at);
        match &pair.named {
            Named::Plain(signal, strength) => {
                candidates.push(Candidate { signal: signal.clone(), strength: *strength, entry });
            }
            Named::Numbered(family, n) => numbered.push((*family, *n, entry)),
            Named::List(_) => {}
        }
    }
    let serving: HashMap<PinNumber, Signal> =
        candidates.iter().rev().filter_map(|c| c.entry.pin.map(|p| (p, c.signal.clone()))).collect();
    let mut counted = |family: Family| {
        let lines = numbered.iter().filter(|l| l.0 == family).map(|l| (l.1, l.2.clone())).collect();
        count_lines(family, lines, &serving, &mut reading)
    };
    let (mut data, sensor) = (counted(Family::D), counted(Family::Y));
    let clash =
        sensor.iter().find(|y| data.iter().any(|d| d.signal == y.signal && d.entry.pin != y.entry.pin));
    if let Some(y) = clash {
        reading.problems.push(Problem::TwoCountings { line: y.entry.line });
    }
    data.extend(sensor);
    for list in found.lists.iter().filter(|l| member(l.section)) {
        let mut items: Vec<Entry> = list.items.iter().map(|(pin, at)| entry(&list.name, *pin, at)).collect();
        drop_strays(&mut items, &serving, &mut reading);
        for (index, item) in items.into_iter().enumerate().take(8) {
            let line = if list.order == Order::Up { index as u8 } else { 7 - index as u8 };
            data.push(Candidate { signal: Signal::Data(line), strength: Strength::Strong, entry: item });
        }
    }
    candidates.extend(data);
    candidates.sort_by_key(|c| c.entry.span.start);
    settle_doubles(candidates, &serving, &mut reading);
    name_shared_pins(&mut reading);
    name_gaps(&mut reading);
    reading
}

/// Gives numbered names their data lines.
///
/// D is counted from 0, Y from 2 (the sensor's upper eight of ten). D8 or Y0 show another counting, which is said.
fn count_lines(
    family: Family,
    lines: Vec<(u8, Entry)>,
    serving: &HashMap<PinNumber, Signal>,
    reading: &mut Reading,
) -> Vec<Candidate> {
    let has = |n: u8| lines.iter().any(|l| l.0 == n);
    let Some(first_line) = lines.first().map(|l| l.1.line) else { return Vec::new() };
    let usual = if family == Family::D { 0 } else { 2 };
    let base = match (has(0), has(1), has(8), has(9)) {
        (true, _, true, true) | (false, _, _, true) => 2,
        (true, ..) => 0,
        (false, true, _, _) if family == Family::Y => 1,
        (false, _, true, false) if family == Family::D => 1,
        _ => usual,
    };
    let name = format!("{}{base}", if family == Family::D { 'D' } else { 'Y' });
    let ten = has(9) && (has(0) || has(1));
    if ten {
        reading.problems.push(Problem::UpperEight { name, line: first_line });
    } else if base != usual {
        reading.problems.push(Problem::Counting { name, line: first_line });
    }
    let (mut inside, mut beyond): (Vec<_>, Vec<_>) =
        lines.into_iter().partition(|l| (base..base + 8).contains(&l.0));
    if !ten && beyond.iter().any(|l| l.0 == base + 8) {
        // Nine names for eight lines: the stray may be any of them, and the others close ranks.
        inside.append(&mut beyond);
        inside.sort_by_key(|l| l.0);
        let mut entries: Vec<Entry> = inside.into_iter().map(|l| l.1).collect();
        drop_strays(&mut entries, serving, reading);
        inside = entries.into_iter().enumerate().map(|(i, e)| (base + i as u8, e)).take(8).collect();
    }
    reading.set_aside.extend(beyond.into_iter().map(|l| l.1));
    let candidate = |(n, entry): (u8, Entry)| Candidate {
        signal: Signal::Data(n - base),
        strength: Strength::Strong,
        entry,
    };
    inside.into_iter().map(candidate).collect()
}

/// Takes numbers out of a list for all data lines until eight are left, the likeliest stray first.
fn drop_strays(items: &mut Vec<Entry>, serving: &HashMap<PinNumber, Signal>, reading: &mut Reading) {
    while items.len() > 8 {
        let serves = items.iter().position(|i| i.pin.is_some_and(|p| serving.contains_key(&p)));
        let repeated = || (1..items.len()).find(|i| items[..*i].iter().any(|e| e.pin == items[*i].pin));
        let (index, sign) = match (serves, serves.is_none().then(repeated).flatten()) {
            (Some(i), _) => {
                (i, items[i].pin.and_then(|p| serving.get(&p).cloned()).map_or(Sign::Last, Sign::Serves))
            }
            (None, Some(i)) => (i, Sign::Repeated),
            (None, None) => (items.len() - 1, Sign::Last),
        };
        let count = items.len();
        let stray = items.remove(index);
        reading.problems.push(Problem::TooManyData { count, stray: stray.pin, sign, line: stray.line });
        reading.set_aside.push(stray);
    }
}

/// One pin a signal: the same twice is no news, a weak name gives way to a strong one, else the first is taken.
fn settle_doubles(candidates: Vec<Candidate>, serving: &HashMap<PinNumber, Signal>, reading: &mut Reading) {
    let mut strongest: HashMap<Signal, Strength> = HashMap::new();
    for c in &candidates {
        let known = strongest.entry(c.signal.clone()).or_insert(c.strength);
        *known = (*known).max(c.strength);
    }
    let mut taken: HashMap<Signal, usize> = HashMap::new();
    // Weak names last, so that they find the strong one taken.
    let (strong, weak): (Vec<_>, Vec<_>) =
        candidates.into_iter().partition(|c| strongest[&c.signal] == c.strength);
    for (is_strong, Candidate { mut signal, mut entry, .. }) in
        strong.into_iter().map(|c| (true, c)).chain(weak.into_iter().map(|c| (false, c)))
    {
        if let Some(index) = taken.get(&signal).copied() {
            let first = &mut reading.entries[index];
            if first.pin == entry.pin {
                continue;
            }
            if is_strong {
                entry.signal = signal.clone();
                let serves = |e: &Entry| {
                    matches!(signal, Signal::Data(_)) && e.pin.is_some_and(|p| serving.contains_key(&p))
                };
                if serves(first) && !serves(&entry) {
                    std::mem::swap(first, &mut entry);
                }
                reading.problems.push(Problem::SignalTwice {
                    signal,
                    taken: first.pin,
                    taken_line: first.line,
                    left: entry.pin,
                    line: entry.line,
                });
                reading.set_aside.push(entry);
                continue;
            }
            signal = Signal::Other(entry.name_as_written.clone());
            if taken.contains_key(&signal) {
                continue;
            }
        }
        entry.signal = signal.clone();
        taken.insert(signal, reading.entries.len());
        reading.entries.push(entry);
    }
    reading.entries.sort_by_key(|e| e.span.start);
}

fn name_shared_pins(reading: &mut Reading) {
    let mut holders: HashMap<PinNumber, &Entry> = HashMap::new();
    for entry in &reading.entries {
        let Some(pin) = entry.pin else { continue };
        if let Some(first) = holders.get(&pin) {
            reading.problems.push(Problem::PinTwice {
                pin,
                first: first.signal.clone(),
                first_line: first.line,
                second: entry.signal.clone(),
                line: entry.line,
            });
        } else {
            holders.insert(pin, entry);
        }
    }
}

fn name_gaps(reading: &mut Reading) {
    let Some(line) = reading.entries.iter().find(|e| e.signal.is_bus()).map(|e| e.line) else {
        reading.problems.push(Problem::Nothing);
        return;
    };
    let of = |s: &Signal| reading.entries.iter().find(|e| e.signal == *s);
    let missing: Vec<Signal> = Signal::bus_needed().filter(|s| of(s).is_none()).collect();
    // A module may bring its own master clock, so XCLK alone may be unconnected.
    let unconnected: Vec<Problem> = Signal::bus_needed()
        .filter(|s| *s != Signal::Xclk)
        .filter_map(|s| {
            of(&s).filter(|e| e.pin.is_none()).map(|e| Problem::NotConnected { signal: s, line: e.line })
        })
        .collect();
    reading.problems.extend(unconnected);
    if !missing.is_empty() {
        reading.problems.push(Problem::Missing { signals: missing, line });
    }
}
