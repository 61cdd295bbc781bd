//! The floors of `src/` stand in the order of `src/lib.rs`, and imports run downward only.

use std::fs;
use std::path::{Path, PathBuf};

/// What outputs may build on, besides the floors of values and findings: a plan, and nothing of the recipe.
const BELOW_OUTPUTS: &[&str] = &[
    "units",
    "source",
    "diagnostics",
    "cache",
    "schema",
    "shop",
    "safety",
    "shaping",
    "geometry",
    "raster",
    "plan",
    "outputs",
];

/// The floors that may touch the disk and the clock.
const OUTSIDE_WORLD: &[&str] = &["source", "driver", "cli"];

/// A length of time needs no clock.
const NO_CLOCK: &str = "std::time::Duration";

/// One file of `src/`: its floor, and its code without comments, texts and tests.
struct Source {
    path: PathBuf,
    floor: String,
    code: String,
}

fn sources() -> Vec<Source> {
    let mut waiting = vec![PathBuf::from("src")];
    let mut all = Vec::new();
    while let Some(path) = waiting.pop() {
        if path.is_dir() {
            waiting.extend(fs::read_dir(&path).unwrap().map(|e| e.unwrap().path()));
        } else if path.extension().is_some_and(|e| e == "rs") {
            let first = path.strip_prefix("src").unwrap().components().next().unwrap();
            let floor = Path::new(first.as_os_str()).with_extension("").to_string_lossy().into_owned();
            let code = code_of(&fs::read_to_string(&path).unwrap());
            all.push(Source { path, floor, code });
        }
    }
    all.sort_by(|a, b| a.path.cmp(&b.path));
    all
}

/// The code without comments, and without everything from `#[cfg(test)]` on, which ends every file that has it.
fn code_of(text: &str) -> String {
    let code = text.split("#[cfg(test)]").next().unwrap();
    code.lines().map(|line| line.split("//").next().unwrap()).collect::<Vec<_>>().join("\n")
}

/// The floors, ground first.
fn floors() -> Vec<String> {
    let lib = fs::read_to_string("src/lib.rs").unwrap();
    lib.lines().filter_map(|l| Some(l.strip_prefix("pub mod ")?.trim_end_matches(';').to_owned())).collect()
}

/// The floors that a code names: `crate::floor`, alone or in braces.
fn named(code: &str) -> Vec<String> {
    let mut names = Vec::new();
    for (at, found) in code.match_indices("crate::") {
        let rest = &code[at + found.len()..];
        let list = match rest.strip_prefix('{') {
            Some(list) => top_level(list),
            None => vec![word(rest)],
        };
        names.extend(list.into_iter().filter(|n| !n.is_empty()));
    }
    names.sort();
    names.dedup();
    names
}

fn word(text: &str) -> String {
    text.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect()
}

/// The first words of a list in braces, up to the brace that closes it.
fn top_level(list: &str) -> Vec<String> {
    let mut names = vec![word(list.trim_start())];
    let mut depth = 0;
    for (at, c) in list.char_indices() {
        match c {
            '{' => depth += 1,
            '}' if depth == 0 => break,
            '}' => depth -= 1,
            ',' if depth == 0 => names.push(word(list[at + 1..].trim_start())),
            _ => {}
        }
    }
    names
}

#[test]
fn imports_run_downward() {
    let floors = floors();
    let height = |name: &str| floors.iter().position(|f| f == name);
    assert!(floors.len() > 15, "{floors:?}");
    let mut wrong = Vec::new();
    for source in sources() {
        let Some(own) = height(&source.floor) else { continue };
        for name in named(&source.code) {
            // What is no floor is an item of the crate root, of which there are none to import.
            let other = height(&name).unwrap_or_else(|| panic!("{}: `crate::{name}`", source.path.display()));
            if other > own {
                wrong.push(format!("{} imports `{name}`, which stands higher", source.path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn outputs_know_the_plan_and_nothing_of_the_recipe() {
    for source in sources().iter().filter(|s| s.floor == "outputs") {
        for name in named(&source.code) {
            assert!(BELOW_OUTPUTS.contains(&name.as_str()), "{} imports `{name}`", source.path.display());
        }
    }
}

#[test]
fn only_the_edge_touches_disk_and_clock() {
    let mut wrong = Vec::new();
    for source in sources().iter().filter(|s| !OUTSIDE_WORLD.contains(&s.floor.as_str())) {
        let code = source.code.replace(NO_CLOCK, "");
        for word in ["std::fs", "std::time", "std::env", "std::net", "std::process", "SystemTime", "Instant::"] {
            if code.contains(word) && source.floor != "main" {
                wrong.push(format!("{} names `{word}`", source.path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn the_reading_of_imports_sees_them_all() {
    let code = "use crate::{checks, plan::{Plan, Run}, shop};\nuse crate::units::Mm;\nlet a = crate::schema::b();";
    assert_eq!(named(code), ["checks", "plan", "schema", "shop", "units"]);
    assert_eq!(code_of("use crate::a; // crate::b\n#[cfg(test)]\nuse crate::c;"), "use crate::a; ");
}
