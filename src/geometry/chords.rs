//! Chords in a tree of boxes: what every measurement asks for what is near.

use super::flatten;
use kurbo::{BezPath, Point, Rect};

/// Consecutive chords in a leaf. A tree of single chords is many times slower: its boxes cost more than the chords.
const LEAF: usize = 8;

/// One chord of a flattened path.
#[derive(Clone, Copy, Debug)]
pub(super) struct Chord {
    pub from: Point,
    pub to: Point,
    /// Which subpath of all it belongs to.
    pub subpath: usize,
    /// Where it starts, in mm along that subpath.
    pub along: f64,
    /// Which chord of all it is; the chords of a subpath follow each other.
    pub index: usize,
}

impl Chord {
    /// The nearest point of the chord to `p`.
    pub fn nearest(&self, p: Point) -> Point {
        let run = self.to - self.from;
        let t = (p - self.from).dot(run) / run.hypot2();
        if t >= 1.0 {
            self.to
        } else if t > 0.0 {
            self.from + run * t
        } else {
            // Also where the chord has no length and `t` is no number.
            self.from
        }
    }

    pub fn length(&self) -> f64 {
        self.from.distance(self.to)
    }

    fn bounds(&self) -> Rect {
        Rect::from_points(self.from, self.to)
    }

    /// The nearest points of two chords.
    pub fn nearest_pair(&self, other: &Self) -> (Point, Point) {
        if let Some(crossing) = self.crossing(other) {
            return (crossing, crossing);
        }
        let pairs = [
            (self.from, other.nearest(self.from)),
            (self.to, other.nearest(self.to)),
            (self.nearest(other.from), other.from),
            (self.nearest(other.to), other.to),
        ];
        let gap = |p: &(Point, Point)| (p.1 - p.0).hypot2();
        pairs.into_iter().min_by(|a, b| gap(a).total_cmp(&gap(b))).unwrap_or(pairs[0])
    }

    fn crossing(&self, other: &Self) -> Option<Point> {
        let (u, v, w) = (self.to - self.from, other.to - other.from, other.from - self.from);
        let area = u.cross(v);
        let (s, t) = (w.cross(v) / area, w.cross(u) / area);
        ((0.0..=1.0).contains(&s) && (0.0..=1.0).contains(&t)).then(|| self.from + u * s)
    }
}

/// The chords of paths, and for each subpath its length in mm, and whether it is closed.
pub(super) fn of_paths<'a>(paths: impl IntoIterator<Item = &'a BezPath>) -> (Vec<Chord>, Vec<Subpath>) {
    let (mut chords, mut subpaths) = (Vec::new(), Vec::new());
    for (path, whole) in paths.into_iter().enumerate() {
        for subpath in flatten::subpaths(whole) {
            let points = flatten::chords(&subpath);
            let mut along = 0.0;
            for pair in points.windows(2) {
                let (subpath, index) = (subpaths.len(), chords.len());
                let chord = Chord { from: pair[0], to: pair[1], subpath, along, index };
                along += chord.length();
                chords.push(chord);
            }
            subpaths.push(Subpath { path, length: along, closed: flatten::is_closed(&subpath) });
        }
    }
    (chords, subpaths)
}

/// What is known of a subpath beside its chords.
#[derive(Clone, Copy, Debug)]
pub(super) struct Subpath {
    /// Which of the given paths it is part of.
    pub path: usize,
    /// Its length in mm.
    pub length: f64,
    /// Whether it ends where it starts.
    pub closed: bool,
}

impl Subpath {
    /// The way along the subpath between two places on it, round the end if that is shorter.
    pub fn way(&self, a: f64, b: f64) -> f64 {
        let way = (a - b).abs();
        if self.closed { way.min(self.length - way) } else { way }
    }
}

/// The box round a few chords that follow each other on a line, which hardly ever lie apart.
#[derive(Clone, Copy)]
struct Chunk {
    bounds: Rect,
    first: usize,
    count: usize,
}

/// A box over chunks `first..first + count`; an inner one has a left child right behind it and a right child.
struct Node {
    bounds: Rect,
    first: usize,
    count: usize,
    right: Option<usize>,
}

/// A tree of boxes over chords.
pub(super) struct ChordTree {
    chords: Vec<Chord>,
    chunks: Vec<Chunk>,
    nodes: Vec<Node>,
}

/// A place on a chord of a tree.
#[derive(Clone, Copy, Debug)]
pub(super) struct Hit {
    pub at: Point,
    pub distance: f64,
    pub chord: Chord,
}

impl ChordTree {
    pub fn new(chords: Vec<Chord>) -> Self {
        let chunks = chunks(&chords);
        let mut tree = Self { chords, nodes: Vec::with_capacity(2 * chunks.len()), chunks };
        if !tree.chunks.is_empty() {
            tree.grow(0, tree.chunks.len());
        }
        tree
    }

    pub fn of_paths<'a>(paths: impl IntoIterator<Item = &'a BezPath>) -> Self {
        Self::new(of_paths(paths).0)
    }

    /// The chords, in their order.
    pub fn chords(&self) -> &[Chord] {
        &self.chords
    }

    fn grow(&mut self, first: usize, count: usize) {
        let chunks = &mut self.chunks[first..first + count];
        let bounds = chunks.iter().map(|c| c.bounds).reduce(|a, b| a.union(b)).unwrap_or_default();
        let here = self.nodes.len();
        self.nodes.push(Node { bounds, first, count, right: None });
        if count == 1 {
            return;
        }
        let wide = bounds.width() > bounds.height();
        let key = |c: &Chunk| if wide { c.bounds.x0 + c.bounds.x1 } else { c.bounds.y0 + c.bounds.y1 };
        let half = count / 2;
        chunks.select_nth_unstable_by(half, |a, b| key(a).total_cmp(&key(b)));
        self.grow(first, half);
        self.nodes[here].right = Some(self.nodes.len());
        self.grow(first + half, count - half);
    }

    fn leaf(&self, node: &Node) -> &[Chord] {
        let Chunk { first, count, .. } = self.chunks[node.first];
        &self.chords[first..first + count]
    }

    /// Every pair of chords whose boxes come within `reach` of each other, once; ends early when `each` says `false`.
    pub fn near_pairs(&self, reach: f64, mut each: impl FnMut(&Chord, &Chord) -> bool) {
        let mut open = if self.nodes.is_empty() { Vec::new() } else { vec![(0, 0)] };
        let near = |a: Rect, b: Rect| {
            a.x0 - reach <= b.x1 && b.x0 - reach <= a.x1 && a.y0 - reach <= b.y1 && b.y0 - reach <= a.y1
        };
        while let Some((i, k)) = open.pop() {
            let (a, b) = (&self.nodes[i], &self.nodes[k]);
            if !near(a.bounds, b.bounds) {
                continue;
            }
            match (a.right, b.right) {
                (Some(right), _) if i == k => open.extend([(i + 1, i + 1), (i + 1, right), (right, right)]),
                (Some(right), _) if a.count >= b.count => open.extend([(i + 1, k), (right, k)]),
                (_, Some(right)) => open.extend([(i, k + 1), (i, right)]),
                (Some(right), None) => open.extend([(i + 1, k), (right, k)]),
                (None, None) => {
                    let theirs = self.leaf(b);
                    for (n, mine) in self.leaf(a).iter().enumerate() {
                        let bounds = mine.bounds();
                        let others = if i == k { &theirs[n + 1..] } else { theirs };
                        for other in others.iter().filter(|o| near(bounds, o.bounds())) {
                            if !each(mine, other) {
                                return;
                            }
                        }
                    }
                }
            }
        }
    }

    /// The nearest place to `p` that is closer than `limit`.
    pub fn nearest(&self, p: Point, limit: f64) -> Option<Hit> {
        let mut best: Option<Hit> = None;
        let mut closest = limit;
        let mut open = vec![(0.0, 0)];
        while let Some((least, index)) = open.pop() {
            let Some(node) = self.nodes.get(index).filter(|_| least < closest) else { continue };
            if let Some(right) = node.right {
                let gap = |i: usize| box_to_point(self.nodes[i].bounds, p);
                let (a, b) = ((gap(index + 1), index + 1), (gap(right), right));
                open.extend(if a.0 < b.0 { [b, a] } else { [a, b] });
                continue;
            }
            for chord in self.leaf(node) {
                let at = chord.nearest(p);
                let distance = at.distance(p);
                if distance < closest {
                    closest = distance;
                    best = Some(Hit { at, distance, chord: *chord });
                }
            }
        }
        best
    }

    /// The chords whose boxes meet `bounds`, in the tree's order.
    pub fn meeting(&self, bounds: Rect) -> Vec<&Chord> {
        let meets = |r: Rect| r.x0 <= bounds.x1 && bounds.x0 <= r.x1 && r.y0 <= bounds.y1 && bounds.y0 <= r.y1;
        let mut found = Vec::new();
        let mut open = vec![0];
        while let Some(index) = open.pop() {
            let Some(node) = self.nodes.get(index).filter(|n| meets(n.bounds)) else { continue };
            match node.right {
                Some(right) => open.extend([right, index + 1]),
                None => found.extend(self.leaf(node).iter().filter(|c| meets(c.bounds()))),
            }
        }
        found
    }

    /// How often the chords wind about `p`.
    pub fn winding(&self, p: Point) -> i32 {
        let mut winding = 0;
        let mut open = vec![0];
        while let Some(index) = open.pop() {
            let in_reach = |n: &&Node| n.bounds.y0 <= p.y && p.y <= n.bounds.y1 && n.bounds.x1 >= p.x;
            let Some(node) = self.nodes.get(index).filter(in_reach) else { continue };
            match node.right {
                Some(right) => open.extend([right, index + 1]),
                None => winding += self.leaf(node).iter().map(|c| ray_crossing(c, p)).sum::<i32>(),
            }
        }
        winding
    }

    /// The nearest places of two trees to each other; none when a tree is empty.
    pub fn nearest_pair(&self, other: &Self) -> Option<(Point, Point)> {
        let mut best = None;
        if !self.nodes.is_empty() && !other.nodes.is_empty() {
            self.nearer_pair(0, other, 0, &mut best);
        }
        best.map(|(_, a, b)| (a, b))
    }

    fn nearer_pair(&self, mine: usize, other: &Self, theirs: usize, best: &mut Option<(f64, Point, Point)>) {
        let (a, b) = (&self.nodes[mine], &other.nodes[theirs]);
        if best.is_some_and(|(least, ..)| squared_gap(a.bounds, b.bounds) >= least) {
            return;
        }
        let split = |node: &Node, index: usize| node.right.map(|r| [index + 1, r]);
        let pairs = match (split(a, mine), split(b, theirs)) {
            (Some(m), t) if t.is_none() || a.count >= b.count => m.map(|m| (m, theirs)),
            (_, Some(t)) => t.map(|t| (mine, t)),
            _ => return self.nearer_leaves(a, other, b, best),
        };
        let gap = |&(m, t): &(usize, usize)| squared_gap(self.nodes[m].bounds, other.nodes[t].bounds);
        let near_first = if gap(&pairs[0]) <= gap(&pairs[1]) { pairs } else { [pairs[1], pairs[0]] };
        for (m, t) in near_first {
            self.nearer_pair(m, other, t, best);
        }
    }

    fn nearer_leaves(&self, a: &Node, other: &Self, b: &Node, best: &mut Option<(f64, Point, Point)>) {
        for mine in self.leaf(a) {
            let bounds = mine.bounds();
            let is_nearer = |r: Rect, best: &Option<(f64, Point, Point)>| {
                best.is_none_or(|(least, ..)| squared_gap(bounds, r) < least)
            };
            if !is_nearer(b.bounds, best) {
                continue;
            }
            for theirs in other.leaf(b) {
                if !is_nearer(theirs.bounds(), best) {
                    continue;
                }
                let (p, q) = mine.nearest_pair(theirs);
                let gap = (q - p).hypot2();
                if best.is_none_or(|(least, ..)| gap < least) {
                    *best = Some((gap, p, q));
                }
            }
        }
    }
}

/// Chords by eights, each eight on one line.
fn chunks(chords: &[Chord]) -> Vec<Chunk> {
    let mut all: Vec<Chunk> = Vec::with_capacity(chords.len() / LEAF + 1);
    let mut first = 0;
    for subpath in chords.chunk_by(|a, b| a.subpath == b.subpath) {
        for few in subpath.chunks(LEAF) {
            let bounds = few.iter().map(Chord::bounds).reduce(|a, b| a.union(b)).unwrap_or_default();
            all.push(Chunk { bounds, first, count: few.len() });
            first += few.len();
        }
    }
    all
}

/// +1, -1 or 0: whether the ray from `p` to the right crosses the chord, and which way it goes.
fn ray_crossing(c: &Chord, p: Point) -> i32 {
    if (c.from.y <= p.y) == (c.to.y <= p.y) {
        return 0;
    }
    let x = c.from.x + (p.y - c.from.y) / (c.to.y - c.from.y) * (c.to.x - c.from.x);
    match x > p.x {
        true if c.to.y > c.from.y => 1,
        true => -1,
        false => 0,
    }
}

fn box_to_point(r: Rect, p: Point) -> f64 {
    let (dx, dy) = ((r.x0 - p.x).max(p.x - r.x1).max(0.0), (r.y0 - p.y).max(p.y - r.y1).max(0.0));
    (dx * dx + dy * dy).sqrt()
}

/// The square of the distance between two boxes.
fn squared_gap(a: Rect, b: Rect) -> f64 {
    let (dx, dy) = ((b.x0 - a.x1).max(a.x0 - b.x1).max(0.0), (b.y0 - a.y1).max(a.y0 - b.y1).max(0.0));
    dx * dx + dy * dy
}
