//! The answer in three lines of arithmetic, to be shown before any simulation, and what moves it.

use super::{EnergyInput, Run, run};
use crate::cells::resistance::REFERENCE_K;
use crate::energy::season::SeasonError;
use crate::luck::Luck;
use crate::out_of_range::OutOfRange;

/// Run time by hand: charge over current, nothing else.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ByHand {
    /// First line: mean current over a day, in A.
    pub mean_a: f64,
    /// Second line: charge that the pack as put in gives at 25 °C until it cannot carry the burst, in C.
    pub usable_c: f64,
    /// Third line: the second over the first, in s.
    pub run_s: f64,
}

/// The three lines. No cold, no age, no self-discharge, no sun: [`effects`] says what each of them does.
///
/// # Examples
///
/// A pack of 10,800 C (3 Ah) that the burst lets go down to `e`, under 1 mA and four calls of 6 C a day
/// (0.278 mA): (1 - e) × 10,800/0.001278 s.
pub fn by_hand(input: &EnergyInput<'_>) -> ByHand {
    let mean_a = input.mean_c_day() / super::DAY_S;
    let usable_c = input.capacity_c * (input.start_soc - input.empty_soc(REFERENCE_K, 0.0)).max(0.0);
    ByHand { mean_a, usable_c, run_s: usable_c / mean_a }
}

/// What the simulation knows beyond the three lines.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Effect {
    /// Temperatures other than 25 °C.
    Cold,
    /// The cell emptying by itself.
    SelfDischarge,
    /// Fade and growing resistance.
    Age,
    /// The panel.
    Sun,
}

impl Effect {
    /// Every effect.
    pub const ALL: [Self; 4] = [Self::Cold, Self::SelfDischarge, Self::Age, Self::Sun];
}

/// Why no life could be computed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum EffectError {
    /// An input outside its range.
    Input(OutOfRange),
    /// A temperature that is no temperature.
    Season(SeasonError),
}

impl std::fmt::Display for EffectError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Input(fault) => fault.fmt(f),
            Self::Season(fault) => fault.fmt(f),
        }
    }
}

impl std::error::Error for EffectError {}

/// The nominal life without one effect: compare it with the whole one to tell which effect moved the answer
/// away from [`by_hand`].
pub fn without(input: &EnergyInput<'_>, effect: Effect) -> Result<Run, EffectError> {
    let warm;
    let mut changed = *input;
    match effect {
        Effect::Cold => {
            warm = input.season.at_one_temperature(REFERENCE_K).map_err(EffectError::Season)?;
            changed.season = &warm;
        }
        Effect::SelfDischarge => changed.self_discharge_month = 0.0,
        Effect::Age => {
            changed.fade_year = 0.0;
            changed.pack.aged_factor = 1.0;
        }
        Effect::Sun => changed.charge_per_sun = 0.0,
    }
    run(&changed, Luck::Mean).map_err(EffectError::Input)
}

/// The nominal life without each effect in turn, in s, in the order of [`Effect::ALL`].
pub fn effects(input: &EnergyInput<'_>) -> Result<[(Effect, f64); 4], EffectError> {
    let mut lives = Effect::ALL.map(|effect| (effect, 0.0));
    for (effect, run_s) in &mut lives {
        *run_s = without(input, *effect)?.end_s;
    }
    Ok(lives)
}
