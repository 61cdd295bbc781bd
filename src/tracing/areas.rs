//! Areas: pixels that hang together.

use std::collections::VecDeque;

/// Pixels of a kind, told apart by what they hang together with.
pub(super) struct Areas {
    /// For each pixel its area, from 1; 0 where it is of another kind.
    pub labels: Vec<u32>,
    /// The pixels of each area; area 0 is all the rest.
    pub sizes: Vec<u32>,
}

/// The areas of the pixels that are set, joined along their sides, and over their corners too if `diagonal`. In the order
/// of their first pixels.
pub(super) fn areas(set: &[bool], width: usize, diagonal: bool) -> Areas {
    let mut found = Areas { labels: vec![0; set.len()], sizes: vec![0] };
    let mut queue = VecDeque::new();
    for start in 0..set.len() {
        if !set[start] || found.labels[start] != 0 {
            continue;
        }
        let label = found.sizes.len() as u32;
        found.sizes.push(0);
        found.labels[start] = label;
        queue.push_back(start);
        while let Some(i) = queue.pop_front() {
            found.sizes[label as usize] += 1;
            for j in around(i, set.len(), width, diagonal) {
                if set[j] && found.labels[j] == 0 {
                    found.labels[j] = label;
                    queue.push_back(j);
                }
            }
        }
    }
    found
}

/// The pixels next to one.
fn around(i: usize, count: usize, width: usize, diagonal: bool) -> impl Iterator<Item = usize> {
    let (x, y) = ((i % width).cast_signed(), (i / width).cast_signed());
    let (across, down) = (width.cast_signed(), (count / width).cast_signed());
    let steps = [(0, -1), (1, 0), (0, 1), (-1, 0), (1, -1), (1, 1), (-1, 1), (-1, -1)];
    steps.into_iter().take(if diagonal { 8 } else { 4 }).filter_map(move |(u, v)| {
        let (x, y) = (x + u, y + v);
        let inside = x >= 0 && y >= 0 && x < across && y < down;
        inside.then(|| (y * across + x).cast_unsigned())
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn corners_join_only_when_asked() {
        let set = [true, false, true, false, true, true];
        assert_eq!(areas(&set, 3, false).sizes, [0, 1, 3]);
        assert_eq!(areas(&set, 3, true).sizes, [0, 4]);
        assert_eq!(areas(&[], 0, true).sizes, [0]);
    }
}
