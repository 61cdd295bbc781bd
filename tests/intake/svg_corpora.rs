//! Real drawings, where they have been fetched: none may make the reader fail, and each gives a drawing or an error.

use super::svg::read;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::time::Instant;

/// Files looked at in each folder; all with `KERFBOOK_CORPORA_ALL`.
const SAMPLE: usize = 40;

fn drawings(folder: &Path, found: &mut Vec<PathBuf>) {
    let Ok(listing) = std::fs::read_dir(folder) else { return };
    let mut entries: Vec<PathBuf> = listing.filter_map(|e| Some(e.ok()?.path())).collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            drawings(&path, found);
        } else if path.extension().is_some_and(|e| e == "svg" || e == "svgz") {
            found.push(path);
        }
    }
}

#[test]
fn real_drawings_come_through() {
    let Some(root) = std::env::var_os("KERFBOOK_CORPORA").map(PathBuf::from) else {
        println!("skipped: set not fetched");
        return;
    };
    let all = std::env::var_os("KERFBOOK_CORPORA_ALL").is_some();
    let mut folders: Vec<PathBuf> =
        std::fs::read_dir(root.join("svg")).unwrap().map(|e| e.unwrap().path()).collect();
    folders.sort();
    for folder in folders {
        let mut files = Vec::new();
        drawings(&folder, &mut files);
        let step = if all { 1 } else { files.len().div_ceil(SAMPLE).max(1) };
        let (mut drawn, mut refused, mut slowest) = (0, 0, (0.0, PathBuf::new()));
        let mut rules: BTreeMap<String, usize> = BTreeMap::new();
        for file in files.iter().step_by(step) {
            let start = Instant::now();
            let (artwork, said) = read(&std::fs::read(file).unwrap(), &[], &[]);
            let took = start.elapsed().as_secs_f64();
            if took > slowest.0 {
                slowest = (took, file.clone());
            }
            for line in &said {
                assert!(!line.contains("artwork/reader-failed"), "{}: {line}", file.display());
                *rules.entry(line.split(": ").next().unwrap_or_default().to_owned()).or_default() += 1;
            }
            if artwork.is_some() { drawn += 1 } else { refused += 1 }
        }
        let name = folder.file_name().unwrap_or_default().to_string_lossy().into_owned();
        println!("{name}: {drawn} drawn, {refused} refused, slowest {:.2} s {}", slowest.0, slowest.1.display());
        for (rule, count) in rules {
            println!("    {count:5} {rule}");
        }
    }
}
