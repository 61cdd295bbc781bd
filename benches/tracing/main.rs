//! Tracing raced against potrace on one sheet: a hundred pictograms, black on white.
//!
//! `cargo bench --bench tracing` writes the sheet to the system's folder for such files, has each side trace it in turns,
//! from the pixels to path data, and prints the ratio of their best times, and their segments. Potrace works on one thread;
//! so do we for the first ratio, and on as many as there are for the second. Without potrace on the path it prints only ours.

#[allow(dead_code, reason = "shared with the tests, which make more kinds of pictures")]
#[path = "../../tests/tracing/pictures.rs"]
mod pictures;

use kerfbook::raster::Plane;
use kerfbook::tracing;
use kurbo::{Affine, BezPath};
use pictures::{Look, filled};
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

/// Pixels along the side of one pictogram.
const SIDE: u32 = 300;

/// Turns for each side.
const TURNS: usize = 15;

fn main() {
    let sheet = sheet();
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("sheet.pgm");
    std::fs::write(&file, pgm(&sheet)).expect("written");
    let (ours, theirs) = (folder.path().join("ours.svg"), folder.path().join("theirs.svg"));
    let alone = rayon::ThreadPoolBuilder::new().num_threads(1).build().expect("a thread");
    let mut best = [Duration::MAX; 3];
    let (mut segments_ours, mut is_raced) = (0, true);
    for _ in 0..TURNS {
        best[0] = best[0].min(timed(|| segments_ours = alone.install(|| trace(&file, &ours))));
        best[1] = best[1].min(timed(|| segments_ours = trace(&file, &ours)));
        best[2] = best[2].min(timed(|| is_raced &= potrace(&file, &theirs)));
    }
    let [one, all, other] = best.map(|time| time.as_secs_f64());
    println!("a sheet of {} x {} pixels, a hundred pictograms, file to file", sheet.width, sheet.height);
    println!("ours: {segments_ours} segments, {:.0} ms on one thread, {:.0} ms on all", one * 1e3, all * 1e3);
    if is_raced {
        let segments = segments(&std::fs::read_to_string(&theirs).expect("written"));
        println!("potrace: {segments} segments, {:.0} ms", other * 1e3);
        println!("time: {:.2} times potrace's on one thread (bar 1.5), {:.2} on all", one / other, all / other);
    } else {
        println!("skipped: potrace is not installed");
    }
}

fn timed(work: impl FnOnce()) -> Duration {
    let start = Instant::now();
    work();
    start.elapsed()
}

/// Has potrace trace the sheet; whether it could.
fn potrace(file: &Path, out: &Path) -> bool {
    let status = Command::new("potrace").args(["-b", "svg", "--flat", "-o"]).arg(out).arg(file).status();
    status.is_ok_and(|status| status.success())
}

fn sheet() -> Plane {
    let text = include_str!("../../tests/fixtures/geometry/outlines.txt");
    let lines = text.lines().filter(|l| !l.starts_with('#') && !l.is_empty());
    let side = SIDE as usize;
    let mut sheet = Plane::new(10 * side, 10 * side);
    sheet.values.fill(1.0);
    for (i, line) in lines.enumerate() {
        let fields: Vec<&str> = line.split('\t').collect();
        let path = Affine::scale(f64::from(SIDE) / 48.0) * BezPath::from_svg(fields[2]).expect("path data");
        let picture = filled(&path, fields[1] == "evenodd", (SIDE, SIDE), Look::Grey);
        for y in 0..side {
            let at = (i / 10 * side + y) * sheet.width + i % 10 * side;
            sheet.values[at..at + side].copy_from_slice(picture.row(y));
        }
    }
    sheet
}

fn pgm(sheet: &Plane) -> Vec<u8> {
    let mut bytes = format!("P5 {} {} 255\n", sheet.width, sheet.height).into_bytes();
    bytes.extend(sheet.values.iter().map(|v| (v * 255.0).round() as u8));
    bytes
}

/// Reads the sheet, traces it and writes path data; the number of segments.
fn trace(file: &Path, out: &Path) -> usize {
    let bytes = std::fs::read(file).expect("read");
    let side = 10 * SIDE as usize;
    let pixels = &bytes[bytes.len() - side * side..];
    let plane =
        Plane { width: side, height: side, values: pixels.iter().map(|v| f32::from(*v) / 255.0).collect() };
    let ink = tracing::ink(plane, None).expect("ink");
    let found = tracing::outlines(&ink, 0.0).expect("a drawing");
    let data: String = found.paths.iter().map(BezPath::to_svg).collect();
    std::fs::write(out, data).expect("written");
    found.paths.iter().map(|p| p.segments().count()).sum()
}

/// The segments in the path data of a file that holds only `m`, `l`, `c` and `z`.
fn segments(svg: &str) -> usize {
    let (mut count, mut letter) = ([0_usize; 2], ' ');
    let data = svg.split(" d=\"").skip(1).filter_map(|d| d.split('"').next());
    for word in data.flat_map(|d| d.split([' ', ',', '\n'])) {
        let number = word.trim_start_matches(|c: char| c.is_ascii_alphabetic());
        letter = word.chars().find(char::is_ascii_alphabetic).unwrap_or(letter);
        match letter {
            'l' if !number.is_empty() => count[0] += 1,
            'c' if !number.is_empty() => count[1] += 1,
            _ => {}
        }
    }
    count[0] / 2 + count[1] / 6
}
