//! How the cutting up of a board grows with the number of pieces, and how far apart its seams can be kept.
//!
//! `cargo bench --bench puzzle` prints both tables; a word (`scale`, `apart`, `round` …) only the rows that name it. Times
//! are processor times of this process, so that others on a shared machine spoil them less. Memory is the most that the
//! process held so far; rows grow, so it is that of the row.

use kerfbook::geometry::{FillRule, Region};
use kerfbook::puzzle::{Character, Lattice, PuzzleLayout, PuzzleRequest, lay_out};
use kerfbook::units::{Mm, Percent};
use kurbo::{Rect, Shape};

/// The size of a cell, mm.
const CELL: f64 = 25.0;

const CHARACTERS: [(&str, Character); 3] =
    [("round", Character::Round), ("wavy", Character::Wavy), ("angular", Character::Angular)];

/// Rows and columns, and the bar for the time in s.
const SIZES: [(usize, usize, Option<f64>); 4] =
    [(5, 3, None), (40, 25, Some(0.2)), (100, 100, None), (400, 250, Some(10.0))];

fn main() {
    let words: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with("--")).collect();
    let wants = |row: &str| words.is_empty() || words.iter().any(|w| row.contains(w.as_str()));
    apart(&wants);
    scale(&wants);
}

/// Seams as they are first drawn.
fn scale(wants: &dyn Fn(&str) -> bool) {
    println!("{:<22} {:>9} {:>9} {:>9} {:>9} {:>9}", "scale", "s", "at most", "µs/seam", "growth", "MB");
    for (rows, columns, bar) in SIZES {
        for (name, knob) in CHARACTERS {
            let row = format!("scale {name} {}", rows * columns);
            if !wants(&row) {
                continue;
            }
            let ask = request(rows, columns, knob);
            let (seconds, layout) = timed(|| lay_out(&ask).expect("a layout"));
            let seams = (rows * (columns - 1) + columns * (rows - 1)) as f64;
            assert_eq!(layout.pieces.len(), rows * columns);
            assert!(layout.proofs.nearest_lines.value.get() >= 0.97 * 2.0, "{:?}", layout.proofs.nearest_lines);
            println!(
                "{row:<22} {seconds:>9.3} {:>9} {:>9.1} {:>9} {:>9.0}",
                bar.map_or(String::new(), |b| format!("{b}{}", if seconds > b { " OVER" } else { "" })),
                seconds / seams * 1e6,
                growth(rows, columns, knob, seconds),
                memory(),
            );
        }
    }
}

/// By which power of the number of pieces the time grows, from a quarter of them on.
fn growth(rows: usize, columns: usize, knob: Character, seconds: f64) -> String {
    if rows < 40 {
        return String::new();
    }
    let ask = request(rows / 2, columns / 2, knob);
    let (less, layout) = timed(|| lay_out(&ask).expect("a layout"));
    let ratio = (rows * columns) as f64 / layout.pieces.len() as f64;
    format!("{:.2}", libm::log(seconds / less) / libm::log(ratio))
}

/// How far apart seams are kept: as a recipe gets it unasked, and with wide knobs as far as it goes.
fn apart(wants: &dyn Fn(&str) -> bool) {
    println!("{:<28} {:>9} {:>9} {:>9} {:>9}", "apart", "wanted", "reached", "rounds", "s");
    for (rows, columns, steps) in
        [(5, 3, &[1.0, 1.25, 1.5, 1.75][..]), (10, 10, &[0.8, 1.0, 1.25]), (40, 25, &[0.6, 0.7, 0.8])]
    {
        for (name, knob) in CHARACTERS {
            let row = format!("apart {name} {}", rows * columns);
            let usual = PuzzleRequest { distinct: None, ..request(rows, columns, knob) };
            let wide = |&mm: &f64| PuzzleRequest {
                distinct: Some(Mm::new(mm)),
                variety: Some(Percent::new(100.0)),
                ..usual.clone()
            };
            if wants(&row) {
                std::iter::once(usual.clone()).chain(steps.iter().map(wide)).for_each(|ask| reached(&row, &ask));
            }
        }
    }
}

fn reached(row: &str, ask: &PuzzleRequest) {
    let (seconds, layout) = timed(|| lay_out(ask).expect("a layout"));
    let least = layout.proofs.least_misfit.expect("two seams");
    let variety = ask.variety.map_or("usual".to_owned(), |v| v.to_string());
    println!(
        "{:<28} {:>9.3} {:>9.3} {:>9} {seconds:>9.3}  {}",
        format!("{row} {variety}"),
        least.wanted.get(),
        least.value.get(),
        least.rounds,
        if least.value < least.wanted { "not reached" } else { "" },
    );
}

/// A board of cells, its seams as they are first drawn.
fn request(rows: usize, columns: usize, knob: Character) -> PuzzleRequest {
    let board = Rect::new(0.0, 0.0, CELL * columns as f64, CELL * rows as f64).to_path(1e-3);
    PuzzleRequest {
        board: Region::from_path(&board, FillRule::NonZero).expect("a rectangle"),
        whimsies: Vec::new(),
        lattice: Lattice::Grid { rows, columns },
        seed: "bench".to_owned(),
        knob,
        variety: None,
        kerf: Mm::new(0.15),
        thickness: Mm::new(3.0),
        clearance: Mm::new(2.0),
        distinct: Some(Mm::ZERO),
        faces_alike: false,
    }
}

/// Processor time of this process in s, and what was made in it.
fn timed(make: impl FnOnce() -> PuzzleLayout) -> (f64, PuzzleLayout) {
    let start = processor_time();
    let made = make();
    (processor_time() - start, made)
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

/// The most memory that this process has held, MB; 0 where the system does not tell.
fn memory() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let kilobytes =
        status.lines().find_map(|l| l.strip_prefix("VmHWM:")?.split_whitespace().next()?.parse::<f64>().ok());
    kilobytes.unwrap_or(0.0) / 1024.0
}
