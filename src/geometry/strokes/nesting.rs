//! Which line lies in which closed one.

use crate::geometry::chords::ChordTree;
use kurbo::{BezPath, Point, Rect, Shape};
use rstar::{AABB, RTree, RTreeObject};

/// So many pairs of a line and an outline round it are looked at; only thousands of outlines in each other have more.
const MOST_PAIRS: usize = 20_000_000;

/// What tells where a line lies.
pub(super) struct Sample {
    /// Points of it, the middle first.
    pub points: [Point; 3],
    /// The area it encloses, in mm²; zero for an open line.
    pub area: f64,
}

struct Outline {
    tree: ChordTree,
    area: f64,
}

struct Boxed {
    outline: usize,
    bounds: Rect,
}

impl RTreeObject for Boxed {
    type Envelope = AABB<[f64; 2]>;
    fn envelope(&self) -> Self::Envelope {
        AABB::from_corners([self.bounds.x0, self.bounds.y0], [self.bounds.x1, self.bounds.y1])
    }
}

/// How many outlines go round each line: a point of it lies inside, and not within `tolerance` of the outline itself. Of
/// two closed lines that cross, the larger one goes round the other.
pub(super) fn depths(lines: &[Sample], outlines: &[&BezPath], tolerance: f64) -> Vec<usize> {
    let boxed = |(outline, path): (usize, &&BezPath)| Boxed { outline, bounds: path.bounding_box() };
    let boxes = RTree::bulk_load(outlines.iter().enumerate().map(boxed).collect());
    let outlines: Vec<Outline> = outlines
        .iter()
        .map(|path| Outline { tree: ChordTree::of_paths([*path]), area: path.area().abs() })
        .collect();
    let mut pairs = 0;
    let mut depth = |line: &Sample| {
        let mut about: Vec<usize> = line
            .points
            .iter()
            .flat_map(|p| boxes.locate_in_envelope_intersecting(&AABB::from_point([p.x, p.y])))
            .map(|b| b.outline)
            .filter(|&o| outlines[o].area > line.area)
            .collect();
        about.sort_unstable();
        about.dedup();
        pairs += about.len();
        if pairs > MOST_PAIRS {
            return 0;
        }
        about.into_iter().filter(|&o| lies_in(line, &outlines[o].tree, tolerance)).count()
    };
    lines.iter().map(&mut depth).collect()
}

fn lies_in(line: &Sample, outline: &ChordTree, tolerance: f64) -> bool {
    let is_inside = |p: &Point| outline.winding(*p) != 0 && outline.nearest(*p, tolerance).is_none();
    line.points.iter().any(is_inside)
}
