//! Areas joined, cut and cleaned: the engine behind every operation on [`Region`].
//!
//! Contours become rings on the lattice, the rings are overlaid (`i_overlay`), and the outcome is drawn again with the
//! curves that its chords come from ([`redraw`]): what the operation left alone comes back as it was, what it cut short
//! ends where the curves themselves cross.

mod holes;
mod sources;
mod redraw;

use super::grid::{self, Node, Ring};
use super::{FillRule, GeometryError, Region, crossings, flatten};
use i_overlay::core::fill_rule::FillRule as Rule;
use i_overlay::core::overlay::{ContourDirection, IntOverlayOptions, Overlay, ShapeType};
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::core::solver::Solver;
use i_overlay::i_float::int::point::IntPoint;
use kurbo::{BezPath, PathEl, Point};
use sources::{Sources, Trace};
use std::cmp::Ordering;

/// Rings of less than this area (mm²) are dust from rounding.
const LEAST_AREA: f64 = 1e-4;

/// Rings of less than this mean width (mm) are hairlines between shapes that were meant to touch.
const LEAST_WIDTH: f64 = 5e-4;

/// One outer ring with its holes.
pub(super) type Shape = Vec<Ring>;

/// Overlays rings. Shapes and their holes come in the order of their smallest nodes, without dust.
fn overlay(subject: &[Ring], clip: &[Ring], operation: OverlayRule, rule: Rule) -> Vec<Shape> {
    let shapes = holes::settled(engine(subject, clip, operation, rule));
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

/// Whether a ring is more than dust and hairlines.
pub(super) fn is_substantial(ring: &Ring) -> bool {
    is_worth_keeping(grid::area_and_perimeter(ring))
}

/// The same, of a ring's area (mm²) and perimeter (mm).
pub(super) fn is_worth_keeping((area, perimeter): (f64, f64)) -> bool {
    area.abs() >= LEAST_AREA && 2.0 * area.abs() >= LEAST_WIDTH * perimeter
}

/// The shapes of one region, each a clean region of its own.
pub(super) fn shapes(region: &Region) -> Vec<Region> {
    let sources = Sources::new(region.contours());
    let shapes = overlay(&rings(region), &[], OverlayRule::Subject, Rule::NonZero);
    shapes.iter().map(|s| from_shapes(std::slice::from_ref(s), &sources)).collect()
}

/// The rings of a region, outer ones winding positively, so that rings of many regions can be pooled.
fn rings(region: &Region) -> Vec<Ring> {
    let mut rings: Vec<Ring> = region.contours().iter().map(flatten::ring).collect();
    if rings.iter().map(|r| grid::doubled_area(r)).sum::<i128>() < 0 {
        for ring in &mut rings {
            ring.reverse();
        }
    }
    rings
}

/// Shapes as they are drawn, outer contours before their holes, in the order of what is drawn: the nodes of a curve that
/// was cut short lie elsewhere when it is flattened again, and an operation on an outcome keeps its order all the same.
fn from_shapes(shapes: &[Shape], sources: &Sources) -> Region {
    let trace = Trace::new(sources);
    let drawn = |shape: &Shape| {
        let mut contours: Vec<Placed> = shape.iter().map(|r| Placed::of(redraw::contour(r, &trace))).collect();
        contours[1..].sort_by(Placed::order);
        contours
    };
    let mut shapes: Vec<Vec<Placed>> = shapes.iter().map(drawn).collect();
    shapes.sort_by(|a, b| a[0].order(&b[0]));
    Region::from_clean_contours(shapes.into_iter().flatten().map(|placed| placed.contour).collect())
}

/// A contour with its leftmost node, the upper one of several.
struct Placed {
    at: Point,
    contour: BezPath,
}

impl Placed {
    fn of(contour: BezPath) -> Self {
        let nodes = contour.elements().iter().filter_map(PathEl::end_point);
        let at = nodes.min_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y))).unwrap_or_default();
        Self { at, contour }
    }

    fn order(&self, other: &Self) -> Ordering {
        let place = self.at.x.total_cmp(&other.at.x).then(self.at.y.total_cmp(&other.at.y));
        place.then_with(|| sources::compare(&self.contour, &other.contour))
    }
}

/// The rings about the area that rings of the fine lattice wind about positively.
pub(super) fn chords_of_fine_rings(rings: &[Ring]) -> Vec<Ring> {
    let fine = engine(rings, &[], OverlayRule::Subject, Rule::Positive);
    let rings: Vec<Ring> = fine.iter().flatten().map(|r| grid::coarsened(r)).collect();
    overlay(&rings, &[], OverlayRule::Subject, Rule::Positive).into_iter().flatten().collect()
}

fn combine(first: &Region, second: &Region, operation: OverlayRule) -> Region {
    let sources = Sources::new(first.contours().iter().chain(second.contours()));
    from_shapes(&overlay(&rings(first), &rings(second), operation, Rule::NonZero), &sources)
}

fn union_of(regions: &[&Region], sets: Vec<Vec<Ring>>) -> Region {
    let sources = Sources::new(regions.iter().flat_map(|r| r.contours()));
    from_shapes(&welded(sets), &sources)
}

/// So many areas are welded in one go.
const FEW: usize = 8;

/// More are not, even where they hardly cross.
const MANY: usize = 2_000;

/// Areas that cross each other more often than this an edge lie on top of each other.
const PILED: f64 = 2.0;

/// Areas welded by halves, neighbours first: what lies on top of each other is welded to one before it meets others, so
/// its crossings are not met again and again.
fn welded(mut sets: Vec<Vec<Ring>>) -> Vec<Shape> {
    let edges: usize = sets.iter().flatten().map(Vec::len).sum();
    let is_loose = || !crossings::of_rings_exceed(&sets.concat(), PILED * edges as f64);
    if sets.len() <= FEW || (sets.len() <= MANY && is_loose()) {
        return overlay(&sets.concat(), &[], OverlayRule::Subject, Rule::NonZero);
    }
    let (least, most) = sets.iter().map(|s| corners(s)).fold(corners(&[]), |a, b| {
        (Node { x: a.0.x.min(b.0.x), y: a.0.y.min(b.0.y) }, Node { x: a.1.x.max(b.1.x), y: a.1.y.max(b.1.y) })
    });
    let wide = most.x - least.x > most.y - least.y;
    let centre = |set: &[Ring]| {
        let (least, most) = corners(set);
        if wide { (least.x + most.x, least.y + most.y) } else { (least.y + most.y, least.x + most.x) }
    };
    // Of equal centres the order is that of the rings, not that they were given in.
    sets.sort_unstable_by(|a, b| centre(a).cmp(&centre(b)).then_with(|| a.cmp(b)));
    let half = sets.split_off(sets.len() / 2);
    let both: Vec<Ring> = welded(sets).into_iter().chain(welded(half)).flatten().collect();
    overlay(&both, &[], OverlayRule::Subject, Rule::NonZero)
}

/// The least and the greatest coordinates of rings.
fn corners(rings: &[Ring]) -> (Node, Node) {
    let none = (Node { x: i64::MAX, y: i64::MAX }, Node { x: i64::MIN, y: i64::MIN });
    rings.iter().flatten().fold(none, |(a, b), n| {
        (Node { x: a.x.min(n.x), y: a.y.min(n.y) }, Node { x: b.x.max(n.x), y: b.y.max(n.y) })
    })
}

fn rings_of_all(regions: &[&Region]) -> Vec<Vec<Ring>> {
    regions.iter().map(|r| rings(r)).filter(|rings| rings.iter().any(|ring| !ring.is_empty())).collect()
}

impl Region {
    /// The area that a path encloses under a fill rule; open subpaths are closed by a straight line.
    ///
    /// Its curves come back as they are; where contours cross, each ends where the curves do, within
    /// [`DEVIATION`](super::DEVIATION).
    ///
    /// # Errors
    /// Refuses coordinates that are not finite or farther out than 10 m, and paths of over a million elements.
    pub fn from_path(path: &BezPath, rule: FillRule) -> Result<Self, GeometryError> {
        flatten::check(path)?;
        let contours: Vec<BezPath> = flatten::subpaths(path).iter().map(flatten::closed).collect();
        let rings: Vec<Ring> = contours.iter().map(flatten::ring).collect();
        let rule = match rule {
            FillRule::NonZero => Rule::NonZero,
            FillRule::EvenOdd => Rule::EvenOdd,
        };
        let sources = Sources::new(&contours);
        Ok(from_shapes(&overlay(&rings, &[], OverlayRule::Subject, rule), &sources))
    }

    /// All the regions welded into one.
    pub fn union(regions: &[&Self]) -> Self {
        union_of(regions, rings_of_all(regions))
    }

    /// As [`Region::union`], for regions that nobody has looked at together before.
    ///
    /// # Errors
    /// When they cross each other so often that working it out would exhaust time or memory.
    pub fn try_union(regions: &[&Self]) -> Result<Self, GeometryError> {
        let rings = rings_of_all(regions);
        if crossings::of_rings_exceed(&rings.concat(), crossings::MOST_CROSSINGS) {
            return Err(GeometryError::TooMany);
        }
        Ok(union_of(regions, rings))
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
