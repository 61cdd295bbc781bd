//! Figures 7, 8 and 9: how far figures are apart, how thin their walls are, and which lines run twice.

use super::inputs::{self, Draws};
use super::race::race;
use super::references::{Same, corners, flat, lines};
use super::table::Table;
use geos::{Geom, Geometry};
use kerfbook::geometry::{FillRule, Region, doubled_lines, nearest, thin_places};
use kerfbook::units::Mm;
use kurbo::{Affine, BezPath, Point, Vec2};

/// The limit (mm) that walls are measured against.
const WALL: f64 = 1.0;

/// Lines this close (mm) count as one on the other.
const TOGETHER: f64 = 0.05;

pub fn rows(table: &mut Table) {
    table.race(7, "clearance of figures side by side on a sheet / GEOS indexed", 1.5, || {
        let pairs = neighbours();
        let ours = || pairs.iter().filter_map(|p| nearest(&p.0.0, &p.1.0)).map(|n| n.distance.get()).sum::<f64>();
        let theirs = || pairs.iter().map(|p| p.0.1.distance_indexed(&p.1.1).expect("a distance")).sum::<f64>();
        assert!((ours() - theirs()).abs() < 1e-6 * pairs.len() as f64, "{} and {}", ours(), theirs());
        race(ours, theirs)
    });
    table.race(8, "thin walls of the artwork / GEOS opening", 1.2, || {
        let all = inputs::artwork_of_each();
        let ours = || all.iter().map(|s| thin_places(&s.ours, Mm::new(WALL)).len()).sum::<usize>();
        race(ours, || all.iter().map(opened).sum::<f64>())
    });
    table.number(8, "width of necks from 0.1 to 0.95 mm: error in mm", 0.01, || {
        let worst = (0..86).map(|i| neck_error(0.1 + 0.01 * f64::from(i), f64::from(i))).fold(0.0, f64::max);
        (worst, "86 necks at any angle".to_owned())
    });
    let drawing = planted(100_000);
    table.race(9, "doubled lines among 100 000 chords / GEOS noding", 0.1, || {
        let together = lines(drawing.paths.iter().map(corners));
        race(
            || doubled_lines(&drawing.paths, Mm::new(TOGETHER), Mm::new(1.0)),
            || together.unary_union().expect("nodes"),
        )
    });
    table.number(9, "doubled lines that were planted and missed", 0.0, || {
        let found = doubled_lines(&drawing.paths, Mm::new(TOGETHER), Mm::new(1.0));
        let is_found = |p: &&Planted| found.iter().any(|d| (d.first, d.second) == (p.first, p.second));
        let missed = drawing.planted.iter().filter(|p| !is_found(p)).count();
        let strange = found.len() - found.iter().filter(|d| drawing.knows(d.first, d.second)).count();
        (missed as f64, format!("of {}; {strange} found that were not planted", drawing.planted.len()))
    });
}

type Lines = (Vec<BezPath>, Geometry);

/// Pairs of figures, laid out beside each other a few millimetres apart.
fn neighbours() -> Vec<(Lines, Lines)> {
    let figures = inputs::artwork();
    let placed = |(i, (path, _)): (usize, &inputs::Outline)| {
        let path = Affine::translate((52.0 * i as f64, 0.0)) * flat(path);
        let subpaths = kerfbook::geometry::subpaths(&path);
        let geometry = lines(subpaths.iter().map(drawn).filter(|c| c.len() > 1));
        (subpaths.into_iter().filter(|s| s.elements().len() > 1).collect(), geometry)
    };
    let (first, second) = (figures.iter().enumerate().map(placed), figures.iter().enumerate().map(placed));
    first.zip(second.skip(1)).collect()
}

/// The corners of a subpath from its start to its end, which is its start where it is closed.
fn drawn(subpath: &BezPath) -> Vec<Point> {
    let mut points = corners(subpath);
    if kerfbook::geometry::is_closed(subpath) {
        points.extend(points.first().copied());
    }
    points
}

/// The area that goes when a shape is shrunk and grown by half the limit: thin walls, and corners too.
fn opened(shape: &Same) -> f64 {
    let core = shape.geos.buffer(-0.5 * WALL, 16).expect("a buffer");
    let opened = core.buffer(0.5 * WALL, 16).expect("a buffer");
    shape.geos.difference(&opened).and_then(|d| d.area()).expect("an area")
}

/// How far the width found is off for two squares joined by a neck of a known width.
fn neck_error(width: f64, turn: f64) -> f64 {
    let half = 0.5 * width;
    let d = format!("M0 -5H10V{}H13V-5H23V5H13V{half}H10V5H0Z", -half);
    let bell = Affine::rotate(turn) * BezPath::from_svg(&d).expect("path data");
    let region = Region::from_path(&bell, FillRule::NonZero).expect("a sound path");
    let thin = thin_places(&region, Mm::new(WALL));
    assert_eq!(thin.len(), 1, "a neck of {width}");
    (thin[0].width.get() - width).abs()
}

/// A line and another that was laid onto it.
struct Planted {
    first: usize,
    second: usize,
}

struct Drawing {
    paths: Vec<BezPath>,
    planted: Vec<Planted>,
}

impl Drawing {
    fn knows(&self, first: usize, second: usize) -> bool {
        self.planted.iter().any(|p| (p.first, p.second) == (first, second))
    }
}

/// Small closed waves in rows, one in ten of them with a stretch of it drawn again: elsewhere broken, some
/// reversed, some aside by less than the tolerance.
fn planted(chords: usize) -> Drawing {
    let (each, mut draws) = (200, Draws(9));
    let mut drawing = Drawing { paths: Vec::new(), planted: Vec::new() };
    for i in 0..chords / each {
        let centre = Vec2::new(30.0 * (i % 25) as f64, 30.0 * (i / 25) as f64);
        let wave = Affine::translate(centre) * Affine::scale(0.1) * inputs::wave(each);
        let stretch = again(&corners(&wave), &mut draws, i % 20 == 0);
        drawing.paths.push(wave);
        if i % 10 == 0 {
            let last = drawing.paths.len();
            drawing.planted.push(Planted { first: last - 1, second: last });
            drawing.paths.push(open(&stretch));
        }
    }
    assert!(drawing.paths.iter().map(|p| p.segments().count()).sum::<usize>() >= chords);
    drawing
}

/// A stretch of a line, broken at other places and moved aside a little.
fn again(points: &[Point], draws: &mut Draws, reversed: bool) -> Vec<Point> {
    let first = (draws.next() * 0.5 * points.len() as f64) as usize;
    let aside = Vec2::new(draws.next() - 0.5, draws.next() - 0.5) * TOGETHER;
    let stretch = &points[first..first + points.len() / 3];
    let mut moved = vec![stretch[0] + aside];
    moved.extend(stretch.windows(2).map(|p| p[0].lerp(p[1], draws.next()) + aside));
    if reversed {
        moved.reverse();
    }
    moved
}

fn open(points: &[Point]) -> BezPath {
    let mut path = BezPath::new();
    path.move_to(points[0]);
    for p in &points[1..] {
        path.line_to(*p);
    }
    path
}
