//! Coverage fades out towards the edge of an area.

use crate::raster::Plane;

/// What `distances` (to the nearest pixel outside, in pixels down) become when they fade over `feather` pixels.
///
/// `is_inside` is asked for each pixel. Pixels are `stretch` times as wide as they are high. Zero outside, one farther
/// inside than the feather, a smooth step between (3 t² - 2 t³).
pub fn fade(width: usize, height: usize, feather: f64, stretch: f64, is_inside: impl Fn(usize) -> bool) -> Plane {
    let mut plane = Plane::new(width, height);
    if feather <= 0.0 {
        plane.values.iter_mut().enumerate().for_each(|(i, v)| *v = f32::from(u8::from(is_inside(i))));
        return plane;
    }
    let squares = squared_distances(width, height, stretch, &is_inside);
    for (value, square) in plane.values.iter_mut().zip(squares) {
        let t = (square.sqrt() / feather).min(1.0);
        *value = (t * t * (3.0 - 2.0 * t)) as f32;
    }
    plane
}

/// Squared distance of each pixel to the nearest one outside; beyond the picture everything is outside.
///
/// Felzenszwalb and Huttenlocher, Distance Transforms of Sampled Functions, 2012 (from memory): lower envelopes of
/// parabolas, down the columns and then along the rows.
fn squared_distances(width: usize, height: usize, stretch: f64, is_inside: &impl Fn(usize) -> bool) -> Vec<f64> {
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
            for (i, found) in squared_distances(w, h, stretch, &inside).into_iter().enumerate() {
                let (x, y) = ((i % w) as f64, (i / w) as f64);
                let square =
                    |&(ox, oy): &(f64, f64)| (x - ox) * (x - ox) * stretch * stretch + (y - oy) * (y - oy);
                let best = outside.iter().map(square).fold(f64::INFINITY, f64::min);
                assert!((found - best).abs() < 1e-9, "{i} {found} {best}");
            }
        }
    }

    #[test]
    fn the_fade_is_a_smooth_step() {
        let plane = fade(41, 41, 10.0, 1.0, |_| true);
        assert_eq!(plane.values[20 * 41 + 20], 1.0);
        // Five pixels from the outside of ten: half way.
        assert!((plane.values[20 * 41 + 4] - 0.5).abs() < 1e-6);
    }
}
