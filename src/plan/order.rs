//! In which order lines are burned.

use crate::geometry::{Stroke, begun_at, is_closed, starts};
use crate::units::Mm;
use kurbo::{BezPath, Line, ParamCurve, ParamCurveNearest, PathEl, Point, Shape};
use rstar::{AABB, PointDistance, RTree, RTreeObject};
use std::collections::BTreeMap;

/// Orders strokes: what lies inside a closed line comes before it, so that nothing is cut out of a piece that has
/// already come loose; strokes of the same depth follow each other as `order` says.
pub(super) fn ordered(strokes: Vec<Stroke>, order: Order) -> Vec<BezPath> {
    let middle = strokes.iter().map(|s| s.path.bounding_box()).reduce(|a, b| a.union(b)).map(|b| b.center());
    let mut levels: BTreeMap<usize, Vec<BezPath>> = BTreeMap::new();
    for Stroke { path, depth } in strokes {
        levels.entry(depth).or_default().push(path);
    }
    let mut ordered = Vec::new();
    let mut at = Point::ZERO;
    for (_, level) in levels.into_iter().rev() {
        for group in order.groups(level, middle.unwrap_or_default()) {
            chain(group, &mut at, &mut ordered);
        }
    }
    ordered
}

/// Ways to order the strokes of one depth.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Order {
    /// Always the one that can be begun nearest follows.
    Nearest,
    /// From the middle outwards: the seams of a puzzle. What has come loose then lies inside of everything that is still
    /// to be cut, and the rest hangs on the sheet all round until its outline is cut.
    InsideOut,
}

/// Strokes whose distances from the middle differ by less than this (mm) lie equally far out.
const AS_FAR: f64 = 0.01;

impl Order {
    /// Strokes in groups that follow on each other, each in any order.
    fn groups(self, level: Vec<BezPath>, middle: Point) -> Vec<Vec<BezPath>> {
        if self == Self::Nearest {
            return vec![level];
        }
        let mut groups: BTreeMap<i64, Vec<BezPath>> = BTreeMap::new();
        for path in level {
            let out = (distance(&path, middle) / AS_FAR).round() as i64;
            groups.entry(out).or_default().push(path);
        }
        groups.into_values().collect()
    }
}

/// How far out a stroke lies: the middle of a closed one, or the straight way between the ends of an open one, so that
/// knobs to either side do not count.
fn distance(path: &BezPath, middle: Point) -> f64 {
    if is_closed(path) {
        return path.bounding_box().center().distance(middle);
    }
    Line::new(start(path), end(path)).nearest(middle, 0.0).distance_sq.sqrt()
}

/// Length of the moves between lines, from the sheet's left top corner to the start of the first, and so on.
pub fn travel(lines: &[BezPath]) -> Mm {
    Mm::new(moves(lines).sum())
}

/// The moves between lines, in mm.
pub fn moves(lines: &[BezPath]) -> impl Iterator<Item = f64> + '_ {
    lines.windows(2).map(|pair| end(&pair[0]).distance(start(&pair[1])))
}

/// A point where a line may be entered.
#[derive(Clone, PartialEq)]
struct Entry {
    at: Point,
    line: usize,
    /// The segment of a closed line at whose start it is begun.
    node: usize,
    backwards: bool,
}

impl RTreeObject for Entry {
    type Envelope = AABB<[f64; 2]>;
    fn envelope(&self) -> Self::Envelope {
        AABB::from_point([self.at.x, self.at.y])
    }
}

impl PointDistance for Entry {
    fn distance_2(&self, point: &[f64; 2]) -> f64 {
        (self.at - Point::new(point[0], point[1])).hypot2()
    }
}

fn entries(line: usize, path: &BezPath) -> Vec<Entry> {
    if is_closed(path) {
        let nodes: Vec<Point> = path.segments().map(|s| s.start()).collect();
        let entry = |node: usize| Some(Entry { at: *nodes.get(node)?, line, node, backwards: false });
        return starts(path).into_iter().filter_map(entry).collect();
    }
    [(start(path), false), (end(path), true)].map(|(at, backwards)| Entry { at, line, node: 0, backwards }).into()
}

/// Adds lines one after the other, each time the one that can be begun nearest.
fn chain(level: Vec<BezPath>, at: &mut Point, ordered: &mut Vec<BezPath>) {
    let entries: Vec<Vec<Entry>> = level.iter().enumerate().map(|(i, path)| entries(i, path)).collect();
    let mut lines: Vec<Option<BezPath>> = level.into_iter().map(Some).collect();
    let mut tree = RTree::bulk_load(entries.concat());
    while let Some(next) = nearest(&tree, *at) {
        for entry in &entries[next.line] {
            tree.remove(entry);
        }
        let Some(path) = lines[next.line].take() else { continue };
        let path = if next.backwards { path.reverse_subpaths() } else { begun_at(&path, next.node) };
        *at = end(&path);
        ordered.push(path);
    }
}

/// The nearest entry; among equally near ones the one written first, so that the order never depends on the tree.
fn nearest(tree: &RTree<Entry>, at: Point) -> Option<Entry> {
    let mut near = tree.nearest_neighbor_iter_with_distance_2(&[at.x, at.y]);
    let (mut best, distance) = near.next()?;
    for (other, d) in near {
        if d > distance {
            break;
        }
        if (other.line, other.node, other.backwards) < (best.line, best.node, best.backwards) {
            best = other;
        }
    }
    Some(best.clone())
}

fn start(path: &BezPath) -> Point {
    match path.elements().first() {
        Some(PathEl::MoveTo(p)) => *p,
        _ => Point::ZERO,
    }
}

fn end(path: &BezPath) -> Point {
    path.segments().last().map_or(Point::ZERO, |s| s.end())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::strokes::cleaned;
    use kurbo::{Circle, Rect};

    const SPOT: Mm = Mm::new(0.08);

    fn ordered(lines: &[BezPath]) -> Vec<BezPath> {
        cleaned(lines, SPOT, Order::Nearest).0
    }

    fn circle(x: f64, y: f64, r: f64) -> BezPath {
        Circle::new((x, y), r).to_path(1e-3)
    }

    #[test]
    fn inner_lines_come_before_outer_ones() {
        // Topological order: for each pair of A inside B, A comes first. Three rings in each other, outermost first.
        let lines = vec![circle(50.0, 50.0, 30.0), circle(50.0, 50.0, 20.0), circle(50.0, 50.0, 10.0)];
        let areas: Vec<f64> = ordered(&lines).iter().map(|p| p.area().abs()).collect();
        assert!(areas.windows(2).all(|w| w[0] < w[1]), "{areas:?}");
    }

    #[test]
    fn seams_that_end_on_the_outline_come_before_it() {
        let outline = Rect::new(0.0, 0.0, 100.0, 60.0).to_path(0.1);
        let seam = BezPath::from_svg("M 50 0 L 50 60").unwrap();
        let order = ordered(&[outline, seam]);
        assert!(!is_closed(&order[0]) && is_closed(&order[1]));
    }

    #[test]
    fn ordering_shortens_travel_and_loses_nothing() {
        // 3 x 3 unit grid: no tour through all nine, without the way back, is shorter than 8 (parity argument).
        let spots = [(0, 0), (2, 2), (0, 2), (2, 0), (1, 1), (1, 0), (0, 1), (2, 1), (1, 2)];
        let dots: Vec<BezPath> = spots
            .iter()
            .map(|(x, y)| BezPath::from_svg(&format!("M {} {} l 0.001 0", x * 10, y * 10)).unwrap())
            .collect();
        let before = travel(&dots).get();
        let order = ordered(&dots);
        assert_eq!(order.len(), 9);
        let after = travel(&order).get();
        assert!(79.9 < after && after < before, "{after} {before}");
    }

    #[test]
    fn seams_are_cut_from_the_middle_outwards_and_closed_lines_last() {
        let line = |d: &str| BezPath::from_svg(d).unwrap();
        let level = |y: i32| line(&format!("M 0 {y} L 100 {y}"));
        let upright = |x: i32| line(&format!("M {x} 0 L {x} 60"));
        let ring = circle(20.0, 10.0, 4.0);
        let lines = [ring, level(15), upright(50), level(30), upright(20), level(45), upright(80)];
        let order = cleaned(&lines, SPOT, Order::InsideOut).0;
        // Distances from the middle, (50, 30), in the order in which they are cut.
        let out: Vec<f64> = order.iter().map(|p| distance(p, Point::new(50.0, 30.0)).round()).collect();
        assert_eq!(out[..6], [0.0, 0.0, 15.0, 15.0, 30.0, 30.0]);
        assert!(is_closed(&order[6]));
    }
}
