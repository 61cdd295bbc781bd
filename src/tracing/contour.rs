//! The edge of the ink, followed between pixels.
//!
//! Marching squares (Lorensen and Cline 1987, in the plane) on the middles of pixels; where a cell has ink at two opposite
//! corners, its mean decides how they join (Nielson and Hamann 1991; both from memory). The sheet is taken to be paper
//! beyond its border, so every contour is closed. Ink lies on the left of the way it is followed.

use crate::raster::Plane;
use kurbo::Point;
use rayon::prelude::*;

const TOP: usize = 0;
const RIGHT: usize = 1;
const BOTTOM: usize = 2;
const LEFT: usize = 3;
const NONE: usize = 4;

/// For a cell with ink at some corners (left top 1, right top 2, right bottom 4, left bottom 8) the side by which a contour
/// leaves that came in by the top, right, bottom and left. The two cells with ink at opposite corners are told apart where
/// they occur: here their corners are separate.
const EXITS: [[usize; 4]; 16] = [
    [NONE, NONE, NONE, NONE],
    [NONE, NONE, NONE, TOP],
    [RIGHT, NONE, NONE, NONE],
    [NONE, NONE, NONE, RIGHT],
    [NONE, BOTTOM, NONE, NONE],
    [NONE, BOTTOM, NONE, TOP],
    [BOTTOM, NONE, NONE, NONE],
    [NONE, NONE, NONE, BOTTOM],
    [NONE, NONE, LEFT, NONE],
    [NONE, NONE, TOP, NONE],
    [RIGHT, NONE, LEFT, NONE],
    [NONE, NONE, RIGHT, NONE],
    [NONE, LEFT, NONE, NONE],
    [NONE, TOP, NONE, NONE],
    [LEFT, NONE, NONE, NONE],
    [NONE, NONE, NONE, NONE],
];

/// Ink at the left top and right bottom, joined through the middle of the cell.
const JOINED_DOWN: [usize; 4] = [NONE, TOP, NONE, BOTTOM];

/// Ink at the right top and left bottom, joined through the middle of the cell.
const JOINED_UP: [usize; 4] = [LEFT, NONE, RIGHT, NONE];

/// The contours of what lies above `threshold`, each a closed chain of points in pixels, its first point not repeated. In
/// the order of their first cells, row by row.
///
/// `None` when they have more than `most` points altogether.
pub(super) fn contours(plane: &Plane, threshold: f32, most: usize) -> Option<Vec<Vec<Point>>> {
    let cells = Cells { plane, threshold, across: plane.width + 1, down: plane.height + 1 };
    let ink = InkBits::new(plane, threshold);
    let mut seen = vec![0_u8; cells.across * cells.down];
    let mut found = Vec::new();
    let mut left = most;
    for row in 0..cells.down {
        for column in ink.mixed(row) {
            let exits = exits(&cells.levels(column, row));
            for (entry, exit) in exits.into_iter().enumerate() {
                if exit != NONE && seen[row * cells.across + column] & (1 << entry) == 0 {
                    let contour = cells.follow(column, row, entry, &mut seen);
                    left = left.checked_sub(contour.len())?;
                    found.push(contour);
                }
            }
        }
    }
    Some(found)
}

/// Which pixels are ink, a bit each: so most cells, which are all ink or all paper, are passed over sixty-four at a time.
struct InkBits {
    /// Words of a row; a row's first bit is a pixel of paper left of the picture, and a row of paper lies above and below it.
    stride: usize,
    words: Vec<u64>,
}

impl InkBits {
    fn new(plane: &Plane, threshold: f32) -> Self {
        // One pixel of paper on either side, and one word beyond to shift in from.
        let stride = (plane.width + 2).div_ceil(64) + 1;
        let mut words = vec![0; stride * (plane.height + 2)];
        let inside = &mut words[stride..stride * (plane.height + 1)];
        inside.par_chunks_exact_mut(stride).enumerate().for_each(|(y, words)| {
            for (k, part) in plane.row(y).chunks(64).enumerate() {
                let bits = bits(part, threshold);
                words[k] |= bits << 1;
                words[k + 1] |= bits >> 63;
            }
        });
        Self { stride, words }
    }

    /// The cells of a row that have both ink and paper at their corners.
    fn mixed(&self, row: usize) -> impl Iterator<Item = usize> {
        let upper = &self.words[row * self.stride..][..self.stride];
        let lower = &self.words[(row + 1) * self.stride..][..self.stride];
        let word = |k: usize| {
            let (any, all) = (upper[k] | lower[k], upper[k] & lower[k]);
            let (next_any, next_all) = (upper[k + 1] | lower[k + 1], upper[k + 1] & lower[k + 1]);
            // The corners on a cell's right are those on its right neighbour's left.
            (any | any >> 1 | next_any << 63) & !(all & (all >> 1 | next_all << 63))
        };
        (0..self.stride - 1).flat_map(move |k| set_bits(word(k)).map(move |i| k * 64 + i))
    }
}

/// A bit for each of at most sixty-four pixels.
fn bits(pixels: &[f32], threshold: f32) -> u64 {
    let is_ink = |v: &f32| *v - threshold > 0.0;
    let all = u64::MAX >> (64 - pixels.len());
    // Counting is quick, and most stretches are all ink or all paper.
    match pixels.iter().map(|v| u32::from(is_ink(v))).sum::<u32>() as usize {
        0 => 0,
        count if count == pixels.len() => all,
        _ => pixels.iter().enumerate().fold(0, |bits, (i, v)| bits | u64::from(is_ink(v)) << i),
    }
}

/// The places of the bits that are set, from the lowest.
fn set_bits(mut word: u64) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        let at = (word != 0).then(|| word.trailing_zeros() as usize);
        word &= word.wrapping_sub(1);
        at
    })
}

/// Cells between the middles of four pixels; the first cell's left top pixel lies outside the picture.
struct Cells<'a> {
    plane: &'a Plane,
    threshold: f32,
    across: usize,
    down: usize,
}

impl Cells<'_> {
    /// How far the pixel at a cell's left top corner, so many pixels right and down of it, lies above the threshold.
    fn level(&self, column: usize, row: usize, right: usize, down: usize) -> f32 {
        let (x, y) = ((column + right).wrapping_sub(1), (row + down).wrapping_sub(1));
        let inside = x < self.plane.width && y < self.plane.height;
        if inside { self.plane.at(x, y) - self.threshold } else { -self.threshold }
    }

    /// The levels at the corners of a cell: left top, right top, right bottom, left bottom.
    fn levels(&self, column: usize, row: usize) -> [f32; 4] {
        [(0, 0), (1, 0), (1, 1), (0, 1)].map(|(right, down)| self.level(column, row, right, down))
    }

    /// Follows a contour from the side by which it enters a cell until it comes round.
    fn follow(&self, column: usize, row: usize, entry: usize, seen: &mut [u8]) -> Vec<Point> {
        let (mut column, mut row, mut entry) = (column, row, entry);
        let mut points = Vec::new();
        loop {
            let mark = &mut seen[row * self.across + column];
            if *mark & (1 << entry) != 0 {
                return points;
            }
            *mark |= 1 << entry;
            let levels = self.levels(column, row);
            points.push(crossing(&levels, column, row, entry));
            match exits(&levels)[entry] {
                TOP => (row, entry) = (row - 1, BOTTOM),
                RIGHT => (column, entry) = (column + 1, LEFT),
                BOTTOM => (row, entry) = (row + 1, TOP),
                LEFT => (column, entry) = (column - 1, RIGHT),
                // A side by which a contour enters has one by which it leaves.
                _ => return points,
            }
        }
    }
}

/// For each side of a cell with such levels, the side by which a contour leaves that comes in there.
fn exits(levels: &[f32; 4]) -> [usize; 4] {
    let kind = (0..4).filter(|&i| levels[i] > 0.0).map(|i| 1 << i).sum::<usize>();
    let joined = levels.iter().sum::<f32>() > 0.0;
    match kind {
        5 if joined => JOINED_DOWN,
        10 if joined => JOINED_UP,
        _ => EXITS[kind],
    }
}

/// Where a contour crosses a side of a cell.
fn crossing(levels: &[f32; 4], column: usize, row: usize, side: usize) -> Point {
    // The crossing is worked out from the same end whichever of its two cells asks.
    let (from, to) = match side {
        TOP => (0, 1),
        RIGHT => (1, 2),
        BOTTOM => (3, 2),
        _ => (0, 3),
    };
    let (a, b) = (f64::from(levels[from]), f64::from(levels[to]));
    let share = (a / (a - b)).clamp(0.0, 1.0);
    // The left top corner of the first cell is the middle of a pixel that lies outside.
    let (x, y) = (column as f64 - 0.5, row as f64 - 0.5);
    match side {
        TOP => Point::new(x + share, y),
        RIGHT => Point::new(x + 1.0, y + share),
        BOTTOM => Point::new(x + share, y + 1.0),
        _ => Point::new(x, y + share),
    }
}

/// Twice the area that a closed chain goes round, negative when it goes round clockwise as seen on the sheet, in square
/// pixels.
pub(super) fn doubled_area(points: &[Point]) -> f64 {
    let next = points.iter().cycle().skip(1);
    -points.iter().zip(next).map(|(a, b)| a.x * b.y - b.x * a.y).sum::<f64>()
}

#[cfg(test)]
mod tests {
    use super::*;

    const MANY: usize = 1000;

    fn plane(rows: &[&str]) -> Plane {
        let values = rows.iter().flat_map(|r| r.bytes().map(|b| f32::from(b - b'0') / 9.0)).collect();
        Plane { width: rows[0].len(), height: rows.len(), values }
    }

    #[test]
    fn a_pixel_is_a_diamond_with_ink_on_the_left() {
        let found = contours(&plane(&["000", "090", "000"]), 0.5, MANY).unwrap();
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].len(), 4);
        // Half way to the neighbours' middles: a square on its corner with a diagonal of one pixel.
        assert!((doubled_area(&found[0]) / 2.0 - 0.5).abs() < 1e-6, "{:?}", found[0]);
    }

    #[test]
    fn holes_go_the_other_way_round() {
        let found = contours(&plane(&["99999", "99999", "99099", "99999", "99999"]), 0.5, MANY).unwrap();
        assert_eq!(found.len(), 2);
        assert!(doubled_area(&found[0]) > 0.0 && doubled_area(&found[1]) < 0.0);
    }

    #[test]
    fn opposite_corners_join_by_their_mean() {
        let apart = contours(&plane(&["0000", "0900", "0090", "0000"]), 0.5, MANY).unwrap();
        assert_eq!(apart.len(), 2);
        let joined = contours(&plane(&["0000", "0940", "0490", "0000"]), 0.5, MANY).unwrap();
        assert_eq!(joined.len(), 1);
    }

    #[test]
    fn ink_at_the_border_is_closed_there() {
        let found = contours(&plane(&["99", "99"]), 0.5, MANY).unwrap();
        assert_eq!(found.len(), 1);
        assert!(found[0].iter().all(|p| p.x >= 0.0 && p.x <= 2.0 && p.y >= 0.0 && p.y <= 2.0));
    }
}
