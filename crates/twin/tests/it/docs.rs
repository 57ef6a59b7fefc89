//! The page's table says what the code has.

use twin::plate::effects::Settings;
use twin::plate::facts::Facts;

const PAGE: &str = include_str!("../../../../docs/twin-plate.md");

/// The unit that a field's name ends in.
fn unit(name: &str) -> &'static str {
    match name.rsplit('.').next() {
        Some(field) if field.ends_with("_1_s") => "1/s",
        Some(field) if field.ends_with("_1_k") => "1/K",
        Some(field) if field.ends_with("_s") => "s",
        Some(field) if field.ends_with("_k") => "K",
        Some(field) if field.ends_with("hz") => "Hz",
        _ => "1",
    }
}

#[test]
fn the_page_lists_every_effect_with_its_usual_value_and_no_other() {
    let rows: Vec<(&str, &str)> = PAGE
        .lines()
        .filter_map(|line| line.strip_prefix("| `")?.split_once("` | "))
        .map(|(name, rest)| (name, rest.split(" |").next().unwrap_or_default()))
        .filter(|(name, _)| name.contains(['.', '_']))
        .collect();
    let facts = Facts { metal: 0.1, ..Facts::TYPICAL };
    let numbers: Vec<_> = Settings::of(facts, 600.0, 10)
        .numbers()
        .filter(|(name, ..)| !name.starts_with("facts.") && !matches!(*name, "for_s" | "period_s"))
        .collect();
    for (name, value, _) in &numbers {
        let row = rows.iter().find(|row| row.0 == *name);
        let (_, told) = row.unwrap_or_else(|| panic!("no row for {name}"));
        let told = quantity::parse(told, unit(name)).unwrap_or_else(|error| panic!("{name}: {error}")).value;
        // To the digits that the page gives.
        assert!((told - value).abs() <= 1e-3 * value.abs(), "{name} is {value}, the page says {told}");
    }
    assert_eq!(rows.len(), numbers.len(), "rows that the code does not know");
}

#[test]
fn every_usual_value_lies_within_its_range_and_ranges_are_ranges() {
    for (name, value, [low, high]) in Settings::of(Facts::TYPICAL, 600.0, 10).numbers() {
        assert!(low < high && (low..=high).contains(&value), "{name}");
    }
}
