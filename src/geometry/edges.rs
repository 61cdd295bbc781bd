//! The edges of many rings in one tree of boxes, eight by eight in the order they are drawn.
//!
//! Neighbours on a ring are neighbours in the plane, so chunks of them make tight boxes without any sorting,
//! and the tree over the chunks is small.

use kurbo::{Point, Rect};
use std::ops::ControlFlow;

/// Edges in a chunk: the boxes of single edges cost more than the edges.
const CHUNK: usize = 8;

/// An edge: its ring, and the index of the point it starts from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct EdgeId {
    pub ring: u32,
    pub start: u32,
}

/// Consecutive edges of one ring.
#[derive(Clone, Copy)]
struct Chunk {
    bounds: Rect,
    ring: u32,
    first: u32,
    count: u32,
}

/// A box over chunks `first..first + count`; an inner one has a left child right behind it and a right child.
struct BoxNode {
    bounds: Rect,
    first: usize,
    count: usize,
    right: Option<usize>,
}

/// A tree of boxes over the edges of rings; the first point of a ring is not repeated at its end.
pub(super) struct EdgeTree<'a> {
    rings: Vec<&'a [Point]>,
    chunks: Vec<Chunk>,
    nodes: Vec<BoxNode>,
}

impl<'a> EdgeTree<'a> {
    pub fn new(rings: Vec<&'a [Point]>) -> Self {
        let mut tree = Self { chunks: Vec::new(), nodes: Vec::new(), rings };
        for ring in 0..tree.rings.len() {
            let count = tree.rings[ring].len();
            for first in (0..count).step_by(CHUNK) {
                tree.add_chunk(ring, first, CHUNK.min(count - first));
            }
        }
        if !tree.chunks.is_empty() {
            tree.grow(0, tree.chunks.len());
        }
        tree
    }

    fn add_chunk(&mut self, ring: usize, first: usize, count: usize) {
        let points = self.rings[ring];
        let corners = points[first..first + count].iter().chain([&points[(first + count) % points.len()]]);
        let (mut low, mut high) = (points[first], points[first]);
        for p in corners {
            low = Point::new(low.x.min(p.x), low.y.min(p.y));
            high = Point::new(high.x.max(p.x), high.y.max(p.y));
        }
        let bounds = Rect::new(low.x, low.y, high.x, high.y);
        self.chunks.push(Chunk { bounds, ring: ring as u32, first: first as u32, count: count as u32 });
    }

    fn grow(&mut self, first: usize, count: usize) {
        let chunks = &mut self.chunks[first..first + count];
        let bounds = chunks.iter().map(|c| c.bounds).reduce(|a, b| a.union(b)).unwrap_or_default();
        let here = self.nodes.len();
        self.nodes.push(BoxNode { bounds, first, count, right: None });
        if count == 1 {
            return;
        }
        let wide = bounds.width() > bounds.height();
        let key = |c: &Chunk| if wide { c.bounds.x0 + c.bounds.x1 } else { c.bounds.y0 + c.bounds.y1 };
        let half = count / 2;
        chunks.select_nth_unstable_by(half, |a, b| {
            key(a).total_cmp(&key(b)).then((a.ring, a.first).cmp(&(b.ring, b.first)))
        });
        self.grow(first, half);
        self.nodes[here].right = Some(self.nodes.len());
        self.grow(first + half, count - half);
    }

    /// The two ends of an edge.
    pub fn ends(&self, edge: EdgeId) -> (Point, Point) {
        let points = self.rings[edge.ring as usize];
        let start = edge.start as usize;
        (points[start], points[if start + 1 == points.len() { 0 } else { start + 1 }])
    }

    fn edges(chunk: &Chunk) -> impl Iterator<Item = EdgeId> + use<> {
        let ring = chunk.ring;
        (chunk.first..chunk.first + chunk.count).map(move |start| EdgeId { ring, start })
    }

    /// Visits the edges whose chunks meet a box, until `visit` breaks off.
    pub fn near<B>(&self, bounds: Rect, mut visit: impl FnMut(EdgeId) -> ControlFlow<B>) -> ControlFlow<B> {
        let mut open = vec![0];
        while let Some(index) = open.pop() {
            let Some(node) = self.nodes.get(index).filter(|n| meet(n.bounds, bounds)) else { continue };
            match node.right {
                Some(right) => open.extend([right, index + 1]),
                None => Self::edges(&self.chunks[node.first]).try_for_each(&mut visit)?,
            }
        }
        ControlFlow::Continue(())
    }

    /// How often the rings wind about a point.
    pub fn winding(&self, p: Point) -> i32 {
        let mut winding = 0;
        let ray = Rect::new(p.x, p.y, f64::INFINITY, p.y);
        let _: ControlFlow<()> = self.near(ray, |edge| {
            let (a, b) = self.ends(edge);
            if (a.y <= p.y) != (b.y <= p.y) {
                let x = a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x);
                winding += if x <= p.x {
                    0
                } else if b.y > a.y {
                    1
                } else {
                    -1
                };
            }
            ControlFlow::Continue(())
        });
        winding
    }

    /// Visits each pair of edges whose boxes meet once, until `visit` breaks off.
    pub fn pairs<B>(&self, mut visit: impl FnMut(EdgeId, EdgeId) -> ControlFlow<B>) -> ControlFlow<B> {
        let mut open = if self.nodes.is_empty() { Vec::new() } else { vec![(0, 0)] };
        while let Some((a, b)) = open.pop() {
            let (first, second) = (&self.nodes[a], &self.nodes[b]);
            if !meet(first.bounds, second.bounds) {
                continue;
            }
            match (first.right, second.right) {
                (Some(right), _) if a == b => open.extend([(a + 1, a + 1), (a + 1, right), (right, right)]),
                (Some(right), _) if first.count >= second.count || second.right.is_none() => {
                    open.extend([(a + 1, b), (right, b)]);
                }
                (_, Some(right)) => open.extend([(a, b + 1), (a, right)]),
                _ => self.chunk_pairs(first.first, second.first, &mut visit)?,
            }
        }
        ControlFlow::Continue(())
    }

    fn chunk_pairs<B>(
        &self,
        a: usize,
        b: usize,
        visit: &mut impl FnMut(EdgeId, EdgeId) -> ControlFlow<B>,
    ) -> ControlFlow<B> {
        let (first, second) = (&self.chunks[a], &self.chunks[b]);
        for p in Self::edges(first) {
            let (p0, p1) = self.ends(p);
            let bounds = Rect::from_points(p0, p1);
            if !meet(bounds, second.bounds) {
                continue;
            }
            for q in Self::edges(second).filter(|q| a != b || p.start < q.start) {
                let (q0, q1) = self.ends(q);
                if meet(bounds, Rect::from_points(q0, q1)) {
                    visit(p, q)?;
                }
            }
        }
        ControlFlow::Continue(())
    }
}

fn meet(a: Rect, b: Rect) -> bool {
    a.x0 <= b.x1 && b.x0 <= a.x1 && a.y0 <= b.y1 && b.y0 <= a.y1
}
