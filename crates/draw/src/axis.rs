//! Axes: from a value to its place on the paper, round ticks, and labels that do not lie on each other.
//!
//! Nothing here knows what is measured. A value beyond an axis is drawn at its end; one that is no number has no place.

use crate::sheet::LETTER;
use crate::svg::{Anchor, Face, Ink, SMALL, Svg};

/// A value's way to a coordinate.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Axis {
    low: f64,
    high: f64,
    from: f64,
    to: f64,
    log: bool,
}

impl Axis {
    /// Equal steps: `low` lies at the coordinate `from`, `high` at `to`.
    pub(crate) fn linear([low, high]: [f64; 2], [from, to]: [f64; 2]) -> Self {
        let low = if low.is_finite() { low } else { 0.0 };
        let high = if high.is_finite() && high > low { high } else { low + low.abs().max(1.0) };
        Self { low, high, from, to, log: false }
    }

    /// Equal factors; `low` above 0.
    pub(crate) fn log(range: [f64; 2], places: [f64; 2]) -> Self {
        Self { log: true, ..Self::linear(range, places) }
    }

    /// Where a value lies; at the axis's end where it is beyond, NaN for what is no number.
    pub(crate) fn at(&self, value: f64) -> f64 {
        let value = value.clamp(self.low, self.high);
        let share = if self.log {
            (value / self.low).ln() / (self.high / self.low).ln()
        } else {
            (value - self.low) / (self.high - self.low)
        };
        self.from + share * (self.to - self.from)
    }

    /// Whether a value lies on the axis and not beyond it.
    pub(crate) fn holds(&self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }

    /// At most some `most` round values along a linear axis.
    pub(crate) fn ticks(&self, most: usize) -> Vec<f64> {
        let step = round_step((self.high - self.low) / most.max(1) as f64);
        let first = (self.low / step - 1e-9).ceil();
        let count = ((self.high / step + 1e-9).floor() - first).clamp(0.0, 200.0) as usize;
        (0..=count).map(|i| (first + i as f64) * step).collect()
    }
}

/// The next of 1, 2, 5 and their tens.
fn round_step(least: f64) -> f64 {
    if !(least > 0.0 && least.is_finite()) {
        return 1.0;
    }
    let ten = 10f64.powf(least.log10().floor());
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|step| step * ten)
        .find(|step| *step >= least * (1.0 - 1e-9))
        .unwrap_or(least)
}

/// A tick's number with as many digits as its neighbours need.
pub(crate) fn plain(value: f64, ticks: &[f64]) -> String {
    let step = match ticks {
        [first, second, ..] => second - first,
        _ => 1.0,
    };
    let digits = (-step.log10()).ceil().clamp(0.0, 6.0) as usize;
    let text = format!("{value:.digits$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().any(|c| c.is_ascii_digit() && c != '0') => format!("−{rest}"),
        Some(rest) => rest.to_string(),
        None => text,
    }
}

/// An upright axis at `x` with ticks to the left, thin lines across to `across`, and its name above.
pub(crate) fn upright(svg: &mut Svg, axis: &Axis, (x, across): (f64, f64), most: usize, name: &str) {
    let ticks = axis.ticks(most);
    for &tick in &ticks {
        let y = axis.at(tick);
        svg.dotted(&[(x, y), (across, y)], 0.5, Ink::Faint);
        svg.line(&[(x - 4.0, y), (x, y)], 0.9, Ink::Ink);
        svg.text((x - 7.0, y + 3.5), Face::SMALL.anchor(Anchor::End), &plain(tick, &ticks));
    }
    svg.line(&[(x, axis.from), (x, axis.to)], 1.0, Ink::Ink);
    svg.text((x - 30.0, axis.from.min(axis.to) - 9.0), Face::SMALL, name);
}

/// A level axis at `y` with ticks and their words below, and its name at the right end below them.
pub(crate) fn level(svg: &mut Svg, axis: &Axis, y: f64, ticks: &[(f64, String)], name: &str) {
    svg.line(&[(axis.from, y), (axis.to, y)], 1.0, Ink::Ink);
    let mut free = f64::NEG_INFINITY;
    for (tick, words) in ticks {
        let x = axis.at(*tick);
        svg.line(&[(x, y), (x, y + 4.0)], 0.9, Ink::Ink);
        let half = 0.5 * LETTER * words.chars().count() as f64;
        if x - half > free {
            svg.text((x, y + 15.0), Face::SMALL.anchor(Anchor::Middle), words);
            free = x + half + 4.0;
        }
    }
    svg.text((axis.to, y + 28.0), Face::SMALL.anchor(Anchor::End), name);
}

/// Places for labels near the wanted ones, each `gap` from the next and all between `least` and `most` where they fit;
/// in the order in which they were given.
pub(crate) fn apart(wanted: &[f64], gap: f64, [least, most]: [f64; 2]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by(|&a, &b| wanted[a].total_cmp(&wanted[b]));
    let mut places = vec![0.0; wanted.len()];
    let mut free = least;
    for &at in &order {
        places[at] = wanted[at].max(free);
        free = places[at] + gap;
    }
    let mut free = most;
    for &at in order.iter().rev() {
        places[at] = places[at].min(free);
        free = places[at] - gap;
    }
    places
}

/// Labels in a column at `x`, each with a thin line from where it belongs at `from`.
pub(crate) fn labels(svg: &mut Svg, (from, x): (f64, f64), all: &[(f64, Ink, String)], range: [f64; 2]) {
    let places = apart(&all.iter().map(|label| label.0).collect::<Vec<_>>(), SMALL + 3.5, range);
    for ((y, ink, words), place) in all.iter().zip(places) {
        svg.line(&[(from, *y), (from + 4.0, *y), (x - 3.0, place)], 0.5, Ink::Faint);
        svg.text((x, place + 3.5), Face::SMALL.ink(*ink), words);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn ends_lie_at_the_ends_and_what_is_beyond_does_too() {
        let axis = Axis::linear([-5.0, 15.0], [100.0, 300.0]);
        assert_eq!([axis.at(-5.0), axis.at(5.0), axis.at(15.0)], [100.0, 200.0, 300.0]);
        assert_eq!([axis.at(-50.0), axis.at(f64::INFINITY)], [100.0, 300.0]);
        let decades = Axis::log([0.1, 1000.0], [0.0, 400.0]);
        for (value, place) in [(0.1, 0.0), (1.0, 100.0), (10.0, 200.0), (1000.0, 400.0)] {
            assert!((decades.at(value) - place).abs() < 1e-9);
        }
    }

    #[test]
    fn ticks_are_round_and_tell_themselves_apart() {
        let ticks = Axis::linear([0.0, 12.4], [0.0, 1.0]).ticks(6);
        assert_eq!(ticks, [0.0, 5.0, 10.0]);
        let ticks = Axis::linear([-0.3, 0.3], [0.0, 1.0]).ticks(6);
        let words: Vec<String> = ticks.iter().map(|tick| plain(*tick, &ticks)).collect();
        assert_eq!(words, ["−0.3", "−0.2", "−0.1", "0.0", "0.1", "0.2", "0.3"]);
    }

    proptest! {
        #[test]
        fn labels_never_lie_on_each_other(wanted in proptest::collection::vec(0.0..300.0f64, 0..12)) {
            let mut places = apart(&wanted, 13.0, [0.0, 300.0]);
            places.sort_by(f64::total_cmp);
            for pair in places.windows(2) {
                prop_assert!(pair[1] - pair[0] > 12.999);
            }
        }

        #[test]
        fn an_axis_never_leaves_its_paper(low in -1e12..1e12f64, high in -1e12..1e12f64, value in -1e15..1e15f64) {
            let axis = Axis::linear([low, high], [10.0, 90.0]);
            prop_assert!((10.0..=90.0).contains(&axis.at(value)));
            prop_assert!(axis.ticks(8).len() <= 12);
        }
    }
}
