//! Ends of lines that nearly meet.
//!
//! A gap is closed by a straight bridge: what was drawn stays where it is, and whatever ends on it still does.

use super::Place;
use crate::geometry::{Drawing, EndNear, Line, OpenEnd, open_ends};
use crate::units::Mm;
use kurbo::{BezPath, PathEl, Point};

/// Bridges bring new places to end on; after so many rounds the rest is left.
const MOST_ROUNDS: usize = 16;

/// Gaps are closed up to these shares of the length, one after the other.
const SHARES: [f64; 4] = [0.125, 0.25, 0.5, 1.0];

/// The ends within `up_to` of another end or of a line that they stop short of.
pub(super) fn look(drawing: &Drawing, up_to: Mm) -> Vec<OpenEnd> {
    let lines: Vec<BezPath> = drawing.lines.iter().map(|l| l.path.clone()).collect();
    let mut found = open_ends(&lines, up_to);
    found.retain(|end| end.near != EndNear::Past);
    found
}

/// Closes gaps of lines, and says of filled outlines with such a gap that they are meant to be closed.
pub(super) fn close(drawing: &mut Drawing, up_to: Mm) -> Vec<Place> {
    let mut closed = outlines(drawing, up_to);
    // The narrowest first: an end that all but touches a line belongs to it, not to the next end.
    for share in SHARES {
        close_up_to(drawing, up_to * share, &mut closed);
    }
    closed
}

fn close_up_to(drawing: &mut Drawing, up_to: Mm, closed: &mut Vec<Place>) {
    for _ in 0..MOST_ROUNDS {
        let found = look(drawing, up_to);
        let meet: Vec<OpenEnd> = found.iter().copied().filter(|e| e.near == EndNear::End).collect();
        if found.is_empty() {
            break;
        } else if meet.is_empty() {
            lengthen(&mut drawing.lines, &found);
            closed.extend(found.iter().map(place));
        } else {
            drawing.lines = joined(std::mem::take(&mut drawing.lines), &meet);
            closed.extend(meet.iter().map(place));
        }
    }
}

fn place(end: &OpenEnd) -> Place {
    Place { at: end.at.midpoint(end.to), size: end.gap }
}

/// Filled outlines are burned as if a straight line closed them; where the gap is small, that is what was meant.
fn outlines(drawing: &mut Drawing, up_to: Mm) -> Vec<Place> {
    let mut closed = Vec::new();
    for part in drawing.parts.iter_mut().filter(|p| p.filled) {
        part.open.retain(|ends| {
            let is_gap = ends.gap() <= up_to;
            closed.extend(is_gap.then(|| Place { at: ends.from.midpoint(ends.to), size: ends.gap() }));
            !is_gap
        });
    }
    closed
}

/// An end of a line: twice its number, and one more for its end.
type End = usize;

fn start_of(path: &BezPath) -> Option<Point> {
    path.elements().first().and_then(PathEl::end_point)
}

/// Which end of a line lies at a place.
fn end_at(lines: &[Line], line: usize, at: Point) -> End {
    2 * line + usize::from(start_of(&lines[line].path) != Some(at))
}

/// Draws lines on that stop short of another.
fn lengthen(lines: &mut [Line], short: &[OpenEnd]) {
    for end in short {
        let number = end_at(lines, end.line, end.at);
        bridge(&mut lines[end.line].path, number, end.to);
    }
}

/// Draws a line on from one of its ends.
fn bridge(path: &mut BezPath, end: End, to: Point) {
    if end.is_multiple_of(2) {
        let mut turned = path.reverse_subpaths();
        turned.line_to(to);
        *path = turned.reverse_subpaths();
    } else {
        path.line_to(to);
    }
}

/// Joins lines at pairs of ends. Lines of unlike pens are only drawn on until they meet.
fn joined(mut lines: Vec<Line>, pairs: &[OpenEnd]) -> Vec<Line> {
    let mut mates: Vec<Option<End>> = vec![None; 2 * lines.len()];
    for pair in pairs {
        let a = end_at(&lines, pair.line, pair.at);
        let b = if pair.line == pair.other { a ^ 1 } else { end_at(&lines, pair.other, pair.to) };
        let alike = (lines[a / 2].width, lines[a / 2].pen) == (lines[b / 2].width, lines[b / 2].pen);
        if alike {
            (mates[a], mates[b]) = (Some(b), Some(a));
        } else {
            bridge(&mut lines[a / 2].path, a, pair.to);
        }
    }
    let mut done = vec![false; lines.len()];
    let mut chains = Vec::new();
    for line in 0..lines.len() {
        if !done[line] {
            chains.push(chain(line, &lines, &mates, &mut done));
        }
    }
    chains
}

/// The whole chain that a line is part of, as one line.
fn chain(line: usize, lines: &[Line], mates: &[Option<End>], done: &mut [bool]) -> Line {
    let (mut first, mut closed) = (2 * line, false);
    while let Some(before) = mates[first] {
        if before / 2 == line && before % 2 == 1 {
            closed = true;
            first = 2 * line;
            break;
        }
        first = before ^ 1;
    }
    let mut path = BezPath::new();
    let mut next = Some(first);
    while let Some(end) = next.filter(|e| !done[e / 2]) {
        done[end / 2] = true;
        let own = &lines[end / 2].path;
        let own = if end.is_multiple_of(2) { own.clone() } else { own.reverse_subpaths() };
        for element in own.elements() {
            match *element {
                PathEl::MoveTo(p) if !path.elements().is_empty() => path.line_to(p),
                other => path.push(other),
            }
        }
        next = mates[end ^ 1];
    }
    if closed {
        path.close_path();
    }
    Line { path, ..lines[line].clone() }
}
