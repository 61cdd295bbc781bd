//! What the races are run on: drawn figures, the outlines of the tests, and real artwork where it was fetched.

use super::references::Same;
use kerfbook::geometry::FillRule;
use kurbo::{Affine, BezPath, Circle, Point, Shape};
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use usvg::tiny_skia_path::PathSegment;

/// So many icons of the corpora are taken.
const ICONS: usize = 1_000;

/// Icons are brought to this size in mm.
const SIZE: f64 = 48.0;

/// An outline and its fill rule.
pub type Outline = (BezPath, FillRule);

/// The hundred outlines of the tests.
pub fn outlines() -> Vec<Outline> {
    let text = include_str!("../../tests/fixtures/geometry/outlines.txt");
    let lines = text.lines().filter(|l| !l.starts_with('#') && !l.is_empty());
    let outline = |line: &str| {
        let fields: Vec<&str> = line.split('\t').collect();
        let rule = if fields[1] == "evenodd" { FillRule::EvenOdd } else { FillRule::NonZero };
        (BezPath::from_svg(fields[2]).expect("path data"), rule)
    };
    lines.map(outline).collect()
}

/// A thousand icons where the corpora were fetched, else the outlines of the tests.
pub fn artwork() -> &'static [Outline] {
    static ARTWORK: OnceLock<Vec<Outline>> = OnceLock::new();
    ARTWORK.get_or_init(|| {
        let icons = std::env::var_os("KERFBOOK_CORPORA").map(|folder| icons(&PathBuf::from(folder)));
        icons.filter(|icons| !icons.is_empty()).unwrap_or_else(|| {
            println!("KERFBOOK_CORPORA names no icons: the hundred outlines of the tests stand in for them");
            outlines()
        })
    })
}

/// The artwork as each contender takes it.
pub fn artwork_of_each() -> &'static [Same] {
    static SAME: OnceLock<Vec<Same>> = OnceLock::new();
    SAME.get_or_init(|| artwork().iter().map(|(path, rule)| Same::of(path, *rule)).collect())
}

/// Filled icons of two sets, evenly taken from each.
fn icons(corpora: &Path) -> Vec<Outline> {
    let sets = ["svg/pictograms", "svg/emblems"];
    let of_set = |set: &&str| {
        let files = svg_files(&corpora.join(set));
        let step = (2 * files.len()) as f64 / ICONS as f64;
        let wanted = (0..ICONS / 2).map(|i| (i as f64 * step) as usize);
        wanted.filter_map(|i| icon(files.get(i)?)).collect::<Vec<_>>()
    };
    sets.iter().flat_map(of_set).collect()
}

fn svg_files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let Ok(entries) = std::fs::read_dir(folder) else { return found };
    for path in entries.filter_map(|e| Some(e.ok()?.path())) {
        if path.is_dir() {
            found.extend(svg_files(&path));
        } else if path.extension().is_some_and(|e| e == "svg") {
            found.push(path);
        }
    }
    found.sort();
    found
}

/// The largest filled path of a drawing, brought to size.
fn icon(file: &Path) -> Option<Outline> {
    let tree = usvg::Tree::from_data(&std::fs::read(file).ok()?, &usvg::Options::default()).ok()?;
    let mut paths = Vec::new();
    filled_paths(tree.root(), &mut paths);
    let (path, rule) = paths.into_iter().max_by_key(|(p, _)| p.elements().len())?;
    let bounds = path.bounding_box();
    let size = bounds.width().max(bounds.height());
    (size > 0.0).then(|| (Affine::scale(SIZE / size) * Affine::translate(-bounds.origin().to_vec2()) * path, rule))
}

fn filled_paths(group: &usvg::Group, found: &mut Vec<Outline>) {
    for node in group.children() {
        match node {
            usvg::Node::Group(group) => filled_paths(group, found),
            usvg::Node::Path(path) => {
                if let Some(fill) = path.fill() {
                    let rule = match fill.rule() {
                        usvg::FillRule::NonZero => FillRule::NonZero,
                        usvg::FillRule::EvenOdd => FillRule::EvenOdd,
                    };
                    found.push((bez_path(path.data()), rule));
                }
            }
            _ => {}
        }
    }
}

fn bez_path(data: &usvg::tiny_skia_path::Path) -> BezPath {
    let point = |p: usvg::tiny_skia_path::Point| Point::new(f64::from(p.x), f64::from(p.y));
    let mut path = BezPath::new();
    for segment in data.segments() {
        match segment {
            PathSegment::MoveTo(p) => path.move_to(point(p)),
            PathSegment::LineTo(p) => path.line_to(point(p)),
            PathSegment::QuadTo(a, p) => path.quad_to(point(a), point(p)),
            PathSegment::CubicTo(a, b, p) => path.curve_to(point(a), point(b), point(p)),
            PathSegment::Close => path.close_path(),
        }
    }
    path
}

/// Circles of 2 to 10 mm scattered over a sheet of 600 by 400 mm.
pub fn circles(count: usize) -> Vec<Same> {
    let mut draws = Draws(3);
    let mut circle = |_| {
        let circle = Circle::new((600.0 * draws.next(), 400.0 * draws.next()), 2.0 + 8.0 * draws.next());
        Same::of(&circle.to_path(1e-4), FillRule::NonZero)
    };
    (0..count).map(&mut circle).collect()
}

/// A closed line through points.
pub fn closed(points: impl Iterator<Item = Point>) -> BezPath {
    let mut path = BezPath::new();
    for (i, p) in points.enumerate() {
        if i == 0 { path.move_to(p) } else { path.line_to(p) }
    }
    path.close_path();
    path
}

/// A wavy closed line of so many chords about a circle of 100 mm.
pub fn wave(chords: usize) -> BezPath {
    closed((0..chords).map(|i| {
        let turn = i as f64 / chords as f64 * std::f64::consts::TAU;
        let away = 100.0 + 5.0 * libm::sin(40.0 * turn);
        Point::new(away * libm::cos(turn), away * libm::sin(turn))
    }))
}

/// A circle of 100 mm whose corners are shaken outwards and inwards by up to 0.1 mm.
pub fn noisy(corners: usize) -> BezPath {
    let mut draws = Draws(7);
    closed((0..corners).map(|i| {
        let turn = i as f64 / corners as f64 * std::f64::consts::TAU;
        let away = 99.9 + 0.2 * draws.next();
        Point::new(away * libm::cos(turn), away * libm::sin(turn))
    }))
}

/// Numbers from 0 to 1 that look random, the same on every run (Knuth's linear congruence).
pub struct Draws(pub u64);

impl Draws {
    pub fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
}
