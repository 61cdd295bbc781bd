//! Chains without the points that say nothing.
//!
//! Lattices and offsets leave points a hair apart, whose chords point anywhere, and a traced outline has a million of
//! them. Ramer (1972), Douglas and Peucker (1973), in blocks: the plain form takes quadratic time on a chain that
//! is made to hurt.

use kurbo::Point;

/// Points are thinned in blocks of this many, which bounds the time.
const BLOCK: usize = 256;

/// Passes over a chain; a next one takes out the ends of the last one's blocks.
const MOST_PASSES: usize = 4;

/// An open chain whose every dropped point lies within `least` mm of the chord that replaces it.
pub(super) fn chain(points: &[Point], least: f64) -> Vec<Point> {
    let mut points = distinct(points);
    let mut share = least;
    for _ in 0..MOST_PASSES {
        // Half of what is left each time: together the passes take no more than all.
        share /= 2.0;
        if points.len() < 3 {
            break;
        }
        let (kept, cut) = kept(&points, share);
        // A loop that is thinned away leaves its start and its end, which are one.
        points = distinct(&kept.into_iter().map(|i| points[i]).collect::<Vec<_>>());
        if !cut {
            break;
        }
    }
    points
}

/// As [`chain`], for a closed chain; it comes back begun at its smallest point, wherever it was begun.
pub(super) fn ring(points: &[Point], least: f64) -> Vec<Point> {
    let mut points = distinct(points);
    while points.len() > 1 && points.first() == points.last() {
        points.pop();
    }
    let order = |p: &Point, q: &Point| p.x.total_cmp(&q.x).then(p.y.total_cmp(&q.y));
    let Some(start) = (0..points.len()).min_by(|&a, &b| order(&points[a], &points[b])) else { return points };
    points.rotate_left(start);
    points.push(points[0]);
    let mut points = chain(&points, least);
    points.pop();
    points
}

fn distinct(points: &[Point]) -> Vec<Point> {
    let mut points = points.to_vec();
    points.dedup();
    points
}

/// The indices of the points that stay, and whether a run was cut because it was longer than a block.
///
/// Most points of most chains stand out from the chord of their neighbours by more than a longer chord could take in:
/// they stay without being asked. Between them lie the runs that are thinned.
fn kept(points: &[Point], least: f64) -> (Vec<usize>, bool) {
    let last = points.len() - 1;
    let stands_out =
        |i: usize| i == last || off_chord(points[i], points[i - 1], points[i + 1]) > 4.0 * least * least;
    let mut kept = vec![0];
    let mut open = Vec::new();
    let (mut from, mut cut) = (0, false);
    for i in 1..=last {
        let full = i - from == BLOCK;
        if !full && !stands_out(i) {
            continue;
        }
        cut |= full;
        open.push((from, i));
        while let Some((a, b)) = open.pop() {
            match farthest(points, a, b) {
                Some((at, distance)) if distance > least * least => open.extend([(at, b), (a, at)]),
                _ => kept.push(b),
            }
        }
        from = i;
    }
    (kept, cut)
}

/// The point between two others that lies farthest from their chord, and the square of how far.
fn farthest(points: &[Point], from: usize, to: usize) -> Option<(usize, f64)> {
    let mut worst = None;
    for i in from + 1..to {
        let distance = off_chord(points[i], points[from], points[to]);
        if worst.is_none_or(|(_, most)| distance > most) {
            worst = Some((i, distance));
        }
    }
    worst
}

/// The square of the distance from a point to a chord.
fn off_chord(p: Point, a: Point, b: Point) -> f64 {
    let (along, away) = (b - a, p - a);
    let square = along.hypot2();
    let t = if square > 0.0 { (away.dot(along) / square).clamp(0.0, 1.0) } else { 0.0 };
    (away - along * t).hypot2()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_square_of_many_points_has_four() {
        let side = |a: (f64, f64), b: (f64, f64)| {
            (0..1000).map(move |i| Point::from(a).lerp(Point::from(b), f64::from(i) / 1000.0))
        };
        let corners = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)];
        let mut square: Vec<Point> = (0..4).flat_map(|i| side(corners[i], corners[(i + 1) % 4])).collect();
        for turn in [0, 1, 999, 1234] {
            square.rotate_left(turn);
            assert_eq!(ring(&square, 2e-4), corners.map(Point::from));
        }
    }

    #[test]
    fn degenerate_chains_stay_small() {
        let p = Point::new(1.0, 2.0);
        assert_eq!((chain(&[], 0.1), ring(&[], 0.1)), (vec![], vec![]));
        assert_eq!((chain(&[p, p, p], 0.1), ring(&[p, p], 0.1)), (vec![p], vec![]));
        // A spike is no straight line.
        let spike = [p, Point::new(5.0, 2.0), p, Point::new(2.0, 2.0)];
        assert_eq!(chain(&spike, 0.1), spike);
    }
}
