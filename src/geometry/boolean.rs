//! Areas joined, cut and cleaned: the engine behind every operation on [`Region`].
//!
//! Contours become rings on the lattice, the rings are overlaid, and the outcome becomes contours again. A
//! contour that comes back with the very nodes it went in with keeps its original curves.

use super::grid::{self, Node, Ring};
use super::{FillRule, GeometryError, Region, crossings, flatten};
use i_overlay::core::fill_rule::FillRule as Rule;
use i_overlay::core::overlay::{ContourDirection, IntOverlayOptions, Overlay, ShapeType};
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::core::solver::Solver;
use i_overlay::i_float::int::point::IntPoint;
use kurbo::{BezPath, PathEl};
use std::collections::BTreeMap;

/// Rings of less than this area (mm²) are dust from rounding.
const LEAST_AREA: f64 = 1e-4;

/// Rings of less than this mean width (mm) are hairlines between shapes that were meant to touch.
const LEAST_WIDTH: f64 = 5e-4;

/// One outer ring with its holes.
pub(super) type Shape = Vec<Ring>;

/// Contours that may come out of an operation as they went in, found by their rings.
pub(super) struct Originals<'a>(BTreeMap<Ring, &'a BezPath>);

impl<'a> Originals<'a> {
    pub fn new() -> Self {
        Self(BTreeMap::new())
    }

    /// Remembers a contour and gives its ring.
    fn add(&mut self, contour: &'a BezPath) -> Ring {
        let ring = flatten::ring(contour);
        if contour.elements().iter().any(|e| matches!(e, PathEl::QuadTo(..) | PathEl::CurveTo(..))) {
            self.remember(&ring, contour);
        }
        ring
    }

    /// Remembers which curves a ring stands for.
    pub fn remember(&mut self, ring: &Ring, contour: &'a BezPath) {
        let (mut tidy, spiked) = grid::tidied(ring);
        if spiked || tidy.is_empty() {
            return;
        }
        if grid::doubled_area(&tidy) < 0 {
            tidy.reverse();
        }
        let known = self.0.entry(grid::from_smallest(tidy)).or_insert(contour);
        // Two contours on the same ring: the choice must not depend on the order they came in.
        if coordinates(contour).lt(coordinates(known)) {
            *known = contour;
        }
    }

    /// The contour of a ring: the original one, turned the ring's way, or else the ring's chords.
    fn contour(&self, ring: &Ring) -> BezPath {
        let hole = grid::doubled_area(ring) < 0;
        let mut key = ring.clone();
        if hole {
            key.reverse();
        }
        match self.0.get(&grid::from_smallest(key)) {
            Some(&original) if (kurbo::Shape::area(original) < 0.0) == hole => original.clone(),
            Some(&original) => original.reverse_subpaths(),
            None => grid::path_of(ring),
        }
    }
}

fn coordinates(path: &BezPath) -> impl Iterator<Item = f64> {
    path.segments().flat_map(|s| {
        let c = s.to_cubic();
        [c.p0, c.p1, c.p2, c.p3].into_iter().flat_map(|p| [p.x, p.y])
    })
}

/// Overlays rings. Shapes and their holes come in the order of their smallest nodes, without dust.
fn overlay(subject: &[Ring], clip: &[Ring], operation: OverlayRule, rule: Rule) -> Vec<Shape> {
    let shapes = engine(subject, clip, operation, rule);
    let mut shapes: Vec<Shape> = shapes.into_iter().filter_map(kept_rings).collect();
    shapes.sort_unstable();
    shapes
}

/// Overlays rings of any lattice.
fn engine(subject: &[Ring], clip: &[Ring], operation: OverlayRule, rule: Rule) -> Vec<Shape> {
    let options = IntOverlayOptions {
        preserve_input_collinear: false,
        output_direction: ContourDirection::CounterClockwise,
        preserve_output_collinear: false,
        min_output_area: 0,
        ogc: true,
    };
    let count = subject.iter().chain(clip).map(Vec::len).sum();
    let mut engine = Overlay::<i64>::new_custom(count, options, Solver::AUTO);
    for (rings, kind) in [(subject, ShapeType::Subject), (clip, ShapeType::Clip)] {
        for ring in rings.iter().filter(|r| r.len() > 2) {
            engine.add_path_iter(ring.iter().map(|n| IntPoint::new(n.x, n.y)), kind);
        }
    }
    let shapes = engine.overlay(operation, rule).into_iter();
    let ring = |r: Vec<IntPoint<i64>>| r.into_iter().map(|p| Node { x: p.x, y: p.y }).collect();
    shapes.map(|s| s.into_iter().map(ring).collect()).collect()
}

/// The rings of a shape that are worth keeping; none of them when its outer ring is not.
fn kept_rings(shape: Shape) -> Option<Shape> {
    let mut rings = shape.into_iter().map(grid::from_smallest);
    let outer = rings.next().filter(is_substantial)?;
    let mut holes: Vec<Ring> = rings.filter(is_substantial).collect();
    holes.sort_unstable();
    holes.insert(0, outer);
    Some(holes)
}

fn is_substantial(ring: &Ring) -> bool {
    let (area, perimeter) = grid::area_and_perimeter(ring);
    area.abs() >= LEAST_AREA && 2.0 * area.abs() >= LEAST_WIDTH * perimeter
}

/// The shapes of one region, each a clean region of its own.
pub(super) fn shapes(region: &Region) -> Vec<Region> {
    let mut originals = Originals::new();
    let rings = rings(region, &mut originals);
    let shapes = overlay(&rings, &[], OverlayRule::Subject, Rule::NonZero);
    shapes.iter().map(|s| from_shapes(std::slice::from_ref(s), &originals)).collect()
}

/// The rings of a region, outer ones winding positively, so that rings of many regions can be pooled.
fn rings<'a>(region: &'a Region, originals: &mut Originals<'a>) -> Vec<Ring> {
    let mut rings: Vec<Ring> = region.contours().iter().map(|c| originals.add(c)).collect();
    if rings.iter().map(|r| grid::doubled_area(r)).sum::<i128>() < 0 {
        for ring in &mut rings {
            ring.reverse();
        }
    }
    rings
}

/// The rings of a region without the memory of where they came from.
pub(super) fn plain_rings(region: &Region) -> Vec<Ring> {
    rings(region, &mut Originals::new())
}

fn from_shapes(shapes: &[Shape], originals: &Originals) -> Region {
    Region::from_clean_contours(shapes.iter().flatten().map(|r| originals.contour(r)).collect())
}

/// The area that rings of the fine lattice wind about positively.
pub(super) fn region_of_fine_rings(rings: &[Ring], originals: &Originals) -> Region {
    let fine = engine(rings, &[], OverlayRule::Subject, Rule::Positive);
    let rings: Vec<Ring> = fine.iter().flatten().map(|r| grid::coarsened(r)).collect();
    from_shapes(&overlay(&rings, &[], OverlayRule::Subject, Rule::Positive), originals)
}

fn combine(first: &Region, second: &Region, operation: OverlayRule) -> Region {
    let mut originals = Originals::new();
    let subject = rings(first, &mut originals);
    let clip = rings(second, &mut originals);
    from_shapes(&overlay(&subject, &clip, operation, Rule::NonZero), &originals)
}

impl Region {
    /// The area that a path encloses under a fill rule; open subpaths are closed by a straight line.
    ///
    /// Curves are kept where no contour crosses or touches another or itself; elsewhere they become chords
    /// within [`FLATTEN_TOLERANCE`](super::FLATTEN_TOLERANCE) of them.
    ///
    /// # Errors
    /// Refuses coordinates that are not finite or farther out than 10 m, and paths of over a million elements.
    pub fn from_path(path: &BezPath, rule: FillRule) -> Result<Self, GeometryError> {
        flatten::check(path)?;
        let contours: Vec<BezPath> = flatten::subpaths(path).iter().map(flatten::closed).collect();
        let mut originals = Originals::new();
        let rings: Vec<Ring> = contours.iter().map(|c| originals.add(c)).collect();
        let rule = match rule {
            FillRule::NonZero => Rule::NonZero,
            FillRule::EvenOdd => Rule::EvenOdd,
        };
        Ok(from_shapes(&overlay(&rings, &[], OverlayRule::Subject, rule), &originals))
    }

    /// All the regions welded into one.
    pub fn union(regions: &[&Self]) -> Self {
        let mut originals = Originals::new();
        let rings: Vec<Ring> = regions.iter().flat_map(|r| rings(r, &mut originals)).collect();
        from_shapes(&overlay(&rings, &[], OverlayRule::Subject, Rule::NonZero), &originals)
    }

    /// As [`Region::union`], for regions that nobody has looked at together before.
    ///
    /// # Errors
    /// When they cross each other so often that working it out would exhaust time or memory.
    pub fn try_union(regions: &[&Self]) -> Result<Self, GeometryError> {
        let mut originals = Originals::new();
        let rings: Vec<Ring> = regions.iter().flat_map(|r| rings(r, &mut originals)).collect();
        if crossings::of_rings_exceed(&rings, crossings::MOST_CROSSINGS) {
            return Err(GeometryError::TooMany);
        }
        Ok(from_shapes(&overlay(&rings, &[], OverlayRule::Subject, Rule::NonZero), &originals))
    }

    /// What is left of it when `other` is taken away.
    pub fn subtract(&self, other: &Self) -> Self {
        combine(self, other, OverlayRule::Difference)
    }

    /// What it has in common with `other`.
    pub fn overlap(&self, other: &Self) -> Self {
        combine(self, other, OverlayRule::Intersect)
    }

    /// What lies in one of the two but not in both.
    pub fn exclude(&self, other: &Self) -> Self {
        combine(self, other, OverlayRule::Xor)
    }
}
