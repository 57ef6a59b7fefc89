//! What happens on a plate, and when, drawn before the first reading.

use super::effects::Settings;
use super::{Event, Kind, Who};
use crate::chance::Chance;
use models::out_of_range::OutOfRange;

/// One random stream each; numbers must not change, or every seed means another log.
pub(super) const PRESSES: u64 = 1;
const SHOWERS: u64 = 2;
const BRUSHES: u64 = 3;
const BURSTS: u64 = 4;
const DOORS: u64 = 5;
const STALLS: u64 = 6;

/// Everything that happens under these settings, by start. A caller may change the list, or bring its own.
///
/// # Errors
/// A setting out of range, or `presses.count` where so many do not fit into the log.
pub fn script(settings: &Settings, seed: u64) -> Result<Vec<Event>, OutOfRange> {
    settings.check()?;
    let mut events = presses(settings, &mut Chance::new(seed, PRESSES))?;
    showers(settings, &mut Chance::new(seed, SHOWERS), &mut events);
    brushes(settings, &mut Chance::new(seed, BRUSHES), &mut events);
    let for_s = settings.for_s;
    let mut plain = |effect: u64, rate_1_s: f64, kind: Kind, median_s: f64, depth: f64| {
        let mut chance = Chance::new(seed, effect);
        for start_s in chance.moments(rate_1_s, for_s) {
            events.push(Event { kind, start_s, end_s: start_s + chance.about(median_s, 2.0), depth });
        }
    };
    let (bursts, door, lost) = (&settings.bursts, &settings.door, &settings.lost);
    plain(BURSTS, bursts.rate_1_s, Kind::Burst, bursts.length_s, bursts.share);
    let away = Event::depth_of(settings.facts.law, -settings.facts.metal);
    plain(DOORS, door.rate_1_s, Kind::Door, door.open_s, away);
    plain(STALLS, lost.stalls_1_s, Kind::Gap, lost.stall_s, 0.0);
    events.sort_by(|a, b| a.start_s.total_cmp(&b.start_s));
    Ok(events)
}

fn presses(settings: &Settings, chance: &mut Chance) -> Result<Vec<Event>, OutOfRange> {
    let (p, f) = (&settings.presses, &settings.facts);
    let mut lengths_s = Vec::new();
    let mut depths = Vec::new();
    for _ in 0..p.count {
        let who = chance.unit();
        let (who, added) = match who {
            _ if who < p.glove => (Who::Glove, f.glove),
            _ if who < p.glove + p.child => (Who::Child, f.child),
            _ => (Who::Adult, f.touch),
        };
        let added = chance.about(added, p.depth_factor).min(40.0);
        depths.push((Kind::Press(who), Event::depth_of(f.law, added)));
        lengths_s.push(chance.about(p.median_s, p.factor));
    }
    let starts_s = apart(chance, &lengths_s, p.quiet_s, settings.for_s, p.apart_s)?;
    Ok(starts_s
        .into_iter()
        .zip(lengths_s)
        .zip(depths)
        .map(|((start_s, length_s), (kind, depth))| Event { kind, start_s, end_s: start_s + length_s, depth })
        .collect())
}

/// Starts of spans of these lengths between two moments, in order, at least `apart_s` from each other and from the ends; every
/// arrangement that fits is equally likely.
///
/// # Errors
/// They do not fit: `presses.count`, and how many of them would.
pub(super) fn apart(
    chance: &mut Chance,
    lengths_s: &[f64],
    from_s: f64,
    to_s: f64,
    apart_s: f64,
) -> Result<Vec<f64>, OutOfRange> {
    let needed_s: f64 = lengths_s.iter().map(|length_s| length_s + apart_s).sum::<f64>() + apart_s;
    let free_s = to_s - from_s - needed_s;
    if free_s < 0.0 && !lengths_s.is_empty() {
        let count = lengths_s.len() as f64;
        let fit = (count * (to_s - from_s) / needed_s).floor().clamp(0.0, count - 1.0);
        return Err(OutOfRange { what: "presses.count", value: count, low: 0.0, high: fit });
    }
    // Uniform points in what is left when all spans are shrunk to nothing, then spread again.
    let mut points: Vec<f64> = lengths_s.iter().map(|_| chance.between(0.0, free_s)).collect();
    points.sort_by(f64::total_cmp);
    let mut before_s = from_s + apart_s;
    Ok(points
        .into_iter()
        .zip(lengths_s)
        .map(|(point, length_s)| {
            let start_s = before_s + point;
            before_s += length_s + apart_s;
            start_s
        })
        .collect())
}

fn showers(settings: &Settings, chance: &mut Chance, events: &mut Vec<Event>) {
    let (rain, f) = (&settings.rain, &settings.facts);
    for start_s in chance.moments(rain.showers_1_s, settings.for_s) {
        let end_s = start_s + chance.about(rain.length_s, 2.0);
        let depth = chance.about(rain.step, rain.factor).min(0.9);
        // Always drawn, so that no film leaves the showers where they were.
        let (films, at, length, deep) =
            (chance.unit() < rain.film, chance.unit(), chance.about(rain.film_s, 3.0), chance.unit());
        if depth == 0.0 {
            continue;
        }
        events.push(Event { kind: Kind::Rain, start_s, end_s, depth });
        if films {
            let start_s = start_s + at * (end_s - start_s);
            let depth = Event::depth_of(f.law, f.touch * (0.3 + 0.7 * deep));
            events.push(Event { kind: Kind::Film, start_s, end_s: start_s + length, depth });
        }
    }
}

fn brushes(settings: &Settings, chance: &mut Chance, events: &mut Vec<Event>) {
    let (brushes, f) = (&settings.brushes, &settings.facts);
    for start_s in chance.moments(brushes.rate_1_s, settings.for_s) {
        let end_s = start_s + chance.between(0.05, brushes.longest_s);
        let added = f.touch * brushes.depth * chance.between(0.1, 1.0);
        events.push(Event { kind: Kind::Brush, start_s, end_s, depth: Event::depth_of(f.law, added) });
    }
}
