//! Figures 5 and 6: the faces that lines enclose, and lines that hatch an area.

use super::inputs::{self, Draws};
use super::race::{processor_time, race};
use super::references::{Same, lines};
use super::table::Table;
use geos::{Geom, Geometry};
use kerfbook::geometry::{faces, hatch};
use kerfbook::units::{Degrees, Mm};
use kurbo::{BezPath, Point, Vec2};

/// Lines that hatch one shape.
const LINES: usize = 2_000;

pub fn rows(table: &mut Table) {
    for (side, name) in [(32, "1 000"), (105, "11 000"), (333, "111 000")] {
        table.race(5, &format!("faces of {name} cells / GEOS"), 0.5, || {
            let net = Net::of(side);
            let of_geos = || Geometry::polygonize(&[&net.geos]).expect("faces");
            let count = of_geos().get_num_geometries().expect("a count");
            assert_eq!((faces(&net.lines, Mm::ZERO).len(), count), (side * side, side * side));
            race(|| faces(&net.lines, Mm::ZERO), of_geos)
        });
    }
    table.number(5, "faces: growth of the time from 1 000 to 111 000 cells", 1.15, || {
        let time = |side: usize, rounds: usize| {
            let net = Net::of(side);
            let start = processor_time();
            (0..rounds).for_each(|_| drop(std::hint::black_box(faces(&net.lines, Mm::ZERO))));
            (processor_time() - start) / rounds as f64
        };
        let exponent = libm::log(time(333, 3) / time(32, 60)) / libm::log((333.0 * 333.0) / (32.0 * 32.0));
        (exponent, "exponent of the count".to_owned())
    });
    table.race(6, "hatch of the artwork, 2 000 lines a shape / GEOS", 0.02, || {
        let all: Vec<Hatched> =
            inputs::artwork_of_each().iter().filter(|s| !s.ours.is_empty()).map(Hatched::of).collect();
        race(|| all.iter().map(Hatched::ours).sum::<f64>(), || all.iter().map(Hatched::geos).sum::<f64>())
    });
    table.number(6, "hatch of the artwork: share of the length that differs", 1e-6, || {
        let all = inputs::artwork_of_each().iter().filter(|s| !s.ours.is_empty()).map(Hatched::of);
        let worst = all.map(|h| (h.ours() / h.geos() - 1.0).abs()).fold(0.0, f64::max);
        (worst, String::new())
    });
}

/// A net of wavy lines between jittered corners, noded: every line runs from corner to corner.
struct Net {
    lines: Vec<BezPath>,
    geos: Geometry,
}

impl Net {
    fn of(side: usize) -> Self {
        let mut draws = Draws(5);
        let mut corner = |i: usize| {
            let (row, column) = (i / (side + 1), i % (side + 1));
            Point::new(column as f64 + 0.4 * draws.next(), row as f64 + 0.4 * draws.next())
        };
        let corners: Vec<Point> = (0..(side + 1) * (side + 1)).map(&mut corner).collect();
        let mut edges = Vec::new();
        for i in 0..corners.len() {
            if i % (side + 1) < side {
                edges.push(wavy(corners[i], corners[i + 1]));
            }
            if i / (side + 1) < side {
                edges.push(wavy(corners[i], corners[i + side + 1]));
            }
        }
        Self { lines: edges.iter().map(|e| path(e)).collect(), geos: lines(edges.into_iter()) }
    }
}

/// A bulge and a dent between two corners.
fn wavy(a: Point, b: Point) -> Vec<Point> {
    let aside = Vec2::new(a.y - b.y, b.x - a.x) * 0.05;
    vec![a, a.lerp(b, 0.3) + aside, a.lerp(b, 0.7) - aside, b]
}

fn path(points: &[Point]) -> BezPath {
    let mut path = BezPath::new();
    path.move_to(points[0]);
    points[1..].iter().for_each(|&p| path.line_to(p));
    path
}

/// A shape with as many level lines as hatch it.
struct Hatched<'a> {
    shape: &'a Same,
    interval: Mm,
    lines: Geometry,
}

impl<'a> Hatched<'a> {
    fn of(shape: &'a Same) -> Self {
        let bounds = shape.ours.bounds().expect("a box");
        let step = bounds.height() / LINES as f64;
        let level = |i: usize| {
            let y = bounds.y0 + (i as f64 + 0.5) * step;
            vec![Point::new(bounds.x0 - 1.0, y), Point::new(bounds.x1 + 1.0, y)]
        };
        Self { shape, interval: Mm::new(step), lines: lines((0..LINES).map(level)) }
    }

    fn ours(&self) -> f64 {
        hatch(&self.shape.ours, Degrees::new(0.0), self.interval).length().get()
    }

    fn geos(&self) -> f64 {
        self.lines.intersection(&self.shape.geos).and_then(|l| l.length()).expect("a length")
    }
}
