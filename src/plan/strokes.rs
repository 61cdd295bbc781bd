//! The order in which lines are burned.

use crate::cache::{Cache, MadeFrom};
use crate::geometry::{Drawing, Line, Region, is_closed, subpaths};
use crate::units::Mm;
use kurbo::{BezPath, ParamCurve, PathEl, Point, Rect, Shape};
use rstar::{AABB, PointDistance, RTree, RTreeObject};
use std::sync::Arc;

/// The lines of drawings: outlines of ink and middles of lines, each one subpath.
pub fn lines_of<'a>(drawings: impl IntoIterator<Item = &'a Drawing>) -> Vec<BezPath> {
    let of_one = |d: &'a Drawing| {
        let outlines = d.ink.contours().iter();
        let lines = d.lines.iter().map(|l| &l.path);
        outlines.chain(lines).flat_map(subpaths)
    };
    drawings.into_iter().flat_map(of_one).filter(|p| p.segments().next().is_some()).collect()
}

/// Orders lines: what lies inside a closed line comes before it, so that nothing is cut out of a piece that has
/// already come loose; among lines of the same depth always the nearest start or end follows.
pub fn ordered(lines: Vec<BezPath>) -> Vec<BezPath> {
    let depths = depths(&lines);
    let deepest = depths.iter().copied().max().unwrap_or(0);
    let mut lines: Vec<Option<BezPath>> = lines.into_iter().map(Some).collect();
    let mut ordered = Vec::with_capacity(lines.len());
    let mut at = Point::ZERO;
    for depth in (0..=deepest).rev() {
        let indexes = (0..lines.len()).filter(|&i| depths[i] == depth);
        let mut level: Vec<(usize, BezPath)> = Vec::new();
        for index in indexes {
            level.extend(lines[index].take().map(|path| (index, path)));
        }
        chain(level, &mut at, &mut ordered);
    }
    ordered
}

/// Length of the moves between lines, from the sheet's left top corner to the start of the first, and so on.
pub fn travel(lines: &[BezPath]) -> Mm {
    Mm::new(moves(lines).sum())
}

/// The moves between lines, in mm.
pub fn moves(lines: &[BezPath]) -> impl Iterator<Item = f64> + '_ {
    lines.windows(2).map(|pair| end(&pair[0]).distance(start(&pair[1])))
}

/// How many closed lines each line lies in.
fn depths(lines: &[BezPath]) -> Vec<usize> {
    let closed: Vec<Boxed> = lines
        .iter()
        .enumerate()
        .filter(|(_, path)| is_closed(path))
        .map(|(index, path)| Boxed { index, bounds: path.bounding_box() })
        .collect();
    let tree = RTree::bulk_load(closed);
    let depth = |(index, path): (usize, &BezPath)| {
        let middle = middle(path);
        let about = tree.locate_all_at_point(&[middle.x, middle.y]);
        about.filter(|b| b.index != index && encloses(&lines[b.index], path, middle)).count()
    };
    lines.iter().enumerate().map(depth).collect()
}

/// Whether a closed line goes round another. Of two equal lines, neither goes round the other.
fn encloses(outer: &BezPath, inner: &BezPath, middle: Point) -> bool {
    let larger = outer.area().abs() > inner.area().abs() || !is_closed(inner);
    larger && outer.winding(middle) != 0
}

struct Boxed {
    index: usize,
    bounds: Rect,
}

impl RTreeObject for Boxed {
    type Envelope = AABB<[f64; 2]>;
    fn envelope(&self) -> Self::Envelope {
        AABB::from_corners([self.bounds.x0, self.bounds.y0], [self.bounds.x1, self.bounds.y1])
    }
}

impl PointDistance for Boxed {
    fn distance_2(&self, point: &[f64; 2]) -> f64 {
        self.envelope().distance_2(point)
    }
}

/// A point where a line may be entered.
#[derive(Clone, PartialEq)]
struct Entry {
    at: Point,
    line: usize,
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
    let mut entries = vec![Entry { at: start(path), line, backwards: false }];
    if !is_closed(path) {
        entries.push(Entry { at: end(path), line, backwards: true });
    }
    entries
}

/// Adds lines one after the other, each time the one that starts or ends nearest.
fn chain(level: Vec<(usize, BezPath)>, at: &mut Point, ordered: &mut Vec<BezPath>) {
    let mut lines: Vec<Option<BezPath>> = level.into_iter().map(|(_, path)| Some(path)).collect();
    let all = lines.iter().enumerate().flat_map(|(i, path)| path.iter().flat_map(move |p| entries(i, p)));
    let mut tree = RTree::bulk_load(all.collect::<Vec<_>>());
    while let Some(next) = nearest(&tree, *at) {
        let Some(path) = lines[next.line].take() else { break };
        for entry in entries(next.line, &path) {
            tree.remove(&entry);
        }
        let path = if next.backwards { path.reverse_subpaths() } else { path };
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
        if (other.line, other.backwards) < (best.line, best.backwards) {
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

/// A point of the line away from its ends, which may lie on another line.
fn middle(path: &BezPath) -> Point {
    let count = path.segments().count();
    path.segments().nth(count / 2).map_or(Point::ZERO, |s| s.eval(0.5))
}

/// More areas than this are not compared one by one.
const MOST_COMPARED: usize = 100;

/// An area of drawings together, lines at their drawn width. Those that an earlier build has widened are taken
/// from `cache`.
pub fn area_of<'a>(drawings: impl IntoIterator<Item = &'a Drawing>, cache: &Cache) -> Region {
    let areas: Vec<Arc<Region>> = drawings
        .into_iter()
        .map(|drawing| {
            let ink = drawing.ink.contours().iter().fold(MadeFrom::kind("area"), MadeFrom::path);
            let line = |key: MadeFrom, line: &Line| key.path(&line.path).shown(&line.width);
            let made_from = drawing.lines.iter().fold(ink.text("lines"), line);
            cache.keep(made_from, || crate::figures::area_of(drawing).unwrap_or_else(|_| drawing.ink.clone()))
        })
        .collect();
    let areas: Vec<&Region> = areas.iter().map(Arc::as_ref).collect();
    if let Some(beside) = beside_each_other(&areas) {
        return beside;
    }
    Region::union(&areas)
}

/// Areas whose boxes lie apart need no sweep to be one: their contours cannot meet.
fn beside_each_other(areas: &[&Region]) -> Option<Region> {
    let boxes: Vec<Rect> = areas.iter().filter_map(|area| area.bounds()).collect();
    let apart = |a: &Rect, b: &Rect| a.x1 < b.x0 || b.x1 < a.x0 || a.y1 < b.y0 || b.y1 < a.y0;
    let all_apart = boxes.iter().enumerate().all(|(i, a)| boxes[i + 1..].iter().all(|b| apart(a, b)));
    let contours = || areas.iter().flat_map(|area| area.contours().iter().cloned()).collect();
    (all_apart && boxes.len() <= MOST_COMPARED).then(|| Region::from_clean_contours(contours()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Circle;

    fn circle(x: f64, y: f64, r: f64) -> BezPath {
        Circle::new((x, y), r).to_path(1e-3)
    }

    #[test]
    fn inner_lines_come_before_outer_ones() {
        // Topological order: for each pair of A inside B, A comes first. Three rings in each other, outermost first.
        let lines = vec![circle(50.0, 50.0, 30.0), circle(50.0, 50.0, 20.0), circle(50.0, 50.0, 10.0)];
        let areas: Vec<f64> = ordered(lines).iter().map(|p| p.area().abs()).collect();
        assert!(areas.windows(2).all(|w| w[0] < w[1]), "{areas:?}");
    }

    #[test]
    fn seams_that_end_on_the_outline_come_before_it() {
        let outline = Rect::new(0.0, 0.0, 100.0, 60.0).to_path(0.1);
        let seam = BezPath::from_svg("M 50 0 L 50 60").unwrap();
        let order = ordered(vec![outline, seam]);
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
        let order = ordered(dots);
        assert_eq!(order.len(), 9);
        let after = travel(&order).get();
        assert!(79.9 < after && after < before, "{after} {before}");
    }
}
