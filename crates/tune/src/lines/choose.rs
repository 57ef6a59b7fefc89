//! Which fields of the first lines are the reading, the time and the plate, and what the time is written in.
//!
//! Names decide first, then what the values do. Where two fields are as likely, nothing is chosen: [`Refused`] says between
//! which. Knows nothing of what comes after the first lines.

use super::column::{Column, NO_READINGS, PLATES, READINGS, TIMES, Wanted, columns, ends, find, words_of};
use super::layout::{Layout, name_of};
use super::shape::layout;
use super::token::{Suffix, unit_of};
use super::{Field, Refused, TimeWish, Unit, Wish};

/// Plates that one field may tell apart.
pub(super) const PLATES_MAX: usize = 64;

/// What was decided.
#[derive(Debug)]
pub(super) struct Choice {
    pub layout: Layout,
    /// Index of the header among the lines looked at.
    pub header: Option<usize>,
    pub counts: Vec<(Wanted, String)>,
    pub time: Option<Wanted>,
    pub unit: Unit,
    pub plate: Option<Wanted>,
    /// Fractions are rounded to counts.
    pub rounds: bool,
    pub fields: Vec<Field>,
}

/// Decides from the first lines, blank ones and remarks left out.
pub(super) fn choose(lines: &[&[u8]], wish: &Wish) -> Result<Choice, Refused> {
    if lines.is_empty() {
        return Err(Refused::Empty);
    }
    let (layout, header) = match &wish.pattern {
        Some(pattern) => (Layout::Pattern(pattern.clone()), None),
        None => layout(lines),
    };
    let body: Vec<&[u8]> =
        lines.iter().enumerate().filter(|(index, _)| Some(*index) != header).map(|(_, line)| *line).collect();
    let columns = columns(&layout, &body);
    if columns.iter().all(|column| column.numbers.is_empty()) {
        if wish.pattern.is_some() {
            return Err(Refused::PatternFitsNothing {
                lines: body.len(),
                first: name_of(body.first().unwrap_or(&&b""[..])),
            });
        }
        return Err(Refused::NoNumbers { lines: body.len() });
    }
    let by_pattern = matches!(layout, Layout::Pattern(_));
    let plate = plate(&columns, wish, by_pattern)?;
    let time = time(&columns, wish, plate, by_pattern)?;
    let (counts, why) = counts(&columns, wish, time.as_ref().map(|(index, _)| *index), plate, body.len())?;
    let rounds = counts.iter().any(|index| columns[*index].fractions > 0);
    for index in &counts {
        let column = &columns[*index];
        let (least, most) = ends(&column.numbers);
        if column.fractions * 10 > column.lines && most - least < 16.0 {
            return Err(Refused::Fractions { field: column.shown.clone(), least, most });
        }
    }
    let mut fields: Vec<Field> = counts
        .iter()
        .map(|index| Field { name: columns[*index].shown.clone(), serves: "count", why: why.clone() })
        .collect();
    let mut unit = Unit::Samples;
    if let Some((index, why)) = &time {
        let (found, because) = unit_of_column(&columns[*index], wish)?;
        unit = found;
        fields.push(Field {
            name: columns[*index].shown.clone(),
            serves: "time",
            why: format!("{why}; {because}"),
        });
    }
    if let Some(index) = plate {
        let why = "tells plates apart".to_owned();
        fields.push(Field { name: columns[index].shown.clone(), serves: "plate", why });
    }
    Ok(Choice {
        header,
        counts: counts
            .iter()
            .map(|index| (columns[*index].key.clone(), columns[*index].shown.clone()))
            .collect(),
        time: time.map(|(index, _)| columns[index].key.clone()),
        unit,
        plate: plate.map(|index| columns[index].key.clone()),
        rounds,
        fields,
        layout,
    })
}

fn plate(columns: &[Column], wish: &Wish, by_pattern: bool) -> Result<Option<usize>, Refused> {
    if let Some(name) = &wish.plate {
        return find(columns, name).map(Some);
    }
    if by_pattern {
        return Ok(columns.iter().position(|column| column.key.name == b"plate"));
    }
    let wished = |column: &Column| wish.counts.iter().any(|name| column.shown.eq_ignore_ascii_case(name));
    // A lone `plate=4` is a quiet reading; it tells plates apart only beside another reading.
    let tells = |index: &usize| {
        let column = &columns[*index];
        let others = columns.iter().enumerate().any(|(other, column)| {
            other != *index
                && column.is_numeric()
                && column.counts > 0
                && column.is_named()
                && !column.has_word(TIMES)
                && (column.reading_rank().is_some() || !column.has_word(NO_READINGS))
        });
        let named = words_of(&column.shown);
        let few = column.texts.len() * 2 <= column.lines || column.plain_numbers() == 0;
        column.is_named()
            && named.len() == 1
            && PLATES.contains(&named[0].as_str())
            && !column.shown.ends_with(|last: char| last.is_ascii_digit())
            && column.tells_plates()
            && others
            && few
            && !wished(column)
            && !column.numbers_lines()
    };
    Ok((0..columns.len()).filter(tells).min_by_key(|index| {
        PLATES.iter().position(|name| words_of(&columns[*index].shown).iter().any(|word| word == name))
    }))
}

/// The field with the time, and why.
fn time(
    columns: &[Column],
    wish: &Wish,
    plate: Option<usize>,
    by_pattern: bool,
) -> Result<Option<(usize, String)>, Refused> {
    match &wish.time {
        Some(TimeWish::None) => return Ok(None),
        Some(TimeWish::Field(name)) => {
            let index = find(columns, name)?;
            let column = &columns[index];
            if !column.goes_forward() && column.lines > 2 {
                return Err(Refused::TimeGoesBack { field: column.shown.clone() });
            }
            return Ok(Some((index, "as wished".into())));
        }
        None => {}
    }
    if by_pattern {
        let found = columns.iter().position(|column| column.key.name == b"time");
        return match found.map(|index| &columns[index]) {
            Some(column) if !column.goes_forward() && column.lines > 2 => {
                Err(Refused::TimeGoesBack { field: "time".into() })
            }
            _ => Ok(found.map(|index| (index, "the pattern says so".into()))),
        };
    }
    let wished = |column: &Column| wish.counts.iter().any(|name| column.shown.eq_ignore_ascii_case(name));
    let open =
        || columns.iter().enumerate().filter(|(index, column)| Some(*index) != plate && !wished(column));
    for (kinds, why) in [(true, "a date with time"), (false, "a time of day")] {
        let is_kind = |column: &Column| column.mostly(if kinds { column.moments } else { column.clocks });
        if let Some((index, column)) = open().find(|(_, column)| is_kind(column)) {
            if !column.goes_forward() && column.varies() {
                return Err(Refused::TimeGoesBack { field: column.shown.clone() });
            }
            return Ok(Some((index, why.into())));
        }
    }
    let readable = |column: &Column| {
        column.is_numeric() && (column.suffix != Some(Suffix::Other)) && column.reading_rank().is_none()
    };
    let mut named =
        open().filter(|(_, column)| readable(column) && column.has_word(TIMES) && column.lines > 1);
    if let Some((index, column)) = named.next() {
        if !column.goes_forward() {
            return Err(Refused::TimeGoesBack { field: column.shown.clone() });
        }
        return Ok(Some((index, format!("`{}` is a name for it", column.shown))));
    }
    let united = |column: &Column| matches!(column.suffix, Some(Suffix::Time(_)));
    let forward: Vec<usize> = open()
        .filter(|(_, column)| {
            let doubtful = column.is_named()
                && !united(column)
                && column.lines * 2 < columns.iter().map(|c| c.lines).max().unwrap_or(0);
            readable(column)
                && column.only_goes_forward()
                && column.numbers.len() > 2
                && !column.has_word(NO_READINGS)
                && !doubtful
        })
        .map(|(index, _)| index)
        .collect();
    // Among numbers that only rise, one that numbers the lines is a time only if there is nothing better; and a lone column
    // that rises is looked at as a reading, and refused as that.
    let others = columns.iter().enumerate().any(|(index, column)| {
        column.is_numeric() && column.counts > 0 && !forward.contains(&index) && Some(index) != plate
    });
    if !others {
        return Ok(None);
    }
    let better: Vec<usize> =
        forward.iter().copied().filter(|index| !columns[*index].numbers_lines()).collect();
    let steady = |index: &&usize| {
        columns[**index].is_counter() || united(&columns[**index]) || !columns[**index].is_named()
    };
    let better: Vec<usize> = better.iter().filter(steady).copied().collect();
    match (better[..].split_first(), forward.iter().find(|index| columns[**index].numbers_lines())) {
        (Some((only, [])), _) => Ok(Some((*only, "the only number that goes forward all the time".into()))),
        (Some(_), _) => {
            let fields = better.iter().map(|index| columns[*index].shown.clone()).collect();
            Err(Refused::SeveralTimes { fields })
        }
        (None, Some(numbers)) => Ok(Some((*numbers, "it numbers the samples".into()))),
        (None, None) => Ok(None),
    }
}

/// The fields with readings, and why.
fn counts(
    columns: &[Column],
    wish: &Wish,
    time: Option<usize>,
    plate: Option<usize>,
    lines: usize,
) -> Result<(Vec<usize>, String), Refused> {
    if !wish.counts.is_empty() {
        let mut found = Vec::new();
        for name in &wish.counts {
            let index = find(columns, name)?;
            if columns[index].counts + columns[index].fractions == 0 {
                let (least, most) = ends(&columns[index].numbers);
                return Err(Refused::NoCounts { field: columns[index].shown.clone(), least, most });
            }
            if !found.contains(&index) {
                found.push(index);
            }
        }
        return Ok((found, "as wished".into()));
    }
    let open: Vec<usize> = (0..columns.len())
        .filter(|index| Some(*index) != time && Some(*index) != plate && columns[*index].plain_numbers() > 0)
        .collect();
    let shown =
        |indices: &[usize]| indices.iter().map(|index| columns[*index].shown.clone()).collect::<Vec<_>>();
    if let Some(index) =
        columns.iter().position(|column| column.key.name == b"count").filter(|_| wish.pattern.is_some())
    {
        if columns[index].counts + columns[index].fractions == 0 {
            let (least, most) = ends(&columns[index].numbers);
            return Err(Refused::NoCounts { field: "count".into(), least, most });
        }
        return Ok((vec![index], "the pattern says so".into()));
    }
    let fits = |column: &Column| column.counts * 2 >= column.plain_numbers() && column.is_numeric();
    let ranked: Vec<(usize, usize)> = open
        .iter()
        .filter(|index| !columns[**index].is_counter() && columns[**index].is_numeric())
        .filter_map(|index| columns[*index].reading_rank().map(|rank| (rank, *index)))
        .collect();
    if let Some((best, _)) = ranked.iter().min() {
        let group: Vec<usize> =
            ranked.iter().filter(|(rank, _)| rank == best).map(|(_, index)| *index).collect();
        let usable: Vec<usize> = group
            .iter()
            .copied()
            .filter(|index| columns[*index].counts + columns[*index].fractions > 0)
            .collect();
        if usable.is_empty() {
            let (least, most) = ends(&columns[group[0]].numbers);
            return Err(Refused::NoCounts { field: columns[group[0]].shown.clone(), least, most });
        }
        let word = READINGS[*best][0];
        let why = if usable.len() > 1 {
            format!("{} fields are called `{word}`: a plate each", usable.len())
        } else {
            format!("`{word}` is a name for it")
        };
        return Ok((usable, why));
    }
    let likely: Vec<usize> = open
        .iter()
        .copied()
        .filter(|index| {
            let column = &columns[*index];
            fits(column)
                && !column.has_word(NO_READINGS)
                && !column.is_counter()
                && column.suffix != Some(Suffix::Other)
                && !matches!(column.suffix, Some(Suffix::Time(_)))
        })
        .collect();
    let varying: Vec<usize> = likely.iter().copied().filter(|index| columns[*index].varies()).collect();
    let few = varying.is_empty();
    let candidates = if few { &likely } else { &varying };
    match candidates[..] {
        [index] => {
            let column = &columns[index];
            // A number without a name in every third line is as likely something else each time.
            if !column.is_named() && column.lines * 10 < lines * 6 {
                return Err(Refused::NoReading { fields: shown(&open) });
            }
            let why = if few {
                "the only number that could be a reading"
            } else {
                "the only number that varies like a reading"
            };
            Ok((vec![index], why.into()))
        }
        [] => {
            if let Some(counter) = open.iter().find(|index| columns[**index].is_counter()) {
                return Err(Refused::OnlyCounter { field: columns[*counter].shown.clone() });
            }
            if let [only] = open[..] {
                let (least, most) = ends(&columns[only].numbers);
                let column = &columns[only];
                if column.counts == 0 && column.fractions > 0 {
                    return Err(Refused::Fractions { field: column.shown.clone(), least, most });
                }
                if column.counts == 0 {
                    return Err(Refused::NoCounts { field: column.shown.clone(), least, most });
                }
            }
            Err(Refused::NoReading { fields: shown(&open) })
        }
        _ => Err(Refused::SeveralReadings { fields: shown(candidates) }),
    }
}

/// The unit of a time, and why; by its own letters, its name, its size, then its steps.
fn unit_of_column(column: &Column, wish: &Wish) -> Result<(Unit, String), Refused> {
    if column.moments > column.clocks && column.moments > 0 {
        return Ok((Unit::Date, "as written".into()));
    }
    if column.clocks > 0 {
        return Ok((Unit::Clock, "as written".into()));
    }
    if let Some(unit) = wish.unit {
        return Ok((unit, format!("{} as wished", unit.words())));
    }
    if let Some(Suffix::Time(unit)) = column.suffix {
        return Ok((unit, format!("{} as written", unit.words())));
    }
    let named = if column.is_named() {
        words_of(&column.shown).iter().rev().find_map(|word| unit_of(word.as_bytes()))
    } else {
        None
    };
    if let Some(unit) = named {
        return Ok((unit, format!("{} by its name", unit.words())));
    }
    let mut steps: Vec<f64> = column.steps().filter(|step| *step > 0.0).collect();
    steps.sort_by(f64::total_cmp);
    let step = |share: f64| {
        steps.get(((steps.len() as f64 * share) as usize).min(steps.len().saturating_sub(1))).copied()
    };
    let (Some(low), Some(median), Some(high)) = (step(0.1), step(0.5), step(0.9)) else {
        return Ok((Unit::Samples, "it stands still".into()));
    };
    let (least, most) = ends(&column.numbers);
    let within = |from: f64| least >= from && most < 10.0 * from;
    let since = [
        (1e9, Unit::Seconds, 60.0),
        (1e12, Unit::Milliseconds, 6e4),
        (1e15, Unit::Microseconds, 6e7),
        (1e18, Unit::Nanoseconds, 6e10),
    ];
    for (from, unit, minute) in since {
        // An up-time of a billion milliseconds has steps of tens and more, seconds since 1970 have not.
        if within(from) && median < minute && (from > 1e9 || column.decimals || median <= 2.0) {
            return Ok((unit, format!("{} since 1970 by its size", unit.words())));
        }
    }
    let stands = column.steps().any(|step| step == 0.0);
    if column.decimals && high < 5.0 {
        return Ok((Unit::Seconds, "seconds, as it has decimals".into()));
    }
    if median == 1.0 && low == 1.0 && (high == 1.0 || column.numbers_lines()) {
        return if stands || column.has_word(TIMES) {
            Ok((Unit::Seconds, "seconds, as it steps by one".into()))
        } else {
            Ok((Unit::Samples, "a number a sample".into()))
        };
    }
    let regular = high <= 2.0 * low;
    if regular && (2.0..4000.0).contains(&median) {
        return Ok((Unit::Milliseconds, format!("milliseconds, as it steps by {median:.0}")));
    }
    Err(Refused::UnitUnclear { field: column.shown.clone(), step: median })
}
