//! Does the board start with this load on a strapping pin: dry, and wet?

use super::board::Strap;
use super::level::{INTERNAL_PULL_OHM, Level, Load, Pull, Reading, Weather, reading, rest_v};

/// When the strap reads what a normal start needs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Starts {
    /// Dry and wet.
    Always,
    /// Dry, but not wet.
    DryOnly,
    /// Wet, but not dry: only the leak holds it low.
    WetOnly,
    /// Not reliably in either.
    Never,
}

/// The judgement of one strap with everything that hangs on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StrapVerdict {
    /// The level that a normal start needs; `None`: either.
    pub needs: Option<Level>,
    /// Voltage at reset when dry; the worst for `needs`. `None`: floating.
    pub dry_v: Option<f64>,
    /// The same when wet.
    pub wet_v: Option<f64>,
    /// What the chip reads when dry.
    pub dry: Reading,
    /// What the chip reads when wet.
    pub wet: Reading,
    /// The verdict at the median internal pull.
    pub starts: Starts,
    /// It starts always, but not with every internal pull from 30 to 80 k.
    pub thin: bool,
}

/// Judge a strap under `loads` (those wired on the board, and the demand's own).
///
/// A load that may drive either way is taken at its worst. A floating strap is not reliable.
///
/// # Source
///
/// The resting voltage is Millman's theorem; thresholds 0.25 and 0.75 of the supply and the internal pull of
/// 45 k (30 to 80 k) are typical, from memory.
///
/// # Examples
///
/// A 45 k pull-up against a wet plate of 20 k: 3.3 x 20 / 65 = 1.02 V, between the thresholds: boots dry, not wet.
///
/// ```
/// use models::pins::{board::Strap, level::{Level, Load}, strap::{Starts, judge_strap}};
/// let strap = Strap { needs: Some(Level::High), pull: Some(Level::High), otherwise: "download".into() };
/// let plate = Load { wet_leak_ohm: Some(20e3), ..Load::default() };
/// let verdict = judge_strap(&strap, &[&plate], 3.3);
/// assert_eq!(verdict.starts, Starts::DryOnly);
/// assert!((verdict.wet_v.unwrap() - 1.015).abs() < 1e-3);
/// ```
pub fn judge_strap(strap: &Strap, loads: &[&Load], vdd_v: f64) -> StrapVerdict {
    let worst_towards = match strap.needs {
        Some(Level::Low) => Level::High,
        _ => Level::Low,
    };
    let at = |internal_ohm: f64, weather| {
        let internal = strap.pull.map(|level| internal_pull(internal_ohm, level, vdd_v));
        rest_v(loads, internal, worst_towards, weather, vdd_v)
    };
    let good = |v: Option<f64>| strap.needs.is_none_or(|level| reading(v, vdd_v).is(level));
    let [strong, median, weak] = INTERNAL_PULL_OHM;
    let (dry_v, wet_v) = (at(median, Weather::Dry), at(median, Weather::Wet));
    let starts = match (good(dry_v), good(wet_v)) {
        (true, true) => Starts::Always,
        (true, false) => Starts::DryOnly,
        (false, true) => Starts::WetOnly,
        (false, false) => Starts::Never,
    };
    let thin = starts == Starts::Always
        && ![strong, weak].iter().all(|&ohm| good(at(ohm, Weather::Dry)) && good(at(ohm, Weather::Wet)));
    StrapVerdict {
        needs: strap.needs,
        dry_v,
        wet_v,
        dry: reading(dry_v, vdd_v),
        wet: reading(wet_v, vdd_v),
        starts,
        thin,
    }
}

/// An internal pull towards `level`.
pub(super) fn internal_pull(ohm: f64, level: Level, vdd_v: f64) -> Pull {
    Pull { ohm, to_v: if level == Level::High { vdd_v } else { 0.0 } }
}

/// The largest external pull-up, in ohms, that keeps a strap high (0.75 of its supply) against a leak to ground.
///
/// V/VDD = leak / (leak + pull), the internal pull neglected: pull <= leak / 3.
pub fn pull_up_ohm_max(leak_ohm: f64) -> f64 {
    leak_ohm / 3.0
}

#[cfg(test)]
mod tests {
    use super::super::level::Drive;
    use super::*;

    fn strap(needs: Level, pull: Level) -> Strap {
        Strap { needs: Some(needs), pull: Some(pull), otherwise: String::new() }
    }

    #[test]
    fn a_lamps_pull_up_keeps_a_strap_that_must_be_low_from_being_low() {
        let lamp = Load { pulls: vec![Pull { ohm: 10e3, to_v: 3.3 }], ..Load::default() };
        // 3.3 V through 10 k against 45 k to ground: 2.7 V.
        let verdict = judge_strap(&strap(Level::Low, Level::Low), &[&lamp], 3.3);
        assert_eq!((verdict.starts, verdict.dry), (Starts::Never, Reading::High));
        assert!((verdict.dry_v.unwrap() - 2.7).abs() < 1e-9);
    }

    #[test]
    fn a_part_that_may_drive_either_way_is_no_good_on_a_strap() {
        let sensor = Load { drive: Drive::Either { ohm: 100.0 }, ..Load::default() };
        for level in [Level::Low, Level::High] {
            assert_eq!(judge_strap(&strap(level, level), &[&sensor], 3.3).starts, Starts::Never);
        }
    }

    #[test]
    fn a_pull_of_a_third_of_the_leak_is_the_edge_of_high() {
        let bare = Strap { pull: None, ..strap(Level::High, Level::High) };
        let with = |share: f64| {
            let load = Load {
                pulls: vec![Pull { ohm: pull_up_ohm_max(20e3) * share, to_v: 3.3 }],
                wet_leak_ohm: Some(20e3),
                ..Load::default()
            };
            judge_strap(&bare, &[&load], 3.3).starts
        };
        assert_eq!((with(0.99), with(1.01)), (Starts::Always, Starts::DryOnly));
    }

    #[test]
    fn a_weak_internal_pull_makes_a_strap_thin() {
        // High needs a leak above three times the pull: 200 k serves 45 k but not 80 k.
        let plate = Load { wet_leak_ohm: Some(200e3), ..Load::default() };
        let verdict = judge_strap(&strap(Level::High, Level::High), &[&plate], 3.3);
        assert!(verdict.thin && verdict.starts == Starts::Always);
    }

    #[test]
    fn a_strap_that_nothing_holds_is_not_reliable() {
        let bare = Strap { pull: None, ..strap(Level::High, Level::High) };
        assert_eq!(judge_strap(&bare, &[], 3.3).starts, Starts::Never);
        assert_eq!(judge_strap(&Strap { needs: None, ..bare }, &[], 3.3).starts, Starts::Always);
    }
}
