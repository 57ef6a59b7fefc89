//! All drawings of a plan, in their order, and the page that holds them.
//!
//! A drawing of which the plan tells nothing is not made; it says why. Nothing here writes a file.

use crate::sheet::Todo;
use crate::{
    board, cells, circuit, door, feed, ground, heat, light, margins, radio, sheet, template, timing, works,
};
use budgets::assessment::Assessment;
use budgets::series::Why;
use budgets::wiring::WiringList;
use station::plan::Plan;
use std::fmt::Write as _;

/// The drawing that holds at true size alone: a page of several would shrink it.
const TEMPLATE: &str = "template";

/// One drawing, or why there is none.
#[derive(Clone, Debug)]
pub struct Drawing {
    /// What stands before its file's name, so that files lie in their order.
    pub number: u8,
    /// Its name: one word.
    pub name: &'static str,
    /// What it shows, for the page's list.
    pub title: &'static str,
    /// The drawing, or a sentence.
    pub svg: Result<String, Why>,
}

impl Drawing {
    /// `01-margins.svg`.
    pub fn file(&self) -> String {
        format!("{:02}-{}.svg", self.number, self.name)
    }
}

/// All drawings, those that are missing too.
pub fn all(plan: &Plan, a: &Assessment) -> Vec<Drawing> {
    let not_yet = sheet::not_yet(a);
    let wiring = || {
        let list = WiringList::of(plan);
        match plan.parts.board.as_ref() {
            Some(parts) => Ok(board::svg(&list, Some(parts), &not_yet)),
            None => Err("the plan does not name a board ([board] sheet)"),
        }
    };
    // Whether there is something to do about what a drawing shows, by its own figures: a budget has others too.
    let short = |names: [&str; 2]| {
        let figures = names.into_iter().filter_map(|name| sheet::figure(a, name)?.verdict);
        figures.into_iter().any(|verdict| matches!(verdict, "over" | "tight"))
    };
    let (faces, others) = (
        if short(["whole_face_share", "class_share"]) { Todo::Open } else { Todo::Done },
        if short(["beyond_share", "faces_beyond"]) { Todo::Open } else { Todo::Done },
    );
    // Numbers stay, whatever comes later.
    vec![
        Drawing { number: 1, name: "margins", title: "Room of every figure", svg: Ok(margins::svg(plan, a)) },
        Drawing { number: 2, name: "door", title: "The door from the side", svg: door::svg(plan, faces) },
        Drawing { number: 3, name: "ground", title: "The ground from above", svg: ground::svg(plan, others) },
        Drawing { number: 4, name: "wiring", title: "Wiring of the board", svg: wiring() },
        Drawing { number: 5, name: "light", title: "Light by day and hour", svg: light::svg(plan, a) },
        Drawing { number: 6, name: "radio", title: "Level of the radio", svg: radio::svg(plan, a) },
        Drawing { number: 7, name: "cells", title: "Charge of the cells", svg: cells::svg(plan, a) },
        Drawing { number: 8, name: "feed", title: "Volts along the feed", svg: feed::svg(plan, a) },
        Drawing { number: 9, name: "heat", title: "Heat on the hottest day", svg: heat::svg(plan, a) },
        Drawing { number: 10, name: "timing", title: "From press to picture", svg: timing::svg(plan, a) },
        Drawing { number: 11, name: "works", title: "What still works", svg: works::svg(plan, a) },
        Drawing {
            number: 12,
            name: TEMPLATE,
            title: "Template to drill by",
            svg: template::svg(plan, &not_yet),
        },
        Drawing {
            number: 13,
            name: "circuits",
            title: "How feed, parts and lock are joined",
            svg: circuit::svg(plan, &WiringList::of(plan), &not_yet),
        },
    ]
}

/// One page without scripts that shows the drawings that there are, each on a sheet of A4.
pub fn index(plan: &Plan, a: &Assessment, drawings: &[Drawing]) -> String {
    let name = if plan.name.is_empty() { &plan.source.name } else { &plan.name };
    let name = crate::svg::escaped(name);
    // Sheets have margins of their own: the page adds none, so that those to scale stay so.
    let mut page = format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width\">\n<title>Drawings of {name}</title>\n<style>\n\
         @page {{ size: A4; margin: 0 }}\n\
         body {{ margin: 0 auto; max-width: 210mm; background: #F5EEDF; color: #231F1A; font: 15px/1.5 'Noto Sans', 'DejaVu Sans', Verdana, sans-serif }}\n\
         h1 {{ font-size: 22px; margin: 0 30px 8px; padding-top: 24px }}\n\
         ol, p {{ margin: 8px 30px; padding: 0; list-style-position: inside }}\n\
         a {{ color: inherit }}\n\
         figure {{ margin: 0 }}\n\
         img {{ display: block; width: 100%; height: auto }}\n\
         @media print {{ body {{ background: #fff }} figure {{ break-before: page; break-inside: avoid }} \
         img {{ width: auto; max-width: 100%; max-height: 296mm; margin: 0 auto }} }}\n\
         </style>\n</head>\n<body>\n<h1>{name}</h1>\n"
    );
    let not_yet = sheet::not_yet(a);
    if !not_yet.is_empty() {
        let _ = writeln!(page, "<p><b>{not_yet}</b></p>");
    }
    page.push_str("<ol>\n");
    for drawing in drawings {
        let Drawing { number, name, title, .. } = drawing;
        let _ = match &drawing.svg {
            Ok(_) if *name == TEMPLATE => {
                let file = drawing.file();
                writeln!(
                    page,
                    "<li value=\"{number}\"><a href=\"{file}\">{title}</a>, to be printed from its own file at 100 %</li>"
                )
            }
            Ok(_) => writeln!(page, "<li value=\"{number}\"><a href=\"#{name}\">{title}</a></li>"),
            Err(why) => {
                writeln!(page, "<li value=\"{number}\">No {name}: {}</li>", crate::svg::escaped(why))
            }
        };
    }
    page.push_str("</ol>\n");
    let there = || drawings.iter().filter_map(|drawing| Some((drawing, drawing.svg.as_deref().ok()?)));
    let scaled: Vec<String> =
        there().filter_map(|(drawing, svg)| Some(format!("{} ({})", drawing.name, scale(svg)?))).collect();
    if !scaled.is_empty() {
        let _ = writeln!(
            page,
            "<p>Scales are true only in a print at 100 %, without \"fit to page\": {}.</p>",
            scaled.join(", ")
        );
    }
    for (drawing, svg) in there().filter(|(drawing, _)| drawing.name != TEMPLATE) {
        let _ = writeln!(
            page,
            "<figure id=\"{}\"><img src=\"{}\" alt=\"{}: {}\"></figure>",
            drawing.name,
            drawing.file(),
            drawing.title,
            described(svg)
        );
    }
    page.push_str("</body>\n</html>\n");
    page
}

/// The scale in a drawing's title block; `None` for one without.
fn scale(svg: &str) -> Option<&str> {
    let at = svg.rfind(">1:")?;
    svg[at + 1..].split('<').next()
}

/// What the drawing says of itself, marks escaped already.
fn described(svg: &str) -> &str {
    let after = svg.split_once("<desc id=\"desc\">").map_or("", |(_, after)| after);
    after.split_once("</desc>").map_or("", |(desc, _)| desc)
}
