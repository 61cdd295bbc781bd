//! Ends of open lines that lie near something without meeting it.

use crate::geometry::chords::{Chord, ChordTree, Subpath, of_paths};
use crate::units::Mm;
use kurbo::{BezPath, Point, Rect};

/// Ends within this (mm) of what they should meet do meet it: less than flattening and rounding make of it.
const JOINED: f64 = 1e-3;

/// Pairs of an end and what lies near it that are looked at in all.
const MOST_PAIRS: usize = 4_000_000;

/// The way along a line between two places of it, over their distance, from which on they are near each other and not
/// merely neighbours.
const ROUND: f64 = 3.0;

/// What an open end lies near to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EndNear {
    /// Another end, or the other end of its own line; each is the nearest to the other.
    End,
    /// A line that it stops short of.
    Short,
    /// A line that it runs past.
    Past,
}

/// The end of an open line that nearly meets something.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OpenEnd {
    /// The end.
    pub at: Point,
    /// What it lies near to: the place there.
    pub to: Point,
    /// How far they are apart.
    pub gap: Mm,
    /// What that is.
    pub near: EndNear,
    /// Index of the path that ends.
    pub line: usize,
    /// Index of the path it lies near to; the same when it is its own.
    pub other: usize,
}

/// The ends of open lines that meet nothing, but lie within `gap` of another end or line; in the order of the paths.
/// Two ends that lie near each other count once.
pub fn open_ends(lines: &[BezPath], gap: Mm) -> Vec<OpenEnd> {
    let gap = gap.get();
    if gap.is_nan() || gap <= 0.0 {
        return Vec::new();
    }
    let (chords, subpaths) = of_paths(lines);
    let ends = ends_of(&chords, &subpaths);
    let search = Search { lines: ChordTree::new(chords), tree: ChordTree::new(ends.clone()), ends, subpaths, gap };
    let mut pairs = 0;
    let mut near: Vec<Option<Near>> = Vec::new();
    for end in &search.ends {
        near.push(if pairs < MOST_PAIRS { search.near(end, &mut pairs) } else { None });
    }
    (0..near.len()).filter_map(|i| search.open_end(i, &near)).collect()
}

/// The ends of open lines, as chords without a length: of each line its start, then its end.
fn ends_of(chords: &[Chord], subpaths: &[Subpath]) -> Vec<Chord> {
    let open = chords.chunk_by(|a, b| a.subpath == b.subpath).filter(|c| !subpaths[c[0].subpath].closed);
    let ends = open.flat_map(|subpath| {
        let (first, last) = (subpath[0], subpath[subpath.len() - 1]);
        let along = subpaths[first.subpath].length;
        [Chord { to: first.from, ..first }, Chord { from: last.to, along, ..last }]
    });
    ends.enumerate().map(|(index, end)| Chord { index, ..end }).collect()
}

struct Search {
    lines: ChordTree,
    tree: ChordTree,
    ends: Vec<Chord>,
    subpaths: Vec<Subpath>,
    gap: f64,
}

/// What lies near an end: the nearest other end and the nearest place on a line, each with its distance.
struct Near {
    end: Option<(f64, usize)>,
    line: Option<(f64, Point, Chord)>,
}

impl Search {
    /// What lies near an end; none when it meets something.
    fn near(&self, end: &Chord, pairs: &mut usize) -> Option<Near> {
        let bounds = Rect::from_points(end.from, end.from).inflate(self.gap, self.gap);
        let (ends, lines) = (self.tree.meeting(bounds), self.lines.meeting(bounds));
        *pairs += ends.len() + lines.len();
        let apart = |along: f64, chord: &Chord, distance: f64| {
            chord.subpath != end.subpath || self.subpaths[end.subpath].way(end.along, along) > ROUND * distance
        };
        let others = ends.into_iter().filter(|e| e.index != end.index);
        let distances = others.map(|e| (e.from.distance(end.from), e)).filter(|(d, e)| apart(e.along, e, *d));
        let nearest_end =
            distances.map(|(d, e)| (d, e.index)).min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let places = lines.into_iter().map(|c| (c, c.nearest(end.from)));
        let distances = places.map(|(c, at)| (at.distance(end.from), at, *c));
        let lines = distances.filter(|(d, at, c)| apart(c.along + c.from.distance(*at), c, *d));
        let nearest_line = lines.min_by(|a, b| a.0.total_cmp(&b.0).then(a.2.index.cmp(&b.2.index)));
        let meets = nearest_end.is_some_and(|e| e.0 <= JOINED) || nearest_line.is_some_and(|l| l.0 <= JOINED);
        (!meets).then_some(Near {
            end: nearest_end.filter(|e| e.0 <= self.gap),
            line: nearest_line.filter(|l| l.0 <= self.gap),
        })
    }

    fn open_end(&self, index: usize, near: &[Option<Near>]) -> Option<OpenEnd> {
        let (end, mine) = (&self.ends[index], near[index].as_ref()?);
        let line = self.subpaths[end.subpath].path;
        if let Some((distance, other)) = mine.end {
            let back = near[other].as_ref().and_then(|n| n.end);
            if back.is_some_and(|(_, i)| i == index) {
                let (to, other_line) = (self.ends[other].from, self.subpaths[self.ends[other].subpath].path);
                let found = OpenEnd {
                    at: end.from,
                    to,
                    gap: Mm::new(distance),
                    near: EndNear::End,
                    line,
                    other: other_line,
                };
                return (index < other).then_some(found);
            }
        }
        let (distance, to, chord) = mine.line?;
        let near = if self.runs_past(end, &chord) { EndNear::Past } else { EndNear::Short };
        Some(OpenEnd {
            at: end.from,
            to,
            gap: Mm::new(distance),
            near,
            line,
            other: self.subpaths[chord.subpath].path,
        })
    }

    /// Whether the line that ends crosses another just before its end.
    fn runs_past(&self, end: &Chord, other: &Chord) -> bool {
        let bounds = Rect::from_points(end.from, end.from).inflate(self.gap, self.gap);
        let own = self.lines.meeting(bounds).into_iter().filter(|c| c.subpath == end.subpath);
        own.filter(|c| c.index != other.index).any(|c| {
            let (a, b) = c.nearest_pair(other);
            let along = c.along + c.from.distance(a);
            a == b && self.subpaths[end.subpath].way(end.along, along) <= ROUND * self.gap
        })
    }
}
