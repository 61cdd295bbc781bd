//! What lines are burned, and in which order.

use super::model::{CleanUp, Drawn};
use crate::cache::{Cache, MadeFrom};
use crate::geometry::{
    Drawing, Line, Region, Stroke, Strokes, begun_at, clean_up, is_closed, length, starts, subpaths,
};
use crate::units::Mm;
use kurbo::{BezPath, ParamCurve, PathEl, Point, Rect};
use rstar::{AABB, PointDistance, RTree, RTreeObject};
use std::collections::BTreeMap;
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

/// Lines as they are burned: cleaned up, and in order.
pub fn cleaned(lines: &[BezPath], spot: Mm) -> (Vec<BezPath>, CleanUp) {
    let Strokes { strokes, once, saved, joined } = clean_up(lines, spot * ONE_LINE);
    let drawn = Drawn { lines: lines.len(), length: lines.iter().map(length).sum() };
    let outlines = lines.iter().filter(|l| is_closed(l)).cloned().collect();
    (ordered(strokes), CleanUp { drawn, once, saved, joined, outlines })
}

/// Lines as they are drawn, in order: for people, who see each figure's own.
pub fn drawn(lines: Vec<BezPath>) -> Vec<BezPath> {
    ordered(lines.into_iter().map(|path| Stroke { path, depth: 0 }).collect())
}

/// Within this share of the spot, two lines of an operation are one, and ends meet: the second would fall into what the
/// first has burned. A quarter moves no edge by more than the spot can show, and leaves alone the two sides of a slot
/// that is hardly wider than the beam.
const ONE_LINE: f64 = 0.25;

/// Orders strokes: what lies inside a closed line comes before it, so that nothing is cut out of a piece that has
/// already come loose; among strokes of the same depth always the one that can be begun nearest follows.
fn ordered(strokes: Vec<Stroke>) -> Vec<BezPath> {
    let mut levels: BTreeMap<usize, Vec<BezPath>> = BTreeMap::new();
    for Stroke { path, depth } in strokes {
        levels.entry(depth).or_default().push(path);
    }
    let mut ordered = Vec::new();
    let mut at = Point::ZERO;
    for (_, level) in levels.into_iter().rev() {
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
    use kurbo::{Circle, Shape};

    const SPOT: Mm = Mm::new(0.08);

    fn ordered(lines: &[BezPath]) -> Vec<BezPath> {
        cleaned(lines, SPOT).0
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
}
