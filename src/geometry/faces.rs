//! The areas that lines enclose between them: what falls apart when the lines are cut.

use super::boolean::is_substantial;
use super::chords::{Chord, ChordTree, of_paths};
use super::grid::{self, Node, Ring};
use super::{Region, flatten};
use crate::units::Mm;
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay::{ContourDirection, IntOverlayOptions};
use i_overlay::i_float::int::point::IntPoint;
use i_overlay::string::overlay::StringOverlay;
use i_overlay::string::rule::StringRule;
use kurbo::{BezPath, PathEl, Point, Rect, Vec2};

/// The frame lies so far (mm) outside all lines.
const MARGIN: f64 = 1.0;

/// Half the length (mm) of the tick that ties an open end to a line: some steps of the lattice, so that it
/// crosses the line however both are rounded.
const TICK: f64 = 0.001;

/// The areas that lines enclose, in the order of their smallest corners; what lies outside of all lines is none.
///
/// A face has a hole where lines inside it do not touch its border, and what they enclose is a face too. A line that
/// ends in the middle of a face parts nothing; an open end within `reach` of a line, or of another end, counts
/// as touching it; with a reach of nothing, lines touch only where they have a node in common or cross. Faces are bounded by chords within [`FLATTEN_TOLERANCE`](super::FLATTEN_TOLERANCE).
pub fn faces(lines: &[BezPath], reach: Mm) -> Vec<Region> {
    let chains: Vec<Vec<Node>> = lines
        .iter()
        .flat_map(flatten::subpaths)
        .map(|s| flatten::chords(&s).into_iter().map(Node::nearest).collect())
        .collect();
    let ticks = ticks(lines, reach.get());
    let all = || chains.iter().chain(&ticks);
    let Some(frame) = frame(all().flatten()) else { return Vec::new() };
    let mut overlay = StringOverlay::<i64>::with_options(all().map(Vec::len).sum(), options());
    overlay.add_shape_contour_iter(frame.iter().map(|&n| int_point(n)));
    for pair in all().flat_map(|c| c.windows(2)) {
        overlay.add_string_line([int_point(pair[0]), int_point(pair[1])]);
    }
    let Some(graph) = overlay.build_graph_view(FillRule::NonZero) else { return Vec::new() };
    let shapes = graph.extract_shapes_custom(StringRule::Slice, options()).into_iter();
    let ring = |r: Vec<IntPoint<i64>>| -> Ring { r.into_iter().map(|p| Node { x: p.x, y: p.y }).collect() };
    let mut faces: Vec<Vec<Ring>> =
        shapes.filter_map(|s| face(s.into_iter().map(ring).collect(), frame[0])).collect();
    faces.sort_unstable();
    faces.iter().map(|f| Region::from_clean_contours(f.iter().map(|r| contour(r)).collect())).collect()
}

fn options() -> IntOverlayOptions<u128> {
    IntOverlayOptions {
        preserve_input_collinear: false,
        output_direction: ContourDirection::CounterClockwise,
        preserve_output_collinear: false,
        min_output_area: 0,
        ogc: true,
    }
}

fn int_point(n: Node) -> IntPoint<i64> {
    IntPoint::new(n.x, n.y)
}

/// A rectangle round everything.
fn frame<'a>(nodes: impl Iterator<Item = &'a Node>) -> Option<[Node; 4]> {
    let bounds = nodes.map(|n| Rect::from_origin_size(n.point(), (0.0, 0.0))).reduce(|a, b| a.union(b))?;
    let Rect { x0, y0, x1, y1 } = bounds.inflate(MARGIN, MARGIN);
    Some([(x0, y0), (x1, y0), (x1, y1), (x0, y1)].map(|p| Node::nearest(p.into())))
}

/// The rings of a face that are worth keeping; none where it is the outside, which reaches into the frame's corners.
fn face(rings: Vec<Ring>, corner: Node) -> Option<Vec<Ring>> {
    let mut rings = rings.into_iter().map(grid::from_smallest);
    let outer = rings.next().filter(|r| is_substantial(r) && !r.contains(&corner))?;
    let mut holes: Vec<Ring> = rings.filter(is_substantial).collect();
    holes.sort_unstable();
    holes.insert(0, outer);
    Some(holes)
}

fn contour(ring: &[Node]) -> BezPath {
    let element = |(i, node): (usize, &Node)| {
        if i == 0 { PathEl::MoveTo(node.point()) } else { PathEl::LineTo(node.point()) }
    };
    ring.iter().enumerate().map(element).chain([PathEl::ClosePath]).collect()
}

/// Short lines that tie open ends to what they nearly touch, across it so that they surely cross it.
fn ticks(lines: &[BezPath], reach: f64) -> Vec<Vec<Node>> {
    if reach.is_nan() || reach <= 0.0 {
        return Vec::new();
    }
    let (chords, subpaths) = of_paths(lines);
    let tree = ChordTree::new(chords.clone());
    let mut ticks = Vec::new();
    for chain in chords.chunk_by(|a, b| a.subpath == b.subpath) {
        let (Some(first), Some(last)) = (chain.first(), chain.last()) else { continue };
        if subpaths[first.subpath].closed {
            continue;
        }
        for (end, along) in [(first.from, 0.0), (last.to, subpaths[last.subpath].length)] {
            let is_another =
                |c: &&Chord| c.subpath != first.subpath || (c.along - along).abs() > 4.0 * reach + c.length();
            let near = tree.meeting(Rect::from_center_size(end, (2.0 * reach, 2.0 * reach)));
            let touched = near.into_iter().filter(is_another).map(|c| (c.nearest(end), c));
            ticks.extend(
                touched.filter(|(at, _)| at.distance(end) <= reach).filter_map(|(at, c)| tick(end, at, c)),
            );
        }
    }
    ticks
}

/// From an end to the place on a chord that it nearly touches, and across the chord there; none where it ends on
/// an end of the chord.
fn tick(end: Point, at: Point, chord: &Chord) -> Option<Vec<Node>> {
    if [chord.from, chord.to].map(Node::nearest).contains(&Node::nearest(end)) {
        return None;
    }
    let along = (chord.to - chord.from) / chord.length().max(TICK);
    let across = Vec2::new(-along.y, along.x) * TICK;
    Some([end, at, at + across, at - across].map(Node::nearest).to_vec())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fmt::Write;

    fn areas(d: &str) -> Vec<f64> {
        let lines = flatten::subpaths(&BezPath::from_svg(d).expect("path data"));
        faces(&lines, Mm::new(0.01)).iter().map(|f| (f.area().get() * 1e6).round() / 1e6).collect()
    }

    #[test]
    fn a_grid_has_its_cells() {
        let mut d = String::new();
        for i in 0..=4 {
            write!(d, "M{} 0V30M0 {}H40", 10 * i, if i < 4 { 10 * i } else { 30 }).expect("a text");
        }
        assert_eq!(areas(&d), [100.0; 12]);
    }

    #[test]
    fn an_island_is_a_face_and_leaves_a_hole() {
        assert_eq!(areas("M0 0H30V30H0ZM10 10H20V20H10Z"), [800.0, 100.0]);
    }

    #[test]
    fn a_line_that_ends_inside_parts_nothing() {
        assert_eq!(areas("M0 0H30V30H0ZM15 0V20"), [900.0]);
        assert_eq!(areas("M0 0H30V30H0ZM5 5V20H10"), [900.0]);
        assert!(areas("M0 0H30M5 5V20").is_empty());
    }

    #[test]
    fn ends_within_reach_touch() {
        assert_eq!(areas("M0 0H30V30H0ZM15 0.005V29.995"), [450.0, 450.0]);
        assert_eq!(areas("M0 0H30V30H0ZM15 0.02V29.98"), [900.0]);
        // An outline whose own ends nearly meet.
        assert_eq!(areas("M0 0.005V30H30V0H0"), [900.0]);
    }

    #[test]
    fn crossing_lines_part_where_they_cross() {
        assert_eq!(areas("M0 0L10 10M0 10L10 0M0 0V10M10 0V10"), [25.0, 25.0]);
    }

    #[test]
    fn a_line_drawn_twice_encloses_nothing() {
        // The lowest line lies one step of the lattice above the edge: the slit between them is no face.
        assert_eq!(areas("M0 0H10V10H0ZM0 0H10V10H0ZM10 0V10M0 0.0001H10"), [99.999]);
    }
}
