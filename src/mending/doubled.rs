//! Lines that lie on each other.

use super::Place;
use crate::geometry::{Drawing, Line, Once, undoubled};
use crate::units::Mm;
use kurbo::BezPath;

/// Lines that look alike, by their indices; only those are one line.
fn groups(lines: &[Line]) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (index, line) in lines.iter().enumerate() {
        let alike = |g: &&mut Vec<usize>| (lines[g[0]].width, lines[g[0]].pen) == (line.width, line.pen);
        match groups.iter_mut().find(alike) {
            Some(group) => group.push(index),
            None => groups.push(vec![index]),
        }
    }
    groups
}

fn paths(lines: &[Line], group: &[usize]) -> Vec<BezPath> {
    group.iter().map(|i| lines[*i].path.clone()).collect()
}

/// Stretches of lines of one width that lie on each other within `tolerance`.
pub(super) fn look(drawing: &Drawing, tolerance: Mm) -> Vec<Once> {
    let mut found = Vec::new();
    for group in groups(&drawing.lines) {
        let once = undoubled(&paths(&drawing.lines, &group), tolerance).once.into_iter();
        found.extend(once.map(|o| Once { dropped: group[o.dropped], kept: group[o.kept], ..o }));
    }
    found
}

/// Where lines lie on each other in a tangle, taking one away shows the next; after so many rounds the rest is left.
const MOST_ROUNDS: usize = 4;

/// Takes away what lies on another line of the same width.
pub(super) fn drop_from(drawing: &mut Drawing, tolerance: Mm) -> Vec<Place> {
    let mut places = Vec::new();
    for _ in 0..MOST_ROUNDS {
        let found = drop_once(drawing, tolerance);
        if found.is_empty() {
            break;
        }
        places.extend(found);
    }
    places
}

fn drop_once(drawing: &mut Drawing, tolerance: Mm) -> Vec<Place> {
    let mut places = Vec::new();
    let mut left: Vec<(usize, Line)> = Vec::new();
    for group in groups(&drawing.lines) {
        let undoubled = undoubled(&paths(&drawing.lines, &group), tolerance);
        places.extend(undoubled.once.iter().map(|o| Place { at: o.at, size: o.length }));
        left.extend(undoubled.lines.into_iter().map(|(i, path)| {
            let index = group[i];
            (index, Line { path, ..drawing.lines[index].clone() })
        }));
    }
    left.sort_by_key(|(index, _)| *index);
    drawing.lines = left.into_iter().map(|(_, line)| line).collect();
    places
}
