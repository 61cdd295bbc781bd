//! Fewer points that say the same.

use kurbo::Point;

/// Chains are thinned to this (mm): it removes the tiny chords of dense outlines, which cost time and say nothing.
pub(super) const THINNING: f64 = 0.0005;

/// A point in so many is kept whatever it says: the search for the farthest point is quadratic at worst.
const STRIDE: usize = 256;

/// The indices of the points of a ring that stay, in order (Ramer 1972; Douglas and Peucker 1973); `fixed` ones do.
pub(super) fn kept(ring: &[Point], fixed: impl Fn(usize) -> bool) -> Vec<usize> {
    let count = ring.len();
    let Some(start) = (0..count).find(|&i| fixed(i)).or_else(|| leftmost(ring)) else { return Vec::new() };
    let mut keep = vec![false; count];
    let mut from = start;
    for step in 1..=count {
        let i = start + step;
        if step == count || fixed(i % count) || i - from == STRIDE {
            thin(ring, from, i, &mut keep);
            from = i;
        }
    }
    (0..count).filter(|&i| keep[i]).collect()
}

/// Where a ring without anything fixed is begun, whatever point it was written from.
fn leftmost(ring: &[Point]) -> Option<usize> {
    let order = |p: &Point, q: &Point| p.x.total_cmp(&q.x).then(p.y.total_cmp(&q.y));
    (0..ring.len()).min_by(|&a, &b| order(&ring[a], &ring[b]))
}

/// Marks what is kept from one point to another, which are. Indices may run past the end of the ring.
fn thin(ring: &[Point], from: usize, to: usize, keep: &mut [bool]) {
    let count = ring.len();
    let at = |i: usize| ring[if i >= count { i - count } else { i }];
    let mut open = vec![(from, to)];
    keep[from % count] = true;
    keep[to % count] = true;
    while let Some((from, to)) = open.pop() {
        let farthest = (from + 1..to)
            .map(|i| (i, distance_to_chord(at(i), at(from), at(to))))
            .max_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((i, distance)) = farthest
            && distance > THINNING
        {
            keep[i % count] = true;
            open.extend([(from, i), (i, to)]);
        }
    }
}

/// The distance from a point to the nearest point of a chord.
fn distance_to_chord(p: Point, a: Point, b: Point) -> f64 {
    let along = b - a;
    let t = ((p - a).dot(along) / along.hypot2()).clamp(0.0, 1.0);
    if t.is_nan() { p.distance(a) } else { p.distance(a + along * t) }
}
