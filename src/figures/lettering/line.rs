//! The line of another figure that a text runs along.

use crate::diagnostics::Sink;
use crate::figures::bench::any_length;
use crate::figures::placed::Figures;
use crate::geometry::{FLATTEN_TOLERANCE, subpaths};
use crate::intake::lettering::Along;
use crate::recipe::{AlongFigure, SHEET_NAME};
use kurbo::{BezPath, PathEl, Point, Shape};

/// Ends that are nearer than this (mm) belong together.
const MEETS: f64 = 0.01;

/// The longest line or outline of the figure, in the direction in which the text runs.
pub(super) fn of(along: &AlongFigure, figures: &Figures, sink: &mut Sink) -> Option<Along> {
    let (gap, shift) = (any_length(&along.gap, figures, sink)?, any_length(&along.shift, figures, sink)?);
    let lines = if along.figure.value == SHEET_NAME {
        vec![chords(&figures.sheet().to_path(FLATTEN_TOLERANCE.get()))]
    } else {
        let drawing = &figures.get(&along.figure.value)?.drawing;
        let areas = drawing.ink.contours().iter().map(chords);
        areas.chain(drawing.lines.iter().flat_map(|l| subpaths(&l.path)).map(|p| chords(&p))).collect()
    };
    let longest = lines.into_iter().max_by(|a, b| length(a).total_cmp(&length(b))).unwrap_or_default();
    let path = drawn(&directed(longest, along.reverse));
    Some(Along { path, gap, hanging: along.hanging, shift })
}

fn chords(path: &BezPath) -> Vec<Point> {
    let (mut points, mut closed) = (Vec::new(), false);
    kurbo::flatten(path.iter(), FLATTEN_TOLERANCE.get(), |element| match element {
        PathEl::MoveTo(p) | PathEl::LineTo(p) => points.push(p),
        _ => closed = true,
    });
    if closed && let Some(first) = points.first().copied() {
        points.push(first);
    }
    points.dedup();
    points
}

fn length(points: &[Point]) -> f64 {
    points.windows(2).map(|w| w[0].distance(w[1])).sum()
}

/// An open line from left to right, an outline clockwise from the middle of its top; or the other way about.
fn directed(mut points: Vec<Point>, reverse: bool) -> Vec<Point> {
    let (Some(first), Some(last)) = (points.first().copied(), points.last().copied()) else { return points };
    if points.len() < 4 || MEETS < first.distance(last) {
        if (last.x < first.x) != reverse {
            points.reverse();
        }
        return points;
    }
    // With y down, what runs clockwise encloses a positive area.
    let doubled: f64 = points.windows(2).map(|w| w[0].x * w[1].y - w[1].x * w[0].y).sum();
    if (doubled < 0.0) != reverse {
        points.reverse();
    }
    begun_at_middle(&points, reverse)
}

/// A closed line that starts where it crosses the middle of its box: at the top, or at the bottom.
fn begun_at_middle(points: &[Point], at_bottom: bool) -> Vec<Point> {
    let (left, right) = points.iter().fold((f64::MAX, f64::MIN), |(l, r), p| (l.min(p.x), r.max(p.x)));
    let middle = f64::midpoint(left, right);
    let crossing = |side: usize| {
        let (a, b) = (points[side], points[side + 1]);
        let crosses = (a.x <= middle) != (b.x <= middle);
        crosses.then(|| (side, a.lerp(b, (middle - a.x) / (b.x - a.x))))
    };
    let crossings = (0..points.len() - 1).filter_map(crossing);
    let key = |c: &(usize, Point)| if at_bottom { -c.1.y } else { c.1.y };
    let Some((side, start)) = crossings.min_by(|a, b| key(a).total_cmp(&key(b))) else { return points.to_vec() };
    let mut turned = vec![start];
    turned.extend_from_slice(&points[side + 1..]);
    turned.extend_from_slice(&points[1..=side]);
    turned.push(start);
    turned.dedup();
    turned
}

fn drawn(points: &[Point]) -> BezPath {
    let mut path = BezPath::new();
    for (index, point) in points.iter().enumerate() {
        if index == 0 {
            path.move_to(*point);
        } else {
            path.line_to(*point);
        }
    }
    path
}
