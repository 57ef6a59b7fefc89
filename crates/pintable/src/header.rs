//! C headers: `#define NAME VALUE` under conditions, and whatever assignments stand between them.
//!
//! A branch of `#if/#ifdef/#elif/#else` is a section named by its condition; include guards and `#if 1` are none,
//! `#if 0` is dropped. Values may name earlier defines of the same branch or of one around it.

use std::collections::HashMap;

use crate::comments;
use crate::gather::{Gathered, ROOT};
use crate::loose;
use crate::pin::{self, NotAPin, Stands};
use crate::problem::Problem;
use crate::reading::Why;
use crate::signal;

const REFERENCES_MAX: usize = 8;
const NESTING_MAX: usize = 64;

/// One open condition.
struct Branch {
    /// Where the text around it belongs.
    outside: usize,
    section: usize,
    dead: bool,
    conditions: Vec<String>,
}

struct Define<'t> {
    name: &'t str,
    value: &'t str,
    at: usize,
    section: usize,
}

pub(crate) fn gather(text: &str, found: &mut Gathered<'_>) {
    found.inherits = true;
    let clean = comments::blank_c(text);
    let mut defines: Vec<Define<'_>> = Vec::new();
    let mut branches: Vec<Branch> = Vec::new();
    let mut rest = clean.as_bytes().to_vec();
    let mut sections = vec![(0, ROOT)];
    let mut at = 0;
    let lines: Vec<&str> = clean.split_inclusive('\n').collect();
    for (index, line) in lines.iter().enumerate() {
        let dead = branches.iter().any(|b| b.dead);
        let directive = line.trim_start().strip_prefix('#').map(str::trim);
        if directive.is_some() || dead {
            blank_line(&mut rest[at..at + line.len()]);
        }
        if let Some(directive) = directive {
            let section = branches.last().map_or(ROOT, |b| b.section);
            let (word, operand) = directive.split_once([' ', '\t', '(', '!']).unwrap_or((directive, ""));
            let operand =
                if word == "if" || word == "elif" { directive[word.len()..].trim() } else { operand.trim() };
            match word {
                "if" | "ifdef" | "ifndef" => {
                    if branches.len() >= NESTING_MAX {
                        found.problems.push(Problem::TooDeep { line: index + 1 });
                        break;
                    }
                    let condition = condition(word, operand);
                    let guard = word == "ifndef"
                        && lines[index + 1..].iter().take(4).any(|l| defines_name(l, operand));
                    let transparent = guard || condition == "1" || condition == "true";
                    let inner = if transparent { section } else { found.section(&condition, section, at) };
                    branches.push(Branch {
                        outside: section,
                        section: inner,
                        dead: condition == "0",
                        conditions: vec![condition],
                    });
                }
                "elif" | "else" => {
                    if let Some(branch) = branches.last_mut() {
                        let condition = if word == "elif" {
                            condition("if", operand)
                        } else {
                            negated(&branch.conditions)
                        };
                        branch.dead = condition == "0" || branch.conditions.iter().any(|c| c == "1");
                        let always = word == "else" && branch.conditions.iter().all(|c| c == "0");
                        branch.section = if always {
                            branch.outside
                        } else {
                            found.section(&condition, branch.outside, at)
                        };
                        branch.conditions.push(condition);
                    }
                }
                "endif" => {
                    branches.pop();
                }
                "define" if !dead => {
                    let end = operand
                        .find(|c: char| !(c.is_ascii_alphanumeric() || c == '_'))
                        .unwrap_or(operand.len());
                    let (name, value) = operand.split_at(end);
                    let takes_arguments = value.starts_with('(');
                    let value = value.trim();
                    if !name.is_empty() && !value.is_empty() && !takes_arguments {
                        // `value` ends where the trimmed line ends, which gives its place without a search.
                        let value_at = at + line.trim_end().len() - value.len();
                        defines.push(Define { name, value, at: value_at, section });
                    } else if takes_arguments && found.named(name).is_some() {
                        found.skip(at, Why::NotResolved(crate::place::clip(value)));
                    }
                }
                _ => {}
            }
        }
        at += line.len();
        sections.push((at, branches.last().map_or(ROOT, |b| b.section)));
    }
    judge(&defines, found);
    let rest = String::from_utf8(rest).unwrap_or_default();
    let section_at = |byte: usize| {
        let index = sections.partition_point(|(start, _)| *start <= byte);
        sections[index - 1].1
    };
    loose::scan(&rest, found, &section_at);
    found.pairs.sort_by_key(|p| p.at.start);
}

fn judge(defines: &[Define<'_>], found: &mut Gathered<'_>) {
    let known: HashMap<(&str, usize), &str> =
        defines.iter().map(|d| ((d.name, d.section), d.value)).collect();
    let mut referred: Vec<&str> = Vec::new();
    let mut unknown = Vec::new();
    for define in defines {
        let mut value = define.value;
        for _ in 0..REFERENCES_MAX {
            let name = value.trim_matches(['(', ')', ' ', '\t']);
            let path = found.path(define.section);
            let mut around = path.iter().rev().chain(std::iter::once(&ROOT));
            let Some(next) = around.find_map(|s| known.get(&(name, *s))) else { break };
            referred.push(name);
            value = next;
        }
        let parsed = if is_octal(value) {
            Err(NotAPin::NoNumber(crate::place::clip(value)))
        } else {
            pin::parse(value, Stands::Anywhere)
        };
        let at = define.at..define.at + define.value.len();
        let named = found.named(define.name);
        if let Some(order) = loose::list_order(named.as_ref()) {
            let items = loose::list_in(define.value, define.at);
            if items.is_empty() {
                found.skip(at.start, Why::ListOfOne);
            } else {
                found.lists.push(crate::gather::List {
                    name: define.name.into(),
                    order,
                    items,
                    section: define.section,
                });
            }
        } else if named.is_some()
            || pin::names_itself(value)
            || (signal::says_pin(define.name) && parsed.is_ok())
        {
            match &parsed {
                Err(NotAPin::NoNumber(text)) if named.is_some() && is_name(text) => {
                    found.skip(at.start, Why::NotResolved(text.clone()));
                }
                _ => found.judge(define.name, parsed, at, true, define.section),
            }
        } else {
            unknown.push((define, parsed));
        }
    }
    // A define that others refer to has done its work.
    referred.sort_unstable();
    for (define, parsed) in unknown.into_iter().filter(|(d, _)| referred.binary_search(&d.name).is_err()) {
        let why = match parsed {
            Ok(_) | Err(NotAPin::OutOfRange(_)) => Why::UnknownName(crate::place::clip(define.name)),
            Err(why) => Why::Value(why),
        };
        found.skip(define.at, why);
    }
}

/// A leading zero makes a C number octal: 010 is eight, which nobody who writes pins means.
fn is_octal(value: &str) -> bool {
    let digits = value.trim_matches(['(', ')', ' ']);
    digits.len() > 2 && digits.starts_with('0') && digits.bytes().all(|b| b.is_ascii_digit())
}

fn is_name(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_alphabetic() || c == '_')
        && text.chars().all(|c| c.is_ascii_alphanumeric() || c == '_')
}

fn condition(word: &str, operand: &str) -> String {
    let operand: String = operand.split_whitespace().collect::<Vec<_>>().join(" ");
    match word {
        "ifndef" => format!("not {operand}"),
        "ifdef" => operand,
        _ => {
            let bare = operand
                .strip_prefix('(')
                .and_then(|o| o.strip_suffix(')'))
                .filter(|o| !o.contains('('))
                .unwrap_or(&operand);
            let inside = bare.strip_prefix("defined").map(|o| o.trim_matches(['(', ')', ' ']));
            inside.filter(|i| is_name(i)).unwrap_or(bare.trim()).to_string()
        }
    }
}

fn negated(conditions: &[String]) -> String {
    let conditions: Vec<&String> = conditions.iter().filter(|c| *c != "0").collect();
    match &conditions[..] {
        [only] => only.strip_prefix("not ").map_or_else(|| format!("not {only}"), ToString::to_string),
        all => {
            let all: Vec<&str> = all.iter().map(|c| c.as_str()).collect();
            format!("none of {}", all.join(", "))
        }
    }
}

fn defines_name(line: &str, name: &str) -> bool {
    let rest =
        line.trim_start().strip_prefix('#').map(str::trim_start).and_then(|l| l.strip_prefix("define"));
    !name.is_empty() && rest.is_some_and(|r| r.split_whitespace().next() == Some(name))
}

fn blank_line(bytes: &mut [u8]) {
    for byte in bytes.iter_mut().filter(|b| **b != b'\n') {
        *byte = b' ';
    }
}
