//! `cargo xtask tidy`: the house rules that no compiler checks, as a program.
//!
//! Each rule is here because breaking it once costs more than obeying it always: arrows between crates that turn round,
//! a pure crate that reads a clock, a file nobody compiles. It reads text, not syntax; where a rule stands in the way of
//! better code, change the rule here and say why in the commit.

use crate::steps::root;
use anyhow::{Context, Result, bail};
use std::fs;
use std::path::{Path, PathBuf};

/// Who may know whom: every crate with the house crates that its `[dependencies]` may name.
///
/// A new edge is weighed like a new public item: write it here, and the reason in the commit.
const ARROWS: &[(&str, &[&str])] = &[
    ("quantity", &[]),
    ("detector", &[]),
    ("link", &[]),
    ("pintable", &[]),
    ("models", &["quantity"]),
    ("tune", &["quantity", "detector", "models"]),
    ("station", &["quantity", "models"]),
    ("budgets", &["quantity", "models", "station"]),
    // Not budgets, and never the crate that tunes: its truth must not come from what is proved by it.
    ("twin", &["quantity", "models", "station"]),
    ("export", &["quantity", "detector", "link", "pintable", "station", "budgets"]),
    ("draw", &["quantity", "models", "tune", "station", "budgets", "export"]),
    (
        "cli",
        &["quantity", "models", "link", "tune", "pintable", "station", "budgets", "export", "draw", "twin"],
    ),
];

/// Crates whose result depends on their arguments alone, and what may therefore not occur in their code.
const PURE: &[&str] =
    &["quantity", "detector", "link", "pintable", "models", "budgets", "export", "draw", "tune", "twin"];
const IMPURE: &[(&str, &str)] = &[
    ("std::fs", "take the text as an argument; the caller reads files"),
    ("std::net", "nothing here talks to anybody"),
    ("std::env", "take the setting as an argument"),
    ("std::process", "nothing here starts programs"),
    ("std::time", "take `now` as an argument; times are seconds in f64"),
    ("println!", "return the text; the command prints it"),
    ("print!(", "return the text; the command prints it"),
];

/// Crates that read what others wrote, where a panic would be the reader's fault.
const READERS: &[&str] = &["quantity", "link", "pintable", "tune", "station", "export", "cli"];

/// Left behind by accident, anywhere. Written in two halves so that this file passes.
const LEFTOVERS: &[(&str, &str)] = &[
    (concat!("TO", "DO"), "finish it, or open an issue"),
    (concat!("FIX", "ME"), "finish it, or open an issue"),
    (concat!("dbg", "!("), "remove it"),
    (concat!("todo", "!("), "finish it"),
    (concat!("unimplemented", "!("), "finish it"),
    (concat!("with_cases", "(64)"), "drop it: .cargo/config.toml sets 64, and soak must be able to raise it"),
];

/// File names that say nothing of what is inside.
const NAMELESS: &[&str] = &["util", "utils", "common", "helpers", "misc"];

/// Looks at the whole repository and prints each breach as `path:line: what, and what to do`.
///
/// # Errors
///
/// When a rule is broken (the message counts) or a file cannot be read.
pub(crate) fn run() -> Result<()> {
    let root = root();
    let mut breaches = Vec::new();
    for file in rust_files(&root)? {
        let text = fs::read_to_string(&file).with_context(|| file.display().to_string())?;
        let path = file.strip_prefix(&root).unwrap_or(&file);
        breaches.extend(in_source(path, &text));
    }
    for manifest in manifests(&root)? {
        let text = fs::read_to_string(&manifest).with_context(|| manifest.display().to_string())?;
        breaches.extend(in_manifest(manifest.strip_prefix(&root).unwrap_or(&manifest), &text));
    }
    breaches.extend(unnamed_test_files(&root)?);
    breaches.extend(unlisted_checks(&root)?);
    breaches.extend(dead_links(&root)?);
    breaches.sort();
    for breach in &breaches {
        println!("{breach}");
    }
    match breaches.len() {
        0 => Ok(()),
        count => bail!("{count} places break a house rule (each is explained in xtask/src/tidy.rs)"),
    }
}

/// Breaches in one Rust file.
fn in_source(path: &Path, text: &str) -> Vec<String> {
    let mut breaches = Vec::new();
    let mut breach = |line: usize, what: String| breaches.push(format!("{}:{line}: {what}", path.display()));
    if !text.starts_with("//!") {
        breach(1, "begin with `//!`: what this file is for and what it does not know".into());
    }
    if path.file_stem().is_some_and(|stem| NAMELESS.iter().any(|name| stem == *name)) {
        breach(1, "name the file after what is in it, or put its items with the types they serve".into());
    }
    let product = in_product(path);
    let krate = product.then(|| crate_of(path)).flatten();
    for (number, line) in text.lines().enumerate().map(|(index, line)| (index + 1, line.trim_start())) {
        for (word, remedy) in LEFTOVERS {
            if line.contains(word) {
                breach(number, format!("`{word}`: {remedy}"));
            }
        }
    }
    let Some(krate) = krate else { return breaches };
    for (number, line) in product_lines(text) {
        if PURE.contains(&krate) {
            for (word, remedy) in IMPURE {
                if line.contains(word) {
                    breach(number, format!("`{word}` in the pure crate {krate}: {remedy}"));
                }
            }
        }
        if READERS.contains(&krate) && line.contains(".unwrap()") {
            breach(
                number,
                "`.unwrap()` where input is read: return an error, or `expect(\"why this holds\")`".into(),
            );
        }
    }
    breaches
}

/// The lines of code that ship: before the first test module, without comments.
fn product_lines(text: &str) -> impl Iterator<Item = (usize, &str)> {
    text.lines()
        .enumerate()
        .take_while(|(_, line)| !line.starts_with("#[cfg(test)]"))
        .map(|(index, line)| (index + 1, line.trim_start()))
        .filter(|(_, line)| !line.starts_with("//"))
}

/// `crates/NAME/src/…`, except files that hold tests only.
fn in_product(path: &Path) -> bool {
    let parts: Vec<_> = path.components().map(|part| part.as_os_str().to_string_lossy()).collect();
    parts.first().is_some_and(|part| part == "crates")
        && parts.get(2).is_some_and(|part| part == "src")
        && !parts.iter().any(|part| part == "tests" || part == "tests.rs")
}

/// The folder name of a crate, as in [`ARROWS`].
fn crate_of(path: &Path) -> Option<&str> {
    path.components().nth(1)?.as_os_str().to_str()
}

/// Breaches in one `crates/*/Cargo.toml`: edges that [`ARROWS`] does not have.
fn in_manifest(path: &Path, text: &str) -> Vec<String> {
    let krate = crate_of(path).unwrap_or_default();
    let Some((_, allowed)) = ARROWS.iter().find(|(name, _)| *name == krate) else {
        return vec![format!("{}:1: give the crate its place in ARROWS", path.display())];
    };
    let mut section = "";
    let mut breaches = Vec::new();
    for (index, line) in text.lines().map(str::trim).enumerate() {
        if line.starts_with('[') {
            section = line;
        } else if section == "[dependencies]" {
            let name = line.split(['.', ' ', '=']).next().unwrap_or_default();
            if ARROWS.iter().any(|(house, _)| *house == name) && !allowed.contains(&name) {
                breaches.push(format!("{}:{}: {krate} may not know {name}", path.display(), index + 1));
            }
        }
    }
    breaches
}

/// Test files that no `mod` line names: they look like tests and never run.
///
/// Also refuses a second test binary in a crate, since each one links everything again.
fn unnamed_test_files(root: &Path) -> Result<Vec<String>> {
    let mut breaches = Vec::new();
    for manifest in manifests(root)?.into_iter().chain([root.join("checks/Cargo.toml")]) {
        let tests = manifest.with_file_name("tests");
        let main = fs::read_to_string(tests.join("it/main.rs")).unwrap_or_default();
        for file in files_below(&tests.join("it"), "rs")? {
            let stem = file.file_stem().unwrap_or_default().to_string_lossy();
            let direct = file.parent().is_some_and(|parent| parent.ends_with("tests/it"));
            if direct && stem != "main" && !main.lines().any(|line| line.trim() == format!("mod {stem};")) {
                breaches.push(format!("{}:1: `mod {stem};` is missing in main.rs", shown(root, &file)));
            }
        }
        for entry in fs::read_dir(&tests).into_iter().flatten().flatten() {
            if entry.path().extension().is_some_and(|extension| extension == "rs") {
                breaches.push(format!(
                    "{}:1: move it to tests/it/, one test binary a crate",
                    shown(root, &entry.path())
                ));
            }
        }
    }
    Ok(breaches)
}

/// Checks that the table of `checks/README.md` does not list: nobody would know what they compare, and with what.
fn unlisted_checks(root: &Path) -> Result<Vec<String>> {
    let table = fs::read_to_string(root.join("checks/README.md")).unwrap_or_default();
    let files = files_below(&root.join("checks/tests/it"), "rs")?;
    let unlisted = files.iter().filter(|file| {
        let name = file.file_name().unwrap_or_default().to_string_lossy();
        name != "main.rs" && !table.contains(&format!("(tests/it/{name})"))
    });
    Ok(unlisted
        .map(|file| format!("{}:1: add it to the table of checks/README.md", shown(root, file)))
        .collect())
}

/// Links from the pages at the top, in `docs/` and in the crates around, to files that are not there.
fn dead_links(root: &Path) -> Result<Vec<String>> {
    let mut pages = Vec::new();
    for entry in fs::read_dir(root)?.flatten() {
        let path = entry.path();
        if path.extension().is_some_and(|extension| extension == "md") {
            pages.push(path);
        } else if matches!(
            path.file_name().and_then(|name| name.to_str()),
            Some("docs" | "checks" | "bench" | "fuzz" | "crates")
        ) {
            pages.extend(files_below(&path, "md")?);
        }
    }
    let mut breaches = Vec::new();
    for page in pages {
        let text = fs::read_to_string(&page).with_context(|| page.display().to_string())?;
        for (index, line) in text.lines().enumerate() {
            for link in line.split("](").skip(1).filter_map(|rest| rest.split([')', '#']).next()) {
                let outside = link.contains("://") || link.starts_with("mailto:") || link.is_empty();
                if !outside && !page.with_file_name(link).exists() {
                    breaches.push(format!("{}:{}: no file `{link}`", shown(root, &page), index + 1));
                }
            }
        }
    }
    Ok(breaches)
}

fn shown(root: &Path, path: &Path) -> String {
    path.strip_prefix(root).unwrap_or(path).display().to_string()
}

fn manifests(root: &Path) -> Result<Vec<PathBuf>> {
    let crates = root.join("crates");
    let entries = fs::read_dir(&crates).with_context(|| crates.display().to_string())?;
    Ok(entries.flatten().map(|entry| entry.path().join("Cargo.toml")).filter(|path| path.exists()).collect())
}

fn rust_files(root: &Path) -> Result<Vec<PathBuf>> {
    let mut files = Vec::new();
    for top in ["crates", "checks", "bench", "fuzz", "xtask"] {
        files.extend(files_below(&root.join(top), "rs")?);
    }
    Ok(files)
}

/// Files with an extension below a folder, build folders left out; none where the folder is missing.
fn files_below(folder: &Path, extension: &str) -> Result<Vec<PathBuf>> {
    let mut files = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(folder) = folders.pop() {
        if !folder.is_dir() || folder.ends_with("target") {
            continue;
        }
        for entry in fs::read_dir(&folder).with_context(|| folder.display().to_string())? {
            let path = entry?.path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|found| found == extension) {
                files.push(path);
            }
        }
    }
    Ok(files)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn breaches(path: &str, text: &str) -> usize {
        in_source(Path::new(path), text).len()
    }

    #[test]
    fn a_pure_crate_may_not_read_a_clock_except_in_tests_and_comments() {
        let clock = "let now = std::time::Instant::now();";
        assert_eq!(breaches("crates/models/src/cable.rs", &format!("//! x\n{clock}\n")), 1);
        assert_eq!(breaches("crates/cli/src/main.rs", &format!("//! x\n{clock}\n")), 0);
        assert_eq!(breaches("crates/models/src/cable.rs", &format!("//! x\n// {clock}\n")), 0);
        assert_eq!(
            breaches("crates/models/src/cable.rs", &format!("//! x\n#[cfg(test)]\nmod t {{\n{clock}\n}}")),
            0
        );
        assert_eq!(breaches("crates/models/tests/it/cable.rs", &format!("//! x\n{clock}\n")), 0);
    }

    #[test]
    fn a_file_without_a_purpose_or_with_a_nameless_name_is_a_breach() {
        assert_eq!(breaches("crates/models/src/cable.rs", "pub mod x;"), 1);
        assert_eq!(breaches("crates/models/src/util.rs", "//! x"), 1);
    }

    #[test]
    fn an_arrow_that_turns_round_is_a_breach_and_a_test_dependency_is_none() {
        let manifest = |section| format!("[{section}]\nstation.workspace = true\nserde = \"1\"\n");
        let path = Path::new("crates/models/Cargo.toml");
        assert_eq!(in_manifest(path, &manifest("dependencies")).len(), 1);
        assert_eq!(in_manifest(path, &manifest("dev-dependencies")).len(), 0);
        assert_eq!(in_manifest(Path::new("crates/budgets/Cargo.toml"), &manifest("dependencies")).len(), 0);
    }

    #[test]
    fn arrows_cannot_form_a_circle() {
        // Each crate may know only crates that stand before it in the list.
        for (index, (_, known)) in ARROWS.iter().enumerate() {
            assert!(known.iter().all(|name| ARROWS[..index].iter().any(|(before, _)| before == name)));
        }
    }
}
