//! Sets of strokes: at random, and of real artwork laid out on a sheet.

use kerfbook::diagnostics::Sink;
use kerfbook::geometry::{clean_up, subpaths};
use kerfbook::intake::{SvgRequest, read_svg};
use kerfbook::source::{SourceId, Span};
use kerfbook::units::Mm;
use kurbo::{Affine, BezPath, Circle, Point, Shape};
use std::path::{Path, PathBuf};

/// The width of the sheet that artwork is laid out on, mm.
const SHEET: f64 = 400.0;

/// Icons are brought to this size, mm.
const ICON: f64 = 24.0;

/// No set has more strokes.
const MOST: usize = 2_000;

/// Strokes under a name.
pub struct Set {
    pub name: String,
    pub strokes: Vec<BezPath>,
}

/// Sets that are always the same.
pub fn drawn() -> Vec<Set> {
    let mut sets = Vec::new();
    for count in [50, 200, 500, 1_000, 2_000] {
        sets.push(Set { name: format!("spots {count}"), strokes: spots(count) });
    }
    for count in [200, 1_000] {
        sets.push(Set { name: format!("dashes {count}"), strokes: dashes(count) });
    }
    for count in [200, 1_000, 2_000] {
        sets.push(Set { name: format!("circles {count}"), strokes: circles(count) });
    }
    sets
}

/// Sets of real artwork, where it was fetched.
pub fn real() -> Vec<Set> {
    let Some(root) = std::env::var_os("KERFBOOK_CORPORA").map(PathBuf::from) else {
        println!("KERFBOOK_CORPORA is not set: sets of artwork are left out");
        return Vec::new();
    };
    artwork(&root)
}

/// A list of numbers from 0 to 1 that look random (splitmix64; S. Vigna, public domain, from memory).
struct Random(u64);

impl Random {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn point(&mut self, side: f64) -> Point {
        let (x, y) = (self.next(), self.next());
        Point::new((x * side * 1e3).round() / 1e3, (y * side * 1e3).round() / 1e3)
    }
}

/// The side of a square on which so many strokes lie 10 mm apart.
fn side(count: usize) -> f64 {
    10.0 * (count as f64).sqrt()
}

/// Very short lines.
pub fn spots(count: usize) -> Vec<BezPath> {
    let mut random = Random(count as u64);
    let spot = |_| {
        let at = random.point(side(count));
        kurbo::Line::new(at, (at.x + 0.001, at.y)).to_path(1e-3)
    };
    (0..count).map(spot).collect()
}

/// Lines up to 20 mm long in any direction.
pub fn dashes(count: usize) -> Vec<BezPath> {
    let mut random = Random(count as u64 + 1);
    let dash = |_| {
        let at = random.point(side(count));
        let to = random.point(28.0);
        kurbo::Line::new(at, (at.x + to.x - 14.0, at.y + to.y - 14.0)).to_path(1e-3)
    };
    (0..count).map(dash).collect()
}

/// Circles of 1 to 5 mm.
pub fn circles(count: usize) -> Vec<BezPath> {
    let mut random = Random(count as u64 + 2);
    let circle = |_| {
        let at = random.point(side(count));
        Circle::new(at, 0.5 + 2.0 * random.next()).to_path(1e-3)
    };
    (0..count).map(circle).collect()
}

fn artwork(root: &Path) -> Vec<Set> {
    let mut sets = Vec::new();
    for (folder, counts) in [
        ("line-icons", &[20, 120, 300][..]),
        ("pictograms", &[40, 200]),
        ("emblems", &[60, 200]),
        ("map-a", &[1]),
        ("map-b", &[1]),
        ("flat-colour", &[60]),
    ] {
        let mut files = Vec::new();
        svg_files(&root.join("svg").join(folder), &mut files);
        for &count in counts {
            let step = files.len() as f64 / f64::from(count);
            let taken = (0..count).filter_map(|i| files.get((f64::from(i) * step) as usize));
            let strokes = sheet(taken, if count == 1 { SHEET } else { ICON });
            sets.push(Set { name: format!("{folder} {count}"), strokes });
        }
    }
    sets.retain(|set| !set.strokes.is_empty());
    sets
}

fn svg_files(folder: &Path, found: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> =
        std::fs::read_dir(folder).into_iter().flatten().flatten().map(|e| e.path()).collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            svg_files(&path, found);
        } else if path.extension().is_some_and(|e| e == "svg") {
            found.push(path);
        }
    }
}

/// Drawings side by side in rows, their lines cleaned up.
fn sheet<'a>(files: impl Iterator<Item = &'a PathBuf>, size: f64) -> Vec<BezPath> {
    let across = (SHEET / size).floor().max(1.0) as usize;
    let mut lines = Vec::new();
    for (i, path) in files.enumerate() {
        let corner = ((i % across) as f64 * size, (i / across) as f64 * size);
        lines.extend(outlines(path, size * 0.9).into_iter().map(|l| Affine::translate(corner) * l));
    }
    let mut strokes: Vec<BezPath> = clean_up(&lines, Mm::new(0.02)).strokes.into_iter().map(|s| s.path).collect();
    strokes.truncate(MOST);
    strokes
}

fn outlines(path: &Path, size: f64) -> Vec<BezPath> {
    let Ok(bytes) = std::fs::read(path) else { return Vec::new() };
    let request = SvgRequest::new("set.svg", &bytes, Span::new(SourceId(0), 0, 0));
    let Some(artwork) = read_svg(&request, &mut Sink::new()) else { return Vec::new() };
    let drawing = &artwork.drawing;
    let all = drawing.ink.contours().iter().chain(drawing.lines.iter().map(|l| &l.path));
    let all: Vec<BezPath> = all.flat_map(subpaths).filter(|p| p.segments().next().is_some()).collect();
    let Some(bounds) = all.iter().map(Shape::bounding_box).reduce(|a, b| a.union(b)) else { return Vec::new() };
    let scale = size / bounds.width().max(bounds.height()).max(1e-6);
    let fit = Affine::scale(scale) * Affine::translate(-bounds.origin().to_vec2());
    all.into_iter().map(|p| fit * p).collect()
}
