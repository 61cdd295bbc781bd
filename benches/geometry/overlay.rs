//! Figures 1 and 12: welds, of a few and of many shapes, and of shapes that nearly coincide.

use super::inputs::{self, Draws};
use super::race::race;
use super::references::{Paths, Same, corners, flat, polygon};
use super::table::Table;
use clipper2::Clipper;
use geos::{Geom, Geometry};
use kerfbook::geometry::FillRule::NonZero;
use kerfbook::geometry::Region;
use kurbo::{BezPath, Point, Vec2};

pub fn rows(table: &mut Table) {
    let few = Welds::of(inputs::circles(1_000));
    table.race(1, "weld of 1 000 circles / GEOS", 0.35, || race(|| few.ours(), || few.geos()));
    table.race(1, "weld of 1 000 circles / Clipper2", 0.6, || race(|| few.ours(), || few.clipper()));
    table.race(1, "weld of 10 000 circles / GEOS", 1.5, || {
        let many = Welds::of(inputs::circles(10_000));
        race(|| many.ours(), || many.geos())
    });
    for (name, jitter) in [("1 nm", 1e-6), ("30 nm", 3e-5), ("1 µm", 1e-3)] {
        table.race(12, &format!("weld of 60 copies that differ by {name} / GEOS"), 25.0, || {
            let (paths, polygons) = near_copies(60, jitter);
            let clean = |p: &BezPath| Region::from_path(p, NonZero).expect("a sound outline");
            let weld = || Region::union(&paths.iter().map(clean).collect::<Vec<_>>().iter().collect::<Vec<_>>());
            race(weld, || polygons.unary_union().expect("a union"))
        });
    }
}

/// Shapes to be welded to one.
struct Welds {
    regions: Vec<Region>,
    geos: Geometry,
    clipper: Paths,
}

impl Welds {
    fn of(shapes: Vec<Same>) -> Self {
        let (mut regions, mut polygons, mut clipper) = (Vec::new(), Vec::new(), Paths::default());
        for shape in shapes {
            regions.push(shape.ours);
            polygons.push(shape.geos);
            clipper.push(shape.clipper);
        }
        Self { regions, geos: Geometry::create_geometry_collection(polygons).expect("a collection"), clipper }
    }

    fn ours(&self) -> Region {
        Region::union(&self.regions.iter().collect::<Vec<_>>())
    }

    fn geos(&self) -> Geometry {
        self.geos.unary_union().expect("a union")
    }

    fn clipper(&self) -> Paths {
        let all = Clipper::new().add_subject(self.clipper.clone()).add_clip(Paths::default());
        all.union(clipper2::FillRule::NonZero).expect("a union")
    }
}

/// Copies of an area, every corner moved at random by up to `jitter` mm: as paths, and as GEOS polygons.
fn near_copies(count: usize, jitter: f64) -> (Vec<BezPath>, Geometry) {
    let (path, rule) = &inputs::outlines()[7];
    let clean = Region::from_path(&flat(path), *rule).expect("a sound outline");
    let mut draws = Draws(1);
    let mut shifted = |p: Point| p + Vec2::new(draws.next() - 0.5, draws.next() - 0.5) * 2.0 * jitter;
    let mut copy = |_| {
        let contour = |c: &BezPath| inputs::closed(corners(c).into_iter().map(&mut shifted));
        clean.contours().iter().map(contour).collect()
    };
    let copies: Vec<Vec<BezPath>> = (0..count).map(&mut copy).collect();
    let polygons = copies.iter().map(|c| polygon(c)).collect();
    let together = Geometry::create_geometry_collection(polygons).expect("a collection");
    (copies.iter().map(|c| c.iter().flatten().collect()).collect(), together)
}
