//! What is drawn is what the assessment says: coordinates are read back and held against its figures.

use crate::paper::{Element, read, sound};
use budgets::assessment::{Assessment, Figure, assess};
use budgets::physics::Doing;
use budgets::series;
use budgets::study::Options;
use draw::{cells, drawings, feed, heat, margins, timing};
use models::heat::Node;
use station::plan::Plan;
use station::sample;
use station::sheets::Library;
use station::text::Source;

const PLANS: [(&str, &str); 4] = [
    ("shed", include_str!("../../../../plans/bicycle-club-shed.toml")),
    ("impossible", include_str!("../../../../plans/impossible.toml")),
    ("gate", include_str!("../../../../plans/kiln-yard-gate.toml")),
    ("store", include_str!("../../../../plans/kiln-yard-glaze-store.toml")),
];
/// With what the shed's own plan leaves out, so that every drawing for cells and sun is there.
const MORE: &str = "\n[radio]\ndistance = \"22 m\"\nbuilding = \"house\"\nfloors = 1\nwalls = 2\nfoil = true\n\
    [notice]\nsounder = \"chime\"\nphone = \"notice\"\n";
const OPTIONS: Options = Options { draws: 256, seed: 1 };

fn plan(text: &str) -> Plan {
    Plan::read(Source::new("test.toml", text), &Library::shipped()).expect("the test's plans can be read")
}

fn shipped(name: &str) -> Plan {
    plan(PLANS.iter().find(|(known, _)| *known == name).expect("a plan that ships").1)
}

fn sunny_shed() -> Plan {
    let text = PLANS[0].1.replace("latitude = \"53 deg\"", "latitude = \"53 deg\"\nfacing = \"180 deg\"");
    plan(&(text + MORE))
}

fn sunny_gate() -> Plan {
    turned("200 deg", "sun = \"0.5\"")
}

/// The gate whose wall faces so, with another shade.
fn turned(facing: &str, sun: &str) -> Plan {
    let gate = PLANS.iter().find(|(known, _)| *known == "gate").expect("a plan that ships").1;
    let text = gate.replace("facing = \"240 deg\"", &format!("facing = \"{facing}\""));
    assert!(text != gate && text.contains("sun = \"0.5\""));
    plan(&text.replace("sun = \"0.5\"", sun))
}

fn figure<'a>(a: &'a Assessment, name: &str) -> &'a Figure {
    let mut figures = a.budgets.iter().flat_map(|budget| &budget.figures);
    figures.find(|figure| figure.name == name).unwrap_or_else(|| panic!("a figure {name}"))
}

fn near(a: f64, b: f64, off: f64, what: &str) {
    assert!((a - b).abs() <= off, "{what}: {a} and {b}");
}

fn drawn(plan: &Plan, a: &Assessment, name: &str) -> Vec<Element> {
    let drawing =
        drawings::all(plan, a).into_iter().find(|drawing| drawing.name == name).expect("it is known");
    read(&drawing.svg.unwrap_or_else(|why| panic!("{name}: {why}")))
}

#[test]
fn every_drawing_of_every_plan_is_sound() {
    let mut plans: Vec<(&str, Plan)> = PLANS.iter().map(|(name, text)| (*name, plan(text))).collect();
    plans.extend([("sunny shed", sunny_shed()), ("sunny gate", sunny_gate()), ("nothing", plan(""))]);
    let mut missing: Vec<&str> =
        drawings::all(&plans[0].1, &assess(&plans[0].1, OPTIONS)).iter().map(|d| d.name).collect();
    for (name, plan) in &plans {
        for options in [OPTIONS, Options { draws: 0, ..OPTIONS }] {
            let a = assess(plan, options);
            let all = drawings::all(plan, &a);
            for drawing in &all {
                if let Ok(svg) = &drawing.svg {
                    sound(svg, &format!("{name}, {}", drawing.name));
                    missing.retain(|missing| missing != &drawing.name);
                }
            }
            assert!(all.windows(2).all(|pair| pair[0].number < pair[1].number), "files lie in their order");
            let page = drawings::index(plan, &a, &all);
            for drawing in &all {
                assert_eq!(page.contains(&drawing.file()), drawing.svg.is_ok(), "{name}, {}", drawing.name);
            }
            assert!(!page.contains("<script"));
            // A page read aloud says what each drawing shows.
            let told = page.split(" alt=\"").skip(1).map(|rest| rest.split('"').next().unwrap_or("").len());
            assert!(told.into_iter().all(|letters| letters > 60), "{name}");
        }
    }
    assert!(missing.is_empty(), "never drawn: {missing:?}");
}

#[test]
fn what_the_plan_does_not_tell_is_not_drawn_and_says_which_field() {
    let plan = plan("");
    for drawing in drawings::all(&plan, &assess(&plan, OPTIONS)) {
        match drawing.svg {
            Ok(_) => assert!(["margins", "door", "template"].contains(&drawing.name), "{}", drawing.name),
            Err(why) => assert!(why.contains('['), "{}: {why}", drawing.name),
        }
    }
}

/// Bar and whisker worked out a second time: one unit is the way to the 5 % point on the limit's side, for every row.
#[test]
fn bars_of_margins_lie_where_the_numbers_say() {
    let mut bars = 0;
    for (name, text) in PLANS {
        let plan = plan(text);
        let a = assess(&plan, OPTIONS);
        let all = drawn(&plan, &a, "margins");
        for figure in a.budgets.iter().flat_map(|budget| &budget.figures) {
            let (Some(margin), Some(low), Some(high)) =
                (figure.margin, figure.margin_low, figure.margin_high)
            else {
                continue;
            };
            if figure.verdict.is_none() {
                continue;
            }
            let title: String = figure.title.trim().chars().take(30).collect();
            let text =
                all.iter().find(|e| e.name == "text" && e.number("x") == 36.0 && e.text.starts_with(&title));
            let y = text.unwrap_or_else(|| panic!("{name}: {title}")).number("y");
            let beside = |at: f64| at > y - 9.0 && at < y;
            let bar = all.iter().find(|e| {
                e.name == "rect" && e.attributes.contains_key("y") && beside(e.number("y")) && {
                    let (left, right) = (e.number("x"), e.number("x") + e.number("width"));
                    (left - margins::LIMIT_X).abs() < 0.11 || (right - margins::LIMIT_X).abs() < 0.11
                }
            });
            let bar = bar.unwrap_or_else(|| panic!("{name}: a bar of {title}"));
            let to_the_limit = if margin < 0.0 { high - margin } else { margin - low };
            let alike = to_the_limit <= 1e-9 * margin.abs();
            // 29 units of the paper a unit; four to the right, as many to the left as the terminal's seven cells of twelve.
            let at = |room: f64| {
                let units = if alike { if margin < 0.0 { -4.0 } else { 4.0 } } else { room / to_the_limit };
                (29.0 * units).clamp(-116.0 * 7.0 / 12.0, 116.0)
            };
            let length =
                bar.number("width").copysign(bar.number("x") + 0.5 * bar.number("width") - margins::LIMIT_X);
            near(length, at(margin), 0.11, &format!("{name}: {title}"));
            let whisker = all.iter().filter(|e| e.name == "polyline").map(Element::points).find(|points| {
                points.len() == 2
                    && points[0].1 == points[1].1
                    && beside(points[0].1)
                    && points[0].0 < points[1].0
            });
            if let Some(whisker) = whisker {
                near(whisker[0].0 - margins::LIMIT_X, at(low), 0.11, &format!("{name}: low of {title}"));
                near(whisker[1].0 - margins::LIMIT_X, at(high), 0.11, &format!("{name}: high of {title}"));
                bars += 1;
            }
        }
    }
    assert!(bars > 40, "{bars}");
}

/// The terminal's bar is the drawing's in cells of a third of a unit: same side, same length.
#[test]
fn the_terminals_bars_are_those_of_the_drawing() {
    let mut seen = 0;
    for (name, text) in PLANS {
        for budget in assess(&plan(text), OPTIONS).budgets {
            // What is wrong without a number has a bar without a scale.
            if budget.findings.first().is_some_and(|found| found.figure.is_empty() && found.verdict == "over")
            {
                continue;
            }
            let row = draw::terminal::row(&budget);
            let Some((left, right)) = row.split_once('╎') else { continue };
            let cells =
                |text: &str, marks: &[char]| text.chars().filter(|cell| marks.contains(cell)).count() as f64;
            let (short, room) = (cells(left, &['▭']), cells(right, &['▬', '╱']));
            // Some figure of the budget is the one that decides, and its bar on paper is that long.
            let of_paper = budget
                .figures
                .iter()
                .filter_map(margins::tails)
                .map(|tails| (3.0 * tails[1]).round().clamp(-7.0, 12.0));
            assert!(
                of_paper.clone().any(|cells| cells == room - short) || budget.verdict == "unknown",
                "{name}: {row}"
            );
            seen += usize::from(short + room > 0.0);
        }
    }
    assert!(seen > 20, "{seen}");
}

#[test]
fn the_fan_ends_where_the_run_time_does() {
    for plan in [shipped("store"), shipped("shed")] {
        let a = assess(&plan, OPTIONS);
        let run = figure(&a, "run_time");
        let charge = series::charge(&plan, OPTIONS).unwrap();
        for (end_s, told) in charge.ends_s.into_iter().zip([run.low, run.value, run.high]) {
            near(end_s, told.unwrap(), 1e-6 * end_s, "run time");
        }
        for line in &charge.soc {
            assert!(line.iter().all(|soc| (0.0..=1.0).contains(soc)));
        }
        // More charge in the better builds, at every time at which both have any.
        for at in 0..charge.soc[0].len() {
            assert!(charge.soc[0][at] <= charge.soc[1][at] && charge.soc[1][at] <= charge.soc[2][at]);
        }
        let all = drawn(&plan, &a, "cells");
        let circles: Vec<f64> = all.iter().filter(|e| e.name == "circle").map(|e| e.number("cx")).collect();
        let ended: Vec<f64> = charge.ends_s.into_iter().filter(|end_s| *end_s < charge.horizon_s).collect();
        assert_eq!(circles.len(), ended.len());
        for (x, end_s) in circles.into_iter().zip(ended) {
            let share = (x - cells::LEFT) / (cells::RIGHT - cells::LEFT);
            near(
                share * cells::horizon_s(&charge),
                end_s,
                cells::horizon_s(&charge) / 5_000.0,
                "end of a line",
            );
        }
    }
    // Without draws the life of the stated values stands alone.
    let plan = shipped("store");
    let none = Options { draws: 0, ..OPTIONS };
    let (a, charge) = (assess(&plan, none), series::charge(&plan, none).unwrap());
    near(charge.ends_s[1], figure(&a, "run_time").nominal.unwrap(), 1.0, "nominal life");
}

#[test]
fn the_worst_hour_is_the_chips_figure_and_no_other_is_much_hotter() {
    // Behind a shade board on an east wall the sun's hour is not the hottest: the afternoon's air is.
    let shaded = turned("90 deg", "sun = 0.05");
    for plan in [sunny_gate(), sunny_shed(), shaded] {
        let a = assess(&plan, Options { draws: 0, ..OPTIONS });
        let course = series::heat(&plan).unwrap();
        let chip = |hour: &budgets::physics::HeatHour| hour.call[Node::Chip as usize];
        let worst = &course.hours[course.worst_hour];
        near(chip(worst), figure(&a, "chip_in_call").nominal.unwrap(), 1e-9, "chip in a call");
        near(
            worst.rest[Node::Chip as usize],
            figure(&a, "chip_at_rest").nominal.unwrap(),
            1e-9,
            "chip at rest",
        );
        near(course.stream_s, figure(&a, "stream_until_limit").nominal.unwrap(), 1e-6, "streaming");
        let hottest = course.hours.iter().map(chip).fold(f64::MIN, f64::max);
        assert!(hottest - chip(worst) < 0.5, "{hottest}");
        // The long call starts at rest and never cools.
        for pair in course.minutes.windows(2) {
            assert!(pair[1].1[Node::Chip as usize] >= pair[0].1[Node::Chip as usize] - 1e-9);
        }
        let all = drawn(&plan, &a, "heat");
        let circle = all.iter().find(|e| e.name == "circle").unwrap();
        let [low, high] = heat::range_c(&course);
        let share = (heat::DAY_TOP + heat::HEIGHT - circle.number("cy")) / heat::HEIGHT;
        near(low + share * (high - low), chip(worst), 0.03, "drawn");
        near(
            (circle.number("cx") - heat::LEFT) / (heat::RIGHT - heat::LEFT) * 24.0,
            course.worst_hour as f64 + 0.5,
            0.01,
            "hour",
        );
    }
}

#[test]
fn losses_add_up_to_the_signal_both_ways() {
    for plan in [shipped("gate"), shipped("store"), sunny_shed()] {
        let a = assess(&plan, Options { draws: 0, ..OPTIONS });
        let path = series::radio(&plan).unwrap();
        let lost: f64 = path.steps.iter().map(|(_, change)| change).sum();
        for (way, name) in [(path.down, "signal"), (path.up, "signal_up")] {
            near(way.sent_dbm + lost, way.arrives_dbm, 1e-9, name);
            near(way.arrives_dbm, figure(&a, name).nominal.unwrap(), 1e-9, name);
        }
        let room = |way: budgets::physics::RadioWay| way.arrives_dbm - way.needs_dbm;
        near(room(path.down).min(room(path.up)), figure(&a, "fade_margin").nominal.unwrap(), 1e-9, "room");
    }
}

#[test]
fn the_feeds_board_is_that_of_the_figures_and_nothing_gains_volts_on_its_way() {
    for plan in [
        shipped("gate"),
        shipped("impossible"),
        plan("[supply]\nkind = \"bell\"\nvolt = \"8 V\"\nlock = \"0.2 A\"\n"),
    ] {
        let a = assess(&plan, Options { draws: 0, ..OPTIONS });
        let series = series::feed(&plan).unwrap();
        for point in &series.points {
            let [source, guard, board, rail] = point.volts;
            assert!(source >= guard && guard >= board - 1e-9 && board >= rail, "{point:?}");
            let name = match point.doing {
                Doing::Burst => "volt_at_board",
                Doing::Start => "volt_at_start",
                Doing::Release => "volt_at_release",
                _ => continue,
            };
            near(board, figure(&a, name).nominal.unwrap(), 1e-12, name);
        }
        let all = drawn(&plan, &a, "feed");
        // Two circles a row, source then board; three stand in the legend.
        let circles: Vec<&Element> = all.iter().filter(|e| e.name == "circle").collect();
        for (point, pair) in series.points.iter().zip(circles.chunks(2)) {
            for (circle, volt_v) in pair.iter().zip([point.volts[0], point.volts[2]]) {
                let share = (circle.number("cx") - feed::LEFT) / (feed::RIGHT - feed::LEFT);
                near(share * feed::most_v(&series), volt_v, feed::most_v(&series) / 2_000.0, "drawn");
            }
        }
    }
}

#[test]
fn the_waterfall_ends_at_the_timing_figures() {
    for plan in [shipped("gate"), shipped("store"), sunny_shed()] {
        let a = assess(&plan, Options { draws: 0, ..OPTIONS });
        let falls = series::timing(&plan).unwrap();
        near(falls.felt_s, figure(&a, "felt").nominal.unwrap(), 1e-9, "felt");
        near(falls.heard_s[1], figure(&a, "heard").nominal.unwrap(), 1e-9, "heard");
        near(falls.in_time[0], figure(&a, "heard_share").nominal.unwrap(), 1e-9, "heard in time");
        near(falls.in_time[1], figure(&a, "seen_share").nominal.unwrap(), 1e-9, "seen in time");
        for fall in &falls.falls {
            assert!(fall.from_s <= fall.done_s[1] + 1e-9 && fall.done_s.is_sorted(), "{fall:?}");
        }
        let share = |at_s: f64| {
            let [low, high] = timing::ENDS_S;
            timing::LEFT + (at_s / low).ln() / (high / low).ln() * (timing::RIGHT - timing::LEFT)
        };
        let circles: Vec<f64> = drawn(&plan, &a, "timing")
            .iter()
            .filter(|e| e.name == "circle")
            .map(|e| e.number("cx"))
            .collect();
        for (x, at_s) in circles.into_iter().zip([falls.felt_s, falls.heard_s[1], falls.seen_s[1]]) {
            near(x, share(at_s), 0.06, "drawn");
        }
    }
}

#[test]
fn the_gate_in_a_power_cut() {
    let rows = series::what_still_works(&shipped("gate")).unwrap();
    let row = |fails: &str| {
        rows.iter().find(|row| row.fails == fails).unwrap_or_else(|| panic!("a row {fails}")).cells()
    };
    // No field of a plan tells a microphone, so nobody answers by words.
    let answered = "none";
    assert_eq!(row("nothing"), ["yes", "yes", "yes", answered, "yes", "yes"]);
    // Fed from the mains, without a backup; the strike stays locked, the handle inside always opens.
    assert_eq!(row("power"), ["no", "no", "no", answered, "no", "yes"]);
    assert_eq!(row("router"), ["yes", "late", "no", answered, "no", "yes"]);
    // The page on the wall needs no internet.
    assert_eq!(row("internet"), row("nothing"));
    assert_eq!(row("lens"), ["yes", "yes", "no", answered, "yes", "yes"]);
    assert!(rows.iter().all(|row| row.fails != "cells"));
    let safe = |lock: &str| {
        let plan = plan(
            &PLANS[2].1.replace("kind = \"strike-dc\"", lock).replace("fail = \"secure\"", "fail = \"safe\""),
        );
        series::what_still_works(&plan)
            .unwrap()
            .into_iter()
            .find(|row| row.fails == "power")
            .unwrap()
            .released
    };
    assert_eq!(safe("kind = \"strike-dc\""), "open");
    // Cells go on in a power cut, but nobody hears them without the router.
    let store = series::what_still_works(&shipped("store")).unwrap();
    let power = store.iter().find(|row| row.fails == "power").unwrap();
    assert_eq!((power.felt, power.known, power.released), ("yes", "late", "none"));
    for row in draw::works::text(&store).lines() {
        let plain: String = row
            .split('\u{1b}')
            .enumerate()
            .map(|(at, part)| if at == 0 { part } else { part.split_once('m').unwrap().1 })
            .collect();
        assert!(plain.chars().count() <= 80, "{plain}");
    }
}

/// Whatever the field table allows: no panic, no number that is none, no text off its page or on another.
#[test]
fn invented_plans_are_drawn_or_say_why() {
    let mut made = 0;
    for seed in 0..40 {
        let plan = plan(&sample::plan(seed));
        let a = assess(&plan, Options { draws: if seed % 8 == 0 { 64 } else { 0 }, seed: 1 });
        for drawing in drawings::all(&plan, &a) {
            match drawing.svg {
                Ok(svg) => {
                    made += 1;
                    sound(&svg, &format!("seed {seed}, {}", drawing.name));
                }
                Err(why) => assert!(!why.is_empty()),
            }
        }
    }
    assert!(made > 120, "{made}");
}
