//! Changes one value of a plan's text and nothing else: comments, order and spacing stay.
//!
//! The value is checked against the field table before the text is touched, so that an edit never writes what the
//! reader would refuse.

use crate::fields::{FIELDS, Field, Kind, PARTS, index_of};
use crate::sheets::KINDS;
use crate::values::{self, Wrong};
use toml_edit::{DocumentMut, Item, Table, TableLike, Value};

/// Sets `path` (`camera.size`, `lens.sheet`, `pins.sounder`, `name`) to `value`, as it would stand in a plan
/// without its quotes, and returns the new text.
///
/// # Errors
/// When the text is no TOML, the path is unknown (the nearest is named), or the value does not fit the field.
pub fn set(text: &str, path: &str, value: &str) -> Result<String, Wrong> {
    let value = checked(path, value)?;
    let mut document: DocumentMut = text.parse().map_err(|error: toml_edit::TomlError| Wrong {
        at: error.span(),
        says: error.message().to_string(),
        hint: Some("mend the plan first: doorwright check shows all its problems".into()),
    })?;
    let Some((part, key)) = path.split_once('.') else {
        put(document.as_table_mut(), path, value)?;
        return Ok(with_line_ends_of(text, document.to_string()));
    };
    let is_new = !document.contains_key(part);
    let entry = document.entry(part).or_insert_with(|| Item::Table(Table::new()));
    let Some(table) = entry.as_table_like_mut() else {
        return Err(Wrong {
            at: None,
            says: format!("`{part}` is no table in this plan"),
            hint: Some(format!("write [{part}] and its keys below it")),
        });
    };
    match table.get_mut(key).and_then(Item::as_table_like_mut) {
        Some(demand) if part == "pins" => put(demand, "pin", value)?,
        _ => put(table, key, value)?,
    }
    if is_new
        && !text.trim().is_empty()
        && let Some(table) = document.get_mut(part).and_then(Item::as_table_mut)
    {
        table.decor_mut().set_prefix("\n");
    }
    Ok(with_line_ends_of(text, document.to_string()))
}

/// The edited text with the line ends of the text before it, line by line: the TOML writer knows only `\n`.
fn with_line_ends_of(before: &str, after: String) -> String {
    if !before.contains("\r\n") {
        return after;
    }
    let (old, new): (Vec<&str>, Vec<&str>) =
        (before.split_inclusive('\n').collect(), after.split_inclusive('\n').collect());
    let same = |(old, new): &(&&str, &&str)| old.replace("\r\n", "\n") == **new;
    let head = old.iter().zip(&new).take_while(same).count();
    let most = old.len().min(new.len()) - head;
    let tail = old.iter().rev().zip(new.iter().rev()).take(most).take_while(same).count();
    let changed = new[head..new.len() - tail].concat().replace('\n', "\r\n");
    format!("{}{changed}{}", old[..head].concat(), old[old.len() - tail..].concat())
}

/// Several changes, one after the other.
///
/// # Errors
/// The first change that [`set`] refuses.
pub fn set_all<'a>(
    text: &str,
    changes: impl IntoIterator<Item = (&'a str, &'a str)>,
) -> Result<String, Wrong> {
    changes.into_iter().try_fold(text.to_string(), |text, (path, value)| set(&text, path, value))
}

/// Sets a key of a table. A demand under a name of its own says which one it is: only its `pin` changes.
fn put(table: &mut dyn TableLike, key: &str, value: Value) -> Result<(), Wrong> {
    match table.get_mut(key) {
        Some(Item::Value(old)) => replace(old, value),
        Some(Item::None) | None => {
            table.insert(key, Item::Value(value));
        }
        // What stands there has keys of its own: a value written over it would lose them.
        Some(Item::Table(_) | Item::ArrayOfTables(_)) => {
            return Err(Wrong {
                at: None,
                says: format!("`{key}` is a table in this plan, and a single value is to be set"),
                hint: Some(format!("take the table out and write {key} = … in its place")),
            });
        }
    }
    Ok(())
}

/// Replaces a value but keeps the space before and the comment after it.
fn replace(old: &mut Value, mut new: Value) {
    *new.decor_mut() = old.decor().clone();
    *old = new;
}

/// The TOML value for a path, checked.
fn checked(path: &str, text: &str) -> Result<Value, Wrong> {
    if let Some(index) = index_of(path) {
        let field: &Field = &FIELDS[index];
        values::parse(field, text)?;
        return Ok(match field.kind {
            Kind::Count { .. } => Value::from(text.trim().parse::<i64>().unwrap_or_default()),
            Kind::YesNo => Value::from(text.trim() == "true"),
            _ => Value::from(text),
        });
    }
    match path.split_once('.') {
        None if matches!(path, "name" | "revision") => Ok(Value::from(text)),
        Some((part, "sheet")) if KINDS.iter().any(|kind| kind.part == part) => Ok(Value::from(text)),
        Some(("pins", _)) => Ok(text.trim().parse::<i64>().map_or_else(|_| Value::from(text), Value::from)),
        _ => {
            let mut known: Vec<&str> = FIELDS.iter().map(|field| field.path).collect();
            known.extend(PARTS.iter().map(|(part, _)| *part));
            let near = quantity::nearest(path, known.iter().copied());
            Err(Wrong {
                at: None,
                says: format!("a plan has no `{path}`"),
                hint: Some(near.map_or("doorwright plan-schema lists all keys".into(), |near| {
                    format!("did you mean `{near}`?")
                })),
            })
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_changes_and_its_comment_stays() {
        let text = "# top\n[camera]\nsize = \"1600x1200\"   # large\ntilt = \"5 deg\"\n";
        let changed = set(text, "camera.size", "800x600").unwrap();
        assert_eq!(changed, text.replace("1600x1200", "800x600"));
    }

    #[test]
    fn a_demand_with_a_name_of_its_own_keeps_what_it_is() {
        let text = "[pins]\nsecond = { is = \"plate\", pin = 12 }\n";
        let changed = set(text, "pins.second", "any").unwrap();
        assert_eq!(changed, "[pins]\nsecond = { is = \"plate\", pin = \"any\" }\n");
    }

    /// The same demand as a table of its own, as dotted keys and in one line: `is`, comments and neighbours stay.
    #[test]
    fn a_demand_is_changed_in_whatever_form_it_stands() {
        for (text, was, is) in [
            (
                "[pins.plate]\nis = \"plate\" # mine\npin = 12 # soldered\n\n[pins.lamp]\nis = \"status-lamp\"\n",
                "pin = 12",
                "pin = \"any\"",
            ),
            (
                "[pins]\nplate.is = \"plate\" # mine\nplate.pin = 12 # soldered\nlamp = 4\n",
                "pin = 12",
                "pin = \"any\"",
            ),
            ("pins.plate.pin = 12 # soldered\npins.lamp = 4\n", "pin = 12", "pin = \"any\""),
            ("pins.plate = 12 # soldered\n", "plate = 12", "plate = \"any\""),
            ("pins = { plate = { is = \"plate\", pin = 12 } } # all\n", "pin = 12", "pin = \"any\""),
            // Nothing said of its pin yet.
            ("[pins.plate]\nis = \"plate\" # mine\n", "# mine\n", "# mine\npin = \"any\"\n"),
        ] {
            assert_eq!(set(text, "pins.plate", "any").as_deref(), Ok(text.replacen(was, is, 1).as_str()));
        }
    }

    #[test]
    fn what_is_no_value_is_refused_and_never_written_over() {
        for (text, path, value) in [
            ("[camera.size]\nwidth = 640\n", "camera.size", "640x480"),
            ("[[camera.size]]\nwidth = 640\n", "camera.size", "640x480"),
            ("camera.size.width = 640\n", "camera.size", "640x480"),
            ("[lens.sheet]\n", "lens.sheet", "plain-66"),
            ("[name]\nfirst = 1\n", "name", "x"),
            ("[[pins.plate]]\npin = 1\n", "pins.plate", "any"),
            ("[pins.plate.pin]\nx = 1\n", "pins.plate", "any"),
            ("[[camera]]\n", "camera.size", "640x480"),
        ] {
            let wrong = set(text, path, value).unwrap_err();
            assert!(wrong.says.contains("table in this plan") && wrong.hint.is_some(), "{text}: {wrong:?}");
        }
    }

    #[test]
    fn a_new_part_is_added_at_the_end_and_an_unknown_path_names_the_nearest() {
        assert_eq!(
            set("name = \"x\"\n", "cable.run", "18 m").unwrap(),
            "name = \"x\"\n\n[cable]\nrun = \"18 m\"\n"
        );
        let wrong = set("", "camera.hight", "1 m").unwrap_err();
        assert_eq!(wrong.hint.unwrap(), "did you mean `camera.height`?");
        assert!(set("", "camera.height", "1 V").is_err());
    }
}
