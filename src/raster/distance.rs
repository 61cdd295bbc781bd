//! How far pixels lie from the nearest pixel of a kind.

use super::Plane;

/// The distance of every pixel's middle from the middle of the nearest pixel that is not set (Euclidean, in pixels);
/// zero where a pixel is not set. What lies beyond the border counts as not set.
pub fn distance_inside(set: &[bool], width: usize, height: usize) -> Plane {
    let squares = squared_distances(width, height, 1.0, |i| set[i]);
    Plane { width, height, values: squares.into_iter().map(|d| d.sqrt() as f32).collect() }
}

/// Squared distance of each pixel to the nearest one outside; beyond the picture everything is outside.
///
/// Felzenszwalb and Huttenlocher, Distance Transforms of Sampled Functions, 2012 (from memory): lower envelopes of
/// parabolas, down the columns and then along the rows.
///
/// Distances are counted in pixels down; pixels are `stretch` times as wide as they are high.
pub fn squared_distances(
    width: usize,
    height: usize,
    stretch: f64,
    is_inside: impl Fn(usize) -> bool,
) -> Vec<f64> {
    let far = ((width as f64 * stretch) * (width as f64 * stretch) + (height * height) as f64 + 1.0) * 2.0;
    let mut squares: Vec<f64> = (0..width * height).map(|i| if is_inside(i) { far } else { 0.0 }).collect();
    let mut envelope = Envelope::default();
    let mut line = Vec::new();
    for x in 0..width {
        line.clear();
        line.extend((0..height).map(|y| squares[y * width + x]));
        envelope.lower(&line, 1.0, |y, value| squares[y * width + x] = value);
    }
    for y in 0..height {
        line.clear();
        line.extend_from_slice(&squares[y * width..][..width]);
        let row = &mut squares[y * width..][..width];
        envelope.lower(&line, stretch, |x, value| row[x] = value);
    }
    squares
}

#[derive(Default)]
struct Envelope {
    roots: Vec<f64>,
    starts: Vec<f64>,
    heights: Vec<f64>,
}

impl Envelope {
    /// Adds the lower envelope of parabolas standing on `line`, whose places are `step` apart; places just beyond both
    /// ends stand at zero.
    fn lower(&mut self, line: &[f64], step: f64, mut put: impl FnMut(usize, f64)) {
        let Self { roots, starts, heights } = self;
        roots.clear();
        starts.clear();
        heights.clear();
        let padded = std::iter::once(0.0).chain(line.iter().copied()).chain(std::iter::once(0.0));
        for (i, height) in padded.enumerate() {
            let root = (i as f64 - 1.0) * step;
            let mut start = f64::NEG_INFINITY;
            while let (Some(&r), Some(&h), Some(&s)) = (roots.last(), heights.last(), starts.last()) {
                start = ((height + root * root) - (h + r * r)) / (2.0 * (root - r));
                if start > s {
                    break;
                }
                roots.pop();
                heights.pop();
                starts.pop();
                start = f64::NEG_INFINITY;
            }
            roots.push(root);
            heights.push(height);
            starts.push(start);
        }
        let mut k = 0;
        for x in 0..line.len() {
            let at = x as f64 * step;
            while k + 1 < starts.len() && starts[k + 1] < at {
                k += 1;
            }
            put(x, (at - roots[k]) * (at - roots[k]) + heights[k]);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distances_are_those_of_a_search() {
        let (width, height) = (23, 17);
        let set: Vec<bool> = (0..width * height).map(|i| (i * 7919 + i / 5) % 11 != 0).collect();
        let found = distance_inside(&set, width, height);
        for y in 0..height {
            for x in 0..width {
                let mut least = f64::INFINITY;
                for v in -1..=height.cast_signed() {
                    for u in -1..=width.cast_signed() {
                        let inside = u >= 0 && v >= 0 && u < width.cast_signed() && v < height.cast_signed();
                        if !inside || !set[v.cast_unsigned() * width + u.cast_unsigned()] {
                            let (dx, dy) = (u - x.cast_signed(), v - y.cast_signed());
                            least = least.min(((dx * dx + dy * dy) as f64).sqrt());
                        }
                    }
                }
                assert!((f64::from(found.at(x, y)) - least).abs() < 1e-4, "{x} {y}");
            }
        }
    }

    #[test]
    fn distances_are_those_that_trying_everything_finds() {
        let (w, h) = (23_usize, 17_usize);
        let is_hole = |i: usize| (i * 7 + i / 5).is_multiple_of(11) || (i % 23 == 4 && i / 23 > 9);
        let inside = |i: usize| !is_hole(i);
        // Everything beyond the picture is outside: one more pixel all round.
        let outside: Vec<(f64, f64)> = (0..(w + 2) * (h + 2))
            .map(|i| (i % (w + 2), i / (w + 2)))
            .filter(|&(x, y)| x == 0 || y == 0 || x > w || y > h || !inside((y - 1) * w + x - 1))
            .map(|(x, y)| (x as f64 - 1.0, y as f64 - 1.0))
            .collect();
        for stretch in [1.0, 1.7] {
            for (i, found) in squared_distances(w, h, stretch, inside).into_iter().enumerate() {
                let (x, y) = ((i % w) as f64, (i / w) as f64);
                let square =
                    |&(ox, oy): &(f64, f64)| (x - ox) * (x - ox) * stretch * stretch + (y - oy) * (y - oy);
                let best = outside.iter().map(square).fold(f64::INFINITY, f64::min);
                assert!((found - best).abs() < 1e-9, "{i} {found} {best}");
            }
        }
    }
}
