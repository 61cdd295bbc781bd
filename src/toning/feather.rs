//! Coverage fades out towards the edge of an area.

use crate::raster::{Plane, squared_distances};

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
    let squares = squared_distances(width, height, stretch, is_inside);
    for (value, square) in plane.values.iter_mut().zip(squares) {
        let t = (square.sqrt() / feather).min(1.0);
        *value = (t * t * (3.0 - 2.0 * t)) as f32;
    }
    plane
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_fade_is_a_smooth_step() {
        let plane = fade(41, 41, 10.0, 1.0, |_| true);
        assert_eq!(plane.values[20 * 41 + 20], 1.0);
        // Five pixels from the outside of ten: half way.
        assert!((plane.values[20 * 41 + 4] - 0.5).abs() < 1e-6);
    }
}
