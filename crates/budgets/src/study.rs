//! The ensemble: one nominal station and many drawn ones, and what their columns tell.
//!
//! Three kinds of chance are kept apart. *Tolerance* (not known of this build) is drawn here, one value an input and
//! draw. *Luck that is averaged* (share of callers, of hours) is computed inside a stage by fixed points and never
//! drawn. *Luck that happens once* (this battery's callers and weather) is one history a draw, so that low and high
//! are the interval in which the one build will fall.

use crate::draws::Column;
use crate::physics::{Engine, Hoisted, Shared};
use crate::rule::{Budget, Check, Found, Rule};
use crate::rules;
use models::luck::{Luck, mix};
use quantity::Sampler;
use rayon::prelude::*;
use station::fields::{FIELDS, Station};
use station::plan::Plan;

/// How many draws, and under which seed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Options {
    /// Draws; 0 for the nominal answer alone.
    pub draws: u32,
    /// Seed of every draw and history.
    pub seed: u64,
}

impl Default for Options {
    fn default() -> Self {
        Self { draws: DRAWS, seed: 1 }
    }
}

/// Draws made unless told otherwise: a power of two, so that each input is stratified.
pub const DRAWS: u32 = 2048;

/// Value and limit of one rule over all draws.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Columns {
    /// Values, by draw.
    pub values: Vec<f64>,
    /// Limits, by draw; NaN where the rule has none.
    pub limits: Vec<f64>,
}

/// A figure of the nominal station with its columns.
pub struct Figured {
    /// The rule.
    pub rule: &'static Rule,
    /// Nominal value.
    pub nominal: f64,
    /// Nominal limit; NaN where there is none.
    pub nominal_limit: f64,
    /// Over the draws; empty without draws.
    pub columns: Columns,
}

impl Figured {
    /// Margins by draw.
    pub fn margins(&self) -> Vec<f64> {
        self.columns
            .values
            .iter()
            .zip(&self.columns.limits)
            .map(|(&value, &limit)| self.rule.sense.margin(value, limit))
            .collect()
    }
}

/// Everything computed of one plan.
pub struct Study<'p> {
    /// The plan.
    pub plan: &'p Plan,
    /// What was asked for.
    pub options: Options,
    /// The rules that apply, with their figures.
    pub figures: Vec<Figured>,
    /// What the checks found.
    pub found: Vec<(&'static Check, Found)>,
    /// Inputs with spread.
    pub inputs: Vec<Input>,
    /// What all draws share.
    pub hoisted: Hoisted,
    /// Stratum of each input in each draw.
    strata: Vec<Vec<u8>>,
}

/// An input that is drawn.
#[derive(Clone, Copy, Debug)]
pub struct Input {
    /// Index in the field table.
    pub field: usize,
    /// Its uniform numbers.
    pub column: Column,
    sampler: Sampler,
}

/// Strata of an input for [`Study::shares`].
const STRATA: usize = 16;

impl<'p> Study<'p> {
    /// Computes the nominal station and all draws.
    pub fn new(plan: &'p Plan, options: Options) -> Study<'p> {
        Self::with(plan, options, Hoisted::default(), None)
    }

    /// The nominal station, of one budget alone: what only others ask for is not computed.
    pub fn nominal_of(plan: &'p Plan, budget: Budget) -> Study<'p> {
        Self::with(plan, Options { draws: 0, ..Options::default() }, Hoisted::default(), Some(budget))
    }

    /// As [`Study::new`], sharing what is dear with studies of nearly the same plan.
    pub fn sharing(plan: &'p Plan, options: Options, shared: &Shared) -> Study<'p> {
        Self::with(plan, options, Hoisted::sharing(shared.clone()), None)
    }

    fn with(plan: &'p Plan, options: Options, hoisted: Hoisted, only: Option<Budget>) -> Study<'p> {
        let asked = |budget: Budget| only.is_none_or(|only| only == budget);
        let rules: Vec<&'static Rule> =
            rules::all().filter(|rule| asked(rule.budget) && (rule.applies)(plan)).collect();
        let mut engine = Engine::new(&plan.station, &plan.parts, &hoisted, Luck::Mean);
        let mut figures: Vec<Figured> = rules
            .iter()
            .map(|rule| Figured {
                rule,
                nominal: (rule.value)(&plan.station, &mut engine),
                nominal_limit: rule.limit.map_or(f64::NAN, |limit| limit(&plan.station, &mut engine)),
                columns: Columns::default(),
            })
            .collect();
        let found = rules::checks()
            .filter(|check| asked(check.budget))
            .flat_map(|check| (check.look)(plan, &mut engine).into_iter().map(move |found| (check, found)))
            .collect();
        let inputs = inputs(plan, options.seed);
        if options.draws > 0 {
            for (figured, columns) in figures.iter_mut().zip(draw(plan, &hoisted, &rules, &inputs, options)) {
                figured.columns = columns;
            }
        }
        let strata = inputs
            .iter()
            .map(|input| {
                (0..options.draws).map(|draw| (input.column.u(draw) * STRATA as f64) as u8).collect()
            })
            .collect();
        Study { plan, options, figures, found, inputs, hoisted, strata }
    }

    /// First-order share of the variance of `outputs` that each input explains, largest first, by bin means over 16
    /// strata, less what bin means of mere noise would show: (B - 1)/(n - 1).
    ///
    /// Shares need not add up to one: inputs act together, and thresholds make first-order shares lie.
    pub fn shares(&self, outputs: &[f64]) -> Vec<(usize, f64)> {
        let n = outputs.len();
        if n < 16 * STRATA || outputs.iter().any(|value| !value.is_finite()) {
            return Vec::new();
        }
        let mean = outputs.iter().sum::<f64>() / n as f64;
        let total = outputs.iter().map(|value| (value - mean).powi(2)).sum::<f64>();
        // What rounding leaves of a constant is no variance.
        if total <= (1e-12 * mean.abs()).powi(2) * n as f64 {
            return Vec::new();
        }
        let bias = (STRATA - 1) as f64 / (n - 1) as f64;
        let mut shares: Vec<(usize, f64)> = self
            .inputs
            .iter()
            .zip(&self.strata)
            .map(|(input, strata)| {
                let (mut sums, mut counts) = ([0.0; STRATA], [0_u32; STRATA]);
                for (value, &stratum) in outputs.iter().zip(strata) {
                    sums[usize::from(stratum)] += value - mean;
                    counts[usize::from(stratum)] += 1;
                }
                let filled = sums.iter().zip(counts).filter(|(_, count)| *count > 0);
                let between: f64 = filled.map(|(sum, count)| sum * sum / f64::from(count)).sum();
                (input.field, ((between / total - bias) / (1.0 - bias)).clamp(0.0, 1.0))
            })
            .collect();
        shares.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        shares
    }
}

/// The inputs that have a spread, in the order of the field table.
fn inputs(plan: &Plan, seed: u64) -> Vec<Input> {
    plan.spreads
        .iter()
        .enumerate()
        .filter(|(index, spread)| !spread.is_exact() && FIELDS[*index].is_number())
        .map(|(index, spread)| {
            let field = &FIELDS[index];
            Input {
                field: index,
                column: Column::new(seed, field.path),
                sampler: spread.sampler((field.get)(&plan.station), field.range()),
            }
        })
        .collect()
}

/// One drawn station.
fn drawn(nominal: &Station, inputs: &[Input], draw: u32) -> Station {
    let mut station = *nominal;
    for input in inputs {
        (FIELDS[input.field].set)(&mut station, input.sampler.at(input.column.u(draw)));
    }
    station
}

/// Something of every draw, in their order, for what only a drawing asks: the same stations and histories as those of a
/// study under the same options.
pub fn of_draws<T: Send>(
    plan: &Plan,
    options: Options,
    hoisted: &Hoisted,
    of: impl Fn(&Station, &mut Engine<'_>) -> T + Sync,
) -> Vec<T> {
    let inputs = inputs(plan, options.seed);
    (0..options.draws)
        .into_par_iter()
        .map_init(
            || Engine::new(&plan.station, &plan.parts, hoisted, Luck::Mean),
            |engine, draw| {
                engine.turn_to(draw, Luck::History(mix(options.seed, u64::from(draw))));
                of(&drawn(&plan.station, &inputs, draw), engine)
            },
        )
        .collect()
}

/// All draws, by rule. Chunks keep an engine warm; results do not depend on how the chunks fall to threads.
fn draw(
    plan: &Plan,
    hoisted: &Hoisted,
    rules: &[&'static Rule],
    inputs: &[Input],
    options: Options,
) -> Vec<Columns> {
    const CHUNK: u32 = 64;
    let chunks: Vec<Vec<(f64, f64)>> = (0..options.draws.div_ceil(CHUNK))
        .into_par_iter()
        .map_init(
            || Engine::new(&plan.station, &plan.parts, hoisted, Luck::Mean),
            |engine, chunk| {
                let mut rows = Vec::with_capacity(CHUNK as usize * rules.len());
                for draw in chunk * CHUNK..((chunk + 1) * CHUNK).min(options.draws) {
                    let station = drawn(&plan.station, inputs, draw);
                    engine.turn_to(draw, Luck::History(mix(options.seed, u64::from(draw))));
                    for rule in rules {
                        let value = (rule.value)(&station, engine);
                        let limit = rule.limit.map_or(f64::NAN, |limit| limit(&station, engine));
                        rows.push((value, limit));
                    }
                }
                rows
            },
        )
        .collect();
    let mut columns = vec![Columns::default(); rules.len()];
    for row in chunks.iter().flat_map(|rows| rows.chunks_exact(rules.len().max(1))) {
        for (column, &(value, limit)) in columns.iter_mut().zip(row) {
            column.values.push(value);
            column.limits.push(limit);
        }
    }
    columns
}
