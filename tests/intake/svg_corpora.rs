//! Real drawings, where they have been fetched: none may make the reader fail, and each gives a drawing or an error.

use super::svg::read;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Files looked at in each folder; all with `KERFBOOK_CORPORA_ALL`.
const SAMPLE: usize = 40;

pub(super) fn drawings(folder: &Path, found: &mut Vec<PathBuf>) {
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
        let (mut clean, mut drawn, mut refused) = (0, 0, 0);
        let (mut slowest, mut largest) = ((0.0, PathBuf::new()), (0, PathBuf::new()));
        let mut reasons: BTreeMap<String, usize> = BTreeMap::new();
        let mut rules: BTreeMap<String, usize> = BTreeMap::new();
        for file in files.iter().step_by(step) {
            forget_peak();
            let start = processor_seconds();
            let (artwork, said) = read(&std::fs::read(file).unwrap(), &[], &[]);
            let took = processor_seconds() - start;
            if took > slowest.0 {
                slowest = (took, file.clone());
            }
            for line in &said {
                assert!(!line.contains("artwork/reader-failed"), "{}: {line}", file.display());
                *rules.entry(line.split(": ").next().unwrap_or_default().to_owned()).or_default() += 1;
            }
            if peak_megabytes() > largest.0 {
                largest = (peak_megabytes(), file.clone());
            }
            match &artwork {
                Some(_) if said.iter().all(|s| s.starts_with("advice")) => clean += 1,
                Some(_) => drawn += 1,
                None => refused += 1,
            }
            if artwork.is_none() {
                let error = said.iter().find(|s| s.starts_with("error"));
                let rule = error.and_then(|e| e.split(' ').nth(1)).unwrap_or_default();
                *reasons.entry(rule.trim_end_matches(':').to_owned()).or_default() += 1;
            }
        }
        let name = folder.file_name().unwrap_or_default().to_string_lossy().into_owned();
        println!("{name}: {clean} built, {drawn} built with findings, {refused} refused {reasons:?}");
        println!("    slowest {:.2} s of processor time {}", slowest.0, slowest.1.display());
        println!("    most memory {} MB {}", largest.0, largest.1.display());
        for (rule, count) in rules {
            println!("    {count:5} {rule}");
        }
    }
}

/// Lets the kernel start anew with the most memory used, where it can.
fn forget_peak() {
    let _ = std::fs::write("/proc/self/clear_refs", "5");
}

/// The most memory used since, in megabytes; 0 where nobody tells.
fn peak_megabytes() -> usize {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|l| l.starts_with("VmHWM:")).unwrap_or_default();
    line.split_ascii_whitespace().nth(1).and_then(|kb| kb.parse::<usize>().ok()).unwrap_or(0) / 1024
}

/// Processor time of this process, in seconds: what a file costs on a busy machine as on an idle one.
#[cfg(target_os = "linux")]
fn processor_seconds() -> f64 {
    let time = rustix::time::clock_gettime(rustix::time::ClockId::ProcessCPUTime);
    time.tv_sec as f64 + time.tv_nsec as f64 * 1e-9
}

/// Where there is no such clock, nothing is measured.
#[cfg(not(target_os = "linux"))]
fn processor_seconds() -> f64 {
    0.0
}
