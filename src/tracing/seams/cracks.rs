//! The cracks between pixels of different areas, as a graph.
//!
//! Cracks run along the sides of pixels. They meet at corners of pixels where three areas do, and end at the rim of the
//! sheet, where what lies beyond is an area of its own.

use super::super::lines::{Graph, radius};
use crate::raster::Plane;
use kurbo::Point;

/// From a corner of a pixel up, right, down and left.
const STEPS: [(isize, isize); 4] = [(0, -1), (1, 0), (0, 1), (-1, 0)];

struct Cracks<'a> {
    labels: &'a [u32],
    width: usize,
    height: usize,
    /// The node at each corner of a pixel, from 1.
    nodes: Vec<u32>,
    /// Bit `k`: the crack from a corner in direction `k` has been gone along.
    passed: Vec<u8>,
}

/// The graph of the cracks of a sheet of labels, which must all be areas; `distance` is that of each pixel to the nearest
/// paper.
pub(in crate::tracing) fn cracks(labels: &[u32], width: usize, distance: &Plane) -> Graph {
    let height = labels.len() / width;
    let corners = (width + 1) * (height + 1);
    let mut cracks = Cracks { labels, width, height, nodes: vec![0; corners], passed: vec![0; corners] };
    let mut graph = Graph::default();
    for at in 0..corners {
        if cracks.is_node(at) {
            let place = cracks.place(at);
            cracks.nodes[at] = graph.add_node(place, radius(distance, place)) as u32 + 1;
        }
    }
    for at in 0..corners {
        if cracks.nodes[at] > 0 {
            (0..4).for_each(|k| cracks.follow_from(at, k, &mut graph));
        }
    }
    for at in 0..corners {
        (0..4).for_each(|k| cracks.follow_ring(at, k, &mut graph));
    }
    graph
}

impl Cracks<'_> {
    fn place(&self, at: usize) -> Point {
        Point::new((at % (self.width + 1)) as f64, (at / (self.width + 1)) as f64)
    }

    /// The labels about a corner of a pixel: right top, right bottom, left bottom, left top; 0 beyond the rim.
    fn about(&self, at: usize) -> [u32; 4] {
        let (x, y) = (at % (self.width + 1), at / (self.width + 1));
        let label = |right: usize, down: usize| {
            let (x, y) = ((x + right).wrapping_sub(1), (y + down).wrapping_sub(1));
            if x < self.width && y < self.height { self.labels[y * self.width + x] } else { 0 }
        };
        [label(1, 0), label(1, 1), label(0, 1), label(0, 0)]
    }

    /// Whether a crack goes from a corner in direction `k`: the rim is none.
    fn goes(about: [u32; 4], k: usize) -> bool {
        // The crack upward parts left top and right top, and so on clockwise.
        let (a, b) = (about[(k + 3) % 4], about[k]);
        a != b && a != 0 && b != 0
    }

    fn is_node(&self, at: usize) -> bool {
        let about = self.about(at);
        let count = (0..4).filter(|&k| Self::goes(about, k)).count();
        match count {
            0 | 2 => false,
            // Two areas that touch over corners pass by each other there.
            4 => about[0] != about[2] || about[1] != about[3],
            _ => true,
        }
    }

    /// The direction in which a crack goes on that comes to a corner, going in direction `k`.
    fn onward(&self, at: usize, k: usize) -> Option<usize> {
        let about = self.about(at);
        let back = (k + 2) % 4;
        if (0..4).all(|k| Self::goes(about, k)) {
            // Of two areas that touch over corners the one that was found first hangs together.
            let first_is_right_top = about[0] < about[1];
            let partner = if first_is_right_top { [3, 2, 1, 0] } else { [1, 0, 3, 2] };
            return Some(partner[back]);
        }
        (0..4).find(|&k| k != back && Self::goes(about, k))
    }

    fn step(&self, at: usize, k: usize) -> usize {
        let (x, y) = STEPS[k];
        at.wrapping_add_signed(x + y * (self.width + 1).cast_signed())
    }

    /// Goes along the cracks from a corner until they come to a node or back; the corners passed, and the last one.
    fn follow(&mut self, start: usize, k: usize) -> (Vec<Point>, usize) {
        let (mut at, mut k) = (start, k);
        // Samples are taken half way along cracks: so a staircase is as straight as it can be.
        let mut points = Vec::new();
        loop {
            self.passed[at] |= 1 << k;
            let next = self.step(at, k);
            self.passed[next] |= 1 << ((k + 2) % 4);
            points.push(self.place(at).midpoint(self.place(next)));
            at = next;
            if self.nodes[at] > 0 {
                return (points, at);
            }
            match self.onward(at, k) {
                Some(on) if self.passed[at] & (1 << on) == 0 => k = on,
                _ => return (points, at),
            }
        }
    }

    fn is_new(&self, at: usize, k: usize) -> bool {
        self.passed[at] & (1 << k) == 0 && Self::goes(self.about(at), k)
    }

    fn follow_from(&mut self, at: usize, k: usize, graph: &mut Graph) {
        if !self.is_new(at, k) {
            return;
        }
        let (points, end) = self.follow(at, k);
        let all = std::iter::once(self.place(at)).chain(points).chain([self.place(end)]).collect();
        // What comes to no node has come back to its own.
        let far = if self.nodes[end] > 0 { self.nodes[end] } else { self.nodes[at] };
        graph.add_chain([self.nodes[at] as usize - 1, far as usize - 1], all);
    }

    fn follow_ring(&mut self, at: usize, k: usize, graph: &mut Graph) {
        if self.is_new(at, k) {
            let (points, _) = self.follow(at, k);
            graph.rings.push(points);
        }
    }
}
