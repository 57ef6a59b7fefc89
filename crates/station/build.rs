//! Makes the index of the sheets that ship: `(kind, name, text)` from `sheets/KIND/NAME.toml`, so that only the
//! sheets that a plan names are ever parsed.

use std::fmt::Write as _;
use std::path::Path;

fn main() {
    let root = Path::new(&std::env::var("CARGO_MANIFEST_DIR").expect("cargo sets it")).join("../../sheets");
    println!("cargo::rerun-if-changed={}", root.display());
    let mut out = String::from(
        "/// Sheets compiled in: kind, name, text.\npub(crate) static SHIPPED: &[(&str, &str, &str)] = &[\n",
    );
    for kind in sorted(&root) {
        println!("cargo::rerun-if-changed={}", kind.display());
        if !kind.is_dir() {
            continue;
        }
        for sheet in sorted(&kind) {
            let (Some(kind_name), Some(name)) = (kind.file_name(), sheet.file_stem()) else { continue };
            if sheet.extension().is_some_and(|extension| extension == "toml") {
                println!("cargo::rerun-if-changed={}", sheet.display());
                let (kind_name, name) = (kind_name.to_string_lossy(), name.to_string_lossy());
                writeln!(
                    out,
                    "    ({kind_name:?}, {name:?}, include_str!({:?})),",
                    sheet.display().to_string()
                )
                .expect("a String takes all");
            }
        }
    }
    out.push_str("];\n");
    let target = Path::new(&std::env::var("OUT_DIR").expect("cargo sets it")).join("shipped.rs");
    std::fs::write(target, out).expect("cargo's own folder can be written");
}

fn sorted(folder: &Path) -> Vec<std::path::PathBuf> {
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let mut paths: Vec<_> = entries.flatten().map(|entry| entry.path()).collect();
    paths.sort();
    paths
}
