//! How short the moves between strokes become, and how long finding that takes.
//!
//! `cargo bench --bench plan` prints both tables; a word (`quality`, `growth`, `circles` …) only the rows that name it.
//! Quality is told against tours that a solver outside found for the same sets (`references.txt`, which says how); sets of
//! real artwork need the folder `KERFBOOK_CORPORA`. With `KERFBOOK_SETS=FOLDER`, each set is written there for such a
//! solver. Times are processor times of this process.

mod sets;

use kerfbook::geometry::{Stroke, starts};
use kerfbook::plan::{Order, ordered, travel};
use kurbo::{BezPath, ParamCurve};
use sets::Set;
use std::fmt::Write;
use std::path::PathBuf;

const REFERENCES: &str = include_str!("references.txt");

/// How many strokes the growth of time is measured at.
const SIZES: [usize; 3] = [1_000, 10_000, 100_000];

fn main() {
    let words: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with("--")).collect();
    let wants = |row: &str| words.is_empty() || words.iter().any(|w| row.contains(w.as_str()));
    quality(&wants);
    growth(&wants);
}

fn in_order(strokes: &[BezPath]) -> (f64, Vec<BezPath>) {
    let free: Vec<Stroke> = strokes.iter().map(|path| Stroke { path: path.clone(), depth: 0 }).collect();
    let start = processor_time();
    let ordered = ordered(free, Order::Free);
    (processor_time() - start, ordered)
}

/// The tour that a solver outside found, in mm.
fn reference(name: &str) -> Option<f64> {
    let of_line = |line: &str| line.split_once('\t').filter(|(n, _)| *n == name)?.1.trim().parse().ok();
    REFERENCES.lines().filter(|l| !l.starts_with('#')).find_map(of_line)
}

/// Moves after ordering, as a share of those before and of the reference.
fn quality(wants: &dyn Fn(&str) -> bool) {
    println!(
        "{:<26} {:>8} {:>10} {:>10} {:>10} {:>12} {:>8}",
        "quality", "strokes", "before mm", "after mm", "after/bef.", "after/refer.", "s"
    );
    let mut ratios: Vec<(f64, Option<f64>)> = Vec::new();
    for Set { name, strokes } in sets::drawn().into_iter().chain(sets::real()) {
        let row = format!("quality {name}");
        if !wants(&row) {
            continue;
        }
        write(&name, &strokes);
        let before = travel(&strokes).get();
        let (seconds, lines) = in_order(&strokes);
        let after = travel(&lines).get();
        assert_eq!(lines.len(), strokes.len(), "{name} lost a stroke");
        let to_reference = reference(&name).map(|r| after / r);
        ratios.push((after / before, to_reference));
        println!(
            "{row:<26} {:>8} {before:>10.1} {after:>10.1} {:>10.3} {:>12} {seconds:>8.3}",
            strokes.len(),
            after / before,
            to_reference.map_or_else(|| "-".to_owned(), |r| format!("{r:.4}")),
        );
    }
    told("of before", &ratios.iter().map(|r| r.0).collect::<Vec<_>>());
    told("of reference", &ratios.iter().filter_map(|r| r.1).collect::<Vec<_>>());
}

fn told(what: &str, ratios: &[f64]) {
    if ratios.is_empty() {
        return;
    }
    let mean = ratios.iter().sum::<f64>() / ratios.len() as f64;
    let worst = ratios.iter().copied().fold(0.0, f64::max);
    println!("{what}: {} sets, mean {mean:.4}, worst {worst:.4}", ratios.len());
}

/// By which power of the number of strokes the time grows.
fn growth(wants: &dyn Fn(&str) -> bool) {
    println!("{:<26} {:>8} {:>10} {:>10} {:>10}", "growth", "strokes", "s", "µs/stroke", "growth");
    for (name, make) in [("dashes", sets::dashes as fn(usize) -> Vec<BezPath>), ("circles", sets::circles)] {
        let mut last: Option<f64> = None;
        for count in SIZES {
            let row = format!("growth {name}");
            if !wants(&row) {
                continue;
            }
            let (seconds, _) = in_order(&make(count));
            let power = last.map_or(String::new(), |l| format!("{:.2}", libm::log10(seconds / l)));
            println!("{row:<26} {count:>8} {seconds:>10.3} {:>10.1} {power:>10}", seconds / count as f64 * 1e6);
            last = Some(seconds);
        }
    }
}

/// Writes a set for a solver: a line for each stroke, with its two ends, or with the points at which a closed one may be
/// begun.
fn write(name: &str, strokes: &[BezPath]) {
    let Some(folder) = std::env::var_os("KERFBOOK_SETS").map(PathBuf::from) else { return };
    let mut text = String::new();
    for stroke in strokes {
        let segments: Vec<kurbo::PathSeg> = stroke.segments().collect();
        let (first, last) = (segments[0].start(), segments[segments.len() - 1].end());
        if first == last {
            text.push_str("closed");
            for node in starts(stroke) {
                let at = segments[node].start();
                let _ = write!(text, " {} {}", at.x, at.y);
            }
        } else {
            let _ = write!(text, "open {} {} {} {}", first.x, first.y, last.x, last.y);
        }
        text.push('\n');
    }
    std::fs::write(folder.join(format!("{}.txt", name.replace(' ', "-"))), text).expect("a folder to write to");
}

#[cfg(target_os = "linux")]
fn processor_time() -> f64 {
    let time = rustix::time::clock_gettime(rustix::time::ClockId::ProcessCPUTime);
    time.tv_sec as f64 + time.tv_nsec as f64 / 1e9
}

/// Where the processor time cannot be had, the time since the first call.
#[cfg(not(target_os = "linux"))]
fn processor_time() -> f64 {
    static START: std::sync::OnceLock<std::time::Instant> = std::sync::OnceLock::new();
    START.get_or_init(std::time::Instant::now).elapsed().as_secs_f64()
}
