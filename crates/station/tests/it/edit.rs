//! Edits of a plan's text: one value changes, every other byte stays.

use proptest::prelude::*;
use station::edit::{set, set_all};
use station::fields::{FIELDS, Field, Kind, index_of};
use station::plan::{Origin, Plan};
use station::sample;
use station::sheets::Library;
use station::text::Source;

const GATE: &str = r#"# A gate.
name = "Tür, 東"   # any text

[camera]
size = "1600x1200"                 # as large as it goes
quality = 14                       # lower is finer

[lens]
sheet = "orthographic-140"

# What feeds it:
[supply]
kind = "adapter"
volt = "12 V ± 3 %"
"#;

fn read(text: &str) -> Plan {
    Plan::read(Source::new("p.toml", text), &Library::shipped())
        .unwrap_or_else(|problems| panic!("{problems}\n{text}"))
}

/// Lines with their ends that are in one text and not in the other.
fn differing<'t>(before: &'t str, after: &'t str) -> (Vec<&'t str>, Vec<&'t str>) {
    let (old, new): (Vec<_>, Vec<_>) =
        (before.split_inclusive('\n').collect(), after.split_inclusive('\n').collect());
    let head = old.iter().zip(&new).take_while(|(a, b)| a == b).count();
    let most = old.len().min(new.len()) - head;
    let tail = old.iter().rev().zip(new.iter().rev()).take(most).take_while(|(a, b)| a == b).count();
    (old[head..old.len() - tail].to_vec(), new[head..new.len() - tail].to_vec())
}

#[test]
fn a_given_value_changes_in_its_line_and_its_comment_stays() {
    let after = set(GATE, "camera.size", "800x600").expect("a size");
    let (old, new) = differing(GATE, &after);
    assert_eq!(old, ["size = \"1600x1200\"                 # as large as it goes\n"]);
    assert_eq!(new, ["size = \"800x600\"                 # as large as it goes\n"]);
}

#[test]
fn a_new_value_gets_a_line_of_its_own_below_the_others_of_its_part() {
    let after = set(GATE, "camera.buffers", "2").expect("a count");
    assert_eq!(differing(GATE, &after), (vec![], vec!["buffers = 2\n"]));
    let after = set(GATE, "site.latitude", "51 deg").expect("a new part");
    assert_eq!(differing(GATE, &after), (vec![], vec!["\n", "[site]\n", "latitude = \"51 deg\"\n"]));
}

#[test]
fn other_ways_to_write_a_part_are_left_as_they_are() {
    for (before, path, value, after) in [
        ("camera.size = \"640x480\" # é\n", "camera.size", "800x600", "camera.size = \"800x600\" # é\n"),
        (
            "camera = { size = \"640x480\", quality = 12 }\n",
            "camera.quality",
            "9",
            "camera = { size = \"640x480\", quality = 9 }\n",
        ),
        (
            "[camera]\n  size   =   '640x480'\t# tab\n",
            "camera.size",
            "800x600",
            "[camera]\n  size   =   \"800x600\"\t# tab\n",
        ),
        (
            "[ camera ] # c\nsize = \"1x1\"\n\n\n# end",
            "camera.size",
            "800x600",
            "[ camera ] # c\nsize = \"800x600\"\n\n\n# end",
        ),
        (
            "[pins]\nplate = { is = \"plate\" }\n",
            "pins.lamp",
            "4",
            "[pins]\nplate = { is = \"plate\" }\nlamp = 4\n",
        ),
        ("[pins]\nplate = 12 # right\n", "pins.plate", "any", "[pins]\nplate = \"any\" # right\n"),
        ("name = \"a\"\n", "name", "b \"c\"", "name = 'b \"c\"'\n"),
        ("", "camera.size", "800x600", "[camera]\nsize = \"800x600\"\n"),
    ] {
        assert_eq!(set(before, path, value).expect(before), after);
    }
}

/// Found by a search: the pin of a demand lost the space and line end behind it when it was set a second time.
#[test]
fn the_pin_of_a_demand_keeps_what_stands_around_it() {
    let before = "[pins]\nplate = { is = \"plate\", pin =  4  }\n";
    assert_eq!(set(before, "pins.plate", "5").expect("a pin"), before.replace('4', "5"));
    let broken = set("[pins]\nplate={\n}\n", "pins.plate", "5").expect("a pin");
    assert_eq!(set(&broken, "pins.plate", "5").expect("a pin"), broken);
}

#[test]
fn line_ends_of_another_system_stay() {
    let crlf = GATE.replace('\n', "\r\n");
    let after = set(&crlf, "camera.size", "800x600").expect("a size");
    let (old, new) = differing(&crlf, &after);
    assert_eq!((old.len(), new.len()), (1, 1), "{new:?}");
    assert!(new[0].ends_with("goes\r\n"), "{new:?}");
    let after = set(&crlf, "cable.run", "3 m").expect("a new part");
    assert_eq!(differing(&crlf, &after), (vec![], vec!["\r\n", "[cable]\r\n", "run = \"3 m\"\r\n"]));
}

#[test]
fn what_a_plan_cannot_say_is_refused_with_the_nearest_word() {
    for (path, value, says, hint) in [
        ("camera.hight", "1 m", "a plan has no `camera.hight`", "did you mean `camera.height`?"),
        ("lens.sheets", "x", "a plan has no `lens.sheets`", ""),
        ("camera.size", "800", "", ""),
        ("camera.quality", "99", "`camera.quality` must be a whole number from 4 to 63, found 99", ""),
        ("camera.height", "3", "", ""),
        ("camera.height", "9 m", "`camera.height` is 9 m, outside 0.2 .. 4.0 m", ""),
        (
            "camera.format",
            "jpg",
            "`camera.format` cannot be \"jpg\"",
            "did you mean \"jpeg\"? known: jpeg, raw",
        ),
        ("net.tls", "yes", "`net.tls` must be true or false, found `yes`", ""),
        ("", "x", "a plan has no ``", ""),
        ("camera", "x", "", ""),
        ("camera.", "x", "", ""),
        (".", "x", "", ""),
        ("a.b.c", "x", "", ""),
    ] {
        let wrong = set(GATE, path, value).expect_err(path);
        assert!(says.is_empty() || wrong.says == says, "{path}: {wrong:?}");
        assert!(hint.is_empty() || wrong.hint.as_deref() == Some(hint), "{path}: {wrong:?}");
        assert!(!wrong.says.is_empty());
    }
}

#[test]
fn of_several_changes_all_or_none_are_made() {
    let both = set_all(GATE, [("camera.size", "800x600"), ("camera.quality", "10")]).expect("two");
    assert_eq!(differing(GATE, &both).1.len(), 2);
    assert!(set_all(GATE, [("camera.size", "800x600"), ("camera.quality", "100")]).is_err());
}

proptest! {
    /// Any field, any value that an invented plan says, set in another plan.
    #[test]
    fn a_set_value_is_read_again_and_nothing_else_moves(to in 0_u64..200, from in 0_u64..200, at in 0..FIELDS.len()) {
        let field = &FIELDS[at];
        let lender = read(&sample::plan(from));
        let Origin::Given { span } = &lender.origins[at] else { return Ok(()) };
        let value = lender.source.text[span.clone()].trim_matches('"');
        let before = sample::plan(to);
        let after = set(&before, field.path, value).expect("a value that was read");
        prop_assert_eq!(&set(&after, field.path, value).expect("again"), &after);
        let (old, new) = differing(&before, &after);
        prop_assert!(old.len() <= 1 && new.len() <= 3, "{:?} {:?}", old, new);
        let (was, is) = (read(&before), read(&after));
        prop_assert_eq!((field.get)(&is.station).to_bits(), (field.get)(&lender.station).to_bits());
        prop_assert_eq!(is.spreads[at], lender.spreads[at]);
        // Where the radio's way is told, the goodput is its own and no longer an assumption: that one may move with it.
        let own = |other: &Field| other.path == "net.goodput" && field.part() == "radio";
        for (other, field) in FIELDS.iter().enumerate().filter(|(other, field)| *other != at && !own(field)) {
            prop_assert_eq!((field.get)(&is.station).to_bits(), (field.get)(&was.station).to_bits());
            prop_assert_eq!(is.spreads[other], was.spreads[other]);
        }
        // Back again: where the plan had said it in the same form, the very text.
        if let Origin::Given { span } = &was.origins[at] {
            let back = set(&after, field.path, before[span.clone()].trim_matches('"')).expect("it was read");
            prop_assert_eq!(back, before);
        }
    }
}

#[test]
fn what_a_field_shows_as_toml_can_be_set() {
    for seed in 0..40 {
        let plan = read(&sample::plan(seed));
        for field in FIELDS {
            let number = (field.get)(&plan.station);
            if number.is_nan() {
                continue;
            }
            let value = field.toml(number);
            let text = set("", field.path, value.trim_matches('"')).expect(field.path);
            let again = (field.get)(&read(&text).station);
            let exact = !matches!(field.kind, Kind::Number { .. });
            // A number that is written reads back to its last two digits.
            let near = (again - number).abs() <= 1e-14 * number.abs();
            assert!(if exact { again == number } else { near }, "{} {value}: {again} {number}", field.path);
        }
    }
    assert!(index_of("camera.size").is_some());
}
