//! The grey value that parts ink from paper: the one that parts the pixels near edges best (Otsu 1979), because on a nearly
//! empty page the noise of the paper outweighs the ink by numbers.

use crate::raster::Plane;
use rayon::prelude::*;
use std::ops::Range;

/// Pixels with more than this share of the strongest edge lie near an edge.
const EDGE: f32 = 0.4;

/// Pixels this near to an edge, across and down, are counted.
const NEAR: usize = 2;

/// Rows that are worked on together.
const BAND: usize = 64;

/// Pixels of a row that are passed over together where nothing is to be seen.
const STRIDE: usize = 16;

/// The threshold that parts the pixels near edges best, and how far apart the two parts are.
pub(super) fn threshold_near_edges(plane: &Plane) -> (f32, f32) {
    let bands: Vec<usize> = (0..plane.height).step_by(BAND).collect();
    let edges: Vec<Edges> = bands.par_iter().map(|&top| edges(plane, top)).collect();
    let most = edges.iter().map(|e| e.most).fold(0.0, f32::max);
    if most <= 0.0 {
        return (0.5, 0.0);
    }
    let rows: Vec<Vec<(usize, f32)>> = edges.into_iter().flat_map(|e| e.rows).collect();
    let count = |&top: &usize| near_edges(plane, &rows, EDGE * EDGE * most, top..(top + BAND).min(plane.height));
    let counts = bands.par_iter().map(count).reduce(|| [0; 256], |a, b| std::array::from_fn(|i| a[i] + b[i]));
    otsu(&counts)
}

/// Where a band of rows changes most.
struct Edges {
    /// The square of the strongest change.
    most: f32,
    /// For each row the pixels that may lie near an edge, as far as the band can tell, with the square of the change there.
    rows: Vec<Vec<(usize, f32)>>,
}

/// The edges of the band of rows from `top` on, where rows and columns change: each smoothed across the other way, so that
/// noise is no edge (Sobel and Feldman 1968, from memory).
fn edges(plane: &Plane, top: usize) -> Edges {
    let (width, end) = (plane.width, (top + BAND).min(plane.height));
    let mut edges = Edges { most: 0.0, rows: Vec::with_capacity(end - top) };
    // Of each column the sum of three rows and the difference of the outer ones; beyond the sides, as the nearest.
    let (mut sums, mut differences) = (vec![0.0; width + 2], vec![0.0; width + 2]);
    let mut squares = vec![0.0; width];
    for y in top..end {
        let (above, here) = (plane.row(y.saturating_sub(1)), plane.row(y));
        let below = plane.row((y + 1).min(plane.height - 1));
        let inner = sums[1..=width].iter_mut().zip(&mut differences[1..=width]);
        for (((sum, difference), here), (above, below)) in inner.zip(here).zip(above.iter().zip(below)) {
            *sum = above + 2.0 * here + below;
            *difference = below - above;
        }
        for padded in [&mut sums, &mut differences] {
            (padded[0], padded[width + 1]) = (padded[1], padded[width]);
        }
        let (left, right) = (&sums[..width], &sums[2..]);
        let (before, middle, after) = (&differences[..width], &differences[1..=width], &differences[2..]);
        for (x, square) in squares.iter_mut().enumerate() {
            let (across, down) = (right[x] - left[x], before[x] + 2.0 * middle[x] + after[x]);
            *square = across * across + down * down;
        }
        edges.add(&squares);
    }
    edges
}

impl Edges {
    /// Adds the next row, by the squares of its changes.
    fn add(&mut self, squares: &[f32]) {
        let mut row = Vec::new();
        for (k, part) in squares.chunks(STRIDE).enumerate() {
            let least = EDGE * EDGE * self.most;
            // Counted, and not stopped at the first one, they are compared several at a time.
            if part.iter().filter(|square| **square > least).count() == 0 {
                continue;
            }
            for (i, &square) in part.iter().enumerate() {
                if square > EDGE * EDGE * self.most {
                    row.push((k * STRIDE + i, square));
                    self.most = self.most.max(square);
                }
            }
        }
        self.rows.push(row);
    }
}

/// How often each grey value lies near an edge in a band of rows: near a pixel whose change squared is more than `least`.
fn near_edges(plane: &Plane, rows: &[Vec<(usize, f32)>], least: f32, band: Range<usize>) -> [u64; 256] {
    let width = plane.width;
    let first = band.start.saturating_sub(NEAR);
    let around = &rows[first..(band.end + NEAR).min(plane.height)];
    let mut near = vec![false; around.len() * width];
    for (row, near) in around.iter().zip(near.chunks_exact_mut(width)) {
        // Pixels come in runs, which are filled at once.
        let mut run = 0..0;
        for &(x, _) in row.iter().filter(|(_, square)| *square > least) {
            let from = x.saturating_sub(NEAR);
            if from > run.end {
                near[run].fill(true);
                run = from..from;
            }
            run.end = (x + NEAR + 1).min(width);
        }
        near[run].fill(true);
    }
    // Neighbours are mostly alike: counted in turns, none waits for the one before.
    let mut counts = [[0_u64; 256]; 4];
    let mut any = vec![false; width];
    for y in band {
        any.fill(false);
        let rows = y.saturating_sub(NEAR)..(y + NEAR + 1).min(plane.height);
        for near in near[(rows.start - first) * width..(rows.end - first) * width].chunks_exact(width) {
            any.iter_mut().zip(near).for_each(|(any, near)| *any |= near);
        }
        for (values, any) in plane.row(y).chunks(STRIDE).zip(any.chunks(STRIDE)) {
            if any.iter().fold(false, |a, b| a | b) {
                for (i, (value, _)) in values.iter().zip(any).enumerate().filter(|(_, (_, near))| **near) {
                    counts[i % 4][usize::from((value * 255.0 + 0.5) as u8)] += 1;
                }
            }
        }
    }
    std::array::from_fn(|i| counts.iter().map(|c| c[i]).sum())
}

/// The level between two classes of grey values, from 0 to 1, and how far apart they are.
///
/// The classes are those with the greatest variance between them (Otsu 1979). The level lies half way between their
/// medians: a pixel that is half inked lies on the edge, and the many pixels that the edge itself runs through would pull
/// their means.
fn otsu(counts: &[u64; 256]) -> (f32, f32) {
    let total: f64 = counts.iter().map(|&c| c as f64).sum();
    let all: f64 = counts.iter().enumerate().map(|(i, &c)| i as f64 * c as f64).sum();
    let (mut below, mut sum, mut best) = (0.0, 0.0, (0.0, 127));
    for (i, &count) in counts.iter().enumerate().take(255) {
        below += count as f64;
        sum += i as f64 * count as f64;
        let above = total - below;
        if below == 0.0 || above == 0.0 {
            continue;
        }
        let apart = (all - sum) / above - sum / below;
        let variance = below * above * apart * apart;
        if variance > best.0 {
            best = (variance, i);
        }
    }
    let (low, high) = (median(&counts[..=best.1]), (best.1 + 1) as f32 + median(&counts[best.1 + 1..]));
    (f32::midpoint(low, high) / 255.0, (high - low) / 255.0)
}

/// The value that half of those counted do not exceed.
fn median(counts: &[u64]) -> f32 {
    let half = counts.iter().sum::<u64>().div_ceil(2);
    let mut passed = 0;
    let found = counts.iter().position(|&c| {
        passed += c;
        passed >= half
    });
    found.unwrap_or(0) as f32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_levels_are_parted_half_way() {
        let mut counts = [0; 256];
        counts[20] = 900;
        counts[220] = 100;
        assert_eq!(otsu(&counts), (120.0 / 255.0, 200.0 / 255.0));
    }
}
