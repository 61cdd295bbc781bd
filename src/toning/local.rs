//! Local contrast: histogram equalisation in tiles, with a limit to how steep it may become.
//!
//! Zuiderveld, Contrast Limited Adaptive Histogram Equalization, Graphics Gems IV, 1994 (from memory).

use crate::raster::Plane;

/// Tiles each way.
const TILES: usize = 8;

/// Steps of a histogram.
const BINS: usize = 256;

/// A step holds at most so many times its even share.
const LIMIT: f32 = 2.0;

/// Equalises `plane` (values 0 to 1) tile by tile, mixed with what it was by `share`.
pub fn local_contrast(plane: &mut Plane, share: f32) {
    let (width, height) = (plane.width, plane.height);
    if share <= 0.0 || width == 0 || height == 0 {
        return;
    }
    let across = TILES.min(width);
    let down = TILES.min(height);
    let maps: Vec<Vec<f32>> = (0..across * down)
        .map(|i| {
            let (tx, ty) = (i % across, i / across);
            map_of(
                plane,
                (tx * width / across, (tx + 1) * width / across),
                (ty * height / down, (ty + 1) * height / down),
            )
        })
        .collect();
    let columns: Vec<(usize, usize, f32)> = (0..width).map(|x| between(x, width, across)).collect();
    for (y, row) in plane.values.chunks_exact_mut(width).enumerate() {
        let (upper, lower, fy) = between(y, height, down);
        let (upper, lower) = (&maps[upper * across..][..across], &maps[lower * across..][..across]);
        for (value, &(left, right, fx)) in row.iter_mut().zip(&columns) {
            let place = value.clamp(0.0, 1.0) * (BINS - 1) as f32;
            let bin = (place as usize).min(BINS - 2);
            let f = place - bin as f32;
            let read = |map: &Vec<f32>| map[bin] + (map[bin + 1] - map[bin]) * f;
            let top = read(&upper[left]) * (1.0 - fx) + read(&upper[right]) * fx;
            let bottom = read(&lower[left]) * (1.0 - fx) + read(&lower[right]) * fx;
            let equalised = top * (1.0 - fy) + bottom * fy;
            *value += (equalised - *value) * share;
        }
    }
}

/// The two tiles whose middles a pixel lies between, and its share of the second.
fn between(at: usize, count: usize, tiles: usize) -> (usize, usize, f32) {
    let place = (at as f32 + 0.5) * tiles as f32 / count as f32 - 0.5;
    let first = place.floor().max(0.0) as usize;
    let share = if place < 0.0 { 0.0 } else { place - first as f32 };
    (first.min(tiles - 1), (first + 1).min(tiles - 1), share)
}

/// The map that equalises one tile.
fn map_of(plane: &Plane, (x0, x1): (usize, usize), (y0, y1): (usize, usize)) -> Vec<f32> {
    let mut bins = [0.0_f32; BINS];
    for y in y0..y1 {
        for value in &plane.row(y)[x0..x1] {
            bins[(value.clamp(0.0, 1.0) * (BINS - 1) as f32 + 0.5) as usize] += 1.0;
        }
    }
    let all = ((x1 - x0) * (y1 - y0)) as f32;
    let limit = (LIMIT * all / BINS as f32).max(1.0);
    let excess: f32 = bins.iter().map(|b| (b - limit).max(0.0)).sum();
    let each = excess / BINS as f32;
    let mut passed = 0.0;
    bins.iter()
        .map(|b| {
            passed += b.min(limit) + each;
            passed / all
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_even_spread_of_tones_stays() {
        // Closed form: the cumulative histogram of an even spread is the identity, to a step. Every tile holds each
        // of the 256 steps equally often.
        let values = (0..128 * 128).map(|i| ((i % 16) * 16 + (i / 128) % 16) as f32 / 255.0).collect();
        let mut plane = Plane { width: 128, height: 128, values };
        let before = plane.clone();
        local_contrast(&mut plane, 1.0);
        let worst = plane.values.iter().zip(&before.values).map(|(a, b)| (a - b).abs()).fold(0.0, f32::max);
        assert!(worst < 1.01 / 255.0, "{worst}");
    }

    #[test]
    fn one_tone_is_not_stretched_beyond_the_limit() {
        // Closed form: n pixels of one tone, limit 2 n/256; the excess n (1 - 2/256) is spread evenly. At step k the
        // sum is (k + 1) (1 - 2/256)/256 + 2/256, here k = 102.
        let mut plane = Plane { width: 256, height: 256, values: vec![0.4; 256 * 256] };
        local_contrast(&mut plane, 1.0);
        let expected = 103.0 * (1.0 - 2.0 / 256.0) / 256.0 + 2.0 / 256.0;
        assert!((plane.values[2000] - expected).abs() < 1e-5, "{} {expected}", plane.values[2000]);
    }

    #[test]
    fn half_the_share_goes_half_the_way() {
        let values: Vec<f32> = (0..64 * 64).map(|i| 0.3 + 0.2 * (i % 64) as f32 / 63.0).collect();
        let plane = Plane { width: 64, height: 64, values };
        let (mut half, mut whole) = (plane.clone(), plane.clone());
        local_contrast(&mut half, 0.5);
        local_contrast(&mut whole, 1.0);
        for ((h, w), v) in half.values.iter().zip(&whole.values).zip(&plane.values) {
            assert!((h - f32::midpoint(*w, *v)).abs() < 1e-5);
        }
    }
}
