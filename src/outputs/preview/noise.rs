//! Noise from integer hashes: the same on every machine.

/// Mixes a place and a seed into 32 bits that look unrelated to their neighbours'.
pub(super) fn hash(x: i32, y: i32, seed: u32) -> u32 {
    let mut h = seed ^ x.cast_unsigned().wrapping_mul(0x9e37_79b1) ^ y.cast_unsigned().wrapping_mul(0x85eb_ca77);
    h = (h ^ (h >> 16)).wrapping_mul(0x7feb_352d);
    h = (h ^ (h >> 15)).wrapping_mul(0x846c_a68b);
    h ^ (h >> 16)
}

/// A number from 0 up to 1 for a place.
pub(super) fn random(x: i32, y: i32, seed: u32) -> f32 {
    (hash(x, y, seed) >> 8) as f32 / 16_777_216.0
}

/// A number from 0 up to 1 for a pixel.
pub(super) fn random_pixel(x: usize, y: usize, seed: u32) -> f32 {
    random((x as u32).cast_signed(), (y as u32).cast_signed(), seed)
}

/// Smooth noise from 0 to 1 with features one unit wide.
pub(super) fn smooth_noise(x: f32, y: f32, seed: u32) -> f32 {
    let (left, top) = (x.floor(), y.floor());
    let (s, t) = (ease(x - left), ease(y - top));
    let (i, j) = (left as i32, top as i32);
    let at = |dx: i32, dy: i32| random(i.wrapping_add(dx), j.wrapping_add(dy), seed);
    let upper = mix(at(0, 0), at(1, 0), s);
    let lower = mix(at(0, 1), at(1, 1), s);
    mix(upper, lower, t)
}

/// Blends two numbers.
pub(super) fn mix(a: f32, b: f32, share: f32) -> f32 {
    a + (b - a) * share
}

/// 0 up to `from`, 1 beyond `to`, smooth between.
pub(super) fn smooth_step(from: f32, to: f32, x: f32) -> f32 {
    ease(((x - from) / (to - from)).clamp(0.0, 1.0))
}

fn ease(t: f32) -> f32 {
    t * t * (3.0 - 2.0 * t)
}

/// A seed from a name (the FNV-1a hash), so that each project has a board of its own.
pub(super) fn seed_of(name: &str) -> u32 {
    name.bytes().fold(0x811c_9dc5, |h, b| (h ^ u32::from(b)).wrapping_mul(0x0100_0193))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn noise_is_even_and_stays_in_range() {
        let values: Vec<f32> = (0..10_000).map(|i| random(i % 100, i / 100, 7)).collect();
        let mean = values.iter().sum::<f32>() / 10_000.0;
        // The mean of 10 000 even numbers has a deviation of 0.0029.
        assert!((mean - 0.5).abs() < 0.012, "{mean}");
        assert!(values.iter().all(|v| (0.0..1.0).contains(v)));
        assert_eq!(smooth_noise(3.0, -2.0, 7), random(3, -2, 7));
    }

    #[test]
    fn seeds_follow_the_published_hash() {
        // FNV-1a, 32 bits, test vectors of its authors (from memory).
        assert_eq!(seed_of(""), 0x811c_9dc5);
        assert_eq!(seed_of("a"), 0xe40c_292c);
    }
}
