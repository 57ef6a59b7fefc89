//! One plan, several parts or settings: what each combination comes to, and which no other beats.
//!
//! Every combination is the plan with some changes, read and assessed like any plan. Prices and days come from the
//! user's own sheets (`[offer]`); nothing is looked up. Nothing here sorts by taste: it says which combinations are
//! unbeaten, and leaves the choice.

use crate::assessment::of_study;
use crate::study::{Options, Study};
use serde::Serialize;
use station::edit;
use station::plan::Plan;
use station::sheets::{KINDS, Library};
use station::text::{Problems, Source};
use station::values::Wrong;

/// Combinations that are assessed at most.
pub const MOST: usize = 200;

/// One thing to vary: a path and the values it takes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Vary {
    /// The path, as `doorwright set` takes it.
    pub path: String,
    /// Its values.
    pub values: Vec<String>,
}

/// All combinations with what they come to.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Comparison {
    /// The plan.
    pub plan: String,
    /// Draws of each.
    pub draws: u32,
    /// The paths that vary, in the order asked for.
    pub paths: Vec<String>,
    /// One row a combination, in the order asked for.
    pub rows: Vec<Row>,
}

/// One combination.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Row {
    /// Its values, in the order of the paths.
    pub values: Vec<String>,
    /// Verdict of the whole.
    pub verdict: &'static str,
    /// Share of draws in which all fits.
    pub fits_probability: Option<f64>,
    /// Each budget.
    pub budgets: Vec<BudgetCell>,
    /// Sum of the prices of its parts, where every varied part has one.
    pub price: Option<f64>,
    /// Currency of the sum.
    pub currency: String,
    /// Days until the last part is there, where every varied part says so.
    pub days: Option<f64>,
    /// Whether no other combination is at least as good in everything and better in something.
    pub unbeaten: bool,
}

/// A budget of a combination.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BudgetCell {
    /// The budget.
    pub name: &'static str,
    /// Its verdict.
    pub verdict: &'static str,
    /// Share of draws in which it fits.
    pub fits_probability: Option<f64>,
}

/// Why a comparison cannot be made.
#[derive(Clone, Debug, PartialEq)]
pub enum CompareError {
    /// A change that the plan does not take.
    Wrong(Wrong),
    /// The changed plan cannot be read.
    Problems(Box<Problems>),
    /// More combinations than are assessed.
    TooMany {
        /// How many there would be.
        count: usize,
    },
    /// Parts are priced in different currencies.
    Currencies(String, String),
}

/// The path that a word of `--vary` means: a part's name stands for its sheet.
pub fn path_of(word: &str) -> String {
    let kind = KINDS.iter().find(|kind| kind.name == word || kind.part == word);
    kind.filter(|kind| !kind.part.is_empty())
        .map_or_else(|| word.to_string(), |kind| format!("{}.sheet", kind.part))
}

/// Assesses every combination.
///
/// # Errors
/// [`CompareError`]: nothing is compared unless every combination can be read.
pub fn compare(
    plan: &Plan,
    library: &Library,
    vary: &[Vary],
    options: Options,
) -> Result<Comparison, CompareError> {
    let count = vary
        .iter()
        .map(|vary| vary.values.len().max(1))
        .try_fold(1_usize, usize::checked_mul)
        .unwrap_or(usize::MAX);
    if count > MOST {
        return Err(CompareError::TooMany { count });
    }
    let mut rows = Vec::with_capacity(count);
    for number in 0..count {
        let values = combination(vary, number);
        let changes = vary.iter().map(|vary| vary.path.as_str()).zip(values.iter().map(String::as_str));
        let text = edit::set_all(&plan.source.text, changes).map_err(CompareError::Wrong)?;
        let changed = Plan::read(Source::new(plan.source.name.clone(), text), library)
            .map_err(|problems| CompareError::Problems(Box::new(problems)))?;
        rows.push(row(&changed, values, vary, options)?);
    }
    for at in 0..rows.len() {
        rows[at].unbeaten = !rows.iter().any(|other| beats(other, &rows[at]));
    }
    Ok(Comparison {
        plan: plan.name.clone(),
        draws: options.draws,
        paths: vary.iter().map(|vary| vary.path.clone()).collect(),
        rows,
    })
}

/// The values of combination `number`, the last path varying fastest.
fn combination(vary: &[Vary], mut number: usize) -> Vec<String> {
    let mut values: Vec<String> = Vec::with_capacity(vary.len());
    for vary in vary.iter().rev() {
        let count = vary.values.len().max(1);
        values.push(vary.values.get(number % count).cloned().unwrap_or_default());
        number /= count;
    }
    values.reverse();
    values
}

fn row(plan: &Plan, values: Vec<String>, vary: &[Vary], options: Options) -> Result<Row, CompareError> {
    let assessment = of_study(&Study::new(plan, options));
    let (mut price, mut days, mut currency) = (Some(0.0), Some(0.0_f64), String::new());
    for sheet in &plan.sheets {
        let varied = vary.iter().any(|vary| vary.path == format!("{}.sheet", sheet.kind.part));
        let count = match sheet.kind.name {
            "cell" => f64::from(plan.station.cell.series * plan.station.cell.parallel),
            _ => 1.0,
        };
        match &sheet.offer {
            Some(offer) => {
                if !currency.is_empty() && currency != offer.currency {
                    return Err(CompareError::Currencies(currency, offer.currency.clone()));
                }
                currency.clone_from(&offer.currency);
                price = price.map(|sum| sum + count * offer.price);
                days = days.map(|most: f64| most.max(offer.days));
            }
            // A part that varies and has no price makes a sum that would mislead.
            None if varied => (price, days) = (None, None),
            None => {}
        }
    }
    let priced = plan.sheets.iter().any(|sheet| sheet.offer.is_some());
    Ok(Row {
        values,
        verdict: assessment.verdict,
        fits_probability: assessment.fits_probability,
        budgets: assessment
            .budgets
            .iter()
            .map(|budget| BudgetCell {
                name: budget.name,
                verdict: budget.verdict,
                fits_probability: budget.fits_probability,
            })
            .collect(),
        price: price.filter(|_| priced),
        currency,
        days: days.filter(|_| priced),
        unbeaten: false,
    })
}

/// Whether `a` is at least as good as `b` in every budget, price and days, and better in one.
fn beats(a: &Row, b: &Row) -> bool {
    // Larger is better in every pair; what is not known on either side decides nothing.
    let mut pairs: Vec<(f64, f64)> =
        a.budgets.iter().zip(&b.budgets).map(|(a, b)| (goodness(a), goodness(b))).collect();
    for (a, b) in [(a.price, b.price), (a.days, b.days)] {
        if let (Some(a), Some(b)) = (a, b) {
            pairs.push((-a, -b));
        }
    }
    pairs.iter().all(|(a, b)| a >= b) && pairs.iter().any(|(a, b)| a > b)
}

/// Verdict first, probability within it: a budget that fits is not beaten by one that fits a little more surely.
fn goodness(cell: &BudgetCell) -> f64 {
    match cell.verdict {
        "fits" => 3.0,
        "tight" => 1.0 + cell.fits_probability.unwrap_or(0.5),
        "unknown" => 1.0,
        _ => cell.fits_probability.unwrap_or(0.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plan() -> (Plan, Library) {
        let library = Library::shipped();
        let text = "[board]\nsheet = \"wren\"\n[camera]\nsize = \"1600x1200\"\n[supply]\nkind = \"usb\"\n";
        (Plan::read(Source::new("gate.toml", text), &library).unwrap(), library)
    }

    const QUICK: Options = Options { draws: 64, seed: 1 };

    fn vary(path: &str, values: &[&str]) -> Vary {
        Vary { path: path_of(path), values: values.iter().map(ToString::to_string).collect() }
    }

    #[test]
    fn every_combination_is_there_once_and_in_order() {
        let (plan, library) = plan();
        let asked = [vary("board", &["wren", "heron"]), vary("camera.size", &["800x600", "1600x1200"])];
        let compared = compare(&plan, &library, &asked, QUICK).unwrap();
        let values: Vec<String> = compared.rows.iter().map(|row| row.values.join(" ")).collect();
        assert_eq!(values, ["wren 800x600", "wren 1600x1200", "heron 800x600", "heron 1600x1200"]);
        let memory = |row: usize| {
            compared.rows[row].budgets.iter().find(|cell| cell.name == "memory").unwrap().verdict
        };
        assert_eq!(
            (memory(1), memory(3) == "over"),
            ("over", false),
            "extra memory holds what the chip does not"
        );
    }

    #[test]
    fn what_is_unbeaten_is_beaten_by_no_row_and_something_always_is() {
        let (plan, library) = plan();
        let asked = [
            vary("lens", &["plain-66", "wide-100", "equidistant-160"]),
            vary("camera.size", &["640x480", "800x600"]),
        ];
        let compared = compare(&plan, &library, &asked, QUICK).unwrap();
        assert!(compared.rows.iter().any(|row| row.unbeaten));
        for row in &compared.rows {
            assert_eq!(row.unbeaten, !compared.rows.iter().any(|other| beats(other, row)));
        }
    }

    #[test]
    fn prices_come_from_offers_and_only_where_every_varied_part_has_one() {
        let (plan, mut library) = plan();
        let priced = |name: &str, price: f64| {
            let text = library_text(name);
            Source::new(
                format!("{name}.toml"),
                format!(
                    "{text}\n[offer]\nprice = {price}\ncurrency = \"EUR\"\ndays = 3\ndated = \"2026-11-01\"\n"
                ),
            )
        };
        library.add(priced("wren", 9.5)).unwrap();
        let asked = [vary("board", &["wren", "heron"])];
        let compared = compare(&plan, &library, &asked, Options { draws: 0, seed: 1 }).unwrap();
        assert_eq!((compared.rows[0].price, compared.rows[0].days), (Some(9.5), Some(3.0)));
        assert_eq!((compared.rows[1].price, compared.rows[1].days), (None, None));
    }

    fn library_text(name: &str) -> String {
        Library::shipped().source("board", name).unwrap().text
    }

    #[test]
    fn too_many_and_wrong_values_are_refused() {
        let (plan, library) = plan();
        let many: Vec<String> = (0..201).map(|n| format!("{n} deg")).collect();
        let asked = [Vary { path: "camera.tilt".into(), values: many }];
        assert!(matches!(compare(&plan, &library, &asked, QUICK), Err(CompareError::TooMany { count: 201 })));
        let asked = [vary("camera.size", &["huge"])];
        assert!(matches!(compare(&plan, &library, &asked, QUICK), Err(CompareError::Wrong(_))));
        let asked = [vary("board", &["wrem"])];
        assert!(matches!(compare(&plan, &library, &asked, QUICK), Err(CompareError::Problems(_))));
    }
}
